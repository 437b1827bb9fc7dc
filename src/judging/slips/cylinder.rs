//! Readings that belong to another cylinder.
//!
//! Each cylinder has sizes it is known to have had: its survey before, else the size it was finished to. A bore only
//! grows from there, and not by much. The median growth of its cells tells the slip where
//!
//! - the cylinder would have shrunk by more than 0.002 in and 0.02 % of the diameter (what 17 K would do to steel),
//!   or grown by more than three times what the bore row allows for wear,
//! - and by another cylinder's known sizes it would have grown by no more than twice that allowance, and shrunk by
//!   no more than two graduations and 0.005 %.
//!
//! At least three cells must be in common. It is a caution: the numbers may be right and only the names wrong.

use super::neighbours::SmallSorted;
use super::sheet::{self, Compared, FLOOR};
use super::{Slip, SlipKind};
use quantities::length::Length;
use records::survey::Cylinder;

/// The median growth of a sheet's cells since a cylinder's known sizes.
fn growth(sheet: &Compared<'_>, known: &Cylinder) -> Option<Length> {
    let cells = sheet.bore.measured();
    let growth = match (&known.earlier, known.finished_to) {
        (Some(earlier), _) => SmallSorted::of(
            cells.filter_map(|(at, cell)| Some(sheet::mean(cell) - Compared::mean_in(&earlier.bore, at)?)),
        ),
        (None, Some((size, _))) => SmallSorted::of(cells.map(|(_, cell)| sheet::mean(cell) - size)),
        (None, None) => return None,
    };
    growth.median().filter(|_| growth.len() >= 3)
}

/// So many hundred-thousandths of the bore.
fn share(sheet: &Compared<'_>, hundred_thousandths: i64) -> Length {
    Length::from_tenths_of_nm(sheet.row.new.0.length.tenths_of_nm() / 100_000) * hundred_thousandths
}

/// Readings that fit another cylinder of the survey.
pub(super) fn find(sheet: &Compared<'_>, slips: &mut Vec<Slip>) {
    let own = sheet.cylinder;
    let Some(grown) = growth(sheet, own) else { return };
    let most = sheet.band * 3;
    if grown >= -(FLOOR * 2).max(share(sheet, 20)) && grown <= most {
        return;
    }
    let graduation = sheet.bore.measured().map(|(_, cell)| sheet.graduation(cell)).max().unwrap_or_default();
    let least = -(graduation * 2).max(share(sheet, 5));
    let better = sheet
        .survey
        .cylinders
        .iter()
        .filter(|other| other.serial != own.serial || other.position != own.position)
        .filter_map(|other| growth(sheet, other).map(|grown| (grown, other)))
        .filter(|(grown, _)| (least..=sheet.band * 2).contains(grown))
        .min_by_key(|(grown, _)| grown.abs());
    let Some((by_other, other)) = better else { return };
    let style = sheet.style();
    let (way, against) = (if grown < Length::ZERO { "smaller" } else { "larger" }, known_words(own));
    let why = format!(
        "its readings are about {} {way} than {against}, but fit {}: they are within {} of {}",
        grown.abs().text(style),
        other.words(),
        by_other.abs().text(style),
        known_words(other),
    );
    let mut slip = Slip::caution(SlipKind::WrongCylinder, style, why);
    slip.confirmed = sheet.all_confirmed();
    slips.push(slip);
}

fn known_words(cylinder: &Cylinder) -> String {
    match &cylinder.earlier {
        Some(earlier) => format!("its readings of {}", earlier.date),
        None => "the size it was finished to".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    #[test]
    fn a_barrel_read_for_another() {
        let usual = quantities::length::Style::usual(quantities::length::Unit::Inch);
        let mut bench = Bench::six().pin_thrust(&SOUND);
        bench.cylinder.size = Some(1);
        bench.cylinder.finished_to = Some((inch("5.1352"), usual));
        let mut other = bench.cylinder.clone();
        (other.position, other.serial) = ("4".to_owned(), "K-118".to_owned());
        other.size = Some(0);
        other.finished_to = Some((inch("5.1253"), usual));
        bench.survey.cylinders = vec![bench.cylinder.clone(), other];
        let slips = bench.slips();
        assert_eq!(slips[0].kind, SlipKind::WrongCylinder);
        assert_eq!(slips[0].corrected(&bench.cylinder.bore), None);
        let sentence = bench.sentence(&slips[0]);
        assert!(sentence.contains("but fit cylinder 4 (K-118)"), "{sentence}");
        bench.cylinder.size = Some(0);
        bench.cylinder.finished_to = Some((inch("5.1253"), usual));
        assert_eq!(bench.slips(), [], "its own fits");
    }

    #[test]
    fn exchanged_since_the_survey_before() {
        let mut bench = Bench::six().pin_thrust(&SOUND);
        let worn: [&[&str]; 3] = [&["5.1252", "5.1252"], &["5.1302", "5.1305"], &["5.1299", "5.1301"]];
        let worn = bench.bore(&["pin", "thrust"], &worn);
        let little: [&[&str]; 3] = [&["5.1252", "5.1252"], &["5.1262", "5.1265"], &["5.1268", "5.1270"]];
        let little = bench.bore(&["pin", "thrust"], &little);
        let mut other = bench.cylinder.clone();
        (other.position, other.serial) = ("4".to_owned(), "K-118".to_owned());
        other.earlier =
            Some(records::survey::Earlier { date: jiff::civil::date(2020, 5, 4), bore: little.clone() });
        bench = bench.after(worn);
        bench.survey.cylinders = vec![bench.cylinder.clone(), other];
        assert_eq!(bench.kinds(), [SlipKind::WrongCylinder]);
        bench.survey.cylinders.truncate(1);
        assert_eq!(bench.kinds(), [SlipKind::Shrunk], "no other to fit");
        assert_eq!(bench.after(little).slips(), []);
    }
}
