//! The table of limits as exact lengths, ready for judging: the same rows as the file, every text read.
//!
//! [`Limits::resolve`] never guesses. A value it cannot read is told as an error with its field, and a table
//! with an error is not judged by. Allowances over new and limits per unit of bore or travel become absolute
//! here, so that judging only ever compares two lengths.

mod findings;
mod parts;
mod read;
mod shape;

use std::borrow::Cow;
use std::sync::Arc;

use self::findings::customary;
use self::read::{Reader, resolve_all};
use self::shape::{base_stations, head_stations, step_stations};
use super::rows::{Needs, Over, RowKind, RowLimits, RowName};
use super::schema::{self, Datum, DecisionRule, FindingAnswer, FindingKind, FitKind, JudgedOn};
use super::schema::{MixedOversizes, PartKind, Size, StationRole, Surface, TableOfLimits, WhenBeyond};
use super::value::{self, Numbers, Ratio};
use crate::bore::Scope;
use crate::diag::Diagnostic;
use quantities::area::Area;
use quantities::length::{Length, Style, Unit};
use quantities::mass::Mass;

/// An exact limit, how the table writes it, and where it stands in the manual.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// The limit itself.
    pub length: Length,
    /// The unit and digits the table gives it in.
    pub style: Style,
    /// Its own place in the manual, where it has one.
    pub place: String,
    /// How it was worked out; none: it is as the table writes it.
    pub worked_out: Option<Arc<WorkedOut>>,
}

/// How a limit that is not written as such was worked out: `over` plus or minus an amount.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkedOut {
    /// The amount.
    pub amount: LimitAmount,
    /// The as-made size that it is counted from; nothing: from zero.
    pub over: Length,
    /// It is taken off (a shaft) and not added.
    pub is_taken_off: bool,
}

/// An amount that a limit is worked out with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitAmount {
    /// An allowance over new.
    Allowance(Length),
    /// So much for each unit of the standard bore's as-made least, which is the second.
    PerBore(Ratio, Length),
    /// So much for each unit of ring travel, which is the second.
    PerTravel(Ratio, Length),
}

impl Bound {
    /// The limit with its unit, as the table writes it.
    pub fn text(&self) -> String {
        self.length.text(self.style)
    }
}

/// Reference number and place in the manual of a row.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RowSource {
    /// Reference number; may be empty.
    pub reference: String,
    /// Page or table; may be empty.
    pub place: String,
}

impl RowSource {
    /// `ref. 1, table 6-1, line 1`, or nothing; a bound with a place of its own stands there.
    pub fn words(&self, bound: Option<&Bound>) -> String {
        let own = bound.map_or("", |bound| bound.place.as_str());
        let place = if own.is_empty() { self.place.as_str() } else { own };
        match (self.reference.as_str(), place) {
            ("", place) => place.to_owned(),
            (number, "") => format!("ref. {number}"),
            (number, place) => format!("ref. {number}, {place}"),
        }
    }
}

/// A station, in order from the head end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Station {
    /// Name on the sheet.
    pub name: String,
    /// Depth from the table's datum.
    pub depth: Length,
    /// Its part in the judging.
    pub role: StationRole,
}

/// A size of the bore: standard or an oversize.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SizeRow {
    /// The size as the file names it.
    pub size: Size,
    /// Its name in a sentence: `standard` or `+0.010 in`.
    pub name: String,
    /// How much over standard.
    pub oversize: Length,
    /// As-made minimum and maximum.
    pub new: (Bound, Bound),
    /// Serviceable limit.
    pub serviceable: Option<Bound>,
    /// Where the row stands.
    pub source: RowSource,
    /// The wall may be cut as far as this size.
    pub wall_allows: bool,
}

impl SizeRow {
    /// The size for a file whose lengths are in `unit` where they name none: its own text where that means the
    /// same there, else with its unit behind it.
    pub fn written_in(&self, unit: Unit) -> Size {
        if value::oversize(&self.size, unit) == Ok(self.oversize) {
            return self.size.clone();
        }
        Size::Oversize(self.name.trim_start_matches('+').to_owned())
    }
}

/// A row of a part or of a pair of parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FitLimits<Kind> {
    /// What kind of part or pair.
    pub kind: Kind,
    /// What it is, in the table's words.
    pub description: String,
    /// As-made minimum and maximum.
    pub new: (Bound, Bound),
    /// Serviceable limit.
    pub serviceable: Option<Bound>,
    /// Where the row stands.
    pub source: RowSource,
}

/// A pair's row and its parts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fit {
    /// Its limits: clearance positive, interference negative.
    pub limits: FitLimits<FitKind>,
    /// Index of the hole's own row in [`Limits::parts`].
    pub hole: Option<usize>,
    /// Index of the shaft's own row in [`Limits::parts`].
    pub shaft: Option<usize>,
}

/// A part's row.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its limits.
    pub limits: FitLimits<PartKind>,
    /// The bore size it is for; none: all.
    pub size: Option<Size>,
    /// Expansion coefficient in millionths per kelvin.
    pub expansion_ppm: Option<f64>,
}

/// The weight row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WeightSpread {
    /// Greatest difference between any two pistons.
    pub most: Mass,
    /// As the table writes it.
    pub text: String,
    /// Where the row stands.
    pub source: RowSource,
}

/// The answer to a kind of finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FindingLimits {
    /// What answers it.
    pub answer: FindingAnswer,
    /// Greatest size that may be repaired, or greatest depth that hones out.
    pub repairable_to: Option<Bound>,
    /// Greatest size on any two adjacent fins, on any three, and so on.
    pub on_adjacent_fins: Vec<Bound>,
    /// Greatest area of all such findings of a cylinder.
    pub total_area: Option<Area>,
    /// What to do, in words.
    pub remedy: String,
    /// Where the rule stands: empty for a customary answer.
    pub place: String,
}

/// A table of limits, every text read.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Name, for reasons.
    pub identity: String,
    /// Revision.
    pub revision: String,
    /// The engine it is for.
    pub engine: String,
    /// Invented, not for any real engine.
    pub illustrative: bool,
    /// The table's unit.
    pub unit: Unit,
    /// How its bore rows are written; figures are shown so where nothing finer was typed.
    pub style: Style,
    /// The end from which depths are counted.
    pub datum: Datum,
    /// The stations, from the head end.
    pub stations: Vec<Station>,
    /// The axes.
    pub axes: Vec<schema::Axis>,
    /// Indices of the axes that must be measured.
    pub required_axes: Vec<usize>,
    /// Indices of the stations that count for the bore: all but those above ring travel.
    pub bore_stations: Arc<[usize]>,
    /// Indices of the stations above ring travel.
    pub unworn_stations: Vec<usize>,
    /// Top and bottom of ring travel, from the datum.
    pub ring_travel: Option<(Length, Length)>,
    /// Stroke.
    pub stroke: Option<Length>,
    /// How many cylinders.
    pub cylinders: Option<u16>,
    /// Standard first, then the oversizes from the smallest.
    pub sizes: Vec<SizeRow>,
    /// What the bore is judged on.
    pub bore_judged_on: JudgedOn,
    /// The rows of the shape that the table has, in the order of [`RowName::ALL`].
    pub shape: Vec<RowLimits>,
    /// The wall's surface.
    pub surface: Surface,
    /// How much of the wall may be cut.
    pub cut: CutLimit,
    /// Stock on the diameter to take off beyond the wear.
    pub clean_up_allowance: Bound,
    /// Whether oversizes may be mixed.
    pub mixed_oversizes: MixedOversizes,
    /// The decision rule.
    pub decision: DecisionRule,
    /// Expansion coefficient of the barrel in millionths per kelvin.
    pub barrel_expansion_ppm: Option<f64>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Pairs of parts.
    pub fits: Vec<Fit>,
    /// Ring gaps.
    pub ring_gaps: Vec<FitLimits<()>>,
    /// Piston weights.
    pub piston_weight_spread: Option<WeightSpread>,
    /// Answers to findings, in the order of [`FindingKind::ALL`].
    findings: Vec<FindingLimits>,
}

/// How much of the wall may be cut, as exact lengths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CutLimit {
    /// As far as an oversize in the table goes.
    Allowed,
    /// So deep per side, from the standard bore.
    NoDeeperThan(Bound),
    /// Not at all.
    NotAllowed,
}

impl Limits {
    /// Reads every text of a table.
    ///
    /// # Errors
    /// All values that cannot be read, and whatever else makes judging by the table impossible: no station,
    /// no axis, no standard bore row.
    pub fn resolve(table: &TableOfLimits) -> Result<Self, Vec<Diagnostic>> {
        Self::resolve_by(table, &Numbers::new(table.unit))
    }

    /// The same with numbers of the table that may have been read already.
    pub(super) fn resolve_by(table: &TableOfLimits, numbers: &Numbers) -> Result<Self, Vec<Diagnostic>> {
        let mut reader = Reader { table, numbers, errors: Vec::new() };
        let limits = resolve_all(&mut reader);
        match limits {
            Some(limits) if reader.errors.is_empty() => Ok(limits),
            _ => Err(reader.errors),
        }
    }

    /// A single part's own row, for the bore size with this index where parts come in oversizes: the row with the
    /// same reference that is for this size, else the one that is for all.
    ///
    /// `None` if the table has no such row.
    pub fn part_row(&self, part: usize, size: Option<usize>) -> Option<&Part> {
        let named = self.parts.get(part)?;
        let size = size.and_then(|size| self.sizes.get(size));
        let same =
            || self.parts.iter().filter(|row| row.limits.source.reference == named.limits.source.reference);
        let is_for = |of: &Size| size.is_some() && self.size_row(of, self.unit) == size;
        let for_size = same().find(|row| row.size.as_ref().is_some_and(is_for));
        for_size.or_else(|| same().find(|row| row.size.is_none()))
    }

    /// A row of the shape; none if the table has none.
    pub fn shape_row(&self, row: RowName) -> Option<&RowLimits> {
        self.shape.iter().find(|known| known.kind.name() == row)
    }

    /// The serviceable limit of a row of the shape.
    pub fn limit_of(&self, row: RowName) -> Option<&Bound> {
        self.shape_row(row)?.limit.as_ref()
    }

    /// A row of the shape, to be changed.
    pub fn shape_row_mut(&mut self, row: RowName) -> Option<&mut RowLimits> {
        self.shape.iter_mut().find(|known| known.kind.name() == row)
    }

    /// The row of a bore of the size with this index.
    pub fn bore_row(&self, size: usize) -> Option<RowLimits> {
        let row = self.sizes.get(size)?;
        Some(RowLimits {
            kind: RowKind::Bore(self.bore_judged_on),
            side: RowName::Bore.side(),
            over: Over::Stations(self.bore_stations.clone()),
            new: (Some(row.new.0.clone()), Some(row.new.1.clone())),
            limit: row.serviceable.clone(),
            when_beyond: WhenBeyond::Rebore,
            source: row.source.clone(),
        })
    }

    /// The rows that a bore of a size is judged by, in the order of the table; without a row of its size only those of
    /// the shape.
    pub fn rows(&self, size: Option<usize>) -> impl Iterator<Item = Cow<'_, RowLimits>> {
        let bore = size.and_then(|size| self.bore_row(size)).map(Cow::Owned);
        bore.into_iter().chain(self.shape.iter().map(Cow::Borrowed))
    }

    /// The stations that taper is taken over, from the head end: those of its row, else all that count for the bore.
    pub fn taper_stations(&self) -> &[usize] {
        match self.shape_row(RowName::Taper).map(|row| &row.over) {
            Some(Over::Stations(stations)) => stations,
            _ => &self.bore_stations,
        }
    }

    /// The most that a barrel is choked by design; zero where the table does not say.
    pub fn most_choke_as_made(&self) -> Length {
        let most = self.shape_row(RowName::Choke).and_then(|row| row.new.1.as_ref());
        most.map_or(Length::ZERO, |most| most.length)
    }

    /// The row of a size, by its oversize.
    pub fn size_index(&self, oversize: Length) -> Option<usize> {
        self.sizes.iter().position(|row| row.oversize == oversize)
    }

    /// The row of a size as somebody wrote it, in `unit` where its text names none; none if it cannot be read or
    /// the table has no such size.
    pub fn size_row(&self, size: &Size, unit: Unit) -> Option<&SizeRow> {
        self.sizes.get(self.size_index(value::oversize(size, unit).ok()?)?)
    }

    /// The answer to a kind of finding: the table's, else the customary one.
    pub fn finding(&self, kind: FindingKind) -> FindingLimits {
        FindingKind::ALL
            .iter()
            .position(|&k| k == kind)
            .and_then(|index| self.findings.get(index).cloned())
            .unwrap_or_else(|| customary(kind))
    }

    /// Index of a station by its name.
    pub fn station_index(&self, name: &str) -> Option<usize> {
        self.stations.iter().position(|station| station.name == name)
    }

    /// Index of an axis by its label.
    pub fn axis_index(&self, label: &str) -> Option<usize> {
        self.axes.iter().position(|axis| axis.label == label)
    }

    /// Index of the station here that is the one at `station` of another table: of the same name, at the same depth
    /// from the same end.
    pub fn same_station(&self, other: &Self, station: usize) -> Option<usize> {
        let wanted = other.stations.get(station)?;
        let place = self.station_index(&wanted.name).filter(|_| self.datum == other.datum)?;
        (self.stations.get(place)?.depth == wanted.depth).then_some(place)
    }

    /// Index of the axis here that is the one at `axis` of another table: of the same label, in the same direction.
    pub fn same_axis(&self, other: &Self, axis: usize) -> Option<usize> {
        let wanted = other.axes.get(axis)?;
        let place = self.axis_index(&wanted.label)?;
        (self.axes.get(place)?.degrees == wanted.degrees).then_some(place)
    }

    /// The stations that count for the bore, with the axes that must be there.
    pub fn bore_scope(&self) -> Scope<'_> {
        self.scope(&self.bore_stations)
    }

    /// The stations that a row's figure is worked out over: its own, or where the table has no such row those that it
    /// would need; `None` if the table has not these.
    pub fn over(&self, row: RowName) -> Option<Over> {
        if let Some(row) = self.shape_row(row) {
            return Some(row.over.clone());
        }
        match row.needs() {
            Needs::Worn | Needs::WornOrNamed => Some(Over::Stations(self.bore_stations.clone())),
            Needs::Ends => {
                let (head, base) = (head_stations(&self.stations), base_stations(&self.stations));
                let both = !head.is_empty() && !base.is_empty();
                both.then(|| Over::Ends { head: head.into(), base: base.into() })
            }
            Needs::Lip => step_stations(&self.stations).map(|(above, top)| Over::Lip { above, top }),
        }
    }

    /// Some stations, with the axes that must be there.
    pub fn scope<'a>(&'a self, stations: &'a [usize]) -> Scope<'a> {
        Scope { stations, required_axes: &self.required_axes }
    }
}
