//! The places of the window.

use eframe::egui::Key;

/// A place of the window. The Bank is no place: it is always in sight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Place {
    /// The check sheet.
    #[default]
    Sheet,
    /// The drawings.
    Bore,
    /// The recommendation and the person's decision.
    Outcome,
    /// Findings by eye.
    Walkround,
    /// Parts that run in the bore.
    Fits,
    /// The table of limits.
    Limits,
    /// The engine, the overhaul, and which cylinder is where.
    Engine,
    /// Across overhauls.
    Life,
    /// The classroom. It needs no record.
    Lesson,
    /// What is printed.
    Paper,
}

impl Place {
    /// Every place, in the order of work.
    pub const ALL: [Self; 10] = [
        Self::Sheet,
        Self::Bore,
        Self::Outcome,
        Self::Walkround,
        Self::Fits,
        Self::Limits,
        Self::Engine,
        Self::Life,
        Self::Lesson,
        Self::Paper,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sheet => "Sheet",
            Self::Bore => "Bore",
            Self::Outcome => "Outcome",
            Self::Walkround => "Walkround",
            Self::Fits => "Fits",
            Self::Limits => "Limits",
            Self::Engine => "Engine",
            Self::Life => "Life",
            Self::Lesson => "Lesson",
            Self::Paper => "Paper",
        }
    }

    /// The key that goes there.
    pub fn key(self) -> Key {
        match self {
            Self::Sheet => Key::F2,
            Self::Bore => Key::F3,
            Self::Outcome => Key::F4,
            Self::Walkround => Key::F5,
            Self::Fits => Key::F6,
            Self::Limits => Key::F7,
            Self::Engine => Key::F8,
            Self::Life => Key::F9,
            Self::Lesson => Key::F10,
            Self::Paper => Key::F11,
        }
    }

    /// Is it one of the places that are seen together where there is room?
    pub fn is_bench(self) -> bool {
        match self {
            Self::Sheet | Self::Outcome => true,
            // A drawing of it is; all six want the whole work area.
            Self::Bore => false,
            Self::Walkround
            | Self::Fits
            | Self::Limits
            | Self::Engine
            | Self::Life
            | Self::Lesson
            | Self::Paper => false,
        }
    }
}
