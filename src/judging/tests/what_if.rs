//! What another rule would have said.

use super::*;
use crate::Recommendation;
use crate::what_if::{OtherRule, what_if};
use records::limits::schema::{DecisionRule, TaperRule};

fn surveyed(limits: &Arc<Limits>, cylinder: &Cylinder) -> Survey {
    Survey {
        limits: Arc::clone(limits),
        standards: Vec::new(),
        gauges: vec![Gauge { name: "a gauge".to_owned(), ..Gauge::default() }],
        conditions: None,
        cylinders: vec![cylinder.clone()],
    }
}

/// Largest at the top 5.1285, smallest at the bottom 5.1262, each axis 0.0015 and 0.0016 over its stations: a
/// limit of 0.0020 is passed or not by the rule alone (grade D, by hand).
#[test]
fn the_taper_rule_alone_can_turn_an_outcome() {
    let limits = limits("taper: (rule: PerAxisEnds, serviceable: At(\"0.0020\"))");
    let bore = [["5.1250"; 2], ["5.1277", "5.1285"], ["5.1277", "5.1280"], ["5.1262", "5.1269"]];
    let cylinder = cylinder(&limits, &bore);
    assert_eq!(judged(&limits, &cylinder).recommendation, Recommendation::Serviceable);
    let alternatives = what_if(&cylinder, &surveyed(&limits, &cylinder));
    let of = |rule| {
        let found = alternatives.iter().find(|other| other.rule == OtherRule::Taper(rule)).unwrap();
        let figure = found.taper.as_ref().and_then(|row| row.figure.as_ref()).unwrap();
        (found.recommendation, figure.value)
    };
    assert_eq!(of(TaperRule::LargestTopSmallestBottom), (Recommendation::Rebore(1), inches("0.0023").into()));
    assert_eq!(of(TaperRule::AllReadings), (Recommendation::Rebore(1), inches("0.0023").into()));
    assert_eq!(of(TaperRule::PerAxisRange), (Recommendation::Serviceable, inches("0.0016").into()));
    assert_eq!(of(TaperRule::AxisAverages).0, Recommendation::Serviceable);
    // The rule in force is no alternative, and everything else is one.
    assert_eq!(alternatives.len(), 5);
    assert!(!alternatives.iter().any(|other| other.rule == OtherRule::Taper(TaperRule::PerAxisEnds)));
}

/// On the limit as read is within by simple acceptance; any guard band at all makes it beyond.
#[test]
fn guarded_acceptance_turns_a_bore_on_its_limit() {
    let simple = limits("");
    let on_limit = [["5.1255"; 2], ["5.1300"; 2], ["5.1300"; 2], ["5.1300"; 2]];
    let barrel = cylinder(&simple, &on_limit);
    let others = what_if(&barrel, &surveyed(&simple, &barrel));
    assert_eq!(others[0].rule, OtherRule::Decision(DecisionRule::Guarded));
    assert_ne!(others[0].recommendation, Recommendation::Serviceable);
    assert!(others[0].taper.is_none());
    let guarded = limits("decision: Guarded");
    let barrel = cylinder(&guarded, &on_limit);
    let others = what_if(&barrel, &surveyed(&guarded, &barrel));
    assert_eq!(others[0].rule, OtherRule::Decision(DecisionRule::Simple));
    assert_eq!(others[0].recommendation, Recommendation::Serviceable);
}

#[test]
fn a_table_without_taper_has_only_the_decision_rule_to_change() {
    let limits = limits("taper:");
    let barrel = cylinder(&limits, &[["5.1255"; 2]; 4]);
    assert_eq!(what_if(&barrel, &surveyed(&limits, &barrel)).len(), 1);
}
