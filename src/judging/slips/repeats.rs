//! One repeat far from its fellows.
//!
//! From four repeats on Grubbs' test is asked, and says how many there were; a repeat within three
//! graduations of the others' median, or within three standard deviations of a gauge study, is left alone, since the
//! test knows nothing of resolution. Below four nothing statistical can be said: there a repeat counts as far
//! off if it is more than 10 graduations from the median of the others and these lie within five of
//! each other; of two repeats so far apart, the one farther from the other axes or stations.
//!
//! Only a repeat more than 10 graduations off, of three or more, makes a guess: the median of the others.
//!
//! A gauge that is tilted along the bore by t measures D / cos t, which is too much. One that stands off
//! centre by o measures the chord 2 sqrt(D²/4 - o²), which is too little. Both are plain geometry.

use super::neighbours::{Neighbours, SmallSorted};
use super::sheet::{self, Compared};
use super::{Slip, SlipKind, known_at};
use figures::certainty::outlier::{OutlierSide, grubbs};
use quantities::length::{Length, Style};
use records::bore::{Cell, Point};

/// How far a gauge must be tilted along the bore to read so much high, in degrees. Both in one unit.
///
/// ```
/// let degrees = judging::slips::tilt_degrees(5.0, 0.00076);
/// assert!((degrees - 1.0).abs() < 0.005);
/// ```
pub fn tilt_degrees(diameter: f64, excess: f64) -> f64 {
    if !(diameter > 0.0 && excess > 0.0) {
        return 0.0;
    }
    // As sin² (t/2), since the cosine of a small angle loses its digits.
    let half = (excess / (2.0 * (diameter + excess))).sqrt();
    2.0 * half.min(1.0).asin().to_degrees()
}

/// How far off the centre a gauge must stand to read so much low, in the unit of both.
///
/// ```
/// let offset = judging::slips::chord_offset(5.0, 0.001);
/// assert!((offset - 0.05).abs() < 0.0005);
/// ```
pub fn chord_offset(diameter: f64, deficit: f64) -> f64 {
    if !(diameter > 0.0 && deficit > 0.0) {
        return 0.0;
    }
    let deficit = deficit.min(diameter);
    (deficit * (2.0 * diameter - deficit)).sqrt() / 2.0
}

/// A repeat that is far off.
struct Far {
    repeat: usize,
    /// The median of its fellows.
    others: Length,
    gross: bool,
    /// Why it is thought so.
    by: String,
}

/// Repeats far from their fellows, at most one in each cell.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    for (at, cell) in sheet.bore.measured() {
        let (low, high) = sheet::extremes(cell);
        if high - low <= sheet.graduation(cell) * 3 || known_at(slips, at) {
            continue;
        }
        if let Some(far) = farthest(sheet, at, cell) {
            slips.extend(slip(at, cell, &far));
        }
    }
}

fn farthest(sheet: &Compared<'_>, at: Point, cell: &Cell) -> Option<Far> {
    let repeats = cell.repeats();
    let fellows = |repeat: usize| {
        SmallSorted::of(repeats.iter().enumerate().filter(|(i, _)| *i != repeat).map(|(_, other)| *other))
    };
    let graduation = sheet.graduation(cell);
    let off = |repeat: usize| {
        let others = fellows(repeat);
        let (read, median) = (*repeats.get(repeat)?, others.median()?);
        Some(((read - median).abs(), median, others.range()))
    };
    if let [first, second] = repeats {
        if (*first - *second).abs() <= graduation * 10 {
            return None;
        }
        let expected = Neighbours::of_cell(sheet, at).nearest_value()?;
        let first_is_farther = (*first - expected).abs() > (*second - expected).abs();
        let (repeat, others) = if first_is_farther { (0, *second) } else { (1, *first) };
        let by = "and farther from its neighbours than the other repeat".to_owned();
        return Some(Far { repeat, others, gross: false, by });
    }
    let gross = (0..repeats.len()).find_map(|repeat| {
        let (off, others, range) = off(repeat)?;
        (off > graduation * 10 && range <= graduation * 5).then_some((repeat, others))
    });
    let values: Vec<f64> = repeats.iter().map(|repeat| repeat.to_mm()).collect();
    let test = grubbs(&values, OutlierSide::Either).filter(|test| test.stands_out());
    let study = sheet.gauge(cell).filter(|gauge| !gauge.pooled).and_then(|gauge| gauge.repeatability);
    let least = study.and_then(|study| Length::from_mm(3.0 * study.u)).unwrap_or_default();
    let by_test = test.as_ref().and_then(|test| {
        let (off, others, _) = off(test.index)?;
        (off > (graduation * 3).max(least)).then_some((test.index, others))
    });
    let (repeat, others) = gross.or(by_test)?;
    let by = match test.filter(|test| test.index == repeat) {
        Some(test) => {
            format!("(Grubbs' test: G {:.2}, critical {:.2} at 5 %, n = {})", test.g, test.critical, test.n)
        }
        None => format!("(n = {}, too few for a test)", repeats.len()),
    };
    Some(Far { repeat, others, gross: gross.is_some(), by })
}

fn slip(at: Point, cell: &Cell, far: &Far) -> Option<Slip> {
    let read = *cell.repeats().get(far.repeat)?;
    let (unit, others) = (cell.style.unit, far.others);
    let away = (read - others).abs();
    let (away_mm, true_mm) = (away.to_mm(), others.to_mm());
    let away = away.text(cell.style);
    let (kind, way, cause) = if read > others {
        let degrees = tilt_degrees(true_mm, away_mm);
        (SlipKind::TiltedRepeat, "above", format!("a gauge tilted by {degrees:.1} degrees reads so"))
    } else {
        let offset = Length::from_mm(chord_offset(true_mm, away_mm)).unwrap_or_default();
        let offset = offset.text(Style { unit, decimals: cell.style.decimals.saturating_sub(2).max(1) });
        (SlipKind::OffCentreRepeat, "below", format!("a gauge {offset} off centre reads so"))
    };
    let others = others.text(cell.style);
    let why = format!("is {away} {way} the other repeats' {others} {}: {cause}", far.by);
    let mut slip = Slip::at_cell(kind, at, cell, read, why);
    slip.repeat = Some(far.repeat);
    if far.gross {
        let mut intended = cell.repeats().to_vec();
        *intended.get_mut(far.repeat)? = far.others;
        slip.likely = Some(far.others);
        slip.intended = vec![(at, intended)];
    }
    Some(slip)
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    /// Grade D: 1 / cos on 5 in gives 0.00019, 0.00076 and 0.00305 at 0.5, 1 and 2 degrees.
    #[test]
    fn tilt_from_geometry() {
        for (degrees, excess) in [(0.5, 0.000_19), (1.0, 0.000_76), (2.0, 0.003_05)] {
            let back: f64 = 5.0 / f64::to_radians(degrees).cos() - 5.0;
            assert!((back - excess).abs() < 0.000_005, "{back}");
            assert!((tilt_degrees(5.0, back) - degrees).abs() < 1e-6);
        }
        assert_eq!(tilt_degrees(5.0, 0.0), 0.0);
        assert_eq!(tilt_degrees(0.0, 1.0), 0.0);
        assert!(tilt_degrees(5.0, f64::MAX).is_finite());
    }

    /// Grade D: a chord 0.02, 0.05 and 0.10 in off the centre of 5 in is 0.00016, 0.00100 and 0.00400 short.
    #[test]
    fn chord_from_geometry() {
        for (offset, deficit) in [(0.02_f64, 0.000_16), (0.05, 0.001_00), (0.10, 0.004_00)] {
            let back = 5.0 - 2.0 * (2.5_f64 * 2.5 - offset * offset).sqrt();
            assert!((back - deficit).abs() < 0.000_005, "{back}");
            assert!((chord_offset(5.0, back) - offset).abs() < 1e-6);
        }
        assert_eq!(chord_offset(5.0, 0.0), 0.0);
        assert_eq!(chord_offset(5.0, 9.0), 2.5, "no farther off than the wall");
    }

    #[test]
    fn a_tilted_repeat_of_four_is_tested() {
        let bench = sound_but(Bench::six(), 2, 1, "5.1277 5.1278 5.1285 5.1277 5.1278");
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.repeat, slip.likely), (SlipKind::TiltedRepeat, Some(2), None));
        assert!(sentence.contains("n = 5") && sentence.contains("tilted by 1.0 degrees"), "{sentence}");
    }

    #[test]
    fn far_off_below_four_without_a_test() {
        let bench = sound_but(Bench::six(), 2, 1, "5.1277 5.1264 5.1278");
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.repeat), (SlipKind::OffCentreRepeat, Some(1)));
        assert!(sentence.contains("n = 3, too few for a test"), "{sentence}");
        assert!(sentence.contains("0.06 in off centre"), "{sentence}");
        assert_eq!(bench.corrected(&slip).slips(), []);
    }

    #[test]
    fn silent_where_nothing_can_be_told() {
        let three = sound_but(Bench::six(), 2, 1, "5.1277 5.1284 5.1278");
        assert_eq!(three.slips(), [], "seven graduations, three repeats");
        let one_graduation = sound_but(Bench::six(), 2, 1, "5.1277 5.1277 5.1277 5.1278");
        assert_eq!(one_graduation.slips(), []);
        let scattered = sound_but(Bench::six(), 2, 1, "5.1277 5.1284 5.1270 5.1281 5.1274");
        assert_eq!(scattered.slips(), []);
    }

    #[test]
    fn two_repeats_ask_their_neighbours() {
        let (slip, _) = sound_but(Bench::six(), 3, 0, "5.1290 5.1276").only();
        assert_eq!((slip.kind, slip.repeat, slip.likely), (SlipKind::TiltedRepeat, Some(0), None));
    }
}
