//! The columns of a fleet file: which there are, which are needed, and where a file has them.

use super::fields::{Fields, text};
use records::diag::{Diagnostic, TextPosition, likely_intended};
use records::heading;

/// A column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Column {
    Engine,
    Overhaul,
    Cylinder,
    Size,
    Station,
    Axis,
    Reading,
    Position,
    Hours,
    Repeat,
    Unit,
    FinishedTo,
    LookedOver,
}

impl Column {
    /// Every column; those that are needed come first.
    pub(super) const ALL: [Self; 13] = [
        Self::Engine,
        Self::Overhaul,
        Self::Cylinder,
        Self::Size,
        Self::Station,
        Self::Axis,
        Self::Reading,
        Self::Position,
        Self::Hours,
        Self::Repeat,
        Self::Unit,
        Self::FinishedTo,
        Self::LookedOver,
    ];

    /// How many of them, from the front, a file must have.
    const NEEDED: usize = 7;

    /// Its name in a header.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Engine => "engine",
            Self::Overhaul => "overhaul",
            Self::Cylinder => "cylinder",
            Self::Size => "size",
            Self::Station => "station",
            Self::Axis => "axis",
            Self::Reading => "reading",
            Self::Position => "position",
            Self::Hours => "hours",
            Self::Repeat => "repeat",
            Self::Unit => "unit",
            Self::FinishedTo => "finished_to",
            Self::LookedOver => "looked_over",
        }
    }
}

/// Where a file has its columns.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// Index of each column in a row, in the order of [`Column::ALL`].
    at: [Option<usize>; Column::ALL.len()],
    /// How many columns the header has, known or not.
    pub(super) count: usize,
    /// How many fields from the front hold all that belongs to the cylinder and not to one reading; 0 if it
    /// does not stand in front.
    pub(super) front: usize,
    /// What parts them.
    pub(super) delimiter: u8,
}

impl Columns {
    /// Before the header is read.
    pub(super) fn none() -> Self {
        Self { at: [None; Column::ALL.len()], count: 0, front: 0, delimiter: b',' }
    }

    /// Reads a header.
    ///
    /// # Errors
    /// A column that is needed and not there, or one that is there twice.
    pub(super) fn read(
        header: &Fields,
        delimiter: u8,
        line: u64,
        notes: &mut dyn FnMut(Diagnostic),
    ) -> Result<Self, Diagnostic> {
        let on = Some(TextPosition { line: usize::try_from(line).unwrap_or(usize::MAX), column: 1 });
        let mut at = [None; Column::ALL.len()];
        let mut unknown = Vec::new();
        let names = (0..header.len()).filter_map(|index| Some((index, header.get(index)?)));
        let names: Vec<(usize, String)> = names.map(|(index, name)| (index, text(name))).collect();
        let intended_by = heading::columns(names.iter().map(|(_, name)| name.as_str()));
        for ((index, name), intended) in names.into_iter().zip(intended_by) {
            // A unit in a heading is not read here, so a column that has one is not taken for another's.
            let intended = intended.filter(|(_, unit)| unit.is_none()).map(|(known, _)| known);
            let plain = heading::plain(&name);
            let is = |column: &Column| {
                Some(column.name()) == intended || (column.name() == plain.0 && plain.1.is_none())
            };
            match Column::ALL.iter().position(is) {
                Some(known) => {
                    if let Some(slot) = at.get_mut(known)
                        && slot.replace(index).is_some()
                    {
                        return Err(Diagnostic::error(format!(
                            "the header names the column `{name}` twice."
                        ))
                        .on(on)
                        .remedy("Keep the one that counts and name the other differently."));
                    }
                }
                None if name.is_empty() => {}
                None => unknown.push(name),
            }
        }
        let missing: Vec<&str> = Column::ALL
            .iter()
            .zip(&at)
            .take(Column::NEEDED)
            .filter(|(_, at)| at.is_none())
            .map(|(column, _)| column.name())
            .collect();
        let intended = |name: &str| likely_intended(name, Column::ALL.iter().map(|column| column.name()));
        if !missing.is_empty() {
            let likely: Vec<String> = unknown
                .iter()
                .filter_map(|name| Some((name, intended(name).filter(|likely| missing.contains(likely))?)))
                .map(|(name, likely)| format!(" Is `{likely}` meant by `{name}`?"))
                .collect();
            let needed: Vec<&str> =
                Column::ALL.iter().take(Column::NEEDED).map(|column| column.name()).collect();
            return Err(Diagnostic::error(format!("the header has no column {}.", missing.join(", ")))
                .on(on)
                .remedy(format!(
                    "The first line must name the columns {}, in any order.{}",
                    needed.join(", "),
                    likely.concat()
                )));
        }
        for name in unknown {
            let likely = intended(&name).map_or(String::new(), |likely| format!("Is `{likely}` meant?"));
            notes(Diagnostic::note(format!("the column `{name}` is not used.")).on(on).remedy(likely));
        }
        let of_readings = [Column::Station, Column::Axis, Column::Repeat, Column::Reading, Column::Unit];
        let places = |of_reading: bool| {
            let columns = Column::ALL.iter().filter(move |column| of_readings.contains(column) == of_reading);
            columns.filter_map(|&column| at.get(column as usize).copied().flatten())
        };
        let front = places(false).max().map_or(0, |last| last + 1);
        let front = if places(true).all(|place| place >= front) { front } else { 0 };
        Ok(Self { at, count: header.len(), front, delimiter })
    }

    /// Index of a column in a row, if the file has it.
    pub(super) fn index(&self, column: Column) -> Option<usize> {
        self.at.get(column as usize).copied().flatten()
    }
}
