//! A reading that looks wrong, in finished words.

use crate::{Assessment, Need};
use records::bore::Point;
use records::limits::Limits;

/// A slip as it is shown under a heading that names the cylinder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShownSlip {
    /// What looks wrong, where, why, and what to do.
    pub sentence: String,
    /// The reading, and which of its repeats, where it is one.
    pub at: Option<(Point, usize)>,
    /// Somebody has accepted the reading.
    pub is_accepted: bool,
    /// The outcome depends on it, and the reasons say so already.
    pub is_deciding: bool,
}

impl ShownSlip {
    /// Every slip of a cylinder.
    pub fn all(assessment: &Assessment, limits: &Limits) -> Vec<Self> {
        let of = |(i, slip): (usize, &crate::slips::Slip)| Self {
            sentence: slip.sentence_here(limits),
            at: slip.at.map(|at| (at, slip.repeat.unwrap_or(0))),
            is_accepted: slip.confirmed,
            is_deciding: assessment.needs.contains(&Need::Confirm(i)),
        };
        assessment.slips.iter().enumerate().map(of).collect()
    }
}
