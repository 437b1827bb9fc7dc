//! Readings between programs: out as tidy tables in CSV or in a workbook (XLSX), and in again.
//!
//! *Out* makes three [`table::Table`]s of an overhaul: readings, figures, outcomes. A reading stands there twice, as the
//! text that was typed and as the diameter it stands for, so that nothing is lost and nothing need be computed again.
//! *In* reads any table with one reading in each row: the columns are found by their headings ([`mapping`]), shown
//! before anything is taken over, and every row that cannot be taken is told with its line and its reason
//! ([`import`]). What is taken goes into a record as one [`crate::session::Command::Import`].
//!
//! | file | what it holds |
//! |---|---|
//! | `table` | a table of texts and numbers, and its cells as CSV keeps them |
//! | `readings`, `figures`, `outcomes` | the tables of an overhaul |
//! | `csv_file` | a table as CSV, and CSV as rows of texts |
//! | `book` | tables as a workbook, and a workbook as rows of texts; feature `exchange` |
//! | `mapping` | which column is what |
//! | `import` | rows of texts as readings of an overhaul |

#[cfg(feature = "exchange")]
pub mod book;
pub mod csv_file;
pub mod figures;
pub mod import;
pub mod mapping;
pub mod outcomes;
pub mod readings;
pub mod table;

use std::path::Path;

use crate::evaluation::Evaluation;
use records::diag::Diagnostic;
use records::kind::{Kind, ToldBy};
use records::record::schema::{EngineRecord, Overhaul};
use table::{Grid, Table};

/// The readings of an overhaul in a table, as a kind of document.
pub const KIND: Kind = Kind {
    words: "a table of readings",
    told_by: ToldBy::Columns(&mapping::ASKED),
    instead: "Take it over into an engine record with `borewright import`.",
    check: None,
};

/// An overhaul to be written.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    /// The record.
    pub record: &'a EngineRecord,
    /// The overhaul as written.
    pub overhaul: &'a Overhaul,
    /// The same, evaluated.
    pub evaluation: &'a Evaluation,
}

/// What can be written of an overhaul.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Part {
    /// Every reading.
    #[default]
    Readings,
    /// Every figure.
    Figures,
    /// The outcome of every cylinder.
    Outcomes,
}

impl Part {
    /// All of them, in the order of a workbook's sheets.
    pub const ALL: [Self; 3] = [Self::Readings, Self::Figures, Self::Outcomes];

    /// Its name, which is also that of its sheet.
    pub fn words(self) -> &'static str {
        match self {
            Self::Readings => "Readings",
            Self::Figures => "Figures",
            Self::Outcomes => "Outcomes",
        }
    }

    /// Its table.
    pub fn table(self, source: Source<'_>) -> Table {
        match self {
            Self::Readings => readings::table(source),
            Self::Figures => figures::table(source),
            Self::Outcomes => outcomes::table(source),
        }
    }
}

/// Does a name end in `.xlsx`?
pub fn is_book(path: &Path) -> bool {
    has_ending(path, "xlsx")
}

fn has_ending(path: &Path, wanted: &str) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(wanted))
}

/// An overhaul as the bytes of a file, as the ending of its name says: `part` as CSV, or all as a workbook.
///
/// # Errors
/// If the name ends in neither, or a workbook cannot be made.
pub fn written(path: &Path, part: Part, source: Source<'_>) -> Result<Vec<u8>, Diagnostic> {
    if is_book(path) {
        let tables = Part::ALL.map(|part| part.table(source));
        return book_bytes(&tables).map_err(|error| error.in_file(path));
    }
    if !has_ending(path, "csv") {
        return Err(Diagnostic::error("Readings are written as CSV or as a workbook.")
            .remedy("End the name in .csv or .xlsx.")
            .in_file(path));
    }
    Ok(csv_file::text(&part.table(source)).into_bytes())
}

#[cfg(feature = "exchange")]
fn book_bytes(tables: &[Table]) -> Result<Vec<u8>, Diagnostic> {
    book::bytes(tables)
}

#[cfg(not(feature = "exchange"))]
fn book_bytes(_: &[Table]) -> Result<Vec<u8>, Diagnostic> {
    Err(no_books())
}

/// What a build without workbooks says.
#[cfg(not(feature = "exchange"))]
fn no_books() -> Diagnostic {
    Diagnostic::error("This program was built without workbooks (feature `exchange`).")
        .remedy("Use CSV: save the sheet as CSV in the program it comes from.")
}

/// Reads a file of readings as rows of texts: a workbook by the ending of its name, anything else as CSV.
///
/// # Errors
/// If it cannot be read, or holds no table.
pub fn read(path: &Path) -> Result<Grid, Diagnostic> {
    if is_book(path) {
        #[cfg(feature = "exchange")]
        return book::read(path).map_err(|error| error.in_file(path));
        #[cfg(not(feature = "exchange"))]
        return Err(no_books().in_file(path));
    }
    let (bytes, _) = records::file::read_bytes(path, records::file::LARGEST)?;
    csv_file::read(bytes).map_err(|error| error.in_file(path))
}

#[cfg(test)]
mod tests;
