//! Typing readings: the order they are taken in, blocks from a spreadsheet, how a diameter is written in the terms of
//! the gauge that would have read it, and where in a cylinder's list a cell stands.

use super::schema::{Cylinder, Gauge, PlusMeans, Reading, Reads};
use crate::bore::Point;
use crate::limits::Limits;
use quantities::length::{Length, Style, Unit};

/// The order in which the cells of a barrel are measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum MeasuringOrder {
    /// All depths on one axis, then the next axis: the gauge keeps its direction.
    #[default]
    AxisByAxis,
    /// Every axis at a depth, then the next depth: the gauge keeps its depth.
    DepthByDepth,
}

impl MeasuringOrder {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AxisByAxis => "all depths on one axis first",
            Self::DepthByDepth => "every axis at each depth",
        }
    }

    /// The cells of a barrel in this order.
    pub fn cells(self, limits: &Limits) -> Vec<Point> {
        let (stations, axes) = (limits.stations.len(), limits.axes.len());
        match self {
            Self::AxisByAxis => (0..axes)
                .flat_map(|axis| (0..stations).map(move |station| Point::new(station, axis)))
                .collect(),
            Self::DepthByDepth => (0..stations)
                .flat_map(|station| (0..axes).map(move |axis| Point::new(station, axis)))
                .collect(),
        }
    }
}

/// The cells that a block copied from a spreadsheet fills, from the cell it is pasted into.
///
/// A row of the block goes to the right over the repeats of a cell and on to the next axis, a column goes
/// down over the stations; what would fall outside the sheet is counted and left out.
pub fn pasted(
    block: &str,
    from: (Point, usize),
    limits: &Limits,
    repeats: usize,
) -> (Vec<(Point, usize, String)>, usize) {
    let repeats = repeats.max(1);
    let first_column = from.0.axis * repeats + from.1;
    let (mut cells, mut outside) = (Vec::new(), 0);
    for (down, line) in block.lines().enumerate() {
        for (right, text) in line.split(['\t', ';']).enumerate() {
            let text = text.trim();
            if text.is_empty() {
                continue;
            }
            let column = first_column + right;
            let at = Point::new(from.0.station + down, column / repeats);
            if at.station < limits.stations.len() && at.axis < limits.axes.len() {
                cells.push((at, column % repeats, text.to_owned()));
            } else {
                outside += 1;
            }
        }
    }
    (cells, outside)
}

/// How a diameter would have been typed from a gauge; `None` if it is no whole number of graduations there.
///
/// `style` is how the reading beside it was written, `unit` the unit of an entry that names none.
pub fn as_typed(
    diameter: Length,
    gauge: Option<&Gauge>,
    standard: Option<Length>,
    style: Style,
    unit: Unit,
) -> Option<String> {
    let ascii = |text: String| text.replace('\u{2212}', "-");
    let written = |length: Length| {
        let decimals = style.decimals.max(length.decimals(style.unit));
        let number = ascii(length.number(Style { unit: style.unit, decimals }));
        if style.unit == unit { number } else { format!("{number} {}", style.unit) }
    };
    let reads = gauge.map_or(Reads::Diameter, |gauge| gauge.reads);
    let (Some(gauge), Some(standard), true) = (gauge, standard, reads != Reads::Diameter) else {
        return Some(written(diameter));
    };
    let deviation = match gauge.plus_means {
        PlusMeans::Larger => diameter - standard,
        PlusMeans::Smaller => standard - diameter,
    };
    let sign = if deviation > Length::ZERO { "+" } else { "" };
    if reads == Reads::Deviation {
        return Some(format!("{sign}{}", written(deviation)));
    }
    let graduation = Length::parse(gauge.graduation.as_deref()?, unit).ok()?.length.tenths_of_nm();
    let deviation = deviation.tenths_of_nm();
    (graduation != 0 && deviation % graduation == 0).then(|| format!("{sign}{}", deviation / graduation))
}

/// The reading that a cylinder's record holds for a cell: the first, if it is written twice.
pub fn reading<'a>(cylinder: &'a Cylinder, limits: &Limits, at: Point) -> Option<&'a Reading> {
    let (station, axis) = (limits.stations.get(at.station)?, limits.axes.get(at.axis)?);
    cylinder.readings.iter().find(|reading| reading.station == station.name && reading.axis == axis.label)
}

/// Puts a cell's readings in place of what stands there, or else in the order of the table, so that the file reads
/// like the sheet.
pub fn place(cylinder: &mut Cylinder, limits: Option<&Limits>, reading: Reading) {
    let same = |known: &&mut Reading| known.station == reading.station && known.axis == reading.axis;
    if let Some(known) = cylinder.readings.iter_mut().find(same) {
        *known = reading;
        return;
    }
    let order = |reading: &Reading| {
        let station = limits.and_then(|limits| limits.station_index(&reading.station)).unwrap_or(usize::MAX);
        (station, limits.and_then(|limits| limits.axis_index(&reading.axis)).unwrap_or(usize::MAX))
    };
    let here = order(&reading);
    let index = cylinder.readings.iter().position(|known| order(known) > here);
    cylinder.readings.insert(index.unwrap_or(cylinder.readings.len()), reading);
}
