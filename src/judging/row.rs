//! One row of the table of limits against one barrel: its figure, its limit, and what that comes to.
//!
//! A figure exactly on a limit is within it; only beyond it is beyond (common practice). A missing reading is
//! never a pass, and neither is a limit that the table leaves blank; but a figure that can only grow with the
//! readings still missing, and is beyond already, is said to be beyond at once.

use std::cmp::Ordering;

use figures::certainty::budget::Budget;
use figures::certainty::conformity;
use figures::certainty::measured::{self, Unknown};
use figures::{Figure, Impossible, PartialFigure, Term, choke, diameter, out_of_round, step, taper};
use quantities::length::{Length, Mean};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::{Bound, Greatest, RowSource, SizeRow};
use records::limits::schema::{DecisionRule, JudgedOn, OutOfRoundRule, RowName, TaperRule, WhenBeyond};
use records::survey::{Cylinder, Setup};

/// Which row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RowKind {
    /// The bore's diameter.
    Bore(JudgedOn),
    /// Taper, under a rule.
    Taper(TaperRule),
    /// Out-of-round, under a rule.
    OutOfRound(OutOfRoundRule),
    /// Choke.
    Choke,
    /// Step (ridge).
    Step,
}

impl RowKind {
    /// Which row of the table it is.
    pub fn name(self) -> RowName {
        match self {
            Self::Bore(_) => RowName::Bore,
            Self::Taper(_) => RowName::Taper,
            Self::OutOfRound(_) => RowName::OutOfRound,
            Self::Choke => RowName::Choke,
            Self::Step => RowName::Step,
        }
    }

    /// Its name in words.
    pub fn words(self) -> &'static str {
        self.name().words()
    }
}

/// What a row comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowStatus {
    /// Within the as-made limits.
    WithinNew,
    /// Within the serviceable limit.
    WithinServiceable,
    /// The table gives no serviceable limit, and it is not within the as-made ones: no pass.
    NoLimitGiven,
    /// A reading it needs is missing: no pass.
    NotMeasured,
    /// Beyond the serviceable limit.
    Beyond,
}

impl RowStatus {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::WithinNew => "within new",
            Self::WithinServiceable => "within serviceable",
            Self::NoLimitGiven => "no limit given",
            Self::NotMeasured => "not measured",
            Self::Beyond => "beyond",
        }
    }
}

/// How sure a row is.
#[derive(Clone, Debug, PartialEq)]
pub struct RowUncertainty {
    /// The budget of its figure.
    pub budget: Budget,
    /// The probability that the true value is within the serviceable limit (JCGM 106); none without a limit.
    pub probability_within: Option<f64>,
    /// How far inside the limit a figure must be under guarded acceptance.
    pub guard_band: Length,
    /// What the budget leaves out: then it is less sure than it says.
    pub unknown: Unknown,
}

/// A row judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Which row.
    pub kind: RowKind,
    /// Which side of its limit is within.
    pub side: Side,
    /// What it comes to.
    pub status: RowStatus,
    /// Its figure: a magnitude for taper; the least it can be if readings are missing.
    pub figure: Option<Figure>,
    /// The taper with its sign, under a rule that gives it one: positive is larger at the head end.
    pub signed: Option<Mean>,
    /// Its figure as read, where bringing the readings to 20 °C made it another one.
    pub as_read: Option<Mean>,
    /// The worst single point, where the row is judged on the average.
    pub worst_point: Option<Figure>,
    /// The as-made limits: least and greatest.
    pub new: (Option<Bound>, Option<Bound>),
    /// The serviceable limit.
    pub limit: Option<Bound>,
    /// Distance to the serviceable limit: positive is left, negative is over.
    pub margin: Option<Mean>,
    /// Within the limit as read, but not by the guard band that the table asks for.
    pub in_guard_band: bool,
    /// Readings it still needs.
    pub missing: Vec<Point>,
    /// Why no reading gives its figure: no pass, and the table has to be put right.
    pub impossible: Option<Impossible>,
    /// What follows when it is beyond.
    pub when_beyond: WhenBeyond,
    /// How sure it is; none without a figure.
    pub uncertainty: Option<RowUncertainty>,
    /// Where it stands in the manual.
    pub source: RowSource,
}

/// Which side of a limit is within.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The limit is the greatest that may be.
    AtMost,
    /// The same on both sides of zero: the figure is a magnitude, and its true value may have either sign.
    Magnitude,
    /// The limit is the least that may remain.
    AtLeast,
}

impl Side {
    /// What stands before the limit: `≤` or `≥`.
    pub fn sign(self) -> &'static str {
        if self == Self::AtLeast { "≥" } else { "≤" }
    }

    /// Which way it holds: `at most` or `at least`.
    pub fn words(self) -> &'static str {
        if self == Self::AtLeast { "at least" } else { "at most" }
    }

    /// What the serviceable limit is called in a sentence.
    pub fn limit_words(self) -> &'static str {
        if self == Self::AtLeast { "least that may remain," } else { "serviceable" }
    }

    /// Where a figure beyond the limit lies: `over` or `under` it.
    pub fn beyond_words(self) -> &'static str {
        if self == Self::AtLeast { "under" } else { "over" }
    }

    /// Is a true value within the limit?
    pub fn is_within(self, value: f64, limit: f64) -> bool {
        match self {
            Self::AtMost => value <= limit,
            Self::Magnitude => value.abs() <= limit,
            Self::AtLeast => value >= limit,
        }
    }
}

/// Everything about a row but its verdict.
struct RowInput {
    kind: RowKind,
    figure: PartialFigure,
    signed: Option<Mean>,
    worst_point: Option<Figure>,
    new: (Option<Bound>, Option<Bound>),
    limit: Option<Bound>,
    side: Side,
    when_beyond: WhenBeyond,
    source: RowSource,
}

fn judge(input: RowInput, cylinder: &Cylinder, decision: DecisionRule, setup: Setup<'_>) -> Row {
    let RowInput { kind, figure: partial, signed, worst_point, new, limit, side, when_beyond, source } =
        input;
    let (impossible, missing) = (partial.impossible(), partial.missing().to_vec());
    let figure = partial.into_figure();
    let uncertainty = figure.as_ref().map(|figure| {
        let budget = measured::budget(setup, &cylinder.bore, figure);
        let spread = budget.spread();
        let probability_within = limit.as_ref().map(|limit| {
            let (value, limit) = (figure.value.to_mm(), limit.length.to_mm());
            match side {
                Side::AtMost => conformity::at_most(value, budget.u_mm, spread, limit),
                Side::Magnitude => conformity::between(value, budget.u_mm, spread, -limit, limit),
                Side::AtLeast => conformity::at_least(value, budget.u_mm, spread, limit),
            }
        });
        let guard_band = match (side, &limit) {
            (Side::Magnitude, Some(limit)) => {
                conformity::guard_band_of_magnitude(budget.u_mm, spread, limit.length.to_mm())
            }
            _ => conformity::guard_band(budget.u_mm, spread),
        };
        let guard_band = Length::from_mm(guard_band).unwrap_or(Length::ZERO);
        let unknown = measured::unknown(setup, &cylinder.bore, figure);
        RowUncertainty { budget, probability_within, guard_band, unknown }
    });
    let margin = figure.as_ref().zip(limit.as_ref()).map(|(figure, limit)| match side {
        Side::AtMost | Side::Magnitude => Mean::from(limit.length) - figure.value,
        Side::AtLeast => figure.value - limit.length.into(),
    });
    let guard = match (decision, &uncertainty) {
        (DecisionRule::Guarded, Some(uncertainty)) => uncertainty.guard_band,
        _ => Length::ZERO,
    };
    let inside = |bound: &Option<Bound>, beyond: Ordering| {
        let (figure, bound) = (figure.as_ref()?, bound.as_ref()?);
        Some(figure.value.cmp(&bound.length.into()) != beyond)
    };
    let within_new = match side {
        Side::AtMost | Side::Magnitude => inside(&new.1, Ordering::Greater) == Some(true),
        Side::AtLeast => {
            inside(&new.0, Ordering::Less) == Some(true) && inside(&new.1, Ordering::Greater) != Some(false)
        }
    };
    let beyond = margin.is_some_and(|margin| margin < guard);
    let status = match (&figure, beyond) {
        (Some(_), true) => RowStatus::Beyond,
        (None, _) => RowStatus::NotMeasured,
        _ if !missing.is_empty() => RowStatus::NotMeasured,
        _ if within_new => RowStatus::WithinNew,
        _ if limit.is_some() => RowStatus::WithinServiceable,
        _ => RowStatus::NoLimitGiven,
    };
    Row {
        kind,
        side,
        status,
        as_read: figure
            .as_ref()
            .filter(|_| setup.conditions.is_some())
            .and_then(|f| f.as_read(&cylinder.bore)),
        in_guard_band: beyond && margin.is_some_and(|margin| margin >= Length::ZERO),
        figure,
        signed,
        worst_point,
        new,
        limit,
        margin,
        missing,
        impossible,
        when_beyond,
        uncertainty,
        source,
    }
}

/// How far inside its limit a figure must lie under the table's decision rule: nothing under simple acceptance.
pub fn figure_guard(cylinder: &Cylinder, figure: &Figure, limits: &Limits, setup: Setup<'_>) -> Length {
    if limits.decision != DecisionRule::Guarded {
        return Length::ZERO;
    }
    let budget = measured::budget(setup, &cylinder.bore, figure);
    Length::from_mm(conformity::guard_band(budget.u_mm, budget.spread())).unwrap_or(Length::ZERO)
}

/// [`figure_guard`] of the mean at a place; nothing where nothing was measured. A place without readings is taken to be as sure as the first that
/// has some.
pub fn point_guard(cylinder: &Cylinder, at: Point, limits: &Limits, setup: Setup<'_>) -> Length {
    let bore = &cylinder.bore;
    let measured = bore.mean(at).map(|mean| (at, mean));
    let Some((at, value)) = measured.or_else(|| bore.measured().next().map(|(at, cell)| (at, cell.mean())))
    else {
        return Length::ZERO;
    };
    figure_guard(cylinder, &Figure { value, terms: vec![Term { at, weight: 1.0 }] }, limits, setup)
}

/// What a single diameter comes to against a size's row, with a guard band inside its serviceable limit
/// ([`point_guard`]). Without one, a figure on its limit is within it.
pub fn point_status(diameter: Mean, row: &SizeRow, guard: Length) -> RowStatus {
    let margin = row.serviceable.as_ref().map(|limit| Mean::from(limit.length) - diameter);
    match margin {
        Some(margin) if margin < guard => RowStatus::Beyond,
        _ if diameter <= row.new.1.length => RowStatus::WithinNew,
        None => RowStatus::NoLimitGiven,
        Some(_) => RowStatus::WithinServiceable,
    }
}

/// A row that limits a magnitude.
fn greatest<Rule>(kind: RowKind, figure: PartialFigure, row: &Greatest<Rule>) -> RowInput {
    RowInput {
        kind,
        figure,
        signed: None,
        worst_point: None,
        new: (None, row.new.clone()),
        limit: row.serviceable.clone(),
        side: Side::Magnitude,
        when_beyond: row.when_beyond,
        source: row.source.clone(),
    }
}

/// Every row of the table against a cylinder, in the order of the table: bore, taper, out-of-round, choke,
/// step. Without a row for the cylinder's size there is no bore row.
pub fn rows(cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Vec<Row> {
    let bore = &cylinder.bore;
    let mut rows = Vec::with_capacity(5);
    let mut add = |input| rows.push(judge(input, cylinder, limits.decision, setup));
    if let Some(row) = cylinder.size.and_then(|size| limits.sizes.get(size)) {
        let scope = limits.bore_scope();
        let largest = diameter::largest_diameter(bore, &scope);
        let (figure, worst_point) = match limits.bore_judged_on {
            JudgedOn::EveryPoint => (largest, None),
            JudgedOn::Average => (diameter::average_diameter(bore, &scope), largest.into_figure()),
        };
        add(RowInput {
            kind: RowKind::Bore(limits.bore_judged_on),
            figure,
            signed: None,
            worst_point,
            new: (Some(row.new.0.clone()), Some(row.new.1.clone())),
            limit: row.serviceable.clone(),
            side: Side::AtMost,
            when_beyond: WhenBeyond::Rebore,
            source: row.source.clone(),
        });
    }
    if let Some(row) = &limits.taper {
        let taper = taper::taper(bore, row.rule, &limits.scope(&row.stations));
        let signed = taper.figure().filter(|_| row.rule.is_of_ends()).map(|figure| figure.value);
        let kind = RowKind::Taper(row.rule);
        add(RowInput { signed, ..greatest(kind, taper.map(Figure::magnitude), row) });
    }
    if let Some(row) = &limits.out_of_round {
        let figure = out_of_round::out_of_round(bore, row.rule, &limits.scope(&row.stations));
        add(greatest(RowKind::OutOfRound(row.rule), figure, row));
    }
    if let Some(row) = &limits.choke {
        add(RowInput {
            kind: RowKind::Choke,
            figure: choke::choke(bore, &limits.scope(&row.head), &limits.scope(&row.base)),
            signed: None,
            worst_point: None,
            new: row.new.clone().map_or((None, None), |(least, most)| (Some(least), Some(most))),
            limit: row.least.clone(),
            side: Side::AtLeast,
            when_beyond: row.when_beyond,
            source: row.source.clone(),
        });
    }
    if let Some(row) = &limits.step {
        add(RowInput {
            kind: RowKind::Step,
            figure: step::step(bore, row.above, row.top, &limits.required_axes),
            signed: None,
            worst_point: None,
            new: (None, None),
            limit: row.serviceable.clone(),
            side: Side::AtMost,
            when_beyond: row.when_beyond,
            source: row.source.clone(),
        });
    }
    rows
}
