//! Other records to follow cylinders through: files or folders, read behind, with progress and a way to stop.

use std::path::Path;

use eframe::egui::{self, RichText, ScrollArea, Ui};

use super::behind::Gatherer;
use crate::browse::{Browse, Wanted};
use crate::cx::ViewCx;
use crate::dialogs::{entered, typed_path};
use crate::fields;
use records::folder::absolute;

/// What is half typed or folded open.
#[derive(Debug, Default)]
pub(super) struct Others {
    pub(super) open: bool,
    path: String,
    wrong: Option<String>,
    browse: Browse,
}

/// Draws it: how far a gathering is always, the rest where it is folded open.
pub(super) fn others_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut Others, gatherer: &mut Gatherer) {
    if let Some(chosen) = view.browse.chosen() {
        add(ui, cx, view, gatherer, &chosen);
    }
    state_ui(ui, cx, gatherer);
    if !view.open {
        return;
    }
    if gatherer.places.is_empty() {
        ui.label("Records of other engines belong here: a cylinder that was moved is then followed through them. Add a file, or a folder that holds records.");
    }
    let mut removed = None;
    for (i, place) in gatherer.places.iter().enumerate() {
        ui.horizontal(|ui| {
            let name = place.display().to_string();
            let button = ui.button("Remove");
            button.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Remove {name}"))
            });
            if button.clicked() {
                removed = Some(i);
            }
            ui.add(egui::Label::new(&name).truncate()).on_hover_text(&name);
        });
    }
    if let Some(i) = removed {
        gatherer.places.remove(i);
        gatherer.begin(ui.ctx(), cx.path, cx.folder);
    }
    let mut typed = None;
    ui.horizontal_wrapped(|ui| {
        let name = "File or folder";
        let field = fields::line(ui, cx, name, "File or folder with other records", &mut view.path, 340.0);
        let entered = entered(ui, &field);
        if ui.button("Add").clicked() || entered {
            typed = typed_path(&view.path);
        }
        ui.add_enabled_ui(!view.browse.is_open(), |ui| {
            if ui.button("Choose a folder\u{2026}").clicked() {
                view.browse.open(ui.ctx(), Wanted::Folder);
            }
            if ui.button("Choose a file\u{2026}").clicked() {
                view.browse.open(ui.ctx(), Wanted::File("Engine record", &["ron"]));
            }
        });
    });
    if let Some(typed) = typed {
        if typed.exists() {
            view.path.clear();
            add(ui, cx, view, gatherer, &typed);
        } else {
            let name = typed.display();
            view.wrong =
                Some(format!("There is no file or folder `{name}`. Write the whole path, or choose it."));
        }
    }
    if let Some(wrong) = &view.wrong {
        ui.label(RichText::new(wrong).color(cx.palette.beyond));
    }
    let reported = &gatherer.gathered.reported;
    if !reported.is_empty() {
        egui::CollapsingHeader::new(format!("What could not be read ({})", reported.len())).show(ui, |ui| {
            ScrollArea::vertical().max_height(160.0).show_rows(ui, 24.0, reported.len(), |ui, seen| {
                for line in reported.get(seen).unwrap_or_default() {
                    ui.add(egui::Label::new(line).truncate()).on_hover_text(line);
                }
            });
        });
    }
}

fn add(ui: &Ui, cx: &ViewCx<'_>, view: &mut Others, gatherer: &mut Gatherer, chosen: &Path) {
    view.wrong = None;
    let place = absolute(chosen);
    if !gatherer.places.contains(&place) {
        gatherer.places.push(place);
        gatherer.begin(ui.ctx(), cx.path, cx.folder);
    }
}

/// How far it is, or what came of it.
fn state_ui(ui: &mut Ui, cx: &ViewCx<'_>, gatherer: &mut Gatherer) {
    if gatherer.places.is_empty() {
        return;
    }
    let mut again = false;
    ui.horizontal_wrapped(|ui| {
        if let Some(progress) = gatherer.progress() {
            let (done, all) = progress.files();
            if progress.is_stopped() {
                ui.label("Stopping\u{2026}");
                return;
            }
            if ui.button("Cancel").on_hover_text("Stop reading; what was read stays").clicked() {
                progress.stop();
            }
            let part = if all > 0 { done as f32 / all as f32 } else { 0.0 };
            let words = match all {
                0 => "Looking for records\u{2026}".to_owned(),
                _ => format!("{done} of {all} records read"),
            };
            ui.label(&words);
            // One of its own would move by itself.
            let (rect, _) = ui.allocate_exact_size(egui::vec2(220.0, 14.0), egui::Sense::hover());
            ui.painter().rect_stroke(
                rect,
                0.0,
                egui::Stroke::new(1.0, cx.palette.faint_ink),
                egui::StrokeKind::Inside,
            );
            let mut filled = rect.shrink(2.0);
            filled.set_width(filled.width() * part);
            ui.painter().rect_filled(filled, 0.0, cx.palette.as_made);
            return;
        }
        let gathered = &gatherer.gathered;
        let (held, files) = (gathered.held, gathered.files);
        if gathered.stopped {
            let words = if files == 0 {
                "Stopped before the records were found: other records are missing.".to_owned()
            } else {
                format!("Stopped: {held} of {files} records are counted, the others are missing.")
            };
            ui.label(RichText::new(words).color(cx.palette.attention));
            again = ui.button("Read the others").clicked();
        } else {
            let bad = match gathered.reported.len() {
                0 => String::new(),
                some => format!("; {some} remarks about what could not be read"),
            };
            let records = if held == 1 { "record" } else { "records" };
            ui.label(
                RichText::new(format!("Followed through {held} other {records}{bad}."))
                    .color(cx.palette.faint_ink),
            );
            again = ui.button("Read again").on_hover_text("Only what has changed is read").clicked();
        }
    });
    if again {
        gatherer.begin(ui.ctx(), cx.path, cx.folder);
    }
}
