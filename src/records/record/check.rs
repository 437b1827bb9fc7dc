//! Looks a record over as a whole: dates, hours, names and references that contradict each other.
//!
//! The readings themselves are looked at where they become diameters. Nothing here reads the clock: a date
//! is judged by the record's other dates. An error is something that cannot be so; a note is something that
//! is unusual or not yet written.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::diag::{Diagnostic, FieldPath, Location, MOST_NAMES, TellAt, likely_intended};
use crate::limits::validate::sensible_ppm;

use super::schema::{
    Calibration, Distribution, EngineRecord, FORMAT, FurtherSource, Gauge, Overhaul, Reads, Temperatures,
};

/// Engines of this kind are no older.
const FIRST_YEAR: i16 = 1900;
/// A date so many years behind the record's median one is most likely mistyped.
const FAR_YEARS: i16 = 60;

/// Every problem of a record as a whole, errors first.
pub fn check(record: &EngineRecord) -> Vec<Diagnostic> {
    let mut check = Check { reported: Vec::new() };
    heading(&mut check, record);
    tables(&mut check, record);
    dates(&mut check, &record.overhauls);
    hours(&mut check, &record.overhauls);
    let known: BTreeSet<(&str, &str)> =
        record.tables.iter().map(|table| (table.identity.as_str(), table.revision.as_str())).collect();
    for (i, overhaul) in record.overhauls.iter().enumerate() {
        let location = overhaul_spot(i, overhaul);
        table_reference(&mut check, overhaul, &known, &location);
        missing(&mut check, overhaul, &location);
        tools(&mut check, overhaul, &location);
        cylinders(&mut check, overhaul, &location);
    }
    let mut reported = check.reported;
    reported.sort_by_key(|diagnostic| Reverse(diagnostic.severity));
    reported
}

/// The errors in what an overhaul was measured with: temperatures, setting standards and gauges. `path` leads to
/// the overhaul.
pub(super) fn errors_in_tools(overhaul: &Overhaul, path: &FieldPath) -> Vec<Diagnostic> {
    errors(overhaul, path, tools)
}

/// The errors in an overhaul's cylinders. `path` leads to the overhaul.
pub(super) fn errors_in_cylinders(overhaul: &Overhaul, path: &FieldPath) -> Vec<Diagnostic> {
    errors(overhaul, path, cylinders)
}

fn errors(
    overhaul: &Overhaul,
    path: &FieldPath,
    part: impl FnOnce(&mut Check, &Overhaul, &Location),
) -> Vec<Diagnostic> {
    let mut check = Check { reported: Vec::new() };
    let location = Location { path: path.clone(), place: format!("overhaul of {}", overhaul.date) };
    part(&mut check, overhaul, &location);
    check.reported.retain(Diagnostic::is_error);
    check.reported
}

/// What the readings were taken with.
fn tools(check: &mut Check, overhaul: &Overhaul, location: &Location) {
    if let Some(temperatures) = &overhaul.temperatures {
        self::temperatures(check, temperatures, &location.field("temperatures"));
    }
    standards(check, overhaul, location);
    gauges(check, overhaul, location);
}

fn overhaul_spot(index: usize, overhaul: &Overhaul) -> Location {
    let mut location = Location::top("overhauls", "").element(index);
    location.place = format!("overhaul of {}", overhaul.date);
    location
}

/// What there is to tell.
struct Check {
    reported: Vec<Diagnostic>,
}

impl TellAt for Check {
    fn reported(&mut self) -> &mut Vec<Diagnostic> {
        &mut self.reported
    }
}

impl Check {
    /// Tells a number that must be finite and positive.
    fn positive(&mut self, number: f64, what: &str, location: &Location, remedy: &str) {
        if !(number.is_finite() && number > 0.0) {
            self.error(location, format!("{number} cannot be the {what}."), remedy);
        }
    }

    fn dof(&mut self, dof: Option<f64>, location: &Location) {
        if let Some(dof) = dof {
            let remedy = "Write how many there are, or leave the field out where they are not stated.";
            self.positive(dof, "degrees of freedom", location, remedy);
        }
    }

    fn ppm(&mut self, ppm: Option<f64>, location: &Location) {
        if let Some(ppm) = ppm
            && !sensible_ppm(ppm)
        {
            self.error(
                location,
                format!("An expansion coefficient of {ppm} millionths per kelvin is out of the question."),
                "Write it in millionths per kelvin: about 11.5 for steel, 23 for aluminium.",
            );
        }
    }
}

fn heading(check: &mut Check, record: &EngineRecord) {
    if record.format != FORMAT {
        check.error(
            &Location::top("format", "record"),
            format!("This record is of format {}; known is {FORMAT}.", record.format),
            format!("Write `format: {FORMAT}`."),
        );
    }
    let engine = Location::top("engine", "engine");
    for (name, text, what) in [
        ("model", &record.engine.model, "the engine's model"),
        ("serial", &record.engine.serial, "the engine's serial number"),
    ] {
        not_yet_written(check, text, what, &engine.field(name));
    }
    if record.overhauls.is_empty() {
        check.note(
            &Location::top("overhauls", "record"),
            "Not yet written: any overhaul.",
            "Add one with its readings.",
        );
    }
}

fn not_yet_written(check: &mut Check, text: &str, what: &str, location: &Location) {
    if text.trim().is_empty() {
        check.note(location, format!("Not yet written: {what}."), "The permanent record needs it.");
    }
}

/// Tables that go by the same name.
fn tables(check: &mut Check, record: &EngineRecord) {
    let mut seen = BTreeSet::new();
    for (i, table) in record.tables.iter().enumerate() {
        if !seen.insert((&table.identity, &table.revision)) {
            let mut location = Location::top("tables", "").element(i);
            location.place = format!("table {} revision {}", table.identity, table.revision);
            check.error(
                &location.field("revision"),
                "Two tables of the record have this identity and revision.",
                "Keep only one of them, or correct the revision of the one that is wrong.",
            );
        }
    }
}

/// The table an overhaul refers to.
fn table_reference(
    check: &mut Check,
    overhaul: &Overhaul,
    known: &BTreeSet<(&str, &str)>,
    location: &Location,
) {
    let at = location.field("limits");
    let Some(reference) = &overhaul.limits else {
        check.note(
            &at,
            "Not yet written: the table of limits that this overhaul is judged by.",
            "Give one with --limits, or name one of the record's tables.",
        );
        return;
    };
    if known.contains(&(reference.identity.as_str(), reference.revision.as_str())) {
        return;
    }
    let full = |identity: &str, revision: &str| format!("{identity} revision {revision}");
    let names: Vec<String> =
        known.iter().take(MOST_NAMES).map(|(identity, revision)| full(identity, revision)).collect();
    let wanted = full(&reference.identity, &reference.revision);
    let remedy = match likely_intended(&wanted, names.iter().map(String::as_str)) {
        Some(intended) => format!("Name {intended} if that is meant, or give the table with --limits."),
        None => "Give the table with --limits, or name one that the record holds.".to_owned(),
    };
    check.error(&at, format!("The record does not hold the table {wanted}."), remedy);
}

/// The order of the overhauls, and dates that cannot be.
fn dates(check: &mut Check, overhauls: &[Overhaul]) {
    let mut sorted: Vec<Date> =
        overhauls.iter().map(|overhaul| overhaul.date).filter(|date| date.year() >= FIRST_YEAR).collect();
    sorted.sort_unstable();
    // The lower one of an even number: the later of two dates is to be seen as far away.
    let median = sorted.get(sorted.len().saturating_sub(1) / 2).copied();
    let mut last: Option<Date> = None;
    for (i, overhaul) in overhauls.iter().enumerate() {
        let at = overhaul_spot(i, overhaul).field("date");
        let date = overhaul.date;
        if date.year() < FIRST_YEAR {
            check.error(&at, format!("{date} is before {FIRST_YEAR}."), "Check the year.");
        } else if let Some(median) = median
            && i32::from(date.year()) - i32::from(median.year()) > i32::from(FAR_YEARS)
        {
            check.error(
                &at,
                format!("{date} is more than {FAR_YEARS} years after the record's other dates."),
                "Check the year.",
            );
        }
        match last {
            Some(last) if date == last => check.error(
                &at,
                "Two overhauls have this date.",
                "Put the readings of one overhaul together, or correct the date of one.",
            ),
            Some(last) if date < last => check.error(
                &at,
                format!("This overhaul stands behind the one of {last}, but is earlier."),
                "Put the overhauls in order, the earliest first, or correct the date.",
            ),
            Some(_) | None => {}
        }
        last = Some(last.map_or(date, |last| last.max(date)));
    }
}

/// Hours, from one overhaul to the next in the order of their dates.
fn hours(check: &mut Check, overhauls: &[Overhaul]) {
    let mut in_order: Vec<(usize, &Overhaul)> = overhauls.iter().enumerate().collect();
    in_order.sort_by_key(|(_, overhaul)| overhaul.date);
    let mut most: Option<(f64, Date)> = None;
    for (i, overhaul) in in_order {
        let location = overhaul_spot(i, overhaul);
        let sensible = |hours: Option<f64>| hours.filter(|hours| hours.is_finite() && *hours >= 0.0);
        for (name, hours) in
            [("total_hours", overhaul.total_hours), ("hours_since_overhaul", overhaul.hours_since_overhaul)]
        {
            if let Some(hours) = hours
                && sensible(Some(hours)).is_none()
            {
                check.error(&location.field(name), format!("{hours} cannot be hours."), "Write 0 or more.");
            }
        }
        let since = sensible(overhaul.hours_since_overhaul);
        let Some(total) = sensible(overhaul.total_hours) else { continue };
        let at = location.field("total_hours");
        if since.is_some_and(|since| since > total) {
            check.error(
                &location.field("hours_since_overhaul"),
                "There are more hours since the overhaul before than in total.",
                "Check both; they may be exchanged.",
            );
        }
        // The most hours so far, and the overhaul that gave them.
        match most {
            Some((most, date)) if total < most => check.error(
                &at,
                format!("The total of {total} h is less than the {most} h at the overhaul of {date}."),
                "Total time never goes back: check both, and whether a meter was replaced.",
            ),
            _ => most = Some((total, overhaul.date)),
        }
    }
}

/// What the permanent record needs and does not have yet.
fn missing(check: &mut Check, overhaul: &Overhaul, location: &Location) {
    let inspector = location.field("inspector");
    not_yet_written(check, &overhaul.inspector.name, "the inspector's name", &inspector.field("name"));
    if !overhaul.inspector.name.trim().is_empty() {
        let what = "the inspector's certificate";
        not_yet_written(check, &overhaul.inspector.certificate, what, &inspector.field("certificate"));
    }
    if overhaul.total_hours.is_none() {
        check.note(
            &location.field("total_hours"),
            "Not yet written: the engine's total time.",
            "Without it wear cannot be followed over hours.",
        );
    }
    if overhaul.cylinders.is_empty() {
        check.note(
            &location.field("cylinders"),
            "Not yet written: any cylinder.",
            "Add the cylinders in bank order.",
        );
    }
}

fn temperatures(check: &mut Check, temperatures: &Temperatures, location: &Location) {
    for (name, degrees) in [("barrel", temperatures.barrel), ("gauge", temperatures.gauge)] {
        temperature(check, degrees, &location.field(name));
    }
    for (name, within, unit) in [
        ("within", temperatures.within, "kelvin"),
        ("expansion_within_ppm", temperatures.expansion_within_ppm, "millionths per kelvin"),
    ] {
        if let Some(within) = within
            && !(within.is_finite() && within >= 0.0)
        {
            check.error(
                &location.field(name),
                format!("Within {within} {unit} cannot be."),
                "Write how far off it may be, as 0 or more.",
            );
        }
    }
    check.ppm(temperatures.barrel_expansion_ppm, &location.field("barrel_expansion_ppm"));
}

fn temperature(check: &mut Check, degrees: f64, location: &Location) {
    if !(-40.0..=80.0).contains(&degrees) {
        check.error(
            location,
            format!("Nobody measures at {degrees} °C."),
            "Write the temperature in degrees Celsius; 68 °F are 20 °C.",
        );
    }
}

fn calibration(check: &mut Check, calibration: &Calibration, day: Date, location: &Location) {
    let location = location.field("calibration");
    let remedy = "Write the coverage factor that the certificate states, usually 2.";
    check.positive(calibration.k, "coverage factor", &location.field("k"), remedy);
    check.dof(calibration.dof, &location.field("dof"));
    if let Some(due) = calibration.due
        && due <= day
    {
        check.note(
            &location.field("due"),
            format!("Its calibration was out of date on the day of measuring: it was due on {due}."),
            "Have it calibrated, and measure again where it was off.",
        );
    }
}

fn standards(check: &mut Check, overhaul: &Overhaul, location: &Location) {
    let mut names = BTreeSet::new();
    for (i, standard) in overhaul.standards.iter().enumerate() {
        let location =
            location.field("standards").element(i).detail(&format!("setting standard {}", standard.name));
        named_once(check, &standard.name, &mut names, "setting standards", &location);
        if let Some(certificate) = &standard.calibration {
            calibration(check, certificate, overhaul.date, &location);
        }
        check.ppm(standard.expansion_ppm, &location.field("expansion_ppm"));
    }
}

/// Tells a name that is blank or taken.
fn named_once<'a>(
    check: &mut Check,
    name: &'a str,
    names: &mut BTreeSet<&'a str>,
    what: &str,
    location: &Location,
) {
    let at = location.field("name");
    if name.trim().is_empty() {
        check.error(
            &at,
            format!("One of the {what} has no name."),
            "Name it, so that it can be referred to.",
        );
    } else if !names.insert(name) {
        check.error(&at, format!("Two {what} have this name."), "Give each a name of its own.");
    }
}

fn gauges(check: &mut Check, overhaul: &Overhaul, location: &Location) {
    let standards: BTreeSet<&str> =
        overhaul.standards.iter().map(|standard| standard.name.as_str()).collect();
    let mut names = BTreeSet::new();
    for (i, gauge) in overhaul.gauges.iter().enumerate() {
        let location = location.field("gauges").element(i).detail(&format!("gauge {}", gauge.name));
        named_once(check, &gauge.name, &mut names, "gauges", &location);
        zeroed_on(check, gauge, &standards, &location);
        if let Some(certificate) = &gauge.calibration {
            calibration(check, certificate, overhaul.date, &location);
        }
        if let Some(repeatability) = &gauge.repeatability {
            check.dof(Some(repeatability.dof), &location.field("repeatability").field("dof"));
        }
        check.ppm(gauge.expansion_ppm, &location.field("expansion_ppm"));
        for (j, source) in gauge.further.iter().enumerate() {
            further(check, source, &location.field("further").element(j));
        }
    }
}

fn further(check: &mut Check, source: &FurtherSource, location: &Location) {
    if let Distribution::Normal { k } = source.distribution {
        let remedy = "Write how many standard uncertainties the half-width is, usually 2.";
        check.positive(k, "number of standard uncertainties", &location.field("distribution"), remedy);
    }
    check.dof(source.dof, &location.field("dof"));
}

/// The setting standard of a comparative gauge.
fn zeroed_on(check: &mut Check, gauge: &Gauge, standards: &BTreeSet<&str>, location: &Location) {
    let at = location.field("zeroed_on");
    match &gauge.zeroed_on {
        None if gauge.reads != Reads::Diameter => check.error(
            &at,
            "The gauge reads a deviation, but it is not written from which setting standard.",
            "Write `zeroed_on:` with the standard's name.",
        ),
        Some(name) if !standards.contains(name.as_str()) => {
            let intended = likely_intended(name, standards.iter().copied());
            let remedy = match intended {
                Some(intended) => {
                    format!("Write `{intended}` if that is meant, or add the standard with its size.")
                }
                None => "Add the standard with its size to the overhaul.".to_owned(),
            };
            check.error(&at, format!("There is no setting standard called {name}."), remedy);
        }
        Some(_) | None => {}
    }
    if gauge.reads == Reads::Graduations && gauge.graduation.is_none() {
        check.error(
            &location.field("graduation"),
            "The gauge counts graduations, but it is not written what one is worth.",
            "Write `graduation:` with its value on the diameter, such as \"0.0001\".",
        );
    }
}

/// Where in a list each name is given.
fn places_by<'a>(names: impl Iterator<Item = &'a str>) -> BTreeMap<&'a str, Vec<usize>> {
    let mut places: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, name) in names.enumerate() {
        places.entry(name.trim()).or_default().push(i);
    }
    places
}

fn cylinders(check: &mut Check, overhaul: &Overhaul, location: &Location) {
    let positions = places_by(overhaul.cylinders.iter().map(|cylinder| cylinder.position.as_str()));
    let serials = places_by(overhaul.cylinders.iter().map(|cylinder| cylinder.serial.as_str()));
    for (i, cylinder) in overhaul.cylinders.iter().enumerate() {
        let words = match cylinder.position.trim() {
            "" => format!("cylinder without a position ({} in the list)", i + 1),
            position => format!("cylinder {position}"),
        };
        let location = location.field("cylinders").element(i).detail(&words);
        for (name, text, what, given) in [
            ("position", &cylinder.position, "position", &positions),
            ("serial", &cylinder.serial, "serial number", &serials),
        ] {
            let text = text.trim();
            let at = location.field(name);
            if text.is_empty() {
                check.note(
                    &at,
                    format!("Not yet written: the cylinder's {what}."),
                    "The permanent record needs it; a cylinder is followed by its own serial number.",
                );
                continue;
            }
            // Which of them is wrong nobody knows, so each is told.
            let other = given.get(text).into_iter().flatten().find(|&&other| other != i);
            if let Some(other) = other {
                check.error(
                    &at,
                    format!("The {what} {text} is also given to cylinder {} in the list.", other + 1),
                    "Correct the one that is wrong.",
                );
            }
        }
        for (j, reading) in cylinder.readings.iter().enumerate() {
            // Under a signature it keeps its place: what is changed is known by the place in the list.
            if reading.entered.is_empty() && overhaul.seal.is_none() {
                let words = format!("station {}, {} axis", reading.station, reading.axis);
                check.error(
                    &location.field("readings").element(j).field("entered").detail(&words),
                    "There is a place for readings, but none is entered.",
                    "Enter the readings, or delete the empty place.",
                );
            }
        }
        for (j, fit) in cylinder.fits.iter().enumerate() {
            let at = location.field("fits").element(j).detail(&format!("fit {}", fit.row));
            for (name, degrees) in
                [("hole_temperature", fit.hole_temperature), ("shaft_temperature", fit.shaft_temperature)]
            {
                if let Some(degrees) = degrees {
                    temperature(check, degrees, &at.field(name));
                }
            }
        }
        for (j, finding) in cylinder.findings.iter().enumerate() {
            if let Some(degrees) = finding.degrees
                && !(0.0..=360.0).contains(&degrees)
            {
                check.error(
                    &location.field("findings").element(j).field("degrees").detail(finding.kind.words()),
                    format!("{degrees} degrees is no direction around the bore."),
                    "Write it from 0 to 360, counted like the axes.",
                );
            }
        }
    }
}

#[cfg(test)]
mod tests;
