//! Tests over the public interface of the library, without a command line and without a window.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test may panic, and so may what prepares it"
)]

mod bad_input;
mod damage;
mod evidence;
mod floors;
mod good_files;
mod kinds;
mod packages;
mod published;
mod tabular;

/// What is tried on damaged files is what is tried on invented ones.
#[path = "../../fuzz/targets.rs"]
#[expect(dead_code, reason = "not every target is tried on a damaged file")]
mod targets;
