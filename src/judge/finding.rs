//! What a finding by eye asks for: the table's answer, else the customary one (FAA-H-8083-32, overhaul
//! chapter; common practice).

use super::clean_up::Pit;
use crate::area::Area;
use crate::length::Length;
use crate::limits::Limits;
use crate::limits::resolved::FindingLimits;
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

/// What each of a cylinder's findings asks for under a table of limits, in their order.
pub fn asks(findings: &[Finding], limits: &Limits) -> Vec<Asks> {
    findings
        .iter()
        .map(|finding| {
            let rule = limits.finding(finding.kind);
            match one(finding, &rule) {
                Asks::Repair if too_much_area(findings, finding.kind, &rule) => Asks::Replace,
                asks => asks,
            }
        })
        .collect()
}

/// What a finding asks for by itself.
fn one(finding: &Finding, rule: &FindingLimits) -> Asks {
    let repairable = rule.repairable_to.as_ref().map(|bound| bound.length);
    match rule.answer {
        FindingAnswer::Replace => Asks::Replace,
        FindingAnswer::DepthDecides => match finding.depth {
            None => Asks::Depth,
            Some((depth, _)) if depth <= repairable.unwrap_or(Length::ZERO) => Asks::Repair,
            Some(_) => Asks::Metal,
        },
        FindingAnswer::Hone | FindingAnswer::Repair => {
            let adjacent = &rule.on_adjacent_fins;
            let beyond_one = usize::from(finding.fins).saturating_sub(1);
            let most = match beyond_one.checked_sub(1) {
                // A table that says nothing of adjacent fins judges each by itself.
                Some(_) if adjacent.is_empty() => repairable,
                Some(index) => match adjacent.get(index) {
                    Some(bound) => Some(bound.length),
                    None => return Asks::Replace,
                },
                None => repairable,
            };
            match (most, finding.size) {
                (Some(_), None) => Asks::Size,
                (Some(most), Some((size, _))) if size > most => Asks::Replace,
                _ => Asks::Repair,
            }
        }
    }
}

/// Do all findings of a kind together take more area than the table allows on one cylinder?
fn too_much_area(findings: &[Finding], kind: FindingKind, rule: &FindingLimits) -> bool {
    let areas = findings.iter().filter(|finding| finding.kind == kind).filter_map(|finding| finding.area);
    rule.total_area.is_some_and(|most| areas.sum::<Area>() > most)
}

/// The pits and scores whose depth a finished bore has to reach.
pub fn pits(findings: &[Finding]) -> Vec<Pit> {
    findings
        .iter()
        .filter(|finding| finding.kind.is_on_wall())
        .filter_map(|finding| finding.depth.map(|(depth, _)| Pit { depth, station: finding.station }))
        .collect()
}
