//! Slips: readings that look wrong, why, and what was probably meant. Nothing is ever changed by itself.
//!
//! A slip says what looks wrong, where, why, and what the reading would be if the guess is right; the person
//! decides. A slip with a guess ([`Slip::corrected`]) can keep an outcome from being decided
//! ([`crate::assess`]); one without is only a caution.
//!
//! # When a guess is made
//!
//! A false alarm costs trust and time, so a guess is only made where the mended reading fits its neighbours
//! much better than what was read. What a reading is expected to be comes from up to four kinds of
//! neighbours (`neighbours`), each the median of its values and with a scale of how far a sound reading may
//! well lie from it:
//!
//! | neighbours | value | scale: the largest of | weight |
//! |---|---|---|---|
//! | fellows: the other repeats of the cell | median | 3 x their spread, 10 graduations, 0.001 in | 1 for one, 2 for more |
//! | across: the other axes at the station | median of means | 3 x their spread, 3 x the usual ovality at the other stations, the out-of-round limit, 0.001 in | 1 for one, 2 for more |
//! | along: two or more other stations on the axis | median of means | 3 x their spread, serviceable limit minus largest as-made size, 0.001 in | 1; 2 for three or more where no other axis was measured, and then the scale is tripled |
//! | earlier: this cell at the survey before | its mean and the median wear of the other cells since | 3 x the spread of that wear, serviceable limit minus largest as-made size, 0.001 in | 1 |
//!
//! The spread of four values or more leaves out the one farthest from their median. A guess is made if
//!
//! 1. what was read lies beyond the scale of neighbours with a weight of at least 2 in all,
//! 2. the mended reading lies within the scale of every neighbour, and four times nearer than what was read
//!    to each of those in 1,
//! 3. no other neighbour speaks against it: one whose scale is smaller than the change, and to which what
//!    was read lies nearer.
//!
//! Of several guesses the one nearest to those neighbours is told. An inch typed for a millimetre
//! is so far off that it is compared with the size of the bore alone (`unit`); axes exchanged are told by
//! the pattern of the differences along the barrel (`axis`). Each kind of slip has its file, its rule in
//! words at the top of it.
//!
//! Lengths are exact, on the diameter; a mean of repeats is compared to the tenth of a nanometre below.
//! A cylinder in order is passed over without work on the heap, but for the caution about two axes.

mod axis;
mod cylinder;
mod neighbours;
mod reading;
mod repeats;
mod setting;
mod sheet;
mod shrunk;
mod sign;
mod step;
mod swapped_digits;
mod turn;
mod unit;

use std::borrow::Cow;

use quantities::length::{Length, Mean, Style};
use records::bore::{Bore, Cell, Point};
use records::limits::Limits;
use records::survey::{Cylinder, Survey, point_words};
use records::wording::capitalised;

use sheet::Compared;

pub use repeats::{chord_offset, tilt_degrees};

/// What kind of slip it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SlipKind {
    /// A whole turn of the thimble or dial.
    Turn,
    /// Two digits exchanged.
    SwappedDigits,
    /// Inches typed for millimetres or the reverse.
    WrongUnit,
    /// The sign of the dial.
    WrongSign,
    /// Readings of two axes exchanged.
    WrongAxis,
    /// Readings that fit another cylinder better.
    WrongCylinder,
    /// Smaller than at the survey before.
    Shrunk,
    /// One repeat far from its fellows, reading high: the gauge was tilted.
    TiltedRepeat,
    /// One repeat far from its fellows, reading low: off-centre.
    OffCentreRepeat,
    /// Graduation coarser than a quarter of the limit.
    CoarseResolution,
    /// Barrel and gauge at different temperatures.
    Temperature,
    /// Readings only at the top.
    OnlyTop,
    /// The gauge foot may have stood on a step.
    OnStep,
    /// Two axes only: an oval between them cannot be seen.
    TwoAxesOnly,
}

impl SlipKind {
    /// Its name in a list.
    pub fn words(self) -> &'static str {
        match self {
            Self::Turn => "a turn of the thimble or dial",
            Self::SwappedDigits => "digits exchanged",
            Self::WrongUnit => "wrong unit",
            Self::WrongSign => "wrong sign",
            Self::WrongAxis => "axes exchanged",
            Self::WrongCylinder => "another cylinder",
            Self::Shrunk => "smaller than before",
            Self::TiltedRepeat => "gauge tilted",
            Self::OffCentreRepeat => "gauge off centre",
            Self::CoarseResolution => "graduation too coarse",
            Self::Temperature => "temperature",
            Self::OnlyTop => "only the top measured",
            Self::OnStep => "gauge on the step",
            Self::TwoAxesOnly => "two axes only",
        }
    }

    /// What to do about it, as a sentence.
    pub fn remedy(self) -> &'static str {
        match self {
            Self::Turn | Self::SwappedDigits => "Measure it again, then retype it or confirm it.",
            Self::WrongUnit => {
                "Retype it in the right unit, or write the unit behind it, such as 5.1255 in or 130.19 mm."
            }
            Self::WrongSign => {
                "Check which way the dial turns for a larger bore, then correct the gauge or retype, or confirm."
            }
            Self::WrongAxis => "Measure both axes again, then retype them or confirm them.",
            Self::WrongCylinder => "Check the serial number on the barrel against the sheet.",
            Self::Shrunk => {
                "Check the setting of the gauge, the temperatures and the serial number, then measure again."
            }
            Self::TiltedRepeat => {
                "Rock the gauge and take the smallest reading along the bore; repeat it, then retype or confirm."
            }
            Self::OffCentreRepeat => {
                "Swing the gauge and take the largest reading across the bore; repeat it, then retype or confirm."
            }
            Self::CoarseResolution => "Use a finer gauge where a figure is near its limit.",
            Self::Temperature => {
                "It is counted. Let both come to one temperature and measure again to be surer."
            }
            Self::OnlyTop => "Measure the lower stations too; taper and the smallest bore need them.",
            Self::OnStep => "Feel for the step and measure again just below it.",
            Self::TwoAxesOnly => "Measure at 45 and 135 degrees too where the barrel may be oval.",
        }
    }
}

/// A reading that looks wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// What it looks like.
    pub kind: SlipKind,
    /// Where; none: the whole cylinder.
    pub at: Option<Point>,
    /// Which repeat, counted from 0; none: the cell.
    pub repeat: Option<usize>,
    /// What was read.
    pub read: Option<Length>,
    /// What was probably meant there; none: only a caution, or a guess about the whole cylinder.
    pub likely: Option<Length>,
    /// The repeats of every cell that would be another one if the guess is right; empty: only a caution.
    pub intended: Vec<(Point, Vec<Length>)>,
    /// How to show the readings.
    pub style: Style,
    /// Why, as a part of a sentence: what the reading looks like, or what is so with the cylinder.
    pub why: Cow<'static, str>,
    /// Somebody has confirmed the reading.
    pub confirmed: bool,
}

impl Slip {
    /// A caution about a whole cylinder.
    fn caution(kind: SlipKind, style: Style, why: impl Into<Cow<'static, str>>) -> Self {
        Self {
            kind,
            at: None,
            repeat: None,
            read: None,
            likely: None,
            intended: Vec::new(),
            style,
            why: why.into(),
            confirmed: false,
        }
    }

    /// A caution about a cell, which reads `read`.
    fn at_cell(kind: SlipKind, at: Point, cell: &Cell, read: Length, why: String) -> Self {
        Self {
            at: Some(at),
            read: Some(read),
            confirmed: cell.confirmed,
            ..Self::caution(kind, cell.style, why)
        }
    }

    /// The bore with the readings that were probably meant; `None` without a guess, or if it is confirmed.
    pub fn corrected(&self, bore: &Bore) -> Option<Bore> {
        if self.confirmed || self.intended.is_empty() {
            return None;
        }
        let mut corrected = bore.clone();
        for (at, repeats) in &self.intended {
            let cell = bore.cell(*at)?.with_repeats(repeats.clone())?;
            corrected.set(*at, Some(cell));
        }
        Some(corrected)
    }

    /// The same under a heading that names the cylinder already.
    pub fn sentence_here(&self, limits: &Limits) -> String {
        self.sentence_at(None, limits)
    }

    /// What looks wrong, where, why, and what to do.
    pub fn sentence(&self, cylinder: &Cylinder, limits: &Limits) -> String {
        self.sentence_at(Some(cylinder.words()), limits)
    }

    fn sentence_at(&self, cylinder: Option<String>, limits: &Limits) -> String {
        let at = self.at.map(|at| point_words(limits, at));
        let repeat = self.repeat.map(|repeat| format!("repeat {}", repeat + 1));
        let place: Vec<String> = [cylinder, at, repeat].into_iter().flatten().collect();
        let place = if place.is_empty() { String::new() } else { format!("{}: ", place.join(", ")) };
        let read = self.read.map_or(String::new(), |read| format!("{} ", read.text(self.style)));
        let likely = self
            .likely
            .map_or(String::new(), |likely| format!(" If so it would be {}.", likely.text(self.style)));
        let confirmed = if self.confirmed { " Somebody has confirmed it as it stands." } else { "" };
        let remedy = if self.confirmed { "" } else { self.kind.remedy() };
        let gap = if remedy.is_empty() { "" } else { " " };
        capitalised(&format!("{place}{read}{}.{likely}{confirmed}{gap}{remedy}", self.why))
    }
}

/// Every slip in a cylinder's readings, cells first, then what concerns the whole cylinder.
pub fn find(cylinder: &Cylinder, survey: &Survey) -> Vec<Slip> {
    let mut slips = Vec::new();
    let Some(sheet) = Compared::new(cylinder, survey) else { return slips };
    unit::find(&sheet, &mut slips);
    if slips.is_empty() {
        reading::find(&sheet, &mut slips);
        sign::find_whole(&sheet, &mut slips);
        axis::find(&sheet, &mut slips);
        step::find(&sheet, &mut slips);
        repeats::find(&sheet, &mut slips);
        cylinder::find(&sheet, &mut slips);
        shrunk::find(&sheet, &mut slips);
    }
    // While a reading is in the wrong unit, comparing readings would only add noise.
    setting::find(&sheet, &mut slips);
    slips
}

/// Is there a slip at this cell already?
fn known_at(slips: &[Slip], at: Point) -> bool {
    slips.iter().any(|slip| slip.at == Some(at) || slip.intended.iter().any(|(cell, _)| *cell == at))
}

/// The mean of some lengths to the nearest tenth of a nanometre; zero if there are none.
fn mean_of(lengths: &[Length]) -> Length {
    Mean::of_lengths(lengths.iter().copied()).unwrap_or_default().nearest()
}

#[cfg(test)]
mod tests;
