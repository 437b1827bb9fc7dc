//! An outsider's check: everything that follows from the readings, worked out anew from the JSON alone, with fractions of
//! its own and nothing of the program's code. So it also tests that the JSON says enough.

use std::cmp::Ordering;
use std::ops::{Add, Mul, Sub};

use serde_json::Value;

use crate::json::{list, parse, text};
use crate::run::borewright;

const DEMOS: [&str; 6] = [
    "demo/penhallow_twin.ron",
    "demo/skarvoy_320.ron",
    "demo/wexcombe_fast_barrel.ron",
    "demo/wexcombe_pair_a.ron",
    "demo/wexcombe_pair_b.ron",
    "demo/wexcombe_six.ron",
];

/// An exact fraction in lowest terms; the lower part is positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Fraction(i128, i128);

impl Fraction {
    const ZERO: Self = Self(0, 1);

    fn new(upper: i128, lower: i128) -> Self {
        let (mut a, mut b) = (upper.abs(), lower.abs());
        while b != 0 {
            (a, b) = (b, a % b);
        }
        let by = if lower < 0 { -a.max(1) } else { a.max(1) };
        Self(upper / by, lower / by)
    }

    /// Of `5.125`, `-1/6` or `1`.
    fn read(text: &str) -> Self {
        if let Some((upper, lower)) = text.split_once('/') {
            return Self::new(upper.parse().unwrap(), lower.parse().unwrap());
        }
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        Self::new(format!("{whole}{part}").parse().unwrap(), 10_i128.pow(part.len() as u32))
    }

    /// Of a number as the JSON has it.
    fn of(number: &Value) -> Self {
        match number["exact"].as_bool() {
            Some(true) => Self::read(text(&number["value"])),
            _ => {
                let exact = Self::read(text(&number["fraction"]));
                let rounded = Self::read(text(&number["value"]));
                assert!((exact - rounded).abs() <= Self::new(1, 2_000_000_000_000), "{number}");
                exact
            }
        }
    }

    /// Of a number that may not be there.
    fn maybe(number: &Value) -> Option<Self> {
        (!number.is_null()).then(|| Self::of(number))
    }

    fn abs(self) -> Self {
        Self(self.0.abs(), self.1)
    }

    fn to_f64(self) -> f64 {
        self.0 as f64 / self.1 as f64
    }
}

impl Add for Fraction {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.0 * other.1 + other.0 * self.1, self.1 * other.1)
    }
}

impl Sub for Fraction {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + Self(-other.0, other.1)
    }
}

impl Mul for Fraction {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.0 * other.0, self.1 * other.1)
    }
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> Ordering {
        (self.0 * other.1).cmp(&(other.0 * self.1))
    }
}

/// The mean of each place.
struct Readings(Vec<(String, String, Fraction)>);

impl Readings {
    fn of(cylinder: &Value) -> Self {
        let mean = |reading: &Value| {
            let repeats: Vec<_> = list(&reading["repeats"]).iter().map(Fraction::of).collect();
            let sum = repeats.iter().fold(Fraction::ZERO, |sum, &repeat| sum + repeat);
            let mean = sum * Fraction::new(1, repeats.len() as i128);
            assert_eq!(Fraction::of(&reading["mean"]), mean, "{reading}");
            (text(&reading["station"]).to_owned(), text(&reading["axis"]).to_owned(), mean)
        };
        Self(list(&cylinder["readings"]).iter().map(mean).collect())
    }

    fn at(&self, station: &str, axis: &str) -> Option<Fraction> {
        self.0.iter().find(|(s, a, _)| s == station && a == axis).map(|(_, _, mean)| *mean)
    }

    fn of_places(&self, stations: &[&str], axes: &[&str]) -> Vec<Fraction> {
        let places = stations.iter().flat_map(|station| axes.iter().map(move |axis| (station, axis)));
        places.filter_map(|(station, axis)| self.at(station, axis)).collect()
    }

    fn average(&self, stations: &[&str], axes: &[&str]) -> Option<Fraction> {
        let all = self.of_places(stations, axes);
        let is_complete = all.len() == stations.len() * axes.len() && !all.is_empty();
        let sum = all.iter().fold(Fraction::ZERO, |sum, &one| sum + one);
        is_complete.then(|| sum * Fraction::new(1, all.len() as i128))
    }

    fn range(&self, stations: &[&str], axes: &[&str]) -> Option<Fraction> {
        let all = self.of_places(stations, axes);
        (all.len() > 1).then(|| *all.iter().max().unwrap() - *all.iter().min().unwrap())
    }
}

fn names(list_of: &Value) -> Vec<&str> {
    list_of.as_array().map_or(Vec::new(), |names| names.iter().map(text).collect())
}

/// A taper under a rule, from the readings; signed where the rule has a sign.
fn taper(
    rule: &str,
    stations: &[&str],
    required: &[&str],
    all: &[&str],
    readings: &Readings,
) -> Option<Fraction> {
    let (top, bottom) = (*stations.first()?, *stations.last()?);
    match rule {
        "axis-averaged top minus axis-averaged bottom" => {
            Some(readings.average(&[top], required)? - readings.average(&[bottom], required)?)
        }
        "per axis, top minus bottom, larger magnitude counts" => {
            let of_axis = |axis: &&str| Some(readings.at(top, axis)? - readings.at(bottom, axis)?);
            all.iter().filter_map(of_axis).reduce(|a, b| if b.abs() > a.abs() { b } else { a })
        }
        "largest top minus smallest bottom" => {
            let over = |axes: &[&str]| {
                let (top, bottom) = (readings.of_places(&[top], axes), readings.of_places(&[bottom], axes));
                Some(*top.iter().max()? - *bottom.iter().min()?)
            };
            let (over_all, over_required) = (over(all)?, over(required)?);
            Some(if over_all.abs() >= over_required.abs() { over_all } else { over_required })
        }
        "per axis, largest minus smallest over all stations" => {
            all.iter().filter_map(|axis| readings.range(stations, &[axis])).max()
        }
        "largest minus smallest of all readings" => readings.range(stations, all),
        other => panic!("what is {other}?"),
    }
}

fn out_of_round(rule: &str, stations: &[&str], axes: &[&str], readings: &Readings) -> Option<Fraction> {
    match rule {
        "per station, largest minus smallest of its axes, worst counts" => {
            stations.iter().filter_map(|station| readings.range(&[station], axes)).max()
        }
        "one axis's largest minus another axis's smallest, across stations" => {
            let pairs = axes.iter().flat_map(|a| axes.iter().map(move |b| (a, b))).filter(|(a, b)| a != b);
            let of_pair = |(a, b): (&&str, &&str)| {
                let (a, b) = (readings.of_places(stations, &[a]), readings.of_places(stations, &[b]));
                Some(*a.iter().max()? - *b.iter().min()?)
            };
            pairs.filter_map(of_pair).max()
        }
        other => panic!("what is {other}?"),
    }
}

/// The figure of a row from its rule, its stations and axes, and the readings.
fn figure(row: &Value, required: &[&str], readings: &Readings) -> Option<Fraction> {
    let over = &row["judged_over"];
    let (stations, axes) = (names(&over["stations"]), names(&over["axes"]));
    let rule = row["rule"].as_str().unwrap_or_default();
    match text(&row["row"]) {
        "bore" if rule.contains("average") => readings.average(&stations, &axes),
        "bore" => readings.of_places(&stations, &axes).into_iter().max(),
        "taper" => {
            let signed = taper(rule, &stations, required, &axes, readings)?;
            if let Some(said) = Fraction::maybe(&row["signed"]) {
                assert_eq!(said, signed, "{row}");
            }
            Some(signed.abs())
        }
        "out-of-round" => out_of_round(rule, &stations, &axes, readings),
        "choke" => {
            let end = |field: &str| readings.average(&names(&over[field]), &axes);
            Some(end("base_end")? - end("head_end")?)
        }
        "step" => {
            let (above, top) = (text(&over["above"]), text(&over["top"]));
            let of_axis = |axis: &&str| {
                Some((readings.at(top, axis)? - readings.at(above, axis)?) * Fraction::new(1, 2))
            };
            axes.iter().filter_map(of_axis).max()
        }
        other => panic!("what is {other}?"),
    }
}

/// The sum of weight times mean.
fn made_of(of: &Value, readings: &Readings) -> Fraction {
    let term = |term: &Value| {
        let mean = readings.at(text(&term["station"]), text(&term["axis"])).unwrap();
        Fraction::read(text(&term["weight"])) * mean
    };
    list(&of["made_of"]).iter().map(term).fold(Fraction::ZERO, Add::add)
}

/// A limit as it is worked out; true if it was.
fn limit_holds(limit: &Value, per_unit: i128) -> bool {
    let worked_out = &limit["worked_out"];
    if worked_out.is_null() {
        return false;
    }
    let amount = match text(&worked_out["rule"]) {
        "allowance over new" => Fraction::of(&worked_out["allowance"]),
        "per unit of bore" | "per unit of ring travel" => {
            let product = Fraction::read(text(&worked_out["factor"])) * Fraction::of(&worked_out["of"]);
            assert_eq!(Fraction::of(&worked_out["product"]), product, "{limit}");
            let tenths_of_nm = product * Fraction::new(per_unit, 1);
            Fraction::new(tenths_of_nm.0.div_euclid(tenths_of_nm.1), per_unit)
        }
        other => panic!("what is {other}?"),
    };
    let over = Fraction::of(&worked_out["over"]);
    let sum = if worked_out["is_taken_off"] == true { over - amount } else { over + amount };
    assert_eq!(Fraction::of(limit), sum, "{limit}");
    true
}

/// How much was recomputed, by kind.
#[derive(Debug, Default)]
struct Counts {
    figures: usize,
    limits: usize,
    limits_worked_out: usize,
    margins: usize,
    outcomes: usize,
    stations: usize,
    oversizes: usize,
    metal: usize,
    parts: usize,
    corrected: usize,
    by_rule: usize,
    wear: usize,
    gaps: usize,
}

fn rows(cylinder: &Value, required: &[&str], readings: &Readings, per_unit: i128, counts: &mut Counts) {
    for row in list(&cylinder["rows"]) {
        let limit = Fraction::maybe(&row["limit"]);
        counts.limits += usize::from(limit.is_some());
        counts.limits_worked_out += usize::from(limit_holds(&row["limit"], per_unit));
        let Some(said) = Fraction::maybe(&row["figure"]) else { continue };
        assert_eq!(made_of(row, readings), said, "{row}");
        assert_eq!(figure(row, required, readings), Some(said), "{row}");
        counts.figures += 1;
        let Some(limit) = limit else { continue };
        let is_least = row["limit_is"] == "at least";
        let margin = if is_least { said - limit } else { limit - said };
        assert_eq!(Fraction::of(&row["margin"]), margin, "{row}");
        let is_beyond = margin < Fraction::ZERO || row["in_guard_band"] == true;
        assert_eq!(row["status"] == "beyond", is_beyond, "{row}");
        counts.margins += 1;
    }
}

fn clean_up(cylinder: &Value, limits: &Value, readings: &Readings, counts: &mut Counts) {
    let oversizes = list(&cylinder["oversizes"]);
    let clean_up = &cylinder["clean_up"];
    assert_eq!(oversizes.is_empty(), clean_up.is_null());
    if oversizes.is_empty() {
        return;
    }
    let two = Fraction::new(2, 1);
    let [original, allowance] = ["original", "allowance"].map(|field| Fraction::of(&clean_up[field]));
    let axes: Vec<_> = list(&limits["axes"]).iter().map(|axis| text(&axis["label"])).collect();
    let largest_of = |station: &str| readings.of_places(&[station], &axes).into_iter().max();
    let largest_of_all = readings.0.iter().map(|(_, _, mean)| *mean).max().unwrap();
    let mut needs = Vec::new();
    let mut is_taken = false;
    for at in list(&clean_up["stations"]) {
        let station = text(&at["station"]);
        let largest = largest_of(station).unwrap();
        assert_eq!(Fraction::of(&at["largest"]), largest);
        // A pit that cannot be placed counts at the first station with the largest diameter.
        let is_largest = largest == largest_of_all && !is_taken;
        is_taken |= is_largest;
        let depths = list(&clean_up["pits"]).iter().filter(|pit| match pit["station"].as_str() {
            Some(at) => at == station,
            None => is_largest,
        });
        let depth = depths.map(|pit| Fraction::of(&pit["depth"])).max().unwrap_or(Fraction::ZERO);
        let extra = depth * two + allowance;
        let if_even = largest + extra;
        let whichever_side = (largest * two - original + extra).max(if_even);
        assert_eq!(Fraction::of(&at["needs_if_even"]), if_even, "{at}");
        assert_eq!(Fraction::of(&at["needs_whichever_side"]), whichever_side, "{at}");
        needs.push((if_even, whichever_side));
        counts.stations += 1;
    }
    let if_even = needs.iter().map(|need| need.0).max().unwrap();
    let whichever_side = needs.iter().map(|need| need.1).max().unwrap();
    let mut first_certain = Value::Null;
    for oversize in oversizes {
        let size = &oversize["size"];
        let finished = Fraction::of(&size["new_least"]);
        assert_eq!(Fraction::of(&oversize["needs_if_even"]), if_even);
        assert_eq!(Fraction::of(&oversize["needs_whichever_side"]), whichever_side);
        let words = match finished {
            finished if finished >= whichever_side => "cleans up even if all wear is on one side",
            finished if finished >= if_even => "cleans up only if the wear is even",
            _ => "does not clean up",
        };
        assert_eq!(oversize["clean_up"], words, "{oversize}");
        let wall_allows = match text(&limits["cut"]) {
            "as far as an oversize goes" => true,
            "no deeper than" => {
                Fraction::of(&size["oversize"]) <= Fraction::of(&limits["deepest_cut_per_side"]) * two
            }
            _ => false,
        };
        assert_eq!(oversize["wall_allows"], wall_allows, "{oversize}");
        if first_certain.is_null() && wall_allows && finished >= whichever_side {
            first_certain = size.clone();
        }
        let row = list(&limits["sizes"]).iter().find(|row| row["name"] == size["name"]).unwrap();
        assert!(["oversize", "new_least", "new_greatest"].iter().all(|field| row[field] == size[field]));
        for metal in list(&oversize["metal"]) {
            let read = readings.at(text(&metal["station"]), text(&metal["axis"])).unwrap();
            assert_eq!(Fraction::of(metal), finished - read);
            assert_eq!(Fraction::of(&metal["per_side"]) * two, finished - read);
            counts.metal += 1;
        }
        assert_eq!(oversize["recommended"] == true, *size == cylinder["rebore_to"]);
        counts.oversizes += 1;
    }
    if cylinder["outcome"] == "rebore" {
        assert_eq!(cylinder["rebore_to"], first_certain);
    }
}

fn parts(cylinder: &Value, per_unit: i128, required: &[&str], readings: &Readings, counts: &mut Counts) {
    let row = list(&cylinder["rows"]).iter().find(|row| row["row"] == "bore");
    for part in list(&cylinder["fits"]) {
        limit_holds(&part["limit"], per_unit);
        let measured = &part["measured"];
        let [Some(smallest), Some(largest)] =
            ["smallest", "largest"].map(|field| Fraction::maybe(&part[field]))
        else {
            continue;
        };
        let [hole, shaft, clearance, gap] =
            ["hole", "shaft", "clearance", "gap"].map(|field| Fraction::maybe(&measured[field]));
        let bore = || {
            let over = &row.unwrap()["judged_over"];
            (names(&over["stations"]), names(&over["axes"]))
        };
        let (least, most) = match (clearance, hole, shaft, gap) {
            (Some(clearance), ..) => (clearance, clearance),
            (_, Some(hole), Some(shaft), _) => (hole - shaft, hole - shaft),
            (_, None, Some(shaft), _) => {
                let (stations, axes) = bore();
                let all = readings.of_places(&stations, &axes);
                (*all.iter().min().unwrap() - shaft, *all.iter().max().unwrap() - shaft)
            }
            (_, _, _, Some(gap)) => {
                let taken_at = readings.average(&[text(&measured["station"])], required);
                let along = |station: &&str| {
                    let change = (readings.average(&[station], required)? - taken_at?).to_f64();
                    Some(gap.to_f64() + change * std::f64::consts::PI)
                };
                let along: Vec<f64> = bore().0.iter().filter_map(along).collect();
                let [least, most] = [f64::min, f64::max]
                    .map(|pick| along.iter().copied().reduce(pick).unwrap_or(gap.to_f64()));
                // Rounded to 1e-7 mm.
                assert!((least - smallest.to_f64()).abs() * (per_unit as f64) < 0.6, "{part}");
                assert!((most - largest.to_f64()).abs() * (per_unit as f64) < 0.6, "{part}");
                (smallest, largest)
            }
            _ => panic!("what was measured? {part}"),
        };
        assert_eq!((smallest, largest), (least, most), "{part}");
        if let Some(limit) = Fraction::maybe(&part["limit"]) {
            assert_eq!(Fraction::of(&part["margin"]), limit - largest, "{part}");
        }
        counts.parts += 1;
    }
}

/// What was read, brought to 20 °C.
fn corrected(cylinder: &Value, per_unit: i128, counts: &mut Counts) {
    for reading in list(&cylinder["readings"]) {
        let Some(factor) = reading["factor_to_20_c"].as_f64() else { continue };
        for (read, repeat) in list(&reading["as_read"]).iter().zip(list(&reading["repeats"])) {
            let tenths_of_nm = |number: &Value| Fraction::of(number) * Fraction::new(per_unit, 1);
            let at_20_c = tenths_of_nm(read).to_f64() * factor;
            assert!((at_20_c - tenths_of_nm(repeat).to_f64()).abs() <= 0.51, "{reading}");
            counts.corrected += 1;
        }
    }
}

fn engines(document: &Value, mut each: impl FnMut(&Value, &Value, &[&str], &Readings, i128)) {
    assert_eq!(document["format"], 2);
    for engine in list(&document["engines"]) {
        let per_unit = if engine["unit"] == "in" { 254_000_000 } else { 10_000_000 };
        let axes = list(&engine["limits"]["axes"]).iter().filter(|axis| axis["required"] == true);
        let required: Vec<_> = axes.map(|axis| text(&axis["label"])).collect();
        for cylinder in list(&engine["cylinders"]) {
            each(engine, cylinder, &required, &Readings::of(cylinder), per_unit);
        }
    }
}

#[test]
fn all_that_follows_from_the_readings_follows_from_the_json() {
    let mut counts = Counts::default();
    for demo in DEMOS {
        let document = parse(&borewright(["judge", demo, "--overhaul", "all", "--json"]).out);
        engines(&document, |engine, cylinder, required, readings, per_unit| {
            rows(cylinder, required, readings, per_unit, &mut counts);
            clean_up(cylinder, &engine["limits"], readings, &mut counts);
            parts(cylinder, per_unit, required, readings, &mut counts);
            corrected(cylinder, per_unit, &mut counts);
            // A serviceable cylinder has every row within.
            let is_within = |row: &Value| text(&row["status"]).starts_with("within");
            if cylinder["outcome"] == "serviceable" {
                assert!(list(&cylinder["rows"]).iter().all(is_within), "{}", cylinder["serial"]);
            }
            counts.outcomes += 1;
        });
        let document = parse(&borewright(["figures", demo, "--overhaul", "all", "--json"]).out);
        engines(&document, |engine, cylinder, required, readings, per_unit| {
            figures(engine, cylinder, required, readings, per_unit, &mut counts);
        });
    }
    println!("{counts:?}");
    let Counts { figures, limits, limits_worked_out, margins, outcomes, stations, oversizes, metal, .. } =
        counts;
    for (least, count) in [
        (100, figures),
        (100, limits),
        (10, limits_worked_out),
        (100, margins),
        (30, outcomes),
        (100, stations),
        (50, oversizes),
        (500, metal),
    ] {
        assert!(count >= least, "{counts:?}");
    }
    assert!(counts.parts > 10 && counts.corrected > 50 && counts.by_rule > 100, "{counts:?}");
    assert!(counts.wear > 100 && counts.gaps > 5, "{counts:?}");
}

/// What `figures --json` says, under every rule, in force or not.
fn figures(
    engine: &Value,
    cylinder: &Value,
    required: &[&str],
    readings: &Readings,
    per_unit: i128,
    counts: &mut Counts,
) {
    let all: Vec<_> = list(&engine["limits"]["axes"]).iter().map(|axis| text(&axis["label"])).collect();
    let in_bore = list(&engine["limits"]["stations"]).iter().filter(|at| at["role"] != "above ring travel");
    let in_bore: Vec<_> = in_bore.map(|station| text(&station["name"])).collect();
    let mut holds = |of: &Value, expected: Option<Fraction>| {
        let Some(said) = Fraction::maybe(&of["figure"]) else { return };
        assert_eq!(made_of(of, readings), said, "{of}");
        assert_eq!(expected, Some(said), "{of}");
        counts.by_rule += 1;
    };
    let bore = readings.of_places(&in_bore, &all);
    holds(&cylinder["largest"], bore.iter().max().copied());
    holds(&cylinder["smallest"], bore.iter().min().copied());
    holds(&cylinder["average"], readings.average(&in_bore, required));
    let stations = names(&cylinder["taper_stations"]);
    for by_rule in list(&cylinder["taper"]) {
        holds(by_rule, taper(text(&by_rule["rule"]), &stations, required, &all, readings));
    }
    for by_rule in list(&cylinder["out_of_round"]) {
        holds(by_rule, out_of_round(text(&by_rule["rule"]), &in_bore, &all, readings));
    }
    for at in list(&cylinder["stations"]) {
        let station = text(&at["station"]);
        holds(&at["average"], readings.average(&[station], required));
        holds(&at["out_of_round"], readings.range(&[station], &all));
        let worn = at["wear"].as_array().map_or(&[][..], Vec::as_slice);
        for worn in worn {
            let read = readings.at(station, text(&worn["axis"])).unwrap();
            assert_eq!(Fraction::of(worn), read - Fraction::of(&cylinder["wear"]["from"]));
            counts.wear += 1;
        }
        // The fitted oval takes the mean of its directions where they divide the half turn evenly.
        if let Some(mean) = at["ovality"]["mean"].as_f64() {
            let read = readings.of_places(&[station], &all);
            let plain = read.iter().map(|mean| mean.to_f64()).sum::<f64>() / read.len() as f64;
            assert!(read.len() > 2 && (mean - plain).abs() < 0.01, "{at}");
        }
    }
    for gap in list(&cylinder["ring_gaps"]) {
        let taken_at = readings.average(&[text(&gap["taken_at"])], required).unwrap();
        for along in list(&gap["along"]) {
            let change =
                (readings.average(&[text(&along["station"])], required).unwrap() - taken_at).to_f64();
            let expected = Fraction::of(&gap["gap"]).to_f64() + change * std::f64::consts::PI;
            let apart = (expected - Fraction::of(along).to_f64()).abs() * per_unit as f64;
            assert!(apart < 0.6, "{along}");
            counts.gaps += 1;
        }
    }
}
