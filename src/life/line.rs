//! A straight line through uncertain observations: least squares, with the uncertainty of everything on it.
//!
//! The variance of an observation is u² + σ²: its own standard uncertainty, and a scatter common to all of
//! them that is estimated from how far they lie off the line (Paule and Mandel, 1982; not below nought). So a
//! surer observation counts more, none counts for everything because its uncertainty was stated boldly, and a
//! line whose points lie on it by luck is no surer than its points are. With equal uncertainties this is the
//! ordinary line; with none at all it is exactly ordinary least squares.
//!
//! Intervals are Student's with two degrees of freedom fewer than there are observations, also where the
//! stated uncertainties decide. A line through two points has none, and says so by giving `None`.
//!
//! `x` and `y` may be in any unit; variances are in the squares of them.

use crate::certainty::student::t_two_sided_95;

/// One observation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// Where: hours or years.
    pub x: f64,
    /// What was observed.
    pub y: f64,
    /// Standard uncertainty of `y`; nought if none is known.
    pub u: f64,
}

/// Why there is no line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NoLine {
    /// Fewer than two observations.
    TooFew,
    /// All of them at the same `x`.
    SameX,
    /// A number that is none.
    NotANumber,
}

/// A fitted line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// How many observations it goes through.
    pub n: usize,
    /// The change of `y` for one unit of `x`.
    pub slope: f64,
    /// Weighted mean of the observations' `x`.
    pub x_mean: f64,
    /// The line's value there.
    pub y_mean: f64,
    /// Standard deviation of a single observation about the line; nought with two observations and no
    /// uncertainties.
    pub scatter: f64,
    /// Variance of the line at `x_mean`.
    pub(super) mean_variance: f64,
    /// Variance of the slope.
    pub(super) slope_variance: f64,
    /// Degrees of freedom of both variances.
    pub(super) dof: usize,
}

/// Sums of a weighted fit.
struct Sums {
    weight: f64,
    x_mean: f64,
    y_mean: f64,
    xx: f64,
    slope: f64,
    /// Weighted sum of squared residuals.
    rest: f64,
}

fn sums(observations: &[Observation], weight: impl Fn(&Observation) -> f64) -> Sums {
    let sum =
        |of: &dyn Fn(&Observation) -> f64| -> f64 { observations.iter().map(|o| weight(o) * of(o)).sum() };
    let total = sum(&|_| 1.0);
    // About the first observation, so that a large offset costs no digits.
    let first = observations.first().map_or((0.0, 0.0), |o| (o.x, o.y));
    let x_mean = first.0 + sum(&|o| o.x - first.0) / total;
    let y_mean = first.1 + sum(&|o| o.y - first.1) / total;
    let xx = sum(&|o| (o.x - x_mean).powi(2));
    let slope = sum(&|o| (o.x - x_mean) * (o.y - y_mean)) / xx;
    let rest = sum(&|o| (o.y - y_mean - slope * (o.x - x_mean)).powi(2));
    Sums { weight: total, x_mean, y_mean, xx, slope, rest }
}

/// Fits a line.
///
/// # Errors
/// [`NoLine`] if there is none.
pub fn fit(observations: &[Observation]) -> Result<Line, NoLine> {
    let n = observations.len();
    if observations.iter().any(|o| !(o.x.is_finite() && o.y.is_finite() && o.u.is_finite())) {
        return Err(NoLine::NotANumber);
    }
    let (Some(first), true) = (observations.first(), n > 1) else { return Err(NoLine::TooFew) };
    if observations.iter().all(|o| o.x == first.x) {
        return Err(NoLine::SameX);
    }
    let dof = n as f64 - 2.0;
    let plain = sums(observations, |_| 1.0);
    let mean_square_u = observations.iter().map(|o| o.u * o.u).sum::<f64>() / n as f64;
    let residual = if dof > 0.0 { plain.rest / dof } else { 0.0 };
    let known = observations.iter().all(|o| o.u > 0.0);
    let equal = observations.iter().all(|o| o.u == first.u);
    let (sums, variance) = if known && !equal {
        let common = common_variance(observations, dof, residual);
        // Relative to the mean, so that the weights are of the order of one.
        let variance = mean_square_u + common;
        (sums(observations, |o| variance / (o.u * o.u + common)), variance)
    } else {
        (plain, residual.max(mean_square_u))
    };
    let line = Line {
        n,
        slope: sums.slope,
        x_mean: sums.x_mean,
        y_mean: sums.y_mean,
        scatter: variance.sqrt(),
        mean_variance: variance / sums.weight,
        slope_variance: variance / sums.xx,
        dof: n - 2,
    };
    let finite = [line.slope, line.x_mean, line.y_mean, line.mean_variance, line.slope_variance];
    if finite.iter().all(|v| v.is_finite()) { Ok(line) } else { Err(NoLine::NotANumber) }
}

/// The variance common to all observations: the one with which the weighted squares about the line come to
/// their degrees of freedom, nought if they fall short of them already.
fn common_variance(observations: &[Observation], dof: f64, residual: f64) -> f64 {
    let too_far = |common: f64| sums(observations, |o| 1.0 / (o.u * o.u + common)).rest > dof;
    if dof <= 0.0 || !too_far(0.0) {
        return 0.0;
    }
    // The squares fall as the variance grows, and at the unweighted residual variance they are small enough.
    let (mut low, mut high) = (0.0, residual);
    for _ in 0..100 {
        let middle = (low + high) / 2.0;
        if too_far(middle) {
            low = middle;
        } else {
            high = middle;
        }
        if high - low <= 1e-12 * high {
            break;
        }
    }
    high
}

impl Line {
    /// Degrees of freedom of its intervals; nought for a line through two points.
    pub fn dof(&self) -> usize {
        self.dof
    }

    fn sure(&self, variance: f64) -> Option<f64> {
        (self.dof() > 0).then(|| variance.sqrt())
    }

    /// The factor of a two-sided interval of 95 %; none for a line through two points.
    pub fn factor_95(&self) -> Option<f64> {
        (self.dof() > 0).then(|| t_two_sided_95(self.dof() as f64))
    }

    /// The line's value.
    pub fn at(&self, x: f64) -> f64 {
        self.y_mean + self.slope * (x - self.x_mean)
    }

    /// Variance of the line's value.
    pub(super) fn variance_at(&self, x: f64) -> f64 {
        self.mean_variance + self.slope_variance * (x - self.x_mean).powi(2)
    }

    /// Standard uncertainty of the line's value.
    pub fn u_at(&self, x: f64) -> Option<f64> {
        self.sure(self.variance_at(x))
    }

    /// Standard uncertainty of a further observation about the line.
    pub fn u_of_reading_at(&self, x: f64) -> Option<f64> {
        self.sure(self.variance_at(x) + self.scatter * self.scatter)
    }

    /// The band of 95 % about the line at `x`: for the line itself, or wider, for a further reading.
    pub fn band_95(&self, x: f64, of: Of) -> Option<(f64, f64)> {
        let u = match of {
            Of::Line => self.u_at(x)?,
            Of::Reading => self.u_of_reading_at(x)?,
        };
        let half = u * self.factor_95()?;
        Some((self.at(x) - half, self.at(x) + half))
    }

    /// Standard uncertainty of the slope.
    pub fn slope_u(&self) -> Option<f64> {
        self.sure(self.slope_variance)
    }

    /// The interval of 95 % of the slope.
    pub fn slope_interval_95(&self) -> Option<(f64, f64)> {
        let half = self.slope_u()? * self.factor_95()?;
        Some((self.slope - half, self.slope + half))
    }

    /// The correlation of the line's value at `x` with its slope.
    pub fn correlation_at(&self, x: f64) -> Option<f64> {
        let u = self.u_at(x)? * self.slope_u()?;
        (u > 0.0).then(|| (x - self.x_mean) * self.slope_variance / u)
    }
}

/// What an interval is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Of {
    /// The line: where the part truly is, if it wears steadily.
    Line,
    /// A further reading, which also scatters about the line.
    Reading,
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::prelude::*;

    use super::*;

    pub(in crate::life) fn plain(points: &[(f64, f64)]) -> Vec<Observation> {
        points.iter().map(|&(x, y)| Observation { x, y, u: 0.0 }).collect()
    }

    fn close(found: f64, certified: f64, relative: f64) {
        assert!((found / certified - 1.0).abs() < relative, "{found} is not {certified}");
    }

    /// NIST StRD, linear regression, data set Norris: certified values (published digits).
    #[test]
    fn norris() {
        #[rustfmt::skip]
        let data = [
            (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1),
            (666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3),
            (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8),
            (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
            (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9),
            (11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
        ];
        let line = fit(&plain(&data)).unwrap();
        close(line.at(0.0), -0.262_323_073_774_029, 1e-10);
        close(line.u_at(0.0).unwrap(), 0.232_818_234_301_152, 1e-10);
        close(line.slope, 1.002_116_818_020_45, 1e-12);
        close(line.slope_u().unwrap(), 0.000_429_796_848_199_937, 1e-10);
        close(line.scatter, 0.884_796_396_144_373, 1e-10);
        assert_eq!(line.dof(), 34);
    }

    /// JCGM 100:2008, H.3, table H.6: calibration of a thermometer (published digits), reference 20 °C.
    #[test]
    fn thermometer() {
        let data = [
            (21.521, -0.171),
            (22.012, -0.169),
            (22.512, -0.166),
            (23.003, -0.159),
            (23.507, -0.164),
            (23.999, -0.165),
            (24.513, -0.156),
            (25.002, -0.157),
            (25.503, -0.159),
            (26.010, -0.161),
            (26.511, -0.160),
        ];
        let line = fit(&plain(&data)).unwrap();
        let near = |found: f64, published: f64, half: f64| {
            assert!((found - published).abs() <= half, "{found} is not {published}");
        };
        near(line.at(20.0), -0.1712, 0.000_05);
        near(line.u_at(20.0).unwrap(), 0.0029, 0.000_05);
        near(line.slope, 0.002_18, 0.000_005);
        near(line.slope_u().unwrap(), 0.000_67, 0.000_005);
        near(line.correlation_at(20.0).unwrap(), -0.930, 0.0005);
        near(line.scatter, 0.0035, 0.000_05);
        near(line.at(30.0), -0.1494, 0.000_05);
        near(line.u_at(30.0).unwrap(), 0.0041, 0.000_05);
        assert_eq!(line.dof(), 9);
    }

    #[test]
    fn a_line_that_fits_by_luck_is_no_surer_than_its_points() {
        // Derived: equal uncertainties 0.002 at 0, 500, 1000 h; variance of the slope is u² / 500 000.
        let on_it: Vec<_> =
            [(0.0, 0.0), (500.0, 0.02), (1000.0, 0.04)].map(|(x, y)| Observation { x, y, u: 0.002 }).to_vec();
        let line = fit(&on_it).unwrap();
        close(line.slope, 4e-5, 1e-12);
        close(line.slope_u().unwrap(), 0.002 / 500_000_f64.sqrt(), 1e-12);
        // Points far off the line are as unsure as their scatter: the ordinary line.
        let data = [(0.0, 0.0), (500.0, 0.05), (1000.0, 0.04), (1500.0, 0.09)];
        let stated: Vec<_> = data.iter().map(|&(x, y)| Observation { x, y, u: 1e-5 }).collect();
        let (stated, ordinary) = (fit(&stated).unwrap(), fit(&plain(&data)).unwrap());
        assert_eq!(stated, ordinary);
    }

    #[test]
    fn known_uncertainties_weigh() {
        // Derived by hand with weights 1, 1 and 1/100: x̄ = 0.52/2.01 and so on; the third point hardly counts.
        let data =
            [(0.0, 0.0, 1.0), (0.5, 0.0, 1.0), (2.0, 3.0, 10.0)].map(|(x, y, u)| Observation { x, y, u });
        let line = fit(&data).unwrap();
        let x_mean: f64 = 0.52 / 2.01;
        let y_mean: f64 = 0.03 / 2.01;
        let xx = x_mean * x_mean + (0.5 - x_mean).powi(2) + 0.01 * (2.0 - x_mean).powi(2);
        let xy = x_mean * y_mean - (0.5 - x_mean) * y_mean + 0.01 * (2.0 - x_mean) * (3.0 - y_mean);
        close(line.x_mean, x_mean, 1e-12);
        close(line.slope, xy / xx, 1e-12);
        close(line.slope_u().unwrap(), 1.0 / xx.sqrt(), 1e-12);
        // With a scatter far beyond what is stated all points count alike.
        let far = [(0.0, 0.0, 1e-6), (1.0, 5.0, 2e-6), (2.0, -3.0, 1e-5), (3.0, 9.0, 1e-6)]
            .map(|(x, y, u)| Observation { x, y, u });
        let bare = fit(&plain(&far.map(|o| (o.x, o.y)))).unwrap();
        let line = fit(&far).unwrap();
        close(line.slope, bare.slope, 1e-6);
        close(line.slope_u().unwrap(), bare.slope_u().unwrap(), 1e-6);
    }

    #[test]
    fn what_makes_no_line() {
        assert_eq!(fit(&[]), Err(NoLine::TooFew));
        assert_eq!(fit(&plain(&[(1.0, 2.0)])), Err(NoLine::TooFew));
        assert_eq!(fit(&plain(&[(1.0, 2.0), (1.0, 3.0)])), Err(NoLine::SameX));
        assert_eq!(fit(&plain(&[(1.0, 2.0), (f64::NAN, 3.0)])), Err(NoLine::NotANumber));
        assert_eq!(fit(&plain(&[(1.0, 2.0), (2.0, f64::INFINITY)])), Err(NoLine::NotANumber));
        assert!(fit(&plain(&[(0.0, 1e300), (1e-300, -1e300)])).is_err());
        let two = fit(&plain(&[(0.0, 1.0), (2.0, 2.0)])).unwrap();
        assert_eq!((two.slope, two.at(4.0), two.slope_interval_95()), (0.5, 3.0, None));
        assert_eq!(
            (two.u_at(1.0), two.band_95(1.0, Of::Reading), two.correlation_at(0.0)),
            (None, None, None)
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn any_line_is_a_number(points in prop::collection::vec((0.0..1e4_f64, -1.0..1.0_f64, prop_oneof![Just(0.0), 1e-6..0.1_f64]), 2..8)) {
            let observations: Vec<_> = points.into_iter().map(|(x, y, u)| Observation { x, y, u }).collect();
            if let Ok(line) = fit(&observations) {
                prop_assert!(line.slope.is_finite() && line.scatter.is_finite());
                let least = observations.iter().map(|o| o.u).fold(f64::INFINITY, f64::min);
                prop_assert!(line.scatter >= least * (1.0 - 1e-9));
                if let (Some(inner), Some(outer)) = (line.band_95(500.0, Of::Line), line.band_95(500.0, Of::Reading)) {
                    prop_assert!(outer.0 <= inner.0 && inner.1 <= outer.1);
                }
            }
        }
    }
}
