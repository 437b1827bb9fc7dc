//! A judged cylinder as one line of JSON, for other programs.
//!
//! One object a cylinder, in the order of the file, with these fields; those marked ? are left out where
//! there is nothing to say.
//!
//! | field | what it holds |
//! |---|---|
//! | `kind`, `format` | `cylinder`, and 1; raised if a field changes its meaning |
//! | `line` | the line of its first row |
//! | `engine`, `overhaul`, `cylinder`, `position`?, `hours`? | as the file has them |
//! | `size`? | the size's name in a sentence: `standard`, `+0.010 in`; left out if the table has no such size |
//! | `recommendation` | `serviceable`, `rebore`, `replace` or `not decided` |
//! | `rebore_to`? | the oversize's name |
//! | `basis` | what it was judged by: [`super::Basis::words`] |
//! | `unit` | the unit of every number below: `in` or `mm` |
//! | `rows` | the rows of the table, in its order |
//! | `needs`? | what must be measured or put right first |
//! | `reasons` | why, in sentences, the weightiest first |
//! | `slips`? | readings that look wrong |
//!
//! A row has `row`, `status`, and where they exist `value`, `at_least` (true: readings are missing, and it is
//! at least so much), `limit`, `margin` (positive is left, negative is over), `u` (standard uncertainty) and
//! `probability_within`. Lengths are decimal texts without a unit: exact, or with twelve decimals where the
//! mean of the repeats has no end. `u` and `probability_within` are numbers.
//!
//! A need has `need` (`measure`, `look over`, `limit`, `size`, `correct`, `confirm`, `depth`, `extent`, `area`) and
//! with it `places`, `row` or `what`. A slip has its kind (`slip`), `read` and `likely` where there are such, and its
//! `sentence`.

use std::io::{self, Write};

use serde::{Serialize, Serializer};

use super::FleetLine;
use crate::bore::Point;
use crate::judge::finding::Amount;
use crate::judge::row::Row;
use crate::judge::{Need, Recommendation, reason};
use crate::length::{Mean, Unit};
use crate::limits::Limits;
use crate::slips::Slip;
use crate::survey::point_words;

/// The number in `format`.
pub const FORMAT: u32 = 1;

/// Writes a cylinder as one JSON object, without a newline behind it.
///
/// # Errors
/// What `out` refuses.
pub fn write(line: &FleetLine, limits: &Limits, out: impl Write) -> io::Result<()> {
    serde_json::to_writer(out, &object(line, limits)).map_err(io::Error::from)
}

#[derive(Serialize)]
struct Object<'a> {
    kind: &'static str,
    format: u32,
    line: u64,
    engine: &'a str,
    overhaul: &'a str,
    cylinder: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    position: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    hours: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    size: Option<&'a str>,
    recommendation: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rebore_to: Option<&'a str>,
    basis: &'static str,
    unit: &'static str,
    rows: Each<'a, Row, RowObject<'a>>,
    #[serde(skip_serializing_if = "Each::is_empty")]
    needs: Each<'a, Need, NeedObject<'a>>,
    reasons: Reasons<'a>,
    #[serde(skip_serializing_if = "Each::is_empty")]
    slips: Each<'a, Slip, SlipObject>,
}

#[derive(Clone, Copy)]
struct Context<'a> {
    line: &'a FleetLine,
    limits: &'a Limits,
}

/// A list written element by element, without gathering it first.
struct Each<'a, T, O> {
    all: &'a [T],
    context: Context<'a>,
    object: fn(&'a T, Context<'a>) -> O,
}

impl<T, O> Each<'_, T, O> {
    fn is_empty(&self) -> bool {
        self.all.is_empty()
    }
}

impl<T, O: Serialize> Serialize for Each<'_, T, O> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.all.iter().map(|one| (self.object)(one, self.context)))
    }
}

/// The sentences of an assessment.
struct Reasons<'a>(Context<'a>);

impl Serialize for Reasons<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(sentences(self.0.line, self.0.limits))
    }
}

/// Why a cylinder is recommended so, the weightiest reason first.
pub(super) fn sentences<'a>(line: &'a FleetLine, limits: &'a Limits) -> impl Iterator<Item = String> + 'a {
    let assessment = &line.assessment;
    let reasons = assessment.reasons.iter();
    reasons.filter_map(|&reason| reason::sentence(reason, assessment, &line.cylinder, limits))
}

/// A length as decimal text.
struct Decimal(Mean, Unit);

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0.decimal_text(self.1).0)
    }
}

#[derive(Serialize)]
struct RowObject<'a> {
    row: &'a str,
    status: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<Decimal>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    at_least: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    u: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    probability_within: Option<f64>,
}

fn row_object<'a>(row: &'a Row, context: Context<'a>) -> RowObject<'a> {
    let unit = context.limits.unit;
    let decimal = |mean| Decimal(mean, unit);
    let sureness = row.sureness.as_ref();
    RowObject {
        row: row.kind.words(),
        status: row.status.words(),
        value: row.figure.as_ref().map(|figure| decimal(figure.value)),
        at_least: row.figure.is_some() && !row.missing.is_empty(),
        limit: row.limit.as_ref().map(|limit| decimal(limit.length.into())),
        margin: row.margin.map(decimal),
        u: sureness.map(|sureness| unit.from_mm(sureness.budget.u_mm)),
        probability_within: sureness.and_then(|sureness| sureness.probability_within),
    }
}

#[derive(Serialize)]
struct NeedObject<'a> {
    need: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    places: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    row: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    what: Option<&'a str>,
}

fn need_object<'a>(need: &'a Need, context: Context<'a>) -> NeedObject<'a> {
    let assessment = &context.line.assessment;
    let words = |at: &Point| point_words(context.limits, *at);
    let mut object = NeedObject { need: "", places: Vec::new(), row: None, what: None };
    object.need = match need {
        Need::Measure(points) => {
            object.places = points.iter().map(words).collect();
            "measure"
        }
        Need::LookOver => "look over",
        Need::Amount(Amount::Depth, _) => "depth",
        Need::Amount(Amount::Size, _) => "extent",
        Need::Amount(Amount::Area, _) => "area",
        Need::Amount(Amount::BoreThere, _) => "bore at finding",
        Need::Limit(row) => {
            object.row = assessment.rows.get(*row).map(|row| row.kind.words());
            "limit"
        }
        Need::SizeRow => "size",
        Need::Expansion { .. } => "expansion",
        Need::Unreadable(what) => {
            object.what = Some(what);
            "correct"
        }
        Need::Contradiction(contradiction) => {
            object.places = contradiction.at().iter().map(words).collect();
            "contradiction"
        }
        Need::Budget(row) => {
            object.row = assessment.rows.get(*row).map(|row| row.kind.words());
            "uncertainty"
        }
        Need::Impossible(row) => {
            object.row = assessment.rows.get(*row).map(|row| row.kind.words());
            "table"
        }
        Need::Confirm(slip) => {
            let at = assessment.slips.get(*slip).and_then(|slip| slip.at);
            object.places = at.iter().map(words).collect();
            "confirm"
        }
    };
    object
}

#[derive(Serialize)]
struct SlipObject {
    slip: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    read: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    likely: Option<Decimal>,
    sentence: String,
}

fn slip_object<'a>(slip: &'a Slip, context: Context<'a>) -> SlipObject {
    let decimal = |length: crate::length::Length| Decimal(length.into(), context.limits.unit);
    SlipObject {
        slip: slip.kind.words(),
        read: slip.read.map(decimal),
        likely: slip.likely.map(decimal),
        sentence: slip.sentence(&context.line.cylinder, context.limits),
    }
}

fn object<'a>(line: &'a FleetLine, limits: &'a Limits) -> Object<'a> {
    let context = Context { line, limits };
    let name = |size: usize| limits.sizes.get(size).map(|row| row.name.as_str());
    let (recommendation, rebore_to) = match line.assessment.recommendation {
        Recommendation::Serviceable => ("serviceable", None),
        Recommendation::Rebore(size) => ("rebore", name(size)),
        Recommendation::Replace => ("replace", None),
        Recommendation::NotDecided => ("not decided", None),
    };
    Object {
        kind: "cylinder",
        format: FORMAT,
        line: line.line,
        engine: &line.engine,
        overhaul: &line.overhaul,
        cylinder: &line.cylinder.serial,
        position: &line.cylinder.position,
        hours: &line.hours,
        size: line.cylinder.size.and_then(name),
        recommendation,
        rebore_to,
        basis: line.basis.words(),
        unit: limits.unit.symbol(),
        rows: Each { all: &line.assessment.rows, context, object: row_object },
        needs: Each { all: &line.assessment.needs, context, object: need_object },
        reasons: Reasons(context),
        slips: Each { all: &line.assessment.slips, context, object: slip_object },
    }
}
