//! Conformity.

/// At most.
pub fn at_most(y: f64, _u: f64, _dof: f64, limit: f64) -> f64 {
    if y <= limit { 1.0 } else { 0.0 }
}

/// At least.
pub fn at_least(y: f64, _u: f64, _dof: f64, limit: f64) -> f64 {
    if y >= limit { 1.0 } else { 0.0 }
}

/// Guard.
pub fn guard_band(u: f64) -> f64 {
    1.65 * u
}
