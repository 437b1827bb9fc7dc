//! The whole of it, from the text of records to sentences: bad input, following, the demo engines, the index.

mod following;

use records::limits::rows::RowName;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use proptest::prelude::*;

use super::across::Across;
use super::crossing::{Crossing, Level};
use super::engine::{Comparison, Said, latest_trend, stand};
use super::figure::{Estimate, Figure, Scheme};
use super::follow::{Began, Followed, History, follow};
use super::index::{Done, Index, Job, kept_file};
use super::line::NoLine;
use super::sheet::{EngineName, Sheets, SurveySheet, sheets};
use super::trend::{Basis, Forecast, Time, Trend, trend};
use quantities::length::{Length, Unit};
use records::file;
use records::record::resolve;

/// A cylinder at a survey: position, serial number, further fields, diameter above ring travel and below it.
type Barrel<'a> = (&'a str, &'a str, &'a str, &'a str, &'a str);

/// A survey as its record writes it.
struct Survey<'a> {
    date: &'a str,
    /// Fields such as the hours.
    fields: &'a str,
    /// The name of the second station in its table.
    station: &'a str,
    barrels: &'a [Barrel<'a>],
}

fn table(station: &str, depth: &str) -> String {
    format!(
        r#"TableOfLimits(
            format: 1, identity: "T-{station}-{depth}", revision: "A", engine: "invented",
            source: Illustrative(remark: "invented"), unit: Inch, datum: HeadEnd,
            stations: [
                (name: "A", depth: "0.4", role: AboveRingTravel),
                (name: "{station}", depth: "{depth}", role: TopOfRingTravel),
                (name: "C", depth: "4.0", role: BaseEnd),
            ],
            axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0)],
            bore: [
                (size: Standard, new: ("5.0000", "5.0010"), serviceable: At("5.0100")),
                (size: Oversize("0.020"), new: ("5.0200", "5.0210"), serviceable: At("5.0300")),
            ],
            taper: (rule: AxisAverages, serviceable: At("0.0030")),
            wall: (surface: Plain, cut: Allowed),
            clean_up_allowance: "0.0005",
            mixed_oversizes: Allowed,
        )"#
    )
}

/// The text of a record; `depth` is that of the second station.
fn record(engine: &str, surveys: &[Survey<'_>], depth: &str) -> String {
    let mut tables: Vec<String> = surveys.iter().map(|survey| table(survey.station, depth)).collect();
    tables.dedup();
    let mut overhauls = String::new();
    for survey in surveys {
        let mut cylinders = String::new();
        for (position, serial, fields, above, below) in survey.barrels {
            let mut readings = String::new();
            // Nothing is measured where there is no text.
            for (station, value) in [("A", above), (survey.station, below), ("C", below)] {
                for axis in ["pin", "thrust"].into_iter().filter(|_| !value.is_empty()) {
                    write!(readings, r#"(station: "{station}", axis: "{axis}", entered: ["{value}"]),"#)
                        .unwrap();
                }
            }
            write!(
                cylinders,
                r#"(position: "{position}", serial: "{serial}", {fields} looked_over: true, readings: [{readings}]),"#
            )
            .unwrap();
        }
        write!(
            overhauls,
            r#"(date: "{}", {} limits: (identity: "T-{}-{depth}", revision: "A"), cylinders: [{cylinders}]),"#,
            survey.date, survey.fields, survey.station
        )
        .unwrap();
    }
    format!(
        r#"EngineRecord(format: 2, engine: (model: "Test", serial: "{engine}"), tables: [{}], overhauls: [{overhauls}])"#,
        tables.join(", ")
    )
}

fn sheets_of(text: &str) -> Vec<Arc<SurveySheet>> {
    let reported = file::record_from_text(text, None);
    assert!(reported.diagnostics.iter().all(|d| !d.is_error()), "{:?}", reported.diagnostics);
    let found = sheets(&reported.value.unwrap(), None);
    assert!(found.reported.is_empty(), "{:?}", found.reported);
    found.sheets
}

fn followed(texts: &[String]) -> Followed {
    let all: Vec<_> = texts.iter().flat_map(|text| sheets_of(text)).collect();
    follow(&all)
}

fn survey<'a>(date: &'a str, fields: &'a str, barrels: &'a [Barrel<'a>]) -> Survey<'a> {
    Survey { date, fields, station: "B", barrels }
}

/// One cylinder S-1 on engine E1 at the given hours, with the given largest bores.
fn single(values: &[(f64, &str)]) -> Followed {
    let fields: Vec<_> = values.iter().map(|(hours, _)| format!("total_hours: {hours:.1},")).collect();
    let dates: Vec<_> = (0..values.len()).map(|i| format!("20{:02}-06-01", 10 + i)).collect();
    let barrels: Vec<[Barrel<'_>; 1]> =
        values.iter().map(|(_, v)| [("1", "S-1", "", "5.0002", *v)]).collect();
    let surveys: Vec<_> = (0..values.len()).map(|i| survey(&dates[i], &fields[i], &barrels[i])).collect();
    followed(&[record("E1", &surveys, "0.8")])
}

/// As [`single`], of an engine that was new at the start of it.
fn single_from_new(values: &[(f64, &str)]) -> Followed {
    let fields: Vec<_> = values
        .iter()
        .map(|(hours, _)| format!("total_hours: {hours:.1}, hours_since_overhaul: {hours:.1},"))
        .collect();
    let dates: Vec<_> = (0..values.len()).map(|i| format!("20{:02}-06-01", 10 + i)).collect();
    let barrels: Vec<[Barrel<'_>; 1]> =
        values.iter().map(|(_, v)| [("1", "S-1", "", "5.0002", *v)]).collect();
    let surveys: Vec<_> = (0..values.len()).map(|i| survey(&dates[i], &fields[i], &barrels[i])).collect();
    followed(&[record("E1", &surveys, "0.8")])
}

fn only(followed: &Followed) -> &History {
    assert_eq!(followed.histories.len(), 1);
    &followed.histories[0]
}

fn latest(history: &History, figure: &Figure) -> Trend {
    trend(history, history.lives.last().unwrap(), figure, Time::Hours)
}

fn crossing(trend: &Trend) -> Crossing {
    trend.forecast.crossing().unwrap()
}

fn bore(followed: &Followed) -> Trend {
    latest(only(followed), &Figure::LargestBore)
}

fn bore_of_the_first(followed: &Followed) -> Estimate {
    bore(followed).points[0].reading
}

fn has(sentences: &[String], part: &str) {
    assert!(sentences.iter().any(|sentence| sentence.contains(part)), "no `{part}` in {sentences:#?}");
}

fn has_not(sentences: &[String], part: &str) {
    assert!(!sentences.iter().any(|sentence| sentence.contains(part)), "`{part}` in {sentences:#?}");
}

// ---- bad input: each has its sentence

#[test]
fn one_survey() {
    let trend = bore(&single(&[(1000.0, "5.0020")]));
    assert_eq!((trend.line, trend.forecast), (Err(NoLine::TooFew), Forecast::NoLine));
    has(&trend.sentences(), "Only one survey: there is no rate yet.");
    has(&trend.sentences(), "When the limit of 5.0100 in is reached cannot be said.");
    assert_eq!((trend.measure_within, trend.outlook(500.0), trend.from_new), (None, None, None));
    assert!(trend.outlook_words(500.0).contains("without a rate"));
}

#[test]
fn one_survey_of_a_barrel_that_was_new() {
    let barrels = [("1", "S-1", "finished_to: \"5.0004\",", "5.0004", "5.0024")];
    let text = record(
        "E1",
        &[survey("2010-06-01", "total_hours: 900.0, hours_since_overhaul: 800.0,", &barrels)],
        "0.8",
    );
    let trend = bore(&followed(&[text]));
    has(
        &trend.said,
        "It is taken to have been new or freshly finished 800 h before the survey of 2010-06-01",
    );
    // 0.0020 in over 800 h.
    assert!((trend.from_new.unwrap().rate() - 0.0508 / 800.0).abs() < 1e-12);
    has(
        &trend.sentences(),
        "From its last finishing to that survey it wore 0.0020 in in 800 h, 0.00250 in per 1000 h. Running-in is in that, so it is no steady rate.",
    );
}

#[test]
fn two_surveys() {
    let trend = bore(&single(&[(1000.0, "5.0020"), (2000.0, "5.0040")]));
    let line = trend.line.unwrap();
    assert!((line.slope * 1000.0 - 0.0508).abs() < 1e-12);
    assert_eq!(line.slope_interval_95(), None);
    has(&trend.sentences(), "Two surveys: 0.00200 in per 1000 h, or 0.000200 in per 100 h.");
    has(&trend.sentences(), "There is no interval: with two surveys it takes the calibration");
    has(
        &trend.sentences(),
        "The limit of 5.0100 in is reached after a further 3000 h (5000 h total time). Two surveys are too few to say how likely that is.",
    );
    assert_eq!(trend.measure_within, None);
    assert_eq!(trend.outlook(500.0).unwrap().chance_passed, None);
    assert!(trend.outlook_words(500.0).contains("Two surveys are too few to say how likely"));
}

#[test]
fn two_surveys_at_the_same_hours() {
    let trend = bore(&single(&[(1000.0, "5.0020"), (1000.0, "5.0022")]));
    assert_eq!(trend.line, Err(NoLine::SameX));
    has(&trend.sentences(), "All its surveys are at the same h: there is no rate.");
    has(&trend.said, "The surveys of 2010-06-01 and 2011-06-01 are at the same h");
    let more =
        bore(&single(&[(1000.0, "5.0020"), (1000.0, "5.0022"), (2000.0, "5.0040"), (3000.0, "5.0060")]));
    assert!(more.line.is_ok());
    has(&more.said, "no rate comes from one to the other");
}

#[test]
fn hours_going_backwards() {
    let found = single(&[(1000.0, "5.0020"), (2000.0, "5.0040"), (1500.0, "5.0050"), (2500.0, "5.0070")]);
    has(&found.said, "The total time of Test E1 goes back from 2000 h on 2011-06-01 to 1500 h on 2012-06-01");
    let trend = bore(&found);
    has(&trend.said, "There is a gap in its hours: the total time goes back");
    // Only what follows is drawn.
    assert_eq!(trend.points.len(), 2);
    // The calendar is not in doubt.
    let history = only(&found);
    let years = super::trend::trend(history, &history.lives[0], &Figure::LargestBore, Time::Years);
    assert_eq!(years.points.len(), 4);
    assert!((years.points[1].x - 365.0 / 365.25).abs() < 1e-12);
}

#[test]
fn a_bore_that_shrinks() {
    let trend = bore(&single(&[(1000.0, "5.0040"), (2000.0, "5.0020"), (3000.0, "5.0010")]));
    has(&trend.said, "It reads 0.0020 in less on 2011-06-01 than on 2010-06-01. A bore does not shrink");
    has(
        &trend.sentences(),
        "It does not approach its limit of 5.0100 in by the line. The surveys cannot rule out",
    );
    assert!(matches!(crossing(&trend), Crossing::NoUpperBound { at: None, .. }));
    // Within what the gauge can tell it is no news.
    has_not(&bore(&single(&[(1000.0, "5.0040"), (2000.0, "5.0039"), (3000.0, "5.0041")])).said, "shrink");
}

#[test]
fn a_survey_in_the_other_unit() {
    let inch = bore(&single(&[(1000.0, "5.0020"), (2000.0, "5.0040"), (3000.0, "5.0060")]));
    let barrels = [
        [("1", "S-1", "", "5.0002", "5.0020")],
        // 5.0002 and 5.0040 in exactly.
        [("1", "S-1", "", "127.00508", "127.1016")],
        [("1", "S-1", "", "5.0002", "5.0060")],
    ];
    let text = record(
        "E1",
        &[
            survey("2010-06-01", "total_hours: 1000.0,", &barrels[0]),
            survey("2011-06-01", "total_hours: 2000.0, unit: Millimetre,", &barrels[1]),
            survey("2012-06-01", "total_hours: 3000.0,", &barrels[2]),
        ],
        "0.8",
    );
    let mixed = bore(&followed(&[text]));
    assert!((mixed.line.unwrap().slope - inch.line.unwrap().slope).abs() < 1e-15);
    has(&mixed.said, "The survey of 2011-06-01 is written in mm; both units are exact here");
    has_not(&inch.said, "both units");
}

#[test]
fn a_limit_already_passed() {
    let trend = bore(&single(&[(1000.0, "5.0060"), (2000.0, "5.0080"), (3000.0, "5.0101")]));
    assert_eq!((crossing(&trend), trend.measure_within), (Crossing::Passed, Some(0.0)));
    has(&trend.sentences(), "The limit of 5.0100 in is already passed.");
    // Exactly on it is not past it.
    let on = bore(&single(&[(1000.0, "5.0060"), (2000.0, "5.0080"), (3000.0, "5.0100")]));
    assert!(!on.is_beyond() && crossing(&on) != Crossing::Passed);
}

#[test]
fn two_surveys_that_end_on_their_limit_without_moving_do_not_approach_it() {
    let still = bore(&single(&[(1000.0, "5.0100"), (2000.0, "5.0100")]));
    assert_eq!(crossing(&still), Crossing::NoInterval { at: None });
    has(&still.sentences(), "Two surveys: no change at all.");
    has(&still.sentences(), "It is not approaching its limit of 5.0100 in, as far as two surveys can tell.");
    assert_eq!(still.reached_text().as_deref(), Some("not approaching"));
    // Away from it neither, and towards it now.
    let away = bore(&single(&[(1000.0, "5.0102"), (2000.0, "5.0100")]));
    assert_eq!(crossing(&away), Crossing::NoInterval { at: None });
    let towards = bore(&single(&[(1000.0, "5.0098"), (2000.0, "5.0100")]));
    assert!(
        matches!(crossing(&towards), Crossing::NoInterval { at: Some(at) } if (at - 2000.0).abs() < 0.01)
    );
}

/// A taper of so many ten-thousandths of an inch at each survey; its limit is 30 of them.
fn tapers(values: &[i32]) -> Trend {
    let fields: Vec<_> = (0..values.len()).map(|i| format!("total_hours: {}.0,", 1000 * (i + 1))).collect();
    let dates: Vec<_> = (0..values.len()).map(|i| format!("20{:02}-06-01", 10 + i)).collect();
    let barrel = [("1", "S-1", "", "5.0002", "5.0040")];
    let surveys: Vec<_> = (0..values.len()).map(|i| survey(&dates[i], &fields[i], &barrel)).collect();
    // The base end is so much smaller, on both axes.
    let text = record("E1", &surveys, "0.8");
    let mut parts = text.split(r#"station: "C""#);
    let mut text = parts.next().unwrap().to_owned();
    for (part, value) in parts.zip(values.iter().flat_map(|value| [value, value])) {
        let base = format!("{:.4}", 5.0040 - f64::from(*value) * 0.0001);
        text += r#"station: "C""#;
        text += &part.replacen("5.0040", &base, 1);
    }
    latest(only(&followed(&[text])), &Figure::Row(RowName::Taper))
}

#[test]
fn a_limit_of_a_magnitude_has_two_sides() {
    // Beyond one side while the line leads to the other.
    let beyond = tapers(&[-50, -42, -35]);
    assert!(beyond.line.as_ref().unwrap().slope > 0.0 && beyond.is_beyond());
    assert_eq!((crossing(&beyond), beyond.level().unwrap().sign), (Crossing::Passed, -1.0));
    // Near one side, where it is not sure that it moves away from it.
    let near = tapers(&[26, 29, 25, 27]);
    assert!(near.line.as_ref().unwrap().slope <= 0.0);
    assert_eq!(near.level().unwrap().sign, 1.0);
    assert!(matches!(crossing(&near), Crossing::AnyTime | Crossing::NoUpperBound { at: None, .. }));
    // Surely moving to the far side.
    let across = tapers(&[20, 10, 0, -10]);
    let Forecast::Limit(Level { sign, .. }, Crossing::Bounded { at, .. }) = across.forecast else {
        panic!("{:?}", across.forecast)
    };
    assert!(sign < 0.0 && (at - 6000.0).abs() < 1.0, "{at}");
    has(&across.sentences(), "The limit of 0.0030 in is reached after a further 2000 h");
    // Either side counts in the chance.
    let wide = tapers(&[0, 20, -20, 0]);
    let chance = wide.outlook(1e6).unwrap().chance_passed.unwrap();
    assert!(chance > 0.9 && chance <= 1.0, "{chance}");
}

#[test]
fn a_line_past_the_limit_while_the_latest_reading_is_not() {
    // The line reads 5.0114 in at 3000 h, and crossed the limit 286 h before.
    let trend = bore(&single(&[(1000.0, "5.0000"), (2000.0, "5.0095"), (3000.0, "5.0099")]));
    assert_eq!((crossing(&trend), trend.measure_within), (Crossing::AnyTime, Some(0.0)));
    assert_eq!(trend.reached_text().as_deref(), Some("at any time"));
    has(
        &trend.sentences(),
        "The limit of 5.0100 in may be reached at any time: the surveys cannot say when.",
    );
    has(&trend.sentences(), "Measure again before further running.");
    // The whole of the band is past it, so no moment to come is the earliest one.
    let values = ["5.0018", "5.0029", "5.0041", "5.0053", "5.0064", "5.0076", "5.0087", "5.0099", "5.0099"];
    let series: Vec<_> = values.iter().enumerate().map(|(i, v)| (1000.0 * (i + 1) as f64, *v)).collect();
    let trend = bore(&single(&series));
    let line = trend.line.as_ref().unwrap();
    assert!(line.band_95(9000.0, super::line::Of::Line).unwrap().0 > trend.level().unwrap().at);
    assert_eq!((crossing(&trend), trend.measure_within), (Crossing::Passed, Some(0.0)));
    assert!(!trend.is_beyond());
    has(
        &trend.sentences(),
        "By the line the limit of 5.0100 in is already passed; the latest survey is within it.",
    );
    // Nor does it matter that the line leads away from the limit, for sure or not.
    let trend = bore(&single(&[(1000.0, "5.0130"), (2000.0, "5.0130"), (3000.0, "5.0099")]));
    assert_eq!((crossing(&trend), trend.measure_within), (Crossing::AnyTime, Some(0.0)));
    let values = ["5.0180", "5.0160", "5.0141", "5.0125", "5.0099"];
    let series: Vec<_> = values.iter().enumerate().map(|(i, v)| (1000.0 * (i + 1) as f64, *v)).collect();
    let trend = bore(&single(&series));
    assert_eq!((crossing(&trend), trend.measure_within), (Crossing::AnyTime, Some(0.0)));
}

#[test]
fn no_wear_at_all() {
    let trend = bore(&single(&[(1000.0, "5.0020"), (2000.0, "5.0020"), (3000.0, "5.0020")]));
    has(&trend.sentences(), "3 surveys: no change at all.");
    has(
        &trend.sentences(),
        "It does not approach its limit of 5.0100 in by the line. The surveys cannot rule out",
    );
    assert!(matches!(crossing(&trend), Crossing::NoUpperBound { at: None, from } if from > 3000.0));
}

#[test]
fn a_cylinder_on_two_engines_on_one_day() {
    let barrels = [("1", "S-1", "", "5.0002", "5.0020")];
    let later = [("1", "S-1", "", "5.0002", "5.0040")];
    let found = followed(&[
        record("E1", &[survey("2010-06-01", "", &barrels), survey("2012-06-01", "", &later)], "0.8"),
        record("E2", &[survey("2010-06-01", "", &later)], "0.8"),
    ]);
    // One of them is another cylinder; which one it is, is told by its engine, and nothing is dropped.
    has(&found.said, "The serial number S-1 is on more than one engine at the same time: Test E1, Test E2.");
    let surveys: Vec<_> = found.named("S-1").iter().map(|history| history.sightings.len()).collect();
    assert_eq!(surveys, [2, 1]);
}

#[test]
fn an_interval_without_an_end() {
    let trend =
        bore(&single(&[(1000.0, "5.0020"), (2000.0, "5.0040"), (3000.0, "5.0030"), (4000.0, "5.0050")]));
    assert!(matches!(crossing(&trend), Crossing::NoUpperBound { at: Some(_), .. }));
    has(&trend.sentences(), "There is no upper bound: the surveys do not show for sure that it changes.");
}

// ---- following

#[test]
fn a_cylinder_is_followed_to_another_engine_by_its_own_hours() {
    let e1 = record(
        "E1",
        &[
            survey(
                "2010-06-01",
                "total_hours: 1000.0, hours_since_overhaul: 1000.0,",
                &[("1", "S-1", "", "5.0002", "5.0020")],
            ),
            survey("2012-06-01", "total_hours: 1900.0,", &[("1", "S-1", "", "5.0002", "5.0038")]),
        ],
        "0.8",
    );
    let e2 = record(
        "E2",
        &[
            survey("2012-09-01", "total_hours: 7000.0,", &[("4", "S-9", "", "5.0002", "5.0050")]),
            survey(
                "2015-06-01",
                "total_hours: 7800.0, hours_since_overhaul: 800.0,",
                &[("4", "S-1", "", "5.0002", "5.0054")],
            ),
        ],
        "0.8",
    );
    let found = followed(&[e2, e1]);
    let history = found.history("S-1").unwrap();
    assert_eq!(history.lives.len(), 1);
    assert_eq!(history.lives[0].hours, [Some(1000.0), Some(1900.0), Some(2700.0)]);
    assert!(history.lives[0].from_new, "new with its engine");
    assert_eq!(
        history.places(),
        ["2010-06-01 to 2012-06-01: position 1 of Test E1", "2015-06-01: position 4 of Test E2"]
    );
    let trend = latest(history, &Figure::LargestBore);
    has(&trend.said, "It is taken to have been fitted to Test E2 at the overhaul of 2012-09-01.");
    // 0.0020 in per 1 000 h on both engines.
    assert!((trend.line.as_ref().unwrap().slope - 0.0508e-3).abs() < 1e-12);
    has(&trend.sentences(), "h total time)");
    // Without the overhaul at which it was fitted its hours are not known.
    let alone = record(
        "E2",
        &[survey("2015-06-01", "total_hours: 7800.0,", &[("4", "S-1", "", "5.0002", "5.0054")])],
        "0.8",
    );
    let e1 = record(
        "E1",
        &[survey("2010-06-01", "total_hours: 1000.0,", &[("1", "S-1", "", "5.0002", "5.0020")])],
        "0.8",
    );
    let trend = bore(&followed(&[alone, e1]));
    has(
        &trend.said,
        "There is a gap in its hours: the hours since the overhaul are not recorded on 2015-06-01",
    );
}

#[test]
fn a_survey_that_it_is_missing_from_is_a_gap() {
    let here = |value| [("1", "S-1", "", "5.0002", value)];
    let (a, b, c) = (here("5.0020"), here("5.0040"), here("5.0060"));
    let text = record(
        "E1",
        &[
            survey("2010-06-01", "total_hours: 1000.0,", &a),
            survey("2011-06-01", "total_hours: 2000.0,", &[("1", "S-2", "", "5.0002", "5.0020")]),
            survey("2012-06-01", "total_hours: 3000.0,", &b),
            survey("2013-06-01", "total_hours: 4000.0,", &c),
        ],
        "0.8",
    );
    let found = followed(&[text]);
    let trend = latest(found.history("S-1").unwrap(), &Figure::LargestBore);
    has(
        &trend.said,
        "it is not on the sheet of 2011-06-01, so what it ran between 2010-06-01 and 2012-06-01 is not known",
    );
    assert_eq!(trend.points.len(), 2);
}

#[test]
fn a_rebore_begins_a_new_life() {
    let text = record(
        "E1",
        &[
            survey("2010-06-01", "total_hours: 1000.0,", &[("1", "S-1", "", "5.0002", "5.0060")]),
            survey("2012-06-01", "total_hours: 2000.0,", &[("1", "S-1", "", "5.0002", "5.0099")]),
            survey(
                "2014-06-01",
                "total_hours: 2900.0,",
                &[("1", "S-1", "size: Oversize(\"0.020\"), finished_to: \"5.0203\",", "5.0203", "5.0221")],
            ),
            survey(
                "2016-06-01",
                "total_hours: 3900.0,",
                &[("1", "S-1", "size: Oversize(\"0.020\"), finished_to: \"5.0203\",", "5.0203", "5.0231")],
            ),
            // Plated and ground again to the same size.
            survey(
                "2018-06-01",
                "total_hours: 4900.0,",
                &[("1", "S-1", "size: Oversize(\"0.020\"), finished_to: \"5.0200\",", "5.0200", "5.0210")],
            ),
        ],
        "0.8",
    );
    let found = followed(&[text]);
    let history = only(&found);
    let lives: Vec<_> = history.lives.iter().map(|life| life.sightings.clone()).collect();
    assert_eq!(lives, [0..2, 2..4, 4..5]);
    let Began::Cut(how) = &history.lives[1].began else { panic!() };
    assert_eq!(how, "its size changed from standard to +0.0200 in");
    has(&history.lives[2].said, "the size it was finished to is 5.0200 in and was 5.0203 in");
    let second = trend(history, &history.lives[1], &Figure::LargestBore, Time::Hours);
    // Its hours count from the rebore; the limit is that of its size; running-in is told apart.
    assert_eq!(second.points.iter().map(|point| point.x).collect::<Vec<_>>(), [900.0, 1900.0]);
    assert_eq!(second.limit.unwrap().length().to_mm(), 5.03 * 25.4);
    has(
        &second.sentences(),
        "From its last finishing to the first survey it wore 0.0018 in in 900 h, 0.00200 in per 1000 h; running-in is in that, and it is not part of the line.",
    );
    has(&second.sentences(), "0.00100 in per 1000 h");
}

#[test]
fn a_renamed_or_moved_station_is_said_not_guessed() {
    let old = [("1", "S-1", "", "5.0002", "5.0020")];
    let new = [("1", "S-1", "", "5.0002", "5.0040")];
    let text = record(
        "E1",
        &[
            Survey { date: "2010-06-01", fields: "total_hours: 1000.0,", station: "T", barrels: &old },
            survey("2012-06-01", "total_hours: 2000.0,", &new),
        ],
        "0.8",
    );
    let found = followed(&[text]);
    let station = latest(only(&found), &Figure::Station("B".into()));
    has(
        &station.said,
        "has no station B; its stations are A, T, C. Which of them is meant is not guessed: that survey is left out.",
    );
    assert_eq!(station.points.len(), 1);
    has(
        &bore(&found).said,
        "takes largest bore by another rule, at other depths or on other axes: that survey is left out.",
    );
    // What both have is compared.
    assert_eq!(latest(only(&found), &Figure::Point("C".into(), "thrust".into())).points.len(), 2);

    let moved = followed(&[
        record("E1", &[survey("2010-06-01", "total_hours: 1000.0,", &old)], "0.8"),
        record("E1", &[survey("2012-06-01", "total_hours: 2000.0,", &new)], "0.9"),
    ]);
    let station = latest(only(&moved), &Figure::Station("B".into()));
    has(&station.said, "takes station B by another rule, at other depths");
    assert_eq!(station.points.len(), 1);
}

#[test]
fn temperatures_are_corrected_where_they_are_recorded() {
    let barrels = [("1", "S-1", "", "5.0002", "5.0020")];
    let warm = "total_hours: 1000.0, temperatures: (barrel: 30.0, gauge: 20.0),";
    let text = record(
        "E1",
        &[survey("2010-06-01", warm, &barrels), survey("2011-06-01", "total_hours: 2000.0,", &barrels)],
        "0.8",
    );
    let trend = bore(&followed(&[text]));
    // Derived: 10 K on steel of 11.5e-6 1/K is 0.0575 % of 0.1, less at 20 °C; to half a microinch.
    let (at_30, as_read) = (trend.points[0].reading.mm(), trend.points[1].reading.mm());
    assert!((as_read - at_30 - as_read * 11.5e-5).abs() < 1.27e-5, "{at_30} {as_read}");
    has(&trend.said, "No temperatures were recorded on 2011-06-01");
}

#[test]
fn what_cannot_be_followed_is_said() {
    let barrels = [
        ("1", "S-1", "", "5.0002", "5.0020"),
        ("2", "", "", "5.0002", "5.0020"),
        ("3", "s 1", "", "5.0002", "5.0020"),
    ];
    let text = record("E1", &[survey("2010-06-01", "total_hours: 1000.0,", &barrels)], "0.8");
    let found = followed(&[text.clone(), text]);
    has(&found.said, "The survey of Test E1 of 2010-06-01 is there twice; it counts once.");
    has(&found.said, "1 entries of cylinders have no serial number");
    has(&found.said, "The serial numbers S-1 and s 1 differ only in how they are written");
    assert_eq!(found.histories.len(), 2);
    assert!(follow(&[]).histories.is_empty());
}

/// Derived: 15 K on 5.0040 in of steel of 11.5e-6 1/K, of which the micrometer, at 20 °C, has no part.
#[test]
fn what_is_followed_is_what_was_judged_at_20_c() {
    let gauges = r#"gauges: [(name: "a", graduation: "0.0001", expansion_ppm: 11.5)],"#;
    let cold = "temperatures: (barrel: 5.0, gauge: 20.0, barrel_expansion_ppm: 11.5),";
    let fields = format!("{gauges} {cold}");
    let text = record("E1", &[survey("2010-06-01", &fields, &[("1", "S-1", "", "5.0002", "5.0040")])], "0.8");
    let survey = resolve::survey(&file::record_from_text(&text, None).value.unwrap(), 0, None).value.unwrap();
    let cylinder = &survey.cylinders[0];
    let scheme = Scheme::of(&survey.limits);
    let readings = scheme.readings(&survey.limits, &survey, cylinder);
    let followed = readings[scheme.place(&Figure::LargestBore).unwrap()].unwrap();
    let judged = judging::assess(cylinder, &survey).rows[0].figure.as_ref().unwrap().value;
    assert_eq!(followed.mm(), judged.to_mm());
    assert_eq!(judged, Length::parse("5.0040", Unit::Inch).unwrap().length.scaled(1.000_172_5));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever the surveys, the advice does not reach beyond the lower end of the interval.
    #[test]
    fn the_advice_never_exceeds_the_lower_end(values in prop::collection::vec(5.0000..5.0110_f64, 3..7)) {
        let texts: Vec<_> = values.iter().map(|value| format!("{value:.4}")).collect();
        let series: Vec<_> = texts.iter().enumerate().map(|(i, text)| (700.0 * i as f64, text.as_str())).collect();
        let trend = bore(&single(&series));
        let now = trend.points.last().unwrap().x;
        if let (Some(crossing), Some(within)) = (trend.forecast.crossing(), trend.measure_within) {
            if let Crossing::Bounded { from, .. } | Crossing::NoUpperBound { from, .. } = crossing {
                // Nor is a short horizon none at all.
                prop_assert!(within <= from - now && (within > 0.0 || from == now));
            }
            // The chance of having passed the limit by then is at most one end's.
            let chance = trend.outlook(within).unwrap().chance_passed.unwrap();
            let at_once = trend.outlook(0.0).unwrap().chance_passed.unwrap();
            prop_assert!(chance <= at_once.max(0.025) + 1e-6, "{} {}", chance, at_once);
        }
        for sentence in trend.sentences().iter().chain(&trend.said) {
            prop_assert!(!sentence.contains("NaN") && !sentence.contains("inf "), "{}", sentence);
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn the_order_of_the_files_does_not_matter(seed in any::<u64>()) {
        let mut all = demo_sheets(&["wexcombe_six", "wexcombe_pair_a", "wexcombe_pair_b"]);
        let expected = follow(&all);
        let n = all.len() as u64;
        for i in 0..all.len() {
            all.swap(i, (seed.wrapping_mul(i as u64 + 7) % n) as usize);
        }
        prop_assert_eq!(follow(&all), expected);
    }
}

// ---- the demo engines

fn demo(name: &str) -> PathBuf {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../..")).join("demo").join(format!("{name}.ron"))
}

fn demo_sheets(names: &[&str]) -> Vec<Arc<SurveySheet>> {
    names
        .iter()
        .flat_map(|name| {
            let reported = file::load_record(&demo(name));
            sheets(&reported.value.unwrap(), None).sheets
        })
        .collect()
}

fn texts(stand: &Comparison) -> Vec<String> {
    stand.said().iter().map(Said::text).collect()
}

fn demo_stand(followed: &Followed, serial: &str) -> Comparison {
    let model = "Wexcombe Six (invented)".into();
    let engine = EngineName { model, serial: serial.into(), ..EngineName::default() };
    stand(followed, &engine, &Figure::LargestBore, Time::Hours).unwrap()
}

#[test]
fn the_fast_barrel_stands_out() {
    let followed = follow(&demo_sheets(&["wexcombe_fast_barrel"]));
    let stand = demo_stand(&followed, "W6-0020");
    let (member, against) = stand.odd_one().unwrap();
    assert_eq!((member.trend.serial.as_str(), member.position.as_str()), ("WX-2004", "4"));
    // Made at 0.9 of 5.5 units of 0.0001 in per 1 000 h, the others at 0.9 of 3.4 on average.
    let unit = 0.00254e-3;
    assert!((against.slope / unit - 0.9 * 5.5).abs() < 0.4, "{}", against.slope / unit);
    assert!((against.others / unit - 0.9 * 3.4).abs() < 0.2, "{}", against.others / unit);
    has(&texts(&stand), "WX-2004 (position 4) changes faster than the others");
    has(&texts(&stand), "WX-2004 (position 4) has worn more than the others");
    has(&texts(&stand), "n = 6");
    has(&texts(&stand), "The thrust axis has worn more than the pin axis");
    // It counts alone, and the others together.
    let common = stand.common.as_ref().unwrap();
    assert_eq!((common.members.as_slice(), common.leads), ([0, 1, 2, 4, 5].as_slice(), true));
    for (i, member) in stand.members.iter().enumerate() {
        assert_eq!(member.trend.basis, if i == 3 { Basis::Own } else { Basis::Common(5) });
        assert_eq!(member.trend.alone.is_some(), i != 3);
    }
    // The truth lies within its interval: 5.1250 + 19 + 0.9 x 5.5 h / 1 000 reaches 40 units at 4 242 h.
    let Crossing::Bounded { from, to, .. } = crossing(&member.trend) else { panic!() };
    assert!(from < 4242.0 && 4242.0 < to, "{from} {to}");
    // Wear before the first survey, 21 - 3 units in 600 h, is running-in and not part of the line.
    assert!(member.trend.from_new.unwrap().rate() > 3.0 * against.slope);
}

#[test]
fn the_pair_of_engines() {
    let followed = follow(&demo_sheets(&["wexcombe_pair_b", "wexcombe_pair_a"]));
    let moved = followed.history("WX-3103").unwrap();
    assert_eq!(moved.lives[0].hours, [Some(900.0), Some(1800.0), Some(2750.0)]);
    assert_eq!(moved.places().len(), 2);
    let stand = demo_stand(&followed, "W6-0032");
    assert!(stand.members.iter().any(|member| member.trend.serial == "WX-3103"));
    assert!(stand.odd_one().is_none());
    // Alike, all surveys together say more than three each; there is one advice, and it is by them.
    for member in &stand.members {
        let trend = &member.trend;
        let (alone, common) = (trend.alone.unwrap(), trend.line.as_ref().unwrap());
        assert!(common.slope_u().unwrap() <= alone.line.slope_u().unwrap() * 1.001);
        let words = trend.sentences();
        has(&words, "6 cylinders together, none of which stands out: ");
        has(&words, "Its own ");
        assert_eq!(words.iter().filter(|sentence| sentence.starts_with("Measure again")).count(), 1);
        // In every place it is the same.
        let history = followed.history(&trend.serial).unwrap();
        assert_eq!(latest_trend(&followed, history, &Figure::LargestBore, Time::Hours).as_ref(), Some(trend));
    }
    let new = demo_stand(&followed, "W6-0031");
    has(&texts(&new), "Not compared, without a rate of its own: WX-3109.");
}

#[test]
fn the_six_over_three_overhauls() {
    let followed = follow(&demo_sheets(&["wexcombe_six"]));
    let reground = followed.history("WX-0416").unwrap();
    assert_eq!(reground.lives.len(), 2);
    has(&reground.lives[1].said, "its size changed from standard to +0.0150 in");
    // Hours since it was ground.
    assert!((reground.lives[1].hours[0].unwrap() - 1414.5).abs() < 1e-9);
    // It reads one turn of the thimble too much at one place, and that is said.
    let trend = latest(reground, &Figure::LargestBore);
    has(&trend.said, "On 2023-03-14:");
    // Exchanged with each other, each is followed to its new place.
    let moved = followed.history("WX-0702").unwrap();
    assert_eq!(moved.places().len(), 2);
    assert!((moved.lives[0].hours[1].unwrap() - moved.lives[0].hours[0].unwrap() - 1414.5).abs() < 1e-9);
    let fast = latest(moved, &Figure::LargestBore);
    has(&fast.sentences(), "with two surveys, nothing has checked it.");
    assert_eq!(fast.line.unwrap().slope_dof(), 4.0);
}

#[test]
fn every_figure_of_every_demo_cylinder_can_be_said() {
    let all = demo_sheets(&[
        "wexcombe_six",
        "wexcombe_fast_barrel",
        "wexcombe_pair_a",
        "wexcombe_pair_b",
        "skarvoy_320",
        "penhallow_twin",
    ]);
    let followed = follow(&all);
    let mut lines = 0;
    for history in &followed.histories {
        for (life, time) in history.lives.iter().flat_map(|life| [(life, Time::Hours), (life, Time::Years)]) {
            for entry in &history.of(life).last().unwrap().sheet.scheme.entries {
                let trend = trend(history, life, &entry.figure, time);
                lines += usize::from(trend.line.is_ok());
                for sentence in trend.sentences().iter().chain(&trend.said) {
                    assert!(sentence.ends_with('.') && !sentence.contains("NaN"), "{sentence}");
                }
            }
        }
    }
    assert!(lines > 500, "{lines}");
    for engine in followed.engines.keys() {
        assert!(
            !stand(&followed, engine, &Figure::Row(RowName::Taper), Time::Years).unwrap().said().is_empty()
        );
    }
}

/// Derived from the numbers in the demo record: ring U 0.00004 in and gauge U 0.00006 in with k 2, 1 K between
/// barrel and gauge (rectangular) at 11.5e-6 1/K, half a graduation of 0.0001 in, two repeats.
#[test]
fn an_uncertainty_is_told_apart_by_what_it_is_common_to() {
    let followed = follow(&demo_sheets(&["wexcombe_fast_barrel"]));
    let history = followed.history("WX-2001").unwrap();
    let bore = latest(history, &Figure::LargestBore).points[0].reading;
    let near = |found: f64, inch: f64| assert!((found / (25.4 * inch) - 1.0).abs() < 0.01, "{found} {inch}");
    let parts = bore.parts();
    near(parts.standard, 0.000_02);
    near(parts.survey, 0.000_03_f64.hypot(5.127 * 11.5e-6 / 3_f64.sqrt()));
    // The readings scatter by a unit at most, so their mean of two is surer than that.
    let resolution = 25.4 * 0.000_05 / 3_f64.sqrt();
    assert!(parts.reading > resolution && parts.reading < 25.4 * 0.000_1, "{}", parts.reading);
    assert_eq!((bore.budget_dof(), bore.setting()), (4, Some(0)));
    assert_eq!(history.sightings[0].sheet.standards, ["5.1250 ring, 130.1750000 mm"]);
    // What is common drops out of a difference but for rounding.
    let taper = latest(history, &Figure::Row(RowName::Taper)).points[0].reading.parts();
    assert!(taper.standard == 0.0 && taper.survey < 1e-6 && taper.reading > 0.0, "{taper:?}");
    // Without a calibration the budget is worth nothing.
    let unknown = bore_of_the_first(&single(&[(1000.0, "5.0020")]));
    assert_eq!((unknown.budget_dof(), unknown.setting()), (0, Some(0)));
}

// ---- the index

fn all(jobs: Vec<Job>) -> Vec<Done> {
    jobs.iter().map(Job::run).collect()
}

/// As though the file had been written an hour ago.
fn settle(path: &Path) {
    let hour_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(3600);
    std::fs::File::options().write(true).open(path).unwrap().set_modified(hour_ago).unwrap();
}

#[test]
fn only_changed_records_are_read_again() {
    let folder = tempfile::tempdir().unwrap();
    let names = ["wexcombe_six", "wexcombe_pair_a", "skarvoy_320"];
    let mut files: Vec<PathBuf> = names
        .iter()
        .map(|name| {
            let to = folder.path().join(format!("{name}.ron"));
            std::fs::copy(demo(name), &to).unwrap();
            settle(&to);
            to
        })
        .collect();
    let limits = folder.path().join("limits.ron");
    std::fs::copy(
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../..")).join("limits/wexcombe_six.ron"),
        &limits,
    )
    .unwrap();
    let broken = folder.path().join("broken.ron");
    std::fs::write(&broken, "EngineRecord(format: 2, engine: (").unwrap();
    settle(&limits);
    settle(&broken);
    files.extend([limits, broken]);

    let mut index = Index::default();
    let first = index.refresh(&files, all);
    assert_eq!((first.files, first.read), (5, 5));
    assert_eq!(index.sheets().len(), 3 + 3 + 2);
    assert_eq!(index.reported().count(), 1, "{:?}", index.reported().collect::<Vec<_>>());
    let kept = kept_file(&folder.path().join("kept"), &[folder.path().to_owned()]);
    index.save(&kept).unwrap();

    // Kept and read again it is the same. Just written, the records are looked at and not worked out; two seconds
    // later they are not even looked at.
    let mut again = Index::load(&kept);
    assert_eq!(again, index);
    assert_eq!(again.refresh(&files, all).read, 0);
    std::thread::sleep(std::time::Duration::from_millis(2_100));
    assert_eq!(again.refresh(&files, all).read, 0);
    again.refresh(&files, |jobs| {
        assert!(jobs.is_empty(), "{jobs:?}");
        all(jobs)
    });
    assert_eq!(again.sheets(), index.sheets());

    // Touched but unchanged: looked at, not worked out. Changed: worked out.
    std::fs::File::options()
        .write(true)
        .open(&files[0])
        .unwrap()
        .set_modified(std::time::SystemTime::now())
        .unwrap();
    let text =
        std::fs::read_to_string(&files[1]).unwrap().replace("total_hours: 2700.0", "total_hours: 2800.0");
    std::fs::write(&files[1], text).unwrap();
    let mut jobs = 0;
    let changed = again.refresh(&files, |list| {
        jobs = list.len();
        all(list)
    });
    assert_eq!((jobs, changed.read), (2, 1));
    assert!(again.sheets().iter().any(|sheet| sheet.total_hours == Some(2800.0)));
    // Just written: not trusted by its time, but by its text.
    assert_eq!(again.refresh(&files, all).read, 0);
    // Another content of the same size, with the time that the file had: seen all the same.
    let time = std::fs::metadata(&files[1]).and_then(|about| about.modified()).unwrap();
    let text =
        std::fs::read_to_string(&files[1]).unwrap().replace("total_hours: 2800.0", "total_hours: 2900.0");
    std::fs::write(&files[1], text).unwrap();
    std::fs::File::options().write(true).open(&files[1]).unwrap().set_modified(time).unwrap();
    assert_eq!(again.refresh(&files, all).read, 1);
    assert!(again.sheets().iter().any(|sheet| sheet.total_hours == Some(2900.0)));

    // A record that is gone is forgotten, and so is one that was stopped at.
    assert_eq!(again.refresh(&files[1..2], all).files, 1);
    assert_eq!(again.len(), 1);
    again.refresh(&files, |_| Vec::new());
    assert!(again.len() < files.len());
}

#[test]
fn a_damaged_kept_file_counts_as_none() {
    let folder = tempfile::tempdir().unwrap();
    let kept = folder.path().join("kept.jsonl");
    assert!(Index::load(&kept).is_empty());
    let mut index = Index::default();
    index.refresh(&[demo("wexcombe_pair_a")], all);
    index.save(&kept).unwrap();
    let good = std::fs::read_to_string(&kept).unwrap();
    assert_eq!(Index::load(&kept).len(), 1);
    let (third, half) = (good.len() / 3, good.len() / 2);
    // Any one bit, wherever it is: most of them leave a text that can be read, and would give other figures.
    for at in (0..good.len()).step_by(7).chain([good.len() - 1]) {
        let mut bad = good.clone().into_bytes();
        bad[at] ^= 1;
        std::fs::write(&kept, bad).unwrap();
        assert!(Index::load(&kept).is_empty(), "byte {at}");
    }
    let (lines, digest) = good.trim_end().rsplit_once('\n').unwrap();
    for bad in [
        "",
        "{}\n",
        "{\"BorewrightTrendIndex\":999}\n",
        good.get(..half).unwrap(),
        good.get(third..).unwrap(),
        lines,
        digest,
        &format!("{good}\n"),
        &format!("{good}{digest}\n"),
        &good.replace("\"scheme\":0", "\"scheme\":7"),
        &good.replacen("\"readings\":\"", "\"readings\":\"!", 1),
    ] {
        std::fs::write(&kept, bad).unwrap();
        assert!(Index::load(&kept).is_empty());
    }
    std::fs::write(&kept, [0xff, 0xfe, 0x00]).unwrap();
    assert!(Index::load(&kept).is_empty());
}

#[test]
fn a_fast_first_interval_of_a_new_cylinder_is_kept_apart() {
    // 0.0020 in within 250 h, then 0.0005 in for every 1 000 h.
    let values =
        [(50.0, "5.0010"), (300.0, "5.0030"), (1300.0, "5.0035"), (2300.0, "5.0040"), (3300.0, "5.0045")];
    let running_in = bore(&single_from_new(&values));
    let found = running_in.running_in.expect("the first interval is faster");
    assert!((found.rate / found.since - 16.0).abs() < 0.1, "0.008 against 0.0005 in per 1000 h");
    assert_eq!((running_in.points.len(), running_in.steady().len()), (5, 4));
    let line = running_in.line.as_ref().unwrap();
    assert!((line.slope / 25.4 - 0.0005e-3).abs() < 1e-12);
    has(&running_in.sentences(), "that is taken for running-in, and the line begins at the second survey.");
    has(&running_in.sentences(), "4 of 5 surveys:");
    // Not where the cylinder was not new before the first survey: it may have run in long ago.
    assert!(bore(&single(&values)).running_in.is_none());
    // Not on three surveys, which cannot tell.
    assert!(bore(&single_from_new(&values[..3])).running_in.is_none());
    // Not where the first survey lies on the line, or above it.
    for first in ["5.0028", "5.0031"] {
        let mut steady = values;
        steady[0].1 = first;
        assert!(bore(&single_from_new(&steady)).running_in.is_none(), "{first}");
    }
}

#[test]
fn a_survey_on_the_desk_counts_before_its_copy_in_another_file() {
    let reported = |name: &str| {
        let path = demo(name);
        sheets(&file::load_record(&path).value.unwrap(), None)
    };
    let mut own = reported("wexcombe_pair_a");
    let (same, other) = (reported("wexcombe_pair_a").sheets, reported("wexcombe_pair_b").sheets);
    let alone = Across::of(&own, &[]);
    let both = Across::of(&own, &other);
    let twice = Across::of(&own, &[same.clone(), other].concat());
    assert!(twice.reported.is_empty(), "{:?}", twice.reported);
    assert_eq!(twice.followed, both.followed);
    let surveys = |across: &Across| across.followed.history("WX-3103").map(|h| h.sightings.len());
    assert!(surveys(&alone) < surveys(&both), "it moved to the other engine");
    // Changed while open, its older copy would contradict it.
    let mut changed = SurveySheet::clone(&own.sheets[0]);
    changed.total_hours = changed.total_hours.map(|hours| hours + 1.0);
    own.sheets[0] = Arc::new(changed);
    let twice = Across::of(&own, &same);
    has(&twice.reported, "is also in another file, with other values; what is that is open counts.");
    assert_eq!(twice.followed.histories.len(), alone.followed.histories.len());
    assert!(alone.stand(&Figure::Row(RowName::Choke), Time::Years).is_some());
}

#[test]
fn another_survey_of_the_engine_or_of_the_day_is_no_copy() {
    let one = |engine, serial, date, hours| {
        let barrels = [("1", serial, "", "5.0002", "5.0020")];
        sheets_of(&record(engine, &[survey(date, hours, &barrels)], "0.8"))
    };
    let own = Sheets { sheets: one("E1", "S-1", "2010-06-01", "total_hours: 1000.0,"), reported: Vec::new() };
    let later = one("E1", "S-1", "2011-06-01", "total_hours: 2000.0,");
    let elsewhere = one("E2", "S-2", "2010-06-01", "total_hours: 1000.0,");
    let across = Across::of(&own, &[later, elsewhere].concat());
    assert!(across.reported.is_empty(), "{:?}", across.reported);
    let surveys = |serial| across.followed.history(serial).map(|history| history.sightings.len());
    assert_eq!((surveys("S-1"), surveys("S-2")), (Some(2), Some(1)));
}

#[test]
fn a_short_span_has_a_digit_more() {
    let shown = |time: Time, spans: &[f64]| spans.iter().map(|span| time.number(*span)).collect::<Vec<_>>();
    let hours = shown(Time::Hours, &[0.0, 0.04, 0.1, 7.6, 10.4, 1840.0, 100_001.0]);
    assert_eq!(hours, ["0", "less than 0.1", "0.1", "7.6", "10", "1840", "over 100000"]);
    let years = shown(Time::Years, &[0.0, 0.004, 0.01, 0.84, 1.0, 12.3, 1001.0]);
    assert_eq!(years, ["0.0", "less than 0.01", "0.01", "0.84", "1.0", "12.3", "over 1000"]);
}
