//! The Sheet: stations by axes with their repeats, typed in measuring order.
//!
//! A cell is typed as a draft, shown large with the diameter it stands for; Enter keeps it and goes on, so
//! that a gauge which types its value and Enter fills the sheet by itself. A text that cannot be read stays
//! in its cell with the reason beside it, and the next value replaces it.

use eframe::egui::{
    self, Button, Checkbox, Color32, ComboBox, Context, EventFilter, Id, Key, Modifiers, RichText, Role,
    ScrollArea, TextEdit, Ui, WidgetInfo,
    text::{CCursor, CCursorRange, CharIndex},
    vec2,
};

use super::gauges::{self, GaugesView};
use crate::cx::{Action, ViewCx};
use crate::dialogs::{self, cautions_ui};
use crate::engines::engine_words;
use crate::fields::{cylinder_path, named, pasted_block};
use crate::reported::reported_ui;
use crate::symbols;
use crate::theme::{self, DIGITS, HEADING, TEXT};
use judging::evidence::Contradiction;
use judging::reason::{self, Reason};
use judging::row::{RowStatus, point_guard, point_status};
use judging::shown::Shown;
use judging::slips::Slip;
use judging::{Assessment, Need};
use quantities::length::{Entry, Length, Mean};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::limits::schema::Axis;
use records::record::entry::MeasuringOrder;
use records::record::entry::pasted;
use records::record::entry::reading;
use records::record::schema::{Cylinder as Written, Reads};
use records::store::recovery::TypedCell;
use records::survey::{Cylinder, axis_words, point_words};
use work::session::{Command, CylinderEdit, Mark, Session};

/// Most repeats that a cell offers; a record may hold more.
const MOST_REPEATS: usize = 10;

/// A cell on somebody's sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct CellAt {
    cylinder: usize,
    at: Point,
    repeat: usize,
}

impl CellAt {
    fn id(self) -> Id {
        Id::unique(("reading", self.cylinder, self.at.station, self.at.axis, self.repeat))
    }
}

/// Height of what is being typed, in points.
const ENTRY_HEIGHT: f32 = 78.0;

/// What is being typed.
#[derive(Clone, Debug)]
struct Draft {
    cell: CellAt,
    text: String,
    /// What the record holds there.
    stood: String,
    /// Nothing was typed since the cell was entered: the next digit replaces everything.
    fresh: bool,
}

impl Draft {
    fn is_changed(&self) -> bool {
        self.text.trim() != self.stood
    }
}

/// What the sheet keeps for itself.
#[derive(Debug, Default)]
pub struct SheetView {
    draft: Option<Draft>,
    /// The draft cannot be read, and the person has pressed Enter: say so.
    refused: bool,
    go_to: Option<(Point, usize)>,
    /// The cursor goes to where the cylinder wants its next reading.
    begin: bool,
    /// More repeats than the readings have.
    repeats: usize,
    /// Index of the gauge for cells that have no reading yet.
    gauge: usize,
    confirming: Option<(Point, String)>,
    /// Optional axes are shown though nothing is measured on them.
    all_axes: bool,
    gauges: GaugesView,
}

impl SheetView {
    /// Puts the cursor into a cell when the sheet is drawn next.
    pub fn focus_on(&mut self, at: Point, repeat: usize) {
        self.go_to = Some((at, repeat));
        self.begin = false;
    }

    /// Puts the cursor where the cylinder wants its next reading when the sheet is drawn next.
    pub fn begin(&mut self) {
        self.begin = true;
    }

    /// Leaves the cell that has the cursor: what was typed there, as a change of the record.
    ///
    /// For whatever leads elsewhere, so that it goes by what was typed and nothing typed is lost. `None`: no cell has
    /// the cursor.
    pub(crate) fn leave(&mut self, session: &Session) -> Option<Option<Command>> {
        let draft = self.draft.take()?;
        self.refused = false;
        Some(self.kept(session, &draft))
    }

    /// The cell that is being typed, if it says something else than the record does.
    pub(crate) fn half_typed(&self, session: &Session) -> Option<TypedCell> {
        let draft = self.draft.as_ref().filter(|draft| draft.is_changed())?;
        Some(TypedCell {
            overhaul: session.overhaul_index(),
            cylinder: draft.cell.cylinder,
            station: draft.cell.at.station,
            axis: draft.cell.at.axis,
            repeat: draft.cell.repeat,
            gauge: self.gauge_in_hand(session).map(str::to_owned),
            text: draft.text.trim().to_owned(),
        })
    }

    /// What keeps a draft in the record, if it says something else than the record does.
    fn kept(&self, session: &Session, draft: &Draft) -> Option<Command> {
        draft.is_changed().then(|| {
            let edit = CylinderEdit::Reading {
                at: draft.cell.at,
                repeat: draft.cell.repeat,
                text: draft.text.trim().to_owned(),
                gauge: self.gauge_in_hand(session).map(str::to_owned),
            };
            Command::Cylinder(draft.cell.cylinder, edit)
        })
    }

    /// Name of the gauge for cells that have no reading yet; none: the overhaul's first.
    fn gauge_in_hand<'a>(&self, session: &'a Session) -> Option<&'a str> {
        let gauge = session.overhaul()?.gauges.get(self.gauge).filter(|_| self.gauge > 0)?;
        Some(gauge.name.as_str())
    }

    /// Leaves what is half typed; says whether there was anything.
    pub fn forget_draft(&mut self) -> bool {
        let Some(draft) = &mut self.draft else { return false };
        let changed = draft.is_changed();
        let cell = draft.cell;
        self.draft = None;
        self.refused = false;
        self.go_to = Some((cell.at, cell.repeat));
        changed
    }

    /// Has a cell the cursor, or is one about to get it?
    pub fn has_cursor(&self) -> bool {
        self.draft.is_some() || self.go_to.is_some()
    }

    /// Is a reading being typed?
    pub fn is_typing(&self) -> bool {
        self.draft.is_some()
    }

    /// Folds the gauges and setting standards open.
    pub fn show_gauges(&mut self) {
        self.gauges.open = true;
    }
}

/// Where to go from a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    Next,
    Back,
    Up,
    Down,
    Left,
    Right,
    First,
    Last,
}

/// The cells of the sheet in the order they are typed: each with its repeats.
struct Order {
    cells: Vec<Point>,
    stations: usize,
    /// Indices of the axes shown, from the left.
    axes: Vec<usize>,
    repeats: usize,
}

impl Order {
    fn of(cx: &ViewCx<'_>, view: &SheetView, written: &Written, limits: &Limits) -> Self {
        let measured = |label: &str| written.readings.iter().any(|reading| reading.axis == label);
        let shown = |axis: &usize| {
            let axis = limits.axes.get(*axis);
            axis.is_some_and(|axis| view.all_axes || !axis.optional || measured(&axis.label))
        };
        let axes: Vec<usize> = (0..limits.axes.len()).filter(shown).collect();
        let cells = cx.prefs.order.cells(limits).into_iter().filter(|at| axes.contains(&at.axis)).collect();
        Self { cells, stations: limits.stations.len(), axes, repeats: repeats(written, view.repeats) }
    }

    /// The first cell that has no reading, or the first if all have.
    fn wanted(&self, written: &Written, limits: &Limits) -> Option<Point> {
        let unread = |at: &&Point| reading(written, limits, **at).is_none();
        self.cells.iter().find(unread).or(self.cells.first()).copied()
    }

    fn step(&self, (at, repeat): (Point, usize), step: Step) -> Option<(Point, usize)> {
        let last = self.repeats.saturating_sub(1);
        let index = self.cells.iter().position(|&cell| cell == at)?;
        let shown = self.axes.iter().position(|&axis| axis == at.axis)?;
        let column = shown * self.repeats + repeat;
        let beside = |column: usize, station: usize| {
            let axis = self.axes.get(column / self.repeats)?;
            (station < self.stations).then(|| (Point::new(station, *axis), column % self.repeats))
        };
        match step {
            Step::Next if repeat < last => Some((at, repeat + 1)),
            Step::Next => self.cells.get(index + 1).map(|&cell| (cell, 0)),
            Step::Back if repeat > 0 => Some((at, repeat - 1)),
            Step::Back => index.checked_sub(1).and_then(|i| self.cells.get(i)).map(|&cell| (cell, last)),
            Step::Up => at.station.checked_sub(1).and_then(|station| beside(column, station)),
            Step::Down => beside(column, at.station + 1),
            Step::Left => column.checked_sub(1).and_then(|column| beside(column, at.station)),
            Step::Right => beside(column + 1, at.station),
            Step::First => self.cells.first().map(|&cell| (cell, 0)),
            Step::Last => self.cells.last().map(|&cell| (cell, last)),
        }
    }
}

/// How many repeats the sheet shows: as many as there are, two at least, or as many as the person wants.
fn repeats(cylinder: &Written, wanted: usize) -> usize {
    let most = cylinder.readings.iter().map(|reading| reading.entered.len()).max().unwrap_or(0);
    most.max(if wanted == 0 { 2 } else { wanted })
}

fn entered<'a>(cylinder: &'a Written, limits: &Limits, at: Point, repeat: usize) -> &'a str {
    reading(cylinder, limits, at).and_then(|r| r.entered.get(repeat)).map_or("", String::as_str)
}

/// Draws the sheet of the chosen cylinder.
pub(crate) fn sheet_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SheetView) {
    let session = cx.session;
    let evaluation = session.evaluation();
    let (Some(written), Some(limits)) = (cx.cylinder(), evaluation.limits()) else {
        ui.heading("Sheet");
        ui.label("The sheet follows the stations and axes of the table of limits, and there is none that can be read.");
        reported_ui(ui, &cx.palette, &evaluation.diagnostics);
        return;
    };
    let Some((cylinder, assessment)) = evaluation.cylinder(cx.chosen.cylinder) else { return };
    if view.go_to.is_some_and(|(at, _)| limits.axes.get(at.axis).is_some_and(|axis| axis.optional)) {
        view.all_axes = true;
    }
    let order = Order::of(cx, view, written, limits);
    if std::mem::take(&mut view.begin) {
        view.go_to = order.wanted(written, limits).map(|at| (at, 0));
    }
    if cx.session.closed().is_some() {
        // Nothing can be typed, and a gauge that types all the same is told so.
        view.draft = None;
        view.go_to = None;
    }
    // What is being typed stays in sight; in a low window the rest scrolls beneath it.
    let low = ui.available_height() < 430.0;
    if !low {
        header_ui(ui, cx, written, limits);
    }
    entry_ui(ui, cx, view, cylinder, limits, &order);
    ui.add_space(6.0);
    ScrollArea::vertical().id_salt("sheet").auto_shrink(false).show(ui, |ui| {
        if low {
            header_ui(ui, cx, written, limits);
        }
        if view.gauges.open {
            gauges::gauges_ui(ui, cx, &mut view.gauges);
        }
        if is_untouched(cx) {
            caution_ui(ui, cx);
        }
        let room = ui.available_width();
        ScrollArea::horizontal().id_salt("grid").show(ui, |ui| {
            let size = CellSize::of(ui, written, limits, &order, room);
            grid_ui(ui, cx, view, written, cylinder, limits, assessment, &order, size);
        });
        tools_ui(ui, cx, view, limits, &order);
        ui.add_space(8.0);
        doubts_ui(ui, cx, cylinder, limits, assessment);
        slips_ui(ui, cx, view, cylinder, limits, &assessment.slips);
        let path = cylinder_path(cx);
        reported_ui(ui, &cx.palette, evaluation.diagnostics.iter().filter(|d| d.path.is_within(&path)));
    });
    // The cell with the cursor is the one chosen in every view.
    if let Some(cell) = view.draft.as_ref().map(|draft| draft.cell)
        && (cx.chosen.carried || cx.chosen.cell != Some((cell.at, cell.repeat)))
    {
        cx.ask(Action::Look(cell.at, cell.repeat));
    }
}

/// Has nobody ticked or typed anything at this overhaul?
fn is_untouched(cx: &ViewCx<'_>) -> bool {
    let untouched = cx.session.overhaul().is_some_and(|overhaul| {
        overhaul.cylinders.iter().all(|c| {
            !c.tagged && !c.cleaned && !c.looked_over && c.readings.is_empty() && c.findings.is_empty()
        })
    });
    untouched && !cx.prefs.cautions_read.contains(&engine_words(cx.session.record()))
}

fn caution_ui(ui: &mut Ui, cx: &mut ViewCx<'_>) {
    egui::Frame::new().fill(cx.palette.attention_ground).inner_margin(10.0).show(ui, |ui| {
        ui.label(RichText::new("Before the work on the engine").font(theme::bold(TEXT)));
        cautions_ui(ui);
        if ui.button("I have read this").clicked() {
            cx.ask(Action::CautionsRead);
        }
    });
    ui.add_space(6.0);
}

// ---- keys

/// Takes the keys that leave a cell before anything is drawn, so that what they change is drawn at once.
pub(crate) fn keys_first(ctx: &Context, cx: &mut ViewCx<'_>, view: &mut SheetView) {
    let (Some(written), Some(limits)) = (cx.cylinder(), cx.session.evaluation().limits()) else { return };
    if view.draft.is_some() && cx.session.closed().is_none() {
        let order = Order::of(cx, view, written, limits);
        keys(ctx, cx, view, limits, &order);
    }
}

/// Takes the keys that leave a cell, and keeps what was typed in it.
fn keys(ui: &Context, cx: &mut ViewCx<'_>, view: &mut SheetView, limits: &Limits, order: &Order) {
    let Some(draft) = &view.draft else { return };
    let focused = ui.memory(|memory| memory.has_focus(draft.cell.id()));
    if !focused || draft.cell.cylinder != cx.chosen.cylinder {
        // Left by the mouse, or for another cylinder: what was typed is kept as typed.
        let draft = draft.clone();
        view.draft = None;
        view.refused = false;
        keep(cx, view, &draft);
        return;
    }
    let here = (draft.cell.at, draft.cell.repeat);
    if let Some(block) = pasted_block(ui) {
        let (cells, outside) = pasted(&block, here, limits, order.repeats);
        if outside > 0 {
            cx.ask(Action::Tell(
                records::diag::Diagnostic::note(format!(
                    "{outside} of the pasted values would stand outside the sheet and were left out."
                ))
                .remedy("Paste into the upper left cell of the block's place, or set more repeats."),
            ));
        }
        let gauge = view.gauge_in_hand(cx.session).map(str::to_owned);
        cx.edit(CylinderEdit::Readings { cells, gauge });
        view.draft = None;
        view.go_to = Some(here);
        return;
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        view.forget_draft();
        return;
    }
    let changed = draft.is_changed();
    let Some(step) = pressed(ui, changed) else { return };
    let typed = draft.clone();
    let on = matches!(step, Step::Next | Step::Down);
    let unreadable = changed
        && !typed.text.trim().is_empty()
        && cx
            .session
            .preview(typed.cell.cylinder, typed.cell.at, &typed.text, view.gauge_in_hand(cx.session))
            .is_err();
    if on && unreadable {
        // The gauge goes on typing: its next value replaces this one.
        view.refused = true;
        if let Some(draft) = &mut view.draft {
            draft.fresh = true;
        }
        return;
    }
    view.refused = false;
    keep(cx, view, &typed);
    let (at, repeat) = order.step(here, step).unwrap_or(here);
    view.draft = None;
    view.go_to = Some((at, repeat));
    cx.ask(Action::Look(at, repeat));
}

/// Keeps a draft in the record, if it says something else than the record does.
fn keep(cx: &mut ViewCx<'_>, view: &SheetView, draft: &Draft) {
    if let Some(change) = view.kept(cx.session, draft) {
        cx.ask(Action::Do(change));
        cx.ask(Action::Seal);
    }
}

/// The step that was pressed. While a cell is typed, sideways keys and Home and End move within its text.
fn pressed(ui: &Context, changed: bool) -> Option<Step> {
    ui.input_mut(|input| {
        let always = [
            (Modifiers::SHIFT, Key::Enter, Step::Back),
            (Modifiers::SHIFT, Key::Tab, Step::Back),
            (Modifiers::NONE, Key::Enter, Step::Next),
            (Modifiers::NONE, Key::Tab, Step::Next),
            (Modifiers::NONE, Key::ArrowUp, Step::Up),
            (Modifiers::NONE, Key::ArrowDown, Step::Down),
        ];
        let unchanged = [
            (Modifiers::NONE, Key::ArrowLeft, Step::Left),
            (Modifiers::NONE, Key::ArrowRight, Step::Right),
            (Modifiers::NONE, Key::Home, Step::First),
            (Modifiers::NONE, Key::End, Step::Last),
        ];
        let more = unchanged.into_iter().filter(|_| !changed);
        always
            .into_iter()
            .chain(more)
            .find(|(modifiers, key, _)| input.consume_key(*modifiers, *key))
            .map(|s| s.2)
    })
}

// ---- the cylinder

fn header_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, written: &Written, limits: &Limits) {
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Cylinder").font(theme::bold(HEADING)));
        let mut position = written.position.clone();
        // As wide as what stands there: a number, or a word such as `front`.
        let words = ui.painter().layout_no_wrap(position.clone(), theme::bold(HEADING), cx.palette.ink);
        let width = (words.size().x + 17.0).clamp(34.0, 140.0);
        let line = TextEdit::singleline(&mut position).font(theme::bold(HEADING)).desired_width(width);
        let line = ui.add(line).on_hover_text("its position on the engine");
        named(&line, Role::TextInput, "position", &position);
        if line.changed() {
            cx.edit(CylinderEdit::Position(position));
        }
        ui.spacing_mut().item_spacing.x = 5.0;
        let mut serial = written.serial.clone();
        let label = ui.label("serial");
        let line = ui.add(TextEdit::singleline(&mut serial).desired_width(88.0)).labelled_by(label.id);
        if line.changed() {
            cx.edit(CylinderEdit::Serial(serial));
        }
        let label = ui.label("size");
        let unit = cx.session.unit();
        let now = limits.size_row(&written.size, unit);
        let size = ComboBox::from_id_salt("size")
            .width(100.0)
            .selected_text(now.map_or("not in the table", |row| row.name.as_str()))
            .show_ui(ui, |ui| {
                for row in &limits.sizes {
                    if ui.selectable_label(Some(row) == now, &row.name).clicked() {
                        cx.edit(CylinderEdit::Size(row.written_in(unit)));
                    }
                }
            });
        size.response.labelled_by(label.id);
        for mark in Mark::ALL {
            let mut set = mark.is_set(written);
            if ui.add(Checkbox::new(&mut set, mark.words())).changed() {
                cx.edit(CylinderEdit::Mark(mark, set));
            }
        }
    });
}

// ---- the digits being typed

/// What a gauge's readings are, in words.
fn gauge_words(cx: &ViewCx<'_>, at: Point, view: &SheetView) -> String {
    let Some(gauge) = cx.session.gauge_of(cx.chosen.cylinder, at, view.gauge_in_hand(cx.session)) else {
        return "the diameter itself".to_owned();
    };
    let from = gauge.zeroed_on.as_deref().map_or(String::new(), |standard| format!(" from the {standard}"));
    match gauge.reads {
        Reads::Diameter => format!("the diameter itself, by {}", gauge.name),
        Reads::Deviation => format!("deviation{from}, by {}", gauge.name),
        Reads::Graduations => format!("graduations{from}, by {}", gauge.name),
    }
}

fn size_row<'a>(cylinder: &Cylinder, limits: &'a Limits) -> Option<&'a SizeRow> {
    limits.sizes.get(cylinder.size?)
}

/// The guard band at a place, as the outcome will take it.
fn guard(cx: &ViewCx<'_>, cylinder: &Cylinder, limits: &Limits, at: Point) -> Length {
    let survey = cx.session.evaluation().survey.as_ref();
    survey.map_or(Length::ZERO, |survey| point_guard(cylinder, at, limits, survey.setup()))
}

/// The status in words, and what is left to the serviceable limit or over it.
fn margin_of(
    status: RowStatus,
    diameter: Mean,
    guard: Length,
    entry: Entry,
    row: &SizeRow,
    cx: &ViewCx<'_>,
) -> String {
    let Some(limit) = &row.serviceable else { return status.words().to_owned() };
    let margin = Mean::from(limit.length) - diameter;
    let left = Shown::new(diameter, Some(limit), cx.prefs.shown(entry.style)).left_words();
    let words = format!("{}, {}", status.words(), left.unwrap_or_default());
    if status == RowStatus::Beyond && !margin.is_negative() {
        // More digits, or a guard band might be shown as the margin it is larger than.
        let style =
            quantities::length::Style { decimals: entry.style.decimals.saturating_add(1), ..entry.style };
        return format!("{words} of the guard band of {}", cx.figure(guard, style));
    }
    words
}

fn entry_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    view: &SheetView,
    cylinder: &Cylinder,
    limits: &Limits,
    order: &Order,
) {
    let palette = cx.palette;
    let frame = egui::Frame::new().stroke(egui::Stroke::new(1.5, palette.ink)).inner_margin(8.0);
    frame.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.set_width((ui.available_width() - 4.0).min(760.0));
        // The same with and without digits, so that nothing beneath moves.
        ui.set_min_height(ENTRY_HEIGHT);
        if let Some(seal) = cx.session.closed() {
            ui.label(RichText::new("Read-only").font(theme::bold(TEXT)));
            ui.add(egui::Label::new(work::seal::words::closed_words(seal)).wrap());
            ui.add(egui::Label::new(work::seal::words::HOW_TO_AMEND).wrap());
            return;
        }
        let Some(draft) = &view.draft else {
            ui.label(RichText::new("Nothing is being typed").font(theme::bold(TEXT)));
            ui.label("Choose a cell, or press F2. Type a reading and press Enter; the next cell follows.");
            return;
        };
        let (at, repeat) = (draft.cell.at, draft.cell.repeat);
        ui.horizontal(|ui| {
            let place = point_words(limits, at);
            ui.label(
                RichText::new(format!("{place}, repeat {} of {}", repeat + 1, order.repeats))
                    .font(theme::bold(TEXT)),
            );
            let gauge = RichText::new(gauge_words(cx, at, view)).color(palette.faint_ink);
            ui.add(egui::Label::new(gauge).truncate());
        });
        let preview =
            cx.session.preview(draft.cell.cylinder, at, &draft.text, view.gauge_in_hand(cx.session));
        ui.horizontal(|ui| {
            let shown = if draft.text.trim().is_empty() { "\u{2013}" } else { draft.text.trim() };
            ui.add(egui::Label::new(RichText::new(shown).font(theme::bold(DIGITS))).truncate());
            let entry = match preview.as_ref() {
                Ok(entry) => entry,
                Err(error) => {
                    if view.refused {
                        let words = format!("{error}. Type it again, or press Escape.");
                        ui.add(egui::Label::new(RichText::new(words).color(palette.beyond)).wrap());
                    }
                    return;
                }
            };
            let diameter = Mean::from(entry.length);
            let row = size_row(cylinder, limits);
            let survey = cx.session.evaluation().survey.as_ref();
            let at_20 =
                if survey.is_some_and(|survey| survey.conditions.is_some()) { " at 20 °C" } else { "" };
            ui.add_space(12.0);
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                ui.label(
                    RichText::new(format!("= {}{at_20}", cx.figure(diameter, entry.style)))
                        .font(theme::plain(24.0)),
                );
                if let Some(row) = row {
                    ui.horizontal(|ui| {
                        let guard = guard(cx, cylinder, limits, at);
                        let status = point_status(diameter, row, guard);
                        symbols::status(ui, 20.0, status);
                        let colour = symbols::status_colour(status, &palette);
                        let words = margin_of(status, diameter, guard, *entry, row, cx);
                        ui.label(RichText::new(words).color(colour));
                    });
                }
            });
        });
    });
}

fn tools_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut SheetView, limits: &Limits, order: &Order) {
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Order");
        let combo = ComboBox::from_id_salt("order")
            .width(230.0)
            .selected_text(cx.prefs.order.words())
            .show_ui(ui, |ui| {
                for order in [MeasuringOrder::AxisByAxis, MeasuringOrder::DepthByDepth] {
                    if ui.selectable_label(cx.prefs.order == order, order.words()).clicked() {
                        cx.ask(Action::Order(order));
                    }
                }
            });
        combo.response.labelled_by(label.id);
        let gauges = cx.session.overhaul().map_or(&[][..], |overhaul| overhaul.gauges.as_slice());
        let label = ui.label("Gauge in hand");
        let first = gauges.first().map_or("none: the diameter itself", |gauge| gauge.name.as_str());
        let combo = ComboBox::from_id_salt("gauge")
            .width(190.0)
            .selected_text(view.gauge_in_hand(cx.session).unwrap_or(first))
            .show_ui(ui, |ui| {
                for (index, gauge) in gauges.iter().enumerate() {
                    ui.selectable_value(&mut view.gauge, index, &gauge.name);
                }
                if ui.button("Gauges and setting standards").clicked() {
                    view.gauges.open = true;
                }
            });
        combo.response.labelled_by(label.id);
    });
    ui.horizontal(|ui| {
        ui.label("Repeats");
        let fewer =
            ui.add_enabled(order.repeats > 1, Button::new("\u{2212}")).on_hover_text("One repeat fewer");
        if fewer.clicked() {
            view.repeats = order.repeats - 1;
        }
        ui.label(order.repeats.to_string());
        let more =
            ui.add_enabled(order.repeats < MOST_REPEATS, Button::new("+")).on_hover_text("One repeat more");
        if more.clicked() {
            view.repeats = order.repeats + 1;
        }
        if limits.axes.iter().any(|axis| axis.optional) {
            ui.checkbox(&mut view.all_axes, "optional axes");
        }
    });
}

/// How large the cells of a sheet are.
#[derive(Clone, Copy, Debug)]
struct CellSize {
    /// Width of a cell, height of its text, and what is left free beside it, in points.
    width: f32,
    text: f32,
    margin: i8,
}

impl CellSize {
    /// For the longest text that stands on the sheet or is likely to; snug where there is no room for all axes.
    fn of(ui: &Ui, written: &Written, limits: &Limits, order: &Order, room: f32) -> Self {
        /// Width of the names of the stations, and of a mean with its symbol, in points.
        const BESIDE: f32 = 142.0;
        const MEAN: f32 = 112.0;
        let direct = limits.sizes.first().map_or(String::new(), |row| row.new.0.length.number(limits.style));
        let texts = written.readings.iter().flat_map(|reading| &reading.entered);
        let longest = texts.max_by_key(|text| text.chars().count()).unwrap_or(&direct);
        // Room for a sign and two digits at least; what is longer than any reading scrolls in its cell.
        let longest: String =
            if longest.chars().count() < 3 { "+00" } else { longest }.chars().take(12).collect();
        let size = |text: f32, margin: i8, spare: f32| {
            let words =
                ui.painter().layout_no_wrap(longest.clone(), theme::plain(text), Color32::PLACEHOLDER);
            Self { width: words.size().x + 2.0 * f32::from(margin) + spare, text, margin }
        };
        let usual = size(TEXT + 2.0, 8, 6.0);
        let axis = order.repeats as f32 * (usual.width + CELL_GAP) + MEAN;
        if BESIDE + order.axes.len() as f32 * axis <= room { usual } else { size(TEXT, 5, 3.0) }
    }
}

/// Between the cells of a place, in points.
const CELL_GAP: f32 = 4.0;

// ---- the grid

#[expect(clippy::too_many_arguments, reason = "what one grid shows, and nothing of it belongs together")]
fn grid_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut SheetView,
    written: &Written,
    cylinder: &Cylinder,
    limits: &Limits,
    assessment: &Assessment,
    order: &Order,
    size: CellSize,
) {
    let palette = cx.palette;
    let style = cx.prefs.shown(cylinder.style(limits));
    egui::Grid::new("sheet").spacing([10.0, 6.0]).min_col_width(20.0).show(ui, |ui| {
        ui.label(RichText::new("station, depth").color(palette.faint_ink));
        for axis in order.axes.iter().filter_map(|&axis| limits.axes.get(axis)) {
            ui.label(RichText::new(axis_head(axis)).font(theme::bold(TEXT)));
            ui.label(RichText::new(format!("mean Ø, {}", style.unit)).color(palette.faint_ink));
        }
        ui.end_row();
        for (index, station) in limits.stations.iter().enumerate() {
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                let depth = cx.figure(
                    station.depth,
                    quantities::length::Style {
                        unit: limits.unit,
                        decimals: station.depth.decimals(limits.unit).max(1),
                    },
                );
                ui.label(RichText::new(format!("{}  {depth}", station.name)).font(theme::bold(TEXT)));
                let role = RichText::new(station.role.words()).color(palette.faint_ink);
                ui.add(egui::Label::new(role).extend());
            });
            for &axis in &order.axes {
                let at = Point::new(index, axis);
                ui.horizontal(|ui| {
                    ui.spacing_mut().item_spacing.x = CELL_GAP;
                    for repeat in 0..order.repeats {
                        let cell = CellAt { cylinder: cx.chosen.cylinder, at, repeat };
                        if cx.session.closed().is_some() {
                            closed_cell_ui(ui, cx, written, limits, cell, size);
                        } else {
                            cell_ui(ui, view, written, limits, cell, size);
                        }
                    }
                });
                mean_ui(ui, cx, cylinder, limits, assessment, at);
            }
            ui.end_row();
        }
    });
}

/// An axis over its column: its name, its direction where the name does not say it, whether it is optional.
fn axis_head(axis: &Axis) -> String {
    let mut words = axis_words(&axis.label);
    if axis.label.parse() != Ok(axis.degrees) {
        words = format!("{words} {}°", axis.degrees);
    }
    if axis.optional { format!("{words}, optional") } else { words }
}

/// A cell of a signed overhaul: what stands there, and why nothing can be typed.
fn closed_cell_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    written: &Written,
    limits: &Limits,
    cell: CellAt,
    size: CellSize,
) {
    let stood = entered(written, limits, cell.at, cell.repeat);
    let (rect, response) = ui.allocate_exact_size(vec2(size.width, 30.0), egui::Sense::hover());
    ui.painter().rect_stroke(rect, 2.0, egui::Stroke::new(1.0, cx.palette.rule), egui::StrokeKind::Inside);
    let text = if stood.is_empty() { "\u{2013}" } else { stood };
    ui.painter().text(
        rect.left_center() + vec2(f32::from(size.margin), 0.0),
        egui::Align2::LEFT_CENTER,
        text,
        theme::plain(size.text),
        cx.palette.ink,
    );
    let name = format!("{}, repeat {}, read-only", point_words(limits, cell.at), cell.repeat + 1);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::TextInput, false, &name);
        info.current_text_value = Some(stood.to_owned());
        info
    });
    if let Some(seal) = cx.session.closed() {
        response.on_hover_text(work::seal::words::closed_words(seal));
    }
}

fn cell_ui(
    ui: &mut Ui,
    view: &mut SheetView,
    written: &Written,
    limits: &Limits,
    cell: CellAt,
    size: CellSize,
) {
    let id = cell.id();
    let stood = entered(written, limits, cell.at, cell.repeat);
    if view.go_to == Some((cell.at, cell.repeat)) {
        view.go_to = None;
        ui.memory_mut(|memory| memory.request_focus(id));
        view.draft = Some(Draft { cell, text: stood.to_owned(), stood: stood.to_owned(), fresh: true });
    }
    let has_focus = ui.memory(|memory| memory.has_focus(id));
    if has_focus && view.draft.as_ref().is_none_or(|draft| draft.cell != cell) {
        view.draft = Some(Draft { cell, text: stood.to_owned(), stood: stood.to_owned(), fresh: true });
    }
    let drafted = view.draft.as_mut().filter(|draft| draft.cell == cell);
    let mut shown = drafted.as_ref().map_or_else(|| stood.to_owned(), |draft| draft.text.clone());
    let filter = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: true };
    let output = TextEdit::singleline(&mut shown)
        .id(id)
        .desired_width(size.width)
        .min_size(vec2(size.width, 30.0))
        .font(theme::plain(size.text))
        .margin(egui::Margin::symmetric(size.margin, 5))
        .align(egui::Align2::LEFT_CENTER)
        .event_filter(filter)
        .show(ui);
    let response = output.response.response.clone();
    let name = format!("{}, repeat {}", point_words(limits, cell.at), cell.repeat + 1);
    named(&response, Role::TextInput, &name, &shown);
    if let Some(draft) = drafted {
        if draft.text != shown {
            draft.text = shown;
            draft.fresh = false;
            view.refused = false;
        } else if draft.fresh {
            // Selected whole, so that the next digit replaces it.
            let end = CCursor::new(CharIndex(shown.chars().count()));
            let mut state = output.state;
            state.cursor.set_char_range(Some(CCursorRange::two(CCursor::default(), end)));
            state.store(ui.ctx(), id);
            draft.fresh = false;
            response.scroll_to_me(None);
        }
    }
}

/// The mean of a cell, its symbol, and a mark if something looks wrong there.
fn mean_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    cylinder: &Cylinder,
    limits: &Limits,
    assessment: &Assessment,
    at: Point,
) {
    let style = cylinder.style(limits);
    let row = size_row(cylinder, limits);
    let slip = assessment.slips.iter().find(|slip| slip.at == Some(at) && !slip.confirmed);
    let doubt = contradictions(assessment).find(|(_, contradiction)| contradiction.at() == Some(at));
    let doubt = doubt.and_then(|(need, _)| reason::sentence(need, assessment, cylinder, limits));
    let doubt = doubt.or_else(|| slip.map(|slip| slip.sentence_here(limits)));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let Some(mean) = cylinder.bore.mean(at) else {
            symbols::status(ui, 20.0, RowStatus::NotMeasured).on_hover_text(RowStatus::NotMeasured.words());
            return;
        };
        let status = row
            .map_or(RowStatus::NoLimitGiven, |row| point_status(mean, row, guard(cx, cylinder, limits, at)));
        let words = format!("{}, {}: {}", point_words(limits, at), cx.figure(mean, style), status.words());
        symbols::status(ui, 20.0, status).on_hover_text(&words);
        let number = mean.number(cx.prefs.shown(style));
        let colour = symbols::status_colour(status, &cx.palette);
        ui.label(RichText::new(number).color(colour)).on_hover_text(&words);
        if let Some(doubt) = doubt {
            let flag = RichText::new("?").font(theme::bold(TEXT + 3.0)).color(cx.palette.attention);
            ui.label(flag).on_hover_text(doubt);
        }
    });
}

// ---- what is in doubt

/// What contradicts itself in a cylinder's evidence, as a reason and as it is.
fn contradictions(assessment: &Assessment) -> impl Iterator<Item = (Reason, Contradiction)> {
    assessment.needs.iter().enumerate().filter_map(|(i, need)| match need {
        Need::Contradiction(contradiction) => Some((Reason::Need(i), *contradiction)),
        _ => None,
    })
}

/// What takes readings out of the judging: contradictions, and gauges that something is wrong with.
fn doubts_ui(ui: &mut Ui, cx: &ViewCx<'_>, cylinder: &Cylinder, limits: &Limits, assessment: &Assessment) {
    let reported = contradictions(assessment);
    let reported = reported.filter_map(|(why, _)| reason::sentence(why, assessment, cylinder, limits));
    let survey = cx.session.evaluation().survey.as_ref();
    let gauges = survey.map(|survey| survey.gauges.as_slice()).unwrap_or_default();
    let unusable = gauges.iter().flat_map(|gauge| &gauge.unusable);
    let unusable = unusable.filter(|why| cylinder.unreadable.contains(why));
    let unusable = unusable.map(|why| format!("Correct this first: {why}"));
    for sentence in reported.chain(unusable) {
        let frame = egui::Frame::new().stroke(egui::Stroke::new(1.0, cx.palette.attention)).inner_margin(8.0);
        frame.show(ui, |ui| ui.add(egui::Label::new(sentence).wrap()));
        ui.add_space(4.0);
    }
}

// ---- slips

fn slips_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut SheetView,
    cylinder: &Cylinder,
    limits: &Limits,
    slips: &[Slip],
) {
    let (readings, cautions): (Vec<_>, Vec<_>) = slips.iter().partition(|slip| slip.at.is_some());
    if !readings.is_empty() {
        ui.heading("Looks wrong");
    }
    for slip in readings {
        let frame = egui::Frame::new().stroke(egui::Stroke::new(1.0, cx.palette.attention)).inner_margin(8.0);
        frame.show(ui, |ui| slip_ui(ui, cx, view, cylinder, limits, slip));
        ui.add_space(4.0);
    }
    if !cautions.is_empty() {
        ui.heading("Cautions");
    }
    for slip in cautions {
        ui.add(egui::Label::new(slip.sentence_here(limits)).wrap());
    }
}

fn slip_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut SheetView,
    cylinder: &Cylinder,
    limits: &Limits,
    slip: &Slip,
) {
    ui.add(egui::Label::new(slip.sentence_here(limits)).wrap());
    let Some(at) = slip.at else { return };
    let place = point_words(limits, at);
    if slip.confirmed {
        let reason = cx.cylinder().and_then(|c| reading(c, limits, at)).map_or("", |r| r.confirmed.as_str());
        ui.label(format!("It stands: {reason}"));
        if ui.button(format!("Take that back for {place}")).clicked() {
            cx.edit(CylinderEdit::Confirm(at, String::new()));
        }
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button(format!("Retype {place}")).clicked() {
            view.focus_on(at, slip.repeat.unwrap_or(0));
        }
        let intended = slip
            .corrected(&cylinder.bore)
            .and_then(|bore| cx.session.readings_for(cx.chosen.cylinder, &bore));
        if let Some(cells) = intended {
            let texts: Vec<&str> = cells.iter().map(|(_, _, text)| text.as_str()).collect();
            let words = match texts.as_slice() {
                [_, _, _, _, ..] => format!("Put what was probably meant at {} places", texts.len()),
                few => format!("Put {} instead", few.join(" and ")),
            };
            if ui.button(words).clicked() {
                cx.edit(CylinderEdit::Readings { cells, gauge: None });
            }
        }
        let confirming = view.confirming.as_ref().is_some_and(|(confirming, _)| *confirming == at);
        if !confirming && ui.button(format!("It stands, {place}")).clicked() {
            view.confirming = Some((at, String::new()));
        }
    });
    let Some((confirming, why)) = &mut view.confirming else { return };
    if *confirming != at {
        return;
    }
    let label = ui.label("Why does it stand, though it looks wrong? (It is kept with the reading.)");
    let line = ui.add(TextEdit::singleline(why).desired_width(360.0)).labelled_by(label.id);
    let entered = dialogs::entered(ui, &line);
    let why = why.trim().to_owned();
    if (ui.add_enabled(!why.is_empty(), Button::new("Keep the reading")).clicked() || entered)
        && !why.is_empty()
    {
        cx.edit(CylinderEdit::Confirm(at, why));
        view.confirming = None;
    }
}
