//! What is followed across overhauls: the figures of a cylinder, what each is computed from, and its limit.
//!
//! A [`Scheme`] is what a table of limits says about that. It is computed on the axes that the table requires
//! (a bore measured on four axes once and on two another time is no like with like) and only from complete
//! readings. Every figure carries its `basis`: rule, stations with their depths, axes with their angles. Two
//! surveys are compared only where figure and basis are the same; nothing is matched by guess.
//!
//! Values are corrected to 20 °C where temperatures were recorded, also where the sheet was judged as read.

use serde::{Deserialize, Serialize};

use crate::bore::{Bore, Point};
use crate::certainty::measured;
use crate::figures::{self, PartialFigure, Term, choke, diameter, out_of_round, step, taper};
use crate::judge;
use crate::length::{Length, Mean, Style, Unit};
use crate::limits::Limits;
use crate::limits::schema::{Datum, FitKind, JudgedOn};
use crate::survey::{Cylinder, MeasuredFit, Setup, Survey, axis_words};

/// A figure that is followed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Figure {
    /// The largest diameter.
    LargestBore,
    /// The average diameter, where the table judges by it.
    AverageBore,
    /// The greatest wear against the finished size, else against the unworn bore.
    Wear,
    /// Taper under the table's rule, with its sign.
    Taper,
    /// Out-of-round under the table's rule.
    OutOfRound,
    /// Choke left.
    Choke,
    /// Step at the top of ring travel, per side.
    Step,
    /// The greatest clearance of the skirt.
    SkirtClearance,
    /// The mean diameter of a station, by its name.
    Station(String),
    /// The diameter at a station on an axis, by name and label.
    Point(String, String),
}

impl Figure {
    /// In words, such as `largest bore` or `station B, thrust axis`.
    pub fn words(&self) -> String {
        let station = |name: &str| {
            if name.chars().count() <= 2 { format!("station {name}") } else { name.to_owned() }
        };
        match self {
            Self::LargestBore => "largest bore".to_owned(),
            Self::AverageBore => "average bore".to_owned(),
            Self::Wear => "wear".to_owned(),
            Self::Taper => "taper".to_owned(),
            Self::OutOfRound => "out-of-round".to_owned(),
            Self::Choke => "choke left".to_owned(),
            Self::Step => "step".to_owned(),
            Self::SkirtClearance => "skirt clearance".to_owned(),
            Self::Station(name) => station(name),
            Self::Point(name, axis) => format!("{}, {}", station(name), axis_words(axis)),
        }
    }

    /// How it is named on the command line: `bore`, `choke`, `B`, `B thrust`.
    pub fn short(&self) -> String {
        match self {
            Self::LargestBore => "bore".to_owned(),
            Self::AverageBore => "average".to_owned(),
            Self::Wear => "wear".to_owned(),
            Self::Taper => "taper".to_owned(),
            Self::OutOfRound => "out-of-round".to_owned(),
            Self::Choke => "choke".to_owned(),
            Self::Step => "step".to_owned(),
            Self::SkirtClearance => "skirt".to_owned(),
            Self::Station(name) => name.clone(),
            Self::Point(name, axis) => format!("{name} {axis}"),
        }
    }

    /// Does this figure go by this name, short or in words?
    pub fn is_called(&self, name: &str) -> bool {
        let name = name.trim();
        self.short().eq_ignore_ascii_case(name) || self.words().eq_ignore_ascii_case(name)
    }
}

/// Which side of a limit is within.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Side {
    /// At most so much.
    AtMost,
    /// At least so much.
    AtLeast,
    /// At most so much either way.
    Either,
}

/// A limit of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Limit {
    /// In tenths of a nanometre.
    tenths_of_nm: i64,
    /// Which side is within.
    pub side: Side,
}

impl Limit {
    /// A limit.
    pub fn new(at: Length, side: Side) -> Self {
        Self { tenths_of_nm: at.tenths_of_nm(), side }
    }

    /// The limit as a length.
    pub fn length(self) -> Length {
        Length::from_tenths_of_nm(self.tenths_of_nm)
    }
}

/// Where a figure's limit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
enum LimitOf {
    /// None is given.
    Nothing,
    /// The bore row of the cylinder's size.
    Bore,
    /// Its own row.
    Row(Limit),
}

/// A figure, what it is computed from, and its limit.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Entry {
    /// The figure.
    pub figure: Figure,
    /// Rule, stations and axes; equal if and only if two surveys can be compared.
    pub basis: String,
    /// Its limit.
    limit: LimitOf,
}

/// What a table of limits says about the figures to follow.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Scheme {
    /// The table and its revision, in words.
    pub table: String,
    /// Unit of the table.
    pub unit: Unit,
    /// Decimals that its bore rows are written with.
    pub decimals: u8,
    /// Names of the stations, from the head end.
    pub stations: Vec<String>,
    /// Their depths in tenths of a nanometre.
    depths: Vec<i64>,
    /// Depths are counted from the base end.
    pub from_base_end: bool,
    /// Labels of the axes with their angles in hundredths of a degree.
    pub axes: Vec<(String, i32)>,
    /// Names of the stations above ring travel.
    pub unworn: Vec<String>,
    /// The figures.
    pub entries: Vec<Entry>,
    /// Each size's oversize and serviceable limit in tenths of a nanometre.
    sizes: Vec<(i64, Option<i64>)>,
}

/// A value of a figure and its standard uncertainty, to a tenth of a nanometre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Reading(i64, i64);

impl Reading {
    fn new(mm: f64, u_mm: f64) -> Option<Self> {
        let u = Length::from_mm(u_mm.abs())?.tenths_of_nm().max(1);
        Some(Self(Length::from_mm(mm)?.tenths_of_nm(), u))
    }

    /// The value in millimetres.
    pub fn mm(self) -> f64 {
        Length::from_tenths_of_nm(self.0).to_mm()
    }

    /// Its standard uncertainty in millimetres.
    pub fn u_mm(self) -> f64 {
        Length::from_tenths_of_nm(self.1).to_mm()
    }
}

/// Readings as they are kept: each value as its difference to the one before, then its uncertainty, or 0 where
/// that is the same as before; `null` for none. A third of the length of the plain numbers.
pub(super) mod packed {
    use serde::{Deserialize as _, Deserializer, Serialize as _, Serializer, de};

    use super::Reading;

    pub(in crate::life) fn serialize<S: Serializer>(
        readings: &[Option<Reading>],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        let mut numbers: Vec<Option<i64>> = Vec::with_capacity(2 * readings.len());
        let mut before = Reading(0, 0);
        for reading in readings {
            match *reading {
                None => numbers.push(None),
                Some(reading) => {
                    let same = reading.1 == before.1;
                    numbers.push(Some(reading.0.wrapping_sub(before.0)));
                    numbers.push(Some(if same { 0 } else { reading.1 }));
                    before = reading;
                }
            }
        }
        numbers.serialize(serializer)
    }

    pub(in crate::life) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Vec<Option<Reading>>, D::Error> {
        let numbers = Vec::<Option<i64>>::deserialize(deserializer)?;
        let mut readings = Vec::with_capacity(numbers.len() / 2 + 1);
        let (mut numbers, mut before) = (numbers.into_iter(), Reading(0, 0));
        while let Some(number) = numbers.next() {
            readings.push(match number {
                None => None,
                Some(difference) => {
                    let u = match numbers.next().flatten() {
                        Some(0) => before.1,
                        Some(u) if u > 0 => u,
                        _ => return Err(de::Error::custom("a value without its uncertainty")),
                    };
                    before = Reading(before.0.wrapping_add(difference), u);
                    Some(before)
                }
            });
        }
        readings.shrink_to_fit();
        Ok(readings)
    }
}

fn basis_of_stations(limits: &Limits, stations: &[usize]) -> String {
    let datum = match limits.datum {
        Datum::HeadEnd => "from the head end",
        Datum::BaseEnd => "from the base end",
    };
    let depth = Style { unit: Unit::Millimetre, decimals: 4 };
    let stations = stations.iter().filter_map(|&i| limits.stations.get(i));
    let words: Vec<_> = stations.map(|s| format!("{} at {}", s.name, s.depth.text(depth))).collect();
    format!("{} {datum}", words.join(", "))
}

fn basis_of_axes(limits: &Limits, axes: &[usize]) -> String {
    let axes = axes.iter().filter_map(|&i| limits.axes.get(i));
    axes.map(|axis| format!("{} at {}°", axis.label, axis.degrees)).collect::<Vec<_>>().join(", ")
}

impl Scheme {
    /// What a table says.
    pub fn of(limits: &Limits) -> Self {
        let required = basis_of_axes(limits, &limits.required_axes);
        let basis = |rule: &str, stations: &[usize]| {
            format!("{rule}; stations {}; axes {required}", basis_of_stations(limits, stations))
        };
        let at_most = |bound: &Option<crate::limits::resolved::Bound>, side| {
            bound.as_ref().map_or(LimitOf::Nothing, |bound| LimitOf::Row(Limit::new(bound.length, side)))
        };
        let mut entries = Vec::new();
        let mut push = |figure, basis, limit| entries.push(Entry { figure, basis, limit });
        let by_points = limits.bore_judged_on == JudgedOn::EveryPoint;
        let of_points = if by_points { LimitOf::Bore } else { LimitOf::Nothing };
        let bore = &limits.bore_stations;
        push(Figure::LargestBore, basis("largest", bore), of_points);
        if !by_points {
            push(Figure::AverageBore, basis("average", bore), LimitOf::Bore);
        }
        push(Figure::Wear, basis("largest", bore), LimitOf::Nothing);
        if let Some(row) = &limits.taper {
            let limit = at_most(&row.serviceable, Side::Either);
            push(Figure::Taper, basis(row.rule.words(), &row.stations), limit);
        }
        if let Some(row) = &limits.out_of_round {
            let limit = at_most(&row.serviceable, Side::AtMost);
            push(Figure::OutOfRound, basis(&format!("{:?}", row.rule), &row.stations), limit);
        }
        if let Some(row) = &limits.choke {
            let ends = format!("base end {}", basis_of_stations(limits, &row.base));
            push(Figure::Choke, basis(&ends, &row.head), at_most(&row.least, Side::AtLeast));
        }
        if let Some(row) = &limits.step {
            let limit = at_most(&row.serviceable, Side::AtMost);
            push(Figure::Step, basis("per side", &[row.above, row.top]), limit);
        }
        if let Some(row) = limits.fits.iter().find(|row| row.limits.kind == FitKind::SkirtInBore) {
            let limit = at_most(&row.limits.serviceable, Side::AtMost);
            push(Figure::SkirtClearance, basis("largest", bore), limit);
        }
        for (i, station) in limits.stations.iter().enumerate() {
            let limit = if bore.contains(&i) { of_points } else { LimitOf::Nothing };
            push(Figure::Station(station.name.clone()), basis("mean", &[i]), limit);
            for (j, axis) in limits.axes.iter().enumerate() {
                let basis = format!("{}; {}", basis_of_stations(limits, &[i]), basis_of_axes(limits, &[j]));
                push(Figure::Point(station.name.clone(), axis.label.clone()), basis, limit);
            }
        }
        Self {
            table: format!("{} revision {}", limits.identity, limits.revision),
            unit: limits.style.unit,
            decimals: limits.style.decimals,
            stations: limits.stations.iter().map(|station| station.name.clone()).collect(),
            depths: limits.stations.iter().map(|station| station.depth.tenths_of_nm()).collect(),
            from_base_end: limits.datum == Datum::BaseEnd,
            axes: limits
                .axes
                .iter()
                .map(|axis| (axis.label.clone(), (axis.degrees * 100.0).round() as i32))
                .collect(),
            unworn: limits
                .unworn_stations
                .iter()
                .filter_map(|&i| limits.stations.get(i))
                .map(|station| station.name.clone())
                .collect(),
            entries,
            sizes: limits
                .sizes
                .iter()
                .map(|row| {
                    let limit = row.serviceable.as_ref().map(|bound| bound.length.tenths_of_nm());
                    (row.oversize.tenths_of_nm(), limit)
                })
                .collect(),
        }
    }

    /// How its figures are shown.
    pub fn style(&self) -> Style {
        Style { unit: self.unit, decimals: self.decimals }
    }

    /// The stations with their depths, from the head end.
    pub fn stations_at(&self) -> impl Iterator<Item = (&str, Length)> {
        let depths = self.depths.iter().copied().map(Length::from_tenths_of_nm);
        self.stations.iter().map(String::as_str).zip(depths)
    }

    /// A figure's place among the entries.
    pub fn place(&self, figure: &Figure) -> Option<usize> {
        self.entries.iter().position(|entry| entry.figure == *figure)
    }

    /// The limit of a figure for a cylinder of a size, where one is given.
    pub fn limit(&self, figure: &Figure, oversize: Option<Length>) -> Option<Limit> {
        let entry = self.entries.get(self.place(figure)?)?;
        match entry.limit {
            LimitOf::Nothing => None,
            LimitOf::Row(limit) => Some(limit),
            LimitOf::Bore => {
                let oversize = oversize?.tenths_of_nm();
                let (_, limit) = self.sizes.iter().find(|(size, _)| *size == oversize)?;
                limit.map(|limit| Limit { tenths_of_nm: limit, side: Side::AtMost })
            }
        }
    }

    /// The values of a cylinder's figures, in the order of the entries; none where readings are missing.
    pub fn readings(&self, limits: &Limits, survey: &Survey, cylinder: &Cylinder) -> Vec<Option<Reading>> {
        let measuring = Measuring {
            limits,
            setup: survey.setup(),
            cylinder,
            required: on_required_axes(&cylinder.bore, limits),
            factor: match &survey.conditions {
                Some(conditions) if !conditions.corrected => conditions.factor_to_20_c(),
                _ => 1.0,
            },
        };
        self.entries.iter().map(|entry| measuring.reading(&entry.figure)).collect()
    }
}

/// The bore with only the axes that must be measured.
fn on_required_axes(bore: &Bore, limits: &Limits) -> Bore {
    let mut required = Bore::new(bore.stations(), bore.axes());
    for (at, cell) in bore.measured().filter(|(at, _)| limits.required_axes.contains(&at.axis)) {
        required.set(at, Some(cell.clone()));
    }
    required
}

struct Measuring<'a> {
    limits: &'a Limits,
    setup: Setup<'a>,
    cylinder: &'a Cylinder,
    required: Bore,
    /// What a diameter is multiplied by to have it at 20 °C.
    factor: f64,
}

impl Measuring<'_> {
    fn reading(&self, figure: &Figure) -> Option<Reading> {
        let (limits, bore) = (self.limits, &self.required);
        let scope = limits.bore_scope();
        let partial = match figure {
            Figure::LargestBore => diameter::largest_diameter(bore, &scope),
            Figure::AverageBore => diameter::average_diameter(bore, &scope),
            Figure::Wear => return self.wear(),
            Figure::SkirtClearance => return self.skirt_clearance(),
            Figure::Taper => {
                let row = limits.taper.as_ref()?;
                taper::taper(bore, row.rule, &limits.scope(&row.stations))
            }
            Figure::OutOfRound => {
                let row = limits.out_of_round.as_ref()?;
                out_of_round::out_of_round(bore, row.rule, &limits.scope(&row.stations))
            }
            Figure::Choke => {
                let row = limits.choke.as_ref()?;
                choke::choke(bore, &limits.scope(&row.head), &limits.scope(&row.base))
            }
            Figure::Step => {
                let row = limits.step.as_ref()?;
                step::step(bore, row.above, row.top, &limits.required_axes)
            }
            Figure::Station(name) => {
                let station = [limits.station_index(name)?];
                diameter::average_diameter(bore, &limits.scope(&station))
            }
            Figure::Point(name, label) => {
                let at = Point::new(limits.station_index(name)?, limits.axis_index(label)?);
                let value = self.cylinder.bore.mean(at)?;
                let terms = vec![Term { at, weight: 1.0 }];
                PartialFigure::Known(figures::Figure { value, terms })
            }
        };
        let found = partial.known()?;
        Reading::new(found.value.to_mm() * self.factor, self.u_mm(&found))
    }

    fn u_mm(&self, figure: &figures::Figure) -> f64 {
        measured::budget(self.setup, &self.cylinder.bore, figure).u_mm
    }

    /// The largest diameter, where everything it needs is measured.
    fn largest(&self) -> Option<figures::Figure> {
        diameter::largest_diameter(&self.required, &self.limits.bore_scope()).known()
    }

    /// Against the size it was finished to, else the smallest diameter above ring travel. The table's largest
    /// new size is no reference here: it gives no more than the least that may have worn.
    fn wear(&self) -> Option<Reading> {
        let mut figure = self.largest()?;
        if let Some((finished, _)) = self.cylinder.finished_to {
            // A finished size is one at 20 °C.
            let mm = figure.value.to_mm() * self.factor - finished.to_mm();
            return Reading::new(mm, self.u_mm(&figure));
        }
        let unworn = self.limits.unworn_stations.as_slice();
        let unworn = diameter::smallest_diameter(&self.required, &self.limits.scope(unworn)).known()?;
        figure.value = figure.value - unworn.value;
        figure.terms.extend(unworn.terms.into_iter().map(|t| Term { at: t.at, weight: -t.weight }));
        Reading::new(figure.value.to_mm() * self.factor, self.u_mm(&figure))
    }

    fn skirt_clearance(&self) -> Option<Reading> {
        let row = self.limits.fits.iter().position(|row| row.limits.kind == FitKind::SkirtInBore)?;
        let fit = self.cylinder.fits.iter().find(|fit| fit.row == row)?;
        let clearance = judge::fit::fits(self.cylinder, self.limits).into_iter().nth(row)?.largest?;
        let of_bore = fit.clearance.is_none() && fit.hole.is_none();
        let (mut mm, mut u) = (clearance.to_mm(), last_digit_u_mm(fit));
        if of_bore {
            let largest = self.largest()?;
            mm += largest.value.to_mm() * (self.factor - 1.0);
            u = u.hypot(self.u_mm(&largest));
        }
        Reading::new(mm, u)
    }
}

/// The standard uncertainty that the last digits typed for a pair leave: half a digit each, over the root of 3.
fn last_digit_u_mm(fit: &MeasuredFit) -> f64 {
    let digit = |entry: &Option<(Length, Style)>| {
        entry.map_or(0.0, |(_, style)| style.last_digit().to_mm() / 2.0 / 3_f64.sqrt())
    };
    if fit.clearance.is_some() { digit(&fit.clearance) } else { digit(&fit.shaft).hypot(digit(&fit.hole)) }
}

/// A float in millimetres as a text in a style with further decimals.
pub fn amount(mm: f64, style: Style, more_decimals: u8) -> String {
    let style = Style { decimals: style.decimals.saturating_add(more_decimals), ..style };
    match Length::from_mm(mm) {
        Some(length) => Mean::from(length).text(style),
        None => format!("more than any length in {}", style.unit),
    }
}

/// As [`amount`], without the unit: for a column that names it once.
pub fn number(mm: f64, style: Style, more_decimals: u8) -> String {
    let text = amount(mm, style, more_decimals);
    text.strip_suffix(style.unit.symbol()).map_or_else(|| text.clone(), |number| number.trim_end().to_owned())
}
