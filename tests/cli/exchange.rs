//! Readings out and in, and drawings, from the command line.

use std::fs;
use std::path::PathBuf;

use records::file as files;

use crate::run::{borewright, file, golden, in_one_line};

fn folder() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("engine.ron");
    fs::copy(file("demo/wexcombe_six.ron"), &record).unwrap();
    (folder, record)
}

#[test]
fn readings_go_out_and_come_back() {
    let (folder, record) = folder();
    let before = files::load_record(&record).value.unwrap();
    let mut names = vec!["readings.csv"];
    if cfg!(feature = "exchange") {
        names.push("readings.xlsx");
    }
    for name in names {
        let out = folder.path().join(name);
        let run = borewright(["export", record.to_str().unwrap(), "--out", out.to_str().unwrap()]);
        assert_eq!((run.status, run.errors.as_str()), (0, ""));
        assert!(run.out.contains("The overhaul of 2023-03-14 is written to"), "{}", run.out);
        // Into the same overhaul: nothing is other than it was.
        let arguments = ["import", out.to_str().unwrap(), "--into", record.to_str().unwrap()];
        let run = borewright(arguments);
        assert_eq!(run.status, 0, "{}{}", run.out, run.errors);
        let out = in_one_line(&run.out);
        assert!(
            out.contains("0 readings at 0 places are taken over")
                && out.contains("others are in the record already"),
            "{out}"
        );
        assert_eq!(files::load_record(&record).value.unwrap(), before, "{name}");
    }
    for (part, first) in
        [("figures", "position,cylinder,name,"), ("outcomes", "position,cylinder,size,outcome,")]
    {
        let out = folder.path().join(format!("{part}.csv"));
        let run =
            borewright(["export", record.to_str().unwrap(), "--part", part, "--out", out.to_str().unwrap()]);
        assert_eq!(run.status, 0, "{}", run.errors);
        assert!(fs::read_to_string(&out).unwrap().starts_with(first));
    }
    let run = borewright(["export", record.to_str().unwrap(), "--out", "readings.txt"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains(".csv or .xlsx"), "{}", run.errors);
}

#[test]
fn what_would_be_taken_is_shown_before_it_is() {
    let (folder, record) = folder();
    let csv = folder.path().join("bench.csv");
    let text = "Pos.;Station;Axis;Dial;Colour\n1;A;pin;+7;red\n1;A;diagonal;+7;red\n1;A;thrust;seven;red\n1;B;pin;+8;red\n";
    fs::write(&csv, text).unwrap();
    let before = fs::read_to_string(&record).unwrap();
    let import = |more: &[&str]| {
        let arguments = ["import", csv.to_str().unwrap(), "--into", record.to_str().unwrap()];
        borewright(arguments.into_iter().chain(more.iter().copied()))
    };
    let missing = import(&["--dry-run"]);
    assert_eq!(missing.status, 2);
    assert!(missing.errors.contains("No column holds the reading or diameter."), "{}", missing.errors);
    let map = ["--map", "Dial=reading"];
    let with = |more: &[&'static str]| import(&[&map, more].concat());
    let shown = with(&["--dry-run"]);
    assert_eq!(shown.status, 2, "two rows are refused");
    assert_eq!(fs::read_to_string(&record).unwrap(), before);
    golden("import_bench.txt", &shown.out);
    // What is wrong stops the whole file, until a person says otherwise.
    let refused = with(&[]);
    assert_eq!((refused.status, fs::read_to_string(&record).unwrap()), (2, before.clone()));
    assert!(
        in_one_line(&refused.errors).contains(
            "Nothing is taken over. 2 rows are refused. 2 places have other readings in the record. Correct the file, \
             or agree with --leave-out-refused --replace."
        ),
        "{}",
        refused.errors
    );
    let one = with(&["--leave-out-refused"]);
    assert!(one.errors.contains("--replace") && !one.errors.contains("--leave-out"), "{}", one.errors);
    assert_eq!(fs::read_to_string(&record).unwrap(), before);
    let taken = with(&["--leave-out-refused", "--replace"]);
    assert_eq!(taken.status, 2, "rows are refused all the same");
    let after = files::load_record(&record).value.unwrap();
    assert_eq!(after.overhauls[2].cylinders[0].readings[0].entered, ["+7"]);
    let wrong = import(&["--map", "Dail=reading"]);
    assert!(wrong.errors.contains("Is `Dial` meant?"), "{}", wrong.errors);
    fs::write(&csv, "position,station,axis,reading\n9,A,pin,+7\n").unwrap();
    let none = import(&[]);
    assert!(none.errors.contains("No row can be taken over"), "{}", none.errors);
}

#[test]
fn a_diameter_is_taken_as_one_and_an_unlikely_one_is_asked_about() {
    let (folder, record) = folder();
    let csv = folder.path().join("bench.csv");
    let before = fs::read_to_string(&record).unwrap();
    let import = |text: &str, more: &[&str]| {
        fs::write(&csv, text).unwrap();
        let arguments = ["import", csv.to_str().unwrap(), "--into", record.to_str().unwrap()];
        borewright(arguments.into_iter().chain(more.iter().copied()))
    };
    let diameter = "position,station,axis,diameter\n5,D,pin,5.1352\n5,D,thrust,5.1280\n";
    let shown = import(diameter, &["--dry-run"]);
    let out = in_one_line(&shown.out);
    assert_eq!(shown.status, 2, "{out}");
    assert!(out.contains("2 5 D pin 5.1352 in 5.1352 in inside micrometer"), "{out}");
    assert!(
        out.contains("Line 2, cylinder 5, station D, axis pin: not likely: 5.1352 in is 0.0062 in above"),
        "{out}"
    );
    let asked = import(diameter, &[]);
    assert_eq!((asked.status, fs::read_to_string(&record).unwrap()), (2, before.clone()));
    assert!(in_one_line(&asked.errors).contains("agree with --accept-implausible."), "{}", asked.errors);
    // In inches this is no bore, and no word makes it one.
    let metric = "position,station,axis,diameter\n5,D,pin,130.175\n";
    let refused = import(metric, &["--accept-implausible", "--leave-out-refused"]);
    assert_eq!((refused.status, fs::read_to_string(&record).unwrap()), (2, before.clone()));
    let says = "Line 2, column diameter: refused: 130.175 in is no diameter of a bore that is made";
    let out = in_one_line(&refused.out);
    assert!(out.contains(says) && out.contains("It would fit in mm"), "{out}");
    let taken = import(metric, &["--unit", "mm"]);
    assert_eq!(taken.status, 0, "{}{}", taken.out, taken.errors);
    let taken = import(diameter, &["--accept-implausible", "--replace"]);
    assert_eq!(taken.status, 0, "{}{}", taken.out, taken.errors);
    let after = files::load_record(&record).value.unwrap();
    let readings = &after.overhauls[2].cylinders[4].readings;
    let [pin, thrust] = ["pin", "thrust"].map(|axis| {
        let reading = readings.iter().find(|r| r.station == "D" && r.axis == axis).unwrap();
        (reading.entered.join(" "), reading.gauge.clone().unwrap())
    });
    assert_eq!(pin, ("5.1352".to_owned(), "inside micrometer".to_owned()));
    assert_eq!(thrust.0, "5.1280");
    let none = import(diameter, &["--gauge", "a stick"]);
    assert!(none.errors.contains("The overhaul has no gauge `a stick`"), "{}", none.errors);
}

#[test]
fn nothing_is_taken_into_a_signed_overhaul() {
    let (folder, record) = folder();
    let by = ["--name", "Ada Invented", "--certificate", "invented 7", "--date", "2026-05-14"];
    assert_eq!(borewright(["seal", record.to_str().unwrap()].into_iter().chain(by)).status, 0);
    let csv = folder.path().join("bench.csv");
    fs::write(&csv, "position,station,axis,reading\n1,A,pin,+7\n").unwrap();
    let before = fs::read_to_string(&record).unwrap();
    let run = borewright(["import", csv.to_str().unwrap(), "--into", record.to_str().unwrap(), "--replace"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("signed by Ada Invented (invented 7) on 2026-05-14"), "{}", run.errors);
    assert!(run.errors.contains("borewright amend"), "{}", run.errors);
    assert!(!run.out.contains("taken over"), "{}", run.out);
    assert_eq!(fs::read_to_string(&record).unwrap(), before);
}

#[test]
fn outcomes_by_no_table_are_not_written() {
    let (folder, record) = folder();
    // By no table there are no outcomes, and a list of headings would say otherwise.
    let text = fs::read_to_string(&record).unwrap().replace("revision: \"C\"),", "revision: \"Q\"),");
    fs::write(&record, text).unwrap();
    let out = folder.path().join("outcomes.csv");
    for part in ["figures", "outcomes"] {
        let run =
            borewright(["export", record.to_str().unwrap(), "--part", part, "--out", out.to_str().unwrap()]);
        assert_eq!(run.status, 2);
        assert!(
            run.errors.contains("no table of limits") && run.errors.contains("engine.ron"),
            "{}",
            run.errors
        );
        assert!(!out.exists());
    }
    let run = borewright(["export", record.to_str().unwrap(), "--out", out.to_str().unwrap()]);
    assert_eq!(run.status, 2, "what cannot be read is told");
    assert!(out.exists(), "the readings as typed need no table");
}

#[test]
fn a_cylinder_is_drawn() {
    let (folder, record) = folder();
    for view in ["profile", "taper", "out-of-round", "section", "cut-open", "unrolled"] {
        let out = folder.path().join(format!("{view}.svg"));
        let run = borewright([
            "plot",
            record.to_str().unwrap(),
            "--cylinder",
            "4",
            "--view",
            view,
            "--out",
            out.to_str().unwrap(),
        ]);
        assert_eq!((run.status, run.errors.as_str()), (0, ""));
        let svg = fs::read_to_string(&out).unwrap();
        assert!(svg.starts_with("<svg") && svg.contains("WX-0702"), "{view}");
    }
    let png = folder.path().join("by-serial.png");
    let run = borewright([
        "plot",
        record.to_str().unwrap(),
        "--cylinder",
        "WX-0702",
        "--out",
        png.to_str().unwrap(),
    ]);
    if cfg!(feature = "picture") {
        assert_eq!((run.status, run.errors.as_str()), (0, ""));
        assert_eq!(fs::read(&png).unwrap()[..4], *b"\x89PNG");
    } else {
        assert!(run.errors.contains("Save it as SVG"), "{}", run.errors);
    }
    let run =
        borewright(["plot", record.to_str().unwrap(), "--cylinder", "9", "--out", png.to_str().unwrap()]);
    assert_eq!(run.status, 2);
    assert!(
        run.errors.contains("has no cylinder `9`") && run.errors.contains("4 (WX-0702)"),
        "{}",
        run.errors
    );
}

#[test]
fn a_file_that_is_there_is_written_over_only_by_force() {
    let (folder, record) = folder();
    let record = record.to_str().unwrap();
    let name = |name: &str| folder.path().join(name).display().to_string();
    let (csv, svg) = (name("readings.csv"), name("profile.svg"));
    for (arguments, out) in [
        (vec!["export", record, "--out", &csv], &csv),
        (vec!["plot", record, "--cylinder", "4", "--out", &svg], &svg),
    ] {
        fs::write(out, "somebody's work").unwrap();
        let run = borewright(arguments.clone());
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        let reported = in_one_line(&run.errors);
        assert!(
            reported.contains("There is a file of this name already; nothing was written."),
            "{reported}"
        );
        assert!(reported.contains("--force to overwrite it"), "{reported}");
        assert_eq!(fs::read_to_string(out).unwrap(), "somebody's work");
        let run = borewright(arguments.into_iter().chain(["--force"]));
        assert_eq!((run.status, run.errors.as_str()), (0, ""));
        assert_ne!(fs::read_to_string(out).unwrap(), "somebody's work");
    }
}
