//! The table of limits: its file ([`schema`]), the reading of its numbers ([`value`]), and the exact limits
//! that judging compares with ([`resolved`]).

pub mod resolved;
pub mod schema;
pub mod value;

pub use resolved::Limits;
