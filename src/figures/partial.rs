//! A figure while readings may still be missing: known, at least so much, missing, or impossible.
//!
//! "No figure and nothing missing" cannot be written: a list of missing cells is never empty
//! ([`MissingCells`]), and what no reading can give says why ([`Impossible`]).

use super::Figure;
use records::bore::Point;

/// Cells still to be measured, in measuring order; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingCells(Vec<Point>);

impl MissingCells {
    /// These cells; `None` if there are none.
    pub fn new(cells: Vec<Point>) -> Option<Self> {
        (!cells.is_empty()).then_some(Self(cells))
    }

    /// The cells.
    pub fn cells(&self) -> &[Point] {
        &self.0
    }
}

/// Why no reading that a table of limits has a place for gives a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Impossible {
    /// It compares two axes, and the table has one.
    OneAxis,
    /// It compares two stations, and its row has one.
    OneStation,
    /// Its row has no station, or the table no axis that must be measured.
    NothingToMeasure,
}

impl Impossible {
    /// What is lacking, as the end of a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::OneAxis => "it compares two axes, and the table of limits has only one",
            Self::OneStation => "it compares two stations, and the table of limits names only one",
            Self::NothingToMeasure => "the table of limits names no station or no axis for it",
        }
    }
}

/// A figure for judging, and whether all the readings it needs are there.
///
/// Without all of them a figure is only given where further readings could do no more than enlarge it (a
/// taper: its magnitude): it is then known to be at least so much, which may condemn but can never pass. The
/// smallest diameter is the one exception: further readings can only lower it, so it is at most so much.
#[derive(Clone, Debug, PartialEq)]
pub enum PartialFigure {
    /// Everything it needs was read.
    Known(Figure),
    /// At least so much; these cells are still to be measured.
    AtLeast(Figure, MissingCells),
    /// Nothing can be said before these cells are measured.
    Missing(MissingCells),
    /// No reading gives it.
    Impossible(Impossible),
}

impl PartialFigure {
    /// What was read so far, and what is missing; without either, why there can be no figure.
    pub fn new(figure: Option<Figure>, missing: Vec<Point>, otherwise: Impossible) -> Self {
        match (figure, MissingCells::new(missing)) {
            (Some(figure), None) => Self::Known(figure),
            (Some(figure), Some(missing)) => Self::AtLeast(figure, missing),
            (None, Some(missing)) => Self::Missing(missing),
            (None, None) => Self::Impossible(otherwise),
        }
    }

    /// The figure, or the least it can be.
    pub fn figure(&self) -> Option<&Figure> {
        match self {
            Self::Known(figure) | Self::AtLeast(figure, _) => Some(figure),
            Self::Missing(_) | Self::Impossible(_) => None,
        }
    }

    /// The figure, or the least it can be, taken out.
    pub fn into_figure(self) -> Option<Figure> {
        match self {
            Self::Known(figure) | Self::AtLeast(figure, _) => Some(figure),
            Self::Missing(_) | Self::Impossible(_) => None,
        }
    }

    /// The figure, if everything it needs was read.
    pub fn known(self) -> Option<Figure> {
        match self {
            Self::Known(figure) => Some(figure),
            Self::AtLeast(..) | Self::Missing(_) | Self::Impossible(_) => None,
        }
    }

    /// The cells still to be measured, in measuring order.
    pub fn missing(&self) -> &[Point] {
        match self {
            Self::AtLeast(_, missing) | Self::Missing(missing) => missing.cells(),
            Self::Known(_) | Self::Impossible(_) => &[],
        }
    }

    /// Why no reading gives it.
    pub fn impossible(&self) -> Option<Impossible> {
        match self {
            Self::Impossible(why) => Some(*why),
            Self::Known(_) | Self::AtLeast(..) | Self::Missing(_) => None,
        }
    }

    /// Is everything measured that the figure needs?
    pub fn is_complete(&self) -> bool {
        matches!(self, Self::Known(_))
    }

    /// The same with its figure changed, such as to its magnitude.
    #[must_use]
    pub fn map(self, change: impl FnOnce(Figure) -> Figure) -> Self {
        match self {
            Self::Known(figure) => Self::Known(change(figure)),
            Self::AtLeast(figure, missing) => Self::AtLeast(change(figure), missing),
            other @ (Self::Missing(_) | Self::Impossible(_)) => other,
        }
    }
}
