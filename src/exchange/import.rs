//! Rows of texts as readings of an overhaul: what would be taken over, and each row that would not, with its line.
//!
//! Nothing is guessed: a row that names another engine, an unknown cylinder, station, axis or gauge, or a reading that
//! cannot be read, is refused with its reason, and the others are taken all the same. A cell that the file has a
//! reading for gets the file's repeats in place of its own; every other cell stays as it is.

use std::collections::BTreeMap;

use super::mapping::{Field, Mapping};
use super::table::Grid;
use crate::diag::{Diagnostic, likely_meant};
use crate::evaluation::Evaluation;
use crate::heading;
use crate::length::{Length, Unit};
use crate::limits::Limits;
use crate::record::entry;
use crate::record::resolve::{MOST_REPEATS, read_entry};
use crate::record::schema::{Cylinder, EngineRecord, Gauge, Overhaul, Reads, Temperatures};

/// The readings of one cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Index of the cylinder.
    pub cylinder: usize,
    /// Name of the station.
    pub station: String,
    /// Label of the axis.
    pub axis: String,
    /// Name of the gauge; none: the overhaul's first.
    pub gauge: Option<String>,
    /// The readings as they will be kept, one for each repeat.
    pub entered: Vec<String>,
    /// Why it stands though it looks wrong; may be empty.
    pub confirmed: String,
}

/// What a file comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Import {
    /// The cells that are taken.
    pub taken: Vec<Taken>,
    /// The temperatures that the file gives, where they differ from the record's.
    pub temperatures: Option<Temperatures>,
    /// The rows that are not taken: line and reason.
    pub refused: Vec<(usize, String)>,
    /// What is worth knowing beside it.
    pub notes: Vec<String>,
}

impl Import {
    /// How many readings are taken, repeats counted.
    pub fn readings(&self) -> usize {
        self.taken.iter().map(|taken| taken.entered.len()).sum()
    }

    /// How many cells already hold readings, and others than the file.
    pub fn replaces(&self, overhaul: &Overhaul) -> usize {
        let stands = |taken: &&Taken| {
            let cylinder = overhaul.cylinders.get(taken.cylinder);
            cylinder.is_some_and(|cylinder| {
                let mut readings = cylinder.readings.iter();
                readings
                    .any(|r| r.station == taken.station && r.axis == taken.axis && r.entered != taken.entered)
            })
        };
        self.taken.iter().filter(stands).count()
    }
}

/// What rows are read for.
struct Reader<'a> {
    record: &'a EngineRecord,
    overhaul: &'a Overhaul,
    evaluation: &'a Evaluation,
    limits: &'a Limits,
    mapping: &'a Mapping,
    /// The unit of what names none, neither itself nor in its row nor in its heading.
    unit: Unit,
}

/// One row read.
struct Row {
    cylinder: usize,
    station: usize,
    axis: usize,
    gauge: Option<String>,
    repeat: Option<usize>,
    text: String,
    confirmed: String,
    temperatures: Option<(f64, f64)>,
}

/// Reads a file's rows for an overhaul. Nothing is changed.
///
/// `unit` is that of a reading which names none, neither itself nor in its row nor in its heading; none: the overhaul's.
///
/// # Errors
/// If columns are missing, or there is no overhaul or table of limits to read them for.
pub fn import(
    grid: &Grid,
    mapping: &Mapping,
    unit: Option<Unit>,
    (record, index): (&EngineRecord, usize),
    evaluation: &Evaluation,
) -> Result<Import, Diagnostic> {
    let missing = mapping.missing();
    if !missing.is_empty() {
        return Err(Diagnostic::error(format!("No column holds the {}.", missing.join(", nor the ")))
            .remedy(format!("Say which one does; the file has: {}.", grid.headings.join(", "))));
    }
    let (Some(overhaul), Some(limits)) = (record.overhauls.get(index), evaluation.limits()) else {
        return Err(Diagnostic::error("There is no overhaul with a table of limits to take readings for.")
            .remedy(
                "Its stations and axes say where a reading belongs: add the overhaul and its table first.",
            ));
    };
    let unit = unit.unwrap_or(overhaul.unit);
    let reader = Reader { record, overhaul, evaluation, limits, mapping, unit };
    Ok(gathered(&reader, grid))
}

/// What is gathered of a cell: its gauge, its repeats with their numbers, why it stands.
type CellSoFar = (Option<String>, Vec<(Option<usize>, String)>, String);

/// Reads every row, and gathers repeats of a cell.
fn gathered(reader: &Reader<'_>, grid: &Grid) -> Import {
    let mut cells: BTreeMap<(usize, usize, usize), CellSoFar> = BTreeMap::new();
    let mut import = Import::default();
    let mut temperatures: Vec<(f64, f64)> = Vec::new();
    for (line, cells_of_row) in &grid.rows {
        let read = in_row(cells_of_row, grid).and_then(|()| reader.row(cells_of_row));
        let row = match read {
            Ok(row) => row,
            Err(reason) => {
                import.refused.push((*line, reason));
                continue;
            }
        };
        let cell = cells.entry((row.cylinder, row.station, row.axis));
        let (gauge, repeats, confirmed) =
            cell.or_insert_with(|| (row.gauge.clone(), Vec::new(), row.confirmed.clone()));
        let refused = if *gauge != row.gauge {
            Some("its cell was read with another gauge in a row above; a cell has one gauge".to_owned())
        } else if row.repeat.is_some() && repeats.iter().any(|(repeat, _)| *repeat == row.repeat) {
            Some("this repeat stands in a row above already".to_owned())
        } else if repeats.len() >= MOST_REPEATS {
            Some(format!("its cell has more than the {MOST_REPEATS} repeats that it can hold"))
        } else {
            None
        };
        if let Some(reason) = refused {
            import.refused.push((*line, reason));
            continue;
        }
        repeats.push((row.repeat, row.text));
        if confirmed.is_empty() {
            *confirmed = row.confirmed;
        }
        if let Some(both) = row.temperatures.filter(|both| !temperatures.contains(both)) {
            temperatures.push(both);
        }
    }
    for ((cylinder, station, axis), (gauge, mut repeats, confirmed)) in cells {
        // Rows without a number keep their order, behind those with one.
        repeats.sort_by_key(|(repeat, _)| repeat.unwrap_or(usize::MAX));
        let (Some(station), Some(axis)) = (reader.limits.stations.get(station), reader.limits.axes.get(axis))
        else {
            continue;
        };
        import.taken.push(Taken {
            cylinder,
            station: station.name.clone(),
            axis: axis.label.clone(),
            gauge,
            entered: repeats.into_iter().map(|(_, text)| text).collect(),
            confirmed,
        });
    }
    reader.take_temperatures(&mut import, &temperatures);
    import
}

/// Has a row no more cells than there are headings?
fn in_row(cells: &[String], grid: &Grid) -> Result<(), String> {
    let beyond = cells.iter().skip(grid.headings.len()).any(|cell| !cell.trim().is_empty());
    if !beyond {
        return Ok(());
    }
    let why = if grid.delimiter == Some(b',') {
        ": if its numbers have a decimal comma, save the file with semicolons between the columns"
    } else {
        ""
    };
    Err(format!("it has {} cells and the file {} headings{why}", cells.len(), grid.headings.len()))
}

impl Reader<'_> {
    fn cell<'r>(&self, cells: &'r [String], field: Field) -> &'r str {
        self.mapping.column(field).and_then(|column| cells.get(column)).map_or("", |cell| cell.trim())
    }

    fn row(&self, cells: &[String]) -> Result<Row, String> {
        let cell = |field| self.cell(cells, field);
        let engine = cell(Field::Engine);
        if !engine.is_empty() && engine != self.record.engine.serial {
            return Err(format!(
                "it is of engine `{}`, not of `{}`",
                shown(engine),
                self.record.engine.serial
            ));
        }
        let day = cell(Field::Overhaul);
        if !day.is_empty() && day != self.overhaul.date.to_string() {
            return Err(format!("it is of the overhaul `{}`, not of {}", shown(day), self.overhaul.date));
        }
        let cylinder = self.cylinder(cell(Field::Position), cell(Field::Cylinder))?;
        let names = || self.limits.stations.iter().map(|station| station.name.as_str());
        let station = named(cell(Field::Station), names().collect(), "station")?;
        let axis = self.axis(cell(Field::Axis))?;
        let repeat = match cell(Field::Repeat) {
            "" => None,
            text => match text.parse::<usize>() {
                Ok(repeat) if (1..=MOST_REPEATS).contains(&repeat) => Some(repeat),
                _ => {
                    return Err(format!(
                        "`{}` is no repeat: write 1 to {MOST_REPEATS}, or nothing",
                        shown(text)
                    ));
                }
            },
        };
        let (gauge, written) = self.gauge(cylinder, (station, axis), cell(Field::Gauge))?;
        let text = self.text(cells, written)?;
        Ok(Row {
            cylinder,
            station,
            axis,
            gauge,
            repeat,
            text,
            confirmed: cell(Field::Confirmed).to_owned(),
            temperatures: self.temperatures(cells)?,
        })
    }

    /// The cylinder that a row is about, by its serial and its position.
    fn cylinder(&self, position: &str, serial: &str) -> Result<usize, String> {
        let cylinders = &self.overhaul.cylinders;
        let find = |what: &str, text: &str, of: fn(&Cylinder) -> &str| {
            let found = cylinders.iter().position(|cylinder| of(cylinder) == text);
            found.ok_or_else(|| {
                let known: Vec<&str> = cylinders.iter().map(of).take(40).collect();
                let meant = likely_meant(text, known.iter().copied());
                let meant = meant.map_or(String::new(), |meant| format!("; is `{meant}` meant?"));
                format!("the overhaul has no cylinder of {what} `{}`{meant}", shown(text))
            })
        };
        let by_position = |text| find("position", text, |cylinder| &cylinder.position);
        let by_serial = |text| find("serial", text, |cylinder| &cylinder.serial);
        match (position, serial) {
            ("", "") => Err("it names no cylinder: write its position or its serial".to_owned()),
            (position, "") => by_position(position),
            ("", serial) => by_serial(serial),
            (position, serial) => {
                let index = by_serial(serial)?;
                let stands = cylinders.get(index).map_or("", |cylinder| cylinder.position.as_str());
                if stands == position {
                    return Ok(index);
                }
                Err(format!(
                    "cylinder `{}` stands at position `{stands}`, not at `{}`",
                    shown(serial),
                    shown(position)
                ))
            }
        }
    }

    /// An axis by its label, or by its direction in degrees.
    fn axis(&self, text: &str) -> Result<usize, String> {
        let labels = self.limits.axes.iter().map(|axis| axis.label.as_str()).collect();
        named(text, labels, "axis").or_else(|reason| {
            let degrees = text.trim_end_matches('°').trim().parse::<f64>().ok();
            let of = |degrees: f64| self.limits.axes.iter().position(|axis| axis.degrees == degrees);
            degrees.and_then(of).ok_or(reason)
        })
    }

    /// The gauge of a row as it will be kept, and as it is written down.
    fn gauge(
        &self,
        cylinder: usize,
        (station, axis): (usize, usize),
        name: &str,
    ) -> Result<(Option<String>, Option<&Gauge>), String> {
        let gauges = &self.overhaul.gauges;
        let stands = || {
            let (station, axis) = (self.limits.stations.get(station)?, self.limits.axes.get(axis)?);
            let readings = &self.overhaul.cylinders.get(cylinder)?.readings;
            readings.iter().find(|r| r.station == station.name && r.axis == axis.label)
        };
        if name.is_empty() {
            let kept = stands().and_then(|reading| reading.gauge.clone());
            let written = match &kept {
                Some(kept) => gauges.iter().find(|gauge| gauge.name == *kept),
                None => gauges.first(),
            };
            return Ok((kept, written));
        }
        let index = named(name, gauges.iter().map(|gauge| gauge.name.as_str()).collect(), "gauge")?;
        let written = gauges.get(index);
        // The first is meant where none is named; a cell that names it all the same goes on doing so.
        let names_it = stands().is_some_and(|reading| reading.gauge.is_some());
        let kept = written.filter(|_| index > 0 || names_it).map(|gauge| gauge.name.clone());
        Ok((kept, written))
    }

    /// The text of a reading as it will be kept: as it stands in the file, with its unit where that is not the
    /// overhaul's.
    fn text(&self, cells: &[String], gauge: Option<&Gauge>) -> Result<String, String> {
        let typed = self.cell(cells, Field::Reading);
        let (field, text) = match typed {
            "" => (Field::Diameter, self.cell(cells, Field::Diameter)),
            typed => (Field::Reading, typed),
        };
        if text.is_empty() {
            return Err("it has no reading".to_owned());
        }
        let unit = match (self.cell(cells, Field::Unit), self.mapping.unit(field)) {
            // The unit beside a reading is the reading's; a diameter's stands in its heading.
            (_, Some(unit)) if field == Field::Diameter => unit,
            ("", heading) => heading.unwrap_or(self.unit),
            (word, _) => heading::unit_word(word)
                .ok_or_else(|| format!("`{}` is no unit known here; write in or mm", shown(word)))?,
        };
        if field == Field::Diameter {
            return self.as_gauge_shows(text, unit, gauge);
        }
        let reads = gauge.map_or(Reads::Diameter, |gauge| gauge.reads);
        let kept = if unit == self.overhaul.unit || reads == Reads::Graduations || names_unit(text) {
            text.to_owned()
        } else {
            format!("{text} {unit}")
        };
        let (graduation, standard) = self.resolved(gauge);
        let settings = gauge.map_or_else(Default::default, |gauge| (gauge.reads, gauge.plus_means));
        read_entry(&kept, settings, graduation, standard, self.overhaul.unit)
            .map_err(|error| error.to_string())?;
        Ok(kept)
    }

    /// A diameter as its gauge would have shown it.
    fn as_gauge_shows(&self, text: &str, unit: Unit, gauge: Option<&Gauge>) -> Result<String, String> {
        let entry = Length::parse(text, unit).map_err(|error| error.to_string())?;
        let (_, standard) = self.resolved(gauge);
        entry::as_typed(entry.length, gauge, standard, entry.style, self.overhaul.unit).ok_or_else(|| {
            format!(
                "`{}` is a diameter, and no whole number of graduations of the gauge `{}`; name the gauge that \
                 read it",
                shown(text),
                gauge.map_or("", |gauge| gauge.name.as_str())
            )
        })
    }

    /// A gauge's graduation and the size of the standard it compares with.
    fn resolved(&self, gauge: Option<&Gauge>) -> (Option<Length>, Option<Length>) {
        let survey = self.evaluation.survey.as_ref();
        let resolved = survey.zip(gauge).and_then(|(survey, gauge)| survey.gauge(&gauge.name));
        let Some((gauge, standard)) = resolved else { return (None, None) };
        (gauge.graduation, standard.map(|standard| standard.size))
    }

    fn temperatures(&self, cells: &[String]) -> Result<Option<(f64, f64)>, String> {
        let read = |field| match self.cell(cells, field) {
            "" => Ok(None),
            text => match text.replace(',', ".").parse::<f64>() {
                Ok(celsius) if (-90.0..=200.0).contains(&celsius) => Ok(Some(celsius)),
                _ => Err(format!("`{}` is no temperature in degrees Celsius", shown(text))),
            },
        };
        Ok(read(Field::BarrelC)?.zip(read(Field::GaugeC)?))
    }

    /// Temperatures belong to the whole overhaul, so they are only taken if the rows agree.
    fn take_temperatures(&self, import: &mut Import, found: &[(f64, f64)]) {
        let stands = self.overhaul.temperatures.as_ref();
        match found {
            [] => {}
            [(barrel, gauge)] if stands.is_some_and(|t| (t.barrel, t.gauge) == (*barrel, *gauge)) => {}
            [(barrel, gauge)] => {
                let none = Temperatures {
                    barrel: *barrel,
                    gauge: *gauge,
                    within: None,
                    expansion_within_ppm: None,
                    barrel_expansion_ppm: None,
                    correct_readings: false,
                };
                let kept = stands.cloned().unwrap_or(none);
                import.temperatures = Some(Temperatures { barrel: *barrel, gauge: *gauge, ..kept });
                import.notes.push(format!("Temperatures are taken: barrel {barrel} °C, gauge {gauge} °C."));
            }
            several => import.notes.push(format!(
                "The rows give {} different pairs of temperatures; an overhaul has one, so none is taken.",
                several.len()
            )),
        }
    }
}

/// Does a reading name its own unit?
fn names_unit(text: &str) -> bool {
    text.trim_end().ends_with(|c: char| c.is_alphabetic() || c == '"')
}

/// The index of a name: as it is written, or but for capitals and blanks if that is one alone.
fn named(text: &str, names: Vec<&str>, what: &str) -> Result<usize, String> {
    if text.is_empty() {
        return Err(format!("it names no {what}"));
    }
    let plain = |text: &str| text.trim().to_lowercase();
    let exact = names.iter().position(|name| *name == text);
    let mut alike = names.iter().enumerate().filter(|(_, name)| plain(name) == plain(text)).map(|(i, _)| i);
    let found = exact.or_else(|| alike.next().filter(|_| alike.next().is_none()));
    found.ok_or_else(|| {
        let meant = likely_meant(text, names.iter().copied());
        let meant = meant.map_or(String::new(), |meant| format!("; is `{meant}` meant?"));
        let known: Vec<&str> = names.iter().copied().take(40).collect();
        format!("there is no {what} `{}`; known are {}{meant}", shown(text), known.join(", "))
    })
}

/// A text of a file, at most so long as is worth showing.
fn shown(text: &str) -> String {
    let mut shown: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > 40 {
        shown.push('…');
    }
    shown
}
