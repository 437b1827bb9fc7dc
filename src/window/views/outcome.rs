//! The Outcome: the recommendation in large words, its reasons with the way to each reading, the rows of the
//! table, and the person's own decision. Both are kept.

use eframe::egui::{self, Grid, RichText, ScrollArea, Ui};

use super::chance;
use crate::command::UserCommand;
use crate::cx::{Action, ViewCx};
use crate::fields::faint;
use crate::place::Place;
use crate::prefs::Prefs;
use crate::symbols;
use crate::theme::{self, Palette, TEXT};
use figures::certainty::budget::LineUnit;
use judging::clean_up::Original;
use judging::reason::{self, Reason};
use judging::row::{Row, RowUncertainty};
use judging::shown::{Shown, ShownOversize, ShownRow, ShownSlip};
use judging::what_if::{Alternative, OtherRule, what_if};
use judging::words::{self, agrees, decision_of};
use judging::{Assessment, Need, Recommendation};
use quantities::length::{Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::CutLimit;
use records::record::schema::{Decision, Disposition};
use records::survey::{Cylinder, Survey, point_words};
use records::wording::{self, capitalised};
use work::session::CylinderEdit;

/// What the person is about to decide.
#[derive(Debug, Default)]
pub struct OutcomeView {
    /// For which overhaul and cylinder it is meant.
    of: Option<(usize, usize)>,
    decision: Option<Decision>,
    by: String,
    reason: String,
    /// The outcome under other rules, and what it was judged from.
    alternatives: Option<(LockResult, Vec<Alternative>)>,
}

/// What an answer was worked out from: while this is the same, so is the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct LockResult {
    state: u64,
    overhaul: usize,
    cylinder: usize,
}

/// Where a reason was read.
fn place_of(reason: Reason, assessment: &Assessment) -> Option<(Point, usize)> {
    let cell = |at| (at, 0);
    match reason {
        Reason::Beyond(i) | Reason::Within(i) => {
            let row = assessment.rows.get(i)?;
            row.worst_point.as_ref().or(row.figure.as_ref())?.place().map(cell)
        }
        Reason::Rebore(i) => assessment.oversizes.get(i)?.least_stock().map(|stock| cell(stock.at)),
        Reason::TooSmall(i) => assessment.oversizes.get(i).map(|option| cell(option.too_small_at())),
        Reason::Need(i) => match assessment.needs.get(i)? {
            Need::Measure(points) => points.first().copied().map(cell),
            Need::Confirm(i) => {
                let slip = assessment.slips.get(*i)?;
                slip.at.map(|at| (at, slip.repeat.unwrap_or(0)))
            }
            Need::Contradiction(contradiction) => contradiction.at().map(cell),
            Need::Limit(i) => assessment.rows.get(*i)?.figure.as_ref()?.place().map(cell),
            _ => None,
        },
        Reason::Finding(_) | Reason::NoOversize => None,
    }
}

/// Draws the outcome of the chosen cylinder.
pub(crate) fn outcome_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, view: &mut OutcomeView) {
    let session = cx.session;
    let evaluation = session.evaluation();
    let judged = evaluation.cylinder(cx.chosen.cylinder).zip(evaluation.survey.as_ref());
    ScrollArea::vertical().id_salt("outcome").auto_shrink(false).show(ui, |ui| {
        let Some(((cylinder, assessment), survey)) = judged else {
            ui.heading("Outcome");
            ui.label("An outcome needs a cylinder and a table of limits to judge it by.");
            return;
        };
        let limits = survey.limits.as_ref();
        recommendation_ui(ui, cx, assessment, cylinder, limits);
        part(ui, "Why");
        for &reason in &assessment.reasons {
            reason_ui(ui, cx, reason, assessment, cylinder, limits);
        }
        slips_ui(ui, cx, assessment, limits);
        part(ui, "Inspector's decision");
        decision_ui(ui, cx, view, assessment.recommendation, limits);
        part(ui, "Against the table");
        rows_ui(ui, cx.prefs, &cx.palette, assessment, cylinder, limits);
        part(ui, "Oversizes");
        oversizes_ui(ui, cx, assessment, cylinder, limits);
        part(ui, "Uncertainty");
        uncertainty_ui(ui, cx, assessment, cylinder, limits);
        ui.add_space(6.0);
        what_if_ui(ui, cx, view, cylinder, assessment, survey);
        ui.add_space(12.0);
    });
}

/// A part of the page.
fn part(ui: &mut Ui, name: &str) {
    ui.add_space(10.0);
    ui.separator();
    ui.heading(name);
}

fn recommendation_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let outcome = assessment.recommendation;
    faint(ui, cx, format!("Recommended for {}", cylinder.words()));
    ui.horizontal(|ui| {
        symbols::outcome(ui, 44.0, outcome);
        let colour = symbols::outcome_colour(outcome, &cx.palette);
        let words = RichText::new(capitalised(&outcome.words(limits))).font(theme::bold(28.0)).color(colour);
        ui.add(egui::Label::new(words).wrap());
    });
    if let Some(known) = words::known_words(assessment, limits) {
        ui.label(known);
    }
    faint(
        ui,
        cx,
        "It compares and suggests; a named, licensed person decides, by the maker's current manual and local \
         rules.",
    );
    if matches!(outcome, Recommendation::Rebore(_)) {
        faint(ui, cx, "After grinding and honing: wash out all abrasive.");
    }
    if limits.illustrative {
        ui.label(
            RichText::new("By an illustrative table: not for any real engine.").color(cx.palette.attention),
        );
    }
}

fn reason_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    reason: Reason,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let Some(sentence) = reason::sentence_in(cx.prefs.unit, reason, assessment, cylinder, limits) else {
        return;
    };
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
                None if is_of_finding(reason, assessment) => {
                    let link = ui.add(egui::Link::new(text)).on_hover_text("Go to the walkround");
                    if link.clicked() {
                        cx.ask(Action::User(UserCommand::Go(Place::Visual)));
                    }
                }
                None => {
                    ui.add(egui::Label::new(text).wrap());
                }
            }
        });
    });
}

/// Is it answered on the walkround?
fn is_of_finding(reason: Reason, assessment: &Assessment) -> bool {
    match reason {
        Reason::Finding(_) => true,
        Reason::Need(i) => {
            matches!(assessment.needs.get(i), Some(Need::Amount(..) | Need::LookOver))
        }
        _ => false,
    }
}

/// The rows of the table: what was read, the limit, and the margin.
pub(crate) fn rows_ui(
    ui: &mut Ui,
    prefs: &Prefs,
    palette: &Palette,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let style = cylinder.style(limits);
    // What is wider than the panel scrolls in it, so that the panel keeps its width from cylinder to cylinder.
    ScrollArea::horizontal().id_salt("rows").show(ui, |ui| {
        Grid::new("rows").num_columns(5).min_col_width(20.0).striped(true).spacing([10.0, 6.0]).show(
            ui,
            |ui| {
                let unit = prefs.shown(style).unit;
                for head in [
                    "",
                    "row",
                    &format!("figure, {unit}"),
                    &format!("limit, {unit}"),
                    &format!("margin, {unit}"),
                ] {
                    ui.label(RichText::new(head).color(palette.faint_ink));
                }
                ui.end_row();
                for row in &assessment.rows {
                    let shown = ShownRow::of(row, limits, prefs.shown(style));
                    symbols::status(ui, 20.0, shown.status).on_hover_text(&shown.status_words);
                    ui.label(shown.name).on_hover_text(&shown.status_words);
                    ui.label(shown.figure.unwrap_or(shown.status_words));
                    ui.label(shown.limit.unwrap_or_else(|| "none given".to_owned()));
                    let margin = shown.margin.map(|(number, side)| format!("{number} {side}"));
                    ui.label(margin.unwrap_or_else(|| words::NONE.to_owned()));
                    ui.end_row();
                }
            },
        );
    });
}

/// Readings that look wrong, each with the way to it.
fn slips_ui(ui: &mut Ui, cx: &mut ViewCx<'_>, assessment: &Assessment, limits: &Limits) {
    if assessment.slips.is_empty() {
        return;
    }
    part(ui, "Check these");
    for slip in ShownSlip::all(assessment, limits) {
        let colour = if slip.is_accepted { cx.palette.faint_ink } else { cx.palette.attention };
        let text = RichText::new(slip.sentence).color(colour);
        match slip.at {
            Some((at, repeat)) => {
                if ui.add(egui::Link::new(text)).on_hover_text("Go to the reading").clicked() {
                    cx.ask(Action::Cell(at, repeat));
                }
            }
            None => {
                ui.add(egui::Label::new(text).wrap());
            }
        }
    }
}

// ---- the oversizes

fn oversizes_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let oversizes = &assessment.oversizes;
    if oversizes.is_empty() {
        let contradicted = assessment.is_contradicted();
        let why = match (&limits.cut, cylinder.bore.is_empty(), cylinder.size) {
            _ if contradicted => "The evidence contradicts itself, so no oversize can be told.",
            (_, _, None) => "The table has no row for this cylinder's size, so no oversize can be told.",
            _ if assessment.is_contradicted() => "The size is in doubt, so no clean-up is worked out.",
            (_, true, _) if !cylinder.unread.is_empty() => "Correct the readings first.",
            (_, true, _) => "Nothing is measured yet: the stock is told from the readings.",
            (CutLimit::NotAllowed, ..) => "The table does not allow the wall to be cut.",
            _ => "The table has no oversize larger than the present size.",
        };
        ui.label(why);
        return;
    }
    let style = cylinder.style(limits);
    let unit = cx.prefs.shown(style).unit;
    for option in ShownOversize::all(assessment, limits, cx.prefs.shown(style)) {
        let chosen = option.is_recommended;
        let colour = if chosen { cx.palette.rebore_to } else { cx.palette.ink };
        let ground = if chosen { Palette::tint(cx.palette.rebore_to) } else { cx.palette.paper };
        let frame = egui::Frame::new()
            .fill(ground)
            .stroke(egui::Stroke::new(1.0, cx.palette.rule))
            .inner_margin(egui::Margin::symmetric(8, 5));
        frame.show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal_wrapped(|ui| {
                let name = if chosen { format!("{}, recommended", option.size) } else { option.size };
                ui.label(RichText::new(name).font(theme::bold(TEXT)).color(colour));
                ui.label(format!("finished to {} {unit}", option.finished));
            });
            ui.label(format!("{}.", capitalised(&option.words)));
            faint(ui, cx, option.needs);
        });
    }
    let unseen = words::unseen_oval(cylinder, limits).trim_start();
    if !unseen.is_empty() {
        ui.label(unseen);
    }
    let original = match Original::of(cylinder, limits) {
        Some(Original::Known(size)) => {
            format!("Counted from {}, to which it was last finished", cx.figure(size, limits.style))
        }
        Some(Original::Least(size)) => {
            format!("Counted from {}, the least it can have been made", cx.figure(size, limits.style))
        }
        None => return,
    };
    let allowance = cx.figure(limits.clean_up_allowance.length, limits.clean_up_allowance.style);
    faint(ui, cx, format!("{original}; with {allowance} on the diameter for a clean surface."));
    fold(ui, "stock", "Metal to remove at each point", |ui| {
        stock_ui(ui, cx, (cylinder, assessment), style, limits)
    });
}

/// What each oversize takes off on the diameter, place by place.
fn stock_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    (cylinder, assessment): (&Cylinder, &Assessment),
    style: Style,
    limits: &Limits,
) {
    let oversizes = &assessment.oversizes;
    let Some(first) = oversizes.first() else { return };
    let style = cx.prefs.shown(style);
    let unit = style.unit;
    ScrollArea::horizontal().id_salt("stock").show(ui, |ui| {
        Grid::new("stock").striped(true).spacing([14.0, 4.0]).show(ui, |ui| {
            faint(ui, cx, format!("place, {unit}"));
            for option in oversizes {
                let name = limits.sizes.get(option.size).map_or("?", |row| row.name.as_str());
                faint(ui, cx, name);
            }
            ui.end_row();
            for (i, stock) in first.stock.iter().enumerate() {
                let name = capitalised(&point_words(limits, stock.at));
                if ui.add(egui::Link::new(name)).on_hover_text("Go to the reading").clicked() {
                    cx.ask(Action::Cell(stock.at, 0));
                }
                for option in oversizes {
                    let Some(here) = option.stock.get(i) else { continue };
                    let Some(row) = limits.sizes.get(option.size) else { continue };
                    let digits = words::stock_style(cylinder, row, style);
                    let stock = words::stock(cylinder, option, here.at, digits).unwrap_or(here.stock);
                    let least = option.least_stock().is_some_and(|least| least.at == here.at);
                    let text = RichText::new(stock.number(digits));
                    let text = if least { text.font(theme::bold(TEXT)) } else { text };
                    let text = if here.stock.is_negative() { text.color(cx.palette.beyond) } else { text };
                    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| ui.label(text));
                }
                ui.end_row();
            }
        });
    });
    faint(
        ui,
        cx,
        "Off the diameter, on the original centre. Bold: where it takes least. Below nothing: the bore is larger already.",
    );
}

/// A piece that can be folded open with Enter or Space, and stays so while its name changes.
fn fold(ui: &mut Ui, salt: &str, name: impl Into<String>, body: impl FnOnce(&mut Ui)) {
    egui::CollapsingHeader::new(RichText::new(name)).id_salt(salt).show(ui, body);
}

// ---- how sure

/// A length with two digits that count, written out so that it stands beside its figure.
fn two_digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value.is_infinite() { "\u{221e}".to_owned() } else { "0".to_owned() };
    }
    let places = (1 - value.abs().log10().floor() as i32).clamp(0, 12) as usize;
    minus(&format!("{value:.places$}"))
}

/// A coefficient with two digits that count: a small one in millionths, as expansion is customarily written.
fn coefficient(value: f64) -> String {
    if value != 0.0 && value.abs() < 1e-4 {
        return format!("{}e\u{2212}6", two_digits(value * 1e6));
    }
    two_digits(value)
}

/// With a true minus sign.
fn minus(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

/// Degrees of freedom, as whole ones are counted.
fn dof_words(dof: f64) -> String {
    if dof.is_infinite() || dof > 9_999.0 { "\u{221e}".to_owned() } else { format!("{:.0}", dof.floor()) }
}

/// An uncertainty in millimetres, in a unit, with two digits that count.
fn spread(mm: f64, unit: Unit) -> String {
    two_digits(unit.from_mm(mm))
}

/// What a chance leaves out because nobody recorded it; empty if nothing.
fn left_out(uncertainty: &RowUncertainty) -> String {
    match uncertainty.unknown.words() {
        "" => String::new(),
        what => format!(", {what} not counted, as not recorded"),
    }
}

fn uncertainty_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let style = cylinder.style(limits);
    let unit = cx.prefs.shown(style).unit;
    faint(ui, cx, format!("Decided by {}.", limits.decision.words()));
    let mut any = false;
    for row in &assessment.rows {
        let (Some(uncertainty), Some(figure)) = (&row.uncertainty, &row.figure) else { continue };
        any = true;
        let expanded = uncertainty.budget.expanded_95();
        let shown = Shown::new(figure.value, row.limit.as_ref(), cx.prefs.shown(style));
        let name = capitalised(row.kind.words());
        let sure = uncertainty.probability_within.map_or(String::new(), |probability| {
            format!(
                "; within its limit with a probability of {}{}",
                wording::chance_words(probability),
                left_out(uncertainty)
            )
        });
        ui.label(format!(
            "{name}: {} \u{b1} {} {unit}{sure}.",
            shown.value.text(shown.style),
            spread(expanded.u_mm, unit),
        ));
        fold(ui, row.kind.words(), format!("{name}, line by line"), |ui| {
            budget_ui(ui, cx, row, uncertainty, unit);
            chance::chance_ui(ui, &cx.palette, row, uncertainty, (unit, limits.decision));
        });
    }
    if !any {
        let why = if cylinder.unread.is_empty() {
            "Nothing is measured yet."
        } else {
            "Correct the readings first."
        };
        ui.label(why);
    }
}

/// The budget of a row, line by line (JCGM 100).
fn budget_ui(ui: &mut Ui, cx: &ViewCx<'_>, row: &Row, uncertainty: &RowUncertainty, unit: Unit) {
    let budget = &uncertainty.budget;
    ScrollArea::horizontal().id_salt("budget").show(ui, |ui| {
        Grid::new(("budget", row.kind.words())).striped(true).spacing([12.0, 4.0]).show(ui, |ui| {
            for head in ["source", "estimate", "u", "", "dof", "sensitivity", "share"] {
                faint(ui, cx, head);
            }
            ui.end_row();
            for line in &budget.lines {
                let lengths = line.unit == LineUnit::Millimetre;
                // A length is shown in the unit that is looked at, and so is what a kelvin makes of it.
                let own = |value: f64| if lengths { unit.from_mm(value) } else { value };
                let sensitivity = if lengths { line.sensitivity } else { unit.from_mm(line.sensitivity) };
                let estimate = own(line.estimate);
                ui.label(line.source.as_ref());
                ui.label(if lengths && estimate != 0.0 {
                    minus(&format!("{estimate:.5}"))
                } else {
                    coefficient(estimate)
                });
                ui.label(if lengths { two_digits(own(line.u)) } else { coefficient(line.u) });
                ui.label(if lengths { unit.symbol() } else { line.unit.symbol() });
                ui.label(dof_words(line.dof));
                ui.label(coefficient(sensitivity));
                ui.label(format!("{:.0} %", budget.share(line) * 100.0));
                ui.end_row();
            }
        });
    });
    let expanded = budget.expanded_95();
    ui.label(format!(
        "Together u = {} {unit}, {}; expanded U = {:.2} u = {} {unit} (95 %).",
        spread(budget.u_mm, unit),
        match budget.spread().outweighed_words() {
            Some(shape) => shape.to_owned(),
            None => format!("{} effective degrees of freedom", dof_words(budget.dof)),
        },
        expanded.k,
        spread(expanded.u_mm, unit),
    ));
    ui.label(match uncertainty.probability_within {
        Some(probability) => format!(
            "The true value is within the limit with a probability of {}{} (JCGM 106). Guard band {} {unit}.",
            wording::chance_words(probability),
            left_out(uncertainty),
            spread(uncertainty.guard_band.to_mm(), unit),
        ),
        None => "The table gives no limit to be within.".to_owned(),
    });
}

// ---- another rule

fn what_if_ui(
    ui: &mut Ui,
    cx: &ViewCx<'_>,
    view: &mut OutcomeView,
    cylinder: &Cylinder,
    assessment: &Assessment,
    survey: &Survey,
) {
    let limits = survey.limits.as_ref();
    let session = cx.session;
    let asked = LockResult {
        state: session.state(),
        overhaul: session.overhaul_index(),
        cylinder: cx.chosen.cylinder,
    };
    fold(ui, "rules", "Under other rules", |ui| {
        // Judged when it is folded open and when the record changes, not for every frame.
        if view.alternatives.as_ref().is_none_or(|(of, _)| *of != asked) {
            view.alternatives = Some((asked, what_if(cylinder, survey)));
        }
        let Some((_, alternatives)) = &view.alternatives else { return };
        alternatives_ui(ui, cx.prefs, &cx.palette, alternatives, assessment, cylinder, limits);
    });
}

/// What would be recommended by each other rule.
pub(crate) fn alternatives_ui(
    ui: &mut Ui,
    prefs: &Prefs,
    palette: &Palette,
    alternatives: &[Alternative],
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
) {
    let style = cylinder.style(limits);
    for other in alternatives {
        let outcome = other.recommendation;
        let what = match other.rule {
            OtherRule::Decision(_) => "Decision rule",
            OtherRule::Taper(_) => "Taper",
        };
        ui.horizontal_top(|ui| {
            symbols::outcome(ui, 24.0, outcome);
            ui.vertical(|ui| {
                ui.add(egui::Label::new(format!("{what}: {}", other.rule.words())).wrap());
                let same = if outcome == assessment.recommendation { "the same: " } else { "instead: " };
                let colour = symbols::outcome_colour(outcome, palette);
                let words = RichText::new(format!("{same}{}", outcome.words(limits)));
                ui.label(words.font(theme::bold(TEXT)).color(colour));
                let taper = other.taper.as_ref().and_then(|row| reason::glance(row, prefs.shown(style)));
                if let Some(taper) = taper {
                    ui.label(RichText::new(taper).color(palette.faint_ink));
                }
            });
        });
    }
    let last = "One rule differs, everything else stands. Only the rule in the table counts.";
    ui.label(RichText::new(last).color(palette.faint_ink));
}

// ---- the person's decision

/// The decisions that a table makes possible, as an overhaul in `unit` writes them.
pub(crate) fn decisions(limits: &Limits, current: Option<usize>, unit: Unit) -> Vec<Decision> {
    let oversizes = limits.sizes.iter().skip(current.map_or(1, |size| size + 1));
    let rebores = oversizes.map(|row| Decision::Rebore(row.written_in(unit)));
    std::iter::once(Decision::Serviceable).chain(rebores).chain([Decision::Replace]).collect()
}

fn decision_ui(
    ui: &mut Ui,
    cx: &mut ViewCx<'_>,
    view: &mut OutcomeView,
    outcome: Recommendation,
    limits: &Limits,
) {
    let session = cx.session;
    let here = (session.overhaul_index(), cx.chosen.cylinder);
    let Some(written) = cx.cylinder() else { return };
    let unit = session.unit();
    if let Some(disposition) = &written.disposition {
        let words = capitalised(&decision_of(&disposition.decision, limits, unit));
        ui.label(RichText::new(format!("{words}, decided by {}", disposition.by)).font(theme::bold(TEXT)));
        if !disposition.reason.is_empty() {
            ui.label(format!("Because: {}", disposition.reason));
        }
        if !agrees(&disposition.decision, outcome, limits, unit) {
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
        let alternatives = view.alternatives.take();
        *view = OutcomeView { of: Some(here), by, alternatives, ..OutcomeView::default() };
    }
    let size = session.evaluation().cylinder(cx.chosen.cylinder).and_then(|(cylinder, _)| cylinder.size);
    ui.horizontal_wrapped(|ui| {
        for decision in decisions(limits, size, unit) {
            let words = capitalised(&decision_of(&decision, limits, unit));
            let chosen = view.decision.as_ref() == Some(&decision);
            if ui.add(egui::Button::new(words).selected(chosen)).clicked() {
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
    let differs = !agrees(decision, outcome, limits, unit);
    if differs {
        let label = ui.label("It differs from the recommendation. Why?");
        ui.add(egui::TextEdit::singleline(&mut view.reason).desired_width(f32::INFINITY))
            .labelled_by(label.id);
    }
    let wants = match (view.by.trim().is_empty(), differs && view.reason.trim().is_empty()) {
        (true, _) => "Write who decides.",
        (false, true) => "Write the reason; the recommendation and your decision are both kept.",
        (false, false) => "",
    };
    let complete = wants.is_empty();
    if !complete {
        faint(ui, cx, wants);
    }
    if ui.add_enabled(complete, egui::Button::new("Record the decision")).clicked() {
        let disposition = Disposition {
            decision: decision.clone(),
            by: view.by.trim().to_owned(),
            reason: if differs { view.reason.trim().to_owned() } else { String::new() },
        };
        cx.edit(CylinderEdit::Decide(Some(disposition)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_uncertainty_has_two_digits_that_count() {
        let table = [
            (0.0, "0"),
            (0.001_234, "0.0012"),
            (0.000_123_4, "0.00012"),
            (-0.5774, "\u{2212}0.58"),
            (12.3, "12"),
            (0.000_069, "0.000069"),
            (f64::INFINITY, "\u{221e}"),
        ];
        for (value, text) in table {
            assert_eq!(two_digits(value), text, "{value}");
        }
        assert_eq!(coefficient(1.152e-5), "12e\u{2212}6");
        assert_eq!(coefficient(1.0), two_digits(1.0));
    }
}
