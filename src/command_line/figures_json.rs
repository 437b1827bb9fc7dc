//! Every figure of every cylinder under every rule, as JSON for programs.
//!
//! `borewright figures --json` prints one object with the fields of `judge --json` ([`super::judge_json`]): `format`,
//! `program`, `engines` and `errors`; numbers have the same shape, and what is named alike is alike. An engine here is
//! an [`Engine`]. What there is not is left out: an average, a taper or an out-of-round has no place, but says what it is
//! `made_of`. What is fitted by least squares is a JSON number in the engine's `unit`.

use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};

use super::judge_json::{self, Reading, Table, WithDiagnostics};
use super::judged::Surveyed;
use figures::summary::{AtStation, FoundRow, GapAlong, Wear as FoundWear};
use figures::{Figure as BoreFigure, Figures, PartialFigure};
use judging::json::{Cx, Number, Place, PlacedNumber, Size, Term};
use quantities::length::Mean;
use records::diag::Diagnostic;
use records::limits::rows::RowName;
use records::survey::{Cylinder as Barrel, Survey};

/// One overhaul of one engine.
#[derive(Debug, Serialize)]
pub struct Engine<'a> {
    /// The record's file.
    pub file: String,
    /// Engine model.
    pub model: &'a str,
    /// Engine serial number.
    pub serial: &'a str,
    /// The day of the overhaul, such as `2024-05-14`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overhaul: Option<String>,
    /// Which overhaul of the record, counted from 1.
    pub overhaul_number: usize,
    /// `in` or `mm`: the unit of every length here.
    pub unit: &'static str,
    /// The table of limits whose stations, axes and rules are used.
    pub limits: Table<'a>,
    /// Cylinders, in bank order.
    pub cylinders: Vec<Cylinder<'a>>,
}

/// Every figure of one cylinder, on the diameter except the step, which is per side.
#[derive(Debug, Serialize)]
pub struct Cylinder<'a> {
    /// Position on the engine.
    pub position: &'a str,
    /// Serial number.
    pub serial: &'a str,
    /// Its present size.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<Size<'a>>,
    /// The readings, as diameters.
    pub readings: Vec<Reading<'a>>,
    /// Readings that the bore still needs.
    pub missing: Vec<Place<'a>>,
    /// Largest diameter of the bore row's stations.
    pub largest: Figure<'a>,
    /// Smallest diameter of the bore row's stations.
    pub smallest: Figure<'a>,
    /// Average diameter of the bore row's stations over the required axes.
    pub average: Figure<'a>,
    /// Every station of the table along the bore, from the head end, above ring travel too.
    pub stations: Vec<Station<'a>>,
    /// The stations that tapers are taken over, from the head end.
    pub taper_stations: Vec<&'a str>,
    /// The taper of each axis whose two ends were read: top minus bottom, positive is larger at the head end.
    pub taper_of_axes: Vec<OnAxis<'a>>,
    /// The rows of the shape, by their names.
    #[serde(flatten)]
    pub rows: Rows<'a>,
    /// Wear; left out if nothing is known that it could be counted from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wear: Option<Wear<'a>>,
    /// The least-squares shape; left out without readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<Shape>,
    /// The gap of each ring that was measured, along the bore.
    pub ring_gaps: Vec<RingGap<'a>>,
    /// Displacement of this cylinder; left out if the table gives no stroke.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub displacement: Option<Displacement<'a>>,
    /// What to know when reading the figures, as sentences.
    pub notes: Vec<&'static str>,
}

/// The rows of the shape: `taper` and `out_of_round`, each a list of figures by rule, `choke` (base-end average minus
/// head-end average), `step` (height of the lip per side). A taper between two ends has a sign: positive is larger at the
/// head end. A row that needs stations which the table has not is left out.
#[derive(Debug)]
pub struct Rows<'a>(Vec<(RowName, Vec<ByRule<'a>>)>);

impl Serialize for Rows<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (row, by_rule) in &self.0 {
            match by_rule.as_slice() {
                [only] if row.kinds().len() == 1 => map.serialize_entry(row.key(), &only.figure)?,
                all => map.serialize_entry(row.key(), all)?,
            }
        }
        map.end()
    }
}

fn rows<'a>(cx: Cx<'a>, found: &Figures) -> Rows<'a> {
    let by_rule = |name: RowName| {
        let of = |row: &FoundRow| ByRule {
            rule: row.kind.formula(),
            in_force: row.in_force,
            figure: partial(cx, &row.figure),
        };
        Some((name, found.by_rule(name).map(of).collect::<Vec<_>>())).filter(|(_, rows)| !rows.is_empty())
    };
    Rows(RowName::of_shape().filter_map(by_rule).collect())
}

/// A figure and what it is made of.
#[derive(Debug, Serialize)]
pub struct Figure<'a> {
    /// The figure, exactly; left out where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figure: Option<Number>,
    /// Readings are missing: it is at least so much (a taper: its magnitude).
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub at_least: bool,
    /// Readings are missing: it is at most so much (the smallest diameter).
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub at_most: bool,
    /// The readings it is made of: it is the sum of weight times mean.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub made_of: Vec<Term<'a>>,
    /// Readings it still needs.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<Place<'a>>,
    /// Why no reading gives it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub impossible: Option<&'static str>,
}

/// A figure under a rule.
#[derive(Debug, Serialize)]
pub struct ByRule<'a> {
    /// The rule in words.
    pub rule: &'static str,
    /// The table of limits judges by it.
    pub in_force: bool,
    /// The figure.
    #[serde(flatten)]
    pub figure: Figure<'a>,
}

/// A taper on one axis.
#[derive(Debug, Serialize)]
pub struct OnAxis<'a> {
    /// Label of the axis.
    pub axis: &'a str,
    /// The figure.
    #[serde(flatten)]
    pub figure: Figure<'a>,
}

/// The figures of one station.
#[derive(Debug, Serialize)]
pub struct Station<'a> {
    /// Its name.
    pub station: &'a str,
    /// Average over the required axes; left out unless all were read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub average: Option<Figure<'a>>,
    /// Largest minus smallest of the axes that were read; left out with fewer than two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub out_of_round: Option<Figure<'a>>,
    /// The fitted oval; left out with fewer than three directions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ovality: Option<Oval>,
    /// Wear at each point that was read, against `wear.from`; negative is smaller than that.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wear: Vec<PlacedNumber<'a>>,
}

/// An oval by least squares: D(a) = mean + (ovality / 2) cos 2 (a - degrees).
#[derive(Debug, Serialize)]
pub struct Oval {
    /// Mean diameter.
    pub mean: f64,
    /// Largest minus smallest diameter.
    pub ovality: f64,
    /// Direction of the largest diameter, counted like the axes, from 0 to below 180.
    pub degrees: f64,
    /// Standard deviation of the readings from it; left out with three axes, which fit any oval.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub residual: Option<f64>,
}

/// What wear is counted from, and the greatest.
#[derive(Debug, Serialize)]
pub struct Wear<'a> {
    /// What it is counted from, in words.
    pub counted_from: &'static str,
    /// That diameter.
    pub from: Number,
    /// The greatest within ring travel and below.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub greatest: Option<PlacedNumber<'a>>,
}

/// The shape by least squares, over depth and angle.
#[derive(Debug, Serialize)]
pub struct Shape {
    /// What it is called, in words.
    pub names: Vec<String>,
    /// Mean size over the measured length.
    pub mean: f64,
    /// Head end minus base end: positive is larger at the head end; left out where the readings do not tell it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taper: Option<f64>,
    /// Middle minus the mean of the ends: positive is larger in the middle; left out likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bow: Option<f64>,
    /// Largest minus smallest diameter; left out likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ovality: Option<f64>,
    /// Direction of the largest diameter in degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degrees: Option<f64>,
    /// The oval is only the difference of two directions, and at least so large.
    pub ovality_at_least: bool,
    /// Standard deviation of what is left over; left out if every reading is needed for the fit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub residual: Option<f64>,
    /// Terms that the readings do not tell: `taper`, `bow`, `ovality`.
    pub not_determined: Vec<&'static str>,
}

/// A ring's gap along the bore. It changes by pi times the change of a station's average over the required axes, rounded
/// to 1e-7 mm.
#[derive(Debug, Serialize)]
pub struct RingGap<'a> {
    /// Reference number of its row.
    pub reference: &'a str,
    /// What it is.
    pub description: &'a str,
    /// The gap as measured.
    pub gap: Number,
    /// The station where it was taken.
    pub taken_at: &'a str,
    /// What it is at each station that can be compared with that one; negative: the ring would butt.
    pub along: Vec<Gap<'a>>,
}

/// A gap at a station.
#[derive(Debug, Serialize)]
pub struct Gap<'a> {
    /// Name of the station.
    pub station: &'a str,
    /// The gap.
    #[serde(flatten)]
    pub gap: Number,
}

/// The volume that the piston of one cylinder sweeps, in cubic millimetres: pi / 4 x diameter squared x stroke.
#[derive(Debug, Serialize)]
pub struct Displacement<'a> {
    /// At the average diameter; left out until it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub now_mm3: Option<f64>,
    /// At each larger size of the table, finished to its least.
    pub at_sizes: Vec<AtSize<'a>>,
    /// How many cylinders the engine has, where the table says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cylinders: Option<u16>,
}

/// A displacement at a size.
#[derive(Debug, Serialize)]
pub struct AtSize<'a> {
    /// The size.
    pub size: Size<'a>,
    /// In cubic millimetres.
    pub mm3: f64,
}

#[derive(Serialize)]
struct Document<'a> {
    format: u32,
    program: &'static str,
    engines: Vec<Engine<'a>>,
    errors: Vec<WithDiagnostics>,
}

/// The document of some overhauls.
pub fn document(surveyed: &[Surveyed], diagnostics: &[Diagnostic]) -> String {
    let document = Document {
        format: judge_json::FORMAT,
        program: concat!("borewright ", env!("CARGO_PKG_VERSION")),
        engines: surveyed.iter().map(engine).collect(),
        errors: diagnostics.iter().map(WithDiagnostics::from).collect(),
    };
    judge_json::json(&document) + "\n"
}

fn engine(surveyed: &Surveyed) -> Engine<'_> {
    let (record, survey) = (&surveyed.record, &surveyed.survey);
    let unit = surveyed.unit();
    let cx = Cx { unit, limits: &survey.limits };
    Engine {
        file: surveyed.file.display().to_string(),
        model: &record.engine.model,
        serial: &record.engine.serial,
        overhaul: surveyed.overhaul().map(|overhaul| overhaul.date.to_string()),
        overhaul_number: surveyed.index + 1,
        unit: unit.symbol(),
        limits: judge_json::table(cx, surveyed.limits_file.as_deref()),
        cylinders: survey.cylinders.iter().map(|cylinder| self::cylinder(cx, cylinder, survey)).collect(),
    }
}

fn exact<'a>(cx: Cx<'a>, figure: &BoreFigure) -> Figure<'a> {
    Figure {
        figure: Some(cx.number(figure.value)),
        at_least: false,
        at_most: false,
        made_of: cx.made_of(figure),
        missing: Vec::new(),
        impossible: None,
    }
}

fn partial<'a>(cx: Cx<'a>, partial: &PartialFigure) -> Figure<'a> {
    let figure = partial.figure();
    Figure {
        figure: figure.map(|figure| cx.number(figure.value)),
        at_least: figure.is_some() && !partial.is_complete(),
        at_most: false,
        made_of: figure.map_or_else(Vec::new, |figure| cx.made_of(figure)),
        missing: cx.places(partial.missing()),
        impossible: partial.impossible().map(|why| why.words()),
    }
}

fn cylinder<'a>(cx: Cx<'a>, cylinder: &'a Barrel, survey: &'a Survey) -> Cylinder<'a> {
    let limits = cx.limits;
    let found = Figures::of(cylinder, limits);
    let mm = |mm: f64| cx.unit.from_mm(mm);
    let smallest = partial(cx, &found.smallest);
    Cylinder {
        position: &cylinder.position,
        serial: &cylinder.serial,
        size: cylinder.size.and_then(|size| cx.size(size)),
        readings: judge_json::readings(cx, cylinder, survey),
        missing: cx.places(&found.missing),
        largest: partial(cx, &found.largest),
        smallest: Figure { at_least: false, at_most: smallest.at_least, ..smallest },
        average: partial(cx, &found.average),
        stations: found.stations.iter().map(|at| station(cx, at, found.wear.as_ref())).collect(),
        taper_stations: found.taper_stations.iter().map(|&station| cx.station(station)).collect(),
        taper_of_axes: found
            .axes
            .iter()
            .filter_map(|on| {
                let axis = limits.axes.get(on.axis)?;
                Some(OnAxis { axis: &axis.label, figure: exact(cx, on.end_to_end.as_ref()?) })
            })
            .collect(),
        rows: rows(cx, &found),
        wear: found.wear.as_ref().map(|wear| Wear {
            counted_from: wear.reference.words(),
            from: cx.number(wear.reference.diameter()),
            greatest: wear.greatest.map(|(at, wear)| cx.placed(at, wear)),
        }),
        shape: found.shape.as_ref().map(|shape| Shape {
            names: found.shape_names.iter().map(|name| name.words().into_owned()).collect(),
            mean: mm(shape.mean_mm),
            taper: shape.taper_mm.map(mm),
            bow: shape.bow_mm.map(mm),
            ovality: shape.oval.map(|oval| mm(oval.ovality_mm)),
            degrees: shape.oval.map(|oval| oval.degrees),
            ovality_at_least: shape.oval.is_some_and(|oval| !oval.whole),
            residual: shape.residual_mm.map(mm),
            not_determined: shape.not_determined.iter().map(|term| term.words()).collect(),
        }),
        ring_gaps: found.ring_gaps.iter().filter_map(|gap| ring_gap(cx, gap)).collect(),
        displacement: found.displacement.as_ref().map(|swept| Displacement {
            now_mm3: swept.now,
            at_sizes: swept
                .at_sizes
                .iter()
                .filter_map(|&(size, mm3)| Some(AtSize { size: cx.size(size)?, mm3 }))
                .collect(),
            cylinders: swept.cylinders,
        }),
        notes: found.notes.iter().map(|note| note.words()).collect(),
    }
}

fn station<'a>(cx: Cx<'a>, at: &AtStation, wear: Option<&FoundWear>) -> Station<'a> {
    let mm = |mm: f64| cx.unit.from_mm(mm);
    let worn = wear.into_iter().flat_map(|wear| &wear.at);
    Station {
        station: cx.station(at.station),
        average: at.average.as_ref().map(|figure| exact(cx, figure)),
        out_of_round: at.out_of_round.as_ref().map(|figure| exact(cx, figure)),
        ovality: at.ovality.map(|oval| Oval {
            mean: mm(oval.mean_mm),
            ovality: mm(oval.ovality_mm),
            degrees: oval.degrees,
            residual: oval.residual_mm.map(mm),
        }),
        wear: worn
            .filter(|(point, _)| point.station == at.station)
            .map(|&(point, wear)| cx.placed(point, wear))
            .collect(),
    }
}

fn ring_gap<'a>(cx: Cx<'a>, gap: &GapAlong) -> Option<RingGap<'a>> {
    let row = cx.limits.ring_gaps.get(gap.measured.row)?;
    let along = |&(station, gap): &(usize, Mean)| Gap { station: cx.station(station), gap: cx.number(gap) };
    Some(RingGap {
        reference: &row.source.reference,
        description: &row.description,
        gap: cx.number(gap.measured.gap),
        taken_at: cx.station(gap.measured.station),
        along: gap.at.iter().map(along).collect(),
    })
}
