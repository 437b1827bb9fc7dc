//! A whole turn of the thimble or dial, too much or too little.
//!
//! The gauge says what a turn is worth. Where it does not, a gauge that reads the diameter itself is taken to
//! be an inside micrometer, whose thimble makes 0.025 in or 0.5 mm in a turn (common practice, no source). What a
//! dial makes in a revolution differs, so a comparative gauge without it is not guessed at.

use super::sheet::Compared;
use quantities::length::{Length, Style, Unit};
use records::bore::Cell;

/// 0.025 in.
const INCH_TURN: Length = Length::from_tenths_of_nm(6_350_000);
/// 0.5 mm.
const METRIC_TURN: Length = Length::from_tenths_of_nm(5_000_000);

/// What a turn of a cell's gauge is worth.
pub(super) fn of(sheet: &Compared<'_>, cell: &Cell) -> Option<Length> {
    if let Some(turn) = sheet.gauge(cell).and_then(|gauge| gauge.turn) {
        return (turn > Length::ZERO).then_some(turn);
    }
    match (sheet.standard(cell), cell.style.unit) {
        (Some(_), _) => None,
        (None, Unit::Inch) => Some(INCH_TURN),
        (None, Unit::Millimetre) => Some(METRIC_TURN),
    }
}

/// What a reading looks like that is too large by `turn`.
pub(super) fn words(sheet: &Compared<'_>, cell: &Cell, turn: Length) -> String {
    let part = if sheet.standard(cell).is_some() { "dial" } else { "thimble" };
    let way = if turn > Length::ZERO { "large" } else { "small" };
    let decimals = cell.style.decimals.max(turn.decimals(cell.style.unit));
    let turn = turn.abs().text(Style { decimals, ..cell.style });
    format!("looks one turn of the {part} ({turn}) too {way}")
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;
    use crate::slips::SlipKind;

    #[test]
    fn a_whole_cell() {
        let bench = sound_but(Bench::six(), 2, 1, "5.1527 5.1528");
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.repeat), (SlipKind::Turn, None));
        assert_eq!(slip.intended[0].1, [inch("5.1277"), inch("5.1278")]);
        assert_eq!(
            sentence,
            "Cylinder 3 (K-117), station C, thrust axis: 5.1528 in looks one turn of the thimble (0.0250 in) too \
             large: the other axis at this station reads 5.1277 in, the other stations on this axis read about \
             5.1275 in. If so it would be 5.1278 in. Measure it again, then retype it or confirm it."
        );
        assert_eq!(bench.corrected(&slip).slips(), []);
    }

    #[test]
    fn too_small() {
        let (slip, sentence) = sound_but(Bench::six(), 2, 0, "5.1027").only();
        assert_eq!(slip.likely, Some(inch("5.1277")));
        assert!(sentence.contains("too small"), "{sentence}");
    }

    #[test]
    fn one_repeat_of_two() {
        let (slip, sentence) = sound_but(Bench::six(), 3, 0, "5.1276 5.1526").only();
        assert_eq!((slip.kind, slip.repeat, slip.likely), (SlipKind::Turn, Some(1), Some(inch("5.1276"))));
        assert!(sentence.contains("repeat 2") && sentence.contains("the other repeat reads"), "{sentence}");
    }

    #[test]
    fn a_dial_revolution_only_where_it_is_known() {
        let bench = sound_but(Bench::six_by_dial(), 3, 0, "5.1376");
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::Turn, Some(inch("5.1276"))));
        assert!(sentence.contains("turn of the dial (0.0100 in)"), "{sentence}");
        let mut unknown = bench;
        unknown.survey.gauges[0].turn = None;
        assert_eq!(unknown.slips(), []);
    }

    #[test]
    fn half_a_millimetre_on_a_liner() {
        let bench = Bench::liner().on_axes(
            &["fore-aft", "45", "athwart", "135"],
            &[
                &["320.04", "320.05", "320.05", "320.04"],
                &["320.69", "321.24", "321.31", "321.25"],
                &["320.95", "320.98", "321.03", "320.98"],
                &["320.58", "320.60", "320.63", "320.61"],
                &["320.35", "320.36", "320.38", "320.36"],
                &["320.18", "320.19", "320.20", "320.19"],
            ],
        );
        let (slip, _) = bench.only();
        assert_eq!(slip.kind, SlipKind::Turn);
        assert_eq!(slip.likely, Some(length("321.19", Unit::Millimetre)));
    }

    #[test]
    fn one_axis_alone_needs_much_more() {
        let rows: [&[&str]; 4] = [&["5.1252"], &["5.1285"], &["5.1255"], &["5.1256"]];
        assert_eq!(Bench::six().pin_thrust(&rows).slips(), [], "worn at the top");
        let rows: [&[&str]; 4] = [&["5.1252"], &["5.1259"], &["5.1505"], &["5.1256"]];
        assert_eq!(Bench::six().pin_thrust(&rows).kinds(), [SlipKind::Turn]);
    }
}
