//! Following cylinders by their own serial numbers, through overhauls, positions, engines, sizes and lives.
//!
//! A cylinder's hours are its own and count since it was new, where that is on record. What it ran between two
//! surveys is the difference of the engine's total time, or, after a move, the hours since the overhaul at which
//! it was fitted. Where that is not on record it is said, and no line is drawn across the gap: hours are never
//! guessed. A survey without hours has no place among the hours; it ends nothing.
//!
//! A life begins with a new barrel, a rebore or a re-plate: whenever the size, or the size it was finished to,
//! is another one than before. Nothing is compared across two lives. What is only not written at a survey is no
//! other size.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use jiff::civil::Date;

use super::figure::{Estimate, Figure};
use super::merge;
use super::repeated::{self, Apart, Repeated};
use super::sheet::{EngineName, SheetCylinder, SurveySheet};
use quantities::length::{Length, Style};
use records::survey::is_finished_anew;

/// A cylinder at one survey.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// The survey.
    pub sheet: Arc<SurveySheet>,
    /// Its place among the survey's cylinders.
    index: usize,
}

impl Sighting {
    /// The cylinder.
    #[expect(
        clippy::indexing_slicing,
        reason = "the place was taken from this very sheet, which nobody changes"
    )]
    pub fn cylinder(&self) -> &SheetCylinder {
        &self.sheet.cylinders[self.index]
    }

    /// The value of a figure, where the survey gives it.
    pub fn reading(&self, figure: &Figure) -> Option<Estimate> {
        self.cylinder().readings.get(self.sheet.scheme.place(figure)?).copied().flatten()
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

/// What a life's hours count from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Since {
    /// It was new.
    New,
    /// It was last finished to size.
    Finished,
    /// It was fitted, at the overhaul of this day; what it had run before is not on record.
    Fitted(Date),
    /// The survey of this day; what it had run before is not on record.
    Survey(Date),
}

impl Since {
    /// In words, for behind "since" or "from": `new`, `the survey of 2011-04-06`.
    pub fn words(self) -> String {
        match self {
            Self::New => "new".to_owned(),
            Self::Finished => "its last finishing".to_owned(),
            Self::Fitted(date) => format!("its fitting on {date}"),
            Self::Survey(date) => format!("the survey of {date}"),
        }
    }
}

/// The surveys of a cylinder between which it was not cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Which sightings of the history.
    pub sightings: Range<usize>,
    /// Why it began.
    pub began: Began,
    /// The cylinder's own hours at each sighting; none where they are not known, or not connected with the others.
    pub hours: Vec<Option<f64>>,
    /// What they count from.
    pub since: Since,
    /// The record shows that it was new or freshly finished when its hours began.
    pub from_new: bool,
    /// What there is to say about it.
    pub said: Vec<String>,
}

/// A cylinder through all surveys.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    /// Its serial number.
    pub serial: String,
    /// What tells it from other cylinders of this serial number, if there are any.
    pub apart: Option<Apart>,
    /// Its surveys, the earliest first; never empty.
    pub sightings: Vec<Sighting>,
    /// Its lives, the earliest first; never empty.
    pub lives: Vec<Life>,
    /// What there is to say about it as a whole.
    pub said: Vec<String>,
}

impl History {
    /// Its serial number, with what tells it from others of that number: `1 (Test E1)`.
    pub fn name(&self) -> String {
        match &self.apart {
            Some(apart) => format!("{} ({})", self.serial, apart.words()),
            None => self.serial.clone(),
        }
    }

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
    pub engines: BTreeMap<EngineName, Vec<Arc<SurveySheet>>>,
    /// Serial numbers that stand on more than one cylinder.
    pub repeated: Vec<Repeated>,
    /// What there is to say about the records as a whole.
    pub said: Vec<String>,
}

/// A cylinder at a survey, with everything that it belongs to.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// Its history.
    pub history: &'a History,
    /// Its life then.
    pub life: &'a Life,
    /// The survey.
    pub sighting: &'a Sighting,
    /// Its own hours then, where known.
    pub hours: Option<f64>,
}

impl Followed {
    /// The histories of a serial number: more than one where it stands on more than one cylinder.
    pub fn named(&self, serial: &str) -> &[History] {
        let serial = serial.trim();
        let from = self.histories.partition_point(|history| history.serial.as_str() < serial);
        let to = self.histories.partition_point(|history| history.serial.as_str() <= serial);
        self.histories.get(from..to).unwrap_or_default()
    }

    /// The history of a serial number, where it stands on one cylinder only.
    pub fn history(&self, serial: &str) -> Option<&History> {
        match self.named(serial) {
            [history] => Some(history),
            _ => None,
        }
    }

    /// The histories of a serial number that an engine may have part in: one, unless the engine has it twice.
    fn named_on(&self, serial: &str, engine: &EngineName) -> &[History] {
        let named = self.named(serial);
        if let [History { apart: None, .. }] = named {
            return named;
        }
        let of = |history: &History| history.apart.as_ref().map(|apart| apart.engine.cmp(engine));
        let from = named.partition_point(|history| of(history) == Some(Ordering::Less));
        let to = named.partition_point(|history| of(history) != Some(Ordering::Greater));
        named.get(from..to).unwrap_or_default()
    }

    /// The history of a cylinder at a position of an engine.
    pub fn history_on(&self, serial: &str, engine: &EngineName, position: &str) -> Option<&History> {
        let is_there = |apart: &Apart| apart.position.as_deref().is_none_or(|at| at == position.trim());
        let mut named = self.named_on(serial, engine).iter();
        named.find(|history| history.apart.as_ref().is_none_or(is_there))
    }

    /// The cylinder at a place in the list of a survey.
    pub fn at(&self, sheet: &Arc<SurveySheet>, index: usize) -> Option<Seen<'_>> {
        let cylinder = sheet.cylinders.get(index)?;
        let is_it = |s: &Sighting| s.index == index && Arc::ptr_eq(&s.sheet, sheet);
        self.named_on(&cylinder.serial, &sheet.engine).iter().find_map(|history| {
            let place = history.sightings.iter().position(is_it)?;
            let life = history.lives.iter().find(|life| life.sightings.contains(&place))?;
            let hours = life.hours.get(place - life.sightings.start).copied().flatten();
            Some(Seen { history, life, sighting: history.sightings.get(place)?, hours })
        })
    }
}

/// Follows every cylinder through the sheets, which may come in any order and from any number of records.
///
/// # Examples
/// ```
/// let text = std::fs::read_to_string("../../demo/wexcombe_six.ron").unwrap();
/// let record = records::file::record_from_text(&text, None).value.unwrap();
/// let followed = history::follow::follow(&history::sheet::sheets(&record, None).sheets);
/// let cylinder = followed.history("WX-0411").unwrap();
/// assert_eq!(cylinder.sightings.len(), 3);
/// assert_eq!(cylinder.lives.len(), 2, "it was rebored between the second survey and the third");
/// ```
pub fn follow(sheets: &[Arc<SurveySheet>]) -> Followed {
    let mut followed = Followed::default();
    for sheet in sheets {
        followed.engines.entry(EngineName::clone(&sheet.engine)).or_default().push(sheet.clone());
    }
    for (engine, of_engine) in &mut followed.engines {
        of_engine.sort_by_key(|sheet| sheet.date);
        merge::each_day_once(of_engine, &mut followed.said);
        backwards(engine, of_engine, &mut followed.said);
    }
    let mut nameless = 0_usize;
    let mut by_serial: BTreeMap<&str, Vec<Sighting>> = BTreeMap::new();
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
    spelled_alike("serial numbers", "cylinders", by_serial.keys().copied(), &mut followed.said);
    let engines: Vec<String> = followed.engines.keys().map(EngineName::words).collect();
    spelled_alike("engines", "engines", engines.iter().map(String::as_str), &mut followed.said);
    for (serial, sightings) in by_serial {
        for (apart, sightings) in told_apart(serial, sightings, &followed.engines, &mut followed.repeated) {
            followed.histories.extend(history(serial, apart, sightings, &followed.engines));
        }
    }
    followed.said.extend(repeated::words(&followed.repeated));
    followed
}

/// Tells where an engine's total time goes back.
fn backwards(engine: &EngineName, sheets: &[Arc<SurveySheet>], said: &mut Vec<String>) {
    let hours = sheets.iter().filter_map(|sheet| Some((sheet.date, sheet.total_hours?)));
    let hours: Vec<_> = hours.collect();
    for pair in hours.windows(2) {
        if let [(day, before), (later, after)] = pair
            && after < before
        {
            said.push(format!(
                "The total time of {} goes back from {} h on {day} to {} h on {later}: correct one of them; no line is drawn across.",
                engine.words(),
                hours_text(*before),
                hours_text(*after)
            ));
        }
    }
}

/// Tells of names that differ only in capitals, blanks and hyphens: perhaps of one thing, but not taken so.
fn spelled_alike<'a>(what: &str, things: &str, names: impl Iterator<Item = &'a str>, said: &mut Vec<String>) {
    let mut seen: BTreeMap<String, &str> = BTreeMap::new();
    for name in names {
        let plain: String =
            name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
        if let Some(other) = seen.insert(plain, name) {
            said.push(format!(
                "The {what} {other} and {name} differ only in how they are written; they are followed as two {things}."
            ));
        }
    }
}

/// Hours as people write them: `1412.6`, without needless decimals.
pub fn hours_text(hours: f64) -> String {
    let text = format!("{hours:.1}");
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

type Engines = BTreeMap<EngineName, Vec<Arc<SurveySheet>>>;

/// The surveys of an engine before a day, the earliest first.
fn surveys_before<'a>(engines: &'a Engines, engine: &EngineName, day: Date) -> &'a [Arc<SurveySheet>] {
    let of_engine = engines.get(engine).map(Vec::as_slice).unwrap_or_default();
    of_engine.get(..of_engine.partition_point(|sheet| sheet.date < day)).unwrap_or_default()
}

/// The sightings of a serial number: of one cylinder, or of several that only share it.
fn told_apart(
    serial: &str,
    sightings: Vec<Sighting>,
    engines: &Engines,
    repeated: &mut Vec<Repeated>,
) -> Vec<(Option<Apart>, Vec<Sighting>)> {
    let seen = sightings.iter().map(|sighting| repeated::Occurrence {
        date: sighting.sheet.date,
        engine: &sighting.sheet.engine,
        position: &sighting.cylinder().position,
        before: surveys_before(engines, &sighting.sheet.engine, sighting.sheet.date)
            .last()
            .map(|sheet| sheet.date),
    });
    let Some(found) = repeated::find(serial, seen.collect()) else { return vec![(None, sightings)] };
    let mut apart: BTreeMap<Apart, Vec<Sighting>> = BTreeMap::new();
    for sighting in sightings {
        let engine = EngineName::clone(&sighting.sheet.engine);
        let position = found.twice.contains_key(&engine).then(|| position_of_its_own(&sighting));
        apart.entry(Apart { engine, position }).or_default().push(sighting);
    }
    repeated.push(found);
    apart.into_iter().map(|(apart, sightings)| (Some(apart), sightings)).collect()
}

/// A position, with the place in the list where the survey has the cylinder's number twice at that position.
fn position_of_its_own(sighting: &Sighting) -> String {
    let cylinder = sighting.cylinder();
    let is_same =
        |other: &&SheetCylinder| (&other.serial, &other.position) == (&cylinder.serial, &cylinder.position);
    if sighting.sheet.cylinders.iter().filter(is_same).count() > 1 {
        format!("{}, {} in the list", cylinder.position, sighting.index + 1)
    } else {
        cylinder.position.clone()
    }
}

fn history(
    serial: &str,
    apart: Option<Apart>,
    mut sightings: Vec<Sighting>,
    engines: &Engines,
) -> Option<History> {
    let mut said = Vec::new();
    if let Some(apart) = &apart {
        said.push(format!(
            "The serial number {serial} is on other cylinders too: this is the one of {}.",
            apart.words()
        ));
    }
    sightings.sort_by_key(|sighting| sighting.sheet.date);
    let mut starts = Vec::new();
    let mut known: Option<Size> = None;
    for (index, now) in sightings.iter().enumerate() {
        let cut = known.as_ref().and_then(|known| known.cut_since(now));
        known = Size::after(known.filter(|_| cut.is_none()), now);
        match cut {
            _ if index == 0 => starts.push((index, Began::FirstSeen)),
            Some(how) => starts.push((index, Began::Cut(how))),
            None => {}
        }
        let before = index.checked_sub(1).and_then(|before| sightings.get(before));
        if let Some(before) = before.filter(|before| before.cylinder().condemned)
            && now.cylinder().is_measured()
        {
            said.push(format!(
                "It was to be replaced after the survey of {}, and was measured again on {}.",
                before.sheet.date, now.sheet.date
            ));
        }
    }
    let ends: Vec<usize> = starts.iter().skip(1).map(|(start, _)| *start).chain([sightings.len()]).collect();
    let lives: Vec<Life> = starts
        .into_iter()
        .zip(ends)
        .map(|((start, began), end)| Life::of(&sightings, start..end, began, engines))
        .collect();
    (!lives.is_empty()).then(|| History { serial: serial.to_owned(), apart, sightings, lives, said })
}

/// The size of a barrel, as far as its sheets have told.
#[derive(Clone, Copy)]
struct Size {
    oversize: Length,
    finished_to: Option<Length>,
}

impl Size {
    /// What is known after a survey. One whose size cannot be read tells nothing.
    fn after(before: Option<Self>, now: &Sighting) -> Option<Self> {
        let cylinder = now.cylinder();
        let Some(oversize) = cylinder.oversize() else { return before };
        let finished_to = cylinder.finished_to().or(before.and_then(|before| before.finished_to));
        Some(Self { oversize, finished_to })
    }

    /// How it shows that a cylinder was cut, plated or exchanged since.
    fn cut_since(&self, now: &Sighting) -> Option<String> {
        let style = now.sheet.scheme.style();
        let text = |length: Length| {
            // With all its digits: two sizes that differ are not to read the same.
            let decimals = length.decimals(style.unit).max(style.decimals);
            length.text(Style { decimals, ..style })
        };
        let size = |oversize: Length| match oversize {
            Length::ZERO => "standard".to_owned(),
            oversize => format!("+{}", text(oversize)),
        };
        let (oversize, finished_to) = (now.cylinder().oversize()?, now.cylinder().finished_to());
        if oversize != self.oversize {
            return Some(format!("its size changed from {} to {}", size(self.oversize), size(oversize)));
        }
        let finished = |to: Option<Length>| to.map_or("not recorded".to_owned(), text);
        is_finished_anew(self.finished_to, finished_to).then(|| {
            format!(
                "the size it was finished to is {} and was {}",
                finished(finished_to),
                finished(self.finished_to)
            )
        })
    }
}

/// Surveys of a life whose hours hang together, each by its place with its hours; never empty.
struct Stretch {
    since: Since,
    from_new: bool,
    hours: Vec<(usize, f64)>,
}

impl Life {
    fn of(sightings: &[Sighting], range: Range<usize>, began: Began, engines: &Engines) -> Self {
        let before = range.start.checked_sub(1).and_then(|before| sightings.get(before));
        let own = sightings.get(range.clone()).unwrap_or_default();
        let date = |place: usize| own.get(place).map_or(String::new(), |s| s.sheet.date.to_string());
        let is_measured = |place: usize| own.get(place).is_some_and(|s| s.cylinder().is_measured());
        let mut said = Vec::new();
        if let Began::Cut(how) = &began {
            said.push(format!("A new baseline begins with the survey of {}: {how}.", date(0)));
        }
        let mut stretches: Vec<Stretch> = Vec::new();
        for place in 0..own.len() {
            let last = stretches.last_mut().and_then(|s| Some((s.hours.last().copied()?, s)));
            let Some(((from, hours), stretch)) = last else {
                stretches.extend(own.first().map(|first| match began {
                    Began::FirstSeen => Stretch::first_seen(first, engines, &mut said),
                    Began::Cut(_) => Stretch::cut(before, first, engines, &mut said),
                }));
                continue;
            };
            match ran_between(own.get(from..=place).unwrap_or_default(), engines) {
                Ok((more, taken)) => {
                    stretch.hours.push((place, hours + more));
                    said.extend(taken);
                }
                Err(Unknown::Here) if !is_measured(place) => {}
                Err(Unknown::Here) => said.push(format!(
                    "No hours are recorded on {}: by hours, that survey is left out.",
                    date(place)
                )),
                Err(Unknown::Between(why)) => {
                    said.push(format!("There is a gap in its hours: {why}."));
                    stretches.extend(own.get(place).map(|now| Stretch::survey(place, now)));
                }
            }
        }
        // The latest that a rate can come of; what lies beyond a gap is no use alone.
        let measured = |s: &Stretch| s.hours.iter().filter(|(place, _)| is_measured(*place)).count();
        let chosen = [2, 1, 0].into_iter().find_map(|n| stretches.iter().rposition(|s| measured(s) >= n));
        let several = stretches.len() > 1;
        let stretch = chosen.map(|chosen| stretches.swap_remove(chosen));
        let mut hours = vec![None; own.len()];
        for (place, known) in stretch.iter().flat_map(|stretch| &stretch.hours) {
            if let Some(slot) = hours.get_mut(*place) {
                *slot = Some(*known);
            }
        }
        if let Some((Some((first, _)), Some((last, _)))) =
            stretch.as_ref().filter(|_| several).map(|s| (s.hours.first(), s.hours.last()))
        {
            said.push(if first == last {
                format!("By hours, only the survey of {} counts.", date(*first))
            } else {
                format!("By hours, only the surveys from {} to {} count.", date(*first), date(*last))
            });
        }
        Self {
            sightings: range,
            began,
            hours,
            since: stretch.as_ref().map_or(Since::New, |stretch| stretch.since),
            from_new: stretch.is_some_and(|stretch| stretch.from_new),
            said,
        }
    }
}

impl Stretch {
    fn begin(hours: f64, since: Since, from_new: bool) -> Self {
        Self { since, from_new, hours: vec![(0, hours)] }
    }

    /// Counted from a survey, for want of anything before.
    fn survey(place: usize, now: &Sighting) -> Self {
        Self { since: Since::Survey(now.sheet.date), from_new: false, hours: vec![(place, 0.0)] }
    }

    /// Cut, plated or exchanged at the overhaul of the survey before.
    fn cut(before: Option<&Sighting>, now: &Sighting, engines: &Engines, said: &mut Vec<String>) -> Self {
        let ran = before.and_then(|before| ran_between(&[before.clone(), now.clone()], engines).ok());
        match ran {
            Some((hours, taken)) => {
                said.extend(taken);
                Self::begin(hours, Since::Finished, true)
            }
            None => Self::survey(0, now),
        }
    }

    /// New with the engine, or fitted or newly finished at an overhaul.
    fn first_seen(now: &Sighting, engines: &Engines, said: &mut Vec<String>) -> Self {
        let (sheet, cylinder) = (&now.sheet, now.cylinder());
        let (total, since) = (sheet.total_hours, sheet.hours_since_overhaul);
        let is_standard = cylinder.oversize() == Some(Length::ZERO);
        if let Some(hours) = since.filter(|_| since == total) {
            return Self::begin(hours, if is_standard { Since::New } else { Since::Finished }, true);
        }
        if let Some(hours) = since.filter(|_| cylinder.finished_to().is_some()) {
            said.push(format!(
                "It is taken to have been new or freshly finished {} h before the survey of {}, at the overhaul before it.",
                hours_text(hours), sheet.date
            ));
            return Self::begin(hours, Since::Finished, true);
        }
        // On no sheet before: it came at the overhaul before.
        let fitted =
            surveys_before(engines, &sheet.engine, sheet.date).iter().rfind(|s| !s.cylinders.is_empty());
        match (fitted, total) {
            (Some(fitted), _) => match difference(fitted, sheet, true) {
                Ok(hours) => {
                    said.push(fitted_words(&sheet.engine, fitted.date));
                    Self::begin(hours, Since::Fitted(fitted.date), false)
                }
                Err(_) => Self::survey(0, now),
            },
            (None, Some(hours)) if since.is_none() && is_standard => {
                said.push(format!(
                    "It is taken to have run since its engine was new: no overhaul before {} is on record.",
                    sheet.date
                ));
                Self::begin(hours, Since::New, false)
            }
            _ => Self::survey(0, now),
        }
    }
}

fn fitted_words(engine: &EngineName, day: Date) -> String {
    format!("It is taken to have been fitted to {} at the overhaul of {day}.", engine.words())
}

/// Why hours are not known.
enum Unknown {
    /// None are recorded at the survey itself.
    Here,
    /// What it ran since the survey before is not known; why, in words.
    Between(String),
}

/// The hours an engine ran from one of its surveys to another; `next`: to the next one.
fn difference(from: &SurveySheet, to: &SurveySheet, next: bool) -> Result<f64, Unknown> {
    match (from.total_hours, to.total_hours) {
        (Some(before), Some(hours)) if hours < before => Err(Unknown::Between(format!(
            "the total time goes back from {} h on {} to {} h on {}",
            hours_text(before),
            from.date,
            hours_text(hours),
            to.date
        ))),
        (Some(before), Some(hours)) => Ok(hours - before),
        (before, _) => to.hours_since_overhaul.filter(|_| next).ok_or_else(|| {
            let missing = if before.is_none() { from.date } else { to.date };
            Unknown::Between(format!("no total time is recorded on {missing}"))
        }),
    }
}

/// Hours that a cylinder ran from the first to the last of some successive sightings, with what had to be taken
/// for granted; the hours of those between are not known.
fn ran_between(path: &[Sighting], engines: &Engines) -> Result<(f64, Option<String>), Unknown> {
    let [first, between @ .., last] = path else { return Err(Unknown::Here) };
    let (then, now) = (&first.sheet, &last.sheet);
    if now.total_hours.is_none() && now.hours_since_overhaul.is_none() {
        return Err(Unknown::Here);
    }
    if let Some(away) = between.iter().find(|between| between.sheet.engine != now.engine) {
        let day = away.sheet.date;
        return Err(Unknown::Between(format!(
            "no hours are recorded on {day}, when it was on another engine"
        )));
    }
    // On every sheet of this engine since it came to it.
    let came =
        if then.engine == now.engine { then } else { between.first().map_or(now, |first| &first.sheet) };
    let was_there =
        |sheet: &Arc<SurveySheet>| between.iter().any(|between| Arc::ptr_eq(&between.sheet, sheet));
    let since =
        surveys_before(engines, &now.engine, now.date).iter().rev().take_while(|s| s.date > came.date);
    if let Some(missed) = since.filter(|s| !s.cylinders.is_empty()).find(|sheet| !was_there(sheet)) {
        return Err(Unknown::Between(format!(
            "it is not on the sheet of {}, so what it ran between {} and {} is not known",
            missed.date, came.date, now.date
        )));
    }
    let next = between.is_empty();
    if then.engine == now.engine {
        return difference(then, now, next).map(|hours| (hours, None));
    }
    let engine = now.engine.words();
    match surveys_before(engines, &now.engine, came.date).last() {
        Some(fitted) if fitted.date < then.date => Err(Unknown::Between(format!(
            "it was measured on {} after the overhaul of {engine} on {}; when it was fitted there is not recorded",
            then.date, fitted.date
        ))),
        Some(fitted) => {
            let hours = difference(fitted, now, next)?;
            Ok((hours, Some(fitted_words(&now.engine, fitted.date))))
        }
        None => match now.hours_since_overhaul.filter(|_| next) {
            Some(hours) => Ok((
                hours,
                Some(format!(
                    "It is taken to have been fitted to {engine} at its overhaul {} h before {}.",
                    hours_text(hours),
                    now.date
                )),
            )),
            None => Err(Unknown::Between(format!(
                "the hours since the overhaul are not recorded on {}",
                now.date
            ))),
        },
    }
}
