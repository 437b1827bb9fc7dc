//! The Paper: pages appear without being waited for, are leafed through by keys, follow the record, and are saved to a
//! typed path.

use std::time::Duration;

use eframe::egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use window::views::preview::Preview;
use window::{App, Place};

use crate::harness::{ctrl, demo, document, press, sized, type_text};

fn preview<'a>(harness: &'a Harness<'_, App>) -> &'a Preview {
    &document(harness).views.paper.preview
}

/// Waits until what is set, drawn or written on other threads is there.
fn settle(harness: &mut Harness<'_, App>) {
    for _ in 0..1200 {
        harness.run();
        if preview(harness).is_at_rest() && preview(harness).pages().is_some() {
            harness.run();
            return;
        }
        std::thread::sleep(Duration::from_millis(25));
    }
    panic!("the pages are still not there");
}

#[test]
fn the_report_is_seen_and_leafed_through() {
    let mut harness = demo("Penhallow Twin");
    press(&mut harness, Key::F11);
    assert_eq!(document(&harness).place, Place::Report);
    settle(&mut harness);
    let pages = preview(&harness).pages().expect("pages");
    assert!(pages >= 4, "{pages}");
    harness.get_by_role_and_label(Role::Figure, &format!("Report, page 1 of {pages}")).focus();
    harness.run();
    press(&mut harness, Key::ArrowRight);
    settle(&mut harness);
    harness.get_by_label(&format!("Page 2 of {pages}"));
    press(&mut harness, Key::End);
    settle(&mut harness);
    harness.get_by_label(&format!("Report, page {pages} of {pages}"));
    press(&mut harness, Key::Home);
    press(&mut harness, Key::Plus);
    settle(&mut harness);
    harness.get_by_label("Next page").click();
    settle(&mut harness);
    harness.get_by_label(&format!("Page 2 of {pages}"));
    harness.run();
    let delay = harness.output().viewport_output.values().map(|output| output.repaint_delay).min();
    assert!(delay.expect("a window") > Duration::from_secs(60), "at rest it asks for no frame");
}

#[test]
fn the_pages_follow_the_record_only_while_they_are_shown() {
    let mut harness = demo("Penhallow Twin");
    press(&mut harness, Key::F11);
    settle(&mut harness);
    let whole = preview(&harness).pages().expect("pages");
    harness.get_by_label("Chosen cylinder alone").click();
    settle(&mut harness);
    let one = preview(&harness).pages().expect("pages");
    assert!(one < whole, "{one} of {whole}");
    press(&mut harness, Key::F8);
    let before = format!("{:?}", preview(&harness));
    let engine = harness.get_by_role_and_label(Role::TextInput, "Engine serial");
    engine.focus();
    harness.run();
    ctrl(&mut harness, Key::A);
    type_text(&mut harness, "PT-99");
    press(&mut harness, Key::Tab);
    assert_eq!(document(&harness).session.record().engine.serial, "PT-99");
    assert!(preview(&harness).is_at_rest(), "nothing is set for a place that is not shown");
    assert_eq!(format!("{:?}", preview(&harness)), before);
    harness.key_press(Key::F11);
    harness.step();
    harness.step();
    assert!(!preview(&harness).is_at_rest(), "the pages are set anew once they are shown");
    settle(&mut harness);
}

#[test]
fn a_pdf_is_saved_to_a_typed_path_and_never_over_another_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("tags.pdf");
    let mut harness = demo("Penhallow Twin");
    press(&mut harness, Key::F11);
    settle(&mut harness);
    for round in 0..2 {
        harness.get_by_label("Save as PDF…").click();
        harness.run();
        harness.get_by_role_and_label(Role::TextInput, "PDF file path").focus();
        harness.run();
        ctrl(&mut harness, Key::A);
        // The ending may be left out.
        type_text(&mut harness, &path.with_extension("").display().to_string());
        harness.get_by_label("Save the PDF").click();
        harness.run();
        if round == 1 {
            harness.get_by_label_contains("There is a file of this name already.");
            assert_eq!(std::fs::read(&path).expect("kept"), b"mine");
            harness.get_by_label("Overwrite it").click();
            harness.run();
        }
        settle(&mut harness);
        assert!(std::fs::read(&path).expect("the PDF is there").starts_with(b"%PDF-"));
        harness.get_by_label_contains("The PDF is saved.");
        harness.get_by_label("OK").click();
        harness.run();
        std::fs::write(&path, "mine").expect("written");
    }
}

#[test]
fn the_other_things_to_print_show_in_a_small_window_too() {
    let mut harness = sized(1024.0, 700.0, None, None);
    harness.get_by_label("Wexcombe Six").click();
    harness.run();
    press(&mut harness, Key::F11);
    settle(&mut harness);
    for what in ["Blank check sheet", "Part tags"] {
        harness.get_by_role_and_label(Role::ComboBox, "Print").click();
        harness.run();
        harness.get_by_role_and_label(Role::Button, what).click();
        settle(&mut harness);
        let pages = preview(&harness).pages().expect("pages");
        harness.get_by_label(&format!("{what}, page 1 of {pages}"));
    }
}
