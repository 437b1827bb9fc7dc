//! When a line reaches a level: inverse prediction with Fieller's interval, which may have no upper bound.
//!
//! The interval holds every `x` at which the level lies within the line's band of 95 %. Where the slope is
//! surely not zero it is bounded; otherwise the line may never get there, and the interval has no upper bound,
//! or says nothing at all. That is told, never cut off.

use super::line::{FittedLine, Of};
use figures::certainty::student::t_cdf;

/// A level to be reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// The level.
    pub at: f64,
    /// 1 if beyond is above it, -1 if below.
    pub sign: f64,
}

/// When a line reaches a level, looking forwards from a moment at which no reading was beyond it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing {
    /// It is beyond it already.
    Passed,
    /// It is reached at `at`, between two bounds. None of the three is before the moment.
    Bounded {
        /// Where the line itself reaches it.
        at: f64,
        /// The lower bound of 95 %.
        from: f64,
        /// The upper bound of 95 %.
        to: f64,
    },
    /// It is reached, if at all, not before `from`.
    NoUpperBound {
        /// Where the line itself reaches it; none if it does not approach it.
        at: Option<f64>,
        /// The lower bound of 95 %.
        from: f64,
    },
    /// It is not reached: the line leads away from it.
    Never,
    /// It may be reached at any time, from now on.
    AnyTime,
    /// There is no interval.
    NoInterval {
        /// Where the line itself reaches it; none if it does not approach it.
        at: Option<f64>,
    },
}

impl Crossing {
    /// The best estimate of when; none where there is none.
    pub fn at(self) -> Option<f64> {
        match self {
            Self::Bounded { at, .. } => Some(at),
            Self::NoUpperBound { at, .. } | Self::NoInterval { at } => at,
            Self::Passed | Self::Never | Self::AnyTime => None,
        }
    }
}

/// Readings are kept to a tenth of a nanometre; what a line is nearer to than half of that, it is on.
const ON_IT: f64 = 0.5e-7;

/// Where the line itself reaches the level; none if it is level.
pub fn estimate(line: &FittedLine, level: f64) -> Option<f64> {
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

/// Solves for where the band's edges are at the level; none where the line has no band.
fn roots(line: &FittedLine, level: f64) -> Option<Roots> {
    let t = line.factor_95()?;
    let (mean, slope) = (line.mean_variance, line.slope_variance);
    // (d - b x)² <= t² (mean + slope x²), x counted from the mean.
    let d = level - line.y_mean;
    let a = line.slope * line.slope - t * t * slope;
    let half_b = -line.slope * d;
    let c = d * d - t * t * mean;
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

/// When the line reaches a level from `now` on.
pub fn crossing(line: &FittedLine, level: Level, now: f64) -> Crossing {
    let beyond = (line.at(now) - level.at) * level.sign;
    let approaches = line.slope * level.sign > 0.0;
    // Nothing is reached before now, when no reading was beyond it; the line may have been.
    let at = match beyond > ON_IT {
        true => Some(now),
        false => estimate(line, level.at).filter(|_| approaches).map(|at| at.max(now)),
    };
    let Some((low, high)) = line.band_95(now, Of::Line) else { return Crossing::NoInterval { at } };
    let is_in_doubt = low <= level.at && level.at <= high;
    match roots(line, level.at) {
        _ if !is_in_doubt && beyond > 0.0 => Crossing::Passed,
        Some(Roots::Within(from, to)) if approaches && to.is_finite() => {
            let (from, to) = (from.max(now), to.max(now));
            Crossing::Bounded { at: at.unwrap_or(from).min(to), from, to }
        }
        _ if is_in_doubt => Crossing::AnyTime,
        Some(Roots::Within(..)) => Crossing::Never,
        Some(Roots::Outside(low, high)) if low <= now && now <= high && high.is_finite() => {
            Crossing::NoUpperBound { at, from: high }
        }
        _ => Crossing::AnyTime,
    }
}

/// The chance that the line lies above the level at `x`; none where the line has no interval.
pub fn chance_above(line: &FittedLine, level: f64, x: f64) -> Option<f64> {
    let u = line.u_at(x, Of::Line)?;
    let over = line.at(x) - level;
    Some(match (u > 0.0, over) {
        (true, _) => t_cdf(over / u, line.dof()),
        (false, over) if over > 0.0 => 1.0,
        (false, _) => 0.0,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::lines::tests::{bare, known, one};

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
        let line = bare(&data);
        assert!((estimate(&line, 104.0).unwrap() - 103.994_92).abs() < 5e-6);
        // The reading of 104 scatters as well.
        let line = FittedLine { mean_variance: line.mean_variance + line.scatter.powi(2), ..line };
        let Some(Roots::Within(low, high)) = roots(&line, 104.0) else { panic!() };
        assert!((low - 103.404_05).abs() < 5e-6 && (high - 104.589_46).abs() < 5e-6, "{low} {high}");
    }

    /// Derived, by scatter alone: wear of 0.15 is reached at 3763.82 h, 95 % 3523.10 to 4051.59 for the line.
    #[test]
    fn wear_reaches_its_limit() {
        let data = [(0.0, 0.0), (500.0, 0.021), (1000.0, 0.038), (1500.0, 0.062), (2000.0, 0.079)];
        let line = bare(&data);
        assert!((line.slope - 3.98e-5).abs() < 1e-12);
        assert!((estimate(&line, 0.15).unwrap() - 3763.82).abs() < 0.005);
        let Some(Roots::Within(low, high)) = roots(&line, 0.15) else { panic!() };
        assert!((low - 3523.10).abs() < 0.005 && (high - 4051.59).abs() < 0.005, "{low} {high}");
        let Crossing::Bounded { at, from, to } = crossing(&line, UP, 2000.0) else { panic!() };
        assert_eq!((from, to, at), (low, high, estimate(&line, 0.15).unwrap()));
        // At the ends of the interval the chance is what lies beyond them.
        assert!((chance_above(&line, 0.15, low).unwrap() - 0.025).abs() < 1e-6);
        assert!((chance_above(&line, 0.15, high).unwrap() - 0.975).abs() < 1e-6);
    }

    const UP: Level = Level { at: 0.15, sign: 1.0 };

    /// Derived: three surveys of a budget of 0.0025 mm; the first agrees with it, the second is doubted.
    #[test]
    fn three_surveys_reach_their_limit() {
        for (middle, at, low, high) in
            [(0.018, 2222.807, 1904.042, 2726.355), (0.025, 2136.842, 1772.801, 2784.023)]
        {
            let line = one(&known(&[(0.0, 0.0), (700.0, middle), (1400.0, 0.038)], 0.0025));
            let limit = Level { at: 0.06, sign: 1.0 };
            let Crossing::Bounded { at: found, from, to } = crossing(&line, limit, 1400.0) else { panic!() };
            let off = [found - at, from - low, to - high];
            assert!(off.iter().all(|off| off.abs() < 0.000_6), "{found} {from} {to}");
        }
    }

    /// Derived: a slope of 0.001 (0.001) per 1 000 h is not surely above zero, so there is no upper bound.
    #[test]
    fn no_upper_bound() {
        let line = bare(&[(0.0, 0.0), (1000.0, 0.004), (2000.0, 0.001), (3000.0, 0.005)]);
        let (low, high) = line.slope_interval_95().unwrap();
        assert!(low < 0.0 && high > 0.0);
        let Crossing::NoUpperBound { at: Some(at), from } = crossing(&line, UP, 3000.0) else { panic!() };
        assert!(from > 3000.0 && from < at);
        assert!((chance_above(&line, 0.15, from).unwrap() - 0.025).abs() < 1e-6);
        // The other way it is as far as it can be ruled out, and there is no estimate.
        let down = Level { at: -0.15, sign: -1.0 };
        assert!(
            matches!(crossing(&line, down, 3000.0), Crossing::NoUpperBound { at: None, from } if from > 3000.0)
        );
        // A level in the midst of the points may be crossed anywhere.
        assert_eq!(crossing(&line, Level { at: 0.003, sign: 1.0 }, 3000.0), Crossing::AnyTime);
    }

    #[test]
    fn each_kind_of_crossing() {
        let steady = [(0.0, 0.0), (1000.0, 0.02), (2000.0, 0.04), (3000.0, 0.06)];
        let line = one(&known(&steady, 0.001));
        let at = |level: f64, sign: f64| crossing(&line, Level { at: level, sign }, 3000.0);
        assert!(matches!(at(0.1, 1.0), Crossing::Bounded { .. }));
        assert_eq!(at(-0.01, -1.0), Crossing::Never);
        assert_eq!(at(0.05, 1.0), Crossing::Passed);
        // On the level and moving towards it: now, until its upper bound.
        let Crossing::Bounded { at: now, from, to } = at(0.06, 1.0) else { panic!() };
        assert!((now - 3000.0).abs() < 0.01 && from == 3000.0 && to > 3000.0);
        // On it and moving away.
        assert_eq!(at(0.06, -1.0), Crossing::AnyTime);
    }

    #[test]
    fn level_lines_and_two_points() {
        let flat = one(&known(&[(0.0, 0.0), (500.0, 0.0), (1000.0, 0.0)], 0.001));
        assert_eq!(estimate(&flat, 0.1), None);
        // Not even a level line is sure to stay so.
        let up = Level { at: 0.1, sign: 1.0 };
        assert!(
            matches!(crossing(&flat, up, 1000.0), Crossing::NoUpperBound { at: None, from } if from > 1000.0)
        );
        // Two points have an interval from their budget alone, and none without one.
        let two = bare(&[(0.0, 0.0), (1000.0, 0.05)]);
        assert!((estimate(&two, 0.1).unwrap() - 2000.0).abs() < 1e-9);
        assert_eq!(crossing(&two, up, 1000.0), Crossing::NoInterval { at: estimate(&two, 0.1) });
        assert_eq!(chance_above(&two, 0.1, 1500.0), None);
        let two = one(&known(&[(0.0, 0.0), (1000.0, 0.05)], 0.001));
        assert!(matches!(crossing(&two, up, 1000.0), Crossing::Bounded { .. }));
        // Two equal ones on their limit do not approach it.
        let level = bare(&[(0.0, 0.1), (1000.0, 0.1)]);
        assert_eq!(crossing(&level, up, 1000.0), Crossing::NoInterval { at: None });
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        /// Against the definition: at each end of an interval the band's edge is the level.
        #[test]
        fn ends_lie_on_the_band(
            ys in prop::collection::vec(-0.02..0.02_f64, 2..8), slope in -1e-4..1e-4_f64,
            level in -0.5..0.5_f64, sign in prop_oneof![Just(1.0), Just(-1.0)], u in 0.001..0.02_f64,
        ) {
            let data: Vec<_> = ys.iter().enumerate().map(|(i, y)| (500.0 * i as f64, slope * 500.0 * i as f64 + y)).collect();
            let line = one(&known(&data, u));
            let on_band = |x: f64| {
                let (low, high) = line.band_95(x, Of::Line).unwrap();
                (low - level).abs().min((high - level).abs()) < 1e-9 * (1.0 + x.abs())
            };
            match roots(&line, level) {
                Some(Roots::Within(low, high)) => {
                    prop_assert!(low <= high && on_band(low) && on_band(high));
                    let at = estimate(&line, level).unwrap();
                    prop_assert!(low - 1e-6 <= at && at <= high + 1e-6);
                }
                Some(Roots::Outside(low, high)) => prop_assert!(low <= high && on_band(low) && on_band(high)),
                Some(Roots::Everywhere) => {}
                None => prop_assert!(false),
            }
            let now = 3500.0;
            let is_within = |x: f64| {
                let (low, high) = line.band_95(x, Of::Line).unwrap();
                low <= level && level <= high
            };
            match crossing(&line, Level { at: level, sign }, now) {
                Crossing::Bounded { at, from, to } => {
                    prop_assert!(now <= from && from <= at + 1e-6 && at <= to + 1e-6);
                    prop_assert!(from == now || on_band(from));
                }
                Crossing::NoUpperBound { at, from } => {
                    prop_assert!(from > now && on_band(from) && at.is_none_or(|at| at > from));
                    prop_assert!(is_within(1e9));
                }
                Crossing::AnyTime => prop_assert!(is_within(now)),
                Crossing::Never => {
                    prop_assert!(!is_within(now) && !is_within(1e9) && (line.at(now) - level) * sign < 0.0);
                }
                Crossing::Passed => prop_assert!(!is_within(now) && (line.at(now) - level) * sign > 0.0),
                Crossing::NoInterval { .. } => prop_assert!(false),
            }
        }
    }
}
