//! Published cases, whole: from the file through loader, validator, figures and judging.
//!
//! Each test names its source and its grade: P, published digits that recomputation reproduces; D, derived
//! from plain geometry or algebra.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use figures::{out_of_round, taper};
use judging::row::RowStatus;
use judging::{Assessment, Recommendation};
use quantities::length::{Length, Mean, Unit};
use records::bore::Scope;
use records::file;
use records::limits::Limits;
use records::limits::rows::RowKind;
use records::limits::schema::{OutOfRoundRule, TaperRule};
use records::limits::validate::validate;
use records::record::resolve;
use records::record::schema::EngineRecord;
use records::survey::Survey;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name)
}

fn inches(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

fn mean(text: &str) -> Mean {
    inches(text).into()
}

fn limits(name: &str) -> Arc<Limits> {
    let reported = file::load_limits(&fixture(name));
    assert_eq!(reported.diagnostics, [], "{name}");
    let table = reported.value.unwrap();
    let errors: Vec<_> = validate(&table).into_iter().filter(|reported| reported.is_error()).collect();
    assert_eq!(errors, [], "{name}");
    Arc::new(Limits::resolve(&table).unwrap())
}

fn survey(record: &EngineRecord, limits: Arc<Limits>) -> Survey {
    let reported = resolve::survey(record, 0, Some(limits));
    assert_eq!(reported.diagnostics, []);
    reported.value.unwrap()
}

/// A record of one cylinder of a size, with one diameter (pin, thrust) at each of the Army table's stations.
fn army_record(size: &str, stations: [[&str; 2]; 5]) -> EngineRecord {
    let mut readings = String::new();
    for (name, pair) in ["A", "B", "C", "D", "E"].iter().zip(stations) {
        for (axis, reading) in ["pin", "thrust"].iter().zip(pair) {
            readings += &format!(r#"(station: "{name}", axis: "{axis}", entered: ["{reading}"]),"#);
        }
    }
    let text = format!(
        r#"EngineRecord(format: 2, engine: (model: "fixture", serial: "1"), overhauls: [(
            date: "2000-01-01", unit: Inch,
            cylinders: [(position: "1", serial: "A-1", size: {size}, looked_over: true, readings: [{readings}])],
        )])"#
    );
    let reported = file::record_from_text(&text, None);
    assert_eq!(reported.diagnostics, []);
    reported.value.unwrap()
}

fn assess(size: &str, stations: [[&str; 2]; 5]) -> (Assessment, Arc<Limits>) {
    let limits = limits("army_tm_9_2815_220_24.ron");
    let survey = survey(&army_record(size, stations), Arc::clone(&limits));
    (judging::assess(&survey.cylinders[0], &survey), limits)
}

/// Head end first: A and B smaller than the base, as a choked barrel is.
fn choked(worst: &'static str) -> [[&'static str; 2]; 5] {
    [
        ["5.7540", "5.7540"],
        ["5.7550", "5.7550"],
        ["5.7560", "5.7560"],
        ["5.7590", worst],
        ["5.7570", "5.7570"],
    ]
}

/// US Army TM 9-2815-220-24, WP 0135 (grade P): wear limit 5.7600 for the standard bore, out-of-round limit
/// 0.0030; each oversize 0.010 more.
#[test]
fn army_table_limits() {
    let (at_limit, _) = assess("Standard", choked("5.7600"));
    assert_eq!(at_limit.recommendation, Recommendation::Serviceable);
    assert_eq!(at_limit.rows[0].status, RowStatus::WithinServiceable);
    assert_eq!(at_limit.rows[0].margin, Some(Mean::ZERO), "exactly on the limit is within");

    // 5.7601, against 5.7510 as made: 5.7601 if it wore evenly, 2 x 5.7601 - 5.7510 = 5.7692 if on one side.
    let (over, limits) = assess("Standard", choked("5.7601"));
    assert_eq!(over.recommendation, Recommendation::Rebore(2));
    assert_eq!(limits.sizes[2].name, "+0.020 in");
    assert_eq!(over.oversizes[0].needs_if_even, inches("5.7601"));
    assert_eq!(over.oversizes[0].needs_whichever_side, inches("5.7692"));

    let (round, _) = assess(
        "Standard",
        [
            ["5.7540", "5.7540"],
            ["5.7550", "5.7550"],
            ["5.7560", "5.7560"],
            ["5.7560", "5.7590"],
            ["5.7570", "5.7570"],
        ],
    );
    assert_eq!(round.rows[1].status, RowStatus::WithinServiceable, "0.0030 is the limit itself");

    // The same barrel at +0.010: limit 5.7700.
    let (bored, _) = assess(r#"Oversize("0.010")"#, choked("5.7601"));
    assert_eq!(bored.rows[0].margin, Some(mean("0.0099")));
}

/// US Army TM 9-2815-220-24, WP 0135 (grade P): head-end average above flange-end average, replace.
#[test]
fn army_table_lost_choke() {
    let barrel = |head: &'static str| {
        [[head, head], ["5.7550", "5.7550"], ["5.7560", "5.7560"], ["5.7560", "5.7560"], ["5.7570", "5.7570"]]
    };
    let (equal, _) = assess("Standard", barrel("5.7570"));
    assert_eq!(equal.recommendation, Recommendation::Serviceable, "equal is not above");
    let (above, _) = assess("Standard", barrel("5.7571"));
    assert_eq!(above.recommendation, Recommendation::Replace);
    let choke = above.rows.iter().find(|row| row.kind == RowKind::Choke).unwrap();
    assert_eq!((choke.status, choke.margin), (RowStatus::Beyond, Some((-inches("0.0001")).into())));
}

/// W9 (grade P): the inch and millimetre columns of US Army TM 9-2815-220-24, WP 0135, agree at 25.4 exactly.
#[test]
fn w9_columns_agree() {
    let table = file::load_limits(&fixture("army_tm_9_2815_220_24.ron")).value.unwrap();
    let mut pairs = 0;
    for row in &table.bore {
        let records::limits::schema::Limit::At(serviceable) = row.serviceable.as_ref().unwrap() else {
            panic!("an absolute limit")
        };
        for value in [&row.new.0, &row.new.1, serviceable] {
            let printed = records::limits::value::parse(value, Unit::Inch).unwrap();
            assert_eq!(printed.entry.length, printed.other.unwrap().length, "{}", value.text);
            pairs += 1;
        }
    }
    assert_eq!(pairs, 15);
}

/// W2: an engine maker's service instruction of 1967 on nitrided barrels. Lower station 5.1285 / 5.1315, upper
/// 5.1310 / 5.1320 (first axis / second). Averages 5.1300 and 5.1315 and the taper of 0.0015 are published
/// (grade P); the other rules are derived from the same readings (grade D).
#[test]
fn w2_one_barrel_under_every_rule() {
    let record = file::load_record(&fixture("w2_record.ron"));
    assert_eq!(record.diagnostics, []);
    let survey = survey(&record.value.unwrap(), limits("w2_limits.ron"));
    let cylinder = &survey.cylinders[0];
    let scope = survey.limits.bore_scope();
    for (rule, expected) in [
        (TaperRule::AxisAverages, "0.0015"),
        (TaperRule::PerAxisEnds, "0.0025"),
        (TaperRule::LargestTopSmallestBottom, "0.0035"),
        (TaperRule::PerAxisRange, "0.0025"),
        (TaperRule::AllReadings, "0.0035"),
    ] {
        let figure = taper::taper(&cylinder.bore, rule, &scope).known().unwrap();
        assert_eq!(figure.value, inches(expected), "{}", rule.words());
    }
    let by_axis = |axis| taper::end_to_end(&cylinder.bore, &[0, 1], axis).unwrap().value;
    assert_eq!([by_axis(0), by_axis(1)], [mean("0.0025"), mean("0.0005")]);
    let at = |station| out_of_round::at(&cylinder.bore, station).unwrap().value;
    assert_eq!([at(1), at(0)], [mean("0.0030"), mean("0.0010")], "lower, upper");
    let worst = out_of_round::out_of_round(&cylinder.bore, OutOfRoundRule::PerStation, &scope);
    assert_eq!(worst.known().unwrap().value, inches("0.0030"));
    let average = |station: usize| {
        let one = [station];
        let scope = Scope { stations: &one, ..scope.clone() };
        figures::diameter::average_diameter(&cylinder.bore, &scope).known().unwrap().value
    };
    assert_eq!([average(1), average(0)], [mean("5.1300"), mean("5.1315")]);
}

/// W3 (grade P, US Army TM 9-2815-205-24): a 0.004 in feeler withdrawn at 6 lb means a skirt clearance of
/// 0.005 in. A clearance found so is entered itself, and counts before one computed from bore and skirt.
#[test]
fn w3_a_clearance_measured_itself_counts() {
    let limits = r#"TableOfLimits(format: 1, identity: "W3", revision: "1", engine: "a fixture",
        source: Manual(document: "US Army TM 9-2815-205-24"),
        stations: [(name: "A", depth: "1", role: RunningSurface)],
        axes: [(label: "pin", degrees: 0), (label: "thrust", degrees: 90)],
        bore: [(size: Standard, new: ("4.0000", "4.0010"), serviceable: At("4.0100"))],
        wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0",
        fits: [(reference: "1", description: "skirt in bore", kind: SkirtInBore, new: ("0.0030 L", "0.0050 L"))])"#;
    let limits = Arc::new(Limits::resolve(&file::limits_from_text(limits, None).value.unwrap()).unwrap());
    let record = r#"EngineRecord(format: 2, engine: (model: "a fixture", serial: "1"), overhauls: [(date: "2000-01-01",
        cylinders: [(position: "1", serial: "1", readings: [
            (station: "A", axis: "pin", entered: ["4.0000"]), (station: "A", axis: "thrust", entered: ["4.0000"])],
            fits: [(row: "1", shaft: "3.9900", clearance: "0.005 L")])])])"#;
    let survey = survey(&file::record_from_text(record, None).value.unwrap(), limits);
    let fits = judging::assess(&survey.cylinders[0], &survey).fits;
    assert_eq!(fits[0].largest, Some(mean("0.005")), "not the 0.0100 from bore and skirt");
    assert_eq!(fits[0].status, RowStatus::WithinNew);
}

/// W11 (grade P, US Army TM 9-6115-670-14&P): six diameters, new 67.000 to 67.019 mm; largest minus smallest
/// beyond 0.15 mm, replace.
#[test]
fn w11_largest_minus_smallest() {
    let record = file::load_record(&fixture("w11_record.ron")).value.unwrap();
    let survey = survey(&record, limits("w11_limits.ron"));
    let assess = |index: usize| judging::assess(&survey.cylinders[index], &survey);
    assert_eq!(assess(0).recommendation, Recommendation::Replace);
    let on_limit = assess(1);
    let range = on_limit.rows.iter().find(|row| matches!(row.kind, RowKind::Taper(_))).unwrap();
    assert_eq!((range.status, range.margin), (RowStatus::WithinServiceable, Some(Mean::ZERO)));
}
