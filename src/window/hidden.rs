//! Hidden letters made visible in everything the window shows: each text is looked at once, when it is painted and
//! when a screen reader is told of it. What is edited stays what it is.

use std::borrow::Cow;

use eframe::egui::epaint::text::ByteIndex;
use eframe::egui::text::LayoutJob;
use eframe::egui::{self, Shape};

use records::wording::visible;

/// Shows what would not be seen.
#[derive(Debug, Default)]
pub(super) struct Hidden;

/// A text laid out so that its hidden letters are seen; none: it has none.
fn seen(job: &LayoutJob) -> Option<LayoutJob> {
    if matches!(visible(&job.text), Cow::Borrowed(_)) {
        return None;
    }
    let mut seen = LayoutJob { text: String::new(), ..job.clone() };
    for section in &mut seen.sections {
        let part = job.text.get(section.byte_range.start.0..section.byte_range.end.0).unwrap_or_default();
        let start = seen.text.len();
        seen.text.push_str(&visible(part));
        section.byte_range = ByteIndex(start)..ByteIndex(seen.text.len());
    }
    Some(seen)
}

fn show(ctx: &egui::Context, shape: &mut Shape) {
    match shape {
        Shape::Vec(shapes) => shapes.iter_mut().for_each(|shape| show(ctx, shape)),
        Shape::Text(text) => {
            if let Some(job) = seen(&text.galley.job) {
                text.galley = ctx.fonts_mut(|fonts| fonts.layout_job(job));
            }
        }
        // Each by name: another shape that holds text must not be passed over.
        Shape::Noop
        | Shape::Circle(_)
        | Shape::Ellipse(_)
        | Shape::LineSegment { .. }
        | Shape::Path(_)
        | Shape::Band(_)
        | Shape::Rect(_)
        | Shape::Mesh(_)
        | Shape::QuadraticBezier(_)
        | Shape::CubicBezier(_)
        | Shape::Callback(_) => {}
    }
}

impl egui::Plugin for Hidden {
    fn debug_name(&self) -> &'static str {
        "hidden letters"
    }

    fn output_hook(&mut self, ctx: &egui::Context, output: &mut egui::FullOutput) {
        for clipped in &mut output.shapes {
            show(ctx, &mut clipped.shape);
        }
        let Some(update) = &mut output.platform_output.accesskit_update else { return };
        for (_, node) in &mut update.nodes {
            if let Some(Cow::Owned(label)) = node.label().map(visible) {
                node.set_label(label);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui::{Color32, FontId, TextFormat};

    #[test]
    fn what_is_hidden_is_laid_out_to_be_seen() {
        let mut job = LayoutJob::default();
        let format = |size| TextFormat::simple(FontId::proportional(size), Color32::WHITE);
        job.append("K\u{202e}1", 0.0, format(12.0));
        job.append("é\u{200b}", 4.0, format(20.0));
        let seen = seen(&job).expect("it has hidden letters");
        assert_eq!(seen.text, "K<U+202E>1é<U+200B>");
        let parts = seen.sections.iter().map(|s| &seen.text[s.byte_range.start.0..s.byte_range.end.0]);
        assert_eq!(parts.collect::<Vec<_>>(), ["K<U+202E>1", "é<U+200B>"]);
        assert!(super::seen(&seen).is_none());
    }
}
