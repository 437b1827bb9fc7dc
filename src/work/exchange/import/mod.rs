//! Rows of texts as readings of an overhaul: what would be taken over, and each row that would not, with its line.
//!
//! A value never comes to mean anything else than what the file says of it. Nothing is guessed: a row that names
//! another engine, an unknown cylinder, station, axis or gauge, that leaves open which gauge or unit is meant, or whose
//! reading cannot be read, is refused with its reason. A cell is taken whole or not at all.
//!
//! | what | how it is kept |
//! |---|---|
//! | a diameter | as a diameter, on a gauge that reads diameters; one is made if there is none |
//! | a reading | as typed, for the gauge that the row names, or the only one it can be |
//! | both | the reading, if its gauge makes that diameter of it; else the row is refused |
//! | a mean of repeats | as one reading, with as many digits as can be kept |
//!
//! What a row comes to is not worked out here. The readings are put into a copy of the overhaul, and the copy is
//! resolved as every record is: the diameter that is shown, and compared with the bore row, is the one that will be
//! judged. Anything that a person must agree to first is an [`Obstacle`]; only an [`Agreed`] import can be taken over.

mod gauge;
mod plausible;
mod row;

use std::collections::BTreeMap;

use super::KIND;
use super::mapping::{Field, Mapping};
use super::table::Grid;
use crate::evaluation::Evaluation;
use quantities::length::{Length, Style, Unit};
use records::bore::Point;
use records::diag::{Diagnostic, PathStep};
use records::kind;
use records::limits::Limits;
use records::record::schema::{EngineRecord, Gauge, Overhaul, Reading, Temperatures};
use records::record::{entry, resolve};

use records::survey::Survey;
use records::tabular::heading;
use records::wording::counted;

use gauge::Gauges;
use plausible::Fit;
use row::{Reader, Row};

/// Two lengths nearer than this are the same one, written with fewer digits: a millionth of an inch.
const SAME: Length = Length::from_tenths_of_nm(254);

/// What a file does not say of its readings, and a person does.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Unstated {
    /// The unit of a length that names none, neither itself nor in its row nor in its heading; none: the overhaul's.
    pub unit: Option<Unit>,
    /// The gauge of rows that name none.
    pub gauge: Option<String>,
}

/// One reading of a file, as it would be taken over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenReading {
    /// The line of the file or sheet that it stands on.
    pub line: usize,
    /// As it stands in the file.
    pub written: String,
    /// As it will be kept.
    pub text: String,
    /// What it is read in: `in`, `mm`, `thou`, `graduations`.
    pub unit: String,
    /// The diameter that it makes.
    pub diameter: Length,
    /// The unit and digits to show that diameter with.
    pub style: Style,
    /// Why it is not likely to be a diameter of this bore; none: it fits.
    pub doubt: Option<String>,
}

/// The readings of one cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Index of the cylinder.
    pub cylinder: usize,
    /// Name of the station.
    pub station: String,
    /// Label of the axis.
    pub axis: String,
    /// Name of the gauge as it will be kept; none: the overhaul's first.
    pub gauge: Option<String>,
    /// Name of the gauge in words.
    pub gauge_words: String,
    /// The readings, one for each repeat.
    pub entered: Vec<TakenReading>,
    /// Why it stands though it looks wrong; may be empty.
    pub confirmed: String,
    /// The readings that the record has in this cell, and that would be lost; empty: none.
    pub replaces: Vec<String>,
}

impl Taken {
    /// The readings as they will be kept.
    pub fn texts(&self) -> Vec<&str> {
        self.entered.iter().map(|reading| reading.text.as_str()).collect()
    }

    /// The cell as the record will hold it.
    fn reading(&self) -> Reading {
        Reading {
            station: self.station.clone(),
            axis: self.axis.clone(),
            gauge: self.gauge.clone(),
            entered: self.entered.iter().map(|reading| reading.text.clone()).collect(),
            confirmed: self.confirmed.clone(),
        }
    }
}

/// A row that is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Its line in the file or sheet.
    pub line: usize,
    /// The heading of the column that is wrong; empty: the row as a whole.
    pub column: String,
    /// What is wrong, as a part of a sentence.
    pub reason: String,
    /// What to do, as a sentence; may be empty where the reason says it.
    pub remedy: String,
}

impl Refused {
    /// In words: where, what, and what to do.
    pub fn words(&self) -> String {
        let column = match self.column.as_str() {
            "" => String::new(),
            column => format!(", column {column}"),
        };
        let remedy = if self.remedy.is_empty() { String::new() } else { format!(" {}", self.remedy) };
        format!("Line {}{column}: refused: {}.{remedy}", self.line, self.reason)
    }
}

/// What a file comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Import {
    /// The cells that would be taken.
    pub taken: Vec<Taken>,
    /// How many readings the record has already just as the file has them.
    pub unchanged: usize,
    /// The gauges that would be added to the overhaul.
    pub gauges: Vec<Gauge>,
    /// The temperatures that the file gives, where they differ from the record's.
    pub temperatures: Option<Temperatures>,
    /// The record has other temperatures.
    pub replaces_temperatures: bool,
    /// The rows that are not taken, by line.
    pub refused: Vec<Refused>,
    /// What is worth knowing beside it, as sentences.
    pub notes: Vec<String>,
}

/// What a person agrees to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Consent {
    /// Refused rows are left out, and the other cells taken all the same.
    pub leave_out_refused: bool,
    /// Values that are not likely to be diameters of their bore are taken.
    pub accept_implausible: bool,
    /// Readings and temperatures that the record holds are replaced.
    pub replace: bool,
}

/// What stands against taking a file over, until a person agrees to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// So many rows are refused.
    Refused(usize),
    /// So many values are not likely to be diameters of their bore.
    Implausible(usize),
    /// So many cells hold other readings, and the overhaul other temperatures.
    Replaces(usize, bool),
}

impl Obstacle {
    /// In words, as a sentence.
    pub fn words(self) -> String {
        match self {
            Self::Refused(1) => "1 row is refused.".to_owned(),
            Self::Refused(count) => format!("{count} rows are refused."),
            Self::Implausible(1) => "1 value is not likely to be a diameter of its bore.".to_owned(),
            Self::Implausible(count) => {
                format!("{count} values are not likely to be diameters of their bores.")
            }
            Self::Replaces(0, _) => "The overhaul has other temperatures.".to_owned(),
            Self::Replaces(cells, temperatures) => format!(
                "{} other readings in the record{}.",
                if cells == 1 { "1 place has".to_owned() } else { format!("{cells} places have") },
                if temperatures { ", and the overhaul has other temperatures" } else { "" }
            ),
        }
    }
}

/// An import that a person has agreed to: made by [`Import::agreed`] alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Agreed(Import);

impl Agreed {
    /// How many readings are taken over, repeats counted.
    pub fn readings(&self) -> usize {
        self.0.readings()
    }

    /// Puts the readings into an overhaul. `limits` gives the order of new cells; none: behind the others.
    pub(crate) fn apply_import(self, overhaul: &mut Overhaul, limits: Option<&Limits>) {
        let Import { taken, gauges, temperatures, .. } = self.0;
        let cells = taken.iter().map(|taken| (taken.cylinder, taken.reading()));
        put(overhaul, limits, gauges, temperatures, cells);
    }
}

/// Puts cells, the gauges they were read with, and temperatures into an overhaul.
fn put(
    overhaul: &mut Overhaul,
    limits: Option<&Limits>,
    gauges: Vec<Gauge>,
    temperatures: Option<Temperatures>,
    cells: impl Iterator<Item = (usize, Reading)>,
) {
    overhaul.gauges.extend(gauges);
    if temperatures.is_some() {
        overhaul.temperatures = temperatures;
    }
    for (cylinder, reading) in cells {
        if let Some(cylinder) = overhaul.cylinders.get_mut(cylinder) {
            entry::place(cylinder, limits, reading);
        }
    }
}

impl Import {
    /// How many readings are taken, repeats counted.
    pub fn readings(&self) -> usize {
        self.taken.iter().map(|taken| taken.entered.len()).sum()
    }

    /// The values that are not likely to be diameters of their bore, with their cells.
    pub fn implausible(&self) -> impl Iterator<Item = (&Taken, &TakenReading, &str)> {
        self.taken.iter().flat_map(|taken| {
            let doubtful = |reading: &'_ TakenReading| reading.doubt.is_some();
            taken
                .entered
                .iter()
                .filter(move |reading| doubtful(reading))
                .map(move |reading| (taken, reading, reading.doubt.as_deref().unwrap_or_default()))
        })
    }

    /// Nothing in it would change the record?
    pub fn is_empty(&self) -> bool {
        self.taken.is_empty() && self.temperatures.is_none()
    }

    /// What must be agreed to, beyond what is.
    pub fn obstacles(&self, consent: Consent) -> Vec<Obstacle> {
        let replaced = self.taken.iter().filter(|taken| !taken.replaces.is_empty()).count();
        let all = [
            (!consent.leave_out_refused && !self.refused.is_empty())
                .then_some(Obstacle::Refused(self.refused.len())),
            Some(self.implausible().count())
                .filter(|count| !consent.accept_implausible && *count > 0)
                .map(Obstacle::Implausible),
            (!consent.replace && (replaced > 0 || self.replaces_temperatures))
                .then_some(Obstacle::Replaces(replaced, self.replaces_temperatures)),
        ];
        all.into_iter().flatten().collect()
    }

    /// The import, if nothing stands against it any more.
    ///
    /// # Errors
    /// What must be agreed to first.
    pub fn agreed(&self, consent: Consent) -> Result<Agreed, Vec<Obstacle>> {
        let obstacles = self.obstacles(consent);
        if obstacles.is_empty() { Ok(Agreed(self.clone())) } else { Err(obstacles) }
    }

    /// What it comes to, as sentences. `done`: it has been taken over.
    pub fn summary(&self, overhaul: &Overhaul, done: bool) -> String {
        let verb = if done { "are" } else { "would be" };
        let mut text = format!(
            "{} at {} {verb} taken over into the overhaul of {}.",
            counted(self.readings(), "reading"),
            counted(self.taken.len(), "place"),
            overhaul.date
        );
        if self.unchanged > 0 {
            text.push_str(&format!(
                " {} in the record already.",
                if self.unchanged == 1 {
                    "1 other is".to_owned()
                } else {
                    format!("{} others are", self.unchanged)
                }
            ));
        }
        for gauge in &self.gauges {
            text.push_str(&format!(
                " Gauge `{}` {} added: it reads diameters",
                gauge.name,
                if done { "is" } else { "would be" }
            ));
            text.push_str(if gauge.calibration.is_some() || gauge.zeroed_on.is_some() {
                "."
            } else {
                ", and nothing is known of its calibration."
            });
        }
        text
    }
}

/// Reads a file's rows for an overhaul. Nothing is changed.
///
/// # Errors
/// If columns are missing, or there is no overhaul or table of limits to read them for.
pub fn import(
    grid: &Grid,
    mapping: &Mapping,
    unstated: &Unstated,
    (record, index): (&EngineRecord, usize),
    evaluation: &Evaluation,
) -> Result<Import, Diagnostic> {
    let missing = mapping.missing();
    if !missing.is_empty() {
        if let Some(other) = kind::of_headings(&grid.headings).and_then(|kind| kind.instead_of(&KIND)) {
            return Err(other);
        }
        let names: Vec<&str> = missing.iter().flat_map(|missing| missing.split(" or ")).collect();
        return Err(Diagnostic::error(format!("No column holds the {}.", missing.join(", nor the ")))
            .remedy(format!(
                "Say which one does; the file has: {}.{}",
                grid.headings.join(", "),
                heading::likely(&mapping.unused(grid), &names)
            )));
    }
    mapping.check_temperatures(grid)?;
    let (Some(overhaul), Some(survey)) = (record.overhauls.get(index), evaluation.survey.as_ref()) else {
        return Err(Diagnostic::error("There is no overhaul with a table of limits to take readings for.")
            .remedy(
                "Its stations and axes say where a reading belongs: add the overhaul and its table first.",
            ));
    };
    let gauges = Gauges::new(overhaul, unstated.gauge.as_deref())?;
    let unit = unstated.unit.unwrap_or(overhaul.unit);
    let reader = Reader { record, overhaul, limits: &survey.limits, mapping, grid, unit };
    let mut work = Work { reader, survey, gauges, index, import: Import::default() };
    work.all();
    Ok(work.import)
}

/// A cell: cylinder, station and axis by their indices.
type CellKey = (usize, usize, usize);

/// A cell under work.
struct OpenCell {
    key: CellKey,
    rows: Vec<Row>,
    /// The gauge as it will be kept, and in words.
    gauge: (Option<String>, String),
    /// For each row: the text that is kept, the unit it is in, and whether digits were cut off.
    texts: Vec<(String, String, bool)>,
}

struct Work<'a> {
    reader: Reader<'a>,
    survey: &'a Survey,
    gauges: Gauges<'a>,
    index: usize,
    import: Import,
}

impl Work<'_> {
    fn all(&mut self) {
        let (mut cells, mut spoilt) =
            (BTreeMap::<CellKey, Vec<Row>>::new(), BTreeMap::<CellKey, usize>::new());
        let mut empty = Vec::new();
        let grid = self.reader.grid;
        for (line, texts) in &grid.rows {
            match self.reader.row(*line, texts) {
                Ok(Some(row)) => {
                    empty.extend(row.value.is_none().then_some(*line));
                    cells.entry(row.cell).or_default().push(row);
                }
                Ok(None) => empty.push(*line),
                Err((cell, refused)) => {
                    if let Some(cell) = cell {
                        spoilt.entry(cell).or_insert(*line);
                    }
                    self.import.refused.push(refused);
                }
            }
        }
        self.note_empty(&empty);
        self.temperatures(&mut cells, &mut spoilt);
        let mut open = Vec::new();
        for (key, rows) in cells {
            match spoilt.get(&key) {
                Some(&line) => self.hold_back(&rows, line),
                None => open.extend(self.cell(key, rows)),
            }
        }
        self.resolve(open);
        self.import.gauges = self.gauges.made(&self.import.taken);
        if self.import.taken.is_empty() && self.import.unchanged == 0 {
            // Temperatures of readings that are not taken are nobody's.
            self.import.temperatures = None;
            self.import.replaces_temperatures = false;
        }
        self.import.refused.sort_by_key(|refused| refused.line);
    }

    fn note_empty(&mut self, lines: &[usize]) {
        let first: Vec<String> = lines.iter().take(5).map(usize::to_string).collect();
        let more = if lines.len() > first.len() { ", and more" } else { "" };
        match lines {
            [] => {}
            [line] => self.import.notes.push(format!("Line {line} has no reading.")),
            _ => self.import.notes.push(format!("These lines have no reading: {}{more}.", first.join(", "))),
        }
    }

    fn refuse(
        &mut self,
        line: usize,
        field: Option<Field>,
        reason: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let column = field.map_or(String::new(), |field| self.reader.heading(field));
        self.import.refused.push(Refused { line, column, reason: reason.into(), remedy: remedy.into() });
    }

    /// Refuses the rows of a cell of which another row is refused: half a cell would pass for the whole.
    fn hold_back(&mut self, rows: &[Row], line: usize) {
        for row in rows.iter().filter(|row| row.value.is_some()) {
            let reason =
                format!("line {line} of the same place is refused, and a place is taken whole or not at all");
            self.refuse(row.line, None, reason, "");
        }
    }

    /// Refuses one row of a cell, and holds the others back.
    fn refuse_in(&mut self, rows: &[Row], bad: usize, field: Option<Field>, reason: String, remedy: String) {
        let Some(line) = rows.get(bad).map(|row| row.line) else { return };
        self.refuse(line, field, reason, remedy);
        for (i, row) in rows.iter().enumerate() {
            if i != bad {
                self.hold_back(std::slice::from_ref(row), line);
            }
        }
    }

    /// Temperatures belong to the whole overhaul: rows that give others than the first one are refused.
    fn temperatures(
        &mut self,
        cells: &mut BTreeMap<CellKey, Vec<Row>>,
        spoilt: &mut BTreeMap<CellKey, usize>,
    ) {
        let given = cells.values().flatten().filter(|row| row.temperatures.is_some());
        let Some(first) = given.min_by_key(|row| row.line) else { return };
        let (first_line, found) = (first.line, first.temperatures);
        for (key, rows) in cells.iter_mut() {
            let differs = |row: &Row| row.temperatures.is_some() && row.temperatures != found;
            let (other, same): (Vec<Row>, Vec<Row>) = rows.drain(..).partition(differs);
            *rows = same;
            for row in other {
                spoilt.entry(*key).or_insert(row.line);
                let reason = format!(
                    "its temperatures are not those of line {first_line}, and an overhaul has one pair"
                );
                let remedy = "Correct them, or leave the columns of the temperatures unused.";
                self.refuse(row.line, Some(Field::BarrelC), reason, remedy);
            }
        }
        let Some(given) = found else { return };
        let stands = self.reader.overhaul.temperatures.as_ref();
        if stands.is_some_and(|t| (t.barrel, t.gauge) == (given.barrel, given.gauge)) {
            return;
        }
        let none = Temperatures {
            barrel: given.barrel,
            gauge: given.gauge,
            within: None,
            expansion_within_ppm: None,
            barrel_expansion_ppm: None,
            correct_readings: false,
        };
        let kept = stands.cloned().unwrap_or(none);
        self.import
            .notes
            .push(format!("Temperatures of the file: barrel {} °C, gauge {} °C.", given.barrel, given.gauge));
        self.import.replaces_temperatures = stands.is_some();
        self.import.temperatures = Some(Temperatures { barrel: given.barrel, gauge: given.gauge, ..kept });
    }

    /// Brings the rows of a cell into order and decides on its gauge; none: they are refused.
    fn cell(&mut self, key: CellKey, mut rows: Vec<Row>) -> Option<OpenCell> {
        // By their numbers; rows without one keep the order of the file.
        rows.sort_by_key(|row| row.repeat.unwrap_or(usize::MAX));
        if let Some((bad, reason)) = wrong_repeats(&rows) {
            let remedy = "Number the repeats of a place from 1, or none of them.";
            self.refuse_in(&rows, bad, Some(Field::Repeat), reason, remedy.to_owned());
            return None;
        }
        // A row without a reading only says that its repeat was not taken.
        rows.retain(|row| row.value.is_some());
        let first = rows.first()?;
        if let Some((bad, field)) = unlike(first, &rows) {
            let reason = match field {
                Field::Confirmed => "its place has another reason in a row above",
                Field::Reading => "its place has a reading in one row and only a diameter in another",
                _ => "its place was read with another gauge in a row above, and a place has one gauge",
            };
            self.refuse_in(
                &rows,
                bad,
                Some(field),
                reason.to_owned(),
                "Make the rows of a place alike.".to_owned(),
            );
            return None;
        }
        let is_diameter = first.value.as_ref().is_some_and(|value| value.is_diameter);
        let stands = self.reader.standing(key);
        let chosen = match self.gauges.choose(&first.gauge, is_diameter, stands) {
            Ok(chosen) => chosen,
            Err((field, reason, remedy)) => {
                self.refuse_in(&rows, 0, field, reason, remedy);
                return None;
            }
        };
        let mut texts = Vec::with_capacity(rows.len());
        for (bad, row) in rows.iter().enumerate() {
            let Some(value) = &row.value else { continue };
            match self.reader.kept(value, &chosen) {
                Ok(text) => texts.push(text),
                Err((field, reason, remedy)) => {
                    self.refuse_in(&rows, bad, Some(field), reason, remedy);
                    return None;
                }
            }
        }
        Some(OpenCell { key, rows, gauge: (chosen.kept, chosen.words), texts })
    }

    /// Puts the cells into a copy of the overhaul, resolves it, and takes those that make diameters of their bores.
    fn resolve(&mut self, cells: Vec<OpenCell>) {
        let mut copy = self.reader.record.clone();
        let Some(overhaul) = copy.overhauls.get_mut(self.index) else { return };
        let readings = cells.iter().filter_map(|cell| Some((cell.key.0, self.reading(cell)?)));
        let readings: Vec<_> = readings.collect();
        let limits = self.reader.limits;
        let temperatures = self.import.temperatures.clone();
        put(overhaul, Some(limits), self.gauges.all_made(), temperatures, readings.into_iter());
        let resolved = resolve::survey(&copy, self.index, Some(self.survey.limits.clone()));
        let Some(survey) = resolved.value else { return };
        for cell in cells {
            self.resolved(cell, &copy, &survey, &resolved.diagnostics);
        }
    }

    fn reading(&self, cell: &OpenCell) -> Option<Reading> {
        let (_, station, axis) = cell.key;
        Some(Reading {
            station: self.reader.limits.stations.get(station)?.name.clone(),
            axis: self.reader.limits.axes.get(axis)?.label.clone(),
            gauge: cell.gauge.0.clone(),
            entered: cell.texts.iter().map(|(text, ..)| text.clone()).collect(),
            confirmed: reason_of(&cell.rows).to_owned(),
        })
    }

    /// Takes a cell, as the resolved copy has it, or refuses its rows.
    fn resolved(&mut self, cell: OpenCell, copy: &EngineRecord, survey: &Survey, reported: &[Diagnostic]) {
        let (cylinder, station, axis) = cell.key;
        let at = Point::new(station, axis);
        let read = survey.cylinders.get(cylinder).and_then(|cylinder| cylinder.bore.cell(at));
        let repeats = read.map(|read| read.as_read()).unwrap_or_default();
        let (Some(read), true) = (read, repeats.len() == cell.texts.len()) else {
            let (bad, reason, remedy) = self.unreadable(&cell, copy, survey, reported);
            self.refuse_in(&cell.rows, bad, cell.field(bad), reason, remedy);
            return;
        };
        let bore = plausible::Bore::new(survey, cylinder);
        let (style, mut entered) = (read.style, Vec::with_capacity(repeats.len()));
        let (mut cut, mut wrong) = (None, None);
        for (i, ((row, (text, unit, shortened)), &diameter)) in
            cell.rows.iter().zip(&cell.texts).zip(repeats).enumerate()
        {
            let Some(value) = &row.value else { continue };
            let style = Style { decimals: style.decimals.max(diameter.decimals(style.unit).min(6)), ..style };
            if let Some(beside) = value.beside.filter(|beside| (*beside - diameter).abs() > SAME) {
                let reason = format!(
                    "the file has the diameter {} beside it, and `{}` on gauge `{}` makes {} here",
                    beside.text(style),
                    row::shown(&value.text),
                    cell.gauge.1,
                    diameter.text(style)
                );
                let remedy = "Correct the gauge or its setting standard in the record; or take the diameters, and \
                              leave the column of the readings unused.";
                wrong = Some((i, Some(Field::Diameter), reason, remedy.to_owned()));
                break;
            }
            let doubt = match bore.fit(diameter, style) {
                Fit::Likely => None,
                Fit::Doubtful(why) => Some(why),
                Fit::Impossible(why, remedy) => {
                    wrong = Some((i, cell.field(i), why, remedy));
                    break;
                }
            };
            if *shortened {
                cut.get_or_insert((row.line, text.clone()));
            }
            entered.push(TakenReading {
                line: row.line,
                written: value.text.clone(),
                text: text.clone(),
                unit: unit.clone(),
                diameter,
                style,
                doubt,
            });
        }
        if let Some((bad, field, reason, remedy)) = wrong {
            self.refuse_in(&cell.rows, bad, field, reason, remedy);
            return;
        }
        if let Some((line, text)) = cut {
            self.import.notes.push(format!(
                "Line {line} has more digits than can be kept: it is taken as {}.",
                row::shown(&text)
            ));
        }
        self.take(&cell, entered);
    }

    /// Why a cell of the copy makes no diameters: which row, what, and what to do.
    fn unreadable(
        &self,
        cell: &OpenCell,
        copy: &EngineRecord,
        survey: &Survey,
        reported: &[Diagnostic],
    ) -> (usize, String, String) {
        let gauge = survey.gauge(&cell.gauge.1).map(|(gauge, _)| gauge);
        if let Some(why) = gauge.and_then(|gauge| gauge.unusable.first()) {
            let reason = format!("readings of gauge `{}` are not judged: {why}", cell.gauge.1);
            return (0, reason, "Put that right in the record first.".to_owned());
        }
        let (cylinder, station, axis) = cell.key;
        let cylinder_in =
            copy.overhauls.get(self.index).and_then(|overhaul| overhaul.cylinders.get(cylinder));
        let name = self.reader.limits.stations.get(station).map(|station| station.name.as_str());
        let label = self.reader.limits.axes.get(axis).map(|axis| axis.label.as_str());
        let reading = cylinder_in.and_then(|cylinder| {
            let is = |r: &Reading| Some(r.station.as_str()) == name && Some(r.axis.as_str()) == label;
            cylinder.readings.iter().position(is)
        });
        let of_cell = |diagnostic: &&Diagnostic| {
            let path = &diagnostic.path.0;
            let element = |i: usize| match path.get(i) {
                Some(PathStep::Element(element)) => Some(*element),
                _ => None,
            };
            element(1) == Some(self.index)
                && path.get(2) == Some(&PathStep::Field("cylinders"))
                && element(3) == Some(cylinder)
                && path.get(4) == Some(&PathStep::Field("readings"))
                && element(5) == reading
        };
        match reported.iter().filter(|diagnostic| diagnostic.is_error()).find(of_cell) {
            Some(diagnostic) => {
                let repeat = match diagnostic.path.0.get(7) {
                    Some(PathStep::Element(repeat)) => *repeat,
                    _ => 0,
                };
                (repeat, diagnostic.message.clone(), diagnostic.remedy.clone())
            }
            None => (
                0,
                format!("gauge `{}` makes no diameter of it", cell.gauge.1),
                "Put the gauge and its setting standard right in the record first; `check` says what is wrong.".to_owned(),
            ),
        }
    }

    /// Takes a cell, unless the record has it already.
    fn take(&mut self, cell: &OpenCell, entered: Vec<TakenReading>) {
        let Some(Reading { station, axis, gauge, confirmed, .. }) = self.reading(cell) else { return };
        let mut taken = Taken {
            cylinder: cell.key.0,
            station,
            axis,
            gauge,
            gauge_words: cell.gauge.1.clone(),
            entered,
            confirmed,
            replaces: Vec::new(),
        };
        if let Some(stands) = self.reader.standing(cell.key) {
            let named = cell.rows.first().map_or("", |row| row.gauge.as_str());
            let gauge = self.gauges.name_of(stands.gauge.as_deref());
            let same_gauge =
                named.is_empty() || gauge == Some(named) || gauge == Some(taken.gauge_words.as_str());
            let same_texts = stands.entered == taken.texts();
            let (cylinder, station, axis) = cell.key;
            let bore = self.survey.cylinders.get(cylinder).map(|cylinder| &cylinder.bore);
            let read = bore.and_then(|bore| bore.cell(Point::new(station, axis)));
            let diameters = taken.entered.iter().map(|reading| reading.diameter);
            let same_diameters = read.is_some_and(|read| {
                read.as_read().len() == stands.entered.len() && diameters.eq(read.as_read().iter().copied())
            });
            if same_gauge && (same_texts || same_diameters) {
                if taken.confirmed.is_empty() || taken.confirmed == stands.confirmed {
                    self.import.unchanged += taken.entered.len();
                    return;
                }
                // What is new is only why it stands.
                taken.gauge = stands.gauge.clone();
                for (reading, text) in taken.entered.iter_mut().zip(&stands.entered) {
                    reading.text.clone_from(text);
                    reading.doubt = None;
                }
                taken.replaces =
                    if stands.confirmed.is_empty() { Vec::new() } else { vec![stands.confirmed.clone()] };
            } else {
                taken.replaces = stands.entered.clone();
            }
        }
        self.import.taken.push(taken);
    }
}

impl OpenCell {
    /// The column that a row's value stands in.
    fn field(&self, row: usize) -> Option<Field> {
        let value = self.rows.get(row)?.value.as_ref()?;
        Some(if value.is_diameter { Field::Diameter } else { Field::Reading })
    }
}

/// Which row of a cell is numbered wrongly, and why. The rows stand in the order of their numbers.
fn wrong_repeats(rows: &[Row]) -> Option<(usize, String)> {
    let numbered = rows.iter().filter(|row| row.repeat.is_some()).count();
    if numbered == 0 {
        return None;
    }
    let wrong = |(i, row): (usize, &Row)| match row.repeat {
        None => Some((i, "it has no repeat number, and others of its place have one".to_owned())),
        Some(repeat) if repeat == i + 1 => None,
        Some(repeat) if repeat <= i => {
            Some((i, format!("its place has repeat {repeat} in another row already")))
        }
        Some(repeat) => {
            Some((i, format!("it is repeat {repeat} of its place, and repeat {} is missing", i + 1)))
        }
    };
    rows.iter().enumerate().find_map(wrong)
}

/// Why a cell stands though it looks wrong, as one of its rows says.
fn reason_of(rows: &[Row]) -> &str {
    rows.iter().map(|row| row.confirmed.as_str()).find(|reason| !reason.is_empty()).unwrap_or_default()
}

/// Which row of a cell is of another kind than the first one, and by which column.
fn unlike(first: &Row, rows: &[Row]) -> Option<(usize, Field)> {
    let is_diameter = |row: &Row| row.value.as_ref().is_some_and(|value| value.is_diameter);
    let confirmed = reason_of(rows);
    let field = |row: &Row| {
        if row.gauge != first.gauge {
            Some(Field::Gauge)
        } else if is_diameter(row) != is_diameter(first) {
            Some(Field::Reading)
        } else if !row.confirmed.is_empty() && row.confirmed != confirmed {
            Some(Field::Confirmed)
        } else {
            None
        }
    };
    rows.iter().enumerate().find_map(|(i, row)| Some((i, field(row)?)))
}
