//! Words that several drawings say: how sure, how much left, where from.

use super::{Hover, Options, Subject, expanded_mm};
use figures::Figure;
use figures::certainty::measured;
use judging::reason::{self, Reason};
use judging::row::{Row, RowStatus, figure_guard, point_guard, point_status};
use judging::shown::{Shown, clear_style, limit_style};
use quantities::length::{Length, Mean, Style};
use records::bore::{Cell, Point};
use records::limits::Limits;
use records::limits::resolved::{Bound, SizeRow};
use records::limits::rows::RowName;
use records::limits::schema::JudgedOn;
use records::survey::{point_words, station_words};
use records::wording::capitalised;

/// ` ± 0.0001 in (95 %)`, or nothing where nothing is known.
pub(super) fn sure(expanded_mm: Option<f64>, style: Style) -> String {
    let Some(expanded) = expanded_mm.and_then(Length::from_mm) else { return String::new() };
    let text = Mean::from(expanded).text(clear_style(expanded.into(), Length::ZERO, style));
    format!(" ± {text} (95 %)")
}

/// `0.0007 in left` or `0.0003 in over`.
pub(super) fn margin(value: Mean, limit: &Bound, style: Style) -> String {
    Shown::new(value, Some(limit), style).left_words().unwrap_or_default()
}

/// [`margin`], and whether that is too little for the table's decision rule.
pub(super) fn guarded_margin(value: Mean, limit: &Bound, guard: Length, style: Style) -> String {
    let text = margin(value, limit, style);
    let left = Mean::from(limit.length) - value;
    let is_within = !left.is_negative() && left < guard;
    if is_within { format!("{text}, less than the guard band") } else { text }
}

/// A value with as many digits as it takes to see on which side of a limit it is, and how far from it.
pub(super) fn beside(value: Mean, limit: Option<&Bound>, style: Style) -> String {
    let shown = Shown::new(value, limit, style);
    shown.value.text(shown.style)
}

/// A limit in the unit that is shown: as the table writes it, where that is the same unit.
pub(super) fn bound(bound: &Bound, style: Style) -> String {
    bound.length.text(limit_style(bound.length, bound.style, style))
}

/// What a row comes to, as a sentence; none where it has no figure.
pub(super) fn row_sentence(subject: Subject<'_>, options: &Options, name: RowName) -> Option<String> {
    let index =
        subject.assessment.rows.iter().position(|row| row.kind.name() == name && row.figure.is_some())?;
    let limits = subject.limits();
    reason::sentence_in(options.unit, Reason::Within(index), subject.assessment, subject.cylinder, limits)
}

/// A row as it is judged.
pub(super) fn row<'a>(subject: Subject<'a>, name: RowName) -> Option<&'a Row> {
    subject.assessment.rows.iter().find(|row| row.kind.name() == name)
}

/// The expanded uncertainty of a figure, in millimetres.
pub(super) fn expanded(subject: Subject<'_>, figure: &Figure) -> Option<f64> {
    let setup = subject.survey.setup();
    expanded_mm(&measured::budget(setup, &subject.cylinder.bore, figure))
}

/// The expanded uncertainty of one cell's mean, in millimetres.
pub(super) fn expanded_of_cell(subject: Subject<'_>, at: Point, mean: Mean) -> Option<f64> {
    expanded(subject, &Figure::of_cell(at, mean))
}

/// The row of the cylinder's present size.
fn size_row(subject: Subject<'_>) -> Option<&SizeRow> {
    subject.survey.limits.sizes.get(subject.cylinder.size?)
}

/// The serviceable limit of the cylinder's present size.
pub(super) fn bore_limit(subject: Subject<'_>) -> Option<&Bound> {
    size_row(subject)?.serviceable.as_ref()
}

/// How far inside its limit a figure must lie under the table's decision rule.
pub(super) fn guard(subject: Subject<'_>, figure: &Figure) -> Length {
    figure_guard(subject.cylinder, figure, subject.limits(), subject.survey.setup())
}

/// The same for the mean at a point.
pub(super) fn guard_of_cell(subject: Subject<'_>, at: Point) -> Length {
    point_guard(subject.cylinder, at, subject.limits(), subject.survey.setup())
}

/// Is the mean at a point beyond the serviceable limit by the table's decision rule, at a station that counts?
pub(super) fn is_beyond(subject: Subject<'_>, at: Point, mean: Mean) -> bool {
    let counts = subject.survey.limits.bore_stations.contains(&at.station);
    counts
        && size_row(subject)
            .is_some_and(|row| point_status(mean, row, guard_of_cell(subject, at)) == RowStatus::Beyond)
}

/// What pointing at a reading says, and its expanded uncertainty in millimetres.
pub(super) fn reading(
    subject: Subject<'_>,
    options: &Options,
    at: Point,
    cell: &Cell,
) -> (Hover, Option<f64>) {
    let limits: &Limits = &subject.survey.limits;
    let style = subject.style(options);
    let expanded = expanded_of_cell(subject, at, cell.mean());
    let limit = bore_limit(subject);
    let mut value = beside(cell.mean(), limit, style) + &sure(expanded, style);
    if cell.repeats().len() > 1 {
        let repeats: Vec<String> = cell.repeats().iter().map(|r| r.number(style)).collect();
        value = format!("{value}, mean of {}", repeats.join(", "));
    }
    let (margin, mut from) = if !limits.bore_stations.contains(&at.station) {
        ("above ring travel: not judged".to_owned(), String::new())
    } else if let Some(limit) = limit {
        let left = guarded_margin(cell.mean(), limit, guard_of_cell(subject, at), style);
        let judged = match limits.bore_judged_on {
            JudgedOn::EveryPoint => "",
            JudgedOn::Average => "; the average is judged",
        };
        (
            format!("{left} (serviceable {}){judged}", bound(limit, style)),
            size_row(subject).map_or(String::new(), |row| row.source.words(Some(limit))),
        )
    } else {
        ("no serviceable limit in the table".to_owned(), String::new())
    };
    if let Some(gauge) = subject.survey.gauges.get(cell.gauge).filter(|gauge| !gauge.name.is_empty()) {
        let read = format!("read with {}", gauge.name);
        from = if from.is_empty() { read } else { format!("{from}; {read}") };
    }
    (Hover { place: capitalised(&point_words(limits, at)), value, margin, source: from }, expanded)
}

/// `Station B at 0.800 in`.
pub(super) fn station_at(limits: &Limits, station: usize, style: Style) -> String {
    let depth_style = depth_style(limits, style);
    let depth = limits.stations.get(station).map_or(String::new(), |s| s.depth.text(depth_style));
    format!("{} at {depth}", capitalised(&station_words(limits, station)))
}

/// How depths are written: as many decimals as the stations of the table need, at most three of an inch or one
/// of a millimetre.
pub fn depth_style(limits: &Limits, style: Style) -> Style {
    let most = match style.unit {
        quantities::length::Unit::Inch => 3,
        quantities::length::Unit::Millimetre => 1,
    };
    let needed = limits.stations.iter().map(|station| station.depth.decimals(style.unit)).max();
    Style { decimals: needed.unwrap_or(0).min(most), ..style }
}

/// `1 reading`, `2 readings`.
pub(super) fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}
