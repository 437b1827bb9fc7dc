//! The engine record: its file ([`schema`]), how an overhaul in it becomes exact lengths ([`resolve`]), how a diameter
//! would have been typed into it ([`entry`]), and what does not go together in the whole ([`check`]).

pub mod check;
pub mod entry;
pub mod resolve;
pub mod schema;
