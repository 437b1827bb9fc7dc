//! The report's content as plain data: what the template reads. Every number is text already, in the unit and with
//! the digits of its readings, every sentence the core's own; nothing is computed here that the core does not.
//! What is printed stands here; [`report()`] gathers it, and each section of it that is long has a file.
//!
//! A shop's template reads the same data. A later program adds fields; it raises [`FORMAT`] if one changes its
//! meaning. What there is not is `null`, an empty text or an empty list.

mod cylinder;
mod limits;
mod report;

use judging::words::NONE;
use serde::Serialize;

pub(crate) use cylinder::{axis_label, bore_limits};
pub(crate) use limits::limits_of;
pub(crate) use report::identity;
pub use report::report;

/// The number in `format` of all that templates read.
pub const FORMAT: u32 = 1;

/// A report.
#[derive(Debug, Serialize)]
pub struct Report {
    /// [`FORMAT`].
    pub format: u32,
    /// The program and its version.
    pub program: String,
    /// The paper's name: `a4` or `us-letter`.
    pub paper: &'static str,
    /// What stands over it.
    pub title: String,
    /// What identifies engine and overhaul.
    pub identity: Identity,
    /// What it was measured with and under which conditions, each a name and what it is.
    pub conditions: Vec<(String, String)>,
    /// Gauges, one row each.
    pub gauges: Vec<GaugeRow>,
    /// Setting standards: name, size, calibration.
    pub standards: Vec<[String; 3]>,
    /// What stands over everything that comes from an invented table; none for a maker's table.
    pub illustrative: Option<&'static str>,
    /// The rules in force, as a sentence.
    pub judged_by: String,
    /// How many cylinders come to what.
    pub counts: String,
    /// The cylinders.
    pub cylinders: Vec<Cylinder>,
    /// What holds for the engine as a whole, as sentences.
    pub remarks: Vec<String>,
    /// Rates of wear; none with a single overhaul.
    pub history: Option<History>,
    /// What was left open about how sure the figures are, as paragraphs.
    #[serde(rename = "sureness")]
    pub uncertainty: Vec<String>,
    /// The table of limits.
    pub limits: LimitsTable,
    /// Cautions, as sentences.
    pub cautions: Vec<&'static str>,
    /// Who signs.
    pub signature: Signature,
    /// Who decides.
    pub who_decides: &'static str,
}

/// What identifies an engine and its overhaul; stands on every page.
#[derive(Debug, Serialize)]
pub struct Identity {
    /// Engine model.
    pub model: String,
    /// Engine serial number.
    pub serial: String,
    /// Whose it is; may be empty.
    pub owner: String,
    /// What it is in; may be empty.
    pub installed_in: String,
    /// `Overhaul 3 of 3`.
    pub overhaul: String,
    /// The day of measuring.
    pub date: String,
    /// Total time, with its unit; may be empty.
    pub total_time: String,
    /// Time since the overhaul before, with its unit; may be empty.
    pub since_overhaul: String,
    /// The inspector's name; may be empty.
    pub inspector: String,
    /// The inspector's certificate; may be empty.
    pub certificate: String,
    /// Remarks on the overhaul; may be empty.
    pub remarks: String,
}

/// A gauge.
#[derive(Debug, Serialize)]
pub struct GaugeRow {
    /// Name and serial number.
    pub name: String,
    /// What the number read from it stands for.
    pub reads: String,
    /// One graduation.
    pub graduation: String,
    /// Its calibration.
    pub calibration: String,
}

/// Who signs, as far as the record says.
#[derive(Debug, Serialize)]
pub struct Signature {
    /// Name; may be empty.
    pub name: String,
    /// Certificate; may be empty.
    pub certificate: String,
    /// The day of measuring.
    pub date: String,
    /// How it was signed in the record; none: it was not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sealed: Option<Sealed>,
}

/// A signature in the record, and how it stands.
#[derive(Debug, Serialize)]
pub struct Sealed {
    /// Whether it is as it was signed, as a sentence.
    pub stands: String,
    /// What is not as it was signed, as sentences; empty: everything is.
    pub broken: Vec<String>,
    /// The digest of the signature or of the latest amendment, in hexadecimal digits.
    pub digest: String,
    /// The amendments: who, when and why, and each change.
    pub amendments: Vec<(String, Vec<String>)>,
    /// What a digest shows and what not.
    pub what_it_shows: &'static str,
}

/// An outcome: its kind for the symbol, its words.
#[derive(Debug, Serialize)]
pub struct Outcome {
    /// `serviceable`, `rebore`, `replace` or `not-decided`.
    pub kind: &'static str,
    /// In words, such as `rebore to +0.010 in`.
    pub words: String,
}

/// A row's status: its kind for the symbol, its words.
#[derive(Debug, Serialize)]
pub struct Status {
    /// `within-new`, `within-serviceable`, `no-limit`, `not-measured` or `beyond`.
    pub kind: &'static str,
    /// In words.
    pub words: String,
}

/// A cylinder.
#[derive(Debug, Serialize)]
pub struct Cylinder {
    /// Position on the engine.
    pub position: String,
    /// Serial number.
    pub serial: String,
    /// `Cylinder 3 (K-117)`.
    pub name: String,
    /// Its present size in words.
    pub size: String,
    /// The size it was last finished to, with its unit; may be empty.
    pub finished_to: String,
    /// The unit of every number below that names none.
    pub unit: &'static str,
    /// What is recommended.
    pub outcome: Outcome,
    /// What is known before it can be decided; may be empty.
    pub already_known: String,
    /// What the person decided, in words; empty: nothing yet.
    pub decision: String,
    /// That as sentences, with who and why; empty: nothing yet.
    pub decided: String,
    /// The person's decision is another one than the recommendation.
    pub differs: bool,
    /// The row nearest to its limit or farthest over it; none if nothing is measured.
    pub tightest: Option<Tightest>,
    /// Why, in order of weight.
    pub reasons: Vec<Reason>,
    /// Readings that look wrong but on which nothing hangs, as sentences.
    pub cautions: Vec<String>,
    /// The readings, a table for at most six axes each.
    pub readings: Vec<Readings>,
    /// What the bore is judged against, as a sentence.
    pub bore_limits: String,
    /// Its rows: figure, limit, margin.
    pub figures: Vec<FigureRow>,
    /// What the shape is called; may be empty.
    pub shape: String,
    /// The greatest wear, as a sentence; may be empty.
    pub wear: String,
    /// What to know when reading the figures, as sentences.
    pub notes: Vec<String>,
    /// Names of the drawings' files: profile, out-of-round, section; empty without readings.
    pub drawings: Vec<Drawn>,
    /// It was looked over by eye.
    pub looked_over: bool,
    /// Findings by eye.
    pub findings: Vec<FindingRow>,
    /// What a clean bore needs, as a sentence; empty where the wall need not be cut.
    pub clean_up: String,
    /// The oversizes; empty where the wall need not be cut.
    #[serde(rename = "ladder")]
    pub oversizes: Vec<OversizeRow>,
    /// Parts that run in it.
    pub fits: Vec<FitRow>,
    /// Parts that were not measured, in words; may be empty.
    pub not_measured: String,
    /// How sure a diameter and a difference are, as a sentence; may be empty.
    pub sure: String,
    /// Its piston's weight; may be empty.
    pub piston_weight: String,
    /// Remarks; may be empty.
    pub remarks: String,
}

/// The row that decides most.
#[derive(Debug, Serialize)]
pub struct Tightest {
    /// Which row.
    pub row: &'static str,
    /// The margin, without its unit.
    pub margin: String,
    /// `left`, `over` or `under`.
    pub side: &'static str,
    /// The probability that the true value is within the limit, in words.
    pub chance: String,
}

/// A reason.
#[derive(Debug, Serialize)]
pub struct Reason {
    /// The status of the row it speaks of, for the symbol; empty if it speaks of none.
    pub kind: &'static str,
    /// The sentence.
    pub words: String,
}

/// Readings on some of the axes.
#[derive(Debug, Serialize)]
pub struct Readings {
    /// The axes' labels with their directions.
    pub axes: Vec<String>,
    /// One row for each station.
    pub rows: Vec<ReadingRow>,
    /// What was read stands under a diameter.
    pub with_entered: bool,
    /// The first of a cylinder's tables: out-of-round and margin, which are of all axes, stand in it alone.
    pub with_figures: bool,
}

/// The readings of one station.
#[derive(Debug, Serialize)]
pub struct ReadingRow {
    /// The station's name.
    pub station: String,
    /// Its depth, without the unit.
    pub depth: String,
    /// Its part in the judging, in words.
    pub role: &'static str,
    /// One for each axis.
    pub cells: Vec<ReadingCell>,
    /// Out-of-round, without the unit; a dash with fewer than two axes.
    pub out_of_round: String,
    /// The largest reading's margin to the serviceable limit, without the unit; a dash where it is not judged.
    pub margin: String,
    /// `left`, `over`, or empty.
    pub side: &'static str,
}

/// A reading.
#[derive(Debug, Serialize)]
pub struct ReadingCell {
    /// The diameter: the mean of the repeats; a dash if it was not measured.
    pub value: String,
    /// What was read from the gauge, where that is not the diameter itself or there are repeats; may be empty.
    pub entered: String,
    /// Beyond the serviceable limit.
    pub beyond: bool,
}

/// A row of the table of limits against the cylinder.
#[derive(Debug, Serialize)]
pub struct FigureRow {
    /// Its name.
    pub row: String,
    /// The rule in force, or where it was read; may be empty.
    pub place: String,
    /// The figure, without its unit.
    pub figure: String,
    /// The as-made limits, without their unit.
    pub new: String,
    /// The serviceable limit with `≤` or `≥`, without its unit.
    pub limit: String,
    /// The margin, without its unit.
    pub margin: String,
    /// `left`, `over`, `under`, or empty.
    pub side: &'static str,
    /// The expanded uncertainty for 95 %, without its unit.
    pub expanded: String,
    /// The probability that the true value is within the limit.
    pub chance: String,
    /// What it comes to.
    pub status: Status,
    /// Reference number and place in the manual.
    pub source: String,
}

/// A drawing of a cylinder.
#[derive(Debug, Serialize)]
pub struct Drawn {
    /// `profile`, `out-of-round` or `section`.
    pub kind: &'static str,
    /// The file that the template reads.
    pub file: String,
    /// What it says in one sentence.
    pub alt: String,
}

/// Something found by eye.
#[derive(Debug, Serialize)]
pub struct FindingRow {
    /// What it is.
    pub what: String,
    /// Where.
    pub place: String,
    /// Its size and depth, with their units.
    pub extent: String,
    /// What was done, and by whom.
    pub done: String,
}

/// An oversize.
#[derive(Debug, Serialize)]
pub struct OversizeRow {
    /// Its name.
    pub size: String,
    /// What it is finished to, without the unit.
    pub finished: String,
    /// What is left or short if it wore evenly: number, word.
    pub if_even: (String, &'static str),
    /// What is left or short whichever side it wore: number, word.
    pub one_sided: (String, &'static str),
    /// What it comes to.
    pub words: String,
    /// It is the one recommended.
    pub chosen: bool,
}

/// A pair of parts, or a ring's gap.
#[derive(Debug, Serialize)]
pub struct FitRow {
    /// Reference number.
    pub reference: String,
    /// What it is.
    pub parts: String,
    /// The least clearance, `L` or `T` behind it.
    pub least: String,
    /// The greatest clearance.
    pub most: String,
    /// The serviceable limit.
    pub limit: String,
    /// The margin, without its unit.
    pub margin: String,
    /// `left`, `over`, or empty.
    pub side: &'static str,
    /// What it comes to.
    pub status: Status,
}

/// Rates of wear across overhauls.
#[derive(Debug, Serialize)]
pub struct History {
    /// What is followed.
    pub figure: String,
    /// The span a rate is given for.
    pub per: &'static str,
    /// The unit of rates and figures.
    pub unit: &'static str,
    /// The cylinders.
    pub cylinders: Vec<HistoryRow>,
    /// What it comes to for the engine, as sentences.
    pub said: Vec<String>,
}

/// A cylinder across overhauls.
#[derive(Debug, Serialize)]
pub struct HistoryRow {
    /// Position.
    pub position: String,
    /// Serial number.
    pub serial: String,
    /// How many surveys the line goes through.
    pub surveys: usize,
    /// What there is to say, as sentences.
    pub words: String,
}

/// The table of limits that was used.
#[derive(Debug, Serialize)]
pub struct LimitsTable {
    /// Identity.
    pub identity: String,
    /// Revision.
    pub revision: String,
    /// The engine it is for.
    pub engine: String,
    /// Where its numbers come from; may be empty.
    pub source: String,
    /// The unit of every number of it.
    pub unit: &'static str,
    /// Further terms as a name and what it is: wall, allowance, what the bore is judged on.
    pub terms: Vec<(String, String)>,
    /// The rows, in groups.
    pub groups: Vec<LimitsGroup>,
}

/// Rows of one kind.
#[derive(Debug, Serialize)]
pub struct LimitsGroup {
    /// What they are of.
    pub name: &'static str,
    /// The rows.
    pub rows: Vec<LimitsRow>,
}

/// A row of the table of limits.
#[derive(Debug, Serialize)]
pub struct LimitsRow {
    /// Reference number.
    pub reference: String,
    /// What it is.
    pub what: String,
    /// As-made least; a dash if none is given.
    pub least: String,
    /// As-made greatest; a dash if none is given.
    pub most: String,
    /// The serviceable limit; a dash if none is given.
    pub limit: String,
    /// Place in the manual.
    pub place: String,
}

fn or_none(text: Option<String>) -> String {
    text.unwrap_or_else(|| NONE.to_owned())
}
