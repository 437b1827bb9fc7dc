//! Readings in and out by the window.

use std::fs;

use eframe::egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use window::App;

use crate::harness::{ctrl, demo, document, press, reading, type_text};

/// Asks for it in the menu.
fn ask(harness: &mut Harness<'_, App>, command: &str) {
    harness.get_by_label("File").click();
    harness.run();
    harness.get_by_label(command).click();
    harness.run();
}

fn path(harness: &mut Harness<'_, App>, path: &std::path::Path) {
    ctrl(harness, Key::A);
    type_text(harness, &path.display().to_string());
    press(harness, Key::Enter);
}

#[test]
fn a_mapping_is_seen_and_readings_are_taken_over_as_one_step() {
    let folder = tempfile::tempdir().expect("a folder");
    let csv = folder.path().join("bench.csv");
    fs::write(&csv, "Pos.;Station;Axis;Dial\n1;A;pin;+7\n1;A;thrust;+8\n1;Q;pin;+8\n").expect("written");
    let mut harness = demo("Wexcombe Six");
    let before = document(&harness).session.record().clone();
    ask(&mut harness, "Take readings from a file");
    path(&mut harness, &csv);
    // A column that nobody knows is not guessed.
    harness.get_by_label_contains("No column holds the reading or diameter.");
    harness.get_by_label("Column Dial is").click();
    harness.run();
    harness.get_by_label("reading as typed").click();
    harness.run();
    harness.get_by_label_contains("2 readings at 2 places would be taken over");
    harness.get_by_label_contains("Line 4, column Station: refused: there is no station `Q`");
    harness.get_by_label_contains(
        "Line 2, cylinder 1, station A, axis pin: +7 graduations, 5.1357 in on bore gauge",
    );
    // Nothing is taken over before what stands against it is agreed to.
    harness.get_by_label("Take them over").click();
    harness.run();
    assert_eq!(*document(&harness).session.record(), before, "nothing is taken over yet");
    harness.get_by_label_contains("Leave the refused rows out").click();
    harness.run();
    harness.get_by_label_contains("Replace what the record holds").click();
    harness.run();
    harness.get_by_label("Take them over").click();
    harness.run();
    assert_eq!(reading(&harness, "A", "pin").expect("taken").entered, ["+7"]);
    ctrl(&mut harness, Key::Z);
    assert_eq!(*document(&harness).session.record(), before);
}

#[test]
fn an_overhaul_is_written_and_a_file_that_stands_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut harness = demo("Wexcombe Six");
    for name in ["out.csv", "out.xlsx"] {
        let file = folder.path().join(name);
        ask(&mut harness, "Write this overhaul to a file");
        path(&mut harness, &file);
        assert!(file.exists(), "{name}");
        fs::write(&file, "theirs").expect("written");
        ask(&mut harness, "Write this overhaul to a file");
        path(&mut harness, &file);
        harness.get_by_label_contains("There is a file of this name already");
        assert_eq!(fs::read_to_string(&file).expect("read"), "theirs");
        harness.get_by_label("Overwrite it").click();
        harness.run();
        assert_ne!(fs::read(&file).expect("read"), b"theirs");
    }
}

#[test]
fn a_file_that_cannot_be_read_says_why_and_escape_takes_it_back() {
    let mut harness = demo("Penhallow Twin");
    ask(&mut harness, "Take readings from a file");
    path(&mut harness, std::path::Path::new("/nowhere/none.csv"));
    harness.get_by_label_contains("There is no such file");
    press(&mut harness, Key::Escape);
    assert!(harness.query_by_label("Take readings from a file").is_none());
}
