//! The Paper: what is printed, seen page by page before it is, and saved as PDF; and the signature under it.
//!
//! Without the feature `paper` there is nothing to print; the place says so.

use eframe::egui::{ScrollArea, Ui};

#[cfg(feature = "paper")]
use super::preview::{self, Preview};
use super::signing::{self, SigningView};
use crate::cx::ViewCx;

/// What of the Paper is in sight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaperPart {
    /// The pages.
    #[default]
    Pages,
    /// The signature.
    Signature,
}

/// What the Paper keeps for itself.
#[derive(Debug, Default)]
pub struct PaperView {
    /// What is in sight.
    pub part: PaperPart,
    /// The pages in sight.
    #[cfg(feature = "paper")]
    pub preview: Preview,
    /// The signature's fields.
    pub signing: SigningView,
}

/// Draws the Paper.
pub(crate) fn paper_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut PaperView) {
    ui.horizontal(|ui| {
        for (part, words) in [(PaperPart::Pages, "Pages"), (PaperPart::Signature, "Signature")] {
            if ui.selectable_label(view.part == part, words).clicked() {
                view.part = part;
            }
        }
    });
    ui.separator();
    match view.part {
        PaperPart::Pages => pages_ui(ui, cx, view),
        PaperPart::Signature => {
            ScrollArea::vertical().id_salt("signature").auto_shrink(false).show(ui, |ui| {
                signing::signing_ui(ui, cx, &mut view.signing);
            });
        }
    }
}

#[cfg(feature = "paper")]
fn pages_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut PaperView) {
    preview::preview_ui(ui, cx, &mut view.preview);
}

/// Says why there is nothing to print.
#[cfg(not(feature = "paper"))]
fn pages_ui(ui: &mut Ui, _cx: &mut ViewCx<'_>, _view: &mut PaperView) {
    ui.label("This program was built without what prints (feature `paper`). Build it with that feature to see pages.");
}
