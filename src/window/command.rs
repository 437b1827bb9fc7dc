//! Everything a person can ask of the window, in one table: the menu, the page of keys and the keyboard all
//! read it, so that none can forget a command.

use eframe::egui::{self, Key, KeyboardShortcut, Modifiers};

use super::prefs::Shade;
use crate::place::Place;
use quantities::length::Unit;

/// Something a person can ask of the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UserCommand {
    /// A new record.
    New,
    /// Open a record.
    Open,
    /// Save.
    Save,
    /// Save under another name.
    SaveAs,
    /// Take readings from a file over.
    TakeReadings,
    /// Write the overhaul for other programs.
    WriteOverhaul,
    /// Close the record and go to the start page.
    Close,
    /// Close the window.
    Quit,
    /// Undo the last change.
    Undo,
    /// Do the last undone change again.
    Redo,
    /// Another overhaul.
    AddOverhaul,
    /// Gauges and setting standards of the overhaul.
    Gauges,
    /// The overhaul before.
    EarlierOverhaul,
    /// The overhaul after.
    LaterOverhaul,
    /// The cylinder before.
    PreviousCylinder,
    /// The cylinder after.
    NextCylinder,
    /// Go to a place.
    Go(Place),
    /// Larger text.
    Larger,
    /// Smaller text.
    Smaller,
    /// Normal text size.
    UsualSize,
    /// Light, dark, or as the system is.
    Shade(Shade),
    /// The unit that figures are shown in; none: as written.
    ShowIn(Option<Unit>),
    /// The page of keys.
    Keys,
    /// Cautions for the work on the engine.
    Cautions,
    /// The guided tour.
    Tour,
    /// The signature of the overhaul.
    Signature,
}

/// A menu.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Menu {
    /// The record as a file.
    File,
    /// Changes.
    Edit,
    /// Where to look.
    GoTo,
    /// How it looks.
    View,
    /// Help.
    Help,
}

impl Menu {
    /// All menus, from the left.
    pub const ALL: [Self; 5] = [Self::File, Self::Edit, Self::GoTo, Self::View, Self::Help];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::File => "File",
            Self::Edit => "Edit",
            Self::GoTo => "Go to",
            Self::View => "View",
            Self::Help => "Help",
        }
    }
}

impl UserCommand {
    /// Every command, in the order of the menus.
    pub fn all() -> Vec<Self> {
        let mut all = vec![
            Self::New,
            Self::Open,
            Self::Save,
            Self::SaveAs,
            Self::TakeReadings,
            Self::WriteOverhaul,
            Self::Close,
            Self::Quit,
            Self::Undo,
            Self::Redo,
            Self::AddOverhaul,
            Self::Signature,
            Self::Gauges,
        ];
        all.extend(Place::ALL.map(Self::Go));
        all.extend([
            Self::PreviousCylinder,
            Self::NextCylinder,
            Self::EarlierOverhaul,
            Self::LaterOverhaul,
            Self::Shade(Shade::System),
            Self::Shade(Shade::Light),
            Self::Shade(Shade::Dark),
            Self::Larger,
            Self::Smaller,
            Self::UsualSize,
            Self::ShowIn(None),
            Self::ShowIn(Some(Unit::Inch)),
            Self::ShowIn(Some(Unit::Millimetre)),
            Self::Keys,
            Self::Cautions,
            Self::Tour,
        ]);
        all
    }

    /// Which menu it stands in.
    pub fn menu(self) -> Menu {
        match self {
            Self::New | Self::Open | Self::Save | Self::SaveAs | Self::Close | Self::Quit => Menu::File,
            Self::TakeReadings | Self::WriteOverhaul => Menu::File,
            Self::Undo | Self::Redo | Self::AddOverhaul | Self::Signature | Self::Gauges => Menu::Edit,
            Self::EarlierOverhaul | Self::LaterOverhaul | Self::PreviousCylinder | Self::NextCylinder => {
                Menu::GoTo
            }
            Self::Go(_) => Menu::GoTo,
            Self::Larger | Self::Smaller | Self::UsualSize | Self::Shade(_) | Self::ShowIn(_) => Menu::View,
            Self::Keys | Self::Cautions | Self::Tour => Menu::Help,
        }
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::New => "New record",
            Self::Open => "Open",
            Self::Save => "Save",
            Self::SaveAs => "Save under another name",
            Self::TakeReadings => "Take readings from a file",
            Self::WriteOverhaul => "Write this overhaul to a file",
            Self::Close => "Close the record",
            Self::Quit => "Close the window",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::AddOverhaul => "Add an overhaul",
            Self::Gauges => "Gauges and setting standards",
            Self::EarlierOverhaul => "Overhaul before",
            Self::LaterOverhaul => "Overhaul after",
            Self::PreviousCylinder => "Previous cylinder",
            Self::NextCylinder => "Next cylinder",
            Self::Go(place) => place.words(),
            Self::Larger => "Larger text",
            Self::Smaller => "Smaller text",
            Self::UsualSize => "Normal text size",
            Self::Shade(Shade::System) => "Light or dark as the system",
            Self::Shade(Shade::Light) => "Light: drawing paper",
            Self::Shade(Shade::Dark) => "Dark: blueprint",
            Self::ShowIn(None) => "Figures in the unit they were written in",
            Self::ShowIn(Some(Unit::Inch)) => "Figures in inches",
            Self::ShowIn(Some(Unit::Millimetre)) => "Figures in millimetres",
            Self::Keys => "Keys",
            Self::Cautions => "Cautions for the work",
            Self::Tour => "Guided tour",
            Self::Signature => "Sign or amend the overhaul",
        }
    }

    /// Its key.
    pub fn shortcut(self) -> Option<KeyboardShortcut> {
        let command = |key| Some(KeyboardShortcut::new(Modifiers::COMMAND, key));
        let shifted = |key| Some(KeyboardShortcut::new(Modifiers::COMMAND | Modifiers::SHIFT, key));
        let bare = |key| Some(KeyboardShortcut::new(Modifiers::NONE, key));
        match self {
            Self::New => command(Key::N),
            Self::Open => command(Key::O),
            Self::Save => command(Key::S),
            Self::SaveAs => shifted(Key::S),
            Self::Close => command(Key::W),
            Self::Quit => command(Key::Q),
            Self::Undo => command(Key::Z),
            Self::Redo => shifted(Key::Z),
            Self::Gauges => command(Key::G),
            Self::PreviousCylinder => bare(Key::PageUp),
            Self::NextCylinder => bare(Key::PageDown),
            Self::EarlierOverhaul => command(Key::PageUp),
            Self::LaterOverhaul => command(Key::PageDown),
            Self::Go(place) => bare(place.key()),
            Self::Larger => command(Key::Plus),
            Self::Smaller => command(Key::Minus),
            Self::UsualSize => command(Key::Num0),
            Self::Keys => bare(Key::F1),
            Self::AddOverhaul
            | Self::Signature
            | Self::Shade(_)
            | Self::ShowIn(_)
            | Self::Cautions
            | Self::Tour => None,
            Self::TakeReadings | Self::WriteOverhaul => None,
        }
    }

    /// Is what is typed in a cell kept before it is done? All but undo, which takes that back, and what is only seen.
    pub(crate) fn leaves_cell(self) -> bool {
        !matches!(
            self,
            Self::Undo | Self::Larger | Self::Smaller | Self::UsualSize | Self::Shade(_) | Self::ShowIn(_)
        )
    }

    /// Does another cylinder or overhaul stand on the sheet after it?
    pub(crate) fn changes_sheet(self) -> bool {
        matches!(
            self,
            Self::EarlierOverhaul | Self::LaterOverhaul | Self::PreviousCylinder | Self::NextCylinder
        )
    }

    /// Does it need an open record?
    pub fn needs_record(self) -> bool {
        !matches!(
            self,
            Self::New
                | Self::Open
                | Self::Quit
                | Self::Go(Place::Classroom)
                | Self::Larger
                | Self::Smaller
                | Self::UsualSize
                | Self::Shade(_)
                | Self::ShowIn(_)
                | Self::Keys
                | Self::Cautions
        )
    }

    /// The commands whose keys were pressed, taken out of the input.
    ///
    /// Keys with more modifiers are asked for first: one that is asked for without Shift also takes the one
    /// with it.
    pub fn pressed(ctx: &egui::Context) -> Vec<Self> {
        let mut asked: Vec<_> = Self::all().into_iter().filter_map(|c| Some((c.shortcut()?, c))).collect();
        // The other customary keys of two commands.
        asked.push((KeyboardShortcut::new(Modifiers::COMMAND, Key::Y), Self::Redo));
        asked.push((KeyboardShortcut::new(Modifiers::COMMAND, Key::Equals), Self::Larger));
        asked.sort_by_key(|(shortcut, _)| {
            let m = shortcut.modifiers;
            std::cmp::Reverse(u8::from(m.shift) + u8::from(m.alt) + u8::from(m.command))
        });
        ctx.input_mut(|input| {
            asked.retain(|(shortcut, _)| input.consume_shortcut(shortcut));
        });
        asked.into_iter().map(|(_, command)| command).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        let keys: Vec<_> = UserCommand::all().into_iter().filter_map(|c| c.shortcut()).collect();
        for (i, key) in keys.iter().enumerate() {
            assert!(!keys[..i].contains(key), "{key:?} is given twice");
        }
    }

    #[test]
    fn every_command_has_its_own_name() {
        let names: Vec<_> = UserCommand::all().into_iter().map(UserCommand::words).collect();
        for (i, name) in names.iter().enumerate() {
            assert!(!names[..i].contains(name), "{name} is given twice");
        }
    }
}
