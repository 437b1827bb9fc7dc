//! Student's t-distribution, and the normal distribution that it becomes with many degrees of freedom.
//!
//! All values come from `statrs`; this module decides which distribution applies and keeps what is slow to
//! work out. Degrees of freedom are cut to the next lower whole number (JCGM 100:2008, G.4.1, note), which
//! errs towards a wider interval; fewer than one, or none known, count as one.

use std::sync::OnceLock;

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// Degrees of freedom from which the normal distribution is used.
///
/// There the two differ by less than 0.00003 in a 95 % factor, and the inverse of the t-distribution begins to
/// lose more digits than that.
const NORMAL_FROM: f64 = 100_000.0;

/// The least probability left in one tail: beyond it a quantile is that of this tail.
const LEAST_TAIL: f64 = 1e-6;

/// Whole degrees of freedom for which the 95 % factor is kept.
const KEPT: usize = 1024;

/// Cuts degrees of freedom to the next lower whole number; infinite where the normal distribution applies.
///
/// A number that is whole but for rounding stays whole: 15.999 999 999 999 998 is 16. Anything below one, and NaN,
/// counts as one: the widest interval there is.
pub fn whole(dof: f64) -> f64 {
    if dof >= NORMAL_FROM {
        return f64::INFINITY;
    }
    // `max` also turns a NaN into 1.
    (dof * (1.0 + 1e-9)).floor().max(1.0)
}

/// Calls `with` on the standard distribution that `dof` asks for.
fn distribution(dof: f64, with: impl Fn(&dyn ContinuousCDF<f64, f64>) -> f64) -> f64 {
    let dof = whole(dof);
    if dof.is_infinite() {
        return with(&Normal::standard());
    }
    // Never refused: the degrees of freedom are at least one.
    StudentsT::new(0.0, 1.0, dof).map_or(f64::NAN, |t| with(&t))
}

/// The probability that a t-distributed value is at most `x`; NaN only if `x` is NaN.
pub fn t_cdf(x: f64, dof: f64) -> f64 {
    if x.is_nan() { x } else { distribution(dof, |d| d.cdf(x)) }
}

/// The value that a t-distributed one is at or below with `probability` (one-sided quantile).
///
/// A probability within 0.000 001 of zero or one, or beyond, is taken as that near to it; NaN gives NaN.
pub fn t_quantile(probability: f64, dof: f64) -> f64 {
    if probability.is_nan() {
        return probability;
    }
    // The upper half, where the inverse is at its best; the lower half is its mirror image.
    let upper = probability.max(1.0 - probability).min(1.0 - LEAST_TAIL);
    let t = distribution(dof, |d| d.inverse_cdf(upper));
    if probability < 0.5 { -t } else { t }
}

/// The factor k such that a t-distributed value is within -k and k with the probability `coverage`.
///
/// A coverage of zero or less gives zero; NaN gives NaN.
pub fn t_two_sided(coverage: f64, dof: f64) -> f64 {
    t_quantile(0.5 + coverage.max(0.0) / 2.0, dof)
}

/// [`t_two_sided`] for a coverage of 95 %, remembered for up to 1 024 degrees of freedom and for infinitely many.
pub fn t_two_sided_95(dof: f64) -> f64 {
    static KNOWN: [OnceLock<f64>; KEPT] = [const { OnceLock::new() }; KEPT];
    remembered(&KNOWN, 0.95, dof)
}

/// The factor below which a t-distributed value is with a probability of 95 % (one-sided), remembered alike.
pub fn t_one_sided_95(dof: f64) -> f64 {
    static KNOWN: [OnceLock<f64>; KEPT] = [const { OnceLock::new() }; KEPT];
    remembered(&KNOWN, 0.90, dof)
}

fn remembered(known: &[OnceLock<f64>], coverage: f64, dof: f64) -> f64 {
    // Place 0 keeps the normal distribution, which no whole number of degrees of freedom needs.
    let dof = whole(dof);
    let place = if dof.is_infinite() { 0 } else { dof as usize };
    match known.get(place) {
        Some(known) => *known.get_or_init(|| t_two_sided(coverage, dof)),
        None => t_two_sided(coverage, dof),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// JCGM 100:2008, table G.2, and NIST/SEMATECH 1.3.6.7.2 (published digits).
    #[test]
    fn the_published_table_of_t_at_95_percent() {
        let table = [
            (1.0, 12.706),
            (2.0, 4.303),
            (3.0, 3.182),
            (4.0, 2.776),
            (5.0, 2.571),
            (10.0, 2.228),
            (16.0, 2.120),
            (20.0, 2.086),
            (30.0, 2.042),
            (100.0, 1.984),
            (f64::INFINITY, 1.960),
        ];
        for (dof, t) in table {
            assert!((t_two_sided(0.95, dof) - t).abs() <= 0.000_5, "{dof}");
            assert!((t_quantile(0.975, dof) - t).abs() <= 0.000_5, "{dof}");
            assert!((t_quantile(0.025, dof) + t).abs() <= 0.000_5, "{dof}");
            // Once worked out and once remembered.
            assert_eq!(t_two_sided_95(dof), t_two_sided(0.95, dof), "{dof}");
            assert_eq!(t_two_sided_95(dof), t_two_sided(0.95, dof), "{dof}");
        }
    }

    /// JCGM 100:2008, H.1: 16.7 degrees of freedom are cut to 16, where t for 99 % is 2.92 (published digits).
    #[test]
    fn degrees_of_freedom_are_cut() {
        assert!((t_two_sided(0.99, 16.7) - 2.92).abs() <= 0.005);
        assert_eq!(t_two_sided(0.99, 16.7), t_two_sided(0.99, 16.0));
        let table = [
            (1.0, 1.0),
            (1.99, 1.0),
            (2.0 - 1e-12, 2.0),
            (16.7, 16.0),
            (16.0 - 1e-12, 16.0),
            (99_999.5, 99_999.0),
            (100_000.0, f64::INFINITY),
            (f64::INFINITY, f64::INFINITY),
            (0.5, 1.0),
            (0.0, 1.0),
            (-3.0, 1.0),
            (f64::NEG_INFINITY, 1.0),
            (f64::NAN, 1.0),
        ];
        for (dof, cut) in table {
            assert_eq!(whole(dof), cut, "{dof}");
        }
    }

    #[test]
    fn the_step_to_the_normal_distribution_is_small() {
        let (t, normal) = (t_two_sided_95(NORMAL_FROM - 1.0), t_two_sided_95(NORMAL_FROM));
        assert!(t > normal && t - normal < 0.000_03);
        // The 97.5 % point of the normal distribution, from any table of it.
        assert!((normal - 1.959_963_984_540_054).abs() < 1e-12);
    }

    #[test]
    fn odd_arguments_give_no_panic() {
        for dof in [f64::NAN, -1.0, 0.0, 1.0, 7.5, 1e9, f64::INFINITY] {
            assert_eq!(t_cdf(f64::INFINITY, dof), 1.0);
            assert_eq!(t_cdf(f64::NEG_INFINITY, dof), 0.0);
            assert_eq!(t_cdf(f64::MAX, dof), 1.0);
            assert!((t_cdf(0.0, dof) - 0.5).abs() < 1e-12);
            assert!(t_cdf(f64::NAN, dof).is_nan());
            assert!(t_quantile(f64::NAN, dof).is_nan());
            assert!(t_two_sided_95(dof).is_finite());
            for p in [f64::NEG_INFINITY, -1.0, 0.0, 1.0, 2.0, f64::INFINITY] {
                assert!(t_quantile(p, dof).is_finite() && t_two_sided(p, dof).is_finite());
                assert_eq!(t_quantile(p, dof) > 0.0, p > 0.5);
            }
            assert!(t_quantile(0.5, dof).abs() < 1e-6);
            assert!(t_two_sided(-1.0, dof).abs() < 1e-6);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn a_quantile_and_its_probability_belong_together(p in 0.000_01..0.999_99_f64, dof in 1.0..20_000.0_f64) {
            let t = t_quantile(p, dof);
            prop_assert!((t_cdf(t, dof) - p).abs() < 1e-6);
            prop_assert!((t_cdf(t, dof) + t_cdf(-t, dof) - 1.0).abs() < 1e-12);
        }

        #[test]
        fn more_degrees_of_freedom_never_widen_the_interval(a in 1.0..5_000.0_f64, b in 1.0..5_000.0_f64) {
            let (few, many) = (a.min(b), a.max(b));
            prop_assert!(t_two_sided_95(few) >= t_two_sided_95(many));
            prop_assert!(t_two_sided_95(many) > t_two_sided_95(f64::INFINITY));
        }
    }
}
