//! The start page: what was left by a crash, recent files, a new record, open, the demo engines.

use eframe::egui::{self, Button, RichText, ScrollArea, Ui};

use crate::command::UserCommand;
use crate::cx::Action;
use crate::dialogs::{Answer, leftovers_ui};
use crate::engines::DEMOS;
use crate::place::Place;
use crate::prefs::Prefs;
use crate::symbols;
use crate::theme::{self, Palette};
use judging::Recommendation;
use judging::row::RowStatus;
use records::store::recovery::RecoveredFile;

/// Draws the start page.
pub(crate) fn start_ui(
    ui: &mut Ui,
    prefs: &Prefs,
    leftovers: &[RecoveredFile],
    actions: &mut Vec<Action>,
) -> Option<Answer> {
    let palette = Palette::in_use(ui);
    let mut answer = None;
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        ui.label(RichText::new("Borewright").font(theme::bold(34.0)));
        ui.label("Bore readings in, exact figures and a reasoned recommendation out. It compares and suggests; a named, licensed person decides.");
        ui.add_space(16.0);
        if !leftovers.is_empty() {
            egui::Frame::new().fill(palette.attention_ground).inner_margin(12.0).show(ui, |ui| {
                ui.heading("Not saved when the program last ended");
                answer = leftovers_ui(ui, leftovers);
            });
            ui.add_space(16.0);
        }
        let wide = ui.available_width() > 860.0;
        let columns = if wide { 2 } else { 1 };
        ui.columns(columns, |columns| {
            if let Some(ui) = columns.first_mut() {
                ui.vertical(|ui| {
                    own_ui(ui, prefs, &palette, actions);
                    classroom_ui(ui, &palette, actions);
                });
                if !wide {
                    ui.add_space(20.0);
                    ui.vertical(|ui| demos_ui(ui, &palette, actions));
                }
            }
            if let (true, Some(ui)) = (wide, columns.get_mut(1)) {
                ui.vertical(|ui| demos_ui(ui, &palette, actions));
            }
        });
        ui.add_space(24.0);
        symbols_ui(ui, &palette);
    });
    answer
}

fn own_ui(ui: &mut Ui, prefs: &Prefs, palette: &Palette, actions: &mut Vec<Action>) {
    ui.heading("Your engines");
    ui.horizontal_wrapped(|ui| {
        for command in [UserCommand::New, UserCommand::Open] {
            let mut button = Button::new(command.words());
            if let Some(shortcut) = command.shortcut() {
                button = button.shortcut_text(ui.ctx().format_shortcut(&shortcut));
            }
            if ui.add(button).clicked() {
                actions.push(Action::User(command));
            }
        }
    });
    ui.label(RichText::new("A file can also be dragged onto the window.").color(palette.faint_ink));
    ui.add_space(10.0);
    if prefs.recent.is_empty() {
        ui.label(RichText::new("Files you open or save are listed here.").color(palette.faint_ink));
    }
    for path in &prefs.recent {
        let name =
            path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into());
        let folder = path.parent().map(|folder| folder.display().to_string()).unwrap_or_default();
        let there = path.is_file();
        let button = ui.add_enabled(there, Button::new(name).truncate().min_size(egui::vec2(260.0, 30.0)));
        if button.clicked() {
            actions.push(Action::OpenFile(path.clone()));
        }
        let folder = if there { folder } else { format!("{folder} (no longer there)") };
        ui.add(egui::Label::new(RichText::new(folder).color(palette.faint_ink)).truncate());
    }
}

/// The way to the classroom, which needs no record.
fn classroom_ui(ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) {
    ui.add_space(14.0);
    ui.heading("Classroom");
    let command = UserCommand::Go(Place::Classroom);
    let mut button = Button::new(command.words()).min_size(egui::vec2(260.0, 30.0));
    if let Some(shortcut) = command.shortcut() {
        button = button.shortcut_text(ui.ctx().format_shortcut(&shortcut));
    }
    if ui.add(button).clicked() {
        actions.push(Action::User(command));
    }
    ui.label(
        RichText::new("Invented bores, a gauge to practise with, exercises with marks, gauge studies.")
            .color(palette.faint_ink),
    );
}

fn demos_ui(ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) {
    ui.heading("Demo engines");
    ui.label(
        RichText::new("Invented, with illustrative limits: for practice only.").color(palette.faint_ink),
    );
    for (index, (name, what, _)) in DEMOS.iter().enumerate() {
        if ui.add(Button::new(*name).min_size(egui::vec2(260.0, 30.0))).clicked() {
            actions.push(Action::OpenDemo(index));
        }
        ui.label(*what);
        ui.add_space(4.0);
    }
}

/// What the symbols mean.
fn symbols_ui(ui: &mut Ui, palette: &Palette) {
    ui.heading("The symbols");
    ui.label(
        RichText::new("An outcome is a bore seen in plan; a row of the table stands at its limit.")
            .color(palette.faint_ink),
    );
    ui.horizontal_wrapped(|ui| {
        for (outcome, words) in [
            (Recommendation::Serviceable, "serviceable"),
            (Recommendation::Rebore(0), "rebore to an oversize"),
            (Recommendation::Replace, "replace"),
            (Recommendation::NotDecided, "not decided"),
        ] {
            symbols::outcome(ui, 34.0, outcome);
            ui.label(RichText::new(words).color(symbols::outcome_colour(outcome, palette)));
            ui.add_space(14.0);
        }
    });
    ui.horizontal_wrapped(|ui| {
        for status in [
            RowStatus::WithinNew,
            RowStatus::WithinServiceable,
            RowStatus::Beyond,
            RowStatus::NotMeasured,
            RowStatus::NoLimitGiven,
        ] {
            symbols::status(ui, 26.0, status);
            ui.label(RichText::new(status.words()).color(symbols::status_colour(status, palette)));
            ui.add_space(14.0);
        }
    });
}
