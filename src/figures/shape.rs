//! Shape: what a barrel looks like as a whole, by least squares of its diameters over depth and angle.
//!
//! D(t, a) = mean + taper t/2 + bow (1/3 - t²) + oval(a), in millimetres on the diameter, where t runs from
//! +1 at the measured station nearest the head to -1 at the one nearest the base:
//!
//! - mean: the mean size over the measured length;
//! - taper: head end minus base end, positive where the head end is larger;
//! - bow: the middle minus the mean of the two ends. *Barrelled* is larger in the middle than at either end,
//!   *waisted* is smaller in the middle than at either end;
//! - oval: as in [`super::ovality`]. Two directions show only the difference between them, which is then
//!   fitted in its place;
//! - residual: the standard deviation of what none of these explains.
//!
//! A term that the measured cells cannot tell from the others is left out and listed. The shape is for words
//! and for looking at; nothing is judged by it.

use std::borrow::Cow;

use super::{least_squares, ovality};
use records::bore::{Bore, Scope};
use records::limits::Limits;

/// One diameter with its place on the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Index of the station, counted from the head end.
    pub station: usize,
    /// Its depth in millimetres, from either end.
    pub depth_mm: f64,
    /// Direction in degrees.
    pub degrees: f64,
    /// Diameter in millimetres.
    pub diameter_mm: f64,
}

/// The measured cells of some stations, on any axis.
pub fn samples(bore: &Bore, limits: &Limits, scope: &Scope<'_>) -> Vec<Sample> {
    scope
        .measured(bore)
        .filter_map(|(at, mean)| {
            Some(Sample {
                station: at.station,
                depth_mm: limits.stations.get(at.station)?.depth.to_mm(),
                degrees: limits.axes.get(at.axis)?.degrees,
                diameter_mm: mean.to_mm(),
            })
        })
        .collect()
}

/// A term of the shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Term {
    /// Taper.
    Taper,
    /// Bow.
    Bow,
    /// Ovality.
    Ovality,
}

impl Term {
    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Taper => "taper",
            Self::Bow => "bow",
            Self::Ovality => "ovality",
        }
    }
}

/// The oval part of a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oval {
    /// Largest minus smallest diameter, in millimetres; never negative.
    pub ovality_mm: f64,
    /// Direction of the largest diameter in degrees, from 0 to below 180.
    pub degrees: f64,
    /// All of it; otherwise it is the difference between two directions, and the oval is at least so large.
    pub whole: bool,
}

/// How far the station nearest the base stands out, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Flare {
    /// Its mean diameter minus the largest of the other stations'.
    over_others: f64,
    /// The largest minus the smallest of the other stations'.
    others_range: f64,
}

/// The fitted shape of a barrel, in millimetres on the diameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Mean size over the measured length; the plain mean where that cannot be told.
    pub mean_mm: f64,
    /// Head end minus base end over the measured length: positive is larger at the head end.
    pub taper_mm: Option<f64>,
    /// Middle minus the mean of the ends: positive is larger in the middle.
    pub bow_mm: Option<f64>,
    /// The oval part.
    pub oval: Option<Oval>,
    /// Standard deviation of what is left over; `None` if every cell is needed for the fit.
    pub residual_mm: Option<f64>,
    /// Terms that the measured cells cannot determine. An oval between two axes is listed though part of it is
    /// seen.
    pub not_determined: Vec<Term>,
    flare: Option<Flare>,
}

/// What a shape is called.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ShapeName {
    /// Larger at the head end.
    WornAtHeadEnd,
    /// Larger at the base end.
    WornAtBaseEnd,
    /// Smaller at the head end, in a barrel that is made so.
    Choked,
    /// As large at the head end, in a barrel that is made smaller there.
    LostChoke,
    /// Larger in the middle than at either end.
    Barrelled,
    /// Smaller in the middle than at either end.
    Waisted,
    /// Opened out at the edge of the base end.
    BellMouthed,
    /// Largest at right angles to the crankshaft.
    OvalAcross,
    /// Largest parallel to the crankshaft.
    OvalAlong,
    /// Largest in a direction between, in degrees.
    OvalAt(f64),
    /// None of these.
    Even,
    /// None of these, and yet not the same everywhere.
    Uneven,
    /// None of these as far as measured, but the readings tell no taper or no oval.
    TooFewReadings,
}

impl ShapeName {
    /// In words.
    pub fn words(self) -> Cow<'static, str> {
        Cow::Borrowed(match self {
            Self::WornAtHeadEnd => "worn at the head end",
            Self::WornAtBaseEnd => "worn at the base end",
            Self::Choked => "choked",
            Self::LostChoke => "parallel where it was made choked",
            Self::Barrelled => "barrelled",
            Self::Waisted => "waisted",
            Self::BellMouthed => "bell-mouthed",
            Self::OvalAcross => "oval across the crankshaft",
            Self::OvalAlong => "oval along the crankshaft",
            Self::OvalAt(degrees) => return Cow::Owned(format!("oval at {degrees:.0} degrees")),
            Self::Even => "even",
            Self::Uneven => "uneven",
            Self::TooFewReadings => "too few readings to tell",
        })
    }
}

/// How to name a shape.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Naming {
    /// In millimetres; what is not larger is not named. One graduation of the gauge is a good choice.
    pub threshold_mm: f64,
    /// The barrel is made choked, so that being smaller at the head end is no wear.
    pub choked: bool,
}

/// Within so many degrees of a crankshaft direction an oval is said to lie along it: half of the 45 degrees
/// between the usual axes.
const NEAR: f64 = 22.5;

impl Shape {
    /// Fits a shape; `None` without readings.
    pub fn fit(samples: &[Sample]) -> Option<Self> {
        if samples.is_empty() {
            return None;
        }
        let diameters: Vec<f64> = samples.iter().map(|sample| sample.diameter_mm).collect();
        let positions = positions(samples);
        let depths = positions.as_deref().map_or(1, |t| distinct(t.iter().copied()));
        let mut columns = Vec::with_capacity(4);
        let mut terms = Vec::with_capacity(4);
        if let Some(t) = positions.filter(|_| depths > 1) {
            columns.push(t.iter().map(|t| t / 2.0).collect());
            terms.push(Term::Taper);
            if depths > 2 {
                columns.push(t.iter().map(|t| 1.0 / 3.0 - t * t).collect());
                terms.push(Term::Bow);
            }
        }
        let directions = Directions::of(samples);
        let oval_columns = directions.columns(samples);
        terms.extend(std::iter::repeat_n(Term::Ovality, oval_columns.len()));
        columns.extend(oval_columns.iter().cloned());
        let solution = least_squares::solve(columns, &diameters);
        let of = |term: Term| {
            let found = terms.iter().zip(&solution.coefficients).filter(move |(t, _)| **t == term);
            found.map(|(_, coefficient)| *coefficient)
        };
        let (taper_mm, bow_mm) = (of(Term::Taper).next().flatten(), of(Term::Bow).next().flatten());
        let parts: Vec<Option<f64>> = of(Term::Ovality).collect();
        let oval = directions.oval(&parts);
        let mut not_determined = Vec::new();
        for (term, determined) in [
            (Term::Taper, taper_mm.is_some()),
            (Term::Bow, bow_mm.is_some()),
            (Term::Ovality, oval.is_some_and(|oval| oval.whole)),
        ] {
            if !determined {
                not_determined.push(term);
            }
        }
        let round: Option<Vec<f64>> = parts.iter().copied().collect::<Option<Vec<_>>>().map(|parts| {
            let oval_part = |i: usize| -> f64 {
                oval_columns.iter().zip(&parts).filter_map(|(c, part)| c.get(i).map(|c| c * part)).sum()
            };
            diameters.iter().enumerate().map(|(i, diameter)| diameter - oval_part(i)).collect()
        });
        Some(Self {
            mean_mm: solution.mean.unwrap_or_else(|| diameters.iter().sum::<f64>() / diameters.len() as f64),
            taper_mm,
            bow_mm,
            oval,
            residual_mm: solution.residual,
            not_determined,
            flare: round.and_then(|round| flare(samples, &round)),
        })
    }

    /// What it is called: along the barrel first, then around it; never empty.
    ///
    /// A part is named if it is larger than the threshold and than what is left over after the fit.
    pub fn names(&self, naming: Naming) -> Vec<ShapeName> {
        let threshold = self.residual_mm.unwrap_or(0.0).max(naming.threshold_mm);
        let mut names = Vec::new();
        let bell = self
            .flare
            .is_some_and(|f| f.over_others > naming.threshold_mm && f.over_others > 2.0 * f.others_range);
        if let Some(taper) = self.taper_mm {
            if taper > threshold {
                names.push(ShapeName::WornAtHeadEnd);
            } else if taper < -threshold {
                if naming.choked {
                    names.push(ShapeName::Choked);
                } else if !bell {
                    names.push(ShapeName::WornAtBaseEnd);
                }
            } else if naming.choked && taper.abs() <= naming.threshold_mm {
                names.push(ShapeName::LostChoke);
            }
        }
        if let Some(bow) = self.bow_mm
            && self.beyond_both_ends(bow) > threshold
        {
            if bow > 0.0 {
                names.push(ShapeName::Barrelled);
            } else if !bell {
                names.push(ShapeName::Waisted);
            }
        }
        if bell {
            names.push(ShapeName::BellMouthed);
        }
        if let Some(oval) = self.oval.filter(|oval| oval.ovality_mm > threshold) {
            names.push(if (oval.degrees - 90.0).abs() <= NEAR {
                ShapeName::OvalAcross
            } else if oval.degrees <= NEAR || oval.degrees >= 180.0 - NEAR {
                ShapeName::OvalAlong
            } else {
                ShapeName::OvalAt(oval.degrees)
            });
        }
        if names.is_empty() {
            names.push(if self.taper_mm.is_none() || self.oval.is_none() {
                ShapeName::TooFewReadings
            } else if self.residual_mm.is_some_and(|residual| residual > naming.threshold_mm) {
                ShapeName::Uneven
            } else {
                ShapeName::Even
            });
        }
        names
    }

    /// The names in one phrase: `worn at the head end, oval across the crankshaft`.
    pub fn words(&self, naming: Naming) -> String {
        let names: Vec<_> = self.names(naming).into_iter().map(ShapeName::words).collect();
        names.join(", ")
    }

    /// By how much the curve's belly or waist goes beyond the nearer of the two ends; 0 if it has none
    /// between them.
    fn beyond_both_ends(&self, bow: f64) -> f64 {
        // taper t/2 - bow t² turns at t = taper / (4 bow) and is bow (t - turn)² away from there.
        let turn = self.taper_mm.unwrap_or(0.0) / (4.0 * bow);
        if turn.abs() < 1.0 { bow.abs() * (1.0 - turn.abs()).powi(2) } else { 0.0 }
    }
}

/// Each sample's place along the barrel, from +1 at the head end to -1 at the base end; `None` if all are at
/// one depth.
fn positions(samples: &[Sample]) -> Option<Vec<f64>> {
    let head = samples.iter().min_by_key(|sample| sample.station)?.depth_mm;
    let base = samples.iter().max_by_key(|sample| sample.station)?.depth_mm;
    let length = base - head;
    (length != 0.0)
        .then(|| samples.iter().map(|sample| 1.0 - 2.0 * (sample.depth_mm - head) / length).collect())
}

/// How many different numbers there are.
fn distinct(numbers: impl Iterator<Item = f64>) -> usize {
    let mut numbers: Vec<f64> = numbers.collect();
    numbers.sort_unstable_by(f64::total_cmp);
    numbers.dedup();
    numbers.len()
}

/// The directions that were measured.
enum Directions {
    /// One, or none that is a direction: no oval is seen.
    One,
    /// Two: the smaller angle and the larger, in degrees.
    Two(f64, f64),
    /// Three or more.
    Many,
}

impl Directions {
    fn of(samples: &[Sample]) -> Self {
        let mut found: Vec<f64> = samples.iter().map(|sample| direction(sample.degrees)).collect();
        found.sort_unstable_by(f64::total_cmp);
        found.dedup();
        match found[..] {
            [a, b] if a.is_finite() && b.is_finite() => Self::Two(a, b),
            [_, _, _, ..] => Self::Many,
            _ => Self::One,
        }
    }

    /// Columns for the oval part, scaled so that a coefficient is a difference of two diameters.
    fn columns(&self, samples: &[Sample]) -> Vec<Vec<f64>> {
        match *self {
            Self::One => Vec::new(),
            Self::Two(first, _) => {
                vec![samples.iter().map(|s| if direction(s.degrees) == first { 0.5 } else { -0.5 }).collect()]
            }
            Self::Many => {
                let degrees: Vec<f64> = samples.iter().map(|sample| sample.degrees).collect();
                ovality::columns(&degrees).into()
            }
        }
    }

    /// The oval that the coefficients of the columns stand for.
    fn oval(&self, parts: &[Option<f64>]) -> Option<Oval> {
        let (ovality_mm, degrees, whole) = match (self, parts) {
            (Self::Two(a, b), &[Some(first)]) => (first.abs(), if first < 0.0 { *b } else { *a }, false),
            (Self::Many, &[Some(cosine), Some(sine)]) => {
                let (ovality_mm, degrees) = ovality::oval(cosine, sine);
                (ovality_mm, degrees, true)
            }
            _ => return None,
        };
        Some(Oval { ovality_mm, degrees, whole })
    }
}

/// An angle as a direction, from 0 to below 180 degrees.
fn direction(degrees: f64) -> f64 {
    degrees.rem_euclid(180.0)
}

/// How far the station nearest the base stands out; `None` with fewer than three stations.
fn flare(samples: &[Sample], diameters: &[f64]) -> Option<Flare> {
    let mut stations: Vec<usize> = samples.iter().map(|sample| sample.station).collect();
    stations.sort_unstable();
    stations.dedup();
    let mean = |station: usize| {
        let of = samples.iter().zip(diameters).filter(|(sample, _)| sample.station == station);
        let (sum, count) = of.fold((0.0, 0.0), |(sum, count), (_, d)| (sum + d, count + 1.0));
        sum / count
    };
    let (&base, others) = stations.split_last()?;
    if others.len() < 2 {
        return None;
    }
    let (low, high) = others
        .iter()
        .map(|&station| mean(station))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), d| (low.min(d), high.max(d)));
    Some(Flare { over_others: mean(base) - high, others_range: high - low })
}

#[cfg(test)]
mod tests;
