//! The bore profiles of successive overhauls over each other, and the difference of two of them.

use eframe::egui::{self, ComboBox, Id, Rect, RichText, ScrollArea, Sense, Ui, vec2};

use super::plate::Plate;
use super::{Subject, reported_ui};
use crate::cx::ViewCx;
use drawings::layout::Paper;
use drawings::overhauls::{Overhauls, difference, laid_over};
use history::follow::{History, Sighting};
use quantities::length::Unit;
use records::survey::axis_words;

/// From this width in points on, both stand side by side.
const WIDE: f32 = 820.0;

/// What the page was made from.
#[derive(Clone, Debug, PartialEq)]
struct Source {
    number: u64,
    serial: String,
    axis: Option<String>,
    unit: Option<Unit>,
    pair: (usize, usize),
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct Profiles {
    axis: Option<String>,
    /// The two surveys of the difference, by their places; none: the last two.
    pair: Option<(String, usize, usize)>,
    over: Plate<Source>,
    difference: Plate<Source>,
}

/// Draws the page.
pub(super) fn profiles_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut Profiles,
    subject: &Subject<'_>,
    history: &History,
) {
    let Some(latest) = history.latest() else { return };
    // Of its latest life: what was cut away since is no wear.
    let sightings: &[Sighting] = history.lives.last().map(|life| history.of(life)).unwrap_or_default();
    let last = sightings.len().saturating_sub(1);
    let usual = (last.saturating_sub(1), last);
    let mut pair = match &view.pair {
        Some((serial, from, to)) if *serial == history.serial && *from.max(to) <= last => (*from, *to),
        _ => usual,
    };
    let axes: Vec<String> = latest.sheet.scheme.axes.iter().map(|(label, _)| label.clone()).collect();
    view.axis = view.axis.take().filter(|axis| axes.contains(axis));
    ui.horizontal_wrapped(|ui| {
        let words = |axis: Option<&String>| axis.map_or("Mean of the axes".to_owned(), |a| axis_words(a));
        let label = ui.label("Axis");
        ComboBox::from_id_salt("life axis")
            .selected_text(words(view.axis.as_ref()))
            .show_ui(ui, |ui| {
                for axis in std::iter::once(None).chain(axes.iter().map(Some)) {
                    if ui.selectable_label(view.axis.as_ref() == axis, words(axis)).clicked() {
                        view.axis = axis.cloned();
                    }
                }
            })
            .response
            .labelled_by(label.id);
        ui.separator();
        let date = |place: usize| sightings.get(place).map_or(String::new(), |s| s.sheet.date.to_string());
        for (words, place) in [("Difference from", &mut pair.0), ("to", &mut pair.1)] {
            let label = ui.label(words);
            ComboBox::from_id_salt(("life survey", words))
                .selected_text(date(*place))
                .show_ui(ui, |ui| {
                    for other in 0..sightings.len() {
                        if ui.selectable_label(*place == other, date(other)).clicked() {
                            *place = other;
                        }
                    }
                })
                .response
                .labelled_by(label.id);
        }
    });
    view.pair = (pair != usual).then(|| (history.serial.clone(), pair.0, pair.1));
    if history.lives.len() > 1 {
        let before = history.sightings.len() - sightings.len();
        ui.label(
            RichText::new(format!(
                "{before} earlier {} of another baseline: what was cut away since is no wear, so they are left out.",
                if before == 1 { "survey is" } else { "surveys are" }
            ))
            .color(cx.palette.faint_ink),
        );
    }
    let source = Source {
        number: subject.number,
        serial: history.serial.clone(),
        axis: view.axis.clone(),
        unit: cx.prefs.unit,
        pair,
    };
    let who = format!("cylinder {}, {}", latest.cylinder().position, history.serial);
    let shown = Overhauls {
        who: &who,
        sightings,
        axis: source.axis.as_deref(),
        style: cx.prefs.shown(latest.sheet.scheme.style()),
    };
    view.over.drawing(source.clone(), || laid_over(shown));
    view.difference.drawing(source.clone(), || difference(shown, pair.0, pair.1));
    for read in [view.over.read_out(), view.difference.read_out()].into_iter().flatten() {
        ui.label(RichText::new(read).color(cx.palette.faint_ink));
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let room = ui.available_size();
        let side_by_side = room.x >= WIDE;
        let size = if side_by_side {
            vec2(room.x / 2.0, (room.y - 8.0).max(320.0))
        } else {
            vec2(room.x, (0.85 * room.y).max(340.0))
        };
        let all = if side_by_side { vec2(room.x, size.y) } else { vec2(room.x, 2.0 * size.y) };
        let (whole, _) = ui.allocate_exact_size(all, Sense::hover());
        let second = if side_by_side { vec2(size.x, 0.0) } else { vec2(0.0, size.y) };
        let paper = Paper { text: 14.0, titled: true, ..Paper::default() };
        let area = |corner: egui::Vec2| Rect::from_min_size(whole.min + corner, size).shrink(3.0);
        view.over.ui(ui, cx, Id::unique("life profiles"), area(egui::Vec2::ZERO), paper, None);
        view.difference.ui(ui, cx, Id::unique("life difference"), area(second), paper, None);
        reported_ui(ui, cx, subject.across);
    });
}
