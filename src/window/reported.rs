//! What is wrong with a file or a record, wherever the window says it: the first ones, and how many more there are.

use eframe::egui::{RichText, Ui};

use crate::theme::Palette;
use records::diag::{self, Diagnostic};

/// Tells diagnostics, each on a line of its own. However many there are, a frame draws about a hundred.
pub(crate) fn reported_ui<'a>(
    ui: &mut Ui,
    palette: &Palette,
    diagnostics: impl IntoIterator<Item = &'a Diagnostic>,
) {
    for diagnostic in diag::reported(diagnostics) {
        let colour = if diagnostic.is_error() { palette.beyond } else { palette.attention };
        ui.label(RichText::new(diagnostic.to_string()).color(colour));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui;

    #[test]
    fn of_very_many_the_first_are_drawn_and_the_others_counted() {
        let many: Vec<Diagnostic> =
            (0..10_000).map(|i| Diagnostic::error(format!("reading {i} is none"))).collect();
        let ctx = egui::Context::default();
        let mut drawn = ctx.run_ui(egui::RawInput::default(), |ui| {
            ui.set_clip_rect(egui::Rect::EVERYTHING);
            reported_ui(ui, &Palette::in_use(ui), &many);
        });
        // Nobody paints here.
        drawn.textures_delta.clear();
        let texts: Vec<&str> = drawn
            .shapes
            .iter()
            .filter_map(|clipped| match &clipped.shape {
                egui::Shape::Text(text) => Some(text.galley.job.text.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(texts.len(), diag::MOST_REPORTED + 1);
        assert!(texts.last().is_some_and(|last| last.contains("And 9,900 more errors.")), "{texts:?}");
    }
}
