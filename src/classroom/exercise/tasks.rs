//! The tasks: a bore drawn until it is as the task wants it, the question, and what is true of it by the product's own
//! figures and judging. The task to spot a slip has a file of its own.

use super::sheet::DialSheet;
use super::{Class, Drawn, Task};
use crate::gauge::Instrument;
use crate::key::{Answer, TrueDiameter, exact_text, plain};
use crate::random::Random;
use crate::shape::{OneSided, Oval, Shape};
use figures::taper;
use judging::row::RowStatus;
use judging::{Assessment, Recommendation};
use quantities::length::{Length, Style};
use records::bore::Bore;
use records::limits::rows::RowKind;
use records::limits::schema::{Size, TaperRule};
use records::record::schema::Decision;
use records::survey::station_words;

/// How often a task is drawn anew until it is as meant.
pub(super) const TRIES: usize = 200;

impl Class<'_> {
    pub(super) fn measure(&self, random: &mut Random) -> Drawn {
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
    pub(super) fn to_measure(&self, shape: Shape) -> Drawn {
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

    pub(super) fn which_figure(&self, random: &mut Random) -> Drawn {
        let wanted = random.below(5);
        let draw = |random: &mut Random| {
            let (even, taper, oval) = match wanted {
                0 => ((40, 58), (0, 30), (0, 30)),
                1 => ((0, 25), (107, 150), (0, 50)),
                2 => ((0, 25), (0, 50), (107, 150)),
                3 => ((30, 62), (40, 95), (0, 40)),
                _ => ((0, 25), (0, 70), (0, 70)),
            };
            self.worn_and_judged(even, taper, oval, random)
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

    pub(super) fn outcome(&self, random: &mut Random) -> Drawn {
        let wanted = random.below(3);
        let draw = |random: &mut Random| {
            let (even, taper, oval) = match wanted {
                0 => ((0, 30), (0, 95), (0, 95)),
                1 => ((0, 90), (60, 160), (20, 150)),
                _ => ((160, 300), (60, 300), (20, 150)),
            };
            self.worn_and_judged(even, taper, oval, random)
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

    pub(super) fn taper_rule(&self, random: &mut Random) -> Drawn {
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
        let is_alone = |sheet: &DialSheet| {
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
}

/// The rows that are beyond their limit.
pub(super) fn beyond(judged: &Assessment) -> impl Iterator<Item = RowKind> {
    judged.rows.iter().filter(|row| row.status == RowStatus::Beyond).map(|row| row.kind)
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
