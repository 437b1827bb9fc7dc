//! The frame of reference: stations, axes and ring travel, and whether the rows find the stations they need.

use std::collections::BTreeSet;

use crate::diag::{TellAt, likely_intended};
use crate::limits::rows::{Needs, RowName};
use crate::limits::schema::{Datum, ShapeRow, StationRole, TableOfLimits};
use quantities::length::{Entry, Length};

use super::{Check, Location, text};

/// No barrel is measured at more depths.
const MOST_STATIONS: usize = 40;
/// Nor in more directions.
const MOST_AXES: usize = 12;

/// Where a role belongs, counted from the head end; equal ones may stand in any order.
fn rank(role: StationRole) -> u8 {
    match role {
        StationRole::AboveRingTravel | StationRole::TopOfRingTravel | StationRole::HeadEnd => 0,
        StationRole::RunningSurface => 1,
        StationRole::BaseEnd | StationRole::BelowRingTravel => 2,
    }
}

/// Must a station of role `upper` be nearer the head than one of role `lower`?
fn belongs_above(upper: StationRole, lower: StationRole) -> bool {
    rank(upper) < rank(lower)
        || (upper, lower) == (StationRole::AboveRingTravel, StationRole::TopOfRingTravel)
}

/// Turns a depth into a distance that grows away from the head end.
fn from_head(datum: Datum, depth: Length) -> Length {
    match datum {
        Datum::HeadEnd => depth,
        Datum::BaseEnd => -depth,
    }
}

fn datum_words(datum: Datum) -> &'static str {
    match datum {
        Datum::HeadEnd => "the head end",
        Datum::BaseEnd => "the base end",
    }
}

/// Names, depths and order of the stations.
pub(super) fn stations(check: &mut Check<'_>) {
    let table = check.table;
    let all = Location::top("stations", "stations");
    if table.stations.is_empty() {
        check.error(&all, "There is no station.", "Write the depths at which diameters are taken.");
    }
    if check.too_many(table.stations.len(), MOST_STATIONS, &all) {
        return;
    }
    let mut names = BTreeSet::new();
    let mut placed: Vec<(Length, usize)> = Vec::new();
    for (i, station) in table.stations.iter().enumerate() {
        let location = all.element(i).called(format!("station {}", station.name));
        let name = location.field("name");
        if station.name.trim().is_empty() {
            check.error(&name.called("stations"), "A station has no name.", "Name it, such as `A`.");
        } else if !names.insert(station.name.as_str()) {
            check.error(&name, "Two stations have this name.", "Give each station a name of its own.");
        }
        let at = location.field("depth");
        if let Some(depth) = check.value(&station.depth, &at) {
            if depth.length < Length::ZERO {
                check.error(
                    &at,
                    format!("The depth {} is beyond {}.", text(depth), datum_words(table.datum)),
                    "Count depths from the datum into the barrel, or choose the other end as the datum.",
                );
            }
            placed.push((from_head(table.datum, depth.length), i));
        }
    }
    placed.sort_unstable();
    for pair in placed.windows(2) {
        let &[(upper_depth, upper), (lower_depth, lower)] = pair else { continue };
        let (Some(upper), Some(lower_station)) = (table.stations.get(upper), table.stations.get(lower))
        else {
            continue;
        };
        let location = all.element(lower).called(format!("station {}", lower_station.name));
        if upper_depth == lower_depth {
            check.error(
                &location.field("depth"),
                format!("Stations {} and {} have the same depth.", upper.name, lower_station.name),
                "Give each station its own depth, or delete one of them.",
            );
        } else if belongs_above(lower_station.role, upper.role) {
            check.error(
                &location.field("role"),
                format!(
                    "Station {} ({}) is farther from the head than station {} ({}).",
                    lower_station.name,
                    lower_station.role.words(),
                    upper.name,
                    upper.role.words()
                ),
                format!(
                    "Depths are counted from {}: check the datum, the depths and the roles.",
                    datum_words(table.datum)
                ),
            );
        }
    }
}

/// Labels and directions of the axes.
pub(super) fn axes(check: &mut Check<'_>) {
    let table = check.table;
    let all = Location::top("axes", "axes");
    if table.axes.is_empty() {
        check.error(
            &all,
            "There is no axis.",
            "Write the directions across the bore, such as 0 and 90 degrees.",
        );
        return;
    }
    if check.too_many(table.axes.len(), MOST_AXES, &all) {
        return;
    }
    let mut labels = BTreeSet::new();
    let mut directions: Vec<f64> = Vec::new();
    for (i, axis) in table.axes.iter().enumerate() {
        let location = all.element(i).called(format!("axis {}", axis.label));
        if axis.label.trim().is_empty() {
            check.error(
                &location.field("label").called("axes"),
                "An axis has no label.",
                "Label it, such as `thrust`.",
            );
        } else if !labels.insert(axis.label.as_str()) {
            check.error(
                &location.field("label"),
                "Two axes have this label.",
                "Give each axis a label of its own.",
            );
        }
        let at = location.field("degrees");
        if !(0.0..180.0).contains(&axis.degrees) {
            let folded = axis.degrees.rem_euclid(180.0);
            let remedy = if folded.is_finite() {
                format!("Write it from 0 to below 180; the same direction is {folded}.")
            } else {
                "Write it from 0 to below 180.".to_owned()
            };
            check.error(&at, format!("{} degrees is no direction across the bore.", axis.degrees), remedy);
        } else if directions.contains(&axis.degrees) {
            check.error(
                &at,
                "Two axes have the same direction.",
                "Delete one of them, or correct its degrees.",
            );
        } else {
            directions.push(axis.degrees);
        }
    }
    let required: Vec<f64> =
        table.axes.iter().filter(|axis| !axis.optional).map(|axis| axis.degrees).collect();
    if required.is_empty() {
        check.error(
            &all,
            "Every axis is optional, so nothing would have to be measured.",
            "Leave `optional` out of the axes that a survey must have.",
        );
        return;
    }
    let right_angle = |a: &f64| required.iter().any(|b| ((a - b).abs() - 90.0).abs() <= 0.5);
    // Of a single axis the out-of-round row says so.
    let said = required.len() == 1 && compares_axes(table).is_some();
    if !said && !required.iter().any(right_angle) {
        check.note(
            &all,
            "No two of the axes that must be measured are at right angles to each other.",
            "Two diameters 90 degrees apart at every station are customary (FAA-H-8083-32).",
        );
    }
}

/// The first row that compares two axes at a station.
fn compares_axes(table: &TableOfLimits) -> Option<RowName> {
    table.shape_rows().map(|row| row.kind.name()).find(|row| row.needs_two_axes())
}

/// A row may compare two axes at every station, so two must be measured.
pub(super) fn second_axis(check: &mut Check<'_>) {
    let table = check.table;
    let required = table.axes.iter().filter(|axis| !axis.optional).count();
    if let Some(row) = compares_axes(table)
        && required == 1
    {
        check.error(
            &Location::top("axes", "axes"),
            format!("The table limits {}, and only one axis must be measured.", row.words()),
            "Add a second axis at right angles, or leave `optional` out of it.",
        );
    }
}

/// Order of the ring travel, and the stations' roles against it.
pub(super) fn ring_travel(check: &mut Check<'_>) {
    let table = check.table;
    let Some((top, bottom)) = &table.ring_travel else { return };
    let location = Location::top("ring_travel", "ring travel");
    let top = check.value(top, &location.element(0));
    let bottom = check.value(bottom, &location.element(1));
    let Some((top, bottom)) = top.zip(bottom) else { return };
    let distance = |entry: Entry| from_head(table.datum, entry.length);
    if distance(top) >= distance(bottom) {
        check.error(
            &location,
            format!(
                "The top of ring travel {} is not nearer the head than its bottom {}.",
                text(top),
                text(bottom)
            ),
            format!("Write the top first; both are counted from {}.", datum_words(table.datum)),
        );
        return;
    }
    if table.stations.len() > MOST_STATIONS {
        return;
    }
    for (i, station) in table.stations.iter().enumerate() {
        let Some(depth) = check.silently(&station.depth) else { continue };
        let at = Location::top("stations", "")
            .element(i)
            .field("role")
            .called(format!("station {}", station.name));
        let depth = distance(depth);
        let within = depth >= distance(top) && depth <= distance(bottom);
        let (fits, error) = match station.role {
            StationRole::AboveRingTravel => (depth < distance(top), true),
            StationRole::BelowRingTravel => (depth > distance(bottom), true),
            StationRole::TopOfRingTravel => (within, true),
            StationRole::HeadEnd | StationRole::RunningSurface | StationRole::BaseEnd => (within, false),
        };
        if fits {
            continue;
        }
        let where_it_is = if within {
            "within"
        } else if depth < distance(top) {
            "above"
        } else {
            "below"
        };
        let message = format!(
            "The station is called `{}`, but its depth is {where_it_is} the ring travel ({} to {}).",
            station.role.words(),
            text(top),
            text(bottom)
        );
        let remedy = "Check its depth, its role and the ring travel.";
        if error { check.error(&at, message, remedy) } else { check.note(&at, message, remedy) }
    }
}

fn has(check: &Check<'_>, roles: &[StationRole]) -> bool {
    check.table.stations.iter().any(|station| roles.contains(&station.role))
}

const HEAD: [StationRole; 2] = [StationRole::HeadEnd, StationRole::TopOfRingTravel];
const BASE: [StationRole; 2] = [StationRole::BaseEnd, StationRole::BelowRingTravel];

/// Whether a row of the shape finds the stations that it needs.
pub(super) fn row_stations(check: &mut Check<'_>, row: &ShapeRow, location: &Location) {
    use StationRole as R;
    let words = row.kind.words();
    let missing = match row.kind.name().needs() {
        Needs::Worn => None,
        Needs::WornOrNamed => return worn_or_named(check, row, location),
        Needs::Ends => (!(has(check, &HEAD) && has(check, &BASE)))
            .then_some("a station of the head end and one of the base end"),
        Needs::Lip => (!(has(check, &[R::AboveRingTravel]) && has(check, &[R::TopOfRingTravel])))
            .then_some("a station above ring travel and one at the top of ring travel"),
    };
    if let Some(missing) = missing {
        let remedy = "Add the missing station, or give it its role.";
        check.error(location, format!("A {words} needs {missing}."), remedy);
    }
}

/// The stations of a row that may name some.
fn worn_or_named(check: &mut Check<'_>, row: &ShapeRow, location: &Location) {
    let table = check.table;
    let words = row.kind.words();
    let at = location.field("stations");
    if row.stations.is_empty() {
        let worn =
            table.stations.iter().filter(|station| station.role != StationRole::AboveRingTravel).count();
        if worn < 2 {
            check.error(
                location,
                format!("A {words} needs two stations within the worn part of the barrel."),
                "Add a station at the other end.",
            );
        } else if !(has(check, &HEAD) && has(check, &BASE)) {
            check.error(
                location,
                format!("A {words} needs a station of the head end and one of the base end."),
                "Give the uppermost and the lowest station their roles, or name the stations it is judged on.",
            );
        }
        if table.shape_row(RowName::Choke).is_some() {
            check.note(
                &at,
                format!("The barrel is choked by design, and the {words} is judged over all of it."),
                "Name the stations between which the barrel is parallel, if the manual does.",
            );
        }
        return;
    }
    if check.too_many(row.stations.len(), MOST_STATIONS, &at) || table.stations.len() > MOST_STATIONS {
        return;
    }
    let mut seen = BTreeSet::new();
    for (i, name) in row.stations.iter().enumerate() {
        if !seen.insert(name) {
            check.error(&at.element(i), format!("Station {name} is named twice."), "Name each station once.");
        }
        if !table.stations.iter().any(|station| station.name == *name) {
            let intended = likely_intended(name, table.stations.iter().map(|station| station.name.as_str()));
            let remedy = intended.map_or("Name one of the table's stations.".to_owned(), |intended| {
                format!("Write `{intended}` if that is meant.")
            });
            check.error(&at.element(i), format!("There is no station {name}."), remedy);
        }
    }
    if seen.len() < 2 {
        check.error(
            &at,
            format!("A {words} needs two stations."),
            "Name at least two, or none for all of them.",
        );
    }
}
