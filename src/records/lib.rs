//! What a person wrote, and what it stands for. Tables of limits and engine records are read from their files and
//! kept as written; what is wrong with them is told with its place; every text becomes an exact length in the end, as
//! [`limits::Limits`] and as [`survey::Survey`]. Nothing here knows a figure of a bore or judges one.
//!
//! | to | modules |
//! |---|---|
//! | tell what is wrong, where, and what to do | [`diag`], [`text_position`], [`wording`] |
//! | read and write files | [`mod@file`], [`kind`], [`comments`], [`folder`], [`disk`], [`store`], [`contained`] |
//! | read tables of readings of other programs | [`tabular`] |
//! | keep what was written | [`limits::schema`], [`record::schema`] |
//! | find misprints and contradictions | [`limits::validate`], [`record::check`] |
//! | have it exact | [`limits::resolved`], [`record::resolve`], [`survey`], [`bore`] |

pub mod bore;
pub mod comments;
pub mod contained;
pub mod diag;
pub mod disk;
pub mod file;
pub mod folder;
pub mod kind;
pub mod limits;
pub mod record;
pub mod store;
pub mod survey;
pub mod tabular;
pub mod text_position;
pub mod wording;
