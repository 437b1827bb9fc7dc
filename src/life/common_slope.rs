//! One wear rate for all cylinders of an engine, and whether one of them has a rate of its own.
//!
//! Each cylinder keeps its own intercept, all share the slope (analysis of covariance). An F test compares
//! that with a slope for each; then each cylinder's slope is set against the common slope of the others, with
//! the level divided by the number of cylinders (Bonferroni), so that one of many does not stand out by luck.
//! The scatter is never taken as smaller than the stated uncertainty of the observations.
//!
//! `x` and `y` may be in any unit.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::line::{Line, Observation};
use crate::certainty::moments;
use crate::certainty::student::{t_cdf, t_two_sided_95};

/// The level of the tests: how often one is to stand out by luck alone.
pub const SIGNIFICANCE: f64 = 0.05;

/// The slope of one group against that of all others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Against {
    /// The group's own slope.
    pub slope: f64,
    /// The common slope of the others.
    pub others: f64,
    /// The difference in standard uncertainties.
    pub t: f64,
    /// The chance of so large a difference by luck, times the number of groups; at most 1.
    pub p: f64,
}

/// A common slope.
#[derive(Clone, Debug, PartialEq)]
pub struct CommonSlope {
    /// How many groups.
    pub groups: usize,
    /// How many observations in all.
    pub n: usize,
    /// The common slope.
    pub slope: f64,
    /// Its interval of 95 %.
    pub interval_95: (f64, f64),
    /// Whether the slopes differ; none if the observations are too few to tell.
    pub test: Option<SlopeTest>,
    /// Variance of a single observation about its group's line.
    variance: f64,
    /// Variance of the slope.
    slope_variance: f64,
    /// Degrees of freedom of both.
    dof: usize,
}

impl CommonSlope {
    /// The line of a group that shares the slope and keeps its own intercept; none without observations.
    pub fn line(&self, observations: &[Observation]) -> Option<Line> {
        let n = observations.len();
        let mean = |of: &dyn Fn(&Observation) -> f64| {
            moments::mean(&observations.iter().map(of).collect::<Vec<f64>>())
        };
        Some(Line {
            n,
            slope: self.slope,
            x_mean: mean(&|o| o.x)?,
            y_mean: mean(&|o| o.y)?,
            scatter: self.variance.sqrt(),
            mean_variance: self.variance / n as f64,
            slope_variance: self.slope_variance,
            dof: self.dof,
        })
    }
}

/// The test of equal slopes.
#[derive(Clone, Debug, PartialEq)]
pub struct SlopeTest {
    /// Its statistic.
    pub f: f64,
    /// Its degrees of freedom: of the slopes, and of the scatter.
    pub dof: (usize, usize),
    /// The chance of so large a statistic if all slopes are equal.
    pub p: f64,
    /// Each group against the others, in the order of the groups.
    pub each: Vec<Against>,
}

impl SlopeTest {
    /// Do the slopes differ, at [`SIGNIFICANCE`]?
    pub fn differ(&self) -> bool {
        self.p < SIGNIFICANCE
    }

    /// The group whose slope stands out most, if it does at [`SIGNIFICANCE`].
    pub fn odd_one(&self) -> Option<(usize, Against)> {
        let least = self.each.iter().copied().enumerate().min_by(|a, b| a.1.p.total_cmp(&b.1.p))?;
        (least.1.p < SIGNIFICANCE).then_some(least)
    }
}

/// The chance that an F-distributed value is at least `f`.
pub fn f_upper_tail(f: f64, dof: (usize, usize)) -> f64 {
    if f.is_nan() {
        return 1.0;
    }
    match FisherSnedecor::new(dof.0 as f64, dof.1 as f64) {
        Ok(distribution) => distribution.sf(f.max(0.0)),
        Err(_) => 1.0,
    }
}

/// Sums of squares and products of one group about its means.
#[derive(Clone, Copy)]
struct Group {
    xx: f64,
    xy: f64,
    yy: f64,
}

fn group(observations: &[Observation]) -> Option<Group> {
    let n = observations.len() as f64;
    let first = observations.first()?;
    let x_mean = first.x + observations.iter().map(|o| o.x - first.x).sum::<f64>() / n;
    let y_mean = first.y + observations.iter().map(|o| o.y - first.y).sum::<f64>() / n;
    let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
        observations.iter().map(|o| of(o.x - x_mean, o.y - y_mean)).sum()
    };
    let group = Group { xx: sum(&|x, _| x * x), xy: sum(&|x, y| x * y), yy: sum(&|_, y| y * y) };
    (group.xx > 0.0 && group.xx.is_finite() && group.xy.is_finite() && group.yy.is_finite()).then_some(group)
}

/// Fits a common slope; none below two groups, or if the observations of a group have no spread in `x`.
pub fn fit(groups: &[Vec<Observation>]) -> Option<CommonSlope> {
    let sums: Vec<Group> = groups.iter().map(|observations| group(observations)).collect::<Option<_>>()?;
    let (k, n) = (groups.len(), groups.iter().map(Vec::len).sum::<usize>());
    if k < 2 || n < k + 2 {
        return None;
    }
    let total = |of: &dyn Fn(&Group) -> f64| -> f64 { sums.iter().map(of).sum() };
    let (xx, xy, yy) = (total(&|g| g.xx), total(&|g| g.xy), total(&|g| g.yy));
    let slope = xy / xx;
    let rest_common = (yy - slope * xy).max(0.0);
    let rest_separate = total(&|g| (g.yy - g.xy * g.xy / g.xx).max(0.0));
    let stated = groups.iter().flatten().map(|o| o.u * o.u).sum::<f64>() / n as f64;

    let dof = n - k - 1;
    let variance = (rest_common / dof as f64).max(stated);
    let slope_variance = variance / xx;
    let half = t_two_sided_95(dof as f64) * slope_variance.sqrt();
    let test = (n > 2 * k).then(|| {
        let dof = (k - 1, n - 2 * k);
        let scatter = (rest_separate / dof.1 as f64).max(stated);
        let between = (rest_common - rest_separate).max(0.0) / dof.0 as f64;
        let f = if scatter > 0.0 { between / scatter } else { 0.0 };
        let each = sums
            .iter()
            .map(|group| {
                let (own, others) = (group.xy / group.xx, (xy - group.xy) / (xx - group.xx));
                let u = (scatter * (1.0 / group.xx + 1.0 / (xx - group.xx))).sqrt();
                let t = if u > 0.0 { (own - others) / u } else { 0.0 };
                let p = (2.0 * t_cdf(-t.abs(), dof.1 as f64) * k as f64).min(1.0);
                Against { slope: own, others, t, p }
            })
            .collect();
        SlopeTest { f, dof, p: f_upper_tail(f, dof), each }
    });
    let common = CommonSlope {
        groups: k,
        n,
        slope,
        interval_95: (slope - half, slope + half),
        test,
        variance,
        slope_variance,
        dof,
    };
    common.slope.is_finite().then_some(common)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::life::line;
    use crate::life::line::tests::plain;

    /// NIST/SEMATECH e-Handbook 1.3.6.7.3: upper critical values of the F distribution at 5 % (published digits).
    #[test]
    fn the_published_table_of_f() {
        for (dof, f) in
            [((1, 1), 161.448), ((1, 10), 4.965), ((2, 10), 4.103), ((5, 24), 2.621), ((10, 100), 1.927)]
        {
            assert!((f_upper_tail(f, dof) - 0.05).abs() < 0.000_05, "{dof:?}");
        }
        assert_eq!(f_upper_tail(0.0, (2, 10)), 1.0);
        assert_eq!(f_upper_tail(f64::NAN, (2, 10)), 1.0);
        assert_eq!(f_upper_tail(1.0, (0, 10)), 1.0);
    }

    /// Derived: with one group's points twice, the common slope is that group's own, and no slope differs.
    #[test]
    fn equal_groups() {
        let points = [(0.0, 0.0), (500.0, 0.021), (1000.0, 0.038), (1500.0, 0.062), (2000.0, 0.079)];
        let higher = points.map(|(x, y)| (x + 70.0, y + 3.0));
        let common = fit(&[plain(&points), plain(&higher)]).unwrap();
        let own = line::fit(&plain(&points)).unwrap();
        assert!((common.slope / own.slope - 1.0).abs() < 1e-12);
        let test = common.test.unwrap();
        assert!(test.f < 1e-9 && test.p > 0.999 && !test.differ() && test.odd_one().is_none());
        assert_eq!(test.dof, (1, 6));
        // Derived: the line of a group has the common slope's uncertainty and its own intercept.
        let line = fit(&[plain(&points), plain(&higher)]).unwrap().line(&plain(&higher)).unwrap();
        assert_eq!((line.n, line.dof()), (5, 7));
        let residual = own.scatter * own.scatter * 3.0 * 2.0 / 7.0;
        assert!((line.slope_u().unwrap() / (residual / 5_000_000.0).sqrt() - 1.0).abs() < 1e-9);
        assert!((line.at(1070.0) - 3.04).abs() < 1e-12);
    }

    /// Derived: for two groups the F test of equal slopes is the square of the t test of their difference.
    #[test]
    fn two_groups_are_a_t_test() {
        let a = [(0.0, 0.1), (1.0, 1.2), (2.0, 1.9), (3.0, 3.2)];
        let b = [(0.0, 0.0), (1.0, 0.4), (2.0, 1.3), (3.0, 1.4), (4.0, 2.2)];
        let common = fit(&[plain(&a), plain(&b)]).unwrap();
        let (own, other) = (line::fit(&plain(&a)).unwrap(), line::fit(&plain(&b)).unwrap());
        let pooled = (own.scatter.powi(2) * 2.0 + other.scatter.powi(2) * 3.0) / 5.0;
        let t = (own.slope - other.slope) / (pooled * (1.0 / 5.0 + 1.0 / 10.0)).sqrt();
        let test = common.test.unwrap();
        assert!((test.f - t * t).abs() < 1e-9 && (test.each[0].t - t).abs() < 1e-9);
        assert!((test.each[0].p - 2.0 * test.p).abs() < 1e-9, "twice: Bonferroni");
        assert_eq!(test.each[0].t, -test.each[1].t);
        // The common slope lies between, weighted by the spread in x.
        assert!((common.slope - (own.slope * 5.0 + other.slope * 10.0) / 15.0).abs() < 1e-12);
    }

    #[test]
    fn the_fast_one_is_named_and_luck_is_not() {
        let scatter = [0.001, -0.0006, 0.0002, -0.0008, 0.0009, -0.0007];
        let cylinder = |rate: f64, turn: usize| -> Vec<Observation> {
            (0..6)
                .map(|i| Observation {
                    x: 700.0 * i as f64,
                    y: rate * 700.0 * i as f64 + scatter[(i + turn) % 6],
                    u: 0.0005,
                })
                .collect()
        };
        let mut engine: Vec<_> = (0..6).map(|i| cylinder(3e-5, i)).collect();
        let calm = fit(&engine).unwrap().test.unwrap();
        assert!(!calm.differ() && calm.odd_one().is_none());
        engine[4] = cylinder(4.5e-5, 4);
        let test = fit(&engine).unwrap().test.unwrap();
        assert!(test.differ());
        let (index, against) = test.odd_one().unwrap();
        assert_eq!(index, 4);
        assert!((against.slope - 4.5e-5).abs() < 2e-6 && (against.others - 3e-5).abs() < 1e-6);
        // A gauge that can hardly tell makes nobody stand out.
        for observation in engine.iter_mut().flatten() {
            observation.u = 0.05;
        }
        assert!(!fit(&engine).unwrap().test.unwrap().differ());
    }

    #[test]
    fn too_few_to_tell() {
        let two = plain(&[(0.0, 0.0), (1.0, 1.0)]);
        assert_eq!(fit(&[]), None);
        assert_eq!(fit(std::slice::from_ref(&two)), None);
        let pair = fit(&[two.clone(), plain(&[(0.0, 0.0), (1.0, 3.0)])]).unwrap();
        assert_eq!((pair.slope, pair.test), (2.0, None));
        assert_eq!(fit(&[two.clone(), plain(&[(1.0, 0.0), (1.0, 3.0)])]), None);
        assert_eq!(fit(&[two, plain(&[(1.0, f64::NAN), (2.0, 3.0), (4.0, 3.0)])]), None);
    }
}
