//! The classroom on the command line: an exercise written, a filled one marked, a gauge study worked out.

use std::io::{self, Write};
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::args;
use super::telling::{Status, any_error, status, tell};
use super::text::{Align, HEADING, NONE, PLAIN, Page, Table, TableCell};
use classroom::exercise::{self, Exercise, Task};
use classroom::key::PracticeKey;
use classroom::mark::{self, Mark};
use classroom::study::{self, AnovaLine, Component, Group, Study};
use quantities::length::{Length, Unit};
use records::diag::{Diagnostic, WithDiagnostics};
use records::file::{self, Document};
use records::record::schema::Repeatability;
use records::store::{self, NotWritten, Replace};

/// What stands under every exercise and every mark.
const INVENTED: &str = "Invented for practice; for no real engine.";

/// Writes an exercise record and, apart, its key.
///
/// # Errors
/// If the output cannot be written.
pub fn practise(typed: &args::Practise, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let seed = typed.seed;
    let table = match &typed.limits {
        None => exercise::table(),
        Some(path) => {
            let WithDiagnostics { value, diagnostics } = file::load_limits(path);
            tell(&diagnostics, errors)?;
            match value {
                Some(table) => table,
                None => return Ok(Status::BadInput),
            }
        }
    };
    let drawn = Exercise::by(seed, table).map_err(|reported| match &typed.limits {
        Some(path) => reported.into_iter().map(|diagnostic| diagnostic.in_file(path)).collect(),
        None => reported,
    });
    let exercise = match drawn {
        Ok(exercise) => exercise,
        Err(reported) => {
            tell(&reported, errors)?;
            return Ok(Status::BadInput);
        }
    };
    let named = |path: &Option<PathBuf>, usual: String| path.clone().unwrap_or_else(|| PathBuf::from(usual));
    let record = named(&typed.record, format!("practice-{seed}.ron"));
    let key = named(&typed.key, format!("practice-{seed}-key.ron"));
    // Both are asked about first, so that none is left without the other.
    let taken = [&record, &key].into_iter().find(|path| path.exists());
    let written = match taken {
        Some(path) => Err(is_there_already().in_file(path)),
        None => write_new(&record, &exercise.record).and_then(|()| {
            write_new(&key, &exercise.key).map_err(|error| {
                let without = format!("{} The record is written, without its key.", error.remedy);
                error.remedy(without)
            })
        }),
    };
    if let Err(diagnostic) = written {
        tell(&[diagnostic], errors)?;
        return Ok(Status::BadInput);
    }
    let mut page = Page::default();
    page.heading(0, &format!("Exercise {seed}: {}", record.display()), "", PLAIN);
    for (task, keyed) in Task::ALL.iter().zip(&exercise.key.answers) {
        page.paragraph(2, &format!("cylinder {}: ", keyed.position), PLAIN, task.words());
    }
    page.gap();
    page.paragraph(
        0,
        "",
        PLAIN,
        "Each task stands in its cylinder's remarks. Write answers behind \"Answer:\", an outcome under \
         disposition; the bore to be measured is in the window's classroom, under this seed number.",
    );
    page.paragraph(0, "", PLAIN, &format!("The key, to be opened afterwards: {}", key.display()));
    page.paragraph(0, "", PLAIN, INVENTED);
    out.write_all(page.into_text().as_bytes())?;
    Ok(Status::Done)
}

fn is_there_already() -> Diagnostic {
    Diagnostic::error("This file is there already, and somebody may have filled it in.")
        .remedy("Move it away, or give another name with --record or --key.")
}

/// Writes a document to a file that is not there yet.
fn write_new<D: Document>(path: &Path, document: &D) -> Result<(), Diagnostic> {
    let text = file::to_ron(document).map_err(|diagnostic| diagnostic.in_file(path))?;
    store::write(path, text.as_bytes(), Replace::Nothing).map(drop).map_err(|not| match not {
        NotWritten::Changed(_) => is_there_already().in_file(path),
        NotWritten::Refused(why) => why,
    })
}

#[derive(Serialize)]
struct MarkedJson<'a> {
    format: u32,
    seed: u64,
    points: u32,
    out_of: u32,
    marks: &'a [Mark],
}

/// Marks a filled exercise by its key.
///
/// # Errors
/// If the output cannot be written.
pub fn mark(typed: &args::Mark, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let record = file::load_record(&typed.record);
    let key = file::load::<PracticeKey>(&typed.key);
    tell(&record.diagnostics, errors)?;
    tell(&key.diagnostics, errors)?;
    let (Some(filled), Some(key_of)) = (&record.value, &key.value) else { return Ok(Status::BadInput) };
    let WithDiagnostics { value: marks, mut diagnostics } = mark::mark(filled, key_of);
    if let Ok(text) = file::read_text(&typed.record) {
        file::place(&mut diagnostics, &text, Some(&typed.record));
    }
    tell(&diagnostics, errors)?;
    let bad = any_error(&record.diagnostics) || any_error(&key.diagnostics) || any_error(&diagnostics);
    if marks.is_empty() {
        return Ok(status(bad));
    }
    let (points, out_of) = mark::total(&marks);
    if typed.json {
        let json = MarkedJson { format: 1, seed: key_of.seed, points, out_of, marks: &marks };
        write_json(out, &json)?;
        return Ok(status(bad));
    }
    let mut page = Page::default();
    let by = filled.overhauls.first().map_or("", |overhaul| overhaul.inspector.name.as_str());
    let by = if by.is_empty() { String::new() } else { format!(", {by}") };
    page.heading(0, &format!("Exercise {}{by}: {points} of {out_of} points", key_of.seed), "", PLAIN);
    for (mark, keyed) in marks.iter().zip(&key_of.answers) {
        page.gap();
        let head = format!("Cylinder {}: {} of {}", mark.position, mark.points, mark.out_of);
        page.paragraph(0, "", HEADING, &head);
        for words in &mark.words {
            page.paragraph(2, "- ", PLAIN, words);
        }
        if typed.working {
            page.paragraph(2, "Working: ", PLAIN, &keyed.working.join(" "));
        }
    }
    page.gap();
    page.paragraph(0, "", PLAIN, INVENTED);
    out.write_all(page.into_text().as_bytes())?;
    Ok(status(bad))
}

#[derive(Serialize)]
struct StudyJson<'a> {
    format: u32,
    file: String,
    /// Deviations and means of `study` are in millimetres.
    study: &'a Study,
    interaction: String,
    categories: String,
    for_gauge: Option<Repeatability>,
}

/// Works a gauge study out.
///
/// # Errors
/// If the output cannot be written.
pub fn study(typed: &args::Study, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let unit = Unit::from(typed.unit);
    let refuse =
        |diagnostic: Diagnostic, errors: &mut _| tell(&[diagnostic], errors).map(|()| Status::BadInput);
    let tolerance = match typed.tolerance.as_deref().map(|text| Length::parse(text, unit)).transpose() {
        Ok(tolerance) => tolerance.map(|entry| entry.length),
        Err(error) => return refuse(Diagnostic::error(format!("--tolerance: {error}.")), errors),
    };
    if tolerance.is_some_and(|width| width <= Length::ZERO) {
        let reported = Diagnostic::error("--tolerance: a tolerance has a width above 0.");
        return refuse(reported.remedy("Write greatest minus least, on the diameter."), errors);
    }
    let bytes = match file::read_bytes(&typed.file, file::LARGEST) {
        Ok((bytes, _)) => bytes,
        Err(diagnostic) => return refuse(diagnostic, errors),
    };
    let WithDiagnostics { value: readings, mut diagnostics } = study::read_csv(bytes, unit);
    diagnostics.iter_mut().for_each(|diagnostic| diagnostic.file = Some(typed.file.clone()));
    tell(&diagnostics, errors)?;
    if readings.is_empty() && any_error(&diagnostics) {
        return Ok(Status::BadInput);
    }
    let study = match Study::of(&readings, tolerance) {
        Ok(study) => study,
        Err(diagnostic) => return refuse(diagnostic.in_file(&typed.file), errors),
    };
    if typed.json {
        let json = StudyJson {
            format: 1,
            file: typed.file.display().to_string(),
            interaction: study.interaction_words(),
            categories: study.categories_words(),
            for_gauge: study.for_gauge(),
            study: &study,
        };
        write_json(out, &json)?;
    } else {
        out.write_all(study_text(&study, unit).as_bytes())?;
    }
    Ok(status(any_error(&diagnostics)))
}

fn write_json(out: &mut impl Write, json: &impl Serialize) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, json).map_err(io::Error::from)?;
    writeln!(out)
}

/// Decimals beyond the unit's usual ones, for standard deviations.
const FINER: usize = 2;

fn number(mm: f64, unit: Unit) -> String {
    let decimals = usize::from(unit.usual_decimals()) + FINER;
    format!("{:.decimals$}", unit.from_mm(mm))
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn study_text(study: &Study, unit: Unit) -> String {
    let mut page = Page::default();
    let head = format!(
        "Gauge study: {} parts, {} people, {} times each; in {unit}",
        study.parts.len(),
        study.operators.len(),
        study.trials
    );
    page.heading(0, &head, "", PLAIN);
    page.gap();
    page.table(2, &components(study, unit));
    page.gap();
    if study.both.of_tolerance.is_some() {
        page.paragraph(
            0,
            "",
            PLAIN,
            "Of tolerance: six standard deviations over the width of the tolerance.",
        );
    }
    page.paragraph(0, "", PLAIN, &study.categories_words());
    page.paragraph(0, "", PLAIN, &study.interaction_words());
    page.gap();
    page.table(2, &anova(study));
    page.gap();
    page.table(2, &groups("person", &study.by_operator, unit));
    page.gap();
    page.table(2, &groups("part", &study.by_part, unit));
    page.gap();
    match study.for_gauge() {
        Some(Repeatability { standard_deviation, dof }) => page.paragraph(
            0,
            "",
            PLAIN,
            &format!(
                "For the gauge in a record: repeatability: (standard_deviation: \"{standard_deviation}\", dof: {dof:?})"
            ),
        ),
        None => page.paragraph(0, "", PLAIN, "Every repeat reads the same: the graduation is too coarse to tell."),
    }
    page.into_text()
}

fn components(study: &Study, unit: Unit) -> Table {
    let tolerance = study.both.of_tolerance.is_some();
    let mut columns = vec![
        ("source", Align::Left),
        ("standard deviation", Align::Point),
        ("of total variation", Align::Point),
        ("of variance", Align::Point),
    ];
    if tolerance {
        columns.push(("of tolerance", Align::Point));
    }
    let mut table = Table::new(columns);
    let mut row = |name: &str, component: Option<&Component>| {
        let mut cells: Vec<TableCell> = vec![name.into()];
        match component {
            Some(c) => {
                cells.push(number(c.deviation_mm, unit).into());
                cells.push(percent(c.of_total).into());
                cells.push(percent(c.of_variance).into());
                cells.extend(c.of_tolerance.map(|share| TableCell::from(percent(share))));
            }
            None => cells.extend((0..3 + usize::from(tolerance)).map(|_| TableCell::from(NONE))),
        }
        table.row(cells);
    };
    row("repeatability (the gauge)", Some(&study.repeatability));
    row("reproducibility (the people)", study.reproducibility.as_ref());
    row("both", Some(&study.both));
    row("parts", Some(&study.part));
    row("total", Some(&study.total));
    table
}

fn anova(study: &Study) -> Table {
    let mut table = Table::new([
        ("analysis of variance", Align::Left),
        ("degrees of freedom", Align::Right),
        ("mean square, mm²", Align::Point),
        ("F", Align::Point),
        ("p", Align::Point),
    ]);
    let mut row = |name: &str, line: Option<&AnovaLine>| {
        let Some(line) = line else { return };
        let or_none = |value: Option<f64>| value.map_or(NONE.to_owned(), |value| format!("{value:.3}"));
        table.row([
            name.into(),
            format!("{:.0}", line.dof).into(),
            format!("{:.9}", line.mean_square).into(),
            or_none(line.f).into(),
            or_none(line.p).into(),
        ]);
    };
    let anova = &study.anova;
    row("parts", Some(&anova.parts));
    row("people", anova.operators.as_ref());
    row("parts by people", anova.interaction.as_ref());
    row("repeats", Some(&anova.repeats));
    if anova.pooled {
        row("repeats, pooled", Some(&anova.error));
    }
    table
}

fn groups(what: &str, groups: &[Group], unit: Unit) -> Table {
    let columns =
        [(what, Align::Left), ("mean", Align::Point), ("smallest", Align::Point), ("largest", Align::Point)];
    let mut table = Table::new(columns);
    for group in groups {
        let of = |mm| TableCell::from(number(mm, unit));
        table.row([group.name.as_str().into(), of(group.mean_mm), of(group.least_mm), of(group.most_mm)]);
    }
    table
}
