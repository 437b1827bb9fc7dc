//! Looks for misprints in a table of limits: order, unit pairs, ladder steps, clearances against parts.
//!
//! Printed tables contain mistakes, and copying adds more. [`validate`] tells every one it can see, with the
//! field, the row in words, and the likely value where one can be guessed. It changes nothing: a person
//! looks it up in the manual. An error says that the row cannot be right as it stands; a note says what is
//! unusual, or what the table leaves open.
//!
//! Lengths here are as printed: a pair of columns is compared at half a unit in the last place of the
//! coarser one.

mod columns;
mod fits;
mod frame;
mod oversizes;

use std::cmp::Reverse;
use std::collections::BTreeSet;
use std::path::Path;

use crate::diag::{Diagnostic, FieldPath, Location, TellAt, WithDiagnostics};
use crate::file;
use quantities::length::{Entry, Length};
use quantities::mass::Mass;

use super::rows::{AsMade, Side};
use super::schema::{FORMAT, FindingAnswer, FindingKind, Limit, ShapeRow, Source, TableOfLimits, Value};
use super::value::Numbers;
use super::{Limits, value};

/// More rows of one kind than any table has; checks that compare rows with one another stop there.
const MOST_ROWS: usize = 500;

/// A table looked through once: what is wrong with it, and its limits where it can be judged by.
#[derive(Clone, Debug)]
pub struct Reviewed {
    /// Its limits; none where something of it is an error that makes judging by it impossible.
    pub limits: Option<Limits>,
    /// Every problem, errors first; of several at one place the first.
    pub diagnostics: Vec<Diagnostic>,
}

/// Looks a table through: every printed number is read once, for its misprints and for its limits.
pub fn review(table: &TableOfLimits) -> Reviewed {
    let numbers = Numbers::new(table.unit);
    let mut check = Check { table, numbers: &numbers, reported: Vec::new(), is_absurd: false };
    heading(&mut check);
    frame::stations(&mut check);
    frame::axes(&mut check);
    frame::ring_travel(&mut check);
    oversizes::bore(&mut check);
    oversizes::wall(&mut check);
    figures(&mut check);
    fits::parts(&mut check);
    fits::fits(&mut check);
    fits::ring_gaps(&mut check);
    findings(&mut check);
    let resolved = if check.is_absurd { Err(Vec::new()) } else { Limits::resolve_by(table, &numbers) };
    let (limits, unresolved) = match resolved {
        Ok(limits) => (Some(limits), Vec::new()),
        Err(errors) => (None, errors),
    };
    let limits = limits.filter(|_| !check.reported.iter().any(Diagnostic::is_error));
    let errors = check.reported.iter().filter(|known| known.is_error());
    let known: BTreeSet<String> = errors.map(|known| known.path.to_string()).collect();
    check.reported.extend(unresolved.into_iter().filter(|error| !known.contains(&error.path.to_string())));
    // By such a table is judged all the same: the row is missing in every cylinder, and never a pass.
    frame::second_axis(&mut check);
    let mut diagnostics = check.reported;
    diagnostics.sort_by_key(|diagnostic| Reverse(diagnostic.severity));
    Reviewed { limits, diagnostics }
}

/// Everything there is to tell of the text of a table: that it cannot be read, or what is wrong with it.
pub fn check_text(text: &str, file: Option<&Path>) -> Vec<Diagnostic> {
    let WithDiagnostics { value, mut diagnostics } = file::limits_from_text(text, file);
    diagnostics.extend(value.iter().flat_map(validate));
    diagnostics
}

/// Every problem of a table, errors first.
pub fn validate(table: &TableOfLimits) -> Vec<Diagnostic> {
    review(table).diagnostics
}

/// As [`validate`], for a table that stands within another file: `way` leads from the file's top to it.
pub fn validate_within(table: &TableOfLimits, way: &FieldPath) -> Vec<Diagnostic> {
    within(validate(table), way)
}

fn within(mut reported: Vec<Diagnostic>, way: &FieldPath) -> Vec<Diagnostic> {
    for diagnostic in &mut reported {
        diagnostic.path.0.splice(0..0, way.0.iter().cloned());
    }
    reported
}

/// The limits of a table that holds no error: by one that cannot be right as it stands nothing is judged.
///
/// `way` leads from the file's top to the table. Notes are not told here: they are for whoever checks the table.
///
/// # Errors
/// Every error of [`review`].
pub fn sound(table: &TableOfLimits, way: &FieldPath) -> Result<Limits, Vec<Diagnostic>> {
    let Reviewed { limits, diagnostics } = review(table);
    limits.ok_or_else(|| within(diagnostics, way).into_iter().filter(Diagnostic::is_error).collect())
}

/// A row in words: what it is, its reference number, its place in the manual.
fn row_words(what: &str, reference: &str, place: &str) -> String {
    let mut words = what.to_owned();
    if !reference.is_empty() {
        words = format!("{words}, reference {reference}");
    }
    if !place.is_empty() {
        words = format!("{words} ({place})");
    }
    words
}

/// Which way a size wears, and so on which side its limit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wears {
    /// A hole or a clearance: its limit is a largest.
    Larger,
    /// A shaft: its limit is a smallest.
    Smaller,
}

/// The table, and what there is to tell about it.
struct Check<'a> {
    table: &'a TableOfLimits,
    numbers: &'a Numbers,
    reported: Vec<Diagnostic>,
    /// A list of it is so long that its rows are not compared with one another.
    is_absurd: bool,
}

impl TellAt for Check<'_> {
    fn reported(&mut self) -> &mut Vec<Diagnostic> {
        &mut self.reported
    }
}

impl<'a> Check<'a> {
    /// Reads a printed number without telling anything.
    fn silently(&self, value: &Value) -> Option<Entry> {
        self.numbers.parse(value).ok().map(|printed| printed.entry)
    }

    /// Reads a pair without telling anything.
    fn pair_silently(&self, pair: &(Value, Value)) -> Option<(Entry, Entry)> {
        self.silently(&pair.0).zip(self.silently(&pair.1))
    }

    /// Reads a printed number; tells if it cannot be read or its columns disagree.
    fn value(&mut self, value: &Value, location: &Location) -> Option<Entry> {
        let location = if value.place.is_empty() { location.clone() } else { location.detail(&value.place) };
        match self.numbers.parse(value) {
            Ok(printed) => {
                let other = printed.other.map(|other| (printed.entry, other));
                if let Some((message, remedy)) =
                    other.and_then(|(front, other)| columns::disagreement(front, other))
                {
                    self.error(&location, message, remedy);
                } else if let Some((message, remedy)) =
                    other.and_then(|(front, other)| columns::finer_second(front, other))
                {
                    self.note(&location, message, remedy);
                }
                Some(printed.entry)
            }
            Err(error) => {
                self.error(&location, format!("{error}."), "");
                None
            }
        }
    }

    /// As [`Self::value`], for an amount that cannot be negative.
    fn amount(&mut self, value: &Value, location: &Location) -> Option<Entry> {
        let entry = self.value(value, location)?;
        if entry.length < Length::ZERO {
            self.error(location, format!("{} is negative.", text(entry)), "Write it without the minus sign.");
        }
        Some(entry)
    }

    /// Reads an as-made minimum and maximum; tells if they stand in the wrong order.
    fn pair(&mut self, pair: &(Value, Value), location: &Location) -> Option<(Entry, Entry)> {
        let least = self.value(&pair.0, &location.element(0));
        let most = self.value(&pair.1, &location.element(1));
        let (least, most) = least.zip(most)?;
        if least.length > most.length {
            let (message, remedy) = columns::wrong_order(least, most);
            self.error(location, message, remedy);
        }
        Some((least, most))
    }

    /// Checks a serviceable limit against the as-made range.
    fn limit(
        &mut self,
        limit: Option<&Limit>,
        new: Option<(Entry, Entry)>,
        wears: Wears,
        location: &Location,
    ) {
        match limit {
            None => self.no_limit(location),
            Some(Limit::At(value)) => {
                let limit = self.value(value, location);
                if let Some((limit, new)) = limit.zip(new) {
                    self.beyond_new(limit, new, wears, location);
                }
            }
            Some(Limit::OverNew(value)) => {
                self.amount(value, location);
            }
            Some(Limit::PerBore(value)) => self.ratio(value, location),
            Some(Limit::PerTravel(value)) => {
                self.ratio(value, location);
                if self.table.ring_travel.is_none() {
                    self.error(
                        location,
                        "This limit is per unit of ring travel, but the table does not give the ring travel.",
                        "Write `ring_travel: (top, bottom)`.",
                    );
                }
            }
        }
    }

    fn beyond_new(&mut self, limit: Entry, new: (Entry, Entry), wears: Wears, location: &Location) {
        let (wrong, side, kind) = match wears {
            Wears::Larger => (limit.length < new.1.length, new.1, "wears larger, so its limit is a largest"),
            Wears::Smaller => {
                (limit.length > new.0.length, new.0, "wears smaller, so its limit is a smallest")
            }
        };
        if wrong {
            self.error(
                location,
                format!(
                    "The serviceable limit {} would reject a new part: new it may have {}.",
                    text(limit),
                    text(side)
                ),
                format!("It {kind}: look up the limit and the as-made range in the manual."),
            );
        }
    }

    fn ratio(&mut self, value: &Value, location: &Location) {
        match value::ratio(value) {
            Ok(ratio) if ratio.is_negative() => {
                self.error(
                    location,
                    format!("{} is negative.", value.text),
                    "Write it without the minus sign.",
                );
            }
            Ok(_) => {}
            Err(error) => self.error(location, format!("{error}."), ""),
        }
    }

    fn no_limit(&mut self, location: &Location) {
        self.note(
            location,
            "No limit is given: it will not count as a pass.",
            "Copy the limit if the manual gives one; a blank stays a blank.",
        );
    }

    /// Tells if a list is too long to compare its rows with one another.
    fn too_many(&mut self, count: usize, most: usize, location: &Location) -> bool {
        if count > most {
            self.error(
                location,
                format!("There are {count}; no table has more than {most}."),
                "Check that the file is a table of limits of one engine.",
            );
        }
        self.is_absurd |= count > most;
        count > most
    }

    fn ppm(&mut self, ppm: Option<f64>, location: &Location) {
        if let Some(ppm) = ppm
            && !sensible_ppm(ppm)
        {
            self.error(
                location,
                format!("An expansion coefficient of {ppm} millionths per kelvin is out of the question."),
                "Write it in millionths per kelvin: about 11.5 for steel, 23 for aluminium.",
            );
        }
    }
}

/// Can this be an expansion coefficient in millionths per kelvin? From the least of alloys to the greatest of
/// metals; 0.000 011 5, written per kelvin, cannot.
pub(crate) fn sensible_ppm(ppm: f64) -> bool {
    (0.1..=50.0).contains(&ppm)
}

/// A length as it was written.
fn text(entry: Entry) -> String {
    entry.length.text(entry.style)
}

/// Identity, source and the numbers that stand alone.
fn heading(check: &mut Check<'_>) {
    let table = check.table;
    if table.format != FORMAT {
        check.error(
            &Location::top("format", "table"),
            format!("This table is of format {}; known is {FORMAT}.", table.format),
            format!("Write `format: {FORMAT}`."),
        );
    }
    for (name, text) in
        [("identity", &table.identity), ("revision", &table.revision), ("engine", &table.engine)]
    {
        if text.trim().is_empty() {
            check.error(
                &Location::top(name, "table"),
                format!("`{name}` is blank."),
                "Write it: a record and a report name the table by it.",
            );
        }
    }
    let source = Location::top("source", "table");
    match &table.source {
        Source::Manual { document, .. } if document.trim().is_empty() => check.error(
            &source.field("document"),
            "The numbers are said to come from a manual, but none is named.",
            "Write the document's title and number, or mark the table as `Illustrative(remark: ...)`.",
        ),
        Source::Illustrative { remark } if remark.trim().is_empty() => check.note(
            &source.field("remark"),
            "The table is illustrative, but nothing says what it illustrates.",
            "Write a remark.",
        ),
        Source::Manual { .. } | Source::Illustrative { .. } => {}
    }
    if let Some(stroke) = &table.stroke {
        let location = Location::top("stroke", "stroke");
        if let Some(stroke) = check.amount(stroke, &location)
            && stroke.length == Length::ZERO
        {
            check.error(&location, "The stroke is nothing.", "Write the stroke, or leave the field out.");
        }
    }
    if table.cylinders == Some(0) {
        check.error(
            &Location::top("cylinders", "table"),
            "An engine has at least one cylinder.",
            "Write how many, or leave the field out.",
        );
    }
    check.ppm(table.barrel_expansion_ppm, &Location::top("barrel_expansion_ppm", "barrel"));
}

/// The rows of the shape, and piston weights.
fn figures(check: &mut Check<'_>) {
    let table = check.table;
    for row in table.shape_rows() {
        let name = row.kind.name();
        let location = Location::top(name.key(), row_words(name.words(), &row.reference, &row.place));
        shape_row(check, &row, &location);
        frame::row_stations(check, &row, &location);
    }
    if let Some(row) = &table.piston_weight_spread
        && let Err(error) = Mass::parse(&row.most)
    {
        let words = row_words("piston weights", &row.reference, &row.place);
        check.error(&Location::top("piston_weight_spread", words).field("most"), format!("{error}."), "");
    }
}

/// What a row of the shape gives of a new barrel, and its limit against that.
fn shape_row(check: &mut Check<'_>, row: &ShapeRow, location: &Location) {
    let (name, fields) = (row.kind.name(), row.kind.name().fields());
    let as_made = location.field("new");
    let new = match (fields.new, &row.new) {
        (AsMade::Greatest, (_, Some(most))) => check.amount(most, &as_made).map(|most| (most, most)),
        (AsMade::Both, (Some(least), Some(most))) => check.pair(&(least.clone(), most.clone()), &as_made),
        _ => None,
    };
    let at = location.field(fields.limit);
    let limit = match &row.limit {
        Some(Limit::At(limit)) => check.silently(limit),
        _ => None,
    };
    if name.side() == Side::AtLeast {
        match &row.limit {
            None => check.no_limit(&at),
            Some(limit) => {
                check.value(&limit.clone().into_value(), &at);
            }
        }
        if let (Some(least), Some((new, _))) = (limit, new)
            && least.length > new.length
        {
            check.error(
                &at,
                format!(
                    "The least {} {} is more than the least of a new barrel, {}.",
                    name.words(),
                    text(least),
                    text(new)
                ),
                format!("Wear takes {} away: look both up in the manual.", name.words()),
            );
        }
        return;
    }
    check.limit(row.limit.as_ref(), new, Wears::Larger, &at);
    if limit.is_some_and(|limit| limit.length < Length::ZERO) {
        check.error(
            &at,
            "The limit is negative.",
            "It limits the magnitude: write it without the minus sign.",
        );
    }
}

/// The table's own answers to findings.
fn findings(check: &mut Check<'_>) {
    let mut seen: Vec<FindingKind> = Vec::new();
    for (i, rule) in check.table.findings.iter().enumerate() {
        let words = row_words(rule.kind.words(), "", &rule.place);
        let location = Location::top("findings", "").element(i).called(words);
        if seen.contains(&rule.kind) {
            check.error(
                &location.field("kind"),
                "This finding is answered twice.",
                "Keep only one of the answers.",
            );
        } else {
            seen.push(rule.kind);
        }
        if let Some(size) = &rule.repairable_to {
            check.amount(size, &location.field("repairable_to"));
        }
        for (j, size) in rule.on_adjacent_fins.iter().enumerate() {
            check.amount(size, &location.field("on_adjacent_fins").element(j));
        }
        let limits_an_amount =
            rule.repairable_to.is_some() || !rule.on_adjacent_fins.is_empty() || rule.total_area.is_some();
        if rule.answer == FindingAnswer::Replace && limits_an_amount {
            check.note(
                &location.field("answer"),
                "The answer is to replace the part, whatever the amount: what may be repaired is not used.",
                "Write answer: Repair if the amount decides, or leave the amounts out.",
            );
        }
    }
    let location = Location::top("clean_up_allowance", "clean-up allowance");
    check.amount(&check.table.clean_up_allowance, &location);
}

#[cfg(test)]
mod tests;
