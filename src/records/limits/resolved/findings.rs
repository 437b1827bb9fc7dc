//! The answers to findings: the table's own, and the customary one where it has none.

use super::FindingLimits;
use super::read::{Reader, top};
use crate::diag::Diagnostic;
use crate::limits::schema::{FindingAnswer, FindingKind};
use quantities::area::{self, Area};

pub(super) fn resolve_findings(reader: &mut Reader<'_>) -> Vec<FindingLimits> {
    FindingKind::ALL
        .iter()
        .map(|&kind| {
            let rules = &reader.table.findings;
            let Some((i, rule)) = rules.iter().enumerate().find(|(_, rule)| rule.kind == kind) else {
                return customary(kind);
            };
            let path = top("findings").element(i);
            let repairable_to =
                reader.optional(rule.repairable_to.as_ref(), path.field("repairable_to"), kind.words());
            let adjacent = rule.on_adjacent_fins.iter().enumerate();
            let on_adjacent_fins = adjacent
                .filter_map(|(n, value)| {
                    reader.bound(value, path.field("on_adjacent_fins").element(n), kind.words())
                })
                .collect();
            let total_area = rule.total_area.as_ref().and_then(|text| {
                let reported = |error: area::AreaError| Diagnostic::error(error.to_string());
                let read = Area::parse(text).map_err(reported);
                let place = |error: Diagnostic| error.at(path.field("total_area")).place(kind.words());
                read.map_err(|error| reader.errors.push(place(error))).ok()
            });
            let remedy = if rule.remedy.is_empty() { customary(kind).remedy } else { rule.remedy.clone() };
            FindingLimits {
                answer: rule.answer,
                repairable_to,
                on_adjacent_fins,
                total_area,
                remedy,
                place: rule.place.clone(),
            }
        })
        .collect()
}

/// The customary answer to a finding (FAA-H-8083-32, overhaul chapter; common practice).
pub(super) fn customary(kind: FindingKind) -> FindingLimits {
    use FindingKind as K;
    let (answer, remedy) = match kind {
        K::CrackInHead | K::CrackInBarrel | K::HeadLoose => (FindingAnswer::Replace, "replace the cylinder"),
        K::Scored | K::Pitted => (FindingAnswer::DepthDecides, "measure its depth; the depth decides"),
        K::LightRust | K::Glazed => (FindingAnswer::Hone, "hone the wall, then wash out all abrasive"),
        K::FinDamaged => (
            FindingAnswer::Repair,
            "dress the damage out to a smooth outline, within the fin area that the manual allows",
        ),
        K::FlangeNicked => {
            (FindingAnswer::Repair, "dress and polish the nicks; check the flange for flatness")
        }
        K::SparkPlugThreadDamaged => (FindingAnswer::Repair, "restore the thread, or renew the insert"),
        K::PortFaceNicked => (FindingAnswer::Repair, "dress the face flat"),
        K::StudDamaged => (FindingAnswer::Repair, "renew the stud, set to the height that the manual gives"),
        K::StudLoose => {
            (FindingAnswer::Repair, "fit the next oversize stud, set to the height that the manual gives")
        }
    };
    FindingLimits {
        answer,
        repairable_to: None,
        on_adjacent_fins: Vec::new(),
        total_area: None,
        remedy: remedy.to_owned(),
        place: String::new(),
    }
}
