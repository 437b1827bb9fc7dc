//! The layers of the source: data flows one way, and the core knows no screen and no command line.

use std::fs;
use std::path::{Path, PathBuf};

/// Every Rust file under a folder or file of `src`.
fn sources(name: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut open = vec![root.join(name), root.join(format!("{name}.rs"))];
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()));
        } else if path.extension().is_some_and(|extension| extension == "rs") && path.exists() {
            found.push(path);
        }
    }
    found
}

/// The code of a file: its text without comments and without what stands below its tests.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// The modules that are not the core: what shows it to people.
const SHELLS: [&str; 4] = ["cli", "gui", "paper", "main"];

/// The core's modules: every one that `src/lib.rs` names without a feature.
fn core_modules() -> Vec<String> {
    let lib = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/lib.rs")).unwrap();
    lib.lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .filter(|name| !SHELLS.contains(name))
        .map(str::to_owned)
        .collect()
}

#[test]
fn the_core_knows_no_screen_and_no_command_line() {
    let modules = core_modules();
    assert!(modules.len() >= 10, "{modules:?}");
    for module in modules {
        let files = sources(&module);
        assert!(!files.is_empty(), "src/{module} is not there");
        for path in files {
            let code = code(&path);
            for foreign in [
                "egui",
                "eframe",
                "clap",
                "typst",
                "rfd::",
                "crate::cli",
                "crate::gui",
                "crate::paper",
                "println!",
            ] {
                assert!(!code.contains(foreign), "{} speaks of {foreign}", path.display());
            }
        }
    }
}

#[test]
fn what_prints_is_a_shell_of_its_own() {
    for (shell, foreign) in [
        ("paper", &["egui", "eframe", "clap", "rfd::", "crate::cli", "crate::gui"][..]),
        ("cli", &["typst"]),
        ("gui", &["typst"]),
        ("main", &["typst"]),
    ] {
        let files = sources(shell);
        assert!(!files.is_empty(), "src/{shell} is not there");
        for path in files {
            let code = code(&path);
            for foreign in foreign {
                assert!(!code.contains(foreign), "{} speaks of {foreign}", path.display());
            }
        }
    }
}

#[test]
fn data_flows_one_way() {
    // Each module and what it must not know, because that comes after it.
    for (module, later) in [
        ("length", &["bore", "limits", "record", "survey", "figures", "certainty", "slips", "judge"][..]),
        ("diag", &["bore", "limits", "record", "survey", "figures", "certainty", "slips", "judge"]),
        ("bore", &["record", "survey", "figures", "certainty", "slips", "judge"]),
        ("figures", &["record::resolve", "certainty::measured", "slips", "judge"]),
        ("certainty", &["record::resolve", "slips", "judge"]),
        ("slips", &["judge::assess", "judge::reason"]),
        ("limits", &["record", "survey", "certainty", "slips", "judge"]),
    ] {
        for path in sources(module) {
            if path.ends_with("tests.rs") || path.components().any(|part| part.as_os_str() == "tests") {
                continue;
            }
            let code = code(&path);
            let code = code.split("#[cfg(test)]").next().unwrap_or_default();
            for later in later {
                assert!(!code.contains(&format!("crate::{later}")), "{} knows {later}", path.display());
            }
        }
    }
}

/// Whatever the program writes goes by `store`, which leaves no half file and takes the place of nothing unseen.
#[test]
fn files_are_written_in_one_place() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut looked_at = 0;
    for path in sources("") {
        let within = path.strip_prefix(&src).unwrap();
        if within.starts_with("store") || within == Path::new("disk.rs") || within.ends_with("tests.rs") {
            continue;
        }
        looked_at += 1;
        let code = code(&path);
        let code = code.split("#[cfg(test)]").next().unwrap_or_default();
        for writing in
            ["fs::write(", "File::create", "File::options(", "OpenOptions", "fs::rename(", "fs::copy("]
        {
            assert!(!code.contains(writing), "{} writes a file itself: {writing}", path.display());
        }
    }
    assert!(looked_at > 100, "{looked_at} files");
}
