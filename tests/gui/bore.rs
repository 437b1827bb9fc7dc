//! The Bore: its drawings found by name, one choice in all, keys, and a picture saved.

use drawings::View;
use eframe::egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use records::bore::Point;
use window::Place;

use crate::harness::{demo, document, press, sized};

#[test]
fn every_drawing_has_a_name_that_says_what_it_shows() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F3);
    assert_eq!(document(&harness).place, Place::Bore);
    press(&mut harness, Key::PageDown);
    press(&mut harness, Key::PageDown);
    press(&mut harness, Key::PageDown);
    assert_eq!(harness.get_all_by_role(Role::Figure).count(), View::ALL.len());
    for words in [
        "Profile of cylinder 4",
        "readings beyond the serviceable limit",
        "Taper, cylinder 4",
        "Out-of-round, cylinder 4",
        "Section at station B",
        "Barrel cut open, thrust axis",
        "Wall unrolled, cylinder 4",
    ] {
        assert!(harness.query_all_by_label_contains(words).next().is_some(), "{words}");
    }
}

#[test]
fn arrows_choose_the_next_station_and_axis_in_all_drawings() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F3);
    harness.get_by_label_contains("Profile of cylinder 1").focus();
    harness.run();
    press(&mut harness, Key::ArrowDown);
    press(&mut harness, Key::ArrowDown);
    press(&mut harness, Key::ArrowRight);
    let chosen = document(&harness).chosen.point().expect("a cell is chosen");
    assert_eq!(chosen, Point::new(2, 1));
    assert_eq!(document(&harness).place, Place::Bore, "choosing stays in place");
    harness.get_by_label_contains("Section at station C");
}

#[test]
fn enter_fills_the_place_with_one_drawing_and_back() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F3);
    harness.get_by_label_contains("Wall unrolled, cylinder 1").focus();
    harness.run();
    press(&mut harness, Key::Enter);
    assert_eq!(document(&harness).views.bore.filling, Some(View::Unrolled));
    assert_eq!(harness.get_all_by_role(Role::Figure).count(), 1);
    press(&mut harness, Key::Enter);
    assert_eq!(document(&harness).views.bore.filling, None);
}

#[test]
fn a_drawing_is_saved_to_a_typed_path() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["section.svg", "section.png"] {
        let path = folder.path().join(name);
        let mut harness = demo("Wexcombe Six");
        press(&mut harness, Key::F3);
        harness.get_by_role_and_label(Role::Button, "Section").click();
        harness.run();
        harness.get_by_label("Save picture…").click();
        harness.run();
        let label = "Save “Section” as (.svg or .png)";
        harness.get_by_role_and_label(Role::TextInput, label).focus();
        harness.run();
        crate::harness::ctrl(&mut harness, Key::A);
        crate::harness::type_text(&mut harness, &path.display().to_string());
        harness.get_by_label("Save the picture").click();
        harness.run();
        let bytes = std::fs::read(&path).expect("the picture is there");
        let head: &[u8] = if name.ends_with("svg") { b"<svg" } else { b"\x89PNG" };
        assert!(bytes.starts_with(head), "{name}");
        // Over a file that is there only once somebody has agreed.
        std::fs::write(&path, "somebody's work").expect("written");
        harness.get_by_label("Save picture…").click();
        harness.run();
        harness.get_by_role_and_label(Role::TextInput, label).focus();
        harness.run();
        crate::harness::ctrl(&mut harness, Key::A);
        crate::harness::type_text(&mut harness, &path.display().to_string());
        harness.get_by_label("Save the picture").click();
        harness.run();
        assert_eq!(std::fs::read(&path).expect("there"), b"somebody's work");
        harness.get_by_label("Overwrite it").click();
        harness.run();
        assert!(std::fs::read(&path).expect("there").starts_with(head), "{name}");
    }
}

#[test]
fn the_drawings_show_at_every_size_and_rest() {
    for (width, height) in [(1024.0, 700.0), (3840.0, 2160.0)] {
        let mut harness = sized(width, height, None, None);
        harness.get_by_label("Skarvoy 3S320").click();
        harness.run();
        press(&mut harness, Key::F3);
        assert!(harness.get_all_by_role(Role::Figure).count() >= 1);
        harness.run();
        let delay = harness.output().viewport_output.values().map(|output| output.repaint_delay).min();
        assert!(delay.expect("a window") > std::time::Duration::from_secs(60));
    }
}
