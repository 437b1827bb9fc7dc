//! Runs the program and compares what it prints with what it printed before.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a run came to.
#[derive(Debug)]
pub struct Run {
    /// Exit status.
    pub status: i32,
    /// What it printed.
    pub out: String,
    /// What it told of errors.
    pub errors: String,
}

/// The program, to be run from the top of the repository.
pub fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_borewright"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).stdin(Stdio::null());
    for name in ["NO_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS"] {
        command.env_remove(name);
    }
    command
}

/// Runs the program.
pub fn borewright<S: AsRef<OsStr>>(arguments: impl IntoIterator<Item = S>) -> Run {
    let output = program().args(arguments).output().unwrap();
    Run {
        status: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        errors: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A file of the repository.
pub fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

/// Compares with `tests/golden/<name>`; with UPDATE_SNAPSHOTS=1 it is written anew.
pub fn golden(name: &str, found: &str) {
    let path = file("tests/golden").join(name);
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(&path, found).unwrap();
        return;
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    let line = expected.lines().zip(found.lines()).position(|(a, b)| a != b);
    let line = line.unwrap_or_else(|| expected.lines().count().min(found.lines().count()));
    assert!(
        expected == found,
        "{} differs from line {} on:\n- {}\n+ {}\nIf the new text is right, run with UPDATE_SNAPSHOTS=1.",
        path.display(),
        line + 1,
        expected.lines().nth(line).unwrap_or_default(),
        found.lines().nth(line).unwrap_or_default(),
    );
}

/// A text with every run of blanks and line breaks as one blank.
pub fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
