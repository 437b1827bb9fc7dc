use super::*;
use judging::Recommendation;
use records::file;
use records::record::schema::Decision;

/// The demo's third overhaul: one cylinder of each outcome.
fn demo() -> Session {
    let text = include_str!("../../../demo/wexcombe_six.ron");
    Session::new(file::record_from_text(text, None).value.expect("the demo can be read"))
}

fn reading(at: Point, repeat: usize, text: &str) -> Command {
    Command::Cylinder(0, CylinderEdit::Reading { at, repeat, text: text.to_owned(), gauge: None })
}

fn entered(session: &Session, at: Point) -> Vec<String> {
    let (cylinder, limits) = (session.cylinder(0).expect("there"), session.evaluation().limits());
    entry::reading(cylinder, limits.expect("a table"), at).map_or(Vec::new(), |r| r.entered.clone())
}

#[test]
fn what_is_typed_is_kept_as_typed_and_judged_at_once() {
    let mut session = demo();
    let at = Point::new(2, 2);
    let before = session.evaluation().assessments[0].recommendation;
    session.dispatch(reading(at, 0, "+120")).expect("typed");
    session.dispatch(reading(at, 1, "+120")).expect("typed");
    assert_eq!(entered(&session, at), ["+120", "+120"]);
    assert_ne!(session.evaluation().assessments[0].recommendation, before);
    assert!(session.is_unsaved());
}

#[test]
fn undo_goes_back_to_the_beginning_and_redo_to_the_end() {
    let mut session = demo();
    let first = session.record().clone();
    for (i, text) in ["+1", "+2", "+3", ""].iter().enumerate() {
        session.dispatch(reading(Point::new(i, 0), 0, text)).expect("typed");
    }
    session.dispatch(Command::EngineModel("another".into())).expect("typed");
    session.dispatch(Command::AddOverhaul(NewOverhaul::on(jiff::civil::date(2030, 1, 2)))).expect("added");
    session.dispatch(Command::Overhaul(OverhaulEdit::RemoveCylinder(2))).expect("taken away");
    let last = session.record().clone();
    while session.undo().is_some() {}
    assert_eq!(*session.record(), first);
    assert!(!session.is_unsaved(), "back where it was read");
    while session.redo().is_some() {}
    assert_eq!(*session.record(), last);
}

#[test]
fn typing_on_in_one_field_is_one_step() {
    let mut session = demo();
    for serial in ["W", "WX", "WX-1"] {
        session.dispatch(Command::Cylinder(1, CylinderEdit::Serial(serial.into()))).expect("typed");
    }
    session.dispatch(Command::Cylinder(2, CylinderEdit::Serial("X".into()))).expect("typed");
    let at = session.undo().expect("a step");
    assert_eq!(at.cylinder, Some(2));
    session.undo().expect("a step");
    assert_eq!(session.undo_label(), None, "the three letters were one step");
}

#[test]
fn saving_between_two_letters_makes_two_steps() {
    let mut session = demo();
    session.dispatch(Command::EngineOwner("A".into())).expect("typed");
    session.saved_at(session.state());
    session.dispatch(Command::EngineOwner("AB".into())).expect("typed");
    session.undo().expect("a step");
    assert_eq!(session.record().engine.owner, "A");
    assert!(!session.is_unsaved());
}

#[test]
fn a_command_that_changes_nothing_is_no_step() {
    let mut session = demo();
    let model = session.record().engine.model.clone();
    session.dispatch(Command::EngineModel(model)).expect("done");
    assert_eq!(session.undo_label(), None);
}

#[test]
fn a_cylinder_that_is_not_there_is_told() {
    let mut session = demo();
    let command = Command::Cylinder(99, CylinderEdit::Mark(Mark::Tagged, true));
    assert!(session.dispatch(command).is_err());
}

#[test]
fn an_emptied_cell_goes_away_and_a_new_one_stands_in_its_place_in_the_file() {
    let mut session = demo();
    let at = Point::new(1, 0);
    let count = session.cylinder(0).expect("there").readings.len();
    let repeats = entered(&session, at);
    for _ in &repeats {
        session.dispatch(reading(at, 0, "")).expect("emptied");
    }
    assert_eq!(session.cylinder(0).expect("there").readings.len(), count - 1);
    session.dispatch(reading(at, 0, "+20")).expect("typed");
    let names: Vec<_> = session
        .cylinder(0)
        .expect("there")
        .readings
        .iter()
        .map(|r| (r.station.as_str(), r.axis.as_str()))
        .collect();
    assert_eq!(names[2], ("B", "pin"));
}

#[test]
fn a_confirmation_falls_with_its_reading() {
    let mut session = demo();
    let at = Point::new(1, 0);
    session.dispatch(Command::Cylinder(0, CylinderEdit::Confirm(at, "twice".into()))).expect("confirmed");
    session.dispatch(reading(at, 0, "+33")).expect("typed");
    let (cylinder, limits) = (session.cylinder(0).expect("there"), session.evaluation().limits());
    assert!(entry::reading(cylinder, limits.expect("a table"), at).expect("there").confirmed.is_empty());
}

#[test]
fn the_overhaul_after_carries_over_what_was_decided() {
    let mut session = demo();
    let by = || "A. Person".to_owned();
    let decide =
        |decision| Some(records::record::schema::Disposition { decision, by: by(), reason: String::new() });
    let size = session.evaluation().limits().expect("a table").sizes[1].size.clone();
    let decisions = [Decision::Serviceable, Decision::Rebore(size.clone()), Decision::Replace];
    for (i, decision) in decisions.into_iter().enumerate() {
        session.dispatch(Command::Cylinder(i, CylinderEdit::Decide(decide(decision)))).expect("decided");
    }
    let before = session.overhaul().expect("there").clone();
    session.dispatch(Command::AddOverhaul(NewOverhaul::on(jiff::civil::date(2030, 1, 2)))).expect("added");
    let after = session.overhaul().expect("there");
    assert_eq!(after.gauges, before.gauges);
    assert_eq!(after.cylinders[0].serial, before.cylinders[0].serial);
    assert_eq!((&after.cylinders[1].size, &after.cylinders[1].serial), (&size, &before.cylinders[1].serial));
    assert_eq!(after.cylinders[2].serial, "", "whatever replaces it has its own serial");
    assert!(after.cylinders.iter().all(|c| c.readings.is_empty() && !c.tagged));
}

#[test]
fn a_new_record_has_the_tables_cylinders_and_nothing_decided() {
    let text = include_str!("../../../limits/skarvoy_320.ron");
    let table = file::limits_from_text(text, None).value.expect("the table can be read");
    let session = Session::start(&table, jiff::civil::date(2030, 1, 2));
    assert_eq!(session.cylinders(), usize::from(table.cylinders.expect("given")));
    let assessments = &session.evaluation().assessments;
    assert!(assessments.iter().all(|a| a.recommendation == Recommendation::NotDecided));
}

#[test]
fn a_block_goes_right_over_repeats_and_down_over_stations() {
    let session = demo();
    let limits = session.evaluation().limits().expect("a table");
    let (cells, outside) = entry::pasted("1\t2\t3\n4\t\t5\n", (Point::new(0, 0), 1), limits, 2);
    let places: Vec<_> =
        cells.iter().map(|(at, repeat, text)| (at.station, at.axis, *repeat, text.as_str())).collect();
    assert_eq!(places, [(0, 0, 1, "1"), (0, 1, 0, "2"), (0, 1, 1, "3"), (1, 0, 1, "4"), (1, 1, 1, "5")]);
    assert_eq!(outside, 0);
    assert_eq!(entry::pasted("1\n2", (Point::new(limits.stations.len() - 1, 0), 0), limits, 2).1, 1);
}

#[test]
fn a_diameter_is_written_as_its_gauge_shows_it() {
    let session = demo();
    let at = Point::new(2, 1);
    let texts = ["+21", "-3", "0", "5.1366 in"];
    for text in texts {
        let entry = session.preview(0, at, text, None).expect("read");
        let (survey, overhaul) = (session.evaluation().survey.as_ref().expect("read"), session.overhaul());
        let gauge = session.gauge_of(0, at, None).expect("a gauge");
        let resolved = survey.gauges.iter().find(|g| g.name == gauge.name).expect("resolved");
        let standard = resolved.standard.and_then(|i| survey.standards.get(i)).map(|s| s.size);
        let unit = overhaul.expect("there").unit;
        // What the gauge showed, before it was brought to 20 °C.
        let factor = survey.factor_to_20_c(0);
        let read = entry.length.scaled(1.0 / factor).nearest_multiple(entry.style.last_digit());
        let written = entry::as_typed(read, Some(gauge), standard, entry.style, unit).expect("written");
        let again = session.preview(0, at, &written, None).expect("read");
        assert_eq!(again.length, entry.length, "{text} became {written}");
    }
}

#[test]
fn both_orders_visit_every_cell_once() {
    let session = demo();
    let limits = session.evaluation().limits().expect("a table");
    for order in [entry::MeasuringOrder::AxisByAxis, entry::MeasuringOrder::DepthByDepth] {
        let mut cells = order.cells(limits);
        assert_eq!(cells.len(), limits.stations.len() * limits.axes.len());
        cells.sort_unstable();
        cells.dedup();
        assert_eq!(cells.len(), limits.stations.len() * limits.axes.len());
    }
    assert_eq!(entry::MeasuringOrder::AxisByAxis.cells(limits)[1], Point::new(1, 0));
    assert_eq!(entry::MeasuringOrder::DepthByDepth.cells(limits)[1], Point::new(0, 1));
}

// ---- signed overhauls

fn signature() -> crate::seal::Signature {
    crate::seal::Signature {
        name: "Ada Invented".into(),
        certificate: "invented 7".into(),
        date: jiff::civil::date(2030, 1, 2),
    }
}

/// The demo with its last overhaul signed.
fn signed() -> Session {
    let mut session = demo();
    session.dispatch(Command::Sign(signature())).expect("signed");
    session
}

#[test]
fn a_signed_overhaul_is_closed_and_the_others_are_not() {
    let mut session = signed();
    let record = session.record().clone();
    let table = session.table().expect("there").1.clone();
    let mut changed = table.clone();
    changed.remarks.push('x');
    let index = session.table().expect("there").0;
    for command in [
        reading(Point::new(0, 0), 0, "+1"),
        Command::Cylinder(1, CylinderEdit::Remarks("x".into())),
        Command::Overhaul(OverhaulEdit::RemoveCylinder(0)),
        Command::Overhaul(OverhaulEdit::TotalHours(None)),
        Command::SwapLimits(Box::new(changed.clone())),
        Command::EditLimits(index, Box::new(changed.clone())),
        Command::EngineSerial("x".into()),
        Command::Sign(signature()),
        Command::CloseAmendment,
    ] {
        let error = session.dispatch(command.clone()).expect_err("refused");
        assert!(!error.remedy.is_empty(), "{command:?}");
        if !matches!(command, Command::CloseAmendment) {
            assert!(error.message.contains("Ada Invented"), "{command:?}: {error}");
        }
    }
    assert_eq!(*session.record(), record);
    session.dispatch(Command::EngineOwner("another".into())).expect("no part of it");
    session.choose_overhaul(0);
    session.dispatch(Command::Cylinder(1, CylinderEdit::Remarks("x".into()))).expect("another overhaul");
    // The table of the signed overhaul, by way of another one.
    assert!(session.dispatch(Command::SwapLimits(Box::new(changed))).is_err());
    session.dispatch(Command::AddOverhaul(NewOverhaul::on(jiff::civil::date(2031, 1, 2)))).expect("added");
    assert!(session.overhaul().expect("there").seal.is_none());
    assert!(crate::seal::verify(session.record(), 2).expect("signed").holds());
}

#[test]
fn an_amendment_opens_it_and_writes_down_what_changes() {
    let mut session = signed();
    session.dispatch(Command::Amend(signature(), "misread".into())).expect("opened");
    session.dispatch(reading(Point::new(0, 0), 0, "+9")).expect("under amendment");
    let changes = |session: &Session| {
        let seal = session.overhaul().expect("there").seal.clone().expect("signed");
        seal.open.map_or(0, |open| open.changes.len())
    };
    assert_eq!(changes(&session), 1);
    session.undo().expect("a step");
    assert_eq!(changes(&session), 0, "taken back with what was undone");
    session.redo().expect("a step");
    assert_eq!(changes(&session), 1);
    assert!(session.evaluation().signed.as_ref().expect("signed").holds());
    session.dispatch(Command::CloseAmendment).expect("closed");
    assert!(session.closed().is_some());
    assert!(session.evaluation().signed.as_ref().expect("signed").holds());
    assert!(session.dispatch(reading(Point::new(0, 0), 0, "+8")).is_err());
    while session.undo().is_some() {}
    assert!(
        session.overhaul().expect("there").seal.is_none(),
        "nothing was saved, and it was seen to be undone"
    );
}

#[test]
fn a_signature_that_was_saved_is_not_undone() {
    let mut session = demo();
    session.dispatch(reading(Point::new(0, 0), 0, "+9")).expect("typed");
    session.dispatch(Command::Sign(signature())).expect("signed");
    session.saved_at(session.state());
    assert_eq!((session.undo(), session.undo_label()), (None, None));
    assert!(session.undo_stops_at_signature());
    assert!(session.closed().is_some());
    // What is done after it can be undone, as far as the signature.
    session.dispatch(Command::EngineOwner("another".into())).expect("typed");
    assert!(session.undo().is_some());
    assert!(session.undo().is_none());
    session.dispatch(Command::Amend(signature(), "misread".into())).expect("opened");
    session.dispatch(reading(Point::new(0, 0), 0, "+8")).expect("typed");
    session.saved_at(session.state());
    assert!(session.undo().is_some(), "an open amendment binds nobody");
    session.redo().expect("again");
    session.dispatch(Command::CloseAmendment).expect("closed");
    session.saved_at(session.state());
    assert!(session.undo().is_none());
}

#[test]
fn an_amendment_names_only_what_was_changed() {
    let mut session = signed();
    session.dispatch(Command::Amend(signature(), "left out".into())).expect("opened");
    let changes = |session: &Session| {
        let overhaul = session.overhaul().expect("there");
        let open = overhaul.seal.as_ref().and_then(|seal| seal.open.as_ref()).expect("open");
        open.changes.iter().map(|c| crate::seal::words::change_words(c, overhaul)).collect::<Vec<_>>()
    };
    // A cell in the middle of the sheet is emptied, and filled again with another reading.
    let at = Point::new(0, 0);
    let repeats = entered(&session, at).len();
    for repeat in (0..repeats).rev() {
        session.dispatch(reading(at, repeat, "")).expect("under amendment");
    }
    assert!(
        changes(&session).iter().all(|words| words.contains("station A, pin axis")),
        "{:?}",
        changes(&session)
    );
    assert!(session.evaluation().cylinder(0).expect("there").0.bore.cell(at).is_none());
    assert!(session.evaluation().signed.as_ref().expect("signed").holds());
    // A place where nothing was measured is measured after all.
    let before = changes(&session).len();
    let limits = session.evaluation().limits().expect("a table");
    let (a, axis) = (0, limits.axes.iter().position(|axis| axis.optional).expect("an optional axis"));
    session.dispatch(reading(Point::new(a, axis), 0, "+5")).expect("under amendment");
    let now = changes(&session);
    let label = &session.evaluation().limits().expect("a table").axes[axis].label;
    let words = records::survey::axis_words(label);
    assert!(
        now.len() > before && now.iter().skip(before).all(|w| w.contains(&words) || w.contains("how many")),
        "{now:?}"
    );
    session.dispatch(Command::CloseAmendment).expect("closed");
    assert!(session.evaluation().signed.as_ref().expect("signed").holds());
}

#[test]
fn two_tables_of_one_revision_are_refused() {
    let mut session = demo();
    let mut other = session.table().expect("there").1.clone();
    other.revision = "D".to_owned();
    session.dispatch(Command::SwapLimits(Box::new(other.clone()))).expect("another revision");
    let (index, _) = session.table().expect("there");
    let before = session.record().clone();
    other.revision = "C".to_owned();
    let error = session.dispatch(Command::EditLimits(index, Box::new(other.clone()))).expect_err("taken");
    assert!(error.message.contains("revision C"), "{error}");
    assert_eq!(*session.record(), before);
    other.revision = "C1".to_owned();
    session.dispatch(Command::EditLimits(index, Box::new(other))).expect("its own");
    assert_eq!(session.table().expect("there").1.revision, "C1");
}

#[test]
fn what_is_renamed_is_followed() {
    let mut session = demo();
    let before: Vec<_> = (0..6).map(|i| session.evaluation().assessments[i].recommendation).collect();
    let mut standards = session.overhaul().expect("there").standards.clone();
    for standard in &mut standards {
        standard.name.push_str(" (new box)");
    }
    session.dispatch(Command::Overhaul(OverhaulEdit::Standards(standards))).expect("renamed");
    let mut gauges = session.overhaul().expect("there").gauges.clone();
    for gauge in &mut gauges {
        gauge.name.push_str(" (dial)");
    }
    session.dispatch(Command::Overhaul(OverhaulEdit::Gauges(gauges))).expect("renamed");
    assert_eq!(session.evaluation().diagnostics, []);
    let now: Vec<_> = (0..6).map(|i| session.evaluation().assessments[i].recommendation).collect();
    assert_eq!(now, before);
}

#[test]
fn a_new_overhaul_done_again_is_seen_and_keeps_the_finished_size() {
    let mut session = demo();
    let clear = |i| Command::Cylinder(i, CylinderEdit::Serial(String::new()));
    session.dispatch(clear(0)).expect("no serial yet");
    session.dispatch(Command::Cylinder(0, CylinderEdit::FinishedTo(Some("5.1352".into())))).expect("written");
    session.dispatch(Command::AddOverhaul(NewOverhaul::on(jiff::civil::date(2030, 1, 2)))).expect("added");
    let last = session.overhaul_index();
    assert_eq!(session.cylinder(0).expect("there").finished_to.as_deref(), Some("5.1352"));
    session.undo().expect("a step");
    assert_eq!(session.overhaul_index(), last - 1);
    session.redo().expect("again");
    assert_eq!(session.overhaul_index(), last);
}

#[test]
fn by_a_table_with_an_error_nothing_is_judged() {
    let mut session = demo();
    let (index, table) = session.table().expect("there");
    let mut table = table.clone();
    // Less than a new barrel may have: nobody can have meant it.
    table.bore[0].serviceable = Some(records::limits::schema::Limit::At("5.1240".into()));
    session.dispatch(Command::EditLimits(index, Box::new(table.clone()))).expect("edited");
    assert!(session.evaluation().limits().is_none());
    assert!(session.evaluation().assessments.is_empty());
    let reported = &session.evaluation().diagnostics;
    assert!(
        reported.iter().any(|d| d.is_error() && d.path.to_string().starts_with("tables[")),
        "{reported:?}"
    );
    assert!(session.swap_preview(&table).is_err());
}

#[test]
fn an_overhaul_is_added_with_its_hours_and_wrong_ones_are_told_before() {
    let mut session = demo();
    let last = session.record().overhauls.last().expect("there").clone();
    let total = last.total_hours.expect("known");
    let new = |total_hours, hours_since_overhaul| NewOverhaul {
        date: jiff::civil::date(2031, 1, 2),
        total_hours,
        hours_since_overhaul,
    };
    let wrong = |new: NewOverhaul| new.wrong_hours(session.record()).map(|reported| reported.message);
    assert!(
        wrong(new(Some(total - 1.0), None)).is_some_and(|reported| reported.contains("is less than the"))
    );
    assert!(
        wrong(new(Some(total), Some(total + 1.0)))
            .is_some_and(|reported| reported.contains("more hours since"))
    );
    assert!(wrong(new(Some(-1.0), None)).is_some_and(|reported| reported.contains("cannot be hours")));
    assert!(wrong(new(Some(f64::NAN), None)).is_some());
    assert_eq!(wrong(new(None, None)), None, "hours may be written later");
    assert_eq!(wrong(new(Some(total + 700.0), Some(700.0))), None);
    session.dispatch(Command::AddOverhaul(new(Some(total + 700.0), Some(700.0)))).expect("added");
    let added = session.overhaul().expect("chosen");
    assert_eq!((added.total_hours, added.hours_since_overhaul), (Some(total + 700.0), Some(700.0)));
    assert!(session.undo().is_some());
    assert_eq!(session.record().overhauls.last(), Some(&last));
}
