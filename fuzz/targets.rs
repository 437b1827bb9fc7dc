//! What is tried on any bytes, as if they came from a file. Each target panics where the program breaks a promise; a
//! bad input that is told is what it should be.

#![expect(clippy::expect_used, reason = "what is prepared for a test may panic")]

use std::path::PathBuf;
use std::sync::{Arc, LazyLock};

use classroom::study;
use quantities::area::Area;
use quantities::length::{Length, Style, Unit};
use quantities::mass::Mass;
use records::file;
use records::limits::Limits;
use records::limits::validate::validate;
use records::record::check::check;
use records::record::schema::EngineRecord;
use work::evaluation::Evaluation;
use work::exchange;
use work::exchange::import::{Consent, Unstated, import};
use work::exchange::mapping::Mapping;
use work::exchange::table::Grid;
use work::fleet;
use work::seal::{canonical, verify};

/// A record and the table that it is judged by.
const RECORD: &str = include_str!("../demo/wexcombe_six.ron");
const TABLE: &str = include_str!("../limits/wexcombe_six.ron");
/// A record that is signed.
pub const SEALED: &str = include_str!("../tests/golden/record_sealed.ron");

/// The demo record and the evaluation of its latest overhaul.
static DEMO: LazyLock<(EngineRecord, usize, Evaluation)> = LazyLock::new(|| {
    let record = file::record_from_text(RECORD, None).value.expect("the demo is read");
    let latest = record.overhauls.len() - 1;
    let evaluation = Evaluation::of(&record, latest, None);
    (record, latest, evaluation)
});

static LIMITS: LazyLock<Arc<Limits>> = LazyLock::new(|| {
    let table = file::limits_from_text(TABLE, None).value.expect("the table is read");
    Arc::new(Limits::resolve(&table).expect("it is sound"))
});

static ORIGINAL: LazyLock<EngineRecord> =
    LazyLock::new(|| file::record_from_text(SEALED, None).value.expect("the signed record is read"));

/// The bytes as a file with an ending, one for each thread.
fn on_disk(bytes: &[u8], ending: &str) -> PathBuf {
    let thread = format!("{:?}", std::thread::current().id());
    let thread = thread.trim_matches(|c: char| !c.is_ascii_digit());
    let name = format!("tried-{}-{thread}.{ending}", std::process::id());
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).expect("written");
    path
}

/// Lengths, weights and areas as they are typed.
pub fn lengths(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    for unit in [Unit::Inch, Unit::Millimetre] {
        let graduation = Length::from_tenths_of_nm(25_400);
        let _ = Length::parse_graduations(&text, graduation, unit);
        let _ = Area::parse(&text);
        let _ = Mass::parse(&text);
        if let Some(kept) = Length::rounded_to_keep(&text, unit, None) {
            Length::parse(&kept, unit).expect("what is kept can be read");
        }
        let Ok(entry) = Length::parse(&text, unit) else { continue };
        // What is printed with all its digits is read as the same length.
        for unit in [Unit::Inch, Unit::Millimetre] {
            let Some(decimals) = entry.length.exact_decimals(unit) else { continue };
            let printed = entry.length.text(Style { unit, decimals });
            let again = Length::parse(&printed, unit).expect(&printed);
            assert_eq!(again.length, entry.length, "{printed}");
        }
    }
}

/// A record: read, checked, evaluated overhaul by overhaul, and written as what was read.
pub fn records(bytes: &[u8]) {
    let path = on_disk(bytes, "ron");
    let reported = file::load_record(&path);
    let Some(record) = reported.value else {
        assert!(
            reported.diagnostics.iter().any(|reported| reported.is_error()),
            "it is not read, and nothing is said"
        );
        return;
    };
    let _ = check(&record);
    for index in 0..record.overhauls.len() {
        let evaluation = Evaluation::of(&record, index, None);
        let cylinders = evaluation.survey.as_ref().map_or(0, |survey| survey.cylinders.len());
        assert_eq!(evaluation.assessments.len(), cylinders);
    }
    let text = file::to_ron(&record).expect("what is read can be written");
    assert_eq!(file::record_from_text(&text, None).value.as_ref(), Some(&record));
}

/// A table of limits: read, checked, and written as what was read.
pub fn tables(bytes: &[u8]) {
    let path = on_disk(bytes, "ron");
    let reported = file::load_limits(&path);
    let Some(table) = reported.value else {
        assert!(
            reported.diagnostics.iter().any(|reported| reported.is_error()),
            "it is not read, and nothing is said"
        );
        return;
    };
    let errors = validate(&table).iter().any(|reported| reported.is_error());
    assert!(
        errors || Limits::resolve(&table).is_ok(),
        "nothing is wrong with it, and it cannot be judged by"
    );
    let text = file::to_ron(&table).expect("what is read can be written");
    assert_eq!(file::limits_from_text(&text, None).value.as_ref(), Some(&table));
}

fn taken_over(grid: &Grid) {
    let (record, latest, evaluation) = &*DEMO;
    let mapping = Mapping::of(grid);
    for unit in [None, Some(Unit::Millimetre)] {
        let unstated = Unstated { unit, ..Unstated::default() };
        if let Ok(import) = import(grid, &mapping, &unstated, (record, *latest), evaluation) {
            let _ = import.agreed(Consent::default());
        }
    }
}

/// Readings as CSV: taken over into a record, judged as a fleet, and studied.
pub fn csv(bytes: &[u8]) {
    if let Ok(grid) = exchange::read(&on_disk(bytes, "csv")) {
        taken_over(&grid);
    }
    let _ = fleet::judge_csv(bytes, Arc::clone(&LIMITS), &mut |_| {}, &mut |_| {});
    if let Some(readings) = Some(study::read_csv(bytes, Unit::Inch).value).filter(|read| !read.is_empty()) {
        let _ = study::Study::of(&readings, None);
    }
}

/// Readings as a workbook.
#[cfg(feature = "exchange")]
pub fn workbooks(bytes: &[u8]) {
    if let Ok(grid) = exchange::read(&on_disk(bytes, "xlsx")) {
        taken_over(&grid);
    }
}

/// A signed record: where the seal holds, all that it covers is as it was signed.
pub fn seals(bytes: &[u8]) {
    let Some(record) = file::record_from_text(&String::from_utf8_lossy(bytes), None).value else { return };
    if !verify(&record, 0).is_some_and(|verdict| verdict.holds()) {
        return;
    }
    let original = &*ORIGINAL;
    assert_eq!(canonical::content(&record, 0), canonical::content(original, 0));
    assert_eq!(record.overhauls[0].seal, original.overhauls[0].seal);
    // And so is the outcome.
    let judged = |record| format!("{:?}", Evaluation::of(record, 0, None).assessments);
    assert_eq!(judged(&record), judged(original));
}
