//! Many files: work done in parallel and shown in input order, with a bar; and what a written one may replace.
//!
//! Memory stays bounded: a batch of files is worked on at a time, and what is done is handed on before the
//! next batch begins.

use std::io::{self, IsTerminal as _};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;

use records::diag::Diagnostic;
use records::store::{NotWritten, Replace};

/// More files than this have a progress bar, where somebody looks at a terminal.
const FEW: usize = 8;
/// A file with more bytes than this has a progress bar of its own.
const LONG: u64 = 4 * 1024 * 1024;
/// Files worked on before anything is handed on.
const BATCH: usize = 64;
/// The bytes of them, unless one alone has more: what is made of a record takes many times its size.
const BATCH_BYTES: u64 = 2 * 1024 * 1024;

/// Works on every input in parallel and hands the results on in the order of the inputs. `size` is that of an input in
/// bytes.
///
/// # Errors
/// What `done` returns; nothing further is worked on then.
pub fn for_each<T: Sync, R: Send>(
    inputs: &[T],
    size: impl Fn(&T) -> u64,
    work: impl Fn(&T) -> R + Sync,
    mut done: impl FnMut(R) -> io::Result<()>,
) -> io::Result<()> {
    let bar = bar(inputs.len());
    let mut left = inputs;
    while !left.is_empty() {
        let mut bytes = 0_u64;
        let within = |input: &&T| {
            bytes = bytes.saturating_add(size(input));
            bytes <= BATCH_BYTES
        };
        let long = left.iter().take(BATCH).take_while(within).count().clamp(1, left.len());
        let (batch, behind) = left.split_at(long);
        left = behind;
        let worked = |input| {
            let result = work(input);
            bar.inc(1);
            result
        };
        let results: Vec<R> = batch.par_iter().map(worked).collect();
        bar.suspend(|| results.into_iter().try_for_each(&mut done))?;
    }
    bar.finish_and_clear();
    Ok(())
}

/// A bar over the bytes of a long file.
pub fn byte_bar(bytes: u64) -> ProgressBar {
    if bytes < LONG || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(bytes);
    match ProgressStyle::with_template("{bytes} of {total_bytes} {bar:40} {eta} left") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// A bar over many files.
pub fn bar(files: usize) -> ProgressBar {
    if files <= FEW || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{pos} of {len} files {bar:40}");
    let bar = ProgressBar::new(files as u64);
    match style {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// What a file named with `--out` may be written over: nothing, unless `--force` says that it may be lost.
pub fn replaced(force: bool) -> Replace<'static> {
    if force { Replace::Anything } else { Replace::Nothing }
}

/// Why a file named with `--out` was not written.
pub fn not_written(not: NotWritten) -> Diagnostic {
    match not {
        NotWritten::Changed(reported) => {
            reported.remedy("Give another name with --out, or --force to overwrite it.")
        }
        NotWritten::Refused(reported) => reported,
    }
}
