//! Exercises: drawn from a seed number or gone on with from a file, answered, handed in and marked, with the
//! key and its working opened afterwards.
//!
//! The record and the key are those of the command line: what is saved here is marked there, and the reverse.

use std::path::Path;

use eframe::egui::{self, Button, ComboBox, Grid, RichText, ScrollArea, Ui, vec2};

use super::practice::Practice;
use super::{Course, LessonCx, LessonPart, LessonView, faint, field, group, words};
use crate::browse::{Browse, Wanted};
use crate::cx::Action;
use crate::dialogs::{browse_ui, entered, typed_path, when_typed};
use crate::open_document::{OpenDocument, copies};
use crate::reported::reported_ui;
use crate::theme::{self, HEADING, TEXT};
use crate::views::outcome::decisions;
use classroom::exercise::{self, Exercise, Task};
use classroom::key::{PracticeKey, SlipName};
use classroom::mark;
use judging::words::decision_of;
use quantities::length::Mean;
use records::diag::Diagnostic;
use records::file;
use records::limits::schema::TaperRule;
use records::record::schema::Disposition;
use records::store::recovery::{self, RecoveredFile};
use records::store::{self, NotWritten};
use records::survey::{axis_words, station_words};
use records::wording::capitalised;
use work::session::{Command, CylinderEdit, OverhaulEdit, Session};

/// What is asked for while drawing, and done between frames.
#[derive(Clone, Debug, PartialEq)]
enum Ask {
    /// A new exercise from the seed typed.
    Draw,
    /// A practice record from a file.
    Open,
    /// The same, as it is saved, though there is a recovery copy of it.
    OpenSaved,
    /// The same, from its recovery copy.
    Restore,
    /// Save the record at the path typed.
    Save,
    /// Save the key at the path typed.
    SaveKey,
    /// Mark it by its own key.
    HandIn,
    /// Mark it by a key from a file.
    MarkBy,
    /// Give it up.
    Forget,
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct ExercisesView {
    /// The exercise under work.
    pub(super) practice: Option<Practice>,
    /// The task shown.
    pub(super) task: usize,
    /// The seed number as typed.
    pub(super) seed: String,
    /// A practice record to open, as typed.
    open_path: String,
    browse: Browse,
    save_path: String,
    key_path: String,
    mark_path: String,
    /// Answers half made, as typed.
    slip: SlipDraft,
    taper: TaperDraft,
    /// Handing in has been asked for once.
    sure: bool,
    /// Something would be lost: asked for once.
    leaving: Option<Ask>,
    /// A recovery copy of the record that was to be opened.
    left: Option<RecoveredFile>,
    asked: Vec<Ask>,
}

/// A slip as it is being named.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct SlipDraft {
    station: Option<usize>,
    axis: Option<usize>,
    what: Option<SlipName>,
}

/// A taper as it is being named.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct TaperDraft {
    rule: Option<TaperRule>,
    figure: String,
}

impl ExercisesView {
    /// Draws the exercise of a seed number.
    pub(super) fn draw(&mut self, seed: u64) {
        self.seed = seed.to_string();
        self.ask(Ask::Draw);
    }

    /// Has anything been filled in that is not saved?
    pub(super) fn is_unsaved(&self) -> bool {
        self.practice.as_ref().is_some_and(|p| p.document.session.is_unsaved() && is_begun(p))
    }

    fn ask(&mut self, ask: Ask) {
        self.asked.push(ask);
    }

    fn begin(&mut self, exercise: Exercise, document: OpenDocument) {
        let folder = std::env::current_dir().unwrap_or_default();
        let name = format!("practice-{}", exercise.seed);
        let path = |ending: &str| folder.join(format!("{name}{ending}.ron")).display().to_string();
        self.save_path = document.path.as_ref().map_or_else(|| path(""), |path| path.display().to_string());
        self.key_path = path("-key");
        self.mark_path = path("-key");
        self.seed = exercise.seed.to_string();
        self.task = 0;
        self.sure = false;
        if let Some(mut old) = self.practice.take() {
            old.document.forget_copy();
        }
        self.practice = Some(Practice::begin(exercise, document));
        self.read_answers();
    }

    /// Does what was asked for, and looks at the gauge anew.
    pub(super) fn settle(
        &mut self,
        course: &Course,
        folder: Option<&Path>,
        actions: &mut Vec<Action>,
    ) -> bool {
        let asked = std::mem::take(&mut self.asked);
        let mut changed = !asked.is_empty();
        for ask in asked {
            let reported = self.carry_out(ask, course, folder, actions);
            super::tell(actions, reported);
        }
        changed |= self.practice.as_mut().is_some_and(Practice::settle);
        changed
    }

    fn carry_out(
        &mut self,
        ask: Ask,
        course: &Course,
        folder: Option<&Path>,
        actions: &mut Vec<Action>,
    ) -> Vec<Diagnostic> {
        self.left = self.left.take().filter(|_| matches!(ask, Ask::OpenSaved | Ask::Restore));
        if !matches!(ask, Ask::Save | Ask::SaveKey | Ask::HandIn | Ask::MarkBy)
            && self.is_unsaved()
            && self.leaving.take() != Some(ask.clone())
        {
            self.leaving = Some(ask);
            return Vec::new();
        }
        self.leaving = None;
        match ask {
            Ask::Draw => {
                let Ok(seed) = self.seed.trim().parse::<u64>() else {
                    return vec![
                        Diagnostic::error(format!("`{}` is no seed number.", self.seed.trim()))
                            .remedy("Write a whole number, such as 7; the class writes the same one."),
                    ];
                };
                match Exercise::by(seed, course.table.clone()) {
                    Ok(exercise) => {
                        let session = Session::new(exercise.record.clone());
                        self.begin(exercise, OpenDocument::unsaved(session, folder));
                        Vec::new()
                    }
                    Err(reported) => reported,
                }
            }
            Ask::Open | Ask::OpenSaved => self.open(folder, ask == Ask::OpenSaved),
            Ask::Restore => {
                let Some(taken) = self.left.take().and_then(|left| left.take()) else {
                    return vec![
                        Diagnostic::error("The recovery copy is gone: another window has restored it.")
                            .remedy("Go on in that window."),
                    ];
                };
                let (mut document, notes) = match OpenDocument::recovered(taken, folder) {
                    Ok(recovered) => recovered,
                    Err(wrong) => return wrong,
                };
                // What cannot be copied is told as long as that is so.
                let _ = document.copy_now();
                self.go_on_with(document, notes)
            }
            Ask::Save => {
                self.save_at(folder, actions);
                Vec::new()
            }
            Ask::SaveKey => vec![self.save_key().unwrap_or_else(|reported| reported)],
            Ask::HandIn => {
                self.sure = false;
                self.practice.as_mut().map(Practice::hand_in).unwrap_or_default()
            }
            Ask::MarkBy => self.mark_by(),
            Ask::Forget => {
                if let Some(mut practice) = self.practice.take() {
                    practice.document.forget_copy();
                }
                Vec::new()
            }
        }
    }

    fn open(&mut self, folder: Option<&Path>, saved: bool) -> Vec<Diagnostic> {
        let Some(path) = typed_path(&self.open_path) else {
            return vec![Diagnostic::note("Write which practice record to open, with its folder.")];
        };
        if !saved && let Some(left) = folder.and_then(|folder| left_of(folder, &path)) {
            self.left = Some(left);
            return Vec::new();
        }
        match OpenDocument::open(&path, folder) {
            Ok((document, notes)) => self.go_on_with(document, notes),
            Err(wrong) => wrong,
        }
    }

    fn go_on_with(&mut self, document: OpenDocument, mut notes: Vec<Diagnostic>) -> Vec<Diagnostic> {
        let record = document.session.record();
        let (Some(seed), Some(table)) = (exercise::seed_of(record), record.tables.first().cloned()) else {
            return vec![
                Diagnostic::error("This is no practice record: its serial names no seed number.")
                    .remedy("Open an ordinary record from the menu File.")
                    .in_file(document.path.as_deref().unwrap_or(Path::new(""))),
            ];
        };
        match Exercise::by(seed, table) {
            Ok(exercise) => {
                if exercise.record.engine.serial != record.engine.serial
                    || exercise.record.overhauls.first().map(|o| &o.remarks)
                        != record.overhauls.first().map(|o| &o.remarks)
                {
                    notes.push(
                        Diagnostic::note(
                            "The record was written by another version of the exercises, so the bore of task 1 may \
                             be another one.",
                        )
                        .remedy("Mark it with the key that was written with it."),
                    );
                }
                self.begin(exercise, document);
                notes
            }
            Err(reported) => reported,
        }
    }

    /// Saves where it was saved, or lets the page ask where.
    pub(super) fn save(&mut self) {
        self.ask(Ask::Save);
    }

    fn save_at(&mut self, folder: Option<&Path>, actions: &mut Vec<Action>) {
        let Some(path) = typed_path(&self.save_path) else {
            let reported = Diagnostic::error("The record has no place to be saved at.")
                .remedy("Write a file with its folder, and save it again.");
            actions.push(Action::Tell(reported));
            return;
        };
        let Some(practice) = &mut self.practice else { return };
        let reported = match practice.document.save(&path, folder, None) {
            Ok(notes) if notes.is_empty() => {
                vec![Diagnostic::note("The practice record is saved.").in_file(&path)]
            }
            Ok(notes) => notes,
            Err(NotWritten::Changed(_)) => vec![
                Diagnostic::error(
                    "There is a file of this name already, and somebody may have filled it in.",
                )
                .remedy("Save under another name, or move it away.")
                .in_file(&path),
            ],
            Err(NotWritten::Refused(error)) => vec![error],
        };
        super::tell(actions, reported);
    }

    /// Saves the key, never over another file.
    fn save_key(&self) -> Result<Diagnostic, Diagnostic> {
        let (Some(practice), Some(path)) = (&self.practice, typed_path(&self.key_path)) else {
            return Err(Diagnostic::note("Write where the key is to be saved, with its folder."));
        };
        store::write_new(&path, file::to_ron(&practice.exercise.key)?.as_bytes())?;
        Ok(Diagnostic::note("The key is saved; keep it apart from the record.").in_file(&path))
    }

    /// Shows the answers as the record has them.
    pub(super) fn read_answers(&mut self) {
        if let Some(practice) = &self.practice {
            (self.slip, self.taper) = (slip_in(practice), taper_in(practice));
        }
    }

    fn mark_by(&mut self) -> Vec<Diagnostic> {
        let (Some(practice), Some(path)) = (&mut self.practice, typed_path(&self.mark_path)) else {
            return vec![Diagnostic::note("Write which key to mark by, with its folder.")];
        };
        let reported = file::load::<PracticeKey>(&path);
        let mut diagnostics = reported.diagnostics;
        if let Some(key) = reported.value {
            diagnostics.extend(practice.mark_by(key));
        }
        diagnostics
    }
}

/// Has anything been filled in?
fn is_begun(practice: &Practice) -> bool {
    practice.document.session.undo_label().is_some()
}

/// Draws the part.
pub(super) fn exercises_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut LessonView) {
    ScrollArea::vertical().id_salt("exercises").auto_shrink(false).show(ui, |ui| {
        draw_ui(ui, &mut view.exercises);
        leaving_ui(ui, cx, &mut view.exercises);
        left_ui(ui, cx, &mut view.exercises);
        let Some(mut practice) = view.exercises.practice.take() else {
            empty_ui(ui, cx);
            return;
        };
        files_ui(ui, cx, &mut view.exercises, &mut practice);
        tasks_ui(ui, &mut view.exercises, &practice);
        ui.separator();
        if let Some(part) = task_ui(ui, cx, &mut view.exercises, &mut practice) {
            view.part = part;
            view.gauge.is_of_exercise = true;
        }
        ui.separator();
        hand_in_ui(ui, cx, &mut view.exercises, &practice);
        view.exercises.practice = Some(practice);
    });
}

fn draw_ui(ui: &mut Ui, view: &mut ExercisesView) {
    let chosen = view.browse.chosen().map(|path| view.open_path = path.display().to_string()).is_some();
    ui.horizontal_wrapped(|ui| {
        let line = field(ui, "Seed number", &mut view.seed, 110.0);
        let enter = entered(ui, &line);
        if ui.button("Draw the exercise").clicked() || enter {
            view.ask(Ask::Draw);
        }
        ui.separator();
        let line = field(ui, "or go on with", &mut view.open_path, 170.0);
        let enter = entered(ui, &line);
        if ui.button("Open it").clicked() || enter || chosen {
            view.ask(Ask::Open);
        }
        if browse_ui(ui, view.browse.is_open()) {
            view.browse.open(ui.ctx(), Wanted::File("Practice record", &["ron"]));
        }
    });
}

fn leaving_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ExercisesView) {
    let Some(ask) = view.leaving.clone() else { return };
    egui::Frame::new().fill(cx.palette.attention_ground).inner_margin(8.0).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label("The exercise under work has answers that are not saved.");
            if ui.button("Don't save them").clicked() {
                view.ask(ask);
            }
            if ui.button("Stay with it").clicked() {
                view.leaving = None;
            }
        });
    });
}

/// A recovery copy of the record that is to be opened, if a crash left one.
fn left_of(folder: &Path, record: &Path) -> Option<RecoveredFile> {
    let mut left = recovery::left_behind(&copies(folder)).copies.into_iter();
    left.find(|left| left.copy.is_of(record))
}

fn left_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ExercisesView) {
    let Some(left) = &view.left else { return };
    let words = format!("There is a recovery copy of this record, {}.", when_typed(&left.copy));
    egui::Frame::new().fill(cx.palette.attention_ground).inner_margin(8.0).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.label(words);
            if ui.button("Restore what was typed").clicked() {
                view.ask(Ask::Restore);
            }
            if ui.button("Open the file as it is saved").clicked() {
                view.ask(Ask::OpenSaved);
            }
        });
    });
}

fn empty_ui(ui: &mut Ui, cx: &LessonCx<'_>) {
    ui.add_space(10.0);
    ui.heading("No exercise open");
    words(
        ui,
        "Write a seed number and draw the exercise: the same number gives everybody the same five cylinders, another \
         number gives others. Each has a task:",
    );
    for (index, task) in Task::ALL.into_iter().enumerate() {
        words(ui, format!("{}. {}", index + 1, capitalised(task.words())));
    }
    faint(ui, &cx.palette, "Everything is invented, for practice only; for no real engine.");
}

fn files_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ExercisesView, practice: &mut Practice) {
    let name = practice.document.session.overhaul().map(|o| o.inspector.name.clone()).unwrap_or_default();
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(format!("Exercise {}", practice.exercise.seed)).font(theme::bold(HEADING)));
        let mut typed = name.clone();
        let line = field(ui, "Your name", &mut typed, 190.0);
        if line.gained_focus() {
            practice.document.session.seal();
        }
        if typed != name {
            practice.command(Command::Overhaul(OverhaulEdit::InspectorName(typed)));
        }
        field(ui, "Record's file", &mut view.save_path, 300.0);
        if ui.button("Save the record").clicked() {
            view.ask(Ask::Save);
        }
        if practice.document.path.is_some() && !practice.document.session.is_unsaved() {
            faint(ui, &cx.palette, "saved");
        }
    });
    egui::CollapsingHeader::new("For the instructor: keys").show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            field(ui, "Key's file", &mut view.key_path, 360.0);
            if ui.button("Save the key").clicked() {
                view.ask(Ask::SaveKey);
            }
        });
        ui.horizontal_wrapped(|ui| {
            field(ui, "Key to mark by", &mut view.mark_path, 360.0);
            if ui.button("Mark by this key").clicked() {
                view.ask(Ask::MarkBy);
            }
        });
        if ui.button("Put this exercise away").clicked() {
            view.ask(Ask::Forget);
        }
    });
}

fn tasks_ui(ui: &mut Ui, view: &mut ExercisesView, practice: &Practice) {
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        for (index, (task, _)) in practice.exercise.bores.iter().enumerate() {
            let points = practice.marks.as_ref().and_then(|marks| marks.get(index));
            let points =
                points.map_or(String::new(), |mark| format!(" ({} of {})", mark.points, mark.out_of));
            let name = format!("{}. {}{points}", index + 1, capitalised(task.words()));
            if ui.selectable_label(view.task == index, name).clicked() {
                view.task = index;
            }
        }
    });
}

/// What is asked, as the window has it: the question in the record says how it is written into a file.
fn asked(task: Task, question: &str) -> String {
    match task {
        Task::Measure => question.to_owned(),
        Task::WhichFigure => "Which row of the table is beyond its limit?".to_owned(),
        Task::Outcome => "What is to be done with this cylinder, by its readings alone?".to_owned(),
        Task::SpotSlip => {
            "One thing went wrong in this sheet. Name the station, the axis and what it was.".to_owned()
        }
        Task::TaperRule => {
            let manual = question.split(" Write the letter").next().unwrap_or(question);
            let manual = manual.split_once(". ").map_or(manual, |(_, manual)| manual);
            format!("{manual} Choose the rule that it asks for, and work out the taper by it.")
        }
    }
}

/// The task shown. Says which part to go to, if any.
fn task_ui(
    ui: &mut Ui,
    cx: &LessonCx<'_>,
    view: &mut ExercisesView,
    practice: &mut Practice,
) -> Option<LessonPart> {
    let (task, _) = practice.exercise.bores.get(view.task).copied()?;
    let keyed = practice.key.answers.get(view.task).cloned();
    let question = keyed.as_ref().map_or("", |keyed| keyed.question.as_str());
    words(ui, asked(task, question));
    ui.add_space(4.0);
    let open = practice.marks.is_none();
    let mut part = None;
    if task == Task::Measure {
        let cells = practice.cells();
        let done = cells.iter().filter(|at| !practice.written(**at).is_empty()).count();
        ui.horizontal_wrapped(|ui| {
            let go = Button::new("To the gauge in this bore").min_size(vec2(0.0, 34.0));
            if ui.add_enabled(open, go).clicked() {
                part = Some(LessonPart::Gauge);
            }
            ui.label(format!("{done} of {} places measured.", cells.len()));
        });
    }
    let needs_table = matches!(task, Task::WhichFigure | Task::Outcome);
    if needs_table && ui.available_width() > 900.0 {
        let shown = view.task;
        super::side_by_side(ui, |ui| readings_ui(ui, cx, shown, practice), |ui| table_ui(ui, cx, practice));
    } else {
        readings_ui(ui, cx, view.task, practice);
        if needs_table {
            table_ui(ui, cx, practice);
        }
    }
    ui.add_space(4.0);
    if task != Task::Measure {
        group(ui, "Your answer");
        ui.add_enabled_ui(open, |ui| match task {
            Task::Measure => {}
            Task::WhichFigure => which_ui(ui, view.task, practice),
            Task::Outcome => outcome_ui(ui, view.task, practice),
            Task::SpotSlip => slip_ui(ui, view, practice),
            Task::TaperRule => taper_ui(ui, view, practice),
        });
    }
    let mark = practice.marks.as_ref().and_then(|marks| marks.get(view.task));
    if let (Some(mark), Some(keyed)) = (mark, keyed) {
        group(ui, &format!("{} of {} points", mark.points, mark.out_of));
        for said in &mark.words {
            words(ui, said);
        }
        group(ui, "Working");
        for said in &keyed.working {
            words(ui, said);
        }
    }
    part
}

/// The readings as they were written, and the diameters they stand for.
fn readings_ui(ui: &mut Ui, cx: &LessonCx<'_>, task: usize, practice: &Practice) {
    let evaluation = practice.document.session.evaluation();
    let (Some(survey), Some(written)) = (&evaluation.survey, practice.document.session.cylinder(task)) else {
        reported_ui(ui, &cx.palette, &evaluation.diagnostics);
        return;
    };
    let limits = &survey.limits;
    if written.readings.is_empty() {
        faint(
            ui,
            &cx.palette,
            "Nothing is measured yet. Go to the gauge, set it on its ring, and fill the sheet there.",
        );
        return;
    }
    let Some(cylinder) = survey.cylinders.get(task) else { return };
    let style = cylinder.style(limits);
    faint(ui, &cx.palette, format!("As read, and the diameter that it stands for, {}:", style.unit));
    ScrollArea::horizontal().id_salt("readings").show(ui, |ui| {
        Grid::new("readings").striped(true).spacing([18.0, 4.0]).show(ui, |ui| {
            ui.label("");
            let axes: Vec<usize> = (0..limits.axes.len())
                .filter(|axis| {
                    limits.required_axes.contains(axis)
                        || written.readings.iter().any(|r| limits.axis_index(&r.axis) == Some(*axis))
                })
                .collect();
            for &axis in &axes {
                let label = limits.axes.get(axis).map_or("?", |axis| axis.label.as_str());
                let head = RichText::new(axis_words(label)).font(theme::bold(TEXT));
                ui.add(egui::Label::new(head).extend());
            }
            ui.end_row();
            for station in 0..limits.stations.len() {
                ui.add(egui::Label::new(capitalised(&station_words(limits, station))).extend());
                for &axis in &axes {
                    let at = records::bore::Point::new(station, axis);
                    let cell = cylinder.bore.cell(at);
                    let reading = records::record::entry::reading(written, limits, at);
                    let texts = reading.map_or(&[][..], |reading| reading.entered.as_slice());
                    let said = texts.iter().enumerate().map(|(repeat, text)| {
                        let stands = cell.and_then(|cell| cell.repeats().get(repeat));
                        let stands = stands.map_or(String::new(), |length| Mean::from(*length).number(style));
                        format!("{text}   {stands}")
                    });
                    let said: Vec<String> = said.collect();
                    let said = if said.is_empty() { "\u{2013}".to_owned() } else { said.join("\n") };
                    ui.add(egui::Label::new(said).extend());
                }
                ui.end_row();
            }
        });
    });
}

/// The limits that an answer needs, as the table has them.
fn table_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &Practice) {
    let limits = &practice.exercise.limits;
    group(ui, "The table of limits");
    let mut said: Vec<String> = Vec::new();
    for row in &limits.sizes {
        let most = row.serviceable.as_ref().map_or("none given".to_owned(), |limit| limit.text());
        said.push(format!(
            "Bore, {}: as made {} to {}, serviceable to {most}.",
            row.name,
            row.new.0.text(),
            row.new.1.text()
        ));
    }
    for row in &limits.shape {
        let limit = row.limit.as_ref();
        let limit = limit
            .map_or("no limit given".to_owned(), |limit| format!("{} {}", row.side.words(), limit.text()));
        said.push(format!("{} ({}): {limit}.", capitalised(row.kind.words()), row.kind.formula()));
    }
    said.push(format!("For a clean surface: {} on the diameter.", limits.clean_up_allowance.text()));
    for line in said {
        words(ui, line);
    }
    faint(ui, &cx.palette, "Illustrative: invented for practice, for no real engine.");
}

fn answer_of(practice: &Practice, task: usize) -> Option<&str> {
    exercise::answer_in(&practice.document.session.cylinder(task)?.remarks)
}

/// Writes an answer behind the question, where the marking looks for it.
fn answer(practice: &mut Practice, task: usize, answer: &str) {
    practice.document.session.seal();
    typed_on(practice, task, answer);
    practice.document.session.seal();
}

/// As [`answer`], while it is typed: all of it is one step of undo.
fn typed_on(practice: &mut Practice, task: usize, answer: &str) {
    let Some(cylinder) = practice.document.session.cylinder(task) else { return };
    let remarks = exercise::with_answer(&cylinder.remarks, answer);
    practice.command(Command::Cylinder(task, CylinderEdit::Remarks(remarks)));
}

fn which_ui(ui: &mut Ui, task: usize, practice: &mut Practice) {
    let evaluation = practice.document.session.evaluation();
    let Some((_, assessment)) = evaluation.cylinder(task) else { return };
    let names: Vec<&str> = assessment.rows.iter().map(|row| row.kind.words()).collect();
    let now = answer_of(practice, task).unwrap_or_default().to_owned();
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        for name in names.into_iter().chain(["none"]) {
            if ui.radio(now == name, name).clicked() {
                chosen = Some(name);
            }
        }
    });
    if let Some(name) = chosen {
        answer(practice, task, name);
    }
}

fn outcome_ui(ui: &mut Ui, task: usize, practice: &mut Practice) {
    let limits = std::sync::Arc::clone(&practice.exercise.limits);
    let written = practice.document.session.cylinder(task).and_then(|cylinder| cylinder.disposition.clone());
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        for decision in decisions(&limits, Some(0), limits.unit) {
            let here = written.as_ref().is_some_and(|written| written.decision == decision);
            if ui.radio(here, decision_of(&decision, &limits, limits.unit)).clicked() {
                chosen = Some(decision);
            }
        }
    });
    if let Some(decision) = chosen {
        let by = practice.document.session.overhaul().map(|o| o.inspector.name.clone()).unwrap_or_default();
        let disposition = Disposition { decision, by, reason: String::new() };
        practice.change(CylinderEdit::Decide(Some(disposition)), task);
    }
}

fn slip_ui(ui: &mut Ui, view: &mut ExercisesView, practice: &mut Practice) {
    let limits = std::sync::Arc::clone(&practice.exercise.limits);
    let before = view.slip.clone();
    ui.horizontal_wrapped(|ui| {
        let shown = view
            .slip
            .station
            .map_or("which".to_owned(), |station| capitalised(&station_words(&limits, station)));
        let label = ui.label("Station");
        let combo = ComboBox::from_id_salt("slip station").selected_text(shown).show_ui(ui, |ui| {
            for station in 0..limits.stations.len() {
                let name = capitalised(&station_words(&limits, station));
                ui.selectable_value(&mut view.slip.station, Some(station), name);
            }
        });
        combo.response.labelled_by(label.id);
        let axis_name = |axis: usize| limits.axes.get(axis).map_or(String::new(), |a| axis_words(&a.label));
        let label = ui.label("Axis");
        let combo = ComboBox::from_id_salt("slip axis")
            .selected_text(view.slip.axis.map_or("which".to_owned(), axis_name))
            .show_ui(ui, |ui| {
                for &axis in &limits.required_axes {
                    ui.selectable_value(&mut view.slip.axis, Some(axis), axis_name(axis));
                }
            });
        combo.response.labelled_by(label.id);
        let label = ui.label("What went wrong");
        let combo = ComboBox::from_id_salt("slip kind")
            .width(250.0)
            .selected_text(view.slip.what.map_or("which", SlipName::words))
            .show_ui(ui, |ui| {
                for what in SlipName::ALL {
                    ui.selectable_value(&mut view.slip.what, Some(what), what.words());
                }
            });
        combo.response.labelled_by(label.id);
    });
    if before != view.slip {
        let SlipDraft { station, axis, what } = view.slip;
        let station = station.and_then(|station| limits.stations.get(station));
        let axis = axis.and_then(|axis| limits.axes.get(axis));
        let parts = [
            station.map(|station| format!("station {}", station.name)),
            axis.map(|axis| axis_words(&axis.label)),
            what.map(|what| what.words().to_owned()),
        ];
        let said: Vec<String> = parts.into_iter().flatten().collect();
        answer(practice, view.task, &said.join(", "));
    }
}

/// The slip as an earlier answer names it.
fn slip_in(practice: &Practice) -> SlipDraft {
    let limits = &practice.exercise.limits;
    let task = Task::ALL.iter().position(|task| *task == Task::SpotSlip).unwrap_or(0);
    let Some(said) = answer_of(practice, task) else { return SlipDraft::default() };
    let has = |part: &str| said.split(", ").any(|said| said == part);
    SlipDraft {
        station: limits.stations.iter().position(|station| has(&format!("station {}", station.name))),
        axis: limits.axes.iter().position(|axis| has(&axis_words(&axis.label))),
        what: SlipName::ALL.into_iter().find(|what| has(what.words())),
    }
}

/// The letters that the question gives the rules.
const LETTERS: [&str; 5] = ["a", "b", "c", "d", "e"];

fn taper_ui(ui: &mut Ui, view: &mut ExercisesView, practice: &mut Practice) {
    let before = view.taper.clone();
    for (letter, rule) in LETTERS.iter().zip(TaperRule::ALL) {
        let here = view.taper.rule == Some(rule);
        if ui.radio(here, format!("({letter}) {}", rule.words())).clicked() {
            view.taper.rule = Some(rule);
        }
    }
    ui.horizontal_wrapped(|ui| {
        let unit = practice.exercise.limits.unit;
        field(ui, &format!("The taper by it, {unit}"), &mut view.taper.figure, 120.0);
        ui.label("Positive is larger at the head end.");
    });
    if before != view.taper {
        let letter = view.taper.rule.and_then(|rule| TaperRule::ALL.iter().position(|other| *other == rule));
        let letter = letter.and_then(|index| LETTERS.get(index)).copied().unwrap_or_default();
        let said = format!("{letter} {}", view.taper.figure.trim());
        let write = if before.rule == view.taper.rule { typed_on } else { answer };
        write(practice, view.task, said.trim());
    }
}

fn taper_in(practice: &Practice) -> TaperDraft {
    let task = Task::ALL.iter().position(|task| *task == Task::TaperRule).unwrap_or(0);
    let Some(said) = answer_of(practice, task) else { return TaperDraft::default() };
    let (letter, figure) = said.split_once(' ').unwrap_or((said, ""));
    let rule = LETTERS.iter().position(|other| *other == letter);
    // Without a letter in front, all of it is the figure.
    let figure = if rule.is_some() { figure } else { said };
    TaperDraft {
        rule: rule.and_then(|index| TaperRule::ALL.get(index)).copied(),
        figure: figure.trim().to_owned(),
    }
}

/// How many tasks have an answer.
fn answered(practice: &Practice) -> usize {
    let cells = practice.cells();
    (0..practice.exercise.bores.len())
        .filter(|&task| match practice.exercise.bores.get(task) {
            Some((Task::Measure, _)) => cells.iter().all(|at| !practice.written(*at).is_empty()),
            Some((Task::Outcome, _)) => practice
                .document
                .session
                .cylinder(task)
                .is_some_and(|cylinder| cylinder.disposition.is_some()),
            _ => answer_of(practice, task).is_some(),
        })
        .count()
}

fn hand_in_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ExercisesView, practice: &Practice) {
    if let Some(marks) = &practice.marks {
        let (points, out_of) = mark::total(marks);
        let said = format!("{points} of {out_of} points");
        ui.label(RichText::new(said).font(theme::bold(26.0)));
        faint(
            ui,
            &cx.palette,
            "The key is open, with its working under each task. The record can still be saved and handed in.",
        );
        return;
    }
    let (done, all) = (answered(practice), practice.exercise.bores.len());
    ui.horizontal_wrapped(|ui| {
        ui.label(format!("{done} of {all} tasks answered."));
        if !view.sure {
            if ui.add(Button::new("Hand it in").min_size(vec2(0.0, 34.0))).clicked() {
                view.sure = true;
            }
        } else {
            ui.label("The key opens, and nothing more can be filled in.");
            if ui.add(Button::new("Mark it and open the key").min_size(vec2(0.0, 34.0))).clicked() {
                view.ask(Ask::HandIn);
            }
            if ui.button("Not yet").clicked() {
                view.sure = false;
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn view() -> ExercisesView {
        let exercise = Exercise::new(7).expect("the practice table is sound");
        let document = OpenDocument::unsaved(Session::new(exercise.record.clone()), None);
        let mut view = ExercisesView::default();
        view.begin(exercise, document);
        view
    }

    /// What is written for an answer is read back when the record is gone on with, and marked.
    #[test]
    fn an_answer_survives_the_file() {
        let mut view = view();
        let practice = view.practice.as_mut().expect("begun");
        answer(practice, 3, "station B, thrust axis, the gauge tilted");
        answer(practice, 4, "c -0.0012");
        let slip = slip_in(practice);
        assert_eq!((slip.station, slip.axis, slip.what), (Some(1), Some(2), Some(SlipName::Tilted)));
        let taper = taper_in(practice);
        assert_eq!((taper.rule, taper.figure.as_str()), (Some(TaperRule::ALL[2]), "-0.0012"));
        assert_eq!(answered(practice), 2);
        // A figure without its rule is a figure.
        answer(practice, 4, "-0.0012");
        let taper = taper_in(practice);
        assert_eq!((taper.rule, taper.figure.as_str()), (None, "-0.0012"));
    }

    #[test]
    fn a_figure_typed_is_one_step_and_the_rule_another() {
        let mut view = view();
        let practice = view.practice.as_mut().expect("begun");
        answer(practice, 4, "a");
        for typed in ["a 0", "a 0.", "a 0.1"] {
            typed_on(practice, 4, typed);
        }
        answer(practice, 4, "b 0.1");
        practice.document.session.undo().expect("the rule");
        assert_eq!(answer_of(practice, 4), Some("a 0.1"));
        practice.document.session.undo().expect("the figure");
        assert_eq!(answer_of(practice, 4), Some("a"));
    }

    #[test]
    fn the_key_of_another_exercise_changes_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("key.ron");
        let other = Exercise::new(8).expect("the practice table is sound");
        std::fs::write(&path, file::to_ron(&other.key).expect("a text")).expect("written");
        let mut view = view();
        view.mark_path = path.display().to_string();
        assert!(view.mark_by().iter().any(Diagnostic::is_error));
        let practice = view.practice.as_mut().expect("begun");
        assert_eq!((&practice.key, &practice.marks), (&practice.exercise.key, &None));
        assert_eq!(practice.hand_in(), []);
        let marks = practice.marks.clone();
        assert!(view.mark_by().iter().any(Diagnostic::is_error));
        assert_eq!(view.practice.expect("begun").marks, marks);
    }

    #[test]
    fn nothing_is_lost_without_being_asked_twice() {
        let mut view = view();
        answer(view.practice.as_mut().expect("begun"), 1, "taper");
        let course = Course::of(exercise::table()).expect("sound");
        view.draw(8);
        view.settle(&course, None, &mut Vec::new());
        assert_eq!(view.practice.as_ref().map(|practice| practice.exercise.seed), Some(7));
        view.draw(8);
        view.settle(&course, None, &mut Vec::new());
        assert_eq!(view.practice.as_ref().map(|practice| practice.exercise.seed), Some(8));
    }

    #[test]
    fn a_key_is_never_written_over_a_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut view = view();
        view.key_path = folder.path().join("key.ron").display().to_string();
        let reported = view.save_key().expect("saved");
        assert!(!reported.is_error(), "{reported}");
        let reported = view.save_key().expect_err("refused");
        assert!(reported.is_error(), "{reported}");
    }
}
