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
    Visual,
    /// Parts that run in the bore.
    Fits,
    /// The table of limits.
    Limits,
    /// The engine, the overhaul, and which cylinder is where.
    Engine,
    /// Across overhauls.
    History,
    /// The classroom. It needs no record.
    Classroom,
    /// What is printed.
    Report,
}

impl Place {
    /// Every place, in the order of work.
    pub const ALL: [Self; 10] = [
        Self::Sheet,
        Self::Bore,
        Self::Outcome,
        Self::Visual,
        Self::Fits,
        Self::Limits,
        Self::Engine,
        Self::History,
        Self::Classroom,
        Self::Report,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sheet => "Sheet",
            Self::Bore => "Bore",
            Self::Outcome => "Outcome",
            Self::Visual => "Visual",
            Self::Fits => "Fits",
            Self::Limits => "Limits",
            Self::Engine => "Engine",
            Self::History => "History",
            Self::Classroom => "Classroom",
            Self::Report => "Report",
        }
    }

    /// The key that goes there.
    pub fn key(self) -> Key {
        match self {
            Self::Sheet => Key::F2,
            Self::Bore => Key::F3,
            Self::Outcome => Key::F4,
            Self::Visual => Key::F5,
            Self::Fits => Key::F6,
            Self::Limits => Key::F7,
            Self::Engine => Key::F8,
            Self::History => Key::F9,
            Self::Classroom => Key::F10,
            Self::Report => Key::F11,
        }
    }

    /// Is it one of the places that are seen together where there is room?
    pub fn is_bench(self) -> bool {
        match self {
            Self::Sheet | Self::Outcome => true,
            // A drawing of it is; all six want the whole work area.
            Self::Bore => false,
            Self::Visual
            | Self::Fits
            | Self::Limits
            | Self::Engine
            | Self::History
            | Self::Classroom
            | Self::Report => false,
        }
    }
}
