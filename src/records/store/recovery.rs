//! Recovery copies: what is typed and not yet saved, kept in the user's own data folder.
//!
//! A [`Guard`] looks after one record: soon after a change it writes a copy on a thread of its own, tries again where
//! that failed, and takes the copy away once the record is saved. A copy whose window is gone was left by a crash: the
//! next start offers it ([`left_behind`]), and it goes only when its content is in another file on the disk, or when
//! somebody has said that it may be lost.
//!
//! Only the owner can look into the folder and its files, and nothing but regular files is read in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use serde::{Deserialize, Serialize};

use super::lock::{self, Lock, LockResult};
use super::{Access, Replace, full, private_folder, write_by};
use crate::diag::Diagnostic;
use crate::disk::{Fingerprint, read_regular};

/// How long after a change its copy is written: with the writing less than a second, but not at every key.
const KEEP_AFTER: Duration = Duration::from_millis(250);

/// How long after a failure it is tried again.
const TRY_AGAIN: Duration = Duration::from_secs(5);

/// How soon a writing under way is looked at again.
const LOOK_AGAIN: Duration = Duration::from_millis(50);

/// The largest copy that is read, in bytes: a record of the largest size as a JSON text.
const LARGEST: u64 = 4 * crate::file::LARGEST;

/// What a recovery copy holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Copy {
    /// The file that the record was read from or saved to; none: never saved.
    pub origin: Option<PathBuf>,
    /// What that file held then; none: not known.
    #[serde(default)]
    pub seen: Option<Fingerprint>,
    /// What it is, for a person: the engine and its serial.
    pub title: String,
    /// Seconds since 1970 when it was written.
    pub written: u64,
    /// The record, as the text of its file.
    pub text: String,
    /// The cell that was being typed.
    #[serde(default)]
    pub cell: Option<TypedCell>,
    /// The table of limits that was half typed.
    #[serde(default)]
    pub table: Option<TypedTable>,
}

/// A cell with what was typed in it and not yet kept in the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedCell {
    /// Index of the overhaul.
    pub overhaul: usize,
    /// Index of the cylinder.
    pub cylinder: usize,
    /// Index of the station in the table of limits.
    pub station: usize,
    /// Index of the axis in the table of limits.
    pub axis: usize,
    /// Which repeat, counted from 0.
    pub repeat: usize,
    /// The gauge for a cell that has no reading yet.
    pub gauge: Option<String>,
    /// What was typed.
    pub text: String,
}

/// A table of limits that is not in force yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TypedTable {
    /// Index of the table in the record.
    pub index: usize,
    /// The table as the text of a file.
    pub text: String,
}

impl Copy {
    /// Is it of this file?
    pub fn is_of(&self, file: &Path) -> bool {
        self.origin.as_deref() == Some(&full(file))
    }

    /// Does it hold nothing but the text of a record?
    pub fn is_only_record(&self) -> bool {
        self.cell.is_none() && self.table.is_none()
    }
}

// ---- left behind

/// A recovery copy that a crash left behind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecoveredFile {
    /// What it holds.
    pub copy: Copy,
    file: PathBuf,
}

impl RecoveredFile {
    /// What tells it from the others, as long as it is there.
    pub fn name(&self) -> &Path {
        &self.file
    }

    /// Takes it in hand, so that no other window does; `None` if one has, or if it is gone.
    pub fn take(&self) -> Option<Taken> {
        let folder = self.file.parent()?;
        let lock = self.file.with_extension("lock");
        let held = match lock::ask_by_name(folder, lock.file_name()?.to_str()?) {
            LockResult::Acquired(lock) => Some(lock),
            LockResult::InUse => return None,
            LockResult::NotKnown => None,
        };
        // Another window may have taken it and finished since it was listed.
        let copy = read(&self.file).ok()?;
        Some(Taken { copy, file: self.file.clone(), _held: held })
    }
}

/// A recovery copy in hand. Dropped, it is offered again; it goes when it is [discarded](Taken::discard).
#[derive(Debug)]
pub struct Taken {
    /// What it holds.
    pub copy: Copy,
    file: PathBuf,
    _held: Option<Lock>,
}

impl Taken {
    /// Takes it away: its content is in another file on the disk, or somebody has said that it may be lost.
    pub fn discard(self) {
        // What cannot be removed is offered again.
        let _ = fs::remove_file(&self.file);
    }
}

/// What is left in a folder of recovery copies.
#[derive(Clone, Debug, Default)]
pub struct LeftBehind {
    /// The copies whose windows are gone, the latest first.
    pub copies: Vec<RecoveredFile>,
    /// What cannot be read, and is left where it is.
    pub reported: Vec<Diagnostic>,
}

/// The copies that crashes left in a folder.
pub fn left_behind(folder: &Path) -> LeftBehind {
    let mut found = LeftBehind::default();
    let Ok(entries) = fs::read_dir(folder) else { return found };
    for entry in entries.flatten().filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file())) {
        let file = entry.path();
        let extension = file.extension().and_then(|extension| extension.to_str());
        let Some(extension @ ("json" | "lock")) = extension else { continue };
        let lock = file.with_extension("lock");
        let Some(lock) = lock.file_name().and_then(|name| name.to_str()) else { continue };
        // Asked for and given back, the lock of a window that is gone is removed.
        if matches!(lock::ask_by_name(folder, lock), LockResult::InUse) || extension == "lock" {
            continue;
        }
        match read(&file) {
            Ok(copy) => found.copies.push(RecoveredFile { copy, file }),
            Err(why) => found.reported.push(
                Diagnostic::error(format!("A recovery copy cannot be read: {why}."))
                    .remedy("Keep this file: a person can still find in it what was typed.")
                    .in_file(&file),
            ),
        }
    }
    found.copies.sort_by(|a, b| b.copy.written.cmp(&a.copy.written).then_with(|| a.file.cmp(&b.file)));
    found.reported.sort_by(|a, b| a.file.cmp(&b.file));
    found
}

fn read(file: &Path) -> Result<Copy, String> {
    let bytes = read_regular(file, LARGEST).map_err(|error| error.to_string())?;
    serde_json::from_slice(&bytes).map_err(|_| "it is damaged, or another version wrote it".to_owned())
}

// ---- one window's place

/// The place for one record's copy, which no other window uses.
#[derive(Debug)]
struct RecoverySlot {
    file: PathBuf,
    _alive: Option<Lock>,
}

impl RecoverySlot {
    fn new(folder: &Path) -> Self {
        let started = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_nanos());
        let name = format!("{started:x}-{:x}", std::process::id());
        let alive = match lock::ask_by_name(folder, &format!("{name}.lock")) {
            LockResult::Acquired(lock) => Some(lock),
            LockResult::InUse | LockResult::NotKnown => None,
        };
        Self { file: folder.join(format!("{name}.json")), _alive: alive }
    }

    fn keep(&self, copy: Copy) -> Result<(), Diagnostic> {
        let written = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
        // A name that is no text cannot be kept, and the record must be.
        let origin = copy.origin.map(|origin| full(&origin)).filter(|origin| origin.to_str().is_some());
        let copy = Copy { origin, written, ..copy };
        if let Some(folder) = self.file.parent() {
            private_folder(folder)
                .map_err(|error| super::write::cannot_be_written(&error).in_file(folder))?;
        }
        write_by(&self.file, Replace::Anything, Access::Private, |out| {
            Ok(serde_json::to_writer(out, &copy)?)
        })?;
        Ok(())
    }

    fn clear(&self) {
        let _ = fs::remove_file(&self.file);
    }
}

// ---- looking after a record

/// Makes a copy, on whichever thread it is called.
pub type MakeCopy = Box<dyn FnOnce() -> Result<Copy, Diagnostic> + Send>;

type Writing = JoinHandle<Result<(), Diagnostic>>;

/// Keeps a copy of one record that is being typed. `K` tells what is typed from what was typed before.
#[derive(Debug)]
pub struct Guard<K> {
    /// None: there is no folder for copies.
    keeper: Option<Arc<RecoverySlot>>,
    /// What the copy holds.
    kept: Option<K>,
    /// When something else was typed first.
    changed: Option<Instant>,
    writing: Option<(K, Writing)>,
    /// Why the last copy was not written, and when it is tried again.
    failed: Option<(Diagnostic, Instant)>,
    /// The copy that the record was taken from, until there is another one.
    taken: Option<Taken>,
}

impl<K: Clone + PartialEq> Guard<K> {
    /// Keeps copies in a folder, if there is one.
    pub fn new(folder: Option<&Path>) -> Self {
        let keeper = folder.map(|folder| Arc::new(RecoverySlot::new(folder)));
        Self { keeper, kept: None, changed: None, writing: None, failed: None, taken: None }
    }

    /// The record comes from this copy, which is there until its successor is.
    pub fn succeeds(&mut self, taken: Taken) {
        self.taken = Some(taken);
    }

    /// Why what is typed is not protected at present; none: it is, or will be within a second.
    pub fn failed(&self) -> Option<&Diagnostic> {
        self.failed.as_ref().map(|(why, _)| why)
    }

    /// Looks after what is typed; none: nothing that is not saved. `copy` is asked for when it is time to write it.
    /// Never waits. Says when it wants to be asked again at the latest.
    pub fn tend(&mut self, typed: Option<&K>, copy: impl FnOnce() -> MakeCopy) -> Option<Duration> {
        if self.writing.as_ref().is_some_and(|(_, writing)| writing.is_finished()) {
            self.wait();
        }
        let keeper = Arc::clone(self.keeper.as_ref()?);
        let Some(typed) = typed else {
            if self.kept.is_some() || self.writing.is_some() || self.taken.is_some() {
                self.clear();
            }
            (self.changed, self.failed) = (None, None);
            return None;
        };
        if self.kept.as_ref() == Some(typed) {
            (self.changed, self.failed) = (None, None);
            return None;
        }
        let now = Instant::now();
        if let Some((writing, _)) = &self.writing {
            if writing != typed {
                self.changed.get_or_insert(now);
            }
            return Some(LOOK_AGAIN);
        }
        let due = match &self.failed {
            Some((_, again)) => *again,
            None => *self.changed.get_or_insert(now) + KEEP_AFTER,
        };
        if let Some(left) = due.checked_duration_since(now).filter(|left| !left.is_zero()) {
            return Some(left);
        }
        self.changed = None;
        let copy = copy();
        let started = thread::Builder::new().name("recovery".to_owned()).spawn(move || keeper.keep(copy()?));
        match started {
            Ok(writing) => {
                self.writing = Some((typed.clone(), writing));
                Some(LOOK_AGAIN)
            }
            Err(error) => {
                self.end_of(typed.clone(), Err(super::write::cannot_be_written(&error)));
                Some(TRY_AGAIN)
            }
        }
    }

    /// Copies what is typed at once, and waits until it is on the disk.
    ///
    /// # Errors
    /// If it cannot be written; what is typed is then only in the window.
    pub fn copy_now(&mut self, typed: Option<&K>, copy: impl FnOnce() -> MakeCopy) -> Result<(), Diagnostic> {
        self.wait();
        let (Some(keeper), Some(typed)) = (&self.keeper, typed) else { return Ok(()) };
        if self.kept.as_ref() != Some(typed) {
            let done = copy()().and_then(|copy| keeper.keep(copy));
            self.end_of(typed.clone(), done);
        }
        self.failed().cloned().map_or(Ok(()), Err)
    }

    /// Takes the copy away: everything is saved, or somebody has said that it may be lost.
    pub fn clear(&mut self) {
        self.wait();
        if let Some(keeper) = &self.keeper {
            keeper.clear();
        }
        if let Some(taken) = self.taken.take() {
            taken.discard();
        }
        (self.kept, self.changed, self.failed) = (None, None, None);
    }

    /// Waits for a writing under way.
    fn wait(&mut self) {
        if let Some((typed, writing)) = self.writing.take() {
            let broken =
                || Err(Diagnostic::error("The recovery copy cannot be written: its thread broke off."));
            self.end_of(typed, writing.join().unwrap_or_else(|_| broken()));
        }
    }

    fn end_of(&mut self, typed: K, done: Result<(), Diagnostic>) {
        match done {
            Ok(()) => {
                (self.kept, self.failed) = (Some(typed), None);
                // Only now is there a successor on the disk.
                if let Some(taken) = self.taken.take() {
                    taken.discard();
                }
            }
            Err(why) => self.failed = Some((why, Instant::now() + TRY_AGAIN)),
        }
    }
}

impl<K> Drop for Guard<K> {
    fn drop(&mut self) {
        if let Some((_, writing)) = self.writing.take() {
            // A copy under way is finished, whatever came of it.
            let _ = writing.join();
        }
    }
}
