//! Opening, saving, leaving: nothing typed is lost.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use eframe::egui::{DroppedFile, Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use records::file;
use window::App;

use crate::harness::{ctrl, demo, document, gauge_sends, press, reading, type_text, window};

fn click(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click_accesskit();
    harness.run();
}

/// Waits until the recovery copy is written, then lets the window go without a word, as in a crash.
fn crash(mut harness: Harness<'static, App>) {
    std::thread::sleep(Duration::from_millis(450));
    harness.run();
}

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
    assert_eq!(document(&harness).path.as_deref(), Some(file.as_path()));
    assert!(document(&harness).title().starts_with("engine.ron (saved)"));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    assert!(document(&harness).title().starts_with("engine.ron (changes not saved)"));
    let copy = folder.path().join("copy.ron");
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    harness.run();
    ctrl(&mut harness, Key::A);
    type_text(&mut harness, &copy.display().to_string());
    press(&mut harness, Key::Enter);
    let written = file::load_record(&copy).value.expect("written");
    assert_eq!(written, *document(&harness).session.record());
    assert!(!document(&harness).session.is_unsaved());
    assert_eq!(harness.state().prefs().recent.first(), Some(&copy));
}

#[test]
fn a_file_that_cannot_be_read_says_why_where_the_path_was_typed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = window(Some(folder.path()), Some(&folder.path().join("none.ron")));
    harness.get_by_label_contains("There is no such file");
    press(&mut harness, Key::Escape);
    assert!(harness.state().document().is_none());
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
    assert!(harness.state().document().is_some(), "taken back");
    ctrl(&mut harness, Key::W);
    harness.get_by_label("Save").click();
    harness.run();
    assert!(harness.state().document().is_none());
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
    assert!(!document(&harness).session.is_unsaved());
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
    crash(harness);
    assert!(!fs::read_to_string(&file).expect("read").contains("\"+9\""));
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Restore Wexcombe").click();
    harness.run();
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "+9");
    assert!(document(&harness).session.is_unsaved());
    // The file is as it was when this was typed over it: nothing is asked.
    ctrl(&mut harness, Key::S);
    assert!(!document(&harness).session.is_unsaved());
    assert!(fs::read_to_string(&file).expect("read").contains("\"+9\""));
    drop(harness);
    let harness = window(Some(folder.path()), None);
    assert!(harness.query_by_label_contains("Restore").is_none(), "nothing is left over");
}

#[test]
fn a_file_changed_after_the_crash_is_not_overwritten_unasked() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    crash(harness);
    let theirs = fs::read_to_string(&file).expect("read").replace("4317.9", "4318.9");
    fs::write(&file, &theirs).expect("written");
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Restore Wexcombe").click();
    harness.run();
    ctrl(&mut harness, Key::S);
    harness.get_by_label_contains("Somebody else has changed the file");
    assert_eq!(fs::read_to_string(&file).expect("read"), theirs);
    // And what comes while it is asked is asked about again.
    fs::write(&file, "others").expect("written");
    click(&mut harness, "Overwrite it");
    harness.get_by_label_contains("Somebody else has changed the file");
    assert_eq!(fs::read_to_string(&file).expect("read"), "others");
    click(&mut harness, "Overwrite it");
    assert!(fs::read_to_string(&file).expect("read").contains("\"+9\""));
}

#[test]
fn opening_a_file_offers_its_recovery_copy_and_discarding_it_asks() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    crash(harness);
    let has_copy = |folder: &Path| window(Some(folder), None).query_by_label_contains("Restore").is_some();
    // By the name it is started with.
    let mut harness = window(Some(folder.path()), Some(&file));
    harness.get_by_label_contains("There is a recovery copy of this file");
    click(&mut harness, "Open the file as it is saved");
    assert_ne!(reading(&harness, "A", "pin").expect("measured").entered[0], "+9");
    drop(harness);
    assert!(has_copy(folder.path()), "it is still there");
    // By a path that is typed, spelled in another way.
    let mut harness = window(Some(folder.path()), None);
    ctrl(&mut harness, Key::O);
    type_text(&mut harness, &folder.path().join("recovery/../engine.ron").display().to_string());
    press(&mut harness, Key::Enter);
    click(&mut harness, "Discard the copy");
    harness.get_by_label_contains("Discard the recovery copy of Wexcombe");
    click(&mut harness, "Keep the copy");
    drop(harness);
    assert!(has_copy(folder.path()), "asked, and not discarded");
    // From the recent files.
    let mut harness = window(Some(folder.path()), Some(&file));
    click(&mut harness, "Restore what was typed");
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "+9");
    crash(harness);
    // From the start page.
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Discard Wexcombe").click();
    harness.run();
    click(&mut harness, "Discard the copy");
    drop(harness);
    assert!(!has_copy(folder.path()));
}

#[test]
fn a_cell_that_was_being_typed_is_in_the_copy() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    press(&mut harness, Key::ArrowDown);
    let before = reading(&harness, "B", "pin").expect("measured").clone();
    type_text(&mut harness, "+7");
    assert!(!document(&harness).session.is_unsaved(), "it is not in the record yet");
    crash(harness);
    let mut harness = window(Some(folder.path()), Some(&file));
    click(&mut harness, "Restore what was typed");
    assert_eq!(reading(&harness, "B", "pin").expect("measured").entered[0], "+7");
    harness.get_by_label_contains("was being typed here, and may not be whole");
    ctrl(&mut harness, Key::Z);
    assert_eq!(*reading(&harness, "B", "pin").expect("measured"), before, "one step of undo");
}

#[test]
fn a_table_that_was_half_typed_is_in_the_copy() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F7);
    harness.get_by_role_and_label(Role::TextInput, "Clean-up allowance").focus();
    harness.run();
    ctrl(&mut harness, Key::A);
    type_text(&mut harness, "about 5");
    harness.get_by_label_contains("Not in force yet");
    crash(harness);
    let mut harness = window(Some(folder.path()), Some(&file));
    click(&mut harness, "Restore what was typed");
    harness.get_by_label_contains("A table of limits was half typed");
    assert_eq!(document(&harness).session.table().expect("there").1.clean_up_allowance.text, "0.0005");
    press(&mut harness, Key::F7);
    harness.get_by_label_contains("Not in force yet");
    let field = harness.get_by_role_and_label(Role::TextInput, "Clean-up allowance");
    assert_eq!(field.accesskit_node().value(), Some("about 5".to_owned()));
}

#[test]
fn what_is_given_up_leaves_no_copy() {
    let (folder, file) = folder_with_engine();
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    std::thread::sleep(Duration::from_millis(450));
    harness.run();
    ctrl(&mut harness, Key::W);
    click(&mut harness, "Don't save");
    assert!(harness.state().document().is_none());
    assert!(harness.query_by_label_contains("Restore").is_none());
}

#[test]
fn work_that_cannot_be_copied_is_told_until_it_can_be() {
    let (folder, file) = folder_with_engine();
    let place = folder.path().join("recovery");
    fs::write(&place, "a file where the folder should be").expect("written");
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    for _ in 0..3 {
        std::thread::sleep(Duration::from_millis(450));
        harness.run();
    }
    harness.get_by_label_contains("What you type is not protected");
    fs::remove_file(&place).expect("removed");
    for _ in 0..3 {
        std::thread::sleep(Duration::from_millis(2_500));
        harness.run();
    }
    assert!(harness.query_by_label_contains("What you type is not protected").is_none());
    drop(harness);
    assert!(window(Some(folder.path()), None).query_by_label_contains("Restore").is_some());
}

/// A file as the system hands it over.
#[derive(Debug)]
struct Dropped(PathBuf);

impl DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("the program reads its files itself".to_owned())
    }
}

fn drop_on(harness: &mut Harness<'_, App>, file: &Path) {
    harness.input_mut().dropped_files.push(Arc::new(Dropped(file.to_owned())));
    harness.run();
    harness.input_mut().dropped_files.clear();
    harness.run();
}

#[test]
fn a_file_dropped_on_a_question_waits_until_it_is_answered() {
    let (folder, file) = folder_with_engine();
    let other = folder.path().join("other.ron");
    fs::write(&other, include_str!("../../demo/skarvoy_320.ron")).expect("written");
    let mut harness = window(Some(folder.path()), Some(&file));
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    ctrl(&mut harness, Key::W);
    harness.get_by_label_contains("has changes that are not saved");
    drop_on(&mut harness, &other);
    harness.get_by_label_contains("engine.ron has changes that are not saved");
    assert_eq!(document(&harness).path.as_deref(), Some(file.as_path()));
    click(&mut harness, "Save");
    assert!(fs::read_to_string(&file).expect("read").contains("\"+9\""), "the question was answered");
    assert_eq!(document(&harness).path.as_deref(), Some(other.as_path()), "and then the file was opened");
}

#[test]
fn a_demo_left_as_it_came_asks_nothing() {
    let mut harness = demo("Penhallow Twin");
    ctrl(&mut harness, Key::W);
    assert!(harness.state().document().is_none());
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
    crash(harness);
    let mut harness = window(Some(folder.path()), None);
    harness.get_by_label_contains("Restore Wexcombe").click();
    harness.run();
    ctrl(&mut harness, Key::S);
    let saved = fs::read_to_string(&file).expect("read");
    assert!(saved.contains("\"+9\"") && saved.contains(said), "{saved}");
    let first = |text: &str| text.lines().find(|line| line.starts_with("//")).map(str::to_owned);
    assert_eq!(first(&saved), first(&text));
}
