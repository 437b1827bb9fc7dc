//! The questions that stand in front of everything: open, save, unsaved changes, a file changed by somebody
//! else, recovery, keys, cautions. Each can be answered from the keyboard, and Escape takes it back.
//!
//! A path can always be typed, so that opening and saving work where no dialog service of the system runs.

use std::path::PathBuf;

use eframe::egui::{self, Key, RichText, Ui};

use super::fields::read_number;
use super::theme::{self, Palette};
use crate::command::{Menu, UserCommand};
use crate::reported::reported_ui;
use records::diag::Diagnostic;
use records::disk::Fingerprint;
use records::file;
use records::limits::schema::TableOfLimits;
use records::store::recovery::{Copy, RecoveredFile};
use records::wording::CAUTIONS;
use work::session::NewOverhaul;

/// The tables of limits that come with the program.
pub(super) const TABLES: [&str; 3] = [
    include_str!("../../limits/wexcombe_six.ron"),
    include_str!("../../limits/skarvoy_320.ron"),
    include_str!("../../limits/penhallow_twin.ron"),
];

/// What is done once a question is answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum AfterPrompt {
    /// Nothing more.
    Stay,
    /// Close the window.
    Quit,
    /// Go to the start page.
    Close,
    /// Ask for a file.
    AskOpen,
    /// Ask for a new record.
    AskNew,
    /// Open a file.
    Open(PathBuf),
    /// Open a demo engine.
    Demo(usize),
    /// Restore a recovery copy, by its name.
    Recover(PathBuf),
    /// Give the exercise of the Lesson up, and close the window.
    ForgetExercise,
}

/// An answer.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Answer {
    /// Take it back.
    Cancel,
    /// Don't save.
    Discard(AfterPrompt),
    /// Save first, then go on.
    SaveThen(AfterPrompt),
    /// Save to a path, asking if a file stands there.
    SaveTo(PathBuf, AfterPrompt),
    /// Save to a path in place of what was there when it was asked about; none: nothing that can be read.
    Overwrite(PathBuf, Option<Fingerprint>, AfterPrompt),
    /// Ask for another name.
    SaveAs(AfterPrompt),
    /// Open a file.
    Open(PathBuf),
    /// Let the system ask for a file.
    Browse,
    /// Start a record by a table.
    Start(Box<TableOfLimits>),
    /// Open a file as it is saved, though there is a recovery copy of it.
    OpenSaved(PathBuf),
    /// Restore a recovery copy, by its name.
    Recover(PathBuf),
    /// Ask whether a recovery copy may be discarded: its name, and its title.
    AskForget(PathBuf, String),
    /// Discard a recovery copy, by its name.
    Forget(PathBuf),
    /// Add an overhaul.
    AddOverhaul(NewOverhaul),
    /// The cautions have been read.
    CautionsRead,
}

/// A question.
#[derive(Debug)]
pub(super) enum Dialog {
    /// Which file to open.
    Open { path: String, wrong: Vec<Diagnostic> },
    /// Where to save.
    SaveAs { path: String, wrong: Option<Diagnostic>, then: AfterPrompt },
    /// There are unsaved changes, perhaps a half-typed table of limits.
    Unsaved { name: String, table: bool, then: AfterPrompt },
    /// A file stands there that is not ours, or that somebody else has changed.
    Occupied { path: PathBuf, ours: bool, seen: Option<Fingerprint>, then: AfterPrompt },
    /// There is a recovery copy of the file that is to be opened.
    Left { path: PathBuf, left: RecoveredFile },
    /// A recovery copy is to be discarded: its name, and its title.
    Forget { name: PathBuf, title: String },
    /// By which table a record is started.
    New { path: String, wrong: Vec<Diagnostic> },
    /// The day and the hours of another overhaul.
    AddOverhaul { date: String, total: String, since: String, wrong: Option<String> },
    /// The page of keys.
    Keys,
    /// Cautions.
    Cautions,
}

impl Dialog {
    fn title(&self) -> String {
        match self {
            Self::Open { .. } => "Open an engine record".to_owned(),
            Self::SaveAs { .. } => "Save the record".to_owned(),
            Self::Unsaved { name, .. } => format!("{name} has changes that are not saved"),
            Self::Occupied { ours: true, .. } => "Somebody else has changed the file".to_owned(),
            Self::Occupied { ours: false, .. } => "There is a file of this name already".to_owned(),
            Self::Left { .. } => "There is a recovery copy of this file".to_owned(),
            Self::Forget { title, .. } => format!("Discard the recovery copy of {title}?"),
            Self::New { .. } => "New record: by which table of limits?".to_owned(),
            Self::AddOverhaul { .. } => "Add an overhaul".to_owned(),
            Self::Keys => "Keys".to_owned(),
            Self::Cautions => "Before the work on the engine".to_owned(),
        }
    }

    /// Draws the question; an answer takes it away.
    pub(super) fn ui(&mut self, ctx: &egui::Context, browsing: bool) -> Option<Answer> {
        let mut answer = None;
        let modal = egui::Modal::new(egui::Id::unique("dialog")).show(ctx, |ui| {
            let room = ui.ctx().content_rect().size();
            ui.set_width((room.x - 80.0).clamp(240.0, 680.0));
            ui.heading(self.title());
            ui.add_space(6.0);
            // Its own height, as far as the window allows: the modal's first guess would cut it short.
            let height = room.y - 120.0;
            egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height).show(ui, |ui| {
                answer = self.body(ui, browsing);
            });
        });
        if answer.is_none() && modal.should_close() {
            answer = Some(Answer::Cancel);
        }
        answer
    }

    fn body(&mut self, ui: &mut Ui, browsing: bool) -> Option<Answer> {
        match self {
            Self::Open { path, wrong } => open_ui(ui, path, wrong, browsing),
            Self::SaveAs { path, wrong, then } => save_as_ui(ui, path, wrong.as_ref(), then, browsing),
            Self::Unsaved { then, table, .. } => {
                ui.label("They are lost if you go on without saving.");
                if *table {
                    ui.label(
                        "The table of limits as it is typed is not in force yet and would be lost either way: go \
                         back to the record to complete it.",
                    );
                }
                buttons(
                    ui,
                    [
                        ("Save", Answer::SaveThen(then.clone())),
                        ("Don't save", Answer::Discard(then.clone())),
                        ("Back to the record", Answer::Cancel),
                    ],
                )
            }
            Self::Left { path, left } => {
                ui.label(path.display().to_string());
                ui.label(format!(
                    "It holds what was typed and not saved before the program ended, {}.",
                    when_typed(&left.copy)
                ));
                let (name, title) = (left.name().to_owned(), left.copy.title.clone());
                buttons(
                    ui,
                    [
                        ("Restore what was typed", Answer::Recover(name.clone())),
                        ("Open the file as it is saved", Answer::OpenSaved(path.clone())),
                        ("Discard the copy", Answer::AskForget(name, title)),
                        ("Cancel", Answer::Cancel),
                    ],
                )
            }
            Self::Forget { name, .. } => {
                ui.label("What was typed and not saved is lost.");
                buttons(
                    ui,
                    [("Keep the copy", Answer::Cancel), ("Discard the copy", Answer::Forget(name.clone()))],
                )
            }
            Self::Occupied { path, ours, seen, then } => {
                ui.label(path.display().to_string());
                ui.label(if *ours {
                    "It is not as it was when you opened or saved it. If you overwrite it, what the other \
                     person wrote is lost."
                } else {
                    "If you overwrite it, what it holds is lost."
                });
                buttons(
                    ui,
                    [
                        ("Save under another name", Answer::SaveAs(then.clone())),
                        ("Overwrite it", Answer::Overwrite(path.clone(), *seen, then.clone())),
                        ("Back to the record", Answer::Cancel),
                    ],
                )
            }
            Self::New { path, wrong } => new_ui(ui, path, wrong),
            Self::AddOverhaul { date, total, since, wrong } => {
                add_overhaul_ui(ui, [date, total, since], wrong)
            }
            Self::Keys => keys_ui(ui),
            Self::Cautions => {
                cautions_ui(ui);
                buttons(ui, [("I have read this", Answer::CautionsRead)])
            }
        }
    }
}

/// Buttons beside each other; the first one has the focus when the question appears.
fn buttons<const N: usize>(ui: &mut Ui, choices: [(&str, Answer); N]) -> Option<Answer> {
    ui.add_space(8.0);
    let mut answer = None;
    ui.horizontal_wrapped(|ui| {
        for (i, (words, choice)) in choices.into_iter().enumerate() {
            let button = ui.button(words);
            if i == 0 {
                focus_first(ui, &button);
            }
            if button.clicked() {
                answer = Some(choice);
            }
        }
    });
    answer
}

/// Gives a control the focus if nothing in the question has it.
fn focus_first(ui: &Ui, response: &egui::Response) {
    if ui.memory(|memory| memory.focused()).is_none() {
        response.request_focus();
    }
}

fn wrong_ui(ui: &mut Ui, wrong: &[Diagnostic]) {
    reported_ui(ui, &Palette::in_use(ui), wrong);
}

/// A line to type a path in. Returns whether Enter was pressed in it.
fn path_ui(ui: &mut Ui, path: &mut String) -> bool {
    let label = ui.label("File path");
    let line = ui.add(egui::TextEdit::singleline(path).desired_width(f32::INFINITY)).labelled_by(label.id);
    // Asked before the line is given the focus again.
    let entered = entered(ui, &line);
    focus_first(ui, &line);
    entered
}

/// Was Enter pressed in a line that has just been left?
pub(crate) fn entered(ui: &Ui, line: &egui::Response) -> bool {
    line.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter))
}

/// A typed path; nothing if nothing was. `~` is the home folder.
pub(crate) fn typed_path(text: &str) -> Option<PathBuf> {
    let text = text.trim().trim_matches('"');
    if text.is_empty() {
        return None;
    }
    match (text.strip_prefix("~/"), std::env::home_dir()) {
        (Some(rest), Some(home)) => Some(home.join(rest)),
        _ => Some(PathBuf::from(text)),
    }
}

pub(crate) fn browse_ui(ui: &mut Ui, browsing: bool) -> bool {
    let words = if browsing { "The system is asking" } else { "Browse..." };
    ui.add_enabled(!browsing, egui::Button::new(words)).clicked()
}

fn open_ui(ui: &mut Ui, path: &mut String, wrong: &[Diagnostic], browsing: bool) -> Option<Answer> {
    let entered = path_ui(ui, path);
    wrong_ui(ui, wrong);
    let mut answer = None;
    ui.horizontal_wrapped(|ui| {
        if (ui.button("Open").clicked() || entered)
            && let Some(path) = typed_path(path)
        {
            answer = Some(Answer::Open(path));
        }
        if browse_ui(ui, browsing) {
            answer = Some(Answer::Browse);
        }
        if ui.button("Cancel").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

fn save_as_ui(
    ui: &mut Ui,
    path: &mut String,
    wrong: Option<&Diagnostic>,
    then: &AfterPrompt,
    browsing: bool,
) -> Option<Answer> {
    let entered = path_ui(ui, path);
    wrong_ui(ui, wrong.map(std::slice::from_ref).unwrap_or_default());
    let mut answer = None;
    ui.horizontal_wrapped(|ui| {
        if (ui.button("Save").clicked() || entered)
            && let Some(mut path) = typed_path(path)
        {
            if path.extension().is_none() {
                path.set_extension("ron");
            }
            answer = Some(Answer::SaveTo(path, then.clone()));
        }
        if browse_ui(ui, browsing) {
            answer = Some(Answer::Browse);
        }
        if ui.button("Cancel").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

fn new_ui(ui: &mut Ui, path: &mut String, wrong: &mut Vec<Diagnostic>) -> Option<Answer> {
    let mut answer = None;
    ui.label("A record is judged by the table of limits of its engine. Use the maker's current one:");
    let entered = path_ui(ui, path);
    wrong_ui(ui, wrong);
    if (ui.button("Start with this table").clicked() || entered)
        && let Some(path) = typed_path(path)
    {
        let reported = file::load_limits(&path);
        match reported.value {
            Some(table) => answer = Some(Answer::Start(Box::new(table))),
            None => *wrong = reported.diagnostics,
        }
    }
    ui.add_space(8.0);
    ui.label("For practice there are invented tables, for no real engine:");
    for text in TABLES {
        if let Some(table) = file::limits_from_text(text, None).value
            && ui.button(format!("{}, revision {}", table.engine, table.revision)).clicked()
        {
            answer = Some(Answer::Start(Box::new(table)));
        }
    }
    ui.add_space(8.0);
    if ui.button("Cancel").clicked() {
        answer = Some(Answer::Cancel);
    }
    answer
}

/// What an overhaul is added with, asked for; `typed` is the day, the total time and the hours since the one before.
fn add_overhaul_ui(ui: &mut Ui, typed: [&mut String; 3], wrong: &mut Option<String>) -> Option<Answer> {
    ui.label("The cylinders, their sizes, the gauges and the table are carried over from the last overhaul.");
    let mut is_entered = false;
    let names = ["Day of measuring, as year-month-day", "Total time, h", "Hours since last overhaul"];
    let mut texts = [const { String::new() }; 3];
    for (i, ((name, text), kept)) in names.into_iter().zip(typed).zip(&mut texts).enumerate() {
        let label = ui.label(name);
        let line = ui.add(egui::TextEdit::singleline(text).desired_width(160.0)).labelled_by(label.id);
        is_entered |= entered(ui, &line);
        if i == 0 {
            focus_first(ui, &line);
        }
        kept.clone_from(text);
    }
    ui.label("Hours that are left empty can be written later, on the page of the Engine. Until then this survey has no place in the wear by hours.");
    if let Some(wrong) = wrong {
        ui.label(RichText::new(wrong.as_str()).color(Palette::in_use(ui).beyond));
    }
    let mut answer = None;
    ui.horizontal(|ui| {
        if ui.button("Add it").clicked() || is_entered {
            match new_overhaul(&texts) {
                Ok(new) => answer = Some(Answer::AddOverhaul(new)),
                Err(why) => *wrong = Some(why),
            }
        }
        if ui.button("Cancel").clicked() {
            answer = Some(Answer::Cancel);
        }
    });
    answer
}

fn new_overhaul([date, total, since]: &[String; 3]) -> Result<NewOverhaul, String> {
    let day = date.trim();
    let hours = |text: &str| {
        read_number(text)
            .ok_or_else(|| format!("`{}` is no number of hours; write it like 1412.6.", text.trim()))
    };
    Ok(NewOverhaul {
        date: day.parse().map_err(|_| format!("`{day}` is no day; write it like 2024-02-29."))?,
        total_hours: hours(total)?,
        hours_since_overhaul: hours(since)?,
    })
}

fn keys_ui(ui: &mut Ui) -> Option<Answer> {
    egui::Grid::new("keys").num_columns(2).striped(true).spacing([24.0, 6.0]).show(ui, |ui| {
        for menu in Menu::ALL {
            for command in UserCommand::all().into_iter().filter(|command| command.menu() == menu) {
                if let Some(shortcut) = command.shortcut() {
                    ui.label(ui.ctx().format_shortcut(&shortcut));
                    ui.label(command.words());
                    ui.end_row();
                }
            }
        }
        for (key, what) in [
            ("Alt+1 to Alt+9", "The cylinder at that place in the bank"),
            ("Enter, Tab", "On the sheet: keep the reading and go to the next cell in measuring order"),
            ("Shift+Enter, Shift+Tab", "On the sheet: keep it and go to the cell before"),
            ("Arrows", "On the sheet: to the cell beside"),
            ("Home, End", "On the sheet: to the first or last cell"),
            ("Escape", "On the sheet: leave the reading as it was; elsewhere: take a question back"),
            ("Ctrl+V", "On the sheet: a block from a spreadsheet fills the cells from here"),
        ] {
            ui.label(key);
            ui.label(what);
            ui.end_row();
        }
    });
    buttons(ui, [("Back", Answer::Cancel)])
}

/// The cautions before and during a teardown.
pub(super) fn cautions_ui(ui: &mut Ui) {
    for caution in CAUTIONS {
        ui.horizontal_top(|ui| {
            ui.label("\u{2013}");
            ui.add(egui::Label::new(caution).wrap());
        });
    }
}

/// The recovery copies that crashes left; drawn on the start page.
pub(super) fn leftovers_ui(ui: &mut Ui, leftovers: &[RecoveredFile]) -> Option<Answer> {
    let mut answer = None;
    for left in leftovers {
        let Copy { origin, title, .. } = &left.copy;
        let origin = origin.as_deref().map_or("never saved".to_owned(), |path| path.display().to_string());
        ui.label(RichText::new(title).font(theme::bold(theme::TEXT)));
        ui.label(format!("{origin}, {}", when_typed(&left.copy)));
        ui.horizontal_wrapped(|ui| {
            if ui.button(format!("Restore {title}")).clicked() {
                answer = Some(Answer::Recover(left.name().to_owned()));
            }
            if ui.button(format!("Discard {title}")).clicked() {
                answer = Some(Answer::AskForget(left.name().to_owned(), title.clone()));
            }
        });
    }
    answer
}

/// When a copy was written, in words.
pub(crate) fn when_typed(copy: &Copy) -> String {
    let when = jiff::Timestamp::from_second(i64::try_from(copy.written).unwrap_or(0));
    when.map_or(String::new(), |time| time.strftime("last typed %Y-%m-%d %H:%M UTC").to_string())
}
