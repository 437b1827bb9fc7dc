//! From the rows of a cylinder to a [`Cylinder`], and its judging.
//!
//! Nothing is guessed: what cannot be read is told and left out, and the cylinder remembers that something
//! was left out, so that it cannot pass.

use std::sync::Arc;

use super::columns::{Column, Columns};
use super::rows::{Batch, Piece, Row};
use super::{Basis, FleetLine, REPORTED_PER_CYLINDER, place_words};
use judging::Assessment;
use quantities::length::{Entry, Length, Style};
use records::bore::{Bore, Cell, Point};
use records::diag::{Diagnostic, likely_intended};
use records::limits::Limits;
use records::record::resolve::{MOST_REPEATS, PLAUSIBLE_BORE_MM, pool_repeatability};
use records::survey::{Cylinder, Gauge, Survey};
use records::tabular::{SAVE_AS_UTF8, does_not_fit, number, shown};

/// The most characters of a text that are kept or shown, and the most bytes of a cell.
const LONGEST_TEXT: usize = 100;

/// A cell as text, at most so long as is worth showing, whose hidden letters can be seen.
fn text(cell: &[u8]) -> String {
    shown(cell, LONGEST_TEXT)
}

/// The columns that belong to the cylinder and not to one reading.
const OF_CYLINDER: [Column; 5] =
    [Column::Position, Column::Hours, Column::Size, Column::FinishedTo, Column::LookedOver];

/// The repeats of a cell as they come.
#[derive(Default)]
struct Gathering {
    /// Number of the repeat, where one is written, and its diameter.
    repeats: Vec<(Option<u32>, Length)>,
    style: Style,
}

/// Turns rows into cylinders and judges them. What it holds is only there to be used again.
pub(super) struct Assembler {
    survey: Survey,
    cells: Vec<Gathering>,
}

impl Assembler {
    pub(super) fn new(limits: Arc<Limits>) -> Self {
        let mut cells = Vec::new();
        cells.resize_with(limits.stations.len() * limits.axes.len(), Gathering::default);
        let gauge = Gauge { name: "the gauge used".to_owned(), ..Gauge::default() };
        let survey = Survey {
            limits,
            standards: Vec::new(),
            gauges: vec![gauge],
            conditions: None,
            cylinders: Vec::new(),
        };
        Self { survey, cells }
    }

    /// Reads the rows of a cylinder and judges it.
    pub(super) fn judge(&mut self, batch: &Batch, piece: &Piece, columns: &Columns) -> FleetLine {
        let limits = Arc::clone(&self.survey.limits);
        let mut reading = Reading::begin(batch, piece, columns, &limits, &mut self.cells);
        for row in batch.rows(piece) {
            reading.row(row);
        }
        let survey = &mut self.survey;
        reading.finish(piece, |cylinder| {
            pool_repeatability(&mut survey.gauges, std::iter::once(&cylinder.bore));
            judging::assess(cylinder, survey)
        })
    }
}

/// Reading one cylinder.
struct Reading<'a> {
    columns: &'a Columns,
    limits: &'a Limits,
    cells: &'a mut [Gathering],
    /// The row that speaks for the cylinder: the first that has all its fields.
    first: Option<Row<'a>>,
    /// The line of the first row of all.
    line: u64,
    /// What the first row says of the cylinder.
    said: [&'a [u8]; OF_CYLINDER.len()],
    /// The last row agrees with it.
    agreed: bool,
    /// The last names found, and where they stand in the table.
    last_station: Option<(&'a [u8], usize)>,
    last_axis: Option<(&'a [u8], usize)>,
    engine: String,
    overhaul: String,
    cylinder: Cylinder,
    basis: Basis,
    diagnostics: Vec<Diagnostic>,
    errors: u64,
}

/// Why a row cannot be trusted to have its fields where the header says.
struct Fault {
    at: Option<usize>,
    message: String,
    remedy: &'static str,
}

fn fault(row: Row<'_>, columns: &Columns) -> Option<Fault> {
    let cells = row.cells();
    let fault = |at, (message, remedy)| Some(Fault { at, message, remedy });
    if cells.count() != columns.count {
        let all: Vec<&[u8]> = (0..cells.count()).map(|index| cells.cell(index)).collect();
        if let Some(why) = does_not_fit(&all, columns.count, Some(columns.delimiter)) {
            return fault(None, why);
        }
        if all.len() < columns.count {
            // What was cut off cannot be known.
            let message = format!("the row has {} columns, the header has {}", all.len(), columns.count);
            return fault(None, (message, "Write every column in every row; a cell may be empty."));
        }
    }
    if let Some(behind) = columns.behind_reading {
        let why = number::in_two_columns(row.get(columns, Column::Reading), cells.cell(behind));
        if let Some(why) = why {
            return fault(columns.index(Column::Reading), why);
        }
    }
    let at = cells.overlong(LONGEST_TEXT)?;
    let message = "a text is too long for any of the columns".to_owned();
    fault(Some(at), (message, "A quotation mark is probably left open: close it."))
}

/// What to do about a text, where its error does not say so itself.
const CORRECT_IT: &str = "Correct it and judge the file again.";

impl<'a> Reading<'a> {
    fn begin(
        batch: &'a Batch,
        piece: &Piece,
        columns: &'a Columns,
        limits: &'a Limits,
        cells: &'a mut [Gathering],
    ) -> Self {
        for cell in cells.iter_mut() {
            cell.repeats.clear();
        }
        let mut rows = batch.rows(piece);
        let first = rows.clone().find(|row| fault(*row, columns).is_none()).or_else(|| rows.next());
        let get = |column| text(first.map_or(&[][..], |row| row.get(columns, column)));
        let cylinder = Cylinder {
            position: get(Column::Position),
            serial: get(Column::Cylinder),
            ..Cylinder::of_bore(Bore::new(limits.stations.len(), limits.axes.len()))
        };
        let mut reading = Self {
            columns,
            limits,
            cells,
            first,
            line: batch.rows(piece).next().map_or(0, |row| row.line()),
            said: OF_CYLINDER.map(|column| first.map_or(&[][..], |row| row.get(columns, column))),
            agreed: false,
            last_station: None,
            last_axis: None,
            engine: get(Column::Engine),
            overhaul: get(Column::Overhaul),
            cylinder,
            basis: Basis::ReadingsAlone,
            diagnostics: Vec::new(),
            errors: 0,
        };
        if let Some(first) = first {
            reading.read_cylinder_columns(first, piece);
        }
        reading
    }

    /// Tells of an error in a row, and keeps the cylinder from passing.
    fn error(&mut self, row: Row<'_>, column: Option<Column>, message: String, remedy: &str) {
        let index = column.and_then(|column| self.columns.index(column));
        let name = column.map(Column::name).unwrap_or_default();
        self.error_at(row, index, name, message, remedy);
    }

    fn error_at(&mut self, row: Row<'_>, index: Option<usize>, name: &str, message: String, remedy: &str) {
        self.errors += 1;
        if self.diagnostics.len() >= REPORTED_PER_CYLINDER {
            return;
        }
        let column = if name.is_empty() { String::new() } else { format!(", column {name}") };
        let cylinder = &mut self.cylinder;
        let place = place_words(&self.engine, &self.overhaul, cylinder);
        cylinder.unreadable.push(format!("line {}{column}: {message}", row.line()));
        self.diagnostics.push(
            Diagnostic::error(format!("{}.", message.trim_end_matches('.')))
                .place(format!("{place}{column}"))
                .on(Some(row.position(index)))
                .remedy(remedy),
        );
    }

    /// Reads a length in the row's unit; told if that cannot be done.
    fn length(&mut self, row: Row<'a>, column: Column) -> Option<Entry> {
        let text = match self.columns.index(column).map_or(Ok(""), |index| row.cells().utf8(index)) {
            Ok(text) => text,
            Err(message) => {
                self.error(row, Some(column), message, SAVE_AS_UTF8);
                return None;
            }
        };
        let beside = if text.is_empty() { &[][..] } else { row.get(self.columns, Column::Unit) };
        match number::length(text, beside, self.columns.unit(column), self.limits.unit) {
            Ok(entry) => Some(entry),
            Err(number::Wrong { in_unit, message, remedy }) => {
                let column = if in_unit { Column::Unit } else { column };
                self.error(row, Some(column), message, if remedy.is_empty() { CORRECT_IT } else { remedy });
                None
            }
        }
    }

    /// Reads what is said once for the whole cylinder from its first row.
    fn read_cylinder_columns(&mut self, first: Row<'a>, piece: &Piece) {
        if self.cylinder.serial.is_empty() && self.cylinder.position.is_empty() {
            let remedy = "Write its serial number, or its position in a column `position`.";
            self.error(first, Some(Column::Cylinder), "nothing says which cylinder it is".to_owned(), remedy);
        }
        if piece.came_back {
            let message =
                "rows of this cylinder stood farther up already, with other cylinders in between".to_owned();
            let remedy = "Put all rows of a cylinder together: sort by engine, overhaul and cylinder.";
            self.error(first, None, message, remedy);
        }
        let size = first.get(self.columns, Column::Size);
        let oversize = if size.is_empty() || size.eq_ignore_ascii_case(b"standard") {
            Some(Length::ZERO)
        } else {
            self.length(first, Column::Size).map(|entry| entry.length)
        };
        self.cylinder.size = oversize.and_then(|oversize| self.limits.size_index(oversize));
        if oversize.is_some() && self.cylinder.size.is_none() {
            let known: Vec<_> = self.limits.sizes.iter().map(|row| row.name.as_str()).collect();
            let message = format!("the table of limits has no row for the size `{}`", text(size));
            self.error(first, Some(Column::Size), message, &format!("It has: {}.", known.join(", ")));
        }
        if !first.get(self.columns, Column::FinishedTo).is_empty() {
            self.cylinder.finished_to = self.finished_to(first);
        }
        let looked_over = first.get(self.columns, Column::LookedOver);
        let is =
            |words: [&str; 2]| words.iter().any(|word| looked_over.eq_ignore_ascii_case(word.as_bytes()));
        self.basis = if looked_over.is_empty() {
            Basis::ReadingsAlone
        } else if is(["yes", "y"]) {
            Basis::LookedOver
        } else {
            if !is(["no", "n"]) {
                let message = format!("`{}` is neither yes nor no", text(looked_over));
                self.error(first, Some(Column::LookedOver), message, "Write yes or no, or leave it empty.");
            }
            Basis::NotLookedOver
        };
        self.cylinder.looked_over = self.basis != Basis::NotLookedOver;
    }

    /// The size it was last finished to; `None`, and told, if no bore has such a one.
    fn finished_to(&mut self, row: Row<'a>) -> Option<(Length, Style)> {
        let Entry { length, style } = self.length(row, Column::FinishedTo)?;
        if PLAUSIBLE_BORE_MM.contains(&length.to_mm()) {
            return Some((length, style));
        }
        let message = format!("{} is a diameter that no bore has", length.text(style));
        self.error(row, Some(Column::FinishedTo), message, "Check the digits, the sign and the unit.");
        None
    }

    /// Index of a name among those of the table, whatever its case; told if it is not there.
    fn name(
        &mut self,
        row: Row<'a>,
        column: Column,
        names: impl Iterator<Item = &'a str> + Clone,
    ) -> Option<usize> {
        let field = row.get(self.columns, column);
        // Rows of one place mostly follow each other.
        let last = if column == Column::Station { &mut self.last_station } else { &mut self.last_axis };
        if let Some((name, index)) = *last
            && name == field
        {
            return Some(index);
        }
        let exact = names.clone().position(|name| name.as_bytes() == field);
        let found =
            exact.or_else(|| names.clone().position(|name| name.as_bytes().eq_ignore_ascii_case(field)));
        *last = found.map(|index| (field, index));
        if found.is_none() {
            let (what, written) = (column.name(), text(field));
            let list = names.clone().collect::<Vec<_>>().join(", ");
            let remedy = match likely_intended(&written, names) {
                Some(likely) => format!("Is `{likely}` meant? The table has: {list}."),
                None => format!("The table has: {list}."),
            };
            let message = format!("the table of limits has no {what} `{written}`");
            self.error(row, Some(column), message, &remedy);
        }
        found
    }

    /// Does a later row say the same of the cylinder as the first one?
    fn agrees(&mut self, row: Row<'a>) -> bool {
        let Some(first) = self.first else { return true };
        let errors = self.errors;
        for (column, there) in OF_CYLINDER.into_iter().zip(self.said) {
            let here = row.get(self.columns, column);
            if !here.is_empty() && here != there {
                let message = format!(
                    "`{}` is written here, and `{}` in the cylinder's first row (line {})",
                    text(here),
                    text(there),
                    first.line()
                );
                self.error(row, Some(column), message, "Keep the one that is right in both.");
            }
        }
        self.errors == errors
    }

    fn row(&mut self, row: Row<'a>) {
        if let Some(Fault { at, message, remedy }) = fault(row, self.columns) {
            self.error_at(row, at, "", message, remedy);
            self.agreed = false;
            return;
        }
        // A row that repeats one that agrees does so too.
        self.agreed = row.repeats() && self.agreed || self.agrees(row);
        let limits = self.limits;
        let stations = limits.stations.iter().map(|station| station.name.as_str());
        let axes = limits.axes.iter().map(|axis| axis.label.as_str());
        let station = self.name(row, Column::Station, stations);
        let axis = self.name(row, Column::Axis, axes);
        let repeat = self.repeat(row);
        let entry = self.length(row, Column::Reading);
        let (Some(station), Some(axis)) = (station, axis) else { return };
        let at = Point::new(station, axis);
        let (Some(repeat), Some(entry)) = (repeat, entry) else {
            self.cylinder.unread.push(at);
            return;
        };
        if !PLAUSIBLE_BORE_MM.contains(&entry.length.to_mm()) {
            self.cylinder.unread.push(at);
            let message = format!("a diameter of {} is one that no bore has", entry.length.text(entry.style));
            self.error(row, Some(Column::Reading), message, "Check the digits and the unit.");
            return;
        }
        let Some(cell) = self.cells.get_mut(station * limits.axes.len() + axis) else { return };
        if repeat.is_some() && cell.repeats.iter().any(|(other, _)| *other == repeat) {
            let message = "this repeat of the station and axis is written twice".to_owned();
            self.error(row, Some(Column::Repeat), message, "Correct its station, axis or repeat.");
        } else if cell.repeats.len() >= MOST_REPEATS {
            let message = format!("more than the {MOST_REPEATS} repeats that a station and axis can hold");
            self.error(row, Some(Column::Reading), message, "Keep those that count.");
        } else {
            if cell.repeats.is_empty() {
                cell.style = entry.style;
            }
            cell.repeats.push((repeat, entry.length));
        }
    }

    /// The number of the repeat, if one is written; `None`, and told, if it is no number.
    fn repeat(&mut self, row: Row<'a>) -> Option<Option<u32>> {
        number::repeat(row.get(self.columns, Column::Repeat))
            .map_err(|message| {
                self.error(row, Some(Column::Repeat), message, "Write 1, 2, 3 or leave it empty.");
            })
            .ok()
    }

    /// The cylinder with its bore, judged.
    fn finish(mut self, piece: &Piece, judge: impl FnOnce(&Cylinder) -> Assessment) -> FleetLine {
        if piece.dropped > 0
            && let Some(first) = self.first
        {
            let message = format!("{} rows more than a cylinder can have are left out", piece.dropped);
            self.error(first, None, message, "Check that engine, overhaul and cylinder are filled in.");
        }
        let axes = self.limits.axes.len().max(1);
        for (index, cell) in self.cells.iter_mut().enumerate() {
            if !cell.repeats.is_sorted_by_key(|(repeat, _)| *repeat) {
                cell.repeats.sort_by_key(|(repeat, _)| *repeat);
            }
            let repeats = cell.repeats.iter().map(|&(_, length)| length).collect();
            let at = Point::new(index / axes, index % axes);
            self.cylinder.bore.set(at, Cell::new(repeats, cell.style, 0));
        }
        let unreported = self.errors.saturating_sub(self.diagnostics.len() as u64);
        if unreported > 0 {
            self.cylinder.unreadable.push(format!("and {unreported} more"));
        }
        let assessment = judge(&self.cylinder);
        FleetLine {
            line: self.line,
            engine: self.engine,
            overhaul: self.overhaul,
            hours: self.first.map_or(String::new(), |row| text(row.get(self.columns, Column::Hours))),
            cylinder: self.cylinder,
            basis: self.basis,
            assessment,
            diagnostics: self.diagnostics,
            errors: self.errors,
        }
    }
}
