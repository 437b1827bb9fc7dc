//! Gauges and setting standards of the overhaul: what a typed number stands for.

use eframe::egui::{self, Button, ComboBox, RichText, Ui};

use crate::fields::{self, Drafts};

use crate::cx::{Action, ViewCx};
use crate::theme::{self, TEXT};
use records::record::schema::{
    Calibration, Distribution, FurtherSource, Gauge, PlusMeans, Reads, Repeatability, SettingStandard,
};
use work::session::{Command, OverhaulEdit};

/// Folded open or not.
#[derive(Debug, Default)]
pub(super) struct GaugesView {
    pub(super) open: bool,
    drafts: Drafts,
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
                    let row = format!("setting standard {}", i + 1);
                    let whole = format!("{row}: name");
                    fields::line(ui, cx, "Setting standard", &whole, &mut standard.name, 150.0);
                    let whole = format!("{row}: size at 20 °C");
                    fields::line(ui, cx, "its size at 20 °C", &whole, &mut standard.size, 100.0);
                });
                let whole = format!("setting standard {}, {}", i + 1, standard.name);
                egui::CollapsingHeader::new(format!("Uncertainty of {whole}")).id_salt("sure").show(
                    ui,
                    |ui| {
                        calibration_ui(ui, cx, &mut view.drafts, &whole, &mut standard.calibration);
                        expansion_ui(ui, cx, &mut view.drafts, &whole, &mut standard.expansion_ppm);
                    },
                );
            });
        }
        let names: Vec<String> = standards.iter().map(|standard| standard.name.clone()).collect();
        for (i, gauge) in gauges.iter_mut().enumerate() {
            ui.push_id(("gauge", i), |ui| {
                ui.horizontal_wrapped(|ui| gauge_ui(ui, cx, i, gauge, &names));
                let whole = format!("gauge {}, {}", i + 1, gauge.name);
                egui::CollapsingHeader::new(format!("Uncertainty of {whole}")).id_salt("sure").show(
                    ui,
                    |ui| {
                        sure_ui(ui, cx, &mut view.drafts, &whole, gauge);
                    },
                );
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

fn gauge_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, index: usize, gauge: &mut Gauge, standards: &[String]) {
    let whole = |what: &str| format!("gauge {}: {what}", index + 1);
    fields::line(ui, cx, "Gauge", &whole("name"), &mut gauge.name, 252.0);
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
    fields::optional(ui, cx, "one graduation", &whole("one graduation"), &mut gauge.graduation, 80.0);
    fields::optional(ui, cx, "one turn", &whole("one turn"), &mut gauge.turn, 80.0);
}

// ---- how sure

/// Everything of a gauge that goes into the uncertainty budget.
fn sure_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, drafts: &mut Drafts, whole: &str, gauge: &mut Gauge) {
    calibration_ui(ui, cx, drafts, whole, &mut gauge.calibration);
    ui.horizontal_wrapped(|ui| {
        let mut deviation = gauge.repeatability.as_ref().map(|r| r.standard_deviation.clone());
        let name = format!("{whole}: repeatability, standard deviation");
        let label = "Repeatability, standard deviation";
        if fields::optional(ui, cx, label, &name, &mut deviation, fields::LENGTH) {
            let dof = gauge.repeatability.as_ref().map_or(10.0, |r| r.dof);
            gauge.repeatability =
                deviation.map(|standard_deviation| Repeatability { standard_deviation, dof });
        }
        if let Some(repeatability) = &mut gauge.repeatability {
            let name = format!("{whole}: repeatability, degrees of freedom");
            let names = ("degrees of freedom", name.as_str());
            fields::required(ui, cx, drafts, names, &mut repeatability.dof, (1.0, 1e6));
        } else {
            fields::faint(ui, cx, "None: taken from the repeats of this overhaul.");
        }
    });
    expansion_ui(ui, cx, drafts, whole, &mut gauge.expansion_ppm);
    let mut gone = None;
    for (i, further) in gauge.further.iter_mut().enumerate() {
        ui.push_id(("further", i), |ui| {
            ui.horizontal_wrapped(|ui| {
                let name = format!("{whole}, further source {}", i + 1);
                let row = format!("{name}: what it is");
                fields::line(ui, cx, "Further source", &row, &mut further.source, 170.0);
                let row = format!("{name}: half-width");
                fields::line(ui, cx, "within plus or minus", &row, &mut further.half_width, 84.0);
                distribution_ui(ui, &name, &mut further.distribution);
                if let Distribution::Normal { k } = &mut further.distribution {
                    let row = format!("{name}: coverage factor");
                    fields::required(ui, cx, drafts, ("k", &row), k, (0.1, 10.0));
                }
                ui.checkbox(&mut further.common, format!("the same for all readings, source {}", i + 1));
                if ui.button(format!("Remove source {}", i + 1)).clicked() {
                    gone = Some(i);
                }
            });
        });
    }
    if let Some(i) = gone {
        gauge.further.remove(i);
    }
    if ui.button(format!("Add a source to {whole}")).clicked() {
        gauge.further.push(FurtherSource {
            source: "another source".to_owned(),
            half_width: "0".to_owned(),
            distribution: Distribution::Rectangular,
            dof: None,
            common: false,
        });
    }
}

/// What the calibration certificate says; blank: none.
fn calibration_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    drafts: &mut Drafts,
    whole: &str,
    calibration: &mut Option<Calibration>,
) {
    ui.horizontal_wrapped(|ui| {
        let mut expanded = calibration.as_ref().map(|c| c.expanded_uncertainty.clone());
        let name = format!("{whole}: expanded uncertainty");
        if fields::optional(ui, cx, "Calibrated to within", &name, &mut expanded, fields::LENGTH) {
            // The customary coverage factor of a certificate (JCGM 100:2008, 6.3.3).
            let stood = calibration.take();
            *calibration = expanded.map(|expanded_uncertainty| match stood {
                Some(stood) => Calibration { expanded_uncertainty, ..stood },
                None => Calibration {
                    expanded_uncertainty,
                    k: 2.0,
                    dof: None,
                    certificate: String::new(),
                    due: None,
                },
            });
        }
        let Some(calibration) = calibration else {
            fields::faint(ui, cx, "No calibration: its uncertainty is not in the budget.");
            return;
        };
        let name = format!("{whole}: coverage factor");
        fields::required(ui, cx, drafts, ("k", &name), &mut calibration.k, (0.1, 10.0));
        let name = format!("{whole}: degrees of freedom of the calibration");
        let names = ("degrees of freedom", name.as_str());
        fields::number(ui, cx, drafts, names, &mut calibration.dof, (1.0, 1e6));
        let name = format!("{whole}: certificate");
        fields::line(ui, cx, "certificate", &name, &mut calibration.certificate, 130.0);
        let name = format!("{whole}: due");
        fields::day(ui, cx, drafts, ("due", &name), &mut calibration.due);
    });
}

fn expansion_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    drafts: &mut Drafts,
    whole: &str,
    expansion_ppm: &mut Option<f64>,
) {
    ui.horizontal_wrapped(|ui| {
        let name = format!("{whole}: expansion coefficient");
        let names = ("Expansion, millionths per kelvin", name.as_str());
        fields::number(ui, cx, drafts, names, expansion_ppm, (0.0, 100.0));
    });
}

fn distribution_ui(ui: &mut Ui, whole: &str, distribution: &mut Distribution) {
    let words = |distribution: Distribution| match distribution {
        Distribution::Normal { .. } => "normal",
        Distribution::Rectangular => "rectangular",
        Distribution::Triangular => "triangular",
        Distribution::Arcsine => "arcsine",
    };
    let shown = words(*distribution);
    let combo = ComboBox::from_id_salt("distribution").width(120.0).selected_text(shown).show_ui(ui, |ui| {
        for other in [
            Distribution::Normal { k: 2.0 },
            Distribution::Rectangular,
            Distribution::Triangular,
            Distribution::Arcsine,
        ] {
            if ui.selectable_label(words(other) == shown, words(other)).clicked() && words(other) != shown {
                *distribution = other;
            }
        }
    });
    let name = format!("{whole}: distribution");
    fields::named(&combo.response, egui::Role::ComboBox, &name, shown);
}
