//! Smaller than any bore of its size is made.
//!
//! A cell counts if its mean is below the smallest as-made size by more than two graduations and three
//! standard uncertainties; where the table has a choke, by more than the largest choke as well, but at the base
//! end. One caution for the cylinder, at its smallest cell. The largest smaller size of the table that its
//! median fits is named.

use super::neighbours::Few;
use super::sheet::{self, Sheet};
use super::{Slip, SlipKind, known_at};
use crate::bore::{Cell, Point};
use crate::length::Length;
use crate::limits::resolved::{Choke, SizeRow};

/// The largest size below the cylinder's that a bore of this diameter may have.
pub(super) fn smaller_size<'a>(sheet: &Sheet<'a>, diameter: Length) -> Option<&'a SizeRow> {
    let fits = |row: &&SizeRow| {
        let most = row.serviceable.as_ref().map_or(row.new.1.length + sheet.band, |limit| limit.length);
        row.oversize < sheet.row.oversize && (row.new.0.length..=most).contains(&diameter)
    };
    sheet.limits.sizes.iter().rev().find(fits)
}

/// A bore below its size.
pub(super) fn find(sheet: &Sheet<'_>, slips: &mut Vec<Slip>) {
    let least = sheet.row.new.0.length;
    let choke = sheet.limits.choke.as_ref();
    let mut smallest: Option<(Length, Point, &Cell)> = None;
    for (at, cell) in sheet.bore.measured() {
        let short = least - sheet::mean(cell);
        if short <= sheet.graduation(cell) * 2 || smallest.is_some_and(|(most, ..)| short <= most) {
            continue;
        }
        let choked = choke.filter(|choke| !choke.base.contains(&at.station));
        let choked = choked.map_or(Length::ZERO, Choke::most_as_made);
        if !known_at(slips, at) && short > choked + sheet.three_u(&[(at, 1.0)]) {
            smallest = Some((short, at, cell));
        }
    }
    let Some((short, at, cell)) = smallest else { return };
    let median = Few::of(sheet.bore.measured().map(|(_, cell)| sheet::mean(cell))).median();
    let other = median.and_then(|median| smaller_size(sheet, median));
    let other = other.map_or(String::new(), |row| format!("; the readings fit size {}", row.name));
    let why = format!(
        "is {} smaller than any bore of size {} is made ({}){other}",
        short.text(cell.style),
        sheet.row.name,
        sheet.row.new.0.text()
    );
    slips.push(Slip::at_cell(SlipKind::BelowNew, at, cell, sheet::mean(cell), why));
}

#[cfg(test)]
mod tests {
    use super::super::tests::*;
    use super::*;

    #[test]
    fn an_oversize_that_is_none() {
        let mut bench = Bench::six().pin_thrust(&SOUND);
        bench.cylinder.size = Some(1);
        let (slip, sentence) = bench.only();
        assert_eq!((slip.kind, slip.likely), (SlipKind::BelowNew, None));
        assert!(
            sentence.contains("smaller than any bore of size +0.010 in is made (5.1350 in)"),
            "{sentence}"
        );
        assert!(sentence.contains("the readings fit size standard"), "{sentence}");
    }

    #[test]
    fn two_graduations_below_are_none() {
        assert_eq!(sound_but(Bench::six(), 0, 0, "5.1248").slips(), []);
    }
}
