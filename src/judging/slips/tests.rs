//! A bench for the tests of every kind of slip, and what must hold for all kinds at once.

use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use quantities::length::Unit;
use records::file::{limits_from_text, record_from_text};
use records::record::resolve;
use records::survey::{Conditions, Earlier, Expansion, Gauge, Standard};

/// A survey with one cylinder, by one of the tables that come with the program.
#[derive(Clone)]
pub(super) struct Bench {
    pub(super) survey: Survey,
    pub(super) cylinder: Cylinder,
}

fn limits(text: &str) -> Limits {
    let reported = limits_from_text(text, None);
    Limits::resolve(&reported.value.unwrap()).unwrap()
}

pub(super) fn length(text: &str, unit: Unit) -> Length {
    Length::parse(text, unit).unwrap().length
}

pub(super) fn inch(text: &str) -> Length {
    length(text, Unit::Inch)
}

impl Bench {
    fn new(table: &str, gauge: Gauge) -> Self {
        let limits = limits(table);
        let (stations, axes) = (limits.stations.len(), limits.axes.len());
        let cylinder = Cylinder {
            position: "3".to_owned(),
            serial: "K-117".to_owned(),
            size: Some(0),
            ..Cylinder::of_bore(Bore::new(stations, axes))
        };
        let survey = Survey {
            limits: Arc::new(limits),
            standards: vec![Standard { name: "ring".to_owned(), size: inch("5.1250"), calibration: None }],
            gauges: vec![gauge],
            conditions: None,
            cylinders: Vec::new(),
        };
        Self { survey, cylinder }
    }

    /// The invented choked six in inches, inside micrometer.
    pub(super) fn six() -> Self {
        Self::new(include_str!("../../../limits/wexcombe_six.ron"), micrometer("0.0001", Unit::Inch))
    }

    /// The same with a dial gauge set on a ring of 5.1250 in.
    pub(super) fn six_by_dial() -> Self {
        let mut bench = Self::six();
        bench.survey.gauges[0].standard = Some(0);
        bench.survey.gauges[0].turn = Some(inch("0.0100"));
        bench
    }

    /// The same readings, taken at these temperatures.
    pub(super) fn at(mut self, conditions: Conditions) -> Self {
        self.survey.conditions = Some(conditions);
        let cells: Vec<_> = self.cylinder.bore.measured().map(|(at, cell)| (at, cell.clone())).collect();
        for (at, cell) in cells {
            let factor = self.survey.factor_to_20_c(cell.gauge);
            let warm = Cell::at_20_c(cell.repeats().to_vec(), factor, cell.style, cell.gauge).unwrap();
            self.cylinder.bore.set(at, Some(warm.confirmed(cell.confirmed)));
        }
        self
    }

    /// The invented marine liner in millimetres.
    pub(super) fn liner() -> Self {
        let table = include_str!("../../../limits/skarvoy_320.ron");
        Self::new(table, micrometer("0.01", Unit::Millimetre))
    }

    /// The invented vintage twin.
    pub(super) fn twin() -> Self {
        Self::new(include_str!("../../../limits/penhallow_twin.ron"), micrometer("0.0001", Unit::Inch))
    }

    /// Reads a bore: one row for each station from the head, one text for each axis, repeats with blanks between.
    pub(super) fn bore(&self, axes: &[&str], rows: &[&[&str]]) -> Bore {
        let limits = &self.survey.limits;
        let mut bore = Bore::new(limits.stations.len(), limits.axes.len());
        for (station, row) in rows.iter().enumerate() {
            for (label, texts) in axes.iter().zip(*row) {
                let entries: Vec<_> =
                    texts.split_whitespace().map(|text| Length::parse(text, limits.unit).unwrap()).collect();
                let Some(first) = entries.first() else { continue };
                let repeats = entries.iter().map(|entry| entry.length).collect();
                let at = Point::new(station, limits.axis_index(label).unwrap());
                bore.set(at, Cell::new(repeats, first.style, 0));
            }
        }
        bore
    }

    /// With these readings on pin and thrust axis.
    pub(super) fn pin_thrust(mut self, rows: &[&[&str]]) -> Self {
        self.cylinder.bore = self.bore(&["pin", "thrust"], rows);
        self
    }

    pub(super) fn on_axes(mut self, axes: &[&str], rows: &[&[&str]]) -> Self {
        self.cylinder.bore = self.bore(axes, rows);
        self
    }

    /// With a survey before.
    pub(super) fn after(mut self, bore: Bore) -> Self {
        self.cylinder.earlier = Some(Earlier { date: jiff::civil::date(2020, 5, 4), bore });
        self
    }

    /// Every slip but the caution about two axes.
    pub(super) fn slips(&self) -> Vec<Slip> {
        let mut slips = find(&self.cylinder, &self.survey);
        slips.retain(|slip| slip.kind != SlipKind::TwoAxesOnly);
        slips
    }

    pub(super) fn kinds(&self) -> Vec<SlipKind> {
        self.slips().iter().map(|slip| slip.kind).collect()
    }

    /// The only slip there is, with its sentence.
    #[track_caller]
    pub(super) fn only(&self) -> (Slip, String) {
        let slips = self.slips();
        assert_eq!(slips.len(), 1, "{:?}", slips.iter().map(|slip| self.sentence(slip)).collect::<Vec<_>>());
        let sentence = self.sentence(&slips[0]);
        (slips[0].clone(), sentence)
    }

    pub(super) fn sentence(&self, slip: &Slip) -> String {
        slip.sentence(&self.cylinder, &self.survey.limits)
    }

    /// The same with a slip mended.
    pub(super) fn corrected(&self, slip: &Slip) -> Self {
        let mut bench = self.clone();
        bench.cylinder.bore = slip.corrected(&self.cylinder.bore).unwrap();
        bench
    }
}

pub(super) fn micrometer(graduation: &str, unit: Unit) -> Gauge {
    Gauge {
        name: "inside micrometer".to_owned(),
        graduation: Some(length(graduation, unit)),
        ..Gauge::default()
    }
}

/// A sound, worn, choked barrel of the six.
pub(super) const SOUND: [&[&str]; 5] = [
    &["5.1252 5.1252", "5.1252 5.1253"],
    &["5.1271 5.1271 5.1272", "5.1274 5.1273 5.1273"],
    &["5.1277 5.1276", "5.1277 5.1278"],
    &["5.1276 5.1276", "5.1277 5.1277"],
    &["5.1277 5.1278", "5.1278 5.1278"],
];

/// [`SOUND`] with one text put in place of another, at a station and on pin (0) or thrust (1).
pub(super) fn sound_but(bench: Bench, station: usize, axis: usize, text: &str) -> Bench {
    let mut rows: Vec<Vec<&str>> = SOUND.iter().map(|row| row.to_vec()).collect();
    rows[station][axis] = text;
    let rows: Vec<&[&str]> = rows.iter().map(Vec::as_slice).collect();
    bench.pin_thrust(&rows)
}

/// Every slip of a record, but for the caution about two axes: overhaul, cylinder, kind.
fn of_record(text: &str) -> Vec<(usize, String, SlipKind)> {
    let record = record_from_text(text, None).value.unwrap();
    let mut found = Vec::new();
    for overhaul in 0..record.overhauls.len() {
        let survey = resolve::survey(&record, overhaul, None).value.unwrap();
        for cylinder in &survey.cylinders {
            for slip in find(cylinder, &survey) {
                if slip.kind != SlipKind::TwoAxesOnly {
                    found.push((overhaul, cylinder.position.clone(), slip.kind));
                }
            }
        }
    }
    found
}

#[test]
fn the_records_that_come_with_the_program() {
    let six = of_record(include_str!("../../../demo/wexcombe_six.ron"));
    let last: Vec<_> = six.iter().filter(|(overhaul, ..)| *overhaul == 2).collect();
    assert_eq!(
        last,
        [&(2, "5".to_owned(), SlipKind::OnlyTop), &(2, "6".to_owned(), SlipKind::Turn)],
        "{six:?}"
    );
    assert!(six.iter().filter(|(overhaul, ..)| *overhaul < 2).all(|(.., kind)| *kind == SlipKind::OnlyTop));
    let twin = of_record(include_str!("../../../demo/penhallow_twin.ron"));
    assert_eq!(twin, [(0, "rear".to_owned(), SlipKind::SwappedDigits)]);
    assert_eq!(of_record(include_str!("../../../demo/skarvoy_320.ron")), []);
}

/// Check W2 (published readings) and W11: nothing looks wrong.
#[test]
fn published_readings_raise_no_alarm() {
    assert_eq!(of_record(include_str!("../../../tests/fixtures/w2_record.ron")), []);
    assert_eq!(of_record(include_str!("../../../tests/fixtures/w11_record.ron")), []);
}

/// The bore rows of US Army TM 9-2815-220-24, WP 0135 (published), with a barrel worn through its whole range.
#[test]
fn an_army_barrel_raises_no_alarm() {
    let table = include_str!("../../../tests/fixtures/army_tm_9_2815_220_24.ron");
    let bench = Bench::new(table, micrometer("0.0001", Unit::Inch));
    let worn = bench.clone().pin_thrust(&[
        &["5.7562", "5.7591"],
        &["5.7566", "5.7594"],
        &["5.7571", "5.7590"],
        &["5.7578", "5.7588"],
        &["5.7592", "5.7595"],
    ]);
    assert_eq!(worn.slips(), []);
    let new = bench.pin_thrust(&[
        &["5.7511", "5.7511"],
        &["5.7512", "5.7513"],
        &["5.7516", "5.7517"],
        &["5.7524", "5.7525"],
        &["5.7530", "5.7529"],
    ]);
    assert_eq!(new.slips(), []);
}

#[test]
fn sound_barrels_raise_no_alarm() {
    assert_eq!(Bench::six().pin_thrust(&SOUND).slips(), [], "worn and choked, repeats scattering");
    let oval = Bench::six().pin_thrust(&[
        &["5.1252", "5.1252"],
        &["5.1262", "5.1297"],
        &["5.1268", "5.1298"],
        &["5.1270", "5.1291"],
        &["5.1275", "5.1287"],
    ]);
    assert_eq!(oval.slips(), [], "oval by 0.0035");
    let tapered = Bench::six().pin_thrust(&[
        &["5.1252", "5.1253"],
        &["5.1338", "5.1345"],
        &["5.1310", "5.1316"],
        &["5.1288", "5.1290"],
        &["5.1279", "5.1280"],
    ]);
    assert_eq!(tapered.slips(), [], "worn by 0.009 at the top");
    let four = Bench::six().on_axes(
        &["pin", "45", "thrust", "135"],
        &[
            &["5.1252", "5.1253", "5.1253", "5.1253"],
            &["5.1273", "5.1286", "5.1274", "5.1262"],
            &["5.1278", "5.1287", "5.1279", "5.1270"],
            &["5.1278", "5.1282", "5.1278", "5.1272"],
            &["5.1278", "5.1283", "5.1279", "5.1275"],
        ],
    );
    assert_eq!(four.slips(), [], "oval at 45 degrees");
    let liner = Bench::liner().on_axes(
        &["fore-aft", "45", "athwart", "135"],
        &[
            &["320.04 320.03", "320.05 320.06", "320.05 320.04", "320.04 320.03"],
            &["321.19 321.18", "321.24 321.25", "321.31 321.31", "321.25 321.26"],
            &["320.95 320.94", "320.98 320.99", "321.03 321.03", "320.98 320.99"],
            &["320.58 320.58", "320.60 320.61", "320.63 320.63", "320.61 320.61"],
            &["320.35 320.34", "320.36 320.37", "320.38 320.38", "320.36 320.37"],
            &["320.18 320.18", "320.19 320.18", "320.20 320.20", "320.19 320.19"],
        ],
    );
    assert_eq!(liner.slips(), []);
}

#[test]
fn confirmed_readings_are_told_but_not_mended() {
    let mut bench = sound_but(Bench::six(), 2, 1, "5.1527 5.1528");
    let at = Point::new(2, bench.survey.limits.axis_index("thrust").unwrap());
    let cell = bench.cylinder.bore.cell(at).cloned().unwrap().confirmed(true);
    bench.cylinder.bore.set(at, Some(cell));
    let (slip, sentence) = bench.only();
    assert!(slip.confirmed && slip.corrected(&bench.cylinder.bore).is_none());
    assert!(sentence.contains("confirmed"), "{sentence}");
}

#[test]
fn a_hanging_outcome_is_not_decided() {
    let bench = sound_but(Bench::six(), 2, 1, "5.1527 5.1528");
    let assessment = crate::assess(&bench.cylinder, &bench.survey);
    assert_eq!(assessment.recommendation, crate::Recommendation::NotDecided);
    let sound = Bench::six().pin_thrust(&SOUND);
    let assessment = crate::assess(&sound.cylinder, &sound.survey);
    assert_eq!(assessment.recommendation, crate::Recommendation::Serviceable);
}

/// Each of the two alone is beyond every oversize, so mending either shows nothing.
#[test]
fn two_slips_that_hide_each_other_are_not_decided() {
    use crate::{Need, Recommendation, assess};
    let mut rows: Vec<Vec<&str>> = SOUND.iter().map(|row| row.to_vec()).collect();
    rows[2][1] = "5.1527 5.1528";
    rows[3][0] = "5.1526 5.1526";
    let rows: Vec<&[&str]> = rows.iter().map(Vec::as_slice).collect();
    let bench = Bench::six().pin_thrust(&rows);
    assert_eq!(bench.kinds(), [SlipKind::Turn, SlipKind::Turn]);
    let assessment = assess(&bench.cylinder, &bench.survey);
    assert_eq!(assessment.recommendation, Recommendation::NotDecided);
    let confirms: Vec<_> = assessment.needs.iter().filter(|need| matches!(need, Need::Confirm(_))).collect();
    assert_eq!(confirms.len(), 2, "{:?}", assessment.needs);
}

/// Not looked over, so nothing is decided either way; but that metal is needed rests on the reading alone.
#[test]
fn no_metal_is_told_as_known_on_a_reading_that_looks_wrong() {
    use crate::{Need, assess};
    let even: [&[&str]; 5] =
        [&["5.1252"; 2], &["5.1259"; 2], &["5.1259", "5.1295"], &["5.1268"; 2], &["5.1268"; 2]];
    let mut bench = Bench::six().pin_thrust(&even);
    bench.cylinder.looked_over = false;
    assert_eq!(bench.kinds(), [SlipKind::SwappedDigits]);
    let assessment = assess(&bench.cylinder, &bench.survey);
    assert_eq!(assessment.minimum_oversize, None);
    assert!(assessment.needs.iter().any(|need| matches!(need, Need::Confirm(_))), "{:?}", assessment.needs);
}

#[test]
fn an_empty_cylinder_has_no_slip() {
    assert_eq!(Bench::six().slips(), []);
}

/// Readings around the six's sizes, some of them with a slip, some wild.
fn any_reading() -> impl Strategy<Value = i64> {
    let near = 51_250..51_300_i64;
    prop_oneof![
        8 => near.clone().prop_map(|n| n * 25_400),
        1 => near.clone().prop_map(|n| (n + 250) * 25_400),
        1 => near.clone().prop_map(|n| (n - 100) * 25_400),
        1 => near.prop_map(|n| n * 1_000),
        1 => 10_000_000..100_000_000_000_i64,
        1 => (400..12_000_i64).prop_map(|n| n * 254_000),
    ]
}

fn any_bore() -> impl Strategy<Value = Bore> {
    let cell = prop::option::weighted(0.85, (prop::collection::vec(any_reading(), 1..7), any::<bool>()));
    (prop::collection::vec(cell, 20), 2..=4_usize).prop_map(|(cells, axes)| {
        let mut bore = Bore::new(5, 4);
        for (i, cell) in cells.into_iter().enumerate().filter(|(i, _)| i % 4 < axes) {
            let Some((tenths, metric)) = cell else { continue };
            let unit = if metric && i % 7 == 0 { Unit::Millimetre } else { Unit::Inch };
            let repeats = tenths.into_iter().map(Length::from_tenths_of_nm).collect();
            bore.set(Point::new(i / 4, i % 4), Cell::new(repeats, Style::usual(unit), 0));
        }
        bore
    })
}

/// The same guess about the same readings; what the neighbours read may differ.
fn is_same(a: &Slip, b: &Slip) -> bool {
    let guess = |slip: &Slip| slip.why.split(':').next().map(str::to_owned);
    let cells = |slip: &Slip| slip.intended.iter().map(|(at, _)| *at).collect::<Vec<_>>();
    a.kind == b.kind && a.at == b.at && a.repeat == b.repeat && cells(a) == cells(b) && guess(a) == guess(b)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_readings(
        bore in any_bore(),
        before in prop::option::of(any_bore()),
        finished in prop::option::of(51_250..51_500_i64),
        size in prop::option::of(0..4_usize),
        dial: bool,
        temperatures in prop::option::of((-20.0..60.0_f64, -20.0..60.0_f64, any::<bool>())),
    ) {
        let mut bench = if dial { Bench::six_by_dial() } else { Bench::six() };
        bench.cylinder.bore = bore;
        bench.cylinder.size = size;
        let usual = Style::usual(Unit::Inch);
        bench.cylinder.finished_to = finished.map(|n| (Length::from_tenths_of_nm(n * 25_400), usual));
        if let Some(before) = before {
            let other = Cylinder {
                serial: "K-118".to_owned(),
                bore: before.clone(),
                finished_to: Some((inch("5.1450"), usual)),
                ..bench.cylinder.clone()
            };
            bench.survey.cylinders = vec![bench.cylinder.clone(), other];
            bench = bench.after(before);
        }
        if let Some((barrel_c, gauge_c, suppose_steel)) = temperatures {
            bench = bench.at(Conditions {
                barrel_c,
                gauge_c,
                barrel: Expansion { per_k: 12e-6, supposed: false },
                difference: None,
                expansion_difference: None,
                suppose_steel,
            });
        }
        let before = bench.cylinder.clone();
        let slips = find(&bench.cylinder, &bench.survey);
        prop_assert_eq!(&before, &bench.cylinder);
        for slip in &slips {
            prop_assert!(bench.sentence(slip).ends_with('.'));
            prop_assert!(slip.likely.is_none() || !slip.intended.is_empty());
            let Some(bore) = slip.corrected(&bench.cylinder.bore) else { continue };
            let corrected = Cylinder { bore, ..bench.cylinder.clone() };
            let again = find(&corrected, &bench.survey);
            prop_assert!(!again.iter().any(|other| is_same(slip, other)), "{}", bench.sentence(slip));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// Worn by up to 0.004 in at the top, oval by up to 0.003 in there and less further down, made with a choke,
    /// scattering by up to two graduations about each point: whatever it is judged to be, nothing looks wrong.
    #[test]
    fn no_alarm_for_a_sound_barrel(
        wear in 0..40_i64,
        oval in -30..30_i64,
        choke in 8..15_i64,
        scatter in prop::collection::vec(prop::collection::vec(-2..=2_i64, 1..4), 10),
    ) {
        let made = [51_254, 51_254, 51_254 + choke, 51_254 + choke, 51_254 + choke];
        let share = [0, 100, 60, 40, 20];
        let mut bench = Bench::six();
        let thrust = bench.survey.limits.axis_index("thrust").unwrap();
        for (i, scatter) in scatter.iter().enumerate() {
            let (station, axis) = (i / 2, i % 2);
            let lost = (wear.max(oval.abs()) + if axis == 1 { oval } else { 0 }) * share[station] / 100;
            let repeats = scatter.iter().map(|s| Length::from_tenths_of_nm((made[station] + lost + s) * 25_400));
            let cell = Cell::new(repeats.collect(), Style::usual(Unit::Inch), 0);
            bench.cylinder.bore.set(Point::new(station, if axis == 1 { thrust } else { 0 }), cell);
        }
        let slips = bench.slips();
        prop_assert!(slips.is_empty(), "{:?}", slips.iter().map(|s| bench.sentence(s)).collect::<Vec<_>>());
    }
}

/// Measures, in a release build: `cargo test --release --lib slips::tests::time -- --ignored --nocapture`.
#[test]
#[ignore = "measures time, checks nothing that a slow machine would hold"]
fn time_of_a_clean_cylinder() {
    let mut bench = Bench::six();
    let mut table = limits_from_text(include_str!("../../../limits/wexcombe_six.ron"), None).value.unwrap();
    let mut extra = table.stations[2].clone();
    extra.name = "C2".to_owned();
    extra.depth = "3.000".into();
    table.stations.push(extra);
    bench.survey.limits = Arc::new(Limits::resolve(&table).unwrap());
    let three = "5.1277 5.1276 5.1277";
    let rows: [&[&str]; 6] = [
        &["5.1252 5.1252 5.1252", "5.1252 5.1253 5.1252"],
        &["5.1271 5.1271 5.1272", "5.1274 5.1273 5.1273"],
        &[three, "5.1278 5.1277 5.1278"],
        &[three, "5.1278 5.1277 5.1278"],
        &[three, three],
        &[three, three],
    ];
    for (what, earlier) in [("without", false), ("with", true)] {
        let mut bench = bench.clone().pin_thrust(&rows);
        if earlier {
            let bore = bench.cylinder.bore.clone();
            bench = bench.after(bore);
        }
        assert_eq!(bench.slips(), []);
        let rounds = 200_000;
        let start = std::time::Instant::now();
        for _ in 0..rounds {
            std::hint::black_box(find(std::hint::black_box(&bench.cylinder), &bench.survey));
        }
        let each = start.elapsed().as_nanos() / rounds;
        assert!(each > 0);
        let mut out = std::io::stdout();
        std::io::Write::write_fmt(&mut out, format_args!("{what} a survey before: {each} ns\n")).unwrap();
    }
}
