//! The rows of the parts: the parts, the clearances between them, ring gaps and piston weights, and the findings that
//! the table answers otherwise.

use eframe::egui::{self, ComboBox, RichText, Ui};

use super::fields::{NAME, NUMBER, Page, REFERENCE, SERVICEABLE, cell, choice, row_name, take_out};
use crate::fields::{bare, named};
use records::limits::schema::{
    FindingAnswer, FindingKind, FindingRule, FitKind, FitRow, PartKind, PartRow, RingGapRow, Size,
    TableOfLimits, WeightRow,
};
use records::wording::capitalised;

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

impl Page<'_, '_, '_> {
    pub(super) fn parts_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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

    pub(super) fn fits_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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

    pub(super) fn findings_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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
}
