//! The outcome of every cylinder, what a person decided, and the row nearest its limit.

use super::Source;
use super::table::{Cell, Table};
use judging::words::decision_of;
use judging::{Assessment, json, reason};
use records::limits::Limits;
use records::survey::Cylinder;

/// The table.
pub fn table(source: Source<'_>) -> Table {
    let unit = source.overhaul.unit;
    let columns =
        ["position", "cylinder", "size", "outcome", "rebore to", "decided", "by", "decided because"];
    let columns = columns.map(str::to_owned).into_iter().chain([
        "row nearest its limit".to_owned(),
        format!("figure, {unit}"),
        format!("limit, {unit}"),
        format!("margin (negative: over), {unit}"),
        "first reason".to_owned(),
        "table of limits".to_owned(),
    ]);
    let rows = source.evaluation.survey.as_ref().map(|survey| {
        let judged = survey.cylinders.iter().zip(&source.evaluation.assessments);
        judged.map(|(cylinder, assessment)| row(source, cylinder, assessment, &survey.limits)).collect()
    });
    Table { name: "Outcomes", columns: columns.collect(), rows: rows.unwrap_or_default() }
}

fn row(source: Source<'_>, cylinder: &Cylinder, assessment: &Assessment, limits: &Limits) -> Vec<Cell> {
    let unit = source.overhaul.unit;
    let size = |index: usize| limits.sizes.get(index).map(|row| Cell::text(&row.name));
    let (outcome, rebore_to) = json::outcome(assessment.recommendation);
    let decided = cylinder.disposition.as_ref();
    let nearest = assessment.tightest_row();
    let first = assessment.reasons.first();
    let first = first.and_then(|&why| reason::sentence(why, assessment, cylinder, limits));
    vec![
        Cell::text(&cylinder.position),
        Cell::text(&cylinder.serial),
        Cell::or_empty(cylinder.size.and_then(size)),
        Cell::text(outcome),
        Cell::or_empty(rebore_to.and_then(size)),
        Cell::or_empty(
            decided.map(|disposition| Cell::text(decision_of(&disposition.decision, limits, unit))),
        ),
        Cell::or_empty(decided.map(|disposition| Cell::text(&disposition.by))),
        Cell::or_empty(decided.map(|disposition| Cell::text(&disposition.reason))),
        Cell::or_empty(nearest.map(|row| Cell::text(row.kind.words()))),
        Cell::or_empty(nearest.and_then(|r| r.figure.as_ref()).map(|f| Cell::length(f.value, unit))),
        Cell::or_empty(nearest.and_then(|r| r.limit.as_ref()).map(|limit| Cell::length(limit.length, unit))),
        Cell::or_empty(nearest.and_then(|r| r.margin).map(|margin| Cell::length(margin, unit))),
        Cell::text(first.unwrap_or_default()),
        Cell::text(format!("{} revision {}", limits.identity, limits.revision)),
    ]
}
