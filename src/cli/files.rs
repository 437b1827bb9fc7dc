//! The files as typed: folders expanded, texts read, work done in parallel and shown in input order.
//!
//! Memory stays bounded: a batch of files is worked on at a time, and what is done is handed on before the
//! next batch begins.

use std::fs;
use std::io::{self, IsTerminal as _};
use std::path::{Path, PathBuf};

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;

use crate::diag::Diagnostic;

/// More files than this have a progress bar, where somebody looks at a terminal.
const FEW: usize = 8;
/// A file with more bytes than this has a progress bar of its own.
const LONG: u64 = 4 * 1024 * 1024;
/// Files worked on before anything is handed on.
const BATCH: usize = 64;
/// Folders in folders, at most.
const DEEPEST: usize = 64;

/// A file to work on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// The file.
    pub path: PathBuf,
    /// It was found in a folder, not typed itself.
    pub found: bool,
}

impl Input {
    /// Is it a fleet in a CSV file?
    pub fn is_fleet(&self) -> bool {
        has_extension(&self.path, "csv")
    }
}

fn has_extension(path: &Path, wanted: &str) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(wanted))
}

/// Files as typed, folders replaced by the `.ron` files in them and in the folders under them, by name.
///
/// What cannot be expanded stands in its place as an error.
pub fn expand(typed: &[PathBuf]) -> Vec<Result<Input, Diagnostic>> {
    let mut inputs = Vec::new();
    for path in typed {
        if !path.is_dir() {
            inputs.push(Ok(Input { path: path.clone(), found: false }));
            continue;
        }
        let before = inputs.len();
        walk(path, DEEPEST, &mut inputs);
        if inputs.len() == before {
            inputs.push(Err(Diagnostic::error("There is no record in this folder.")
                .remedy("Records and tables of limits have names that end in .ron.")
                .in_file(path)));
        }
    }
    inputs
}

fn walk(folder: &Path, deeper: usize, inputs: &mut Vec<Result<Input, Diagnostic>>) {
    let refused = |error: io::Error| {
        Diagnostic::error(format!("This folder cannot be read: {error}."))
            .remedy("Check that you may read it, or give the files themselves.")
            .in_file(folder)
    };
    let entries = match fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<_>>>) {
        Ok(entries) => entries,
        Err(error) => return inputs.push(Err(refused(error))),
    };
    let mut entries: Vec<_> = entries.iter().map(|entry| (entry.path(), entry.file_type())).collect();
    entries.sort_by(|a, b| a.0.cmp(&b.0));
    for (path, kind) in entries {
        let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with('.'));
        if hidden {
            continue;
        }
        // A link to a folder is not followed: it may lead back to where it stands.
        if kind.is_ok_and(|kind| kind.is_dir()) {
            if deeper == 0 {
                inputs.push(Err(Diagnostic::error(format!(
                    "More than {DEEPEST} folders stand in each other here."
                ))
                .remedy("Give this folder itself to look into it.")
                .in_file(&path)));
            } else {
                walk(&path, deeper - 1, inputs);
            }
        } else if has_extension(&path, "ron") && path.is_file() {
            inputs.push(Ok(Input { path, found: true }));
        }
    }
}

/// Works on every input in parallel and hands the results on in the order of the inputs.
///
/// # Errors
/// What `done` returns; nothing further is worked on then.
pub fn for_each<T: Sync, R: Send>(
    inputs: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut done: impl FnMut(R) -> io::Result<()>,
) -> io::Result<()> {
    let bar = bar(inputs.len());
    for batch in inputs.chunks(BATCH) {
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
