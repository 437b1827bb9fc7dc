//! The window, driven as a person drives it: by keys, and by the names that a screen reader finds.

#![expect(clippy::expect_used, clippy::indexing_slicing, reason = "a test says what it expects")]

mod bore;
mod entry;
mod exchange;
mod files;
mod harness;
mod leaving;
mod lesson;
mod life;
#[cfg(feature = "paper")]
mod paper;
mod places;
mod signing;
mod views;
