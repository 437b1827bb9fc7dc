//! Exact areas, for the damage that a maker allows on cooling fins: a whole number of millionths of a square
//! millimetre, so that a square inch (645.16 mm² exactly) is held without rounding.

use std::iter::Sum;

use crate::length::Decimal;

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
    fn what_is_no_area_is_said() {
        for text in ["", "12", "12 in", "-3 sq in", "sq in"] {
            assert!(Area::parse(text).unwrap_err().to_string().contains("3.5 sq in"));
        }
    }
}
