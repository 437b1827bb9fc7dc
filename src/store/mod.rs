//! Saving so that nothing typed is lost: whole files or none, recovery copies, and who else is at work.
//!
//! [`write_atomic`] never leaves half a file: it writes beside the target, waits for the disk, and only then
//! takes the old file's place. [`Fingerprint`] tells whether somebody else wrote the file since it was read,
//! [`lock`] whether another window has it open, [`recovery`] keeps what is typed until it is saved. What a
//! file means is [`crate::file`]'s.

pub mod lock;
pub mod recovery;

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::diag::Diagnostic;
use crate::folder::absolute;

/// Writes a whole file or none: the old file stands until the new one is safely on the disk.
///
/// A link is followed, so that it stays a link. An old file's permissions are kept.
///
/// # Errors
/// Says what is wrong (read-only, full, no such folder) and what to do.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    write(path, bytes).map_err(|error| cannot_be_written(&error).in_file(path))
}

fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let old = fs::metadata(&target).ok();
    // The rename below would replace a file that may not be written.
    if old.as_ref().is_some_and(|old| old.permissions().readonly()) {
        return Err(io::ErrorKind::PermissionDenied.into());
    }
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".").suffix(".tmp");
    #[cfg(unix)]
    let new_file = <fs::Permissions as std::os::unix::fs::PermissionsExt>::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(new_file);
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    if let Some(old) = old {
        file.as_file().set_permissions(old.permissions())?;
    }
    file.as_file().sync_all()?;
    file.persist(&target).map_err(|error| error.error)?;
    // The new name itself must be on the disk too. Not every file system can be asked.
    #[cfg(unix)]
    if let Ok(folder) = fs::File::open(folder) {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn cannot_be_written(error: &io::Error) -> Diagnostic {
    match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            Diagnostic::error("This file or its folder is read-only; nothing was changed.")
                .remedy("Save under another name, in a folder of your own.")
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            Diagnostic::error("The disk is full; the file stands as it was.")
                .remedy("Make room and save again, or save on another disk.")
        }
        io::ErrorKind::NotFound => Diagnostic::error("There is no such folder.")
            .remedy("Make the folder first, or save under another name."),
        io::ErrorKind::IsADirectory => {
            Diagnostic::error("This is a folder.").remedy("Write the name of a file within it.")
        }
        _ => Diagnostic::error(format!("The file cannot be written: {error}; it stands as it was."))
            .remedy("Save under another name, or on another disk."),
    }
}

/// How a file stood when it was last read or written here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fingerprint {
    modified: Option<SystemTime>,
    hash: u64,
}

/// How a file stands beside its fingerprint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnDisk {
    /// As it was left.
    Same,
    /// Somebody else has written it.
    Changed,
    /// It is gone, or can no longer be read.
    Gone,
}

impl Fingerprint {
    /// Of a file as it stands; `None` if it cannot be read.
    pub fn of(path: &Path) -> Option<Self> {
        // Asked first: a pipe or a device is not waited for, and what is written meanwhile has another time.
        let about = fs::metadata(path).ok().filter(fs::Metadata::is_file)?;
        let bytes = fs::read(path).ok()?;
        Some(Self { modified: about.modified().ok(), hash: hash(&bytes) })
    }

    /// Has the file been written since? The time decides quickly, the content decides in the end.
    pub fn compare(&self, path: &Path) -> OnDisk {
        match fs::metadata(path).map(|about| about.modified().ok()) {
            Err(_) => OnDisk::Gone,
            Ok(modified) if modified.is_some() && modified == self.modified => OnDisk::Same,
            Ok(_) => match Self::of(path) {
                Some(now) if now.hash == self.hash => OnDisk::Same,
                Some(_) => OnDisk::Changed,
                None => OnDisk::Gone,
            },
        }
    }
}

/// A number that tells texts and paths apart, the same in every version of the program (FNV-1a).
fn hash(bytes: &[u8]) -> u64 {
    bytes
        .iter()
        .fold(0xcbf2_9ce4_8422_2325, |hash, &byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// A path as it is the same however it was given.
fn full(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| absolute(path))
}

#[cfg(test)]
mod tests;
