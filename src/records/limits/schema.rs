//! The table of limits as it is written in a file: every number is the text somebody copied from a manual.
//!
//! Lengths are quoted, so that every digit is kept: `"5.1250"`, with a unit where it differs from the
//! table's (`"0.25 mm"`), with the manual's second column where it prints one (`"5.7600 in (146.304 mm)"`),
//! with `L` or `T` behind a clearance or an interference (`"0.0003 T"`). Any value may carry its place in
//! the manual: `(value: "5.1250", place: "table 2-1, line 4")`.
//!
//! This module only holds what is written. [`super::resolved`] turns it into exact limits,
//! [`super::validate`] looks for misprints.

use std::fmt;

use jiff::civil::Date;
use serde::de::{self, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::rows::{RowKind, RowName};
use crate::file::Document;
use crate::kind::{Kind, ToldBy};
use quantities::length::Unit;

/// The number in `format` that this program writes for a table of limits.
pub const FORMAT: u32 = 1;

/// A table of limits as a kind of document.
pub const KIND: Kind = Kind {
    words: "a table of limits",
    told_by: ToldBy::Top {
        name: "TableOfLimits",
        fields: &["bore", "stations", "axes", "wall", "source", "identity"],
        newest: FORMAT,
        oldest: FORMAT,
    },
    instead: "Give it with --limits, and give the engine record as the file to be judged.",
    check: Some(super::validate::check_text),
};

impl Document for TableOfLimits {
    const KIND: &'static Kind = &KIND;
}

/// A table of limits.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TableOfLimits {
    /// Version of this file layout; [`FORMAT`].
    pub format: u32,
    /// Short name by which records refer to it.
    pub identity: String,
    /// Revision as the manual states it; only the current one counts.
    pub revision: String,
    /// The engine it is for.
    pub engine: String,
    /// Where the numbers come from.
    pub source: Source,
    /// The unit of every length that names none.
    #[serde(default)]
    pub unit: Unit,
    /// The end of the barrel from which depths are counted.
    #[serde(default)]
    pub datum: Datum,
    /// The depths at which diameters are taken, in any order.
    pub stations: Vec<Station>,
    /// The directions across the bore.
    pub axes: Vec<Axis>,
    /// Top and bottom of the rings' travel, counted like the stations.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ring_travel: Option<(Value, Value)>,
    /// Stroke, for the displacement.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke: Option<Value>,
    /// How many cylinders the engine has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<u16>,
    /// The bore's rows: one for standard, one for each oversize that the maker allows.
    pub bore: Vec<BoreRow>,
    /// Whether the bore rows are judged on every point or on the average.
    #[serde(default)]
    pub bore_judged_on: JudgedOn,
    /// Taper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taper: Option<TaperRow>,
    /// Out-of-round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out_of_round: Option<OutOfRoundRow>,
    /// Choke.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub choke: Option<ChokeRow>,
    /// Step (ridge) at the top of ring travel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<StepRow>,
    /// Wall surface, and how much of it may be cut.
    pub wall: Wall,
    /// Stock on the diameter that a finished bore must take off beyond the wear, for a clean surface.
    pub clean_up_allowance: Value,
    /// Whether cylinders of one engine may have different oversizes.
    #[serde(default)]
    pub mixed_oversizes: MixedOversizes,
    /// How the uncertainty of measurement bears on the judging.
    #[serde(default)]
    pub decision: DecisionRule,
    /// Expansion coefficient of the barrel in millionths per kelvin, where the table gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub barrel_expansion_ppm: Option<f64>,
    /// Sizes of the parts that fit together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<PartRow>,
    /// Clearances of pairs of parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fits: Vec<FitRow>,
    /// Ring gaps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ring_gaps: Vec<RingGapRow>,
    /// Greatest difference in weight between any two pistons of the engine, such as `"0.50 oz"` or `"14 g"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub piston_weight_spread: Option<WeightRow>,
    /// Answers to findings by eye that differ from the customary ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<FindingRule>,
    /// Anything else the table says.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remarks: String,
}

impl TableOfLimits {
    /// A table with nothing written in it but what it is called.
    pub fn blank(identity: &str, revision: &str, source: Source, unit: Unit) -> Self {
        Self {
            format: FORMAT,
            identity: identity.to_owned(),
            revision: revision.to_owned(),
            engine: String::new(),
            source,
            unit,
            datum: Datum::default(),
            stations: Vec::new(),
            axes: Vec::new(),
            ring_travel: None,
            stroke: None,
            cylinders: None,
            bore: Vec::new(),
            bore_judged_on: JudgedOn::default(),
            taper: None,
            out_of_round: None,
            choke: None,
            step: None,
            wall: Wall { surface: Surface::Plain, cut: Cut::Allowed },
            clean_up_allowance: Value::default(),
            mixed_oversizes: MixedOversizes::default(),
            decision: DecisionRule::default(),
            barrel_expansion_ppm: None,
            parts: Vec::new(),
            fits: Vec::new(),
            ring_gaps: Vec::new(),
            piston_weight_spread: None,
            findings: Vec::new(),
            remarks: String::new(),
        }
    }
}

/// Where a table's numbers come from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Source {
    /// Invented for practice; never for a real engine.
    Illustrative {
        /// What it illustrates.
        remark: String,
    },
    /// Copied from a manual.
    Manual {
        /// The document's title and number.
        document: String,
        /// Its date, where printed.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        dated: Option<Date>,
        /// Who copied it.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        copied_by: String,
    },
}

impl Source {
    /// Is the table invented?
    pub fn is_illustrative(&self) -> bool {
        matches!(self, Self::Illustrative { .. })
    }
}

/// The end of the barrel from which depths are counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Datum {
    /// The head end.
    #[default]
    HeadEnd,
    /// The base (skirt) end.
    BaseEnd,
}

/// A depth at which diameters are taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Station {
    /// Its name on the sheet.
    pub name: String,
    /// Its depth from the datum.
    pub depth: Value,
    /// Its part in the judging.
    pub role: StationRole,
}

/// The part a station plays in the judging.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum StationRole {
    /// Above the highest point that a ring reaches: unworn.
    AboveRingTravel,
    /// Just below the top of ring travel, where wear is usually greatest; belongs to the head end.
    TopOfRingTravel,
    /// The head end of the barrel.
    HeadEnd,
    /// The running surface between the ends.
    RunningSurface,
    /// The base end of the barrel.
    BaseEnd,
    /// Below the lowest point that a ring reaches; belongs to the base end.
    BelowRingTravel,
}

impl StationRole {
    /// Every part, from the head end.
    pub const ALL: [Self; 6] = [
        Self::AboveRingTravel,
        Self::TopOfRingTravel,
        Self::HeadEnd,
        Self::RunningSurface,
        Self::BaseEnd,
        Self::BelowRingTravel,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AboveRingTravel => "above ring travel",
            Self::TopOfRingTravel => "top of ring travel",
            Self::HeadEnd => "head end",
            Self::RunningSurface => "running surface",
            Self::BaseEnd => "base end",
            Self::BelowRingTravel => "below ring travel",
        }
    }
}

/// A direction across the bore.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Axis {
    /// Its name on the sheet.
    pub label: String,
    /// Degrees from parallel to the crankshaft: 0 is the pin axis, 90 the thrust axis; below 180.
    pub degrees: f64,
    /// May be left out of a survey; its readings count where they were taken.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub optional: bool,
}

/// A size that a bore may have.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Size {
    /// As first made.
    #[default]
    Standard,
    /// Standard plus this much, such as `Oversize("0.010")`.
    Oversize(String),
}

/// A row of the bore.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoreRow {
    /// Which size it is for.
    pub size: Size,
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// As-made minimum and maximum.
    pub new: (Value, Value),
    /// Serviceable limit; none means that no limit is given, which is not a pass.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// A limit as the manual states it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Limit {
    /// An absolute size or amount.
    At(Value),
    /// An allowance over the as-made maximum (for a hole) or under the as-made minimum (for a shaft).
    OverNew(Value),
    /// So much for each unit of nominal bore: `PerBore("0.0005")` is 0.0005 in per inch, 0.0005 mm per mm.
    PerBore(Value),
    /// So much for each unit of ring travel.
    PerTravel(Value),
}

impl Limit {
    /// The value that is written in it, without how it is stated.
    pub fn into_value(self) -> Value {
        match self {
            Self::At(value) | Self::OverNew(value) | Self::PerBore(value) | Self::PerTravel(value) => value,
        }
    }
}

/// What a row is judged on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum JudgedOn {
    /// Every point must be within.
    #[default]
    EveryPoint,
    /// The average over all points must be within; the worst point is shown beside it.
    Average,
}

/// What follows when a row is beyond its limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum WhenBeyond {
    /// The bore has to be cut: rebore, or replace where that cannot be.
    #[default]
    Rebore,
    /// The barrel is replaced.
    Replace,
}

/// How a taper is computed. Positive is larger at the head end. The published rules do not agree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum TaperRule {
    /// Average of the axes at the top station minus the average at the bottom station.
    AxisAverages,
    /// Per axis, top minus bottom; the one of larger magnitude counts.
    PerAxisEnds,
    /// Largest diameter at the top station minus smallest at the bottom station.
    LargestTopSmallestBottom,
    /// Per axis, largest minus smallest over all stations; the larger counts.
    PerAxisRange,
    /// Largest minus smallest of all readings.
    AllReadings,
}

impl TaperRule {
    /// Every rule.
    pub const ALL: [Self; 5] = [
        Self::AxisAverages,
        Self::PerAxisEnds,
        Self::LargestTopSmallestBottom,
        Self::PerAxisRange,
        Self::AllReadings,
    ];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AxisAverages => "axis-averaged top minus axis-averaged bottom",
            Self::PerAxisEnds => "per axis, top minus bottom, larger magnitude counts",
            Self::LargestTopSmallestBottom => "largest top minus smallest bottom",
            Self::PerAxisRange => "per axis, largest minus smallest over all stations",
            Self::AllReadings => "largest minus smallest of all readings",
        }
    }

    /// Does it look at the first and the last station only? Such a taper has a sign, and a range has none.
    pub fn is_of_ends(self) -> bool {
        match self {
            Self::AxisAverages | Self::PerAxisEnds | Self::LargestTopSmallestBottom => true,
            Self::PerAxisRange | Self::AllReadings => false,
        }
    }
}

/// The taper row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TaperRow {
    /// The rule in force.
    pub rule: TaperRule,
    /// The stations it is judged on, for a barrel that is choked by design; empty: all but the unworn ones.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stations: Vec<String>,
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// Greatest as-made taper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub new: Option<Value>,
    /// Serviceable limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// What follows when it is beyond.
    #[serde(default)]
    pub when_beyond: WhenBeyond,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// A row of the shape as it is written, whichever it is: to check, resolve and edit all of them in one way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapeRow {
    /// Which row, and the rule in force.
    pub kind: RowKind,
    /// The stations that it names; only a row that may name some ([`super::rows::Needs::WornOrNamed`]) keeps them.
    pub stations: Vec<String>,
    /// Reference number in the manual.
    pub reference: String,
    /// As-made least and greatest, as far as the row has them.
    pub new: (Option<Value>, Option<Value>),
    /// Its limit.
    pub limit: Option<Limit>,
    /// What follows when it is beyond.
    pub when_beyond: WhenBeyond,
    /// Page or table in the manual.
    pub place: String,
}

impl ShapeRow {
    /// A row with nothing written in it yet, under the first of its rules; none for a bore row, which has a size.
    pub fn blank(row: RowName) -> Option<Self> {
        let kind = row.kinds().into_iter().next().filter(|_| row != RowName::Bore)?;
        Some(Self {
            kind,
            stations: Vec::new(),
            reference: String::new(),
            new: (None, None),
            limit: None,
            when_beyond: WhenBeyond::Rebore,
            place: String::new(),
        })
    }

    fn new(
        kind: RowKind,
        reference: &str,
        new: (Option<Value>, Option<Value>),
        limit: Option<Limit>,
        when_beyond: WhenBeyond,
        place: &str,
    ) -> Self {
        let (reference, place) = (reference.to_owned(), place.to_owned());
        Self { kind, stations: Vec::new(), reference, new, limit, when_beyond, place }
    }
}

impl TableOfLimits {
    /// A row of the shape; none if the table has none, or for a bore row, which has a size.
    pub fn shape_row(&self, row: RowName) -> Option<ShapeRow> {
        match row {
            RowName::Bore => None,
            RowName::Taper => self.taper.as_ref().map(|row| {
                let (kind, new) = (RowKind::Taper(row.rule), (None, row.new.clone()));
                let limit = row.serviceable.clone();
                let shape = ShapeRow::new(kind, &row.reference, new, limit, row.when_beyond, &row.place);
                ShapeRow { stations: row.stations.clone(), ..shape }
            }),
            RowName::OutOfRound => self.out_of_round.as_ref().map(|row| {
                let (kind, new) = (RowKind::OutOfRound(row.rule), (None, row.new.clone()));
                let limit = row.serviceable.clone();
                ShapeRow::new(kind, &row.reference, new, limit, row.when_beyond, &row.place)
            }),
            RowName::Choke => self.choke.as_ref().map(|row| {
                let new = row.new.clone().map_or((None, None), |(least, most)| (Some(least), Some(most)));
                let limit = row.least.clone().map(Limit::At);
                ShapeRow::new(RowKind::Choke, &row.reference, new, limit, row.when_beyond, &row.place)
            }),
            RowName::Step => self.step.as_ref().map(|row| {
                let limit = row.serviceable.clone().map(Limit::At);
                ShapeRow::new(RowKind::Step, &row.reference, (None, None), limit, row.when_beyond, &row.place)
            }),
        }
    }

    /// The rows of the shape that the table has, in its order.
    pub fn shape_rows(&self) -> impl Iterator<Item = ShapeRow> + '_ {
        RowName::of_shape().filter_map(|row| self.shape_row(row))
    }

    /// Writes a row of the shape, in place of the one that is there; a bore row, which has a size, is not written.
    pub fn set_shape_row(&mut self, row: ShapeRow) {
        let ShapeRow { kind, stations, reference, new, limit, when_beyond, place } = row;
        let plain = |limit: Limit| limit.into_value();
        match kind {
            RowKind::Bore(_) => {}
            RowKind::Taper(rule) => {
                let (new, serviceable) = (new.1, limit);
                self.taper =
                    Some(TaperRow { rule, stations, reference, new, serviceable, when_beyond, place });
            }
            RowKind::OutOfRound(rule) => {
                let (new, serviceable) = (new.1, limit);
                self.out_of_round =
                    Some(OutOfRoundRow { rule, reference, new, serviceable, when_beyond, place });
            }
            RowKind::Choke => {
                let new = match new {
                    (None, None) => None,
                    (least, most) => Some((least.unwrap_or_default(), most.unwrap_or_default())),
                };
                let least = limit.map(plain);
                self.choke = Some(ChokeRow { reference, new, least, when_beyond, place });
            }
            RowKind::Step => {
                let serviceable = limit.map(plain);
                self.step = Some(StepRow { reference, serviceable, when_beyond, place });
            }
        }
    }

    /// Takes a row of the shape out of the table; bore rows are taken out one by one.
    pub fn remove_shape_row(&mut self, row: RowName) {
        match row {
            RowName::Bore => {}
            RowName::Taper => self.taper = None,
            RowName::OutOfRound => self.out_of_round = None,
            RowName::Choke => self.choke = None,
            RowName::Step => self.step = None,
        }
    }
}

/// How out-of-round is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum OutOfRoundRule {
    /// At each station, largest minus smallest of its axes; the worst station counts.
    PerStation,
    /// One axis's largest minus another axis's smallest, across stations.
    AcrossStations,
}

impl OutOfRoundRule {
    /// Every rule.
    pub const ALL: [Self; 2] = [Self::PerStation, Self::AcrossStations];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::PerStation => "per station, largest minus smallest of its axes, worst counts",
            Self::AcrossStations => "one axis's largest minus another axis's smallest, across stations",
        }
    }
}

/// The out-of-round row.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutOfRoundRow {
    /// The rule in force.
    pub rule: OutOfRoundRule,
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// Greatest as-made out-of-round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub new: Option<Value>,
    /// Serviceable limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// What follows when it is beyond.
    #[serde(default)]
    pub when_beyond: WhenBeyond,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// The choke row: base-end average minus head-end average.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ChokeRow {
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// As-made minimum and maximum, where the table gives them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub new: Option<(Value, Value)>,
    /// The least that may remain.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<Value>,
    /// What follows when less remains.
    #[serde(default)]
    pub when_beyond: WhenBeyond,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// The step row: the height of the lip at the top of ring travel, per side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepRow {
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// Greatest height that may stay, per side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Value>,
    /// What follows when it is higher.
    #[serde(default)]
    pub when_beyond: WhenBeyond,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// The wall's surface, and how much of it may be cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// Its surface.
    pub surface: Surface,
    /// How much of it may be cut.
    pub cut: Cut,
}

/// A wall's surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Surface {
    /// Plain steel or iron.
    Plain,
    /// Nitrided: a hard case a few thousandths of an inch deep.
    Nitrided,
    /// Chromium plated.
    ChromiumPlated,
}

/// How much of a wall may be cut.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Cut {
    /// As far as an oversize in the table goes.
    Allowed,
    /// So deep per side, counted from the standard bore, and no deeper.
    NoDeeperThan(Value),
    /// Not at all.
    NotAllowed,
}

/// Whether cylinders of one engine may have different oversizes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum MixedOversizes {
    /// They may.
    Allowed,
    /// All to the same.
    NotAllowed,
    /// The table does not say.
    #[default]
    NotStated,
}

/// How the uncertainty of measurement bears on the judging.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum DecisionRule {
    /// Within the limit as read is within.
    #[default]
    Simple,
    /// Within the limit by at least the guard band is within: the one-sided 95 % factor of the figure's own distribution
    /// times its standard uncertainty, 1.65 where that is normal (ISO 14253-1).
    Guarded,
}

impl DecisionRule {
    /// Every rule.
    pub const ALL: [Self; 2] = [Self::Simple, Self::Guarded];

    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Simple => "simple acceptance: within the limit as read is within",
            Self::Guarded => {
                "guarded acceptance: a guard band inside the limit is within (ISO 14253-1, 95 %)"
            }
        }
    }
}

/// Whether a part's size is that of a hole (a largest limits it) or of a shaft (a smallest limits it).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum PartKind {
    /// A hole: bushing, guide, groove width, pin bore.
    Hole,
    /// A shaft: skirt, pin, stem, ring width.
    Shaft,
}

/// The size of one part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartRow {
    /// Reference number in the manual; fits refer to it.
    pub reference: String,
    /// What it is.
    pub description: String,
    /// Hole or shaft.
    pub kind: PartKind,
    /// For which bore size, for parts that come in oversizes; none: for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// As-made minimum and maximum.
    pub new: (Value, Value),
    /// Serviceable limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// Expansion coefficient in millionths per kelvin, where given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub expansion_ppm: Option<f64>,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// A pair of parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum FitKind {
    /// Piston skirt in the bore.
    SkirtInBore,
    /// Pin in the piston.
    PinInPiston,
    /// Pin in the rod's bushing.
    PinInBushing,
    /// Ring in its groove: side clearance.
    RingInGroove,
    /// Valve stem in its guide.
    ValveStemInGuide,
}

impl FitKind {
    /// Every kind.
    pub const ALL: [Self; 5] = [
        Self::SkirtInBore,
        Self::PinInPiston,
        Self::PinInBushing,
        Self::RingInGroove,
        Self::ValveStemInGuide,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::SkirtInBore => "skirt in bore",
            Self::PinInPiston => "pin in piston",
            Self::PinInBushing => "pin in bushing",
            Self::RingInGroove => "ring in groove",
            Self::ValveStemInGuide => "valve stem in guide",
        }
    }
}

/// The clearance of a pair of parts: positive loose (L), negative tight (T).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FitRow {
    /// Reference number in the manual.
    pub reference: String,
    /// What fits what.
    pub description: String,
    /// The pair.
    pub kind: FitKind,
    /// Reference of the hole's own row; for a skirt in the bore it is the bore.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<String>,
    /// Reference of the shaft's own row.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shaft: Option<String>,
    /// As-made minimum and maximum.
    pub new: (Value, Value),
    /// Serviceable limit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

impl FitRow {
    /// Is this reference of its hole that of a row of the bore, which is the hole of a skirt?
    pub(crate) fn is_bore(&self, hole: &str, table: &TableOfLimits) -> bool {
        self.kind == FitKind::SkirtInBore && table.bore.iter().any(|row| row.reference == hole)
    }
}

/// The gap of a ring in the bore.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RingGapRow {
    /// Reference number in the manual.
    pub reference: String,
    /// Which ring.
    pub description: String,
    /// As-made minimum and maximum.
    pub new: (Value, Value),
    /// Greatest serviceable gap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviceable: Option<Limit>,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// The greatest difference between piston weights.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeightRow {
    /// Reference number in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// The greatest difference, such as `"0.50 oz"` or `"14 g"`.
    pub most: String,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// What is found by eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum FindingKind {
    /// A crack in the head.
    CrackInHead,
    /// A crack in the barrel.
    CrackInBarrel,
    /// The head is loose on the barrel.
    HeadLoose,
    /// A fin is cracked or broken.
    FinDamaged,
    /// Nicks on the mounting flange.
    FlangeNicked,
    /// The wall is scored.
    Scored,
    /// The wall is pitted.
    Pitted,
    /// Light rust on the wall.
    LightRust,
    /// The wall is glazed.
    Glazed,
    /// A spark-plug thread is damaged.
    SparkPlugThreadDamaged,
    /// A port face is nicked.
    PortFaceNicked,
    /// A stud is bent, worn or stripped.
    StudDamaged,
    /// A stud has lost its grip in its hole.
    StudLoose,
}

impl FindingKind {
    /// Is it on the wall of the bore, so that its depth counts in a rebore?
    pub fn is_on_wall(self) -> bool {
        matches!(self, Self::Scored | Self::Pitted | Self::LightRust | Self::Glazed)
    }

    /// Every kind, in inspection order.
    pub const ALL: [Self; 13] = [
        Self::CrackInHead,
        Self::CrackInBarrel,
        Self::HeadLoose,
        Self::Scored,
        Self::Pitted,
        Self::LightRust,
        Self::Glazed,
        Self::FinDamaged,
        Self::FlangeNicked,
        Self::SparkPlugThreadDamaged,
        Self::PortFaceNicked,
        Self::StudDamaged,
        Self::StudLoose,
    ];

    /// In words, for the middle of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::CrackInHead => "crack in the head",
            Self::CrackInBarrel => "crack in the barrel",
            Self::HeadLoose => "head loose on the barrel",
            Self::FinDamaged => "cracked or broken fin",
            Self::FlangeNicked => "nicked mounting flange",
            Self::Scored => "scored wall",
            Self::Pitted => "pitted wall",
            Self::LightRust => "light rust on the wall",
            Self::Glazed => "glazed wall",
            Self::SparkPlugThreadDamaged => "damaged spark-plug thread",
            Self::PortFaceNicked => "nicked port face",
            Self::StudDamaged => "bent, worn or stripped stud",
            Self::StudLoose => "stud loose in its hole",
        }
    }
}

/// What answers a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FindingAnswer {
    /// The part is replaced.
    Replace,
    /// Its depth decides whether the wall has to be cut, and how far.
    DepthDecides,
    /// The wall is honed; nothing follows for the outcome.
    Hone,
    /// It is repaired as the manual says; nothing follows for the outcome.
    Repair,
}

/// An answer of this table that differs from the customary one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingRule {
    /// What is found.
    pub kind: FindingKind,
    /// What answers it.
    pub answer: FindingAnswer,
    /// The greatest size that may be repaired, such as the length of a crack in a fin; beyond it: replace.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repairable_to: Option<Value>,
    /// The greatest size on any two adjacent fins, on any three, and so on; on more fins: replace.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on_adjacent_fins: Vec<Value>,
    /// The greatest area of all such findings on one cylinder together, such as `"83 sq in"`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub total_area: Option<String>,
    /// What the manual says to do.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub remedy: String,
    /// Page or table in the manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
}

/// A number as the manual prints it, and where it stands there.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Value {
    /// As printed, such as `5.1250`, `5.7600 in (146.304 mm)` or `0.0003 T`.
    pub text: String,
    /// Page, table or line in the manual; may be empty.
    pub place: String,
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self { text: text.to_owned(), place: String::new() }
    }
}

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        use serde::ser::SerializeStruct as _;
        if self.place.is_empty() {
            return serializer.serialize_str(&self.text);
        }
        let mut value = serializer.serialize_struct("Value", 2)?;
        value.serialize_field("value", &self.text)?;
        value.serialize_field("place", &self.place)?;
        value.end()
    }
}

impl<'de> Deserialize<'de> for Value {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ValueVisitor)
    }
}

struct ValueVisitor;

impl<'de> Visitor<'de> for ValueVisitor {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number in quotes, such as \"5.1250\", or (value: \"5.1250\", place: \"table 2-1\")")
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Value, E> {
        Ok(Value::from(text))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let (mut text, mut place) = (None, None);
        while let Some(key) = map.next_key::<String>()? {
            match key.as_str() {
                "value" if text.is_none() => text = Some(map.next_value()?),
                "place" if place.is_none() => place = Some(map.next_value()?),
                "value" => return Err(de::Error::duplicate_field("value")),
                "place" => return Err(de::Error::duplicate_field("place")),
                other => return Err(de::Error::unknown_field(other, &["value", "place"])),
            }
        }
        Ok(Value {
            text: text.ok_or_else(|| de::Error::missing_field("value"))?,
            place: place.unwrap_or_default(),
        })
    }
}
