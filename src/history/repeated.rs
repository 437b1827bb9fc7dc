//! Serial numbers that stand on more than one cylinder: barrels of older engines are often stamped 1, 2, 3.
//!
//! A barrel that was moved has one number on two engines too. It is told from two barrels by where it was when:
//! nothing is at two places on one day, and what an engine had at two successive surveys was not measured on
//! another engine between them. Where that contradicts one barrel, the barrels are told apart by their engines,
//! and by their positions where one survey has the number twice. No row is dropped for it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::civil::Date;

use super::sheet::EngineName;
use records::record::schema::{EngineRecord, Overhaul};

/// A serial number seen at a survey.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Occurrence<'a> {
    /// The day of the survey.
    pub date: Date,
    /// The engine.
    pub engine: &'a EngineName,
    /// The position on it.
    pub position: &'a str,
    /// The day of the engine's survey before, of whichever cylinders.
    pub before: Option<Date>,
}

/// A serial number that stands on more than one cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repeated {
    /// The serial number.
    pub serial: String,
    /// The engines that have it.
    pub engines: Vec<EngineName>,
    /// Two of them have it at the same time.
    pub at_once: bool,
    /// Those that have it twice at one survey, with the day of the first such survey.
    pub twice: BTreeMap<EngineName, Date>,
}

/// What tells a cylinder from others of the same serial number.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Apart {
    /// Its engine.
    pub engine: EngineName,
    /// Its position, where the engine has the number more than once.
    pub position: Option<String>,
}

impl Apart {
    /// `Wexcombe Six W6-0001`, with `, position 3` where that is needed.
    pub fn words(&self) -> String {
        match &self.position {
            Some(position) => format!("{}, position {position}", self.engine.words()),
            None => self.engine.words(),
        }
    }
}

/// The cylinders of an engine at one survey, each with its serial number and position.
#[derive(Clone, Debug)]
pub struct Survey {
    engine: EngineName,
    date: Date,
    cylinders: Vec<(String, String)>,
}

impl Survey {
    /// Those of a record; `file` is where it came from.
    pub fn of(record: &EngineRecord, file: &Path) -> Vec<Self> {
        let engine = EngineName::of(&record.engine, Some(file));
        let text = |text: &str| text.trim().to_owned();
        let survey = |overhaul: &Overhaul| Self {
            engine: engine.clone(),
            date: overhaul.date,
            cylinders: overhaul.cylinders.iter().map(|c| (text(&c.serial), text(&c.position))).collect(),
        };
        record.overhauls.iter().map(survey).collect()
    }
}

/// The serial numbers among some surveys that stand on more than one cylinder.
pub fn among(surveys: &[Survey]) -> Vec<Repeated> {
    let mut days: BTreeMap<&EngineName, BTreeSet<Date>> = BTreeMap::new();
    for survey in surveys {
        days.entry(&survey.engine).or_default().insert(survey.date);
    }
    let mut seen: BTreeMap<&str, Vec<Occurrence<'_>>> = BTreeMap::new();
    for Survey { engine, date, cylinders } in surveys {
        let before = days.get(engine).and_then(|days| days.range(..date).next_back().copied());
        for (serial, position) in cylinders.iter().filter(|(serial, _)| !serial.is_empty()) {
            seen.entry(serial).or_default().push(Occurrence { date: *date, engine, position, before });
        }
    }
    seen.into_iter().filter_map(|(serial, seen)| find(serial, seen)).collect()
}

/// Does a serial number stand on more than one cylinder? `seen` is everything it was seen at, in any order.
pub fn find(serial: &str, mut seen: Vec<Occurrence<'_>>) -> Option<Repeated> {
    seen.sort_unstable();
    let mut twice = BTreeMap::new();
    let mut at_once = false;
    // Where in the list each engine was last met.
    let mut last: BTreeMap<&EngineName, (usize, Date)> = BTreeMap::new();
    for (i, now) in seen.iter().enumerate() {
        if let Some(before) = i.checked_sub(1).and_then(|before| seen.get(before))
            && before.date == now.date
        {
            if before.engine == now.engine {
                twice.entry(now.engine.clone()).or_insert(now.date);
            } else {
                at_once = true;
            }
        }
        // The engine had it at both of two successive surveys, and another engine between.
        if let Some((place, date)) = last.insert(now.engine, (i, now.date)) {
            at_once |= now.before == Some(date) && place + 1 < i && date < now.date;
        }
    }
    (at_once || !twice.is_empty()).then(|| {
        let engines: BTreeSet<_> = seen.iter().map(|seen| seen.engine).collect();
        Repeated {
            serial: serial.to_owned(),
            engines: engines.into_iter().cloned().collect(),
            at_once,
            twice,
        }
    })
}

/// What there is to say about repeated serial numbers: one sentence for those of the same engines.
pub fn words(repeated: &[Repeated]) -> Vec<String> {
    let mut together: BTreeMap<&[EngineName], Vec<&str>> = BTreeMap::new();
    let mut said = Vec::new();
    for found in repeated {
        if found.at_once {
            together.entry(&found.engines).or_default().push(&found.serial);
        }
        for (engine, day) in &found.twice {
            said.push(format!(
                "The serial number {} is on more than one cylinder of {} on {day}. Each is followed at its own position. Correct the number that is wrong.",
                found.serial,
                engine.words()
            ));
        }
    }
    said.extend(together.into_iter().map(|(engines, serials)| {
        let engines: Vec<String> = engines.iter().map(EngineName::words).collect();
        format!(
            "{} on more than one engine at the same time: {}. Each cylinder is followed on its own engine.",
            match serials.as_slice() {
                [serial] => format!("The serial number {serial} is"),
                _ => format!("The serial numbers {} are", few(&serials)),
            },
            few(&engines)
        )
    }));
    said
}

/// Not more than so many are named.
const MOST_NAMED: usize = 12;

/// Some things in a row; what is too many is counted.
fn few<T: AsRef<str>>(things: &[T]) -> String {
    let named: Vec<&str> = things.iter().take(MOST_NAMED).map(AsRef::as_ref).collect();
    match things.len().checked_sub(MOST_NAMED) {
        Some(more) if more > 0 => format!("{} and {more} more", named.join(", ")),
        _ => named.join(", "),
    }
}
