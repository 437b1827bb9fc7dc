//! Known effects of temperature: each reading at 20 °C by its own gauge's expansion, and nothing rests on an expansion
//! that nobody wrote. The records are invented.

use crate::row::RowStatus;
use crate::{Assessment, Need, Recommendation, assess, reason, words};
use records::diag::WithDiagnostics;
use records::file;
use records::record::resolve;
use records::survey::Survey;

/// A record of one cylinder with one diameter at every place, read with `gauge`; `tools` holds fields of the overhaul,
/// `row` of the table, `fits` of the cylinder.
fn reported(
    tools: &str,
    row: &str,
    gauge: &str,
    diameter: &str,
    fits: &str,
) -> WithDiagnostics<Option<Survey>> {
    let readings: String = ["A", "B", "C", "D"]
        .iter()
        .flat_map(|station| ["pin", "thrust"].map(|axis| (station, axis)))
        .map(|(station, axis)| {
            let gauge = if gauge.is_empty() { String::new() } else { format!("gauge: \"{gauge}\", ") };
            format!(r#"(station: "{station}", axis: "{axis}", {gauge}entered: ["{diameter}"]),"#)
        })
        .collect();
    let text = format!(
        r#"EngineRecord(format: 2, engine: (model: "m", serial: "s"), tables: [{}], overhauls: [(
            date: "2026-05-14", limits: (identity: "T", revision: "A"), unit: Inch, {tools}
            cylinders: [(position: "1", serial: "C1", looked_over: true, {fits} readings: [{readings}])],
        )])"#,
        super::table(row),
    );
    let reported = file::record_from_text(&text, None);
    let record = reported.value.unwrap_or_else(|| panic!("{:?}", reported.diagnostics));
    resolve::survey(&record, 0, None)
}

fn survey(tools: &str, row: &str, gauge: &str, diameter: &str) -> Survey {
    let reported = reported(tools, row, gauge, diameter, "");
    assert_eq!(reported.diagnostics, []);
    reported.value.unwrap()
}

fn judged(survey: &Survey) -> Assessment {
    assess(&survey.cylinders[0], survey)
}

fn sentences(survey: &Survey, assessment: &Assessment) -> String {
    let sentence =
        |r: &reason::Reason| reason::sentence(*r, assessment, &survey.cylinders[0], &survey.limits).unwrap();
    assessment.reasons.iter().map(sentence).collect::<Vec<_>>().join("\n")
}

const STEEL: &str = "barrel_expansion_ppm: 11.5";
const MICROMETER: &str = r#"gauges: [(name: "a", graduation: "0.0001", expansion_ppm: 11.5)],"#;

/// Derived: 15 K on 5.1295 in of steel of 11.5e-6 1/K is 0.000 885 in, and 0.0005 in is left as read.
#[test]
fn a_known_effect_counts_whether_or_not_the_correction_is_asked_for() {
    for asked in ["false", "true"] {
        let cold =
            format!("{MICROMETER} temperatures: (barrel: 5.0, gauge: 20.0, correct_readings: {asked}),");
        let survey = survey(&cold, STEEL, "", "5.1295");
        let assessment = judged(&survey);
        assert_eq!(assessment.recommendation, Recommendation::Rebore(2), "{asked}");
        let row = &assessment.rows[0];
        // 5.1295 x (1 + 11.5e-6 x 15).
        assert_eq!(row.figure.as_ref().unwrap().value, super::inches("5.1295").scaled(1.000_172_5));
        assert_eq!(row.as_read, Some(super::inches("5.1295").into()));
        let said = sentences(&survey, &assessment);
        assert!(said.contains("5.13038 in at 20 °C (5.12950 in as read) is 0.00038 in over"), "{said}");
        assert_eq!(
            words::temperatures(&survey),
            ["The barrel was at 5 °C and the gauge at 20 °C: every figure is brought to 20 °C."]
        );
    }
}

/// Nobody wrote how barrel and gauge expand. Within as read, beyond at 20 °C if both are steel: not decided.
#[test]
fn an_outcome_does_not_hang_on_an_expansion_that_nobody_wrote() {
    let tools = |expansion: &str, temperatures: &str| {
        format!(r#"gauges: [(name: "a", graduation: "0.0001"{expansion})], temperatures: ({temperatures}),"#)
    };
    let cold = survey(&tools("", "barrel: 5.0, gauge: 20.0"), "", "", "5.1295");
    let assessment = judged(&cold);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
    let (at_20_c, as_read) = (Recommendation::Rebore(2), Recommendation::Serviceable);
    assert_eq!(assessment.needs, [Need::Expansion { at_20_c, as_read }]);
    let said = sentences(&cold, &assessment);
    assert!(
        said.contains("only supposed, it is rebore to +0.020 in at 20 °C; as read it is serviceable"),
        "{said}"
    );
    assert!(words::temperatures(&cold)[1].contains("not written: the barrel. That of steel"));
    // The other way round: beyond as read, within at 20 °C.
    let warm = survey(&tools("", "barrel: 35.0, gauge: 20.0"), "", "", "5.1305");
    assert_eq!(judged(&warm).recommendation, Recommendation::NotDecided);
    // Whoever asks for it has steel supposed; whoever writes it down has it known.
    let asked = "barrel: 5.0, gauge: 20.0, correct_readings: true";
    for decided in [
        survey(&tools("", asked), "", "", "5.1295"),
        survey(&tools("", "barrel: 5.0, gauge: 20.0, barrel_expansion_ppm: 11.5"), "", "", "5.1295"),
        survey(&tools("", "barrel: 5.0, gauge: 20.0"), STEEL, "", "5.1295"),
    ] {
        assert_eq!(judged(&decided).recommendation, Recommendation::Rebore(2));
    }
    // The gauge's own expansion is as much in doubt where it was not at 20 °C.
    let gauge = |expansion| survey(&tools(expansion, "barrel: 20.0, gauge: 35.0"), STEEL, "", "5.1295");
    assert_eq!(judged(&gauge("")).recommendation, Recommendation::NotDecided);
    assert_eq!(judged(&gauge(", expansion_ppm: 11.5")).recommendation, Recommendation::Rebore(2));
    // Where the outcome is the same with it and without it, it is decided.
    let far = survey(&tools("", "barrel: 5.0, gauge: 20.0"), "", "", "5.1255");
    assert_eq!(judged(&far).recommendation, Recommendation::Serviceable);
    assert!(words::temperatures(&far)[1].contains("the barrel"));
}

/// Two gauges of different metal, all at 30 °C: each reading by its own. The one of aluminium has grown more than the
/// barrel, so that what it read is 0.0006 in larger at 20 °C; the one of steel has grown with it.
#[test]
fn each_reading_is_corrected_by_its_own_gauge() {
    let steel = r#"(name: "steel", graduation: "0.0001", expansion_ppm: 11.5)"#;
    let light = r#"(name: "light", graduation: "0.0001", expansion_ppm: 23.0)"#;
    let read = |gauges: &[&str], by: &str| {
        let tools = format!("gauges: [{}], temperatures: (barrel: 30.0, gauge: 30.0),", gauges.join(", "));
        let survey = survey(&tools, STEEL, by, "5.1300");
        let assessment = judged(&survey);
        (assessment.rows[0].figure.clone().unwrap().value.nearest(), assessment.recommendation)
    };
    // 5.1300 in times 11.5e-6 1/K times 10 K is 0.000 590 in.
    let beyond = (super::inches("5.1300").scaled(1.000_115), Recommendation::Rebore(2));
    let within = (super::inches("5.1300"), Recommendation::Serviceable);
    for gauges in [&[light][..], &[light, steel], &[steel, light]] {
        assert_eq!(read(gauges, "light"), beyond, "{gauges:?}");
    }
    for gauges in [&[steel][..], &[light, steel], &[steel, light]] {
        assert_eq!(read(gauges, "steel"), within, "{gauges:?}");
    }
    // A gauge zeroed on a ring expands as the ring does.
    let ring = |expansion: &str| {
        let tools = format!(
            r#"standards: [(name: "ring", size: "5.1250"{expansion})],
               gauges: [(name: "dial", reads: Deviation, zeroed_on: "ring", graduation: "0.0001", expansion_ppm: 11.5)],
               temperatures: (barrel: 30.0, gauge: 30.0),"#
        );
        let survey = survey(&tools, STEEL, "", "+0.0050");
        judged(&survey).rows[0].figure.clone().unwrap().value.nearest()
    };
    assert_eq!(ring(", expansion_ppm: 23.0"), beyond.0);
    assert_eq!(ring(""), within.0);
}

/// Parts at their own temperatures. Derived: a skirt of 5.1126 in at 60 °C, of 21.5e-6 1/K, is 0.0044 in smaller at 20,
/// and in a bore of 5.1262 in that makes 0.0180 in.
#[test]
fn a_part_is_brought_to_20_c_by_its_own_expansion_or_not_used() {
    let table = |ppm: &str| {
        format!(
            r#"parts: [(reference: "10", description: "skirt", kind: Shaft, new: ("5.1120", "5.1130"){ppm}), (reference: "33", description: "pin", kind: Shaft, new: ("1.2498", "1.2500"), expansion_ppm: 11.5)]
            fits: [(reference: "30", description: "skirt in bore", kind: SkirtInBore, shaft: "10", new: ("0.0120 L", "0.0150 L"), serviceable: At("0.0181 L")), (reference: "34", description: "pin in piston", kind: PinInPiston, shaft: "33", new: ("0.0000 L", "0.0005 L"))]"#
        )
    };
    let read = |ppm: &str, tools: &str, fit: &str| {
        let reported = reported(tools, &table(ppm), "", "5.1262", &format!("fits: [({fit})],"));
        let errors = reported.diagnostics.iter().filter(|reported| reported.is_error());
        let errors: Vec<String> = errors.map(|reported| reported.to_string()).collect();
        let survey = reported.value.unwrap();
        let assessment = judged(&survey);
        // Parts do not decide over the barrel.
        assert_eq!(assessment.recommendation, Recommendation::Serviceable);
        let words = words::not_measured(&assessment, &survey.limits);
        (assessment.fits[0].clone(), assessment.fits[1].clone(), errors.join("\n"), words)
    };
    let known = ", expansion_ppm: 21.5";
    let (skirt, _, errors, _) = read(known, "", r#"row: "30", shaft: "5.1126", shaft_temperature: 60.0"#);
    assert_eq!(errors, "");
    let clearance = skirt.largest.unwrap().to_mm() / 25.4;
    assert!((clearance - 0.017_996_8).abs() < 1e-7, "{clearance}");
    assert_eq!((skirt.status, skirt.unusable), (RowStatus::WithinServiceable, None));
    // The pin in its own hole: 10 K on 1.25 in of steel.
    let pin = r#"row: "34", hole: "1.2500", shaft: "1.2500", shaft_temperature: 30.0"#;
    let clearance = read(known, "", pin).1.largest.unwrap().to_mm() / 25.4;
    assert!((clearance - 1.25 * 11.5e-6 * 10.0).abs() < 1e-8, "{clearance}");
    // At 20 °C nothing need be known, and a temperature of what was not measured changes nothing.
    for (ppm, fit) in [
        ("", r#"row: "30", shaft: "5.1126", shaft_temperature: 20.0, hole_temperature: 20.0"#),
        ("", r#"row: "30", clearance: "0.0136", shaft_temperature: 20.0"#),
        ("", r#"row: "30", shaft_temperature: 60.0"#),
    ] {
        let (skirt, _, errors, _) = read(ppm, "", fit);
        assert_eq!((errors.as_str(), skirt.unusable), ("", None), "{fit}");
    }
    let (skirt, ..) = read("", "", r#"row: "30", shaft: "5.1126", hole_temperature: 20.0"#);
    assert_eq!(skirt.largest, Some(super::inches("0.0136").into()));
    // The bore as it was measured warm is the hole at that temperature.
    let warm = "temperatures: (barrel: 30.0, gauge: 30.0, barrel_expansion_ppm: 11.5),";
    let (_, _, errors, _) = read("", warm, r#"row: "30", shaft: "5.1126", hole_temperature: 30.0"#);
    assert_eq!(errors, "");
    for (ppm, fit, why) in [
        (
            "",
            r#"row: "30", shaft: "5.1126", shaft_temperature: 60.0"#,
            "the table does not say how it expands",
        ),
        (
            "",
            r#"row: "30", shaft: "5.1126", hole_temperature: 80.0"#,
            "whose readings were taken at 20 °C, and 80 °C",
        ),
        (
            known,
            r#"row: "30", clearance: "0.0136", shaft_temperature: 60.0"#,
            "the clearance itself was measured",
        ),
        (
            known,
            r#"row: "34", hole: "1.2500", shaft: "1.2500", hole_temperature: 60.0"#,
            "the hole was at 60 °C",
        ),
        (known, r#"row: "30", shaft: "5,11,26""#, "5,11,26"),
    ] {
        let (skirt, pin, errors, words) = read(ppm, "", fit);
        assert!(errors.contains(why) && words.contains(why), "{errors}\n{words}");
        let row = if fit.contains("\"30\"") { skirt } else { pin };
        assert_eq!((row.status, row.largest), (RowStatus::NotMeasured, None), "{fit}");
        assert!(row.unusable.unwrap().contains(why));
    }
}
