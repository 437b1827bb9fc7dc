//! The gauge study against the published example, and against what no file may do to it.

use proptest::prelude::*;

use super::*;

/// Measurement Systems Analysis reference manual (AIAG, 4th edition): the gauge-study example, 10 parts by 3
/// appraisers by 3 trials (grade P). One line a part; the appraisers A, B, C; their three trials.
const PUBLISHED: [[[&str; 3]; 3]; 10] = [
    [["0.29", "0.41", "0.64"], ["0.08", "0.25", "0.07"], ["0.04", "-0.11", "-0.15"]],
    [["-0.56", "-0.68", "-0.58"], ["-0.47", "-1.22", "-0.68"], ["-1.38", "-1.13", "-0.96"]],
    [["1.34", "1.17", "1.27"], ["1.19", "0.94", "1.34"], ["0.88", "1.09", "0.67"]],
    [["0.47", "0.5", "0.64"], ["0.01", "1.03", "0.2"], ["0.14", "0.2", "0.11"]],
    [["-0.8", "-0.92", "-0.84"], ["-0.56", "-1.2", "-1.28"], ["-1.46", "-1.07", "-1.45"]],
    [["0.02", "-0.11", "-0.21"], ["-0.2", "0.22", "0.06"], ["-0.29", "-0.67", "-0.49"]],
    [["0.59", "0.75", "0.66"], ["0.47", "0.55", "0.83"], ["0.02", "0.01", "0.21"]],
    [["-0.31", "-0.2", "-0.17"], ["-0.63", "0.08", "-0.34"], ["-0.46", "-0.56", "-0.49"]],
    [["2.26", "1.99", "2.01"], ["1.8", "2.12", "2.19"], ["1.77", "1.45", "1.87"]],
    [["-1.36", "-1.25", "-1.31"], ["-1.68", "-1.62", "-1.5"], ["-1.49", "-1.77", "-2.16"]],
];

fn published() -> String {
    let mut text = "part,operator,trial,value\n".to_owned();
    for (part, by_operator) in PUBLISHED.iter().enumerate() {
        for (operator, values) in ["A", "B", "C"].iter().zip(by_operator) {
            for (trial, value) in values.iter().enumerate() {
                text += &format!("{},{operator},{},{value}\n", part + 1, trial + 1);
            }
        }
    }
    text
}

fn study(text: &str, tolerance: Option<&str>) -> Study {
    let reported = read_csv(text, Unit::Millimetre);
    assert_eq!(reported.diagnostics, []);
    let tolerance = tolerance.map(|text| Length::parse(text, Unit::Millimetre).unwrap().length);
    Study::of(&reported.value, tolerance).unwrap()
}

/// The published results of that example, by analysis of variance with the interaction pooled (grade P).
#[test]
fn the_published_study() {
    let study = study(&published(), Some("8"));
    let near = |found: f64, published: f64, within: f64| {
        assert!((found - published).abs() < within, "{found} is not {published}");
    };
    assert!(study.anova.pooled);
    near(study.repeatability.deviation_mm, 0.199933, 5e-7);
    near(study.reproducibility.unwrap().deviation_mm, 0.226838, 5e-7);
    // The root of the sum of the two printed squares is 0.302372: the printed 0.302373 is rounded on the way.
    near(study.both.deviation_mm, 0.302373, 2e-6);
    near(study.part.deviation_mm, 1.042327, 5e-7);
    near(study.both.of_total, 0.279, 5e-4);
    assert_eq!(study.distinct_categories, Some(4));
    // By definition: six standard deviations over the tolerance.
    near(study.both.of_tolerance.unwrap(), 6.0 * 0.302373 / 8.0, 2e-6);
    // 60 of the repeats and 18 of the interaction.
    assert_eq!(study.anova.error.dof, 78.0);
    let stored = study.for_gauge().unwrap();
    assert!(stored.standard_deviation.starts_with("0.19993") && stored.standard_deviation.ends_with(" mm"));
    assert_eq!(stored.dof, 78.0);
    assert!(study.interaction_words().contains("pooled with the repeats"), "{}", study.interaction_words());
    assert!(study.categories_words().contains("tells 4 groups"));
}

/// Two parts by two people by two trials, worked by hand (grade D). Cell means 1, 4, 5, 4 and each pair of repeats
/// 1 off its mean: part means 2.5 and 4.5, people 3 and 4, all 3.5. Squares: parts 4 (1 + 1) = 8, people
/// 4 (0.25 + 0.25) = 2, interaction 2 x 4 x 1 = 8, repeats 8 x 1 = 8.
#[test]
fn a_study_worked_by_hand() {
    let study = study("part;who;value\na;x;0\na;x;2\na;y;3\na;y;5\nb;x;4\nb;x;6\nb;y;3\nb;y;5\n", None);
    let Anova { parts, operators, interaction, repeats, pooled, .. } = study.anova;
    let (operators, interaction) = (operators.unwrap(), interaction.unwrap());
    assert_eq!(
        [parts.squares, operators.squares, interaction.squares, repeats.squares],
        [8.0, 2.0, 8.0, 8.0]
    );
    assert_eq!([parts.dof, operators.dof, interaction.dof, repeats.dof], [1.0, 1.0, 1.0, 4.0]);
    // F = 8 / 2 = 4 with 1 and 4 degrees of freedom is t² with t = 2 and 4: p = 0.1161 (t-table: 0.116).
    assert_eq!(interaction.f, Some(4.0));
    assert!((interaction.p.unwrap() - 0.1161).abs() < 5e-5);
    assert!(!pooled);
    // Interaction (8 - 2) / 2 = 3; people (2 - 8) / 4 < 0, so zero; parts (8 - 8) / 4 = 0.
    assert!((study.repeatability.deviation_mm - 2_f64.sqrt()).abs() < 1e-12);
    assert!((study.reproducibility.unwrap().deviation_mm - 3_f64.sqrt()).abs() < 1e-12);
    assert!(study.part.deviation_mm.abs() < 1e-12);
    assert_eq!(study.distinct_categories, Some(1));
    assert_eq!(
        study.by_operator.iter().map(|g| (g.least_mm, g.most_mm)).collect::<Vec<_>>(),
        [(0.0, 6.0), (3.0, 5.0)]
    );
    assert_eq!(study.by_part.iter().map(|g| g.mean_mm).collect::<Vec<_>>(), [2.5, 4.5]);
    assert!(study.cells.iter().all(|cell| cell.range_mm == 2.0));
}

/// One person: nothing about people, and the repeats alone are the gauge.
#[test]
fn one_person_alone() {
    let study = study("part,operator,value\n1,A,1\n1,A,1.2\n2,A,3\n2,A,3.2\n", None);
    assert_eq!(study.reproducibility, None);
    assert!((study.repeatability.deviation_mm - 0.02_f64.sqrt()).abs() < 1e-12);
    assert!(study.interaction_words().starts_with("Only one person"));
}

#[test]
fn repeats_that_never_differ_are_no_repeatability() {
    let study = study("part,operator,value\n1,A,1\n1,A,1\n1,B,1\n1,B,1\n2,A,3\n2,A,3\n2,B,4\n2,B,4\n", None);
    assert_eq!(study.repeatability.deviation_mm, 0.0);
    assert_eq!(study.for_gauge(), None);
    assert!(study.interaction_words().contains("cannot be tested"));
}

#[test]
fn each_bad_row_is_told_with_its_line() {
    let text = "# from the bench\nValue (mm)\tPerson\tPart\n1.0\tA\t1\nlong\tA\t1\n\t A\t2\n1,2\tA\t1\n";
    let reported = read_csv(text, Unit::Millimetre);
    let lines: Vec<_> = reported.diagnostics.iter().map(|d| d.position.unwrap().line).collect();
    assert_eq!(lines, [4, 5], "{:?}", reported.diagnostics);
    assert_eq!(reported.value.len(), 2);
    let reported = read_csv("part,value\n1,2\n", Unit::Inch);
    assert!(
        reported.diagnostics[0].to_string().contains("the header has no column operator."),
        "{}",
        reported.diagnostics[0]
    );
    let many = format!("part,operator,value\n{}", "1,A,x\n".repeat(1_000));
    assert_eq!(read_csv(&many, Unit::Inch).diagnostics.len(), MOST_REPORTED + 1);
}

#[test]
fn what_is_missing_is_named() {
    let readings = |text| read_csv(text, Unit::Inch).value;
    let refused = |text| Study::of(&readings(text), None).unwrap_err().to_string();
    let text = refused("part,operator,value\n1,A,1\n1,A,2\n2,A,1\n2,A,2\n1,B,1\n1,B,2\n2,B,1\n");
    assert!(text.contains("B measured part 2 1 of 2 times"), "{text}");
    assert!(refused("part,operator,value\n1,A,1\n2,A,1\n").contains("only once"));
    assert!(refused("part,operator,value\n1,A,1\n1,A,1\n").contains("at least two parts"));
    assert!(Study::of(&[], None).is_err());
}

proptest! {
    #[test]
    fn no_text_panics(text in "(?s).{0,200}", rows in "([a-c],[xy],[0-9.,;-]{0,5}\n){0,12}") {
        read_csv(&text, Unit::Inch);
        let reported = read_csv(format!("part,operator,value\n{rows}"), Unit::Millimetre);
        Study::of(&reported.value, Some(Length::ZERO)).ok();
    }

    /// The variances add up, whatever was read, and moving every reading alike changes nothing.
    #[test]
    fn the_components_add_up(values in prop::collection::vec(-1_000_000_i64..1_000_000, 18), by in -1_000_000_000_i64..1_000_000_000) {
        let readings = |by: i64| -> Vec<Reading> {
            values.iter().enumerate().map(|(i, v)| Reading {
                part: (i % 3).to_string(),
                operator: (i / 3 % 2).to_string(),
                trial: String::new(),
                value: Length::from_tenths_of_nm(v + by),
            }).collect()
        };
        let study = Study::of(&readings(0), None).unwrap();
        let moved = Study::of(&readings(by), None).unwrap();
        let square = |c: Component| c.deviation_mm * c.deviation_mm;
        let sum = square(study.repeatability) + square(study.reproducibility.unwrap()) + square(study.part);
        prop_assert!((sum - square(study.total)).abs() <= 1e-12 * sum.max(1e-12));
        prop_assert!((study.total.deviation_mm - moved.total.deviation_mm).abs() <= 1e-9 * study.total.deviation_mm + 1e-12);
    }
}
