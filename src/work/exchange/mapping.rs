//! Which column of a file is what: found by its heading, and put right by the person.

use super::table::Grid;
use records::diag::{Diagnostic, likely_intended};
use records::tabular::heading::{self, Asked, StatedUnit};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Field {
    /// Serial of the engine: rows of another one are refused.
    Engine,
    /// Day of the overhaul: rows of another one are refused.
    Overhaul,
    /// Position of the cylinder.
    Position,
    /// Serial of the cylinder.
    Cylinder,
    /// Station.
    Station,
    /// Axis.
    Axis,
    /// Repeat, counted from 1.
    Repeat,
    /// The reading as typed.
    Reading,
    /// The diameter: taken where there is no reading.
    Diameter,
    /// The unit of a reading that names none.
    Unit,
    /// The gauge it was read with.
    Gauge,
    /// Why it stands though it looks wrong.
    Confirmed,
    /// Temperature of the barrel in degrees Celsius.
    BarrelC,
    /// Temperature of the gauge in degrees Celsius.
    GaugeC,
}

impl Field {
    /// Every field.
    pub const ALL: [Self; 14] = [
        Self::Engine,
        Self::Overhaul,
        Self::Position,
        Self::Cylinder,
        Self::Station,
        Self::Axis,
        Self::Repeat,
        Self::Reading,
        Self::Diameter,
        Self::Unit,
        Self::Gauge,
        Self::Confirmed,
        Self::BarrelC,
        Self::GaugeC,
    ];

    /// Its name, as [`heading`] knows it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Engine => "engine",
            Self::Overhaul => "overhaul",
            Self::Position => "position",
            Self::Cylinder => "cylinder",
            Self::Station => "station",
            Self::Axis => "axis",
            Self::Repeat => "repeat",
            Self::Reading => "reading",
            Self::Diameter => "diameter",
            Self::Unit => "unit",
            Self::Gauge => "gauge",
            Self::Confirmed => "confirmed",
            Self::BarrelC => "barrel_c",
            Self::GaugeC => "gauge_c",
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Engine => "engine serial",
            Self::Overhaul => "day of the overhaul",
            Self::Position => "position",
            Self::Cylinder => "cylinder serial",
            Self::Station => "station",
            Self::Axis => "axis",
            Self::Repeat => "repeat",
            Self::Reading => "reading as typed",
            Self::Diameter => "diameter",
            Self::Unit => "unit",
            Self::Gauge => "gauge",
            Self::Confirmed => "why it stands",
            Self::BarrelC => "barrel temperature, °C",
            Self::GaugeC => "gauge temperature, °C",
        }
    }

    /// Does it hold values that have a unit?
    pub fn is_value(self) -> bool {
        matches!(self, Self::Reading | Self::Diameter)
    }

    /// By its name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|field| field.name() == name)
    }
}

/// What readings cannot be taken over without.
pub(super) const ASKED: [Asked; 4] = [
    Asked { name: "position or cylinder", columns: &[&["position", "cylinder"]], needed: true },
    Asked { name: "station", columns: &[&["station"]], needed: true },
    Asked { name: "axis", columns: &[&["axis"]], needed: true },
    Asked { name: "reading or diameter", columns: &[&["reading", "diameter"]], needed: true },
];

/// What each column of a file holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mapping {
    /// For each column from the left; none: it is not used.
    pub columns: Vec<Option<Field>>,
    /// The unit that each heading ends with.
    pub units: Vec<Option<StatedUnit>>,
}

impl Mapping {
    /// Finds the columns by their headings.
    pub fn of(grid: &Grid) -> Self {
        let mut mapping = Self::default();
        let columns = heading::columns(grid.headings.iter().map(String::as_str));
        for (heading, column) in grid.headings.iter().zip(columns) {
            mapping.columns.push(column.and_then(|(name, _)| Field::named(name)));
            mapping.units.push(StatedUnit::of_heading(heading));
        }
        mapping
    }

    /// Says what a column holds; another column that held it no longer does.
    pub fn put(&mut self, column: usize, field: Option<Field>) {
        if field.is_some() {
            self.columns.iter_mut().filter(|held| **held == field).for_each(|held| *held = None);
        }
        if let Some(held) = self.columns.get_mut(column) {
            *held = field;
        }
    }

    /// Says by names what a column holds, as typed: the heading, and the field or `-` for none.
    ///
    /// # Errors
    /// If there is no such heading or no such field.
    pub fn put_named(&mut self, grid: &Grid, heading: &str, field: &str) -> Result<(), Diagnostic> {
        let plain = |text: &str| text.trim().to_lowercase();
        let column = grid.headings.iter().position(|known| plain(known) == plain(heading));
        let Some(column) = column else {
            let headings = grid.headings.iter().map(String::as_str);
            let intended =
                likely_intended(heading, headings).map_or(String::new(), |m| format!("Is `{m}` meant? "));
            return Err(Diagnostic::error(format!("The file has no column `{heading}`."))
                .remedy(format!("{intended}It has: {}.", grid.headings.join(", "))));
        };
        if field == "-" {
            self.put(column, None);
            return Ok(());
        }
        let known = heading::known(field).and_then(|(name, _)| Field::named(name));
        let known = known.ok_or_else(|| {
            let names: Vec<_> = Field::ALL.into_iter().map(Field::name).collect();
            Diagnostic::error(format!("`{field}` is nothing that a column can hold."))
                .remedy(format!("Known are {}, and - for a column that is not used.", names.join(", ")))
        })?;
        self.put(column, Some(known));
        Ok(())
    }

    /// The column of a field.
    pub fn column(&self, field: Field) -> Option<usize> {
        self.columns.iter().position(|held| *held == Some(field))
    }

    /// The headings of the columns that are not used.
    pub fn unused<'g>(&self, grid: &'g Grid) -> Vec<&'g str> {
        let unused = grid.headings.iter().zip(&self.columns).filter(|(_, held)| held.is_none());
        unused.map(|(heading, _)| heading.as_str()).collect()
    }

    /// The unit that a field's heading names.
    pub fn unit(&self, field: Field) -> Option<&StatedUnit> {
        self.column(field).and_then(|column| self.units.get(column)?.as_ref())
    }

    /// Is a column of temperatures in something else than degrees Celsius, as its heading says?
    ///
    /// # Errors
    /// The column, and what to do.
    pub fn check_temperatures(&self, grid: &Grid) -> Result<(), Diagnostic> {
        for (field, heading) in self.columns.iter().zip(&grid.headings) {
            let last = heading.split(|c: char| !c.is_alphanumeric()).rfind(|word| !word.is_empty());
            let other = last.is_some_and(|word| {
                ["f", "k", "fahrenheit", "kelvin"].iter().any(|unit| word.eq_ignore_ascii_case(unit))
            });
            if other && matches!(field, Some(Field::BarrelC | Field::GaugeC)) {
                return Err(Diagnostic::error(format!(
                    "The temperatures under `{heading}` are not in degrees Celsius."
                ))
                .remedy("Give them in degrees Celsius, or leave the column unused."));
            }
        }
        Ok(())
    }

    /// The columns that are needed and not there, in words; empty: rows can be read.
    pub fn missing(&self) -> Vec<&'static str> {
        let has = |name: &&str| Field::named(name).is_some_and(|field| self.column(field).is_some());
        ASKED
            .iter()
            .filter(|asked| !asked.columns.iter().copied().flatten().any(has))
            .map(|asked| asked.name)
            .collect()
    }
}
