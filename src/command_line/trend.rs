//! `trend`: cylinders across overhauls, as text for people and as JSON for programs.
//!
//! Without `--serial` each engine is shown with its cylinders side by side; with it, one cylinder with all its
//! figures. The sentences are the core's.
//!
//! # The JSON
//!
//! `--json` prints one object: `format` 2, `program`, `time`, `engines`, `cylinders`, `said` (about the records as
//! a whole) and `errors`. Amounts are JSON numbers in millimetres, rates in millimetres per hour, times in hours
//! of the cylinder's own running; with `--by-date` hours are years throughout, and `time` says so. A chance is
//! from 0 to 1. What there is not is `null`, and never 0.
//!
//! - `rate_...`, `limit_reached_...`, `crossing`, `measure_within_hours` and `outlook` are by the line that leads.
//!   `rate_basis` says which: `own`, or `common` for the rate of all cylinders of the engine that do not differ.
//!   Where the common one leads, `alone` has the line through the cylinder's own surveys.
//! - `u` is a standard uncertainty, `dof` its degrees of freedom; a rate's 95 % is `rate +- t u`.
//! - `crossing` is `bounded`, `no_upper_bound`, `never`, `any_time`, `passed`, or `no_interval` where there are
//!   two surveys and no budget.
//! - A point's `u_mm` is made of what it has for itself (`u_reading_mm`), what its survey shares (`u_survey_mm`),
//!   and what all surveys with its `standard` share (`u_standard_mm`).
//! - `checked` says how surveys agree with the budget: `chi_squared` on `dof`, and `ratio`, the R that the stated
//!   variance was multiplied by; `budget_dof` is what the budget counted for in it. `readings` are what each
//!   reading has for itself; `null`: it was checked together with `surveys`.
//! - `against_others` has a cylinder's own rate against the common one of the others; `p` is times the number of
//!   cylinders.

use std::io::{self, Write};
use std::path::PathBuf;

use rayon::prelude::*;
use serde::Serialize;

use super::args;
use super::files;
use super::telling::{Status, tell};
use super::text::{Align, HEADING, NONE, PLAIN, Page, QUIET, Table, TableCell, clean, counted};
use history::crossing::Crossing;
use history::engine::{self, Comparison, EngineCylinder, Said};
use history::figure::{Figure, amount, number};
use history::first::{First, first};
use history::follow::{self, Followed, History};
use history::index::{Done, Index, Job, kept_file};
use history::line::FittedLine;
use history::lines::Checked;
use history::pooled::Pooled;
use history::sheet::EngineName;
use history::trend::{Basis, CLOSING, Forecast, Time, Trend, trend};
use quantities::length::Style;
use records::folder;

/// Does what was typed.
///
/// # Errors
/// If an output cannot be written.
pub fn run(typed: &args::Trend, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let (mut paths, mut bad) = (Vec::new(), Vec::new());
    for input in folder::expand(&typed.files) {
        match input {
            Ok(input) => paths.push(input.path),
            Err(error) => bad.push(error.to_string()),
        }
    }
    paths.sort();
    paths.dedup();
    let index = index(typed, &paths, errors)?;
    bad.extend(index.reported().map(str::to_owned));
    let followed = follow::follow(&index.sheets());
    let named = typed.figure.as_deref().map(|name| figure(&followed, name)).transpose();
    let named = match named {
        Ok(named) => named,
        Err(error) => {
            bad.push(error);
            None
        }
    };
    let serial = typed.serial.as_deref();
    // More than one where the number stands on more than one cylinder: each is shown.
    let histories = serial.map_or(&[][..], |serial| followed.named(serial));
    if let (Some(serial), []) = (serial, histories) {
        bad.push(no_such_serial(&followed, serial));
    }
    if followed.histories.is_empty() && bad.is_empty() {
        bad.push("error: There is nothing to follow: no survey with a serial number was found. Give engine records, or a folder that holds them.".to_owned());
    }
    for error in &bad {
        writeln!(errors, "{}", clean(error))?;
    }
    // A figure or a cylinder that is not there is not taken for another one.
    let wanted_is_there =
        typed.figure.is_some() == named.is_some() && serial.is_none_or(|_| !histories.is_empty());
    let time = if typed.by_date { Time::Years } else { Time::Hours };
    if wanted_is_there && !followed.histories.is_empty() {
        match (typed.json, histories) {
            (true, _) => json(&followed, histories, named.as_ref(), time, typed.at, &bad, out)?,
            (false, []) => engines_text(&followed, named.as_ref(), time, typed.at, out)?,
            (false, histories) => {
                for history in histories {
                    let shown = cylinder_shown(&followed, history, named.as_ref(), time);
                    out.write_all(cylinder_text(&followed, history, &shown, time, typed.at).as_bytes())?;
                }
                writeln!(out)?;
                out.write_all(closing().as_bytes())?;
            }
        }
    } else if typed.json {
        json_of(&Document::new(time, &followed.said, &bad), out)?;
    }
    Ok(if bad.is_empty() { Status::Done } else { Status::BadInput })
}

/// The sheets of all files; kept in a folder if one is named.
fn index(typed: &args::Trend, paths: &[PathBuf], errors: &mut impl Write) -> io::Result<Index> {
    let kept = typed.index.as_ref().map(|folder| kept_file(folder, &typed.files));
    let mut index = kept.as_deref().map(Index::load).unwrap_or_default();
    let bar = files::bar(paths.len());
    let run_all = |jobs: Vec<Job>| -> Vec<Done> {
        bar.set_length(jobs.len() as u64);
        jobs.par_iter()
            .map(|job| {
                let done = job.run();
                bar.inc(1);
                done
            })
            .collect()
    };
    let refreshed = index.refresh(paths, run_all);
    bar.finish_and_clear();
    if let Some(kept) = kept.filter(|_| refreshed.is_new)
        && let Err(note) = index.save(&kept)
    {
        tell(&[note], errors)?;
    }
    Ok(index)
}

/// The figure of a name.
fn figure(followed: &Followed, name: &str) -> Result<Figure, String> {
    let mut known: Vec<&Figure> = Vec::new();
    for sheet in followed.engines.values().flatten() {
        for entry in &sheet.scheme.entries {
            if entry.figure.is_called(name) {
                return Ok(entry.figure.clone());
            }
            if !known.contains(&&entry.figure) {
                known.push(&entry.figure);
            }
        }
    }
    let known: Vec<_> = known.into_iter().map(Figure::short).collect();
    Err(format!("error: There is no figure `{name}`. Known here: {}.", known.join(", ")))
}

fn no_such_serial(followed: &Followed, serial: &str) -> String {
    let known = followed.histories.iter().map(|history| history.serial.as_str());
    let remedy = records::diag::likely_intended(serial, known)
        .map_or("Give the serial number as it stands in the record.".to_owned(), |likely| {
            format!("Is `{likely}` meant?")
        });
    format!("error: No cylinder with the serial number `{serial}` was found. {remedy}")
}

/// A figure to show, and why where nobody has asked for it.
struct Shown {
    figure: Figure,
    why: Option<String>,
}

impl Shown {
    fn of(named: Option<&Figure>, first: impl FnOnce() -> Option<First>) -> Self {
        match named {
            Some(figure) => Self { figure: figure.clone(), why: None },
            None => first().map_or(Self { figure: Figure::LargestBore, why: None }, |first| Self {
                figure: first.figure,
                why: Some(first.why),
            }),
        }
    }
}

/// The rows of the table of an engine's latest survey.
fn rows_of(followed: &Followed, name: &EngineName) -> Vec<Figure> {
    let latest = followed.engines.get(name).and_then(|sheets| sheets.last());
    let entries = latest.into_iter().flat_map(|latest| &latest.scheme.entries);
    entries.map(|entry| entry.figure.clone()).filter(Figure::is_row).collect()
}

/// An engine in the figure to show.
fn engine_shown(
    followed: &Followed,
    name: &EngineName,
    named: Option<&Figure>,
    time: Time,
) -> Option<(Comparison, Option<String>)> {
    let stand = |figure: &Figure| Some((engine::stand(followed, name, figure, time)?, None));
    if let Some(figure) = named {
        return stand(figure);
    }
    let first = engine::stand_of_first(followed, name, &rows_of(followed, name), time);
    first.map(|(stand, first)| (stand, Some(first.why))).or_else(|| stand(&Figure::LargestBore))
}

/// The figure to show of a cylinder: by its place on the engine it was last seen on, or by itself where it has none.
fn cylinder_shown(followed: &Followed, history: &History, named: Option<&Figure>, time: Time) -> Shown {
    Shown::of(named, || {
        let seen = history.latest()?;
        let rows = rows_of(followed, &seen.sheet.engine);
        let stands = engine::stands(followed, &seen.sheet.engine, &rows, time);
        let members = stands.iter().flat_map(|stand| &stand.members).filter(|member| member.is(history));
        let own = |row| Some(trend(history, history.lives.last()?, row, time));
        let alone: Vec<Trend> = rows.iter().filter_map(own).collect();
        first(members.map(EngineCylinder::positioned))
            .or_else(|| first(alone.iter().map(|trend| (seen.cylinder().position.as_str(), trend))))
    })
}

/// The columns of a table of trends; `names` are those in front.
fn head(names: &[&str], style: Style, time: Time) -> Table {
    let unit = style.unit;
    let front = names.iter().map(|name| ((*name).to_owned(), Align::Left));
    Table::new(front.chain([
        ("n".to_owned(), Align::Right),
        ("latest".to_owned(), Align::Point),
        (format!("own rate, {unit} per {} (95 %)", time.per_words()), Align::Words),
        ("limit".to_owned(), Align::Point),
        (format!("reached after, {} (95 %)", time.symbol()), Align::Left),
    ]))
}

fn row(table: &mut Table, names: &[&str], trend: &Trend) {
    let text = |mm: f64, more: u8| number(mm, trend.style, more);
    let none = || NONE.to_owned();
    let latest = trend.latest();
    let per = trend.time.per();
    let rate = trend.own_line().map_or_else(none, |line| match line.slope_interval_95() {
        Some((low, high)) => {
            format!("{} ({} to {})", text(line.slope * per, 1), text(low * per, 1), text(high * per, 1))
        }
        None => format!("{} (no interval)", text(line.slope * per, 1)),
    });
    table.row(names.iter().map(|name| TableCell::from(*name)).chain([
        TableCell::from(trend.points.len().to_string()),
        TableCell::from(latest.map_or_else(none, |(_, reading)| text(reading.mm(), 0))),
        TableCell::from(rate),
        TableCell::from(trend.limit_mm().map_or_else(none, |limit| text(limit, 0))),
        TableCell::from(trend.reached_text().unwrap_or_else(none)),
    ]));
}

fn engines_text(
    followed: &Followed,
    named: Option<&Figure>,
    time: Time,
    at: Option<f64>,
    out: &mut impl Write,
) -> io::Result<()> {
    let names: Vec<&EngineName> = followed.engines.keys().collect();
    let mut first = true;
    // So many at a time: on all cores, and no more of them in memory.
    for names in names.chunks(1024) {
        let shown = names.par_iter().filter_map(|name| {
            let (stand, why) = engine_shown(followed, name, named, time)?;
            Some(engine_text(&stand, why.as_deref(), at))
        });
        for text in shown.collect::<Vec<_>>() {
            if !std::mem::take(&mut first) {
                writeln!(out)?;
            }
            out.write_all(text.as_bytes())?;
        }
    }
    let mut page = Page::default();
    page.gap();
    for said in &followed.said {
        page.paragraph(0, "- ", PLAIN, said);
    }
    writeln!(out)?;
    out.write_all(page.into_text().as_bytes())?;
    if !followed.said.is_empty() {
        writeln!(out)?;
    }
    out.write_all(closing().as_bytes())
}

fn closing() -> String {
    let mut page = Page::default();
    page.paragraph(0, "", QUIET, CLOSING);
    page.into_text()
}

fn engine_text(stand: &Comparison, why: Option<&str>, at: Option<f64>) -> String {
    let mut page = Page::default();
    let title = format!("{}, survey of {}: {}", stand.engine.words(), stand.date, stand.figure.words());
    page.heading(0, &title, "", PLAIN);
    if let Some(why) = why {
        page.paragraph(2, "", PLAIN, why);
    }
    let mut table = head(&["", ""], stand.style, stand.time);
    for member in &stand.members {
        row(&mut table, &[&member.position, &member.trend.serial], &member.trend);
    }
    page.table(2, &table);
    for said in stand.said() {
        page.paragraph(2, "- ", PLAIN, &said.text());
    }
    for (what, text) in [
        ("By its own surveys alone, each reaches the limit after: ", listed(stand, alone_words)),
        ("Measure again: ", listed(stand, |member| member.trend.measure_text())),
    ] {
        if !text.is_empty() {
            page.paragraph(2, "- ", PLAIN, &format!("{what}{text}."));
        }
    }
    for member in &stand.members {
        let trend = &member.trend;
        if let Some(at) = at {
            page.paragraph(2, "- ", PLAIN, &format!("{}: {}", trend.serial, trend.outlook_words(at)));
        }
        for said in &trend.said {
            page.paragraph(2, "- ", PLAIN, &format!("{}: {said}", trend.serial));
        }
    }
    page.into_text()
}

/// What there is to say of each member, in one line.
fn listed(stand: &Comparison, of: impl Fn(&EngineCylinder) -> Option<String>) -> String {
    let said = |member| of(member).map(|words| format!("{} {words}", member.trend.serial));
    stand.members.iter().filter_map(said).collect::<Vec<_>>().join("; ")
}

/// A cylinder's trends, one a life; the latest is as its engine has it.
fn trends(followed: &Followed, history: &History, figure: &Figure, time: Time) -> Vec<Trend> {
    let earlier = history.lives.iter().rev().skip(1).rev();
    let mut trends: Vec<Trend> = earlier.map(|life| trend(history, life, figure, time)).collect();
    trends.extend(engine::latest_trend(followed, history, figure, time));
    trends
}

fn surveys(history: &History, life: usize) -> usize {
    history.lives.get(life).map_or(0, |life| life.sightings.len())
}

fn alone_words(member: &EngineCylinder) -> Option<String> {
    let alone = member.trend.alone.as_ref()?;
    let reached = member.trend.reached_by(alone.forecast)?;
    let is_time = alone.forecast.crossing().is_some_and(|crossing| crossing.at().is_some());
    Some(if is_time { format!("{reached} {}", member.trend.time.symbol()) } else { reached })
}

fn cylinder_text(
    followed: &Followed,
    history: &History,
    shown: &Shown,
    time: Time,
    at: Option<f64>,
) -> String {
    let Shown { figure, why } = shown;
    let mut page = Page::default();
    page.heading(0, &format!("{}: {}", history.name(), figure.words()), "", PLAIN);
    if let Some(why) = why {
        page.paragraph(2, "", PLAIN, why);
    }
    for place in history.places() {
        page.paragraph(2, "", PLAIN, &place);
    }
    for said in &history.said {
        page.paragraph(2, "- ", PLAIN, said);
    }
    let lives = history.lives.len();
    for (i, trend) in trends(followed, history, figure, time).iter().enumerate() {
        page.gap();
        if lives > 1 {
            page.paragraph(
                2,
                "",
                HEADING,
                &format!("Life {} of {lives}, {}", i + 1, counted(surveys(history, i), "survey")),
            );
        }
        let hours = format!("hours since {}", trend.since.words());
        let mut table = Table::new([
            ("date", Align::Left),
            (if time == Time::Hours { hours.as_str() } else { "years" }, Align::Right),
            ("total time", Align::Right),
            (figure.short().as_str(), Align::Point),
            ("standard uncertainty", Align::Point),
        ]);
        for point in &trend.points {
            table.row([
                TableCell::from(point.date.to_string()),
                TableCell::from(follow::hours_text(point.x)),
                TableCell::from(point.total_hours.map_or_else(|| NONE.to_owned(), follow::hours_text)),
                TableCell::from(amount(point.reading.mm(), trend.style, 0)),
                TableCell::from(amount(point.reading.u_mm(), trend.style, 1)),
            ]);
        }
        if !table.is_empty() {
            page.table(2, &table);
        }
        // Only what still runs can be foretold.
        if i + 1 == lives {
            for sentence in trend.sentences() {
                page.paragraph(2, "", PLAIN, &sentence);
            }
            if let Some(at) = at {
                page.paragraph(2, "", PLAIN, &trend.outlook_words(at));
            }
        } else if let Some(rate) = trend.rate_text(time.per()) {
            page.paragraph(2, "", PLAIN, &format!("{rate}."));
        }
        for said in &trend.said {
            page.paragraph(2, "- ", PLAIN, said);
        }
    }
    page.gap();
    page.paragraph(2, "", HEADING, "Every figure in its latest life");
    let style = history.latest().map_or(Style::default(), |latest| latest.sheet.scheme.style());
    let mut table = head(&[""], style, time);
    if let Some(sighting) = history.latest() {
        for entry in &sighting.sheet.scheme.entries {
            let trend = engine::latest_trend(followed, history, &entry.figure, time);
            if let Some(trend) = trend.filter(|trend| trend.latest().is_some()) {
                row(&mut table, &[&entry.figure.words()], &trend);
            }
        }
    }
    page.table(2, &table);
    page.into_text()
}

#[derive(Serialize)]
struct JsonPoint {
    date: String,
    own_hours: f64,
    total_hours: Option<f64>,
    value_mm: f64,
    u_mm: f64,
    u_reading_mm: f64,
    u_survey_mm: f64,
    u_standard_mm: f64,
    standard: Option<String>,
    budget_dof: u8,
}

#[derive(Serialize)]
struct JsonPooled {
    chi_squared: f64,
    dof: f64,
    budget_dof: f64,
    ratio: f64,
}

#[derive(Serialize)]
struct JsonChecked {
    readings: Option<JsonPooled>,
    surveys: JsonPooled,
}

#[derive(Serialize)]
struct JsonAlone {
    rate_mm_per_hour: f64,
    rate_95: Option<(f64, f64)>,
    rate_u_mm_per_hour: Option<f64>,
    rate_dof: f64,
    crossing: Option<&'static str>,
    limit_reached_after_hours: Option<f64>,
    limit_reached_95: Option<(f64, Option<f64>)>,
}

#[derive(Serialize)]
struct JsonAgainst {
    own_rate_mm_per_hour: f64,
    others_rate_mm_per_hour: f64,
    t: f64,
    p: f64,
}

#[derive(Serialize)]
struct JsonOutlook {
    further_hours: f64,
    value_mm: f64,
    line_95_mm: Option<(f64, f64)>,
    reading_95_mm: Option<(f64, f64)>,
    chance_passed: Option<f64>,
}

#[derive(Serialize)]
struct JsonTrend {
    serial: String,
    /// The engine it was last seen on.
    engine: String,
    position: String,
    figure: String,
    points: Vec<JsonPoint>,
    rate_mm_per_hour: Option<f64>,
    rate_95: Option<(f64, f64)>,
    rate_u_mm_per_hour: Option<f64>,
    rate_dof: Option<f64>,
    rate_basis: Option<&'static str>,
    /// What its hours count from.
    hours_since: String,
    /// Since it was new, or last finished: running-in is in it.
    rate_before_first_survey_mm_per_hour: Option<f64>,
    limit_mm: Option<f64>,
    limit_passed: bool,
    crossing: Option<&'static str>,
    /// Hours of running after the latest survey.
    limit_reached_after_hours: Option<f64>,
    limit_reached_95: Option<(f64, Option<f64>)>,
    measure_within_hours: Option<f64>,
    alone: Option<JsonAlone>,
    against_others: Option<JsonAgainst>,
    checked: Option<JsonChecked>,
    outlook: Option<JsonOutlook>,
    sentences: Vec<String>,
    caveats: Vec<String>,
}

fn json_crossing(forecast: Forecast) -> Option<&'static str> {
    Some(match forecast.crossing()? {
        Crossing::Passed => "passed",
        Crossing::Bounded { .. } => "bounded",
        Crossing::NoUpperBound { .. } => "no_upper_bound",
        Crossing::Never => "never",
        Crossing::AnyTime => "any_time",
        Crossing::NoInterval { .. } => "no_interval",
    })
}

/// Hours of running until the limit, with the ends of their interval.
fn json_reached(forecast: Forecast, now: f64) -> (Option<f64>, Option<(f64, Option<f64>)>) {
    let Some(crossing) = forecast.crossing() else { return (None, None) };
    let interval = match crossing {
        Crossing::Bounded { from, to, .. } => Some((from - now, Some(to - now))),
        Crossing::NoUpperBound { from, .. } => Some((from - now, None)),
        Crossing::AnyTime => Some((0.0, None)),
        Crossing::Passed | Crossing::Never | Crossing::NoInterval { .. } => None,
    };
    (crossing.at().map(|at| at - now), interval)
}

fn json_checked(checked: &Checked) -> JsonChecked {
    let json = |pooled: Pooled| JsonPooled {
        chi_squared: pooled.chi_squared,
        dof: pooled.observed_dof,
        budget_dof: pooled.budget_dof,
        ratio: pooled.ratio,
    };
    JsonChecked { readings: checked.readings.map(json), surveys: json(checked.surveys) }
}

fn json_trend((engine, position): (&EngineName, &str), trend: &Trend, at: Option<f64>) -> JsonTrend {
    let line = trend.line.as_ref().ok();
    let now = trend.points.last().map_or(0.0, |point| point.x);
    let (reached, interval) = json_reached(trend.forecast, now);
    let mut sentences = trend.sentences();
    sentences.extend(at.map(|at| trend.outlook_words(at)));
    JsonTrend {
        serial: trend.serial.clone(),
        engine: engine.words(),
        position: position.to_owned(),
        figure: trend.figure.short(),
        points: trend
            .points
            .iter()
            .map(|point| {
                let parts = point.reading.parts();
                JsonPoint {
                    date: point.date.to_string(),
                    own_hours: point.x,
                    total_hours: point.total_hours,
                    value_mm: point.reading.mm(),
                    u_mm: point.reading.u_mm(),
                    u_reading_mm: parts.reading,
                    u_survey_mm: parts.survey,
                    u_standard_mm: parts.standard,
                    standard: point.standard().map(str::to_owned),
                    budget_dof: point.reading.budget_dof(),
                }
            })
            .collect(),
        rate_mm_per_hour: line.map(|line| line.slope),
        rate_95: line.and_then(FittedLine::slope_interval_95),
        rate_u_mm_per_hour: line.and_then(FittedLine::slope_u),
        rate_dof: line.map(FittedLine::slope_dof),
        rate_basis: line.map(|_| match trend.basis {
            Basis::Own => "own",
            Basis::Common(_) => "common",
        }),
        hours_since: trend.since.words(),
        rate_before_first_survey_mm_per_hour: trend.from_new.map(|before| before.rate()),
        limit_mm: trend.limit_mm(),
        limit_passed: trend.forecast.crossing() == Some(Crossing::Passed),
        crossing: json_crossing(trend.forecast),
        limit_reached_after_hours: reached,
        limit_reached_95: interval,
        measure_within_hours: trend.measure_within,
        alone: trend.alone.as_ref().map(|alone| {
            let (reached, interval) = json_reached(alone.forecast, now);
            JsonAlone {
                rate_mm_per_hour: alone.line.slope,
                rate_95: alone.line.slope_interval_95(),
                rate_u_mm_per_hour: alone.line.slope_u(),
                rate_dof: alone.line.slope_dof(),
                crossing: json_crossing(alone.forecast),
                limit_reached_after_hours: reached,
                limit_reached_95: interval,
            }
        }),
        against_others: trend.against.map(|against| JsonAgainst {
            own_rate_mm_per_hour: against.slope,
            others_rate_mm_per_hour: against.others,
            t: against.t,
            p: against.p,
        }),
        checked: trend.checked.as_ref().map(json_checked),
        outlook: at.and_then(|at| trend.outlook(at)).map(|outlook| JsonOutlook {
            further_hours: outlook.x - now,
            value_mm: outlook.mm,
            line_95_mm: outlook.line_95,
            reading_95_mm: outlook.reading_95,
            chance_passed: outlook.chance_passed,
        }),
        sentences,
        caveats: trend.said.clone(),
    }
}

#[derive(Serialize)]
struct JsonEngine {
    model: String,
    serial: String,
    date: String,
    figure: String,
    /// Why it is this figure; null where it was asked for.
    figure_chosen_because: Option<String>,
    common_rate_mm_per_hour: Option<f64>,
    common_rate_95: Option<(f64, f64)>,
    common_rate_u_mm_per_hour: Option<f64>,
    common_rate_dof: Option<f64>,
    /// Serial numbers of the cylinders that it is of.
    common_rate_cylinders: Vec<String>,
    common_rate_leads: bool,
    checked: Option<JsonChecked>,
    rates_differ_f: Option<f64>,
    rates_differ_dof: Option<(f64, f64)>,
    rates_differ_p: Option<f64>,
    stands_out: Option<String>,
    sentences: Vec<String>,
    cylinders: Vec<JsonTrend>,
}

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    program: String,
    time: &'static str,
    engines: Vec<JsonEngine>,
    cylinders: Vec<JsonTrend>,
    said: &'a [String],
    errors: &'a [String],
}

impl<'a> Document<'a> {
    fn new(time: Time, said: &'a [String], errors: &'a [String]) -> Self {
        let program = concat!("borewright ", env!("CARGO_PKG_VERSION")).to_owned();
        let time = match time {
            Time::Hours => "hours",
            Time::Years => "years",
        };
        Self { format: 2, program, time, engines: Vec::new(), cylinders: Vec::new(), said, errors }
    }
}

fn json(
    followed: &Followed,
    histories: &[History],
    named: Option<&Figure>,
    time: Time,
    at: Option<f64>,
    errors: &[String],
    out: &mut impl Write,
) -> io::Result<()> {
    let mut document = Document::new(time, &followed.said, errors);
    for history in histories {
        let Some(seen) = history.latest() else { continue };
        let place = (&*seen.sheet.engine, seen.cylinder().position.as_str());
        let shown = cylinder_shown(followed, history, named, time);
        let trends = trends(followed, history, &shown.figure, time);
        document.cylinders.extend(trends.iter().map(|trend| json_trend(place, trend, at)));
    }
    if histories.is_empty() {
        let stands = followed.engines.keys().filter_map(|name| engine_shown(followed, name, named, time));
        document.engines = stands
            .map(|(stand, why)| {
                let (common, test) = (stand.common.as_ref(), stand.test.as_ref());
                let line = common.map(|common| &common.line);
                let serial = |i: &usize| Some(stand.members.get(*i)?.trend.serial.clone());
                JsonEngine {
                    model: stand.engine.model.clone(),
                    serial: stand.engine.serial.clone(),
                    date: stand.date.to_string(),
                    figure: stand.figure.short(),
                    figure_chosen_because: why,
                    common_rate_mm_per_hour: line.map(|line| line.slope),
                    common_rate_95: line.and_then(FittedLine::slope_interval_95),
                    common_rate_u_mm_per_hour: line.and_then(FittedLine::slope_u),
                    common_rate_dof: line.map(FittedLine::slope_dof),
                    common_rate_cylinders: common
                        .iter()
                        .flat_map(|c| &c.members)
                        .filter_map(serial)
                        .collect(),
                    common_rate_leads: common.is_some_and(|common| common.leads),
                    checked: stand.checked.as_ref().map(json_checked),
                    rates_differ_f: test.map(|test| test.f),
                    rates_differ_dof: test.map(|test| test.dof),
                    rates_differ_p: test.map(|test| test.p),
                    stands_out: stand.odd_one().map(|(member, _)| member.trend.serial.clone()),
                    sentences: stand.said().iter().map(Said::text).collect(),
                    cylinders: stand
                        .members
                        .iter()
                        .map(|member| json_trend((&stand.engine, &member.position), &member.trend, at))
                        .collect(),
                }
            })
            .collect();
    }
    json_of(&document, out)
}

fn json_of(document: &Document<'_>, out: &mut impl Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, document)?;
    writeln!(out)
}
