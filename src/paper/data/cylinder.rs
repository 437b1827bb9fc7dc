//! One cylinder of the report: what is recommended and why, its readings and figures, its drawings, what was found by eye,
//! the oversizes, and the parts that run in it.

use super::report::typed;
use super::{
    Cylinder, Drawn, FigureRow, FindingRow, FitRow, Outcome, OversizeRow, ReadingCell, ReadingRow, Readings,
    Reason, Status, Tightest, or_none,
};
use drawings::layout::{Paper, lay_out};
use drawings::{Options, Subject, View, svg};
use figures::certainty::budget::Budget;
use figures::summary::Figures;
use judging::reason;
use judging::row::{self, Row as JudgedRow, RowStatus};
use judging::shown::{
    ShownFit, ShownOutcome, ShownOversize, ShownReason, ShownRow, ShownSlip, figure_style, limit_style,
};
use judging::words::{self, NONE};
use judging::{Assessment, Recommendation};
use quantities::length::{Mean, Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::limits::resolved::Bound;
use records::record::schema;
use records::survey::{Cylinder as Barrel, Survey};
use records::wording::{capitalised, counted};

/// A cylinder; `written` is the same as it stands in the record, and the unit of its lengths that name none.
pub(super) fn cylinder(
    subject: Subject<'_>,
    written: Option<(&schema::Cylinder, Unit)>,
    index: usize,
    pictures: &mut Vec<(String, String)>,
) -> Cylinder {
    let Subject { survey, cylinder, assessment } = subject;
    let limits: &Limits = &survey.limits;
    let style = cylinder.style(limits);
    let entry = written.map(|(written, _)| written);
    let unit = written.map_or(limits.unit, |(_, unit)| unit);
    let figures = Figures::of(cylinder, limits);
    let shown = ShownOutcome::of(assessment, cylinder, limits, None, unit);
    let reason =
        |reason: ShownReason| Reason { kind: reason.status.map_or("", status_kind), words: reason.sentence };
    let needs_metal = words::needs_metal(assessment) && !assessment.oversizes.is_empty();
    let (fits, not_measured) = fits(assessment, limits, style);
    Cylinder {
        position: cylinder.position.clone(),
        serial: cylinder.serial.clone(),
        name: capitalised(&cylinder.words()),
        size: words::size_words(cylinder, limits).to_owned(),
        finished_to: cylinder.finished_to.map_or(String::new(), |(size, style)| size.text(style)),
        unit: style.unit.symbol(),
        outcome: Outcome { kind: outcome_kind(assessment.recommendation), words: shown.words },
        already_known: shown.known.unwrap_or_default(),
        decision: shown.decision.unwrap_or_default(),
        decided: shown.decided.unwrap_or_default(),
        differs: shown.differs,
        tightest: assessment.tightest_row().map(|row| {
            let (margin, side) = margin(row, style);
            Tightest { row: row.kind.words(), margin, side, chance: words::within_words(row) }
        }),
        reasons: shown.reasons.into_iter().map(reason).collect(),
        cautions: slips(subject),
        readings: readings(subject, entry, &figures),
        bore_limits: bore_limits(cylinder, limits),
        figures: assessment.rows.iter().map(|row| figure_row(row, style, limits)).collect(),
        shape: figures.shape_words().unwrap_or_default(),
        wear: wear(&figures, limits, style),
        notes: figures.notes.iter().map(|note| format!("{}.", capitalised(note.words()))).collect(),
        drawings: drawings(subject, index, pictures),
        looked_over: cylinder.looked_over,
        findings: written.map_or_else(Vec::new, |(written, unit)| findings(written, unit)),
        clean_up: if needs_metal { clean_up(assessment, cylinder, limits, style) } else { String::new() },
        oversizes: if needs_metal { oversizes(assessment, limits, style) } else { Vec::new() },
        fits,
        not_measured,
        sure: sure(cylinder, survey, style),
        piston_weight: entry.and_then(|written| written.piston_weight.clone()).unwrap_or_default(),
        remarks: entry.map_or(String::new(), |written| written.remarks.clone()),
    }
}

/// The kind of an outcome, for its symbol.
fn outcome_kind(recommendation: Recommendation) -> &'static str {
    match recommendation {
        Recommendation::Serviceable => "serviceable",
        Recommendation::Rebore(_) => "rebore",
        Recommendation::Replace => "replace",
        Recommendation::NotDecided => "not-decided",
    }
}

fn slips(subject: Subject<'_>) -> Vec<String> {
    let slips = ShownSlip::all(subject.assessment, &subject.survey.limits).into_iter();
    slips.filter(|slip| !slip.is_deciding).map(|slip| slip.sentence).collect()
}

/// As many axes as one table has room for.
const AXES_BESIDE: usize = 6;

/// As many repeats of a cell as are shown; more are counted.
const REPEATS_SHOWN: usize = 4;

fn readings(subject: Subject<'_>, written: Option<&schema::Cylinder>, figures: &Figures) -> Vec<Readings> {
    let (cylinder, limits) = (subject.cylinder, &subject.survey.limits);
    let shown = |&axis: &usize| {
        let is_required = limits.required_axes.contains(&axis);
        is_required || cylinder.bore.measured().any(|(at, _)| at.axis == axis)
    };
    let axes: Vec<usize> = (0..limits.axes.len()).filter(shown).collect();
    let tables = axes.chunks(AXES_BESIDE).enumerate();
    let tables = tables
        .map(|(i, axes)| Readings { with_figures: i == 0, ..readings_on(axes, subject, written, figures) });
    tables.collect()
}

fn readings_on(
    axes: &[usize],
    subject: Subject<'_>,
    written: Option<&schema::Cylinder>,
    figures: &Figures,
) -> Readings {
    let (cylinder, limits) = (subject.cylinder, &subject.survey.limits);
    let style = cylinder.style(limits);
    let mut means = words::sheet_style(cylinder, style);
    let depth = drawings::depth_style(limits, style);
    let size = cylinder.size.and_then(|size| limits.sizes.get(size));
    let limit = size.and_then(|size| size.serviceable.as_ref());
    if let Some(limit) = limit {
        // A reading and what is left make the limit to the last digit.
        means.decimals = means.decimals.max(limit_style(limit.length, limit.style, means).decimals);
    }
    let label = |&axis: &usize| limits.axes.get(axis).map_or(String::new(), axis_label);
    let rows: Vec<ReadingRow> = limits
        .stations
        .iter()
        .enumerate()
        .map(|(index, station)| {
            let judged = limits.bore_stations.contains(&index);
            let cell = |&axis: &usize| {
                let at = Point::new(index, axis);
                let mean = cylinder.bore.mean(at);
                let guard = row::point_guard(cylinder, at, limits, subject.survey.setup());
                let status = mean.zip(size).map(|(mean, size)| row::point_status(mean, size, guard));
                ReadingCell {
                    value: or_none(mean.map(|mean| mean.number(means))),
                    entered: entered(subject, written, at),
                    beyond: judged && status == Some(RowStatus::Beyond),
                }
            };
            let largest =
                (0..limits.axes.len()).filter_map(|axis| cylinder.bore.mean(Point::new(index, axis))).max();
            let left = largest
                .zip(limit)
                .filter(|_| judged)
                .map(|(mean, limit)| Mean::from(limit.length).rounded(means) - mean.rounded(means));
            let out_of_round = figures
                .stations
                .get(index)
                .and_then(|station| station.out_of_round.as_ref())
                .map(|figure| figure.value.number(means));
            ReadingRow {
                station: station.name.clone(),
                depth: station.depth.number(depth),
                role: station.role.words(),
                cells: axes.iter().map(cell).collect(),
                out_of_round: or_none(out_of_round),
                margin: or_none(left.map(|left| left.abs().number(means))),
                side: left.map_or("", |left| if left.is_negative() { "over" } else { "left" }),
            }
        })
        .collect();
    let with_entered = rows.iter().flat_map(|row| &row.cells).any(|cell| !cell.entered.is_empty());
    Readings { axes: axes.iter().map(label).collect(), rows, with_entered, with_figures: true }
}

/// `thrust, 90°`; `45°` where the label is the direction.
pub(crate) fn axis_label(axis: &records::limits::schema::Axis) -> String {
    match axis.label.trim().parse::<f64>() {
        Ok(_) => format!("{}°", axis.label.trim()),
        Err(_) => format!("{}, {}°", axis.label, axis.degrees),
    }
}

/// What was read from the gauge, where it is not the diameter itself.
fn entered(subject: Subject<'_>, written: Option<&schema::Cylinder>, at: Point) -> String {
    let limits = &subject.survey.limits;
    let (Some(station), Some(axis)) = (limits.stations.get(at.station), limits.axes.get(at.axis)) else {
        return String::new();
    };
    let texts: Vec<&str> = written
        .iter()
        .flat_map(|written| &written.readings)
        .filter(|reading| reading.station == station.name && reading.axis == axis.label)
        .flat_map(|reading| reading.entered.iter().map(String::as_str))
        .collect();
    let Some(cell) = subject.cylinder.bore.cell(at) else { return String::new() };
    let is_itself = matches!(texts.as_slice(), [one] if *one == cell.mean().number(cell.style));
    if is_itself {
        return String::new();
    }
    let shown = texts.iter().take(REPEATS_SHOWN).map(|text| text.replacen('-', "\u{2212}", 1));
    let shown = shown.collect::<Vec<_>>().join("  ");
    match texts.len().saturating_sub(REPEATS_SHOWN) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

/// The bore's own limits for the cylinder's size, as a sentence.
pub(crate) fn bore_limits(cylinder: &Barrel, limits: &Limits) -> String {
    let Some(row) = cylinder.size.and_then(|size| limits.sizes.get(size)) else {
        return "The table of limits has no row for this cylinder's size.".to_owned();
    };
    let style = cylinder.style(limits);
    let bound = |bound: &Bound| bound.length.text(limit_style(bound.length, bound.style, style));
    let limit = row.serviceable.as_ref().map_or_else(
        || "no serviceable limit given".to_owned(),
        |limit| format!("serviceable to {}", bound(limit)),
    );
    let from = row.source.words(row.serviceable.as_ref());
    let from = if from.is_empty() { String::new() } else { format!(" ({from})") };
    format!(
        "Bore, size {}: as made {} to {}, {limit}{from}.",
        row.name,
        row.new.0.length.number(limit_style(row.new.0.length, row.new.0.style, style)),
        bound(&row.new.1)
    )
}

fn figure_row(row: &JudgedRow, style: Style, limits: &Limits) -> FigureRow {
    let shown = ShownRow::of(row, limits, style);
    let (margin, side) = shown.margin.unwrap_or_else(|| (NONE.to_owned(), ""));
    FigureRow {
        row: capitalised(shown.name),
        place: shown.place,
        figure: or_none(shown.figure),
        new: or_none(shown.new),
        limit: or_none(shown.limit),
        margin,
        side,
        expanded: or_none(shown.expanded),
        chance: shown.chance,
        status: Status { kind: status_kind(shown.status), words: shown.status_words },
        source: shown.source,
    }
}

fn wear(figures: &Figures, limits: &Limits, style: Style) -> String {
    let Some((wear, (at, greatest))) = figures.wear.as_ref().and_then(|w| Some((w, w.greatest?))) else {
        return String::new();
    };
    let text = greatest.text(figure_style(greatest, style));
    let from = wear.reference.diameter().text(figure_style(wear.reference.diameter(), style));
    format!(
        "Greatest wear {text}, {}, counted from {from}, {}.",
        records::survey::point_words(limits, at),
        wear.reference.words()
    )
}

/// The drawings of a cylinder: their names in the report, which they are, and their size. A template draws them at
/// about seven tenths, so that words stand at 7.5 points and lines have the weights of print.
const DRAWINGS: [(&str, View, f64, f64); 3] = [
    ("profile", View::Profile, 690.0, 380.0),
    ("out-of-round", View::OutOfRound, 340.0, 310.0),
    ("section", View::Section, 340.0, 310.0),
];

/// Size of the words in the drawings, in points before they are drawn smaller.
const DRAWN_TEXT: f64 = 10.5;

fn drawings(subject: Subject<'_>, index: usize, pictures: &mut Vec<(String, String)>) -> Vec<Drawn> {
    if subject.cylinder.bore.is_empty() {
        return Vec::new();
    }
    // Many stations need room beside each other.
    let more = subject.survey.limits.stations.len().saturating_sub(12).min(40) as f64;
    let draw = |(kind, view, width, height): (&'static str, View, f64, f64)| {
        let height = if view == View::Section { height } else { height + 9.0 * more };
        let mut drawing = view.draw(subject, &Options::default());
        // The heading names the cylinder, and the reasons say what matters.
        drawing.title = drawing.short.clone();
        drawing.lead.clear();
        let paper = Paper { width, height, text: DRAWN_TEXT, titled: true, brief: false };
        let sheet = lay_out(&drawing, paper, None);
        let name = format!("drawings/{}-{kind}.svg", index + 1);
        pictures.push((name.clone(), svg::printed(&sheet)));
        Drawn { kind, file: format!("/{name}"), alt: sheet.name }
    };
    DRAWINGS.into_iter().map(draw).collect()
}

fn findings(written: &schema::Cylinder, unit: Unit) -> Vec<FindingRow> {
    let row = |finding: &schema::Finding| {
        let mut place: Vec<String> = Vec::new();
        place.extend((!finding.place.is_empty()).then(|| finding.place.clone()));
        place.extend(finding.station.as_ref().map(|station| format!("station {station}")));
        place.extend(finding.degrees.map(|degrees| format!("{degrees}°")));
        let mut extent: Vec<String> = Vec::new();
        extent.extend(finding.size.as_ref().map(|size| format!("{} long", typed(size, unit))));
        extent.extend(finding.depth.as_ref().map(|depth| format!("{} deep", typed(depth, unit))));
        extent.extend(finding.area.clone());
        extent.extend(finding.fins.map(|fins| counted(usize::from(fins), "fin")));
        let done = match (finding.done.is_empty(), finding.by.is_empty()) {
            (false, false) => format!("{}; {}", finding.done, finding.by),
            (false, true) => finding.done.clone(),
            (true, false) => format!("nothing yet; {}", finding.by),
            (true, true) => "nothing yet".to_owned(),
        };
        FindingRow {
            what: capitalised(finding.kind.words()),
            place: place.join(", "),
            extent: extent.join(", "),
            done,
        }
    };
    written.findings.iter().map(row).collect()
}

fn clean_up(assessment: &Assessment, cylinder: &Barrel, limits: &Limits, style: Style) -> String {
    let option = assessment.oversizes.first();
    option.map_or(String::new(), |option| words::clean_up_words(option, assessment, cylinder, limits, style))
}

fn oversizes(assessment: &Assessment, limits: &Limits, style: Style) -> Vec<OversizeRow> {
    let row = |shown: ShownOversize| OversizeRow {
        words: shown.verdict(),
        size: shown.size,
        finished: shown.finished,
        if_even: shown.if_even,
        one_sided: shown.one_sided,
        chosen: shown.is_recommended,
    };
    ShownOversize::all(assessment, limits, style).into_iter().map(row).collect()
}

/// The parts that were measured as rows, those that were not in words.
fn fits(assessment: &Assessment, limits: &Limits, style: Style) -> (Vec<FitRow>, String) {
    let row = |shown: ShownFit| {
        let (margin, side) = shown.margin.unwrap_or_else(|| (NONE.to_owned(), ""));
        Some(FitRow {
            reference: shown.reference,
            parts: shown.parts,
            least: or_none(shown.least),
            most: shown.most?,
            limit: or_none(shown.limit),
            margin,
            side,
            status: Status { kind: status_kind(shown.status), words: shown.status_words.to_owned() },
        })
    };
    let rows = ShownFit::all(&assessment.fits, limits, style).into_iter().filter_map(row).collect();
    (rows, words::not_measured(assessment, limits))
}

/// A margin as its number and the word behind it.
fn margin(row: &JudgedRow, style: Style) -> (String, &'static str) {
    reason::margin(row, style).unwrap_or_else(|| (NONE.to_owned(), ""))
}

fn status_kind(status: RowStatus) -> &'static str {
    match status {
        RowStatus::WithinNew => "within-new",
        RowStatus::WithinServiceable => "within-serviceable",
        RowStatus::NoLimitGiven => "no-limit",
        RowStatus::NotMeasured => "not-measured",
        RowStatus::Beyond => "beyond",
    }
}

fn sure(cylinder: &Barrel, survey: &Survey, style: Style) -> String {
    let (Some(diameter), difference) = words::diameter_and_difference(cylinder, survey) else {
        return String::new();
    };
    let of = |budget: &Budget| {
        format!("± {} {} (k {:.2})", words::expanded_text(budget, style), style.unit, budget.expanded_95().k)
    };
    let difference =
        difference.map_or(String::new(), |budget| format!(", the difference of two {}", of(&budget)));
    format!("How sure, 95 %: a diameter {}{difference}.", of(&diameter))
}
