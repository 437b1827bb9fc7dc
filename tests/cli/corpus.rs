//! Every file of `tests/corpus` through every command that reads one: no panic, no wait, bounded memory and output, and
//! nothing printed that nobody sees.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use records::wording::is_hidden;

use super::run::{file, program};

/// The most time of one run, of the program as tests build it.
const LONGEST: Duration = Duration::from_secs(60);
/// The most bytes that a run prints about a file of the corpus.
const MOST_PRINTED: usize = 2 * 1024 * 1024;

/// The program with a bound on its memory where the system has one: 2 GiB with all that is only reserved.
fn bounded(arguments: &[&str]) -> Command {
    let program = program();
    if !cfg!(target_os = "linux") {
        let mut program = program;
        program.args(arguments);
        return program;
    }
    let mut shell = Command::new("sh");
    shell.args(["-c", "ulimit -v 2097152; exec \"$@\"", "sh"]).arg(program.get_program()).args(arguments);
    shell.current_dir(env!("CARGO_MANIFEST_DIR")).stdin(Stdio::null()).env("RUST_BACKTRACE", "0");
    shell
}

fn run(arguments: &[&str]) -> Output {
    let begun = Instant::now();
    let output = bounded(arguments).output().unwrap();
    assert!(begun.elapsed() < LONGEST, "{arguments:?} takes {:?}", begun.elapsed());
    output
}

/// Runs it and looks at what it says.
fn holds(arguments: &[&str]) -> Output {
    let output = run(arguments);
    let said = [&output.stdout[..], &output.stderr[..]].concat();
    let text = String::from_utf8(said).unwrap_or_else(|_| panic!("{arguments:?} prints no text"));
    let status = output.status.code();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(status, Some(0 | 2)), "{arguments:?} ends with {status:?}: {errors}");
    assert!(!text.contains("panicked"), "{arguments:?}: {errors}");
    assert!(text.len() < MOST_PRINTED, "{arguments:?} prints {} bytes", text.len());
    let hidden = text.chars().find(|letter| is_hidden(*letter) && *letter != '\n');
    assert_eq!(hidden, None, "{arguments:?} prints a hidden letter");
    output
}

fn corpus() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> =
        fs::read_dir(file("tests/corpus")).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    assert!(files.len() > 20);
    files
}

/// A record that readings are imported into.
fn engine(folder: &Path) -> PathBuf {
    let record = folder.join("engine.ron");
    fs::copy(file("demo/wexcombe_six.ron"), &record).unwrap();
    record
}

#[test]
fn every_input_goes_through_every_reading_command() {
    let folder = tempfile::tempdir().unwrap();
    let record = engine(folder.path());
    let record = record.to_str().unwrap();
    let out = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let (csv, svg) = (out("out.csv"), out("out.svg"));
    for path in corpus() {
        let input = path.to_str().unwrap();
        for arguments in [
            &["check", input][..],
            &["judge", input],
            &["judge", "--overhaul", "all", input],
            &["judge", "--json", input],
            &["judge", "--json-lines", input],
            &["judge", record, "--limits", input],
            &["judge", input, "--limits", "limits/wexcombe_six.ron"],
            &["judge", "--json-lines", input, "--limits", "limits/wexcombe_six.ron"],
            &["figures", input],
            &["figures", "--json", input],
            &["trend", input],
            &["trend", "--json", input],
            &["study", input],
            &["mark", input, "--key", input],
            &["import", input, "--into", record, "--dry-run"],
            &["import", input, "--into", input, "--dry-run"],
            &["export", input, "--out", &csv],
            &["plot", input, "--cylinder", "1", "--out", &svg],
        ] {
            let output = holds(arguments);
            // A command that does not know its own arguments would hold anything.
            let errors = String::from_utf8_lossy(&output.stderr);
            assert!(!errors.contains("Usage:"), "{errors}");
        }
        for written in [&csv, &svg] {
            if let Ok(text) = fs::read_to_string(written) {
                let plot = written.ends_with(".svg");
                assert!(!plot || !text.chars().any(|c| is_hidden(c) && c != '\n'), "{}", path.display());
                fs::remove_file(written).unwrap();
            }
        }
    }
}

/// A pipe that nobody writes to is no file to wait for, and neither is what never ends.
#[cfg(unix)]
#[test]
fn no_command_waits_for_a_pipe() {
    let folder = tempfile::tempdir().unwrap();
    let record = engine(folder.path());
    let record = record.to_str().unwrap();
    for (ending, made) in [("ron", true), ("csv", true), ("xlsx", true), ("", false)] {
        let (path, what) = if made {
            let path = folder.path().join(format!("pipe.{ending}"));
            assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
            (path, "This is a pipe, not a file.")
        } else {
            (PathBuf::from("/dev/zero"), "This is a device, not a file.")
        };
        let input = path.to_str().unwrap();
        for arguments in [
            &["check", input][..],
            &["judge", input],
            &["judge", input, "--limits", "limits/wexcombe_six.ron"],
            &["judge", record, "--limits", input],
            &["figures", input],
            &["trend", input],
            &["study", input],
            &["mark", input, "--key", record],
            &["mark", record, "--key", input],
            &["import", input, "--into", record, "--dry-run"],
            &["import", "demo/fleet.csv", "--into", input, "--dry-run"],
            &["export", input, "--out", "out.csv"],
            &["plot", input, "--cylinder", "1", "--out", "out.svg"],
        ] {
            let output = holds(arguments);
            let said = [&output.stdout[..], &output.stderr[..]].concat();
            let said = super::run::in_one_line(&String::from_utf8_lossy(&said));
            // A fleet without a table, and a workbook in a build without them, are refused before they are opened.
            let unopened = said.contains("no table of limits") || said.contains("built without workbooks");
            assert!(said.contains(what) || unopened, "{arguments:?}: {said}");
            assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        }
    }
}

#[cfg(feature = "exchange")]
#[test]
fn a_workbook_that_breaks_its_reader_is_named_and_refused() {
    let folder = tempfile::tempdir().unwrap();
    let record = engine(folder.path());
    for (name, why) in [
        ("last_cell_of_the_sheet.xlsx", "has more than 500 columns"),
        ("claims_strings.xlsx", "claims to hold more texts than it does"),
        ("claims_strings_beyond_numbers.xlsx", "claims to hold more texts than it does"),
        ("claims_strings_in_utf16.xlsx", "not in UTF-8"),
        ("one_text_in_many_cells.xlsx", "MiB of text"),
        ("begins_as_another_kind.xlsx", "it is no XLSX file"),
        ("torn.xlsx", "cannot be read"),
    ] {
        let input = format!("tests/corpus/{name}");
        let output = holds(&["import", &input, "--into", record.to_str().unwrap(), "--dry-run"]);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(errors.contains(name) && errors.contains(why), "{errors}");
        assert_eq!(output.status.code(), Some(2));
    }
    // What only claims to be large is read.
    for name in ["plain.xlsx", "claims_the_whole_sheet.xlsx"] {
        let input = format!("tests/corpus/{name}");
        let output = holds(&["import", &input, "--into", record.to_str().unwrap(), "--dry-run"]);
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(!errors.contains("cannot be read"), "{errors}");
    }
}

#[test]
fn too_many_errors_are_counted() {
    let check = holds(&["check", "tests/corpus/many_bad_readings.ron"]);
    let text = super::run::in_one_line(&String::from_utf8(check.stdout).unwrap());
    assert!(text.contains("error: And 2"), "{text}");
    assert!(text.contains("more errors"), "{text}");
    assert!(text.contains("1 file looked at: 300 errors"), "{text}");
}
