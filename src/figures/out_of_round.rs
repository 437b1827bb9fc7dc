//! Out-of-round, on the diameter: twice the radial roundness of ISO 12181 for an oval.

use super::{Figure, Gathered, Scope, at_station, largest, on_axis, range, smallest, worst};
use crate::bore::Bore;
use crate::limits::schema::OutOfRoundRule;

/// Out-of-round of one station: largest minus smallest of its axes; `None` with fewer than two axes.
pub fn at(bore: &Bore, station: usize) -> Option<Figure> {
    let cells: Vec<_> = at_station(bore, station).collect();
    if cells.len() < 2 { None } else { range(cells.iter().copied()) }
}

/// Out-of-round of the barrel under a rule. Further readings can only enlarge it.
pub fn out_of_round(bore: &Bore, rule: OutOfRoundRule, scope: &Scope<'_>) -> Gathered {
    let figure = match rule {
        OutOfRoundRule::PerStation => worst(scope.stations.iter().filter_map(|&station| at(bore, station))),
        OutOfRoundRule::AcrossStations => across_stations(bore, scope),
    };
    Gathered { figure, missing: scope.missing(bore) }
}

/// One axis's largest minus another axis's smallest, whichever pair differs most.
fn across_stations(bore: &Bore, scope: &Scope<'_>) -> Option<Figure> {
    let axes = 0..bore.axes();
    worst(axes.clone().flat_map(|a| axes.clone().map(move |b| (a, b))).filter(|(a, b)| a != b).filter_map(
        |(a, b)| {
            let (high_at, high) = largest(on_axis(bore, scope.stations, a))?;
            let (low_at, low) = smallest(on_axis(bore, scope.stations, b))?;
            Some(Figure::of_cell(high_at, high).minus(Figure::of_cell(low_at, low)))
        },
    ))
}
