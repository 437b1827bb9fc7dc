//! Where the bore is measured: the stations, the axes, ring travel and stroke.

use eframe::egui::{self, RichText, Ui};

use super::fields::{NAME, Page, cell, choice, row_name, take_out};
use crate::fields::bare;
use records::limits::schema::{Axis, Datum, Station, StationRole, TableOfLimits, Value};

impl Page<'_, '_, '_> {
    /// Stations and axes. The names of those that something was measured on stay: the readings are kept under
    /// them.
    pub(super) fn frame_ui(&mut self, ui: &mut Ui, table: &mut TableOfLimits) {
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
}
