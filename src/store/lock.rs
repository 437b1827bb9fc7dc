//! Two windows on one file: the second is told.
//!
//! The lock is an empty file in a folder of the program's own, held by the operating system as long as the
//! window lives; a crash leaves nothing locked. Somebody at another machine is not seen here, but a file
//! that changed on the disk is never overwritten unasked.

use std::fs::{self, File, TryLockError};
use std::path::Path;

use super::{full, hash};

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
    let name = format!("{:016x}.lock", hash(full(file).as_os_str().as_encoded_bytes()));
    ask_by_name(folder, &name)
}

pub(super) fn ask_by_name(folder: &Path, name: &str) -> Asked {
    if fs::create_dir_all(folder).is_err() {
        return Asked::NotKnown;
    }
    let Ok(held) = File::options().create(true).truncate(false).write(true).open(folder.join(name)) else {
        return Asked::NotKnown;
    };
    match held.try_lock() {
        Ok(()) => Asked::Ours(Lock { _held: held }),
        Err(TryLockError::WouldBlock) => Asked::InUse,
        Err(TryLockError::Error(_)) => Asked::NotKnown,
    }
}
