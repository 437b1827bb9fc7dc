//! What is printed, from the command line: reports, blank check sheets and part tags, each file to a PDF of its own.
//!
//! Pages are set on all cores and written in the order of the files. A file that is there already is never
//! overwritten unasked, and one that goes wrong keeps no other from being printed.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::time::Duration;

use super::args::{self, PageName};
use super::files;
use super::judged::{self, Given};
use super::telling::{Status, any_error, given, status, tell};
use paper::sheet::For;
use paper::{Bounds, Document, Judged, PageSize, Pdf, Templates, Wish};
use records::diag::{Diagnostic, WithDiagnostics};
use records::file::{self, Document as _};
use records::folder::{self, Input};
use records::kind;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::entry::MeasuringOrder;
use records::record::schema::EngineRecord;
use records::store;
use records::wording::counted;

impl From<PageName> for PageSize {
    fn from(name: PageName) -> Self {
        match name {
            PageName::A4 => Self::A4,
            PageName::Letter => Self::Letter,
        }
    }
}

/// A PDF that is still to be written: the end of its name, and its bytes.
struct Made {
    name: String,
    pdf: Pdf,
}

/// What one input gives.
#[derive(Default)]
struct Part {
    made: Vec<Made>,
    reported: Vec<Diagnostic>,
}

impl Part {
    fn refused(reported: Vec<Diagnostic>) -> Self {
        Self { made: Vec::new(), reported }
    }

    /// Sets a document and keeps its PDF under a name.
    fn set(&mut self, name: String, document: &Document, by: &By, file: &Path) {
        let WithDiagnostics { value, diagnostics } = document.pdf(&by.templates, by.bounds);
        // A template's error has its own file; all else concerns the one that is printed.
        self.reported.extend(diagnostics.into_iter().map(|mut reported| {
            reported.file.get_or_insert_with(|| file.to_owned());
            reported
        }));
        self.made.extend(value.map(|pdf| Made { name, pdf }));
    }
}

/// What pages are set by.
#[derive(Default)]
struct By {
    templates: Templates,
    bounds: Bounds,
}

impl By {
    fn of(typed: &args::Printed) -> Result<Self, Diagnostic> {
        let templates =
            typed.template.as_deref().map(Templates::from_folder).transpose()?.unwrap_or_default();
        let time = Duration::from_secs(typed.template_seconds);
        Ok(Self { templates, bounds: Bounds { time, memory: typed.template_memory << 20 } })
    }
}

/// Prints inputs: works on all in parallel and writes what comes out.
struct Printing<'a, O, E> {
    typed: &'a args::Printed,
    by: By,
    out: &'a mut O,
    errors: &'a mut E,
    written: BTreeSet<PathBuf>,
    bad: bool,
}

impl<'a, O: Write, E: Write> Printing<'a, O, E> {
    /// Reads the templates; `None` if they cannot be used, which is told.
    fn new(typed: &'a args::Printed, out: &'a mut O, errors: &'a mut E) -> io::Result<Option<Self>> {
        let by = match By::of(typed) {
            Ok(by) => by,
            Err(error) => {
                tell(&[error], errors)?;
                return Ok(None);
            }
        };
        Ok(Some(Self { typed, by, out, errors, written: BTreeSet::new(), bad: false }))
    }

    fn run(mut self, work: impl Fn(&Input, &By) -> Part + Sync) -> io::Result<Status> {
        let inputs = folder::expand(&self.typed.files);
        let by = std::mem::take(&mut self.by);
        let worked = |input: &Result<Input, Diagnostic>| match input {
            Ok(input) => work(input, &by),
            Err(error) => Part::refused(vec![error.clone()]),
        };
        for_each(&inputs, worked, |part| self.part(part))?;
        if self.written.is_empty() && !self.bad {
            let nothing = Diagnostic::error("There is nothing to print in these files.")
                .remedy("Give engine records, or folders that hold them.");
            self.tell(&[nothing])?;
        }
        Ok(status(self.bad))
    }

    fn tell(&mut self, reported: &[Diagnostic]) -> io::Result<()> {
        self.bad |= any_error(reported);
        tell(reported, self.errors)
    }

    fn part(&mut self, part: Part) -> io::Result<()> {
        self.tell(&part.reported)?;
        for made in part.made {
            match self.write(&made) {
                Ok(path) => {
                    let pages = counted(made.pdf.pages, "page");
                    writeln!(self.out, "{}: {pages}", super::text::clean(&path.display().to_string()))?;
                    self.written.insert(path);
                }
                Err(error) => self.tell(&[error])?,
            }
        }
        self.out.flush()
    }

    /// Where a PDF goes: the file that was named, or its usual name in the folder that was.
    fn path(&self, name: &str) -> PathBuf {
        match &self.typed.out {
            Some(out)
                if !out.is_dir() && out.extension().is_some_and(|end| end.eq_ignore_ascii_case("pdf")) =>
            {
                out.clone()
            }
            Some(folder) => folder.join(name),
            None => PathBuf::from(name),
        }
    }

    fn write(&self, made: &Made) -> Result<PathBuf, Diagnostic> {
        let path = self.path(&made.name);
        if self.written.contains(&path) {
            return Err(Diagnostic::error(
                "Two PDFs of this call would have this name; the first one was kept.",
            )
            .remedy("Give a folder with --out, and files with different names.")
            .in_file(&path));
        }
        store::write(&path, &made.pdf.bytes, files::replaced(self.typed.force))
            .map_err(files::not_written)?;
        Ok(path)
    }
}

/// Works on every input, as many at once as there are cores, and hands the results on in the order of the inputs.
///
/// Not in the pool that the fleet is judged in: setting a page uses that pool itself, and a thread that waits in it
/// takes up the next document meanwhile, until all of them are in memory at once.
fn for_each<T: Sync>(
    inputs: &[T],
    work: impl Fn(&T) -> Part + Sync,
    mut done: impl FnMut(Part) -> io::Result<()>,
) -> io::Result<()> {
    let bar = files::bar(inputs.len());
    let threads = std::thread::available_parallelism().map_or(1, NonZero::get);
    for batch in inputs.chunks(8 * threads) {
        let next = AtomicUsize::new(0);
        let (sender, receiver) = channel();
        std::thread::scope(|scope| {
            for sender in vec![sender; threads] {
                let (next, work, bar) = (&next, &work, &bar);
                scope.spawn(move || {
                    loop {
                        let index = next.fetch_add(1, Ordering::Relaxed);
                        let Some(input) = batch.get(index) else { break };
                        // The other end waits until every thread is done.
                        let _ = sender.send((index, work(input)));
                        bar.inc(1);
                    }
                });
            }
        });
        let mut parts: Vec<(usize, Part)> = receiver.iter().collect();
        parts.sort_by_key(|(index, _)| *index);
        bar.suspend(|| parts.into_iter().try_for_each(|(_, part)| done(part)))?;
    }
    bar.finish_and_clear();
    Ok(())
}

/// The file's name without its ending.
fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(|| "record".to_owned(), |stem| stem.to_string_lossy().into_owned())
}

/// A text as a part of a file's name.
fn as_name(text: &str) -> String {
    text.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect()
}

/// The cylinder that was asked for, if one was.
fn chosen(record: &EngineRecord, overhaul: usize, wanted: Option<&str>) -> Result<Option<usize>, Diagnostic> {
    let cylinders = record.overhauls.get(overhaul).map_or(&[][..], |overhaul| &overhaul.cylinders);
    wanted.map(|wanted| judged::cylinder(cylinders, wanted)).transpose()
}

/// `-cylinder-3`, or nothing for the whole engine.
fn of_cylinder(position: Option<&str>) -> String {
    position.map_or(String::new(), |position| format!("-cylinder-{}", as_name(position.trim())))
}

/// `-2023-03-14` where several overhauls of a record are printed, or nothing for one.
fn of_day(record: &EngineRecord, overhaul: usize, several: usize) -> String {
    let day = record.overhauls.get(overhaul).filter(|_| several > 1);
    day.map_or(String::new(), |overhaul| format!("-{}", overhaul.date))
}

/// Prints the reports of records, or writes the built-in templates.
///
/// # Errors
/// If an output cannot be written.
pub fn report(typed: &args::Report, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    if let Some(folder) = &typed.write_template {
        return write_templates(folder, typed.printed.force, out, errors);
    }
    let Ok(given) = given(typed.limits.as_ref(), errors)? else { return Ok(Status::BadInput) };
    let Some(printing) = Printing::new(&typed.printed, out, errors)? else { return Ok(Status::BadInput) };
    let position = typed.printed.cylinder.as_deref();
    printing.run(|input, by| {
        let Some(WithDiagnostics { value, diagnostics }) =
            judged::judged(input, typed.printed.overhaul, given.as_ref())
        else {
            return Part::default();
        };
        let mut part = Part::refused(diagnostics);
        for judged in &value {
            let surveyed = &judged.surveyed;
            let cylinder = match chosen(&surveyed.record, surveyed.index, position) {
                Ok(cylinder) => cylinder,
                Err(error) => {
                    part.reported.push(error.in_file(&input.path));
                    continue;
                }
            };
            let subject = Judged {
                record: &surveyed.record,
                overhaul: surveyed.index,
                survey: &surveyed.survey,
                assessments: &judged.assessments,
            };
            let wish = Wish { page: typed.printed.page.into(), cylinder };
            let date = surveyed.overhaul().map_or(String::new(), |overhaul| format!("-{}", overhaul.date));
            let name = format!("{}{date}{}-report.pdf", stem(&input.path), of_cylinder(position));
            part.set(name, &paper::data::report(subject, wish), by, &input.path);
        }
        part
    })
}

fn write_templates(
    folder: &Path,
    force: bool,
    out: &mut impl Write,
    errors: &mut impl Write,
) -> io::Result<Status> {
    match paper::write_built_in(folder, force) {
        Ok(paths) => {
            for path in paths {
                writeln!(out, "{}", super::text::clean(&path.display().to_string()))?;
            }
            Ok(Status::Done)
        }
        Err(error) => {
            tell(&[error], errors)?;
            Ok(Status::BadInput)
        }
    }
}

/// Prints blank check sheets for tables of limits or for records.
///
/// # Errors
/// If an output cannot be written.
pub fn sheet(typed: &args::Sheet, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let Ok(given) = given(typed.limits.as_ref(), errors)? else { return Ok(Status::BadInput) };
    let Some(printing) = Printing::new(&typed.printed, out, errors)? else { return Ok(Status::BadInput) };
    let order = if typed.depth_by_depth { MeasuringOrder::DepthByDepth } else { MeasuringOrder::AxisByAxis };
    let page: PageSize = typed.printed.page.into();
    let position = typed.printed.cylinder.as_deref();
    printing.run(|input, by| {
        let kind = file::read_text(&input.path).ok().and_then(|text| kind::of(&text));
        match kind {
            Some(kind) if !input.found && kind == TableOfLimits::KIND => {
                let WithDiagnostics { value, diagnostics } = judged::given(&input.path);
                let mut part = Part::refused(diagnostics);
                if let Some(Given { limits, .. }) = value {
                    let limits: &Limits = &limits;
                    let document = paper::sheet::sheet(For::Table(limits), order, page);
                    let name = format!("{}-sheet.pdf", stem(&input.path));
                    part.set(name, &document, by, &input.path);
                }
                part
            }
            _ => {
                // A blank sheet asks for no outcome.
                let reported = judged::surveyed(input, typed.printed.overhaul, given.as_ref());
                let Some(WithDiagnostics { value, diagnostics }) = reported else { return Part::default() };
                let mut part = Part::refused(diagnostics);
                for surveyed in &value {
                    let subject = Judged {
                        record: &surveyed.record,
                        overhaul: surveyed.index,
                        survey: &surveyed.survey,
                        assessments: &[],
                    };
                    match chosen(&surveyed.record, surveyed.index, position) {
                        Ok(cylinder) => {
                            let document = paper::sheet::sheet(For::Overhaul(subject, cylinder), order, page);
                            let day = of_day(&surveyed.record, surveyed.index, value.len());
                            let cylinder = of_cylinder(position);
                            let name = format!("{}{day}{cylinder}-sheet.pdf", stem(&input.path));
                            part.set(name, &document, by, &input.path);
                        }
                        Err(error) => part.reported.push(error.in_file(&input.path)),
                    }
                }
                part
            }
        }
    })
}

/// Prints part tags.
///
/// # Errors
/// If an output cannot be written.
pub fn tags(typed: &args::Tags, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let Some(printing) = Printing::new(&typed.printed, out, errors)? else { return Ok(Status::BadInput) };
    let position = typed.printed.cylinder.as_deref();
    printing.run(|input, by| {
        let text = match file::read_text(&input.path) {
            Ok(text) => text,
            Err(error) => return Part::refused(vec![error]),
        };
        if input.found && kind::is_another(&text, EngineRecord::KIND) {
            return Part::default();
        }
        let WithDiagnostics { value, diagnostics } = file::record_from_text(&text, Some(&input.path));
        let mut part = Part::refused(diagnostics);
        let Some(record) = value.map(Arc::new) else { return part };
        let indices = match judged::chosen(&record, typed.printed.overhaul) {
            Ok(indices) => indices,
            Err(error) => {
                part.reported.push(error.in_file(&input.path));
                return part;
            }
        };
        let several = indices.len();
        for overhaul in indices {
            match chosen(&record, overhaul, position) {
                Ok(cylinder) => {
                    let document = paper::tags::tags(&record, overhaul, cylinder, typed.printed.page.into());
                    let day = of_day(&record, overhaul, several);
                    let name = format!("{}{day}{}-tags.pdf", stem(&input.path), of_cylinder(position));
                    part.set(name, &document, by, &input.path);
                }
                Err(error) => part.reported.push(error.in_file(&input.path)),
            }
        }
        part
    })
}
