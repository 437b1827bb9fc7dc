//! The parts, the pairs that they make, and the ring gaps: each row with its limits, and a pair with the rows of its
//! parts.

use super::read::{Reader, source, top};
use super::{Fit, FitLimits, Part};
use crate::diag::Diagnostic;
use crate::limits::schema::PartKind;

pub(super) fn resolve_parts(reader: &mut Reader<'_>) -> Vec<Part> {
    let mut parts = Vec::new();
    for (i, row) in reader.table.parts.iter().enumerate() {
        let path = top("parts").element(i);
        let new = reader.pair(&row.new, &path.field("new"), &row.description);
        let (bound, sign) = match row.kind {
            PartKind::Hole => (new.as_ref().map(|n| &n.1), 1),
            PartKind::Shaft => (new.as_ref().map(|n| &n.0), -1),
        };
        let serviceable =
            reader.limit(row.serviceable.as_ref(), bound, sign, path.field("serviceable"), &row.description);
        let Some(new) = new else { continue };
        parts.push(Part {
            limits: FitLimits {
                kind: row.kind,
                description: row.description.clone(),
                new,
                serviceable,
                source: source(&row.reference, &row.place),
            },
            size: row.size.clone(),
            expansion_ppm: row.expansion_ppm,
        });
    }
    parts
}

pub(super) fn resolve_fits(reader: &mut Reader<'_>) -> Vec<Fit> {
    let mut fits = Vec::new();
    for (i, row) in reader.table.fits.iter().enumerate() {
        let path = top("fits").element(i);
        let new = reader.pair(&row.new, &path.field("new"), &row.description);
        let serviceable = reader.limit(
            row.serviceable.as_ref(),
            new.as_ref().map(|n| &n.1),
            1,
            path.field("serviceable"),
            &row.description,
        );
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
        let Some(new) = new else { continue };
        fits.push(Fit {
            limits: FitLimits {
                kind: row.kind,
                description: row.description.clone(),
                new,
                serviceable,
                source: source(&row.reference, &row.place),
            },
            hole,
            shaft,
        });
    }
    fits
}

pub(super) fn resolve_ring_gaps(reader: &mut Reader<'_>) -> Vec<FitLimits<()>> {
    let mut gaps = Vec::new();
    for (i, row) in reader.table.ring_gaps.iter().enumerate() {
        let path = top("ring_gaps").element(i);
        let new = reader.pair(&row.new, &path.field("new"), &row.description);
        let serviceable = reader.limit(
            row.serviceable.as_ref(),
            new.as_ref().map(|n| &n.1),
            1,
            path.field("serviceable"),
            &row.description,
        );
        let Some(new) = new else { continue };
        gaps.push(FitLimits {
            kind: (),
            description: row.description.clone(),
            new,
            serviceable,
            source: source(&row.reference, &row.place),
        });
    }
    gaps
}
