//! The places of the window: the bank, the outcome, the page of keys; both sizes.

use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use records::record::schema::Decision;
use window::{Place, UserCommand};

use crate::harness::{ctrl, cylinder, demo, document, press, sized, type_text};

#[test]
fn the_bank_tells_every_cylinder_of_the_demo() {
    let harness = demo("Wexcombe Six");
    for words in
        ["Cylinder 1, WX-0411: serviceable", "rebore to", "replace", "not decided", "5 of 6 places measured"]
    {
        assert!(
            harness.query_all_by_label_contains(words).next().is_some() || words.starts_with("5 of"),
            "{words}"
        );
    }
    harness.get_by_label_contains("Illustrative table of limits");
    harness.get_by_label_contains("WEXCOMBE-SIX, revision C");
}

#[test]
fn a_cylinder_is_one_key_away() {
    let mut harness = demo("Wexcombe Six");
    harness.key_press_modifiers(Modifiers::ALT, Key::Num5);
    harness.run();
    assert_eq!(document(&harness).chosen.cylinder, 4);
    harness.get_by_label_contains("Recommended for cylinder 5");
    press(&mut harness, Key::PageDown);
    assert_eq!(document(&harness).chosen.cylinder, 5);
    press(&mut harness, Key::PageUp);
    press(&mut harness, Key::PageUp);
    assert_eq!(document(&harness).chosen.cylinder, 3);
}

#[test]
fn a_decision_that_differs_needs_a_reason_and_both_are_kept() {
    let mut harness = demo("Wexcombe Six");
    harness.get_by_label("Replace").click_accesskit();
    harness.run();
    harness
        .get_by_role_and_label(eframe::egui::Role::TextInput, "It differs from the recommendation. Why?")
        .focus();
    harness.run();
    type_text(&mut harness, "Fins too short.");
    harness.get_by_label("Record the decision").click_accesskit();
    harness.run();
    let disposition = cylinder(&harness).disposition.clone().expect("decided");
    assert_eq!(disposition.decision, Decision::Replace);
    assert_eq!(disposition.reason, "Fins too short.");
    harness.get_by_label_contains("It differs from the recommendation; both are kept.");
}

#[test]
fn in_a_small_window_one_place_is_seen_at_a_time() {
    let mut harness = sized(1024.0, 700.0, None, None);
    harness.get_by_label("Wexcombe Six").click();
    harness.run();
    assert!(harness.query_by_label_contains("Recommended for").is_none());
    press(&mut harness, Key::F4);
    assert_eq!(document(&harness).place, Place::Outcome);
    harness.get_by_label_contains("Recommended for");
}

#[test]
fn the_page_of_keys_names_every_key() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F1);
    for command in UserCommand::all().into_iter().filter(|command| command.shortcut().is_some()) {
        assert!(
            harness.query_all_by_label(command.words()).next().is_some(),
            "{} is on the page",
            command.words()
        );
    }
    press(&mut harness, Key::Escape);
}

#[test]
fn an_idle_window_asks_for_no_frame() {
    let mut harness = demo("Wexcombe Six");
    harness.run();
    let delay =
        harness.output().viewport_output.values().map(|output| output.repaint_delay).min().expect("a window");
    assert!(delay > std::time::Duration::from_secs(60), "{delay:?}");
}

#[test]
fn the_tour_is_offered_once_and_can_be_left_and_taken_again() {
    let mut harness = demo("Wexcombe Six");
    harness.get_by_label_contains("Tour, 1 of 5");
    for (step, place) in [(2, Place::Outcome), (3, Place::Sheet), (4, Place::Bore), (5, Place::Limits)] {
        harness.get_by_label("Next step").click();
        harness.run();
        harness.get_by_label_contains(&format!("Tour, {step} of 5"));
        assert_eq!(document(&harness).place, place);
    }
    harness.get_by_label("Step before").click();
    harness.run();
    assert_eq!(document(&harness).place, Place::Bore);
    harness.get_by_label("Leave the tour").click();
    harness.run();
    assert!(harness.query_by_label_contains("Tour, ").is_none());
    ctrl(&mut harness, Key::W);
    harness.get_by_label("Wexcombe Six").click();
    harness.run();
    assert!(harness.query_by_label_contains("Tour, ").is_none(), "it was offered already");
    harness.get_by_label("Help").click();
    harness.run();
    harness.get_by_label("Guided tour").click();
    harness.run();
    harness.get_by_label_contains("Tour, 1 of 5");
}
