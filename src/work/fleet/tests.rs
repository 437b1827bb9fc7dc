use std::io::{self, Read};
use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use judging::row::RowStatus;
use judging::slips::SlipKind;
use quantities::length::{Length, Unit};
use records::limits::rows::RowKind;
use records::limits::schema::TableOfLimits;
use records::record::resolve;
use records::record::schema::EngineRecord;

/// Invented: two stations, two axes, a bore of 5.1250 in, and one oversize.
const TABLE: &str = r#"(
    format: 1, identity: "TRIAL", revision: "1", engine: "Trial (invented)",
    source: Illustrative(remark: "Invented for tests."),
    stations: [(name: "Top", depth: "0.8", role: TopOfRingTravel), (name: "Low", depth: "5.0", role: BaseEnd)],
    axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0)],
    bore: [
        (size: Standard, new: ("5.1250", "5.1260"), serviceable: At("5.1290")),
        (size: Oversize("0.010"), new: ("5.1350", "5.1360"), serviceable: At("5.1390")),
    ],
    taper: (rule: AxisAverages, serviceable: At("0.0030")),
    out_of_round: (rule: PerStation, serviceable: At("0.0020")),
    wall: (surface: Plain, cut: Allowed),
    clean_up_allowance: "0.0010",
)"#;

fn limits() -> Arc<Limits> {
    let table: TableOfLimits = records::file::from_text(TABLE, None).value.unwrap();
    Arc::new(Limits::resolve(&table).unwrap())
}

struct Judged {
    lines: Vec<FleetLine>,
    notes: Vec<Diagnostic>,
    result: Result<Tally, FleetError>,
}

impl Judged {
    fn tally(&self) -> &Tally {
        self.result.as_ref().unwrap()
    }

    fn words(&self) -> Vec<String> {
        self.lines.iter().map(|line| line.assessment.recommendation.words(&limits())).collect()
    }

    /// Every error of every line, as it is shown.
    fn errors(&self) -> Vec<String> {
        self.lines.iter().flat_map(|line| &line.diagnostics).map(ToString::to_string).collect()
    }
}

fn judge_input(input: impl Read) -> Judged {
    let (mut lines, mut notes) = (Vec::new(), Vec::new());
    let result = judge_csv(input, limits(), &mut |note| notes.push(note), &mut |line| lines.push(line));
    Judged { lines, notes, result }
}

fn judge_text(text: &str) -> Judged {
    judge_input(text.as_bytes())
}

const HEADER: &str = "engine,overhaul,cylinder,position,size,station,axis,repeat,reading,unit\n";

/// Four readings of a cylinder, one in each cell.
fn rows(cylinder: &str, readings: [&str; 4]) -> String {
    let cells = [("Top", "pin"), ("Top", "thrust"), ("Low", "pin"), ("Low", "thrust")];
    cells
        .iter()
        .zip(readings)
        .map(|((station, axis), reading)| {
            format!("E1,2024-03-01,{cylinder},1,standard,{station},{axis},,{reading},\n")
        })
        .collect()
}

fn inches(text: &str) -> Length {
    Length::parse(text, Unit::Inch).unwrap().length
}

#[test]
fn a_small_fleet_checked_by_hand() {
    // K-1: largest 5.1272 (0.0018 left), taper (5.1271 - 5.12615) = 0.00095, out-of-round 0.0002.
    // K-2: exactly on the bore's limit is within it.
    // K-3: 5.1291 is 0.0001 over. From 5.1250 it wore 0.0041; whichever side, a clean bore needs
    // 5.1291 + 0.0041 + 0.0010 = 5.1342, and the oversize is finished to 5.1350.
    // K-4: 5.1300 needs 5.1300 + 0.0050 + 0.0010 = 5.1360 whichever side: no oversize is certain.
    let text = format!(
        "{HEADER}{}{}{}{}",
        rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"]),
        rows("K-2", ["5.1290", "5.1280", "5.1270", "5.1265"]),
        rows("K-3", ["5.1291", "5.1280", "5.1270", "5.1265"]),
        rows("K-4", ["5.1300", "5.1290", "5.1280", "5.1275"]),
    );
    let judged = judge_text(&text);
    assert_eq!(judged.words(), ["serviceable", "serviceable", "rebore to +0.010 in", "replace"]);
    assert_eq!(judged.errors(), Vec::<String>::new());
    let tally = judged.tally();
    assert_eq!((tally.rows, tally.cylinders, tally.errors), (16, 4, 0));
    assert_eq!(
        (tally.serviceable, &tally.rebore[..], tally.replace, tally.not_decided),
        (2, &[0, 1][..], 1, 0)
    );
    let first = &judged.lines[0];
    assert_eq!((first.line, first.engine.as_str(), first.overhaul.as_str()), (2, "E1", "2024-03-01"));
    assert_eq!(judged.lines[3].line, 14);
    let [bore, taper, round] = &first.assessment.rows[..] else { panic!("three rows") };
    assert!(matches!(bore.kind, RowKind::Bore(_)) && bore.status == RowStatus::WithinServiceable);
    assert_eq!(bore.margin.unwrap(), inches("0.0018"));
    assert_eq!(taper.figure.as_ref().unwrap().value, inches("0.00095"));
    assert_eq!(round.figure.as_ref().unwrap().value, inches("0.0002"));
    assert_eq!(judged.lines[1].assessment.rows[0].margin.unwrap(), Length::ZERO);
    assert_eq!(first.basis, Basis::ReadingsAlone);
}

#[test]
fn columns_in_any_order_and_case_and_parted_by_anything() {
    let plain = judge_text(&format!("{HEADER}{}", rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"])));
    let other = "\u{feff}Reading;AXIS; Station ;Size;Cylinder;Overhaul;Engine\r\n\
        \"5,1270\";PIN;top;Standard;K-1;2024-03-01;E1\r\n\
        5,1272;Thrust;TOP;;K-1;2024-03-01;E1\r\n\
        5.1261;pin;Low;;K-1;2024-03-01;E1\r\n\
        5.1262;thrust;low;;K-1;2024-03-01;E1\r\n";
    let tabs = other.replace(';', "\t").replace('\r', "");
    for text in [other, &tabs] {
        let judged = judge_text(text);
        assert_eq!(judged.errors(), Vec::<String>::new());
        assert_eq!(judged.lines[0].assessment.rows, plain.lines[0].assessment.rows);
    }
}

#[test]
fn a_decimal_comma_stands_in_quotation_marks() {
    let quoted = rows("K-1", ["\"5,1270\"", "5.1272", "5.1261", "5.1262"]);
    assert_eq!(judge_text(&format!("{HEADER}{quoted}")).words(), ["serviceable"]);
    let bare = rows("K-1", ["5,1270", "5.1272", "5.1261", "5.1262"]);
    let judged = judge_text(&format!("{HEADER}{bare}"));
    assert_eq!(judged.words(), ["not decided"]);
    assert_eq!(
        judged.errors(),
        ["line 2, column 1: error: engine E1, overhaul 2024-03-01, cylinder 1 (K-1): \
             the row has 11 columns, the header has 10. \
             Put a number with a decimal comma, such as 130,19, in quotation marks, or part the columns by semicolons."]
    );
}

#[test]
fn units_may_be_mixed_but_not_contradict() {
    // 130.2258 mm is 5.1270 in and 130.23088 mm is 5.1272 in, exactly (25.4 mm to the inch).
    let text = format!(
        "{HEADER}\
        E1,1,K-1,1,,Top,pin,1,130.2258,mm\nE1,1,K-1,1,,Top,thrust,1,130.23088 mm,\n\
        E1,1,K-1,1,,Low,pin,1,5.1261,IN\nE1,1,K-1,1,,Low,thrust,1,5126.2,thou\n"
    );
    let judged = judge_text(&text);
    assert_eq!(judged.errors(), Vec::<String>::new());
    assert_eq!(judged.lines[0].assessment.rows[0].figure.as_ref().unwrap().value, inches("5.1272"));
    let both = judge_text(&text.replace("130.2258,mm", "130.2258 mm,in"));
    assert!(
        both.errors()[0].contains("column reading: itself says mm, and the column for the unit says in.")
    );
    let ells = judge_text(&text.replace("130.2258,mm", "130.2258,ell"));
    assert!(ells.errors()[0].contains("column unit: `ell` is not a unit of length"), "{:?}", ells.errors());
    assert_eq!(ells.words(), ["not decided"]);
}

#[test]
fn a_bad_row_keeps_its_own_cylinder_from_being_decided_and_no_other() {
    let good = rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"]);
    let after = rows("K-3", ["5.1270", "5.1272", "5.1261", "5.1262"]);
    // What is wrong, the column of the text in its row, and what must be said.
    let cases = [
        ("E1,1,K-2,1,,Top,pin,,five,\n", 22, "column reading: `five` is not a length; write a number"),
        ("E1,1,K-2,1,,Top,pin,,5.12x0,\n", 22, "column reading: `x0` is not a unit of length known here"),
        ("E1,1,K-2,1,,Top,pin,,,\n", 22, "column reading: nothing is written here"),
        (
            "E1,1,K-2,1,,Tpo,pin,,5.1270,\n",
            13,
            "column station: the table of limits has no station `Tpo`. Is `Top` meant?",
        ),
        (
            "E1,1,K-2,1,,Top,pn,,5.1270,\n",
            17,
            "column axis: the table of limits has no axis `pn`. Is `pin` meant?",
        ),
        ("E1,1,K-2,1,,Top,pin,one,5.1270,\n", 21, "column repeat: `one` is not the number of a repeat."),
        (
            "E1,1,K-2,1,0.013,Top,pin,,5.1270,\n",
            12,
            "column size: the table of limits has no row for the size `0.013`. It has: standard, +0.010 in.",
        ),
        ("E1,1,K-2,1,,Top,pin,,51270,\n", 22, "column reading: `51270` is longer than ten metres"),
        (
            "E1,1,K-2,1,,Top,pin,,0.0127,\n",
            22,
            "column reading: a diameter of 0.0127 in is one that no bore has.",
        ),
        ("E1,1,K-2,1,,Top,\n", 1, "the row has 7 columns, the header has 10."),
        (
            "E1,1,K-2,1,,Top,\"p,\"\"i\"\"n\",,5.1270,\n",
            17,
            "column axis: the table of limits has no axis `p,\"i\"n`.",
        ),
        ("E1,1,K-2,1,,\"Top\",pin,,five,\n", 24, "column reading: `five`"),
    ];
    for (row, column, said) in cases {
        let judged = judge_text(&format!("{HEADER}{good}{row}{after}"));
        assert_eq!(judged.words(), ["serviceable", "not decided", "serviceable"], "{row}");
        let errors = judged.errors();
        assert_eq!(errors.len(), 1, "{errors:?}");
        assert!(errors[0].contains(said), "{}\n{said}", errors[0]);
        let at = judged.lines[1].diagnostics[0].position.unwrap();
        // Line 6 follows the header and K-1.
        assert_eq!((at.line, at.column), (6, column), "{row}");
        assert!(judged.lines[1].cylinder.unreadable[0].starts_with("line 6"));
        assert_eq!(judged.tally().errors, 1);
    }
}

#[test]
fn lines_and_columns_are_those_an_editor_shows() {
    let all_quoted = "\"engine\",\"overhaul\",\"cylinder\",\"size\",\"station\",\"axis\",\"reading\"\r\n\r\n\
        \"É1\",\"a \"\"b\"\"\",\"K-2\",\"\",\"Top\",\"pin\",\"x\"\r\n";
    let at = judge_text(all_quoted).lines[0].diagnostics[0].position.unwrap();
    // "É1", is 5 characters, "a ""b""", 10, "K-2", 6, "", 3, "Top", 6, "pin", 6: the next one is the 37th.
    assert_eq!((at.line, at.column), (3, 37));
    let no_newline =
        "engine,overhaul,cylinder,size,station,axis,reading\n\n\nE,1,K,,\"a\nb\",pn,5\nE,1,K,,Top,pin,x";
    let lines: Vec<_> =
        judge_text(no_newline).lines[0].diagnostics.iter().map(|d| d.position.unwrap()).collect();
    assert_eq!(lines.iter().map(|at| (at.line, at.column)).collect::<Vec<_>>(), [(4, 8), (5, 4), (6, 16)]);
}

#[test]
fn what_belongs_to_the_cylinder_must_not_change_from_row_to_row() {
    let text = format!(
        "{HEADER}E1,1,K-1,1,0.010,Top,pin,1,5.1360,\nE1,1,K-1,1,,Top,thrust,1,5.1361,\n\
        E1,1,K-1,2,0.010,Low,pin,1,5.1360,\nE1,1,K-1,1,standard,Low,thrust,1,5.1360,\n"
    );
    let judged = judge_text(&text);
    assert_eq!(judged.words(), ["not decided"]);
    let errors = judged.errors();
    assert!(
        errors[0]
            .contains("column position: `2` is written here, and `1` in the cylinder's first row (line 2).")
    );
    assert!(errors[1].contains("column size: `standard` is written here, and `0.010`"));
    assert_eq!(errors.len(), 2);
}

#[test]
fn what_stands_between_quotation_marks_parts_nothing() {
    // Both rows read `a,b,c` in front; the engine of the one is `a,b` and of the other `a`.
    let header = "engine,cylinder,overhaul,size,station,axis,reading\n";
    let judged = judge_text(&format!("{header}\"a,b\",c,1,,Top,pin,5.1261\na,\"b,c\",1,,Top,pin,5.1261\n"));
    let named: Vec<_> =
        judged.lines.iter().map(|line| (line.engine.as_str(), line.cylinder.serial.as_str())).collect();
    assert_eq!(named, [("a,b", "c"), ("a", "b,c")]);
}

#[test]
fn repeats_are_put_in_their_order_and_none_counts_twice() {
    let text = |second: &str| {
        format!(
            "{HEADER}E1,1,K-1,1,,Top,pin,2,5.1272,\nE1,1,K-1,1,,Top,pin,{second},5.1270,\n{}",
            "E1,1,K-1,1,,Top,thrust,,5.1270,\nE1,1,K-1,1,,Low,pin,,5.1261,\nE1,1,K-1,1,,Low,thrust,,5.1262,\n"
        )
    };
    let judged = judge_text(&text("1"));
    let at = records::bore::Point::new(0, 0);
    assert_eq!(
        judged.lines[0].cylinder.bore.cell(at).unwrap().repeats(),
        [inches("5.1270"), inches("5.1272")]
    );
    let twice = judge_text(&text("2"));
    assert!(
        twice.errors()[0].contains("column repeat: this repeat of the station and axis is written twice.")
    );
    assert_eq!(twice.words(), ["not decided"]);
    let many: String = (0..51).map(|_| "E1,1,K-1,1,,Top,pin,,5.1270,\n").collect();
    let judged = judge_text(&format!("{HEADER}{many}"));
    assert!(judged.errors()[0].contains("more than the 50 repeats"), "{:?}", judged.errors());
}

#[test]
fn nobody_looked_is_told_apart_from_nothing_found() {
    let with = |looked: &str| {
        let rows = rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"]);
        let rows: String = rows.lines().map(|row| format!("{row},{looked}\n")).collect();
        judge_text(&format!("{},Looked Over\n{rows}", HEADER.trim_end()))
    };
    for (looked, words, basis) in [
        ("", "serviceable", Basis::ReadingsAlone),
        ("Yes", "serviceable", Basis::LookedOver),
        ("no", "not decided", Basis::NotLookedOver),
        ("maybe", "not decided", Basis::NotLookedOver),
    ] {
        let judged = with(looked);
        assert_eq!((judged.words()[0].as_str(), judged.lines[0].basis), (words, basis), "{looked}");
        assert_eq!(judged.tally().errors, u64::from(looked == "maybe"));
    }
}

#[test]
fn a_cylinder_that_comes_back_is_an_error() {
    let first = rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"]);
    let second = rows("K-2", ["5.1270", "5.1272", "5.1261", "5.1262"]);
    let judged = judge_text(&format!("{HEADER}{first}{second}{first}"));
    assert_eq!(judged.words(), ["serviceable", "serviceable", "not decided"]);
    let errors = judged.errors();
    assert_eq!(errors.len(), 1);
    assert!(
        errors[0].starts_with(
            "line 10, column 1: error: engine E1, overhaul 2024-03-01, cylinder 1 (K-1): rows of"
        )
    );
    // The same cylinder at another overhaul is another matter.
    let later = first.replace("2024-03-01", "2026-03-01");
    assert_eq!(judge_text(&format!("{HEADER}{first}{second}{later}")).tally().errors, 0);
}

#[test]
fn so_many_cylinders_are_remembered() {
    let mut recent = rows::Recent::default();
    for cylinder in 0..REMEMBERED as u64 {
        assert!(!recent.came_back(cylinder));
    }
    assert!(recent.came_back(0));
    assert!(!recent.came_back(u64::MAX));
    assert!(!recent.came_back(0), "documented: farther back it is not noticed");
}

#[test]
fn a_cylinder_without_a_serial_goes_by_its_position() {
    let text = format!("{HEADER}{}", rows("", ["5.1270", "5.1272", "5.1261", "5.1262"]));
    let text =
        format!("{text}{}", rows("", ["5.1270", "5.1272", "5.1261", "5.1262"]).replace(",,1,", ",,2,"));
    assert_eq!(judge_text(&text).words(), ["serviceable", "serviceable"]);
    let nameless = judge_text(&text.replace(",,1,", ",,,").replace(",,2,", ",,,"));
    assert!(nameless.errors()[0].contains("column cylinder: nothing says which cylinder it is."));
}

#[test]
fn a_header_says_what_is_needed() {
    let refused = |text: &str| judge_text(text).result.unwrap_err().to_string();
    assert!(refused("").contains("the file is empty"));
    assert!(refused("\r\n\n").contains("the file is empty"));
    assert_eq!(
        refused("engine,overhaul,cylinder,size,statoin,axis,reading\n"),
        "line 1, column 1: error: the header has no column station. The first line must name the columns engine, \
         overhaul, cylinder, size, station, axis, reading, in any order. Is `station` meant by `statoin`?"
    );
    assert!(refused("5.1,5.2\n").contains("the header has no column engine, overhaul, cylinder"));
    assert!(refused(&HEADER.replace("unit", "axis")).contains("the header names the column `axis` twice"));
    let noted = judge_text(&HEADER.replace("unit", "inspector"));
    assert!(noted.notes[0].to_string().contains("note: the column `inspector` is not used."));
    assert!(noted.notes[1].to_string().contains("error: there are no readings below the header."));
    assert_eq!(noted.tally().errors, 1);
}

#[test]
fn blank_rows_are_passed_over() {
    let text = format!("{HEADER}\n{},,,,,,,,,\n \n", rows("K-1", ["5.1270", "5.1272", "5.1261", "5.1262"]));
    let judged = judge_text(&text);
    assert_eq!((judged.words(), judged.tally().rows), (vec!["serviceable".to_owned()], 4));
}

/// A fleet made while it is read.
struct Endless {
    header: &'static [u8],
    rows: u64,
    made: u64,
    row: Vec<u8>,
    make: fn(u64) -> String,
}

impl Endless {
    fn new(rows: u64, make: fn(u64) -> String) -> Self {
        Self { header: HEADER.as_bytes(), rows, made: 0, row: Vec::new(), make }
    }
}

impl Read for Endless {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if !self.header.is_empty() {
            return self.header.read(buffer);
        }
        if self.row.is_empty() && self.made < self.rows {
            self.row = (self.make)(self.made).into_bytes();
            self.made += 1;
        }
        let count = self.row.len().min(buffer.len());
        buffer[..count].copy_from_slice(&self.row[..count]);
        self.row.drain(..count);
        Ok(count)
    }
}

fn good_row(i: u64) -> String {
    let station = if i % 4 < 2 { "Top" } else { "Low" };
    let axis = if i.is_multiple_of(2) { "pin" } else { "thrust" };
    format!("E{},1,K-{},1,,{station},{axis},,5.126{},\n", i / 24, i / 4, i % 7)
}

#[test]
fn memory_does_not_grow_with_the_file() {
    // 20 000 rows; a batch takes no further cylinder beyond 1 024 rows.
    let mut cylinders = 0;
    let tally =
        judge_csv(Endless::new(20_000, good_row), limits(), &mut |_| {}, &mut |_| cylinders += 1).unwrap();
    assert_eq!((tally.rows, tally.cylinders, cylinders), (20_000, 5_000, 5_000));
    assert!(tally.most_rows_held <= 1_024 + 4, "{}", tally.most_rows_held);
}

#[test]
fn a_cylinder_without_end_does_not_fill_the_memory() {
    let same = |_| "E1,1,K-1,1,,Top,pin,,5.1261,\n".to_owned();
    let judged = judge_input(Endless::new(50_000, same));
    assert_eq!(judged.tally().rows, 50_000);
    // Four cells of fifty repeats.
    assert_eq!(judged.tally().most_rows_held, 200);
    let line = &judged.lines[0];
    assert_eq!((line.errors, line.diagnostics.len()), (151, REPORTED_PER_CYLINDER));
    assert_eq!(line.cylinder.unreadable.last().unwrap(), "and 131 more");
}

#[test]
fn a_quotation_mark_left_open_is_an_error_and_not_the_rest_of_the_file() {
    let broken = |i: u64| if i == 8 { "E9,1,\"K-9,1,,Top,pin,,5.1261,\n".to_owned() } else { good_row(i) };
    let judged = judge_input(Endless::new(60_000, broken));
    let error = judged.result.as_ref().unwrap_err().to_string();
    assert!(
        error.starts_with(
            "line 10, column 1: error: the row that begins here does not end within 65536 bytes."
        ),
        "{error}"
    );
    assert!(error.contains("A quotation mark is probably left open"));
    assert_eq!(judged.words(), ["serviceable"], "the last cylinder before may lack rows");
}

#[test]
fn json_says_what_was_judged() {
    let text = format!(
        "{HEADER}{}{}",
        rows("K-1", ["5.1291", "5.1280", "5.1270", "5.1265"]),
        rows("K-2", ["5.1270", "5.1272", "5.1261", "x"]),
    );
    let judged = judge_text(&text);
    let objects: Vec<serde_json::Value> = judged
        .lines
        .iter()
        .map(|line| {
            let mut out = Vec::new();
            json::write(line, &limits(), &mut out).unwrap();
            serde_json::from_slice(&out).unwrap()
        })
        .collect();
    let first = &objects[0];
    for (field, value) in [
        ("engine", "E1"),
        ("overhaul", "2024-03-01"),
        ("cylinder", "K-1"),
        ("position", "1"),
        ("outcome", "rebore"),
        ("basis", "readings alone"),
        ("unit", "in"),
    ] {
        assert_eq!(first[field], value, "{field}");
    }
    assert_eq!(first["size"]["name"], "standard");
    assert_eq!(
        (&first["rebore_to"]["name"], &first["rebore_to"]["oversize"]["value"]),
        (&"+0.010 in".into(), &"0.01".into())
    );
    let row = &first["rows"][0];
    assert_eq!((&row["row"], &row["status"]), (&"bore".into(), &"beyond".into()));
    assert_eq!(
        (&row["figure"]["value"], &row["limit"]["value"], &row["margin"]["value"]),
        (&"5.1291".into(), &"5.129".into(), &"-0.0001".into())
    );
    // Half a unit of the last digit, rectangular: 0.00005 / sqrt 3 = 0.00002887 in; no repeats, nothing else.
    assert!((row["uncertainty"]["u"].as_f64().unwrap() - 0.000_028_87).abs() < 1e-8, "{row}");
    // 0.0001 over is more than half a digit, which is all that this budget knows of.
    assert_eq!(row["probability_within"], 0.0, "{row}");
    assert!(first["reasons"][0]["sentence"].as_str().unwrap().contains("5.1291 in"));
    // Neither is known of the gauge of a fleet.
    assert_eq!(row["left_out"], serde_json::json!(["calibration", "repeatability"]));
    assert_eq!(row["made_of"].as_array().map(Vec::len), Some(1));
    assert!(first.get("needs").is_none());
    let slips = first["slips"].as_array().unwrap();
    assert!(slips.len() == 1 && slips[0]["sentence"].as_str().unwrap().contains("two axes"), "{slips:?}");
    assert_eq!(first["slips"][0]["kind"], "two axes only", "{first}");
    let second = &objects[1];
    assert_eq!(second["outcome"], "not decided");
    assert_eq!(second["needs"][0]["kind"], "unreadable");
    assert!(second["needs"][0]["sentence"].as_str().unwrap().contains("line 9, column reading: `x`"));
    // What was entered there is to be corrected, not measured as if it were missing.
    assert_eq!(second["needs"].as_array().unwrap().len(), 1);
}

#[cfg(feature = "parallel")]
mod on_all_cores {
    use std::path::Path;

    use super::*;
    use judging::reason;

    fn in_words(line: &FleetLine, limits: &Limits) -> String {
        let first = line.assessment.reasons.first();
        let sentence = first.and_then(|&why| reason::sentence(why, &line.assessment, &line.cylinder, limits));
        let sentence = sentence.unwrap_or_default();
        let outcome = line.assessment.recommendation.words(limits);
        format!("{}: {outcome} ({}). {sentence}\n", line.words(), line.basis.words())
    }

    fn run_all(
        input: impl Read + Send,
        format: FleetFormat,
    ) -> (String, Vec<String>, Result<Tally, FleetError>) {
        let (mut out, mut reported, mut progress) = (Vec::new(), Vec::new(), Vec::new());
        let result = run(
            input,
            Path::new("fleet.csv"),
            limits(),
            format,
            &mut out,
            &mut |diagnostic| reported.push(diagnostic.to_string()),
            &mut |bytes| progress.push(bytes),
        );
        assert!(progress.is_sorted());
        (String::from_utf8(out).unwrap(), reported, result)
    }

    #[test]
    fn the_outcome_and_its_order_are_those_of_one_core() {
        let made = || {
            Endless::new(60_000, |i| if i % 997 == 5 { good_row(i).replace("5.", "x") } else { good_row(i) })
        };
        let one = judge_input(made());
        let (out, reported, result) = run_all(made(), FleetFormat::JsonLines);
        let tally = result.unwrap();
        let mut expected = Vec::new();
        for line in &one.lines {
            json::write(line, &limits(), &mut expected).unwrap();
            expected.push(b'\n');
        }
        assert!(out.as_bytes() == expected, "the lines differ");
        let counts = |t: &Tally| {
            (t.rows, t.cylinders, t.serviceable, t.rebore.clone(), t.replace, t.not_decided, t.errors)
        };
        assert_eq!(counts(&tally), counts(one.tally()));
        assert_eq!((tally.errors, reported.len()), (61, 61));
        assert!(reported[0].starts_with("fleet.csv:7:"), "{}", reported[0]);
        // Two groups of sixteen batches.
        assert!(tally.most_rows_held <= 2 * 16 * (1_024 + 4), "{}", tally.most_rows_held);
    }

    #[test]
    fn words_name_the_cylinder_the_outcome_and_the_reason() {
        let text = format!("{HEADER}{}", rows("K-3", ["5.1291", "5.1280", "5.1270", "5.1265"]));
        let (out, _, _) = run_all(text.as_bytes(), FleetFormat::Text(in_words));
        assert!(
            out.starts_with(
                "engine E1, overhaul 2024-03-01, cylinder 1 (K-3): rebore to +0.010 in (readings alone). Bore, "
            ),
            "{out}"
        );
    }

    #[test]
    fn errors_are_all_counted_and_some_told() {
        let (_, reported, result) =
            run_all(Endless::new(4_000, |i| good_row(i).replace("5.", "x")), FleetFormat::Text(in_words));
        let tally = result.unwrap();
        assert_eq!(
            (tally.errors, tally.errors_reported, reported.len()),
            (4_000, MOST_REPORTED, MOST_REPORTED as usize)
        );
        assert_eq!(tally.not_decided, 1_000);
    }

    #[test]
    fn an_output_that_refuses_ends_it() {
        struct Full;
        impl io::Write for Full {
            fn write(&mut self, _: &[u8]) -> io::Result<usize> {
                Err(io::ErrorKind::BrokenPipe.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let (path, format) = (Path::new("fleet.csv"), FleetFormat::Text(in_words));
        let input = Endless::new(60_000, good_row);
        let refused = run(input, path, limits(), format, &mut Full, &mut |_| {}, &mut |_| {});
        assert!(
            matches!(refused, Err(FleetError::Write(error)) if error.kind() == io::ErrorKind::BrokenPipe)
        );
    }

    #[test]
    fn a_failure_to_read_is_told_with_the_file() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
                Err(io::Error::other("the cable fell out"))
            }
        }
        let header_then_broken = HEADER.as_bytes().chain(Broken);
        let (_, _, result) = run_all(header_then_broken, FleetFormat::Text(in_words));
        let error = result.unwrap_err().to_string();
        assert!(
            error.starts_with("fleet.csv: error: the file could not be read: the cable fell out"),
            "{error}"
        );
    }
}

/// The same readings as an engine record.
fn record(cells: &[[Vec<u32>; 2]; 2]) -> EngineRecord {
    let table: TableOfLimits = records::file::from_text(TABLE, None).value.unwrap();
    let mut readings = String::new();
    for (station, axes) in ["Top", "Low"].iter().zip(cells) {
        for (axis, repeats) in ["pin", "thrust"].iter().zip(axes).filter(|(_, repeats)| !repeats.is_empty()) {
            let entered: String = repeats.iter().map(|tenths| format!("\"5.{tenths:04}\",")).collect();
            readings.push_str(&format!("(station: \"{station}\", axis: \"{axis}\", entered: [{entered}]),"));
        }
    }
    let text = format!(
        "(format: 2, engine: (model: \"Trial\", serial: \"E1\"), overhauls: [(date: \"2024-03-01\", cylinders: [\
         (position: \"1\", serial: \"K-1\", looked_over: true, readings: [{readings}])])])"
    );
    let mut record: EngineRecord = records::file::from_text(&text, None).value.unwrap();
    record.tables.push(table);
    record
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn a_cylinder_is_judged_as_in_a_record(
        cells in prop::array::uniform2(prop::array::uniform2(prop::collection::vec(1_245..1_325_u32, 0..4)))
    ) {
        prop_assume!(cells.iter().flatten().any(|repeats| !repeats.is_empty()));
        let mut text = HEADER.to_owned();
        for (station, axes) in ["Top", "Low"].iter().zip(&cells) {
            for (axis, repeats) in ["pin", "thrust"].iter().zip(axes) {
                for (i, tenths) in repeats.iter().enumerate() {
                    text.push_str(&format!("E1,1,K-1,1,standard,{station},{axis},{},5.{tenths:04},in\n", i + 1));
                }
            }
        }
        let judged = judge_text(&text);
        let survey = resolve::survey(&record(&cells), 0, None).value.unwrap();
        prop_assert_eq!(&judged.lines[0].assessment, &judging::assess(&survey.cylinders[0], &survey));
    }

    #[test]
    fn nothing_in_a_file_panics_or_is_lost(rows in "([EK1 ,;\"\r\n\tTopinlw.5é-]{0,12}){0,30}") {
        let judged = judge_text(&format!("{HEADER}{rows}"));
        if let Ok(tally) = &judged.result {
            prop_assert_eq!(tally.cylinders, judged.lines.len() as u64);
            // Four readings that can all be read are a serviceable cylinder here at most, never an accident.
            prop_assert!(tally.errors > 0 || tally.not_decided == tally.cylinders);
        }
    }

    #[test]
    fn the_order_of_columns_does_not_matter(order in Just((0..10_usize).collect::<Vec<_>>()).prop_shuffle()) {
        let text = format!("{HEADER}{}", rows("K-1", ["5.1270", "5.1291", "5.1261", "5.1262"]));
        let shuffled: String = text
            .lines()
            .map(|line| {
                let fields: Vec<_> = line.split(',').collect();
                order.iter().map(|&i| fields[i]).collect::<Vec<_>>().join(",") + "\n"
            })
            .collect();
        prop_assert_eq!(&judge_text(&shuffled).lines[0].assessment, &judge_text(&text).lines[0].assessment);
    }
}

/// The invented fleet has one slip, a turn in the second repeat of one cell (see demo/README.md).
#[test]
fn the_fleet_that_comes_with_the_program() {
    let table = records::file::limits_from_text(include_str!("../../../limits/wexcombe_six.ron"), None)
        .value
        .unwrap();
    let limits = Arc::new(Limits::resolve(&table).unwrap());
    let csv = include_str!("../../../demo/fleet.csv");
    let (mut found, mut cylinders) = (Vec::new(), 0);
    judge_csv(csv.as_bytes(), limits, &mut |_| {}, &mut |line| {
        cylinders += 1;
        let slips = line.assessment.slips.iter().filter(|slip| slip.kind != SlipKind::TwoAxesOnly);
        found.extend(slips.map(|slip| (line.cylinder.serial.clone(), slip.kind, slip.repeat, slip.read)));
    })
    .unwrap();
    assert_eq!(cylinders, 108);
    let [(serial, SlipKind::Turn, Some(1), Some(_))] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(serial, "WX-2205");
}
