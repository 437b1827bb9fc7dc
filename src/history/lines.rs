//! The lines of all cylinders of an engine together: their uncertainty, one rate for all, and which one differs.
//!
//! Each cylinder has a line of its own, by generalised least squares with the covariance that the budget states
//! (ISO/TS 28037:2010): what a reading has for itself, what the readings of a survey share, what all surveys with
//! one setting standard share. The last drops out of a slope, not out of the line's height.
//!
//! Budget and scatter are pooled ([`super::pooled`]), in two steps. How far readings lie off lines with a step
//! for each survey tells of what each reading has for itself; how far the surveys as a whole then lie off says
//! how much they move together. With one cylinder, or two surveys, the two cannot be told apart, and are one.
//!
//! With V = R_o own + shared + (R_s - 1) h, h the mean variance of a survey's mean, everything else follows:
//! each line, the rate that cylinders have in common, the F test of equal slopes, and each slope against that of
//! the others by t, times the number of cylinders (Bonferroni). Degrees of freedom are those of Welch and
//! Satterthwaite over the parts (JCGM 100:2008, G.4.1).

#![expect(
    clippy::indexing_slicing,
    reason = "numbers of surveys and cylinders are given out here, and no index is from outside"
)]

use super::figure::BUDGET_DOF;
use super::least_squares::{Matrix, Row, Solution, dot, solve};
use super::line::{FittedLine, NoLine, Observation};
use super::pooled::{Pooled, SIGNIFICANCE, f_upper_tail};
use figures::certainty::student::t_cdf;

/// How the observations agree with their budget.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Checked {
    /// What the budget is worth as an estimate, in degrees of freedom; 0 where a part of it is not known.
    pub budget_dof: f64,
    /// What each reading has for itself; none where it cannot be told from what surveys share.
    pub readings: Option<Pooled>,
    /// What the surveys share; everything where `readings` is none.
    pub surveys: Pooled,
}

/// The lines of some cylinders.
#[derive(Clone, Debug)]
pub struct Lines {
    /// One for each, in their order.
    pub each: Vec<FittedLine>,
    /// How the observations agree with their budget.
    pub checked: Checked,
    solution: Solution,
    /// What each effect is, and one over its variance.
    effects: Vec<(Effect, f64)>,
    dofs: Dofs,
    /// Variance of a single observation about each line, and where its last observation is.
    about: Vec<(f64, f64)>,
}

/// An error that observations have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Effect {
    Survey(usize),
    Standard(usize),
}

/// Degrees of freedom of the parts of a variance.
#[derive(Clone, Copy, Debug)]
struct Dofs {
    /// None: one part with that of the surveys.
    readings: Option<f64>,
    surveys: f64,
    standards: f64,
}

impl Dofs {
    /// Those of a variance that is the sum of its readings', surveys' and standards' parts; zero if a part
    /// that counts has none.
    fn of(&self, total: f64, surveys: f64, standards: f64) -> f64 {
        let readings = (total - surveys - standards).max(0.0);
        let parts = match self.readings {
            Some(dof) => [(readings, dof), (surveys, self.surveys), (standards, self.standards)],
            None => [(readings + surveys, self.surveys), (0.0, 1.0), (standards, self.standards)],
        };
        // What is nothing but rounding has no say.
        let counting = parts.into_iter().filter(|(variance, _)| *variance > 1e-9 * total);
        let sum: f64 = counting.map(|(variance, dof)| (variance / total).powi(2) / dof).sum();
        if sum > 0.0 { 1.0 / sum } else { 0.0 }
    }
}

/// A symmetric matrix of two by two: of level, of both, of slope.
#[derive(Clone, Copy, Debug, Default)]
struct Two {
    level: f64,
    both: f64,
    slope: f64,
}

impl Two {
    /// The variance of the line at a distance from where its level is.
    fn at(&self, distance: f64) -> f64 {
        self.level + distance * (2.0 * self.both + distance * self.slope)
    }
}

/// Whether observations make a line.
///
/// # Errors
/// [`NoLine`] if they make none.
pub fn is_line(observations: &[Observation]) -> Result<(), NoLine> {
    let are_numbers = |o: &Observation| {
        [o.x, o.y, o.u.reading, o.u.survey, o.u.standard].iter().all(|number| number.is_finite())
    };
    if !observations.iter().all(are_numbers) {
        return Err(NoLine::NotANumber);
    }
    let (Some(first), true) = (observations.first(), observations.len() > 1) else {
        return Err(NoLine::TooFew);
    };
    if observations.iter().all(|o| o.x == first.x) { Err(NoLine::SameX) } else { Ok(()) }
}

/// Fits a single line.
///
/// # Errors
/// [`NoLine`] if there is none.
pub fn fit_one(observations: &[Observation], budget_dof: f64) -> Result<(FittedLine, Checked), NoLine> {
    is_line(observations)?;
    let lines = fit(&[observations], budget_dof).ok_or(NoLine::NotANumber)?;
    let line = lines.each.first().copied().ok_or(NoLine::TooFew)?;
    Ok((line, lines.checked))
}

/// Numbers some keys in the order in which they come.
fn numbered<K: PartialEq>(keys: impl Iterator<Item = K>) -> (Vec<usize>, usize) {
    let mut known: Vec<K> = Vec::new();
    let numbers = keys
        .map(|key| {
            known.iter().position(|other| *other == key).unwrap_or_else(|| {
                known.push(key);
                known.len() - 1
            })
        })
        .collect();
    (numbers, known.len())
}

/// What is fitted, gathered by survey and standard.
struct PartialLine<'a> {
    cylinders: &'a [&'a [Observation]],
    /// Number of each observation's survey, all cylinders one after the other.
    survey: Vec<usize>,
    surveys: usize,
    /// Number of each observation's standard; that after the last stands for none.
    standard: Vec<usize>,
    standards: usize,
    /// There is one cylinder: what a survey shares is that reading's own.
    is_one: bool,
    /// Nothing is known of any uncertainty.
    is_bare: bool,
}

impl PartialLine<'_> {
    fn each(&self) -> impl Iterator<Item = (usize, &Observation, usize, usize)> {
        let flat = self.cylinders.iter().enumerate().flat_map(|(i, of)| of.iter().map(move |o| (i, o)));
        flat.zip(self.survey.iter().zip(&self.standard))
            .map(|((i, o), (&survey, &standard))| (i, o, survey, standard))
    }

    /// Variance that a reading has for itself, as stated.
    fn own(&self, o: &Observation) -> f64 {
        match (self.is_bare, self.is_one) {
            (true, _) => 1.0,
            (_, true) => o.u.reading.powi(2) + o.u.survey.powi(2),
            (_, false) => o.u.reading.powi(2),
        }
    }

    fn rows(&self, variance: impl Fn(&Observation) -> f64, effects: &[Effect]) -> Vec<Row> {
        let place = |effect: Effect| effects.iter().position(|other| *other == effect);
        let by_survey: Vec<_> = (0..self.surveys).map(|survey| place(Effect::Survey(survey))).collect();
        let by_standard: Vec<_> =
            (0..self.standards).map(|standard| place(Effect::Standard(standard))).collect();
        let of = |places: &[Option<usize>], number: usize| places.get(number).copied().flatten();
        self.each()
            .map(|(group, o, survey, standard)| Row {
                group,
                x: o.x,
                y: o.y,
                variance: variance(o),
                effects: [of(&by_survey, survey), of(&by_standard, standard)],
            })
            .collect()
    }

    /// The mean over a number of kinds of what each observation of the kind has.
    fn means(
        &self,
        kinds: usize,
        kind: impl Fn(usize, usize) -> usize,
        of: impl Fn(&Observation) -> f64,
    ) -> Vec<f64> {
        let (mut sums, mut counts) = (vec![0.0; kinds], vec![0.0_f64; kinds]);
        for (_, o, survey, standard) in self.each() {
            if let (Some(sum), Some(count)) =
                (sums.get_mut(kind(survey, standard)), counts.get_mut(kind(survey, standard)))
            {
                *sum += of(o);
                *count += 1.0;
            }
        }
        sums.into_iter().zip(counts).map(|(sum, count)| sum / count.max(1.0)).collect()
    }

    /// The mean variance of a survey's mean: of what readings have for themselves over their number, and what
    /// they share. What all surveys have in common by one standard does not move them against each other.
    fn mean_variance(&self, own_ratio: f64, shared: &[f64], standards: &[f64]) -> f64 {
        let (mut own, mut counts) = (vec![0.0; self.surveys], vec![0.0_f64; self.surveys]);
        let mut by = vec![0.0_f64; self.standards];
        for (_, o, survey, standard) in self.each() {
            own[survey] += own_ratio * self.own(o);
            counts[survey] += 1.0;
            if let Some(count) = by.get_mut(standard) {
                *count += 1.0;
            }
        }
        let n = self.surveys as f64;
        let of_own: f64 = own.iter().zip(&counts).map(|(own, count)| own / (count * count)).sum();
        let all: f64 = counts.iter().sum();
        let apart = |(count, variance): (&f64, &f64)| count / all * (1.0 - count / all) * variance;
        let of_standards: f64 = by.iter().zip(standards).map(apart).sum();
        (of_own + shared.iter().sum::<f64>()) / n + of_standards * n / (n - 1.0).max(1.0)
    }
}

/// Fits a line to each cylinder, each of which [`is_line`]; none without cylinders, or if a number runs over.
///
/// `budget_dof` is what the budget is worth as an estimate, in degrees of freedom: 0 where a part of it is not
/// known. Observations whose own uncertainty is zero have none that is known at all; then scatter alone tells.
pub fn fit(cylinders: &[&[Observation]], budget_dof: f64) -> Option<Lines> {
    let flat = || cylinders.iter().flat_map(|of| of.iter());
    let (survey, surveys) = numbered(flat().map(|o| o.survey));
    let (mut standard, mut standards) = (Vec::new(), 0);
    if flat().any(|o| o.standard.is_some() && o.u.standard > 0.0) {
        let by = |o: &Observation| o.standard.filter(|_| o.u.standard > 0.0);
        let (numbers, count) = numbered(std::iter::once(None).chain(flat().map(by)));
        // The first stands for none.
        let none = count - 1;
        standard = numbers.into_iter().skip(1).map(|number| number.checked_sub(1).unwrap_or(none)).collect();
        standards = none;
    } else {
        standard.resize(survey.len(), 0);
    }
    let is_bare = flat().any(|o| o.u.reading <= 0.0);
    let partial_line = PartialLine {
        cylinders,
        survey,
        surveys,
        standard,
        standards,
        is_one: cylinders.len() == 1,
        is_bare,
    };
    let stated = (!is_bare).then_some(budget_dof);
    let own = |o: &Observation| partial_line.own(o);
    let spare = partial_line.survey.len().checked_sub(2 * cylinders.len())?;

    // What each reading has for itself: lines, and a free step for each survey.
    let (mut free_chi, mut free_dof) = (0.0, 0);
    if !partial_line.is_one {
        let steps: Vec<_> = (0..surveys).map(Effect::Survey).collect();
        let free = solve(&partial_line.rows(own, &steps), &vec![0.0; surveys]);
        free_dof = spare.saturating_sub(free.rank);
        free_chi = if free_dof > 0 { free.chi_squared } else { 0.0 };
    }
    let readings = (free_dof > 0).then(|| Pooled::of(stated, free_chi, free_dof));
    let own_ratio = readings.map_or(1.0, |pooled| pooled.ratio.max(f64::MIN_POSITIVE.sqrt()));

    // What surveys share: separate lines under what is stated of it.
    let by_standard = partial_line.means(standards, |_, standard| standard, |o| o.u.standard.powi(2));
    let of_standards = by_standard.iter().enumerate().map(|(i, variance)| (Effect::Standard(i), *variance));
    let shared = match partial_line.is_one || is_bare {
        true => vec![0.0; surveys],
        false => partial_line.means(surveys, |survey, _| survey, |o| o.u.survey.powi(2)),
    };
    let fit_with = |own_variance: &dyn Fn(&Observation) -> f64, shared: &[f64]| {
        let of_surveys = shared.iter().enumerate().map(|(i, variance)| (Effect::Survey(i), *variance));
        let all = of_surveys.chain(of_standards.clone()).filter(|(_, variance)| *variance > 0.0);
        let effects: Vec<(Effect, f64)> = all.map(|(effect, variance)| (effect, 1.0 / variance)).collect();
        let (kinds, precisions): (Vec<Effect>, Vec<f64>) = effects.iter().copied().unzip();
        (solve(&partial_line.rows(own_variance, &kinds), &precisions), effects)
    };
    let scaled = |o: &Observation| own_ratio * own(o);
    let (mut solution, mut effects) = fit_with(&scaled, &shared);
    let chi_squared = (solution.chi_squared - free_chi / own_ratio).max(0.0);
    let of_surveys = Pooled::of(stated, chi_squared, spare - free_dof);

    // How much more they move than that.
    let more = (of_surveys.ratio - 1.0) * partial_line.mean_variance(own_ratio, &shared, &by_standard);
    let total = |o: &Observation| match partial_line.is_one {
        // Without any scatter there is still a variance.
        true => (scaled(o) + more).max(f64::MIN_POSITIVE.sqrt()),
        false => scaled(o),
    };
    let moved: Vec<f64> = shared
        .iter()
        .map(|variance| if partial_line.is_one { 0.0 } else { variance + more.max(0.0) })
        .collect();
    if more != 0.0 {
        (solution, effects) = fit_with(&total, &moved);
    }

    let mut about = vec![(0.0, f64::NEG_INFINITY); cylinders.len()];
    for (i, o, survey, _) in partial_line.each() {
        let (variance, last) = &mut about[i];
        *variance += (total(o) + moved.get(survey).copied().unwrap_or(0.0)) / cylinders[i].len() as f64;
        *last = last.max(o.x);
    }
    let checked = Checked { budget_dof, readings, surveys: of_surveys };
    let dofs = Dofs {
        readings: readings.map(|pooled| pooled.dof()),
        surveys: of_surveys.dof(),
        standards: if budget_dof > 0.0 { budget_dof } else { f64::from(BUDGET_DOF) },
    };
    let mut lines = Lines { each: Vec::new(), checked, solution, effects, dofs, about };
    lines.each = (0..cylinders.len()).map(|i| lines.own(i)).collect();
    let is_finite = |line: &FittedLine| {
        [line.slope, line.x_mean, line.y_mean, line.mean_variance, line.slope_variance]
            .iter()
            .all(|v| v.is_finite())
    };
    lines.each.iter().all(is_finite).then_some(lines)
}

/// One cylinder's slope against the common one of the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Against {
    /// Its own slope.
    pub slope: f64,
    /// The common slope of the others.
    pub others: f64,
    /// The difference in standard uncertainties.
    pub t: f64,
    /// The chance of so large a difference by luck, times the number of cylinders; at most 1.
    pub p: f64,
}

/// The test of equal slopes.
#[derive(Clone, Debug, PartialEq)]
pub struct SlopeTest {
    /// Its statistic.
    pub f: f64,
    /// Its degrees of freedom: of the slopes, and of the variance.
    pub dof: (f64, f64),
    /// The chance of so large a statistic if all slopes are equal.
    pub p: f64,
    /// Each cylinder against the others, in their order.
    pub each: Vec<Against>,
}

impl SlopeTest {
    /// Do the slopes differ, at [`SIGNIFICANCE`]?
    pub fn differ(&self) -> bool {
        self.p < SIGNIFICANCE
    }

    /// The place of the cylinder whose slope stands out most, if it does at [`SIGNIFICANCE`]. Of two that differ
    /// neither is the odd one.
    pub fn odd_one(&self) -> Option<(usize, Against)> {
        let least = self.each.iter().copied().enumerate().min_by(|a, b| a.1.p.total_cmp(&b.1.p))?;
        (least.1.p < SIGNIFICANCE && self.each.len() > 2).then_some(least)
    }
}

/// One slope for several cylinders, each with its own level.
#[derive(Clone, Debug, PartialEq)]
pub struct Common {
    /// Places of the cylinders.
    pub members: Vec<usize>,
    /// How many observations in all.
    pub n: usize,
    /// The line of each, in the order of the members.
    pub lines: Vec<FittedLine>,
    /// Whether the slopes differ; none if the observations cannot tell.
    pub test: Option<SlopeTest>,
}

impl Common {
    /// The slope that they have in common, in that of any of their lines; never none.
    pub fn line(&self) -> Option<&FittedLine> {
        self.lines.first()
    }
}

impl Lines {
    /// The part of an effect in the covariance of two estimates is what each has of it over its variance.
    fn parts(&self, level: &[f64], slope: &[f64]) -> (Two, Two) {
        let (mut surveys, mut standards) = (Two::default(), Two::default());
        for ((level, slope), (effect, precision)) in level.iter().zip(slope).zip(&self.effects) {
            let part = match effect {
                Effect::Survey(_) => &mut surveys,
                Effect::Standard(_) => &mut standards,
            };
            part.level += level * level * precision;
            part.both += level * slope * precision;
            part.slope += slope * slope * precision;
        }
        (surveys, standards)
    }

    /// The line of a level at `x` and a slope, with their covariance and what it has of surveys and standards.
    fn line(
        &self,
        i: usize,
        (level, slope): (f64, f64),
        total: Two,
        (surveys, standards): (Two, Two),
    ) -> FittedLine {
        let group = &self.solution.groups[i];
        let (variance, last) = self.about[i];
        // The level to be given is that which does not depend on the slope.
        let shift = -total.both / total.slope;
        let distance = last - group.x_mean;
        FittedLine {
            n: group.n,
            slope,
            x_mean: group.x_mean + shift,
            y_mean: level + slope * shift,
            scatter: variance.sqrt(),
            mean_variance: (total.level - total.both * total.both / total.slope).max(0.0),
            slope_variance: total.slope,
            dof: self.dofs.of(total.at(distance), surveys.at(distance), standards.at(distance)),
            slope_dof: self.dofs.of(total.slope, surveys.slope, standards.slope),
        }
    }

    fn own(&self, i: usize) -> FittedLine {
        let solution = &self.solution;
        let group = &solution.groups[i];
        let total =
            Two { level: solution.level(i), both: solution.level_slope(i, i), slope: solution.slopes(i, i) };
        let parts = self.parts(&group.level_with_effects, &group.slope_with_effects);
        self.line(i, (group.level, group.slope), total, parts)
    }

    /// One slope for the cylinders at some places; none below two of them.
    pub fn common(&self, members: &[usize]) -> Option<Common> {
        let (solution, m) = (&self.solution, members.len());
        if m < 2 {
            return None;
        }
        let slopes: Vec<f64> = members.iter().map(|&i| solution.groups[i].slope).collect();
        let mut inverse = Matrix::zeros(m);
        for (k, &i) in members.iter().enumerate() {
            members.iter().enumerate().for_each(|(l, &j)| *inverse.at_mut(k, l) = solution.slopes(i, j));
        }
        if inverse.invert() < m {
            return None;
        }
        // Weights of the slopes in the common one, and what is left of the inverse: with it differences weigh.
        let sums: Vec<f64> = (0..m).map(|k| inverse.row(k).iter().sum()).collect();
        let variance = 1.0 / sums.iter().sum::<f64>();
        let weights: Vec<f64> = sums.iter().map(|sum| sum * variance).collect();
        let slope = dot(&weights, &slopes);
        let mut rest = inverse;
        for (k, sum) in sums.iter().enumerate() {
            (0..m).for_each(|l| *rest.at_mut(k, l) -= sum * weights[l]);
        }
        let apart: Vec<f64> = slopes.iter().map(|own| own - slope).collect();
        let pull = rest.times(&apart);
        let chi_squared = dot(&apart, &pull).max(0.0);

        let effects = self.effects.len();
        let mixed = |weights: &[f64]| -> Vec<f64> {
            let of = |e: usize| {
                members.iter().zip(weights).map(|(&j, w)| w * solution.groups[j].slope_with_effects[e]).sum()
            };
            (0..effects).map(of).collect()
        };
        let slope_with = mixed(&weights);
        let lines = members.iter().map(|&i| {
            let group = &solution.groups[i];
            let with_slopes: Vec<f64> = members.iter().map(|&j| solution.level_slope(i, j)).collect();
            let taken = rest.times(&with_slopes);
            let total = Two {
                level: (solution.level(i) - dot(&with_slopes, &taken)).max(0.0),
                both: dot(&with_slopes, &weights),
                slope: variance,
            };
            let less = mixed(&taken);
            let level_with: Vec<f64> =
                group.level_with_effects.iter().zip(less).map(|(own, less)| own - less).collect();
            let parts = self.parts(&level_with, &slope_with);
            self.line(i, (group.level - dot(&taken, &apart), slope), total, parts)
        });
        let lines: Vec<FittedLine> = lines.collect();
        let dof = self.dofs.readings.unwrap_or(self.dofs.surveys);
        let test = (dof > 0.0).then(|| {
            let f = chi_squared / (m as f64 - 1.0);
            let each = (0..m).map(|k| {
                let weight = rest.at(k, k);
                let t = if weight > 0.0 { pull[k] / weight.sqrt() } else { 0.0 };
                let p = (2.0 * t_cdf(-t.abs(), dof) * m as f64).min(1.0);
                let others = if weight > 0.0 { slopes[k] - pull[k] / weight } else { slope };
                Against { slope: slopes[k], others, t, p }
            });
            let dof = (m as f64 - 1.0, dof);
            SlopeTest { f, dof, p: f_upper_tail(f, dof), each: each.collect() }
        });
        let n = members.iter().map(|&i| solution.groups[i].n).sum();
        Some(Common { members: members.to_vec(), n, lines, test })
    }
}

#[cfg(test)]
pub(super) mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::figure::Parts;
    use crate::line::Of;

    const KNOWN: f64 = BUDGET_DOF as f64;

    /// Observations at surveys of their own, each with this uncertainty for itself.
    pub(crate) fn known(points: &[(f64, f64)], u: f64) -> Vec<Observation> {
        shared(points, u, 0.0)
    }

    /// The same, with what they share with others of their survey.
    fn shared(points: &[(f64, f64)], u: f64, survey: f64) -> Vec<Observation> {
        let u = Parts { reading: u, survey, standard: 0.0 };
        let points = points.iter().enumerate();
        points.map(|(survey, &(x, y))| Observation { x, y, u, survey, standard: None }).collect()
    }

    pub(crate) fn one(observations: &[Observation]) -> FittedLine {
        fit_one(observations, KNOWN).unwrap().0
    }

    /// A line of which nothing is known but its observations.
    pub(crate) fn bare(points: &[(f64, f64)]) -> FittedLine {
        one(&known(points, 0.0))
    }

    fn together(cylinders: &[Vec<Observation>]) -> Lines {
        let cylinders: Vec<&[Observation]> = cylinders.iter().map(Vec::as_slice).collect();
        fit(&cylinders, KNOWN).unwrap()
    }

    fn close(found: f64, certified: f64, relative: f64) {
        assert!((found / certified - 1.0).abs() < relative, "{found} is not {certified}");
    }

    fn near(found: f64, published: f64, half: f64) {
        assert!((found - published).abs() <= half, "{found} is not {published}");
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
        let line = bare(&data);
        close(line.at(0.0), -0.262_323_073_774_029, 1e-10);
        close(line.u_at(0.0, Of::Line).unwrap(), 0.232_818_234_301_152, 1e-10);
        close(line.slope, 1.002_116_818_020_45, 1e-12);
        close(line.slope_u().unwrap(), 0.000_429_796_848_199_937, 1e-10);
        close(line.scatter, 0.884_796_396_144_373, 1e-10);
        assert_eq!((line.dof(), line.slope_dof()), (34.0, 34.0));
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
        let line = bare(&data);
        near(line.at(20.0), -0.1712, 0.000_05);
        near(line.u_at(20.0, Of::Line).unwrap(), 0.0029, 0.000_05);
        near(line.slope, 0.002_18, 0.000_005);
        near(line.slope_u().unwrap(), 0.000_67, 0.000_005);
        near(correlation_at(&line, 20.0), -0.930, 0.0005);
        near(line.scatter, 0.0035, 0.000_05);
        near(line.at(30.0), -0.1494, 0.000_05);
        near(line.u_at(30.0, Of::Line).unwrap(), 0.0041, 0.000_05);
        assert_eq!(line.dof(), 9.0);
    }

    /// The correlation of a line's value with its slope.
    fn correlation_at(line: &FittedLine, x: f64) -> f64 {
        (x - line.x_mean) * line.slope_u().unwrap() / line.u_at(x, Of::Line).unwrap()
    }

    /// ISO/TS 28037:2010, weighted least squares (grade M: values from memory, consistent when worked out again):
    /// u 0.5 each; a 1.867, b 1.757, u(a) 0.465, u(b) 0.120, cov -0.050, chi-squared 1.665 on 4 degrees of freedom.
    #[test]
    fn weighted_least_squares_of_iso_ts_28037() {
        let data = [(1.0, 3.3), (2.0, 5.6), (3.0, 7.1), (4.0, 9.3), (5.0, 10.7), (6.0, 12.1)];
        let (line, checked) = fit_one(&known(&data, 0.5), KNOWN).unwrap();
        near(line.at(0.0), 1.867, 0.0005);
        near(line.slope, 1.757, 0.0005);
        let (a, b) = (line.u_at(0.0, Of::Line).unwrap(), line.slope_u().unwrap());
        near(a, 0.465, 0.0005);
        near(b, 0.120, 0.0005);
        near(correlation_at(&line, 0.0) * a * b, -0.050, 0.0005);
        near(checked.surveys.chi_squared, 1.665, 0.0005);
        assert_eq!((checked.surveys.observed_dof, checked.surveys.ratio, line.dof()), (4.0, 1.0, 8.0));
    }

    /// Derived: three surveys at 0, 700, 1400 h of a budget of 0.0025 mm, once as it states and once doubted.
    #[test]
    fn three_surveys_of_a_known_budget() {
        for (middle, chi_squared, ratio, u, low, high) in [
            (0.018, 0.106_667, 1.0, 2.525_381e-6, 2.065_116e-5, 3.363_456e-5),
            (0.025, 3.84, 1.568, 3.162_278e-6, 1.901_396e-5, 3.527_175e-5),
        ] {
            let data = known(&[(0.0, 0.0), (700.0, middle), (1400.0, 0.038)], 0.0025);
            let (line, checked) = fit_one(&data, KNOWN).unwrap();
            close(line.slope, 2.714_286e-5, 1e-6);
            close(line.slope_u().unwrap(), u, 1e-6);
            close(checked.surveys.chi_squared, chi_squared, 1e-5);
            close(checked.surveys.ratio, ratio, 1e-9);
            assert_eq!((line.slope_dof(), line.dof(), checked.readings), (5.0, 5.0, None));
            let (found_low, found_high) = line.slope_interval_95().unwrap();
            close(found_low, low, 1e-6);
            close(found_high, high, 1e-6);
            // It makes no difference whether the surveys or the readings have it, with one cylinder.
            let as_shared = shared(&[(0.0, 0.0), (700.0, middle), (1400.0, 0.038)], 0.0015, 0.002);
            close(one(&as_shared).slope_u().unwrap(), line.slope_u().unwrap(), 1e-9);
        }
    }

    /// Derived: two surveys 1000 h apart, u 0.003 each, have u 0.003 sqrt 2 / 1000 and t of 4, 2.776; what nothing
    /// is known of has no interval.
    #[test]
    fn two_surveys_have_the_interval_of_their_budget() {
        let two = [(0.0, 1.0), (1000.0, 1.05)];
        let line = one(&known(&two, 0.003));
        let (low, high) = line.slope_interval_95().unwrap();
        near((high - low) / 2.0, 2.776 * 0.003 * 2_f64.sqrt() / 1000.0, 1e-8);
        let (line, _) = fit_one(&known(&two, 0.003), 0.0).unwrap();
        assert_eq!(
            (line.slope_interval_95(), line.band_95(0.0, Of::Reading), line.slope_u()),
            (None, None, None)
        );
        // Nor do more cylinders check it.
        let lines = together(&[known(&two, 0.003), known(&two.map(|(x, y)| (x, y + 0.1)), 0.003)]);
        assert_eq!((lines.checked.readings, lines.each[0].slope_dof()), (None, 4.0));
        assert_eq!(lines.common(&[0, 1]).unwrap().line().unwrap().slope_dof(), 4.0);
    }

    #[test]
    fn unequal_uncertainties_weigh() {
        // Derived by hand with weights 1, 1 and 1/100: x̄ = 0.52/2.01 and so on; the third point hardly counts.
        let mut data = known(&[(0.0, 0.0), (0.5, 0.0), (2.0, 0.1)], 1.0);
        data[2].u.reading = 10.0;
        let line = one(&data);
        let x_mean: f64 = 0.52 / 2.01;
        let y_mean: f64 = 0.001 / 2.01;
        let xx = x_mean * x_mean + (0.5 - x_mean).powi(2) + 0.01 * (2.0 - x_mean).powi(2);
        let xy = x_mean * y_mean - (0.5 - x_mean) * y_mean + 0.01 * (2.0 - x_mean) * (0.1 - y_mean);
        close(line.x_mean, x_mean, 1e-12);
        close(line.slope, xy / xx, 1e-12);
        close(line.slope_u().unwrap(), 1.0 / xx.sqrt(), 1e-12);
    }

    /// Derived by hand: two cylinders, three surveys at 0, 1, 2. The readings of the second are off by 0.01 times
    /// (1, -2, 1) and those of the first by as much the other way, so surveys do not move: their squares over the
    /// free steps are 12 x 0.01² / u².
    #[test]
    fn readings_are_checked_apart_from_surveys() {
        let (u, common) = (0.01_f64, 0.02_f64);
        let cylinder = |sign: f64| {
            let points = [(0.0, 0.01 * sign), (1.0, 0.05 - 0.02 * sign), (2.0, 0.10 + 0.01 * sign)];
            shared(&points, u, common)
        };
        let lines = together(&[cylinder(1.0), cylinder(-1.0)]);
        let readings = lines.checked.readings.unwrap();
        close(readings.chi_squared, 12.0, 1e-9);
        assert_eq!((readings.observed_dof, readings.budget_dof), (1.0, 1.0));
        close(readings.ratio, 13.0 / 2.0, 1e-9);
        let surveys = lines.checked.surveys;
        assert!(surveys.chi_squared < 1e-9 && surveys.observed_dof == 1.0 && surveys.ratio == 1.0);
        // Each slope has both parts over 2; the common one half of the first and all of the second.
        let (own, shared) = (6.5 * u * u, common * common);
        close(lines.each[0].slope_u().unwrap().powi(2), (own + shared) / 2.0, 1e-9);
        let both = lines.common(&[0, 1]).unwrap();
        let line = both.line().unwrap();
        close(line.slope_u().unwrap().powi(2), (own / 2.0 + shared) / 2.0, 1e-9);
        // Welch and Satterthwaite over the two parts, of 2 and 5 degrees of freedom.
        let (a, b) = (own / 2.0, shared);
        close(line.slope_dof(), (a + b).powi(2) / (a * a / 2.0 + b * b / 5.0), 1e-9);
    }

    /// Derived by hand: two cylinders that move together by 0.01 times (1, -2, 1): readings agree, surveys do not.
    #[test]
    fn a_movement_of_whole_surveys_widens_what_they_share() {
        let (u, common) = (0.001_f64, 0.002_f64);
        let points = [(0.0, 0.01), (1.0, 0.03), (2.0, 0.11)];
        let lines =
            together(&[shared(&points, u, common), shared(&points.map(|(x, y)| (x, y + 1.0)), u, common)]);
        assert!(lines.checked.readings.unwrap().chi_squared < 1e-9);
        // The squares of the second difference, 0.06, over 6 variances of a survey's mean.
        let h = u * u / 2.0 + common * common;
        let surveys = lines.checked.surveys;
        close(surveys.chi_squared, 0.0036 / (6.0 * h), 1e-9);
        close(surveys.ratio, (1.0 + surveys.chi_squared) / 2.0, 1e-9);
        let line = *lines.common(&[0, 1]).unwrap().line().unwrap();
        close(line.slope_u().unwrap().powi(2), (h + (surveys.ratio - 1.0) * h) / 2.0, 1e-9);
        close(lines.each[0].slope_u().unwrap().powi(2), (u * u / 2.0 + surveys.ratio * h) / 2.0, 1e-9);
    }

    /// Derived: one setting standard through all surveys drops out of the slope and not out of the height; a new
    /// one at each survey is as much as an error of each survey.
    #[test]
    fn a_standard_drops_out_of_the_slope_only() {
        let points = [(0.0, 0.0), (1.0, 0.02), (2.0, 0.04)];
        let plain = known(&points, 0.001);
        let with = |one: bool| -> Vec<Observation> {
            let of = |(i, o): (usize, &Observation)| Observation {
                u: Parts { standard: 0.003, ..o.u },
                standard: Some(if one { 7 } else { i }),
                ..*o
            };
            plain.iter().enumerate().map(of).collect()
        };
        let (alone, same, other) = (one(&plain), one(&with(true)), one(&with(false)));
        close(same.slope_u().unwrap(), alone.slope_u().unwrap(), 1e-9);
        let height = |line: &FittedLine| line.u_at(1.0, Of::Line).unwrap().powi(2);
        close(height(&same), height(&alone) + 9e-6, 1e-9);
        close(other.slope_u().unwrap(), (1e-5_f64 / 2.0).sqrt(), 1e-9);
        // Nothing checks a standard that is always the same: with nearly all of the variance it has the budget's
        // degrees of freedom.
        assert!(same.dof() < 5.0 && same.slope_dof() == 5.0);
        // In an engine as well.
        let lines = together(&[with(true), with(true)]);
        close(lines.each[0].slope_u().unwrap(), alone.slope_u().unwrap(), 1e-9);
        close(height(&lines.each[1]), height(&alone) + 9e-6, 1e-9);
        let line = lines.common(&[0, 1]).unwrap().lines[1];
        close(height(&line), 1e-6 / 3.0 + 9e-6, 1e-9);
    }

    /// Derived: three cylinders of 0.0200 each have 0.0200 together, however their weights.
    #[test]
    fn equal_slopes_are_the_common_one() {
        let cylinder = |n: usize, offset: f64, u: f64| {
            let points: Vec<_> = (0..n).map(|i| (i as f64, offset + 0.02 * i as f64)).collect();
            shared(&points, u, 0.003)
        };
        let lines = together(&[cylinder(2, 0.0, 0.001), cylinder(5, 1.0, 0.004), cylinder(3, 2.0, 0.0005)]);
        let common = lines.common(&[0, 1, 2]).unwrap();
        for (line, offset) in common.lines.iter().zip([0.0, 1.0, 2.0]) {
            close(line.slope, 0.02, 1e-9);
            near(line.at(0.0), offset, 1e-9);
        }
        let test = common.test.unwrap();
        assert!(test.f < 1e-9 && test.p > 0.999 && !test.differ() && test.odd_one().is_none());
        assert!(test.each.iter().all(|against| (against.others - 0.02).abs() < 1e-9));
    }

    /// Against the matrices themselves, which this way of working never writes down: unequal cylinders, surveys
    /// that not all were at, two standards.
    #[test]
    fn the_estimates_are_those_of_the_whole_covariance() {
        // The surveys move, so that they count for more than is stated.
        let moves = [0.0, -0.010, 0.012, 0.0];
        let at = |x: f64, y: f64, own: f64, survey: usize| Observation {
            x,
            y: y + moves[survey],
            u: Parts { reading: own, survey: 0.002, standard: 0.003 },
            survey,
            standard: Some(survey / 2),
        };
        let cylinders = [
            vec![
                at(0.0, 0.001, 0.001, 0),
                at(1.0, 0.02, 0.002, 1),
                at(2.1, 0.041, 0.001, 2),
                at(3.0, 0.06, 0.001, 3),
            ],
            vec![at(0.5, 0.2, 0.0015, 1), at(1.6, 0.222, 0.001, 2), at(2.5, 0.239, 0.002, 3)],
            vec![at(0.0, 0.3, 0.001, 0), at(2.1, 0.343, 0.001, 2)],
        ];
        let lines = together(&cylinders);
        let checked = lines.checked;
        assert!(checked.surveys.ratio > 1.5);
        let flat: Vec<(usize, Observation)> =
            cylinders.iter().enumerate().flat_map(|(i, of)| of.iter().map(move |o| (i, *o))).collect();
        let (n, m) = (flat.len(), cylinders.len());
        let own_ratio = checked.readings.unwrap().ratio;
        let mean_own: f64 = (0..4)
            .map(|survey| {
                let own: Vec<f64> =
                    flat.iter().filter(|f| f.1.survey == survey).map(|f| f.1.u.reading.powi(2)).collect();
                own_ratio * own.iter().sum::<f64>() / (own.len() * own.len()) as f64
            })
            .sum::<f64>()
            / 4.0;
        // Four of nine readings are by the first standard.
        let h = mean_own + 4e-6 + 9e-6 * 2.0 * (4.0 / 9.0) * (5.0 / 9.0) * 4.0 / 3.0;
        let covariance = |(_, a): &(usize, Observation), (_, b): &(usize, Observation), same: bool| {
            let own = if same { own_ratio * a.u.reading.powi(2) } else { 0.0 };
            let survey = if a.survey == b.survey { 4e-6 + (checked.surveys.ratio - 1.0) * h } else { 0.0 };
            own + survey + if a.standard == b.standard { 9e-6 } else { 0.0 }
        };
        let mut v = Matrix::zeros(n);
        for (i, a) in flat.iter().enumerate() {
            flat.iter().enumerate().for_each(|(j, b)| *v.at_mut(i, j) = covariance(a, b, i == j));
        }
        assert_eq!(v.invert(), n);
        // Own lines: columns of ones and of x for each cylinder. One slope: ones for each, and x.
        for common in [false, true] {
            let p = if common { m + 1 } else { 2 * m };
            let column = |k: usize| -> Vec<f64> {
                let of = |(i, o): &(usize, Observation)| match (common, k < m) {
                    (_, true) => f64::from(u8::from(*i == k)),
                    (true, false) => o.x,
                    (false, false) => {
                        if *i == k - m {
                            o.x
                        } else {
                            0.0
                        }
                    }
                };
                flat.iter().map(of).collect()
            };
            let columns: Vec<Vec<f64>> = (0..p).map(column).collect();
            let mut normal = Matrix::zeros(p);
            for k in 0..p {
                let weighed = v.times(&columns[k]);
                (0..p).for_each(|l| *normal.at_mut(k, l) = dot(&weighed, &columns[l]));
            }
            assert_eq!(normal.invert(), p);
            let weighed = v.times(&flat.iter().map(|(_, o)| o.y).collect::<Vec<_>>());
            let right: Vec<f64> = columns.iter().map(|column| dot(column, &weighed)).collect();
            let found = normal.times(&right);
            let lines = if common { lines.common(&[0, 1, 2]).unwrap().lines } else { lines.each.clone() };
            for (i, line) in lines.iter().enumerate() {
                let s = if common { m } else { m + i };
                close(line.at(0.0), found[i], 1e-6);
                close(line.slope, found[s], 1e-8);
                close(line.slope_u().unwrap().powi(2), normal.at(s, s), 1e-8);
                close(line.u_at(0.0, Of::Line).unwrap().powi(2), normal.at(i, i), 1e-8);
                let at_2 = normal.at(i, i) + 4.0 * normal.at(i, s) + 4.0 * normal.at(s, s);
                close(line.u_at(2.0, Of::Line).unwrap().powi(2), at_2, 1e-8);
            }
        }
    }

    /// Derived: for two cylinders the F test of equal slopes is the square of the t test of their difference.
    #[test]
    fn two_cylinders_are_a_t_test() {
        let a = shared(&[(0.0, 0.1), (1.0, 1.2), (2.0, 1.9), (3.0, 3.2)], 0.1, 0.2);
        let b = shared(&[(0.0, 0.0), (1.0, 0.4), (2.0, 1.3), (3.0, 1.4)], 0.1, 0.2);
        let lines = together(&[a, b]);
        let common = lines.common(&[0, 1]).unwrap();
        // What surveys share drops out of the difference.
        let u = (2.0 * 0.01 * lines.checked.readings.unwrap().ratio / 5.0).sqrt();
        let t = (lines.each[0].slope - lines.each[1].slope) / u;
        let test = common.test.unwrap();
        close(test.f, t * t, 1e-9);
        close(test.each[0].t, t, 1e-9);
        close(test.each[0].p, 2.0 * test.p, 1e-6);
        close(test.each[0].others, lines.each[1].slope, 1e-9);
        assert!(test.odd_one().is_none(), "of two neither is the odd one");
    }

    #[test]
    fn the_fast_one_is_named_and_luck_is_not() {
        let scatter = [0.001, -0.0006, 0.0002, -0.0008, 0.0009, -0.0007];
        let cylinder = |rate: f64, turn: usize, u: f64| -> Vec<Observation> {
            let at = |i: usize| (700.0 * i as f64, rate * 700.0 * i as f64 + scatter[(i + turn) % 6]);
            shared(&(0..6).map(at).collect::<Vec<_>>(), u, u)
        };
        let engine = |fast: f64, u: f64| -> Lines {
            let rate = |i: usize| if i == 4 { fast } else { 3e-5 };
            together(&(0..6).map(|i| cylinder(rate(i), i, u)).collect::<Vec<_>>())
        };
        let all = [0, 1, 2, 3, 4, 5];
        let calm = engine(3e-5, 0.0005).common(&all).unwrap().test.unwrap();
        assert!(!calm.differ() && calm.odd_one().is_none());
        let lines = engine(4.5e-5, 0.0005);
        let test = lines.common(&all).unwrap().test.unwrap();
        assert!(test.differ());
        let (index, against) = test.odd_one().unwrap();
        assert_eq!(index, 4);
        assert!((against.slope - 4.5e-5).abs() < 2e-6 && (against.others - 3e-5).abs() < 1e-6);
        // Without it the others are alike.
        let others = lines.common(&[0, 1, 2, 3, 5]).unwrap();
        assert!(!others.test.as_ref().unwrap().differ());
        close(others.line().unwrap().slope, against.others, 1e-9);
        // A gauge that can hardly tell makes nobody stand out.
        assert!(!engine(4.5e-5, 0.05).common(&all).unwrap().test.unwrap().differ());
    }

    #[test]
    fn what_makes_no_line() {
        let none = |points: &[(f64, f64)]| fit_one(&known(points, 0.1), KNOWN).unwrap_err();
        assert_eq!(none(&[]), NoLine::TooFew);
        assert_eq!(none(&[(1.0, 2.0)]), NoLine::TooFew);
        assert_eq!(none(&[(1.0, 2.0), (1.0, 3.0)]), NoLine::SameX);
        assert_eq!(none(&[(1.0, 2.0), (f64::NAN, 3.0)]), NoLine::NotANumber);
        assert_eq!(none(&[(1.0, 2.0), (2.0, f64::INFINITY)]), NoLine::NotANumber);
        assert_eq!(none(&[(0.0, 1e300), (1e-300, -1e300)]), NoLine::NotANumber);
        assert!(fit(&[], KNOWN).is_none_or(|lines| lines.each.is_empty()));
        let two = known(&[(0.0, 0.0), (1.0, 1.0)], 0.1);
        assert_eq!(together(std::slice::from_ref(&two)).common(&[0]), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn any_lines_are_numbers(
            cylinders in prop::collection::vec(
                prop::collection::vec(
                    (0.0..1e4_f64, -1.0..1.0_f64, 1e-7..0.1_f64, prop_oneof![Just(0.0), 1e-7..0.1_f64], 0..6_usize, prop::option::of(0..3_usize)),
                    2..7,
                ),
                1..6,
            ),
            dof in 0..=4_u8,
        ) {
            let cylinders: Vec<Vec<Observation>> = cylinders
                .into_iter()
                .map(|of| {
                    let observation = |(x, y, reading, survey, at, standard): (f64, f64, f64, f64, usize, Option<usize>)| {
                        Observation { x, y, u: Parts { reading, survey, standard: survey }, survey: at, standard }
                    };
                    of.into_iter().map(observation).collect()
                })
                .collect();
            let slices: Vec<&[Observation]> = cylinders.iter().map(Vec::as_slice).collect();
            let lines = fit(&slices, f64::from(dof)).unwrap();
            let all: Vec<usize> = (0..cylinders.len()).collect();
            let common = lines.common(&all);
            for line in lines.each.iter().chain(common.iter().flat_map(|common| &common.lines)) {
                prop_assert!(line.slope.is_finite() && line.scatter.is_finite());
                prop_assert!(line.dof() >= 0.0 && line.slope_dof() >= 0.0);
                if let (Some(inner), Some(outer)) = (line.band_95(500.0, Of::Line), line.band_95(500.0, Of::Reading)) {
                    prop_assert!(outer.0 <= inner.0 && inner.1 <= outer.1 && inner.0 < inner.1);
                }
            }
            prop_assert!(lines.checked.surveys.ratio >= 1.0);
        }
    }
}
