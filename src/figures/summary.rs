//! Everything that is computed for one barrel, under every rule in use, side by side.
//!
//! [`Figures`] is plain data for showing: on the command line, in the window, on paper. Which rule is in
//! force and whether a figure is within its limit is said by `judging`, from the same functions.

use super::ovality::{self, Ovality};
use super::shape::{self, Naming, Shape, ShapeName};
use super::wear::{self, WearReference};
use super::{Figure, PartialFigure};
use super::{diameter, displacement, out_of_round, ring_gap, taper};
use quantities::length::{Mean, Style};
use records::bore::{Bore, Point, Scope};
use records::limits::Limits;
use records::limits::rows::{RowKind, RowName};
use records::survey::{Cylinder, MeasuredGap};

/// The figures of one station.
#[derive(Clone, Debug, PartialEq)]
pub struct AtStation {
    /// Index of the station.
    pub station: usize,
    /// Average over the axes that must be measured; `None` unless all are.
    pub average: Option<Figure>,
    /// Largest minus smallest of the measured axes; `None` with fewer than two.
    pub out_of_round: Option<Figure>,
    /// The fitted oval; `None` with fewer than three directions.
    pub ovality: Option<Ovality>,
}

/// A row of the shape under one of its rules.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundRow {
    /// Which row, under which rule.
    pub kind: RowKind,
    /// The table judges by it.
    pub in_force: bool,
    /// Its figure, with its sign.
    pub figure: PartialFigure,
}

/// The taper of one axis.
#[derive(Clone, Debug, PartialEq)]
pub struct OnAxis {
    /// Index of the axis.
    pub axis: usize,
    /// Top minus bottom, positive if larger at the head end; `None` unless both ends are measured.
    pub end_to_end: Option<Figure>,
}

/// Wear at each point.
#[derive(Clone, Debug, PartialEq)]
pub struct Wear {
    /// What it is counted from.
    pub reference: WearReference,
    /// Every measured point of the bore, above ring travel too.
    pub at: Vec<(Point, Mean)>,
    /// The greatest within ring travel and below.
    pub greatest: Option<(Point, Mean)>,
}

/// A measured ring gap along the bore.
#[derive(Clone, Debug, PartialEq)]
pub struct GapAlong {
    /// The gap as measured, its row and where it was taken.
    pub measured: MeasuredGap,
    /// What it is at each station that can be compared with that one; negative: the ring would butt.
    pub at: Vec<(usize, Mean)>,
}

/// Volume that the piston of this barrel sweeps, in cubic millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Displacement {
    /// At the average bore as measured; `None` until it is measured.
    pub now: Option<f64>,
    /// At each size of the table that is larger than the present one (index in [`Limits::sizes`]), finished to
    /// its as-made minimum.
    pub at_sizes: Vec<(usize, f64)>,
    /// How many cylinders the engine has, where the table says so.
    pub cylinders: Option<u16>,
}

impl Displacement {
    /// The engine's displacement if all its cylinders were like this one; `None` if their number is unknown.
    pub fn of_engine(&self, one_cylinder: f64) -> Option<f64> {
        self.cylinders.map(|count| one_cylinder * f64::from(count))
    }
}

/// Something to know when reading the figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Note {
    /// No station was measured on three directions.
    TwoAxes,
    /// Two-point gauges cannot see odd lobes.
    OddLobes,
    /// Wear is counted from the table's largest new size.
    WearAtLeast,
    /// The wear's reference is unknown.
    NoWearReference,
}

impl Note {
    /// In words: a clause without a full stop.
    pub fn words(self) -> &'static str {
        match self {
            Self::TwoAxes => ovality::TWO_AXES,
            Self::OddLobes => ovality::ODD_LOBES,
            Self::WearAtLeast => {
                "wear is counted from the table's largest new size, so it is at least as much as shown"
            }
            Self::NoWearReference => "the size that wear is counted from is not known",
        }
    }
}

/// Every figure of one barrel.
///
/// All on the diameter except the step, which is per side.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// How the readings are written, and so how to show figures.
    pub style: Style,
    /// Readings that the bore still needs, in measuring order.
    pub missing: Vec<Point>,
    /// Largest diameter.
    pub largest: PartialFigure,
    /// Smallest diameter.
    pub smallest: PartialFigure,
    /// Average diameter.
    pub average: PartialFigure,
    /// Every station of the table, from the head end, above ring travel too.
    pub stations: Vec<AtStation>,
    /// The rows of the shape, each under every rule, whether or not the table limits them; a row that needs stations
    /// which the table has not is left out.
    pub rows: Vec<FoundRow>,
    /// Stations that the tapers are taken over, from the head end.
    pub taper_stations: Vec<usize>,
    /// The taper of each axis between the ends of those stations.
    pub axes: Vec<OnAxis>,
    /// Wear; `None` if its reference is unknown.
    pub wear: Option<Wear>,
    /// The shape; `None` without readings.
    pub shape: Option<Shape>,
    /// What the shape is called, judged by one unit of the last digit that was written.
    pub shape_names: Vec<ShapeName>,
    /// Each measured ring gap along the bore.
    pub ring_gaps: Vec<GapAlong>,
    /// Displacement; `None` if the table gives no stroke.
    pub displacement: Option<Displacement>,
    /// What to know when reading them.
    pub notes: Vec<Note>,
}

impl Figures {
    /// Computes every figure of a cylinder.
    pub fn of(cylinder: &Cylinder, limits: &Limits) -> Self {
        let bore = &cylinder.bore;
        let scope = limits.bore_scope();
        let style = cylinder.style(limits);
        let stations: Vec<AtStation> =
            (0..limits.stations.len()).map(|station| at_station(bore, limits, station)).collect();
        let taper_stations = limits.taper_stations().to_vec();
        let axes = (0..limits.axes.len()).map(|axis| on_axis(bore, &taper_stations, axis)).collect();
        let average = diameter::average_diameter(bore, &scope);
        let wear = wear(cylinder, limits);
        let shape = Shape::fit(&shape::samples(bore, limits, &scope));
        let naming = Naming {
            threshold_mm: style.last_digit().to_mm(),
            choked: limits.shape_row(RowName::Choke).is_some(),
        };
        let notes = notes(bore, &stations, wear.as_ref());
        Self {
            style,
            missing: scope.missing(bore),
            largest: diameter::largest_diameter(bore, &scope),
            smallest: diameter::smallest_diameter(bore, &scope),
            displacement: displacement(cylinder, limits, average.figure()),
            average,
            stations,
            rows: rows(bore, limits),
            axes,
            wear,
            shape_names: shape.as_ref().map_or_else(Vec::new, |shape| shape.names(naming)),
            shape,
            ring_gaps: cylinder.ring_gaps.iter().map(|gap| gap_along(bore, gap, &scope)).collect(),
            notes,
            taper_stations,
        }
    }

    /// A row of the shape under a rule.
    pub fn row(&self, kind: RowKind) -> Option<&PartialFigure> {
        self.rows.iter().find(|row| row.kind == kind).map(|row| &row.figure)
    }

    /// A row of the shape under each of its rules.
    pub fn by_rule(&self, name: RowName) -> impl Iterator<Item = &FoundRow> {
        self.rows.iter().filter(move |row| row.kind.name() == name)
    }

    /// What the shape is called, in one phrase; `None` without readings.
    pub fn shape_words(&self) -> Option<String> {
        let words: Vec<_> = self.shape_names.iter().map(|name| name.words()).collect();
        (!words.is_empty()).then(|| words.join(", "))
    }
}

fn at_station(bore: &Bore, limits: &Limits, station: usize) -> AtStation {
    AtStation {
        station,
        average: Figure::average_over(bore, &limits.scope(&[station])),
        out_of_round: out_of_round::at(bore, station),
        ovality: ovality::at(bore, &limits.axes, station),
    }
}

fn rows(bore: &Bore, limits: &Limits) -> Vec<FoundRow> {
    let of_name = |name: RowName| {
        let row = limits.shape_row(name);
        limits.over(name).into_iter().flat_map(move |over| {
            name.kinds().into_iter().map(move |kind| FoundRow {
                kind,
                in_force: row.is_some_and(|row| row.kind == kind),
                figure: super::of_kind(bore, limits, kind, &over),
            })
        })
    };
    RowName::of_shape().flat_map(of_name).collect()
}

fn on_axis(bore: &Bore, stations: &[usize], axis: usize) -> OnAxis {
    let end_to_end = match stations {
        [top, .., bottom] if top != bottom => taper::end_to_end(bore, &[*top, *bottom], axis),
        _ => None,
    };
    OnAxis { axis, end_to_end }
}

fn wear(cylinder: &Cylinder, limits: &Limits) -> Option<Wear> {
    let bore = &cylinder.bore;
    let reference = WearReference::best(
        cylinder.finished_to.map(|(size, _)| size),
        wear::unworn_bore(bore, &limits.unworn_stations),
        cylinder.size.and_then(|size| limits.sizes.get(size)).map(|row| row.new.1.length),
    )?;
    let at = bore.measured().filter_map(|(at, _)| Some((at, wear::at(bore, reference, at)?))).collect();
    Some(Wear { reference, at, greatest: wear::greatest(bore, reference, &limits.bore_scope()) })
}

fn gap_along(bore: &Bore, measured: &MeasuredGap, scope: &Scope<'_>) -> GapAlong {
    let at = scope.stations.iter().filter_map(|&station| {
        let gap = ring_gap::at(bore, measured.gap, measured.station, station, scope.required_axes)?;
        Some((station, gap))
    });
    GapAlong { measured: measured.clone(), at: at.collect() }
}

fn displacement(cylinder: &Cylinder, limits: &Limits, average: Option<&Figure>) -> Option<Displacement> {
    let stroke = limits.stroke?;
    let swept = |bore_mm: f64| displacement::cubic_mm(bore_mm, stroke.to_mm(), 1);
    let larger = cylinder.size.map_or(0, |size| size.saturating_add(1));
    Some(Displacement {
        now: average.map(|average| swept(average.value.to_mm())),
        at_sizes: limits
            .sizes
            .iter()
            .enumerate()
            .skip(larger)
            .map(|(size, row)| (size, swept(row.new.0.length.to_mm())))
            .collect(),
        cylinders: limits.cylinders,
    })
}

fn notes(bore: &Bore, stations: &[AtStation], wear: Option<&Wear>) -> Vec<Note> {
    let mut notes = Vec::new();
    if bore.is_empty() {
        return notes;
    }
    if stations.iter().all(|station| station.ovality.is_none()) {
        notes.push(Note::TwoAxes);
    }
    notes.push(Note::OddLobes);
    match wear.map(|wear| wear.reference) {
        None => notes.push(Note::NoWearReference),
        Some(WearReference::LargestNewSize(_)) => notes.push(Note::WearAtLeast),
        Some(WearReference::KnownSize(_) | WearReference::UnwornBore(_)) => {}
    }
    notes
}

#[cfg(test)]
mod tests;
