//! What is shown of a judgement, as plain data in finished words: a row, an oversize, a fit, a reading that looks wrong,
//! the recommendation with its reasons. The command line, the window and the report only lay it out.
//!
//! A value, its limit and what is left are in one unit and rounded alike, so that they add up to the last digit on every
//! screen, page and line.
//!
//! Judging compares exact lengths; here is only how they are written. What is left is the difference of what is
//! shown: each rounded for itself, 0.000275 and 0.001225 would be shown to make 0.0015 by 0.00028 and 0.00123.

mod fit;
mod outcome;
pub(crate) mod oversize;
mod row;
mod slip;

pub use fit::ShownFit;
pub use outcome::{ShownOutcome, ShownReason};
pub use oversize::ShownOversize;
pub use row::ShownRow;
pub use slip::ShownSlip;

use quantities::length::{Length, Mean, Style};
use records::limits::resolved::Bound;

/// How a figure is shown: as its readings were written, with one digit more where that shows something, as it does
/// for most means.
pub fn figure_style(value: Mean, style: Style) -> Style {
    let finer = Style { decimals: style.decimals.saturating_add(1), ..style };
    if value.rounded(style) == value.rounded(finer) { style } else { finer }
}

/// More digits where the usual ones would hide on which side of the limit a value is.
pub fn clear_style(value: Mean, limit: Length, style: Style) -> Style {
    let limit = Mean::from(limit);
    let mut clear = style;
    let extra = style.decimals..=style.decimals.saturating_add(4);
    for decimals in extra {
        clear.decimals = decimals;
        if value.rounded(clear).cmp(&limit.rounded(clear)) == value.cmp(&limit) {
            break;
        }
    }
    clear
}

/// How a limit is shown beside figures: as the table writes it, in the figures' unit. In the other unit it has all its
/// digits, if they have an end there: with fewer it would be another limit.
pub fn limit_style(limit: Length, own: Style, figures: Style) -> Style {
    if own.unit == figures.unit && Mean::from(limit).rounded(own) == limit {
        return own;
    }
    let decimals = limit.exact_decimals(figures.unit).unwrap_or(figures.unit.usual_decimals());
    Style { unit: figures.unit, decimals: decimals.max(figures.decimals) }
}

/// A value beside its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The unit of all of them, and the digits of the value and of what is left.
    pub style: Style,
    /// The value, rounded to what is shown.
    pub value: Mean,
    /// The limit, rounded to what is shown, and its own digits, which may be fewer.
    limit: Option<(Mean, Style)>,
}

impl Shown {
    /// A figure beside its limit, if it has one; `style` is how readings are written, in the unit to show.
    pub fn new(value: Mean, limit: Option<&Bound>, style: Style) -> Self {
        Self::in_digits(value, limit, figure_style(value, style))
    }

    /// The same without a further digit for a value that does not end, such as a clearance or a ring's gap, which no
    /// feeler tells so finely.
    pub fn in_digits(value: Mean, limit: Option<&Bound>, mut style: Style) -> Self {
        let Some(Bound { length, style: own, .. }) = limit else {
            return Self { style, value: value.rounded(style), limit: None };
        };
        style.decimals = style.decimals.max(limit_style(*length, *own, style).decimals);
        style = clear_style(value, *length, style);
        let limit = (Mean::from(*length).rounded(style), limit_style(*length, *own, style));
        Self { style, value: value.rounded(style), limit: Some(limit) }
    }

    /// The limit with its unit.
    pub fn limit_text(self) -> Option<String> {
        self.limit.map(|(limit, style)| limit.text(style))
    }

    /// The limit without its unit.
    pub fn limit_number(self) -> Option<String> {
        self.limit.map(|(limit, style)| limit.number(style))
    }

    /// How far the value is below its limit; negative above it.
    pub fn below_limit(self) -> Option<Mean> {
        self.limit.map(|(limit, _)| limit - self.value)
    }

    /// How far the value is below its greatest limit or over it, without the unit, and which of them.
    pub fn left(self) -> Option<(String, &'static str)> {
        let below = self.below_limit()?;
        Some((below.abs().number(self.style), if below.is_negative() { "over" } else { "left" }))
    }

    /// `0.0007 in left` or `0.0003 in over`, of a greatest limit.
    pub fn left_words(self) -> Option<String> {
        let (number, side) = self.left()?;
        Some(format!("{number} {} {side}", self.style.unit))
    }
}
