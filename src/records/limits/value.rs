//! What a number printed in a table of limits means: the only place where a [`Value`] becomes a length.
//!
//! A printed number may carry its unit, a second column in brackets in the other unit, and an `L` (loose, a
//! clearance, positive) or `T` (tight, an interference, negative). [`parse`] gives both columns as printed;
//! the first one counts, the second is only for finding misprints.
//!
//! A limit per unit of bore or travel has no unit. It is a [`Ratio`], exact to seven decimals.

use std::cell::RefCell;
use std::collections::BTreeMap;

use quantities::length::{Entry, Length, LengthError, Mean, Unit};

use super::schema::{Size, Value};

/// Parts of a [`Ratio`] in one: it is kept in ten-millionths.
const PARTS_PER_UNIT: i64 = 10_000_000;

/// A printed number: the one that counts, and the manual's second column where it prints one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Printed {
    /// The number in front, which counts; negative for an interference (T).
    pub entry: Entry,
    /// The number in brackets, with the same sign rule.
    pub other: Option<Entry>,
}

impl Printed {
    /// The length that counts.
    pub fn length(self) -> Length {
        self.entry.length
    }
}

/// Why a printed number means nothing. The message says what to write instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ValueError {
    /// One of its columns is no length.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// Brackets that do not pair, or nothing in front of them.
    #[error(
        "`{0}` has brackets that do not enclose a second column; write it like 5.7600 in (146.304 mm), or leave it out"
    )]
    Brackets(String),
    /// Both columns are in one unit.
    #[error("`{0}` has both columns in one unit ({1}); write the second one as {other}, or leave it out", other = .1.other())]
    OneUnit(String, Unit),
    /// A minus sign and an L or T.
    #[error(
        "`{0}` has both a minus sign and L or T; write only one of them, such as 0.0003 T for an interference"
    )]
    SignAndLetter(String),
    /// One column is loose and the other tight.
    #[error("`{0}` is loose (L) in one column and tight (T) in the other; look it up in the manual")]
    LooseAndTight(String),
    /// A limit per unit of bore or travel that is no plain number.
    #[error("`{0}` is not a plain number; a limit per unit of bore or travel has no unit, such as 0.0005")]
    NotARatio(String),
    /// A limit per unit with more than seven decimals.
    #[error("`{0}` has more than seven decimals and cannot be kept exactly; write fewer digits")]
    RatioTooFine(String),
}

/// Splits an L or T off the end: `Some(true)` is tight. Only a letter that stands alone or behind a digit, a
/// quote or a bracket counts, so that no unit is mistaken for one.
fn split_letter(text: &str) -> (&str, Option<bool>) {
    let text = text.trim();
    let tight = match text.chars().next_back() {
        Some('L' | 'l') => false,
        Some('T' | 't') => true,
        _ => return (text, None),
    };
    let rest = text.get(..text.len() - 1).unwrap_or_default();
    let alone =
        rest.ends_with(|c: char| c.is_ascii_digit() || c.is_whitespace() || matches!(c, '"' | ')' | '.'));
    if alone { (rest.trim_end(), Some(tight)) } else { (text, None) }
}

/// Splits the second column off: the text in front of a bracket that ends the text, and what is within.
fn split_columns(text: &str) -> Result<(&str, Option<&str>), ValueError> {
    let wrong = || ValueError::Brackets(text.to_owned());
    let Some((front, rest)) = text.split_once('(') else {
        return if text.contains(')') { Err(wrong()) } else { Ok((text, None)) };
    };
    let within = rest.strip_suffix(')').ok_or_else(wrong)?;
    if within.contains(['(', ')']) || front.trim().is_empty() {
        return Err(wrong());
    }
    Ok((front.trim(), Some(within.trim())))
}

/// Reads one column without its letter, and gives it the letter's sign.
fn column(text: &str, tight: Option<bool>, unit: Unit, whole: &str) -> Result<Entry, ValueError> {
    let mut entry = Length::parse(text, unit)?;
    if let Some(tight) = tight {
        if text.starts_with(['-', '\u{2212}']) {
            return Err(ValueError::SignAndLetter(whole.to_owned()));
        }
        if tight {
            entry.length = -entry.length;
        }
    }
    Ok(entry)
}

/// Reads a printed number, in `unit` unless the text names another.
///
/// Taken: `5.7600`, `5.7600 in (146.304 mm)`, `5.7600 (146.304)` with the other unit meant in brackets,
/// `0.0090 L`, `0.0003 T`, `0.0003 T (0.0076 mm)`; a letter on one column holds for both.
///
/// # Errors
/// [`ValueError`] if a column is no length, or the columns do not go together.
pub fn parse(value: &Value, unit: Unit) -> Result<Printed, ValueError> {
    let whole = value.text.trim();
    let (text, behind) = split_letter(whole);
    let (front, within) = split_columns(text)?;
    let (front, letter) = split_letter(front);
    let Some((within, letter_within)) = within.map(split_letter) else {
        return Ok(Printed { entry: column(front, letter.or(behind), unit, whole)?, other: None });
    };
    let letters = [letter, letter_within, behind];
    if letters.contains(&Some(true)) && letters.contains(&Some(false)) {
        return Err(ValueError::LooseAndTight(whole.to_owned()));
    }
    let tight = letters.into_iter().flatten().next();
    let entry = column(front, tight, unit, whole)?;
    let other = column(within, tight, entry.style.unit.other(), whole)?;
    if other.style.unit == entry.style.unit {
        return Err(ValueError::OneUnit(whole.to_owned(), entry.style.unit));
    }
    Ok(Printed { entry, other: Some(other) })
}

/// The printed numbers of one table, each read once, however many look at it.
#[derive(Debug)]
pub struct Numbers {
    unit: Unit,
    read: RefCell<BTreeMap<String, Result<Printed, ValueError>>>,
}

impl Numbers {
    /// None read yet, of a table in `unit`.
    pub fn new(unit: Unit) -> Self {
        Self { unit, read: RefCell::default() }
    }

    /// As [`parse`].
    ///
    /// # Errors
    /// Those of [`parse`].
    pub fn parse(&self, value: &Value) -> Result<Printed, ValueError> {
        if let Some(known) = self.read.borrow().get(&value.text) {
            return known.clone();
        }
        let read = parse(value, self.unit);
        self.read.borrow_mut().insert(value.text.clone(), read.clone());
        read
    }
}

/// A limit for each unit of bore or travel: 0.0005 is 0.0005 in per inch and 0.0005 mm per millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ratio(i64);

impl Ratio {
    /// So much for all of `length`, rounded down to a tenth of a nanometre.
    ///
    /// Every measured length is a whole number of tenths of a nanometre, and such a number is at most the
    /// exact limit if and only if it is at most the limit rounded down: no verdict changes.
    pub fn of(self, length: Length) -> Length {
        let product = i128::from(self.0) * i128::from(length.tenths_of_nm());
        let tenths = product.div_euclid(i128::from(PARTS_PER_UNIT));
        Length::from_tenths_of_nm(i64::try_from(tenths).unwrap_or(if tenths < 0 {
            i64::MIN
        } else {
            i64::MAX
        }))
    }

    /// As exact decimal text, such as `0.0005`.
    pub fn decimal_text(self) -> String {
        // A millimetre has as many tenths of a nanometre as one has parts here.
        Mean::from(Length::from_tenths_of_nm(self.0)).decimal_text(Unit::Millimetre).0
    }

    /// So much for all of `length`, not rounded: see [`Self::of`].
    pub fn of_unrounded(self, length: Length) -> Mean {
        Mean::from(length) * self.0 / PARTS_PER_UNIT
    }

    /// Less than nothing?
    pub fn is_negative(self) -> bool {
        self.0 < 0
    }
}

/// Reads a limit for each unit of bore or travel: a plain number without a unit.
///
/// # Errors
/// [`ValueError`] if it is no plain number or has more than seven decimals.
pub fn ratio(value: &Value) -> Result<Ratio, ValueError> {
    let text = value.text.trim();
    if text.contains(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '\u{2212}'))) {
        return Err(ValueError::NotARatio(text.to_owned()));
    }
    // A millimetre has as many tenths of a nanometre as one has parts here.
    match Length::parse(text, Unit::Millimetre) {
        Ok(entry) => Ok(Ratio(entry.length.tenths_of_nm())),
        Err(LengthError::TooFine(text)) => Err(ValueError::RatioTooFine(text)),
        Err(LengthError::NotANumber(text)) => Err(ValueError::NotARatio(text)),
        Err(other) => Err(other.into()),
    }
}

/// How much a size is above the standard one.
///
/// # Errors
/// [`LengthError`] if the oversize is no length.
pub fn oversize(size: &Size, unit: Unit) -> Result<Length, LengthError> {
    match size {
        Size::Standard => Ok(Length::ZERO),
        Size::Oversize(text) => Length::parse(text, unit).map(|entry| entry.length),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn printed(text: &str) -> Printed {
        parse(&Value::from(text), Unit::Inch).unwrap()
    }

    fn inches(text: &str) -> Length {
        Length::parse(text, Unit::Inch).unwrap().length
    }

    fn millimetres(text: &str) -> Length {
        Length::parse(text, Unit::Millimetre).unwrap().length
    }

    #[test]
    fn a_second_column_is_in_the_other_unit() {
        // US Army TM 9-2815-220-24, WP 0135, wear limit of the standard bore (grade P).
        for text in ["5.7600 in (146.304 mm)", "5.7600 (146.304)", " 5.7600 in ( 146.304 ) "] {
            let value = printed(text);
            assert_eq!(value.length(), inches("5.76"), "{text}");
            assert_eq!(value.other.unwrap().length, millimetres("146.304"), "{text}");
            assert_eq!(value.length(), value.other.unwrap().length, "{text}");
        }
        let metric = parse(&Value::from("146.304 (5.7600)"), Unit::Millimetre).unwrap();
        assert_eq!(metric.length(), metric.other.unwrap().length);
    }

    #[test]
    fn loose_is_positive_and_tight_is_negative() {
        assert_eq!(printed("0.0090 L").length(), inches("0.0090"));
        for text in ["0.0003 T", "0.0003T", "0.0003 in T", "0.0003\" T", "-0.0003"] {
            assert_eq!(printed(text).length(), inches("-0.0003"), "{text}");
        }
        for text in ["0.0003 T (0.00762 mm)", "0.0003 (0.00762 mm) T", "0.0003 in (0.00762 mm T)"] {
            let value = printed(text);
            assert_eq!(value.length(), value.other.unwrap().length, "{text}");
            assert_eq!(value.length(), inches("-0.0003"), "{text}");
        }
    }

    #[test]
    fn what_does_not_go_together_is_refused() {
        let refused = |text: &str| parse(&Value::from(text), Unit::Inch).unwrap_err();
        assert!(matches!(refused(""), ValueError::Length(LengthError::Empty)));
        assert!(matches!(refused("5.76 (146.304"), ValueError::Brackets(_)));
        assert!(matches!(refused("5.76) (146.304)"), ValueError::Length(_)));
        assert!(matches!(refused("(146.304 mm)"), ValueError::Brackets(_)));
        assert!(matches!(refused("5.76 in (5.76 in)"), ValueError::OneUnit(_, Unit::Inch)));
        assert!(matches!(refused("-0.0003 T"), ValueError::SignAndLetter(_)));
        assert!(matches!(refused("0.0003 T (0.0076 L)"), ValueError::LooseAndTight(_)));
        assert_eq!(
            refused("5.76 mm (146.304 mm)").to_string(),
            "`5.76 mm (146.304 mm)` has both columns in one unit (mm); write the second one as in, or leave it out"
        );
    }

    #[test]
    fn a_limit_per_unit_of_bore_is_exact_and_rounded_down() {
        let rate = ratio(&Value::from("0.0005")).unwrap();
        assert_eq!(rate.of(inches("5.125")), inches("0.0025625"));
        // 0.0001 of 0.0001 mm is 0.1 of a tenth of a nanometre: nothing is left.
        assert_eq!(ratio(&Value::from("0.0001")).unwrap().of(millimetres("0.0001")), Length::ZERO);
        assert!(matches!(ratio(&Value::from("0.0005 in")), Err(ValueError::NotARatio(_))));
        assert!(matches!(ratio(&Value::from("0.00000005")), Err(ValueError::RatioTooFine(_))));
        assert!(matches!(ratio(&Value::from("-")), Err(ValueError::NotARatio(_))));
    }

    proptest! {
        #[test]
        fn no_text_panics(text in "\\PC{0,40}|[0-9.,LTltinm()\" -]{0,300}") {
            let value = Value::from(text.as_str());
            parse(&value, Unit::Inch).ok();
            if let Ok(rate) = ratio(&value) {
                rate.of(Length::from_tenths_of_nm(i64::MAX));
            }
        }

        #[test]
        fn both_columns_of_an_exact_pair_agree(tenths in -2_000_000_i64..2_000_000) {
            let length = Length::from_tenths_of_nm(tenths * 25_400);
            let style = |unit| quantities::length::Style { unit, decimals: length.decimals(unit) };
            let text = format!("{} ({})", length.text(style(Unit::Inch)), length.text(style(Unit::Millimetre)));
            let value = printed(&text);
            prop_assert_eq!(value.length(), length);
            prop_assert_eq!(value.other.map(|other| other.length), Some(length));
        }
    }
}
