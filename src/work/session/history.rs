//! Undo and redo, without end: labelled snapshots of the part of a record that a command changed.
//!
//! A step keeps only the part that it touched (a cylinder, an overhaul or the whole record), so a long day
//! of typing on a long-lived engine stays small. Undoing swaps the part with the one in the record; nothing
//! is ever computed backwards. Steps with the same key that follow each other are one step.
//!
//! A signature that has been saved is not undone, nor what was done before it: somebody may have read the file, and
//! the only way on from a signed overhaul is an amendment.

use super::command::Plan;
use records::bore::Point;
use records::limits::schema::TableOfLimits;
use records::record::schema::{Cylinder, Engine, EngineRecord, Overhaul};

/// Which part of a record a command changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scope {
    /// The engine's identity and the record's remarks.
    Engine,
    /// The tables of limits and the list of overhauls.
    Overhauls,
    /// One overhaul, by its index.
    Overhaul(usize),
    /// One cylinder, by the index of its overhaul and its own.
    Cylinder(usize, usize),
}

/// A copy of a part of a record, as it stood.
#[derive(Clone, Debug)]
enum Part {
    Engine(Box<(Engine, String)>),
    Overhauls(Vec<TableOfLimits>, Vec<Overhaul>),
    Overhaul(usize, Box<Overhaul>),
    Cylinder(usize, usize, Box<Cylinder>),
}

impl Part {
    /// Copies a part; `None` if the record has no such part.
    fn copy(record: &EngineRecord, scope: Scope) -> Option<Self> {
        Some(match scope {
            Scope::Engine => Self::Engine(Box::new((record.engine.clone(), record.remarks.clone()))),
            Scope::Overhauls => Self::Overhauls(record.tables.clone(), record.overhauls.clone()),
            Scope::Overhaul(o) => Self::Overhaul(o, Box::new(record.overhauls.get(o)?.clone())),
            Scope::Cylinder(o, c) => {
                Self::Cylinder(o, c, Box::new(record.overhauls.get(o)?.cylinders.get(c)?.clone()))
            }
        })
    }

    /// Exchanges this part with the record's.
    fn swap(&mut self, record: &mut EngineRecord) {
        match self {
            Self::Engine(part) => {
                std::mem::swap(&mut part.0, &mut record.engine);
                std::mem::swap(&mut part.1, &mut record.remarks);
            }
            Self::Overhauls(tables, overhauls) => {
                std::mem::swap(tables, &mut record.tables);
                std::mem::swap(overhauls, &mut record.overhauls);
            }
            Self::Overhaul(o, part) => {
                if let Some(found) = record.overhauls.get_mut(*o) {
                    std::mem::swap(part.as_mut(), found);
                }
            }
            Self::Cylinder(o, c, part) => {
                let found = record.overhauls.get_mut(*o).and_then(|found| found.cylinders.get_mut(*c));
                if let Some(found) = found {
                    std::mem::swap(part.as_mut(), found);
                }
            }
        }
    }

    /// Is the record's part the same as this one?
    fn stands_in(&self, record: &EngineRecord) -> bool {
        match self {
            Self::Engine(part) => part.0 == record.engine && part.1 == record.remarks,
            Self::Overhauls(tables, overhauls) => *tables == record.tables && *overhauls == record.overhauls,
            Self::Overhaul(o, part) => record.overhauls.get(*o) == Some(part.as_ref()),
            Self::Cylinder(o, c, part) => {
                record.overhauls.get(*o).and_then(|found| found.cylinders.get(*c)) == Some(part.as_ref())
            }
        }
    }
}

/// Where a step happened, so that undoing it can be seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct EditLocation {
    /// Index of the overhaul.
    pub overhaul: usize,
    /// Index of the cylinder, where it concerns one.
    pub cylinder: Option<usize>,
    /// The cell and the repeat, where it concerns one.
    pub cell: Option<(Point, usize)>,
}

/// What makes two steps that follow each other one: the same thing typed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Key {
    /// What is typed.
    pub(super) field: &'static str,
    /// Where, and which of several.
    pub(super) at: EditLocation,
    /// Which element of a list.
    pub(super) element: usize,
}

/// One step.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    part: Part,
    at: EditLocation,
    key: Option<Key>,
    /// Number of the state on the other side of this step.
    state: u64,
    /// A signature: once saved, it stays.
    irrevocable: bool,
}

/// The steps done and undone, and the number of the state that the record is in.
#[derive(Clone, Debug, Default)]
pub(super) struct History {
    done: Vec<Step>,
    undone: Vec<Step>,
    state: u64,
    last: u64,
    /// So many of the steps done can no longer be undone.
    kept: usize,
}

impl History {
    /// Number of the present state; the same number is the same record.
    pub(super) fn state(&self) -> u64 {
        self.state
    }

    /// What would be undone.
    pub(super) fn undo_label(&self) -> Option<&str> {
        self.done.get(self.kept..)?.last().map(|step| step.label.as_str())
    }

    /// Are there steps that could be undone if no signature had been saved behind them?
    pub(super) fn stops_at_signature(&self) -> bool {
        self.kept > 0 && self.done.len() <= self.kept
    }

    /// The record has been saved as it stands: its signatures stay.
    pub(super) fn saved(&mut self) {
        if let Some(last) = self.done.iter().rposition(|step| step.irrevocable) {
            self.kept = self.kept.max(last + 1);
        }
    }

    /// What would be done again.
    pub(super) fn redo_label(&self) -> Option<&str> {
        self.undone.last().map(|step| step.label.as_str())
    }

    /// Runs a change as one step. `None` if the record has no such part; `Some(false)` if nothing changed.
    pub(super) fn change(
        &mut self,
        record: &mut EngineRecord,
        plan: Plan,
        change: impl FnOnce(&mut EngineRecord),
    ) -> Option<bool> {
        let Plan { scope, label, at, key, irrevocable } = plan;
        let part = Part::copy(record, scope)?;
        change(record);
        if part.stands_in(record) {
            return Some(false);
        }
        let before = self.state;
        self.last += 1;
        self.state = self.last;
        let continues =
            key.is_some() && self.undone.is_empty() && self.done.last().is_some_and(|step| step.key == key);
        self.undone.clear();
        if !continues {
            self.done.push(Step { label, part, at, key, state: before, irrevocable });
        }
        Some(true)
    }

    /// Nothing that is typed from here on belongs to the step before.
    pub(super) fn seal(&mut self) {
        if let Some(step) = self.done.last_mut() {
            step.key = None;
        }
    }

    /// Takes the last step back and says where it was.
    pub(super) fn undo(&mut self, record: &mut EngineRecord) -> Option<EditLocation> {
        self.undo_label()?;
        let step = self.done.pop()?;
        Some(self.cross(step, record, true))
    }

    /// Does the last undone step again and says where it was.
    pub(super) fn redo(&mut self, record: &mut EngineRecord) -> Option<EditLocation> {
        let step = self.undone.pop()?;
        Some(self.cross(step, record, false))
    }

    fn cross(&mut self, mut step: Step, record: &mut EngineRecord, back: bool) -> EditLocation {
        step.part.swap(record);
        std::mem::swap(&mut step.state, &mut self.state);
        step.key = None;
        let at = step.at;
        if back {
            self.undone.push(step)
        } else {
            self.done.push(step)
        }
        at
    }
}
