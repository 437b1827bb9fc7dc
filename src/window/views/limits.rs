//! The Limits: the table as the table it is, its values as typed, and the validator's remarks beside their
//! rows. Another revision can be read from a file, and what it would change is seen before it is accepted.
//!
//! A value that cannot be read yet stays in a draft of the whole table, and the table in force stands, so
//! that nothing is judged by half a number.

mod draft;
mod fields;
mod frame;
mod parts;
mod remarks;
mod rows;
mod swap;

use std::cell::RefCell;

use eframe::egui::{RichText, ScrollArea, Ui};

use self::draft::Draft;
use self::fields::Page;
use self::remarks::{RowRemarks, summary_ui};
use self::swap::swap_ui;
use crate::browse::Browse;
use crate::cx::{Action, ViewCx};
use records::diag::{Diagnostic, FieldPath};
use records::limits::schema::TableOfLimits;
use records::limits::validate::{sound, validate};
use records::record::resolve;
use work::session::Command;
use work::session::swap::Swap;

/// What the limits keep for themselves.
#[derive(Debug, Default)]
pub struct LimitsView {
    /// A table that cannot be judged by yet.
    draft: Option<Draft>,
    /// Remarks, and what they were made for: the record's state, and how often the draft was changed.
    remarks: Option<((u64, usize, u64), Vec<Diagnostic>)>,
    edits: u64,
    path: String,
    wrong: Vec<Diagnostic>,
    swap: Option<(u64, Swap)>,
    swapping: bool,
    browse: Browse,
}

/// Draws the table of limits of the chosen overhaul.
pub(crate) fn limits_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LimitsView) {
    let session = cx.session;
    ui.horizontal_wrapped(|ui| {
        ui.heading("Table of limits");
        let words = if view.swapping { "Back to the table" } else { "Another revision" };
        if ui.button(words).clicked() {
            view.swapping = !view.swapping;
        }
    });
    if view.swapping {
        swap_ui(ui, cx, view);
        return;
    }
    let Some((index, table)) = session.table() else {
        ui.label(
            "This overhaul names no table that the record holds. Read one from a file: Another revision.",
        );
        return;
    };
    let state = session.state();
    // A draft over a table that has changed since, as by undo, is gone.
    view.draft = view.draft.take().filter(|draft| draft.index == index && draft.over == *table);
    let mut edited = view.draft.as_ref().map_or_else(|| table.clone(), |draft| draft.table.clone());
    let before = edited.clone();
    let key = (state, index, view.edits);
    if view.remarks.as_ref().is_none_or(|(of, _)| *of != key) {
        view.remarks = Some((key, validate(&edited)));
    }
    let remarks = view.remarks.as_ref().map(|(_, remarks)| remarks.as_slice()).unwrap_or_default();
    let beside = RowRemarks { remarks, shown: RefCell::default() };
    if view.draft.is_some() {
        ui.horizontal_wrapped(|ui| {
            let why = if resolve::is_taken(session.record(), index, &edited) {
                "the record holds another table of this identity and revision"
            } else {
                "it cannot be judged by as it is typed"
            };
            let words = format!("Not in force yet: {why}. The table as it stood is judged by.");
            ui.label(RichText::new(words).color(cx.palette.beyond));
            if ui.button("Leave the change").clicked() {
                edited = table.clone();
            }
        });
    }
    summary_ui(ui, cx, remarks);
    ui.separator();
    ScrollArea::both().id_salt("limits").auto_shrink(false).show(ui, |ui| {
        let mut page = Page { cx, beside: &beside, wide: ui.available_width() > 800.0 };
        page.heading_ui(ui, &mut edited);
        page.bore_ui(ui, &mut edited);
        page.figures_ui(ui, &mut edited);
        page.wall_ui(ui, &mut edited);
        page.frame_ui(ui, &mut edited);
        page.parts_ui(ui, &mut edited);
        page.fits_ui(ui, &mut edited);
        page.findings_ui(ui, &mut edited);
        page.others_ui(ui);
        ui.add_space(12.0);
    });
    if edited != before {
        // What is typed on in a field is one step; a choice, or a row added or taken away, is one of its own.
        let step = !ui.ctx().egui_wants_keyboard_input();
        if step {
            cx.ask(Action::Seal);
        }
        view.edits += 1;
        let taken = resolve::is_taken(session.record(), index, &edited);
        let is_sound = |table: &TableOfLimits| sound(table, &FieldPath::default()).is_ok();
        let readable = !taken && (is_sound(&edited) || !is_sound(table));
        if edited == *table {
            // Typed back to what it was.
            view.draft = None;
        } else if readable {
            view.draft = None;
            cx.ask(Action::Do(Command::EditLimits(index, Box::new(edited))));
            if step {
                cx.ask(Action::Seal);
            }
        } else {
            let field = ui.memory(|memory| memory.focused()).filter(|_| !step);
            view.keep_draft(index, table, edited, field);
        }
    }
}
