//! The Lesson: a bore that can be turned like a knob, a gauge in it, exercises with their marks, a gauge
//! study, and the page that says how to teach with them.
//!
//! It needs no record, and what it shows is never a part of the one that is open: the only thing that leaves it
//! is a repeatability that somebody stores for a gauge of the record. An exercise under work is a record of
//! its own, saved where the person says. What takes time is done in `LessonView::settle`, between frames.
//!
//! | file | part |
//! |---|---|
//! | `plan` | how to run a lesson of twenty minutes, step by step |
//! | `shapes`, `drawings`, `projector` | the invented bore: knobs, drawings, what is said of it; for a wall |
//! | `practice`, `gauge`, `instrument` | a bore under the gauge: what is done, the page, the dial drawn |
//! | `exercises` | exercises, handed in and marked |
//! | `study`, `spread` | the gauge study and its plots |

mod drawings;
mod exercises;
mod gauge;
mod instrument;
mod plan;
mod practice;
mod projector;
mod shapes;
mod spread;
mod study;

use std::sync::Arc;

use eframe::egui::{self, RichText, Slider, Ui};

use crate::cx::Action;
use crate::dialogs::TABLES;
use crate::open_document::OpenDocument;
use crate::prefs::Prefs;
use crate::theme::Palette;
use classroom::exercise;
use quantities::length::{Length, Style, Unit};
use records::diag::{self, Diagnostic};
use records::file;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use work::session::{EditLocation, Session};

/// A part of the Lesson.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum LessonPart {
    /// How to run a lesson.
    #[default]
    Plan,
    /// The bore with its knobs.
    Shapes,
    /// The gauge in a bore.
    Gauge,
    /// Exercises.
    Exercises,
    /// The gauge study.
    Study,
}

impl LessonPart {
    /// Every part, in the order of a lesson.
    pub const ALL: [Self; 5] = [Self::Plan, Self::Shapes, Self::Gauge, Self::Exercises, Self::Study];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Plan => "Lesson plan",
            Self::Shapes => "Shapes",
            Self::Gauge => "Gauge in the bore",
            Self::Exercises => "Exercises",
            Self::Study => "Gauge study",
        }
    }
}

/// What the Lesson sees of the window, and where it puts what it asks for.
pub(crate) struct LessonCx<'a> {
    /// The record that is open, if there is one.
    pub(crate) session: Option<&'a Session>,
    /// The person's preferences.
    pub(crate) prefs: &'a Prefs,
    /// The colours in use.
    pub(crate) palette: Palette,
    /// What is asked of the window.
    pub(crate) actions: &'a mut Vec<Action>,
}

/// The table of limits that bores and exercises follow.
#[derive(Clone, Debug)]
struct Course {
    table: TableOfLimits,
    limits: Arc<Limits>,
}

impl Course {
    fn of(table: TableOfLimits) -> Option<Self> {
        let limits = Arc::new(Limits::resolve(&table).ok()?);
        Some(Self { table, limits })
    }

    fn words(&self) -> String {
        let engine = self.table.engine.trim_end_matches("(invented)").trim_end();
        format!("{engine}, {}", self.limits.unit)
    }
}

/// What the Lesson keeps for itself.
#[derive(Debug, Default)]
pub struct LessonView {
    /// The part that is shown.
    pub part: LessonPart,
    courses: Vec<Course>,
    course: usize,
    shapes: shapes::ShapesView,
    gauge: gauge::GaugeView,
    exercises: exercises::ExercisesView,
    study: study::StudyView,
}

impl LessonView {
    /// Does the whole window show one drawing?
    pub(crate) fn is_projected(&self) -> bool {
        self.shapes.is_projected
    }

    /// The exercise's record, if one is under work.
    pub fn record(&self) -> Option<&OpenDocument> {
        self.exercises.practice.as_ref().map(|practice| &practice.document)
    }

    /// Would anything be lost with the exercise?
    pub(crate) fn is_unsaved(&self) -> bool {
        self.exercises.is_unsaved()
    }

    /// As [`Self::record`], for its recovery copy.
    pub(crate) fn record_mut(&mut self) -> Option<&mut OpenDocument> {
        self.exercises.practice.as_mut().map(|practice| &mut practice.document)
    }

    /// The record that undo and save are about while the Lesson is in front.
    pub(crate) fn session_in_hand(&self) -> Option<&Session> {
        self.practice_in_hand().map(|practice| &practice.document.session)
    }

    fn practice_in_hand(&self) -> Option<&practice::Practice> {
        match self.part {
            LessonPart::Gauge if !self.gauge.is_of_exercise => self.gauge.practice.as_ref(),
            LessonPart::Gauge | LessonPart::Exercises => self.exercises.practice.as_ref(),
            LessonPart::Plan | LessonPart::Shapes | LessonPart::Study => None,
        }
    }

    fn practice_in_hand_mut(&mut self) -> Option<&mut practice::Practice> {
        match self.part {
            LessonPart::Gauge if !self.gauge.is_of_exercise => self.gauge.practice.as_mut(),
            LessonPart::Gauge | LessonPart::Exercises => self.exercises.practice.as_mut(),
            LessonPart::Plan | LessonPart::Shapes | LessonPart::Study => None,
        }
    }

    /// Takes the last change of the practice sheet back.
    pub(crate) fn undo(&mut self) {
        self.cross(Session::undo);
    }

    /// Does it again.
    pub(crate) fn redo(&mut self) {
        self.cross(Session::redo);
    }

    /// Takes a step back or again, and shows where it was.
    fn cross(&mut self, step: impl FnOnce(&mut Session) -> Option<EditLocation>) {
        let practice = self.practice_in_hand_mut().filter(|practice| practice.marks.is_none());
        let Some((practice, at)) = practice.and_then(|p| step(&mut p.document.session).map(|at| (p, at)))
        else {
            return;
        };
        if let (Some(0), Some((cell, _))) = (at.cylinder, at.cell) {
            practice.choose(cell);
        }
        self.exercises.read_answers();
    }

    /// Back to the lesson plan, from the projector too.
    pub(crate) fn go_to_plan(&mut self) {
        self.part = LessonPart::Plan;
        self.shapes.is_projected = false;
    }

    /// Saves the exercise's record; where it has no file yet, the page asks for one.
    pub(crate) fn save(&mut self) {
        if self.exercises.practice.is_some() {
            self.part = LessonPart::Exercises;
            self.exercises.save();
        }
    }

    /// Gives the exercise up.
    pub(crate) fn forget_exercise(&mut self) {
        if let Some(mut practice) = self.exercises.practice.take() {
            practice.document.forget_copy();
        }
    }

    /// Does what was asked for while drawing, and works out what is stale. Says whether anything changed.
    pub(crate) fn settle(&mut self, folder: Option<&std::path::Path>, actions: &mut Vec<Action>) -> bool {
        if self.courses.is_empty() {
            let shipped = TABLES.iter().filter_map(|text| file::limits_from_text(text, None).value);
            self.courses = std::iter::once(exercise::table()).chain(shipped).filter_map(Course::of).collect();
        }
        let Some(course) = self.courses.get(self.course) else { return false };
        let mut changed = self.shapes.settle(course);
        let shape = self.shapes.shape();
        changed |= self.gauge.settle(course, shape);
        changed |= self.exercises.settle(course, folder, actions);
        changed |= self.study.settle(actions);
        changed
    }
}

/// Draws the Lesson.
pub(crate) fn lesson_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut LessonView) {
    if view.is_projected() {
        projector::projector_ui(ui, cx, &mut view.shapes);
        return;
    }
    ui.horizontal_wrapped(|ui| {
        for part in LessonPart::ALL {
            if ui.selectable_label(view.part == part, part.words()).clicked() {
                view.part = part;
            }
        }
        ui.separator();
        course_ui(ui, view);
    });
    ui.add_space(2.0);
    ui.separator();
    if view.courses.is_empty() {
        return;
    }
    match view.part {
        LessonPart::Plan => plan::plan_ui(ui, cx, view),
        LessonPart::Shapes => shapes::shapes_ui(ui, cx, view),
        LessonPart::Gauge => gauge::gauge_ui(ui, cx, view),
        LessonPart::Exercises => exercises::exercises_ui(ui, cx, view),
        LessonPart::Study => study::study_ui(ui, cx, view),
    }
}

/// Which table the bores follow: another one fits the examples to it.
fn course_ui(ui: &mut Ui, view: &mut LessonView) {
    let Some(course) = view.courses.get(view.course) else { return };
    let label = ui.label("Table of limits");
    let combo =
        egui::ComboBox::from_id_salt("course").width(170.0).selected_text(course.words()).show_ui(ui, |ui| {
            for (index, other) in view.courses.iter().enumerate() {
                if ui.selectable_label(view.course == index, other.words()).clicked() {
                    view.course = index;
                }
            }
        });
    combo.response.labelled_by(label.id);
}

// ---- pieces that several parts have

/// A heading of a group within a part.
fn group(ui: &mut Ui, name: &str) {
    ui.add_space(6.0);
    ui.label(RichText::new(name).font(crate::theme::bold(crate::theme::TEXT)));
}

/// A text in the second rank of ink, in as many lines as it takes.
fn faint(ui: &mut Ui, palette: &Palette, text: impl Into<String>) {
    ui.add(egui::Label::new(RichText::new(text).color(palette.faint_ink)).wrap());
}

/// A text in as many lines as it takes.
fn words(ui: &mut Ui, text: impl Into<String>) {
    ui.add(egui::Label::new(text.into()).wrap());
}

/// Two pieces side by side, their words not stretched.
fn side_by_side(ui: &mut Ui, left: impl FnOnce(&mut Ui), right: impl FnOnce(&mut Ui)) {
    ui.columns(2, |columns| {
        if let [first, second] = columns {
            first.vertical(left);
            second.vertical(right);
        }
    });
}

/// A line to type in, with its name before it.
fn field(ui: &mut Ui, name: &str, text: &mut String, width: f32) -> egui::Response {
    let label = ui.label(name);
    let line = egui::TextEdit::singleline(text)
        .desired_width(width)
        .align(egui::Align2::LEFT_CENTER)
        .min_size(egui::vec2(0.0, 30.0));
    ui.add(line).labelled_by(label.id)
}

/// A length that is turned like a knob, in steps, within bounds. Says whether it moved.
fn length_knob(
    ui: &mut Ui,
    name: &str,
    value: &mut Length,
    bounds: (Length, Length),
    step: Length,
    unit: Unit,
) -> bool {
    let decimals = Style::usual(unit).last_digit().decimals(unit).min(step.decimals(unit));
    let inside = |length: Length| unit.from_mm(length.to_mm());
    let mut shown = inside(*value);
    let by = inside(step);
    let moved = knob(ui, name, &mut shown, (inside(bounds.0), inside(bounds.1)), by, usize::from(decimals));
    if moved && by > 0.0 {
        // In whole steps, so that the length is exact.
        *value = step * ((shown / by).round() as i64);
    }
    moved
}

/// A number that is turned like a knob. Says whether it moved.
fn knob(ui: &mut Ui, name: &str, value: &mut f64, bounds: (f64, f64), step: f64, decimals: usize) -> bool {
    let before = *value;
    let label = ui.add(egui::Label::new(name).truncate());
    let slider = Slider::new(value, bounds.0..=bounds.1)
        .step_by(step)
        .fixed_decimals(decimals)
        .clamping(egui::SliderClamping::Edits)
        .smart_aim(false);
    ui.add(slider).labelled_by(label.id);
    *value != before
}

/// A problem that the window is to tell.
fn tell(actions: &mut Vec<Action>, diagnostics: impl IntoIterator<Item = Diagnostic>) {
    let diagnostics: Vec<Diagnostic> = diagnostics.into_iter().collect();
    actions.extend(diag::reported(&diagnostics).into_iter().map(Action::Tell));
}
