//! A bore that is smaller than at the survey before, since which it has not been cut.
//!
//! A cell counts if it is smaller by more than two graduations and more than three standard uncertainties of the
//! difference of two readings, each as uncertain as this one. The uncertainties of temperature are part of
//! that where they are recorded; where not, the temperature difference that would explain it is told, since a
//! barrel measured colder than last time does read smaller. One caution for the cylinder, at the worst cell.

use super::sheet::{self, Compared};
use super::{Slip, SlipKind, known_at};
use quantities::length::Length;
use records::bore::{Cell, Point};
use records::survey::Expansion;

/// A bore that shrank.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let Some(earlier) = &sheet.cylinder.earlier else { return };
    if slips.iter().any(|slip| slip.kind == SlipKind::WrongCylinder || slip.at.is_none()) {
        return;
    }
    let mut worst: Option<(Length, Point, &Cell, Length)> = None;
    let mut count = 0;
    for (at, cell) in sheet.bore.measured() {
        let (Some(then), now) = (Compared::mean_in(&earlier.bore, at), sheet::mean(cell)) else { continue };
        let lost = then - now;
        if lost <= sheet.graduation(cell) * 2 || known_at(slips, at) {
            continue;
        }
        // The difference of two readings: both as uncertain as this one.
        let root_2 = std::f64::consts::SQRT_2;
        if lost <= sheet.explained(&[(at, root_2)]) {
            continue;
        }
        count += 1;
        if worst.is_none_or(|(most, ..)| lost > most) {
            worst = Some((lost, at, cell, then));
        }
    }
    let Some((lost, at, cell, then)) = worst else { return };
    let barrel = sheet.survey.conditions.as_ref().map_or(Expansion::STEEL, |conditions| conditions.barrel);
    let kelvin = lost.to_mm() / (then.to_mm() * barrel.per_k);
    let others = match count {
        1 => String::new(),
        _ => format!(", and {} other readings are smaller too", count - 1),
    };
    let why = format!(
        "is {} smaller than at the survey of {} ({}), and a bore does not shrink{others}; a barrel {kelvin:.0} K \
         colder would read so",
        lost.text(cell.style),
        earlier.date,
        then.text(cell.style),
    );
    slips.push(Slip::at_cell(SlipKind::Shrunk, at, cell, sheet::mean(cell), why));
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use crate::slips::SlipKind;

    #[test]
    fn smaller_than_before() {
        let bench = Bench::six().pin_thrust(&SOUND);
        let mut then = SOUND;
        then[3] = &["5.1276", "5.1285"];
        let before = bench.bore(&["pin", "thrust"], &then);
        let bench = bench.after(before);
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.likely, slip.at.unwrap().station), (SlipKind::Shrunk, None, 3));
        assert!(
            sentence.contains("0.0008 in smaller than at the survey of 2020-05-04 (5.1285 in)"),
            "{sentence}"
        );
        assert!(sentence.contains("14 K colder"), "{sentence}");
    }

    /// A place that the earlier sheet did not measure: nothing there has become smaller, and nobody need wait.
    #[test]
    fn what_is_not_compared_has_not_shrunk() {
        let bench = Bench::six().pin_thrust(&SOUND);
        let mut then = SOUND;
        then[3] = &["5.1276", "5.1285"];
        let mut before = bench.bore(&["pin", "thrust"], &then);
        for axis in 0..before.axes() {
            before.set(records::bore::Point::new(3, axis), None);
        }
        assert_eq!(bench.after(before).slips(), []);
    }

    #[test]
    fn scatter_is_no_shrinking() {
        let bench = Bench::six().pin_thrust(&SOUND);
        let mut then = SOUND;
        then[0] = &["5.1254", "5.1252"];
        then[3] = &["5.1278", "5.1278"];
        let before = bench.bore(&["pin", "thrust"], &then);
        assert_eq!(bench.after(before).slips(), []);
    }
}
