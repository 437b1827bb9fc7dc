//! The rows of the cylinder itself: the table's heading, the bore by its sizes, the rows of the shape, and the wall.

use eframe::egui::{RichText, Ui};

use super::fields::{CHOICE, NAME, NUMBER, Page, REFERENCE, SERVICEABLE, cell, choice, take_out};
use crate::fields::{bare, faint, line, unit_words};
use crate::theme::{self, TEXT};
use records::limits::rows::{AsMade, Needs, RowName, Side};
use records::limits::schema::{
    BoreRow, Cut, DecisionRule, JudgedOn, Limit, MixedOversizes, ShapeRow, Size, Source, Surface,
    TableOfLimits, Value,
};
use records::wording::capitalised;

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

impl Page<'_, '_, '_> {
    pub(super) fn heading_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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

    pub(super) fn bore_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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

    pub(super) fn figures_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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

    pub(super) fn wall_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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
}
