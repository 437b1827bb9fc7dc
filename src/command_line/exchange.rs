//! Readings, figures and outcomes written to a file, and readings taken from one.

use std::io::{self, Write};

use jiff::civil::Date;

use super::args::{Export, Import};
use super::files;
use super::seal::{Change, one_overhaul};
use super::telling::{Status, status, tell};
use super::text::{Align, PLAIN, Page, Table, TableCell, clean, shortened};
use quantities::length::Unit;
use records::diag::{Diagnostic, WithDiagnostics};
use records::file;
use records::record::schema::{EngineRecord, Overhaul};
use records::store;
use work::evaluation::Evaluation;
use work::exchange::import::{self, Consent, Import as Imported, Obstacle, Taken, Unstated};
use work::exchange::mapping::Mapping;
use work::exchange::table::Grid;
use work::exchange::{self, Part, Source};
use work::session::{Command, Session};

/// The most refused rows that are told one by one.
const MOST_REPORTED: usize = 200;

/// `borewright export`
///
/// # Errors
/// If the output cannot be written.
pub fn export(typed: &Export, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let WithDiagnostics { value, diagnostics } = file::load_record(&typed.record);
    tell(&diagnostics, errors)?;
    let Some(record) = value else { return Ok(Status::BadInput) };
    match exported(typed, &record) {
        Ok((date, reported)) => {
            let name = clean(&typed.out.display().to_string()).into_owned();
            writeln!(out, "The overhaul of {date} is written to {name}.")?;
            tell(&reported, errors)?;
            Ok(status(reported.iter().any(Diagnostic::is_error)))
        }
        Err(error) => {
            tell(&[error], errors)?;
            Ok(Status::BadInput)
        }
    }
}

/// Writes the overhaul; gives its day, and what in it could not be read.
fn exported(typed: &Export, record: &EngineRecord) -> Result<(Date, Vec<Diagnostic>), Diagnostic> {
    let of_record = |error: Diagnostic| error.in_file(&typed.record);
    let index = one_overhaul(record, typed.overhaul).map_err(of_record)?;
    let overhaul =
        record.overhauls.get(index).ok_or_else(|| of_record(Diagnostic::error("There is no overhaul.")))?;
    let evaluation = Evaluation::of(record, index, None);
    if evaluation.survey.is_none() && (typed.part != Part::Readings || exchange::is_book(&typed.out)) {
        // Headings alone would look like an engine without cylinders.
        let why = evaluation.diagnostics.into_iter().find(Diagnostic::is_error);
        return Err(of_record(why.unwrap_or_else(|| Diagnostic::error("There is nothing to judge by."))));
    }
    let source = Source { record, overhaul, evaluation: &evaluation };
    let bytes = exchange::written(&typed.out, typed.part, source)?;
    store::write(&typed.out, &bytes, files::replaced(typed.force)).map_err(files::not_written)?;
    Ok((overhaul.date, evaluation.diagnostics.into_iter().map(of_record).collect()))
}

/// `borewright import`
///
/// # Errors
/// If the output cannot be written.
pub fn import(typed: &Import, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let change = match Change::open(&typed.into) {
        Ok(change) => change,
        Err(reported) => {
            tell(&reported, errors)?;
            return Ok(Status::BadInput);
        }
    };
    if !typed.dry_run {
        tell(&change.reported, errors)?;
    }
    let mut page = Page::default();
    let done = taken(typed, &change, &mut page);
    out.write_all(page.into_text().as_bytes())?;
    match done {
        Ok((refused, note)) => {
            tell(note.as_slice(), errors)?;
            Ok(status(refused > 0))
        }
        Err(error) => {
            tell(&[error], errors)?;
            Ok(Status::BadInput)
        }
    }
}

/// Reads the file, shows what it comes to, and takes it over unless it is only to be shown. Gives how many rows
/// are refused, and what there is to tell of the record as it was written.
fn taken(
    typed: &Import,
    change: &Change,
    page: &mut Page,
) -> Result<(usize, Option<Diagnostic>), Diagnostic> {
    let of_file = |error: Diagnostic| error.in_file(&typed.file);
    let grid = exchange::read(&typed.file)?;
    let mut mapping = Mapping::of(&grid);
    for (heading, field) in &typed.map {
        mapping.put_named(&grid, heading, field).map_err(of_file)?;
    }
    mapping_part(page, &grid, &mapping);
    let index = one_overhaul(&change.record, typed.overhaul).map_err(|error| error.in_file(&typed.into))?;
    let mut session = Session::new(change.record.clone());
    session.choose_overhaul(index);
    let unstated = Unstated { unit: typed.unit.map(Unit::from), gauge: typed.gauge.clone() };
    let import = import::import(&grid, &mapping, &unstated, (session.record(), index), session.evaluation())
        .map_err(of_file)?;
    let Some(overhaul) = session.overhaul() else {
        return Err(of_file(Diagnostic::error("There is no overhaul.")));
    };
    if typed.dry_run {
        rows_part(page, &import, overhaul);
    }
    attention_part(page, &import, overhaul);
    if import.is_empty() && import.unchanged == 0 {
        return Err(of_file(
            Diagnostic::error("No row can be taken over; the record stays as it was.")
                .remedy("Put the reasons above right first."),
        ));
    }
    let consent = Consent {
        leave_out_refused: typed.leave_out_refused,
        accept_implausible: typed.accept_implausible,
        replace: typed.replace,
    };
    let agreed = match import.agreed(consent) {
        Ok(agreed) => agreed,
        Err(obstacles) => {
            page.paragraph(0, "", PLAIN, &clean(&import.summary(overhaul, false)));
            return Err(of_file(not_agreed(&obstacles)));
        }
    };
    let summary = import.summary(overhaul, !typed.dry_run);
    let mut note = None;
    if typed.dry_run {
        page.paragraph(0, "", PLAIN, &clean(&format!("{summary} Nothing is written.")));
    } else {
        if !import.is_empty() {
            session
                .dispatch(Command::Import(Box::new(agreed)))
                .map_err(|error| error.in_file(&typed.into))?;
            note = change.write(&typed.into, session.record())?;
        }
        // Said once it is so.
        page.paragraph(0, "", PLAIN, &clean(&summary));
    }
    Ok((import.refused.len(), note))
}

/// Which sheet is read, and which column is what.
fn mapping_part(page: &mut Page, grid: &Grid, mapping: &Mapping) {
    if let Some(sheet) = &grid.sheet {
        page.paragraph(0, "", PLAIN, &format!("Sheet `{}`, no other one.", clean(sheet)));
    }
    page.paragraph(0, "", PLAIN, "Columns:");
    for ((heading, field), unit) in grid.headings.iter().zip(&mapping.columns).zip(&mapping.units) {
        let unit = field.filter(|field| field.is_value()).and(unit.as_ref());
        let unit = unit.map_or(String::new(), |unit| format!(", in {}", unit.word()));
        let field = field.map_or("not used", |field| field.words());
        page.paragraph(2, "", PLAIN, &format!("{} is: {field}{unit}", clean(heading)));
    }
}

/// A cylinder and a place of it, short.
fn place_words(taken: &Taken, overhaul: &Overhaul) -> [String; 3] {
    let cylinder = overhaul.cylinders.get(taken.cylinder);
    let name = cylinder.map_or("", |cylinder| match cylinder.position.as_str() {
        "" => cylinder.serial.as_str(),
        position => position,
    });
    [shortened(name, 12), shortened(&taken.station, 14), shortened(&taken.axis, 10)]
}

/// Every reading that would be taken: its line, place, gauge, unit and diameter.
fn rows_part(page: &mut Page, import: &Imported, overhaul: &Overhaul) {
    let mut table = Table::new([
        ("line", Align::Right),
        ("cylinder", Align::Left),
        ("station", Align::Left),
        ("axis", Align::Left),
        ("as kept", Align::Left),
        ("unit", Align::Left),
        ("diameter", Align::Left),
        ("gauge", Align::Left),
    ]);
    for taken in &import.taken {
        let [cylinder, station, axis] = place_words(taken, overhaul);
        for reading in &taken.entered {
            table.row([
                reading.line.to_string().into(),
                cylinder.clone().into(),
                station.clone().into(),
                axis.clone().into(),
                shortened(&reading.text, 16).into(),
                reading.unit.clone().into(),
                reading.diameter.text(reading.style).into(),
                TableCell::from(taken.gauge_words.clone()),
            ]);
        }
    }
    if !table.is_empty() {
        page.gap();
        page.paragraph(0, "", PLAIN, "Readings:");
        page.table(2, &table);
        page.gap();
    }
}

/// What is not taken, what is doubtful, and what would be lost, each with its reason.
fn attention_part(page: &mut Page, import: &Imported, overhaul: &Overhaul) {
    let place = |taken: &Taken| {
        let [cylinder, station, axis] = place_words(taken, overhaul);
        format!("cylinder {cylinder}, station {station}, axis {axis}")
    };
    let refused = import.refused.iter().map(|refused| refused.words());
    let doubtful = import
        .implausible()
        .map(|(taken, reading, why)| format!("Line {}, {}: not likely: {why}.", reading.line, place(taken)));
    let replaced = import.taken.iter().filter(|taken| !taken.replaces.is_empty()).map(|taken| {
        let line = taken.entered.first().map_or(0, |reading| reading.line);
        format!(
            "Line {line}, {}: would replace {} by {}.",
            place(taken),
            taken.replaces.join(", "),
            taken.texts().join(", ")
        )
    });
    for (list, what) in [
        (refused.collect::<Vec<_>>(), "row that is refused"),
        (doubtful.collect(), "value that is not likely"),
        (replaced.collect(), "place that is replaced"),
    ] {
        for words in list.iter().take(MOST_REPORTED) {
            page.hanging(2, &clean(words), PLAIN);
        }
        if let Some(more) = list.len().checked_sub(MOST_REPORTED).filter(|more| *more > 0) {
            page.paragraph(2, "", PLAIN, &format!("And {} more: {what}.", more));
        }
    }
    for note in &import.notes {
        page.paragraph(0, "", PLAIN, &clean(note));
    }
}

/// Nothing is taken over: what must be agreed to, and how.
fn not_agreed(obstacles: &[Obstacle]) -> Diagnostic {
    let words: Vec<String> = obstacles.iter().map(|obstacle| obstacle.words()).collect();
    let flags: Vec<&str> = obstacles
        .iter()
        .map(|obstacle| match obstacle {
            Obstacle::Refused(_) => "--leave-out-refused",
            Obstacle::Implausible(_) => "--accept-implausible",
            Obstacle::Replaces(..) => "--replace",
        })
        .collect();
    Diagnostic::error(format!("Nothing is taken over. {}", words.join(" ")))
        .remedy(format!("Correct the file, or agree with {}.", flags.join(" ")))
}
