//! A fleet: any number of cylinders in one tidy CSV, one row a reading, judged by one table of limits.
//!
//! The file is read once, from front to back, and memory does not grow with it: what is held is two groups of
//! batches, and the names of the cylinders that went by last. Nothing here decides anything: each cylinder
//! becomes a [`Cylinder`] of exact lengths and goes the way of every other one ([`judging`]).
//!
//! # Columns
//! The file is read as every table of readings is ([`records::tabular`]): the first line names the columns, in any order
//! and by any name that people call them.
//!
//! | column | needed | what it holds |
//! |---|---|---|
//! | `engine` | yes | the engine's serial number |
//! | `overhaul` | yes | its date, or any other text that tells one overhaul from the next |
//! | `cylinder` | yes | the cylinder's serial number; may be empty where `position` is not |
//! | `size` | yes | `standard` or empty; an oversize such as `0.010` |
//! | `station` | yes | the station's name in the table of limits |
//! | `axis` | yes | the axis's label in the table of limits |
//! | `reading`, or else `diameter` | yes | the diameter |
//! | `position` | no | where on the engine it sits |
//! | `hours` | no | hours at the overhaul; passed on as they stand |
//! | `repeat` | no | the number of the repeat; without it, repeats count in the order of their rows |
//! | `unit` | no | `in`, `mm` or another unit of length; empty: that of the heading, or else the table's |
//! | `finished_to` | no | the size that the bore was last finished to |
//! | `looked_over` | no | `yes` or `no`: whether it was looked over by eye, with nothing found |
//!
//! All rows of a cylinder at an overhaul stand together. What belongs to the cylinder (`position`, `hours`,
//! `size`, `finished_to`, `looked_over`) is taken from the first of them; a later one may leave it empty but
//! not say otherwise. A cylinder that comes back later is told as an error, and what came back is not
//! decided; only the last [`REMEMBERED`] cylinders are remembered for this.
//!
//! # Judging
//! A row that cannot be read is told with its line and column, and its cylinder is not decided; all others
//! are judged. Where nobody says whether a cylinder was looked over, it is judged by its readings alone, and
//! that is said beside the outcome ([`Basis`]). The file says nothing of gauges: repeatability is pooled from
//! the repeats of each cylinder, and a reading is as fine as the digits written.

mod assemble;
mod columns;
pub mod json;
mod rows;
#[cfg(feature = "parallel")]
mod run;

use std::io::{self, Read};
use std::sync::Arc;

use judging::{Assessment, Recommendation};
use records::diag::Diagnostic;
use records::kind::{Kind, ToldBy};
use records::limits::Limits;
use records::survey::Cylinder;

use assemble::Assembler;
use rows::{Batch, RowReader};
#[cfg(feature = "parallel")]
pub use run::{FleetFormat, MOST_REPORTED, run};

/// A fleet as a kind of document.
pub const KIND: Kind = Kind {
    words: "a fleet of readings",
    told_by: ToldBy::Columns(&columns::Column::ASKED),
    instead: "Judge it with `borewright judge` and a table of limits behind --limits.",
    check: None,
};

/// How many cylinders back one that comes again is noticed.
pub const REMEMBERED: usize = 65_536;

/// What a cylinder of a fleet is judged by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Its readings: nobody says whether it was looked over.
    ReadingsAlone,
    /// Its readings, and a look that found nothing.
    LookedOver,
    /// Its readings; it has not been looked over yet, so it cannot pass.
    NotLookedOver,
}

impl Basis {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::ReadingsAlone => "readings alone",
            Self::LookedOver => "readings and a look over",
            Self::NotLookedOver => "readings, not looked over",
        }
    }
}

/// A cylinder of a fleet, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct FleetLine {
    /// The line of its first row, counted from 1.
    pub line: u64,
    /// Engine.
    pub engine: String,
    /// Overhaul.
    pub overhaul: String,
    /// Hours as written; may be empty.
    pub hours: String,
    /// The cylinder.
    pub cylinder: Cylinder,
    /// What it is judged by.
    pub basis: Basis,
    /// How it is judged.
    pub assessment: Assessment,
    /// What could not be read of it; at most [`REPORTED_PER_CYLINDER`] of them.
    pub diagnostics: Vec<Diagnostic>,
    /// How many errors it has.
    pub errors: u64,
}

/// How many errors of one cylinder are told one by one; the others are counted.
pub const REPORTED_PER_CYLINDER: usize = 20;

impl FleetLine {
    /// Engine, overhaul and cylinder in words.
    pub fn words(&self) -> String {
        place_words(&self.engine, &self.overhaul, &self.cylinder)
    }
}

/// `engine E-1, overhaul 2025-03-01, cylinder 3 (K-117)`.
fn place_words(engine: &str, overhaul: &str, cylinder: &Cylinder) -> String {
    format!("engine {engine}, overhaul {overhaul}, {}", cylinder.words())
}

/// What a fleet came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Rows read, without the header.
    pub rows: u64,
    /// Cylinders judged.
    pub cylinders: u64,
    /// Serviceable.
    pub serviceable: u64,
    /// To be rebored, one number for each size of the table in its order.
    pub rebore: Vec<u64>,
    /// To be replaced.
    pub replace: u64,
    /// Not decided.
    pub not_decided: u64,
    /// Errors in all.
    pub errors: u64,
    /// Errors that were told one by one.
    pub errors_reported: u64,
    /// The most rows that were held in memory at one time.
    pub most_rows_held: usize,
}

impl Tally {
    fn for_table(limits: &Limits) -> Self {
        Self { rebore: vec![0; limits.sizes.len()], ..Self::default() }
    }

    fn count(&mut self, line: &FleetLine) {
        self.cylinders += 1;
        self.errors += line.errors;
        match line.assessment.recommendation {
            Recommendation::Serviceable => self.serviceable += 1,
            Recommendation::Rebore(size) => {
                if let Some(count) = self.rebore.get_mut(size) {
                    *count += 1;
                }
            }
            Recommendation::Replace => self.replace += 1,
            Recommendation::NotDecided => self.not_decided += 1,
        }
    }
}

/// Why a fleet could not be read to its end.
#[derive(Debug, thiserror::Error)]
pub enum FleetError {
    /// The file: its header, a row without an end, or the medium it is read from.
    #[error("{0}")]
    File(Box<Diagnostic>),
    /// What was to be written could not be.
    #[error("the outcome could not be written: {0}")]
    Write(#[from] io::Error),
}

/// Judges a fleet on this thread and hands each cylinder to `sink`, in the order of the file.
///
/// Notes on the header, such as a column that is not known, go to `notes`. `Tally::errors_reported` counts what
/// the lines carry in their `diagnostics`.
///
/// # Errors
/// [`FleetError::File`] for a header without the columns needed, a row that does not end, or a failure to
/// read; whatever was judged before has been handed over.
pub fn judge_csv(
    input: impl Read,
    limits: Arc<Limits>,
    notes: &mut dyn FnMut(Diagnostic),
    sink: &mut dyn FnMut(FleetLine),
) -> Result<Tally, FleetError> {
    let mut reader = RowReader::open(input, &limits, notes)?;
    let mut batch = Batch::default();
    let mut tally = Tally::for_table(&limits);
    let mut assembler = Assembler::new(limits);
    while reader.fill(&mut batch) {
        tally.most_rows_held = tally.most_rows_held.max(batch.len());
        for piece in batch.pieces() {
            let line = assembler.judge(&batch, piece, reader.columns());
            tally.count(&line);
            tally.errors_reported += line.diagnostics.len() as u64;
            sink(line);
        }
    }
    reader.finish(&mut tally, notes)?;
    Ok(tally)
}

#[cfg(test)]
mod tests;
