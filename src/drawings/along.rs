//! What the drawings that stand as the barrel stands have in common: depth down the sheet with the head end
//! up, stations, ring travel, and how each axis of measuring is drawn.

use super::{Along, Axis, Choice, Drawing, Entry, Marker, Options, Pattern, Pen, Role, Rule, Sample};
use super::{LabelSide, Scale, Span, Subject, Weight, words};
use records::bore::Point;
use records::limits::schema::Datum;
use records::survey::axis_words;

/// The depth axis: every station and the ring travel in sight, from the end that depths are counted from.
pub(super) fn depth_axis(subject: Subject<'_>) -> Axis {
    let limits = subject.limits();
    let travel = limits.ring_travel.map(|(a, b)| [a, b]);
    let depths = limits
        .stations
        .iter()
        .map(|station| station.depth)
        .chain(travel.into_iter().flatten())
        .map(|depth| depth.to_mm())
        .chain(std::iter::once(0.0));
    let (from, to) = depths.fold((0.0_f64, 0.0_f64), |(low, high), d| (low.min(d), high.max(d)));
    let length = if to - from > 1e-6 { to - from } else { 10.0 };
    Axis {
        label: String::new(),
        from: from - if from < 0.0 { 0.06 * length } else { 0.0 },
        to: to + 0.06 * length,
        scale: Scale::Hidden,
        backwards: limits.datum == Datum::BaseEnd,
    }
}

/// The depth of a station in millimetres.
pub(super) fn depth(subject: Subject<'_>, station: usize) -> Option<f64> {
    subject.limits().stations.get(station).map(|station| station.depth.to_mm())
}

/// Adds the stations as thin lines with their names and depths, those chosen marked.
pub(super) fn add_stations(drawing: &mut Drawing, subject: Subject<'_>, options: &Options) {
    let style = subject.style(options);
    let depth_style = words::depth_style(subject.limits(), style);
    for (index, station) in subject.limits().stations.iter().enumerate() {
        let chosen = options.chosen.is_some_and(|chosen| chosen.station == index);
        let pen = if chosen { Pen::thin(Role::Attention) } else { Pen::hair(Role::Guide) };
        let label = format!("{} · {}", station.name, station.depth.number(depth_style));
        drawing.rules.push(Rule {
            choice: Some(Choice { station: index, axis: None }),
            chosen,
            ..Rule::new(Along::Y, station.depth.to_mm(), pen, label)
        });
    }
    let end = match subject.limits().datum {
        Datum::HeadEnd => "head end",
        Datum::BaseEnd => "base end",
    };
    drawing.y.label = format!("Depth from the {end}, {}", style.unit);
}

/// Adds the ends of ring travel as chain lines and a dimension line between them.
pub(super) fn add_ring_travel(drawing: &mut Drawing, subject: Subject<'_>) {
    let Some((top, bottom)) = subject.limits().ring_travel else { return };
    for at in [top, bottom] {
        drawing.rules.push(Rule {
            side: LabelSide::After,
            ..Rule::new(Along::Y, at.to_mm(), Pen::thin(Role::Ink).broken(Pattern::Chain), String::new())
        });
    }
    let (from, to) = (top.to_mm().min(bottom.to_mm()), top.to_mm().max(bottom.to_mm()));
    drawing.spans.push(Span { from, to, label: "ring travel".to_owned() });
}

/// How an axis of measuring is drawn.
#[derive(Clone, Copy)]
pub(super) struct AxisLook {
    pub(super) role: Role,
    pub(super) pen: Pen,
    pub(super) marker: Marker,
    pub(super) filled: bool,
}

/// Two axes are told apart by colour, stroke and mark; more of them by stroke and mark.
pub(super) fn look(subject: Subject<'_>, axis: usize) -> AxisLook {
    // The axes that must be measured come first, so that the usual two differ most.
    let required = &subject.limits().required_axes;
    let axis = match required.iter().position(|&other| other == axis) {
        Some(rank) => rank,
        None => required.len() + (0..axis).filter(|other| !required.contains(other)).count(),
    };
    let role = if axis.is_multiple_of(2) { Role::Reading } else { Role::SecondAxis };
    let pattern = match axis % 4 {
        0 => Pattern::Solid,
        1 => Pattern::Dashed,
        2 => Pattern::Chain,
        _ => Pattern::Dotted,
    };
    let markers = [Marker::Disc, Marker::Square, Marker::Diamond, Marker::Triangle, Marker::TriangleDown];
    let marker = markers.get(axis % markers.len()).copied().unwrap_or(Marker::Disc);
    let filled = (axis / markers.len()).is_multiple_of(2);
    AxisLook { role, pen: Pen { role, weight: Weight::Thick, pattern }, marker, filled }
}

/// The lane of an axis beside the depth of a station, so that its marks do not hide those of another axis.
pub(super) fn lane(axis: usize, axes: usize) -> f64 {
    if axes > 1 { axis as f64 / (axes as f64 - 1.0) - 0.5 } else { 0.0 }
}

/// The axes on which anything was measured.
pub(super) fn measured_axes(subject: Subject<'_>) -> Vec<usize> {
    let bore = &subject.cylinder.bore;
    (0..bore.axes())
        .filter(|&axis| (0..bore.stations()).any(|station| bore.cell(Point::new(station, axis)).is_some()))
        .collect()
}

/// Adds the legend's entry of an axis.
pub(super) fn add_axis_entry(drawing: &mut Drawing, subject: Subject<'_>, axis: usize) {
    let look = look(subject, axis);
    drawing.legend.push(Entry {
        sample: Sample::Line(look.pen, Some((look.marker, look.filled))),
        text: axis_name(subject, axis),
    });
}

/// `thrust axis (90°)`.
pub(super) fn axis_name(subject: Subject<'_>, axis: usize) -> String {
    let Some(axis) = subject.limits().axes.get(axis) else { return "axis".to_owned() };
    let degrees = degrees_text(axis.degrees);
    // An axis named after its angle need not say it twice.
    if axis.label.trim() == degrees.trim_end_matches('°') {
        degrees
    } else {
        format!("{} ({degrees})", axis_words(&axis.label))
    }
}

/// `90°`, `22.5°`.
pub(super) fn degrees_text(degrees: f64) -> String {
    format!("{}°", (degrees * 10.0).round() / 10.0)
}

/// The angle of an axis in degrees, 0 to below 360; none if it is no number.
pub(super) fn degrees(subject: Subject<'_>, axis: usize) -> Option<f64> {
    let degrees = subject.limits().axes.get(axis)?.degrees;
    degrees.is_finite().then(|| degrees.rem_euclid(360.0))
}

/// The mark of a choice.
pub(super) fn is_chosen(options: &Options, at: Point) -> bool {
    options.chosen.is_some_and(|chosen| chosen.axis.is_some() && chosen.covers(at))
}

/// The findings that have a place on the wall: their index and the depth of their station, if they have one.
pub(super) fn wall_findings(subject: Subject<'_>) -> impl Iterator<Item = (usize, Option<f64>)> {
    subject
        .cylinder
        .findings
        .iter()
        .enumerate()
        .filter(|(_, finding)| {
            finding.kind.is_on_wall() || finding.station.is_some() || finding.degrees.is_some()
        })
        .map(move |(index, finding)| (index, finding.station.and_then(|station| depth(subject, station))))
}

/// `1: pitted wall, station D, 210°, 0.0100 in deep`.
pub(super) fn finding_words(subject: Subject<'_>, options: &Options, index: usize) -> String {
    let Some(finding) = subject.cylinder.findings.get(index) else { return String::new() };
    let style = subject.style(options);
    let mut words = vec![finding.kind.words().to_owned()];
    if let Some(station) = finding.station {
        words.push(records::survey::station_words(subject.limits(), station));
    }
    if let Some(degrees) = finding.degrees.filter(|d| d.is_finite()) {
        words.push(degrees_text(degrees));
    }
    if let Some((depth, _)) = finding.depth {
        words.push(format!("{} deep", depth.text(style)));
    }
    if finding.station.is_none() && !finding.place.is_empty() {
        words.push(finding.place.clone());
    }
    words.join(", ")
}
