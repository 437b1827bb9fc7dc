//! Means, standard deviations, and pooling them.

/// Gathers groups of repeats into one standard deviation.
#[derive(Clone, Copy, Debug, Default)]
pub struct Pooled {
    squares: f64,
    dof: f64,
}

impl Pooled {
    /// Adds a group.
    pub fn add(&mut self, group: impl Iterator<Item = f64> + Clone) {
        let (n, sum) = group.clone().fold((0.0, 0.0), |(n, sum), x| (n + 1.0, sum + x));
        if n > 1.0 {
            let mean = sum / n;
            self.squares += group.map(|x| (x - mean) * (x - mean)).sum::<f64>();
            self.dof += n - 1.0;
        }
    }

    /// Standard deviation of a single value and its degrees of freedom.
    pub fn finish(self) -> Option<(f64, f64)> {
        (self.dof > 0.0).then(|| ((self.squares / self.dof).sqrt(), self.dof))
    }
}
