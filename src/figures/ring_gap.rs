//! Ring gap along the bore: a ring's gap changes by pi times the change of the diameter it sits in.
//!
//! A ring is a circle cut once: its length along the wall stays, the wall's is pi times the diameter, and the
//! gap is the difference. It sits in the mean of a station's diameters. That is taken over the axes that must
//! be measured, and only where all of them are: means over different axes of an oval bore would not compare.

use super::Figure;
use quantities::length::{Length, Mean};
use records::bore::{Bore, Scope};

/// How much a gap grows in a bore that is `diameter_change_mm` larger, in millimetres.
pub fn change_mm(diameter_change_mm: f64) -> f64 {
    std::f64::consts::PI * diameter_change_mm
}

/// The gap at a station, from the gap measured at another; `None` unless both are measured.
///
/// The change is rounded to a tenth of a nanometre. A negative gap is a ring that would butt.
///
/// # Examples
/// ```
/// use figures::ring_gap;
/// use quantities::length::{Length, Style, Unit};
/// use records::bore::Bore;
/// let bore = Bore::of_texts(&[&["5.1250"], &["5.1300"]], Unit::Inch).unwrap();
/// let measured = Length::parse("0.0300", Unit::Inch).unwrap().length;
/// let below = ring_gap::at(&bore, measured, 0, 1, &[0]).unwrap();
/// assert_eq!(below.text(Style::usual(Unit::Inch)), "0.0457 in");
/// ```
pub fn at(
    bore: &Bore,
    gap: Length,
    taken_at: usize,
    station: usize,
    required_axes: &[usize],
) -> Option<Mean> {
    let mean =
        |station| Figure::average_over(bore, &Scope { stations: &[station], required_axes }).map(|f| f.value);
    let change = mean(station)? - mean(taken_at)?;
    if change == Length::ZERO {
        return Some(gap.into());
    }
    Length::from_mm(change_mm(change.to_mm())).map(|change| Mean::from(gap + change))
}

/// The greatest and the least gap along the measured stations, from the gap measured at one of them.
pub fn extremes(bore: &Bore, gap: Length, taken_at: usize, scope: &Scope<'_>) -> Option<(Mean, Mean)> {
    let along = || scope.stations.iter().filter_map(|&s| at(bore, gap, taken_at, s, scope.required_axes));
    Some((along().max()?, along().min()?))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{bore, inch};
    use super::*;
    use quantities::length::{Style, Unit};

    /// D1 (grade D, pi): bore +0.001, 0.002, 0.005, 0.010 in: gap +0.00314, 0.00628, 0.01571, 0.03142 in.
    #[test]
    fn follows_the_bore_by_pi() {
        let bore = bore(&[&["5.1250"], &["5.1260"], &["5.1270"], &["5.1300"], &["5.1350"], &["5.1240"]]);
        let style = Style { unit: Unit::Inch, decimals: 5 };
        let gap = |station| at(&bore, inch("0.0300"), 0, station, &[0]).unwrap().number(style);
        let gaps: Vec<_> = (0..6).map(gap).collect();
        assert_eq!(gaps, ["0.03000", "0.03314", "0.03628", "0.04571", "0.06142", "0.02686"]);
        let scope = Scope { stations: &[0, 1, 2, 3, 4, 5], required_axes: &[0] };
        let (greatest, least) = extremes(&bore, inch("0.0300"), 0, &scope).unwrap();
        assert_eq!((greatest.number(style), least.number(style)), ("0.06142".into(), "0.02686".into()));
    }

    #[test]
    fn an_axis_that_is_missing_at_one_station_does_not_pass_for_a_change() {
        let bore = bore(&[&["5.1250", "5.1290"], &["5.1250", ""], &["", "5.1290"]]);
        let scope = Scope { stations: &[0, 1, 2], required_axes: &[0, 1] };
        let gap = inch("0.0300");
        assert_eq!(at(&bore, gap, 0, 1, &[0, 1]), None);
        assert_eq!(extremes(&bore, gap, 0, &scope), Some((gap.into(), gap.into())));
        assert_eq!(extremes(&bore, gap, 2, &scope), None);
    }
}
