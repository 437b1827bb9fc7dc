//! The blank check sheet: what is printed for those who write at the bench and type later. Stations drawn on a
//! barrel, a cell for every reading in measuring order, the limits beside them.

use serde::Serialize;

use super::data::{self, Identity, LimitsTable};
use super::{Document, Judged, PageSize};
use judging::words;
use quantities::length::{Length, Style};
use records::limits::Limits;
use records::limits::schema::{Datum, FindingKind};
use records::record::entry::MeasuringOrder;

/// A blank check sheet, one for each cylinder.
#[derive(Debug, Serialize)]
pub struct CheckSheet {
    /// [`data::FORMAT`].
    pub format: u32,
    /// The program and its version.
    pub program: String,
    /// The paper's name: `a4` or `us-letter`.
    pub paper: &'static str,
    /// The engine and overhaul, where it is for a record's; none: lines to write on.
    pub identity: Option<Identity>,
    /// What stands over everything that comes from an invented table; none for a maker's table.
    pub illustrative: Option<&'static str>,
    /// The rules in force, as a sentence.
    pub judged_by: String,
    /// The end that depths are counted from, in words.
    pub datum: &'static str,
    /// The order of measuring, in words.
    pub order: &'static str,
    /// The unit of depths and limits.
    pub unit: &'static str,
    /// The axes: label with direction, and whether it may be left out.
    pub axes: Vec<SheetAxis>,
    /// The stations, from the head end.
    pub stations: Vec<SheetStation>,
    /// Top and bottom of ring travel as shares of the barrel drawn, 0 at its head end.
    pub travel: Option<(f64, f64)>,
    /// One page for each.
    pub cylinders: Vec<SheetCylinder>,
    /// The table of limits.
    pub limits: LimitsTable,
    /// Kinds of findings, in inspection order.
    pub findings: Vec<String>,
    /// Who decides.
    pub who_decides: &'static str,
}

/// An axis of the sheet.
#[derive(Debug, Serialize)]
pub struct SheetAxis {
    /// Its label with its direction.
    pub label: String,
    /// It may be left out.
    pub optional: bool,
}

/// A station of the sheet.
#[derive(Debug, Serialize)]
pub struct SheetStation {
    /// Its name.
    pub name: String,
    /// Its depth, without the unit.
    pub depth: String,
    /// Its part in the judging, in words.
    pub role: &'static str,
    /// Where it lies on the barrel drawn: 0 at its head end, 1 at its base end.
    pub share: f64,
    /// When each axis is measured, counted from 1.
    pub order: Vec<usize>,
}

/// A cylinder of the sheet; empty texts are lines to write on.
#[derive(Debug, Serialize)]
pub struct SheetCylinder {
    /// Position.
    pub position: String,
    /// Serial number.
    pub serial: String,
    /// Size in words.
    pub size: String,
    /// What its bore is judged against, as a sentence; empty where the size is not known.
    pub bore_limits: String,
}

/// What a sheet is for.
#[derive(Clone, Copy, Debug)]
pub enum For<'a> {
    /// A table of limits alone: as many sheets as its engine has cylinders.
    Table(&'a Limits),
    /// The cylinders of an overhaul: all of them, or the one with this index.
    Overhaul(Judged<'a>, Option<usize>),
}

/// The blank check sheets.
pub fn sheet(of: For<'_>, order: MeasuringOrder, page: PageSize) -> Document {
    let (limits, identity, cylinders): (&Limits, _, Vec<SheetCylinder>) = match of {
        For::Table(limits) => (limits, None, numbered(limits)),
        For::Overhaul(judged, chosen) => {
            let overhaul = judged.record.overhauls.get(judged.overhaul);
            let limits: &Limits = &judged.survey.limits;
            let cylinders = judged.survey.cylinders.iter().enumerate();
            let cylinders = cylinders.filter(|(index, _)| chosen.is_none_or(|chosen| chosen == *index));
            let cylinders: Vec<_> = cylinders
                .map(|(_, cylinder)| SheetCylinder {
                    position: cylinder.position.clone(),
                    serial: cylinder.serial.clone(),
                    size: words::size_words(cylinder, limits).to_owned(),
                    bore_limits: data::bore_limits(cylinder, limits),
                })
                .collect();
            let cylinders = if cylinders.is_empty() { numbered(limits) } else { cylinders };
            (limits, Some(data::identity(judged, overhaul)), cylinders)
        }
    };
    let content = CheckSheet {
        format: data::FORMAT,
        program: format!("Borewright {}", env!("CARGO_PKG_VERSION")),
        paper: page.name(),
        identity,
        illustrative: limits.illustrative.then_some(words::ILLUSTRATIVE),
        judged_by: words::judged_on(limits),
        datum: match limits.datum {
            Datum::HeadEnd => "head end",
            Datum::BaseEnd => "base end",
        },
        order: order.words(),
        unit: limits.unit.symbol(),
        axes: limits
            .axes
            .iter()
            .map(|axis| SheetAxis { label: data::axis_label(axis), optional: axis.optional })
            .collect(),
        stations: stations(limits, order),
        travel: travel(limits),
        cylinders,
        limits: data::limits_of(limits),
        findings: FindingKind::ALL.iter().map(|kind| kind.words().to_owned()).collect(),
        who_decides: words::WHO_DECIDES,
    };
    Document::new("sheet.typ", &content, Vec::new())
}

/// As many cylinders as the table's engine has, by number.
fn numbered(limits: &Limits) -> Vec<SheetCylinder> {
    let blank = |position: String| SheetCylinder {
        position,
        serial: String::new(),
        size: String::new(),
        bore_limits: String::new(),
    };
    match limits.cylinders {
        Some(count @ 1..=99) => (1..=count).map(|number| blank(number.to_string())).collect(),
        _ => vec![blank(String::new())],
    }
}

/// From where to where the barrel is drawn, counted from the datum, in millimetres.
fn extent(limits: &Limits) -> (f64, f64) {
    let depths = limits.stations.iter().map(|station| station.depth);
    let travel = limits.ring_travel.iter().flat_map(|(top, bottom)| [*top, *bottom]);
    let ends: Vec<f64> = depths.chain(travel).map(Length::to_mm).collect();
    let most = ends.iter().copied().fold(0.0, f64::max);
    let least = ends.iter().copied().fold(0.0, f64::min);
    (least, if most > least { most + 0.08 * (most - least) } else { least + 1.0 })
}

/// Where a depth lies on the barrel drawn: 0 at its head end.
fn share(limits: &Limits, depth: Length) -> f64 {
    let (least, most) = extent(limits);
    let share = ((depth.to_mm() - least) / (most - least)).clamp(0.0, 1.0);
    match limits.datum {
        Datum::HeadEnd => share,
        Datum::BaseEnd => 1.0 - share,
    }
}

fn travel(limits: &Limits) -> Option<(f64, f64)> {
    let (top, bottom) = limits.ring_travel?;
    let (a, b) = (share(limits, top), share(limits, bottom));
    Some((a.min(b), a.max(b)))
}

fn stations(limits: &Limits, order: MeasuringOrder) -> Vec<SheetStation> {
    let cells = order.cells(limits);
    let depth = drawings::depth_style(limits, Style::usual(limits.unit));
    let when = |station: usize, axis: usize| {
        cells.iter().position(|at| at.station == station && at.axis == axis).map_or(0, |index| index + 1)
    };
    let station = |(index, station): (usize, &records::limits::resolved::Station)| SheetStation {
        name: station.name.clone(),
        depth: station.depth.number(depth),
        role: station.role.words(),
        share: share(limits, station.depth),
        order: (0..limits.axes.len()).map(|axis| when(index, axis)).collect(),
    };
    limits.stations.iter().enumerate().map(station).collect()
}
