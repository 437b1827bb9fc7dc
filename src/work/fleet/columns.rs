//! The columns of a fleet file: which there are, which are needed, and where a file has them.

use super::KIND;
use records::diag::{Diagnostic, TextPosition, likely_intended};
use records::kind;
use records::tabular::heading::{Asked, Layout, StatedUnit};

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
    /// What is asked for in each column, in the order of the columns.
    pub(super) const ASKED: [Asked; 13] = {
        const fn asked(columns: &'static [&'static [&'static str]], needed: bool) -> Asked {
            let name = match columns {
                [[own, ..], ..] => own,
                _ => "",
            };
            Asked { name, columns, needed }
        }
        [
            asked(&[&["engine"]], true),
            asked(&[&["overhaul"]], true),
            asked(&[&["cylinder"]], true),
            asked(&[&["size"]], true),
            asked(&[&["station"]], true),
            asked(&[&["axis"]], true),
            // A reading of a fleet is a diameter.
            asked(&[&["reading"], &["diameter"]], true),
            asked(&[&["position"]], false),
            asked(&[&["hours"]], false),
            asked(&[&["repeat"]], false),
            asked(&[&["unit"]], false),
            asked(&[&["finished_to"]], false),
            asked(&[&["looked_over"]], false),
        ]
    };

    /// Those that belong to one reading and not to the whole cylinder.
    const OF_READING: [Self; 5] = [Self::Station, Self::Axis, Self::Repeat, Self::Reading, Self::Unit];

    /// Its name in a header.
    pub(super) fn name(self) -> &'static str {
        Self::ASKED.get(self as usize).map_or("", |asked| asked.name)
    }
}

/// Where a file has its columns.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// Index of each column in a row, and the unit that its heading names, in the order of [`Column`].
    at: [Option<(usize, Option<StatedUnit>)>; Column::ASKED.len()],
    /// How many columns the header has, known or not.
    pub(super) count: usize,
    /// How many cells from the front hold all that belongs to the cylinder and not to one reading; 0 if it
    /// does not stand in front.
    pub(super) front: usize,
    /// What parts them.
    pub(super) delimiter: u8,
    /// The column behind the readings that a decimal comma may have made ([`Layout::behind`]).
    pub(super) behind_reading: Option<usize>,
}

impl Columns {
    /// Finds the columns by their headings.
    ///
    /// # Errors
    /// A column that is needed and not there, or one that is there twice.
    pub(super) fn find(
        (headings, on): (&[String], TextPosition),
        delimiter: u8,
        notes: &mut dyn FnMut(Diagnostic),
    ) -> Result<Self, Diagnostic> {
        let layout = Layout::find(headings, &Column::ASKED).map_err(|error| {
            let other = kind::of_headings(headings).and_then(|kind| kind.instead_of(&KIND));
            other.unwrap_or(error.on(Some(on)))
        })?;
        let behind_reading = layout.behind(Column::Reading as usize, (headings.len(), delimiter));
        for name in layout.unused {
            let likely = likely_intended(&name, Column::ASKED.iter().map(|asked| asked.name));
            let likely = likely.map_or(String::new(), |likely| format!("Is `{likely}` meant?"));
            notes(Diagnostic::note(format!("the column `{name}` is not used.")).on(Some(on)).remedy(likely));
        }
        let mut at = [const { None }; Column::ASKED.len()];
        at.iter_mut().zip(layout.found).for_each(|(at, found)| *at = found);
        let index = |column: usize| at.get(column).and_then(Option::as_ref).map(|(index, _)| *index);
        let of_reading = |column: &usize| Column::OF_READING.iter().any(|of| *of as usize == *column);
        let places =
            |wanted: bool| (0..at.len()).filter(move |column| of_reading(column) == wanted).filter_map(index);
        let front = places(false).max().map_or(0, |last| last + 1);
        let front = if places(true).all(|place| place >= front) { front } else { 0 };
        Ok(Self { count: headings.len(), front, delimiter, behind_reading, at })
    }

    /// Index of a column in a row, if the file has it.
    pub(super) fn index(&self, column: Column) -> Option<usize> {
        self.at.get(column as usize)?.as_ref().map(|(index, _)| *index)
    }

    /// The unit that its heading names.
    pub(super) fn unit(&self, column: Column) -> Option<&StatedUnit> {
        self.at.get(column as usize)?.as_ref()?.1.as_ref()
    }
}
