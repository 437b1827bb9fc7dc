//! The uncertainty budget of a figure of a bore: one piece of code for a diameter, a difference, an average.
//!
//! The model of one diameter is that of an end gauge compared with a standard (JCGM 100:2008, H.1), which
//! serves a bore set on a ring as well:
//!
//! D = D_s + d - D (δα θ + α δθ)
//!
//! with D_s the setting standard, d the deviation read, θ how far the barrel is from 20 °C, α the expansion
//! coefficient of the standard, δα and δθ how far barrel and standard differ in coefficient and temperature.
//! A gauge that reads the diameter itself has no D_s, and its own calibration stands in its place. The term in
//! brackets itself is no uncertainty: the cells hold diameters at 20 °C.
//!
//! A figure is a sum of weight times diameter. What is the same for all readings of a gauge (its standard,
//! its calibration, the temperatures) enters with the sum of the weights, so it drops out of a difference;
//! what is drawn anew for each reading (resolution, repeatability) enters with the root of the sum of
//! squares, so it does not. What two gauges share (a standard, the barrel, one thermometer) is one source.

use std::borrow::Cow;

use super::budget::{Budget, BudgetLine, CommonTo, LineUnit};
use crate::{Figure, Term};
use quantities::length::{Length, Mean};
use records::bore::Bore;
use records::survey::{Conditions, Expansion, REFERENCE_C, Setup, Uncertainty};

/// How well the coefficient of steel is known where it is only supposed: within so much of it, rectangular, in 1/K;
/// (11.5 ± 1.0)e-6 for steel gauge blocks (ISO 3650, from memory).
const SUPPOSED_WITHIN_PER_K: f64 = 1.0e-6;

/// The weights of a figure's cells that were read with one gauge.
#[derive(Clone, Copy, Default)]
struct Weights {
    /// Sum: what is common to all readings.
    sum: f64,
    /// Sum of squares: what is drawn anew for each cell.
    squares: f64,
    /// Sum of squares over the number of repeats: what averages out over them.
    squares_over_repeats: f64,
    /// Sum of magnitudes: how far what is drawn anew for each cell can move the figure at most.
    magnitudes: f64,
    /// Half a graduation, as a sum of squares in square millimetres, and as a sum in millimetres.
    half_graduations: (f64, f64),
    /// Sum of weight times diameter, in millimetres.
    diameter: f64,
}

fn weights(bore: &Bore, terms: &[Term], gauge: usize, graduation: Option<Length>) -> Option<Weights> {
    let mut weights = Weights::default();
    let mut used = false;
    for (term, cell) in terms.iter().filter_map(|term| bore.cell(term.at).map(|cell| (term, cell))) {
        if cell.gauge != gauge {
            continue;
        }
        used = true;
        let square = term.weight * term.weight;
        let half = graduation.map_or_else(|| cell.style.last_digit().to_mm(), Length::to_mm) / 2.0;
        weights.sum += term.weight;
        weights.squares += square;
        weights.squares_over_repeats += square / cell.repeats().len() as f64;
        weights.magnitudes += term.weight.abs();
        weights.half_graduations.0 += square * half * half;
        weights.half_graduations.1 += term.weight.abs() * half;
        weights.diameter += term.weight * cell.mean().to_mm();
    }
    used.then_some(weights)
}

/// Weights that came to nothing but rounding: the source drops out.
fn cancels(weight: f64) -> bool {
    weight.abs() < 1e-9
}

fn line(
    source: impl Into<Cow<'static, str>>,
    estimate: f64,
    uncertainty: Uncertainty,
    sensitivity: f64,
    common_to: CommonTo,
) -> BudgetLine {
    let sensitivity = if cancels(sensitivity) { 0.0 } else { sensitivity };
    BudgetLine {
        source: source.into(),
        estimate,
        unit: LineUnit::Millimetre,
        u: uncertainty.u,
        dof: uncertainty.dof,
        sensitivity,
        half_width_mm: uncertainty.half_width.map(|half| half * sensitivity.abs()),
        common_to,
    }
}

/// A sum of weight times diameter, in millimetres, of the readings by one setting standard, or by one gauge that has
/// none: what expands alike.
struct Expanding {
    standard: Option<usize>,
    expansion: Expansion,
    diameter: f64,
}

/// The budget of a figure, line by line. A figure of cells that are not there has an empty budget.
pub fn budget(setup: Setup<'_>, bore: &Bore, figure: &Figure) -> Budget {
    let mut lines = Vec::with_capacity(8);
    let mut expanding: Vec<Expanding> = Vec::new();
    // A standard that two gauges were zeroed on is one source.
    let mut of_standard = vec![0.0_f64; setup.standards.len()];
    for (index, gauge) in setup.gauges.iter().enumerate() {
        let Some(weights) = weights(bore, &figure.terms, index, gauge.graduation) else { continue };
        if setup.conditions.is_some() {
            let alike = (gauge.standard, gauge.expansion);
            let known = |of: &&mut Expanding| of.standard.is_some() && (of.standard, of.expansion) == alike;
            match expanding.iter_mut().find(known) {
                Some(of) => of.diameter += weights.diameter,
                None => expanding.push(Expanding {
                    standard: gauge.standard,
                    expansion: gauge.expansion,
                    diameter: weights.diameter,
                }),
            }
        }
        if let Some(sum) = gauge.standard.and_then(|standard| of_standard.get_mut(standard)) {
            *sum += weights.sum;
        }
        if let Some(calibration) = gauge.calibration {
            lines.push(line("calibration of the gauge", 0.0, calibration, weights.sum, CommonTo::Survey));
        }
        if let Some(repeatability) = gauge.repeatability {
            let sensitivity = weights.squares_over_repeats.sqrt();
            lines.push(line("repeatability", 0.0, repeatability, sensitivity, CommonTo::Reading));
        }
        // Half a graduation, rectangular: a / sqrt 3. Not averaged over repeats, which often read the same.
        let (squares, half_width_mm) = weights.half_graduations;
        let resolution = Uncertainty::new((squares / 3.0).sqrt(), f64::INFINITY);
        let resolution = line("resolution", 0.0, resolution, 1.0, CommonTo::Reading);
        lines.push(BudgetLine { half_width_mm: Some(half_width_mm), ..resolution });
        for further in &gauge.further {
            let (sensitivity, most, common_to) = match further.common {
                true => (weights.sum, weights.sum.abs(), CommonTo::Survey),
                false => (weights.squares.sqrt(), weights.magnitudes, CommonTo::Reading),
            };
            let half_width_mm = further.uncertainty.half_width.map(|half| half * most);
            let further = line(further.source.clone(), 0.0, further.uncertainty, sensitivity, common_to);
            lines.push(BudgetLine { half_width_mm, ..further });
        }
    }
    for (standard, sum) in setup.standards.iter().zip(of_standard) {
        if let Some(calibration) = standard.calibration.filter(|_| sum != 0.0) {
            let size = standard.size.to_mm();
            lines.insert(0, line("setting standard", size, calibration, sum, CommonTo::Standard));
        }
    }
    if let Some(conditions) = setup.conditions {
        temperature_lines(conditions, &expanding, &mut lines);
    }
    Budget::of(lines)
}

/// What a budget leaves out because nobody recorded it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unknown {
    /// The calibration of the gauge, or of what it was set on, where that does not drop out of the figure.
    pub calibration: bool,
    /// The repeatability of the gauge.
    pub repeatability: bool,
}

impl Unknown {
    /// Is anything left out?
    pub fn any(self) -> bool {
        self.calibration || self.repeatability
    }

    /// What is left out, each by its name for programs.
    pub fn sources(self) -> Vec<&'static str> {
        let sources = [(self.calibration, "calibration"), (self.repeatability, "repeatability")];
        sources.into_iter().filter(|(is_left_out, _)| *is_left_out).map(|(_, source)| source).collect()
    }

    /// What is left out, in words; empty if nothing is.
    pub fn words(self) -> &'static str {
        match (self.calibration, self.repeatability) {
            (true, true) => "calibration and repeatability",
            (true, false) => "calibration",
            (false, true) => "repeatability",
            (false, false) => "",
        }
    }
}

/// What the budget of a figure leaves out.
pub fn unknown(setup: Setup<'_>, bore: &Bore, figure: &Figure) -> Unknown {
    let mut unknown = Unknown::default();
    for (index, gauge) in setup.gauges.iter().enumerate() {
        let cells = figure.terms.iter().filter(|term| bore.cell(term.at).is_some_and(|c| c.gauge == index));
        let (mut used, mut sum) = (false, 0.0);
        for term in cells {
            used = true;
            sum += term.weight;
        }
        let calibration = match gauge.standard {
            Some(standard) => setup.standards.get(standard).and_then(|standard| standard.calibration),
            None => gauge.calibration,
        };
        unknown.calibration |= used && calibration.is_none() && !cancels(sum);
        unknown.repeatability |= used && gauge.repeatability.is_none();
    }
    unknown
}

/// The most by which measuring can explain a figure of these cells: three standard uncertainties. A gauge whose
/// repeatability is not known is taken to repeat to one graduation (common practice, no source).
pub fn explained(setup: Setup<'_>, bore: &Bore, terms: &[Term]) -> Length {
    let unknown: f64 = terms
        .iter()
        .filter_map(|term| bore.cell(term.at).map(|cell| (term, cell, setup.gauges.get(cell.gauge))))
        .filter(|(.., gauge)| gauge.is_none_or(|gauge| gauge.repeatability.is_none()))
        .map(|(term, cell, gauge)| {
            let graduation = gauge.and_then(|gauge| gauge.graduation);
            (term.weight * graduation.unwrap_or_else(|| cell.style.last_digit()).to_mm()).powi(2)
        })
        .sum();
    let figure = Figure::new(Mean::ZERO, terms.to_vec());
    let known = budget(setup, bore, &figure).u_mm;
    Length::from_mm(3.0 * (known * known + unknown).sqrt()).unwrap_or_default()
}

/// What is uncertain about bringing a figure to 20 °C.
///
/// The difference of temperature is one for the whole survey. The difference of coefficients is that of the barrel,
/// which all readings share, and that of what each was compared with: where there are several, half of its variance
/// is taken to be the one and half the other. A coefficient that is only supposed is known within
/// [`SUPPOSED_WITHIN_PER_K`], if nobody has said how well.
fn temperature_lines(conditions: &Conditions, expanding: &[Expanding], lines: &mut Vec<BudgetLine>) {
    let mut push = |source: &'static str, estimate, unit, uncertainty: Uncertainty, sensitivity: f64| {
        let Uncertainty { u, dof, half_width } = uncertainty;
        let half_width_mm = half_width.map(|half| half * sensitivity.abs());
        let common_to = CommonTo::Survey;
        lines.push(BudgetLine {
            source: source.into(),
            estimate,
            unit,
            u,
            dof,
            sensitivity,
            half_width_mm,
            common_to,
        });
    };
    let all: f64 = expanding.iter().map(|of| of.diameter).sum();
    if let Some(difference) = conditions.difference {
        let sensitivity: f64 = expanding.iter().map(|of| -of.diameter * of.expansion.per_k).sum();
        let estimate = conditions.barrel_c - conditions.gauge_c;
        push("temperature difference", estimate, LineUnit::Kelvin, difference, sensitivity);
    }
    let (barrel, above) = (conditions.barrel, conditions.barrel_c - REFERENCE_C);
    match (conditions.expansion_difference, expanding) {
        (Some(difference), [of]) => {
            let estimate = barrel.per_k - of.expansion.per_k;
            push("expansion difference", estimate, LineUnit::PerKelvin, difference, -all * above);
        }
        (Some(Uncertainty { u, dof, .. }), _) => {
            let half = Uncertainty::new(u / 2_f64.sqrt(), dof);
            push("expansion of the barrel", barrel.per_k, LineUnit::PerKelvin, half, -all * above);
            for of in expanding {
                let sensitivity = of.diameter * above;
                push("expansion of the gauge", of.expansion.per_k, LineUnit::PerKelvin, half, sensitivity);
            }
        }
        (None, _) => {
            let within = Uncertainty::rectangular(SUPPOSED_WITHIN_PER_K);
            if barrel.supposed {
                let source = "expansion of the barrel, supposed";
                push(source, barrel.per_k, LineUnit::PerKelvin, within, -all * above);
            }
            let above = conditions.gauge_c - REFERENCE_C;
            for of in expanding.iter().filter(|of| of.expansion.supposed) {
                let source = "expansion of the gauge, supposed";
                push(source, of.expansion.per_k, LineUnit::PerKelvin, within, of.diameter * above);
            }
        }
    }
}

#[cfg(test)]
mod tests;
