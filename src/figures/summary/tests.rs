use proptest::prelude::*;

use super::super::tests::{bore, inch, inches};
use super::*;
use quantities::length::{Length, Unit};
use records::bore::Cell;
use records::limits::schema::TaperRule;

/// A table of limits with these stations and axes, in inches; depths are 0.5, 1.0, 1.5 ...
fn limits(roles: &[&str], axes: &[f64], rows: &str) -> Limits {
    let stations: String = (roles.iter().enumerate())
        .map(|(i, role)| format!("(name: \"{i}\", depth: \"{}\", role: {role}),", 0.5 * (i + 1) as f64))
        .collect();
    let axes: String = axes.iter().map(|a| format!("(label: \"{a}\", degrees: {a:?}),")).collect();
    let text = format!(
        "(format: 1, identity: \"T\", revision: \"1\", engine: \"invented\",
          source: Illustrative(remark: \"for tests\"), stations: [{stations}], axes: [{axes}],
          bore: [
            (size: Standard, new: (\"5.1250\", \"5.1270\")),
            (size: Oversize(\"0.010\"), new: (\"5.1350\", \"5.1370\")),
            (size: Oversize(\"0.020\"), new: (\"5.1450\", \"5.1470\")),
          ],
          wall: (surface: Plain, cut: Allowed), clean_up_allowance: \"0.0000\", {rows})"
    );
    let options = ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    Limits::resolve(&options.from_str(&text).unwrap()).unwrap()
}

fn cylinder(bore: Bore) -> Cylinder {
    Cylinder { position: "1".into(), serial: "K-1".into(), size: Some(0), ..Cylinder::of_bore(bore) }
}

const FIVE: [&str; 5] = ["AboveRingTravel", "TopOfRingTravel", "RunningSurface", "RunningSurface", "BaseEnd"];

/// One worn barrel, every figure worked out by hand (grade D).
#[test]
fn everything_about_one_barrel() {
    let limits = limits(
        &FIVE,
        &[0.0, 90.0],
        "stroke: \"4.375\", cylinders: 6, ring_gaps: [(reference: \"R\",
        description: \"top ring\", new: (\"0.020\", \"0.030\"))]",
    );
    let mut worn = cylinder(bore(&[
        &["5.1260", "5.1262"],
        &["5.1300", "5.1320"],
        &["5.1280", "5.1290"],
        &["5.1270", "5.1280"],
        &["5.1270", "5.1270"],
    ]));
    worn.ring_gaps.push(MeasuredGap {
        row: 0,
        gap: inch("0.0300"),
        style: Style { unit: Unit::Inch, decimals: 4 },
        station: 4,
    });
    let figures = Figures::of(&worn, &limits);
    let value = |gathered: &PartialFigure| inches(gathered.figure().unwrap().value);

    assert_eq!(figures.missing, []);
    assert_eq!((value(&figures.largest), value(&figures.smallest)), ("5.1320".into(), "5.1270".into()));
    assert_eq!(value(&figures.average), "5.1285", "41.0280 / 8, above ring travel left out");
    let tapers: Vec<_> = figures.by_rule(RowName::Taper).map(|row| value(&row.figure)).collect();
    assert_eq!(tapers, ["0.0040", "0.0050", "0.0050", "0.0050", "0.0050"]);
    assert!(figures.rows.iter().all(|row| row.figure.is_complete()));
    let by_axis: Vec<_> =
        figures.axes.iter().map(|axis| inches(axis.end_to_end.as_ref().unwrap().value)).collect();
    assert_eq!(by_axis, ["0.0030", "0.0050"]);
    let out_of_round: Vec<_> = figures.by_rule(RowName::OutOfRound).map(|row| value(&row.figure)).collect();
    assert_eq!(out_of_round, ["0.0020", "0.0050"]);
    let stations: Vec<_> = figures
        .stations
        .iter()
        .map(|s| (inches(s.average.as_ref().unwrap().value), inches(s.out_of_round.as_ref().unwrap().value)))
        .collect();
    assert_eq!(stations[0], ("5.1261".into(), "0.0002".into()));
    assert_eq!(stations[1], ("5.1310".into(), "0.0020".into()));
    assert!(figures.stations.iter().all(|station| station.ovality.is_none()));
    assert_eq!(
        value(figures.row(RowKind::Choke).unwrap()),
        "\u{2212}0.0040",
        "by roles, without a choke row"
    );
    assert_eq!(value(figures.row(RowKind::Step).unwrap()), "0.0029", "(5.1320 - 5.1262) / 2");
    let wear = figures.wear.as_ref().unwrap();
    assert_eq!(wear.reference, WearReference::UnwornBore(inch("5.1260").into()));
    assert_eq!(wear.at.len(), 10);
    let (place, most) = wear.greatest.unwrap();
    assert_eq!((place, inches(most)), (Point::new(1, 1), "0.0060".into()));
    assert_eq!(figures.shape_words().unwrap(), "worn at the head end, oval across the crankshaft");
    let gap = &figures.ring_gaps[0].at;
    assert_eq!(gap.len(), 4);
    assert_eq!(inches(gap[0].1), "0.0426", "0.0300 + pi x 0.0040");
    let displacement = figures.displacement.unwrap();
    let engine = |one| displacement::text(displacement.of_engine(one).unwrap(), Unit::Inch);
    // D11 (grade D): six cylinders, stroke 4.375 in; bore 5.135 in sweeps 543.63 cu in.
    assert_eq!(displacement.at_sizes.iter().map(|&(size, _)| size).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(engine(displacement.at_sizes[0].1), "543.63 cu in");
    assert_eq!(engine(displacement.now.unwrap()), "542.25 cu in", "pi/4 x 5.1285² x 4.375 x 6 = 542.247");
    assert_eq!(figures.notes, [Note::TwoAxes, Note::OddLobes]);
}

#[test]
fn nothing_measured_is_no_figure_and_no_pass() {
    let limits = limits(&FIVE, &[0.0, 90.0], "");
    let figures = Figures::of(&cylinder(Bore::new(5, 2)), &limits);
    assert_eq!(figures.missing.len(), 8);
    let all = figures.rows.iter().map(|row| &row.figure);
    for gathered in all.chain([&figures.largest, &figures.smallest, &figures.average]) {
        assert!(gathered.figure().is_none() && !gathered.is_complete());
    }
    assert!(figures.shape.is_none() && figures.shape_words().is_none() && figures.displacement.is_none());
    assert_eq!(figures.notes, []);
    assert!(figures.wear.unwrap().greatest.is_none());
}

#[test]
fn roles_that_are_not_there_give_no_choke_and_no_step() {
    let limits = limits(&["RunningSurface", "BaseEnd"], &[0.0, 60.0, 120.0], "");
    let mut bare = cylinder(bore(&[&["5.1300", "5.1310", "5.1320"], &["5.1270", "5.1270", "5.1270"]]));
    let figures = Figures::of(&bare, &limits);
    assert!(figures.row(RowKind::Choke).is_none() && figures.row(RowKind::Step).is_none());
    assert_eq!(figures.notes, [Note::OddLobes, Note::WearAtLeast]);
    assert!(figures.stations[0].ovality.is_some());
    // A size that the table does not have: no reference, and the largest new size is not guessed.
    bare.size = None;
    let figures = Figures::of(&bare, &limits);
    assert!(figures.wear.is_none() && figures.notes.contains(&Note::NoWearReference));
}

/// A choked barrel's taper is taken over the stations that the table names, all five rules and each axis.
#[test]
fn taper_over_the_parallel_stations() {
    let limits = limits(&FIVE, &[0.0, 90.0], "taper: (rule: AllReadings, stations: [\"4\", \"2\", \"3\"])");
    let choked = cylinder(bore(&[
        &["5.1200", "5.1200"],
        &["5.1210", "5.1210"],
        &["5.1272", "5.1271"],
        &["5.1270", "5.1270"],
        &["5.1270", "5.1270"],
    ]));
    let figures = Figures::of(&choked, &limits);
    assert_eq!(figures.taper_stations, [2, 3, 4]);
    let all = figures.row(RowKind::Taper(TaperRule::AllReadings)).unwrap();
    assert_eq!(inches(all.figure().unwrap().value), "0.0002");
    assert_eq!(inches(figures.axes[0].end_to_end.as_ref().unwrap().value), "0.0002");
    assert_eq!(inches(figures.row(RowKind::Choke).unwrap().clone().known().unwrap().value), "0.0060");
}

/// A small reproducible source of numbers (a linear congruential generator, Knuth's constants).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }
}

/// One cell to put into a barrel: where, and its repeats in tenths of a nanometre.
type Entered = (Point, Vec<i64>);

/// Cells of a barrel: any number of repeats from 1 to 50, each diameter from 1 mm to 10 m.
fn cells(stations: usize, axes: usize, holes: u64, seed: u64) -> Vec<Entered> {
    let mut numbers = Numbers(seed);
    // Near one size, as in a barrel, or anything at all.
    let wild = numbers.below(4) == 0;
    let size = 10_000_000 + numbers.below(100_000_000_000 - 20_000_000) as i64;
    let mut cells = Vec::new();
    for station in 0..stations {
        for axis in 0..axes {
            if numbers.below(100) < holes {
                continue;
            }
            let repeats = 1 + numbers.below(50);
            let repeats = (0..repeats).map(|_| {
                if wild {
                    10_000_000 + numbers.below(99_990_000_001) as i64
                } else {
                    size + numbers.below(1_000_000) as i64
                }
            });
            cells.push((Point::new(station, axis), repeats.collect()));
        }
    }
    cells
}

fn filled(stations: usize, axes: usize, cells: &[Entered]) -> Bore {
    let mut bore = Bore::new(stations, axes);
    for (at, repeats) in cells {
        let repeats = repeats.iter().map(|&tenths| Length::from_tenths_of_nm(tenths)).collect();
        bore.set(*at, Cell::new(repeats, Style::usual(Unit::Inch), 0));
    }
    bore
}

fn any_limits(stations: usize, axes: usize) -> Limits {
    let roles: Vec<&str> = (0..stations)
        .map(|i| match i {
            0 if stations > 4 => "AboveRingTravel",
            1 if stations > 4 => "TopOfRingTravel",
            _ if i + 1 == stations => "BaseEnd",
            _ => "RunningSurface",
        })
        .collect();
    let degrees: Vec<f64> = (0..axes).map(|i| 180.0 * i as f64 / axes as f64).collect();
    limits(&roles, &degrees, "stroke: \"4.375\"")
}

fn gathered(figures: &Figures) -> Vec<(&'static str, &PartialFigure)> {
    let mut all = vec![("largest", &figures.largest), ("average", &figures.average)];
    all.extend(figures.rows.iter().map(|row| (row.kind.formula(), &row.figure)));
    all
}

/// Every exact figure as text, in both units.
fn texts(figures: &Figures) -> Vec<String> {
    let values = gathered(figures).into_iter().filter_map(|(_, g)| g.figure()).map(|f| f.value);
    values
        .flat_map(|value| [Unit::Inch, Unit::Millimetre].map(|unit| value.text(Style { unit, decimals: 6 })))
        .collect()
}

/// The largest sheet there can be, 40 stations by 12 axes, with every number of repeats from 1 to 50 and
/// diameters near 10 m: the exact fractions have their largest denominators.
#[test]
fn the_largest_sheet_does_not_overflow() {
    let mut numbers = Numbers(7);
    let cells: Vec<Entered> = (0..480)
        .map(|i| {
            let repeats = (0..=i % 50).map(|_| 99_999_999_999 - numbers.below(1_000) as i64);
            (Point::new(i / 12, i % 12), repeats.collect())
        })
        .collect();
    let limits = any_limits(40, 12);
    let figures = Figures::of(&cylinder(filled(40, 12, &cells)), &limits);
    assert!(gathered(&figures).iter().all(|(_, gathered)| gathered.is_complete()));
    assert_eq!(texts(&figures).len(), 22);
    let average = figures.average.known().unwrap().value.to_mm();
    assert!((average - 9_999.999_95).abs() < 1e-4, "{average}");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 48,
        rng_seed: proptest::test_runner::RngSeed::Fixed(41),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    /// Any sheet from 1 to 40 stations, 1 to 12 axes and 1 to 50 repeats, with holes anywhere.
    #[test]
    fn any_sheet_has_figures(stations in 1_usize..=40, axes in 1_usize..=12, holes in 0_u64..60, seed: u64) {
        let limits = any_limits(stations, axes);
        let figures = Figures::of(&cylinder(filled(stations, axes, &cells(stations, axes, holes, seed))), &limits);
        let texts = texts(&figures);
        prop_assert!(texts.iter().all(|text| !text.is_empty()));
        for (name, gathered) in gathered(&figures) {
            prop_assert_eq!(gathered.is_complete(), gathered.missing().is_empty() && gathered.figure().is_some(), "{}", name);
        }
        if let (Some(largest), Some(average), Some(smallest)) =
            (figures.largest.figure(), figures.average.figure(), figures.smallest.figure())
        {
            prop_assert!(largest.value >= average.value && average.value >= smallest.value);
            prop_assert!(figures.missing.is_empty());
        }
        // No rule's taper or out-of-round is beyond the range of all readings.
        if let Some(range) = figures.row(RowKind::Taper(TaperRule::AllReadings)).and_then(|g| g.figure()) {
            let tapers = figures.by_rule(RowName::Taper).filter_map(|row| row.figure.figure());
            let ovals = figures.by_rule(RowName::OutOfRound).filter_map(|row| row.figure.figure());
            for figure in tapers.chain(ovals) {
                prop_assert!(figure.value.abs() <= range.value);
            }
        }
    }

    /// The order in which a sheet is filled in changes nothing.
    #[test]
    fn order_of_entry_does_not_matter(stations in 1_usize..8, axes in 1_usize..5, holes in 0_u64..60, seed: u64) {
        let limits = any_limits(stations, axes);
        let cells = cells(stations, axes, holes, seed);
        let mut shuffled = cells.clone();
        let mut numbers = Numbers(seed ^ 0x5EED);
        for i in (1..shuffled.len()).rev() {
            shuffled.swap(i, numbers.below(i as u64 + 1) as usize);
        }
        shuffled.iter_mut().for_each(|(_, repeats)| repeats.reverse());
        let of = |cells: &[Entered]| Figures::of(&cylinder(filled(stations, axes, cells)), &limits);
        prop_assert_eq!(of(&cells), of(&shuffled));
    }

    /// The same readings written in millimetres give the same figures; only the way to show them differs.
    #[test]
    fn units_do_not_matter(
        stations in 1_usize..6,
        ten_thousandths in prop::collection::vec(prop::option::of(51_200_u32..51_400), 24),
    ) {
        let limits = any_limits(stations, 4);
        let written = |text: &dyn Fn(u32) -> String| {
            let mut bore = Bore::new(stations, 4);
            for (i, &value) in ten_thousandths.iter().enumerate() {
                let entry = value.map(|value| Length::parse(&text(value), Unit::Inch).unwrap());
                let cell = entry.and_then(|entry| Cell::new(vec![entry.length], entry.style, 0));
                bore.set(Point::new(i / 4, i % 4), cell);
            }
            let figures = Figures::of(&cylinder(bore), &limits);
            Figures { style: Style::usual(Unit::Inch), shape_names: Vec::new(), ..figures }
        };
        // 0.0001 in is 0.00254 mm.
        let inches = written(&|value| format!("{}.{:04}", value / 10_000, value % 10_000));
        let mm = written(&|value| format!("{}.{:05} mm", value * 254 / 100_000, value * 254 % 100_000));
        prop_assert_eq!(inches, mm);
    }

    /// A figure that is given while readings are missing is the least it can be: no further reading lowers it.
    #[test]
    fn a_further_reading_never_lowers_what_is_given_before_its_time(
        stations in 1_usize..8, axes in 1_usize..5, holes in 20_u64..90, seed: u64, further: u64,
    ) {
        let limits = any_limits(stations, axes);
        let cells = cells(stations, axes, holes, seed);
        let mut numbers = Numbers(further);
        let empty: Vec<Point> = (0..stations * axes)
            .map(|i| Point::new(i / axes, i % axes))
            .filter(|at| cells.iter().all(|(other, _)| other != at))
            .collect();
        prop_assume!(!empty.is_empty());
        let at = empty[numbers.below(empty.len() as u64) as usize];
        let near = cells.first().map_or(1_301_877_000, |(_, repeats)| repeats[0]);
        let mut more = cells.clone();
        more.push((at, vec![(near + numbers.below(2_000_000) as i64 - 1_000_000).max(10_000_000)]));
        let before = Figures::of(&cylinder(filled(stations, axes, &cells)), &limits);
        let after = Figures::of(&cylinder(filled(stations, axes, &more)), &limits);
        for ((name, before), (_, after)) in gathered(&before).into_iter().zip(gathered(&after)) {
            let Some(least) = before.figure().filter(|_| !before.missing().is_empty()) else { continue };
            prop_assert!(after.figure().is_some(), "{}", name);
            let value = after.figure().map_or(Mean::ZERO, |figure| figure.value);
            let is_taper = TaperRule::ALL.iter().any(|rule| rule.words() == name);
            if is_taper {
                prop_assert!(value.abs() >= least.value.abs(), "{}", name);
            } else {
                prop_assert!(value >= least.value, "{}", name);
            }
        }
        if let (Some(before), Some(after)) = (before.smallest.figure(), after.smallest.figure()) {
            prop_assert!(after.value <= before.value);
        }
    }
}
