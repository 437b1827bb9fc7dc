//! Opening, saving, leaving: nothing typed is lost.

use std::fs;
use std::path::PathBuf;

use borewright::file;
use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;

use crate::harness::{ctrl, demo, desk, gauge_sends, press, reading, type_text, window};

/// A folder with a demo engine as an engine's own file.
fn folder_with_engine() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("engine.ron");
    fs::write(&file, include_str!("../../demo/wexcombe_six.ron")).expect("written");
    (folder, file)
}

#[test]
fn a_path_can_be_typed_to_open_and_to_save() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), None);
    ctrl(&mut harness, Key::O);
    type_text(&mut harness, &file.display().to_string());
    press(&mut harness, Key::Enter);
    assert_eq!(desk(&harness).path.as_deref(), Some(file.as_path()));
    assert!(desk(&harness).title().starts_with("engine.ron (saved)"));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    assert!(desk(&harness).title().starts_with("engine.ron (changes not saved)"));
    let copy = folder.path().join("copy.ron");
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    harness.run();
    ctrl(&mut harness, Key::A);
    type_text(&mut harness, &copy.display().to_string());
    press(&mut harness, Key::Enter);
    let written = file::load_record(&copy).value.expect("written");
    assert_eq!(written, *desk(&harness).session.record());
    assert!(!desk(&harness).session.is_unsaved());
    assert_eq!(harness.state().prefs().recent.first(), Some(&copy));
}

#[test]
fn a_file_that_cannot_be_read_says_why_where_the_path_was_typed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = window(Some(folder.path()), Some(&folder.path().join("none.ron")));
    harness.get_by_label_contains("There is no such file");
    press(&mut harness, Key::Escape);
    assert!(harness.state().desk().is_none());
}

#[test]
fn unsaved_changes_are_asked_about_and_can_be_saved() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    ctrl(&mut harness, Key::W);
    harness.get_by_label_contains("has changes that are not saved");
    press(&mut harness, Key::Escape);
    assert!(harness.state().desk().is_some(), "taken back");
    ctrl(&mut harness, Key::W);
    harness.get_by_label("Save").click();
    harness.run();
    assert!(harness.state().desk().is_none());
    let text = fs::read_to_string(&file).expect("read");
    assert!(text.contains("\"+9\""));
}

#[test]
fn a_file_changed_by_somebody_else_is_not_overwritten_unasked() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    fs::write(&file, "theirs").expect("written");
    ctrl(&mut harness, Key::S);
    harness.get_by_label_contains("Somebody else has changed the file");
    assert_eq!(fs::read_to_string(&file).expect("read"), "theirs");
    harness.get_by_label("Overwrite it").click();
    harness.run();
    assert!(file::load_record(&file).value.is_some());
    assert!(!desk(&harness).session.is_unsaved());
}

#[test]
fn the_second_window_on_a_file_is_told() {
    let (folder, file) = folder_with_engine();
    let _first = window(Some(folder.path()), Some(&file));
    let second = window(Some(folder.path()), Some(&file));
    second.get_by_label_contains("Another window has this record open");
}

#[test]
fn what_was_typed_before_a_crash_is_offered_at_the_next_start() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    std::thread::sleep(std::time::Duration::from_millis(1_100));
    harness.run();
    // The window goes without a word, as in a crash.
    drop(harness);
    assert!(!fs::read_to_string(&file).expect("read").contains("\"+9\""));
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Take up").click();
    harness.run();
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "+9");
    assert!(desk(&harness).session.is_unsaved());
    ctrl(&mut harness, Key::S);
    // The file may have changed since: it is asked about.
    harness.get_by_label("Overwrite it").click();
    harness.run();
    assert!(fs::read_to_string(&file).expect("read").contains("\"+9\""));
    drop(harness);
    let harness = window(Some(folder.path()), None);
    assert!(harness.query_by_label_contains("Take up").is_none(), "nothing is left over");
}

#[test]
fn a_demo_left_as_it_came_asks_nothing() {
    let mut harness = demo("Penhallow Twin");
    ctrl(&mut harness, Key::W);
    assert!(harness.state().desk().is_none());
}

#[test]
fn comments_stay_in_the_file_and_in_its_recovery_copy() {
    let (folder, file) = folder_with_engine();
    let text = fs::read_to_string(&file).expect("read");
    let said = "// Read again after lunch.";
    let text = text.replacen(
        "            cylinders: [",
        &format!("            {said}\n            cylinders: ["),
        1,
    );
    assert!(text.contains(said));
    fs::write(&file, &text).expect("written");
    let mut harness = window(Some(folder.path()), Some(&file));
    assert!(harness.query_by_label_contains("comments").is_none(), "nothing is lost, so nothing is told");
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    std::thread::sleep(std::time::Duration::from_millis(1_100));
    harness.run();
    drop(harness);
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Take up").click();
    harness.run();
    ctrl(&mut harness, Key::S);
    if harness.query_by_label("Overwrite it").is_some() {
        harness.get_by_label("Overwrite it").click();
        harness.run();
    }
    let saved = fs::read_to_string(&file).expect("read");
    assert!(saved.contains("\"+9\"") && saved.contains(said), "{saved}");
    let first = |text: &str| text.lines().find(|line| line.starts_with("//")).map(str::to_owned);
    assert_eq!(first(&saved), first(&text));
}
