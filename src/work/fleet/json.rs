//! A judged cylinder as one line of JSON, for other programs.
//!
//! One object a cylinder, in the order of the file, with these fields; those marked ? are left out where
//! there is nothing to say. A field that `judge --json` has as well has the same name and the same shape here
//! ([`judging::json`]).
//!
//! | field | what it holds |
//! |---|---|
//! | `kind`, `format` | `cylinder`, and 2; raised if a field changes its meaning |
//! | `line` | the line of its first row |
//! | `engine`, `overhaul`, `cylinder`, `position`?, `total_hours`? | texts as the file has them: serial number of the engine, day or number of the overhaul, serial number of the cylinder, its position, column `hours` |
//! | `size`? | its present size, with the oversize and the least and greatest diameter; left out if the table has no such size |
//! | `outcome` | `serviceable`, `rebore`, `replace` or `not decided` |
//! | `rebore_to`? | the oversize, as `size` |
//! | `basis` | what it was judged by: [`super::Basis::words`] |
//! | `unit` | the unit of every number below: `in` or `mm` |
//! | `rows` | the rows of the table, in its order |
//! | `needs`? | what must be measured or put right first |
//! | `reasons` | why, the weightiest first |
//! | `slips`? | readings that look wrong |
//!
//! A row has `row`, `status`, and where they exist `figure`, `at_least` (true: readings are missing, and it is
//! at least so much), `signed` (a taper: positive is larger at the head end), `made_of` (the readings in the figure,
//! each with its weight), `limit`, `limit_is`, `margin` (positive is left, negative is over), `uncertainty` (`u`: the
//! standard uncertainty), `probability_within`, and `left_out`: what these two leave out because nobody recorded it.
//! `u` and `probability_within` are JSON numbers.

use std::io::{self, Write};

use serde::{Serialize, Serializer};

use super::FleetLine;
use judging::Need;
use judging::json::{self, Cx, Limit, Number, Size, Term};
use judging::reason::Reason;
use judging::row::Row;
use judging::slips::Slip;
use records::limits::Limits;

/// The number in `format`.
pub const FORMAT: u32 = 2;

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
    total_hours: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    size: Option<Size<'a>>,
    outcome: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rebore_to: Option<Size<'a>>,
    basis: &'static str,
    unit: &'static str,
    rows: Each<'a, Row, RowObject<'a>>,
    #[serde(skip_serializing_if = "Each::is_empty")]
    needs: Each<'a, Need, json::Need<'a>>,
    reasons: Each<'a, Reason, json::Reason>,
    #[serde(skip_serializing_if = "Each::is_empty")]
    slips: Each<'a, Slip, json::Slip<'a>>,
}

#[derive(Clone, Copy)]
struct Context<'a> {
    line: &'a FleetLine,
    cx: Cx<'a>,
}

/// A list written element by element, without gathering it first.
struct Each<'a, T, O> {
    all: &'a [T],
    context: Context<'a>,
    object: fn(usize, &'a T, Context<'a>) -> O,
}

impl<T, O> Each<'_, T, O> {
    fn is_empty(&self) -> bool {
        self.all.is_empty()
    }
}

impl<T, O: Serialize> Serialize for Each<'_, T, O> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(
            self.all.iter().enumerate().map(|(index, one)| (self.object)(index, one, self.context)),
        )
    }
}

#[derive(Serialize)]
struct RowObject<'a> {
    row: &'a str,
    status: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    figure: Option<Number>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    at_least: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    signed: Option<Number>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    made_of: Vec<Term<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<Limit>,
    limit_is: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    margin: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    uncertainty: Option<Uncertainty>,
    #[serde(skip_serializing_if = "Option::is_none")]
    probability_within: Option<f64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    left_out: Vec<&'static str>,
}

#[derive(Serialize)]
struct Uncertainty {
    u: f64,
}

fn row_object<'a>(_: usize, row: &'a Row, Context { cx, .. }: Context<'a>) -> RowObject<'a> {
    let uncertainty = row.uncertainty.as_ref();
    RowObject {
        row: row.kind.words(),
        status: row.status.words(),
        figure: row.figure.as_ref().map(|figure| cx.number(figure.value)),
        at_least: row.figure.is_some() && !row.missing.is_empty(),
        signed: row.signed().map(|signed| cx.number(signed)),
        made_of: row.figure.as_ref().map_or_else(Vec::new, |figure| cx.made_of(figure)),
        limit: cx.limit(row.limit.as_ref()),
        limit_is: json::limit_is(row),
        margin: row.margin.map(|margin| cx.number(margin)),
        uncertainty: uncertainty
            .map(|uncertainty| Uncertainty { u: cx.unit.from_mm(uncertainty.budget.u_mm) }),
        probability_within: uncertainty.and_then(|uncertainty| uncertainty.probability_within),
        left_out: uncertainty.map_or_else(Vec::new, |uncertainty| uncertainty.unknown.sources()),
    }
}

fn object<'a>(line: &'a FleetLine, limits: &'a Limits) -> Object<'a> {
    let cx = Cx { unit: limits.unit, limits };
    let context = Context { line, cx };
    let assessment = &line.assessment;
    let (outcome, rebore_to) = json::outcome(assessment.recommendation);
    Object {
        kind: "cylinder",
        format: FORMAT,
        line: line.line,
        engine: &line.engine,
        overhaul: &line.overhaul,
        cylinder: &line.cylinder.serial,
        position: &line.cylinder.position,
        total_hours: &line.hours,
        size: line.cylinder.size.and_then(|size| cx.size(size)),
        outcome,
        rebore_to: rebore_to.and_then(|size| cx.size(size)),
        basis: line.basis.words(),
        unit: limits.unit.symbol(),
        rows: Each { all: &assessment.rows, context, object: row_object },
        needs: Each {
            all: &assessment.needs,
            context,
            object: |index, need, Context { line, cx }| {
                cx.need(index, need, &line.assessment, &line.cylinder)
            },
        },
        reasons: Each {
            all: &assessment.reasons,
            context,
            object: |_, &why, Context { line, cx }| cx.reason(why, &line.assessment, &line.cylinder),
        },
        slips: Each {
            all: &assessment.slips,
            context,
            object: |index, slip, Context { line, cx }| {
                cx.slip(index, slip, &line.assessment, &line.cylinder)
            },
        },
    }
}
