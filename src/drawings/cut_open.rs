//! The barrel cut open lengthwise along one axis: the two walls as cut metal, the bore line with its deviation
//! magnified, and what was found on the wall in its place.
//!
//! Depth and the nominal bore have the same scale; the thickness of the wall is not to scale.

use super::along::{self, AxisLook};
use super::section::{fitting_factor, worst_station};
use super::{Area, Axis, Choice, Drawing, DrawnLine, Entry, Fill, Magnified, Mark, Marker, Options};
use super::{Pattern, Pen, Role, Sample, Scale, Subject, Xy, profile, words};
use quantities::length::Length;
use records::bore::Point;
use records::limits::rows::RowName;
use records::limits::schema::Datum;

/// How far the serviceable limit is drawn outside the nominal bore, as a share of its radius.
const REACH: f64 = 0.14;
/// How thick the walls are drawn, as a share of the radius.
const WALL: f64 = 0.22;

/// The barrel cut open along the chosen axis; without a choice, along that of the largest reading.
pub fn cut_open(subject: Subject<'_>, options: &Options) -> Drawing {
    let bore = &subject.cylinder.bore;
    let chosen = options.chosen.and_then(|chosen| chosen.axis);
    let measured = along::measured_axes(subject);
    let Some(axis) = chosen.filter(|axis| measured.contains(axis)).or_else(|| worst_axis(subject)) else {
        return Drawing::empty(
            subject.title("Barrel cut open"),
            "The barrel belongs here. Type the readings of an axis into the Sheet to see its bore line.",
        );
    };
    let limits = subject.limits();
    let style = subject.style(options);
    let row = subject.cylinder.size.and_then(|size| limits.sizes.get(size));
    let base = profile::base(subject, row);
    let radius = (base.to_mm() / 2.0).max(1e-3);
    let (least, most) = profile::sight(row);
    let deviation = |length: Length| (length - base).to_mm();
    let cells: Vec<(usize, f64)> = (0..bore.stations())
        .filter_map(|station| {
            let mean = bore.mean(Point::new(station, axis))?;
            Some((station, (mean - base.into()).to_mm().clamp(least, most)))
        })
        .collect();
    let limit = words::bore_limit(subject).map(|limit| deviation(limit.length));
    let largest = cells.iter().map(|(_, d)| d.abs()).fold(limit.unwrap_or(0.0).max(0.0), f64::max);
    let factor = options
        .magnification
        .filter(|factor| factor.is_finite() && *factor > 0.0)
        .unwrap_or_else(|| fitting_factor(REACH * radius, largest / 2.0));
    let drawn = |deviation: f64| (radius + factor * deviation / 2.0).clamp(0.4 * radius, 1.6 * radius);
    let widest = cells.iter().map(|(_, d)| drawn(*d)).fold(drawn(limit.unwrap_or(0.0)), f64::max);
    let outer = widest + WALL * radius;

    let mut y = along::depth_axis(subject);
    // The barrel goes on past the last station; past the datum's end there is none.
    let (start, end) = (y.from, y.to);
    let length = end - start;
    y.from -= 0.03 * length;
    y.to += 0.03 * length;
    let x = Axis {
        label: String::new(),
        from: -outer * 1.06,
        to: outer * 1.06,
        scale: Scale::Hidden,
        backwards: false,
    };
    let title = format!("Barrel cut open, {}, {}", along::axis_name(subject, axis), subject.cylinder.words());
    let mut drawing = Drawing::new(title, x, y);
    drawing.equal = true;
    drawing.framed = false;
    drawing.magnified = Magnified::By(factor);

    let bore_line: Vec<Xy> =
        cells.iter().filter_map(|&(station, d)| Some([drawn(d), along::depth(subject, station)?])).collect();
    // Between two neighbours the line is drawn; past a station that nobody measured it is only dashed.
    let runs: Vec<bool> =
        cells.iter().zip(cells.iter().skip(1)).map(|(one, next)| next.0 == one.0 + 1).collect();
    add_walls(&mut drawing, &bore_line, &runs, outer, (start, end), limits.datum);
    add_limit_lines(&mut drawing, subject, options, &|length| drawn(deviation(length)), (start, end));
    drawing.lines.push(DrawnLine {
        points: vec![[0.0, start - 0.03 * length], [0.0, end + 0.03 * length]],
        lane: 0.0,
        pen: Pen::thin(Role::Guide).broken(Pattern::Chain),
    });
    along::add_ring_travel(&mut drawing, subject);
    along::add_stations(&mut drawing, subject, options);

    let AxisLook { role, marker, filled, .. } = along::look(subject, axis);
    for (station, d) in &cells {
        let at = Point::new(*station, axis);
        let (Some(cell), Some(depth)) = (bore.cell(at), along::depth(subject, *station)) else { continue };
        let (hover, expanded) = words::reading(subject, options, at, cell);
        let text = words::beside(cell.mean(), words::bore_limit(subject), style);
        for side in [-1.0, 1.0] {
            drawing.marks.push(Mark {
                marker,
                filled,
                role,
                whisker: expanded.map(|u| [[side * drawn(d - u), depth], [side * drawn(d + u), depth]]),
                beyond: words::is_beyond(subject, at, cell.mean()),
                hover: hover.clone(),
                choice: Some(at.into()),
                chosen: along::is_chosen(options, at),
                ..Mark::plain([side * drawn(*d), depth])
            });
        }
        drawing.labels.push(super::Label {
            at: [0.66 * radius, depth],
            text: text.replace(&format!(" {}", style.unit), ""),
            role: Role::Ink,
        });
    }
    add_findings(&mut drawing, subject, options, axis, radius, (start, end));
    drawing.lead = words::row_sentence(subject, options, RowName::Bore).unwrap_or_default();
    drawing.name = format!("{}: {}", drawing.title, count_beyond(&drawing));
    drawing.notes.push(
        "A diameter does not say which side wore: half of each deviation is drawn on either wall. Walls not to scale."
            .to_owned(),
    );
    drawing
}

/// The axis with the largest reading.
fn worst_axis(subject: Subject<'_>) -> Option<usize> {
    let station = worst_station(subject)?;
    let bore = &subject.cylinder.bore;
    let cells = (0..bore.axes()).filter_map(|axis| Some((axis, bore.mean(Point::new(station, axis))?)));
    cells.reduce(|best, cell| if cell.1 > best.1 { cell } else { best }).map(|(axis, _)| axis)
}

fn count_beyond(drawing: &Drawing) -> String {
    // Every reading has a mark on both walls.
    let all =
        drawing.marks.iter().filter(|mark| mark.choice.is_some_and(|choice| choice.axis.is_some())).count()
            / 2;
    let beyond = drawing.marks.iter().filter(|mark| mark.beyond).count() / 2;
    let readings = words::count(all, "reading", "readings");
    if beyond == 0 {
        format!("none of {readings} beyond the serviceable limit")
    } else {
        format!("{beyond} of {readings} beyond the serviceable limit")
    }
}

/// Both walls: hatched metal, thick bore line between the stations, dashed where nothing was measured.
fn add_walls(
    drawing: &mut Drawing,
    bore_line: &[Xy],
    runs: &[bool],
    outer: f64,
    (start, end): (f64, f64),
    datum: Datum,
) {
    let (Some(first), Some(last)) = (bore_line.first().copied(), bore_line.last().copied()) else { return };
    // The datum end is a face; the other end is broken off, since its place is not in the table. Depth 0 is the face.
    let (face, open) = (start, end);
    let (near_face, near_open) = if datum == Datum::HeadEnd { (first, last) } else { (last, first) };
    let amplitude = 0.012 * (end - start);
    for side in [-1.0, 1.0] {
        let at = |[x, y]: Xy| [side * x, y];
        let from_face: Vec<Xy> = if datum == Datum::HeadEnd {
            bore_line.to_vec()
        } else {
            bore_line.iter().rev().copied().collect()
        };
        let width = outer - near_open[0];
        let broken: Vec<Xy> = [(0.0, 0.0), (0.35, 0.0), (0.45, -1.0), (0.55, 1.0), (0.65, 0.0), (1.0, 0.0)]
            .into_iter()
            .map(|(part, swing)| at([near_open[0] + part * width, open + swing * amplitude]))
            .collect();
        let mut wall = vec![at([near_face[0], face])];
        wall.extend(from_face.iter().map(|&p| at(p)));
        wall.extend(broken.iter().copied());
        wall.push(at([outer, face]));
        drawing.areas.push(Area { loops: vec![wall], fill: Fill::Metal });
        let mut line = |points: Vec<Xy>, pen: Pen| {
            drawing.lines.push(DrawnLine { points, lane: 0.0, pen });
        };
        line(broken, Pen::thin(Role::Ink));
        line(vec![at([near_face[0], face]), at([outer, face]), at([outer, open])], Pen::thick(Role::Ink));
        let unknown = Pen::thin(Role::Ink).broken(Pattern::Dashed);
        let mut run: Vec<Xy> = Vec::new();
        for (i, &p) in bore_line.iter().enumerate() {
            let is_joined = i == 0 || runs.get(i - 1) == Some(&true);
            if let (false, Some(previous)) = (is_joined, run.last().copied()) {
                line(std::mem::take(&mut run), Pen::thick(Role::Ink));
                line(vec![previous, at(p)], unknown);
            }
            run.push(at(p));
        }
        line(run, Pen::thick(Role::Ink));
        line(vec![at([near_face[0], face]), at(near_face)], unknown);
        line(vec![at(near_open), at([near_open[0], open])], unknown);
    }
}

fn add_limit_lines(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    drawn: &impl Fn(Length) -> f64,
    (start, end): (f64, f64),
) {
    let style = subject.style(options);
    let Some(row) = subject.cylinder.size.and_then(|size| subject.survey.limits.sizes.get(size)) else {
        return;
    };
    let mut add = |length: Length, pen: Pen, text: String| {
        for side in [-1.0, 1.0] {
            let x = side * drawn(length);
            drawing.lines.push(DrawnLine { points: vec![[x, start], [x, end]], lane: 0.0, pen });
        }
        drawing.legend.push(Entry { sample: Sample::Line(pen, None), text });
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
    drawing.legend.push(Entry {
        sample: Sample::Line(Pen::thick(Role::Ink), None),
        text: "the bore between stations: joined".to_owned(),
    });
}

/// What was found on the wall: on the far half of it as seen, on the half cut away with a dotted leader.
fn add_findings(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    axis: usize,
    radius: f64,
    (start, end): (f64, f64),
) {
    let turn = along::degrees(subject, axis).unwrap_or(0.0);
    for (index, depth) in along::wall_findings(subject) {
        let Some(finding) = subject.cylinder.findings.get(index) else { continue };
        let words = along::finding_words(subject, options, index);
        let degrees = finding.degrees.filter(|d| d.is_finite());
        let across = degrees.map_or(0.0, |d| (d - turn).to_radians().cos());
        let is_cut_away = degrees.is_some_and(|d| (d - turn).to_radians().sin() < -1e-9);
        let mut text = words.clone();
        if is_cut_away {
            text += ", on the half cut away";
        }
        if degrees.is_none() {
            text += ", direction not recorded";
        }
        drawing.legend.push(Entry {
            sample: Sample::Mark(Marker::Number(index + 1), Role::Attention),
            text: text.clone(),
        });
        let Some(depth) = depth else { continue };
        let half = finding.size.map_or(0.0, |(size, _)| size.to_mm() / 2.0).clamp(0.0, (end - start) / 2.0);
        let x = 0.94 * radius * across;
        if half > 0.0 {
            let pen = Pen::thin(Role::Attention);
            let pen = if is_cut_away { pen.broken(Pattern::Dotted) } else { pen };
            let patch = (0..=24).map(|i| {
                let angle = f64::from(i) * std::f64::consts::TAU / 24.0;
                // Seen on the turned wall, a patch near the edge is narrow.
                let narrow = (1.0 - across * across).sqrt().max(0.15);
                [x + half * narrow * angle.cos(), depth + half * angle.sin()]
            });
            drawing.lines.push(DrawnLine { points: patch.collect(), lane: 0.0, pen });
        }
        let choice = finding.station.map(|station| Choice { station, axis: None });
        drawing.marks.push(Mark::finding([x, depth], index + 1, text, choice));
    }
}
