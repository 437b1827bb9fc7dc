//! Typing a sheet: by hand, by a gauge, from a spreadsheet; slips; undo.

use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use judging::Recommendation;

use crate::harness::{ctrl, cylinder, demo, document, gauge_sends, press, reading, type_text, window};

/// A new record by the Penhallow table, at the first cell of its first cylinder.
fn empty_sheet() -> egui_kittest::Harness<'static, window::App> {
    let mut harness = window(None, None);
    harness.get_by_label_contains("New record").click();
    harness.run();
    harness.get_by_label_contains("revision 1st edition").click();
    harness.run();
    press(&mut harness, Key::F2);
    harness
}

#[test]
fn a_gauge_fills_a_whole_cylinder_without_a_hand() {
    let mut harness = empty_sheet();
    let limits = document(&harness).session.evaluation().limits().expect("a table").clone();
    let repeats = 2;
    let count = limits.stations.len() * limits.axes.len() * repeats;
    let start = &limits.sizes[0].new.0;
    // Every reading another one, so that none can land in a wrong cell unseen.
    let values: Vec<String> = (0..count)
        .map(|i| {
            let step = quantities::length::Length::parse("0.0001", limits.unit).expect("a length").length;
            (start.length + step * i as i64).number(start.style)
        })
        .collect();
    gauge_sends(&mut harness, &values.iter().map(String::as_str).collect::<Vec<_>>());
    let mut expected = values.iter();
    for axis in &limits.axes {
        for station in &limits.stations {
            let entered = &reading(&harness, &station.name, &axis.label).expect("measured").entered;
            let typed: Vec<String> = expected.by_ref().take(repeats).cloned().collect();
            assert_eq!(*entered, typed, "station {} axis {}", station.name, axis.label);
        }
    }
    let (done, all) = document(&harness).session.evaluation().measured(0);
    assert_eq!(done, all);
}

#[test]
fn what_the_gauge_sends_is_judged_at_once() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    let before = document(&harness).session.evaluation().assessments[0].recommendation;
    assert_eq!(before, Recommendation::Serviceable);
    // Three repeats at A, then the first at B.
    gauge_sends(&mut harness, &["+1", "+2", "+1", "+90"]);
    assert_eq!(reading(&harness, "B", "pin").expect("measured").entered[0], "+90");
    let after = document(&harness).session.evaluation().assessments[0].recommendation;
    assert_ne!(after, before);
    harness.get_by_label_contains("Cylinder 1, WX-0411");
}

#[test]
fn a_text_that_cannot_be_read_stays_and_the_next_value_replaces_it() {
    let mut harness = empty_sheet();
    let first = document(&harness).session.evaluation().limits().expect("a table").stations[0].name.clone();
    gauge_sends(&mut harness, &["ERR"]);
    harness.get_by_label_contains("is not a length");
    assert!(cylinder(&harness).readings.is_empty());
    gauge_sends(&mut harness, &["2.7501"]);
    let axis = document(&harness).session.evaluation().limits().expect("a table").axes[0].label.clone();
    assert_eq!(reading(&harness, &first, &axis).expect("kept").entered, ["2.7501"]);
}

#[test]
fn arrows_tab_home_end_and_escape_move_as_on_paper() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    let focused = |harness: &egui_kittest::Harness<'_, window::App>, name: &str| {
        assert!(harness.get_by_label(name).is_focused(), "{name} has the focus");
    };
    focused(&harness, "station A, pin axis, repeat 1");
    press(&mut harness, Key::ArrowDown);
    focused(&harness, "station B, pin axis, repeat 1");
    press(&mut harness, Key::ArrowRight);
    focused(&harness, "station B, pin axis, repeat 2");
    press(&mut harness, Key::ArrowRight);
    press(&mut harness, Key::Tab);
    focused(&harness, "station C, pin axis, repeat 1");
    harness.key_press_modifiers(Modifiers::SHIFT, Key::Tab);
    harness.run();
    focused(&harness, "station B, pin axis, repeat 3");
    press(&mut harness, Key::ArrowLeft);
    press(&mut harness, Key::ArrowLeft);
    press(&mut harness, Key::ArrowUp);
    focused(&harness, "station A, pin axis, repeat 1");
    press(&mut harness, Key::End);
    press(&mut harness, Key::Home);
    focused(&harness, "station A, pin axis, repeat 1");
    let stood = reading(&harness, "A", "pin").expect("measured").entered.clone();
    type_text(&mut harness, "77");
    press(&mut harness, Key::Escape);
    focused(&harness, "station A, pin axis, repeat 1");
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered, stood);
    let node = harness.get_by_label("station A, pin axis, repeat 1");
    assert_eq!(node.accesskit_node().value(), Some(stood[0].clone()));
}

#[test]
fn both_axes_at_each_depth_is_the_other_order() {
    let mut harness = demo("Skarvoy 3S320");
    harness.get_by_label("Order").scroll_to_me();
    harness.run();
    harness.get_by_label("Order").click();
    harness.run();
    harness.get_by_label("every axis at each depth").click();
    harness.run();
    press(&mut harness, Key::F2);
    let limits = document(&harness).session.evaluation().limits().expect("a table").clone();
    press(&mut harness, Key::End);
    press(&mut harness, Key::Home);
    let repeats = cylinder(&harness).readings.iter().map(|r| r.entered.len()).max().expect("readings").max(2);
    for _ in 0..repeats {
        press(&mut harness, Key::Enter);
    }
    let wanted = records::survey::point_words(&limits, records::bore::Point::new(0, 1));
    assert!(harness.get_by_label(&format!("{wanted}, repeat 1")).is_focused());
}

#[test]
fn a_block_from_a_spreadsheet_fills_the_cells_and_is_one_step() {
    let mut harness = empty_sheet();
    harness.event(Event::Paste("2.7501\t2.7502\n2.7503\t2.7504\n".into()));
    harness.run();
    let limits = document(&harness).session.evaluation().limits().expect("a table").clone();
    let axis = limits.axes[0].label.clone();
    for (station, expected) in [(0, ["2.7501", "2.7502"]), (1, ["2.7503", "2.7504"])] {
        let name = &limits.stations[station].name;
        assert_eq!(reading(&harness, name, &axis).expect("pasted").entered, expected);
    }
    ctrl(&mut harness, Key::Z);
    assert!(cylinder(&harness).readings.is_empty());
}

#[test]
fn undo_goes_back_to_the_beginning_and_redo_to_the_end() {
    let mut harness = demo("Wexcombe Six");
    let first = document(&harness).session.record().clone();
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+1", "+2", "+3"]);
    harness.get_by_label("tagged").click();
    harness.run();
    let last = document(&harness).session.record().clone();
    assert_ne!(first, last);
    for _ in 0..10 {
        ctrl(&mut harness, Key::Z);
    }
    assert_eq!(*document(&harness).session.record(), first);
    for _ in 0..10 {
        harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        harness.run();
    }
    assert_eq!(*document(&harness).session.record(), last);
}

#[test]
fn undo_of_a_half_typed_reading_only_leaves_it() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    gauge_sends(&mut harness, &["+1"]);
    type_text(&mut harness, "+7");
    ctrl(&mut harness, Key::Z);
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "+1");
    assert!(document(&harness).session.undo_label().is_some());
}

#[test]
fn a_reading_left_by_the_mouse_is_kept() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    type_text(&mut harness, "+4");
    harness.get_by_label_contains("Cylinder 2, ").click();
    harness.run();
    assert_eq!(document(&harness).chosen.cylinder, 1);
    let first = document(&harness).session.cylinder(0).expect("there");
    assert_eq!(first.readings[0].entered[0], "+4");
}

/// The demo's cylinder 6: one turn of the thimble at station C, thrust axis, in both repeats.
fn with_a_slip() -> egui_kittest::Harness<'static, window::App> {
    let mut harness = demo("Wexcombe Six");
    harness.key_press_modifiers(Modifiers::ALT, Key::Num6);
    harness.run();
    let outcome = document(&harness).session.evaluation().assessments[5].recommendation;
    assert_eq!(outcome, Recommendation::NotDecided);
    harness
}

#[test]
fn a_slip_is_told_and_its_suggestion_put_in_place() {
    let mut harness = with_a_slip();
    assert!(harness.query_all_by_label_contains("one turn of the thimble").next().is_some());
    harness.get_by_label("Put 5.1429 and 5.1428 instead").click_accesskit();
    harness.run();
    assert_eq!(reading(&harness, "C", "thrust").expect("measured").entered, ["5.1429", "5.1428"]);
    let outcome = document(&harness).session.evaluation().assessments[5].recommendation;
    assert_eq!(outcome, Recommendation::Serviceable);
    ctrl(&mut harness, Key::Z);
    assert_eq!(reading(&harness, "C", "thrust").expect("measured").entered, ["5.1679", "5.1678"]);
}

#[test]
fn a_slip_can_be_retyped() {
    let mut harness = with_a_slip();
    harness.get_by_label("Retype station C, thrust axis").click_accesskit();
    harness.run();
    assert!(harness.get_by_label("station C, thrust axis, repeat 1").is_focused());
    gauge_sends(&mut harness, &["5.1429", "5.1428"]);
    let outcome = document(&harness).session.evaluation().assessments[5].recommendation;
    assert_eq!(outcome, Recommendation::Serviceable);
}

#[test]
fn a_reading_that_looks_wrong_stands_when_somebody_says_why() {
    let mut harness = with_a_slip();
    harness.get_by_label("It stands, station C, thrust axis").click_accesskit();
    harness.run();
    harness
        .get_by_role_and_label(
            eframe::egui::Role::TextInput,
            "Why does it stand, though it looks wrong? (It is kept with the reading.)",
        )
        .focus();
    harness.run();
    type_text(&mut harness, "Measured again with the other gauge.");
    press(&mut harness, Key::Enter);
    let kept = &reading(&harness, "C", "thrust").expect("measured").confirmed;
    assert_eq!(kept, "Measured again with the other gauge.");
    let outcome = document(&harness).session.evaluation().assessments[5].recommendation;
    assert_eq!(outcome, Recommendation::Replace);
}

#[test]
fn what_enter_keeps_is_shown_in_the_same_frame() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    assert!(harness.query_by_label("5.1349").is_none());
    type_text(&mut harness, "-4");
    harness.key_press(Key::Enter);
    harness.step();
    assert_eq!(reading(&harness, "A", "pin").expect("measured").entered[0], "-4");
    harness.get_by_label("5.1349");
    assert!(harness.get_by_label("station A, pin axis, repeat 2").is_focused());
}
