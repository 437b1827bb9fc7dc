//! Which limit is reached first: the figure to show where nobody has asked for another.
//!
//! Every row of the table that has a limit takes part, by the line that leads: the engine's common line where no
//! cylinder stands out, else the cylinder's own. A limit that is passed comes before all others. Single stations
//! and points do not take part; the bore row judges them all.

use super::figure::Figure;
use super::trend::Trend;
use crate::wording::capitalised;

/// The figure whose limit is reached first.
#[derive(Clone, Debug, PartialEq)]
pub struct First {
    /// The figure.
    pub figure: Figure,
    /// Why it is shown, in a sentence.
    pub why: String,
}

/// The first of some trends, each with the position of its cylinder; the earlier one where two are reached at once.
/// None without a row.
pub fn first<'a>(trends: impl IntoIterator<Item = (&'a str, &'a Trend)>) -> Option<First> {
    let mut any: Option<&Figure> = None;
    let mut soonest: Option<(f64, &str, &Trend)> = None;
    for (position, trend) in trends.into_iter().filter(|(_, trend)| trend.figure.is_row()) {
        any = any.or(Some(&trend.figure));
        if let Some(after) = trend.reached_after()
            && soonest.is_none_or(|(soonest, ..)| after < soonest)
        {
            soonest = Some((after, position, trend));
        }
    }
    let Some((after, position, trend)) = soonest else {
        let why = "As far as the surveys tell, no limit is being approached.".to_owned();
        return Some(First { figure: any?.clone(), why });
    };
    let (words, serial) = (capitalised(&trend.figure.words()), &trend.serial);
    let why = if after.is_finite() {
        let after = trend.time.text(after);
        format!("{words} reaches its limit first: {serial} (position {position}), after a further {after}.")
    } else {
        format!("{words} is past its limit: {serial} (position {position}).")
    };
    Some(First { figure: trend.figure.clone(), why })
}
