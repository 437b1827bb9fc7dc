//! Tables as a workbook (XLSX), and a workbook as rows of texts.
//!
//! Written by one library and read by another of other hands, so that each is a check of the other. A text is
//! written as a text, so nothing becomes a formula; formulas that a file brings along are read as their last value.

use std::collections::BTreeMap;
use std::io::{self, Cursor, Read as _};
use std::path::Path;

use calamine::{DataRef, Reader as _, Xlsx};
use rust_xlsxwriter::{Format, Workbook, XlsxError};

use super::csv_file::add;
use super::table::{Cell, Grid, LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Room, Table};
use records::contained::contained;
use records::diag::Diagnostic;
use records::file;

/// The largest workbook that is read, in bytes.
const LARGEST: u64 = 16 * 1024 * 1024;
/// The most that a workbook may unpack to, in bytes: a hundred thousand rows of readings take about half of it.
const LARGEST_UNPACKED: u64 = 128 * 1024 * 1024;
/// The most parts that a workbook may be packed of.
const MOST_PARTS: usize = 10_000;

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

/// Reads the bytes of a workbook. What it would unpack to is looked at first; then its cells are read one by one, so that
/// one at the far end of a sheet takes no more room than any other.
///
/// # Errors
/// As for [`read`].
pub fn from_bytes(bytes: &[u8]) -> Result<Grid, Diagnostic> {
    contained(|| {
        unpacks(bytes)?;
        cells(bytes)
    })
    .unwrap_or_else(|panic| Err(damaged(panic)))
}

/// Too much of something.
fn too_much(what: &str) -> Diagnostic {
    Diagnostic::error(format!("This workbook has {what} than any readings need."))
        .remedy("Save only the sheet with the readings, or save it as CSV in UTF-8.")
}

fn cells(bytes: &[u8]) -> Result<Grid, Diagnostic> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let names = book.sheet_names();
    let name = names.iter().find(|name| name.eq_ignore_ascii_case("readings")).or(names.first()).cloned();
    let name = name.ok_or_else(|| Diagnostic::error("This workbook has no sheet."))?;
    let mut cells = book.worksheet_cells_reader(&name).map_err(damaged)?;
    let mut rows: BTreeMap<u32, BTreeMap<u32, String>> = BTreeMap::new();
    let mut room = Room::default();
    while let Some(cell) = cells.next_cell().map_err(damaged)? {
        let text = text(cell.get_value());
        if text.is_empty() {
            continue;
        }
        room.take(text.len())?;
        let (row, column) = cell.get_position();
        rows.entry(row).or_default().insert(column, text);
        if rows.len() > MOST_ROWS + 1 {
            return Err(too_much("more rows"));
        }
    }
    let leftmost = rows.values().filter_map(|cells| cells.keys().next()).min().copied().unwrap_or(0);
    let mut grid = Grid { sheet: (names.len() > 1).then_some(name), ..Grid::default() };
    for (row, cells) in rows {
        // As many as reach to the last one that holds anything; with one too many of them the row is refused.
        let mut texts = Vec::new();
        for (column, text) in cells {
            let index = ((column - leftmost) as usize).min(MOST_COLUMNS);
            texts.resize(index, String::new());
            texts.push(text);
        }
        add(&mut grid, row as usize + 1, texts)?;
    }
    whole(grid)
}

/// A grid that has headings.
fn whole(grid: Grid) -> Result<Grid, Diagnostic> {
    if grid.headings.is_empty() {
        return Err(Diagnostic::error("This file is empty.")
            .remedy("Its first line names the columns, such as position, station, axis and reading."));
    }
    Ok(grid)
}

/// Looks what a workbook unpacks to before it is read: a small file may unpack to more than fits, and it may claim to
/// hold more texts than it does.
fn unpacks(bytes: &[u8]) -> Result<(), Diagnostic> {
    // What begins otherwise would be taken for a file of another kind by its reader.
    if !bytes.starts_with(b"PK\x03\x04") {
        return Err(cannot("it is no XLSX file"));
    }
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
    if archive.len() > MOST_PARTS {
        return Err(too_much("more parts"));
    }
    let mut left = LARGEST_UNPACKED;
    for index in 0..archive.len() {
        let file = archive.by_index(index).map_err(damaged)?;
        let strings = file.name().is_ok_and(|name| name.to_ascii_lowercase().ends_with("sharedstrings.xml"));
        let mut part = file.take(left + 1);
        let unpacked = if strings {
            let mut text = Vec::new();
            part.read_to_end(&mut text).map_err(damaged)?;
            claims(&text)?;
            text.len() as u64
        } else {
            io::copy(&mut part, &mut io::sink()).map_err(damaged)?
        };
        left = left.checked_sub(unpacked).ok_or_else(|| too_much("more in it"))?;
    }
    Ok(())
}

/// The reader makes room for as many texts as `uniqueCount` says, before it reads any. Each takes a tag.
fn claims(strings: &[u8]) -> Result<(), Diagnostic> {
    // In UTF-16, or behind a change of letters, the claim could not be found.
    if strings.iter().any(|byte| matches!(byte, 0 | 0x1b)) {
        return Err(cannot("its texts are not in UTF-8"));
    }
    let tags = strings.iter().filter(|byte| **byte == b'<').count();
    let name = b"uniqueCount";
    let places = strings.windows(name.len()).enumerate().filter(|(_, window)| window == name);
    for (at, _) in places {
        let behind = strings.get(at + name.len()..).unwrap_or_default();
        let is_blank = |byte: &&u8| byte.is_ascii_whitespace() || matches!(byte, b'=' | b'"' | b'\'' | b'+');
        let digits = behind.iter().skip_while(is_blank).take_while(|byte| byte.is_ascii_digit());
        let claimed = digits.fold(0_usize, |so_far, digit| {
            so_far.saturating_mul(10).saturating_add(usize::from(digit - b'0'))
        });
        if claimed > tags {
            return Err(cannot("it claims to hold more texts than it does"));
        }
    }
    Ok(())
}

/// What its reader says of it is for those who know how a workbook is built.
fn damaged<E>(_: E) -> Diagnostic {
    cannot("it is damaged, or no program for sheets wrote it")
}

fn cannot(why: &str) -> Diagnostic {
    Diagnostic::error(format!("This workbook cannot be read: {why}."))
        .remedy("Check the name, or save the sheet as CSV in UTF-8.")
}

/// A cell as text, cut where it is too long. A number has the fifteen digits that spreadsheets show: what stands behind
/// them is what binary fractions leave over.
fn text(cell: &DataRef<'_>) -> String {
    // One text may stand in any number of cells: it is cut before it is copied.
    let cut = |text: &str| text.chars().take(LONGEST_CELL + 1).collect::<String>().trim().to_owned();
    match cell {
        DataRef::Empty => String::new(),
        // It is no reading, and not nothing either.
        DataRef::Error(error) => error.to_string(),
        DataRef::String(text) => cut(text),
        DataRef::SharedString(text) => cut(text),
        DataRef::Float(number) => number_text(*number),
        DataRef::Int(number) => number.to_string(),
        DataRef::Bool(truth) => truth.to_string(),
        // A day; the hour that a spreadsheet keeps with it is not meant.
        DataRef::DateTime(moment) if moment.is_datetime() => {
            let (year, month, day, ..) = moment.to_ymd_hms_milli();
            format!("{year:04}-{month:02}-{day:02}")
        }
        DataRef::DateTime(moment) => moment.to_string(),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            let text = cut(text);
            text.split_once(' ').map_or(text.clone(), |(day, _)| day.to_owned())
        }
    }
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

    /// A hundred kilobytes that unpack to more than is read.
    #[test]
    fn what_unpacks_to_too_much_is_not_read() {
        use std::io::Write as _;
        let mut archive = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let packed = zip::write::SimpleFileOptions::default();
        archive.start_file("xl/worksheets/sheet1.xml", packed).expect("begun");
        let blank = vec![b' '; 1024 * 1024];
        for _ in 0..=LARGEST_UNPACKED / (1024 * 1024) {
            archive.write_all(&blank).expect("written");
        }
        let bytes = archive.finish().expect("finished").into_inner();
        assert!((bytes.len() as u64) < LARGEST_UNPACKED / 100);
        assert!(from_bytes(&bytes).unwrap_err().message.contains("more in it than any readings need"));
    }

    #[test]
    fn what_the_texts_claim_is_looked_at() {
        let claim = |text: &str| claims(text.as_bytes());
        for plain in ["<sst uniqueCount=\"2\"><si/></sst>", "<sst count=\"99\">", "<sst uniqueCount='x'>", ""]
        {
            assert!(claim(plain).is_ok(), "{plain}");
        }
        for wrong in [
            "<sst uniqueCount=\"99\"/>",
            "<sst uniqueCount = '99'/>",
            "<sst uniqueCount=\"99999999999999999999999\"/>",
            "<sst uniqueCount=\"1\" ><!-- --><sst uniqueCount=\"99\"/>",
            "<sst unique\u{1b}(BCount=\"99\"/>",
        ] {
            assert!(claim(wrong).is_err(), "{wrong}");
        }
    }
}
