use proptest::prelude::*;

use crate::diag::Severity;
use crate::limits::schema::{Source, Value};
use crate::record::schema::TableReference;

use super::*;

const GOLDEN: &str = include_str!("../../tests/golden/record_format_1.ron");
const ARMY: &str = include_str!("../../tests/fixtures/army_tm_9_2815_220_24.ron");

fn army() -> TableOfLimits {
    let told = limits_from_text(ARMY, None);
    assert!(told.diagnostics.is_empty(), "{:?}", told.diagnostics);
    told.value.unwrap()
}

fn golden() -> Told<Option<EngineRecord>> {
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

    let record = golden().value.unwrap();
    let text = to_ron(&record).unwrap();
    assert!(text.starts_with("EngineRecord(\n    format: 2,\n"), "{text}");
    assert!(!text.contains("Some("), "{text}");
    let again = record_from_text(&text, None);
    assert_eq!(again.value, Some(record), "{text}");
    assert!(again.diagnostics.is_empty(), "{:?}", again.diagnostics);
}

#[test]
fn format_1_of_the_record_is_read_and_nothing_is_lost() {
    let told = golden();
    let record = told.value.unwrap();
    assert_eq!(record.format, record::FORMAT);
    assert_eq!(record.remarks, "kept as it was");
    assert_eq!(record.engine.owner, "An invented owner");

    // Four tables were embedded; two of them were the same, two were called the same and were not.
    let names: Vec<_> = record.tables.iter().map(|t| (t.identity.as_str(), t.revision.as_str())).collect();
    assert_eq!(names, [("DEMO-5", "A"), ("DEMO-5", "A (2)"), ("DEMO-5", "B")]);
    let named =
        |revision: &str| Some(TableReference { identity: "DEMO-5".into(), revision: revision.into() });
    let limits: Vec<_> = record.overhauls.iter().map(|o| o.limits.clone()).collect();
    assert_eq!(limits, [named("A"), named("A"), named("A (2)"), named("B"), None]);
    assert_eq!(record.tables[1].bore[0].serviceable, Some(limits::Limit::At(Value::from("5.1290"))));
    assert_eq!(record.tables[0].bore[0].new.1.place, "table 1, line 2");

    let first = &record.overhauls[0];
    assert_eq!((first.total_hours, first.inspector.name.as_str()), (Some(1200.5), "An invented inspector"));
    assert_eq!(first.cylinders[0].readings[0].entered, ["+0.0012", "+0.0013"]);
    assert_eq!(first.standards[0].calibration.as_ref().unwrap().k, 2.0);
    assert_eq!(record.overhauls[1].temperatures.as_ref().unwrap().within, Some(1.0));

    assert_eq!(told.diagnostics.len(), 2, "{:?}", told.diagnostics);
    assert!(told.diagnostics.iter().all(|told| told.severity == Severity::Note));
    let different = &told.diagnostics[1];
    assert_eq!(different.path.to_string(), "overhauls[2].limits");
    let line = GOLDEN.lines().nth(different.position.unwrap().line - 1).unwrap();
    assert_eq!(line.trim(), "limits: (");
    assert!(different.message.contains("revision `A (2)`"), "{different}");
}

#[test]
fn a_revision_already_in_use_is_not_given_to_another_table() {
    // The last table is really called "A (2)", so the one that only gets a name must take the next.
    let text = GOLDEN.replace("revision: \"B\"", "revision: \"A (2)\"");
    let record = record_from_text(&text, None).value.unwrap();
    let revisions: Vec<_> = record.tables.iter().map(|table| table.revision.as_str()).collect();
    assert_eq!(revisions, ["A", "A (3)", "A (2)"]);
}

#[test]
fn the_kind_is_told_by_name_or_by_fields() {
    assert_eq!(kind_of(ARMY), Some(Kind::Limits));
    assert_eq!(kind_of(GOLDEN), Some(Kind::Record));
    let unnamed = |text: &str, name: &str| text.replacen(name, "", 1);
    assert_eq!(kind_of(&unnamed(ARMY, "TableOfLimits")), Some(Kind::Limits));
    assert_eq!(kind_of(&unnamed(GOLDEN, "EngineRecord")), Some(Kind::Record));
    assert!(limits_from_text(&unnamed(ARMY, "TableOfLimits"), None).value.is_some());
    assert!(record_from_text(&unnamed(GOLDEN, "EngineRecord"), None).value.is_some());
    assert_eq!(kind_of("Engine(model: 1)"), None);
    assert_eq!(kind_of("(a: 1)"), None);
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
    let told = record_from_text(&text, None);
    assert_eq!(told.value, None);
    assert!(told.diagnostics[0].message.contains("newer Borewright (format 9"), "{}", told.diagnostics[0]);
    assert_eq!(told.diagnostics[0].path.to_string(), "tables[1].format");
    assert!(told.diagnostics[0].position.is_some());
}

proptest! {
    #[test]
    fn any_bytes_are_told_not_panicked_over(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let told = match text_of(bytes) {
            Ok(text) => from_text::<EngineRecord>(&text, None),
            Err(diagnostic) => Told { value: None, diagnostics: vec![diagnostic] },
        };
        prop_assert!(told.value.is_some() || told.diagnostics.iter().any(Diagnostic::is_error));
    }

    #[test]
    fn a_damaged_file_is_told_not_panicked_over(at in 0_usize..ARMY.len(), with in "\\PC|[()\\[\\]{}\",:]", cut in any::<bool>()) {
        let mut text: String = ARMY.chars().take(at).collect();
        text.push_str(&with);
        if !cut {
            text.extend(ARMY.chars().skip(at + 1));
        }
        let told = limits_from_text(&text, None);
        if told.value.is_none() {
            prop_assert!(told.diagnostics.iter().any(|d| d.is_error() && !d.message.is_empty() && !d.remedy.is_empty()));
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
