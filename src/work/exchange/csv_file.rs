//! A table as CSV (RFC 4180, UTF-8, commas, a point in numbers), and CSV of any usual kind as rows of texts.

use std::borrow::Cow;

use super::table::{Cell, Grid, LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Table, guarded, unguarded};
use records::diag::{Diagnostic, TextPosition};
use records::heading;

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

/// CSV as rows of texts: separated by commas, semicolons or tabs, with or without a byte-order mark, lines ended in
/// any way. Empty lines are passed over.
///
/// # Errors
/// No heading, a row that cannot be read, or more than can be meant.
pub fn read(text: &str) -> Result<Grid, Diagnostic> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // Lines that end in a carriage return alone are counted like the others.
    let ended = if text.contains('\n') { Cow::Borrowed(text) } else { Cow::Owned(text.replace('\r', "\n")) };
    let text = ended.as_ref();
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let delimiter = heading::delimiter(first.as_bytes());
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut grid = Grid { delimiter: Some(delimiter), ..Grid::default() };
    for row in reader.records() {
        let row = row.map_err(|error| {
            let line = heading::row_line(text, error.position(), None);
            Diagnostic::error("This row cannot be read.")
                .on(Some(TextPosition { line, column: 1 }))
                .remedy("Save the file as CSV in UTF-8.")
        })?;
        let line = heading::row_line(text, row.position(), None);
        let cells = row.iter().map(|cell| cell.chars().take(LONGEST_CELL + 1).collect::<String>());
        add(&mut grid, line, cells.map(|cell| unguarded(cell.trim_matches(' ')).to_owned()).collect())?;
    }
    whole(grid)
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

/// A grid that has headings.
pub(super) fn whole(grid: Grid) -> Result<Grid, Diagnostic> {
    if grid.headings.is_empty() {
        return Err(Diagnostic::error("This file is empty.")
            .remedy("Its first line names the columns, such as position, station, axis and reading."));
    }
    Ok(grid)
}
