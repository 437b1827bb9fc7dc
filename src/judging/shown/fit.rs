//! A fit, or the gap of a ring, in finished words.

use super::{Shown, limit_style};
use crate::fit::FitRow;
use crate::row::RowStatus;
use crate::words::clearance_letter;
use quantities::length::{Length, Mean, Style};
use records::limits::Limits;
use records::limits::resolved::Bound;

/// A pair of parts, or a ring's gap, as it is shown. A clearance has `L` behind it where it is loose and `T` where it is
/// tight; a gap has its sign: a ring that would butt is negative. Numbers are in one unit, which stands beside them or
/// above the column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownFit {
    /// Which row of the assessment it is.
    pub index: usize,
    /// Reference number in the manual.
    pub reference: String,
    /// What fits what.
    pub parts: String,
    /// The least clearance; none where it was not measured.
    pub least: Option<String>,
    /// The greatest one.
    pub most: Option<String>,
    /// Its serviceable limit, with `≤`.
    pub limit: Option<String>,
    /// What is left to it, and on which side of it the greatest one is.
    pub margin: Option<(String, &'static str)>,
    /// What it comes to.
    pub status: RowStatus,
    /// The same in words; of one that is too tight, what may come of it.
    pub status_words: &'static str,
    /// Its limits, in a sentence: as made, serviceable, and where the row stands.
    pub limits: String,
    /// What was measured and what is left, with units, for the end of a sentence.
    pub range: Option<String>,
    /// It is tighter than a new one may be: a sentence.
    pub too_tight: Option<String>,
}

impl ShownFit {
    /// Every pair of parts of the table and then every ring's gap; `style` is how readings are written, in the unit to
    /// show.
    pub fn all(fits: &[FitRow], limits: &Limits, style: Style) -> Vec<Self> {
        // Ring gaps follow the pairs of parts.
        let of = |(i, row)| Self::of(i, row, i >= limits.fits.len(), style);
        fits.iter().enumerate().map(of).collect()
    }

    fn of(index: usize, row: &FitRow, is_gap: bool, style: Style) -> Self {
        let in_unit = |own: Style| if own.unit == style.unit { own } else { style };
        let shown = row.largest.map(|most| Shown::in_digits(most, row.limit.as_ref(), in_unit(row.style)));
        let digits = shown.map_or(in_unit(row.style), |shown| shown.style);
        let lettered = |mean: Mean, with: &dyn Fn(Mean) -> String| match is_gap {
            true => with(mean),
            false => format!("{}{}", with(mean.abs()), clearance_letter(mean)),
        };
        let number = |mean: Mean| lettered(mean, &|mean| mean.number(digits));
        // A limit is loose unless it says otherwise.
        let limit_number = |limit: Length| match limit < Length::ZERO {
            true => number(limit.into()),
            false => limit.number(digits),
        };
        let text = |mean: Mean| lettered(mean.rounded(digits), &|mean| mean.text(digits));
        let bound = |bound: &Bound| {
            let own = limit_style(bound.length, bound.style, in_unit(bound.style));
            lettered(bound.length.into(), &|mean| mean.text(own))
        };
        let range = row.largest.zip(row.smallest).map(|(most, least)| {
            let range = match most == least {
                true => text(most),
                false => format!("{} at the least, {} at the most", text(least), text(most)),
            };
            let left = shown.and_then(Shown::left_words).map_or(String::new(), |left| format!(", {left}"));
            format!("{range}{left}")
        });
        let serviceable = row.limit.as_ref().map_or_else(
            || "no serviceable limit given".to_owned(),
            |limit| format!("serviceable {}", bound(limit)),
        );
        let source = row.source.words(None);
        let source = if source.is_empty() { source } else { format!(", {source}") };
        Self {
            index,
            reference: row.source.reference.clone(),
            parts: format!("{}{}", row.description, if is_gap { ", gap" } else { "" }),
            least: row.smallest.map(number),
            most: row.largest.map(number),
            limit: row.limit.as_ref().map(|limit| format!("≤ {}", limit_number(limit.length))),
            margin: shown.and_then(Shown::left),
            status: row.status,
            status_words: if row.too_tight { "too tight: it may seize" } else { row.status.words() },
            limits: format!("as made {} to {}, {serviceable}{source}", bound(&row.new.0), bound(&row.new.1)),
            range,
            too_tight: row
                .too_tight
                .then(|| format!("Tighter than the as-made minimum of {}: it may seize.", bound(&row.new.0))),
        }
    }
}
