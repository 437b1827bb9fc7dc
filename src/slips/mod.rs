//! Slips: readings that look wrong, why, and what was probably meant. Nothing is ever changed by itself.
//!
//! A slip says what looks wrong, where, why, and what the reading would be if the guess is right; the person
//! decides. A slip with a likely reading can keep an outcome from being decided ([`crate::judge::assess`]);
//! one without is only a caution.

use crate::bore::{Bore, Point};
use crate::length::{Length, Style};
use crate::limits::Limits;
use crate::survey::{Cylinder, Survey};

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
    /// Smaller than any bore of this size is made.
    BelowNew,
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
    /// What was probably meant; none: only a caution.
    pub likely: Option<Length>,
    /// How to show the readings.
    pub style: Style,
    /// Why, as a part of a sentence.
    pub why: String,
    /// Somebody has confirmed the reading.
    pub confirmed: bool,
}

impl Slip {
    /// The bore with the reading that was probably meant; `None` without a guess, or if it is confirmed.
    pub fn mended(&self, _bore: &Bore) -> Option<Bore> {
        None
    }

    /// What looks wrong, where, why, and what to do.
    pub fn sentence(&self, _cylinder: &Cylinder, _limits: &Limits) -> String {
        self.why.clone()
    }
}

/// Every slip in a cylinder's readings.
pub fn find(_cylinder: &Cylinder, _survey: &Survey) -> Vec<Slip> {
    Vec::new()
}
