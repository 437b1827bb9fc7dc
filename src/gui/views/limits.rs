//! The Limits: the table as the table it is, its values as typed, and the validator's remarks beside their
//! rows. Another revision can be read from a file, and what it would change is seen before it is accepted.
//!
//! A value that cannot be read yet stays in a draft of the whole table, and the table in force stands, so
//! that nothing is judged by half a number.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::Path;

use eframe::egui::{self, ComboBox, RichText, ScrollArea, Ui};

use super::fields::{bare, faint, line, unit_words};
use crate::diag::{Diagnostic, Severity};
use crate::file;
use crate::gui::symbols;
use crate::gui::theme::{self, TEXT};
use crate::gui::{Action, ViewCx};
use crate::limits::Limits;
use crate::limits::schema::{
    Cut, Datum, DecisionRule, FindingAnswer, JudgedOn, Limit, MixedOversizes, OutOfRoundRule, PartKind, Size,
    Source, StationRole, Surface, TableOfLimits, TaperRule, Value, WhenBeyond,
};
use crate::limits::validate::validate;
use crate::session::Command;
use crate::session::swap::Swap;
use crate::wording::capitalised;

/// Width of a number, of a reference, of a description and of a choice, in points.
const NUMBER: f32 = 92.0;
const REFERENCE: f32 = 44.0;
const NAME: f32 = 150.0;
const CHOICE: f32 = 116.0;
/// Of a limit: how it is stated, and the number.
const SERVICEABLE: f32 = CHOICE + 8.0 + NUMBER;

/// What the limits keep for themselves.
#[derive(Debug, Default)]
pub struct LimitsView {
    /// A table that cannot be judged by yet: the record's state it was typed over, and its index there.
    draft: Option<(u64, usize, TableOfLimits)>,
    /// Remarks, and what they were made for: the record's state, and how often the draft was changed.
    remarks: Option<((u64, usize, u64), Vec<Diagnostic>)>,
    edits: u64,
    path: String,
    wrong: Vec<Diagnostic>,
    swap: Option<(u64, Swap)>,
    swapping: bool,
}

/// Draws the table of limits of the chosen overhaul.
pub(in crate::gui) fn limits_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LimitsView) {
    let session = cx.session;
    ui.horizontal_wrapped(|ui| {
        ui.heading("Table of limits");
        let words = if view.swapping { "Back to the table" } else { "Another revision" };
        if ui.button(words).clicked() {
            view.swapping = !view.swapping;
        }
    });
    if view.swapping {
        swap_ui(ui, cx, view);
        return;
    }
    let Some((index, table)) = session.table() else {
        ui.label(
            "This overhaul names no table that the record holds. Read one from a file: Another revision.",
        );
        return;
    };
    let state = session.state();
    // A draft over a record that has changed since, as by undo, is gone.
    view.draft = view.draft.take().filter(|(of, at, _)| (*of, *at) == (state, index));
    let mut edited = view.draft.as_ref().map_or_else(|| table.clone(), |(_, _, draft)| draft.clone());
    let before = edited.clone();
    let key = (state, index, view.edits);
    if view.remarks.as_ref().is_none_or(|(of, _)| *of != key) {
        view.remarks = Some((key, validate(&edited)));
    }
    let remarks = view.remarks.as_ref().map(|(_, remarks)| remarks.as_slice()).unwrap_or_default();
    let beside = Beside { remarks, shown: RefCell::default() };
    if view.draft.is_some() {
        ui.horizontal_wrapped(|ui| {
            ui.label(
                RichText::new(
                    "Not in force yet: it cannot be judged by as it is typed. The table as it stood is judged by.",
                )
                .color(cx.palette.beyond),
            );
            if ui.button("Leave the change").clicked() {
                edited = table.clone();
            }
        });
    }
    summary_ui(ui, cx, remarks);
    ui.separator();
    ScrollArea::both().id_salt("limits").auto_shrink(false).show(ui, |ui| {
        let mut page = Page { cx, beside: &beside, wide: ui.available_width() > 800.0 };
        page.heading_ui(ui, &mut edited);
        page.bore_ui(ui, &mut edited);
        page.figures_ui(ui, &mut edited);
        page.wall_ui(ui, &mut edited);
        page.frame_ui(ui, &mut edited);
        page.parts_ui(ui, &mut edited);
        page.fits_ui(ui, &mut edited);
        page.findings_ui(ui, &mut edited);
        page.others_ui(ui);
        ui.add_space(12.0);
    });
    if edited != before {
        view.edits += 1;
        let readable = Limits::resolve(&edited).is_ok() || Limits::resolve(table).is_err();
        view.draft = None;
        if edited == *table {
            // Typed back to what it was.
        } else if readable {
            cx.ask(Action::Do(Command::EditLimits(index, Box::new(edited))));
        } else {
            view.draft = Some((state, index, edited));
        }
    }
}

/// How many remarks there are, and where.
fn summary_ui(ui: &mut Ui, cx: &ViewCx<'_>, remarks: &[Diagnostic]) {
    let errors = remarks.iter().filter(|remark| remark.is_error()).count();
    let notes = remarks.len() - errors;
    let count = |number: usize, what: &str| match number {
        1 => format!("1 {what}"),
        _ => format!("{number} {what}s"),
    };
    if remarks.is_empty() {
        faint(
            ui,
            cx,
            "Order, unit pairs, steps of the oversizes and clearances against parts: nothing to remark.",
        );
    } else {
        let colour = if errors > 0 { cx.palette.beyond } else { cx.palette.attention };
        let words = format!("{} and {}, each beside its row.", count(errors, "error"), count(notes, "note"));
        ui.label(RichText::new(words).color(colour));
    }
}

/// The validator's remarks, and which of them have found their row.
struct Beside<'a> {
    remarks: &'a [Diagnostic],
    shown: RefCell<BTreeSet<usize>>,
}

impl Beside<'_> {
    fn remark_ui(ui: &mut Ui, cx: &ViewCx<'_>, remark: &Diagnostic, place: bool) {
        let (colour, what) = match remark.severity {
            Severity::Error => (cx.palette.beyond, "Error"),
            Severity::Note => (cx.palette.attention, "Note"),
        };
        let place =
            if place && !remark.place.is_empty() { format!("{}: ", remark.place) } else { String::new() };
        let text = format!("{what}: {place}{} {}", remark.message, remark.remedy);
        let most = (ui.clip_rect().right() - ui.cursor().left() - 16.0).max(200.0);
        ui.scope(|ui| {
            ui.set_max_width(most);
            ui.add(egui::Label::new(RichText::new(text.trim_end()).color(colour)).wrap());
        });
    }

    /// The remarks on a row: those whose way begins with the row's.
    fn row_ui(&self, ui: &mut Ui, cx: &ViewCx<'_>, row: &str) {
        for (i, remark) in self.remarks.iter().enumerate() {
            let way = remark.path.to_string();
            let here =
                way.strip_prefix(row).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
            if here && self.shown.borrow_mut().insert(i) {
                Self::remark_ui(ui, cx, remark, false);
            }
        }
    }
}

/// The page under the pen.
struct Page<'a, 'b, 'c> {
    cx: &'a mut ViewCx<'b>,
    beside: &'c Beside<'c>,
    wide: bool,
}

/// A choice among a few.
fn choice<T: PartialEq + Copy>(ui: &mut Ui, whole: &str, value: &mut T, of: &[(T, &str)], width: f32) {
    let shown = of.iter().find(|(known, _)| known == value).map_or("?", |(_, words)| words);
    let combo = ComboBox::from_id_salt(whole).width(width).selected_text(shown).show_ui(ui, |ui| {
        for (known, words) in of {
            ui.selectable_value(value, *known, *words);
        }
    });
    combo.response.widget_info(|| {
        let mut info = egui::WidgetInfo::labeled(egui::Role::ComboBox, true, whole);
        info.current_text_value = Some(shown.to_owned());
        info
    });
}

/// A cell of fixed width with words in it.
fn cell(ui: &mut Ui, width: f32, text: RichText) {
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(egui::vec2(width, 28.0), layout, |ui| {
        ui.set_min_width(width);
        let full = text.text().to_owned();
        ui.add(egui::Label::new(text).truncate()).on_hover_text(full);
    });
}

/// How a limit is stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stated {
    At,
    OverNew,
    PerBore,
    PerTravel,
}

impl Stated {
    const ALL: [(Self, &'static str); 4] = [
        (Self::At, "at"),
        (Self::OverNew, "over new by"),
        (Self::PerBore, "per bore"),
        (Self::PerTravel, "per travel"),
    ];

    fn of(limit: &Limit) -> (Self, &Value) {
        match limit {
            Limit::At(value) => (Self::At, value),
            Limit::OverNew(value) => (Self::OverNew, value),
            Limit::PerBore(value) => (Self::PerBore, value),
            Limit::PerTravel(value) => (Self::PerTravel, value),
        }
    }

    fn with(self, value: Value) -> Limit {
        match self {
            Self::At => Limit::At(value),
            Self::OverNew => Limit::OverNew(value),
            Self::PerBore => Limit::PerBore(value),
            Self::PerTravel => Limit::PerTravel(value),
        }
    }
}

impl Page<'_, '_, '_> {
    fn section(&self, ui: &mut Ui, name: &str, columns: &[(&str, f32)]) {
        ui.add_space(8.0);
        ui.heading(name);
        if !columns.is_empty() {
            ui.horizontal(|ui| {
                for (words, width) in columns {
                    cell(ui, *width, RichText::new(*words).color(self.cx.palette.faint_ink));
                }
            });
        }
    }

    fn value(&mut self, ui: &mut Ui, whole: &str, value: &mut Value) {
        let response = bare(ui, self.cx, whole, &mut value.text, NUMBER);
        if !value.place.is_empty() {
            response.on_hover_text(&value.place);
        }
    }

    /// A value that may be left blank, which is no limit given and not a pass.
    fn blank(&mut self, ui: &mut Ui, whole: &str, value: &mut Option<Value>) {
        let mut shown = value.clone().unwrap_or_default();
        self.value(ui, whole, &mut shown);
        let stood = value.clone().unwrap_or_default();
        if shown != stood {
            *value = Some(shown).filter(|value| !value.text.trim().is_empty());
        }
    }

    fn limit(&mut self, ui: &mut Ui, whole: &str, limit: &mut Option<Limit>) {
        let (mut stated, value) = limit.as_ref().map_or((Stated::At, None), |limit| {
            let (stated, value) = Stated::of(limit);
            (stated, Some(value.clone()))
        });
        let (was, mut value) = ((stated, value.clone()), value);
        choice(ui, &format!("{whole}, how it is stated"), &mut stated, &Stated::ALL, CHOICE);
        self.blank(ui, whole, &mut value);
        if (stated, &value) != (was.0, &was.1) {
            *limit = value.map(|value| stated.with(value));
        }
    }

    fn pair(&mut self, ui: &mut Ui, row: &str, new: &mut (Value, Value)) {
        self.value(ui, &format!("{row}: as made, least"), &mut new.0);
        self.value(ui, &format!("{row}: as made, most"), &mut new.1);
    }

    fn reference(&mut self, ui: &mut Ui, row: &str, reference: &mut String) {
        bare(ui, self.cx, &format!("{row}: reference"), reference, REFERENCE);
    }

    fn place(&mut self, ui: &mut Ui, row: &str, place: &mut String) {
        if self.wide {
            bare(ui, self.cx, &format!("{row}: place in the manual"), place, 170.0);
        }
    }

    fn when_beyond(&mut self, ui: &mut Ui, row: &str, when: &mut WhenBeyond) {
        let of = [(WhenBeyond::Rebore, "rebore"), (WhenBeyond::Replace, "replace")];
        choice(ui, &format!("{row}: when beyond"), when, &of, 100.0);
    }

    fn heading_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        ui.horizontal(|ui| {
            line(ui, self.cx, "Identity", "Identity of the table", &mut table.identity, 170.0);
            line(ui, self.cx, "revision", "Revision of the table", &mut table.revision, 70.0);
        });
        ui.horizontal(|ui| {
            line(ui, self.cx, "Engine", "Engine the table is for", &mut table.engine, 320.0);
        });
        match &mut table.source {
            Source::Illustrative { remark } => {
                ui.label(
                    RichText::new("Illustrative: invented for practice, not for any real engine.")
                        .font(theme::bold(TEXT))
                        .color(self.cx.palette.attention),
                );
                ui.horizontal(|ui| {
                    line(ui, self.cx, "Remark", "Remark on the table", remark, 420.0);
                });
            }
            Source::Manual { document, dated, copied_by } => {
                ui.horizontal(|ui| {
                    line(ui, self.cx, "Copied from", "Document it was copied from", document, 320.0);
                    line(ui, self.cx, "by", "Who copied it", copied_by, 150.0);
                    if let Some(dated) = dated {
                        ui.label(format!("dated {dated}"));
                    }
                });
            }
        }
        for row in ["format", "identity", "revision", "engine", "source"] {
            self.beside.row_ui(ui, self.cx, row);
        }
        faint(
            ui,
            self.cx,
            format!(
                "In {} where a number names no unit. A blank limit is \u{201c}no limit given\u{201d}: not a pass.",
                unit_words(table.unit)
            ),
        );
    }

    fn bore_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let columns = [
            ("ref.", REFERENCE),
            ("size", NAME),
            ("as made", NUMBER),
            ("to", NUMBER),
            ("serviceable", SERVICEABLE),
        ];
        self.section(ui, "Bore", &columns);
        for (i, row) in table.bore.iter_mut().enumerate() {
            let name = match &row.size {
                Size::Standard => "standard".to_owned(),
                Size::Oversize(text) => format!("oversize {text}"),
            };
            let whole = format!("bore, {name}");
            ui.horizontal(|ui| {
                self.reference(ui, &whole, &mut row.reference);
                match &mut row.size {
                    Size::Standard => cell(ui, NAME, RichText::new(&name)),
                    Size::Oversize(text) => {
                        bare(ui, self.cx, &format!("bore, row {}: oversize", i + 1), text, NAME);
                    }
                }
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, &format!("bore[{i}]"));
        }
        ui.horizontal(|ui| {
            ui.label("Judged on");
            let of = [(JudgedOn::EveryPoint, "every point"), (JudgedOn::Average, "the average")];
            choice(ui, "Bore judged on", &mut table.bore_judged_on, &of, 130.0);
        });
        self.beside.row_ui(ui, self.cx, "bore");
        self.beside.row_ui(ui, self.cx, "bore_judged_on");
    }

    fn figures_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let columns = [
            ("ref.", REFERENCE),
            ("figure", NAME),
            ("as made", NUMBER),
            ("to", NUMBER),
            ("serviceable", SERVICEABLE),
            ("when beyond", 120.0),
        ];
        self.section(ui, "Shape", &columns);
        let space = |ui: &mut Ui, width: f32| cell(ui, width, RichText::new(""));
        if let Some(row) = &mut table.taper {
            ui.horizontal(|ui| {
                self.reference(ui, "taper", &mut row.reference);
                cell(ui, NAME, RichText::new("Taper"));
                space(ui, NUMBER);
                self.blank(ui, "taper: as made, most", &mut row.new);
                self.limit(ui, "taper: serviceable", &mut row.serviceable);
                self.when_beyond(ui, "taper", &mut row.when_beyond);
                self.place(ui, "taper", &mut row.place);
            });
            ui.horizontal(|ui| {
                space(ui, REFERENCE);
                let of = TaperRule::ALL.map(|rule| (rule, rule.words()));
                choice(ui, "Taper rule", &mut row.rule, &of, 440.0);
                if !row.stations.is_empty() {
                    faint(ui, self.cx, format!("on {}", row.stations.join(", ")));
                }
            });
            self.beside.row_ui(ui, self.cx, "taper");
        }
        if let Some(row) = &mut table.out_of_round {
            ui.horizontal(|ui| {
                self.reference(ui, "out-of-round", &mut row.reference);
                cell(ui, NAME, RichText::new("Out-of-round"));
                space(ui, NUMBER);
                self.blank(ui, "out-of-round: as made, most", &mut row.new);
                self.limit(ui, "out-of-round: serviceable", &mut row.serviceable);
                self.when_beyond(ui, "out-of-round", &mut row.when_beyond);
                self.place(ui, "out-of-round", &mut row.place);
            });
            ui.horizontal(|ui| {
                space(ui, REFERENCE);
                let of = OutOfRoundRule::ALL.map(|rule| (rule, rule.words()));
                choice(ui, "Out-of-round rule", &mut row.rule, &of, 440.0);
            });
            self.beside.row_ui(ui, self.cx, "out_of_round");
        }
        if let Some(row) = &mut table.choke {
            ui.horizontal(|ui| {
                self.reference(ui, "choke", &mut row.reference);
                cell(ui, NAME, RichText::new("Choke, at least"));
                match &mut row.new {
                    Some(new) => self.pair(ui, "choke", new),
                    None => {
                        space(ui, NUMBER);
                        space(ui, NUMBER);
                    }
                }
                space(ui, CHOICE);
                self.blank(ui, "choke: least that may remain", &mut row.least);
                self.when_beyond(ui, "choke", &mut row.when_beyond);
                self.place(ui, "choke", &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, "choke");
        }
        if let Some(row) = &mut table.step {
            ui.horizontal(|ui| {
                self.reference(ui, "step", &mut row.reference);
                cell(ui, NAME, RichText::new("Step, per side"));
                space(ui, NUMBER);
                space(ui, NUMBER);
                space(ui, CHOICE);
                self.blank(ui, "step: serviceable", &mut row.serviceable);
                self.when_beyond(ui, "step", &mut row.when_beyond);
                self.place(ui, "step", &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, "step");
        }
        ui.horizontal(|ui| {
            ui.label("Decision rule");
            let of = DecisionRule::ALL.map(|rule| (rule, rule.words()));
            choice(ui, "Decision rule", &mut table.decision, &of, 440.0);
        });
        self.beside.row_ui(ui, self.cx, "decision");
    }

    fn wall_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        self.section(ui, "Wall", &[]);
        ui.horizontal(|ui| {
            ui.label("Surface");
            let of = [
                (Surface::Plain, "plain"),
                (Surface::Nitrided, "nitrided"),
                (Surface::ChromiumPlated, "chromium plated"),
            ];
            choice(ui, "Surface of the wall", &mut table.wall.surface, &of, 140.0);
            ui.label("may be cut");
            #[derive(Clone, Copy, PartialEq)]
            enum Kind {
                Allowed,
                NoDeeperThan,
                NotAllowed,
            }
            let was = match &table.wall.cut {
                Cut::Allowed => Kind::Allowed,
                Cut::NoDeeperThan(_) => Kind::NoDeeperThan,
                Cut::NotAllowed => Kind::NotAllowed,
            };
            let mut kind = was;
            let of = [
                (Kind::Allowed, "as far as the oversizes go"),
                (Kind::NoDeeperThan, "per side, no deeper than"),
                (Kind::NotAllowed, "not at all"),
            ];
            choice(ui, "How far the wall may be cut", &mut kind, &of, 210.0);
            if kind != was {
                table.wall.cut = match kind {
                    Kind::Allowed => Cut::Allowed,
                    Kind::NoDeeperThan => Cut::NoDeeperThan(Value::default()),
                    Kind::NotAllowed => Cut::NotAllowed,
                };
            }
            if let Cut::NoDeeperThan(value) = &mut table.wall.cut {
                self.value(ui, "Deepest cut per side", value);
            }
        });
        self.beside.row_ui(ui, self.cx, "wall");
        ui.horizontal(|ui| {
            ui.label("Clean-up allowance on the diameter");
            self.value(ui, "Clean-up allowance", &mut table.clean_up_allowance);
        });
        self.beside.row_ui(ui, self.cx, "clean_up_allowance");
        ui.horizontal(|ui| {
            ui.label("Different oversizes in one engine");
            let of = [
                (MixedOversizes::Allowed, "allowed"),
                (MixedOversizes::NotAllowed, "not allowed"),
                (MixedOversizes::NotStated, "not stated"),
            ];
            choice(ui, "Different oversizes in one engine", &mut table.mixed_oversizes, &of, 120.0);
        });
        self.beside.row_ui(ui, self.cx, "mixed_oversizes");
    }

    /// Stations and axes. Their names stay: the readings are kept under them.
    fn frame_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let from = match table.datum {
            Datum::HeadEnd => "depth from the head",
            Datum::BaseEnd => "depth from the base",
        };
        self.section(
            ui,
            "Stations and axes",
            &[("station", NAME), (from, 150.0), ("part in the judging", 200.0)],
        );
        for (i, station) in table.stations.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                cell(ui, NAME, RichText::new(&station.name));
                let whole = format!("station {}", station.name);
                bare(ui, self.cx, &format!("{whole}: depth"), &mut station.depth.text, 150.0);
                let of = [
                    (StationRole::AboveRingTravel, "above ring travel"),
                    (StationRole::TopOfRingTravel, "top of ring travel"),
                    (StationRole::HeadEnd, "head end"),
                    (StationRole::RunningSurface, "running surface"),
                    (StationRole::BaseEnd, "base end"),
                    (StationRole::BelowRingTravel, "below ring travel"),
                ];
                choice(ui, &format!("{whole}: part in the judging"), &mut station.role, &of, 180.0);
            });
            self.beside.row_ui(ui, self.cx, &format!("stations[{i}]"));
        }
        self.beside.row_ui(ui, self.cx, "stations");
        for (i, axis) in table.axes.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                cell(ui, NAME, RichText::new(format!("axis {}", axis.label)));
                cell(ui, 150.0, RichText::new(format!("{}\u{b0}", axis.degrees)));
                ui.checkbox(&mut axis.optional, format!("axis {} may be left out", axis.label));
            });
            self.beside.row_ui(ui, self.cx, &format!("axes[{i}]"));
        }
        self.beside.row_ui(ui, self.cx, "axes");
        ui.horizontal(|ui| {
            if let Some((top, bottom)) = &mut table.ring_travel {
                ui.label("Ring travel from");
                self.value(ui, "Ring travel, top", top);
                ui.label("to");
                self.value(ui, "Ring travel, bottom", bottom);
            }
            ui.label("Stroke");
            self.blank(ui, "Stroke", &mut table.stroke);
        });
        self.beside.row_ui(ui, self.cx, "ring_travel");
        self.beside.row_ui(ui, self.cx, "stroke");
    }

    fn parts_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        if table.parts.is_empty() {
            return;
        }
        let columns = [
            ("ref.", REFERENCE),
            ("part", NAME),
            ("as made", NUMBER),
            ("to", NUMBER),
            ("serviceable", SERVICEABLE),
        ];
        self.section(ui, "Parts", &columns);
        for (i, row) in table.parts.iter_mut().enumerate() {
            let size = match &row.size {
                None => String::new(),
                Some(Size::Standard) => ", standard".to_owned(),
                Some(Size::Oversize(text)) => format!(", +{text}"),
            };
            let whole = format!("{}{size}", row.description);
            ui.horizontal(|ui| {
                self.reference(ui, &whole, &mut row.reference);
                let kind = match row.kind {
                    PartKind::Hole => "hole",
                    PartKind::Shaft => "shaft",
                };
                cell(ui, NAME, RichText::new(format!("{whole} ({kind})")));
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, &format!("parts[{i}]"));
        }
    }

    fn fits_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let columns = [
            ("ref.", REFERENCE),
            ("pair or ring", NAME),
            ("as made", NUMBER),
            ("to", NUMBER),
            ("serviceable", SERVICEABLE),
        ];
        if !table.fits.is_empty() || !table.ring_gaps.is_empty() {
            self.section(ui, "Clearances and ring gaps", &columns);
        }
        for (i, row) in table.fits.iter_mut().enumerate() {
            let whole = row.description.clone();
            ui.horizontal(|ui| {
                cell(ui, REFERENCE, RichText::new(&row.reference));
                cell(ui, NAME, RichText::new(&whole));
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, &format!("fits[{i}]"));
        }
        for (i, row) in table.ring_gaps.iter_mut().enumerate() {
            let whole = format!("{}, gap", row.description);
            ui.horizontal(|ui| {
                cell(ui, REFERENCE, RichText::new(&row.reference));
                cell(ui, NAME, RichText::new(&whole));
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
            });
            self.beside.row_ui(ui, self.cx, &format!("ring_gaps[{i}]"));
        }
        if let Some(row) = &mut table.piston_weight_spread {
            ui.horizontal(|ui| {
                self.reference(ui, "piston weights", &mut row.reference);
                cell(ui, NAME, RichText::new("Pistons, apart at most"));
                bare(ui, self.cx, "Piston weights, apart at most", &mut row.most, NUMBER);
            });
            self.beside.row_ui(ui, self.cx, "piston_weight_spread");
        }
    }

    fn findings_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        if !table.findings.is_empty() {
            let columns = [
                ("finding", 210.0),
                ("answer", 130.0),
                ("repairable to", NUMBER + 10.0),
                ("what to do", 300.0),
            ];
            self.section(ui, "Findings that it answers otherwise", &columns);
        }
        for (i, row) in table.findings.iter_mut().enumerate() {
            let whole = row.kind.words();
            ui.horizontal(|ui| {
                cell(ui, 210.0, RichText::new(capitalised(whole)));
                let of = [
                    (FindingAnswer::Replace, "replace"),
                    (FindingAnswer::DepthDecides, "depth decides"),
                    (FindingAnswer::Hone, "hone"),
                    (FindingAnswer::Repair, "repair"),
                ];
                choice(ui, &format!("{whole}: answer"), &mut row.answer, &of, 120.0);
                self.blank(ui, &format!("{whole}: repairable to"), &mut row.repairable_to);
                bare(ui, self.cx, &format!("{whole}: what to do"), &mut row.remedy, 300.0);
            });
            self.beside.row_ui(ui, self.cx, &format!("findings[{i}]"));
        }
    }

    /// What belongs to no row above.
    fn others_ui(&mut self, ui: &mut Ui) {
        let rest: Vec<&Diagnostic> = {
            let shown = self.beside.shown.borrow();
            let rest = self.beside.remarks.iter().enumerate().filter(|(i, _)| !shown.contains(i));
            rest.map(|(_, remark)| remark).collect()
        };
        if !rest.is_empty() {
            self.section(ui, "On the table as a whole", &[]);
        }
        for remark in rest {
            Beside::remark_ui(ui, self.cx, remark, true);
        }
    }
}

// ---- another revision

fn swap_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LimitsView) {
    let session = cx.session;
    ScrollArea::vertical().id_salt("swap").auto_shrink(false).show(ui, |ui| {
        ui.label(
            "Read another revision, and see what it would change before this overhaul is judged by it. The \
             record keeps the table it had.",
        );
        let mut read = None;
        ui.horizontal_wrapped(|ui| {
            let field = line(ui, cx, "File", "File with a table of limits", &mut view.path, 380.0);
            let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
            if ui.button("Read it").clicked() || entered {
                let told = file::load_limits(Path::new(view.path.trim()));
                view.wrong = told.diagnostics;
                read = told.value;
            }
        });
        let here = session.table().map(|(index, _)| index);
        let others = session.record().tables.iter().enumerate().filter(|(index, _)| Some(*index) != here);
        ui.horizontal_wrapped(|ui| {
            for (_, table) in others {
                let words = format!("{}, revision {}, from this record", table.identity, table.revision);
                if ui.button(words).clicked() {
                    view.wrong.clear();
                    read = Some(table.clone());
                }
            }
        });
        if let Some(table) = read {
            let mut remarks = validate(&table);
            match session.swap_preview(&table) {
                Ok(swap) => view.swap = Some((session.state(), swap)),
                Err(errors) => {
                    view.swap = None;
                    remarks.extend(errors);
                }
            }
            for remark in remarks {
                if !view
                    .wrong
                    .iter()
                    .any(|known| known.message == remark.message && known.path == remark.path)
                {
                    view.wrong.push(remark);
                }
            }
        }
        for diagnostic in &view.wrong {
            Beside::remark_ui(ui, cx, diagnostic, true);
        }
        // What was worked out for a record that has changed since is worked out anew.
        let state = session.state();
        let stale = view.swap.as_ref().is_some_and(|(of, _)| *of != state);
        if stale && let Some((_, swap)) = view.swap.take() {
            view.swap = session.swap_preview(&swap.table).ok().map(|swap| (state, swap));
        }
        let mut done = false;
        if let Some((_, swap)) = &view.swap {
            done = changes_ui(ui, cx, swap);
        }
        if done {
            view.swap = None;
            view.wrong.clear();
            view.swapping = false;
        }
    });
}

/// What another table would change; says whether it was accepted or left.
fn changes_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, swap: &Swap) -> bool {
    ui.add_space(8.0);
    ui.heading(format!("By {}, revision {}", swap.table.identity, swap.table.revision));
    if swap.table.source.is_illustrative() {
        ui.label(
            RichText::new("Illustrative: invented for practice, not for any real engine.")
                .color(cx.palette.attention),
        );
    }
    let differing = swap.changes.iter().filter(|change| change.differs()).count();
    ui.label(match differing {
        0 => "No outcome would change.".to_owned(),
        1 => "The outcome of 1 cylinder would change.".to_owned(),
        _ => format!("The outcome of {differing} cylinders would change."),
    });
    for change in &swap.changes {
        ui.horizontal_wrapped(|ui| {
            symbols::outcome(ui, 24.0, change.then.0);
            let now = change.now.as_ref().map_or("cannot be judged", |(_, words)| words.as_str());
            let name = capitalised(&change.cylinder);
            if change.differs() {
                let colour = symbols::outcome_colour(change.then.0, &cx.palette);
                let words = format!("{name}: {} instead of {now}", change.then.1);
                ui.label(RichText::new(words).font(theme::bold(TEXT)).color(colour));
            } else {
                ui.label(format!("{name}: {now}, the same"));
            }
        });
    }
    for diagnostic in &swap.diagnostics {
        Beside::remark_ui(ui, cx, diagnostic, true);
    }
    let mut done = false;
    ui.horizontal_wrapped(|ui| {
        if ui.button("Judge this overhaul by it").clicked() {
            cx.ask(Action::Do(Command::SwapLimits(Box::new(swap.table.clone()))));
            done = true;
        }
        if ui.button("Leave it").clicked() {
            done = true;
        }
    });
    done
}
