//! From bytes to rows, and from rows to batches of whole cylinders. Nothing is understood here but which rows
//! belong together; numbers are read where the judging is done, so that this serial part stays short.
//!
//! Bounded whatever the file holds: the length of a row, the rows and bytes of a cylinder, the cylinders that
//! are remembered. Texts lie end to end in one buffer for each batch, which is used again and again.

use std::collections::{HashSet, VecDeque};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::Read;
use std::ops::Range;

use super::columns::{Column, Columns};
use super::{FleetError, REMEMBERED, Tally};
use records::diag::{Diagnostic, TextPosition};
use records::limits::Limits;
use records::record::resolve::MOST_REPEATS;
use records::tabular::{self, TableReader};

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
    cells: tabular::Row<'a>,
    repeats: bool,
}

impl<'a> Row<'a> {
    /// Does it say of its cylinder, letter for letter, what the row before says?
    pub(super) fn repeats(&self) -> bool {
        self.repeats
    }

    /// Its first line in the file.
    pub(super) fn line(&self) -> u64 {
        self.cells.line()
    }

    /// Its cells.
    pub(super) fn cells(&self) -> tabular::Row<'a> {
        self.cells
    }

    /// A cell without blanks around it; empty if the row or the file does not have it.
    pub(super) fn get(&self, columns: &Columns, column: Column) -> &'a [u8] {
        columns.index(column).map_or(&[][..], |index| self.cells.cell(index))
    }

    /// Line and column of a cell; of the row without one.
    pub(super) fn position(&self, index: Option<usize>) -> TextPosition {
        self.cells.position(index)
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
        let text = self.text.get(at.text..at.text + length).unwrap_or_default();
        let places = at.places.and_then(|start| self.places.get(start..start + at.fields));
        Row { cells: tabular::Row::new(at.line, (text, ends, places)), repeats: at.repeats }
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

    fn push(&mut self, row: tabular::Row<'_>, repeats: bool) {
        let (text, ends, places) = row.parts();
        self.rows.push(RowAt {
            text: self.text.len(),
            ends: self.ends.len(),
            fields: ends.len(),
            places: places.map(|_| self.places.len()),
            line: row.line(),
            repeats,
        });
        self.text.extend_from_slice(text);
        self.ends.extend_from_slice(ends);
        self.places.extend_from_slice(places.unwrap_or_default());
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

    fn fields<'a>(row: tabular::Row<'a>, columns: &Columns) -> [&'a [u8]; 4] {
        let mut fields =
            Self::COLUMNS.map(|column| columns.index(column).map_or(&[][..], |index| row.cell(index)));
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
    table: TableReader<R>,
    columns: Columns,
    /// The last row belongs to the next batch; whether its cylinder came back.
    held: Option<bool>,
    most_rows: usize,
    recent: Recent,
    key: Key,
    /// The front of the last row.
    front: Vec<u8>,
    count: u64,
    failed: Option<Diagnostic>,
    ended: bool,
}

impl<R: Read> RowReader<R> {
    /// Reads the header.
    pub(super) fn open(
        input: R,
        limits: &Limits,
        notes: &mut dyn FnMut(Diagnostic),
    ) -> Result<Self, FleetError> {
        let of_file = |error| FleetError::File(Box::new(error));
        let table = TableReader::open(input, LONGEST_ROW).map_err(of_file)?;
        let columns = Columns::find(table.headings(), table.delimiter(), notes).map_err(of_file)?;
        Ok(Self {
            table,
            columns,
            held: None,
            most_rows: (limits.stations.len() * limits.axes.len()).saturating_mul(MOST_REPEATS),
            recent: Recent::default(),
            key: Key::default(),
            front: Vec::new(),
            count: 0,
            failed: None,
            ended: false,
        })
    }

    /// Where the file has its columns.
    pub(super) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// Bytes read so far.
    #[cfg(feature = "parallel")]
    pub(super) fn bytes_read(&self) -> u64 {
        self.table.bytes_read()
    }

    /// Fills a batch with whole cylinders; false if there are none left.
    pub(super) fn fill(&mut self, batch: &mut Batch) -> bool {
        batch.clear();
        if let Some(came_back) = self.held.take() {
            batch.begin(came_back);
            batch.push(self.table.row(), false);
        }
        while !self.ended {
            let row = match self.table.next_row() {
                Ok(Some(row)) => row,
                Ok(None) => {
                    self.ended = true;
                    break;
                }
                Err(why) => {
                    let remedy = format!("{} The rows before it are judged.", why.remedy);
                    (self.ended, self.failed) = (true, Some(why.remedy(remedy)));
                    break;
                }
            };
            self.count += 1;
            let first = self.count == 1;
            // What belongs to the cylinder mostly stands in front, and the same in all of its rows.
            let front = row.front(self.columns.front);
            let repeats = !first && front.is_some_and(|front| front == self.front);
            if !repeats {
                self.front.clear();
                self.front.extend_from_slice(front.unwrap_or_default());
                // Does it belong to another cylinder than the one before?
                let key = Key::fields(row, &self.columns);
                if first || !self.key.is(&key) {
                    self.key.set(&key);
                    let came_back = self.recent.came_back(self.key.hash());
                    if batch.is_full() {
                        self.held = Some(came_back);
                        break;
                    }
                    batch.begin(came_back);
                }
            }
            if batch.cylinder_is_full(self.most_rows) {
                if let Some(piece) = batch.pieces.last_mut() {
                    piece.dropped += 1;
                }
            } else {
                batch.push(row, repeats);
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
            return Err(FleetError::File(Box::new(error)));
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
