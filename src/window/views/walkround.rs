//! The Walkround: what is found by eye, in the order in which a barrel and its head are looked over. Each kind
//! with its customary answer or the table's; each finding with its place, its size, and what was done.

use eframe::egui::{self, Button, Checkbox, ComboBox, RichText, ScrollArea, Ui};

use crate::cx::ViewCx;
use crate::fields::{self, Drafts, LENGTH, cylinder_path, effect_ui, faint, line, optional, pair, wrong_ui};
use crate::theme::{self, Palette, TEXT};
use judging::Assessment;
use judging::finding::Consequence;
use judging::reason::{self, Reason};
use records::limits::Limits;
use records::limits::schema::{FindingAnswer, FindingKind};
use records::record::schema::Finding;
use records::survey::Cylinder;
use records::wording::capitalised;
use work::session::{CylinderEdit, Mark};

/// The way round: where one stands, and what is looked for there.
const ROUND: [(&str, &[FindingKind]); 4] = [
    ("Head and barrel", &[FindingKind::CrackInHead, FindingKind::CrackInBarrel, FindingKind::HeadLoose]),
    (
        "Wall of the bore",
        &[FindingKind::Scored, FindingKind::Pitted, FindingKind::LightRust, FindingKind::Glazed],
    ),
    ("Fins and mounting flange", &[FindingKind::FinDamaged, FindingKind::FlangeNicked]),
    (
        "Threads, port faces and studs",
        &[
            FindingKind::SparkPlugThreadDamaged,
            FindingKind::PortFaceNicked,
            FindingKind::StudDamaged,
            FindingKind::StudLoose,
        ],
    ),
];

/// What the walkround keeps for itself.
#[derive(Debug, Default)]
pub struct WalkroundView {
    drafts: Drafts,
    /// The finding just added, whose first field wants the cursor.
    added: Option<usize>,
}

/// Draws the walkround of the chosen cylinder.
pub(crate) fn walkround_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut WalkroundView) {
    let evaluation = cx.session.evaluation();
    let Some(written) = cx.cylinder() else {
        ui.heading("Visual");
        ui.label("There is no cylinder to look over yet. Start a record by a table, or add an overhaul.");
        return;
    };
    effect_ui(ui, cx);
    let mut looked_over = written.looked_over;
    ui.horizontal_wrapped(|ui| {
        if ui.add(Checkbox::new(&mut looked_over, "looked over")).changed() {
            cx.edit(CylinderEdit::Mark(Mark::LookedOver, looked_over));
        }
        faint(ui, cx, "Tick it when the whole round is done; a cylinder nobody has looked over cannot pass.");
    });
    ui.separator();
    let Some(((cylinder, assessment), limits)) =
        evaluation.cylinder(cx.chosen.cylinder).zip(evaluation.limits())
    else {
        ui.label("The answers stand in the table of limits, and there is none that can be read. See Limits.");
        return;
    };
    ScrollArea::vertical().id_salt("walkround").auto_shrink(false).show(ui, |ui| {
        for (number, (place, kinds)) in ROUND.iter().enumerate() {
            ui.heading(format!("{}. {place}", number + 1));
            for &kind in *kinds {
                kind_ui(ui, cx, view, kind, limits);
                for (i, finding) in written.findings.iter().enumerate().filter(|(_, f)| f.kind == kind) {
                    finding_ui(ui, cx, view, (i, finding), (cylinder, assessment), limits);
                }
            }
            ui.add_space(8.0);
        }
        if limits.illustrative {
            ui.label(
                RichText::new("Answers by an illustrative table: not for any real engine.")
                    .color(cx.palette.attention),
            );
        }
        ui.add_space(12.0);
    });
}

/// What a table answers to a kind of finding, with how far it may be repaired.
fn answer_words(kind: FindingKind, limits: &Limits, area: Option<&str>) -> String {
    let rule = limits.finding(kind);
    let mut words = capitalised(&rule.remedy);
    if rule.answer == FindingAnswer::Replace && rule.repairable_to.is_none() {
        words = "Reject: replace".to_owned();
    }
    if let Some(most) = &rule.repairable_to {
        let what = if rule.answer == FindingAnswer::DepthDecides { "deep" } else { "long" };
        words = format!("{words}; up to {} {what}", most.text());
    }
    for (i, most) in rule.on_adjacent_fins.iter().enumerate() {
        words = format!("{words}; up to {} on {} adjacent fins", most.text(), i + 2);
    }
    if let Some(most) = area {
        words = format!("{words}; up to {most} in all");
    }
    let source = if rule.place.is_empty() { "usual practice".to_owned() } else { rule.place };
    format!("{words} ({source}).")
}

fn kind_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut WalkroundView, kind: FindingKind, limits: &Limits) {
    // The area as the manual writes it.
    let rules = cx.session.table().map(|(_, table)| table.findings.as_slice()).unwrap_or_default();
    let area = rules.iter().find(|rule| rule.kind == kind).and_then(|rule| rule.total_area.as_deref());
    ui.horizontal_top(|ui| {
        let button = ui.add(Button::new("Add"));
        button.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Add: {}", kind.words()))
        });
        if button.clicked() {
            let by = cx.session.overhaul().map_or(String::new(), |overhaul| overhaul.inspector.name.clone());
            view.added = cx.cylinder().map(|cylinder| cylinder.findings.len());
            cx.edit(CylinderEdit::AddFinding(empty(kind, by)));
        }
        ui.vertical(|ui| {
            ui.label(RichText::new(capitalised(kind.words())).font(theme::bold(TEXT)));
            ui.add(
                egui::Label::new(RichText::new(answer_words(kind, limits, area)).color(cx.palette.faint_ink))
                    .wrap(),
            );
        });
    });
}

/// A finding of which nothing but its kind is written.
fn empty(kind: FindingKind, by: String) -> Finding {
    Finding {
        kind,
        place: String::new(),
        station: None,
        degrees: None,
        size: None,
        depth: None,
        fins: None,
        area: None,
        done: String::new(),
        by,
    }
}

fn finding_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut WalkroundView,
    (index, written): (usize, &Finding),
    (cylinder, assessment): (&Cylinder, &Assessment),
    limits: &Limits,
) {
    let mut finding = written.clone();
    let position = cx.cylinder().map_or("", |cylinder| cylinder.position.as_str());
    // Unlike among all cylinders, so that no field takes over what is half typed in another.
    let whole = |what: &str| {
        format!("{}, finding {} of cylinder {position}: {what}", written.kind.words(), index + 1)
    };
    let frame = egui::Frame::new()
        .fill(cx.palette.margin)
        .stroke(egui::Stroke::new(1.0, cx.palette.rule))
        .inner_margin(8.0)
        .outer_margin(egui::Margin { left: 24, right: 4, top: 2, bottom: 4 });
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        let before = finding.clone();
        ui.horizontal_wrapped(|ui| {
            let place = line(ui, cx, "Place", &whole("place"), &mut finding.place, 220.0);
            if view.added == Some(index) {
                place.request_focus();
                place.scroll_to_me(None);
                view.added = None;
            }
            let rule = limits.finding(finding.kind);
            let on_wall = finding.kind.is_on_wall() || rule.answer == FindingAnswer::DepthDecides;
            if on_wall || finding.station.is_some() {
                station_ui(ui, &mut finding.station, &whole("station"), limits);
            }
            if on_wall || finding.degrees.is_some() {
                let names = ("at", whole("degrees around the bore"));
                let names = (names.0, names.1.as_str());
                fields::number(ui, cx, &mut view.drafts, names, &mut finding.degrees, (0.0, 360.0));
                ui.label("\u{b0}");
            }
            optional(ui, cx, "Length or width", &whole("length or width"), &mut finding.size, LENGTH);
            if on_wall || finding.depth.is_some() {
                optional(ui, cx, "Depth", &whole("depth"), &mut finding.depth, LENGTH);
            }
            if finding.kind == FindingKind::FinDamaged || finding.fins.is_some() {
                fins_ui(ui, cx, view, &mut finding.fins, &whole("adjacent fins"));
            }
            if rule.total_area.is_some() || finding.kind == FindingKind::FinDamaged || finding.area.is_some()
            {
                optional(ui, cx, "Area taken off", &whole("area taken off"), &mut finding.area, LENGTH);
            }
            line(ui, cx, "Done", &whole("what was done"), &mut finding.done, 260.0);
            line(ui, cx, "by", &whole("by whom"), &mut finding.by, 140.0);
            let remove = ui.button("Remove");
            remove.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, whole("take away")));
            if remove.clicked() {
                cx.edit(CylinderEdit::RemoveFinding(index));
            }
        });
        if finding != before {
            cx.edit(CylinderEdit::EditFinding(index, finding));
        }
        wrong_ui(ui, cx, &format!("{}.findings[{index}]", cylinder_path(cx)));
        if let Some(answer) = assessment.findings.get(index)
            && let Some(sentence) =
                reason::sentence_in(cx.prefs.unit, Reason::Finding(index), assessment, cylinder, limits)
        {
            let colour = asks_colour(answer.consequence, &cx.palette);
            ui.add(egui::Label::new(RichText::new(sentence).color(colour)).wrap());
        }
    });
}

/// The colour of what a finding asks for: the same as that of the outcome it leads to.
fn asks_colour(consequence: Consequence, palette: &Palette) -> egui::Color32 {
    match consequence {
        Consequence::Replace => palette.beyond,
        Consequence::NeedsRebore => palette.rebore_to,
        Consequence::Repair => palette.ink,
        Consequence::Measure => palette.attention,
    }
}

fn station_ui(ui: &mut Ui, station: &mut Option<String>, whole: &str, limits: &Limits) {
    pair(ui, "Station", 130.0, |ui| {
        let shown = station.clone().unwrap_or_else(|| "not known".to_owned());
        let combo = ComboBox::from_id_salt(whole).width(120.0).selected_text(shown).show_ui(ui, |ui| {
            ui.selectable_value(station, None, "not known");
            for known in &limits.stations {
                ui.selectable_value(station, Some(known.name.clone()), &known.name);
            }
        });
        combo.response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::ComboBox, true, whole));
    });
}

/// How many adjacent fins a finding takes in.
fn fins_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut WalkroundView, fins: &mut Option<u16>, whole: &str) {
    let mut number = fins.map(f64::from);
    if fields::number(ui, cx, &mut view.drafts, ("Adjacent fins", whole), &mut number, (1.0, 99.0)) {
        *fins = number.map(|number| number.round() as u16);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_round_visits_every_kind_once_in_inspection_order() {
        let visited: Vec<_> = ROUND.iter().flat_map(|(_, kinds)| kinds.iter().copied()).collect();
        assert_eq!(visited, FindingKind::ALL);
    }
}
