//! The gauge in the bore: it is set on its ring or not, put in, rocked and centred; its dial is read and the
//! reading typed into the practice sheet.

use eframe::egui::{
    self, Button, ComboBox, EventFilter, Grid, Key, Modifiers, Panel, Rect, Response, RichText, Role,
    ScrollArea, Sense, Ui, WidgetInfo, vec2,
};

use super::practice::{MOST_ROCK, Practice, ROCK_STEP};
use super::shapes::depth_step;
use super::{Course, LessonCx, LessonPart, LessonView, faint, group, instrument, knob, length_knob, words};
use crate::open_document::OpenDocument;
use crate::plot;
use crate::theme::{self, HEADING, TEXT};
use classroom::exercise::Exercise;
use classroom::gauge::{Instrument, PracticeGauge};
use classroom::shape::Shape;
use quantities::length::{Length, Style};
use records::bore::Point;
use records::record::schema::PlusMeans;
use records::survey::{axis_words, point_words, station_words};
use records::wording::capitalised;
use work::session::Session;

/// The name of the field that a reading is typed in.
const READING: &str = "Deviation from the ring";

/// Which gauge is in the hand, for a bore of one's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Choice {
    instrument: Instrument,
    /// Usual graduations in one of this gauge.
    coarse: i64,
    /// Its scatter, in tenths of its graduation.
    scatter: i64,
    plus_means: PlusMeans,
}

impl Default for Choice {
    fn default() -> Self {
        Self { instrument: Instrument::BoreGauge, coarse: 1, scatter: 4, plus_means: PlusMeans::Larger }
    }
}

impl Choice {
    fn gauge(self, course: &Course) -> PracticeGauge {
        let usual = PracticeGauge::usual(self.instrument, course.limits.unit);
        let graduation = usual.graduation * self.coarse;
        let turn = match self.instrument {
            Instrument::BoreGauge => usual.turn * self.coarse,
            Instrument::InsideMicrometer => usual.turn,
        };
        let scatter = Length::from_tenths_of_nm(graduation.tenths_of_nm() * self.scatter / 10);
        PracticeGauge { graduation, turn, scatter, plus_means: self.plus_means, ..usual }
    }
}

/// What the page keeps for itself.
#[derive(Debug, Default)]
pub(super) struct GaugeView {
    /// The bore of the exercise is measured; otherwise one's own.
    pub(super) is_of_exercise: bool,
    /// One's own bore under the gauge.
    pub(super) practice: Option<Practice>,
    choice: Choice,
    /// What the practice is of.
    of: Option<(Shape, Choice)>,
    /// How the gauge truly stands is said in numbers.
    pub(super) is_reported: bool,
}

impl GaugeView {
    /// Works out what is stale.
    pub(super) fn settle(&mut self, course: &Course, shape: Option<Shape>) -> bool {
        let Some(shape) = shape else { return false };
        let mut changed = false;
        if self.of != Some((shape, self.choice)) {
            self.of = Some((shape, self.choice));
            let gauge = self.choice.gauge(course);
            let ring = course.limits.sizes.first().map_or(shape.size, |row| row.new.0.length);
            let exercise = Exercise::of_shape(shape, gauge, ring, course.table.clone());
            self.practice = exercise.ok().map(|exercise| {
                let session = Session::new(exercise.record.clone());
                Practice::begin(exercise, OpenDocument::unsaved(session, None))
            });
            changed = true;
        }
        changed | self.practice.as_mut().is_some_and(Practice::settle)
    }
}

/// Draws the part.
pub(super) fn gauge_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut LessonView) {
    let LessonView { gauge, exercises, part, .. } = view;
    let has_exercise = exercises.practice.is_some();
    if !has_exercise {
        gauge.is_of_exercise = false;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label("In the bore of");
        if ui.selectable_label(!gauge.is_of_exercise, "the Shapes").clicked() {
            gauge.is_of_exercise = false;
        }
        let button = ui
            .add_enabled(has_exercise, Button::selectable(gauge.is_of_exercise, "the exercise, cylinder 1"));
        if button.clicked() {
            gauge.is_of_exercise = true;
        }
        if !has_exercise && ui.button("Draw an exercise first").clicked() {
            *part = LessonPart::Exercises;
        }
        if gauge.is_of_exercise && ui.button("Back to the exercise").clicked() {
            *part = LessonPart::Exercises;
        }
    });
    let is_of_exercise = gauge.is_of_exercise;
    let GaugeView { choice, is_reported, practice, .. } = gauge;
    let practice = if is_of_exercise { exercises.practice.as_mut() } else { practice.as_mut() };
    let Some(practice) = practice else { return };
    let own = (!is_of_exercise).then_some((choice, is_reported));
    page_ui(ui, cx, practice, own);
}

fn page_ui(
    ui: &mut Ui,
    cx: &mut LessonCx<'_>,
    practice: &mut Practice,
    mut own: Option<(&mut Choice, &mut bool)>,
) {
    let wide = ui.available_width() > 1100.0;
    Panel::left("gauge in hand")
        .frame(egui::Frame::new().inner_margin(egui::Margin { right: 8, ..egui::Margin::ZERO }))
        .default_size(if wide { 430.0 } else { 350.0 })
        .size_range(320.0..=560.0)
        .show(ui, |ui| {
            ScrollArea::vertical().id_salt("gauge in hand").auto_shrink(false).show(ui, |ui| {
                if let Some((choice, _)) = &mut own {
                    choice_ui(ui, choice, practice);
                }
                setting_ui(ui, cx, practice);
                let is_reported = own.as_mut().map(|(_, reported)| &mut **reported);
                standing_ui(ui, cx, practice, is_reported);
            });
        });
    egui::CentralPanel::default()
        .frame(egui::Frame::new().inner_margin(egui::Margin { left: 8, ..egui::Margin::ZERO }))
        .show(ui, |ui| {
            ScrollArea::vertical().id_salt("dial and sheet").auto_shrink(false).show(ui, |ui| {
                pictures_ui(ui, cx, practice);
                reading_ui(ui, cx, practice);
                sheet_ui(ui, cx, practice);
                marks_ui(ui, cx, practice, own.is_some());
            });
        });
}

/// The gauge for a bore of one's own.
fn choice_ui(ui: &mut Ui, choice: &mut Choice, practice: &Practice) {
    group(ui, "The gauge");
    let before = *choice;
    let unit = practice.exercise.limits.unit;
    Grid::new("gauge").num_columns(2).show(ui, |ui| {
        let label = ui.label("Instrument");
        let combo = ComboBox::from_id_salt("instrument")
            .width(190.0)
            .selected_text(choice.instrument.words())
            .show_ui(ui, |ui| {
                for other in [Instrument::BoreGauge, Instrument::InsideMicrometer] {
                    ui.selectable_value(&mut choice.instrument, other, other.words());
                }
            });
        combo.response.labelled_by(label.id);
        ui.end_row();
        let line = Style::usual(unit).last_digit();
        if choice.instrument == Instrument::BoreGauge {
            let each = |coarse: i64| (line * coarse).text(Style::usual(unit));
            let label = ui.label("One graduation");
            let combo = ComboBox::from_id_salt("graduation")
                .width(190.0)
                .selected_text(each(choice.coarse))
                .show_ui(ui, |ui| {
                    for coarse in [1, 5, 10] {
                        ui.selectable_value(&mut choice.coarse, coarse, each(coarse));
                    }
                });
            combo.response.labelled_by(label.id);
            ui.end_row();
            let label = ui.label("Plus on its dial");
            let say = |plus| if plus == PlusMeans::Larger { "is a larger bore" } else { "is a smaller bore" };
            let combo = ComboBox::from_id_salt("plus")
                .width(190.0)
                .selected_text(say(choice.plus_means))
                .show_ui(ui, |ui| {
                    for plus in [PlusMeans::Larger, PlusMeans::Smaller] {
                        ui.selectable_value(&mut choice.plus_means, plus, say(plus));
                    }
                });
            combo.response.labelled_by(label.id);
            ui.end_row();
        } else {
            choice.coarse = 1;
            choice.plus_means = PlusMeans::Larger;
        }
        let say = |scatter| match scatter {
            0 => "none",
            1..=4 => "as usual",
            _ => "large",
        };
        let label = ui.label("Its scatter");
        let combo = ComboBox::from_id_salt("scatter")
            .width(190.0)
            .selected_text(say(choice.scatter))
            .show_ui(ui, |ui| {
                for scatter in [0, 4, 12] {
                    ui.selectable_value(&mut choice.scatter, scatter, say(scatter));
                }
            });
        combo.response.labelled_by(label.id);
        ui.end_row();
    });
    if before != *choice {
        ui.label("Another gauge begins a new sheet.");
    }
}

fn setting_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &mut Practice) {
    if practice.exercise.gauge.instrument != Instrument::BoreGauge {
        return;
    }
    group(ui, "The setting ring");
    let ring = practice.exercise.ring.text(practice.exercise.gauge.style());
    let done = practice.hand.set.is_some();
    ui.horizontal_wrapped(|ui| {
        let words = if done { "Set it on the ring again" } else { "Set it on the ring" };
        if ui.button(words).clicked() {
            practice.set_on_ring();
        }
        let text = if done { format!("Set on the ring of {ring}.") } else { format!("Ring of {ring}.") };
        ui.label(RichText::new(text).color(cx.palette.faint_ink));
    });
}

/// Where the gauge stands, by knobs with steps.
fn standing_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &mut Practice, is_reported: Option<&mut bool>) {
    let unit = practice.exercise.limits.unit;
    let Some(length) = practice.shape().map(|shape| shape.frame.length) else { return };
    group(ui, &format!("Where it stands, {unit} and degrees"));
    ui.spacing_mut().slider_width = (ui.available_width() - 250.0).clamp(60.0, 240.0);
    let (step, most) = (practice.aside_step(), practice.most_aside());
    Grid::new("standing").num_columns(2).min_col_width(104.0).show(ui, |ui| {
        let mut depth = practice.hand.depth;
        if length_knob(ui, "Depth", &mut depth, (Length::ZERO, length), depth_step(unit), unit) {
            practice.hand.depth = depth;
            practice.moved_along();
        }
        ui.end_row();
        let mut degrees = practice.hand.degrees;
        if knob(ui, "Direction", &mut degrees, (0.0, 175.0), 5.0, 0) {
            practice.hand.degrees = degrees;
            practice.put_in();
        }
        ui.end_row();
        knob(ui, "Rock", &mut practice.hand.rock, (-MOST_ROCK, MOST_ROCK), ROCK_STEP, 1);
        ui.end_row();
        length_knob(ui, "Move across", &mut practice.hand.aside, (-most, most), step, unit);
        ui.end_row();
    });
    ui.horizontal_wrapped(|ui| {
        if ui.button("Insert the gauge again").clicked() {
            practice.put_in();
        }
    });
    faint(
        ui,
        &cx.palette,
        "Rock it along the bore for the smallest reading, then move it across for the largest. Arrow keys turn a \
         knob that has the focus; the pictures can be dragged.",
    );
    if let Some(is_reported) = is_reported {
        ui.checkbox(is_reported, "Say how it truly stands");
        if *is_reported {
            let placing = practice.placing();
            let off = placing.off_centre.abs().text(practice.exercise.gauge.style());
            words(ui, format!("Tilted {:.1} degrees, {off} off the centre.", placing.tilt_degrees.abs()));
            if ui.button("Make it square and central").clicked() {
                practice.square_up();
            }
        }
    }
}

// ---- the pictures

fn pictures_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &mut Practice) {
    let Some(shown) = practice.shown() else { return };
    let Some(shape) = practice.shape().copied() else { return };
    let room = ui.available_width();
    let gauge = practice.exercise.gauge;
    // A vernier needs its height to be read.
    let least = if gauge.instrument == Instrument::BoreGauge { 260.0 } else { 340.0 };
    let high = (ui.available_height() - 190.0).clamp(least, 420.0);
    let dial = high.min(room * 0.46);
    let rest = (room - dial - 16.0).max(240.0);
    let (side, across) = (0.42 * rest, 0.58 * rest);
    let origin = ui.cursor().min;
    let area = Rect::from_min_size(origin, vec2(dial, high));
    let response = ui.interact(area, egui::Id::unique("practice dial"), Sense::focusable_noninteractive());
    response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, instrument::name(shown.face)));
    instrument::paint(ui.painter(), area, shown.face, &gauge, &cx.palette);

    let placing = practice.placing();
    let limits = std::sync::Arc::clone(&practice.exercise.limits);
    let area = Rect::from_min_size(origin + vec2(dial + 8.0, 0.0), vec2(side, high));
    let response = picture(ui, area, "side");
    let said = "From the side. Up and down arrows move it along, left and right rock it; or drag";
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, said));
    instrument::from_the_side(ui.painter(), area, &shape, &limits, placing, &cx.palette);
    plot::outline(ui, &response, area, &cx.palette);
    drag_side(ui, practice, &response, area, shape.frame.length);
    caption(ui, cx, area, &format!("tilt drawn {} times larger", instrument::TILT_DRAWN));

    let area = Rect::from_min_size(origin + vec2(dial + side + 16.0, 0.0), vec2(across, high));
    let response = picture(ui, area, "plan");
    let said = "From the head end. Left and right arrows turn it, up and down move it across; or drag";
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, said));
    instrument::from_above(ui.painter(), area, &shape, &limits, placing, &cx.palette);
    plot::outline(ui, &response, area, &cx.palette);
    drag_plan(ui, practice, &response, area);
    caption(ui, cx, area, &format!("offset drawn {} times larger", instrument::OFFSET_DRAWN));
    let all = Rect::from_min_size(origin, vec2(room, high));
    ui.allocate_rect(all, Sense::hover());
    ui.add_space(4.0);
}

fn picture(ui: &Ui, area: Rect, name: &str) -> Response {
    let response = ui.interact(area, egui::Id::unique(("gauge picture", name)), Sense::click_and_drag());
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if response.has_focus() {
        ui.memory_mut(|memory| {
            memory.set_focus_lock_filter(
                response.id,
                EventFilter { horizontal_arrows: true, vertical_arrows: true, tab: false, escape: false },
            );
        });
    }
    response
}

fn caption(ui: &Ui, cx: &LessonCx<'_>, area: Rect, text: &str) {
    let at = area.left_bottom() + vec2(6.0, -4.0);
    let font = theme::plain(13.0);
    let galley = ui.painter().layout(text.to_owned(), font, cx.palette.faint_ink, area.width() - 12.0);
    ui.painter().galley(at - vec2(0.0, galley.size().y), galley, cx.palette.faint_ink);
}

fn arrows(ui: &Ui, response: &Response) -> (i64, i64) {
    if !response.has_focus() {
        return (0, 0);
    }
    let pressed = |key| i64::from(ui.input_mut(|input| input.consume_key(Modifiers::NONE, key)));
    let right = pressed(Key::ArrowRight) - pressed(Key::ArrowLeft);
    let down = pressed(Key::ArrowDown) - pressed(Key::ArrowUp);
    (right, down)
}

fn rocked(rock: f64, by: f64) -> f64 {
    let rock = ((rock + by) / ROCK_STEP).round() * ROCK_STEP;
    rock.clamp(-MOST_ROCK, MOST_ROCK)
}

/// Nearest whole steps of a length, within bounds.
fn in_steps(mm: f64, step: Length, (least, most): (Length, Length)) -> Length {
    let steps = (mm / step.to_mm().max(1e-9)).round() as i64;
    (step * steps).clamp(least, most)
}

fn drag_side(ui: &Ui, practice: &mut Practice, response: &Response, area: Rect, length: Length) {
    let step = depth_step(practice.exercise.limits.unit);
    let (right, down) = arrows(ui, response);
    practice.hand.rock = rocked(practice.hand.rock, right as f64 * ROCK_STEP);
    let mut depth = (practice.hand.depth + step * down).clamp(Length::ZERO, length);
    if response.dragged()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let barrel = instrument::barrel(area);
        let part = f64::from((pos.y - barrel.top()) / barrel.height());
        let dragged = in_steps(part * length.to_mm(), step, (Length::ZERO, length));
        // A hand that rocks it does not also push it: the depth follows once it is clearly moved.
        if (dragged - practice.hand.depth).abs() > step * 3 {
            depth = dragged;
        }
        let across = f64::from(response.drag_delta().x / barrel.width());
        practice.hand.rock = (practice.hand.rock + across * 8.0).clamp(-MOST_ROCK, MOST_ROCK);
    }
    if response.drag_stopped() {
        practice.hand.rock = rocked(practice.hand.rock, 0.0);
    }
    if depth != practice.hand.depth {
        practice.hand.depth = depth;
        practice.moved_along();
    }
}

fn drag_plan(ui: &Ui, practice: &mut Practice, response: &Response, area: Rect) {
    let (step, most) = (practice.aside_step(), practice.most_aside());
    let (right, down) = arrows(ui, response);
    practice.hand.aside = (practice.hand.aside - step * down).clamp(-most, most);
    let mut degrees = (practice.hand.degrees + 5.0 * right as f64).rem_euclid(180.0);
    if response.dragged()
        && let Some(pos) = response.interact_pointer_pos()
    {
        let (middle, radius) = instrument::plan(area);
        let from = pos - middle;
        if from.length() > 0.55 * radius {
            let angle = f64::from((-from.y).atan2(from.x)).to_degrees().rem_euclid(180.0);
            degrees = ((angle / 5.0).round() * 5.0).rem_euclid(180.0);
        } else {
            // Along the way across the gauge's own line.
            let angle = practice.hand.degrees.to_radians();
            let delta = response.drag_delta();
            let across = f64::from(delta.x) * angle.sin() + f64::from(delta.y) * angle.cos();
            let bore = practice.shape().map_or(0.0, |shape| shape.size.to_mm());
            let mm = across / (2.0 * f64::from(radius)) * bore / instrument::OFFSET_DRAWN;
            let moved = Length::from_mm(practice.hand.aside.to_mm() + mm).unwrap_or_default();
            practice.hand.aside = moved.clamp(-most, most);
        }
    }
    if response.drag_stopped() {
        practice.hand.aside = in_steps(practice.hand.aside.to_mm(), step, (-most, most));
    }
    if degrees != practice.hand.degrees {
        practice.hand.degrees = degrees;
        practice.put_in();
    }
}

// ---- the sheet

fn reading_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &mut Practice) {
    let place = point_words(&practice.exercise.limits, practice.cell);
    if practice.marks.is_some() {
        faint(ui, &cx.palette, "It has been handed in; nothing more is filled in.");
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new(capitalised(&place)).font(theme::bold(HEADING)));
        ui.checkbox(&mut practice.goes_along, "Gauge moves to the chosen cell");
        if !practice.goes_along && ui.button("Bring the gauge there").clicked() {
            practice.go_to_cell();
        }
    });
    ui.horizontal(|ui| {
        ui.set_min_height(44.0);
        let label = ui.label(RichText::new(READING).font(theme::bold(TEXT)));
        let line = egui::TextEdit::singleline(&mut practice.draft)
            .id(egui::Id::unique("practice reading"))
            .font(theme::plain(28.0))
            .desired_width(190.0);
        let line = ui.add(line).labelled_by(label.id);
        let enter = crate::dialogs::entered(ui, &line);
        if ui.button("Write it down").clicked() || enter {
            practice.keep();
            line.request_focus();
        }
    });
    if let Some(wrong) = &practice.wrong {
        let text = RichText::new(capitalised(wrong)).color(cx.palette.beyond);
        ui.add(egui::Label::new(text).wrap());
    }
}

fn sheet_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &mut Practice) {
    let limits = std::sync::Arc::clone(&practice.exercise.limits);
    let mut chosen = None;
    ScrollArea::horizontal().id_salt("practice sheet").show(ui, |ui| {
        Grid::new("practice sheet").spacing([8.0, 4.0]).show(ui, |ui| {
            ui.label("");
            for axis in &limits.axes {
                ui.label(RichText::new(axis_words(&axis.label)).color(cx.palette.faint_ink));
            }
            ui.end_row();
            for station in 0..limits.stations.len() {
                ui.label(capitalised(&station_words(&limits, station)));
                for (axis, of) in limits.axes.iter().enumerate() {
                    let at = Point::new(station, axis);
                    if cell_ui(ui, cx, practice, at, of.optional) {
                        chosen = Some(at);
                    }
                }
                ui.end_row();
            }
        });
    });
    if let Some(at) = chosen {
        practice.choose(at);
    }
    ui.horizontal_wrapped(|ui| {
        let any = practice.marks.is_none() && !practice.written(practice.cell).is_empty();
        if ui.add_enabled(any, Button::new("Empty the chosen cell")).clicked() {
            practice.empty_cell();
        }
        faint(ui, &cx.palette, "A reading typed into a filled cell is kept as a repeat.");
    });
}

fn cell_ui(ui: &mut Ui, cx: &LessonCx<'_>, practice: &Practice, at: Point, optional: bool) -> bool {
    let written = practice.written(at).join("  ");
    let here = practice.cell == at;
    let shown = match (written.is_empty(), optional) {
        (false, _) => written.clone(),
        (true, true) => "optional".to_owned(),
        (true, false) => "\u{2013}".to_owned(),
    };
    let colour = if written.is_empty() { cx.palette.faint_ink } else { cx.palette.ink };
    let button = Button::selectable(here, RichText::new(shown).color(colour)).min_size(vec2(92.0, 30.0));
    let response = ui.add(button);
    let limits = &practice.exercise.limits;
    response.widget_info(|| {
        let filled = if written.is_empty() { "empty".to_owned() } else { written.clone() };
        let name = format!("{}: {filled}", capitalised(&point_words(limits, at)));
        WidgetInfo::selected(Role::Button, true, here, name)
    });
    response.clicked()
}

/// One's own bore is marked at once, as often as one likes.
fn marks_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, practice: &mut Practice, own: bool) {
    if !own {
        return;
    }
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        if practice.marks.is_none() {
            if ui.button("Check my readings").clicked() {
                let reported = practice.hand_in();
                super::tell(cx.actions, reported);
            }
        } else if ui.button("Go on measuring").clicked() {
            practice.marks = None;
        }
    });
    for mark in practice.marks.iter().flatten() {
        let head = format!("{} of {} right", mark.points, mark.out_of);
        ui.label(RichText::new(head).font(theme::bold(TEXT)));
        for said in &mark.words {
            words(ui, said);
        }
    }
}
