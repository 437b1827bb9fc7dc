//! The places around the sheet: outcome, walkround, fits, limits. What is entered in each is judged at once.

use eframe::egui::{Key, Modifiers, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use judging::Recommendation;
use judging::row::RowStatus;
use records::limits::rows::RowName;
use records::limits::schema::{FindingKind, Size};
use records::record::schema::Decision;
use window::App;

use crate::harness::{self, ctrl, cylinder, demo, document, press, sized, type_text};

/// Puts the cursor into a field by its name, and a text in place of what it holds.
fn fill(harness: &mut Harness<'_, App>, field: &str, text: &str) {
    harness.get_by_role_and_label(Role::TextInput, field).focus();
    harness.run();
    ctrl(harness, Key::A);
    press(harness, Key::Backspace);
    type_text(harness, text);
}

fn click(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click_accesskit();
    harness.run();
}

fn outcome(harness: &Harness<'_, App>, cylinder: usize) -> Recommendation {
    document(harness).session.evaluation().assessments[cylinder].recommendation
}

#[test]
fn a_finding_changes_the_outcome_at_once_and_undo_takes_it_back() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F5);
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
    click(&mut harness, "Add: pitted wall");
    // Its depth is wanted first.
    assert_eq!(outcome(&harness, 0), Recommendation::NotDecided);
    // The cursor stands in the new finding.
    type_text(&mut harness, "below the exhaust port");
    fill(&mut harness, "pitted wall, finding 1 of cylinder 1: depth", "0.0010");
    let finding = cylinder(&harness).findings[0].clone();
    assert_eq!((finding.kind, finding.place.as_str()), (FindingKind::Pitted, "below the exhaust port"));
    assert_eq!(finding.depth.as_deref(), Some("0.0010"));
    assert!(!finding.by.is_empty());
    assert!(matches!(outcome(&harness, 0), Recommendation::Rebore(_)));
    harness.get_by_label_contains("the wall has to be cut to below it");
    for _ in 0..10 {
        ctrl(&mut harness, Key::Z);
    }
    assert!(cylinder(&harness).findings.is_empty());
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
}

#[test]
fn a_crack_condemns_and_can_be_taken_away() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F5);
    click(&mut harness, "Add: crack in the barrel");
    assert_eq!(outcome(&harness, 0), Recommendation::Replace);
    harness.get_by_label_contains("Cylinder 1 (WX-0411): replace");
    click(&mut harness, "crack in the barrel, finding 1 of cylinder 1: take away");
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
}

#[test]
fn a_fin_beyond_what_may_be_dressed_replaces() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F5);
    click(&mut harness, "Add: cracked or broken fin");
    assert_eq!(outcome(&harness, 0), Recommendation::NotDecided);
    let size = "cracked or broken fin, finding 1 of cylinder 1: length or width";
    fill(&mut harness, size, "1.25");
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
    fill(&mut harness, size, "1.26");
    assert_eq!(outcome(&harness, 0), Recommendation::Replace);
}

#[test]
fn nobody_looked_is_no_pass() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F5);
    click(&mut harness, "looked over");
    assert_eq!(outcome(&harness, 0), Recommendation::NotDecided);
    click(&mut harness, "looked over");
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
}

#[test]
fn degrees_that_are_no_number_stay_in_their_field_with_the_reason() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F5);
    click(&mut harness, "Add: scored wall");
    fill(&mut harness, "scored wall, finding 1 of cylinder 1: degrees around the bore", "370");
    assert_eq!(cylinder(&harness).findings[0].degrees, None);
    harness.get_by_label_contains("Write a number from 0 to 360");
    press(&mut harness, Key::Backspace);
    press(&mut harness, Key::Backspace);
    type_text(&mut harness, "15");
    assert_eq!(cylinder(&harness).findings[0].degrees, Some(315.0));
    assert!(harness.query_by_label_contains("Write a number from 0 to 360").is_none());
}

#[test]
fn a_measured_skirt_gives_its_clearance_in_the_bore() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F6);
    let skirt = "piston skirt in bore, cylinder 1: Skirt, largest";
    let fit =
        |harness: &Harness<'_, App>| document(harness).session.evaluation().assessments[0].fits[0].clone();
    fill(&mut harness, skirt, "5.1190");
    // Bored to 0.010 and read up to 5.1378: 0.0188 loose, where 0.0180 may be.
    assert_eq!(fit(&harness).status, RowStatus::Beyond);
    harness.get_by_label_contains("0.0188 in L at the most, 0.0008 in over");
    fill(&mut harness, skirt, "5.1225");
    assert_ne!(fit(&harness).status, RowStatus::Beyond);
    assert_eq!(
        cylinder(&harness).fits.iter().find(|fit| fit.row == "30").unwrap().shaft.as_deref(),
        Some("5.1225")
    );
    fill(&mut harness, skirt, "x");
    harness.get_by_label_contains("is not a length");
}

#[test]
fn a_ring_gap_and_a_weight_are_kept_as_typed() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F6);
    fill(&mut harness, "second ring, cylinder 1: gap", "0.0460");
    let judged = &document(&harness).session.evaluation().assessments[0].fits;
    let gap = judged.iter().find(|row| row.description == "second ring").unwrap();
    assert_eq!(gap.status, RowStatus::Beyond);
    fill(&mut harness, "Piston weight, cylinder 1", "1600 g");
    assert_eq!(cylinder(&harness).piston_weight.as_deref(), Some("1600 g"));
}

#[test]
fn a_limit_edited_the_wrong_way_round_is_remarked_beside_its_row() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    harness.get_by_label_contains("no problems found");
    fill(&mut harness, "bore, standard: as made, least", "5.1280");
    assert!(harness.query_all_by_label_contains("Error: ").next().is_some());
    // By a table that cannot be right nothing is judged: the one that stood is in force.
    harness.get_by_label_contains("Not in force yet");
    assert_eq!(document(&harness).session.table().unwrap().1.bore[0].new.0.text, "5.1250");
    assert!(document(&harness).session.evaluation().limits().is_some());
    ctrl(&mut harness, Key::Z);
    assert!(harness.query_by_label_contains("Not in force yet").is_none());
    harness.get_by_label_contains("no problems found");
    assert_eq!(document(&harness).session.table().unwrap().1.bore[0].new.0.text, "5.1250");
}

#[test]
fn a_row_is_added_and_taken_away_and_each_choice_is_a_step_of_its_own() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    let rows = |harness: &Harness<'_, App>| document(harness).session.table().unwrap().1.bore.len();
    let before = rows(&harness);
    // A size that a part is made for cannot go: what is for it goes first.
    let piston = |harness: &Harness<'_, App>| {
        let table = document(harness).session.table().unwrap().1;
        table.parts.iter().position(|part| part.size == Some(Size::Oversize("0.020".to_owned())))
    };
    while let Some(index) = piston(&harness) {
        let part = &document(&harness).session.table().unwrap().1.parts[index].description;
        let name = format!("Remove part {}, {part}, +0.020", index + 1);
        harness.get_by_label(&name).scroll_to_me();
        click(&mut harness, &name);
    }
    harness.get_by_label("Remove bore, oversize 0.020").scroll_to_me();
    click(&mut harness, "Remove bore, oversize 0.020");
    assert_eq!(rows(&harness), before - 1);
    click(&mut harness, "Remove step");
    assert!(document(&harness).session.table().unwrap().1.step.is_none());
    ctrl(&mut harness, Key::Z);
    assert!(document(&harness).session.table().unwrap().1.step.is_some());
    assert_eq!(rows(&harness), before - 1, "two choices are two steps");
    click(&mut harness, "Add an oversize");
    // Without its size it cannot be judged by: it is a draft until it can.
    harness.get_by_label_contains("Not in force yet");
    assert_eq!(rows(&harness), before - 1);
    let row = format!("bore, row {before}: oversize");
    fill(&mut harness, &row, "0.020");
    fill(&mut harness, "bore, oversize 0.020: as made, least", "5.1450");
    fill(&mut harness, "bore, oversize 0.020: as made, most", "5.1470");
    assert_eq!(rows(&harness), before);
    assert!(harness.query_by_label_contains("Not in force yet").is_none());
}

#[test]
fn every_row_of_the_shape_can_be_taken_away_and_offered_again() {
    let record = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/every_row.ron");
    let mut harness = harness::window(None, Some(&record));
    press(&mut harness, Key::F7);
    let has = |harness: &Harness<'_, App>, row| {
        document(harness).session.table().unwrap().1.shape_row(row).is_some()
    };
    for row in RowName::of_shape() {
        let take = format!("Remove {}", row.words());
        harness.get_by_label(&take).scroll_to_me();
        click(&mut harness, &take);
        let others = RowName::of_shape().filter(|other| has(&harness, *other)).count();
        assert_eq!((has(&harness, row), others), (false, RowName::of_shape().count() - 1), "{row:?}");
        harness.get_by_label(&format!("Add {}", row.words()));
        ctrl(&mut harness, Key::Z);
        assert!(has(&harness, row), "{row:?}");
    }
}

#[test]
fn what_a_certificate_says_of_a_gauge_goes_into_the_budget() {
    let mut harness = demo("Wexcombe Six");
    let sources = |harness: &Harness<'_, App>| -> Vec<String> {
        let row = &document(harness).session.evaluation().assessments[0].rows[0];
        let budget = &row.uncertainty.as_ref().unwrap().budget;
        budget.lines.iter().map(|line| line.source.to_string()).collect()
    };
    assert!(!sources(&harness).contains(&"another source".to_owned()));
    ctrl(&mut harness, Key::G);
    let name = document(&harness).session.overhaul().unwrap().gauges[1].name.clone();
    let sure = format!("Uncertainty of gauge 2, {name}");
    harness.get_by_label(&sure).scroll_to_me();
    click(&mut harness, &sure);
    fill(&mut harness, &format!("gauge 2, {name}: expanded uncertainty"), "0.0002");
    fill(&mut harness, &format!("gauge 2, {name}: certificate"), "C-1");
    fill(&mut harness, &format!("gauge 2, {name}: due"), "2030-02-28");
    click(&mut harness, &format!("Add a source to gauge 2, {name}"));
    fill(&mut harness, &format!("gauge 2, {name}, further source 1: half-width"), "0.0001");
    let gauge = &document(&harness).session.overhaul().unwrap().gauges[1];
    let calibration = gauge.calibration.as_ref().unwrap();
    assert_eq!((calibration.expanded_uncertainty.as_str(), calibration.k), ("0.0002", 2.0));
    assert_eq!(calibration.certificate, "C-1");
    assert_eq!(calibration.due.unwrap().to_string(), "2030-02-28");
    assert_eq!(gauge.further[0].half_width, "0.0001");
    assert!(sources(&harness).contains(&"another source".to_owned()), "{:?}", sources(&harness));
}

#[test]
fn half_a_number_leaves_the_table_in_force() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    fill(&mut harness, "Clean-up allowance", "about 5");
    harness.get_by_label_contains("Not in force yet");
    assert!(document(&harness).session.evaluation().limits().is_some());
    assert_eq!(document(&harness).session.table().unwrap().1.clean_up_allowance.text, "0.0005");
    click(&mut harness, "Leave the change");
    assert!(harness.query_by_label_contains("Not in force yet").is_none());
}

#[test]
fn undo_takes_a_half_typed_table_back_and_nothing_else() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F2);
    crate::harness::gauge_sends(&mut harness, &["+9"]);
    let state = document(&harness).session.state();
    press(&mut harness, Key::F7);
    click(&mut harness, "Add a part");
    click(&mut harness, "Add a clearance");
    harness.get_by_label_contains("Not in force yet");
    // Two new rows without a name are still two rows.
    let table = document(&harness).session.table().unwrap().1;
    let (part, clearance) = (table.parts.len() + 1, table.fits.len() + 1);
    fill(&mut harness, &format!("part {part}: reference"), "417");
    let other = format!("clearance {clearance}: reference");
    let other = harness.get_by_label(&other);
    assert_eq!(other.accesskit_node().value(), Some(String::new()));
    ctrl(&mut harness, Key::Z);
    let other = format!("part {part}: reference");
    assert_eq!(harness.get_by_label(&other).accesskit_node().value(), Some(String::new()));
    harness.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    harness.run();
    assert_eq!(harness.get_by_label(&other).accesskit_node().value(), Some("417".to_owned()));
    for _ in 0..3 {
        harness.get_by_label_contains("Not in force yet");
        ctrl(&mut harness, Key::Z);
    }
    assert!(harness.query_by_label_contains("Not in force yet").is_none());
    assert_eq!(document(&harness).session.state(), state, "the reading stands");
    ctrl(&mut harness, Key::Z);
    assert_ne!(document(&harness).session.state(), state);
}

#[test]
fn a_table_half_typed_is_asked_about_at_closing() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    fill(&mut harness, "Clean-up allowance", "about 5");
    ctrl(&mut harness, Key::W);
    harness.get_by_label_contains("is not in force yet and would be lost either way");
    press(&mut harness, Key::Escape);
    harness.get_by_label_contains("Not in force yet");
}

#[test]
fn a_tighter_limit_changes_the_outcome() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    fill(&mut harness, "bore, oversize 0.010: serviceable", "5.1375");
    assert_eq!(outcome(&harness, 0), Recommendation::Rebore(3));
}

#[test]
fn another_revision_is_seen_before_it_is_accepted() {
    let mut harness = demo("Wexcombe Six");
    let mut table = document(&harness).session.table().expect("there").1.clone();
    table.revision = "D".to_owned();
    table.bore[1].serviceable = Some(records::limits::schema::Limit::At("5.1375".into()));
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("revision_d.ron");
    std::fs::write(&path, records::file::to_ron(&table).expect("a text")).expect("written");
    press(&mut harness, Key::F7);
    click(&mut harness, "Another revision");
    fill(&mut harness, "File with a table of limits", &path.display().to_string());
    press(&mut harness, Key::Enter);
    harness.get_by_label("The outcome of 1 cylinder would change.");
    harness.get_by_label("Cylinder 1 (WX-0411): rebore to +0.020 in instead of serviceable");
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
    click(&mut harness, "Judge this overhaul by it");
    assert_eq!(outcome(&harness, 0), Recommendation::Rebore(3));
    harness.get_by_label_contains("WEXCOMBE-SIX, revision D");
    // The earlier overhauls are judged by what they were judged by, and the table is still there.
    assert_eq!(document(&harness).session.record().tables.len(), 2);
    ctrl(&mut harness, Key::Z);
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
}

#[test]
fn a_file_that_is_no_table_is_told() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F7);
    click(&mut harness, "Another revision");
    fill(&mut harness, "File with a table of limits", "/nowhere/at/all.ron");
    click(&mut harness, "Read it");
    harness.get_by_label_contains("Error: ");
    assert!(harness.query_by_label("Judge this overhaul by it").is_none());
}

#[test]
fn the_outcome_tells_what_another_rule_would_say_and_how_sure_it_is() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F4);
    click(&mut harness, "Under other rules");
    harness.get_by_label(
        "Decision rule: guarded acceptance: a guard band inside the limit is within (ISO 14253-1, 95 %)",
    );
    harness.get_by_label("Taper: largest minus smallest of all readings");
    click(&mut harness, "Bore, line by line");
    harness.get_by_label("setting standard");
    harness.get_by_label_contains("effective degrees of freedom");
    click(&mut harness, "Metal to remove at each point");
    harness.get_by_label("Station B, pin axis");
}

#[test]
fn a_reason_leads_to_its_reading() {
    let mut harness = demo("Wexcombe Six");
    harness.key_press_modifiers(Modifiers::ALT, Key::Num2);
    harness.run();
    press(&mut harness, Key::F4);
    let why = harness.get_all_by_label_contains("over the serviceable").next().expect("a reason");
    why.click_accesskit();
    harness.run();
    assert!(document(&harness).chosen.cell.is_some());
}

#[test]
fn a_decision_without_its_reason_is_not_kept() {
    let mut harness = demo("Wexcombe Six");
    click(&mut harness, "Replace");
    harness.get_by_label_contains("Write the reason");
    click(&mut harness, "Record the decision");
    assert!(cylinder(&harness).disposition.is_none());
    fill(&mut harness, "It differs from the recommendation. Why?", "Fins too short.");
    click(&mut harness, "Record the decision");
    let kept = cylinder(&harness).disposition.clone().expect("kept");
    assert_eq!((kept.decision, kept.reason.as_str()), (Decision::Replace, "Fins too short."));
    assert_eq!(outcome(&harness, 0), Recommendation::Serviceable);
}

/// Every control is named (the harness checks it), and nothing panics, in both window sizes and at 200 %.
#[test]
fn every_place_opens_in_every_size() {
    for (width, height) in [(1440.0, 900.0), (1024.0, 700.0), (512.0, 350.0)] {
        let mut harness = sized(width, height, None, None);
        harness.get_by_label("Wexcombe Six").click_accesskit();
        harness.run();
        for key in [Key::F2, Key::F4, Key::F5, Key::F6, Key::F7, Key::F8] {
            press(&mut harness, key);
        }
    }
}

/// Tab goes round a place and comes to its fields without a mouse.
#[test]
fn tab_reaches_the_fields_of_the_fits() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F6);
    let reached = (0..80).any(|_| {
        press(&mut harness, Key::Tab);
        harness
            .query_by_role_and_label(Role::TextInput, "piston skirt in bore, cylinder 1: Skirt, largest")
            .is_some_and(|field| field.is_focused())
    });
    assert!(reached);
}

#[test]
fn cylinders_change_places_and_take_their_readings_along() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F8);
    let serials = |harness: &Harness<'_, App>| -> Vec<(String, String)> {
        let overhaul = document(harness).session.overhaul().expect("there").clone();
        overhaul.cylinders.into_iter().map(|c| (c.position, c.serial)).collect()
    };
    let before = serials(&harness);
    let readings = document(&harness).session.cylinder(0).expect("there").readings.clone();
    click(&mut harness, "Change places");
    let after = serials(&harness);
    assert_eq!((&after[0].0, &after[0].1), (&before[0].0, &before[1].1));
    assert_eq!((&after[1].0, &after[1].1), (&before[1].0, &before[0].1));
    assert_eq!(document(&harness).session.cylinder(1).expect("there").readings, readings);
}

#[test]
fn a_replaced_cylinder_gets_another_serial_and_the_day_is_read_as_a_day() {
    let mut harness = demo("Wexcombe Six");
    press(&mut harness, Key::F8);
    fill(&mut harness, "Serial of cylinder 5", "WX-1100");
    assert_eq!(document(&harness).session.cylinder(4).expect("there").serial, "WX-1100");
    let before = document(&harness).session.overhaul().expect("there").date;
    fill(&mut harness, "Day of measuring", "2024-02-30");
    harness.get_by_label_contains("is no day");
    assert_eq!(document(&harness).session.overhaul().expect("there").date, before);
    fill(&mut harness, "Day of measuring", "2024-02-29");
    assert_eq!(document(&harness).session.overhaul().expect("there").date.to_string(), "2024-02-29");
}

/// The margin of a row that did not decide is not what the bank shows.
#[test]
fn the_bank_says_the_first_reason_in_a_few_words() {
    let harness = demo("Wexcombe Six");
    for (cylinder, why) in [
        ("Cylinder 2, WX-0703: rebore to +0.010 in", "bore 0.00047 in over"),
        ("Cylinder 5, WX-0961: replace", "crack in the head"),
        ("Cylinder 6, WX-0416: not decided", "check a reading: station C, thrust axis"),
    ] {
        harness.get_by_label_contains(&format!("{cylinder}, {why};"));
    }
}
