//! Two neighbouring digits exchanged in typing.
//!
//! Works on the digits as they were written: of the diameter for a gauge that reads it, of the deviation for
//! a comparative one. Where a comparative gauge's graduation is no power of ten, the digits that were typed
//! cannot be told from the value, and nothing is guessed.

use super::sheet::Compared;
use quantities::length::{Length, Style};
use records::bore::Cell;

/// How many places are tried, from the last digit on.
pub(super) const PLACES: u32 = 8;

/// What such a reading looks like.
pub(super) const WORDS: &str = "looks as if two digits were exchanged in typing";

/// Exchanges the digit with this place (0 is the last) and the one above it.
pub(super) fn undo(sheet: &Compared<'_>, cell: &Cell, read: Length, place: u32) -> Option<Length> {
    let origin = sheet.standard(cell);
    let typed = read - origin.unwrap_or_default();
    let digit = digit_of(typed, cell.style)?;
    if origin.is_some() && !is_power_of_ten_of(sheet.graduation(cell), digit) {
        return None;
    }
    let decimals = digit.1;
    let number = typed.abs().tenths_of_nm() / digit.0;
    let exchanged = exchange(number, place, decimals)?;
    let exchanged = Length::from_tenths_of_nm(exchanged.checked_mul(digit.0)?);
    let signed = if typed < Length::ZERO { -exchanged } else { exchanged };
    Some(origin.unwrap_or_default() + signed)
}

/// The last digit that was written, in tenths of a nanometre, and how many decimals that makes.
fn digit_of(typed: Length, style: Style) -> Option<(i64, u8)> {
    // The style is the first repeat's; another one may have been written with more digits.
    let finer = Style { decimals: typed.decimals(style.unit), ..style };
    [style, finer]
        .into_iter()
        .map(|style| (style.last_digit().tenths_of_nm(), style.decimals))
        .find(|(digit, _)| typed.tenths_of_nm() % digit == 0)
}

/// Is a graduation 1, 10, 100 … (or 0.1, 0.01 …) of the last digit?
fn is_power_of_ten_of(graduation: Length, (digit, _): (i64, u8)) -> bool {
    let (mut large, small) = (graduation.tenths_of_nm().max(digit), graduation.tenths_of_nm().min(digit));
    while small > 0 && large > small && large % 10 == 0 {
        large /= 10;
    }
    large == small
}

/// A number with two neighbouring digits exchanged, if they differ. The zero in front of a decimal sign
/// counts as a digit, other leading zeros do not exist.
fn exchange(number: i64, place: u32, decimals: u8) -> Option<i64> {
    let low = 10_i64.checked_pow(place)?;
    let high = low.checked_mul(10)?;
    let written = number.checked_ilog10().map_or(0, |last| last + 1).max(u32::from(decimals) + 1);
    if place + 1 >= written {
        return None;
    }
    let (a, b) = (number / low % 10, number / high % 10);
    (a != b).then(|| number + (a - b) * (high - low))
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;
    use records::survey::{Conditions, Expansion};

    #[test]
    fn neighbouring_digits() {
        assert_eq!(exchange(27_583, 0, 4), Some(27_538));
        assert_eq!(exchange(27_583, 3, 4), Some(72_583));
        assert_eq!(exchange(27_583, 4, 4), None, "there is no sixth digit");
        assert_eq!(exchange(51_225, 1, 4), None, "alike");
        assert_eq!(exchange(21, 1, 4), Some(201), "0.0021 and 0.0201");
    }

    #[test]
    fn graduations_that_are_counted_in_other_steps() {
        let digit = (25_400, 4);
        assert!(is_power_of_ten_of(Length::from_tenths_of_nm(25_400), digit));
        assert!(is_power_of_ten_of(Length::from_tenths_of_nm(254_000), digit));
        assert!(!is_power_of_ten_of(Length::from_tenths_of_nm(127_000), digit));
        assert!(!is_power_of_ten_of(Length::ZERO, digit));
    }
    use crate::slips::SlipKind;

    #[test]
    fn a_reading_of_two_digits_exchanged() {
        let bench = Bench::twin().on_axes(
            &["along", "across"],
            &[&["2.7535", "2.7583"], &["2.7531", "2.7533"], &["2.7526", "2.7528"]],
        );
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::SwappedDigits, Some(inch("2.7538"))));
        assert!(sentence.contains("two digits were exchanged"), "{sentence}");
        assert_eq!(bench.corrected(&slip).slips(), []);
    }

    #[test]
    fn one_repeat_and_digits_farther_left() {
        let (slip, _) = sound_but(Bench::six(), 1, 1, "5.1274 5.2173 5.1273").only();
        assert_eq!((slip.kind, slip.repeat), (SlipKind::SwappedDigits, Some(1)));
        assert_eq!(slip.likely, Some(inch("5.1273")));
        let (slip, _) = sound_but(Bench::six(), 1, 1, "1.5274").only();
        assert_eq!(slip.likely, Some(inch("5.1274")));
    }

    #[test]
    fn of_a_deviation() {
        // +0.0090 would be +0.0009, but that does not fit either.
        assert_eq!(sound_but(Bench::six_by_dial(), 2, 0, "5.1340").slips(), []);
        // +72 graduations on the ring of 5.1250, where +27 was meant.
        let (slip, _) = sound_but(Bench::six_by_dial(), 2, 0, "5.1322").only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::SwappedDigits, Some(inch("5.1277"))));
    }

    #[test]
    fn corrected_readings_are_exchanged_as_they_were_typed() {
        let conditions = Conditions {
            barrel_c: 29.0,
            gauge_c: 23.0,
            barrel: Expansion { per_k: 12e-6, supposed: false },
            difference: None,
            expansion_difference: None,
            suppose_steel: false,
        };
        let bench = sound_but(Bench::six(), 2, 0, "5.1727").at(conditions.clone());
        let slips = bench.slips();
        assert_eq!(slips[0].kind, SlipKind::SwappedDigits);
        assert_eq!(slips[0].likely, Some(inch("5.1277").scaled(conditions.factor_to_20_c(Expansion::STEEL))));
    }
}
