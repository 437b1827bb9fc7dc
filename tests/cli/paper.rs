//! What is printed: read by another program where there is one, the same bytes twice, and everything a record can do
//! to a page.
//!
//! The other program is poppler (pdftotext, pdfinfo, pdffonts). Where it is not installed the tests say so and check
//! what can be checked without it.

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use judging::reason;
use judging::shown::{Shown, limit_style};
use judging::words::{self, NONE};
use paper::sheet::{For, sheet};
use paper::{Judged, PageSize, Wish, data, tags};
use records::file;
use records::limits::rows::RowName;
use records::record::entry::MeasuringOrder;
use records::record::schema::EngineRecord;
use work::evaluation::Evaluation;

use crate::run::{borewright, file as path, golden, in_one_line, program};

/// Runs a program of poppler; `None`, said once, where it is not installed.
#[expect(clippy::print_stderr, reason = "a test that checks less than it could says so")]
fn poppler(program: &str, arguments: &[&str], pdf: &Path) -> Option<String> {
    let output = Command::new(program).args(arguments).arg(pdf).arg("-").output();
    let output = match program {
        "pdftotext" => output,
        _ => Command::new(program).args(arguments).arg(pdf).output(),
    };
    match output {
        Ok(output) => {
            assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
            Some(String::from_utf8_lossy(&output.stdout).into_owned())
        }
        Err(error) => {
            eprintln!(
                "skipped: {program} is not here ({error}); install poppler-utils to check the PDF itself"
            );
            None
        }
    }
}

fn record(name: &str) -> EngineRecord {
    file::load_record(&path(name)).value.unwrap()
}

/// An overhaul judged, as the window has it.
fn evaluated(record: &EngineRecord, overhaul: usize) -> Evaluation {
    Evaluation::of(record, overhaul, None)
}

fn judged<'a>(record: &'a EngineRecord, overhaul: usize, evaluation: &'a Evaluation) -> Judged<'a> {
    let survey = evaluation.survey.as_ref().unwrap();
    Judged { record, overhaul, survey, assessments: &evaluation.assessments }
}

fn print(arguments: &[&str], out: &Path) {
    let mut all = arguments.to_vec();
    let out = out.display().to_string();
    all.extend(["--out", &out]);
    let run = borewright(&all);
    assert_eq!((run.status, run.errors.as_str()), (0, ""), "{all:?}");
}

#[test]
fn every_outcome_figure_limit_and_reading_is_in_the_pdf() {
    let folder = tempfile::tempdir().unwrap();
    for (name, overhaul, page) in
        [("wexcombe_six", 2, "a4"), ("skarvoy_320", 1, "letter"), ("penhallow_twin", 0, "a4")]
    {
        let pdf = folder.path().join(format!("{name}.pdf"));
        let of = format!("demo/{name}.ron");
        print(&["report", &of, "--page", page], &pdf);
        let Some(text) = poppler("pdftotext", &["-layout"], &pdf) else { return };
        let text = in_one_line(&text);
        let has = |what: &str| assert!(text.contains(&in_one_line(what)), "{name}: {what} is not in\n{text}");
        let record = record(&of);
        let evaluation = evaluated(&record, overhaul);
        let survey = evaluation.survey.as_ref().unwrap();
        let limits = &survey.limits;
        has(words::ILLUSTRATIVE);
        has(&limits.identity);
        for (cylinder, assessment) in survey.cylinders.iter().zip(&evaluation.assessments) {
            has(&assessment.recommendation.words(limits));
            has(&cylinder.serial);
            let style = cylinder.style(limits);
            let mut numbers = 0;
            for row in &assessment.rows {
                let shown = reason::shown(row, style);
                if let Some(shown) = shown {
                    has(&shown.value.number(shown.style));
                    numbers += 1;
                }
                if let Some(limit) = &row.limit {
                    let alone = || limit.length.number(limit_style(limit.length, limit.style, style));
                    has(&shown.and_then(Shown::limit_number).unwrap_or_else(alone));
                }
                has(row.status.words());
                has(&words::within_words(row));
            }
            let means = words::sheet_style(cylinder, style);
            for (_, cell) in cylinder.bore.measured() {
                has(&cell.mean().number(means));
                numbers += 1;
            }
            assert!(numbers > 0, "{name}: {} was measured", cylinder.words());
        }
        for size in &limits.sizes {
            has(&size.new.0.length.number(size.new.0.style));
            has(&size.serviceable.as_ref().map_or(NONE.to_owned(), |limit| limit.length.number(limit.style)));
        }
        assert!(!text.to_lowercase().contains("airworthy"));
    }
}

#[test]
fn every_page_says_which_engine_which_day_and_which_page() {
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("report.pdf");
    print(&["report", "demo/wexcombe_six.ron"], &pdf);
    let Some(about) = poppler("pdfinfo", &[], &pdf) else { return };
    let pages: usize =
        about.lines().find_map(|line| line.strip_prefix("Pages:")).unwrap().trim().parse().unwrap();
    assert!((10..=18).contains(&pages), "{about}");
    assert!(
        about.contains("Title:           Bore inspection report, Wexcombe Six (invented) W6-0001"),
        "{about}"
    );
    assert!(!about.contains("CreationDate"), "{about}");
    for page in 1..=pages {
        let number = page.to_string();
        let text = poppler("pdftotext", &["-layout", "-f", &number, "-l", &number], &pdf).unwrap();
        for what in ["W6-0001", "2023-03-14", &format!("page {page} of {pages}")] {
            assert!(in_one_line(&text).contains(what), "page {page} without {what}:\n{text}");
        }
    }
    let fonts = poppler("pdffonts", &[], &pdf).unwrap();
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(rows.len() >= 3 && fonts.contains("LibertinusSerif") && fonts.contains("DejaVuSans"), "{fonts}");
    for row in rows {
        // The columns are counted from the right: embedded, subset, Unicode, object.
        let columns: Vec<&str> = row.split_whitespace().rev().collect();
        assert_eq!(&columns[2..5], ["yes", "yes", "yes"], "{row}");
    }
    for (page, size) in [("a4", "595.276 x 841.89"), ("letter", "612 x 792")] {
        let pdf = folder.path().join(format!("{page}.pdf"));
        print(&["tags", "demo/penhallow_twin.ron", "--page", page], &pdf);
        let about = poppler("pdfinfo", &[], &pdf).unwrap();
        assert!(about.contains(size), "{about}");
    }
}

#[test]
fn what_the_report_says_has_not_changed() {
    let record = record("demo/penhallow_twin.ron");
    let evaluation = evaluated(&record, 0);
    let document = data::report(judged(&record, 0, &evaluation), Wish::default());
    golden("report_penhallow.json", document.json());
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [
        ["report", "demo/wexcombe_six.ron"],
        ["sheet", "limits/skarvoy_320.ron"],
        ["tags", "demo/wexcombe_six.ron"],
    ] {
        let bytes = ["one.pdf", "two.pdf"].map(|name| {
            let pdf = folder.path().join(name);
            let _ = std::fs::remove_file(&pdf);
            print(&arguments, &pdf);
            std::fs::read(&pdf).unwrap()
        });
        assert!(bytes[0].starts_with(b"%PDF-"));
        assert!(bytes[0] == bytes[1], "{arguments:?} differs from one time to the next");
    }
}

#[test]
fn a_file_that_is_there_is_kept_and_a_bad_record_keeps_no_other_back() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let bad = folder.path().join("bad.ron");
    std::fs::write(&bad, "EngineRecord(format: 2, engine: (").unwrap();
    let bad = bad.display().to_string();
    let many = ["report", "demo/penhallow_twin.ron", &bad, "demo/skarvoy_320.ron", "--out", &out];
    let run = borewright(many);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("bad.ron:1:"), "{}", run.errors);
    let written: Vec<&str> = run.out.lines().collect();
    assert_eq!(written.len(), 2, "{}", run.out);
    for (line, name) in written.iter().zip(["penhallow_twin-", "skarvoy_320-"]) {
        let (file, pages) = line.rsplit_once(": ").unwrap();
        assert!(file.contains(name) && file.ends_with("-report.pdf") && pages.ends_with("pages"), "{line}");
        assert!(Path::new(file).is_file());
    }
    let again = borewright(many);
    assert_eq!((again.status, again.out.as_str()), (2, ""));
    assert_eq!(again.errors.matches("There is a file of this name already").count(), 2, "{}", again.errors);
    let forced = borewright(many.into_iter().chain(["--force"]));
    assert_eq!(forced.out, run.out);
    // One name for two reports: the second one is refused, even where overwriting is allowed.
    let pdf = folder.path().join("all.pdf").display().to_string();
    let run =
        borewright(["report", "demo/penhallow_twin.ron", "demo/skarvoy_320.ron", "--out", &pdf, "--force"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("Two PDFs of this call would have this name"), "{}", run.errors);
}

#[test]
fn the_overhauls_of_one_record_are_told_apart_by_their_day() {
    let folder = tempfile::tempdir().unwrap();
    for what in ["tags", "sheet"] {
        print(&[what, "demo/wexcombe_six.ron", "--overhaul", "all"], folder.path());
        let found = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).filter(
            |name| {
                let name = name.to_string_lossy();
                name.starts_with("wexcombe_six-20") && name.ends_with(&format!("-{what}.pdf"))
            },
        );
        assert_eq!(found.count(), 3, "{what}");
    }
    // A table's sheet is for any cylinder.
    print(&["sheet", "limits/wexcombe_six.ron", "--cylinder", "3"], folder.path());
    assert!(folder.path().join("wexcombe_six-sheet.pdf").exists());
}

#[test]
fn one_cylinder_is_printed_alone_and_an_unknown_one_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let run = borewright(["report", "demo/wexcombe_six.ron", "--cylinder", "4", "--out", &out]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    let pdf = folder.path().join("wexcombe_six-2023-03-14-cylinder-4-report.pdf");
    if let Some(text) = poppler("pdftotext", &["-layout"], &pdf) {
        assert!(text.contains("cylinder 4 (WX-0702)") && !text.contains("WX-0411"), "{text}");
    }
    let run = borewright(["report", "demo/wexcombe_six.ron", "--cylinder", "9", "--out", &out]);
    assert_eq!(run.status, 2);
    assert!(
        run.errors.contains("no cylinder `9`. Name one by its position or serial; it has: 1 (WX-0411), "),
        "{}",
        run.errors
    );
}

/// The setting itself ends them: a loop that only goes round, and a template that calls itself.
#[test]
fn a_template_without_end_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().display().to_string();
    let pdf = folder.path().join("endless.pdf").display().to_string();
    for endless in ["{ while true { } }", "letterhead(data)"] {
        let text = format!("#let letterhead(data) = {endless}\n");
        std::fs::write(folder.path().join("letterhead.typ"), text).unwrap();
        let begun = std::time::Instant::now();
        let run = borewright(["report", "demo/penhallow_twin.ron", "--template", &own, "--out", &pdf]);
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        assert!(run.errors.contains("letterhead.typ:1:") && run.errors.contains("error:"), "{}", run.errors);
        assert!(begun.elapsed().as_secs() < 90);
    }
}

/// The processes that were begun with a mark in their environment, and by those.
#[cfg(target_os = "linux")]
fn marked(mark: &str) -> Vec<String> {
    let processes = std::fs::read_dir("/proc").unwrap().flatten().map(|entry| entry.path());
    let has_it = |path: &std::path::PathBuf| {
        let environment = std::fs::read(path.join("environ")).unwrap_or_default();
        environment.split(|byte| *byte == 0).any(|variable| variable.ends_with(mark.as_bytes()))
    };
    let command =
        |path: std::path::PathBuf| std::fs::read_to_string(path.join("cmdline")).unwrap_or_default();
    processes.filter(has_it).map(command).collect()
}

/// Asks again and again, for a minute at most.
#[cfg(target_os = "linux")]
fn soon(what: impl Fn() -> bool) -> bool {
    (0..600).any(|_| {
        let is = what();
        if !is {
            std::thread::sleep(std::time::Duration::from_millis(100));
        }
        is
    })
}

/// An hour of work in which the setting itself sees no loop without end.
const AN_HOUR: &str = "for a in range(100000) { for b in range(100000) { let c = a * b } }";

/// Prints with a letterhead, in a process with a mark.
#[cfg(target_os = "linux")]
fn with_letterhead(folder: &std::path::Path, letterhead: &str, mark: &str) -> std::process::Command {
    std::fs::write(folder.join("letterhead.typ"), format!("#let letterhead(data) = {letterhead}\n")).unwrap();
    let mut command = program();
    command.env("BOREWRIGHT_TEST", mark).args(["report", "demo/penhallow_twin.ron", "--overhaul", "all"]);
    command.arg("--template").arg(folder).arg("--out").arg(folder);
    command
}

#[cfg(target_os = "linux")]
#[test]
fn a_template_that_takes_too_much_is_ended_and_leaves_no_process() {
    let folder = tempfile::tempdir().unwrap();
    let hoard = "{ let all = (); for i in range(1000) { all.push(str(i) + \"x\" * 1000000) }; [#all.len()] }";
    let deep = "{ let all = (); for i in range(1000) { all.push(str(i) + \"x\" * 1000000) }; AN_HOUR }";
    for (letterhead, bound, words) in [
        (format!("{{ {AN_HOUR} }}"), ["--template-seconds", "1"], "takes more than 1 second, and was ended."),
        (hoard.to_owned(), ["--template-memory", "256"], "takes more than 256 MiB of memory, and was ended."),
        (deep.replace("AN_HOUR", AN_HOUR), ["--template-memory", "256"], "takes more than 256 MiB of memory"),
    ] {
        let mark = format!("{}-{}", folder.path().display(), words.len());
        let output = with_letterhead(folder.path(), &letterhead, &mark).args(bound).output().unwrap();
        let errors = in_one_line(&String::from_utf8(output.stderr).unwrap());
        assert_eq!((output.status.code(), output.stdout.as_slice()), (Some(2), &[][..]), "{errors}");
        assert!(errors.contains("error: Setting pages by these templates"), "{errors}");
        assert!(errors.contains(words), "{errors}");
        assert!(errors.contains(bound[0]), "it says how to give it more: {errors}");
        assert_eq!(marked(&mark), [""; 0]);
    }
    let names = std::fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(names, 1, "nothing was written but the letterhead");
    // The bounds are those of what goes wrong, not of what any page takes.
    let mark = format!("{}-sound", folder.path().display());
    let mut sound = with_letterhead(folder.path(), "[A shop (invented)]", &mark);
    let output = sound.args(["--template-memory", "256"]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

/// Whoever waits for the pages may be killed: what sets them ends as well.
#[cfg(target_os = "linux")]
#[test]
fn a_killed_program_leaves_nothing_that_sets_pages() {
    let folder = tempfile::tempdir().unwrap();
    let mark = format!("{}-killed", folder.path().display());
    let mut printing = with_letterhead(folder.path(), &format!("{{ {AN_HOUR} }}"), &mark);
    let mut waiting = printing.stderr(std::process::Stdio::null()).spawn().unwrap();
    let sets = |line: &String| line.contains(paper::apart::ARGUMENT);
    assert!(soon(|| marked(&mark).iter().any(sets)), "nothing sets the pages");
    waiting.kill().unwrap();
    waiting.wait().unwrap();
    assert!(soon(|| marked(&mark).is_empty()), "{:?}", marked(&mark));
}

#[test]
fn a_shops_own_templates_are_used_and_their_errors_are_placed() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("own");
    let own_text = own.display().to_string();
    let run = borewright(["report", "--write-template", &own_text]);
    assert_eq!((run.status, run.errors.as_str(), run.out.lines().count()), (0, "", 5));
    let run = borewright(["report", "--write-template", &own_text]);
    assert_eq!(run.status, 2, "what a shop may have changed is not overwritten");

    // Unchanged, the written templates print what the built-in ones print.
    let (built_in, same) = (folder.path().join("built-in.pdf"), folder.path().join("same.pdf"));
    print(&["report", "demo/penhallow_twin.ron"], &built_in);
    print(&["report", "demo/penhallow_twin.ron", "--template", &own_text], &same);
    assert!(std::fs::read(&built_in).unwrap() == std::fs::read(&same).unwrap());

    // A letterhead alone, with a picture beside it.
    for name in ["report.typ", "sheet.typ", "tags.typ", "common.typ"] {
        std::fs::remove_file(own.join(name)).unwrap();
    }
    std::fs::write(own.join("logo.svg"), "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>")
        .unwrap();
    let letterhead = "#let letterhead(data) = [#image(\"logo.svg\") Harebell Engine Works (invented)]\n";
    std::fs::write(own.join("letterhead.typ"), letterhead).unwrap();
    let changed = folder.path().join("changed.pdf");
    print(&["report", "demo/penhallow_twin.ron", "--template", &own_text], &changed);
    if let Some(text) = poppler("pdftotext", &["-l", "1"], &changed) {
        assert!(text.contains("Harebell Engine Works (invented)"), "{text}");
    }

    let wrong = "#let letterhead(data) = {\n  [a]\n  data.engien\n}\n";
    std::fs::write(own.join("letterhead.typ"), wrong).unwrap();
    let pdf = folder.path().join("wrong.pdf").display().to_string();
    let run = borewright(["report", "demo/penhallow_twin.ron", "--template", &own_text, "--out", &pdf]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(
        run.errors.contains("letterhead.typ:3:8: error: dictionary does not contain key"),
        "{}",
        run.errors
    );

    let run = borewright(["report", "demo/penhallow_twin.ron", "--template", "demo", "--out", &pdf]);
    assert_eq!(run.status, 2);
    assert!(
        run.errors.contains("There is no template in this folder. It may hold any of report.typ"),
        "{}",
        run.errors
    );
}

#[test]
fn a_check_sheet_has_every_station_limit_and_a_page_for_each_cylinder() {
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("sheet.pdf");
    print(&["sheet", "limits/wexcombe_six.ron"], &pdf);
    if let Some(text) = poppler("pdftotext", &["-layout"], &pdf) {
        let text = in_one_line(&text);
        for what in
            ["5.1290", "0.0020", "0.0180 L", "top of ring travel", "thrust, 90°", "head end", "cylinder 6"]
        {
            assert!(text.contains(what), "{what} is not in\n{text}");
        }
        assert_eq!(text.matches("measured by").count(), 6);
    }
    // The order of the small numbers is that of measuring.
    let limits = file::load_limits(&path("limits/wexcombe_six.ron")).value.unwrap();
    let limits = records::limits::Limits::resolve(&limits).unwrap();
    let json = |order| {
        let document = sheet(For::Table(&limits), order, PageSize::A4);
        serde_json::from_str::<serde_json::Value>(document.json()).unwrap()
    };
    let by_axis = json(MeasuringOrder::AxisByAxis);
    assert_eq!(by_axis["stations"][1]["order"], serde_json::json!([2, 7, 12, 17]));
    let by_depth = json(MeasuringOrder::DepthByDepth);
    assert_eq!(by_depth["stations"][1]["order"], serde_json::json!([5, 6, 7, 8]));
    let shares: Vec<f64> =
        by_axis["stations"].as_array().unwrap().iter().map(|s| s["share"].as_f64().unwrap()).collect();
    assert!(shares.windows(2).all(|pair| pair[0] < pair[1]), "{shares:?}");
    // For a record: one sheet for each cylinder that it names.
    let pdf = folder.path().join("record.pdf");
    print(&["sheet", "demo/penhallow_twin.ron"], &pdf);
    if let Some(text) = poppler("pdftotext", &["-layout"], &pdf) {
        assert_eq!(text.matches("measured by").count(), 2);
    }
}

// ---- everything a record can do to a page

/// A record with so many cylinders, stations and axes, whose names are long and in several scripts; unmeasured
/// unless `filled`.
fn absurd(cylinders: usize, stations: usize, axes: &[(&str, f64)], filled: bool) -> String {
    const MODEL: &str = "Двигатель Ωmega, an invented engine with a name that goes on and on until it is longer than \
                         any line of any page";
    let mut table = String::new();
    let names: Vec<String> = (0..stations).map(|i| format!("S{:02}", i + 1)).collect();
    for (i, name) in names.iter().enumerate() {
        let role = match i {
            0 => "TopOfRingTravel",
            _ if i + 1 == stations => "BaseEnd",
            _ => "RunningSurface",
        };
        let depth = 4 + i * 2;
        write!(table, "(name: \"{name}\", depth: \"{}.{}\", role: {role}),", depth / 10, depth % 10).unwrap();
    }
    let mut directions = String::new();
    for (label, degrees) in axes {
        write!(directions, "(label: \"{label}\", degrees: {degrees:?}),").unwrap();
    }
    let mut barrels = String::new();
    for cylinder in 0..cylinders {
        let mut readings = String::new();
        for (i, name) in names.iter().enumerate().filter(|_| filled) {
            for (j, (label, _)) in axes.iter().enumerate() {
                let last = 60 + (7 * i + 3 * j + cylinder) % 25;
                write!(
                    readings,
                    "(station: \"{name}\", axis: \"{label}\", entered: [\"5.12{last}\", \"5.12{last}\"]),"
                )
                .unwrap();
            }
        }
        write!(
            barrels,
            "(position: \"{}\", serial: \"ЦИЛИНДР-ΑΒΓ-Ñandú-{cylinder}-with-a-serial-number-without-any-blank\", \
             size: Standard, looked_over: true, findings: [(kind: Pitted, place: \"Übergangsbereich, дно, πυθμήν, a \
             description that nobody would write but somebody will\", depth: \"0.0010\")], readings: [{readings}], \
             remarks: \"漢字 Ελληνικά\"),",
            cylinder + 1
        )
        .unwrap();
    }
    // One station has none.
    let taper = if stations > 1 { "taper: (rule: AxisAverages, serviceable: At(\"0.0020\"))," } else { "" };
    format!(
        "EngineRecord(format: 2, engine: (model: \"{MODEL}\", serial: \"{}\"), overhauls: [(date: \"2026-05-14\", \
         inspector: (name: \"Ærøskøbing Þórðarson-Đặng\"), gauges: [(name: \"bore gauge\", graduation: \"0.0001\")], \
         cylinders: [{barrels}])], tables: [(format: 1, identity: \"LONG\", revision: \"Ä-7\", engine: \"{MODEL}\", \
         source: Illustrative(remark: \"invented for a test\"), unit: Inch, stations: [{table}], axes: [{directions}], \
         bore: [(size: Standard, reference: \"1\", new: (\"5.1250\", \"5.1265\"), serviceable: At(\"5.1290\")), \
         (size: Oversize(\"0.010\"), reference: \"2\", new: (\"5.1350\", \"5.1365\"), serviceable: At(\"5.1390\"))], \
         {taper} out_of_round: (rule: PerStation, serviceable: At(\"0.0020\")), wall: (surface: Plain, cut: Allowed), clean_up_allowance: \"0.0005\")])",
        "SERIAL".repeat(20)
    )
}

#[test]
fn long_names_many_cylinders_stations_axes_and_scripts_are_all_set() {
    let two = [("pin", 0.0), ("thrust", 90.0)];
    let eight: Vec<(String, f64)> = (0..8).map(|i| (format!("{}", i * 22), f64::from(i) * 22.5)).collect();
    let eight: Vec<(&str, f64)> = eight.iter().map(|(label, degrees)| (label.as_str(), *degrees)).collect();
    for (text, pages) in [
        (absurd(18, 5, &two, true), 36..=60),
        (absurd(1, 40, &eight, true), 5..=12),
        (absurd(2, 5, &two, false), 3..=6),
        (absurd(0, 5, &two, false), 2..=3),
        (absurd(1, 1, &two, true), 3..=6),
    ] {
        let record = file::record_from_text(&text, None).value.unwrap();
        let evaluation = evaluated(&record, 0);
        for page in PageSize::ALL {
            let judged = judged(&record, 0, &evaluation);
            let reported = data::report(judged, Wish { page, cylinder: None }).set();
            let errors: Vec<_> = reported.diagnostics.iter().filter(|reported| reported.is_error()).collect();
            assert!(errors.is_empty(), "{errors:?}");
            let set = reported.value.unwrap();
            assert!(pages.contains(&set.count()), "{} pages, {pages:?}", set.count());
            assert!(set.pdf().unwrap().starts_with(b"%PDF-"));
            for document in [
                sheet(For::Overhaul(judged, None), MeasuringOrder::default(), page),
                tags::tags(&record, 0, None, page),
            ] {
                assert!(document.set().value.unwrap().count() > 0);
            }
        }
    }
}

#[test]
fn letters_that_no_type_has_are_named_and_keep_nothing_back() {
    let record =
        file::record_from_text(&absurd(1, 2, &[("pin", 0.0), ("thrust", 90.0)], true), None).value.unwrap();
    let evaluation = evaluated(&record, 0);
    let reported = data::report(judged(&record, 0, &evaluation), Wish::default()).set();
    assert!(reported.value.is_some());
    let reported: Vec<String> = reported.diagnostics.iter().map(ToString::to_string).collect();
    assert_eq!(reported.len(), 1, "{reported:?}");
    assert!(reported[0].contains("lacks 2 letters") && reported[0].contains("漢 (U+6F22)"), "{reported:?}");
}

#[test]
fn a_page_can_be_seen_before_it_is_printed() {
    let record = record("demo/penhallow_twin.ron");
    let evaluation = evaluated(&record, 0);
    let pages = data::report(judged(&record, 0, &evaluation), Wish::default()).set();
    let pages = pages.value.unwrap();
    let (width, height) = pages.size(0).unwrap();
    assert!((width - 595.28).abs() < 0.01 && (height - 841.89).abs() < 0.01, "{width} {height}");
    let picture = pages.picture(0, 1.0).unwrap();
    assert_eq!((picture.width, picture.height), (595, 842));
    assert_eq!(picture.rgba.len(), 4 * picture.width * picture.height);
    let dark = picture.rgba.chunks(4).filter(|pixel| pixel[0] < 100).count();
    assert!(dark > 3000, "{dark}");
    assert!(picture.rgba.chunks(4).all(|pixel| pixel[3] == 255));
    assert_eq!(pages.picture(99, 1.0), None);
    assert_eq!(pages.picture(0, 1e9), None);
    assert_eq!(pages.picture(0, f64::NAN), None);
}

#[test]
fn a_signature_in_the_record_is_printed_with_its_digest() {
    let folder = tempfile::tempdir().unwrap();
    let signed = folder.path().join("signed.ron");
    std::fs::copy(path("demo/penhallow_twin.ron"), &signed).unwrap();
    let name = signed.display().to_string();
    let by = ["--name", "Ada Invented", "--certificate", "invented 7", "--date", "2026-05-14"];
    let run = borewright([&["seal", &name][..], &by].concat());
    assert_eq!(run.status, 0, "{}", run.errors);
    let record = file::load_record(&signed).value.unwrap();
    let overhaul = record.overhauls.len() - 1;
    let digest = record.overhauls[overhaul].seal.as_ref().unwrap().digest.clone();
    let evaluation = evaluated(&record, overhaul);
    let reported = data::report(judged(&record, overhaul, &evaluation), Wish::default()).json().to_owned();
    assert!(
        reported.contains("It is as it was signed by Ada Invented (invented 7) on 2026-05-14."),
        "{reported}"
    );
    assert!(reported.contains(&digest));
    let out = folder.path().join("report.pdf");
    print(&["report", &name], &out);
    if let Some(text) = poppler("pdftotext", &["-layout"], &out) {
        assert!(in_one_line(&text).contains("signed by Ada Invented (invented 7) on 2026-05-14"), "{text}");
        assert!(text.contains(&digest), "{text}");
    }
}

#[test]
fn every_row_of_the_table_is_in_the_report() {
    let record = record("tests/fixtures/every_row.ron");
    let evaluation = evaluated(&record, 1);
    let document = data::report(judged(&record, 1, &evaluation), Wish::default());
    let document: serde_json::Value = serde_json::from_str(document.json()).unwrap();
    let rows = document["cylinders"][0]["figures"].as_array().unwrap();
    let rows: Vec<String> = rows.iter().map(|row| row["row"].as_str().unwrap().to_lowercase()).collect();
    assert_eq!(rows, RowName::ALL.map(RowName::words));
}
