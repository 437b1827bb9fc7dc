//! One overhaul's measurements, every text read: what figures, slips, certainty and judging all work on.
//!
//! A [`Survey`] comes from an engine record ([`crate::record::resolve`]) or from a table of readings
//! (a fleet in CSV); from here on nothing knows which. Lengths are exact and on the diameter; statistics
//! are in millimetres, kelvin and 1/K.

use std::sync::Arc;

use jiff::civil::Date;

use crate::bore::{Bore, Point};
use crate::limits::Limits;
use crate::limits::schema::FindingKind;
use crate::record::schema::Disposition;
use quantities::area::Area;
use quantities::length::{Length, Style};
use quantities::mass::Mass;

/// A thermal expansion coefficient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expansion {
    /// In 1/K.
    pub per_k: f64,
    /// Nobody wrote it: it is that of steel, for want of another.
    pub supposed: bool,
}

impl Expansion {
    /// That of steel, where neither the record nor the table gives one: 11.5e-6 1/K, as for steel gauge blocks
    /// (ISO 3650).
    pub const STEEL: Self = Self { per_k: 11.5e-6, supposed: true };

    /// One that was written, in millionths per kelvin; that of steel if none was.
    pub fn of_ppm(ppm: Option<f64>) -> Self {
        ppm.map_or(Self::STEEL, |ppm| Self { per_k: ppm * 1e-6, supposed: false })
    }

    /// How much longer than at 20 °C something is at a temperature in degrees Celsius, as a share.
    pub fn growth(self, celsius: f64) -> f64 {
        self.per_k * (celsius - REFERENCE_C)
    }

    /// It is only supposed, and at this temperature that matters.
    pub fn is_in_doubt(self, celsius: f64) -> bool {
        self.supposed && celsius != REFERENCE_C
    }
}

impl Default for Expansion {
    fn default() -> Self {
        Self::STEEL
    }
}

/// The temperature at which sizes and limits hold, in degrees Celsius (ISO 1).
pub const REFERENCE_C: f64 = 20.0;

/// A standard uncertainty and its degrees of freedom (infinite if nothing limits them).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Standard uncertainty.
    pub u: f64,
    /// Degrees of freedom.
    pub dof: f64,
    /// How far off it can be at most, in the unit of `u`, where its distribution has ends that are taken as known.
    pub half_width: Option<f64>,
}

impl Uncertainty {
    /// One whose distribution has no ends.
    pub const fn new(u: f64, dof: f64) -> Self {
        Self { u, dof, half_width: None }
    }

    /// Anywhere within a half-width, equally likely (JCGM 100:2008, 4.3.7).
    pub fn rectangular(half_width: f64) -> Self {
        Self { u: half_width / 3_f64.sqrt(), dof: f64::INFINITY, half_width: Some(half_width) }
    }
}

/// A setting standard.
#[derive(Clone, Debug, PartialEq)]
pub struct Standard {
    /// Its name.
    pub name: String,
    /// Its size.
    pub size: Length,
    /// How sure its size is, in millimetres.
    pub calibration: Option<Uncertainty>,
}

/// A further source of a gauge's uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Further {
    /// What it is.
    pub source: String,
    /// In millimetres.
    pub uncertainty: Uncertainty,
    /// The same for all readings of the gauge.
    pub common: bool,
}

/// A gauge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gauge {
    /// Its name.
    pub name: String,
    /// One graduation on the diameter; none: the last digit that was written.
    pub graduation: Option<Length>,
    /// What one turn of its thimble or dial is worth.
    pub turn: Option<Length>,
    /// Index of the setting standard it compares with; none: it reads the diameter itself.
    pub standard: Option<usize>,
    /// Its own calibration, in millimetres.
    pub calibration: Option<Uncertainty>,
    /// Standard deviation of a single reading, from a study or pooled from repeats, in millimetres.
    pub repeatability: Option<Uncertainty>,
    /// The repeatability was pooled from the repeats of this survey.
    pub pooled: bool,
    /// How what it compares with expands: its setting standard, or itself if it reads the diameter.
    pub expansion: Expansion,
    /// Further sources.
    pub further: Vec<Further>,
    /// Why its readings are not judged: what is wrong with it, with its setting standard or with the temperatures,
    /// each a sentence. Such readings become no diameter.
    pub unusable: Vec<String>,
}

/// Temperatures while measuring, and how the barrel expands.
///
/// A reading taken at other temperatures than 20 °C differs from the diameter at 20 °C by an amount that is known:
/// it is corrected, by the expansion of the gauge or setting standard that it was read with (JCGM 100:2008, 3.2.4).
/// What is uncertain about the correction is part of the budget.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// Temperature of the barrel in degrees Celsius.
    pub barrel_c: f64,
    /// Temperature of the gauge or setting standard in degrees Celsius.
    pub gauge_c: f64,
    /// How the barrel expands.
    pub barrel: Expansion,
    /// Uncertainty of the difference between the two temperatures, in kelvin.
    pub difference: Option<Uncertainty>,
    /// Uncertainty of the difference between the coefficients of barrel and gauge, in 1/K.
    pub expansion_difference: Option<Uncertainty>,
    /// Somebody asked for the correction also where an expansion is only supposed.
    pub suppose_steel: bool,
}

impl Conditions {
    /// What to multiply a reading by to have the diameter at 20 °C (ISO 1), to first order; `gauge` is the expansion
    /// of what it was read with.
    pub fn factor_to_20_c(&self, gauge: Expansion) -> f64 {
        1.0 + (gauge.growth(self.gauge_c) - self.barrel.growth(self.barrel_c))
    }

    /// Does the correction of a reading rest on an expansion that is only supposed, without anybody having asked
    /// for that?
    pub fn is_in_doubt(&self, gauge: Expansion) -> bool {
        !self.suppose_steel && (self.barrel.is_in_doubt(self.barrel_c) || gauge.is_in_doubt(self.gauge_c))
    }
}

/// What to multiply a reading of a gauge by to have the diameter at 20 °C: 1 where no temperatures were recorded.
pub fn factor_to_20_c(conditions: Option<&Conditions>, gauge: Option<&Gauge>) -> f64 {
    let expansion = gauge.map(|gauge| gauge.expansion).unwrap_or_default();
    conditions.map_or(1.0, |conditions| conditions.factor_to_20_c(expansion))
}

/// Something found by eye.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is.
    pub kind: FindingKind,
    /// Where, in words.
    pub place: String,
    /// Index of the nearest station.
    pub station: Option<usize>,
    /// Direction around the bore in degrees.
    pub degrees: Option<f64>,
    /// Length or width.
    pub size: Option<(Length, Style)>,
    /// Depth.
    pub depth: Option<(Length, Style)>,
    /// How many adjacent fins it takes in.
    pub fins: u16,
    /// The area taken off.
    pub area: Option<Area>,
    /// What was done.
    pub done: String,
}

/// A measured pair of parts, each at 20 °C.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredFit {
    /// Index of the row in [`Limits::fits`].
    pub row: usize,
    /// Hole.
    pub hole: Option<(Length, Style)>,
    /// Shaft.
    pub shaft: Option<(Length, Style)>,
    /// Clearance measured itself.
    pub clearance: Option<(Length, Style)>,
    /// Why no clearance comes of what was written; none: nothing is wrong with it.
    pub unusable: Option<String>,
}

/// A measured ring gap.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredGap {
    /// Index of the row in [`Limits::ring_gaps`].
    pub row: usize,
    /// The gap.
    pub gap: Length,
    /// How it was written.
    pub style: Style,
    /// Index of the station it was taken at.
    pub station: usize,
}

/// The same cylinder at an earlier survey, since which it has not been cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Earlier {
    /// The day of that survey.
    pub date: Date,
    /// Its readings, on the stations and axes of the present table.
    pub bore: Bore,
}

/// One cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    /// Position on the engine.
    pub position: String,
    /// Serial number.
    pub serial: String,
    /// Index of its current size in [`Limits::sizes`]; none: the table has no such size.
    pub size: Option<usize>,
    /// The size it was last finished to, where known.
    pub finished_to: Option<(Length, Style)>,
    /// Tagged, cleaned.
    pub tagged: bool,
    /// Cleaned.
    pub cleaned: bool,
    /// Looked over by eye.
    pub looked_over: bool,
    /// What was found.
    pub findings: Vec<Finding>,
    /// The readings.
    pub bore: Bore,
    /// Parts.
    pub fits: Vec<MeasuredFit>,
    /// Ring gaps.
    pub ring_gaps: Vec<MeasuredGap>,
    /// Piston weight.
    pub piston_weight: Option<Mass>,
    /// The same cylinder at the survey before.
    pub earlier: Option<Earlier>,
    /// What a person decided.
    pub disposition: Option<Disposition>,
    /// Entries that could not be read: judging waits for them. Each says where and what.
    pub unreadable: Vec<String>,
    /// Cells that something was entered for, but no diameter came of it: to be corrected, not to be measured.
    pub unread: Vec<Point>,
}

impl Cylinder {
    /// A cylinder of which only the readings are known: no size, tagged, cleaned and looked over with nothing
    /// found. Who knows more says so.
    pub fn of_bore(bore: Bore) -> Self {
        Self {
            position: String::new(),
            serial: String::new(),
            size: None,
            finished_to: None,
            tagged: true,
            cleaned: true,
            looked_over: true,
            findings: Vec::new(),
            bore,
            fits: Vec::new(),
            ring_gaps: Vec::new(),
            piston_weight: None,
            earlier: None,
            disposition: None,
            unreadable: Vec::new(),
            unread: Vec::new(),
        }
    }

    /// `cylinder 3 (K-117)`.
    pub fn words(&self) -> String {
        match (self.position.is_empty(), self.serial.is_empty()) {
            (false, false) => format!("cylinder {} ({})", self.position, self.serial),
            (false, true) => format!("cylinder {}", self.position),
            (true, false) => format!("cylinder {}", self.serial),
            (true, true) => "cylinder without a position".to_owned(),
        }
    }

    /// Why it has no figure although something was entered; none: nothing was.
    pub fn unread_words(&self) -> Option<String> {
        let first = self.unreadable.first().filter(|_| !self.unread.is_empty())?;
        Some(format!("Correct this first: {}.", first.trim_end_matches('.')))
    }

    /// Has it neither been cut nor plated since it was `then`, as far as the record tells: the same size, and not
    /// finished anew? Each by its own table. A size that is not known tells nothing, and counts as no.
    pub fn is_uncut_since(&self, limits: &Limits, then: &Self, limits_then: &Limits) -> bool {
        let oversize = |c: &Self, limits: &Limits| Some(limits.sizes.get(c.size?)?.oversize);
        let finished = |c: &Self| c.finished_to.map(|(to, _)| to);
        oversize(self, limits).is_some_and(|now| oversize(then, limits_then) == Some(now))
            && !is_finished_anew(finished(then), finished(self))
    }

    /// How its readings are written: the most decimals typed, in the unit of the first reading.
    pub fn style(&self, limits: &Limits) -> Style {
        self.bore
            .measured()
            .map(|(_, cell)| cell.style)
            .reduce(|a, b| Style { unit: a.unit, decimals: a.decimals.max(b.decimals) })
            .unwrap_or(limits.style)
    }
}

/// Is a barrel of one size finished anew, by the size it was last finished to then and now? A size that is only
/// not written again is no news.
pub fn is_finished_anew(then: Option<Length>, now: Option<Length>) -> bool {
    now.is_some() && now != then
}

/// One overhaul.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// The table of limits it is judged by.
    pub limits: Arc<Limits>,
    /// Setting standards.
    pub standards: Vec<Standard>,
    /// Gauges; never empty.
    pub gauges: Vec<Gauge>,
    /// Temperatures, where recorded.
    pub conditions: Option<Conditions>,
    /// Cylinders, in bank order.
    pub cylinders: Vec<Cylinder>,
}

/// What the readings were taken with.
#[derive(Clone, Copy, Debug)]
pub struct Setup<'a> {
    /// Setting standards.
    pub standards: &'a [Standard],
    /// Gauges.
    pub gauges: &'a [Gauge],
    /// Temperatures, where recorded.
    pub conditions: Option<&'a Conditions>,
}

impl Survey {
    /// What its readings were taken with.
    pub fn setup(&self) -> Setup<'_> {
        Setup { standards: &self.standards, gauges: &self.gauges, conditions: self.conditions.as_ref() }
    }

    /// A gauge by its name, and the setting standard it compares with.
    pub fn gauge(&self, name: &str) -> Option<(&Gauge, Option<&Standard>)> {
        let gauge = self.gauges.iter().find(|gauge| gauge.name == name)?;
        Some((gauge, self.standard_of(gauge)))
    }

    /// What to multiply a reading of the gauge with an index by to have the diameter at 20 °C.
    pub fn factor_to_20_c(&self, gauge: usize) -> f64 {
        factor_to_20_c(self.conditions.as_ref(), self.gauges.get(gauge))
    }

    /// The setting standard that a gauge compares with; none: it reads the diameter itself.
    pub fn standard_of(&self, gauge: &Gauge) -> Option<&Standard> {
        gauge.standard.and_then(|index| self.standards.get(index))
    }
}

/// `station B, thrust axis`: a point in words.
pub fn point_words(limits: &Limits, at: Point) -> String {
    let axis = limits.axes.get(at.axis).map_or("?", |axis| axis.label.as_str());
    format!("{}, {}", station_words(limits, at.station), axis_words(axis))
}

/// `thrust axis`; `45° axis` where the label is a number.
pub fn axis_words(label: &str) -> String {
    if label.ends_with("axis") {
        label.to_owned()
    } else if label.trim().parse::<f64>().is_ok() {
        format!("{label}° axis")
    } else {
        format!("{label} axis")
    }
}

/// `station B`, or the station's name alone where it is a description.
pub fn station_words(limits: &Limits, station: usize) -> String {
    let name = limits.stations.get(station).map_or("?", |station| station.name.as_str());
    if name.chars().count() <= 2 { format!("station {name}") } else { name.to_owned() }
}

/// Several points in words, axes gathered by station: `station B (pin, thrust), station C (pin)`.
pub fn points_words(limits: &Limits, points: &[Point]) -> String {
    let mut words = String::new();
    let mut last_station = None;
    for at in points {
        let axis = limits.axes.get(at.axis).map_or("?", |axis| axis.label.as_str());
        if last_station == Some(at.station) {
            words.push_str(", ");
        } else {
            if last_station.is_some() {
                words.push_str("), ");
            }
            words.push_str(&station_words(limits, at.station));
            words.push_str(" (");
        }
        words.push_str(axis);
        last_station = Some(at.station);
    }
    if last_station.is_some() {
        words.push(')');
    }
    words
}
