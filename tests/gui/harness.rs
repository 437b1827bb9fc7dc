//! One way to open the window for a test, and the words to drive it with.

use std::path::Path;

use eframe::egui::{Event, Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use records::record::schema::{Cylinder, Reading};
use window::{App, Setup, open_document::OpenDocument};

/// The window on the start page, 1440 by 900 points, with a folder of its own if one is given.
pub fn window(folder: Option<&Path>, file: Option<&Path>) -> Harness<'static, App> {
    sized(1440.0, 900.0, folder, file)
}

/// As [`window`], of another size.
pub fn sized(width: f32, height: f32, folder: Option<&Path>, file: Option<&Path>) -> Harness<'static, App> {
    let setup = Setup { file: file.map(Path::to_owned), folder: folder.map(Path::to_owned) };
    let mut harness = Harness::builder()
        .with_size(vec2(width, height))
        .with_max_steps(200)
        .build_eframe(move |cc| App::new(cc, setup));
    harness.run();
    harness
}

/// The window with a demo engine open.
pub fn demo(name: &str) -> Harness<'static, App> {
    let mut harness = window(None, None);
    harness.get_by_label(name).click();
    harness.run();
    harness
}

/// The record that is open.
pub fn document<'a>(harness: &'a Harness<'_, App>) -> &'a OpenDocument {
    harness.state().document().expect("a record is open")
}

/// The chosen cylinder as written.
pub fn cylinder<'a>(harness: &'a Harness<'_, App>) -> &'a Cylinder {
    let document = document(harness);
    document.session.cylinder(document.chosen.cylinder).expect("there is such a cylinder")
}

/// What the record holds for a cell.
pub fn reading<'a>(harness: &'a Harness<'_, App>, station: &str, axis: &str) -> Option<&'a Reading> {
    cylinder(harness).readings.iter().find(|r| r.station == station && r.axis == axis)
}

/// Presses a key and waits until the window is at rest.
pub fn press(harness: &mut Harness<'_, App>, key: Key) {
    harness.key_press(key);
    harness.run();
}

/// Presses a key with Ctrl.
pub fn ctrl(harness: &mut Harness<'_, App>, key: Key) {
    harness.key_press_modifiers(Modifiers::COMMAND, key);
    harness.run();
}

/// Types a text and waits until the window is at rest.
pub fn type_text(harness: &mut Harness<'_, App>, text: &str) {
    harness.event(Event::Text(text.to_owned()));
    harness.run();
}

/// What a gauge does: its value digit by digit and Enter, all in one frame.
pub fn gauge_sends(harness: &mut Harness<'_, App>, values: &[&str]) {
    for value in values {
        let events = &mut harness.input_mut().events;
        events.extend(value.chars().map(|digit| Event::Text(digit.to_string())));
        for pressed in [true, false] {
            events.push(Event::Key {
                key: Key::Enter,
                physical_key: None,
                pressed,
                repeat: false,
                modifiers: Modifiers::NONE,
            });
        }
    }
    for _ in 0..=values.len() {
        harness.run();
    }
}
