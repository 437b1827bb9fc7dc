//! Choke: base-end average minus head-end average, for a barrel ground smaller at the head.
//!
//! A choked barrel that reads parallel when cold has lost its choke: that is wear, not health.

use super::{Gathered, Scope};
use crate::bore::Bore;

/// The choke left in a barrel, negative if the head end has become the larger one.
pub fn choke(bore: &Bore, head: &Scope<'_>, base: &Scope<'_>) -> Gathered {
    let mut missing = head.missing(bore);
    missing.extend(base.missing(bore));
    let figure = base.average(bore).zip(head.average(bore)).map(|(base, head)| base.minus(head));
    Gathered { figure, missing }
}
