//! Signing an overhaul and amending a signed one, and what `check` says of signatures.

use std::io::{self, Write};
use std::path::Path;

use super::args::{Amend, Seal, SignedBy, Which};
use super::judged;
use super::telling::{Status, tell};
use super::text::{ATTENTION, PLAIN, Page, clean, counted};
use records::comments;
use records::diag::{Diagnostic, FieldPath, WithDiagnostics};
use records::disk::Fingerprint;
use records::file;
use records::record::schema::{EngineRecord, Overhaul};
use records::store::{self, Replace};
use work::evaluation::Evaluation;
use work::seal::{self, Signature, Unresolved, words};
use work::session::{Command, Session};

/// A record that is about to be changed, and what its file held when it was read.
pub(super) struct Change {
    pub(super) record: EngineRecord,
    seen: Fingerprint,
    /// The text it was read from, for the comments in it.
    text: String,
    /// What is to be told beside it.
    pub(super) reported: Vec<Diagnostic>,
}

impl Change {
    /// Reads a record that is to be written back.
    pub(super) fn open(path: &Path) -> Result<Self, Vec<Diagnostic>> {
        let (text, seen) = file::read_to_change(path).map_err(|error| vec![error])?;
        let WithDiagnostics { value, diagnostics: reported } = file::record_from_text(&text, Some(path));
        let Some(record) = value else { return Err(reported) };
        Ok(Self { record, seen, text, reported })
    }

    /// Writes the record back, whole or not at all, with the comments that its file holds. What there is to tell of
    /// these comes back.
    pub(super) fn write(&self, path: &Path, record: &EngineRecord) -> Result<Option<Diagnostic>, Diagnostic> {
        let carried = comments::carry(&self.text, &file::to_ron(record)?);
        store::write(path, carried.text.as_bytes(), Replace::Only(&self.seen))?;
        Ok(carried.note().map(|note| note.in_file(path)))
    }
}

/// The one overhaul that is meant.
pub(super) fn one_overhaul(record: &EngineRecord, which: Which) -> Result<usize, Diagnostic> {
    match judged::chosen(record, which)?.as_slice() {
        [one] => Ok(*one),
        several => Err(judged::several(several.len())),
    }
}

fn signature(by: &SignedBy) -> Signature {
    Signature { name: by.name.clone(), certificate: by.certificate.clone(), date: by.date }
}

/// `borewright seal`
///
/// # Errors
/// If the output cannot be written.
pub fn seal(typed: &Seal, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let work = |session: &mut Session, page: &mut Page| {
        let overhaul = session.overhaul().ok_or_else(|| Diagnostic::error("There is no such overhaul."))?;
        let open = unresolved(overhaul, session.evaluation());
        if !open.items.is_empty() {
            page.paragraph(
                0,
                "",
                PLAIN,
                &format!("{} open at the overhaul of {}:", stand(open.items.len()), overhaul.date),
            );
            for item in &open.items {
                page.paragraph(2, "- ", PLAIN, &clean(item));
            }
            page.gap();
        }
        session.dispatch(Command::Sign(signature(&typed.by)))
    };
    changed(&typed.record, typed.overhaul, work, out, errors)
}

fn stand(count: usize) -> String {
    format!("{} {}", counted(count, "thing"), if count == 1 { "stands" } else { "stand" })
}

/// `borewright amend`
///
/// # Errors
/// If the output cannot be written.
pub fn amend(typed: &Amend, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let work = |session: &mut Session, page: &mut Page| {
        session.dispatch(Command::Amend(signature(&typed.by), typed.why.clone()))?;
        session.dispatch(Command::SetFields(typed.set.clone()))?;
        let overhaul = session.overhaul().ok_or_else(|| Diagnostic::error("There is no such overhaul."))?;
        let open = overhaul.seal.as_ref().and_then(|seal| seal.open.as_ref());
        let changes = open.map(|open| open.changes.as_slice()).unwrap_or_default();
        if changes.is_empty() {
            return Err(Diagnostic::error("Nothing would be changed: every value stands there already.")
                .remedy("Give with --set what is to stand there."));
        }
        for change in changes {
            page.paragraph(0, "", PLAIN, &clean(&words::change_words(change, overhaul)));
        }
        session.dispatch(Command::CloseAmendment)
    };
    changed(&typed.record, typed.overhaul, work, out, errors)
}

/// Reads a record, changes it, and writes it back only if everything went well.
fn changed(
    path: &Path,
    which: Which,
    work: impl FnOnce(&mut Session, &mut Page) -> Result<(), Diagnostic>,
    out: &mut impl Write,
    errors: &mut impl Write,
) -> io::Result<Status> {
    let change = match Change::open(path) {
        Ok(change) => change,
        Err(reported) => {
            tell(&reported, errors)?;
            return Ok(Status::BadInput);
        }
    };
    tell(&change.reported, errors)?;
    let mut page = Page::default();
    let done = one_overhaul(&change.record, which).and_then(|index| {
        let mut session = Session::new(change.record.clone());
        session.choose_overhaul(index);
        work(&mut session, &mut page)?;
        let note = change.write(path, session.record())?;
        Ok((session, note))
    });
    match done {
        Ok((session, note)) => {
            tell(note.as_slice(), errors)?;
            signed_part(&mut page, &session);
            out.write_all(page.into_text().as_bytes())?;
            Ok(Status::Done)
        }
        Err(error) => {
            let error = if error.file.is_none() { error.in_file(path) } else { error };
            out.write_all(page.into_text().as_bytes())?;
            tell(&[error], errors)?;
            Ok(Status::BadInput)
        }
    }
}

/// How the signed overhaul stands, for whoever has just signed or amended it.
fn signed_part(page: &mut Page, session: &Session) {
    let Some((overhaul, seal)) = session.overhaul().and_then(|o| Some((o, o.seal.as_ref()?))) else { return };
    if let Some(verdict) = &session.evaluation().signed {
        let words = words::verdict_words(seal, verdict);
        page.paragraph(0, "", PLAIN, &clean(&format!("Overhaul of {}. {words}", overhaul.date)));
        for broken in &verdict.broken {
            page.paragraph(2, "- ", ATTENTION, &clean(&words::broken_words(broken, overhaul)));
        }
    }
    let last = seal.amendments.last().map_or(&seal.digest, |amendment| &amendment.digest);
    page.paragraph(0, "", PLAIN, &format!("SHA-256 {last}"));
    page.paragraph(0, "", PLAIN, words::WHAT_IT_SHOWS);
}

/// What stands open at an overhaul.
fn unresolved(overhaul: &Overhaul, evaluation: &Evaluation) -> Unresolved {
    Unresolved::of(overhaul, evaluation.survey.as_ref(), &evaluation.assessments, &evaluation.diagnostics)
}

/// What there is to tell of a record's signatures.
pub fn problems(record: &EngineRecord) -> Vec<Diagnostic> {
    let overhauls = FieldPath::default().field("overhauls");
    let mut reported = Vec::new();
    for (index, overhaul) in record.overhauls.iter().enumerate() {
        let Some((seal, verdict)) = overhaul.seal.as_ref().zip(seal::verify(record, index)) else { continue };
        let path = overhauls.element(index).field("seal");
        let place = format!("overhaul of {}", overhaul.date);
        let summary = words::verdict_words(seal, &verdict);
        if verdict.holds() {
            let remedy = if verdict.open { "Close the amendment once it is done." } else { "" };
            reported.push(Diagnostic::note(summary).at(path).place(place).remedy(remedy));
            continue;
        }
        for broken in &verdict.broken {
            let message = format!(
                "It was changed after it was {}. {}",
                words::signed_words(seal),
                words::broken_words(broken, overhaul)
            );
            let error = Diagnostic::error(message).at(path.clone()).place(place.clone());
            reported.push(error.remedy("Compare it with a copy from the day of signing."));
        }
    }
    reported
}
