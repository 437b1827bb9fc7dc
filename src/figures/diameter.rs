//! Largest, smallest and average diameter of a barrel, and where.

use super::{Figure, Gathered, Scope, largest, smallest};
use crate::bore::Bore;

/// The largest mean diameter. Further readings can only enlarge it.
pub fn largest_diameter(bore: &Bore, scope: &Scope<'_>) -> Gathered {
    Gathered {
        figure: largest(scope.measured(bore)).map(|(at, mean)| Figure::of_cell(at, mean)),
        missing: scope.missing(bore),
    }
}

/// The smallest mean diameter.
pub fn smallest_diameter(bore: &Bore, scope: &Scope<'_>) -> Gathered {
    Gathered {
        figure: smallest(scope.measured(bore)).map(|(at, mean)| Figure::of_cell(at, mean)),
        missing: scope.missing(bore),
    }
}

/// The average diameter over the required cells; none until all of them are measured.
pub fn average_diameter(bore: &Bore, scope: &Scope<'_>) -> Gathered {
    Gathered { figure: scope.average(bore), missing: scope.missing(bore) }
}
