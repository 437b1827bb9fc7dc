//! Exact lengths: the only place where a text becomes a length, and where one unit becomes another.
//!
//! A [`Length`] is a whole number of tenths of a nanometre. Since 1 in = 25.4 mm exactly, a microinch is 254
//! of them and a ten-thousandth of a millimetre is 1 000 of them: every reading that a gauge can show, in
//! either unit, is held exactly, and so are sums, differences and comparisons with a limit. An `f64` is not
//! good enough: in binary, 5.128 - 5.125 is not <= 0.003.
//!
//! The mean of three readings is often no whole number of tenths of a nanometre. [`Mean`] holds such a value
//! as an exact fraction, so a mean can be compared with a limit without rounding.
//!
//! Floats begin where statistics begin: [`Length::to_mm`] and [`Mean::to_mm`] are the only ways out.

use std::cmp::Ordering;
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use serde::{Deserialize, Serialize};

/// Tenths of a nanometre in one millimetre.
const PER_MM: i64 = 10_000_000;
/// Tenths of a nanometre in one inch (25.4 mm exactly).
const PER_INCH: i64 = 254_000_000;
/// Ten metres. No length in this trade is longer; beyond it a text is refused, so that no sum of lengths and
/// no [`Mean`] overflows.
const LONGEST: i64 = 10_000 * PER_MM;

/// The unit that a table or a sheet is written in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Inches, 25.4 mm exactly.
    #[default]
    Inch,
    /// Millimetres.
    Millimetre,
}

impl Unit {
    /// The unit's symbol: `in` or `mm`.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Millimetre => "mm",
        }
    }

    /// Tenths of a nanometre in one of this unit.
    fn tenths_of_nm(self) -> i64 {
        match self {
            Self::Inch => PER_INCH,
            Self::Millimetre => PER_MM,
        }
    }

    /// The other of the two units.
    pub fn other(self) -> Self {
        match self {
            Self::Inch => Self::Millimetre,
            Self::Millimetre => Self::Inch,
        }
    }

    /// Decimals to show where nothing says otherwise: 0.0001 in or 0.001 mm.
    pub fn usual_decimals(self) -> u8 {
        match self {
            Self::Inch => 4,
            Self::Millimetre => 3,
        }
    }

    /// Turns a float in millimetres into this unit, for showing statistics.
    pub fn from_mm(self, mm: f64) -> f64 {
        match self {
            Self::Inch => mm / 25.4,
            Self::Millimetre => mm,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

/// How a length is written: its unit and its decimals.
///
/// # Examples
/// ```
/// use quantities::length::{Length, Style, Unit};
/// let read = Length::parse("5.1255", Unit::Inch).unwrap();
/// assert_eq!(read.length.text(read.style), "5.1255 in");
/// assert_eq!(read.length.text(read.style.shown_in(Some(Unit::Millimetre))), "130.188 mm");
/// assert_eq!(read.style, Style::usual(Unit::Inch));
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Style {
    /// The unit.
    pub unit: Unit,
    /// Digits after the decimal point.
    pub decimals: u8,
}

impl Style {
    /// The usual style of a unit.
    pub fn usual(unit: Unit) -> Self {
        Self { unit, decimals: unit.usual_decimals() }
    }

    /// The style to show in a unit what was written in this one: the same where no unit is asked for, else the
    /// other unit with about the same resolution (a digit more in inches, a digit fewer in millimetres).
    #[must_use]
    pub fn shown_in(self, unit: Option<Unit>) -> Self {
        match unit {
            Some(unit) if unit != self.unit => {
                let decimals = match unit {
                    Unit::Inch => self.decimals.saturating_add(1),
                    Unit::Millimetre => self.decimals.saturating_sub(1).max(2),
                };
                Self { unit, decimals }
            }
            _ => self,
        }
    }

    /// One unit of the last digit, but never less than a tenth of a nanometre.
    pub fn last_digit(self) -> Length {
        let power = 10_i64.checked_pow(u32::from(self.decimals)).unwrap_or(i64::MAX);
        Length((self.unit.tenths_of_nm() / power).max(1))
    }
}

/// An exact length in tenths of a nanometre; negative for a deviation or an interference.
///
/// ```
/// use quantities::length::{Length, Unit};
/// let bore = Length::parse("5.1270", Unit::Inch).unwrap().length;
/// let made = Length::parse("5.1250 in", Unit::Millimetre).unwrap().length;
/// let limit = Length::parse("0.0508 mm", Unit::Inch).unwrap().length;
/// assert!(bore - made <= limit, "0.0020 in is exactly 0.0508 mm");
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// A length as somebody wrote it: its exact value and the style it was written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Entry {
    /// The exact value.
    pub length: Length,
    /// Unit and digits as written (a microinch counts as six decimals of an inch).
    pub style: Style,
}

/// Why a text is no length. The message says what to write instead.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Nothing but blanks.
    #[error("nothing is written here; write a length such as 5.1255 or 130.19 mm")]
    Empty,
    /// No decimal number in front.
    #[error("`{0}` is not a length; write a number with its unit if it differs, such as 5.1255 or 130.19 mm")]
    NotANumber(String),
    /// Both a point and a comma, or two of one: it is unclear which is the decimal sign.
    #[error("`{0}` has more than one decimal sign; write it without thousands separators, such as 5.1255")]
    TwoDecimalSigns(String),
    /// A unit that is not known.
    #[error("`{0}` is not a unit of length known here; use in, mm, thou, µm or µin")]
    UnknownUnit(String),
    /// More digits than a tenth of a nanometre.
    #[error("`{0}` is finer than a tenth of a nanometre and cannot be kept exactly; write fewer digits")]
    TooFine(String),
    /// Longer than anything measured here.
    #[error("`{0}` is longer than ten metres; check the digits and the unit")]
    TooLong(String),
}

/// A decimal number as written: digits without the sign, their decimals, and the rest of the text.
pub struct Decimal<'a> {
    /// Whether a minus sign stands before it.
    pub negative: bool,
    digits: i128,
    decimals: u8,
    /// What stands behind the number, trimmed at its start.
    pub rest: &'a str,
}

/// Digits and decimals of a number that is short, without a sign and alone, such as `5.1255`: what nearly
/// every reading is, read without the care that the others need.
fn plain_decimal(text: &[u8]) -> Option<(i128, u8)> {
    // Eighteen digits fit 64 bits.
    if text.len() > 18 {
        return None;
    }
    let (mut digits, mut decimals, mut behind_sign) = (0_u64, 0, false);
    for &byte in text {
        match byte {
            b'0'..=b'9' => {
                digits = digits * 10 + u64::from(byte - b'0');
                decimals += u8::from(behind_sign);
            }
            b'.' | b',' if !behind_sign => behind_sign = true,
            _ => return None,
        }
    }
    // A decimal sign alone is no number.
    (text.len() > usize::from(behind_sign)).then_some((i128::from(digits), decimals))
}

impl<'a> Decimal<'a> {
    /// Reads the decimal number at the start of a trimmed text.
    pub fn read(text: &'a str) -> Result<Self, LengthError> {
        if let Some((digits, decimals)) = plain_decimal(text.as_bytes()) {
            return Ok(Self { negative: false, digits, decimals, rest: "" });
        }
        let too_fine = || LengthError::TooFine(text.to_owned());
        let (negative, unsigned) = match text.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let unsigned = unsigned.trim_start();
        let of_number = |byte: u8| byte.is_ascii_digit() || byte == b'.' || byte == b',';
        let end = unsigned.bytes().position(|byte| !of_number(byte)).unwrap_or(unsigned.len());
        let (number, rest) = unsigned.split_at(end);
        let (mut digits, mut decimals, mut seen_sign, mut seen_digit) = (0_i128, 0_u8, false, false);
        for byte in number.bytes() {
            if byte.is_ascii_digit() {
                digits =
                    digits.checked_mul(10).and_then(|d| d.checked_add(i128::from(byte - b'0'))).ok_or_else(
                        || if seen_sign { too_fine() } else { LengthError::TooLong(text.to_owned()) },
                    )?;
                decimals = decimals.checked_add(u8::from(seen_sign)).ok_or_else(too_fine)?;
                seen_digit = true;
            } else if seen_sign {
                return Err(LengthError::TwoDecimalSigns(text.to_owned()));
            } else {
                seen_sign = true;
            }
        }
        if !seen_digit {
            return Err(LengthError::NotANumber(text.to_owned()));
        }
        Ok(Self { negative, digits, decimals, rest: rest.trim() })
    }

    /// The number without its sign times `scale`, if that is a whole number.
    pub fn scaled(&self, scale: i64, text: &str) -> Result<i64, LengthError> {
        let too_fine = || LengthError::TooFine(text.to_owned());
        let too_long = || LengthError::TooLong(text.to_owned());
        let decimals = u32::from(self.decimals);
        let short = 10_u64.checked_pow(decimals).map(i128::from);
        let power = short.or_else(|| 10_i128.checked_pow(decimals)).ok_or_else(too_fine)?;
        let product = self.digits.checked_mul(i128::from(scale)).ok_or_else(|| {
            // So many digits are too many on one side of the decimal sign or the other.
            if self.digits / power > i128::from(LONGEST) { too_long() } else { too_fine() }
        })?;
        let (whole, rest) = divided(product, power);
        if rest != 0 {
            return Err(too_fine());
        }
        i64::try_from(whole).map_err(|_| too_long())
    }

    /// As [`Self::scaled`], for a length.
    fn length(&self, scale: i64, text: &str) -> Result<Length, LengthError> {
        let value = self.scaled(scale, text)?;
        if !(-LONGEST..=LONGEST).contains(&value) {
            return Err(LengthError::TooLong(text.to_owned()));
        }
        Ok(Length(if self.negative { -value } else { value }))
    }
}

/// The written units: tenths of a nanometre as a fraction, the unit to show it in, decimals it adds.
fn written_unit(text: &str) -> Option<(i64, Unit, u8)> {
    Some(match text {
        "in" | "in." | "inch" | "inches" | "\"" | "\u{2033}" | "''" => (PER_INCH, Unit::Inch, 0),
        "mm" | "millimetre" | "millimetres" => (PER_MM, Unit::Millimetre, 0),
        "thou" => (PER_INCH / 1_000, Unit::Inch, 3),
        "µm" | "μm" | "um" => (PER_MM / 1_000, Unit::Millimetre, 3),
        "µin" | "μin" | "uin" | "microinch" | "microinches" => (PER_INCH / 1_000_000, Unit::Inch, 6),
        _ => return None,
    })
}

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0);

    /// From a whole number of tenths of a nanometre.
    pub const fn from_tenths_of_nm(tenths: i64) -> Self {
        Self(tenths)
    }

    /// As a whole number of tenths of a nanometre.
    pub const fn tenths_of_nm(self) -> i64 {
        self.0
    }

    /// Reads a length as people write it, in `unit` unless the text names another.
    ///
    /// Taken: `5.1255`, `5.1255 in`, `5.1255"`, `130.19 mm`, `+0.0003`, `-12 µin`, `3 thou`, `130,19`
    /// (one decimal sign, point or comma; no thousands separators).
    ///
    /// # Errors
    /// [`LengthError`] if the text is empty, no number, has an unknown unit, or cannot be held exactly.
    ///
    /// # Examples
    /// ```
    /// use quantities::length::{Length, LengthError, Unit};
    /// let in_inches = Length::parse("5.1250", Unit::Inch).unwrap();
    /// assert_eq!(Length::parse("130.175 mm", Unit::Inch).unwrap().length, in_inches.length);
    /// assert_eq!(in_inches.style.decimals, 4);
    /// assert!(matches!(Length::parse("5,1.2", Unit::Inch), Err(LengthError::TwoDecimalSigns(_))));
    /// ```
    pub fn parse(text: &str, unit: Unit) -> Result<Entry, LengthError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(LengthError::Empty);
        }
        let number = Decimal::read(text)?;
        let (scale, unit, more_decimals) = if number.rest.is_empty() {
            (unit.tenths_of_nm(), unit, 0)
        } else {
            written_unit(number.rest)
                .or_else(|| written_unit(&number.rest.to_lowercase()))
                .ok_or_else(|| LengthError::UnknownUnit(number.rest.to_owned()))?
        };
        let length = number.length(scale, text)?;
        Ok(Entry { length, style: Style { unit, decimals: number.decimals.saturating_add(more_decimals) } })
    }

    /// Reads a count of dial graduations (`-3`, `+1.5`) and gives the deviation it stands for.
    ///
    /// A text that names a unit is taken as a length. `unit` is the unit of the dial.
    ///
    /// # Errors
    /// [`LengthError`] as for [`Length::parse`].
    pub fn parse_graduations(text: &str, graduation: Self, unit: Unit) -> Result<Entry, LengthError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(LengthError::Empty);
        }
        let number = Decimal::read(text)?;
        if !number.rest.is_empty() {
            return Self::parse(text, unit);
        }
        let length = number.length(graduation.0, text)?;
        let decimals = graduation.decimals(unit).saturating_add(number.decimals);
        Ok(Entry { length, style: Style { unit, decimals } })
    }

    /// A text that has more digits than can be kept, with as many as always can be (six decimals of an inch, seven of a
    /// millimetre), rounded half away from zero; `None` if nothing need be cut off, or if it cannot be read even then.
    ///
    /// For what a program worked out, such as a mean of repeats. `graduation` is that of a text that counts them.
    pub fn rounded_to_keep(text: &str, unit: Unit, graduation: Option<Self>) -> Option<String> {
        let text = text.trim();
        let number = Decimal::read(text).ok()?;
        let scale = if number.rest.is_empty() {
            graduation.map_or(unit.tenths_of_nm(), |graduation| graduation.0)
        } else {
            written_unit(number.rest).or_else(|| written_unit(&number.rest.to_lowercase()))?.0
        };
        let most = (0..=7_u8).rev().find(|&d| scale % 10_i64.pow(u32::from(d)) == 0).unwrap_or(0);
        let beyond = number.decimals.checked_sub(most).filter(|beyond| *beyond > 0)?;
        let kept = rounded_ratio(number.digits, 10_i128.checked_pow(u32::from(beyond))?);
        let (whole, part) = divided(kept, 10_i128.pow(u32::from(most)));
        let sign = if number.negative {
            "-"
        } else if text.starts_with('+') {
            "+"
        } else {
            ""
        };
        let rest = if number.rest.is_empty() { String::new() } else { format!(" {}", number.rest) };
        let places = usize::from(most);
        let kept = if most == 0 {
            format!("{sign}{whole}{rest}")
        } else {
            format!("{sign}{whole}.{part:0places$}{rest}")
        };
        let read = match graduation {
            Some(graduation) => Self::parse_graduations(&kept, graduation, unit),
            None => Self::parse(&kept, unit),
        };
        read.is_ok().then_some(kept)
    }

    /// The fewest decimals (at most 7) that show this length exactly in `unit`, or the unit's usual ones if
    /// it has no finite decimal there.
    pub fn decimals(self, unit: Unit) -> u8 {
        self.exact_decimals(unit).unwrap_or(unit.usual_decimals())
    }

    /// The fewest decimals (at most 7) that show this length exactly in `unit`; `None` if none of them do.
    pub fn exact_decimals(self, unit: Unit) -> Option<u8> {
        let scale = i128::from(unit.tenths_of_nm());
        (0..=7_u8).find(|&d| (i128::from(self.0) * 10_i128.pow(u32::from(d))) % scale == 0)
    }

    /// In millimetres, for statistics.
    pub fn to_mm(self) -> f64 {
        self.0 as f64 / PER_MM as f64
    }

    /// The nearest length to a float in millimetres; `None` if it is not finite or too long.
    pub fn from_mm(mm: f64) -> Option<Self> {
        let tenths = (mm * PER_MM as f64).round();
        (tenths.is_finite() && tenths.abs() <= LONGEST as f64).then_some(Self(tenths as i64))
    }

    /// This length times a factor near 1, to the nearest tenth of a nanometre; itself where the factor is 1 or makes
    /// no length of it.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        if factor == 1.0 { self } else { Self::from_mm(self.to_mm() * factor).unwrap_or(self) }
    }

    /// The nearest whole multiple of a step above zero; itself where the step is zero.
    #[must_use]
    pub fn nearest_multiple(self, step: Self) -> Self {
        if step.0 <= 0 { self } else { Self((self.0 + step.0 / 2).div_euclid(step.0) * step.0) }
    }

    /// The magnitude.
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// The number alone, rounded half away from zero to the style's decimals, with a true minus sign.
    pub fn number(self, style: Style) -> String {
        Mean::from(self).number(style)
    }

    /// The number with its unit, such as `5.1255 in`.
    pub fn text(self, style: Style) -> String {
        Mean::from(self).text(style)
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0 * times)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

/// An exact fraction of lengths: a mean, or a sum or difference of means.
///
/// # Examples
/// ```
/// use quantities::length::{Length, Mean, Style, Unit};
/// let [a, b, c] = ["5.1255", "5.1256", "5.1256"].map(|text| Length::parse(text, Unit::Inch).unwrap().length);
/// let mean = Mean::of_lengths([a, b, c]).unwrap();
/// assert_eq!(mean.text(Style { unit: Unit::Inch, decimals: 5 }), "5.12557 in");
/// assert_eq!(mean * 3, a + b + c, "nothing was rounded");
/// ```
///
/// # What it has room for
/// Both parts of the fraction are whole numbers of 128 bits, one of them the sign. Two values are added, subtracted and
/// compared over the least common multiple of their denominators. That is exact while each is at most 10 m, 37 bits, so
/// that a sum has 38, and the multiple is at most 2⁸⁹: 127 bits together.
///
/// A record stays below that. A cell holds at most 50 readings, so the denominators of all cell means divide the least
/// common multiple of 1 to 50, which has 72 bits. The averages of two stations, over 12 and over 11 axes, bring it to
/// 79; an average over all of 480 cells to 81. With 58 readings in a cell it would still fit, with 59 not.
///
/// Beyond it an operation panics, in a release build too (`overflow-checks` in the top `Cargo.toml`): no figure is
/// better than a wrong one. Only writing goes on: a fraction too unwieldy to be scaled is written to the nearest tenth
/// of a nanometre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Mean {
    /// Tenths of a nanometre times `count`.
    sum: i128,
    /// Always positive; `sum` and `count` have no common divisor.
    count: i128,
}

impl Default for Mean {
    fn default() -> Self {
        Self::ZERO
    }
}

impl From<Length> for Mean {
    fn from(length: Length) -> Self {
        Self { sum: i128::from(length.0), count: 1 }
    }
}

/// `a / b` and `a % b`; `b` is positive.
fn divided(a: i128, b: i128) -> (i128, i128) {
    // Nearly always both fit 64 bits, where a division is many times faster.
    match (i64::try_from(a), i64::try_from(b)) {
        (Ok(a), Ok(b)) => (i128::from(a / b), i128::from(a % b)),
        _ => (a / b, a % b),
    }
}

fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    let (mut a, mut b) = (a.unsigned_abs(), b.unsigned_abs());
    while b != 0 {
        // Nearly always both fit 64 bits, where a division is many times faster.
        (a, b) = match (u64::try_from(a), u64::try_from(b)) {
            (Ok(a), Ok(b)) => (u128::from(b), u128::from(a % b)),
            _ => (b, a % b),
        };
    }
    a as i128
}

impl Mean {
    /// No length at all.
    pub const ZERO: Self = Self { sum: 0, count: 1 };

    /// `sum` over `count` in lowest terms; `count` must be positive.
    fn reduced(sum: i128, count: i128) -> Self {
        if count == 1 {
            return Self { sum, count };
        }
        let divisor = greatest_common_divisor(sum, count).max(1);
        if divisor == 1 {
            return Self { sum, count };
        }
        Self { sum: divided(sum, divisor).0, count: divided(count, divisor).0 }
    }

    /// The exact mean of lengths; `None` if there are none.
    pub fn of_lengths(lengths: impl IntoIterator<Item = Length>) -> Option<Self> {
        let (sum, count) =
            lengths.into_iter().fold((0_i128, 0_i128), |(s, n), length| (s + i128::from(length.0), n + 1));
        (count > 0).then(|| Self::reduced(sum, count))
    }

    /// The exact mean of means, each with the same weight; `None` if there are none.
    pub fn of(means: impl IntoIterator<Item = Self>) -> Option<Self> {
        let (sum, count) = means.into_iter().fold((Self::ZERO, 0_i64), |(s, n), mean| (s + mean, n + 1));
        (count > 0).then(|| sum / count)
    }

    /// The length, if the fraction is a whole number of tenths of a nanometre.
    pub fn as_length(self) -> Option<Length> {
        (self.count == 1).then(|| i64::try_from(self.sum).ok().map(Length)).flatten()
    }

    /// The nearest length, half away from zero.
    pub fn nearest(self) -> Length {
        Length(i64::try_from(rounded_ratio(self.sum, self.count)).unwrap_or(if self.sum < 0 {
            -LONGEST
        } else {
            LONGEST
        }))
    }

    /// Rounded half away from zero to the style's decimals: what [`Mean::number`] shows.
    pub fn rounded(self, style: Style) -> Self {
        let scale = 10_i128.pow(u32::from(style.decimals.min(12)));
        let per_unit = i128::from(style.unit.tenths_of_nm());
        match self.sum.checked_mul(scale) {
            Some(sum) => Self::reduced(rounded_ratio(sum, self.count * per_unit) * per_unit, scale),
            None => self.nearest().into(),
        }
    }

    /// In millimetres, for statistics.
    pub fn to_mm(self) -> f64 {
        self.sum as f64 / self.count as f64 / PER_MM as f64
    }

    /// The magnitude.
    pub fn abs(self) -> Self {
        Self { sum: self.sum.abs(), count: self.count }
    }

    /// Less than nothing?
    pub fn is_negative(self) -> bool {
        self.sum < 0
    }

    /// The number alone, rounded half away from zero to the style's decimals, with a true minus sign.
    pub fn number(self, style: Style) -> String {
        let scale = 10_i128.pow(u32::from(style.decimals.min(12)));
        let decimals = usize::from(style.decimals.min(12));
        // A fraction too unwieldy to scale is shown to the nearest tenth of a nanometre.
        let (sum, count) = match self.sum.checked_mul(scale) {
            Some(sum) => (sum, self.count),
            None => (i128::from(self.nearest().0) * scale, 1),
        };
        let rounded = rounded_ratio(sum, count * i128::from(style.unit.tenths_of_nm()));
        let sign = if rounded < 0 { "\u{2212}" } else { "" };
        let (whole, part) = divided(rounded.abs(), scale);
        match (u64::try_from(whole), u64::try_from(part)) {
            (Ok(whole), Ok(part)) => written(sign, whole, part, decimals),
            _ if decimals == 0 => format!("{sign}{whole}"),
            _ => format!("{sign}{whole}.{part:0decimals$}"),
        }
    }

    /// The number with its unit, such as `5.1255 in`.
    pub fn text(self, style: Style) -> String {
        let mut text = self.number(style);
        text.push(' ');
        text.push_str(style.unit.symbol());
        text
    }

    /// As decimal text in `unit` for other programs (ASCII minus, no unit), and whether that is exact.
    ///
    /// The shortest exact text if one of at most 12 decimals exists, else 12 decimals and `false`.
    pub fn decimal_text(self, unit: Unit) -> (String, bool) {
        let per_unit = self.count * i128::from(unit.tenths_of_nm());
        let is_exact = |decimals: u8| {
            let scaled = self.sum.checked_mul(10_i128.pow(u32::from(decimals)));
            scaled.is_some_and(|scaled| divided(scaled, per_unit).1 == 0)
        };
        // Most lengths need no more than the seven decimals of a tenth of a nanometre.
        let short = is_exact(7);
        let decimals = if short { 7 } else { 12 };
        let exact = short || is_exact(decimals);
        let mut text = self.number(Style { unit, decimals });
        if self.is_negative() && text.starts_with('\u{2212}') {
            text.replace_range(..'\u{2212}'.len_utf8(), "-");
        }
        if exact {
            text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
        }
        (text, exact)
    }

    /// As an exact fraction of `unit` for other programs, such as `5125/1000` in lowest terms: `41/8`.
    pub fn fraction_text(self, unit: Unit) -> String {
        let per_unit = Self::reduced(self.sum, self.count * i128::from(unit.tenths_of_nm()));
        format!("{}/{}", per_unit.sum, per_unit.count)
    }
}

/// A decimal number as text. Many are written for each cylinder, and the general way of formatting is slow.
fn written(sign: &str, whole: u64, part: u64, decimals: usize) -> String {
    // Twenty digits, the decimal sign and twelve decimals, from the right.
    let mut text = [b'0'; 33];
    let (mut whole, mut part) = (whole, part);
    let mut start = text.len();
    for (behind, slot) in text.iter_mut().rev().enumerate() {
        let digit = if behind < decimals {
            &mut part
        } else if behind == decimals && decimals > 0 {
            *slot = b'.';
            continue;
        } else {
            &mut whole
        };
        *slot = b'0' + (*digit % 10) as u8;
        *digit /= 10;
        if behind >= decimals && whole == 0 {
            start -= behind + 1;
            break;
        }
    }
    let mut number = String::with_capacity(sign.len() + text.len() - start);
    number.push_str(sign);
    number.extend(text.iter().skip(start).map(|&byte| char::from(byte)));
    number
}

/// `a / b` to the nearest whole number, half away from zero; `b` is positive.
fn rounded_ratio(a: i128, b: i128) -> i128 {
    let (whole, rest) = divided(a, b);
    if rest.abs() >= b - rest.abs() { whole + a.signum() } else { whole }
}

impl Add for Mean {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        // A whole number beside a fraction leaves it in lowest terms.
        if other.count == 1 {
            return Self { sum: self.sum + other.sum * self.count, count: self.count };
        }
        if self.count == 1 {
            return other + self;
        }
        if self.count == other.count {
            return Self::reduced(self.sum + other.sum, self.count);
        }
        let divisor = greatest_common_divisor(self.count, other.count);
        let sum = self.sum * (other.count / divisor) + other.sum * (self.count / divisor);
        Self::reduced(sum, self.count / divisor * other.count)
    }
}

impl Neg for Mean {
    type Output = Self;
    fn neg(self) -> Self {
        Self { sum: -self.sum, count: self.count }
    }
}

impl Sub for Mean {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul<i64> for Mean {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self::reduced(self.sum * i128::from(times), self.count)
    }
}

/// Division by a positive whole number; by anything less it leaves the value as it is.
impl Div<i64> for Mean {
    type Output = Self;
    fn div(self, by: i64) -> Self {
        if by < 1 { self } else { Self::reduced(self.sum, self.count * i128::from(by)) }
    }
}

impl Ord for Mean {
    fn cmp(&self, other: &Self) -> Ordering {
        if self.count == other.count {
            return self.sum.cmp(&other.sum);
        }
        (*self - *other).sum.cmp(&0)
    }
}

impl PartialOrd for Mean {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq<Length> for Mean {
    fn eq(&self, other: &Length) -> bool {
        *self == Self::from(*other)
    }
}

impl PartialOrd<Length> for Mean {
    fn partial_cmp(&self, other: &Length) -> Option<Ordering> {
        Some(self.cmp(&Self::from(*other)))
    }
}

#[cfg(test)]
mod tests;
