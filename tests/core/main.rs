//! Tests over the public interface of the library, without a command line and without a window.

#![expect(clippy::unwrap_used, reason = "a test may panic, and so may what prepares it")]

mod bad_input;
mod evidence;
mod good_files;
mod layering;
mod published;
