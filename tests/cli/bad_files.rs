//! Bad files among good ones: told with their place, and in nobody's way.

use std::fs;

use crate::run::{borewright, file};

/// A folder with a good record, a bad one and another good one, in this order.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let good = fs::read_to_string(file("demo/penhallow_twin.ron")).unwrap();
    fs::write(folder.path().join("1.ron"), &good).unwrap();
    fs::write(folder.path().join("2.ron"), good.replacen("cylinders: [", "cylinder: [", 1)).unwrap();
    fs::write(folder.path().join("3.ron"), &good).unwrap();
    folder
}

#[test]
fn the_others_are_judged_all_the_same() {
    let folder = folder();
    let run = borewright([std::ffi::OsStr::new("judge"), folder.path().as_os_str()]);
    assert_eq!(run.status, 2);
    assert_eq!(run.out.matches("Penhallow Twin (invented), serial PT-31\n").count(), 2);
    let place = format!("{}:", folder.path().join("2.ron").display());
    let [line] = &run.errors.lines().collect::<Vec<_>>()[..] else { panic!("{}", run.errors) };
    assert!(line.starts_with(&place), "{line}");
    let mut position = line[place.len()..].splitn(3, ':');
    assert!(position.next().unwrap().parse::<usize>().unwrap() > 1, "{line}");
    assert!(position.next().unwrap().parse::<usize>().is_ok(), "{line}");
    assert!(line.contains("error: There is no field `cylinder`"), "{line}");
    assert!(line.contains("`cylinders`"), "{line}");
}

#[test]
fn every_problem_is_told_not_only_the_first() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bad.ron");
    let text = fs::read_to_string(file("demo/penhallow_twin.ron")).unwrap();
    let text = text
        .replacen("[\"2.7571\"]", "[\"2.75x1\"]", 1)
        .replacen("station: \"middle\"", "station: \"midle\"", 1)
        .replacen("date: \"2024-11-30\"", "date: \"1024-11-30\"", 1);
    fs::write(&path, text).unwrap();
    let run = borewright([std::ffi::OsStr::new("check"), path.as_os_str()]);
    assert_eq!(run.status, 2);
    let reported = crate::run::in_one_line(&run.out);
    for part in ["`x1` is not a unit of length", "Is `middle` meant?", "1024", "3 errors"] {
        assert!(reported.contains(part), "{part}: {reported}");
    }
    let lines = run.out.lines().filter_map(|line| line.strip_prefix(&format!("{}:", path.display())));
    let lines: Vec<usize> = lines.map(|line| line.split(':').next().unwrap().parse().unwrap()).collect();
    assert!(lines.len() >= 3 && lines.is_sorted(), "{lines:?}");
    // An unreadable reading keeps its own cylinder from passing, and the other one is judged.
    let judged = borewright([std::ffi::OsStr::new("judge"), path.as_os_str()]);
    assert_eq!(judged.status, 2);
    assert!(judged.out.contains("Cylinder front (PT-31-F): not decided"), "{}", judged.out);
    assert!(judged.errors.contains("error: "), "{}", judged.errors);
}

#[test]
fn nothing_is_judged_by_a_table_that_cannot_be_right() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("limits.ron");
    let text = fs::read_to_string(file("limits/wexcombe_six.ron")).unwrap();
    let swapped = text.replacen("new: (\"5.1250\", \"5.1270\")", "new: (\"5.1270\", \"5.1250\")", 1);
    assert_ne!(text, swapped);
    fs::write(&path, &swapped).unwrap();
    let check = borewright([std::ffi::OsStr::new("check"), path.as_os_str()]);
    assert_eq!(check.status, 2, "{}", check.out);
    let limits = path.to_str().unwrap();
    for arguments in [
        &["judge", "demo/wexcombe_six.ron", "--limits", limits][..],
        &["figures", "demo/wexcombe_six.ron", "--limits", limits],
    ] {
        let run = borewright(arguments);
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        assert!(run.errors.starts_with(&format!("{limits}:")), "{}", run.errors);
    }
    let record = fs::read_to_string(file("demo/wexcombe_six.ron")).unwrap();
    let swapped = record.replacen("new: (\"5.1250\", \"5.1270\")", "new: (\"5.1270\", \"5.1250\")", 1);
    assert_ne!(record, swapped);
    let path = folder.path().join("record.ron");
    fs::write(&path, swapped).unwrap();
    let run = borewright(["judge", path.to_str().unwrap()]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
}

#[test]
fn files_that_are_not_there_or_of_another_kind() {
    let run = borewright(["judge", "demo/nowhere.ron", "demo/penhallow_twin.ron"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.starts_with("demo/nowhere.ron: error: There is no such file."), "{}", run.errors);
    assert!(run.out.contains("serial PT-31"));
    let table = borewright(["judge", "limits/wexcombe_six.ron"]);
    assert_eq!((table.status, table.out.as_str()), (2, ""));
    assert!(table.errors.contains("This is a table of limits"), "{}", table.errors);
    let record = borewright(["judge", "demo/wexcombe_six.ron", "--limits", "demo/wexcombe_six.ron"]);
    assert_eq!((record.status, record.out.as_str()), (2, ""));
    assert!(record.errors.contains("This is an engine record"), "{}", record.errors);
    assert_eq!(borewright(["judge", "demo/nowhere.csv", "--limits", "limits/wexcombe_six.ron"]).status, 2);
    assert_eq!(borewright(["figures", "demo"]).status, 2);
}

#[test]
fn no_file_commands_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("loud.ron");
    let text = fs::read_to_string(file("demo/penhallow_twin.ron")).unwrap();
    let text = text
        .replace("PT-31-F", "\\u{1b}[2J\\u{7}F")
        .replacen("Edith Marlow", "\\u{9b}31mEdith", 1)
        .replacen("[\"2.7571\"]", "[\"\\u{1b}c\"]", 1);
    fs::write(&path, text).unwrap();
    for command in ["judge", "check", "figures"] {
        let run = borewright([command, path.to_str().unwrap()]);
        assert!(!run.out.is_empty());
        for text in [run.out, run.errors] {
            assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{text:?}");
        }
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_back_is_not_followed() {
    let folder = folder();
    fs::remove_file(folder.path().join("2.ron")).unwrap();
    std::os::unix::fs::symlink(folder.path(), folder.path().join("again")).unwrap();
    let run = borewright(["judge", folder.path().to_str().unwrap()]);
    assert_eq!(run.status, 0, "{}", run.errors);
    assert_eq!(run.out.matches("serial PT-31\n").count(), 2);
}
