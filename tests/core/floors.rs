//! The floors of the source: Cargo keeps rooms from standing in a circle; here is held that each knows those that
//! DEVELOPERS.md says and no other, and that the core needs nothing of a screen, a page or a command line.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// What belongs to a screen, a page or a command line. A room of the core may depend on none of it.
const OF_A_SHELL: [&str; 9] =
    ["anstream", "clap", "eframe", "egui_plot", "indicatif", "rfd", "typst", "typst-pdf", "typst-render"];

/// The rooms that are not the core: what shows it to people.
const SHELLS: [&str; 3] = ["paper", "command_line", "window"];

/// The top of the repository.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The rooms and those that each knows, in the order of DEVELOPERS.md from the ground up: columns of its table of rooms.
fn floors() -> Vec<(String, BTreeSet<String>)> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let table = text.split("| room |").nth(1).unwrap();
    let rows = table.lines().skip(2).take_while(|line| line.starts_with('|'));
    rows.map(|row| {
        let cells: Vec<_> = row.split('|').map(str::trim).collect();
        let room = cells[1].trim_matches('`').trim_start_matches("src/").trim_end_matches('/');
        let known = cells[2].split(", ").filter(|known| *known != "none");
        (room.to_owned(), known.map(str::to_owned).collect())
    })
    .collect()
}

/// What each room depends on outside its tests, as Cargo reads the manifests.
fn dependencies() -> BTreeMap<String, BTreeSet<String>> {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(root()).args(["metadata", "--offline", "--no-deps", "--format-version=1"]);
    let reported: Value = serde_json::from_slice(&cargo.output().unwrap().stdout).unwrap();
    let name = |value: &Value| value["name"].as_str().unwrap().to_owned();
    let packages = reported["packages"].as_array().unwrap().iter();
    packages
        .map(|package| {
            let all = package["dependencies"].as_array().unwrap().iter();
            (name(package), all.filter(|needed| needed["kind"].is_null()).map(name).collect())
        })
        .collect()
}

#[test]
fn the_source_is_its_rooms_and_nothing_else() {
    let listed: BTreeSet<String> =
        floors().into_iter().map(|(room, _)| room).chain(["main.rs".to_owned()]).collect();
    let found: BTreeSet<String> = fs::read_dir(root().join("src"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(found, listed);
    for (room, _) in floors() {
        let opening = fs::read_to_string(root().join("src").join(&room).join("lib.rs")).unwrap();
        assert!(opening.starts_with("//! "), "src/{room}/lib.rs does not say what the room owns");
    }
}

#[test]
fn a_room_knows_those_below_it_that_are_named_and_no_other() {
    let dependencies = dependencies();
    let mut below = BTreeSet::new();
    for (room, named) in floors() {
        assert!(named.is_subset(&below), "{room} stands below one of {named:?}");
        below.insert(room.clone());
        let known: BTreeSet<_> =
            dependencies[&room].iter().filter(|name| dependencies.contains_key(*name)).cloned().collect();
        assert_eq!(known, named, "src/{room}/Cargo.toml, and what DEVELOPERS.md says that it knows");
    }
}

#[test]
fn the_core_knows_no_screen_no_page_and_no_command_line() {
    let dependencies = dependencies();
    for (room, _) in floors().iter().filter(|(room, _)| !SHELLS.contains(&room.as_str())) {
        for foreign in OF_A_SHELL.iter().chain(&SHELLS) {
            assert!(!dependencies[room].contains(*foreign), "{room} depends on {foreign}");
        }
    }
    for (shell, foreign) in
        [("paper", "eframe"), ("paper", "clap"), ("command_line", "typst"), ("window", "typst")]
    {
        assert!(!dependencies[shell].contains(foreign), "{shell} depends on {foreign}");
    }
}

/// Every Rust file under a folder.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path()));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}

/// The code of a file: its text without comments and without what stands below its tests.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]").next().unwrap_or_default();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// Whatever the program writes goes by `store`, which leaves no half file and takes the place of nothing unseen.
#[test]
fn files_are_written_in_one_place() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut looked_at = 0;
    for path in sources(&src) {
        let within = path.strip_prefix(&src).unwrap();
        if within.starts_with("records/store")
            || within == Path::new("records/disk.rs")
            || within.ends_with("tests.rs")
        {
            continue;
        }
        looked_at += 1;
        let code = code(&path);
        for writing in
            ["fs::write(", "File::create", "File::options(", "OpenOptions", "fs::rename(", "fs::copy("]
        {
            assert!(!code.contains(writing), "{} writes a file itself: {writing}", path.display());
        }
    }
    assert!(looked_at > 100, "{looked_at} files");
}
