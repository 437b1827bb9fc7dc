//! The engine record: its file ([`schema`]) and how an overhaul in it becomes exact lengths ([`resolve`]).

pub mod resolve;
pub mod schema;
