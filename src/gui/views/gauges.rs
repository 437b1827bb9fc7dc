//! Gauges and setting standards of the overhaul: what a typed number stands for.

use eframe::egui::{self, Button, ComboBox, RichText, TextEdit, Ui};

use crate::gui::theme::{self, TEXT};
use crate::gui::{Action, ViewCx};
use crate::record::schema::{Gauge, PlusMeans, Reads, SettingStandard};
use crate::session::{Command, OverhaulEdit};

/// Folded open or not.
#[derive(Debug, Default)]
pub(super) struct GaugesView {
    pub(super) open: bool,
}

fn reads_words(reads: Reads) -> &'static str {
    match reads {
        Reads::Diameter => "the diameter itself",
        Reads::Deviation => "a deviation from its standard",
        Reads::Graduations => "graduations of its dial",
    }
}

fn plus_words(plus: PlusMeans) -> &'static str {
    match plus {
        PlusMeans::Larger => "plus is larger",
        PlusMeans::Smaller => "plus is smaller",
    }
}

/// A line to type in, with its name before it.
fn line(ui: &mut Ui, name: &str, text: &mut String, width: f32) -> bool {
    let label = ui.label(name);
    ui.add(TextEdit::singleline(text).desired_width(width)).labelled_by(label.id).changed()
}

/// As [`line`], for what may be left out.
fn optional_line(ui: &mut Ui, name: &str, text: &mut Option<String>, width: f32) -> bool {
    let mut shown = text.clone().unwrap_or_default();
    let changed = line(ui, name, &mut shown, width);
    if changed {
        *text = Some(shown).filter(|shown| !shown.trim().is_empty());
    }
    changed
}

pub(super) fn gauges_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut GaugesView) {
    let Some(overhaul) = cx.session.overhaul() else { return };
    let (mut gauges, mut standards) = (overhaul.gauges.clone(), overhaul.standards.clone());
    let frame = egui::Frame::new().stroke(egui::Stroke::new(1.0, cx.palette.rule)).inner_margin(10.0);
    frame.show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.label(RichText::new("Gauges and setting standards").font(theme::bold(TEXT)));
            if ui.button("Close").clicked() {
                view.open = false;
            }
        });
        for (i, standard) in standards.iter_mut().enumerate() {
            ui.push_id(("standard", i), |ui| {
                ui.horizontal_wrapped(|ui| {
                    line(ui, "Setting standard", &mut standard.name, 150.0);
                    line(ui, "its size at 20 °C", &mut standard.size, 100.0);
                });
            });
        }
        let names: Vec<String> = standards.iter().map(|standard| standard.name.clone()).collect();
        for (i, gauge) in gauges.iter_mut().enumerate() {
            ui.push_id(("gauge", i), |ui| {
                ui.horizontal_wrapped(|ui| gauge_ui(ui, gauge, &names));
            });
        }
        ui.horizontal_wrapped(|ui| {
            if ui.add(Button::new("Add a gauge")).clicked() {
                gauges.push(new_gauge(gauges.len() + 1));
            }
            if ui.add(Button::new("Add a setting standard")).clicked() {
                let name = format!("ring {}", standards.len() + 1);
                standards.push(SettingStandard {
                    name,
                    size: String::new(),
                    calibration: None,
                    expansion_ppm: None,
                });
            }
        });
        ui.label(
            RichText::new("The first gauge is the usual one. Everything is on the diameter.")
                .color(cx.palette.faint_ink),
        );
    });
    ui.add_space(6.0);
    if gauges != overhaul.gauges {
        cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::Gauges(gauges))));
    }
    if standards != overhaul.standards {
        cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::Standards(standards))));
    }
}

fn new_gauge(number: usize) -> Gauge {
    Gauge {
        name: format!("gauge {number}"),
        serial: String::new(),
        reads: Reads::default(),
        zeroed_on: None,
        plus_means: PlusMeans::default(),
        graduation: None,
        turn: None,
        calibration: None,
        repeatability: None,
        expansion_ppm: None,
        further: Vec::new(),
    }
}

fn gauge_ui(ui: &mut Ui, gauge: &mut Gauge, standards: &[String]) {
    line(ui, "Gauge", &mut gauge.name, 150.0);
    let label = ui.label("reads");
    let combo = ComboBox::from_id_salt("reads").width(210.0).selected_text(reads_words(gauge.reads)).show_ui(
        ui,
        |ui| {
            for reads in [Reads::Diameter, Reads::Deviation, Reads::Graduations] {
                ui.selectable_value(&mut gauge.reads, reads, reads_words(reads));
            }
        },
    );
    combo.response.labelled_by(label.id);
    if gauge.reads != Reads::Diameter {
        let label = ui.label("zeroed on");
        let shown = gauge.zeroed_on.clone().unwrap_or_else(|| "nothing yet".to_owned());
        let combo = ComboBox::from_id_salt("zeroed on").width(150.0).selected_text(shown).show_ui(ui, |ui| {
            for name in standards {
                ui.selectable_value(&mut gauge.zeroed_on, Some(name.clone()), name);
            }
        });
        combo.response.labelled_by(label.id);
        let label = ui.label("its dial");
        let combo = ComboBox::from_id_salt("plus")
            .width(130.0)
            .selected_text(plus_words(gauge.plus_means))
            .show_ui(ui, |ui| {
                for plus in [PlusMeans::Larger, PlusMeans::Smaller] {
                    ui.selectable_value(&mut gauge.plus_means, plus, plus_words(plus));
                }
            });
        combo.response.labelled_by(label.id);
    }
    optional_line(ui, "one graduation", &mut gauge.graduation, 80.0);
    optional_line(ui, "one turn", &mut gauge.turn, 80.0);
}
