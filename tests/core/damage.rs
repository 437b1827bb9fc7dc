//! Files of which one byte is another: whatever they hold is read or refused, and judged without a panic; and no seal
//! says that all is as it was signed where anything of it is not.
//!
//! A byte in so many is tried; `BOREWRIGHT_EVERY_BYTE=1` tries them all.

use std::fs;
use std::path::Path;

use crate::targets;

/// Tries a file with one byte exchanged, taken away or no text any more, at every byte or at one in `stride`.
#[expect(clippy::print_stderr, reason = "how much was tried is worth knowing")]
fn damaged(name: &str, stride: usize, target: impl Fn(&[u8])) {
    let whole = fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap();
    let stride = if std::env::var_os("BOREWRIGHT_EVERY_BYTE").is_some() { 1 } else { stride };
    let mut tried = 0;
    for at in (0..whole.len()).step_by(stride) {
        let mut exchanged = whole.clone();
        exchanged[at] ^= 1;
        target(&exchanged);
        exchanged[at] = 0xff;
        target(&exchanged);
        exchanged.remove(at);
        target(&exchanged);
        tried += 1;
    }
    eprintln!("{name}: damaged at {tried} of {} bytes", whole.len());
    assert!(tried >= 20, "{name}: only {tried} bytes were tried");
}

/// A test for each demo record, so that they are tried side by side.
macro_rules! every_demo_record_is_read_or_refused_and_judged {
    ($($name:ident)*) => {
        /// The records that are damaged.
        const DEMO: &[&str] = &[$(stringify!($name)),*];
        $(#[test]
        fn $name() {
            damaged(concat!("demo/", stringify!($name), ".ron"), 331, targets::records);
        })*
    };
}

every_demo_record_is_read_or_refused_and_judged! {
    penhallow_twin
    skarvoy_320
    wexcombe_fast_barrel
    wexcombe_pair_a
    wexcombe_pair_b
    wexcombe_six
}

#[test]
fn no_demo_record_is_left_out() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo");
    let paths = fs::read_dir(demo).unwrap().map(|entry| entry.unwrap().path());
    let records = paths.filter(|path| path.extension().is_some_and(|end| end == "ron"));
    let mut names: Vec<_> =
        records.map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned()).collect();
    names.sort();
    assert_eq!(names, DEMO);
}

#[test]
fn every_table_of_limits_is_read_or_refused() {
    for name in ["penhallow_twin", "skarvoy_320", "wexcombe_six"] {
        damaged(&format!("limits/{name}.ron"), 61, targets::tables);
    }
}

#[test]
fn a_fleet_is_read_or_refused_row_by_row() {
    damaged("demo/fleet.csv", 2003, targets::csv);
}

#[test]
fn no_seal_holds_over_another_content() {
    damaged("tests/golden/record_sealed.ron", 13, targets::seals);
}
