//! What programs read: it parses, is complete, and says the same as the text.

use serde_json::Value;

use crate::run::{borewright, in_one_line};

const RECORDS: [&str; 4] = [
    "demo/wexcombe_six.ron",
    "demo/skarvoy_320.ron",
    "demo/penhallow_twin.ron",
    "tests/fixtures/w2_record.ron",
];

pub fn parse(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

pub fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

pub fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

#[test]
fn it_says_everything_the_text_says() {
    for record in RECORDS {
        let words = in_one_line(&borewright(["judge", record, "--overhaul", "all"]).out);
        let run = borewright(["judge", record, "--overhaul", "all", "--json"]);
        assert_eq!((run.status, run.errors.as_str()), (0, ""));
        let document = parse(&run.out);
        assert_eq!(document["format"], 2);
        assert_eq!(document["errors"], Value::Array(Vec::new()));
        let holds = |part: &str| assert!(words.contains(&in_one_line(part)), "{record}: {part}");
        for engine in list(&document["engines"]) {
            for field in ["model", "serial", "overhaul"] {
                holds(text(&engine[field]));
            }
            list(&engine["remarks"]).iter().for_each(|remark| holds(text(remark)));
            holds(text(&engine["who_decides"]));
            for cylinder in list(&engine["cylinders"]) {
                holds(&format!("({}): {}", text(&cylinder["serial"]), text(&cylinder["words"])));
                for reason in list(&cylinder["reasons"]) {
                    holds(text(&reason["sentence"]));
                }
                for need in list(&cylinder["needs"]) {
                    holds(text(&need["sentence"]));
                }
                for slip in list(&cylinder["slips"]) {
                    // It may stand at the front of its sentence.
                    let why = in_one_line(text(&slip["why"])).to_lowercase();
                    assert!(words.to_lowercase().contains(&why), "{record}: {why}");
                }
                for row in list(&cylinder["rows"]) {
                    holds(text(&row["status"]));
                    let probability = row["probability_within"].as_f64();
                    assert!(probability.is_none_or(|p| (0.0..=1.0).contains(&p)), "{row}");
                    assert_eq!(row["uncertainty"].is_null(), row["figure"].is_null(), "{row}");
                }
                for oversize in list(&cylinder["oversizes"]) {
                    assert_eq!(list(&oversize["metal"]).len(), list(&cylinder["readings"]).len());
                }
            }
        }
    }
}

#[test]
fn lines_hold_the_same_engines() {
    let document = parse(&borewright(["judge", "demo", "--overhaul", "all", "--json"]).out);
    let lines = borewright(["judge", "demo", "--overhaul", "all", "--json-lines"]);
    assert_eq!(lines.status, 0);
    let lines: Vec<Value> = lines.out.lines().map(parse).collect();
    let engines = list(&document["engines"]);
    assert_eq!(lines.len(), engines.len());
    for (mut line, engine) in lines.into_iter().zip(engines) {
        let object = line.as_object_mut().unwrap();
        assert_eq!(object.remove("format"), Some(2.into()));
        assert_eq!(object.remove("kind"), Some("engine".into()));
        assert_eq!(&line, engine);
    }
}

#[test]
fn bad_files_are_in_the_list_of_errors() {
    let arguments = ["judge", "demo/nowhere.ron", "demo/penhallow_twin.ron", "limits/wexcombe_six.ron"];
    let run = borewright(arguments.into_iter().chain(["--json"]));
    assert_eq!(run.status, 2);
    let document = parse(&run.out);
    assert_eq!(list(&document["engines"]).len(), 1);
    let [first, second] = list(&document["errors"]) else { panic!("{}", document["errors"]) };
    assert_eq!(first["file"], "demo/nowhere.ron");
    assert_eq!(first["severity"], "error");
    assert_eq!(second["file"], "limits/wexcombe_six.ron");
    for error in [first, second] {
        assert!(run.errors.contains(text(&error["text"])), "the same stands on the other output");
        assert!(!text(&error["message"]).is_empty() && !text(&error["remedy"]).is_empty());
    }
    let lines = borewright(arguments.into_iter().chain(["--json-lines"]));
    let kinds: Vec<Value> = lines.out.lines().map(|line| parse(line)["kind"].clone()).collect();
    assert_eq!(kinds, ["diagnostic", "engine", "diagnostic"]);
    let none = parse(&borewright(["judge", "demo/nowhere.ron", "--json"]).out);
    assert_eq!(list(&none["engines"]).len(), 0);
    let limits = borewright(["judge", "demo", "--limits", "demo/nowhere.ron", "--json"]);
    assert_eq!(limits.status, 2);
    assert_eq!(list(&parse(&limits.out)["errors"]).len(), 1);
}

#[test]
fn a_slip_on_which_the_outcome_depends() {
    // Comment at the top of the record: C thrust reads one turn of the thimble too large.
    let document = parse(&borewright(["judge", "demo/wexcombe_six.ron", "--json"]).out);
    let cylinder = &document["engines"][0]["cylinders"][5];
    assert_eq!(cylinder["outcome"], "not decided");
    let hanging = |slip: &&Value| slip["outcome_depends_on_it"] == true;
    let slip = list(&cylinder["slips"]).iter().find(hanging).unwrap();
    assert_eq!((&slip["place"]["station"], &slip["place"]["axis"]), (&"C".into(), &"thrust".into()));
    // At 20 °C: half a kelvin on steel is 5.75 millionths less than was read.
    for (which, as_read) in [("read", 5.16785), ("likely", 5.14285)] {
        let value: f64 = slip[which]["value"].as_str().unwrap().parse().unwrap();
        assert!((value - as_read * (1.0 - 5.75e-6)).abs() < 1e-8, "{which}: {value}");
    }
    assert!(list(&cylinder["needs"]).iter().any(|need| need["kind"] == "confirm"));
}

#[test]
fn a_fleet_has_a_cylinder_in_each_line() {
    let run = borewright(["judge", "demo/fleet.csv", "--limits", "limits/wexcombe_six.ron", "--json-lines"]);
    assert_eq!(run.status, 0, "{}", run.errors);
    let lines: Vec<Value> = run.out.lines().map(parse).collect();
    assert_eq!(lines.len(), 108);
    assert!(lines.iter().all(|line| line["outcome"].is_string() && line["reasons"].is_array()));
}

#[test]
fn a_finding_has_its_area() {
    // The fin of the record that is signed for the tests: 0.6 sq in were dressed out.
    let run = borewright(["judge", "tests/golden/record_sealed.ron", "--overhaul", "1", "--json"]);
    let document = parse(&run.out);
    let finding = &document["engines"][0]["cylinders"][0]["findings"][0];
    assert_eq!(finding["kind"], "cracked or broken fin");
    assert_eq!(finding["area"], serde_json::json!({ "value": "0.6", "exact": true }));
}

#[test]
fn what_a_chance_leaves_out_is_listed() {
    // An inside micrometer of which neither is recorded (see the record), and a gauge with both.
    let left_out = |record: &str| {
        let document = parse(&borewright(["judge", record, "--json"]).out);
        let rows = list(&document["engines"][0]["cylinders"][0]["rows"]).to_vec();
        rows.iter()
            .filter(|row| !row["figure"].is_null())
            .map(|row| row["left_out"].clone())
            .collect::<Vec<_>>()
    };
    let some = left_out("tests/fixtures/w2_record.ron");
    assert!(some.iter().all(|left_out| list(left_out).contains(&"repeatability".into())), "{some:?}");
    assert!(left_out("demo/wexcombe_six.ron").iter().all(Value::is_null), "nothing is left out");
}
