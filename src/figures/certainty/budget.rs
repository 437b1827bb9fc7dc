//! Uncertainty budgets: standard uncertainties of the inputs in, one of the result out (JCGM 100:2008, clause 5).
//!
//! A [`BudgetLine`] is one input that no other line depends on; whoever writes a budget leaves out what the figure
//! does not depend on (an error common to both ends of a difference) instead of adding it twice. Results are in
//! millimetres, an input in its own unit with a sensitivity in millimetres per that unit.
//!
//! What makes no sense counts as if nothing were known: an uncertainty or a sensitivity that is no number, or
//! comes to more than [`UNKNOWN_MM`], counts as that much, and degrees of freedom below one or not a number as
//! one. So no figure of a budget is ever NaN or infinite but `dof`, and no mistake makes it look surer.

use std::borrow::Cow;

use super::spread::Spread;

/// What a line makes at most, mm: a metre is more than the uncertainty of anything measured here.
pub const UNKNOWN_MM: f64 = 1_000.0;

/// What all other inputs together come to at most, as a part of the one or two that outweigh them (EA-4/02, S9.14).
const DOMINATED: f64 = 0.3;

/// The unit of an input.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineUnit {
    /// A length or a difference of lengths, mm.
    Millimetre,
    /// A temperature or a difference of temperatures, K.
    Kelvin,
    /// An expansion coefficient, 1/K.
    PerKelvin,
}

impl LineUnit {
    /// The unit's symbol: `mm`, `K` or `1/K`.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Kelvin => "K",
            Self::PerKelvin => "1/K",
        }
    }
}

/// Which readings share the error of an input.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum CommonTo {
    /// A reading has its own.
    #[default]
    Reading,
    /// All readings of a survey with one setting standard.
    Survey,
    /// All surveys with the same setting standard.
    Standard,
}

/// One input of a figure and how sure it is.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetLine {
    /// What it is, in words, such as `setting standard`.
    pub source: Cow<'static, str>,
    /// Its best estimate, in `unit`; shown, not used.
    pub estimate: f64,
    /// The unit of `estimate` and `u`.
    pub unit: LineUnit,
    /// Its standard uncertainty, in `unit`; the sign means nothing.
    pub u: f64,
    /// Degrees of freedom of `u`, at least 1; infinite where `u` is taken as known.
    pub dof: f64,
    /// By how many mm the figure changes for one `unit` of the input; either sign.
    pub sensitivity: f64,
    /// How far it can move the figure at most, mm, where its distribution has ends (a rectangle or sums of them) that
    /// are taken as known.
    pub half_width_mm: Option<f64>,
    /// Which readings share its error.
    pub common_to: CommonTo,
}

impl BudgetLine {
    /// What this line alone makes of the figure's standard uncertainty, mm: 0 to [`UNKNOWN_MM`].
    pub fn contribution_mm(&self) -> f64 {
        // `min` also turns a NaN into the most there is.
        (self.sensitivity * self.u).abs().min(UNKNOWN_MM)
    }
}

/// A coverage factor and the expanded uncertainty that it gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// The coverage factor.
    pub k: f64,
    /// The expanded uncertainty U = k u, mm.
    pub u_mm: f64,
}

/// The lines of a figure's uncertainty and what they come to.
///
/// ```
/// use figures::certainty::budget::{Budget, CommonTo, BudgetLine, LineUnit::Millimetre};
/// let line = |source: &'static str, u, dof| {
///     let common_to = CommonTo::Reading;
///     let (estimate, sensitivity, half_width_mm) = (0.0, 1.0, None);
///     BudgetLine { source: source.into(), estimate, unit: Millimetre, u, dof, sensitivity, half_width_mm, common_to }
/// };
/// let budget = Budget::of(vec![line("gauge", 0.003, f64::INFINITY), line("repeats", 0.004, 5.0)]);
/// assert!((budget.u_mm - 0.005).abs() < 1e-12);
/// // 12.2 effective degrees of freedom, cut to 12.
/// assert!((budget.expanded_95().k - 2.179).abs() < 0.001);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The lines, in the order they were given.
    pub lines: Vec<BudgetLine>,
    /// The combined standard uncertainty, mm; never negative.
    pub u_mm: f64,
    /// The effective degrees of freedom, not cut to a whole number; infinite if all that count are, or if there
    /// is no uncertainty.
    pub dof: f64,
}

impl Budget {
    /// Combines lines that do not depend on each other: root of the sum of squares, and the effective degrees
    /// of freedom by Welch and Satterthwaite (JCGM 100:2008, 5.1.2 and G.4.1). No lines are no uncertainty.
    pub fn of(lines: Vec<BudgetLine>) -> Self {
        // `hypot` instead of squares: nothing vanishes on the way.
        let u_mm = lines.iter().fold(0.0, |u: f64, line| u.hypot(line.contribution_mm()));
        // Not `sum`, which is minus zero if there are no lines. `max` also turns a NaN into 1.
        let sum = lines.iter().fold(0.0, |sum, line| sum + share(line, u_mm).powi(2) / line.dof.max(1.0));
        Self { lines, u_mm, dof: 1.0 / sum }
    }

    /// The standard uncertainty that the lines with one tag make together, mm.
    pub fn u_common_to(&self, tag: CommonTo) -> f64 {
        let tagged = self.lines.iter().filter(|line| line.common_to == tag);
        tagged.fold(0.0, |u: f64, line| u.hypot(line.contribution_mm()))
    }

    /// The part of the variance that one of the lines makes, 0 to 1; zero if there is no uncertainty.
    pub fn share(&self, line: &BudgetLine) -> f64 {
        share(line, self.u_mm)
    }

    /// How the true value is spread about the figure: a rectangle or a trapezoid where one or two inputs that have
    /// ends outweigh all others, so that these come to no more than 0.3 of them (EA-4/02, S9.14 and S10.13),
    /// else Student's t.
    pub fn spread(&self) -> Spread {
        let mut largest: [Option<&BudgetLine>; 2] = [None; 2];
        for line in &self.lines {
            let larger = |than: Option<&BudgetLine>| {
                than.is_none_or(|than| line.contribution_mm() > than.contribution_mm())
            };
            largest = match largest {
                [first, _] if larger(first) => [Some(line), first],
                [first, second] if larger(second) => [first, Some(line)],
                kept => kept,
            };
        }
        let [Some(first), second] = largest else { return self.dof.into() };
        let outweighing = self.outweighing(&[first]);
        outweighing.or_else(|| self.outweighing(&[first, second?])).unwrap_or(self.dof.into())
    }

    /// The shape that these lines give the result, if they have ends and outweigh the others.
    fn outweighing(&self, lines: &[&BudgetLine]) -> Option<Spread> {
        let half: f64 = lines.iter().map(|line| line.half_width_mm).sum::<Option<f64>>()?;
        let squares: f64 = lines.iter().map(|line| line.contribution_mm().powi(2)).sum();
        let others = self.u_mm.powi(2) - squares;
        // u = a sqrt((1 + β²) / 6): below zero is what is nearer to a bell than a triangle is, above 1 what has more
        // at its ends than a rectangle has.
        let square = 6.0 * squares / half.powi(2) - 1.0;
        (others <= DOMINATED.powi(2) * squares && (-1e-9..1.0 + 1e-9).contains(&square))
            .then(|| Spread::Trapezoid { edge_ratio: square.clamp(0.0, 1.0).sqrt() })
    }

    /// The expanded uncertainty for a coverage such as 0.9545.
    pub fn expanded(&self, coverage: f64) -> Expanded {
        self.by(self.spread().two_sided(coverage))
    }

    /// The expanded uncertainty for 95 %; quick enough for every figure of every cylinder.
    pub fn expanded_95(&self) -> Expanded {
        self.by(self.spread().two_sided_95())
    }

    /// Never more than all inputs together can do, where each has ends.
    fn by(&self, k: f64) -> Expanded {
        let most = self.lines.iter().filter(|line| line.contribution_mm() > 0.0);
        let most: Option<f64> = most.map(|line| line.half_width_mm).sum();
        match most {
            Some(most) if self.u_mm > 0.0 && k * self.u_mm > most => {
                Expanded { k: most / self.u_mm, u_mm: most }
            }
            _ => Expanded { k, u_mm: k * self.u_mm },
        }
    }
}

fn share(line: &BudgetLine, u_mm: f64) -> f64 {
    if u_mm > 0.0 { (line.contribution_mm() / u_mm).powi(2) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::student::t_two_sided_95;
    use super::*;

    const KNOWN: f64 = f64::INFINITY;

    fn line(source: &'static str, u: f64, sensitivity: f64, dof: f64) -> BudgetLine {
        let (unit, common_to) = (LineUnit::Millimetre, CommonTo::Reading);
        BudgetLine {
            source: source.into(),
            estimate: 0.0,
            unit,
            u,
            dof,
            sensitivity,
            half_width_mm: None,
            common_to,
        }
    }

    /// A rectangular input, in millimetres.
    fn rectangle(source: &'static str, half: f64) -> BudgetLine {
        BudgetLine { half_width_mm: Some(half), ..line(source, half / 3_f64.sqrt(), 1.0, KNOWN) }
    }

    /// EA-4/02, S9: a multimeter at 100 V. Published: u 0.030 V, k 1.65, U 0.05 V. Its inputs from memory, all
    /// rectangular but the first: calibrator 0.001, resolution 0.05, calibrator's uncertainty 0.011.
    #[test]
    fn one_rectangle_outweighs_the_rest() {
        let inputs = vec![
            rectangle("resolution of the multimeter", 0.05),
            line("calibration", 0.001, 1.0, KNOWN),
            rectangle("drift of the calibrator", 0.011),
        ];
        let budget = Budget::of(inputs);
        assert!((budget.u_mm - 0.030).abs() <= 0.000_5, "{}", budget.u_mm);
        assert_eq!(budget.spread(), Spread::Trapezoid { edge_ratio: 1.0 });
        let expanded = budget.expanded_95();
        assert!((expanded.k - 1.65).abs() <= 0.005 && (expanded.u_mm - 0.05).abs() <= 0.005, "{expanded:?}");
    }

    /// EA-4/02, S10: a vernier caliper at 150 mm. Published: u 33 µm, k 1.83, U 60 µm.
    #[test]
    fn two_rectangles_outweigh_the_rest() {
        let um = 1e-3;
        let inputs = vec![
            rectangle("gauge block", 0.8 * um),
            rectangle("temperature", 2.0 * 1.7 * um),
            rectangle("resolution", 25.0 * um),
            rectangle("mechanical effects", 50.0 * um),
        ];
        let budget = Budget::of(inputs);
        assert!((budget.u_mm / um - 33.0).abs() <= 1.0, "{}", budget.u_mm);
        let expanded = budget.expanded_95();
        assert!((expanded.k - 1.83).abs() <= 0.005, "{expanded:?}");
        assert!((expanded.u_mm / um - 60.0).abs() <= 1.0, "{expanded:?}");
    }

    /// Derived: a graduation alone is the whole of it, and no interval is wider than what all inputs can do together.
    #[test]
    fn never_wider_than_possible() {
        let alone = Budget::of(vec![rectangle("graduation", 0.005)]);
        assert!((alone.expanded_95().u_mm - 0.95 * 0.005).abs() < 1e-15);
        assert!((alone.expanded(1.0).u_mm - 0.005).abs() < 1e-15);
        // Swinging between its ends: 1.96 standard uncertainties would be beyond them.
        let swinging =
            BudgetLine { half_width_mm: Some(0.005), ..line("swing", 0.005 / 2_f64.sqrt(), 1.0, KNOWN) };
        assert_eq!(Budget::of(vec![swinging]).expanded_95().u_mm, 0.005);
        // Where something beside it has no ends, or weighs too much, Student's t holds.
        for other in [0.4, 2.0] {
            let beside =
                Budget::of(vec![rectangle("graduation", 3_f64.sqrt()), line("repeats", other, 1.0, 9.0)]);
            assert_eq!(beside.spread(), Spread::Student { dof: beside.dof });
        }
    }

    /// EA-4/02, supplement S4: a gauge block of 50 mm by comparison; u 36.4 nm, k 2, U 73 nm (published digits).
    #[test]
    fn gauge_block_of_ea_4_02() {
        let nm = 1e-6;
        let mut alpha = line("expansion coefficients times temperature", 2.36e-7, 50.0, KNOWN);
        alpha.unit = LineUnit::PerKelvin;
        let mut temperature = line("temperature difference", 0.0289, -575.0 * nm, KNOWN);
        temperature.unit = LineUnit::Kelvin;
        let budget = Budget::of(vec![
            line("standard", 15.0 * nm, 1.0, KNOWN),
            line("drift of the standard", 17.3 * nm, 1.0, KNOWN),
            line("repeats", 5.37 * nm, 1.0, 4.0),
            line("comparator", 18.5 * nm, 1.0, KNOWN),
            temperature,
            alpha,
            line("contact point", 3.87 * nm, -1.0, KNOWN),
        ]);
        assert!((budget.u_mm - 36.4 * nm).abs() <= 0.05 * nm);
        // The published factor of 2 stands for 95.45 %.
        let expanded = budget.expanded(0.9545);
        assert!((expanded.k - 2.0).abs() <= 0.000_5);
        assert!((expanded.u_mm - 73.0 * nm).abs() <= 0.5 * nm);
        let shares: f64 = budget.lines.iter().map(|line| budget.share(line)).sum();
        assert!((shares - 1.0).abs() < 1e-12);
        assert!((budget.share(&budget.lines[4]) - (16.6_f64 / 36.4).powi(2)).abs() < 0.001);
    }

    /// Welch-Satterthwaite on the documented inputs of an R package: u 1.016120, dof 15.607961 (derived).
    #[test]
    fn effective_degrees_of_freedom() {
        let budget = Budget::of(vec![
            line("a", 0.1, 1.0, KNOWN),
            line("b", 0.3, 2.0, 6.0),
            line("c", 0.2, 3.0, 8.0),
            line("d", 1.1, 0.5, 3.0),
        ]);
        assert!((budget.u_mm - 1.016_120).abs() <= 0.000_000_5);
        assert!((budget.dof - 15.607_961).abs() <= 0.000_000_5);
        // Cut to 15, where t for 95 % is 2.131 (JCGM 100:2008, table G.2; value from memory).
        assert!((budget.expanded_95().k - 2.131).abs() <= 0.000_5);
        assert_eq!(budget.expanded_95(), budget.expanded(0.95));
    }

    #[test]
    fn one_line_keeps_its_degrees_of_freedom() {
        for dof in 1..200 {
            let dof = f64::from(dof);
            let budget = Budget::of(vec![line("repeats", 0.003_7, 0.7, dof)]);
            assert_eq!(budget.expanded_95().k, t_two_sided_95(dof), "{dof}");
        }
    }

    #[test]
    fn nothing_uncertain_is_no_uncertainty() {
        let none = Budget::of(Vec::new());
        let zeros = Budget::of(vec![line("a", 0.0, 1.0, 3.0), line("b", 1.0, 0.0, KNOWN)]);
        for budget in [none, zeros] {
            assert_eq!((budget.u_mm, budget.dof), (0.0, f64::INFINITY));
            assert_eq!(budget.expanded_95().u_mm, 0.0);
            assert_eq!(budget.expanded(2.0).u_mm, 0.0);
            for line in &budget.lines {
                assert_eq!(budget.share(line), 0.0);
            }
        }
        // A line of zero beside others changes nothing.
        let alone = Budget::of(vec![line("a", 0.1, 1.0, 4.0)]);
        let beside = Budget::of(vec![line("a", 0.1, 1.0, 4.0), line("b", 0.0, 1.0, 1.0)]);
        assert_eq!((alone.u_mm, alone.dof), (beside.u_mm, beside.dof));
    }

    #[test]
    fn what_makes_no_sense_counts_as_unknown() {
        for (u, sensitivity) in [
            (f64::NAN, 1.0),
            (f64::INFINITY, 1.0),
            (1e300, -1e300),
            (0.1, f64::NAN),
            (0.1, f64::NEG_INFINITY),
            (0.0, f64::INFINITY),
        ] {
            let budget =
                Budget::of(vec![line("ring", u, sensitivity, KNOWN), line("repeats", 0.001, 1.0, 4.0)]);
            assert!((budget.u_mm - UNKNOWN_MM).abs() < 1e-6, "{u} {sensitivity}");
            assert!(budget.expanded_95().u_mm > UNKNOWN_MM && !budget.dof.is_nan());
        }
        let negative = Budget::of(vec![line("ring", -0.1, 1.0, KNOWN)]);
        assert_eq!(negative.u_mm, 0.1);
        for dof in [0.0, 0.99, -1.0, f64::NAN, f64::NEG_INFINITY] {
            let budget = Budget::of(vec![line("repeats", 0.1, 1.0, dof)]);
            assert_eq!((budget.dof, budget.expanded_95().k), (1.0, t_two_sided_95(1.0)), "{dof}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn any_budget_is_a_number(
            lines in prop::collection::vec((0.0..1e3_f64, -1e3..1e3_f64, prop_oneof![Just(KNOWN), 1.0..1e6_f64], -320..0_i32), 1..8)
        ) {
            let lines: Vec<BudgetLine> =
                lines.into_iter().map(|(u, c, dof, power)| line("any", u * 10_f64.powi(power), c, dof)).collect();
            let least = lines.iter().map(|line| line.dof).fold(KNOWN, f64::min);
            let largest = lines.iter().map(BudgetLine::contribution_mm).fold(0.0, f64::max);
            let budget = Budget::of(lines);
            prop_assert!(budget.u_mm >= largest * (1.0 - 1e-12) && budget.u_mm.is_finite());
            prop_assert!(budget.dof >= least * (1.0 - 1e-9));
            let expanded = budget.expanded_95();
            prop_assert!(expanded.k >= 1.959 && expanded.u_mm >= budget.u_mm);
            if budget.u_mm > 0.0 {
                let shares: f64 = budget.lines.iter().map(|line| budget.share(line)).sum();
                prop_assert!((shares - 1.0).abs() < 1e-9);
            }
        }
    }
}
