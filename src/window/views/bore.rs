//! The Bore: the drawings of the chosen cylinder, side by side or one filling the place.
//!
//! All show one choice: a reading or station chosen in one is chosen in all, and on the sheet. What is drawn
//! and laid out is kept until the record, the choice, the size or what is in sight changes.

use std::path::Path;

use eframe::egui::{
    self, Event, EventFilter, Key, Modifiers, PointerButton, Rect, Response, Sense, Ui, vec2,
};
use jiff::civil::Date;

use crate::browse::{Browse, Wanted};
use crate::command::UserCommand;
use crate::cx::{Action, ViewCx};
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::fields::occupied_ui;
use crate::place::Place;
use crate::plot;
use crate::theme::TEXT;
use drawings::layout::{DrawingSheet, Paper, Window, lay_out, whole};
use drawings::picture;
use drawings::profile;
use drawings::{Choice, Drawing, Magnified, Options, Oversizes, Subject, View};
use records::bore::Point;
use records::diag::Diagnostic;
use records::record::resolve;
use records::store::{NotWritten, Replace};
use records::survey::Survey;

/// Text of a drawing among several, in points.
const SMALL_TEXT: f64 = 13.0;
/// The least width of a drawing among several, in points.
const LEAST_WIDTH: f32 = 330.0;
/// The least height of a drawing among several, in points.
const LEAST_HEIGHT: f32 = 270.0;
/// How much one step of a key or wheel zooms.
const ZOOM: f64 = 1.25;

/// A survey and the day of measuring.
type Dated = (Date, Survey);

/// What a drawing was made from: as long as it is the same, so is the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Source {
    state: u64,
    overhaul: usize,
    cylinder: usize,
    options: Options,
    earlier: bool,
}

/// A drawing kept, and its sheet.
#[derive(Debug)]
struct Kept {
    source: Source,
    drawing: Drawing,
    laid: Option<(Paper, Option<Window>, DrawingSheet)>,
}

/// A picture that is being saved.
#[derive(Debug)]
struct Saving {
    shown: View,
    /// As typed so far.
    path: String,
    /// A file stands there, and that has been said.
    occupied: bool,
}

/// What the Bore keeps for itself.
#[derive(Debug, Default)]
pub struct BoreView {
    /// The one that fills the place; none: all.
    pub filling: Option<View>,
    /// How often deviations are magnified; none: as it fits best.
    magnification: Option<f64>,
    oversizes: Oversizes,
    /// The profile has earlier surveys behind it: of which state of the record and overhaul, and those before it.
    earlier: Option<((u64, usize), Vec<Dated>)>,
    /// Earlier overhauls are wanted.
    with_earlier: bool,
    /// Where each is zoomed to, in the order of [`View::ALL`].
    windows: [Option<Window>; 6],
    kept: [Option<Kept>; 6],
    saving: Option<Saving>,
    browse: Browse,
    /// The drawing that had the keyboard last: what commands of the bar are about.
    last: View,
}

fn index(view: View) -> usize {
    View::ALL.iter().position(|&other| other == view).unwrap_or(0)
}

impl BoreView {
    /// Reads the overhauls before the chosen one, where that is not done yet.
    fn gather_earlier(&mut self, cx: &ViewCx<'_>) {
        let wanted = (cx.session.state(), cx.session.overhaul_index());
        if self.earlier.as_ref().is_some_and(|(source, _)| *source == wanted) {
            return;
        }
        let record = cx.session.record();
        let surveys = record.overhauls.iter().enumerate().take(wanted.1).filter_map(|(index, overhaul)| {
            Some((overhaul.date, resolve::survey(record, index, None).value?))
        });
        self.earlier = Some((wanted, surveys.collect()));
    }

    /// What stands behind a drawing.
    fn behind(&self, shown: View) -> Option<&[Dated]> {
        let wanted = self.with_earlier && shown == View::Profile;
        self.earlier.as_ref().filter(|_| wanted).map(|(_, surveys)| surveys.as_slice())
    }

    /// Everything in sight again.
    fn fit(&mut self) {
        self.windows = [None; 6];
    }
}

/// Draws the Bore with all its drawings.
pub(crate) fn bore_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView) {
    bar_ui(ui, cx, view);
    saving_ui(ui, cx, view);
    let area = ui.available_rect_before_wrap();
    match view.filling {
        Some(shown) => drawing_ui(ui, cx, view, shown, area, true),
        None => {
            // As many side by side as there is room for.
            let columns = ((area.width() / LEAST_WIDTH).floor() as usize).clamp(1, 3);
            let rows = View::ALL.len().div_ceil(columns);
            let size = vec2(area.width() / columns as f32, (area.height() / rows as f32).max(LEAST_HEIGHT));
            egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                let origin = ui.cursor().min;
                for (i, shown) in View::ALL.into_iter().enumerate() {
                    let corner = origin + vec2((i % columns) as f32 * size.x, (i / columns) as f32 * size.y);
                    let area = Rect::from_min_size(corner, size).shrink(3.0);
                    drawing_ui(ui, cx, view, shown, area, true);
                }
                ui.allocate_rect(
                    Rect::from_min_size(origin, vec2(area.width(), rows as f32 * size.y)),
                    Sense::hover(),
                );
            });
        }
    }
}

/// Draws one drawing only, for a place that it shares with others.
pub(crate) fn strip_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView) {
    let shown = view.filling.unwrap_or(view.last);
    ui.horizontal(|ui| {
        let label = ui.label("Drawing");
        egui::ComboBox::from_id_salt("strip drawing")
            .selected_text(shown.words())
            .show_ui(ui, |ui| {
                for other in View::ALL {
                    if ui.selectable_label(shown == other, other.words()).clicked() {
                        view.last = other;
                        view.filling = view.filling.map(|_| other);
                    }
                }
            })
            .response
            .labelled_by(label.id);
        if ui.button("All drawings").clicked() {
            view.filling = None;
            cx.ask(Action::User(UserCommand::Go(Place::Bore)));
        }
    });
    // Taken, so that the panel around it keeps the height it was dragged to.
    let area = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(area);
    drawing_ui(ui, cx, view, shown, area, false);
}

fn bar_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView) {
    ui.horizontal_wrapped(|ui| {
        if ui.selectable_label(view.filling.is_none(), "All drawings").clicked() {
            view.filling = None;
        }
        for other in View::ALL {
            if ui.selectable_label(view.filling == Some(other), other.words()).clicked() {
                view.filling = Some(other);
                view.last = other;
            }
        }
        ui.separator();
        magnification_ui(ui, cx, view);
        ui.separator();
        let oversizes = match view.oversizes {
            Oversizes::None => "Oversizes: none",
            Oversizes::Recommended => "Oversizes: recommended",
            Oversizes::All => "Oversizes: all",
        };
        let response = ui.button(oversizes).on_hover_text("Where an oversize would finish, in the profile");
        if response.clicked() {
            view.oversizes = match view.oversizes {
                Oversizes::None => Oversizes::Recommended,
                Oversizes::Recommended => Oversizes::All,
                Oversizes::All => Oversizes::None,
            };
        }
        ui.checkbox(&mut view.with_earlier, "Earlier overhauls")
            .on_hover_text("Faint, behind the present one, in the profile");
        if ui.button("Fit").on_hover_text("Everything in sight again (F)").clicked() {
            view.fit();
        }
        if ui.button("Save picture…").clicked() {
            let shown = view.filling.unwrap_or(view.last);
            let position = cx.cylinder().map_or("", |cylinder| cylinder.position.as_str());
            let name = format!("{} cylinder {position}.svg", shown.words()).replace(['/', '\\'], "-");
            let folder = std::env::current_dir().unwrap_or_default();
            let path = folder.join(name).display().to_string();
            view.saving = Some(Saving { shown, path, occupied: false });
        }
    });
}

fn magnification_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView) {
    let factor = view.magnification.or_else(|| {
        let options = options(cx, view);
        match fresh(cx, options, View::Section, None)?.magnified {
            Magnified::By(factor) => Some(factor),
            Magnified::No | Magnified::ByAxes => None,
        }
    });
    let Some(factor) = factor else { return };
    ui.label("Magnified");
    if ui.button("−").on_hover_text("Magnify deviations less (section and cut)").clicked() {
        view.magnification = Some(stepped(factor, false));
    }
    let words = if view.magnification.is_some() { "times" } else { "times, to fit" };
    if ui
        .selectable_label(view.magnification.is_none(), format!("{} {words}", factor_words(factor)))
        .on_hover_text("Magnify as it fits best")
        .clicked()
    {
        view.magnification = None;
    }
    if ui.button("+").on_hover_text("Magnify deviations more (section and cut)").clicked() {
        view.magnification = Some(stepped(factor, true));
    }
}

fn factor_words(factor: f64) -> String {
    if factor >= 10.0 { format!("{factor:.0}") } else { format!("{factor:.1}") }
}

/// The next factor of 1, 2, 5, 10, 20, up or down.
fn stepped(factor: f64, up: bool) -> f64 {
    const MOST: f64 = 100_000.0;
    let oversizes = (0..6).flat_map(|power| [1.0, 2.0, 5.0].map(|m| m * 10_f64.powi(power)));
    let next = if up {
        oversizes.clone().find(|&step| step > factor * 1.001)
    } else {
        oversizes.clone().rfind(|&step| step < factor * 0.999)
    };
    next.unwrap_or(factor).clamp(1.0, MOST)
}

/// A path can always be typed for a picture, since a dialog service need not run.
fn saving_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView) {
    let Some(mut saving) = view.saving.take() else { return };
    let shown = saving.shown;
    if let Some(chosen) = view.browse.chosen() {
        saving.path = chosen.display().to_string();
        saving.occupied = false;
    }
    let mut keep = true;
    ui.horizontal_wrapped(|ui| {
        let label = ui.label(format!("Save “{}” as (.svg or .png)", shown.words()));
        let line = egui::TextEdit::singleline(&mut saving.path).desired_width(420.0);
        let field = ui.add(line).labelled_by(label.id);
        if field.changed() {
            saving.occupied = false;
        }
        let entered = entered(ui, &field);
        if browse_ui(ui, view.browse.is_open()) {
            let name = Path::new(&saving.path).file_name().map(|name| name.to_string_lossy().into_owned());
            let wanted = Wanted::SaveAs("Picture", &["svg", "png"], name.unwrap_or_default());
            view.browse.open(ui.ctx(), wanted);
        }
        let words = if saving.occupied { "Overwrite it" } else { "Save the picture" };
        if ui.button(words).clicked() || (entered && !saving.occupied) {
            let options = options(cx, view);
            if let Some(drawing) = fresh(cx, options, shown, view.behind(shown)) {
                let window = view.windows.get(index(shown)).copied().flatten();
                let sheet = lay_out(&drawing, Paper::default(), window);
                let target = typed_path(&saving.path).unwrap_or_default();
                let replace = if saving.occupied { Replace::Anything } else { Replace::Nothing };
                match picture::save(&sheet, &target, replace) {
                    Ok(()) => {
                        keep = false;
                        cx.ask(Action::Tell(Diagnostic::note("The picture is saved.").in_file(&target)));
                    }
                    Err(NotWritten::Changed(_)) => saving.occupied = true,
                    Err(NotWritten::Refused(error)) => cx.ask(Action::Tell(error)),
                }
            }
        }
        if ui.button("Do not save").clicked() {
            keep = false;
        }
    });
    if saving.occupied {
        occupied_ui(ui, cx);
    }
    if keep {
        view.saving = Some(saving);
    }
}

fn options(cx: &ViewCx<'_>, view: &BoreView) -> Options {
    Options {
        unit: cx.prefs.unit,
        chosen: cx.chosen.point().map(Choice::from),
        oversizes: view.oversizes,
        magnification: view.magnification,
    }
}

/// A drawing of the chosen cylinder as it is now.
fn fresh(cx: &ViewCx<'_>, options: Options, shown: View, earlier: Option<&[Dated]>) -> Option<Drawing> {
    let evaluation = cx.session.evaluation();
    let survey = evaluation.survey.as_ref()?;
    let (cylinder, assessment) = evaluation.cylinder(cx.chosen.cylinder)?;
    let subject = Subject { survey, cylinder, assessment };
    let mut drawing = shown.draw(subject, &options);
    if let Some(earlier) = earlier {
        profile::add_earlier(&mut drawing, subject, earlier);
    }
    Some(drawing)
}

/// One drawing, its pointing, choosing, zooming and keys; `titled` where nothing beside it names it.
fn drawing_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut BoreView, shown: View, area: Rect, titled: bool) {
    // One id wherever it is drawn, so that it keeps the keyboard when it fills the place.
    let response =
        ui.interact(area, egui::Id::unique(("bore drawing", index(shown))), Sense::click_and_drag());
    let options = options(cx, view);
    let source = Source {
        state: cx.session.state(),
        overhaul: cx.session.overhaul_index(),
        cylinder: cx.chosen.cylinder,
        options,
        earlier: view.with_earlier && shown == View::Profile,
    };
    if source.earlier {
        view.gather_earlier(cx);
    }
    let Some(slot) = view.kept.get_mut(index(shown)) else { return };
    let mut kept = slot.take().filter(|kept| kept.source == source);
    if kept.is_none() {
        kept =
            fresh(cx, options, shown, view.behind(shown)).map(|drawing| Kept { source, drawing, laid: None });
    }
    let Some(mut kept) = kept else {
        ui.put(area, egui::Label::new("There is no table of limits to draw by."));
        return;
    };
    let window = view.windows.get(index(shown)).copied().flatten();
    let is_alone = view.filling == Some(shown);
    let paper = Paper {
        width: f64::from(area.width()),
        height: f64::from(area.height()),
        text: if is_alone { f64::from(TEXT) } else { SMALL_TEXT },
        titled,
        brief: !(is_alone && titled),
    };
    let laid = match kept.laid.take() {
        Some((p, w, sheet)) if p == paper && w == window => (p, w, sheet),
        _ => (paper, window, lay_out(&kept.drawing, paper, window)),
    };
    let sheet = &laid.2;
    plot::show(ui, &response, area, sheet, &cx.palette);
    pointing(ui, cx, view, shown, &response, sheet, &kept.drawing, area);
    keys(ui, cx, view, shown, &response, &kept.drawing, sheet);
    kept.laid = Some(laid);
    if let Some(slot) = view.kept.get_mut(index(shown)) {
        *slot = Some(kept);
    }
}

#[expect(clippy::too_many_arguments, reason = "one frame of one drawing, taken apart for reading")]
fn pointing(
    ui: &Ui,
    cx: &mut ViewCx<'_>,
    view: &mut BoreView,
    shown: View,
    response: &Response,
    sheet: &DrawingSheet,
    drawing: &Drawing,
    area: Rect,
) {
    if response.clicked() || response.dragged() {
        response.request_focus();
        view.last = shown;
    }
    let target = plot::pointed(response, area, sheet);
    if response.double_clicked() {
        match target.and_then(|target| target.choice) {
            // A reading chosen twice is looked up on the sheet.
            Some(Choice { station, axis: Some(axis) }) => {
                cx.ask(Action::Cell(Point::new(station, axis), 0));
            }
            _ if view.filling == Some(shown) => view.filling = None,
            _ => view.filling = Some(shown),
        }
    } else if response.clicked()
        && let Some(choice) = target.and_then(|target| target.choice)
    {
        let axis = choice.axis.or(cx.chosen.point().map(|at| at.axis)).unwrap_or(0);
        cx.ask(Action::Look(Point::new(choice.station, axis), 0));
    }
    let Some(window_slot) = view.windows.get_mut(index(shown)) else { return };
    if drawing.empty.is_none() {
        if response.dragged_by(PointerButton::Primary) || response.dragged_by(PointerButton::Middle) {
            let delta = response.drag_delta();
            let from = sheet.data([0.0, 0.0]);
            let to = sheet.data([f64::from(delta.x), f64::from(delta.y)]);
            let seen = sheet.window;
            let moved = |[a, b]: [f64; 2], by: f64| [a - by, b - by];
            *window_slot =
                Some(Window { x: moved(seen.x, to[0] - from[0]), y: moved(seen.y, to[1] - from[1]) });
        }
        if let Some(pos) = response.hover_pos() {
            let turned = ui.input(|input| {
                let wheel = input.raw.events.iter().map(|event| match event {
                    Event::MouseWheel { delta, .. } => f64::from(delta.y.signum()),
                    Event::Zoom(factor) => f64::from(factor.ln()) / ZOOM.ln(),
                    _ => 0.0,
                });
                wheel.sum::<f64>()
            });
            if turned != 0.0 {
                let at = pos - area.min;
                let about = sheet.data([f64::from(at.x), f64::from(at.y)]);
                *window_slot = zoomed(sheet.window, whole(drawing), about, ZOOM.powf(-turned));
            }
        }
    }
    plot::tell(response, target);
}

/// The window made smaller or larger about a place; none once it shows everything.
fn zoomed(seen: Window, all: Window, about: [f64; 2], factor: f64) -> Option<Window> {
    let range = |[a, b]: [f64; 2], at: f64| [at + (a - at) * factor, at + (b - at) * factor];
    let window = Window { x: range(seen.x, about[0]), y: range(seen.y, about[1]) };
    let wide = |[a, b]: [f64; 2]| b - a;
    let is_whole = factor > 1.0 && wide(window.x) >= wide(all.x) && wide(window.y) >= wide(all.y);
    let is_deep = wide(window.x) < wide(all.x) * 1e-4;
    if is_whole { None } else { Some(if is_deep { seen } else { window }) }
}

fn keys(
    ui: &Ui,
    cx: &mut ViewCx<'_>,
    view: &mut BoreView,
    shown: View,
    response: &Response,
    drawing: &Drawing,
    sheet: &DrawingSheet,
) {
    if !response.has_focus() {
        return;
    }
    view.last = shown;
    ui.memory_mut(|memory| {
        memory.set_focus_lock_filter(
            response.id,
            EventFilter { horizontal_arrows: true, vertical_arrows: true, tab: false, escape: false },
        );
    });
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    if pressed(Key::F) || pressed(Key::Home) {
        view.fit();
    }
    if pressed(Key::Enter) {
        view.filling = if view.filling == Some(shown) { None } else { Some(shown) };
    }
    for (key, factor) in [(Key::Plus, 1.0 / ZOOM), (Key::Equals, 1.0 / ZOOM), (Key::Minus, ZOOM)] {
        if pressed(key) && drawing.empty.is_none() {
            let middle = |[a, b]: [f64; 2]| (a + b) / 2.0;
            let about = [middle(sheet.window.x), middle(sheet.window.y)];
            if let Some(slot) = view.windows.get_mut(index(shown)) {
                *slot = zoomed(sheet.window, whole(drawing), about, factor);
            }
        }
    }
    let Some(limits) = cx.session.evaluation().limits() else { return };
    let (stations, axes) = (limits.stations.len(), limits.axes.len());
    let moves =
        [(Key::ArrowUp, -1, 0), (Key::ArrowDown, 1, 0), (Key::ArrowLeft, 0, -1), (Key::ArrowRight, 0, 1)];
    // The head end is up in every drawing, and the first station is nearest to it, whatever the datum.
    for (key, down, right) in moves {
        if !pressed(key) {
            continue;
        }
        let at = cx.chosen.point().unwrap_or(Point::new(0, 0));
        let step =
            |now: usize, by: isize, count: usize| now.saturating_add_signed(by).min(count.saturating_sub(1));
        cx.ask(Action::Look(Point::new(step(at.station, down, stations), step(at.axis, right, axes)), 0));
    }
}
