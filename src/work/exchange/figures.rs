//! Every figure of an overhaul under every rule, one in each row, with the rule in force marked. A taper between two ends
//! has its sign: positive is larger at the head end. `made of` has each reading that enters with its weight; a figure of
//! one reading has its place as well.

use super::Source;
use super::table::{Cell, Table};
use figures::{Figures, PartialFigure};
use judging::json::Cx;
use quantities::length::Unit;
use records::limits::Limits;
use records::survey::Cylinder;

/// The table.
pub fn table(source: Source<'_>) -> Table {
    let unit = source.overhaul.unit;
    let columns = ["position", "cylinder", "name", "rule", "in force"].map(str::to_owned).into_iter();
    let columns = columns
        .chain([format!("figure, {unit}")])
        .chain(["complete", "station", "axis", "made of"].map(str::to_owned))
        .collect();
    let mut rows = Vec::new();
    if let Some(survey) = &source.evaluation.survey {
        for cylinder in survey.cylinders.iter().filter(|cylinder| !cylinder.bore.is_empty()) {
            of_cylinder(&mut rows, cylinder, &survey.limits, unit);
        }
    }
    Table { name: "Figures", columns, rows }
}

fn of_cylinder(rows: &mut Vec<Vec<Cell>>, cylinder: &Cylinder, limits: &Limits, unit: Unit) {
    let figures = Figures::of(cylinder, limits);
    let cx = Cx { unit, limits };
    let mut add = |name: &str, rule: &str, in_force: bool, partial: &PartialFigure| {
        let figure = partial.figure();
        let made_of = figure.map_or_else(Vec::new, |figure| cx.made_of(figure));
        // An average and a difference are of no one place.
        let place = match &made_of[..] {
            [one] => Some(one.place),
            _ => None,
        };
        let terms: Vec<_> = made_of
            .iter()
            .map(|term| format!("{} x {} {}", term.weight, term.place.station, term.place.axis))
            .collect();
        let yes = |is: bool| Cell::text(if is { "yes" } else { "no" });
        rows.push(vec![
            Cell::text(&cylinder.position),
            Cell::text(&cylinder.serial),
            Cell::text(name),
            Cell::text(rule),
            yes(in_force),
            Cell::or_empty(figure.map(|figure| Cell::length(figure.value, unit))),
            yes(partial.is_complete()),
            Cell::text(place.map_or("", |place| place.station)),
            Cell::text(place.map_or("", |place| place.axis)),
            Cell::text(terms.join("; ")),
        ]);
    };
    add("largest diameter", "", false, &figures.largest);
    add("smallest diameter", "", false, &figures.smallest);
    add("average diameter", "", false, &figures.average);
    for row in &figures.rows {
        add(row.kind.words(), row.kind.formula(), row.in_force, &row.figure);
    }
}
