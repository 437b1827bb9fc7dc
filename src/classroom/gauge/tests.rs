//! The simulated gauge against plain geometry, and against parameters that nobody would choose.

use proptest::prelude::*;

use super::super::shape::{Frame, OneSided, Oval};
use super::*;
use figures::{ovality, ring_gap};
use judging::slips::{chord_offset, tilt_degrees};

fn inch(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

fn frame() -> Frame {
    Frame { length: inch("6"), ring_travel: (inch("0.6"), inch("5.8")), between: (inch("0.8"), inch("5.4")) }
}

/// A 5 in bore, a gauge without scatter, and a place in its middle.
fn five_inch() -> (Shape, PracticeGauge, Zero, Placing) {
    let gauge = PracticeGauge::usual(Instrument::BoreGauge, Unit::Inch);
    let placing = Placing { depth: inch("3"), ..Placing::default() };
    (Shape::new(inch("5"), frame()), gauge, Zero::on(inch("5")), placing)
}

/// D5 (grade D, 1 / cos): tilted 0.5, 1 and 2 degrees on 5 in reads 0.00019, 0.00076 and 0.00305 in high.
#[test]
fn a_tilted_gauge_reads_high() {
    let (shape, gauge, zero, placing) = five_inch();
    for (tilt_degrees_, high) in [(0.5, 0.00019), (1.0, 0.00076), (2.0, 0.00305), (-2.0, 0.00305)] {
        let placing = Placing { tilt_degrees: tilt_degrees_, ..placing };
        let read = gauge.shows(&shape, zero, placing, Length::ZERO).stands_at.to_mm() / 25.4;
        assert!((read - high).abs() < 0.000005, "{tilt_degrees_}: {read}");
        assert!((tilt_degrees(5.0, read) - f64::abs(tilt_degrees_)).abs() < 0.001);
    }
}

/// D6 (grade D, chord): off centre by 0.02, 0.05 and 0.10 in on 5 in reads 0.00016, 0.00100 and 0.00400 in low.
#[test]
fn a_gauge_off_centre_reads_low() {
    let (shape, gauge, zero, placing) = five_inch();
    for (off, low) in [("0.02", 0.00016), ("0.05", 0.00100), ("0.10", 0.00400)] {
        let placing = Placing { off_centre: inch(off), ..placing };
        let read = -gauge.shows(&shape, zero, placing, Length::ZERO).stands_at.to_mm() / 25.4;
        assert!((read - low).abs() < 0.000005, "{off}: {read}");
        assert!((chord_offset(5.0, read) - inch(off).to_mm() / 25.4).abs() < 0.0001);
    }
}

/// D7 (grade D, A |cos 2p|): an oval 5.127 by 5.123 turned 0, 30 and 45 degrees shows 0.0040, 0.0020 and nothing on
/// two axes, exactly; four axes find all of it.
#[test]
fn two_axes_miss_an_oval_between_them() {
    let (shape, gauge, zero, placing) = five_inch();
    for (turned, seen) in [(0.0, "0.0040"), (30.0, "0.0020"), (45.0, "0")] {
        let oval = Oval { amount: inch("0.0040"), degrees: turned };
        let shape = Shape { size: inch("5.125"), oval, ..shape };
        let read = |degrees: f64| {
            let placing = Placing { degrees, ..placing };
            gauge.diameter(gauge.shows(&shape, zero, placing, Length::ZERO).stands_at, zero.ring)
        };
        assert_eq!(read(0.0) - read(90.0), inch(seen), "{turned}");
        let four = [0.0, 45.0, 90.0, 135.0].map(|degrees| (degrees, read(degrees).to_mm()));
        let fitted = ovality::fit(&four).unwrap();
        assert!((fitted.ovality_mm - 0.0040 * 25.4).abs() < 1e-6, "{turned}: {fitted:?}");
    }
}

/// D8 (grade D): 5.1250 worn 0.0080 on one side reads 5.1330, and only 5.1410 cleans it up.
#[test]
fn wear_on_one_side_reads_half_of_what_it_needs() {
    let (shape, gauge, zero, placing) = five_inch();
    let one_sided = OneSided { depth: inch("0.0080"), degrees: 90.0 };
    let shape = Shape { size: inch("5.1250"), one_sided, ..shape };
    let across = gauge.measures(&shape, Placing { degrees: 90.0, ..placing });
    let along = gauge.measures(&shape, placing);
    assert_eq!((across, along), (inch("5.1330"), inch("5.1250")));
    assert_eq!(shape.cleans_up_at(), inch("5.1410"));
    let read = gauge.shows(&shape, zero, Placing { degrees: 270.0, ..placing }, Length::ZERO);
    assert_eq!(gauge.diameter(read.nearest, zero.ring), inch("5.1330"));
}

/// D1 (grade D, pi): a bore larger by 0.001, 0.002, 0.005 and 0.010 in opens a ring's gap by 0.00314, 0.00628,
/// 0.01571 and 0.03142 in; the bore is read with the gauge before and after.
#[test]
fn the_ring_gap_follows_what_the_gauge_reads() {
    let (shape, gauge, zero, placing) = five_inch();
    for (larger, opens) in [("0.001", 0.00314), ("0.002", 0.00628), ("0.005", 0.01571), ("0.010", 0.03142)] {
        let worn = Shape { size: shape.size + inch(larger), ..shape };
        let read = |shape| gauge.shows(shape, zero, placing, Length::ZERO).stands_at;
        let opened = ring_gap::change_mm((read(&worn) - read(&shape)).to_mm()) / 25.4;
        assert!((opened - opens).abs() < 0.000005, "{larger}: {opened}");
    }
}

/// Rocking the gauge: the smallest reading along the bore and the largest across it is the diameter itself.
#[test]
fn the_right_reading_is_the_smallest_along_and_the_largest_across() {
    let (shape, gauge, zero, placing) = five_inch();
    let read = |tilt_degrees: f64, off: i64| {
        let off_centre = inch("0.001") * off;
        gauge.shows(&shape, zero, Placing { tilt_degrees, off_centre, ..placing }, Length::ZERO).stands_at
    };
    let rocked = (-30..=30).map(|step| read(f64::from(step) / 10.0, 0)).min().unwrap();
    let swung = (-50..=50).map(|step| read(0.0, step)).max().unwrap();
    assert_eq!((rocked, swung), (Length::ZERO, Length::ZERO));
}

#[test]
fn the_dial_goes_round_and_the_thimble_turns() {
    let (shape, gauge, zero, placing) = five_inch();
    let shape = Shape { size: inch("5.0125"), ..shape };
    let shown = gauge.shows(&shape, zero, placing, Length::ZERO);
    assert_eq!(shown.face, Face::Dial { turns: 1, degrees: 90.0 });
    let other_way = PracticeGauge { plus_means: PlusMeans::Smaller, ..gauge };
    let shown = other_way.shows(&shape, zero, placing, Length::ZERO);
    assert_eq!(shown.face, Face::Dial { turns: -2, degrees: 270.0 });
    assert_eq!(other_way.typed(shown.nearest), "-0.0125");
    assert_eq!(other_way.diameter(shown.nearest, zero.ring), inch("5.0125"));
    let micrometer = PracticeGauge::usual(Instrument::InsideMicrometer, Unit::Inch);
    let shown = micrometer.shows(&shape, Zero::on(Length::ZERO), placing, Length::ZERO);
    let Face::Thimble { sleeve, graduations } = shown.face else { panic!("{shown:?}") };
    assert_eq!(sleeve, inch("5.000"));
    assert!((graduations - 125.0).abs() < 1e-9);
    assert_eq!(micrometer.typed(shown.nearest), "5.0125");
}

#[test]
fn a_gauge_that_was_not_set_is_off_everywhere_alike() {
    let (shape, gauge, zero, placing) = five_inch();
    let mut random = Random::new(3);
    for _ in 0..50 {
        let not_set = Zero::not_set(zero.ring, &gauge, &mut random);
        let off = gauge.shows(&shape, not_set, placing, Length::ZERO).stands_at;
        assert_eq!(off, not_set.off_by);
        assert!((inch("0.0008")..=inch("0.0030")).contains(&off.abs()), "{off:?}");
    }
}

/// W10 the other way round (National Physical Laboratory, UK, length FAQ; grade P): steel of 11.7 ppm/K that is
/// 500.013 mm at 20 °C reads 500.035 mm at 23.7 °C by a gauge at 20 °C. And steel by steel at one temperature
/// reads what it is.
#[test]
fn a_warm_barrel_reads_large() {
    let (shape, gauge, _, placing) = five_inch();
    let mm = |text| Length::parse(text, Unit::Millimetre).unwrap().length;
    let warm = Shape { size: mm("500.0134"), barrel_c: 23.7, barrel_per_k: 11.7e-6, ..shape };
    let read = gauge.measures(&warm, placing).to_mm();
    assert!((read - 500.035).abs() < 0.0005, "{read}");
    let back = gauge.measures(&warm, placing).scaled(gauge.factor_to_20_c(&warm)).to_mm();
    assert!((back - 500.0134).abs() < 0.0001, "{back}");
    let both = PracticeGauge { gauge_c: 35.0, ..gauge };
    let warm = Shape { barrel_c: 35.0, ..shape };
    assert!((both.measures(&warm, placing) - inch("5")).abs() <= Length::from_tenths_of_nm(1));
}

proptest! {
    /// Tilt never reads low and off-centre never reads high in a parallel bore, and nothing panics.
    #[test]
    fn tilt_reads_high_and_off_centre_low(tilt in -10.0..10.0_f64, off in -10_000_000_i64..10_000_000) {
        let (shape, gauge, _, placing) = five_inch();
        let tilted = gauge.measures(&shape, Placing { tilt_degrees: tilt, ..placing });
        prop_assert!(tilted >= shape.size);
        let off_centre = Length::from_tenths_of_nm(off);
        let low = gauge.measures(&shape, Placing { off_centre, ..placing });
        prop_assert!(low <= shape.size);
    }

    #[test]
    fn no_parameters_panic(
        lengths in prop::collection::vec(any::<i64>(), 8), floats in prop::collection::vec(any::<f64>(), 5),
        plus in any::<bool>(), micrometer in any::<bool>(),
    ) {
        let (shape, gauge, ..) = five_inch();
        let length = |i: usize| Length::from_tenths_of_nm(lengths[i]);
        let shape = Shape { size: length(0), barrel_c: floats[0], barrel_per_k: floats[1], ..shape };
        let gauge = PracticeGauge {
            instrument: if micrometer { Instrument::InsideMicrometer } else { Instrument::BoreGauge },
            graduation: length(1), turn: length(2), contact: length(3), gauge_c: floats[2],
            plus_means: if plus { PlusMeans::Larger } else { PlusMeans::Smaller }, ..gauge
        };
        let placing = Placing { depth: length(4), degrees: floats[3], tilt_degrees: floats[4], off_centre: length(5) };
        let zero = Zero { ring: length(6), off_by: length(7) };
        let shown = gauge.shows(&shape, zero, placing, length(0));
        gauge.typed(shown.nearest);
        gauge.diameter(shown.nearest, zero.ring);
        gauge.in_record("gauge", Some("ring"));
    }
}
