//! What a finding by eye asks for: the table's answer, else the customary one (FAA-H-8083-32, overhaul
//! chapter; common practice).
//!
//! An amount that the answer goes by (a depth, a length, an area) must be written down. Without it the finding is
//! no pass; but what is known may condemn the part, or ask for metal, all the same.

use super::clean_up::Pit;
use quantities::area::Area;
use quantities::length::Length;
use records::limits::Limits;
use records::limits::resolved::FindingLimits;
use records::limits::schema::{FindingAnswer, FindingKind};
use records::survey::Finding;

/// What a finding asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Consequence {
    /// The part is replaced.
    Replace,
    /// The wall has to be cut.
    NeedsRebore,
    /// It is honed or repaired; nothing follows for the outcome.
    Repair,
    /// An amount of it must be measured first.
    Measure,
}

/// An amount of a finding that its answer goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Amount {
    /// Its depth.
    Depth,
    /// Its length or width.
    Size,
    /// Its area.
    Area,
    /// The bore at its place, where the oversize depends on it.
    BoreThere,
}

impl Amount {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Depth => "depth",
            Self::Size => "length",
            Self::Area => "area",
            Self::BoreThere => "place in the bore",
        }
    }
}

/// The rule by which a finding condemns the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CondemnedBy {
    /// The answer to such a finding is to replace the part.
    Kind,
    /// It is larger than what may be repaired.
    Size,
    /// It is larger than what may be repaired on so many adjacent fins.
    AdjacentFins,
    /// It is on more adjacent fins than may be repaired.
    TooManyFins,
    /// All such findings of the cylinder together take more area than may be repaired.
    TotalArea,
}

/// What a finding comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Answer {
    /// What it asks for.
    pub consequence: Consequence,
    /// Why, where it condemns the part.
    pub condemned_by: Option<CondemnedBy>,
    /// The amount by which it is judged, and which is not written down.
    missing: [Option<Amount>; 3],
}

impl Answer {
    /// Amounts that must be measured first; none where it condemns the part whatever they are.
    pub fn missing(&self) -> impl Iterator<Item = Amount> + '_ {
        self.missing.iter().flatten().copied().filter(|_| self.consequence != Consequence::Replace)
    }

    /// The same where the wall has to be cut: the depth of what lies on it must be known, whatever answers it.
    pub(super) fn before_a_rebore(mut self, finding: &Finding) -> Self {
        let is_hole = matches!(finding.kind, FindingKind::Scored | FindingKind::Pitted);
        if is_hole && finding.depth.is_none() && self.consequence != Consequence::Replace {
            self.missing[0] = Some(Amount::Depth);
            self.consequence =
                if self.consequence == Consequence::Repair { Consequence::Measure } else { self.consequence };
        }
        self
    }

    /// The same where the oversize depends on how large the bore is at its place, and that is not known.
    pub(super) fn before_it_is_placed(mut self) -> Self {
        self.missing[0] = Some(Amount::BoreThere);
        self
    }
}

/// What each of a cylinder's findings comes to under a table of limits, in their order.
pub fn answers(findings: &[Finding], limits: &Limits) -> Vec<Answer> {
    findings.iter().map(|finding| answer(finding, findings, &limits.finding(finding.kind))).collect()
}

fn answer(finding: &Finding, findings: &[Finding], rule: &FindingLimits) -> Answer {
    let (mut condemned_by, mut metal) = (None, false);
    let (mut depth, mut size) = (None, None);
    match rule.answer {
        FindingAnswer::Replace => condemned_by = Some(CondemnedBy::Kind),
        FindingAnswer::DepthDecides => match finding.depth {
            None => depth = Some(Amount::Depth),
            Some((depth, _)) => metal = depth > most(rule).unwrap_or(Length::ZERO),
        },
        FindingAnswer::Hone | FindingAnswer::Repair => match most_on_fins(finding, rule) {
            Err(too_many) => condemned_by = Some(too_many),
            Ok(None) => {}
            Ok(Some((most, by))) => match finding.size {
                None => size = Some(Amount::Size),
                Some((size, _)) => condemned_by = (size > most).then_some(by),
            },
        },
    }
    let area = rule.total_area.filter(|_| finding.area.is_none()).map(|_| Amount::Area);
    if condemned_by.is_none() && rule.total_area.is_some_and(|most| total_area(findings, finding.kind) > most)
    {
        condemned_by = Some(CondemnedBy::TotalArea);
    }
    let missing = [depth, size, area];
    let consequence = if condemned_by.is_some() {
        Consequence::Replace
    } else if metal {
        Consequence::NeedsRebore
    } else if missing.iter().any(Option::is_some) {
        Consequence::Measure
    } else {
        Consequence::Repair
    };
    Answer { consequence, condemned_by, missing }
}

/// The greatest size or depth that may be repaired.
fn most(rule: &FindingLimits) -> Option<Length> {
    rule.repairable_to.as_ref().map(|bound| bound.length)
}

/// The greatest size that may be repaired on as many adjacent fins as a finding is on, and the rule that says so;
/// `None` if none limits it.
///
/// # Errors
/// More fins than may be repaired.
fn most_on_fins(
    finding: &Finding,
    rule: &FindingLimits,
) -> Result<Option<(Length, CondemnedBy)>, CondemnedBy> {
    // A table that says nothing of adjacent fins judges each by itself.
    let adjacent = usize::from(finding.fins).checked_sub(2).filter(|_| !rule.on_adjacent_fins.is_empty());
    match adjacent.map(|index| rule.on_adjacent_fins.get(index)) {
        Some(None) => Err(CondemnedBy::TooManyFins),
        Some(Some(bound)) => Ok(Some((bound.length, CondemnedBy::AdjacentFins))),
        None => Ok(most(rule).map(|most| (most, CondemnedBy::Size))),
    }
}

/// The area that all findings of a kind take together, as far as it is written down.
pub(super) fn total_area(findings: &[Finding], kind: FindingKind) -> Area {
    findings.iter().filter(|finding| finding.kind == kind).filter_map(|finding| finding.area).sum()
}

/// The pits and scores whose depth a finished bore has to reach.
pub fn pits(findings: &[Finding], limits: &Limits) -> Vec<Pit> {
    findings.iter().filter_map(|finding| pit(finding, limits)).collect()
}

/// A finding as a pit, if it is one whose depth is known.
pub fn pit(finding: &Finding, limits: &Limits) -> Option<Pit> {
    let is_pit =
        finding.kind.is_on_wall() || limits.finding(finding.kind).answer == FindingAnswer::DepthDecides;
    let (depth, _) = finding.depth.filter(|_| is_pit)?;
    Some(Pit { depth, station: finding.station })
}
