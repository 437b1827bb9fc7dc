//! From bytes to rows, and from rows to batches of whole cylinders. Nothing is understood here but which rows
//! belong together; numbers are read where the judging is done, so that this serial part stays short.
//!
//! Bounded whatever the file holds: the length of a row, the rows and bytes of a cylinder, the cylinders that
//! are remembered. Texts lie end to end in one buffer for each batch, which is used again and again.

use std::collections::{HashSet, VecDeque};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{self, BufRead as _, BufReader, Read};
use std::ops::Range;

use super::columns::{Column, Columns};
use super::fields::{Fields, LONGEST_TEXT, Within, field};
use super::{FleetError, REMEMBERED, Tally};
use records::diag::{Diagnostic, TextPosition};
use records::heading;
use records::limits::Limits;
use records::record::resolve::MOST_REPEATS;

/// The longest row, in bytes: a thousand times what one needs. A quotation mark left open makes longer ones.
const LONGEST_ROW: usize = 64 * 1024;
/// The most text that is kept of one cylinder, in bytes.
const MOST_TEXT: usize = 4 * 1024 * 1024;
/// A batch takes no further cylinder once it has so many rows or so much text.
const ROWS_PER_BATCH: usize = 1024;
const TEXT_PER_BATCH: usize = 256 * 1024;
/// A row in a batch.
#[derive(Clone, Copy, Debug, Default)]
struct RowAt {
    /// Where its text begins.
    text: usize,
    /// Where the ends of its fields begin, each counted from the beginning of its text.
    ends: usize,
    /// How many fields it has.
    fields: usize,
    /// Where the places of its fields begin, if it has quotation marks.
    places: Option<usize>,
    /// Its first line in the file.
    line: u64,
    /// It says of its cylinder, letter for letter, what the row before says.
    repeats: bool,
}

/// A row, lent from a batch.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    line: u64,
    text: &'a [u8],
    ends: &'a [u32],
    places: Option<&'a [(u32, u32)]>,
    repeats: bool,
}

impl<'a> Row<'a> {
    /// Does it say of its cylinder, letter for letter, what the row before says?
    pub(super) fn repeats(&self) -> bool {
        self.repeats
    }

    /// Its first line in the file.
    pub(super) fn line(&self) -> u64 {
        self.line
    }

    /// How many fields it has.
    pub(super) fn count(&self) -> usize {
        self.ends.len()
    }

    fn field(&self, index: usize) -> Option<&'a [u8]> {
        field(self.text, self.ends, index)
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

    /// Line and column of a field, the column in characters; of the row without one.
    pub(super) fn position(&self, index: Option<usize>) -> TextPosition {
        let line = usize::try_from(self.line).unwrap_or(usize::MAX);
        let Some(index) = index else { return TextPosition { line, column: 1 } };
        if let Some(places) = self.places {
            let (down, column) = places.get(index).copied().unwrap_or((0, 1));
            return TextPosition { line: line.saturating_add(down as usize), column: column as usize };
        }
        let before = (0..index).filter_map(|index| self.field(index));
        let column =
            1 + before.map(|field| String::from_utf8_lossy(field).chars().count() + 1).sum::<usize>();
        TextPosition { line, column }
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
    places: Vec<(u32, u32)>,
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
        Row {
            line: at.line,
            repeats: at.repeats,
            text: self.text.get(at.text..at.text + length).unwrap_or_default(),
            ends,
            places: at.places.and_then(|start| self.places.get(start..start + at.fields)),
        }
    }

    fn clear(&mut self) {
        self.text.clear();
        self.ends.clear();
        self.places.clear();
        self.rows.clear();
        self.pieces.clear();
    }

    fn is_full(&self) -> bool {
        self.rows.len() >= ROWS_PER_BATCH || self.text.len() >= TEXT_PER_BATCH
    }

    fn push(&mut self, fields: &Fields, line: u64, repeats: bool) {
        self.rows.push(RowAt {
            text: self.text.len(),
            ends: self.ends.len(),
            fields: fields.len(),
            places: (!fields.places.is_empty()).then_some(self.places.len()),
            line,
            repeats,
        });
        self.text.extend_from_slice(&fields.text);
        self.ends.extend_from_slice(&fields.ends);
        self.places.extend_from_slice(&fields.places);
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

    fn fields<'a>(row: &'a Fields, columns: &Columns) -> [&'a [u8]; 4] {
        let mut fields = Self::COLUMNS.map(|column| {
            columns.index(column).and_then(|index| row.get(index)).unwrap_or_default().trim_ascii()
        });
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
    input: BufReader<R>,
    columns: Columns,
    /// Bytes and lines read so far.
    bytes: u64,
    lines: u64,
    /// The last line, and the fields of the last row.
    line: Vec<u8>,
    fields: Fields,
    /// The last row belongs to the next batch: its line, and whether its cylinder came back.
    held: Option<(u64, bool)>,
    most_rows: usize,
    recent: Recent,
    key: Key,
    /// The front of the last row.
    front: Vec<u8>,
    count: u64,
    failed: Option<FleetError>,
    ended: bool,
}

/// Why there is no next row although the file has not ended.
enum Unreadable {
    Io(io::Error),
    TooLong,
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
        input: R,
        limits: &Limits,
        notes: &mut dyn FnMut(Diagnostic),
    ) -> Result<Self, FleetError> {
        let mut reader = Self {
            input: BufReader::with_capacity(LONGEST_ROW, input),
            columns: Columns::none(),
            bytes: 0,
            lines: 0,
            line: Vec::new(),
            fields: Fields::default(),
            held: None,
            most_rows: (limits.stations.len() * limits.axes.len()).saturating_mul(MOST_REPEATS),
            recent: Recent::default(),
            key: Key::default(),
            front: Vec::new(),
            count: 0,
            failed: None,
            ended: false,
        };
        let Some(line) = reader.next_row() else {
            let empty = Diagnostic::error("the file is empty.")
                .remedy("Its first line names the columns; below it stands one reading in each row.");
            return Err(reader.failed.take().unwrap_or(FleetError::File(Box::new(empty))));
        };
        reader.columns = Columns::read(&reader.fields, reader.columns.delimiter, line, notes)
            .map_err(|error| FleetError::File(Box::new(error)))?;
        Ok(reader)
    }

    /// Where the file has its columns.
    pub(super) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// Bytes read so far.
    #[cfg(feature = "parallel")]
    pub(super) fn bytes_read(&self) -> u64 {
        self.bytes
    }

    /// Reads the next line into `self.line`, without its end; `None` at the end of the file.
    fn next_line(&mut self, longest: usize) -> Result<Option<usize>, Unreadable> {
        self.line.clear();
        let mut input = (&mut self.input).take(longest as u64 + 1);
        let count = input.read_until(b'\n', &mut self.line).map_err(Unreadable::Io)?;
        self.bytes += count as u64;
        self.lines += 1;
        if self.line.last() == Some(&b'\n') {
            self.line.pop();
        } else if count > longest {
            return Err(Unreadable::TooLong);
        }
        if self.line.last() == Some(&b'\r') {
            self.line.pop();
        }
        if self.lines == 1 && self.line.starts_with(b"\xef\xbb\xbf") {
            self.line.drain(..3);
        }
        Ok((count > 0).then_some(count))
    }

    /// Reads the next row that is not blank into `self.fields`; its line.
    fn next_row(&mut self) -> Option<u64> {
        let line = self.lines + 1;
        match self.read_row() {
            Ok(Some(line)) => Some(line),
            Ok(None) => {
                self.ended = true;
                None
            }
            Err(why) => {
                self.fail(&why, line);
                None
            }
        }
    }

    fn read_row(&mut self) -> Result<Option<u64>, Unreadable> {
        loop {
            if self.next_line(LONGEST_ROW)?.is_none() {
                return Ok(None);
            }
            if self.columns.count == 0 {
                self.columns.delimiter = heading::delimiter(&self.line);
            }
            let (line, delimiter) = (self.lines, self.columns.delimiter);
            if !self.line.contains(&b'"') {
                self.fields.plain(&self.line, delimiter);
            } else {
                self.fields.clear();
                let mut within = self.fields.quoted(&self.line, delimiter, 0, Within::Start);
                while within == Within::Quoted {
                    let rest = LONGEST_ROW.saturating_sub(self.fields.text.len());
                    if self.next_line(rest)?.is_none() {
                        return Err(Unreadable::TooLong);
                    }
                    let line_in_row = u32::try_from(self.lines - line).unwrap_or(u32::MAX);
                    within = self.fields.quoted(&self.line, delimiter, line_in_row, within);
                }
            }
            // Spreadsheets leave rows of nothing but commas.
            if self.fields.text.iter().any(|&byte| byte != delimiter && !byte.is_ascii_whitespace()) {
                return Ok(Some(line));
            }
        }
    }

    fn fail(&mut self, why: &Unreadable, line: u64) {
        self.ended = true;
        self.failed = Some(match why {
            Unreadable::Io(error) => cannot_read(error),
            Unreadable::TooLong => {
                let line = usize::try_from(line).unwrap_or(usize::MAX);
                FleetError::File(Box::new(
                    Diagnostic::error(format!(
                        "the row that begins here does not end within {LONGEST_ROW} bytes."
                    ))
                    .on(Some(TextPosition { line, column: 1 }))
                    .remedy(
                        "A quotation mark is probably left open: close it. The rows before it are judged.",
                    ),
                ))
            }
        });
    }

    /// Does the last row belong to another cylinder than the one before?
    fn begins_cylinder(&mut self, first: bool) -> bool {
        let key = Key::fields(&self.fields, &self.columns);
        let begins = first || !self.key.is(&key);
        if begins {
            self.key.set(&key);
        }
        begins
    }

    /// Fills a batch with whole cylinders; false if there are none left.
    pub(super) fn fill(&mut self, batch: &mut Batch) -> bool {
        batch.clear();
        if let Some((line, came_back)) = self.held.take() {
            batch.begin(came_back);
            batch.push(&self.fields, line, false);
        }
        while !self.ended {
            let Some(line) = self.next_row() else { break };
            self.count += 1;
            let first = self.count == 1;
            // What belongs to the cylinder mostly stands in front, and the same in all of its rows.
            let front = self.fields.front(self.columns.front);
            let repeats = !first && front.is_some_and(|front| front == self.front);
            if !repeats {
                self.front.clear();
                self.front.extend_from_slice(front.unwrap_or_default());
            }
            if !repeats && self.begins_cylinder(first) {
                let came_back = self.recent.came_back(self.key.hash());
                if batch.is_full() {
                    self.held = Some((line, came_back));
                    break;
                }
                batch.begin(came_back);
            }
            if batch.cylinder_is_full(self.most_rows) {
                if let Some(piece) = batch.pieces.last_mut() {
                    piece.dropped += 1;
                }
            } else {
                batch.push(&self.fields, line, repeats);
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
            tally.errors_reported += 1;
            tell(
                Diagnostic::error("there are no readings below the header.")
                    .remedy("Write one reading in each row."),
            );
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use records::limits::schema::TableOfLimits;

    /// Every row of a text, its fields as text; `None` if it does not end.
    fn rows_of(text: &str) -> Option<Vec<Vec<String>>> {
        let table = include_str!("../../../limits/wexcombe_six.ron");
        let table: TableOfLimits = records::file::from_text(table, None).value?;
        let limits = Limits::resolve(&table).ok()?;
        let text = format!("engine,overhaul,cylinder,size,station,axis,reading\n{text}");
        let mut reader = RowReader::open(text.as_bytes(), &limits, &mut |_| {}).ok()?;
        let mut rows = Vec::new();
        while reader.next_row().is_some() {
            let fields = (0..reader.fields.len()).filter_map(|index| reader.fields.get(index));
            rows.push(fields.map(|field| String::from_utf8_lossy(field).into_owned()).collect());
        }
        reader.failed.is_none().then_some(rows)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        /// The csv crate reads the same fields.
        #[test]
        fn rows_are_taken_apart_as_csv_is(text in "[ab\", \né]{0,60}") {
            let Some(rows) = rows_of(&text) else { return Ok(()) };
            let mut theirs = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let theirs: Vec<Vec<String>> = theirs
                .records()
                .map(|record| record.unwrap().iter().map(str::to_owned).collect())
                .filter(|row: &Vec<String>| row.iter().any(|field| field.contains(|c| c != ',' && c != ' ' && c != '\n')))
                .collect();
            let ours: Vec<_> = rows
                .into_iter()
                .filter(|row| row.iter().any(|field| field.contains(|c| c != ',' && c != ' ' && c != '\n')))
                .collect();
            prop_assert_eq!(ours, theirs);
        }
    }
}
