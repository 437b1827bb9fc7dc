//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.

pub mod diag;
pub mod file;
pub mod length;
pub mod limits;
pub mod record;
pub mod text_position;
