//! The sign of the dial: deviations from the setting standard that should have gone the other way.
//!
//! A single reading is tried against its neighbours. A whole cylinder looks reversed if it was read with
//! comparative gauges alone, none of its cells is more than two graduations over the smallest as-made size,
//! their median is more than two graduations below it, no smaller size of the table fits them, and
//! with the other sign every cell lies between the smallest as-made size and as far beyond the serviceable limit
//! as that lies over the largest as-made one. Two graduations are allowed at the lower end.

use super::neighbours::SmallSorted;
use super::sheet::{self, Compared};
use super::{Slip, SlipKind};
use quantities::length::Length;
use records::bore::Cell;

/// The diameter with the deviation the other way.
pub(super) fn undo(sheet: &Compared<'_>, cell: &Cell, read: Length) -> Option<Length> {
    Some(sheet.standard(cell)? * 2 - read)
}

/// What such a reading looks like.
pub(super) fn words(sheet: &Compared<'_>, cell: &Cell) -> String {
    let standard = sheet.standard(cell).unwrap_or_default().text(cell.style);
    format!("looks as if its dial was read with the wrong sign, about the setting standard of {standard}")
}

/// May a size below the cylinder's have a bore of this diameter?
fn fits_smaller_size(sheet: &Compared<'_>, diameter: Length) -> bool {
    sheet.limits.sizes.iter().any(|row| {
        let most = row.serviceable.as_ref().map_or(row.new.1.length + sheet.band, |limit| limit.length);
        row.oversize < sheet.row.oversize && (row.new.0.length..=most).contains(&diameter)
    })
}

/// A cylinder whose readings all have the wrong sign.
pub(super) fn find_whole(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let least = sheet.row.new.0.length;
    let allowance = |cell: &Cell| sheet.graduation(cell) * 2;
    let reversed =
        |cell: &Cell| sheet.standard(cell).is_some() && sheet::mean(cell) <= least + allowance(cell);
    if !sheet.bore.measured().all(|(_, cell)| reversed(cell)) || !slips.is_empty() {
        return;
    }
    let means = SmallSorted::of(sheet.bore.measured().map(|(_, cell)| sheet::mean(cell)));
    let most_allowed = sheet.bore.measured().map(|(_, cell)| allowance(cell)).max().unwrap_or_default();
    let Some(median) = means.median().filter(|&median| median < least - most_allowed) else { return };
    if means.len() < 3 || fits_smaller_size(sheet, median) {
        return;
    }
    let most = sheet.row.new.1.length + sheet.band * 2;
    let mut intended = Vec::new();
    for (at, cell) in sheet.bore.measured() {
        let undo =
            |&kept: &Length| undo(sheet, cell, sheet.as_read(cell, kept)).map(|read| sheet.kept(cell, read));
        let Some(repeats) = cell.repeats().iter().map(undo).collect::<Option<Vec<_>>>() else { return };
        let mean = super::mean_of(&repeats);
        if mean < least - allowance(cell) || mean > most {
            return;
        }
        intended.push((at, repeats));
    }
    let style = sheet.style();
    let why = format!(
        "its readings, about {}, are smaller than any bore of size {} is made ({}), and would fit it with the \
         sign of the dial reversed",
        median.text(style),
        sheet.row.name,
        sheet.row.new.0.text()
    );
    let mut slip = Slip::caution(SlipKind::WrongSign, style, why);
    slip.confirmed = sheet.all_confirmed();
    slip.intended = intended;
    slips.push(slip);
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    #[test]
    fn one_reading() {
        let (slip, sentence) = sound_but(Bench::six_by_dial(), 2, 0, "5.1222 5.1223").only();
        assert_eq!(slip.kind, SlipKind::WrongSign);
        assert_eq!(slip.intended[0].1, [inch("5.1278"), inch("5.1277")]);
        assert!(sentence.contains("wrong sign, about the setting standard of 5.1250 in"), "{sentence}");
    }

    #[test]
    fn not_for_a_gauge_that_reads_diameters() {
        let bench = sound_but(Bench::six(), 2, 0, "5.1222");
        assert!(!bench.kinds().contains(&SlipKind::WrongSign));
    }

    #[test]
    fn a_whole_cylinder() {
        let rows: [&[&str]; 5] = [
            &["5.1248", "5.1248"],
            &["5.1229", "5.1226"],
            &["5.1223", "5.1223"],
            &["5.1224", "5.1223"],
            &["5.1223", "5.1222"],
        ];
        let bench = Bench::six_by_dial().pin_thrust(&rows);
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.at, slip.likely), (SlipKind::WrongSign, None, None));
        assert!(sentence.contains("with the sign of the dial reversed"), "{sentence}");
        assert_eq!(bench.corrected(&slip).slips(), []);
    }
}
