//! The key of an exercise: what is true, how it is worked out, and what was done to the sheet.
//!
//! A key is a file of its own, to be opened afterwards. It holds everything that marking needs, so an exercise can
//! still be marked when a later version of the program would draw another one from the same seed.

use serde::{Deserialize, Serialize};

use quantities::length::{Length, Style, Unit};
use records::file::{self, Document};
use records::kind::{Kind, ToldBy};
use records::limits::schema::TaperRule;
use records::record::schema::Decision;

/// The number in `format` that this program writes for a key.
pub const FORMAT: u32 = 1;

/// The key of an exercise as a kind of document.
pub const KIND: Kind = Kind {
    words: "the key of an exercise",
    told_by: ToldBy::Top {
        name: "PracticeKey",
        fields: &["seed", "answers"],
        newest: FORMAT,
        oldest: FORMAT,
    },
    instead: "Give it with --key, and give the exercise record as the file to be marked.",
    check: Some(|text, file| file::from_text::<PracticeKey>(text, file).diagnostics),
};

/// The answers to one exercise record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PracticeKey {
    /// Version of this file layout; [`FORMAT`].
    pub format: u32,
    /// The seed number of the exercise.
    pub seed: u64,
    /// The unit of every length that names none.
    #[serde(default)]
    pub unit: Unit,
    /// One for each cylinder of the record.
    pub answers: Vec<Keyed>,
}

impl Document for PracticeKey {
    const KIND: &'static Kind = &KIND;
}

/// The answer for one cylinder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keyed {
    /// Position of the cylinder in the exercise record.
    pub position: String,
    /// What was asked.
    pub question: String,
    /// The answer.
    pub answer: Answer,
    /// How it is worked out, one sentence each.
    pub working: Vec<String>,
}

/// What is right.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Answer {
    /// The true diameters.
    Sheet {
        /// The setting ring that the gauge is to be set on.
        ring: String,
        /// Each place.
        cells: Vec<TrueDiameter>,
    },
    /// The rows that are beyond their limit, by their names; empty: none is.
    Figures(Vec<String>),
    /// The outcome.
    Outcome(Decision),
    /// The slip that was put in.
    Slip(PlantedSlip),
    /// The rule that the manual's sentence asks for, and the taper by it.
    Taper {
        /// The rule.
        rule: TaperRule,
        /// Its figure, positive if larger at the head end.
        figure: String,
    },
}

/// The true diameter at one place, at 20 °C.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrueDiameter {
    /// Name of the station.
    pub station: String,
    /// Label of the axis.
    pub axis: String,
    /// The diameter, with every digit.
    pub diameter: String,
    /// Need not be measured.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub optional: bool,
}

/// A slip that was put into a filled sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlantedSlip {
    /// What it is.
    pub what: SlipName,
    /// Name of its station.
    pub station: String,
    /// Labels of its axes: two if they were exchanged.
    pub axes: Vec<String>,
    /// Which repeat, counted from 1; none: all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeat: Option<usize>,
    /// The diameter that the sheet shows; the first axis's.
    pub reads: String,
    /// The diameter that it would show without the slip.
    #[serde(rename = "meant")]
    pub intended: String,
}

/// The kinds of slip that an exercise can hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum SlipName {
    /// A whole turn of the dial or thimble.
    Turn,
    /// Two digits exchanged.
    SwappedDigits,
    /// The sign of the dial.
    WrongSign,
    /// The readings of two axes exchanged.
    WrongAxis,
    /// The gauge was tilted and read high.
    Tilted,
    /// The gauge stood off centre and read low.
    OffCentre,
}

impl SlipName {
    /// Every kind.
    pub const ALL: [Self; 6] =
        [Self::Turn, Self::SwappedDigits, Self::WrongSign, Self::WrongAxis, Self::Tilted, Self::OffCentre];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Turn => "a whole turn of the dial",
            Self::SwappedDigits => "two digits swapped",
            Self::WrongSign => "the sign of the dial",
            Self::WrongAxis => "the axis columns exchanged",
            Self::Tilted => "the gauge tilted",
            Self::OffCentre => "the gauge off centre",
        }
    }

    /// Words by which an answer may name it.
    pub(super) fn names(self) -> &'static [&'static str] {
        match self {
            Self::Turn => &["turn", "revolution"],
            Self::SwappedDigits => &["swap", "digit", "transpos"],
            Self::WrongSign => &["sign", "plus", "minus"],
            Self::WrongAxis => &["column", "exchanged axes", "axes exchanged", "wrong axis"],
            Self::Tilted => &["tilt"],
            Self::OffCentre => &["centre", "center", "chord"],
        }
    }
}

/// A length with every digit: in `unit` if it has at most seven decimals there, else in millimetres.
pub(super) fn exact_text(length: Length, unit: Unit) -> String {
    let style = Style { unit, decimals: length.decimals(unit).max(unit.usual_decimals()) };
    let text = plain(&length.text(style));
    match Length::parse(&text, unit) {
        Ok(entry) if entry.length == length => text,
        _ => plain(&length.text(Style { unit: Unit::Millimetre, decimals: 7 })),
    }
}

/// With a minus sign that every keyboard has.
pub(super) fn plain(text: &str) -> String {
    text.replace('\u{2212}', "-")
}
