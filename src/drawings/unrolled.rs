//! The wall unrolled: depth by angle, wear as a colour map.
//!
//! A diameter stands at both of its ends. Only the marks are measured; the colours between them are straight
//! interpolation along depth and around, and where a neighbour is missing there is no colour.

use super::{Axis, Choice, ColourCell, Drawing, Entry, Hover, Magnified, Mark, Marker, Options, Role};
use super::{Sample, Scale, StepLegend, Subject, along, scale, words};
use figures::wear::{self, WearReference};
use quantities::length::{Length, Style};
use records::bore::Point;

/// Steps of the colour map, at most.
const STEPS: f64 = 8.0;
/// Pieces around the bore.
const AROUND: usize = 240;
/// Strips along the bore, about.
const DOWN: f64 = 90.0;

/// The unrolled wall of a cylinder.
pub fn unrolled(subject: Subject<'_>, options: &Options) -> Drawing {
    let title = subject.title("Wall unrolled");
    let bore = &subject.cylinder.bore;
    let limits = subject.limits();
    let row = subject.cylinder.size.and_then(|size| limits.sizes.get(size));
    let reference = WearReference::best(
        subject.cylinder.finished_to.map(|(size, _)| size),
        wear::unworn_bore(bore, &limits.unworn_stations),
        row.map(|row| row.new.1.length),
    );
    let (Some(reference), false) = (reference, bore.is_empty()) else {
        return Drawing::empty(
            title,
            "The map of wear belongs here. It needs readings, and a size to count wear from.",
        );
    };
    let style = subject.style(options);
    let mut ticks: Vec<(f64, String)> =
        [0.0, 90.0, 180.0, 270.0, 360.0].map(|d| (d, along::degrees_text(d))).to_vec();
    let columns = columns(subject);
    for &(degrees, _) in &columns {
        if ticks.iter().all(|(d, _)| (d - degrees).abs() > 1.0) {
            ticks.push((degrees, along::degrees_text(degrees)));
        }
    }
    ticks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let x = Axis {
        label: "Degrees around the bore, 0 parallel to the crankshaft".to_owned(),
        from: -12.0,
        to: 372.0,
        scale: Scale::Named(ticks),
        backwards: false,
    };
    let mut drawing = Drawing::new(title, x, along::depth_axis(subject));
    drawing.magnified = Magnified::No;

    let wears: Vec<f64> = bore
        .measured()
        .filter_map(|(at, _)| wear::at(bore, reference, at))
        .map(|wear| wear.to_mm())
        .collect();
    let steps = Steps::new(&wears, style);
    add_map(&mut drawing, subject, &steps, &columns, reference, style);
    along::add_ring_travel(&mut drawing, subject);
    along::add_stations(&mut drawing, subject, options);
    let is_crowded = columns.len() > 12 || bore.stations() > 16;
    for (at, cell) in bore.measured() {
        let (Some(wear), Some(depth)) = (wear::at(bore, reference, at), along::depth(subject, at.station))
        else {
            continue;
        };
        let (mut hover, _) = words::reading(subject, options, at, cell);
        hover.value = format!("{} worn, {}", wear.text(style), hover.value);
        for &(degrees, axis) in &columns {
            if axis != at.axis {
                continue;
            }
            drawing.marks.push(Mark {
                role: Role::Ink,
                beyond: words::is_beyond(subject, at, cell.mean()),
                label: if is_crowded || degrees >= 180.0 { String::new() } else { wear.number(style) },
                hover: hover.clone(),
                choice: Some(at.into()),
                chosen: along::is_chosen(options, at),
                ..Mark::plain([degrees, depth])
            });
        }
    }
    drawing.legend.push(Entry {
        sample: Sample::Mark(Marker::Disc, Role::Ink),
        text: "measured, shown at both ends of its diameter; colour between is interpolated".to_owned(),
    });
    add_findings(&mut drawing, subject, options);
    drawing.steps = Some(steps.legend(reference, style));
    let scope = limits.bore_scope();
    if let Some((at, worst)) = wear::greatest(bore, reference, &scope) {
        drawing.lead = format!(
            "Greatest wear {} at {}, against {} ({}).",
            worst.text(style),
            records::survey::point_words(limits, at),
            reference.words(),
            reference.diameter().text(style),
        );
    }
    drawing.name = format!("{}: {}", drawing.title, drawing.lead);
    if matches!(reference, WearReference::LargestNewSize(_)) {
        drawing.notes.push(
            "Counted from the largest size it can have had when new, the wear is at least so much."
                .to_owned(),
        );
    }
    drawing
}

/// Where each axis stands on the unrolled wall: its two ends, from the least angle.
fn columns(subject: Subject<'_>) -> Vec<(f64, usize)> {
    let mut columns: Vec<(f64, usize)> = along::measured_axes(subject)
        .into_iter()
        .filter_map(|axis| Some((along::degrees(subject, axis)?.rem_euclid(180.0), axis)))
        .flat_map(|(degrees, axis)| [(degrees, axis), (degrees + 180.0, axis)])
        .collect();
    columns.sort_by(|a, b| a.0.total_cmp(&b.0));
    columns
}

/// The steps of the colour map.
struct Steps {
    /// The lowest bound, as a whole number of steps.
    first: f64,
    /// How many steps.
    count: f64,
    /// The height of a step in millimetres.
    height: f64,
    decimals: u8,
}

impl Steps {
    fn new(wears: &[f64], style: Style) -> Self {
        let unit_mm = 1.0 / style.unit.from_mm(1.0);
        let low = wears.iter().copied().fold(0.0_f64, f64::min);
        let high = wears.iter().copied().fold(0.0_f64, f64::max);
        let digit = 10_f64.powi(-i32::from(style.decimals));
        let (step, decimals) =
            scale::round_step(((high - low) / unit_mm / STEPS).max(digit)).unwrap_or((digit, style.decimals));
        let height = step * unit_mm;
        let first = (low / height + 1e-9).floor();
        let last = (high / height - 1e-9).ceil().max(first + 1.0);
        Self {
            first,
            count: (last - first).min(2.0 * STEPS),
            height,
            decimals: decimals.max(style.decimals.min(4)),
        }
    }

    /// The step that a wear belongs to, counted from 0.
    fn index(&self, wear: f64) -> f64 {
        ((wear / self.height + 1e-9).floor() - self.first).clamp(0.0, self.count - 1.0)
    }

    /// Its place in the colour map.
    fn colour(&self, index: f64) -> f64 {
        if self.count > 1.0 { index / (self.count - 1.0) } else { 0.0 }
    }

    fn bound_text(&self, index: f64, style: Style) -> String {
        let style = Style { decimals: self.decimals, ..style };
        Length::from_mm((self.first + index) * self.height).map_or(String::new(), |bound| bound.number(style))
    }

    fn legend(&self, reference: WearReference, style: Style) -> StepLegend {
        StepLegend {
            label: format!("Wear on the diameter, {}, against {}", style.unit, reference.words()),
            bounds: (0..=self.count as usize).map(|i| self.bound_text(i as f64, style)).collect(),
        }
    }
}

/// The colours between readings, in strips; neighbours of one step are drawn as one.
fn add_map(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    steps: &Steps,
    columns: &[(f64, usize)],
    reference: WearReference,
    style: Style,
) {
    // With one axis nothing is known of the directions between its ends.
    if columns.len() < 4 {
        return;
    }
    let bore = &subject.cylinder.bore;
    let hovers: Vec<Hover> = (0..steps.count as usize)
        .map(|step| Hover {
            place: "Between readings: interpolated".to_owned(),
            value: format!(
                "about {} to {} {} worn",
                steps.bound_text(step as f64, style),
                steps.bound_text(step as f64 + 1.0, style),
                style.unit
            ),
            ..Hover::default()
        })
        .collect();
    let across: Vec<Across> = (0..AROUND).filter_map(|i| Across::new(columns, i)).collect();
    let row = |station: usize| -> Vec<Option<f64>> {
        let value = |axis| wear::at(bore, reference, Point::new(station, axis)).map(|wear| wear.to_mm());
        let by_axis: Vec<Option<f64>> = (0..bore.axes()).map(value).collect();
        let of = |axis: usize| by_axis.get(axis).copied().flatten();
        across.iter().map(|a| Some(of(a.axis)? * (1.0 - a.part) + of(a.next)? * a.part)).collect()
    };
    let stations: Vec<(usize, f64)> =
        (0..bore.stations()).filter_map(|station| Some((station, along::depth(subject, station)?))).collect();
    let length = (drawing.y.to - drawing.y.from).max(1e-9);
    for pair in stations.windows(2) {
        let [(upper, top), (lower, bottom)] = *pair else { continue };
        let (upper, lower) = (row(upper), row(lower));
        let strips = ((bottom - top).abs() / length * DOWN).ceil().clamp(2.0, DOWN);
        for row in 0..strips as usize {
            let (from, to) = (row as f64 / strips, (row as f64 + 1.0) / strips);
            let middle = (from + to) / 2.0;
            let strip: Vec<Option<usize>> = upper
                .iter()
                .zip(&lower)
                .map(|(a, b)| Some(steps.index((*a)? * (1.0 - middle) + (*b)? * middle) as usize))
                .collect();
            let mut start = 0;
            for (i, &step) in strip.iter().enumerate() {
                if strip.get(i + 1) == Some(&step) {
                    continue;
                }
                if let Some(here) = step {
                    let degrees = |i: usize| 360.0 * i as f64 / AROUND as f64;
                    drawing.cells.push(ColourCell {
                        from: [degrees(start), top + from * (bottom - top)],
                        to: [degrees(i + 1), top + to * (bottom - top)],
                        step: steps.colour(here as f64),
                        hover: hovers.get(here).cloned().unwrap_or_default(),
                    });
                }
                start = i + 1;
            }
        }
    }
}

/// A direction between two measured ones.
struct Across {
    axis: usize,
    next: usize,
    /// How far it is from the first to the next, 0 to 1.
    part: f64,
}

impl Across {
    /// The middle of a piece of the way around.
    fn new(columns: &[(f64, usize)], piece: usize) -> Option<Self> {
        let degrees = 360.0 * (piece as f64 + 0.5) / AROUND as f64;
        let (&first, &last) = (columns.first()?, columns.last()?);
        let before = columns.iter().rev().find(|(d, _)| *d <= degrees);
        let after = columns.iter().find(|(d, _)| *d > degrees);
        let (from, axis) = before.copied().unwrap_or((last.0 - 360.0, last.1));
        let (to, next) = after.copied().unwrap_or((first.0 + 360.0, first.1));
        Some(Self { axis, next, part: if to > from { (degrees - from) / (to - from) } else { 0.0 } })
    }
}

fn add_findings(drawing: &mut Drawing, subject: Subject<'_>, options: &Options) {
    for (index, depth) in along::wall_findings(subject) {
        let Some(finding) = subject.cylinder.findings.get(index) else { continue };
        let words = along::finding_words(subject, options, index);
        let degrees = finding.degrees.filter(|d| d.is_finite()).map(|d| d.rem_euclid(360.0));
        let text = if degrees.is_some() && depth.is_some() {
            words.clone()
        } else {
            format!("{words}, place not recorded")
        };
        drawing.legend.push(Entry { sample: Sample::Mark(Marker::Number(index + 1), Role::Attention), text });
        let (Some(degrees), Some(depth)) = (degrees, depth) else { continue };
        let choice = finding.station.map(|station| Choice { station, axis: None });
        drawing.marks.push(Mark::finding([degrees, depth], index + 1, words, choice));
    }
}
