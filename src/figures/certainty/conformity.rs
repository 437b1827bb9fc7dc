//! An uncertain value against a limit: the probability that the true value is within it, and guard bands.
//!
//! A value exactly on a limit is within it. Value `y`, its standard uncertainty `u` and the limits are in one
//! unit, millimetres in this program; the sign of `u` means nothing. The distribution is a [`Spread`], or the degrees
//! of freedom of Student's t (JCGM 106:2012, clause 7, with JCGM 100:2008, G.3). What cannot be told, because a number is
//! missing (NaN), has the probability zero: missing is never a pass.
//!
//! Whether a part is accepted is decided on exact lengths elsewhere; this module says how sure that is.

use super::spread::Spread;

/// The probability that the true value is at or below `limit`; without uncertainty it is 1 or 0.
///
/// # Examples
/// ```
/// use figures::certainty::conformity::at_most;
/// // 0.02 mm below the limit, known to a standard uncertainty of 0.01 mm from ten degrees of freedom.
/// let chance = at_most(130.18, 0.01, 10.0, 130.20);
/// assert!((chance - 0.963).abs() < 5e-4);
/// ```
pub fn at_most(y: f64, u: f64, spread: impl Into<Spread>, limit: f64) -> f64 {
    if u == 0.0 {
        return if y <= limit { 1.0 } else { 0.0 };
    }
    // `max` also turns a NaN into zero.
    spread.into().cdf((limit - y) / u.abs()).max(0.0)
}

/// The probability that the true value is at or above `limit`; without uncertainty it is 1 or 0.
pub fn at_least(y: f64, u: f64, spread: impl Into<Spread>, limit: f64) -> f64 {
    at_most(-y, u, spread, -limit)
}

/// The probability that the true value is at or between two limits; without uncertainty it is 1 or 0, and it is
/// zero if they are the wrong way round.
pub fn between(y: f64, u: f64, spread: impl Into<Spread>, lower: f64, upper: f64) -> f64 {
    let spread = spread.into();
    if u == 0.0 {
        return if (lower..=upper).contains(&y) { 1.0 } else { 0.0 };
    }
    (at_most(y, u, spread, upper) + at_least(y, u, spread, lower) - 1.0).max(0.0)
}

/// How far inside a limit a value must be under guarded acceptance: then the true one is within it with a
/// probability of 95 %. The factor is that of the result's own distribution: 1.65 u where it is normal (ISO
/// 14253-1:2017), 2.92 u at two degrees of freedom.
pub fn guard_band(u: f64, spread: impl Into<Spread>) -> f64 {
    spread.into().one_sided_95() * u.abs()
}

/// [`guard_band`] of a magnitude: how far inside `limit` it must be, so that the true value, which may have either
/// sign, is between `-limit` and `limit` with a probability of 95 %. More than the limit if no value is.
pub fn guard_band_of_magnitude(u: f64, spread: impl Into<Spread>, limit: f64) -> f64 {
    let spread = spread.into();
    let one_sided = guard_band(u, spread);
    let accepts = |guard: f64| between(limit - guard, u, spread, -limit, limit) >= 0.95;
    // Far from the other limit it is that of a single one.
    if u == 0.0 || at_most(limit - one_sided, u, spread, -limit) < 1e-4 {
        return one_sided;
    }
    if !accepts(limit) {
        return limit + one_sided;
    }
    let (mut low, mut high) = (one_sided.min(limit), limit);
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if accepts(middle) { high = middle } else { low = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const NORMAL: f64 = f64::INFINITY;

    /// JCGM 106:2012, examples of 7.3 and 7.4 (values from memory, consistent when worked out again).
    #[test]
    fn conformance_probabilities() {
        let table = [
            (at_most(-5.47, 0.05, NORMAL, -5.40), 0.92),
            (at_least(509.7, 8.6, NORMAL, 490.0), 0.99),
            (between(13.6, 1.8, NORMAL, 12.5, 16.3), 0.66),
        ];
        for (p, expected) in table {
            assert!((p - expected).abs() <= 0.005, "{p} for {expected}");
        }
    }

    /// ISO 14253-1:2017: the guard band for one limit is 1.65 u, or 0.825 U with k = 2 (published digits); JCGM
    /// 100:2008, table G.2, by t at 90 % two-sided: 2.920, 2.015 and 1.812 at 2, 5 and 10 degrees of freedom.
    #[test]
    fn guard_bands() {
        let u = 0.001_2;
        assert!((guard_band(u, NORMAL) - 0.825 * (2.0 * u)).abs() < 0.005 * u + 0.0005 * u);
        for (dof, factor) in [(2.0, 2.920), (5.0, 2.015), (10.0, 1.812)] {
            assert!((guard_band(1.0, dof) - factor).abs() < 0.000_6, "{dof}");
            // On the acceptance limit the true value is within the limit with 95 %.
            let p = at_most(0.05 - guard_band(u, dof), u, dof, 0.05);
            assert!((p - 0.95).abs() < 1e-6, "{p}");
        }
        assert_eq!(guard_band(0.0, 1.0), 0.0);
    }

    /// Derived: the true value of a magnitude may have either sign, so both limits count (JCGM 106:2012, 7.4).
    #[test]
    fn guard_bands_of_a_magnitude() {
        for (u, dof) in [(0.05, NORMAL), (0.08, NORMAL), (0.04, 5.0)] {
            let guard = guard_band_of_magnitude(u, dof, 0.2);
            let p = between(0.2 - guard, u, dof, -0.2, 0.2);
            assert!((0.949_9..0.950_1).contains(&p), "{u} {dof}: {p}");
            assert!(guard >= guard_band(u, dof));
        }
        // Far from the other limit it is that of a single one; where nothing suffices it is more than the limit.
        assert_eq!(guard_band_of_magnitude(0.01, NORMAL, 0.2), guard_band(0.01, NORMAL));
        assert!(guard_band_of_magnitude(0.12, NORMAL, 0.2) > 0.2);
    }

    #[test]
    fn without_uncertainty_the_limit_itself_is_within() {
        for dof in [1.0, NORMAL] {
            assert_eq!(at_most(1.0, 0.0, dof, 1.0), 1.0);
            assert_eq!(at_most(1.0 + f64::EPSILON, 0.0, dof, 1.0), 0.0);
            assert_eq!(at_least(1.0, 0.0, dof, 1.0), 1.0);
            assert_eq!(at_least(1.0 - f64::EPSILON, 0.0, dof, 1.0), 0.0);
            assert_eq!(between(1.0, 0.0, dof, 1.0, 1.0), 1.0);
            assert_eq!(between(2.0, 0.0, dof, 1.0, 2.0), 1.0);
            assert_eq!(between(2.5, 0.0, dof, 1.0, 2.0), 0.0);
            assert_eq!(between(1.5, 0.0, dof, 2.0, 1.0), 0.0);
        }
        // An uncertainty too small to divide by is as good as none.
        assert_eq!(at_most(0.9, 1e-320, NORMAL, 1.0), 1.0);
        assert_eq!(at_most(1.1, 1e-320, 3.0, 1.0), 0.0);
        assert_eq!(at_most(-1e308, 0.1, 3.0, 1e308), 1.0);
    }

    #[test]
    fn with_uncertainty_the_limit_itself_is_even_odds() {
        for dof in [1.0, 4.0, NORMAL] {
            assert!((at_most(5.0, 0.1, dof, 5.0) - 0.5).abs() < 1e-12);
            assert!((at_least(5.0, 0.1, dof, 5.0) - 0.5).abs() < 1e-12);
            assert!(between(5.0, 0.1, dof, 5.1, 4.9) == 0.0);
        }
        // Few degrees of freedom make it less sure than the normal distribution would have it.
        let sure = |dof| at_most(4.8, 0.1, dof, 5.0);
        assert!(sure(2.0) < sure(10.0) && sure(10.0) < sure(NORMAL));
        assert_eq!(at_most(4.8, -0.1, 4.0, 5.0), at_most(4.8, 0.1, 4.0, 5.0));
    }

    #[test]
    fn what_cannot_be_told_is_no_pass() {
        let nan = f64::NAN;
        for (y, u, limit) in
            [(nan, 0.1, 1.0), (0.0, nan, 1.0), (0.0, 0.1, nan), (nan, 0.0, 1.0), (0.0, 0.0, nan)]
        {
            for dof in [4.0, NORMAL, nan] {
                assert_eq!(at_most(y, u, dof, limit), 0.0);
                assert_eq!(at_least(y, u, dof, limit), 0.0);
                assert_eq!(between(y, u, dof, -1.0, limit), 0.0);
            }
        }
        // Nothing is inside an unknown guard band.
        assert!(guard_band(nan, 4.0).is_nan());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn probabilities_add_up(
            y in -1.0..1.0_f64, lower in -1.0..1.0_f64, width in 0.0..1.0_f64,
            u in 0.000_1..1.0_f64, dof in prop_oneof![1.0..200.0_f64, Just(NORMAL)],
        ) {
            let upper = lower + width;
            let within = between(y, u, dof, lower, upper);
            prop_assert!((0.0..=1.0).contains(&within));
            prop_assert!((within + at_most(y, u, dof, lower) + at_least(y, u, dof, upper) - 1.0).abs() < 1e-9);
            prop_assert!(at_most(y, u, dof, upper) >= at_most(y, u, dof, lower));
            prop_assert_eq!(at_most(y, u, dof, upper) >= 0.5, y <= upper);
        }
    }
}
