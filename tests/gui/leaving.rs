//! Leaving a cell half typed by a key that leads elsewhere: nothing typed is lost, and it lands where it was typed.

use eframe::egui::Key;
use egui_kittest::kittest::Queryable as _;
use records::bore::Point;

use crate::harness::{ctrl, demo, document, press, reading, type_text};

/// The demo with the cursor in station C of the pin axis, and a reading half typed there.
fn half_typed() -> egui_kittest::Harness<'static, window::App> {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    press(&mut harness, Key::ArrowDown);
    press(&mut harness, Key::ArrowDown);
    assert!(harness.get_by_label("station C, pin axis, repeat 1").is_focused());
    type_text(&mut harness, "+7");
    harness
}

fn kept(harness: &egui_kittest::Harness<'_, window::App>) -> bool {
    let document = document(harness);
    let overhaul = document.session.record().overhauls.last().expect("there are overhauls");
    let found = overhaul.cylinders[0].readings.iter().find(|r| r.station == "C" && r.axis == "pin");
    found.expect("measured").entered[0] == "+7"
}

#[test]
fn another_overhaul_does_not_get_what_was_typed_in_this_one() {
    let mut harness = half_typed();
    let before = document(&harness).session.record().overhauls[1].clone();
    ctrl(&mut harness, Key::PageUp);
    assert_eq!(document(&harness).session.overhaul_index(), 1);
    press(&mut harness, Key::Enter);
    assert!(kept(&harness));
    assert_eq!(document(&harness).session.record().overhauls[1], before);
}

#[test]
fn another_place_and_back_keeps_the_reading_and_the_cell() {
    let mut harness = half_typed();
    press(&mut harness, Key::F6);
    assert!(kept(&harness));
    press(&mut harness, Key::F2);
    assert!(harness.get_by_label("station C, pin axis, repeat 1").is_focused());
    assert_eq!(reading(&harness, "C", "pin").expect("measured").entered[0], "+7");
}

#[test]
fn saving_and_closing_go_by_what_was_typed() {
    for key in [Key::W, Key::O] {
        let mut harness = half_typed();
        ctrl(&mut harness, key);
        harness.get_by_label_contains("has changes that are not saved");
        assert!(kept(&harness));
    }
}

#[test]
fn the_next_cylinder_takes_the_cursor_to_its_first_cell() {
    let mut harness = half_typed();
    press(&mut harness, Key::PageDown);
    assert_eq!(document(&harness).chosen.cylinder, 1);
    assert!(harness.get_by_label("station A, pin axis, repeat 1").is_focused());
    assert!(kept(&harness));
}

#[test]
fn undo_takes_back_what_is_half_typed_and_nothing_else() {
    let mut harness = half_typed();
    let state = document(&harness).session.state();
    ctrl(&mut harness, Key::Z);
    assert_eq!(document(&harness).session.state(), state);
    assert!(!kept(&harness));
    assert!(harness.get_by_label("station C, pin axis, repeat 1").is_focused());
}

#[test]
fn undo_takes_the_cursor_to_what_it_took_back() {
    let mut harness = half_typed();
    press(&mut harness, Key::Enter);
    press(&mut harness, Key::PageDown);
    ctrl(&mut harness, Key::Z);
    assert!(!kept(&harness));
    assert_eq!(document(&harness).chosen.cylinder, 0);
    assert_eq!(document(&harness).chosen.cell, Some((Point::new(2, 0), 0)));
    assert!(harness.get_by_label("station C, pin axis, repeat 1").is_focused());
}

#[test]
fn the_cell_with_the_cursor_is_chosen_in_every_view() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    assert_eq!(document(&harness).chosen.cell, Some((Point::new(0, 0), 0)));
    press(&mut harness, Key::ArrowDown);
    assert_eq!(document(&harness).chosen.cell, Some((Point::new(1, 0), 0)));
    harness.get_by_label("station D, thrust axis, repeat 2").focus();
    harness.run();
    let limits = document(&harness).session.evaluation().limits().expect("a table");
    let station = limits.stations.iter().position(|s| s.name == "D").expect("there");
    let axis = limits.axes.iter().position(|a| a.label == "thrust").expect("there");
    assert_eq!(document(&harness).chosen.cell, Some((Point::new(station, axis), 1)));
}
