//! Shapes: the knobs of the invented bore on the left, and on the right what becomes of it: the outcome, the
//! rows of the table, what other rules would say, and every drawing.

use eframe::egui::{self, ComboBox, Grid, Panel, Rect, RichText, ScrollArea, Sense, Ui, vec2};

use super::drawings::{Drawings, Picture, chosen};
use super::{Course, LessonCx, LessonPart, LessonView, faint, group, knob, length_knob, side_by_side, words};
use crate::symbols;
use crate::theme::{self, TEXT};
use crate::views::outcome::{alternatives_ui, rows_ui};
use classroom::demonstration::Demonstration;
use classroom::shape::{Example, Frame, Shape, examples};
use drawings::{Options, Oversizes};
use judging::shown::figure_style;
use quantities::length::{Length, Style, Unit};
use records::limits::Limits;
use records::survey::station_words;
use records::wording::capitalised;

/// Text of a drawing among several, in points.
const SMALL_TEXT: f64 = 13.0;
/// The least width of a drawing among several, in points.
const LEAST_WIDTH: f32 = 310.0;
/// The height of a drawing among several, in points.
const HEIGHT: f32 = 290.0;

/// The bore, whether it was read on every axis, and what is said of it.
pub(super) type Shown = (Shape, bool, Demonstration);

/// What the Shapes keep for themselves.
#[derive(Debug, Default)]
pub(super) struct ShapesView {
    /// The window shows one drawing and nothing else.
    pub(super) is_projected: bool,
    /// The drawing that fills the place; none: all.
    pub(super) filling: Option<Picture>,
    /// The station that is drawn across.
    pub(super) station: usize,
    /// Read on every axis of the table.
    pub(super) all_axes: bool,
    /// The example it started from; changed since, or none.
    pub(super) example: Option<usize>,
    shape: Option<Shape>,
    examples: Vec<Example>,
    course: Option<String>,
    shown: Option<Shown>,
    pub(super) drawings: Drawings,
}

impl ShapesView {
    /// The bore, once there is one.
    pub(super) fn shape(&self) -> Option<Shape> {
        self.shape
    }

    /// Takes what is said of the bore out, to draw it while the rest of the view changes.
    pub(super) fn take_shown(&mut self) -> Option<Shown> {
        self.shown.take()
    }

    /// Puts it back.
    pub(super) fn put_shown(&mut self, shown: Shown) {
        self.shown = Some(shown);
    }

    /// The examples.
    pub(super) fn examples(&self) -> &[Example] {
        &self.examples
    }

    /// Starts from an example.
    pub(super) fn start(&mut self, index: usize) {
        if let Some(example) = self.examples.get(index) {
            self.shape = Some(example.shape);
            self.example = Some(index);
        }
    }

    /// Starts from the example of a name.
    pub(super) fn start_named(&mut self, name: &str) {
        if let Some(index) = self.examples.iter().position(|example| example.name == name) {
            self.start(index);
        }
    }

    /// What the drawings are to show.
    pub(super) fn options(&self, cx: &LessonCx<'_>) -> Options {
        Options {
            unit: cx.prefs.unit,
            chosen: chosen(self.station),
            oversizes: Oversizes::Recommended,
            magnification: None,
        }
    }

    /// Works out what is stale.
    pub(super) fn settle(&mut self, course: &Course) -> bool {
        let name = course.words();
        if self.course.as_ref() != Some(&name) {
            self.examples = examples(&course.limits);
            self.course = Some(name);
            self.station = course.limits.bore_stations.first().copied().unwrap_or(0);
            self.shown = None;
            self.start(self.example.unwrap_or(0));
        }
        let Some(shape) = self.shape else { return false };
        if self.shown.as_ref().is_some_and(|(of, all, _)| *of == shape && *all == self.all_axes) {
            return false;
        }
        let shown = Demonstration::of(&shape, &course.limits, self.all_axes);
        self.shown = Some((shape, self.all_axes, shown));
        self.drawings.clear();
        true
    }
}

/// Draws the part.
pub(super) fn shapes_ui(ui: &mut Ui, cx: &mut LessonCx<'_>, view: &mut LessonView) {
    let Some(course) = view.courses.get(view.course).cloned() else { return };
    let wide = ui.available_width() > 1100.0;
    Panel::left("knobs")
        .frame(egui::Frame::new().inner_margin(egui::Margin { right: 8, ..egui::Margin::ZERO }))
        .default_size(if wide { 400.0 } else { 350.0 })
        .size_range(300.0..=520.0)
        .show(ui, |ui| {
            ScrollArea::vertical().id_salt("knobs").auto_shrink(false).show(ui, |ui| {
                knobs_ui(ui, cx, &mut view.shapes, &course.limits);
                ui.add_space(8.0);
                if ui.button("Measure this bore with the gauge").clicked() {
                    view.part = LessonPart::Gauge;
                    view.gauge.is_of_exercise = false;
                }
                ui.add_space(8.0);
            });
        });
    egui::CentralPanel::default()
        .frame(egui::Frame::new().inner_margin(egui::Margin { left: 8, ..egui::Margin::ZERO }))
        .show(ui, |ui| said_ui(ui, cx, &mut view.shapes));
}

fn knobs_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ShapesView, limits: &Limits) {
    let name = view.example.and_then(|index| view.examples.get(index)).map_or("my own", |e| e.name);
    ui.horizontal(|ui| {
        let label = ui.label("Start from");
        let combo = ComboBox::from_id_salt("example").width(230.0).selected_text(name).show_ui(ui, |ui| {
            let mut start = None;
            for (index, example) in view.examples.iter().enumerate() {
                if ui.selectable_label(view.example == Some(index), example.name).clicked() {
                    start = Some(index);
                }
            }
            start
        });
        combo.response.labelled_by(label.id);
        if let Some(index) = combo.inner.flatten() {
            view.start(index);
        }
    });
    match view.example.and_then(|index| view.examples.get(index)) {
        Some(example) => faint(ui, &cx.palette, example.look_for),
        None => faint(ui, &cx.palette, "Parts can be mixed; each knob shows what it does at once."),
    }
    let Some(mut shape) = view.shape else { return };
    // A rail as long as the panel leaves beside name and number.
    ui.spacing_mut().slider_width = (ui.available_width() - 250.0).clamp(60.0, 240.0);
    if shape_knobs_ui(ui, &mut shape, limits) {
        view.shape = Some(shape);
        view.example = None;
    }
}

/// Every part of a shape. Says whether any moved.
fn shape_knobs_ui(ui: &mut Ui, shape: &mut Shape, limits: &Limits) -> bool {
    let unit = limits.unit;
    let step = knob_step(limits);
    let most = step * 150;
    let Frame { length, .. } = shape.frame;
    let mut moved = false;
    let turns = |ui: &mut Ui, name: &str, degrees: &mut f64, most: f64| {
        let moved = knob(ui, name, degrees, (0.0, most), 5.0, 0);
        ui.end_row();
        moved
    };
    let amount = |ui: &mut Ui, name: &str, value: &mut Length, both_ways: bool| {
        let least = if both_ways { -most } else { Length::ZERO };
        let moved = length_knob(ui, name, value, (least, most), step, unit);
        ui.end_row();
        moved
    };
    let along_step = depth_step(unit);
    let along = |ui: &mut Ui, name: &str, value: &mut Length| {
        let moved = length_knob(ui, name, value, (Length::ZERO, length), along_step, unit);
        ui.end_row();
        moved
    };
    let mut section = |ui: &mut Ui, name: &str, body: &mut dyn FnMut(&mut Ui) -> bool| {
        group(ui, name);
        let grid = Grid::new(("knobs", name)).num_columns(2).min_col_width(136.0);
        moved |= grid.show(ui, |ui| body(ui)).inner;
    };
    let (least, greatest) = limits.sizes.first().map_or((shape.size, shape.size), |row| {
        let over = limits.sizes.get(1).map_or(row.new.1.length, |next| next.new.0.length);
        (row.new.0.length - step * 20, over)
    });
    section(ui, &format!("As it was made, {unit}"), &mut |ui| {
        let mut moved = length_knob(ui, "Size", &mut shape.size, (least, greatest), step, unit);
        ui.end_row();
        moved |= amount(ui, "Choke", &mut shape.choke.amount, false);
        if moved && shape.choke.ends_at <= shape.choke.full_to {
            (shape.choke.full_to, shape.choke.ends_at) = shape.frame.between;
        }
        moved
            | amount(ui, "Three lobes", &mut shape.lobes.amount, false)
            | turns(ui, "Lobe at, degrees", &mut shape.lobes.degrees, 120.0)
    });
    section(ui, &format!("Worn in ring travel, {unit}"), &mut |ui| {
        amount(ui, "Ridge, per side", &mut shape.ridge, false)
            | amount(ui, "Taper", &mut shape.taper, true)
            | amount(ui, "Belly or waist", &mut shape.bow, true)
            | amount(ui, "Oval", &mut shape.oval.amount, false)
            | turns(ui, "Oval at, degrees", &mut shape.oval.degrees, 180.0)
            | amount(ui, "On one side", &mut shape.one_sided.depth, false)
            | turns(ui, "Side at, degrees", &mut shape.one_sided.degrees, 360.0)
    });
    section(ui, &format!("Damage, {unit}"), &mut |ui| {
        let mut moved = amount(ui, "Score, depth", &mut shape.score.depth, false);
        if moved && shape.score.width == Length::ZERO {
            shape.score.width = along_step;
            shape.score.between = shape.frame.between;
        }
        moved |= turns(ui, "Score at, degrees", &mut shape.score.degrees, 360.0);
        let wide = along_step * 10;
        moved |= length_knob(
            ui,
            "Score, width",
            &mut shape.score.width,
            (Length::ZERO, wide),
            Style::usual(unit).last_digit() * 20,
            unit,
        );
        ui.end_row();
        moved |= along(ui, "Score from", &mut shape.score.between.0);
        moved |= along(ui, "Score to", &mut shape.score.between.1);
        let dented = amount(ui, "Skirt dent, depth", &mut shape.dent.depth, false);
        if dented && shape.dent.height == Length::ZERO {
            shape.dent.height = along_step * 20;
            shape.dent.width_degrees = 60.0;
        }
        moved |= dented | turns(ui, "Dent at, degrees", &mut shape.dent.degrees, 360.0);
        moved |= turns(ui, "Dent over, degrees", &mut shape.dent.width_degrees, 180.0);
        moved | along(ui, "Dent, height", &mut shape.dent.height)
    });
    section(ui, "Temperature, °C", &mut |ui| {
        let moved = knob(ui, "Barrel", &mut shape.barrel_c, (0.0, 60.0), 1.0, 0);
        ui.end_row();
        moved
    });
    moved
}

/// A step of an amount: the last digit that is usual, or twenty of them where the table allows a lot of wear, so
/// that a knob reaches well beyond every limit.
fn knob_step(limits: &Limits) -> Length {
    let one = Style::usual(limits.unit).last_digit();
    let band = limits.sizes.first().and_then(|row| {
        let most = row.serviceable.as_ref()?.length;
        Some(most - row.new.1.length)
    });
    if band.is_some_and(|band| band > one * 150) { one * 20 } else { one }
}

/// A step along the barrel.
pub(super) fn depth_step(unit: Unit) -> Length {
    // 0.05 in, or 1 mm.
    match unit {
        Unit::Inch => Style::usual(unit).last_digit() * 500,
        Unit::Millimetre => Style::usual(unit).last_digit() * 1000,
    }
}

// ---- what is said of it

fn said_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ShapesView) {
    let Some((shape, all, shown)) = view.shown.take() else { return };
    bar_ui(ui, view, &shown.survey.limits);
    let fills = view.filling.is_some();
    ScrollArea::vertical().id_salt("said").auto_shrink(false).show(ui, |ui| {
        let wide = ui.available_width() > 760.0;
        if fills {
            drawings_ui(ui, cx, view, (&shape, &shown));
        } else if wide {
            let left = |ui: &mut Ui| {
                outcome_ui(ui, cx, &shown);
                judged_ui(ui, cx, &shown);
            };
            side_by_side(ui, left, |ui| rules_ui(ui, cx, &shown));
            ui.add_space(6.0);
            drawings_ui(ui, cx, view, (&shape, &shown));
        } else {
            // What a knob does is seen first where there is little room.
            outcome_ui(ui, cx, &shown);
            drawings_ui(ui, cx, view, (&shape, &shown));
            judged_ui(ui, cx, &shown);
            rules_ui(ui, cx, &shown);
        }
    });
    view.shown = Some((shape, all, shown));
}

fn bar_ui(ui: &mut Ui, view: &mut ShapesView, limits: &Limits) {
    ui.horizontal_wrapped(|ui| {
        if ui.button("Projector").on_hover_text("One drawing fills the window; Escape leaves it").clicked() {
            view.is_projected = true;
        }
        let shown = view.filling.map_or("Everything", Picture::words);
        let label = ui.label("Show");
        let combo = ComboBox::from_id_salt("filling").width(140.0).selected_text(shown).show_ui(ui, |ui| {
            if ui.selectable_label(view.filling.is_none(), "Everything").clicked() {
                view.filling = None;
            }
            for picture in Picture::ALL {
                if ui.selectable_label(view.filling == Some(picture), picture.words()).clicked() {
                    view.filling = Some(picture);
                }
            }
        });
        combo.response.labelled_by(label.id);
        ui.label("Cross-section at");
        for station in 0..limits.stations.len() {
            let name = limits.stations.get(station).map_or("?", |station| station.name.as_str());
            let here = ui.selectable_label(view.station == station, name);
            here.widget_info(|| {
                let name = capitalised(&station_words(limits, station));
                egui::WidgetInfo::selected(egui::Role::RadioButton, true, view.station == station, name)
            });
            if here.clicked() {
                view.station = station;
            }
        }
        if limits.axes.iter().any(|axis| axis.optional) {
            ui.checkbox(&mut view.all_axes, "Read on the optional axes too");
        }
    });
}

fn outcome_ui(ui: &mut Ui, cx: &LessonCx<'_>, shown: &Demonstration) {
    let outcome = shown.assessment.recommendation;
    let limits = shown.survey.limits.as_ref();
    ui.horizontal(|ui| {
        symbols::outcome(ui, 34.0, outcome);
        let colour = symbols::outcome_colour(outcome, &cx.palette);
        let said = RichText::new(capitalised(&outcome.words(limits))).font(theme::bold(22.0)).color(colour);
        ui.add(egui::Label::new(said).wrap());
    });
}

fn judged_ui(ui: &mut Ui, cx: &LessonCx<'_>, shown: &Demonstration) {
    let Demonstration { survey, cylinder, assessment, figures, .. } = shown;
    let limits = survey.limits.as_ref();
    rows_ui(ui, cx.prefs, &cx.palette, assessment, cylinder, limits);
    if let Some(shape) = figures.shape_words() {
        words(ui, format!("The readings look: {shape}."));
    }
    for slip in &assessment.slips {
        let text = RichText::new(slip.sentence(cylinder, limits)).color(cx.palette.attention);
        ui.add(egui::Label::new(text).wrap());
    }
    faint(ui, &cx.palette, "Invented, by an illustrative table; for no real engine.");
}

fn rules_ui(ui: &mut Ui, cx: &LessonCx<'_>, shown: &Demonstration) {
    let Demonstration { survey, cylinder, assessment, figures, alternatives, cleans_up_at } = shown;
    let limits = survey.limits.as_ref();
    let style = cx.prefs.shown(Style::usual(limits.unit));
    let largest = figures.largest.figure().map(|figure| figure.value.text(style));
    if let Some(largest) = largest {
        words(
            ui,
            format!(
                "The largest reading is {largest}; on the original centre {} cleans up all that is worn.",
                cleans_up_at.text(style)
            ),
        );
    }
    egui::CollapsingHeader::new("What the other rules say").default_open(true).show(ui, |ui| {
        Grid::new("rules").num_columns(2).striped(true).spacing([12.0, 3.0]).show(ui, |ui| {
            let mut line = |name: String, figure: Option<String>, in_force: bool| {
                let figure = figure.unwrap_or_else(|| "\u{2013}".to_owned());
                let name = if in_force { format!("{name} (the table's)") } else { name };
                ui.add(egui::Label::new(RichText::new(figure).font(theme::bold(TEXT))));
                ui.add(egui::Label::new(name).wrap());
                ui.end_row();
            };
            for row in figures.rows.iter().filter(|row| row.kind.rule_words().is_some()) {
                let figure = row.figure.figure().map(|f| f.value.text(figure_style(f.value, style)));
                let name = format!("{}: {}", capitalised(row.kind.words()), row.kind.formula());
                line(name, figure, row.in_force);
            }
        });
    });
    egui::CollapsingHeader::new("Under other rules").show(ui, |ui| {
        alternatives_ui(ui, cx.prefs, &cx.palette, alternatives, assessment, cylinder, limits);
    });
}

fn drawings_ui(ui: &mut Ui, cx: &LessonCx<'_>, view: &mut ShapesView, shown: (&Shape, &Demonstration)) {
    let options = view.options(cx);
    let room = ui.available_size_before_wrap();
    let origin = ui.cursor().min;
    if let Some(picture) = view.filling {
        let area = Rect::from_min_size(origin, vec2(room.x, room.y.max(HEIGHT)));
        view.drawings.ui(ui, &cx.palette, shown, picture, options, (area, f64::from(TEXT), false));
        ui.allocate_rect(area, Sense::hover());
        return;
    }
    let columns = ((room.x / LEAST_WIDTH).floor() as usize).clamp(1, 4);
    let rows = Picture::ALL.len().div_ceil(columns);
    let size = vec2(room.x / columns as f32, HEIGHT);
    for (i, picture) in Picture::ALL.into_iter().enumerate() {
        let corner = origin + vec2((i % columns) as f32 * size.x, (i / columns) as f32 * size.y);
        let area = Rect::from_min_size(corner, size).shrink(3.0);
        let drawn = view.drawings.ui(ui, &cx.palette, shown, picture, options, (area, SMALL_TEXT, true));
        if drawn.double_clicked() || (drawn.has_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter))) {
            view.filling = Some(picture);
        }
    }
    ui.allocate_rect(Rect::from_min_size(origin, vec2(room.x, rows as f32 * size.y)), Sense::hover());
}
