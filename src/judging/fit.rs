//! Piston, pin, rings and guides against their rows: clearances positive (loose, L), interference negative
//! (tight, T).
//!
//! They do not decide over the barrel: a clearance that is too large is answered by another part. For the
//! skirt the bore's own readings are the hole: its largest diameter against the greatest clearance, its
//! smallest against the least one (seizing). A ring's gap follows the bore.

use super::row::RowStatus;
use figures::{diameter, ring_gap};
use quantities::length::{Length, Mean, Style};
use records::limits::Limits;
use records::limits::resolved::{Bound, FitLimits, Part, RowSource};
use records::limits::schema::{FitKind, PartKind};
use records::survey::{Cylinder, MeasuredFit, MeasuredGap};

/// A row of parts judged.
#[derive(Clone, Debug, PartialEq)]
pub struct FitRow {
    /// What it is, in the table's words.
    pub description: String,
    /// What it comes to.
    pub status: RowStatus,
    /// The greatest clearance or gap; negative is an interference.
    pub largest: Option<Mean>,
    /// The least clearance or gap.
    pub smallest: Option<Mean>,
    /// As-made limits.
    pub new: (Bound, Bound),
    /// Serviceable limit.
    pub limit: Option<Bound>,
    /// Distance of the largest to the serviceable limit: positive is left.
    pub margin: Option<Mean>,
    /// Tighter than the as-made minimum: it may seize.
    pub too_tight: bool,
    /// Why nothing comes of what was written of it.
    pub unusable: Option<String>,
    /// How to show it.
    pub style: Style,
    /// Where the row stands.
    pub source: RowSource,
}

/// A clearance as the trade prints it: `0.0090 in L` loose, `0.0003 in T` tight.
pub fn clearance_text(clearance: Mean, style: Style) -> String {
    let letter = if clearance.is_negative() { "T" } else { "L" };
    format!("{} {letter}", clearance.abs().text(style))
}

/// The clearance or gap of a pair of parts, as measured.
#[derive(Clone, Copy)]
struct Measured {
    largest: Mean,
    smallest: Mean,
    style: Style,
    /// Nothing that it depends on is still to be measured.
    complete: bool,
}

fn judge<Kind>(row: &FitLimits<Kind>, measured: Option<Measured>) -> FitRow {
    let (largest, smallest) = (measured.map(|m| m.largest), measured.map(|m| m.smallest));
    let style = measured.map_or(row.new.0.style, |m| m.style);
    let limit = row.serviceable.clone();
    let margin = largest.zip(limit.as_ref()).map(|(value, limit)| Mean::from(limit.length) - value);
    let too_tight = smallest.is_some_and(|value| value < row.new.0.length);
    let within_new = largest.is_some_and(|value| value <= row.new.1.length);
    let status = match (largest, margin) {
        (None, _) => RowStatus::NotMeasured,
        _ if too_tight => RowStatus::Beyond,
        (_, Some(margin)) if margin.is_negative() => RowStatus::Beyond,
        _ if measured.is_none_or(|m| !m.complete) => RowStatus::NotMeasured,
        _ if within_new => RowStatus::WithinNew,
        (_, Some(_)) => RowStatus::WithinServiceable,
        (_, None) => RowStatus::NoLimitGiven,
    };
    FitRow {
        description: row.description.clone(),
        status,
        largest,
        smallest,
        new: row.new.clone(),
        limit,
        margin,
        too_tight,
        unusable: None,
        style,
        source: row.source.clone(),
    }
}

/// What a part's size comes to against its own row, and its distance to the serviceable limit: positive is
/// left. A hole is limited by a largest, a shaft by a smallest; a size on a limit is within it.
pub fn part_status(size: Length, part: &Part) -> (RowStatus, Option<Length>) {
    let row = &part.limits;
    let sign = match row.kind {
        PartKind::Hole => 1,
        PartKind::Shaft => -1,
    };
    let margin = row.serviceable.as_ref().map(|limit| (limit.length - size) * sign);
    let within_new = match row.kind {
        PartKind::Hole => size <= row.new.1.length,
        PartKind::Shaft => size >= row.new.0.length,
    };
    let status = match margin {
        _ if within_new => RowStatus::WithinNew,
        Some(margin) if margin >= Length::ZERO => RowStatus::WithinServiceable,
        Some(_) => RowStatus::Beyond,
        None => RowStatus::NoLimitGiven,
    };
    (status, margin)
}

/// The greatest and the least clearance of a measured pair.
fn clearance(measured: &MeasuredFit, cylinder: &Cylinder, limits: &Limits) -> Option<Measured> {
    let row = limits.fits.get(measured.row)?;
    let of_one = |value: Mean, style| Measured { largest: value, smallest: value, style, complete: true };
    if let Some((clearance, style)) = measured.clearance {
        return Some(of_one(clearance.into(), style));
    }
    let (shaft, style) = measured.shaft?;
    let shaft = Mean::from(shaft);
    if let Some((hole, _)) = measured.hole {
        return Some(of_one(Mean::from(hole) - shaft, style));
    }
    if row.limits.kind != FitKind::SkirtInBore {
        return None;
    }
    let scope = limits.bore_scope();
    let largest = diameter::largest_diameter(&cylinder.bore, &scope).into_figure()?.value - shaft;
    let smallest = diameter::smallest_diameter(&cylinder.bore, &scope).into_figure()?.value - shaft;
    Some(Measured { largest, smallest, style, complete: scope.missing(&cylinder.bore).is_empty() })
}

/// The greatest clearance of a measured pair; none where it is not known.
pub fn largest_clearance(measured: &MeasuredFit, cylinder: &Cylinder, limits: &Limits) -> Option<Mean> {
    let usable = Some(measured).filter(|fit| fit.unusable.is_none())?;
    Some(clearance(usable, cylinder, limits)?.largest)
}

/// The greatest and the least gap of a measured ring along the bore.
fn gap(measured: &MeasuredGap, cylinder: &Cylinder, limits: &Limits) -> Measured {
    let scope = limits.bore_scope();
    let along = ring_gap::extremes(&cylinder.bore, measured.gap, measured.station, &scope);
    let (largest, smallest) = along.unwrap_or((measured.gap.into(), measured.gap.into()));
    let complete = along.is_some() && scope.missing(&cylinder.bore).is_empty();
    Measured { largest, smallest, style: measured.style, complete }
}

/// Every row of parts in the table, then every ring gap, against what was measured.
pub fn fits(cylinder: &Cylinder, limits: &Limits) -> Vec<FitRow> {
    let fits = limits.fits.iter().enumerate().map(|(index, row)| {
        let measured = cylinder.fits.iter().find(|fit| fit.row == index);
        let usable = measured.filter(|fit| fit.unusable.is_none());
        let row = judge(&row.limits, usable.and_then(|fit| clearance(fit, cylinder, limits)));
        FitRow { unusable: measured.and_then(|fit| fit.unusable.clone()), ..row }
    });
    let gaps = limits.ring_gaps.iter().enumerate().map(|(index, row)| {
        let measured = cylinder.ring_gaps.iter().find(|gap| gap.row == index);
        judge(row, measured.map(|measured| gap(measured, cylinder, limits)))
    });
    fits.chain(gaps).collect()
}
