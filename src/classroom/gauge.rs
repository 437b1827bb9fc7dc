//! A gauge in an invented bore: what it measures and what its dial shows.
//!
//! A bore gauge is set on a ring and then shows how much the bore differs from it; an inside micrometer shows
//! the diameter. Both measure along the line between their contacts. A gauge tilted along the bore measures
//! D / cos t, which is too much; one that stands off centre by o measures the chord 2 sqrt(D²/4 - o²), which
//! is too little. So the right reading is the smallest along the bore and the largest across it.
//!
//! What the gauge reads is in the length of its own material: with barrel and gauge at 20 °C that is the diameter
//! itself, exactly. Lengths are on the diameter; angles are in degrees; a deviation is positive for a larger bore.

use super::random::Random;
use super::shape::{Shape, bounded};
use quantities::length::{Length, Style, Unit};
use records::record::schema::{self, PlusMeans, Reads};
use records::survey::Expansion;

/// Which instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// A dial bore gauge, zeroed on a setting ring.
    BoreGauge,
    /// An inside micrometer.
    InsideMicrometer,
}

impl Instrument {
    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::BoreGauge => "dial bore gauge",
            Self::InsideMicrometer => "inside micrometer",
        }
    }
}

/// A gauge for practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PracticeGauge {
    /// Which instrument.
    pub instrument: Instrument,
    /// The unit of its dial.
    pub unit: Unit,
    /// One graduation, on the diameter.
    pub graduation: Length,
    /// What one turn of its dial or thimble is worth.
    pub turn: Length,
    /// Which way its dial turns.
    pub plus_means: PlusMeans,
    /// Standard deviation of a single reading.
    pub scatter: Length,
    /// Width of its contacts: it rides over a score that is narrower.
    pub contact: Length,
    /// Its temperature, and the ring's, in degrees Celsius.
    pub gauge_c: f64,
    /// Its expansion coefficient, and the ring's, in 1/K.
    pub gauge_per_k: f64,
}

/// How the gauge was zeroed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Zero {
    /// Size of the ring; zero for an instrument that reads the diameter itself.
    pub ring: Length,
    /// How much too high everything reads because it was not set, or set wrong.
    pub off_by: Length,
}

impl Zero {
    /// Set on a ring, as it should be.
    pub fn on(ring: Length) -> Self {
        Self { ring, off_by: Length::ZERO }
    }

    /// Read against a ring that it was never set on: off by 8 to 30 graduations, either way.
    pub fn not_set(ring: Length, gauge: &PracticeGauge, random: &mut Random) -> Self {
        let size = gauge.graduation * random.between(8, 30);
        Self { ring, off_by: if random.coin() { size } else { -size } }
    }
}

/// How the gauge stands in the bore.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Placing {
    /// Depth of its middle from the head end.
    pub depth: Length,
    /// Direction of its line across the bore, counted like the axes.
    pub degrees: f64,
    /// How far it is tilted along the bore; zero is square.
    pub tilt_degrees: f64,
    /// How far its line is from the centre.
    pub off_centre: Length,
}

/// What can be seen on the instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Face {
    /// A dial: whole turns since zero, and where the pointer stands in degrees clockwise from zero, 0 to below 360.
    Dial {
        /// Whole turns; negative anticlockwise.
        turns: i64,
        /// Where the pointer stands.
        degrees: f64,
    },
    /// A sleeve and its thimble.
    Thimble {
        /// The last line of the sleeve that is clear of the thimble's edge.
        sleeve: Length,
        /// How far the thimble is turned beyond that line, in graduations and their parts.
        graduations: f64,
    },
}

/// What a gauge shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Exactly where it stands: the deviation from the ring in the dial's own sign, or the diameter.
    pub stands_at: Length,
    /// The nearest graduation: what a careful reader writes down.
    pub nearest: Length,
    /// What can be seen.
    pub face: Face,
}

/// What a gauge tilted along the bore reads across a diameter, in the unit of the diameter.
///
/// [`judging::slips::tilt_degrees`] is the way back. Beyond 80 degrees no gauge stands in a bore; it is taken as 80.
///
/// ```
/// let high = classroom::gauge::tilted(5.0, 1.0) - 5.0;
/// assert!((high - 0.00076).abs() < 0.000005);
/// ```
pub fn tilted(diameter: f64, tilt_degrees: f64) -> f64 {
    diameter / bounded_tilt(tilt_degrees).to_radians().cos()
}

fn bounded_tilt(degrees: f64) -> f64 {
    if degrees.is_nan() { 0.0 } else { degrees.clamp(-80.0, 80.0) }
}

/// The chord that a gauge reads which stands off the centre, in the unit of both; zero outside the bore.
///
/// [`judging::slips::chord_offset`] is the way back.
///
/// ```
/// let low = 5.0 - classroom::gauge::chord(5.0, 0.05);
/// assert!((low - 0.00100).abs() < 0.000005);
/// ```
pub fn chord(diameter: f64, off_centre: f64) -> f64 {
    (diameter * diameter - 4.0 * off_centre * off_centre).max(0.0).sqrt()
}

impl PracticeGauge {
    /// A usual one: 0.0001 in or 0.001 mm on the dial, a hundred graduations a turn; an inside micrometer turns
    /// 0.025 in or 0.5 mm. It scatters by four tenths of a graduation.
    pub fn usual(instrument: Instrument, unit: Unit) -> Self {
        let graduation = Style::usual(unit).last_digit();
        let turns = match (instrument, unit) {
            (Instrument::BoreGauge, _) => 100,
            (Instrument::InsideMicrometer, Unit::Inch) => 250,
            (Instrument::InsideMicrometer, Unit::Millimetre) => 500,
        };
        Self {
            instrument,
            unit,
            graduation,
            turn: graduation * turns,
            plus_means: PlusMeans::Larger,
            scatter: Length::from_tenths_of_nm(graduation.tenths_of_nm() * 2 / 5),
            contact: Length::from_tenths_of_nm(10_000_000),
            gauge_c: 20.0,
            gauge_per_k: Expansion::STEEL.per_k,
        }
    }

    /// How its readings are written.
    pub fn style(&self) -> Style {
        Style { unit: self.unit, decimals: self.graduation.decimals(self.unit) }
    }

    /// The length between the contacts, as the gauge measures it, without scatter.
    pub fn measures(&self, shape: &Shape, placing: Placing) -> Length {
        let Placing { degrees, .. } = placing;
        let depth = bounded(placing.depth);
        let tilt = bounded_tilt(placing.tilt_degrees);
        let square = shape.diameter_felt(depth, degrees, self.contact);
        let across = if tilt == 0.0 {
            square
        } else {
            // One contact goes up the bore and the other down.
            let lift = Length::from_mm(square.to_mm() / 2.0 * tilt.to_radians().tan()).unwrap_or_default();
            let at = |depth| shape.diameter_felt(depth, degrees, self.contact).to_mm();
            let mean = (at(depth + lift) + at(depth - lift)) / 2.0;
            Length::from_mm(tilted(mean, tilt)).unwrap_or_default()
        };
        let along = if placing.off_centre == Length::ZERO {
            across
        } else {
            Length::from_mm(chord(across.to_mm(), placing.off_centre.to_mm())).unwrap_or_default()
        };
        self.in_its_own_length(shape.at_its_temperature(along))
    }

    /// What a length is by a gauge of this temperature: a warm one is longer, and so reads less.
    fn in_its_own_length(&self, length: Length) -> Length {
        let growth = 1.0 + self.gauge_per_k * (self.gauge_c - 20.0);
        if growth > 0.0 && growth != 1.0 {
            return Length::from_mm(length.to_mm() / growth).unwrap_or(length);
        }
        length
    }

    /// What it shows; `scatter` is this reading's own share of it, from [`Random::scatter`] or zero.
    pub fn shows(&self, shape: &Shape, zero: Zero, placing: Placing, scatter: Length) -> Shown {
        let measured = self.measures(shape, placing) + bounded(scatter);
        let from_ring = measured - bounded(zero.ring) + bounded(zero.off_by);
        match self.instrument {
            Instrument::BoreGauge => {
                let stands_at = match self.plus_means {
                    PlusMeans::Larger => from_ring,
                    PlusMeans::Smaller => -from_ring,
                };
                let (turns, rest) = split(stands_at, self.turn);
                let degrees = rest.to_mm() / self.turn.to_mm().max(f64::MIN_POSITIVE) * 360.0;
                self.shown(stands_at, Face::Dial { turns, degrees: degrees.min(360.0_f64.next_down()) })
            }
            Instrument::InsideMicrometer => {
                let (_, rest) = split(from_ring, self.turn);
                let sleeve = from_ring - rest;
                let graduations = rest.to_mm() / self.graduation.to_mm().max(f64::MIN_POSITIVE);
                self.shown(from_ring, Face::Thimble { sleeve, graduations })
            }
        }
    }

    fn shown(&self, stands_at: Length, face: Face) -> Shown {
        Shown { stands_at, nearest: self.nearest_graduation(stands_at), face }
    }

    /// The graduation nearest to a length; the length itself if the gauge has none.
    pub fn nearest_graduation(&self, length: Length) -> Length {
        let one = self.graduation.tenths_of_nm();
        if one <= 0 {
            return length;
        }
        let (graduations, rest) = split(length, self.graduation);
        let up = i64::from(rest.tenths_of_nm() >= one - rest.tenths_of_nm());
        Length::from_tenths_of_nm((graduations + up).saturating_mul(one))
    }

    /// What somebody types who has read the instrument so: `+0.0003`, or `5.1253`.
    pub fn typed(&self, shown: Length) -> String {
        let number = shown.number(self.style()).replace('\u{2212}', "-");
        match self.instrument {
            Instrument::BoreGauge if shown >= Length::ZERO => format!("+{number}"),
            _ => number,
        }
    }

    /// The diameter that a reading stands for.
    pub fn diameter(&self, shown: Length, ring: Length) -> Length {
        let (shown, ring) = (bounded(shown), bounded(ring));
        match (self.instrument, self.plus_means) {
            (Instrument::InsideMicrometer, _) => shown,
            (_, PlusMeans::Larger) => ring + shown,
            (_, PlusMeans::Smaller) => ring - shown,
        }
    }

    /// The gauge as an engine record has it, with its scatter as the repeatability of a study.
    pub fn in_record(&self, name: &str, ring: Option<&str>) -> schema::Gauge {
        let text =
            |length: Length| length.text(Style { unit: self.unit, decimals: length.decimals(self.unit) });
        let comparative = self.instrument == Instrument::BoreGauge;
        schema::Gauge {
            name: name.to_owned(),
            serial: String::new(),
            reads: if comparative { Reads::Deviation } else { Reads::Diameter },
            zeroed_on: ring.filter(|_| comparative).map(str::to_owned),
            plus_means: self.plus_means,
            graduation: Some(text(self.graduation)),
            turn: Some(text(self.turn)),
            calibration: None,
            repeatability: (self.scatter > Length::ZERO).then(|| schema::Repeatability {
                standard_deviation: self.scatter.text(Style { unit: Unit::Millimetre, decimals: 7 }),
                dof: f64::from(SCATTER_DOF),
            }),
            expansion_ppm: Some(self.gauge_per_k * 1e6),
            further: Vec::new(),
        }
    }

    /// What a reading of a bore is multiplied by to have its diameter at 20 °C.
    pub fn factor_to_20_c(&self, shape: &Shape) -> f64 {
        let expansion = Expansion { per_k: self.gauge_per_k, supposed: false };
        shape.conditions(self.gauge_c).factor_to_20_c(expansion)
    }
}

/// Degrees of freedom that a practice gauge's scatter is said to be known with: so many as a study of ten parts by
/// three people, three times each, gives.
const SCATTER_DOF: u16 = 60;

/// Whole turns in a length, and the rest, which is never negative; no turns if a turn is nothing.
fn split(length: Length, turn: Length) -> (i64, Length) {
    let (length, turn) = (length.tenths_of_nm(), turn.tenths_of_nm());
    if turn <= 0 {
        return (0, Length::from_tenths_of_nm(length));
    }
    (length.div_euclid(turn), Length::from_tenths_of_nm(length.rem_euclid(turn)))
}

#[cfg(test)]
mod tests;
