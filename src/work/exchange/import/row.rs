//! One row of a file, as it stands there: which cell it is for, and what its value is said to be.

use super::super::mapping::{Field, Mapping};
use super::super::table::{Grid, LONGEST_CELL};
use super::gauge::Chosen;
use super::{CellKey, Refused, plausible};
use quantities::length::{Decimal, Length, LengthError, Unit};
use records::bore::Point;
use records::diag::likely_intended;
use records::limits::Limits;
use records::record::entry;
use records::record::resolve::MOST_REPEATS;
use records::record::schema::{Cylinder, EngineRecord, Overhaul, Reading, Reads};
use records::tabular::heading::StatedUnit;
use records::tabular::{self, SAVE_AS_UTF8, does_not_fit, number};

/// The most characters of a text that a reason shows.
const MOST_SHOWN: usize = 40;

/// A value as the file has it.
pub(super) struct Value {
    /// It is a diameter; else it is what the gauge showed.
    pub(super) is_diameter: bool,
    /// As it stands there.
    pub(super) text: String,
    /// What it counts, as its row or its heading says.
    unit: Option<StatedUnit>,
    /// The diameter that stands beside a reading.
    pub(super) beside: Option<Length>,
}

/// Temperatures of a row, in degrees Celsius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Given {
    pub(super) barrel: f64,
    pub(super) gauge: f64,
}

/// One row read.
pub(super) struct Row {
    pub(super) line: usize,
    pub(super) cell: CellKey,
    pub(super) repeat: Option<usize>,
    /// None: nothing was read.
    pub(super) value: Option<Value>,
    /// The gauge that it names; empty: none.
    pub(super) gauge: String,
    pub(super) confirmed: String,
    pub(super) temperatures: Option<Given>,
}

/// What rows are read for.
pub(super) struct Reader<'a> {
    pub(super) record: &'a EngineRecord,
    pub(super) overhaul: &'a Overhaul,
    pub(super) limits: &'a Limits,
    pub(super) mapping: &'a Mapping,
    pub(super) grid: &'a Grid,
    /// The unit of a length that names none, neither itself nor in its row nor in its heading.
    pub(super) unit: Unit,
}

/// What is wrong with a row: the column, what, and what to do.
type Wrong = (Option<Field>, String, String);

fn wrong(field: Field, reason: impl Into<String>, remedy: impl Into<String>) -> Wrong {
    (Some(field), reason.into(), remedy.into())
}

impl<'a> Reader<'a> {
    /// The heading of a field's column.
    pub(super) fn heading(&self, field: Field) -> String {
        let heading = self.mapping.column(field).and_then(|column| self.grid.headings.get(column));
        heading.map_or_else(|| field.words().to_owned(), |heading| shown(heading))
    }

    /// What a cell of the record holds.
    pub(super) fn standing(&self, (cylinder, station, axis): CellKey) -> Option<&'a Reading> {
        let cylinder = self.overhaul.cylinders.get(cylinder)?;
        entry::reading(cylinder, self.limits, Point::new(station, axis))
    }

    fn cell<'r>(&self, cells: &'r [String], field: Field) -> &'r str {
        self.mapping.column(field).and_then(|column| cells.get(column)).map_or("", |cell| cell.trim())
    }

    /// A row; none: it has no reading, and is for no cell that can be told.
    ///
    /// # Errors
    /// Why it is refused, and the cell it is for where that is known.
    pub(super) fn row(
        &self,
        line: usize,
        cells: &[String],
    ) -> Result<Option<Row>, (Option<CellKey>, Refused)> {
        let refused = |(field, reason, remedy): Wrong| {
            let column = field.map_or(String::new(), |field| self.heading(field));
            Refused { line, column, reason, remedy }
        };
        let in_row = self.in_row(line, cells).map_err(|wrong| (None, refused(wrong)));
        let is_empty =
            [Field::Reading, Field::Diameter].iter().all(|field| self.cell(cells, *field).is_empty());
        if is_empty {
            // Its number may still say that a repeat was not taken.
            let repeat = self.repeat(cells).ok().flatten();
            return Ok(self.place(cells).ok().map(|cell| Row {
                line,
                cell,
                repeat,
                value: None,
                gauge: String::new(),
                confirmed: String::new(),
                temperatures: None,
            }));
        }
        in_row?;
        let cell = self.place(cells).map_err(|wrong| (None, refused(wrong)))?;
        let rest = || {
            let temperatures = self.temperatures(cells)?;
            Ok(Row {
                line,
                cell,
                repeat: self.repeat(cells)?,
                value: Some(self.value(cells)?),
                gauge: self.cell(cells, Field::Gauge).to_owned(),
                confirmed: self.cell(cells, Field::Confirmed).to_owned(),
                temperatures,
            })
        };
        rest().map(Some).map_err(|wrong| (Some(cell), refused(wrong)))
    }

    /// Has a row no more cells than there are headings, and none that was cut off or holds other letters?
    fn in_row(&self, line: usize, cells: &[String]) -> Result<(), Wrong> {
        let of_row = self.grid.not_utf8.partition_point(|(other, ..)| *other < line);
        let of_row = self.grid.not_utf8.iter().skip(of_row).take_while(|(other, ..)| *other == line);
        for (_, column, why) in of_row {
            if let Some(field) = self.mapping.columns.get(*column).copied().flatten() {
                return Err(wrong(field, why, SAVE_AS_UTF8));
            }
        }
        if let Some(column) = cells.iter().position(|cell| cell.chars().count() > LONGEST_CELL) {
            let field = self.mapping.columns.get(column).copied().flatten();
            if field.is_some() {
                let reason = format!("it has more than {LONGEST_CELL} characters");
                return Err((field, reason, "Write what is meant, and nothing else.".to_owned()));
            }
        }
        if let Some((reason, remedy)) = does_not_fit(cells, self.grid.headings.len(), self.grid.delimiter) {
            return Err((None, reason, remedy.to_owned()));
        }
        let commas = self.grid.delimiter == Some(b',');
        for field in [Field::Reading, Field::Diameter].into_iter().filter(|_| commas) {
            let Some(column) = self.mapping.column(field) else { continue };
            let unused = self.mapping.columns.get(column + 1).is_some_and(Option::is_none);
            let behind = cells.get(column + 1).filter(|_| unused).map_or("", |cell| cell.trim());
            let why = number::in_two_columns(self.cell(cells, field).as_bytes(), behind.as_bytes());
            if let Some((reason, remedy)) = why {
                return Err(wrong(field, reason, remedy));
            }
        }
        Ok(())
    }

    /// The cell that a row is for.
    fn place(&self, cells: &[String]) -> Result<CellKey, Wrong> {
        let engine = self.cell(cells, Field::Engine);
        let leave_out = "Leave the row out of the file.";
        if !engine.is_empty() && engine != self.record.engine.serial {
            let reason =
                format!("it is of engine `{}`, not of `{}`", shown(engine), self.record.engine.serial);
            return Err(wrong(Field::Engine, reason, leave_out));
        }
        let day = self.cell(cells, Field::Overhaul);
        if !day.is_empty() && day != self.overhaul.date.to_string() {
            let reason = format!("it is of the overhaul `{}`, not of {}", shown(day), self.overhaul.date);
            return Err(wrong(
                Field::Overhaul,
                reason,
                "Choose the overhaul that is meant, or leave the row out of the file.",
            ));
        }
        let cylinder = self.cylinder(self.cell(cells, Field::Position), self.cell(cells, Field::Cylinder))?;
        let stations = self.limits.stations.iter().map(|station| station.name.as_str()).collect();
        let station = named(self.cell(cells, Field::Station), stations, "station")
            .map_err(|reason| wrong(Field::Station, reason, ""))?;
        Ok((cylinder, station, self.axis(self.cell(cells, Field::Axis))?))
    }

    /// The cylinder that a row is about, by its serial and its position.
    fn cylinder(&self, position: &str, serial: &str) -> Result<usize, Wrong> {
        let cylinders = &self.overhaul.cylinders;
        let find = |field: Field, what: &str, text: &str, of: fn(&Cylinder) -> &str| {
            let found: Vec<usize> = (0..cylinders.len())
                .filter(|&index| cylinders.get(index).is_some_and(|cylinder| of(cylinder) == text))
                .collect();
            if found.is_empty() {
                let known: Vec<&str> = cylinders.iter().map(of).take(40).collect();
                let intended = likely_intended(text, known.iter().copied());
                let intended = intended.map_or(String::new(), |intended| format!("Is `{intended}` meant?"));
                return Err(wrong(
                    field,
                    format!("the overhaul has no cylinder of {what} `{}`", shown(text)),
                    intended,
                ));
            }
            Ok(found)
        };
        let by_position = || find(Field::Position, "position", position, |cylinder| &cylinder.position);
        let by_serial = || find(Field::Cylinder, "serial", serial, |cylinder| &cylinder.serial);
        let found = match (position, serial) {
            ("", "") => {
                return Err((
                    None,
                    "it names no cylinder".to_owned(),
                    "Write its position or its serial.".to_owned(),
                ));
            }
            (_, "") => by_position()?,
            ("", _) => by_serial()?,
            (position, serial) => {
                let found = by_serial()?;
                let at =
                    |index: &usize| cylinders.get(*index).map_or("", |cylinder| cylinder.position.as_str());
                let both: Vec<usize> = found.iter().copied().filter(|index| at(index) == position).collect();
                if both.is_empty() {
                    let stands = found.first().map_or("", at);
                    let reason = format!(
                        "cylinder `{}` is at position `{stands}`, not at `{}`",
                        shown(serial),
                        shown(position)
                    );
                    return Err(wrong(
                        Field::Position,
                        reason,
                        "Correct one of the two, here or in the record.",
                    ));
                }
                both
            }
        };
        match found.as_slice() {
            [one] => Ok(*one),
            _ => Err((
                None,
                format!("the overhaul has {} cylinders that it may mean", found.len()),
                "Write both the position and the serial.".to_owned(),
            )),
        }
    }

    /// An axis by its label, or by its direction in degrees.
    fn axis(&self, text: &str) -> Result<usize, Wrong> {
        let labels = self.limits.axes.iter().map(|axis| axis.label.as_str()).collect();
        named(text, labels, "axis").or_else(|reason| {
            let degrees = text.trim_end_matches('°').trim().parse::<f64>().ok();
            let of = |degrees: f64| self.limits.axes.iter().position(|axis| axis.degrees == degrees);
            degrees.and_then(of).ok_or_else(|| wrong(Field::Axis, reason, ""))
        })
    }

    fn repeat(&self, cells: &[String]) -> Result<Option<usize>, Wrong> {
        let remedy = || format!("Write 1 to {MOST_REPEATS}, or nothing.");
        let text = self.cell(cells, Field::Repeat);
        let repeat =
            number::repeat(text.as_bytes()).map_err(|reason| wrong(Field::Repeat, reason, remedy()))?;
        match repeat.map(|repeat| repeat as usize) {
            Some(repeat) if !(1..=MOST_REPEATS).contains(&repeat) => Err(wrong(
                Field::Repeat,
                format!("`{}` is not the number of a repeat", shown(text)),
                remedy(),
            )),
            repeat => Ok(repeat),
        }
    }

    fn temperatures(&self, cells: &[String]) -> Result<Option<Given>, Wrong> {
        let read = |field| match self.cell(cells, field) {
            "" => Ok(None),
            text => match text.trim_end_matches("°C").trim().replace(',', ".").parse::<f64>() {
                Ok(celsius) if (-90.0..=200.0).contains(&celsius) => Ok(Some(celsius)),
                _ => Err(wrong(field, format!("`{}` is no temperature in degrees Celsius", shown(text)), "")),
            },
        };
        match (read(Field::BarrelC)?, read(Field::GaugeC)?) {
            (Some(barrel), Some(gauge)) => Ok(Some(Given { barrel, gauge })),
            (None, None) => Ok(None),
            (barrel, _) => {
                let (has, lacks) = if barrel.is_some() { ("barrel", "gauge") } else { ("gauge", "barrel") };
                let reason = format!("it has the temperature of the {has} and not of the {lacks}");
                Err((None, reason, "Give both, or leave both columns unused.".to_owned()))
            }
        }
    }

    /// What a row's value is said to be.
    fn value(&self, cells: &[String]) -> Result<Value, Wrong> {
        let (reading, diameter) = (self.cell(cells, Field::Reading), self.cell(cells, Field::Diameter));
        for (field, text) in [(Field::Reading, reading), (Field::Diameter, diameter)] {
            // Told for every row, also where another one keeps its place from being taken.
            if let Some(Err(error)) = (!text.is_empty()).then(|| Decimal::read(text)) {
                return Err(wrong(field, error.to_string(), ""));
            }
        }
        let word = self.cell(cells, Field::Unit);
        let beside = match word {
            "" => None,
            word => Some(StatedUnit::of(word).ok_or_else(|| {
                wrong(
                    Field::Unit,
                    format!("`{}` is no unit known here", shown(word)),
                    "Write in, mm or graduations.",
                )
            })?),
        };
        if reading.is_empty() {
            let unit = self.diameter_unit(diameter, beside)?;
            return Ok(Value { is_diameter: true, text: diameter.to_owned(), unit, beside: None });
        }
        let unit = self.unit_of(Field::Reading, reading, beside.clone())?;
        let made = match diameter {
            "" => None,
            text => {
                let unit = self.diameter_unit(text, beside)?;
                Some(self.length(Field::Diameter, text, unit.as_ref(), None)?.1)
            }
        };
        Ok(Value { is_diameter: false, text: reading.to_owned(), unit, beside: made })
    }

    /// The unit of a diameter: a column for the unit is that of the readings, where there are such.
    fn diameter_unit(&self, text: &str, beside: Option<StatedUnit>) -> Result<Option<StatedUnit>, Wrong> {
        let of_reading = self.mapping.column(Field::Reading).is_some();
        let heading = self.mapping.unit(Field::Diameter);
        let beside = beside.filter(|unit| match unit {
            StatedUnit::Graduations => !of_reading,
            StatedUnit::Length(_) => !of_reading || heading.is_none(),
        });
        let unit = self.unit_of(Field::Diameter, text, beside)?;
        if unit == Some(StatedUnit::Graduations) {
            return Err(wrong(
                Field::Diameter,
                "a diameter cannot be in graduations",
                "Take the column for readings.",
            ));
        }
        Ok(unit)
    }

    /// What a value counts, as its row says, or its heading.
    fn unit_of(
        &self,
        field: Field,
        text: &str,
        beside: Option<StatedUnit>,
    ) -> Result<Option<StatedUnit>, Wrong> {
        number::unit_of(text, beside, self.mapping.unit(field))
            .map_err(|number::Wrong { message, remedy, .. }| wrong(field, message, remedy))
    }

    /// A length as it can be kept, its value, and whether digits were cut off. `graduation` is that of a count.
    fn length(
        &self,
        field: Field,
        text: &str,
        unit: Option<&StatedUnit>,
        graduation: Option<Length>,
    ) -> Result<(String, Length, bool), Wrong> {
        let text = match unit {
            Some(StatedUnit::Length(word)) if word != self.overhaul.unit.symbol() => format!("{text} {word}"),
            None if self.unit != self.overhaul.unit && own_unit(text).is_none() && graduation.is_none() => {
                format!("{text} {}", self.unit)
            }
            _ => text.to_owned(),
        };
        let parse = |text: &str| match graduation {
            Some(graduation) => Length::parse_graduations(text, graduation, self.overhaul.unit),
            None => Length::parse(text, self.overhaul.unit),
        };
        let (text, entry, cut) = match parse(&text) {
            Err(LengthError::TooFine(_)) => {
                let kept = Length::rounded_to_keep(&text, self.overhaul.unit, graduation);
                let kept = kept.unwrap_or_else(|| text.clone());
                let entry = parse(&kept);
                (kept, entry, true)
            }
            entry => (text, entry, false),
        };
        let entry = entry.map_err(|error| wrong(field, error.to_string(), ""))?;
        Ok((text, entry.length, cut))
    }

    /// The text of a value as its gauge will keep it, what it is in, and whether digits were cut off.
    pub(super) fn kept(
        &self,
        value: &Value,
        gauge: &Chosen,
    ) -> Result<(String, String, bool), (Field, String, String)> {
        let field = if value.is_diameter { Field::Diameter } else { Field::Reading };
        let here = |(_, reason, remedy): Wrong| (field, reason, remedy);
        let own = own_unit(&value.text).is_some();
        let counted = !value.is_diameter
            && gauge.reads == Reads::Graduations
            && !own
            && match value.unit {
                None | Some(StatedUnit::Graduations) => true,
                // Files of before wrote the unit of the sheet beside a count; the diameter tells.
                Some(StatedUnit::Length(_)) => value.beside.is_some(),
            };
        if value.unit == Some(StatedUnit::Graduations) && !counted {
            return Err((
                field,
                format!(
                    "`{}` is in graduations, and gauge `{}` does not count them",
                    shown(&value.text),
                    gauge.words
                ),
                "Correct the gauge, in the file or in the record.".to_owned(),
            ));
        }
        let stated = value.unit.as_ref().filter(|_| !counted);
        self.is_no_diameter(value, gauge, stated)?;
        if counted {
            let one = gauge.graduation.unwrap_or(Length::from_tenths_of_nm(25_400));
            let (text, _, cut) = self.length(field, &value.text, None, Some(one)).map_err(here)?;
            return Ok((text, StatedUnit::Graduations.word().to_owned(), cut));
        }
        let (mut text, _, cut) = self.length(field, &value.text, stated, None).map_err(here)?;
        let unit = match (stated, own_unit(&value.text)) {
            (_, Some(own)) => own,
            (Some(StatedUnit::Length(word)), _) => {
                return {
                    // On a dial a bare number is a count.
                    if gauge.reads == Reads::Graduations && own_unit(&text).is_none() {
                        text = format!("{text} {word}");
                    }
                    Ok((text, word.clone(), cut))
                };
            }
            _ => self.unit,
        };
        Ok((text, unit.symbol().to_owned(), cut))
    }

    /// Refuses what stands in a column of readings and is a diameter, on a gauge that shows deviations.
    fn is_no_diameter(
        &self,
        value: &Value,
        gauge: &Chosen,
        stated: Option<&StatedUnit>,
    ) -> Result<(), (Field, String, String)> {
        let certain = value.is_diameter
            || value.beside.is_some()
            || value.unit == Some(StatedUnit::Graduations)
            || gauge.reads == Reads::Diameter
            || value.text.starts_with(['+', '-', '\u{2212}']);
        if certain {
            return Ok(());
        }
        let either = [Unit::Inch, Unit::Millimetre].map(|unit| StatedUnit::Length(unit.symbol().to_owned()));
        // Where nothing says the unit, it may be either.
        let units = stated.map_or(either.as_slice(), std::slice::from_ref);
        let lengths = units.iter().filter_map(|unit| {
            let own = own_unit(&value.text).is_some();
            self.length(Field::Reading, &value.text, Some(unit).filter(|_| !own), None).ok()
        });
        let with_decimals = value.text.contains(['.', ',']);
        if !lengths
            .into_iter()
            .any(|(_, length, _)| plausible::may_be_a_diameter(self.limits, length, with_decimals))
        {
            return Ok(());
        }
        let shows = if gauge.reads == Reads::Graduations { "graduations" } else { "deviations" };
        Err((
            Field::Reading,
            format!("`{}` is a diameter, and gauge `{}` shows {shows}", shown(&value.text), gauge.words),
            "Say that the column holds diameters. If it does not, name graduations in a column for the unit, or write a sign."
                .to_owned(),
        ))
    }
}

/// The unit that a number carries itself.
fn own_unit(text: &str) -> Option<Unit> {
    let word = Decimal::read(text.trim()).ok()?.rest;
    // A word that is no unit is told when the number is read; here it only must not pass for a bare number.
    (!word.is_empty()).then(|| number::length_unit(&StatedUnit::Length(word.to_owned())).unwrap_or_default())
}

/// The index of a name: as it is written, or but for capitals and blanks if that is one alone.
fn named(text: &str, names: Vec<&str>, what: &str) -> Result<usize, String> {
    if text.is_empty() {
        return Err(format!("it names no {what}"));
    }
    let plain = |text: &str| text.trim().to_lowercase();
    let exact = names.iter().position(|name| *name == text);
    let mut alike = names.iter().enumerate().filter(|(_, name)| plain(name) == plain(text)).map(|(i, _)| i);
    let found = exact.or_else(|| alike.next().filter(|_| alike.next().is_none()));
    found.ok_or_else(|| {
        let intended = likely_intended(text, names.iter().copied());
        let intended = intended.map_or(String::new(), |intended| format!("; is `{intended}` meant?"));
        let known: Vec<&str> = names.iter().copied().take(40).collect();
        format!("there is no {what} `{}`; known are {}{intended}", shown(text), known.join(", "))
    })
}

/// A text of a file, at most so long as is worth showing.
pub(super) fn shown(text: &str) -> String {
    let mut shown = tabular::shown(text.as_bytes(), MOST_SHOWN);
    if text.chars().count() > MOST_SHOWN {
        shown.push('…');
    }
    shown
}
