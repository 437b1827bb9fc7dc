//! How the true value is spread about a result, in standard uncertainties: the shape that turns a standard
//! uncertainty into an interval.
//!
//! Student's t-distribution holds where many inputs come together (JCGM 100:2008, G.6.6). Where one input that is
//! rectangular outweighs all others the result is nearly rectangular, and where two do it is a trapezoid (EA-4/02,
//! S9.14 and S10.13): such a result cannot lie as far out as Student's t has it.

use super::student::{t_cdf, t_one_sided_95, t_two_sided, t_two_sided_95};

/// The shape of a result's distribution, whose standard deviation is 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Student's t with so many degrees of freedom; normal where they are infinite.
    Student {
        /// Effective degrees of freedom, at least 1.
        dof: f64,
    },
    /// Two rectangles added: even in the middle, falling in straight lines to its ends.
    Trapezoid {
        /// Its top side over its base: 1 is a rectangle, 0 a triangle (two equal rectangles).
        edge_ratio: f64,
    },
}

impl From<f64> for Spread {
    fn from(dof: f64) -> Self {
        Self::Student { dof }
    }
}

impl Spread {
    /// What shape it is, where that is not Student's t.
    pub fn outweighed_words(self) -> Option<&'static str> {
        match self {
            Self::Student { .. } => None,
            Self::Trapezoid { edge_ratio } if edge_ratio > 0.999 => {
                Some("one source outweighs the rest: rectangular")
            }
            Self::Trapezoid { edge_ratio } if edge_ratio < 0.001 => {
                Some("two equal sources outweigh the rest: triangular")
            }
            Self::Trapezoid { .. } => Some("two sources outweigh the rest: trapezoidal"),
        }
    }

    /// The probability of a value at or below `z`; NaN only if `z` is NaN.
    pub fn cdf(self, z: f64) -> f64 {
        match self {
            Self::Student { dof } => t_cdf(z, dof),
            Self::Trapezoid { edge_ratio } => 0.5 + within(z.abs(), edge_ratio).copysign(z) / 2.0,
        }
    }

    /// The factor k such that a value is within -k and k with the probability `coverage`, 0 to 1.
    pub fn two_sided(self, coverage: f64) -> f64 {
        match self {
            Self::Student { dof } => t_two_sided(coverage, dof),
            Self::Trapezoid { edge_ratio } => factor(coverage.clamp(0.0, 1.0), edge_ratio),
        }
    }

    /// [`Spread::two_sided`] for 95 %; quick enough for every figure of every cylinder.
    pub fn two_sided_95(self) -> f64 {
        match self {
            Self::Student { dof } => t_two_sided_95(dof),
            Self::Trapezoid { .. } => self.two_sided(0.95),
        }
    }

    /// The factor below which a value is with a probability of 95 % (one-sided).
    pub fn one_sided_95(self) -> f64 {
        match self {
            Self::Student { dof } => t_one_sided_95(dof),
            Self::Trapezoid { .. } => self.two_sided(0.90),
        }
    }
}

/// Half the base of a trapezoid whose standard deviation is 1: u = a sqrt((1 + β²) / 6) (EA-4/02, S10.13).
fn half_base(edge_ratio: f64) -> f64 {
    (6.0 / (1.0 + edge_ratio * edge_ratio)).sqrt()
}

/// The probability of being within `z` of the middle of a trapezoid: the area under its top, then what its sides cut
/// off.
fn within(z: f64, edge_ratio: f64) -> f64 {
    let base = half_base(edge_ratio);
    if z >= base {
        1.0
    } else if z <= edge_ratio * base {
        2.0 * z / (base * (1.0 + edge_ratio))
    } else {
        1.0 - (1.0 - z / base).powi(2) / (1.0 - edge_ratio * edge_ratio)
    }
}

/// The other way round: EA-4/02, S10.13 on the sides, p (1 + β) / 2 of the half base under the top.
fn factor(p: f64, edge_ratio: f64) -> f64 {
    let under_the_top = p * (1.0 + edge_ratio) / 2.0;
    let of_base = if under_the_top <= edge_ratio {
        under_the_top
    } else {
        1.0 - ((1.0 - p) * (1.0 - edge_ratio * edge_ratio)).sqrt()
    };
    of_base * half_base(edge_ratio)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// EA-4/02, S9.14 and S10.13 (published digits): 1.65 for a rectangle, 1.83 for a trapezoid with an edge ratio of
    /// 0.333, both for 95 %. A triangle: 1.902 (derived from the same formula).
    #[test]
    fn published_factors() {
        for (edge_ratio, k) in [(1.0, 1.65), (1.0 / 3.0, 1.83), (0.0, 1.902)] {
            assert!((Spread::Trapezoid { edge_ratio }.two_sided_95() - k).abs() <= 0.005, "{edge_ratio}");
        }
    }

    #[test]
    fn student_is_the_default() {
        let t = Spread::from(4.0);
        assert_eq!((t.two_sided_95(), t.two_sided(0.95)), (t_two_sided_95(4.0), t_two_sided_95(4.0)));
        assert_eq!((t.one_sided_95(), t.cdf(1.0)), (t_one_sided_95(4.0), t_cdf(1.0, 4.0)));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn factor_and_probability_undo_each_other(edge_ratio in 0.0..=1.0_f64, p in 0.001..0.999_f64) {
            let spread = Spread::Trapezoid { edge_ratio };
            let k = spread.two_sided(p);
            prop_assert!((spread.cdf(k) - spread.cdf(-k) - p).abs() < 1e-9);
            prop_assert!(k <= half_base(edge_ratio) && spread.two_sided(1.0) == half_base(edge_ratio));
            prop_assert!((spread.cdf(spread.one_sided_95()) - 0.95).abs() < 1e-9);
        }

        /// The variance by adding up thin slices.
        #[test]
        fn its_standard_deviation_is_one(edge_ratio in 0.0..=1.0_f64) {
            let spread = Spread::Trapezoid { edge_ratio };
            let (n, base) = (4000, half_base(edge_ratio));
            let slice = |i: i32| {
                let (from, to) = (base * f64::from(i) / f64::from(n), base * f64::from(i + 1) / f64::from(n));
                2.0 * ((from + to) / 2.0).powi(2) * (spread.cdf(to) - spread.cdf(from))
            };
            let variance: f64 = (0..n).map(slice).sum();
            prop_assert!((variance - 1.0).abs() < 1e-5, "{variance}");
        }
    }
}
