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

use records::limits::rows::{RowKind, RowName};
use std::sync::Arc;

use super::gauge::{Instrument, Placing, PracticeGauge, Zero};
use super::key::{Answer, Keyed, PlantedSlip, PracticeKey, SlipName, TrueDiameter, exact_text, plain};
use super::random::Random;
use super::shape::{Frame, OneSided, Oval, Shape};
use figures::taper;
use judging::row::RowStatus;
use judging::{Assessment, Recommendation};
use quantities::length::{Length, Style, Unit};
use records::bore::{Bore, Cell, Point};
use records::diag::Diagnostic;
use records::limits::Limits;
use records::limits::schema::{
    Axis, BoreRow, Cut, Datum, DecisionRule, JudgedOn, Limit, MixedOversizes, OutOfRoundRow, OutOfRoundRule,
    Size, Source, Station, StationRole, StepRow, Surface, TableOfLimits, TaperRow, TaperRule, Wall,
    WhenBeyond,
};
use records::record::schema::{
    self, Decision, Engine, EngineRecord, Overhaul, Reading, SettingStandard, TableReference,
};
use records::survey::{Cylinder, station_words};

/// Changes when a seed gives another exercise than before.
pub const VERSION: u32 = 1;

/// How often a task is drawn anew until it is as meant.
const TRIES: usize = 200;

/// The name of the practice gauge and of its ring in a record.
const GAUGE: &str = "practice gauge";
const RING: &str = "practice ring";

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
    sheet: Option<Sheet>,
    question: String,
    answer: Answer,
    working: Vec<String>,
}

/// What the dial showed in each cell, as it was written down: deviations from the ring.
type Sheet = Vec<(Point, Vec<Length>)>;

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

    /// Whole graduations between two shares of a length, in hundredths.
    fn share(&self, of: Length, least: i64, most: i64, random: &mut Random) -> Length {
        let hundredths = i128::from(of.tenths_of_nm()) * i128::from(random.between(least, most));
        let whole = hundredths / (100 * i128::from(self.step().tenths_of_nm().max(1)));
        self.step() * i64::try_from(whole).unwrap_or(0)
    }

    /// The serviceable limits of bore, taper, out-of-round and step; twenty graduations where there is none.
    fn allowed(&self) -> [Length; 4] {
        let limits = self.limits;
        let row = limits.sizes.first();
        let bore = row.and_then(|row| Some(row.serviceable.as_ref()?.length - row.new.1.length));
        let [taper, round, step] =
            [RowName::Taper, RowName::OutOfRound, RowName::Step].map(|row| limits.limit_of(row));
        let of = |bound: Option<Length>| bound.filter(|l| *l > Length::ZERO).unwrap_or(self.step() * 20);
        [of(bore), of(taper.map(|b| b.length)), of(round.map(|b| b.length)), of(step.map(|b| b.length))]
    }

    /// A worn bore: each kind of wear by so many hundredths of what the table allows, from and to.
    fn worn(&self, even: (i64, i64), taper: (i64, i64), oval: (i64, i64), random: &mut Random) -> Shape {
        let [bore, most_taper, most_oval, _] = self.allowed();
        let size = super::shape::as_made(self.limits, self.step(), random);
        let ridge = self.share(bore, even.0, even.1, random);
        let taper = self.share(most_taper, taper.0, taper.1, random);
        let amount = self.share(most_oval, oval.0, oval.1, random);
        let degrees = if random.coin() { 90.0 } else { 0.0 };
        let oval = Oval { amount, degrees };
        Shape { ridge, taper, oval, ..Shape::new(size, Frame::of(self.limits)) }
    }

    /// What the gauge shows in each place, set on its ring and held rightly: `repeats` of them.
    fn sheet(&self, shape: &Shape, repeats: usize, scatter: Length, random: &mut Random) -> Sheet {
        let mut sheet = Sheet::new();
        for station in 0..self.limits.stations.len() {
            let Some(depth) = shape.frame.depth_of(self.limits, station) else { continue };
            for (axis, direction) in self.limits.axes.iter().enumerate().filter(|(_, a)| !a.optional) {
                let placing = Placing { depth, degrees: direction.degrees, ..Placing::default() };
                let read = |_| {
                    let scatter = random.scatter(scatter);
                    self.gauge.shows(shape, Zero::on(self.ring), placing, scatter).nearest
                };
                sheet.push((Point::new(station, axis), (0..repeats).map(read).collect()));
            }
        }
        sheet
    }

    fn bore(&self, sheet: &Sheet) -> Bore {
        let mut bore = Bore::new(self.limits.stations.len(), self.limits.axes.len());
        for (at, shown) in sheet {
            let diameters = shown.iter().map(|shown| self.gauge.diameter(*shown, self.ring)).collect();
            bore.set(*at, Cell::new(diameters, self.gauge.style(), 0));
        }
        bore
    }

    fn judged(&self, sheet: &Sheet) -> Assessment {
        let cylinder = Cylinder { size: Some(0), ..Cylinder::of_bore(self.bore(sheet)) };
        let setup = records::survey::Setup { standards: &[], gauges: &[], conditions: None };
        judging::judge(&cylinder, self.limits, setup)
    }

    fn measure(&self, random: &mut Random) -> Drawn {
        let shape = self.worn((0, 60), (0, 120), (0, 120), random);
        let shape = match random.below(4) {
            0 => Shape { bow: self.step() * random.between(-8, 8), ..shape },
            1 => {
                let depth = self.step() * random.between(4, 12);
                Shape { one_sided: OneSided { depth, degrees: 90.0 }, ..shape }
            }
            2 => Shape { oval: Oval { degrees: 45.0, ..shape.oval }, ..shape },
            _ => shape,
        };
        self.to_measure(shape)
    }

    /// The task to measure a bore, and what is true of it.
    fn to_measure(&self, shape: Shape) -> Drawn {
        let mut cells = Vec::new();
        for (station, of) in self.limits.stations.iter().enumerate() {
            let Some(depth) = shape.frame.depth_of(self.limits, station) else { continue };
            for axis in &self.limits.axes {
                let diameter = shape.diameter_felt(depth, axis.degrees, self.gauge.contact);
                cells.push(TrueDiameter {
                    station: of.name.clone(),
                    axis: axis.label.clone(),
                    diameter: exact_text(diameter, self.unit()),
                    optional: axis.optional,
                });
            }
        }
        let question = match self.gauge.instrument {
            Instrument::BoreGauge => format!(
                "Task: {}. Set the gauge on the ring of {}, measure every station on both axes, and write the \
                 dial's deviation down.",
                Task::Measure.words(),
                self.text(self.ring)
            ),
            Instrument::InsideMicrometer => format!(
                "Task: {}. Measure every station on both axes, and write the diameter down.",
                Task::Measure.words()
            ),
        };
        let mut working = vec![format!("It was made to {}.", self.text(shape.size))];
        for (what, amount) in [
            ("even wear, per side", shape.ridge),
            ("taper", shape.taper),
            ("belly (a waist if negative)", shape.bow),
            ("wear on one side", shape.one_sided.depth),
        ] {
            if amount != Length::ZERO {
                working.push(format!("Part of it: {what}, {}.", self.text(amount)));
            }
        }
        if shape.oval.amount != Length::ZERO {
            working.push(format!(
                "Part of it: an oval of {}, largest at {:.0} degrees.",
                self.text(shape.oval.amount),
                shape.oval.degrees
            ));
        }
        let ring = exact_text(self.ring, self.unit());
        Drawn { shape, sheet: None, question, answer: Answer::Sheet { ring, cells }, working }
    }

    fn which_figure(&self, random: &mut Random) -> Drawn {
        let wanted = random.below(5);
        let draw = |random: &mut Random| {
            let (even, taper, oval) = match wanted {
                0 => ((40, 58), (0, 30), (0, 30)),
                1 => ((0, 25), (107, 150), (0, 50)),
                2 => ((0, 25), (0, 50), (107, 150)),
                3 => ((30, 62), (40, 95), (0, 40)),
                _ => ((0, 25), (0, 70), (0, 70)),
            };
            let shape = self.worn(even, taper, oval, random);
            let sheet = self.sheet(&shape, 1, Length::ZERO, random);
            let judged = self.judged(&sheet);
            (shape, sheet, judged)
        };
        let is_wanted = |judged: &Assessment| {
            let beyond: Vec<RowKind> = beyond(judged).collect();
            match (wanted, beyond.as_slice()) {
                (0, [RowKind::Bore(_)])
                | (1, [RowKind::Taper(_)])
                | (2, [RowKind::OutOfRound(_)])
                | (3, [RowKind::Step]) => true,
                (w, []) => w > 3,
                _ => false,
            }
        };
        let (shape, sheet, judged) = until(random, draw, |(_, _, judged)| is_wanted(judged));
        let names: Vec<&str> = judged.rows.iter().map(|row| row.kind.words()).collect();
        let question =
            format!("Task: {}. Write one of: {}, none.", Task::WhichFigure.words(), names.join(", "));
        let answer = Answer::Figures(beyond(&judged).map(|kind| kind.words().to_owned()).collect());
        let working = self.rows_in_words(&judged);
        Drawn { shape, sheet: Some(sheet), question, answer, working }
    }

    /// One sentence a row: its figure and its limit.
    fn rows_in_words(&self, judged: &Assessment) -> Vec<String> {
        let style = Style { decimals: self.gauge.style().decimals + 1, ..self.gauge.style() };
        let mut words = Vec::new();
        for row in &judged.rows {
            let figure = row.figure.as_ref().map_or("not known".to_owned(), |f| plain(&f.value.text(style)));
            let limit = row.limit.as_ref().map_or("no limit".to_owned(), |limit| limit.text());
            let what = row.kind.words();
            words.push(format!(
                "{}: {figure}, limit {limit}: {}.",
                records::wording::capitalised(what),
                row.status.words()
            ));
        }
        words
    }

    fn outcome(&self, random: &mut Random) -> Drawn {
        let wanted = random.below(3);
        let draw = |random: &mut Random| {
            let (even, taper, oval) = match wanted {
                0 => ((0, 30), (0, 95), (0, 95)),
                1 => ((0, 90), (60, 160), (20, 150)),
                _ => ((160, 300), (60, 300), (20, 150)),
            };
            let shape = self.worn(even, taper, oval, random);
            let sheet = self.sheet(&shape, 1, Length::ZERO, random);
            let judged = self.judged(&sheet);
            (shape, sheet, judged)
        };
        let is_wanted = |judged: &Assessment| {
            matches!(
                (wanted, judged.recommendation),
                (0, Recommendation::Serviceable)
                    | (1, Recommendation::Rebore(_))
                    | (2, Recommendation::Replace)
            )
        };
        let (shape, sheet, judged) = until(random, draw, |(_, _, judged)| is_wanted(judged));
        let question = format!(
            "Task: {}. Write it under disposition: Serviceable, Rebore(Oversize(\"...\")) or Replace.",
            Task::Outcome.words()
        );
        let decision = self.decision(judged.recommendation);
        let mut working = self.rows_in_words(&judged);
        if beyond(&judged).next().is_some() {
            for option in &judged.oversizes {
                let name = self.limits.sizes.get(option.size).map_or("?", |row| row.name.as_str());
                let verdict =
                    if option.is_certain() { "certain to clean up" } else { "not certain to clean up" };
                working.push(format!("{name}: {verdict}."));
            }
            working.push("The wear may all be on one side, and the centre stays where it was.".to_owned());
        }
        working.push(format!("So: {}.", judged.recommendation.words(self.limits)));
        Drawn { shape, sheet: Some(sheet), question, answer: Answer::Outcome(decision), working }
    }

    fn decision(&self, recommendation: Recommendation) -> Decision {
        match recommendation {
            Recommendation::Serviceable => Decision::Serviceable,
            Recommendation::Rebore(size) => Decision::Rebore(
                self.limits.sizes.get(size).map_or(Size::Standard, |row| row.written_in(self.limits.unit)),
            ),
            // Every reading is there, so what is not decided hangs on a limit that the table leaves blank.
            Recommendation::Replace | Recommendation::NotDecided => Decision::Replace,
        }
    }

    fn spot_slip(&self, random: &mut Random) -> Drawn {
        // An oval that can be told from its like on the other axis.
        let mut shape = self.worn((10, 60), (10, 60), (60, 90), random);
        shape.oval.amount = shape.oval.amount.max(self.step() * 10);
        let clean = self.sheet(&shape, 3, self.gauge.scatter, random);
        let what = random.pick(&SlipName::ALL).copied().unwrap_or(SlipName::Turn);
        let mut planted = None;
        for attempt in 0..TRIES {
            // A sheet in which this kind cannot be told gets the one that always can.
            let what = if attempt < TRIES / 2 { what } else { SlipName::Turn };
            let mut sheet = clean.clone();
            if let Some(slip) = self.plant(what, &shape, &mut sheet, random) {
                planted = Some((sheet, slip));
                break;
            }
        }
        // Only a table without a station in ring travel gets so far.
        let (sheet, slip) = planted.unwrap_or_else(|| (clean, self.no_slip()));
        let kinds: Vec<_> = SlipName::ALL.iter().map(|kind| kind.words()).collect();
        let question = format!(
            "Task: {}. One thing went wrong in this sheet. Write the station, the axis, the repeat, and which it is: {}.",
            Task::SpotSlip.words(),
            kinds.join("; ")
        );
        let mut working = vec![format!(
            "Station {}, {} axis{}: {}.",
            slip.station,
            slip.axes.join(" and "),
            slip.repeat.map_or(String::new(), |repeat| format!(", repeat {repeat}")),
            slip.what.words()
        )];
        working.push(format!("It reads {} and would read {} without it.", slip.reads, slip.intended));
        Drawn { shape, sheet: Some(sheet), question, answer: Answer::Slip(slip), working }
    }

    fn no_slip(&self) -> PlantedSlip {
        PlantedSlip {
            what: SlipName::Turn,
            station: String::new(),
            axes: Vec::new(),
            repeat: None,
            reads: String::new(),
            intended: String::new(),
        }
    }

    /// Puts a slip in at a random place; `None` if it could not be told there.
    fn plant(
        &self,
        what: SlipName,
        shape: &Shape,
        sheet: &mut Sheet,
        random: &mut Random,
    ) -> Option<PlantedSlip> {
        let station = *random.pick(&self.limits.bore_stations)?;
        let axis = *random.pick(&self.limits.required_axes)?;
        let repeat = usize::try_from(random.below(3)).ok()?;
        let place = |axis: usize| sheet.iter().position(|(at, _)| *at == Point::new(station, axis));
        let here = place(axis)?;
        let right = *sheet.get(here)?.1.get(repeat)?;
        let least = self.step() * 8;
        let mut axes = vec![axis];
        let wrong = match what {
            SlipName::Turn => right + if random.coin() { self.gauge.turn } else { -self.gauge.turn },
            SlipName::SwappedDigits => self.with_digits_swapped(right, random)?,
            SlipName::WrongSign => -right,
            SlipName::Tilted => {
                let diameter = self.gauge.diameter(right, self.ring).to_mm();
                let tilt = random.between(12, 24) as f64 / 10.0;
                let high = super::gauge::tilted(diameter, tilt) - diameter;
                self.gauge.nearest_graduation(right + Length::from_mm(high)?)
            }
            SlipName::OffCentre => {
                let diameter = self.gauge.diameter(right, self.ring).to_mm();
                let off = diameter * random.between(10, 20) as f64 / 1000.0;
                let low = diameter - super::gauge::chord(diameter, off);
                self.gauge.nearest_graduation(right - Length::from_mm(low)?)
            }
            SlipName::WrongAxis => {
                let turned = |other: &&usize| {
                    let degrees = |axis: usize| self.limits.axes.get(axis).map_or(0.0, |axis| axis.degrees);
                    ((degrees(**other) - degrees(axis)).abs() - 90.0).abs() < 1.0
                };
                let other = *self.limits.required_axes.iter().find(turned)?;
                let there = place(other)?;
                let (ours, theirs) = (sheet.get(here)?.1.clone(), sheet.get(there)?.1.clone());
                let wrong = *theirs.get(repeat)?;
                sheet.get_mut(here)?.1 = theirs;
                sheet.get_mut(there)?.1 = ours;
                axes.push(other);
                wrong
            }
        };
        // Where wear is none, an exchange cannot be told from the bore itself.
        let depth = shape.frame.depth_of(self.limits, station)?;
        if (wrong - right).abs() < least || !shape.is_worn_at(depth) {
            return None;
        }
        let whole_cell = what == SlipName::WrongAxis;
        if !whole_cell {
            *sheet.get_mut(here)?.1.get_mut(repeat)? = wrong;
        }
        let label = |axis: &usize| self.limits.axes.get(*axis).map(|axis| axis.label.clone());
        Some(PlantedSlip {
            what,
            station: self.limits.stations.get(station)?.name.clone(),
            axes: axes.iter().filter_map(label).collect(),
            repeat: (!whole_cell).then_some(repeat + 1),
            reads: self.text(self.gauge.diameter(wrong, self.ring)),
            intended: self.text(self.gauge.diameter(right, self.ring)),
        })
    }

    /// Two neighbouring digits of a deviation exchanged; `None` if they are alike.
    fn with_digits_swapped(&self, shown: Length, random: &mut Random) -> Option<Length> {
        let graduations = shown.tenths_of_nm() / self.step().tenths_of_nm().max(1);
        let power = if random.coin() { 10 } else { 1 };
        let (low, high) = (graduations / power % 10, graduations / power / 10 % 10);
        let swapped = graduations + (high - low) * power - (high - low) * power * 10;
        (low != high).then(|| self.step() * swapped)
    }

    fn taper_rule(&self, random: &mut Random) -> Drawn {
        let rule = random.pick(&TaperRule::ALL).copied().unwrap_or(TaperRule::AxisAverages);
        let scope = self.limits.scope(self.limits.taper_stations());
        let figure_by =
            |bore: &Bore, rule| taper::taper(bore, rule, &scope).into_figure().map(|figure| figure.value);
        let draw = |random: &mut Random| {
            let mut shape = self.worn((0, 40), (20, 110), (20, 110), random);
            shape.bow = self.step() * random.between(-12, 12);
            let sheet = self.sheet(&shape, 1, self.gauge.scatter * 3, random);
            (shape, sheet)
        };
        // Two rules that give one figure would leave a doubt which was used.
        let is_alone = |sheet: &Sheet| {
            let bore = self.bore(sheet);
            let ours = figure_by(&bore, rule);
            let differs = |other: &TaperRule| *other == rule || figure_by(&bore, *other) != ours;
            ours.is_some() && TaperRule::ALL.iter().all(differs)
        };
        let (shape, sheet) = until(random, draw, |(_, sheet)| is_alone(sheet));
        let bore = self.bore(&sheet);
        let choices: Vec<String> = ["a", "b", "c", "d", "e"]
            .iter()
            .zip(TaperRule::ALL)
            .map(|(letter, rule)| format!("({letter}) {}", rule.words()))
            .collect();
        let question = format!(
            "Task: {}. The manual says: \"{}\" Write the letter of the rule, and the taper by it. {}.",
            Task::TaperRule.words(),
            in_a_manual(rule),
            choices.join("; ")
        );
        let style = Style { decimals: self.gauge.style().decimals + 1, ..self.gauge.style() };
        let mut working: Vec<String> = Vec::new();
        for rule in TaperRule::ALL {
            let figure = figure_by(&bore, rule).map_or("not known".to_owned(), |f| plain(&f.text(style)));
            working.push(format!("By {}: {figure}.", rule.words()));
        }
        if let [top, .., bottom] = scope.stations {
            working.push(format!(
                "The top is {}, the bottom {}.",
                station_words(self.limits, *top),
                station_words(self.limits, *bottom)
            ));
        }
        working.push(format!("The manual asks for: {}.", rule.words()));
        let figure = figure_by(&bore, rule).unwrap_or_default().nearest();
        let answer = Answer::Taper { rule, figure: exact_text(figure, self.unit()) };
        Drawn { shape, sheet: Some(sheet), question, answer, working }
    }

    /// A sheet as an engine record has it.
    fn readings(&self, sheet: &Sheet) -> Vec<Reading> {
        let name = |at: &Point| {
            let station = self.limits.stations.get(at.station)?.name.clone();
            Some((station, self.limits.axes.get(at.axis)?.label.clone()))
        };
        sheet
            .iter()
            .filter_map(|(at, shown)| {
                let (station, axis) = name(at)?;
                let entered = shown.iter().map(|shown| self.gauge.typed(*shown)).collect();
                Some(Reading { station, axis, gauge: None, entered, confirmed: String::new() })
            })
            .collect()
    }

    fn record(&self, seed: u64, table: TableOfLimits, cylinders: Vec<schema::Cylinder>) -> EngineRecord {
        let overhaul = Overhaul {
            date: jiff::civil::date(2000, 1, 1),
            total_hours: None,
            hours_since_overhaul: None,
            inspector: schema::Inspector::default(),
            limits: Some(TableReference {
                identity: table.identity.clone(),
                revision: table.revision.clone(),
            }),
            unit: self.unit(),
            standards: vec![SettingStandard {
                name: RING.to_owned(),
                size: exact_text(self.ring, self.unit()),
                calibration: None,
                expansion_ppm: None,
            }],
            gauges: vec![self.gauge.in_record(GAUGE, Some(RING))],
            temperatures: None,
            cylinders,
            seal: None,
            remarks: format!(
                "Practice, seed {seed}, exercise version {VERSION}. Invented: for no real engine. Each cylinder's \
                 remarks hold its task; write your name as the inspector's."
            ),
        };
        EngineRecord {
            format: schema::FORMAT,
            engine: Engine {
                model: "Practice (invented)".to_owned(),
                serial: format!("PRACTICE-{seed}"),
                ..Engine::default()
            },
            tables: vec![table],
            overhauls: vec![overhaul],
            remarks: String::new(),
        }
    }
}

/// Draws until one is as wanted; after [`TRIES`] more, the last one.
fn until<T>(random: &mut Random, draw: impl Fn(&mut Random) -> T, is_wanted: impl Fn(&T) -> bool) -> T {
    let mut found = draw(random);
    for _ in 0..TRIES {
        if is_wanted(&found) {
            break;
        }
        found = draw(random);
    }
    found
}

/// The rows that are beyond their limit.
fn beyond(judged: &Assessment) -> impl Iterator<Item = RowKind> {
    judged.rows.iter().filter(|row| row.status == RowStatus::Beyond).map(|row| row.kind)
}

/// The rule as a manual might put it.
pub fn in_a_manual(rule: TaperRule) -> &'static str {
    match rule {
        TaperRule::AxisAverages => {
            "Average the diameters at the upper station and those at the lower one. The difference of the two is the \
             taper."
        }
        TaperRule::PerAxisEnds => {
            "In each direction subtract the diameter at the bottom from the one at the top. The direction that differs \
             more decides."
        }
        TaperRule::LargestTopSmallestBottom => {
            "Take the largest diameter found at the top and subtract the smallest found at the bottom."
        }
        TaperRule::PerAxisRange => {
            "Move the gauge up and down the barrel in one direction, then in the other. The greater swing of the needle \
             is the taper."
        }
        TaperRule::AllReadings => {
            "No two diameters of the barrel, wherever they are taken, may differ by more than the taper limit."
        }
    }
}

/// The table of limits that exercises use where none is given: invented, for no real engine.
pub fn table() -> TableOfLimits {
    let station =
        |name: &str, depth: &str, role| Station { name: name.to_owned(), depth: depth.into(), role };
    let axis = |label: &str, degrees: f64| Axis {
        label: label.to_owned(),
        degrees,
        optional: degrees % 90.0 != 0.0,
    };
    let bore = |size: Size, reference: &str, new: (&str, &str), most: &str| BoreRow {
        size,
        reference: reference.to_owned(),
        new: (new.0.into(), new.1.into()),
        serviceable: Some(Limit::At(most.into())),
        place: "practice table, line 1".to_owned(),
    };
    let over = |text: &str| Size::Oversize(text.to_owned());
    TableOfLimits {
        format: records::limits::schema::FORMAT,
        identity: "PRACTICE".to_owned(),
        revision: "1".to_owned(),
        engine: "Practice barrel (invented)".to_owned(),
        source: Source::Illustrative { remark: "Invented for the classroom. For no real engine.".to_owned() },
        unit: Unit::Inch,
        datum: Datum::HeadEnd,
        stations: vec![
            station("A", "0.400", StationRole::AboveRingTravel),
            station("B", "0.800", StationRole::TopOfRingTravel),
            station("C", "3.100", StationRole::RunningSurface),
            station("D", "5.400", StationRole::BaseEnd),
        ],
        axes: vec![axis("pin", 0.0), axis("45", 45.0), axis("thrust", 90.0), axis("135", 135.0)],
        ring_travel: Some(("0.600".into(), "5.600".into())),
        stroke: Some("4.250".into()),
        cylinders: None,
        bore: vec![
            bore(Size::Standard, "1", ("5.1250", "5.1270"), "5.1295"),
            bore(over("0.010"), "2", ("5.1350", "5.1370"), "5.1395"),
            bore(over("0.015"), "3", ("5.1400", "5.1420"), "5.1445"),
            bore(over("0.020"), "4", ("5.1450", "5.1470"), "5.1495"),
        ],
        bore_judged_on: JudgedOn::EveryPoint,
        taper: Some(TaperRow {
            rule: TaperRule::AxisAverages,
            stations: Vec::new(),
            reference: "5".to_owned(),
            new: Some("0.0005".into()),
            serviceable: Some(Limit::At("0.0015".into())),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 2".to_owned(),
        }),
        out_of_round: Some(OutOfRoundRow {
            rule: OutOfRoundRule::PerStation,
            reference: "6".to_owned(),
            new: Some("0.0005".into()),
            serviceable: Some(Limit::At("0.0015".into())),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 3".to_owned(),
        }),
        choke: None,
        step: Some(StepRow {
            reference: "7".to_owned(),
            serviceable: Some("0.0015".into()),
            when_beyond: WhenBeyond::Rebore,
            place: "practice table, line 4".to_owned(),
        }),
        wall: Wall { surface: Surface::Plain, cut: Cut::Allowed },
        clean_up_allowance: "0.0010".into(),
        mixed_oversizes: MixedOversizes::Allowed,
        decision: DecisionRule::Simple,
        barrel_expansion_ppm: None,
        parts: Vec::new(),
        fits: Vec::new(),
        ring_gaps: Vec::new(),
        piston_weight_spread: None,
        findings: Vec::new(),
        remarks: "Invented.".to_owned(),
    }
}

#[cfg(test)]
mod tests;
