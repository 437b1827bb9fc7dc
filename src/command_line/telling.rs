//! How a command went, and what is told of its input on the errors' own output.

use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use super::judged::{self, Given};
use super::text::{ATTENTION, clean};
use records::diag::{self, Diagnostic, WithDiagnostics};

/// How it went.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Done.
    Done,
    /// Something of the input is bad.
    BadInput,
    /// Done, but what there is to say of it could not be written.
    Unsaid,
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        match status {
            Status::Done => Self::SUCCESS,
            Status::BadInput => Self::from(2),
            Status::Unsaid => Self::from(3),
        }
    }
}

/// Tells diagnostics, each on a line of its own, and of too many in a file how many more there are.
pub(super) fn tell(diagnostics: &[Diagnostic], out: &mut impl Write) -> io::Result<()> {
    diag::reported(diagnostics).iter().try_for_each(|diagnostic| {
        let text = diagnostic.to_string();
        let text = clean(&text);
        // The word says it; the style only repeats it.
        match text.split_once("error: ").filter(|_| diagnostic.is_error()) {
            Some((front, back)) => writeln!(out, "{front}{ATTENTION}error:{ATTENTION:#} {back}"),
            None => writeln!(out, "{text}"),
        }
    })
}

pub(super) fn any_error(reported: &[Diagnostic]) -> bool {
    reported.iter().any(Diagnostic::is_error)
}

pub(super) fn status(bad: bool) -> Status {
    if bad { Status::BadInput } else { Status::Done }
}

/// The table given beside the files; `Err` if there is one that cannot be used.
pub(super) fn given(
    limits: Option<&PathBuf>,
    errors: &mut impl Write,
) -> io::Result<Result<Option<Given>, ()>> {
    let Some(path) = limits else { return Ok(Ok(None)) };
    let WithDiagnostics { value, diagnostics } = judged::given(path);
    tell(&diagnostics, errors)?;
    Ok(value.map(Some).ok_or(()))
}
