//! The table of limits: its file ([`schema`]).

pub mod schema;
