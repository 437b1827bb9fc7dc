//! Cylinders across overhauls: what `trend` prints, refuses and keeps.

use serde_json::Value;

use crate::run::{borewright, file, golden, in_one_line};

#[test]
fn an_engine_is_as_before() {
    let run = borewright(["trend", "demo/wexcombe_fast_barrel.ron"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    golden("trend_fast_barrel.txt", &run.out);
}

#[test]
fn a_cylinder_is_as_before() {
    let arguments = ["trend", "demo", "--serial", "WX-3103", "--figure", "choke", "--at", "900"];
    let run = borewright(arguments);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    golden("trend_moved_barrel.txt", &run.out);
}

#[test]
fn everything_fits_a_hundred_columns() {
    let mut texts = Vec::new();
    for figure in ["bore", "taper", "choke", "skirt", "wear"] {
        texts.push(borewright(["trend", "demo", "--figure", figure, "--at", "1000"]).out);
    }
    for serial in ["WX-0411", "WX-0416", "WX-0702", "WX-2004"] {
        texts.push(borewright(["trend", "demo", "--serial", serial]).out);
    }
    texts.push(borewright(["trend", "demo", "--by-date"]).out);
    texts.push(borewright(["trend", "demo", "--by-date", "--serial", "WX-2004"]).out);
    texts.push(borewright(["trend", "--help"]).out);
    for text in texts {
        for line in text.lines() {
            assert!(line.chars().count() <= 100 && !line.ends_with(' '), "{line:?}");
        }
        assert!(!text.contains("NaN") && !text.contains("airworthy") && !text.contains('\u{1b}'));
    }
}

#[test]
fn json_says_the_same() {
    let run = borewright(["trend", "demo/wexcombe_fast_barrel.ron", "--json", "--at", "500"]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    let document: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!((&document["format"], &document["time"]), (&2.into(), &"hours".into()));
    let engine = &document["engines"][0];
    assert_eq!(engine["stands_out"], "WX-2004");
    assert_eq!(engine["common_rate_cylinders"].as_array().unwrap().len(), 5, "all but that one");
    assert_eq!(engine["common_rate_leads"], true);
    let fast = &engine["cylinders"][3];
    assert_eq!((fast["serial"].as_str(), fast["points"].as_array().unwrap().len()), (Some("WX-2004"), 6));
    let (low, high) = (&fast["limit_reached_95"][0], &fast["limit_reached_95"][1]);
    let within = fast["measure_within_hours"].as_f64().unwrap();
    assert!(within <= low.as_f64().unwrap() && low.as_f64() < high.as_f64());
    assert_eq!((&fast["crossing"], &fast["rate_basis"]), (&"bounded".into(), &"own".into()));
    // Enough to recompute: an interval by u and t, R by chi-squared, a point's u by its parts.
    let number = |value: &Value| value.as_f64().unwrap();
    let half = number(&fast["rate_95"][1]) - number(&fast["rate_mm_per_hour"]);
    let t = half / number(&fast["rate_u_mm_per_hour"]);
    assert!(t > 1.96 && t < 2.78 && number(&fast["rate_dof"]) > 4.0, "{t}");
    let readings = &fast["checked"]["readings"];
    let (chi_squared, dof, budget) =
        (number(&readings["chi_squared"]), number(&readings["dof"]), number(&readings["budget_dof"]));
    let ratio = ((budget + chi_squared) / (budget + dof)).max(1.0);
    assert!((number(&readings["ratio"]) - ratio).abs() < 1e-9 && dof == 20.0, "{readings}");
    let point = &fast["points"][0];
    let parts = ["u_reading_mm", "u_survey_mm", "u_standard_mm"].map(|part| number(&point[part]));
    let together = parts[0].hypot(parts[1]).hypot(parts[2]);
    assert!((number(&point["u_mm"]) - together).abs() < 1e-12);
    assert_eq!(point["standard"], "5.1250 ring, 130.1750000 mm");
    assert!(number(&fast["against_others"]["p"]) < 0.05);
    // Where the common rate leads, the own line is beside it.
    let other = &engine["cylinders"][0];
    assert_eq!(
        (&other["rate_basis"], &other["rate_mm_per_hour"]),
        (&"common".into(), &engine["common_rate_mm_per_hour"])
    );
    assert!(number(&other["alone"]["rate_u_mm_per_hour"]) > number(&other["rate_u_mm_per_hour"]));
    let chance = fast["outlook"]["chance_passed"].as_f64().unwrap();
    assert!(chance > 0.025 && chance < 0.975, "{chance}");

    let run = borewright(["trend", "demo", "--serial", "WX-0416", "--json"]);
    let document: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(document["cylinders"].as_array().unwrap().len(), 2, "two lives");
    assert_eq!(document["cylinders"][1]["rate_mm_per_hour"], Value::Null, "one survey");
}

#[test]
fn what_is_not_there_is_not_taken_for_something_else() {
    let run = borewright(["trend", "demo", "--serial", "WX-0417"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(
        run.errors.contains("No cylinder with the serial number `WX-0417` was found. Is `WX-041"),
        "{}",
        run.errors
    );
    let run = borewright(["trend", "demo", "--figure", "girth"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(
        run.errors.contains("There is no figure `girth`. Known here: bore, wear, taper"),
        "{}",
        run.errors
    );
    let run = borewright(["trend", "limits"]);
    assert_eq!((run.status, run.out.as_str()), (2, ""));
    assert!(run.errors.contains("There is nothing to follow"), "{}", run.errors);
    let run = borewright(["trend", "demo", "--at", "soon"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("write hours of running"), "{}", run.errors);
    // A file that cannot be read is told, and the others are followed all the same.
    let run = borewright(["trend", "demo/nowhere.ron", "demo/wexcombe_fast_barrel.ron"]);
    assert_eq!(run.status, 2);
    assert!(run.errors.contains("There is no such file.") && run.out.contains("WX-2004"), "{}", run.errors);
    let run = borewright(["trend", "demo/nowhere.ron", "--json"]);
    let document: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(document["errors"].as_array().unwrap().len(), 1);
}

#[test]
fn the_kept_index_gives_the_same() {
    let kept = tempfile::tempdir().unwrap();
    let demo = file("demo");
    let arguments = ["trend".as_ref(), demo.as_os_str(), "--index".as_ref(), kept.path().as_os_str()];
    let first = borewright(arguments);
    assert_eq!((first.status, first.errors.as_str()), (0, ""));
    assert_eq!(std::fs::read_dir(kept.path()).unwrap().count(), 1);
    assert_eq!(borewright(arguments).out, first.out);
    assert_eq!(borewright(["trend".as_ref(), demo.as_os_str()]).out, first.out);
}

/// An engine whose barrels are stamped 1, 2, 3: the demo of this name under another engine's number.
fn vintage(folder: &std::path::Path, engine: &str) {
    let mut text =
        std::fs::read_to_string(file("demo/wexcombe_pair_a.ron")).unwrap().replace("W6-0031", engine);
    for (i, serial) in ["WX-3101", "WX-3102", "WX-3103"].into_iter().enumerate() {
        text = text.replace(serial, &(i + 1).to_string());
    }
    std::fs::write(folder.join(format!("{engine}.ron")), text).unwrap();
}

#[test]
fn barrels_with_the_same_numbers_keep_their_rows_and_check_says_so() {
    let folder = tempfile::tempdir().unwrap();
    for engine in ["V1", "V2"] {
        vintage(folder.path(), engine);
    }
    let given = folder.path().as_os_str();
    let run = borewright(["trend".as_ref(), given]);
    assert_eq!((run.status, run.errors.as_str()), (0, ""));
    for number in ["1", "2"] {
        let rows = run.out.lines().filter(|line| line.starts_with(&format!("  {number}  {number} "))).count();
        assert_eq!(rows, 2, "{number}: {}", run.out);
    }
    assert!(in_one_line(&run.out).contains("on more than one engine at the same time"), "{}", run.out);
    let run = borewright(["trend".as_ref(), given, "--serial".as_ref(), "1".as_ref()]);
    for engine in ["V1", "V2"] {
        assert!(run.out.contains(&format!("1 (Wexcombe Six (invented) {engine}): ")), "{}", run.out);
    }
    let run = borewright(["trend".as_ref(), given, "--serial".as_ref(), "1".as_ref(), "--json".as_ref()]);
    let document: Value = serde_json::from_str(&run.out).unwrap();
    let engines: Vec<_> =
        document["cylinders"].as_array().unwrap().iter().map(|c| c["engine"].clone()).collect();
    assert_eq!(engines, ["Wexcombe Six (invented) V1", "Wexcombe Six (invented) V2"]);
    let run = borewright(["check".as_ref(), given]);
    assert!(in_one_line(&run.out).contains("note: The serial numbers 1, 2, 3, "), "{}", run.out);
    // One engine alone has nothing to say about it, nor have the demos, in which a barrel was moved.
    let run = borewright(["check".as_ref(), folder.path().join("V1.ron").as_os_str()]);
    assert!(!in_one_line(&run.out).contains("more than one"), "{}", run.out);
    let run = borewright(["check", "demo"]);
    assert!(!in_one_line(&run.out).contains("more than one"), "{}", run.out);
}

#[test]
fn what_is_shown_unasked_is_the_limit_reached_first() {
    let run = borewright(["trend", "demo/wexcombe_fast_barrel.ron", "--json"]);
    let document: Value = serde_json::from_str(&run.out).unwrap();
    let engine = &document["engines"][0];
    let shown = engine["figure"].as_str().unwrap();
    let why = engine["figure_chosen_because"].as_str().unwrap();
    assert!(why.contains("reaches its limit first"), "{why}");
    // No other row of any cylinder is sooner, by the line that leads.
    let soonest = |figure: &str| {
        let run = borewright(["trend", "demo/wexcombe_fast_barrel.ron", "--json", "--figure", figure]);
        let document: Value = serde_json::from_str(&run.out).unwrap();
        let engine = &document["engines"][0];
        assert_eq!(engine["figure_chosen_because"], Value::Null, "it was asked for");
        let hours = |cylinder: &Value| {
            let common = cylinder["limit_reached_at_common_rate_after_hours"].as_f64();
            common.or(cylinder["limit_reached_after_hours"].as_f64()).unwrap_or(f64::INFINITY)
        };
        engine["cylinders"].as_array().unwrap().iter().map(hours).fold(f64::INFINITY, f64::min)
    };
    let least = soonest(shown);
    assert!(least.is_finite());
    for figure in ["bore", "taper", "out-of-round", "choke", "step"] {
        assert!(least <= soonest(figure), "{figure} before {shown}");
    }
}
