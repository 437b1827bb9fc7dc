//! Two groups of values, or one group of differences: how far apart, with an interval.
//!
//! Welch's method for two groups of unequal scatter, Student's for paired differences. Values may be in any unit.

use figures::certainty::student::t_two_sided;
use quantities::moments::{mean, standard_deviation};

/// A difference and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// The difference of the means.
    pub difference: f64,
    /// Its interval of 95 %.
    pub interval_95: (f64, f64),
    /// How many values on each side; the same twice for paired ones.
    pub n: (usize, usize),
}

impl Difference {
    /// Is it surely not zero?
    pub fn is_sure(&self) -> bool {
        self.interval_95.0 > 0.0 || self.interval_95.1 < 0.0
    }

    fn of(difference: f64, u: f64, dof: f64, n: (usize, usize)) -> Option<Self> {
        let half = t_two_sided(0.95, dof) * u;
        (difference + half).is_finite().then_some(Self {
            difference,
            interval_95: (difference - half, difference + half),
            n,
        })
    }
}

/// Mean of paired differences; none below two of them.
pub fn paired(differences: &[f64]) -> Option<Difference> {
    let n = differences.len();
    let u = standard_deviation(differences)? / (n as f64).sqrt();
    Difference::of(mean(differences)?, u, n as f64 - 1.0, (n, n))
}

/// Mean of the first group minus that of the second; none below two values on either side.
pub fn two_groups(a: &[f64], b: &[f64]) -> Option<Difference> {
    let variance = |group: &[f64]| standard_deviation(group).map(|s| s * s / group.len() as f64);
    let (va, vb) = (variance(a)?, variance(b)?);
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let sum = va + vb;
    // Equal values on both sides have no scatter to tell the degrees of freedom by; the fewest then.
    let dof =
        if sum > 0.0 { sum * sum / (va * va / (na - 1.0) + vb * vb / (nb - 1.0)) } else { na.min(nb) - 1.0 };
    Difference::of(mean(a)? - mean(b)?, sum.sqrt(), dof, (a.len(), b.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived by hand: differences 1, 2, 3 have mean 2, deviation 1, and t for 2 degrees of freedom is 4.303
    /// (JCGM 100:2008, table G.2, published digits).
    #[test]
    fn paired_differences() {
        let found = paired(&[1.0, 2.0, 3.0]).unwrap();
        assert_eq!((found.difference, found.n), (2.0, (3, 3)));
        assert!((found.interval_95.1 - (2.0 + 4.303 / 3_f64.sqrt())).abs() < 0.001);
        assert!(!found.is_sure());
        assert!(paired(&[2.0, 2.1, 1.9, 2.0]).unwrap().is_sure());
        assert_eq!(paired(&[1.0]), None);
        assert_eq!(paired(&[1.0, f64::NAN]), None);
    }

    /// Derived by hand: variances 1 and 4, three values each: u² = 5/3, Welch's 2.94 degrees of freedom cut to 2.
    #[test]
    fn two_groups_of_unequal_scatter() {
        let found = two_groups(&[11.0, 12.0, 13.0], &[0.0, 2.0, 4.0]).unwrap();
        assert!((found.difference - 10.0).abs() < 1e-12);
        assert!((found.interval_95.0 - (10.0 - 4.303 * (5.0_f64 / 3.0).sqrt())).abs() < 0.001);
        assert!(found.is_sure());
        assert_eq!(two_groups(&[1.0], &[1.0, 2.0]), None);
        let same = two_groups(&[1.0, 1.0], &[1.0, 1.0]).unwrap();
        assert_eq!((same.difference, same.is_sure()), (0.0, false));
    }
}
