//! Surveys of one engine and one day from more than one file, as one: an older copy of a record lies beside it.
//!
//! What only one of them says, or all that say it agree on, counts. What they contradict each other in counts in
//! none of them, for which is right is not known. It is said, and every cylinder keeps its row.

use std::sync::Arc;

use super::figure::{Estimate, Scheme};
use super::sheet::{SheetCylinder, SurveySheet};

/// Makes surveys of one engine, sorted by day, one a day.
pub(super) fn each_day_once(sheets: &mut Vec<Arc<SurveySheet>>, said: &mut Vec<String>) {
    let mut once = Vec::with_capacity(sheets.len());
    for same_day in sheets.chunk_by(|a, b| a.date == b.date) {
        let mut different: Vec<&Arc<SurveySheet>> = Vec::with_capacity(1);
        for sheet in same_day {
            // The same object first: comparing every value takes longer.
            if !different.iter().any(|known| Arc::ptr_eq(known, sheet) || *known == sheet) {
                different.push(sheet);
            }
        }
        let Some(first) = different.first() else { continue };
        let words = || format!("The survey of {} of {}", first.engine.words(), first.date);
        if different.len() < same_day.len() {
            let times = match same_day.len() {
                2 => "twice".to_owned(),
                n => format!("{n} times"),
            };
            said.push(format!("{} is there {times}; it counts once.", words()));
        }
        if different.len() == 1 {
            once.push(Arc::clone(first));
            continue;
        }
        let (one, contradicted) = merged(first, &different);
        let words = format!("{} is in more than one file, and they differ", words());
        said.push(match contradicted.as_slice() {
            [] => format!("{words}: what any of them has counts."),
            all => format!(
                "{words} on {}: where they contradict each other, none of them counts. Correct them, or remove the wrong one.",
                all.join(", ")
            ),
        });
        once.push(Arc::new(one));
    }
    *sheets = once;
}

/// What all that say anything agree on; none, and false, if they do not agree.
fn agreed<T: PartialEq>(values: impl Iterator<Item = Option<T>>) -> (Option<T>, bool) {
    let mut found = None;
    for value in values.flatten() {
        match &found {
            None => found = Some(value),
            Some(known) if *known == value => {}
            Some(_) => return (None, false),
        }
    }
    (found, true)
}

/// The value that all have, with the greatest of their uncertainties; none, and false, if they do not agree.
fn agreed_reading(readings: impl Iterator<Item = Estimate>) -> (Option<Estimate>, bool) {
    let mut found: Option<Estimate> = None;
    for reading in readings {
        match found {
            Some(known) if known.mm() != reading.mm() => return (None, false),
            Some(known) if known.u_mm() >= reading.u_mm() => {}
            _ => found = Some(reading),
        }
    }
    (found, true)
}

/// Different surveys of one engine and day as one, and what they contradict each other in.
fn merged(first: &Arc<SurveySheet>, different: &[&Arc<SurveySheet>]) -> (SurveySheet, Vec<String>) {
    let values = |sheet: &SurveySheet| sheet.cylinders.iter().flat_map(|c| &c.readings).flatten().count();
    // Whichever file came first: the fullest one says which figures there are.
    let fullest = different.iter().rev().max_by_key(|sheet| values(sheet));
    let mut one = SurveySheet::clone(fullest.copied().unwrap_or(first));
    let mut contradicted = Vec::new();
    let (total_hours, agree) = agreed(different.iter().map(|sheet| sheet.total_hours));
    let (hours_since_overhaul, since_agree) = agreed(different.iter().map(|s| s.hours_since_overhaul));
    if !(agree && since_agree) {
        contradicted.push("its hours".to_owned());
    }
    (one.total_hours, one.hours_since_overhaul) = (total_hours, hours_since_overhaul);
    let is_same = |a: &SheetCylinder, b: &SheetCylinder| (&a.serial, &a.position) == (&b.serial, &b.position);
    for other in different.iter().flat_map(|sheet| &sheet.cylinders) {
        if !one.cylinders.iter().any(|cylinder| is_same(cylinder, other)) {
            // A cylinder that only one of them has; its figures are those of the same table or none.
            let mut other = other.clone();
            other.readings.resize(one.scheme.entries.len(), None);
            one.cylinders.push(other);
        }
    }
    for cylinder in &mut one.cylinders {
        let of: Vec<(&SurveySheet, &SheetCylinder)> = different
            .iter()
            .flat_map(|sheet| sheet.cylinders.iter().map(|c| (&***sheet, c)))
            .filter(|(_, other)| is_same(cylinder, other))
            .collect();
        if !merge_cylinder(cylinder, (&one.scheme, &one.standards), &of) {
            contradicted.push(format!("cylinder {}", cylinder.position));
        }
    }
    (one, contradicted)
}

/// Gives a cylinder what all of its entries agree on; do they?
fn merge_cylinder(
    cylinder: &mut SheetCylinder,
    (scheme, standards): (&Scheme, &[String]),
    of: &[(&SurveySheet, &SheetCylinder)],
) -> bool {
    let (oversize, mut all_agree) = agreed(of.iter().map(|(_, c)| c.oversize));
    let (finished_to, agree) = agreed(of.iter().map(|(_, c)| c.finished_to));
    all_agree &= agree;
    (cylinder.oversize, cylinder.finished_to) = (oversize, finished_to);
    cylinder.condemned = of.iter().any(|(_, c)| c.condemned);
    for (_, other) in of {
        for doubt in &other.doubts {
            if !cylinder.doubts.contains(doubt) {
                cylinder.doubts.push(doubt.clone());
            }
        }
    }
    cylinder.decimals = of.iter().filter_map(|(_, c)| c.decimals).max();
    cylinder.readings = scheme
        .entries
        .iter()
        .map(|entry| {
            let (reading, agree) = agreed_reading(of.iter().filter_map(|(theirs, c)| {
                let place = theirs.scheme.place_on(&entry.figure, &entry.basis)?;
                let reading = c.readings.get(place).copied().flatten()?;
                Some(if theirs.standards == *standards { reading } else { reading.of_several_settings() })
            }));
            all_agree &= agree;
            reading
        })
        .collect();
    let is_unread = |place: &usize| {
        let figure = scheme.entries.get(*place).map(|entry| &entry.figure);
        let of = of.iter().any(|(theirs, c)| {
            c.unread.iter().any(|&p| theirs.scheme.entries.get(p).map(|e| &e.figure) == figure)
        });
        of && cylinder.readings.get(*place).is_some_and(Option::is_none)
    };
    cylinder.unread = (0..scheme.entries.len()).filter(is_unread).collect();
    all_agree
}
