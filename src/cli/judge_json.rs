//! What engines come to, as JSON for programs: everything the text says, and the numbers behind it.
//!
//! # The format
//!
//! `borewright judge --json` prints one object:
//!
//! | field | what it holds |
//! |---|---|
//! | `format` | 1; a later program adds fields without changing it, and raises it if a field changes its meaning |
//! | `program` | `borewright` and its version |
//! | `engines` | one [`Engine`] for each overhaul judged, in the order of the files |
//! | `errors` | one [`Told`] for each error and note about the files, in the order of the files |
//!
//! `--json-lines` prints one object in each line as it is done: an engine with `"kind": "engine"`, an error or
//! a note with `"kind": "told"`, each with `"format": 1`. A cylinder of a fleet stands in a line of its own as in
//! [`crate::fleet::json`].
//!
//! **Numbers.** A length is a [`Number`]: `{"value": "5.1287", "exact": true}`, a decimal text in the engine's
//! `unit`, on the diameter unless it says otherwise, exact where `exact` is true (an exact mean may have no
//! finite decimal; then the text has twelve decimals). Uncertainties and probabilities are JSON numbers, in
//! the engine's `unit` and from 0 to 1; infinite degrees of freedom are `null`. What there is not is `null`,
//! and never 0.
//!
//! **Words.** Words such as an `outcome` or a `status` are those of the text output, in lower case. Sentences
//! are for people, and may change from version to version; everything they say stands in fields as well.

use serde::Serialize;

use super::judge_text::{agrees, bore_rule_words, decision_of, diameter_and_difference, remarks, size_words};
use super::judged::Judged;
use crate::bore::Point;
use crate::certainty::budget::Budget;
use crate::diag::{Diagnostic, Severity};
use crate::figures::Figure as BoreFigure;
use crate::judge::clean_up::Rung as LadderRung;
use crate::judge::finding::{Amount, Asks};
use crate::judge::fit::FitRow;
use crate::judge::reason::{self, Reason as Why};
use crate::judge::row::{Row as JudgedRow, RowKind};
use crate::judge::{Assessment, Need as Missing, Recommendation, engine};
use crate::length::{Length, Mean, Unit};
use crate::limits::Limits;
use crate::limits::resolved::Bound;
use crate::limits::schema::{DecisionRule, WhenBeyond};
use crate::survey::{Cylinder as Barrel, Survey};

/// The number in `format`.
pub const FORMAT: u32 = 1;

/// An exact length.
#[derive(Debug, Serialize)]
pub struct Number {
    /// Decimal text in the engine's unit.
    pub value: String,
    /// Whether the text is exact.
    pub exact: bool,
}

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
    /// Which overhaul of the record, counted from 1.
    pub overhaul: usize,
    /// How many overhauls the record has.
    pub overhauls: usize,
    /// Its day, such as `2024-05-14`.
    pub date: Option<String>,
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
    /// Cylinders, in bank order.
    pub cylinders: Vec<Cylinder<'a>>,
    /// The size that all cylinders must have, where the table does not allow different ones and they differ.
    pub one_size_for_all: Option<&'a str>,
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
    /// Its present size in words: `standard`, `+0.010 in`; `null` if the table has no such size.
    pub size: Option<&'a str>,
    /// The size it was last finished to.
    pub finished_to: Option<Number>,
    /// `serviceable`, `rebore`, `replace` or `not decided`.
    pub outcome: &'static str,
    /// The size to rebore to.
    pub rebore_to: Option<&'a str>,
    /// The outcome in words, such as `rebore to +0.010 in`.
    pub words: String,
    /// Not decided, but known to need this size at least.
    pub needs_at_least: Option<&'a str>,
    /// Why, in order of weight.
    pub reasons: Vec<Reason>,
    /// What must be done before it can be decided.
    pub needs: Vec<Need>,
    /// Index in `rows` of the row nearest to its limit or farthest over it.
    pub tightest_row: Option<usize>,
    /// The rows of the table.
    pub rows: Vec<Row<'a>>,
    /// The oversizes larger than the present one, from the smallest.
    pub ladder: Vec<Rung<'a>>,
    /// Readings that look wrong.
    pub slips: Vec<Slip<'a>>,
    /// Findings by eye.
    pub findings: Vec<Finding<'a>>,
    /// Parts that run in the bore, and ring gaps.
    pub fits: Vec<Fit<'a>>,
    /// How sure the largest diameter is.
    pub sure_of_a_diameter: Option<Sure>,
    /// How sure the difference of the largest and the smallest diameter is.
    pub sure_of_a_difference: Option<Sure>,
    /// The readings, as diameters.
    pub readings: Vec<Reading<'a>>,
    /// What a person decided.
    pub disposition: Option<Disposition<'a>>,
}

/// A reason.
#[derive(Debug, Serialize)]
pub struct Reason {
    /// `finding`, `beyond`, `rebore`, `too small`, `no oversize`, `need` or `within`.
    pub kind: &'static str,
    /// Index in `findings`, `rows`, `ladder` or `needs`, after its kind.
    pub index: Option<usize>,
    /// In words.
    pub sentence: String,
}

/// Something that must be done first.
#[derive(Debug, Serialize)]
pub struct Need {
    /// `measure`, `look over`, `depth`, `size of finding`, `area`, `bore at finding`,
    /// `limit`, `size`, `unreadable` or `confirm`.
    pub kind: &'static str,
    /// The places to measure.
    pub places: Vec<Place>,
    /// Index in `findings`, `rows` or `slips`, after its kind.
    pub index: Option<usize>,
    /// In words.
    pub sentence: String,
}

/// A place in the bore.
#[derive(Debug, Serialize)]
pub struct Place {
    /// Name of the station.
    pub station: String,
    /// Label of the axis.
    pub axis: String,
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
    /// The figure.
    pub figure: Option<Number>,
    /// The figure as read, where bringing the readings to 20 °C made it another one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_read: Option<Number>,
    /// Readings are missing: the figure is the least it can be.
    pub at_least: bool,
    /// Where it was read, in words.
    pub read_at: Option<String>,
    /// The worst single point, where the average is judged.
    pub worst_point: Option<PlacedNumber>,
    /// As-made least.
    pub new_least: Option<Number>,
    /// As-made greatest.
    pub new_greatest: Option<Number>,
    /// The serviceable limit.
    pub limit: Option<Number>,
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
    pub missing: Vec<Place>,
    /// How sure the figure is.
    pub sure: Option<Sure>,
    /// The probability that the true value is within the limit (JCGM 106).
    pub probability_within: Option<f64>,
    /// How far inside the limit a figure must be under guarded acceptance.
    pub guard_band: Option<Number>,
}

/// A number and where it was read.
#[derive(Debug, Serialize)]
pub struct PlacedNumber {
    /// Where.
    #[serde(flatten)]
    pub place: Place,
    /// The number.
    #[serde(flatten)]
    pub number: Number,
}

/// How sure a figure is (JCGM 100).
#[derive(Debug, Serialize)]
pub struct Sure {
    /// Combined standard uncertainty.
    pub u: f64,
    /// Effective degrees of freedom; `null`: infinite.
    pub dof: Option<f64>,
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
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// An oversize.
#[derive(Debug, Serialize)]
pub struct Rung<'a> {
    /// In words, such as `+0.010 in`.
    pub size: &'a str,
    /// It is the one recommended.
    pub recommended: bool,
    /// The size it is finished to at least.
    pub finished: Number,
    /// `does not clean up`, `cleans up only if the wear is even` or `cleans up even if all wear is on one side`.
    pub clean_up: &'static str,
    /// Something is missing that the clean-up rests on.
    pub as_far_as_measured: bool,
    /// The wall may be cut so far.
    pub wall_allows: bool,
    /// What a clean bore needs if it wore evenly.
    pub needs_if_even: Number,
    /// What a clean bore needs whichever side it wore.
    pub needs_whichever_side: Number,
    /// The place that needs the most if it wore evenly.
    pub governed_if_even: Place,
    /// The place that needs the most whichever side it wore.
    pub governed_by: Place,
    /// What comes off at each place, on the diameter; negative where the bore is larger already.
    pub stock: Vec<PlacedNumber>,
}

/// A reading that looks wrong.
#[derive(Debug, Serialize)]
pub struct Slip<'a> {
    /// What it looks like, in words.
    pub kind: &'static str,
    /// Where; `null`: the whole cylinder.
    pub place: Option<Place>,
    /// Which repeat, counted from 1; `null`: the place as a whole.
    pub repeat: Option<usize>,
    /// What was read.
    pub read: Option<Number>,
    /// What was probably meant.
    pub likely: Option<Number>,
    /// Every reading that would be another one if the guess is right.
    pub meant: Vec<Meant>,
    /// What to do.
    pub remedy: &'static str,
    /// Somebody has confirmed it.
    pub confirmed: bool,
    /// The outcome hangs on it.
    pub outcome_hangs_on_it: bool,
    /// Why, as a part of a sentence.
    pub why: &'a str,
    /// In words.
    pub sentence: String,
}

/// What a place would read if a guess is right.
#[derive(Debug, Serialize)]
pub struct Meant {
    /// Where.
    #[serde(flatten)]
    pub place: Place,
    /// The repeats, as diameters.
    pub repeats: Vec<Number>,
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
    pub size: Option<Number>,
    /// Depth.
    pub depth: Option<Number>,
    /// How many adjacent fins it goes over.
    pub fins: u16,
    /// The area taken off, in the square of the engine's unit.
    pub area: Option<Number>,
    /// What it asks for: `replace`, `metal`, `repair`, or what must be measured first: `measure its depth`,
    /// `measure its size` or `measure its area`.
    pub asks: &'static str,
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
    /// The least clearance or gap; negative is an interference.
    pub smallest: Option<Number>,
    /// The greatest.
    pub largest: Option<Number>,
    /// As-made least.
    pub new_least: Number,
    /// As-made greatest.
    pub new_greatest: Number,
    /// The serviceable limit.
    pub limit: Option<Number>,
    /// What is left to it; negative is over.
    pub margin: Option<Number>,
    /// Tighter than the as-made least: it may seize.
    pub too_tight: bool,
    /// Why nothing comes of what was written of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unusable: Option<&'a str>,
}

/// The readings of one place.
#[derive(Debug, Serialize)]
pub struct Reading<'a> {
    /// Where.
    #[serde(flatten)]
    pub place: Place,
    /// The exact mean of the repeats.
    pub mean: Number,
    /// The repeats, as diameters.
    pub repeats: Vec<Number>,
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
pub struct Told {
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

impl From<&Diagnostic> for Told {
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
    let told: Vec<String> = diagnostics.iter().map(|diagnostic| json(&Told::from(diagnostic))).collect();
    format!("\n],\n\"errors\": [{}]}}\n", told.join(",\n"))
}

/// An engine within a document.
pub fn engine(judged: &Judged) -> String {
    json(&engine_of(judged))
}

/// An engine as a line.
pub fn engine_line(judged: &Judged) -> String {
    json(&Line { format: FORMAT, kind: "engine", of: &engine_of(judged) }) + "\n"
}

/// Errors and notes as lines.
pub fn told_lines(diagnostics: &[Diagnostic]) -> String {
    let line = |diagnostic| json(&Line { format: FORMAT, kind: "told", of: &Told::from(diagnostic) }) + "\n";
    diagnostics.iter().map(line).collect()
}

/// Nothing here can be refused: all keys are texts, and a number that is not finite becomes `null`.
fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

/// The unit and the table that values are put in words with.
#[derive(Clone, Copy)]
struct Cx<'a> {
    unit: Unit,
    limits: &'a Limits,
}

impl<'a> Cx<'a> {
    fn number(self, value: impl Into<Mean>) -> Number {
        let (value, exact) = value.into().decimal_text(self.unit);
        Number { value, exact }
    }

    fn figure(self, figure: Option<&BoreFigure>) -> Option<Number> {
        figure.map(|figure| self.number(figure.value))
    }

    fn bound(self, bound: Option<&Bound>) -> Option<Number> {
        bound.map(|bound| self.number(bound.length))
    }

    fn place(self, at: Point) -> Place {
        Place {
            station: self.limits.stations.get(at.station).map_or(String::new(), |s| s.name.clone()),
            axis: self.limits.axes.get(at.axis).map_or(String::new(), |axis| axis.label.clone()),
        }
    }

    fn places(self, points: &[Point]) -> Vec<Place> {
        points.iter().map(|&at| self.place(at)).collect()
    }

    fn placed(self, at: Point, value: Mean) -> PlacedNumber {
        PlacedNumber { place: self.place(at), number: self.number(value) }
    }

    fn size(self, index: usize) -> Option<&'a str> {
        self.limits.sizes.get(index).map(|row| row.name.as_str())
    }

    fn sure(self, budget: &Budget) -> Sure {
        let expanded = budget.expanded_95();
        let finite = |dof: f64| dof.is_finite().then_some(dof);
        let lines = budget.lines.iter().map(|line| BudgetLine {
            source: line.source.to_string(),
            unit: line.unit.symbol(),
            estimate: line.estimate,
            u: line.u,
            dof: finite(line.dof),
            sensitivity: line.sensitivity,
            contribution: self.unit.from_mm(line.contribution_mm()),
            share: budget.share(line),
        });
        Sure {
            u: self.unit.from_mm(budget.u_mm),
            dof: finite(budget.dof),
            k: expanded.k,
            expanded: self.unit.from_mm(expanded.u_mm),
            budget: lines.collect(),
        }
    }
}

fn engine_of(judged: &Judged) -> Engine<'_> {
    let surveyed = &judged.surveyed;
    let (record, survey) = (&surveyed.record, &surveyed.survey);
    let overhaul = surveyed.overhaul();
    let limits = &*survey.limits;
    let unit = surveyed.unit();
    let cx = Cx { unit, limits };
    let one_size = engine::one_size_for_all(limits, &survey.cylinders, &judged.assessments);
    let weights = engine::weights(survey).zip(limits.piston_weight_spread.as_ref());
    Engine {
        file: surveyed.file.display().to_string(),
        model: &record.engine.model,
        serial: &record.engine.serial,
        owner: &record.engine.owner,
        installed_in: &record.engine.installed_in,
        overhaul: surveyed.index + 1,
        overhauls: record.overhauls.len(),
        date: overhaul.map(|overhaul| overhaul.date.to_string()),
        total_hours: overhaul.and_then(|overhaul| overhaul.total_hours),
        hours_since_overhaul: overhaul.and_then(|overhaul| overhaul.hours_since_overhaul),
        inspector: overhaul.map_or("", |overhaul| &overhaul.inspector.name),
        certificate: overhaul.map_or("", |overhaul| &overhaul.inspector.certificate),
        unit: unit.symbol(),
        limits: Table {
            identity: &limits.identity,
            revision: &limits.revision,
            engine: &limits.engine,
            illustrative: limits.illustrative,
            file: surveyed.limits_file.as_ref().map(|file| file.display().to_string()),
            decision_rule: match limits.decision {
                DecisionRule::Simple => "simple",
                DecisionRule::Guarded => "guarded",
            },
        },
        cylinders: judged
            .cylinders()
            .map(|(cylinder, assessment)| self::cylinder(cx, cylinder, assessment, survey))
            .collect(),
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
        remarks: remarks(judged),
        who_decides: super::judge_text::WHO_DECIDES,
    }
}

fn cylinder<'a>(
    cx: Cx<'a>,
    cylinder: &'a Barrel,
    assessment: &'a Assessment,
    survey: &'a Survey,
) -> Cylinder<'a> {
    let recommendation = assessment.recommendation;
    let (outcome, rebore_to) = match recommendation {
        Recommendation::Serviceable => ("serviceable", None),
        Recommendation::Rebore(size) => ("rebore", cx.size(size)),
        Recommendation::Replace => ("replace", None),
        Recommendation::NotDecided => ("not decided", None),
    };
    let (diameter, difference) = diameter_and_difference(cylinder, survey);
    let tightest = assessment.tightest_row();
    let sentence = |why: Why| reason::sentence(why, assessment, cylinder, cx.limits).unwrap_or_default();
    Cylinder {
        position: &cylinder.position,
        serial: &cylinder.serial,
        size: cylinder.size.map(|_| size_words(cylinder, cx.limits)),
        finished_to: cylinder.finished_to.map(|(length, _)| cx.number(length)),
        outcome,
        rebore_to,
        words: recommendation.words(cx.limits),
        needs_at_least: assessment.metal_known.and_then(|size| cx.size(size)),
        reasons: assessment.reasons.iter().map(|&why| reason_of(why, sentence(why))).collect(),
        needs: assessment
            .needs
            .iter()
            .enumerate()
            .map(|(i, missing)| need(cx, missing, sentence(Why::Need(i))))
            .collect(),
        tightest_row: assessment.rows.iter().position(|row| Some(row) == tightest),
        rows: assessment.rows.iter().map(|judged| row(cx, cylinder, judged)).collect(),
        ladder: assessment.ladder.iter().map(|judged| rung(cx, judged, assessment)).collect(),
        slips: slips(cx, cylinder, assessment),
        findings: findings(cx, cylinder, assessment),
        fits: assessment.fits.iter().map(|judged| fit(cx, judged)).collect(),
        sure_of_a_diameter: diameter.map(|budget| cx.sure(&budget)),
        sure_of_a_difference: difference.map(|budget| cx.sure(&budget)),
        readings: cylinder
            .bore
            .measured()
            .map(|(at, cell)| Reading {
                place: cx.place(at),
                mean: cx.number(cell.mean()),
                repeats: cell.repeats().iter().map(|&repeat| cx.number(repeat)).collect(),
                gauge: survey.gauges.get(cell.gauge).map_or("", |gauge| gauge.name.as_str()),
                confirmed: cell.confirmed,
            })
            .collect(),
        disposition: cylinder.disposition.as_ref().map(|disposition| Disposition {
            decision: decision_of(&disposition.decision, cx.limits, cx.unit),
            by: &disposition.by,
            reason: &disposition.reason,
            differs: !agrees(&disposition.decision, recommendation, cx.limits, cx.unit),
        }),
    }
}

fn reason_of(why: Why, sentence: String) -> Reason {
    let (kind, index) = match why {
        Why::Finding(i) => ("finding", Some(i)),
        Why::Beyond(i) => ("beyond", Some(i)),
        Why::Rebore(i) => ("rebore", Some(i)),
        Why::TooSmall(i) => ("too small", Some(i)),
        Why::NoOversize => ("no oversize", None),
        Why::Need(i) => ("need", Some(i)),
        Why::Within(i) => ("within", Some(i)),
    };
    Reason { kind, index, sentence }
}

fn need(cx: Cx<'_>, missing: &Missing, sentence: String) -> Need {
    let (kind, places, index) = match missing {
        Missing::Measure(points) => ("measure", cx.places(points), None),
        Missing::LookOver => ("look over", Vec::new(), None),
        Missing::Amount(Amount::Depth, i) => ("depth", Vec::new(), Some(*i)),
        Missing::Amount(Amount::Size, i) => ("size of finding", Vec::new(), Some(*i)),
        Missing::Amount(Amount::Area, i) => ("area", Vec::new(), Some(*i)),
        Missing::Amount(Amount::BoreThere, i) => ("bore at finding", Vec::new(), Some(*i)),
        Missing::Limit(i) => ("limit", Vec::new(), Some(*i)),
        Missing::SizeRow => ("size", Vec::new(), None),
        Missing::Expansion { .. } => ("expansion", Vec::new(), None),
        Missing::Unreadable(_) => ("unreadable", Vec::new(), None),
        Missing::Contradiction(found) => ("contradiction", cx.places(found.at().as_slice()), None),
        Missing::Budget(i) => ("uncertainty", Vec::new(), Some(*i)),
        Missing::Impossible(i) => ("table", Vec::new(), Some(*i)),
        Missing::Confirm(i) => ("confirm", Vec::new(), Some(*i)),
    };
    Need { kind, places, index, sentence }
}

fn row<'a>(cx: Cx<'_>, cylinder: &Barrel, row: &'a JudgedRow) -> Row<'a> {
    let rule = match row.kind {
        RowKind::Bore(rule) => Some(bore_rule_words(rule)),
        RowKind::Taper(rule) => Some(rule.words()),
        RowKind::OutOfRound(rule) => Some(rule.words()),
        RowKind::Choke | RowKind::Step => None,
    };
    let own_place = row.limit.as_ref().map_or("", |limit| limit.place.as_str());
    let read_at = row.figure.as_ref().map(|figure| reason::figure_place(row.kind, figure, cx.limits));
    Row {
        row: row.kind.words(),
        rule,
        reference: &row.source.reference,
        manual: if own_place.is_empty() { &row.source.place } else { own_place },
        status: row.status.words(),
        figure: cx.figure(row.figure.as_ref()),
        as_read: row.as_read.map(|as_read| cx.number(as_read)),
        at_least: row.figure.is_some() && !row.missing.is_empty(),
        read_at,
        worst_point: row
            .worst_point
            .as_ref()
            .and_then(|figure| Some(cx.placed(figure.place()?, figure.value))),
        new_least: cx.bound(row.new.0.as_ref()),
        new_greatest: cx.bound(row.new.1.as_ref()),
        limit: cx.bound(row.limit.as_ref()),
        limit_is: if row.kind == RowKind::Choke { "at least" } else { "at most" },
        margin: row.margin.map(|margin| cx.number(margin)),
        margin_words: reason::margin_words(row, cylinder.style(cx.limits)),
        in_guard_band: row.in_guard_band,
        when_beyond: match row.when_beyond {
            WhenBeyond::Rebore => "rebore",
            WhenBeyond::Replace => "replace",
        },
        missing: cx.places(&row.missing),
        sure: row.sureness.as_ref().map(|sureness| cx.sure(&sureness.budget)),
        probability_within: row.sureness.as_ref().and_then(|sureness| sureness.probability_within),
        guard_band: row.sureness.as_ref().map(|sureness| cx.number(sureness.guard_band)),
    }
}

fn rung<'a>(cx: Cx<'a>, rung: &LadderRung, assessment: &Assessment) -> Rung<'a> {
    Rung {
        size: cx.size(rung.size).unwrap_or_default(),
        recommended: assessment.recommendation == Recommendation::Rebore(rung.size),
        finished: cx.number(rung.finished),
        clean_up: rung.clean_up.words(),
        as_far_as_measured: !assessment.clean_up_is_complete(),
        wall_allows: rung.wall_allows,
        needs_if_even: cx.number(rung.needs_if_even),
        needs_whichever_side: cx.number(rung.needs_whichever_side),
        governed_if_even: cx.place(rung.governed_if_even),
        governed_by: cx.place(rung.governed_by),
        stock: rung.stock.iter().map(|stock| cx.placed(stock.at, stock.stock)).collect(),
    }
}

fn slips<'a>(cx: Cx<'_>, cylinder: &Barrel, assessment: &'a Assessment) -> Vec<Slip<'a>> {
    let hangs = |slip: usize| assessment.needs.contains(&Missing::Confirm(slip));
    let slip = |(i, slip): (usize, &'a crate::slips::Slip)| Slip {
        kind: slip.kind.words(),
        place: slip.at.map(|at| cx.place(at)),
        repeat: slip.repeat.map(|repeat| repeat + 1),
        read: slip.read.map(|length| cx.number(length)),
        likely: slip.likely.map(|length| cx.number(length)),
        meant: slip
            .meant
            .iter()
            .map(|(at, repeats)| Meant {
                place: cx.place(*at),
                repeats: repeats.iter().map(|&repeat| cx.number(repeat)).collect(),
            })
            .collect(),
        remedy: slip.kind.remedy(),
        confirmed: slip.confirmed,
        outcome_hangs_on_it: hangs(i),
        why: &slip.why,
        sentence: slip.sentence(cylinder, cx.limits),
    };
    assessment.slips.iter().enumerate().map(slip).collect()
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
            size: amount(finding.size),
            depth: amount(finding.depth),
            fins: finding.fins,
            area: finding.area.map(|area| {
                let (value, exact) = area.decimal_text(cx.unit);
                Number { value, exact }
            }),
            asks: match (answer.asks, answer.missing().next()) {
                (Asks::Replace, _) => "replace",
                (Asks::Metal, _) => "metal",
                (Asks::Measure, Some(Amount::Depth)) => "measure its depth",
                (Asks::Measure, Some(Amount::Size)) => "measure its size",
                (Asks::Measure, Some(Amount::Area)) => "measure its area",
                (Asks::Measure, Some(Amount::BoreThere)) => "measure the bore at its station",
                (Asks::Repair, _) | (Asks::Measure, None) => "repair",
            },
            remedy: cx.limits.finding(finding.kind).remedy,
            done: &finding.done,
        })
        .collect()
}

fn fit<'a>(cx: Cx<'_>, row: &'a FitRow) -> Fit<'a> {
    let number = |mean: Option<Mean>| mean.map(|mean| cx.number(mean));
    Fit {
        reference: &row.source.reference,
        manual: &row.source.place,
        description: &row.description,
        status: row.status.words(),
        smallest: number(row.smallest),
        largest: number(row.largest),
        new_least: cx.number(row.new.0.length),
        new_greatest: cx.number(row.new.1.length),
        limit: cx.bound(row.limit.as_ref()),
        margin: number(row.margin),
        too_tight: row.too_tight,
        unusable: row.unusable.as_deref(),
    }
}
