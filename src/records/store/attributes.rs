//! What a new file takes over from the one whose place it takes: owner, group, mode, access lists and the attributes
//! that a person or a program gave it. What cannot be kept is refused, since nobody would see that it is lost.
//!
//! Labels of a security module (`security.*`) are not among them: they are the system's, which gives the new file its
//! own by its rules.

use std::fs::File;
use std::io;
use std::os::unix::fs::{MetadataExt as _, fchown};

use super::write::cannot_be_written;
use crate::diag::Diagnostic;

/// Bits of a mode that are kept.
const MODE: u32 = 0o7777;

/// Gives a new file what the old one has.
///
/// # Errors
/// What cannot be kept.
pub(super) fn keep(old: &File, new: &File) -> Result<(), Diagnostic> {
    let cannot = |error: io::Error| cannot_be_written(&error);
    let (before, now) = (old.metadata().map_err(cannot)?, new.metadata().map_err(cannot)?);
    if (before.uid(), before.gid()) != (now.uid(), now.gid()) {
        let user = (before.uid() != now.uid()).then(|| before.uid());
        let group = (before.gid() != now.gid()).then(|| before.gid());
        fchown(new, user, group).map_err(|_| belongs_to_others(user.is_some()))?;
    }
    lists::keep(old, new)?;
    // After the owner, whose change takes some of these bits away, and after the lists, which are seen in them.
    if new.metadata().map_err(cannot)?.mode() & MODE != before.mode() & MODE {
        let mode =
            <std::fs::Permissions as std::os::unix::fs::PermissionsExt>::from_mode(before.mode() & MODE);
        new.set_permissions(mode).map_err(cannot)?;
    }
    let now = new.metadata().map_err(cannot)?;
    let kept = |about: &std::fs::Metadata| (about.uid(), about.gid(), about.mode() & MODE);
    if kept(&now) != kept(&before) {
        return Err(not_kept("owner, group or mode"));
    }
    Ok(())
}

fn belongs_to_others(user: bool) -> Diagnostic {
    let whose = if user { "another user" } else { "a group that you are not in" };
    Diagnostic::error(format!("This file belongs to {whose}, and would not any more; nothing was changed."))
        .remedy("Save under another name, or let its owner save it.")
}

fn not_kept(what: &str) -> Diagnostic {
    Diagnostic::error(format!("The {what} of this file cannot be kept; nothing was changed."))
        .remedy("Save under another name.")
}

/// Access lists and other attributes beside the mode.
#[cfg(any(target_os = "linux", target_os = "android"))]
mod lists {
    use std::collections::BTreeMap;
    use std::fs::File;

    use rustix::fs::{XattrFlags, fgetxattr, flistxattr, fremovexattr, fsetxattr};
    use rustix::io::Errno;

    use super::not_kept;
    use crate::diag::Diagnostic;

    /// The most bytes that the system hands out of the names, or of one attribute.
    const MOST: usize = 65_536;

    pub(super) fn keep(old: &File, new: &File) -> Result<(), Diagnostic> {
        let (wanted, found) = (all(old)?, all(new)?);
        for name in found.keys().filter(|name| !wanted.contains_key(*name)) {
            // Such as a list that the folder gives every new file.
            fremovexattr(new, name.as_slice()).map_err(|_| lost(name))?;
        }
        for (name, value) in wanted.iter().filter(|(name, value)| found.get(*name) != Some(value)) {
            fsetxattr(new, name.as_slice(), value, XattrFlags::empty()).map_err(|_| lost(name))?;
        }
        Ok(())
    }

    fn lost(name: &[u8]) -> Diagnostic {
        let list = name.starts_with(b"system.");
        not_kept(if list { "access list" } else { "attributes" })
    }

    /// Every attribute that is kept, by name.
    fn all(file: &File) -> Result<BTreeMap<Vec<u8>, Vec<u8>>, Diagnostic> {
        let mut names = vec![0; MOST];
        let length = match flistxattr(file, &mut names) {
            Ok(length) => length,
            Err(Errno::NOTSUP | Errno::NOSYS) => 0,
            Err(_) => return Err(not_kept("attributes")),
        };
        names.truncate(length);
        let mut found = BTreeMap::new();
        for name in names.split(|byte| *byte == 0) {
            if !(name.starts_with(b"system.") || name.starts_with(b"user.")) {
                continue;
            }
            let mut value = vec![0; MOST];
            match fgetxattr(file, name, &mut value) {
                Ok(length) => value.truncate(length),
                // Taken away meanwhile.
                Err(Errno::NODATA) => continue,
                Err(_) => return Err(lost(name)),
            }
            found.insert(name.to_owned(), value);
        }
        Ok(found)
    }
}

/// There is no safe way to them here.
#[cfg(not(any(target_os = "linux", target_os = "android")))]
mod lists {
    pub(super) fn keep(_: &std::fs::File, _: &std::fs::File) -> Result<(), crate::diag::Diagnostic> {
        Ok(())
    }
}
