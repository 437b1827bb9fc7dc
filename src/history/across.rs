//! A record that is open and the sheets of other records, followed together: everything that is shown of a life
//! at once, so that it can be worked out once and away from the screen.

use std::sync::Arc;

use super::engine::{Comparison, EngineCylinder, stands};
use super::figure::Figure;
use super::first::{First, first};
use super::follow::{Followed, follow};
use super::sheet::{EngineName, Sheets, SurveySheet};
use super::trend::Time;
use quantities::length::Style;

/// A record and others, followed.
#[derive(Clone, Debug, Default)]
pub struct Across {
    /// Every cylinder.
    pub followed: Followed,
    /// The engine of the record that is open; none if no survey of it can be read.
    pub engine: Option<EngineName>,
    /// The figures of its latest survey, in the order of the table.
    pub figures: Vec<Figure>,
    /// Its cylinders side by side by hours, one for each figure.
    by_hours: Vec<Comparison>,
    /// The same by calendar time.
    by_years: Vec<Comparison>,
    /// What could not be read in the record that is open, and what was left out for it.
    pub reported: Vec<String>,
}

impl Across {
    /// Follows the sheets of a record that is open together with others.
    ///
    /// A survey that is in both counts as it is open, where somebody may be changing it.
    pub fn of(own: &Sheets, others: &[Arc<SurveySheet>]) -> Self {
        let mut reported = own.reported.clone();
        let on_desk = |other: &Arc<SurveySheet>| {
            own.sheets.iter().any(|s| s.engine == other.engine && s.date == other.date)
        };
        let (older, others): (Vec<_>, Vec<_>) = others.iter().cloned().partition(on_desk);
        reported.extend(older.iter().filter(|older| !own.sheets.contains(older)).map(|older| {
            format!(
                "The survey of {} of {} is also in another file, with other values; what is that is open counts.",
                older.engine.words(), older.date
            )
        }));
        let sheets: Vec<_> = own.sheets.iter().cloned().chain(others).collect();
        let followed = follow(&sheets);
        let engine = own.sheets.first().map(|sheet| EngineName::clone(&sheet.engine));
        let latest = engine.as_ref().and_then(|engine| followed.engines.get(engine)?.last());
        let figures: Vec<Figure> = latest
            .map(|latest| latest.scheme.entries.iter().map(|entry| entry.figure.clone()).collect())
            .unwrap_or_default();
        let stands = |time: Time| -> Vec<Comparison> {
            let Some(engine) = &engine else { return Vec::new() };
            stands(&followed, engine, &figures, time)
        };
        let (by_hours, by_years) = (stands(Time::Hours), stands(Time::Years));
        Self { by_hours, by_years, followed, engine, figures, reported }
    }

    /// Shows its amounts as `shown` makes them of the style they were written in.
    #[must_use]
    pub fn restyled(mut self, shown: impl Fn(Style) -> Style) -> Self {
        for stand in self.by_hours.iter_mut().chain(&mut self.by_years) {
            let style = shown(stand.written);
            if style != stand.written {
                stand.restyle(style);
            }
        }
        self
    }

    /// The figure whose limit is reached first by the cylinders that `wanted` picks.
    pub fn first(&self, time: Time, wanted: impl Fn(&EngineCylinder) -> bool) -> Option<First> {
        let members = self.stands(time).iter().flat_map(|stand| &stand.members);
        first(members.filter(|member| wanted(member)).map(EngineCylinder::positioned))
    }

    /// The engine's cylinders side by side, one for each figure.
    pub fn stands(&self, time: Time) -> &[Comparison] {
        match time {
            Time::Hours => &self.by_hours,
            Time::Years => &self.by_years,
        }
    }

    /// The engine's cylinders side by side in one figure.
    pub fn stand(&self, figure: &Figure, time: Time) -> Option<&Comparison> {
        self.stands(time).iter().find(|stand| stand.figure == *figure)
    }
}
