//! The classroom's core: bores that are invented, a gauge that behaves like a real one, exercises with their
//! key, fair marks, and the gauge study.
//!
//! Everything a student learns here comes from the functions that serve a real survey: figures, slips, budgets
//! and judging are the product's own. Nothing here draws, and nothing here is for a real engine.
//!
//! | file | what it owns |
//! |---|---|
//! | `shape` | an invented bore made of parts, and the exact diameter at any place |
//! | `demonstration` | everything the product says of an invented bore |
//! | `gauge` | a bore gauge or inside micrometer in that bore: what its dial shows |
//! | `exercise`, `key` | exercises from a seed number, and their answers with working |
//! | `mark` | marks against the truth and what the gauge could have known |
//! | `study` | the gauge study: repeatability and reproducibility |
//! | `random` | random numbers that are the same on every machine for ever |
//!
//! Lengths are exact and on the diameter unless a line says "per side"; statistics are in millimetres; angles
//! are in degrees.

use records::kind::Kind;

/// The kinds of document of this room.
pub const KINDS: &[&Kind] = &[&key::KIND, &study::KIND];

pub mod demonstration;
pub mod exercise;
pub mod gauge;
pub mod key;
pub mod mark;
pub mod random;
pub mod shape;
pub mod study;
