//! An invented bore, worn as a task wants it, and what the gauge shows of it: as a sheet, as a bore that can be judged, and
//! in a record.

use super::{Class, VERSION};
use crate::gauge::{Placing, Zero};
use crate::key::exact_text;
use crate::random::Random;
use crate::shape::{Frame, Oval, Shape};
use judging::Assessment;
use quantities::length::Length;
use records::bore::{Bore, Cell, Point};
use records::limits::rows::RowName;
use records::limits::schema::TableOfLimits;
use records::record::schema::{
    self, Engine, EngineRecord, Overhaul, Reading, SettingStandard, TableReference,
};
use records::survey::Cylinder;

/// The name of the practice gauge and of its ring in a record.
const GAUGE: &str = "practice gauge";
const RING: &str = "practice ring";

/// What the dial showed in each cell, as it was written down: deviations from the ring.
pub(super) type DialSheet = Vec<(Point, Vec<Length>)>;

impl Class<'_> {
    /// Whole graduations between two shares of a length, in hundredths.
    pub(super) fn share(&self, of: Length, least: i64, most: i64, random: &mut Random) -> Length {
        let hundredths = i128::from(of.tenths_of_nm()) * i128::from(random.between(least, most));
        let whole = hundredths / (100 * i128::from(self.step().tenths_of_nm().max(1)));
        self.step() * i64::try_from(whole).unwrap_or(0)
    }

    /// The serviceable limits of bore, taper, out-of-round and step; twenty graduations where there is none.
    fn allowed(&self) -> [Length; 4] {
        let limits = self.limits;
        let row = limits.sizes.first();
        let bore = row.and_then(|row| Some(row.serviceable.as_ref()?.length - row.new.1.length));
        let [taper, round, step] =
            [RowName::Taper, RowName::OutOfRound, RowName::Step].map(|row| limits.limit_of(row));
        let of = |bound: Option<Length>| bound.filter(|l| *l > Length::ZERO).unwrap_or(self.step() * 20);
        [of(bore), of(taper.map(|b| b.length)), of(round.map(|b| b.length)), of(step.map(|b| b.length))]
    }

    /// A worn bore: each kind of wear by so many hundredths of what the table allows, from and to.
    pub(super) fn worn(
        &self,
        even: (i64, i64),
        taper: (i64, i64),
        oval: (i64, i64),
        random: &mut Random,
    ) -> Shape {
        let [bore, most_taper, most_oval, _] = self.allowed();
        let size = crate::shape::as_made(self.limits, self.step(), random);
        let ridge = self.share(bore, even.0, even.1, random);
        let taper = self.share(most_taper, taper.0, taper.1, random);
        let amount = self.share(most_oval, oval.0, oval.1, random);
        let degrees = if random.coin() { 90.0 } else { 0.0 };
        let oval = Oval { amount, degrees };
        Shape { ridge, taper, oval, ..Shape::new(size, Frame::of(self.limits)) }
    }

    /// What the gauge shows in each place, set on its ring and held rightly: `repeats` of them.
    pub(super) fn sheet(
        &self,
        shape: &Shape,
        repeats: usize,
        scatter: Length,
        random: &mut Random,
    ) -> DialSheet {
        let mut sheet = DialSheet::new();
        for station in 0..self.limits.stations.len() {
            let Some(depth) = shape.frame.depth_of(self.limits, station) else { continue };
            for (axis, direction) in self.limits.axes.iter().enumerate().filter(|(_, a)| !a.optional) {
                let placing = Placing { depth, degrees: direction.degrees, ..Placing::default() };
                let read = |_| {
                    let scatter = random.scatter(scatter);
                    self.gauge.shows(shape, Zero::on(self.ring), placing, scatter).nearest
                };
                sheet.push((Point::new(station, axis), (0..repeats).map(read).collect()));
            }
        }
        sheet
    }

    pub(super) fn bore(&self, sheet: &DialSheet) -> Bore {
        let mut bore = Bore::new(self.limits.stations.len(), self.limits.axes.len());
        for (at, shown) in sheet {
            let diameters = shown.iter().map(|shown| self.gauge.diameter(*shown, self.ring)).collect();
            bore.set(*at, Cell::new(diameters, self.gauge.style(), 0));
        }
        bore
    }

    pub(super) fn judged(&self, sheet: &DialSheet) -> Assessment {
        let cylinder = Cylinder { size: Some(0), ..Cylinder::of_bore(self.bore(sheet)) };
        let setup = records::survey::Setup { standards: &[], gauges: &[], conditions: None };
        judging::judge(&cylinder, self.limits, setup)
    }

    /// A worn bore ([`Self::worn`]), what the gauge shows of it, each place once and without scatter, and what is judged of
    /// that.
    pub(super) fn worn_and_judged(
        &self,
        even: (i64, i64),
        taper: (i64, i64),
        oval: (i64, i64),
        random: &mut Random,
    ) -> (Shape, DialSheet, Assessment) {
        let shape = self.worn(even, taper, oval, random);
        let sheet = self.sheet(&shape, 1, Length::ZERO, random);
        let judged = self.judged(&sheet);
        (shape, sheet, judged)
    }

    /// A sheet as an engine record has it.
    pub(super) fn readings(&self, sheet: &DialSheet) -> Vec<Reading> {
        let name = |at: &Point| {
            let station = self.limits.stations.get(at.station)?.name.clone();
            Some((station, self.limits.axes.get(at.axis)?.label.clone()))
        };
        sheet
            .iter()
            .filter_map(|(at, shown)| {
                let (station, axis) = name(at)?;
                let entered = shown.iter().map(|shown| self.gauge.typed(*shown)).collect();
                Some(Reading { station, axis, gauge: None, entered, confirmed: String::new() })
            })
            .collect()
    }

    pub(super) fn record(
        &self,
        seed: u64,
        table: TableOfLimits,
        cylinders: Vec<schema::Cylinder>,
    ) -> EngineRecord {
        let overhaul = Overhaul {
            date: jiff::civil::date(2000, 1, 1),
            total_hours: None,
            hours_since_overhaul: None,
            inspector: schema::Inspector::default(),
            limits: Some(TableReference {
                identity: table.identity.clone(),
                revision: table.revision.clone(),
            }),
            unit: self.unit(),
            standards: vec![SettingStandard {
                name: RING.to_owned(),
                size: exact_text(self.ring, self.unit()),
                calibration: None,
                expansion_ppm: None,
            }],
            gauges: vec![self.gauge.in_record(GAUGE, Some(RING))],
            temperatures: None,
            cylinders,
            seal: None,
            remarks: format!(
                "Practice, seed {seed}, exercise version {VERSION}. Invented: for no real engine. Each cylinder's \
                 remarks hold its task; write your name as the inspector's."
            ),
        };
        EngineRecord {
            format: schema::FORMAT,
            engine: Engine {
                model: "Practice (invented)".to_owned(),
                serial: format!("PRACTICE-{seed}"),
                ..Engine::default()
            },
            tables: vec![table],
            overhauls: vec![overhaul],
            remarks: String::new(),
        }
    }
}
