//! How sure.

pub mod budget;
pub mod conformity;
pub mod measured;
pub mod moments;
