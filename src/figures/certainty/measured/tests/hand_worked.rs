//! Budgets worked by hand, line by line (grade D, from the model at the top of the module): a diameter, each kind of
//! difference, and two gauges with a setting standard between them or one each. Lengths are in millimetres.
//!
//! Barrel at 26 °C, gauges at 22 °C, the difference known to u = 0.5 K; barrel of 12.0e-6 1/K, the difference of
//! coefficients known to u = 0.6e-6 1/K with 50 degrees of freedom.

use std::f64::consts::FRAC_1_SQRT_2;

use super::*;
use crate::certainty::budget::CommonTo::{self, Reading, Standard as WithStandard, Survey};
use crate::{choke, step, taper};
use records::limits::schema::TaperRule;

const INFINITE: f64 = f64::INFINITY;

/// What a line must be: source, estimate, u, degrees of freedom, sensitivity, and which readings share it.
type Expected = (&'static str, f64, f64, f64, f64, CommonTo);

fn known(u: f64, dof: f64) -> Option<Uncertainty> {
    Some(Uncertainty::new(u, dof))
}

fn per_k(per_k: f64) -> Expansion {
    Expansion { per_k, supposed: false }
}

fn standards() -> [Standard; 2] {
    let ring =
        |name: &str, size, calibration| Standard { name: name.to_owned(), size: mm(size), calibration };
    [ring("ring A", "130.000", known(0.0010, 50.0)), ring("ring B", "131.000", known(0.0020, INFINITE))]
}

/// 0: a micrometer that reads the diameter. 1 and 2: dials on ring A, the second without a graduation, so that its last
/// digit counts. 3: a dial on ring B that has no repeatability. 4: a micrometer like the first.
fn gauges() -> [Gauge; 5] {
    let further = |source: &str, u, dof, common| Further {
        source: source.to_owned(),
        uncertainty: Uncertainty::new(u, dof),
        common,
    };
    let micrometer = Gauge {
        graduation: Some(mm("0.010")),
        calibration: known(0.0030, 20.0),
        repeatability: known(0.0040, 9.0),
        expansion: per_k(11.5e-6),
        further: vec![further("feel", 0.0006, 8.0, false), further("zero drift", 0.0005, INFINITE, true)],
        ..Gauge::default()
    };
    let dial = |standard, graduation, calibration, repeatability, expansion| Gauge {
        standard: Some(standard),
        graduation,
        calibration,
        repeatability,
        expansion: per_k(expansion),
        ..Gauge::default()
    };
    [
        micrometer.clone(),
        dial(0, Some(mm("0.002")), known(0.0007, INFINITE), known(0.0012, 18.0), 11.0e-6),
        dial(0, None, None, known(0.0015, 5.0), 11.0e-6),
        dial(1, Some(mm("0.002")), None, None, 23.0e-6),
        Gauge { further: Vec::new(), ..micrometer },
    ]
}

fn conditions() -> Conditions {
    Conditions {
        barrel_c: 26.0,
        gauge_c: 22.0,
        barrel: per_k(12.0e-6),
        difference: known(0.5, INFINITE),
        expansion_difference: known(0.6e-6, 50.0),
        suppose_steel: false,
    }
}

/// A barrel of four stations by two axes, of cells (station, axis, gauge, repeats).
fn barrel(cells: &[(usize, usize, usize, &[&str])]) -> Bore {
    let mut bore = Bore::new(4, 2);
    for (station, axis, gauge, repeats) in cells {
        let style = Style { unit: Unit::Millimetre, decimals: 3 };
        let repeats = repeats.iter().map(|text| mm(text)).collect();
        bore.set(Point::new(*station, *axis), Cell::new(repeats, style, *gauge));
    }
    bore
}

fn near(value: f64, expected: f64) -> bool {
    value == expected || (value - expected).abs() <= 1e-9 * expected.abs().max(1e-6)
}

/// Every line as expected, and what they come to.
#[track_caller]
fn assert_budget(
    conditions: Option<&Conditions>,
    bore: &Bore,
    figure: &Figure,
    lines: &[Expected],
    (u, dof): (f64, f64),
) {
    let (standards, gauges) = (standards(), gauges());
    let budget = budget(Setup { standards: &standards, gauges: &gauges, conditions }, bore, figure);
    let sources: Vec<&str> = budget.lines.iter().map(|line| line.source.as_ref()).collect();
    assert_eq!(sources, lines.iter().map(|line| line.0).collect::<Vec<_>>());
    for (line, expected) in budget.lines.iter().zip(lines) {
        assert!(near(line.estimate, expected.1), "{line:?}");
        assert!(near(line.u, expected.2), "{line:?}");
        assert!(near(line.dof, expected.3), "{line:?}");
        assert!(near(line.sensitivity, expected.4), "{line:?} for {}", expected.4);
        assert_eq!(line.common_to, expected.5, "{line:?}");
        let unit = match line.source.as_ref() {
            "temperature difference" => LineUnit::Kelvin,
            source if source.starts_with("expansion") => LineUnit::PerKelvin,
            _ => LineUnit::Millimetre,
        };
        assert_eq!(line.unit, unit, "{line:?}");
    }
    assert!((budget.u_mm - u).abs() < 1e-9, "u {}", budget.u_mm);
    assert!((budget.dof / dof - 1.0).abs() < 1e-3 || budget.dof == dof, "dof {}", budget.dof);
}

/// Half of 0.010 over root 3.
const HALF_OF_0_010: f64 = 0.002_886_751_345_948;
/// Half of 0.002 over root 3.
const HALF_OF_0_002: f64 = 0.000_577_350_269_190;

#[test]
fn a_diameter_of_three_repeats() {
    let bore = barrel(&[(1, 0, 0, &["130.199", "130.200", "130.201"])]);
    let scope = Scope { stations: &[1], required_axes: &[0] };
    let figure = diameter::largest_diameter(&bore, &scope).known().unwrap();
    let lines = [
        ("calibration of the gauge", 0.0, 0.0030, 20.0, 1.0, Survey),
        // 1 over root 3 of the repeats.
        ("repeatability", 0.0, 0.0040, 9.0, 0.577_350_269_190, Reading),
        ("resolution", 0.0, HALF_OF_0_010, INFINITE, 1.0, Reading),
        ("feel", 0.0, 0.0006, 8.0, 1.0, Reading),
        ("zero drift", 0.0, 0.0005, INFINITE, 1.0, Survey),
        // 26 - 22; minus 130.2 x 11.5e-6.
        ("temperature difference", 4.0, 0.5, INFINITE, -0.001_497_3, Survey),
        // 12.0e-6 - 11.5e-6; minus 130.2 x (26 - 20).
        ("expansion difference", 0.5e-6, 0.6e-6, 50.0, -781.2, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.004_904_777_459, 80.072));
    // Without temperatures the last two lines are not there.
    assert_budget(None, &bore, &figure, &lines[..5], (0.004_824_589_793, 74.972));
}

/// On one gauge, what its readings share drops out; what is drawn anew for each cell does not.
#[test]
fn a_taper_of_averages() {
    let bore = barrel(&[
        (1, 0, 0, &["130.230"]),
        (1, 1, 0, &["130.249", "130.251"]),
        (3, 0, 0, &["130.180"]),
        (3, 1, 0, &["130.199", "130.201"]),
    ]);
    let scope = Scope { stations: &[1, 3], required_axes: &[0, 1] };
    let figure = taper::taper(&bore, TaperRule::AxisAverages, &scope).known().unwrap();
    assert_eq!(figure.value, mm("0.050"));
    let lines = [
        ("calibration of the gauge", 0.0, 0.0030, 20.0, 0.0, Survey),
        // Root of 1/4 x (1 + 1/2 + 1 + 1/2).
        ("repeatability", 0.0, 0.0040, 9.0, 0.866_025_403_784, Reading),
        // Four times 1/4 of the square.
        ("resolution", 0.0, HALF_OF_0_010, INFINITE, 1.0, Reading),
        ("feel", 0.0, 0.0006, 8.0, 1.0, Reading),
        ("zero drift", 0.0, 0.0005, INFINITE, 0.0, Survey),
        // Minus 0.050 x 11.5e-6, and minus 0.050 x 6.
        ("temperature difference", 4.0, 0.5, INFINITE, -0.575e-6, Survey),
        ("expansion difference", 0.5e-6, 0.6e-6, 50.0, -0.3, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.004_548_992_575, 26.736));
}

/// Two dials on one ring: the ring drops out, the calibration that one of them has of its own does not.
#[test]
fn an_out_of_round_by_two_gauges_on_one_ring() {
    let bore = barrel(&[(2, 0, 2, &["130.180"]), (2, 1, 1, &["130.239", "130.241"])]);
    let scope = Scope { stations: &[2], required_axes: &[0, 1] };
    let figure = out_of_round::out_of_round(&bore, OutOfRoundRule::PerStation, &scope).known().unwrap();
    assert_eq!(figure.value, mm("0.060"));
    let lines = [
        ("calibration of the gauge", 0.0, 0.0007, INFINITE, 1.0, Survey),
        // One over root 2.
        ("repeatability", 0.0, 0.0012, 18.0, FRAC_1_SQRT_2, Reading),
        ("resolution", 0.0, HALF_OF_0_002, INFINITE, 1.0, Reading),
        ("repeatability", 0.0, 0.0015, 5.0, 1.0, Reading),
        // Half of the last digit written, 0.001, over root 3.
        ("resolution", 0.0, 0.000_288_675_134_595, INFINITE, 1.0, Reading),
        ("temperature difference", 4.0, 0.5, INFINITE, -0.66e-6, Survey),
        ("expansion difference", 1.0e-6, 0.6e-6, 50.0, -0.36, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.001_968_925_296, 14.432));
}

/// A ring each, of different metal: neither ring drops out, nor does what the temperatures make of the two.
#[test]
fn an_out_of_round_by_two_gauges_on_rings_of_their_own() {
    let bore = barrel(&[(2, 0, 3, &["130.180"]), (2, 1, 1, &["130.239", "130.241"])]);
    let scope = Scope { stations: &[2], required_axes: &[0, 1] };
    let figure = out_of_round::out_of_round(&bore, OutOfRoundRule::PerStation, &scope).known().unwrap();
    // 0.6e-6 over root 2: half of the variance is the barrel's, half each gauge's.
    let half = 0.424_264_068_712e-6;
    let lines = [
        ("setting standard", 131.0, 0.0020, INFINITE, -1.0, WithStandard),
        ("setting standard", 130.0, 0.0010, 50.0, 1.0, WithStandard),
        ("calibration of the gauge", 0.0, 0.0007, INFINITE, 1.0, Survey),
        ("repeatability", 0.0, 0.0012, 18.0, FRAC_1_SQRT_2, Reading),
        ("resolution", 0.0, HALF_OF_0_002, INFINITE, 1.0, Reading),
        ("resolution", 0.0, HALF_OF_0_002, INFINITE, 1.0, Reading),
        // Minus 130.240 x 11e-6, plus 130.180 x 23e-6.
        ("temperature difference", 4.0, 0.5, INFINITE, 0.001_561_5, Survey),
        // Minus 0.060 x 6; 130.240 x 6; minus 130.180 x 6.
        ("expansion of the barrel", 12.0e-6, half, 50.0, -0.36, Survey),
        ("expansion of the gauge", 11.0e-6, half, 50.0, 781.44, Survey),
        ("expansion of the gauge", 23.0e-6, half, 50.0, -781.08, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.002_775_962_797, 1204.9));
}

/// Base minus head: the base is read with one micrometer, the head with another. Both calibrations count.
#[test]
fn a_choke_by_two_gauges_that_read_the_diameter() {
    let bore = barrel(&[
        (1, 0, 4, &["130.000"]),
        (1, 1, 4, &["130.020"]),
        (3, 0, 0, &["130.300"]),
        (3, 1, 0, &["130.320"]),
    ]);
    let scope = |stations| Scope { stations, required_axes: &[0, 1] };
    let figure = choke::choke(&bore, &scope(&[1]), &scope(&[3])).known().unwrap();
    assert_eq!(figure.value, mm("0.300"));
    let (root_half, half) = (FRAC_1_SQRT_2, 0.424_264_068_712e-6);
    let lines = [
        ("calibration of the gauge", 0.0, 0.0030, 20.0, 1.0, Survey),
        ("repeatability", 0.0, 0.0040, 9.0, root_half, Reading),
        // Twice a quarter of the square: over root 2.
        ("resolution", 0.0, 0.002_041_241_452_319, INFINITE, 1.0, Reading),
        ("feel", 0.0, 0.0006, 8.0, root_half, Reading),
        ("zero drift", 0.0, 0.0005, INFINITE, 1.0, Survey),
        ("calibration of the gauge", 0.0, 0.0030, 20.0, -1.0, Survey),
        ("repeatability", 0.0, 0.0040, 9.0, root_half, Reading),
        ("resolution", 0.0, 0.002_041_241_452_319, INFINITE, 1.0, Reading),
        // Minus 0.300 x 11.5e-6.
        ("temperature difference", 4.0, 0.5, INFINITE, -3.45e-6, Survey),
        // Minus 0.300 x 6; 130.310 x 6; minus 130.010 x 6. Each expands by itself, although they are of one steel.
        ("expansion of the barrel", 12.0e-6, half, 50.0, -1.8, Survey),
        ("expansion of the gauge", 11.5e-6, half, 50.0, 781.86, Survey),
        ("expansion of the gauge", 11.5e-6, half, 50.0, -780.06, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.006_556_134_582, 82.750));
}

/// Per side, so every weight is a half.
#[test]
fn a_step_by_one_gauge() {
    let bore = barrel(&[(0, 1, 0, &["130.000"]), (1, 1, 0, &["130.199", "130.201"])]);
    let figure = step::step(&bore, 0, 1, &[1]).known().unwrap();
    assert_eq!(figure.value, mm("0.100"));
    let lines = [
        ("calibration of the gauge", 0.0, 0.0030, 20.0, 0.0, Survey),
        // Root of 1/4 x (1/2 + 1).
        ("repeatability", 0.0, 0.0040, 9.0, 0.612_372_435_696, Reading),
        // Root of twice a quarter of the square.
        ("resolution", 0.0, 0.002_041_241_452_319, INFINITE, 1.0, Reading),
        ("feel", 0.0, 0.0006, 8.0, FRAC_1_SQRT_2, Reading),
        ("zero drift", 0.0, 0.0005, INFINITE, 0.0, Survey),
        // Minus 0.100 x 11.5e-6, and minus 0.100 x 6.
        ("temperature difference", 4.0, 0.5, INFINITE, -1.15e-6, Survey),
        ("expansion difference", 0.5e-6, 0.6e-6, 50.0, -0.6, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.003_216_623_560, 26.736));
}

/// An average over two dials on one ring: the ring counts once and whole, and both expand with it.
#[test]
fn an_average_by_two_gauges_on_one_ring() {
    let bore = barrel(&[(2, 0, 2, &["130.180"]), (2, 1, 1, &["130.240"])]);
    let scope = Scope { stations: &[2], required_axes: &[0, 1] };
    let figure = diameter::average_diameter(&bore, &scope).known().unwrap();
    let lines = [
        ("setting standard", 130.0, 0.0010, 50.0, 1.0, WithStandard),
        ("calibration of the gauge", 0.0, 0.0007, INFINITE, 0.5, Survey),
        ("repeatability", 0.0, 0.0012, 18.0, 0.5, Reading),
        ("resolution", 0.0, 0.000_288_675_134_595, INFINITE, 1.0, Reading),
        ("repeatability", 0.0, 0.0015, 5.0, 0.5, Reading),
        ("resolution", 0.0, 0.000_144_337_567_297, INFINITE, 1.0, Reading),
        // Minus 130.210 x 11e-6, and minus 130.210 x 6.
        ("temperature difference", 4.0, 0.5, INFINITE, -0.001_432_31, Survey),
        ("expansion difference", 1.0e-6, 0.6e-6, 50.0, -781.26, Survey),
    ];
    assert_budget(Some(&conditions()), &bore, &figure, &lines, (0.001_697_579_700, 90.814));
}

/// A coefficient that nobody wrote is known within 1e-6 1/K of steel's, each by itself, if nobody said how well.
#[test]
fn expansions_that_are_supposed() {
    let bore = barrel(&[(2, 0, 0, &["130.200"])]);
    let figure = Figure::of_cell(Point::new(2, 0), mm("130.200").into());
    let lines = |conditions: &Conditions, expansion| {
        let gauges = [Gauge { expansion, ..Gauge::default() }];
        let setup = Setup { standards: &[], gauges: &gauges, conditions: Some(conditions) };
        let all = budget(setup, &bore, &figure).lines.into_iter().skip(1);
        all.map(|line| (line.source.into_owned(), line.estimate, line.u, line.sensitivity))
            .collect::<Vec<_>>()
    };
    let nothing = Conditions { difference: None, expansion_difference: None, ..conditions() };
    let unwritten = Conditions { barrel: Expansion::STEEL, ..nothing.clone() };
    let is = |found: &(String, f64, f64, f64), source: &str, sensitivity: f64| {
        // 1e-6 over root 3.
        let (u, steel) = (near(found.2, 0.577_350_269_190e-6), near(found.1, 11.5e-6));
        assert!(found.0 == source && u && steel && near(found.3, sensitivity), "{found:?}");
    };
    assert_eq!(lines(&nothing, per_k(11.5e-6)), []);
    // Minus 130.2 x (26 - 20).
    let barrel = lines(&unwritten, per_k(11.5e-6));
    assert_eq!(barrel.len(), 1);
    is(&barrel[0], "expansion of the barrel, supposed", -781.2);
    // Plus 130.2 x (22 - 20): a gauge that has grown reads small.
    let gauge = lines(&nothing, Expansion::STEEL);
    assert_eq!(gauge.len(), 1);
    is(&gauge[0], "expansion of the gauge, supposed", 260.4);
    assert_eq!(lines(&unwritten, Expansion::STEEL).len(), 2);
    // Whoever wrote how well the difference is known has said it for these too.
    let within = Conditions { expansion_difference: known(0.6e-6, 50.0), ..unwritten };
    let within = lines(&within, Expansion::STEEL);
    assert_eq!(within.len(), 1);
    assert_eq!(within[0].0, "expansion difference");
}

/// Weights that add up to nothing but rounding leave nothing of what is shared: a tenth three times, less three tenths.
#[test]
fn a_rest_of_rounding_is_no_share() {
    let bore = barrel(&[
        (0, 0, 0, &["130.000"]),
        (1, 0, 0, &["130.000"]),
        (2, 0, 0, &["130.000"]),
        (3, 0, 0, &["130.000"]),
    ]);
    let term = |station, weight| Term { at: Point::new(station, 0), weight };
    let terms = vec![term(0, 0.1), term(1, 0.1), term(2, 0.1), term(3, -0.3)];
    assert_ne!(terms.iter().map(|term| term.weight).sum::<f64>(), 0.0);
    let figure = Figure::new(Mean::ZERO, terms);
    let gauges = gauges();
    let lines = budget(Setup { standards: &[], gauges: &gauges, conditions: None }, &bore, &figure).lines;
    assert_eq!(lines.iter().find(|line| line.source == "zero drift").unwrap().sensitivity, 0.0);
    // A thousandth is a weight like any other.
    let figure = Figure::new(Mean::ZERO, vec![term(0, 0.001)]);
    let lines = budget(Setup { standards: &[], gauges: &gauges, conditions: None }, &bore, &figure).lines;
    assert_eq!(lines.iter().find(|line| line.source == "zero drift").unwrap().sensitivity, 0.001);
}

/// Three standard uncertainties; a gauge without a known repeatability is taken to repeat to one graduation.
#[test]
fn what_measuring_can_explain() {
    let (standards, gauges) = (standards(), gauges());
    let setup = Setup { standards: &standards, gauges: &gauges, conditions: None };
    let bore = barrel(&[(2, 0, 0, &["130.200"]), (2, 1, 3, &["130.200"])]);
    let explained = |terms: &[Term]| explained(setup, &bore, terms).to_mm();
    let term = |axis, weight| Term { at: Point::new(2, axis), weight };
    // 3 x root(0.0030² + 0.0040² + 0.010²/12 + 0.0006² + 0.0005²).
    assert!((explained(&[term(0, 1.0)]) - 0.017_478_272).abs() < 1e-7, "{}", explained(&[term(0, 1.0)]));
    // 3 x root(0.0020² + 0.002²/12 + 0.002²), and twice that with twice the weight.
    assert!((explained(&[term(1, 1.0)]) - 0.008_660_254).abs() < 1e-7, "{}", explained(&[term(1, 1.0)]));
    assert!((explained(&[term(1, -2.0)]) - 0.017_320_508).abs() < 1e-7);
    assert!((explained(&[term(0, 1.0), term(1, -1.0)]) - 0.019_506_153).abs() < 1e-7);
    // Of a place that nobody measured there is nothing to explain.
    assert_eq!(explained(&[Term { at: Point::new(0, 0), weight: 1.0 }]), 0.0);
}
