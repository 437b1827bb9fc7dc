//! The command line: a thin shell over the library. It reads what was typed, calls the core and shows what
//! came out; it computes nothing itself and knows no rule of the trade.
//!
//! | file | what it does |
//! |---|---|
//! | `args` | what can be typed, its help, the completions and the manual page |
//! | `run` | dispatches, writes to the two outputs, settles the exit status |
//! | `telling` | how a command went, and what is wrong with its input |
//! | `files` | files and folders as typed, expanded, read, and worked on in parallel in input order |
//! | `judged` | one file judged: the data that both kinds of output show |
//! | `judge_text` | that data as text for people, 100 columns wide |
//! | `judge_json` | that data as JSON for programs; its documentation is the format's |
//! | `figures_text`, `figures_json` | every figure of a cylinder under every rule, as text and as JSON |
//! | `check` | every problem of a file |
//! | `exchange` | readings, figures and outcomes out, readings in |
//! | `plot` | a drawing as a picture |
//! | `seal` | signing, amending, and how signatures stand |
//! | `trend` | cylinders across overhauls |
//! | `lesson` | exercises written and marked, gauge studies |
//! | `paper` | reports, blank check sheets and part tags as PDF (feature `paper`) |
//! | `text` | wrapping, tables with aligned decimal points, styles |
//!
//! Exit status: 0 done, 2 bad input or usage, 3 done but what there is to say could not be written. A bad file never keeps
//! the others from being worked on.

#![cfg(feature = "cli")]

pub mod args;
pub mod check;
pub mod exchange;
pub mod figures_json;
pub mod figures_text;
pub mod files;
pub mod judge_json;
pub mod judge_text;
pub mod judged;
pub mod lesson;
#[cfg(feature = "paper")]
pub mod paper;
pub mod plot;
pub mod run;
pub mod seal;
pub mod telling;
pub mod text;
pub mod trend;

#[cfg(feature = "paper")]
pub use ::paper::apart::set_for_another;
pub use args::Args;
pub use run::{help, refuse, run, there};
