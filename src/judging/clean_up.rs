//! Rebore: which oversize cleans a worn bore up, and what it takes off at each place.
//!
//! Wear w reads D0 + w, and a reading does not say which side wore. If it wore evenly all round, a finished
//! bore of D0 + w cleans up; if all of it is on one side, the original centre needs D0 + 2 w. A pit of depth
//! d adds 2 d at its own station. To each the clean-up allowance is added. The finished size is the oversize
//! row's as-made minimum: even a bore finished to its smallest must come out clean.

use quantities::length::{Length, Mean};
use records::bore::Point;
use records::limits::Limits;
use records::survey::Cylinder;

/// Whether a bore finished to an oversize comes out clean.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CleanUp {
    /// Not even if it wore evenly.
    No,
    /// Only if it wore evenly all round.
    OnlyIfWornEvenly,
    /// Whichever side it wore.
    WhicheverSideWore,
}

impl CleanUp {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::No => "does not clean up",
            Self::OnlyIfWornEvenly => "cleans up only if the wear is even",
            Self::WhicheverSideWore => "cleans up even if all wear is on one side",
        }
    }
}

/// The size that wear is counted from for the clean-up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Original {
    /// The size it is known to have been finished to.
    Known(Length),
    /// The least it can have been: the as-made minimum, which supposes the most wear.
    Least(Length),
}

impl Original {
    /// For a cylinder of a size in the table.
    pub fn of(cylinder: &Cylinder, limits: &Limits) -> Option<Self> {
        match cylinder.finished_to {
            Some((length, _)) => Some(Self::Known(length)),
            None => limits.sizes.get(cylinder.size?).map(|row| Self::Least(row.new.0.length)),
        }
    }

    /// The diameter.
    pub fn diameter(self) -> Length {
        match self {
            Self::Known(length) | Self::Least(length) => length,
        }
    }
}

/// Stock that an oversize takes off at one place, on the diameter; negative where the bore is larger already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Where.
    pub at: Point,
    /// How much.
    pub stock: Mean,
}

/// One oversize of the ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct OversizeOption {
    /// Index of the size in [`Limits::sizes`].
    pub size: usize,
    /// The size it is finished to at least.
    pub finished: Length,
    /// The wall may be cut so far.
    pub wall_allows: bool,
    /// Whether it comes out clean.
    pub clean_up: CleanUp,
    /// What a clean bore needs if it wore evenly.
    pub needs_if_even: Mean,
    /// What a clean bore needs whichever side it wore.
    pub needs_whichever_side: Mean,
    /// The place that needs the most if it wore evenly; with pits it need not be [`Self::governed_by`].
    pub governed_if_even: Point,
    /// The place that needs the most whichever side it wore.
    pub governed_by: Point,
    /// What comes off at each place.
    pub stock: Vec<Stock>,
}

impl OversizeOption {
    /// The place where it takes off least.
    pub fn least_stock(&self) -> Option<Stock> {
        self.stock
            .iter()
            .copied()
            .reduce(|least, stock| if stock.stock < least.stock { stock } else { least })
    }

    /// The place for which it is too small, or doubtful.
    pub fn too_small_at(&self) -> Point {
        match self.clean_up {
            CleanUp::No => self.governed_if_even,
            CleanUp::OnlyIfWornEvenly | CleanUp::WhicheverSideWore => self.governed_by,
        }
    }

    /// Can it be recommended?
    pub fn is_certain(&self) -> bool {
        self.wall_allows && self.clean_up == CleanUp::WhicheverSideWore
    }
}

/// A pit or score: its depth, and the station it is at; none: anywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pit {
    /// Depth below the surface around it.
    pub depth: Length,
    /// Index of the station.
    pub station: Option<usize>,
}

impl Pit {
    /// Is its station written down, and anything measured there?
    pub fn is_placed(&self, cylinder: &Cylinder) -> bool {
        self.station.is_some_and(|station| cylinder.bore.measured().any(|(at, _)| at.station == station))
    }
}

/// What a clean bore needs, each with the place that needs the most.
struct Needs {
    if_even: (Mean, Point),
    whichever_side: (Mean, Point),
}

/// What a clean bore needs for one diameter with a pit of this depth at its station: if it wore evenly, and whichever
/// side it wore.
fn needs_for(diameter: Mean, depth: Length, original: Length, allowance: Length) -> (Mean, Mean) {
    let extra = Mean::from(depth * 2 + allowance);
    let if_even = diameter + extra;
    // A bore that reads smaller than it was made has no wear to be on one side.
    (if_even, (diameter * 2 - original.into() + extra).max(if_even))
}

/// What one station asks of a clean bore: the greatest of these over the stations is what every oversize is held
/// against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StationNeeds {
    /// Where the station's largest diameter is.
    pub at: Point,
    /// That diameter.
    pub largest: Mean,
    /// The depth of the deepest pit that counts here; nothing: none.
    pub depth: Length,
    /// What a clean bore needs if it wore evenly.
    pub if_even: Mean,
    /// What a clean bore needs whichever side it wore.
    pub whichever_side: Mean,
}

/// What each measured station asks of a clean bore, from the head end; a pit that cannot be placed counts where the bore
/// is largest. Empty where [`oversizes`] is.
pub fn station_needs(cylinder: &Cylinder, limits: &Limits, pits: &[Pit]) -> Vec<StationNeeds> {
    let (Some(original), Some(_)) = (Original::of(cylinder, limits), cylinder.size) else {
        return Vec::new();
    };
    let cells = (0..cylinder.bore.stations())
        .filter_map(|station| figures::largest(cylinder.bore.at_station(station)))
        .collect::<Vec<_>>();
    let worst = figures::largest(cells.iter().copied()).map(|(at, _)| at);
    let of_station = |&(at, largest): &(Point, Mean)| {
        let counts = |pit: &&Pit| match pit.is_placed(cylinder) {
            true => pit.station == Some(at.station),
            false => worst == Some(at),
        };
        let depth = pits.iter().filter(counts).map(|pit| pit.depth).max().unwrap_or(Length::ZERO);
        let allowance = limits.clean_up_allowance.length;
        let (if_even, whichever_side) = needs_for(largest, depth, original.diameter(), allowance);
        StationNeeds { at, largest, depth, if_even, whichever_side }
    };
    cells.iter().map(of_station).collect()
}

fn needs(cylinder: &Cylinder, original: Length, pits: &[Pit], allowance: Length) -> Option<Needs> {
    let measured = || cylinder.bore.measured().map(|(at, cell)| (at, cell.mean()));
    let largest = measured().reduce(|best, cell| if cell.1 > best.1 { cell } else { best })?;
    let deepest = |station: usize| {
        let here = pits.iter().filter(|pit| pit.station == Some(station)).map(|pit| pit.depth);
        here.max().unwrap_or(Length::ZERO)
    };
    let at_place = |(at, diameter): (Point, Mean), depth: Length| {
        let (if_even, whichever_side) = needs_for(diameter, depth, original, allowance);
        Needs { if_even: (if_even, at), whichever_side: (whichever_side, at) }
    };
    if pits.is_empty() {
        // The largest reading needs the most.
        return Some(at_place(largest, Length::ZERO));
    }
    let known = measured().map(|cell| at_place(cell, deepest(cell.0.station)));
    // A pit that cannot be placed is taken to be where the bore is largest.
    let astray = pits.iter().filter(|pit| !pit.is_placed(cylinder)).map(|pit| at_place(largest, pit.depth));
    let more = |worst: (Mean, Point), place: (Mean, Point)| if place.0 > worst.0 { place } else { worst };
    known.chain(astray).reduce(|worst, place| Needs {
        if_even: more(worst.if_even, place.if_even),
        whichever_side: more(worst.whichever_side, place.whichever_side),
    })
}

/// Every oversize of the table that is larger than the cylinder's current size, from the smallest.
///
/// Empty if nothing is measured or the table does not have the current size.
pub fn oversizes(cylinder: &Cylinder, limits: &Limits, pits: &[Pit]) -> Vec<OversizeOption> {
    let Some(original) = Original::of(cylinder, limits) else { return Vec::new() };
    let Some(current) = cylinder.size else { return Vec::new() };
    let allowance = limits.clean_up_allowance.length;
    let Some(needs) = needs(cylinder, original.diameter(), pits, allowance) else { return Vec::new() };
    let ((if_even, even_at), (whichever_side, side_at)) = (needs.if_even, needs.whichever_side);
    limits
        .sizes
        .iter()
        .enumerate()
        .skip(current + 1)
        .map(|(size, row)| {
            let finished = row.new.0.length;
            let clean_up = if whichever_side <= finished {
                CleanUp::WhicheverSideWore
            } else if if_even <= finished {
                CleanUp::OnlyIfWornEvenly
            } else {
                CleanUp::No
            };
            OversizeOption {
                size,
                finished,
                wall_allows: row.wall_allows,
                clean_up,
                needs_if_even: if_even,
                needs_whichever_side: whichever_side,
                governed_if_even: even_at,
                governed_by: side_at,
                stock: cylinder
                    .bore
                    .measured()
                    .map(|(at, cell)| Stock { at, stock: Mean::from(finished) - cell.mean() })
                    .collect(),
            }
        })
        .collect()
}
