//! The bore profile: diameter against depth as the barrel stands, over the bands of the table.

use jiff::civil::Date;

use super::along::{self, AxisLook};
use super::{
    Along, Axis, Band, Drawing, DrawnLine, Entry, Fill, Magnified, Mark, Marker, Options, Oversizes,
};
use super::{Pattern, Pen, Role, Rule, Sample, Scale, Subject, words};
use figures::diameter;
use judging::Recommendation;
use judging::shown::Shown;
use quantities::length::{Length, Mean};
use records::bore::Point;
use records::limits::resolved::SizeRow;
use records::limits::rows::RowName;
use records::limits::schema::JudgedOn;
use records::survey::Survey;

/// A reading farther outside the limits than this many times their width is drawn at the edge with an arrow,
/// so that one slip of a digit does not flatten everything else.
const SIGHT: f64 = 2.5;

/// The profile of a cylinder.
pub fn profile(subject: Subject<'_>, options: &Options) -> Drawing {
    let title = subject.title("Bore profile");
    let bore = &subject.cylinder.bore;
    if bore.is_empty() {
        return Drawing::empty(
            title,
            "The readings of this cylinder belong here. Type them into the Sheet: the profile draws itself.",
        );
    }
    let style = subject.style(options);
    let limits = subject.limits();
    let row = subject.cylinder.size.and_then(|size| limits.sizes.get(size));
    let base = base(subject, row);
    let deviation = |length: Length| (length - base).to_mm();
    let (from, to) = range(subject, options, row, base);
    let mut drawing = Drawing::new(
        title,
        Axis {
            label: format!("Diameter, {}; under it the deviation from {}", style.unit, base.text(style)),
            from,
            to,
            scale: Scale::Diameter { base, style },
            backwards: false,
        },
        along::depth_axis(subject),
    );
    drawing.magnified = Magnified::ByAxes;
    drawing.lead = words::row_sentence(subject, options, RowName::Bore).unwrap_or_default();
    drawing.name = name(subject);

    match row {
        Some(row) => add_bands(&mut drawing, row, &deviation, options, subject),
        None => drawing.notes.push(
            "The table has no row for this cylinder's size, so there are no bands: correct the size."
                .to_owned(),
        ),
    }
    add_oversizes(&mut drawing, subject, options, &deviation);
    along::add_ring_travel(&mut drawing, subject);
    along::add_stations(&mut drawing, subject, options);
    add_average(&mut drawing, subject, options, base);
    for axis in along::measured_axes(subject) {
        add_axis(&mut drawing, subject, options, axis, base);
        along::add_axis_entry(&mut drawing, subject, axis);
    }
    label_worst(&mut drawing, subject, options);
    if drawing.marks.iter().any(|mark| mark.whisker.is_some()) {
        drawing.notes.push(
            "Whiskers: expanded uncertainty of each mean, 95 %. Small dots: single readings.".to_owned(),
        );
    }
    drawing
}

/// Adds the profiles of earlier surveys of the same cylinder, faint and behind the present one.
///
/// Only what may be compared: the same serial number, size and finished size, the same station, depth and axis.
/// Diameters are as each survey gives them.
pub fn add_earlier(drawing: &mut Drawing, subject: Subject<'_>, earlier: &[(Date, Survey)]) {
    let (cylinder, limits) = (subject.cylinder, subject.limits());
    if drawing.empty.is_some() || cylinder.serial.trim().is_empty() {
        return;
    }
    let base = base(subject, cylinder.size.and_then(|size| limits.sizes.get(size)));
    let mut lines = Vec::new();
    let mut dates = Vec::new();
    for (date, survey) in earlier {
        // Two of one serial number: which of them it is, is not guessed.
        let mut same = survey.cylinders.iter().filter(|c| c.serial.trim() == cylinder.serial.trim());
        let (Some(before), None) = (same.next(), same.next()) else { continue };
        if !cylinder.is_uncut_since(limits, before, &survey.limits) {
            continue;
        }
        for axis in along::measured_axes(subject) {
            let Some(axis_then) = survey.limits.same_axis(limits, axis) else { continue };
            let points: Vec<_> = limits
                .stations
                .iter()
                .enumerate()
                .filter_map(|(i, station)| {
                    let at = Point::new(survey.limits.same_station(limits, i)?, axis_then);
                    let mean = before.bore.cell(at)?.mean();
                    Some([(mean - base.into()).to_mm(), station.depth.to_mm()])
                })
                .collect();
            let pattern = if axis == 0 { Pattern::Solid } else { Pattern::Dashed };
            if points.len() > 1 {
                lines.push(DrawnLine { points, lane: 0.0, pen: Pen::thin(Role::Guide).broken(pattern) });
            }
        }
        dates.push(date.to_string());
    }
    let (least, most) = sight(cylinder.size.and_then(|size| limits.sizes.get(size)));
    for [x, _] in lines.iter().flat_map(|line| &line.points).filter(|[x, _]| (least..=most).contains(x)) {
        drawing.x.from = drawing.x.from.min(*x);
        drawing.x.to = drawing.x.to.max(*x);
    }
    drawing.lines.splice(0..0, lines);
    if dates.is_empty() {
        drawing.notes.push("No earlier survey of this cylinder can be compared with it.".to_owned());
    } else {
        drawing.legend.push(Entry {
            sample: Sample::Line(Pen::thin(Role::Guide), None),
            text: format!("earlier: {}", dates.join(", ")),
        });
    }
}

/// The diameter that deviations are counted from: the as-made minimum; without a row, the size it was
/// finished to, else the smallest reading.
pub(super) fn base(subject: Subject<'_>, row: Option<&SizeRow>) -> Length {
    row.map(|row| row.new.0.length)
        .or(subject.cylinder.finished_to.map(|(size, _)| size))
        .or_else(|| subject.cylinder.bore.measured().map(|(_, cell)| cell.mean().nearest()).min())
        .unwrap_or(Length::ZERO)
}

/// The width from the as-made minimum to the serviceable limit, in millimetres; 0 without a row.
fn width(row: Option<&SizeRow>) -> f64 {
    let Some(row) = row else { return 0.0 };
    let most = row.serviceable.as_ref().map_or(row.new.1.length, |limit| limit.length.max(row.new.1.length));
    (most - row.new.0.length).to_mm().max(0.0)
}

/// The least and the greatest deviation in sight, in millimetres.
pub(super) fn sight(row: Option<&SizeRow>) -> (f64, f64) {
    let width = width(row);
    if width > 0.0 { (-SIGHT * width, (1.0 + SIGHT) * width) } else { (f64::NEG_INFINITY, f64::INFINITY) }
}

fn range(subject: Subject<'_>, options: &Options, row: Option<&SizeRow>, base: Length) -> (f64, f64) {
    let (least, most) = sight(row);
    let (mut low, mut high) = (0.0_f64, width(row) * 1.12);
    for (at, cell) in subject.cylinder.bore.measured() {
        let whisker = words::expanded_of_cell(subject, at, cell.mean()).unwrap_or(0.0);
        let mean = (cell.mean() - base.into()).to_mm();
        for value in [mean - whisker, mean + whisker].into_iter().filter(|v| (least..=most).contains(v)) {
            low = low.min(value);
            high = high.max(value);
        }
        if mean > most {
            high = high.max(width(row) * 2.0);
        } else if mean < least {
            low = low.min(-width(row));
        }
    }
    for size in oversizes(subject, options) {
        high = high.max((size.new.1.length - base).to_mm());
    }
    let span = if high - low > 1e-6 { high - low } else { 0.01 };
    (low - 0.06 * span, high + 0.06 * span)
}

/// The oversizes to show.
fn oversizes<'a>(subject: Subject<'a>, options: &Options) -> Vec<&'a SizeRow> {
    let sizes = &subject.survey.limits.sizes;
    match options.oversizes {
        Oversizes::None => Vec::new(),
        Oversizes::Recommended => {
            match (subject.assessment.recommendation, subject.assessment.minimum_oversize) {
                (Recommendation::Rebore(size), _) | (_, Some(size)) => sizes.get(size).into_iter().collect(),
                _ => Vec::new(),
            }
        }
        Oversizes::All => {
            subject.cylinder.size.map_or(Vec::new(), |size| sizes.iter().skip(size + 1).collect())
        }
    }
}

fn rule(at: f64, pen: Pen, label: String) -> Rule {
    Rule::new(Along::X, at, pen, label)
}

fn add_bands(
    drawing: &mut Drawing,
    row: &SizeRow,
    deviation: &impl Fn(Length) -> f64,
    options: &Options,
    subject: Subject<'_>,
) {
    let style = subject.style(options);
    let made = (deviation(row.new.0.length), deviation(row.new.1.length));
    let mut band = |from: f64, to: f64, role, text: String| {
        if from < to {
            drawing.bands.push(Band { along: Along::X, from, to, role });
            drawing.legend.push(Entry { sample: Sample::Patch(Fill::Band(role)), text });
        }
    };
    band(made.0, made.1, Role::AsMade, "as made".to_owned());
    if let Some(limit) = &row.serviceable {
        let at = deviation(limit.length);
        band(made.1, at, Role::Serviceable, "serviceable".to_owned());
        band(at, f64::INFINITY, Role::Beyond, "beyond".to_owned());
        let label = format!("serviceable {}", words::bound(limit, style));
        drawing.rules.push(rule(at, Pen::thick(Role::Beyond), label));
    } else {
        drawing.notes.push("The table gives no serviceable limit for this size.".to_owned());
    }
    let label = |bound| format!("as made {}", words::bound(bound, style));
    drawing.rules.push(rule(made.0, Pen::thin(Role::AsMade), label(&row.new.0)));
    drawing.rules.push(rule(made.1, Pen::thin(Role::AsMade), label(&row.new.1)));
}

fn add_oversizes(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    deviation: &impl Fn(Length) -> f64,
) {
    let style = subject.style(options);
    let sizes = oversizes(subject, options);
    for size in &sizes {
        let (from, to) = (deviation(size.new.0.length), deviation(size.new.1.length));
        drawing.bands.push(Band { along: Along::X, from, to, role: Role::ReboreTo });
        let wall = if size.wall_allows { "" } else { ", more than the wall allows" };
        let label = format!("{} finishes at {}{wall}", size.name, words::bound(&size.new.0, style));
        drawing.rules.push(rule(from, Pen::thin(Role::ReboreTo), label));
    }
    if !sizes.is_empty() {
        let text = "where an oversize would finish".to_owned();
        drawing.legend.push(Entry { sample: Sample::Patch(Fill::Band(Role::ReboreTo)), text });
    }
}

/// The average, where the table judges by it.
fn add_average(drawing: &mut Drawing, subject: Subject<'_>, options: &Options, base: Length) {
    let limits = subject.limits();
    if limits.bore_judged_on != JudgedOn::Average {
        return;
    }
    let gathered = diameter::average_diameter(&subject.cylinder.bore, &limits.bore_scope());
    if let Some(figure) = gathered.into_figure() {
        let at = (figure.value - base.into()).to_mm();
        let label = format!("average {}", figure.value.text(subject.style(options)));
        drawing.rules.push(rule(at, Pen::thick(Role::Ink).broken(Pattern::Chain), label));
    }
    drawing
        .notes
        .push("The table judges the average over the bore; single points are shown beside it.".to_owned());
}

fn add_axis(drawing: &mut Drawing, subject: Subject<'_>, options: &Options, axis: usize, base: Length) {
    let bore = &subject.cylinder.bore;
    let AxisLook { role, pen, marker, filled } = along::look(subject, axis);
    let lane = along::lane(axis, bore.axes());
    let row = subject.cylinder.size.and_then(|size| subject.survey.limits.sizes.get(size));
    let (least, most) = sight(row);
    let across = |value: Mean| (value - base.into()).to_mm();
    // A cell that nobody measured breaks the line: nothing is drawn through it.
    let mut run = Vec::new();
    let mut runs = Vec::new();
    for station in 0..bore.stations() {
        let at = Point::new(station, axis);
        let (Some(cell), Some(depth)) = (bore.cell(at), along::depth(subject, station)) else {
            runs.push(std::mem::take(&mut run));
            continue;
        };
        let value = across(cell.mean());
        run.push([value, depth]);
        let (hover, expanded) = words::reading(subject, options, at, cell);
        let out = value > most || value < least;
        let repeats = if cell.repeats().len() > 1 && !out {
            cell.repeats().iter().map(|&repeat| [across(repeat.into()), depth]).collect()
        } else {
            Vec::new()
        };
        let edge = 0.02 * (drawing.x.to - drawing.x.from);
        let shown = match (out, value > most) {
            (true, true) => drawing.x.to - edge,
            (true, false) => drawing.x.from + edge,
            (false, _) => value,
        };
        drawing.marks.push(Mark {
            lane,
            marker: match (out, value > most) {
                (true, true) => Marker::ArrowRight,
                (true, false) => Marker::ArrowLeft,
                (false, _) => marker,
            },
            filled,
            role,
            whisker: expanded.filter(|_| !out).map(|u| [[value - u, depth], [value + u, depth]]),
            repeats,
            beyond: words::is_beyond(subject, at, cell.mean()),
            label: if out {
                format!("{}, off the scale", cell.mean().text(subject.style(options)))
            } else {
                String::new()
            },
            must_label: out,
            hover,
            choice: Some(at.into()),
            chosen: along::is_chosen(options, at),
            ..Mark::plain([shown, depth])
        });
    }
    runs.push(run);
    drawing.lines.extend(runs.into_iter().filter(|points| points.len() > 1).map(|points| DrawnLine {
        points,
        lane,
        pen,
    }));
}

/// The number of the worst reading stands beside it.
fn label_worst(drawing: &mut Drawing, subject: Subject<'_>, options: &Options) {
    let scope = subject.limits().bore_scope();
    let worst = diameter::largest_diameter(&subject.cylinder.bore, &scope).into_figure();
    let Some((at, worst)) = worst.and_then(|figure| Some((figure.place()?, figure.value))) else { return };
    let style = subject.style(options);
    let limit = words::bore_limit(subject);
    let mark = drawing.marks.iter_mut().find(|mark| mark.choice == Some(at.into()));
    if let Some(mark) = mark.filter(|mark| mark.label.is_empty()) {
        mark.label = match limit {
            Some(limit) => {
                let shown = Shown::new(worst, Some(limit), style);
                format!("largest {}, {}", shown.value.number(shown.style), words::margin(worst, limit, style))
            }
            None => format!("largest {}", worst.number(style)),
        };
        mark.must_label = true;
    }
}

/// `Profile of cylinder 3: 2 of 10 readings beyond the serviceable limit`.
fn name(subject: Subject<'_>) -> String {
    let who = format!("Profile of {}", subject.cylinder.words());
    let scope = subject.limits().bore_stations.as_ref();
    let judged: Vec<_> =
        subject.cylinder.bore.measured().filter(|(at, _)| scope.contains(&at.station)).collect();
    if words::bore_limit(subject).is_none() {
        return format!("{who}: {}, no serviceable limit", words::count(judged.len(), "reading", "readings"));
    }
    let beyond = judged.iter().filter(|(at, cell)| words::is_beyond(subject, *at, cell.mean())).count();
    let readings = words::count(judged.len(), "reading", "readings");
    if beyond == 0 {
        format!("{who}: none of {readings} beyond the serviceable limit")
    } else {
        format!("{who}: {beyond} of {readings} beyond the serviceable limit")
    }
}
