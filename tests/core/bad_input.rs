//! Files that cannot be read: each is refused with its line, its column and what to do about it.
//!
//! A case is a good file with one thing wrong. What is expected is the place where the wrong thing stands,
//! found by its own text, and words of the message and the remedy.

use std::fs;

use records::diag::{Diagnostic, TextPosition, WithDiagnostics};
use records::file;
use records::limits::schema::TableOfLimits;
use records::record::schema::EngineRecord;
use tempfile::TempDir;

const LIMITS: &str = include_str!("../fixtures/army_tm_9_2815_220_24.ron");

const RECORD: &str = r#"EngineRecord(
    format: 2,
    engine: (model: "Demonstration engine (invented)", serial: "D-0007"),
    overhauls: [
        (
            date: "2019-10-02",
            total_hours: 1200.5,
            gauges: [(name: "micrometer", calibration: (expanded_uncertainty: "0.0001", k: 2.0))],
            cylinders: [
                (
                    position: "1",
                    serial: "C-11",
                    size: Oversize("0.010"),
                    readings: [(station: "A", axis: "pin", entered: ["5.1355", "5.1356"])],
                ),
            ],
        ),
    ],
)
"#;

/// Line and column of a text's first appearance, counted from 1, columns in characters.
fn place_of(text: &str, what: &str) -> TextPosition {
    let at = text.find(what).unwrap_or_else(|| panic!("`{what}` is not in the text"));
    let before = &text[..at];
    TextPosition {
        line: 1 + before.matches('\n').count(),
        column: 1 + before.rsplit('\n').next().unwrap_or_default().chars().count(),
    }
}

#[track_caller]
fn only_error<T: std::fmt::Debug>(reported: WithDiagnostics<Option<T>>) -> Diagnostic {
    assert!(reported.value.is_none(), "it was read: {:?}", reported.value);
    let [only] = reported.diagnostics.as_slice() else { panic!("{:?}", reported.diagnostics) };
    assert!(only.is_error());
    assert!(!only.remedy.is_empty(), "it does not say what to do: {only}");
    only.clone()
}

#[track_caller]
fn says(reported: &Diagnostic, words: &[&str]) {
    let text = reported.to_string();
    for word in words {
        assert!(text.contains(word), "`{word}` is not in: {text}");
    }
}

/// A file with `good` replaced by `wrong`, refused at `at` within the changed text.
struct Case {
    good: &'static str,
    wrong: &'static str,
    at: &'static str,
    words: &'static [&'static str],
}

const RECORD_CASES: &[Case] = &[
    Case {
        good: "total_hours:",
        wrong: "totl_hours:",
        at: "totl_hours",
        words: &["no field `totl_hours` in the overhaul", "Write `total_hours`", "`remarks`"],
    },
    Case {
        good: "size: Oversize(\"0.010\")",
        wrong: "size: Oversise(\"0.010\")",
        at: "Oversise",
        words: &["`Oversise` is not known", "Write `Oversize`", "`Standard`"],
    },
    Case {
        good: "Oversize(\"0.010\")",
        wrong: "Oversize(0.010)",
        at: "0.010",
        words: &["`size`", "without quotes", "so that every digit is kept: \"0.010\""],
    },
    Case {
        good: "[\"5.1355\", \"5.1356\"]",
        wrong: "[5.1355, \"5.1356\"]",
        at: "5.1355",
        words: &["`entered`", "so that every digit is kept: \"5.1355\""],
    },
    Case {
        good: "[\"5.1355\", \"5.1356\"]",
        wrong: "\"5.1355\"",
        at: "\"5.1355\"",
        words: &["opening square bracket", "square brackets"],
    },
    Case {
        good: "\"2019-10-02\"",
        wrong: "\"2023-02-30\"",
        at: "\"2023-02-30\"",
        words: &["`date`", "is not a date", "a day that exists"],
    },
    Case {
        good: "\"2019-10-02\"",
        wrong: "\"spring of 2019\"",
        at: "\"spring of 2019\"",
        words: &["is not a date", "year-month-day"],
    },
    Case {
        good: "\"2019-10-02\"",
        wrong: "2019-10-02",
        at: "2019-10-02",
        words: &["text in quotes", "\"2019-10-02\""],
    },
    Case { good: "1200.5", wrong: "NaN", at: "NaN", words: &["`total_hours`", "`NaN`", "finite number"] },
    Case { good: "1200.5", wrong: "-inf", at: "-inf", words: &["`total_hours`", "`-inf`", "finite number"] },
    Case {
        good: "1200.5",
        wrong: "1e400",
        at: "1e400",
        words: &["`total_hours`", "`1e400`", "finite number"],
    },
    Case { good: "k: 2.0", wrong: "k: NaN", at: "NaN", words: &["`k`", "finite number"] },
    Case {
        good: "1200.5",
        wrong: "\"1200.5\"",
        at: "\"1200.5\"",
        words: &["`total_hours`", "number", "without quotes"],
    },
    Case {
        good: "serial: \"C-11\"",
        wrong: "serial: 11",
        at: "11,\n                    size",
        words: &["`serial`", "\"11\""],
    },
    Case {
        good: "position: \"1\",",
        wrong: "position: \"1\"",
        at: "serial: \"C-11\"",
        words: &["comma is missing before `serial`", "Put a comma"],
    },
    Case {
        good: "serial: \"C-11\",",
        wrong: "serial: \"C-11\", serial: \"C-12\",",
        at: "serial: \"C-12\"",
        words: &["`serial`", "given twice", "Keep only one"],
    },
    Case {
        good: ", axis: \"pin\"",
        wrong: "",
        at: ")],\n                ),",
        words: &["field `axis` of the reading is missing", "`axis: ...`"],
    },
    Case {
        good: "format: 2",
        wrong: "format: 7",
        at: "7",
        words: &["newer Borewright (format 7; this one reads up to 2): nothing was read", "newer program"],
    },
    Case { good: "format: 2", wrong: "format: 0", at: "0,", words: &["wrote format 0", "format: 2"] },
    Case { good: "format: 2", wrong: "format: \"2\"", at: "\"2\"", words: &["whole number", "format: 2"] },
    Case { good: "format: 2", wrong: "format: -2", at: "-2", words: &["whole number"] },
    Case {
        good: "EngineRecord(",
        wrong: "EngineRecrd(",
        at: "EngineRecrd",
        words: &["no kind of file", "Write `EngineRecord`"],
    },
    Case {
        good: "engine: (model",
        wrong: "engine: Motor(model",
        at: "Motor",
        words: &["`Motor`", "Leave the name in front of the bracket out"],
    },
    Case {
        good: "    ],\n)\n",
        wrong: "    ],\n)\n(format: 2)",
        at: "(format: 2)",
        words: &["follows behind", "delete the rest"],
    },
    Case { good: "\"C-11\"", wrong: "\"C\\11\"", at: "\"C\\11\"", words: &["backslash", "\\\\"] },
    Case { good: "    overhauls", wrong: "    /* overhauls", at: "/*", words: &["comment", "Close it"] },
];

const LIMITS_CASES: &[Case] = &[
    Case {
        good: "depth: \"10.50\"",
        wrong: "depth: 10.50",
        at: "10.50",
        words: &["`depth`", "so that every digit is kept: \"10.50\""],
    },
    Case {
        good: "role: HeadEnd",
        wrong: "role: \"HeadEnd\"",
        at: "\"HeadEnd\"",
        words: &["name without quotes", "like HeadEnd"],
    },
    Case {
        good: "serviceable: At(\"5.7600 in (146.304 mm)\")",
        wrong: "serviceable: \"5.7600\"",
        at: "\"5.7600\"",
        words: &["`serviceable`", "At(\"5.130\")"],
    },
    Case {
        good: "serviceable: At(\"5.7600 in (146.304 mm)\")",
        wrong: "serviceable: At(5.7600)",
        at: "5.7600)",
        words: &["so that every digit is kept: \"5.7600\""],
    },
    Case {
        good: "new: (\"5.7510 in (146.0754 mm)\", \"5.7530 in (146.1262 mm)\")",
        wrong: "new: \"5.7510 in (146.0754 mm)\"",
        at: "\"5.7510 in",
        words: &["opening bracket", "two values"],
    },
    Case { good: "degrees: 90", wrong: "degrees: NaN", at: "NaN", words: &["`degrees`", "finite number"] },
    Case {
        good: "degrees: 90",
        wrong: "degrees: east",
        at: "east",
        words: &["`degrees`", "A number is expected"],
    },
    Case {
        good: "unit: Inch",
        wrong: "unit: inches",
        at: "inches,\n",
        words: &["`inches`", "Write `Inch`", "`Millimetre`"],
    },
    Case {
        good: "cut: Allowed",
        wrong: "cut: Forbidden",
        at: "Forbidden",
        words: &["Known here", "`NotAllowed`"],
    },
    Case { good: "format: 1", wrong: "format: 2", at: "2,", words: &["format 2; this one reads up to 1"] },
];

#[track_caller]
fn run<T: std::fmt::Debug>(good: &str, cases: &[Case], load: impl Fn(&str) -> WithDiagnostics<Option<T>>) {
    assert!(load(good).value.is_some());
    for case in cases {
        let wrong = good.replacen(case.good, case.wrong, 1);
        assert_ne!(wrong, good, "`{}` is not in the good file", case.good);
        let reported = only_error(load(&wrong));
        // The place is searched for behind what is left unchanged.
        let from = good.find(case.good).unwrap_or_default();
        let at = wrong[from..].find(case.at).unwrap_or_else(|| panic!("`{}` is nowhere", case.at)) + from;
        let expected = place_of(&wrong, &wrong[at..]);
        assert_eq!(reported.position, Some(expected), "{reported}\n{wrong}");
        says(&reported, case.words);
    }
}

#[test]
fn a_record_with_one_thing_wrong() {
    run::<EngineRecord>(RECORD, RECORD_CASES, |text| file::record_from_text(text, None));
}

#[test]
fn a_table_of_limits_with_one_thing_wrong() {
    run::<TableOfLimits>(LIMITS, LIMITS_CASES, |text| file::limits_from_text(text, None));
}

#[test]
fn a_truncated_file_is_refused_wherever_it_ends() {
    let whole = RECORD.trim_end();
    for end in (0..whole.len()).filter(|&end| whole.is_char_boundary(end)) {
        let reported = only_error(file::record_from_text(&whole[..end], None));
        if end > "EngineRecord(".len() {
            assert!(reported.position.is_some(), "{end}: {reported}");
        }
    }
    let reported = only_error(file::record_from_text(&whole[..whole.len() - 20], None));
    says(&reported, &["ends too early", "close every bracket"]);
    let quoted = &whole[..whole.find("5.1356").unwrap() + 3];
    let reported = only_error(file::record_from_text(quoted, None));
    says(&reported, &["quote that opens here is never closed"]);
    assert_eq!(
        reported.position,
        Some(place_of(quoted, "\"5.1")).map(|at| TextPosition { column: at.column + 10, ..at })
    );
}

#[test]
fn an_empty_file_is_refused() {
    for text in ["", " \n\t\n", "\u{feff}"] {
        says(&only_error(file::record_from_text(text, None)), &["is empty", "an engine record"]);
        says(&only_error(file::limits_from_text(text, None)), &["is empty", "a table of limits"]);
    }
    let reported = only_error(file::record_from_text("// only a remark\n", None));
    says(&reported, &["ends too early"]);
}

#[test]
fn the_wrong_kind_of_file_is_named() {
    for text in [LIMITS.to_owned(), LIMITS.replacen("TableOfLimits", "", 1)] {
        let reported = only_error(file::record_from_text(&text, None));
        says(&reported, &["This is a table of limits, not an engine record", "--limits"]);
    }
    for text in [RECORD.to_owned(), RECORD.replacen("EngineRecord", "", 1)] {
        let reported = only_error(file::limits_from_text(&text, None));
        says(&reported, &["This is an engine record, not a table of limits", "--limits"]);
    }
}

#[test]
fn a_missing_format_is_asked_for() {
    let reported = only_error(file::record_from_text(&RECORD.replacen("    format: 2,\n", "", 1), None));
    says(&reported, &["`format` is missing", "Write `format: 2,`"]);
    let reported = only_error(file::limits_from_text(&LIMITS.replacen("    format: 1,\n", "", 1), None));
    says(&reported, &["`format` is missing", "Write `format: 1,`"]);
}

#[test]
fn a_newer_format_is_refused_before_anything_else_is_read() {
    let text = "EngineRecord(\n  format: 7,\n  invention: [of, (the: future)],\n)";
    let reported = only_error(file::record_from_text(text, None));
    says(&reported, &["Written by a newer Borewright (format 7"]);
    assert_eq!(reported.position, Some(TextPosition { line: 2, column: 11 }));
}

#[test]
fn brackets_nested_without_end_are_refused() {
    for open in ["(", "[", "{a:", "Some(", "(a:", "[[("] {
        let text = format!("EngineRecord(format: 2, engine: {}", open.repeat(200_000));
        only_error(file::record_from_text(&text, None));
        let text = format!("TableOfLimits(format: 1, remarks: {}", open.repeat(200_000));
        only_error(file::limits_from_text(&text, None));
    }
    let reported = only_error(file::limits_from_text(
        &LIMITS.replacen(
            "clean_up_allowance: \"0.0000\"",
            &format!("clean_up_allowance: {}", "Some(".repeat(500)),
            1,
        ),
        None,
    ));
    assert!(reported.position.is_some(), "{reported}");
}

#[test]
fn what_is_no_text_is_refused_with_its_line() {
    let folder = TempDir::new().unwrap();
    let load = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        let reported = only_error(file::load_record(&path));
        assert_eq!(reported.file.as_deref(), Some(path.as_path()));
        reported
    };
    let reported = load("binary.ron", b"EngineRecord(\0\x01\x02");
    says(&reported, &["no text file: line 1 holds what no text has", "binary.ron"]);
    let reported = load("latin.ron", b"EngineRecord(\n    format: 2, remarks: \"Z\xfcrich\",\n)");
    says(
        &reported,
        &["not written in UTF-8: the letter at column 27 of line 2", "save it as UTF-8", "latin.ron:2:27:"],
    );
    let utf_16: Vec<u8> = "\u{feff}EngineRecord()".encode_utf16().flat_map(u16::to_le_bytes).collect();
    says(&load("wide.ron", &utf_16), &["UTF-16", "UTF-8"]);
    says(&load("empty.ron", b""), &["is empty"]);
}

#[test]
fn what_cannot_be_opened_is_told() {
    let folder = TempDir::new().unwrap();
    let reported = only_error(file::load_limits(&folder.path().join("absent.ron")));
    says(&reported, &["no such file", "Check the name", "absent.ron"]);
    says(&only_error(file::load_limits(folder.path())), &["This is a folder"]);
}

#[test]
fn a_huge_file_is_refused_unread() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("huge.ron");
    // A hole: it has the size, and takes no room.
    fs::File::create(&path).unwrap().set_len(file::LARGEST + 1).unwrap();
    says(&only_error(file::load_record(&path)), &["This file has 101 MiB", "100 MiB", "check the name"]);
}

#[test]
fn a_file_with_a_byte_order_mark_is_read_and_counted_without_it() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("marked.ron");
    fs::write(&path, format!("\u{feff}{RECORD}")).unwrap();
    let reported = file::load_record(&path);
    assert!(reported.value.is_some(), "{:?}", reported.diagnostics);
    fs::write(&path, format!("\u{feff}{}", RECORD.replacen("EngineRecord(", "EngineRecord(forma: 2,", 1)))
        .unwrap();
    let reported = only_error(file::load_record(&path));
    assert_eq!(reported.position, Some(TextPosition { line: 1, column: 14 }));
    says(&reported, &["marked.ron:1:14: error:", "Write `format`"]);
}

#[test]
fn no_message_shows_the_insides_of_the_program() {
    let cases =
        RECORD_CASES.iter().map(|case| (RECORD, case)).chain(LIMITS_CASES.iter().map(|case| (LIMITS, case)));
    for (good, case) in cases {
        let wrong = good.replacen(case.good, case.wrong, 1);
        let reported = if good == RECORD {
            only_error(file::record_from_text(&wrong, None))
        } else {
            only_error(file::limits_from_text(&wrong, None))
        };
        for inside in ["Error", "Spanned", "Some(", "Option", "serde", "ron::", "recursion"] {
            assert!(!reported.to_string().contains(inside), "{reported}");
        }
    }
}

/// Where each token of a text is: a text in quotes, a word or number, or a single sign.
fn tokens(text: &str) -> Vec<std::ops::Range<usize>> {
    let is_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.' | '-');
    let (mut tokens, mut at) = (Vec::new(), 0);
    while let Some(first) = text[at..].chars().next() {
        let rest = &text[at..];
        let long = match first {
            '"' => rest[1..].find('"').map_or(rest.len(), |end| end + 2),
            '/' => rest.find('\n').unwrap_or(rest.len()),
            _ if is_word(first) => rest.find(|c| !is_word(c)).unwrap_or(rest.len()),
            _ => first.len_utf8(),
        };
        if !first.is_whitespace() && first != '/' {
            tokens.push(at..at + long);
        }
        at += long;
    }
    tokens
}

/// Whatever stands in the place of any word or sign.
#[test]
fn no_exchanged_word_brings_the_insides_to_light() {
    const WRITTEN: [&str; 24] = [
        "",
        "\"x\"",
        "7",
        "-1",
        "1e999",
        "true",
        "None",
        "Some(3)",
        "()",
        "[]",
        "{}",
        "(a: 1)",
        "Foo",
        "\"2020-13-01\"",
        "'c'",
        "\"\\q\"",
        "0x1F",
        "r#\"a\"#",
        "[1, 2]",
        "(\"a\", \"b\", \"c\")",
        "nan",
        "b\"x\"",
        "-129",
        ",",
    ];
    let sources = [
        include_str!("../../src/records/record/schema.rs"),
        include_str!("../../src/records/limits/schema.rs"),
    ];
    let structs = sources
        .iter()
        .flat_map(|source| source.lines())
        .filter_map(|line| line.strip_prefix("pub struct ")?.split(|c: char| !c.is_alphanumeric()).next());
    let structs: Vec<&str> =
        structs.filter(|name| !["EngineRecord", "TableOfLimits"].contains(name)).collect();
    assert!(structs.contains(&"BoreRow") && structs.contains(&"Reading"), "{structs:?}");
    let insides = [
        "struct",
        "tuple",
        "enum",
        "variant",
        "identifier",
        "nexpected",
        "byte ",
        "u8",
        "u32",
        "i64",
        "f64",
        "char ",
        "'c' is",
        "invalid",
        "parse",
        "std identifier",
        "serde",
        "Err",
        "Option",
    ];
    for (good, is_record) in [(RECORD, true), (LIMITS, false)] {
        for token in tokens(good) {
            for written in WRITTEN {
                let wrong = format!("{}{written}{}", &good[..token.start], &good[token.end..]);
                let diagnostics = if is_record {
                    file::record_from_text(&wrong, None).diagnostics
                } else {
                    file::limits_from_text(&wrong, None).diagnostics
                };
                for reported in diagnostics {
                    let words = reported.to_string();
                    for inside in insides {
                        assert!(!words.contains(inside), "{inside}: {words}\n{wrong}");
                    }
                    for name in &structs {
                        assert!(!words.contains(&format!("`{name}`")), "{name}: {words}\n{wrong}");
                    }
                }
            }
        }
    }
}
