//! The Engine: whose it is, the day and the hours of the chosen overhaul, who inspects, the temperatures, and
//! which cylinder is in which place. A cylinder that moved is exchanged with another; one that was replaced
//! gets the serial of the new one.

use eframe::egui::{self, Checkbox, ComboBox, ScrollArea, Ui};

use crate::command::UserCommand;
use crate::cx::{Action, ViewCx};
use crate::engines::engine_words;
use crate::fields::{self, Drafts, faint, line, pair};
use records::record::schema::{Cylinder, Overhaul, Temperatures};
use work::session::{Command, CylinderEdit, OverhaulEdit};

/// What the page of the engine keeps for itself.
#[derive(Debug, Default)]
pub struct EngineView {
    drafts: Drafts,
    /// The two cylinders about to change places, by their indices.
    exchange: (usize, usize),
    /// The cylinder about to be taken away: its overhaul, its index, and the record's state when that was asked.
    remove: Option<(usize, usize, u64)>,
}

/// Draws the page of the engine and of the chosen overhaul.
pub(crate) fn engine_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut EngineView) {
    let record = cx.session.record();
    ScrollArea::vertical().id_salt("engine").auto_shrink(false).show(ui, |ui| {
        ui.heading("Engine");
        let mut engine = record.engine.clone();
        ui.horizontal_wrapped(|ui| {
            if line(ui, cx, "Model", "Engine model", &mut engine.model, 240.0).changed() {
                cx.ask(Action::Do(Command::EngineModel(engine.model)));
            }
            if line(ui, cx, "Serial", "Engine serial", &mut engine.serial, 140.0).changed() {
                cx.ask(Action::Do(Command::EngineSerial(engine.serial)));
            }
            if line(ui, cx, "Owner", "Engine owner", &mut engine.owner, 240.0).changed() {
                cx.ask(Action::Do(Command::EngineOwner(engine.owner)));
            }
            if line(ui, cx, "In", "What the engine is in", &mut engine.installed_in, 240.0).changed() {
                cx.ask(Action::Do(Command::EngineInstalledIn(engine.installed_in)));
            }
        });
        ui.add_space(8.0);
        ui.separator();
        ui.horizontal_wrapped(|ui| {
            ui.heading("Overhaul");
            if ui.button(UserCommand::AddOverhaul.words()).clicked() {
                cx.ask(Action::User(UserCommand::AddOverhaul));
            }
        });
        let Some(overhaul) = cx.session.overhaul() else {
            ui.label(format!("{} has no overhaul yet. Add one.", engine_words(record)));
            return;
        };
        overhaul_ui(ui, cx, view, overhaul);
        temperatures_ui(ui, cx, view, overhaul);
        ui.add_space(8.0);
        ui.separator();
        ui.heading("Cylinders");
        cylinders_ui(ui, cx, view, overhaul);
        ui.add_space(12.0);
    });
}

fn overhaul_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut EngineView, overhaul: &Overhaul) {
    let here = cx.session.overhaul_index();
    ui.horizontal_wrapped(|ui| {
        let mut day = Some(overhaul.date);
        if fields::day(ui, cx, &mut view.drafts, ("Day", "Day of measuring"), &mut day)
            && let Some(day) = day
        {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::Date(day))));
        }
        let mut hours = overhaul.total_hours;
        let whole = format!("Total hours, overhaul {}", here + 1);
        if fields::number(ui, cx, &mut view.drafts, ("Total hours", &whole), &mut hours, (0.0, 1e6)) {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::TotalHours(hours))));
        }
        let mut since = overhaul.hours_since_overhaul;
        let whole = format!("Hours since the overhaul before, overhaul {}", here + 1);
        let names = ("Hours since last overhaul", whole.as_str());
        if fields::number(ui, cx, &mut view.drafts, names, &mut since, (0.0, 1e6)) {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::HoursSinceOverhaul(since))));
        }
        let mut inspector = overhaul.inspector.clone();
        if line(ui, cx, "Inspector", "Inspector's name", &mut inspector.name, 200.0).changed() {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::InspectorName(inspector.name))));
        }
        let certificate = &mut inspector.certificate;
        if line(ui, cx, "Certificate or licence", "Inspector's certificate", certificate, 160.0).changed() {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::InspectorCertificate(inspector.certificate))));
        }
        let mut remarks = overhaul.remarks.clone();
        if line(ui, cx, "Remarks", "Remarks on the overhaul", &mut remarks, 360.0).changed() {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::Remarks(remarks))));
        }
    });
}

fn temperatures_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut EngineView, overhaul: &Overhaul) {
    let mut measured = overhaul.temperatures.is_some();
    let usual = Temperatures {
        barrel: 20.0,
        gauge: 20.0,
        within: None,
        expansion_within_ppm: None,
        barrel_expansion_ppm: None,
        correct_readings: false,
    };
    let mut now = overhaul.temperatures.clone().unwrap_or(usual);
    ui.horizontal_wrapped(|ui| {
        ui.add(Checkbox::new(&mut measured, "Temperatures were measured"));
        if !measured {
            return;
        }
        let here = cx.session.overhaul_index() + 1;
        for (name, value) in [("Barrel", &mut now.barrel), ("Gauge or setting standard", &mut now.gauge)] {
            let whole = format!("{name}, °C, overhaul {here}");
            fields::required(ui, cx, &mut view.drafts, (name, &whole), value, (-40.0, 80.0));
            ui.label("°C");
        }
        let whole = format!("Their difference is known within, K, overhaul {here}");
        let names = ("difference known within", whole.as_str());
        fields::number(ui, cx, &mut view.drafts, names, &mut now.within, (0.0, 40.0));
        ui.label("K");
        let whole = format!("Expansion of the barrel, millionths per K, overhaul {here}");
        let names = ("expansion of the barrel, where the table's is another", whole.as_str());
        fields::number(ui, cx, &mut view.drafts, names, &mut now.barrel_expansion_ppm, (0.0, 100.0));
        ui.label("millionths per K");
        ui.add(Checkbox::new(&mut now.correct_readings, "suppose steel where no expansion is given"));
    });
    let wanted = measured.then_some(now);
    if wanted != overhaul.temperatures {
        cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::Temperatures(wanted))));
    }
}

fn cylinders_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut EngineView, overhaul: &Overhaul) {
    for (index, cylinder) in overhaul.cylinders.iter().enumerate() {
        ui.horizontal_wrapped(|ui| cylinder_ui(ui, cx, view, (index, cylinder)));
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button("Add a cylinder").clicked() {
            let position = (overhaul.cylinders.len() + 1).to_string();
            let added = Cylinder { position, ..Cylinder::default() };
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::AddCylinder(Box::new(added)))));
        }
    });
    if overhaul.cylinders.len() > 1 {
        let name = |index: usize| {
            let words = |c: &Cylinder| format!("{} {}", c.position, c.serial).trim_end().to_owned();
            overhaul.cylinders.get(index).map_or_else(|| "choose".to_owned(), words)
        };
        let last = overhaul.cylinders.len() - 1;
        view.exchange = (view.exchange.0.min(last), view.exchange.1.min(last));
        if view.exchange.0 == view.exchange.1 {
            view.exchange.1 = (view.exchange.0 + 1) % overhaul.cylinders.len();
        }
        ui.horizontal_wrapped(|ui| {
            for (words, whole, chosen) in [
                ("Cylinder", "Cylinder that changes places", &mut view.exchange.0),
                ("and", "Cylinder it changes places with", &mut view.exchange.1),
            ] {
                pair(ui, words, 150.0, |ui| {
                    let shown = name(*chosen);
                    let combo =
                        ComboBox::from_id_salt(whole).width(140.0).selected_text(shown).show_ui(ui, |ui| {
                            for index in 0..=last {
                                ui.selectable_value(chosen, index, name(index));
                            }
                        });
                    combo
                        .response
                        .widget_info(|| egui::WidgetInfo::labeled(egui::Role::ComboBox, true, whole));
                });
            }
            if ui.button("Change places").clicked() {
                let (a, b) = view.exchange;
                cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::ExchangePositions(a, b))));
            }
        });
        faint(ui, cx, "Each takes its readings and findings along; the positions stay where they are.");
    }
}

fn cylinder_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut EngineView,
    (index, cylinder): (usize, &Cylinder),
) {
    let edit = |edit| Action::Do(Command::Cylinder(index, edit));
    let number = index + 1;
    let mut position = cylinder.position.clone();
    if line(ui, cx, "Position", &format!("Position of cylinder {number}"), &mut position, 60.0).changed() {
        cx.ask(edit(CylinderEdit::Position(position)));
    }
    let mut serial = cylinder.serial.clone();
    if line(ui, cx, "serial", &format!("Serial of cylinder {number}"), &mut serial, 130.0).changed() {
        cx.ask(edit(CylinderEdit::Serial(serial)));
    }
    let mut finished = cylinder.finished_to.clone();
    let whole = format!("Size that cylinder {number} was last finished to");
    if fields::optional(ui, cx, "last finished to", &whole, &mut finished, fields::LENGTH) {
        cx.ask(edit(CylinderEdit::FinishedTo(finished)));
    }
    let mut remarks = cylinder.remarks.clone();
    let whole = format!("Remarks on cylinder {number}");
    if line(ui, cx, "remarks", &whole, &mut remarks, 220.0).changed() {
        cx.ask(edit(CylinderEdit::Remarks(remarks)));
    }
    let taken = (cx.session.overhaul_index(), index, cx.session.state());
    let asked = view.remove == Some(taken);
    let words = if asked { "Remove it with its readings" } else { "Remove" };
    let button = ui.button(words);
    button.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Button, true, format!("{words}: cylinder {number}"))
    });
    if button.clicked() {
        if asked {
            cx.ask(Action::Do(Command::Overhaul(OverhaulEdit::RemoveCylinder(index))));
            view.remove = None;
        } else {
            view.remove = Some(taken);
        }
    }
}
