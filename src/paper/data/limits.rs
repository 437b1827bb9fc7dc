//! The table of limits as it is printed, in the report and on the blank sheet: its terms, and its rows in groups.

use super::{LimitsGroup, LimitsRow, LimitsTable, or_none};
use judging::shown::limit_style;
use judging::words::{self, NONE};
use quantities::length::{Mean, Style, Unit};
use records::limits::Limits;
use records::limits::resolved::{Bound, CutLimit, FitLimits, RowSource};
use records::limits::rows::Side;
use records::limits::schema::{PartKind, Size, Source, Surface};
use records::record::schema::EngineRecord;

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
pub(crate) fn limits_of(limits: &Limits) -> LimitsTable {
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

/// A bound's number in a unit, exact in that unit where its own is another.
fn in_unit(bound: &Bound, unit: Unit) -> String {
    let style = Style { unit, decimals: unit.usual_decimals() };
    bound.length.number(limit_style(bound.length, bound.style, style))
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
