//! Two windows on one file: the second is told.
//!
//! The lock is an empty file in a folder of the program's own, held by the operating system as long as the
//! window lives; a crash leaves nothing locked, and the file is removed by whoever asks next. It is for telling
//! only: what keeps two writers apart is `super::write`'s lock, on the file itself.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use super::{full, private_folder};
use crate::disk::{Digest, is_still, never_waiting};

/// A file that this window has open, until it is dropped.
#[derive(Debug)]
pub struct Lock {
    _held: File,
    path: PathBuf,
}

impl Drop for Lock {
    fn drop(&mut self) {
        // While it is held: who opened it meanwhile sees that it is gone, and makes another.
        let _ = fs::remove_file(&self.path);
    }
}

/// What came of asking for a lock.
#[derive(Debug)]
pub enum LockResult {
    /// It is ours.
    Acquired(Lock),
    /// Another window has the file open.
    InUse,
    /// It cannot be told: there is no folder for locks, or the system has none.
    NotKnown,
}

/// How often a lock is asked for that others make and remove at the same time.
const TRIES: usize = 100;

/// Asks for a file's lock; `folder` is the program's own.
pub fn ask(folder: &Path, file: &Path) -> LockResult {
    let digest = Digest::of(full(file).as_os_str().as_encoded_bytes()).to_string();
    ask_by_name(folder, &format!("{}.lock", digest.get(..32).unwrap_or(&digest)))
}

pub(super) fn ask_by_name(folder: &Path, name: &str) -> LockResult {
    if private_folder(folder).is_err() {
        return LockResult::NotKnown;
    }
    let path = folder.join(name);
    let mut options = File::options();
    options.create(true).truncate(false).read(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    never_waiting(&mut options);
    for _ in 0..TRIES {
        let Ok(held) = options.open(&path) else { break };
        if !held.metadata().is_ok_and(|about| about.is_file()) {
            break;
        }
        match held.try_lock() {
            Ok(()) if is_still(&held, &path) => return LockResult::Acquired(Lock { _held: held, path }),
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return LockResult::InUse,
            Err(TryLockError::Error(_)) => break,
        }
    }
    LockResult::NotKnown
}
