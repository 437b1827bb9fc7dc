//! All cylinders of the engine on one scale, and whether one stands out.

use eframe::egui::{self, Id, Key, Rect, RichText, ScrollArea, Sense, Ui, vec2};

use super::plate::Plate;
use super::table::choose;
use super::{Subject, heading, reported_ui};
use crate::cx::ViewCx;
use drawings::layout::{Paper, whole};
use drawings::over_time::{OverTime, one_scale, over_time};
use history::engine::EngineCylinder;
use history::figure::{Figure, amount};
use history::trend::{CLOSING, Time};
use quantities::length::Unit;

/// The least width and the height of one, in points.
const LEAST: egui::Vec2 = vec2(250.0, 190.0);

/// What the page was made from.
#[derive(Clone, Debug, PartialEq)]
struct Source {
    number: u64,
    figure: Figure,
    time: Time,
    planned: f64,
    unit: Option<Unit>,
    member: usize,
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct SideBySide {
    plates: Vec<Plate<Source>>,
    numbers: bool,
}

/// Draws the page.
pub(super) fn side_by_side_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut SideBySide,
    subject: &Subject<'_>,
) {
    let Some(stand) = subject.across.stand(&subject.figure, subject.time) else {
        ui.label("The engine's cylinders side by side belong here. It takes a survey with a table of limits and with serial numbers.");
        reported_ui(ui, cx, subject.across);
        return;
    };
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let title = format!("{}, survey of {}: {}", stand.engine.words(), stand.date, stand.figure.words());
        heading(ui, &title);
        let all_said = stand.said();
        for said in &all_said {
            ui.label(&said.plain);
            if view.numbers && !said.behind.is_empty() {
                ui.label(RichText::new(&said.behind).color(cx.palette.faint_ink));
            }
        }
        if all_said.iter().any(|said| !said.behind.is_empty()) {
            let words = if view.numbers { "Hide the numbers behind" } else { "Show the numbers behind" };
            if ui.button(words).clicked() {
                view.numbers = !view.numbers;
            }
        }
        plates_ui(ui, cx, view, subject, &stand.members);
        reported_ui(ui, cx, subject.across);
        ui.label(RichText::new(CLOSING).color(cx.palette.faint_ink));
    });
}

fn plates_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut SideBySide,
    subject: &Subject<'_>,
    members: &[EngineCylinder],
) {
    view.plates.resize_with(members.len(), Plate::default);
    let mut windows = Vec::new();
    for (plate, (index, member)) in view.plates.iter_mut().zip(members.iter().enumerate()) {
        let source = Source {
            number: subject.number,
            figure: subject.figure.clone(),
            time: subject.time,
            planned: subject.planned,
            unit: cx.prefs.unit,
            member: index,
        };
        let drawing = plate.drawing(source, || {
            over_time(OverTime {
                who: &format!("{} · {}", member.position, member.trend.serial),
                trend: &member.trend,
                earlier: &[],
                style: member.trend.style,
                ahead: subject.planned,
            })
        });
        if drawing.empty.is_none() {
            windows.push((whole(drawing), member.trend.level().map(|level| level.at)));
        }
    }
    let mut windows = one_scale(&windows).into_iter();
    let wide = ui.available_width();
    let most = ((wide / LEAST.x).floor() as usize).clamp(1, 4);
    let rows = members.len().div_ceil(most).max(1);
    // As even as it goes: six are three and three, not four and two.
    let columns = members.len().div_ceil(rows).max(1);
    let high = (ui.available_height() - 40.0) / rows as f32;
    let size = vec2(wide / columns as f32, high.clamp(LEAST.y, 1.6 * LEAST.y));
    let (room, _) = ui.allocate_exact_size(vec2(wide, rows as f32 * size.y), Sense::hover());
    let chosen = cx.cylinder().map(|cylinder| cylinder.serial.trim().to_owned());
    for (index, (plate, member)) in view.plates.iter_mut().zip(members).enumerate() {
        let corner = vec2((index % columns) as f32 * size.x, (index / columns) as f32 * size.y);
        let area = Rect::from_min_size(room.min + corner, size).shrink(3.0);
        let paper = Paper { text: 13.0, titled: true, brief: true, ..Paper::default() };
        let id = Id::unique(("life multiple", index));
        let latest = member.trend.points.last();
        let window = latest.and_then(|_| windows.next());
        let Some((response, sheet)) = plate.ui(ui, cx, id, area, paper, window) else { continue };
        if let (Some(window), Some(latest)) = (window, latest) {
            let mm = latest.reading.mm();
            if !(window.y[0]..=window.y[1]).contains(&mm) {
                let words = format!("off the scale: {}", amount(mm, member.trend.style, 0));
                let [[left, top], [right, _]] = sheet.frame;
                let at = area.min + vec2((0.5 * (left + right)) as f32, top as f32 + 14.0);
                let (font, colour) = (crate::theme::bold(13.0), cx.palette.beyond);
                let galley = ui.painter().layout_no_wrap(words, font, colour);
                let ground = Rect::from_center_size(at, galley.size() + vec2(8.0, 2.0));
                ui.painter().rect_filled(ground, 2.0, cx.palette.paper);
                ui.painter().galley(ground.min + vec2(4.0, 1.0), galley, colour);
            }
        }
        let entered = response.has_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if response.clicked() || entered {
            choose(cx, &member.trend.serial);
        }
        if chosen.as_deref() == Some(&member.trend.serial) {
            let stroke = egui::Stroke::new(2.5, cx.palette.attention);
            ui.painter().rect_stroke(area, 2.0, stroke, egui::StrokeKind::Inside);
        }
    }
}
