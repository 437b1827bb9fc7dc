//! Exact weights of parts: a whole number of picograms, so that an ounce (28.349 523 125 g exactly) and a
//! gram are both held without rounding.

use crate::length::Decimal;

/// Picograms in a gram.
const PER_GRAM: i64 = 1_000_000_000_000;
/// Picograms in an avoirdupois ounce: 28.349 523 125 g exactly.
const PER_OUNCE: i64 = 28_349_523_125_000;

/// An exact weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mass(i64);

/// Why a text is no weight.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a weight; write a number with its unit, such as 1542 g or 54.40 oz")]
pub struct MassError(String);

impl Mass {
    /// Reads `1542 g`, `54.40 oz`, `1.2 kg` or `3 lb`; the unit must be there.
    ///
    /// # Errors
    /// [`MassError`] if there is no number, no known unit, a negative number, or too many digits.
    pub fn parse(text: &str) -> Result<Self, MassError> {
        let wrong = || MassError(text.trim().to_owned());
        let number = Decimal::read(text.trim()).map_err(|_| wrong())?;
        let scale = match number.rest {
            "g" => PER_GRAM,
            "kg" => PER_GRAM * 1_000,
            "oz" => PER_OUNCE,
            "lb" => PER_OUNCE * 16,
            _ => return Err(wrong()),
        };
        match number.scaled(scale, text) {
            Ok(value) if !number.negative => Ok(Self(value)),
            _ => Err(wrong()),
        }
    }

    /// The difference of two weights, never negative.
    pub fn apart(self, other: Self) -> Self {
        Self((self.0 - other.0).abs())
    }

    /// In grams, to the nearest hundredth, with the unit.
    pub fn text(self) -> String {
        format!("{:.2} g", self.0 as f64 / PER_GRAM as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ounces_and_grams_are_exact() {
        let parse = |text| Mass::parse(text).unwrap();
        assert_eq!(parse("16 oz"), parse("1 lb"));
        assert_eq!(parse("1 lb"), parse("453.59237 g"), "the international pound, exactly");
        assert_eq!(parse("0.50 oz").apart(parse("0.25 oz")), parse("0.25 oz"));
        assert_eq!(parse("1542 g").text(), "1542.00 g");
    }

    #[test]
    fn what_is_no_weight_is_said() {
        for text in ["", "12", "12 mm", "-3 g", "oz", "1.2.3 g"] {
            let error = Mass::parse(text).unwrap_err().to_string();
            assert!(error.contains("1542 g"), "{error}");
        }
    }
}
