//! What the search for slips works on: one cylinder with its survey, and the few amounts that all rules share.

use figures::Term;
use figures::certainty::measured::explained;
use quantities::length::{Length, Style};
use records::bore::{Bore, Cell, Point};
use records::limits::Limits;
use records::limits::resolved::SizeRow;
use records::limits::rows::RowName;
use records::survey::{Cylinder, Gauge, Survey};

/// 0.001 in: nothing nearer to its neighbours is ever called a slip of typing or of reading a scale.
pub(super) const FLOOR: Length = Length::from_tenths_of_nm(254_000);

/// A cylinder and what it is compared with.
pub(super) struct Compared<'a> {
    pub(super) cylinder: &'a Cylinder,
    pub(super) survey: &'a Survey,
    pub(super) limits: &'a Limits,
    pub(super) bore: &'a Bore,
    /// The bore row of the cylinder's size; of the standard size if the table has none for it.
    pub(super) row: &'a SizeRow,
    /// How much wear the bore row allows: serviceable limit minus largest as-made size, at least [`FLOOR`].
    pub(super) band: Length,
    /// The out-of-round limit, at least [`FLOOR`].
    pub(super) oval: Length,
}

impl<'a> Compared<'a> {
    /// `None` if nothing was measured, or the table has no bore row at all.
    pub(super) fn new(cylinder: &'a Cylinder, survey: &'a Survey) -> Option<Self> {
        let limits: &Limits = &survey.limits;
        let bore = &cylinder.bore;
        if bore.is_empty() {
            return None;
        }
        let row = cylinder.size.and_then(|size| limits.sizes.get(size)).or(limits.sizes.first())?;
        let band = match &row.serviceable {
            Some(limit) => limit.length - row.new.1.length,
            None => (row.new.1.length - row.new.0.length) * 2,
        };
        let round = limits.shape_row(RowName::OutOfRound);
        let oval = round.and_then(|row| row.limit.as_ref().or(row.new.1.as_ref()));
        let oval = oval.map_or(FLOOR, |bound| bound.length);
        Some(Self { cylinder, survey, limits, bore, row, band: band.max(FLOOR), oval: oval.max(FLOOR) })
    }

    /// The mean at a point of any bore, to the tenth of a nanometre below.
    pub(super) fn mean_in(bore: &Bore, at: Point) -> Option<Length> {
        bore.cell(at).map(mean)
    }

    /// The mean at a point, to the tenth of a nanometre below.
    pub(super) fn mean(&self, at: Point) -> Option<Length> {
        Self::mean_in(self.bore, at)
    }

    /// The gauge a cell was read with.
    pub(super) fn gauge(&self, cell: &Cell) -> Option<&'a Gauge> {
        self.survey.gauges.get(cell.gauge)
    }

    /// The setting standard of a cell's gauge; none: it reads the diameter itself.
    pub(super) fn standard(&self, cell: &Cell) -> Option<Length> {
        let index = self.gauge(cell)?.standard?;
        self.survey.standards.get(index).map(|standard| standard.size)
    }

    /// One graduation of a cell's gauge; the last digit written where none is known.
    pub(super) fn graduation(&self, cell: &Cell) -> Length {
        self.gauge(cell).and_then(|gauge| gauge.graduation).unwrap_or_else(|| cell.style.last_digit())
    }

    /// Repeats of a cell no farther apart than this are alike: 10 graduations, at least [`FLOOR`].
    pub(super) fn alike(&self, cell: &Cell) -> Length {
        (self.graduation(cell) * 10).max(FLOOR)
    }

    /// What a reading of a cell's gauge is multiplied by to have the diameter at 20 °C.
    fn factor(&self, cell: &Cell) -> f64 {
        self.survey.factor_to_20_c(cell.gauge)
    }

    /// A diameter of a cell as it was read, before it was brought to 20 °C.
    pub(super) fn as_read(&self, cell: &Cell, kept: Length) -> Length {
        if self.survey.conditions.is_none() {
            return kept;
        }
        let known = cell.repeats().iter().zip(cell.as_read()).find(|(repeat, _)| **repeat == kept);
        if let Some((_, read)) = known {
            return *read;
        }
        let origin = self.standard(cell).unwrap_or_default();
        origin + (kept.scaled(1.0 / self.factor(cell)) - origin).nearest_multiple(cell.style.last_digit())
    }

    /// The diameter as it is kept: at 20 °C where temperatures were recorded.
    pub(super) fn kept(&self, cell: &Cell, read: Length) -> Length {
        read.scaled(self.factor(cell))
    }

    /// The most by which measuring can explain a sum of weighted cells.
    pub(super) fn explained(&self, terms: &[(Point, f64)]) -> Length {
        let terms: Vec<Term> = terms.iter().map(|&(at, weight)| Term { at, weight }).collect();
        explained(self.survey.setup(), self.bore, &terms)
    }

    /// How the cylinder's readings are written.
    pub(super) fn style(&self) -> Style {
        self.cylinder.style(self.limits)
    }

    /// Every measured cell is confirmed.
    pub(super) fn all_confirmed(&self) -> bool {
        self.bore.measured().all(|(_, cell)| cell.confirmed)
    }
}

/// The mean of a cell's repeats, to the tenth of a nanometre below: exact enough to look for slips, and much
/// faster than the exact fraction.
pub(super) fn mean(cell: &Cell) -> Length {
    match cell.repeats() {
        [only] => *only,
        repeats => {
            let sum: Length = repeats.iter().copied().sum();
            Length::from_tenths_of_nm(sum.tenths_of_nm().div_euclid(repeats.len().max(1) as i64))
        }
    }
}

/// The smallest and the largest of a cell's repeats.
pub(super) fn extremes(cell: &Cell) -> (Length, Length) {
    let first = cell.repeats().first().copied().unwrap_or_default();
    cell.repeats().iter().fold((first, first), |(low, high), &repeat| (low.min(repeat), high.max(repeat)))
}
