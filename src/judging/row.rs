//! One row of the table of limits against one barrel: its figure, its limit, and what that comes to.
//!
//! A figure exactly on a limit is within it; only beyond it is beyond (common practice). A missing reading is
//! never a pass, and neither is a limit that the table leaves blank; but a figure that can only grow with the
//! readings still missing, and is beyond already, is said to be beyond at once.

use std::borrow::Cow;
use std::cmp::Ordering;

use figures::certainty::budget::Budget;
use figures::certainty::conformity;
use figures::certainty::measured::{self, Unknown};
use figures::{Figure, Impossible, diameter};
use quantities::length::{Length, Mean};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::{Bound, RowSource, SizeRow};
use records::limits::rows::{RowKind, RowLimits, Side};
use records::limits::schema::{DecisionRule, JudgedOn, WhenBeyond};
use records::survey::{Cylinder, Setup};

impl Row {
    /// Its figure with its sign, where its limit is one of a magnitude and its rule gives it a sign: positive is larger
    /// at the head end.
    pub fn signed(&self) -> Option<Mean> {
        let has_sign = self.side == Side::Either && self.kind.has_sign();
        self.figure.as_ref().filter(|_| has_sign).map(Figure::signed)
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

fn judge(row: Cow<'_, RowLimits>, cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Row {
    let decision = limits.decision;
    let partial = match row.side {
        Side::Either => figures::of_row(&cylinder.bore, limits, &row).map(Figure::magnitude),
        Side::AtMost | Side::AtLeast => figures::of_row(&cylinder.bore, limits, &row),
    };
    let worst_point = match row.kind {
        RowKind::Bore(JudgedOn::Average) => {
            diameter::largest_diameter(&cylinder.bore, &limits.bore_scope()).into_figure()
        }
        _ => None,
    };
    let RowLimits { kind, side, over: _, new, limit, when_beyond, source } = row.into_owned();
    let (impossible, missing) = (partial.impossible(), partial.missing().to_vec());
    let figure = partial.into_figure();
    let uncertainty = figure.as_ref().map(|figure| {
        let budget = measured::budget(setup, &cylinder.bore, figure);
        let spread = budget.spread();
        let probability_within = limit.as_ref().map(|limit| {
            let (value, limit) = (figure.value.to_mm(), limit.length.to_mm());
            match side {
                Side::AtMost => conformity::at_most(value, budget.u_mm, spread, limit),
                Side::Either => conformity::between(value, budget.u_mm, spread, -limit, limit),
                Side::AtLeast => conformity::at_least(value, budget.u_mm, spread, limit),
            }
        });
        let guard_band = match (side, &limit) {
            (Side::Either, Some(limit)) => {
                conformity::guard_band_of_magnitude(budget.u_mm, spread, limit.length.to_mm())
            }
            _ => conformity::guard_band(budget.u_mm, spread),
        };
        let guard_band = Length::from_mm(guard_band).unwrap_or(Length::ZERO);
        let unknown = measured::unknown(setup, &cylinder.bore, figure);
        RowUncertainty { budget, probability_within, guard_band, unknown }
    });
    let margin = figure.as_ref().zip(limit.as_ref()).map(|(figure, limit)| match side {
        Side::AtMost | Side::Either => Mean::from(limit.length) - figure.value,
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
        Side::AtMost | Side::Either => inside(&new.1, Ordering::Greater) == Some(true),
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
    figure_guard(cylinder, &Figure::of_cell(at, value), limits, setup)
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

/// Every row of the table against a cylinder, in the order of the table. Without a row for the cylinder's size there is
/// no bore row.
pub fn rows(cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Vec<Row> {
    limits.rows(cylinder.size).map(|row| judge(row, cylinder, limits, setup)).collect()
}
