//! The symbols, drawn and never a font's glyph: outcomes as a bore seen in plan, rows as ticks at a limit.
//!
//! Serviceable is a plain ring, rebore a ring in a larger thin ring, replace a ring struck through, not
//! decided a dashed ring. A row: two short ticks within new, one within serviceable, a bar crossing its
//! limit line beyond, a dash not measured, a dotted line without a limit. Each stands beside its word.

use eframe::egui::{Color32, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, Vec2, pos2, vec2};

use super::theme::Palette;
use judging::Recommendation;
use judging::row::RowStatus;

/// The colour of an outcome's word and symbol.
pub fn outcome_colour(outcome: Recommendation, palette: &Palette) -> Color32 {
    match outcome {
        Recommendation::Serviceable => palette.as_made,
        Recommendation::Rebore(_) => palette.rebore_to,
        Recommendation::Replace => palette.beyond,
        Recommendation::NotDecided => palette.faint_ink,
    }
}

/// The colour of a row's word and symbol.
pub fn status_colour(status: RowStatus, palette: &Palette) -> Color32 {
    match status {
        RowStatus::WithinNew => palette.as_made,
        RowStatus::WithinServiceable => palette.serviceable,
        RowStatus::Beyond => palette.beyond,
        RowStatus::NotMeasured => palette.faint_ink,
        RowStatus::NoLimitGiven => palette.attention,
    }
}

/// Draws an outcome's symbol in the middle of a rectangle.
pub fn paint_outcome(painter: &Painter, rect: Rect, outcome: Recommendation, colour: Color32) {
    let size = rect.width().min(rect.height());
    let (middle, radius) = (rect.center(), size * 0.30);
    let thick = Stroke::new((size * 0.085).max(1.5), colour);
    match outcome {
        Recommendation::Serviceable => {
            painter.circle_stroke(middle, size * 0.36, thick);
        }
        Recommendation::Rebore(_) => {
            painter.circle_stroke(middle, radius, thick);
            painter.circle_stroke(middle, size * 0.45, Stroke::new((size * 0.04).max(1.0), colour));
        }
        Recommendation::Replace => {
            painter.circle_stroke(middle, size * 0.36, thick);
            let reach = size * 0.44;
            painter.line_segment([middle + vec2(-reach, reach), middle + vec2(reach, -reach)], thick);
        }
        Recommendation::NotDecided => dashed_circle(painter, middle, size * 0.36, thick),
    }
}

fn dashed_circle(painter: &Painter, middle: Pos2, radius: f32, stroke: Stroke) {
    const DASHES: u8 = 8;
    for dash in 0..DASHES {
        let from = f32::from(dash) / f32::from(DASHES) * std::f32::consts::TAU;
        let arc: Vec<Pos2> = (0..=6_u8)
            .map(|i| {
                middle
                    + Vec2::angled(from + f32::from(i) * std::f32::consts::TAU / f32::from(DASHES) / 10.5)
                        * radius
            })
            .collect();
        painter.add(Shape::line(arc, stroke));
    }
}

/// Draws a row's symbol in the middle of a rectangle: the limit line upright, what was read beside it.
pub fn paint_status(painter: &Painter, rect: Rect, status: RowStatus, colour: Color32) {
    let size = rect.width().min(rect.height());
    let middle = rect.center();
    let (thin, thick) = (Stroke::new(1.0, colour), Stroke::new((size * 0.11).max(2.0), colour));
    let tick = |x: f32| {
        painter.line_segment(
            [middle + vec2(x * size, -0.22 * size), middle + vec2(x * size, 0.22 * size)],
            thick,
        );
    };
    let limit_line = || {
        let x = middle.x + 0.12 * size;
        painter.line_segment([pos2(x, middle.y - 0.45 * size), pos2(x, middle.y + 0.45 * size)], thin);
    };
    match status {
        RowStatus::WithinNew => {
            tick(-0.14);
            tick(0.14);
        }
        RowStatus::WithinServiceable => tick(0.0),
        RowStatus::Beyond => {
            limit_line();
            painter.line_segment([middle + vec2(-0.42 * size, 0.0), middle + vec2(0.45 * size, 0.0)], thick);
        }
        RowStatus::NotMeasured => {
            painter.line_segment([middle + vec2(-0.2 * size, 0.0), middle + vec2(0.2 * size, 0.0)], thick);
        }
        RowStatus::NoLimitGiven => {
            for i in -2..=2_i8 {
                painter.circle_filled(middle + vec2(0.0, f32::from(i) * 0.18 * size), 1.2, colour);
            }
        }
    }
}

/// An outcome's symbol as a piece of the window; the word beside it is its name.
pub fn outcome(ui: &mut Ui, size: f32, outcome: Recommendation) -> Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(size), Sense::hover());
    let colour = outcome_colour(outcome, &Palette::in_use(ui));
    paint_outcome(ui.painter(), rect, outcome, colour);
    response
}

/// A row's symbol as a piece of the window.
pub fn status(ui: &mut Ui, size: f32, status: RowStatus) -> Response {
    let (rect, response) = ui.allocate_exact_size(Vec2::splat(size), Sense::hover());
    let colour = status_colour(status, &Palette::in_use(ui));
    paint_status(ui.painter(), rect, status, colour);
    response
}
