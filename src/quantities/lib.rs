//! Exact lengths, weights and areas, read from what a person typed and printed as the trade prints them; means and
//! deviations of floats. Nothing here knows what was measured.

pub mod area;
pub mod length;
pub mod mass;
pub mod moments;
