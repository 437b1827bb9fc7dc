//! The Fits: measured parts beside the bore that they run in. Skirt, pin, rings, guides and piston weight as
//! typed, each against its row; the clearance and the ring gap along the bore follow at once.

use eframe::egui::{self, Checkbox, ComboBox, RichText, ScrollArea, Ui};

use crate::cx::ViewCx;
use crate::fields::{
    self, Drafts, LENGTH, cylinder_path, effect_ui, faint, optional, pair, unit_words, wrong_ui,
};
use crate::symbols;
use crate::theme::{self, TEXT};
use figures::diameter;
use judging::engine;
use judging::fit::part_status;
use judging::row::RowStatus;
use judging::shown::{Shown, ShownFit};
use quantities::length::Length;
use records::limits::Limits;
use records::limits::resolved::{Fit as FitLimits, RowSource};
use records::limits::schema::FitKind;
use records::record::schema::{Cylinder as Written, Fit, RingGap};
use records::survey::{Cylinder, MeasuredFit, station_words};
use records::wording::capitalised;
use work::session::CylinderEdit;

/// What the fits keep for themselves.
#[derive(Debug, Default)]
pub struct FitsView {
    drafts: Drafts,
    /// The temperatures of the parts are shown.
    temperatures: bool,
}

/// What hole and shaft of a pair are called.
fn part_names(kind: FitKind) -> (&'static str, &'static str) {
    match kind {
        FitKind::SkirtInBore => ("Bore", "Skirt, largest"),
        FitKind::PinInPiston => ("Hole in piston", "Pin"),
        FitKind::PinInBushing => ("Bushing", "Pin"),
        FitKind::RingInGroove => ("Groove, width", "Ring, width"),
        FitKind::ValveStemInGuide => ("Guide", "Stem"),
    }
}

/// Draws the fits of the chosen cylinder.
pub(crate) fn fits_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut FitsView) {
    let evaluation = cx.session.evaluation();
    let judged = evaluation.cylinder(cx.chosen.cylinder).zip(evaluation.limits());
    let (Some(written), Some(((cylinder, assessment), limits))) = (cx.cylinder(), judged) else {
        ui.heading("Fits");
        ui.label("Fits need a cylinder and a table of limits with rows for its parts.");
        return;
    };
    effect_ui(ui, cx);
    ui.horizontal_wrapped(|ui| {
        ui.add(Checkbox::new(&mut view.temperatures, "Temperatures of the parts"));
        let unit = cx.session.unit();
        faint(ui, cx, format!("In {} where no unit is written; L is loose, T is tight.", unit_words(unit)));
    });
    ui.separator();
    ScrollArea::vertical().id_salt("fits").auto_shrink(false).show(ui, |ui| {
        if limits.fits.is_empty() && limits.ring_gaps.is_empty() {
            ui.label("This table has no rows for parts. They can be written in its file, under fits and ring_gaps.");
        }
        let shown = ShownFit::all(&assessment.fits, limits, cx.prefs.shown(cylinder.style(limits)));
        for (row, judged) in limits.fits.iter().zip(&shown) {
            let measured = written.fits.iter().position(|fit| fit.row == row.limits.source.reference);
            card(ui, cx, |ui, cx| fit_ui(ui, cx, view, (row, judged), (written, measured), cylinder, limits));
        }
        for index in 0..limits.ring_gaps.len() {
            card(ui, cx, |ui, cx| gap_ui(ui, cx, index, written, cylinder, &shown, limits));
        }
        card(ui, cx, |ui, cx| weight_ui(ui, cx, written));
        faint(
            ui,
            cx,
            "Parts do not decide over the barrel: a clearance that is too large is answered by another part.",
        );
        ui.add_space(12.0);
    });
}

/// A row with a frame around it.
fn card(ui: &mut Ui, cx: &mut ViewCx<'_>, body: impl FnOnce(&mut Ui, &mut ViewCx<'_>)) {
    let frame = egui::Frame::new()
        .stroke(egui::Stroke::new(1.0, cx.palette.rule))
        .inner_margin(8.0)
        .outer_margin(egui::Margin { left: 0, right: 6, top: 2, bottom: 4 });
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        body(ui, cx);
    });
}

/// What a row is, with its symbol, its limits and where it stands.
fn head_ui(ui: &mut Ui, cx: &ViewCx<'_>, row: &ShownFit) {
    ui.horizontal_wrapped(|ui| {
        symbols::status(ui, 22.0, row.status);
        ui.label(RichText::new(capitalised(&row.parts)).font(theme::bold(TEXT)));
        let colour = symbols::status_colour(row.status, &cx.palette);
        ui.label(RichText::new(row.status_words).color(colour));
        faint(ui, cx, &row.limits);
    });
}

/// `, ref. 30, table 6-3, line 1`, or nothing.
fn source_words(source: &RowSource) -> String {
    let words = source.words(None);
    if words.is_empty() { words } else { format!(", {words}") }
}

/// What was measured, and what that comes to.
fn result_ui(ui: &mut Ui, cx: &ViewCx<'_>, row: &ShownFit, what: &str) {
    let Some(range) = &row.range else { return };
    let colour = if row.status == RowStatus::Beyond { cx.palette.beyond } else { cx.palette.ink };
    ui.label(RichText::new(format!("{what} {range}.")).color(colour));
    if let Some(too_tight) = &row.too_tight {
        ui.label(RichText::new(too_tight).color(cx.palette.beyond));
    }
}

fn fit_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut FitsView,
    (row, judged): (&FitLimits, &ShownFit),
    (written, index): (&Written, Option<usize>),
    cylinder: &Cylinder,
    limits: &Limits,
) {
    head_ui(ui, cx, judged);
    let reference = &row.limits.source.reference;
    let measured = index.and_then(|index| written.fits.get(index));
    let mut fit = measured.cloned().unwrap_or_else(|| Fit { row: reference.clone(), ..Fit::default() });
    let before = fit.clone();
    let kind = row.limits.kind;
    let (hole, shaft) = part_names(kind);
    let whole = |what: &str| format!("{}, cylinder {}: {what}", row.limits.description, written.position);
    ui.horizontal_wrapped(|ui| {
        if kind == FitKind::SkirtInBore && fit.hole.is_none() {
            ui.label(bore_words(cx, cylinder, limits));
        } else {
            optional(ui, cx, hole, &whole(hole), &mut fit.hole, LENGTH);
        }
        optional(ui, cx, shaft, &whole(shaft), &mut fit.shaft, LENGTH);
        optional(ui, cx, "or the clearance itself", &whole("clearance"), &mut fit.clearance, LENGTH);
    });
    let warm = fit.hole_temperature.is_some() || fit.shaft_temperature.is_some();
    if view.temperatures || warm {
        ui.horizontal_wrapped(|ui| {
            for (name, value) in [(hole, &mut fit.hole_temperature), (shaft, &mut fit.shaft_temperature)] {
                let name = format!("{name} at");
                let whole = whole(&format!("{name} °C"));
                fields::number(ui, cx, &mut view.drafts, (&name, &whole), value, (-60.0, 400.0));
                ui.label("°C");
            }
            faint(ui, cx, "20 °C where nothing is written.");
        });
    }
    if fit != before {
        let empty = Fit { row: reference.clone(), ..Fit::default() } == fit;
        cx.edit(CylinderEdit::Fit(reference.clone(), (!empty).then_some(fit)));
    }
    // A row that is written twice has something wrong at each place.
    for (index, _) in written.fits.iter().enumerate().filter(|(_, fit)| fit.row == *reference) {
        wrong_ui(ui, cx, &format!("{}.fits[{index}]", cylinder_path(cx)));
    }
    result_ui(ui, cx, judged, "Clearance");
    let read = limits.fits.iter().position(|other| std::ptr::eq(other, row));
    if let Some(read) = cylinder.fits.iter().find(|fit| Some(fit.row) == read) {
        parts_ui(ui, cx, row, read, cylinder, limits);
    }
}

/// The bore as measured, which is the hole of a skirt.
fn bore_words(cx: &ViewCx<'_>, cylinder: &Cylinder, limits: &Limits) -> String {
    let scope = limits.bore_scope();
    let smallest = diameter::smallest_diameter(&cylinder.bore, &scope).into_figure();
    let largest = diameter::largest_diameter(&cylinder.bore, &scope).into_figure();
    let style = cylinder.style(limits);
    match smallest.zip(largest) {
        Some((smallest, largest)) => {
            format!(
                "Bore {} to {}, as measured",
                cx.figure(smallest.value, style),
                cx.figure(largest.value, style)
            )
        }
        None => "Bore not measured yet".to_owned(),
    }
}

/// Each part of a pair against its own row: a requirement beside that of the clearance.
fn parts_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    row: &FitLimits,
    read: &MeasuredFit,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    for (part, size) in [(row.hole, read.hole), (row.shaft, read.shaft)] {
        let Some((size, style)) = size else { continue };
        let Some(part) = part.and_then(|part| limits.part_row(part, cylinder.size)) else { continue };
        let (status, margin) = part_status(size, part);
        ui.horizontal_wrapped(|ui| {
            symbols::status(ui, 20.0, status);
            let shown = Shown::new(size.into(), part.limits.serviceable.as_ref(), cx.prefs.shown(style));
            let margin = shown.below_limit().zip(margin).map_or(String::new(), |(shown_margin, margin)| {
                let side = if margin < Length::ZERO { "beyond its limit" } else { "left" };
                format!(", {} {side}", shown_margin.abs().text(shown.style))
            });
            let words = format!(
                "{} {}: {}{margin}{}",
                capitalised(&part.limits.description),
                shown.value.text(shown.style),
                status.words(),
                source_words(&part.limits.source),
            );
            let colour = if status == RowStatus::Beyond { cx.palette.beyond } else { cx.palette.faint_ink };
            ui.label(RichText::new(words).color(colour));
        });
    }
}

fn gap_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    index: usize,
    written: &Written,
    cylinder: &Cylinder,
    shown: &[ShownFit],
    limits: &Limits,
) {
    let Some(row) = limits.ring_gaps.get(index) else { return };
    let Some(judged) = shown.get(limits.fits.len() + index) else { return };
    head_ui(ui, cx, judged);
    let reference = &row.source.reference;
    let at = written.ring_gaps.iter().position(|gap| gap.row == *reference);
    let measured = at.and_then(|at| written.ring_gaps.get(at));
    let mut gap = measured.map(|gap| gap.gap.clone());
    // Where nobody says otherwise it is taken low in the bore, where the ring runs least worn.
    let usual = limits.bore_stations.last().and_then(|&station| limits.stations.get(station));
    let mut station = measured
        .map(|gap| gap.station.clone())
        .or_else(|| usual.map(|station| station.name.clone()))
        .unwrap_or_default();
    let before = (gap.clone(), station.clone());
    let whole = |what: &str| format!("{}, cylinder {}: {what}", row.description, written.position);
    ui.horizontal_wrapped(|ui| {
        optional(ui, cx, "Gap", &whole("gap"), &mut gap, LENGTH);
        ui.add_enabled_ui(gap.is_some(), |ui| {
            pair(ui, "taken at station", 110.0, |ui| {
                let combo = ComboBox::from_id_salt(("gap", index))
                    .width(100.0)
                    .selected_text(&station)
                    .show_ui(ui, |ui| {
                        for known in &limits.stations {
                            ui.selectable_value(&mut station, known.name.clone(), &known.name);
                        }
                    });
                combo.response.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::ComboBox, gap.is_some(), whole("taken at station"))
                });
            });
        });
    });
    if (&gap, &station) != (&before.0, &before.1) {
        let gap = gap.map(|gap| RingGap { row: reference.clone(), gap, station });
        if gap.is_some() || measured.is_some() {
            cx.edit(CylinderEdit::RingGap(reference.clone(), gap));
        }
    }
    for (at, _) in written.ring_gaps.iter().enumerate().filter(|(_, gap)| gap.row == *reference) {
        wrong_ui(ui, cx, &format!("{}.ring_gaps[{at}]", cylinder_path(cx)));
    }
    let taken = cylinder.ring_gaps.iter().find(|gap| gap.row == index);
    let what = match taken {
        Some(gap) => format!("Taken at {}; along the bore", station_words(limits, gap.station)),
        None => "Along the bore".to_owned(),
    };
    result_ui(ui, cx, judged, &what);
}

fn weight_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, written: &Written) {
    let survey = cx.session.evaluation().survey.as_ref();
    let mut weight = written.piston_weight.clone();
    ui.label(RichText::new("Piston weight").font(theme::bold(TEXT)));
    ui.horizontal_wrapped(|ui| {
        let whole = format!("Piston weight, cylinder {}", written.position);
        if optional(ui, cx, "Weight, such as 1542 g or 54.40 oz", &whole, &mut weight, LENGTH) {
            cx.edit(CylinderEdit::PistonWeight(weight));
        }
    });
    wrong_ui(ui, cx, &format!("{}.piston_weight", cylinder_path(cx)));
    let Some(survey) = survey else { return };
    let Some(row) = &survey.limits.piston_weight_spread else {
        faint(ui, cx, "The table gives no limit for the difference between pistons.");
        return;
    };
    let most = format!("{} at most{}", row.text, source_words(&row.source));
    match engine::weights(survey) {
        Some(weights) => {
            let status = if weights.within { RowStatus::WithinServiceable } else { RowStatus::Beyond };
            ui.horizontal_wrapped(|ui| {
                symbols::status(ui, 20.0, status);
                let colour = symbols::status_colour(status, &cx.palette);
                let (lightest, heaviest) = &weights.between;
                ui.label(
                    RichText::new(format!(
                        "{} between cylinder {lightest} and cylinder {heaviest}, of {} weighed: {} ({most}).",
                        weights.spread.text(),
                        weights.weighed,
                        status.words(),
                    ))
                    .color(colour),
                );
            });
        }
        None => faint(ui, cx, format!("The difference between any two pistons of the engine: {most}.")),
    }
}
