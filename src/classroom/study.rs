//! The gauge study: several people measure several places several times, and the spread is divided among the
//! gauge, the people and the places.
//!
//! By analysis of variance, two-way and crossed: every person measures every part equally often. The usual
//! table: parts, people, parts by people (interaction), and the repeats. Where the interaction is not
//! significant, p above [`POOLED_ABOVE`], it is pooled with the repeats, and the result says so. A component that
//! comes out below zero counts as zero. Values are in millimetres; standard deviations too.
//!
//! The method is that of the Measurement Systems Analysis reference manual (AIAG); the 6 standard deviations
//! that are compared with a tolerance, and the root of 2 in the number of distinct categories, are its as well.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF as _, FisherSnedecor};

use quantities::length::{Length, Style, Unit};
use quantities::moments;
use records::diag::{Diagnostic, WithDiagnostics};
use records::kind::{self, Kind, ToldBy};
use records::record::schema::Repeatability;
use records::tabular::heading::{Asked, Layout};
use records::tabular::{Row, SAVE_AS_UTF8, TableReader, does_not_fit, number};

/// The interaction is pooled with the repeats where its p is above this (the usual rule).
pub const POOLED_ABOVE: f64 = 0.25;

/// The most parts, people or repeats that are read: far more than any study has.
const MOST: usize = 200;

/// The most bad rows that are told one by one.
const MOST_REPORTED: usize = 50;

/// One reading of a study.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The place or part.
    pub part: String,
    /// Who measured.
    pub operator: String,
    /// Which repeat, as written.
    pub trial: String,
    /// What was read.
    pub value: Length,
}

/// One line of the analysis of variance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AnovaLine {
    /// Degrees of freedom.
    pub dof: f64,
    /// Sum of squares, in square millimetres.
    pub squares: f64,
    /// Mean square, in square millimetres.
    pub mean_square: f64,
    /// Ratio of the mean square to the one it is tested against; none for the repeats, or if that one is zero.
    pub f: Option<f64>,
    /// The probability of so large a ratio if there were no effect.
    pub p: Option<f64>,
}

/// The analysis of variance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Anova {
    /// Parts.
    pub parts: AnovaLine,
    /// People; none with only one.
    pub operators: Option<AnovaLine>,
    /// Parts by people; none with only one person.
    pub interaction: Option<AnovaLine>,
    /// Repeats, before pooling.
    pub repeats: AnovaLine,
    /// The interaction has been pooled with the repeats.
    pub pooled: bool,
    /// Repeats, with the interaction if that was pooled: what the components were computed from.
    pub error: AnovaLine,
}

/// One component of the spread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Component {
    /// Standard deviation, in millimetres.
    pub deviation_mm: f64,
    /// Its share of the total variation, as a ratio of standard deviations, 0 to 1.
    pub of_total: f64,
    /// Its share of the total variance, 0 to 1; the shares of independent components add up.
    pub of_variance: f64,
    /// Six standard deviations over the tolerance, if a tolerance was given.
    pub of_tolerance: Option<f64>,
}

/// Mean and extremes of some readings, in millimetres: for the plots by person and by part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group {
    /// Whose, or of what.
    pub name: String,
    /// Mean.
    pub mean_mm: f64,
    /// Smallest.
    pub least_mm: f64,
    /// Largest.
    pub most_mm: f64,
}

/// The readings of one person on one part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cell {
    /// Index of the part.
    pub part: usize,
    /// Index of the person.
    pub operator: usize,
    /// The readings, in millimetres.
    pub values_mm: Vec<f64>,
    /// Their mean.
    pub mean_mm: f64,
    /// Largest minus smallest.
    pub range_mm: f64,
}

/// A gauge study, worked out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Study {
    /// Parts, in the order they came.
    pub parts: Vec<String>,
    /// People, in the order they came.
    pub operators: Vec<String>,
    /// How often each person measured each part.
    pub trials: usize,
    /// The analysis of variance.
    pub anova: Anova,
    /// The gauge: what the same person finds on the same part.
    pub repeatability: Component,
    /// The people, with the interaction if it was not pooled; none with only one person.
    pub reproducibility: Option<Component>,
    /// Gauge and people together.
    pub both: Component,
    /// The parts.
    pub part: Component,
    /// Everything.
    pub total: Component,
    /// How many groups of parts the measuring can tell apart; none if it has no spread at all.
    pub distinct_categories: Option<u32>,
    /// Every person on every part, part by part.
    pub cells: Vec<Cell>,
    /// Readings by person.
    pub by_operator: Vec<Group>,
    /// Readings by part.
    pub by_part: Vec<Group>,
}

/// What is asked for, and the columns that may serve: a place may be called by its station or its cylinder.
const ASKED: [Asked; 5] = [
    Asked { name: "part", columns: &[&["part"], &["station", "cylinder"]], needed: true },
    Asked { name: "operator", columns: &[&["operator"]], needed: true },
    Asked { name: "trial", columns: &[&["repeat"], &["no"]], needed: false },
    Asked { name: "value", columns: &[&["reading"], &["diameter"], &["result"], &["size"]], needed: true },
    Asked { name: "unit", columns: &[&["unit"]], needed: false },
];

/// A gauge study as a kind of document.
pub const KIND: Kind = Kind {
    words: "a gauge study",
    told_by: ToldBy::Columns(&ASKED),
    instead: "Work it out with `borewright study`.",
    check: None,
};

/// The longest row that is read, in bytes.
const LONGEST_ROW: usize = 64 * 1024;

/// Reads the table of a study, as every table of readings is read ([`records::tabular`]): columns part, operator, trial,
/// value and unit in any order.
///
/// `unit` is that of a value which names none, neither itself nor in its row nor in its heading. The trial may be left
/// out. Every bad row is told with its line; the readings are those of the good rows.
pub fn read_csv(text: impl AsRef<[u8]>, unit: Unit) -> WithDiagnostics<Vec<Reading>> {
    let (mut value, mut diagnostics) = (Vec::new(), Vec::new());
    if let Err(error) = read_rows(text.as_ref(), unit, &mut value, &mut diagnostics) {
        diagnostics.push(error);
    }
    if diagnostics.len() > MOST_REPORTED {
        let more = diagnostics.len() - MOST_REPORTED;
        diagnostics.truncate(MOST_REPORTED);
        diagnostics.push(Diagnostic::error(format!("{more} more rows cannot be read.")));
    }
    WithDiagnostics { value, diagnostics }
}

/// Reads row by row.
///
/// # Errors
/// Why it ends before the end of the file.
fn read_rows(
    text: &[u8],
    unit: Unit,
    readings: &mut Vec<Reading>,
    diagnostics: &mut Vec<Diagnostic>,
) -> Result<(), Diagnostic> {
    let mut table = TableReader::open(text, LONGEST_ROW)?;
    let (headings, on) = table.headings();
    let layout = Layout::find(headings, &ASKED).map_err(|error| {
        let other = kind::of(&String::from_utf8_lossy(text)).and_then(|kind| kind.instead_of(&KIND));
        other.unwrap_or(error.on(Some(on)))
    })?;
    let shape = (headings.len(), table.delimiter());
    while let Some(row) = table.next_row()? {
        match reading(row, &layout, shape, unit) {
            Ok(reading) => readings.push(reading),
            Err((column, message, remedy)) => {
                let position = row.position(column.filter(|column| *column < row.count()));
                diagnostics.push(Diagnostic::error(message).remedy(remedy).on(Some(position)));
            }
        }
    }
    Ok(())
}

/// The reading of a row.
///
/// # Errors
/// The column that is wrong, what is wrong, and what to do.
fn reading(
    row: Row<'_>,
    layout: &Layout,
    (columns, delimiter): (usize, u8),
    unit: Unit,
) -> Result<Reading, (Option<usize>, String, &'static str)> {
    const VALUE: usize = 3;
    let column = |asked: usize| layout.found.get(asked).and_then(Option::as_ref).map(|(index, _)| *index);
    let sentence = |message: String| format!("{message}.");
    if row.count() > columns {
        let cells: Vec<&[u8]> = (0..row.count()).map(|index| row.cell(index)).collect();
        if let Some((message, remedy)) = does_not_fit(&cells, columns, Some(delimiter)) {
            return Err((None, sentence(message), remedy));
        }
    }
    let text = |asked: usize| match column(asked) {
        Some(index) => row.utf8(index).map_err(|message| (Some(index), sentence(message), SAVE_AS_UTF8)),
        None => Ok(""),
    };
    let needed = |asked: usize| match text(asked)? {
        "" => {
            let name = ASKED.get(asked).map_or("", |asked| asked.name);
            Err((column(asked), format!("The row has no {name}."), "Fill it in, or delete the row."))
        }
        text => Ok(text),
    };
    let (part, operator, trial, value, beside) = (needed(0)?, needed(1)?, text(2)?, needed(VALUE)?, text(4)?);
    let behind = layout.behind(VALUE, (columns, delimiter));
    let split = behind.and_then(|behind| number::in_two_columns(value.as_bytes(), row.cell(behind)));
    if let Some((message, remedy)) = split {
        return Err((column(VALUE), sentence(message), remedy));
    }
    let heading = layout.found.get(VALUE).and_then(Option::as_ref).and_then(|(_, unit)| unit.as_ref());
    let entry = number::length(value, beside.as_bytes(), heading, unit).map_err(|wrong| {
        let (at, what) = if wrong.in_unit { (4, "unit") } else { (VALUE, "value") };
        (column(at), format!("The {what}: {}.", wrong.message), wrong.remedy)
    })?;
    Ok(Reading {
        part: part.to_owned(),
        operator: operator.to_owned(),
        trial: trial.to_owned(),
        value: entry.length,
    })
}

/// Index of a name in a list, which grows by it if it is new.
fn index_of(names: &mut Vec<String>, name: &str) -> usize {
    names.iter().position(|known| known == name).unwrap_or_else(|| {
        names.push(name.to_owned());
        names.len() - 1
    })
}

/// Sum of squared deviations of some means from their own mean.
fn squares(values: &[f64]) -> f64 {
    let mean = moments::mean(values).unwrap_or(0.0);
    values.iter().map(|value| (value - mean).powi(2)).sum()
}

fn line(dof: usize, squares: f64) -> AnovaLine {
    let dof = dof as f64;
    let mean_square = if dof > 0.0 { squares / dof } else { 0.0 };
    AnovaLine { dof, squares, mean_square, f: None, p: None }
}

impl AnovaLine {
    /// Tested against another line.
    fn against(self, other: &Self) -> Self {
        if !(other.mean_square > 0.0 && self.dof > 0.0 && other.dof > 0.0) {
            return Self { f: None, p: None, ..self };
        }
        let f = self.mean_square / other.mean_square;
        let p = FisherSnedecor::new(self.dof, other.dof).ok().map(|distribution| distribution.sf(f));
        Self { f: Some(f), p: p.filter(|p| p.is_finite()), ..self }
    }
}

impl Study {
    /// Works a study out. `tolerance` is what the spread is compared with: the width of a tolerance, on the
    /// diameter.
    ///
    /// # Errors
    /// Fewer than two parts or two repeats, or people who did not measure every part equally often: says which.
    pub fn of(readings: &[Reading], tolerance: Option<Length>) -> Result<Self, Diagnostic> {
        let (mut parts, mut operators) = (Vec::new(), Vec::new());
        let mut values: Vec<(usize, usize, f64)> = Vec::with_capacity(readings.len());
        for reading in readings {
            let part = index_of(&mut parts, &reading.part);
            let operator = index_of(&mut operators, &reading.operator);
            if parts.len() > MOST || operators.len() > MOST {
                return Err(Diagnostic::error(format!("The study has more than {MOST} parts or people."))
                    .remedy("Check that the columns part and operator are not exchanged with others."));
            }
            values.push((part, operator, reading.value.to_mm()));
        }
        if parts.len() < 2 {
            return Err(Diagnostic::error("A study needs at least two parts, or places.")
                .remedy("Measure ten parts that span what is met in work."));
        }
        let cells = cells(&values, parts.len(), operators.len());
        let trials = balanced(&cells, &parts, &operators)?;
        let anova = anova(&cells, parts.len(), operators.len(), trials);
        Ok(Self::from_anova(parts, operators, trials, anova, cells, tolerance))
    }

    fn from_anova(
        parts: Vec<String>,
        operators: Vec<String>,
        trials: usize,
        anova: Anova,
        cells: Vec<Cell>,
        tolerance: Option<Length>,
    ) -> Self {
        let (p, o, r) = (parts.len() as f64, operators.len() as f64, trials as f64);
        let error = anova.error.mean_square;
        let interaction = anova.interaction.filter(|_| !anova.pooled).map(|line| line.mean_square);
        // What people and parts are compared with: the interaction where there is one.
        let base = interaction.unwrap_or(error);
        let not_below_zero = |variance: f64| variance.max(0.0);
        let of_interaction = not_below_zero((base - error) / r);
        let of_part = not_below_zero((anova.parts.mean_square - base) / (o * r));
        let of_people =
            anova.operators.map(|line| not_below_zero((line.mean_square - base) / (p * r)) + of_interaction);
        let both = error + of_people.unwrap_or(0.0);
        let total = both + of_part;
        let component = |variance: f64| {
            let share = if total > 0.0 { variance / total } else { 0.0 };
            let tolerance = tolerance.map(|tolerance| tolerance.abs().to_mm()).filter(|width| *width > 0.0);
            Component {
                deviation_mm: variance.sqrt(),
                of_total: share.sqrt(),
                of_variance: share,
                of_tolerance: tolerance.map(|width| 6.0 * variance.sqrt() / width),
            }
        };
        let distinct = (both > 0.0).then(|| (2.0 * of_part / both).sqrt().floor().max(1.0) as u32);
        Self {
            by_operator: groups(&cells, &operators, |cell| cell.operator),
            by_part: groups(&cells, &parts, |cell| cell.part),
            parts,
            operators,
            trials,
            anova,
            repeatability: component(error),
            reproducibility: of_people.map(component),
            both: component(both),
            part: component(of_part),
            total: component(total),
            distinct_categories: distinct,
            cells,
        }
    }

    /// The repeatability as a gauge of an engine record keeps it; none if every repeat read the same, which says
    /// no more than that the graduation is coarse.
    pub fn for_gauge(&self) -> Option<Repeatability> {
        let deviation = Length::from_mm(self.repeatability.deviation_mm)?;
        let style = Style { unit: Unit::Millimetre, decimals: 7 };
        (deviation > Length::ZERO)
            .then(|| Repeatability { standard_deviation: deviation.text(style), dof: self.anova.error.dof })
    }

    /// What was done with the interaction, as a sentence.
    pub fn interaction_words(&self) -> String {
        let Anova { interaction, pooled, .. } = self.anova;
        match (interaction, pooled) {
            (None, _) => {
                "Only one person measured, so nothing is known of differences between people.".to_owned()
            }
            (Some(AnovaLine { p: None, .. }), _) => {
                "The repeats do not differ at all, so the interaction cannot be tested; it stands by itself."
                    .to_owned()
            }
            (Some(AnovaLine { p: Some(p), .. }), true) => format!(
                "The interaction of parts and people is not significant (p = {p:.3}, above {POOLED_ABOVE}), so it is \
                 pooled with the repeats."
            ),
            (Some(AnovaLine { p: Some(p), .. }), false) => format!(
                "The interaction of parts and people counts (p = {p:.3}, not above {POOLED_ABOVE}), so it stands by \
                 itself as a part of the reproducibility."
            ),
        }
    }

    /// What the distinct categories mean, as a sentence. Five is the usual least (AIAG).
    pub fn categories_words(&self) -> String {
        match self.distinct_categories {
            None => "The measuring has no spread at all; a finer graduation would show one.".to_owned(),
            Some(count) if count >= 5 => {
                format!("It tells {count} groups of parts apart; 5 is the usual least.")
            }
            Some(count) => format!(
                "It tells {count} {} of parts apart; 5 is the usual least, so it is too coarse for parts so alike.",
                if count == 1 { "group" } else { "groups" }
            ),
        }
    }
}

fn cells(values: &[(usize, usize, f64)], parts: usize, operators: usize) -> Vec<Cell> {
    let mut cells: Vec<Cell> = (0..parts)
        .flat_map(|part| {
            (0..operators).map(move |operator| Cell {
                part,
                operator,
                values_mm: Vec::new(),
                mean_mm: 0.0,
                range_mm: 0.0,
            })
        })
        .collect();
    for &(part, operator, value) in values {
        if let Some(cell) = cells.get_mut(part * operators + operator) {
            cell.values_mm.push(value);
        }
    }
    for cell in &mut cells {
        cell.mean_mm = moments::mean(&cell.values_mm).unwrap_or(0.0);
        let (least, most) = extremes(cell.values_mm.iter().copied());
        cell.range_mm = if cell.values_mm.is_empty() { 0.0 } else { most - least };
    }
    cells
}

fn extremes(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), v| (least.min(v), most.max(v)))
}

/// How often each person measured each part, if that is the same everywhere and at least twice.
fn balanced(cells: &[Cell], parts: &[String], operators: &[String]) -> Result<usize, Diagnostic> {
    let usual = cells.iter().map(|cell| cell.values_mm.len()).max().unwrap_or(0);
    let name = |names: &[String], index: usize| names.get(index).cloned().unwrap_or_default();
    if let Some(odd) = cells.iter().find(|cell| cell.values_mm.len() != usual) {
        let short: Vec<_> = cells.iter().filter(|cell| cell.values_mm.len() != usual).collect();
        let others =
            if short.len() > 1 { format!(", and {} more like it", short.len() - 1) } else { String::new() };
        return Err(Diagnostic::error(format!(
            "{} measured part {} {} of {usual} times{others}.",
            name(operators, odd.operator),
            name(parts, odd.part),
            odd.values_mm.len(),
        ))
        .remedy(
            "Everybody must measure every part equally often: add what is missing, or leave the part out.",
        ));
    }
    if usual < 2 {
        return Err(Diagnostic::error("Each person measured each part only once.")
            .remedy("Measure everything at least twice; without repeats nothing is known of the gauge."));
    }
    Ok(usual)
}

fn anova(cells: &[Cell], parts: usize, operators: usize, trials: usize) -> Anova {
    let r = trials as f64;
    let means: Vec<f64> = cells.iter().map(|cell| cell.mean_mm).collect();
    let mean_over = |chosen: &dyn Fn(&Cell) -> bool| {
        let chosen: Vec<f64> = cells.iter().filter(|cell| chosen(cell)).map(|cell| cell.mean_mm).collect();
        moments::mean(&chosen).unwrap_or(0.0)
    };
    let part_means: Vec<f64> = (0..parts).map(|part| mean_over(&|cell| cell.part == part)).collect();
    let operator_means: Vec<f64> =
        (0..operators).map(|operator| mean_over(&|cell| cell.operator == operator)).collect();
    let grand = moments::mean(&means).unwrap_or(0.0);
    let of_parts = r * operators as f64 * squares(&part_means);
    let of_operators = r * parts as f64 * squares(&operator_means);
    // Cell by cell, not by subtraction of large sums, so that it keeps its digits.
    let of_interaction: f64 = cells
        .iter()
        .map(|cell| {
            let part = part_means.get(cell.part).copied().unwrap_or(grand);
            let operator = operator_means.get(cell.operator).copied().unwrap_or(grand);
            r * (cell.mean_mm - part - operator + grand).powi(2)
        })
        .sum();
    let of_repeats: f64 = cells.iter().map(|cell| squares(&cell.values_mm)).sum();
    let repeats = line(parts * operators * (trials - 1), of_repeats);
    let several = operators > 1;
    let interaction = several.then(|| line((parts - 1) * (operators - 1), of_interaction).against(&repeats));
    let pooled = interaction.and_then(|line| line.p).is_some_and(|p| p > POOLED_ABOVE);
    let error = match interaction {
        Some(interaction) if pooled => {
            let dof = interaction.dof + repeats.dof;
            let squares = interaction.squares + repeats.squares;
            AnovaLine { dof, squares, mean_square: squares / dof, f: None, p: None }
        }
        _ => repeats,
    };
    let base = interaction.filter(|_| !pooled).unwrap_or(error);
    Anova {
        parts: line(parts - 1, of_parts).against(&base),
        operators: several.then(|| line(operators - 1, of_operators).against(&base)),
        interaction,
        repeats,
        pooled,
        error,
    }
}

fn groups(cells: &[Cell], names: &[String], of: impl Fn(&Cell) -> usize) -> Vec<Group> {
    names
        .iter()
        .enumerate()
        .map(|(index, name)| {
            let values: Vec<f64> = cells
                .iter()
                .filter(|cell| of(cell) == index)
                .flat_map(|cell| cell.values_mm.iter().copied())
                .collect();
            let (least_mm, most_mm) = extremes(values.iter().copied());
            Group { name: name.clone(), mean_mm: moments::mean(&values).unwrap_or(0.0), least_mm, most_mm }
        })
        .collect()
}

#[cfg(test)]
mod tests;
