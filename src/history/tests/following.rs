//! What does not cut a life short, what hours count from, and serial numbers that stand on several cylinders.

use super::*;
use crate::engine::latest_trend;
use crate::follow::Since;
use records::limits::rows::RowName;

/// Surveys of S-1 on engine E1: date, fields of the survey, fields of the cylinder, largest bore; nothing is
/// measured where that is empty.
fn s1(surveys: &[(&str, &str, &str, &str)]) -> String {
    let barrels: Vec<[Barrel<'_>; 1]> = surveys
        .iter()
        .map(|(_, _, fields, below)| {
            [("1", "S-1", *fields, if below.is_empty() { "" } else { "5.0002" }, *below)]
        })
        .collect();
    let surveys: Vec<_> = surveys
        .iter()
        .zip(&barrels)
        .map(|((date, fields, ..), barrels)| survey(date, fields, barrels))
        .collect();
    record("E1", &surveys, "0.8")
}

const THREE: [(&str, &str, &str, &str); 3] = [
    ("2010-06-01", "total_hours: 1000.0, hours_since_overhaul: 1000.0,", "", "5.0020"),
    ("2011-06-01", "total_hours: 2000.0,", "", "5.0040"),
    ("2012-06-01", "total_hours: 3000.0,", "", "5.0060"),
];

/// Three surveys, and then another.
fn three_and(further: (&str, &str, &str, &str)) -> Followed {
    followed(&[s1(&[&THREE[..], &[further]].concat())])
}

fn xs(trend: &Trend) -> Vec<f64> {
    trend.points.iter().map(|point| point.x).collect()
}

#[test]
fn a_survey_without_hours_is_left_out_and_ends_nothing() {
    let trend = bore(&three_and(("2013-06-01", "", "", "5.0070")));
    assert_eq!(xs(&trend), [1000.0, 2000.0, 3000.0]);
    assert!(crossing(&trend).at().is_some() || trend.reached_after().is_some(), "{:?}", trend.forecast);
    has(&trend.said, "No hours are recorded on 2013-06-01: by hours, that survey is left out.");
    has(&trend.said, "Times are counted from the survey of 2012-06-01: what it has run since is not known.");
    has(&trend.sentences(), "Latest, on 2013-06-01: largest bore 5.0070 in.");
    // It is known all the same, and counts against the limit.
    let passed = bore(&three_and(("2013-06-01", "", "", "5.0101")));
    assert_eq!((crossing(&passed), xs(&passed).len()), (Crossing::Passed, 3));
    // Between two others it leaves no gap: the total time goes on.
    let between = followed(&[s1(&[THREE[0], ("2011-06-01", "", "", "5.0040"), THREE[2]])]);
    assert_eq!(xs(&bore(&between)), [1000.0, 3000.0]);
    has_not(&bore(&between).said, "gap");
    // Without any hours there is no rate by hours, and that is what is said.
    let none = followed(&[s1(&THREE.map(|(date, _, fields, below)| (date, "", fields, below)))]);
    let none = bore(&none);
    has(&none.sentences(), "Latest, on 2012-06-01: largest bore 5.0060 in.");
    assert!(none.line.is_err());
}

#[test]
fn an_overhaul_that_was_only_added_ends_nothing() {
    for (fields, more) in [("", false), ("total_hours: 3500.0, hours_since_overhaul: 500.0,", true)] {
        let found = three_and(("2013-06-01", fields, "", ""));
        let trend = bore(&found);
        assert_eq!(xs(&trend), [1000.0, 2000.0, 3000.0]);
        assert_eq!(trend.forecast, bore(&followed(&[s1(&THREE)])).forecast);
        has(&trend.said, "Nothing is measured on 2013-06-01.");
        has_not(&trend.said, "No hours are recorded");
        assert_eq!(trend.said.iter().any(|said| said.contains("By 2013-06-01 it had run 500 h more.")), more);
        // Nor does it empty the table of the engine.
        let engine = found.engines.keys().next().unwrap();
        let stand = stand(&found, engine, &Figure::LargestBore, Time::Hours).unwrap();
        assert_eq!((stand.date.to_string().as_str(), stand.members.len()), ("2012-06-01", 1));
        assert_eq!(xs(&stand.members[0].trend).len(), 3);
    }
    // Reground at that overhaul: a new life of which nothing is known yet, and not the old one.
    let ground = three_and(("2013-06-01", "", "size: Oversize(\"0.020\"),", ""));
    let history = only(&ground);
    assert_eq!(history.lives.len(), 2);
    let shown = latest_trend(&ground, history, &Figure::LargestBore, Time::Hours).unwrap();
    assert_eq!((shown.points.len(), shown.latest()), (0, None));
    has(&bore(&ground).sentences(), "No survey gives this figure: there is no rate.");
    has(&bore(&ground).said, "its size changed from standard to +0.0200 in");
}

#[test]
fn a_new_table_without_readings_does_not_hide_the_surveys_by_the_old_one() {
    let old = s1(&THREE);
    let new =
        record("E1", &[survey("2013-06-01", "total_hours: 3500.0,", &[("1", "S-1", "", "", "")])], "0.9");
    let trend = bore(&followed(&[old, new]));
    assert_eq!(xs(&trend).len(), 3);
    assert!((trend.limit_mm().unwrap() - 5.01 * 25.4).abs() < 1e-9);
}

#[test]
fn hours_that_go_back_at_the_latest_survey_leave_the_earlier_ones_alone() {
    let trend = bore(&three_and(("2013-06-01", "total_hours: 350.0,", "", "5.0070")));
    assert_eq!(xs(&trend), [1000.0, 2000.0, 3000.0]);
    has(
        &trend.said,
        "There is a gap in its hours: the total time goes back from 3000 h on 2012-06-01 to 350 h",
    );
    has(&trend.said, "By hours, only the surveys from 2010-06-01 to 2012-06-01 count.");
    has(&trend.sentences(), "Latest, on 2013-06-01: largest bore 5.0070 in.");
}

#[test]
fn a_size_that_cannot_be_read_leaves_its_survey_out_and_ends_nothing() {
    let text =
        s1(&[&THREE[..], &[("2013-06-01", "total_hours: 3500.0,", "size: Oversize(\"0.0x0\"),", "5.0070")]]
            .concat());
    let reported = file::record_from_text(&text, None);
    let found = follow(&sheets(&reported.value.unwrap(), None).sheets);
    let history = only(&found);
    assert_eq!(history.lives.len(), 1);
    let trend = latest(history, &Figure::LargestBore);
    assert_eq!(xs(&trend), [1000.0, 2000.0, 3000.0]);
    has(&trend.said, "The size of the cylinder on 2013-06-01 is not known: that survey is left out.");
    assert!(trend.limit.is_some());
}

#[test]
fn a_finished_size_that_is_not_written_again_is_no_cut() {
    let finished = "finished_to: \"5.0004\",";
    let text = s1(&[
        ("2010-06-01", "total_hours: 1000.0, hours_since_overhaul: 1000.0,", finished, "5.0020"),
        ("2011-06-01", "total_hours: 2000.0,", "", "5.0040"),
        ("2012-06-01", "total_hours: 3000.0,", finished, "5.0060"),
    ]);
    let found = followed(&[text]);
    assert_eq!(only(&found).lives.len(), 1);
    assert_eq!(bore(&found).points.len(), 3);
    // Wear at the one in the middle is counted from the unworn bore, and that is another wear.
    let wear = latest(only(&found), &Figure::Wear);
    assert_eq!(xs(&wear), [1000.0, 3000.0]);
    has(&wear.said, "On 2011-06-01 wear is counted from another diameter than on 2012-06-01");
    // Sizes that differ by less than the table's digits do not read the same.
    let coarse = s1(&[
        ("2010-06-01", "total_hours: 1000.0,", "finished_to: \"5.00041\",", "5.0020"),
        ("2011-06-01", "total_hours: 2000.0,", "finished_to: \"5.00044\",", "5.0010"),
    ]);
    has(&only(&followed(&[coarse])).lives[1].said, "finished to is 5.00044 in and was 5.00041 in");
}

#[test]
fn hours_count_since_new_where_that_is_on_record() {
    let since = |texts: &[String], serial: &str| {
        let found = followed(texts);
        let life = found.history(serial).unwrap().lives.last().unwrap().clone();
        (life.since, life.hours.last().copied().flatten(), life.from_new)
    };
    let day = |text: &str| text.parse().unwrap();
    let one = |fields, cylinder| s1(&[("2010-06-01", fields, cylinder, "5.0020")]);
    // New with its engine; said to be, for want of an overhaul before; through an overhaul, and then not known.
    assert_eq!(
        since(&[one("total_hours: 900.0, hours_since_overhaul: 900.0,", "")], "S-1"),
        (Since::New, Some(900.0), true)
    );
    assert_eq!(since(&[one("total_hours: 900.0,", "")], "S-1"), (Since::New, Some(900.0), false));
    let taken = followed(&[one("total_hours: 900.0,", "")]);
    has(
        &bore(&taken).said,
        "It is taken to have run since its engine was new: no overhaul before 2010-06-01",
    );
    let survey_of = Since::Survey(day("2010-06-01"));
    assert_eq!(
        since(&[one("total_hours: 900.0, hours_since_overhaul: 300.0,", "")], "S-1"),
        (survey_of, Some(0.0), false)
    );
    let ground = "size: Oversize(\"0.020\"),";
    assert_eq!(since(&[one("total_hours: 900.0,", ground)], "S-1"), (survey_of, Some(0.0), false));
    assert_eq!(since(&[one("", "")], "S-1"), (survey_of, Some(0.0), false));
    // Fitted at the overhaul before, which did not have it.
    let text = record(
        "E1",
        &[
            survey("2008-06-01", "total_hours: 400.0,", &[("1", "S-0", "", "5.0002", "5.0020")]),
            survey("2010-06-01", "total_hours: 900.0,", &[("1", "S-1", "", "5.0002", "5.0020")]),
        ],
        "0.8",
    );
    assert_eq!(since(&[text], "S-1"), (Since::Fitted(day("2008-06-01")), Some(500.0), false));
}

#[test]
fn a_rebore_is_not_said_to_be_new() {
    let ground = "size: Oversize(\"0.020\"), finished_to: \"5.0203\",";
    let text = s1(&[
        ("2010-06-01", "total_hours: 1000.0,", "", "5.0060"),
        ("2012-06-01", "total_hours: 1900.0,", ground, "5.0221"),
    ]);
    let trend = bore(&followed(&[text]));
    assert_eq!(trend.since, Since::Finished);
    has(&trend.sentences(), "From its last finishing to that survey it wore 0.0018 in in 900 h");
    has_not(&trend.sentences(), "new");
}

fn vintage(engine: &str, dates: [&str; 2], below: [&str; 2]) -> String {
    let barrels = below.map(|below| ["1", "2", "3"].map(|number| (number, number, "", "5.0002", below)));
    let fields = ["total_hours: 1000.0,", "total_hours: 2000.0,"];
    let surveys: Vec<_> = (0..2).map(|i| survey(dates[i], fields[i], &barrels[i])).collect();
    record(engine, &surveys, "0.8")
}

#[test]
fn barrels_of_two_engines_with_the_same_numbers_keep_their_rows() {
    // On the same days, and between each other.
    for days in [["2010-06-01", "2012-06-01"], ["2011-06-01", "2013-06-01"]] {
        let found = followed(&[
            vintage("E1", ["2010-06-01", "2012-06-01"], ["5.0020", "5.0040"]),
            vintage("E2", days, ["5.0050", "5.0080"]),
        ]);
        assert_eq!(found.histories.len(), 6);
        has(
            &found.said,
            "The serial numbers 1, 2, 3 are on more than one engine at the same time: Test E1, Test E2. Each cylinder is followed on its own engine.",
        );
        for (engine, latest) in [("E1", "5.0040"), ("E2", "5.0080")] {
            let name = EngineName { model: "Test".into(), serial: engine.into(), ..EngineName::default() };
            let stand = stand(&found, &name, &Figure::LargestBore, Time::Hours).unwrap();
            assert_eq!(stand.members.len(), 3);
            for member in &stand.members {
                assert_eq!(xs(&member.trend), [1000.0, 2000.0]);
                has(&member.trend.sentences(), latest);
            }
            let history = found.history_on("2", &name, "2").unwrap();
            assert_eq!(history.name(), format!("2 (Test {engine})"));
            has(&history.said, "The serial number 2 is on other cylinders too");
        }
        assert_eq!((found.named("2").len(), found.history("2")), (2, None));
    }
}

#[test]
fn a_barrel_that_was_moved_is_one() {
    let found = follow(&demo_sheets(&["wexcombe_pair_b", "wexcombe_pair_a"]));
    assert_eq!((found.repeated.len(), found.named("WX-3103").len()), (0, 1));
    // There, and later back again, with an overhaul at which it could be fitted.
    let at = |engine: &str, surveys: &[(&str, &str)]| {
        let barrels: Vec<[Barrel<'_>; 1]> =
            surveys.iter().map(|(_, serial)| [("1", *serial, "", "5.0002", "5.0020")]).collect();
        let surveys: Vec<_> = surveys.iter().zip(&barrels).map(|((d, _), b)| survey(d, "", b)).collect();
        record(engine, &surveys, "0.8")
    };
    let e1 = at("E1", &[("2010-06-01", "S-1"), ("2012-06-01", "S-2"), ("2014-06-01", "S-1")]);
    let e2 = at("E2", &[("2011-06-01", "S-1"), ("2013-06-01", "S-3")]);
    assert_eq!(followed(&[e1, e2]).repeated, []);
}

#[test]
fn one_number_on_two_cylinders_of_a_survey_is_followed_at_each_position() {
    let barrels = [("1", "S-1", "", "5.0002", "5.0020"), ("3", "S-1", "", "5.0002", "5.0070")];
    let text = record(
        "E1",
        &[
            survey("2010-06-01", "total_hours: 1000.0,", &[("1", "S-1", "", "5.0002", "5.0010")]),
            survey("2012-06-01", "total_hours: 2000.0,", &barrels),
        ],
        "0.8",
    );
    // The record says so itself as well.
    let followed =
        |text: &str| follow(&sheets(&file::record_from_text(text, None).value.unwrap(), None).sheets);
    let found = followed(&text);
    has(&found.said, "The serial number S-1 is on more than one cylinder of Test E1 on 2012-06-01.");
    let engine = found.engines.keys().next().unwrap();
    let stand = stand(&found, engine, &Figure::LargestBore, Time::Hours).unwrap();
    assert_eq!(stand.members.iter().map(|m| m.trend.points.len()).collect::<Vec<_>>(), [2, 1]);
    assert_eq!(found.history_on("S-1", engine, "3").unwrap().sightings.len(), 1);
    // Even where the position is the same one, neither takes the other's place.
    let twice =
        record("E1", &[survey("2012-06-01", "", &[barrels[0], ("1", "S-1", "", "5.0002", "5.0070")])], "0.8");
    assert_eq!(followed(&twice).histories.len(), 2);
}

#[test]
fn a_survey_in_two_files_keeps_its_rows_and_contradictions_count_in_neither() {
    let with =
        |barrels: &[Barrel<'_>], fields: &str| record("E1", &[survey("2010-06-01", fields, barrels)], "0.8");
    let full = [("1", "S-1", "", "5.0002", "5.0020"), ("2", "S-2", "", "5.0002", "5.0030")];
    let begun = [("1", "S-1", "", "5.0002", "5.0020"), ("2", "S-2", "", "", "")];
    let other = [("1", "S-1", "", "5.0002", "5.0020"), ("2", "S-2", "", "5.0002", "5.0090")];
    let hours = "total_hours: 1000.0,";
    // An older copy with less in it.
    for texts in [[with(&full, hours), with(&begun, "")], [with(&begun, ""), with(&full, hours)]] {
        let found = followed(&texts);
        has(
            &found.said,
            "The survey of Test E1 of 2010-06-01 is in more than one file, and they differ: what any of them has counts.",
        );
        assert_eq!(found.engines.values().flatten().count(), 1);
        let trend = latest(found.history("S-2").unwrap(), &Figure::LargestBore);
        assert_eq!(xs(&trend), [1000.0]);
    }
    // Another value: which is right is not known, whichever file comes first, and however often it is there.
    for texts in [
        vec![with(&full, hours), with(&other, hours)],
        vec![with(&other, hours), with(&full, hours)],
        vec![with(&full, hours), with(&other, hours), with(&full, hours)],
    ] {
        let found = followed(&texts);
        has(
            &found.said,
            "and they differ on cylinder 2: where they contradict each other, none of them counts.",
        );
        assert_eq!(latest(found.history("S-1").unwrap(), &Figure::LargestBore).points.len(), 1);
        let second = latest(found.history("S-2").unwrap(), &Figure::LargestBore);
        assert_eq!(second.latest(), None);
        // What they agree on counts.
        assert!(latest(found.history("S-2").unwrap(), &Figure::Station("A".into())).latest().is_some());
    }
    let hours = followed(&[with(&full, hours), with(&full, "total_hours: 1010.0,")]);
    has(&hours.said, "they differ on its hours");
    assert_eq!(hours.engines.values().flatten().next().unwrap().total_hours, None);
}

#[test]
fn engines_without_a_serial_number_are_not_taken_for_each_other() {
    let text = record("", &[survey("2010-06-01", "", &[("1", "S-1", "", "5.0002", "5.0020")])], "0.8");
    let of = |file: &str| {
        let reported = file::record_from_text(&text, None);
        sheets(&reported.value.unwrap(), Some(Path::new(file))).sheets
    };
    let found = follow(&[of("one.ron"), of("two.ron")].concat());
    let engines: Vec<_> = found.engines.keys().map(EngineName::words).collect();
    assert_eq!(engines, ["Test (one.ron)", "Test (two.ron)"]);
    assert_eq!(found.histories.len(), 2);
    let named = |model: &str, serial: &str| EngineName {
        model: model.into(),
        serial: serial.into(),
        ..EngineName::default()
    };
    assert_eq!(named("", "").words(), "an engine without a name");
    assert_eq!(named("", "7").words(), "7");
    // Named almost alike, they are told.
    let alike = follow(
        &[
            of("one.ron"),
            sheets_of(&record("e1", &[survey("2011-06-01", "", &[])], "0.8")),
            sheets_of(&record("E1", &[survey("2010-06-01", "", &[])], "0.8")),
        ]
        .concat(),
    );
    has(
        &alike.said,
        "The engines Test E1 and Test e1 differ only in how they are written; they are followed as two engines.",
    );
}

/// A table in tenths of a millimetre, of which the readings have hundredths; with further rows.
fn coarse(values: &[&str], rows: &str) -> Followed {
    let mut overhauls = String::new();
    for (i, value) in values.iter().enumerate() {
        let readings: String = ["pin", "thrust"]
            .map(|axis| {
                ["A", "C"]
                    .map(|station| {
                        let value = if station == "A" { value } else { &values[0] };
                        format!(r#"(station: "{station}", axis: "{axis}", entered: ["{value}"]),"#)
                    })
                    .concat()
            })
            .concat();
        write!(
            overhauls,
            r#"(date: "20{}-06-01", total_hours: {}.0, unit: Millimetre, cylinders: [(position: "1", serial: "S-1", readings: [{readings}])]),"#,
            10 + i,
            1000 * (i + 1)
        )
        .unwrap();
    }
    let text = format!(
        r#"EngineRecord(format: 2, engine: (model: "Test", serial: "E1"), tables: [TableOfLimits(
            format: 1, identity: "T", revision: "A", engine: "invented",
            source: Illustrative(remark: "invented"), unit: Millimetre, datum: HeadEnd,
            stations: [(name: "A", depth: "20", role: HeadEnd), (name: "C", depth: "100", role: BaseEnd)],
            axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0)],
            bore: [(size: Standard, new: ("130.0", "130.1"), serviceable: At("130.2"))], {rows}
            wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0.1", mixed_oversizes: Allowed,
        )], overhauls: [{overhauls}])"#
    );
    followed(&[text])
}

#[test]
fn readings_keep_their_digits_and_never_round_onto_the_limit() {
    let trend = bore(&coarse(&["130.10", "130.13", "130.16"], ""));
    has(&trend.sentences(), "Latest, on 2012-06-01: largest bore 130.16 mm.");
    has(&trend.sentences(), "The limit of 130.20 mm");
    // Typed to a tenth, the table's digits are enough.
    let tenths = bore(&coarse(&["130.0", "130.1"], ""));
    has(&tenths.sentences(), "Latest, on 2011-06-01: largest bore 130.1 mm.");
    // Corrected by a temperature or averaged, a value may need more than was typed to show its side of the limit.
    let mut near = trend.clone();
    let third = near.points.pop().unwrap();
    let mm = |mm: f64| Estimate::of_mm(mm).unwrap();
    for (value, shown) in [(130.2001, "130.2001 mm"), (130.1997, "130.1997 mm"), (130.2, "130.20 mm")] {
        near.points.truncate(2);
        near.points.push(super::super::trend::TrendPoint { reading: mm(value), ..third.clone() });
        near.restyle(near.written);
        has(&near.sentences(), shown);
    }
}

#[test]
fn a_limit_of_a_magnitude_has_no_sign() {
    let rows = r#"taper: (rule: AxisAverages, serviceable: At("0.045")),"#;
    // Larger at the base end by and by: the taper goes to the negative side.
    let found = coarse(&["130.10", "130.08", "130.06"], rows);
    let taper = latest(only(&found), &Figure::Row(RowName::Taper));
    assert!(taper.points.last().unwrap().reading.mm() < 0.0);
    assert!(taper.level().unwrap().at < 0.0);
    assert!((taper.limit_mm().unwrap() - 0.045).abs() < 1e-9);
    // With the digit that its limit has, though its readings do not.
    has(&taper.sentences(), "0.045 mm");
    has_not(&taper.sentences(), "limit of \u{2212}");
}

#[test]
fn what_was_entered_and_cannot_be_used_was_taken() {
    let with = |b: &str| {
        let text = s1(&[THREE[0], ("2012-06-01", "total_hours: 2000.0,", "", "5.0040")]);
        let at = text.rfind("5.0040").unwrap();
        let text = format!("{}{b}{}", &text[..at], &text[at + 6..]);
        let reported = file::record_from_text(&text, None);
        follow(&sheets(&reported.value.unwrap(), None).sheets)
    };
    let said = bore(&with("5.0o4")).said;
    has(&said, "What largest bore needs was entered on 2012-06-01, but cannot be used: correct it.");
    has_not(&said, "were taken");
    // What does not need that reading is as it is.
    let other = with("5.0o4");
    has_not(&latest(only(&other), &Figure::Station("A".into())).said, "entered");
    let text = s1(&[THREE[0], ("2012-06-01", "total_hours: 2000.0,", "", "5.0040")]).replacen(
        "(station: \"C\", axis: \"thrust\", entered: [\"5.0040\"]),",
        "",
        1,
    );
    has(&bore(&followed(&[text])).said, "Not all readings that largest bore needs were taken on 2012-06-01.");
}

#[test]
fn the_limit_reached_first_is_shown() {
    let rows = r#"taper: (rule: AxisAverages, serviceable: At("0.100")),
        out_of_round: (rule: PerStation, serviceable: At("0.100")),"#;
    let first = |values: &[&str], rows: &str| {
        let found = coarse(values, rows);
        let history = only(&found).clone();
        let rows = [Figure::LargestBore, Figure::Row(RowName::Taper), Figure::Row(RowName::OutOfRound)];
        let trends = rows.map(|figure| latest(&history, &figure));
        super::super::first::first(trends.iter().map(|trend| ("1", trend))).unwrap()
    };
    // Station A grows by 0.03 mm in 1000 h, and with it bore and taper: 0.04 mm left of each, then 0.02 of the taper.
    let bore = first(&["130.10", "130.13", "130.16"], rows);
    assert_eq!(bore.figure, Figure::LargestBore, "the table's first of two at once");
    assert_eq!(bore.why, "Largest bore reaches its limit first: S-1 (position 1), after a further 1333 h.");
    let taper = first(&["130.10", "130.13", "130.16"], &rows.replacen("0.100", "0.080", 1));
    assert_eq!(
        (taper.figure, taper.why.contains("after a further 667 h")),
        (Figure::Row(RowName::Taper), true)
    );
    // One that is passed comes before one that is near.
    let passed = first(&["130.10", "130.13", "130.16"], &rows.replacen("0.100", "0.050", 1));
    assert_eq!(
        (passed.figure, passed.why.as_str()),
        (Figure::Row(RowName::Taper), "Taper is past its limit: S-1 (position 1).")
    );
    let none = first(&["130.10", "130.10", "130.10"], rows);
    assert_eq!(none.figure, Figure::LargestBore);
    assert_eq!(none.why, "As far as the surveys tell, no limit is being approached.");
    assert_eq!(super::super::first::first([]), None);
}

#[test]
fn more_cylinders_than_an_engine_has_are_not_compared() {
    for (count, compared) in [(64, true), (65, false)] {
        let names: Vec<(String, String)> =
            (1..=count).map(|i| (i.to_string(), format!("S-{i:04}"))).collect();
        let of = |below: &'static str| -> Vec<Barrel<'_>> {
            names.iter().map(|(at, serial)| (at.as_str(), serial.as_str(), "", "5.0002", below)).collect()
        };
        let barrels = THREE.map(|(.., below)| of(below));
        let surveys: Vec<_> = THREE
            .iter()
            .zip(&barrels)
            .map(|((date, fields, ..), barrels)| survey(date, fields, barrels))
            .collect();
        let found = followed(&[record("E1", &surveys, "0.8")]);
        let engine = found.engines.keys().next().unwrap();
        let stand = stand(&found, engine, &Figure::LargestBore, Time::Hours).unwrap();
        assert_eq!(stand.members.len(), count);
        assert!(stand.members.iter().all(|member| member.trend.own_line().is_some()));
        assert_eq!(stand.common.is_some(), compared);
        assert_eq!(texts(&stand).iter().any(|said| said.contains("More than 64 cylinders")), !compared);
    }
}
