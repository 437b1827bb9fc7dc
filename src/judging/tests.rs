//! Worked outcomes and the laws of judging. The tables here are fixtures for these tests and for no engine.

mod clean_up;
mod findings;
mod laws;
mod one_size;
mod parts;
mod shown;
mod temperature;
mod what_if;
mod worked;

use std::sync::Arc;

use super::{Assessment, judge};
use quantities::length::{Length, Style, Unit};
use records::bore::{Bore, Cell, Point};
use records::file;
use records::limits::Limits;
use records::limits::schema::FindingKind;
use records::survey::{Cylinder, Finding, Gauge, Survey};

/// A table with two oversizes and every kind of row, in inches; `more` replaces or adds fields.
fn table(more: &str) -> String {
    let mut fields = vec![
        ("format", "1"),
        ("identity", "\"T\""),
        ("revision", "\"A\""),
        ("engine", "\"a fixture\""),
        ("source", "Illustrative(remark: \"for tests\")"),
        (
            "stations",
            r#"[(name: "A", depth: "0.3", role: AboveRingTravel), (name: "B", depth: "1", role: TopOfRingTravel),
                (name: "C", depth: "3", role: RunningSurface), (name: "D", depth: "5", role: BaseEnd)]"#,
        ),
        (
            "axes",
            r#"[(label: "pin", degrees: 0), (label: "thrust", degrees: 90), (label: "45", degrees: 45, optional: true)]"#,
        ),
        (
            "bore",
            r#"[(size: Standard, reference: "1", new: ("5.1250", "5.1265"), serviceable: At("5.1300"), place: "table 1"),
                (size: Oversize("0.010"), reference: "2", new: ("5.1350", "5.1365"), serviceable: At("5.1400")),
                (size: Oversize("0.020"), reference: "3", new: ("5.1450", "5.1465"), serviceable: At("5.1500"))]"#,
        ),
        ("taper", r#"(rule: PerAxisRange, reference: "4", new: "0.0005", serviceable: At("0.0030"))"#),
        ("out_of_round", r#"(rule: PerStation, reference: "5", new: "0.0005", serviceable: At("0.0020"))"#),
        ("step", r#"(reference: "6", serviceable: "0.0030")"#),
        ("wall", "(surface: Plain, cut: Allowed)"),
        ("clean_up_allowance", "\"0.0010\""),
    ];
    let added: Vec<(&str, &str)> =
        more.split('\n').filter_map(|line| line.split_once(':')).map(|(a, b)| (a.trim(), b.trim())).collect();
    fields.retain(|(name, _)| !added.iter().any(|(new, _)| new == name));
    fields.extend(added);
    let body: Vec<String> = fields
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    format!("TableOfLimits({})", body.join(",\n"))
}

fn limits(more: &str) -> Arc<Limits> {
    let reported = file::limits_from_text(&table(more), None);
    let table = reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics));
    Arc::new(Limits::resolve(&table).unwrap())
}

fn inches(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

fn cell(lengths: &[Length]) -> Option<Cell> {
    Cell::new(lengths.to_vec(), Style { unit: Unit::Inch, decimals: 4 }, 0)
}

/// A cylinder looked over, with a diameter at each station (pin, thrust), from the head end.
fn cylinder(limits: &Limits, stations: &[[&str; 2]]) -> Cylinder {
    let mut bore = Bore::new(limits.stations.len(), limits.axes.len());
    for (station, pair) in stations.iter().enumerate() {
        for (axis, text) in pair.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            bore.set(Point::new(station, axis), cell(&[inches(text)]));
        }
    }
    Cylinder { position: "1".to_owned(), serial: "T-1".to_owned(), size: Some(0), ..Cylinder::of_bore(bore) }
}

/// Something found, without a place or an amount.
fn found(kind: FindingKind) -> Finding {
    Finding {
        kind,
        place: String::new(),
        station: None,
        degrees: None,
        size: None,
        depth: None,
        fins: 1,
        area: None,
        done: String::new(),
    }
}

fn survey(limits: &Arc<Limits>) -> Survey {
    Survey {
        limits: Arc::clone(limits),
        standards: Vec::new(),
        gauges: vec![Gauge { name: "a gauge".to_owned(), ..Gauge::default() }],
        conditions: None,
        cylinders: Vec::new(),
    }
}

fn judged(limits: &Arc<Limits>, cylinder: &Cylinder) -> Assessment {
    judge(cylinder, limits, survey(limits).setup())
}

/// The weightiest reason, in words.
fn first_reason(limits: &Arc<Limits>, cylinder: &Cylinder) -> String {
    let assessment = judged(limits, cylinder);
    let reason = *assessment.reasons.first().unwrap();
    super::reason::sentence(reason, &assessment, cylinder, limits).unwrap()
}
