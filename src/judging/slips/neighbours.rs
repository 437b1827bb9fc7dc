//! What a reading is expected to be: the median of its neighbours and how far from it a sound reading may
//! well lie. The rule in words stands in the doc of [`super`].

use super::sheet::{Compared, FLOOR};
use quantities::length::{Length, Style};
use records::bore::{Cell, Point};

/// At most so many values count; a barrel has at most 40 stations and a cell 50 repeats.
const MOST: usize = 64;

/// A few lengths on the stack, kept in order of size.
pub(super) struct SmallSorted {
    values: [Length; MOST],
    count: usize,
}

impl SmallSorted {
    /// The first few of some lengths.
    pub(super) fn of(lengths: impl Iterator<Item = Length>) -> Self {
        let mut few = Self { values: [Length::ZERO; MOST], count: 0 };
        for (slot, length) in few.values.iter_mut().zip(lengths) {
            *slot = length;
            few.count += 1;
        }
        few.values.get_mut(..few.count).unwrap_or_default().sort_unstable();
        few
    }

    fn values(&self) -> &[Length] {
        self.values.get(..self.count).unwrap_or_default()
    }

    /// How many.
    pub(super) fn len(&self) -> usize {
        self.count
    }

    /// The middle one, or the middle between the two middle ones.
    pub(super) fn median(&self) -> Option<Length> {
        let values = self.values();
        let upper = *values.get(self.count / 2)?;
        if self.count % 2 == 1 {
            return Some(upper);
        }
        let lower = *values.get(self.count / 2 - 1)?;
        Some(Length::from_tenths_of_nm((lower + upper).tenths_of_nm().div_euclid(2)))
    }

    /// Largest minus smallest.
    pub(super) fn range(&self) -> Length {
        match self.values() {
            [low, .., high] => *high - *low,
            _ => Length::ZERO,
        }
    }

    /// Largest minus smallest; of four or more without the one farthest from the median.
    pub(super) fn spread(&self) -> Length {
        let (Some(median), [low, .., high]) = (self.median(), self.values()) else { return Length::ZERO };
        let (mut low, mut high) = (*low, *high);
        if let (true, [_, second, .., last_but_one, _]) = (self.count >= 4, self.values()) {
            if median - low > high - median { low = *second } else { high = *last_but_one }
        }
        high - low
    }
}

/// Which neighbours.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Which {
    Fellows,
    Across,
    Along,
    Earlier,
}

/// What some neighbours lead to expect.
#[derive(Clone, Copy)]
struct Expected {
    which: Which,
    value: Length,
    /// A sound reading may well lie so far from it.
    scale: Length,
    /// How much they count.
    weight: u8,
}

/// All that a reading can be compared with.
#[derive(Clone, Copy)]
pub(super) struct Neighbours([Option<Expected>; 4]);

/// A cell's other axes at its station.
fn others_across<'a>(sheet: &'a Compared<'_>, at: Point) -> impl Iterator<Item = Length> + 'a {
    (0..sheet.bore.axes())
        .filter(move |&axis| axis != at.axis)
        .filter_map(move |axis| sheet.mean(Point::new(at.station, axis)))
}

/// A cell's other stations on its axis.
fn others_along<'a>(sheet: &'a Compared<'_>, at: Point) -> impl Iterator<Item = Length> + 'a {
    (0..sheet.bore.stations())
        .filter(move |&station| station != at.station)
        .filter_map(move |station| sheet.mean(Point::new(station, at.axis)))
}

/// How far a mean lies from its nearest kind of neighbours, if that is too far to pass over. Cheap.
pub(super) fn stands_apart(sheet: &Compared<'_>, at: Point, mean: Length) -> bool {
    // With one other axis, as nearly always, its mean is the median.
    let mut across = others_across(sheet, at);
    match (across.next(), across.next()) {
        (Some(only), None) => (mean - only).abs() > sheet.oval,
        (Some(_), Some(_)) => SmallSorted::of(others_across(sheet, at))
            .median()
            .is_some_and(|median| (mean - median).abs() > sheet.oval),
        (None, _) => SmallSorted::of(others_along(sheet, at))
            .median()
            .is_some_and(|median| (mean - median).abs() > sheet.band),
    }
}

impl Neighbours {
    /// The neighbours of a cell.
    pub(super) fn of_cell(sheet: &Compared<'_>, at: Point) -> Self {
        let across = across(sheet, at);
        let along = along(sheet, at, across.is_none());
        Self([None, across, along, earlier(sheet, at)])
    }

    /// The same, and the other repeats of the cell.
    pub(super) fn with_fellows(mut self, sheet: &Compared<'_>, cell: &Cell, repeat: usize) -> Self {
        let others = cell.repeats().iter().enumerate().filter(|(i, _)| *i != repeat).map(|(_, other)| *other);
        let others = SmallSorted::of(others);
        if let (Some(slot), Some(value)) = (self.0.first_mut(), others.median()) {
            let scale = (others.spread() * 3).max(sheet.alike(cell));
            *slot = Some(Expected { which: Which::Fellows, value, scale, weight: weight(&others) });
        }
        self
    }

    fn all(&self) -> impl Iterator<Item = Expected> {
        self.0.into_iter().flatten()
    }

    /// How far `likely` lies from the neighbours that `read` is too far from, if it is to be believed.
    pub(super) fn believe(&self, read: Length, likely: Length) -> Option<Length> {
        let change = (likely - read).abs();
        let (mut weight, mut distance) = (0, Length::ZERO);
        for expected in self.all() {
            let off = (read - expected.value).abs();
            let rest = (likely - expected.value).abs();
            if rest > expected.scale {
                return None;
            }
            if off > expected.scale {
                if rest * 4 > off {
                    return None;
                }
                weight += expected.weight;
                distance += rest;
            } else if expected.scale < change && rest > off {
                return None;
            }
        }
        (weight >= 2).then_some(distance)
    }

    /// The value that the nearest kind of neighbours leads to expect.
    pub(super) fn nearest_value(&self) -> Option<Length> {
        let across_first = |expected: &Expected| match expected.which {
            Which::Across => 0,
            Which::Earlier => 1,
            Which::Along => 2,
            Which::Fellows => 3,
        };
        self.all().min_by_key(across_first).map(|expected| expected.value)
    }

    /// What the neighbours that `read` is too far from read themselves.
    pub(super) fn words(&self, sheet: &Compared<'_>, read: Length, style: Style) -> String {
        let mut parts = Vec::new();
        for expected in self.all().filter(|expected| (read - expected.value).abs() > expected.scale) {
            let value = expected.value.text(style);
            parts.push(match (expected.which, expected.weight, &sheet.cylinder.earlier) {
                (Which::Fellows, 1, _) => format!("the other repeat reads {value}"),
                (Which::Fellows, ..) => format!("the other repeats read about {value}"),
                (Which::Across, 1, _) => format!("the other axis at this station reads {value}"),
                (Which::Across, ..) => format!("the other axes at this station read about {value}"),
                (Which::Along, ..) => format!("the other stations on this axis read about {value}"),
                (Which::Earlier, _, Some(earlier)) => {
                    format!("after the survey of {} about {value} is to be expected", earlier.date)
                }
                (Which::Earlier, _, None) => continue,
            });
        }
        parts.join(", ")
    }
}

/// 1 for one value, 2 for more.
fn weight(values: &SmallSorted) -> u8 {
    if values.len() > 1 { 2 } else { 1 }
}

fn across(sheet: &Compared<'_>, at: Point) -> Option<Expected> {
    let others = SmallSorted::of(others_across(sheet, at));
    let value = others.median()?;
    let ovality = SmallSorted::of(
        (0..sheet.bore.stations()).filter(|&station| station != at.station).filter_map(|station| {
            let there = Point::new(station, at.axis);
            Some((sheet.mean(there)? - SmallSorted::of(others_across(sheet, there)).median()?).abs())
        }),
    );
    let usual = ovality.median().unwrap_or_default();
    let scale = (others.spread() * 3).max(usual * 3).max(sheet.oval);
    Some(Expected { which: Which::Across, value, scale, weight: weight(&others) })
}

fn along(sheet: &Compared<'_>, at: Point, alone: bool) -> Option<Expected> {
    let others = SmallSorted::of(others_along(sheet, at));
    let value = others.median().filter(|_| others.len() >= 2)?;
    let scale = (others.spread() * 3).max(sheet.band);
    // Wear at the top alone is no slip: without a second axis to show it, more is asked for.
    Some(match alone && others.len() >= 3 {
        true => Expected { which: Which::Along, value, scale: scale * 3, weight: 2 },
        false => Expected { which: Which::Along, value, scale, weight: 1 },
    })
}

fn earlier(sheet: &Compared<'_>, at: Point) -> Option<Expected> {
    let bore = &sheet.cylinder.earlier.as_ref()?.bore;
    let then = Compared::mean_in(bore, at)?;
    let wear = sheet
        .bore
        .measured()
        .filter(|(there, _)| *there != at)
        .filter_map(|(there, cell)| Some(super::sheet::mean(cell) - Compared::mean_in(bore, there)?));
    let wear = SmallSorted::of(wear);
    let usual = wear.median().filter(|_| wear.len() >= 3)?;
    let scale = (wear.spread() * 3).max(sheet.band).max(FLOOR);
    Some(Expected { which: Which::Earlier, value: then + usual, scale, weight: 1 })
}
