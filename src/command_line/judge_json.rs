//! What engines come to, as JSON for programs: everything the text says, and the numbers behind it.
//!
//! # The format
//!
//! `borewright judge --json` prints one object:
//!
//! | field | what it holds |
//! |---|---|
//! | `format` | 2; a later program adds fields without changing it, and raises it if a field changes its meaning |
//! | `program` | `borewright` and its version |
//! | `engines` | one [`Engine`] for each overhaul judged, in the order of the files |
//! | `errors` | one [`WithDiagnostics`] for each error and note about the files, in the order of the files |
//!
//! `--json-lines` prints one object in each line as it is done: an engine with `"kind": "engine"`, an error or
//! a note with `"kind": "diagnostic"`, each with `"format": 2`. A cylinder of a fleet stands in a line of its own as in
//! [`work::fleet::json`].
//!
//! **Numbers.** A length is a [`Number`]: `{"value": "5.1287", "exact": true}`, a decimal text in the engine's
//! `unit`, on the diameter unless it says otherwise. Where the exact number has no finite decimal in that unit, `exact`
//! is false, `value` has twelve decimals, and `fraction` is the exact number. Uncertainties and probabilities are JSON
//! numbers, in the engine's `unit` and from 0 to 1; infinite degrees of freedom are `null`. What there is not is `null`
//! or left out, and never 0.
//!
//! **Words.** Words such as an `outcome` or a `status` are those of the text output, in lower case. Sentences
//! are for people, and may change from version to version; everything they say stands in fields as well.
//!
//! **To recompute it.** [`judging::json`] says how a figure, a limit and a margin follow from the readings. What a
//! clean bore needs is in [`CleanUp`], and what follows from that in [`Oversize`]. `tests/cli/recompute.rs` does all of it.

use std::io::{self, Write};
use std::path::Path;

use serde::ser::SerializeSeq as _;
use serde::{Serialize, Serializer};

use super::judge_text::{agrees, decision_of, diameter_and_difference, remarks};
use super::judged::Surveyed;
use figures::certainty::budget::Budget;
use figures::certainty::spread::Spread;
use judging::clean_up::{self, Original, OversizeOption};
use judging::finding::{self, Amount, Consequence};
use judging::fit::FitRow;
use judging::json::{
    Cx, Limit, Need, Number, Place, PlacedNumber, Reason, Size, Slip, Term, limit_is, outcome,
};
use judging::reason;
use judging::row::Row as JudgedRow;
use judging::{Assessment, Recommendation, engine};
use quantities::length::{Length, Mean};
use records::diag::{Diagnostic, Severity};
use records::limits::resolved::{self, CutLimit};
use records::limits::rows::{Over, RowKind};
use records::limits::schema::{self, Datum, DecisionRule, WhenBeyond};
use records::survey::{Cylinder as Barrel, Survey};

/// The cylinders of an engine: each is judged when it is written, and its assessment let go again.
#[derive(Debug)]
pub struct Cylinders<'a> {
    survey: &'a Survey,
    cx: Cx<'a>,
}

impl Serialize for Cylinders<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut written = serializer.serialize_seq(Some(self.survey.cylinders.len()))?;
        for barrel in &self.survey.cylinders {
            let assessment = judging::assess(barrel, self.survey);
            written.serialize_element(&cylinder(self.cx, barrel, &assessment, self.survey))?;
        }
        written.end()
    }
}

/// The number in `format`.
pub const FORMAT: u32 = 2;

/// One overhaul of one engine, judged.
#[derive(Debug, Serialize)]
pub struct Engine<'a> {
    /// The record's file.
    pub file: String,
    /// Engine model.
    pub model: &'a str,
    /// Engine serial number.
    pub serial: &'a str,
    /// Whose it is; may be empty.
    pub owner: &'a str,
    /// What it is in; may be empty.
    pub installed_in: &'a str,
    /// The day of the overhaul, such as `2024-05-14`.
    pub overhaul: Option<String>,
    /// Which overhaul of the record, counted from 1.
    pub overhaul_number: usize,
    /// How many overhauls the record has.
    pub overhauls: usize,
    /// Total time in hours.
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    pub hours_since_overhaul: Option<f64>,
    /// The inspector's name.
    pub inspector: &'a str,
    /// The inspector's certificate.
    pub certificate: &'a str,
    /// `in` or `mm`: the unit of every length here.
    pub unit: &'static str,
    /// The table of limits it is judged by.
    pub limits: Table<'a>,
    /// Temperatures while measuring, where they were recorded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperatures: Option<Temperatures>,
    /// Cylinders, in bank order.
    pub cylinders: Cylinders<'a>,
    /// The size that all cylinders must have, where the table does not allow different ones and they differ.
    pub one_size_for_all: Option<Size<'a>>,
    /// The table does not allow different sizes, and no size does for all cylinders.
    pub one_size_impossible: bool,
    /// Something is missing that the size for all rests on: it is the least that it can be.
    pub one_size_as_far_as_measured: bool,
    /// The piston weights against their row.
    pub piston_weights: Option<Weights>,
    /// What holds for the engine as a whole, as sentences.
    pub remarks: Vec<String>,
    /// Who decides.
    pub who_decides: &'static str,
}

/// A table of limits.
#[derive(Debug, Serialize)]
pub struct Table<'a> {
    /// Identity.
    pub identity: &'a str,
    /// Revision.
    pub revision: &'a str,
    /// The engine it is for.
    pub engine: &'a str,
    /// Invented, not for any real engine.
    pub illustrative: bool,
    /// Its file where it was given with `--limits`; `null`: the one kept in the record.
    pub file: Option<String>,
    /// `simple` or `guarded`.
    pub decision_rule: &'static str,
    /// The end that depths are counted from: `head end` or `base end`.
    pub datum: &'static str,
    /// The stations, from the head end.
    pub stations: Vec<Station<'a>>,
    /// The axes.
    pub axes: Vec<Axis<'a>>,
    /// Standard, then the oversizes from the smallest.
    pub sizes: Vec<SizeLimits<'a>>,
    /// What is added to what a clean bore needs, on the diameter.
    pub clean_up_allowance: Number,
    /// The wall may be cut: `as far as an oversize goes`, `no deeper than`, or `not at all`.
    pub cut: &'static str,
    /// How deep per side the wall may be cut, counted from the standard bore, where `cut` is `no deeper than`. A size is
    /// allowed if its oversize is at most twice as much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deepest_cut_per_side: Option<Number>,
}

/// A station of the table.
#[derive(Debug, Serialize)]
pub struct Station<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its depth from the datum.
    pub depth: Number,
    /// Its role, such as `head end` or `above ring travel`.
    pub role: &'static str,
}

/// An axis of the table.
#[derive(Debug, Serialize)]
pub struct Axis<'a> {
    /// Its label.
    pub label: &'a str,
    /// Its direction: 0 is parallel to the crankshaft, 90 across it.
    pub degrees: f64,
    /// It must be measured at every station; an average is taken over these axes alone.
    pub required: bool,
}

/// A size with its limits.
#[derive(Debug, Serialize)]
pub struct SizeLimits<'a> {
    /// The size.
    #[serde(flatten)]
    pub size: Size<'a>,
    /// Its serviceable limit.
    pub limit: Option<Limit>,
    /// The wall may be cut so far.
    pub wall_allows: bool,
}

/// Temperatures while measuring. A diameter at 20 °C is the diameter as read times
/// `1 + gauge expansion * (gauge_c - 20) - barrel_expansion_per_k * (barrel_c - 20)`, rounded to 1e-7 mm.
#[derive(Debug, Serialize)]
pub struct Temperatures {
    /// Of the barrel, in degrees Celsius.
    pub barrel_c: f64,
    /// Of the gauge or setting standard, in degrees Celsius.
    pub gauge_c: f64,
    /// How the barrel expands, in 1/K.
    pub barrel_expansion_per_k: f64,
}

/// The piston weights of an engine.
#[derive(Debug, Serialize)]
pub struct Weights {
    /// How many were weighed.
    pub weighed: usize,
    /// Position of the lightest.
    pub lightest: String,
    /// Position of the heaviest.
    pub heaviest: String,
    /// How far they are apart, in grams to the hundredth, with the unit.
    pub apart: String,
    /// The greatest difference allowed, as the table writes it.
    pub allowed: String,
    /// Within it.
    pub within: bool,
}

/// One cylinder.
#[derive(Debug, Serialize)]
pub struct Cylinder<'a> {
    /// Position on the engine.
    pub position: &'a str,
    /// Serial number.
    pub serial: &'a str,
    /// Its present size; `null` if the table has no such size.
    pub size: Option<Size<'a>>,
    /// The size it was last finished to.
    pub finished_to: Option<Number>,
    /// `serviceable`, `rebore`, `replace` or `not decided`.
    pub outcome: &'static str,
    /// The size to rebore to.
    pub rebore_to: Option<Size<'a>>,
    /// The outcome in words, such as `rebore to +0.010 in`.
    pub words: String,
    /// Not decided, but known to need this size at least.
    pub needs_at_least: Option<Size<'a>>,
    /// Why, in order of weight.
    pub reasons: Vec<Reason>,
    /// What must be done before it can be decided.
    pub needs: Vec<Need<'a>>,
    /// Index in `rows` of the row nearest to its limit or farthest over it.
    pub tightest_row: Option<usize>,
    /// The rows of the table.
    pub rows: Vec<Row<'a>>,
    /// What a clean bore needs, station by station; `null` where `oversizes` is empty.
    pub clean_up: Option<CleanUp<'a>>,
    /// The oversizes larger than the present one, from the smallest. Empty where there is nothing to hold them against:
    /// nothing measured, a size that is not in the table, or evidence that contradicts itself.
    pub oversizes: Vec<Oversize<'a>>,
    /// Readings that look wrong.
    pub slips: Vec<Slip<'a>>,
    /// Findings by eye.
    pub findings: Vec<Finding<'a>>,
    /// Parts that run in the bore, and ring gaps.
    pub fits: Vec<Fit<'a>>,
    /// Of the largest diameter.
    pub uncertainty_of_a_diameter: Option<Uncertainty>,
    /// Of the difference of the largest and the smallest diameter.
    pub uncertainty_of_a_difference: Option<Uncertainty>,
    /// The readings, as diameters.
    pub readings: Vec<Reading<'a>>,
    /// What a person decided.
    pub disposition: Option<Disposition<'a>>,
}

/// A row of the table of limits against the cylinder.
#[derive(Debug, Serialize)]
pub struct Row<'a> {
    /// `bore`, `taper`, `out-of-round`, `choke` or `step`.
    pub row: &'static str,
    /// The rule in force, in words; `null` where there is only one.
    pub rule: Option<&'static str>,
    /// Reference number in the manual; may be empty.
    pub reference: &'a str,
    /// Place in the manual; may be empty.
    pub manual: &'a str,
    /// `within new`, `within serviceable`, `no limit given`, `not measured` or `beyond`.
    pub status: &'static str,
    /// The figure; the magnitude of a taper, the height per side of a step.
    pub figure: Option<Number>,
    /// A taper with its sign: positive is larger at the head end. Left out under a rule that takes a range.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub signed: Option<Number>,
    /// Where readings may enter the figure.
    pub judged_over: JudgedOver<'a>,
    /// The readings that the figure is made of, each with its weight; empty without a figure.
    pub made_of: Vec<Term<'a>>,
    /// The figure as read, where bringing the readings to 20 °C made it another one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_read: Option<Number>,
    /// Readings are missing: the figure is the least it can be.
    pub at_least: bool,
    /// Where it was read, in words.
    pub read_at: Option<String>,
    /// The worst single point, where the average is judged.
    pub worst_point: Option<PlacedNumber<'a>>,
    /// As-made least.
    pub new_least: Option<Number>,
    /// As-made greatest.
    pub new_greatest: Option<Number>,
    /// The serviceable limit.
    pub limit: Option<Limit>,
    /// Whether a figure must be `at most` or `at least` the limit.
    pub limit_is: &'static str,
    /// What is left to the limit; negative is over (or under, for `at least`).
    pub margin: Option<Number>,
    /// The margin in words, such as `0.0007 in left`.
    pub margin_words: Option<String>,
    /// Within the limit as read, but not by the guard band that the table asks for.
    pub in_guard_band: bool,
    /// What follows when it is beyond: `rebore` or `replace`.
    pub when_beyond: &'static str,
    /// Places it still needs.
    pub missing: Vec<Place<'a>>,
    /// Of the figure.
    pub uncertainty: Option<Uncertainty>,
    /// The probability that the true value is within the limit (JCGM 106).
    pub probability_within: Option<f64>,
    /// What `uncertainty` and `probability_within` leave out because nobody recorded it: `calibration`,
    /// `repeatability`. Then they are less sure than they say. Left out where nothing is.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<&'static str>,
    /// How far inside the limit a figure must be under guarded acceptance.
    pub guard_band: Option<Number>,
}

/// The stations that a row is judged over, from the head end. A bore, taper and out-of-round row names `stations`; a
/// choke row the stations of both ends, and a step row one above ring travel and one at its top.
#[derive(Debug, Default, Serialize)]
pub struct JudgedOver<'a> {
    /// Of a bore, taper or out-of-round row. A taper between two ends takes the first and the last.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stations: Vec<&'a str>,
    /// Of a choke row: the stations of the head end.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub head_end: Vec<&'a str>,
    /// Of a choke row: the stations of the base end.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub base_end: Vec<&'a str>,
    /// Of a step row: the station above ring travel. The step of an axis is half of its diameter at `top` minus that
    /// here; the highest counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above: Option<&'a str>,
    /// Of a step row: the station just below the top of ring travel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub top: Option<&'a str>,
    /// The axes that may enter: the required ones where an average is taken, else all that were read.
    pub axes: Vec<&'a str>,
}

/// The uncertainty of a figure (JCGM 100).
#[derive(Debug, Serialize)]
pub struct Uncertainty {
    /// Combined standard uncertainty.
    pub u: f64,
    /// Effective degrees of freedom; `null`: infinite.
    pub dof: Option<f64>,
    /// The shape that gives `k`: `Student's t` with `dof`, or a `trapezoid`, where one or two lines with ends outweigh
    /// the rest.
    pub distribution: &'static str,
    /// Of a trapezoid: its top side over its base, 1 for a rectangle and 0 for a triangle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge_ratio: Option<f64>,
    /// Coverage factor for 95 %.
    pub k: f64,
    /// Expanded uncertainty for 95 %.
    pub expanded: f64,
    /// The budget, line by line.
    pub budget: Vec<BudgetLine>,
}

/// A line of a budget.
#[derive(Debug, Serialize)]
pub struct BudgetLine {
    /// What it is.
    pub source: String,
    /// The unit of `estimate` and `u`: `mm`, `K` or `1/K`.
    pub unit: &'static str,
    /// Best estimate.
    pub estimate: f64,
    /// Standard uncertainty.
    pub u: f64,
    /// Degrees of freedom; `null`: infinite.
    pub dof: Option<f64>,
    /// By how many millimetres the figure changes for one `unit`.
    pub sensitivity: f64,
    /// What the line makes of the figure's standard uncertainty, in the engine's unit.
    pub contribution: f64,
    /// How far it can move the figure at most, in the engine's unit, where its distribution has ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub half_width: Option<f64>,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// What a clean bore needs. At a station it is, with `extra` = 2 x `pit_depth` + `allowance`:
/// `needs_if_even` = `largest` + `extra`; `needs_whichever_side` = 2 x `largest` - `original` + `extra`, and no less than
/// `needs_if_even`. The station that needs the most decides.
#[derive(Debug, Serialize)]
pub struct CleanUp<'a> {
    /// The diameter that wear is counted from.
    pub original: Number,
    /// What that is: `last finished to`, or `least as made` of the present size where nobody recorded it.
    pub original_is: &'static str,
    /// The clean-up allowance, on the diameter.
    pub allowance: Number,
    /// Pits and scores of a known depth that a finished bore has to reach.
    pub pits: Vec<Pit<'a>>,
    /// Every measured station, from the head end.
    pub stations: Vec<StationNeeds<'a>>,
}

/// A pit or score.
#[derive(Debug, Serialize)]
pub struct Pit<'a> {
    /// Index in `findings`.
    pub finding: usize,
    /// Its depth below the surface around it.
    pub depth: Number,
    /// The station whose largest diameter it is counted at; `null`: it cannot be placed, and counts at the station with
    /// the largest diameter of all (the first of several).
    pub station: Option<&'a str>,
}

/// What a clean bore needs at a station.
#[derive(Debug, Serialize)]
pub struct StationNeeds<'a> {
    /// Name of the station.
    pub station: &'a str,
    /// The axis of its largest diameter.
    pub axis: &'a str,
    /// Its largest diameter.
    pub largest: Number,
    /// The deepest pit that counts here; `null`: none.
    pub pit_depth: Option<Number>,
    /// The least diameter that comes out clean if it wore evenly.
    pub needs_if_even: Number,
    /// The least diameter that comes out clean whichever side it wore.
    pub needs_whichever_side: Number,
}

/// An oversize. The smallest whose wall allows it and that cleans up whichever side the bore wore is the one to rebore
/// to.
#[derive(Debug, Serialize)]
pub struct Oversize<'a> {
    /// The size; even one finished to its least, `new_least`, must come out clean.
    pub size: Size<'a>,
    /// It is the one recommended.
    pub recommended: bool,
    /// `cleans up even if all wear is on one side`: `size.new_least` is at least `needs_whichever_side`;
    /// `cleans up only if the wear is even`: at least `needs_if_even`; else `does not clean up`.
    pub clean_up: &'static str,
    /// Something is missing that the clean-up rests on.
    pub as_far_as_measured: bool,
    /// The wall may be cut so far.
    pub wall_allows: bool,
    /// The greatest `needs_if_even` of the stations.
    pub needs_if_even: Number,
    /// The greatest `needs_whichever_side` of the stations.
    pub needs_whichever_side: Number,
    /// The place that needs the most if it wore evenly.
    pub governed_if_even: Place<'a>,
    /// The place that needs the most whichever side it wore.
    pub governed_by: Place<'a>,
    /// The metal that comes off at each place where the bore is finished to `size.new_least`: that diameter minus the
    /// reading; negative where the bore is larger already.
    pub metal: Vec<Metal<'a>>,
}

/// Metal to remove at a place.
#[derive(Debug, Serialize)]
pub struct Metal<'a> {
    /// Where, and how much on the diameter.
    #[serde(flatten)]
    pub on_diameter: PlacedNumber<'a>,
    /// Half of it: per side, if the new bore stands in the middle of the old one.
    pub per_side: Number,
}

/// A finding by eye.
#[derive(Debug, Serialize)]
pub struct Finding<'a> {
    /// What it is, in words.
    pub kind: &'static str,
    /// Where, in words; may be empty.
    pub place: &'a str,
    /// The nearest station.
    pub station: Option<&'a str>,
    /// Direction around the bore in degrees.
    pub degrees: Option<f64>,
    /// Length or width.
    pub length: Option<Number>,
    /// Depth.
    pub depth: Option<Number>,
    /// How many adjacent fins it goes over.
    pub fins: u16,
    /// The area taken off, in the square of the engine's unit.
    pub area: Option<Number>,
    /// What it asks for: `replace`, `rebore`, `repair`, or what must be measured first: `measure its depth`,
    /// `measure its length`, `measure its area` or `measure the bore at its station`.
    #[serde(rename = "asks")]
    pub consequence: &'static str,
    /// What to do, in words.
    pub remedy: String,
    /// What was done; may be empty.
    pub done: &'a str,
}

/// Parts that fit together, or a ring's gap.
#[derive(Debug, Serialize)]
pub struct Fit<'a> {
    /// Reference number in the manual.
    pub reference: &'a str,
    /// Place in the manual; may be empty.
    pub manual: &'a str,
    /// What it is.
    pub description: &'a str,
    /// As for a row.
    pub status: &'static str,
    /// What was measured, and at which station a ring gap was taken; `null`: nothing.
    pub measured: Option<MeasuredParts<'a>>,
    /// The least clearance or gap; negative is an interference. Of a skirt it is the smallest diameter of the bore minus
    /// the shaft, of other parts hole minus shaft, or the clearance as measured. A gap changes by pi times the change of
    /// a station's average over the required axes, rounded to 1e-7 mm, over the stations of the bore row.
    pub smallest: Option<Number>,
    /// The greatest.
    pub largest: Option<Number>,
    /// As-made least.
    pub new_least: Number,
    /// As-made greatest.
    pub new_greatest: Number,
    /// The serviceable limit, for `largest`.
    pub limit: Option<Limit>,
    /// What is left to it; negative is over.
    pub margin: Option<Number>,
    /// Tighter than the as-made least: it may seize.
    pub too_tight: bool,
    /// Why nothing comes of what was written of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unusable: Option<&'a str>,
}

/// Parts as measured, each at 20 °C.
#[derive(Debug, Serialize)]
pub struct MeasuredParts<'a> {
    /// The hole; left out for a skirt, whose hole is the bore.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hole: Option<Number>,
    /// The shaft.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shaft: Option<Number>,
    /// The clearance itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Number>,
    /// A ring's gap.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<Number>,
    /// The station where it was taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station: Option<&'a str>,
}

/// The readings of one place.
#[derive(Debug, Serialize)]
pub struct Reading<'a> {
    /// Where.
    #[serde(flatten)]
    pub place: Place<'a>,
    /// The exact mean of the repeats.
    pub mean: Number,
    /// The repeats, as diameters: at 20 °C where temperatures were recorded.
    pub repeats: Vec<Number>,
    /// The repeats as read, where bringing them to 20 °C made them others.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub as_read: Vec<Number>,
    /// What a diameter as read was multiplied by to have it at 20 °C; left out where there is no `as_read`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor_to_20_c: Option<f64>,
    /// The gauge.
    pub gauge: &'a str,
    /// Somebody has confirmed it.
    pub confirmed: bool,
}

/// What a person decided.
#[derive(Debug, Serialize)]
pub struct Disposition<'a> {
    /// In words, as for an outcome.
    pub decision: String,
    /// Who decided.
    pub by: &'a str,
    /// Why; may be empty.
    pub reason: &'a str,
    /// It differs from the recommendation.
    pub differs: bool,
}

/// An error or a note about a file.
#[derive(Debug, Serialize)]
pub struct WithDiagnostics {
    /// `error` or `note`.
    pub severity: Severity,
    /// The file.
    pub file: Option<String>,
    /// Line, counted from 1.
    pub line: Option<usize>,
    /// Column, counted from 1.
    pub column: Option<usize>,
    /// The way to the value, such as `overhauls[0].cylinders[2].serial`; may be empty.
    pub path: String,
    /// The place in words; may be empty.
    pub place: String,
    /// What is wrong.
    pub message: String,
    /// What to do; may be empty.
    pub remedy: String,
    /// All of it in one line, as on the terminal.
    pub text: String,
}

impl From<&Diagnostic> for WithDiagnostics {
    fn from(diagnostic: &Diagnostic) -> Self {
        Self {
            severity: diagnostic.severity,
            file: diagnostic.file.as_ref().map(|file| file.display().to_string()),
            line: diagnostic.position.map(|at| at.line),
            column: diagnostic.position.map(|at| at.column),
            path: diagnostic.path.to_string(),
            place: diagnostic.place.clone(),
            message: diagnostic.message.clone(),
            remedy: diagnostic.remedy.clone(),
            text: diagnostic.to_string(),
        }
    }
}

/// What a line holds.
#[derive(Serialize)]
struct Line<'a, T> {
    format: u32,
    kind: &'static str,
    #[serde(flatten)]
    of: &'a T,
}

/// What stands before the first engine of a document.
pub fn begin() -> String {
    let version = env!("CARGO_PKG_VERSION");
    format!("{{\"format\": {FORMAT},\n\"program\": \"borewright {version}\",\n\"engines\": [\n")
}

/// What stands behind the last engine of a document: the errors.
pub fn end(diagnostics: &[Diagnostic]) -> String {
    let reported: Vec<String> =
        diagnostics.iter().map(|diagnostic| json(&WithDiagnostics::from(diagnostic))).collect();
    format!("\n],\n\"errors\": [{}]}}\n", reported.join(",\n"))
}

/// Writes an engine within a document.
///
/// # Errors
/// If it cannot be written.
pub fn engine(surveyed: &Surveyed, to: impl Write) -> io::Result<()> {
    Ok(serde_json::to_writer(to, &engine_of(surveyed))?)
}

/// Writes an engine as a line.
///
/// # Errors
/// If it cannot be written.
pub fn engine_line(surveyed: &Surveyed, mut to: impl Write) -> io::Result<()> {
    serde_json::to_writer(&mut to, &Line { format: FORMAT, kind: "engine", of: &engine_of(surveyed) })?;
    to.write_all(b"\n")
}

/// Errors and notes as lines.
pub fn reported_lines(diagnostics: &[Diagnostic]) -> String {
    let line = |diagnostic| {
        json(&Line { format: FORMAT, kind: "diagnostic", of: &WithDiagnostics::from(diagnostic) }) + "\n"
    };
    diagnostics.iter().map(line).collect()
}

/// Nothing here can be refused: all keys are texts, and a number that is not finite becomes `null`.
pub(super) fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

fn uncertainty(cx: Cx<'_>, budget: &Budget) -> Uncertainty {
    let expanded = budget.expanded_95();
    let finite = |dof: f64| dof.is_finite().then_some(dof);
    let lines = budget.lines.iter().map(|line| BudgetLine {
        source: line.source.to_string(),
        unit: line.unit.symbol(),
        estimate: line.estimate,
        u: line.u,
        dof: finite(line.dof),
        sensitivity: line.sensitivity,
        contribution: cx.unit.from_mm(line.contribution_mm()),
        half_width: line.half_width_mm.map(|half| cx.unit.from_mm(half)),
        share: budget.share(line),
    });
    let (distribution, edge_ratio) = match budget.spread() {
        Spread::Student { .. } => ("Student's t", None),
        Spread::Trapezoid { edge_ratio } => ("trapezoid", Some(edge_ratio)),
    };
    Uncertainty {
        u: cx.unit.from_mm(budget.u_mm),
        dof: finite(budget.dof),
        distribution,
        edge_ratio,
        k: expanded.k,
        expanded: cx.unit.from_mm(expanded.u_mm),
        budget: lines.collect(),
    }
}

fn engine_of(surveyed: &Surveyed) -> Engine<'_> {
    let (record, survey) = (&surveyed.record, &surveyed.survey);
    let overhaul = surveyed.overhaul();
    let limits = &*survey.limits;
    let unit = surveyed.unit();
    let cx = Cx { unit, limits };
    let assessments = survey.cylinders.iter().map(|cylinder| judging::assess(cylinder, survey));
    let one_size = engine::one_size_for_all(limits, &survey.cylinders, assessments);
    let weights = engine::weights(survey).zip(limits.piston_weight_spread.as_ref());
    Engine {
        file: surveyed.file.display().to_string(),
        model: &record.engine.model,
        serial: &record.engine.serial,
        owner: &record.engine.owner,
        installed_in: &record.engine.installed_in,
        overhaul: overhaul.map(|overhaul| overhaul.date.to_string()),
        overhaul_number: surveyed.index + 1,
        overhauls: record.overhauls.len(),
        total_hours: overhaul.and_then(|overhaul| overhaul.total_hours),
        hours_since_overhaul: overhaul.and_then(|overhaul| overhaul.hours_since_overhaul),
        inspector: overhaul.map_or("", |overhaul| &overhaul.inspector.name),
        certificate: overhaul.map_or("", |overhaul| &overhaul.inspector.certificate),
        unit: unit.symbol(),
        limits: table(cx, surveyed.limits_file.as_deref()),
        temperatures: survey.conditions.as_ref().map(|conditions| Temperatures {
            barrel_c: conditions.barrel_c,
            gauge_c: conditions.gauge_c,
            barrel_expansion_per_k: conditions.barrel.per_k,
        }),
        cylinders: Cylinders { survey, cx },
        one_size_for_all: one_size
            .as_ref()
            .filter(|one| one.cannot.is_empty())
            .and_then(|one| cx.size(one.size)),
        one_size_impossible: one_size.as_ref().is_some_and(|one| !one.cannot.is_empty()),
        one_size_as_far_as_measured: one_size
            .as_ref()
            .is_some_and(|one| !one.is_measured || !one.undecided.is_empty()),
        piston_weights: weights.map(|(weights, row)| Weights {
            weighed: weights.weighed,
            lightest: weights.between.0,
            heaviest: weights.between.1,
            apart: weights.spread.text(),
            allowed: row.text.clone(),
            within: weights.within,
        }),
        remarks: remarks(surveyed, one_size.as_ref()),
        who_decides: super::judge_text::WHO_DECIDES,
    }
}

pub(super) fn table<'a>(cx: Cx<'a>, file: Option<&Path>) -> Table<'a> {
    let limits = cx.limits;
    let (cut, deepest) = match &limits.cut {
        CutLimit::Allowed => ("as far as an oversize goes", None),
        CutLimit::NoDeeperThan(deepest) => ("no deeper than", Some(cx.number(deepest.length))),
        CutLimit::NotAllowed => ("not at all", None),
    };
    let station = |station: &'a resolved::Station| Station {
        name: &station.name,
        depth: cx.number(station.depth),
        role: station.role.words(),
    };
    let axis = |(index, axis): (usize, &'a schema::Axis)| Axis {
        label: &axis.label,
        degrees: axis.degrees,
        required: limits.required_axes.contains(&index),
    };
    let size = |(index, row): (usize, &'a resolved::SizeRow)| {
        let (size, limit) = (cx.size(index)?, cx.limit(row.serviceable.as_ref()));
        Some(SizeLimits { size, limit, wall_allows: row.wall_allows })
    };
    Table {
        identity: &limits.identity,
        revision: &limits.revision,
        engine: &limits.engine,
        illustrative: limits.illustrative,
        file: file.map(|file| file.display().to_string()),
        decision_rule: match limits.decision {
            DecisionRule::Simple => "simple",
            DecisionRule::Guarded => "guarded",
        },
        datum: match limits.datum {
            Datum::HeadEnd => "head end",
            Datum::BaseEnd => "base end",
        },
        stations: limits.stations.iter().map(station).collect(),
        axes: limits.axes.iter().enumerate().map(axis).collect(),
        sizes: limits.sizes.iter().enumerate().filter_map(size).collect(),
        clean_up_allowance: cx.number(limits.clean_up_allowance.length),
        cut,
        deepest_cut_per_side: deepest,
    }
}

fn cylinder<'a>(
    cx: Cx<'a>,
    cylinder: &'a Barrel,
    assessment: &'a Assessment,
    survey: &'a Survey,
) -> Cylinder<'a> {
    let recommendation = assessment.recommendation;
    let (outcome, rebore_to) = outcome(recommendation);
    let (diameter, difference) = diameter_and_difference(cylinder, survey);
    let tightest = assessment.tightest_row();
    Cylinder {
        position: &cylinder.position,
        serial: &cylinder.serial,
        size: cylinder.size.and_then(|size| cx.size(size)),
        finished_to: cylinder.finished_to.map(|(length, _)| cx.number(length)),
        outcome,
        rebore_to: rebore_to.and_then(|size| cx.size(size)),
        words: recommendation.words(cx.limits),
        needs_at_least: assessment.minimum_oversize.and_then(|size| cx.size(size)),
        reasons: assessment.reasons.iter().map(|&why| cx.reason(why, assessment, cylinder)).collect(),
        needs: assessment
            .needs
            .iter()
            .enumerate()
            .map(|(index, need)| cx.need(index, need, assessment, cylinder))
            .collect(),
        tightest_row: assessment.rows.iter().position(|row| Some(row) == tightest),
        rows: assessment.rows.iter().map(|judged| row(cx, cylinder, judged)).collect(),
        clean_up: clean_up(cx, cylinder).filter(|_| !assessment.oversizes.is_empty()),
        oversizes: assessment
            .oversizes
            .iter()
            .filter_map(|option| oversize(cx, option, assessment))
            .collect(),
        slips: assessment
            .slips
            .iter()
            .enumerate()
            .map(|(index, slip)| cx.slip(index, slip, assessment, cylinder))
            .collect(),
        findings: findings(cx, cylinder, assessment),
        fits: assessment
            .fits
            .iter()
            .enumerate()
            .map(|(index, judged)| fit(cx, judged, measured_parts(cx, cylinder, index)))
            .collect(),
        uncertainty_of_a_diameter: diameter.map(|budget| uncertainty(cx, &budget)),
        uncertainty_of_a_difference: difference.map(|budget| uncertainty(cx, &budget)),
        readings: readings(cx, cylinder, survey),
        disposition: cylinder.disposition.as_ref().map(|disposition| Disposition {
            decision: decision_of(&disposition.decision, cx.limits, cx.unit),
            by: &disposition.by,
            reason: &disposition.reason,
            differs: !agrees(&disposition.decision, recommendation, cx.limits, cx.unit),
        }),
    }
}

/// Every reading of a cylinder.
pub(super) fn readings<'a>(cx: Cx<'a>, cylinder: &Barrel, survey: &'a Survey) -> Vec<Reading<'a>> {
    cylinder
        .bore
        .measured()
        .map(|(at, cell)| Reading {
            place: cx.place(at),
            mean: cx.number(cell.mean()),
            repeats: cell.repeats().iter().map(|&repeat| cx.number(repeat)).collect(),
            as_read: match cell.mean_as_read() {
                Some(_) => cell.as_read().iter().map(|&read| cx.number(read)).collect(),
                None => Vec::new(),
            },
            factor_to_20_c: cell.mean_as_read().map(|_| survey.factor_to_20_c(cell.gauge)),
            gauge: survey.gauges.get(cell.gauge).map_or("", |gauge| gauge.name.as_str()),
            confirmed: cell.confirmed,
        })
        .collect()
}

fn row<'a>(cx: Cx<'a>, cylinder: &Barrel, row: &'a JudgedRow) -> Row<'a> {
    let own_place = row.limit.as_ref().map_or("", |limit| limit.place.as_str());
    let read_at = row.figure.as_ref().map(|figure| reason::figure_place(figure, cx.limits));
    Row {
        row: row.kind.words(),
        rule: row.kind.rule_words(),
        reference: &row.source.reference,
        manual: if own_place.is_empty() { &row.source.place } else { own_place },
        status: row.status.words(),
        figure: row.figure.as_ref().map(|figure| cx.number(figure.value)),
        signed: row.signed().map(|signed| cx.number(signed)),
        judged_over: judged_over(cx, row.kind),
        made_of: row.figure.as_ref().map_or_else(Vec::new, |figure| cx.made_of(figure)),
        as_read: row.as_read.map(|as_read| cx.number(as_read)),
        at_least: row.figure.is_some() && !row.missing.is_empty(),
        read_at,
        worst_point: row
            .worst_point
            .as_ref()
            .and_then(|figure| Some(cx.placed(figure.place()?, figure.value))),
        new_least: cx.bound(row.new.0.as_ref()),
        new_greatest: cx.bound(row.new.1.as_ref()),
        limit: cx.limit(row.limit.as_ref()),
        limit_is: limit_is(row),
        margin: row.margin.map(|margin| cx.number(margin)),
        margin_words: reason::margin_words(row, cylinder.style(cx.limits)),
        in_guard_band: row.in_guard_band,
        when_beyond: match row.when_beyond {
            WhenBeyond::Rebore => "rebore",
            WhenBeyond::Replace => "replace",
        },
        missing: cx.places(&row.missing),
        uncertainty: row.uncertainty.as_ref().map(|row| uncertainty(cx, &row.budget)),
        probability_within: row.uncertainty.as_ref().and_then(|uncertainty| uncertainty.probability_within),
        left_out: row.uncertainty.as_ref().map_or_else(Vec::new, |uncertainty| uncertainty.unknown.sources()),
        guard_band: row.uncertainty.as_ref().map(|uncertainty| cx.number(uncertainty.guard_band)),
    }
}

/// The stations and axes that may enter a row's figure.
fn judged_over<'a>(cx: Cx<'a>, kind: RowKind) -> JudgedOver<'a> {
    let limits = cx.limits;
    let names = |stations: &[usize]| stations.iter().map(|&station| cx.station(station)).collect::<Vec<_>>();
    let axes = limits.axes.iter().enumerate();
    let axes = axes.filter(|(index, _)| !kind.is_of_averages() || limits.required_axes.contains(index));
    let mut over =
        JudgedOver { axes: axes.map(|(_, axis)| axis.label.as_str()).collect(), ..JudgedOver::default() };
    match limits.over(kind.name()) {
        Some(Over::Stations(stations)) => over.stations = names(&stations),
        Some(Over::Ends { head, base }) => (over.head_end, over.base_end) = (names(&head), names(&base)),
        Some(Over::Lip { above, top }) => {
            (over.above, over.top) = (Some(cx.station(above)), Some(cx.station(top)));
        }
        None => {}
    }
    over
}

fn clean_up<'a>(cx: Cx<'a>, cylinder: &Barrel) -> Option<CleanUp<'a>> {
    let original = Original::of(cylinder, cx.limits)?;
    let pits: Vec<_> = finding::pits(&cylinder.findings, cx.limits);
    let needs = clean_up::station_needs(cylinder, cx.limits, &pits);
    let placed = cylinder.findings.iter().enumerate().filter_map(|(index, found)| {
        let pit = finding::pit(found, cx.limits)?;
        let station = pit.station.filter(|_| pit.is_placed(cylinder)).map(|station| cx.station(station));
        Some(Pit { finding: index, depth: cx.number(pit.depth), station })
    });
    Some(CleanUp {
        original: cx.number(original.diameter()),
        original_is: match original {
            Original::Known(_) => "last finished to",
            Original::Least(_) => "least as made",
        },
        allowance: cx.number(cx.limits.clean_up_allowance.length),
        pits: placed.collect(),
        stations: needs
            .iter()
            .map(|needs| StationNeeds {
                station: cx.place(needs.at).station,
                axis: cx.place(needs.at).axis,
                largest: cx.number(needs.largest),
                pit_depth: (needs.depth != Length::ZERO).then(|| cx.number(needs.depth)),
                needs_if_even: cx.number(needs.if_even),
                needs_whichever_side: cx.number(needs.whichever_side),
            })
            .collect(),
    })
}

fn oversize<'a>(cx: Cx<'a>, option: &OversizeOption, assessment: &Assessment) -> Option<Oversize<'a>> {
    Some(Oversize {
        size: cx.size(option.size)?,
        recommended: assessment.recommendation == Recommendation::Rebore(option.size),
        clean_up: option.clean_up.words(),
        as_far_as_measured: !assessment.clean_up_is_complete(),
        wall_allows: option.wall_allows,
        needs_if_even: cx.number(option.needs_if_even),
        needs_whichever_side: cx.number(option.needs_whichever_side),
        governed_if_even: cx.place(option.governed_if_even),
        governed_by: cx.place(option.governed_by),
        metal: option
            .stock
            .iter()
            .map(|stock| Metal {
                on_diameter: cx.placed(stock.at, stock.stock),
                per_side: cx.number(stock.stock / 2),
            })
            .collect(),
    })
}

fn findings<'a>(cx: Cx<'a>, cylinder: &'a Barrel, assessment: &Assessment) -> Vec<Finding<'a>> {
    let amount = |amount: Option<(Length, _)>| amount.map(|(length, _)| cx.number(length));
    cylinder
        .findings
        .iter()
        .zip(&assessment.findings)
        .map(|(finding, answer)| Finding {
            kind: finding.kind.words(),
            place: &finding.place,
            station: finding.station.and_then(|i| cx.limits.stations.get(i)).map(|s| s.name.as_str()),
            degrees: finding.degrees,
            length: amount(finding.size),
            depth: amount(finding.depth),
            fins: finding.fins,
            area: finding.area.map(|area| {
                let (value, exact) = area.decimal_text(cx.unit);
                Number { value, exact, fraction: None }
            }),
            consequence: match (answer.consequence, answer.missing().next()) {
                (Consequence::Replace, _) => "replace",
                (Consequence::NeedsRebore, _) => "rebore",
                (Consequence::Measure, Some(Amount::Depth)) => "measure its depth",
                (Consequence::Measure, Some(Amount::Size)) => "measure its length",
                (Consequence::Measure, Some(Amount::Area)) => "measure its area",
                (Consequence::Measure, Some(Amount::BoreThere)) => "measure the bore at its station",
                (Consequence::Repair, _) | (Consequence::Measure, None) => "repair",
            },
            remedy: cx.limits.finding(finding.kind).remedy,
            done: &finding.done,
        })
        .collect()
}

/// What was measured for the part row with an index: the pairs first, then the ring gaps.
fn measured_parts<'a>(cx: Cx<'a>, cylinder: &Barrel, index: usize) -> Option<MeasuredParts<'a>> {
    let length = |entry: Option<(Length, _)>| entry.map(|(length, _)| cx.number(length));
    let nothing = MeasuredParts { hole: None, shaft: None, clearance: None, gap: None, station: None };
    match index.checked_sub(cx.limits.fits.len()) {
        None => cylinder.fits.iter().find(|fit| fit.row == index).map(|fit| MeasuredParts {
            hole: length(fit.hole),
            shaft: length(fit.shaft),
            clearance: length(fit.clearance),
            ..nothing
        }),
        Some(gap) => cylinder.ring_gaps.iter().find(|ring| ring.row == gap).map(|ring| MeasuredParts {
            gap: Some(cx.number(ring.gap)),
            station: Some(cx.station(ring.station)),
            ..nothing
        }),
    }
}

fn fit<'a>(cx: Cx<'a>, row: &'a FitRow, measured: Option<MeasuredParts<'a>>) -> Fit<'a> {
    let number = |mean: Option<Mean>| mean.map(|mean| cx.number(mean));
    Fit {
        reference: &row.source.reference,
        manual: &row.source.place,
        description: &row.description,
        status: row.status.words(),
        measured,
        smallest: number(row.smallest),
        largest: number(row.largest),
        new_least: cx.number(row.new.0.length),
        new_greatest: cx.number(row.new.1.length),
        limit: cx.limit(row.limit.as_ref()),
        margin: number(row.margin),
        too_tight: row.too_tight,
        unusable: row.unusable.as_deref(),
    }
}
