//! The Limits: the table as the table it is, its values as typed, and the validator's remarks beside their
//! rows. Another revision can be read from a file, and what it would change is seen before it is accepted.
//!
//! A value that cannot be read yet stays in a draft of the whole table, and the table in force stands, so
//! that nothing is judged by half a number.

use std::cell::RefCell;
use std::collections::BTreeSet;

use eframe::egui::{self, ComboBox, RichText, ScrollArea, Ui};

use crate::browse::{Browse, Wanted};
use crate::cx::{Action, ViewCx};
use crate::dialogs::{browse_ui, entered, typed_path};
use crate::fields::{bare, faint, line, named, unit_words};
use crate::symbols;
use crate::theme::{self, TEXT};
use records::diag::{self, Diagnostic, FieldPath, Severity};
use records::file;
use records::limits::rows::{AsMade, Needs, RowName, Side};
use records::limits::schema::{
    Axis, BoreRow, Cut, Datum, DecisionRule, FindingAnswer, FindingKind, FindingRule, FitKind, FitRow,
    JudgedOn, Limit, MixedOversizes, PartKind, PartRow, RingGapRow, ShapeRow, Size, Source, Station,
    StationRole, Surface, TableOfLimits, Value, WeightRow, WhenBeyond,
};
use records::limits::validate::{sound, validate};
use records::record::resolve;
use records::wording::capitalised;
use work::session::swap::Swap;
use work::session::{Command, Session};

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
    /// A table that cannot be judged by yet.
    draft: Option<Draft>,
    /// Remarks, and what they were made for: the record's state, and how often the draft was changed.
    remarks: Option<((u64, usize, u64), Vec<Diagnostic>)>,
    edits: u64,
    path: String,
    wrong: Vec<Diagnostic>,
    swap: Option<(u64, Swap)>,
    swapping: bool,
    browse: Browse,
}

/// A table half typed.
#[derive(Debug)]
struct Draft {
    /// Index of the table in the record.
    index: usize,
    /// The table it was typed over.
    over: TableOfLimits,
    table: TableOfLimits,
    /// As it stood before each step, the latest last, and after those taken back.
    done: Vec<TableOfLimits>,
    undone: Vec<TableOfLimits>,
    /// The field that the last step was typed in; none: it was a choice, or a row added or taken away.
    field: Option<egui::Id>,
}

impl LimitsView {
    /// Is there a table half typed that is not in force yet?
    pub(crate) fn has_draft(&self) -> bool {
        self.draft.is_some()
    }

    /// The table that is half typed, its index in the record, and how often it was changed.
    pub(crate) fn half_typed(&self, session: &Session) -> Option<(usize, &TableOfLimits, u64)> {
        let draft = self.draft.as_ref()?;
        // Over a table that has changed since, as by undo, it is gone when it is drawn next.
        let in_force = session.record().tables.get(draft.index) == Some(&draft.over);
        in_force.then_some((draft.index, &draft.table, self.edits))
    }

    /// Takes a table up again that was half typed before the program ended.
    pub(crate) fn restore_draft(&mut self, index: usize, over: &TableOfLimits, edited: TableOfLimits) {
        self.edits += 1;
        self.keep_draft(index, over, edited, None);
    }

    /// Is there a step of a half-typed table to take back, or to do again?
    pub(crate) fn can_cross_draft(&self, back: bool) -> bool {
        let steps = self.draft.as_ref().map(|draft| if back { &draft.done } else { &draft.undone });
        steps.is_some_and(|steps| !steps.is_empty())
    }

    /// Takes the last step of a half-typed table back, or does it again; says whether there was one.
    pub(crate) fn step_draft(&mut self, back: bool) -> bool {
        let Some(draft) = &mut self.draft else { return false };
        let (from, to) =
            if back { (&mut draft.done, &mut draft.undone) } else { (&mut draft.undone, &mut draft.done) };
        let Some(other) = from.pop() else { return false };
        to.push(std::mem::replace(&mut draft.table, other));
        draft.field = None;
        self.edits += 1;
        if draft.table == draft.over {
            self.draft = None;
        }
        true
    }

    /// Keeps a table that cannot be judged by yet, with the steps that led to it.
    fn keep_draft(
        &mut self,
        index: usize,
        over: &TableOfLimits,
        edited: TableOfLimits,
        field: Option<egui::Id>,
    ) {
        let draft = self.draft.get_or_insert_with(|| Draft {
            index,
            over: over.clone(),
            table: over.clone(),
            done: Vec::new(),
            undone: Vec::new(),
            field: None,
        });
        let before = std::mem::replace(&mut draft.table, edited);
        if field.is_none() || draft.field != field || draft.done.is_empty() {
            draft.done.push(before);
        }
        draft.undone.clear();
        draft.field = field;
    }
}

/// Draws the table of limits of the chosen overhaul.
pub(crate) fn limits_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut LimitsView) {
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
    // A draft over a table that has changed since, as by undo, is gone.
    view.draft = view.draft.take().filter(|draft| draft.index == index && draft.over == *table);
    let mut edited = view.draft.as_ref().map_or_else(|| table.clone(), |draft| draft.table.clone());
    let before = edited.clone();
    let key = (state, index, view.edits);
    if view.remarks.as_ref().is_none_or(|(of, _)| *of != key) {
        view.remarks = Some((key, validate(&edited)));
    }
    let remarks = view.remarks.as_ref().map(|(_, remarks)| remarks.as_slice()).unwrap_or_default();
    let beside = RowRemarks { remarks, shown: RefCell::default() };
    if view.draft.is_some() {
        ui.horizontal_wrapped(|ui| {
            let why = if resolve::is_taken(session.record(), index, &edited) {
                "the record holds another table of this identity and revision"
            } else {
                "it cannot be judged by as it is typed"
            };
            let words = format!("Not in force yet: {why}. The table as it stood is judged by.");
            ui.label(RichText::new(words).color(cx.palette.beyond));
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
        // What is typed on in a field is one step; a choice, or a row added or taken away, is one of its own.
        let step = !ui.ctx().egui_wants_keyboard_input();
        if step {
            cx.ask(Action::Seal);
        }
        view.edits += 1;
        let taken = resolve::is_taken(session.record(), index, &edited);
        let is_sound = |table: &TableOfLimits| sound(table, &FieldPath::default()).is_ok();
        let readable = !taken && (is_sound(&edited) || !is_sound(table));
        if edited == *table {
            // Typed back to what it was.
            view.draft = None;
        } else if readable {
            view.draft = None;
            cx.ask(Action::Do(Command::EditLimits(index, Box::new(edited))));
            if step {
                cx.ask(Action::Seal);
            }
        } else {
            let field = ui.memory(|memory| memory.focused()).filter(|_| !step);
            view.keep_draft(index, table, edited, field);
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
            "Order, unit pairs, steps of the oversizes and clearances against parts: no problems found.",
        );
    } else {
        let colour = if errors > 0 { cx.palette.beyond } else { cx.palette.attention };
        let words = format!("{} and {}, each beside its row.", count(errors, "error"), count(notes, "note"));
        ui.label(RichText::new(words).color(colour));
    }
}

/// The validator's remarks, and which of them have found their row.
struct RowRemarks<'a> {
    remarks: &'a [Diagnostic],
    shown: RefCell<BTreeSet<usize>>,
}

impl RowRemarks<'_> {
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
            if remark.path.is_within(row) && self.shown.borrow_mut().insert(i) {
                Self::remark_ui(ui, cx, remark, false);
            }
        }
    }
}

/// The page under the pen.
struct Page<'a, 'b, 'c> {
    cx: &'a mut ViewCx<'b>,
    beside: &'c RowRemarks<'c>,
    wide: bool,
}

/// A row by its number, and by its name where it has one: two rows of one name stay two to the keyboard.
fn row_name(kind: &str, index: usize, name: &str) -> String {
    let number = index + 1;
    if name.is_empty() { format!("{kind} {number}") } else { format!("{kind} {number}, {name}") }
}

/// A choice among a few.
fn choice<T: PartialEq + Copy>(ui: &mut Ui, whole: &str, value: &mut T, of: &[(T, &str)], width: f32) {
    let shown = of.iter().find(|(known, _)| known == value).map_or("?", |(_, words)| words);
    let combo = ComboBox::from_id_salt(whole).width(width).selected_text(shown).show_ui(ui, |ui| {
        for (known, words) in of {
            ui.selectable_value(value, *known, *words);
        }
    });
    named(&combo.response, egui::Role::ComboBox, whole, shown);
}

/// Takes a row out of its list.
fn take_out<T>(rows: &mut Vec<T>, gone: Option<usize>) {
    if let Some(i) = gone.filter(|&i| i < rows.len()) {
        rows.remove(i);
    }
}

/// A row's name at its head, and which way its limit holds where that is not at most.
fn heading_words(row: RowName) -> String {
    let words = capitalised(row.words());
    match (row.side(), row.needs()) {
        (Side::AtLeast, _) => format!("{words}, at least"),
        (_, Needs::Lip) => format!("{words}, per side"),
        _ => words,
    }
}

/// Offers the rows of the shape that the table does not have.
fn shape_rows_ui(ui: &mut Ui, table: &mut TableOfLimits) {
    ui.horizontal(|ui| {
        for blank in RowName::of_shape().filter_map(ShapeRow::blank) {
            let name = blank.kind.name();
            if table.shape_row(name).is_none() && ui.button(format!("Add {}", name.words())).clicked() {
                table.set_shape_row(blank);
            }
        }
    });
}

/// Which part's row a clearance is checked against, by its reference.
fn part_choice(ui: &mut Ui, whole: &str, name: &str, of: &mut Option<String>, parts: &[(String, String)]) {
    ui.label(name);
    let words = |reference: &str| {
        let part = parts.iter().find(|(known, _)| known == reference);
        part.map_or_else(|| format!("ref. {reference}"), |(_, description)| description.clone())
    };
    let shown = of.as_deref().map_or_else(|| "none".to_owned(), words);
    let combo = ComboBox::from_id_salt(whole).width(150.0).selected_text(&shown).show_ui(ui, |ui| {
        ui.selectable_value(of, None, "none");
        for (reference, description) in parts.iter().filter(|(reference, _)| !reference.is_empty()) {
            ui.selectable_value(of, Some(reference.clone()), description);
        }
    });
    named(&combo.response, egui::Role::ComboBox, whole, &shown);
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

    /// Is a row to be taken away? Undo brings it back.
    fn taken(&self, ui: &mut Ui, row: &str) -> bool {
        let button = ui.button("\u{2212}").on_hover_text(format!("Remove the row: {row}"));
        button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Remove {row}")));
        button.clicked()
    }

    /// A row's description, which can be changed.
    fn description(&mut self, ui: &mut Ui, row: &str, text: &mut String) {
        bare(ui, self.cx, &format!("{row}: description"), text, NAME - 8.0);
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
        let mut gone = None;
        let sizes: Vec<Size> = table.bore.iter().map(|row| row.size.clone()).collect();
        for (i, row) in table.bore.iter_mut().enumerate() {
            let name = match &row.size {
                Size::Standard => "standard".to_owned(),
                Size::Oversize(text) => format!("oversize {text}"),
            };
            // Two rows of one name would be one field to the keyboard.
            let is_alone = sizes.iter().filter(|size| **size == row.size).count() == 1;
            let whole =
                if is_alone { format!("bore, {name}") } else { format!("bore, row {}, {name}", i + 1) };
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
                if row.size != Size::Standard && self.taken(ui, &whole) {
                    gone = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("bore[{i}]"));
        }
        take_out(&mut table.bore, gone);
        ui.horizontal(|ui| {
            if ui.button("Add an oversize").clicked() {
                let row = BoreRow {
                    size: Size::Oversize(String::new()),
                    reference: String::new(),
                    new: Default::default(),
                    serviceable: None,
                    place: String::new(),
                };
                table.bore.push(row);
            }
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
        for row in RowName::of_shape().filter_map(|row| table.shape_row(row)).collect::<Vec<_>>() {
            let mut edited = row.clone();
            let is_gone = self.shape_row_ui(ui, &mut edited);
            self.beside.row_ui(ui, self.cx, row.kind.name().key());
            if is_gone {
                table.remove_shape_row(row.kind.name());
            } else if edited != row {
                table.set_shape_row(edited);
            }
        }
        shape_rows_ui(ui, table);
        ui.horizontal(|ui| {
            ui.label("Decision rule");
            let of = DecisionRule::ALL.map(|rule| (rule, rule.words()));
            choice(ui, "Decision rule", &mut table.decision, &of, 440.0);
        });
        self.beside.row_ui(ui, self.cx, "decision");
    }

    /// A row of the shape; says whether it is to be taken out.
    fn shape_row_ui(&mut self, ui: &mut Ui, row: &mut ShapeRow) -> bool {
        let space = |ui: &mut Ui, width: f32| cell(ui, width, RichText::new(""));
        let (name, fields) = (row.kind.name(), row.kind.name().fields());
        let words = name.words();
        let gone = ui.horizontal(|ui| {
            self.reference(ui, words, &mut row.reference);
            cell(ui, NAME, RichText::new(heading_words(name)));
            match fields.new {
                AsMade::Both => self.blank(ui, &format!("{words}: as made, least"), &mut row.new.0),
                AsMade::Greatest | AsMade::Nothing => space(ui, NUMBER),
            }
            match fields.new {
                AsMade::Both | AsMade::Greatest => {
                    self.blank(ui, &format!("{words}: as made, most"), &mut row.new.1);
                }
                AsMade::Nothing => space(ui, NUMBER),
            }
            let whole = match name.side() {
                Side::AtLeast => format!("{words}: least that may remain"),
                Side::AtMost | Side::Either => format!("{words}: serviceable"),
            };
            if fields.limit_is_stated {
                self.limit(ui, &whole, &mut row.limit);
            } else {
                space(ui, CHOICE);
                let mut value = row.limit.take().map(Limit::into_value);
                self.blank(ui, &whole, &mut value);
                row.limit = value.map(Limit::At);
            }
            self.when_beyond(ui, words, &mut row.when_beyond);
            self.place(ui, words, &mut row.place);
            self.taken(ui, words)
        });
        let kinds = name.kinds();
        if kinds.len() > 1 {
            ui.horizontal(|ui| {
                space(ui, REFERENCE);
                let of: Vec<_> = kinds.iter().map(|kind| (*kind, kind.formula())).collect();
                choice(ui, &format!("{} rule", capitalised(words)), &mut row.kind, &of, 440.0);
                if !row.stations.is_empty() {
                    faint(ui, self.cx, format!("on {}", row.stations.join(", ")));
                }
            });
        }
        gone.inner
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

    /// Stations and axes. The names of those that something was measured on stay: the readings are kept under
    /// them.
    fn frame_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let record = self.cx.session.record();
        let readings = || {
            let cylinders = record.overhauls.iter().flat_map(|overhaul| &overhaul.cylinders);
            cylinders.flat_map(|cylinder| &cylinder.readings)
        };
        let measured_at = |station: &str| readings().any(|reading| reading.station == station);
        let measured_on = |axis: &str| readings().any(|reading| reading.axis == axis);
        let (mut gone_station, mut gone_axis) = (None, None);
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
                let whole = row_name("station", i, &station.name);
                let kept = measured_at(&station.name);
                if kept {
                    cell(ui, NAME, RichText::new(&station.name));
                } else {
                    let name = format!("station, row {}: name", i + 1);
                    bare(ui, self.cx, &name, &mut station.name, NAME - 8.0);
                }
                bare(ui, self.cx, &format!("{whole}: depth"), &mut station.depth.text, 150.0);
                let of = StationRole::ALL.map(|role| (role, role.words()));
                choice(ui, &format!("{whole}: part in the judging"), &mut station.role, &of, 180.0);
                if !kept && self.taken(ui, &whole) {
                    gone_station = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("stations[{i}]"));
        }
        take_out(&mut table.stations, gone_station);
        if ui.button("Add a station").clicked() {
            let used = |letter: &String| table.stations.iter().any(|station| station.name == *letter);
            let name = ('A'..='Z').map(String::from).find(|letter| !used(letter)).unwrap_or_default();
            table.stations.push(Station { name, depth: Value::default(), role: StationRole::RunningSurface });
        }
        self.beside.row_ui(ui, self.cx, "stations");
        for (i, axis) in table.axes.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                let kept = measured_on(&axis.label);
                let whole = row_name("axis", i, &axis.label);
                if kept {
                    cell(ui, NAME, RichText::new(format!("axis {}", axis.label)));
                    cell(ui, 150.0, RichText::new(format!("{}\u{b0}", axis.degrees)));
                } else {
                    bare(ui, self.cx, &format!("axis, row {}: name", i + 1), &mut axis.label, NAME - 8.0);
                    let degrees = egui::DragValue::new(&mut axis.degrees).range(0.0..=179.9).suffix("\u{b0}");
                    let field = ui.add_sized([150.0, 28.0], degrees);
                    field.widget_info(|| {
                        egui::WidgetInfo::labeled(egui::Role::SpinButton, true, format!("{whole}: degrees"))
                    });
                }
                ui.checkbox(&mut axis.optional, format!("axis {} may be left out", axis.label));
                if !kept && self.taken(ui, &whole) {
                    gone_axis = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("axes[{i}]"));
        }
        take_out(&mut table.axes, gone_axis);
        if ui.button("Add an axis").clicked() {
            let label = format!("axis {}", table.axes.len() + 1);
            table.axes.push(Axis { label, degrees: 45.0, optional: true });
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
        let columns = [
            ("ref.", REFERENCE),
            ("part", NAME),
            ("as made", NUMBER),
            ("to", NUMBER),
            ("serviceable", SERVICEABLE),
        ];
        self.section(ui, "Parts", &columns);
        let mut gone = None;
        for (i, row) in table.parts.iter_mut().enumerate() {
            let size = match &row.size {
                None => String::new(),
                Some(Size::Standard) => ", standard".to_owned(),
                Some(Size::Oversize(text)) => format!(", +{text}"),
            };
            let whole = row_name("part", i, &format!("{}{size}", row.description));
            ui.horizontal(|ui| {
                self.reference(ui, &whole, &mut row.reference);
                self.description(ui, &format!("part, row {}", i + 1), &mut row.description);
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
                let of = [(PartKind::Hole, "hole"), (PartKind::Shaft, "shaft")];
                choice(ui, &format!("{whole}: hole or shaft"), &mut row.kind, &of, 80.0);
                if let Some(Size::Oversize(text)) = &row.size {
                    ui.label(format!("for +{text}"));
                }
                if self.taken(ui, &whole) {
                    gone = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("parts[{i}]"));
        }
        take_out(&mut table.parts, gone);
        if ui.button("Add a part").clicked() {
            table.parts.push(PartRow {
                reference: String::new(),
                description: String::new(),
                kind: PartKind::Shaft,
                size: None,
                new: Default::default(),
                serviceable: None,
                expansion_ppm: None,
                place: String::new(),
            });
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
        self.section(ui, "Clearances and ring gaps", &columns);
        let (mut gone_fit, mut gone_gap) = (None, None);
        let parts: Vec<(String, String)> =
            table.parts.iter().map(|part| (part.reference.clone(), part.description.clone())).collect();
        for (i, row) in table.fits.iter_mut().enumerate() {
            let whole = row_name("clearance", i, &row.description);
            ui.horizontal(|ui| {
                self.reference(ui, &whole, &mut row.reference);
                self.description(ui, &format!("clearance, row {}", i + 1), &mut row.description);
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
                if self.taken(ui, &whole) {
                    gone_fit = Some(i);
                }
            });
            ui.horizontal(|ui| {
                cell(ui, REFERENCE, RichText::new(""));
                let of = FitKind::ALL.map(|kind| (kind, kind.words()));
                choice(ui, &format!("{whole}: which clearance"), &mut row.kind, &of, 190.0);
                part_choice(ui, &format!("{whole}: its hole"), "hole", &mut row.hole, &parts);
                part_choice(ui, &format!("{whole}: its shaft"), "shaft", &mut row.shaft, &parts);
            });
            self.beside.row_ui(ui, self.cx, &format!("fits[{i}]"));
        }
        take_out(&mut table.fits, gone_fit);
        for (i, row) in table.ring_gaps.iter_mut().enumerate() {
            let whole = row_name("ring gap", i, &row.description);
            ui.horizontal(|ui| {
                self.reference(ui, &whole, &mut row.reference);
                self.description(ui, &format!("ring gap, row {}", i + 1), &mut row.description);
                self.pair(ui, &whole, &mut row.new);
                self.limit(ui, &format!("{whole}: serviceable"), &mut row.serviceable);
                self.place(ui, &whole, &mut row.place);
                if self.taken(ui, &whole) {
                    gone_gap = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("ring_gaps[{i}]"));
        }
        take_out(&mut table.ring_gaps, gone_gap);
        ui.horizontal(|ui| {
            if ui.button("Add a clearance").clicked() {
                table.fits.push(FitRow {
                    reference: String::new(),
                    description: String::new(),
                    kind: FitKind::SkirtInBore,
                    hole: None,
                    shaft: None,
                    new: Default::default(),
                    serviceable: None,
                    place: String::new(),
                });
            }
            if ui.button("Add a ring gap").clicked() {
                table.ring_gaps.push(RingGapRow {
                    reference: String::new(),
                    description: String::new(),
                    new: Default::default(),
                    serviceable: None,
                    place: String::new(),
                });
            }
            if table.piston_weight_spread.is_none() && ui.button("Add a limit of piston weights").clicked() {
                table.piston_weight_spread =
                    Some(WeightRow { reference: String::new(), most: String::new(), place: String::new() });
            }
        });
        let mut gone = false;
        if let Some(row) = &mut table.piston_weight_spread {
            ui.horizontal(|ui| {
                self.reference(ui, "piston weights", &mut row.reference);
                cell(ui, NAME, RichText::new("Pistons, apart at most"));
                bare(ui, self.cx, "Piston weights, apart at most", &mut row.most, NUMBER);
                gone = self.taken(ui, "piston weights");
            });
            self.beside.row_ui(ui, self.cx, "piston_weight_spread");
        }
        if gone {
            table.piston_weight_spread = None;
        }
    }

    fn findings_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
        let columns =
            [("finding", 210.0), ("answer", 130.0), ("repairable to", NUMBER + 10.0), ("what to do", 300.0)];
        let columns = if table.findings.is_empty() { &[][..] } else { &columns };
        self.section(ui, "Findings that it answers otherwise", columns);
        let mut gone = None;
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
                if self.taken(ui, whole) {
                    gone = Some(i);
                }
            });
            self.beside.row_ui(ui, self.cx, &format!("findings[{i}]"));
        }
        take_out(&mut table.findings, gone);
        let other = |kind: &FindingKind| table.findings.iter().all(|row| row.kind != *kind);
        let others: Vec<FindingKind> = FindingKind::ALL.into_iter().filter(other).collect();
        let combo = ComboBox::from_id_salt("another finding")
            .width(220.0)
            .selected_text("Add an answer to")
            .show_ui(ui, |ui| {
                for kind in others {
                    if ui.selectable_label(false, capitalised(kind.words())).clicked() {
                        table.findings.push(FindingRule {
                            kind,
                            answer: FindingAnswer::Replace,
                            repairable_to: None,
                            on_adjacent_fins: Vec::new(),
                            total_area: None,
                            remedy: String::new(),
                            place: String::new(),
                        });
                    }
                }
            });
        combo.response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::ComboBox, true, "Add an answer to a finding")
        });
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
        for remark in &diag::reported(rest) {
            RowRemarks::remark_ui(ui, self.cx, remark, true);
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
        let chosen = view.browse.chosen().map(|path| view.path = path.display().to_string()).is_some();
        ui.horizontal_wrapped(|ui| {
            let field = line(ui, cx, "File", "File with a table of limits", &mut view.path, 380.0);
            let entered = entered(ui, &field);
            let (kind, endings) = ("Table of limits", &["ron"]);
            if browse_ui(ui, view.browse.is_open()) {
                view.browse.open(ui.ctx(), Wanted::File(kind, endings));
            }
            if ui.button("Read it").clicked() || entered || chosen {
                let reported = file::load_limits(&typed_path(&view.path).unwrap_or_default());
                view.wrong = reported.diagnostics;
                read = reported.value;
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
        for diagnostic in &diag::reported(&view.wrong) {
            RowRemarks::remark_ui(ui, cx, diagnostic, true);
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
    for diagnostic in &diag::reported(&swap.diagnostics) {
        RowRemarks::remark_ui(ui, cx, diagnostic, true);
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
