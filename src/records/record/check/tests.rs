use crate::diag::Severity;
use crate::file;
use crate::limits::schema::TableOfLimits;
use crate::record::resolve::is_taken;
use crate::record::schema::*;

use super::check;
use crate::diag::Diagnostic;

/// An invented record with nothing to tell about.
const CLEAN: &str = r#"EngineRecord(
    format: 2,
    engine: (model: "Demonstration engine (invented)", serial: "D-0007"),
    tables: [(
        format: 1,
        identity: "DEMO-5",
        revision: "A",
        engine: "Demonstration engine (invented)",
        source: Illustrative(remark: "invented for tests; never for a real engine"),
        stations: [(name: "A", depth: "0.50", role: HeadEnd)],
        axes: [(label: "pin", degrees: 0.0)],
        bore: [],
        wall: (surface: Plain, cut: NotAllowed),
        clean_up_allowance: "0.0010",
    )],
    overhauls: [
        (
            date: "2014-06-30",
            total_hours: 1200.0,
            inspector: (name: "An invented inspector", certificate: "none"),
            limits: (identity: "DEMO-5", revision: "A"),
            cylinders: [(position: "1", serial: "C-11"), (position: "2", serial: "C-12")],
        ),
        (
            date: "2019-10-02",
            total_hours: 2400.0,
            hours_since_overhaul: 1200.0,
            inspector: (name: "An invented inspector", certificate: "none"),
            limits: (identity: "DEMO-5", revision: "A"),
            standards: [(name: "ring", size: "5.1250", calibration: (expanded_uncertainty: "0.00004", k: 2.0, dof: 50.0, due: "2019-10-03"), expansion_ppm: 11.5)],
            gauges: [
                (
                    name: "dial",
                    reads: Graduations,
                    graduation: "0.0001",
                    zeroed_on: "ring",
                    repeatability: (standard_deviation: "0.00005", dof: 9.0),
                    further: [(source: "anvil wear", half_width: "0.00005", distribution: Normal(k: 2.0))],
                ),
                (name: "micrometer", expansion_ppm: 11.5, calibration: (expanded_uncertainty: "0.0001", k: 2.0)),
            ],
            temperatures: (barrel: 22.0, gauge: 20.0, within: 1.0, barrel_expansion_ppm: 12.0),
            cylinders: [
                (
                    position: "1",
                    serial: "C-11",
                    readings: [(station: "A", axis: "pin", entered: ["+3"])],
                    findings: [(kind: Scored, degrees: 90.0)],
                    fits: [(row: "301", hole_temperature: 20.0)],
                ),
                (position: "2", serial: "C-12"),
            ],
        ),
    ],
)"#;

fn clean() -> EngineRecord {
    let reported = file::record_from_text(CLEAN, None);
    assert!(reported.diagnostics.is_empty(), "{:?}", reported.diagnostics);
    reported.value.unwrap()
}

fn after(change: impl FnOnce(&mut EngineRecord)) -> Vec<Diagnostic> {
    let mut record = clean();
    change(&mut record);
    check(&record)
}

/// Exactly one thing is told after the change, and it names the place and the words.
#[track_caller]
fn one(severity: Severity, path: &str, words: &str, change: impl FnOnce(&mut EngineRecord)) {
    let reported = after(change);
    let only = crate::diag::only(&reported, severity, path, words);
    assert!(!only.place.is_empty() && !only.remedy.is_empty(), "{only}");
}

#[track_caller]
fn error(path: &str, words: &str, change: impl FnOnce(&mut EngineRecord)) {
    one(Severity::Error, path, words, change);
}

#[track_caller]
fn note(path: &str, words: &str, change: impl FnOnce(&mut EngineRecord)) {
    one(Severity::Note, path, words, change);
}

/// An error of both cylinders: nobody knows which of them is wrong.
#[track_caller]
fn both(field: &str, words: &str, change: impl FnOnce(&mut EngineRecord)) {
    let reported = after(change);
    let of = |cylinder: usize| format!("overhauls[1].cylinders[{cylinder}].{field}");
    let errors: Vec<_> = reported
        .iter()
        .filter(|reported| reported.is_error())
        .map(|reported| reported.path.to_string())
        .collect();
    assert_eq!(errors, [of(0), of(1)]);
    assert!(reported.iter().any(|reported| reported.message.contains(words)), "{reported:?}");
}

#[track_caller]
fn silent(change: impl FnOnce(&mut EngineRecord)) {
    assert_eq!(after(change), []);
}

#[test]
fn a_clean_record_has_nothing_to_tell() {
    silent(|_| {});
}

#[test]
fn what_is_not_yet_written_is_a_note() {
    note("engine.model", "Not yet written: the engine's model", |record| record.engine.model.clear());
    note("engine.serial", "Not yet written: the engine's serial number", |record| {
        record.engine.serial = " ".into()
    });
    note("overhauls", "any overhaul", |record| record.overhauls.clear());
    note("overhauls[0].inspector.name", "inspector's name", |record| {
        record.overhauls[0].inspector.name.clear()
    });
    note("overhauls[0].inspector.certificate", "certificate", |record| {
        record.overhauls[0].inspector.certificate.clear();
    });
    note("overhauls[0].total_hours", "total time", |record| record.overhauls[0].total_hours = None);
    note("overhauls[0].cylinders", "any cylinder", |record| record.overhauls[0].cylinders.clear());
    note("overhauls[0].cylinders[1].serial", "serial number", |record| {
        record.overhauls[0].cylinders[1].serial.clear();
    });
    note("overhauls[0].cylinders[1].position", "position", |record| {
        record.overhauls[0].cylinders[1].position.clear();
    });
    note("overhauls[0].limits", "table of limits", |record| record.overhauls[0].limits = None);
}

#[test]
fn overhauls_are_in_order_of_their_dates() {
    error("overhauls[1].date", "stands behind the one of 2014-06-30", |record| {
        record.overhauls[1].date = jiff::civil::date(2010, 1, 1);
        record.overhauls[1].total_hours = Some(1000.0);
        record.overhauls[1].hours_since_overhaul = None;
    });
    error("overhauls[1].date", "Two overhauls", |record| record.overhauls[1].date = record.overhauls[0].date);
    error("overhauls[0].date", "before 1900", |record| {
        record.overhauls[0].date = jiff::civil::date(1014, 6, 30)
    });
    silent(|record| record.overhauls[0].date = jiff::civil::date(1961, 6, 30));
    for year in [2079, 2109] {
        let far = |record: &mut EngineRecord| {
            record.overhauls[1].date = jiff::civil::date(year, 10, 2);
            record.overhauls[1].standards[0].calibration.as_mut().unwrap().due = None;
        };
        error("overhauls[1].date", "more than 60 years after", far);
    }
}

#[test]
fn hours_never_go_back() {
    error("overhauls[1].total_hours", "less than the 1200 h", |record| {
        record.overhauls[1].total_hours = Some(1199.0);
        record.overhauls[1].hours_since_overhaul = None;
    });
    // The most hours, with the overhaul that has them and not the one between.
    let reported = after(|record| {
        let mut third = record.overhauls[1].clone();
        third.date = jiff::civil::date(2019, 10, 9);
        record.overhauls[0].total_hours = Some(2400.0);
        record.overhauls[1].total_hours = Some(2000.0);
        third.total_hours = Some(2100.0);
        record.overhauls.push(third);
    });
    let reported: Vec<_> =
        reported.iter().map(|d| d.message.as_str()).filter(|m| m.contains("less than")).collect();
    assert_eq!(
        reported,
        [
            "The total of 2000 h is less than the 2400 h at the overhaul of 2014-06-30.",
            "The total of 2100 h is less than the 2400 h at the overhaul of 2014-06-30.",
        ]
    );
    silent(|record| {
        record.overhauls[1].total_hours = Some(1200.0);
        record.overhauls[1].hours_since_overhaul = Some(0.0);
    });
    error("overhauls[1].hours_since_overhaul", "more hours since", |record| {
        record.overhauls[1].hours_since_overhaul = Some(2400.5);
    });
    for hours in [-1.0, f64::NAN, f64::INFINITY] {
        error("overhauls[1].total_hours", "cannot be hours", |record| {
            record.overhauls[1].total_hours = Some(hours)
        });
        error("overhauls[1].hours_since_overhaul", "cannot be hours", |record| {
            record.overhauls[1].hours_since_overhaul = Some(hours);
        });
    }
}

#[test]
fn tables_are_named_once_and_found() {
    error("tables[1].revision", "Two tables", |record| record.tables.push(record.tables[0].clone()));
    silent(|record| {
        let mut other = record.tables[0].clone();
        other.revision = "B".into();
        record.tables.push(other);
    });
    error("overhauls[0].limits", "Name DEMO-5 revision A if that is meant", |record| {
        record.overhauls[0].limits = Some(TableReference { identity: "DEMO-5".into(), revision: "a".into() });
    });
    error("format", "known is 2", |record| record.format = 1);
}

#[test]
fn a_table_is_taken_by_another_of_its_identity_and_revision() {
    let mut record = clean();
    let table = record.tables[0].clone();
    assert!(!is_taken(&record, 0, &table), "it is no other than itself");
    assert!(is_taken(&record, 1, &table));
    record.tables.push(table.clone());
    assert!(is_taken(&record, 0, &table));
    for (identity, revision) in [("DEMO-5", "B"), ("DEMO-6", "A")] {
        let other = TableOfLimits { identity: identity.into(), revision: revision.into(), ..table.clone() };
        assert!(!is_taken(&record, 0, &other), "{identity} {revision}");
    }
}

#[test]
fn gauges_and_standards_go_together() {
    let path = |end: &str| format!("overhauls[1].{end}");
    error(&path("standards[1].name"), "Two setting standards", |record| {
        let again = record.overhauls[1].standards[0].clone();
        record.overhauls[1].standards.push(again);
    });
    error(&path("gauges[1].name"), "Two gauges", |record| record.overhauls[1].gauges[1].name = "dial".into());
    error(&path("gauges[1].name"), "has no name", |record| record.overhauls[1].gauges[1].name.clear());
    error(&path("gauges[0].zeroed_on"), "Write `ring` if that is meant", |record| {
        record.overhauls[1].gauges[0].zeroed_on = Some("rings".into());
    });
    error(&path("gauges[0].zeroed_on"), "reads a deviation", |record| {
        record.overhauls[1].gauges[0].zeroed_on = None
    });
    error(&path("gauges[0].graduation"), "what one is worth", |record| {
        record.overhauls[1].gauges[0].graduation = None;
    });
    note(&path("standards[0].calibration.due"), "out of date", |record| {
        let due = record.overhauls[1].date;
        record.overhauls[1].standards[0].calibration.as_mut().unwrap().due = Some(due);
    });
}

#[test]
fn numbers_of_uncertainty_are_possible() {
    let path = |end: &str| format!("overhauls[1].{end}");
    for wrong in [0.0, -2.0, f64::NAN, f64::INFINITY] {
        error(&path("standards[0].calibration.k"), "coverage factor", |record| {
            record.overhauls[1].standards[0].calibration.as_mut().unwrap().k = wrong;
        });
        error(&path("gauges[1].calibration.dof"), "degrees of freedom", |record| {
            record.overhauls[1].gauges[1].calibration.as_mut().unwrap().dof = Some(wrong);
        });
        error(&path("gauges[0].repeatability.dof"), "degrees of freedom", |record| {
            record.overhauls[1].gauges[0].repeatability.as_mut().unwrap().dof = wrong;
        });
        error(&path("gauges[0].further[0].distribution"), "standard uncertainties", |record| {
            record.overhauls[1].gauges[0].further[0].distribution = Distribution::Normal { k: wrong };
        });
        error(&path("gauges[0].further[0].dof"), "degrees of freedom", |record| {
            record.overhauls[1].gauges[0].further[0].dof = Some(wrong);
        });
    }
    for wrong in [-1.0, 0.0, 0.000_011_5, 51.0, f64::NAN] {
        error(&path("standards[0].expansion_ppm"), "out of the question", |record| {
            record.overhauls[1].standards[0].expansion_ppm = Some(wrong);
        });
        error(&path("gauges[1].expansion_ppm"), "out of the question", |record| {
            record.overhauls[1].gauges[1].expansion_ppm = Some(wrong);
        });
        error(&path("temperatures.barrel_expansion_ppm"), "out of the question", |record| {
            record.overhauls[1].temperatures.as_mut().unwrap().barrel_expansion_ppm = Some(wrong);
        });
    }
    for wrong in [-41.0, 81.0, f64::NAN] {
        error(&path("temperatures.barrel"), "Nobody measures", |record| {
            record.overhauls[1].temperatures.as_mut().unwrap().barrel = wrong;
        });
        error(&path("temperatures.gauge"), "Nobody measures", |record| {
            record.overhauls[1].temperatures.as_mut().unwrap().gauge = wrong;
        });
        error(&path("cylinders[0].fits[0].hole_temperature"), "Nobody measures", |record| {
            record.overhauls[1].cylinders[0].fits[0].hole_temperature = Some(wrong);
        });
    }
    error(&path("temperatures.expansion_within_ppm"), "cannot be", |record| {
        record.overhauls[1].temperatures.as_mut().unwrap().expansion_within_ppm = Some(f64::NAN);
    });
    error(&path("temperatures.within"), "cannot be", |record| {
        record.overhauls[1].temperatures.as_mut().unwrap().within = Some(-1.0);
    });
}

#[test]
fn cylinders_are_told_apart() {
    both("serial", "C-11 is also given to cylinder 1", |record| {
        record.overhauls[1].cylinders[1].serial = " C-11".into();
    });
    both("position", "also given", |record| {
        record.overhauls[1].cylinders[1].position = "1".into();
    });
    error("overhauls[1].cylinders[0].readings[0].entered", "cylinder 1, station A, pin axis", |record| {
        record.overhauls[1].cylinders[0].readings[0].entered.clear();
    });
    error("overhauls[1].cylinders[0].findings[0].degrees", "scored wall", |record| {
        record.overhauls[1].cylinders[0].findings[0].degrees = Some(400.0);
    });
}
