//! Uncertainty budgets.

use std::borrow::Cow;

/// Unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineUnit {
    /// mm
    Millimetre,
    /// K
    Kelvin,
    /// 1/K
    PerKelvin,
}

/// Line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Source.
    pub source: Cow<'static, str>,
    /// Estimate.
    pub estimate: f64,
    /// Unit.
    pub unit: LineUnit,
    /// u.
    pub u: f64,
    /// dof.
    pub dof: f64,
    /// Sensitivity.
    pub sensitivity: f64,
}

/// Budget.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// Lines.
    pub lines: Vec<Line>,
    /// u.
    pub u_mm: f64,
    /// dof.
    pub dof: f64,
}

impl Budget {
    /// Of lines.
    pub fn of(lines: Vec<Line>) -> Self {
        let u2: f64 = lines.iter().map(|l| (l.u * l.sensitivity).powi(2)).sum();
        Self { lines, u_mm: u2.sqrt(), dof: f64::INFINITY }
    }
}
