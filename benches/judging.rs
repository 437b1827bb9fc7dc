//! How long judging takes: one record, one cylinder, a thousand records, a fleet.
//!
//! `cargo bench --bench judging` measures a fleet of 100 000 readings; for five million:
//! `BOREWRIGHT_FLEET_READINGS=5000000 cargo bench --bench judging -- fleet`.
//! With `BOREWRIGHT_FLEET_WRITE=fleet.csv` the readings are written to that file and nothing is measured,
//! for comparing with other programs (`fleet_pandas.py`).

#![allow(clippy::expect_used, clippy::indexing_slicing)] // A measurement that cannot be set up had better stop.

use std::fmt::Write as _;
use std::io::{self, BufWriter, Read, Write as _};
use std::sync::Arc;

use divan::{Bencher, black_box, counter::BytesCount, counter::ItemsCount};
use figures::summary::Figures;
use judging::Assessment;
use records::limits::Limits;
use records::limits::schema::TableOfLimits;
use records::record::resolve;
use records::record::schema::EngineRecord;
use records::survey::Survey;
use work::fleet;

fn main() -> io::Result<()> {
    if let Some(path) = std::env::var_os("BOREWRIGHT_FLEET_WRITE") {
        let mut out = BufWriter::new(std::fs::File::create(path)?);
        io::copy(&mut Readings::new(readings_wanted()), &mut out)?;
        return out.flush();
    }
    divan::main();
    Ok(())
}

fn readings_wanted() -> u64 {
    std::env::var("BOREWRIGHT_FLEET_READINGS").ok().and_then(|text| text.parse().ok()).unwrap_or(100_000)
}

const STATIONS: [&str; 6] = ["A", "B", "C", "D", "E", "F"];
const AXES: [&str; 2] = ["pin", "thrust"];
const REPEATS: u64 = 3;
const PER_CYLINDER: u64 = STATIONS.len() as u64 * AXES.len() as u64 * REPEATS;

/// Pseudo-random but the same every time (the finaliser of SplitMix64).
fn scatter(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// A diameter in ten-thousandths of an inch: as made, wear that differs from cylinder to cylinder, scatter.
fn diameter(cylinder: u64, station: u64, axis: u64, repeat: u64) -> u64 {
    let made =
        [51_253, 51_253, 51_256, 51_257, 51_258, 51_263].get(station as usize).copied().unwrap_or(51_250);
    let seed = scatter(cylinder);
    // One cylinder in eight is worn out.
    let wear = seed % 14 + if seed >> 8 & 7 == 0 { 24 } else { 0 };
    let worn = [0, 100, 60, 50, 50, 40].get(station as usize).copied().unwrap_or(0) * wear / 100;
    made + worn + axis * wear / 9 + scatter(cylinder * PER_CYLINDER + station * 6 + axis * 3 + repeat) % 3
}

/// A fleet file of so many readings, made while it is read.
struct Readings {
    next: u64,
    count: u64,
    text: String,
    at: usize,
}

impl Readings {
    fn new(count: u64) -> Self {
        let text =
            "engine,overhaul,hours,cylinder,position,size,station,axis,repeat,reading,unit\n".to_owned();
        Self { next: 0, count, text, at: 0 }
    }

    fn refill(&mut self) {
        self.text.clear();
        self.at = 0;
        while self.next < self.count && self.text.len() < 60_000 {
            let (cylinder, within) = (self.next / PER_CYLINDER, self.next % PER_CYLINDER);
            let (engine, position) = (cylinder / 6, cylinder % 6 + 1);
            let (station, axis, repeat) = (within / 6, within / 3 % 2, within % 3);
            let tenths = diameter(cylinder, station, axis, repeat);
            writeln!(
                self.text,
                "T{engine:06},2024-{:02}-{:02},{},SN-{cylinder:07},{position},standard,{},{},{},{}.{:04},in",
                engine % 12 + 1,
                engine % 28 + 1,
                800 + engine % 1_200,
                STATIONS[station as usize],
                AXES[axis as usize],
                repeat + 1,
                tenths / 10_000,
                tenths % 10_000,
            )
            .ok();
            self.next += 1;
        }
    }
}

impl Read for Readings {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.at == self.text.len() {
            self.refill();
        }
        let rest = &self.text.as_bytes()[self.at..];
        let count = rest.len().min(buffer.len());
        buffer[..count].copy_from_slice(&rest[..count]);
        self.at += count;
        Ok(count)
    }
}

fn table() -> TableOfLimits {
    records::file::from_text(include_str!("fleet_limits.ron"), None).value.expect("the table can be read")
}

fn limits() -> Arc<Limits> {
    Arc::new(Limits::resolve(&table()).expect("the table can be judged by"))
}

/// The text of a record with six cylinders, as the program writes it.
fn record_text() -> String {
    let mut record = example_record();
    let overhaul = record.overhauls.first_mut().expect("the example has an overhaul");
    let template = overhaul.cylinders.first().expect("the example has a cylinder").clone();
    overhaul.cylinders = (0..6)
        .map(|cylinder| {
            let mut made = template.clone();
            made.position = (cylinder + 1).to_string();
            made.serial = format!("SN-{cylinder}");
            for (i, reading) in made.readings.iter_mut().enumerate() {
                let (station, axis) = (i as u64 / 2, i as u64 % 2);
                let tenths = |r| diameter(cylinder, station, axis, r);
                reading.entered = (0..REPEATS)
                    .map(|r| format!("{}.{:04}", tenths(r) / 10_000, tenths(r) % 10_000))
                    .collect();
            }
            made
        })
        .collect();
    records::file::to_ron(&record).expect("a record can be written")
}

fn example_record() -> EngineRecord {
    use records::record::schema::{Cylinder, Engine, Overhaul, Reading};
    let readings = STATIONS
        .iter()
        .flat_map(|station| AXES.iter().map(move |axis| (station, axis)))
        .map(|(station, axis)| Reading {
            station: (*station).to_owned(),
            axis: (*axis).to_owned(),
            gauge: None,
            entered: Vec::new(),
            confirmed: String::new(),
        })
        .collect();
    let cylinder = Cylinder { looked_over: true, readings, ..Cylinder::default() };
    EngineRecord {
        format: records::record::schema::FORMAT,
        engine: Engine { model: "Speed trial (invented)".to_owned(), ..Engine::default() },
        tables: vec![table()],
        overhauls: vec![Overhaul { cylinders: vec![cylinder], ..overhaul() }],
        remarks: String::new(),
    }
}

fn overhaul() -> records::record::schema::Overhaul {
    ron::from_str("(date: \"2024-05-01\")").expect("a date is all that an overhaul needs")
}

fn record() -> EngineRecord {
    records::file::from_text(&record_text(), None).value.expect("the record can be read")
}

fn survey() -> Survey {
    resolve::survey(&record(), 0, None).value.expect("the record can be judged")
}

/// Reading the text of a record of six cylinders.
#[divan::bench]
fn parse_a_record(bencher: Bencher) {
    let text = record_text();
    bencher
        .counter(BytesCount::new(text.len()))
        .bench(|| records::file::record_from_text(black_box(&text), None).value);
}

/// Every figure of one cylinder.
#[divan::bench]
fn figures_of_a_cylinder(bencher: Bencher) {
    let survey = survey();
    let cylinder = survey.cylinders.first().expect("there are six");
    bencher.bench(|| Figures::of(black_box(cylinder), &survey.limits));
}

/// Judging one cylinder of 36 readings, with its uncertainty and the search for slips.
#[divan::bench(args = [0, 1, 2, 3, 4, 5])]
fn assess_a_cylinder(bencher: Bencher, cylinder: usize) {
    let survey = survey();
    let cylinder = survey.cylinders.get(cylinder).expect("there are six");
    bencher.bench(|| judging::assess(black_box(cylinder), &survey));
}

/// A thousand records from their text to the outcome of each of their six cylinders.
#[divan::bench(sample_count = 5)]
fn judge_1_000_records(bencher: Bencher) {
    let text = record_text();
    bencher.counter(ItemsCount::new(1_000_usize)).bench(|| {
        let judged = |_| {
            let record = records::file::record_from_text(black_box(&text), None).value?;
            let survey = resolve::survey(&record, 0, None).value?;
            Some(survey.cylinders.iter().map(|c| judging::assess(c, &survey)).collect::<Vec<Assessment>>())
        };
        (0..1_000).filter_map(judged).map(|assessments| assessments.len()).sum::<usize>()
    });
}

/// A fleet on one core, judged but not written.
#[divan::bench(sample_count = 3)]
fn fleet_on_one_core(bencher: Bencher) {
    let (limits, count) = (limits(), readings_wanted());
    bencher.counter(ItemsCount::new(count)).bench(|| {
        let mut sink = |line| drop(black_box(line));
        fleet::judge_csv(Readings::new(count), Arc::clone(&limits), &mut |_| {}, &mut sink).ok()
    });
}

/// A fleet on all cores, written as lines of JSON.
#[cfg(feature = "parallel")]
#[divan::bench(sample_count = 3)]
fn fleet_as_json_lines(bencher: Bencher) {
    let (limits, count) = (limits(), readings_wanted());
    bencher.counter(ItemsCount::new(count)).bench(|| {
        let (input, name) = (Readings::new(count), std::path::Path::new("made.csv"));
        let format = fleet::FleetFormat::JsonLines;
        fleet::run(input, name, Arc::clone(&limits), format, &mut io::sink(), &mut |_| {}, &mut |_| {}).ok()
    });
}
