//! The report's content as plain data: what the template reads. Every number is text already, in the unit and with
//! the digits of its readings, every sentence the core's own; nothing is computed here that the core does not.
//!
//! A shop's template reads the same data. A later program adds fields; it raises [`FORMAT`] if one changes its
//! meaning. What there is not is `null`, an empty text or an empty list.

use records::limits::rows::Side;
use serde::Serialize;

use super::{Document, Judged, Wish};
use drawings::layout::{Paper, lay_out};
use drawings::{Options, Subject, View, svg};
use figures::certainty::budget::Budget;
use figures::summary::Figures;
use history::engine::{self, Comparison, Said};
use history::figure::Figure as Followed;
use history::follow::{self, hours_text};
use history::sheet::EngineName;
use history::trend::Time;
use judging::engine::one_size_for_all;
use judging::reason::{self, Reason as Why};
use judging::row::{self, Row as JudgedRow, RowStatus};
use judging::shown::{Shown, figure_style, limit_style};
use judging::shown_row::ShownRow;
use judging::words::{self, NONE};
use judging::{Assessment, Recommendation};
use quantities::length::{Mean, Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::{Bound, CutLimit, FitLimits, RowSource};
use records::limits::schema::{PartKind, Size, Source, Surface};
use records::record::schema::{self, Amendment, EngineRecord, Overhaul, Reads};
use records::survey::{Cylinder as Barrel, Survey};
use records::wording::{CAUTIONS, capitalised, counted};
use work::seal;

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

/// The signature that an overhaul carries in the record.
fn sealed(judged: &Judged<'_>) -> Option<Sealed> {
    let overhaul = judged.record.overhauls.get(judged.overhaul)?;
    let signature = overhaul.seal.as_ref()?;
    let verdict = seal::verify(judged.record, judged.overhaul)?;
    let broken = verdict.broken.iter().map(|broken| seal::words::broken_words(broken, overhaul)).collect();
    let changes = |amendment: &Amendment| {
        amendment.changes.iter().map(|change| seal::words::change_words(change, overhaul)).collect()
    };
    let latest = signature.amendments.last().map_or(&signature.digest, |amendment| &amendment.digest);
    Some(Sealed {
        stands: seal::words::verdict_words(signature, &verdict),
        broken,
        digest: latest.clone(),
        amendments: signature
            .amendments
            .iter()
            .map(|amendment| (seal::words::who_words(amendment), changes(amendment)))
            .collect(),
        what_it_shows: seal::words::WHAT_IT_SHOWS,
    })
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

/// The kind of an outcome, for its symbol.
fn outcome(recommendation: Recommendation, limits: &Limits) -> Outcome {
    let kind = match recommendation {
        Recommendation::Serviceable => "serviceable",
        Recommendation::Rebore(_) => "rebore",
        Recommendation::Replace => "replace",
        Recommendation::NotDecided => "not-decided",
    };
    Outcome { kind, words: recommendation.words(limits) }
}

fn status_kind(status: RowStatus) -> &'static str {
    match status {
        RowStatus::WithinNew => "within-new",
        RowStatus::WithinServiceable => "within-serviceable",
        RowStatus::NoLimitGiven => "no-limit",
        RowStatus::NotMeasured => "not-measured",
        RowStatus::Beyond => "beyond",
    }
}

fn or_none(text: Option<String>) -> String {
    text.unwrap_or_else(|| NONE.to_owned())
}

/// The report of an overhaul, or of one cylinder of it.
pub fn report(judged: Judged<'_>, wish: Wish) -> Document {
    let Judged { record, survey, assessments, .. } = judged;
    let limits: &Limits = &survey.limits;
    let overhaul = record.overhauls.get(judged.overhaul);
    let chosen: Vec<usize> = match wish.cylinder {
        Some(index) => vec![index],
        None => (0..survey.cylinders.len()).collect(),
    };
    let mut pictures = Vec::new();
    let cylinders: Vec<Cylinder> = chosen
        .iter()
        .filter_map(|&index| {
            let (barrel, assessment) = (survey.cylinders.get(index)?, assessments.get(index)?);
            let written = overhaul.and_then(|overhaul| Some((overhaul.cylinders.get(index)?, overhaul.unit)));
            Some(cylinder(Subject { survey, cylinder: barrel, assessment }, written, index, &mut pictures))
        })
        .collect();
    let identity = identity(judged, overhaul);
    let report = Report {
        format: FORMAT,
        program: format!("Borewright {}", env!("CARGO_PKG_VERSION")),
        paper: wish.page.name(),
        title: match (wish.cylinder, cylinders.first()) {
            (Some(_), Some(one)) => format!("Bore inspection report: {}", uncapitalised(&one.name)),
            _ => "Bore inspection report".to_owned(),
        },
        conditions: conditions(overhaul),
        gauges: overhaul.map_or_else(Vec::new, gauges),
        standards: overhaul.map_or_else(Vec::new, standards),
        illustrative: limits.illustrative.then_some(words::ILLUSTRATIVE),
        judged_by: words::judged_on(limits),
        counts: counts(&chosen, assessments),
        remarks: if wish.cylinder.is_none() { engine_remarks(survey, assessments) } else { Vec::new() },
        history: history(judged, &cylinders),
        uncertainty: uncertainty(judged, &chosen),
        limits: limits_table(record, limits),
        cautions: CAUTIONS.to_vec(),
        signature: Signature {
            name: identity.inspector.clone(),
            certificate: identity.certificate.clone(),
            date: identity.date.clone(),
            sealed: sealed(&judged),
        },
        identity,
        cylinders,
        who_decides: words::WHO_DECIDES,
    };
    Document::new("report.typ", &report, pictures)
}

fn uncapitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// Hours with their unit.
fn hours(hours: Option<f64>) -> String {
    hours.filter(|hours| hours.is_finite()).map_or(String::new(), |hours| format!("{} h", hours_text(hours)))
}

/// What identifies an engine and an overhaul of it.
pub(super) fn identity(judged: Judged<'_>, overhaul: Option<&Overhaul>) -> Identity {
    let engine = &judged.record.engine;
    let of = |text: fn(&Overhaul) -> String| overhaul.map_or(String::new(), text);
    Identity {
        model: engine.model.clone(),
        serial: engine.serial.clone(),
        owner: engine.owner.clone(),
        installed_in: engine.installed_in.clone(),
        overhaul: format!("Overhaul {} of {}", judged.overhaul + 1, judged.record.overhauls.len()),
        date: of(|overhaul| overhaul.date.to_string()),
        total_time: of(|overhaul| hours(overhaul.total_hours)),
        since_overhaul: of(|overhaul| hours(overhaul.hours_since_overhaul)),
        inspector: of(|overhaul| overhaul.inspector.name.clone()),
        certificate: of(|overhaul| overhaul.inspector.certificate.clone()),
        remarks: of(|overhaul| overhaul.remarks.clone()),
    }
}

fn conditions(overhaul: Option<&Overhaul>) -> Vec<(String, String)> {
    let Some(temperatures) = overhaul.and_then(|overhaul| overhaul.temperatures.as_ref()) else {
        return vec![("Temperatures".to_owned(), "not recorded".to_owned())];
    };
    let within = temperatures.within.map_or(String::new(), |k| format!(", known within ± {k} K"));
    vec![
        ("Barrel".to_owned(), format!("{} °C", temperatures.barrel)),
        ("Gauge or standard".to_owned(), format!("{} °C{within}", temperatures.gauge)),
        ("Correction".to_owned(), "every figure brought to 20 °C (ISO 1)".to_owned()),
    ]
}

/// A length as it was typed, with the unit that was meant.
fn typed(text: &str, unit: Unit) -> String {
    let text = text.trim();
    let is_bare = text.ends_with(|c: char| c.is_ascii_digit() || c == '.');
    if is_bare { format!("{text} {unit}") } else { text.to_owned() }
}

fn calibration(calibration: Option<&schema::Calibration>, unit: Unit) -> String {
    let Some(calibration) = calibration else { return "none stated".to_owned() };
    let mut words = format!("± {} (k {})", typed(&calibration.expanded_uncertainty, unit), calibration.k);
    if !calibration.certificate.is_empty() {
        words = format!("{words}, certificate {}", calibration.certificate);
    }
    match calibration.due {
        Some(due) => format!("{words}, due {due}"),
        None => words,
    }
}

fn gauges(overhaul: &Overhaul) -> Vec<GaugeRow> {
    let row = |gauge: &schema::Gauge| {
        let reads = match gauge.reads {
            Reads::Diameter => "the diameter",
            Reads::Deviation => "a deviation",
            Reads::Graduations => "graduations of deviation",
        };
        let on = gauge.zeroed_on.as_ref().map_or(String::new(), |on| format!(", set on {on}"));
        let plus = match gauge.plus_means {
            schema::PlusMeans::Smaller if gauge.reads != Reads::Diameter => ", plus is smaller",
            _ => "",
        };
        let serial =
            if gauge.serial.is_empty() { String::new() } else { format!(", serial {}", gauge.serial) };
        GaugeRow {
            name: format!("{}{serial}", gauge.name),
            reads: format!("{reads}{on}{plus}"),
            graduation: or_none(gauge.graduation.as_ref().map(|text| typed(text, overhaul.unit))),
            calibration: calibration(gauge.calibration.as_ref(), overhaul.unit),
        }
    };
    overhaul.gauges.iter().map(row).collect()
}

fn standards(overhaul: &Overhaul) -> Vec<[String; 3]> {
    let row = |standard: &schema::SettingStandard| {
        [
            standard.name.clone(),
            typed(&standard.size, overhaul.unit),
            calibration(standard.calibration.as_ref(), overhaul.unit),
        ]
    };
    overhaul.standards.iter().map(row).collect()
}

fn engine_remarks(survey: &Survey, assessments: &[Assessment]) -> Vec<String> {
    words::remarks(survey, one_size_for_all(&survey.limits, &survey.cylinders, assessments).as_ref())
}

fn counts(chosen: &[usize], assessments: &[Assessment]) -> String {
    let outcomes: Vec<_> =
        chosen.iter().filter_map(|&index| assessments.get(index)).map(|a| a.recommendation).collect();
    let number = |wanted: fn(Recommendation) -> bool, word: &str| {
        let count = outcomes.iter().filter(|outcome| wanted(**outcome)).count();
        (count > 0).then(|| format!("{count} {word}"))
    };
    let counts: Vec<String> = [
        number(|r| r == Recommendation::Serviceable, "serviceable"),
        number(|r| matches!(r, Recommendation::Rebore(_)), "rebore"),
        number(|r| r == Recommendation::Replace, "replace"),
        number(|r| r == Recommendation::NotDecided, "not decided"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if counts.is_empty() {
        return "No cylinder is written down yet.".to_owned();
    }
    format!("{}: {}.", counted(outcomes.len(), "cylinder"), counts.join(", "))
}

/// A margin as its number and the word behind it.
fn margin(row: &JudgedRow, style: Style) -> (String, &'static str) {
    reason::margin(row, style).unwrap_or_else(|| (NONE.to_owned(), ""))
}

/// A cylinder; `written` is the same as it stands in the record, and the unit of its lengths that name none.
fn cylinder(
    subject: Subject<'_>,
    written: Option<(&schema::Cylinder, Unit)>,
    index: usize,
    pictures: &mut Vec<(String, String)>,
) -> Cylinder {
    let Subject { survey, cylinder, assessment } = subject;
    let limits: &Limits = &survey.limits;
    let style = cylinder.style(limits);
    let entry = written.map(|(written, _)| written);
    let unit = written.map_or(limits.unit, |(_, unit)| unit);
    let figures = Figures::of(cylinder, limits);
    let disposition = cylinder.disposition.as_ref();
    let needs_metal = words::needs_metal(assessment) && !assessment.oversizes.is_empty();
    let (fits, not_measured) = fits(assessment, limits, style);
    Cylinder {
        position: cylinder.position.clone(),
        serial: cylinder.serial.clone(),
        name: capitalised(&cylinder.words()),
        size: words::size_words(cylinder, limits).to_owned(),
        finished_to: cylinder.finished_to.map_or(String::new(), |(size, style)| size.text(style)),
        unit: style.unit.symbol(),
        outcome: outcome(assessment.recommendation, limits),
        already_known: words::known_words(assessment, limits).unwrap_or_default(),
        decision: disposition.map_or(String::new(), |d| words::decision_of(&d.decision, limits, unit)),
        decided: disposition
            .map_or(String::new(), |d| words::disposition_words(d, assessment.recommendation, limits, unit)),
        differs: disposition
            .is_some_and(|d| !words::agrees(&d.decision, assessment.recommendation, limits, unit)),
        tightest: assessment.tightest_row().map(|row| {
            let (margin, side) = margin(row, style);
            Tightest { row: row.kind.words(), margin, side, chance: words::within_words(row) }
        }),
        reasons: reasons(subject),
        cautions: slips(subject),
        readings: readings(subject, entry, &figures),
        bore_limits: bore_limits(cylinder, limits),
        figures: assessment.rows.iter().map(|row| figure_row(row, style, limits)).collect(),
        shape: figures.shape_words().unwrap_or_default(),
        wear: wear(&figures, limits, style),
        notes: figures.notes.iter().map(|note| format!("{}.", capitalised(note.words()))).collect(),
        drawings: drawings(subject, index, pictures),
        looked_over: cylinder.looked_over,
        findings: written.map_or_else(Vec::new, |(written, unit)| findings(written, unit)),
        clean_up: if needs_metal { clean_up(assessment, cylinder, limits, style) } else { String::new() },
        oversizes: if needs_metal { oversizes(assessment, limits, style) } else { Vec::new() },
        fits,
        not_measured,
        sure: sure(cylinder, survey, style),
        piston_weight: entry.and_then(|written| written.piston_weight.clone()).unwrap_or_default(),
        remarks: entry.map_or(String::new(), |written| written.remarks.clone()),
    }
}

fn reasons(subject: Subject<'_>) -> Vec<Reason> {
    let Subject { survey, cylinder, assessment } = subject;
    let reported = |&why: &Why| {
        let words = reason::sentence(why, assessment, cylinder, &survey.limits)?;
        let row = match why {
            Why::Beyond(i) | Why::Within(i) => assessment.rows.get(i),
            _ => None,
        };
        Some(Reason { kind: row.map_or("", |row| status_kind(row.status)), words })
    };
    assessment.reasons.iter().filter_map(reported).collect()
}

fn slips(subject: Subject<'_>) -> Vec<String> {
    let Subject { survey, cylinder, assessment } = subject;
    let hangs = |slip: usize| assessment.needs.contains(&judging::Need::Confirm(slip));
    let reported = assessment.slips.iter().enumerate().filter(|(i, _)| !hangs(*i));
    reported.map(|(_, slip)| words::slip_words(slip, cylinder, &survey.limits)).collect()
}

/// As many axes as one table has room for.
const AXES_BESIDE: usize = 6;
/// As many repeats of a cell as are shown; more are counted.
const REPEATS_SHOWN: usize = 4;

fn readings(subject: Subject<'_>, written: Option<&schema::Cylinder>, figures: &Figures) -> Vec<Readings> {
    let (cylinder, limits) = (subject.cylinder, &subject.survey.limits);
    let shown = |&axis: &usize| {
        let is_required = limits.required_axes.contains(&axis);
        is_required || cylinder.bore.measured().any(|(at, _)| at.axis == axis)
    };
    let axes: Vec<usize> = (0..limits.axes.len()).filter(shown).collect();
    let tables = axes.chunks(AXES_BESIDE).enumerate();
    let tables = tables
        .map(|(i, axes)| Readings { with_figures: i == 0, ..readings_on(axes, subject, written, figures) });
    tables.collect()
}

fn readings_on(
    axes: &[usize],
    subject: Subject<'_>,
    written: Option<&schema::Cylinder>,
    figures: &Figures,
) -> Readings {
    let (cylinder, limits) = (subject.cylinder, &subject.survey.limits);
    let style = cylinder.style(limits);
    let mut means = words::sheet_style(cylinder, style);
    let depth = drawings::depth_style(limits, style);
    let size = cylinder.size.and_then(|size| limits.sizes.get(size));
    let limit = size.and_then(|size| size.serviceable.as_ref());
    if let Some(limit) = limit {
        // A reading and what is left make the limit to the last digit.
        means.decimals = means.decimals.max(limit_style(limit.length, limit.style, means).decimals);
    }
    let label = |&axis: &usize| limits.axes.get(axis).map_or(String::new(), axis_label);
    let rows: Vec<ReadingRow> = limits
        .stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            let judged = limits.bore_stations.contains(&index);
            let cell = |&axis: &usize| {
                let at = Point::new(index, axis);
                let mean = cylinder.bore.mean(at);
                let guard = row::point_guard(cylinder, at, limits, subject.survey.setup());
                let status = mean.zip(size).map(|(mean, size)| row::point_status(mean, size, guard));
                ReadingCell {
                    value: or_none(mean.map(|mean| mean.number(means))),
                    entered: entered(subject, written, at),
                    beyond: judged && status == Some(RowStatus::Beyond),
                }
            };
            let largest =
                (0..limits.axes.len()).filter_map(|axis| cylinder.bore.mean(Point::new(index, axis))).max();
            let left = largest
                .zip(limit)
                .filter(|_| judged)
                .map(|(mean, limit)| Mean::from(limit.length).rounded(means) - mean.rounded(means));
            let out_of_round = figures
                .stations
                .get(index)
                .and_then(|station| station.out_of_round.as_ref())
                .map(|figure| figure.value.number(means));
            ReadingRow {
                station: station.name.clone(),
                depth: station.depth.number(depth),
                role: station.role.words(),
                cells: axes.iter().map(cell).collect(),
                out_of_round: or_none(out_of_round),
                margin: or_none(left.map(|left| left.abs().number(means))),
                side: left.map_or("", |left| if left.is_negative() { "over" } else { "left" }),
            }
        })
        .collect();
    let with_entered = rows.iter().flat_map(|row| &row.cells).any(|cell| !cell.entered.is_empty());
    Readings { axes: axes.iter().map(label).collect(), rows, with_entered, with_figures: true }
}

/// `thrust, 90°`; `45°` where the label is the direction.
pub(super) fn axis_label(axis: &records::limits::schema::Axis) -> String {
    match axis.label.trim().parse::<f64>() {
        Ok(_) => format!("{}°", axis.label.trim()),
        Err(_) => format!("{}, {}°", axis.label, axis.degrees),
    }
}

/// What was read from the gauge, where it is not the diameter itself.
fn entered(subject: Subject<'_>, written: Option<&schema::Cylinder>, at: Point) -> String {
    let limits = &subject.survey.limits;
    let (Some(station), Some(axis)) = (limits.stations.get(at.station), limits.axes.get(at.axis)) else {
        return String::new();
    };
    let texts: Vec<&str> = written
        .iter()
        .flat_map(|written| &written.readings)
        .filter(|reading| reading.station == station.name && reading.axis == axis.label)
        .flat_map(|reading| reading.entered.iter().map(String::as_str))
        .collect();
    let Some(cell) = subject.cylinder.bore.cell(at) else { return String::new() };
    let is_itself = matches!(texts.as_slice(), [one] if *one == cell.mean().number(cell.style));
    if is_itself {
        return String::new();
    }
    let shown = texts.iter().take(REPEATS_SHOWN).map(|text| text.replacen('-', "\u{2212}", 1));
    let shown = shown.collect::<Vec<_>>().join("  ");
    match texts.len().saturating_sub(REPEATS_SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// The bore's own limits for the cylinder's size, as a sentence.
pub(super) fn bore_limits(cylinder: &Barrel, limits: &Limits) -> String {
    let Some(row) = cylinder.size.and_then(|size| limits.sizes.get(size)) else {
        return "The table of limits has no row for this cylinder's size.".to_owned();
    };
    let style = cylinder.style(limits);
    let bound = |bound: &Bound| bound.length.text(limit_style(bound.length, bound.style, style));
    let limit = row.serviceable.as_ref().map_or_else(
        || "no serviceable limit given".to_owned(),
        |limit| format!("serviceable to {}", bound(limit)),
    );
    let from = row.source.words(row.serviceable.as_ref());
    let from = if from.is_empty() { String::new() } else { format!(" ({from})") };
    format!(
        "Bore, size {}: as made {} to {}, {limit}{from}.",
        row.name,
        row.new.0.length.number(limit_style(row.new.0.length, row.new.0.style, style)),
        bound(&row.new.1)
    )
}

fn figure_row(row: &JudgedRow, style: Style, limits: &Limits) -> FigureRow {
    let shown = ShownRow::of(row, limits, style);
    let (margin, side) = shown.margin.unwrap_or_else(|| (NONE.to_owned(), ""));
    FigureRow {
        row: capitalised(shown.name),
        place: shown.place,
        figure: or_none(shown.figure),
        new: or_none(shown.new),
        limit: or_none(shown.limit),
        margin,
        side,
        expanded: or_none(shown.expanded),
        chance: shown.chance,
        status: Status { kind: status_kind(shown.status), words: shown.status_words },
        source: shown.source,
    }
}

fn wear(figures: &Figures, limits: &Limits, style: Style) -> String {
    let Some((wear, (at, greatest))) = figures.wear.as_ref().and_then(|w| Some((w, w.greatest?))) else {
        return String::new();
    };
    let text = greatest.text(figure_style(greatest, style));
    let from = wear.reference.diameter().text(figure_style(wear.reference.diameter(), style));
    format!(
        "Greatest wear {text}, {}, counted from {from}, {}.",
        records::survey::point_words(limits, at),
        wear.reference.words()
    )
}

/// The drawings of a cylinder: their names in the report, which they are, and their size. A template draws them at
/// about seven tenths, so that words stand at 7.5 points and lines have the weights of print.
const DRAWINGS: [(&str, View, f64, f64); 3] = [
    ("profile", View::Profile, 690.0, 380.0),
    ("out-of-round", View::OutOfRound, 340.0, 310.0),
    ("section", View::Section, 340.0, 310.0),
];
/// Size of the words in the drawings, in points before they are drawn smaller.
const DRAWN_TEXT: f64 = 10.5;

fn drawings(subject: Subject<'_>, index: usize, pictures: &mut Vec<(String, String)>) -> Vec<Drawn> {
    if subject.cylinder.bore.is_empty() {
        return Vec::new();
    }
    // Many stations need room beside each other.
    let more = subject.survey.limits.stations.len().saturating_sub(12).min(40) as f64;
    let draw = |(kind, view, width, height): (&'static str, View, f64, f64)| {
        let height = if view == View::Section { height } else { height + 9.0 * more };
        let mut drawing = view.draw(subject, &Options::default());
        // The heading names the cylinder, and the reasons say what matters.
        drawing.title = drawing.short.clone();
        drawing.lead.clear();
        let paper = Paper { width, height, text: DRAWN_TEXT, titled: true, brief: false };
        let sheet = lay_out(&drawing, paper, None);
        let name = format!("drawings/{}-{kind}.svg", index + 1);
        pictures.push((name.clone(), svg::printed(&sheet)));
        Drawn { kind, file: format!("/{name}"), alt: sheet.name }
    };
    DRAWINGS.into_iter().map(draw).collect()
}

fn findings(written: &schema::Cylinder, unit: Unit) -> Vec<FindingRow> {
    let row = |finding: &schema::Finding| {
        let mut place: Vec<String> = Vec::new();
        place.extend((!finding.place.is_empty()).then(|| finding.place.clone()));
        place.extend(finding.station.as_ref().map(|station| format!("station {station}")));
        place.extend(finding.degrees.map(|degrees| format!("{degrees}°")));
        let mut extent: Vec<String> = Vec::new();
        extent.extend(finding.size.as_ref().map(|size| format!("{} long", typed(size, unit))));
        extent.extend(finding.depth.as_ref().map(|depth| format!("{} deep", typed(depth, unit))));
        extent.extend(finding.area.clone());
        extent.extend(finding.fins.map(|fins| counted(usize::from(fins), "fin")));
        let done = match (finding.done.is_empty(), finding.by.is_empty()) {
            (false, false) => format!("{}; {}", finding.done, finding.by),
            (false, true) => finding.done.clone(),
            (true, false) => format!("nothing yet; {}", finding.by),
            (true, true) => "nothing yet".to_owned(),
        };
        FindingRow {
            what: capitalised(finding.kind.words()),
            place: place.join(", "),
            extent: extent.join(", "),
            done,
        }
    };
    written.findings.iter().map(row).collect()
}

fn clean_up(assessment: &Assessment, cylinder: &Barrel, limits: &Limits, style: Style) -> String {
    let option = assessment.oversizes.first();
    option.map_or(String::new(), |option| words::clean_up_words(option, assessment, cylinder, limits, style))
}

fn oversizes(assessment: &Assessment, limits: &Limits, style: Style) -> Vec<OversizeRow> {
    let row = |option: &judging::clean_up::OversizeOption| {
        let made = limits.sizes.get(option.size).map(|row| &row.new.0);
        let spare = |need: Mean| made.map_or((NONE.to_owned(), ""), |made| words::spare(need, made, style));
        let finished = made.map_or(style, |made| limit_style(made.length, made.style, style));
        let chosen = assessment.recommendation == Recommendation::Rebore(option.size);
        OversizeRow {
            size: limits.sizes.get(option.size).map_or(NONE.to_owned(), |row| row.name.clone()),
            finished: option.finished.number(finished),
            if_even: spare(option.needs_if_even),
            one_sided: spare(option.needs_whichever_side),
            words: format!(
                "{}{}",
                words::option_words(option, assessment),
                if chosen { "; recommended" } else { "" }
            ),
            chosen,
        }
    };
    assessment.oversizes.iter().map(row).collect()
}

/// The parts that were measured as rows, those that were not in words.
fn fits(assessment: &Assessment, limits: &Limits, style: Style) -> (Vec<FitRow>, String) {
    let mut rows = Vec::new();
    for (i, row) in assessment.fits.iter().enumerate() {
        // Ring gaps follow the pairs of parts.
        let gap = i >= limits.fits.len();
        let parts = format!("{}{}", row.description, if gap { ", gap" } else { "" });
        let Some(largest) = row.largest else { continue };
        let limit = row.limit.as_ref().map(|limit| limit.length);
        let own = if row.style.unit == style.unit { row.style } else { style };
        let shown = Shown::in_digits(largest, row.limit.as_ref(), own);
        let own = shown.style;
        let number = |mean: Mean| {
            let letter = if gap { "" } else { words::clearance_letter(mean) };
            format!("{}{letter}", if gap { mean } else { mean.abs() }.number(own))
        };
        let (margin, side) = shown.left().unwrap_or_else(|| (NONE.to_owned(), ""));
        rows.push(FitRow {
            reference: row.source.reference.clone(),
            parts,
            least: or_none(row.smallest.map(number)),
            most: number(largest),
            limit: or_none(limit.map(|limit| format!("≤ {}", number(limit.into())))),
            margin,
            side,
            status: Status {
                kind: status_kind(row.status),
                words: if row.too_tight {
                    "too tight: it may seize".to_owned()
                } else {
                    row.status.words().to_owned()
                },
            },
        });
    }
    (rows, words::not_measured(assessment, limits))
}

fn sure(cylinder: &Barrel, survey: &Survey, style: Style) -> String {
    let (Some(diameter), difference) = words::diameter_and_difference(cylinder, survey) else {
        return String::new();
    };
    let of = |budget: &Budget| {
        format!("± {} {} (k {:.2})", words::expanded_text(budget, style), style.unit, budget.expanded_95().k)
    };
    let difference =
        difference.map_or(String::new(), |budget| format!(", the difference of two {}", of(&budget)));
    format!("How sure, 95 %: a diameter {}{difference}.", of(&diameter))
}

/// The statement of uncertainty and the decision rule.
fn uncertainty(judged: Judged<'_>, chosen: &[usize]) -> Vec<String> {
    let survey = judged.survey;
    let mut sources: Vec<String> = Vec::new();
    let budgets = chosen.iter().filter_map(|&index| survey.cylinders.get(index));
    for budget in budgets.filter_map(|cylinder| words::diameter_and_difference(cylinder, survey).0) {
        for line in budget.lines {
            let source = line.source.into_owned();
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    let from = if sources.is_empty() {
        "Nothing is measured, so nothing is said about how sure it is.".to_owned()
    } else {
        format!(
            "Sources of uncertainty that were counted: {}. A source not named here was not known and is not in it.",
            sources.join("; ")
        )
    };
    let rows = chosen
        .iter()
        .filter_map(|&index| judged.assessments.get(index))
        .flat_map(|assessment| &assessment.rows);
    let left_out = words::left_out(rows).map_or(String::new(), |text| format!(" {text}"));
    vec![
        "A figure is given with its expanded uncertainty for a coverage of 95 %, by the method of JCGM 100 with Student's \
         t-distribution and effective degrees of freedom by Welch and Satterthwaite, or by the shape of the one or two \
         sources that outweigh the rest. What is common to two readings drops \
         out of their difference."
            .to_owned(),
        from,
        format!(
            "Decision rule: {}. The chance is the probability that the true value is within the limit (JCGM 106), as far \
             as the uncertainty is known; it decides nothing by itself.{left_out}",
            survey.limits.decision.words().trim_end_matches('.'),
        ),
        "Diameters are taken between two points: an odd number of lobes cannot be seen so.".to_owned(),
    ]
}

/// The wear of an engine's cylinders up to this overhaul; none with fewer than two overhauls.
fn history(judged: Judged<'_>, shown: &[Cylinder]) -> Option<History> {
    let date = judged.record.overhauls.get(judged.overhaul)?.date;
    let mut record: EngineRecord = judged.record.clone();
    record.overhauls.retain(|overhaul| overhaul.date <= date);
    if record.overhauls.len() < 2 {
        return None;
    }
    let followed = follow::follow(&history::sheet::sheets(&record, None).sheets);
    let engine = EngineName::of(&record.engine, None);
    let stand: Comparison = engine::stand(&followed, &engine, &Followed::LargestBore, Time::Hours)?;
    if stand.date != date {
        return None;
    }
    let cylinders: Vec<HistoryRow> = stand
        .members
        .iter()
        .filter(|member| shown.iter().any(|cylinder| cylinder.serial.trim() == member.trend.serial))
        .map(|member| HistoryRow {
            position: member.position.clone(),
            serial: member.trend.serial.clone(),
            surveys: member.trend.points.len(),
            words: member
                .trend
                .sentences()
                .into_iter()
                .chain(member.trend.said.clone())
                .collect::<Vec<_>>()
                .join(" "),
        })
        .collect();
    if cylinders.is_empty() {
        return None;
    }
    let is_whole = shown.len() == judged.survey.cylinders.len();
    Some(History {
        figure: Followed::LargestBore.words(),
        per: Time::Hours.per_words(),
        unit: stand.style.unit.symbol(),
        cylinders,
        said: if is_whole { stand.said().iter().map(Said::text).collect() } else { Vec::new() },
    })
}

/// A bound's number in a unit, exact in that unit where its own is another.
fn in_unit(bound: &Bound, unit: Unit) -> String {
    let style = Style { unit, decimals: unit.usual_decimals() };
    bound.length.number(limit_style(bound.length, bound.style, style))
}

/// The table of limits, for the report and for the blank sheet.
pub(super) fn limits_table(record: &EngineRecord, limits: &Limits) -> LimitsTable {
    let table = record
        .tables
        .iter()
        .find(|table| table.identity == limits.identity && table.revision == limits.revision);
    let from = table.map_or(String::new(), |table| match &table.source {
        Source::Illustrative { remark } => format!("illustrative: {remark}"),
        Source::Manual { document, dated, copied_by } => {
            let dated = dated.map_or(String::new(), |dated| format!(", {dated}"));
            let by = if copied_by.is_empty() { String::new() } else { format!(", copied by {copied_by}") };
            format!("{document}{dated}{by}")
        }
    });
    let mut limits = limits_of(limits);
    limits.source = from;
    limits
}

/// The table of limits without where it comes from.
pub(super) fn limits_of(limits: &Limits) -> LimitsTable {
    let unit = limits.unit;
    let number = |bound: &Bound| in_unit(bound, unit);
    let optional = |bound: Option<&Bound>| or_none(bound.map(number));
    let row =
        |what: String, new: (Option<&Bound>, Option<&Bound>), limit: String, source: &RowSource| LimitsRow {
            reference: source.reference.clone(),
            what,
            least: optional(new.0),
            most: optional(new.1),
            limit,
            place: source.place.clone(),
        };
    let sizes = limits.sizes.iter().map(|size| {
        let limit = optional(size.serviceable.as_ref());
        row(format!("bore, {}", size.name), (Some(&size.new.0), Some(&size.new.1)), limit, &size.source)
    });
    let mut bore: Vec<LimitsRow> = sizes.collect();
    for shape in &limits.shape {
        let what = match shape.kind.rule_words() {
            Some(rule) => format!("{}: {rule}", shape.kind.words()),
            None => shape.kind.name().limit_words().to_owned(),
        };
        let limit = match (&shape.limit, shape.side) {
            (Some(least), Side::AtLeast) => format!("≥ {}", number(least)),
            (limit, _) => optional(limit.as_ref()),
        };
        bore.push(row(what, (shape.new.0.as_ref(), shape.new.1.as_ref()), limit, &shape.source));
    }
    let pairs = limits.fits.iter().map(|fit| clearance_row(&fit.limits, unit, true));
    let gaps = limits.ring_gaps.iter().map(|gap| {
        let mut row = clearance_row(gap, unit, false);
        row.what = format!("{}, gap", row.what);
        row
    });
    let parts = limits.parts.iter().map(|part| {
        let size = part.size.as_ref().map_or(String::new(), |size| match size {
            Size::Standard => ", for standard".to_owned(),
            Size::Oversize(text) => format!(", for +{text}"),
        });
        let kind = match part.limits.kind {
            PartKind::Hole => "≤",
            PartKind::Shaft => "≥",
        };
        let limit = part.limits.serviceable.as_ref();
        let limit = limit.map_or(NONE.to_owned(), |limit| format!("{kind} {}", number(limit)));
        let new = (Some(&part.limits.new.0), Some(&part.limits.new.1));
        row(format!("{}{size}", part.limits.description), new, limit, &part.limits.source)
    });
    let groups = [
        ("Bore", bore),
        ("Clearances and ring gaps", pairs.chain(gaps).collect()),
        ("Parts", parts.collect()),
    ];
    let groups = groups.into_iter().filter(|(_, rows)| !rows.is_empty());
    LimitsTable {
        identity: limits.identity.clone(),
        revision: limits.revision.clone(),
        engine: limits.engine.clone(),
        source: String::new(),
        unit: unit.symbol(),
        terms: terms(limits),
        groups: groups.map(|(name, rows)| LimitsGroup { name, rows }).collect(),
    }
}

fn clearance_row<Kind>(row: &FitLimits<Kind>, unit: Unit, lettered: bool) -> LimitsRow {
    let number = |bound: &Bound| {
        let style = limit_style(bound.length, bound.style, Style { unit, decimals: unit.usual_decimals() });
        let mean = Mean::from(bound.length);
        let letter = if lettered { words::clearance_letter(mean) } else { "" };
        format!("{}{letter}", if lettered { mean.abs() } else { mean }.number(style))
    };
    LimitsRow {
        reference: row.source.reference.clone(),
        what: row.description.clone(),
        least: number(&row.new.0),
        most: number(&row.new.1),
        limit: or_none(row.serviceable.as_ref().map(number)),
        place: row.source.place.clone(),
    }
}

fn terms(limits: &Limits) -> Vec<(String, String)> {
    let surface = match limits.surface {
        Surface::Plain => "plain",
        Surface::Nitrided => "nitrided",
        Surface::ChromiumPlated => "chromium plated",
    };
    let cut = match &limits.cut {
        CutLimit::Allowed => "may be cut as far as an oversize of the table goes".to_owned(),
        CutLimit::NoDeeperThan(most) => format!("may be cut {} per side at most, from standard", most.text()),
        CutLimit::NotAllowed => "may not be cut".to_owned(),
    };
    let mut terms = vec![
        ("Wall".to_owned(), format!("{surface}; {cut}")),
        ("Clean-up allowance".to_owned(), format!("{} on the diameter", limits.clean_up_allowance.text())),
        ("Bore judged on".to_owned(), words::bore_rule_words(limits.bore_judged_on).to_owned()),
        ("Decision rule".to_owned(), limits.decision.words().to_owned()),
    ];
    terms.extend(
        limits
            .piston_weight_spread
            .as_ref()
            .map(|row| ("Piston weights apart".to_owned(), format!("{} at most", row.text))),
    );
    terms
}
