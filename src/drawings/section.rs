//! The section: the bore across at one station, with its deviation from the nominal circle magnified.
//!
//! 0 degrees lies to the right, angles run anticlockwise. The nominal circle, the as-made minimum, is drawn
//! at its true size; whatever lies farther out is drawn farther out by the factor that stands in the drawing,
//! per side. A diameter does not say which of its two sides wore: it is drawn half on each.

use super::along::{self, AxisLook};
use super::{Area, Axis, Choice, Dimension, Drawing, DrawnLine, Entry, Fill, Label, Magnified, Mark, Marker};
use super::{Options, Pattern, Pen, Role, Sample, Scale, Subject, Xy, profile, scale, words};
use figures::ovality::{self, Ovality};
use quantities::length::{Length, Mean};
use records::bore::{Cell, Point};
use records::survey::station_words;

/// How far the serviceable limit is drawn outside the nominal circle, as a share of its radius, where the
/// factor is chosen to fit.
const REACH: f64 = 0.20;
/// Points of a circle.
const ROUND: usize = 180;

/// The section at the chosen station; without a choice, at the one with the largest reading.
pub fn section(subject: Subject<'_>, options: &Options) -> Drawing {
    let limits = subject.limits();
    let Some(station) = options.chosen.map(|chosen| chosen.station).or_else(|| worst_station(subject)) else {
        return Drawing::empty(
            subject.title("Section"),
            "The section belongs here. Type the readings of a station into the Sheet to see it.",
        );
    };
    let title = format!("Section at {}, {}", station_words(limits, station), subject.cylinder.words());
    let bore = &subject.cylinder.bore;
    let cells: Vec<(Point, &Cell, f64)> = (0..bore.axes())
        .map(|axis| Point::new(station, axis))
        .filter_map(|at| Some((at, bore.cell(at)?, along::degrees(subject, at.axis)?)))
        .collect();
    if cells.is_empty() {
        return Drawing::empty(
            title,
            "Nothing is measured at this station. Type its readings into the Sheet, or choose another station.",
        );
    }
    let row = subject.cylinder.size.and_then(|size| limits.sizes.get(size));
    let frame = Frame::new(subject, options, profile::base(subject, row), &cells);
    let outer = frame.outer();
    let reach = outer * 1.2;
    let axis =
        |backwards| Axis { label: String::new(), from: -reach, to: reach, scale: Scale::Hidden, backwards };
    let mut drawing = Drawing::new(title, axis(false), axis(true));
    drawing.equal = true;
    drawing.framed = false;
    drawing.magnified = Magnified::By(frame.factor);

    let fit = ovality::at(bore, &limits.axes, station);
    let outline = outline(&frame, &cells, fit.as_ref());
    add_metal(&mut drawing, &frame, &outline, &cells);
    add_limits(&mut drawing, subject, options, &frame);
    for axis in 0..bore.axes() {
        add_centre_line(&mut drawing, subject, axis, outer);
    }
    let pen = match outline {
        Outline::Fitted(_) => Pen::thick(Role::Ink),
        _ => Pen::thin(Role::Ink).broken(Pattern::Dashed),
    };
    if let Outline::Fitted(points) | Outline::Supposed(points) = &outline {
        drawing.lines.push(DrawnLine { points: closed(points), lane: 0.0, pen });
    }
    let words = match outline {
        Outline::Fitted(_) => "the bore: ovality fitted to all axes",
        Outline::Supposed(_) => "the bore between two axes: not known, only joined",
        Outline::Unknown => "",
    };
    if !words.is_empty() {
        drawing.legend.push(Entry { sample: Sample::Line(pen, None), text: words.to_owned() });
    }
    for (at, cell, degrees) in &cells {
        add_reading(&mut drawing, subject, options, &frame, *at, cell, *degrees);
    }
    if let Some(fit) = &fit {
        add_ovality(&mut drawing, &frame, fit, options, subject);
    }
    add_findings(&mut drawing, subject, options, &frame, station);
    drawing.lead = lead(subject, options, station, &cells, fit.as_ref());
    drawing.name = format!("{}: {}", drawing.title, drawing.lead);
    drawing.notes.push(
        "A diameter does not say which side wore: half of each deviation is drawn at either end.".to_owned(),
    );
    if cells.len() == 2 {
        drawing.notes.push(format!("{}.", records::wording::capitalised(ovality::TWO_AXES)));
    }
    drawing
}

/// The station with the largest reading.
pub(super) fn worst_station(subject: Subject<'_>) -> Option<usize> {
    let largest = subject
        .cylinder
        .bore
        .measured()
        .reduce(|best, cell| if cell.1.mean() > best.1.mean() { cell } else { best });
    largest.map(|(at, _)| at.station)
}

/// How diameters become places on the sheet.
struct Frame {
    base: Length,
    /// The nominal radius.
    radius: f64,
    /// How often a deviation is magnified.
    factor: f64,
    /// The greatest radius that anything is drawn at.
    most: f64,
}

impl Frame {
    fn new(subject: Subject<'_>, options: &Options, base: Length, cells: &[(Point, &Cell, f64)]) -> Self {
        let radius = (base.to_mm() / 2.0).max(1e-3);
        let row = subject.cylinder.size.and_then(|size| subject.survey.limits.sizes.get(size));
        let (least, most) = profile::sight(row);
        let limit = words::bore_limit(subject).map_or(0.0, |limit| (limit.length - base).to_mm());
        let deviation = |cell: &Cell| (cell.mean() - base.into()).to_mm();
        let in_sight =
            cells.iter().map(|(_, cell, _)| deviation(cell)).filter(|d| (least..=most).contains(d));
        let largest = in_sight.map(f64::abs).fold(limit.max(0.0), f64::max);
        let factor = options
            .magnification
            .filter(|factor| factor.is_finite() && *factor > 0.0)
            .unwrap_or_else(|| fitting_factor(REACH * radius, largest / 2.0));
        let mut frame = Self { base, radius, factor, most: f64::INFINITY };
        let readings = cells.iter().map(|(_, cell, _)| frame.raw_radius(deviation(cell)));
        let largest = readings.fold(frame.raw_radius(limit), f64::max);
        frame.most = largest.clamp(1.05 * radius, 1.6 * radius);
        frame
    }

    fn raw_radius(&self, deviation_mm: f64) -> f64 {
        self.radius + self.factor * deviation_mm / 2.0
    }

    /// The radius that a deviation of a diameter is drawn at, kept on the sheet.
    fn drawn(&self, deviation_mm: f64) -> f64 {
        self.raw_radius(deviation_mm).clamp(0.45 * self.radius, self.most)
    }

    fn of_mean(&self, mean: Mean) -> f64 {
        self.drawn((mean - self.base.into()).to_mm())
    }

    /// The radius of the outside of the hatched metal, which is not to scale.
    fn outer(&self) -> f64 {
        self.most + 0.17 * self.radius
    }
}

/// The largest round factor that draws `deviation` no larger than `room`.
pub(super) fn fitting_factor(room: f64, deviation: f64) -> f64 {
    if deviation <= 0.0 {
        return 1.0;
    }
    let most = room / deviation;
    match scale::round_step(1.0 / most.max(1e-6)) {
        Some((step, _)) => (1.0 / step).max(1.0),
        None => 1.0,
    }
}

pub(super) fn place(radius: f64, degrees: f64) -> Xy {
    let angle = degrees.to_radians();
    [radius * angle.cos(), radius * angle.sin()]
}

pub(super) fn circle(radius: f64) -> Vec<Xy> {
    (0..ROUND).map(|i| place(radius, 360.0 * i as f64 / ROUND as f64)).collect()
}

pub(super) fn closed(points: &[Xy]) -> Vec<Xy> {
    points.iter().chain(points.first()).copied().collect()
}

/// The diameter of a fitted oval in a direction, in millimetres.
fn fitted_diameter(fit: &Ovality, degrees: f64) -> f64 {
    fit.mean_mm + fit.ovality_mm / 2.0 * (2.0 * (degrees - fit.degrees)).to_radians().cos()
}

/// What is known of the bore's outline.
enum Outline {
    /// Fitted to three axes or more.
    Fitted(Vec<Xy>),
    /// Two axes, joined.
    Supposed(Vec<Xy>),
    /// One axis: nothing.
    Unknown,
}

fn outline(frame: &Frame, cells: &[(Point, &Cell, f64)], fit: Option<&Ovality>) -> Outline {
    let base = frame.base.to_mm();
    let round = |diameter: &dyn Fn(f64) -> f64| -> Vec<Xy> {
        (0..ROUND)
            .map(|i| 360.0 * i as f64 / ROUND as f64)
            .map(|degrees| place(frame.drawn(diameter(degrees) - base), degrees))
            .collect()
    };
    match (cells, fit) {
        (_, Some(fit)) => Outline::Fitted(round(&|degrees| fitted_diameter(fit, degrees))),
        ([(_, one, a), (_, other, b)], None) => {
            let apart = (2.0 * (a - b).to_radians()).cos();
            if apart > 0.9 {
                return Outline::Unknown;
            }
            // The flattest oval through both, turned to the first axis.
            let (one, other) = (one.mean().to_mm(), other.mean().to_mm());
            let half = (one - other) / (1.0 - apart);
            let mean = one - half;
            Outline::Supposed(round(&|degrees| mean + half * (2.0 * (degrees - a).to_radians()).cos()))
        }
        _ => Outline::Unknown,
    }
}

/// The cut metal between the bore and an outside that is not to scale.
fn add_metal(drawing: &mut Drawing, frame: &Frame, outline: &Outline, cells: &[(Point, &Cell, f64)]) {
    let inner = match outline {
        Outline::Fitted(points) | Outline::Supposed(points) => points.clone(),
        Outline::Unknown => {
            let largest = cells.iter().map(|(_, cell, _)| frame.of_mean(cell.mean())).fold(0.0, f64::max);
            circle(largest)
        }
    };
    let outer = circle(frame.outer());
    let pen = Pen::thin(Role::Ink);
    drawing.lines.push(DrawnLine { points: closed(&outer), lane: 0.0, pen });
    drawing.areas.push(Area { loops: vec![outer, inner], fill: Fill::Metal });
}

/// The circles of the limits.
fn add_limits(drawing: &mut Drawing, subject: Subject<'_>, options: &Options, frame: &Frame) {
    let style = subject.style(options);
    let row = subject.cylinder.size.and_then(|size| subject.survey.limits.sizes.get(size));
    let mut add = |length: Length, pen: Pen, text: String| {
        let radius = frame.raw_radius((length - frame.base).to_mm());
        if radius <= frame.outer() {
            drawing.lines.push(DrawnLine { points: closed(&circle(radius)), lane: 0.0, pen });
        }
        drawing.legend.push(Entry { sample: Sample::Line(pen, None), text });
    };
    let Some(row) = row else {
        add(frame.base, Pen::thin(Role::Guide), format!("circle of {}", frame.base.text(style)));
        return;
    };
    add(
        row.new.0.length,
        Pen::thin(Role::AsMade),
        format!("as-made minimum {}", words::bound(&row.new.0, style)),
    );
    if let Some(limit) = &row.serviceable {
        let pen = Pen::thick(Role::Beyond).broken(Pattern::Dashed);
        add(limit.length, pen, format!("serviceable {}", words::bound(limit, style)));
    }
}

fn add_centre_line(drawing: &mut Drawing, subject: Subject<'_>, axis: usize, outer: f64) {
    let Some(degrees) = along::degrees(subject, axis) else { return };
    let end = outer * 1.05;
    drawing.lines.push(DrawnLine {
        points: vec![place(-end, degrees), place(end, degrees)],
        lane: 0.0,
        pen: Pen::thin(Role::Guide).broken(Pattern::Chain),
    });
    drawing.labels.push(Label {
        at: place(outer * 1.13, degrees),
        text: short_axis(subject, axis, degrees),
        role: Role::Ink,
    });
}

/// `thrust 90°`, or `45°` alone.
fn short_axis(subject: Subject<'_>, axis: usize, degrees: f64) -> String {
    let degrees = along::degrees_text(degrees);
    match subject.limits().axes.get(axis) {
        Some(axis)
            if axis.label.trim() != degrees.trim_end_matches('°') && axis.label.chars().count() <= 12 =>
        {
            format!("{} {degrees}", axis.label)
        }
        _ => degrees,
    }
}

fn add_reading(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    frame: &Frame,
    at: Point,
    cell: &Cell,
    degrees: f64,
) {
    let AxisLook { role, marker, filled, .. } = along::look(subject, at.axis);
    let (hover, expanded) = words::reading(subject, options, at, cell);
    let deviation = (cell.mean() - frame.base.into()).to_mm();
    let radius = frame.drawn(deviation);
    let style = subject.style(options);
    for (turn, first) in [(0.0, true), (180.0, false)] {
        let angle = degrees + turn;
        drawing.marks.push(Mark {
            marker,
            filled,
            role,
            whisker: expanded.map(|u| {
                [place(frame.drawn(deviation - u), angle), place(frame.drawn(deviation + u), angle)]
            }),
            beyond: words::is_beyond(subject, at, cell.mean()),
            hover: hover.clone(),
            choice: Some(at.into()),
            chosen: along::is_chosen(options, at),
            ..Mark::plain(place(radius, angle))
        });
        if first {
            drawing.labels.push(Label {
                // Beside the centre line, not on it.
                at: place(radius.min(frame.radius) * 0.80, angle + 10.0),
                text: words::beside(cell.mean(), words::bore_limit(subject), style)
                    .replace(&format!(" {}", style.unit), ""),
                role,
            });
        }
    }
}

/// The fitted ovality as a dimension across the bore in its direction.
fn add_ovality(drawing: &mut Drawing, frame: &Frame, fit: &Ovality, options: &Options, subject: Subject<'_>) {
    let style = subject.style(options);
    let Some(ovality) = Length::from_mm(fit.ovality_mm) else { return };
    // Nothing to show a direction of where the last digit is not reached.
    if Mean::from(ovality).number(style).chars().all(|c| matches!(c, '0' | '.')) {
        return;
    }
    let direction = fit.degrees;
    let radius = frame.drawn(fitted_diameter(fit, direction) - frame.base.to_mm());
    drawing.dimensions.push(Dimension {
        from: place(-radius, direction),
        to: place(radius, direction),
        text: format!("ovality {} at {}", ovality.text(style), along::degrees_text(direction.round())),
        role: Role::Attention,
    });
}

/// What was found at this station, in its place by degrees; depth magnified like everything else.
fn add_findings(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    frame: &Frame,
    station: usize,
) {
    for (index, finding) in subject.cylinder.findings.iter().enumerate() {
        if finding.station != Some(station) {
            continue;
        }
        let words = along::finding_words(subject, options, index);
        let degrees = finding.degrees.filter(|d| d.is_finite());
        drawing.legend.push(Entry {
            sample: Sample::Mark(Marker::Number(index + 1), Role::Attention),
            text: if degrees.is_some() { words.clone() } else { format!("{words}, direction not recorded") },
        });
        let Some(degrees) = degrees else { continue };
        let depth = finding.depth.map_or(0.0, |(depth, _)| depth.to_mm().max(0.0));
        let bottom = (frame.radius + frame.factor * depth).clamp(frame.radius * 1.03, frame.outer() * 0.98);
        let half = 2.5;
        drawing.areas.push(Area {
            loops: vec![vec![
                place(frame.radius, degrees - half),
                place(bottom, degrees),
                place(frame.radius, degrees + half),
            ]],
            fill: Fill::Plain(Role::Attention),
        });
        let choice = Some(Choice { station, axis: None });
        drawing.marks.push(Mark::finding(place(frame.radius * 0.90, degrees), index + 1, words, choice));
    }
}

fn lead(
    subject: Subject<'_>,
    options: &Options,
    station: usize,
    cells: &[(Point, &Cell, f64)],
    fit: Option<&Ovality>,
) -> String {
    let style = subject.style(options);
    let means = || cells.iter().map(|(at, cell, _)| (cell.mean(), *at));
    let (Some((least, _)), Some((most, at))) = (means().min(), means().max()) else { return String::new() };
    let mut lead = format!(
        "{}: {} to {}",
        words::station_at(subject.limits(), station, style),
        least.number(style),
        words::beside(most, words::bore_limit(subject), style)
    );
    if let Some(ovality) = fit.and_then(|fit| Length::from_mm(fit.ovality_mm)) {
        lead = format!("{lead}, fitted ovality {}", ovality.text(style));
    }
    if let Some(limit) = words::bore_limit(subject)
        && subject.limits().bore_stations.contains(&station)
    {
        let guard = words::guard_of_cell(subject, at);
        lead = format!("{lead}; {}", words::guarded_margin(most, limit, guard, style));
    }
    lead + "."
}
