//! Tables as a workbook (XLSX), and a workbook as rows of texts.
//!
//! Written by one library and read by another of other hands, so that each is a check of the other. A text is
//! written as a text, so nothing becomes a formula; formulas that a file brings along are read as their last value.

use std::io::{self, Cursor, Read as _};
use std::path::Path;

use calamine::{Data, Reader as _, Xlsx};
use rust_xlsxwriter::{Format, Workbook, XlsxError};

use super::csv_file::{add, whole};
use super::table::{Cell, Grid, LONGEST_CELL, Table};
use crate::diag::Diagnostic;
use crate::file;

/// The largest workbook that is read, in bytes.
const LARGEST: u64 = 16 * 1024 * 1024;
/// The most that a workbook may unpack to, in bytes.
const LARGEST_UNPACKED: u64 = 256 * 1024 * 1024;

/// Tables as the bytes of a workbook, one sheet each. The same tables give the same bytes.
///
/// # Errors
/// If they cannot be made into one, such as for having too many rows.
pub fn bytes(tables: &[Table]) -> Result<Vec<u8>, Diagnostic> {
    make(tables).map_err(|error| {
        Diagnostic::error(format!("The workbook cannot be made: {error}.")).remedy("Write it as CSV.")
    })
}

fn make(tables: &[Table]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // Without a day of its own: the time it was made would change the bytes.
    let made = rust_xlsxwriter::ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&rust_xlsxwriter::DocProperties::new().set_creation_datetime(&made));
    let heading = Format::new().set_bold();
    for table in tables {
        let sheet = book.add_worksheet();
        sheet.set_name(table.name)?;
        sheet.set_freeze_panes(1, 0)?;
        for (column, name) in (0_u16..).zip(&table.columns) {
            sheet.write_string_with_format(0, column, name, &heading)?;
            let longest = table.rows.iter().filter_map(|row| row.get(usize::from(column))).map(length).max();
            let width = longest.unwrap_or(0).max(name.chars().count()).clamp(6, 60);
            sheet.set_column_width(column, width as f64 + 2.0)?;
        }
        for (row, cells) in (1_u32..).zip(&table.rows) {
            for (column, cell) in (0_u16..).zip(cells) {
                match cell {
                    Cell::Empty => {}
                    Cell::Text(text) => {
                        sheet.write_string(row, column, text)?;
                    }
                    Cell::Number(number) => match number.parse::<f64>() {
                        Ok(value) => {
                            sheet.write_number(row, column, value)?;
                        }
                        Err(_) => {
                            sheet.write_string(row, column, number)?;
                        }
                    },
                }
            }
        }
    }
    book.save_to_buffer()
}

fn length(cell: &Cell) -> usize {
    match cell {
        Cell::Empty => 0,
        Cell::Text(text) | Cell::Number(text) => text.chars().count(),
    }
}

/// Reads a workbook: its sheet called Readings, or else its first one.
///
/// # Errors
/// If it is too large, no workbook, or empty.
pub fn read(path: &Path) -> Result<Grid, Diagnostic> {
    let (bytes, _) = file::read_bytes(path, LARGEST)?;
    from_bytes(&bytes)
}

/// Reads the bytes of a workbook.
///
/// # Errors
/// As for [`read`].
pub fn from_bytes(bytes: &[u8]) -> Result<Grid, Diagnostic> {
    unpacks(bytes)?;
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|error| cannot(&error))?;
    let names = book.sheet_names();
    let name = names.iter().find(|name| name.eq_ignore_ascii_case("readings")).or(names.first()).cloned();
    let name = name.ok_or_else(|| Diagnostic::error("This workbook has no sheet."))?;
    let sheet = book.worksheet_range(&name).map_err(|error| cannot(&error))?;
    let first = sheet.start().map_or(0, |(row, _)| row as usize);
    let mut grid = Grid { sheet: (names.len() > 1).then_some(name), ..Grid::default() };
    for (index, row) in sheet.rows().enumerate() {
        add(&mut grid, first + index + 1, row.iter().map(text).collect())?;
    }
    whole(grid)
}

/// Looks how much a workbook unpacks to before it is read: a small file may unpack to more than fits.
fn unpacks(bytes: &[u8]) -> Result<(), Diagnostic> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| cannot(&error))?;
    let mut left = LARGEST_UNPACKED;
    for index in 0..archive.len() {
        let file = archive.by_index(index).map_err(|error| cannot(&error))?;
        let unpacked = io::copy(&mut file.take(left + 1), &mut io::sink()).map_err(|error| cannot(&error))?;
        left = left.checked_sub(unpacked).ok_or_else(|| {
            Diagnostic::error("This workbook unpacks to more than any readings need.")
                .remedy("Save only the sheet with the readings.")
        })?;
    }
    Ok(())
}

fn cannot(error: &dyn std::fmt::Display) -> Diagnostic {
    Diagnostic::error(format!("This workbook cannot be read: {error}."))
        .remedy("Check the name, or save the sheet as CSV in UTF-8.")
}

/// A cell as text. A number has the fifteen digits that spreadsheets show: what stands behind them is what binary
/// fractions leave over.
fn text(cell: &Data) -> String {
    let text = match cell {
        Data::Empty => String::new(),
        // It is no reading, and not nothing either.
        Data::Error(error) => error.to_string(),
        Data::String(text) => text.trim().to_owned(),
        Data::Float(number) => number_text(*number),
        Data::Int(number) => number.to_string(),
        Data::Bool(truth) => truth.to_string(),
        // A day; the hour that a spreadsheet keeps with it is not meant.
        Data::DateTime(moment) if moment.is_datetime() => {
            let (year, month, day, ..) = moment.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        other => {
            let text = other.to_string();
            // A day, without the hour that a spreadsheet keeps with it.
            text.split_once(' ').map_or(text.clone(), |(day, _)| day.to_owned())
        }
    };
    text.chars().take(LONGEST_CELL + 1).collect()
}

/// The shortest decimal that agrees with a number in fifteen digits.
fn number_text(number: f64) -> String {
    if !number.is_finite() {
        return String::new();
    }
    let rounded: f64 = format!("{number:.14e}").parse().unwrap_or(number);
    rounded.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_binary_fractions_leave_over_is_no_digit() {
        assert_eq!(number_text(0.1 + 0.2), "0.3");
        assert_eq!(number_text(5.1255), "5.1255");
        assert_eq!(number_text(3.0), "3");
        assert_eq!(number_text(-0.0003), "-0.0003");
        assert_eq!(number_text(f64::NAN), "");
    }

    /// What a spreadsheet makes of a CSV of ours: the day becomes a number that is shown as a day.
    #[test]
    fn a_day_is_read_as_a_day() {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        let as_day = rust_xlsxwriter::Format::new().set_num_format("dd/mm/yyyy");
        let day = rust_xlsxwriter::ExcelDateTime::from_ymd(2023, 3, 14).expect("a day");
        for (row, text) in ["overhaul", "2023-03-14"].iter().enumerate() {
            sheet.write(row as u32, 0, *text).expect("written");
            sheet.write(row as u32, 1, "x").expect("written");
        }
        sheet.write_with_format(2, 0, &day, &as_day).expect("written");
        sheet.write(2, 1, "y").expect("written");
        let bytes = book.save_to_buffer().expect("a workbook");
        let grid = from_bytes(&bytes).expect("read");
        let days: Vec<_> = grid.rows.iter().map(|(_, cells)| cells[0].as_str()).collect();
        assert_eq!(days, ["2023-03-14", "2023-03-14"]);
    }

    #[test]
    fn what_is_no_workbook_is_told() {
        for bytes in [&b""[..], b"PK\x03\x04", b"position,station"] {
            assert!(from_bytes(bytes).unwrap_err().message.contains("cannot be read"));
        }
    }
}
