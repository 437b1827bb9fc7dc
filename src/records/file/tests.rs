use proptest::prelude::*;

use crate::kind::ToldBy;
use crate::limits::resolved::Bound;
use crate::limits::schema::{Source, Value};
use crate::record::resolve;
use quantities::length::{Length, Style, Unit};

use super::*;

const GOLDEN: &str = include_str!("../../../tests/golden/record_format_2.ron");
const ARMY: &str = include_str!("../../../tests/fixtures/army_tm_9_2815_220_24.ron");

fn army() -> TableOfLimits {
    let reported = limits_from_text(ARMY, None);
    assert!(reported.diagnostics.is_empty(), "{:?}", reported.diagnostics);
    reported.value.unwrap()
}

fn golden() -> WithDiagnostics<Option<EngineRecord>> {
    record_from_text(GOLDEN, None)
}

#[test]
fn what_is_written_is_read_back_equal() {
    let mut table = army();
    table.bore[0].new.0.place = "table 1, \"line 2\" \\ (page 3)".into();
    table.ring_travel = Some((Value::from("9.80"), Value::from("1.20")));
    table.barrel_expansion_ppm = Some(11.5);
    let text = to_ron(&table).unwrap();
    assert!(text.starts_with("TableOfLimits(\n    format: 1,\n"), "{text}");
    assert_eq!(limits_from_text(&text, None).value.as_ref(), Some(&table), "{text}");

    let reported = golden();
    assert!(reported.diagnostics.is_empty(), "{:?}", reported.diagnostics);
    let record = reported.value.unwrap();
    let first = &record.overhauls[0];
    assert_eq!((first.total_hours, first.inspector.name.as_str()), (Some(1200.5), "An invented inspector"));
    assert_eq!(first.cylinders[0].readings[0].entered, ["+0.0012", "+0.0013"]);
    assert_eq!(record.overhauls[1].temperatures.as_ref().unwrap().within, Some(1.0));
    let text = to_ron(&record).unwrap();
    assert!(text.starts_with("EngineRecord(\n    format: 2,\n"), "{text}");
    assert!(!text.contains("Some("), "{text}");
    let again = record_from_text(&text, None);
    assert_eq!(again.value, Some(record), "{text}");
    assert!(again.diagnostics.is_empty(), "{:?}", again.diagnostics);
}

/// A file that has had two formats: in the first the shop's name was called otherwise.
mod shop {
    use serde::{Deserialize, Serialize};

    use super::*;

    #[derive(Debug, PartialEq, Serialize, Deserialize)]
    #[serde(rename = "Shop")]
    pub struct Shop {
        pub format: u32,
        pub answers: String,
    }

    #[derive(Deserialize)]
    #[serde(rename = "Shop")]
    struct Format2 {
        #[serde(rename = "format")]
        _format: u32,
        reply: String,
    }

    impl Document for Shop {
        const KIND: &'static Kind = &Kind {
            words: "a shop",
            told_by: ToldBy::Top { name: "Shop", fields: &["answers"], newest: 3, oldest: 2 },
            instead: "",
            check: None,
        };

        fn from_format(format: u32, text: &str) -> Result<WithDiagnostics<Self>, SpannedError> {
            if format == 2 {
                let old: Format2 = parse(text)?;
                let diagnostics = vec![Diagnostic::note("It was of format 2.")];
                return Ok(WithDiagnostics { value: Self { format: 3, answers: old.reply }, diagnostics });
            }
            Ok(WithDiagnostics { value: parse(text)?, diagnostics: Vec::new() })
        }
    }
}

#[test]
fn an_older_format_is_migrated_and_what_was_never_released_is_refused() {
    let read = |text: &str| from_text::<shop::Shop>(text, None);
    let now = shop::Shop { format: 3, answers: "as it was".into() };
    let old = read("(format: 2, reply: \"as it was\")");
    assert_eq!((old.value, old.diagnostics.len()), (Some(now), 1));
    assert!(read("(format: 3, answers: \"as it is\")").diagnostics.is_empty());
    for (format, words) in
        [("1", "wrote format 1"), ("0", "wrote format 0"), ("4", "newer Borewright"), ("x", "no format")]
    {
        let reported = read(&format!("(format: {format}, answers: \"\")"));
        assert!(
            reported.value.is_none() && reported.diagnostics[0].message.contains(words),
            "{:?}",
            reported.diagnostics
        );
    }
}

#[test]
fn the_kind_is_told_by_name_or_by_fields() {
    let unnamed = |text: &str, name: &str| text.replacen(name, "", 1);
    for text in [ARMY, &unnamed(ARMY, "TableOfLimits")] {
        assert_eq!(kind::of(text), Some(TableOfLimits::KIND));
        assert!(limits_from_text(text, None).value.is_some());
    }
    for text in [GOLDEN, &unnamed(GOLDEN, "EngineRecord")] {
        assert_eq!(kind::of(text), Some(EngineRecord::KIND));
        assert!(record_from_text(text, None).value.is_some());
    }
    assert_eq!(kind::of("Engine(model: 1)"), None);
    assert_eq!(kind::of("(a: 1)"), None);
}

#[test]
fn a_text_may_begin_with_a_byte_order_mark_and_an_attribute() {
    let text = format!("\u{feff}#![enable(implicit_some)]\n{ARMY}");
    assert_eq!(limits_from_text(&text, None).value, Some(army()));
}

#[test]
fn a_table_within_a_record_must_be_of_a_known_format() {
    let mut record = golden().value.unwrap();
    record.tables[1].format = 9;
    let text = to_ron(&record).unwrap();
    let reported = record_from_text(&text, None);
    assert_eq!(reported.value, None);
    assert!(
        reported.diagnostics[0].message.contains("newer Borewright (format 9"),
        "{}",
        reported.diagnostics[0]
    );
    assert_eq!(reported.diagnostics[0].path.to_string(), "tables[1].format");
    assert!(reported.diagnostics[0].position.is_some());
}

proptest! {
    #[test]
    fn any_bytes_are_told_not_panicked_over(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let reported = match text_of(bytes) {
            Ok(text) => from_text::<EngineRecord>(&text, None),
            Err(diagnostic) => WithDiagnostics { value: None, diagnostics: vec![diagnostic] },
        };
        prop_assert!(reported.value.is_some() || reported.diagnostics.iter().any(Diagnostic::is_error));
    }

    #[test]
    fn a_damaged_file_is_told_not_panicked_over(at in 0_usize..ARMY.len(), with in "\\PC|[()\\[\\]{}\",:]", cut in any::<bool>()) {
        let mut text: String = ARMY.chars().take(at).collect();
        text.push_str(&with);
        if !cut {
            text.extend(ARMY.chars().skip(at + 1));
        }
        let reported = limits_from_text(&text, None);
        if reported.value.is_none() {
            prop_assert!(reported.diagnostics.iter().any(|d| d.is_error() && !d.message.is_empty() && !d.remedy.is_empty()));
        }
    }

    #[test]
    fn any_wording_survives_writing_and_reading(words in proptest::collection::vec("\\PC{0,12}|[\"\\\\\n\r\t\u{7f}\u{0}#]{0,6}", 5)) {
        let mut table = army();
        table.engine.clone_from(&words[0]);
        table.remarks.clone_from(&words[1]);
        table.source = Source::Illustrative { remark: words[2].clone() };
        table.bore[0].new.0 = Value { text: words[3].clone(), place: words[4].clone() };
        let text = to_ron(&table).unwrap();
        prop_assert_eq!(limits_from_text(&text, None).value, Some(table));
    }
}

#[test]
fn a_graduation_is_above_zero() {
    let read = |text: &str| {
        let mut record = golden().value.unwrap();
        let at = record.overhauls.iter().position(|overhaul| !overhaul.gauges.is_empty()).unwrap();
        record.overhauls[at].gauges[0].graduation = Some(text.into());
        let reported = resolve::survey(&record, at, None);
        let told = reported.diagnostics.iter().any(|told| told.message.contains("must be above 0"));
        (reported.value.unwrap().gauges[0].graduation, told)
    };
    let (graduation, told) = read("0.0001 in");
    assert_eq!((graduation.map(Length::tenths_of_nm), told), (Some(25_400), false));
    assert_eq!(read("0 in"), (None, true));
    assert_eq!(read("-0.0001 in"), (None, true));
}

#[test]
fn a_limit_is_shown_as_the_table_writes_it() {
    let bound = |decimals| Bound {
        length: Length::from_tenths_of_nm(1_302_639_000),
        style: Style { unit: Unit::Inch, decimals },
        place: String::new(),
        worked_out: None,
    };
    // 5.1285 in is 130.2639 mm.
    assert_eq!((bound(4).text().as_str(), bound(5).text().as_str()), ("5.1285 in", "5.12850 in"));
}
