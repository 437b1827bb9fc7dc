//! The views: one file each, functions that draw and ask ([`super`] says how to add one).

pub mod bank;
pub mod bore;
mod gauges;
pub mod head;
pub mod outcome;
pub mod sheet;
pub mod start;
