//! An invented bore: parts that can be mixed and moved, and the exact diameter that they make.
//!
//! The bore as made is round: a size, a choke at the head, and three lobes if it was clamped badly. Wear comes on
//! top of it within ring travel only: even wear (which leaves a ridge), taper, a belly or a waist, an oval, wear on
//! one side. Damage may be anywhere: a score, a dent at the skirt. So the unworn bore above ring travel is
//! always there to compare with, and every part of the wear shows in the step as well.
//!
//! Depths are counted from the head end. Angles are degrees around the bore, counted like the axes; an axis at
//! a has its two ends at a and a + 180. Every amount is an exact length on the diameter unless its own
//! line says "per side". Each part is worked out to the nearest tenth of a nanometre, and where a part is
//! at its full amount, at zero or at a half it is exact.

use super::random::Random;
use quantities::length::{Length, Style};
use records::bore::{Bore, Cell, Point};
use records::limits::Limits;
use records::limits::schema::Datum;
use records::survey::{Conditions, Expansion};

/// Ten metres, in tenths of a nanometre: what is longer is taken as so long, so that no sum overflows.
const FARTHEST: i64 = 100_000_000_000;

/// The lengths along a barrel that a shape is fitted to, from the head end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    /// From the head end to the base end.
    pub length: Length,
    /// Top and bottom of ring travel.
    pub ring_travel: (Length, Length),
    /// The upper and the lower depth between which taper and bow are stated.
    pub between: (Length, Length),
}

impl Frame {
    /// The frame of a table's stations.
    ///
    /// Taper and bow are stated between the first and the last station that taper is judged on. The table says
    /// nothing of the barrel's end: it is put beyond the last station, as far as the first is from the head
    /// end. Ring travel that the table leaves out is taken to begin half-way between the unworn stations and
    /// the others, and to reach down to the end.
    pub fn of(limits: &Limits) -> Self {
        let raw: Vec<Length> = limits.stations.iter().map(|station| bounded(station.depth)).collect();
        let travel = limits.ring_travel.map(|(top, bottom)| (bounded(top), bounded(bottom)));
        let least = raw.iter().min().copied().unwrap_or_default();
        let most =
            raw.iter().chain(travel.iter().flat_map(|(a, b)| [a, b])).max().copied().unwrap_or_default();
        let length = most + least.abs();
        let from_head = |depth: Length| match limits.datum {
            Datum::HeadEnd => depth,
            Datum::BaseEnd => length - depth,
        };
        let depth = |station: usize| raw.get(station).map(|depth| from_head(*depth));
        let stations = limits.taper_stations();
        let ends = stations.first().zip(stations.last());
        let between = ends.and_then(|(top, bottom)| depth(*top).zip(depth(*bottom)));
        let travel = travel.map(|(top, bottom)| (from_head(top), from_head(bottom))).unwrap_or_else(|| {
            let unworn = limits.unworn_stations.last().and_then(|station| depth(*station));
            let worn = limits.bore_stations.first().and_then(|station| depth(*station)).unwrap_or_default();
            let top = unworn.map_or(Length::ZERO, |unworn| half(unworn + worn));
            (top, length)
        });
        let travel = (travel.0.min(travel.1), travel.0.max(travel.1));
        Self { length, ring_travel: travel, between: between.unwrap_or(travel) }
    }

    /// The depth of a table's station from the head end.
    pub fn depth_of(&self, limits: &Limits, station: usize) -> Option<Length> {
        let depth = bounded(limits.stations.get(station)?.depth);
        Some(match limits.datum {
            Datum::HeadEnd => depth,
            Datum::BaseEnd => self.length - depth,
        })
    }
}

/// An amount that is full down to one depth and falls evenly to nothing at another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ramp {
    /// How much.
    pub amount: Length,
    /// Full from the head end down to here.
    pub full_to: Length,
    /// Nothing from here on.
    pub ends_at: Length,
}

/// An oval.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Oval {
    /// Largest minus smallest diameter.
    pub amount: Length,
    /// Direction of the largest diameter, in degrees.
    pub degrees: f64,
}

/// Three lobes, which no gauge with two contacts can see: each lobe has a hollow opposite.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lobes {
    /// Largest minus smallest radius: the radial roundness of ISO 12181.
    pub amount: Length,
    /// Direction of one of the lobes, in degrees.
    pub degrees: f64,
}

/// Wear on one side, deepest in one direction and gone a quarter of a turn from it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OneSided {
    /// Its greatest depth, which is also what the diameter there grows by.
    pub depth: Length,
    /// Its direction in degrees.
    pub degrees: f64,
}

/// A score along the barrel, as deep as a V.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Score {
    /// Its greatest depth, below the surface around it.
    pub depth: Length,
    /// Its direction in degrees.
    pub degrees: f64,
    /// Its width around the bore.
    pub width: Length,
    /// Where it begins and ends.
    pub between: (Length, Length),
}

/// A dent at the skirt: the edge of the base end pushed inwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Dent {
    /// How far the edge is pushed in.
    pub depth: Length,
    /// Its direction in degrees.
    pub degrees: f64,
    /// How many degrees of the edge it takes in.
    pub width_degrees: f64,
    /// How far up from the base end it reaches.
    pub height: Length,
}

/// An invented bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape {
    /// The diameter as made, at 20 °C.
    pub size: Length,
    /// The lengths along the barrel.
    pub frame: Frame,
    /// How much smaller it was made towards the head.
    pub choke: Ramp,
    /// Three lobes.
    pub lobes: Lobes,
    /// Even wear over the whole of ring travel, per side: what a step is measured from.
    pub ridge: Length,
    /// Wear towards the head end: positive is larger there. Full amount at the upper end of the frame's
    /// `between`, none at the lower.
    pub taper: Length,
    /// Larger in the middle of `between` than at its ends (a belly); negative is a waist.
    pub bow: Length,
    /// An oval.
    pub oval: Oval,
    /// Wear on one side.
    pub one_sided: OneSided,
    /// A score.
    pub score: Score,
    /// A dent at the skirt.
    pub dent: Dent,
    /// Temperature of the barrel in degrees Celsius.
    pub barrel_c: f64,
    /// Its expansion coefficient in 1/K.
    pub barrel_per_k: f64,
}

/// A length within ten metres either way.
pub(super) fn bounded(length: Length) -> Length {
    Length::from_tenths_of_nm(length.tenths_of_nm().clamp(-FARTHEST, FARTHEST))
}

fn half(length: Length) -> Length {
    Length::from_tenths_of_nm(length.tenths_of_nm() / 2)
}

/// A share of an amount, to the nearest tenth of a nanometre; none of it if the share is no number.
fn share(amount: Length, of: f64) -> Length {
    let tenths = (bounded(amount).tenths_of_nm() as f64 * of).round();
    bounded(Length::from_tenths_of_nm(if tenths.is_finite() { tenths as i64 } else { 0 }))
}

/// `amount` times `over` / `under`, to the nearest tenth of a nanometre; `under` is positive.
fn ratio(amount: i128, over: i128, under: i128) -> Length {
    let twice = 2 * amount * over + under;
    Length::from_tenths_of_nm(i64::try_from(twice.div_euclid(2 * under)).unwrap_or_default())
}

/// The smaller angle between two directions, in degrees: 0 to 180; 180 if either is no number.
fn apart(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    if turn.is_finite() { turn.min(360.0 - turn) } else { 180.0 }
}

impl Ramp {
    /// How much of it there is at a depth.
    pub fn at(&self, depth: Length) -> Length {
        let Self { amount, full_to, ends_at } = Self {
            amount: bounded(self.amount),
            full_to: bounded(self.full_to),
            ends_at: bounded(self.ends_at),
        };
        if depth <= full_to {
            amount
        } else if depth >= ends_at {
            Length::ZERO
        } else {
            let tenths = |length: Length| i128::from(length.tenths_of_nm());
            ratio(tenths(amount), tenths(ends_at - depth), tenths(ends_at - full_to))
        }
    }
}

impl Shape {
    /// A round, parallel, unworn bore at 20 °C.
    pub fn new(size: Length, frame: Frame) -> Self {
        Self {
            size,
            frame,
            choke: Ramp::default(),
            lobes: Lobes::default(),
            ridge: Length::ZERO,
            taper: Length::ZERO,
            bow: Length::ZERO,
            oval: Oval::default(),
            one_sided: OneSided::default(),
            score: Score::default(),
            dent: Dent::default(),
            barrel_c: 20.0,
            barrel_per_k: Expansion::STEEL.per_k,
        }
    }

    /// Is a depth within ring travel, both ends included?
    pub fn is_worn_at(&self, depth: Length) -> bool {
        let (top, bottom) = self.frame.ring_travel;
        (top..=bottom).contains(&depth)
    }

    /// What the parts that are alike on both ends of an axis make of the diameter, without the oval.
    fn round_part(&self, depth: Length) -> Length {
        let made = bounded(self.size) - self.choke.at(depth);
        if !self.is_worn_at(depth) {
            return made;
        }
        let (upper, lower) = (bounded(self.frame.between.0), bounded(self.frame.between.1));
        let taper = Ramp { amount: self.taper, full_to: upper, ends_at: lower }.at(depth);
        made + bounded(self.ridge) * 2 + taper + self.bow_at(depth)
    }

    /// A parabola: all of the bow half-way between the two depths, none at either and beyond.
    fn bow_at(&self, depth: Length) -> Length {
        let tenths = |length: Length| i128::from(bounded(length).tenths_of_nm());
        let (upper, lower) = (tenths(self.frame.between.0), tenths(self.frame.between.1));
        let (above, below) = (tenths(depth) - upper, lower - tenths(depth));
        if above <= 0 || below <= 0 {
            return Length::ZERO;
        }
        let span = lower - upper;
        ratio(4 * tenths(self.bow), above * below, span * span)
    }

    fn oval_at(&self, depth: Length, degrees: f64) -> Length {
        if !self.is_worn_at(depth) {
            return Length::ZERO;
        }
        share(self.oval.amount, (2.0 * (degrees - self.oval.degrees)).to_radians().cos() / 2.0)
    }

    fn lobes_at(&self, degrees: f64) -> Length {
        share(self.lobes.amount, (3.0 * (degrees - self.lobes.degrees)).to_radians().cos() / 2.0)
    }

    /// What is on one side only, per side: wear on one side, a score, a dent.
    fn side_part(&self, depth: Length, degrees: f64, contact: Length) -> Length {
        let mut side = Length::ZERO;
        if self.is_worn_at(depth) {
            let off = apart(degrees, self.one_sided.degrees);
            let cosine = if off < 90.0 { off.to_radians().cos() } else { 0.0 };
            side += share(self.one_sided.depth, cosine * cosine);
        }
        side + self.score_at(depth, degrees, contact) - self.dent_at(depth, degrees)
    }

    fn score_at(&self, depth: Length, degrees: f64, contact: Length) -> Length {
        let Score { depth: deep, degrees: at, width, between } = self.score;
        let along = (between.0..=between.1).contains(&depth);
        // Degrees that half its width takes in; a contact that is wider rides over it.
        let half = (bounded(width).to_mm() / bounded(self.size).to_mm()).to_degrees();
        let off = apart(degrees, at);
        if !along || width < contact || !(half > 0.0 && off < half) {
            return Length::ZERO;
        }
        share(deep, 1.0 - off / half)
    }

    fn dent_at(&self, depth: Length, degrees: f64) -> Length {
        let Dent { depth: deep, degrees: at, width_degrees, height } = self.dent;
        let end = bounded(self.frame.length);
        let height = bounded(height);
        let from_top = bounded(depth) - (end - height);
        let (off, half) = (apart(degrees, at), width_degrees / 2.0);
        if height <= Length::ZERO || from_top <= Length::ZERO || !(half > 0.0 && off < half) {
            return Length::ZERO;
        }
        let along = (from_top.to_mm() / height.to_mm()).min(1.0);
        let around = (off / half * 90.0).to_radians().cos();
        share(deep, along * around * around)
    }

    /// The diameter across an axis at a depth, at 20 °C.
    pub fn diameter(&self, depth: Length, degrees: f64) -> Length {
        self.diameter_felt(depth, degrees, Length::ZERO)
    }

    /// The diameter that contacts of a width feel: they ride over a score that is narrower.
    pub fn diameter_felt(&self, depth: Length, degrees: f64, contact: Length) -> Length {
        let (depth, contact) = (bounded(depth), bounded(contact));
        let sides = self.side_part(depth, degrees, contact) + self.side_part(depth, degrees + 180.0, contact);
        // The lobes are left out: they cancel between the two ends of any axis.
        (self.round_part(depth) + self.oval_at(depth, degrees) + sides).max(Length::ZERO)
    }

    /// The radius from the original centre to the wall in one direction, in millimetres at 20 °C: for drawing.
    pub fn radius_mm(&self, depth: Length, degrees: f64) -> f64 {
        let depth = bounded(depth);
        let alike = self.round_part(depth) + self.oval_at(depth, degrees);
        let side = self.lobes_at(degrees) + self.side_part(depth, degrees, Length::ZERO);
        alike.to_mm() / 2.0 + side.to_mm()
    }

    /// What a diameter at 20 °C is at the barrel's own temperature.
    pub fn at_its_temperature(&self, diameter: Length) -> Length {
        let growth = self.barrel_per_k * (self.barrel_c - 20.0);
        bounded(diameter + share(diameter, growth))
    }

    /// The smallest finished bore on the original centre that leaves no wear, no score and no lobe.
    ///
    /// Searched for every degree around and at two hundred depths, and where the parts are greatest.
    pub fn cleans_up_at(&self) -> Length {
        let Frame { length, ring_travel, between } = self.frame;
        let middle = half(bounded(between.0) + bounded(between.1));
        let edges = [
            ring_travel.0,
            ring_travel.1,
            between.0,
            between.1,
            middle,
            self.score.between.0,
            self.score.between.1,
        ];
        let depths: Vec<Length> =
            (0..=200).map(|step| share(length, f64::from(step) / 200.0)).chain(edges.map(bounded)).collect();
        let greatest = [self.oval.degrees, self.one_sided.degrees, self.score.degrees, self.lobes.degrees];
        let directions: Vec<f64> = (0..360).map(f64::from).chain(greatest).collect();
        let mut largest = bounded(self.size);
        for &depth in &depths {
            let round = self.round_part(depth);
            for &degrees in &directions {
                let side = self.lobes_at(degrees) + self.side_part(depth, degrees, Length::ZERO);
                largest = largest.max(round + self.oval_at(depth, degrees) + side * 2);
            }
        }
        largest
    }

    /// The exact diameters at a table's stations and axes, as a perfect gauge at 20 °C would read them.
    pub fn sheet(&self, limits: &Limits) -> Bore {
        let style = Style::usual(limits.unit);
        let mut bore = Bore::new(limits.stations.len(), limits.axes.len());
        for station in 0..limits.stations.len() {
            let Some(depth) = self.frame.depth_of(limits, station) else { continue };
            for (axis, direction) in limits.axes.iter().enumerate() {
                let diameter = self.diameter(depth, direction.degrees);
                bore.set(Point::new(station, axis), Cell::new(vec![diameter], style, 0));
            }
        }
        bore
    }

    /// The temperatures of this barrel and of a gauge, as a survey would record them.
    pub fn conditions(&self, gauge_c: f64) -> Conditions {
        Conditions {
            barrel_c: self.barrel_c,
            gauge_c,
            barrel: Expansion { per_k: self.barrel_per_k, supposed: false },
            difference: None,
            expansion_difference: None,
            suppose_steel: false,
        }
    }
}

/// A named example to start from.
#[derive(Clone, Debug, PartialEq)]
pub struct Example {
    /// Its name in a list.
    pub name: &'static str,
    /// What to look for, as a sentence.
    pub look_for: &'static str,
    /// The bore.
    pub shape: Shape,
}

/// Named examples, fitted to a table of limits: amounts are shares of what the table allows, rounded to ten
/// graduations of 0.0001 in or 0.001 mm.
pub fn examples(limits: &Limits) -> Vec<Example> {
    let frame = Frame::of(limits);
    let (made, band) = limits.sizes.first().map_or_else(Default::default, |row| {
        let top = row.new.1.length;
        (
            row.new.0.length,
            row.serviceable.as_ref().map_or(top - row.new.0.length, |limit| limit.length - top),
        )
    });
    // A table without a band still gets shapes that can be seen.
    let amount = |of: f64| {
        let step = Style::usual(limits.unit).last_digit().tenths_of_nm() * 10;
        let wanted = (band.to_mm().max(made.to_mm() / 2500.0) * of * 1e7 / step as f64).round();
        Length::from_tenths_of_nm(step * (wanted as i64).max(1))
    };
    let new = Shape::new(made, frame);
    let head = limits.bore_stations.first().and_then(|station| frame.depth_of(limits, *station));
    let choke = Ramp { amount: amount(0.5), full_to: head.unwrap_or_default(), ends_at: frame.between.1 };
    let middle = half(frame.between.0 + frame.between.1);
    let example = |name, look_for, shape| Example { name, look_for, shape };
    vec![
        example("as made", "Every figure is nothing; the readings are the size it was made to.", new),
        example(
            "worn at the head end",
            "Taper, and a ridge: the bore above ring travel tells how much of it is wear.",
            Shape { taper: amount(0.7), ridge: amount(0.1), ..new },
        ),
        example(
            "choked as made",
            "Smaller at the head end, so that it runs parallel when hot.",
            Shape { choke, ..new },
        ),
        example(
            "choke lost",
            "It reads parallel when cold, and that is wear: the head end has worn by the whole choke.",
            Shape { choke, taper: choke.amount, ..new },
        ),
        example(
            "belly",
            "Largest in the middle: readings at the ends alone miss it.",
            Shape { bow: amount(0.6), ..new },
        ),
        example("waist", "Smallest in the middle.", Shape { ridge: amount(0.3), bow: -amount(0.5), ..new }),
        example(
            "oval across the crankshaft",
            "Two axes at right angles show all of it.",
            Shape { oval: Oval { amount: amount(0.8), degrees: 90.0 }, ridge: amount(0.2), ..new },
        ),
        example(
            "oval between the axes",
            "Two axes at right angles show nothing of it; measure at 45 and 135 degrees.",
            Shape { oval: Oval { amount: amount(0.8), degrees: 45.0 }, ridge: amount(0.2), ..new },
        ),
        example(
            "three lobes",
            "Out of round, and every diameter is the same: no gauge with two contacts can see it.",
            Shape { lobes: Lobes { amount: amount(1.0), degrees: 90.0 }, ..new },
        ),
        example(
            "worn on one side",
            "The oversize must take out twice the wear, because the centre stays where it was.",
            Shape { one_sided: OneSided { depth: amount(1.0), degrees: 90.0 }, ..new },
        ),
        example(
            "scored",
            "Seen by eye; the gauge finds it only on its own axis, and rides over it if it is narrow.",
            Shape {
                score: Score {
                    depth: amount(1.2),
                    degrees: 90.0,
                    width: amount(20.0),
                    between: (frame.between.0, middle),
                },
                ..new
            },
        ),
        example(
            "dent at the skirt",
            "Small across one axis at the base end only: a blow, not wear.",
            Shape {
                dent: Dent {
                    depth: amount(1.5),
                    degrees: 0.0,
                    width_degrees: 60.0,
                    height: half(frame.length - middle),
                },
                ..new
            },
        ),
        example(
            "warm from the wash",
            "Nothing is worn; it is 15 degrees warmer than the setting ring and reads large.",
            Shape { barrel_c: 35.0, ..new },
        ),
    ]
}

/// A size between the least and the greatest that the table lets a new bore have, in steps.
pub(super) fn as_made(limits: &Limits, step: Length, random: &mut Random) -> Length {
    let Some(row) = limits.sizes.first() else { return Length::ZERO };
    let span = (row.new.1.length - row.new.0.length).tenths_of_nm() / step.tenths_of_nm().max(1);
    row.new.0.length + step * random.between(0, span)
}

#[cfg(test)]
mod tests;
