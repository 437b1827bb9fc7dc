//! Ovality: how oval a bore is at one station and which way, whatever the axes it was measured on.
//!
//! A least-squares fit of D(a) = m + (A/2) cos 2(a - p), in millimetres and degrees: A is the full ovality,
//! largest minus smallest diameter, and p the direction of the largest. It takes three different directions.
//! Two axes at 90 degrees show only A |cos 2p|: all of an oval that lies along one of them, nothing at all of
//! one at 45 degrees to both. Two-point gauges cannot see odd lobes, however many axes are taken.

use super::least_squares;
use records::bore::Bore;
use records::limits::schema::Axis;

/// What to say where only two axes were taken.
pub const TWO_AXES: &str = "two axes at 90 degrees show only part of an oval that lies between them, and nothing of one at \
     45 degrees to both";
/// What to say of every two-point gauge.
pub const ODD_LOBES: &str = "two-point gauges cannot see odd lobes";

/// A fitted oval, in millimetres on the diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ovality {
    /// Mean diameter.
    pub mean_mm: f64,
    /// Largest minus smallest diameter of the fitted oval; never negative.
    pub ovality_mm: f64,
    /// Direction of the largest diameter in degrees, counted like the axes: from 0 to below 180.
    pub degrees: f64,
    /// Standard deviation of the readings from the oval; `None` with three axes, which fit any oval.
    pub residual_mm: Option<f64>,
}

/// Fits an oval to diameters in millimetres, each with its direction in degrees.
///
/// `None` with fewer than three directions, or with directions so close together that they tell no oval.
///
/// # Examples
/// ```
/// use figures::ovality::fit;
/// // An oval that the axes at 0 and 90 degrees do not show.
/// let oval = fit(&[(0.0, 130.0), (45.0, 130.06), (90.0, 130.0), (135.0, 129.94)]).unwrap();
/// assert!((oval.ovality_mm - 0.12).abs() < 1e-9 && (oval.degrees - 45.0).abs() < 1e-6);
/// ```
pub fn fit(readings: &[(f64, f64)]) -> Option<Ovality> {
    let (degrees, diameters): (Vec<f64>, Vec<f64>) = readings.iter().copied().unzip();
    let [cosines, sines] = columns(&degrees);
    let solution = least_squares::solve(vec![cosines, sines], &diameters);
    let &[Some(cosine), Some(sine)] = &solution.coefficients[..] else { return None };
    let (ovality_mm, degrees) = oval(cosine, sine);
    Some(Ovality { mean_mm: solution.mean?, ovality_mm, degrees, residual_mm: solution.residual })
}

/// The oval of one station; `None` where its measured axes cannot tell it (see [`fit`]).
pub fn at(bore: &Bore, axes: &[Axis], station: usize) -> Option<Ovality> {
    let readings: Vec<_> = bore
        .at_station(station)
        .filter_map(|(at, mean)| axes.get(at.axis).map(|axis| (axis.degrees, mean.to_mm())))
        .collect();
    fit(&readings)
}

/// Half the cosine and half the sine of twice each direction: their coefficients are parts of the ovality.
pub(super) fn columns(degrees: &[f64]) -> [Vec<f64>; 2] {
    let twice = || degrees.iter().map(|degrees| (2.0 * degrees).to_radians());
    [twice().map(|a| a.cos() / 2.0).collect(), twice().map(|a| a.sin() / 2.0).collect()]
}

/// Full ovality and direction from the coefficients of [`columns`].
pub(super) fn oval(cosine: f64, sine: f64) -> (f64, f64) {
    let degrees = (sine.atan2(cosine).to_degrees() / 2.0).rem_euclid(180.0);
    // An angle a rounding below 0 comes out as 180 itself.
    (cosine.hypot(sine), if degrees < 180.0 { degrees } else { 0.0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Diameter in inches of an oval 5.127 by 5.123 with its largest diameter at `turned` degrees.
    fn diameter(axis: f64, turned: f64) -> f64 {
        5.125 + 0.002 * (2.0 * (axis - turned)).to_radians().cos()
    }

    fn readings(axes: &[f64], turned: f64) -> Vec<(f64, f64)> {
        axes.iter().map(|&axis| (axis, diameter(axis, turned) * 25.4)).collect()
    }

    /// D7 (grade D, A |cos 2p|): two axes show 0.0040, 0.0020, 0.0000 in; four axes 0.0040 each.
    #[test]
    fn two_axes_show_part_of_an_oval_and_four_show_all_of_it() {
        for (turned, seen) in [(0.0, 0.0040), (30.0, 0.0020), (45.0, 0.0000)] {
            let two = (diameter(0.0, turned) - diameter(90.0, turned)).abs();
            assert!((two - seen).abs() < 1e-12, "{turned}: {two}");
            assert_eq!(fit(&readings(&[0.0, 90.0], turned)), None);
            let oval = fit(&readings(&[0.0, 45.0, 90.0, 135.0], turned)).unwrap();
            assert!((oval.ovality_mm - 0.0040 * 25.4).abs() < 1e-9);
            assert!((oval.mean_mm - 5.125 * 25.4).abs() < 1e-9);
            let off = (oval.degrees - turned).abs();
            assert!(off.min(180.0 - off) < 1e-6, "{turned}: {}", oval.degrees);
            assert!(oval.residual_mm.unwrap() < 1e-9);
        }
    }

    /// The fit finds any oval on any three directions that differ, and on more of them.
    #[test]
    fn any_axes() {
        for axes in [
            &[0.0, 60.0, 120.0][..],
            &[0.0, 45.0, 90.0],
            &[10.0, 37.0, 171.0],
            &[0.0, 90.0, 95.0],
            &[0.0, 30.0, 60.0, 90.0, 120.0, 150.0],
            &[3.0, 5.0, 90.0, 91.0, 140.0],
        ] {
            for turned in [0.0, 12.5, 45.0, 90.0, 133.0, 179.0] {
                let oval = fit(&readings(axes, turned)).unwrap();
                assert!((oval.ovality_mm - 0.1016).abs() < 1e-8, "{axes:?} {turned} {oval:?}");
                let off = (oval.degrees - turned).abs();
                assert!(off.min(180.0 - off) < 1e-5, "{axes:?} {turned} {oval:?}");
                assert_eq!(oval.residual_mm.is_none(), axes.len() == 3);
            }
        }
    }

    #[test]
    fn directions_that_tell_no_oval() {
        for axes in [
            &[][..],
            &[0.0],
            &[0.0, 90.0],
            &[0.0, 90.0, 90.0],
            &[0.0, 90.0, 180.0],
            &[0.0, 90.0, 0.0, 270.0],
            &[45.0, 135.0, 225.0, -45.0],
            &[0.0, 60.0, 240.0],
            &[0.0, 90.0, 91.0],
            &[20.0; 12],
            &[0.0, 90.0, f64::NAN],
            &[0.0, 90.0, f64::INFINITY],
        ] {
            assert_eq!(fit(&readings(axes, 20.0)), None, "{axes:?}");
        }
    }

    /// Four axes and a fifth number: residual by hand. With axes 0, 45, 90, 135 and diameters 1, 0, 0, 0 the
    /// mean is 1/4, the cosine part (1 - 0)/2 = 1/2 and the sine part 0, so the oval gives 3/4, 1/4, -1/4, 1/4;
    /// 1/4 is left over in each of the four, and one degree of freedom.
    #[test]
    fn residual_by_hand() {
        let oval = fit(&[(0.0, 1.0), (45.0, 0.0), (90.0, 0.0), (135.0, 0.0)]).unwrap();
        assert!((oval.mean_mm - 0.25).abs() < 1e-15);
        assert!((oval.ovality_mm - 1.0).abs() < 1e-15);
        assert!((oval.residual_mm.unwrap() - 0.5).abs() < 1e-15);
    }

    #[test]
    fn a_round_bore_has_none() {
        let oval = fit(&[(0.0, 130.0), (45.0, 130.0), (90.0, 130.0), (135.0, 130.0)]).unwrap();
        assert_eq!((oval.ovality_mm, oval.residual_mm), (0.0, Some(0.0)));
    }
}
