//! One figure of one cylinder over time: how fast it changes, when it reaches its limit, and how sure that is.
//!
//! The line goes through surveys only, never from "new" to the first survey: running-in is faster than what
//! follows, so it is told apart ([`FromNew`]). With two surveys there is a rate without an interval, with one
//! there is none; each is said. The advice to measure again never reaches beyond the lower end of the interval
//! of 95 %, nor farther ahead than the surveys reach back.
//!
//! Amounts are in millimetres; time is in hours or in years of 365.25 days.

use super::crossing::{self, Interval};
use super::figure::{Figure, Limit, Reading, Side, amount};
use super::follow::{History, Life, Sighting, Since, hours_text};
use super::line::{self, Line, NoLine, Observation, Of};
use super::sheet::Temperature;
use crate::judge::shown;
use jiff::civil::Date;

use crate::length::{Length, Style};

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

    /// A span of time in words.
    pub fn text(self, span: f64) -> String {
        match self {
            _ if span > self.far() => format!("more than {} {}", self.far(), self.symbol()),
            Self::Hours => format!("{span:.0} h"),
            Self::Years => format!("{span:.1} years"),
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

    /// What a round advice is rounded down to.
    fn step(self) -> f64 {
        match self {
            Self::Hours => 10.0,
            Self::Years => 0.1,
        }
    }
}

/// One survey's value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrendPoint {
    /// Hours or years.
    pub x: f64,
    /// The value and its uncertainty.
    pub reading: Reading,
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine it was on.
    pub total_hours: Option<f64>,
}

/// A survey's value that has no place in time: what the cylinder had run by then is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unplaced {
    /// The day of measuring.
    pub date: Date,
    /// The value and its uncertainty.
    pub reading: Reading,
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
    /// The latest survey is beyond it.
    Passed,
    /// There is no line yet.
    NoLine,
    /// It is reached at `at`, as far as two surveys can tell.
    Unsure {
        /// Hours or years, on the axis of the points; none if it does not move towards the limit.
        at: Option<f64>,
    },
    /// It is reached at `at`, within the interval. Neither is before the latest survey, where the line may have
    /// passed the limit already while the reading has not.
    Known {
        /// Hours or years, on the axis of the points; none if it does not move towards the limit.
        at: Option<f64>,
        /// Fieller's interval of 95 %, from the latest survey on.
        interval: Interval,
        /// From the latest survey on, the earliest that the interval allows; none if never.
        earliest: Option<f64>,
    },
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
    /// The line through the points.
    pub line: Result<Line, NoLine>,
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

/// Follows a figure through a life of a cylinder.
pub fn trend(history: &History, life: &Life, figure: &Figure, time: Time) -> Trend {
    let sightings = history.of(life);
    let mut said = life.said.clone();
    let latest = compared_with(sightings, figure);
    if latest.is_none() {
        said.push(format!("No table of its surveys has {}.", figure.words()));
    }
    let Values { points, unplaced } = latest
        .map_or_else(Values::default, |latest| values(life, sightings, figure, latest, time, &mut said));
    let written = latest.or(sightings.last()).map_or(Style::default(), |latest| {
        let style = latest.sheet.scheme.style();
        let typed = sightings.iter().filter_map(|sighting| sighting.cylinder().decimals);
        Style { decimals: typed.fold(style.decimals, u8::max), ..style }
    });
    let observations: Vec<_> = points
        .iter()
        .map(|point| Observation { x: point.x, y: point.reading.mm(), u: point.reading.u_mm() })
        .collect();
    let running_in = running_in(&observations, life, figure);
    let line = line::fit(running_in.and_then(|_| observations.get(1..)).unwrap_or(&observations));
    let limit = latest.and_then(|latest| limit(sightings, figure, latest));
    let from_new = from_new(life, sightings, time);
    let mut trend = Trend {
        serial: history.serial.clone(),
        figure: figure.clone(),
        time,
        style: written,
        written,
        since: life.since,
        points,
        unplaced,
        line,
        from_new,
        running_in,
        limit,
        forecast: Forecast::NoLimit,
        measure_within: None,
        said,
    };
    trend.restyle(written);
    trend.forecast = trend.forecast();
    trend.measure_within = trend.advice();
    trend.caveats(sightings);
    trend
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

/// The values of the surveys, with a place in time and without.
#[derive(Default)]
struct Values {
    points: Vec<TrendPoint>,
    unplaced: Vec<Unplaced>,
}

/// The values that may be compared with the latest one, and what had to be left out.
fn values(
    life: &Life,
    sightings: &[Sighting],
    figure: &Figure,
    latest: &Sighting,
    time: Time,
    said: &mut Vec<String>,
) -> Values {
    let words = figure.words();
    let mut values = Values::default();
    let (mut not_taken, mut not_usable, mut blank) = (Vec::new(), Vec::new(), Vec::new());
    let Some(first) = sightings.first() else { return values };
    for (sighting, hours) in sightings.iter().zip(&life.hours) {
        let (sheet, scheme) = (&sighting.sheet, &sighting.sheet.scheme);
        let (date, table) = (sheet.date, &scheme.table);
        if !sighting.cylinder().is_measured() && sighting.cylinder().unread.is_empty() {
            blank.push((sighting, *hours));
            continue;
        }
        let because = match basis(sighting, figure) {
            None => Some(match figure {
                Figure::Station(_) | Figure::Point(..) => format!(
                    "The table of the survey of {date}, {table}, has no {words}; its stations are {}. Which of them is meant is not guessed",
                    scheme.stations.join(", ")
                ),
                _ => format!("The table of the survey of {date}, {table}, has no {words}"),
            }),
            Some(of) if Some(of) != basis(latest, figure) => Some(format!(
                "The table of the survey of {date}, {table}, takes {words} by another rule, at other depths or on other axes"
            )),
            _ if sighting.cylinder().oversize().is_none() => {
                Some(format!("The size of the cylinder on {date} is not known"))
            }
            _ if *figure == Figure::Wear && has_finished_size(sighting) != has_finished_size(latest) => {
                Some(format!("On {date} wear is counted from another diameter than on {}", latest.sheet.date))
            }
            _ => None,
        };
        if let Some(because) = because {
            said.push(format!("{because}: that survey is left out."));
            continue;
        }
        let Some(reading) = sighting.reading(figure) else {
            let was_entered = scheme.place(figure).is_some_and(|at| sighting.cylinder().unread.contains(&at));
            if was_entered {
                not_usable.push(sighting)
            } else {
                not_taken.push(sighting)
            }
            continue;
        };
        let x = match time {
            Time::Hours => *hours,
            Time::Years => Some(f64::from((date - first.sheet.date).get_days()) / 365.25),
        };
        match x {
            Some(x) => values.points.push(TrendPoint { x, reading, date, total_hours: sheet.total_hours }),
            None => values.unplaced.push(Unplaced { date, reading }),
        }
    }
    if !not_taken.is_empty() {
        said.push(format!("Not all readings that {words} needs were taken on {}.", days(&not_taken)));
    }
    if !not_usable.is_empty() {
        said.push(format!(
            "What {words} needs was entered on {}, but cannot be used: correct it.",
            days(&not_usable)
        ));
    }
    said.extend(after_the_latest(&values, &blank));
    values
}

fn has_finished_size(sighting: &Sighting) -> bool {
    sighting.cylinder().finished_to().is_some()
}

/// What there is to say about what came after the latest value in time: times are counted from that.
fn after_the_latest(values: &Values, blank: &[(&Sighting, Option<f64>)]) -> Vec<String> {
    let mut said = Vec::new();
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

/// Surveys that it takes before a first interval can be told from the rest: three make a line with an interval.
const ENOUGH_FOR_RUNNING_IN: usize = 4;

/// Whether the first interval of a life that began new was faster than what followed.
///
/// The line of the later surveys foretells where a reading would have been at the first one; where the first
/// reading lies below the whole of that band of 95 %, and the mean rate was higher, more wore between than at
/// the steady rate. Nothing is dropped on less evidence, and never a reading on the other side.
fn running_in(observations: &[Observation], life: &Life, figure: &Figure) -> Option<RunningIn> {
    let grows = matches!(
        figure,
        Figure::LargestBore | Figure::AverageBore | Figure::Wear | Figure::Station(_) | Figure::Point(..)
    );
    if !grows || !life.from_new || observations.len() < ENOUGH_FOR_RUNNING_IN {
        return None;
    }
    let (first, later) = observations.split_first()?;
    let second = later.first().filter(|second| second.x > first.x)?;
    let line = line::fit(later).ok()?;
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
    pub fn latest(&self) -> Option<(Date, Reading)> {
        let placed = self.points.last().map(|point| (point.date, point.reading));
        let unplaced = self.unplaced.last().map(|unplaced| (unplaced.date, unplaced.reading));
        match (placed, unplaced) {
            (Some(placed), Some(unplaced)) if unplaced.0 > placed.0 => Some(unplaced),
            (placed, unplaced) => placed.or(unplaced),
        }
    }

    /// The limit that the line heads for, in millimetres, and 1 if beyond is above it, -1 if below.
    pub fn heading_for(&self) -> Option<(f64, f64)> {
        let limit = self.limit?;
        let at = limit.length().to_mm();
        Some(match limit.side {
            Side::AtMost => (at, 1.0),
            Side::AtLeast => (at, -1.0),
            Side::Either => {
                let slope = self.line.as_ref().map_or(0.0, |line| line.slope);
                let latest = self.latest().map_or(0.0, |(_, reading)| reading.mm());
                let towards = if slope == 0.0 { latest } else { slope };
                if towards < 0.0 { (-at, -1.0) } else { (at, 1.0) }
            }
        })
    }

    /// The same surveys with another line through them, such as one of a common slope.
    #[must_use]
    pub fn along(&self, line: Line) -> Self {
        let mut trend = Self { line: Ok(line), ..self.clone() };
        trend.forecast = trend.forecast();
        trend.measure_within = trend.advice();
        trend
    }

    fn forecast(&self) -> Forecast {
        let (Some((level, sign)), Some(limit)) = (self.heading_for(), self.limit) else {
            return Forecast::NoLimit;
        };
        let Some((_, reading)) = self.latest() else { return Forecast::NoLine };
        // A value exactly on its limit is within it. Readings are kept to a tenth of a nanometre.
        let passed = match limit.side {
            Side::Either => reading.mm().abs() > limit.length().to_mm(),
            _ => (reading.mm() - level) * sign > 0.0,
        };
        let (line, latest) = match (&self.line, self.points.last()) {
            _ if passed => return Forecast::Passed,
            (Ok(line), Some(latest)) => (line, latest),
            _ => return Forecast::NoLine,
        };
        // Nothing is reached before the latest survey, which has not passed the limit; the line may have.
        let now = latest.x;
        let is_past = (line.at(now) - level) * sign >= 0.0;
        let towards = || crossing::estimate(line, level).filter(|_| line.slope * sign > 0.0);
        let at = if is_past { Some(now) } else { towards().map(|at| at.max(now)) };
        let earliest = if is_past { Some(now) } else { crossing::earliest_95(line, level, now) };
        let interval = match crossing::interval_95(line, level, Of::Line) {
            None => return Forecast::Unsure { at },
            Some(Interval::Between(low, high)) if line.slope * sign > 0.0 => {
                Interval::Between(low.max(now), high.max(now))
            }
            Some(Interval::From(from)) => Interval::From(from.max(now)),
            // Where a line that leads away from the limit met it is of no use.
            Some(Interval::Between(..) | Interval::Anything) => Interval::Anything,
        };
        Forecast::Known { at, interval, earliest }
    }

    fn advice(&self) -> Option<f64> {
        let (first, latest) = (self.steady().first()?, self.points.last()?);
        let span = latest.x - first.x;
        let ahead = match self.forecast {
            Forecast::Passed => 0.0,
            Forecast::Known { earliest: Some(earliest), .. } => (earliest - latest.x).min(span),
            Forecast::Known { earliest: None, .. } => span,
            Forecast::NoLimit | Forecast::NoLine | Forecast::Unsure { .. } => return None,
        };
        let step = self.time.step();
        Some((ahead.max(0.0) / step).floor() * step)
    }

    /// What is expected once so much more has run after the latest survey.
    pub fn outlook(&self, further: f64) -> Option<Outlook> {
        let line = self.line.as_ref().ok()?;
        let x = self.points.last()?.x + further;
        let chance_passed = self.heading_for().and_then(|(level, sign)| {
            let above = crossing::chance_above(line, level, x, Of::Line)?;
            Some(if sign > 0.0 { above } else { 1.0 - above })
        });
        Some(Outlook {
            x,
            mm: line.at(x),
            line_95: line.band_95(x, Of::Line),
            reading_95: line.band_95(x, Of::Reading),
            chance_passed,
        })
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

    /// The rate per 100 or per 1 000 of the time's unit, in words with its interval.
    pub fn rate_text(&self, per: f64) -> Option<String> {
        let line = self.line.as_ref().ok()?;
        // Two digits more than a reading has for each power of ten that is taken off.
        let more = if per >= 1000.0 { 1 } else { 2 };
        let text = |rate: f64| amount(rate * per, self.style, more);
        let bare = |rate: f64| {
            let style = Style { decimals: self.style.decimals.saturating_add(more), ..self.style };
            Length::from_mm(rate * per).map_or_else(|| text(rate), |length| length.number(style))
        };
        let interval = match line.slope_interval_95() {
            Some((low, high)) => format!(" (95 %: {} to {})", bare(low), bare(high)),
            None => String::new(),
        };
        let time = match self.time {
            Time::Hours => format!("{per:.0} h"),
            Time::Years if per == 1.0 => "year".to_owned(),
            Time::Years => format!("{per:.0} years"),
        };
        Some(format!("{} per {time}{interval}", text(line.slope)))
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
            (_, 1) => "One survey only: there is no rate yet.".to_owned(),
            (Err(NoLine::SameX), _) => {
                format!("All its surveys are at the same {}: there is no rate.", self.time.symbol())
            }
            (Err(_), _) => "These values make no line: there is no rate.".to_owned(),
            (Ok(line), _) => {
                let mut rate = self.rate_text(self.time.per()).unwrap_or_default();
                if self.time == Time::Hours {
                    rate = format!("{rate}, or {}", self.rate_text(100.0).unwrap_or_default());
                }
                let level =
                    self.points.windows(2).all(|p| matches!(p, [a, b] if a.reading.mm() == b.reading.mm()));
                let how = match line.dof() {
                    0 => "Two surveys: a rate, but no interval for it".to_owned(),
                    _ if self.running_in.is_some() => format!("{} of {n} surveys", n - 1),
                    _ => format!("{n} surveys"),
                };
                if level { format!("{how}: no change at all.") } else { format!("{how}: {rate}.") }
            }
        });
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

    fn forecast_words(&self) -> Vec<String> {
        let Some(limit) = self.limit_mm() else {
            return vec!["The table gives no limit for it.".to_owned()];
        };
        let limit = amount(limit, self.style, 0);
        let not_towards = || format!("It does not move towards its limit of {limit}.");
        let latest = self.points.last().map_or(0.0, |point| point.x);
        let mut words = match self.forecast {
            Forecast::NoLimit | Forecast::NoLine => {
                return vec![format!("When the limit of {limit} is reached cannot be said.")];
            }
            Forecast::Passed => {
                return vec![format!(
                    "The limit of {limit} is passed already: there is nothing to foretell."
                )];
            }
            Forecast::Unsure { at: None } => vec![not_towards()],
            Forecast::Unsure { at: Some(at) } => vec![format!(
                "At that rate the limit of {limit} is reached after a further {}. Two surveys cannot say how sure that is.",
                self.moment(at)
            )],
            Forecast::Known { at, interval, earliest } => {
                let reached = match at {
                    None => not_towards(),
                    Some(at) if at <= latest => format!("By the line the limit of {limit} is reached now"),
                    Some(at) => {
                        format!("The limit of {limit} is reached after a further {}", self.moment(at))
                    }
                };
                vec![match (at, interval, earliest) {
                    (Some(_), Interval::Between(_, high), _) if high <= latest => {
                        format!("{reached}, and the whole of its 95 % is past it.")
                    }
                    (Some(_), Interval::Between(low, high), _) => format!(
                        "{reached}; 95 %: {} to {}.",
                        self.time.text(low - latest),
                        self.time.text(high - latest)
                    ),
                    (Some(at), ..) if at <= latest => {
                        format!("{reached}, but the surveys do not show for sure that it moves towards it.")
                    }
                    (Some(_), _, Some(earliest)) => {
                        let soonest = if earliest > latest {
                            format!("not before {}", self.moment(earliest))
                        } else {
                            "perhaps at once".to_owned()
                        };
                        format!(
                            "{reached}, {soonest} (95 %), and there is no upper end: the surveys do not show for sure that it moves at all."
                        )
                    }
                    (Some(_), _, None) => format!("{reached}; there is no interval for that."),
                    (None, _, Some(earliest)) => format!(
                        "{reached} The surveys cannot rule out that it is reached after a further {} (95 %).",
                        self.moment(earliest)
                    ),
                    (None, _, None) => reached,
                }]
            }
        };
        if let Some(within) = self.measure_within {
            words.push(if within > 0.0 {
                format!("Measure again within {}.", self.moment(latest + within))
            } else {
                "Measure again before it runs on: the limit may be reached at once.".to_owned()
            });
        }
        words
    }

    /// How much more runs until the limit is reached, by its line: less than nothing where it is passed already; none
    /// where it is not in sight, or where that cannot be said.
    pub fn reached_after(&self) -> Option<f64> {
        let now = self.points.last().map_or(0.0, |point| point.x);
        match self.forecast {
            Forecast::Passed => Some(f64::NEG_INFINITY),
            Forecast::Unsure { at } | Forecast::Known { at, .. } => at.map(|at| at - now),
            Forecast::NoLimit | Forecast::NoLine => None,
        }
    }

    /// When the limit is reached, in a few words without the unit of time; none where nothing can be said.
    pub fn reached_text(&self) -> Option<String> {
        let now = self.points.last().map_or(0.0, |point| point.x);
        let decimals = if self.time == Time::Hours { 0 } else { 1 };
        let far = self.time.far();
        let after = |x: f64| match x - now {
            span if span > far => format!("over {far}"),
            span => format!("{span:.decimals$}"),
        };
        Some(match self.forecast {
            Forecast::NoLimit | Forecast::NoLine => return None,
            Forecast::Passed => "passed".to_owned(),
            Forecast::Unsure { at: Some(at) } => format!("{} (no interval)", after(at)),
            Forecast::Known { at: Some(at), interval: Interval::Between(low, high), .. } => {
                format!("{} ({} to {})", after(at), after(low), after(high))
            }
            Forecast::Known { at: Some(at), earliest: Some(earliest), .. } => {
                format!("{} ({} to no end)", after(at), after(earliest))
            }
            Forecast::Unsure { at: None } | Forecast::Known { .. } => "not in sight".to_owned(),
        })
    }

    /// When to measure again, in a few words; none where nothing can be said.
    pub fn measure_text(&self) -> Option<String> {
        let within = self.measure_within?;
        Some(if within > 0.0 {
            format!("within {}", self.time.text(within))
        } else {
            "before it runs on".to_owned()
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
                        format!(" The chance that its limit is passed by then is {}.", percent(chance))
                    }
                    (None, Some(_)) => " Two surveys give no chance of passing the limit.".to_owned(),
                    (None, None) => String::new(),
                };
                format!("After a further {time}: {expected}{band}.{chance}")
            }
        }
    }
}

/// A chance in percent, never nought or a hundred.
pub fn percent(chance: f64) -> String {
    match chance * 100.0 {
        low if low < 0.1 => "less than 0.1 %".to_owned(),
        high if high > 99.9 => "more than 99.9 %".to_owned(),
        small if small < 10.0 => format!("{small:.1} %"),
        large => format!("{large:.0} %"),
    }
}
