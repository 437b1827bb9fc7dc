//! Everything that can be done to a record: the only way anything in it changes.
//!
//! A [`Command`] speaks of the chosen overhaul, and of cells by their place in its table of limits. What a
//! person typed goes into the record as typed; nothing is read or judged here.

use jiff::civil::Date;

use super::history::{EditLocation, Key, Scope};
use crate::evaluation::Evaluation;
use crate::exchange::import::Agreed;
use crate::seal::{self, Signature};
use records::bore::Point;
use records::diag::{Diagnostic, FieldPath};
use records::limits::Limits;
use records::limits::schema::{Size, TableOfLimits};
use records::record::check;
use records::record::entry::place;
use records::record::schema::{
    Cylinder, Disposition, EngineRecord, Finding, Fit, Gauge, Overhaul, Reading, RingGap, SettingStandard,
    TableReference, Temperatures,
};
use records::survey::point_words;

/// A step of a cylinder's way through the shop, ticked by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Tagged with its position.
    Tagged,
    /// Cleaned.
    Cleaned,
    /// Looked over by eye.
    LookedOver,
}

impl Mark {
    /// All of them, in order of work.
    pub const ALL: [Self; 3] = [Self::Tagged, Self::Cleaned, Self::LookedOver];

    /// In a word or two.
    pub fn words(self) -> &'static str {
        match self {
            Self::Tagged => "tagged",
            Self::Cleaned => "cleaned",
            Self::LookedOver => "looked over",
        }
    }

    /// Is it set on a cylinder?
    pub fn is_set(self, cylinder: &Cylinder) -> bool {
        match self {
            Self::Tagged => cylinder.tagged,
            Self::Cleaned => cylinder.cleaned,
            Self::LookedOver => cylinder.looked_over,
        }
    }
}

/// A change to one cylinder.
#[derive(Clone, Debug, PartialEq)]
pub enum CylinderEdit {
    /// Its position on the engine.
    Position(String),
    /// Its serial number: another number is another cylinder in its place.
    Serial(String),
    /// Its current size.
    Size(Size),
    /// The size it was last finished to; none: not known.
    FinishedTo(Option<String>),
    /// Tick or untick a step of its way.
    Mark(Mark, bool),
    /// A reading as typed; an empty text takes the repeat away. A new cell gets the gauge, if one is named.
    Reading {
        /// The cell.
        at: Point,
        /// Which repeat, counted from 0; beyond the last it becomes the next one.
        repeat: usize,
        /// As typed.
        text: String,
        /// Name of the gauge for a cell that has no reading yet; none: the overhaul's first.
        gauge: Option<String>,
    },
    /// Many readings at once: cell, repeat, text.
    Readings {
        /// The readings.
        cells: Vec<(Point, usize, String)>,
        /// Name of the gauge for cells that have no reading yet.
        gauge: Option<String>,
    },
    /// The gauge that a cell was read with; none: the overhaul's first.
    ReadingGauge(Point, Option<String>),
    /// Why a reading that looks wrong stands all the same; empty: take that back.
    Confirm(Point, String),
    /// Another finding.
    AddFinding(Finding),
    /// A finding changed, by its index.
    EditFinding(usize, Finding),
    /// A finding taken away, by its index.
    RemoveFinding(usize),
    /// The measured pair of a row, by the row's reference; none: take it away.
    Fit(String, Option<Fit>),
    /// The measured gap of a row, by the row's reference; none: take it away.
    RingGap(String, Option<RingGap>),
    /// Its piston's weight as typed.
    PistonWeight(Option<String>),
    /// What a person decided; none: take it back.
    Decide(Option<Disposition>),
    /// Anything else.
    Remarks(String),
}

/// A change to the overhaul.
#[derive(Clone, Debug, PartialEq)]
pub enum OverhaulEdit {
    /// The day of measuring.
    Date(Date),
    /// Total time of the engine in hours.
    TotalHours(Option<f64>),
    /// Hours since the overhaul before.
    HoursSinceOverhaul(Option<f64>),
    /// The inspector's name.
    InspectorName(String),
    /// The inspector's certificate.
    InspectorCertificate(String),
    /// Setting standards.
    Standards(Vec<SettingStandard>),
    /// Gauges, the usual one first.
    Gauges(Vec<Gauge>),
    /// Temperatures.
    Temperatures(Option<Temperatures>),
    /// One more cylinder, at the end of the bank.
    AddCylinder(Box<Cylinder>),
    /// A cylinder taken away, by its index.
    RemoveCylinder(usize),
    /// Two cylinders change places on the engine; their positions stay where they are.
    ExchangePositions(usize, usize),
    /// Anything else.
    Remarks(String),
}

/// What is known of an overhaul when it is added.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NewOverhaul {
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine in hours.
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    pub hours_since_overhaul: Option<f64>,
}

impl NewOverhaul {
    /// One of which only the day is known yet.
    pub fn on(date: Date) -> Self {
        Self { date, total_hours: None, hours_since_overhaul: None }
    }

    /// The error that its hours would be in a record; none if there is nothing against them.
    pub fn wrong_hours(self, record: &EngineRecord) -> Option<Diagnostic> {
        let (mut record, index) = (record.clone(), record.overhauls.len());
        self.add_to(&mut record);
        let path = FieldPath::default().field("overhauls").element(index);
        let fields = ["total_hours", "hours_since_overhaul"].map(|field| path.field(field));
        check::check(&record)
            .into_iter()
            .find(|reported| reported.is_error() && fields.contains(&reported.path))
    }

    fn add_to(self, record: &mut EngineRecord) {
        let next = record.overhauls.last().map_or_else(|| empty_overhaul(self.date), |o| after(o, self.date));
        let hours = (self.total_hours, self.hours_since_overhaul);
        record.overhauls.push(Overhaul { total_hours: hours.0, hours_since_overhaul: hours.1, ..next });
    }
}

/// Everything that can be done to a record.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// A change to one cylinder of the chosen overhaul, by its index.
    Cylinder(usize, CylinderEdit),
    /// A change to the chosen overhaul.
    Overhaul(OverhaulEdit),
    /// One more overhaul, with the cylinders, sizes and gauges of the one before.
    AddOverhaul(NewOverhaul),
    /// The chosen overhaul is judged by this table from now on; the record keeps the tables it had.
    SwapLimits(Box<TableOfLimits>),
    /// A table of the record is replaced by an edited one, by its index.
    EditLimits(usize, Box<TableOfLimits>),
    /// The engine's model.
    EngineModel(String),
    /// The engine's serial number.
    EngineSerial(String),
    /// Whose the engine is.
    EngineOwner(String),
    /// What the engine is in.
    EngineInstalledIn(String),
    /// Readings from another program, as a person agreed to them: each cell that they are for gets them in place of its
    /// own.
    Import(Box<Agreed>),
    /// The chosen overhaul is signed: from then on it is closed.
    Sign(Signature),
    /// An amendment of the chosen overhaul begins: who, and why.
    Amend(Signature, String),
    /// Values of the chosen overhaul, each by its path in the canonical form of [`crate::seal`].
    SetFields(Vec<(String, String)>),
    /// The open amendment of the chosen overhaul is closed; one that changed nothing is taken away.
    CloseAmendment,
}

/// What a command comes to, before it is done.
pub(super) struct Plan {
    pub(super) scope: Scope,
    pub(super) label: String,
    pub(super) at: EditLocation,
    pub(super) key: Option<Key>,
    /// Once it is saved, it is not undone: a signature.
    pub(super) irrevocable: bool,
}

impl Command {
    /// Which part of the record it changes, and how undo names it.
    pub(super) fn plan(&self, record: &EngineRecord, overhaul: usize, evaluation: &Evaluation) -> Plan {
        let at = EditLocation { overhaul, ..EditLocation::default() };
        let typed = |field, at, element| Some(Key { field, at, element });
        let plan =
            |scope, label: &str| Plan { scope, label: label.to_owned(), at, key: None, irrevocable: false };
        let on = |scope, label: &str, field| Plan { key: typed(field, at, 0), ..plan(scope, label) };
        let signed =
            |label: String| Plan { irrevocable: true, ..plan(Scope::Overhaul(overhaul), label.as_str()) };
        match self {
            Self::Cylinder(index, edit) => edit.plan(record, overhaul, *index, evaluation),
            Self::Overhaul(edit) => {
                let (label, key) = edit.label();
                Plan {
                    scope: Scope::Overhaul(overhaul),
                    label: label.to_owned(),
                    at,
                    key: if key { typed(label, at, 0) } else { None },
                    irrevocable: false,
                }
            }
            // Where it will be: done again, it is seen again.
            Self::AddOverhaul(new) => Plan {
                at: EditLocation { overhaul: record.overhauls.len(), ..at },
                ..plan(Scope::Overhauls, &format!("new overhaul {}", new.date))
            },
            Self::SwapLimits(table) => plan(
                Scope::Overhauls,
                &format!("table of limits {} revision {}", table.identity, table.revision),
            ),
            Self::EditLimits(index, _) => Plan {
                scope: Scope::Overhauls,
                label: "table of limits edited".to_owned(),
                at,
                key: typed("table", at, *index),
                irrevocable: false,
            },
            Self::EngineModel(_) => on(Scope::Engine, "engine model", "model"),
            Self::EngineSerial(_) => on(Scope::Engine, "engine serial", "serial"),
            Self::EngineOwner(_) => on(Scope::Engine, "engine owner", "owner"),
            Self::EngineInstalledIn(_) => on(Scope::Engine, "what the engine is in", "installed in"),
            Self::Import(import) => {
                plan(Scope::Overhaul(overhaul), &format!("{} readings taken over", import.readings()))
            }
            Self::Sign(by) => signed(format!("signature of {}", by.name)),
            Self::Amend(by, _) => plan(Scope::Overhaul(overhaul), &format!("amendment begun by {}", by.name)),
            Self::SetFields(values) => plan(Scope::Overhaul(overhaul), &format!("{} values", values.len())),
            Self::CloseAmendment => signed("amendment closed".to_owned()),
        }
    }

    /// Changes the record. What does not exist is left alone.
    pub(super) fn apply(self, record: &mut EngineRecord, overhaul: usize, limits: Option<&Limits>) {
        match self {
            Self::Cylinder(index, edit) => {
                let Some(overhaul) = record.overhauls.get_mut(overhaul) else { return };
                let amended = overhaul.seal.is_some();
                if let Some(cylinder) = overhaul.cylinders.get_mut(index) {
                    edit.apply(cylinder, limits, amended);
                }
            }
            Self::Overhaul(edit) => {
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    edit.apply(overhaul);
                }
            }
            Self::AddOverhaul(new) => new.add_to(record),
            Self::SwapLimits(table) => {
                let named =
                    TableReference { identity: table.identity.clone(), revision: table.revision.clone() };
                let same =
                    |t: &&mut TableOfLimits| t.identity == named.identity && t.revision == named.revision;
                match record.tables.iter_mut().find(same) {
                    Some(found) => *found = *table,
                    None => record.tables.push(*table),
                }
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    overhaul.limits = Some(named);
                }
            }
            Self::EditLimits(index, table) => {
                if let Some(found) = record.tables.get_mut(index) {
                    let before = (found.identity.clone(), found.revision.clone());
                    let after =
                        TableReference { identity: table.identity.clone(), revision: table.revision.clone() };
                    *found = *table;
                    for named in record.overhauls.iter_mut().filter_map(|o| o.limits.as_mut()) {
                        if (&named.identity, &named.revision) == (&before.0, &before.1) {
                            *named = after.clone();
                        }
                    }
                }
            }
            Self::EngineModel(text) => record.engine.model = text,
            Self::EngineSerial(text) => record.engine.serial = text,
            Self::EngineOwner(text) => record.engine.owner = text,
            Self::EngineInstalledIn(text) => record.engine.installed_in = text,
            Self::Import(import) => {
                if let Some(overhaul) = record.overhauls.get_mut(overhaul) {
                    // Under a signature what is new stands behind the rest: see `CylinderEdit::apply`.
                    let limits = limits.filter(|_| overhaul.seal.is_none());
                    import.apply_import(overhaul, limits);
                }
            }
            // What speaks against these has been told before: see `closed`.
            Self::Sign(by) => drop(seal::sign(record, overhaul, &by)),
            Self::Amend(by, why) => drop(seal::amend(record, overhaul, &by, &why)),
            Self::SetFields(values) => drop(seal::set::set(record, overhaul, &values)),
            Self::CloseAmendment => drop(seal::close_amendment(record, overhaul)),
        }
    }
}

/// An overhaul of which nothing but the day is known.
pub fn empty_overhaul(date: Date) -> Overhaul {
    Overhaul {
        date,
        total_hours: None,
        hours_since_overhaul: None,
        inspector: Default::default(),
        limits: None,
        unit: Default::default(),
        standards: Vec::new(),
        gauges: Vec::new(),
        temperatures: None,
        cylinders: Vec::new(),
        remarks: String::new(),
        seal: None,
    }
}

/// The overhaul after another: the same cylinders, sizes, gauges and table, nothing measured yet.
///
/// A cylinder that a person decided to rebore has its new size; one replaced has no serial yet.
fn after(before: &Overhaul, date: Date) -> Overhaul {
    use records::record::schema::Decision;
    let cylinder = |cylinder: &Cylinder| {
        let decision = cylinder.disposition.as_ref().map(|disposition| &disposition.decision);
        let (serial, size) = match decision {
            Some(Decision::Rebore(size)) => (cylinder.serial.clone(), size.clone()),
            Some(Decision::Replace) => (String::new(), Size::Standard),
            _ => (cylinder.serial.clone(), cylinder.size.clone()),
        };
        let uncut = size == cylinder.size && !matches!(decision, Some(Decision::Replace));
        Cylinder {
            position: cylinder.position.clone(),
            serial,
            size,
            finished_to: cylinder.finished_to.clone().filter(|_| uncut),
            ..Cylinder::default()
        }
    };
    Overhaul {
        inspector: before.inspector.clone(),
        limits: before.limits.clone(),
        unit: before.unit,
        standards: before.standards.clone(),
        gauges: before.gauges.clone(),
        cylinders: before.cylinders.iter().map(cylinder).collect(),
        ..empty_overhaul(date)
    }
}

impl OverhaulEdit {
    /// How undo names it, and whether typing on is the same step.
    fn label(&self) -> (&'static str, bool) {
        match self {
            Self::Date(_) => ("date", true),
            Self::TotalHours(_) => ("total hours", true),
            Self::HoursSinceOverhaul(_) => ("hours since overhaul", true),
            Self::InspectorName(_) => ("inspector's name", true),
            Self::InspectorCertificate(_) => ("inspector's certificate", true),
            Self::Standards(_) => ("setting standards", true),
            Self::Gauges(_) => ("gauges", true),
            Self::Temperatures(_) => ("temperatures", true),
            Self::AddCylinder(_) => ("cylinder added", false),
            Self::RemoveCylinder(_) => ("cylinder taken away", false),
            Self::ExchangePositions(..) => ("positions exchanged", false),
            Self::Remarks(_) => ("remarks", true),
        }
    }

    fn apply(self, overhaul: &mut Overhaul) {
        match self {
            Self::Date(date) => overhaul.date = date,
            Self::TotalHours(hours) => overhaul.total_hours = hours,
            Self::HoursSinceOverhaul(hours) => overhaul.hours_since_overhaul = hours,
            Self::InspectorName(name) => overhaul.inspector.name = name,
            Self::InspectorCertificate(certificate) => overhaul.inspector.certificate = certificate,
            Self::Standards(standards) => {
                let names =
                    |list: &[SettingStandard]| list.iter().map(|s| s.name.clone()).collect::<Vec<_>>();
                let renamed = renamed(&names(&overhaul.standards), &names(&standards));
                follow(overhaul.gauges.iter_mut().filter_map(|gauge| gauge.zeroed_on.as_mut()), &renamed);
                overhaul.standards = standards;
            }
            Self::Gauges(gauges) => {
                let names = |list: &[Gauge]| list.iter().map(|gauge| gauge.name.clone()).collect::<Vec<_>>();
                let renamed = renamed(&names(&overhaul.gauges), &names(&gauges));
                let readings = overhaul.cylinders.iter_mut().flat_map(|cylinder| &mut cylinder.readings);
                follow(readings.filter_map(|reading| reading.gauge.as_mut()), &renamed);
                overhaul.gauges = gauges;
            }
            Self::Temperatures(temperatures) => overhaul.temperatures = temperatures,
            Self::AddCylinder(cylinder) => overhaul.cylinders.push(*cylinder),
            Self::RemoveCylinder(index) => {
                if index < overhaul.cylinders.len() {
                    overhaul.cylinders.remove(index);
                }
            }
            Self::ExchangePositions(a, b) => {
                let cylinders = &mut overhaul.cylinders;
                if a < cylinders.len() && b < cylinders.len() && a != b {
                    cylinders.swap(a, b);
                    let (first, second) = cylinders.split_at_mut(a.max(b));
                    if let (Some(x), Some(y)) = (first.get_mut(a.min(b)), second.first_mut()) {
                        std::mem::swap(&mut x.position, &mut y.position);
                    }
                }
            }
            Self::Remarks(text) => overhaul.remarks = text,
        }
    }
}

impl CylinderEdit {
    fn plan(&self, record: &EngineRecord, overhaul: usize, index: usize, evaluation: &Evaluation) -> Plan {
        let found = record.overhauls.get(overhaul).and_then(|o| o.cylinders.get(index));
        let position = found.map_or("?", |cylinder| cylinder.position.as_str());
        let cell = |at: Point| match evaluation.limits() {
            Some(limits) => point_words(limits, at),
            None => String::new(),
        };
        let (what, field, at, element) = match self {
            Self::Position(_) => ("position".to_owned(), Some("position"), None, 0),
            Self::Serial(_) => ("serial".to_owned(), Some("serial"), None, 0),
            Self::Size(_) => ("size".to_owned(), None, None, 0),
            Self::FinishedTo(_) => ("finished size".to_owned(), Some("finished"), None, 0),
            Self::Mark(mark, set) => {
                (format!("{}{}", if *set { "" } else { "not " }, mark.words()), None, None, 0)
            }
            Self::Reading { at, repeat, .. } => {
                (format!("reading, {}", cell(*at)), Some("reading"), Some((*at, *repeat)), 0)
            }
            Self::Readings { cells, .. } => {
                let first = cells.first().map(|&(at, repeat, _)| (at, repeat));
                (format!("{} readings", cells.len()), None, first, 0)
            }
            Self::ReadingGauge(at, _) => (format!("gauge, {}", cell(*at)), None, Some((*at, 0)), 0),
            Self::Confirm(at, _) => (format!("confirmed, {}", cell(*at)), Some("confirm"), Some((*at, 0)), 0),
            Self::AddFinding(finding) => (finding.kind.words().to_owned(), None, None, 0),
            Self::EditFinding(i, finding) => (finding.kind.words().to_owned(), Some("finding"), None, *i),
            Self::RemoveFinding(_) => ("finding taken away".to_owned(), None, None, 0),
            Self::Fit(row, _) => (format!("fit {row}"), Some("fit"), None, row_key(row)),
            Self::RingGap(row, _) => (format!("ring gap {row}"), Some("gap"), None, row_key(row)),
            Self::PistonWeight(_) => ("piston weight".to_owned(), Some("weight"), None, 0),
            Self::Decide(_) => ("decision".to_owned(), Some("decision"), None, 0),
            Self::Remarks(_) => ("remarks".to_owned(), Some("remarks"), None, 0),
        };
        let at = EditLocation { overhaul, cylinder: Some(index), cell: at };
        Plan {
            scope: Scope::Cylinder(overhaul, index),
            label: format!("{what}, cylinder {position}"),
            at,
            key: field.map(|field| Key { field, at, element }),
            irrevocable: false,
        }
    }

    /// `amended`: under a signature, whose changes are kept by the place in the list, so that no reading may move.
    fn apply(self, cylinder: &mut Cylinder, limits: Option<&Limits>, amended: bool) {
        match self {
            Self::Position(text) => cylinder.position = text,
            Self::Serial(text) => cylinder.serial = text,
            Self::Size(size) => cylinder.size = size,
            Self::FinishedTo(text) => cylinder.finished_to = text,
            Self::Mark(Mark::Tagged, set) => cylinder.tagged = set,
            Self::Mark(Mark::Cleaned, set) => cylinder.cleaned = set,
            Self::Mark(Mark::LookedOver, set) => cylinder.looked_over = set,
            Self::Reading { at, repeat, text, gauge } => {
                if let Some(limits) = limits {
                    enter(cylinder, limits, at, repeat, &text, gauge.as_ref(), amended);
                }
            }
            Self::Readings { cells, gauge } => {
                if let Some(limits) = limits {
                    for (at, repeat, text) in cells {
                        enter(cylinder, limits, at, repeat, &text, gauge.as_ref(), amended);
                    }
                }
            }
            Self::ReadingGauge(at, gauge) => {
                if let Some(reading) = limits.and_then(|limits| reading_mut(cylinder, limits, at)) {
                    reading.gauge = gauge;
                }
            }
            Self::Confirm(at, reason) => {
                if let Some(reading) = limits.and_then(|limits| reading_mut(cylinder, limits, at)) {
                    reading.confirmed = reason;
                }
            }
            Self::AddFinding(finding) => cylinder.findings.push(finding),
            Self::EditFinding(index, finding) => {
                if let Some(found) = cylinder.findings.get_mut(index) {
                    *found = finding;
                }
            }
            Self::RemoveFinding(index) => {
                if index < cylinder.findings.len() {
                    cylinder.findings.remove(index);
                }
            }
            Self::Fit(row, fit) => put(&mut cylinder.fits, fit, |found| found.row == row),
            Self::RingGap(row, gap) => put(&mut cylinder.ring_gaps, gap, |found| found.row == row),
            Self::PistonWeight(text) => cylinder.piston_weight = text,
            Self::Decide(disposition) => cylinder.disposition = disposition,
            Self::Remarks(text) => cylinder.remarks = text,
        }
    }
}

/// The names that became others, before and after: by their place, while the list only grows at its end.
///
/// A name that stood twice, or that another one has already, says nothing of who is meant: it is not followed.
pub(super) fn renamed(before: &[String], after: &[String]) -> Vec<(String, String)> {
    if after.len() < before.len() {
        return Vec::new();
    }
    let once = |list: &[String], name: &String| list.iter().filter(|other| *other == name).count() == 1;
    let pairs = before.iter().zip(after);
    pairs
        .filter(|(was, is)| was != is && once(before, was) && once(after, is) && !before.contains(is))
        .map(|(was, is)| (was.clone(), is.clone()))
        .collect()
}

/// What names one of these goes on naming it.
fn follow<'a>(names: impl Iterator<Item = &'a mut String>, renamed: &[(String, String)]) {
    for name in names {
        if let Some((_, is)) = renamed.iter().find(|(was, _)| was == name) {
            name.clone_from(is);
        }
    }
}

/// Tells the rows of a table apart in a key.
fn row_key(reference: &str) -> usize {
    reference.bytes().fold(0, |key: usize, byte| key.wrapping_mul(31).wrapping_add(usize::from(byte)))
}

/// Replaces the element that is meant, adds it, or takes it away.
fn put<T>(list: &mut Vec<T>, element: Option<T>, is_intended: impl Fn(&T) -> bool) {
    let index = list.iter().position(is_intended);
    match (index.and_then(|index| list.get_mut(index)), element) {
        (Some(found), Some(element)) => *found = element,
        (None, Some(element)) => list.push(element),
        (Some(_), None) => list.retain({
            let mut i = 0;
            move |_| {
                i += 1;
                Some(i - 1) != index
            }
        }),
        (None, None) => {}
    }
}

fn reading_mut<'a>(cylinder: &'a mut Cylinder, limits: &Limits, at: Point) -> Option<&'a mut Reading> {
    let (station, axis) = (limits.stations.get(at.station)?, limits.axes.get(at.axis)?);
    cylinder.readings.iter_mut().find(|reading| reading.station == station.name && reading.axis == axis.label)
}

/// Puts one reading where it belongs, and takes an empty cell away.
fn enter(
    cylinder: &mut Cylinder,
    limits: &Limits,
    at: Point,
    repeat: usize,
    text: &str,
    gauge: Option<&String>,
    amended: bool,
) {
    let (Some(station), Some(axis)) = (limits.stations.get(at.station), limits.axes.get(at.axis)) else {
        return;
    };
    let text = text.trim();
    let found = cylinder.readings.iter().position(|r| r.station == station.name && r.axis == axis.label);
    let Some(index) = found else {
        if !text.is_empty() {
            let reading = Reading {
                station: station.name.clone(),
                axis: axis.label.clone(),
                gauge: gauge.cloned(),
                entered: vec![text.to_owned()],
                confirmed: String::new(),
            };
            place(cylinder, Some(limits).filter(|_| !amended), reading);
        }
        return;
    };
    let Some(reading) = cylinder.readings.get_mut(index) else { return };
    match (reading.entered.get_mut(repeat), text.is_empty()) {
        (Some(found), false) if found != text => {
            text.clone_into(found);
            // Another reading: what was confirmed is gone.
            reading.confirmed.clear();
        }
        (Some(_), false) | (None, true) => {}
        (Some(_), true) => {
            reading.entered.remove(repeat);
            reading.confirmed.clear();
        }
        (None, false) => {
            reading.entered.push(text.to_owned());
            reading.confirmed.clear();
        }
    }
    if reading.entered.is_empty() && !amended {
        cylinder.readings.remove(index);
    }
}
