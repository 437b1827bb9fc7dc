//! What findings by eye come to, with one small cylinder each.

use super::*;
use crate::finding::{Amount, Consequence, answers};
use crate::reason::{Reason, sentence};
use crate::{Need, Recommendation};
use quantities::area::Area;
use records::limits::schema::FindingKind;
use records::survey::Finding;

fn long(text: &str) -> Option<(Length, Style)> {
    Some((inches(text), Style { unit: Unit::Inch, decimals: 2 }))
}

fn area(text: &str) -> Option<Area> {
    Some(Area::parse(text).unwrap())
}

/// A bore that reads the same everywhere but above ring travel.
fn with(limits: &Limits, diameter: &str, findings: Vec<Finding>) -> Cylinder {
    Cylinder { findings, ..cylinder(limits, &[["5.1255"; 2], [diameter; 2], [diameter; 2], [diameter; 2]]) }
}

/// What a cylinder comes to, what it needs first, and the sentences of its findings.
fn reported(limits: &Arc<Limits>, cylinder: &Cylinder) -> (Recommendation, Vec<Need>, Vec<String>) {
    let assessment = judged(limits, cylinder);
    let of_findings = assessment.reasons.iter().filter(|reason| match reason {
        Reason::Finding(_) => true,
        Reason::Need(i) => matches!(assessment.needs[*i], Need::Amount(..)),
        _ => false,
    });
    let sentences =
        of_findings.map(|&reason| sentence(reason, &assessment, cylinder, limits).unwrap()).collect();
    (assessment.recommendation, assessment.needs, sentences)
}

const SOUND: &str = "5.1270";
const WORN: &str = "5.1302";

#[test]
fn a_total_area_needs_the_area_of_every_such_finding() {
    let limits = limits(
        r#"findings: [(kind: FinDamaged, answer: Repair, total_area: "83 sq in", remedy: "dress it")]"#,
    );
    let fin = |area| Finding { area, ..found(FindingKind::FinDamaged) };
    let (outcome, needs, sentences) =
        reported(&limits, &with(&limits, SOUND, vec![fin(area("3 sq in")), fin(None)]));
    assert_eq!((outcome, needs), (Recommendation::NotDecided, vec![Need::Amount(Amount::Area, 1)]));
    assert_eq!(sentences, ["Cracked or broken fin: measure its area.", "Cracked or broken fin: dress it."]);
    let (outcome, ..) =
        reported(&limits, &with(&limits, SOUND, vec![fin(area("80 sq in")), fin(area("3 sq in"))]));
    assert_eq!(outcome, Recommendation::Serviceable, "exactly what the table allows");
    // What is known condemns, whatever the other one takes.
    let (outcome, needs, sentences) = reported(
        &limits,
        &with(&limits, SOUND, vec![fin(area("80 sq in")), fin(area("3.1 sq in")), fin(None)]),
    );
    assert_eq!((outcome, needs), (Recommendation::Replace, vec![]));
    assert_eq!(
        sentences[0],
        "Cracked or broken fin: all such findings take 83.1 sq in together, more than the 83 sq in that may be \
         repaired; replace the cylinder."
    );
}

#[test]
fn every_amount_that_decides_is_asked_for() {
    let limits = limits(
        r#"findings: [(kind: FinDamaged, answer: Repair, repairable_to: "12", total_area: "83 sq in"), (kind: Pitted, answer: DepthDecides, total_area: "1 sq in")]"#,
    );
    let (_, needs, sentences) =
        reported(&limits, &with(&limits, SOUND, vec![found(FindingKind::FinDamaged)]));
    assert_eq!(needs, [Need::Amount(Amount::Size, 0), Need::Amount(Amount::Area, 0)]);
    assert_eq!(
        sentences,
        ["Cracked or broken fin: measure its length.", "Cracked or broken fin: measure its area."]
    );
    // A pit that has to be cut away is condemned by its area all the same: deeper is never better.
    let pit = |depth, area| Finding { depth: long(depth), area, ..found(FindingKind::Pitted) };
    let (outcome, needs, _) = reported(&limits, &with(&limits, SOUND, vec![pit("0.0010", None)]));
    assert_eq!((outcome, needs), (Recommendation::NotDecided, vec![Need::Amount(Amount::Area, 0)]));
    let (outcome, ..) = reported(&limits, &with(&limits, SOUND, vec![pit("0.0010", area("2 sq in"))]));
    assert_eq!(outcome, Recommendation::Replace);
}

/// The limits of W20 (FAA-H-8083-32, cooling fin inspection; for that engine only).
#[test]
fn the_sentence_names_the_rule_that_condemned() {
    let limits = limits(
        r#"findings: [(kind: FinDamaged, answer: Repair, repairable_to: "12", on_adjacent_fins: ["6", "4", "2", "1"], total_area: "83 sq in", place: "page 7")]"#,
    );
    let sentence = |fins, size, taken| {
        let finding = Finding { fins, size: long(size), area: area(taken), ..found(FindingKind::FinDamaged) };
        reported(&limits, &with(&limits, SOUND, vec![finding])).2.remove(0)
    };
    assert_eq!(
        sentence(1, "13.00", "1 sq in"),
        "Cracked or broken fin, 13.00 in long: more than the 12 in that may be repaired; replace the cylinder (page 7)."
    );
    assert_eq!(
        sentence(2, "7.00", "1 sq in"),
        "Cracked or broken fin, 7.00 in long, on 2 adjacent fins: more than the 6 in that may be repaired on any 2 \
         adjacent fins; replace the cylinder (page 7)."
    );
    assert_eq!(
        sentence(6, "0.50", "1 sq in"),
        "Cracked or broken fin, 0.50 in long, on 6 adjacent fins: more than the 5 adjacent fins on which damage may be \
         repaired; replace the cylinder (page 7)."
    );
    assert!(sentence(1, "1.00", "84 sq in").contains("take 84 sq in together, more than the 83 sq in"));
}

#[test]
fn a_rebore_for_another_reason_needs_the_depth_of_a_pit_that_would_be_honed() {
    for answer in ["Hone", "Repair"] {
        let limits = limits(&format!(r#"findings: [(kind: Pitted, answer: {answer}, remedy: "hone it")]"#));
        let pit = |depth| Finding { depth, station: Some(3), ..found(FindingKind::Pitted) };
        let (outcome, needs, _) = reported(&limits, &with(&limits, SOUND, vec![pit(None)]));
        assert_eq!(
            (outcome, needs),
            (Recommendation::Serviceable, vec![]),
            "it is honed, and nothing is cut"
        );
        let (outcome, needs, sentences) = reported(&limits, &with(&limits, WORN, vec![pit(None)]));
        assert_eq!((outcome, needs), (Recommendation::NotDecided, vec![Need::Amount(Amount::Depth, 0)]));
        assert_eq!(sentences, ["Pitted wall, station D: measure its depth; a rebore has to reach below it."]);
        let shallow = reported(&limits, &with(&limits, WORN, vec![pit(long("0.0001"))])).0;
        assert_eq!(shallow, reported(&limits, &with(&limits, WORN, vec![])).0);
        let deep = reported(&limits, &with(&limits, WORN, vec![pit(long("0.0060"))])).0;
        assert_eq!(deep, Recommendation::Replace, "deeper than any oversize reaches");
    }
    // Light rust and glaze are honed off: they have no depth that a rebore would have to reach.
    let limits = limits("");
    let (outcome, ..) = reported(&limits, &with(&limits, WORN, vec![found(FindingKind::LightRust)]));
    assert_eq!(outcome, Recommendation::Rebore(2));
}

#[test]
fn whatever_depth_decides_is_cut_to_below_it() {
    let limits = limits("findings: [(kind: PortFaceNicked, answer: DepthDecides)]");
    let nick = Finding { depth: long("0.0030"), station: Some(2), ..found(FindingKind::PortFaceNicked) };
    let nicked = with(&limits, SOUND, vec![nick]);
    let assessment = judged(&limits, &nicked);
    assert_eq!(assessment.findings[0].consequence, Consequence::NeedsRebore);
    // 5.1270 on one side needs 5.1290, and 2 x 0.0030 and 0.0010 more.
    assert_eq!(assessment.oversizes[0].needs_whichever_side, inches("5.1360"));
}

/// W20 (grade P, FAA-H-8083-32, cooling fin inspection; for that engine only): no more than 12 in of one fin
/// and 83 sq in on one head; on adjacent fins 6 in on any two, 4 on three, 2 on four, 1 on five.
#[test]
fn w20_fin_damage() {
    let limits = limits(
        r#"findings: [(kind: FinDamaged, answer: Repair, repairable_to: "12", on_adjacent_fins: ["6", "4", "2", "1"], total_area: "83 sq in")]"#,
    );
    let consequence = |fins: u16, inches: &str, area: &str| {
        let finding = Finding {
            size: long(inches),
            fins,
            area: Some(Area::parse(area).unwrap()),
            ..found(FindingKind::FinDamaged)
        };
        answers(&[finding], &limits)[0].consequence
    };
    for (fins, most, over) in
        [(1, "12", "12.01"), (2, "6", "6.01"), (3, "4", "4.01"), (4, "2", "2.01"), (5, "1", "1.01")]
    {
        assert_eq!(consequence(fins, most, "1 sq in"), Consequence::Repair, "{most} in on {fins}");
        assert_eq!(consequence(fins, over, "1 sq in"), Consequence::Replace, "{over} in on {fins}");
    }
    assert_eq!(consequence(6, "0.1", "1 sq in"), Consequence::Replace, "more fins than the table speaks of");
    assert_eq!(consequence(1, "1", "83 sq in"), Consequence::Repair);
    assert_eq!(consequence(1, "1", "83.1 sq in"), Consequence::Replace);
}

#[test]
fn customary_answers_to_findings() {
    let limits = limits("");
    for kind in FindingKind::ALL {
        let asked = answers(&[found(kind)], &limits)[0].consequence;
        let expected = match kind {
            FindingKind::CrackInHead | FindingKind::CrackInBarrel | FindingKind::HeadLoose => {
                Consequence::Replace
            }
            FindingKind::Scored | FindingKind::Pitted => Consequence::Measure,
            _ => Consequence::Repair,
        };
        assert_eq!(asked, expected, "{}", kind.words());
        assert!(!limits.finding(kind).remedy.is_empty());
    }
}
