//! Files and folders as a person names them: a folder stands for the records in it.
//!
//! Nothing is read here. The order is that of the names, so that the same folder gives the same list; a link
//! to a folder is not followed.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::diag::Diagnostic;

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

    /// Its size in bytes; 0 where that cannot be told.
    pub fn size(&self) -> u64 {
        fs::metadata(&self.path).map_or(0, |about| about.len())
    }
}

/// A path with its folder, so that it is the same wherever it is typed; as it is where that cannot be told.
pub fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

fn has_extension(path: &Path, wanted: &str) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case(wanted))
}

/// Files as typed, folders replaced by the `.ron` files in them and in the folders under them, by name.
///
/// What cannot be expanded stands in its place as an error.
pub fn expand(typed: &[PathBuf]) -> Vec<Result<Input, Diagnostic>> {
    expand_while(typed, &|| true)
}

/// As [`expand`], as long as `go_on` says so: a person may have named the root of a disk.
pub fn expand_while(typed: &[PathBuf], go_on: &dyn Fn() -> bool) -> Vec<Result<Input, Diagnostic>> {
    let mut inputs = Vec::new();
    for path in typed {
        if !path.is_dir() {
            inputs.push(Ok(Input { path: path.clone(), found: false }));
            continue;
        }
        let before = inputs.len();
        walk(path, DEEPEST, go_on, &mut inputs);
        if inputs.len() == before {
            inputs.push(Err(Diagnostic::error("There is no record in this folder.")
                .remedy("Records and tables of limits have names that end in .ron.")
                .in_file(path)));
        }
    }
    inputs
}

fn walk(folder: &Path, deeper: usize, go_on: &dyn Fn() -> bool, inputs: &mut Vec<Result<Input, Diagnostic>>) {
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
        if !go_on() {
            return;
        }
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
                walk(&path, deeper - 1, go_on, inputs);
            }
        } else if has_extension(&path, "ron") && path.is_file() {
            inputs.push(Ok(Input { path, found: true }));
        }
    }
}
