//! A bore under the gauge: the record that is filled, how the gauge stands, and what is done with both.
//!
//! A gauge that is put into a bore stands neither square nor in the middle; how it leans is unseen, and taken
//! out by rocking it for the smallest reading along and moving it for the largest across. Every time it is
//! put in it scatters anew. The readings go into the record as typed; nothing reads them for the student.

use crate::open_document::OpenDocument;
use classroom::exercise::{Exercise, Task};
use classroom::gauge::{Instrument, Placing, Shown, Zero};
use classroom::key::PracticeKey;
use classroom::mark::{self, Mark};
use classroom::random::Random;
use classroom::shape::Shape;
use quantities::length::{Length, Style};
use records::bore::Point;
use records::record::entry::MeasuringOrder;
use records::record::entry::reading;
use work::session::{Command, CylinderEdit};

/// The most that a gauge can be rocked either way, in degrees.
pub(super) const MOST_ROCK: f64 = 5.0;
/// The steps that it is rocked in, in degrees.
pub(super) const ROCK_STEP: f64 = 0.1;

/// How the gauge stands, and what is seen on it.
#[derive(Clone, Debug)]
pub(super) struct Hand {
    /// How it was set; none: not yet.
    pub(super) set: Option<Zero>,
    /// What it reads against where nobody has set it.
    unset: Zero,
    /// Depth from the head end.
    pub(super) depth: Length,
    /// Direction across the bore.
    pub(super) degrees: f64,
    /// How far it has been rocked by hand, in degrees.
    pub(super) rock: f64,
    /// How far it has been moved sideways by hand.
    pub(super) aside: Length,
    /// How it came in: its lean in degrees, and how far off the centre.
    lean: f64,
    off: Length,
    scatter: Length,
    random: Random,
    /// What it shows: nothing before the first look.
    shown: Option<(Placing, Zero, Length, Shown)>,
}

/// An exercise under work: its record, the gauge, and the marks once it is handed in.
#[derive(Debug)]
pub(super) struct Practice {
    /// The exercise.
    pub(super) exercise: Exercise,
    /// Its record.
    pub(super) document: OpenDocument,
    /// What it is marked by.
    pub(super) key: PracticeKey,
    /// The gauge.
    pub(super) hand: Hand,
    /// The cell that the next reading goes into.
    pub(super) cell: Point,
    /// The gauge moves to the chosen cell.
    pub(super) goes_along: bool,
    /// What is being typed.
    pub(super) draft: String,
    /// Why the draft cannot be kept.
    pub(super) wrong: Option<String>,
    /// The marks; once they are there, nothing more is filled in.
    pub(super) marks: Option<Vec<Mark>>,
}

impl Practice {
    /// Begins an exercise with a record: its own, or one that is gone on with.
    pub(super) fn begin(exercise: Exercise, document: OpenDocument) -> Self {
        let key = exercise.key.clone();
        let mut random = Random::new(exercise.seed.wrapping_add(1));
        let zero = Zero::on(exercise.ring);
        let (set, unset) = match exercise.gauge.instrument {
            Instrument::BoreGauge => (None, Zero::not_set(exercise.ring, &exercise.gauge, &mut random)),
            // It reads the diameter itself, and has nothing to be set on.
            Instrument::InsideMicrometer => (Some(Zero::on(Length::ZERO)), zero),
        };
        let hand = Hand {
            set,
            unset,
            depth: Length::ZERO,
            degrees: 0.0,
            rock: 0.0,
            aside: Length::ZERO,
            lean: 0.0,
            off: Length::ZERO,
            scatter: Length::ZERO,
            random,
            shown: None,
        };
        let mut practice = Self {
            cell: Point::new(0, 0),
            exercise,
            document,
            key,
            hand,
            goes_along: true,
            draft: String::new(),
            wrong: None,
            marks: None,
        };
        practice.cell = practice.cells().first().copied().unwrap_or(practice.cell);
        practice.go_to_cell();
        practice
    }

    /// The bore that is to be measured.
    pub(super) fn shape(&self) -> Option<&Shape> {
        self.exercise.bores.iter().find(|(task, _)| *task == Task::Measure).map(|(_, shape)| shape)
    }

    /// The cells that must be measured, in measuring order.
    pub(super) fn cells(&self) -> Vec<Point> {
        let limits = &self.exercise.limits;
        let mut cells = MeasuringOrder::default().cells(limits);
        cells.retain(|at| limits.required_axes.contains(&at.axis));
        cells
    }

    /// What has been written down in a cell.
    pub(super) fn written(&self, at: Point) -> &[String] {
        let cylinder = self.document.session.cylinder(0);
        let found = cylinder.and_then(|cylinder| reading(cylinder, &self.exercise.limits, at));
        found.map_or(&[], |reading| reading.entered.as_slice())
    }

    /// A step sideways.
    pub(super) fn aside_step(&self) -> Length {
        Style::usual(self.exercise.limits.unit).last_digit() * 50
    }

    /// The most that the gauge can be moved sideways.
    pub(super) fn most_aside(&self) -> Length {
        self.aside_step() * 20
    }

    /// Sets the gauge on its ring.
    pub(super) fn set_on_ring(&mut self) {
        self.hand.set = Some(Zero::on(self.exercise.ring));
        self.wrong = None;
    }

    /// Chooses a cell; the gauge goes along if it is to.
    pub(super) fn choose(&mut self, at: Point) {
        self.cell = at;
        if self.goes_along {
            self.go_to_cell();
        }
    }

    /// Brings the gauge to the chosen cell.
    pub(super) fn go_to_cell(&mut self) {
        let limits = &self.exercise.limits;
        let depth = self.shape().and_then(|shape| shape.frame.depth_of(limits, self.cell.station));
        let degrees = limits.axes.get(self.cell.axis).map(|axis| axis.degrees);
        if let (Some(depth), Some(degrees)) = (depth, degrees) {
            self.hand.depth = depth;
            self.hand.degrees = degrees;
        }
        self.put_in();
    }

    /// Takes the gauge out and puts it in again.
    pub(super) fn put_in(&mut self) {
        let step = self.aside_step();
        let scatter = self.exercise.gauge.scatter;
        let hand = &mut self.hand;
        let mut either_way = |least: i64, most: i64| {
            let size = hand.random.between(least, most);
            if hand.random.coin() { size } else { -size }
        };
        hand.lean = either_way(8, 25) as f64 * ROCK_STEP;
        hand.off = step * either_way(4, 11);
        hand.rock = 0.0;
        hand.aside = Length::ZERO;
        hand.scatter = hand.random.scatter(scatter);
    }

    /// The gauge was moved along the barrel: it scatters anew, and keeps its lean.
    pub(super) fn moved_along(&mut self) {
        self.hand.scatter = self.hand.random.scatter(self.exercise.gauge.scatter);
    }

    /// How the gauge truly stands.
    pub(super) fn placing(&self) -> Placing {
        let hand = &self.hand;
        // A tenth of a degree is no exact number; what is squared by hand is square.
        let tilt = ((hand.lean + hand.rock) / ROCK_STEP).round() * ROCK_STEP;
        Placing {
            depth: hand.depth,
            degrees: hand.degrees,
            tilt_degrees: tilt,
            off_centre: hand.off + hand.aside,
        }
    }

    /// Makes it stand square and in the middle, as after rocking and centring.
    pub(super) fn square_up(&mut self) {
        self.hand.rock = -self.hand.lean;
        self.hand.aside = -self.hand.off;
    }

    /// What is seen on it.
    pub(super) fn shown(&self) -> Option<Shown> {
        self.hand.shown.map(|(.., shown)| shown)
    }

    /// Looks at it anew if it was moved or set.
    pub(super) fn settle(&mut self) -> bool {
        let Some(shape) = self.shape().copied() else { return false };
        let (placing, zero) = (self.placing(), self.hand.set.unwrap_or(self.hand.unset));
        let scatter = self.hand.scatter;
        let is_same =
            |(p, z, s, _): &(Placing, Zero, Length, Shown)| *p == placing && *z == zero && *s == scatter;
        if self.hand.shown.as_ref().is_some_and(is_same) {
            return false;
        }
        let shown = self.exercise.gauge.shows(&shape, zero, placing, scatter);
        self.hand.shown = Some((placing, zero, scatter, shown));
        true
    }

    /// Writes the draft into the chosen cell, behind what stands there, and goes to the next cell.
    pub(super) fn keep(&mut self) {
        let text = self.draft.trim().to_owned();
        if text.is_empty() || self.marks.is_some() {
            return;
        }
        if let Err(error) = self.document.session.preview(0, self.cell, &text, None) {
            self.wrong = Some(format!("{error}."));
            return;
        }
        self.wrong = None;
        let repeat = self.written(self.cell).len();
        self.change(CylinderEdit::Reading { at: self.cell, repeat, text, gauge: None }, 0);
        self.draft.clear();
        let cells = self.cells();
        // The first of those with the fewest readings: round after round in measuring order.
        let next = cells.into_iter().min_by_key(|at| self.written(*at).len());
        if let Some(next) = next {
            if self.goes_along {
                self.choose(next);
            } else {
                self.cell = next;
                self.put_in();
            }
        }
    }

    /// Takes what is written in the chosen cell away.
    pub(super) fn empty_cell(&mut self) {
        for repeat in (0..self.written(self.cell).len()).rev() {
            let edit = CylinderEdit::Reading { at: self.cell, repeat, text: String::new(), gauge: None };
            self.change(edit, 0);
        }
    }

    /// Changes a cylinder of the record.
    pub(super) fn change(&mut self, edit: CylinderEdit, cylinder: usize) {
        self.command(Command::Cylinder(cylinder, edit));
        self.document.session.seal();
    }

    /// Changes the record, unless it has been handed in.
    pub(super) fn command(&mut self, command: Command) {
        if self.marks.is_none()
            && let Err(error) = self.document.session.dispatch(command)
        {
            self.wrong = Some(error.to_string());
        }
    }

    /// Marks what has been filled in by another key. One that does not fit changes nothing.
    pub(super) fn mark_by(&mut self, key: PracticeKey) -> Vec<records::diag::Diagnostic> {
        let reported = mark::mark(self.document.session.record(), &key);
        if !reported.value.is_empty() {
            self.key = key;
            self.marks = Some(reported.value);
        }
        reported.diagnostics
    }

    /// Marks what has been filled in.
    pub(super) fn hand_in(&mut self) -> Vec<records::diag::Diagnostic> {
        self.mark_by(self.key.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use work::session::Session;

    fn practice() -> Practice {
        let exercise = Exercise::new(7).expect("the practice table is sound");
        let document = OpenDocument::unsaved(Session::new(exercise.record.clone()), None);
        Practice::begin(exercise, document)
    }

    /// A careful student in the window's own steps gets every point of the first task.
    #[test]
    fn a_careful_student_is_right_everywhere() {
        let mut practice = practice();
        practice.set_on_ring();
        for _ in practice.cells() {
            practice.square_up();
            practice.settle();
            let shown = practice.shown().expect("it was looked at");
            practice.draft = practice.exercise.gauge.typed(shown.nearest);
            practice.keep();
            assert_eq!(practice.wrong, None);
        }
        assert_eq!(practice.hand_in(), []);
        let marks = practice.marks.expect("marked");
        assert_eq!((marks[0].points, marks[0].out_of), (8, 8), "{:?}", marks[0].words);
    }

    #[test]
    fn who_neither_rocks_nor_centres_reads_wrong() {
        let mut practice = practice();
        practice.set_on_ring();
        practice.settle();
        let as_put_in = practice.shown().expect("seen").stands_at;
        practice.hand.aside = -practice.hand.off;
        practice.settle();
        let centred = practice.shown().expect("seen").stands_at;
        practice.square_up();
        practice.settle();
        let right = practice.shown().expect("seen").stands_at;
        assert!(as_put_in < centred, "off centre reads low");
        assert!(right < centred, "a tilt reads high");
    }

    #[test]
    fn a_gauge_that_was_not_set_is_told_in_the_marks() {
        let mut practice = practice();
        for _ in practice.cells() {
            practice.square_up();
            practice.settle();
            practice.draft = practice.exercise.gauge.typed(practice.shown().expect("seen").nearest);
            practice.keep();
        }
        practice.hand_in();
        let marks = practice.marks.expect("marked");
        assert!(
            marks[0].words.iter().any(|words| words.contains("had not been set")),
            "{:?}",
            marks[0].words
        );
    }

    #[test]
    fn a_second_round_goes_through_the_cells_again() {
        let mut practice = practice();
        practice.set_on_ring();
        let cells = practice.cells();
        for at in cells.iter().chain(&cells) {
            assert_eq!(practice.cell, *at);
            practice.draft = "+0.0003".to_owned();
            practice.keep();
        }
        assert!(cells.iter().all(|at| practice.written(*at).len() == 2));
    }

    #[test]
    fn nothing_is_filled_in_once_it_is_handed_in() {
        let mut practice = practice();
        practice.hand_in();
        practice.draft = "+0.0003".to_owned();
        practice.keep();
        assert!(practice.written(practice.cell).is_empty());
    }

    #[test]
    fn what_is_no_reading_stays_and_says_why() {
        let mut practice = practice();
        practice.draft = "about three".to_owned();
        practice.keep();
        assert!(
            practice.wrong.as_ref().is_some_and(|wrong| wrong.contains("not a length")),
            "{:?}",
            practice.wrong
        );
        assert_eq!(practice.draft, "about three");
    }
}
