//! What each command changes in the record.

use super::{Command, CylinderEdit, Mark, OverhaulEdit};
use crate::seal;
use records::bore::Point;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::entry::place;
use records::record::schema::{
    Cylinder, EngineRecord, Gauge, Overhaul, Reading, SettingStandard, TableReference,
};

impl Command {
    /// Changes the record. What does not exist is left alone.
    pub(in crate::session) fn apply(
        self,
        record: &mut EngineRecord,
        overhaul: usize,
        limits: Option<&Limits>,
    ) {
        match self {
            Self::Cylinder(index, edit) => {
                let Some(overhaul) = record.overhauls.get_mut(overhaul) else { return };
                let amended = overhaul.seal.is_some();
                if let Some(cylinder) = overhaul.cylinders.get_mut(index) {
                    edit.apply(cylinder, limits, amended);
                }
            }
            Self::Overhaul(edit) => {
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    edit.apply(overhaul);
                }
            }
            Self::AddOverhaul(new) => new.add_to(record),
            Self::SwapLimits(table) => {
                let named =
                    TableReference { identity: table.identity.clone(), revision: table.revision.clone() };
                let same =
                    |t: &&mut TableOfLimits| t.identity == named.identity && t.revision == named.revision;
                match record.tables.iter_mut().find(same) {
                    Some(found) => *found = *table,
                    None => record.tables.push(*table),
                }
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    overhaul.limits = Some(named);
                }
            }
            Self::EditLimits(index, table) => {
                if let Some(found) = record.tables.get_mut(index) {
                    let before = (found.identity.clone(), found.revision.clone());
                    let after =
                        TableReference { identity: table.identity.clone(), revision: table.revision.clone() };
                    *found = *table;
                    for named in record.overhauls.iter_mut().filter_map(|o| o.limits.as_mut()) {
                        if (&named.identity, &named.revision) == (&before.0, &before.1) {
                            *named = after.clone();
                        }
                    }
                }
            }
            Self::EngineModel(text) => record.engine.model = text,
            Self::EngineSerial(text) => record.engine.serial = text,
            Self::EngineOwner(text) => record.engine.owner = text,
            Self::EngineInstalledIn(text) => record.engine.installed_in = text,
            Self::Import(import) => {
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    // Under a signature what is new stands behind the rest: see `CylinderEdit::apply`.
                    let limits = limits.filter(|_| overhaul.seal.is_none());
                    import.apply_import(overhaul, limits);
                }
            }
            // What speaks against these has been told before: see `closed`.
            Self::Sign(by) => drop(seal::sign(record, overhaul, &by)),
            Self::Amend(by, why) => drop(seal::amend(record, overhaul, &by, &why)),
            Self::SetFields(values) => drop(seal::set::set(record, overhaul, &values)),
            Self::CloseAmendment => drop(seal::close_amendment(record, overhaul)),
        }
    }
}

impl OverhaulEdit {
    fn apply(self, overhaul: &mut Overhaul) {
        match self {
            Self::Date(date) => overhaul.date = date,
            Self::TotalHours(hours) => overhaul.total_hours = hours,
            Self::HoursSinceOverhaul(hours) => overhaul.hours_since_overhaul = hours,
            Self::InspectorName(name) => overhaul.inspector.name = name,
            Self::InspectorCertificate(certificate) => overhaul.inspector.certificate = certificate,
            Self::Standards(standards) => {
                let names =
                    |list: &[SettingStandard]| list.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
                let renamed = renamed(&names(&overhaul.standards), &names(&standards));
                follow(overhaul.gauges.iter_mut().filter_map(|gauge| gauge.zeroed_on.as_mut()), &renamed);
                overhaul.standards = standards;
            }
            Self::Gauges(gauges) => {
                let names = |list: &[Gauge]| list.iter().map(|gauge| gauge.name.clone()).collect::<Vec<_>>();
                let renamed = renamed(&names(&overhaul.gauges), &names(&gauges));
                let readings = overhaul.cylinders.iter_mut().flat_map(|cylinder| &mut cylinder.readings);
                follow(readings.filter_map(|reading| reading.gauge.as_mut()), &renamed);
                overhaul.gauges = gauges;
            }
            Self::Temperatures(temperatures) => overhaul.temperatures = temperatures,
            Self::AddCylinder(cylinder) => overhaul.cylinders.push(*cylinder),
            Self::RemoveCylinder(index) => {
                if index < overhaul.cylinders.len() {
                    overhaul.cylinders.remove(index);
                }
            }
            Self::ExchangePositions(a, b) => {
                let cylinders = &mut overhaul.cylinders;
                if a < cylinders.len() && b < cylinders.len() && a != b {
                    cylinders.swap(a, b);
                    let (first, second) = cylinders.split_at_mut(a.max(b));
                    if let (Some(x), Some(y)) = (first.get_mut(a.min(b)), second.first_mut()) {
                        std::mem::swap(&mut x.position, &mut y.position);
                    }
                }
            }
            Self::Remarks(text) => overhaul.remarks = text,
        }
    }
}

impl CylinderEdit {
    /// `amended`: under a signature, whose changes are kept by the place in the list, so that no reading may move.
    fn apply(self, cylinder: &mut Cylinder, limits: Option<&Limits>, amended: bool) {
        match self {
            Self::Position(text) => cylinder.position = text,
            Self::Serial(text) => cylinder.serial = text,
            Self::Size(size) => cylinder.size = size,
            Self::FinishedTo(text) => cylinder.finished_to = text,
            Self::Mark(Mark::Tagged, set) => cylinder.tagged = set,
            Self::Mark(Mark::Cleaned, set) => cylinder.cleaned = set,
            Self::Mark(Mark::LookedOver, set) => cylinder.looked_over = set,
            Self::Reading { at, repeat, text, gauge } => {
                if let Some(limits) = limits {
                    enter(cylinder, limits, at, repeat, &text, gauge.as_ref(), amended);
                }
            }
            Self::Readings { cells, gauge } => {
                if let Some(limits) = limits {
                    for (at, repeat, text) in cells {
                        enter(cylinder, limits, at, repeat, &text, gauge.as_ref(), amended);
                    }
                }
            }
            Self::ReadingGauge(at, gauge) => {
                if let Some(reading) = limits.and_then(|limits| reading_mut(cylinder, limits, at)) {
                    reading.gauge = gauge;
                }
            }
            Self::Confirm(at, reason) => {
                if let Some(reading) = limits.and_then(|limits| reading_mut(cylinder, limits, at)) {
                    reading.confirmed = reason;
                }
            }
            Self::AddFinding(finding) => cylinder.findings.push(finding),
            Self::EditFinding(index, finding) => {
                if let Some(found) = cylinder.findings.get_mut(index) {
                    *found = finding;
                }
            }
            Self::RemoveFinding(index) => {
                if index < cylinder.findings.len() {
                    cylinder.findings.remove(index);
                }
            }
            Self::Fit(row, fit) => put(&mut cylinder.fits, fit, |found| found.row == row),
            Self::RingGap(row, gap) => put(&mut cylinder.ring_gaps, gap, |found| found.row == row),
            Self::PistonWeight(text) => cylinder.piston_weight = text,
            Self::Decide(disposition) => cylinder.disposition = disposition,
            Self::Remarks(text) => cylinder.remarks = text,
        }
    }
}

/// The names that became others, before and after: by their place, while the list only grows at its end.
///
/// A name that stood twice, or that another one has already, says nothing of who is meant: it is not followed.
fn renamed(before: &[String], after: &[String]) -> Vec<(String, String)> {
    if after.len() < before.len() {
        return Vec::new();
    }
    let once = |list: &[String], name: &String| list.iter().filter(|other| *other == name).count() == 1;
    let pairs = before.iter().zip(after);
    pairs
        .filter(|(was, is)| was != is && once(before, was) && once(after, is) && !before.contains(is))
        .map(|(was, is)| (was.clone(), is.clone()))
        .collect()
}

/// What names one of these goes on naming it.
fn follow<'a>(names: impl Iterator<Item = &'a mut String>, renamed: &[(String, String)]) {
    for name in names {
        if let Some((_, is)) = renamed.iter().find(|(was, _)| was == name) {
            name.clone_from(is);
        }
    }
}

/// Replaces the element that is meant, adds it, or takes it away.
fn put<T>(list: &mut Vec<T>, element: Option<T>, is_intended: impl Fn(&T) -> bool) {
    let index = list.iter().position(is_intended);
    match (index.and_then(|index| list.get_mut(index)), element) {
        (Some(found), Some(element)) => *found = element,
        (None, Some(element)) => list.push(element),
        (Some(_), None) => list.retain({
            let mut i = 0;
            move |_| {
                i += 1;
                Some(i - 1) != index
            }
        }),
        (None, None) => {}
    }
}

fn reading_mut<'a>(cylinder: &'a mut Cylinder, limits: &Limits, at: Point) -> Option<&'a mut Reading> {
    let (station, axis) = (limits.stations.get(at.station)?, limits.axes.get(at.axis)?);
    cylinder.readings.iter_mut().find(|reading| reading.station == station.name && reading.axis == axis.label)
}

/// Puts one reading where it belongs, and takes an empty cell away.
fn enter(
    cylinder: &mut Cylinder,
    limits: &Limits,
    at: Point,
    repeat: usize,
    text: &str,
    gauge: Option<&String>,
    amended: bool,
) {
    let (Some(station), Some(axis)) = (limits.stations.get(at.station), limits.axes.get(at.axis)) else {
        return;
    };
    let text = text.trim();
    let found = cylinder.readings.iter().position(|r| r.station == station.name && r.axis == axis.label);
    let Some(index) = found else {
        if !text.is_empty() {
            let reading = Reading {
                station: station.name.clone(),
                axis: axis.label.clone(),
                gauge: gauge.cloned(),
                entered: vec![text.to_owned()],
                confirmed: String::new(),
            };
            place(cylinder, Some(limits).filter(|_| !amended), reading);
        }
        return;
    };
    let Some(reading) = cylinder.readings.get_mut(index) else { return };
    match (reading.entered.get_mut(repeat), text.is_empty()) {
        (Some(found), false) if found != text => {
            text.clone_into(found);
            // Another reading: what was confirmed is gone.
            reading.confirmed.clear();
        }
        (Some(_), false) | (None, true) => {}
        (Some(_), true) => {
            reading.entered.remove(repeat);
            reading.confirmed.clear();
        }
        (None, false) => {
            reading.entered.push(text.to_owned());
            reading.confirmed.clear();
        }
    }
    if reading.entered.is_empty() && !amended {
        cylinder.readings.remove(index);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Else nobody could tell the two apart again.
    #[test]
    fn a_name_that_another_one_has_is_not_followed() {
        let pair = |a: &str, b: &str| [a.to_owned(), b.to_owned()];
        assert_eq!(renamed(&pair("a", "b"), &pair("b", "b")), []);
        assert_eq!(renamed(&pair("a", "b"), &pair("b", "a")), []);
        assert_eq!(renamed(&pair("a", "b"), &["b".to_owned()]), []);
        assert_eq!(renamed(&pair("a", "b"), &pair("c", "b")), [("a".to_owned(), "c".to_owned())]);
    }
}
