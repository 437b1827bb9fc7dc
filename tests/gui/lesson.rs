//! The Lesson, driven by its accessible names: a knob and its figure, the gauge, an exercise, a study.

use std::path::Path;

use classroom::exercise::{Exercise, Task};
use classroom::gauge::{Placing, Zero};
use classroom::key::{Answer, PracticeKey};
use classroom::mark;
use eframe::egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use records::file;
use records::limits::schema::TaperRule;
use records::record::entry::MeasuringOrder;
use records::record::schema::{Decision, EngineRecord};
use window::App;
use window::lesson::LessonPart;

use crate::harness::{ctrl, demo, document, press, sized, type_text, window};

/// The Lesson at a part, without a record.
fn lesson(part: LessonPart) -> Harness<'static, App> {
    let mut harness = window(None, None);
    press(&mut harness, Key::F10);
    go(&mut harness, part.words());
    harness
}

fn go(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click_accesskit();
    harness.run();
}

/// Types into a field of a name, over what stands there.
fn fill(harness: &mut Harness<'_, App>, name: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, name).focus();
    harness.run();
    ctrl(harness, Key::A);
    type_text(harness, text);
}

/// Moves a knob by so many presses of a key.
fn turn(harness: &mut Harness<'_, App>, knob: &str, key: Key, times: usize) {
    harness.get_by_role_and_label(Role::Slider, knob).focus();
    harness.run();
    for _ in 0..times {
        press(harness, key);
    }
}

#[test]
fn the_lesson_needs_no_record_and_leads_back() {
    let mut harness = window(None, None);
    go(&mut harness, "Classroom F10");
    harness.get_by_label("A lesson of twenty minutes");
    go(&mut harness, "Start page");
    harness.get_by_label("Demo engines");
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F10);
    harness.get_by_label("A lesson of twenty minutes");
    press(&mut harness, Key::F2);
    assert!(harness.query_by_label("A lesson of twenty minutes").is_none());
}

#[test]
fn a_knob_changes_the_figure_the_outcome_and_every_drawing() {
    let mut harness = lesson(LessonPart::Shapes);
    harness.get_by_label("Serviceable");
    assert!(harness.query_all_by_label_contains("0.0020 in").next().is_none());
    turn(&mut harness, "Taper", Key::ArrowRight, 20);
    harness.get_by_label("0.0005 over");
    let said = harness.get_all_by_label_contains("0.0020 in").count();
    assert!(said > 5, "five rules and the drawing of taper: {said}");
    assert!(harness.query_by_label("Serviceable").is_none());
    harness.get_by_label_contains("Taper, cylinder of the lesson: Taper");
}

#[test]
fn an_example_says_what_to_look_for_and_the_wall_shows_what_a_gauge_cannot() {
    let mut harness = lesson(LessonPart::Plan);
    go(&mut harness, "Three lobes");
    harness.get_by_label_contains("the diameters read differ by 0.0000 in");
    harness.get_by_label_contains("Deviations drawn");
    press(&mut harness, Key::ArrowRight);
    harness.get_by_label_contains("Section at station B");
    press(&mut harness, Key::Escape);
    harness.get_by_label("A lesson of twenty minutes");
    go(&mut harness, "Shapes");
    harness.get_by_label_contains("no gauge with two contacts can see it");
}

#[test]
fn an_oval_between_the_axes_is_found_on_four_axes() {
    let mut harness = lesson(LessonPart::Plan);
    go(&mut harness, "Between the axes");
    harness.get_by_label_contains("the diameters read differ by 0.0000 in");
    press(&mut harness, Key::Escape);
    go(&mut harness, "Shapes");
    harness.get_by_label("Read on the optional axes too").click_accesskit();
    harness.run();
    assert!(harness.query_by_label_contains("the diameters read differ by 0.0000 in").is_none());
}

/// What the long hand of the dial is said to point at.
fn hand(harness: &Harness<'_, App>) -> String {
    let dial = harness.get_by_label_contains("Dial, read it");
    dial.accesskit_node().label().expect("a name")
}

#[test]
fn a_tilted_gauge_reads_higher_and_its_name_gives_no_number_away() {
    let mut harness = lesson(LessonPart::Plan);
    go(&mut harness, "With its stand told");
    go(&mut harness, "Set it on the ring");
    go(&mut harness, "Make it square and central");
    harness.get_by_label("Tilted 0.0 degrees, 0.0000 in off the centre.");
    let square = hand(&harness);
    // At the unworn station of this example, the bore is the ring's size: the hand stands at zero.
    assert!(square.contains("at the top"), "{square}");
    assert!(!square.chars().any(|c| c.is_ascii_digit()), "{square}");
    // 2 degrees on 5.125 in: 0.0031 in high, thirty-one of the hundred lines.
    turn(&mut harness, "Rock", Key::ArrowRight, 20);
    harness.get_by_label("Tilted 2.0 degrees, 0.0000 in off the centre.");
    let tilted = hand(&harness);
    assert!(tilted.contains("at the lower right") || tilted.contains("at the right"), "{tilted}");
    assert!(tilted.contains("between zero and one turn clockwise"), "{tilted}");
    turn(&mut harness, "Rock", Key::ArrowLeft, 20);
    // Off centre by 0.1 in: 0.0039 in low.
    turn(&mut harness, "Move across", Key::ArrowRight, 20);
    let low = hand(&harness);
    assert!(low.contains("anticlockwise"), "{low}");
}

#[test]
fn a_reading_is_typed_into_the_practice_sheet_and_compared_with_the_truth() {
    let mut harness = lesson(LessonPart::Plan);
    go(&mut harness, "With its stand told");
    go(&mut harness, "Set it on the ring");
    harness.get_by_role_and_label(Role::TextInput, "Deviation from the ring").focus();
    harness.run();
    type_text(&mut harness, "zero");
    press(&mut harness, Key::Enter);
    harness.get_by_label_contains("is not a length");
    fill(&mut harness, "Deviation from the ring", "+0.0031");
    press(&mut harness, Key::Enter);
    harness.get_by_label("Station A, pin axis: +0.0031");
    go(&mut harness, "Check my readings");
    harness.get_by_label_contains("as a gauge does that is tilted about 2 degrees");
}

/// What a careful student reads in the first task's cells, in measuring order of the sheet.
fn careful(exercise: &Exercise) -> Vec<String> {
    let shape = exercise.bores.first().expect("a bore").1;
    let mut read = Vec::new();
    let limits = &exercise.limits;
    let cells = MeasuringOrder::default().cells(limits);
    for at in cells.into_iter().filter(|at| limits.required_axes.contains(&at.axis)) {
        let depth = shape.frame.depth_of(limits, at.station).expect("a station");
        let placing = Placing { depth, degrees: limits.axes[at.axis].degrees, ..Placing::default() };
        let shown = exercise.gauge.shows(&shape, Zero::on(exercise.ring), placing, Default::default());
        read.push(exercise.gauge.typed(shown.nearest));
    }
    read
}

/// The letter that the question gives a rule.
fn letter(rule: TaperRule) -> char {
    let index = TaperRule::ALL.iter().position(|other| *other == rule).expect("a rule");
    ['a', 'b', 'c', 'd', 'e'][index]
}

fn slip_answer(harness: &mut Harness<'_, App>, exercise: &Exercise) {
    let Some(Answer::Slip(slip)) = exercise.key.answers.get(3).map(|keyed| keyed.answer.clone()) else {
        panic!("the fourth task is the slip");
    };
    let axis = format!("{} axis", slip.axes[0]);
    for (box_name, choice) in [
        ("Station", format!("Station {}", slip.station)),
        ("Axis", axis),
        ("What went wrong", slip.what.words().to_owned()),
    ] {
        harness.get_by_role_and_label(Role::ComboBox, box_name).click_accesskit();
        harness.run();
        harness.get_by_role_and_label(Role::Button, &choice).click_accesskit();
        harness.run();
    }
}

/// A whole exercise in the window, saved, and marked by the same core that the command line has.
#[test]
fn an_exercise_is_done_end_to_end_and_marked() {
    let folder = tempfile::tempdir().expect("a folder");
    let exercise = Exercise::new(7).expect("sound");
    let mut harness = lesson(LessonPart::Exercises);
    harness.get_by_label("No exercise open");
    fill(&mut harness, "Seed number", "7");
    go(&mut harness, "Draw the exercise");
    fill(&mut harness, "Your name", "R. Student");

    go(&mut harness, "To the gauge in this bore");
    go(&mut harness, "Set it on the ring");
    for text in careful(&exercise) {
        fill(&mut harness, "Deviation from the ring", &text);
        press(&mut harness, Key::Enter);
    }
    go(&mut harness, "Back to the exercise");
    harness.get_by_label("8 of 8 places measured.");

    go(&mut harness, "2. Find which figure is out");
    let Some(Answer::Figures(names)) = exercise.key.answers.get(1).map(|k| k.answer.clone()) else {
        panic!()
    };
    go(&mut harness, names.first().map_or("none", String::as_str));
    go(&mut harness, "3. Choose the outcome");
    let Some(Answer::Outcome(decision)) = exercise.key.answers.get(2).map(|k| k.answer.clone()) else {
        panic!()
    };
    let words = match &decision {
        Decision::Serviceable => "serviceable".to_owned(),
        Decision::Replace => "replace".to_owned(),
        Decision::Rebore(size) => {
            let row = exercise.limits.sizes.iter().find(|row| row.size == *size).expect("a size");
            format!("rebore to {}", row.name)
        }
    };
    go(&mut harness, &words);
    go(&mut harness, "4. Spot the slip");
    slip_answer(&mut harness, &exercise);
    go(&mut harness, "5. Choose the taper rule");
    let Some(Answer::Taper { rule, figure }) = exercise.key.answers.get(4).map(|k| k.answer.clone()) else {
        panic!()
    };
    go(&mut harness, &format!("({}) {}", letter(rule), rule.words()));
    fill(&mut harness, "The taper by it, in", &figure);

    harness.get_by_label("5 of 5 tasks answered.");
    let path = folder.path().join("handed-in.ron");
    fill(&mut harness, "Record's file", &path.display().to_string());
    go(&mut harness, "Save the record");
    go(&mut harness, "Hand it in");
    go(&mut harness, "Mark it and open the key");
    harness.get_by_label("16 of 16 points");
    harness.get_by_label("Working");

    // What was saved is what the command line marks.
    let record: EngineRecord = file::load_record(&path).value.expect("a record");
    assert_eq!(record.overhauls[0].inspector.name, "R. Student");
    let key: &PracticeKey = &exercise.key;
    assert_eq!(mark::total(&mark::mark(&record, key).value), (16, 16));
    assert_eq!(exercise.bores[0].0, Task::Measure);
}

#[test]
fn a_slip_named_wrongly_is_told_with_its_working() {
    let mut harness = lesson(LessonPart::Exercises);
    fill(&mut harness, "Seed number", "1");
    go(&mut harness, "Draw the exercise");
    go(&mut harness, "4. Spot the slip");
    // Seed 1 holds a tilted gauge at station B.
    for (name, choice) in [("Station", "Station B"), ("What went wrong", "two digits swapped")] {
        harness.get_by_role_and_label(Role::ComboBox, name).click_accesskit();
        harness.run();
        harness.get_by_role_and_label(Role::Button, choice).click_accesskit();
        harness.run();
    }
    go(&mut harness, "Hand it in");
    go(&mut harness, "Mark it and open the key");
    harness.get_by_label("1 of 3 points");
    harness.get_by_label("Station: right.");
    harness.get_by_label("What went wrong: not found.");
    assert!(harness.query_all_by_label_contains("the gauge tilted").next().is_some());
}

#[test]
fn an_answer_undone_is_gone_from_the_screen_too() {
    let mut harness = lesson(LessonPart::Exercises);
    fill(&mut harness, "Seed number", "1");
    go(&mut harness, "Draw the exercise");
    go(&mut harness, "4. Spot the slip");
    harness.get_by_role_and_label(Role::ComboBox, "Station").click_accesskit();
    harness.run();
    harness.get_by_role_and_label(Role::Button, "Station B").click_accesskit();
    harness.run();
    harness.get_by_label("1 of 5 tasks answered.");
    ctrl(&mut harness, Key::Z);
    harness.get_by_label("0 of 5 tasks answered.");
    let station = harness.get_by_role_and_label(Role::ComboBox, "Station");
    assert_eq!(station.accesskit_node().value(), Some("which".to_owned()));
}

#[test]
fn a_question_of_the_record_is_put_before_the_record() {
    let mut harness = crate::harness::demo("Wexcombe Six");
    press(&mut harness, Key::F10);
    go(&mut harness, "File");
    go(&mut harness, "Take readings from a file");
    harness.get_by_label("File path");
    press(&mut harness, Key::Escape);
    press(&mut harness, Key::F3);
    assert_eq!(crate::harness::document(&harness).place, window::Place::Bore);
}

#[test]
fn a_saved_exercise_is_gone_on_with_and_undone() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("practice-3.ron");
    let mut harness = lesson(LessonPart::Exercises);
    fill(&mut harness, "Seed number", "3");
    go(&mut harness, "Draw the exercise");
    go(&mut harness, "2. Find which figure is out");
    go(&mut harness, "taper");
    fill(&mut harness, "Record's file", &path.display().to_string());
    ctrl(&mut harness, Key::S);
    assert!(path.exists());

    let mut harness = lesson(LessonPart::Exercises);
    fill(&mut harness, "or go on with", &path.display().to_string());
    go(&mut harness, "Open it");
    harness.get_by_label("1 of 5 tasks answered.");
    go(&mut harness, "2. Find which figure is out");
    go(&mut harness, "bore");
    ctrl(&mut harness, Key::Z);
    let taper = harness.get_by_role_and_label(Role::RadioButton, "taper");
    assert_eq!(taper.accesskit_node().toggled(), Some(eframe::egui::accesskit::Toggled::True));
}

/// Two places, two people, twice each, worked by hand beside the study itself: repeatability is the root of 2.
#[test]
fn a_study_is_pasted_worked_out_and_stored_for_a_gauge_of_the_record() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F10);
    go(&mut harness, LessonPart::Study.words());
    harness.get_by_label("The result stands here");
    harness.get_by_role_and_label(Role::TextInput, "Place 1, A, repeat 1").focus();
    harness.run();
    harness.event(eframe::egui::Event::Paste("0\t2\t3\t5\n4\t6\t3\t5\n".to_owned()));
    harness.run();
    harness.get_by_label_contains("standard deviation of 1.414214 in");
    harness.get_by_label_contains("By person, in: A mean");
    go(&mut harness, "Store as this gauge's repeatability");
    harness.get_by_label("Stored as this gauge's repeatability.");
    let overhaul = document(&harness).session.overhaul().expect("an overhaul");
    let stored = overhaul.gauges[0].repeatability.clone().expect("stored");
    assert_eq!(stored.standard_deviation, "35.9210245 mm");
    assert_eq!(document(&harness).session.undo_label(), Some("gauges"));
}

#[test]
fn a_study_is_read_from_a_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("study.csv");
    let rows =
        "part,operator,trial,value\na,x,1,0\na,x,2,2\na,y,1,3\na,y,2,5\nb,x,1,4\nb,x,2,6\nb,y,1,3\nb,y,2,5\n";
    std::fs::write(&file, rows).expect("written");
    let mut harness = lesson(LessonPart::Study);
    fill(&mut harness, "From a table (.csv)", &file.display().to_string());
    press(&mut harness, Key::Enter);
    harness.get_by_label_contains("standard deviation of 1.414214 in");
    harness.get_by_label_contains("open the record");
    fill(&mut harness, "From a table (.csv)", &Path::new("/nowhere/study.csv").display().to_string());
    press(&mut harness, Key::Enter);
    assert!(!harness.state().notices().is_empty(), "a table that is not there is told");
}

/// Every control of every part has a name, every target is large enough, and nothing asks for frames.
#[test]
fn every_part_is_named_large_enough_and_rests_at_both_sizes() {
    for (width, height) in [(1024.0, 700.0), (1440.0, 900.0)] {
        let mut harness = sized(width, height, None, None);
        press(&mut harness, Key::F10);
        for part in LessonPart::ALL {
            go(&mut harness, part.words());
            if part == LessonPart::Exercises {
                fill(&mut harness, "Seed number", "7");
                go(&mut harness, "Draw the exercise");
            }
            if part == LessonPart::Study {
                go(&mut harness, "An invented example");
            }
            for role in [
                Role::Button,
                Role::Slider,
                Role::SpinButton,
                Role::TextInput,
                Role::ComboBox,
                Role::CheckBox,
            ] {
                for node in harness.query_all_by_role(role) {
                    let name = node.accesskit_node().label().unwrap_or_default();
                    assert!(!name.trim().is_empty(), "{part:?}: a {role:?} without a name");
                    let high = node.rect().height();
                    let is_seen = node.rect().width() > 0.0;
                    assert!(
                        !is_seen || high >= 28.0 || role == Role::Slider,
                        "{part:?}: {name} is {high} high"
                    );
                }
            }
            harness.run();
            let delay = harness.output().viewport_output.values().map(|output| output.repaint_delay).min();
            assert!(delay.expect("a window") > std::time::Duration::from_secs(60), "{part:?}");
        }
    }
}

#[test]
fn closing_the_window_with_answers_not_saved_is_asked_about() {
    let mut harness = lesson(LessonPart::Exercises);
    fill(&mut harness, "Seed number", "3");
    go(&mut harness, "Draw the exercise");
    close(&mut harness);
    assert!(
        harness.query_by_label_contains("has changes that are not saved").is_none(),
        "nothing is filled in"
    );
    go(&mut harness, "2. Find which figure is out");
    go(&mut harness, "taper");
    close(&mut harness);
    harness.get_by_label_contains("has changes that are not saved");
    go(&mut harness, "Back to the record");
    assert!(harness.state().lesson().record().is_some());
    close(&mut harness);
    // A window that is closing asks for frames until it is gone.
    harness.get_by_label("Don't save").click_accesskit();
    harness.run_steps(4);
    assert!(harness.state().lesson().record().is_none());
}

/// Asks the window to close, as its frame does.
fn close(harness: &mut Harness<'_, App>) {
    let id = harness.ctx.viewport_id();
    let viewport = harness.input_mut().viewports.entry(id).or_default();
    viewport.events.push(eframe::egui::ViewportEvent::Close);
    harness.step();
    harness.input_mut().viewports.entry(id).or_default().events.clear();
    harness.run();
}
