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

#[test]
fn every_demo_record_is_read_or_refused_and_judged() {
    for name in [
        "penhallow_twin",
        "skarvoy_320",
        "wexcombe_fast_barrel",
        "wexcombe_pair_a",
        "wexcombe_pair_b",
        "wexcombe_six",
    ] {
        damaged(&format!("demo/{name}.ron"), 331, targets::records);
    }
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
