//! What people read: width, words, help, completions, the manual page.

use std::io::Read as _;
use std::process::Stdio;

use crate::run::{borewright, golden, in_one_line, program};

const DEMOS: [&str; 3] = ["demo/wexcombe_six.ron", "demo/skarvoy_320.ron", "demo/penhallow_twin.ron"];

#[test]
fn judge_is_as_before() {
    let run = borewright(["judge", "demo/wexcombe_six.ron"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    golden("judge_wexcombe.txt", &run.out);
}

#[test]
fn figures_are_as_before() {
    let run = borewright(["figures", "demo/penhallow_twin.ron"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    golden("figures_penhallow.txt", &run.out);
}

#[test]
fn check_is_as_before() {
    let run = borewright(["check", "demo/wexcombe_six.ron", "limits"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    golden("check_demo.txt", &run.out);
}

#[test]
fn everything_fits_a_hundred_columns_and_has_no_colour_in_a_pipe() {
    let mut texts =
        vec![borewright(["judge", "demo", "tests/fixtures/w2_record.ron", "--overhaul", "all"]).out];
    texts.extend(DEMOS.map(|file| borewright(["figures", file, "--overhaul", "all"]).out));
    texts.push(borewright(["check", "demo", "limits", "tests/fixtures"]).out);
    for arguments in [&["--help"][..], &["judge", "--help"], &["check", "--help"], &["figures", "--help"]] {
        texts.push(borewright(arguments).out);
    }
    for text in &texts {
        assert!(text.lines().count() > 5, "{text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{} columns: {line}", line.chars().count());
            assert!(!line.chars().any(char::is_control), "{line:?}");
        }
    }
}

#[test]
fn colour_only_repeats_a_word() {
    let plain = borewright(["judge", "demo/wexcombe_six.ron"]).out;
    let coloured =
        program().args(["judge", "demo/wexcombe_six.ron"]).env("CLICOLOR_FORCE", "1").output().unwrap();
    let coloured = String::from_utf8(coloured.stdout).unwrap();
    assert!(coloured.contains('\u{1b}'), "asked for colour");
    let mut stripped = String::new();
    let mut rest = coloured.as_str();
    while let Some((before, behind)) = rest.split_once('\u{1b}') {
        stripped.push_str(before);
        rest = behind.split_once('m').unwrap().1;
    }
    stripped.push_str(rest);
    assert_eq!(stripped, plain);
    let none = program()
        .args(["judge", "demo/wexcombe_six.ron"])
        .env("CLICOLOR_FORCE", "1")
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(none.stdout).unwrap(), plain);
}

#[test]
fn what_the_demo_comes_to() {
    // The comments at the top of the record work the outcomes out by hand.
    let run = borewright(["judge", "demo/wexcombe_six.ron"]);
    for heading in [
        "Cylinder 1 (WX-0411): serviceable\n",
        "Cylinder 2 (WX-0703): rebore to +0.010 in\n",
        "Cylinder 3 (WX-0958): rebore to +0.010 in\n",
        "Cylinder 4 (WX-0702): rebore to +0.015 in\n",
        "Cylinder 5 (WX-0961): replace\n",
        "Cylinder 6 (WX-0416): not decided\n",
    ] {
        assert!(run.out.contains(heading), "{heading}");
    }
    assert!(run.out.contains("ILLUSTRATIVE LIMITS: invented, not for any real engine."));
    assert!(run.out.ends_with(
        "Borewright compares and suggests. A licensed person decides, under the maker's current manual and\n\
         local rules.\n"
    ));
    assert!(!run.out.to_lowercase().contains("airworthy"));
}

#[test]
fn a_persons_decision_stands_beside_the_recommendation() {
    let run = borewright(["judge", "demo/wexcombe_six.ron", "--overhaul", "2"]);
    let words = in_one_line(&run.out);
    assert!(words.contains("Decided by Matthew Quillan: serviceable. -"), "{words}");
    assert!(
        words.contains("That differs from what the limits and readings come to: not decided."),
        "{words}"
    );
}

#[test]
fn overhauls_by_date_number_and_name() {
    let of = |which: &str| borewright(["judge", "demo/wexcombe_six.ron", "--overhaul", which]);
    assert_eq!(of("2016-10-19").out, of("2").out);
    assert_eq!(of("latest").out, of("3").out);
    assert_eq!(of("latest").out, of("2023-03-14").out);
    let all = of("all").out;
    assert_eq!(all.matches("Wexcombe Six (invented), serial W6-0001").count(), 3);
    assert_eq!(all.matches("Borewright compares and suggests.").count(), 1);
    for unknown in ["4", "1999-01-01"] {
        let run = of(unknown);
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        assert!(
            run.errors.contains("It has: 1 (2011-04-06), 2 (2016-10-19), 3 (2023-03-14)."),
            "{}",
            run.errors
        );
    }
    for wrong in ["0", "newest", "2024-13-01", "-1", ""] {
        assert_eq!(of(wrong).status, 2, "{wrong}");
    }
}

#[test]
fn another_table_of_limits_is_named() {
    let run = borewright(["judge", "demo/wexcombe_six.ron", "--limits", "limits/wexcombe_six.ron"]);
    assert_eq!(run.status, 0, "{}", run.errors);
    assert!(run.out.contains("from limits/wexcombe_six.ron"), "{}", run.out);
    let same = borewright(["judge", "demo/wexcombe_six.ron"]).out;
    assert_eq!(
        run.out.replace(", from limits/wexcombe_six.ron", ""),
        same,
        "the record holds the same table"
    );
}

#[test]
fn folders_stand_for_the_records_in_them() {
    let folder = borewright(["judge", "demo"]);
    let mut records: Vec<String> = std::fs::read_dir("demo")
        .unwrap()
        .map(|entry| format!("demo/{}", entry.unwrap().file_name().to_string_lossy()))
        .filter(|name| name.ends_with(".ron"))
        .collect();
    records.sort();
    assert!(records.len() > 3, "{records:?}");
    let files = borewright([vec!["judge".to_owned()], records].concat());
    assert_eq!((folder.status, &folder.out), (0, &files.out));
    let passed_over = borewright(["judge", "limits", "demo"]);
    assert_eq!((passed_over.status, &passed_over.out), (0, &files.out));
    let nothing = borewright(["judge", "limits"]);
    assert_eq!((nothing.status, nothing.out.as_str()), (2, ""));
    assert!(nothing.errors.contains("only tables of limits"), "{}", nothing.errors);
    let empty = tempfile::tempdir().unwrap();
    let run = borewright([std::ffi::OsStr::new("judge"), empty.path().as_os_str()]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("There is no record in this folder."), "{}", run.errors);
}

#[test]
fn many_files_come_out_in_their_order() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string("demo/penhallow_twin.ron").unwrap();
    for i in 0..150 {
        std::fs::create_dir_all(folder.path().join(format!("{}", i / 10 + 100))).unwrap();
        let path = folder.path().join(format!("{}/{:03}.ron", i / 10 + 100, i));
        std::fs::write(path, text.replace("\"PT-31\"", &format!("\"PT-{i}\""))).unwrap();
    }
    let run = borewright([std::ffi::OsStr::new("judge"), folder.path().as_os_str()]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    let serials: Vec<&str> =
        run.out.lines().filter_map(|line| line.split_once(", serial PT-")).map(|l| l.1).collect();
    assert_eq!(serials, (0..150).map(|i| i.to_string()).collect::<Vec<_>>());
}

#[test]
fn a_fleet_needs_a_table_of_limits() {
    let run = borewright(["judge", "demo/fleet.csv"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(run.errors.contains("Give one with --limits."), "{}", run.errors);
    let run = borewright(["judge", "demo/fleet.csv", "--limits", "limits/wexcombe_six.ron"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    assert_eq!(run.out.lines().filter(|line| line.starts_with("Engine W6-")).count(), 108);
    assert!(run.out.contains("1296 rows, 108 cylinders: "), "{}", run.out);
    assert!(run.out.contains("ILLUSTRATIVE LIMITS"));
    assert!(run.out.lines().all(|line| line.chars().count() <= 100));
    let json = borewright(["judge", "demo/fleet.csv", "--limits", "limits/wexcombe_six.ron", "--json"]);
    assert_eq!(json.status, 2);
    assert!(json.errors.contains("Use --json-lines"), "{}", json.errors);
}

#[test]
fn completions_and_manual_page_know_every_option() {
    for shell in ["bash", "zsh", "fish"] {
        let run = borewright(["completions", shell]);
        assert_eq!(run.status, 0, "{}", run.errors);
        for word in ["judge", "check", "figures", "overhaul", "limits", "json-lines"] {
            assert!(run.out.contains(word), "{shell} {word}");
        }
    }
    let page = borewright(["manual"]);
    assert_eq!(page.status, 0);
    assert!(page.out.contains(".TH"), "{}", page.out);
    let plain = page.out.replace('\\', "");
    let words = [
        "--overhaul",
        "--limits",
        "--json",
        "--json-lines",
        "completions",
        "manual",
        "Exit status",
        "licensed person",
    ];
    for word in words {
        assert!(plain.contains(word), "{word}");
    }
    for command in ["JUDGE", "CHECK", "FIGURES"] {
        assert!(plain.contains(&format!(".SH {command}\n")), "{command}");
    }
    assert_eq!(borewright(["completions", "abacus"]).status, 2);
}

#[test]
fn usage_that_means_nothing_ends_with_2() {
    for arguments in
        [&["judge"][..], &["check"], &["figures"], &["judge", "--json", "--json-lines", "demo"], &["saw"]]
    {
        let run = borewright(arguments);
        assert_eq!((run.status, run.out.as_str()), (2, ""), "{arguments:?}");
        assert!(run.errors.contains("--help"), "{}", run.errors);
    }
}

#[test]
fn a_reader_that_has_seen_enough_is_no_error() {
    for arguments in [
        &["judge", "demo", "--overhaul", "all"][..],
        &["judge", "demo", "--json"],
        &["judge", "demo/fleet.csv", "--limits", "limits/wexcombe_six.ron"],
        &["check", "demo"],
        &["figures", "demo/wexcombe_six.ron"],
        &["completions", "bash"],
        &["manual"],
        &["--help"],
    ] {
        let mut child =
            program().args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let mut errors = String::new();
        child.stderr.take().unwrap().read_to_string(&mut errors).unwrap();
        assert_eq!(errors, "", "{arguments:?}");
        assert_eq!(child.wait().unwrap().code(), Some(0), "{arguments:?}");
    }
}

#[test]
fn budgets_line_by_line_when_asked_for() {
    for record in ["demo/wexcombe_six.ron", "demo/skarvoy_320.ron"] {
        assert!(!borewright(["judge", record]).out.contains("Uncertainty of"));
        let run = borewright(["judge", "--budgets", record]);
        assert_eq!(run.status, 0);
        assert!(run.out.lines().all(|line| line.chars().count() <= 100));
        let budget = run.out.split("Uncertainty of bore").nth(1).unwrap();
        let budget = budget.split("\n\n").next().unwrap();
        for word in ["source", "estimate", "dof", "sensitivity", "share", "repeatability", "resolution"] {
            assert!(budget.contains(word), "{word} in\n{budget}");
        }
        let shares: f64 = budget
            .lines()
            .filter_map(|line| line.strip_suffix(" %")?.rsplit(' ').next()?.parse::<f64>().ok())
            .sum();
        assert!((shares - 100.0).abs() < 0.5, "the shares come to {shares} %");
    }
}
