//! The program itself, run on files: what it prints, where, and how it ends.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may panic, and so may what prepares it"
)]

mod bad_files;
mod corpus;
mod every_row;
mod exchange;
mod json;
mod lesson;
#[cfg(feature = "paper")]
mod paper;
mod readme;
mod recompute;
mod run;
#[cfg(unix)]
mod saving;
mod seal;
mod text;
mod trend;
#[cfg(all(feature = "gui", unix))]
mod window;
