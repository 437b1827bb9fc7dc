//! The templates that pages are set by: the built-in ones, or a shop's own in their place.
//!
//! A shop's folder may hold any of the built-in names, and further files that its templates use, such as a picture
//! for the letterhead. What it does not hold is the built-in one. Everything is read once, before anything is set.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use records::diag::Diagnostic;
use records::disk::read_regular;
use records::store::{write_atomic, write_new};

/// The built-in templates, by name.
pub const BUILT_IN: [(&str, &str); 5] = [
    ("report.typ", include_str!("templates/report.typ")),
    ("sheet.typ", include_str!("templates/sheet.typ")),
    ("tags.typ", include_str!("templates/tags.typ")),
    ("letterhead.typ", include_str!("templates/letterhead.typ")),
    ("common.typ", include_str!("templates/common.typ")),
];

/// A folder of templates holds no more than this, in bytes: a mistyped folder is told and not read to its end.
const MOST_BYTES: u64 = 64 * 1024 * 1024;
/// Folders in a folder of templates, at most.
const DEEPEST: usize = 4;

/// The templates in use.
#[derive(Clone, Debug, Default)]
pub struct Templates {
    folder: Option<PathBuf>,
    own: BTreeMap<String, Vec<u8>>,
    /// Setting by them was given up: the same for all that were cloned from one.
    given_up: Arc<AtomicBool>,
}

impl Templates {
    /// The built-in ones, with those of a folder in their place.
    ///
    /// # Errors
    /// If the folder cannot be read, holds too much, or holds no template.
    pub fn from_folder(folder: &Path) -> Result<Self, Diagnostic> {
        let mut own = BTreeMap::new();
        let mut left = MOST_BYTES;
        read(folder, "", DEEPEST, &mut left, &mut own)?;
        if !BUILT_IN.iter().any(|(name, _)| own.contains_key(*name)) {
            let names: Vec<_> = BUILT_IN.iter().map(|(name, _)| *name).collect();
            return Err(Diagnostic::error("There is no template in this folder.")
                .remedy(format!(
                    "It may hold any of {}. `borewright report --write-template FOLDER` writes all of them to be \
                     changed.",
                    names.join(", ")
                ))
                .in_file(folder));
        }
        Ok(Self { folder: Some(folder.to_owned()), own, given_up: Arc::default() })
    }

    /// Those of a folder that another process has read: what is told of them has their names alone.
    pub(super) fn handed_over(own: impl IntoIterator<Item = (String, Vec<u8>)>) -> Self {
        Self { folder: Some(PathBuf::new()), own: own.into_iter().collect(), given_up: Arc::default() }
    }

    /// Was setting by them given up?
    pub(super) fn are_given_up(&self) -> bool {
        self.given_up.load(Ordering::Relaxed)
    }

    /// Gives them up: a template that goes on without end is not begun once more for every document.
    pub(super) fn give_up(&self) {
        self.given_up.store(true, Ordering::Relaxed);
    }

    /// The folder of a shop's own.
    pub(super) fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// Is any of them not a built-in one?
    pub(super) fn has_own(&self) -> bool {
        !self.own.is_empty()
    }

    /// Every file that is in use, by name.
    pub(super) fn files(&self) -> impl Iterator<Item = (&str, &[u8])> {
        let built_in = BUILT_IN.iter().filter(|(name, _)| !self.own.contains_key(*name));
        built_in.map(|(name, text)| (*name, text.as_bytes())).chain(self.own())
    }

    /// Those that are no built-in ones, by name.
    pub(super) fn own(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.own.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
    }

    /// Where a file in use is, for telling what is wrong with it.
    pub(super) fn path_of(&self, name: &str) -> PathBuf {
        match &self.folder {
            Some(folder) if self.own.contains_key(name) => folder.join(name),
            _ => PathBuf::from(format!("{name} (built in)")),
        }
    }
}

fn read(
    folder: &Path,
    before: &str,
    deeper: usize,
    left: &mut u64,
    own: &mut BTreeMap<String, Vec<u8>>,
) -> Result<(), Diagnostic> {
    let refused = |error: io::Error, path: &Path| {
        Diagnostic::error(format!("This folder of templates cannot be read: {error}."))
            .remedy("Check its name and that you may read it.")
            .in_file(path)
    };
    let entries = fs::read_dir(folder).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let mut paths: Vec<PathBuf> =
        entries.map_err(|error| refused(error, folder))?.iter().map(fs::DirEntry::path).collect();
    paths.sort();
    for path in paths {
        let Some(name) =
            path.file_name().and_then(|name| name.to_str()).filter(|name| !name.starts_with('.'))
        else {
            continue;
        };
        let about = fs::symlink_metadata(&path).map_err(|error| refused(error, &path))?;
        let name = format!("{before}{name}");
        if about.is_dir() && deeper > 0 {
            read(&path, &format!("{name}/"), deeper - 1, left, own)?;
        } else if path.is_file() {
            let bytes = read_regular(&path, *left).map_err(|error| match error.kind() {
                io::ErrorKind::FileTooLarge => {
                    Diagnostic::error("This folder of templates holds more than 64 MB.")
                        .remedy("Give a folder that holds the templates and their pictures alone.")
                        .in_file(folder)
                }
                _ => refused(error, &path),
            })?;
            *left = left.saturating_sub(bytes.len() as u64);
            own.insert(name, bytes);
        }
    }
    Ok(())
}

/// Writes the built-in templates into a folder, to be changed; the folder is made if it is not there.
///
/// # Errors
/// If one of them is there already and `overwrite` is not set, or cannot be written.
pub fn write_built_in(folder: &Path, overwrite: bool) -> Result<Vec<PathBuf>, Diagnostic> {
    fs::create_dir_all(folder).map_err(|error| {
        Diagnostic::error(format!("This folder cannot be made: {error}.")).in_file(folder)
    })?;
    let paths: Vec<PathBuf> = BUILT_IN.iter().map(|(name, _)| folder.join(name)).collect();
    if let Some(there) = paths.iter().find(|path| path.exists() && !overwrite) {
        return Err(Diagnostic::error("A template is there already, and somebody may have changed it.")
            .remedy("Give another folder, or --force to overwrite it.")
            .in_file(there));
    }
    let write = if overwrite { write_atomic } else { write_new };
    for (path, (_, text)) in paths.iter().zip(BUILT_IN) {
        write(path, text.as_bytes())?;
    }
    Ok(paths)
}
