//! A table of texts and numbers on its way out, and a grid of texts on its way in.

use quantities::length::{Mean, Unit};
use records::diag::Diagnostic;
use records::tabular::begins_a_formula;
use records::wording::grouped;

/// The most rows that are read of a file: more readings than any engine has.
pub const MOST_ROWS: usize = 100_000;
/// The most columns that a file may have.
pub const MOST_COLUMNS: usize = 500;
/// The most characters that a cell may have. One more is read, so that a longer one is seen.
pub const LONGEST_CELL: usize = 2_000;

/// The most cells that a file may have, empty ones before the last of a row as well.
const MOST_CELLS: usize = 2_000_000;
/// The most text that its cells may hold, in bytes.
const MOST_TEXT: usize = 64 * 1024 * 1024;

/// The room that is left for the cells of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Room {
    cells: usize,
    text: usize,
}

impl Default for Room {
    fn default() -> Self {
        Self { cells: MOST_CELLS, text: MOST_TEXT }
    }
}

impl Room {
    /// Takes room for a cell with so many bytes of text.
    ///
    /// # Errors
    /// If there is none left.
    pub(super) fn take(&mut self, bytes: usize) -> Result<(), Diagnostic> {
        let left = self.cells.checked_sub(1).zip(self.text.checked_sub(bytes));
        let (cells, text) = left.ok_or_else(|| {
            Diagnostic::error(format!(
                "This file has more than {} cells, or more than {} MiB of text in them.",
                grouped(MOST_CELLS),
                MOST_TEXT / (1024 * 1024)
            ))
            .remedy("It is hardly the readings of one overhaul: check the name.")
        })?;
        *self = Self { cells, text };
        Ok(())
    }
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A text, never a formula, whatever it begins with.
    Text(String),
    /// A number as decimal text with a point.
    Number(String),
}

impl Cell {
    /// A text; an empty one is no cell.
    pub fn text(text: impl Into<String>) -> Self {
        let text = text.into();
        if text.is_empty() { Self::Empty } else { Self::Text(text) }
    }

    /// A plain number.
    pub fn number(number: impl ToString) -> Self {
        Self::Number(number.to_string())
    }

    /// A length as a number of a unit: exact, or to twelve decimals.
    pub fn length(length: impl Into<Mean>, unit: Unit) -> Self {
        Self::Number(length.into().decimal_text(unit).0)
    }

    /// What may be there, or nothing.
    pub fn or_empty(cell: Option<Self>) -> Self {
        cell.unwrap_or(Self::Empty)
    }
}

/// A table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Its name.
    pub name: &'static str,
    /// The headings, with the unit of their numbers.
    pub columns: Vec<String>,
    /// The rows, as long as the headings.
    pub rows: Vec<Vec<Cell>>,
}

/// A table as it was read: texts, and the line that each row stands on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Grid {
    /// The headings.
    pub headings: Vec<String>,
    /// The rows: line in the file or sheet, counted from 1, and its cells.
    pub rows: Vec<(usize, Vec<String>)>,
    /// Cells that are not UTF-8 text, and so hold other letters than the file: line, column and what is wrong.
    pub(super) not_utf8: Vec<(usize, usize, String)>,
    /// What parts the columns; none in a workbook.
    pub delimiter: Option<u8>,
    /// The sheet of a workbook that it is, where that has several.
    pub sheet: Option<String>,
    /// The room that is left for further rows.
    pub(super) room: Room,
}

/// Is a text a plain number, perhaps with a unit of length, which no spreadsheet takes for a formula?
fn is_number(text: &str) -> bool {
    let text = text.strip_suffix(" in").or(text.strip_suffix(" mm")).unwrap_or(text);
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
        && digits.matches('.').count() <= 1
}

/// A text so that no spreadsheet takes it for a formula when it opens a CSV file: with an apostrophe in front.
pub fn guarded(text: &str) -> String {
    if begins_a_formula(text.as_bytes()) && !is_number(text) { format!("'{text}") } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use records::tabular::unguarded;

    #[test]
    fn a_formula_is_kept_from_being_one_and_a_number_is_let_alone() {
        for text in ["=1+1", "@SUM(A1)", "+1+cmd|' /C calc'!A0", "-2+3", "\tx", "'=1"] {
            assert!(guarded(text).starts_with('\''), "{text}");
        }
        for text in ["+21", "+0.015 in", "-2 mm", "-0.0003", "5.1255", "plain", "'tis", ""] {
            assert_eq!(guarded(text), text);
        }
    }

    proptest! {
        #[test]
        fn guarding_loses_nothing(text in "['=+@\\-0-9a-z. \t]{0,12}") {
            let there = guarded(&text);
            prop_assert_eq!(unguarded(there.as_bytes()), text.as_bytes());
        }
    }
}
