//! The engine record: its file ([`schema`]), the file's older layout ([`format_1`]), and how an overhaul in it
//! becomes exact lengths ([`resolve`]).

pub mod format_1;
pub mod resolve;
pub mod schema;
