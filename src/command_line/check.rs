//! Every problem of records and tables of limits, sorted by file and line, counted.
//!
//! Signed overhauls are compared with their signatures. A record is looked over as a whole, its tables are searched for misprints, every overhaul is read as for
//! judging, and what has not been measured yet is told as notes.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::files;
use super::seal;
use super::telling::Status;
use super::text::{ATTENTION, PLAIN, Page, counted};
use history::repeated::{self, Survey};
use judging::Need;
use judging::reason::{self, Reason};
use records::diag::{self, Beyond, Diagnostic, FieldPath, Gathered, WithDiagnostics};
use records::file;
use records::folder::{self, Input};
use records::kind;
use records::limits::validate;
use records::record::schema::EngineRecord;
use records::record::{check, resolve};
use records::survey::points_words;

/// Checks files and tells what there is to tell.
///
/// # Errors
/// If the output cannot be written.
pub fn check(typed: &[PathBuf], out: &mut impl Write) -> io::Result<Status> {
    let inputs = folder::expand(typed);
    let (mut looked_at, mut errors, mut notes) = (0, 0, 0);
    let work = |input: &Result<Input, Diagnostic>| match input {
        Ok(input) => problems(&input.path),
        Err(error) => Problems { reported: vec![error.clone()], ..Problems::default() },
    };
    let mut seen = Vec::new();
    let mut show = |reported: Vec<Diagnostic>, beyond: Beyond| {
        errors += beyond.errors + reported.iter().filter(|diagnostic| diagnostic.is_error()).count();
        notes += beyond.notes + reported.iter().filter(|diagnostic| !diagnostic.is_error()).count();
        for diagnostic in diag::reported_beyond(&reported, beyond) {
            let mut page = Page::default();
            let style = if diagnostic.is_error() { ATTENTION } else { PLAIN };
            page.hanging(4, &diagnostic.to_string(), style);
            out.write_all(page.into_text().as_bytes())?;
        }
        out.flush()
    };
    let size = |input: &Result<Input, Diagnostic>| input.as_ref().map_or(0, Input::size);
    files::for_each(&inputs, size, work, |found| {
        looked_at += 1;
        seen.extend(found.seen);
        show(found.reported, found.beyond)
    })?;
    // What no record shows by itself.
    let mut repeated = repeated::among(&seen);
    repeated.retain(|repeated| repeated.at_once);
    show(repeated::words(&repeated).into_iter().map(Diagnostic::note).collect(), Beyond::default())?;
    if errors + notes > 0 {
        writeln!(out)?;
    }
    let number = |count: usize, noun: &str| match count {
        0 => format!("no {noun}s"),
        count => counted(count, noun),
    };
    let count = format!("{}, {}", number(errors, "error"), number(notes, "note"));
    writeln!(out, "{} looked at: {count}.", counted(looked_at, "file"))?;
    Ok(if errors > 0 { Status::BadInput } else { Status::Done })
}

/// What was found in a file.
#[derive(Default)]
struct Problems {
    /// Every problem, in the order of its lines, but those that are only counted.
    reported: Vec<Diagnostic>,
    beyond: Beyond,
    /// Where serial numbers were seen.
    seen: Vec<Survey>,
}

/// Every problem of one file.
fn problems(path: &Path) -> Problems {
    let text = match file::read_text(path) {
        Ok(text) => text,
        Err(diagnostic) => return Problems { reported: vec![diagnostic], ..Problems::default() },
    };
    let (mut seen, mut beyond) = (Vec::new(), Beyond::default());
    let mut reported = match kind::of(&text).and_then(|kind| kind.check) {
        Some(check) => check(&text, Some(path)),
        // What is of no kind that can be checked by itself is read as a record, and refused with the reason.
        None => {
            let WithDiagnostics { value, mut diagnostics } = file::record_from_text(&text, Some(path));
            if let Some(record) = &value {
                let (found, more) = record_problems(record);
                diagnostics.extend(found);
                beyond = more;
                seen = Survey::of(record, path);
            }
            diagnostics
        }
    };
    file::place(&mut reported, &text, Some(path));
    reported.sort_by_key(|diagnostic| (diagnostic.position, std::cmp::Reverse(diagnostic.severity)));
    reported.dedup();
    Problems { reported, beyond, seen }
}

/// Places at which errors are told: two checks may find the same one.
#[derive(Default)]
struct Places(BTreeSet<FieldPath>);

impl Places {
    fn add(&mut self, reported: &[Diagnostic]) {
        self.0.extend(
            reported.iter().filter(|reported| reported.is_error()).map(|reported| reported.path.clone()),
        );
    }

    /// Errors at places of which nothing has been told yet.
    fn unreported(&self, errors: Vec<Diagnostic>) -> Vec<Diagnostic> {
        errors.into_iter().filter(|error| !self.0.contains(&error.path)).collect()
    }
}

fn record_problems(record: &EngineRecord) -> (Vec<Diagnostic>, Beyond) {
    let mut reported = check::check(record);
    reported.extend(seal::problems(record));
    for (i, table) in record.tables.iter().enumerate() {
        reported.extend(validate::validate_within(table, &FieldPath::default().field("tables").element(i)));
    }
    let mut places = Places::default();
    places.add(&reported);
    let mut surveyor = resolve::Surveyor::new(record, None);
    let mut gathered = Gathered::default();
    for (index, overhaul) in record.overhauls.iter().enumerate() {
        let read = surveyor.survey(index);
        let (errors, notes): (Vec<_>, Vec<_>) = read.diagnostics.into_iter().partition(Diagnostic::is_error);
        let mut of_overhaul = places.unreported(errors);
        of_overhaul.extend(notes);
        let Some(survey) = read.value else {
            gathered.add(of_overhaul);
            continue;
        };
        let path = FieldPath::default().field("overhauls").element(index).field("cylinders");
        for (i, cylinder) in survey.cylinders.iter().enumerate() {
            let judged = judging::assess(cylinder, &survey);
            for (index, need) in judged.needs.iter().enumerate() {
                let place = format!("overhaul of {}, {}", overhaul.date, cylinder.words());
                if matches!(need, Need::Contradiction(_)) {
                    let why = Reason::Need(index);
                    let words = reason::sentence(why, &judged, cylinder, &survey.limits).unwrap_or_default();
                    of_overhaul.push(Diagnostic::error(words).at(path.element(i)).place(place));
                    continue;
                }
                let (message, remedy) = match need {
                    Need::Measure(points) => (
                        format!("Not yet measured: {}.", points_words(&survey.limits, points)),
                        "Without it the cylinder cannot pass.",
                    ),
                    Need::LookOver => (
                        "Not yet looked over by eye.".to_owned(),
                        "Write looked_over: true once all findings are written down.",
                    ),
                    Need::Amount(amount, finding) => {
                        let what = cylinder.findings.get(*finding).map_or("finding", |f| f.kind.words());
                        let message = format!("Not yet measured: the {} of the {what}.", amount.words());
                        (message, "Without it the cylinder cannot pass.")
                    }
                    // The rest is told where it is read.
                    Need::Limit(_)
                    | Need::SizeRow
                    | Need::Unreadable(_)
                    | Need::Impossible(_)
                    | Need::Budget(_)
                    | Need::Contradiction(_)
                    | Need::Confirm(_)
                    | Need::Expansion { .. } => continue,
                };
                of_overhaul.push(Diagnostic::note(message).at(path.element(i)).place(place).remedy(remedy));
            }
        }
        gathered.add(of_overhaul);
    }
    let (held, beyond) = gathered.finish();
    reported.extend(held);
    (reported, beyond)
}
