//! What a finding by eye asks for: the table's answer, else the customary one (FAA-H-8083-32, overhaul
//! chapter; common practice).

use super::clean_up::Pit;
use crate::length::Length;
use crate::limits::Limits;
use crate::limits::schema::{FindingAnswer, FindingKind};
use crate::survey::Finding;

/// What a finding asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Asks {
    /// The part is replaced.
    Replace,
    /// The wall has to be cut.
    Metal,
    /// It is honed or repaired; nothing follows for the outcome.
    Repair,
    /// Its depth must be measured first.
    Depth,
    /// Its size must be measured first.
    Size,
}

impl FindingKind {
    /// Is it on the wall of the bore, so that its depth counts in a rebore?
    pub fn is_on_wall(self) -> bool {
        matches!(self, Self::Scored | Self::Pitted | Self::LightRust | Self::Glazed)
    }
}

/// What a finding asks for under a table of limits.
pub fn asks(finding: &Finding, limits: &Limits) -> Asks {
    let rule = limits.finding(finding.kind);
    let repairable = rule.repairable_to.as_ref().map(|bound| bound.length);
    match rule.answer {
        FindingAnswer::Replace => Asks::Replace,
        FindingAnswer::DepthDecides => match finding.depth {
            None => Asks::Depth,
            Some((depth, _)) if depth <= repairable.unwrap_or(Length::ZERO) => Asks::Repair,
            Some(_) => Asks::Metal,
        },
        FindingAnswer::Hone | FindingAnswer::Repair => match (repairable, finding.size) {
            (Some(_), None) => Asks::Size,
            (Some(most), Some((size, _))) if size > most => Asks::Replace,
            _ => Asks::Repair,
        },
    }
}

/// The pits and scores whose depth a finished bore has to reach.
pub fn pits(findings: &[Finding]) -> Vec<Pit> {
    findings
        .iter()
        .filter(|finding| finding.kind.is_on_wall())
        .filter_map(|finding| finding.depth.map(|(depth, _)| Pit { depth, station: finding.station }))
        .collect()
}
