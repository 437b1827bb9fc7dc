//! Marks: a careful student gets all points, and each way of going wrong is named.

use proptest::prelude::*;

use super::super::exercise::{Exercise, Task};
use super::super::gauge::{Placing, Zero};
use super::super::random::Random;
use super::*;
use records::record::schema::{Disposition, Reading};

/// How one reading is taken, given its station, its axis and how it should be taken.
type Hand<'a> = &'a dyn Fn(&str, &str, Placing) -> Placing;

/// Fills the sheet of the first cylinder by measuring its bore.
fn measured(exercise: &Exercise, zero: Zero, hand: Hand<'_>) -> EngineRecord {
    let mut random = Random::new(exercise.seed ^ 0xabc);
    let (task, shape) = exercise.bores[0];
    assert_eq!(task, Task::Measure);
    let mut record = exercise.record.clone();
    for (index, station) in exercise.limits.stations.iter().enumerate() {
        let depth = shape.frame.depth_of(&exercise.limits, index).unwrap();
        for axis in exercise.limits.axes.iter().filter(|axis| !axis.optional) {
            let placing = Placing { depth, degrees: axis.degrees, ..Placing::default() };
            let placing = hand(&station.name, &axis.label, placing);
            let scatter = random.scatter(exercise.gauge.scatter);
            let shown = exercise.gauge.shows(&shape, zero, placing, scatter);
            record.overhauls[0].cylinders[0].readings.push(Reading {
                station: station.name.clone(),
                axis: axis.label.clone(),
                gauge: None,
                entered: vec![exercise.gauge.typed(shown.nearest)],
                confirmed: String::new(),
            });
        }
    }
    record
}

fn rightly(_: &str, _: &str, placing: Placing) -> Placing {
    placing
}

fn first(record: &EngineRecord, exercise: &Exercise) -> Mark {
    let reported = mark(record, &exercise.key);
    assert_eq!(reported.diagnostics, []);
    reported.value.into_iter().next().unwrap()
}

fn answer(record: &mut EngineRecord, index: usize, text: &str) {
    record.overhauls[0].cylinders[index].remarks.push_str(text);
}

#[test]
fn a_careful_student_gets_every_point() {
    for seed in 0..200 {
        let exercise = Exercise::new(seed).unwrap();
        let mut record = measured(&exercise, Zero::on(exercise.ring), &rightly);
        for (index, keyed) in exercise.key.answers.iter().enumerate() {
            match &keyed.answer {
                Answer::Sheet { .. } => {}
                Answer::Figures(names) if names.is_empty() => answer(&mut record, index, "none"),
                Answer::Figures(names) => answer(&mut record, index, &names.join(" and ")),
                Answer::Outcome(decision) => {
                    record.overhauls[0].cylinders[index].disposition = Some(Disposition {
                        decision: decision.clone(),
                        by: "a student".to_owned(),
                        reason: String::new(),
                    });
                }
                Answer::Slip(slip) => {
                    let words = slip.what.words();
                    answer(
                        &mut record,
                        index,
                        &format!("station {}, {}, {words}", slip.station, slip.axes[0]),
                    );
                }
                Answer::Taper { rule, figure } => {
                    let letter = ["a", "b", "c", "d", "e"]
                        [TaperRule::ALL.iter().position(|known| known == rule).unwrap()];
                    answer(&mut record, index, &format!("({letter}) {figure}"));
                }
            }
        }
        let reported = mark(&record, &exercise.key);
        assert_eq!(reported.diagnostics, [], "seed {seed}");
        let (points, of) = total(&reported.value);
        assert_eq!((points, of), (16, 16), "seed {seed}: {:#?}", reported.value);
    }
}

/// Issue's own words, with D5's geometry: a gauge tilted by 2 degrees at one station.
#[test]
fn a_tilted_gauge_is_named_with_its_angle() {
    let exercise = Exercise::new(5).unwrap();
    let hand = |station: &str, axis: &str, placing: Placing| {
        let tilt_degrees = if (station, axis) == ("C", "thrust") { 2.0 } else { 0.0 };
        Placing { tilt_degrees, ..placing }
    };
    let mark = first(&measured(&exercise, Zero::on(exercise.ring), &hand), &exercise);
    assert_eq!((mark.points, mark.out_of), (7, 8));
    let words = mark.words.join("\n");
    assert!(words.contains("Station C, thrust axis") && words.contains("tilted about 2 degrees"), "{words}");
    assert_eq!(mark.words.len(), 1, "{words}");
}

/// D6's geometry: 0.05 in off the centre of a 5 in bore reads 0.0010 in low.
#[test]
fn a_gauge_off_centre_is_named_with_its_distance() {
    let exercise = Exercise::new(5).unwrap();
    let hand = |station: &str, axis: &str, placing: Placing| {
        let tenths = if (station, axis) == ("B", "pin") { 12_700_000 } else { 0 };
        Placing { off_centre: Length::from_tenths_of_nm(tenths), ..placing }
    };
    let mark = first(&measured(&exercise, Zero::on(exercise.ring), &hand), &exercise);
    let words = mark.words.join("\n");
    assert!(words.contains("Station B, pin axis: 0.00"), "{words}");
    assert!(words.contains("low, as") && words.contains("stands about 0.05 in off the centre"), "{words}");
}

#[test]
fn a_gauge_that_was_never_set_is_told_once() {
    for seed in 0..20 {
        let exercise = Exercise::new(seed).unwrap();
        let zero = Zero::not_set(exercise.ring, &exercise.gauge, &mut Random::new(seed));
        let mark = first(&measured(&exercise, zero, &rightly), &exercise);
        assert_eq!((mark.points, mark.words.len()), (0, 1), "seed {seed}: {mark:?}");
        assert!(mark.words[0].contains("not been set on its ring"), "{mark:?}");
    }
}

#[test]
fn slips_of_the_hand_are_named() {
    let exercise = Exercise::new(5).unwrap();
    let right = measured(&exercise, Zero::on(exercise.ring), &rightly);
    let words = |change: &dyn Fn(&mut Vec<Reading>)| {
        let mut record = right.clone();
        change(&mut record.overhauls[0].cylinders[0].readings);
        first(&record, &exercise).words.join("\n")
    };
    let inch = |text: &str| Length::parse(text, quantities::length::Unit::Inch).unwrap().length;
    let shift = |readings: &mut Vec<Reading>, at: usize, by: &str| {
        let moved = inch(&readings[at].entered[0]) + inch(by);
        readings[at].entered[0] = exercise.gauge.typed(moved);
    };
    let found = words(&|readings| shift(readings, 2, "0.0100"));
    assert!(found.contains("a whole turn of the dial"), "{found}");
    let found = words(&|readings| shift(readings, 2, "0.0900"));
    assert!(found.contains("more than any usual slip"), "{found}");
    let found = words(&|readings| readings.truncate(3));
    assert!(found.contains("Not measured: station B, thrust axis; station C"), "{found}");
    let found = words(&|readings| readings.clear());
    assert_eq!(found, "Nothing has been measured.");
    let found = words(&|readings| {
        for reading in readings {
            reading.entered[0] = exercise.gauge.typed(-inch(&reading.entered[0]));
        }
    });
    assert!(found.contains("Every reading has the wrong sign"), "{found}");
}

#[test]
fn answers_are_read_leniently_and_marked_fairly() {
    let tokens = |text: &'static str| text.split([' ', ',']).filter(|t| !t.is_empty()).collect::<Vec<_>>();
    assert!(names_station(&tokens("at Station c, thrust"), "C"));
    assert!(!names_station(&tokens("a turn at station C"), "A"));
    assert!(names_station(&tokens("C thrust, a turn"), "C"));
    assert!(!names_station(&tokens("C thrust, a turn"), "A"));
    assert!(names_station(&tokens("Top of travel, pin"), "top of travel"));
    assert_eq!(chosen_rule(&["B", "0.0014"]), Some(TaperRule::PerAxisEnds));
    assert_eq!(chosen_rule(&["allreadings"]), Some(TaperRule::AllReadings));
    assert_eq!(
        [0.3, 1.0, 1.6, 2.1].map(degrees_words),
        ["0.5 degrees", "1 degree", "1.5 degrees", "2 degrees"]
    );
}

#[test]
fn a_smaller_oversize_than_is_certain_gets_half() {
    let rebored = (0..50).map(|seed| Exercise::new(seed).unwrap()).find(|exercise| {
        let size = Size::Oversize("0.015".to_owned());
        exercise.key.answers[2].answer == Answer::Outcome(Decision::Rebore(size))
    });
    let exercise = rebored.unwrap();
    let choose = |decision| {
        let mut record = exercise.record.clone();
        let by = "a student".to_owned();
        record.overhauls[0].cylinders[2].disposition =
            Some(Disposition { decision, by, reason: String::new() });
        mark(&record, &exercise.key).value[2].clone()
    };
    let over = |text: &str| Decision::Rebore(Size::Oversize(text.to_owned()));
    let small = choose(over("0.010"));
    assert_eq!(small.points, 1);
    assert!(small.words[1].contains("one side"), "{small:?}");
    assert_eq!(choose(over("0.0150 in")).points, 2);
    assert_eq!(choose(over("0.020")).points, 1);
    assert_eq!(choose(Decision::Replace).points, 0);
    assert_eq!(choose(over("much")).points, 0);
}

#[test]
fn a_key_of_another_exercise_is_refused() {
    let reported = mark(&Exercise::new(1).unwrap().record, &Exercise::new(2).unwrap().key);
    assert!(reported.value.is_empty());
    assert!(reported.diagnostics[0].to_string().contains("PRACTICE-2"), "{}", reported.diagnostics[0]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn nothing_that_is_written_panics(
        entered in prop::collection::vec("[-+]?[0-9]{0,3}[.,]?[0-9]{0,5}( mm)?", 8), remarks in ".{0,60}",
        diameter in "[0-9.,-]{0,12}", what in 0_usize..6,
    ) {
        let exercise = Exercise::new(3).unwrap();
        let mut record = measured(&exercise, Zero::on(exercise.ring), &rightly);
        let readings = record.overhauls[0].cylinders[0].readings.iter_mut();
        for (reading, text) in readings.zip(&entered) {
            reading.entered[0].clone_from(text);
        }
        for index in 0..5 {
            answer(&mut record, index, &remarks);
        }
        let mut key = exercise.key.clone();
        for keyed in &mut key.answers {
            match &mut keyed.answer {
                Answer::Sheet { ring, cells } => {
                    ring.clone_from(&diameter);
                    cells[what].diameter.clone_from(&diameter);
                    cells[what + 1].station.clone_from(&remarks);
                }
                Answer::Slip(slip) => slip.station.clone_from(&remarks),
                Answer::Taper { figure, .. } => figure.clone_from(&diameter),
                _ => {}
            }
        }
        let reported = mark(&record, &key);
        let (points, of) = total(&reported.value);
        prop_assert!(points <= of);
    }
}
