//! What a claim that an oversize cleans up rests on.

use super::*;
use crate::reason::{Reason, sentence};
use crate::shown::oversize::{ShownOversize, option_words};
use crate::words::{clean_up_words, known_words};
use crate::{Need, Recommendation};

const OVAL: &str = "Where only two axes are read, an oval at 45 degrees to them does not show.";

/// The sentence of the oversize that is recommended, or needed at least.
fn claim(limits: &Arc<Limits>, cylinder: &Cylinder) -> String {
    let assessment = judged(limits, cylinder);
    let reason = assessment.reasons.iter().find(|reason| matches!(reason, Reason::Rebore(_)));
    sentence(*reason.expect("an oversize"), &assessment, cylinder, limits).unwrap()
}

/// Every station that counts reads so; nothing is measured above ring travel unless it is given.
fn worn(limits: &Limits, diameter: &str) -> Cylinder {
    cylinder(limits, &[["5.1255"; 2], [diameter; 2], [diameter; 2], [diameter; 2]])
}

#[test]
fn a_claim_says_what_two_axes_do_not_show() {
    let limits = limits("");
    let mut worn = worn(&limits, "5.1302");
    assert_eq!(
        claim(&limits, &worn),
        format!(
            "Rebore to +0.020 in: finished to 5.1450 in, it cleans up even if all wear is on one side. {OVAL} 0.0148 in \
             comes off on the diameter at station B, pin axis, where it takes least (ref. 3)."
        )
    );
    // The third axis at every station that counts; above ring travel nothing wears.
    for station in 1..4 {
        assert!(claim(&limits, &worn).contains(OVAL), "station {station}");
        worn.bore.set(Point::new(station, 2), cell(&[inches("5.1302")]));
    }
    assert!(!claim(&limits, &worn).contains("oval"), "{}", claim(&limits, &worn));
    let assessment = judged(&limits, &worn);
    let words = clean_up_words(&assessment.oversizes[0], &assessment, &worn, &limits, limits.style);
    assert_eq!(
        words,
        "To come out clean it needs 5.1312 in if the wear is even, 5.1364 in if all wear is on one side; station B, pin \
         axis needs the most."
    );
}

#[test]
fn the_verdict_on_an_oversize_says_which_one_is_recommended() {
    let limits = limits("");
    let assessment = judged(&limits, &worn(&limits, "5.1302"));
    let shown = ShownOversize::all(&assessment, &limits, limits.style);
    assert_eq!(
        shown.iter().map(ShownOversize::verdict).collect::<Vec<_>>(),
        ["cleans up only if the wear is even", "cleans up even if all wear is on one side; recommended"]
    );
}

#[test]
fn a_claim_that_rests_on_something_missing_holds_as_far_as_measured() {
    let limits = limits("");
    let complete = worn(&limits, "5.1302");
    let changed = |change: fn(&mut Cylinder)| {
        let mut cylinder = complete.clone();
        change(&mut cylinder);
        cylinder
    };
    let incomplete = [
        changed(|c| drop(c.bore.set(Point::new(3, 1), None))),
        changed(|c| c.looked_over = false),
        changed(|c| c.unreadable = vec!["station C, axis pin: no number".to_owned()]),
        changed(|c| c.findings = vec![found(FindingKind::Scored)]),
    ];
    for cylinder in incomplete {
        let assessment = judged(&limits, &cylinder);
        assert_eq!(
            (assessment.recommendation, assessment.minimum_oversize),
            (Recommendation::NotDecided, Some(2))
        );
        let claim = claim(&limits, &cylinder);
        assert!(
            claim.starts_with(
                "Needs +0.020 in at least: finished to 5.1450 in, it cleans up even if all wear is on one side, as far \
                 as measured. "
            ),
            "{claim}"
        );
        assert_eq!(known_words(&assessment, &limits).unwrap(), "Already needs a rebore: +0.020 in at least.");
        let oversizes: Vec<_> =
            assessment.oversizes.iter().map(|option| option_words(option, &assessment)).collect();
        assert_eq!(
            oversizes,
            [
                "cleans up only if the wear is even, as far as measured",
                "cleans up even if all wear is on one side, as far as measured"
            ]
        );
        let needs = clean_up_words(&assessment.oversizes[0], &assessment, &cylinder, &limits, limits.style);
        assert!(needs.starts_with("As far as measured, to come out clean it needs 5.1312 in"), "{needs}");
    }
    // A blank limit changes nothing about how far the bore is worn.
    let limits = super::limits("taper: (rule: PerAxisRange)");
    let tapered = cylinder(&limits, &[["5.1255"; 2], ["5.1304"; 2], ["5.1302"; 2], ["5.1302"; 2]]);
    assert_eq!(judged(&limits, &tapered).recommendation, Recommendation::NotDecided);
    assert!(
        claim(&limits, &tapered)
            .starts_with("Needs +0.020 in at least: finished to 5.1450 in, it cleans up even")
    );
    assert!(!claim(&limits, &tapered).contains("as far as measured"));
}

#[test]
fn what_is_too_small_already_is_a_fact() {
    let limits = limits("");
    let mut partial = worn(&limits, "5.1351");
    partial.bore.set(Point::new(3, 1), None);
    let assessment = judged(&limits, &partial);
    assert_eq!(option_words(&assessment.oversizes[0], &assessment), "does not clean up");
}

/// Taken to be where the bore is largest, a pit that cannot be placed may ask for too much.
#[test]
fn a_pit_that_cannot_be_placed_does_not_condemn_by_itself() {
    let limits = limits("");
    // Largest at B. There a pit of 0.0030 needs 2 x 5.1300 - 5.1250 + 0.0060 + 0.0010 = 5.1420; one of 0.0050 needs
    // 5.1460, more than any oversize gives, and at C 5.1260 + 0.0010 + 0.0110 = 5.1380.
    let bore = [["5.1255"; 2], ["5.1300"; 2], ["5.1260"; 2], ["5.1260"; 2]];
    let pitted = |depth: &str, station| {
        let depth = Some((inches(depth), Style { unit: Unit::Inch, decimals: 4 }));
        let findings = vec![Finding { depth, station, ..found(FindingKind::Pitted) }];
        Cylinder { findings, ..cylinder(&limits, &bore) }
    };
    let outcome = |cylinder: &Cylinder| judged(&limits, cylinder).recommendation;
    assert_eq!(outcome(&pitted("0.0030", None)), Recommendation::Rebore(2), "enough wherever it is");
    assert_eq!(outcome(&pitted("0.0050", Some(1))), Recommendation::Replace);
    assert_eq!(outcome(&pitted("0.0050", Some(2))), Recommendation::Rebore(2));
    let astray = pitted("0.0050", None);
    let assessment = judged(&limits, &astray);
    assert_eq!((assessment.recommendation, assessment.minimum_oversize), (Recommendation::NotDecided, None));
    let [Need::Amount(..)] = assessment.needs[..] else { panic!("{:?}", assessment.needs) };
    assert_eq!(
        sentence(Reason::Need(0), &assessment, &astray, &limits).unwrap(),
        "Pitted wall, 0.0050 in deep: measure the bore at its station; the oversize depends on it."
    );
    // Where no oversize would do without it, nothing is left to ask.
    let never = super::limits("wall: (surface: Plain, cut: NotAllowed)");
    assert_eq!(judged(&never, &astray).recommendation, Recommendation::Replace);
}
