//! A straight line through uncertain observations, with the uncertainty of everything on it.
//!
//! What is known of a line is its level and its slope, with their variances. How lines are fitted is in
//! [`super::lines`]. `x` and `y` may be in any unit; variances are in the squares of them.

use super::figure::Parts;
use figures::certainty::student::t_two_sided_95;

/// One observation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// Where: hours or years.
    pub x: f64,
    /// What was observed.
    pub y: f64,
    /// Its standard uncertainty by what it is common to; all zero if none is known.
    pub u: Parts,
    /// Which survey it is of: equal for those that share what a survey has in common.
    pub survey: usize,
    /// Which setting standard it is by, where it is by one.
    pub standard: Option<usize>,
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
pub struct FittedLine {
    /// How many observations it goes through.
    pub n: usize,
    /// The change of `y` for one unit of `x`.
    pub slope: f64,
    /// Where the line's value and its slope do not depend on each other: the mean of the `x` for an ordinary line.
    pub x_mean: f64,
    /// The line's value there.
    pub y_mean: f64,
    /// Standard deviation of a single observation about the line.
    pub scatter: f64,
    /// Variance of the line at `x_mean`.
    pub(super) mean_variance: f64,
    /// Variance of the slope.
    pub(super) slope_variance: f64,
    /// Degrees of freedom of the line's value.
    pub(super) dof: f64,
    /// Degrees of freedom of the slope.
    pub(super) slope_dof: f64,
}

impl FittedLine {
    /// Degrees of freedom of the line's value, as of the last observation; zero where there is no interval.
    pub fn dof(&self) -> f64 {
        self.dof
    }

    /// Degrees of freedom of its slope; zero where there is no interval.
    pub fn slope_dof(&self) -> f64 {
        self.slope_dof
    }

    /// The factor of a two-sided interval of 95 % of the line's value; none without degrees of freedom.
    pub fn factor_95(&self) -> Option<f64> {
        (self.dof > 0.0).then(|| t_two_sided_95(self.dof))
    }

    /// The line's value.
    pub fn at(&self, x: f64) -> f64 {
        self.y_mean + self.slope * (x - self.x_mean)
    }

    /// Variance of the line's value.
    fn variance_at(&self, x: f64) -> f64 {
        self.mean_variance + self.slope_variance * (x - self.x_mean).powi(2)
    }

    /// Standard uncertainty of the line's value, or of a further observation about the line.
    pub fn u_at(&self, x: f64, of: Of) -> Option<f64> {
        let scatter = match of {
            Of::Line => 0.0,
            Of::Reading => self.scatter * self.scatter,
        };
        (self.dof > 0.0).then(|| (self.variance_at(x) + scatter).sqrt())
    }

    /// The band of 95 % about the line at `x`: for the line itself, or wider, for a further reading.
    pub fn band_95(&self, x: f64, of: Of) -> Option<(f64, f64)> {
        let half = self.u_at(x, of)? * self.factor_95()?;
        Some((self.at(x) - half, self.at(x) + half))
    }

    /// Standard uncertainty of the slope.
    pub fn slope_u(&self) -> Option<f64> {
        (self.slope_dof > 0.0).then(|| self.slope_variance.sqrt())
    }

    /// The interval of 95 % of the slope.
    pub fn slope_interval_95(&self) -> Option<(f64, f64)> {
        let half = self.slope_u()? * t_two_sided_95(self.slope_dof);
        Some((self.slope - half, self.slope + half))
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
