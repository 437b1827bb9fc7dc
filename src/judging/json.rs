//! The parts of a judged cylinder as JSON: one name and one shape for the same thing, whichever command prints it.
//!
//! A length is a [`Number`]. With what stands beside it, each figure, limit and margin can be recomputed exactly:
//!
//! - a reading's `mean` is the sum of its `repeats` by their number;
//! - a row's `figure` is the sum over `made_of` of `weight` times the `mean` of the reading at that station and axis;
//! - a limit that has `worked_out` is `over` plus (or minus, where `is_taken_off`) the allowance, or `factor` times `of`
//!   rounded down to a whole tenth of a nanometre (1e-7 mm);
//! - `margin` is limit minus figure, or figure minus limit where `limit_is` is `at least`.

use serde::Serialize;

use super::finding::Amount;
use super::reason::{self, Reason as Why};
use super::row::Row as JudgedRow;
use super::{Assessment, Need as Missing, Recommendation};
use crate::slips::Slip as FoundSlip;
use figures::Figure;
use quantities::length::{Length, Mean, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::{Bound, LimitAmount};
use records::survey::Cylinder;

/// An exact length.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Number {
    /// Decimal text in the document's `unit`, on the diameter unless the field says otherwise.
    pub value: String,
    /// Whether that text is exact; if not, it has twelve decimals.
    pub exact: bool,
    /// The exact number in the same unit, such as `-1/3`; left out where `value` is exact.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fraction: Option<String>,
}

/// A place in the bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Place<'a> {
    /// Name of the station.
    pub station: &'a str,
    /// Label of the axis.
    pub axis: &'a str,
}

/// A number and where it was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PlacedNumber<'a> {
    /// Where.
    #[serde(flatten)]
    pub place: Place<'a>,
    /// The number.
    #[serde(flatten)]
    pub number: Number,
}

/// A reading that a figure is made of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Term<'a> {
    /// The reading: the mean of its repeats counts.
    #[serde(flatten)]
    pub place: Place<'a>,
    /// What its mean is multiplied by, exactly: `1`, `-1`, or a fraction such as `-1/6`.
    pub weight: String,
}

/// A size of the bore.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Size<'a> {
    /// In a sentence: `standard`, `+0.010 in`.
    pub name: &'a str,
    /// How much over standard.
    pub oversize: Number,
    /// The least diameter it is finished to.
    pub new_least: Number,
    /// The greatest diameter it is finished to.
    pub new_greatest: Number,
}

/// A serviceable limit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Limit {
    /// The limit itself, as everything is compared with it.
    #[serde(flatten)]
    pub number: Number,
    /// How it was worked out; left out where the table writes the limit itself.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worked_out: Option<WorkedOut>,
}

/// How a limit was worked out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct WorkedOut {
    /// `allowance over new`, `per unit of bore` or `per unit of ring travel`.
    pub rule: &'static str,
    /// The as-made size that the amount is counted from; 0 where it is the limit itself.
    pub over: Number,
    /// The amount is taken off `over` (a shaft) and not added to it.
    pub is_taken_off: bool,
    /// The allowance; left out for a limit per unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowance: Option<Number>,
    /// The factor as exact decimal text, without a unit; left out for an allowance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub factor: Option<String>,
    /// What the factor is multiplied with: the standard bore's as-made least, or the length of ring travel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<Number>,
    /// Their product, not rounded. What counts is this rounded down to a whole tenth of a nanometre (1e-7 mm).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<Number>,
}

/// A reason.
#[derive(Debug, Serialize)]
pub struct Reason {
    /// `finding`, `beyond`, `rebore`, `too small`, `no oversize`, `need` or `within`.
    pub kind: &'static str,
    /// Index in `findings`, `rows`, `oversizes` or `needs`, after its kind; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index: Option<usize>,
    /// In words.
    pub sentence: String,
}

/// Something that must be done first.
#[derive(Debug, Serialize)]
pub struct Need<'a> {
    /// `measure`, `visual inspection`, `limit`, `size`, `unreadable`, `contradiction`, `uncertainty`, `table`,
    /// `expansion`, `confirm`, and of a finding: `depth`, `length`, `area`, `bore at finding`.
    pub kind: &'static str,
    /// The places to measure or to look at; left out where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Place<'a>>,
    /// Index in `findings`, `rows` or `slips`, after its kind; left out where it has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub index: Option<usize>,
    /// In words.
    pub sentence: String,
}

/// A reading that looks wrong.
#[derive(Debug, Serialize)]
pub struct Slip<'a> {
    /// What it looks like, in words.
    pub kind: &'static str,
    /// Where; left out: the whole cylinder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<Place<'a>>,
    /// Which repeat, counted from 1; left out: the place as a whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub repeat: Option<usize>,
    /// What was read, as a diameter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read: Option<Number>,
    /// What was probably intended.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub likely: Option<Number>,
    /// Every reading that would be another one if the guess is right.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub intended: Vec<Intended<'a>>,
    /// What to do.
    pub remedy: &'static str,
    /// Somebody has confirmed it.
    pub confirmed: bool,
    /// The outcome depends on it.
    pub outcome_depends_on_it: bool,
    /// Why, as a part of a sentence.
    pub why: &'a str,
    /// In words.
    pub sentence: String,
}

/// What a place would read if a guess is right.
#[derive(Debug, Serialize)]
pub struct Intended<'a> {
    /// Where.
    #[serde(flatten)]
    pub place: Place<'a>,
    /// The repeats, as diameters.
    pub repeats: Vec<Number>,
}

/// The outcome in one word, and the index of the size to rebore to.
pub fn outcome(recommendation: Recommendation) -> (&'static str, Option<usize>) {
    match recommendation {
        Recommendation::Serviceable => ("serviceable", None),
        Recommendation::Rebore(size) => ("rebore", Some(size)),
        Recommendation::Replace => ("replace", None),
        Recommendation::NotDecided => ("not decided", None),
    }
}

/// The unit and the table that values are put in words with.
#[derive(Clone, Copy, Debug)]
pub struct Cx<'a> {
    /// The unit of every length.
    pub unit: Unit,
    /// The table of limits.
    pub limits: &'a Limits,
}

impl<'a> Cx<'a> {
    /// A length.
    pub fn number(self, value: impl Into<Mean>) -> Number {
        let mean = value.into();
        let (value, exact) = mean.decimal_text(self.unit);
        Number { value, exact, fraction: (!exact).then(|| mean.fraction_text(self.unit)) }
    }

    /// An as-made limit.
    pub fn bound(self, bound: Option<&Bound>) -> Option<Number> {
        bound.map(|bound| self.number(bound.length))
    }

    /// A serviceable limit.
    pub fn limit(self, bound: Option<&Bound>) -> Option<Limit> {
        let bound = bound?;
        let worked_out = bound.worked_out.as_deref().map(|worked_out| {
            let (rule, per) = match worked_out.amount {
                LimitAmount::Allowance(_) => ("allowance over new", None),
                LimitAmount::PerBore(factor, of) => ("per unit of bore", Some((factor, of))),
                LimitAmount::PerTravel(factor, of) => ("per unit of ring travel", Some((factor, of))),
            };
            WorkedOut {
                rule,
                over: self.number(worked_out.over),
                is_taken_off: worked_out.is_taken_off,
                allowance: match worked_out.amount {
                    LimitAmount::Allowance(allowance) => Some(self.number(allowance)),
                    LimitAmount::PerBore(..) | LimitAmount::PerTravel(..) => None,
                },
                factor: per.map(|(factor, _)| factor.decimal_text()),
                of: per.map(|(_, of)| self.number(of)),
                product: per.map(|(factor, of)| self.number(factor.of_unrounded(of))),
            }
        });
        Some(Limit { number: self.number(bound.length), worked_out })
    }

    /// A place.
    pub fn place(self, at: Point) -> Place<'a> {
        Place {
            station: self.station(at.station),
            axis: self.limits.axes.get(at.axis).map_or("", |axis| axis.label.as_str()),
        }
    }

    /// The name of a station.
    pub fn station(self, index: usize) -> &'a str {
        self.limits.stations.get(index).map_or("", |station| station.name.as_str())
    }

    /// Places.
    pub fn places(self, points: &[Point]) -> Vec<Place<'a>> {
        points.iter().map(|&at| self.place(at)).collect()
    }

    /// A number at a place.
    pub fn placed(self, at: Point, value: impl Into<Mean>) -> PlacedNumber<'a> {
        PlacedNumber { place: self.place(at), number: self.number(value) }
    }

    /// A size by its index.
    pub fn size(self, index: usize) -> Option<Size<'a>> {
        self.limits.sizes.get(index).map(|row| Size {
            name: &row.name,
            oversize: self.number(row.oversize),
            new_least: self.number(row.new.0.length),
            new_greatest: self.number(row.new.1.length),
        })
    }

    /// The readings that a figure is made of.
    pub fn made_of(self, figure: &Figure) -> Vec<Term<'a>> {
        let term =
            |term: &figures::Term| Term { place: self.place(term.at), weight: weight_text(term.weight) };
        figure.terms.iter().map(term).collect()
    }

    /// A reason with its sentence.
    pub fn reason(self, why: Why, assessment: &Assessment, cylinder: &Cylinder) -> Reason {
        let (kind, index) = match why {
            Why::Finding(i) => ("finding", Some(i)),
            Why::Beyond(i) => ("beyond", Some(i)),
            Why::Rebore(i) => ("rebore", Some(i)),
            Why::TooSmall(i) => ("too small", Some(i)),
            Why::NoOversize => ("no oversize", None),
            Why::Need(i) => ("need", Some(i)),
            Why::Within(i) => ("within", Some(i)),
        };
        Reason { kind, index, sentence: self.sentence(why, assessment, cylinder) }
    }

    fn sentence(self, why: Why, assessment: &Assessment, cylinder: &Cylinder) -> String {
        reason::sentence(why, assessment, cylinder, self.limits).unwrap_or_default()
    }

    /// The need with an index.
    pub fn need(
        self,
        index: usize,
        need: &Missing,
        assessment: &Assessment,
        cylinder: &Cylinder,
    ) -> Need<'a> {
        let sentence = self.sentence(Why::Need(index), assessment, cylinder);
        let slip_place = |slip: usize| assessment.slips.get(slip).and_then(|slip| slip.at);
        let (kind, places, index) = match need {
            Missing::Measure(points) => ("measure", self.places(points), None),
            Missing::LookOver => ("visual inspection", Vec::new(), None),
            Missing::Amount(amount, i) => {
                let kind = match amount {
                    Amount::BoreThere => "bore at finding",
                    Amount::Depth | Amount::Size | Amount::Area => amount.words(),
                };
                (kind, Vec::new(), Some(*i))
            }
            Missing::Limit(i) => ("limit", Vec::new(), Some(*i)),
            Missing::SizeRow => ("size", Vec::new(), None),
            Missing::Expansion { .. } => ("expansion", Vec::new(), None),
            Missing::Unreadable(_) => ("unreadable", Vec::new(), None),
            Missing::Contradiction(found) => ("contradiction", self.places(found.at().as_slice()), None),
            Missing::Budget(i) => ("uncertainty", Vec::new(), Some(*i)),
            Missing::Impossible(i) => ("table", Vec::new(), Some(*i)),
            Missing::Confirm(i) => ("confirm", self.places(slip_place(*i).as_slice()), Some(*i)),
        };
        Need { kind, places, index, sentence }
    }

    /// The slip with an index.
    pub fn slip<'s>(
        self,
        index: usize,
        slip: &'s FoundSlip,
        assessment: &Assessment,
        cylinder: &Cylinder,
    ) -> Slip<'s>
    where
        'a: 's,
    {
        let number = |length: Length| self.number(length);
        Slip {
            kind: slip.kind.words(),
            place: slip.at.map(|at| self.place(at)),
            repeat: slip.repeat.map(|repeat| repeat + 1),
            read: slip.read.map(number),
            likely: slip.likely.map(number),
            intended: slip
                .intended
                .iter()
                .map(|(at, repeats)| Intended {
                    place: self.place(*at),
                    repeats: repeats.iter().copied().map(number).collect(),
                })
                .collect(),
            remedy: slip.kind.remedy(),
            confirmed: slip.confirmed,
            outcome_depends_on_it: assessment.needs.contains(&Missing::Confirm(index)),
            why: &slip.why,
            sentence: slip.sentence(cylinder, self.limits),
        }
    }
}

/// A weight exactly. Every figure weighs a reading by one over a whole number.
fn weight_text(weight: f64) -> String {
    let parts = (1.0 / weight).round();
    match (parts.abs() as i64, if weight < 0.0 { "-" } else { "" }) {
        (1, sign) => format!("{sign}1"),
        (parts, sign) => format!("{sign}1/{parts}"),
    }
}

/// Is the row's figure held against a greatest or a least?
pub fn limit_is(row: &JudgedRow) -> &'static str {
    row.side.words()
}
