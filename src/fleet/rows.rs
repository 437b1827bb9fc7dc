//! From bytes to rows, and from rows to batches of whole cylinders. Nothing is understood here but which rows
//! belong together; numbers are read where the judging is done, so that this serial part stays short.
//!
//! Bounded whatever the file holds: the length of a row, the rows and bytes of a cylinder, the cylinders that
//! are remembered. Texts lie end to end in one buffer for each batch, which is used again and again.

use std::collections::{HashSet, VecDeque};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{self, Cursor, Read};
use std::ops::Range;

use csv::ByteRecord;

use super::columns::{Column, Columns};
use super::{FleetError, REMEMBERED, Tally};
use crate::diag::{Diagnostic, TextPosition};
use crate::limits::Limits;
use crate::record::resolve::MOST_REPEATS;

/// The longest row, in bytes: a thousand times what one needs. A quotation mark left open makes longer ones.
const LONGEST_ROW: usize = 64 * 1024;
/// The most text that is kept of one cylinder, in bytes.
const MOST_TEXT: usize = 4 * 1024 * 1024;
/// A batch takes no further cylinder once it has so many rows or so much text.
const ROWS_PER_BATCH: usize = 1024;
const TEXT_PER_BATCH: usize = 256 * 1024;
/// The most characters of a text that are kept or shown.
const LONGEST_TEXT: usize = 100;

/// A field as text, at most so long as is worth showing, without control characters.
pub(super) fn text(field: &[u8]) -> String {
    let field = field.trim_ascii();
    let long = field.get(..4 * LONGEST_TEXT).unwrap_or(field);
    String::from_utf8_lossy(long)
        .chars()
        .take(LONGEST_TEXT)
        .map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c })
        .collect()
}

/// The input: counts what was read, ends every line with one newline, and stops at a row without an end.
struct Source<R> {
    input: R,
    /// Bytes read so far.
    read: u64,
    /// Bytes handed on since a row was last complete.
    since_row: usize,
    /// The last byte was a carriage return that has become a newline.
    after_return: bool,
    /// The last byte was a newline, or there was none yet.
    at_line_start: bool,
}

/// The marker by which a row that does not end is told from a failure to read.
#[derive(Debug, thiserror::Error)]
#[error("a row is longer than {LONGEST_ROW} bytes")]
struct RowTooLong;

impl<R: Read> Read for Source<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.since_row > LONGEST_ROW {
            return Err(io::Error::other(RowTooLong));
        }
        loop {
            let count = self.input.read(buffer)?;
            self.read += count as u64;
            if count == 0 {
                // A last line without its newline gets one, so that lines can be counted by them.
                let Some(first) = buffer.first_mut().filter(|_| !self.at_line_start) else { return Ok(0) };
                *first = b'\n';
                self.at_line_start = true;
                return Ok(1);
            }
            let kept = self.one_newline(buffer, count);
            if kept > 0 {
                self.since_row += kept;
                return Ok(kept);
            }
        }
    }
}

impl<R> Source<R> {
    /// Turns each way of ending a line in the first `count` bytes into one newline; returns what is kept.
    fn one_newline(&mut self, buffer: &mut [u8], count: usize) -> usize {
        let Some(bytes) = buffer.get_mut(..count) else { return 0 };
        let mut kept = count;
        if self.after_return || bytes.contains(&b'\r') {
            kept = 0;
            let mut after_return = self.after_return;
            for from in 0..bytes.len() {
                let Some(&byte) = bytes.get(from) else { break };
                let second_half = after_return && byte == b'\n';
                after_return = byte == b'\r';
                if !second_half && let Some(slot) = bytes.get_mut(kept) {
                    *slot = if after_return { b'\n' } else { byte };
                    kept += 1;
                }
            }
            self.after_return = after_return;
        }
        if let Some(last) = kept.checked_sub(1).and_then(|last| bytes.get(last)) {
            self.at_line_start = *last == b'\n';
        }
        kept
    }
}

/// The first part of the input, up to the end of its first line, and what parts the columns in it.
fn first_line(input: &mut impl Read) -> io::Result<(Vec<u8>, u8)> {
    let mut first = Vec::new();
    let mut chunk = [0; 4096];
    while first.len() < LONGEST_ROW && !first.contains(&b'\n') {
        match input.read(&mut chunk) {
            Ok(0) => break,
            Ok(count) => first.extend_from_slice(chunk.get(..count).unwrap_or_default()),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    let line = first.split(|&byte| byte == b'\n').next().unwrap_or_default();
    let count = |delimiter: u8| line.iter().filter(|&&byte| byte == delimiter).count();
    // The last of those that are equally many; a comma where there is none.
    let delimiter = [b'\t', b';', b','].into_iter().max_by_key(|&delimiter| count(delimiter));
    Ok((first, delimiter.unwrap_or(b',')))
}

/// A row in a batch.
#[derive(Clone, Copy, Debug, Default)]
struct RowAt {
    /// Where its text begins.
    text: usize,
    /// Where the ends of its fields begin, each counted from the beginning of its text.
    ends: usize,
    /// How many fields it has.
    fields: usize,
    /// Its line in the file.
    line: u64,
    /// Bytes from its first to its last, without the newline.
    length: usize,
}

/// A row, lent from a batch.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    at: RowAt,
    text: &'a [u8],
    ends: &'a [u32],
}

impl<'a> Row<'a> {
    /// Its line in the file.
    pub(super) fn line(&self) -> u64 {
        self.at.line
    }

    /// How many fields it has.
    pub(super) fn count(&self) -> usize {
        self.ends.len()
    }

    fn field(&self, index: usize) -> Option<&'a [u8]> {
        let end = *self.ends.get(index)?;
        let start = index.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied())?;
        self.text.get(start as usize..end as usize)
    }

    /// A field without blanks around it; empty if the row or the file does not have it.
    pub(super) fn get(&self, columns: &Columns, column: Column) -> &'a [u8] {
        columns.index(column).and_then(|index| self.field(index)).unwrap_or_default().trim_ascii()
    }

    /// The first field that is longer than any that is meant, by its column.
    pub(super) fn overlong(&self) -> Option<usize> {
        if self.text.len() <= LONGEST_TEXT {
            return None;
        }
        (0..self.count()).find(|&index| self.field(index).is_some_and(|field| field.len() > LONGEST_TEXT))
    }

    /// Line and column of a field, the column in characters; 1 where the row's quotation marks hide it.
    pub(super) fn position(&self, index: Option<usize>, columns: &Columns) -> TextPosition {
        let line = usize::try_from(self.at.line).unwrap_or(usize::MAX);
        TextPosition { line, column: index.and_then(|index| self.column(index, columns)).unwrap_or(1) }
    }

    fn column(&self, index: usize, columns: &Columns) -> Option<usize> {
        let fields = || (0..self.count()).filter_map(|index| self.field(index));
        let quotes = |field: &[u8]| field.iter().filter(|&&byte| byte == b'"').count();
        let must = |field: &[u8]| {
            field.iter().any(|&byte| byte == columns.delimiter || byte == b'"' || byte == b'\n')
        };
        let plain = self.text.len() + self.count().checked_sub(1)?;
        let added = self.at.length.checked_sub(plain)?;
        let quoted_where = |quoted: &dyn Fn(&[u8]) -> bool| {
            fields().map(|f| if quoted(f) { 2 + quotes(f) } else { 0 }).sum::<usize>() == added
        };
        let always = quoted_where(&|_| true);
        if !always && !quoted_where(&must) {
            return None;
        }
        let width = |field: &[u8]| {
            let marks = if always || must(field) { 2 + quotes(field) } else { 0 };
            String::from_utf8_lossy(field).chars().count() + marks + 1
        };
        Some(1 + fields().take(index).map(width).sum::<usize>())
    }
}

/// Rows of one cylinder in a batch.
#[derive(Clone, Debug, Default)]
pub(super) struct Piece {
    rows: Range<usize>,
    /// Other rows of it went by before.
    pub(super) came_back: bool,
    /// Rows that are more than a cylinder can have, and were not kept.
    pub(super) dropped: u64,
}

/// Whole cylinders, as many as are judged in one go.
#[derive(Debug, Default)]
pub(super) struct Batch {
    text: Vec<u8>,
    ends: Vec<u32>,
    rows: Vec<RowAt>,
    pieces: Vec<Piece>,
}

impl Batch {
    /// How many rows it holds.
    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Its cylinders.
    pub(super) fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The rows of a cylinder.
    pub(super) fn rows(&self, piece: &Piece) -> impl Iterator<Item = Row<'_>> + Clone {
        self.rows.get(piece.rows.clone()).unwrap_or_default().iter().map(|&at| self.row(at))
    }

    fn row(&self, at: RowAt) -> Row<'_> {
        let ends = self.ends.get(at.ends..at.ends + at.fields).unwrap_or_default();
        let length = ends.last().map_or(0, |&end| end as usize);
        Row { at, text: self.text.get(at.text..at.text + length).unwrap_or_default(), ends }
    }

    fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
        self.rows.clear();
        self.pieces.clear();
    }

    fn is_full(&self) -> bool {
        self.rows.len() >= ROWS_PER_BATCH || self.text.len() >= TEXT_PER_BATCH
    }

    fn push(&mut self, record: &ByteRecord, line: u64, length: usize) {
        let at = RowAt { text: self.text.len(), ends: self.ends.len(), fields: record.len(), line, length };
        self.text.extend_from_slice(record.as_slice());
        let mut end = 0;
        self.ends.extend(record.iter().map(|field| {
            // A row is shorter than 64 KiB.
            end += field.len() as u32;
            end
        }));
        self.rows.push(at);
        if let Some(piece) = self.pieces.last_mut() {
            piece.rows.end = self.rows.len();
        }
    }

    /// Begins a cylinder with the next row.
    fn begin(&mut self, came_back: bool) {
        let start = self.rows.len();
        self.pieces.push(Piece { rows: start..start, came_back, dropped: 0 });
    }

    /// Does the present cylinder have as many rows as it can have?
    fn cylinder_is_full(&self, most_rows: usize) -> bool {
        let Some(piece) = self.pieces.last() else { return false };
        let text = self.rows.get(piece.rows.start).map_or(0, |first| self.text.len() - first.text);
        piece.rows.len() >= most_rows || text >= MOST_TEXT
    }
}

/// The last cylinders, by a hash of 64 bits of engine, overhaul and cylinder.
#[derive(Default)]
pub(super) struct Recent {
    known: HashSet<u64>,
    order: VecDeque<u64>,
}

impl Recent {
    /// Was it there already? From now on it is.
    pub(super) fn came_back(&mut self, cylinder: u64) -> bool {
        if !self.known.insert(cylinder) {
            return true;
        }
        self.order.push_back(cylinder);
        if self.order.len() > REMEMBERED
            && let Some(oldest) = self.order.pop_front()
        {
            self.known.remove(&oldest);
        }
        false
    }
}

/// What tells a cylinder from the next: engine, overhaul, serial number; the position where that is empty.
#[derive(Default)]
struct Key {
    /// The four texts end to end.
    text: Vec<u8>,
    ends: [usize; 4],
}

impl Key {
    const COLUMNS: [Column; 4] = [Column::Engine, Column::Overhaul, Column::Cylinder, Column::Position];

    fn fields<'a>(record: &'a ByteRecord, columns: &Columns) -> [&'a [u8]; 4] {
        let mut fields = Self::COLUMNS
            .map(|column| columns.index(column).and_then(|i| record.get(i)).unwrap_or_default().trim_ascii());
        if !fields[2].is_empty() {
            fields[3] = &[];
        }
        fields
    }

    fn is(&self, fields: &[&[u8]; 4]) -> bool {
        let mut start = 0;
        fields.iter().zip(self.ends).all(|(field, end)| {
            let same = self.text.get(start..end) == Some(field);
            start = end;
            same
        })
    }

    fn set(&mut self, fields: &[&[u8]; 4]) {
        self.text.clear();
        for (field, end) in fields.iter().zip(&mut self.ends) {
            self.text.extend_from_slice(field);
            *end = self.text.len();
        }
    }

    fn hash(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        (&self.text, self.ends).hash(&mut hasher);
        hasher.finish()
    }
}

/// Reads rows and groups them.
pub(super) struct RowReader<R> {
    rows: csv::Reader<Source<io::Chain<Cursor<Vec<u8>>, R>>>,
    columns: Columns,
    most_rows: usize,
    recent: Recent,
    key: Key,
    record: ByteRecord,
    /// The record belongs to the next batch: its line, its length, and whether its cylinder came back.
    held: Option<(u64, usize, bool)>,
    count: u64,
    failed: Option<FleetError>,
    ended: bool,
}

fn cannot_read(error: &io::Error) -> FleetError {
    FleetError::File(Box::new(
        Diagnostic::error(format!("the file could not be read: {error}."))
            .remedy("Check that it is there and may be read."),
    ))
}

impl<R: Read> RowReader<R> {
    /// Reads the header.
    pub(super) fn open(
        mut input: R,
        limits: &Limits,
        notes: &mut dyn FnMut(Diagnostic),
    ) -> Result<Self, FleetError> {
        let (first, delimiter) = first_line(&mut input).map_err(|error| cannot_read(&error))?;
        let source = Source {
            input: Cursor::new(first).chain(input),
            read: 0,
            since_row: 0,
            after_return: false,
            at_line_start: true,
        };
        let rows = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .buffer_capacity(LONGEST_ROW)
            .from_reader(source);
        let mut reader = Self {
            rows,
            columns: Columns::none(delimiter),
            most_rows: (limits.stations.len() * limits.axes.len()).saturating_mul(MOST_REPEATS),
            recent: Recent::default(),
            key: Key::default(),
            record: ByteRecord::new(),
            held: None,
            count: 0,
            failed: None,
            ended: false,
        };
        match reader.next_row() {
            Some((line, _)) => {
                reader.columns = Columns::read(&reader.record, delimiter, line, notes)
                    .map_err(|error| FleetError::File(Box::new(error)))?;
            }
            None => {
                let empty = Diagnostic::error("the file is empty.")
                    .remedy("Its first line names the columns; below it stands one reading in each row.");
                return Err(reader.failed.take().unwrap_or(FleetError::File(Box::new(empty))));
            }
        }
        Ok(reader)
    }

    /// Where the file has its columns.
    pub(super) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// Bytes read so far.
    pub(super) fn bytes_read(&self) -> u64 {
        self.rows.get_ref().read
    }

    /// Reads the next row into `self.record`: its line and its length in bytes.
    fn next_row(&mut self) -> Option<(u64, usize)> {
        let (line_before, byte_before) = (self.rows.position().line(), self.rows.position().byte());
        match self.rows.read_byte_record(&mut self.record) {
            Ok(true) if self.record.as_slice().len() <= LONGEST_ROW => {}
            Ok(false) => {
                self.ended = true;
                return None;
            }
            Ok(true) => {
                self.fail(&io::Error::other(RowTooLong), line_before);
                return None;
            }
            Err(error) => {
                let error = match error.into_kind() {
                    csv::ErrorKind::Io(error) => error,
                    other => io::Error::other(format!("{other:?}")),
                };
                self.fail(&error, line_before);
                return None;
            }
        }
        self.rows.get_mut().since_row = 0;
        // Every row ends with one newline; lines that are skipped before it are that and nothing else.
        let (line_after, byte_after) = (self.rows.position().line(), self.rows.position().byte());
        let within = self.record.as_slice().iter().filter(|&&byte| byte == b'\n').count() as u64;
        let line = line_after.saturating_sub(1 + within);
        let skipped = line.saturating_sub(line_before);
        let length = byte_after.saturating_sub(byte_before + skipped + 1);
        Some((line, usize::try_from(length).unwrap_or(usize::MAX)))
    }

    fn fail(&mut self, error: &io::Error, line: u64) {
        self.ended = true;
        let too_long = error.get_ref().is_some_and(|inner| inner.is::<RowTooLong>());
        self.failed = Some(if too_long {
            let line = usize::try_from(line).unwrap_or(usize::MAX);
            FleetError::File(Box::new(
                Diagnostic::error(format!("the row that begins here is longer than {LONGEST_ROW} bytes."))
                    .on(Some(TextPosition { line, column: 1 }))
                    .remedy(
                        "A quotation mark is probably left open: close it. The rows before it are judged.",
                    ),
            ))
        } else {
            cannot_read(error)
        });
    }

    /// Fills a batch with whole cylinders; false if there are none left.
    pub(super) fn fill(&mut self, batch: &mut Batch) -> bool {
        batch.clear();
        if let Some((line, length, came_back)) = self.held.take() {
            batch.begin(came_back);
            batch.push(&self.record, line, length);
        }
        while !self.ended {
            let Some((line, length)) = self.next_row() else { break };
            // Spreadsheets leave rows of nothing but commas.
            if self.record.as_slice().trim_ascii().is_empty() {
                continue;
            }
            self.count += 1;
            let key = Key::fields(&self.record, &self.columns);
            let first = self.count == 1;
            if first || !self.key.is(&key) {
                self.key.set(&key);
                let came_back = self.recent.came_back(self.key.hash());
                if batch.is_full() {
                    self.held = Some((line, length, came_back));
                    break;
                }
                batch.begin(came_back);
            }
            if batch.cylinder_is_full(self.most_rows) {
                if let Some(piece) = batch.pieces.last_mut() {
                    piece.dropped += 1;
                }
            } else {
                batch.push(&self.record, line, length);
            }
        }
        if self.failed.is_some() {
            // The last cylinder may lack rows that could not be read.
            batch.pieces.pop();
        }
        !batch.pieces.is_empty()
    }

    /// What there is to say at the end.
    ///
    /// # Errors
    /// The file could not be read to its end.
    pub(super) fn finish(
        self,
        tally: &mut Tally,
        tell: &mut dyn FnMut(Diagnostic),
    ) -> Result<(), FleetError> {
        tally.rows = self.count;
        if let Some(error) = self.failed {
            return Err(error);
        }
        if self.count == 0 {
            tally.errors += 1;
            tally.errors_told += 1;
            tell(
                Diagnostic::error("there are no readings below the header.")
                    .remedy("Write one reading in each row."),
            );
        }
        Ok(())
    }
}
