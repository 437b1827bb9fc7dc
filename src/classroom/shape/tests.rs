//! The figures of a shape are its parameters, to the last digit; and no parameters panic.

use proptest::prelude::*;

use super::*;
use crate::exercise;
use figures::taper;
use quantities::length::{Mean, Unit};
use records::bore::Scope;
use records::limits::rows::{Over, RowName};
use records::limits::schema::{OutOfRoundRule, TaperRule};

fn inch(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

fn limits() -> Limits {
    Limits::resolve(&exercise::table()).unwrap()
}

fn step_stations(limits: &Limits) -> (usize, usize) {
    match limits.over(RowName::Step) {
        Some(Over::Lip { above, top }) => (above, top),
        other => panic!("{other:?}"),
    }
}

fn end_stations(limits: &Limits) -> (Vec<usize>, Vec<usize>) {
    match limits.over(RowName::Choke) {
        Some(Over::Ends { head, base }) => (head.to_vec(), base.to_vec()),
        other => panic!("{other:?}"),
    }
}

fn shape(limits: &Limits) -> Shape {
    Shape::new(inch("5.1255"), Frame::of(limits))
}

#[test]
fn the_frame_is_that_of_the_table() {
    let frame = Frame::of(&limits());
    assert_eq!(frame.ring_travel, (inch("0.600"), inch("5.600")));
    assert_eq!(frame.between, (inch("0.800"), inch("5.400")));
}

/// Taper under every rule that is not about an oval, choke, step, out-of-round, wear: each figure of the product is
/// the part that was put in, exactly.
#[test]
fn each_figure_is_its_parameter() {
    let limits = limits();
    let new = shape(&limits);
    let scope = limits.bore_scope();
    let (above, top) = step_stations(&limits);
    let (head, base) = end_stations(&limits);
    let value = |gathered: figures::PartialFigure| gathered.known().unwrap().value;
    let exactly = |length: Length| Mean::from(length);

    let tapered = Shape { taper: inch("0.0017"), ..new }.sheet(&limits);
    for rule in TaperRule::ALL {
        assert_eq!(value(taper::taper(&tapered, rule, &scope)), exactly(inch("0.0017")), "{rule:?}");
    }
    let ridge = Shape { ridge: inch("0.0013"), ..new }.sheet(&limits);
    let step = figures::step::step(&ridge, above, top, &limits.required_axes);
    assert_eq!(value(step), exactly(inch("0.0013")));
    let wear = figures::wear::WearReference::best(None, figures::wear::unworn_bore(&ridge, &[above]), None);
    let greatest = figures::wear::greatest(&ridge, wear.unwrap(), &scope).unwrap();
    assert_eq!(greatest.1, exactly(inch("0.0026")));

    let oval = Shape { oval: Oval { amount: inch("0.0021"), degrees: 90.0 }, ..new }.sheet(&limits);
    for rule in OutOfRoundRule::ALL {
        let found = figures::out_of_round::out_of_round(&oval, rule, &scope);
        assert_eq!(value(found), exactly(inch("0.0021")), "{rule:?}");
    }
    let full_to = new.frame.depth_of(&limits, *head.last().unwrap()).unwrap();
    let ends_at = new.frame.depth_of(&limits, base[0]).unwrap();
    let choke = Ramp { amount: inch("0.0012"), full_to, ends_at };
    let choked = Shape { choke, ..new }.sheet(&limits);
    let end = |stations| Scope { stations, required_axes: &limits.required_axes };
    assert_eq!(value(figures::choke::choke(&choked, &end(&head), &end(&base))), exactly(choke.amount));

    let belly = Shape { bow: inch("0.0014"), ..new };
    let middle = half(new.frame.between.0 + new.frame.between.1);
    assert_eq!(belly.diameter(middle, 0.0), inch("5.1269"));
    assert_eq!(belly.diameter(new.frame.between.0, 0.0), inch("5.1255"));
}

/// A mixture: taper 0.0010, ridge 0.0004, an oval of 0.0006 across the crankshaft. The oval drops out of the average
/// of two right-angled axes; the step on the thrust axis is the ridge and half of taper and half-oval.
#[test]
fn parts_add_up_in_a_mixture() {
    let limits = limits();
    let oval = Oval { amount: inch("0.0006"), degrees: 90.0 };
    let mixed = Shape { taper: inch("0.0010"), ridge: inch("0.0004"), oval, ..shape(&limits) };
    let bore = mixed.sheet(&limits);
    let scope = limits.bore_scope();
    let taper = taper::taper(&bore, TaperRule::AxisAverages, &scope).known().unwrap().value;
    assert_eq!(taper, inch("0.0010"));
    let (above, top) = step_stations(&limits);
    let step = figures::step::step(&bore, above, top, &limits.required_axes).known().unwrap().value;
    assert_eq!(step, inch("0.00105"));
    let largest = figures::diameter::largest_diameter(&bore, &scope).known().unwrap().value;
    assert_eq!(largest, inch("5.1276"));
}

#[test]
fn three_lobes_cannot_be_seen_across_any_axis() {
    let limits = limits();
    let lobed = Shape { lobes: Lobes { amount: inch("0.0030"), degrees: 20.0 }, ..shape(&limits) };
    let depth = inch("3");
    let radii: Vec<f64> = (0..360).map(|a| lobed.radius_mm(depth, f64::from(a))).collect();
    let spread =
        radii.iter().copied().fold(f64::MIN, f64::max) - radii.iter().copied().fold(f64::MAX, f64::min);
    assert!((spread - inch("0.0030").to_mm()).abs() < 1e-6, "{spread}");
    for degrees in 0..180 {
        assert_eq!(lobed.diameter(depth, f64::from(degrees)), lobed.size);
    }
    assert_eq!(lobed.cleans_up_at(), lobed.size + lobed.lobes.amount);
}

#[test]
fn a_narrow_score_is_ridden_over_and_a_dent_is_at_the_skirt() {
    let limits = limits();
    let new = shape(&limits);
    let score =
        Score { depth: inch("0.0050"), degrees: 90.0, width: inch("0.030"), between: (inch("1"), inch("3")) };
    let scored = Shape { score, ..new };
    let at = |contact: &str| scored.diameter_felt(inch("2"), 90.0, inch(contact)) - new.size;
    assert_eq!((at("0.010"), at("0.040")), (inch("0.0050"), Length::ZERO));
    assert_eq!(scored.diameter(inch("2"), 0.0), new.size);
    assert_eq!(scored.diameter(inch("3.001"), 90.0), new.size);
    assert_eq!(scored.cleans_up_at(), new.size + inch("0.0100"));
    let dent = Dent { depth: inch("0.0040"), degrees: 0.0, width_degrees: 60.0, height: inch("1") };
    let dented = Shape { dent, ..new };
    assert_eq!(dented.diameter(new.frame.length, 0.0), new.size - inch("0.0040"));
    assert_eq!(dented.diameter(new.frame.length, 180.0), new.size - inch("0.0040"));
    assert_eq!(dented.diameter(new.frame.length - inch("0.5"), 0.0), new.size - inch("0.0020"));
    assert_eq!(dented.diameter(new.frame.length, 90.0), new.size);
    assert_eq!(dented.diameter(inch("3"), 0.0), new.size);
}

#[test]
fn every_example_shows_what_it_is_named_for() {
    let limits = limits();
    let examples = examples(&limits);
    assert!(examples.len() >= 12);
    for example in &examples {
        let changed = example.shape != shape(&limits);
        assert!(changed && !example.look_for.is_empty(), "{}", example.name);
    }
    let of = |name: &str| examples.iter().find(|e| e.name == name).unwrap().shape;
    let scope = limits.bore_scope();
    let lost = of("choke lost").sheet(&limits);
    let taper = taper::taper(&lost, TaperRule::AxisAverages, &scope).known().unwrap().value;
    assert!(taper.abs() <= Mean::from(Length::from_tenths_of_nm(1)), "{taper:?}");
    let two = of("oval between the axes").sheet(&limits);
    assert_eq!(two.mean(Point::new(2, 0)), two.mean(Point::new(2, 2)));
    assert!(two.mean(Point::new(2, 1)) > two.mean(Point::new(2, 3)));
}

/// Depths counted from the base end come out the same way up.
#[test]
fn a_table_counted_from_the_base_end() {
    let mut table = exercise::table();
    table.datum = Datum::BaseEnd;
    let depths = ["5.8", "5.4", "3.1", "0.8"];
    for (station, depth) in table.stations.iter_mut().zip(depths) {
        station.depth = depth.into();
    }
    table.ring_travel = Some(("5.6".into(), "0.6".into()));
    let limits = Limits::resolve(&table).unwrap();
    let frame = Frame::of(&limits);
    assert!(frame.ring_travel.0 < frame.ring_travel.1 && frame.between.0 < frame.between.1);
    let tapered = Shape { taper: inch("0.0020"), ..Shape::new(inch("5.1255"), frame) }.sheet(&limits);
    let taper = taper::taper(&tapered, TaperRule::AxisAverages, &limits.bore_scope());
    assert_eq!(taper.known().unwrap().value, inch("0.0020"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// The radii at both ends of an axis make its diameter, whatever is mixed.
    #[test]
    fn radii_make_the_diameter(
        amounts in prop::collection::vec(-500_000_i64..500_000, 8),
        angles in prop::collection::vec(0.0..360.0_f64, 5), depth in 0_i64..1_500_000_000, axis in 0.0..180.0_f64,
    ) {
        let limits = limits();
        let amount = |i: usize| Length::from_tenths_of_nm(amounts[i]);
        let new = shape(&limits);
        let shape = Shape {
            taper: amount(0), ridge: amount(1).abs(), bow: amount(2),
            oval: Oval { amount: amount(3), degrees: angles[0] },
            lobes: Lobes { amount: amount(4), degrees: angles[1] },
            one_sided: OneSided { depth: amount(5), degrees: angles[2] },
            score: Score { depth: amount(6), degrees: angles[3], width: inch("0.2"), between: (inch("1"), inch("4")) },
            dent: Dent { depth: amount(7), degrees: angles[4], width_degrees: 50.0, height: inch("2") },
            ..new
        };
        let depth = Length::from_tenths_of_nm(depth);
        let radii = shape.radius_mm(depth, axis) + shape.radius_mm(depth, axis + 180.0);
        prop_assert!((radii - shape.diameter(depth, axis).to_mm()).abs() < 5e-7);
        let clean = shape.cleans_up_at().to_mm() / 2.0;
        prop_assert!(shape.radius_mm(depth, axis.round()) <= clean + 2e-5);
    }

    #[test]
    fn no_parameters_panic(lengths in prop::collection::vec(any::<i64>(), 22), floats in prop::collection::vec(any::<f64>(), 9)) {
        let l = |i: usize| Length::from_tenths_of_nm(lengths[i]);
        let frame = Frame { length: l(0), ring_travel: (l(1), l(2)), between: (l(3), l(4)) };
        let shape = Shape {
            size: l(5), frame,
            choke: Ramp { amount: l(6), full_to: l(7), ends_at: l(8) },
            lobes: Lobes { amount: l(9), degrees: floats[0] },
            ridge: l(10), taper: l(11), bow: l(12),
            oval: Oval { amount: l(13), degrees: floats[1] },
            one_sided: OneSided { depth: l(14), degrees: floats[2] },
            score: Score { depth: l(15), degrees: floats[3], width: l(16), between: (l(17), l(18)) },
            dent: Dent { depth: l(19), degrees: floats[4], width_degrees: floats[5], height: l(20) },
            barrel_c: floats[6], barrel_per_k: floats[7],
        };
        let diameter = shape.diameter(l(21), floats[8]);
        prop_assert!(diameter >= Length::ZERO);
        shape.radius_mm(l(21), floats[8]);
        shape.at_its_temperature(diameter);
    }
}
