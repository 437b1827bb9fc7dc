//! A shop's own templates are set in a process of their own, which can be ended: this program once more, with
//! [`ARGUMENT`]. It is given everything that it may read on its input, and gives the PDF on its output.
//!
//! The input stays open as long as somebody waits for the answer. When it ends, so does the process: none is left behind,
//! whatever becomes of the program that began it.
//!
//! Both ways go one line of JSON, and behind it the bytes whose lengths it names.

use std::io::{self, BufRead, Read, Write};
use std::path::PathBuf;
use std::process::{Child, Command, ExitCode, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use serde::{Deserialize, Serialize};

use super::{BUILT_IN, Document, Pdf, Templates};
use records::diag::{Diagnostic, TextPosition, WithDiagnostics};
use records::wording::counted;

/// What tells the program, as its only argument, that it is to set pages for another.
pub const ARGUMENT: &str = "--set-pages-for-another";

/// What setting pages by a shop's own templates may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// How long, by the clock.
    pub time: Duration,
    /// How much memory, in bytes; held to by the system on Linux alone.
    pub memory: u64,
}

impl Default for Bounds {
    fn default() -> Self {
        Self { time: Duration::from_secs(60), memory: 2 << 30 }
    }
}

/// No answer is longer, in bytes.
const LONGEST_ANSWER: u64 = 1 << 30;
/// Of what it says while it fails this much is read, in bytes.
const LONGEST_ERROR: u64 = 1 << 16;

/// What is to be set. The bytes of its files follow, in this order: own templates, pictures, data.
#[derive(Serialize, Deserialize)]
struct Task {
    template: String,
    memory: u64,
    own: Vec<(String, u64)>,
    pictures: Vec<(String, u64)>,
    data: u64,
}

/// What came of it. The PDF follows, if there is one.
#[derive(Serialize, Deserialize)]
struct Answer {
    /// How many pages the PDF has; none: there is none.
    pages: Option<usize>,
    said: Vec<Said>,
}

/// A diagnostic on its way. A template has no fields of a record, hence no path.
#[derive(Serialize, Deserialize)]
struct Said {
    is_error: bool,
    /// The file by its name among the templates.
    file: Option<PathBuf>,
    line_and_column: Option<(usize, usize)>,
    message: String,
    remedy: String,
}

impl From<Diagnostic> for Said {
    fn from(reported: Diagnostic) -> Self {
        Self {
            is_error: reported.is_error(),
            file: reported.file,
            line_and_column: reported.position.map(|at| (at.line, at.column)),
            message: reported.message,
            remedy: reported.remedy,
        }
    }
}

impl Said {
    fn reported(self, templates: &Templates) -> Diagnostic {
        let new = if self.is_error { Diagnostic::error } else { Diagnostic::note };
        let at = self.line_and_column.map(|(line, column)| TextPosition { line, column });
        let reported = new(self.message).remedy(self.remedy).on(at);
        match self.file {
            Some(file) => {
                reported.in_file(&file.to_str().map_or(file.clone(), |name| templates.path_of(name)))
            }
            None => reported,
        }
    }
}

fn line(value: &impl Serialize) -> io::Result<Vec<u8>> {
    let mut line = serde_json::to_vec(value)?;
    line.push(b'\n');
    Ok(line)
}

/// The value on the first line of the input.
fn read_line<T: for<'a> Deserialize<'a>>(from: &mut impl BufRead) -> io::Result<T> {
    let mut line = Vec::new();
    from.take(LONGEST_ANSWER).read_until(b'\n', &mut line)?;
    Ok(serde_json::from_slice(&line)?)
}

fn read_bytes(from: &mut impl Read, length: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(length).read_to_end(&mut bytes)?;
    if bytes.len() as u64 == length { Ok(bytes) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
}

fn read_text(from: &mut impl Read, length: u64) -> io::Result<String> {
    String::from_utf8(read_bytes(from, length)?).map_err(io::Error::other)
}

/// Sets pages for another process, if this one was begun for that.
pub fn set_for_another() -> Option<ExitCode> {
    let mut arguments = std::env::args_os().skip(1);
    let asked = arguments.next().is_some_and(|first| first == ARGUMENT) && arguments.next().is_none();
    asked.then(|| answer().map_or(ExitCode::FAILURE, |()| ExitCode::SUCCESS))
}

fn answer() -> io::Result<()> {
    let mut input = io::stdin().lock();
    let task: Task = read_line(&mut input)?;
    hold_to(task.memory);
    let mut own = Vec::new();
    for (name, length) in task.own {
        own.push((name, read_bytes(&mut input, length)?));
    }
    let mut pictures = Vec::new();
    for (name, length) in task.pictures {
        pictures.push((name, read_text(&mut input, length)?));
    }
    let json = read_text(&mut input, task.data)?;
    drop(input);
    // Nothing more comes: what ends the input is the end of whoever waits.
    std::thread::spawn(|| {
        let _ = io::stdin().lock().read(&mut [0]);
        std::process::exit(1);
    });
    let named = BUILT_IN.iter().find(|(name, _)| *name == task.template).ok_or(io::ErrorKind::NotFound)?;
    let document = Document { template: named.0, json, pictures };
    let WithDiagnostics { value, diagnostics } = document.pdf_here(&Templates::handed_over(own));
    let (pages, pdf) = value.map(|pdf| (pdf.pages, pdf.bytes)).unzip();
    let said = diagnostics.into_iter().map(Said::from).collect();
    let mut out = io::stdout().lock();
    out.write_all(&line(&Answer { pages, said })?)?;
    out.write_all(&pdf.unwrap_or_default())?;
    out.flush()
}

/// Has the system refuse more memory to this process. What is refused ends it.
#[cfg(target_os = "linux")]
fn hold_to(memory: u64) {
    use rustix::process::{Resource, Rlimit, getrlimit, setrlimit};
    // Of what it may write to, not of addresses: those are set aside for each thread and never used. A limit that is
    // lower already stays.
    let maximum = getrlimit(Resource::Data).maximum;
    let current = Some(maximum.map_or(memory, |maximum| maximum.min(memory)));
    let _ = setrlimit(Resource::Data, Rlimit { current, maximum });
}

#[cfg(not(target_os = "linux"))]
fn hold_to(_memory: u64) {}

/// A process that is ended when nobody needs it any more.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        // It may have ended by itself; whoever ended is waited for, so that it leaves the system's list.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Sets a document by a shop's own templates, in a process that is ended at the bounds.
///
/// # Errors
/// Why there is nothing, as the end of a sentence that begins with "Setting pages by these templates", and what to do.
pub(super) fn set(
    document: &Document,
    templates: &Templates,
    bounds: Bounds,
) -> Result<WithDiagnostics<Option<Pdf>>, (String, &'static str)> {
    let failed = |error: io::Error| {
        let what = format!("could not be begun: {error}");
        (what, "End other programs, or start this one anew if it was exchanged meanwhile.")
    };
    let of = |name: &str, bytes: &[u8]| (name.to_owned(), bytes.len() as u64);
    let task = Task {
        template: document.template.to_owned(),
        memory: bounds.memory,
        own: templates.own().map(|(name, bytes)| of(name, bytes)).collect(),
        pictures: document.pictures.iter().map(|(name, svg)| of(name, svg.as_bytes())).collect(),
        data: document.json.len() as u64,
    };
    let first = line(&task).map_err(failed)?;
    let program = std::env::current_exe().map_err(failed)?;
    let mut command = Command::new(program);
    command.arg(ARGUMENT).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = Ended(command.spawn().map_err(failed)?);
    let ends = (child.0.stdin.take(), child.0.stdout.take(), child.0.stderr.take());
    let (Some(mut input), Some(output), Some(errors)) = ends else {
        return Err(failed(io::ErrorKind::BrokenPipe.into()));
    };
    let (sender, receiver) = channel();
    std::thread::scope(|scope| {
        // Its end of the input stays open until the thread is asked for it.
        let _open = scope.spawn(move || {
            let pictures = document.pictures.iter().map(|(_, svg)| svg.as_bytes());
            let files = templates.own().map(|(_, bytes)| bytes).chain(pictures);
            let all = std::iter::once(first.as_slice()).chain(files).chain([document.json.as_bytes()]);
            // A process that has ended reads nothing; why it ended is told below.
            let _ = all.into_iter().try_for_each(|bytes| input.write_all(bytes)).and_then(|()| input.flush());
            input
        });
        scope.spawn(move || {
            let mut bytes = Vec::new();
            let read = output.take(LONGEST_ANSWER).read_to_end(&mut bytes);
            // Who waits may have given up.
            let _ = sender.send(read.map(|_| bytes));
        });
        let said = scope.spawn(move || {
            let mut said = Vec::new();
            let _ = errors.take(LONGEST_ERROR).read_to_end(&mut said);
            String::from_utf8_lossy(&said).into_owned()
        });
        let bytes = match receiver.recv_timeout(bounds.time) {
            Ok(Ok(bytes)) => bytes,
            Ok(Err(error)) => return Err(failed(error)),
            Err(RecvTimeoutError::Timeout) => {
                let seconds = usize::try_from(bounds.time.as_secs()).unwrap_or(usize::MAX);
                let what = format!("takes more than {}, and was ended", counted(seconds, "second"));
                // Before the threads are waited for: they read until it ends.
                drop(child);
                return Err((
                    what,
                    "Look in them for a loop that goes on too long, or give it more with --template-seconds.",
                ));
            }
            Err(RecvTimeoutError::Disconnected) => Vec::new(),
        };
        match read_answer(&bytes, templates) {
            Ok(answer) => Ok(answer),
            // It was ended by the system, or ended itself: it closed its output before it said all.
            Err(_) => {
                drop(child);
                Err(why(&said.join().unwrap_or_default(), bounds))
            }
        }
    })
}

fn read_answer(mut bytes: &[u8], templates: &Templates) -> io::Result<WithDiagnostics<Option<Pdf>>> {
    let Answer { pages, said } = read_line(&mut bytes)?;
    let pdf = pages.map(|pages| Pdf { pages, bytes: bytes.to_vec() });
    let diagnostics = said.into_iter().map(|said| said.reported(templates)).collect();
    Ok(WithDiagnostics { value: pdf, diagnostics })
}

/// Why a process ended before its answer, by what it said at its end.
fn why(said: &str, bounds: Bounds) -> (String, &'static str) {
    if said.contains("memory allocation of") {
        let what = format!("takes more than {} MiB of memory, and was ended", bounds.memory >> 20);
        (what, "Look in them for what grows without end, or give it more with --template-memory.")
    } else if said.contains("overflowed its stack") {
        ("goes too deep, and was ended".to_owned(), "Look in them for a function that calls itself.")
    } else {
        ("ended without a result".to_owned(), "Look in them for what was changed last, and take that back.")
    }
}
