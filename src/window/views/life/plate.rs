//! A drawing in its place: made anew only when what it shows changes, laid out anew only when its place does.

use eframe::egui::{self, Id, Key, Modifiers, Rect, Response, Sense, Ui};

use crate::cx::ViewCx;
use crate::plot;
use drawings::Drawing;
use drawings::layout::{DrawingSheet, Paper, Window, lay_out};

/// A drawing kept, with what it was made from.
#[derive(Debug)]
pub(super) struct Plate<K> {
    kept: Option<(K, Drawing)>,
    laid: Option<(Paper, Option<Window>, DrawingSheet)>,
    /// Which of its marks is read out, by the arrow keys.
    read: Option<usize>,
}

impl<K> Default for Plate<K> {
    fn default() -> Self {
        Self { kept: None, laid: None, read: None }
    }
}

impl<K: PartialEq> Plate<K> {
    /// The drawing of a key.
    pub(super) fn drawing(&mut self, key: K, make: impl FnOnce() -> Drawing) -> &Drawing {
        if self.kept.as_ref().is_none_or(|(kept, _)| *kept != key) {
            self.kept = None;
            self.laid = None;
            self.read = None;
        }
        &self.kept.get_or_insert_with(|| (key, make())).1
    }

    /// Draws it, and gives what was done with it and where things stand.
    pub(super) fn ui(
        &mut self,
        ui: &mut Ui,
        cx: &ViewCx<'_>,
        id: Id,
        area: Rect,
        paper: Paper,
        window: Option<Window>,
    ) -> Option<(Response, &DrawingSheet)> {
        let response = ui.interact(area, id, Sense::click());
        let drawing = &self.kept.as_ref()?.1;
        let paper = Paper { width: f64::from(area.width()), height: f64::from(area.height()), ..paper };
        let sheet = match self.laid.take() {
            Some((p, w, sheet)) if p == paper && w == window => sheet,
            _ => lay_out(drawing, paper, window),
        };
        plot::show(ui, &response, area, &sheet, &cx.palette);
        if response.clicked() {
            response.request_focus();
        }
        plot::tell(&response, plot::pointed(&response, area, &sheet));
        if response.has_focus() {
            self.read = read(ui, drawing.marks.len(), self.read);
        }
        let (.., sheet) = self.laid.insert((paper, window, sheet));
        Some((response, sheet))
    }

    /// What the arrow keys read out, in one line.
    pub(super) fn read_out(&self) -> Option<String> {
        let mark = self.kept.as_ref()?.1.marks.get(self.read?)?;
        Some(mark.hover.lines().collect::<Vec<_>>().join("; "))
    }
}

/// Up and down go from mark to mark.
fn read(ui: &Ui, count: usize, now: Option<usize>) -> Option<usize> {
    if count == 0 {
        return None;
    }
    let filter =
        egui::EventFilter { vertical_arrows: true, horizontal_arrows: true, ..egui::EventFilter::default() };
    if let Some(focused) = ui.memory(egui::Memory::focused) {
        ui.memory_mut(|memory| memory.set_focus_lock_filter(focused, filter));
    }
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let step = i64::from(pressed(Key::ArrowDown) || pressed(Key::ArrowRight))
        - i64::from(pressed(Key::ArrowUp) || pressed(Key::ArrowLeft));
    match (now, step) {
        (_, 0) => now,
        (None, 1..) => Some(0),
        (None, _) => Some(count - 1),
        (Some(now), 1..) => Some((now + 1).min(count - 1)),
        (Some(now), _) => Some(now.saturating_sub(1)),
    }
}
