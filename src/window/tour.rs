//! A short guided tour: one place after another, with a few words on what it is for. It is offered once, when a
//! demo engine is first opened, stays out of the way of the work, and can be left at any step.

use eframe::egui::{Key, Modifiers, RichText, Ui};

use super::theme::{self, Palette, TEXT};
use crate::command::UserCommand;
use crate::cx::Action;
use crate::place::Place;

/// A step: the place it shows, its title, and what is said.
struct Step {
    place: Place,
    title: &'static str,
    words: &'static str,
}

const STEPS: [Step; 5] = [
    Step {
        place: Place::Sheet,
        title: "The Bank, at the left",
        words: "Every cylinder in its place. A plain ring: serviceable. A ring within a ring: rebore. A ring \
                struck through: replace. Dashed: not decided. Beneath it stands the row nearest its limit, and by \
                how much. Choose a cylinder by clicking it, or with Alt and its number.",
    },
    Step {
        place: Place::Outcome,
        title: "Why",
        words: "The recommendation in large words, its reasons beneath it, the weightiest first. Click a reason \
                and you are at the reading it speaks of. Further down: the oversizes, how sure it is, and what \
                another rule would say. A person decides, and both are kept.",
    },
    Step {
        place: Place::Sheet,
        title: "Taking readings",
        words: "Type a reading and press Enter; the next cell follows in measuring order, so a gauge that types \
                its value fills the sheet by itself. What looks wrong is said beside the sheet, with what was \
                probably meant. Ctrl+Z takes back anything, as far as you like.",
    },
    Step {
        place: Place::Bore,
        title: "Seeing the bore",
        words: "Six drawings of one cylinder: profile, taper, out-of-round, section, barrel cut open, wall \
                unrolled. Deviations are magnified, and by how much is said. Enter lets one fill the place; a \
                station chosen in one is chosen in all.",
    },
    Step {
        place: Place::Limits,
        title: "What it is judged by",
        words: "The table of limits with its revision, and remarks beside the rows that look like misprints. \
                This one is invented. For a real engine, copy the table from its maker's current manual. F1 \
                shows every key; this tour is under Help.",
    },
];

/// Where the tour is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Tour {
    step: usize,
}

impl Tour {
    /// Asks for the place of the present step.
    pub(super) fn go(self, actions: &mut Vec<Action>) {
        if let Some(step) = STEPS.get(self.step) {
            actions.push(Action::User(UserCommand::Go(step.place)));
        }
    }

    /// Draws the step; says whether the tour goes on.
    pub(super) fn ui(&mut self, ui: &mut Ui, palette: &Palette, actions: &mut Vec<Action>) -> bool {
        let Some(step) = STEPS.get(self.step) else { return false };
        let mut on = true;
        let before = self.step;
        ui.horizontal_wrapped(|ui| {
            let title = format!("Tour, {} of {}: {}.", self.step + 1, STEPS.len(), step.title);
            ui.label(RichText::new(title).font(theme::bold(TEXT)).color(palette.attention));
            ui.label(step.words);
        });
        ui.horizontal(|ui| {
            let last = self.step + 1 == STEPS.len();
            if ui.button(if last { "End of the tour" } else { "Next step" }).clicked() {
                self.step += 1;
                on = !last;
            }
            if ui.add_enabled(self.step > 0, eframe::egui::Button::new("Step before")).clicked() {
                self.step = self.step.saturating_sub(1);
            }
            if !last && ui.button("Leave the tour").clicked() {
                on = false;
            }
        });
        // Escape within the sheet leaves a cell; only where nothing has the keyboard does it leave the tour.
        let idle = ui.memory(|memory| memory.focused().is_none());
        if idle && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
            on = false;
        }
        if on && self.step != before {
            self.go(actions);
        }
        on
    }
}
