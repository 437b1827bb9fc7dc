//! The engine record: its file ([`schema`]), the file's older layout ([`format_1`]).

pub mod format_1;
pub mod schema;
