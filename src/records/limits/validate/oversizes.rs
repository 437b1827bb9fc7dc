//! The bore's rows: standard and the ladder of oversizes above it, and how far the wall may be cut.

use crate::diag::TellAt;
use std::collections::BTreeSet;

use crate::limits::schema::{BoreRow, Cut, Limit, Size, Surface};
use crate::limits::value;
use quantities::length::{Entry, Length, Unit};

use super::{Check, Location, MOST_ROWS, Wears, columns, row_words, text};

/// A bore row in words.
fn words(row: &BoreRow) -> String {
    let what = match &row.size {
        Size::Standard => "bore row standard".to_owned(),
        Size::Oversize(text) => format!("bore row oversize {text}"),
    };
    row_words(&what, &row.reference, &row.place)
}

fn location(index: usize, row: &BoreRow) -> Location {
    Location::top("bore", "").element(index).called(words(row))
}

/// Every bore row by itself, and against standard.
pub(super) fn bore(check: &mut Check<'_>) {
    let table = check.table;
    let all = Location::top("bore", "bore");
    let standard = table.bore.iter().find(|row| row.size == Size::Standard);
    if standard.is_none() {
        check.error(
            &all,
            "There is no row for the standard bore.",
            "Write one: the finished size of every oversize is counted from it.",
        );
    }
    if check.too_many(table.bore.len(), MOST_ROWS, &all) {
        return;
    }
    let mut sizes = BTreeSet::new();
    for (i, row) in table.bore.iter().enumerate() {
        let location = location(i, row);
        let new = check.pair(&row.new, &location.field("new"));
        if let Some((least, most)) = new {
            sensible(check, least, most, &location.field("new"));
        }
        check.limit(row.serviceable.as_ref(), new, Wears::Larger, &location.field("serviceable"));
        let Some(over) = oversize(check, row, standard, &location) else { continue };
        if !sizes.insert(over) {
            check.error(&location.field("size"), "Two rows are for this size.", "Keep only one of them.");
        }
        if let Some(standard) = standard
            && over > Length::ZERO
        {
            step(check, standard, row, over, &location);
        }
    }
}

/// Tells if a bore is of no engine's size.
fn sensible(check: &mut Check<'_>, least: Entry, most: Entry, location: &Location) {
    let limit = |text| Length::parse(text, Unit::Millimetre).map_or(Length::ZERO, |entry| entry.length);
    for (i, entry) in [least, most].into_iter().enumerate() {
        if entry.length < limit("1") || entry.length > limit("3000") {
            check.error(
                &location.element(i),
                format!("A bore of {} is out of the question; from 1 mm to 3 m can be.", text(entry)),
                format!("Check the digits, and whether it is meant in {}.", entry.style.unit.other()),
            );
        }
    }
}

/// How much a row is over standard; tells if that cannot be.
fn oversize(
    check: &mut Check<'_>,
    row: &BoreRow,
    standard: Option<&BoreRow>,
    location: &Location,
) -> Option<Length> {
    let at = location.field("size");
    let over = match value::oversize(&row.size, check.table.unit) {
        Ok(over) => over,
        Err(error) => {
            check.error(&at, format!("{error}."), "An oversize is written like Oversize(\"0.010\").");
            return None;
        }
    };
    if row.size != Size::Standard && over <= Length::ZERO {
        check.error(
            &at,
            "An oversize is more than nothing.",
            "Write how much it is over standard, or write Standard.",
        );
        return None;
    }
    let bore = standard.and_then(|row| check.silently(&row.new.0));
    if bore.is_some_and(|bore| bore.length > Length::ZERO && over * 10 > bore.length) {
        check.error(
            &at,
            "This oversize is more than a tenth of the bore.",
            "Write how much it is over standard, such as Oversize(\"0.010\"), not the finished size.",
        );
        return None;
    }
    Some(over)
}

/// Compares a row with standard plus its oversize.
fn step(check: &mut Check<'_>, standard: &BoreRow, row: &BoreRow, over: Length, location: &Location) {
    let sides = [(&standard.new.0, &row.new.0, "minimum"), (&standard.new.1, &row.new.1, "maximum")];
    for (i, (base, value, name)) in sides.into_iter().enumerate() {
        if let Some((base, value)) = check.silently(base).zip(check.silently(value))
            && let Some(expected) = off_step(base, value, over)
        {
            check.error(
                &location.field("new").element(i),
                format!(
                    "The as-made {name} {} is not the standard one plus the oversize, which is {expected}.",
                    text(value)
                ),
                "The finished size of an oversize is standard plus the oversize: look the row up in the manual.",
            );
        }
    }
    let at = location.field("serviceable");
    let limits = match (&standard.serviceable, &row.serviceable) {
        (Some(Limit::At(base)), Some(Limit::At(value))) => Some((base, value, over)),
        (Some(Limit::OverNew(base)), Some(Limit::OverNew(value))) => Some((base, value, Length::ZERO)),
        _ => None,
    };
    if let Some((base, value, over)) = limits
        && let Some((base, value)) = check.silently(base).zip(check.silently(value))
        && let Some(expected) = off_step(base, value, over)
    {
        // A maker may well set another limit for an oversize, so this is no error.
        check.note(
            &at,
            format!("The limit {} departs from the ladder, where it would be {expected}.", text(value)),
            "Look the row up in the manual.",
        );
    }
}

/// The text of what a value should be, if it is not `base` plus `over`.
fn off_step(base: Entry, value: Entry, over: Length) -> Option<String> {
    let expected = Entry { length: base.length + over, style: value.style };
    (!columns::agree(expected, value)).then(|| text(expected))
}

/// How far the wall may be cut, against the ladder.
pub(super) fn wall(check: &mut Check<'_>) {
    let table = check.table;
    let at = Location::top("wall", "wall").field("cut");
    match &table.wall.cut {
        Cut::Allowed => cut_without_bound(check, table.wall.surface, &at),
        Cut::NotAllowed => {
            never_used(
                check,
                Length::ZERO,
                "There is a row for this oversize, but the wall may not be cut at all.",
            );
        }
        Cut::NoDeeperThan(depth) => {
            if let Some(depth) = check.amount(depth, &at) {
                let message = format!(
                    "Half of this oversize is cut from each side, deeper than the {} that the wall allows.",
                    text(depth)
                );
                never_used(check, depth.length * 2, &message);
            }
        }
    }
}

/// Notes that a hard surface may be cut without any bound.
fn cut_without_bound(check: &mut Check<'_>, surface: Surface, location: &Location) {
    let hard = match surface {
        Surface::Plain => return,
        Surface::Nitrided => "A nitrided case is only a few thousandths of an inch deep",
        Surface::ChromiumPlated => "Plating is thin",
    };
    check.note(
        location,
        format!("{hard}, but the table lets the wall be cut as far as the ladder goes."),
        "Look up how deep it may be cut, and write NoDeeperThan(...) or NotAllowed.",
    );
}

/// Notes every oversize above what the wall allows on the diameter.
fn never_used(check: &mut Check<'_>, allowed: Length, message: &str) {
    let table = check.table;
    for (i, row) in table.bore.iter().enumerate().take(MOST_ROWS) {
        if value::oversize(&row.size, table.unit).is_ok_and(|over| over > allowed) {
            let location = location(i, row).field("size");
            check.note(&location, message, "The row will never be used; look up which of the two is right.");
        }
    }
}
