//! A record under work: the record, what was done to it, and what it comes to.
//!
//! A [`Session`] is everything the window (or any other program) needs to work on one engine: it owns the
//! record, changes it only by [`Session::dispatch`], can undo every change, and keeps the chosen overhaul
//! evaluated. It knows no window and no file: reading and writing is [`records::store`]'s.

mod closed;
pub mod command;
pub mod history;
pub mod swap;

use std::sync::Arc;

use jiff::civil::Date;

use crate::evaluation::Evaluation;
use crate::seal;
use quantities::length::{Entry, Length, Unit};
use records::bore::{Bore, Point};
use records::diag::Diagnostic;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::entry;
use records::record::resolve::{self, ReadingError};
use records::record::schema::{
    Cylinder, Engine, EngineRecord, FORMAT, Gauge, Overhaul, Seal, TableReference,
};
use records::survey::factor_to_20_c;

pub use command::{Command, CylinderEdit, Mark, NewOverhaul, OverhaulEdit};
pub use history::EditLocation;
use history::History;

/// A record under work.
#[derive(Debug)]
pub struct Session {
    record: EngineRecord,
    overhaul: usize,
    history: History,
    saved: u64,
    evaluation: Evaluation,
    /// The table that was judged by last, and its limits: looked through anew only when it is another one.
    judged_by: Option<(TableOfLimits, Arc<Limits>)>,
}

impl Session {
    /// Works on a record, at its last overhaul.
    pub fn new(record: EngineRecord) -> Self {
        let overhaul = record.overhauls.len().saturating_sub(1);
        let evaluation = Evaluation::of(&record, overhaul, None);
        Self { record, overhaul, history: History::default(), saved: 0, evaluation, judged_by: None }
    }

    /// A new record for an engine of a table, with its cylinders numbered from 1.
    pub fn start(table: &TableOfLimits, date: Date) -> Self {
        let cylinders = (1..=table.cylinders.unwrap_or(1).max(1))
            .map(|number| Cylinder { position: number.to_string(), ..Cylinder::default() });
        let overhaul = Overhaul {
            limits: Some(TableReference {
                identity: table.identity.clone(),
                revision: table.revision.clone(),
            }),
            unit: table.unit,
            cylinders: cylinders.collect(),
            ..command::empty_overhaul(date)
        };
        Self::new(EngineRecord {
            format: FORMAT,
            engine: Engine { model: table.engine.clone(), ..Engine::default() },
            tables: vec![table.clone()],
            overhauls: vec![overhaul],
            remarks: String::new(),
        })
    }

    /// The record.
    pub fn record(&self) -> &EngineRecord {
        &self.record
    }

    /// Index of the chosen overhaul.
    pub fn overhaul_index(&self) -> usize {
        self.overhaul
    }

    /// The chosen overhaul, as written.
    pub fn overhaul(&self) -> Option<&Overhaul> {
        self.record.overhauls.get(self.overhaul)
    }

    /// The unit of the chosen overhaul's lengths that name none.
    pub fn unit(&self) -> Unit {
        self.overhaul().map_or_else(Unit::default, |overhaul| overhaul.unit)
    }

    /// A cylinder of the chosen overhaul, as written.
    pub fn cylinder(&self, index: usize) -> Option<&Cylinder> {
        self.overhaul()?.cylinders.get(index)
    }

    /// How many cylinders the chosen overhaul has.
    pub fn cylinders(&self) -> usize {
        self.overhaul().map_or(0, |overhaul| overhaul.cylinders.len())
    }

    /// The signature that keeps the chosen overhaul from being changed, if there is one.
    pub fn closed(&self) -> Option<&Seal> {
        seal::closed(self.overhaul()?)
    }

    /// The chosen overhaul, evaluated.
    pub fn evaluation(&self) -> &Evaluation {
        &self.evaluation
    }

    /// Goes to another overhaul. It is no change, and is not undone.
    pub fn choose_overhaul(&mut self, index: usize) {
        let last = self.record.overhauls.len().saturating_sub(1);
        if self.overhaul != index.min(last) {
            self.overhaul = index.min(last);
            self.evaluate();
        }
    }

    fn evaluate(&mut self) {
        self.overhaul = self.overhaul.min(self.record.overhauls.len().saturating_sub(1));
        let table = self.overhaul().and_then(|overhaul| resolve::table_of(&self.record, overhaul));
        let table = table.map(|(_, table)| table);
        let known = self.judged_by.take().filter(|(known, _)| Some(known) == table);
        let limits = known.as_ref().map(|(_, limits)| Arc::clone(limits));
        let evaluation = Evaluation::of(&self.record, self.overhaul, limits);
        self.judged_by = known.or_else(|| {
            let survey = evaluation.survey.as_ref()?;
            Some((table?.clone(), Arc::clone(&survey.limits)))
        });
        self.evaluation = evaluation;
    }

    /// Does something to the record.
    ///
    /// # Errors
    /// If it speaks of a cylinder or an overhaul that is not there, or would change what is signed.
    pub fn dispatch(&mut self, command: Command) -> Result<(), Diagnostic> {
        if let Some(refusal) = closed::refusal(&self.record, self.overhaul, &command) {
            return Err(refusal);
        }
        let adds_overhaul = matches!(command, Command::AddOverhaul(_));
        let bases = seal::sign::bases(&self.record);
        let plan = command.plan(&self.record, self.overhaul, &self.evaluation);
        let (overhaul, limits) = (self.overhaul, self.evaluation.limits());
        let changed = self.history.change(&mut self.record, plan, |record| {
            command.apply(record, overhaul, limits);
            seal::sign::note_changes(record, &bases);
        });
        match changed {
            None => Err(Diagnostic::error("the chosen overhaul has no such cylinder")
                .remedy("Choose the overhaul and the cylinder again.")),
            Some(false) => Ok(()),
            Some(true) => {
                if adds_overhaul {
                    self.overhaul = self.record.overhauls.len().saturating_sub(1);
                }
                self.evaluate();
                Ok(())
            }
        }
    }

    /// Nothing typed from here on belongs to the same step as what was typed before.
    pub fn seal(&mut self) {
        self.history.seal();
    }

    /// What would be undone.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// What would be done again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// Is there nothing to undo because a signature has been saved? What is saved under a name stays.
    pub fn undo_stops_at_signature(&self) -> bool {
        self.history.stops_at_signature()
    }

    /// Takes the last change back and says where it was.
    ///
    /// Not further than the last signature, or amendment closed, that has been saved.
    pub fn undo(&mut self) -> Option<EditLocation> {
        let bases = seal::sign::bases(&self.record);
        let at = self.history.undo(&mut self.record)?;
        seal::sign::note_changes(&mut self.record, &bases);
        self.overhaul = at.overhaul;
        self.evaluate();
        Some(at)
    }

    /// Does the last undone change again and says where it was.
    pub fn redo(&mut self) -> Option<EditLocation> {
        let bases = seal::sign::bases(&self.record);
        let at = self.history.redo(&mut self.record)?;
        seal::sign::note_changes(&mut self.record, &bases);
        self.overhaul = at.overhaul;
        self.evaluate();
        Some(at)
    }

    /// Number of the present state of the record: the same number is the same record.
    pub fn state(&self) -> u64 {
        self.history.state()
    }

    /// Is there anything that is not saved?
    pub fn is_unsaved(&self) -> bool {
        self.saved != self.state()
    }

    /// The record has been saved as it stood at a state.
    pub fn saved_at(&mut self, state: u64) {
        self.saved = state;
        self.seal();
        self.history.saved();
    }

    /// Nothing of the record has been saved yet, whatever is done to it.
    pub fn never_saved(&mut self) {
        self.saved = u64::MAX;
    }

    /// The diameter that a text would stand for if it were typed in a cell, as its gauge is set; at 20 °C where
    /// temperatures were recorded.
    ///
    /// `gauge` names the gauge of a cell that has no reading yet; none: the overhaul's first.
    ///
    /// # Errors
    /// What is wrong with the text, and what to write instead.
    pub fn preview(
        &self,
        cylinder: usize,
        at: Point,
        text: &str,
        gauge: Option<&str>,
    ) -> Result<Entry, ReadingError> {
        let unit = self.unit();
        let Some(survey) = &self.evaluation.survey else { return Ok(Length::parse(text, unit)?) };
        let written = self.gauge_of(cylinder, at, gauge);
        let resolved = written.and_then(|written| survey.gauge(&written.name));
        if let Some(why) = resolved.and_then(|(gauge, _)| gauge.unusable.first()) {
            return Err(ReadingError::Unusable(why.clone()));
        }
        let entry = resolve::read_entry(
            text,
            written.map_or_else(Default::default, |gauge| (gauge.reads, gauge.plus_means)),
            resolved.and_then(|(gauge, _)| gauge.graduation),
            resolved.and_then(|(_, standard)| standard).map(|standard| standard.size),
            unit,
        )?;
        let factor = factor_to_20_c(survey.conditions.as_ref(), resolved.map(|(gauge, _)| gauge));
        Ok(Entry { length: entry.length.scaled(factor), ..entry })
    }

    /// The gauge that a cell was read with, or that it would get; none: the overhaul has none.
    pub fn gauge_of(&self, cylinder: usize, at: Point, in_hand: Option<&str>) -> Option<&Gauge> {
        let overhaul = self.overhaul()?;
        let reading = self
            .cylinder(cylinder)
            .zip(self.evaluation.limits())
            .and_then(|(cylinder, limits)| entry::reading(cylinder, limits, at));
        let name = reading.map_or(in_hand, |reading| reading.gauge.as_deref());
        match name {
            Some(name) => overhaul.gauges.iter().find(|gauge| gauge.name == name),
            None => overhaul.gauges.first(),
        }
    }

    /// The readings that would make a bore read as `intended`, written as their gauges show them.
    ///
    /// `None` if that cannot be written exactly.
    pub fn readings_for(&self, cylinder: usize, intended: &Bore) -> Option<Vec<(Point, usize, String)>> {
        let survey = self.evaluation.survey.as_ref()?;
        let (overhaul, now) = (self.overhaul()?, survey.cylinders.get(cylinder)?);
        let mut texts = Vec::new();
        for (at, cell) in intended.measured() {
            let before = now.bore.cell(at);
            let factor = survey.factor_to_20_c(cell.gauge);
            for (repeat, (&diameter, &read)) in cell.repeats().iter().zip(cell.as_read()).enumerate() {
                if before.is_some_and(|before| before.repeats().get(repeat) == Some(&diameter)) {
                    continue;
                }
                let gauge = survey.gauges.get(cell.gauge)?;
                let written = overhaul.gauges.iter().find(|written| written.name == gauge.name);
                let standard = survey.standard_of(gauge).map(|standard| standard.size);
                let style = before.map_or(cell.style, |before| before.style);
                // Taken back from 20 °C it may be a little off what the gauge can have shown.
                let origin = standard.unwrap_or_default();
                let shown = origin + (read - origin).nearest_multiple(style.last_digit());
                let read = if factor == 1.0 { read } else { shown };
                if read.scaled(factor) != diameter {
                    return None;
                }
                texts.push((at, repeat, entry::as_typed(read, written, standard, style, overhaul.unit)?));
            }
        }
        (!texts.is_empty()).then_some(texts)
    }
}

#[cfg(test)]
mod tests;
