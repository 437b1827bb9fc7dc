//! Saving so that nothing typed is lost: whole files or none, recovery copies, and who else is at work.
//!
//! [`write()`] never leaves half a file, and never takes the place of a content that its caller has not seen: every
//! writer, the window and the command line alike, holds one lock of the file meanwhile. [`lock`] tells whether another
//! window has a file open, [`recovery`] keeps what is typed until it is saved, and [`signals`] are what the system says to
//! the program while it writes. What a file means is [`crate::file`]'s.

#[cfg(unix)]
mod attributes;
pub mod lock;
pub mod recovery;
#[cfg(unix)]
pub mod signals;
mod write;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::folder::absolute;

pub use write::{Access, NotWritten, Replace, write, write_atomic, write_by, write_new};

/// A path as it is the same however it was given.
fn full(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| absolute(path))
}

/// Makes a folder that nobody but its owner can look into, or closes it if it is there and open.
fn private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{DirBuilderExt as _, PermissionsExt as _};
        builder.mode(0o700).create(folder)?;
        let about = fs::metadata(folder)?;
        if about.permissions().mode() & 0o077 != 0 {
            fs::set_permissions(folder, fs::Permissions::from_mode(0o700))?;
        }
        Ok(())
    }
    #[cfg(not(unix))]
    builder.create(folder)
}

#[cfg(test)]
mod tests;
