//! Means and standard deviations of floats, and the deviation pooled from several groups of repeats.
//!
//! Values may be in any unit; results are in the same. Sums are taken about the first value and then about the
//! mean, so that a spread of a micrometre on a bore of a metre keeps its digits.

/// How many values there are, their mean, and the sum of their squared deviations from it.
fn count_mean_squares(values: impl Iterator<Item = f64> + Clone) -> Option<(f64, f64, f64)> {
    let first = values.clone().next()?;
    let (n, sum) = values.clone().fold((0.0, 0.0), |(n, sum), v| (n + 1.0, sum + (v - first)));
    let mean = first + sum / n;
    // What rounding left in the mean would count `n` times; it is taken out again.
    let (left, squares) = values.map(|v| v - mean).fold((0.0, 0.0), |(l, s), d| (l + d, s + d * d));
    let squares = squares - left * left / n;
    Some((n, mean, if squares < 0.0 { 0.0 } else { squares }))
}

/// The mean; `None` if there are no values or it is not finite.
pub fn mean(values: &[f64]) -> Option<f64> {
    count_mean_squares(values.iter().copied()).map(|(_, mean, _)| mean).filter(|mean| mean.is_finite())
}

/// The sample standard deviation (divisor n - 1); `None` below two values or if it is not finite.
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    let mut pooled = Pooled::default();
    pooled.add(values.iter().copied());
    pooled.finish().map(|(s, _)| s)
}

/// Gathers groups of repeats into the standard deviation of one value.
///
/// ```
/// let mut pooled = quantities::moments::Pooled::default();
/// pooled.add([1.0, 3.0].into_iter());
/// pooled.add([10.0, 12.0].into_iter());
/// pooled.add([7.0].into_iter());
/// assert_eq!(pooled.finish(), Some((2.0_f64.sqrt(), 2.0)));
/// ```
#[derive(Clone, Copy, Debug, Default)]
pub struct Pooled {
    squares: f64,
    dof: f64,
}

impl Pooled {
    /// Adds a group, which has its own mean; fewer than two values say nothing and are passed over.
    pub fn add(&mut self, group: impl Iterator<Item = f64> + Clone) {
        if let Some((n, _, squares)) = count_mean_squares(group)
            && n > 1.0
        {
            self.squares += squares;
            self.dof += n - 1.0;
        }
    }

    /// The standard deviation of a single value and its degrees of freedom; `None` if no group had two values
    /// or if the deviation is not finite.
    pub fn finish(self) -> Option<(f64, f64)> {
        let s = (self.squares / self.dof).sqrt();
        s.is_finite().then_some((s, self.dof))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// NIST StRD, univariate summary statistics, data set Lew (beam deflections, H. S. Lew).
    #[rustfmt::skip]
    const LEW: [f64; 200] = [
        -213.0, -564.0, -35.0, -15.0, 141.0, 115.0, -420.0, -360.0, 203.0, -338.0,
        -431.0, 194.0, -220.0, -513.0, 154.0, -125.0, -559.0, 92.0, -21.0, -579.0,
        -52.0, 99.0, -543.0, -175.0, 162.0, -457.0, -346.0, 204.0, -300.0, -474.0,
        164.0, -107.0, -572.0, -8.0, 83.0, -541.0, -224.0, 180.0, -420.0, -374.0,
        201.0, -236.0, -531.0, 83.0, 27.0, -564.0, -112.0, 131.0, -507.0, -254.0,
        199.0, -311.0, -495.0, 143.0, -46.0, -579.0, -90.0, 136.0, -472.0, -338.0,
        202.0, -287.0, -477.0, 169.0, -124.0, -568.0, 17.0, 48.0, -568.0, -135.0,
        162.0, -430.0, -422.0, 172.0, -74.0, -577.0, -13.0, 92.0, -534.0, -243.0,
        194.0, -355.0, -465.0, 156.0, -81.0, -578.0, -64.0, 139.0, -449.0, -384.0,
        193.0, -198.0, -538.0, 110.0, -44.0, -577.0, -6.0, 66.0, -552.0, -164.0,
        161.0, -460.0, -344.0, 205.0, -281.0, -504.0, 134.0, -28.0, -576.0, -118.0,
        156.0, -437.0, -381.0, 200.0, -220.0, -540.0, 83.0, 11.0, -568.0, -160.0,
        172.0, -414.0, -408.0, 188.0, -125.0, -572.0, -32.0, 139.0, -492.0, -321.0,
        205.0, -262.0, -504.0, 142.0, -83.0, -574.0, 0.0, 48.0, -571.0, -106.0,
        137.0, -501.0, -266.0, 190.0, -391.0, -406.0, 194.0, -186.0, -553.0, 83.0,
        -13.0, -577.0, -49.0, 103.0, -515.0, -280.0, 201.0, 300.0, -506.0, 131.0,
        -45.0, -578.0, -80.0, 138.0, -462.0, -361.0, 201.0, -211.0, -554.0, 32.0,
        74.0, -533.0, -235.0, 187.0, -372.0, -442.0, 182.0, -147.0, -566.0, 25.0,
        68.0, -535.0, -244.0, 194.0, -351.0, -463.0, 174.0, -125.0, -570.0, 15.0,
        72.0, -550.0, -190.0, 172.0, -424.0, -385.0, 198.0, -218.0, -536.0, 96.0,
    ];

    /// NIST StRD Lew: certified mean -177.435 and standard deviation 277.332168044316.
    #[test]
    fn certified_mean_and_deviation() {
        assert!((mean(&LEW).unwrap() + 177.435).abs() < 1e-11);
        assert!((standard_deviation(&LEW).unwrap() / 277.332_168_044_316 - 1.0).abs() < 1e-14);
        // A large offset costs no digits: the same deflections on a part ten metres long.
        let moved: Vec<f64> = LEW.iter().map(|v| v + 1e7).collect();
        assert!((standard_deviation(&moved).unwrap() / 277.332_168_044_316 - 1.0).abs() < 1e-13);
    }

    fn pooled(groups: &[&[f64]]) -> Option<(f64, f64)> {
        let mut pooled = Pooled::default();
        for group in groups {
            pooled.add(group.iter().copied());
        }
        pooled.finish()
    }

    #[test]
    fn pooled_is_the_root_mean_square_weighted_by_degrees_of_freedom() {
        // Derived by hand: squares 2, 2 and 2 about the means 2, 11 and 1, with 1, 1 and 2 degrees of freedom.
        let groups = [&[1.0, 3.0][..], &[10.0, 12.0], &[0.0, 1.0, 2.0], &[7.0], &[]];
        let (s, dof) = pooled(&groups).unwrap();
        assert!((s - 1.5_f64.sqrt()).abs() < 1e-15);
        assert_eq!(dof, 4.0);
        // One group alone is its own standard deviation.
        let (s, dof) = pooled(&[&LEW[..]]).unwrap();
        assert_eq!((Some(s), dof), (standard_deviation(&LEW), 199.0));
        // Equal repeats have no spread at all, whatever their mean rounds to.
        assert_eq!(pooled(&[&[0.1; 7][..], &[5.127; 3]]), Some((0.0, 8.0)));
    }

    #[test]
    fn what_cannot_be_told_is_none() {
        assert_eq!(mean(&[]), None);
        assert_eq!(mean(&[1.0, f64::NAN]), None);
        assert_eq!(mean(&[f64::INFINITY]), None);
        assert_eq!(standard_deviation(&[]), None);
        assert_eq!(standard_deviation(&[1.0]), None);
        assert_eq!(standard_deviation(&[1.0, f64::INFINITY]), None);
        assert_eq!(standard_deviation(&[1e200, -1e200]), None);
        assert_eq!(pooled(&[]), None);
        assert_eq!(pooled(&[&[1.0][..], &[2.0]]), None);
        assert_eq!(pooled(&[&[1.0, 2.0][..], &[f64::NAN, 1.0]]), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn groups_may_come_in_any_order(groups in prop::collection::vec(prop::collection::vec(-1.0..1.0_f64, 0..6), 0..6)) {
            let mut groups: Vec<&[f64]> = groups.iter().map(Vec::as_slice).collect();
            let forwards = pooled(&groups);
            groups.reverse();
            let backwards = pooled(&groups);
            match (forwards, backwards) {
                (Some((a, n)), Some((b, m))) => {
                    prop_assert_eq!(n, m);
                    prop_assert!((a - b).abs() <= 1e-14);
                    prop_assert!((0.0..=2.0).contains(&a));
                }
                (a, b) => prop_assert_eq!(a, b),
            }
        }
    }
}
