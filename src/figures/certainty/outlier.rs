//! The repeat that is far from its fellows: Grubbs' test.
//!
//! One value at a time, at 5 %, silent below four values: with three, an outlier cannot be told from bad luck.
//! The test knows nothing of resolution: three equal repeats and one that differs by a single graduation always
//! stand out, so whoever asks should leave out a spread of a graduation or less. Values may be in any unit.

use std::sync::OnceLock;

use super::student::t_quantile;
use quantities::moments::{mean, standard_deviation};

/// The fewest values that the test speaks of.
pub const LEAST_VALUES: usize = 4;

/// The chance of naming a value although none is an outlier.
pub const SIGNIFICANCE: f64 = 0.05;

/// Numbers of values for which the critical value is kept.
const KEPT: usize = 64;

/// Which way an outlier may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OutlierSide {
    /// Above or below (two-sided test).
    Either,
    /// Only above (one-sided test).
    High,
    /// Only below (one-sided test).
    Low,
}

/// The value farthest from its fellows, and how far is too far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grubbs {
    /// Its place among the values, counted from 0; the first of several equal ones.
    pub index: usize,
    /// Its distance from the mean in standard deviations; never negative.
    pub g: f64,
    /// The critical value of `g` at [`SIGNIFICANCE`].
    pub critical: f64,
    /// How many values were tested.
    pub n: usize,
}

impl Grubbs {
    /// Whether it stands out: beyond the critical value.
    pub fn stands_out(&self) -> bool {
        self.g > self.critical
    }
}

/// Tests the value farthest from the mean on the given side.
///
/// `None` below [`LEAST_VALUES`], if a value is not finite, or if all are equal.
pub fn grubbs(values: &[f64], side: OutlierSide) -> Option<Grubbs> {
    let n = values.len();
    let critical = critical_kept(n, side)?;
    let mean = mean(values)?;
    // Equal values have a deviation of exactly zero.
    let deviation = standard_deviation(values).filter(|s| *s > 0.0)?;
    let away = |value: f64| match side {
        OutlierSide::Either => (value - mean).abs(),
        OutlierSide::High => value - mean,
        OutlierSide::Low => mean - value,
    };
    let farthest = values.iter().enumerate().fold((0, f64::NEG_INFINITY), |(index, most), (i, &value)| {
        if away(value) > most { (i, away(value)) } else { (index, most) }
    });
    Some(Grubbs { index: farthest.0, g: farthest.1 / deviation, critical, n })
}

/// The critical value of Grubbs' statistic for `n` values, from a quantile of the t-distribution
/// (NIST/SEMATECH e-Handbook, 1.3.5.17.1); `None` below [`LEAST_VALUES`].
pub fn critical(n: usize, side: OutlierSide, significance: f64) -> Option<f64> {
    if n < LEAST_VALUES {
        return None;
    }
    let n = n as f64;
    let tail = match side {
        OutlierSide::Either => significance / (2.0 * n),
        OutlierSide::High | OutlierSide::Low => significance / n,
    };
    let t = t_quantile(1.0 - tail, n - 2.0);
    Some((n - 1.0) / n.sqrt() * (t * t / (n - 2.0 + t * t)).sqrt())
}

/// [`critical`] at [`SIGNIFICANCE`], remembered for as many values as a cell can hold.
fn critical_kept(n: usize, side: OutlierSide) -> Option<f64> {
    type Known = [OnceLock<Option<f64>>; KEPT];
    static EITHER: Known = [const { OnceLock::new() }; KEPT];
    static ONE: Known = [const { OnceLock::new() }; KEPT];
    let known = if side == OutlierSide::Either { &EITHER } else { &ONE };
    match known.get(n) {
        Some(known) => *known.get_or_init(|| critical(n, side, SIGNIFICANCE)),
        None => critical(n, side, SIGNIFICANCE),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// NIST/SEMATECH e-Handbook 1.3.5.17.1, data of Tietjen and Moore (1972): G 2.4687; critical value 2.032
    /// one-sided and 2.126 two-sided at 5 % (published digits).
    #[test]
    fn uranium_isotopes() {
        let values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
        for (side, critical) in [(OutlierSide::Either, 2.126), (OutlierSide::High, 2.032)] {
            let found = grubbs(&values, side).unwrap();
            assert_eq!((found.index, found.n), (7, 8));
            assert!((found.g - 2.468_7).abs() <= 0.000_5);
            assert!((found.critical - critical).abs() <= 0.001, "{}", found.critical);
            assert!(found.stands_out());
        }
        let low = grubbs(&values, OutlierSide::Low).unwrap();
        assert_eq!(low.index, 0);
        assert!((low.critical - 2.032).abs() <= 0.001 && !low.stands_out());
        let mirrored = values.map(|v| -v);
        assert_eq!(grubbs(&mirrored, OutlierSide::Low), grubbs(&values, OutlierSide::High));
    }

    #[test]
    fn silent_where_nothing_can_be_told() {
        assert_eq!(grubbs(&[], OutlierSide::Either), None);
        assert_eq!(grubbs(&[1.0, 1.0, 9.0], OutlierSide::Either), None);
        assert_eq!(grubbs(&[0.1; 7], OutlierSide::Either), None);
        assert_eq!(grubbs(&[1.0, 2.0, 3.0, f64::NAN], OutlierSide::Either), None);
        assert_eq!(grubbs(&[1.0, 2.0, 3.0, f64::INFINITY], OutlierSide::High), None);
        assert_eq!(critical(3, OutlierSide::Either, 0.05), None);
    }

    #[test]
    fn one_graduation_among_four_stands_out_as_documented() {
        let found = grubbs(&[5.127, 5.127, 5.127, 5.127_1], OutlierSide::Either).unwrap();
        // The largest G that n values can have is (n - 1) / sqrt n.
        assert!((found.g - 1.5).abs() < 1e-9 && found.stands_out());
        assert_eq!(found.index, 3);
    }

    #[test]
    fn more_values_than_are_kept() {
        let mut values: Vec<f64> = (0..KEPT * 2).map(|i| (i % 7) as f64).collect();
        let quiet = grubbs(&values, OutlierSide::Either).unwrap();
        assert!(!quiet.stands_out());
        assert_eq!(Some(quiet.critical), critical(KEPT * 2, OutlierSide::Either, SIGNIFICANCE));
        values[40] = 100.0;
        let found = grubbs(&values, OutlierSide::Either).unwrap();
        assert!(found.stands_out() && found.index == 40);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn the_statistic_stays_within_its_bounds(values in prop::collection::vec(-1e3..1e3_f64, 4..60)) {
            let n = values.len() as f64;
            let most = (n - 1.0) / n.sqrt();
            for side in [OutlierSide::Either, OutlierSide::High, OutlierSide::Low] {
                if let Some(found) = grubbs(&values, side) {
                    prop_assert!(found.g >= 0.0 && found.g <= most * (1.0 + 1e-9));
                    prop_assert!(found.critical > 1.0 && found.critical < most);
                    prop_assert!(found.index < values.len());
                }
            }
        }

        #[test]
        fn the_critical_value_grows_with_the_number_of_values(n in 4..500_usize) {
            for side in [OutlierSide::Either, OutlierSide::High] {
                prop_assert!(critical(n, side, 0.05) < critical(n + 1, side, 0.05));
            }
            prop_assert!(critical(n, OutlierSide::Either, 0.05) > critical(n, OutlierSide::High, 0.05));
        }
    }
}
