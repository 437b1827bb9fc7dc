//! Parts, pairs of parts and ring gaps: each row by itself, against its sister rows and against its mates.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::{TellAt, likely_meant};
use crate::limits::schema::{FitKind, FitRow, PartKind, PartRow, Size};
use crate::limits::value;
use quantities::length::{Entry, Length};

use super::{Check, MOST_ROWS, Spot, Wears, columns, row_words, text};

fn part_spot(index: usize, part: &PartRow) -> Spot {
    let words = row_words(&format!("part {}", part.description), &part.reference, &part.place);
    Spot::top("parts", "").element(index).called(words)
}

/// The rows of parts.
pub(super) fn parts(check: &mut Check<'_>) {
    let table = check.table;
    if check.too_many(table.parts.len(), MOST_ROWS, &Spot::top("parts", "parts")) {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, part) in table.parts.iter().enumerate() {
        let spot = part_spot(i, part);
        let over = part_size(check, part, &spot);
        if part.reference.trim().is_empty() {
            check.error(
                &spot.field("reference"),
                "A part has no reference number.",
                "Write one: pairs of parts refer to it.",
            );
        } else if !seen.insert((part.reference.as_str(), over)) {
            check.error(
                &spot.field("reference"),
                "Two parts have this reference number and size.",
                "Keep only one of them, or correct the number.",
            );
        }
        let wears = match part.kind {
            PartKind::Hole => Wears::Larger,
            PartKind::Shaft => Wears::Smaller,
        };
        let new = check.pair(&part.new, &spot.field("new"));
        check.limit(part.serviceable.as_ref(), new, wears, &spot.field("serviceable"));
        check.ppm(part.expansion_ppm, &spot.field("expansion_ppm"));
        sisters.add(part.reference.as_str(), new, spot.field("new"));
    }
    sisters.tell(check);
}

/// The oversize that a part is for; tells if the bore has no such row.
fn part_size(check: &mut Check<'_>, part: &PartRow, spot: &Spot) -> Option<Length> {
    let table = check.table;
    let size = part.size.as_ref()?;
    let at = spot.field("size");
    match value::oversize(size, table.unit) {
        Ok(over) => {
            let in_ladder = |row: &Size| value::oversize(row, table.unit) == Ok(over);
            if table.bore.len() <= MOST_ROWS && !table.bore.iter().any(|row| in_ladder(&row.size)) {
                check.error(
                    &at,
                    "The part is for a size that the bore has no row for.",
                    "Correct the size, or add the bore's row.",
                );
            }
            Some(over)
        }
        Err(error) => {
            check.error(&at, format!("{error}."), "An oversize is written like Oversize(\"0.010\").");
            None
        }
    }
}

/// The rows of pairs of parts.
pub(super) fn fits(check: &mut Check<'_>) {
    let table = check.table;
    if check.too_many(table.fits.len(), MOST_ROWS, &Spot::top("fits", "fits"))
        || table.parts.len() > MOST_ROWS
    {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, fit) in table.fits.iter().enumerate() {
        let words = row_words(&format!("fit {}", fit.description), &fit.reference, &fit.place);
        let spot = Spot::top("fits", "").element(i).called(words);
        reference(check, &fit.reference, &mut seen, &spot);
        let new = check.pair(&fit.new, &spot.field("new"));
        check.limit(fit.serviceable.as_ref(), new, Wears::Larger, &spot.field("serviceable"));
        sisters.add(fit.kind as u8, new, spot.field("new"));
        let hole = fit.hole.as_deref().filter(|hole| !fit.is_bore(hole, table));
        let hole = mate(check, hole, PartKind::Hole, &spot.field("hole"));
        let shaft = mate(check, fit.shaft.as_deref(), PartKind::Shaft, &spot.field("shaft"));
        if let Some(new) = new {
            against_parts(check, fit, new, hole, shaft, &spot);
        }
    }
    sisters.tell(check);
}

/// Tells a reference number that is blank or taken.
fn reference<'a>(check: &mut Check<'_>, reference: &'a str, seen: &mut BTreeSet<&'a str>, spot: &Spot) {
    let at = spot.field("reference");
    if reference.trim().is_empty() {
        check.error(&at, "A row has no reference number.", "Write one: measurements refer to it.");
    } else if !seen.insert(reference) {
        check.error(&at, "Two rows have this reference number.", "Give each row a number of its own.");
    }
}

/// The as-made range of the part that a pair refers to: the one for standard, where there are several.
fn mate(
    check: &mut Check<'_>,
    reference: Option<&str>,
    kind: PartKind,
    spot: &Spot,
) -> Option<(Entry, Entry)> {
    let table = check.table;
    let reference = reference?;
    let for_standard = |part: &&&PartRow| matches!(part.size, None | Some(Size::Standard));
    let found: Vec<&PartRow> = table.parts.iter().filter(|part| part.reference == reference).collect();
    let Some(part) = found.iter().find(for_standard).or(found.first()) else {
        let meant = likely_meant(reference, table.parts.iter().map(|part| part.reference.as_str()));
        let remedy = meant
            .map_or("Refer to one of the table's parts, or add the part.".to_owned(), |meant| {
                format!("Write `{meant}` if that is meant, or add the part.")
            });
        check.error(spot, format!("There is no part with the reference number {reference}."), remedy);
        return None;
    };
    if part.kind != kind {
        let (is, needed) = match kind {
            PartKind::Hole => ("a shaft", "hole"),
            PartKind::Shaft => ("a hole", "shaft"),
        };
        check.error(
            spot,
            format!("Part {reference} ({}) is {is}.", part.description),
            format!("Refer to the {needed} of the pair, or correct the part's kind."),
        );
        return None;
    }
    check.pair_silently(&part.new)
}

/// Compares a pair's as-made clearance with what its parts give.
fn against_parts(
    check: &mut Check<'_>,
    fit: &FitRow,
    new: (Entry, Entry),
    hole: Option<(Entry, Entry)>,
    shaft: Option<(Entry, Entry)>,
    spot: &Spot,
) {
    let bore = || {
        let row = check.table.bore.iter().find(|row| row.size == Size::Standard)?;
        check.pair_silently(&row.new)
    };
    let hole = if fit.kind == FitKind::SkirtInBore && hole.is_none() { bore() } else { hole };
    let Some((hole, shaft)) = hole.zip(shaft) else { return };
    let derived = [
        (new.0, hole.0.length - shaft.1.length, "smallest"),
        (new.1, hole.1.length - shaft.0.length, "largest"),
    ];
    for (i, (printed, length, name)) in derived.into_iter().enumerate() {
        let from_parts = Entry { length, style: printed.style };
        if !columns::agree(printed, from_parts) {
            check.note(
                &spot.field("new").element(i),
                format!(
                    "The {name} clearance {} is not the one that the parts' own sizes give, {}.",
                    text(printed),
                    text(from_parts)
                ),
                "They are independent requirements and both are kept; look both up in the manual.",
            );
        }
    }
}

/// The rows of ring gaps.
pub(super) fn ring_gaps(check: &mut Check<'_>) {
    let table = check.table;
    if check.too_many(table.ring_gaps.len(), MOST_ROWS, &Spot::top("ring_gaps", "ring gaps")) {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, gap) in table.ring_gaps.iter().enumerate() {
        let words = row_words(&format!("ring gap {}", gap.description), &gap.reference, &gap.place);
        let spot = Spot::top("ring_gaps", "").element(i).called(words);
        reference(check, &gap.reference, &mut seen, &spot);
        let new = check.pair(&gap.new, &spot.field("new"));
        if let Some((least, _)) = new
            && least.length <= Length::ZERO
        {
            check.error(
                &spot.field("new").element(0),
                "A ring gap is more than nothing.",
                "A ring without a gap seizes: look it up in the manual.",
            );
        }
        check.limit(gap.serviceable.as_ref(), new, Wears::Larger, &spot.field("serviceable"));
        sisters.add((), new, spot.field("new"));
    }
    sisters.tell(check);
}

/// Tolerances of rows of one kind, to find one that is out by about a factor of ten.
struct Sisters<Group> {
    groups: BTreeMap<Group, Vec<(Entry, Spot)>>,
}

impl<Group: Ord> Sisters<Group> {
    fn new() -> Self {
        Self { groups: BTreeMap::new() }
    }

    fn add(&mut self, group: Group, new: Option<(Entry, Entry)>, spot: Spot) {
        if let Some((least, most)) = new
            && most.length > least.length
        {
            let tolerance = Entry { length: most.length - least.length, style: most.style };
            self.groups.entry(group).or_default().push((tolerance, spot));
        }
    }

    /// Tells of rows whose tolerance is eight times their sisters' median or more, or an eighth or less.
    fn tell(self, check: &mut Check<'_>) {
        for rows in self.groups.into_values() {
            let mut sorted: Vec<Length> = rows.iter().map(|(tolerance, _)| tolerance.length).collect();
            sorted.sort_unstable();
            let (3.., Some(&median)) = (sorted.len(), sorted.get(sorted.len() / 2)) else { continue };
            for (tolerance, spot) in rows {
                let wide = tolerance.length >= median * 8;
                if wide || tolerance.length * 8 <= median {
                    check.note(
                        &spot,
                        format!(
                            "The tolerance {} is far {} than its sister rows' {}.",
                            text(tolerance),
                            if wide { "wider" } else { "narrower" },
                            median.text(tolerance.style)
                        ),
                        "A zero may be lost or too many: look it up in the manual.",
                    );
                }
            }
        }
    }
}
