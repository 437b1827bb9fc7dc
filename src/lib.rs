//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.

pub mod bore;
pub mod certainty;
#[cfg(feature = "cli")]
pub mod cli;
pub mod diag;
pub mod figures;
pub mod file;
pub mod judge;
pub mod length;
pub mod limits;
pub mod mass;
pub mod record;
pub mod slips;
pub mod survey;
pub mod text_position;
