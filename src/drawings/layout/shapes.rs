//! The shapes that drawings are made of beyond plain lines: arrow heads, whiskers, markers.

use super::{Anchor, Frame, Shape, Text};
use crate::{Fill, Marker, Pattern, Pen, Role, Weight, Xy};

/// A dimension line's arrow head at `tip`, coming from `from`.
pub(super) fn arrow(from: Xy, tip: Xy, text: f64, role: Role) -> Option<Shape> {
    let (dx, dy) = (tip[0] - from[0], tip[1] - from[1]);
    let long = dx.hypot(dy);
    if long < 1.0 {
        return None;
    }
    let (ux, uy) = (dx / long, dy / long);
    let (back, half) = (0.75 * text, 0.2 * text);
    let foot = [tip[0] - back * ux, tip[1] - back * uy];
    let points =
        vec![tip, [foot[0] - half * uy, foot[1] + half * ux], [foot[0] + half * uy, foot[1] - half * ux]];
    Some(Shape::Area { loops: vec![points], fill: Fill::Plain(role) })
}

/// A whisker with a bar at each end.
pub(super) fn whisker(a: Xy, b: Xy, half: f64, role: Role) -> Vec<Shape> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx.hypot(dy);
    if long < 0.5 {
        return Vec::new();
    }
    let (ux, uy) = (dx / long * half, dy / long * half);
    let bar = |[x, y]: Xy| vec![[x - uy, y + ux], [x + uy, y - ux]];
    let pen = Pen::thin(role);
    [vec![a, b], bar(a), bar(b)].into_iter().map(|points| Shape::Line { points, pen }).collect()
}

/// The shapes of a marker.
pub(super) fn marker_shapes(marker: Marker, at: Xy, text: f64, role: Role, filled: bool) -> Vec<Shape> {
    let [x, y] = at;
    let r = 0.34 * text;
    let pen = Pen { role, weight: Weight::Thin, pattern: Pattern::Solid };
    let polygon = |points: Vec<Xy>| {
        let fill = Fill::Plain(if filled { role } else { Role::Paper });
        vec![
            Shape::Area { loops: vec![points.clone()], fill },
            Shape::Line {
                points: closed(points),
                pen: Pen { role: if filled { Role::Paper } else { role }, ..pen },
            },
        ]
    };
    match marker {
        Marker::Disc => vec![Shape::Disc {
            at,
            radius: r,
            fill: if filled { role } else { Role::Paper },
            pen: Some(Pen { role: if filled { Role::Paper } else { role }, ..pen }),
        }],
        Marker::Square => polygon(vec![[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]]),
        Marker::Diamond => {
            let r = 1.3 * r;
            polygon(vec![[x, y - r], [x + r, y], [x, y + r], [x - r, y]])
        }
        Marker::Triangle => {
            polygon(vec![[x, y - 1.2 * r], [x + 1.1 * r, y + 0.8 * r], [x - 1.1 * r, y + 0.8 * r]])
        }
        Marker::TriangleDown => {
            polygon(vec![[x, y + 1.2 * r], [x - 1.1 * r, y - 0.8 * r], [x + 1.1 * r, y - 0.8 * r]])
        }
        Marker::ArrowRight => polygon(vec![[x + 1.4 * r, y], [x - r, y - r], [x - r, y + r]]),
        Marker::ArrowLeft => polygon(vec![[x - 1.4 * r, y], [x + r, y - r], [x + r, y + r]]),
        Marker::Cross => vec![
            Shape::Line { points: vec![[x - r, y - r], [x + r, y + r]], pen: Pen::thick(role) },
            Shape::Line { points: vec![[x - r, y + r], [x + r, y - r]], pen: Pen::thick(role) },
        ],
        Marker::Number(number) => {
            let size = 0.8 * text;
            vec![
                Shape::Disc { at, radius: 0.72 * text, fill: Role::Paper, pen: Some(Pen::thick(role)) },
                Shape::Text(Text {
                    at,
                    text: number.to_string(),
                    size,
                    role: Role::Ink,
                    anchor: Anchor::Middle,
                    bold: true,
                    turned: false,
                    cleared: false,
                }),
            ]
        }
    }
}

pub(super) fn corners([low, high]: Frame) -> Vec<Xy> {
    vec![low, [high[0], low[1]], high, [low[0], high[1]]]
}

pub(super) fn closed(mut points: Vec<Xy>) -> Vec<Xy> {
    points.extend(points.first().copied());
    points
}

/// A factor in words: two figures are enough to know what one sees.
pub fn factor_text(factor: f64) -> String {
    if !factor.is_finite() || factor <= 0.0 {
        return "?".to_owned();
    }
    if factor < 1.0 {
        return format!("{factor:.2}");
    }
    let ten = 10_f64.powf(factor.log10().floor() - 1.0);
    let rounded = (factor / ten).round() * ten;
    if rounded < 10.0 {
        format!("{rounded:.1}").trim_end_matches(".0").to_owned()
    } else {
        format!("{rounded:.0}")
    }
}
