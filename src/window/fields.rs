//! Places to type in that every view has: a name before, the text as the record holds it, kept as typed.
//!
//! A text goes into the record with every key, so that nothing typed can be lost; leaving and entering a
//! field makes two steps of undo. A number that cannot be read stays in its field as a draft, with the
//! reason beside it.

use std::collections::BTreeMap;

use eframe::egui::{self, Id, Response, RichText, Role, TextEdit, TextStyle, Ui, WidgetInfo, WidgetText};

use jiff::civil::Date;

use crate::cx::{Action, ViewCx};
use crate::symbols;
use crate::theme::{self, HEADING};
use quantities::length::Unit;
use records::diag;
use records::wording::capitalised;

/// Width of a field for a length, in points.
pub(crate) const LENGTH: f32 = 112.0;

/// Numbers and days half typed, by the overhaul and the name of their field.
#[derive(Debug, Default)]
pub(crate) struct Drafts(BTreeMap<(usize, String), String>);

impl Drafts {
    fn key(cx: &ViewCx<'_>, whole: &str) -> (usize, String) {
        (cx.session.overhaul_index(), whole.to_owned())
    }
}

/// A field whose name stands elsewhere, as in a table: the name is only for screen readers.
pub(crate) fn bare(ui: &mut Ui, cx: &mut ViewCx<'_>, name: &str, text: &mut String, width: f32) -> Response {
    // Its own identity, so that a remark appearing above it does not take the cursor out of it.
    let field = TextEdit::singleline(text)
        .id(Id::unique(("field", name)))
        .desired_width(width)
        .align(egui::Align2::LEFT_CENTER)
        .min_size(egui::vec2(0.0, 30.0));
    let response = ui.add(field);
    if response.gained_focus() {
        cx.ask(Action::Seal);
    }
    named(&response, Role::TextInput, name, text);
    response
}

/// Tells a screen reader the name and the value of what shows no name of its own.
pub(crate) fn named(response: &Response, role: Role, name: &str, value: &str) {
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(role, response.enabled(), name);
        info.current_text_value = Some(value.to_owned());
        info
    });
}

/// A field with its name before it. `whole` is the name that a screen reader says, with the row it is in.
pub(crate) fn line(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    name: &str,
    whole: &str,
    text: &mut String,
    width: f32,
) -> Response {
    pair(ui, name, width, |ui| bare(ui, cx, whole, text, width))
}

/// A name and its field of a width, kept together where lines wrap.
pub(crate) fn pair<R>(ui: &mut Ui, name: &str, width: f32, field: impl FnOnce(&mut Ui) -> R) -> R {
    let words = WidgetText::from(name).into_galley(ui, None, f32::INFINITY, TextStyle::Body).size().x;
    let gap = ui.spacing().item_spacing.x;
    if ui.layout().main_wrap() && ui.available_size_before_wrap().x < words + gap + width + 16.0 {
        ui.end_row();
    }
    ui.label(name);
    field(ui)
}

/// As [`line`], for what may be left out.
pub(crate) fn optional(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    name: &str,
    whole: &str,
    text: &mut Option<String>,
    width: f32,
) -> bool {
    let mut shown = text.clone().unwrap_or_default();
    let changed = line(ui, cx, name, whole, &mut shown, width).changed();
    if changed {
        *text = Some(shown).filter(|shown| !shown.trim().is_empty());
    }
    changed
}

/// A field for a plain number within bounds, which may be left out.
pub(crate) fn number(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    drafts: &mut Drafts,
    (name, whole): (&str, &str),
    value: &mut Option<f64>,
    (least, most): (f64, f64),
) -> bool {
    let key = Drafts::key(cx, whole);
    let stood = value.map_or(String::new(), |value| value.to_string());
    // Undone, or changed elsewhere: the draft of another value is gone.
    let stale = drafts.0.get(&key).and_then(|draft| read_number(draft)).is_some_and(|read| read != *value);
    let bounded = |text: &str| read_number(text).flatten().is_none_or(|read| (least..=most).contains(&read));
    if stale && drafts.0.get(&key).is_some_and(|draft| bounded(draft)) {
        drafts.0.remove(&key);
    }
    let mut text = drafts.0.get(&key).cloned().unwrap_or_else(|| stood.clone());
    let changed = line(ui, cx, name, whole, &mut text, 84.0).changed();
    let read = read_number(&text);
    let bad = read.is_none() || !bounded(&text);
    if bad {
        ui.label(
            RichText::new(format!("Write a number from {least} to {most}, or nothing."))
                .color(cx.palette.beyond),
        );
    }
    if !changed {
        return false;
    }
    if bad {
        drafts.0.insert(key, text);
        return false;
    }
    // `21.` is a number already, and somebody is still typing it.
    let plain = read.flatten();
    if plain.map_or(String::new(), |value| value.to_string()) == text {
        drafts.0.remove(&key);
    } else {
        drafts.0.insert(key, text);
    }
    let different = *value != plain;
    *value = plain;
    different
}

/// As [`number`], for what must stand: emptied, it keeps what stood.
pub(crate) fn required(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    drafts: &mut Drafts,
    names: (&str, &str),
    value: &mut f64,
    bounds: (f64, f64),
) {
    let mut read = Some(*value);
    number(ui, cx, drafts, names, &mut read, bounds);
    *value = read.unwrap_or(*value);
}

/// A field for a day, which may be left out.
pub(crate) fn day(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    drafts: &mut Drafts,
    (name, whole): (&str, &str),
    value: &mut Option<Date>,
) -> bool {
    let key = Drafts::key(cx, whole);
    let stood = value.map_or(String::new(), |day| day.to_string());
    let mut text = drafts.0.get(&key).cloned().unwrap_or(stood);
    let field = line(ui, cx, name, whole, &mut text, 110.0);
    let read = match text.trim() {
        "" => Ok(None),
        text => text.parse::<Date>().map(Some),
    };
    if field.changed() {
        drafts.0.insert(key.clone(), text.clone());
    }
    let Ok(read) = read else {
        let words = format!("`{}` is no day; write it like 2024-02-29.", text.trim());
        ui.label(RichText::new(words).color(cx.palette.beyond));
        return false;
    };
    if !field.has_focus() {
        drafts.0.remove(&key);
    }
    let different = field.changed() && *value != read;
    if different {
        *value = read;
    }
    different
}

/// Reads a plain number; nothing typed is no number, `None` is a text that is none.
pub(crate) fn read_number(text: &str) -> Option<Option<f64>> {
    let text = text.trim().replace(',', ".").replace('\u{2212}', "-");
    if text.is_empty() {
        return Some(None);
    }
    text.parse::<f64>().ok().filter(|value| value.is_finite()).map(Some)
}

/// A pasted text of more than one cell, taken out of the input.
pub(crate) fn pasted_block(ctx: &egui::Context) -> Option<String> {
    ctx.input_mut(|input| {
        let is_block =
            |event: &egui::Event| matches!(event, egui::Event::Paste(text) if text.trim_end().contains(['\n', '\t']));
        let index = input.events.iter().position(is_block)?;
        match input.events.remove(index) {
            egui::Event::Paste(text) => Some(text),
            _ => None,
        }
    })
}

/// That a file of the name stands there already.
pub(crate) fn occupied_ui(ui: &mut Ui, cx: &ViewCx<'_>) {
    let words = "There is a file of this name already. If you overwrite it, what it holds is lost.";
    ui.label(RichText::new(words).color(cx.palette.beyond));
}

/// What could not be read at a place of the record, in words.
pub(crate) fn wrong_ui(ui: &mut Ui, cx: &ViewCx<'_>, path: &str) {
    let here =
        cx.session.evaluation().diagnostics.iter().filter(|diagnostic| diagnostic.path.is_within(path));
    for diagnostic in diag::reported(here) {
        let text = format!("{} {}", diagnostic.message, diagnostic.remedy);
        ui.label(RichText::new(capitalised(text.trim_end())).color(cx.palette.beyond));
    }
}

/// The way to the chosen cylinder in the record.
pub(crate) fn cylinder_path(cx: &ViewCx<'_>) -> String {
    format!("overhauls[{}].cylinders[{}]", cx.session.overhaul_index(), cx.chosen.cylinder)
}

/// The outcome of the chosen cylinder in a line, so that the effect of what is typed is seen at once.
pub(crate) fn effect_ui(ui: &mut Ui, cx: &ViewCx<'_>) {
    let evaluation = cx.session.evaluation();
    let judged = evaluation.cylinder(cx.chosen.cylinder).zip(evaluation.limits());
    ui.horizontal_wrapped(|ui| match judged {
        Some(((cylinder, assessment), limits)) => {
            let outcome = assessment.recommendation;
            let colour = symbols::outcome_colour(outcome, &cx.palette);
            symbols::outcome(ui, 30.0, outcome);
            let words = format!("{}: {}", capitalised(&cylinder.words()), outcome.words(limits));
            ui.label(RichText::new(words).font(theme::bold(HEADING)).color(colour));
        }
        None => {
            ui.label("No outcome: the table of limits cannot be judged by.");
        }
    });
}

/// A unit as a word, for a sentence.
pub(crate) fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    }
}

/// A text in the second rank of ink.
pub(crate) fn faint(ui: &mut Ui, cx: &ViewCx<'_>, text: impl Into<String>) {
    ui.label(RichText::new(text).color(cx.palette.faint_ink));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_read_as_people_write_it() {
        let table = [
            ("", Some(None)),
            (" 21.5 ", Some(Some(21.5))),
            ("21,5", Some(Some(21.5))),
            ("\u{2212}3", Some(Some(-3.0))),
        ];
        for (text, read) in table {
            assert_eq!(read_number(text), read, "{text}");
        }
        for text in ["a", "1.2.3", "NaN", "inf", "-"] {
            assert_eq!(read_number(text), None, "{text}");
        }
    }
}
