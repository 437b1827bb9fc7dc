//! Exact areas, for the damage that a maker allows on cooling fins: a whole number of millionths of a square
//! millimetre, so that a square inch (645.16 mm² exactly) is held without rounding.

use std::iter::Sum;

use crate::length::{Decimal, Unit};

/// Millionths of a square millimetre in one.
const PER_SQUARE_MM: i64 = 1_000_000;
/// Millionths of a square millimetre in a square inch: 645.16 mm² exactly.
const PER_SQUARE_INCH: i64 = 645_160_000;

/// An exact area.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Area(i64);

/// Why a text is no area.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not an area; write a number with its unit, such as 3.5 sq in or 22 cm²")]
pub struct AreaError(String);

impl Area {
    /// Reads `83 sq in`, `22 cm²` or `2200 mm²` (also `cm2`, `mm2`); the unit must be there.
    ///
    /// # Errors
    /// [`AreaError`] if there is no number, no known unit, a negative number, or too many digits.
    pub fn parse(text: &str) -> Result<Self, AreaError> {
        let wrong = || AreaError(text.trim().to_owned());
        let number = Decimal::read(text.trim()).map_err(|_| wrong())?;
        let scale = match number.rest {
            "sq in" | "in²" | "in2" => PER_SQUARE_INCH,
            "cm²" | "cm2" | "sq cm" => PER_SQUARE_MM * 100,
            "mm²" | "mm2" | "sq mm" => PER_SQUARE_MM,
            _ => return Err(wrong()),
        };
        match number.scaled(scale, text) {
            Ok(value) if !number.negative => Ok(Self(value)),
            _ => Err(wrong()),
        }
    }
}

impl Area {
    /// As decimal text for other programs, in the square of `unit` and without naming it, and whether that is exact.
    ///
    /// The shortest exact text if one of at most 12 decimals exists, else 12 decimals and `false`.
    pub fn decimal_text(self, unit: Unit) -> (String, bool) {
        let per_unit = match unit {
            Unit::Inch => PER_SQUARE_INCH,
            Unit::Millimetre => PER_SQUARE_MM,
        };
        self.decimals(per_unit, 12)
    }

    /// With its unit, for people: `83 sq in`, or `535.5 cm²`; rounded to four decimals.
    pub fn text(self, unit: Unit) -> String {
        let (per_unit, symbol) = match unit {
            Unit::Inch => (PER_SQUARE_INCH, "sq in"),
            Unit::Millimetre => (PER_SQUARE_MM * 100, "cm²"),
        };
        format!("{} {symbol}", self.decimals(per_unit, 4).0)
    }

    /// The shortest exact number of at most `most` decimals, else the rounded one, and whether it is exact.
    fn decimals(self, per_unit: i64, most: u32) -> (String, bool) {
        let per_unit = i128::from(per_unit);
        let scaled = |decimals: u32| i128::from(self.0) * 10_i128.pow(decimals);
        let exact = (0..=most).find(|&decimals| scaled(decimals) % per_unit == 0);
        let decimals = exact.unwrap_or(most);
        // An area is never negative: half a step is added to round.
        let digits = (scaled(decimals) + per_unit / 2) / per_unit;
        let one = 10_i128.pow(decimals);
        let (whole, part) = (digits / one, digits % one);
        let text = match decimals {
            0 => whole.to_string(),
            _ => format!("{whole}.{part:0width$}", width = decimals as usize),
        };
        (text, exact.is_some())
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(areas: I) -> Self {
        Self(areas.fold(0, |sum, area| sum.saturating_add(area.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn square_inches_and_centimetres_are_exact() {
        let parse = |text| Area::parse(text).unwrap();
        assert_eq!(parse("83 sq in"), parse("535.4828 cm²"));
        assert_eq!([parse("2 sq in"), parse("3.5 in2")].into_iter().sum::<Area>(), parse("5.5 sq in"));
    }

    #[test]
    fn it_is_written_in_either_unit() {
        let text = |area, unit| Area::parse(area).unwrap().decimal_text(unit);
        assert_eq!(text("3.5 sq in", Unit::Inch), ("3.5".into(), true));
        assert_eq!(text("3.5 sq in", Unit::Millimetre), ("2258.06".into(), true));
        assert_eq!(text("83 sq in", Unit::Inch), ("83".into(), true));
        // 1 / 645.16, which has no end.
        assert_eq!(text("1 mm²", Unit::Inch), ("0.001550003100".into(), false));
        let reported = |area, unit| Area::parse(area).unwrap().text(unit);
        assert_eq!(reported("83.1 sq in", Unit::Inch), "83.1 sq in");
        assert_eq!(reported("535.5 cm²", Unit::Inch), "83.0027 sq in");
        assert_eq!(reported("535.5 cm²", Unit::Millimetre), "535.5 cm²");
    }

    #[test]
    fn what_is_no_area_is_said() {
        for text in ["", "12", "12 in", "-3 sq in", "sq in"] {
            assert!(Area::parse(text).unwrap_err().to_string().contains("3.5 sq in"));
        }
    }
}
