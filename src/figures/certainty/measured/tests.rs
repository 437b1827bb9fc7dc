//! The published end gauge, through the same code that serves a bore, and what drops out of a difference.

mod hand_worked;

use super::*;
use crate::{diameter, out_of_round};
use quantities::length::{Style, Unit};
use records::bore::{Cell, Point, Scope};
use records::limits::schema::OutOfRoundRule;
use records::record::schema::Distribution;
use records::survey::{Conditions, Expansion, Further, Gauge, Standard};

const NM: f64 = 1e-6;

fn mm(text: &str) -> Length {
    Length::parse(text, Unit::Millimetre).unwrap().length
}

fn infinite(u: f64) -> Uncertainty {
    Uncertainty::new(u, f64::INFINITY)
}

/// A bore with one cell per entry, along one station, all read with the first gauge.
fn bore(cells: &[&[&str]]) -> Bore {
    let mut bore = Bore::new(1, cells.len());
    for (axis, repeats) in cells.iter().enumerate() {
        let style = Style { unit: Unit::Millimetre, decimals: 6 };
        bore.set(Point::new(0, axis), Cell::new(repeats.iter().map(|text| mm(text)).collect(), style, 0));
    }
    bore
}

fn figure(bore: &Bore) -> Figure {
    let scope = Scope { stations: &[0], required_axes: &[0] };
    diameter::largest_diameter(bore, &scope).known().unwrap()
}

/// JCGM 100:2008, H.1 (grade P): an end gauge of 50 mm compared with a standard. Published: 50.000 838 mm,
/// u = 32 nm (u² = 1002 nm² from unrounded inputs), 16.7 degrees of freedom cut to 16, t99 = 2.92,
/// U99 = 93 nm (92.5 unrounded).
#[test]
fn gum_h1_end_gauge() {
    // Five comparisons whose mean difference from the standard of 50.000 623 mm is 215 nm.
    let bore = bore(&[&["50.000838", "50.000838", "50.000838", "50.000838", "50.000838"]]);
    let standards = [Standard {
        name: "end gauge".to_owned(),
        size: mm("50.000623"),
        // Certificate: U = 0.075 µm at three standard deviations, 18 degrees of freedom.
        calibration: Some(Uncertainty::new(75.0 * NM / 3.0, 18.0)),
    }];
    let comparator = |source: &str, half_width: f64, k: f64, dof| Further {
        source: source.to_owned(),
        uncertainty: Uncertainty::new(half_width * NM / Distribution::Normal { k }.divisor(), dof),
        common: true,
    };
    let gauges = [Gauge {
        name: "comparator".to_owned(),
        // The example's budget has no line for the resolution.
        graduation: Some(Length::ZERO),
        standard: Some(0),
        // Pooled from 25 observations.
        repeatability: Some(Uncertainty::new(13.0 * NM, 24.0)),
        expansion: Expansion { per_k: 11.5e-6, supposed: false },
        further: vec![
            comparator("random errors of the comparator", 10.0, 2.57, 5.0),
            comparator("systematic errors of the comparator", 20.0, 3.0, 8.0),
        ],
        ..Gauge::default()
    }];
    let rectangular = |half: f64, dof| Uncertainty::new(half / 3_f64.sqrt(), dof);
    let conditions = Conditions {
        // The bed's mean was 19.9 °C; the gauges differ by 0 K, known within 0.05 K.
        barrel_c: 19.9,
        gauge_c: 19.9,
        barrel: Expansion { per_k: 11.5e-6, supposed: false },
        difference: Some(rectangular(0.05, 2.0)),
        expansion_difference: Some(rectangular(1e-6, 50.0)),
        suppose_steel: false,
    };
    let setup = Setup { standards: &standards, gauges: &gauges, conditions: Some(&conditions) };
    let figure = figure(&bore);
    let budget = budget(setup, &bore, &figure);
    assert_eq!(figure.value, mm("50.000838"));
    let contribution = |source: &str| {
        let line = budget.lines.iter().find(|line| line.source == source);
        line.unwrap_or_else(|| panic!("no line {source}")).contribution_mm().abs() / NM
    };
    for (source, published) in [
        ("setting standard", 25.0),
        ("repeatability", 5.8),
        ("random errors of the comparator", 3.9),
        ("systematic errors of the comparator", 6.7),
        ("temperature difference", 16.6),
        ("expansion difference", 2.9),
    ] {
        assert!((contribution(source) - published).abs() < 0.05, "{source}: {}", contribution(source));
    }
    let u = budget.u_mm / NM;
    assert!((u * u - 1002.0).abs() < 1.0, "u² = {}", u * u);
    assert!((budget.dof - 16.7).abs() < 0.1, "{}", budget.dof);
    let expanded = budget.expanded(0.99);
    assert!((expanded.k - 2.92).abs() < 0.005, "{}", expanded.k);
    assert!((expanded.u_mm / NM - 92.5).abs() < 0.1, "{}", expanded.u_mm / NM);
}

/// What is common to two readings drops out of their difference; what is drawn anew does not (trade practice
/// after JCGM 100, 5.2: fully correlated inputs of opposite sensitivity).
#[test]
fn a_difference_keeps_only_what_is_drawn_anew() {
    let bore = bore(&[&["130.180", "130.182"], &["130.200", "130.202"]]);
    let standards =
        [Standard { name: "ring".to_owned(), size: mm("130.175"), calibration: Some(infinite(0.002)) }];
    let gauges = [Gauge {
        graduation: Some(mm("0.002")),
        standard: Some(0),
        calibration: Some(infinite(0.001)),
        repeatability: Some(Uncertainty::new(0.0014, 2.0)),
        ..Gauge::default()
    }];
    let conditions = Conditions {
        barrel_c: 25.0,
        gauge_c: 22.0,
        barrel: Expansion { per_k: 11.5e-6, supposed: false },
        difference: Some(infinite(0.5)),
        expansion_difference: Some(infinite(0.6e-6)),
        suppose_steel: false,
    };
    let setup = Setup { standards: &standards, gauges: &gauges, conditions: Some(&conditions) };
    let scope = Scope { stations: &[0], required_axes: &[0, 1] };
    let difference = out_of_round::out_of_round(&bore, OutOfRoundRule::PerStation, &scope).known().unwrap();
    let budget_of = |figure: &Figure| budget(setup, &bore, figure);
    let (one, two) = (budget_of(&figure(&bore)), budget_of(&difference));
    for common in ["setting standard", "calibration of the gauge"] {
        let line = |budget: &Budget| {
            budget.lines.iter().find(|line| line.source == common).map_or(0.0, |line| line.contribution_mm())
        };
        assert!(line(&one) > 0.0, "{common}");
        assert_eq!(line(&two), 0.0, "{common}");
    }
    // sqrt 2 times each reading's own: 0.0014 / sqrt 2 repeats, and 0.001 / sqrt 3 of half a graduation. The
    // temperatures leave only the difference of 0.020 mm times 11.5e-6 x 0.5, which is nothing.
    let own = 2_f64.sqrt() * (0.0014_f64 / 2_f64.sqrt()).hypot(0.001 / 3_f64.sqrt());
    assert!((two.u_mm - own).abs() < 1e-6, "{} {own}", two.u_mm);
    assert!(one.u_mm > 0.0023, "{}", one.u_mm);
}

/// Two gauges zeroed on one ring: the ring still drops out, their own calibrations do not.
#[test]
fn one_standard_under_two_gauges_is_one_source() {
    let mut bore = bore(&[&["130.180"], &["130.200"]]);
    let second = bore.cell(Point::new(0, 1)).unwrap().repeats().to_vec();
    let style = Style { unit: Unit::Millimetre, decimals: 3 };
    bore.set(Point::new(0, 1), Cell::new(second, style, 1));
    let standards =
        [Standard { name: "ring".to_owned(), size: mm("130.175"), calibration: Some(infinite(0.002)) }];
    let gauge = Gauge {
        graduation: Some(Length::ZERO),
        standard: Some(0),
        calibration: Some(infinite(0.001)),
        ..Gauge::default()
    };
    let gauges = [gauge.clone(), gauge];
    let setup = Setup { standards: &standards, gauges: &gauges, conditions: None };
    let scope = Scope { stations: &[0], required_axes: &[0, 1] };
    let difference = out_of_round::out_of_round(&bore, OutOfRoundRule::PerStation, &scope).known().unwrap();
    let u = budget(setup, &bore, &difference).u_mm;
    assert!((u - 0.001 * 2_f64.sqrt()).abs() < 1e-12, "{u}");
}
