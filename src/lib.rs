//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.

pub mod area;
pub mod bore;
pub mod certainty;
pub mod diag;
pub mod figures;
pub mod file;
pub mod judge;
pub mod length;
pub mod life;
pub mod limits;
pub mod mass;
pub mod record;
pub mod slips;
pub mod survey;
pub mod text_position;
