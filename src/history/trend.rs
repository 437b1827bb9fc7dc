//! One figure of one cylinder over time: how fast it changes, when it reaches its limit, and how sure that is.
//!
//! The line goes through surveys only, never from "new" to the first survey: running-in is faster than what
//! follows, so it is told apart ([`FromNew`]). With two surveys the interval is that of the gauge's uncertainty
//! budget, which nothing has checked; with one there is no rate; each is said. The advice to measure again never
//! reaches beyond the lower bound of 95 %, nor farther ahead than the surveys reach back.
//!
//! A cylinder is one of an engine's. Where no cylinder of it stands out, the rate of all of them leads: forecast,
//! chance and advice are by it, and the line through its own surveys stands beside it ([`Trend::alone`]).
//!
//! Amounts are in millimetres; time is in hours or in years of 365.25 days.

use std::sync::Arc;

use jiff::civil::Date;

use super::crossing::{self, Crossing, Level};
use super::figure::{self, Estimate, Figure, Limit, amount};
use super::follow::{History, Life, Sighting, Since, hours_text};
use super::line::{FittedLine, NoLine, Observation, Of};
use super::lines::{self, Against, Checked};
use super::sheet::{SurveySheet, Temperature};
use judging::shown;
use quantities::length::{Length, Style};
use records::limits::rows::Side;
use records::wording::{self, capitalised};

/// Said once, under everything that looks ahead.
pub const CLOSING: &str = "Times are counted from the latest survey; intervals are of 95 %, for steady wear. Irregular wear, such as from a stuck ring or a changed climate, is not in them. A line through past surveys, extended, is an estimate only.";

/// What a figure is drawn against.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Time {
    /// The cylinder's own hours.
    Hours,
    /// Years since the life's first survey.
    Years,
}

impl Time {
    /// The unit's symbol behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Hours => "h",
            Self::Years => "years",
        }
    }

    /// Beyond this a span is only said to be more: 100 000 h or 1 000 years.
    pub fn far(self) -> f64 {
        match self {
            Self::Hours => 100_000.0,
            Self::Years => 1000.0,
        }
    }

    /// A span of time as a number; a short one has a digit more, so that it does not become zero.
    pub fn number(self, span: f64) -> String {
        match self {
            _ if span > self.far() => format!("over {}", self.far()),
            _ if span > 0.0 && span < self.least() => format!("less than {}", self.least()),
            Self::Hours if span < 10.0 => hours_text(span),
            Self::Hours => format!("{span:.0}"),
            Self::Years if span > 0.0 && span < 1.0 => format!("{span:.2}"),
            Self::Years => format!("{span:.1}"),
        }
    }

    /// A span of time in words.
    pub fn text(self, span: f64) -> String {
        match span > self.far() {
            true => format!("more than {} {}", self.far(), self.symbol()),
            false => format!("{} {}", self.number(span), self.symbol()),
        }
    }

    /// The shortest span that is given as a number.
    fn least(self) -> f64 {
        match self {
            Self::Hours => 0.1,
            Self::Years => 0.01,
        }
    }

    /// The span that a rate is given for: 1 000 h or a year.
    pub fn per(self) -> f64 {
        match self {
            Self::Hours => 1000.0,
            Self::Years => 1.0,
        }
    }

    /// That span in words, for behind "per".
    pub fn per_words(self) -> &'static str {
        match self {
            Self::Hours => "1000 h",
            Self::Years => "year",
        }
    }

    /// A span rounded down to what reads well, but never to nothing.
    fn rounded_down(self, span: f64) -> f64 {
        let fine = self.least();
        // Two or three digits: 1840, 230, 84 and 7.6 h; 12.3 and 0.84 years.
        let step = match self {
            Self::Hours if span >= 100.0 => 10.0,
            Self::Hours if span >= 10.0 => 1.0,
            Self::Years if span >= 1.0 => 0.1,
            _ => fine,
        };
        if span < fine { span } else { (span / step).floor() * step }
    }
}

/// One survey's value.
#[derive(Clone, Debug, PartialEq)]
pub struct TrendPoint {
    /// Hours or years.
    pub x: f64,
    /// The value and its uncertainty.
    pub reading: Estimate,
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine it was on.
    pub total_hours: Option<f64>,
    /// The survey.
    pub sheet: Arc<SurveySheet>,
}

impl TrendPoint {
    /// The setting standard it was measured by, where there was one.
    pub fn standard(&self) -> Option<&str> {
        self.sheet.standards.get(self.reading.setting()?).map(String::as_str)
    }
}

/// A survey's value that has no place in time: what the cylinder had run by then is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unplaced {
    /// The day of measuring.
    pub date: Date,
    /// The value and its uncertainty.
    pub reading: Estimate,
}

/// What happened between new, or freshly finished, and the first survey: running-in and all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromNew {
    /// Hours until the first survey.
    pub hours: f64,
    /// Wear by then, in millimetres.
    pub wear_mm: f64,
}

impl FromNew {
    /// Wear per hour, in millimetres.
    pub fn rate(&self) -> f64 {
        self.wear_mm / self.hours
    }
}

/// A first interval between surveys in which it surely changed faster than since: running-in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunningIn {
    /// Change for each hour or year from the first survey to the second, in millimetres.
    pub rate: f64,
    /// Change for each hour or year since, in millimetres.
    pub since: f64,
}

/// How near the limit is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Forecast {
    /// The table gives no limit.
    NoLimit,
    /// There is no line yet.
    NoLine,
    /// Its limit, and when it is reached. It is passed if the latest survey is beyond it, or by the line.
    Limit(Level, Crossing),
}

impl Forecast {
    /// When the limit is reached; none without a limit or a line.
    pub fn crossing(self) -> Option<Crossing> {
        match self {
            Self::Limit(_, crossing) => Some(crossing),
            Self::NoLimit | Self::NoLine => None,
        }
    }
}

/// Whose rate a line has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    /// That of its own surveys.
    Own,
    /// That which so many cylinders of the engine have in common.
    Common(usize),
}

/// A line and when it reaches the limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alone {
    /// The line through its own surveys.
    pub line: FittedLine,
    /// When the limit is reached by it.
    pub forecast: Forecast,
}

/// What is expected after running on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// Hours or years, on the axis of the points.
    pub x: f64,
    /// The line's value there, in millimetres.
    pub mm: f64,
    /// The band of 95 % of the line.
    pub line_95: Option<(f64, f64)>,
    /// The band of 95 % of a reading.
    pub reading_95: Option<(f64, f64)>,
    /// The chance that the line has passed the limit by then.
    pub chance_passed: Option<f64>,
}

/// A figure over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// The cylinder.
    pub serial: String,
    /// The figure.
    pub figure: Figure,
    /// What it is drawn against.
    pub time: Time,
    /// How to show amounts: with all digits of the readings, and with as many as tell the latest value from the
    /// limit.
    pub style: Style,
    /// How the readings were written.
    pub written: Style,
    /// What its hours count from.
    pub since: Since,
    /// The surveys, the earliest first.
    pub points: Vec<TrendPoint>,
    /// Surveys that have no place among them, the earliest first.
    pub unplaced: Vec<Unplaced>,
    /// The line that leads: what is ahead is by it.
    pub line: Result<FittedLine, NoLine>,
    /// Whose rate that line has.
    pub basis: Basis,
    /// The line through its own surveys, where another one leads.
    pub alone: Option<Alone>,
    /// Its own rate against that of the other cylinders of its engine, where that can be tested.
    pub against: Option<Against>,
    /// How the surveys agree with the gauge's uncertainty budget, where there is a line.
    pub checked: Option<Checked>,
    /// What that budget is worth as an estimate, in degrees of freedom.
    pub budget_dof: f64,
    /// What happened before the first survey, where known.
    pub from_new: Option<FromNew>,
    /// The first interval, where it is kept apart: the line begins at the second survey then.
    pub running_in: Option<RunningIn>,
    /// The limit.
    pub limit: Option<Limit>,
    /// When it is reached.
    pub forecast: Forecast,
    /// Measure again before so much more has run; none if nothing can be said.
    pub measure_within: Option<f64>,
    /// Caveats, each a sentence.
    pub said: Vec<String>,
}

/// Follows a figure through a life of a cylinder, by its own surveys.
///
/// # Examples
/// ```
/// use history::figure::Figure;
/// use history::trend::{Time, trend};
/// let text = std::fs::read_to_string("../../demo/wexcombe_six.ron").unwrap();
/// let record = records::file::record_from_text(&text, None).value.unwrap();
/// let followed = history::follow::follow(&history::sheet::sheets(&record, None).sheets);
/// let cylinder = followed.history("WX-0703").unwrap();
/// let bore = trend(cylinder, &cylinder.lives[0], &Figure::LargestBore, Time::Hours);
/// assert_eq!(bore.points.len(), 2);
/// assert!(bore.is_beyond(), "the largest bore is past its limit");
/// ```
pub fn trend(history: &History, life: &Life, figure: &Figure, time: Time) -> Trend {
    let mut trend = gathered(history, life, figure, time);
    let observations = observations(trend.steady(), &mut Keys::default());
    match lines::fit_one(&observations, trend.budget_dof) {
        Ok((line, checked)) => trend.settle(Ok(line), Basis::Own, Some(checked)),
        Err(why) => trend.settle(Err(why), Basis::Own, None),
    }
    trend
}

/// The surveys of a trend that has no line yet.
fn gathered(history: &History, life: &Life, figure: &Figure, time: Time) -> Trend {
    let mut trend = unsaid(history, life, figure, time);
    trend.say(history, life);
    trend
}

/// The surveys of a trend that has no line yet, and nothing said about them: [`Trend::say`] does that, where it is shown.
pub(super) fn unsaid(history: &History, life: &Life, figure: &Figure, time: Time) -> Trend {
    let sightings = history.of(life);
    let latest = compared_with(sightings, figure);
    let Values { points, unplaced, .. } =
        latest.map_or_else(Values::default, |latest| values(life, sightings, figure, latest, time));
    let written = latest.or(sightings.last()).map_or(Style::default(), |latest| {
        let style = latest.sheet.scheme.style();
        let typed = sightings.iter().filter_map(|sighting| sighting.cylinder().decimals);
        Style { decimals: typed.fold(style.decimals, u8::max), ..style }
    });
    let budget_dof = points.iter().map(|point| point.reading.budget_dof()).min().unwrap_or(0);
    Trend {
        serial: history.serial.clone(),
        figure: figure.clone(),
        time,
        style: written,
        written,
        since: life.since,
        running_in: running_in(&points, f64::from(budget_dof), life, figure),
        points,
        unplaced,
        line: Err(NoLine::TooFew),
        basis: Basis::Own,
        alone: None,
        against: None,
        checked: None,
        budget_dof: f64::from(budget_dof),
        from_new: from_new(life, sightings, time),
        limit: latest.and_then(|latest| limit(sightings, figure, latest)),
        forecast: Forecast::NoLimit,
        measure_within: None,
        said: Vec::new(),
    }
}

/// Numbers for the surveys and the setting standards of several cylinders.
#[derive(Default)]
pub(super) struct Keys<'a> {
    /// A survey, by where its sheet is, and by what the gauge was set.
    surveys: Vec<(*const SurveySheet, Option<usize>)>,
    standards: Vec<&'a str>,
}

fn place_of<T: PartialEq>(known: &mut Vec<T>, key: T) -> usize {
    known.iter().position(|other| *other == key).unwrap_or_else(|| {
        known.push(key);
        known.len() - 1
    })
}

/// Some points for a fit; with the same keys as those of other cylinders that it is fitted with.
pub(super) fn observations<'a>(points: &'a [TrendPoint], keys: &mut Keys<'a>) -> Vec<Observation> {
    let observation = |point: &'a TrendPoint| Observation {
        x: point.x,
        y: point.reading.mm(),
        u: point.reading.parts(),
        survey: place_of(&mut keys.surveys, (Arc::as_ptr(&point.sheet), point.reading.setting())),
        standard: point.standard().map(|standard| place_of(&mut keys.standards, standard)),
    };
    points.iter().map(observation).collect()
}

/// Names of some days: `2011-04-06 and 2016-10-19`.
fn days(sightings: &[&Sighting]) -> String {
    let days: Vec<_> = sightings.iter().map(|sighting| sighting.sheet.date.to_string()).collect();
    match days.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => days.concat(),
    }
}

/// The survey that all others are compared with: the latest that gives the figure, else the latest whose table
/// has it. One that was only begun, or whose hours are missing, ends nothing.
fn compared_with<'a>(sightings: &'a [Sighting], figure: &Figure) -> Option<&'a Sighting> {
    let has_it = |sighting: &&Sighting| sighting.sheet.scheme.place(figure).is_some();
    let gives_it = sightings.iter().rfind(|sighting| sighting.reading(figure).is_some());
    gives_it.or_else(|| sightings.iter().rfind(has_it))
}

/// What a figure is computed from at a survey.
fn basis<'a>(sighting: &'a Sighting, figure: &Figure) -> Option<&'a str> {
    let scheme = &sighting.sheet.scheme;
    Some(scheme.entries.get(scheme.place(figure)?)?.basis.as_str())
}

/// The limit by the latest table that computes the figure from the same, for the size the cylinder has.
fn limit(sightings: &[Sighting], figure: &Figure, latest: &Sighting) -> Option<Limit> {
    let wanted = basis(latest, figure)?;
    let by = sightings.iter().rfind(|sighting| basis(sighting, figure) == Some(wanted))?;
    let oversize = sightings.iter().rev().find_map(|sighting| sighting.cylinder().oversize());
    by.sheet.scheme.limit(figure, oversize)
}

/// The values of the surveys that may be compared with the latest one, and the surveys that have none.
#[derive(Default)]
struct Values<'a> {
    /// With a place in time.
    points: Vec<TrendPoint>,
    /// Without.
    unplaced: Vec<Unplaced>,
    left_out: Vec<(&'a Sighting, LeftOut)>,
    not_taken: Vec<&'a Sighting>,
    not_usable: Vec<&'a Sighting>,
    /// Nothing is measured there; with the cylinder's hours.
    blank: Vec<(&'a Sighting, Option<f64>)>,
}

/// Why the value of a survey is not compared.
#[derive(Clone, Copy)]
enum LeftOut {
    /// The table has no such figure.
    NotInTable,
    /// It is computed from something else.
    OtherBasis,
    /// The size of the cylinder is not known.
    NoSize,
    /// Wear is counted from something else.
    OtherDiameter,
}

fn values<'a>(
    life: &Life,
    sightings: &'a [Sighting],
    figure: &Figure,
    latest: &Sighting,
    time: Time,
) -> Values<'a> {
    let mut values = Values::default();
    let Some(first) = sightings.first() else { return values };
    let wanted = basis(latest, figure);
    for (sighting, hours) in sightings.iter().zip(&life.hours) {
        let (sheet, cylinder) = (&sighting.sheet, sighting.cylinder());
        if !cylinder.is_measured() && cylinder.unread.is_empty() {
            values.blank.push((sighting, *hours));
            continue;
        }
        let place = sheet.scheme.place(figure);
        let entry = place.and_then(|place| sheet.scheme.entries.get(place));
        let left_out = match entry {
            None => Some(LeftOut::NotInTable),
            Some(entry) if Some(entry.basis.as_str()) != wanted => Some(LeftOut::OtherBasis),
            _ if cylinder.oversize().is_none() => Some(LeftOut::NoSize),
            _ if *figure == Figure::Wear && has_finished_size(sighting) != has_finished_size(latest) => {
                Some(LeftOut::OtherDiameter)
            }
            _ => None,
        };
        if let Some(why) = left_out {
            values.left_out.push((sighting, why));
            continue;
        }
        let Some(reading) = place.and_then(|place| cylinder.readings.get(place).copied().flatten()) else {
            let was_entered = place.is_some_and(|place| cylinder.unread.contains(&place));
            let which = if was_entered { &mut values.not_usable } else { &mut values.not_taken };
            which.push(sighting);
            continue;
        };
        let date = sheet.date;
        let x = match time {
            Time::Hours => *hours,
            Time::Years => Some(f64::from((date - first.sheet.date).get_days()) / 365.25),
        };
        match x {
            Some(x) => {
                let (total_hours, sheet) = (sheet.total_hours, sheet.clone());
                values.points.push(TrendPoint { x, reading, date, total_hours, sheet });
            }
            None => values.unplaced.push(Unplaced { date, reading }),
        }
    }
    values
}

impl Values<'_> {
    /// What there is to say about what had to be left out.
    fn words(&self, figure: &Figure, latest: &Sighting) -> Vec<String> {
        let words = figure.words();
        let mut said = Vec::new();
        for (sighting, why) in &self.left_out {
            let (date, scheme) = (sighting.sheet.date, &sighting.sheet.scheme);
            let table = &scheme.table;
            let because = match why {
                LeftOut::NotInTable => match figure {
                    Figure::Station(_) | Figure::Point(..) => format!(
                        "The table of the survey of {date}, {table}, has no {words}; its stations are {}. Which of them is meant is not guessed",
                        scheme.stations.join(", ")
                    ),
                    _ => format!("The table of the survey of {date}, {table}, has no {words}"),
                },
                LeftOut::OtherBasis => format!(
                    "The table of the survey of {date}, {table}, takes {words} by another rule, at other depths or on other axes"
                ),
                LeftOut::NoSize => format!("The size of the cylinder on {date} is not known"),
                LeftOut::OtherDiameter => {
                    format!("On {date} wear is counted from another diameter than on {}", latest.sheet.date)
                }
            };
            said.push(format!("{because}: that survey is left out."));
        }
        if !self.not_taken.is_empty() {
            said.push(format!(
                "Not all readings that {words} needs were taken on {}.",
                days(&self.not_taken)
            ));
        }
        if !self.not_usable.is_empty() {
            said.push(format!(
                "What {words} needs was entered on {}, but cannot be used: correct it.",
                days(&self.not_usable)
            ));
        }
        said.extend(after_the_latest(self));
        said
    }
}

fn has_finished_size(sighting: &Sighting) -> bool {
    sighting.cylinder().finished_to().is_some()
}

/// What there is to say about what came after the latest value in time: times are counted from that.
fn after_the_latest(values: &Values<'_>) -> Vec<String> {
    let mut said = Vec::new();
    let blank = &values.blank;
    let blank_days: Vec<&Sighting> = blank.iter().map(|(sighting, _)| *sighting).collect();
    if !blank.is_empty() {
        said.push(format!("Nothing is measured on {}.", days(&blank_days)));
    }
    let Some(latest) = values.points.last() else { return said };
    let by_then = blank.iter().rev().find_map(|(sighting, hours)| Some((sighting.sheet.date, (*hours)?)));
    if let Some((date, hours)) = by_then.filter(|(date, hours)| *date > latest.date && *hours > latest.x) {
        said.push(format!(
            "Times are counted from the survey of {}. By {date} it had run {} h more.",
            latest.date,
            hours_text(hours - latest.x)
        ));
    } else if values.unplaced.last().is_some_and(|unplaced| unplaced.date > latest.date) {
        said.push(format!(
            "Times are counted from the survey of {}: what it has run since is not known.",
            latest.date
        ));
    }
    said
}

fn from_new(life: &Life, sightings: &[Sighting], time: Time) -> Option<FromNew> {
    let (first, hours) =
        sightings.iter().zip(&life.hours).find(|(sighting, _)| sighting.cylinder().is_measured())?;
    let (wear, hours) = (first.reading(&Figure::Wear)?, (*hours)?);
    (life.from_new && hours > 0.0 && time == Time::Hours).then(|| FromNew { hours, wear_mm: wear.mm() })
}

/// Not more than so many digits are shown beyond those that were typed.
const MORE_DECIMALS: u8 = 3;

/// Surveys that it takes before a first interval can be told from the rest: three make a line that is checked.
const ENOUGH_FOR_RUNNING_IN: usize = 4;

/// Whether the first interval of a life that began new was faster than what followed.
///
/// The line of the later surveys foretells where a reading would have been at the first one; where the first
/// reading lies below the whole of that band of 95 %, and the mean rate was higher, more wore between than at
/// the steady rate. Nothing is dropped on less evidence, and never a reading on the other side.
fn running_in(points: &[TrendPoint], budget_dof: f64, life: &Life, figure: &Figure) -> Option<RunningIn> {
    let grows = matches!(
        figure,
        Figure::LargestBore | Figure::AverageBore | Figure::Wear | Figure::Station(_) | Figure::Point(..)
    );
    if !grows || !life.from_new || points.len() < ENOUGH_FOR_RUNNING_IN {
        return None;
    }
    let observations = observations(points, &mut Keys::default());
    let (first, later) = observations.split_first()?;
    let second = later.first().filter(|second| second.x > first.x)?;
    let (line, _) = lines::fit_one(later, budget_dof).ok()?;
    let (low, _) = line.band_95(first.x, Of::Reading)?;
    let rate = (second.y - first.y) / (second.x - first.x);
    (first.y < low && rate > line.slope).then_some(RunningIn { rate, since: line.slope })
}

impl Trend {
    /// The surveys that the line goes through: all, but for a first one that belongs to running-in.
    pub fn steady(&self) -> &[TrendPoint] {
        let from = usize::from(self.running_in.is_some());
        self.points.get(from..).unwrap_or_default()
    }

    /// Shows its amounts in another style, with more digits where that one would hide on which side of the limit
    /// the latest value is, or a digit of the limit.
    pub fn restyle(&mut self, style: Style) {
        self.style = style;
        let Some(limit) = self.limit.map(Limit::length) else { return };
        let most = style.decimals.saturating_add(MORE_DECIMALS);
        self.style.decimals = limit.decimals(style.unit).clamp(style.decimals, most);
        if let Some(value) = self.latest().and_then(|(_, reading)| Length::from_mm(reading.mm())) {
            let value = if self.is_magnitude() { value.abs() } else { value };
            self.style = shown::clear_style(value.into(), limit, self.style);
        }
    }

    /// Is only its magnitude limited?
    fn is_magnitude(&self) -> bool {
        self.limit.is_some_and(|limit| limit.side == Side::Either)
    }

    /// The limit in millimetres, as the table gives it: without a sign where it limits a magnitude.
    pub fn limit_mm(&self) -> Option<f64> {
        self.limit.map(|limit| limit.length().to_mm())
    }

    /// The latest value, with a place in time or without, and its day.
    pub fn latest(&self) -> Option<(Date, Estimate)> {
        let placed = self.points.last().map(|point| (point.date, point.reading));
        let unplaced = self.unplaced.last().map(|unplaced| (unplaced.date, unplaced.reading));
        match (placed, unplaced) {
            (Some(placed), Some(unplaced)) if unplaced.0 > placed.0 => Some(unplaced),
            (placed, unplaced) => placed.or(unplaced),
        }
    }

    /// Gives it the line that leads, and works out what is ahead by it.
    pub(super) fn settle(
        &mut self,
        line: Result<FittedLine, NoLine>,
        basis: Basis,
        checked: Option<Checked>,
    ) {
        (self.line, self.basis, self.checked) = (line, basis, checked);
        self.forecast = self.ahead(self.line.as_ref().ok());
        self.measure_within = self.advice();
    }

    /// The limit's level that it heads for, where there is a limit: of a magnitude the one that may be reached first.
    pub fn level(&self) -> Option<Level> {
        match self.forecast {
            Forecast::Limit(level, _) => Some(level),
            Forecast::NoLimit | Forecast::NoLine => self.levels().next(),
        }
    }

    /// The line through its own surveys.
    pub fn own_line(&self) -> Option<&FittedLine> {
        self.alone.as_ref().map(|alone| &alone.line).or(self.line.as_ref().ok())
    }

    /// Puts a line beside the one that leads.
    pub(super) fn set_beside(&mut self, line: FittedLine) {
        self.alone = Some(Alone { line, forecast: self.ahead(Some(&line)) });
    }

    /// The limit's levels: of a magnitude there are two, that on the side of the latest survey first.
    fn levels(&self) -> impl Iterator<Item = Level> + use<> {
        let latest = self.latest().map_or(0.0, |(_, reading)| reading.mm());
        self.limit.into_iter().flat_map(move |limit| {
            let at = limit.length().to_mm();
            let (above, below) = (Level { at, sign: 1.0 }, Level { at: -at, sign: -1.0 });
            match limit.side {
                Side::AtMost => [Some(above), None],
                Side::AtLeast => [Some(Level { at, sign: -1.0 }), None],
                Side::Either if latest < 0.0 => [Some(below), Some(above)],
                Side::Either => [Some(above), Some(below)],
            }
            .into_iter()
            .flatten()
        })
    }

    /// When a line reaches the limit: of two levels that which may be reached first.
    fn ahead(&self, line: Option<&FittedLine>) -> Forecast {
        let Some(first) = self.levels().next() else { return Forecast::NoLimit };
        // A value exactly on its limit is within it. Readings are kept to a tenth of a nanometre.
        if self.is_beyond() {
            return Forecast::Limit(first, Crossing::Passed);
        }
        let (Some(line), Some(latest)) = (line, self.points.last()) else { return Forecast::NoLine };
        let soonest = |crossing: Crossing| match crossing {
            Crossing::Passed => f64::NEG_INFINITY,
            Crossing::AnyTime => latest.x,
            Crossing::Bounded { from, .. } | Crossing::NoUpperBound { from, .. } => from,
            Crossing::NoInterval { at } => at.unwrap_or(f64::INFINITY),
            Crossing::Never => f64::INFINITY,
        };
        let reached = self.levels().map(|level| (level, crossing::crossing(line, level, latest.x)));
        match reached.min_by(|a, b| soonest(a.1).total_cmp(&soonest(b.1))) {
            Some((level, crossing)) => Forecast::Limit(level, crossing),
            None => Forecast::NoLimit,
        }
    }

    /// The latest survey, and not only the line, is beyond the limit.
    pub fn is_beyond(&self) -> bool {
        self.latest().is_some_and(|(_, reading)| self.levels().any(|l| (reading.mm() - l.at) * l.sign > 0.0))
    }

    fn advice(&self) -> Option<f64> {
        let (first, latest) = (self.steady().first()?, self.points.last()?);
        let span = latest.x - first.x;
        let ahead = match self.forecast.crossing()? {
            Crossing::Passed | Crossing::AnyTime => 0.0,
            Crossing::Bounded { from, .. } | Crossing::NoUpperBound { from, .. } => {
                (from - latest.x).min(span)
            }
            Crossing::Never => span,
            Crossing::NoInterval { .. } => return None,
        };
        Some(self.time.rounded_down(ahead.max(0.0)))
    }

    /// What is expected once so much more has run after the latest survey.
    pub fn outlook(&self, further: f64) -> Option<Outlook> {
        let line = self.line.as_ref().ok()?;
        let x = self.points.last()?.x + further;
        let beyond = |level: Level| {
            let above = crossing::chance_above(line, level.at, x)?;
            Some(if level.sign > 0.0 { above } else { 1.0 - above })
        };
        // Of a magnitude either side is beyond it.
        let chance_passed = self.levels().map(beyond).reduce(|a, b| Some((a? + b?).min(1.0))).flatten();
        Some(Outlook {
            x,
            mm: line.at(x),
            line_95: line.band_95(x, Of::Line),
            reading_95: line.band_95(x, Of::Reading),
            chance_passed,
        })
    }

    /// Says what there is to say about its surveys, and shows its amounts as they were written.
    pub(super) fn say(&mut self, history: &History, life: &Life) {
        let sightings = history.of(life);
        self.said.clone_from(&life.said);
        match compared_with(sightings, &self.figure) {
            Some(latest) => {
                let values = values(life, sightings, &self.figure, latest, self.time);
                self.said.extend(values.words(&self.figure, latest));
            }
            None => self.said.push(format!("No table of its surveys has {}.", self.figure.words())),
        }
        self.restyle(self.written);
        self.caveats(sightings);
    }

    fn caveats(&mut self, sightings: &[Sighting]) {
        let used = |sighting: &&Sighting| self.points.iter().any(|point| point.date == sighting.sheet.date);
        let used: Vec<&Sighting> = sightings.iter().filter(used).collect();
        let mut said = Vec::new();
        let latest_unit = used.last().map(|latest| latest.sheet.unit);
        let other_unit: Vec<_> = used.iter().copied().filter(|s| Some(s.sheet.unit) != latest_unit).collect();
        if let Some(unit) = other_unit.first().map(|s| s.sheet.unit) {
            said.push(format!(
                "The survey of {} is written in {unit}; both units are exact here, so it is compared all the same.",
                days(&other_unit)
            ));
        }
        let warm: Vec<_> =
            used.iter().copied().filter(|s| s.sheet.temperature == Temperature::Unknown).collect();
        if !warm.is_empty() && warm.len() < used.len() {
            said.push(format!(
                "No temperatures were recorded on {}: that survey is compared as read, the others at 20 °C.",
                days(&warm)
            ));
        }
        let is_size = matches!(
            self.figure,
            Figure::LargestBore | Figure::AverageBore | Figure::Wear | Figure::Station(_) | Figure::Point(..)
        );
        for pair in self.points.windows(2) {
            let [a, b] = pair else { continue };
            let less = a.reading.mm() - b.reading.mm();
            // Less by what the gauge cannot tell, or by a single digit, is no news.
            let telling = (2.0 * a.reading.u_mm().hypot(b.reading.u_mm()))
                .max(1.001 * self.written.last_digit().to_mm());
            if is_size && less > telling {
                said.push(format!(
                    "It reads {} less on {} than on {}. A bore does not shrink: look for a gauge set wrongly, another temperature, or a barrel that was plated or exchanged.",
                    amount(less, self.style, 0), b.date, a.date
                ));
            }
            if a.x == b.x {
                said.push(format!(
                    "The surveys of {} and {} are at the same {}: no rate comes from one to the other.",
                    a.date,
                    b.date,
                    self.time.symbol()
                ));
            }
        }
        if self.figure == Figure::SkirtClearance && self.points.len() > 1 {
            said.push("Clearance follows the piston as well as the bore, and a new piston starts it anew; the record does not say when one was fitted.".to_owned());
        }
        for sighting in used {
            for doubt in &sighting.cylinder().doubts {
                said.push(format!("On {}: {doubt}", sighting.sheet.date));
            }
        }
        self.said.extend(said);
    }

    /// The rate that leads, per 100 or per 1 000 of the time's unit, in words with its interval.
    pub fn rate_text(&self, per: f64) -> Option<String> {
        self.line.as_ref().ok().map(|line| self.rate_of(line, per))
    }

    fn rate_of(&self, line: &FittedLine, per: f64) -> String {
        // Two digits more than a reading has for each power of ten that is taken off.
        let more = if per >= 1000.0 { 1 } else { 2 };
        let interval = match line.slope_interval_95() {
            Some((low, high)) => {
                let bare = |rate: f64| figure::number(rate * per, self.style, more);
                format!(" (95 %: {} to {})", bare(low), bare(high))
            }
            None => String::new(),
        };
        let time = match self.time {
            Time::Hours => format!("{per:.0} h"),
            Time::Years if per == 1.0 => "year".to_owned(),
            Time::Years => format!("{per:.0} years"),
        };
        format!("{} per {time}{interval}", amount(line.slope * per, self.style, more))
    }

    /// A rate for both spans that people use.
    fn rates_of(&self, line: &FittedLine) -> String {
        let rate = self.rate_of(line, self.time.per());
        match self.time {
            Time::Hours => format!("{rate}, or {}", self.rate_of(line, 100.0)),
            Time::Years => rate,
        }
    }

    /// A moment on the axis of the points, as hours to run and, where known, total time of the engine.
    fn moment(&self, x: f64) -> String {
        let Some(latest) = self.points.last() else { return self.time.text(x) };
        let further = self.time.text(x - latest.x);
        match (self.time, latest.total_hours) {
            (Time::Hours, Some(total)) if x - latest.x <= self.time.far() => {
                format!("{further} ({} h total time)", hours_text((total + x - latest.x).round()))
            }
            _ => further,
        }
    }

    /// What the trend comes to, each a sentence: the rate, the limit, the advice. Caveats are in `said`.
    pub fn sentences(&self) -> Vec<String> {
        let mut words = Vec::new();
        let figure = self.figure.words();
        let n = self.points.len();
        if let Some((date, reading)) = self.latest() {
            words.push(format!("Latest, on {date}: {figure} {}.", amount(reading.mm(), self.style, 0)));
        }
        words.push(match (&self.line, n) {
            (_, 0) if !self.unplaced.is_empty() => {
                "What it had run by its surveys is not known: there is no rate by hours.".to_owned()
            }
            (_, 0) => "No survey gives this figure: there is no rate.".to_owned(),
            (_, 1) => "Only one survey: there is no rate yet.".to_owned(),
            (Err(NoLine::SameX), _) => {
                format!("All its surveys are at the same {}: there is no rate.", self.time.symbol())
            }
            (Err(_), _) => "These values make no line: there is no rate.".to_owned(),
            (Ok(line), _) => match self.basis {
                Basis::Own => format!("{}: {}.", capitalised(&self.surveys_words()), self.own_words(line)),
                Basis::Common(cylinders) => {
                    format!(
                        "{cylinders} cylinders together, none of which stands out: {}.",
                        self.rates_of(line)
                    )
                }
            },
        });
        if let Some(alone) = &self.alone {
            let reached = match (alone.forecast.crossing(), self.reached_by(alone.forecast)) {
                (Some(crossing), Some(reached)) if crossing.at().is_some() => {
                    format!("; limit reached after {reached} {}", self.time.symbol())
                }
                (_, Some(words)) => format!("; limit: {words}"),
                (_, None) => String::new(),
            };
            words.push(format!(
                "Its own {} alone: {}{reached}.",
                self.surveys_words(),
                self.own_words(&alone.line)
            ));
        }
        words.extend(self.checked.as_ref().and_then(checked_words).map(str::to_owned));
        if let Some(running_in) = self.running_in {
            let rate = |rate: f64| amount(rate * self.time.per(), self.style, 1);
            words.push(format!(
                "From the first survey to the second it changed faster, {} per {} against {} since: that is taken for running-in, and the line begins at the second survey.",
                rate(running_in.rate), self.time.per_words(), rate(running_in.since)
            ));
        }
        if let Some(new) = self.from_new
            && matches!(self.figure, Figure::LargestBore | Figure::Wear)
        {
            let rate = amount(new.rate() * 1000.0, self.style, 1);
            let wore = format!(
                "From {} to {} it wore {} in {} h, {rate} per 1000 h",
                self.since.words(),
                if n == 1 { "that survey" } else { "the first survey" },
                amount(new.wear_mm, self.style, 0),
                hours_text(new.hours)
            );
            words.push(if n == 1 {
                format!("{wore}. Running-in is in that, so it is no steady rate.")
            } else {
                format!("{wore}; running-in is in that, and it is not part of the line.")
            });
        }
        words.extend(self.forecast_words());
        words
    }

    /// `3 surveys`, or `5 of 6 surveys` where the first is kept apart.
    fn surveys_words(&self) -> String {
        match (self.steady().len(), self.points.len()) {
            (2, 2) => "two surveys".to_owned(),
            (used, all) if used < all => format!("{used} of {all} surveys"),
            (_, all) => format!("{all} surveys"),
        }
    }

    fn own_words(&self, line: &FittedLine) -> String {
        let values = || self.points.iter().map(|point| point.reading.mm());
        match values().zip(values().skip(1)).all(|(a, b)| a == b) {
            true => "no change at all".to_owned(),
            false => self.rates_of(line),
        }
    }

    fn forecast_words(&self) -> Vec<String> {
        let Some(limit) = self.limit_mm() else {
            return vec!["The table gives no limit for it.".to_owned()];
        };
        let limit = amount(limit, self.style, 0);
        let latest = self.points.last().map_or(0.0, |point| point.x);
        let (time, further) = (self.time, |x: f64| x - latest);
        let Some(crossing) = self.forecast.crossing() else {
            return vec![format!("When the limit of {limit} is reached cannot be said.")];
        };
        let reached = |at: f64| match at > latest {
            true => format!("The limit of {limit} is reached after a further {}", self.moment(at)),
            false => format!("By the line the limit of {limit} is reached now"),
        };
        let mut words = vec![match crossing {
            Crossing::Passed if self.is_beyond() => {
                return vec![format!("The limit of {limit} is already passed.")];
            }
            Crossing::Passed => {
                format!("By the line the limit of {limit} is already passed; the latest survey is within it.")
            }
            Crossing::Bounded { at, from, to } => {
                format!("{}; 95 %: {} to {}.", reached(at), time.text(further(from)), time.text(further(to)))
            }
            Crossing::NoUpperBound { at: Some(at), from } => format!(
                "{}; 95 %: not before {}. There is no upper bound: the surveys do not show for sure that it changes.",
                reached(at),
                time.text(further(from))
            ),
            Crossing::NoUpperBound { at: None, from } => format!(
                "It does not approach its limit of {limit} by the line. The surveys cannot rule out that it is reached after a further {} (95 %).",
                self.moment(from)
            ),
            Crossing::Never => format!("It is not approaching its limit of {limit}."),
            Crossing::AnyTime => {
                format!("The limit of {limit} may be reached at any time: the surveys cannot say when.")
            }
            Crossing::NoInterval { at: Some(at) } => {
                format!("{}. Two surveys are too few to say how likely that is.", reached(at))
            }
            Crossing::NoInterval { at: None } => {
                format!("It is not approaching its limit of {limit}, as far as two surveys can tell.")
            }
        }];
        words.extend(self.measure_within.map(|within| match within > 0.0 {
            true => format!("Measure again within {}.", self.moment(latest + within)),
            false => "Measure again before further running.".to_owned(),
        }));
        words
    }

    /// How much more runs until the limit is reached, by its line: negative where it is passed already; none
    /// where it is not in sight, or where that cannot be said.
    pub fn reached_after(&self) -> Option<f64> {
        let now = self.points.last().map_or(0.0, |point| point.x);
        match (self.forecast, &self.line) {
            (Forecast::Limit(_, Crossing::Passed), _) => Some(f64::NEG_INFINITY),
            // What may be reached at any time has an estimate as well, where the line approaches it.
            (Forecast::Limit(level, Crossing::AnyTime), Ok(line)) if line.slope * level.sign > 0.0 => {
                crossing::estimate(line, level.at).map(|at| (at - now).max(0.0))
            }
            (forecast, _) => forecast.crossing().and_then(Crossing::at).map(|at| at - now),
        }
    }

    /// When the limit is reached, in a few words without the unit of time; none where nothing can be said.
    pub fn reached_text(&self) -> Option<String> {
        self.reached_by(self.forecast)
    }

    /// The same by another line.
    pub fn reached_by(&self, forecast: Forecast) -> Option<String> {
        let now = self.points.last().map_or(0.0, |point| point.x);
        let after = |x: f64| self.time.number(x - now);
        Some(match forecast.crossing()? {
            Crossing::Passed => "already passed".to_owned(),
            Crossing::Bounded { at, from, to } => format!("{} ({} to {})", after(at), after(from), after(to)),
            Crossing::NoUpperBound { at: Some(at), from } => {
                format!("{} ({} to no upper bound)", after(at), after(from))
            }
            Crossing::NoUpperBound { at: None, from } => format!("no upper bound (from {})", after(from)),
            Crossing::Never | Crossing::NoInterval { at: None } => "not approaching".to_owned(),
            Crossing::AnyTime => "at any time".to_owned(),
            Crossing::NoInterval { at: Some(at) } => format!("{} (no interval)", after(at)),
        })
    }

    /// When to measure again, in a few words; none where nothing can be said.
    pub fn measure_text(&self) -> Option<String> {
        let within = self.measure_within?;
        Some(if within > 0.0 {
            format!("within {}", self.time.text(within))
        } else {
            "before further running".to_owned()
        })
    }

    /// The chance in words that the limit is passed once so much more has run.
    pub fn outlook_words(&self, further: f64) -> String {
        let time = self.time.text(further);
        match self.outlook(further) {
            None => format!("What it comes to after a further {time} cannot be said without a rate."),
            Some(outlook) => {
                let expected = amount(outlook.mm, self.style, 0);
                let band = outlook.line_95.map_or(String::new(), |(low, high)| {
                    format!(" (95 %: {} to {})", amount(low, self.style, 0), amount(high, self.style, 0))
                });
                let chance = match (outlook.chance_passed, self.limit) {
                    (Some(chance), _) => {
                        format!(
                            " The chance that its limit is passed by then is {}.",
                            wording::chance_words(chance)
                        )
                    }
                    (None, Some(_)) => {
                        " Two surveys are too few to say how likely it is that its limit is passed by then."
                            .to_owned()
                    }
                    (None, None) => String::new(),
                };
                format!("After a further {time}: {expected}{band}.{chance}")
            }
        }
    }
}

/// What there is to say of how surveys agree with the gauge's budget; nothing where they do.
pub(super) fn checked_words(checked: &Checked) -> Option<&'static str> {
    let budget_dof = checked.budget_dof;
    let parts = || [Some(checked.surveys), checked.readings].into_iter().flatten();
    let is_checked = parts().any(|pooled| pooled.observed_dof > 0.0);
    Some(match (is_checked, budget_dof > 0.0) {
        (false, true) => {
            "The interval is from the gauge's uncertainty budget alone: with two surveys, nothing has checked it."
        }
        (false, false) => {
            "There is no interval: with two surveys it takes the calibration and the repeatability of the gauge."
        }
        (true, false) => {
            "The gauge's calibration or repeatability is not known. The interval is from scatter alone: an error that all surveys share is not in it."
        }
        (true, true) if parts().any(|pooled| pooled.budget_dof < budget_dof) => {
            "The surveys scatter more than the gauge's uncertainty budget explains. The interval is wider for it."
        }
        (true, true) => return None,
    })
}
