//! Small invented records, each holding one thing that contradicts itself, and the same without it.

use super::*;
use crate::reason::{self, Reason};
use crate::{Need, Recommendation, assess};
use records::record::resolve;
use records::record::schema::EngineRecord;

/// A table without choke, two stations by two axes, standard and two oversizes.
const TABLE: &str = r#"TableOfLimits(format: 1, identity: "X", revision: "A", engine: "an invented engine",
 source: Illustrative(remark: "invented"), unit: Inch,
 stations: [(name: "A", depth: "1.0", role: HeadEnd), (name: "B", depth: "5.0", role: BaseEnd)],
 axes: [(label: "pin", degrees: 0), (label: "thrust", degrees: 90)],
 bore: [(size: Standard, reference: "1", new: ("5.1250", "5.1265"), serviceable: At("5.1290")),
        (size: Oversize("0.010"), reference: "2", new: ("5.1350", "5.1365"), serviceable: At("5.1390")),
        (size: Oversize("0.020"), reference: "3", new: ("5.1450", "5.1465"), serviceable: At("5.1490"))],
 taper: (rule: AxisAverages, serviceable: At("0.0020")),
 out_of_round: (rule: PerStation, serviceable: At("0.0020")),
 wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0.0005")"#;

fn record(cylinder: &str, readings: [&str; 4]) -> EngineRecord {
    let at = [("A", "pin"), ("A", "thrust"), ("B", "pin"), ("B", "thrust")];
    let readings: String = at
        .iter()
        .zip(readings)
        .map(|((station, axis), text)| {
            format!(r#"(station: "{station}", axis: "{axis}", entered: ["{text}"]),"#)
        })
        .collect();
    let text = format!(
        r#"EngineRecord(format: 2, engine: (model: "m", serial: "s"), overhauls: [(date: "2026-05-14",
 limits: (identity: "X", revision: "A"), gauges: [(name: "mic", reads: Diameter, graduation: "0.0001")],
 cylinders: [(position: "1", serial: "C1", looked_over: true, {cylinder} readings: [{readings}])])],
 tables: [{TABLE}])"#
    );
    records::file::record_from_text(&text, None).value.expect("a record")
}

/// The outcome of a cylinder, and the sentence of its first contradiction.
fn judged(cylinder: &str, readings: [&str; 4]) -> (Recommendation, Option<String>) {
    let survey = resolve::survey(&record(cylinder, readings), 0, None).value.expect("a survey");
    let assessment = assess(&survey.cylinders[0], &survey);
    let need = assessment.needs.iter().position(|need| matches!(need, Need::Contradiction(_)));
    if need.is_some() {
        assert_eq!(assessment.oversizes, [], "no clean-up is claimed of a size that is in doubt");
        assert_eq!(assessment.reasons[0], Reason::Need(0), "the contradiction is said first");
    }
    let say = |need| reason::sentence(Reason::Need(need), &assessment, &survey.cylinders[0], &survey.limits);
    (assessment.recommendation, need.and_then(say))
}

fn contradicted(cylinder: &str, readings: [&str; 4]) -> String {
    let (recommendation, sentence) = judged(cylinder, readings);
    assert_eq!(recommendation, Recommendation::NotDecided);
    sentence.expect("a contradiction")
}

fn agrees(cylinder: &str, readings: [&str; 4]) -> Recommendation {
    let (recommendation, sentence) = judged(cylinder, readings);
    assert_eq!(sentence, None);
    recommendation
}

const SOUND: [&str; 4] = ["5.1262", "5.1264", "5.1260", "5.1261"];

#[test]
fn a_worn_standard_bore_recorded_as_an_oversize() {
    let worn = ["5.1312", "5.1314", "5.1305", "5.1306"];
    assert_eq!(
        contradicted(r#"size: Oversize("0.010"),"#, worn),
        "Station B, pin axis: 5.1305 in is 0.0045 in smaller than size +0.010 in is made (5.1350 in). The readings \
         fit size standard. Check the recorded size, the gauge and its setting."
    );
    assert!(contradicted(r#"size: Oversize("0.010"),"#, SOUND).contains("fit size standard."));
}

#[test]
fn an_oversize_recorded_as_standard() {
    let made = ["5.1361", "5.1362", "5.1361", "5.1362"];
    assert!(contradicted("", made).contains("The readings fit size +0.010 in."));
    // Worn within that size as well.
    assert!(contradicted("", ["5.1361", "5.1362", "5.1384", "5.1379"]).contains("fit size +0.010 in."));
    // Whoever knows what it was finished to has settled it, and so has a reading that is still standard.
    assert_ne!(agrees(r#"finished_to: "5.1260","#, made), Recommendation::Serviceable);
    assert_ne!(agrees("", ["5.1361", "5.1362", "5.1361", "5.1288"]), Recommendation::Serviceable);
}

#[test]
fn a_bore_of_another_engine() {
    let sentence = contradicted("", ["2.1250"; 4]);
    assert!(sentence.contains("3.0000 in smaller than the standard size is made"), "{sentence}");
    assert!(!sentence.contains("fit size"), "no size of the table fits it: {sentence}");
}

#[test]
fn what_measuring_can_explain_is_no_contradiction() {
    assert_eq!(agrees("", ["5.1262", "5.1260", "5.1250", "5.1248"]), Recommendation::Serviceable);
    contradicted("", ["5.1262", "5.1260", "5.1250", "5.1240"]);
}

#[test]
fn a_last_finished_size_of_another_size() {
    let finished = |to: &str, readings| contradicted(&format!(r#"finished_to: "{to}","#), readings);
    let worn = ["5.1294", "5.1295", "5.1294", "5.1295"];
    assert_eq!(
        finished("5.1350", ["5.1310"; 4]),
        "The last-finished size 5.1350 in does not belong to the standard size (5.1250 in to 5.1265 in). It fits \
         size +0.010 in. Correct one of them."
    );
    assert!(finished("51.250", worn).contains("does not belong to the standard size"));
    assert!(finished("5.1240", worn).contains("does not belong to the standard size"));
    // Of its size, but a bore does not shrink.
    let sentence = finished("5.1265", ["5.1252", "5.1250", "5.1251", "5.1252"]);
    assert!(sentence.contains("0.0014 in smaller than the last-finished size 5.1265 in"), "{sentence}");
    assert_eq!(agrees(r#"finished_to: "5.1250","#, SOUND), Recommendation::Serviceable);
    // Written in millimetres with two decimals it is a little less than 5.1250 in.
    assert_eq!(agrees(r#"finished_to: "130.17 mm","#, SOUND), Recommendation::Serviceable);
}

#[test]
fn a_last_finished_size_that_no_bore_has_is_unreadable() {
    for text in ["-5.1250", "0.0001", "about 5.125"] {
        let record = record(&format!(r#"finished_to: "{text}","#), SOUND);
        let reported = resolve::survey(&record, 0, None);
        assert!(reported.diagnostics.iter().any(|diagnostic| diagnostic.is_error()), "{text}");
        let survey = reported.value.expect("a survey");
        let assessment = assess(&survey.cylinders[0], &survey);
        assert_eq!(assessment.recommendation, Recommendation::NotDecided, "{text}");
        assert!(matches!(assessment.needs[0], Need::Unreadable(_)), "{text}");
    }
}

#[test]
fn what_the_eye_condemns_stays_condemned() {
    let found = r#"size: Oversize("0.010"), findings: [(kind: CrackInHead)],"#;
    let (recommendation, sentence) = judged(found, SOUND);
    assert_eq!(recommendation, Recommendation::Replace);
    assert!(sentence.is_some());
}

/// A choked barrel is made smaller at the head: that is no contradiction, and so much more would be one.
#[test]
fn the_head_of_a_choked_barrel_may_be_smaller() {
    let choke = TABLE
        .replace("wall:", r#"choke: (new: ("0.0020", "0.0040"), least: "0.0010", reference: "4"), wall:"#);
    let judged = |head: &str| {
        let mut record = record("", [head, head, "5.1255", "5.1255"]);
        record.tables[0] = records::file::limits_from_text(&choke, None).value.expect("a table");
        let survey = resolve::survey(&record, 0, None).value.expect("a survey");
        let cylinder = &survey.cylinders[0];
        contradictions(cylinder, &survey.limits, survey.setup())
    };
    assert_eq!(judged("5.1215"), []);
    assert!(matches!(judged("5.1200")[..], [Contradiction::SmallerThanMade { .. }]));
}
