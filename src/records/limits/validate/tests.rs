use proptest::prelude::*;

use crate::diag::Severity;
use crate::file;
use crate::limits::schema::*;

use super::*;

/// An invented table with a row of every kind and nothing to tell about.
const CLEAN: &str = r#"TableOfLimits(
    format: 1,
    identity: "DEMO-5",
    revision: "A",
    engine: "Demonstration engine (invented)",
    source: Illustrative(remark: "invented for tests; never for a real engine"),
    stations: [
        (name: "A", depth: "0.20", role: AboveRingTravel),
        (name: "B", depth: "0.60", role: TopOfRingTravel),
        (name: "C", depth: "2.50", role: RunningSurface),
        (name: "D", depth: "5.00", role: BaseEnd),
    ],
    axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0), (label: "extra", degrees: 45.0, optional: true)],
    ring_travel: ("0.50", "5.20"),
    stroke: "4.375 in (111.125 mm)",
    cylinders: 4,
    bore: [
        (size: Standard, reference: "101", new: ("5.1250 in (130.175 mm)", "5.1270"), serviceable: At("5.1300")),
        (size: Oversize("0.010"), reference: "102", new: ("5.1350", "5.1370"), serviceable: At("5.1400")),
        (size: Oversize("0.25 mm"), reference: "103", new: ("5.1348", "5.1368"), serviceable: At("5.1398")),
    ],
    taper: (rule: AxisAverages, stations: ["B", "C", "D"], new: "0.0010", serviceable: PerTravel("0.0005")),
    out_of_round: (rule: PerStation, new: "0.0010", serviceable: At("0.0020")),
    choke: (new: ("0.0010", "0.0030"), least: "0.0000"),
    step: (serviceable: "0.0020"),
    wall: (surface: Plain, cut: NoDeeperThan("0.0050")),
    clean_up_allowance: "0.0010",
    barrel_expansion_ppm: 11.5,
    parts: [
        (reference: "201", description: "piston skirt", kind: Shaft, new: ("5.1130", "5.1140"), serviceable: At("5.1120")),
        (reference: "202", description: "pin bore", kind: Hole, new: ("1.1250", "1.1254"), serviceable: OverNew("0.0005")),
        (reference: "203", description: "pin", kind: Shaft, size: Standard, new: ("1.1244", "1.1248"), serviceable: At("1.1240")),
    ],
    fits: [
        (reference: "301", description: "skirt in bore", kind: SkirtInBore, shaft: "201", new: ("0.0110 L", "0.0140 L"), serviceable: At("0.0200 L")),
        (reference: "302", description: "pin in piston", kind: PinInPiston, hole: "202", shaft: "203", new: ("0.0002 L", "0.0010 L"), serviceable: At("0.0015 L")),
        (reference: "303", description: "pin in bushing", kind: PinInBushing, new: ("0.0003 T", "0.0002 L"), serviceable: At("0.0010 L")),
    ],
    ring_gaps: [
        (reference: "401", description: "top ring", new: ("0.020", "0.030"), serviceable: At("0.045")),
        (reference: "402", description: "second ring", new: ("0.018", "0.028"), serviceable: At("0.045")),
        (reference: "403", description: "oil ring", new: ("0.015", "0.026"), serviceable: At("0.045")),
    ],
    piston_weight_spread: (most: "0.50 oz"),
    findings: [(kind: FinDamaged, answer: Repair, repairable_to: "0.50")],
)"#;

const ARMY: &str = include_str!("../../../../tests/fixtures/army_tm_9_2815_220_24.ron");

fn clean() -> TableOfLimits {
    let reported = file::limits_from_text(CLEAN, None);
    assert!(reported.diagnostics.is_empty(), "{:?}", reported.diagnostics);
    reported.value.unwrap()
}

fn value(text: &str) -> Value {
    Value::from(text)
}

fn pair(least: &str, most: &str) -> (Value, Value) {
    (value(least), value(most))
}

/// What is told after a change to the clean table.
fn after(change: impl FnOnce(&mut TableOfLimits)) -> Vec<Diagnostic> {
    let mut table = clean();
    change(&mut table);
    validate(&table)
}

/// Exactly one thing is told after the change, and it names the place and the words.
#[track_caller]
fn one(severity: Severity, path: &str, words: &str, change: impl FnOnce(&mut TableOfLimits)) {
    let reported = after(change);
    let only = crate::diag::only(&reported, severity, path, words);
    assert!(!only.place.is_empty() && !only.message.is_empty(), "{only}");
}

#[track_caller]
fn error(path: &str, words: &str, change: impl FnOnce(&mut TableOfLimits)) {
    one(Severity::Error, path, words, change);
}

#[track_caller]
fn note(path: &str, words: &str, change: impl FnOnce(&mut TableOfLimits)) {
    one(Severity::Note, path, words, change);
}

/// Nothing is told after the change.
#[track_caller]
fn silent(change: impl FnOnce(&mut TableOfLimits)) {
    let reported = after(change);
    assert!(reported.is_empty(), "{:#?}", reported.iter().map(ToString::to_string).collect::<Vec<_>>());
}

#[test]
fn a_clean_table_has_nothing_to_tell() {
    silent(|_| {});
}

#[test]
fn a_published_table_has_no_error() {
    // US Army TM 9-2815-220-24, WP 0135: five bore rows in inches and millimetres, out-of-round and taper
    // (grade P). A fixture for tests, not limits for any engine you meet.
    let reported = file::limits_from_text(ARMY, None);
    let table = reported.value.unwrap();
    assert_eq!(table.bore.len(), 5);
    assert_eq!(validate(&table), []);
}

/// The misprints of published tables, each in a row like the one it was printed in.
mod published {
    use super::*;

    #[test]
    fn a_lost_zero_in_the_inch_column() {
        // US Army TM 5-3895-369-14: out-of-round "0.00015 in (0.038 mm)".
        error("out_of_round.serviceable", "0.0015 in", |table| {
            let row = table.out_of_round.as_mut().unwrap();
            row.new = None;
            row.serviceable = Some(Limit::At(value("0.00015 in (0.038 mm)")));
        });
    }

    #[test]
    fn a_wrong_digit_in_a_maximum() {
        // US Army TM 10-4320-310-14: "2.8740-2.8774 in (73.00-73.01 mm)".
        error("parts[2].new[1]", "One digit may be wrong: 2.8744 in", |table| {
            table.fits.clear();
            table.parts[2].new = pair("2.8740 in (73.00 mm)", "2.8774 in (73.01 mm)");
            table.parts[2].serviceable = Some(Limit::At(value("2.8730")));
        });
    }

    #[test]
    fn millimetres_of_another_nominal_size() {
        // US Army TM 9-6115-670-14&P: "3.740 in (90 mm)".
        error("parts[1].new[0]", "3.740 in is 95 mm, but 90 mm is printed, which is 3.543 in", |table| {
            table.fits.clear();
            table.parts[1].new = pair("3.740 in (90 mm)", "3.745 in");
        });
    }

    #[test]
    fn exchanged_digits_in_a_minimum() {
        // US Army TM 9-2815-205-24: minimum and maximum "4.53665/4.36755 in".
        error("parts[1].new", "Two digits may be exchanged: 4.35665 in would be in order", |table| {
            table.fits.clear();
            table.parts[1].new = pair("4.53665", "4.36755");
        });
    }

    #[test]
    fn a_lost_zero_in_the_millimetre_column() {
        // US Army TM 9-2815-224-34&P: "0.001 in (0.25 mm)".
        error("out_of_round.new", "0.025 mm would agree", |table| {
            table.out_of_round.as_mut().unwrap().new = Some(value("0.001 in (0.25 mm)"));
        });
    }

    #[test]
    fn a_zero_too_many_in_the_millimetre_column() {
        // US Army TM 9-4310-397-14: "0.006 in (0.015 mm)".
        error("step.serviceable", "0.15 mm would agree", |table| {
            table.step.as_mut().unwrap().serviceable = Some(value("0.006 in (0.015 mm)"));
        });
    }

    #[test]
    fn a_minimum_above_its_maximum() {
        // US Army TM 9-2320-364-34-4: valve "stem minimum 0.310, maximum 0.309 in".
        error("parts[2].new", "Minimum and maximum may be exchanged", |table| {
            table.fits.clear();
            table.parts[2].new = pair("0.310", "0.309");
            table.parts[2].serviceable = Some(Limit::At(value("0.308")));
        });
    }
}

#[test]
fn columns_agree_to_half_a_unit_of_the_coarser_last_place() {
    let with = |text: &'static str| {
        move |table: &mut TableOfLimits| table.step.as_mut().unwrap().serviceable = Some(value(text))
    };
    // 0.002 in is 0.0508 mm. Half of the last place of 0.05 mm is 0.005 mm, of 0.002 in 0.0127 mm.
    silent(with("0.002 in (0.05 mm)"));
    note(
        "step.serviceable",
        "finer one: 0.0635 mm. The one in front counts, and is 0.0508 mm",
        with("0.002 in (0.0635 mm)"),
    );
    // A maker's table converts 96.96 mm to 3.82 in, which is 97.03 mm (the digits from memory).
    note("step.serviceable", "write 96.96 mm in front", with("3.82 in (96.96 mm)"));
    silent(with("96.96 mm (3.82 in)"));
    error("step.serviceable", "columns disagree", with("0.002 in (0.0636 mm)"));
    silent(with("0.0020 in (0.051 mm)"));
    error("step.serviceable", "exchanged: 0.0508 mm", with("0.0020 in (0.0580 mm)"));
    error("step.serviceable", "is not a length", with("two thou"));
    error("step.serviceable", "negative", with("-0.0020"));
    error("step.serviceable", "step, table 3", |table| {
        let row = table.step.as_mut().unwrap();
        row.serviceable = Some(Value { text: "0.002 in (0.5 mm)".into(), place: "table 3".into() });
    });
}

#[test]
fn the_heading_is_complete() {
    error("format", "known is 1", |table| table.format = 3);
    error("identity", "blank", |table| table.identity = " ".into());
    error("revision", "blank", |table| table.revision.clear());
    error("engine", "blank", |table| table.engine.clear());
    let manual =
        |document: &str| Source::Manual { document: document.into(), dated: None, copied_by: String::new() };
    error("source.document", "none is named", |table| table.source = manual(" "));
    silent(|table| table.source = manual("Overhaul manual 12"));
    note("source.remark", "illustrative", |table| {
        table.source = Source::Illustrative { remark: String::new() }
    });
    error("stroke", "nothing", |table| table.stroke = Some(value("0")));
    error("cylinders", "at least one", |table| table.cylinders = Some(0));
    for ppm in [f64::NAN, f64::INFINITY, -1.0, 0.000_011_5, 11_500.0] {
        error("barrel_expansion_ppm", "out of the question", |table| table.barrel_expansion_ppm = Some(ppm));
    }
    error("parts[0].expansion_ppm", "about 11.5 for steel", |table| {
        table.parts[0].expansion_ppm = Some(0.000023)
    });
}

#[test]
fn stations_have_names_depths_and_an_order() {
    error("stations[2].name", "Two stations", |table| {
        table.stations[2].name = "B".into();
        table.taper.as_mut().unwrap().stations.clear();
        table.choke = None;
    });
    error("stations[3].name", "no name", |table| {
        table.stations[3].name.clear();
        table.taper.as_mut().unwrap().stations.pop();
    });
    error("stations[2].depth", "same depth", |table| table.stations[2].depth = value("0.60"));
    error("stations[2].depth", "is not a length", |table| table.stations[2].depth = value("middle"));
    error("stations[2].role", "farther from the head than station D (base end)", |table| {
        table.stations[2].depth = value("5.10");
    });
    silent(|table| table.stations.swap(0, 3));
    let reported = after(|table| table.stations[0].depth = value("-0.20"));
    assert!(reported[0].message.contains("beyond the head end"), "{}", reported[0]);
    let reported = after(|table| table.stations.clear());
    assert!(
        reported.iter().any(|reported| reported.message == "There is no station." && reported.is_error())
    );
    let reported = after(|table| table.stations = vec![table.stations[0].clone(); 41]);
    assert!(reported.iter().any(|reported| reported.message.contains("no table has more than 40")));
}

#[test]
fn depths_from_the_base_end_are_turned_round() {
    let reported = after(|table| table.datum = Datum::BaseEnd);
    assert!(
        reported.iter().any(|reported| reported.message.contains("farther from the head")),
        "{reported:?}"
    );
    silent(|table| {
        table.datum = Datum::BaseEnd;
        table.ring_travel = Some(pair("5.50", "0.80"));
        for (station, depth) in table.stations.iter_mut().zip(["5.80", "5.40", "3.50", "1.00"]) {
            station.depth = value(depth);
        }
    });
}

#[test]
fn axes_have_labels_and_directions() {
    error("axes[2].label", "Two axes have this label", |table| table.axes[2].label = "pin".into());
    error("axes[2].label", "no label", |table| table.axes[2].label = String::new());
    error("axes[2].degrees", "the same direction is 45", |table| table.axes[2].degrees = 225.0);
    error("axes[2].degrees", "no direction", |table| table.axes[2].degrees = f64::NAN);
    error("axes[2].degrees", "no direction", |table| table.axes[2].degrees = 180.0);
    error("axes[2].degrees", "same direction", |table| table.axes[2].degrees = 90.0);
    note("axes", "right angles", |table| table.axes[1].degrees = 60.0);
    error("axes", "only one axis must be measured", |table| table.axes[1].optional = true);
    error("axes", "There is no axis", |table| table.axes.clear());
    error("axes", "no table has more than 12", |table| table.axes = vec![table.axes[0].clone(); 13]);
}

#[test]
fn ring_travel_is_in_order_and_fits_the_roles() {
    error("ring_travel", "not nearer the head", |table| table.ring_travel = Some(pair("5.20", "0.50")));
    error("stations[0].role", "within the ring travel", |table| {
        table.ring_travel = Some(pair("0.10", "5.20"))
    });
    error("stations[1].role", "above the ring travel", |table| {
        table.ring_travel = Some(pair("0.70", "5.20"))
    });
    note("stations[3].role", "below the ring travel", |table| table.ring_travel = Some(pair("0.50", "4.90")));
    silent(|table| table.stations[3].role = StationRole::BaseEnd);
    error("stations[3].role", "`below ring travel`", |table| {
        table.stations[3].role = StationRole::BelowRingTravel
    });
    error("taper.serviceable", "does not give the ring travel", |table| table.ring_travel = None);
}

#[test]
fn rows_find_the_stations_they_need() {
    let role = |index: usize, role| move |table: &mut TableOfLimits| table.stations[index].role = role;
    error("step", "above ring travel and one at the top", |table| {
        table.stations.remove(0);
    });
    let reported = after(role(3, StationRole::RunningSurface));
    assert_eq!(reported.iter().map(|reported| reported.path.to_string()).collect::<Vec<_>>(), ["choke"]);
    error("taper.stations[1]", "There is no station c", |table| {
        table.taper.as_mut().unwrap().stations[1] = "c".into();
    });
    error("taper.stations[1]", "named twice", |table| table.taper.as_mut().unwrap().stations[1] = "B".into());
    error("taper.stations", "two stations", |table| table.taper.as_mut().unwrap().stations.truncate(1));
    note("taper.stations", "choked by design", |table| table.taper.as_mut().unwrap().stations.clear());
    silent(|table| {
        table.taper.as_mut().unwrap().stations.clear();
        table.choke = None;
    });
    error("taper", "one of the base end", |table| {
        table.taper.as_mut().unwrap().stations.clear();
        table.choke = None;
        table.stations[3].role = StationRole::RunningSurface;
    });
    error("taper", "two stations within", |table| {
        table.taper.as_mut().unwrap().stations.clear();
        table.choke = None;
        table.stations.truncate(2);
    });
}

#[test]
fn limits_stand_beyond_new() {
    error("bore[0].serviceable", "would reject a new part: new it may have 5.1270 in", |table| {
        table.bore.truncate(1);
        table.bore[0].serviceable = Some(Limit::At(value("5.1260")));
    });
    silent(|table| {
        table.bore.truncate(1);
        table.bore[0].serviceable = Some(Limit::At(value("5.1270")));
    });
    error("parts[0].serviceable", "its limit is a smallest", |table| {
        table.parts[0].serviceable = Some(Limit::At(value("5.1150")));
    });
    error("parts[1].serviceable", "its limit is a largest", |table| {
        table.parts[1].serviceable = Some(Limit::At(value("1.1240")));
    });
    error("fits[2].serviceable", "would reject", |table| {
        table.fits[2].serviceable = Some(Limit::At(value("0.0001 T")));
    });
    error("ring_gaps[0].serviceable", "would reject", |table| {
        table.ring_gaps[0].serviceable = Some(Limit::At(value("0.0045")));
    });
    error("out_of_round.serviceable", "would reject", |table| {
        table.out_of_round.as_mut().unwrap().serviceable = Some(Limit::At(value("0.0005")));
    });
    error("taper.serviceable", "magnitude", |table| {
        let row = table.taper.as_mut().unwrap();
        row.new = None;
        row.serviceable = Some(Limit::At(value("-0.0020")));
    });
    error("parts[1].serviceable", "negative", |table| {
        table.parts[1].serviceable = Some(Limit::OverNew(value("-0.0005")));
    });
    error("taper.serviceable", "negative", |table| {
        table.taper.as_mut().unwrap().serviceable = Some(Limit::PerBore(value("-0.0005")));
    });
    error("taper.serviceable", "has no unit", |table| {
        table.taper.as_mut().unwrap().serviceable = Some(Limit::PerBore(value("0.0005 in")));
    });
    error("choke.new", "larger than the maximum", |table| {
        table.choke.as_mut().unwrap().new = Some(pair("0.0030", "0.0010"));
    });
    error("choke.least", "takes choke away", |table| {
        table.choke.as_mut().unwrap().least = Some(value("0.0015"))
    });
}

#[test]
fn a_blank_limit_is_a_note_on_every_row() {
    let blank = "it will not count as a pass";
    note("bore[1].serviceable", blank, |table| table.bore[1].serviceable = None);
    note("taper.serviceable", blank, |table| table.taper.as_mut().unwrap().serviceable = None);
    note("out_of_round.serviceable", blank, |table| table.out_of_round.as_mut().unwrap().serviceable = None);
    note("choke.least", blank, |table| table.choke.as_mut().unwrap().least = None);
    note("step.serviceable", blank, |table| table.step.as_mut().unwrap().serviceable = None);
    note("parts[1].serviceable", blank, |table| table.parts[1].serviceable = None);
    note("fits[1].serviceable", blank, |table| table.fits[1].serviceable = None);
    note("ring_gaps[1].serviceable", blank, |table| table.ring_gaps[1].serviceable = None);
}

#[test]
fn the_ladder_has_even_steps() {
    error("bore[1].new[1]", "which is 5.1370 in", |table| table.bore[1].new.1 = value("5.1360"));
    let reported = after(|table| table.bore[1].new.0 = value("5.1530"));
    assert!(reported.iter().any(|reported| reported.path.to_string() == "bore[1].new[0]"
        && reported.is_error()
        && reported.place == "bore row oversize 0.010, reference 102"));
    note("bore[1].serviceable", "where it would be 5.1400 in", |table| {
        table.bore[1].serviceable = Some(Limit::At(value("5.1390")));
    });
    silent(|table| {
        table.bore[0].serviceable = Some(Limit::OverNew(value("0.0030")));
        table.bore[1].serviceable = Some(Limit::OverNew(value("0.0030")));
    });
    error("bore[1].size", "is not a length", |table| table.bore[1].size = Size::Oversize("ten".into()));
    error("bore[1].size", "more than nothing", |table| table.bore[1].size = Size::Oversize("0".into()));
    error("bore[1].size", "not the finished size", |table| {
        table.wall.cut = Cut::Allowed;
        table.bore[1].size = Size::Oversize("5.135".into());
    });
    error("bore[3].size", "Two rows are for this size", |table| {
        let mut again = table.bore[1].clone();
        again.size = Size::Oversize("0.254 mm".into());
        table.bore.push(again);
    });
    let reported = after(|table| {
        table.bore.remove(0);
    });
    assert!(
        reported
            .iter()
            .any(|reported| reported.is_error() && reported.message.contains("no row for the standard bore"))
    );
    for (least, most) in [("0.0012", "0.0013"), ("130.175", "130.225")] {
        let reported = after(|table| {
            table.bore.truncate(1);
            table.bore[0].new = pair(least, most);
            table.bore[0].serviceable = Some(Limit::OverNew(value("0.0030")));
        });
        assert!(
            reported.iter().any(|reported| reported.is_error() && reported.remedy.contains("meant in mm")),
            "{reported:?}"
        );
    }
}

#[test]
fn the_wall_bounds_the_ladder() {
    note("bore[1].size", "deeper than the 0.00495 in", |table| {
        table.wall.cut = Cut::NoDeeperThan(value("0.00495"))
    });
    note("wall.cut", "nitrided case", |table| {
        table.wall = Wall { surface: Surface::Nitrided, cut: Cut::Allowed };
    });
    silent(|table| table.wall.cut = Cut::Allowed);
    let reported = after(|table| table.wall.cut = Cut::NotAllowed);
    assert_eq!(reported.len(), 2);
    assert!(reported.iter().all(
        |reported| reported.severity == Severity::Note && reported.message.contains("not be cut at all")
    ));
}

#[test]
fn parts_and_pairs_go_together() {
    error("parts[2].reference", "Two parts", |table| {
        table.fits[1].shaft = None;
        table.fits[1].hole = None;
        table.parts[2].reference = "201".into();
        table.parts[2].size = None;
    });
    error("parts[2].reference", "no reference number", |table| {
        table.fits[1].shaft = None;
        table.parts[2].reference.clear();
    });
    error("parts[2].size", "no row for", |table| table.parts[2].size = Some(Size::Oversize("0.020".into())));
    silent(|table| table.parts[2].size = Some(Size::Oversize("0.0100".into())));
    error("parts[2].size", "is not a length", |table| table.parts[2].size = Some(Size::Oversize("x".into())));
    error("fits[1].hole", "Write `202` if that is meant", |table| table.fits[1].hole = Some("2O2".into()));
    // The hole of a skirt is the bore, and of nothing else.
    silent(|table| table.fits[0].hole = Some(table.bore[0].reference.clone()));
    error("fits[0].shaft", "no part", |table| table.fits[0].shaft = Some(table.bore[0].reference.clone()));
    error("fits[1].hole", "no part", |table| table.fits[1].hole = Some(table.bore[0].reference.clone()));
    error("fits[1].hole", "is a shaft", |table| table.fits[1].hole = Some("203".into()));
    error("fits[1].shaft", "is a hole", |table| table.fits[1].shaft = Some("202".into()));
    error("fits[2].reference", "Two rows", |table| table.fits[2].reference = "301".into());
    error("ring_gaps[2].reference", "no reference number", |table| table.ring_gaps[2].reference.clear());
    note("fits[1].new[1]", "0.0010 in", |table| table.fits[1].new.1 = value("0.0012 L"));
    note("fits[0].new[0]", "independent requirements", |table| table.fits[0].new.0 = value("0.0100 L"));
    note("ring_gaps[2].new", "far narrower", |table| table.ring_gaps[2].new = pair("0.0250", "0.0260"));
    error("ring_gaps[2].new[0]", "seizes", |table| table.ring_gaps[2].new = pair("0", "0.010"));
}

#[test]
fn findings_are_answered_once() {
    error("findings[1].kind", "answered twice", |table| table.findings.push(table.findings[0].clone()));
    error("findings[0].repairable_to", "is not a length", |table| {
        table.findings[0].repairable_to = Some(value("half"));
    });
    error("piston_weight_spread.most", "is not a weight", |table| {
        table.piston_weight_spread.as_mut().unwrap().most = "0.50".into();
    });
    error("clean_up_allowance", "negative", |table| table.clean_up_allowance = value("-0.001"));
}

#[test]
fn a_table_within_a_record_is_told_with_the_way_to_it() {
    let mut table = clean();
    table.stroke = Some(value("0"));
    let reported = validate_within(&table, &FieldPath::default().field("tables").element(1));
    assert_eq!(
        reported.iter().map(|reported| reported.path.to_string()).collect::<Vec<_>>(),
        ["tables[1].stroke"]
    );
}

#[test]
fn errors_come_first() {
    let reported = after(|table| {
        table.bore[0].serviceable = None;
        table.ring_gaps[0].reference = "402".into();
    });
    let severities: Vec<_> = reported.iter().map(|reported| reported.severity).collect();
    assert_eq!(severities, [Severity::Error, Severity::Note]);
}

#[test]
fn a_table_of_absurd_length_takes_little_time() {
    let reported = after(|table| {
        table.parts = vec![table.parts[0].clone(); 100_000];
        table.fits = vec![table.fits[1].clone(); 100_000];
        table.bore = vec![table.bore[1].clone(); 100_000];
        table.stations = vec![table.stations[1].clone(); 100_000];
        table.axes = vec![table.axes[1].clone(); 100_000];
        table.taper.as_mut().unwrap().stations = vec!["x".into(); 100_000];
    });
    assert!(reported.len() < 100, "{}", reported.len());
}

proptest! {
    #[test]
    fn no_text_panics(texts in proptest::collection::vec("\\PC{0,12}|[0-9]{0,14}[.][0-9]{0,40}|[0-9]{1,3}\\.[0-9]{1,5} in \\([0-9]{1,4}\\.[0-9]{1,4} mm\\)", 10)) {
        let mut table = clean();
        let mut next = texts.iter().map(|text| Value::from(text.as_str())).cycle();
        let mut take = || next.next().unwrap();
        table.bore[0].new = (take(), take());
        table.bore[1].size = Size::Oversize(take().text);
        table.bore[1].serviceable = Some(Limit::At(take()));
        table.stations[0].depth = take();
        table.ring_travel = Some((take(), take()));
        table.parts[1].new = (take(), take());
        table.fits[1].new = (take(), take());
        table.wall.cut = Cut::NoDeeperThan(take());
        table.taper.as_mut().unwrap().serviceable = Some(Limit::PerBore(take()));
        for reported in validate(&table) {
            prop_assert!(!reported.message.is_empty());
        }
    }
}
