//! The outcome of a cylinder: what is recommended, why, and what would have to be measured first.
//!
//! 1. A finding that condemns the part, or a row whose table says so: replace.
//! 2. Every row within its serviceable limit and no finding that asks for metal: serviceable.
//! 3. Otherwise the smallest allowed oversize that is certain to clean up: rebore.
//! 4. No such oversize, or the wall may not be cut: replace.
//! 5. Something needed is missing or unreadable: not decided, naming what to measure. A fact that already
//!    condemns is said at once. Where the evidence contradicts itself, only a finding still condemns.
//!
//! It compares and suggests; a named, licensed person decides. [`judge`] takes the readings as they stand.
//! [`assess`] also looks for slips, and does not decide where the recommendation hangs on a reading that
//! looks wrong and that nobody has confirmed.
//!
//! What holds always (and is tested as laws): wear that grows everywhere alike never improves the outcome,
//! nor does a larger reading in the bore row or a deeper pit; a reading added where none was never turns
//! replace into serviceable; a missing reading is never a pass; a figure on its limit is within; neither
//! units nor the order of readings matter. Wear at the smallest point alone may well make a bore rounder.
//!
//! [`slips`] finds the readings that look wrong and says what was probably meant; it knows nothing of the outcome.

pub mod clean_up;
pub mod engine;
pub mod evidence;
pub mod finding;
pub mod fit;
pub mod json;
pub mod reason;
pub mod row;
pub mod shown;

pub mod slips;
pub mod what_if;
pub mod words;

use records::bore::{Bore, Point};
use records::limits::Limits;
use records::limits::schema::{DecisionRule, WhenBeyond};
use records::survey::{Cylinder, Setup, Survey};
use slips::Slip;

use clean_up::{OversizeOption, Pit};
use evidence::Contradiction;
use finding::{Amount, Answer, Consequence};
use reason::Reason;
use row::{Row, RowStatus};

/// What is recommended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Recommendation {
    /// Serviceable as it is.
    Serviceable,
    /// Rebore to the size with this index in [`Limits::sizes`].
    Rebore(usize),
    /// Replace.
    Replace,
    /// Not decided: something must be measured first.
    NotDecided,
}

impl Recommendation {
    /// In words, such as `rebore to +0.010 in`.
    pub fn words(self, limits: &Limits) -> String {
        match self {
            Self::Serviceable => "serviceable".to_owned(),
            Self::Rebore(size) => {
                let name = limits.sizes.get(size).map_or("an oversize", |row| row.name.as_str());
                format!("rebore to {name}")
            }
            Self::Replace => "replace".to_owned(),
            Self::NotDecided => "not decided".to_owned(),
        }
    }

    /// How far from serviceable it is, for comparing; none if not decided.
    pub fn severity(self) -> Option<usize> {
        match self {
            Self::Serviceable => Some(0),
            Self::Rebore(size) => Some(size),
            Self::Replace => Some(usize::MAX),
            Self::NotDecided => None,
        }
    }
}

/// Something that must be done before the outcome can be decided.
#[derive(Clone, Debug, PartialEq)]
pub enum Need {
    /// Measure these places, for these rows.
    Measure(Vec<Point>),
    /// Look the cylinder over by eye.
    LookOver,
    /// Measure this amount of this finding.
    Amount(Amount, usize),
    /// Look up the limit of this row, which the table leaves blank.
    Limit(usize),
    /// The size is not in the table.
    SizeRow,
    /// An entry, or what it was measured with, that cannot be read or cannot be right.
    Unreadable(String),
    /// The evidence contradicts itself.
    Contradiction(Contradiction),
    /// The figure of this row cannot be worked out from any reading the table has a place for.
    Impossible(usize),
    /// The table asks for a guard band, and the budget of this row leaves something out.
    Budget(usize),
    /// Confirm or retype the reading of this slip, on which the recommendation hangs.
    Confirm(usize),
    /// An expansion that is only supposed: the outcome is another one with it than without.
    Expansion {
        /// What the readings come to at 20 °C, by the expansion of steel.
        at_20_c: Recommendation,
        /// What they come to as read.
        as_read: Recommendation,
    },
}

impl Need {
    /// May what it asks for change what a clean bore needs? Then a clean-up holds as far as measured only.
    fn bears_on_clean_up(&self) -> bool {
        match self {
            Self::Measure(_) | Self::LookOver | Self::Confirm(_) | Self::Expansion { .. } => true,
            Self::Unreadable(_) | Self::Contradiction(_) => true,
            Self::Amount(Amount::Depth | Amount::BoreThere, _) => true,
            Self::Amount(Amount::Size | Amount::Area, _) => false,
            Self::Limit(_) | Self::Impossible(_) | Self::Budget(_) | Self::SizeRow => false,
        }
    }
}

/// A cylinder judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// What is recommended.
    pub recommendation: Recommendation,
    /// Not decided, but the wall has to be cut at least this far (index of a size), or cannot stay as it is.
    pub minimum_oversize: Option<usize>,
    /// Every row of the table.
    pub rows: Vec<Row>,
    /// What each finding comes to, in the order of the cylinder's findings.
    pub findings: Vec<Answer>,
    /// The oversizes larger than the current size.
    pub oversizes: Vec<OversizeOption>,
    /// What must be measured or confirmed first.
    pub needs: Vec<Need>,
    /// Why, in order of weight.
    pub reasons: Vec<Reason>,
    /// Readings that look wrong.
    pub slips: Vec<Slip>,
    /// Parts that run in the bore.
    pub fits: Vec<fit::FitRow>,
}

impl Assessment {
    /// Does the evidence contradict itself?
    pub fn is_contradicted(&self) -> bool {
        self.needs.iter().any(|need| matches!(need, Need::Contradiction(_)))
    }

    /// Is everything known that a clean-up rests on? If not, it holds as far as measured.
    pub fn clean_up_is_complete(&self) -> bool {
        !self.needs.iter().any(Need::bears_on_clean_up)
    }

    /// The row nearest to its limit or farthest over it, by the share of the limit that is left; of those that
    /// are measured right through, or beyond already.
    pub fn tightest_row(&self) -> Option<&Row> {
        self.rows
            .iter()
            .filter(|row| row.margin.is_some() && (row.missing.is_empty() || is_beyond(row)))
            .min_by(|a, b| reason::share_left(a).total_cmp(&reason::share_left(b)))
    }
}

/// Judges a cylinder by its readings as they stand.
///
/// Where bringing them to 20 °C rests on an expansion that is only supposed, the outcome must be the same with it and
/// without it: else it is not decided.
///
/// # Examples
/// ```
/// let text = std::fs::read_to_string("../../demo/wexcombe_six.ron").unwrap();
/// let record = records::file::record_from_text(&text, None).value.unwrap();
/// let survey = records::record::resolve::survey(&record, 2, None).value.unwrap();
/// let cylinder = &survey.cylinders[3];
/// let assessment = judging::judge(cylinder, &survey.limits, survey.setup());
/// assert_eq!(assessment.recommendation.words(&survey.limits), "rebore to +0.015 in");
/// let tightest = assessment.tightest_row().unwrap();
/// assert_eq!(tightest.kind.words(), "choke");
/// ```
pub fn judge(cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Assessment {
    let mut assessment = as_they_stand(cylinder, limits, setup);
    let Some(bore) = as_read_if_in_doubt(&cylinder.bore, setup) else { return assessment };
    let as_read = as_they_stand(&Cylinder { bore, ..cylinder.clone() }, limits, setup);
    if (as_read.recommendation, as_read.minimum_oversize)
        != (assessment.recommendation, assessment.minimum_oversize)
    {
        let (at_20_c, as_read) = (assessment.recommendation, as_read.recommendation);
        assessment.needs.push(Need::Expansion { at_20_c, as_read });
        assessment.recommendation = Recommendation::NotDecided;
        assessment.minimum_oversize = None;
        assessment.reasons = reason::reasons(&assessment);
    }
    assessment
}

/// The bore as read, where bringing any of its readings to 20 °C rests on an expansion that is only supposed.
fn as_read_if_in_doubt(bore: &Bore, setup: Setup<'_>) -> Option<Bore> {
    let conditions = setup.conditions?;
    let expansion = |gauge: usize| setup.gauges.get(gauge).map(|gauge| gauge.expansion).unwrap_or_default();
    let in_doubt = bore.measured().any(|(_, cell)| conditions.is_in_doubt(expansion(cell.gauge)));
    if in_doubt { bore.as_read() } else { None }
}

fn as_they_stand(cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Assessment {
    let rows = row::rows(cylinder, limits, setup);
    let mut findings = finding::answers(&cylinder.findings, limits);
    let contradictions = evidence::contradictions(cylinder, limits, setup);
    let doubted = !contradictions.is_empty();
    let pits = finding::pits(&cylinder.findings, limits);
    // A clean-up would be counted from a size that the barrel may not have.
    let oversizes = match doubted {
        true => Vec::new(),
        false => clean_up::oversizes(cylinder, limits, &pits),
    };
    let certain = certain_size(&oversizes);
    // A pit that cannot be placed is taken to be where the bore is largest, which may be too much.
    let is_placed = |pit: &Pit| pit.is_placed(cylinder);
    let has_astray = !pits.iter().all(is_placed);
    let placed = || pits.iter().copied().filter(is_placed).collect::<Vec<_>>();
    let too_much = has_astray
        && certain.is_none()
        && certain_size(&clean_up::oversizes(cylinder, limits, &placed())).is_some();
    let condemned = any_of(&findings, Consequence::Replace)
        || !doubted && rows.iter().any(|row| is_beyond(row) && row.when_beyond == WhenBeyond::Replace);
    let metal = any_of(&findings, Consequence::NeedsRebore) || rows.iter().any(is_beyond);
    if metal && !condemned {
        for (answer, finding) in findings.iter_mut().zip(&cylinder.findings) {
            *answer = answer.before_a_rebore(finding);
            if too_much && finding::pit(finding, limits).is_some_and(|pit| !is_placed(&pit)) {
                *answer = answer.before_it_is_placed();
            }
        }
    }
    // What is guarded is acceptance: a wall that has to be cut waits only for a row that would condemn.
    let guarded = |row: &Row| {
        limits.decision == DecisionRule::Guarded && (!metal || row.when_beyond == WhenBeyond::Replace)
    };
    let needs = needs(cylinder, contradictions, &rows, &findings, guarded);
    let recommendation = match (condemned, metal, needs.is_empty()) {
        (true, _, _) => Recommendation::Replace,
        _ if doubted => Recommendation::NotDecided,
        (_, true, _) if certain.is_none() && !too_much && has_oversizes(cylinder) => Recommendation::Replace,
        (_, true, true) => certain.map_or(Recommendation::Replace, Recommendation::Rebore),
        (_, false, true) => Recommendation::Serviceable,
        (_, _, false) => Recommendation::NotDecided,
    };
    let is_least = metal && !has_astray && recommendation == Recommendation::NotDecided;
    let minimum_oversize = certain.filter(|_| is_least);
    let mut assessment = Assessment {
        recommendation,
        minimum_oversize,
        rows,
        findings,
        oversizes,
        needs,
        reasons: Vec::new(),
        slips: Vec::new(),
        fits: fit::fits(cylinder, limits),
    };
    assessment.reasons = reason::reasons(&assessment);
    assessment
}

/// Is there a ladder to run out of: is the size in the table, anything measured, and every entry read? One that
/// cannot be read, or contradicts another, may be what makes every oversize too small.
fn has_oversizes(cylinder: &Cylinder) -> bool {
    cylinder.size.is_some() && !cylinder.bore.is_empty() && cylinder.unreadable.is_empty()
}

/// The smallest oversize that is certain to clean up.
fn certain_size(oversizes: &[OversizeOption]) -> Option<usize> {
    oversizes.iter().find(|option| option.is_certain()).map(|option| option.size)
}

fn is_beyond(row: &Row) -> bool {
    row.status == RowStatus::Beyond
}

fn any_of(findings: &[Answer], consequence: Consequence) -> bool {
    findings.iter().any(|answer| answer.consequence == consequence)
}

/// What must be done before the cylinder can pass.
fn needs(
    cylinder: &Cylinder,
    contradictions: Vec<Contradiction>,
    rows: &[Row],
    findings: &[Answer],
    guarded: impl Fn(&Row) -> bool,
) -> Vec<Need> {
    let mut needs: Vec<Need> = contradictions.into_iter().map(Need::Contradiction).collect();
    needs.extend(cylinder.unreadable.iter().cloned().map(Need::Unreadable));
    if cylinder.size.is_none() {
        needs.push(Need::SizeRow);
    }
    if !cylinder.looked_over {
        needs.push(Need::LookOver);
    }
    for (i, answer) in findings.iter().enumerate() {
        needs.extend(answer.missing().map(|amount| Need::Amount(amount, i)));
    }
    let mut missing: Vec<Point> = rows.iter().flat_map(|row| row.missing.iter().copied()).collect();
    missing.sort_unstable();
    missing.dedup();
    // What was entered and cannot be used is to be corrected, which is said already.
    missing.retain(|at| !cylinder.unread.contains(at));
    if !missing.is_empty() {
        needs.push(Need::Measure(missing));
    }
    for (i, row) in rows.iter().enumerate() {
        if row.impossible.is_some() {
            needs.push(Need::Impossible(i));
        } else if row.status == RowStatus::NoLimitGiven {
            needs.push(Need::Limit(i));
        } else if guarded(row)
            && row.limit.is_some()
            && !is_beyond(row)
            && row.uncertainty.as_ref().is_some_and(|uncertainty| uncertainty.unknown.any())
        {
            needs.push(Need::Budget(i));
        }
    }
    needs
}

/// Judges a cylinder of a survey, and looks for slips.
///
/// Where readings look wrong, nobody has confirmed them, and what is known would be something else with the
/// readings that were probably meant, the cylinder is not decided until somebody looks again.
pub fn assess(cylinder: &Cylinder, survey: &Survey) -> Assessment {
    let (limits, setup) = (&survey.limits, survey.setup());
    let mut assessment = judge(cylinder, limits, setup);
    assessment.slips = slips::find(cylinder, survey);
    let deciding = deciding(&assessment, cylinder, limits, setup);
    // What a finding condemns stays condemned, whatever the readings.
    if !deciding.is_empty() && !any_of(&assessment.findings, Consequence::Replace) {
        assessment.recommendation = Recommendation::NotDecided;
        assessment.minimum_oversize = None;
        // A slip that explains a contradiction is said alone.
        if !is_contradicted(&assessment, cylinder, &deciding, limits, setup) {
            assessment.needs.retain(|need| !matches!(need, Need::Contradiction(_)));
        }
        assessment.needs.splice(0..0, deciding.into_iter().map(Need::Confirm));
        assessment.reasons = reason::reasons(&assessment);
    }
    assessment
}

/// Does the evidence contradict itself even with the readings that these slips probably meant?
fn is_contradicted(
    assessment: &Assessment,
    cylinder: &Cylinder,
    slips: &[usize],
    limits: &Limits,
    setup: Setup<'_>,
) -> bool {
    let intended = |bore: Bore, slip: &Slip| slip.corrected(&bore).unwrap_or(bore);
    let bore = slips.iter().filter_map(|&i| assessment.slips.get(i)).fold(cylinder.bore.clone(), intended);
    !evidence::contradictions(&Cylinder { bore, ..cylinder.clone() }, limits, setup).is_empty()
}

/// The slips on which the outcome hangs: each that alone would change it; where none does, all of them if
/// together they would, for of two wrong readings each can hide what the other does.
fn deciding(assessment: &Assessment, cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Vec<usize> {
    let differs = |bore: Bore| {
        let corrected = judge(&Cylinder { bore, ..cylinder.clone() }, limits, setup);
        (corrected.recommendation, corrected.minimum_oversize)
            != (assessment.recommendation, assessment.minimum_oversize)
    };
    let (mut guesses, mut deciding) = (Vec::new(), Vec::new());
    for (i, slip) in assessment.slips.iter().enumerate() {
        let Some(corrected) = slip.corrected(&cylinder.bore) else { continue };
        guesses.push(i);
        if differs(corrected) {
            deciding.push(i);
        }
    }
    if deciding.is_empty() && guesses.len() > 1 {
        let mend = |bore: Bore, slip: &Slip| slip.corrected(&bore).unwrap_or(bore);
        if differs(assessment.slips.iter().fold(cylinder.bore.clone(), mend)) {
            return guesses;
        }
    }
    deciding
}

#[cfg(test)]
mod tests;
