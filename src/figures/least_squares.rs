//! Least squares on a mean and a handful of columns, by orthogonal projection.
//!
//! The coefficient of a column is read off the part of it that no other column explains (Frisch, Waugh and
//! Lovell). So no system of equations is solved, and a column that the rows cannot tell from the others is
//! found out by its own length instead of spoiling the rest. Columns are scaled by the caller so that one
//! unit of a coefficient moves a value by about one unit.

/// A column whose own part is shorter than this would magnify the scatter of a reading more than 20 times in
/// its coefficient: the rows cannot tell it from the other columns.
const SHORTEST: f64 = 0.05;
/// A column whose own part is shorter than this has none but rounding.
const ROUNDING: f64 = 1e-9;

/// A least-squares solution.
pub(super) struct Solution {
    /// The constant; `None` if the rows cannot tell it from the columns.
    pub mean: Option<f64>,
    /// One coefficient for each column; `None` if the rows cannot tell it from the others.
    pub coefficients: Vec<Option<f64>>,
    /// Standard deviation of what is left over; `None` if every row is needed for the fit.
    pub residual: Option<f64>,
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn length(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

/// What is left of a vector outside the span of some orthonormal ones.
fn outside(vector: &[f64], basis: &[Vec<f64>]) -> Vec<f64> {
    let mut rest = vector.to_vec();
    // The second pass takes away what rounding left of the first.
    for direction in basis.iter().chain(basis) {
        let along = dot(&rest, direction);
        rest.iter_mut().zip(direction).for_each(|(rest, d)| *rest -= along * d);
    }
    rest
}

/// Orthonormal vectors with the same span as some columns.
fn basis<'a>(columns: impl Iterator<Item = &'a Vec<f64>>) -> Vec<Vec<f64>> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    for column in columns {
        let mut own = outside(column, &basis);
        let size = length(&own);
        if size > ROUNDING {
            own.iter_mut().for_each(|x| *x /= size);
            basis.push(own);
        }
    }
    basis
}

/// Fits `values` by a constant plus the sum of coefficient times column. Every column has one entry a value.
pub(super) fn solve(columns: Vec<Vec<f64>>, values: &[f64]) -> Solution {
    // Deviations from one of the values: sixteen digits would otherwise be spent on the diameter itself.
    let origin = values.first().copied().unwrap_or(0.0);
    let deviations: Vec<f64> = values.iter().map(|value| value - origin).collect();
    let mut all = vec![vec![1.0; values.len()]];
    all.extend(columns);
    let coefficient = |index: usize| {
        let others = basis(all.iter().enumerate().filter(|&(i, _)| i != index).map(|(_, column)| column));
        let own = outside(all.get(index)?, &others);
        (length(&own) > SHORTEST).then(|| dot(&own, &deviations) / dot(&own, &own))
    };
    let mean = coefficient(0).map(|mean| mean + origin);
    let coefficients = (1..all.len()).map(coefficient).collect();
    let basis = basis(all.iter());
    let spare = values.len().saturating_sub(basis.len());
    let residual = (spare > 0).then(|| length(&outside(&deviations, &basis)) / (spare as f64).sqrt());
    Solution { mean, coefficients, residual }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The thermometer calibration of JCGM 100:2008, H.3 (grade P): correction against temperature, referred
    /// to 20 degrees.
    #[test]
    fn line_of_jcgm_100_h3() {
        let temperature =
            [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        let correction =
            [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        let fit = solve(vec![temperature.map(|t| t - 20.0).to_vec()], &correction);
        assert!((fit.mean.unwrap() - -0.1712).abs() < 5e-5);
        assert!((fit.coefficients[0].unwrap() - 0.002_18).abs() < 5e-6);
        assert!((fit.residual.unwrap() - 0.0035).abs() < 5e-5);
    }

    #[test]
    fn a_column_that_repeats_another_is_not_determined_and_spoils_nothing() {
        let x = vec![-1.0, 0.0, 1.0, 1.0];
        let twin = x.iter().map(|x| 2.0 * x + 1.0).collect();
        let other = vec![0.0, 1.0, 0.0, 1.0];
        // 3 + 2 x + 5 other
        let fit = solve(vec![x, twin, other], &[1.0, 8.0, 5.0, 10.0]);
        assert_eq!(fit.mean, None, "the constant is within the span of the twins");
        assert_eq!(fit.coefficients[..2], [None, None]);
        assert!((fit.coefficients[2].unwrap() - 5.0).abs() < 1e-12);
        assert!(fit.residual.unwrap() < 1e-12);
    }

    #[test]
    fn nothing_at_all_is_no_fit() {
        let fit = solve(vec![vec![]], &[]);
        assert!(fit.mean.is_none() && fit.coefficients == [None] && fit.residual.is_none());
        let fit = solve(vec![vec![f64::NAN, 1.0]], &[1.0, 2.0]);
        assert_eq!(fit.coefficients, [None]);
    }
}
