//! The wall unrolled: depth by angle, wear as a colour map.
//!
//! A diameter stands at both of its ends. Only the marks are measured; the colours between them are straight
//! interpolation along depth and around, and where a neighbour is missing there is no colour.

use super::{Axis, Cell, Choice, Drawing, Entry, Hover, Magnified, Mark, Marker, Options, Role};
use super::{Sample, Scale, StepLegend, Subject, Xy, along, scale, words};
use crate::bore::Point;
use crate::figures::wear::{self, WearReference};
use crate::length::{Length, Style};

/// Steps of the colour map, at most.
const STEPS: f64 = 8.0;
/// Patches between readings are cut into about so many pieces in all.
const PIECES: usize = 2_400;

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
                at: [degrees, depth],
                offset: [0.0, 0.0],
                marker: Marker::Disc,
                filled: true,
                role: Role::Ink,
                whisker: None,
                repeats: Vec::new(),
                beyond: words::is_beyond(subject, at, cell.mean()),
                label: if is_crowded || degrees >= 180.0 { String::new() } else { wear.number(style) },
                must_label: false,
                hover: hover.clone(),
                choice: Some(at.into()),
                chosen: along::is_chosen(options, at),
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
            crate::survey::point_words(limits, at),
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

/// The colours between readings, cut into pieces; pieces of one step that lie side by side are drawn as one.
fn add_map(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    steps: &Steps,
    columns: &[(f64, usize)],
    reference: WearReference,
    style: Style,
) {
    let bore = &subject.cylinder.bore;
    let value = |station: usize, axis: usize| {
        wear::at(bore, reference, Point::new(station, axis)).map(|wear| wear.to_mm())
    };
    // With one axis nothing is known of the directions between its ends.
    if columns.len() < 4 {
        return;
    }
    let stations: Vec<(usize, f64)> =
        (0..bore.stations()).filter_map(|station| Some((station, along::depth(subject, station)?))).collect();
    let patches = (columns.len() * stations.len()).max(1);
    let pieces = ((PIECES / patches) as f64).sqrt().clamp(3.0, 16.0) as usize;
    for (index, &(angle, axis)) in columns.iter().enumerate() {
        let (next_angle, next_axis) = match columns.get(index + 1) {
            Some(&next) => next,
            None => columns.first().map_or((360.0, axis), |&(angle, axis)| (angle + 360.0, axis)),
        };
        for pair in stations.windows(2) {
            let [(upper, top), (lower, bottom)] = *pair else { continue };
            let corners =
                [value(upper, axis), value(upper, next_axis), value(lower, axis), value(lower, next_axis)];
            let [Some(a), Some(b), Some(c), Some(d)] = corners else { continue };
            let wear_at = |across: f64, down: f64| {
                (a * (1.0 - across) + b * across) * (1.0 - down) + (c * (1.0 - across) + d * across) * down
            };
            let patch = [[angle, top], [next_angle, bottom]];
            add_patch(drawing, steps, patch, pieces, &wear_at, style);
        }
    }
}

fn add_patch(
    drawing: &mut Drawing,
    steps: &Steps,
    [from, to]: [Xy; 2],
    pieces: usize,
    wear_at: &impl Fn(f64, f64) -> f64,
    style: Style,
) {
    let part = |i: usize| i as f64 / pieces as f64;
    for row in 0..pieces {
        let middle = (part(row) + part(row + 1)) / 2.0;
        let (top, bottom) =
            (from[1] + part(row) * (to[1] - from[1]), from[1] + part(row + 1) * (to[1] - from[1]));
        let mut start = 0;
        let step = |piece: usize| steps.index(wear_at((part(piece) + part(piece + 1)) / 2.0, middle));
        for piece in 0..pieces {
            let here = step(piece);
            if piece + 1 < pieces && step(piece + 1) == here {
                continue;
            }
            let (left, right) =
                (from[0] + part(start) * (to[0] - from[0]), from[0] + part(piece + 1) * (to[0] - from[0]));
            start = piece + 1;
            let hover = Hover {
                place: "Between readings: interpolated".to_owned(),
                value: format!(
                    "about {} to {} {} worn",
                    steps.bound_text(here, style),
                    steps.bound_text(here + 1.0, style),
                    style.unit
                ),
                ..Hover::default()
            };
            // What passes 360 degrees goes on at 0.
            for turn in [0.0, 360.0] {
                let (left, right) = ((left - turn).max(0.0), (right - turn).min(360.0));
                if left < right {
                    drawing.cells.push(Cell {
                        from: [left, top],
                        to: [right, bottom],
                        step: steps.colour(here),
                        hover: hover.clone(),
                    });
                }
            }
        }
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
        drawing.marks.push(Mark {
            at: [degrees, depth],
            offset: [0.0, 0.0],
            marker: Marker::Number(index + 1),
            filled: false,
            role: Role::Attention,
            whisker: None,
            repeats: Vec::new(),
            beyond: false,
            label: String::new(),
            must_label: false,
            hover: Hover { place: words, ..Hover::default() },
            choice: finding.station.map(|station| Choice { station, axis: None }),
            chosen: false,
        });
    }
}
