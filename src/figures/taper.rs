//! Taper: positive is larger at the head end. Published documents use at least five rules, and they do not
//! agree, so the rule is named in the table of limits and printed wherever the figure is.

use super::{Figure, Gathered, Scope, at_station, largest, on_axis, range, smallest, worst};
use crate::bore::Bore;
use crate::limits::schema::TaperRule;

impl TaperRule {
    /// Every rule.
    pub const ALL: [Self; 5] = [
        Self::AxisAverages,
        Self::PerAxisEnds,
        Self::LargestTopSmallestBottom,
        Self::PerAxisRange,
        Self::AllReadings,
    ];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AxisAverages => "axis-averaged top minus axis-averaged bottom",
            Self::PerAxisEnds => "per axis, top minus bottom, larger magnitude counts",
            Self::LargestTopSmallestBottom => "largest top minus smallest bottom",
            Self::PerAxisRange => "per axis, largest minus smallest over all stations",
            Self::AllReadings => "largest minus smallest of all readings",
        }
    }
}

/// The taper of a barrel under a rule, with its sign. The top is the scope's first station, the bottom its
/// last; with fewer than two stations there is no taper.
///
/// Before everything is measured, only the two rules that take a range can give a lower bound.
pub fn taper(bore: &Bore, rule: TaperRule, scope: &Scope<'_>) -> Gathered {
    let missing = scope.missing(bore);
    let (Some(&top), Some(&bottom)) = (scope.stations.first(), scope.stations.last()) else {
        return Gathered::default();
    };
    if top == bottom {
        return Gathered { figure: None, missing };
    }
    let ends = [top, bottom];
    let figure = match rule {
        TaperRule::PerAxisRange => {
            return Gathered {
                figure: worst(
                    (0..bore.axes()).filter_map(|axis| axis_range(on_axis(bore, scope.stations, axis))),
                ),
                missing,
            };
        }
        TaperRule::AllReadings => {
            let cells: Vec<_> = scope.measured(bore).collect();
            return Gathered { figure: axis_range(cells.iter().copied()), missing };
        }
        TaperRule::AxisAverages => {
            let end = |station| Scope { stations: &[station], ..scope.clone() }.average(bore);
            end(top).zip(end(bottom)).map(|(top, bottom)| top.minus(bottom))
        }
        TaperRule::PerAxisEnds => (0..bore.axes())
            .filter_map(|axis| end_to_end(bore, &ends, axis))
            .reduce(|worst, taper| if taper.value.abs() > worst.value.abs() { taper } else { worst }),
        TaperRule::LargestTopSmallestBottom => {
            let high = largest(at_station(bore, top));
            let low = smallest(at_station(bore, bottom));
            high.zip(low).map(|((at, high), (below, low))| {
                Figure::of_cell(at, high).minus(Figure::of_cell(below, low))
            })
        }
    };
    // Only the ends are needed here; without them the sign itself could still change.
    let missing = Scope { stations: &ends, ..scope.clone() }.missing(bore);
    Gathered { figure: if missing.is_empty() { figure } else { None }, missing }
}

/// Top minus bottom on one axis.
pub fn end_to_end(bore: &Bore, ends: &[usize; 2], axis: usize) -> Option<Figure> {
    let mut cells = on_axis(bore, ends, axis);
    let (top, bottom) = (cells.next()?, cells.next()?);
    Some(Figure::of_cell(top.0, top.1).minus(Figure::of_cell(bottom.0, bottom.1)))
}

/// Largest minus smallest; `None` for a single cell, which has no range.
fn axis_range(
    cells: impl Iterator<Item = (crate::bore::Point, crate::length::Mean)> + Clone,
) -> Option<Figure> {
    if cells.clone().nth(1).is_none() { None } else { range(cells) }
}
