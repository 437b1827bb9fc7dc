//! From what was typed to exact lengths: one overhaul of a record becomes a [`Survey`].
//!
//! Nothing is guessed. An entry that cannot be read is told with its place and left out, and the cylinder
//! remembers that something was left out, so that it cannot pass.

mod earlier;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::check;
use super::schema::{self, Distribution, EngineRecord, Overhaul, PlusMeans, Reads};
use crate::bore::{Bore, Cell, Point};
use crate::diag::{Diagnostic, FieldPath, PathStep, WithDiagnostics, likely_intended};
use crate::limits::Limits;
use crate::limits::schema::{FitKind, TableOfLimits, Value};
use crate::limits::{validate, value};
use crate::survey::{
    Conditions, Cylinder, Expansion, Finding, Further, Gauge, MeasuredFit, MeasuredGap, REFERENCE_C,
    Standard, Survey, Uncertainty, factor_to_20_c,
};
use crate::wording::bounded;
use quantities::area::Area;
use quantities::length::{Entry, Length, LengthError, Style, Unit};
use quantities::mass::Mass;
use quantities::moments;

/// Fields of a cylinder that have no part in the outcome of its bore.
const PARTS: [&str; 3] = ["fits", "ring_gaps", "piston_weight"];

/// The smallest and largest diameter that can be a bore's: 1 mm and 10 m.
pub const PLAUSIBLE_BORE_MM: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;

/// The most repeats that a cell can hold.
pub const MOST_REPEATS: usize = 50;

/// Reads one overhaul of a record, by the table of limits it names or by `limits` if given.
///
/// The survey is `None` if there is no such overhaul or no table that can be judged by.
pub fn survey(
    record: &EngineRecord,
    overhaul: usize,
    limits: Option<Arc<Limits>>,
) -> WithDiagnostics<Option<Survey>> {
    Surveyor::new(record, limits).survey(overhaul)
}

/// Reads overhauls of a record, as [`survey`] does. A table that several are judged by is resolved once, and what is
/// wrong with it told once.
pub struct Surveyor<'a> {
    record: &'a EngineRecord,
    given: Option<Arc<Limits>>,
    /// The record's tables that were resolved; none: one that cannot be used, which is told.
    resolved: BTreeMap<usize, Option<Arc<Limits>>>,
}

impl<'a> Surveyor<'a> {
    /// For a record, by its own tables or by `limits` if given.
    pub fn new(record: &'a EngineRecord, limits: Option<Arc<Limits>>) -> Self {
        Self { record, given: limits, resolved: BTreeMap::new() }
    }

    fn limits(&mut self, overhaul: &Overhaul, path: &FieldPath) -> Result<Arc<Limits>, Vec<Diagnostic>> {
        if let Some(given) = &self.given {
            return Ok(Arc::clone(given));
        }
        let index = table_of(self.record, overhaul).map(|(index, _)| index);
        if let Some(resolved) = index.and_then(|index| self.resolved.get(&index)) {
            return resolved.clone().ok_or_else(Vec::new);
        }
        let limits = limits_of(self.record, overhaul, path);
        if let Some(index) = index {
            self.resolved.insert(index, limits.as_ref().ok().cloned());
        }
        limits
    }

    /// Reads one overhaul.
    pub fn survey(&mut self, overhaul: usize) -> WithDiagnostics<Option<Survey>> {
        let record = self.record;
        let Some(found) = record.overhauls.get(overhaul) else {
            let error = Diagnostic::error("the record has no overhaul yet")
                .at(FieldPath::default().field("overhauls"))
                .remedy("Write one under `overhauls`.");
            return WithDiagnostics { value: None, diagnostics: vec![error] };
        };
        let path = FieldPath::default().field("overhauls").element(overhaul);
        let limits = match self.limits(found, &path) {
            Ok(limits) => limits,
            Err(diagnostics) => return WithDiagnostics { value: None, diagnostics },
        };
        let mut reader = Reader { limits: &limits, unit: found.unit, diagnostics: Vec::new() };
        let mut survey = reader.overhaul(found, &limits, &path);
        earlier::find(record, overhaul, &mut survey);
        let mut diagnostics = reader.diagnostics;
        diagnostics.sort_by_key(|diagnostic| std::cmp::Reverse(diagnostic.severity));
        WithDiagnostics { value: Some(survey), diagnostics }
    }
}

/// The table of limits that an overhaul of a record is judged by, as written, and its index: the one it names, or
/// the only one there is if it names none.
pub fn table_of<'a>(record: &'a EngineRecord, overhaul: &Overhaul) -> Option<(usize, &'a TableOfLimits)> {
    let mut tables = record.tables.iter().enumerate();
    match &overhaul.limits {
        Some(named) => {
            tables.find(|(_, table)| table.identity == named.identity && table.revision == named.revision)
        }
        None => tables.next().filter(|_| record.tables.len() == 1),
    }
}

/// Has another table of the record than the one at `index` this one's identity and revision already?
pub fn is_taken(record: &EngineRecord, index: usize, table: &TableOfLimits) -> bool {
    let same =
        |other: &TableOfLimits| (&other.identity, &other.revision) == (&table.identity, &table.revision);
    record.tables.iter().enumerate().any(|(i, other)| i != index && same(other))
}

/// The table of limits that an overhaul of a record names; the only one there is if it names none.
///
/// # Errors
/// No such table, or one that holds an error.
pub fn limits_of(
    record: &EngineRecord,
    overhaul: &Overhaul,
    path: &FieldPath,
) -> Result<Arc<Limits>, Vec<Diagnostic>> {
    let path = path.field("limits");
    let Some((index, table)) = table_of(record, overhaul) else {
        return Err(vec![no_table(record, overhaul).at(path)]);
    };
    validate::sound(table, &FieldPath::default().field("tables").element(index)).map(Arc::new)
}

/// Why an overhaul is judged by no table of its record.
fn no_table(record: &EngineRecord, overhaul: &Overhaul) -> Diagnostic {
    let Some(named) = &overhaul.limits else {
        return Diagnostic::error("the overhaul names no table of limits")
            .remedy("Write limits: (identity: \"...\", revision: \"...\"), or give one with --limits.");
    };
    let known = record.tables.iter().map(|table| format!("{} revision {}", table.identity, table.revision));
    let known: Vec<_> = known.collect();
    let remedy = if known.is_empty() {
        "Add the table under `tables`, or give one with --limits.".to_owned()
    } else {
        format!("The record holds: {}.", known.join("; "))
    };
    Diagnostic::error(format!(
        "the record holds no table of limits `{}` revision `{}`",
        named.identity, named.revision
    ))
    .remedy(remedy)
}

/// What readings are read with.
struct Tools {
    standards: Vec<Standard>,
    gauges: Vec<Gauge>,
    /// The index of the first gauge of each name.
    named: BTreeMap<String, usize>,
    /// How to read an entry of each gauge.
    reads: Vec<(Reads, PlusMeans)>,
    conditions: Option<Conditions>,
}

struct Reader<'a> {
    limits: &'a Limits,
    unit: Unit,
    diagnostics: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn error(&mut self, path: FieldPath, place: &str, message: impl Into<String>, remedy: impl Into<String>) {
        self.diagnostics.push(Diagnostic::error(message).at(path).place(place).remedy(remedy));
    }

    /// Reads a length. The way to it is made only where it is needed: there are thousands of lengths, and few are wrong.
    fn length(&mut self, text: &str, path: impl FnOnce() -> FieldPath, place: &str) -> Option<Entry> {
        Length::parse(text, self.unit).map_err(|error| self.error(path(), place, error.to_string(), "")).ok()
    }

    fn optional(
        &mut self,
        text: Option<&String>,
        path: impl FnOnce() -> FieldPath,
        place: &str,
    ) -> Option<(Length, Style)> {
        self.length(text?, path, place).map(|entry| (entry.length, entry.style))
    }

    fn overhaul(&mut self, overhaul: &Overhaul, limits: &Arc<Limits>, path: &FieldPath) -> Survey {
        let mut tools = self.tools(overhaul, path);
        let contradictions = check::errors_in_cylinders(overhaul, path);
        let cylinders = path.field("cylinders");
        let mut of_cylinder: BTreeMap<usize, Vec<&Diagnostic>> = BTreeMap::new();
        for error in &contradictions {
            if let Some([PathStep::Element(index), ..]) = error.path.after(&cylinders) {
                of_cylinder.entry(*index).or_default().push(error);
            }
        }
        let cylinders: Vec<Cylinder> = overhaul
            .cylinders
            .iter()
            .enumerate()
            .map(|(i, cylinder)| {
                let contradictions = of_cylinder.get(&i).map_or(&[][..], Vec::as_slice);
                self.cylinder(cylinder, &tools, contradictions, &cylinders.element(i))
            })
            .collect();
        self.diagnostics.extend(contradictions);
        pool_repeatability(&mut tools.gauges, cylinders.iter().map(|cylinder| &cylinder.bore));
        Survey {
            limits: Arc::clone(limits),
            standards: tools.standards,
            gauges: tools.gauges,
            conditions: tools.conditions,
            cylinders,
        }
    }

    fn certificate(
        &mut self,
        calibration: &schema::Calibration,
        path: &FieldPath,
        place: &str,
    ) -> Option<Uncertainty> {
        let entry =
            self.length(&calibration.expanded_uncertainty, || path.field("expanded_uncertainty"), place)?;
        let u = entry.length.abs().to_mm() / calibration.k;
        Some(Uncertainty::new(u, calibration.dof.unwrap_or(f64::INFINITY)))
    }

    /// Reads what an overhaul was measured with, and says of each gauge why its readings cannot be judged.
    fn tools(&mut self, overhaul: &Overhaul, path: &FieldPath) -> Tools {
        let before = self.diagnostics.len();
        self.diagnostics.extend(check::errors_in_tools(overhaul, path));
        let mut tools = self.tools_as_written(overhaul, path);
        let bearing = Bearing::new(overhaul);
        let mut reported = BTreeSet::new();
        for error in
            self.diagnostics.get(before..).unwrap_or_default().iter().filter(|reported| reported.is_error())
        {
            let place = error.place.split_once(", ").map_or(error.place.as_str(), |(_, place)| place);
            let what = match place {
                "" => error.message.clone(),
                _ if matches!(error.path.after(path), Some([PathStep::Field("temperatures"), ..])) => {
                    format!("temperatures: {}", error.message)
                }
                place => format!("{place}: {}", error.message),
            };
            let gauges = match error.path.after(path) {
                Some([PathStep::Field("temperatures"), ..]) => None,
                Some([PathStep::Field("standards"), PathStep::Element(wrong), ..]) => {
                    Some(bearing.of_standard(*wrong))
                }
                Some([PathStep::Field("gauges"), PathStep::Element(wrong), ..]) => {
                    Some(bearing.of_gauge(*wrong))
                }
                _ => Some(&[][..]),
            };
            // Of gauges that go by one name each error is found again and again.
            if !reported.insert((what.clone(), gauges.and_then(<[usize]>::first).copied())) {
                continue;
            }
            let mut add = |gauge: &mut Gauge| {
                if !gauge.unusable.contains(&what) {
                    gauge.unusable.push(what.clone());
                }
            };
            match gauges {
                None => tools.gauges.iter_mut().for_each(add),
                Some(gauges) => {
                    for &index in gauges {
                        tools.gauges.get_mut(index).into_iter().for_each(&mut add);
                    }
                }
            }
        }
        tools
    }

    fn tools_as_written(&mut self, overhaul: &Overhaul, path: &FieldPath) -> Tools {
        let mut standards = Vec::new();
        for (i, standard) in overhaul.standards.iter().enumerate() {
            let path = path.field("standards").element(i);
            let place = format!("setting standard {}", standard.name);
            let Some(size) = self.length(&standard.size, || path.field("size"), &place) else { continue };
            let calibration = standard
                .calibration
                .as_ref()
                .and_then(|calibration| self.certificate(calibration, &path.field("calibration"), &place));
            standards.push(Standard { name: standard.name.clone(), size: size.length, calibration });
        }
        let mut gauges = Vec::new();
        for (i, gauge) in overhaul.gauges.iter().enumerate() {
            let standard = gauge.zeroed_on.as_ref();
            let standard = standard.and_then(|name| overhaul.standards.iter().find(|s| s.name == *name));
            let expansion = standard.and_then(|standard| standard.expansion_ppm).or(gauge.expansion_ppm);
            let read = self.gauge(gauge, &standards, &path.field("gauges").element(i));
            gauges.push(Gauge { expansion: Expansion::of_ppm(expansion), ..read });
        }
        let mut reads: Vec<_> = overhaul.gauges.iter().map(|g| (g.reads, g.plus_means)).collect();
        if gauges.is_empty() {
            gauges.push(Gauge { name: "the gauge used".to_owned(), ..Gauge::default() });
            reads.push((Reads::Diameter, PlusMeans::Larger));
        }
        let conditions = overhaul.temperatures.as_ref().map(|temperatures| {
            let barrel_ppm = temperatures.barrel_expansion_ppm.or(self.limits.barrel_expansion_ppm);
            Conditions {
                barrel_c: temperatures.barrel,
                gauge_c: temperatures.gauge,
                barrel: Expansion::of_ppm(barrel_ppm),
                difference: temperatures.within.map(Uncertainty::rectangular),
                expansion_difference: temperatures
                    .expansion_within_ppm
                    .map(|ppm| Uncertainty::rectangular(ppm * 1e-6)),
                suppose_steel: temperatures.correct_readings,
            }
        });
        let mut named = BTreeMap::new();
        for (i, gauge) in gauges.iter().enumerate() {
            named.entry(gauge.name.clone()).or_insert(i);
        }
        Tools { standards, gauges, named, reads, conditions }
    }

    fn gauge(&mut self, gauge: &schema::Gauge, standards: &[Standard], path: &FieldPath) -> Gauge {
        let place = format!("gauge {}", gauge.name);
        let standard = gauge
            .zeroed_on
            .as_ref()
            .and_then(|name| standards.iter().position(|standard| standard.name == *name));
        let mut graduation = None;
        if let Some(text) = &gauge.graduation {
            match self.length(text, || path.field("graduation"), &place) {
                Some(entry) if entry.length > Length::ZERO => graduation = Some(entry.length),
                Some(_) => self.error(
                    path.field("graduation"),
                    &place,
                    "a graduation must be above 0",
                    "Write the smallest division of the gauge, on the diameter.",
                ),
                None => {}
            }
        }
        let turn = gauge.turn.as_ref().and_then(|text| self.length(text, || path.field("turn"), &place));
        let calibration = gauge
            .calibration
            .as_ref()
            .and_then(|calibration| self.certificate(calibration, &path.field("calibration"), &place));
        let repeatability = gauge.repeatability.as_ref().and_then(|study| {
            let path = || path.field("repeatability").field("standard_deviation");
            let entry = self.length(&study.standard_deviation, path, &place)?;
            Some(Uncertainty::new(entry.length.abs().to_mm(), study.dof))
        });
        let mut further = Vec::new();
        for (i, source) in gauge.further.iter().enumerate() {
            let path = || path.field("further").element(i).field("half_width");
            let Some(half_width) = self.length(&source.half_width, path, &place) else { continue };
            further.push(Further {
                source: source.source.clone(),
                uncertainty: source.distribution.uncertainty(half_width.length.abs().to_mm(), source.dof),
                common: source.common,
            });
        }
        Gauge {
            name: gauge.name.clone(),
            graduation,
            turn: turn.map(|entry| entry.length),
            standard,
            calibration,
            repeatability,
            pooled: false,
            expansion: Expansion::default(),
            further,
            unusable: Vec::new(),
        }
    }

    /// Reads a cylinder. `contradictions` are its errors that were found without reading it.
    fn cylinder(
        &mut self,
        cylinder: &schema::Cylinder,
        tools: &Tools,
        contradictions: &[&Diagnostic],
        path: &FieldPath,
    ) -> Cylinder {
        let mut read = Cylinder {
            position: cylinder.position.clone(),
            serial: cylinder.serial.clone(),
            size: None,
            finished_to: None,
            tagged: cylinder.tagged,
            cleaned: cylinder.cleaned,
            looked_over: cylinder.looked_over,
            findings: Vec::new(),
            bore: Bore::new(self.limits.stations.len(), self.limits.axes.len()),
            fits: Vec::new(),
            ring_gaps: Vec::new(),
            piston_weight: None,
            earlier: None,
            disposition: cylinder.disposition.clone(),
            unreadable: Vec::new(),
            unread: Vec::new(),
        };
        let place = bounded(read.words());
        let before = self.diagnostics.len();
        match value::oversize(&cylinder.size, self.unit) {
            Ok(oversize) => {
                read.size = self.limits.size_index(oversize);
                if read.size.is_none() {
                    let known: Vec<_> = self.limits.sizes.iter().map(|row| row.name.as_str()).collect();
                    self.error(
                        path.field("size"),
                        &place,
                        "the table of limits has no row for this size",
                        format!("It has: {}.", known.join(", ")),
                    );
                }
            }
            Err(error) => self.error(path.field("size"), &place, error.to_string(), ""),
        }
        read.finished_to = self.optional(cylinder.finished_to.as_ref(), || path.field("finished_to"), &place);
        if let Some((finished, style)) = read.finished_to
            && !PLAUSIBLE_BORE_MM.contains(&finished.to_mm())
        {
            let message = format!("{} is a diameter that no bore has", finished.text(style));
            let remedy = "Check the digits, the sign and the unit of the last-finished size.";
            self.error(path.field("finished_to"), &place, message, remedy);
            read.finished_to = None;
        }
        for (i, finding) in cylinder.findings.iter().enumerate() {
            let finding = self.finding(finding, &path.field("findings").element(i), &place);
            read.findings.push(finding);
        }
        for (i, reading) in cylinder.readings.iter().enumerate() {
            let path = || path.field("readings").element(i);
            self.reading(reading, tools, &mut read, &path, &place);
        }
        let readings_end = self.diagnostics.len();
        let fits_twice = written_twice(cylinder.fits.iter().map(|fit| fit.row.as_str()));
        let mut wrong_fits = BTreeMap::new();
        for error in contradictions {
            if let Some([PathStep::Field("fits"), PathStep::Element(fit), ..]) = error.path.after(path) {
                wrong_fits.entry(*fit).or_insert(*error);
            }
        }
        let gaps_twice = written_twice(cylinder.ring_gaps.iter().map(|gap| gap.row.as_str()));
        for (i, fit) in cylinder.fits.iter().enumerate() {
            let path = path.field("fits").element(i);
            let contradicted = wrong_fits.get(&i).copied();
            let twice = fits_twice.contains(fit.row.as_str());
            let before = self.diagnostics.len();
            if twice {
                self.written_twice(&path, &format!("{place}, fit {}", fit.row));
            }
            let reported = self.diagnostics.get(before).or(contradicted).map(|error| error.message.clone());
            let barrel_c = tools.conditions.as_ref().map_or(REFERENCE_C, |conditions| conditions.barrel_c);
            let read_fit = self.fit(fit, &path, &place, (read.size, barrel_c));
            read.fits.extend(read_fit.map(|fit| MeasuredFit { unusable: fit.unusable.or(reported), ..fit }));
        }
        for (i, gap) in cylinder.ring_gaps.iter().enumerate() {
            let path = path.field("ring_gaps").element(i);
            let twice = gaps_twice.contains(gap.row.as_str());
            if twice {
                self.written_twice(&path, &format!("{place}, ring gap {}", gap.row));
            }
            let gap = self.ring_gap(gap, &path, &place);
            read.ring_gaps.extend(gap.filter(|_| !twice));
        }
        if let Some(text) = &cylinder.piston_weight {
            match Mass::parse(text) {
                Ok(mass) => read.piston_weight = Some(mass),
                Err(error) => self.error(path.field("piston_weight"), &place, error.to_string(), ""),
            }
        }
        // Only what bears on the bore's outcome keeps a cylinder from passing.
        let of_bore = |error: &&&Diagnostic| match error.path.after(path) {
            Some([PathStep::Field(field), ..]) => !PARTS.contains(field),
            _ => false,
        };
        let contradictions = contradictions.iter().filter(of_bore).copied();
        let prefix = format!("{place}, ");
        let reported = self.diagnostics.get(before..readings_end).unwrap_or_default().iter();
        read.unreadable = reported
            .filter(|diagnostic| diagnostic.is_error())
            .chain(contradictions)
            .map(|diagnostic| match diagnostic.place.strip_prefix(&prefix) {
                Some(place) => format!("{place}: {}", diagnostic.message),
                None => diagnostic.message.clone(),
            })
            .collect();
        let used: BTreeSet<Option<&str>> = cylinder.readings.iter().map(|r| r.gauge.as_deref()).collect();
        for (index, gauge) in tools.gauges.iter().enumerate() {
            let is_used = used.contains(&Some(gauge.name.as_str())) || index == 0 && used.contains(&None);
            if !gauge.unusable.is_empty() && is_used {
                read.unreadable.extend(gauge.unusable.iter().cloned());
            }
        }
        read.unreadable.dedup();
        read
    }

    fn station(&mut self, name: &str, location: impl FnOnce() -> (FieldPath, String)) -> Option<usize> {
        let found = self.limits.station_index(name);
        if found.is_none() {
            let known = self.limits.stations.iter().map(|station| station.name.as_str());
            let (path, place) = location();
            self.unknown("station", name, known.collect(), path, &place);
        }
        found
    }

    /// Tells of a name that the table of limits does not have.
    fn unknown(&mut self, what: &str, name: &str, known: Vec<&str>, path: FieldPath, place: &str) {
        let remedy = match likely_intended(name, known.iter().copied()) {
            Some(likely) => format!("Is `{likely}` meant? The table has: {}.", known.join(", ")),
            None => format!("The table has: {}.", known.join(", ")),
        };
        self.error(path, place, format!("the table of limits has no {what} `{name}`"), remedy);
    }

    fn reading(
        &mut self,
        reading: &schema::Reading,
        tools: &Tools,
        read: &mut Cylinder,
        path: &dyn Fn() -> FieldPath,
        cylinder: &str,
    ) {
        let place = || format!("{cylinder}, station {}, axis {}", reading.station, reading.axis);
        let station = self.station(&reading.station, || (path().field("station"), place()));
        let axis = self.limits.axis_index(&reading.axis);
        if axis.is_none() {
            let known = self.limits.axes.iter().map(|axis| axis.label.as_str()).collect();
            self.unknown("axis", &reading.axis, known, path().field("axis"), &place());
        }
        let gauge = match &reading.gauge {
            None => Some(0),
            Some(name) => {
                let found = tools.named.get(name).copied();
                if found.is_none() {
                    let remedy = likely_intended(name, tools.gauges.iter().map(|gauge| gauge.name.as_str()))
                        .map_or("Write it under `gauges`.".to_owned(), |likely| {
                            format!("Is `{likely}` meant?")
                        });
                    let message = format!("the overhaul has no gauge `{name}`");
                    self.error(path().field("gauge"), &place(), message, remedy);
                }
                found
            }
        };
        let (Some(station), Some(axis)) = (station, axis) else { return };
        let at = Point::new(station, axis);
        // Its error is told once, where the gauge stands; a number read with it means nothing.
        let usable = |gauge: &usize| tools.gauges.get(*gauge).is_some_and(|gauge| gauge.unusable.is_empty());
        let Some(gauge) = gauge.filter(usable) else {
            read.unread.push(at);
            return;
        };
        if reading.entered.len() > MOST_REPEATS {
            self.error(
                path().field("entered"),
                &place(),
                format!(
                    "{} repeats are more than the {MOST_REPEATS} that a cell can hold",
                    reading.entered.len()
                ),
                format!("Keep the {MOST_REPEATS} that count."),
            );
            read.unread.push(at);
            return;
        }
        let factor = factor_to_20_c(tools.conditions.as_ref(), tools.gauges.get(gauge));
        let (mut repeats, mut style) = (Vec::with_capacity(reading.entered.len()), None);
        for (i, text) in reading.entered.iter().enumerate() {
            let path = || path().field("entered").element(i);
            match diameter(text, gauge, tools, self.unit) {
                Ok(entry) if PLAUSIBLE_BORE_MM.contains(&entry.length.to_mm()) => {
                    repeats.push(entry.length);
                    style.get_or_insert(entry.style);
                }
                Ok(entry) => self.error(
                    path(),
                    &place(),
                    format!(
                        "`{text}` makes a diameter of {}, which no bore has",
                        entry.length.text(entry.style)
                    ),
                    "Check the digits, the sign and the unit.",
                ),
                Err(error) => self.error(path(), &place(), error.to_string(), ""),
            }
        }
        let Some(style) = style else {
            read.unread.push(at);
            return;
        };
        let cell = Cell::at_20_c(repeats, factor, style, gauge);
        let cell = cell.map(|cell| cell.confirmed(!reading.confirmed.is_empty()));
        if let Some(first) = read.bore.set(at, cell) {
            // The first one stays; two cells at one place contradict each other.
            read.bore.set(at, Some(first));
            self.error(
                path(),
                &place(),
                "this station and axis are written twice",
                "Put repeats into one list, or correct the station or axis of one of them.",
            );
        }
    }

    fn finding(&mut self, finding: &schema::Finding, path: &FieldPath, cylinder: &str) -> Finding {
        let place = format!("{cylinder}, {}", finding.kind.words());
        let station = finding
            .station
            .as_ref()
            .and_then(|name| self.station(name, || (path.field("station"), place.clone())));
        let area = finding.area.as_ref().and_then(|text| {
            let read = Area::parse(text);
            read.map_err(|error| self.error(path.field("area"), &place, error.to_string(), "")).ok()
        });
        let mut amount = |text: &Option<String>, field| {
            let read = self.optional(text.as_ref(), || path.field(field), &place);
            if read.is_some_and(|(length, _)| length < Length::ZERO) {
                self.error(path.field(field), &place, "a negative amount", "Write it without a sign.");
                return None;
            }
            read
        };
        Finding {
            kind: finding.kind,
            place: finding.place.clone(),
            station,
            degrees: finding.degrees,
            size: amount(&finding.size, "size"),
            depth: amount(&finding.depth, "depth"),
            fins: finding.fins.unwrap_or(1).max(1),
            area,
            done: finding.done.clone(),
        }
    }

    /// Reads a pair of parts. `size` is the bore's, `barrel_c` the temperature at which its readings were taken.
    fn fit(
        &mut self,
        fit: &schema::Fit,
        path: &FieldPath,
        cylinder: &str,
        (size, barrel_c): (Option<usize>, f64),
    ) -> Option<MeasuredFit> {
        let place = format!("{cylinder}, fit {}", fit.row);
        let limits = self.limits;
        let Some(index) = limits.fits.iter().position(|row| row.limits.source.reference == fit.row) else {
            let known = limits.fits.iter().map(|row| row.limits.source.reference.as_str()).collect();
            self.unknown("fit", &fit.row, known, path.field("row"), &place);
            return None;
        };
        let row = limits.fits.get(index)?;
        let before = self.diagnostics.len();
        let hole = self.optional(fit.hole.as_ref(), || path.field("hole"), &place);
        let shaft = self.optional(fit.shaft.as_ref(), || path.field("shaft"), &place);
        let clearance = fit.clearance.as_ref().and_then(|text| {
            match value::parse(&Value::from(text.as_str()), self.unit) {
                Ok(printed) => Some((printed.entry.length, printed.entry.style)),
                Err(error) => {
                    self.error(path.field("clearance"), &place, error.to_string(), "");
                    None
                }
            }
        });
        if fit.hole.is_none()
            && row.limits.kind == FitKind::SkirtInBore
            && let Some(celsius) = fit.hole_temperature.filter(|&celsius| celsius != barrel_c)
        {
            let message = format!(
                "the hole is the bore, whose readings were taken at {barrel_c} °C, and {celsius} °C is written here"
            );
            let remedy = "Write the barrel's temperature under `temperatures`, and none here.";
            self.error(path.field("hole_temperature"), &place, message, remedy);
        }
        let parts = [
            (["hole", "hole_temperature"], fit.hole_temperature, row.hole, fit.hole.is_some()),
            (["shaft", "shaft_temperature"], fit.shaft_temperature, row.shaft, fit.shaft.is_some()),
        ];
        let [hole_factor, shaft_factor] = parts.map(|([name, field], celsius, part, is_measured)| {
            let celsius = celsius.filter(|&celsius| celsius != REFERENCE_C)?;
            let field = path.field(field);
            if fit.clearance.is_some() {
                let message = format!("the clearance itself was measured, with the {name} at {celsius} °C");
                let remedy = "Measure it at 20 °C, or write the sizes of both parts instead.";
                self.error(field, &place, message, remedy);
                return None;
            }
            let part = part.and_then(|part| limits.part_row(part, size));
            let Some(ppm) = part.and_then(|part| part.expansion_ppm).filter(|_| is_measured) else {
                if is_measured {
                    let message =
                        format!("the {name} was at {celsius} °C, and the table does not say how it expands");
                    let remedy =
                        "Write expansion_ppm with the part in the table of limits, or measure at 20 °C.";
                    self.error(field, &place, message, remedy);
                }
                return None;
            };
            Some(1.0 - Expansion::of_ppm(Some(ppm)).growth(celsius))
        });
        let at_20_c = |size: Option<(Length, Style)>, factor: Option<f64>| {
            size.map(|(length, style)| (length.scaled(factor.unwrap_or(1.0)), style))
        };
        let errors = self.diagnostics.get(before..).unwrap_or_default();
        Some(MeasuredFit {
            row: index,
            hole: at_20_c(hole, hole_factor),
            shaft: at_20_c(shaft, shaft_factor),
            clearance,
            unusable: errors
                .iter()
                .find(|reported| reported.is_error())
                .map(|reported| reported.message.clone()),
        })
    }

    /// Two measurements of one row contradict each other: neither counts.
    fn written_twice(&mut self, path: &FieldPath, place: &str) {
        let remedy = "Keep the one that holds, or correct the row of the other.";
        self.error(path.field("row"), place, "this row is written twice, so neither counts", remedy);
    }

    fn ring_gap(&mut self, gap: &schema::RingGap, path: &FieldPath, cylinder: &str) -> Option<MeasuredGap> {
        let place = format!("{cylinder}, ring gap {}", gap.row);
        let rows = &self.limits.ring_gaps;
        let row = rows.iter().position(|row| row.source.reference == gap.row);
        if row.is_none() {
            let known = rows.iter().map(|row| row.source.reference.as_str()).collect();
            self.unknown("ring gap", &gap.row, known, path.field("row"), &place);
        }
        let station = self.station(&gap.station, || (path.field("station"), place.clone()));
        let entry = self.length(&gap.gap, || path.field("gap"), &place)?;
        Some(MeasuredGap { row: row?, gap: entry.length, style: entry.style, station: station? })
    }
}

/// The rows that are named more than once.
fn written_twice<'a>(rows: impl Iterator<Item = &'a str>) -> BTreeSet<&'a str> {
    let mut seen = BTreeSet::new();
    rows.filter(|row| !seen.insert(*row)).collect()
}

impl Distribution {
    /// What a half-width is divided by for a standard uncertainty (JCGM 100, 4.3).
    pub fn divisor(self) -> f64 {
        match self {
            Self::Normal { k } => k,
            Self::Rectangular => 3_f64.sqrt(),
            Self::Triangular => 6_f64.sqrt(),
            Self::Arcsine => 2_f64.sqrt(),
        }
    }

    /// The uncertainty of a half-width; degrees of freedom that are not given are taken as infinite.
    fn uncertainty(self, half_width: f64, dof: Option<f64>) -> Uncertainty {
        let ends = match self {
            Self::Rectangular | Self::Triangular | Self::Arcsine => dof.is_none(),
            Self::Normal { .. } => false,
        };
        let (u, dof) = (half_width / self.divisor(), dof.unwrap_or(f64::INFINITY));
        Uncertainty { u, dof, half_width: ends.then_some(half_width) }
    }
}

/// Which gauges of an overhaul an error bears on. Where two have one name, either may be meant.
struct Bearing<'a> {
    overhaul: &'a Overhaul,
    /// The gauges of each name.
    named: BTreeMap<&'a str, Vec<usize>>,
    /// The gauges that are zeroed on the standard of each name.
    zeroed_on: BTreeMap<&'a str, Vec<usize>>,
}

impl<'a> Bearing<'a> {
    fn new(overhaul: &'a Overhaul) -> Self {
        let mut bearing = Self { overhaul, named: BTreeMap::new(), zeroed_on: BTreeMap::new() };
        for (i, gauge) in overhaul.gauges.iter().enumerate() {
            bearing.named.entry(&gauge.name).or_default().push(i);
            if let Some(standard) = &gauge.zeroed_on {
                bearing.zeroed_on.entry(standard).or_default().push(i);
            }
        }
        bearing
    }

    /// On those that an error in a gauge bears on.
    fn of_gauge(&self, index: usize) -> &[usize] {
        let gauge = self.overhaul.gauges.get(index);
        gauge.and_then(|gauge| self.named.get(gauge.name.as_str())).map_or(&[], Vec::as_slice)
    }

    /// On those that an error in a setting standard bears on.
    fn of_standard(&self, index: usize) -> &[usize] {
        let standard = self.overhaul.standards.get(index);
        standard.and_then(|standard| self.zeroed_on.get(standard.name.as_str())).map_or(&[], Vec::as_slice)
    }
}

/// Why a typed entry stands for no diameter.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadingError {
    /// The text is no length, or no number of graduations.
    #[error(transparent)]
    Text(#[from] LengthError),
    /// The gauge counts graduations, and the size of one is not known.
    #[error(
        "the gauge counts graduations, and it is not written what one is worth; write its graduation first"
    )]
    NoGraduation,
    /// The gauge reads a deviation, and what it was set on is not known.
    #[error(
        "the gauge reads a deviation, and its setting standard is not written; choose the standard first"
    )]
    NoStandard,
    /// Something is wrong with the gauge, its standard or the temperatures.
    #[error("readings of this gauge are not judged: {0}")]
    Unusable(String),
}

/// The diameter that an entry of a gauge stands for, as read.
fn diameter(text: &str, gauge: usize, tools: &Tools, unit: Unit) -> Result<Entry, ReadingError> {
    let reads = tools.reads.get(gauge).copied().unwrap_or_default();
    let found = tools.gauges.get(gauge);
    let standard = found.and_then(|gauge| gauge.standard).and_then(|index| tools.standards.get(index));
    let graduation = found.and_then(|gauge| gauge.graduation);
    let standard = standard.map(|standard| standard.size);
    read_entry(text, reads, graduation, standard, unit)
}

/// The diameter that a typed entry stands for, as the gauge is set and as read: not brought to 20 °C yet
/// ([`Survey::factor_to_20_c`]).
///
/// # Errors
/// [`ReadingError`]
pub fn read_entry(
    text: &str,
    (reads, plus_means): (Reads, PlusMeans),
    graduation: Option<Length>,
    standard: Option<Length>,
    unit: Unit,
) -> Result<Entry, ReadingError> {
    let entry = match (reads, graduation) {
        (Reads::Graduations, Some(graduation)) => Length::parse_graduations(text, graduation, unit)?,
        (Reads::Graduations, None) => return Err(ReadingError::NoGraduation),
        (Reads::Diameter | Reads::Deviation, _) => Length::parse(text, unit)?,
    };
    let read = match (reads, standard) {
        (Reads::Diameter, _) => entry.length,
        (Reads::Deviation | Reads::Graduations, None) => return Err(ReadingError::NoStandard),
        (Reads::Deviation | Reads::Graduations, Some(standard)) => {
            standard
                + match plus_means {
                    PlusMeans::Larger => entry.length,
                    PlusMeans::Smaller => -entry.length,
                }
        }
    };
    Ok(Entry { length: read, style: entry.style })
}

/// Gives each gauge without a study the standard deviation pooled from its cells with repeats.
pub fn pool_repeatability<'a>(gauges: &mut [Gauge], bores: impl Iterator<Item = &'a Bore> + Clone) {
    for (index, gauge) in gauges.iter_mut().enumerate() {
        if gauge.repeatability.is_some() && !gauge.pooled {
            continue;
        }
        let cells = bores.clone().flat_map(|bore| bore.measured()).map(|(_, cell)| cell);
        let mut pooled = moments::Pooled::default();
        for cell in cells.filter(|cell| cell.gauge == index && cell.repeats().len() > 1) {
            pooled.add(cell.repeats().iter().map(|repeat| repeat.to_mm()));
        }
        gauge.repeatability = pooled.finish().map(|(u, dof)| Uncertainty::new(u, dof));
        gauge.pooled = gauge.repeatability.is_some();
    }
}
