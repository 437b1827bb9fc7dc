//! An engine record as what is followed across overhauls: one [`SurveySheet`] an overhaul, figures instead of readings.
//!
//! This is what an index keeps, so it is small, holds no text of a reading, and is the same whether it was
//! just worked out or read from a cache.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::figure::{Estimate, Figure, Scheme, packed};
use judging::slips;
use quantities::length::{Length, Style, Unit};
use records::diag::{self, Diagnostic, FieldPath};
use records::limits::schema::{FitKind, TableOfLimits};
use records::limits::{Limits, value};
use records::record::resolve;
use records::record::schema::{self, Decision, Engine, EngineRecord, Overhaul};
use records::survey::{Cylinder, Survey};

/// An engine by its model and serial number.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EngineName {
    /// Model.
    pub model: String,
    /// Serial number.
    pub serial: String,
    /// The file of its record where it has no serial number: the engines of two records are two.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub file: String,
}

impl EngineName {
    /// The name of a record's engine; `file` is where the record came from.
    pub fn of(engine: &Engine, file: Option<&Path>) -> Self {
        let serial = engine.serial.trim().to_owned();
        let file = file.filter(|_| serial.is_empty()).map(|file| file.display().to_string());
        Self { model: engine.model.trim().to_owned(), serial, file: file.unwrap_or_default() }
    }

    /// `Wexcombe Six W6-0001`; `Wexcombe Six (bench.ron)` where it has no serial number.
    pub fn words(&self) -> String {
        let model = if self.model.is_empty() { "an engine without a name" } else { self.model.as_str() };
        let file = Path::new(&self.file).file_name().map(|name| name.to_string_lossy());
        match (self.serial.as_str(), file) {
            ("", Some(file)) => format!("{model} ({file})"),
            ("", None) => model.to_owned(),
            (serial, _) if self.model.is_empty() => serial.to_owned(),
            (serial, _) => format!("{model} {serial}"),
        }
    }
}

/// What is known of the temperature of a survey's readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Temperature {
    /// Recorded: the figures are those at 20 °C.
    At20,
    /// Not recorded: the figures are as read.
    Unknown,
}

/// A cylinder at one overhaul.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SheetCylinder {
    /// Position on the engine.
    pub position: String,
    /// Serial number; may be empty.
    pub serial: String,
    /// Its oversize in tenths of a nanometre, zero for standard; none if it cannot be read.
    pub(super) oversize: Option<i64>,
    /// The size it was last finished to, in tenths of a nanometre.
    pub(super) finished_to: Option<i64>,
    /// A person decided to replace it.
    pub condemned: bool,
    /// Readings that look wrong and that nobody has confirmed, each as a sentence.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub doubts: Vec<String>,
    /// Figures, by their places in the scheme, that need something that was entered and cannot be used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<usize>,
    /// Decimals that its readings were entered with, in the unit of the table, where the table has fewer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decimals: Option<u8>,
    /// The values of its figures, in the order of the scheme.
    #[serde(with = "packed")]
    pub readings: Vec<Option<Estimate>>,
}

impl SheetCylinder {
    /// How much over standard it is; none if that cannot be read.
    pub fn oversize(&self) -> Option<Length> {
        self.oversize.map(Length::from_tenths_of_nm)
    }

    /// Is any figure of it known? What is only listed at an overhaul is not measured.
    pub fn is_measured(&self) -> bool {
        self.readings.iter().any(Option::is_some)
    }

    /// The size it was last finished to.
    pub fn finished_to(&self) -> Option<Length> {
        self.finished_to.map(Length::from_tenths_of_nm)
    }
}

/// One overhaul of an engine.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveySheet {
    /// The engine.
    pub engine: Arc<EngineName>,
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine in hours.
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    pub hours_since_overhaul: Option<f64>,
    /// What its figures are.
    pub scheme: Arc<Scheme>,
    /// The unit it was written in.
    pub unit: Unit,
    /// Temperatures.
    pub temperature: Temperature,
    /// Its setting standards, each by name and size: two surveys with the same one share its error.
    pub standards: Vec<String>,
    /// Its cylinders.
    pub cylinders: Vec<SheetCylinder>,
}

impl SurveySheet {
    /// Is any of its cylinders measured?
    pub fn is_measured(&self) -> bool {
        self.cylinders.iter().any(SheetCylinder::is_measured)
    }
}

/// The sheets of a record, and what could not be read in it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheets {
    /// One for each overhaul that can be read, in the order of the record.
    pub sheets: Vec<Arc<SurveySheet>>,
    /// What could not be read, each a full line with its place.
    pub reported: Vec<String>,
}

/// Hours that can be worked with.
fn hours(written: Option<f64>) -> Option<f64> {
    written.filter(|hours| hours.is_finite() && *hours >= 0.0)
}

/// Tables of limits that were read already, for whoever reads many records: most of them hold the same few, each a copy
/// of its own.
#[derive(Debug, Default)]
pub struct Tables(Mutex<Vec<(TableOfLimits, Table)>>);

/// A table as it is judged by, and what is followed by it.
type Table = (Arc<Limits>, Arc<Scheme>);

impl Tables {
    /// How many are remembered; a record with a further one has it read for itself.
    const MOST: usize = 64;

    /// What came of a table that is the same in everything.
    fn find(&self, written: &TableOfLimits) -> Option<Table> {
        let known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        known.iter().find(|(other, _)| other == written).map(|(_, table)| table.clone())
    }

    fn keep(&self, written: &TableOfLimits, table: &Table) {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if known.len() < Self::MOST {
            known.push((written.clone(), table.clone()));
        }
    }
}

/// Works out the figures of every overhaul of a record; `file` is where it came from, for what is told.
pub fn sheets(record: &EngineRecord, file: Option<&Path>) -> Sheets {
    sheets_by(record, file, &Tables::default())
}

/// [`sheets`] of one of many records.
pub fn sheets_by(record: &EngineRecord, file: Option<&Path>, known: &Tables) -> Sheets {
    let mut found = Sheets::default();
    let mut reported = Vec::new();
    let engine = Arc::new(EngineName::of(&record.engine, file));
    let mut tables: Vec<Table> = Vec::new();
    for (index, overhaul) in record.overhauls.iter().enumerate() {
        let (sheet, diagnostics) = match one(record, index, overhaul, &engine, (&mut tables, known)) {
            Ok((sheet, diagnostics)) => (Some(sheet), diagnostics),
            Err(diagnostics) => (None, diagnostics),
        };
        found.sheets.extend(sheet.map(Arc::new));
        reported.extend(diagnostics.into_iter().filter(Diagnostic::is_error).map(|mut error| {
            error.file = file.map(Path::to_owned);
            let place = if error.place.is_empty() { String::new() } else { format!(", {}", error.place) };
            error.place = format!("survey of {}{place}", overhaul.date);
            error
        }));
    }
    found.reported = diag::reported(&reported).iter().map(ToString::to_string).collect();
    found
}

type WithDiagnostics = Vec<Diagnostic>;

fn one(
    record: &EngineRecord,
    index: usize,
    overhaul: &Overhaul,
    engine: &Arc<EngineName>,
    (tables, known): (&mut Vec<Table>, &Tables),
) -> Result<(SurveySheet, WithDiagnostics), WithDiagnostics> {
    let (limits, scheme) = table(record, overhaul, index, tables, known)?;
    let reported = resolve::survey(record, index, Some(limits.clone()));
    let Some(survey) = reported.value else { return Err(reported.diagnostics) };
    // The cylinders of the survey are those of the record, one for one.
    let cylinders = survey
        .cylinders
        .iter()
        .zip(&overhaul.cylinders)
        .map(|(cylinder, written)| SheetCylinder {
            position: cylinder.position.trim().to_owned(),
            serial: cylinder.serial.trim().to_owned(),
            oversize: value::oversize(&written.size, overhaul.unit).ok().map(Length::tenths_of_nm),
            finished_to: cylinder.finished_to.map(|(size, _)| size.tenths_of_nm()),
            condemned: written.disposition.as_ref().is_some_and(|d| d.decision == Decision::Replace),
            doubts: doubts(cylinder, &survey),
            unread: unread(&scheme, &limits, cylinder, written),
            decimals: decimals(&limits, cylinder),
            readings: scheme.readings(&limits, &survey, cylinder),
        })
        .collect();
    let exact = Style { unit: Unit::Millimetre, decimals: 7 };
    let standards =
        survey.standards.iter().map(|s| format!("{}, {}", s.name.trim(), s.size.text(exact))).collect();
    let temperature = if survey.conditions.is_some() { Temperature::At20 } else { Temperature::Unknown };
    let sheet = SurveySheet {
        engine: engine.clone(),
        date: overhaul.date,
        total_hours: hours(overhaul.total_hours),
        hours_since_overhaul: hours(overhaul.hours_since_overhaul),
        scheme,
        unit: overhaul.unit,
        temperature,
        standards,
        cylinders,
    };
    Ok((sheet, reported.diagnostics))
}

/// The figures that need something that was entered and cannot be used.
fn unread(scheme: &Scheme, limits: &Limits, cylinder: &Cylinder, written: &schema::Cylinder) -> Vec<usize> {
    let row = limits.fits.iter().find(|row| row.limits.kind == FitKind::SkirtInBore);
    let is_read = |fit: &schema::Fit| {
        let read = cylinder
            .fits
            .iter()
            .find(|read| limits.fits.get(read.row).is_some_and(|row| row.limits.source.reference == fit.row));
        read.is_some_and(|read| {
            (fit.hole.is_none() || read.hole.is_some())
                && (fit.shaft.is_none() || read.shaft.is_some())
                && (fit.clearance.is_none() || read.clearance.is_some())
        })
    };
    let of_skirt = |fit: &&schema::Fit| row.is_some_and(|row| row.limits.source.reference == fit.row);
    let skirt_is_unread = written.fits.iter().filter(of_skirt).any(|fit| !is_read(fit));
    if cylinder.unread.is_empty() && !skirt_is_unread {
        return Vec::new();
    }
    let needs = |figure: &Figure| figure.cells(limits).iter().any(|at| cylinder.unread.contains(at));
    let places = scheme.entries.iter().enumerate();
    places
        .filter(|(_, entry)| {
            needs(&entry.figure) || skirt_is_unread && entry.figure == Figure::SkirtClearance
        })
        .map(|(place, _)| place)
        .collect()
}

/// The most decimals that a cylinder's readings were entered with, where the table has fewer.
fn decimals(limits: &Limits, cylinder: &Cylinder) -> Option<u8> {
    let unit = Some(limits.style.unit);
    let most = cylinder.bore.measured().map(|(_, cell)| cell.style.shown_in(unit).decimals).max()?;
    (most > limits.style.decimals).then_some(most)
}

fn doubts(cylinder: &Cylinder, survey: &Survey) -> Vec<String> {
    // A caution without a guess of what was meant leaves the reading as good as any.
    let looks_wrong = |slip: &slips::Slip| slip.corrected(&cylinder.bore).is_some();
    slips::find(cylinder, survey)
        .iter()
        .filter(|slip| looks_wrong(slip))
        .map(|slip| slip.sentence(cylinder, &survey.limits))
        .collect()
}

/// The table of an overhaul, read once for all overhauls that name it, and for all records that hold it.
fn table(
    record: &EngineRecord,
    overhaul: &Overhaul,
    index: usize,
    tables: &mut Vec<Table>,
    known: &Tables,
) -> Result<Table, WithDiagnostics> {
    if let Some(named) = &overhaul.limits {
        let known = tables.iter().find(|(l, _)| l.identity == named.identity && l.revision == named.revision);
        if let Some(known) = known {
            return Ok(known.clone());
        }
    }
    let written = resolve::table_of(record, overhaul).map(|(_, written)| written);
    let table = match written.and_then(|written| known.find(written)) {
        Some(table) => table,
        None => {
            let path = FieldPath::default().field("overhauls").element(index);
            let limits = resolve::limits_of(record, overhaul, &path)?;
            let scheme = Arc::new(Scheme::of(&limits));
            let table = (limits, scheme);
            if let Some(written) = written {
                known.keep(written, &table);
            }
            table
        }
    };
    tables.push(table.clone());
    Ok(table)
}
