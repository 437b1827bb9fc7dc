//! The table of limits as exact lengths, ready for judging: the same rows as the file, every text read.
//!
//! [`Limits::resolve`] never guesses. A value it cannot read is told as an error with its field, and a table
//! with an error is not judged by. Allowances over new and limits per unit of bore or travel become absolute
//! here, so that judging only ever compares two lengths.

use std::borrow::Cow;
use std::sync::Arc;

use super::rows::{AsMade, Needs, Over, RowKind, RowLimits, RowName};
use super::schema::{self, Cut, Datum, DecisionRule, FindingAnswer, FindingKind, FitKind, JudgedOn};
use super::schema::{Limit, MixedOversizes, PartKind, ShapeRow, Size, StationRole, Surface};
use super::schema::{TableOfLimits, Value, WhenBeyond};
use super::value::{self, Numbers, Ratio};
use crate::bore::Scope;
use crate::diag::{Diagnostic, FieldPath};
use quantities::area::{self, Area};
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

/// Reads texts and gathers what could not be read.
struct Reader<'a> {
    table: &'a TableOfLimits,
    numbers: &'a Numbers,
    errors: Vec<Diagnostic>,
}

impl Reader<'_> {
    fn bound(&mut self, value: &Value, path: FieldPath, row: &str) -> Option<Bound> {
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

    fn pair(&mut self, pair: &(Value, Value), path: &FieldPath, row: &str) -> Option<(Bound, Bound)> {
        let least = self.bound(&pair.0, path.element(0), row);
        let most = self.bound(&pair.1, path.element(1), row);
        least.zip(most)
    }

    fn optional(&mut self, value: Option<&Value>, path: FieldPath, row: &str) -> Option<Bound> {
        self.bound(value?, path, row)
    }

    /// A limit as an absolute one. `new` is the size that an allowance is added to, `sign` -1 for a shaft.
    fn limit(
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

fn top(name: &'static str) -> FieldPath {
    FieldPath::default().field(name)
}

fn source(reference: &str, place: &str) -> RowSource {
    RowSource { reference: reference.to_owned(), place: place.to_owned() }
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

    /// The stations that a row's figure is worked out over where the table has no such row; `None` if it has not the
    /// stations for it.
    pub fn over(&self, row: RowName) -> Option<Over> {
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

/// The customary answer to a finding (FAA-H-8083-32, overhaul chapter; common practice).
fn customary(kind: FindingKind) -> FindingLimits {
    use FindingKind as K;
    let (answer, remedy) = match kind {
        K::CrackInHead | K::CrackInBarrel | K::HeadLoose => (FindingAnswer::Replace, "replace the cylinder"),
        K::Scored | K::Pitted => (FindingAnswer::DepthDecides, "measure its depth; the depth decides"),
        K::LightRust | K::Glazed => (FindingAnswer::Hone, "hone the wall, then wash out all abrasive"),
        K::FinDamaged => (
            FindingAnswer::Repair,
            "dress the damage out to a smooth outline, within the fin area that the manual allows",
        ),
        K::FlangeNicked => {
            (FindingAnswer::Repair, "dress and polish the nicks; check the flange for flatness")
        }
        K::SparkPlugThreadDamaged => (FindingAnswer::Repair, "restore the thread, or renew the insert"),
        K::PortFaceNicked => (FindingAnswer::Repair, "dress the face flat"),
        K::StudDamaged => (FindingAnswer::Repair, "renew the stud, set to the height that the manual gives"),
        K::StudLoose => {
            (FindingAnswer::Repair, "fit the next oversize stud, set to the height that the manual gives")
        }
    };
    FindingLimits {
        answer,
        repairable_to: None,
        on_adjacent_fins: Vec::new(),
        total_area: None,
        remedy: remedy.to_owned(),
        place: String::new(),
    }
}

/// The station with a role that stands nearest to the top of ring travel.
fn station_with(stations: &[Station], role: StationRole, last: bool) -> Option<usize> {
    let mut found = stations.iter().enumerate().filter(|(_, s)| s.role == role).map(|(i, _)| i);
    if last { found.next_back() } else { found.next() }
}

fn stations_with(stations: &[Station], roles: [StationRole; 2]) -> Vec<usize> {
    let has =
        |role| stations.iter().enumerate().filter(move |(_, s)| roles.contains(&s.role) && s.role == role);
    // The end itself if the table names one, else the station that belongs to it.
    let end: Vec<usize> = has(roles[0]).map(|(i, _)| i).collect();
    if end.is_empty() { has(roles[1]).map(|(i, _)| i).collect() } else { end }
}

fn head_stations(stations: &[Station]) -> Vec<usize> {
    stations_with(stations, [StationRole::HeadEnd, StationRole::TopOfRingTravel])
}

fn base_stations(stations: &[Station]) -> Vec<usize> {
    stations_with(stations, [StationRole::BaseEnd, StationRole::BelowRingTravel])
}

fn step_stations(stations: &[Station]) -> Option<(usize, usize)> {
    let above = station_with(stations, StationRole::AboveRingTravel, true);
    above.zip(station_with(stations, StationRole::TopOfRingTravel, false))
}

fn resolve_all(reader: &mut Reader<'_>) -> Option<Limits> {
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

impl Reader<'_> {
    /// The limit of an amount such as taper, which starts at nothing rather than at a size.
    fn amount(
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
}

fn resolve_stations(reader: &mut Reader<'_>) -> Vec<Station> {
    let mut stations = Vec::with_capacity(reader.table.stations.len());
    for (i, station) in reader.table.stations.iter().enumerate() {
        let path = top("stations").element(i).field("depth");
        if let Some(depth) = reader.bound(&station.depth, path, &format!("station {}", station.name)) {
            stations.push(Station { name: station.name.clone(), depth: depth.length, role: station.role });
        }
    }
    stations.sort_by_key(|station| match reader.table.datum {
        Datum::HeadEnd => station.depth,
        Datum::BaseEnd => -station.depth,
    });
    stations
}

fn resolve_sizes(reader: &mut Reader<'_>, cut: &CutLimit) -> Vec<SizeRow> {
    let table = reader.table;
    let mut sizes = Vec::with_capacity(table.bore.len());
    for (i, row) in table.bore.iter().enumerate() {
        let path = top("bore").element(i);
        let (oversize, name) = match &row.size {
            Size::Standard => (Some(Length::ZERO), "standard".to_owned()),
            Size::Oversize(text) => match Length::parse(text, table.unit) {
                Ok(entry) => (Some(entry.length), format!("+{}", entry.length.text(entry.style))),
                Err(error) => {
                    reader.errors.push(
                        Diagnostic::error(error.to_string())
                            .at(path.field("size"))
                            .place(format!("bore row {}", i + 1)),
                    );
                    (None, String::new())
                }
            },
        };
        let place = format!("bore, {name}");
        let new = reader.pair(&row.new, &path.field("new"), &place);
        let serviceable = reader.limit(
            row.serviceable.as_ref(),
            new.as_ref().map(|new| &new.1),
            1,
            path.field("serviceable"),
            &place,
        );
        let (Some(oversize), Some(new)) = (oversize, new) else { continue };
        let wall_allows = oversize == Length::ZERO
            || match cut {
                CutLimit::Allowed => true,
                CutLimit::NotAllowed => false,
                CutLimit::NoDeeperThan(deepest) => oversize <= deepest.length * 2,
            };
        sizes.push(SizeRow {
            size: row.size.clone(),
            name,
            oversize,
            new,
            serviceable,
            source: source(&row.reference, &row.place),
            wall_allows,
        });
    }
    sizes.sort_by_key(|row| row.oversize);
    if sizes.first().is_none_or(|row| row.oversize != Length::ZERO) && reader.errors.is_empty() {
        reader.errors.push(
            Diagnostic::error("the table has no bore row for the standard size")
                .at(top("bore"))
                .remedy("Write a row with size: Standard."),
        );
    }
    sizes
}

/// A row of the shape; none if the table has not the stations that it needs.
fn resolve_row(
    reader: &mut Reader<'_>,
    row: &ShapeRow,
    stations: &[Station],
    worn: &Arc<[usize]>,
) -> Option<RowLimits> {
    let (name, fields) = (row.kind.name(), row.kind.name().fields());
    let (words, path) = (name.words(), top(name.key()));
    let as_made = path.field("new");
    let new = match fields.new {
        AsMade::Nothing => (None, None),
        AsMade::Greatest => (None, reader.optional(row.new.1.as_ref(), as_made, words)),
        AsMade::Both => (
            reader.optional(row.new.0.as_ref(), as_made.element(0), words),
            reader.optional(row.new.1.as_ref(), as_made.element(1), words),
        ),
    };
    let limit = reader.amount(row.limit.as_ref(), row.new.1.as_ref(), path.field(fields.limit), words);
    let over = match name.needs() {
        Needs::Worn => Over::Stations(worn.clone()),
        Needs::WornOrNamed if row.stations.is_empty() => Over::Stations(worn.clone()),
        Needs::WornOrNamed => {
            let mut named = Vec::with_capacity(row.stations.len());
            for (i, name) in row.stations.iter().enumerate() {
                match stations.iter().position(|station| station.name == *name) {
                    Some(index) => named.push(index),
                    // Its depth cannot be read, which is said already.
                    None if reader.table.stations.iter().any(|station| station.name == *name) => {}
                    None => reader.errors.push(
                        Diagnostic::error(format!("there is no station `{name}`"))
                            .at(path.field("stations").element(i))
                            .place(words)
                            .remedy("Name a station of this table."),
                    ),
                }
            }
            named.sort_unstable();
            Over::Stations(named.into())
        }
        Needs::Ends => {
            let (head, base) = (head_stations(stations), base_stations(stations));
            if head.is_empty() || base.is_empty() {
                let (end, role) = if head.is_empty() { ("head", "HeadEnd") } else { ("base", "BaseEnd") };
                reader.errors.push(
                    Diagnostic::error(format!("{words} needs a station at the {end} end"))
                        .at(path)
                        .place(words)
                        .remedy(format!("Give one station role: {role}.")),
                );
            }
            Over::Ends { head: head.into(), base: base.into() }
        }
        Needs::Lip => {
            let Some((above, top)) = step_stations(stations) else {
                reader.errors.push(
                    Diagnostic::error(format!(
                        "a {words} needs one station above ring travel and one at its top"
                    ))
                    .at(path)
                    .place(words)
                    .remedy(
                        "Give one station role: AboveRingTravel and the one below it role: TopOfRingTravel.",
                    ),
                );
                return None;
            };
            Over::Lip { above, top }
        }
    };
    Some(RowLimits {
        kind: row.kind,
        side: name.side(),
        over,
        new,
        limit,
        when_beyond: row.when_beyond,
        source: source(&row.reference, &row.place),
    })
}

fn resolve_parts(reader: &mut Reader<'_>) -> Vec<Part> {
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

fn resolve_fits(reader: &mut Reader<'_>) -> Vec<Fit> {
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

fn resolve_ring_gaps(reader: &mut Reader<'_>) -> Vec<FitLimits<()>> {
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

fn resolve_findings(reader: &mut Reader<'_>) -> Vec<FindingLimits> {
    FindingKind::ALL
        .iter()
        .map(|&kind| {
            let rules = &reader.table.findings;
            let Some((i, rule)) = rules.iter().enumerate().find(|(_, rule)| rule.kind == kind) else {
                return customary(kind);
            };
            let path = top("findings").element(i);
            let repairable_to =
                reader.optional(rule.repairable_to.as_ref(), path.field("repairable_to"), kind.words());
            let adjacent = rule.on_adjacent_fins.iter().enumerate();
            let on_adjacent_fins = adjacent
                .filter_map(|(n, value)| {
                    reader.bound(value, path.field("on_adjacent_fins").element(n), kind.words())
                })
                .collect();
            let total_area = rule.total_area.as_ref().and_then(|text| {
                let reported = |error: area::AreaError| Diagnostic::error(error.to_string());
                let read = Area::parse(text).map_err(reported);
                let place = |error: Diagnostic| error.at(path.field("total_area")).place(kind.words());
                read.map_err(|error| reader.errors.push(place(error))).ok()
            });
            let remedy = if rule.remedy.is_empty() { customary(kind).remedy } else { rule.remedy.clone() };
            FindingLimits {
                answer: rule.answer,
                repairable_to,
                on_adjacent_fins,
                total_area,
                remedy,
                place: rule.place.clone(),
            }
        })
        .collect()
}
