//! The engine record: its file ([`schema`]).

pub mod schema;
