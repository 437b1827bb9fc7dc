//! A table as CSV (RFC 4180, UTF-8, commas, a point in numbers), and CSV of any usual kind as rows of texts.

use super::table::{Cell, Grid, LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Table, guarded};
use records::diag::Diagnostic;
use records::tabular::TableReader;

/// The longest row that is read, in bytes: as many cells as a row may have, as long as one may be.
const LONGEST_ROW: usize = MOST_COLUMNS * LONGEST_CELL * 4;

/// A table as the text of a CSV file.
pub fn text(table: &Table) -> String {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let cell = |cell: &Cell| match cell {
        Cell::Empty => String::new(),
        Cell::Text(text) => guarded(text),
        Cell::Number(number) => number.clone(),
    };
    // Writing to memory does not fail, and every row is as long as the headings.
    let rows = std::iter::once(table.columns.clone())
        .chain(table.rows.iter().map(|row| row.iter().map(cell).collect::<Vec<_>>()));
    for row in rows {
        drop(writer.write_record(row));
    }
    writer.into_inner().map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).unwrap_or_default()
}

/// CSV as rows of texts, read by [`TableReader`].
///
/// # Errors
/// No heading, a row that cannot be read, or more than can be meant.
pub fn read(text: impl AsRef<[u8]>) -> Result<Grid, Diagnostic> {
    let mut reader = TableReader::open(text.as_ref(), LONGEST_ROW)?;
    let mut grid = Grid { delimiter: Some(reader.delimiter()), ..Grid::default() };
    let (headings, at) = reader.headings();
    add(&mut grid, at.line, headings.to_vec())?;
    while let Some(row) = reader.next_row()? {
        let line = row.position(None).line;
        let cell = |index| String::from_utf8_lossy(row.cell(index)).chars().take(LONGEST_CELL + 1).collect();
        let cells = (0..row.count()).map(cell).collect();
        grid.not_utf8.extend(row.not_utf8().map(|(column, why)| (line, column, why)));
        add(&mut grid, line, cells)?;
    }
    Ok(grid)
}

/// Adds a row: the first one that holds anything is the headings'.
///
/// # Errors
/// If there are more rows than can be meant.
pub(super) fn add(grid: &mut Grid, line: usize, cells: Vec<String>) -> Result<(), Diagnostic> {
    if cells.iter().all(|cell| cell.trim().is_empty()) {
        return Ok(());
    }
    if cells.len() > MOST_COLUMNS {
        return Err(Diagnostic::error(format!("Row {line} has more than {MOST_COLUMNS} columns."))
            .remedy("It is hardly a table of readings: check the name, and what parts its columns."));
    }
    for cell in &cells {
        grid.room.take(cell.len())?;
    }
    if grid.headings.is_empty() {
        grid.headings = cells;
    } else if grid.rows.len() >= MOST_ROWS {
        return Err(Diagnostic::error(format!("This file has more than {MOST_ROWS} rows."))
            .remedy("It is hardly the readings of one overhaul: check the name."));
    } else {
        grid.rows.push((line, cells));
    }
    Ok(())
}
