//! Parts, pairs of parts and ring gaps: each row by itself, against its sister rows and against its mates.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::{TellAt, likely_intended};
use crate::limits::schema::{FitKind, FitRow, PartKind, PartRow, Size};
use crate::limits::value;
use quantities::length::{Entry, Length};

use super::{Check, Location, MOST_ROWS, Wears, columns, row_words, text};

fn part_spot(index: usize, part: &PartRow) -> Location {
    let words = row_words(&format!("part {}", part.description), &part.reference, &part.place);
    Location::top("parts", "").element(index).called(words)
}

/// The rows of parts.
pub(super) fn parts(check: &mut Check<'_>) {
    let table = check.table;
    if check.too_many(table.parts.len(), MOST_ROWS, &Location::top("parts", "parts")) {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, part) in table.parts.iter().enumerate() {
        let location = part_spot(i, part);
        let over = part_size(check, part, &location);
        if part.reference.trim().is_empty() {
            check.error(
                &location.field("reference"),
                "A part has no reference number.",
                "Write one: pairs of parts refer to it.",
            );
        } else if !seen.insert((part.reference.as_str(), over)) {
            check.error(
                &location.field("reference"),
                "Two parts have this reference number and size.",
                "Keep only one of them, or correct the number.",
            );
        }
        let wears = match part.kind {
            PartKind::Hole => Wears::Larger,
            PartKind::Shaft => Wears::Smaller,
        };
        let new = check.pair(&part.new, &location.field("new"));
        check.limit(part.serviceable.as_ref(), new, wears, &location.field("serviceable"));
        check.ppm(part.expansion_ppm, &location.field("expansion_ppm"));
        sisters.add(part.reference.as_str(), new, location.field("new"));
    }
    sisters.tell(check);
}

/// The oversize that a part is for; tells if the bore has no such row.
fn part_size(check: &mut Check<'_>, part: &PartRow, location: &Location) -> Option<Length> {
    let table = check.table;
    let size = part.size.as_ref()?;
    let at = location.field("size");
    match value::oversize(size, table.unit) {
        Ok(over) => {
            let in_oversizes = |row: &Size| value::oversize(row, table.unit) == Ok(over);
            if table.bore.len() <= MOST_ROWS && !table.bore.iter().any(|row| in_oversizes(&row.size)) {
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
    if check.too_many(table.fits.len(), MOST_ROWS, &Location::top("fits", "fits"))
        || table.parts.len() > MOST_ROWS
    {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, fit) in table.fits.iter().enumerate() {
        let words = row_words(&format!("fit {}", fit.description), &fit.reference, &fit.place);
        let location = Location::top("fits", "").element(i).called(words);
        reference(check, &fit.reference, &mut seen, &location);
        let new = check.pair(&fit.new, &location.field("new"));
        check.limit(fit.serviceable.as_ref(), new, Wears::Larger, &location.field("serviceable"));
        sisters.add(fit.kind as u8, new, location.field("new"));
        let hole = fit.hole.as_deref().filter(|hole| !fit.is_bore(hole, table));
        let hole = mate(check, hole, PartKind::Hole, &location.field("hole"));
        let shaft = mate(check, fit.shaft.as_deref(), PartKind::Shaft, &location.field("shaft"));
        if let Some(new) = new {
            against_parts(check, fit, new, hole, shaft, &location);
        }
    }
    sisters.tell(check);
}

/// Tells a reference number that is blank or taken.
fn reference<'a>(
    check: &mut Check<'_>,
    reference: &'a str,
    seen: &mut BTreeSet<&'a str>,
    location: &Location,
) {
    let at = location.field("reference");
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
    location: &Location,
) -> Option<(Entry, Entry)> {
    let table = check.table;
    let reference = reference?;
    let for_standard = |part: &&&PartRow| matches!(part.size, None | Some(Size::Standard));
    let found: Vec<&PartRow> = table.parts.iter().filter(|part| part.reference == reference).collect();
    let Some(part) = found.iter().find(for_standard).or(found.first()) else {
        let intended = likely_intended(reference, table.parts.iter().map(|part| part.reference.as_str()));
        let remedy = intended
            .map_or("Refer to one of the table's parts, or add the part.".to_owned(), |intended| {
                format!("Write `{intended}` if that is meant, or add the part.")
            });
        check.error(location, format!("There is no part with the reference number {reference}."), remedy);
        return None;
    };
    if part.kind != kind {
        let (is, needed) = match kind {
            PartKind::Hole => ("a shaft", "hole"),
            PartKind::Shaft => ("a hole", "shaft"),
        };
        check.error(
            location,
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
    location: &Location,
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
                &location.field("new").element(i),
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
    if check.too_many(table.ring_gaps.len(), MOST_ROWS, &Location::top("ring_gaps", "ring gaps")) {
        return;
    }
    let mut seen = BTreeSet::new();
    let mut sisters = Sisters::new();
    for (i, gap) in table.ring_gaps.iter().enumerate() {
        let words = row_words(&format!("ring gap {}", gap.description), &gap.reference, &gap.place);
        let location = Location::top("ring_gaps", "").element(i).called(words);
        reference(check, &gap.reference, &mut seen, &location);
        let new = check.pair(&gap.new, &location.field("new"));
        if let Some((least, _)) = new
            && least.length <= Length::ZERO
        {
            check.error(
                &location.field("new").element(0),
                "A ring gap is more than nothing.",
                "A ring without a gap seizes: look it up in the manual.",
            );
        }
        check.limit(gap.serviceable.as_ref(), new, Wears::Larger, &location.field("serviceable"));
        sisters.add((), new, location.field("new"));
    }
    sisters.tell(check);
}

/// Tolerances of rows of one kind, to find one that is out by about a factor of ten.
struct Sisters<Group> {
    groups: BTreeMap<Group, Vec<(Entry, Location)>>,
}

impl<Group: Ord> Sisters<Group> {
    fn new() -> Self {
        Self { groups: BTreeMap::new() }
    }

    fn add(&mut self, group: Group, new: Option<(Entry, Entry)>, location: Location) {
        if let Some((least, most)) = new
            && most.length > least.length
        {
            let tolerance = Entry { length: most.length - least.length, style: most.style };
            self.groups.entry(group).or_default().push((tolerance, location));
        }
    }

    /// Tells of rows whose tolerance is eight times their sisters' median or more, or an eighth or less.
    fn tell(self, check: &mut Check<'_>) {
        for rows in self.groups.into_values() {
            let mut sorted: Vec<Length> = rows.iter().map(|(tolerance, _)| tolerance.length).collect();
            sorted.sort_unstable();
            let (3.., Some(&median)) = (sorted.len(), sorted.get(sorted.len() / 2)) else { continue };
            for (tolerance, location) in rows {
                let wide = tolerance.length >= median * 8;
                if wide || tolerance.length * 8 <= median {
                    check.note(
                        &location,
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
