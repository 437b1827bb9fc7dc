//! A folder of records, read once: the sheets of every record, kept in a small file until the record changes.
//!
//! A record is read again unless the file system says for sure that it is the same ([`Fingerprint::is_surely`]), and
//! worked out again if its text differs, by digest. The kept file is one JSON value a line; the last one is the digest
//! of all lines before it. It is no record: where it cannot be read, is damaged, or another version wrote it, it counts as
//! empty and everything is read anew.
//!
//! Reading is up to the caller, who may do it on several threads, show how far it is, and stop: [`Index::refresh`]
//! hands out [`Job`]s and takes what came of them.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::io::{self, BufRead as _, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::civil::Date;
#[cfg(feature = "parallel")]
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::figure::Scheme;
use super::sheet::{self, EngineName, SheetCylinder, Sheets, SurveySheet, Tables, Temperature};
use quantities::length::Unit;
use records::diag::Diagnostic;
use records::disk::{Digest, Digesting, Fingerprint, open_regular};
use records::file::{self, Document as _};
use records::kind;
use records::record::schema::EngineRecord;
use records::store::{Access, Replace, write_by};

/// The version of the kept file; another one is not read.
const VERSION: u32 = 6;

/// One record as it is kept.
#[derive(Clone, Debug, PartialEq)]
struct Kept {
    /// None: it cannot be read, and that is tried again every time.
    print: Option<Fingerprint>,
    sheets: Sheets,
}

/// A file that must be read.
#[derive(Clone, Debug)]
pub struct Job {
    /// The file.
    pub path: PathBuf,
    /// The digest of its content when it was read before.
    known: Option<Digest>,
    /// What the jobs of one time share.
    tables: Arc<Tables>,
}

/// What came of a [`Job`].
#[derive(Clone, Debug)]
pub struct Done {
    path: PathBuf,
    print: Option<Fingerprint>,
    /// None if its text has not changed.
    sheets: Option<Sheets>,
}

impl Job {
    /// Reads the file. A table of limits has no sheets; what cannot be read is told.
    pub fn run(&self) -> Done {
        let done = |print, sheets| Done { path: self.path.clone(), print, sheets };
        let reported = |diagnostics: &[Diagnostic]| {
            let reported = diagnostics.iter().filter(|d| d.is_error()).map(Diagnostic::to_string).collect();
            Some(Sheets { reported, ..Sheets::default() })
        };
        let (text, print) = match file::read_to_change(&self.path) {
            Ok((text, print)) => (text, print),
            Err(diagnostic) => return done(None, reported(&[diagnostic])),
        };
        if self.known == Some(print.digest()) {
            return done(Some(print), None);
        }
        if kind::is_another(&text, EngineRecord::KIND) {
            return done(Some(print), Some(Sheets::default()));
        }
        let record = file::record_from_text(&text, Some(&self.path));
        done(
            Some(print),
            match &record.value {
                Some(record) => Some(sheet::sheets_by(record, Some(&self.path), &self.tables)),
                None => reported(&record.diagnostics),
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
    /// The index is another one than before, and is worth keeping.
    pub is_new: bool,
}

/// The sheets of many records.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Index {
    records: BTreeMap<PathBuf, Kept>,
}

/// The kept file for the records of some places, in a folder for such files.
pub fn kept_file(folder: &Path, places: &[PathBuf]) -> PathBuf {
    let mut names = Vec::new();
    for place in places {
        let place = fs::canonicalize(place).unwrap_or_else(|_| place.clone());
        names.extend(place.as_os_str().as_encoded_bytes());
        // No name holds it.
        names.push(0);
    }
    let digest = Digest::of(names).to_string();
    folder.join(format!("trend-{}.jsonl", digest.get(..16).unwrap_or(&digest)))
}

impl Index {
    /// Brings the index up to date with the files, and forgets all others.
    ///
    /// `run_all` runs the jobs it is given; one that it leaves out, because somebody stopped it, is missing
    /// from the index until the next time.
    pub fn refresh(&mut self, files: &[PathBuf], run_all: impl FnOnce(Vec<Job>) -> Vec<Done>) -> Refreshed {
        let mut before = std::mem::take(&mut self.records);
        let mut jobs = Vec::new();
        let tables = Arc::new(Tables::default());
        let mut to_check: HashMap<PathBuf, Kept> = HashMap::new();
        for path in files {
            let kept = before.remove(path);
            let print = kept.as_ref().and_then(|kept| kept.print);
            match kept {
                Some(kept) if print.is_some_and(|print| print.is_surely(path)) => {
                    self.records.insert(path.clone(), kept);
                }
                kept => {
                    let known = print.map(|print| print.digest());
                    jobs.push(Job { path: path.clone(), known, tables: Arc::clone(&tables) });
                    to_check.extend(kept.map(|kept| (path.clone(), kept)));
                }
            }
        }
        let (mut read, mut is_new) = (0, !before.is_empty());
        for Done { path, print, sheets } in run_all(jobs) {
            let old = to_check.remove(&path);
            read += usize::from(sheets.is_some());
            let sheets = sheets.or_else(|| old.as_ref().map(|kept| kept.sheets.clone())).unwrap_or_default();
            let kept = Kept { print, sheets };
            is_new |= old.as_ref() != Some(&kept);
            self.records.insert(path, kept);
        }
        is_new |= !to_check.is_empty();
        Refreshed { files: files.len(), read, is_new }
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
    pub fn sheets(&self) -> Vec<Arc<SurveySheet>> {
        self.records.values().flat_map(|kept| kept.sheets.sheets.iter().cloned()).collect()
    }

    /// What could not be read, by file.
    pub fn reported(&self) -> impl Iterator<Item = &str> {
        self.records.values().flat_map(|kept| kept.sheets.reported.iter().map(String::as_str))
    }

    /// Reads a kept file; empty if there is none, or none that this version wrote whole.
    pub fn load(path: &Path) -> Self {
        Self::load_lines(path).unwrap_or_default()
    }

    fn load_lines(path: &Path) -> Option<Self> {
        let mut kept = io::BufReader::with_capacity(1 << 20, open_regular(path).ok()?);
        let mut before = Digesting::new(io::sink());
        let mut index = Self::default();
        let mut schemes: Vec<Arc<Scheme>> = Vec::new();
        let mut lines: Vec<Vec<u8>> = Vec::new();
        let mut is_first = true;
        loop {
            lines.resize(LINES_AT_ONCE, Vec::new());
            for line in &mut lines {
                line.clear();
                kept.read_until(b'\n', line).ok()?;
            }
            lines.retain(|line| !line.is_empty());
            for (text, line) in lines.iter().zip(read_all(&lines)) {
                match line? {
                    Line::BorewrightTrendIndex(VERSION) if is_first => is_first = false,
                    Line::BorewrightTrendIndex(_) => return None,
                    _ if is_first => return None,
                    Line::Scheme(scheme) => schemes.push(Arc::new(scheme)),
                    Line::Record(record) => {
                        let (path, kept) = record.unpack(&schemes)?;
                        index.records.insert(path, kept);
                    }
                    // Nothing before it is used unless it is what was written, and nothing behind it was.
                    Line::Digest(whole) => {
                        let is_last = std::ptr::eq(text, lines.last()?) && kept.fill_buf().ok()?.is_empty();
                        return (whole == before.digest() && is_last).then_some(index);
                    }
                }
                before.write_all(text).ok()?;
            }
            if lines.is_empty() {
                return None;
            }
        }
    }

    /// Writes the kept file, whole or not at all.
    ///
    /// # Errors
    /// A note that it cannot be kept, and what comes of that.
    pub fn save(&self, path: &Path) -> Result<(), Diagnostic> {
        let note = |why: &str| {
            Diagnostic::note(format!("The index cannot be kept there: {}.", why.trim_end_matches('.')))
                .remedy("The next time everything is read again.")
                .in_file(path)
        };
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|error| note(&error.to_string()))?;
        }
        let written = write_by(path, Replace::Anything, Access::AsBefore, |out| self.write(out));
        written.map(drop).map_err(|not| note(&Diagnostic::from(not).message))
    }

    fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut out = Digesting::new(out);
        let mut line = |line: &LineRef<'_>| -> io::Result<()> {
            serde_json::to_writer(&mut out, line)?;
            out.write_all(b"\n")
        };
        line(&LineRef::BorewrightTrendIndex(VERSION))?;
        let mut places: HashMap<&Scheme, usize> = HashMap::new();
        // Most sheets share their scheme, and a scheme is long.
        let mut of_shared: HashMap<*const Scheme, usize> = HashMap::new();
        for (path, kept) in &self.records {
            // A name that is no text cannot be kept; that record is read every time.
            let Some(path) = path.to_str() else { continue };
            let mut sheets = Vec::with_capacity(kept.sheets.sheets.len());
            for sheet in &kept.sheets.sheets {
                let shared = Arc::as_ptr(&sheet.scheme);
                let scheme = match of_shared.get(&shared) {
                    Some(place) => *place,
                    None => {
                        let next = places.len();
                        let place = *places.entry(&sheet.scheme).or_insert(next);
                        if place == next {
                            line(&LineRef::Scheme(&sheet.scheme))?;
                        }
                        of_shared.insert(shared, place);
                        place
                    }
                };
                sheets.push(PackedSheetRef {
                    scheme,
                    date: sheet.date,
                    total: sheet.total_hours,
                    since: sheet.hours_since_overhaul,
                    unit: sheet.unit,
                    temperature: sheet.temperature,
                    standards: &sheet.standards,
                    cylinders: &sheet.cylinders,
                });
            }
            line(&LineRef::Record(PackedRef {
                path,
                print: kept.print,
                engine: kept.sheets.sheets.first().map(|sheet| &*sheet.engine),
                reported: &kept.sheets.reported,
                sheets,
            }))?;
        }
        let whole = out.digest();
        serde_json::to_writer(out.inner(), &LineRef::Digest(whole))?;
        out.inner().write_all(b"\n")
    }
}

/// How many lines of the kept file are in memory and read at once.
const LINES_AT_ONCE: usize = 1024;

/// Reads lines of the kept file, on all cores where the program may.
fn read_all(lines: &[Vec<u8>]) -> Vec<Option<Line>> {
    let read = |line: &Vec<u8>| serde_json::from_slice(line).ok();
    #[cfg(feature = "parallel")]
    return lines.par_iter().map(read).collect();
    #[cfg(not(feature = "parallel"))]
    return lines.iter().map(read).collect();
}

/// A line of the kept file.
#[derive(Deserialize)]
enum Line {
    BorewrightTrendIndex(u32),
    Scheme(Scheme),
    Record(Packed),
    Digest(Digest),
}

#[derive(Serialize)]
enum LineRef<'a> {
    BorewrightTrendIndex(u32),
    Scheme(&'a Scheme),
    Record(PackedRef<'a>),
    Digest(Digest),
}

#[derive(Deserialize)]
struct Packed {
    path: PathBuf,
    print: Option<Fingerprint>,
    engine: Option<EngineName>,
    reported: Vec<String>,
    sheets: Vec<PackedSheet>,
}

#[derive(Serialize)]
struct PackedRef<'a> {
    path: &'a str,
    print: Option<Fingerprint>,
    engine: Option<&'a EngineName>,
    reported: &'a [String],
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
    standards: Vec<String>,
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
    standards: &'a [String],
    cylinders: &'a [SheetCylinder],
}

impl Packed {
    /// The record; none if the line does not fit together.
    fn unpack(self, schemes: &[Arc<Scheme>]) -> Option<(PathBuf, Kept)> {
        let engine = Arc::new(self.engine.unwrap_or_default());
        let mut sheets = Sheets { sheets: Vec::with_capacity(self.sheets.len()), reported: self.reported };
        for packed in self.sheets {
            let scheme = schemes.get(packed.scheme)?.clone();
            if packed.cylinders.iter().any(|cylinder| cylinder.readings.len() != scheme.entries.len()) {
                return None;
            }
            sheets.sheets.push(Arc::new(SurveySheet {
                engine: engine.clone(),
                date: packed.date,
                total_hours: packed.total,
                hours_since_overhaul: packed.since,
                scheme,
                unit: packed.unit,
                temperature: packed.temperature,
                standards: packed.standards,
                cylinders: packed.cylinders,
            }));
        }
        Some((self.path, Kept { print: self.print, sheets }))
    }
}
