//! A folder of records, read once: the sheets of every record, kept in a small file until the record changes.
//!
//! A record is read again if its size or its time of change differs, or if it was changed so shortly before it
//! was read that a second change might not show; and then only if its text differs (by a hash). The kept file
//! is one JSON value a line. It is no record: where it cannot be read, or another version wrote it, it counts
//! as empty and everything is read anew.
//!
//! Reading is up to the caller, who may do it on several threads, show how far it is, and stop: [`Index::refresh`]
//! hands out [`Job`]s and takes what came of them.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{self, BufRead as _, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::figure::Scheme;
use super::sheet::{self, EngineName, Sheet, SheetCylinder, Sheets, Temperature};
use crate::diag::Diagnostic;
use crate::file::{self, Kind};
use crate::length::Unit;

/// The version of the kept file; another one is not read.
const VERSION: u32 = 2;

/// A change this shortly before reading might be followed by another one that shows no later time, in
/// nanoseconds.
const TOO_FRESH: u64 = 2_000_000_000;

/// What a file looked like from outside when it was read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    size: u64,
    /// Nanoseconds since 1970.
    changed: u64,
    /// It was old enough when it was read.
    settled: bool,
}

fn stamp(path: &Path) -> io::Result<Stamp> {
    let about = fs::metadata(path)?;
    let since_1970 = |time: SystemTime| {
        time.duration_since(UNIX_EPOCH).map_or(0, |since| u64::try_from(since.as_nanos()).unwrap_or(u64::MAX))
    };
    let changed = since_1970(about.modified()?);
    let settled = changed.saturating_add(TOO_FRESH) < since_1970(SystemTime::now());
    Ok(Stamp { size: about.len(), changed, settled })
}

/// One record as it is kept.
#[derive(Clone, Debug, PartialEq)]
struct Kept {
    stamp: Stamp,
    hash: u64,
    sheets: Sheets,
}

/// A file that must be read.
#[derive(Clone, Debug)]
pub struct Job {
    /// The file.
    pub path: PathBuf,
    /// The hash of its text when it was read before.
    known: Option<u64>,
}

/// What came of a [`Job`].
#[derive(Clone, Debug)]
pub struct Done {
    path: PathBuf,
    stamp: Stamp,
    hash: u64,
    /// None if its text has not changed.
    sheets: Option<Sheets>,
}

impl Job {
    /// Reads the file. A table of limits has no sheets; what cannot be read is told.
    pub fn run(&self) -> Done {
        let stamp = stamp(&self.path).unwrap_or_default();
        let done = |hash, sheets| Done { path: self.path.clone(), stamp, hash, sheets };
        let told = |diagnostics: &[Diagnostic]| {
            let told = diagnostics.iter().filter(|d| d.is_error()).map(Diagnostic::to_string).collect();
            Some(Sheets { told, ..Sheets::default() })
        };
        let text = match file::read_text(&self.path) {
            Ok(text) => text,
            Err(diagnostic) => return done(0, told(&[diagnostic])),
        };
        let mut hasher = DefaultHasher::new();
        text.hash(&mut hasher);
        let hash = hasher.finish();
        if self.known == Some(hash) {
            return done(hash, None);
        }
        if matches!(file::kind_of(&text), Some(Kind::Limits | Kind::Key)) {
            return done(hash, Some(Sheets::default()));
        }
        let record = file::record_from_text(&text, Some(&self.path));
        done(
            hash,
            match &record.value {
                Some(record) => Some(sheet::sheets(record, Some(&self.path))),
                None => told(&record.diagnostics),
            },
        )
    }
}

/// How much had to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Refreshed {
    /// Files in all.
    pub files: usize,
    /// Files that were read and worked out.
    pub read: usize,
}

/// The sheets of many records.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Index {
    records: BTreeMap<PathBuf, Kept>,
}

/// The kept file for the records of some places, in a folder for such files.
pub fn kept_file(folder: &Path, places: &[PathBuf]) -> PathBuf {
    let mut hasher = DefaultHasher::new();
    for place in places {
        fs::canonicalize(place).unwrap_or_else(|_| place.clone()).hash(&mut hasher);
    }
    folder.join(format!("trend-{:016x}.jsonl", hasher.finish()))
}

impl Index {
    /// Brings the index up to date with the files, and forgets all others.
    ///
    /// `run_all` runs the jobs it is given; one that it leaves out, because somebody stopped it, is missing
    /// from the index until the next time.
    pub fn refresh(&mut self, files: &[PathBuf], run_all: impl FnOnce(Vec<Job>) -> Vec<Done>) -> Refreshed {
        let mut before = std::mem::take(&mut self.records);
        let mut jobs = Vec::new();
        let mut to_check: HashMap<PathBuf, Kept> = HashMap::new();
        for path in files {
            let kept = before.remove(path);
            match (kept, stamp(path)) {
                (Some(kept), Ok(now))
                    if kept.stamp.settled
                        && (now.size, now.changed) == (kept.stamp.size, kept.stamp.changed) =>
                {
                    self.records.insert(path.clone(), kept);
                }
                (kept, _) => {
                    jobs.push(Job { path: path.clone(), known: kept.as_ref().map(|kept| kept.hash) });
                    to_check.extend(kept.map(|kept| (path.clone(), kept)));
                }
            }
        }
        let mut read = 0;
        for Done { path, stamp, hash, sheets } in run_all(jobs) {
            let sheets = match sheets {
                Some(sheets) => {
                    read += 1;
                    sheets
                }
                None => to_check.remove(&path).map(|kept| kept.sheets).unwrap_or_default(),
            };
            self.records.insert(path, Kept { stamp, hash, sheets });
        }
        Refreshed { files: files.len(), read }
    }

    /// How many records it holds.
    pub fn len(&self) -> usize {
        self.records.len()
    }

    /// Does it hold none?
    pub fn is_empty(&self) -> bool {
        self.records.is_empty()
    }

    /// Every sheet, by file.
    pub fn sheets(&self) -> Vec<Arc<Sheet>> {
        self.records.values().flat_map(|kept| kept.sheets.sheets.iter().cloned()).collect()
    }

    /// What could not be read, by file.
    pub fn told(&self) -> impl Iterator<Item = &str> {
        self.records.values().flat_map(|kept| kept.sheets.told.iter().map(String::as_str))
    }

    /// Reads a kept file; empty if there is none, or none that this version wrote.
    pub fn load(path: &Path) -> Self {
        Self::load_lines(path).unwrap_or_default()
    }

    fn load_lines(path: &Path) -> Option<Self> {
        let mut lines = io::BufReader::with_capacity(1 << 20, fs::File::open(path).ok()?).lines();
        match serde_json::from_str(&lines.next()?.ok()?).ok()? {
            Line::BorewrightTrendIndex(VERSION) => {}
            _ => return None,
        }
        let mut index = Self::default();
        let mut schemes: Vec<Arc<Scheme>> = Vec::new();
        for line in lines {
            match serde_json::from_str(&line.ok()?).ok()? {
                Line::BorewrightTrendIndex(_) => return None,
                Line::Scheme(scheme) => schemes.push(Arc::new(scheme)),
                Line::Record(record) => {
                    let (path, kept) = record.unpack(&schemes)?;
                    index.records.insert(path, kept);
                }
            }
        }
        Some(index)
    }

    /// Writes the kept file whole, then puts it in place.
    ///
    /// # Errors
    /// If the folder cannot be made or the file cannot be written.
    pub fn save(&self, path: &Path) -> io::Result<()> {
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder)?;
        }
        let fresh = path.with_extension(format!("{}.new", std::process::id()));
        let written = self.write(&fresh).and_then(|()| fs::rename(&fresh, path));
        if written.is_err() {
            // What is left over of a failed attempt is worth nothing; the first error is the one to tell.
            let _ = fs::remove_file(&fresh);
        }
        written
    }

    fn write(&self, path: &Path) -> io::Result<()> {
        let mut out = io::BufWriter::with_capacity(1 << 20, fs::File::create(path)?);
        let mut line = |line: &LineRef<'_>| -> io::Result<()> {
            serde_json::to_writer(&mut out, line)?;
            out.write_all(b"\n")
        };
        line(&LineRef::BorewrightTrendIndex(VERSION))?;
        let mut places: HashMap<&Scheme, usize> = HashMap::new();
        for (path, kept) in &self.records {
            // A name that is no text cannot be kept; that record is read every time.
            let Some(path) = path.to_str() else { continue };
            let mut sheets = Vec::with_capacity(kept.sheets.sheets.len());
            for sheet in &kept.sheets.sheets {
                let next = places.len();
                let scheme = *places.entry(&sheet.scheme).or_insert(next);
                if scheme == next {
                    line(&LineRef::Scheme(&sheet.scheme))?;
                }
                sheets.push(PackedSheetRef {
                    scheme,
                    date: sheet.date,
                    total: sheet.total_hours,
                    since: sheet.hours_since_overhaul,
                    unit: sheet.unit,
                    temperature: sheet.temperature,
                    cylinders: &sheet.cylinders,
                });
            }
            line(&LineRef::Record(PackedRef {
                path,
                stamp: kept.stamp,
                hash: kept.hash,
                engine: kept.sheets.sheets.first().map(|sheet| &*sheet.engine),
                told: &kept.sheets.told,
                sheets,
            }))?;
        }
        out.flush()
    }
}

/// A line of the kept file.
#[derive(Deserialize)]
enum Line {
    BorewrightTrendIndex(u32),
    Scheme(Scheme),
    Record(Packed),
}

#[derive(Serialize)]
enum LineRef<'a> {
    BorewrightTrendIndex(u32),
    Scheme(&'a Scheme),
    Record(PackedRef<'a>),
}

#[derive(Deserialize)]
struct Packed {
    path: PathBuf,
    stamp: Stamp,
    hash: u64,
    engine: Option<EngineName>,
    told: Vec<String>,
    sheets: Vec<PackedSheet>,
}

#[derive(Serialize)]
struct PackedRef<'a> {
    path: &'a str,
    stamp: Stamp,
    hash: u64,
    engine: Option<&'a EngineName>,
    told: &'a [String],
    sheets: Vec<PackedSheetRef<'a>>,
}

#[derive(Deserialize)]
struct PackedSheet {
    scheme: usize,
    date: Date,
    total: Option<f64>,
    since: Option<f64>,
    unit: Unit,
    temperature: Temperature,
    cylinders: Vec<SheetCylinder>,
}

#[derive(Serialize)]
struct PackedSheetRef<'a> {
    scheme: usize,
    date: Date,
    total: Option<f64>,
    since: Option<f64>,
    unit: Unit,
    temperature: Temperature,
    cylinders: &'a [SheetCylinder],
}

impl Packed {
    /// The record; none if the line does not fit together.
    fn unpack(self, schemes: &[Arc<Scheme>]) -> Option<(PathBuf, Kept)> {
        let engine = Arc::new(self.engine.unwrap_or_default());
        let mut sheets = Sheets { sheets: Vec::with_capacity(self.sheets.len()), told: self.told };
        for packed in self.sheets {
            let scheme = schemes.get(packed.scheme)?.clone();
            if packed.cylinders.iter().any(|cylinder| cylinder.readings.len() != scheme.entries.len()) {
                return None;
            }
            sheets.sheets.push(Arc::new(Sheet {
                engine: engine.clone(),
                date: packed.date,
                total_hours: packed.total,
                hours_since_overhaul: packed.since,
                scheme,
                unit: packed.unit,
                temperature: packed.temperature,
                cylinders: packed.cylinders,
            }));
        }
        Some((self.path, Kept { stamp: self.stamp, hash: self.hash, sheets }))
    }
}
