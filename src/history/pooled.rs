//! Two estimates of one variance pooled: what a budget of uncertainty states, and how far observations lie off.
//!
//! A budget is an estimate as well: its uncertainty is known to about a third of itself, which is worth some
//! four degrees of freedom (JCGM 100:2008, G.4.2). With nu0 of these, and squares over the stated variance that
//! come to chi-squared on nu degrees of freedom, the variance is the stated one times
//!
//! R = max(1, (nu0 + chi-squared) / (nu0 + nu)), on nu0 + nu degrees of freedom.
//!
//! Where chi-squared is beyond its 95 % point the budget does not explain the observations, and counts for one
//! degree of freedom at most. A scatter that is smaller than stated makes nothing surer. The rule was chosen by
//! simulation: see `benches/coverage.rs`.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor};

/// From this chance on downwards observations contradict a budget, and slopes differ.
pub const SIGNIFICANCE: f64 = 0.05;

/// A variance pooled of a budget and of observations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pooled {
    /// Squares of the observations over the stated variance.
    pub chi_squared: f64,
    /// Degrees of freedom of that.
    pub observed_dof: f64,
    /// Degrees of freedom that the budget counted for.
    pub budget_dof: f64,
    /// What the stated variance is to be multiplied by.
    pub ratio: f64,
}

impl Pooled {
    /// Pools a budget of so many degrees of freedom; `None`: nothing is stated, and the observations alone tell.
    pub(super) fn of(budget_dof: Option<f64>, chi_squared: f64, observed_dof: usize) -> Self {
        let observed_dof = observed_dof as f64;
        let is_refuted =
            observed_dof > 0.0 && chi_squared_upper_tail(chi_squared, observed_dof) < SIGNIFICANCE;
        let stated = budget_dof.unwrap_or(0.0);
        let counted = if is_refuted { stated.min(1.0) } else { stated };
        let dof = counted + observed_dof;
        let ratio = if dof > 0.0 { (counted + chi_squared) / dof } else { 1.0 };
        let ratio = if budget_dof.is_some() { ratio.max(1.0) } else { ratio };
        Self { chi_squared, observed_dof, budget_dof: counted, ratio }
    }

    /// Degrees of freedom of the pooled variance.
    pub fn dof(&self) -> f64 {
        self.budget_dof + self.observed_dof
    }
}

/// The chance that a chi-squared-distributed value is at least `x`; 1 where that cannot be told.
pub fn chi_squared_upper_tail(x: f64, dof: f64) -> f64 {
    if x.is_nan() {
        return 1.0;
    }
    ChiSquared::new(dof).map_or(1.0, |distribution| distribution.sf(x.max(0.0)))
}

/// The chance that an F-distributed value is at least `f`; 1 where that cannot be told.
pub fn f_upper_tail(f: f64, dof: (f64, f64)) -> f64 {
    if f.is_nan() {
        return 1.0;
    }
    FisherSnedecor::new(dof.0, dof.1).map_or(1.0, |distribution| distribution.sf(f.max(0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook 1.3.6.7.3: upper critical values of the F distribution at 5 % (published digits).
    #[test]
    fn the_published_table_of_f() {
        for (dof, f) in [
            ((1.0, 1.0), 161.448),
            ((1.0, 10.0), 4.965),
            ((2.0, 10.0), 4.103),
            ((5.0, 24.0), 2.621),
            ((10.0, 100.0), 1.927),
        ] {
            assert!((f_upper_tail(f, dof) - 0.05).abs() < 0.000_05, "{dof:?}");
        }
        assert_eq!(f_upper_tail(0.0, (2.0, 10.0)), 1.0);
        assert_eq!(f_upper_tail(f64::NAN, (2.0, 10.0)), 1.0);
        assert_eq!(f_upper_tail(1.0, (0.0, 10.0)), 1.0);
    }

    /// NIST/SEMATECH e-Handbook 1.3.6.7.4: upper critical values of chi-squared at 5 % (published digits).
    #[test]
    fn the_published_table_of_chi_squared() {
        for (dof, x) in [(1.0, 3.841), (2.0, 5.991), (5.0, 11.070), (10.0, 18.307), (100.0, 124.342)] {
            assert!((chi_squared_upper_tail(x, dof) - 0.05).abs() < 0.000_05, "{dof}");
        }
        assert_eq!(chi_squared_upper_tail(f64::NAN, 1.0), 1.0);
        assert_eq!(chi_squared_upper_tail(1.0, 0.0), 1.0);
    }

    /// Derived: the rule worked by hand.
    #[test]
    fn budget_and_scatter() {
        // Fewer squares than stated make nothing surer.
        let calm = Pooled::of(Some(4.0), 0.1, 1);
        assert_eq!((calm.ratio, calm.dof()), (1.0, 5.0));
        // Doubted, not refuted: (4 + 3.84) / 5.
        let doubted = Pooled::of(Some(4.0), 3.84, 1);
        assert!((doubted.ratio - 1.568).abs() < 1e-12 && doubted.dof() == 5.0);
        // Refuted: the budget counts for one, (1 + 20) / 3.
        let refuted = Pooled::of(Some(4.0), 20.0, 2);
        assert!((refuted.ratio - 7.0).abs() < 1e-12 && refuted.dof() == 3.0);
        // A budget of which a part is not known counts for nothing, but things are no surer than what is known.
        let partial = Pooled::of(Some(0.0), 0.5, 2);
        assert_eq!((partial.ratio, partial.dof()), (1.0, 2.0));
        assert_eq!(Pooled::of(Some(0.0), 9.0, 2).ratio, 4.5);
        // Nothing stated at all.
        assert_eq!(Pooled::of(None, 0.5, 2).ratio, 0.25);
        // Nothing has checked it.
        let alone = Pooled::of(Some(4.0), 0.0, 0);
        assert_eq!((alone.ratio, alone.dof()), (1.0, 4.0));
    }
}
