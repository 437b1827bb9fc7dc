//! Signing and amending by the window, through its accessible names.

use std::fs;

use eframe::egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use records::file;
use window::App;

use crate::harness::{ctrl, demo, document, gauge_sends, press, reading, sized, type_text, window};

fn write(harness: &mut Harness<'_, App>, name: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, name).focus();
    harness.run();
    ctrl(harness, Key::A);
    type_text(harness, text);
}

fn click(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click_accesskit();
    harness.run();
}

/// Signs the chosen overhaul under its pages.
fn sign(harness: &mut Harness<'_, App>) {
    press(harness, Key::F11);
    click(harness, "Signature");
    write(harness, "Name of whoever signs", "Ada Invented");
    write(harness, "Certificate or licence of whoever signs", "invented 7");
    write(harness, "Day of signing", "2026-05-14");
    click(harness, "Sign this overhaul");
}

#[test]
fn what_stands_open_is_listed_and_the_overhaul_is_signed() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F11);
    click(&mut harness, "Signature");
    harness.get_by_label_contains("Cylinder 6 (WX-0416): not decided");
    harness.get_by_label_contains("It does not show who a person is");
    sign(&mut harness);
    let seal = document(&harness).session.closed().expect("signed").clone();
    assert_eq!((seal.name.as_str(), seal.certificate.as_str()), ("Ada Invented", "invented 7"));
    assert_eq!(seal.date.to_string(), "2026-05-14");
    harness.get_by_label_contains("It is as it was signed by Ada Invented (invented 7) on 2026-05-14.");
    harness.get_by_label_contains("By Ada Invented on 2026-05-14. Read-only");
    assert!(document(&harness).title().contains("not saved, signed"), "{}", document(&harness).title());
    // Not saved yet: undo takes it back, and says so by its name.
    assert_eq!(document(&harness).session.undo_label(), Some("signature of Ada Invented"));
    ctrl(&mut harness, Key::Z);
    assert!(document(&harness).session.closed().is_none());
}

#[test]
fn without_a_name_or_a_day_nothing_is_signed_and_the_reason_is_said() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F11);
    click(&mut harness, "Signature");
    write(&mut harness, "Name of whoever signs", " ");
    click(&mut harness, "Sign this overhaul");
    harness.get_by_label_contains("The name of whoever signs is missing.");
    write(&mut harness, "Name of whoever signs", "Ada");
    write(&mut harness, "Day of signing", "2026-02-30");
    click(&mut harness, "Sign this overhaul");
    harness.get_by_label_contains("`2026-02-30` is no day.");
    assert!(document(&harness).session.closed().is_none());
}

#[test]
fn a_signed_sheet_is_read_only_and_says_why() {
    let mut harness = demo("Wexcombe Six");
    sign(&mut harness);
    press(&mut harness, Key::F2);
    harness.get_by_label("Read-only");
    harness.get_by_label_contains("can no longer be changed");
    let before = reading(&harness, "A", "pin").expect("measured").entered.clone();
    harness.get_by_label("station A, pin axis, repeat 1, read-only");
    gauge_sends(&mut harness, &["+9"]);
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered, before);
    // What is asked elsewhere is refused with the reason, not silently.
    harness.get_by_label("tagged").click_accesskit();
    harness.run();
    assert!(harness.state().notices().iter().any(|notice| notice.message.contains("Ada Invented")));
    // Another overhaul can still be typed in.
    harness.key_press_modifiers(Modifiers::COMMAND, Key::PageUp);
    harness.run();
    assert!(harness.query_by_label("Read-only").is_none());
}

#[test]
fn an_amendment_is_started_made_and_closed() {
    let mut harness = demo("Wexcombe Six");
    sign(&mut harness);
    click(&mut harness, "Start an amendment");
    harness.get_by_label_contains("is missing");
    write(&mut harness, "Name of whoever amends", "Ben Invented");
    write(&mut harness, "Certificate or licence of whoever amends", "invented 8");
    write(&mut harness, "Why it is amended", "The dial was misread.");
    click(&mut harness, "Start an amendment");
    harness.get_by_label("Under amendment");
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+9"]);
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "+9");
    press(&mut harness, Key::F11);
    click(&mut harness, "Signature");
    harness.get_by_label_contains("Cylinder 1, station A, pin axis, repeat 1: “+2” before, “+9” now");
    click(&mut harness, "Close the amendment");
    harness.get_by_label_contains("amended once");
    harness.get_by_label_contains("Ben Invented (invented 8): The dial was misread.");
    assert!(document(&harness).session.closed().is_some());
    assert!(document(&harness).session.evaluation().signed.as_ref().expect("signed").holds());
}

#[test]
fn a_saved_signature_is_not_undone_and_a_changed_file_is_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("engine.ron");
    fs::write(&path, include_str!("../../demo/wexcombe_six.ron")).expect("written");
    let mut harness = window(Some(folder.path()), Some(&path));
    sign(&mut harness);
    ctrl(&mut harness, Key::S);
    assert!(document(&harness).title().contains("(saved, signed)"), "{}", document(&harness).title());
    ctrl(&mut harness, Key::Z);
    assert!(document(&harness).session.closed().is_some());
    drop(harness);
    let text = fs::read_to_string(&path).expect("read");
    assert!(file::record_from_text(&text, None).value.is_some());
    fs::write(&path, text.replacen("total_hours: 4317.9", "total_hours: 4317.8", 1)).expect("written");
    let mut harness = window(Some(folder.path()), Some(&path));
    harness.get_by_label("Changed after signing");
    assert!(document(&harness).title().contains("changed after signing"));
    press(&mut harness, Key::F11);
    click(&mut harness, "Signature");
    harness.get_by_label_contains("Not as it was signed: what concerns the whole overhaul");
}

#[test]
fn an_overhaul_without_readings_is_not_signed() {
    let mut harness = sized(1024.0, 700.0, None, None);
    harness.get_by_label("Wexcombe Six").click();
    harness.run();
    harness.get_by_label("Edit").click();
    harness.run();
    harness.get_by_label("Add an overhaul").click();
    harness.run();
    press(&mut harness, Key::Enter);
    press(&mut harness, Key::F11);
    click(&mut harness, "Signature");
    harness.get_by_label_contains("Nothing at all is measured");
    harness.get_by_label("Sign this overhaul").click_accesskit();
    harness.run();
    assert!(document(&harness).session.closed().is_none());
}
