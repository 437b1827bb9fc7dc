//! A plot of groups of readings: from the smallest to the largest of each, with the mean, and the means joined.

use eframe::egui::{Align2, Color32, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::theme::{self, Palette};
use classroom::study::Group;
use quantities::length::Unit;

/// The height of the plot in points.
const HEIGHT: f32 = 230.0;

/// Draws the plot.
pub(super) fn spread_ui(ui: &mut Ui, palette: &Palette, title: &str, groups: &[Group], unit: Unit) {
    let size = vec2(ui.available_width(), HEIGHT);
    let (area, response) = ui.allocate_exact_size(size, Sense::hover());
    let decimals = usize::from(unit.usual_decimals()) + 1;
    let number = |mm: f64| format!("{:.decimals$}", unit.from_mm(mm));
    response.widget_info(|| {
        let each: Vec<String> = groups
            .iter()
            .map(|g| {
                format!(
                    "{} mean {}, {} to {}",
                    g.name,
                    number(g.mean_mm),
                    number(g.least_mm),
                    number(g.most_mm)
                )
            })
            .collect();
        WidgetInfo::labeled(Role::Figure, true, format!("{title}, {unit}: {}", each.join("; ")))
    });
    let least = groups.iter().map(|g| g.least_mm).fold(f64::INFINITY, f64::min);
    let most = groups.iter().map(|g| g.most_mm).fold(f64::NEG_INFINITY, f64::max);
    if !ui.is_rect_visible(area) || !least.is_finite() || !most.is_finite() {
        return;
    }
    let painter = ui.painter_at(area);
    let span = (most - least).max(1e-9);
    let frame = eframe::egui::Rect::from_min_max(
        pos2(area.left() + 84.0, area.top() + 28.0),
        pos2(area.right() - 10.0, area.bottom() - 30.0),
    );
    let y = |mm: f64| frame.bottom() - ((mm - least) / span) as f32 * frame.height();
    let say = |at, anchor, text: &str, colour: Color32| {
        painter.text(at, anchor, text, theme::plain(14.0), colour);
    };
    painter.text(
        area.left_top() + vec2(0.0, 10.0),
        Align2::LEFT_CENTER,
        format!("{title}, {unit}"),
        theme::bold(theme::TEXT),
        palette.ink,
    );
    for part in 0..=4 {
        let mm = least + span * f64::from(part) / 4.0;
        let line = [pos2(frame.left(), y(mm)), pos2(frame.right(), y(mm))];
        painter.line_segment(line, Stroke::new(1.0, palette.rule));
        say(pos2(frame.left() - 8.0, y(mm)), Align2::RIGHT_CENTER, &number(mm), palette.faint_ink);
    }
    painter.rect_stroke(frame, 0.0, Stroke::new(1.0, palette.ink), eframe::egui::StrokeKind::Inside);
    let step = frame.width() / groups.len().max(1) as f32;
    let x = |index: usize| frame.left() + step * (index as f32 + 0.5);
    let means: Vec<_> = groups.iter().enumerate().map(|(i, g)| pos2(x(i), y(g.mean_mm))).collect();
    let thin = Stroke::new(1.5, palette.second_axis);
    painter.extend(eframe::egui::Shape::dashed_line(&means, thin, 6.0, 3.0));
    for (index, group) in groups.iter().enumerate() {
        let at = x(index);
        let ends = [pos2(at, y(group.least_mm)), pos2(at, y(group.most_mm))];
        painter.line_segment(ends, Stroke::new(2.5, palette.as_made));
        for end in ends {
            painter.line_segment(
                [end - vec2(6.0, 0.0), end + vec2(6.0, 0.0)],
                Stroke::new(2.0, palette.as_made),
            );
        }
        painter.circle_filled(pos2(at, y(group.mean_mm)), 5.0, palette.ink);
        // As much of the name as has room.
        let room = (step / 8.5).max(1.0) as usize;
        let name: String = if group.name.chars().count() > room {
            group.name.chars().rev().take(room).collect::<Vec<_>>().into_iter().rev().collect()
        } else {
            group.name.clone()
        };
        say(pos2(at, frame.bottom() + 14.0), Align2::CENTER_CENTER, &name, palette.ink);
    }
}
