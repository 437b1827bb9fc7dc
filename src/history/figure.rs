//! What is followed across overhauls: the figures of a cylinder, what each is computed from, and its limit.
//!
//! A [`Scheme`] is what a table of limits says about that. It is computed on the axes that the table requires
//! (a bore measured on four axes once and on two another time is no like with like) and only from complete
//! readings. Every figure carries its `basis`: rule, stations with their depths, axes with their angles. Two
//! surveys are compared only where figure and basis are the same; nothing is matched by guess.
//!
//! Values are at 20 °C where temperatures were recorded, as everything that is judged.

use std::num::NonZeroU8;

use serde::{Deserialize, Serialize};

use figures::certainty::budget::{Budget, CommonTo};
use figures::certainty::measured;
use figures::{PartialFigure, Term, diameter};
use quantities::length::{Length, Mean, Style, Unit};
use records::bore::{Bore, Point};
use records::limits::Limits;
use records::limits::rows::{Over, RowName, Side};
use records::limits::schema::{Datum, FitKind, JudgedOn};
use records::survey::{Cylinder, MeasuredFit, Setup, Survey, axis_words};

/// A figure that is followed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Figure {
    /// The largest diameter.
    LargestBore,
    /// The average diameter, where the table judges by it.
    AverageBore,
    /// The greatest wear against the finished size, else against the unworn bore.
    Wear,
    /// A row of the shape under the table's rule, with its sign where it has one.
    Row(RowName),
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
            Self::Row(row) => row.followed_words().to_owned(),
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
            Self::Row(row) => row.words().to_owned(),
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

impl Figure {
    /// Is it judged by a row of its own in the table? Single stations and points are judged by the bore row.
    pub fn is_row(&self) -> bool {
        !matches!(self, Self::Wear | Self::Station(_) | Self::Point(..))
    }

    /// The cells of the bore that it is computed from.
    pub fn cells(&self, limits: &Limits) -> Vec<Point> {
        let bore = &*limits.bore_stations;
        let stations: Vec<usize> = match self {
            Self::LargestBore | Self::AverageBore | Self::SkirtClearance => bore.to_vec(),
            Self::Wear => [bore, limits.unworn_stations.as_slice()].concat(),
            Self::Row(row) => limits.shape_row(*row).map(|row| row.over.stations()).unwrap_or_default(),
            Self::Station(name) | Self::Point(name, _) => limits.station_index(name).into_iter().collect(),
        };
        let axes = match self {
            Self::Point(_, label) => limits.axis_index(label).into_iter().collect(),
            _ => limits.required_axes.clone(),
        };
        stations.iter().flat_map(|&s| axes.iter().map(move |&a| Point::new(s, a))).collect()
    }
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

/// The standard uncertainty of a value by what its contributions are common to, in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Parts {
    /// What the reading has for itself: repeatability, resolution.
    pub reading: f64,
    /// What all readings of the survey with the same setting standard share: the setting, the temperatures.
    pub survey: f64,
    /// What all surveys with the same setting standard share: the standard's own size.
    pub standard: f64,
}

/// A value of a figure and its standard uncertainty, to a tenth of a nanometre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Estimate {
    tenths_of_nm: i64,
    u: Kept,
}

/// The parts of an uncertainty as they are kept: whole tenths of a nanometre, up to 0.4 m.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Kept {
    reading: u32,
    survey: u32,
    standard: u32,
    /// One more than the degrees of freedom of the budget, so that no reading takes no room.
    dof: NonZeroU8,
    /// Place of the setting among those of the survey.
    setting: u8,
}

/// More settings than a survey has; stands for several together.
const SEVERAL: u8 = u8::MAX;

/// What the budget of a figure is worth as an estimate, in degrees of freedom: it is known to about a third of
/// itself (trade practice after JCGM 100:2008, G.4.2: 1/2 of (1/3)^-2 is 4.5).
pub const BUDGET_DOF: u8 = 4;

impl Estimate {
    fn new(mm: f64, parts: Parts, dof: u8, setting: Option<usize>) -> Option<Self> {
        let kept = |u: f64| -> Option<u32> {
            let tenths = Length::from_mm(u.abs())?.tenths_of_nm();
            Some(u32::try_from(tenths).unwrap_or(u32::MAX))
        };
        let u = Kept {
            // Nothing is known for certain.
            reading: kept(parts.reading)?.max(1),
            survey: kept(parts.survey)?,
            standard: kept(parts.standard)?,
            dof: NonZeroU8::MIN.saturating_add(dof.min(BUDGET_DOF)),
            setting: setting.and_then(|place| u8::try_from(place).ok()).unwrap_or(SEVERAL),
        };
        Some(Self { tenths_of_nm: Length::from_mm(mm)?.tenths_of_nm(), u })
    }

    /// A value of which nothing else is known.
    #[cfg(test)]
    pub(super) fn of_mm(mm: f64) -> Option<Self> {
        Self::new(mm, Parts::default(), 0, None)
    }

    /// The value in millimetres.
    pub fn mm(self) -> f64 {
        Length::from_tenths_of_nm(self.tenths_of_nm).to_mm()
    }

    /// Its standard uncertainty in millimetres.
    pub fn u_mm(self) -> f64 {
        let Parts { reading, survey, standard } = self.parts();
        reading.hypot(survey).hypot(standard)
    }

    /// That by what it is common to.
    pub fn parts(self) -> Parts {
        let mm = |tenths: u32| Length::from_tenths_of_nm(i64::from(tenths)).to_mm();
        Parts { reading: mm(self.u.reading), survey: mm(self.u.survey), standard: mm(self.u.standard) }
    }

    /// The same where it is not known which other readings were set by the same standard.
    pub(super) fn of_several_settings(self) -> Self {
        let Parts { reading, survey, standard } = self.parts();
        let parts = Parts { reading, survey: survey.hypot(standard), standard: 0.0 };
        Self::new(self.mm(), parts, self.budget_dof(), None).unwrap_or(self)
    }

    /// Degrees of freedom of the budget as an estimate, at most [`BUDGET_DOF`]; 0 where calibration or
    /// repeatability is not known.
    pub fn budget_dof(self) -> u8 {
        self.u.dof.get() - 1
    }

    /// What the gauge was set by: place of a setting standard of the survey, or beyond them of a gauge that
    /// reads diameters; none where several went into the figure.
    pub fn setting(self) -> Option<usize> {
        (self.u.setting != SEVERAL).then_some(usize::from(self.u.setting))
    }
}

/// Readings as they are kept: a text of whole numbers. First how many readings there are; of each its value as the
/// difference to the one before, then the place of its uncertainty among those that came before it, which follows where
/// it is a new one; [`NONE`] for no reading. Half the length of a list of decimal numbers, and read in a fifth of the time.
pub(super) mod packed {
    use std::fmt;
    use std::num::NonZeroU8;

    use serde::{Deserializer, Serializer, de};

    use super::{BUDGET_DOF, Estimate, Kept};

    /// Five bits that more follow of the same number, and the last five, the lowest first. None of these letters is
    /// escaped in JSON.
    const MORE: u8 = b']';
    const LAST: u8 = b'#';
    /// No reading.
    const NONE: u8 = b'!';

    fn push(text: &mut String, mut number: u64) {
        // The casts are of five bits.
        while number >= 32 {
            text.push(char::from(MORE + (number & 31) as u8));
            number >>= 5;
        }
        text.push(char::from(LAST + number as u8));
    }

    /// Numbers of a text from front to back.
    struct Numbers<'a>(std::slice::Iter<'a, u8>);

    impl Numbers<'_> {
        /// The next number, which begins with `first` where that was read already.
        fn number(&mut self, first: Option<u8>) -> Option<u64> {
            let (mut number, mut shift) = (0_u64, 0);
            let mut letter = first.or_else(|| self.next())?;
            loop {
                let (bits, is_last) = match letter.checked_sub(MORE) {
                    Some(bits) => (bits, false),
                    None => (letter.checked_sub(LAST)?, true),
                };
                let bits = Some(u64::from(bits)).filter(|bits| *bits < 32)?;
                if shift >= u64::BITS || bits << shift >> shift != bits {
                    return None;
                }
                number |= bits << shift;
                if is_last {
                    return Some(number);
                }
                shift += 5;
                letter = self.next()?;
            }
        }

        fn next(&mut self) -> Option<u8> {
            self.0.next().copied()
        }

        fn kept(&mut self) -> Option<Kept> {
            let mut next = || u32::try_from(self.number(None)?).ok();
            let (reading, survey, standard) = (next()?, next()?, next()?);
            let (dof, setting) = (u8::try_from(next()?).ok()?, u8::try_from(next()?).ok()?);
            let dof = NonZeroU8::MIN.saturating_add(Some(dof).filter(|dof| *dof <= BUDGET_DOF)?);
            (reading > 0).then_some(Kept { reading, survey, standard, dof, setting })
        }

        fn readings(&mut self) -> Option<Vec<Option<Estimate>>> {
            let count = usize::try_from(self.number(None)?).ok()?;
            // Each has a letter at least.
            let mut readings = Vec::with_capacity(Some(count).filter(|count| *count <= self.0.len())?);
            let (mut seen, mut before): (Vec<Kept>, _) = (Vec::new(), 0_i64);
            while let Some(letter) = self.next() {
                if letter == NONE {
                    readings.push(None);
                    continue;
                }
                let difference = self.number(Some(letter))?;
                before =
                    before.wrapping_add((difference >> 1).cast_signed() ^ -((difference & 1).cast_signed()));
                let place = usize::try_from(self.number(None)?).ok()?;
                if place == seen.len() {
                    seen.push(self.kept()?);
                }
                readings.push(Some(Estimate { tenths_of_nm: before, u: *seen.get(place)? }));
            }
            (readings.len() == count).then_some(readings)
        }
    }

    pub(crate) fn serialize<S: Serializer>(
        readings: &[Option<Estimate>],
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        let mut text = String::with_capacity(8 * readings.len());
        push(&mut text, readings.len() as u64);
        let (mut seen, mut before): (Vec<Kept>, _) = (Vec::new(), 0);
        for reading in readings {
            let Some(Estimate { tenths_of_nm, u }) = *reading else {
                text.push(char::from(NONE));
                continue;
            };
            let difference = tenths_of_nm.wrapping_sub(before);
            // The sign becomes the lowest bit.
            push(&mut text, ((difference << 1) ^ (difference >> 63)).cast_unsigned());
            before = tenths_of_nm;
            let place = seen.iter().position(|known| *known == u);
            push(&mut text, place.unwrap_or(seen.len()) as u64);
            if place.is_none() {
                let whole = [u.reading, u.survey, u.standard, (u.dof.get() - 1).into(), u.setting.into()];
                whole.into_iter().for_each(|number| push(&mut text, number.into()));
                seen.push(u);
            }
        }
        serializer.serialize_str(&text)
    }

    struct Packed;

    impl de::Visitor<'_> for Packed {
        type Value = Vec<Option<Estimate>>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("packed readings")
        }

        fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
            Numbers(text.as_bytes().iter())
                .readings()
                .ok_or_else(|| E::custom("readings that do not fit together"))
        }
    }

    pub(crate) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Vec<Option<Estimate>>, D::Error> {
        deserializer.deserialize_str(Packed)
    }

    #[cfg(test)]
    mod tests {
        use super::*;

        fn unpacked(text: &str) -> Option<Vec<Option<Estimate>>> {
            Numbers(text.as_bytes().iter()).readings()
        }

        #[test]
        fn numbers_of_every_length_come_back() {
            for number in (0..64).flat_map(|bit| [1_u64 << bit, (1 << bit) - 1]).chain([u64::MAX]) {
                let mut text = String::new();
                push(&mut text, number);
                assert!(!text.contains(['"', '\\']) && text.bytes().all(|byte| byte.is_ascii_graphic()));
                assert_eq!(Numbers(text.as_bytes().iter()).number(None), Some(number));
            }
        }

        #[test]
        fn what_does_not_fit_together_is_no_reading() {
            assert_eq!(unpacked("%!!"), Some(vec![None, None]));
            // Too few, too many, cut off, an uncertainty that is not there, letters that are none, a number too long.
            for text in ["", "%!", "$!!", "$%", "$]", "$%$", "$%#", "$~", "$\u{e9}", "$ ", "|||||||||||||||B"]
            {
                assert_eq!(unpacked(text), None, "{text}");
            }
        }
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
        let at_most = |bound: &Option<records::limits::resolved::Bound>, side| {
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
        for row in &limits.shape {
            let name = row.kind.name();
            let basis = match &row.over {
                Over::Stations(stations) => basis(row.kind.formula(), stations),
                Over::Ends { head, base } => {
                    basis(&format!("base end {}", basis_of_stations(limits, base)), head)
                }
                Over::Lip { above, top } => basis("per side", &[*above, *top]),
            };
            // What is never negative can pass its limit on one side only.
            let side = match row.side {
                Side::Either if !row.kind.has_sign() => Side::AtMost,
                side => side,
            };
            push(Figure::Row(name), basis, at_most(&row.limit, side));
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

    /// The place of a figure that is computed from the same as `basis` says.
    pub fn place_on(&self, figure: &Figure, basis: &str) -> Option<usize> {
        self.entries.iter().position(|entry| entry.figure == *figure && entry.basis == basis)
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
    pub fn readings(&self, limits: &Limits, survey: &Survey, cylinder: &Cylinder) -> Vec<Option<Estimate>> {
        let measuring = Measuring {
            limits,
            setup: survey.setup(),
            cylinder,
            required: on_required_axes(&cylinder.bore, limits),
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
}

impl Measuring<'_> {
    fn reading(&self, figure: &Figure) -> Option<Estimate> {
        let (limits, bore) = (self.limits, &self.required);
        let scope = limits.bore_scope();
        let partial = match figure {
            Figure::LargestBore => diameter::largest_diameter(bore, &scope),
            Figure::AverageBore => diameter::average_diameter(bore, &scope),
            Figure::Wear => return self.wear(),
            Figure::SkirtClearance => return self.skirt_clearance(),
            Figure::Row(row) => figures::of_row(bore, limits, limits.shape_row(*row)?),
            Figure::Station(name) => {
                let station = [limits.station_index(name)?];
                diameter::average_diameter(bore, &limits.scope(&station))
            }
            Figure::Point(name, label) => {
                let at = Point::new(limits.station_index(name)?, limits.axis_index(label)?);
                let value = self.cylinder.bore.mean(at)?;
                PartialFigure::Known(figures::Figure::of_cell(at, value))
            }
        };
        let found = partial.known()?;
        self.of(found.value.to_mm(), &found)
    }

    /// A value that has the uncertainty of a figure.
    fn of(&self, mm: f64, figure: &figures::Figure) -> Option<Estimate> {
        let budget = measured::budget(self.setup, &self.cylinder.bore, figure);
        let setting = self.setting(figure);
        let (survey, standard) =
            (budget.u_common_to(CommonTo::Survey), budget.u_common_to(CommonTo::Standard));
        // Several standards together are no standard that another survey could share.
        let (survey, standard) =
            if setting.is_some() { (survey, standard) } else { (survey.hypot(standard), 0.0) };
        let parts = Parts { reading: budget.u_common_to(CommonTo::Reading), survey, standard };
        Estimate::new(mm, parts, self.budget_dof(figure, &budget), setting)
    }

    /// The gauge of each term of a figure, with the term's weight.
    fn gauges<'f>(&'f self, figure: &'f figures::Figure) -> impl Iterator<Item = (usize, f64)> + 'f {
        let gauge = |at: Point| self.cylinder.bore.cell(at).map(|cell| cell.gauge);
        figure.terms.iter().filter_map(move |term| Some((gauge(term.at)?, term.weight)))
    }

    fn setting(&self, figure: &figures::Figure) -> Option<usize> {
        let mut settings = self.gauges(figure).map(|(index, _)| {
            let of_gauge = self.setup.gauges.get(index).and_then(|gauge| gauge.standard);
            of_gauge.unwrap_or(self.setup.standards.len() + index)
        });
        let first = settings.next()?;
        settings.all(|setting| setting == first).then_some(first)
    }

    /// What the budget is worth as an estimate. It is worth nothing where a part of it is not known: the
    /// repeatability, or the calibration where that does not drop out.
    fn budget_dof(&self, figure: &figures::Figure, budget: &Budget) -> u8 {
        let known = !measured::unknown(self.setup, &self.cylinder.bore, figure).any();
        // The cast saturates.
        if known { budget.dof.min(f64::from(BUDGET_DOF)) as u8 } else { 0 }
    }

    /// The largest diameter, where everything it needs is measured.
    fn largest(&self) -> Option<figures::Figure> {
        diameter::largest_diameter(&self.required, &self.limits.bore_scope()).known()
    }

    /// Against the size it was finished to, else the smallest diameter above ring travel. The table's largest
    /// new size is no reference here: it gives no more than the least that may have worn.
    fn wear(&self) -> Option<Estimate> {
        let mut figure = self.largest()?;
        if let Some((finished, _)) = self.cylinder.finished_to {
            let mm = (figure.value - finished.into()).to_mm();
            return self.of(mm, &figure);
        }
        let unworn = self.limits.unworn_stations.as_slice();
        let unworn = diameter::smallest_diameter(&self.required, &self.limits.scope(unworn)).known()?;
        figure.value = figure.value - unworn.value;
        figure.terms.extend(unworn.terms.into_iter().map(|t| Term { at: t.at, weight: -t.weight }));
        self.of(figure.value.to_mm(), &figure)
    }

    fn skirt_clearance(&self) -> Option<Estimate> {
        let row = self.limits.fits.iter().position(|row| row.limits.kind == FitKind::SkirtInBore)?;
        let fit = self.cylinder.fits.iter().find(|fit| fit.row == row)?;
        let clearance = judging::fit::largest_clearance(fit, self.cylinder, self.limits)?;
        let of_bore = fit.clearance.is_none() && fit.hole.is_none();
        let (mm, u) = (clearance.to_mm(), last_digit_u_mm(fit));
        // Of the parts only the last digit is known.
        if !of_bore {
            return Estimate::new(mm, Parts { reading: u, ..Parts::default() }, 0, None);
        }
        let largest = self.largest()?;
        let of_bore = self.of(mm, &largest)?;
        let parts = Parts { reading: of_bore.parts().reading.hypot(u), ..of_bore.parts() };
        Estimate::new(of_bore.mm(), parts, 0, of_bore.setting())
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
