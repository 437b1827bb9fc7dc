//! Cautions about how the readings were taken: graduation, temperatures, and where nobody has measured.
//!
//! The tightest limit is the smallest of the taper and out-of-round limits, twice the step limit (which
//! is per side) and what the bore row allows for wear. A quarter of it is the most that a graduation, or what
//! bringing the readings to 20 °C adds to them, may be without a word.

use records::limits::rows::{Over, RowLimits, Side};
use std::borrow::Cow;

use super::sheet::Compared;
use super::{Slip, SlipKind};
use quantities::length::Length;
use records::bore::Cell;
use records::survey::points_words;

/// Every caution of this kind, for the whole cylinder.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    if let Some((tightest, row)) = tightest(sheet) {
        coarse(sheet, tightest, row, slips);
        temperature(sheet, tightest, row, slips);
    }
    only_top(sheet, slips);
    two_axes(sheet, slips);
}

/// The tightest limit and the row it is in.
fn tightest(sheet: &Compared<'_>) -> Option<(Length, &'static str)> {
    let limits = sheet.limits;
    // A step is a height per side.
    let amount = |row: &RowLimits| match row.over {
        Over::Lip { .. } => (row.limit.as_ref().map(|limit| limit.length * 2), "step on the diameter"),
        Over::Stations(_) | Over::Ends { .. } => {
            (row.limit.as_ref().map(|limit| limit.length), row.kind.words())
        }
    };
    let wear = sheet.row.serviceable.as_ref().map(|limit| limit.length - sheet.row.new.1.length);
    let shape = limits.shape.iter().filter(|row| row.side != Side::AtLeast).map(amount);
    shape
        .chain([(wear, "wear of the bore")])
        .filter_map(|(limit, row)| limit.filter(|&limit| limit > Length::ZERO).map(|limit| (limit, row)))
        .min_by_key(|(limit, _)| *limit)
}

/// A graduation coarser than a quarter of the tightest limit.
fn coarse(sheet: &Compared<'_>, tightest: Length, row: &str, slips: &mut Vec<Slip>) {
    let coarsest = sheet.bore.measured().map(|(_, cell)| (sheet.graduation(cell), cell)).max_by_key(|g| g.0);
    let Some((graduation, cell)) = coarsest.filter(|(graduation, _)| *graduation * 4 > tightest) else {
        return;
    };
    let style = sheet.style();
    let name = sheet.gauge(cell).map_or("the gauge", |gauge| gauge.name.as_str());
    let why = format!(
        "one graduation of {name} is {}, coarser than a quarter of the tightest limit ({row}, {})",
        graduation.text(style),
        tightest.text(style)
    );
    slips.push(Slip::caution(SlipKind::CoarseResolution, style, why));
}

/// Readings that bringing them to 20 °C changed by more than a quarter of the tightest limit.
fn temperature(sheet: &Compared<'_>, tightest: Length, row: &str, slips: &mut Vec<Slip>) {
    let Some(conditions) = &sheet.survey.conditions else { return };
    let change =
        |cell: &Cell| cell.mean_as_read().map_or(Length::ZERO, |read| (cell.mean() - read).nearest());
    let most = sheet.bore.measured().map(|(_, cell)| change(cell)).max_by_key(|change| change.abs());
    let Some(change) = most.filter(|change| change.abs() * 4 > tightest) else { return };
    let style = sheet.style();
    let way = if change < Length::ZERO { "smaller" } else { "larger" };
    let why = format!(
        "the barrel was at {:.1} °C and the gauge at {:.1} °C: at 20 °C the bore is {} {way} than was read, more than a \
         quarter of the tightest limit ({row}, {})",
        conditions.barrel_c,
        conditions.gauge_c,
        change.abs().text(style),
        tightest.text(style)
    );
    slips.push(Slip::caution(SlipKind::Temperature, style, why));
}

/// Measured in the upper half of the barrel alone, at two points or more.
fn only_top(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let stations = &sheet.limits.stations;
    let (Some(first), Some(last)) = (stations.first(), stations.last()) else { return };
    let is_low = |station: usize| {
        stations.get(station).is_some_and(|at| {
            (at.depth - first.depth).abs() * 2 >= (last.depth - first.depth).abs() && at.depth != first.depth
        })
    };
    let mut count = 0;
    for (at, _) in sheet.bore.measured() {
        if is_low(at.station) {
            return;
        }
        count += 1;
    }
    let scope = sheet.limits.bore_scope();
    let mut missing = scope.missing(sheet.bore);
    missing.retain(|at| is_low(at.station));
    if count < 2 || missing.is_empty() {
        return;
    }
    let why = format!(
        "only the upper half of the barrel was measured; {} are missing",
        points_words(sheet.limits, &missing)
    );
    slips.push(Slip::caution(SlipKind::OnlyTop, sheet.style(), why));
}

/// Measured on two axes alone.
fn two_axes(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let (mut first, mut second) = (None, None);
    for (at, _) in sheet.bore.measured() {
        match (first, second) {
            (None, _) => first = Some(at.axis),
            (Some(one), _) if one == at.axis => {}
            (Some(_), None) => second = Some(at.axis),
            (Some(_), Some(two)) if two == at.axis => {}
            (Some(_), Some(_)) => return,
        }
    }
    let degrees = |axis: Option<usize>| Some(sheet.limits.axes.get(axis?)?.degrees);
    let (Some(one), Some(two)) = (degrees(first), degrees(second)) else { return };
    let square = ((one - two).abs() - 90.0).abs() < 0.5;
    let why: Cow<'static, str> = if square {
        "two axes at 90 degrees cannot show an oval that lies between them".into()
    } else {
        "two axes cannot show an oval that lies between them".into()
    };
    slips.push(Slip::caution(SlipKind::TwoAxesOnly, sheet.style(), why));
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;
    use records::survey::{Conditions, Expansion};

    #[test]
    fn a_coarse_gauge() {
        let mut bench = Bench::six().pin_thrust(&SOUND);
        bench.survey.gauges[0] = micrometer("0.0005", quantities::length::Unit::Inch);
        let (slip, sentence) = bench.only();
        assert_eq!(slip.kind, SlipKind::CoarseResolution);
        assert!(
            sentence
                .contains("is 0.0005 in, coarser than a quarter of the tightest limit (taper, 0.0015 in)"),
            "{sentence}"
        );
    }

    /// ISO 1 and plain expansion: 10 K on 5.128 in of steel at 12 millionths is 0.0006 in (grade D).
    #[test]
    fn a_warm_barrel() {
        let conditions = Conditions {
            barrel_c: 30.0,
            gauge_c: 20.0,
            barrel: Expansion { per_k: 12e-6, supposed: false },
            difference: None,
            expansion_difference: None,
            suppose_steel: false,
        };
        let bench = |conditions: Conditions| Bench::six().pin_thrust(&SOUND).at(conditions);
        let (slip, sentence) = bench(conditions.clone()).only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::Temperature, None));
        assert!(sentence.contains("at 20 °C the bore is 0.0006 in smaller than was read"), "{sentence}");
        let cold = bench(Conditions { barrel_c: 10.0, ..conditions.clone() });
        assert!(cold.only().1.contains("0.0006 in larger than was read"));
        assert_eq!(bench(Conditions { barrel_c: 21.0, ..conditions }).slips(), []);
    }

    #[test]
    fn only_the_top_was_measured() {
        let (slip, sentence) = Bench::six().pin_thrust(&SOUND[..2]).only();
        assert_eq!((slip.kind, slip.at), (SlipKind::OnlyTop, None));
        assert!(
            sentence.contains("station D (pin, thrust), station E (pin, thrust) are missing"),
            "{sentence}"
        );
        assert_eq!(Bench::six().pin_thrust(&SOUND[..1]).kinds(), [SlipKind::OnlyTop]);
        assert_eq!(Bench::six().pin_thrust(&SOUND[..4]).slips(), []);
    }

    #[test]
    fn two_axes_once_for_a_cylinder() {
        let bench = Bench::six().pin_thrust(&SOUND);
        let slips = super::super::find(&bench.cylinder, &bench.survey);
        assert_eq!(slips.len(), 1);
        assert_eq!(
            bench.sentence(&slips[0]),
            "Cylinder 3 (K-117): two axes at 90 degrees cannot show an oval that lies between them. Measure at 45 \
             and 135 degrees too where the barrel may be oval."
        );
        let three = Bench::six().on_axes(&["pin", "45", "thrust"], &[&["5.1252", "5.1252", "5.1252"]]);
        assert_eq!(super::super::find(&three.cylinder, &three.survey).len(), 1, "only the top");
    }
}
