//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.

pub mod diag;
pub mod length;
pub mod limits;
pub mod record;
