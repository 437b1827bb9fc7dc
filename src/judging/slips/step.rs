//! A gauge foot that stood on the step at the top of ring travel.
//!
//! The unworn bore is the reading above ring travel on the same axis, or the size the bore was finished to.
//! Wear of at least 0.001 in and six graduations is clear; a table with a choke adds the largest choke it is made
//! with, since a choked barrel is larger further down when new.
//!
//! - The reading just below the top of ring travel is within two graduations of the unworn bore, while the
//!   next station is clearly worn: there wear is usually the greatest, so it should be larger still.
//! - Or its repeats fall into two: at least one within two graduations of the unworn bore, all the others
//!   clearly worn.
//!
//! It is a caution: what the reading should have been cannot be told.

use super::sheet::{self, Compared, FLOOR};
use super::{Slip, SlipKind, known_at};
use quantities::length::Length;
use records::bore::{Cell, Point};
use records::limits::schema::StationRole;
use records::survey::station_words;

/// A foot on the step, at most once on each axis.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let stations = &sheet.limits.stations;
    let Some(top) = stations.iter().position(|station| station.role == StationRole::TopOfRingTravel) else {
        return;
    };
    let above = top
        .checked_sub(1)
        .filter(|&above| stations.get(above).is_some_and(|s| s.role == StationRole::AboveRingTravel));
    let choke = sheet.limits.most_choke_as_made();
    for axis in 0..sheet.bore.axes() {
        let at = Point::new(top, axis);
        let Some(cell) = sheet.bore.cell(at) else { continue };
        let measured = above.and_then(|above| sheet.mean(Point::new(above, axis)));
        let Some(unworn) = measured.or(sheet.cylinder.finished_to.map(|(size, _)| size)) else { continue };
        let graduation = sheet.graduation(cell);
        let (alike, worn) = (graduation * 2, FLOOR.max(graduation * 6));
        let next = (top + 1..stations.len())
            .find_map(|station| sheet.mean(Point::new(station, axis)).map(|mean| (station, mean)));
        let found =
            stands_on_it(sheet, cell, unworn, alike, next.filter(|(_, n)| *n - unworn > worn + choke))
                .or_else(|| falls_in_two(cell, unworn, alike, worn));
        let Some(why) = found.filter(|_| !known_at(slips, at)) else { continue };
        slips.push(Slip::at_cell(SlipKind::OnStep, at, cell, sheet::mean(cell), why));
    }
}

fn stands_on_it(
    sheet: &Compared<'_>,
    cell: &Cell,
    unworn: Length,
    alike: Length,
    next_worn: Option<(usize, Length)>,
) -> Option<String> {
    let (station, next) = next_worn?;
    ((sheet::mean(cell) - unworn).abs() <= alike).then(|| {
        format!(
            "is as small as the unworn bore ({}) although {} below it is worn to {}: a foot of the gauge may \
             have stood on the step",
            unworn.text(cell.style),
            station_words(sheet.limits, station),
            next.text(cell.style)
        )
    })
}

fn falls_in_two(cell: &Cell, unworn: Length, alike: Length, worn: Length) -> Option<String> {
    let on_step = |&&repeat: &&Length| (repeat - unworn).abs() <= alike;
    let on = cell.repeats().iter().filter(on_step).count();
    let off = cell.repeats().iter().filter(|&&repeat| repeat - unworn > worn).count();
    (on > 0 && off > 0 && on + off == cell.repeats().len()).then(|| {
        format!(
            "is the mean of repeats that fall into two, {on} as small as the unworn bore ({}) and {off} worn: a \
             foot of the gauge may have stood on the step",
            unworn.text(cell.style)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    #[test]
    fn as_small_as_the_unworn_bore() {
        let bench = sound_but(Bench::six(), 1, 1, "5.1253").pin_thrust(&[
            &["5.1252", "5.1252"],
            &["5.1292", "5.1253"],
            &["5.1288", "5.1289"],
            &["5.1283", "5.1284"],
            &["5.1281", "5.1282"],
        ]);
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::OnStep, None));
        assert!(sentence.contains("as small as the unworn bore (5.1252 in)"), "{sentence}");
    }

    #[test]
    fn repeats_that_fall_in_two() {
        let bench = Bench::six().pin_thrust(&[
            &["5.1252", "5.1252"],
            &["5.1272", "5.1253 5.1273 5.1253 5.1274"],
            &["5.1277", "5.1278"],
        ]);
        let slips = bench.slips();
        assert_eq!(slips[0].kind, SlipKind::OnStep);
        assert!(slips[0].why.contains("2 as small as the unworn bore"), "{}", slips[0].why);
    }

    #[test]
    fn a_new_choked_barrel_stands_on_none() {
        let rows: [&[&str]; 5] = [
            &["5.1253", "5.1253"],
            &["5.1253", "5.1254"],
            &["5.1268", "5.1269"],
            &["5.1269", "5.1269"],
            &["5.1270", "5.1270"],
        ];
        assert_eq!(Bench::six().pin_thrust(&rows).slips(), []);
    }
}
