//! Signatures, fields and what is broken, in words for people.

use super::{Broken, Verdict};
use records::record::schema::{AmendedValue, Amendment, Overhaul, Seal};
use records::survey::axis_words;

/// What a digest can show and what not; said wherever a signature is.
pub const WHAT_IT_SHOWS: &str = "It shows that something was changed after signing. It does not show who a person is: whoever can \
     write the file can sign it anew under any name.";

/// A closed overhaul, why it cannot be changed, and how it can.
pub fn closed_words(seal: &Seal) -> String {
    format!(
        "This overhaul was signed by {} ({}) on {} and can no longer be changed.",
        seal.name, seal.certificate, seal.date
    )
}

/// How a closed overhaul is changed all the same.
pub const HOW_TO_AMEND: &str =
    "A change is an amendment: start one under the signature in the window, or use `borewright amend`.";

/// `signed by A. Person (invented 1) on 2024-02-29`.
pub fn signed_words(seal: &Seal) -> String {
    format!("signed by {} ({}) on {}", seal.name, seal.certificate, seal.date)
}

/// `2024-02-29, B. Person (invented 2): misread`.
pub fn who_words(amendment: &Amendment) -> String {
    format!("{}, {} ({}): {}", amendment.date, amendment.name, amendment.certificate, amendment.why)
}

/// How a signed overhaul stands, as a sentence.
pub fn verdict_words(seal: &Seal, verdict: &Verdict) -> String {
    let amended = match verdict.amendments {
        0 => String::new(),
        1 => ", amended once".to_owned(),
        n => format!(", amended {n} times"),
    };
    let open = seal
        .open
        .as_ref()
        .map_or(String::new(), |open| format!(" An amendment by {} on {} is open.", open.name, open.date));
    if verdict.holds() {
        format!("It is as it was {}{amended}.{open}", signed_words(seal))
    } else {
        format!("It was changed after it was {}{amended}.{open}", signed_words(seal))
    }
}

/// Where a signed overhaul is not as it was signed, as a sentence.
pub fn broken_words(broken: &Broken, overhaul: &Overhaul) -> String {
    match broken {
        Broken::Form(form) => {
            format!("It was signed in form {form}, which this program does not know: use the newer program.")
        }
        Broken::Part(part) => format!("Not as it was signed: {}.", part_words(part, overhaul)),
        Broken::Signature => {
            "The signature itself is not as it was made: its name, certificate, date or digest was changed."
                .to_owned()
        }
        Broken::Link(number) => format!(
            "Amendment {number} is not as it was closed, or is not the one that followed at this place."
        ),
        Broken::Value { amendment, change, found } => {
            let which =
                amendment.map_or("the open amendment".to_owned(), |number| format!("amendment {number}"));
            format!(
                "{}: {} stands there, but {which} left {}.",
                field_words(&change.field, overhaul),
                value_words(found.as_deref()),
                value_words(change.after.as_deref()),
            )
        }
    }
}

/// A value, or that there is none.
pub fn value_words(value: Option<&str>) -> String {
    value.map_or("nothing".to_owned(), |value| format!("\u{201c}{value}\u{201d}"))
}

/// A change as a line: `cylinder 3, station B, thrust axis, repeat 1: “+21” before, “+24” now`.
pub fn change_words(change: &AmendedValue, overhaul: &Overhaul) -> String {
    format!(
        "{}: {} before, {} now",
        field_words(&change.field, overhaul),
        value_words(change.before.as_deref()),
        value_words(change.after.as_deref())
    )
}

fn part_words(part: &str, overhaul: &Overhaul) -> String {
    match part {
        "engine" => "the engine's model or serial".to_owned(),
        "table" => "the table of limits".to_owned(),
        "overhaul" => {
            "what concerns the whole overhaul (day, hours, inspector, gauges and the like)".to_owned()
        }
        other => field_words(other, overhaul),
    }
}

/// The number in brackets in front of a path, counted from 0, and the rest behind it.
fn element(path: &str) -> Option<(usize, &str)> {
    let (number, rest) = path.strip_prefix('[')?.split_once(']')?;
    Some((number.parse().ok()?, rest))
}

/// A field of the canonical form in the words of the trade, as far as the overhaul has what it names.
pub fn field_words(path: &str, overhaul: &Overhaul) -> String {
    let plain = |path: &str| path.trim_start_matches('.').replace('_', " ").replace('.', ", ");
    if let Some(rest) = path.strip_prefix("table.") {
        return format!("table of limits, {}", plain(rest));
    }
    if let Some(rest) = path.strip_prefix("engine.") {
        return format!("engine {}", plain(rest));
    }
    let Some(path) = path.strip_prefix("overhaul.") else { return plain(path) };
    if path == "cylinders[]" {
        return "how many cylinders there are".to_owned();
    }
    let Some((index, rest)) = path.strip_prefix("cylinders").and_then(element) else { return plain(path) };
    let written = overhaul.cylinders.get(index);
    let position = written.map_or(format!("number {}", index + 1), |cylinder| cylinder.position.clone());
    let cylinder = format!("cylinder {position}");
    if rest.is_empty() {
        return cylinder;
    }
    if rest == ".readings[]" {
        return format!("{cylinder}, how many places are measured");
    }
    let Some((reading, rest)) = rest.strip_prefix(".readings").and_then(element) else {
        return format!("{cylinder}, {}", plain(rest));
    };
    let place = written.and_then(|cylinder| cylinder.readings.get(reading)).map_or_else(
        || format!("reading number {}", reading + 1),
        |reading| format!("station {}, {}", reading.station, axis_words(&reading.axis)),
    );
    match rest.strip_prefix(".entered").and_then(element) {
        Some((repeat, _)) => format!("{cylinder}, {place}, repeat {}", repeat + 1),
        None if rest == ".entered[]" => format!("{cylinder}, {place}, how many repeats"),
        None => format!("{cylinder}, {place}, {}", plain(rest)),
    }
}
