//! What is done with a record: an overhaul is evaluated, changed by commands that can be undone, and closed by a
//! signature; its readings go to other programs and come in from them; a fleet of cylinders is judged in one stream.
//! Nothing here knows a screen, a page or a command line.
//!
//! | module | what it owns |
//! |---|---|
//! | [`evaluation`] | an overhaul's readings, and the outcome of every cylinder |
//! | [`seal`] | an overhaul closed by a digest, amendments, what is not as it was signed |
//! | [`exchange`] | readings, figures and outcomes out as tables, readings in |
//! | [`session`] | a record under work: commands and undo |
//! | [`fleet`] | any number of cylinders in one table of readings |

use records::kind::Kind;

/// The kinds of document of this room.
pub const KINDS: &[&Kind] = &[&fleet::KIND, &exchange::KIND];

pub mod evaluation;
pub mod exchange;
pub mod fleet;
pub mod seal;
pub mod session;
