//! Two windows on one file: the second is told.
//!
//! The lock is an empty file in a folder of the program's own, held by the operating system as long as the
//! window lives; a crash leaves nothing locked. It is for telling only: what keeps two writers apart is
//! [`mod@super::write`]'s lock, on the file itself.

use std::fs::{File, TryLockError};
use std::path::Path;

use super::{full, private_folder};
use crate::disk::{Digest, never_waiting};

/// A file that this window has open, until it is dropped.
#[derive(Debug)]
pub struct Lock {
    _held: File,
}

/// What came of asking for a lock.
#[derive(Debug)]
pub enum Asked {
    /// It is ours.
    Ours(Lock),
    /// Another window has the file open.
    InUse,
    /// It cannot be told: there is no folder for locks, or the system has none.
    NotKnown,
}

/// Asks for a file's lock; `folder` is the program's own.
pub fn ask(folder: &Path, file: &Path) -> Asked {
    let digest = Digest::of(full(file).as_os_str().as_encoded_bytes()).to_string();
    ask_by_name(folder, &format!("{}.lock", digest.get(..32).unwrap_or(&digest)))
}

pub(super) fn ask_by_name(folder: &Path, name: &str) -> Asked {
    if private_folder(folder).is_err() {
        return Asked::NotKnown;
    }
    let mut options = File::options();
    options.create(true).truncate(false).read(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    never_waiting(&mut options);
    let Ok(held) = options.open(folder.join(name)) else { return Asked::NotKnown };
    if !held.metadata().is_ok_and(|about| about.is_file()) {
        return Asked::NotKnown;
    }
    match held.try_lock() {
        Ok(()) => Asked::Ours(Lock { _held: held }),
        Err(TryLockError::WouldBlock) => Asked::InUse,
        Err(TryLockError::Error(_)) => Asked::NotKnown,
    }
}
