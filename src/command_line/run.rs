//! Dispatches, writes to the two outputs, and settles the exit status.
//!
//! What was asked for goes to the one output, what is wrong with the input to the other. A reader that has
//! seen enough and closes its end of a pipe is no error.

use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use super::args::{self, Command};
use super::files;
use super::judged::{self, Given, Judged, Overhauls, Surveyed};
#[cfg(feature = "paper")]
use super::paper;
use super::telling::{Status, any_error, given, status, tell};
use super::text::{Visible, WIDTH, clean, counted};
use super::{check, exchange, figures_json, figures_text, judge_json, judge_text, lesson, plot, seal, trend};
use records::diag::{self, Diagnostic, WithDiagnostics};
use records::file;
use records::folder::{self, Input};
use records::limits::Limits;
use work::fleet::{self, FleetError, FleetFormat, Tally};

/// Does what was typed.
pub fn run(command: Command) -> ExitCode {
    let json = command.writes_json();
    // JSON holds no styles to be looked for and taken out.
    let to: Box<dyn Write> =
        if json { Box::new(io::stdout().lock()) } else { Box::new(anstream::stdout().lock()) };
    let mut out = Visible::new(to, json);
    let mut errors = Visible::new(anstream::stderr(), false);
    let done = match command {
        Command::Judge(typed) => Judging::new(&typed, &mut out, &mut errors).run(&typed),
        Command::Check(typed) => check::check(&typed.files, &mut out),
        Command::Figures(typed) => figures(&typed, &mut out, &mut errors),
        Command::Trend(typed) => trend::run(&typed, &mut out, &mut errors),
        Command::Mark(typed) => lesson::mark(&typed, &mut out, &mut errors),
        Command::Study(typed) => lesson::study(&typed, &mut out, &mut errors),
        Command::Import(typed) if typed.dry_run => exchange::import(&typed, &mut out, &mut errors),
        Command::Completions { shell } => args::completions(shell, &mut out).map(|()| Status::Done),
        Command::Manual => args::manual(&mut out).map(|()| Status::Done),
        // These write files, and do so whoever listens.
        Command::Practise(typed) => {
            return work(out, errors, |out, errors| lesson::practise(&typed, out, errors));
        }
        Command::Export(typed) => {
            return work(out, errors, |out, errors| exchange::export(&typed, out, errors));
        }
        Command::Import(typed) => {
            return work(out, errors, |out, errors| exchange::import(&typed, out, errors));
        }
        Command::Plot(typed) => return work(out, errors, |out, errors| plot::plot(&typed, out, errors)),
        Command::Seal(typed) => return work(out, errors, |out, errors| seal::seal(&typed, out, errors)),
        Command::Amend(typed) => return work(out, errors, |out, errors| seal::amend(&typed, out, errors)),
        #[cfg(feature = "paper")]
        Command::Report(typed) => return work(out, errors, |out, errors| paper::report(&typed, out, errors)),
        #[cfg(feature = "paper")]
        Command::Sheet(typed) => return work(out, errors, |out, errors| paper::sheet(&typed, out, errors)),
        #[cfg(feature = "paper")]
        Command::Tags(typed) => return work(out, errors, |out, errors| paper::tags(&typed, out, errors)),
    };
    end(done, out, errors)
}

/// A writer that goes on where nothing can be said any more, and keeps why.
struct Saying<W> {
    to: W,
    failed: Option<io::Error>,
}

impl<W: Write> Saying<W> {
    fn try_to(&mut self, say: impl FnOnce(&mut W) -> io::Result<()>) {
        if self.failed.is_none() {
            self.failed = say(&mut self.to).err();
        }
    }
}

impl<W: Write> Write for Saying<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.try_to(|to| to.write_all(bytes));
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.try_to(Write::flush);
        Ok(())
    }
}

/// Does what writes files. An answer that cannot be written keeps no file from being written, and does not hide that one
/// was; nor is a file that was not written hidden by a reader that has gone.
fn work<O: Write, E: Write>(
    out: O,
    errors: E,
    work: impl FnOnce(&mut Saying<O>, &mut Saying<E>) -> io::Result<Status>,
) -> ExitCode {
    let (mut out, mut errors) = (Saying { to: out, failed: None }, Saying { to: errors, failed: None });
    let status = match work(&mut out, &mut errors) {
        Ok(status) => status,
        Err(error) => return end(Err(error), out, errors),
    };
    out.try_to(Write::flush);
    // A reader that has seen enough lost nothing.
    let lost = |failed: Option<io::Error>| failed.filter(|error| error.kind() != io::ErrorKind::BrokenPipe);
    let answer = lost(out.failed);
    if let Some(error) = &answer {
        let done = match status {
            Status::BadInput => "What no error above names is done.",
            Status::Done | Status::Unsaid => "The work is done, and every file is written.",
        };
        let reported = format!("error: What there is to say cannot be written: {error}. {done}\n");
        errors.try_to(|to| to.write_all(reported.as_bytes()));
    }
    let unsaid = answer.is_some() || lost(errors.failed).is_some();
    if status == Status::Done && unsaid { Status::Unsaid.into() } else { status.into() }
}

/// Prints the help.
pub fn help() -> ExitCode {
    let mut out = anstream::stdout().lock();
    let done = args::help(&mut out).map(|()| Status::Done);
    end(done, out, anstream::stderr())
}

/// The file that was named, if it is there.
///
/// # Errors
/// A sentence for the person: most likely a command was mistyped.
pub fn there(file: Option<PathBuf>) -> Result<Option<PathBuf>, String> {
    match file {
        Some(file) if !file.exists() => Err(format!(
            "error: `{}` is neither a command nor a file that is there. `borewright --help` lists the commands.",
            clean(&file.display().to_string())
        )),
        file => Ok(file),
    }
}

/// Tells why nothing was done.
pub fn refuse(message: String) -> ExitCode {
    // Where the errors' own output is gone there is nobody left to tell.
    writeln!(Visible::new(anstream::stderr(), false), "{message}").ok();
    Status::BadInput.into()
}

/// Settles the exit status.
fn end(done: io::Result<Status>, mut out: impl Write, mut errors: impl Write) -> ExitCode {
    match done.and_then(|status| out.flush().map(|()| status)) {
        Ok(status) => status.into(),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            // Where the errors' own output is gone there is nobody left to tell.
            writeln!(errors, "error: The output cannot be written: {error}.").ok();
            Status::BadInput.into()
        }
    }
}

/// Between two engines.
fn separator() -> String {
    format!("{}\n\n", "─".repeat(WIDTH))
}

/// What is written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Json,
    JsonLines,
}

/// A record with more cylinders than this is judged where it is written, one overhaul after another, so that neither
/// the surveys nor the words of all of them are ever in memory at once.
const MANY: usize = 200;

/// What one record gives.
#[derive(Default)]
struct Part {
    text: Vec<u8>,
    engines: usize,
    diagnostics: Vec<Diagnostic>,
    /// The overhauls of a record with many cylinders.
    unwritten: Option<Overhauls>,
}

/// Writes an engine.
fn write_engine(surveyed: Surveyed, form: Form, budgets: bool, to: &mut impl Write) -> io::Result<()> {
    match form {
        Form::Text => to.write_all(judge_text::engine(&Judged::of(surveyed), budgets).as_bytes()),
        Form::Json => judge_json::engine(&surveyed, to),
        Form::JsonLines => judge_json::engine_line(&surveyed, to),
    }
}

/// `judge` under way.
struct Judging<'a, O, E> {
    out: &'a mut O,
    errors: &'a mut E,
    form: Form,
    /// Engines and fleets written so far.
    written: usize,
    bad: bool,
    /// What has been told, where it is to be written at the end.
    reported: Vec<Diagnostic>,
}

impl<'a, O: Write, E: Write> Judging<'a, O, E> {
    fn new(typed: &args::Judge, out: &'a mut O, errors: &'a mut E) -> Self {
        let form = match (typed.json, typed.json_lines) {
            (true, _) => Form::Json,
            (_, true) => Form::JsonLines,
            _ => Form::Text,
        };
        Self { out, errors, form, written: 0, bad: false, reported: Vec::new() }
    }

    fn run(mut self, typed: &args::Judge) -> io::Result<Status> {
        if self.form == Form::Json {
            self.out.write_all(judge_json::begin().as_bytes())?;
        }
        let given = match &typed.limits {
            Some(path) => {
                let WithDiagnostics { value, diagnostics } = judged::given(path);
                self.tell(diagnostics)?;
                value
            }
            None => None,
        };
        // With a table that cannot be used nothing is judged by another one instead.
        if typed.limits.is_none() || given.is_some() {
            self.files(typed, given.as_ref())?;
        }
        match self.form {
            Form::Json => self.out.write_all(judge_json::end(&self.reported).as_bytes())?,
            Form::Text if self.written > 0 => writeln!(self.out, "{}", judge_text::closing())?,
            Form::Text | Form::JsonLines => {}
        }
        Ok(status(self.bad))
    }

    fn tell(&mut self, diagnostics: Vec<Diagnostic>) -> io::Result<()> {
        self.bad |= any_error(&diagnostics);
        let diagnostics = diag::reported(&diagnostics);
        tell(&diagnostics, self.errors)?;
        match self.form {
            Form::JsonLines => self.out.write_all(judge_json::reported_lines(&diagnostics).as_bytes()),
            Form::Json => {
                self.reported.extend(diagnostics);
                Ok(())
            }
            Form::Text => Ok(()),
        }
    }

    fn files(&mut self, typed: &args::Judge, given: Option<&Given>) -> io::Result<()> {
        let inputs = folder::expand(&typed.files);
        let is_fleet = |input: &Result<Input, Diagnostic>| input.as_ref().is_ok_and(Input::is_fleet);
        for run in inputs.chunk_by(|a, b| !is_fleet(a) && !is_fleet(b)) {
            match run {
                [Ok(input)] if input.is_fleet() => self.fleet(&input.path, given)?,
                records => self.records(records, typed, given)?,
            }
        }
        if self.written == 0 && !self.bad {
            let nothing = "There is nothing to judge: the folders hold only tables of limits.";
            let remedy = "Give an engine record; look the tables over with `borewright check`.";
            self.tell(vec![Diagnostic::error(nothing).remedy(remedy)])?;
        }
        Ok(())
    }

    fn records(
        &mut self,
        inputs: &[Result<Input, Diagnostic>],
        typed: &args::Judge,
        given: Option<&Given>,
    ) -> io::Result<()> {
        let form = self.form;
        let work = |input: &Result<Input, Diagnostic>| {
            let input = match input {
                Ok(input) => input,
                Err(error) => return Part { diagnostics: vec![error.clone()], ..Part::default() },
            };
            let reported = judged::surveyed_if_few(input, typed.overhaul, given, MANY);
            let Some(WithDiagnostics { value: (value, unwritten), diagnostics }) = reported else {
                return Part::default();
            };
            let (engines, mut text) = (value.len(), Vec::new());
            for (i, surveyed) in value.into_iter().enumerate() {
                if i > 0 {
                    text.extend_from_slice(between(form).as_bytes());
                }
                // Memory takes whatever is written to it.
                write_engine(surveyed, form, typed.budgets, &mut text).ok();
            }
            Part { engines, text, diagnostics, unwritten }
        };
        let size = |input: &Result<Input, Diagnostic>| input.as_ref().map_or(0, Input::size);
        files::for_each(inputs, size, work, |part| {
            self.tell(part.diagnostics)?;
            if part.engines > 0 {
                self.part(|out| out.write_all(&part.text))?;
            }
            // What is wrong with them is told already.
            for surveyed in
                part.unwritten.iter().flat_map(Overhauls::surveys).filter_map(|reported| reported.value)
            {
                self.part(|out| {
                    let mut out = BufWriter::with_capacity(1 << 16, out);
                    write_engine(surveyed, form, typed.budgets, &mut out)?;
                    out.flush()
                })?;
            }
            self.out.flush()
        })
    }

    /// Writes a part behind what is written already.
    fn part(&mut self, write: impl FnOnce(&mut O) -> io::Result<()>) -> io::Result<()> {
        if self.written > 0 {
            self.out.write_all(between(self.form).as_bytes())?;
        }
        self.written += 1;
        write(self.out)
    }

    fn fleet(&mut self, path: &Path, given: Option<&Given>) -> io::Result<()> {
        let format = match (self.form, given) {
            (Form::Json, _) => {
                return self.tell(vec![
                    Diagnostic::error("A fleet is not put into one JSON document: it may be of any length.")
                        .remedy("Use --json-lines, which prints one cylinder in each line.")
                        .in_file(path),
                ]);
            }
            (_, None) => {
                return self.tell(vec![
                    Diagnostic::error("A fleet in a CSV file holds no table of limits to be judged by.")
                        .remedy("Give one with --limits.")
                        .in_file(path),
                ]);
            }
            (Form::Text, Some(_)) => FleetFormat::Text(judge_text::fleet_line),
            (Form::JsonLines, Some(_)) => FleetFormat::JsonLines,
        };
        let Some(given) = given else { return Ok(()) };
        let (file, about) = match file::open(path) {
            Ok(opened) => opened,
            Err(error) => return self.tell(vec![error]),
        };
        if self.form == Form::Text {
            self.part(|out| out.write_all(judge_text::fleet_header(path, given).as_bytes()))?;
        } else {
            self.written += 1;
        }
        let bar = files::byte_bar(about.len());
        let mut reported = Vec::new();
        let tallied = {
            let mut out = Suspending { out: &mut *self.out, bar: &bar };
            let errors = &mut *self.errors;
            let mut tell_now = |diagnostic: Diagnostic| {
                // What cannot be told any more must not keep the fleet from being judged.
                bar.suspend(|| tell(std::slice::from_ref(&diagnostic), errors)).ok();
                reported.push(diagnostic);
            };
            let limits = Arc::clone(&given.limits);
            let mut progress = |bytes: u64| bar.set_position(bytes);
            fleet::run(file, path, limits, format, &mut out, &mut tell_now, &mut progress)
        };
        bar.finish_and_clear();
        self.bad |= any_error(&reported);
        if self.form == Form::JsonLines {
            self.out.write_all(judge_json::reported_lines(&reported).as_bytes())?;
        }
        match tallied {
            Ok(tally) => self.tally(&tally, &given.limits, path),
            Err(FleetError::File(diagnostic)) => self.tell(vec![*diagnostic]),
            Err(FleetError::Write(error)) => Err(error),
        }
    }

    fn tally(&mut self, tally: &Tally, limits: &Limits, path: &Path) -> io::Result<()> {
        let unreported = tally.errors.saturating_sub(tally.errors_reported);
        if unreported > 0 {
            let number = usize::try_from(unreported).unwrap_or(usize::MAX);
            let more = Diagnostic::error(format!(
                "{} more in this file were not told one by one.",
                counted(number, "error")
            ));
            self.tell(vec![more.remedy("Put the first ones right, and judge it again.").in_file(path)])?;
        }
        if self.form == Form::Text {
            self.out.write_all(judge_text::fleet_tally(tally, limits).as_bytes())?;
        }
        Ok(())
    }
}

/// Between two engines of one form.
fn between(form: Form) -> String {
    match form {
        Form::Text => separator(),
        Form::Json => ",\n".to_owned(),
        Form::JsonLines => String::new(),
    }
}

/// Writes while a bar is out of the way.
struct Suspending<'a, O> {
    out: &'a mut O,
    bar: &'a indicatif::ProgressBar,
}

impl<O: Write> Write for Suspending<'_, O> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.bar.suspend(|| self.out.write(bytes))
    }

    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.bar.suspend(|| self.out.write_all(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

fn figures(typed: &args::Figures, out: &mut impl Write, errors: &mut impl Write) -> io::Result<Status> {
    let Ok(given) = given(typed.limits.as_ref(), errors)? else { return Ok(Status::BadInput) };
    let input = Input { path: typed.file.clone(), found: false };
    let Some(WithDiagnostics { value, diagnostics }) =
        judged::surveyed(&input, typed.overhaul, given.as_ref())
    else {
        return Ok(Status::Done);
    };
    tell(&diagnostics, errors)?;
    if typed.json {
        out.write_all(figures_json::document(&value, &diag::reported(&diagnostics)).as_bytes())?;
        return Ok(status(any_error(&diagnostics)));
    }
    let parts: Vec<String> = value.iter().map(figures_text::engine).collect();
    out.write_all(parts.join(&separator()).as_bytes())?;
    if !parts.is_empty() {
        writeln!(out, "{}", judge_text::closing())?;
    }
    Ok(status(any_error(&diagnostics)))
}
