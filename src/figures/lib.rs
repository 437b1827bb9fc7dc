//! What is computed for one barrel: every figure of the trade under every rule in use, exactly.
//!
//! One file a figure, its definition and its tests beside it. A [`Figure`] is an exact value together with
//! the cells it was computed from and the weight of each, so that the uncertainty of any figure comes from
//! one piece of code ([`crate::certainty`]). Figures know the stations, axes and roles of a table of
//! limits, but no limit: judging is `judging`'s.
//!
//! | file | figure |
//! |---|---|
//! | `diameter` | largest, smallest, average |
//! | `out_of_round` | out-of-round under both rules |
//! | `taper` | taper under all five rules |
//! | `choke` | choke |
//! | `step` | step (ridge) at the top of ring travel |
//! | `wear` | wear at each point against the best known reference |
//! | `ovality` | fitted ovality and its direction for three or more axes |
//! | `shape` | the least-squares shape and its name |
//! | `ring_gap` | how a ring's gap follows the bore |
//! | `displacement` | displacement from bore and stroke |
//! | `partial` | a figure while readings may still be missing |
//! | `summary` | all of them for one barrel, side by side |
//! | `certainty` | how sure a figure is: budgets, conformity, guard bands, outliers |
//!
//! Figures that are judged are exact ([`Mean`]). Fits are statistics: `f64` in millimetres.

pub mod certainty;
pub mod choke;
pub mod diameter;
pub mod displacement;
mod least_squares;
pub mod out_of_round;
pub mod ovality;
pub mod partial;
pub mod ring_gap;
pub mod shape;
pub mod step;
pub mod summary;
pub mod taper;
pub mod wear;

pub use partial::{Impossible, PartialFigure};
pub use summary::Figures;

use quantities::length::{Length, Mean};
use records::bore::{Bore, Point, Scope};
use records::limits::Limits;
use records::limits::rows::{Over, RowKind, RowLimits};
use records::limits::schema::JudgedOn;

/// A cell and its weight in a figure: the figure is the sum of weight times diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// The cell.
    pub at: Point,
    /// Its weight.
    pub weight: f64,
}

/// Where a figure was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadAt {
    /// At one place.
    Point(Point),
    /// At all places of one station.
    Station(usize),
    /// At one place, the larger, less another.
    Points(Point, Point),
    /// At one station, the larger, less another.
    Stations(usize, usize),
    /// At the base end less the head end.
    BaseLessHead,
    /// Over all of its cells.
    Everywhere,
}

/// An exact figure and the cells it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The value.
    pub value: Mean,
    /// The cells and their weights.
    pub terms: Vec<Term>,
    /// Where it was read.
    pub read_at: ReadAt,
    /// It is the magnitude of a negative figure.
    pub is_turned: bool,
}

impl Figure {
    /// A value that is made of some cells.
    pub fn new(value: Mean, terms: Vec<Term>) -> Self {
        Self { value, terms, read_at: ReadAt::Everywhere, is_turned: false }
    }

    /// The mean diameter of one cell.
    pub fn of_cell(at: Point, value: Mean) -> Self {
        Self::new(value, vec![Term { at, weight: 1.0 }]).read(ReadAt::Point(at))
    }

    /// One cell less another.
    fn between(high: (Point, Mean), low: (Point, Mean)) -> Self {
        let high_less_low = Self::of_cell(high.0, high.1).minus(Self::of_cell(low.0, low.1));
        high_less_low.read(ReadAt::Points(high.0, low.0))
    }

    /// The same, read at another place.
    fn read(self, read_at: ReadAt) -> Self {
        Self { read_at, ..self }
    }

    /// The average over cells with equal weights.
    fn average(cells: &[(Point, Mean)]) -> Option<Self> {
        let value = Mean::of(cells.iter().map(|(_, mean)| *mean))?;
        let weight = 1.0 / cells.len() as f64;
        let terms = cells.iter().map(|&(at, _)| Term { at, weight }).collect();
        Some(Self::new(value, terms))
    }

    /// The average over the required axes at the scope's stations; `None` unless all are measured.
    ///
    /// Optional axes are left out: an average that changed with every extra reading could turn a bore that
    /// is beyond its limit into one that is not.
    fn average_over(bore: &Bore, scope: &Scope<'_>) -> Option<Self> {
        let cells: Option<Vec<_>> = scope
            .stations
            .iter()
            .flat_map(|&station| scope.required_axes.iter().map(move |&axis| Point::new(station, axis)))
            .map(|at| bore.mean(at).map(|mean| (at, mean)))
            .collect();
        Self::average(&cells?)
    }

    /// This minus another.
    fn minus(mut self, other: Self) -> Self {
        self.value = self.value - other.value;
        self.terms.extend(other.terms.into_iter().map(|t| Term { at: t.at, weight: -t.weight }));
        self
    }

    /// A half of this.
    fn halved(mut self) -> Self {
        self.value = self.value / 2;
        self.terms.iter_mut().for_each(|term| term.weight /= 2.0);
        self
    }

    /// This or its negative, whichever is positive.
    pub fn magnitude(mut self) -> Self {
        if self.value.is_negative() {
            self.value = -self.value;
            self.terms.iter_mut().for_each(|term| term.weight = -term.weight);
            self.is_turned = !self.is_turned;
            self.read_at = match self.read_at {
                ReadAt::Points(high, low) => ReadAt::Points(low, high),
                ReadAt::Stations(high, low) => ReadAt::Stations(low, high),
                other => other,
            };
        }
        self
    }

    /// Its value with its sign, also where it is a magnitude.
    pub fn signed(&self) -> Mean {
        if self.is_turned { -self.value } else { self.value }
    }

    /// What it comes to by the readings as read, to the nearest tenth of a nanometre where they are several; `None` if
    /// bringing them to 20 °C changed none of them.
    pub fn as_read(&self, bore: &Bore) -> Option<Mean> {
        let change = |term: &Term| {
            let cell = bore.cell(term.at)?;
            Some(term.weight * (cell.mean_as_read()? - cell.mean()).to_mm())
        };
        if let [Term { at, weight: 1.0 }] = self.terms.as_slice() {
            return bore.cell(*at)?.mean_as_read();
        }
        let changes = self.terms.iter().filter_map(change);
        let change = changes.reduce(|sum, change| sum + change).and_then(Length::from_mm)?;
        Some(self.value + change.into())
    }

    /// The cell it was mainly read at: the first one with a positive weight.
    pub fn place(&self) -> Option<Point> {
        self.terms.iter().find(|t| t.weight > 0.0).or(self.terms.first()).map(|t| t.at)
    }
}

/// The figure of a row of the table of limits, by its rule, over its stations: with its sign, where it has one.
///
/// The only place that knows which figure belongs to which row.
pub fn of_row(bore: &Bore, limits: &Limits, row: &RowLimits) -> PartialFigure {
    of_kind(bore, limits, row.kind, &row.over)
}

/// The same by any rule. Over stations that are not of its kind it is impossible.
pub fn of_kind(bore: &Bore, limits: &Limits, kind: RowKind, over: &Over) -> PartialFigure {
    match (kind, over) {
        (RowKind::Bore(JudgedOn::EveryPoint), Over::Stations(at)) => {
            diameter::largest_diameter(bore, &limits.scope(at))
        }
        (RowKind::Bore(JudgedOn::Average), Over::Stations(at)) => {
            diameter::average_diameter(bore, &limits.scope(at))
        }
        (RowKind::Taper(rule), Over::Stations(at)) => taper::taper(bore, rule, &limits.scope(at)),
        (RowKind::OutOfRound(rule), Over::Stations(at)) => {
            out_of_round::out_of_round(bore, rule, &limits.scope(at))
        }
        (RowKind::Choke, Over::Ends { head, base }) => {
            choke::choke(bore, &limits.scope(head), &limits.scope(base))
        }
        (RowKind::Step, Over::Lip { above, top }) => step::step(bore, *above, *top, &limits.required_axes),
        (
            RowKind::Bore(_) | RowKind::Taper(_) | RowKind::OutOfRound(_) | RowKind::Choke | RowKind::Step,
            Over::Stations(_) | Over::Ends { .. } | Over::Lip { .. },
        ) => PartialFigure::Impossible(Impossible::NothingToMeasure),
    }
}

/// The measured cells of one axis at the given stations.
fn on_axis<'a>(
    bore: &'a Bore,
    stations: &'a [usize],
    axis: usize,
) -> impl Iterator<Item = (Point, Mean)> + Clone + use<'a> {
    stations.iter().filter_map(move |&station| {
        let at = Point::new(station, axis);
        bore.mean(at).map(|mean| (at, mean))
    })
}

/// The first cell with the largest mean.
pub fn largest(cells: impl Iterator<Item = (Point, Mean)>) -> Option<(Point, Mean)> {
    cells.reduce(|best, cell| if cell.1 > best.1 { cell } else { best })
}

/// The first cell with the smallest mean.
fn smallest(cells: impl Iterator<Item = (Point, Mean)>) -> Option<(Point, Mean)> {
    cells.reduce(|best, cell| if cell.1 < best.1 { cell } else { best })
}

/// Largest minus smallest of some cells, always two different ones; `None` with fewer than two.
fn range(cells: impl Iterator<Item = (Point, Mean)> + Clone) -> Option<Figure> {
    let (high_at, high) = largest(cells.clone())?;
    let (low_at, low) = smallest(cells.filter(|cell| cell.0 != high_at))?;
    Some(Figure::between((high_at, high), (low_at, low)))
}

/// The figure with the largest value.
fn worst(figures: impl Iterator<Item = Figure>) -> Option<Figure> {
    figures.reduce(|worst, figure| if figure.value > worst.value { figure } else { worst })
}

#[cfg(test)]
mod tests;
