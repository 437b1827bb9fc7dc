//! A whole file or none, in place of exactly what the writer has seen.
//!
//! The order is what makes it safe:
//!
//! 1. what a killed writer left in the folder is cleared;
//! 2. the old file is locked, so that of two writers one waits;
//! 3. the new content goes to a temporary file beside it, with the old one's owner, mode and access lists, and to the
//!    disk;
//! 4. the old content is compared with what the writer has seen, by digest;
//! 5. the temporary file takes the old one's name, and the name goes to the disk.
//!
//! Whatever fails before step 5 leaves the old file as it was, and no temporary file. The lock is the operating
//! system's, on the file itself: it holds between users and between machines that share a disk, leaves nothing behind,
//! and ends with the process. A program that knows nothing of the lock is seen by step 4.

use std::fs::{self, File, TryLockError};
use std::io::{self, BufWriter, Seek as _, Write};
use std::path::{Path, PathBuf, is_separator};
use std::time::{Duration, Instant};

use tempfile::NamedTempFile;

use crate::diag::Diagnostic;
use crate::disk::{Digesting, Fingerprint, digest_of, is_still, never_waiting};

/// The name of a temporary file begins and ends so, and no other program's does.
const BEGIN: &str = ".borewright-";
const END: &str = ".tmp";

/// How long another writer of the same file is waited for.
const PATIENCE: Duration = Duration::from_secs(5);

/// Between two tries to get a lock.
const AGAIN: Duration = Duration::from_millis(2);

/// What may be where the file is written.
#[derive(Clone, Copy, Debug)]
pub enum Replace<'a> {
    /// Whatever is there: somebody has decided that it may be lost.
    Anything,
    /// Nothing.
    Nothing,
    /// The content that was read or written here last.
    Only(&'a Fingerprint),
}

/// Who may read a new file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// Whoever could read the old one; without one, whoever the system lets.
    AsBefore,
    /// Nobody but its owner.
    Private,
}

/// Why nothing was written. In either case the file is as it was.
#[derive(Clone, Debug, PartialEq)]
pub enum NotWritten {
    /// Another content is there than the one to be replaced, or there is none any more.
    Changed(Diagnostic),
    /// It cannot be written.
    Refused(Diagnostic),
}

impl From<NotWritten> for Diagnostic {
    fn from(not: NotWritten) -> Self {
        match not {
            NotWritten::Changed(diagnostic) | NotWritten::Refused(diagnostic) => diagnostic,
        }
    }
}

impl From<Diagnostic> for NotWritten {
    fn from(diagnostic: Diagnostic) -> Self {
        Self::Refused(diagnostic)
    }
}

impl From<io::Error> for NotWritten {
    fn from(error: io::Error) -> Self {
        Self::Refused(cannot_be_written(&error))
    }
}

/// Writes a whole file or none, over whatever is there.
///
/// # Errors
/// Says what is wrong (read-only, full, no such folder) and what to do.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    write(path, bytes, Replace::Anything)?;
    Ok(())
}

/// Writes a whole file or none, where there is none yet.
///
/// # Errors
/// As for [`write_atomic`], and if there is a file of this name.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Diagnostic> {
    write(path, bytes, Replace::Nothing)?;
    Ok(())
}

/// Writes a whole file or none, if what is there is what may be replaced. Gives its fingerprint.
///
/// A symbolic link is followed, so that it remains one. The owner, group, mode and access lists of an old file are kept.
///
/// # Errors
/// Another content is there, or what cannot be done and what to do instead.
pub fn write(path: &Path, bytes: &[u8], replace: Replace<'_>) -> Result<Fingerprint, NotWritten> {
    write_by(path, replace, Access::AsBefore, |out| out.write_all(bytes))
}

/// As [`write()`], with the content from a function, for what is long.
///
/// # Errors
/// As for [`write()`], and what the function returns.
pub fn write_by(
    path: &Path,
    replace: Replace<'_>,
    access: Access,
    content: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<Fingerprint, NotWritten> {
    replaced(path, replace, access, content).map_err(|not| match not {
        NotWritten::Changed(diagnostic) => NotWritten::Changed(diagnostic.in_file(path)),
        NotWritten::Refused(diagnostic) => NotWritten::Refused(diagnostic.in_file(path)),
    })
}

fn replaced(
    path: &Path,
    replace: Replace<'_>,
    access: Access,
    content: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<Fingerprint, NotWritten> {
    let target = target(path)?;
    let folder = target.parent().unwrap_or(Path::new("."));
    clear_stale(folder);
    let mut old = held(&target)?;
    match (&old, replace) {
        (Some(_), Replace::Nothing) => return Err(NotWritten::Changed(is_there_already())),
        (None, Replace::Only(_)) => return Err(NotWritten::Changed(is_gone())),
        (None, Replace::Nothing | Replace::Anything) | (Some(_), Replace::Only(_) | Replace::Anything) => {}
    }
    if let Some(old) = &old {
        may_be_replaced(old)?;
    }
    let mut new = temporary(folder, old.is_some() || access == Access::Private)?;
    let mut out = BufWriter::with_capacity(1 << 16, Digesting::new(new.as_file_mut()));
    content(&mut out)?;
    out.flush()?;
    let digest = out.get_ref().digest();
    drop(out);
    #[cfg(unix)]
    if let Some(old) = old.as_ref().filter(|_| access == Access::AsBefore) {
        super::attributes::keep(old, new.as_file())?;
    }
    new.as_file().sync_all()?;
    let about = new.as_file().metadata()?;
    if let (Some(old), Replace::Only(seen)) = (&mut old, replace) {
        old.rewind()?;
        let now = digest_of(&mut *old)?;
        // Who writes what is there already takes nothing from anybody.
        if !is_still(old, &target) || (now != seen.digest() && now != digest) {
            return Err(NotWritten::Changed(was_changed()));
        }
    }
    if cfg!(windows) {
        // There an open file keeps its name.
        drop(old.take());
    }
    let written = match replace {
        Replace::Anything | Replace::Only(_) => new.persist(&target),
        Replace::Nothing => new.persist_noclobber(&target),
    };
    let written = written.map_err(|error| match error.error.kind() {
        io::ErrorKind::AlreadyExists => NotWritten::Changed(is_there_already()),
        _ => error.error.into(),
    })?;
    on_the_disk(folder).map_err(|error| NotWritten::Refused(not_confirmed(&error)))?;
    Ok(Fingerprint::new(digest, &written.metadata().unwrap_or(about)))
}

/// The file that is meant, with links followed: a regular file, or a name that is free in a folder.
fn target(path: &Path) -> Result<PathBuf, Diagnostic> {
    let ends_as_folder = path.to_string_lossy().chars().next_back().is_none_or(is_separator);
    match fs::symlink_metadata(path) {
        Ok(about) => {
            let target = fs::canonicalize(path).map_err(|error| match error.kind() {
                io::ErrorKind::NotFound if about.is_symlink() => leads_nowhere(),
                _ => cannot_be_written(&error),
            })?;
            let about = fs::metadata(&target).map_err(|error| cannot_be_written(&error))?;
            if about.is_file() { Ok(target) } else { Err(no_file(about.is_dir())) }
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let name = path.file_name().filter(|_| !ends_as_folder).ok_or_else(|| no_file(true))?;
            let folder = match path.parent() {
                Some(folder) if !folder.as_os_str().is_empty() => folder,
                _ => Path::new("."),
            };
            let folder = fs::canonicalize(folder).map_err(|error| cannot_be_written(&error))?;
            Ok(folder.join(name))
        }
        Err(error) => Err(cannot_be_written(&error)),
    }
}

/// The file that is there, locked until it is dropped; `None` if there is none.
fn held(target: &Path) -> Result<Option<File>, NotWritten> {
    let until = Instant::now() + PATIENCE;
    let mut options = File::options();
    options.read(true).write(true);
    never_waiting(&mut options);
    loop {
        let file = match options.open(target) {
            Ok(file) => file,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error.into()),
        };
        if !file.metadata()?.is_file() {
            return Err(no_file(false).into());
        }
        // Whoever had the lock may have put another file in its place.
        if is_locked(&file, until) && is_still(&file, target) {
            return Ok(Some(file));
        }
        if Instant::now() >= until {
            return Err(is_busy().into());
        }
    }
}

/// Gets a file's lock, or gives up at a time. Where the file system has no locks, everybody has it.
fn is_locked(file: &File, until: Instant) -> bool {
    loop {
        match file.try_lock() {
            Ok(()) | Err(TryLockError::Error(_)) => return true,
            Err(TryLockError::WouldBlock) if Instant::now() >= until => return false,
            Err(TryLockError::WouldBlock) => std::thread::sleep(AGAIN),
        }
    }
}

/// Refuses a file that the new one cannot take the place of.
fn may_be_replaced(old: &File) -> Result<(), NotWritten> {
    let about = old.metadata()?;
    if about.permissions().readonly() {
        return Err(io::Error::from(io::ErrorKind::PermissionDenied).into());
    }
    #[cfg(unix)]
    if std::os::unix::fs::MetadataExt::nlink(&about) > 1 {
        let several = "This file has a second name (a hard link), which would keep the old content.";
        return Err(Diagnostic::error(several)
            .remedy("Save under another name, or remove the second name first.")
            .into());
    }
    Ok(())
}

/// A file beside the one to be written, that nobody else can read yet if `private`, and locked for as long as it is
/// written.
fn temporary(folder: &Path, private: bool) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(BEGIN).suffix(END);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(if private { 0o600 } else { 0o666 }));
    }
    let until = Instant::now() + PATIENCE;
    loop {
        let file = builder.tempfile_in(folder)?;
        // Between its making and its lock another writer may have taken it for a stale one.
        if is_locked(file.as_file(), until) && is_still(file.as_file(), file.path()) {
            return Ok(file);
        }
        if Instant::now() >= until {
            return Err(io::ErrorKind::TimedOut.into());
        }
    }
}

/// Clears what killed writers left in a folder: a temporary file that nobody has locked has no writer any more.
fn clear_stale(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.as_encoded_bytes();
        if !name.starts_with(BEGIN.as_bytes()) || !name.ends_with(END.as_bytes()) {
            continue;
        }
        if entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let path = entry.path();
            let mut options = File::options();
            options.read(true).write(true);
            never_waiting(&mut options);
            let opened = options.open(&path);
            if opened.as_ref().is_ok_and(|file| file.try_lock().is_ok()) {
                // What cannot be removed is left to the next writer.
                let _ = fs::remove_file(path);
            }
        }
    }
}

/// Brings the names in a folder to the disk. Not every file system can be asked.
fn on_the_disk(folder: &Path) -> io::Result<()> {
    if cfg!(not(unix)) {
        return Ok(());
    }
    let Ok(folder) = File::open(folder) else { return Ok(()) };
    match folder.sync_all() {
        Err(error) if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => {
            Ok(())
        }
        done => done,
    }
}

// ---- what is told

pub(super) fn cannot_be_written(error: &io::Error) -> Diagnostic {
    match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            Diagnostic::error("This file or its folder is read-only; nothing was changed.")
                .remedy("Save under another name, in a folder of your own.")
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            Diagnostic::error("The disk is full; nothing was changed.")
                .remedy("Make room and save again, or save on another disk.")
        }
        io::ErrorKind::FileTooLarge => {
            Diagnostic::error("The system allows no file of this size; nothing was changed.")
                .remedy("Ask whoever keeps this computer for a higher limit, or save on another disk.")
        }
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            Diagnostic::error("There is no such folder; nothing was written.")
                .remedy("Make the folder first, or save under another name.")
        }
        io::ErrorKind::IsADirectory => no_file(true),
        _ => Diagnostic::error(format!("The file cannot be written: {error}; nothing was changed."))
            .remedy("Save under another name, or on another disk."),
    }
}

fn no_file(folder: bool) -> Diagnostic {
    if folder {
        Diagnostic::error("This is a folder; nothing was written.")
            .remedy("Write the name of a file within it.")
    } else {
        Diagnostic::error("This is a device, a pipe or a socket, and no file; nothing was written.")
            .remedy("Save under another name.")
    }
}

fn leads_nowhere() -> Diagnostic {
    Diagnostic::error("This is a link to a file that is not there; nothing was written.")
        .remedy("Save under another name, or remove the link.")
}

fn is_there_already() -> Diagnostic {
    Diagnostic::error("There is a file of this name already; nothing was written.")
        .remedy("Save under another name, or move that file away.")
}

fn is_gone() -> Diagnostic {
    Diagnostic::error("The file is gone since it was read; nothing was written.")
        .remedy("Look for it under another name, and do it again there.")
}

fn was_changed() -> Diagnostic {
    Diagnostic::error("The file was changed by somebody else since it was read; nothing was written.")
        .remedy("Read it again, and repeat your change.")
}

fn is_busy() -> Diagnostic {
    Diagnostic::error("Another program is writing this file, and does not finish; nothing was written.")
        .remedy("Wait until it is done, and repeat your change.")
}

fn not_confirmed(error: &io::Error) -> Diagnostic {
    Diagnostic::error(format!("The file is written, but the disk did not confirm it: {error}."))
        .remedy("Save it once more, on another disk too.")
}
