//! How undo names a command, which part of the record it puts back, and which typing is one step.

use super::{Command, CylinderEdit, OverhaulEdit};
use crate::evaluation::Evaluation;
use crate::session::history::{EditLocation, Key, Scope};
use records::bore::Point;
use records::record::schema::EngineRecord;
use records::survey::point_words;

/// What a command comes to, before it is done.
pub(in crate::session) struct Plan {
    pub(in crate::session) scope: Scope,
    pub(in crate::session) label: String,
    pub(in crate::session) at: EditLocation,
    pub(in crate::session) key: Option<Key>,
    /// Once it is saved, it is not undone: a signature.
    pub(in crate::session) irrevocable: bool,
}

impl Command {
    /// Which part of the record it changes, and how undo names it.
    pub(in crate::session) fn plan(
        &self,
        record: &EngineRecord,
        overhaul: usize,
        evaluation: &Evaluation,
    ) -> Plan {
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
}

/// Tells the rows of a table apart in a key.
fn row_key(reference: &str) -> usize {
    reference.bytes().fold(0, |key: usize, byte| key.wrapping_mul(31).wrapping_add(usize::from(byte)))
}
