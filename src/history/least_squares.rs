//! Generalised least squares for straight lines whose errors have parts in common: the algebra, which knows
//! nothing of surveys.
//!
//! An observation is y = level + slope (x - x̄) + effects + error. Level and slope belong to its group and are
//! free; its own error has a variance; an effect is an error that it has in common with others, of a known
//! variance, or of none, and then it is free as well. Effects of known variance make the covariance of the
//! observations without a matrix of their size: the equations are those of mixed models (Henderson, 1950), in
//! which what generalised least squares gives comes out as estimates beside the effects. Each group's level and
//! slope are taken out first, so that what is left to invert is as large as there are effects.

#![expect(clippy::indexing_slicing, reason = "matrices are made here, and no index is from outside")]

/// An observation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    /// Which group it is of; rows of one group stand together.
    pub group: usize,
    pub x: f64,
    pub y: f64,
    /// Variance of its own error; above zero.
    pub variance: f64,
    /// Places of the effects it has.
    pub effects: [Option<usize>; 2],
}

impl Row {
    fn effects(&self) -> impl Iterator<Item = usize> {
        self.effects.into_iter().flatten()
    }
}

/// A square matrix.
#[derive(Clone, Debug, Default)]
pub(super) struct Matrix {
    size: usize,
    values: Vec<f64>,
}

/// A pivot that is so small a part of what it was before is zero but for rounding.
const SINGULAR: f64 = 1e-9;

impl Matrix {
    pub(super) fn zeros(size: usize) -> Self {
        Self { size, values: vec![0.0; size * size] }
    }

    pub(super) fn row(&self, i: usize) -> &[f64] {
        &self.values[i * self.size..(i + 1) * self.size]
    }

    pub(super) fn at(&self, i: usize, j: usize) -> f64 {
        self.values[i * self.size + j]
    }

    pub(super) fn at_mut(&mut self, i: usize, j: usize) -> &mut f64 {
        &mut self.values[i * self.size + j]
    }

    pub(super) fn times(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.size).map(|i| dot(self.row(i), vector)).collect()
    }

    /// Inverts a symmetric matrix without negative eigenvalues in its place (Gauss and Jordan), and gives its
    /// rank. Where it has no inverse, rows and columns that depend on those before them come out as zero.
    pub(super) fn invert(&mut self) -> usize {
        let n = self.size;
        let before: Vec<f64> = (0..n).map(|k| self.at(k, k)).collect();
        let mut rank = 0;
        for (k, before) in before.into_iter().enumerate() {
            let pivot = self.at(k, k);
            // A pivot that is no number counts as none.
            if pivot.is_nan() || before.is_nan() || pivot <= SINGULAR * before {
                for i in 0..n {
                    *self.at_mut(i, k) = 0.0;
                    *self.at_mut(k, i) = 0.0;
                }
                continue;
            }
            rank += 1;
            *self.at_mut(k, k) = 1.0;
            (0..n).for_each(|j| *self.at_mut(k, j) /= pivot);
            for i in (0..n).filter(|i| *i != k) {
                let factor = std::mem::take(self.at_mut(i, k));
                (0..n).for_each(|j| *self.at_mut(i, j) -= factor * self.at(k, j));
            }
        }
        rank
    }
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// One group's level and slope.
#[derive(Clone, Debug)]
pub(super) struct Estimate {
    pub n: usize,
    /// Weighted mean of its `x`, where the level is that of the line.
    pub x_mean: f64,
    pub level: f64,
    pub slope: f64,
    /// Variances by its own observations alone, as if the effects were known.
    pub own_variance: (f64, f64),
    /// By how much level and slope change with each effect.
    level_by_effect: Vec<f64>,
    slope_by_effect: Vec<f64>,
    /// Covariance of level and slope with each effect's estimate.
    pub level_with_effects: Vec<f64>,
    pub slope_with_effects: Vec<f64>,
}

/// What a fit comes to.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    /// One for each group.
    pub groups: Vec<Estimate>,
    /// Sum of squares over variances, of observations and of effects.
    pub chi_squared: f64,
    /// How many effects are determined.
    pub rank: usize,
}

impl Solution {
    /// Covariance of two groups' slopes.
    pub(super) fn slopes(&self, i: usize, j: usize) -> f64 {
        let (a, b) = (&self.groups[i], &self.groups[j]);
        let own = if i == j { a.own_variance.1 } else { 0.0 };
        own - dot(&a.slope_with_effects, &b.slope_by_effect)
    }

    /// Covariance of a group's level with a group's slope.
    pub(super) fn level_slope(&self, i: usize, j: usize) -> f64 {
        -dot(&self.groups[i].level_with_effects, &self.groups[j].slope_by_effect)
    }

    /// Variance of a group's level.
    pub(super) fn level(&self, i: usize) -> f64 {
        let group = &self.groups[i];
        group.own_variance.0 - dot(&group.level_with_effects, &group.level_by_effect)
    }
}

/// Fits a line to each group. `precisions` is one over the variance of each effect, zero for a free one.
///
/// Each group needs two different `x`.
pub(super) fn solve(rows: &[Row], precisions: &[f64]) -> Solution {
    let q = precisions.len();
    let mut normal = Matrix::zeros(q);
    let mut right = vec![0.0; q];
    let mut groups: Vec<Estimate> = Vec::new();
    for rows in rows.chunk_by(|a, b| a.group == b.group) {
        let sum = |of: &dyn Fn(&Row) -> f64| -> f64 { rows.iter().map(|row| of(row) / row.variance).sum() };
        // About the first observation, so that a large offset costs no digits.
        let (x0, y0) = (rows[0].x, rows[0].y);
        let weight = sum(&|_| 1.0);
        let x_mean = x0 + sum(&|row| row.x - x0) / weight;
        let y_mean = y0 + sum(&|row| row.y - y0) / weight;
        let xx = sum(&|row| (row.x - x_mean).powi(2));
        let xy = sum(&|row| (row.x - x_mean) * (row.y - y_mean));
        let (mut by_level, mut by_slope) = (vec![0.0; q], vec![0.0; q]);
        for row in rows {
            for effect in row.effects() {
                by_level[effect] += 1.0 / row.variance / weight;
                by_slope[effect] += (row.x - x_mean) / row.variance / xx;
                right[effect] += (row.y - y_mean) / row.variance;
                row.effects().for_each(|other| *normal.at_mut(effect, other) += 1.0 / row.variance);
            }
        }
        for k in 0..q {
            right[k] -= by_slope[k] * xy;
            for l in 0..q {
                *normal.at_mut(k, l) -= by_level[k] * by_level[l] * weight + by_slope[k] * by_slope[l] * xx;
            }
        }
        groups.push(Estimate {
            n: rows.len(),
            x_mean,
            level: y_mean,
            slope: xy / xx,
            own_variance: (1.0 / weight, 1.0 / xx),
            level_by_effect: by_level,
            slope_by_effect: by_slope,
            level_with_effects: Vec::new(),
            slope_with_effects: Vec::new(),
        });
    }
    (0..q).for_each(|k| *normal.at_mut(k, k) += precisions[k]);
    let rank = normal.invert();
    let effects = normal.times(&right);
    for group in &mut groups {
        let minus = |vector: Vec<f64>| -> Vec<f64> { vector.into_iter().map(|value| -value).collect() };
        group.level_with_effects = minus(normal.times(&group.level_by_effect));
        group.slope_with_effects = minus(normal.times(&group.slope_by_effect));
        group.level -= dot(&group.level_by_effect, &effects);
        group.slope -= dot(&group.slope_by_effect, &effects);
    }
    let residual = |row: &Row| {
        let of_effects: f64 = row.effects().map(|effect| effects[effect]).sum();
        groups
            .get(row.group)
            .map_or(0.0, |group| row.y - group.level - group.slope * (row.x - group.x_mean) - of_effects)
    };
    let of_rows: f64 = rows.iter().map(|row| residual(row).powi(2) / row.variance).sum();
    let of_effects: f64 =
        effects.iter().zip(precisions).map(|(effect, precision)| effect * effect * precision).sum();
    Solution { groups, chi_squared: of_rows + of_effects, rank }
}
