//! One cylinder over time: the plot with its handle, and what it comes to in words.

use eframe::egui::{
    self, CursorIcon, Id, Key, Modifiers, Pos2, Rect, RichText, ScrollArea, Sense, Shape, Stroke, Ui,
    WidgetInfo, vec2,
};

use super::plate::Plate;
use super::{LifeView, Subject, heading, planned_ui, reported_ui};
use crate::cx::ViewCx;
use crate::theme::{TEXT, plain};
use drawings::layout::{DrawingSheet, Paper};
use drawings::over_time::{OverTime, over_time};
use history::figure::Figure;
use history::follow::{Began, History};
use history::trend::{CLOSING, Time, Trend, trend};
use quantities::length::Unit;

/// From this width in points on, the words stand beside the plot.
const WIDE: f32 = 900.0;

/// What the page was made from.
#[derive(Clone, Debug, PartialEq)]
struct Source {
    number: u64,
    serial: String,
    figure: Figure,
    time: Time,
    unit: Option<Unit>,
}

/// The trends of the chosen cylinder.
#[derive(Debug)]
struct Trends {
    source: Source,
    /// Its latest life.
    latest: Trend,
    /// Earlier ones, and how far their time lies from it.
    earlier: Vec<(Trend, f64)>,
    /// Earlier ones that have no place on this axis.
    unplaced: usize,
    sentences: Vec<String>,
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct CylinderPage {
    trends: Option<Trends>,
    plate: Plate<(Source, bool, f64)>,
    /// Earlier lives are drawn too.
    earlier: bool,
    /// So far ahead the plot shows; it stays while the handle is held.
    ahead: f64,
}

impl Trends {
    fn of(source: Source, history: &History, subject: &Subject<'_>, cx: &ViewCx<'_>) -> Option<Self> {
        let time = source.time;
        let life = history.lives.last()?;
        let follow = |life| {
            let mut trend = trend(history, life, &source.figure, time);
            trend.restyle(cx.prefs.shown(trend.written));
            trend
        };
        // As its engine has it, where it is on the engine's latest survey: one advice in every place.
        let stand = subject.across.stand(&source.figure, time);
        let member = stand.and_then(|stand| stand.members.iter().find(|member| member.is(history)));
        let latest = member.map_or_else(|| follow(life), |member| member.trend.clone());
        let first_day = |life| history.of(life).first().map(|sighting| sighting.sheet.date);
        let began = first_day(life);
        let mut earlier = Vec::new();
        let mut unplaced = 0;
        // By hours each ended where the next began, if that is known.
        let mut shift = life.from_new.then_some(0.0);
        for life in history.lives.iter().rev().skip(1) {
            let at = match time {
                Time::Years => began
                    .zip(first_day(life))
                    .map(|(began, first)| f64::from((first - began).get_days()) / 365.25),
                Time::Hours => {
                    let end = life.hours.last().copied().flatten();
                    let at = shift.zip(end).map(|(shift, end)| shift - end);
                    shift = at.filter(|_| life.from_new);
                    at
                }
            };
            match at {
                Some(at) => earlier.push((follow(life), at)),
                None => unplaced += 1,
            }
        }
        let sentences = latest.sentences();
        Some(Self { source, latest, earlier, unplaced, sentences })
    }
}

/// Draws the page.
pub(super) fn cylinder_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut LifeView,
    subject: &Subject<'_>,
    history: &History,
) {
    let source = Source {
        number: subject.number,
        serial: history.serial.clone(),
        figure: subject.figure.clone(),
        time: subject.time,
        unit: cx.prefs.unit,
    };
    if view.cylinder.trends.as_ref().is_none_or(|trends| trends.source != source) {
        view.cylinder.trends = Trends::of(source, history, subject, cx);
    }
    // Lent for the frame, so that the rest of the view can be changed meanwhile.
    let Some(trends) = view.cylinder.trends.take() else { return };
    let room = ui.available_size();
    if room.x >= WIDE {
        let words = 390.0;
        egui::Panel::right("life words")
            .frame(egui::Frame::new().inner_margin(egui::Margin { left: 12, ..egui::Margin::ZERO }))
            .default_size(words)
            .size_range(300.0..=560.0)
            .show(ui, |ui| {
                ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                    words_ui(ui, cx, view, subject, history, &trends);
                });
            });
        let height = ui.available_height() - 8.0;
        plot_ui(ui, cx, view, subject, &trends, height);
    } else {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            plot_ui(ui, cx, view, subject, &trends, (0.80 * room.y).max(400.0));
            words_ui(ui, cx, view, subject, history, &trends);
        });
    }
    view.cylinder.trends = Some(trends);
}

fn who(cx: &ViewCx<'_>, history: &str) -> String {
    cx.cylinder().map_or_else(|| history.to_owned(), |c| format!("{}, {history}", c.position))
}

fn plot_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut LifeView,
    subject: &Subject<'_>,
    trends: &Trends,
    height: f32,
) {
    let top = ui.cursor().top();
    ui.horizontal_wrapped(|ui| {
        planned_ui(ui, cx, view, subject.planned);
        if !trends.earlier.is_empty() {
            ui.checkbox(&mut view.cylinder.earlier, "Earlier lives");
        }
    });
    let outlook = trends.latest.outlook_words(subject.planned);
    ui.label(outlook);
    if let Some(read) = view.cylinder.plate.read_out() {
        ui.label(RichText::new(read).color(cx.palette.faint_ink));
    }
    let height = (height - (ui.cursor().top() - top)).max(240.0);
    let (area, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let handle = Id::unique("life handle");
    let page = &mut view.cylinder;
    if !ui.ctx().is_being_dragged(handle) {
        page.ahead = subject.planned;
    }
    let (earlier, ahead) = (page.earlier, page.ahead);
    let who = who(cx, &trends.source.serial);
    page.plate.drawing((trends.source.clone(), earlier, ahead), || {
        over_time(OverTime {
            who: &format!("cylinder {who}"),
            trend: &trends.latest,
            earlier: if earlier { &trends.earlier } else { &[] },
            style: trends.latest.style,
            ahead,
        })
    });
    let paper = Paper { text: f64::from(TEXT) - 1.0, titled: true, ..Paper::default() };
    let Some((_, sheet)) = page.plate.ui(ui, cx, Id::unique("life plot"), area, paper, None) else { return };
    if trends.latest.points.is_empty() {
        return;
    }
    if let Some(planned) = handle_ui(ui, cx, handle, area, sheet, &trends.latest, subject.planned) {
        view.plan(planned);
    }
}

/// The handle on the plot: an upright chain line with a grip; what it was moved to.
fn handle_ui(
    ui: &Ui,
    cx: &ViewCx<'_>,
    id: Id,
    area: Rect,
    sheet: &DrawingSheet,
    trend: &Trend,
    planned: f64,
) -> Option<f64> {
    let latest = trend.points.last()?;
    let x = latest.x + planned;
    let [[left, top], [right, bottom]] = sheet.frame;
    let at = sheet.place([x, 0.0])[0].clamp(left, right);
    let on_screen = |x: f64, y: f64| -> Pos2 { area.min + vec2(x as f32, y as f32) };
    let (up, down) = (on_screen(at, top), on_screen(at, bottom));
    let grip = Rect::from_center_size(up + vec2(0.0, 14.0), vec2(28.0, 28.0));
    let line = Rect::from_min_max(up - vec2(5.0, 0.0), down + vec2(5.0, 0.0));
    let response = ui.interact(line.union(grip), id, Sense::click_and_drag());
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    let lively = response.hovered() || response.dragged() || response.has_focus();
    let stroke = Stroke::new(if lively { 2.5 } else { 1.5 }, cx.palette.attention);
    ui.painter().extend(Shape::dashed_line_with_offset(&[up, down], stroke, &[14.0, 2.0], &[3.0, 3.0], 0.0));
    // The grip: two arrow heads, as on a dimension line that can be moved.
    for side in [-1.0, 1.0] {
        let tip = grip.center() + vec2(13.0 * side, 0.0);
        let foot = grip.center() + vec2(3.0 * side, 0.0);
        ui.painter().add(Shape::convex_polygon(
            vec![tip, foot + vec2(0.0, 7.0), foot - vec2(0.0, 7.0)],
            cx.palette.attention,
            Stroke::NONE,
        ));
    }
    if response.has_focus() {
        ui.painter().rect_stroke(grip, 2.0, Stroke::new(2.5, cx.palette.as_made), egui::StrokeKind::Outside);
    }
    let words = format!("overhauled after {}", trend.time.text(planned));
    let galley = ui.painter().layout_no_wrap(words, plain(TEXT - 1.0), cx.palette.ink);
    let beside = if at > right - 200.0 { -8.0 - galley.size().x } else { 8.0 };
    // At the foot of the line: at its head the limit has its words.
    let corner = down + vec2(beside, -8.0 - galley.size().y);
    let ground = Rect::from_min_size(corner, galley.size()).expand2(vec2(3.0, 0.0));
    ui.painter().rect_filled(ground, 2.0, cx.palette.paper.gamma_multiply(0.85));
    ui.painter().galley(corner, galley, cx.palette.ink);
    response.widget_info(|| {
        WidgetInfo::slider(
            true,
            planned,
            format!("Overhauled after a further, {}, on the plot", trend.time.symbol()),
        )
    });
    if response.hovered() || response.dragged() {
        ui.set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
    let (fine, coarse) = match trend.time {
        Time::Hours => (10.0, 100.0),
        Time::Years => (0.1, 1.0),
    };
    let rounded = |value: f64| ((value / fine).round() * fine).clamp(0.0, trend.time.far());
    if response.dragged()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let x = f64::from(pos.x - area.min.x).clamp(left, right);
        let moved = rounded(sheet.data([x, top])[0] - latest.x);
        return (moved != planned).then_some(moved);
    }
    if !response.has_focus() {
        return None;
    }
    ui.memory_mut(|memory| {
        let filter =
            egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, ..Default::default() };
        memory.set_focus_lock_filter(id, filter);
    });
    let pressed = |modifiers, key| ui.input_mut(|input| input.consume_key(modifiers, key));
    // The one with a modifier first: the plain one takes both.
    for (key, sign) in [(Key::ArrowRight, 1.0), (Key::ArrowLeft, -1.0)] {
        if pressed(Modifiers::SHIFT, key) {
            return Some(rounded(planned + sign * coarse));
        }
        if pressed(Modifiers::NONE, key) {
            return Some(rounded(planned + sign * fine));
        }
    }
    None
}

fn words_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut LifeView,
    subject: &Subject<'_>,
    history: &History,
    trends: &Trends,
) {
    let trend = &trends.latest;
    heading(ui, &format!("{}: {}", history.name(), subject.figure.words()));
    for sentence in &trends.sentences {
        ui.label(sentence);
    }
    let stand = subject.across.stand(&subject.figure, subject.time);
    let member = stand.and_then(|s| s.members.iter().find(|m| m.is(history)));
    if !trend.said.is_empty() || !history.said.is_empty() {
        heading(ui, "Notes");
        for said in history.said.iter().chain(&trend.said) {
            ui.label(RichText::new(format!("\u{2022} {said}")));
        }
    }
    if trends.unplaced > 0 && view.cylinder.earlier {
        ui.label("An earlier life has no place on the axis of hours, because its hours are not known; by calendar time it has.");
    }
    heading(ui, "Where it was");
    for place in history.places() {
        ui.label(place);
    }
    for (life, number) in history.lives.iter().zip(1_usize..) {
        if let Began::Cut(how) = &life.began {
            let first = history.of(life).first().map(|sighting| sighting.sheet.date.to_string());
            ui.label(format!("Life {number} began before {}: {how}.", first.unwrap_or_default()));
        }
    }
    if stand.is_some() && member.is_none() {
        ui.label("It is not on the engine's latest survey, so it is not among those side by side.");
    }
    reported_ui(ui, cx, subject.across);
    ui.label(RichText::new(CLOSING).color(cx.palette.faint_ink));
}
