//! Two numbers that should go together and do not: an inch and a millimetre column, a minimum and a maximum.
//!
//! Guesses are only ever put into words for a person; nothing is corrected.

use quantities::length::{Entry, Length, Style, Unit};

use super::text;

/// One of a unit, in tenths of a nanometre.
fn one(unit: Unit) -> i128 {
    Length::parse("1", unit).map_or(0, |entry| i128::from(entry.length.tenths_of_nm()))
}

/// Do two printed lengths agree to half a unit in the last place of the coarser one?
pub(super) fn agree(a: Entry, b: Entry) -> bool {
    let apart = (i128::from(a.length.tenths_of_nm()) - i128::from(b.length.tenths_of_nm())).abs();
    // Agreeing at the coarser of the two is agreeing at either of them.
    let within = |style: Style| {
        10_i128
            .checked_pow(u32::from(style.decimals))
            .and_then(|power| apart.checked_mul(2)?.checked_mul(power))
            .is_some_and(|scaled| scaled <= one(style.unit))
    };
    apart == 0 || within(a.style) || within(b.style)
}

/// The same digits with the decimal sign moved: ten times as much, or a tenth.
fn moved_point(entry: Entry) -> impl Iterator<Item = Entry> {
    let Entry { length, style } = entry;
    let more = style.decimals.checked_sub(1).and_then(|decimals| {
        let tenths = length.tenths_of_nm().checked_mul(10)?;
        Some(Entry { length: Length::from_tenths_of_nm(tenths), style: Style { decimals, ..style } })
    });
    let less = (length.tenths_of_nm() % 10 == 0).then(|| Entry {
        length: Length::from_tenths_of_nm(length.tenths_of_nm() / 10),
        style: Style { decimals: style.decimals.saturating_add(1), ..style },
    });
    [more, less].into_iter().flatten()
}

/// The same number with two neighbouring digits exchanged, once for each two that differ.
fn exchanged(entry: Entry) -> Vec<Entry> {
    let written: Vec<char> = entry.length.number(entry.style).chars().collect();
    let digits: Vec<usize> =
        written.iter().enumerate().filter(|(_, c)| c.is_ascii_digit()).map(|(i, _)| i).collect();
    let swap = |pair: &[usize]| {
        let mut other = written.clone();
        let &[i, j] = pair else { return None };
        if written.get(i) == written.get(j) {
            return None;
        }
        other.swap(i, j);
        Length::parse(&other.into_iter().collect::<String>(), entry.style.unit).ok()
    };
    digits.windows(2).filter_map(swap).collect()
}

/// The other column's length as this column would print it, if that differs in a single digit.
fn one_digit_off(entry: Entry, other: Entry) -> Option<Entry> {
    let (as_printed, intended) = (entry.length.number(entry.style), other.length.number(entry.style));
    let same_length = as_printed.chars().count() == intended.chars().count();
    let differing = as_printed.chars().zip(intended.chars()).filter(|(a, b)| a != b).count();
    (same_length && differing == 1).then(|| Length::parse(&intended, entry.style.unit).ok()).flatten()
}

/// Entries as a list: `0.0015 in, or 0.0038 mm`.
fn either(entries: &[Entry]) -> String {
    entries.iter().map(|entry| text(*entry)).collect::<Vec<_>>().join(", or ")
}

/// What happened to a column, if it can be guessed, as a sentence.
fn guess(front: Entry, other: Entry) -> Option<String> {
    let moved: Vec<Entry> = moved_point(front)
        .filter(|&candidate| agree(candidate, other))
        .chain(moved_point(other).filter(|&candidate| agree(front, candidate)))
        .collect();
    if !moved.is_empty() {
        return Some(format!("A zero may be lost or too many: {} would agree.", either(&moved)));
    }
    let swapped: Vec<Entry> = exchanged(front)
        .into_iter()
        .filter(|&candidate| agree(candidate, other))
        .chain(exchanged(other).into_iter().filter(|&candidate| agree(front, candidate)))
        .collect();
    if !swapped.is_empty() {
        return Some(format!("Two digits may be exchanged: {} would agree.", either(&swapped)));
    }
    let wrong: Vec<Entry> =
        one_digit_off(front, other).into_iter().chain(one_digit_off(other, front)).collect();
    (!wrong.is_empty()).then(|| format!("One digit may be wrong: {} would agree.", either(&wrong)))
}

/// Message and remedy, if the two columns of a value disagree.
pub(super) fn disagreement(front: Entry, other: Entry) -> Option<(String, String)> {
    if agree(front, other) {
        return None;
    }
    let message = format!(
        "The two columns disagree: {} is {}, but {} is printed, which is {}.",
        text(front),
        front.length.text(other.style),
        text(other),
        other.length.text(front.style),
    );
    let guess = guess(front, other).map(|guess| format!("{guess} ")).unwrap_or_default();
    Some((message, format!("{guess}Look it up in the manual and correct the column that is wrong.")))
}

/// Message and remedy, if the second column is the finer one and the one in front is only a rounding of it: the two
/// agree, but what counts is not what the finer one says.
pub(super) fn finer_second(front: Entry, other: Entry) -> Option<(String, String)> {
    let finer = other.style.last_digit() < front.style.last_digit();
    let rounded = Entry { style: other.style, ..front };
    if !finer || !agree(front, other) || front.length.number(other.style) == other.length.number(other.style)
    {
        return None;
    }
    let message = format!(
        "The second column is the finer one: {}. The one in front counts, and is {}.",
        text(other),
        text(rounded)
    );
    Some((message, format!("If the manual holds to the finer one, write {} in front.", text(other))))
}

/// Message and remedy for a minimum above its maximum.
pub(super) fn wrong_order(least: Entry, most: Entry) -> (String, String) {
    let message = format!("The minimum {} is larger than the maximum {}.", text(least), text(most));
    // A tolerance is a small part of a size: only an exchange that leaves one so small is worth naming.
    let plausible = |least: Length, most: Length| {
        least < most && (most - least).tenths_of_nm() < most.abs().tenths_of_nm() / 100
    };
    let swapped: Vec<Entry> = exchanged(least)
        .into_iter()
        .filter(|candidate| plausible(candidate.length, most.length))
        .chain(exchanged(most).into_iter().filter(|candidate| plausible(least.length, candidate.length)))
        .collect();
    let guess = if swapped.is_empty() {
        "Minimum and maximum may be exchanged.".to_owned()
    } else {
        format!("Two digits may be exchanged: {} would be in order.", either(&swapped))
    };
    (message, format!("{guess} Look both up in the manual."))
}
