//! The Paper: what is printed, seen page by page before it is, and saved as PDF.
//!
//! Without the feature `paper` there is nothing to print; the place says so.

use eframe::egui::Ui;

#[cfg(feature = "paper")]
use super::preview::{self, Preview};
use crate::gui::ViewCx;

/// What the Paper keeps for itself.
#[derive(Debug, Default)]
pub struct PaperView {
    /// The pages in sight.
    #[cfg(feature = "paper")]
    pub preview: Preview,
}

/// Draws the Paper.
#[cfg(feature = "paper")]
pub(in crate::gui) fn paper_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut PaperView) {
    // Signing stands here, above or beside the pages: one call to its own view.
    preview::preview_ui(ui, cx, &mut view.preview);
}

/// Says why there is nothing to print.
#[cfg(not(feature = "paper"))]
pub(in crate::gui) fn paper_ui(ui: &mut Ui, _cx: &mut ViewCx<'_>, _view: &mut PaperView) {
    // Signing stands here, above or beside the pages: one call to its own view.
    ui.heading("Paper");
    ui.label("This program was built without what prints (feature `paper`). Build it with that feature to see pages.");
}
