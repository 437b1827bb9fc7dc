//! The readings of two axes exchanged at one station.
//!
//! What tells it is the difference of the two axes along the barrel. A difference is clear if it is at least
//! four graduations. It looks exchanged at a station if it is clear there and, at the same time,
//!
//! - the stations beside it (both of them, or the one there is) have a clear difference the other way, and no
//!   other station has one this way;
//! - at least two other stations have it, three if the station is at an end of those that were measured;
//! - the other way round it lies at most a third as far from the line through its neighbours: between them
//!   inside the barrel, through the nearest two at an end, where an oval may well turn by and by;
//! - it is beyond three standard uncertainties of such a difference;
//! - the survey before, if there was one, does not show it this way as well.
//!
//! Where the survey before shows it clearly the other way at this station, one other station is enough.
//! Stations above ring travel do not wear and do not count.

use super::sheet::Compared;
use super::{Slip, SlipKind, known_at};
use quantities::length::Length;
use records::bore::{Bore, Point};
use records::survey::axis_words;

/// Two axes, by index.
type Pair = (usize, usize);

fn difference(bore: &Bore, station: usize, (a, b): Pair) -> Option<Length> {
    Some(Compared::mean_in(bore, Point::new(station, a))? - Compared::mean_in(bore, Point::new(station, b))?)
}

/// The least difference at a station that is clear: four graduations of the coarser gauge.
fn clear(sheet: &Compared<'_>, station: usize, (a, b): Pair) -> Length {
    [a, b]
        .into_iter()
        .filter_map(|axis| sheet.bore.cell(Point::new(station, axis)))
        .map(|cell| sheet.graduation(cell) * 4)
        .max()
        .unwrap_or_default()
}

/// Axes exchanged, at most once at each station.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let axes = sheet.bore.axes();
    for &station in sheet.limits.bore_stations.iter() {
        let mut largest: Option<(Length, Pair)> = None;
        for a in 0..axes {
            for b in a + 1..axes {
                let Some(read) = difference(sheet.bore, station, (a, b)) else { continue };
                if read.abs() >= clear(sheet, station, (a, b))
                    && largest.is_none_or(|(most, _)| read.abs() > most)
                    && looks_exchanged(sheet, station, (a, b), read)
                {
                    largest = Some((read.abs(), (a, b)));
                }
            }
        }
        let Some((_, pair)) = largest else { continue };
        slips.extend(slip(sheet, station, pair, slips));
    }
}

fn looks_exchanged(sheet: &Compared<'_>, station: usize, pair: Pair, read: Length) -> bool {
    // Every other station's difference, turned so that `read` is positive: the other way is negative.
    let turned = |difference: Length| if read < Length::ZERO { -difference } else { difference };
    let here = turned(read);
    let others = || {
        let stations = sheet.limits.bore_stations.iter().copied().filter(move |&other| other != station);
        stations.filter_map(move |other| {
            let difference = turned(difference(sheet.bore, other, pair)?);
            Some((other, difference, clear(sheet, other, pair)))
        })
    };
    if others().any(|(_, difference, clear)| difference >= clear) {
        return false;
    }
    let earlier =
        sheet.cylinder.earlier.as_ref().and_then(|earlier| difference(&earlier.bore, station, pair));
    let earlier = earlier.map_or(Length::ZERO, turned);
    let enough = clear(sheet, station, pair);
    if earlier >= enough {
        return false;
    }
    let is_clear = |(_, difference, clear): &(usize, Length, Length)| *difference <= -*clear;
    let mut above = others().filter(|(other, ..)| *other < station);
    let below: Vec<_> = others().filter(|(other, ..)| *other > station).take(2).collect();
    let (mut above_2, mut above_1) = (None, None);
    for other in above.by_ref() {
        (above_2, above_1) = (above_1, Some(other));
    }
    let (below_1, below_2) = (below.first().copied(), below.get(1).copied());
    if [above_1, below_1].iter().flatten().any(|other| !is_clear(other)) {
        return false;
    }
    let votes = others().filter(is_clear).count();
    let inside = above_1.is_some() && below_1.is_some();
    let needed = match (earlier <= -enough, inside) {
        (true, _) => 1,
        (false, true) => 2,
        (false, false) => 3,
    };
    if votes < needed {
        return false;
    }
    let expected = match (above_1, below_1, above_2.or(below_2)) {
        (Some((_, a, _)), Some((_, b, _)), _) => halved(a + b),
        (Some((_, near, _)), None, Some((_, far, _))) | (None, Some((_, near, _)), Some((_, far, _))) => {
            near * 2 - far
        }
        // One other station, and the survey before agrees with it.
        (Some((_, near, _)), None, None) | (None, Some((_, near, _)), None) => near,
        (None, None, _) => return false,
    };
    let (off, rest) = ((here - expected).abs(), (-here - expected).abs());
    rest * 3 <= off && here > sheet.explained(&terms(station, pair))
}

fn halved(length: Length) -> Length {
    Length::from_tenths_of_nm(length.tenths_of_nm() / 2)
}

fn terms(station: usize, (a, b): Pair) -> [(Point, f64); 2] {
    [(Point::new(station, a), 1.0), (Point::new(station, b), -1.0)]
}

fn slip(sheet: &Compared<'_>, station: usize, (a, b): Pair, slips: &[Slip]) -> Option<Slip> {
    let (at, other) = (Point::new(station, a), Point::new(station, b));
    if known_at(slips, at) || known_at(slips, other) {
        return None;
    }
    let (cell, cell_b) = (sheet.bore.cell(at)?, sheet.bore.cell(other)?);
    let (read, likely) = (sheet.mean(at)?, sheet.mean(other)?);
    let label = |axis: usize| axis_words(sheet.limits.axes.get(axis).map_or("?", |axis| axis.label.as_str()));
    let (more, less) = if read > likely { ("larger", "smaller") } else { ("smaller", "larger") };
    let why = format!(
        "looks exchanged with the {}, which reads {}: the {} is {more} here and {less} at the other stations",
        label(b),
        likely.text(cell.style),
        label(a),
    );
    let mut slip = Slip::at_cell(SlipKind::WrongAxis, at, cell, read, why);
    slip.confirmed = cell.confirmed || cell_b.confirmed;
    slip.likely = Some(likely);
    slip.intended = vec![(at, cell_b.repeats().to_vec()), (other, cell.repeats().to_vec())];
    Some(slip)
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    const OVAL: [&[&str]; 5] = [
        &["5.1252", "5.1252"],
        &["5.1262", "5.1280"],
        &["5.1266", "5.1282"],
        &["5.1268", "5.1281"],
        &["5.1270", "5.1280"],
    ];

    fn exchanged_at(station: usize) -> Bench {
        let mut rows = OVAL;
        let [a, b] = OVAL[station] else { unreachable!() };
        let turned = [*b, *a];
        rows[station] = &turned;
        Bench::six().pin_thrust(&rows)
    }

    #[test]
    fn at_each_station_below_the_top() {
        for (station, row) in OVAL.iter().enumerate().skip(1) {
            let bench = exchanged_at(station);
            let (slip, sentence) = bench.only();
            assert_eq!((slip.kind, slip.at), (SlipKind::WrongAxis, Some(Point::new(station, 0))));
            assert_eq!(slip.likely, Some(inch(row[0])));
            assert!(sentence.contains("looks exchanged with the thrust axis"), "{sentence}");
            let corrected = bench.corrected(&slip);
            assert_eq!(corrected.slips(), []);
            assert_eq!(corrected.cylinder.bore, Bench::six().pin_thrust(&OVAL).cylinder.bore);
        }
    }

    #[test]
    fn an_oval_that_turns_by_and_by_is_none() {
        let rows: [&[&str]; 5] = [
            &["5.1252", "5.1252"],
            &["5.1262", "5.1280"],
            &["5.1266", "5.1277"],
            &["5.1270", "5.1274"],
            &["5.1274", "5.1270"],
        ];
        assert_eq!(Bench::six().pin_thrust(&rows).slips(), []);
        assert_eq!(Bench::six().pin_thrust(&OVAL).slips(), []);
    }

    #[test]
    fn small_differences_are_none() {
        let rows: [&[&str]; 5] = [
            &["5.1252", "5.1252"],
            &["5.1270", "5.1273"],
            &["5.1275", "5.1272"],
            &["5.1272", "5.1275"],
            &["5.1273", "5.1276"],
        ];
        assert_eq!(Bench::six().pin_thrust(&rows).slips(), []);
    }

    #[test]
    fn the_survey_before_decides() {
        let rows: [&[&str]; 3] = [&["5.1252", "5.1252"], &["5.1282", "5.1262"], &["5.1266", "5.1282"]];
        let bench = Bench::six().pin_thrust(&rows);
        assert!(!bench.kinds().contains(&SlipKind::WrongAxis), "one other station is not enough");
        let rows: [&[&str]; 3] = [&["5.1252", "5.1252"], &["5.1260", "5.1272"], &["5.1262", "5.1272"]];
        let before = bench.bore(&["pin", "thrust"], &rows);
        assert!(bench.after(before).kinds().contains(&SlipKind::WrongAxis));
        let bench = exchanged_at(2);
        let same = bench.bore(&["pin", "thrust"], &[&[], &[], &["5.1280", "5.1264"]]);
        assert_eq!(bench.after(same).slips(), [], "it was so before");
    }
}
