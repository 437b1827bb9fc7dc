//! The window, driven as a person drives it: by keys, and by the names that a screen reader finds.

mod bore;
mod entry;
mod files;
mod harness;
mod places;
