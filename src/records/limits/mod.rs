//! The table of limits: its file ([`schema`]), the reading of its numbers ([`value`]), the exact limits that
//! judging compares with ([`resolved`]), and the search for misprints ([`validate`]).

pub mod resolved;
pub mod rows;
pub mod schema;
pub mod validate;
pub mod value;

pub use resolved::Limits;
