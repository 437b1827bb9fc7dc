//! The bore and its shape: the stations in order, the sizes from the smallest, and the rows of the shape, each with the
//! stations that its figure is worked out over.

use std::sync::Arc;

use super::read::{Reader, source, top};
use super::{CutLimit, SizeRow, Station};
use crate::diag::Diagnostic;
use crate::limits::rows::{AsMade, Needs, Over, RowLimits};
use crate::limits::schema::{Datum, ShapeRow, Size, StationRole};
use quantities::length::Length;

/// The station with a role that stands nearest to the top of ring travel.
fn station_with(stations: &[Station], role: StationRole, last: bool) -> Option<usize> {
    let mut found = stations.iter().enumerate().filter(|(_, s)| s.role == role).map(|(i, _)| i);
    if last { found.next_back() } else { found.next() }
}

fn stations_with(stations: &[Station], roles: [StationRole; 2]) -> Vec<usize> {
    let has =
        |role| stations.iter().enumerate().filter(move |(_, s)| roles.contains(&s.role) && s.role == role);
    // The end itself if the table names one, else the station that belongs to it.
    let end: Vec<usize> = has(roles[0]).map(|(i, _)| i).collect();
    if end.is_empty() { has(roles[1]).map(|(i, _)| i).collect() } else { end }
}

pub(super) fn head_stations(stations: &[Station]) -> Vec<usize> {
    stations_with(stations, [StationRole::HeadEnd, StationRole::TopOfRingTravel])
}

pub(super) fn base_stations(stations: &[Station]) -> Vec<usize> {
    stations_with(stations, [StationRole::BaseEnd, StationRole::BelowRingTravel])
}

pub(super) fn step_stations(stations: &[Station]) -> Option<(usize, usize)> {
    let above = station_with(stations, StationRole::AboveRingTravel, true);
    above.zip(station_with(stations, StationRole::TopOfRingTravel, false))
}

pub(super) fn resolve_stations(reader: &mut Reader<'_>) -> Vec<Station> {
    let mut stations = Vec::with_capacity(reader.table.stations.len());
    for (i, station) in reader.table.stations.iter().enumerate() {
        let path = top("stations").element(i).field("depth");
        if let Some(depth) = reader.bound(&station.depth, path, &format!("station {}", station.name)) {
            stations.push(Station { name: station.name.clone(), depth: depth.length, role: station.role });
        }
    }
    stations.sort_by_key(|station| match reader.table.datum {
        Datum::HeadEnd => station.depth,
        Datum::BaseEnd => -station.depth,
    });
    stations
}

pub(super) fn resolve_sizes(reader: &mut Reader<'_>, cut: &CutLimit) -> Vec<SizeRow> {
    let table = reader.table;
    let mut sizes = Vec::with_capacity(table.bore.len());
    for (i, row) in table.bore.iter().enumerate() {
        let path = top("bore").element(i);
        let (oversize, name) = match &row.size {
            Size::Standard => (Some(Length::ZERO), "standard".to_owned()),
            Size::Oversize(text) => match Length::parse(text, table.unit) {
                Ok(entry) => (Some(entry.length), format!("+{}", entry.length.text(entry.style))),
                Err(error) => {
                    reader.errors.push(
                        Diagnostic::error(error.to_string())
                            .at(path.field("size"))
                            .place(format!("bore row {}", i + 1)),
                    );
                    (None, String::new())
                }
            },
        };
        let place = format!("bore, {name}");
        let new = reader.pair(&row.new, &path.field("new"), &place);
        let serviceable = reader.limit(
            row.serviceable.as_ref(),
            new.as_ref().map(|new| &new.1),
            1,
            path.field("serviceable"),
            &place,
        );
        let (Some(oversize), Some(new)) = (oversize, new) else { continue };
        let wall_allows = oversize == Length::ZERO
            || match cut {
                CutLimit::Allowed => true,
                CutLimit::NotAllowed => false,
                CutLimit::NoDeeperThan(deepest) => oversize <= deepest.length * 2,
            };
        sizes.push(SizeRow {
            size: row.size.clone(),
            name,
            oversize,
            new,
            serviceable,
            source: source(&row.reference, &row.place),
            wall_allows,
        });
    }
    sizes.sort_by_key(|row| row.oversize);
    if sizes.first().is_none_or(|row| row.oversize != Length::ZERO) && reader.errors.is_empty() {
        reader.errors.push(
            Diagnostic::error("the table has no bore row for the standard size")
                .at(top("bore"))
                .remedy("Write a row with size: Standard."),
        );
    }
    sizes
}

/// A row of the shape; none if the table has not the stations that it needs.
pub(super) fn resolve_row(
    reader: &mut Reader<'_>,
    row: &ShapeRow,
    stations: &[Station],
    worn: &Arc<[usize]>,
) -> Option<RowLimits> {
    let (name, fields) = (row.kind.name(), row.kind.name().fields());
    let (words, path) = (name.words(), top(name.key()));
    let as_made = path.field("new");
    let new = match fields.new {
        AsMade::Nothing => (None, None),
        AsMade::Greatest => (None, reader.optional(row.new.1.as_ref(), as_made, words)),
        AsMade::Both => (
            reader.optional(row.new.0.as_ref(), as_made.element(0), words),
            reader.optional(row.new.1.as_ref(), as_made.element(1), words),
        ),
    };
    let limit = reader.amount(row.limit.as_ref(), row.new.1.as_ref(), path.field(fields.limit), words);
    let over = match name.needs() {
        Needs::Worn => Over::Stations(worn.clone()),
        Needs::WornOrNamed if row.stations.is_empty() => Over::Stations(worn.clone()),
        Needs::WornOrNamed => {
            let mut named = Vec::with_capacity(row.stations.len());
            for (i, name) in row.stations.iter().enumerate() {
                match stations.iter().position(|station| station.name == *name) {
                    Some(index) => named.push(index),
                    // Its depth cannot be read, which is said already.
                    None if reader.table.stations.iter().any(|station| station.name == *name) => {}
                    None => reader.errors.push(
                        Diagnostic::error(format!("there is no station `{name}`"))
                            .at(path.field("stations").element(i))
                            .place(words)
                            .remedy("Name a station of this table."),
                    ),
                }
            }
            named.sort_unstable();
            Over::Stations(named.into())
        }
        Needs::Ends => {
            let (head, base) = (head_stations(stations), base_stations(stations));
            if head.is_empty() || base.is_empty() {
                let (end, role) = if head.is_empty() { ("head", "HeadEnd") } else { ("base", "BaseEnd") };
                reader.errors.push(
                    Diagnostic::error(format!("{words} needs a station at the {end} end"))
                        .at(path)
                        .place(words)
                        .remedy(format!("Give one station role: {role}.")),
                );
            }
            Over::Ends { head: head.into(), base: base.into() }
        }
        Needs::Lip => {
            let Some((above, top)) = step_stations(stations) else {
                reader.errors.push(
                    Diagnostic::error(format!(
                        "a {words} needs one station above ring travel and one at its top"
                    ))
                    .at(path)
                    .place(words)
                    .remedy(
                        "Give one station role: AboveRingTravel and the one below it role: TopOfRingTravel.",
                    ),
                );
                return None;
            };
            Over::Lip { above, top }
        }
    };
    Some(RowLimits {
        kind: row.kind,
        side: name.side(),
        over,
        new,
        limit,
        when_beyond: row.when_beyond,
        source: source(&row.reference, &row.place),
    })
}
