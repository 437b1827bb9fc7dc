//! Does the evidence agree with itself? Readings, recorded size and last-finished size of one cylinder.
//!
//! A barrel only wears larger. So a reading below the smallest as-made bore of the recorded size, or below the
//! size it was last finished to, is not wear, and a bore whose every reading is what another size measures is most
//! likely of that size. Where they contradict each other by more than measuring can explain, nothing is judged
//! until a person has said which of them is right: upper limits and clean-ups would be counted from a size that
//! the barrel does not have.

use figures::Term;
use figures::certainty::measured::explained;
use quantities::length::{Length, Mean};
use records::bore::{Cell, Point};
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::limits::rows::{Over, RowName};
use records::survey::{Cylinder, Setup};

/// What contradicts what.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Contradiction {
    /// A reading is smaller than the recorded size is made.
    SmallerThanMade {
        /// The smallest reading.
        at: Point,
        /// By how much.
        by: Length,
        /// The size that the readings would fit (index in [`Limits::sizes`]).
        fits: Option<usize>,
    },
    /// A reading is larger than any wall of this engine can wear to: more than a tenth of the bore beyond the
    /// largest size of the table (common practice, no source).
    LargerThanWorn {
        /// The largest reading.
        at: Point,
    },
    /// Every reading is beyond the recorded size and within the limits of a larger one (index in
    /// [`Limits::sizes`]), and nothing recorded says that it was finished to the recorded size.
    FitsAnotherSize(usize),
    /// The size it was last finished to is none that the recorded size is finished to.
    FinishedToAnotherSize {
        /// The size that it would be (index in [`Limits::sizes`]).
        fits: Option<usize>,
    },
    /// A reading is smaller than the size it was last finished to.
    SmallerThanFinished {
        /// The smallest reading.
        at: Point,
        /// By how much.
        by: Length,
    },
}

impl Contradiction {
    /// The reading that contradicts, where it is one.
    pub fn at(self) -> Option<Point> {
        match self {
            Self::SmallerThanMade { at, .. }
            | Self::SmallerThanFinished { at, .. }
            | Self::LargerThanWorn { at } => Some(at),
            Self::FitsAnotherSize(_) | Self::FinishedToAnotherSize { .. } => None,
        }
    }
}

/// The largest diameter that a barrel of a size may have and stay: its serviceable limit, else as made.
fn most(row: &SizeRow) -> Length {
    row.serviceable.as_ref().unwrap_or(&row.new.1).length
}

/// What is compared: one cylinder, by its table.
struct Evidence<'a> {
    cylinder: &'a Cylinder,
    limits: &'a Limits,
    setup: Setup<'a>,
}

impl Evidence<'_> {
    /// How much smaller than its size a station may be made: by the choke, but at the base end.
    fn choked(&self, at: Point) -> Length {
        let is_base = match self.limits.shape_row(RowName::Choke).map(|row| &row.over) {
            Some(Over::Ends { base, .. }) => base.contains(&at.station),
            _ => true,
        };
        if is_base { Length::ZERO } else { self.limits.most_choke_as_made() }
    }

    /// Is a shortfall at a cell more than measuring can explain? Two graduations always can.
    fn is_real(&self, short: Mean, at: Point, cell: &Cell) -> bool {
        let gauge = self.setup.gauges.get(cell.gauge);
        let graduation = gauge.and_then(|gauge| gauge.graduation).unwrap_or_else(|| cell.style.last_digit());
        short > graduation * 2
            && short
                > self.choked(at) + explained(self.setup, &self.cylinder.bore, &[Term { at, weight: 1.0 }])
    }

    /// The reading that is farthest below a size, and by how much, if measuring cannot explain it.
    fn below(&self, size: Length) -> Option<(Point, Length)> {
        let mut worst: Option<(Point, Mean)> = None;
        for (at, cell) in self.cylinder.bore.measured() {
            let short = Mean::from(size) - cell.mean();
            if worst.is_none_or(|(_, most)| short > most) && self.is_real(short, at, cell) {
                worst = Some((at, short));
            }
        }
        worst.map(|(at, short)| (at, short.nearest()))
    }

    /// Is every reading what a size measures, from as made to its serviceable limit?
    fn all_fit(&self, row: &SizeRow) -> bool {
        self.cylinder.bore.measured().all(|(at, cell)| {
            let short = Mean::from(row.new.0.length) - cell.mean();
            cell.mean() <= most(row) && !self.is_real(short, at, cell)
        })
    }

    /// The size that all readings fit; else the largest that they can have worn from.
    fn fitting(&self) -> Option<usize> {
        let sizes = &self.limits.sizes;
        sizes.iter().position(|row| self.all_fit(row)).or_else(|| {
            // Nothing wears by more than the whole ladder of sizes.
            let largest = self.cylinder.bore.measured().map(|(_, cell)| cell.mean()).max()?;
            let last = sizes.last()?;
            if largest > most(last) {
                return None;
            }
            sizes.iter().rposition(|row| self.below(row.new.0.length).is_none())
        })
    }

    /// The size that is finished to this diameter.
    fn finished_as(&self, finished: Length) -> Option<usize> {
        self.limits.sizes.iter().position(|row| (row.new.0.length..=row.new.1.length).contains(&finished))
    }
}

/// What in a cylinder's evidence contradicts itself; empty where it agrees, or where its size is not in the table.
pub fn contradictions(cylinder: &Cylinder, limits: &Limits, setup: Setup<'_>) -> Vec<Contradiction> {
    let mut found = Vec::new();
    let Some((size, row)) = cylinder.size.and_then(|size| Some((size, limits.sizes.get(size)?))) else {
        return found;
    };
    let evidence = Evidence { cylinder, limits, setup };
    if let Some((at, by)) = evidence.below(row.new.0.length) {
        let fits = evidence.fitting().filter(|&fits| fits != size);
        found.push(Contradiction::SmallerThanMade { at, by, fits });
    }
    let readings = || cylinder.bore.measured().map(|(at, cell)| (cell.mean(), at));
    let largest = readings().reduce(|a, b| if b.0 > a.0 { b } else { a });
    let tenth = row.new.0.length.tenths_of_nm() / 10;
    let most_worn = limits.sizes.last().map(|last| most(last) + Length::from_tenths_of_nm(tenth));
    if let Some(((largest, at), most_worn)) = largest.zip(most_worn)
        && largest > most_worn
    {
        found.push(Contradiction::LargerThanWorn { at });
        return found;
    }
    match cylinder.finished_to {
        Some((finished, style)) => {
            // It may have been rounded when it was written down.
            let digit = style.last_digit();
            if finished + digit < row.new.0.length || finished - digit > most(row) {
                let fits = evidence.finished_as(finished).filter(|&fits| fits != size);
                found.push(Contradiction::FinishedToAnotherSize { fits });
            }
            if let Some((at, by)) = evidence.below(finished - digit) {
                found.push(Contradiction::SmallerThanFinished { at, by });
            }
        }
        None => {
            let smallest = readings().map(|(mean, _)| mean).min();
            if smallest.is_some_and(|smallest| smallest > most(row)) {
                let larger = limits.sizes.iter().enumerate().skip(size + 1);
                let fits = larger.filter(|(_, row)| evidence.all_fit(row)).map(|(index, _)| index);
                found.extend(fits.take(1).map(Contradiction::FitsAnotherSize));
            }
        }
    }
    found
}

#[cfg(test)]
mod tests;
