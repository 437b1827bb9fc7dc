//! Every kind of document is told from every other, and said to be what it is wherever another one is wanted.

use std::path::Path;
use std::sync::Arc;

use classroom::key::PracticeKey;
use quantities::length::Unit;
use records::diag::{Diagnostic, WithDiagnostics};
use records::file::{self, Document};
use records::kind::{self, Kind, ToldBy};
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::schema::EngineRecord;
use work::evaluation::Evaluation;
use work::exchange::import::{Unstated, import};
use work::exchange::mapping::Mapping;
use work::exchange::{self, csv_file};
use work::fleet;

const LIMITS: &str = include_str!("../../limits/wexcombe_six.ron");
const RECORD: &str = include_str!("../../demo/wexcombe_six.ron");

/// A document of each kind.
const SAMPLES: [(&Kind, &str); 6] = [
    (TableOfLimits::KIND, LIMITS),
    (EngineRecord::KIND, RECORD),
    (&classroom::key::KIND, "PracticeKey(format: 1, seed: 7, answers: [])"),
    (&fleet::KIND, "engine,overhaul,cylinder,size,station,axis,reading\nE1,1,K-1,,A,pin,5.1\n"),
    (&exchange::KIND, "position;station;axis;diameter\n1;A;pin;5,1\n"),
    (&classroom::study::KIND, "part,operator,trial,value\n1,Ann,1,5.1\n"),
];

fn all() -> Vec<&'static Kind> {
    kind::register(&[work::KINDS, classroom::KINDS]);
    kind::all().collect()
}

#[test]
fn every_kind_is_told_from_the_others() {
    for kind in all() {
        let (_, text) = SAMPLES
            .iter()
            .find(|(of, _)| *of == kind)
            .unwrap_or_else(|| panic!("add a sample of {}", kind.words));
        assert_eq!(kind::of(text), Some(kind));
        assert_eq!(kind::of(&format!("\u{feff}{text}")), Some(kind));
        if let ToldBy::Top { name, newest, oldest, .. } = kind.told_by {
            assert_eq!(kind::of(&text.replacen(name, "", 1)), Some(kind), "{name} is told by its fields");
            assert!(oldest >= 1 && oldest <= newest);
        }
    }
    assert_eq!(all().len(), SAMPLES.len());
    for text in ["", "a,b\n1,2\n", "(a: 1)", "Engine(model: 1)"] {
        assert_eq!(kind::of(text), None, "{text}");
    }
}

fn read_as<D: Document>(text: &str) -> Vec<Diagnostic> {
    let WithDiagnostics { value, diagnostics } = file::from_text::<D>(text, None);
    assert!(value.is_none());
    diagnostics
}

/// Opens a text where `wanted` is wanted.
fn opened(wanted: &Kind, text: &str) -> Vec<Diagnostic> {
    if wanted == TableOfLimits::KIND {
        read_as::<TableOfLimits>(text)
    } else if wanted == EngineRecord::KIND {
        read_as::<EngineRecord>(text)
    } else if wanted == PracticeKey::KIND {
        read_as::<PracticeKey>(text)
    } else if *wanted == fleet::KIND {
        let limits = Limits::resolve(&file::limits_from_text(LIMITS, None).value.unwrap()).unwrap();
        match fleet::judge_csv(text.as_bytes(), Arc::new(limits), &mut |_| {}, &mut |_| {}) {
            Err(fleet::FleetError::File(error)) => vec![*error],
            other => panic!("{other:?}"),
        }
    } else if *wanted == exchange::KIND {
        let record = file::record_from_text(RECORD, None).value.unwrap();
        let evaluation = Evaluation::of(&record, 0, None);
        let grid = csv_file::read(text).unwrap();
        vec![import(&grid, &Mapping::of(&grid), &Unstated::default(), (&record, 0), &evaluation).unwrap_err()]
    } else {
        assert_eq!(wanted, &classroom::study::KIND, "open a document of the new kind here");
        classroom::study::read_csv(text, Unit::Inch).diagnostics
    }
}

#[test]
fn a_document_of_another_kind_is_named_with_what_to_do() {
    for wanted in all() {
        for (kind, text) in SAMPLES.iter().filter(|(kind, _)| *kind != wanted) {
            // The remarks above them hide from a stream of rows what they are.
            let text: String = match kind.told_by {
                ToldBy::Top { name, .. } => {
                    text.get(text.find(&format!("\n{name}(")).map_or(0, |at| at + 1)..)
                }
                ToldBy::Columns(_) => Some(*text),
            }
            .unwrap()
            .to_owned();
            if *wanted == exchange::KIND && **kind == fleet::KIND {
                // What a fleet has can be taken over.
                continue;
            }
            let said = opened(wanted, &text);
            assert_eq!(said.len(), 1, "{said:?}");
            assert_eq!(said[0].message, format!("This is {}, not {}.", kind.words, wanted.words));
            assert_eq!(said[0].remedy, kind.instead);
        }
    }
}

#[test]
fn each_kind_is_checked_or_refused_by_its_own_room() {
    for kind in all() {
        let Some(check) = kind.check else { continue };
        let (_, text) = SAMPLES.iter().find(|(of, _)| *of == kind).unwrap();
        assert!(check(text, Some(Path::new("a.ron"))).iter().all(|said| !said.is_error()), "{}", kind.words);
        assert!(check("", None).iter().any(Diagnostic::is_error), "{}", kind.words);
    }
}
