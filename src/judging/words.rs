//! What a judged cylinder and a judged engine are said to be, wherever they are shown: on the command line, in the
//! window, on paper. Words and styles of numbers, nothing computed.
//!
//! A number is shown in the unit and with the digits of the readings it comes from; a margin is always "left",
//! "over" or "under", never a bare sign.

use super::clean_up::OversizeOption;
use super::engine::OneSize;
use super::row::{Row, RowStatus};
use super::shown::{figure_style, limit_style};
use super::{Assessment, Recommendation, engine, reason};
use figures::certainty::budget::Budget;
use figures::certainty::measured;
use figures::{Figure, Term, ovality};
use quantities::length::{Mean, Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::limits::rows::{Over, RowKind};
use records::limits::schema::{JudgedOn, Size};
use records::record::schema::{Decision, Disposition};
use records::survey::{Cylinder, Expansion, REFERENCE_C, Survey, point_words};
use records::wording::{self, capitalised, counted};

/// What stands where there is nothing to show.
pub const NONE: &str = "–";

/// The last words of every output: the program decides nothing.
pub const WHO_DECIDES: &str = "Borewright compares and suggests. A licensed person decides, under the maker's current manual \
     and local rules.";

/// What stands over everything that comes from an invented table.
pub const ILLUSTRATIVE: &str = "ILLUSTRATIVE LIMITS: invented, not for any real engine.";

/// `Judged by: ...`: the rules in force.
pub fn judged_on(limits: &Limits) -> String {
    let mut parts = vec![format!("bore on {}", bore_rule_words(limits.bore_judged_on))];
    for row in &limits.shape {
        let Some(rule) = row.kind.rule_words() else { continue };
        let on = match &row.over {
            Over::Stations(stations) if *stations != limits.bore_stations => {
                let names = stations.iter().filter_map(|&i| limits.stations.get(i)).map(|s| s.name.as_str());
                format!(" on {}", names.collect::<Vec<_>>().join(", "))
            }
            _ => String::new(),
        };
        parts.push(format!("{}{on}: {rule}", row.kind.words()));
    }
    parts.push(limits.decision.words().to_owned());
    format!("Judged by: {}.", parts.join("; "))
}

/// What the bore is judged on, in words.
pub fn bore_rule_words(rule: JudgedOn) -> &'static str {
    RowKind::Bore(rule).formula()
}

/// The present size in words.
pub fn size_words<'a>(cylinder: &Cylinder, limits: &'a Limits) -> &'a str {
    cylinder.size.and_then(|size| limits.sizes.get(size)).map_or("not in table", |row| row.name.as_str())
}

/// The probability that a row is within its limit, in words; a dash where readings are missing. A star marks one that
/// leaves something out ([`LEFT_OUT`]).
pub fn within_words(row: &Row) -> String {
    let known = row.missing.is_empty() || row.status == RowStatus::Beyond;
    let uncertainty = row.uncertainty.as_ref().filter(|_| known);
    let chance = uncertainty
        .and_then(|uncertainty| Some((uncertainty.probability_within?, uncertainty.unknown.any())));
    chance.map_or(NONE.to_owned(), |(probability, leaves_out)| {
        format!("{}{}", wording::chance(probability), if leaves_out { "*" } else { "" })
    })
}

/// What the star of [`within_words`] means.
pub const LEFT_OUT: &str = "* The gauge's calibration or repeatability is not recorded, and is left out: the chance is less sure than it looks.";

/// [`LEFT_OUT`], where any of the rows has a star.
pub fn left_out<'a>(rows: impl IntoIterator<Item = &'a Row>) -> Option<&'static str> {
    rows.into_iter().any(|row| within_words(row).ends_with('*')).then_some(LEFT_OUT)
}

/// What a person decided, in words such as `rebore to +0.010 in`; `unit` is that of the overhaul.
pub fn decision_of(decision: &Decision, limits: &Limits, unit: Unit) -> String {
    match decision {
        Decision::Serviceable => "serviceable".to_owned(),
        Decision::Replace => "replace".to_owned(),
        Decision::Rebore(size) => match (limits.size_row(size, unit), size) {
            (Some(row), _) => format!("rebore to {}", row.name),
            (None, Size::Standard) => "rebore to standard".to_owned(),
            (None, Size::Oversize(text)) => format!("rebore to +{text}"),
        },
    }
}

/// Does a decision say the same as the recommendation? `unit` is that of the overhaul.
pub fn agrees(decision: &Decision, outcome: Recommendation, limits: &Limits, unit: Unit) -> bool {
    decision_of(decision, limits, unit) == outcome.words(limits)
}

/// A person's decision as sentences: who, what, whether it differs, and why. `unit` is that of the overhaul.
pub fn disposition_words(
    disposition: &Disposition,
    outcome: Recommendation,
    limits: &Limits,
    unit: Unit,
) -> String {
    let decision = decision_of(&disposition.decision, limits, unit);
    let by = if disposition.by.is_empty() { "somebody who gave no name" } else { &disposition.by };
    let mut words = format!("Decided by {by}: {decision}.");
    if !agrees(&disposition.decision, outcome, limits, unit) {
        let recommended = outcome.words(limits);
        words.push_str(&format!(" That differs from what the limits and readings come to: {recommended}."));
    }
    if !disposition.reason.is_empty() {
        words.push_str(&format!(" The reason given: {}", disposition.reason));
        if !disposition.reason.ends_with('.') {
            words.push('.');
        }
    }
    words
}

/// How the means of a sheet are shown: with one digit more where any of them does not end.
pub fn sheet_style(cylinder: &Cylinder, style: Style) -> Style {
    let means = cylinder.bore.measured().map(|(_, cell)| figure_style(cell.mean(), style).decimals);
    Style { decimals: means.max().unwrap_or(style.decimals), ..style }
}

/// An expanded uncertainty, with one more digit than the readings have.
pub fn expanded_text(budget: &Budget, style: Style) -> String {
    let decimals = usize::from(style.decimals.saturating_add(1));
    format!("{:.decimals$}", style.unit.from_mm(budget.expanded_95().u_mm))
}

/// The budget of the largest diameter, and that of its difference from the smallest; `None` where there is
/// no such thing.
pub fn diameter_and_difference(cylinder: &Cylinder, survey: &Survey) -> (Option<Budget>, Option<Budget>) {
    let cells = || cylinder.bore.measured().map(|(at, cell)| (at, cell.mean()));
    let largest = cells().reduce(|a, b| if b.1 > a.1 { b } else { a });
    let smallest = cells().reduce(|a, b| if b.1 < a.1 { b } else { a });
    let budget = |value: Mean, terms: Vec<Term>| {
        measured::budget(survey.setup(), &cylinder.bore, &Figure::new(value, terms))
    };
    let term = |at: Point, weight: f64| Term { at, weight };
    let diameter = largest.map(|(at, mean)| budget(mean, vec![term(at, 1.0)]));
    let difference = largest
        .zip(smallest)
        .filter(|(largest, smallest)| largest.0 != smallest.0)
        .map(|(a, b)| budget(a.1 - b.1, vec![term(a.0, 1.0), term(b.0, -1.0)]));
    (diameter, difference)
}

/// What is known of a cylinder that is not decided, as a sentence.
pub fn known_words(assessment: &Assessment, limits: &Limits) -> Option<String> {
    let size = limits.sizes.get(assessment.minimum_oversize?)?;
    Some(format!("Already needs a rebore: {} at least.", size.name))
}

/// Does the wall have to be cut, as far as is known?
pub fn needs_metal(assessment: &Assessment) -> bool {
    assessment.minimum_oversize.is_some()
        || match assessment.recommendation {
            Recommendation::Rebore(_) => true,
            Recommendation::Replace => assessment.reasons.contains(&reason::Reason::NoOversize),
            Recommendation::Serviceable | Recommendation::NotDecided => false,
        }
}

/// What a clean bore needs, as sentences, with the places that need the most and what that rests on.
pub fn clean_up_words(
    option: &OversizeOption,
    assessment: &Assessment,
    cylinder: &Cylinder,
    limits: &Limits,
    style: Style,
) -> String {
    let need = |mean: Mean| mean.text(figure_style(mean, style));
    let (even, side) = (need(option.needs_if_even), need(option.needs_whichever_side));
    let place = |at| point_words(limits, at);
    let as_far = if assessment.clean_up_is_complete() { "To come" } else { "As far as measured, to come" };
    let needs = if option.governed_if_even == option.governed_by {
        let at = place(option.governed_by);
        format!("{even} if the wear is even, {side} if all wear is on one side; {at} needs the most.")
    } else {
        let (even_at, side_at) = (place(option.governed_if_even), place(option.governed_by));
        format!("{even} if the wear is even ({even_at}), {side} if all wear is on one side ({side_at}).")
    };
    format!("{as_far} out clean it needs {needs}{}", unseen_oval(cylinder, limits))
}

/// How what an oversize takes off is shown, so that it and the diameter make the finished size.
pub fn stock_style(cylinder: &Cylinder, finished: &SizeRow, style: Style) -> Style {
    let style = sheet_style(cylinder, style);
    let finished = limit_style(finished.new.0.length, finished.new.0.style, style);
    Style { decimals: style.decimals.max(finished.decimals), ..style }
}

/// What an oversize takes off at a place, as shown; negative where the bore is larger already.
pub fn stock(cylinder: &Cylinder, option: &OversizeOption, at: Point, style: Style) -> Option<Mean> {
    Some(Mean::from(option.finished).rounded(style) - cylinder.bore.mean(at)?.rounded(style))
}

/// A sentence with a space in front for a claim that rests on stations where an oval between the axes does not show;
/// nothing where three directions were read at every station that counts.
pub fn unseen_oval(cylinder: &Cylinder, limits: &Limits) -> &'static str {
    let shows = |&station: &usize| ovality::at(&cylinder.bore, &limits.axes, station).is_some();
    if limits.bore_stations.iter().all(shows) {
        ""
    } else {
        " Where only two axes are read, an oval at 45 degrees to them does not show."
    }
}

/// ` L` for a loose fit, ` T` for a tight one, behind its number.
pub fn clearance_letter(clearance: Mean) -> &'static str {
    if clearance.is_negative() { " T" } else { " L" }
}

/// One size for all cylinders, as sentences.
fn one_size_words(one_size: &OneSize, survey: &Survey) -> String {
    let limits = &survey.limits;
    let named = |all: &[usize]| {
        let cylinders = all.iter().filter_map(|&i| survey.cylinders.get(i));
        cylinders.map(Cylinder::words).collect::<Vec<_>>().join(", ")
    };
    let size = limits.sizes.get(one_size.size).map_or("an oversize", |row| row.name.as_str());
    let (as_far, at_least) = if one_size.undecided.is_empty() && one_size.is_measured {
        ("", "")
    } else {
        ("as far as measured, ", " at least")
    };
    let mut words = "The table does not allow cylinders of different sizes: ".to_owned();
    if one_size.cannot.is_empty() {
        words += &format!("{as_far}all of them have to be {size}{at_least}.");
    } else {
        words += &format!("{as_far}one size for all is not possible.");
        words += &format!(" {} needs {size}{at_least}.", capitalised(&named(&one_size.needed_by)));
        for (wall, why) in
            [(true, "the wall may not be cut so far"), (false, "it is not certain to clean up")]
        {
            let these: Vec<usize> =
                one_size.cannot.iter().filter(|(_, by_wall)| *by_wall == wall).map(|(i, _)| *i).collect();
            if !these.is_empty() {
                words += &format!(" {}: {why}.", capitalised(&named(&these)));
            }
        }
    }
    if !one_size.undecided.is_empty() {
        words += &format!(" Not decided: {}.", named(&one_size.undecided));
    }
    words
}

/// What temperatures were made of the readings, and by which expansions that nobody wrote, as sentences.
pub fn temperatures(survey: &Survey) -> Vec<String> {
    let Some(conditions) = &survey.conditions else { return Vec::new() };
    let (barrel_c, gauge_c) = (conditions.barrel_c, conditions.gauge_c);
    if barrel_c == REFERENCE_C && gauge_c == REFERENCE_C {
        return Vec::new();
    }
    let mut words = vec![format!(
        "The barrel was at {barrel_c} °C and the gauge at {gauge_c} °C: every figure is brought to 20 °C."
    )];
    let is_used = |index: usize| {
        let mut cells = survey.cylinders.iter().flat_map(|cylinder| cylinder.bore.measured());
        cells.any(|(_, cell)| cell.gauge == index)
    };
    let gauges = survey.gauges.iter().enumerate();
    let supposed = gauges.filter(|(i, gauge)| gauge.expansion.is_in_doubt(gauge_c) && is_used(*i));
    let barrel = conditions.barrel.is_in_doubt(barrel_c).then_some("the barrel");
    let supposed: Vec<&str> =
        barrel.into_iter().chain(supposed.map(|(_, gauge)| gauge.name.as_str())).collect();
    if !supposed.is_empty() {
        words.push(format!(
            "How these expand is not written: {}. That of steel is supposed, {:.1} millionths per K.",
            supposed.join(", "),
            Expansion::STEEL.per_k * 1e6,
        ));
    }
    words
}

/// Parts of which nothing was measured, or nothing that a clearance or gap comes of, as a sentence; empty: none.
pub fn not_measured(assessment: &Assessment, limits: &Limits) -> String {
    let rows = assessment.fits.iter().enumerate().filter(|(_, row)| row.largest.is_none());
    let names = rows.map(|(i, row)| {
        // Ring gaps follow the pairs of parts.
        let gap = if i >= limits.fits.len() { ", gap" } else { "" };
        let why = row.unusable.as_ref().map_or(String::new(), |why| format!(" ({why})"));
        format!("{} {}{gap}{why}", row.source.reference, row.description).trim_start().to_owned()
    });
    let names: Vec<String> = names.collect();
    if names.is_empty() { String::new() } else { format!("Not measured: {}.", names.join("; ")) }
}

/// What holds for the engine as a whole, as sentences.
pub fn remarks(survey: &Survey, one_size: Option<&OneSize>) -> Vec<String> {
    let limits = &survey.limits;
    let mut remarks = temperatures(survey);
    remarks.extend(one_size.map(|one_size| one_size_words(one_size, survey)));
    if let (Some(weights), Some(row)) = (engine::weights(survey), &limits.piston_weight_spread) {
        let reference = if row.source.reference.is_empty() {
            String::new()
        } else {
            format!(" (ref. {})", row.source.reference)
        };
        let is = if weights.within { "within" } else { "over" };
        remarks.push(format!(
            "Piston weights: {} weighed; the heaviest ({}) and the lightest ({}) are {} apart, {is} the {} \
             allowed{reference}.",
            weights.weighed,
            weights.between.1,
            weights.between.0,
            weights.spread.text(),
            row.text,
        ));
    }
    let expected = limits.cylinders.map(usize::from).filter(|&expected| expected != survey.cylinders.len());
    if let Some(expected) = expected {
        remarks.push(format!(
            "The table is for {}; {} written down.",
            counted(expected, "cylinder"),
            match survey.cylinders.len() {
                1 => "1 is".to_owned(),
                number => format!("{number} are"),
            }
        ));
    }
    remarks
}
