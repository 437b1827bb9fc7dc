//! Piston, pin, rings and guides against their rows: clearances positive (loose, L), interference negative
//! (tight, T).
//!
//! They do not decide over the barrel: a clearance that is too large is answered by another part. For the
//! skirt the bore's own readings are the hole: its largest diameter against the greatest clearance, its
//! smallest against the least one (seizing). A ring's gap follows the bore.

use super::row::RowStatus;
use crate::figures::{diameter, ring_gap};
use crate::length::{Length, Mean, Style};
use crate::limits::Limits;
use crate::limits::resolved::{Bound, FitLimits, RowSource};
use crate::limits::schema::FitKind;
use crate::survey::{Cylinder, MeasuredFit};

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

fn judge<Kind>(row: &FitLimits<Kind>, largest: Option<Mean>, smallest: Option<Mean>, style: Style) -> FitRow {
    let limit = row.serviceable.clone();
    let margin = largest.zip(limit.as_ref()).map(|(value, limit)| Mean::from(limit.length) - value);
    let too_tight = smallest.is_some_and(|value| value < row.new.0.length);
    let within_new = largest.is_some_and(|value| value <= row.new.1.length);
    let status = match (largest, margin) {
        (None, _) => RowStatus::NotMeasured,
        _ if too_tight => RowStatus::Beyond,
        (_, Some(margin)) if margin.is_negative() => RowStatus::Beyond,
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
        style,
        source: row.source.clone(),
    }
}

/// A size of a part at 20 °C, measured at `celsius`.
fn at_20_c(size: Length, celsius: f64, ppm: Option<f64>) -> Length {
    let factor = 1.0 - ppm.unwrap_or(0.0) * 1e-6 * (celsius - 20.0);
    Length::from_mm(size.to_mm() * factor).filter(|_| celsius != 20.0).unwrap_or(size)
}

/// The greatest and the least clearance of a measured pair.
fn clearance(measured: &MeasuredFit, cylinder: &Cylinder, limits: &Limits) -> Option<(Mean, Mean, Style)> {
    let row = limits.fits.get(measured.row)?;
    if let Some((clearance, style)) = measured.clearance {
        return Some((clearance.into(), clearance.into(), style));
    }
    let ppm =
        |part: Option<usize>| part.and_then(|i| limits.parts.get(i)).and_then(|part| part.expansion_ppm);
    let (shaft, style) = measured.shaft?;
    let shaft = Mean::from(at_20_c(shaft, measured.shaft_c, ppm(row.shaft)));
    if let Some((hole, _)) = measured.hole {
        let hole = Mean::from(at_20_c(hole, measured.hole_c, ppm(row.hole)));
        return Some((hole - shaft, hole - shaft, style));
    }
    if row.limits.kind != FitKind::SkirtInBore {
        return None;
    }
    let scope = limits.bore_scope();
    let largest = diameter::largest_diameter(&cylinder.bore, &scope).figure?.value;
    let smallest = diameter::smallest_diameter(&cylinder.bore, &scope).figure?.value;
    Some((largest - shaft, smallest - shaft, style))
}

/// Every row of parts in the table, then every ring gap, against what was measured.
pub fn fits(cylinder: &Cylinder, limits: &Limits) -> Vec<FitRow> {
    let fits = limits.fits.iter().enumerate().map(|(index, row)| {
        let measured = cylinder.fits.iter().find(|fit| fit.row == index);
        let clearance = measured.and_then(|fit| clearance(fit, cylinder, limits));
        let style = clearance.map_or(row.limits.new.0.style, |c| c.2);
        judge(&row.limits, clearance.map(|c| c.0), clearance.map(|c| c.1), style)
    });
    let gaps = limits.ring_gaps.iter().enumerate().map(|(index, row)| {
        let measured = cylinder.ring_gaps.iter().find(|gap| gap.row == index);
        let along = measured.map(|gap| {
            let taken = Mean::from(gap.gap);
            let along = ring_gap::extremes(&cylinder.bore, gap.gap, gap.station, &limits.bore_scope());
            along.unwrap_or((taken, taken))
        });
        let style = measured.map_or(row.new.0.style, |gap| gap.style);
        judge(row, along.map(|a| a.0), along.map(|a| a.1), style)
    });
    fits.chain(gaps).collect()
}
