//! Keystrokes one step at a time, so that a gauge may type faster than the window draws.
//!
//! A digital gauge types its value and Enter within a few thousandths of a second: several digits, Enter and
//! the digits of the next value can arrive together. While a reading is typed, the input is cut so that text
//! and the key that leaves the cell are never in one frame; what is held back follows in the next frames. The
//! same goes for a key that leads elsewhere, such as to the sheet: what is typed after it is meant for there.

use std::collections::VecDeque;

use eframe::egui::{self, Event, Key};

/// Cuts the input while a reading is typed.
#[derive(Debug, Default)]
pub(super) struct OneAtATime {
    held: VecDeque<Event>,
    /// A reading is being typed.
    pub(super) typing: bool,
}

/// Does the event leave the cell?
fn leaves(event: &Event) -> bool {
    matches!(event, Event::Key { key: Key::Enter | Key::Tab, pressed: true, .. })
}

/// Does the event lead to another place or cylinder?
fn leads(event: &Event) -> bool {
    let Event::Key { key, pressed: true, modifiers, .. } = event else { return false };
    let function = (Key::F1..=Key::F12).contains(key);
    function || (modifiers.alt && (Key::Num0..=Key::Num9).contains(key))
}

/// Is it a key with Alt?
fn with_alt(event: &Event) -> bool {
    matches!(event, Event::Key { modifiers, .. } if modifiers.alt)
}

impl OneAtATime {
    /// Takes what has come in, and leaves one step of it.
    fn cut(&mut self, events: &mut Vec<Event>) {
        if !self.typing && self.held.is_empty() && !events.iter().any(leads) {
            return;
        }
        self.held.extend(events.drain(..));
        while let Some(event) = self.held.pop_front() {
            if leaves(&event) && !events.is_empty() {
                self.held.push_front(event);
                return;
            }
            let (last, alt) = (leaves(&event) || leads(&event), with_alt(&event));
            events.push(event);
            if last {
                // The digit of Alt and a digit may follow as a text; it belongs to that key.
                if alt && matches!(self.held.front(), Some(Event::Text(_))) {
                    events.extend(self.held.pop_front());
                }
                return;
            }
        }
    }
}

impl egui::Plugin for OneAtATime {
    fn debug_name(&self) -> &'static str {
        "one keystroke at a time"
    }

    fn input_hook(&mut self, ctx: &egui::Context, input: &mut egui::RawInput) {
        self.cut(&mut input.events);
        if !self.held.is_empty() {
            ctx.request_repaint();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(key: Key) -> Event {
        Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: egui::Modifiers::NONE }
    }

    fn text(text: &str) -> Event {
        Event::Text(text.to_owned())
    }

    #[test]
    fn a_burst_of_two_readings_comes_in_four_steps() {
        let mut cut = OneAtATime { typing: true, ..OneAtATime::default() };
        let mut events = vec![text("5"), text("1"), key(Key::Enter), text("6"), key(Key::Enter)];
        let mut steps = Vec::new();
        for _ in 0..5 {
            cut.cut(&mut events);
            steps.push(std::mem::take(&mut events));
        }
        let expected = [
            vec![text("5"), text("1")],
            vec![key(Key::Enter)],
            vec![text("6")],
            vec![key(Key::Enter)],
            vec![],
        ];
        assert_eq!(steps, expected);
    }

    #[test]
    fn what_follows_a_key_that_leads_elsewhere_is_typed_there() {
        let mut cut = OneAtATime::default();
        let mut second = key(Key::Num2);
        if let Event::Key { modifiers, .. } = &mut second {
            *modifiers = egui::Modifiers::ALT;
        }
        let mut events = vec![second.clone(), text("2"), key(Key::F2), text("5"), key(Key::Enter)];
        let mut steps = Vec::new();
        for _ in 0..3 {
            cut.cut(&mut events);
            steps.push(std::mem::take(&mut events));
            cut.typing = steps.len() == 2;
        }
        assert_eq!(steps, [vec![second, text("2")], vec![key(Key::F2)], vec![text("5")]]);
    }

    #[test]
    fn nothing_is_held_back_where_no_reading_is_typed() {
        let mut cut = OneAtATime::default();
        let mut events = vec![text("5"), key(Key::Enter), text("6")];
        cut.cut(&mut events);
        assert_eq!(events.len(), 3);
    }
}
