//! A row of the table in finished words: every screen, page and line shows these and only lays them out.

use crate::reason::{self, figure_place};
use crate::row::{Row, RowStatus};
use crate::shown::{Shown, limit_style};
use crate::words::{expanded_text, within_words};
use quantities::length::Style;
use records::limits::Limits;
use records::limits::resolved::Bound;

/// A row as it is shown. Numbers are in one unit, which stands beside them or above the column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownRow {
    /// Its name.
    pub name: &'static str,
    /// Where its figure was read; empty without one.
    pub place: String,
    /// Its figure; `≥` before one that can still grow with the readings that are missing.
    pub figure: Option<String>,
    /// Its as-made limits.
    pub new: Option<String>,
    /// Its serviceable limit, with `≤` or `≥`.
    pub limit: Option<String>,
    /// The number of what is left to its limit, and on which side of it the figure is.
    pub margin: Option<(String, &'static str)>,
    /// Its expanded uncertainty for 95 %.
    pub expanded: Option<String>,
    /// The chance that the true value is within the limit; a dash if there is none to tell.
    pub chance: String,
    /// What it comes to.
    pub status: RowStatus,
    /// The same in words.
    pub status_words: String,
    /// Where it stands in the manual.
    pub source: String,
}

impl ShownRow {
    /// A row; `style` is how readings are written, in the unit to show.
    pub fn of(row: &Row, limits: &Limits, style: Style) -> Self {
        let shown = reason::shown(row, style);
        let digits = shown.map_or(style, |shown| shown.style);
        let bound = |bound: &Bound| bound.length.number(limit_style(bound.length, bound.style, digits));
        let new = match &row.new {
            (Some(least), Some(most)) => Some(format!("{} to {}", bound(least), bound(most))),
            (None, Some(most)) => Some(format!("≤ {}", bound(most))),
            (Some(least), None) => Some(format!("≥ {}", bound(least))),
            (None, None) => None,
        };
        let limit = row.limit.as_ref().map(|limit| {
            let number = shown.and_then(Shown::limit_number).unwrap_or_else(|| bound(limit));
            format!("{} {number}", row.side.sign())
        });
        Self {
            name: row.kind.words(),
            place: row.figure.as_ref().map_or(String::new(), |figure| figure_place(figure, limits)),
            figure: shown.map(|shown| {
                let number = shown.value.number(shown.style);
                if row.missing.is_empty() { number } else { format!("≥ {number}") }
            }),
            new,
            limit,
            margin: reason::margin(row, style),
            expanded: row.uncertainty.as_ref().map(|uncertainty| expanded_text(&uncertainty.budget, style)),
            chance: within_words(row),
            status: row.status,
            status_words: match row.in_guard_band {
                true => format!("{}, in the guard band", row.status.words()),
                false => row.status.words().to_owned(),
            },
            source: row.source.words(row.limit.as_ref()),
        }
    }
}
