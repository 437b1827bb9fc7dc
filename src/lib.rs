//! Borewright: cylinder bore readings in, exact figures and a reasoned recommendation out.
//!
//! Data flows one way: file → record and limits → survey → figures → judgement → view. Each arrow is a
//! function, and nothing to its left knows what is to its right.
//!
//! | layer | modules | what it owns |
//! |---|---|---|
//! | ground | [`length`], [`mass`], [`area`], [`diag`], [`disk`], [`wording`] | exact quantities; what there is to tell about a file; files told apart |
//! | files | [`mod@file`], [`text_position`], [`comments`], [`limits::schema`], [`record::schema`] | what a person wrote, kept as written |
//! | checks | [`limits::validate`], [`record::check`] | misprints and contradictions, told with their place |
//! | exact | [`limits::resolved`], [`record::resolve`], [`survey`], [`bore`] | every text read: exact limits, exact diameters |
//! | figures | [`figures`] | every figure of the trade, one file each |
//! | how sure | [`certainty`] | budgets, conformity, guard bands, outliers |
//! | slips | [`slips`] | readings that look wrong, and what was probably meant |
//! | judgement | [`judge`] | rows, findings, the ladder of oversizes, the recommendation and its reasons |
//! | drawings | [`drawing`] | what is drawn of a bore, and as SVG |
//! | across overhauls | [`life`] | following a cylinder, rates of wear, when a limit is reached, the odd one out |
//! | classroom | [`lesson`] | invented bores, a practice gauge, exercises with key and marks, gauge studies |
//! | signing | [`seal`] | an overhaul closed by a digest, amendments, what is not as it was signed |
//! | between programs | [`exchange`], [`heading`], [`fleet`] | readings out and in as tables, a fleet judged in one stream |
//! | work | [`evaluation`], [`session`], [`store`] | an overhaul evaluated; a record under work: commands, undo; saving, recovery, locks |
//!
//! The core knows no screen and no page: the command line (feature `cli`), the window (feature `gui`) and what is
//! printed (feature `paper`) ask it the same questions.

pub mod area;
pub mod bore;
pub mod certainty;
#[cfg(feature = "cli")]
pub mod cli;
pub mod comments;
pub mod contained;
pub mod diag;
pub mod disk;
pub mod drawing;
pub mod evaluation;
pub mod exchange;
pub mod figures;
pub mod file;
pub mod fleet;
pub mod folder;
#[cfg(feature = "gui")]
pub mod gui;
pub mod heading;
pub mod judge;
pub mod length;
pub mod lesson;
pub mod life;
pub mod limits;
pub mod mass;
#[cfg(feature = "paper")]
pub mod paper;
pub mod picture;
pub mod record;
pub mod seal;
pub mod session;
pub mod slips;
pub mod store;
pub mod survey;
pub mod text_position;
pub mod wording;
