//! The projector view: one drawing as large as the window, with few and large words, for a class to see from
//! the back row. Escape leaves it.

use eframe::egui::{self, Key, Modifiers, Rect, RichText, Ui, vec2};

use super::LessonCx;
use super::drawings::Picture;
use super::shapes::ShapesView;
use crate::symbols;
use crate::theme;
use classroom::demonstration::Demonstration;
use judging::reason;
use judging::row::RowStatus;
use records::wording::capitalised;

/// Draws it, and takes the keys that it has.
pub(super) fn projector_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ShapesView) {
    keys(ui, view);
    let Some(kept) = view.take_shown() else { return };
    let (shape, _, shown) = &kept;
    let room = ui.available_size();
    let scale = (room.y / 900.0).clamp(0.75, 2.4);
    let large = |points: f32| points * scale;
    let picture = view.filling.unwrap_or(Picture::Wall);
    let name = view.example.and_then(|index| view.examples().get(index)).map_or("my own", |e| e.name);
    ui.horizontal(|ui| {
        ui.label(RichText::new(capitalised(name)).font(theme::bold(large(38.0))));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let leave = ui.button(RichText::new("Leave (Escape)").font(theme::plain(large(18.0))));
            if leave.clicked() {
                view.is_projected = false;
            }
            for (words, step) in [("Next drawing", 1), ("Drawing before", -1)] {
                if ui.button(RichText::new(words).font(theme::plain(large(18.0)))).clicked() {
                    view.filling = Some(stepped(picture, step));
                }
            }
        });
    });
    let below = large(112.0);
    let area = Rect::from_min_size(ui.cursor().min, vec2(room.x, (ui.available_height() - below).max(200.0)));
    let options = view.options(cx);
    let text = f64::from(large(22.0));
    view.drawings.ui(ui, &cx.palette, (shape, shown), picture, options, (area, text, true));
    ui.allocate_rect(area, egui::Sense::hover());
    let outcome = shown.assessment.recommendation;
    ui.horizontal(|ui| {
        symbols::outcome(ui, large(48.0), outcome);
        let colour = symbols::outcome_colour(outcome, &cx.palette);
        let said = capitalised(&outcome.words(&shown.survey.limits));
        ui.label(RichText::new(said).font(theme::bold(large(32.0))).color(colour));
        let figure = figure(cx, shown);
        ui.add(egui::Label::new(RichText::new(figure).font(theme::plain(large(26.0)))).truncate());
    });
    let magnified = view.drawings.magnification(picture).unwrap_or_default();
    let said = format!("{}. Invented; for no real engine.", capitalised(&magnified));
    ui.label(RichText::new(said).font(theme::plain(large(20.0))).color(cx.palette.faint_ink));
    view.put_shown(kept);
}

/// The figure that matters: the tightest row.
fn figure(cx: &LessonCx<'_>, shown: &Demonstration) -> String {
    let Demonstration { assessment, cylinder, survey, .. } = shown;
    let beyond = assessment.rows.iter().find(|row| row.status == RowStatus::Beyond);
    let Some(row) = beyond.or_else(|| assessment.tightest_row()) else { return String::new() };
    let style = cylinder.style(&survey.limits);
    reason::glance(row, cx.prefs.shown(style)).map_or(String::new(), |glance| capitalised(&glance))
}

fn stepped(picture: Picture, step: isize) -> Picture {
    let count = Picture::ALL.len() as isize;
    let next = (picture.index() as isize + step).rem_euclid(count) as usize;
    Picture::ALL.get(next).copied().unwrap_or(Picture::Wall)
}

/// Left and right: drawings; up and down: examples; Escape: back.
fn keys(ui: &Ui, view: &mut ShapesView) {
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    if pressed(Key::Escape) {
        view.is_projected = false;
    }
    let picture = view.filling.unwrap_or(Picture::Wall);
    for (key, step) in [(Key::ArrowRight, 1), (Key::ArrowLeft, -1)] {
        if pressed(key) {
            view.filling = Some(stepped(picture, step));
        }
    }
    let last = view.examples().len().saturating_sub(1);
    let at = view.example.unwrap_or(0);
    if pressed(Key::ArrowDown) {
        view.start((at + 1).min(last));
    }
    if pressed(Key::ArrowUp) {
        view.start(at.saturating_sub(1));
    }
}
