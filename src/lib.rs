//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.

pub mod bore;
pub mod certainty;
#[cfg(feature = "cli")]
pub mod cli;
pub mod diag;
pub mod figures;
pub mod file;
#[cfg(feature = "gui")]
pub mod gui;
pub mod judge;
pub mod length;
pub mod limits;
pub mod mass;
pub mod record;
pub mod session;
pub mod slips;
pub mod store;
pub mod survey;
pub mod text_position;
