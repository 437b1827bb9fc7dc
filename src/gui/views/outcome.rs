//! The Outcome: the recommendation in large words, its reasons with the way to each reading, the rows of the
//! table, and the person's own decision. Both are kept.

use eframe::egui::{self, Grid, RichText, ScrollArea, Ui};

use super::bank::decision_words;
use crate::bore::Point;
use crate::gui::symbols;
use crate::gui::theme::{self, TEXT};
use crate::gui::{Action, ViewCx};
use crate::judge::reason::{self, Reason, clear_style, margin_words};
use crate::judge::{Assessment, Need, Recommendation};
use crate::limits::Limits;
use crate::record::schema::{Decision, Disposition};
use crate::session::CylinderEdit;
use crate::survey::Cylinder;

/// What the person is about to decide.
#[derive(Debug, Default)]
pub struct OutcomeView {
    /// For which overhaul and cylinder it is meant.
    of: Option<(usize, usize)>,
    decision: Option<Decision>,
    by: String,
    reason: String,
}

/// Where a reason was read.
fn place_of(reason: Reason, assessment: &Assessment) -> Option<(Point, usize)> {
    let cell = |at| (at, 0);
    match reason {
        Reason::Beyond(i) | Reason::Within(i) => {
            let row = assessment.rows.get(i)?;
            row.worst_point.as_ref().or(row.figure.as_ref())?.place().map(cell)
        }
        Reason::Rebore(i) => assessment.ladder.get(i)?.least_stock().map(|stock| cell(stock.at)),
        Reason::TooSmall(i) => assessment.ladder.get(i).map(|rung| cell(rung.governed_by)),
        Reason::Need(i) => match assessment.needs.get(i)? {
            Need::Measure(points) => points.first().copied().map(cell),
            Need::Confirm(i) => {
                let slip = assessment.slips.get(*i)?;
                slip.at.map(|at| (at, slip.repeat.unwrap_or(0)))
            }
            Need::Limit(i) => assessment.rows.get(*i)?.figure.as_ref()?.place().map(cell),
            _ => None,
        },
        Reason::Finding(_) | Reason::NoOversize => None,
    }
}

/// Draws the outcome of the chosen cylinder.
pub(in crate::gui) fn outcome_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut OutcomeView) {
    let session = cx.session;
    let evaluation = session.evaluation();
    let judged = evaluation.cylinder(cx.chosen.cylinder).zip(evaluation.limits());
    ScrollArea::vertical().id_salt("outcome").auto_shrink(false).show(ui, |ui| {
        let Some(((cylinder, assessment), limits)) = judged else {
            ui.heading("Outcome");
            ui.label("An outcome needs a cylinder and a table of limits to judge it by.");
            return;
        };
        recommendation_ui(ui, cx, assessment, cylinder, limits);
        ui.add_space(8.0);
        ui.heading("Why");
        for &reason in &assessment.reasons {
            reason_ui(ui, cx, reason, assessment, cylinder, limits);
        }
        ui.add_space(8.0);
        ui.heading("Against the table");
        rows_ui(ui, cx, assessment, cylinder, limits);
        ui.add_space(8.0);
        decision_ui(ui, cx, view, assessment.recommendation, limits);
    });
}

fn recommendation_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let outcome = assessment.recommendation;
    ui.label(RichText::new(format!("Recommended for {}", cylinder.words())).color(cx.palette.faint_ink));
    ui.horizontal_wrapped(|ui| {
        symbols::outcome(ui, 44.0, outcome);
        let colour = symbols::outcome_colour(outcome, &cx.palette);
        ui.label(RichText::new(capital(&outcome.words(limits))).font(theme::bold(28.0)).color(colour));
    });
    if let Some(size) = assessment.metal_known {
        let name = limits.sizes.get(size).map_or("an oversize", |row| row.name.as_str());
        ui.label(format!("It needs metal already: at least {name}, as far as it is measured."));
    }
    ui.label(
        RichText::new("It compares and suggests; a named, licensed person decides.")
            .color(cx.palette.faint_ink),
    );
    if limits.illustrative {
        ui.label(
            RichText::new("By an illustrative table: not for any real engine.").color(cx.palette.attention),
        );
    }
}

/// A word with a capital letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn reason_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    reason: Reason,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let Some(sentence) = reason::sentence(reason, assessment, cylinder, limits) else { return };
    let place = place_of(reason, assessment);
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        match reason {
            Reason::Beyond(i) | Reason::Within(i) => {
                if let Some(row) = assessment.rows.get(i) {
                    symbols::status(ui, 20.0, row.status);
                }
            }
            _ => {
                ui.label("\u{2013}");
            }
        }
        ui.vertical(|ui| {
            let weighty = !matches!(reason, Reason::Within(_));
            let text = RichText::new(&sentence);
            let text = if weighty { text.color(cx.palette.ink) } else { text.color(cx.palette.faint_ink) };
            match place {
                Some((at, repeat)) => {
                    let link = ui.add(egui::Link::new(text)).on_hover_text("Go to the reading");
                    if link.clicked() {
                        cx.ask(Action::Cell(at, repeat));
                    }
                }
                None => {
                    ui.add(egui::Label::new(text).wrap());
                }
            }
        });
    });
}

fn rows_ui(ui: &mut Ui, cx: &ViewCx<'_>, assessment: &Assessment, cylinder: &Cylinder, limits: &Limits) {
    let style = cylinder.style(limits);
    Grid::new("rows").num_columns(5).striped(true).spacing([12.0, 6.0]).show(ui, |ui| {
        for head in ["", "row", "read", "limit", "margin"] {
            ui.label(RichText::new(head).color(cx.palette.faint_ink));
        }
        ui.end_row();
        for row in &assessment.rows {
            symbols::status(ui, 20.0, row.status).on_hover_text(row.status.words());
            ui.label(row.kind.words()).on_hover_text(row.status.words());
            let read = row.figure.as_ref().map_or_else(
                || row.status.words().to_owned(),
                |figure| {
                    let bound = row.limit.as_ref().map(|limit| limit.length);
                    let style = bound.map_or(style, |bound| clear_style(figure.value, bound, style));
                    cx.figure(figure.value, style)
                },
            );
            ui.label(read);
            let limit = row.limit.as_ref().map(|limit| cx.figure(limit.length, limit.style));
            ui.label(limit.unwrap_or_else(|| "none given".to_owned()));
            ui.label(margin_words(row, cx.prefs.shown(style)).unwrap_or_else(|| "\u{2013}".to_owned()));
            ui.end_row();
        }
    });
}

/// The decisions that a table makes possible.
fn decisions(limits: &Limits, current: Option<usize>) -> Vec<Decision> {
    let oversizes = limits.sizes.iter().skip(current.map_or(1, |size| size + 1));
    let rebores = oversizes.map(|row| Decision::Rebore(row.size.clone()));
    std::iter::once(Decision::Serviceable).chain(rebores).chain([Decision::Replace]).collect()
}

/// Does a decision say the same as the recommendation?
fn agrees(decision: &Decision, outcome: Recommendation, limits: &Limits) -> bool {
    match (decision, outcome) {
        (Decision::Serviceable, Recommendation::Serviceable) => true,
        (Decision::Replace, Recommendation::Replace) => true,
        (Decision::Rebore(size), Recommendation::Rebore(index)) => {
            limits.sizes.get(index).is_some_and(|row| row.size == *size)
        }
        _ => false,
    }
}

fn decision_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut OutcomeView,
    outcome: Recommendation,
    limits: &Limits,
) {
    ui.heading("Decision of a person");
    let session = cx.session;
    let here = (session.overhaul_index(), cx.chosen.cylinder);
    let Some(written) = cx.cylinder() else { return };
    if let Some(disposition) = &written.disposition {
        let words = capital(&decision_words(&disposition.decision, limits));
        ui.label(RichText::new(format!("{words}, decided by {}", disposition.by)).font(theme::bold(TEXT)));
        if !disposition.reason.is_empty() {
            ui.label(format!("Because: {}", disposition.reason));
        }
        if !agrees(&disposition.decision, outcome, limits) {
            ui.label(
                RichText::new("It differs from the recommendation; both are kept.")
                    .color(cx.palette.attention),
            );
        }
        if ui.button("Take the decision back").clicked() {
            cx.edit(CylinderEdit::Decide(None));
        }
        return;
    }
    if view.of != Some(here) {
        let by = session.overhaul().map_or(String::new(), |overhaul| overhaul.inspector.name.clone());
        *view = OutcomeView { of: Some(here), by, ..OutcomeView::default() };
    }
    let size = session.evaluation().cylinder(cx.chosen.cylinder).and_then(|(cylinder, _)| cylinder.size);
    ui.horizontal_wrapped(|ui| {
        for decision in decisions(limits, size) {
            let words = capital(&decision_words(&decision, limits));
            if ui.selectable_label(view.decision.as_ref() == Some(&decision), words).clicked() {
                view.decision = Some(decision);
            }
        }
    });
    let Some(decision) = &view.decision else {
        ui.label(
            RichText::new("Choose what you decide; your name is kept with it.").color(cx.palette.faint_ink),
        );
        return;
    };
    let label = ui.label("Decided by");
    ui.add(egui::TextEdit::singleline(&mut view.by).desired_width(f32::INFINITY)).labelled_by(label.id);
    let differs = !agrees(decision, outcome, limits);
    if differs {
        let label = ui.label("It differs from the recommendation. Why?");
        ui.add(egui::TextEdit::singleline(&mut view.reason).desired_width(f32::INFINITY))
            .labelled_by(label.id);
    }
    let complete = !view.by.trim().is_empty() && (!differs || !view.reason.trim().is_empty());
    if ui.add_enabled(complete, egui::Button::new("Record the decision")).clicked() {
        let disposition = Disposition {
            decision: decision.clone(),
            by: view.by.trim().to_owned(),
            reason: if differs { view.reason.trim().to_owned() } else { String::new() },
        };
        cx.edit(CylinderEdit::Decide(Some(disposition)));
    }
}
