//! Keys in the window, by chance: typed, pressed, with and without Ctrl, at whatever has the keyboard.

use std::path::Path;

use eframe::egui::{Event, Key, Modifiers};
use records::file;

use crate::harness;

/// What is typed into cells, fields and questions. No path can be made of it.
const TYPED: [&str; 16] = [
    "5",
    "+",
    "-",
    ".",
    "0",
    "1",
    "9",
    "7",
    "5.1256",
    "+0.0012",
    "130.18 mm",
    "a",
    " ",
    "x9",
    "\u{2212}",
    "\u{202e}",
];

/// Keys that are pressed, alone or with others.
const PRESSED: [Key; 31] = [
    Key::Enter,
    Key::Tab,
    Key::Escape,
    Key::Backspace,
    Key::Delete,
    Key::ArrowUp,
    Key::ArrowDown,
    Key::ArrowLeft,
    Key::ArrowRight,
    Key::PageUp,
    Key::PageDown,
    Key::Home,
    Key::End,
    Key::Space,
    Key::F1,
    Key::F2,
    Key::F3,
    Key::F4,
    Key::F5,
    Key::F6,
    Key::F7,
    Key::F8,
    Key::F9,
    Key::A,
    Key::C,
    Key::G,
    Key::N,
    Key::V,
    Key::X,
    Key::Z,
    Key::S,
];

const WITH: [Modifiers; 8] = [
    Modifiers::NONE,
    Modifiers::NONE,
    Modifiers::NONE,
    Modifiers::NONE,
    Modifiers::COMMAND,
    Modifiers::SHIFT,
    Modifiers::ALT,
    Modifiers::COMMAND.plus(Modifiers::SHIFT),
];

/// Two bytes stand for a key or a text: what, and with what.
fn events([what, with]: [u8; 2]) -> Vec<Event> {
    let (what, with) = (usize::from(what), usize::from(with));
    if what % 2 == 0 {
        return vec![Event::Text(TYPED[what / 2 % TYPED.len()].to_owned())];
    }
    let (key, modifiers) = (PRESSED[what / 2 % PRESSED.len()], WITH[with % WITH.len()]);
    let event = |pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
    vec![event(true), event(false)]
}

/// Opens a demo and presses what the bytes stand for. The window stays one, and its record one that can be kept.
pub fn keys(bytes: &[u8]) {
    let mut harness = harness::demo("Wexcombe Six");
    for pair in bytes.chunks_exact(2).take(200) {
        harness.input_mut().events.extend(events([pair[0], pair[1]]));
        // A step more, for what the first one asks for.
        harness.step();
        harness.step();
    }
    if let Some(document) = harness.state().document() {
        let record = document.session.record();
        let text = file::to_ron(record).expect("what is typed can be written");
        assert_eq!(file::record_from_text(&text, None).value.as_ref(), Some(record), "and read again");
    }
}

/// Where the window saves to when it is told to.
fn somewhere_else() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz-keys");
    std::fs::create_dir_all(&folder).expect("made");
    std::env::set_current_dir(folder).expect("entered");
}

#[test]
fn keys_of_the_window() {
    somewhere_else();
    let mut random = crate::random::Random::new(1);
    let known = (0..3).map(|_| (0..120).map(|_| random.number() as u8).collect()).collect();
    crate::fuzz_few("keys", 5, known, keys);
}
