//! The validator's remarks: how many there are, each beside its row, and what belongs to no row.

use std::cell::RefCell;
use std::collections::BTreeSet;

use eframe::egui::{self, RichText, Ui};

use super::fields::Page;
use crate::cx::ViewCx;
use crate::fields::faint;
use records::diag::{self, Diagnostic, Severity};

/// How many remarks there are, and where.
pub(super) fn summary_ui(ui: &mut Ui, cx: &ViewCx<'_>, remarks: &[Diagnostic]) {
    let errors = remarks.iter().filter(|remark| remark.is_error()).count();
    let notes = remarks.len() - errors;
    let count = |number: usize, what: &str| match number {
        1 => format!("1 {what}"),
        _ => format!("{number} {what}s"),
    };
    if remarks.is_empty() {
        faint(
            ui,
            cx,
            "Order, unit pairs, steps of the oversizes and clearances against parts: no problems found.",
        );
    } else {
        let colour = if errors > 0 { cx.palette.beyond } else { cx.palette.attention };
        let words = format!("{} and {}, each beside its row.", count(errors, "error"), count(notes, "note"));
        ui.label(RichText::new(words).color(colour));
    }
}

/// The validator's remarks, and which of them have found their row.
pub(super) struct RowRemarks<'a> {
    pub(super) remarks: &'a [Diagnostic],
    pub(super) shown: RefCell<BTreeSet<usize>>,
}

impl RowRemarks<'_> {
    pub(super) fn remark_ui(ui: &mut Ui, cx: &ViewCx<'_>, remark: &Diagnostic, place: bool) {
        let (colour, what) = match remark.severity {
            Severity::Error => (cx.palette.beyond, "Error"),
            Severity::Note => (cx.palette.attention, "Note"),
        };
        let place =
            if place && !remark.place.is_empty() { format!("{}: ", remark.place) } else { String::new() };
        let text = format!("{what}: {place}{} {}", remark.message, remark.remedy);
        let most = (ui.clip_rect().right() - ui.cursor().left() - 16.0).max(200.0);
        ui.scope(|ui| {
            ui.set_max_width(most);
            ui.add(egui::Label::new(RichText::new(text.trim_end()).color(colour)).wrap());
        });
    }

    /// The remarks on a row: those whose way begins with the row's.
    pub(super) fn row_ui(&self, ui: &mut Ui, cx: &ViewCx<'_>, row: &str) {
        for (i, remark) in self.remarks.iter().enumerate() {
            if remark.path.is_within(row) && self.shown.borrow_mut().insert(i) {
                Self::remark_ui(ui, cx, remark, false);
            }
        }
    }
}

impl Page<'_, '_, '_> {
    /// What belongs to no row above.
    pub(super) fn others_ui(&mut self, ui: &mut Ui) {
        let rest: Vec<&Diagnostic> = {
            let shown = self.beside.shown.borrow();
            let rest = self.beside.remarks.iter().enumerate().filter(|(i, _)| !shown.contains(i));
            rest.map(|(_, remark)| remark).collect()
        };
        if !rest.is_empty() {
            self.section(ui, "On the table as a whole", &[]);
        }
        for remark in &diag::reported(rest) {
            RowRemarks::remark_ui(ui, self.cx, remark, true);
        }
    }
}
