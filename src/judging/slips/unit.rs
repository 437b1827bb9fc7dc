//! Inches typed where millimetres are written, or the reverse.
//!
//! A diameter is compared with the smallest as-made size of the bore alone: it must be less than a fifth or
//! more than five times of it, and within 7 % of it once it is taken in the other unit. Nothing else makes a
//! factor of 25.4, so no neighbour is asked. A deviation from a setting standard in the wrong unit still
//! makes a plausible diameter; it is tried among the other changes of a single reading, against neighbours.

use super::sheet::Compared;
use super::{Slip, SlipKind, mean_of};
use quantities::length::{Length, Mean, Unit};
use records::bore::{Cell, Point};

/// The same number in the other unit: what was typed as inches is millimetres, or the reverse.
fn in_other_unit(length: Length, written: Unit) -> Length {
    let exact = Mean::from(length);
    match written {
        Unit::Millimetre => exact * 254 / 10,
        Unit::Inch => exact * 10 / 254,
    }
    .nearest()
}

/// The deviation of a comparative gauge, taken in the other unit.
pub(super) fn undo_deviation(sheet: &Compared<'_>, cell: &Cell, read: Length) -> Option<Length> {
    let standard = sheet.standard(cell)?;
    Some(standard + in_other_unit(read - standard, cell.style.unit))
}

/// What such a reading looks like.
pub(super) fn deviation_words(cell: &Cell) -> &'static str {
    match cell.style.unit {
        Unit::Millimetre => "looks as if its deviation was typed in inches where millimetres are written",
        Unit::Inch => "looks as if its deviation was typed in millimetres where inches are written",
    }
}

/// The diameter that was meant, if this one is in the wrong unit.
fn intended(nominal: Length, read: Length, written: Unit) -> Option<Length> {
    if nominal <= Length::ZERO || (read * 5 >= nominal && read <= nominal * 5) {
        return None;
    }
    let other = in_other_unit(read, written);
    ((other - nominal).abs() * 100 <= nominal * 7).then_some(other)
}

/// Slips of the unit: one for the whole cylinder if nothing else was typed, else one for each cell.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let nominal = sheet.row.new.0.length;
    let wrong = |cell: &Cell, read: &Length| intended(nominal, *read, cell.style.unit);
    let any = sheet.bore.measured().any(|(_, cell)| cell.repeats().iter().any(|r| wrong(cell, r).is_some()));
    if !any {
        return;
    }
    let corrected: Vec<(Point, &Cell, Vec<Length>, Vec<usize>)> = sheet
        .bore
        .measured()
        .map(|(at, cell)| {
            let mut which = Vec::new();
            let mut mend = |(i, read): (usize, &Length)| match wrong(cell, read) {
                Some(intended) => {
                    which.push(i);
                    intended
                }
                None => *read,
            };
            let repeats = cell.repeats().iter().enumerate().map(&mut mend).collect();
            (at, cell, repeats, which)
        })
        .collect();
    let all = corrected.iter().all(|(_, cell, _, which)| which.len() == cell.repeats().len());
    if all && corrected.len() > 1 {
        let style = sheet.style();
        let made = sheet.row.new.0.text();
        let why = format!(
            "every reading looks as if it was typed in {}: a bore of this size is made no smaller than {made}",
            words(style.unit)
        );
        let mut slip = Slip::caution(SlipKind::WrongUnit, style, why);
        slip.confirmed = sheet.all_confirmed();
        slip.intended = corrected.into_iter().map(|(at, _, repeats, _)| (at, repeats)).collect();
        slips.push(slip);
        return;
    }
    for (at, cell, repeats, which) in corrected {
        let Some(&first) = which.first() else { continue };
        let one = (which.len() == 1 && cell.repeats().len() > 1).then_some(first);
        let value = |of: &[Length]| match one {
            Some(repeat) => of.get(repeat).copied().unwrap_or_default(),
            None => mean_of(of),
        };
        let made = sheet.row.new.0.text();
        let why = format!(
            "looks as if it was typed in {}: a bore of this size is made no smaller than {made}",
            words(cell.style.unit)
        );
        let mut slip = Slip::at_cell(SlipKind::WrongUnit, at, cell, value(cell.repeats()), why);
        slip.repeat = one;
        slip.likely = Some(value(&repeats));
        slip.intended = vec![(at, repeats)];
        slips.push(slip);
    }
}

fn words(written: Unit) -> &'static str {
    match written {
        Unit::Millimetre => "inches where millimetres are written",
        Unit::Inch => "millimetres where inches are written",
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    #[test]
    fn one_cell_in_inches_on_a_metric_sheet() {
        let bench = Bench::liner().on_axes(
            &["fore-aft", "45", "athwart", "135"],
            &[&["320.04", "320.05", "320.05", "320.04"], &["321.19", "12.6472", "321.31", "321.25"]],
        );
        let slips = bench.slips();
        let sentence = bench.sentence(&slips[0]);
        assert_eq!((slips[0].kind, slips[0].repeat), (SlipKind::WrongUnit, None));
        assert_eq!(slips[0].likely.unwrap(), length("321.23888", Unit::Millimetre));
        assert!(sentence.contains("typed in inches where millimetres are written"), "{sentence}");
        assert!(!bench.corrected(&slips[0]).kinds().contains(&SlipKind::WrongUnit));
    }

    #[test]
    fn millimetres_on_an_inch_sheet() {
        let bench = sound_but(Bench::six(), 1, 0, "5.1271 130.23 5.1272");
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.repeat), (SlipKind::WrongUnit, Some(1)));
        assert_eq!(slip.likely.unwrap(), inch("130.23 mm"));
        assert!(sentence.contains("typed in millimetres where inches are written"), "{sentence}");
        assert_eq!(bench.corrected(&slip).slips(), []);
    }

    #[test]
    fn a_whole_cylinder() {
        let rows: [&[&str]; 2] = [&["130.17", "130.17"], &["130.23", "130.24"]];
        let bench = Bench::six().pin_thrust(&rows);
        let slips = bench.slips();
        assert_eq!((slips[0].kind, slips[0].at, slips[0].intended.len()), (SlipKind::WrongUnit, None, 4));
        let sentence = bench.sentence(&slips[0]);
        assert!(sentence.starts_with("Cylinder 3 (K-117): every reading looks"), "{sentence}");
        let corrected = bench.corrected(&slips[0]);
        assert_eq!(corrected.kinds(), [SlipKind::OnlyTop]);
    }

    #[test]
    fn a_deviation_in_the_other_unit() {
        // 0.0660 mm typed on an inch dial: 5.1250 + 0.0660, where 0.0026 in was meant.
        let (slip, sentence) = sound_but(Bench::six_by_dial(), 2, 0, "5.1910").only();
        assert_eq!(slip.kind, SlipKind::WrongUnit);
        assert_eq!(slip.likely, Some(inch("5.1250") + inch("0.066 mm")));
        assert!(sentence.contains("deviation was typed in millimetres"), "{sentence}");
    }

    #[test]
    fn oversizes_and_small_bores_are_no_slip() {
        let made = inch("5.1250");
        assert_eq!(intended(made, inch("5.4000"), Unit::Inch), None);
        assert_eq!(intended(made, inch("1.5000"), Unit::Inch), None);
        assert_eq!(intended(made, inch("200.0"), Unit::Inch), None);
        assert_eq!(intended(made, inch("130.2"), Unit::Inch), Some(inch("130.2 mm")));
    }
}
