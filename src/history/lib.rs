//! Across overhauls: how fast each cylinder wears, when it reaches its limits, which one stands out, and how
//! sure all of that is.
//!
//! | file | what it owns |
//! |---|---|
//! | [`figure`] | which figures are followed, what each is computed from, its limit |
//! | [`sheet`] | an overhaul of a record as those figures |
//! | [`follow`] | cylinders by serial number, their lives and their own hours |
//! | [`repeated`] | serial numbers that stand on more than one cylinder |
//! | [`trend`] | one figure of one cylinder over time, in numbers and in sentences |
//! | [`engine`] | the cylinders of an engine against each other |
//! | [`first`] | which limit is reached first |
//! | [`index`] | all of that for a folder of records, kept in a small file |
//! | [`gather`] | the same in the background, with progress, for whoever goes on typing |
//! | [`across`] | a record that is open and what was gathered, followed together |
//! | [`mod@line`], [`lines`], [`pooled`], [`crossing`], [`compare`] | the statistics, which know nothing of engines |
//!
//! Statistics are in millimetres and in hours or years. Nothing here may look surer than it is: what cannot be
//! said is a sentence, not a number.

pub mod across;
pub mod compare;
pub mod crossing;
pub mod engine;
pub mod figure;
pub mod first;
pub mod follow;
pub mod gather;
pub mod index;
mod least_squares;
pub mod line;
pub mod lines;
mod merge;
pub mod pooled;
pub mod repeated;
pub mod sheet;
pub mod trend;

#[cfg(test)]
mod tests;
