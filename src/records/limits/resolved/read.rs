//! The texts of a table read: the [`Reader`] turns values and limits into absolute [`Bound`]s and gathers what
//! it cannot read, and [`resolve_all`] makes [`Limits`] of all that was read.

use std::sync::Arc;

use super::findings::resolve_findings;
use super::parts::{resolve_fits, resolve_parts, resolve_ring_gaps};
use super::shape::{resolve_row, resolve_sizes, resolve_stations};
use super::{Bound, CutLimit, LimitAmount, Limits, RowSource, WeightSpread, WorkedOut};
use crate::diag::{Diagnostic, FieldPath};
use crate::limits::schema::{Cut, Limit, Size, StationRole, TableOfLimits, Value};
use crate::limits::value::{self, Numbers};
use quantities::length::{Length, Style};
use quantities::mass::Mass;

/// Reads texts and gathers what could not be read.
pub(super) struct Reader<'a> {
    pub(super) table: &'a TableOfLimits,
    pub(super) numbers: &'a Numbers,
    pub(super) errors: Vec<Diagnostic>,
}

impl Reader<'_> {
    pub(super) fn bound(&mut self, value: &Value, path: FieldPath, row: &str) -> Option<Bound> {
        match self.numbers.parse(value) {
            Ok(printed) => Some(Bound {
                length: printed.entry.length,
                style: printed.entry.style,
                place: value.place.clone(),
                worked_out: None,
            }),
            Err(error) => {
                self.errors.push(Diagnostic::error(error.to_string()).at(path).place(row));
                None
            }
        }
    }

    pub(super) fn pair(
        &mut self,
        pair: &(Value, Value),
        path: &FieldPath,
        row: &str,
    ) -> Option<(Bound, Bound)> {
        let least = self.bound(&pair.0, path.element(0), row);
        let most = self.bound(&pair.1, path.element(1), row);
        least.zip(most)
    }

    pub(super) fn optional(&mut self, value: Option<&Value>, path: FieldPath, row: &str) -> Option<Bound> {
        self.bound(value?, path, row)
    }

    /// A limit as an absolute one. `new` is the size that an allowance is added to, `sign` -1 for a shaft.
    pub(super) fn limit(
        &mut self,
        limit: Option<&Limit>,
        new: Option<&Bound>,
        sign: i64,
        path: FieldPath,
        row: &str,
    ) -> Option<Bound> {
        let over = new.map_or(Length::ZERO, |new| new.length);
        let worked_out = |amount, much: Length| {
            let worked_out = WorkedOut { amount, over, is_taken_off: sign < 0 };
            (over + much * sign, Some(Arc::new(worked_out)))
        };
        let (value, of, per) = match limit? {
            Limit::At(value) => return self.bound(value, path, row),
            Limit::OverNew(value) => {
                let bound = self.bound(value, path, row)?;
                let (length, worked_out) = worked_out(LimitAmount::Allowance(bound.length), bound.length);
                // Of a sum of both units only the one in millimetres has an end.
                let styles = [new.map_or(bound.style, |new| new.style), bound.style];
                let style = styles.into_iter().find(|style| length.exact_decimals(style.unit).is_some());
                let style = whole(length, style.unwrap_or(bound.style));
                return Some(Bound { length, style, worked_out, ..bound });
            }
            Limit::PerBore(value) => (value, self.nominal_bore(), LimitAmount::PerBore as fn(_, _) -> _),
            Limit::PerTravel(value) => (value, self.travel(), LimitAmount::PerTravel as fn(_, _) -> _),
        };
        let Some(of) = of else {
            self.errors.push(
                Diagnostic::error(
                    "the limit is given per unit of ring travel, but no ring travel is written",
                )
                .at(path)
                .place(row)
                .remedy("Write ring_travel: (top, bottom)."),
            );
            return None;
        };
        match value::ratio(value) {
            Ok(ratio) => {
                let style = new.map_or(Style::usual(self.table.unit), |new| new.style);
                let (length, worked_out) = worked_out(per(ratio, of), ratio.of(of));
                Some(Bound { length, style: whole(length, style), place: value.place.clone(), worked_out })
            }
            Err(error) => {
                self.errors.push(Diagnostic::error(error.to_string()).at(path).place(row));
                None
            }
        }
    }

    /// The limit of an amount such as taper, which starts at nothing rather than at a size.
    pub(super) fn amount(
        &mut self,
        limit: Option<&Limit>,
        new: Option<&Value>,
        path: FieldPath,
        row: &str,
    ) -> Option<Bound> {
        let as_made = new.and_then(|value| self.numbers.parse(value).ok()).map(|printed| Bound {
            length: if matches!(limit, Some(Limit::OverNew(_))) {
                printed.entry.length
            } else {
                Length::ZERO
            },
            style: printed.entry.style,
            place: String::new(),
            worked_out: None,
        });
        self.limit(limit, as_made.as_ref(), 1, path, row)
    }

    /// The standard bore's as-made minimum.
    fn nominal_bore(&self) -> Option<Length> {
        let row = self.table.bore.iter().find(|row| row.size == Size::Standard)?;
        self.numbers.parse(&row.new.0).ok().map(|printed| printed.entry.length)
    }

    fn travel(&self) -> Option<Length> {
        let (top, bottom) = self.table.ring_travel.as_ref()?;
        let read = |value| self.numbers.parse(value).ok().map(|printed| printed.entry.length);
        Some((read(bottom)? - read(top)?).abs())
    }
}

/// A style with the digits that a worked-out limit has: shown with fewer it would be another limit. One without an end
/// is shown to a hundredth of the unit's usual last digit.
fn whole(length: Length, style: Style) -> Style {
    let decimals = length.exact_decimals(style.unit).unwrap_or(style.unit.usual_decimals() + 2);
    Style { decimals: decimals.max(style.decimals), ..style }
}

pub(super) fn top(name: &'static str) -> FieldPath {
    FieldPath::default().field(name)
}

pub(super) fn source(reference: &str, place: &str) -> RowSource {
    RowSource { reference: reference.to_owned(), place: place.to_owned() }
}

pub(super) fn resolve_all(reader: &mut Reader<'_>) -> Option<Limits> {
    let table = reader.table;
    let stations = resolve_stations(reader);
    let axes = table.axes.clone();
    if stations.is_empty() || axes.is_empty() {
        let (what, field) = if stations.is_empty() { ("station", "stations") } else { ("axis", "axes") };
        reader.errors.push(
            Diagnostic::error(format!("the table names no {what}"))
                .at(top(field))
                .remedy(format!("Write at least one under `{field}`.")),
        );
    }
    if !axes.is_empty() && axes.iter().all(|axis| axis.optional) {
        reader.errors.push(
            Diagnostic::error("every axis is optional, so nothing would have to be measured")
                .at(top("axes"))
                .remedy("Leave `optional` out of the axes that a survey must have."),
        );
    }
    let required_axes = (0..axes.len()).filter(|&i| axes.get(i).is_some_and(|axis| !axis.optional)).collect();
    let is_unworn = |&i: &usize| stations.get(i).is_some_and(|s| s.role == StationRole::AboveRingTravel);
    let unworn_stations: Vec<usize> = (0..stations.len()).filter(is_unworn).collect();
    let bore_stations: Arc<[usize]> = (0..stations.len()).filter(|i| !is_unworn(i)).collect();

    let cut = match &table.wall.cut {
        Cut::Allowed => CutLimit::Allowed,
        Cut::NotAllowed => CutLimit::NotAllowed,
        Cut::NoDeeperThan(value) => reader
            .bound(value, top("wall").field("cut"), "wall")
            .map_or(CutLimit::NotAllowed, CutLimit::NoDeeperThan),
    };
    let sizes = resolve_sizes(reader, &cut);
    let style = sizes.first().map_or(Style::usual(table.unit), |row| row.new.0.style);

    let rows: Vec<_> = table.shape_rows().collect();
    let shape = rows.iter().filter_map(|row| resolve_row(reader, row, &stations, &bore_stations)).collect();
    let ring_travel = table.ring_travel.as_ref().and_then(|pair| {
        reader.pair(pair, &top("ring_travel"), "ring travel").map(|(a, b)| (a.length, b.length))
    });
    let stroke = reader.optional(table.stroke.as_ref(), top("stroke"), "stroke").map(|b| b.length);
    let clean_up_allowance =
        reader.bound(&table.clean_up_allowance, top("clean_up_allowance"), "clean-up allowance");
    let parts = resolve_parts(reader);
    let fits = resolve_fits(reader);
    let ring_gaps = resolve_ring_gaps(reader);
    let piston_weight_spread = table.piston_weight_spread.as_ref().and_then(|row| {
        let path = top("piston_weight_spread").field("most");
        match Mass::parse(&row.most) {
            Ok(most) => Some(WeightSpread {
                most,
                text: row.most.clone(),
                source: source(&row.reference, &row.place),
            }),
            Err(error) => {
                reader.errors.push(Diagnostic::error(error.to_string()).at(path).place("piston weights"));
                None
            }
        }
    });
    let findings = resolve_findings(reader);
    Some(Limits {
        identity: table.identity.clone(),
        revision: table.revision.clone(),
        engine: table.engine.clone(),
        illustrative: table.source.is_illustrative(),
        unit: table.unit,
        style,
        datum: table.datum,
        stations,
        axes,
        required_axes,
        bore_stations,
        unworn_stations,
        ring_travel,
        stroke,
        cylinders: table.cylinders,
        sizes,
        bore_judged_on: table.bore_judged_on,
        shape,
        surface: table.wall.surface,
        cut,
        clean_up_allowance: clean_up_allowance?,
        mixed_oversizes: table.mixed_oversizes,
        decision: table.decision,
        barrel_expansion_ppm: table.barrel_expansion_ppm,
        parts,
        fits,
        ring_gaps,
        piston_weight_spread,
        findings,
    })
}
