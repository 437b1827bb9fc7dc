//! What the window remembers of a person from one day to the next: never anything of a record.

use std::path::{Path, PathBuf};

use eframe::egui::ThemePreference;
use serde::{Deserialize, Serialize};

use quantities::length::{Style, Unit};
use records::folder::absolute;
use records::record::entry::MeasuringOrder;

/// How many recent files are remembered.
const RECENT: usize = 10;

/// Text sizes in percent.
pub const TEXT_SIZES: std::ops::RangeInclusive<u16> = 80..=200;

/// Light, dark, or as the system is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shade {
    /// As the system is.
    #[default]
    System,
    /// Drawing paper.
    Light,
    /// A blueprint's negative.
    Dark,
}

impl From<Shade> for ThemePreference {
    fn from(shade: Shade) -> Self {
        match shade {
            Shade::System => Self::System,
            Shade::Light => Self::Light,
            Shade::Dark => Self::Dark,
        }
    }
}

/// A person's preferences.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Prefs {
    /// Light, dark, or as the system is.
    pub shade: Shade,
    /// Text size in percent, within [`TEXT_SIZES`].
    pub text_percent: u16,
    /// Files opened or saved, the latest first; full paths.
    pub recent: Vec<PathBuf>,
    /// The unit that figures are shown in; none: as they were written. What is stored never changes.
    pub unit: Option<Unit>,
    /// The order that readings are taken in.
    pub order: MeasuringOrder,
    /// The cautions for the teardown have been read for these engines, by model and serial.
    pub cautions_read: Vec<String>,
    /// The guided tour was offered.
    pub toured: bool,
}

impl Default for Prefs {
    fn default() -> Self {
        Self {
            shade: Shade::System,
            text_percent: 100,
            recent: Vec::new(),
            unit: None,
            order: MeasuringOrder::default(),
            cautions_read: Vec::new(),
            toured: false,
        }
    }
}

impl Prefs {
    /// A file was opened or saved.
    pub fn remember(&mut self, path: &Path) {
        let path = absolute(path);
        self.recent.retain(|recent| *recent != path);
        self.recent.insert(0, path);
        self.recent.truncate(RECENT);
    }

    /// Makes the text larger or smaller by so many percent.
    pub fn enlarge(&mut self, percent: i16) {
        let wanted = self.text_percent.saturating_add_signed(percent);
        self.text_percent = wanted.clamp(*TEXT_SIZES.start(), *TEXT_SIZES.end());
    }

    /// How to show a figure that was written in a style: the same, or the other unit with its usual digits.
    pub fn shown(&self, written: Style) -> Style {
        written.shown_in(self.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn recent_files_are_the_last_ten_and_each_only_once() {
        let mut prefs = Prefs::default();
        for number in 0..12 {
            prefs.remember(Path::new(&format!("/engines/{number}.ron")));
        }
        prefs.remember(Path::new("/engines/5.ron"));
        assert_eq!(prefs.recent.len(), RECENT);
        assert_eq!(prefs.recent[0], Path::new("/engines/5.ron"));
        assert_eq!(prefs.recent.iter().filter(|p| p.ends_with("5.ron")).count(), 1);
    }

    #[test]
    fn text_stays_between_80_and_200_percent() {
        let mut prefs = Prefs::default();
        prefs.enlarge(500);
        assert_eq!(prefs.text_percent, 200);
        prefs.enlarge(-500);
        assert_eq!(prefs.text_percent, 80);
    }

    #[test]
    fn a_figure_is_shown_in_the_other_unit_with_as_much_in_it() {
        let mut prefs = Prefs::default();
        let inch = Style { unit: Unit::Inch, decimals: 4 };
        assert_eq!(prefs.shown(inch), inch);
        prefs.unit = Some(Unit::Millimetre);
        assert_eq!(prefs.shown(inch), Style { unit: Unit::Millimetre, decimals: 3 });
        prefs.unit = Some(Unit::Inch);
        assert_eq!(prefs.shown(Style { unit: Unit::Millimetre, decimals: 3 }), inch);
    }
}
