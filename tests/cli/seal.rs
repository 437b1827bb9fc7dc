//! Signing and amending, and what `check` says of it.

use std::fs;
use std::path::{Path, PathBuf};

use records::file as files;
use records::record::schema::EngineRecord;
use work::seal;

use crate::run::{Run, borewright, file, golden, in_one_line};

/// A copy of the demo to be signed.
fn copy() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("engine.ron");
    fs::copy(file("demo/wexcombe_six.ron"), &path).unwrap();
    (folder, path)
}

fn run(command: &str, path: &Path, more: &[&str]) -> Run {
    let by = ["--name", "Ada Invented", "--certificate", "invented 7", "--date", "2026-05-14"];
    let path = path.to_str().unwrap();
    borewright([command, path].into_iter().chain(by).chain(more.iter().copied()))
}

fn record(path: &Path) -> EngineRecord {
    files::load_record(path).value.unwrap()
}

#[test]
fn an_overhaul_is_signed_amended_and_checked() {
    let (_folder, path) = copy();
    let place = path.display().to_string();
    let signed = run("seal", &path, &["--overhaul", "3"]);
    assert_eq!(signed.status, 0, "{}", signed.errors);
    let mut reported = signed.out;
    assert_eq!(signed.errors, "");
    let lines = |path: &Path| -> Vec<String> {
        let text = fs::read_to_string(path).unwrap();
        text.lines().map(str::trim_start).filter(|line| line.starts_with("//")).map(str::to_owned).collect()
    };
    let (mut written, mut by_hand) = (lines(&path), lines(&file("demo/wexcombe_six.ron")));
    // The demo has its table at the end, and it is written before the overhauls.
    written.sort();
    by_hand.sort();
    assert_eq!(written, by_hand);
    assert!(by_hand.len() > 50);
    let field = "overhaul.cylinders[0].readings[0].entered[0]";
    let before = record(&path).overhauls[2].cylinders[0].readings[0].entered[0].clone();
    let amended = run(
        "amend",
        &path,
        &[
            "--overhaul",
            "3",
            "--why",
            "misread",
            "--set",
            &format!("{field}=+1"),
            "--set",
            "overhaul.remarks=seen twice",
        ],
    );
    assert_eq!(amended.status, 0, "{}", amended.errors);
    assert!(amended.out.contains(&format!("“{before}” before, “+1” now")), "{}", amended.out);
    reported.push_str(&amended.out);
    let check = borewright(["check", &place]);
    assert_eq!(check.status, 0, "{}", check.out);
    let line = in_one_line(&check.out);
    assert!(
        line.contains("It is as it was signed by Ada Invented (invented 7) on 2026-05-14, amended once."),
        "{line}"
    );
    // One digit changed by hand.
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, text.replacen("total_hours: 4317.9", "total_hours: 4318.9", 1)).unwrap();
    let check = borewright(["check", &place]);
    assert_eq!(check.status, 2);
    let line = in_one_line(&check.out);
    assert!(
        line.contains("error: overhaul of 2023-03-14: It was changed after it was signed by Ada"),
        "{line}"
    );
    assert!(line.contains("what concerns the whole overhaul"), "{line}");
    // An amendment changed by hand.
    fs::write(&path, text.replacen("why: \"misread\"", "why: \"misheard\"", 1)).unwrap();
    let line = in_one_line(&borewright(["check", &place]).out);
    assert!(line.contains("Amendment 1 is not as it was closed"), "{line}");
    golden("seal_wexcombe.txt", &reported);
}

#[test]
fn what_is_signed_is_as_the_core_says() {
    let (_folder, path) = copy();
    assert_eq!(run("seal", &path, &["--overhaul", "2019-09-20"]).status, 2, "there is no such day");
    assert_eq!(run("seal", &path, &[]).status, 0, "the latest one");
    let record = record(&path);
    let signed: Vec<bool> = record.overhauls.iter().map(|overhaul| overhaul.seal.is_some()).collect();
    assert_eq!(signed, [false, false, true]);
    assert!(seal::verify(&record, 2).unwrap().holds());
}

#[test]
fn what_cannot_be_signed_or_amended_leaves_the_file_as_it_was() {
    let (folder, path) = copy();
    let text = fs::read_to_string(&path).unwrap();
    let not_signed = run("amend", &path, &["--why", "x", "--set", "overhaul.remarks=x"]);
    assert_eq!(not_signed.status, 2);
    assert!(not_signed.errors.contains("is not signed"), "{}", not_signed.errors);
    assert_eq!(run("seal", &path, &["--overhaul", "all"]).status, 2);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    run("seal", &path, &[]);
    let text = fs::read_to_string(&path).unwrap();
    for (more, part) in [
        (&["--why", " ", "--set", "overhaul.remarks=x"][..], "Why the overhaul is amended"),
        (&["--why", "x", "--set", "overhaul.colour=x"], "unknown field"),
        (&["--why", "x", "--set", "overhaul.total_hours=4317.9"], "Nothing would be changed"),
        (&["--why", "x", "--set", "nothing"], "write two texts with ="),
    ] {
        let refused = run("amend", &path, more);
        assert_eq!(refused.status, 2, "{}", refused.out);
        assert!(refused.errors.contains(part), "{part}: {}", refused.errors);
    }
    let again = run("seal", &path, &[]);
    assert!(again.errors.contains("is signed already, by Ada Invented"), "{}", again.errors);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    let empty = folder.path().join("empty.ron");
    let nothing =
        "EngineRecord(format: 2, engine: (model: \"M\", serial: \"S\"), overhauls: [(date: \"2026-01-01\")])";
    fs::write(&empty, nothing).unwrap();
    let refused = run("seal", &empty, &[]);
    assert!(refused.errors.contains("Nothing at all is measured"), "{}", refused.errors);
    assert_eq!(fs::read_to_string(&empty).unwrap(), nothing);
    assert_eq!(run("seal", &folder.path().join("none.ron"), &[]).status, 2);
}

#[test]
fn a_comment_whose_field_is_gone_is_kept_and_told() {
    let (_folder, path) = copy();
    run("seal", &path, &[]);
    let amend =
        |value: &str| run("amend", &path, &["--why", "said", "--set", &format!("overhaul.remarks={value}")]);
    assert_eq!(amend("seen twice").errors, "");
    let text = fs::read_to_string(&path).unwrap();
    let marked = text.replacen("remarks: \"seen twice\",", "remarks: \"seen twice\", // by whom?", 1);
    assert_ne!(marked, text);
    fs::write(&path, marked).unwrap();
    let amended = amend("");
    assert_eq!(amended.status, 0, "{}", amended.errors);
    assert!(
        amended.errors.contains("note: 1 comment was about something that is gone"),
        "{}",
        amended.errors
    );
    assert!(
        fs::read_to_string(&path)
            .unwrap()
            .contains("        // by whom?\n        (\n            date: \"2023")
    );
}

#[test]
fn judge_says_how_the_signature_stands() {
    for arguments in [&["--overhaul", "1"][..], &["--overhaul", "1", "--json"]] {
        let run = borewright(["judge", "tests/golden/record_sealed.ron"].iter().chain(arguments));
        let words = "It is as it was signed by Ada Invented (invented 7) on 2026-05-14, amended once.";
        assert!(in_one_line(&run.out).contains(words), "{}", run.out);
    }
}
