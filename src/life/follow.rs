//! Following cylinders by their own serial numbers, through overhauls, positions, engines, sizes and lives.
//!
//! A cylinder's hours are its own: what it ran between two surveys is the difference of the engine's total
//! time, or, after a move, the hours since the overhaul at which it was fitted. Where that is not on record it
//! is said, and no line is drawn across the gap: hours are never guessed.
//!
//! A life begins with a new barrel, a rebore or a re-plate: whenever the size, or the size it was finished to,
//! is another one than before. Nothing is compared across two lives.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use super::sheet::{EngineName, Sheet, SheetCylinder};
use crate::length::Length;

/// A cylinder at one survey.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// The survey.
    pub sheet: Arc<Sheet>,
    /// Its place among the survey's cylinders.
    index: usize,
}

impl Sighting {
    /// The cylinder.
    pub fn cylinder(&self) -> &SheetCylinder {
        // The place was taken from this very sheet, which nobody changes.
        &self.sheet.cylinders[self.index]
    }
}

/// Why a life began.
#[derive(Clone, Debug, PartialEq)]
pub enum Began {
    /// It is the first that the records know of it.
    FirstSeen,
    /// It was cut, plated or exchanged since the survey before; how that shows, in words.
    Cut(String),
}

/// The surveys of a cylinder between which it was not cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Which sightings of the history.
    pub sightings: Range<usize>,
    /// Why it began.
    pub began: Began,
    /// The cylinder's own hours at each sighting: since the life began if [`Self::from_new`], else since the
    /// first survey that is connected to the latest one. None before a gap.
    pub hours: Vec<Option<f64>>,
    /// The hours count from the day it was new or freshly finished.
    pub from_new: bool,
    /// What there is to say about it.
    pub said: Vec<String>,
}

/// A cylinder through all surveys.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// Its serial number.
    pub serial: String,
    /// Its surveys, the earliest first.
    pub sightings: Vec<Sighting>,
    /// Its lives, the earliest first; never empty.
    pub lives: Vec<Life>,
    /// What there is to say about it as a whole.
    pub said: Vec<String>,
}

impl History {
    /// The sightings of a life.
    pub fn of(&self, life: &Life) -> &[Sighting] {
        self.sightings.get(life.sightings.clone()).unwrap_or_default()
    }

    /// Where it was last seen.
    pub fn latest(&self) -> Option<&Sighting> {
        self.sightings.last()
    }

    /// Where it was, one line for each change: `2011-04-06 to 2016-10-19: position 2 of Wexcombe Six W6-0001`.
    pub fn places(&self) -> Vec<String> {
        let mut places: Vec<(String, String, String)> = Vec::new();
        for sighting in &self.sightings {
            let (sheet, position) = (&sighting.sheet, &sighting.cylinder().position);
            let place = format!("position {position} of {}", sheet.engine.words());
            let date = sheet.date.to_string();
            match places.last_mut() {
                Some(last) if last.2 == place => last.1 = date,
                _ => places.push((date.clone(), date, place)),
            }
        }
        places
            .into_iter()
            .map(
                |(from, to, place)| {
                    if from == to { format!("{from}: {place}") } else { format!("{from} to {to}: {place}") }
                },
            )
            .collect()
    }
}

/// Everything that is followed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Followed {
    /// The cylinders, in the order of their serial numbers.
    pub histories: Vec<History>,
    /// The surveys of each engine, the earliest first.
    pub engines: BTreeMap<EngineName, Vec<Arc<Sheet>>>,
    /// What there is to say about the records as a whole.
    pub said: Vec<String>,
}

impl Followed {
    /// The history of a serial number.
    pub fn history(&self, serial: &str) -> Option<&History> {
        let serial = serial.trim();
        let place = self.histories.binary_search_by(|history| history.serial.as_str().cmp(serial)).ok()?;
        self.histories.get(place)
    }
}

/// Follows every cylinder through the sheets, which may come in any order and from any number of records.
pub fn follow(sheets: &[Arc<Sheet>]) -> Followed {
    let mut followed = Followed::default();
    let mut nameless = 0_usize;
    for sheet in sheets {
        let of_engine = followed.engines.entry(EngineName::clone(&sheet.engine)).or_default();
        // The same record given twice counts once.
        if of_engine.iter().any(|known| Arc::ptr_eq(known, sheet) || known == sheet) {
            let words = sheet.engine.words();
            followed
                .said
                .push(format!("The survey of {words} of {} is there twice; it counts once.", sheet.date));
            continue;
        }
        of_engine.push(sheet.clone());
    }
    let mut by_serial: BTreeMap<&str, Vec<Sighting>> = BTreeMap::new();
    for (engine, of_engine) in &mut followed.engines {
        of_engine.sort_by_key(|sheet| sheet.date);
        backwards(engine, of_engine, &mut followed.said);
    }
    for sheet in followed.engines.values().flatten() {
        for (index, cylinder) in sheet.cylinders.iter().enumerate() {
            if cylinder.serial.is_empty() {
                nameless += 1;
                continue;
            }
            by_serial.entry(&cylinder.serial).or_default().push(Sighting { sheet: sheet.clone(), index });
        }
    }
    if nameless > 0 {
        followed.said.push(format!(
            "{nameless} entries of cylinders have no serial number and cannot be followed: write it on the sheet."
        ));
    }
    spelled_alike(by_serial.keys().copied(), &mut followed.said);
    followed.histories = by_serial
        .into_iter()
        .filter_map(|(serial, sightings)| history(serial, sightings, &followed.engines))
        .collect();
    followed
}

/// Tells where an engine's total time goes back.
fn backwards(engine: &EngineName, sheets: &[Arc<Sheet>], said: &mut Vec<String>) {
    for pair in sheets.windows(2) {
        if let [a, b] = pair
            && let (Some(before), Some(after)) = (a.total_hours, b.total_hours)
            && after < before
        {
            said.push(format!(
                "The total time of {} goes back from {} h on {} to {} h on {}: correct one of them; no line is drawn across.",
                engine.words(), hours_text(before), a.date, hours_text(after), b.date
            ));
        }
    }
}

/// Tells of serial numbers that differ only in capitals, blanks and hyphens: perhaps one cylinder, but not
/// taken as one.
fn spelled_alike<'a>(serials: impl Iterator<Item = &'a str>, said: &mut Vec<String>) {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for serial in serials {
        let plain: String =
            serial.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
        if let Some(other) = seen.insert(plain, serial) {
            said.push(format!(
                "The serial numbers {other} and {serial} differ only in how they are written; they are followed as two cylinders."
            ));
        }
    }
}

/// Hours as people write them: `1412.6`, without needless decimals.
pub fn hours_text(hours: f64) -> String {
    let text = format!("{hours:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

fn history(
    serial: &str,
    mut sightings: Vec<Sighting>,
    engines: &BTreeMap<EngineName, Vec<Arc<Sheet>>>,
) -> Option<History> {
    let mut said = Vec::new();
    sightings.sort_by_key(|sighting| sighting.sheet.date);
    let contradicted = contradictions(serial, &sightings, &mut said);
    sightings.retain(|sighting| !contradicted.contains(&sighting.sheet.date));
    let mut lives: Vec<Life> = Vec::new();
    for index in 0..sightings.len() {
        let now = sightings.get(index)?;
        let before = index.checked_sub(1).and_then(|before| sightings.get(before));
        let ran = before.map(|before| ran_between(before, now, engines));
        let cut = before.and_then(|before| cut_between(before.cylinder(), now.cylinder(), now));
        match (lives.last_mut(), cut) {
            (Some(life), None) => life.go_on(index, ran),
            (_, cut) => lives.push(Life::begin(index, now, ran, cut)),
        }
        if let Some(before) = before.filter(|before| before.cylinder().condemned) {
            said.push(format!(
                "It was to be replaced after the survey of {}, and was measured again on {}.",
                before.sheet.date, now.sheet.date
            ));
        }
    }
    (!lives.is_empty() || !said.is_empty()).then(|| History {
        serial: serial.to_owned(),
        sightings,
        lives,
        said,
    })
}

/// The days on which a cylinder was measured in two places.
fn contradictions(serial: &str, sightings: &[Sighting], said: &mut Vec<String>) -> Vec<jiff::civil::Date> {
    let mut days = Vec::new();
    for pair in sightings.windows(2) {
        if let [a, b] = pair
            && a.sheet.date == b.sheet.date
        {
            let place =
                |s: &Sighting| format!("position {} of {}", s.cylinder().position, s.sheet.engine.words());
            said.push(format!(
                "{serial} was measured on {} as {} and as {}: one of them is another cylinder, so neither counts.",
                a.sheet.date, place(a), place(b)
            ));
            days.push(a.sheet.date);
        }
    }
    days
}

/// How it shows that a cylinder was cut, plated or exchanged between two surveys.
fn cut_between(before: &SheetCylinder, now: &SheetCylinder, sighting: &Sighting) -> Option<String> {
    let style = sighting.sheet.scheme.style();
    let size = |oversize: Option<Length>| match oversize {
        None => "a size that cannot be read".to_owned(),
        Some(Length::ZERO) => "standard".to_owned(),
        Some(oversize) => format!("+{}", oversize.text(style)),
    };
    if before.oversize() != now.oversize() || now.oversize().is_none() {
        return Some(format!(
            "its size changed from {} to {}",
            size(before.oversize()),
            size(now.oversize())
        ));
    }
    let finished = |to: Option<Length>| to.map_or("not recorded".to_owned(), |to| to.text(style));
    (before.finished_to() != now.finished_to()).then(|| {
        format!(
            "the size it was finished to is {} and was {}",
            finished(now.finished_to()),
            finished(before.finished_to())
        )
    })
}

/// Hours that a cylinder ran, with what had to be taken for granted; or why they are not known.
type Ran = Result<(f64, Option<String>), String>;

fn ran_between(a: &Sighting, b: &Sighting, engines: &BTreeMap<EngineName, Vec<Arc<Sheet>>>) -> Ran {
    let (then, now) = (&a.sheet, &b.sheet);
    let of_engine = engines.get(&*now.engine).map(Vec::as_slice).unwrap_or_default();
    let before = of_engine.iter().rev().find(|sheet| sheet.date < now.date);
    let difference = |from: &Sheet| match (from.total_hours, now.total_hours) {
        (Some(from_hours), Some(hours)) if hours < from_hours => Err(format!(
            "the total time goes back from {} h on {} to {} h on {}",
            hours_text(from_hours),
            from.date,
            hours_text(hours),
            now.date
        )),
        (Some(from_hours), Some(hours)) => Ok(hours - from_hours),
        _ => now.hours_since_overhaul.ok_or_else(|| format!("no hours are recorded on {}", now.date)),
    };
    if then.engine == now.engine {
        return match before {
            Some(between) if between.date > then.date => Err(format!(
                "it is not on the sheet of {}, so what it ran between {} and {} is not known",
                between.date, then.date, now.date
            )),
            _ => difference(then).map(|hours| (hours, None)),
        };
    }
    let engine = now.engine.words();
    match before {
        Some(before) if before.date < then.date => Err(format!(
            "it was measured on {} after the overhaul of {engine} on {}; when it was fitted there is not recorded",
            then.date, before.date
        )),
        Some(before) => difference(before).map(|hours| {
            (
                hours,
                Some(format!(
                    "It is taken to have been fitted to {engine} at the overhaul of {}.",
                    before.date
                )),
            )
        }),
        None => match now.hours_since_overhaul {
            Some(hours) => Ok((
                hours,
                Some(format!(
                    "It is taken to have been fitted to {engine} at its overhaul {} h before {}.",
                    hours_text(hours),
                    now.date
                )),
            )),
            None => Err(format!("the hours since the overhaul are not recorded on {}", now.date)),
        },
    }
}

impl Life {
    fn begin(index: usize, now: &Sighting, ran: Option<Ran>, cut: Option<String>) -> Self {
        let (sheet, mut said) = (&now.sheet, Vec::new());
        let hours = match (&cut, ran) {
            (Some(how), ran) => {
                said.push(format!("A new baseline begins with the survey of {}: {how}.", sheet.date));
                match ran {
                    Some(Ok((hours, taken))) => {
                        said.extend(taken);
                        Some(hours)
                    }
                    _ => None,
                }
            }
            // New with the engine, or newly finished at the overhaul before.
            (None, _) => {
                let with_engine = |since: &f64| sheet.total_hours == Some(*since);
                let finished = now.cylinder().finished_to().is_some();
                let hours = sheet.hours_since_overhaul.filter(|since| with_engine(since) || finished);
                said.extend(hours.filter(|hours| !with_engine(hours)).map(|hours| {
                    format!(
                        "It is taken to have been new or freshly finished {} h before the survey of {}, at the overhaul before it.",
                        hours_text(hours), sheet.date
                    )
                }));
                hours
            }
        };
        Self {
            sightings: index..index + 1,
            began: cut.map_or(Began::FirstSeen, Began::Cut),
            hours: vec![Some(hours.unwrap_or(0.0))],
            from_new: hours.is_some(),
            said,
        }
    }

    fn go_on(&mut self, index: usize, ran: Option<Ran>) {
        self.sightings.end = index + 1;
        match ran {
            Some(Ok((more, taken))) => {
                let before = self.hours.last().copied().flatten().unwrap_or(0.0);
                self.hours.push(Some(before + more));
                self.said.extend(taken);
            }
            Some(Err(why)) => {
                self.said.push(format!(
                    "There is a gap in its hours: {why}. By hours, only what follows the gap counts."
                ));
                self.hours.iter_mut().for_each(|hours| *hours = None);
                self.hours.push(Some(0.0));
                self.from_new = false;
            }
            None => self.hours.push(None),
        }
    }
}
