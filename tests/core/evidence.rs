//! What is not known never passes: evidence that is missing, unreadable or contradicts itself holds the outcome
//! back. All records here are invented.

use judging::row::RowStatus;
use judging::{Assessment, Need, Recommendation};
use records::file;
use records::limits::validate;
use records::record::schema::EngineRecord;
use records::record::{check, resolve};
use records::survey::Survey;

/// A sound barrel read with a dial gauge on a ring, and one optional third axis.
const SOUND: &str = r#"EngineRecord(format: 2, engine: (model: "m", serial: "s"), overhauls: [(date: "2026-05-14",
 total_hours: 1.0, inspector: (name: "A", certificate: "c"), limits: (identity: "X", revision: "A"),
 standards: [(name: "ring", size: "5.1250", calibration: (expanded_uncertainty: "0.0001", k: 2.0, dof: 50.0), expansion_ppm: 11.5)],
 gauges: [(name: "dial", reads: Graduations, zeroed_on: "ring", graduation: "0.0001", turn: "0.0100",
   calibration: (expanded_uncertainty: "0.0001", k: 2.0), repeatability: (standard_deviation: "0.0001", dof: 9.0),
   expansion_ppm: 11.5, further: [(source: "contact", half_width: "0.00005", distribution: Normal(k: 2.0), dof: 8.0)])],
 temperatures: (barrel: 21.0, gauge: 20.0, within: 1.0, barrel_expansion_ppm: 11.5, expansion_within_ppm: 1.0, correct_readings: true),
 cylinders: [(position: "1", serial: "C1", looked_over: true, size: Standard, finished_to: "5.1252",
   findings: [(kind: LightRust, degrees: 90.0)],
   readings: [(station: "A", axis: "pin", entered: ["+14"]), (station: "A", axis: "thrust", entered: ["+15"]),
     (station: "B", axis: "pin", entered: ["+12"]), (station: "B", axis: "thrust", entered: ["+11"])])])],
 tables: [TableOfLimits(format: 1, identity: "X", revision: "A", engine: "an invented engine",
 source: Illustrative(remark: "invented"), unit: Inch,
 stations: [(name: "A", depth: "1.0", role: HeadEnd), (name: "B", depth: "5.0", role: BaseEnd)],
 axes: [(label: "pin", degrees: 0), (label: "thrust", degrees: 90), (label: "45", degrees: 45, optional: true)],
 bore: [(size: Standard, reference: "1", new: ("5.1250", "5.1265"), serviceable: At("5.1290")),
        (size: Oversize("0.010"), reference: "2", new: ("5.1350", "5.1365"), serviceable: At("5.1390"))],
 taper: (rule: AxisAverages, serviceable: At("0.0020")),
 out_of_round: (rule: PerStation, serviceable: At("0.0020")),
 wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0.0005")])"#;

/// The record with one text replaced by another.
#[track_caller]
fn with(from: &str, to: &str) -> EngineRecord {
    assert_eq!(SOUND.matches(from).count(), 1, "`{from}` must stand there once");
    let reported = file::record_from_text(&SOUND.replace(from, to), None);
    reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics))
}

/// The survey, and what its only cylinder comes to.
fn judged(record: &EngineRecord) -> (Survey, Assessment) {
    let survey = resolve::survey(record, 0, None).value.unwrap();
    let assessment = judging::assess(&survey.cylinders[0], &survey);
    (survey, assessment)
}

#[test]
fn the_sound_record_passes() {
    let record = file::record_from_text(SOUND, None).value.unwrap();
    let reported = resolve::survey(&record, 0, None).diagnostics;
    assert!(
        reported.iter().chain(&check::check(&record)).all(|reported| !reported.is_error()),
        "{reported:?}"
    );
    assert_eq!(judged(&record).1.recommendation, Recommendation::Serviceable);
}

/// Whatever `check` calls an error of a gauge, its standard or the temperatures takes the readings out: there is no
/// diameter, no figure and no clean-up from them, and the error is told where the outcome is.
#[test]
fn readings_of_a_gauge_with_an_error_are_not_judged() {
    let wrong = [
        ("graduation: \"0.0001\", turn", "turn"),
        ("graduation: \"0.0001\"", "graduation: \"fine\""),
        ("graduation: \"0.0001\"", "graduation: \"-0.0001\""),
        ("turn: \"0.0100\"", "turn: \"one\""),
        ("zeroed_on: \"ring\", ", ""),
        ("zeroed_on: \"ring\"", "zeroed_on: \"rung\""),
        ("size: \"5.1250\"", "size: \"5,12,50\""),
        ("k: 2.0, dof: 50.0", "k: 0.0"),
        ("dof: 50.0", "dof: -1.0"),
        ("(expanded_uncertainty: \"0.0001\", k: 2.0)", "(expanded_uncertainty: \"small\", k: 2.0)"),
        ("standard_deviation: \"0.0001\"", "standard_deviation: \"good\""),
        ("dof: 9.0", "dof: 0.0"),
        ("expansion_ppm: 11.5)],\n gauges", "expansion_ppm: 0.0000115)],\n gauges"),
        ("expansion_ppm: 11.5, further", "expansion_ppm: 115.0, further"),
        ("half_width: \"0.00005\"", "half_width: \"tiny\""),
        ("Normal(k: 2.0)", "Normal(k: -2.0)"),
        ("dof: 8.0", "dof: 0.0"),
        ("barrel: 21.0", "barrel: 200.0"),
        ("gauge: 20.0", "gauge: -60.0"),
        ("within: 1.0, barrel", "within: -1.0, barrel"),
        ("barrel_expansion_ppm: 11.5", "barrel_expansion_ppm: 115.0"),
        ("expansion_within_ppm: 1.0", "expansion_within_ppm: -1.0"),
    ];
    for (from, to) in wrong {
        let record = with(from, to);
        let errors = resolve::survey(&record, 0, None).diagnostics;
        assert!(errors.iter().any(|reported| reported.is_error()), "no error for `{to}`");
        let (survey, assessment) = judged(&record);
        assert!(survey.cylinders[0].bore.is_empty(), "a diameter from `{to}`");
        assert_eq!(assessment.recommendation, Recommendation::NotDecided, "{to}");
        assert!(assessment.needs.iter().any(|need| matches!(need, Need::Unreadable(_))), "{to}");
        assert!(assessment.oversizes.is_empty() && assessment.rows.iter().all(|row| row.figure.is_none()));
    }
}

/// The same readings, whichever order the gauges are in and whether one of them was used or not.
#[test]
fn an_unused_gauge_changes_nothing() {
    let with_gauges = |gauges: &str| {
        let text = SOUND
            .replace("gauges: [(", &format!("gauges: [{gauges}("))
            .replace("entered", "gauge: \"dial\", entered");
        let (survey, assessment) = judged(&file::record_from_text(&text, None).value.unwrap());
        (survey.cylinders[0].bore.mean(records::bore::Point::new(0, 0)), assessment.recommendation)
    };
    let alone = with_gauges("");
    for unused in [
        r#"(name: "micrometer", reads: Diameter, graduation: "0.001", expansion_ppm: 23.0),"#,
        r#"(name: "broken", reads: Graduations),"#,
    ] {
        assert_eq!(with_gauges(unused), alone, "{unused}");
    }
}

/// Two gauges or standards of one name: nobody knows which of them was used.
#[test]
fn what_goes_by_one_name_is_not_judged_by() {
    for (from, to) in [
        ("gauges: [(", "gauges: [(name: \"dial\", reads: Diameter), ("),
        ("standards: [(", "standards: [(name: \"ring\", size: \"5.1350\"), ("),
    ] {
        let (survey, assessment) = judged(&with(from, to));
        assert!(survey.cylinders[0].bore.is_empty());
        assert_eq!(assessment.recommendation, Recommendation::NotDecided, "{to}");
    }
}

/// Whatever `check` calls an error of a cylinder holds its outcome back.
#[test]
fn an_error_of_a_cylinder_holds_it_back() {
    let twin = r#"(position: "1", serial: "C2"), (position: "1", serial: "C1""#;
    let wrong = [
        ("size: Standard, finished_to", "size: Oversize(\"0.5\"), finished_to"),
        ("finished_to: \"5.1252\"", "finished_to: \"-5.1252\""),
        ("finished_to: \"5.1252\"", "finished_to: \"51.252\""),
        ("finished_to: \"5.1252\"", "finished_to: \"new\""),
        ("degrees: 90.0", "degrees: 900.0"),
        ("(position: \"1\", serial: \"C1\"", twin),
        ("entered: [\"+14\"]", "entered: []"),
        ("entered: [\"+14\"]", "entered: [\"+1x\"]"),
        ("entered: [\"+14\"]", "entered: [\"+999999\"]"),
        ("station: \"B\", axis: \"thrust\"", "station: \"B\", axis: \"pin\""),
    ];
    for (from, to) in wrong {
        let record = with(from, to);
        let survey = resolve::survey(&record, 0, None).value.unwrap();
        for cylinder in &survey.cylinders {
            let assessment = judging::assess(cylinder, &survey);
            assert_eq!(assessment.recommendation, Recommendation::NotDecided, "{to}: {}", cylinder.words());
        }
    }
}

/// A row that compares two axes is missing where one was measured, and `check` calls the table wrong.
#[test]
fn out_of_round_of_one_axis_is_missing() {
    let one = with(
        "(label: \"thrust\", degrees: 90), (label: \"45\", degrees: 45, optional: true)",
        "(label: \"thrust\", degrees: 90, optional: true), (label: \"45\", degrees: 45, optional: true)",
    );
    let errors: Vec<_> = validate::validate(&one.tables[0]).into_iter().filter(|t| t.is_error()).collect();
    assert!(
        errors.iter().any(|error| error.message.contains("only one axis must be measured")),
        "{errors:?}"
    );
    // The second axis was read, so there is nothing to ask.
    assert_eq!(judged(&one).1.recommendation, Recommendation::Serviceable);
    let mut half = one.clone();
    half.overhauls[0].cylinders[0].readings.retain(|reading| reading.axis == "pin");
    let (_, assessment) = judged(&half);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
    assert!(
        matches!(&assessment.needs[..], [Need::Measure(points)] if points.len() == 2),
        "{:?}",
        assessment.needs
    );
    // A table with one axis alone has no place for a second reading.
    let mut alone = half;
    alone.tables[0].axes.truncate(1);
    let (_, assessment) = judged(&alone);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
    assert!(matches!(assessment.needs[..], [Need::Impossible(_)]), "{:?}", assessment.needs);
}

/// What was entered and cannot be used is to be corrected: nobody is asked to measure it, as if it were missing.
#[test]
fn what_was_entered_is_not_asked_for_again() {
    for (from, to) in
        [("graduation: \"0.0001\"", "graduation: \"0\""), ("entered: [\"+14\"]", "entered: [\"+1x\"]")]
    {
        let (survey, assessment) = judged(&with(from, to));
        assert!(!survey.cylinders[0].unread.is_empty(), "{to}");
        let asks = |need: &Need| matches!(need, Need::Measure(_));
        assert!(!assessment.needs.iter().any(asks), "{to}: {:?}", assessment.needs);
        assert!(
            survey.cylinders[0].unread_words().is_some_and(|words| words.starts_with("Correct this first"))
        );
    }
}

/// The sound record with rows of parts, a skirt in a bore of 5.1250 and a ring.
fn with_parts(cylinder: &str) -> EngineRecord {
    let parts = r#"fits: [(reference: "30", description: "skirt in bore", kind: SkirtInBore, hole: "1", new: ("0.0100 L", "0.0130 L"), serviceable: At("0.0180 L"))],
 ring_gaps: [(reference: "40", description: "top ring", new: ("0.0200", "0.0400"), serviceable: At("0.0500"))],
 wall: (surface"#;
    let text =
        SOUND.replace("wall: (surface", parts).replace("readings: [", &format!("{cylinder} readings: ["));
    let reported = file::record_from_text(&text, None);
    reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics))
}

/// The table names the row of the bore as the skirt's hole, as its schema allows.
#[test]
fn what_was_measured_of_parts_once_is_judged() {
    let record = with_parts(
        r#"fits: [(row: "30", shaft: "5.1120")], ring_gaps: [(row: "40", gap: "0.0300", station: "B")],"#,
    );
    assert!(validate::validate(&record.tables[0]).iter().all(|reported| !reported.is_error()));
    let (_, assessment) = judged(&record);
    assert!(
        assessment
            .fits
            .iter()
            .all(|row| row.status == RowStatus::WithinServiceable || row.status == RowStatus::WithinNew)
    );
}

/// Neither of two clearances or gaps of one row counts: one of them would be judged without a word.
#[test]
fn what_is_written_twice_of_parts_is_an_error_and_not_judged() {
    for (twice, path, place) in [
        (r#"fits: [(row: "30", shaft: "5.1120"), (row: "30", shaft: "5.1050")],"#, "fits[1].row", "fit 30"),
        (
            r#"ring_gaps: [(row: "40", gap: "0.0300", station: "B"), (row: "40", gap: "0.0600", station: "B")],"#,
            "ring_gaps[0].row",
            "ring gap 40",
        ),
    ] {
        let record = with_parts(twice);
        let reported = resolve::survey(&record, 0, None).diagnostics;
        let reported: Vec<_> = reported.iter().filter(|reported| reported.is_error()).collect();
        assert_eq!(reported.len(), 2, "{reported:?}");
        assert!(reported.iter().any(|reported| reported.path.to_string().ends_with(path)), "{reported:?}");
        assert!(
            reported
                .iter()
                .all(|reported| reported.place.contains(place) && reported.message.contains("written twice"))
        );
        let (_, assessment) = judged(&record);
        assert!(assessment.fits.iter().all(|row| row.status == RowStatus::NotMeasured));
        assert_eq!(
            assessment.recommendation,
            Recommendation::Serviceable,
            "parts do not decide over the barrel"
        );
    }
}
