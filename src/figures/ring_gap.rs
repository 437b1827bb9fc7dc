//! Ring gap along the bore: a ring's gap changes by pi times the change of the diameter it sits in.

use super::{Scope, at_station};
use crate::bore::Bore;
use crate::length::{Length, Mean};

/// The gap that a ring would have in a bore `diameter_change` larger, in millimetres.
pub fn change_mm(diameter_change_mm: f64) -> f64 {
    std::f64::consts::PI * diameter_change_mm
}

/// The gap at a station, from the gap measured at another; `None` unless both are measured.
///
/// A ring sits in the mean of a station's diameters. The result is rounded to a tenth of a nanometre.
pub fn at(bore: &Bore, gap: Length, taken_at: usize, station: usize) -> Option<Mean> {
    let mean = |station| Mean::of(at_station(bore, station).map(|(_, mean)| mean));
    let change = mean(station)? - mean(taken_at)?;
    if change == Length::ZERO {
        return Some(gap.into());
    }
    Length::from_mm(change_mm(change.to_mm())).map(|change| Mean::from(gap + change))
}

/// The greatest and the least gap along the bore, from the gap measured at one station.
pub fn extremes(bore: &Bore, gap: Length, taken_at: usize, scope: &Scope<'_>) -> Option<(Mean, Mean)> {
    let along = || scope.stations.iter().filter_map(|&station| at(bore, gap, taken_at, station));
    Some((along().max()?, along().min()?))
}
