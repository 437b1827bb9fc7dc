//! The Life: reached by its key, sorted, planned, followed through other records gathered behind.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use eframe::egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use window::{App, Place};

use crate::harness::{ctrl, document, press, type_text, window};

fn demo_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo").join(name)
}

fn said(harness: &Harness<'_, App>, words: &str) -> bool {
    harness.query_all_by_label_contains(words).next().is_some()
}

/// Waits for what is worked out behind the window.
fn wait_for(harness: &mut Harness<'_, App>, words: &str) {
    let begun = Instant::now();
    while !said(harness, words) {
        assert!(begun.elapsed() < Duration::from_secs(300), "`{words}` is never said");
        std::thread::sleep(Duration::from_millis(10));
        harness.step();
    }
    harness.run();
}

/// The Life of a demo record, with a cylinder chosen by its place.
fn life(name: &str, cylinder: usize) -> Harness<'static, App> {
    let mut harness = window(None, Some(&demo_file(name)));
    press(&mut harness, Key::F9);
    assert_eq!(document(&harness).place, Place::History);
    wait_for(&mut harness, "Where it was");
    for _ in 0..cylinder {
        press(&mut harness, Key::PageDown);
    }
    harness
}

fn page(harness: &mut Harness<'_, App>, words: &str) {
    harness.get_by_role_and_label(Role::Button, words).click();
    harness.run();
}

fn write_in(harness: &mut Harness<'_, App>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run();
    ctrl(harness, Key::A);
    type_text(harness, text);
}

#[test]
fn the_chosen_cylinder_is_told_in_words_and_drawn() {
    let harness = life("wexcombe_fast_barrel.ron", 3);
    for words in [
        "Largest bore of cylinder 4, WX-2004 across overhauls",
        "6 surveys: 0.00051 in per 1000 h (95 %: 0.00044 to 0.00058)",
        "The limit of 5.1290 in is reached after a further 456 h",
        "Measure again within 170 h",
        "running-in is in that, and it is not part of the line",
        "A line through past surveys, extended, is an estimate only",
    ] {
        assert!(said(&harness, words), "{words}");
    }
}

/// The sentence with the chance.
fn chance(harness: &Harness<'_, App>) -> String {
    let nodes = harness.query_all_by_label_contains("The chance that its limit is passed by then is");
    let words = nodes.filter_map(|node| node.accesskit_node().label().or(node.accesskit_node().value()));
    let words: Vec<_> =
        words.filter_map(|words| Some(words.split_once("by then is")?.1.to_owned())).collect();
    let [only] = words.as_slice() else { panic!("{words:?}") };
    only.clone()
}

#[test]
fn a_number_for_the_hours_changes_the_chance_at_once() {
    let mut harness = life("wexcombe_fast_barrel.ron", 3);
    let field = "If overhauled after a further, h";
    let before = chance(&harness);
    write_in(&mut harness, field, "100");
    assert!(said(&harness, "After a further 100 h"));
    assert_ne!(chance(&harness), before);
    write_in(&mut harness, field, "5000");
    assert!(said(&harness, "by then is more than 99.9 %."));
    // What cannot be read stays, with the reason beside it, and the plan with it.
    write_in(&mut harness, field, "many");
    assert!(said(&harness, "Write a number from 0 to 100000"));
    assert!(said(&harness, "After a further 5000 h"));
}

#[test]
fn the_handle_is_moved_by_keys_and_by_dragging() {
    let mut harness = life("wexcombe_fast_barrel.ron", 3);
    let handle = "Overhauled after a further, h, on the plot";
    harness.get_by_label(handle).focus();
    harness.run();
    press(&mut harness, Key::ArrowRight);
    assert!(said(&harness, "After a further 610 h"));
    press(&mut harness, Key::ArrowLeft);
    press(&mut harness, Key::ArrowLeft);
    assert!(said(&harness, "After a further 590 h"));
    let from = harness.get_by_label(handle).rect().center();
    harness.drag_at(from);
    harness.run();
    harness.hover_at(from - eframe::egui::vec2(60.0, 0.0));
    harness.run();
    harness.drop_at(from - eframe::egui::vec2(60.0, 0.0));
    harness.run();
    assert!(!said(&harness, "After a further 590 h"), "it was dragged to fewer hours");
    assert!(said(&harness, "The chance that its limit is passed by then"));
}

#[test]
fn the_one_that_stands_out_is_said_plainly_and_numbers_on_request() {
    let mut harness = life("wexcombe_fast_barrel.ron", 0);
    page(&mut harness, "Side by side");
    assert!(said(&harness, "WX-2004 (position 4) changes faster than the others"));
    assert!(!said(&harness, "degrees of freedom"));
    page(&mut harness, "Show the numbers behind");
    assert!(said(&harness, "F 7.50 with 5 and 24 degrees of freedom"));
    // All six on one scale; pressing one chooses it.
    assert_eq!(harness.get_all_by_role(Role::Figure).count(), 6);
    harness.get_by_label_contains("Largest bore of 5 · WX-2005").click();
    harness.run();
    assert_eq!(document(&harness).chosen.cylinder, 4);
}

fn order(harness: &Harness<'_, App>) -> Vec<String> {
    let mut rows: Vec<_> = harness
        .query_all_by_label_contains(", largest bore")
        .filter(|node| node.accesskit_node().role() == Role::Button)
        .map(|node| (node.rect().top(), node.accesskit_node().label().unwrap_or_default()))
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows.into_iter().map(|(_, name)| name).collect()
}

#[test]
fn the_table_sorts_by_press_and_by_key() {
    let mut harness = life("wexcombe_fast_barrel.ron", 0);
    page(&mut harness, "Table");
    let rows = order(&harness);
    assert_eq!(rows.len(), 6, "{rows:?}");
    assert!(rows[0].contains("WX-2001"), "{rows:?}");
    let head = "Reached after, h (95 %), press to sort by it";
    harness.get_by_label(head).click_accesskit();
    harness.run();
    assert!(order(&harness)[0].contains("WX-2004"), "it reaches its limit first");
    assert!(said(&harness, "Sorted by Reached after, h (95 %), smallest first"));
    harness.get_by_label("Reached after, h (95 %), sorted, smallest first").focus();
    harness.run();
    press(&mut harness, Key::Enter);
    assert!(order(&harness)[5].contains("WX-2004"), "{:?}", order(&harness));
    assert!(said(&harness, "largest first"));
    // All figures, then back to one cylinder and figure by its row.
    page(&mut harness, "All figures");
    harness.get_by_label("Cylinder 2 · WX-2002, taper").click_accesskit();
    harness.run();
    assert_eq!(document(&harness).chosen.cylinder, 1);
    assert!(said(&harness, "Taper of cylinder 2, WX-2002 across overhauls"));
}

#[test]
fn a_barrel_is_followed_into_another_file() {
    let mut harness = life("wexcombe_pair_b.ron", 0);
    let serials: Vec<String> = {
        let session = &document(&harness).session;
        (0..session.cylinders()).filter_map(|i| Some(session.cylinder(i)?.serial.clone())).collect()
    };
    let moved = serials.iter().position(|serial| serial == "WX-3103").expect("it ended here");
    for _ in 0..moved {
        press(&mut harness, Key::PageDown);
    }
    assert!(!said(&harness, "W6-0031"), "the other engine is not known yet");
    page(&mut harness, "Other records");
    write_in(
        &mut harness,
        "File or folder with other records",
        &demo_file("wexcombe_pair_a.ron").display().to_string(),
    );
    page(&mut harness, "Add");
    wait_for(&mut harness, "Followed through 1 other record.");
    wait_for(&mut harness, "W6-0031");
    assert!(said(&harness, "It is taken to have been fitted to"));
    // Taken away, it is as before.
    let name = format!("Remove {}", demo_file("wexcombe_pair_a.ron").display());
    harness.get_by_label(&name).click();
    harness.run();
    let begun = Instant::now();
    while said(&harness, "W6-0031") {
        assert!(begun.elapsed() < Duration::from_secs(60));
        std::thread::sleep(Duration::from_millis(10));
        harness.step();
    }
}

#[test]
fn a_folder_is_read_behind_and_can_be_cancelled() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string(demo_file("wexcombe_six.ron")).expect("the demo");
    for number in 0..150 {
        let text = text.replace("W6-0", &format!("X{number}-")).replace("WX-", &format!("Y{number}-"));
        std::fs::write(folder.path().join(format!("{number}.ron")), text).expect("written");
    }
    let mut harness = life("wexcombe_pair_b.ron", 0);
    page(&mut harness, "Other records");
    write_in(&mut harness, "File or folder with other records", &folder.path().display().to_string());
    harness.get_by_role_and_label(Role::Button, "Add").click();
    harness.step();
    harness.step();
    assert!(harness.query_by_label("Cancel").is_some(), "it runs, and can be stopped");
    // The window answers meanwhile.
    press(&mut harness, Key::PageDown);
    assert_eq!(document(&harness).chosen.cylinder, 1);
    harness.get_by_label("Cancel").click();
    harness.step();
    wait_for(&mut harness, "Stopped:");
    assert!(said(&harness, "of 150 records are counted, the others are missing."));
    page(&mut harness, "Read the others");
    wait_for(&mut harness, "Followed through 150 other records.");
    harness.run();
    let delay = harness.output().viewport_output.values().map(|output| output.repaint_delay).min();
    assert!(delay.expect("a window") > Duration::from_secs(60), "at rest it asks for no frame");
}

#[test]
fn what_is_not_there_and_who_has_no_serial_is_said() {
    let mut harness = life("skarvoy_320.ron", 0);
    assert!(said(&harness, "with two surveys, nothing has checked"));
    page(&mut harness, "Other records");
    write_in(&mut harness, "File or folder with other records", "/no/such/place");
    page(&mut harness, "Add");
    assert!(said(&harness, "There is no file or folder `/no/such/place`."));
    press(&mut harness, Key::F2);
    harness.get_by_role_and_label(Role::TextInput, "serial").focus();
    harness.run();
    ctrl(&mut harness, Key::A);
    press(&mut harness, Key::Delete);
    press(&mut harness, Key::F9);
    wait_for(&mut harness, "cannot be followed");
    assert!(said(&harness, "Write this one's on the page of the Engine"));
}

#[test]
fn profiles_are_laid_over_each_other_and_subtracted() {
    let mut harness = life("wexcombe_fast_barrel.ron", 3);
    page(&mut harness, "Profiles");
    assert!(said(&harness, "Bore profiles of cylinder 4, WX-2004, mean of the axes: 6 surveys"));
    assert!(said(&harness, "2024-02-29 minus 2021-04-15, most at station"));
    harness.get_by_role_and_label(Role::ComboBox, "Difference from").click();
    harness.run();
    harness.get_by_role_and_label(Role::Button, "2012-05-09").click();
    harness.run();
    assert!(said(&harness, "2024-02-29 minus 2012-05-09"));
}

#[test]
fn every_demo_and_page_shows_at_both_sizes_and_rests() {
    for (width, height) in [(1024.0, 700.0), (1440.0, 900.0)] {
        for name in ["wexcombe_six.ron", "skarvoy_320.ron", "penhallow_twin.ron"] {
            let mut harness = crate::harness::sized(width, height, None, Some(&demo_file(name)));
            press(&mut harness, Key::F9);
            wait_for(&mut harness, "Where it was");
            for words in ["Side by side", "Profiles", "Table", "This cylinder"] {
                page(&mut harness, words);
                assert!(!said(&harness, "NaN"), "{name}, {words}");
            }
            page(&mut harness, "By date");
        }
    }
}

#[test]
fn earlier_surveys_stand_behind_the_profile_on_request() {
    let mut harness = window(None, Some(&demo_file("wexcombe_fast_barrel.ron")));
    press(&mut harness, Key::F3);
    harness.get_by_role_and_label(Role::Button, "Bore profile").click();
    harness.run();
    harness.get_by_label("Earlier overhauls").click();
    harness.run();
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("profile.svg");
    page(&mut harness, "Save picture…");
    write_in(&mut harness, "Save “Bore profile” as (.svg or .png)", &path.display().to_string());
    page(&mut harness, "Save the picture");
    let svg = std::fs::read_to_string(&path).expect("the picture is there");
    assert!(svg.contains("earlier: 2012-05-09"), "every survey before it is named");
}

#[test]
fn an_added_overhaul_asks_for_its_hours_and_empties_nothing() {
    let mut harness = life("wexcombe_fast_barrel.ron", 3);
    assert!(said(&harness, "Largest bore reaches its limit first: WX-2004 (position 4)"));
    harness.get_by_label("Edit").click();
    harness.run();
    harness.get_by_label("Add an overhaul").click();
    harness.run();
    write_in(&mut harness, "Day of measuring, as year-month-day", "2026-03-01");
    write_in(&mut harness, "Total time, h", "many");
    page(&mut harness, "Add it");
    assert!(said(&harness, "`many` is no number of hours"));
    write_in(&mut harness, "Total time, h", "3599");
    page(&mut harness, "Add it");
    assert!(said(&harness, "is less than the 3600 h at the overhaul of 2024-02-29"));
    write_in(&mut harness, "Total time, h", "3700,5");
    write_in(&mut harness, "Hours since last overhaul", "100.5");
    page(&mut harness, "Add it");
    let added = document(&harness).session.overhaul().expect("chosen");
    assert_eq!((added.date.to_string().as_str(), added.total_hours), ("2026-03-01", Some(3700.5)));
    // What was followed is followed still, and says what has run since.
    press(&mut harness, Key::F9);
    wait_for(&mut harness, "Nothing is measured on 2026-03-01.");
    for words in [
        "By 2026-03-01 it had run 100.5 h more.",
        "after a further 456 h",
        "Largest bore of cylinder 4, WX-2004",
    ] {
        assert!(said(&harness, words), "{words}");
    }
    assert!(!said(&harness, "No survey gives this figure"));
}
