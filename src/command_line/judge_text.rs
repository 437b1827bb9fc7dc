//! What an engine comes to, as text for people: a header, one line for each cylinder, then each cylinder's
//! reasons, rows, ladder, cautions, parts and the person's own decision, then what holds for the engine.

use std::path::Path;

use super::judged::{Given, Judged, Surveyed};
use super::text::{
    ATTENTION, Align, HEADING, NONE, PLAIN, Page, QUIET, Table, TableCell, counted, outcome_style, shortened,
    status_style,
};
use figures::certainty::budget::{Budget, BudgetLine, LineUnit};
use judging::engine::{OneSize, one_size_for_all};
use judging::shown::{ShownFit, ShownOutcome, ShownOversize, ShownRow, ShownSlip};
use judging::words::{self, expanded_text, judged_on, needs_metal, within_words};
use judging::{Assessment, Recommendation, reason};
use quantities::length::{Mean, Style};
use records::bore::Point;
use records::limits::Limits;
use records::limits::schema::DecisionRule;
use records::survey::{Cylinder, Survey, station_words};
use records::wording::capitalised;
use work::fleet::{FleetLine, Tally};
use work::seal;

pub use judging::words::{
    ILLUSTRATIVE, WHO_DECIDES, agrees, decision_of, diameter_and_difference, left_out, not_measured,
    sheet_style, size_words,
};

/// An engine as text, with the uncertainty budget of every row if asked for.
pub fn engine(judged: &Judged, budgets: bool) -> String {
    let mut page = Page::default();
    header(&mut page, &judged.surveyed);
    summary(&mut page, judged);
    for (cylinder, assessment) in judged.cylinders() {
        page.gap();
        cylinder_part(&mut page, cylinder, assessment, &judged.surveyed);
        if budgets {
            budget_tables(&mut page, cylinder, assessment, &judged.surveyed.survey.limits);
        }
    }
    let survey = &judged.surveyed.survey;
    let one_size = one_size_for_all(&survey.limits, &survey.cylinders, &judged.assessments);
    let remarks = remarks(&judged.surveyed, one_size.as_ref());
    if !remarks.is_empty() {
        page.gap();
        page.heading(0, "The engine as a whole", "", PLAIN);
        remarks.iter().for_each(|remark| page.paragraph(2, "- ", PLAIN, remark));
    }
    page.gap();
    page.into_text()
}

/// Engine, overhaul, table of limits.
pub fn header(page: &mut Page, surveyed: &Surveyed) {
    let engine = &surveyed.record.engine;
    let serial = if engine.serial.is_empty() { String::new() } else { format!(", serial {}", engine.serial) };
    page.paragraph(0, "", HEADING, &format!("{}{serial}", engine.model));
    if let Some(overhaul) = surveyed.overhaul() {
        let mut parts = vec![format!(
            "Overhaul {} of {}, {}",
            surveyed.index + 1,
            surveyed.record.overhauls.len(),
            overhaul.date
        )];
        parts.extend(overhaul.total_hours.map(|hours| format!("total time {hours} h")));
        parts.extend(overhaul.hours_since_overhaul.map(|hours| format!("{hours} h since overhaul")));
        if !overhaul.inspector.name.is_empty() {
            parts.push(format!("inspector {}", overhaul.inspector.name));
        }
        page.paragraph(0, "", PLAIN, &parts.join(", "));
    }
    let from = surveyed.limits_file.as_ref();
    let from = from.map_or(String::new(), |file| format!(", from {}", file.display()));
    limits_lines(page, &surveyed.survey.limits, &from);
}

/// The table of limits, the rules in force, and whether it is invented.
fn limits_lines(page: &mut Page, limits: &Limits, from: &str) {
    page.paragraph(
        0,
        "",
        PLAIN,
        &format!("Limits {} revision {} for {}{from}", limits.identity, limits.revision, limits.engine),
    );
    page.paragraph(0, "", QUIET, &judged_on(limits));
    if limits.illustrative {
        page.paragraph(0, "", ATTENTION, ILLUSTRATIVE);
    }
}

/// A decision rule in words.
pub fn decision_words(rule: DecisionRule) -> &'static str {
    rule.words()
}

/// How many cylinders come to what, and one line for each.
fn summary(page: &mut Page, judged: &Judged) {
    let limits = &judged.surveyed.survey.limits;
    let number = |wanted: fn(Recommendation) -> bool| {
        judged.assessments.iter().filter(|assessment| wanted(assessment.recommendation)).count()
    };
    let counts = [
        (number(|r| r == Recommendation::Serviceable), "serviceable"),
        (number(|r| matches!(r, Recommendation::Rebore(_))), "rebore"),
        (number(|r| r == Recommendation::Replace), "replace"),
        (number(|r| r == Recommendation::NotDecided), "not decided"),
    ];
    let counts: Vec<_> =
        counts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    page.gap();
    if counts.is_empty() {
        page.paragraph(0, "", PLAIN, "No cylinder is written down yet: write them under `cylinders`.");
        return;
    }
    let cylinders = counted(judged.assessments.len(), "cylinder");
    page.paragraph(0, "", PLAIN, &format!("{cylinders}: {}", counts.join(", ")));
    page.gap();
    let mut table = Table::new([
        ("cylinder", Align::Left),
        ("serial", Align::Left),
        ("size", Align::Left),
        ("outcome", Align::Left),
        ("tightest row", Align::Left),
        ("margin", Align::Words),
        ("chance", Align::Point),
    ]);
    for (cylinder, assessment) in judged.cylinders() {
        let row = assessment.tightest_row();
        let margin = row.and_then(|row| reason::margin_words(row, cylinder.style(limits)));
        table.row([
            shortened(&cylinder.position, 10).into(),
            shortened(&cylinder.serial, 14).into(),
            shortened(size_words(cylinder, limits), 12).into(),
            TableCell::styled(
                shortened(&assessment.recommendation.words(limits), 22),
                outcome_style(assessment.recommendation),
            ),
            row.map_or(NONE, |row| row.kind.words()).into(),
            margin.unwrap_or(NONE.to_owned()).into(),
            row.map_or(NONE.to_owned(), within_words).into(),
        ]);
    }
    page.table(0, &table);
    page.paragraph(
        0,
        "",
        QUIET,
        "Chance: that the true value is within the limit, as far as the uncertainty is known.",
    );
    if let Some(left_out) = left_out(judged.assessments.iter().filter_map(Assessment::tightest_row)) {
        page.paragraph(0, "", QUIET, left_out);
    }
}

fn cylinder_part(page: &mut Page, cylinder: &Cylinder, assessment: &Assessment, surveyed: &Surveyed) {
    let (survey, unit) = (&surveyed.survey, surveyed.unit());
    let limits = &survey.limits;
    let style = cylinder.style(limits);
    let shown = ShownOutcome::of(assessment, cylinder, limits, None, unit);
    page.heading(
        0,
        &format!("{}: ", capitalised(&cylinder.words())),
        &shown.words,
        outcome_style(assessment.recommendation),
    );
    if let Some(known) = shown.known {
        page.paragraph(2, "", PLAIN, &known);
    }
    if let Some(decided) = shown.decided {
        page.paragraph(2, "", if shown.differs { ATTENTION } else { PLAIN }, &decided);
    }
    for reason in shown.reasons {
        page.paragraph(2, "- ", PLAIN, &reason.sentence);
    }
    for slip in ShownSlip::all(assessment, limits).iter().filter(|slip| !slip.is_deciding) {
        page.paragraph(2, "Caution: ", PLAIN, &slip.sentence);
    }
    rows(page, assessment, limits, style);
    uncertainty(page, cylinder, survey, style);
    oversizes(page, cylinder, assessment, limits, style);
    fits(page, assessment, limits, style);
}

fn rows(page: &mut Page, assessment: &Assessment, limits: &Limits, style: Style) {
    if assessment.rows.iter().all(|row| row.figure.is_none()) {
        return;
    }
    let unit = style.unit;
    let mut table = Table::new([
        ("row".to_owned(), Align::Left),
        (format!("figure, {unit}"), Align::Point),
        (format!("limit, {unit}"), Align::Point),
        (format!("margin, {unit}"), Align::Point),
        (format!("± 95 %, {unit}"), Align::Point),
        ("chance".to_owned(), Align::Point),
        (String::new(), Align::Left),
    ]);
    let or_none = |text: Option<String>| TableCell::from(text.unwrap_or(NONE.to_owned()));
    for row in &assessment.rows {
        let shown = ShownRow::of(row, limits, style);
        table.row([
            shown.name.into(),
            or_none(shown.figure),
            or_none(shown.limit),
            or_none(shown.margin.map(|(number, side)| format!("{number} {side}"))),
            or_none(shown.expanded),
            shown.chance.into(),
            TableCell::styled(shown.status_words, status_style(shown.status)),
        ]);
    }
    page.gap();
    page.table(2, &table);
    if let Some(left_out) = left_out(&assessment.rows) {
        page.paragraph(2, "", QUIET, left_out);
    }
}

fn uncertainty(page: &mut Page, cylinder: &Cylinder, survey: &Survey, style: Style) {
    let (Some(diameter), difference) = diameter_and_difference(cylinder, survey) else { return };
    let of = |budget: &Budget| {
        format!("± {} {} (k {:.2})", expanded_text(budget, style), style.unit, budget.expanded_95().k)
    };
    let difference =
        difference.map_or(String::new(), |budget| format!(", the difference of two {}", of(&budget)));
    let text = format!("How sure, 95 %: a diameter {}{difference}.", of(&diameter));
    page.paragraph(2, "", QUIET, &text);
}

/// The uncertainty budget of every row, line by line.
fn budget_tables(page: &mut Page, cylinder: &Cylinder, assessment: &Assessment, limits: &Limits) {
    let style = cylinder.style(limits);
    for row in &assessment.rows {
        let (Some(figure), Some(uncertainty)) = (&row.figure, &row.uncertainty) else { continue };
        let budget = &uncertainty.budget;
        page.gap();
        let place = reason::figure_place(figure, limits);
        page.paragraph(2, "", PLAIN, &format!("Uncertainty of {}, {place}:", row.kind.words()));
        let mut table = Table::new([
            ("source".to_owned(), Align::Left),
            ("estimate".to_owned(), Align::Point),
            ("u".to_owned(), Align::Point),
            ("unit".to_owned(), Align::Left),
            ("dof".to_owned(), Align::Point),
            ("sensitivity".to_owned(), Align::Point),
            (format!("makes, {}", style.unit), Align::Point),
            ("share".to_owned(), Align::Point),
        ]);
        for line in &budget.lines {
            table.row(budget_line(line, budget, style).map(TableCell::from));
        }
        page.table(4, &table);
        let expanded = budget.expanded_95();
        let spread = match budget.spread().outweighed_words() {
            Some(shape) => shape.to_owned(),
            None => format!("{} degrees of freedom", degrees(budget.dof)),
        };
        let text = format!(
            "Together u = {} {}, {spread}, k {:.2}: ± {} {} at 95 %.",
            small(style.unit.from_mm(budget.u_mm)),
            style.unit,
            expanded.k,
            small(style.unit.from_mm(expanded.u_mm)),
            style.unit,
        );
        page.paragraph(4, "", PLAIN, &text);
    }
}

/// A line of a budget: source, estimate, u, its unit, dof, sensitivity, what it makes, share.
fn budget_line(line: &BudgetLine, budget: &Budget, style: Style) -> [String; 8] {
    let (length, symbol, sensitivity) = match line.unit {
        LineUnit::Millimetre => (true, style.unit.symbol(), line.sensitivity),
        LineUnit::Kelvin | LineUnit::PerKelvin => {
            (false, line.unit.symbol(), style.unit.from_mm(line.sensitivity))
        }
    };
    let own = |value: f64| if length { style.unit.from_mm(value) } else { value };
    [
        shortened(&line.source, 30),
        match (line.estimate == 0.0, length) {
            (true, _) => "0".to_owned(),
            (false, true) => format!("{:.1$}", own(line.estimate), usize::from(style.decimals)),
            (false, false) => small(line.estimate),
        },
        small(own(line.u)),
        symbol.to_owned(),
        degrees(line.dof),
        small(sensitivity),
        small(style.unit.from_mm(line.contribution_mm())),
        format!("{:.1} %", budget.share(line) * 100.0),
    ]
}

/// Degrees of freedom.
fn degrees(dof: f64) -> String {
    if dof.is_finite() { format!("{dof:.1}") } else { "\u{221e}".to_owned() }
}

/// A float to three significant digits, without an exponent unless it is very small.
fn small(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let power = value.abs().log10().floor();
    let text = if power < -7.0 {
        format!("{value:.2e}")
    } else {
        let decimals = (2.0 - power).clamp(0.0, 9.0) as usize;
        format!("{value:.decimals$}")
    };
    text.replacen('-', "\u{2212}", usize::from(value < 0.0))
}

fn oversizes(page: &mut Page, cylinder: &Cylinder, assessment: &Assessment, limits: &Limits, style: Style) {
    if !needs_metal(assessment) || assessment.oversizes.is_empty() {
        return;
    }
    let unit = style.unit;
    page.gap();
    if let Some(option) = assessment.oversizes.first() {
        page.paragraph(2, "", PLAIN, &words::clean_up_words(option, assessment, cylinder, limits, style));
    }
    let mut table = Table::new([
        ("oversize".to_owned(), Align::Left),
        (format!("finished, {unit}"), Align::Point),
        (format!("if even, {unit}"), Align::Words),
        (format!("one-sided, {unit}"), Align::Words),
        (String::new(), Align::Left),
    ]);
    for shown in ShownOversize::all(assessment, limits, style) {
        let verdict = shown.verdict();
        let spare = |(number, side): (String, &str)| format!("{number} {side}");
        table.row([
            shown.size.into(),
            shown.finished.into(),
            spare(shown.if_even).into(),
            spare(shown.one_sided).into(),
            if shown.is_recommended { TableCell::styled(verdict, HEADING) } else { verdict.into() },
        ]);
    }
    page.table(2, &table);
    let size = match assessment.recommendation {
        Recommendation::Rebore(size) => Some(size),
        _ => assessment.minimum_oversize,
    };
    let chosen = size.and_then(|size| assessment.oversizes.iter().find(|option| option.size == size));
    if let Some((option, row)) = chosen.and_then(|option| Some((option, limits.sizes.get(option.size)?))) {
        page.gap();
        let style = words::stock_style(cylinder, row, style);
        let stock = |at: Point| words::stock(cylinder, option, at, style);
        let text = format!("What comes off at {} on the diameter, {unit}:", row.name);
        page.paragraph(2, "", PLAIN, &text);
        page.table(4, &grid(cylinder, limits, style, stock));
    }
}

/// Stations down, the measured axes across.
pub fn grid(
    cylinder: &Cylinder,
    limits: &Limits,
    style: Style,
    value: impl Fn(Point) -> Option<Mean>,
) -> Table {
    let axes: Vec<usize> = measured_axes(cylinder);
    let names = axes.iter().filter_map(|&axis| limits.axes.get(axis)).map(|axis| shortened(&axis.label, 12));
    let columns = names.map(|name| (name, Align::Point));
    let mut table = Table::new(std::iter::once((String::new(), Align::Left)).chain(columns));
    for station in 0..limits.stations.len() {
        let cells = axes.iter().map(|&axis| {
            let value = value(Point::new(station, axis));
            TableCell::from(value.map_or(NONE.to_owned(), |value| value.number(style)))
        });
        let name = TableCell::from(shortened(&station_words(limits, station), 24));
        table.row(std::iter::once(name).chain(cells));
    }
    table
}

/// The axes on which anything was measured, as many as fit a line.
pub fn measured_axes(cylinder: &Cylinder) -> Vec<usize> {
    (0..cylinder.bore.axes())
        .filter(|&axis| cylinder.bore.measured().any(|(at, _)| at.axis == axis))
        .take(6)
        .collect()
}

fn fits(page: &mut Page, assessment: &Assessment, limits: &Limits, style: Style) {
    if assessment.fits.iter().all(|row| row.largest.is_none() && row.unusable.is_none()) {
        return;
    }
    let unit = style.unit;
    let mut table = Table::new([
        ("ref.".to_owned(), Align::Left),
        ("parts".to_owned(), Align::Left),
        (format!("least, {unit}"), Align::Point),
        (format!("most, {unit}"), Align::Point),
        (format!("limit, {unit}"), Align::Point),
        (format!("margin, {unit}"), Align::Point),
        (String::new(), Align::Left),
    ]);
    let or_none = |text: Option<String>| TableCell::from(text.unwrap_or(NONE.to_owned()));
    for shown in ShownFit::all(&assessment.fits, limits, style) {
        let Some(most) = shown.most else { continue };
        table.row([
            shortened(&shown.reference, 6).into(),
            shortened(&shown.parts, 27).into(),
            or_none(shown.least),
            most.into(),
            or_none(shown.limit),
            or_none(shown.margin.map(|(number, side)| format!("{number} {side}"))),
            TableCell::styled(shown.status_words, status_style(shown.status)),
        ]);
    }
    page.gap();
    if assessment.fits.iter().any(|row| row.largest.is_some()) {
        page.table(2, &table);
    }
    let missing = not_measured(assessment, limits);
    if !missing.is_empty() {
        page.paragraph(2, "", QUIET, &missing);
    }
}

/// What holds for the engine as a whole, as sentences.
pub fn remarks(surveyed: &Surveyed, one_size: Option<&OneSize>) -> Vec<String> {
    let signature = surveyed.overhaul().and_then(|overhaul| overhaul.seal.as_ref());
    let signed = signature.zip(seal::verify(&surveyed.record, surveyed.index));
    let mut remarks: Vec<String> =
        signed.map(|(seal, verdict)| seal::words::verdict_words(seal, &verdict)).into_iter().collect();
    remarks.extend(words::remarks(&surveyed.survey, one_size));
    remarks
}

/// What stands over a fleet.
pub fn fleet_header(file: &Path, given: &Given) -> String {
    let mut page = Page::default();
    let limits = &given.limits;
    page.paragraph(0, "", HEADING, &format!("Fleet {}", file.display()));
    limits_lines(&mut page, limits, &format!(", from {}", given.file.display()));
    page.gap();
    page.into_text()
}

/// A cylinder of a fleet: which one, the recommendation, what it rests on, and the weightiest reason.
pub fn fleet_line(line: &FleetLine, limits: &Limits) -> String {
    let mut page = Page::default();
    let recommendation = line.assessment.recommendation;
    let basis = format!(" ({})", line.basis.words());
    let outcome = recommendation.words(limits) + &basis;
    page.heading(0, &format!("{}: ", capitalised(&line.words())), &outcome, outcome_style(recommendation));
    let mut reasons = line.assessment.reasons.iter();
    let sentence = reasons.find_map(|r| reason::sentence(*r, &line.assessment, &line.cylinder, limits));
    if let Some(sentence) = sentence {
        page.paragraph(2, "", PLAIN, &sentence);
    }
    page.into_text()
}

/// What a fleet came to.
pub fn fleet_tally(tally: &Tally, limits: &Limits) -> String {
    let mut page = Page::default();
    let mut counts = vec![(tally.serviceable, "serviceable".to_owned())];
    let sizes = limits.sizes.iter().zip(&tally.rebore);
    counts.extend(sizes.map(|(row, count)| (*count, format!("rebore to {}", row.name))));
    counts.push((tally.replace, "replace".to_owned()));
    counts.push((tally.not_decided, "not decided".to_owned()));
    let counts: Vec<_> = counts.iter().filter(|c| c.0 > 0).map(|(n, words)| format!("{n} {words}")).collect();
    let count = |count: u64| usize::try_from(count).unwrap_or(usize::MAX);
    let whole =
        format!("{}, {}", counted(count(tally.rows), "row"), counted(count(tally.cylinders), "cylinder"));
    let counts = if counts.is_empty() { String::new() } else { format!(": {}", counts.join(", ")) };
    page.gap();
    page.paragraph(0, "", PLAIN, &format!("{whole}{counts}."));
    page.gap();
    format!("\n{}", page.into_text())
}

/// The last lines of an output.
pub fn closing() -> String {
    let mut page = Page::default();
    page.paragraph(0, "", PLAIN, WHO_DECIDES);
    page.into_text().trim_end().to_owned()
}
