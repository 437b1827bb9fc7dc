//! A row of the table that is forgotten somewhere: each is looked for in everything that the program says.

use std::fmt::Write as _;
use std::fs;

use records::file as files;
use records::limits::rows::RowName;
use records::limits::schema::{ShapeRow, TableOfLimits};
use serde_json::Value;

use crate::json::{list, parse, text};
use crate::run::{borewright, file};

/// A record whose table has every row.
const RECORD: &str = "tests/fixtures/every_row.ron";

fn table() -> TableOfLimits {
    files::load_record(&file(RECORD)).value.unwrap().tables.remove(0)
}

fn names() -> [&'static str; RowName::ALL.len()] {
    RowName::ALL.map(RowName::words)
}

fn answer(arguments: &[&str]) -> String {
    let run = borewright(arguments);
    assert_eq!((run.status, run.errors.as_str()), (0, ""), "{arguments:?}");
    run.out
}

fn rows_of(cylinder: &Value) -> Vec<&str> {
    list(&cylinder["rows"]).iter().map(|row| text(&row["row"])).collect()
}

/// Does a line of a table begin with this name?
fn begins_a_line(out: &str, name: &str) -> bool {
    out.lines().any(|line| line.trim_start().starts_with(&format!("{name} ")))
}

#[test]
fn the_table_has_every_row() {
    let table = table();
    assert!(!table.bore.is_empty());
    for row in RowName::of_shape() {
        let written = table.shape_row(row).expect("the table has every row");
        let mut other = table.clone();
        other.remove_shape_row(row);
        assert_eq!(other.shape_rows().count(), table.shape_rows().count() - 1, "{row:?}");
        other.set_shape_row(ShapeRow::blank(row).expect("a row of the shape"));
        assert!(RowName::of_shape().all(|row| other.shape_row(row).is_some()), "{row:?}");
        other.set_shape_row(written);
        assert_eq!(other, table, "nothing that is written in {row:?} is lost on the way");
    }
}

#[test]
fn judging_says_it_as_text_and_to_programs() {
    let out = answer(&["judge", RECORD]);
    let document = parse(&answer(&["judge", RECORD, "--json"]));
    let first = &list(&list(&document["engines"])[0]["cylinders"])[0];
    assert_eq!(rows_of(first), names());
    let lines = answer(&["judge", RECORD, "--json-lines"]);
    let engine = lines.lines().map(parse).find(|line| line["kind"] == "engine").unwrap();
    assert_eq!(rows_of(&list(&engine["cylinders"])[0]), names());
    for name in names() {
        assert!(begins_a_line(&out, name), "{name}");
    }
}

#[test]
fn a_fleet_has_it() {
    let table = table();
    let mut fleet = "engine,overhaul,cylinder,position,size,station,axis,repeat,reading,unit\n".to_owned();
    for station in &table.stations {
        for axis in &table.axes {
            writeln!(fleet, "E,2024-01-01,C1,1,standard,{},{},1,5.1260,in", station.name, axis.label)
                .unwrap();
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fleet.csv");
    fs::write(&path, fleet).unwrap();
    let limits = folder.path().join("limits.ron");
    fs::write(&limits, files::to_ron(&table).unwrap()).unwrap();
    let limits = limits.to_str().unwrap();
    let out = answer(&["judge", path.to_str().unwrap(), "--limits", limits, "--json-lines"]);
    let cylinder = out.lines().map(parse).find(|line| line["kind"] == "cylinder").unwrap();
    assert_eq!(rows_of(&cylinder), names());
}

#[test]
fn figures_and_their_export_have_it() {
    let out = answer(&["figures", RECORD]);
    let json = answer(&["figures", RECORD, "--json"]);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("figures.csv");
    answer(&["export", RECORD, "--part", "figures", "--out", path.to_str().unwrap()]);
    let figures = fs::read_to_string(path).unwrap();
    for row in RowName::ALL {
        // The bore's own figures have names of their own.
        let name = if row == RowName::Bore { "largest" } else { row.words() };
        assert!(begins_a_line(&out, name), "{name}");
        assert!(json.contains(&format!("\"{}\"", name.replace('-', "_"))), "{name}");
        assert!(figures.contains(name), "{name}");
    }
}

#[test]
fn it_is_followed_across_overhauls() {
    for row in RowName::ALL {
        let out = answer(&["trend", RECORD, "--figure", row.words()]);
        assert!(out.to_lowercase().contains(row.words()), "{row:?}");
    }
}
