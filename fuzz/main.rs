//! Inputs that nobody would write, against what the program promises of any input.
//!
//! Each target starts from what is known (files of the repository, those of `tests/corpus`, and `fuzz/kept/TARGET`, where
//! every finding is kept), and tries changes of it: bits, numbers, pieces taken away, doubled or put together from two files. Without
//! more it tries a few hundred, so that the targets are known to work; with `BOREWRIGHT_FUZZ_SECONDS` as many as that
//! time allows, from another seed each time. An input that breaks a promise is kept, and tried in every run from
//! then on.
//!
//! It has no feedback of what was covered, and so runs with a stable compiler and nothing else.

#![expect(clippy::expect_used, clippy::indexing_slicing, reason = "a test says what it expects")]

#[cfg(feature = "window-tests")]
#[path = "../tests/gui/harness.rs"]
#[expect(dead_code, reason = "of the words to drive a window with, few are needed here")]
mod harness;
#[cfg(feature = "window-tests")]
mod keys;
mod random;
mod targets;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use random::Random;
use records::disk::Digest;

/// So many changes are tried where no time is given; of what takes long, fewer.
const FEW: u64 = 300;

/// No input of this size may take longer.
const SLOW: Duration = Duration::from_secs(20);

/// A file of the repository, or all files of a folder of it.
fn files(name: &str) -> Vec<Vec<u8>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    if path.is_file() {
        return vec![fs::read(path).expect("read")];
    }
    let Ok(entries) = fs::read_dir(path) else { return Vec::new() };
    let mut paths: Vec<PathBuf> =
        entries.flatten().map(|entry| entry.path()).filter(|p| p.is_file()).collect();
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("read")).collect()
}

/// The inputs that once broke the program, of a kind.
fn corpus(ending: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus");
    let entries = fs::read_dir(folder).expect("listed").flatten().map(|entry| entry.path());
    let mut paths: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|extension| extension == ending)).collect();
    assert!(!paths.is_empty(), "the corpus has no {ending}");
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("read")).collect()
}

/// Tries a target on what is known and on changes of it.
fn fuzz(name: &str, known: Vec<Vec<u8>>, target: impl Fn(&[u8])) {
    fuzz_few(name, FEW, known, target);
}

#[expect(clippy::print_stderr, reason = "how much was tried is asked for with the time")]
fn fuzz_few(name: &str, few: u64, mut known: Vec<Vec<u8>>, target: impl Fn(&[u8])) {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/kept").join(name);
    known.extend(files(&format!("fuzz/kept/{name}")));
    let seconds = std::env::var("BOREWRIGHT_FUZZ_SECONDS").ok().and_then(|text| text.parse().ok());
    let start = Instant::now();
    let until = seconds.map(|seconds| start + Duration::from_secs(seconds));
    let seed =
        until.and(SystemTime::now().duration_since(UNIX_EPOCH).ok()).map_or(18, |now| now.as_nanos() as u64);
    // Where the process does not survive it, the input is here.
    let last = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fuzz-{name}-last"));
    let attempt = |input: &[u8]| {
        fs::write(&last, input).expect("written");
        let begun = Instant::now();
        let done = catch_unwind(AssertUnwindSafe(|| target(input)));
        let took = begun.elapsed();
        if done.is_err() || took > SLOW {
            fs::create_dir_all(&place).expect("made");
            let digest = Digest::of(input).to_string();
            let kept = place.join(&digest[..16]);
            fs::write(&kept, input).expect("kept");
            panic!("{name}: {} after {took:?}", kept.display());
        }
    };
    known.iter().for_each(|input| attempt(input));
    let mut random = Random::new(seed);
    let mut tried = 0_u64;
    while until.map_or(tried < few, |until| Instant::now() < until) {
        let input = random.changed(&known);
        attempt(&input);
        tried += 1;
    }
    let _ = fs::remove_file(&last);
    eprintln!("{name}: {tried} changes of {} inputs in {:.0?}, seed {seed}", known.len(), start.elapsed());
}

#[test]
fn lengths() {
    let texts = [
        "5.1250",
        "+0.0012",
        "-7",
        "\u{2212}12",
        "130.175 mm",
        "5 1/8",
        "5,125",
        "0.0005 in",
        "1e9",
        "3.5 sq in",
        "1542 g",
        "12 lb 3 oz",
        "+12.5",
        "5.125\"",
        "0.",
    ];
    fuzz("lengths", texts.iter().map(|text| text.as_bytes().to_vec()).collect(), targets::lengths);
}

#[test]
fn records() {
    let mut known = files("demo/penhallow_twin.ron");
    for name in ["tests/fixtures/w2_record.ron", "tests/golden/record_sealed.ron", "demo/skarvoy_320.ron"] {
        known.extend(files(name));
    }
    known.extend(corpus("ron"));
    fuzz("records", known, targets::records);
}

#[test]
fn tables() {
    fuzz("tables", files("limits"), targets::tables);
}

#[test]
fn csv() {
    let fleet =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/fleet.csv")).expect("read");
    let beginning: String = fleet.split_inclusive('\n').take(40).collect();
    let others = [
        "Pos.;Station;Axis;Dial;Colour\n1;A;pin;+7;red\n1;A;thrust;seven;red\n1;B;pin;+8;red\n",
        "position,station,axis,repeat,diameter mm,temperature\n1,A,pin,1,130.175,20.0\n2,A,pin,1,\"130,180\",20\n",
        "part,operator,reading\n1,a,5.1250\n1,b,5.1251\n2,a,5.1260\n2,b,5.1262\n",
    ];
    let known = others
        .iter()
        .map(|text| text.as_bytes().to_vec())
        .chain([beginning.into_bytes()])
        .chain(corpus("csv"))
        .collect();
    fuzz("csv", known, targets::csv);
}

#[cfg(feature = "exchange")]
#[test]
fn workbooks() {
    use work::evaluation::Evaluation;
    use work::exchange::{Part, Source, written};
    let record =
        records::file::load_record(&Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/penhallow_twin.ron"));
    let record = record.value.expect("read");
    let evaluation = Evaluation::of(&record, 0, None);
    let source = Source { record: &record, overhaul: &record.overhauls[0], evaluation: &evaluation };
    let book = written(Path::new("book.xlsx"), Part::Readings, source).expect("written");
    let known = corpus("xlsx").into_iter().chain([book]).collect();
    fuzz("workbooks", known, targets::workbooks);
}

#[test]
fn seals() {
    fuzz("seals", vec![targets::SEALED.as_bytes().to_vec()], targets::seals);
}
