//! The instruments as they are seen: a dial with its small hand, a sleeve with its thimble and vernier, and
//! the gauge in the bore from the side and from above. Nothing here says a reading in words.

use std::f32::consts::TAU;

use eframe::egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use crate::theme::{self, Palette};
use classroom::gauge::{Face, Placing, PracticeGauge};
use classroom::shape::Shape as BoreShape;
use quantities::length::{Length, Style, Unit};
use records::limits::Limits;

/// How many times a tilt is drawn larger than it is.
pub(super) const TILT_DRAWN: f64 = 4.0;
/// How many times an offset is drawn larger than it is.
pub(super) const OFFSET_DRAWN: f64 = 3.0;

/// Graduations of one turn of a dial.
const TURN: usize = 100;

/// A point on a circle, by its angle clockwise from the top.
fn on(middle: Pos2, radius: f32, turn: f32) -> Pos2 {
    let angle = turn * TAU;
    middle + vec2(angle.sin(), -angle.cos()) * radius
}

/// Where a hand stands, in rough words: enough to know that it moved, not enough to read it.
fn sector(degrees: f64) -> &'static str {
    const SECTORS: [&str; 8] = [
        "at the top",
        "at the upper right",
        "at the right",
        "at the lower right",
        "at the bottom",
        "at the lower left",
        "at the left",
        "at the upper left",
    ];
    let eighth = ((degrees / 45.0).round().rem_euclid(8.0)) as usize;
    SECTORS.get(eighth).copied().unwrap_or("at the top")
}

/// What a screen reader says of an instrument.
pub(super) fn name(face: Face) -> String {
    match face {
        Face::Dial { turns, degrees } => {
            let small = match turns {
                0 => "between zero and one turn clockwise",
                1.. => "a turn or more clockwise",
                -1 => "between zero and one turn anticlockwise",
                _ => "a turn or more anticlockwise",
            };
            format!("Dial, read it: the long hand stands {}, the small hand {small}", sector(degrees))
        }
        Face::Thimble { .. } => {
            "Inside micrometer, read it: rod, sleeve, thimble and vernier are drawn".to_owned()
        }
    }
}

/// Draws a dial or a thimble in a place.
pub(super) fn paint(painter: &Painter, area: Rect, face: Face, gauge: &PracticeGauge, palette: &Palette) {
    painter.rect_filled(area, 2.0, palette.paper);
    match face {
        Face::Dial { turns, degrees } => dial(painter, area, (turns, degrees), gauge, palette),
        Face::Thimble { sleeve, graduations } => {
            thimble(painter, area, (sleeve, graduations), gauge, palette);
        }
    }
}

fn dial(
    painter: &Painter,
    area: Rect,
    (turns, degrees): (i64, f64),
    gauge: &PracticeGauge,
    palette: &Palette,
) {
    let radius = 0.5 * area.width().min(area.height()) - 6.0;
    let middle = area.center();
    let ink = palette.ink;
    let thick = Stroke::new(2.5, ink);
    painter.circle_stroke(middle, radius, thick);
    painter.circle_stroke(middle, radius * 0.955, Stroke::new(1.0, ink));
    let rim = radius * 0.93;
    for line in 0..TURN {
        let turn = line as f32 / TURN as f32;
        let (inner, width) = match line {
            _ if line.is_multiple_of(10) => (0.80, 2.0),
            _ if line.is_multiple_of(5) => (0.84, 1.5),
            _ => (0.87, 1.0),
        };
        let ends = [on(middle, radius * inner, turn), on(middle, rim, turn)];
        painter.line_segment(ends, Stroke::new(width, ink));
    }
    let size = (radius * 0.105).clamp(12.0, 24.0);
    for line in (0..TURN).step_by(10) {
        let turn = line as f32 / TURN as f32;
        let at = on(middle, radius * 0.70, turn);
        painter.text(at, Align2::CENTER_CENTER, line.to_string(), theme::bold(size), ink);
        if line > 0 {
            // Anticlockwise, for what is less than zero.
            let at = on(middle, radius * 0.565, turn);
            let back = (TURN - line).to_string();
            painter.text(at, Align2::CENTER_CENTER, back, theme::plain(size * 0.78), palette.second_axis);
        }
    }
    // The small dial: one number a turn of the long hand.
    let (small, room) = (middle + vec2(0.0, radius * 0.30), radius * 0.19);
    painter.circle_stroke(small, room, Stroke::new(1.0, ink));
    for turn in -4..=5_i32 {
        let part = turn as f32 / 10.0;
        painter.line_segment([on(small, room * 0.82, part), on(small, room, part)], Stroke::new(1.0, ink));
        if turn % 5 == 0 || turn.abs() == 2 {
            let at = on(small, room * 0.58, part);
            let colour = if turn < 0 { palette.second_axis } else { ink };
            let size = (room * 0.36).max(9.0);
            painter.text(at, Align2::CENTER_CENTER, turn.abs().to_string(), theme::plain(size), colour);
        }
    }
    let part = (turns as f64 + degrees / 360.0).clamp(-5.0, 5.0) / 10.0;
    painter.line_segment([small, on(small, room * 0.8, part as f32)], Stroke::new(2.0, ink));
    painter.circle_filled(small, 3.0, ink);
    let each = gauge.graduation.text(gauge.style());
    let words = [format!("one line {each}"), format!("one turn {}", gauge.turn.text(gauge.style()))];
    for (i, text) in words.into_iter().enumerate() {
        let at = middle - vec2(0.0, radius * (0.36 - 0.12 * i as f32));
        painter.text(
            at,
            Align2::CENTER_CENTER,
            text,
            theme::plain((radius * 0.078).max(11.0)),
            palette.faint_ink,
        );
    }
    // The long hand, over everything, with a tail and a fine tip.
    let turn = (degrees / 360.0) as f32;
    let tip = on(middle, radius * 0.90, turn);
    let across = on(Pos2::ZERO, 1.0, turn + 0.25).to_vec2();
    let wide = radius * 0.022;
    let hand =
        vec![tip, middle + across * wide, on(middle, radius * 0.18, turn + 0.5), middle - across * wide];
    painter.add(Shape::convex_polygon(hand, palette.attention, Stroke::NONE));
    painter.circle_filled(middle, radius * 0.04, ink);
}

fn thimble(
    painter: &Painter,
    area: Rect,
    (sleeve, graduations): (Length, f64),
    gauge: &PracticeGauge,
    palette: &Palette,
) {
    let ink = palette.ink;
    let unit = gauge.unit;
    // A rod of whole inches or of 25 mm; the sleeve shows the rest.
    let rod_each = gauge.turn * if unit == Unit::Inch { 40 } else { 50 };
    let rods = sleeve.tenths_of_nm().div_euclid(rod_each.tenths_of_nm().max(1));
    let on_sleeve = sleeve - rod_each * rods;
    let lines_done = on_sleeve.tenths_of_nm().div_euclid(gauge.turn.tenths_of_nm().max(1));
    let turned = graduations / 10.0;
    let turn_lines = (gauge.turn.tenths_of_nm() / (gauge.graduation.tenths_of_nm().max(1) * 10)).max(1);

    // Under the words: the sleeve, and the thimble over its right end.
    let top = area.top() + 96.0;
    let half = ((area.bottom() - 8.0 - top) / 2.0).max(40.0);
    let (middle, half_body) = (top + half, half * 0.88);
    let edge = area.left() + area.width() * 0.62;
    let body =
        Rect::from_min_max(pos2(area.left() + 10.0, middle - half_body), pos2(edge, middle + half_body));
    let barrel = Rect::from_min_max(pos2(edge, middle - half), pos2(area.right() - 10.0, middle + half));
    let thin = Stroke::new(1.0, ink);
    painter.rect_stroke(body, 0.0, Stroke::new(2.0, ink), StrokeKind::Inside);
    painter.line_segment([pos2(body.left(), middle), pos2(edge, middle)], Stroke::new(1.5, ink));
    // Sleeve: the last lines before the thimble's edge.
    let pitch = (body.width() * 0.085).max(14.0);
    let beyond = (turned / turn_lines as f64) as f32 * pitch;
    let size = (half * 0.14).clamp(12.0, 20.0);
    let numbered = if unit == Unit::Inch { 4 } else { 10 };
    for back in 0..=((body.width() - 8.0) / pitch) as i64 {
        let line = lines_done - back;
        let x = edge - beyond - back as f32 * pitch;
        if line < 0 || x < body.left() + 4.0 {
            continue;
        }
        let long = line % numbered == 0;
        let down = half_body * if long { 0.5 } else { 0.3 };
        painter.line_segment([pos2(x, middle), pos2(x, middle + down)], thin);
        if long {
            let text = if numbered == 4 { (line / 4).to_string() } else { (line / 2).to_string() };
            let at = pos2(x, middle + down + 0.6 * size);
            painter.text(at, Align2::CENTER_CENTER, text, theme::plain(size), ink);
        }
    }
    // Vernier: ten lines in the room of nine of the thimble's.
    let step = (half_body - 12.0) / 9.2;
    for tenth in 0..=10_i32 {
        let y = middle - 0.9 * step * tenth as f32;
        let left = edge - if tenth % 5 == 0 { 30.0 } else { 19.0 };
        painter.line_segment([pos2(left, y), pos2(edge, y)], thin);
        if tenth % 5 == 0 && tenth > 0 {
            let text = (tenth % 10).to_string();
            let at = pos2(left - 4.0, y);
            painter.text(at, Align2::RIGHT_CENTER, text, theme::plain(size * 0.8), palette.second_axis);
        }
    }
    let inside = painter.with_clip_rect(barrel.shrink(2.0).intersect(painter.clip_rect()));
    let reach = (half / step).ceil() as i64 + 1;
    let nearest = turned.round() as i64;
    for line in nearest - reach..=nearest + reach {
        let y = middle - ((line as f64 - turned) as f32) * step;
        let number = line.rem_euclid(turn_lines);
        let long = number % 5 == 0;
        let right = edge + if long { 32.0 } else { 20.0 };
        inside.line_segment([pos2(edge, y), pos2(right, y)], thin);
        if long {
            let at = pos2(right + 5.0, y);
            inside.text(at, Align2::LEFT_CENTER, number.to_string(), theme::bold(size), ink);
        }
    }
    painter.rect_stroke(barrel, 0.0, Stroke::new(2.0, ink), StrokeKind::Inside);
    let style = Style { unit, decimals: u8::from(unit == Unit::Inch) };
    let words = [
        format!("Rod: {}", (rod_each * rods).text(style)),
        format!("one line of the sleeve {}", gauge.turn.text(gauge.style())),
        format!("one line of the thimble {}", (gauge.graduation * 10).text(gauge.style())),
        format!("one line of the vernier {}", gauge.graduation.text(gauge.style())),
    ];
    for (i, text) in words.into_iter().enumerate() {
        let bold = i == 0;
        let font = if bold { theme::bold(18.0) } else { theme::plain(14.0) };
        let at = pos2(area.left() + 12.0, area.top() + 12.0 + 21.0 * i as f32);
        painter.text(at, Align2::LEFT_CENTER, text, font, if bold { ink } else { palette.faint_ink });
    }
}

/// Where the barrel lies in the picture from the side.
pub(super) fn barrel(area: Rect) -> Rect {
    Rect::from_min_max(
        pos2(area.left() + 0.26 * area.width(), area.top() + 30.0),
        pos2(area.right() - 0.10 * area.width(), area.bottom() - 44.0),
    )
}

/// The bore cut open, with the gauge in it; its tilt is drawn larger than it is.
pub(super) fn from_the_side(
    painter: &Painter,
    area: Rect,
    bore: &BoreShape,
    limits: &Limits,
    placing: Placing,
    palette: &Palette,
) {
    let ink = palette.ink;
    let barrel = barrel(area);
    let length = bore.frame.length.to_mm().max(1e-6);
    let y = |depth: Length| barrel.top() + (depth.to_mm() / length) as f32 * barrel.height();
    painter.rect_filled(area, 2.0, palette.paper);
    for x in [barrel.left(), barrel.right()] {
        painter.line_segment([pos2(x, barrel.top()), pos2(x, barrel.bottom())], Stroke::new(3.0, ink));
    }
    let across = [pos2(barrel.left(), barrel.top()), pos2(barrel.right(), barrel.top())];
    painter.line_segment(across, Stroke::new(1.0, ink));
    let middle =
        [pos2(barrel.center().x, barrel.top() - 6.0), pos2(barrel.center().x, barrel.bottom() + 6.0)];
    let chain = Stroke::new(1.0, palette.faint_ink);
    painter.extend(Shape::dashed_line_with_offset(&middle, chain, &[14.0, 2.0], &[3.0, 3.0], 0.0));
    for (station, of) in limits.stations.iter().enumerate() {
        let Some(depth) = bore.frame.depth_of(limits, station) else { continue };
        let at = y(depth);
        painter.extend(Shape::dashed_line(
            &[pos2(barrel.left() - 8.0, at), pos2(barrel.right() + 8.0, at)],
            chain,
            6.0,
            3.0,
        ));
        let text = if of.name.chars().count() > 9 {
            of.name.chars().take(8).chain(['\u{2026}']).collect()
        } else {
            of.name.clone()
        };
        let at = pos2(barrel.left() - 12.0, at);
        painter.text(at, Align2::RIGHT_CENTER, text, theme::plain(15.0), ink);
    }
    let at = pos2(barrel.left(), area.top() + 12.0);
    painter.text(at, Align2::LEFT_CENTER, "head end", theme::plain(14.0), palette.faint_ink);
    // Gauge: head across the bore, stem out of the base end, both turned by the tilt.
    let tilt = (placing.tilt_degrees * TILT_DRAWN).to_radians() as f32;
    let head = pos2(barrel.center().x, y(placing.depth));
    let half = barrel.width() / 2.0 - 2.0;
    let along = vec2(tilt.cos(), tilt.sin()) * half;
    let above = Rect::from_min_max(area.min, pos2(area.right(), barrel.bottom() + 8.0));
    let clipped = painter.with_clip_rect(above.intersect(painter.clip_rect()));
    let colour = palette.attention;
    clipped.line_segment([head - along, head + along], Stroke::new(4.0, colour));
    for end in [head - along, head + along] {
        clipped.circle_filled(end, 4.5, colour);
    }
    let stem = vec2(-tilt.sin(), tilt.cos()) * (area.bottom() - head.y + 30.0);
    clipped.line_segment([head, head + stem], Stroke::new(3.0, colour));
}

/// Middle and radius of the bore in the picture from above.
pub(super) fn plan(area: Rect) -> (Pos2, f32) {
    let radius = 0.5 * area.width().min(area.height()) - 38.0;
    (area.center() + vec2(0.0, 6.0), radius.max(20.0))
}

/// The bore from the head end, with the gauge across it; how far it is off the centre is drawn larger.
pub(super) fn from_above(
    painter: &Painter,
    area: Rect,
    bore: &BoreShape,
    limits: &Limits,
    placing: Placing,
    palette: &Palette,
) {
    let ink = palette.ink;
    painter.rect_filled(area, 2.0, palette.paper);
    let (middle, radius) = plan(area);
    painter.circle_stroke(middle, radius, Stroke::new(3.0, ink));
    let chain = Stroke::new(1.0, palette.faint_ink);
    // As in the section: 0 degrees to the right, angles anticlockwise.
    let towards = |degrees: f64| {
        let angle = degrees.to_radians() as f32;
        vec2(angle.cos(), -angle.sin())
    };
    for axis in &limits.axes {
        let end = towards(axis.degrees) * (radius + 8.0);
        painter.extend(Shape::dashed_line_with_offset(
            &[middle - end, middle + end],
            chain,
            &[14.0, 2.0],
            &[3.0, 3.0],
            0.0,
        ));
        let words = painter.layout_no_wrap(axis.label.clone(), theme::plain(14.0), ink);
        let at = middle + towards(axis.degrees) * (radius + 18.0) - words.size() / 2.0;
        // A long name stays in the picture.
        let most = area.max - words.size() - vec2(4.0, 4.0);
        painter.galley(pos2(at.x.min(most.x).max(area.left() + 4.0), at.y.min(most.y)), words, ink);
    }
    let diameter = bore.size.to_mm().max(1e-6);
    let off = (placing.off_centre.to_mm() / diameter * OFFSET_DRAWN) as f32 * 2.0 * radius;
    let off = off.clamp(-0.9 * radius, 0.9 * radius);
    let along = towards(placing.degrees);
    let aside = vec2(-along.y, along.x) * off;
    let half = (radius * radius - off * off).max(0.0).sqrt() - 2.0;
    let colour = palette.attention;
    let ends = [middle + aside - along * half, middle + aside + along * half];
    painter.line_segment(ends, Stroke::new(4.0, colour));
    for end in ends {
        painter.circle_filled(end, 4.5, colour);
    }
    painter.circle_filled(middle + aside, 6.0, colour);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_a_dial_says_where_its_hand_stands_and_no_number() {
        let said = name(Face::Dial { turns: -1, degrees: 350.0 });
        assert!(said.contains("at the top") && said.contains("anticlockwise"), "{said}");
        let said = name(Face::Dial { turns: 0, degrees: 95.0 });
        assert!(said.contains("at the right"), "{said}");
        assert!(!said.chars().any(|c| c.is_ascii_digit()), "{said}");
    }
}
