//! How often the intervals of 95 % hold the truth: engines are invented whose truth is known, measured with the
//! errors that their gauges state, and followed by the same functions as `borewright trend`.
//!
//! `cargo bench --bench coverage --no-default-features` prints the tables of DEVELOPERS.md. Every number is drawn
//! from a seed, so that they come out the same. `BOREWRIGHT_COVERAGE_ENGINES=500` draws fewer engines for each
//! line of a table.
//!
//! Each cylinder wears by 0.019 mm from survey to survey; a reading's own error is 0.0025 mm, and its setting
//! standard, one through all surveys, has as much. What the readings of a survey share is 0, 1 and 3 times a
//! reading's own. Wear that scatters does so by 1 or 3 times both together: of each cylinder for itself, or of all
//! of an engine alike.

#![allow(clippy::expect_used, clippy::indexing_slicing)] // A simulation that cannot be set up had better stop.
#![allow(clippy::print_stdout)]

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use classroom::random::Random;
use figures::Figure as Found;
use figures::certainty::measured;
use history::crossing::Crossing;
use history::engine::{Comparison, stand};
use history::figure::Figure;
use history::follow::follow;
use history::sheet::{EngineName, sheets};
use history::trend::{Forecast, Time};
use quantities::length::{Length, Style, Unit};
use records::limits::rows::RowName;
use records::record::resolve;
use records::record::schema::EngineRecord;

const SURVEYS: [usize; 5] = [2, 3, 4, 6, 10];
const CYLINDERS: [usize; 5] = [1, 2, 4, 6, 12];
const SHARED: [f64; 3] = [0.0, 1.0, 3.0];

/// A reading's own standard uncertainty, mm.
const OWN: f64 = 0.0025;
/// Hours from survey to survey, and wear in them, mm.
const HOURS: f64 = 700.0;
const WEAR: f64 = 0.019;
/// So long after the last survey the limit is truly reached.
const AHEAD: f64 = 1400.0;

fn mm(mm: f64) -> Length {
    Length::from_mm(mm).expect("a length")
}

fn text(length: Length) -> String {
    length.number(Style { unit: Unit::Millimetre, decimals: 7 })
}

/// How wear scatters about its steady line.
#[derive(Clone, Copy)]
enum Scatter {
    /// Not at all: the budget is right.
    None,
    /// Of each cylinder for itself, by so many times the budget.
    Own(f64),
    /// Of all cylinders alike.
    Together(f64),
}

impl Scatter {
    const ALL: [Self; 5] =
        [Self::None, Self::Own(1.0), Self::Together(1.0), Self::Own(3.0), Self::Together(3.0)];

    fn words(self) -> String {
        match self {
            Self::None => "none".to_owned(),
            Self::Own(times) => format!("each, {times} x"),
            Self::Together(times) => format!("together, {times} x"),
        }
    }
}

#[derive(Clone, Copy)]
struct Case {
    surveys: usize,
    cylinders: usize,
    shared: f64,
    scatter: Scatter,
}

/// A record in which every reading is still to be written.
fn record(case: Case, limit: Length, repeats: usize, graduation: &str, repeatability: &str) -> EngineRecord {
    let standard =
        format!(r#"(name: "ring", size: "130", calibration: (expanded_uncertainty: "{OWN}", k: 1.0))"#);
    let shared = case.shared * OWN;
    let calibration = match shared > 0.0 {
        true => format!(r#"calibration: (expanded_uncertainty: "{shared}", k: 1.0),"#),
        false => String::new(),
    };
    let gauge = format!(
        r#"(name: "gauge", zeroed_on: "ring", graduation: "{graduation}", {calibration} {repeatability})"#
    );
    let entered = vec![r#""130""#; repeats].join(", ");
    let readings: String = [("T", "pin"), ("T", "thrust"), ("B", "pin"), ("B", "thrust")]
        .map(|(station, axis)| format!(r#"(station: "{station}", axis: "{axis}", entered: [{entered}]),"#))
        .concat();
    let cylinders: String = (1..=case.cylinders)
        .map(|c| format!(r#"(position: "{c}", serial: "S-{c}", looked_over: true, readings: [{readings}]),"#))
        .collect();
    let overhauls: String = (0..case.surveys)
        .map(|o| {
            format!(
                r#"(date: "{}-06-01", total_hours: {:.1}, unit: Millimetre, standards: [{standard}], gauges: [{gauge}], cylinders: [{cylinders}]),"#,
                2000 + o,
                1000.0 + HOURS * o as f64
            )
        })
        .collect();
    let limit = text(limit);
    let text = format!(
        r#"EngineRecord(format: 2, engine: (model: "Simulated", serial: "1"), overhauls: [{overhauls}], tables: [
            TableOfLimits(
                format: 1, identity: "SIMULATED", revision: "A", engine: "invented",
                source: Illustrative(remark: "invented"), unit: Millimetre, datum: HeadEnd,
                stations: [(name: "T", depth: "20", role: TopOfRingTravel), (name: "B", depth: "120", role: BaseEnd)],
                axes: [(label: "pin", degrees: 0.0), (label: "thrust", degrees: 90.0)],
                bore: [(size: Standard, new: ("129.9", "130.0"), serviceable: At("{limit}"))],
                taper: (rule: AxisAverages, serviceable: At("0.1")),
                wall: (surface: Plain, cut: Allowed), clean_up_allowance: "0.01", mixed_oversizes: Allowed,
            ),
        ])"#
    );
    let read = records::file::record_from_text(&text, None);
    assert!(read.diagnostics.iter().all(|d| !d.is_error()), "{:?}", read.diagnostics);
    read.value.expect("a record")
}

/// How often something held.
#[derive(Clone, Copy, Default)]
struct Held(u32, u32);

impl Held {
    fn count(&mut self, held: bool) {
        self.0 += u32::from(held);
        self.1 += 1;
    }

    fn percent(self) -> Option<f64> {
        (self.1 > 0).then(|| 100.0 * f64::from(self.0) / f64::from(self.1))
    }

    fn text(self) -> String {
        self.percent().map_or("–".to_owned(), |percent| format!("{percent:.1}"))
    }
}

/// How often each interval of a case held the truth.
#[derive(Clone, Copy, Default)]
struct Coverage {
    /// The rate of a cylinder by its own surveys.
    own_rate: Held,
    /// The common rate.
    common_rate: Held,
    /// The crossing by the line that leads.
    crossing: Held,
    /// The crossing by the cylinder's own surveys.
    own_crossing: Held,
    /// A cylinder was said to stand out, or the rates to differ.
    differ: Held,
    /// The crossing that leads was bounded.
    bounded: Held,
}

fn within((low, high): (f64, f64), truth: f64) -> bool {
    low <= truth && truth <= high
}

/// The truth lies ahead of the last survey.
fn holds(forecast: Forecast, truth: f64) -> bool {
    match forecast {
        Forecast::Limit(_, Crossing::Bounded { from, to, .. }) => within((from, to), truth),
        Forecast::Limit(_, Crossing::NoUpperBound { from, .. }) => from <= truth,
        Forecast::Limit(_, Crossing::AnyTime) => true,
        _ => false,
    }
}

fn count(stand: &Comparison, coverage: &mut Coverage, at: f64) {
    let rate = WEAR / HOURS;
    let trend = &stand.members.first().expect("a cylinder").trend;
    let own = trend.own_line().expect("a line");
    coverage.own_rate.count(own.slope_interval_95().is_some_and(|interval| within(interval, rate)));
    if let Some(common) = &stand.common {
        let interval = common.line.slope_interval_95();
        coverage.common_rate.count(interval.is_some_and(|interval| within(interval, rate)));
        coverage.differ.count(!common.leads || stand.odd_one().is_some());
    }
    coverage.crossing.count(holds(trend.forecast, at));
    coverage
        .own_crossing
        .count(holds(trend.alone.as_ref().map_or(trend.forecast, |alone| alone.forecast), at));
    coverage.bounded.count(matches!(trend.forecast, Forecast::Limit(_, Crossing::Bounded { .. })));
}

fn simulate(case: Case, engines: u32, seed: u64) -> Coverage {
    let last = HOURS * (case.surveys - 1) as f64;
    let limit = mm(130.0 + (last + AHEAD) * WEAR / HOURS);
    let mut record = record(
        case,
        limit,
        1,
        "0.000001",
        &format!(r#"repeatability: (standard_deviation: "{OWN}", dof: 1e9)"#),
    );
    let name = EngineName { model: "Simulated".to_owned(), serial: "1".to_owned(), file: String::new() };
    let figure = Figure::Point("T".to_owned(), "pin".to_owned());
    let budget = OWN * 1.0_f64.hypot(case.shared);
    let (own_scatter, joint_scatter) = match case.scatter {
        Scatter::None => (0.0, 0.0),
        Scatter::Own(times) => (times * budget, 0.0),
        Scatter::Together(times) => (0.0, times * budget),
    };
    let mut random = Random::new(seed);
    let mut coverage = Coverage::default();
    for _ in 0..engines {
        let ring = random.scatter(mm(OWN));
        for (o, overhaul) in record.overhauls.iter_mut().enumerate() {
            let worn = mm(130.0 + WEAR * o as f64);
            let of_survey = random.scatter(mm(case.shared * OWN)) + random.scatter(mm(joint_scatter));
            for reading in overhaul.cylinders.iter_mut().flat_map(|cylinder| &mut cylinder.readings) {
                let own = random.scatter(mm(OWN)) + random.scatter(mm(own_scatter));
                reading.entered = vec![text(worn + ring + of_survey + own)];
            }
        }
        let followed = follow(&sheets(&record, None).sheets);
        let stand = stand(&followed, &name, &figure, Time::Hours).expect("an engine");
        count(&stand, &mut coverage, last + AHEAD);
    }
    coverage
}

/// Diameters and differences of diameters: how coarse the graduation is against the repeatability, over how many
/// repeats, and what readings share.
fn measured_once(engines: u32) {
    println!("| repeats | graduation | shared / own | diameter | difference |");
    println!("|---|---|---|---|---|");
    for (repeats, graduation) in [(1, 0.0), (2, 0.0), (3, 1.0), (3, 4.0), (1, 4.0)] {
        for shared in SHARED {
            let case = Case { surveys: 1, cylinders: 4, shared, scatter: Scatter::None };
            let step = mm(graduation * OWN);
            let written = if graduation > 0.0 { text(step) } else { "0.0000001".to_owned() };
            // With repeats the repeatability is pooled from them: four cylinders of four points.
            let stated = match repeats {
                1 => format!(r#"repeatability: (standard_deviation: "{OWN}", dof: 1e9)"#),
                _ => String::new(),
            };
            let mut record = record(case, mm(131.0), repeats, &written, &stated);
            let mut random =
                Random::part(11, repeats as u64 * 100 + (10.0 * graduation) as u64 + shared as u64);
            let (mut diameter, mut difference) = (Held::default(), Held::default());
            for _ in 0..engines {
                let error = random.scatter(mm(OWN)) + random.scatter(mm(shared * OWN));
                // Where the true diameter lies between two graduations is chance as well.
                let truth = mm(130.0) + Length::from_tenths_of_nm(random.between(0, 10_000_000));
                for reading in
                    record.overhauls.iter_mut().flat_map(|o| &mut o.cylinders).flat_map(|c| &mut c.readings)
                {
                    for entered in &mut reading.entered {
                        let read = truth + error + random.scatter(mm(OWN));
                        let tenths = step.tenths_of_nm().max(1);
                        let rounded = (read.tenths_of_nm() + tenths / 2).div_euclid(tenths) * tenths;
                        *entered = text(Length::from_tenths_of_nm(rounded));
                    }
                }
                let survey = resolve::survey(&record, 0, None).value.expect("a survey");
                let cylinder = survey.cylinders.first().expect("a cylinder");
                let setup = survey.setup();
                let holds = |held: &mut Held, figure: &Found, truth: f64| {
                    let half = measured::budget(setup, &cylinder.bore, figure).expanded_95().u_mm;
                    held.count((figure.value.to_mm() - truth).abs() <= half);
                };
                let (at, cell) = cylinder.bore.measured().next().expect("a reading");
                let one = Found::of_cell(at, cell.mean());
                holds(&mut diameter, &one, truth.to_mm());
                let row = survey.limits.shape_row(RowName::Taper).expect("a taper row");
                let taper = figures::of_row(&cylinder.bore, &survey.limits, row);
                holds(&mut difference, &taper.known().expect("a taper"), 0.0);
            }
            println!(
                "| {repeats} | {graduation} x own | {shared} | {} | {} |",
                diameter.text(),
                difference.text()
            );
        }
    }
}

fn main() {
    let typed = std::env::var("BOREWRIGHT_COVERAGE_ENGINES").ok();
    let engines = typed.and_then(|engines| engines.parse().ok()).unwrap_or(4000);
    measured_once(engines);
    let mut cases = Vec::new();
    for scatter in Scatter::ALL {
        for surveys in SURVEYS {
            for cylinders in CYLINDERS {
                cases.extend(SHARED.map(|shared| Case { surveys, cylinders, shared, scatter }));
            }
        }
    }
    let next = AtomicUsize::new(0);
    let results = Mutex::new(vec![Coverage::default(); cases.len()]);
    let threads = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some(case) = cases.get(place) else { break };
                    let coverage = simulate(*case, engines, 1 + place as u64);
                    if let Some(result) = results.lock().expect("no thread stopped").get_mut(place) {
                        *result = coverage;
                    }
                }
            });
        }
    });
    let results = results.into_inner().expect("no thread stopped");
    println!();
    println!(
        "| scatter | surveys | cylinders | shared / own | own rate | common rate | crossing | own crossing | differ | bounded |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for (case, coverage) in cases.iter().zip(&results) {
        println!(
            "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
            case.scatter.words(),
            case.surveys,
            case.cylinders,
            case.shared,
            coverage.own_rate.text(),
            coverage.common_rate.text(),
            coverage.crossing.text(),
            coverage.own_crossing.text(),
            coverage.differ.text(),
            coverage.bounded.text(),
        );
    }
}
