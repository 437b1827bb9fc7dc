//! Exercises: the same from the same seed, true to their key, and never the product's worry.

use proptest::prelude::*;

use super::tasks::beyond;
use super::*;
use crate::gauge::{Placing, Zero};
use crate::key::SlipName;
use judging::Recommendation;
use records::file;
use records::limits::schema::TaperRule;
use records::limits::validate::validate;
use records::record::schema::Decision;
use records::record::{check, resolve};

fn exercise(seed: u64) -> Exercise {
    Exercise::new(seed).unwrap()
}

#[test]
fn the_practice_table_is_sound() {
    let reported = validate(&table());
    assert!(reported.iter().all(|reported| !reported.is_error()), "{reported:?}");
    assert!(table().source.is_illustrative());
}

#[test]
fn a_seed_gives_the_same_exercise_and_another_seed_another() {
    let (first, again, other) = (exercise(41), exercise(41), exercise(42));
    assert_eq!((&first.record, &first.key), (&again.record, &again.key));
    assert_ne!(first.key.answers, other.key.answers);
}

/// What seed 1 gave when this version of the exercises was made. If this fails, [`VERSION`] must change.
#[test]
fn seed_one_is_what_it_was() {
    let one = exercise(1);
    let slip = one.key.answers.iter().find_map(|keyed| match &keyed.answer {
        Answer::Slip(slip) => Some(slip.clone()),
        _ => None,
    });
    let slip = slip.unwrap();
    assert_eq!(VERSION, 1);
    assert_eq!(
        (slip.what, slip.station.as_str(), slip.repeat, slip.reads.as_str(), slip.intended.as_str()),
        SEED_ONE
    );
}

const SEED_ONE: (SlipName, &str, Option<usize>, &str, &str) =
    (SlipName::Tilted, "B", Some(2), "5.1317 in", "5.1302 in");

/// The record is read and judged like any other, and its key reads back from its file.
#[test]
fn the_record_and_its_key_are_sound_files() {
    for seed in 0..20 {
        let exercise = exercise(seed);
        let text = file::to_ron(&exercise.record).unwrap();
        let reported = file::record_from_text(&text, None);
        assert_eq!(reported.diagnostics, [], "seed {seed}");
        let record = reported.value.unwrap();
        let reported = resolve::survey(&record, 0, None);
        assert_eq!(reported.diagnostics, [], "seed {seed}");
        let errors: Vec<_> = check::check(&record).into_iter().filter(Diagnostic::is_error).collect();
        assert_eq!(errors, [], "seed {seed}");
        let text = file::to_ron(&exercise.key).unwrap();
        let reported = file::from_text::<PracticeKey>(&text, None);
        assert_eq!(reported.diagnostics, [], "seed {seed}");
        assert_eq!(reported.value.unwrap(), exercise.key);
    }
}

/// What the key says is what the whole product says of the record, and every kind of task is met.
#[test]
fn the_key_agrees_with_the_judging_of_the_record() {
    let (mut outcomes, mut figures, mut rules, mut slips) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for seed in 0..120 {
        let exercise = exercise(seed);
        let survey = resolve::survey(&exercise.record, 0, None).value.unwrap();
        let judged = |index: usize| judging::judge(&survey.cylinders[index], &survey.limits, survey.setup());
        for (index, keyed) in exercise.key.answers.iter().enumerate() {
            match &keyed.answer {
                Answer::Figures(names) => {
                    let found: Vec<_> = beyond(&judged(index)).map(|kind| kind.words().to_owned()).collect();
                    assert_eq!(&found, names, "seed {seed}");
                    assert!(found.len() < 2, "seed {seed}: {found:?}");
                    figures.push(names.first().cloned().unwrap_or_default());
                }
                Answer::Outcome(decision) => {
                    let found = judged(index).recommendation;
                    let expected = match decision {
                        Decision::Serviceable => Recommendation::Serviceable,
                        Decision::Replace => Recommendation::Replace,
                        Decision::Rebore(size) => Recommendation::Rebore(
                            survey.limits.sizes.iter().position(|row| row.size == *size).unwrap(),
                        ),
                    };
                    assert_eq!(found, expected, "seed {seed}");
                    outcomes.push(found.words(&survey.limits));
                }
                Answer::Slip(slip) => {
                    slips.push(slip.what);
                    let inch = |text: &str| Length::parse(text, Unit::Inch).unwrap().length;
                    assert!(
                        (inch(&slip.reads) - inch(&slip.intended)).abs() >= exercise.gauge.graduation * 8
                    );
                }
                Answer::Taper { rule, .. } => rules.push(*rule),
                Answer::Sheet { cells, .. } => {
                    assert_eq!(cells.len(), 16, "seed {seed}");
                    assert!(survey.cylinders[index].bore.is_empty());
                }
            }
        }
    }
    for name in ["bore", "taper", "out-of-round", "step", ""] {
        assert!(figures.iter().any(|found| found == name), "no exercise on {name}");
    }
    for words in ["serviceable", "rebore to +0.010 in", "replace"] {
        assert!(outcomes.iter().any(|found| found == words), "no exercise on {words}: {outcomes:?}");
    }
    assert!(SlipName::ALL.iter().all(|kind| slips.contains(kind)), "{slips:?}");
    assert!(TaperRule::ALL.iter().all(|rule| rules.contains(rule)));
}

/// The truth in the key is what a gauge without scatter reads in the bore of the exercise.
#[test]
fn the_key_of_a_sheet_is_the_bore_itself() {
    let exercise = exercise(9);
    let (_, shape) = exercise.bores[0];
    let Answer::Sheet { cells, .. } = &exercise.key.answers[0].answer else { panic!("no sheet") };
    for cell in cells {
        let station = exercise.limits.station_index(&cell.station).unwrap();
        let axis = exercise.limits.axis_index(&cell.axis).unwrap();
        let depth = shape.frame.depth_of(&exercise.limits, station).unwrap();
        let placing = Placing { depth, degrees: exercise.limits.axes[axis].degrees, ..Placing::default() };
        let shown = exercise.gauge.shows(&shape, Zero::on(exercise.ring), placing, Length::ZERO);
        let truth = Length::parse(&cell.diameter, Unit::Inch).unwrap().length;
        assert_eq!(exercise.gauge.diameter(shown.stands_at, exercise.ring), truth);
    }
}

/// Any sound table serves: millimetres, depths from the base end, a blank limit, one axis pair only.
#[test]
fn other_tables_serve_as_well() {
    let mut table = table();
    table.unit = Unit::Millimetre;
    table.step = None;
    table.out_of_round.as_mut().unwrap().serviceable = None;
    table.axes.retain(|axis| !axis.optional);
    table.bore.truncate(1);
    table.bore[0].new = ("320.000".into(), "320.057".into());
    table.bore[0].serviceable = None;
    for seed in 0..10 {
        let exercise = Exercise::by(seed, table.clone()).unwrap();
        assert_eq!(exercise.record.overhauls[0].cylinders.len(), 5);
    }
    table.bore.clear();
    assert!(Exercise::by(1, table).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn no_seed_panics(seed in any::<u64>()) {
        let exercise = exercise(seed);
        prop_assert_eq!(exercise.key.answers.len(), Task::ALL.len());
        // A key is not given away by the record.
        let text = file::to_ron(&exercise.record).unwrap();
        let has_key = text.contains("meant:") || text.contains("working");
        prop_assert!(!has_key);
    }
}
