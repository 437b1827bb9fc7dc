//! Recovery copies: what is typed and not yet saved, kept in the user's own data folder.
//!
//! A copy belongs to one window and is written soon after the last change; it goes when the record is saved
//! or closed. A copy whose window is gone was left by a crash, and the next start offers it.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::lock::{self, Asked, Lock};
use super::{full, write_atomic};
use crate::diag::Diagnostic;

/// What a recovery copy holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Copy {
    /// The file that the record was read from or saved to; none: never saved.
    pub origin: Option<PathBuf>,
    /// What it is, for a person: the engine and its serial.
    pub title: String,
    /// Seconds since 1970 when it was written.
    pub written: u64,
    /// The record, as the text of its file.
    pub text: String,
}

/// A recovery copy that a crash left behind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Leftover {
    /// What it holds.
    pub copy: Copy,
    file: PathBuf,
}

impl Leftover {
    /// Takes it away, when its content is safe elsewhere or not wanted.
    pub fn discard(&self) {
        let _ = fs::remove_file(&self.file);
        let _ = fs::remove_file(self.file.with_extension("lock"));
    }
}

/// The place for one window's recovery copy.
#[derive(Debug)]
pub struct Keeper {
    file: PathBuf,
    _alive: Option<Lock>,
}

impl Keeper {
    /// A place in a folder that no other window uses.
    pub fn new(folder: &Path) -> Self {
        let started = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_nanos());
        let name = format!("{started:x}-{:x}", std::process::id());
        let alive = match lock::ask_by_name(folder, &format!("{name}.lock")) {
            Asked::Ours(lock) => Some(lock),
            Asked::InUse | Asked::NotKnown => None,
        };
        Self { file: folder.join(format!("{name}.json")), _alive: alive }
    }

    /// Writes the copy, whole or not at all.
    ///
    /// # Errors
    /// If it cannot be written; what is typed is then only in the window.
    pub fn keep(&self, origin: Option<&Path>, title: &str, text: String) -> Result<(), Diagnostic> {
        let written = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
        let copy = Copy { origin: origin.map(full), title: title.to_owned(), written, text };
        let json = serde_json::to_vec(&copy)
            .map_err(|error| Diagnostic::error(format!("The recovery copy cannot be written: {error}.")))?;
        if let Some(folder) = self.file.parent() {
            let _ = fs::create_dir_all(folder);
        }
        write_atomic(&self.file, &json)
    }

    /// Takes the copy away: everything is saved, or nobody wants it.
    pub fn clear(&self) {
        let _ = fs::remove_file(&self.file);
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        // A copy that is still there was not cleared, so it is still wanted; its lock ends with the window.
        if !self.file.exists() {
            let _ = fs::remove_file(self.file.with_extension("lock"));
        }
    }
}

/// The copies that crashes left in a folder, the latest first. What cannot be read is left where it is.
pub fn leftovers(folder: &Path) -> Vec<Leftover> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut found: Vec<Leftover> = entries
        .filter_map(|entry| {
            let file = entry.ok()?.path();
            if file.extension()? != "json" {
                return None;
            }
            let lock = file.with_extension("lock");
            if let Asked::InUse = lock::ask_by_name(folder, lock.file_name()?.to_str()?) {
                return None;
            }
            let copy = serde_json::from_slice(&fs::read(&file).ok()?).ok()?;
            Some(Leftover { copy, file })
        })
        .collect();
    found.sort_by(|a, b| b.copy.written.cmp(&a.copy.written).then_with(|| a.file.cmp(&b.file)));
    found
}
