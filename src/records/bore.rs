//! The readings of one barrel as exact lengths: a grid of stations by axes, each cell with its repeats.
//!
//! Stations are counted from the head end, axes as the table of limits lists them. A cell nobody has
//! measured is absent; nothing here fills it in. Everything is on the diameter, and at 20 °C where temperatures
//! were recorded: what was read is kept beside it.

use quantities::length::{Length, LengthError, Mean, Style, Unit};

/// One cell of the grid, by station and axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// Index of the station, counted from the head end.
    pub station: usize,
    /// Index of the axis.
    pub axis: usize,
}

impl Point {
    /// The cell at a station on an axis.
    pub fn new(station: usize, axis: usize) -> Self {
        Self { station, axis }
    }
}

/// What was read in one cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Diameters of the repeats, in the order they were taken; never empty.
    repeats: Vec<Length>,
    /// The same as read, before they were brought to 20 °C; empty: there was nothing to correct.
    read: Vec<Length>,
    /// The exact mean of the repeats.
    mean: Mean,
    /// How the first repeat was written.
    pub style: Style,
    /// Index of the gauge among the survey's gauges.
    pub gauge: usize,
    /// Somebody has confirmed that it stands although it looked wrong.
    pub confirmed: bool,
}

impl Cell {
    /// A cell with its repeats; `None` if there are none.
    pub fn new(repeats: Vec<Length>, style: Style, gauge: usize) -> Option<Self> {
        let mean = Mean::of_lengths(repeats.iter().copied())?;
        Some(Self { repeats, read: Vec::new(), mean, style, gauge, confirmed: false })
    }

    /// A cell of repeats as read, each multiplied by `factor` to have the diameter at 20 °C; `None` if there are none.
    pub fn at_20_c(read: Vec<Length>, factor: f64, style: Style, gauge: usize) -> Option<Self> {
        let corrected: Vec<Length> = read.iter().map(|&read| read.scaled(factor)).collect();
        let is_same = corrected == read;
        let cell = Self::new(corrected, style, gauge)?;
        Some(Self { read: if is_same { Vec::new() } else { read }, ..cell })
    }

    /// This cell with other diameters, read in the same way at the same temperatures; `None` if there are none.
    #[must_use]
    pub fn with_repeats(&self, repeats: Vec<Length>) -> Option<Self> {
        let read = match (self.read.first(), self.repeats.first()) {
            (Some(read), Some(repeat)) => {
                let factor = read.to_mm() / repeat.to_mm();
                repeats.iter().map(|&repeat| repeat.scaled(factor)).collect()
            }
            _ => Vec::new(),
        };
        let cell = Self::new(repeats, self.style, self.gauge)?;
        Some(Self { read, confirmed: self.confirmed, ..cell })
    }

    /// The same cell, confirmed by somebody.
    #[must_use]
    pub fn confirmed(mut self, confirmed: bool) -> Self {
        self.confirmed = confirmed;
        self
    }

    /// Diameters of the repeats, in the order they were taken.
    pub fn repeats(&self) -> &[Length] {
        &self.repeats
    }

    /// The repeats as they were read, before they were brought to 20 °C.
    pub fn as_read(&self) -> &[Length] {
        if self.read.is_empty() { &self.repeats } else { &self.read }
    }

    /// The exact mean as read, where bringing it to 20 °C made it another one.
    pub fn mean_as_read(&self) -> Option<Mean> {
        Mean::of_lengths(self.read.iter().copied())
    }

    /// The exact mean of the repeats: the D(s, a) of every figure.
    pub fn mean(&self) -> Mean {
        self.mean
    }
}

/// The readings of one barrel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bore {
    axes: usize,
    cells: Vec<Option<Cell>>,
}

impl Bore {
    /// A barrel with nothing measured yet.
    pub fn new(stations: usize, axes: usize) -> Self {
        Self { axes, cells: vec![None; stations * axes] }
    }

    /// A barrel from one diameter for each cell as it was written, station by station; an empty text is a cell that was
    /// not measured. `unit` is that of a text that names none.
    ///
    /// # Errors
    /// What is wrong with the first text that is no length.
    ///
    /// # Examples
    /// ```
    /// use quantities::length::Unit;
    /// use records::bore::{Bore, Point};
    /// let bore = Bore::of_texts(&[&["5.1310", "5.1320"], &["130.264 mm", ""]], Unit::Inch).unwrap();
    /// assert_eq!((bore.stations(), bore.axes(), bore.measured().count()), (2, 2, 3));
    /// assert!(bore.mean(Point::new(0, 1)) > bore.mean(Point::new(0, 0)));
    /// ```
    pub fn of_texts(rows: &[&[&str]], unit: Unit) -> Result<Self, LengthError> {
        let mut bore = Self::new(rows.len(), rows.iter().map(|row| row.len()).max().unwrap_or(0));
        for (station, row) in rows.iter().enumerate() {
            for (axis, text) in row.iter().enumerate().filter(|(_, text)| !text.trim().is_empty()) {
                let entry = Length::parse(text, unit)?;
                bore.set(Point::new(station, axis), Cell::new(vec![entry.length], entry.style, 0));
            }
        }
        Ok(bore)
    }

    /// How many stations it has.
    pub fn stations(&self) -> usize {
        self.cells.len().checked_div(self.axes).unwrap_or(0)
    }

    /// How many axes it has.
    pub fn axes(&self) -> usize {
        self.axes
    }

    fn index(&self, at: Point) -> Option<usize> {
        (at.axis < self.axes).then(|| at.station * self.axes + at.axis)
    }

    /// The cell at a point, if it was measured.
    pub fn cell(&self, at: Point) -> Option<&Cell> {
        self.cells.get(self.index(at)?)?.as_ref()
    }

    /// The mean diameter at a point, if it was measured.
    pub fn mean(&self, at: Point) -> Option<Mean> {
        self.cell(at).map(Cell::mean)
    }

    /// Puts a cell at a point and returns the one that stood there. A point outside the grid is left alone.
    pub fn set(&mut self, at: Point, cell: Option<Cell>) -> Option<Cell> {
        let index = self.index(at)?;
        std::mem::replace(self.cells.get_mut(index)?, cell)
    }

    /// Every measured cell, station by station from the head end.
    pub fn measured(&self) -> impl Iterator<Item = (Point, &Cell)> {
        let axes = self.axes.max(1);
        self.cells.iter().enumerate().filter_map(move |(index, cell)| {
            cell.as_ref().map(|cell| (Point::new(index / axes, index % axes), cell))
        })
    }

    /// The measured cells of one station, with their means.
    pub fn at_station(&self, station: usize) -> impl Iterator<Item = (Point, Mean)> + Clone {
        (0..self.axes).filter_map(move |axis| {
            let at = Point::new(station, axis);
            self.mean(at).map(|mean| (at, mean))
        })
    }

    /// The same barrel with every diameter as it was read; `None` if bringing them to 20 °C changed nothing.
    pub fn as_read(&self) -> Option<Self> {
        let as_read = |cell: &Option<Cell>| {
            let cell = cell.as_ref()?;
            let read = Cell::new(cell.as_read().to_vec(), cell.style, cell.gauge)?;
            Some(read.confirmed(cell.confirmed))
        };
        let was_corrected = self.cells.iter().flatten().any(|cell| !cell.read.is_empty());
        was_corrected.then(|| Self { axes: self.axes, cells: self.cells.iter().map(as_read).collect() })
    }

    /// Nothing measured at all?
    pub fn is_empty(&self) -> bool {
        self.cells.iter().all(Option::is_none)
    }
}

/// The part of a sheet that a figure is computed on: which stations, and which axes must be there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scope<'a> {
    /// Indices of the stations, from the head end.
    pub stations: &'a [usize],
    /// Indices of the axes that must be measured at each of them.
    pub required_axes: &'a [usize],
}

impl Scope<'_> {
    /// The cells of the scope that must be measured and are not.
    pub fn missing(&self, bore: &Bore) -> Vec<Point> {
        self.stations
            .iter()
            .flat_map(|&station| self.required_axes.iter().map(move |&axis| Point::new(station, axis)))
            .filter(|&at| bore.cell(at).is_none())
            .collect()
    }

    /// The measured cells of the scope, on any axis.
    pub fn measured(&self, bore: &Bore) -> impl Iterator<Item = (Point, Mean)> + Clone {
        self.stations.iter().flat_map(move |&station| bore.at_station(station))
    }
}
