//! When a line reaches a level: inverse prediction with Fieller's interval, which may have no upper end.
//!
//! The interval holds every `x` at which the level lies within the line's band of 95 %. Where the slope is
//! surely not nought it is bounded; otherwise the line may never get there, and the interval has no upper end,
//! or says nothing at all. That is told, never cut off.

use super::line::{Line, Of};
use crate::certainty::student::t_cdf;

/// The interval of 95 % for where a line reaches a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Interval {
    /// Between two ends.
    Between(f64, f64),
    /// Not before this; there is no upper end, and it may never be reached.
    From(f64),
    /// Nothing can be said.
    Anything,
}

/// Where the line itself reaches the level; none if it is level.
pub fn estimate(line: &Line, level: f64) -> Option<f64> {
    let x = line.x_mean + (level - line.y_mean) / line.slope;
    (line.slope != 0.0 && x.is_finite()).then_some(x)
}

/// What Fieller's quadratic comes to.
enum Roots {
    /// The level lies within the band between the two.
    Within(f64, f64),
    /// The level lies within the band outside the two.
    Outside(f64, f64),
    /// The level lies within the band everywhere.
    Everywhere,
}

fn roots(line: &Line, level: f64, of: Of) -> Option<Roots> {
    let t = line.factor_95()?;
    let (mean, slope) = (line.mean_variance, line.slope_variance);
    let reading = match of {
        Of::Line => 0.0,
        Of::Reading => line.scatter * line.scatter,
    };
    // (d - b x)² <= t² (mean + slope x²), x counted from the mean.
    let d = level - line.y_mean;
    let a = line.slope * line.slope - t * t * slope;
    let half_b = -line.slope * d;
    let c = d * d - t * t * (mean + reading);
    let discriminant = half_b * half_b - a * c;
    if a == 0.0 && half_b == 0.0 || discriminant < 0.0 {
        return Some(Roots::Everywhere);
    }
    // The root that loses no digits first, the other one from their product.
    let q = -(half_b + half_b.signum() * discriminant.sqrt());
    let (first, second) = if q == 0.0 { (0.0, 0.0) } else { (q / a, c / q) };
    let (low, high) = (line.x_mean + first.min(second), line.x_mean + first.max(second));
    Some(if a > 0.0 { Roots::Within(low, high) } else { Roots::Outside(low, high) })
}

/// Fieller's interval of 95 %, looking forwards; none for a line through two points.
pub fn interval_95(line: &Line, level: f64, of: Of) -> Option<Interval> {
    Some(match roots(line, level, of)? {
        Roots::Within(low, high) if low.is_finite() && high.is_finite() => Interval::Between(low, high),
        Roots::Outside(low, high) if high.is_finite() && low <= line.x_mean && line.x_mean <= high => {
            Interval::From(high)
        }
        _ => Interval::Anything,
    })
}

/// The earliest `x` from `now` on at which the level lies within the band of 95 %: `now` itself if it does so
/// already; none if it never does, or for a line through two points.
pub fn earliest_95(line: &Line, level: f64, now: f64) -> Option<f64> {
    let (low, high) = line.band_95(now, Of::Line)?;
    if low <= level && level <= high {
        return Some(now);
    }
    let (first, second) = match roots(line, level, Of::Line)? {
        Roots::Within(a, b) | Roots::Outside(a, b) => (a, b),
        Roots::Everywhere => return Some(now),
    };
    [first, second].into_iter().find(|x| *x > now && x.is_finite())
}

/// The chance that the line, or a further reading, lies above the level at `x`; none for a line through two
/// points.
pub fn chance_above(line: &Line, level: f64, x: f64, of: Of) -> Option<f64> {
    let u = match of {
        Of::Line => line.u_at(x)?,
        Of::Reading => line.u_of_reading_at(x)?,
    };
    let over = line.at(x) - level;
    Some(match (u > 0.0, over) {
        (true, _) => t_cdf(over / u, line.dof() as f64),
        (false, over) if over > 0.0 => 1.0,
        (false, _) => 0.0,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::life::line::tests::plain;
    use crate::life::line::{Observation, fit};

    /// Graybill and Iyer, Regression Analysis (1994), p. 431: thermostat readings; the true temperature for a
    /// reading of 104 is 103.995, 95 % (103.4, 104.6) (published digits; more digits derived).
    #[test]
    fn thermostat() {
        let data = [
            (96.0, 95.71),
            (98.0, 98.16),
            (100.0, 99.52),
            (102.0, 102.09),
            (104.0, 103.79),
            (106.0, 106.18),
            (108.0, 108.14),
            (110.0, 110.21),
        ];
        let line = fit(&plain(&data)).unwrap();
        assert!((estimate(&line, 104.0).unwrap() - 103.994_92).abs() < 5e-6);
        let Some(Interval::Between(low, high)) = interval_95(&line, 104.0, Of::Reading) else { panic!() };
        assert!((low - 103.404_05).abs() < 5e-6 && (high - 104.589_46).abs() < 5e-6, "{low} {high}");
    }

    /// Derived: wear of 0.15 is reached at 3763.82 h, 95 % 3523.10 to 4051.59 for the line.
    #[test]
    fn wear_reaches_its_limit() {
        let data = [(0.0, 0.0), (500.0, 0.021), (1000.0, 0.038), (1500.0, 0.062), (2000.0, 0.079)];
        let line = fit(&plain(&data)).unwrap();
        assert!((line.slope - 3.98e-5).abs() < 1e-12);
        assert!((estimate(&line, 0.15).unwrap() - 3763.82).abs() < 0.005);
        let Some(Interval::Between(low, high)) = interval_95(&line, 0.15, Of::Line) else { panic!() };
        assert!((low - 3523.10).abs() < 0.005 && (high - 4051.59).abs() < 0.005, "{low} {high}");
        assert_eq!(earliest_95(&line, 0.15, 2000.0), Some(low));
        // At the ends of the interval the chance is what lies beyond them.
        assert!((chance_above(&line, 0.15, low, Of::Line).unwrap() - 0.025).abs() < 1e-6);
        assert!((chance_above(&line, 0.15, high, Of::Line).unwrap() - 0.975).abs() < 1e-6);
        let reading = chance_above(&line, 0.15, low, Of::Reading).unwrap();
        assert!(reading > 0.025 && reading < 0.5);
    }

    /// Derived: a slope of 0.001 (0.001) per 1 000 h is not surely above nought, so there is no upper end.
    #[test]
    fn no_upper_end() {
        let line = fit(&plain(&[(0.0, 0.0), (1000.0, 0.004), (2000.0, 0.001), (3000.0, 0.005)])).unwrap();
        let (low, high) = line.slope_interval_95().unwrap();
        assert!(low < 0.0 && high > 0.0);
        let Some(Interval::From(from)) = interval_95(&line, 0.15, Of::Line) else { panic!() };
        assert!(from > 3000.0 && from < estimate(&line, 0.15).unwrap());
        assert!((chance_above(&line, 0.15, from, Of::Line).unwrap() - 0.025).abs() < 1e-6);
        // A level in the midst of the points may be crossed anywhere.
        assert_eq!(interval_95(&line, 0.003, Of::Line), Some(Interval::Anything));
        assert_eq!(earliest_95(&line, 0.003, 1500.0), Some(1500.0));
    }

    #[test]
    fn level_lines_and_two_points() {
        let flat: Vec<_> = [0.0, 500.0, 1000.0].map(|x| Observation { x, y: 0.0, u: 0.001 }).to_vec();
        let flat = fit(&flat).unwrap();
        assert_eq!(estimate(&flat, 0.1), None);
        // Not even a level line is sure to stay so.
        assert!(matches!(interval_95(&flat, 0.1, Of::Line), Some(Interval::From(from)) if from > 1000.0));
        let exact = fit(&plain(&[(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0)])).unwrap();
        assert_eq!(interval_95(&exact, 0.1, Of::Line), Some(Interval::Anything));
        assert_eq!(chance_above(&exact, 0.1, 5000.0, Of::Line), Some(0.0));
        let two = fit(&plain(&[(0.0, 0.0), (1000.0, 0.05)])).unwrap();
        assert!((estimate(&two, 0.1).unwrap() - 2000.0).abs() < 1e-9);
        assert_eq!(interval_95(&two, 0.1, Of::Line), None);
        assert_eq!(earliest_95(&two, 0.1, 1000.0), None);
        assert_eq!(chance_above(&two, 0.1, 1500.0, Of::Line), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        /// Against the definition: at each end of an interval the band's edge is the level.
        #[test]
        fn ends_lie_on_the_band(ys in prop::collection::vec(-0.02..0.02_f64, 3..8), slope in -1e-4..1e-4_f64, level in -0.5..0.5_f64) {
            let data: Vec<_> = ys.iter().enumerate().map(|(i, y)| (500.0 * i as f64, slope * 500.0 * i as f64 + y)).collect();
            let line = fit(&plain(&data)).unwrap();
            let on_band = |x: f64| {
                let (low, high) = line.band_95(x, Of::Line).unwrap();
                (low - level).abs().min((high - level).abs()) < 1e-9 * (1.0 + x.abs())
            };
            match interval_95(&line, level, Of::Line) {
                Some(Interval::Between(low, high)) => {
                    prop_assert!(low <= high && on_band(low) && on_band(high));
                    let at = estimate(&line, level).unwrap();
                    prop_assert!(low - 1e-6 <= at && at <= high + 1e-6);
                }
                Some(Interval::From(from)) => prop_assert!(on_band(from)),
                Some(Interval::Anything) => {}
                None => prop_assert!(false),
            }
            if let Some(earliest) = earliest_95(&line, level, 3500.0) {
                prop_assert!(earliest >= 3500.0);
                prop_assert!(earliest == 3500.0 || on_band(earliest));
            }
        }
    }
}
