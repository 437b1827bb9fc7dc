//! The classroom's commands: an exercise written and marked, a gauge study worked out.

use std::fs;
use std::path::Path;

use super::run::{Run, borewright};

fn practise(folder: &Path) -> (Run, String, String) {
    let name = |file: &str| folder.join(file).to_string_lossy().into_owned();
    let (record, key) = (name("exercise.ron"), name("key.ron"));
    let run = borewright(["practise", "--seed", "7", "--record", &record, "--key", &key]);
    (run, record, key)
}

#[test]
fn an_exercise_is_written_once_and_marked_by_its_key() {
    let folder = tempfile::tempdir().unwrap();
    let (run, record, key) = practise(folder.path());
    assert_eq!((run.status, run.errors.as_str()), (0, ""), "{run:?}");
    assert!(run.out.contains("spot the slip") && run.out.contains("for no real engine"), "{}", run.out);

    let (again, ..) = practise(folder.path());
    assert_eq!(again.status, 2);
    assert!(again.errors.contains("is there already"), "{}", again.errors);
    // Neither is written without the other.
    let other = folder.path().join("other.ron").display().to_string();
    let half = borewright(["practise", "--seed", "7", "--record", &other, "--key", &key]);
    assert_eq!(half.status, 2);
    assert!(!fs::exists(&other).unwrap());

    let blank = borewright(["mark", &record, "--key", &key]);
    assert_eq!(blank.status, 0, "{blank:?}");
    assert!(blank.out.contains("Exercise 7: 0 of 16 points"), "{}", blank.out);

    let text = fs::read_to_string(&record).unwrap();
    let answered =
        text.replacen("out-of-round, step, none. Answer: ", "out-of-round, step, none. Answer: oval", 1);
    assert_ne!(text, answered);
    fs::write(&record, answered).unwrap();
    let marked = borewright(["mark", &record, "--key", &key, "--json"]);
    let json: serde_json::Value = serde_json::from_str(&marked.out).unwrap();
    assert_eq!((&json["points"], &json["out_of"]), (&1.into(), &16.into()), "{}", marked.out);
    let working = borewright(["mark", &record, "--key", &key, "--working"]);
    assert!(working.out.contains("Working: It was made to"), "{}", working.out);
}

#[test]
fn the_two_files_exchanged_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let (_, record, key) = practise(folder.path());
    let run = borewright(["mark", &key, "--key", &record]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(run.errors.contains("Give it with --key"), "{}", run.errors);
    // A folder with a key in it can still be judged: the key is passed over.
    let run = borewright(["judge", &folder.path().to_string_lossy()]);
    assert_eq!(run.status, 0, "{run:?}");
}

/// Two parts, two people, two trials, worked by hand beside the study itself: repeatability is the root of 2.
#[test]
fn a_study_as_text_and_as_json() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("study.csv").to_string_lossy().into_owned();
    let rows =
        "part,operator,trial,value\na,x,1,0\na,x,2,2\na,y,1,3\na,y,2,5\nb,x,1,4\nb,x,2,6\nb,y,1,3\nb,y,2,5\n";
    fs::write(&file, rows).unwrap();
    let text = borewright(["study", &file, "--unit", "mm", "--tolerance", "20"]);
    assert_eq!((text.status, text.errors.as_str()), (0, ""), "{text:?}");
    assert!(text.out.contains("1.41421") && text.out.contains("1.73205"), "{}", text.out);
    let run = borewright(["study", &file, "--unit", "mm", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let s = json["study"]["repeatability"]["deviation_mm"].as_f64().unwrap();
    assert!((s - 2_f64.sqrt()).abs() < 1e-12);
    assert_eq!(json["for_gauge"]["standard_deviation"], "1.4142136 mm");

    fs::write(&file, format!("{rows}c,x,1,much\n")).unwrap();
    let run = borewright(["study", &file]);
    assert_eq!(run.status, 2);
    assert!(
        run.errors.contains("study.csv:10:7: error: The value: `much` is not a length"),
        "{}",
        run.errors
    );
    assert!(run.out.contains("repeatability"), "the good rows are worked out all the same: {}", run.out);
}
