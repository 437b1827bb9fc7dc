//! A number in a table: its unit may stand with it, in a column beside it, or in its heading.

use super::heading::{StatedUnit, unit_word};
use quantities::length::{Decimal, Entry, Length, LengthError, Unit};

/// What is wrong with a number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// It is the cell of its unit that is wrong, not its own.
    pub in_unit: bool,
    /// What, as a part of a sentence.
    pub message: String,
    /// What to do, as a sentence; empty where the message says it.
    pub remedy: &'static str,
}

impl Wrong {
    fn number(message: impl Into<String>, remedy: &'static str) -> Self {
        Self { in_unit: false, message: message.into(), remedy }
    }
}

/// The unit that a length is in.
pub fn length_unit(unit: &StatedUnit) -> Option<Unit> {
    match unit {
        StatedUnit::Length(word) => {
            Length::parse(&format!("1 {word}"), Unit::Inch).ok().map(|one| one.style.unit)
        }
        StatedUnit::Graduations => None,
    }
}

/// What a number counts where it does not say so itself: as its row says, or its heading. All that say it must agree.
///
/// # Errors
/// Two that do not.
pub fn unit_of(
    text: &str,
    beside: Option<StatedUnit>,
    heading: Option<&StatedUnit>,
) -> Result<Option<StatedUnit>, Wrong> {
    let conflict = |one: &str, says: &str, other: &str, otherwise: &StatedUnit| {
        let message = format!("{one} says {says}, and {other} says {}", otherwise.word());
        Wrong::number(message, "Correct one of the two, or leave the column for the unit unused.")
    };
    const BESIDE: &str = "the column for the unit";
    const HEADING: &str = "its heading";
    let carried = Decimal::read(text.trim()).map_or("", |number| number.rest);
    if !carried.is_empty() {
        // What is no unit is told when the number is read.
        let Some(own) = length_unit(&StatedUnit::Length(carried.to_owned())) else { return Ok(None) };
        let said = [(BESIDE, beside.as_ref()), (HEADING, heading)];
        let differs = |unit: &StatedUnit| length_unit(unit) != Some(own);
        let differing =
            said.into_iter().find_map(|(by, unit)| Some((by, unit.filter(|unit| differs(unit))?)));
        return match differing {
            Some((by, unit)) => Err(conflict("itself", own.symbol(), by, unit)),
            None => Ok(None),
        };
    }
    match (beside, heading) {
        (Some(beside), Some(heading)) if beside != *heading => {
            Err(conflict(BESIDE, beside.word(), HEADING, heading))
        }
        (beside, heading) => Ok(beside.or_else(|| heading.cloned())),
    }
}

/// Reads a length. `beside` is what the column for the unit holds, `usual` the unit where nothing names one.
///
/// # Errors
/// It is no length, or what says its unit is no unit or does not agree.
#[inline]
pub fn length(text: &str, beside: &[u8], heading: Option<&StatedUnit>, usual: Unit) -> Result<Entry, Wrong> {
    // Nearly every number is a bare one, with one of the two units beside it or none.
    let unit = if beside.is_empty() {
        Some(usual)
    } else {
        let symbol = |unit: &Unit| beside.eq_ignore_ascii_case(unit.symbol().as_bytes());
        [Unit::Inch, Unit::Millimetre].into_iter().find(symbol)
    };
    if let (None, Some(unit)) = (heading, unit) {
        match Length::parse(text, unit) {
            Ok(entry) if beside.is_empty() || entry.style.unit == unit => return Ok(entry),
            Ok(_) => {}
            Err(error) => return Err(Wrong::number(error.to_string(), "")),
        }
    }
    with_unit(text, beside, heading, usual)
}

fn with_unit(text: &str, beside: &[u8], heading: Option<&StatedUnit>, usual: Unit) -> Result<Entry, Wrong> {
    let word = String::from_utf8_lossy(beside);
    let beside = match StatedUnit::of(&word) {
        _ if word.is_empty() => None,
        Some(unit @ StatedUnit::Length(_)) => Some(unit),
        _ => {
            let message = LengthError::UnknownUnit(word.into_owned()).to_string();
            return Err(Wrong { in_unit: true, message, remedy: "" });
        }
    };
    let parsed = match unit_of(text, beside, heading)? {
        None => Length::parse(text, usual),
        Some(StatedUnit::Graduations) => {
            return Err(Wrong::number("a diameter cannot be in graduations", "Write it as a length."));
        }
        Some(StatedUnit::Length(word)) => match unit_word(&word) {
            Some(unit) => Length::parse(text, unit),
            // Behind no number it would hide what is wrong.
            None if Decimal::read(text).is_err() => Length::parse(text, usual),
            None => Length::parse(&format!("{text} {word}"), usual),
        },
    };
    parsed.map_err(|error| Wrong::number(error.to_string(), ""))
}

/// The number of a repeat, where one is written.
///
/// # Errors
/// It is none, as a part of a sentence.
#[inline]
pub fn repeat(cell: &[u8]) -> Result<Option<u32>, String> {
    if cell.is_empty() {
        return Ok(None);
    }
    let number = std::str::from_utf8(cell).ok().and_then(|text| text.parse().ok());
    number.map(Some).ok_or_else(|| format!("`{}` is not the number of a repeat", super::shown(cell, 40)))
}

/// Do a number and what stands behind it, in a column that is not used, look like one number with a decimal comma? Only
/// where commas part the columns.
pub fn in_two_columns(number: &[u8], behind: &[u8]) -> Option<(String, &'static str)> {
    let digits = |text: &[u8]| !text.is_empty() && text.iter().all(u8::is_ascii_digit);
    let unsigned = number.strip_prefix(b"+").or(number.strip_prefix(b"-")).unwrap_or(number);
    (digits(behind) && digits(unsigned)).then(|| {
        let [number, behind] = [number, behind].map(|cell| super::shown(cell, 40));
        let message =
            format!("`{number}` and `{behind}` behind it look like one number with a decimal comma");
        (
            message,
            "Save the file with semicolons between the columns, or write the number with a decimal point.",
        )
    })
}
