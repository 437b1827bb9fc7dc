//! The table of limits: its file ([`schema`]), what its printed numbers mean ([`value`]).

pub mod schema;
pub mod value;
