//! The engine record as it is written in a file: what a person typed, kept as typed.
//!
//! Measured numbers are quoted, so that every digit stays: `"5.1255"`, `"130.19 mm"`, `"+0.0003"`, or `"-3"`
//! on a dial whose gauge counts graduations. [`super::resolve`] turns an overhaul of a record and its table
//! of limits into exact lengths; nothing here judges.
//!
//! A record under work is incomplete, and that is normal: almost every field may be left out.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::diag::FieldPath;
use crate::file::Document;
use crate::kind::{Kind, ToldBy};
use crate::limits::schema::{FindingKind, Size, TableOfLimits};
use quantities::length::Unit;

/// The number in `format` that this program writes for an engine record.
pub const FORMAT: u32 = 2;

/// An engine record as a kind of document. Checking one needs the rooms above.
pub const KIND: Kind = Kind {
    words: "an engine record",
    told_by: ToldBy::Top {
        name: "EngineRecord",
        fields: &["overhauls", "tables", "engine"],
        newest: FORMAT,
        oldest: FORMAT,
    },
    instead: "Give it as the file to be judged, and give the table of limits with --limits.",
    check: None,
};

impl Document for EngineRecord {
    const KIND: &'static Kind = &KIND;

    fn formats_within(&self) -> Vec<(u32, &'static Kind, FieldPath)> {
        let tables = FieldPath::default().field("tables");
        let of = |(i, table): (usize, &TableOfLimits)| {
            (table.format, TableOfLimits::KIND, tables.element(i).field("format"))
        };
        self.tables.iter().enumerate().map(of).collect()
    }
}

/// The record of one engine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EngineRecord {
    /// Version of this file layout; [`FORMAT`].
    pub format: u32,
    /// The engine.
    pub engine: Engine,
    /// The tables of limits that its overhauls were judged by: a snapshot of each revision used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tables: Vec<TableOfLimits>,
    /// Its overhauls, the earliest first.
    #[serde(default)]
    pub overhauls: Vec<Overhaul>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remarks: String,
}

/// An engine's identity.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Engine {
    /// Model.
    pub model: String,
    /// Serial number.
    pub serial: String,
    /// Whose it is.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub owner: String,
    /// What it is in: an aircraft, a ship, a hall.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub installed_in: String,
}

/// One overhaul.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overhaul {
    /// The day of measuring.
    pub date: Date,
    /// Total time of the engine in hours.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total_hours: Option<f64>,
    /// Hours since the overhaul before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours_since_overhaul: Option<f64>,
    /// Who measured and signs.
    #[serde(default)]
    pub inspector: Inspector,
    /// Which of the record's tables it is judged by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits: Option<TableReference>,
    /// The unit of every length that names none.
    #[serde(default)]
    pub unit: Unit,
    /// The setting standards used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub standards: Vec<SettingStandard>,
    /// The gauges used; the first is the one meant where a reading names none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub gauges: Vec<Gauge>,
    /// Temperatures while measuring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperatures: Option<Temperatures>,
    /// The cylinders, in bank order.
    #[serde(default)]
    pub cylinders: Vec<Cylinder>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remarks: String,
    /// The signature that closed it, and what was amended since; none: it is under work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seal: Option<Seal>,
}

impl Overhaul {
    /// Is anything measured at all?
    pub fn is_measured(&self) -> bool {
        self.cylinders
            .iter()
            .flat_map(|cylinder| &cylinder.readings)
            .any(|reading| !reading.entered.is_empty())
    }
}

/// The signature that closed an overhaul. `work::seal` makes it and says whether it still holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Seal {
    /// Number of the canonical form that the digests are of; `work::seal::canonical::FORM`.
    pub form: u32,
    /// Who signed.
    pub name: String,
    /// The signer's certificate or licence.
    pub certificate: String,
    /// The day of signing.
    pub date: Date,
    /// The digest of each part of what was signed, to tell which one was changed.
    pub parts: Vec<PartDigest>,
    /// SHA-256 of what was signed and of this signature, as 64 hexadecimal digits.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub digest: String,
    /// What was changed since, the earliest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub amendments: Vec<Amendment>,
    /// An amendment that somebody is at and has not closed yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub open: Option<Amendment>,
}

/// The digest of one part of what was signed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartDigest {
    /// The part: `engine`, `overhaul`, `table` or `overhaul.cylinders[0]`.
    pub part: String,
    /// SHA-256 of it, as 64 hexadecimal digits.
    pub digest: String,
}

/// A change to an overhaul after it was signed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Amendment {
    /// Who amended.
    pub name: String,
    /// Certificate or licence.
    pub certificate: String,
    /// The day.
    pub date: Date,
    /// Why.
    pub why: String,
    /// Each value that was changed, by its field.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<AmendedValue>,
    /// SHA-256 of this amendment and of the digest before it; empty while it is open.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub digest: String,
}

/// One value that was changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AmendedValue {
    /// Its field, as the canonical form names it: `overhaul.cylinders[2].readings[4].entered[0]`.
    pub field: String,
    /// What stood there; none: nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    /// What stands there now; none: nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
}

/// A person who inspects.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspector {
    /// Name.
    #[serde(default)]
    pub name: String,
    /// Certificate or licence.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub certificate: String,
}

/// Names one of the record's tables.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableReference {
    /// The table's identity.
    pub identity: String,
    /// Its revision.
    pub revision: String,
}

/// A setting standard: a ring, gauge blocks, or a micrometer set to a size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettingStandard {
    /// The name that gauges refer to.
    pub name: String,
    /// Its size at 20 °C.
    pub size: String,
    /// How sure its size is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibration: Option<Calibration>,
    /// Expansion coefficient in millionths per kelvin; none: that of the gauge that was zeroed on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expansion_ppm: Option<f64>,
}

/// A statement of a calibration certificate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibration {
    /// Expanded uncertainty, on the diameter.
    pub expanded_uncertainty: String,
    /// Its coverage factor.
    pub k: f64,
    /// Its degrees of freedom; none: taken as infinite.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dof: Option<f64>,
    /// The certificate's number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub certificate: String,
    /// The day from which it is out of date.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub due: Option<Date>,
}

/// What the number typed from a gauge stands for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reads {
    /// The diameter itself: an inside micrometer, or a bore gauge measured across its contacts.
    #[default]
    Diameter,
    /// A deviation from the setting standard, as a length.
    Deviation,
    /// A deviation from the setting standard, counted in graduations of the dial.
    Graduations,
}

/// Which way a dial turns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum PlusMeans {
    /// Plus is a larger bore.
    #[default]
    Larger,
    /// Plus is a smaller bore.
    Smaller,
}

/// A gauge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    /// The name that readings refer to.
    pub name: String,
    /// Its serial number.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub serial: String,
    /// What the number typed from it stands for.
    #[serde(default)]
    pub reads: Reads,
    /// The setting standard it was zeroed on, for a comparative gauge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zeroed_on: Option<String>,
    /// Which way plus means.
    #[serde(default)]
    pub plus_means: PlusMeans,
    /// One graduation, on the diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub graduation: Option<String>,
    /// What one turn of its thimble or dial is worth, for finding slips.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn: Option<String>,
    /// Its calibration.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibration: Option<Calibration>,
    /// Its repeatability from a gauge study; none: pooled from the repeats of the overhaul.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeatability: Option<Repeatability>,
    /// Expansion coefficient in millionths per kelvin, of a gauge that reads the diameter itself; for one that was
    /// zeroed on a setting standard, the standard's counts where it is given. None at all: that of steel is supposed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expansion_ppm: Option<f64>,
    /// Further sources of uncertainty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub further: Vec<FurtherSource>,
}

/// A stored repeatability.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Repeatability {
    /// Standard deviation of a single reading.
    pub standard_deviation: String,
    /// Its degrees of freedom.
    pub dof: f64,
}

/// The shape of a source's distribution; turns its half-width into a standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Distribution {
    /// The half-width is so many standard uncertainties.
    Normal {
        /// How many.
        k: f64,
    },
    /// Anywhere within, equally likely: divided by the root of 3.
    Rectangular,
    /// Middle values likelier: divided by the root of 6.
    Triangular,
    /// Swinging between the ends: divided by the root of 2.
    Arcsine,
}

/// A further source of uncertainty of a gauge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FurtherSource {
    /// What it is.
    pub source: String,
    /// Half-width of its spread.
    pub half_width: String,
    /// Its distribution.
    pub distribution: Distribution,
    /// Degrees of freedom; none: taken as infinite.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dof: Option<f64>,
    /// Whether it is the same for all readings of the gauge and so drops out of their differences.
    #[serde(default)]
    pub common: bool,
}

/// Temperatures while measuring, in degrees Celsius and kelvin.
///
/// Where they are written, every reading is brought to 20 °C (ISO 1) before it is judged or followed: an effect that
/// is known is never left out (JCGM 100:2008, 3.2.4). What was typed stays as typed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Temperatures {
    /// Of the barrel.
    pub barrel: f64,
    /// Of the gauge or the setting standard.
    pub gauge: f64,
    /// The difference between the two is known within plus or minus this many kelvin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<f64>,
    /// The difference between the two expansion coefficients is known within so many millionths per kelvin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expansion_within_ppm: Option<f64>,
    /// Expansion coefficient of the barrel in millionths per kelvin, where it differs from the table's; none, and
    /// none in the table: that of steel is supposed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barrel_expansion_ppm: Option<f64>,
    /// Somebody asked for the correction also where an expansion is only supposed to be that of steel. Without
    /// this, an outcome that hangs on the supposed expansion is not decided.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub correct_readings: bool,
}

/// One cylinder at one overhaul.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cylinder {
    /// Position on the engine, such as `1` or `2L`.
    pub position: String,
    /// The cylinder's own serial number, which follows it from engine to engine.
    pub serial: String,
    /// Its current size.
    #[serde(default)]
    pub size: Size,
    /// The size it was last finished to, where known: the best reference for wear.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finished_to: Option<String>,
    /// Tagged with its position.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tagged: bool,
    /// Cleaned.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub cleaned: bool,
    /// Looked over by eye, all findings written down.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub looked_over: bool,
    /// Findings by eye.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<Finding>,
    /// Readings of the bore.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// Measured parts that run in it or belong to it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fits: Vec<Fit>,
    /// Ring gaps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ring_gaps: Vec<RingGap>,
    /// Its piston's weight, such as `"1542 g"` or `"54.40 oz"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piston_weight: Option<String>,
    /// What a person decided.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disposition: Option<Disposition>,
    /// Anything else.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remarks: String,
}

/// The readings of one cell of the sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Name of the station in the table of limits.
    pub station: String,
    /// Label of the axis in the table of limits.
    pub axis: String,
    /// Name of the gauge; none: the overhaul's first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gauge: Option<String>,
    /// The readings as typed, one for each repeat.
    pub entered: Vec<String>,
    /// Why a reading that looked wrong stands all the same; empty: nobody has confirmed it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub confirmed: String,
}

/// Something found by eye.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Finding {
    /// What it is.
    pub kind: FindingKind,
    /// Where, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// The nearest station, for what is on the wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub station: Option<String>,
    /// Direction around the bore in degrees, 0 to 360, counted like the axes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub degrees: Option<f64>,
    /// Its length or width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<String>,
    /// Its depth below the surface around it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<String>,
    /// How many adjacent fins it takes in; none: one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fins: Option<u16>,
    /// The area taken off, such as `"3.5 sq in"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
    /// What was done about it; empty: nothing yet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub done: String,
    /// By whom.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

/// A measured pair of parts.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// Reference number of the fit's row in the table of limits.
    pub row: String,
    /// Size of the hole; left out for a skirt in the bore, whose readings are the hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<String>,
    /// Size of the shaft: the largest, for a skirt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaft: Option<String>,
    /// The clearance, where it was measured itself, by feeler for example.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<String>,
    /// Temperature of the hole in degrees Celsius; none: 20.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole_temperature: Option<f64>,
    /// Temperature of the shaft in degrees Celsius; none: 20.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaft_temperature: Option<f64>,
}

/// A measured ring gap.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RingGap {
    /// Reference number of the ring's row in the table of limits.
    pub row: String,
    /// The gap.
    pub gap: String,
    /// The station at which it was taken.
    pub station: String,
}

/// What a person decided, beside what the program recommended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Disposition {
    /// The decision.
    pub decision: Decision,
    /// Who decided.
    pub by: String,
    /// Why, where it differs from the recommendation.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
}

/// A person's decision.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Decision {
    /// Serviceable as it is.
    Serviceable,
    /// Rebore to this size.
    Rebore(Size),
    /// Replace.
    Replace,
}
