//! Tables of readings as other programs write them: one reader for a fleet, for readings to import and for a gauge
//! study, so that what one of them takes the others take.
//!
//! | to | where |
//! |---|---|
//! | tell encoding, line ends and separator, and take rows apart | [`TableReader`] |
//! | have a cell, and its line and column in the file | [`Row`] |
//! | know a column by what people call it, and find those that are asked for | [`heading`] |
//! | read a number in the unit that it, its row or its heading names | [`number`] |
//!
//! A table is a text in UTF-8, with or without a byte-order mark, its lines ended in any way. Its first line names the
//! columns; commas, semicolons or tabs part them, whichever that line has most of. A cell may stand in quotation marks
//! (RFC 4180). A decimal sign is a point or a comma, in each cell for itself; where commas part the columns, a number
//! with a comma stands in quotation marks. Blank rows are passed over, and so are remarks: lines that begin with `#`,
//! above the line of headings, or below it with a blank behind that sign and not as many cells as there are columns.
//!
//! A row without quotation marks is only parted, which keeps a stream of millions of them fast; any other is taken apart
//! by `csv-core`. Memory is bounded by the longest row.

pub mod heading;
pub mod number;

use std::io::{BufRead as _, BufReader, Chain, Cursor, Read};

use crate::diag::{Diagnostic, TextPosition};
use crate::file;
use crate::wording::visible;

/// The most characters of a heading that are kept.
const LONGEST_HEADING: usize = 2_000;

/// What to do about letters that are not UTF-8.
pub const SAVE_AS_UTF8: &str = "Save the file as UTF-8.";

/// A text as it is shown in a message: at most so many characters, hidden letters made visible.
pub fn shown(cell: &[u8], most: usize) -> String {
    let cell = cell.trim_ascii();
    if cell.len() <= most && cell.iter().all(|byte| (b' '..=b'~').contains(byte)) {
        return String::from_utf8_lossy(cell).into_owned();
    }
    let long = cell.get(..4 * most).unwrap_or(cell);
    visible(&String::from_utf8_lossy(long).chars().take(most).collect::<String>()).into_owned()
}

/// Does a text begin like a formula of a spreadsheet, perhaps behind apostrophes?
pub fn begins_a_formula(text: &[u8]) -> bool {
    let behind = text.iter().find(|byte| **byte != b'\'');
    behind.is_some_and(|byte| matches!(byte, b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r'))
}

/// A cell without the apostrophe that keeps a text from being a formula.
#[inline]
pub fn unguarded(cell: &[u8]) -> &[u8] {
    match cell {
        [b'\'', rest @ ..] if begins_a_formula(rest) => rest,
        _ => cell,
    }
}

/// A row taken apart into its cells.
#[derive(Debug, Default)]
struct Cells {
    /// The cells with one byte between each and the next.
    text: Vec<u8>,
    /// Where each cell ends in the text.
    ends: Vec<u32>,
    /// Where each cell begins in the file: lines below the row's first, and characters from 1. Only for a row with
    /// quotation marks; in any other the text itself shows it.
    places: Vec<(u32, u32)>,
}

impl Cells {
    fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
        self.places.clear();
    }

    /// Takes a line without quotation marks apart.
    fn plain(&mut self, line: &[u8], delimiter: u8) {
        self.clear();
        self.text.extend_from_slice(line);
        // A row is shorter than 4 GiB.
        let ends = line.iter().enumerate().filter(|&(_, &byte)| byte == delimiter);
        self.ends.extend(ends.map(|(end, _)| end as u32));
        self.ends.push(line.len() as u32);
    }
}

/// A row of a table: its cells, and where they stand in the file.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    line: u64,
    text: &'a [u8],
    ends: &'a [u32],
    places: Option<&'a [(u32, u32)]>,
}

/// What a row is kept as: the text of its cells, where each ends in it, and where each begins in the file if that does
/// not show.
pub type RowParts<'a> = (&'a [u8], &'a [u32], Option<&'a [(u32, u32)]>);

impl<'a> Row<'a> {
    /// From what [`Self::parts`] gave.
    #[inline]
    pub fn new(line: u64, (text, ends, places): RowParts<'a>) -> Self {
        Self { line, text, ends, places }
    }

    /// The text of its cells with one byte between each and the next, where each ends in it, and where each begins in
    /// the file if that does not show: for whoever keeps rows.
    #[inline]
    pub fn parts(&self) -> RowParts<'a> {
        (self.text, self.ends, self.places)
    }

    /// Its first line in the file, counted from 1.
    #[inline]
    pub fn line(&self) -> u64 {
        self.line
    }

    /// How many cells it has.
    #[inline]
    pub fn count(&self) -> usize {
        self.ends.len()
    }

    /// A cell as it stands there, without its quotation marks.
    #[inline]
    fn raw(&self, index: usize) -> Option<&'a [u8]> {
        let end = *self.ends.get(index)? as usize;
        let start = match index.checked_sub(1) {
            Some(before) => *self.ends.get(before)? as usize + 1,
            None => 0,
        };
        self.text.get(start..end)
    }

    /// A cell without blanks around it; empty if the row does not have it.
    #[inline]
    pub fn cell(&self, index: usize) -> &'a [u8] {
        unguarded(self.raw(index).unwrap_or_default().trim_ascii())
    }

    /// A cell as text.
    ///
    /// # Errors
    /// What is wrong with it, if it is not UTF-8; then [`SAVE_AS_UTF8`] says what to do.
    #[inline]
    pub fn utf8(&self, index: usize) -> Result<&'a str, String> {
        let cell = self.cell(index);
        std::str::from_utf8(cell).map_err(|_| format!("`{}` is not UTF-8 text", shown(cell, 40)))
    }

    /// The cells that are not UTF-8 text, and what is to be said of each.
    pub fn not_utf8(self) -> impl Iterator<Item = (usize, String)> {
        let count = if std::str::from_utf8(self.text).is_ok() { 0 } else { self.count() };
        (0..count).filter_map(move |index| Some((index, self.utf8(index).err()?)))
    }

    /// The text of the first `count` cells, with what parts them; `None` if there are none or not so many.
    #[inline]
    pub fn front(&self, count: usize) -> Option<&'a [u8]> {
        // Between quotation marks may stand what parts the cells elsewhere.
        if self.places.is_some() {
            return None;
        }
        let last = *self.ends.get(count.checked_sub(1)?)?;
        self.text.get(..last as usize)
    }

    /// The first cell with more bytes than `most`.
    pub fn overlong(&self, most: usize) -> Option<usize> {
        if self.text.len() <= most {
            return None;
        }
        (0..self.count()).find(|&index| self.raw(index).is_some_and(|cell| cell.len() > most))
    }

    /// Line and column of a cell, the column in characters; of the row without one.
    pub fn position(&self, index: Option<usize>) -> TextPosition {
        let line = usize::try_from(self.line).unwrap_or(usize::MAX);
        let Some(index) = index else { return TextPosition { line, column: 1 } };
        if let Some(places) = self.places {
            let (down, column) = places.get(index).copied().unwrap_or((0, 1));
            return TextPosition { line: line.saturating_add(down as usize), column: column as usize };
        }
        let before = (0..index).filter_map(|index| self.raw(index));
        let column = 1 + before.map(|cell| String::from_utf8_lossy(cell).chars().count() + 1).sum::<usize>();
        TextPosition { line, column }
    }

    fn is_blank(&self, delimiter: u8) -> bool {
        self.text.iter().all(|&byte| byte == delimiter || byte.is_ascii_whitespace())
    }
}

/// Why a row has not the columns that the line of headings names, and what to do. Cells beyond them count where they
/// hold anything; behind a comma an empty one counts as well, as it may end a number with a decimal comma.
pub fn does_not_fit<C: AsRef<[u8]>>(
    cells: &[C],
    columns: usize,
    delimiter: Option<u8>,
) -> Option<(String, &'static str)> {
    let commas = delimiter == Some(b',');
    let beyond = cells.get(columns..).unwrap_or_default();
    if beyond.iter().all(|cell| !commas && cell.as_ref().trim_ascii().is_empty()) {
        return None;
    }
    let remedy = if commas {
        "Put a number with a decimal comma, such as 130,19, in quotation marks, or part the columns by semicolons."
    } else {
        "Give every column a heading."
    };
    Some((format!("the row has {} columns, the header has {columns}", cells.len()), remedy))
}

/// Reads a table row by row.
#[derive(Debug)]
pub struct TableReader<R> {
    input: Chain<Cursor<Vec<u8>>, BufReader<R>>,
    /// What ends a line: LF, perhaps behind a CR; CR in a file that has no LF.
    line_end: u8,
    delimiter: u8,
    longest: usize,
    /// Bytes and lines read so far.
    bytes: u64,
    lines: u64,
    /// The last line, without its end, whether a CR stood before its LF, and whether it had an end.
    line: Vec<u8>,
    after_cr: bool,
    had_end: bool,
    cells: Cells,
    row_line: u64,
    quoted: csv_core::Reader,
    headings: Vec<String>,
    heading_line: usize,
}

impl<R: Read> TableReader<R> {
    /// Begins to read, up to the line of headings. `longest` is the most bytes that a row may have.
    ///
    /// # Errors
    /// If it cannot be read, is no text, or holds nothing.
    pub fn open(input: R, longest: usize) -> Result<Self, Diagnostic> {
        let mut input = BufReader::with_capacity(64 * 1024, input);
        let mut first = Vec::new();
        (&mut input)
            .take(longest as u64 + 1)
            .read_until(b'\n', &mut first)
            .map_err(|error| cannot_be_read(&error))?;
        if let Some(refused) = file::no_text(&first) {
            return Err(refused);
        }
        let line_end = if first.last() != Some(&b'\n') && first.contains(&b'\r') { b'\r' } else { b'\n' };
        let mark = if first.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
        first.drain(..mark);
        let mut reader = Self {
            input: Cursor::new(first).chain(input),
            line_end,
            delimiter: b',',
            longest,
            bytes: mark as u64,
            lines: 0,
            line: Vec::new(),
            after_cr: false,
            had_end: false,
            cells: Cells::default(),
            row_line: 0,
            quoted: csv_core::Reader::new(),
            headings: Vec::new(),
            heading_line: 1,
        };
        if !reader.advance()? {
            return Err(Diagnostic::error("the file is empty.")
                .remedy("Its first line names the columns; below it stands one reading in each row."));
        }
        let row = reader.row();
        let heading =
            |index| String::from_utf8_lossy(row.cell(index)).chars().take(LONGEST_HEADING).collect();
        let headings = (0..row.count()).map(heading).collect();
        reader.heading_line = row.position(None).line;
        reader.headings = headings;
        Ok(reader)
    }

    /// The headings, and where they stand.
    pub fn headings(&self) -> (&[String], TextPosition) {
        (&self.headings, TextPosition { line: self.heading_line, column: 1 })
    }

    /// What parts the columns.
    pub fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// How many bytes have been read so far.
    pub fn bytes_read(&self) -> u64 {
        self.bytes
    }

    /// The last row that was read.
    #[inline]
    pub fn row(&self) -> Row<'_> {
        let Cells { text, ends, places } = &self.cells;
        Row { line: self.row_line, text, ends, places: (!places.is_empty()).then_some(places) }
    }

    /// Reads the next row; `None` behind the last one.
    ///
    /// # Errors
    /// If it cannot be read, or a row does not end. Nothing that follows can be read.
    pub fn next_row(&mut self) -> Result<Option<Row<'_>>, Diagnostic> {
        Ok(if self.advance()? { Some(self.row()) } else { None })
    }

    /// Goes on to the next row that is neither blank nor a remark.
    fn advance(&mut self) -> Result<bool, Diagnostic> {
        loop {
            self.row_line = self.lines + 1;
            if !self.next_line(self.longest)? {
                return Ok(false);
            }
            if self.line.first() == Some(&b'#') && self.is_remark() {
                continue;
            }
            if self.headings.is_empty() && !self.line.trim_ascii().is_empty() {
                self.delimiter = heading::delimiter(&self.line);
                let mut builder = csv_core::ReaderBuilder::new();
                builder.delimiter(self.delimiter).terminator(csv_core::Terminator::Any(b'\n'));
                self.quoted = builder.build();
            }
            if self.line.contains(&b'"') {
                self.quoted_row()?;
            } else {
                self.cells.plain(&self.line, self.delimiter);
            }
            // Spreadsheets leave rows of nothing but commas.
            if !self.row().is_blank(self.delimiter) {
                return Ok(true);
            }
        }
    }

    /// Is the line, which begins with `#`, no row? A cylinder may be called `#3`.
    fn is_remark(&self) -> bool {
        let parted = self.line.iter().filter(|&&byte| byte == self.delimiter).count();
        let blank = self.line.get(1).is_none_or(u8::is_ascii_whitespace);
        self.headings.is_empty() || parted == 0 || blank && parted + 1 != self.headings.len()
    }

    /// Reads the next line; false behind the last one.
    fn next_line(&mut self, longest: usize) -> Result<bool, Diagnostic> {
        self.line.clear();
        let mut input = (&mut self.input).take(longest as u64 + 1);
        let count =
            input.read_until(self.line_end, &mut self.line).map_err(|error| cannot_be_read(&error))?;
        self.bytes += count as u64;
        self.lines += 1;
        self.had_end = self.line.last() == Some(&self.line_end);
        if self.had_end {
            self.line.pop();
        } else if count > longest {
            return Err(self.without_end());
        }
        self.after_cr = self.line.last() == Some(&b'\r');
        if self.after_cr {
            self.line.pop();
        }
        Ok(count > 0)
    }

    /// Takes a row with quotation marks apart; it may go on over several lines.
    fn quoted_row(&mut self) -> Result<(), Diagnostic> {
        self.cells.clear();
        let (mut down, mut begins) = (0, true);
        loop {
            let Cells { text, ends, places } = &mut self.cells;
            // As it stood there: an end of a line within quotation marks is kept.
            self.line.extend_from_slice(if self.after_cr { b"\r\n" } else { b"\n" });
            let (mut rest, mut column) = (self.line.as_slice(), 1);
            // Made once a line: no byte comes to more than one.
            let mut filled = text.len();
            text.resize(filled + rest.len() + 1, 0);
            while !rest.is_empty() {
                if begins {
                    places.push((down, column));
                }
                let room = text.get_mut(filled..).unwrap_or_default();
                let (result, read, written) = self.quoted.read_field(rest, room);
                filled += written;
                let done = rest.get(..read).unwrap_or_default();
                rest = rest.get(read..).unwrap_or_default();
                // Bytes that continue a character are none of their own.
                column += done.iter().map(|byte| u32::from(byte & 0xc0 != 0x80)).sum::<u32>();
                let csv_core::ReadFieldResult::Field { record_end } = result else {
                    begins = false;
                    break;
                };
                filled = filled.saturating_sub(usize::from(record_end && self.after_cr));
                ends.push(filled as u32);
                if record_end {
                    text.truncate(filled);
                    return Ok(());
                }
                if let Some(between) = text.get_mut(filled) {
                    *between = self.delimiter;
                }
                filled += 1;
                begins = true;
            }
            text.truncate(filled);
            down += 1;
            let room = self.longest.saturating_sub(self.cells.text.len());
            let had_end = self.had_end;
            if !self.next_line(room)? {
                let Cells { text, ends, .. } = &mut self.cells;
                let open = ends.last().map_or(0, |end| *end as usize + 1);
                // An inch mark in the last cell of all opens nothing.
                if text.get(open..).is_some_and(|cell| cell.trim_ascii().is_empty()) {
                    if !had_end {
                        text.pop();
                    }
                    ends.push(text.len() as u32);
                    return Ok(());
                }
                return Err(self.without_end());
            }
        }
    }

    fn without_end(&self) -> Diagnostic {
        let longest = self.longest;
        Diagnostic::error(format!("the row that begins here does not end within {longest} bytes."))
            .on(Some(TextPosition { line: usize::try_from(self.row_line).unwrap_or(usize::MAX), column: 1 }))
            .remedy("A quotation mark is probably left open: close it.")
    }
}

fn cannot_be_read(error: &std::io::Error) -> Diagnostic {
    Diagnostic::error(format!("the file could not be read: {error}."))
        .remedy("Check that it is there and may be read.")
}

#[cfg(test)]
mod tests;
