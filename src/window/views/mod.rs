//! The views: one file each, functions that draw and ask ([`super`] says how to add one).

pub mod bank;
pub mod bore;
mod chance;
pub mod engine;
pub mod exchange;
pub mod fits;
mod gauges;
pub mod head;
pub mod life;
pub mod limits;
pub mod outcome;
pub mod paper;
#[cfg(feature = "paper")]
pub mod preview;
pub mod sheet;
pub mod signing;
pub mod start;
pub mod walkround;
