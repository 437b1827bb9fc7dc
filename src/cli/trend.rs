//! `trend`: cylinders across overhauls, as text for people and as JSON for programs.
//!
//! Without `--serial` each engine is shown with its cylinders side by side; with it, one cylinder with all its
//! figures. The sentences are the core's.
//!
//! # The JSON
//!
//! `--json` prints one object: `format` 1, `program`, `engines`, `cylinders`, `said` (about the records as a
//! whole) and `errors`. Amounts are JSON numbers in millimetres, rates in millimetres per hour, times in hours
//! of the cylinder's own running; a chance is from 0 to 1. What there is not is `null`, and never 0.

use std::io::{self, Write};
use std::path::PathBuf;

use rayon::prelude::*;
use serde::Serialize;

use super::args;
use super::files;
use super::run::Status;
use super::text::{Align, Cell, HEADING, NONE, PLAIN, Page, QUIET, Table, clean, counted};
use crate::life::crossing::Interval;
use crate::life::engine::{self, Stand};
use crate::life::figure::{Figure, amount};
use crate::life::follow::{self, Followed, History};
use crate::life::index::{Done, Index, Job, kept_file};
use crate::life::trend::{Forecast, Time, Trend, trend};

/// Does what was typed.
///
/// # Errors
/// If an output cannot be written.
pub fn run(typed: &args::Trend, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let (mut paths, mut bad) = (Vec::new(), Vec::new());
    for input in files::expand(&typed.files) {
        match input {
            Ok(input) => paths.push(input.path),
            Err(error) => bad.push(error.to_string()),
        }
    }
    paths.sort();
    paths.dedup();
    let index = index(typed, &paths, errors)?;
    bad.extend(index.told().map(str::to_owned));
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
    let history = serial.and_then(|serial| followed.history(serial));
    if let (Some(serial), None) = (serial, history) {
        bad.push(no_such_serial(&followed, serial));
    }
    if followed.histories.is_empty() && bad.is_empty() {
        bad.push("error: There is nothing to follow: no survey with a serial number was found. Give engine records, or a folder that holds them.".to_owned());
    }
    for error in &bad {
        writeln!(errors, "{}", clean(error))?;
    }
    // A figure or a cylinder that is not there is not taken for another one.
    let wanted_is_there = typed.figure.is_some() == named.is_some() && serial.is_some() == history.is_some();
    if wanted_is_there && !followed.histories.is_empty() {
        let figure = named.unwrap_or(Figure::LargestBore);
        match (typed.json, history) {
            (true, _) => json(&followed, history, &figure, typed.at, &bad, out)?,
            (false, Some(history)) => out.write_all(cylinder_text(history, &figure, typed.at).as_bytes())?,
            (false, None) => engines_text(&followed, &figure, typed.at, out)?,
        }
    } else if typed.json {
        json_of(&Document::new(&followed.said, &bad), out)?;
    }
    Ok(if bad.is_empty() { Status::Done } else { Status::BadInput })
}

/// The sheets of all files; kept in a folder if one is named.
fn index(typed: &args::Trend, paths: &[PathBuf], errors: &mut impl Write) -> io::Result<Index> {
    let kept = typed.index.as_ref().map(|folder| kept_file(folder, &typed.files));
    let mut index = kept.as_deref().map(Index::load).unwrap_or_default();
    let before = index.len();
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
    if let Some(kept) = kept.filter(|_| refreshed.read > 0 || before != refreshed.files)
        && let Err(error) = index.save(&kept)
    {
        writeln!(
            errors,
            "note: {}: The index cannot be kept there: {error}. The next time everything is read again.",
            kept.display()
        )?;
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
    let remedy = crate::diag::likely_meant(serial, known)
        .map_or("Give the serial number as it stands in the record.".to_owned(), |likely| {
            format!("Is `{likely}` meant?")
        });
    format!("error: No cylinder with the serial number `{serial}` was found. {remedy}")
}

/// The trend of a cylinder's latest life.
fn latest(history: &History, figure: &Figure) -> Option<Trend> {
    Some(trend(history, history.lives.last()?, figure, Time::Hours))
}

fn head() -> Table {
    Table::new([
        ("", Align::Left),
        ("", Align::Left),
        ("surveys", Align::Right),
        ("latest", Align::Point),
        ("per 1000 h", Align::Words),
        ("limit", Align::Point),
        ("reached after", Align::Left),
    ])
}

fn row(table: &mut Table, name: &str, detail: &str, trend: &Trend) {
    let text = |mm: f64| amount(mm, trend.style, 0);
    let none = || NONE.to_owned();
    let latest = trend.points.last();
    table.row([
        Cell::from(name),
        Cell::from(detail),
        Cell::from(trend.points.len().to_string()),
        Cell::from(latest.map_or_else(none, |point| text(point.reading.mm()))),
        Cell::from(trend.rate_text(1000.0).map_or_else(none, |rate| rate.replace(" per 1000 h", ""))),
        Cell::from(trend.heading_for().map_or_else(none, |(level, _)| text(level))),
        Cell::from(reached(trend)),
    ]);
}

/// When the limit is reached, in a few words.
fn reached(trend: &Trend) -> String {
    let now = trend.points.last().map_or(0.0, |point| point.x);
    match trend.forecast {
        Forecast::NoLimit | Forecast::NoLine => NONE.to_owned(),
        Forecast::Passed => "passed".to_owned(),
        Forecast::Unsure { at: Some(at) } => format!("{:.0} h, not sure", at - now),
        Forecast::Known { at: Some(at), interval: Interval::Between(low, high), .. } => {
            format!("{:.0} h ({:.0} to {:.0})", at - now, (low - now).max(0.0), high - now)
        }
        Forecast::Known { at: Some(at), earliest: Some(earliest), .. } => {
            format!("{:.0} h ({:.0} to no end)", at - now, earliest - now)
        }
        Forecast::Unsure { at: None } | Forecast::Known { .. } => "not in sight".to_owned(),
    }
}

fn engines_text(
    followed: &Followed,
    figure: &Figure,
    at: Option<f64>,
    out: &mut impl Write,
) -> io::Result<()> {
    for (i, name) in followed.engines.keys().enumerate() {
        let Some(stand) = engine::stand(followed, name, figure) else { continue };
        if i > 0 {
            writeln!(out)?;
        }
        out.write_all(engine_text(&stand, at).as_bytes())?;
    }
    let mut page = Page::default();
    page.gap();
    for said in &followed.said {
        page.paragraph(0, "- ", PLAIN, said);
    }
    page.gap();
    page.paragraph(0, "", QUIET, CLOSING);
    writeln!(out)?;
    out.write_all(page.into_text().as_bytes())
}

const CLOSING: &str = "Times are hours of running after the latest survey; intervals are of 95 %. Wear need not go on as it did: a line through past surveys is no promise.";

fn engine_text(stand: &Stand, at: Option<f64>) -> String {
    let mut page = Page::default();
    let title = format!("{}, survey of {}: {}", stand.engine.words(), stand.date, stand.figure.words());
    page.heading(0, &title, "", PLAIN);
    let mut table = head();
    for member in &stand.members {
        row(&mut table, &member.position, &member.trend.serial, &member.trend);
    }
    page.table(2, &table);
    for said in &stand.said {
        page.paragraph(2, "- ", PLAIN, said);
    }
    for member in &stand.members {
        let trend = &member.trend;
        if let Some(within) = trend.measure_within {
            let when =
                if within > 0.0 { format!("within {within:.0} h") } else { "before it runs on".to_owned() };
            page.paragraph(2, "- ", PLAIN, &format!("{}: measure again {when}.", trend.serial));
        }
        if let Some(at) = at {
            page.paragraph(2, "- ", PLAIN, &format!("{}: {}", trend.serial, trend.outlook_words(at)));
        }
        for said in &trend.said {
            page.paragraph(2, "- ", PLAIN, &format!("{}: {said}", trend.serial));
        }
    }
    page.into_text()
}

fn cylinder_text(history: &History, figure: &Figure, at: Option<f64>) -> String {
    let mut page = Page::default();
    page.heading(0, &format!("{}: {}", history.serial, figure.words()), "", PLAIN);
    for place in history.places() {
        page.paragraph(2, "", PLAIN, &place);
    }
    for said in &history.said {
        page.paragraph(2, "- ", PLAIN, said);
    }
    let lives = history.lives.len();
    for (i, life) in history.lives.iter().enumerate() {
        let trend = trend(history, life, figure, Time::Hours);
        page.gap();
        if lives > 1 {
            page.paragraph(
                2,
                "",
                HEADING,
                &format!("Life {} of {lives}, {}", i + 1, counted(life.sightings.len(), "survey")),
            );
        }
        let mut table = Table::new([
            ("date", Align::Left),
            ("own hours", Align::Right),
            ("total time", Align::Right),
            (figure.short().as_str(), Align::Point),
            ("standard uncertainty", Align::Point),
        ]);
        for point in &trend.points {
            table.row([
                Cell::from(point.date.to_string()),
                Cell::from(follow::hours_text(point.x)),
                Cell::from(point.total_hours.map_or_else(|| NONE.to_owned(), follow::hours_text)),
                Cell::from(amount(point.reading.mm(), trend.style, 0)),
                Cell::from(amount(point.reading.u_mm(), trend.style, 1)),
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
        } else if let Some(rate) = trend.rate_text(1000.0) {
            page.paragraph(2, "", PLAIN, &format!("{rate}."));
        }
        for said in &trend.said {
            page.paragraph(2, "- ", PLAIN, said);
        }
    }
    page.gap();
    page.paragraph(2, "", HEADING, "Every figure in its latest life");
    let mut table = head();
    if let Some(sighting) = history.latest() {
        for entry in &sighting.sheet.scheme.entries {
            if let Some(trend) = latest(history, &entry.figure).filter(|trend| !trend.points.is_empty()) {
                row(&mut table, &entry.figure.words(), "", &trend);
            }
        }
    }
    page.table(2, &table);
    page.gap();
    page.paragraph(0, "", QUIET, CLOSING);
    page.into_text()
}

#[derive(Serialize)]
struct JsonPoint {
    date: String,
    own_hours: f64,
    total_hours: Option<f64>,
    value_mm: f64,
    u_mm: f64,
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
    position: String,
    figure: String,
    points: Vec<JsonPoint>,
    rate_mm_per_hour: Option<f64>,
    rate_95: Option<(f64, f64)>,
    rate_from_new_mm_per_hour: Option<f64>,
    limit_mm: Option<f64>,
    limit_passed: bool,
    /// Hours of running after the latest survey.
    limit_reached_after_hours: Option<f64>,
    limit_reached_95: Option<(f64, Option<f64>)>,
    measure_within_hours: Option<f64>,
    outlook: Option<JsonOutlook>,
    sentences: Vec<String>,
    caveats: Vec<String>,
}

fn json_trend(position: &str, trend: &Trend, at: Option<f64>) -> JsonTrend {
    let line = trend.line.as_ref().ok();
    let now = trend.points.last().map_or(0.0, |point| point.x);
    let (reached, interval) = match trend.forecast {
        Forecast::Unsure { at } => (at, None),
        Forecast::Known { at, interval: Interval::Between(low, high), .. } => {
            (at, Some(((low - now).max(0.0), Some(high - now))))
        }
        Forecast::Known { at, earliest, .. } => (at, earliest.map(|earliest| (earliest - now, None))),
        Forecast::NoLimit | Forecast::Passed | Forecast::NoLine => (None, None),
    };
    let mut sentences = trend.sentences();
    sentences.extend(at.map(|at| trend.outlook_words(at)));
    JsonTrend {
        serial: trend.serial.clone(),
        position: position.to_owned(),
        figure: trend.figure.short(),
        points: trend
            .points
            .iter()
            .map(|point| JsonPoint {
                date: point.date.to_string(),
                own_hours: point.x,
                total_hours: point.total_hours,
                value_mm: point.reading.mm(),
                u_mm: point.reading.u_mm(),
            })
            .collect(),
        rate_mm_per_hour: line.map(|line| line.slope),
        rate_95: line.and_then(|line| line.slope_interval_95()),
        rate_from_new_mm_per_hour: trend.from_new.map(|new| new.rate()),
        limit_mm: trend.heading_for().map(|(level, _)| level),
        limit_passed: trend.forecast == Forecast::Passed,
        limit_reached_after_hours: reached.map(|x| x - now),
        limit_reached_95: interval,
        measure_within_hours: trend.measure_within,
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
    common_rate_mm_per_hour: Option<f64>,
    common_rate_95: Option<(f64, f64)>,
    rates_differ_p: Option<f64>,
    stands_out: Option<String>,
    sentences: Vec<String>,
    cylinders: Vec<JsonTrend>,
}

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    program: String,
    engines: Vec<JsonEngine>,
    cylinders: Vec<JsonTrend>,
    said: &'a [String],
    errors: &'a [String],
}

impl<'a> Document<'a> {
    fn new(said: &'a [String], errors: &'a [String]) -> Self {
        let program = concat!("borewright ", env!("CARGO_PKG_VERSION")).to_owned();
        Self { format: 1, program, engines: Vec::new(), cylinders: Vec::new(), said, errors }
    }
}

fn json(
    followed: &Followed,
    history: Option<&History>,
    figure: &Figure,
    at: Option<f64>,
    errors: &[String],
    out: &mut impl Write,
) -> io::Result<()> {
    let mut document = Document::new(&followed.said, errors);
    if let Some(history) = history {
        let position = history.latest().map_or("", |sighting| sighting.cylinder().position.as_str());
        let trends = history.lives.iter().map(|life| trend(history, life, figure, Time::Hours));
        document.cylinders = trends.map(|trend| json_trend(position, &trend, at)).collect();
    } else {
        let stands = followed.engines.keys().filter_map(|name| engine::stand(followed, name, figure));
        document.engines = stands
            .map(|stand| {
                let common = stand.common.as_ref();
                JsonEngine {
                    model: stand.engine.model.clone(),
                    serial: stand.engine.serial.clone(),
                    date: stand.date.to_string(),
                    common_rate_mm_per_hour: common.map(|common| common.slope),
                    common_rate_95: common.map(|common| common.interval_95),
                    rates_differ_p: common.and_then(|common| common.test.as_ref()).map(|test| test.p),
                    stands_out: stand.odd_one().map(|(member, _)| member.trend.serial.clone()),
                    sentences: stand.said.clone(),
                    cylinders: stand
                        .members
                        .iter()
                        .map(|member| json_trend(&member.position, &member.trend, at))
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
