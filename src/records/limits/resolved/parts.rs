//! The parts, the pairs that they make, and the ring gaps: each row with its limits, and a pair with the rows of its
//! parts.

use super::read::{Reader, source, top};
use super::{Fit, FitLimits, Part};
use crate::diag::{Diagnostic, FieldPath};
use crate::limits::schema::{Limit, PartKind, PartRow, RingGapRow, Value};

/// What a row of a part, of a pair and of a ring's gap has in common, as it is written.
struct Written<'a> {
    description: &'a str,
    new: &'a (Value, Value),
    serviceable: Option<&'a Limit>,
    reference: &'a str,
    place: &'a str,
}

/// The limits of such a row: of a shaft an allowance is taken off the least, of all else it is added to the greatest.
fn limits<Kind>(
    reader: &mut Reader<'_>,
    path: &FieldPath,
    kind: Kind,
    is_shaft: bool,
    written: &Written<'_>,
) -> Option<FitLimits<Kind>> {
    let new = reader.pair(written.new, &path.field("new"), written.description);
    let over = new.as_ref().map(|new| if is_shaft { &new.0 } else { &new.1 });
    let sign = if is_shaft { -1 } else { 1 };
    let serviceable =
        reader.limit(written.serviceable, over, sign, path.field("serviceable"), written.description);
    Some(FitLimits {
        kind,
        description: written.description.to_owned(),
        new: new?,
        serviceable,
        source: source(written.reference, written.place),
    })
}

pub(super) fn resolve_parts(reader: &mut Reader<'_>) -> Vec<Part> {
    let rows = reader.table.parts.iter().enumerate();
    let part = |(i, row): (usize, &PartRow)| {
        let written = Written {
            description: &row.description,
            new: &row.new,
            serviceable: row.serviceable.as_ref(),
            reference: &row.reference,
            place: &row.place,
        };
        let is_shaft = row.kind == PartKind::Shaft;
        let limits = limits(reader, &top("parts").element(i), row.kind, is_shaft, &written)?;
        Some(Part { limits, size: row.size.clone(), expansion_ppm: row.expansion_ppm })
    };
    rows.filter_map(part).collect()
}

pub(super) fn resolve_fits(reader: &mut Reader<'_>) -> Vec<Fit> {
    let mut fits = Vec::new();
    for (i, row) in reader.table.fits.iter().enumerate() {
        let path = top("fits").element(i);
        let written = Written {
            description: &row.description,
            new: &row.new,
            serviceable: row.serviceable.as_ref(),
            reference: &row.reference,
            place: &row.place,
        };
        let limits = limits(reader, &path, row.kind, false, &written);
        let mut part = |reference: Option<&String>, field| {
            let reference = reference?;
            let index = reader.table.parts.iter().position(|part| part.reference == *reference);
            if index.is_none() {
                reader.errors.push(
                    Diagnostic::error(format!("there is no part with the reference `{reference}`"))
                        .at(path.field(field))
                        .place(row.description.clone())
                        .remedy("Name a row under `parts`, or leave it out."),
                );
            }
            index
        };
        let hole = row.hole.as_ref().filter(|hole| !row.is_bore(hole, reader.table));
        let (hole, shaft) = (part(hole, "hole"), part(row.shaft.as_ref(), "shaft"));
        fits.extend(limits.map(|limits| Fit { limits, hole, shaft }));
    }
    fits
}

pub(super) fn resolve_ring_gaps(reader: &mut Reader<'_>) -> Vec<FitLimits<()>> {
    let rows = reader.table.ring_gaps.iter().enumerate();
    let gap = |(i, row): (usize, &RingGapRow)| {
        let written = Written {
            description: &row.description,
            new: &row.new,
            serviceable: row.serviceable.as_ref(),
            reference: &row.reference,
            place: &row.place,
        };
        limits(reader, &top("ring_gaps").element(i), (), false, &written)
    };
    rows.filter_map(gap).collect()
}
