//! The head of the window: the engine, the chosen overhaul, the table of limits and its banner, and the ways
//! to the places.

use eframe::egui::{self, ComboBox, RichText, TextStyle, Ui, WidgetText};

use crate::command::UserCommand;
use crate::cx::{Action, ViewCx};
use crate::engines::engine_words;
use crate::place::Place;
use crate::theme::{self, HEADING};
use records::record::schema::Overhaul;

/// Draws the ways to the places: each with its key where there is room, and as one list where there is little.
pub(crate) fn places_ui(ui: &mut Ui, place: Place, actions: &mut Vec<Action>) {
    let key = |ui: &Ui, place: Place| {
        ui.ctx().format_shortcut(&egui::KeyboardShortcut::new(egui::Modifiers::NONE, place.key()))
    };
    let with_key = |ui: &Ui, place: Place| format!("{} {}", place.words(), key(ui, place));
    let width = |ui: &Ui, words: String| {
        let words = WidgetText::from(words).into_galley(ui, None, f32::INFINITY, TextStyle::Button);
        words.size().x + 2.0 * ui.spacing().button_padding.x + ui.spacing().item_spacing.x
    };
    let room = ui.available_width();
    let keys = Place::ALL.into_iter().map(|other| width(ui, with_key(ui, other))).sum::<f32>() <= room;
    let bare =
        || Place::ALL.into_iter().map(|other| width(ui, other.words().to_owned())).sum::<f32>() <= room;
    let go = |ui: &mut Ui, other: Place, words: String, actions: &mut Vec<Action>| {
        let key = key(ui, other);
        if ui.selectable_label(place == other, words).on_hover_text(key).clicked() {
            actions.push(Action::User(UserCommand::Go(other)));
            ui.close();
        }
    };
    if !keys && !bare() {
        ui.menu_button(format!("{} …", place.words()), |ui| {
            for other in Place::ALL {
                go(ui, other, with_key(ui, other), actions);
            }
        });
        return;
    }
    for other in Place::ALL {
        let words = if keys { with_key(ui, other) } else { other.words().to_owned() };
        go(ui, other, words, actions);
    }
}

/// Draws the head.
pub(crate) fn head_ui(ui: &mut Ui, cx: &mut ViewCx<'_>) {
    let session = cx.session;
    let record = session.record();
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(engine_words(record)).font(theme::bold(HEADING)));
        if !record.engine.installed_in.is_empty() && ui.available_width() > 700.0 {
            ui.label(RichText::new(&record.engine.installed_in).color(cx.palette.faint_ink));
        }
        ui.separator();
        overhaul_ui(ui, cx);
        let limits = session.evaluation().limits();
        let table = limits.map_or_else(
            || "No table of limits to judge by".to_owned(),
            |limits| format!("Limits: {}, revision {}", limits.identity, limits.revision),
        );
        ui.add(egui::Label::new(table).extend());
    });
    if session.evaluation().limits().is_some_and(|limits| limits.illustrative) {
        egui::Frame::new()
            .fill(cx.palette.attention_ground)
            .inner_margin(egui::Margin::symmetric(8, 4))
            .show(ui, |ui| {
                ui.set_width(ui.available_width());
                ui.label(
                    RichText::new(
                        "Illustrative table of limits: for practice only, not for any real engine.",
                    )
                    .font(theme::bold(theme::TEXT))
                    .color(cx.palette.ink),
                );
            });
    }
}

fn overhaul_words(overhaul: &Overhaul) -> String {
    match overhaul.total_hours {
        Some(hours) => format!("{} at {hours} h", overhaul.date),
        None => overhaul.date.to_string(),
    }
}

fn overhaul_ui(ui: &mut Ui, cx: &mut ViewCx<'_>) {
    let session = cx.session;
    let overhauls = &session.record().overhauls;
    let chosen = session.overhaul().map_or_else(|| "none yet".to_owned(), overhaul_words);
    let label = ui.label("Overhaul");
    let combo = ComboBox::from_id_salt("overhaul").selected_text(&chosen).width(220.0).show_ui(ui, |ui| {
        for (index, overhaul) in overhauls.iter().enumerate().rev() {
            let here = index == session.overhaul_index();
            if ui.selectable_label(here, overhaul_words(overhaul)).clicked() {
                cx.ask(Action::Overhaul(index));
            }
        }
        if ui.button(UserCommand::AddOverhaul.words()).clicked() {
            cx.ask(Action::User(UserCommand::AddOverhaul));
        }
    });
    combo.response.labelled_by(label.id);
}
