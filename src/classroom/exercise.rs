//! Exercises from a seed number, so that a class gets the same one or each student their own.
//!
//! One exercise is one engine record with five cylinders, each with a task:
//!
//! 1. measure: an empty sheet to be filled by measuring an invented bore with the practice gauge;
//! 2. which figure: a filled sheet; which row is beyond its limit;
//! 3. outcome: a filled sheet; serviceable, rebore (to which oversize) or replace;
//! 4. spot the slip: a filled sheet with one reading that went wrong;
//! 5. the taper rule: a sentence from an invented manual; which rule it asks for, and the taper by it.
//!
//! The sheet of a task is read from its shape by the practice gauge; what is right is said by the product's own
//! figures and judging. The order and number of draws from [`Random`] is what makes a seed give the same
//! exercise for ever: [`VERSION`] changes when they do. A task that cannot be drawn as meant within a
//! number of tries takes the last one drawn, and its key says what is true of it.

mod sheet;
mod slip;
mod table;
mod tasks;

use std::sync::Arc;

use super::gauge::{Instrument, PracticeGauge};
use super::key::{Answer, Keyed, PracticeKey, plain};
use super::random::Random;
use super::shape::Shape;
use quantities::length::{Length, Unit};
use records::diag::Diagnostic;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::schema::{self, EngineRecord};

use sheet::DialSheet;

pub use table::table;
pub use tasks::in_a_manual;

/// Changes when a seed gives another exercise than before.
pub const VERSION: u32 = 1;

/// Behind this word a student writes an answer that has no field of its own.
pub const ANSWER: &str = "Answer:";

/// What stands behind the last [`ANSWER`] in a cylinder's remarks; none if nothing does.
pub fn answer_in(remarks: &str) -> Option<&str> {
    let (_, answer) = remarks.rsplit_once(ANSWER)?;
    Some(answer.trim()).filter(|answer| !answer.is_empty())
}

/// The remarks with another answer behind their last [`ANSWER`], or behind one of their own.
pub fn with_answer(remarks: &str, answer: &str) -> String {
    let question = remarks.rsplit_once(ANSWER).map_or(remarks, |(question, _)| question).trim_end();
    format!("{question} {ANSWER} {answer}")
}

/// The seed number of a record that an exercise wrote; none if it is no such record.
pub fn seed_of(record: &EngineRecord) -> Option<u64> {
    record.engine.serial.strip_prefix("PRACTICE-")?.parse().ok()
}

/// What is asked of one cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Task {
    /// Measure the bore and fill in the sheet.
    Measure,
    /// Find which figure is out.
    WhichFigure,
    /// Choose the outcome.
    Outcome,
    /// Find the reading that went wrong.
    SpotSlip,
    /// Choose the taper rule that the manual asks for.
    TaperRule,
}

impl Task {
    /// Every task, in the order of the record's cylinders.
    pub const ALL: [Self; 5] =
        [Self::Measure, Self::WhichFigure, Self::Outcome, Self::SpotSlip, Self::TaperRule];

    /// Its name in a list.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measure => "measure and fill in the sheet",
            Self::WhichFigure => "find which figure is out",
            Self::Outcome => "choose the outcome",
            Self::SpotSlip => "spot the slip",
            Self::TaperRule => "choose the taper rule",
        }
    }
}

/// An exercise.
#[derive(Clone, Debug)]
pub struct Exercise {
    /// Its seed number.
    pub seed: u64,
    /// The table of limits it is judged by.
    pub limits: Arc<Limits>,
    /// The gauge that its readings are taken with.
    pub gauge: PracticeGauge,
    /// The size of the setting ring.
    pub ring: Length,
    /// The bore of each task.
    pub bores: Vec<(Task, Shape)>,
    /// The record to be filled in.
    pub record: EngineRecord,
    /// What is right.
    pub key: PracticeKey,
}

impl Exercise {
    /// The exercise of a seed number, by [`table`].
    ///
    /// # Errors
    /// Never with that table; see [`Self::by`].
    pub fn new(seed: u64) -> Result<Self, Vec<Diagnostic>> {
        Self::by(seed, table())
    }

    /// The exercise of a seed number, by any table of limits.
    ///
    /// # Errors
    /// What keeps the table from being judged by.
    pub fn by(seed: u64, table: TableOfLimits) -> Result<Self, Vec<Diagnostic>> {
        let limits = Arc::new(Limits::resolve(&table)?);
        let gauge = PracticeGauge::usual(Instrument::BoreGauge, limits.unit);
        let ring = limits.sizes.first().map_or(Length::ZERO, |row| row.new.0.length);
        let class = Class { limits: &limits, gauge, ring };
        let mut bores = Vec::new();
        let mut cylinders = Vec::new();
        let mut answers = Vec::new();
        for (index, task) in Task::ALL.into_iter().enumerate() {
            let mut random = Random::part(seed, index as u64);
            let drawn = class.draw(task, &mut random);
            let position = (index + 1).to_string();
            let sheet = drawn.sheet.as_ref().map(|sheet| class.readings(sheet)).unwrap_or_default();
            cylinders.push(schema::Cylinder {
                position: position.clone(),
                serial: format!("PRACTICE-{seed}-{position}"),
                tagged: true,
                cleaned: true,
                looked_over: true,
                readings: sheet,
                remarks: format!("{} {ANSWER} ", drawn.question),
                ..schema::Cylinder::default()
            });
            bores.push((task, drawn.shape));
            answers.push(Keyed {
                position,
                question: drawn.question,
                answer: drawn.answer,
                working: drawn.working,
            });
        }
        let key = PracticeKey { format: super::key::FORMAT, seed, unit: limits.unit, answers };
        let record = class.record(seed, table, cylinders);
        Ok(Self { seed, gauge, ring, bores, record, key, limits })
    }

    /// An exercise of one task: to measure a bore that somebody made, with a gauge and a ring of their choice.
    ///
    /// Where barrel or gauge is not at 20 °C, the record says so and asks for its readings to be corrected.
    ///
    /// # Errors
    /// What keeps the table from being judged by.
    pub fn of_shape(
        shape: Shape,
        gauge: PracticeGauge,
        ring: Length,
        table: TableOfLimits,
    ) -> Result<Self, Vec<Diagnostic>> {
        let limits = Arc::new(Limits::resolve(&table)?);
        let class = Class { limits: &limits, gauge, ring };
        let drawn = class.to_measure(shape);
        let position = "1".to_owned();
        let cylinder = schema::Cylinder {
            position: position.clone(),
            serial: "PRACTICE-0-1".to_owned(),
            tagged: true,
            cleaned: true,
            looked_over: true,
            remarks: format!("{} {ANSWER} ", drawn.question),
            ..schema::Cylinder::default()
        };
        let mut record = class.record(0, table, vec![cylinder]);
        let is_cold = |c: f64| (c - 20.0).abs() < 1e-9;
        if let Some(overhaul) = record.overhauls.first_mut()
            && !(is_cold(shape.barrel_c) && is_cold(gauge.gauge_c))
        {
            overhaul.temperatures = Some(schema::Temperatures {
                barrel: shape.barrel_c,
                gauge: gauge.gauge_c,
                within: None,
                expansion_within_ppm: None,
                barrel_expansion_ppm: Some(shape.barrel_per_k * 1e6),
                correct_readings: true,
            });
        }
        let answers =
            vec![Keyed { position, question: drawn.question, answer: drawn.answer, working: drawn.working }];
        let key = PracticeKey { format: super::key::FORMAT, seed: 0, unit: limits.unit, answers };
        Ok(Self { seed: 0, gauge, ring, bores: vec![(Task::Measure, shape)], record, key, limits })
    }
}

/// One task drawn.
struct Drawn {
    shape: Shape,
    /// The filled sheet; none: the student measures.
    sheet: Option<DialSheet>,
    question: String,
    answer: Answer,
    working: Vec<String>,
}

/// What all tasks share.
struct Class<'a> {
    limits: &'a Limits,
    gauge: PracticeGauge,
    ring: Length,
}

impl Class<'_> {
    fn unit(&self) -> Unit {
        self.limits.unit
    }

    fn step(&self) -> Length {
        self.gauge.graduation
    }

    fn text(&self, length: Length) -> String {
        plain(&length.text(self.gauge.style()))
    }

    fn draw(&self, task: Task, random: &mut Random) -> Drawn {
        match task {
            Task::Measure => self.measure(random),
            Task::WhichFigure => self.which_figure(random),
            Task::Outcome => self.outcome(random),
            Task::SpotSlip => self.spot_slip(random),
            Task::TaperRule => self.taper_rule(random),
        }
    }
}

#[cfg(test)]
mod tests;
