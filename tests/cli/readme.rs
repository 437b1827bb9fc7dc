//! What the README says is what the program does.

use std::sync::Arc;

use records::file;
use records::limits::Limits;
use records::limits::validate::validate;
use records::record;

use crate::run::{borewright, file as path, in_one_line};

fn readme() -> String {
    std::fs::read_to_string(path("README.md")).unwrap()
}

/// The blocks of a kind, in their order.
fn blocks(kind: &str) -> Vec<String> {
    let text = readme();
    let start = format!("```{kind}\n");
    text.split(start.as_str()).skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
}

#[test]
fn its_examples_of_output_are_real() {
    let command = blocks("sh").into_iter().next().unwrap();
    let arguments: Vec<&str> = command.trim().split(" -- ").nth(1).unwrap().split(' ').collect();
    assert_eq!(arguments, ["judge", "demo/wexcombe_six.ron"]);
    let run = borewright(arguments);
    let examples = blocks("text");
    assert_eq!(run.status, 0);
    let beginning = |start: &str| {
        let found = examples.iter().find(|example| example.starts_with(start));
        found.unwrap_or_else(|| panic!("no example begins with {start}")).trim_end()
    };
    for start in ["Wexcombe Six", "Cylinder 4", "Cylinder 6"] {
        let example = beginning(start);
        assert!(run.out.contains(example), "the program no longer prints:\n{example}\n\nbut\n{}", run.out);
    }
    let fleet = std::fs::read_to_string(path("demo/fleet.csv")).unwrap();
    assert!(fleet.starts_with(beginning("engine,overhaul,hours")));
    // What `check` says of the record that is signed for the tests.
    let check = in_one_line(&borewright(["check", "tests/golden/record_sealed.ron"]).out);
    assert!(check.contains(beginning("overhaul of")), "{check}");
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("readings.csv");
    assert_eq!(borewright(["export", "demo/wexcombe_six.ron", "--out", out.to_str().unwrap()]).status, 0);
    let written = std::fs::read_to_string(&out).unwrap();
    assert_eq!(written.lines().next(), Some(beginning("engine,overhaul,position")));
}

#[test]
fn its_examples_of_files_are_read_and_judged() {
    let [table, engine] = <[String; 2]>::try_from(blocks("rust")).unwrap();
    let reported = file::limits_from_text(&table, None);
    assert_eq!(reported.diagnostics, []);
    let table = reported.value.unwrap();
    let errors: Vec<_> = validate(&table).into_iter().filter(|reported| reported.is_error()).collect();
    assert_eq!(errors, []);
    let reported = file::record_from_text(&engine, None);
    assert_eq!(reported.diagnostics, []);
    let limits = Arc::new(Limits::resolve(&table).unwrap());
    let reported = record::resolve::survey(&reported.value.unwrap(), 0, Some(limits));
    assert_eq!(reported.diagnostics, []);
    let survey = reported.value.unwrap();
    let assessment = judging::assess(&survey.cylinders[0], &survey);
    assert_ne!(assessment.recommendation, judging::Recommendation::NotDecided);
}

#[test]
fn its_table_of_commands_is_the_programs() {
    let help = borewright(["--help"]).out;
    let text = readme();
    let mut commands = vec![
        "judge",
        "check",
        "figures",
        "trend",
        "seal",
        "amend",
        "export",
        "import",
        "plot",
        "completions",
        "manual",
    ];
    if cfg!(feature = "paper") {
        commands.extend(["report", "sheet", "tags"]);
    }
    for command in commands {
        assert!(help.contains(&format!("\n  {command}")), "{command} is in the help");
        assert!(text.contains(&format!("`borewright {command}")), "{command} is in the README");
    }
}

/// Its commands that print, in its order, in a folder that has the demo and its table.
#[cfg(feature = "paper")]
#[test]
fn its_examples_of_printing_print() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["demo/wexcombe_six.ron", "limits/wexcombe_six.ron"] {
        let there = folder.path().join(name);
        std::fs::create_dir_all(there.parent().unwrap()).unwrap();
        std::fs::copy(path(name), there).unwrap();
    }
    let blocks = blocks("sh");
    let lines = blocks.iter().flat_map(|block| block.lines());
    let printing = lines.filter(|line| {
        ["borewright report", "borewright sheet", "borewright tags"]
            .iter()
            .any(|start| line.starts_with(start))
    });
    let mut printed = 0;
    for line in printing {
        let command = line.split('#').next().unwrap();
        let arguments: Vec<&str> = command.split_whitespace().skip(1).collect();
        // The last one prints the first one's report again.
        let force = (printed == 4).then_some("--force");
        let output =
            crate::run::program().current_dir(folder.path()).args(arguments).args(force).output().unwrap();
        assert!(output.status.success(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
        printed += 1;
    }
    assert_eq!(printed, 5);
    for name in ["wexcombe_six-2023-03-14-report.pdf", "wexcombe_six-sheet.pdf", "wexcombe_six-tags.pdf"] {
        assert!(std::fs::read(folder.path().join(name)).unwrap().starts_with(b"%PDF-"), "{name}");
    }
    assert!(folder.path().join("shop/letterhead.typ").is_file());
}
