//! Which limit is reached first: the figure to show where nobody has asked for another.
//!
//! Every row of the table that has a limit takes part, by the line that leads: the engine's common line where no
//! cylinder stands out, else the cylinder's own. A limit that is passed comes before all others. Single stations
//! and points do not take part; the bore row judges them all.

use super::figure::Figure;
use super::trend::Trend;
use records::wording::capitalised;

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
        // What reads beyond its limit comes before what only the line has carried beyond.
        let after =
            trend.reached_after().map(|after| if trend.is_beyond() { after } else { after.max(f64::MIN) });
        if let Some(after) = after
            && soonest.is_none_or(|(soonest, ..)| after < soonest)
        {
            soonest = Some((after, position, trend));
        }
    }
    let Some((after, position, trend)) = soonest else {
        let why = "As far as the surveys tell, no limit is being approached.".to_owned();
        return Some(First { figure: any?.clone(), why });
    };
    let words = capitalised(&trend.figure.words());
    let who = format!("{} (position {position})", trend.serial);
    let why = if trend.is_beyond() {
        format!("{words} is past its limit: {who}.")
    } else if after < 0.0 {
        format!("{words} is past its limit by the line through the surveys, though not by the latest: {who}.")
    } else {
        format!("{words} reaches its limit first: {who}, after a further {}.", trend.time.text(after))
    };
    Some(First { figure: trend.figure.clone(), why })
}
