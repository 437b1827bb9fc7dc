//! Readings, figures and outcomes written to a file, and readings taken from one.

use std::io::{self, Write};

use jiff::civil::Date;

use super::args::{Export, Import};
use super::run::{Status, status, tell};
use super::seal::{Change, one_overhaul};
use super::text::{PLAIN, Page, clean, counted};
use crate::diag::{Diagnostic, Told};
use crate::evaluation::Evaluation;
use crate::exchange::import::{self, Import as Imported};
use crate::exchange::mapping::Mapping;
use crate::exchange::table::Grid;
use crate::exchange::{self, Part, Source};
use crate::file;
use crate::length::Unit;
use crate::record::schema::{EngineRecord, Overhaul};
use crate::session::{Command, Session};
use crate::store;

/// The most refused rows that are told one by one.
const MOST_TOLD: usize = 200;

/// `borewright export`
///
/// # Errors
/// If the output cannot be written.
pub fn export(typed: &Export, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let Told { value, diagnostics } = file::load_record(&typed.record);
    tell(&diagnostics, errors)?;
    let Some(record) = value else { return Ok(Status::BadInput) };
    match exported(typed, &record) {
        Ok((date, told)) => {
            let name = clean(&typed.out.display().to_string()).into_owned();
            writeln!(out, "The overhaul of {date} is written to {name}.")?;
            tell(&told, errors)?;
            Ok(status(told.iter().any(Diagnostic::is_error)))
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
    store::write_atomic(&typed.out, &bytes)?;
    Ok((overhaul.date, evaluation.diagnostics.into_iter().map(of_record).collect()))
}

/// `borewright import`
///
/// # Errors
/// If the output cannot be written.
pub fn import(typed: &Import, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let change = match Change::open(&typed.into) {
        Ok(change) => change,
        Err(told) => {
            tell(&told, errors)?;
            return Ok(Status::BadInput);
        }
    };
    if !typed.dry_run {
        tell(&change.told, errors)?;
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
    let grid = exchange::read(&typed.file)?;
    let mut mapping = Mapping::of(&grid);
    for (heading, field) in &typed.map {
        mapping.put_named(&grid, heading, field).map_err(|error| error.in_file(&typed.file))?;
    }
    mapping_part(page, &grid, &mapping);
    let index = one_overhaul(&change.record, typed.overhaul).map_err(|error| error.in_file(&typed.into))?;
    let mut session = Session::new(change.record.clone());
    session.choose_overhaul(index);
    let unit = typed.unit.map(Unit::from);
    let import = import::import(&grid, &mapping, unit, (session.record(), index), session.evaluation())
        .map_err(|error| error.in_file(&typed.file))?;
    let refused = import.refused.len();
    refused_part(page, &import);
    let summary = session.overhaul().map(|overhaul| summary(&import, overhaul, typed.dry_run));
    let summary = summary.unwrap_or_default();
    if import.taken.is_empty() {
        return Err(Diagnostic::error("No row can be taken over; the record stands as it was.")
            .remedy("Put the reasons above right first.")
            .in_file(&typed.file));
    }
    let mut note = None;
    if !typed.dry_run {
        session.dispatch(Command::Import(Box::new(import))).map_err(|error| error.in_file(&typed.into))?;
        note = change.write(&typed.into, session.record())?;
    }
    // Said once it is so.
    page.paragraph(0, "", PLAIN, &summary);
    Ok((refused, note))
}

/// Which column is what.
fn mapping_part(page: &mut Page, grid: &Grid, mapping: &Mapping) {
    page.paragraph(0, "", PLAIN, "Columns:");
    for ((heading, field), unit) in grid.headings.iter().zip(&mapping.columns).zip(&mapping.units) {
        let field = field.map_or("not used", |field| field.words());
        let unit = unit.map_or(String::new(), |unit| format!(", in {unit}"));
        page.paragraph(2, "", PLAIN, &format!("{} is: {field}{unit}", clean(heading)));
    }
}

/// What is not taken, and why.
fn refused_part(page: &mut Page, import: &Imported) {
    for (line, reason) in import.refused.iter().take(MOST_TOLD) {
        page.hanging(2, &clean(&format!("Line {line} is refused: {reason}.")), PLAIN);
    }
    if let Some(more) = import.refused.len().checked_sub(MOST_TOLD).filter(|more| *more > 0) {
        page.paragraph(2, "", PLAIN, &format!("{} more are refused.", counted(more, "row")));
    }
    for note in &import.notes {
        page.paragraph(0, "", PLAIN, &clean(note));
    }
}

/// What is taken over, or would be.
fn summary(import: &Imported, overhaul: &Overhaul, dry_run: bool) -> String {
    let (verb, tail) = if dry_run { ("would be", " Nothing was written.") } else { ("are", "") };
    format!(
        "{} at {} {verb} taken over into the overhaul of {}, {} of them in place of others; {} refused.{tail}",
        counted(import.readings(), "reading"),
        counted(import.taken.len(), "place"),
        overhaul.date,
        import.replaces(overhaul),
        counted(import.refused.len(), "row"),
    )
}

/// A part of an overhaul, as it is typed.
pub(super) fn part(text: &str) -> Result<Part, String> {
    let plain = text.trim().to_lowercase();
    let known = Part::ALL.into_iter().find(|part| part.words().to_lowercase() == plain);
    known.ok_or_else(|| "write readings, figures or outcomes".to_owned())
}
