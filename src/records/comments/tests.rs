use std::fs;
use std::path::Path;

use proptest::prelude::*;
use proptest::sample::{Index, subsequence};

use super::*;
use crate::file::{self, Document};
use crate::kind;
use crate::limits::schema::TableOfLimits;
use crate::record::schema::{Cylinder, EngineRecord, Reading};

const TWIN: &str = include_str!("../../../demo/penhallow_twin.ron");

fn twin() -> EngineRecord {
    file::record_from_text(TWIN, None).value.unwrap()
}

fn written(record: &EngineRecord) -> String {
    file::to_ron(record).unwrap()
}

/// The values of a text, as tokens.
fn tokens(text: &str) -> Vec<&str> {
    Scanner::new(text).map(|token| token.of(text)).collect()
}

/// Every comment and the first tokens behind it.
fn reported(text: &str) -> Vec<(&str, Vec<&str>)> {
    let pieces: Vec<Token> = Scanner::with_comments(text).collect();
    let comments = pieces.iter().enumerate().filter(|(_, token)| token.kind == Kind::Comment);
    let behind = |at: usize| pieces[at..].iter().filter(|token| token.kind != Kind::Comment);
    comments
        .map(|(at, token)| (token.of(text), behind(at).take(3).map(|token| token.of(text)).collect()))
        .collect()
}

/// Carries, and holds that what comes out has the new values, can be carried again, and is then the same.
fn carried(old: &str, new: &str) -> Carried {
    let carried = carry(old, new);
    assert_eq!(tokens(&carried.text), tokens(new));
    let again = carry(&carried.text, new);
    assert_eq!(again, Carried { moved: 0, lost: false, ..carried.clone() });
    carried
}

#[test]
fn every_comment_finds_its_place() {
    // A text, the values that are written anew, and what is written.
    for (old, new, expected) in [
        ("(a: 1)", "(\n    a: 2,\n)\n", "(\n    a: 2,\n)\n"),
        // At the top and at the end, with the blank lines there; the attribute is not written again.
        (
            "\u{feff}\n// one\r\n\n\n/* two\r\n   of two */\n#![enable(/* three */ implicit_some)]\n// four\n\nX(a: 1) // five\n\n// six",
            "X(\n    a: 1,\n)\n",
            "// one\n\n\n/* two\n   of two */\n/* three */\n// four\n\nX(\n    a: 1,\n) // five\n\n// six\n",
        ),
        // Before a field, behind it, before a closing bracket, behind brackets.
        (
            "( // open\n// before\n a: 1, // behind a\n /* in front */ b: [ // list\n 2, 3 /* three */, 4 // four\n // last\n ], // behind b\n// end\n) // close\n",
            "(\n    a: 1,\n    b: [\n        2,\n        3,\n        4,\n    ],\n)\n",
            "( // open\n    // before\n    a: 1, // behind a\n    /* in front */\n    b: [ // list\n        2,\n        3, /* three */\n        4, // four\n        // last\n    ], // behind b\n    // end\n) // close\n",
        ),
        // Fields go by their names, in whatever order; odd places; strings hold no comments.
        (
            "(b /* b */: \"// no\", /* x /* y */ z */ a: // a\n \"/* no\", c: /* c */ [1], // c too\n)",
            "(\n    a: \"/* no\",\n    b: \"// no\",\n    c: [\n        1,\n    ],\n)\n",
            "(\n    /* x /* y */ z */\n    a: \"/* no\", // a\n    b: \"// no\", /* b */\n    c: [ /* c */\n        1,\n    ], // c too\n)\n",
        ),
        // Several behind one line: a line comment can only be the last.
        (
            "(a: (\"1\", // one\n \"2\" /* two */, // too\n), // all\n)",
            "(\n    a: (\"1\", \"2\"),\n)\n",
            "(\n    // one\n    // too\n    a: (\"1\", \"2\"), /* two */ // all\n)\n",
        ),
        // What cannot stand within a value of one line stands above it.
        (
            "(a: [ // none\n // yet\n], b: At(\n// as printed\n\"1\"))",
            "(\n    a: [],\n    b: At(\"1\"),\n)\n",
            "(\n    // yet\n    a: [], // none\n    // as printed\n    b: At(\"1\"),\n)\n",
        ),
        // One more of the same text, typed behind it.
        (
            "(e: [\"1\" /* hot */])",
            "(\n    e: [\n        \"1\",\n        \"1\",\n    ],\n)\n",
            "(\n    e: [\n        \"1\", /* hot */\n        \"1\",\n    ],\n)\n",
        ),
        // One of several replaced.
        (
            "(e: [\"1\", \"2\" /* hot */, \"3\"])",
            "(\n    e: [\n        \"1\",\n        \"5\",\n        \"3\",\n    ],\n)\n",
            "(\n    e: [\n        \"1\",\n        \"5\", /* hot */\n        \"3\",\n    ],\n)\n",
        ),
        ("// only this\n", "(\n    a: 1,\n)\n", "(\n    a: 1,\n)\n// only this\n"),
        ("(a: 1 /* x\ny */)", "(\r\n    a: 1,\r\n)", "(\r\n    a: 1, /* x\r\ny */\r\n)\r\n"),
    ] {
        let carried = carried(old, new);
        assert_eq!(carried.text, expected, "{old}");
        assert_eq!((carried.moved, carried.lost, carried.note()), (0, false, None), "{old}");
    }
}

#[test]
fn a_comment_whose_value_is_gone_goes_above_what_held_it() {
    for (old, new, expected, moved) in [
        (
            "(a: (b: 1, // b\n c: 2))",
            "(\n    a: (\n        c: 2,\n    ),\n)\n",
            "(\n    // b\n    a: (\n        c: 2,\n    ),\n)\n",
            1,
        ),
        ("(a: 1 // a\n)", "(\n    b: 1,\n)\n", "// a\n(\n    b: 1,\n)\n", 1),
        // Which of the two is gone cannot be told.
        (
            "(e: [\"0\", \"1\" /* x */, \"1\" /* y */])",
            "(\n    e: [\n        \"1\",\n    ],\n)\n",
            "(\n    /* x */\n    /* y */\n    e: [\n        \"1\",\n    ],\n)\n",
            2,
        ),
        // The first is gone and another one stands at the end: not the same one.
        (
            "(e: [\"0\", // x\n \"1\"])",
            "(\n    e: [\n        \"1\",\n        \"2\",\n    ],\n)\n",
            "(\n    // x\n    e: [\n        \"1\",\n        \"2\",\n    ],\n)\n",
            1,
        ),
    ] {
        let carried = carried(old, new);
        assert_eq!((carried.text.as_str(), carried.moved, carried.lost), (expected, moved, false), "{old}");
        assert!(carried.note().is_some_and(|note| !note.remedy.is_empty()), "{old}");
    }
}

#[test]
fn what_cannot_bear_comments_is_left_as_it_is_and_that_is_told() {
    let new = "(\n    a: 1,\n)\n";
    for (old, new) in [
        // Never closed, as in a text that cannot be read.
        ("(a: 1) /* x", new),
        // Not as it is written here: the lines are within a string.
        ("(a: \"x\ny\", // said\n b: 1)", "(a: \"x\ny\", b: \"\n\n\")\n\n"),
        ("// said\n(a: 1)", ""),
    ] {
        let carried = carry(old, new);
        assert!(carried.lost, "{old}");
        assert_eq!(carried.text, new);
        assert!(carried.note().unwrap().message.contains("could not be carried"));
    }
}

fn holds<D: Document + PartialEq + std::fmt::Debug>(path: &Path, text: &str) {
    let document: D = file::from_text(text, None).value.unwrap();
    let new = file::to_ron(&document).unwrap();
    let carried = carried(text, &new);
    assert_eq!((carried.moved, carried.lost), (0, false), "{}", path.display());
    assert_eq!(file::from_text::<D>(&carried.text, None).value, Some(document), "{}", path.display());
    let (mut before, mut after) = (reported(text), reported(&carried.text));
    assert!(!before.is_empty(), "{}", path.display());
    // A record by hand may have its tables behind its overhauls; it is written with the tables first.
    if D::KIND == EngineRecord::KIND {
        before.sort();
        after.sort();
    }
    assert_eq!(before, after, "{}", path.display());
}

#[test]
fn the_comments_of_every_demo_stay_before_what_they_are_about() {
    let root = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."));
    let mut seen = 0;
    for folder in ["demo", "limits", "tests/fixtures"] {
        for entry in fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|extension| extension == "ron") {
                let text = fs::read_to_string(&path).unwrap();
                if kind::of(&text) == Some(EngineRecord::KIND) {
                    holds::<EngineRecord>(&path, &text);
                } else {
                    holds::<TableOfLimits>(&path, &text);
                }
                seen += 1;
            }
        }
    }
    assert!(seen >= 14, "{seen}");
}

/// The text of a record with comments at each of its cylinders and before each of their readings that name it.
fn marked(record: &EngineRecord) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut name = String::new();
    let text = written(record);
    let mut rest = text.lines().peekable();
    while let Some(line) = rest.next() {
        let value = |line: &str| line.split('"').nth(1).map(str::to_owned).unwrap();
        lines.push(line.to_owned());
        if line.starts_with("                    serial: ") {
            name = value(line);
            lines.insert(lines.len() - 3, format!("// cylinder {name}"));
            lines.last_mut().unwrap().push_str(&format!(" /* serial {name} */"));
        }
        if let Some(axis) = rest.peek().filter(|next| next.trim_start().starts_with("axis: ")) {
            let comment = format!("// reading {name} {} {}", value(line), value(axis));
            lines.insert(lines.len() - 2, comment);
        }
    }
    lines.join("\n")
}

/// Holds that every comment of [`marked`] stands before what it names, or else above the list that held it.
fn nothing_is_said_of_another(carried: &Carried, record: &EngineRecord) {
    let cylinders: Vec<&Cylinder> =
        record.overhauls.iter().flat_map(|overhaul| &overhaul.cylinders).collect();
    let mut moved = 0;
    let text = &carried.text;
    let pieces: Vec<Token> = Scanner::with_comments(text).collect();
    for (at, comment) in pieces.iter().enumerate().filter(|(_, token)| token.kind == Kind::Comment) {
        let values: Vec<&str> =
            pieces[at..].iter().filter(|t| t.kind != Kind::Comment).map(|t| t.of(text)).take(10).collect();
        let words: Vec<&str> = comment.of(text).split_whitespace().collect();
        let quoted = |word: &str| format!("\"{word}\"");
        match words[..] {
            ["//", "cylinder", name] if values[0] == "(" => assert_eq!(values[7], quoted(name), "{text}"),
            ["//", "reading", name, station, axis] if values[1] == "station" => {
                assert_eq!(
                    (values[3], values[7]),
                    (quoted(station).as_str(), quoted(axis).as_str()),
                    "{text}"
                );
                let before = &text[..comment.start];
                let serial = before.rfind("serial: ").unwrap();
                assert!(before[serial..].starts_with(&format!("serial: {}", quoted(name))), "{text}");
            }
            ["/*", "serial", name, "*/"] if !["cylinders", "readings"].contains(&values[0]) => {
                let before = &text[..comment.start];
                assert!(before.trim_end().ends_with(&format!("{},", quoted(name))), "{text}");
            }
            _ => {
                moved += 1;
                // Without any reading there is no list of them: then it is their cylinder that stands below.
                let held = ["cylinders", "readings"].contains(&values[0]) || values[7] == quoted(words[2]);
                assert!(held, "{words:?} {values:?}");
                let gone = match words[..] {
                    ["//", "reading", name, station, axis] => !cylinders.iter().any(|cylinder| {
                        let same = |r: &&Reading| r.station == station && r.axis == axis;
                        cylinder.serial == name && cylinder.readings.iter().find(same).is_some()
                    }),
                    [_, _, name, ..] => !cylinders.iter().any(|cylinder| cylinder.serial == name),
                    _ => false,
                };
                assert!(gone, "{words:?} is still there");
            }
        }
    }
    assert_eq!(carried.moved, moved, "{text}");
}

#[test]
fn a_cylinder_taken_away_takes_no_other_ones_comments() {
    let mut record = twin();
    let old = marked(&record);
    assert_eq!(carried(&old, &written(&record)).moved, 0);
    let gone = record.overhauls[0].cylinders.remove(0);
    let carried = carried(&old, &written(&record));
    nothing_is_said_of_another(&carried, &record);
    assert_eq!(carried.moved, 2 + gone.readings.len());
    assert_eq!(
        carried.note().unwrap().message,
        "8 comments were about something that is gone; they now stand above what held it."
    );
}

#[test]
fn a_serial_number_typed_later_keeps_the_comments_and_another_one_does_not() {
    let mut record = twin();
    let serial = std::mem::take(&mut record.overhauls[0].cylinders[0].serial);
    let old = written(&record).replacen("position: \"front\"", "// front\nposition: \"front\"", 1);
    record.overhauls[0].cylinders[0].serial = serial;
    assert_eq!(carried(&old, &written(&record)).moved, 0);
    let old = written(&record).replacen("position: \"front\"", "// front\nposition: \"front\"", 1);
    record.overhauls[0].cylinders[0].serial = "PT-99".into();
    assert_eq!(carried(&old, &written(&record)).moved, 1);
}

#[test]
fn overhauls_keep_their_comments_beside_others() {
    let mut record = twin();
    let old = written(&record).replacen(
        "        (\n            date",
        "        // of 2024\n        (\n            date",
        1,
    );
    let mut other = record.overhauls[0].clone();
    // Corrected, with nothing else beside it.
    record.overhauls[0].date = "2024-12-01".parse().unwrap();
    record.overhauls[0].remarks = "the day was wrong".into();
    assert!(
        carried(&old, &written(&record))
            .text
            .contains("// of 2024\n        (\n            date: \"2024-12-01\"")
    );
    // Another one before it, and it is changed as well.
    let mut record = twin();
    other.date = "2019-01-31".parse().unwrap();
    record.overhauls[0].remarks = "more".into();
    record.overhauls.insert(0, other);
    let carried = carried(&old, &written(&record));
    assert!(
        carried.text.contains("// of 2024\n        (\n            date: \"2024-11-30\""),
        "{}",
        carried.text
    );
    assert_eq!(carried.moved, 0);
}

#[test]
fn large_and_strange_texts_take_little_time() {
    let new = written(&twin());
    let many = |piece: &str| piece.repeat(400_000 / piece.len());
    let long = [
        many("(/**/"),
        many("(a:[//\n"),
        many("//\n"),
        many("\"1\"/**/,"),
        format!("(a: [{}])", many("(serial: \"1\", /**/ date: 2), ")),
        format!("[{}]", many("\"1\", \"2\", // x\n ")),
        format!("({})", many("a: 1, /**/ ")),
        many("/*"),
        many("/**/)"),
    ];
    for text in long {
        let carried = carry(&text, &new);
        assert_eq!(tokens(&carried.text), tokens(&new));
        carry(&text, &text);
        // Its own values turned round, so that nothing stands where it stood.
        let turned: String = text.chars().rev().collect();
        carry(&text, &turned);
    }
}

proptest! {
    #[test]
    fn comments_anywhere_survive(
        put in proptest::collection::vec(
            (any::<Index>(), "[ \n]{0,3}(//[a-z \"(/*]{0,8}\r?\n|/\\*[a-z \n\"(]{0,6}(/\\*\\)\\*/)?\\*/)[ \n]{0,3}"),
            1..30,
        ),
    ) {
        let values: Vec<&str> = tokens(TWIN);
        let mut gaps = vec![String::from(" "); values.len() + 1];
        for (at, comment) in &put {
            gaps[at.index(values.len() + 1)].push_str(comment);
        }
        let mut old = String::new();
        for (at, gap) in gaps.iter().enumerate() {
            old.push_str(gap);
            old.push_str(values.get(at).copied().unwrap_or_default());
        }
        let record = file::record_from_text(&old, None).value;
        prop_assert_eq!(record.as_ref(), Some(&twin()));
        let carried = carried(&old, &written(&twin()));
        prop_assert_eq!((carried.moved, carried.lost), (0, false));
        prop_assert_eq!(file::record_from_text(&carried.text, None).value, record);
        let texts = |text: &str| {
            let mut texts: Vec<String> = reported(text).into_iter().map(|(text, _)| text.replace('\r', "")).collect();
            texts.sort();
            texts
        };
        prop_assert_eq!(texts(&old), texts(&carried.text));
    }

    #[test]
    fn nothing_is_said_of_the_wrong_reading(
        kept in subsequence((0..6_usize).collect::<Vec<_>>(), 0..=6),
        added in proptest::collection::vec(("top|middle|bottom|none", "along|across|askew", "2\\.75[0-9]{2}"), 0..3),
        edited in proptest::option::of(any::<Index>()),
        cylinder in 0..2_usize,
        exchanged in any::<bool>(),
    ) {
        let mut record = twin();
        let old = marked(&record);
        let cylinders = &mut record.overhauls[0].cylinders;
        let readings = &mut cylinders[cylinder].readings;
        let before = std::mem::take(readings);
        readings.extend(kept.iter().filter_map(|at| before.get(*at).cloned()));
        if let (Some(at), false) = (edited, readings.is_empty()) {
            let at = at.index(readings.len());
            readings[at].entered[0].push('9');
        }
        for (station, axis, text) in added {
            let at = kept.len().min(text.len() % 4);
            if !readings.iter().any(|reading| reading.station == station && reading.axis == axis) {
                readings.insert(at, Reading { station, axis, entered: vec![text], ..before[0].clone() });
            }
        }
        if exchanged {
            let (front, rear) = (cylinders[0].position.clone(), cylinders[1].position.clone());
            cylinders.swap(0, 1);
            (cylinders[0].position, cylinders[1].position) = (front, rear);
        }
        nothing_is_said_of_another(&carried(&old, &written(&record)), &record);
    }

    #[test]
    fn any_text_is_safe(
        old in "\\PC{0,60}|[\\[\\]{}()a:,\"'r#b/*\\\\\r\n !\u{feff}é]{0,120}|([\\[\\](),a:\n ]|//\n|/\\*\\*/|Some){0,40}",
        new in "\\PC{0,60}|([\\[\\](),a:1\" \n]|//\n|/\\*\\*/){0,60}",
    ) {
        let twin = written(&twin());
        for new in [new.as_str(), &twin] {
            let carried = carry(&old, new);
            prop_assert_eq!(tokens(&carried.text), tokens(new));
            if carried.lost {
                prop_assert_eq!(carried.text, new);
            } else {
                prop_assert_eq!(comments(&carried.text), comments(&old) + comments(new));
            }
        }
        // Even a text of another kind stays as it was carried.
        let first = carry(&old, &twin).text;
        prop_assert_eq!(&carry(&first, &twin).text, &first);
    }
}
