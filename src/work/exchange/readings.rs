//! Every reading of an overhaul, one in each row: as typed, and as the diameter it stands for. That is the one as read,
//! with the temperatures beside it: not brought to 20 °C.

use super::Source;
use super::table::{Cell, Table};
use quantities::length::{Decimal, Length, Unit};
use records::record::schema::{Cylinder, Reading, Reads};
use records::survey::Cylinder as Barrel;
use records::tabular::heading::GRADUATIONS;

/// The table.
pub fn table(source: Source<'_>) -> Table {
    let overhaul = source.overhaul;
    let unit = overhaul.unit;
    let mut rows = Vec::new();
    for (index, cylinder) in overhaul.cylinders.iter().enumerate() {
        let barrel = source.evaluation.survey.as_ref().and_then(|survey| survey.cylinders.get(index));
        for reading in &cylinder.readings {
            for (repeat, text) in reading.entered.iter().enumerate() {
                rows.push(row(source, cylinder, barrel, reading, (repeat, text)));
            }
        }
    }
    let columns =
        ["engine", "overhaul", "position", "cylinder", "station", "axis", "repeat", "reading", "unit"]
            .map(str::to_owned)
            .into_iter()
            .chain(["gauge".to_owned(), format!("diameter, {unit}"), "confirmed".to_owned()])
            .chain(["barrel temperature, °C", "gauge temperature, °C"].map(str::to_owned));
    Table { name: "Readings", columns: columns.collect(), rows }
}

fn row(
    source: Source<'_>,
    cylinder: &Cylinder,
    barrel: Option<&Barrel>,
    reading: &Reading,
    (repeat, text): (usize, &String),
) -> Vec<Cell> {
    let overhaul = source.overhaul;
    let gauge = reading.gauge.as_ref().or(overhaul.gauges.first().map(|gauge| &gauge.name));
    let counts =
        overhaul.gauges.iter().any(|known| Some(&known.name) == gauge && known.reads == Reads::Graduations);
    let temperatures = overhaul.temperatures.as_ref();
    vec![
        Cell::text(&source.record.engine.serial),
        Cell::text(overhaul.date.to_string()),
        Cell::text(&cylinder.position),
        Cell::text(&cylinder.serial),
        Cell::text(&reading.station),
        Cell::text(&reading.axis),
        Cell::number(repeat + 1),
        Cell::text(text),
        Cell::text(unit_word(text, counts, overhaul.unit)),
        Cell::or_empty(gauge.map(Cell::text)),
        Cell::or_empty(diameter(source, barrel, reading, repeat)),
        Cell::text(&reading.confirmed),
        Cell::or_empty(temperatures.map(|t| Cell::number(t.barrel))),
        Cell::or_empty(temperatures.map(|t| Cell::number(t.gauge))),
    ]
}

/// What a reading as typed is in: its own unit, or else graduations on a gauge that counts them, or the overhaul's unit.
fn unit_word(text: &str, counts: bool, unit: Unit) -> &str {
    match Decimal::read(text.trim()) {
        Ok(number) if !number.rest.is_empty() && Length::parse(text, unit).is_ok() => number.rest,
        _ if counts => GRADUATIONS,
        _ => unit.symbol(),
    }
}

/// The diameter that a repeat stands for; none if the cell cannot be read.
fn diameter(source: Source<'_>, barrel: Option<&Barrel>, reading: &Reading, repeat: usize) -> Option<Cell> {
    let limits = source.evaluation.limits()?;
    let at =
        records::bore::Point::new(limits.station_index(&reading.station)?, limits.axis_index(&reading.axis)?);
    let repeats = barrel?.bore.cell(at)?.as_read();
    // Only if each text was read do the repeats stand in the same order.
    (repeats.len() == reading.entered.len())
        .then(|| repeats.get(repeat).map(|&length| Cell::length(length, source.overhaul.unit)))
        .flatten()
}
