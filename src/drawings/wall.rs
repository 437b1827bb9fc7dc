//! The wall of a bore that is known all the way round, its deviation from a circle magnified, and the diameters
//! that a gauge with two contacts finds in it.
//!
//! Only an invented bore is known so. 0 degrees lies to the right, angles run anticlockwise. Whatever
//! lies farther out than the circle is drawn farther out by the factor that stands in the drawing, per side.

use super::section::{circle, closed, fitting_factor, place};
use super::{Area, Axis, Drawing, DrawnLine, Entry, Fill, Hover, Label, Magnified, Mark, Marker, Pattern};
use super::{Pen, Role, Sample, Scale, Xy};
use quantities::length::{Length, Style};

/// How far the greatest deviation is drawn from the circle, as a share of its radius.
const REACH: f64 = 0.22;

/// One way across, and what a gauge finds there.
#[derive(Clone, Debug, PartialEq)]
pub struct Across {
    /// Its name.
    pub name: String,
    /// Its direction in degrees.
    pub degrees: f64,
    /// The diameter that is read.
    pub diameter: Length,
}

/// A bore across at one depth.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Where it is, such as `station B`.
    pub place: String,
    /// The circle that deviations are counted from, by its diameter.
    pub base: Length,
    /// Direction in degrees and distance from the original centre to the wall in millimetres, all the way round.
    pub radii: Vec<(f64, f64)>,
    /// The ways that a gauge goes across.
    pub across: Vec<Across>,
    /// The serviceable limit, where there is one: it is always in sight, so that small deviations stay small.
    pub serviceable: Option<Length>,
    /// How numbers are written.
    pub style: Style,
}

/// Draws a wall.
pub fn wall(wall: &Wall, magnification: Option<f64>) -> Drawing {
    let radius = (wall.base.to_mm() / 2.0).max(1e-3);
    let deviation = |r: f64| r - radius;
    let largest = wall.radii.iter().map(|(_, r)| deviation(*r).abs()).filter(|d| d.is_finite());
    let limit = wall.serviceable.map(|limit| limit.to_mm() / 2.0);
    let largest = largest.fold(limit.map_or(0.0, |limit| deviation(limit).abs()), f64::max);
    let factor = magnification
        .filter(|factor| factor.is_finite() && *factor > 0.0)
        .unwrap_or_else(|| fitting_factor(REACH * radius, largest));
    let drawn = |r: f64| (radius + factor * deviation(r)).clamp(0.45 * radius, 1.5 * radius);
    let points: Vec<Xy> = wall.radii.iter().map(|(degrees, r)| place(drawn(*r), *degrees)).collect();
    let seen = wall.radii.iter().map(|(_, r)| *r).chain(limit);
    let most = seen.map(drawn).fold(1.05 * radius, f64::max);
    let outer = most + 0.14 * radius;
    let reach = outer * 1.2;
    let axis =
        |backwards| Axis { label: String::new(), from: -reach, to: reach, scale: Scale::Hidden, backwards };
    let mut drawing = Drawing::new(format!("The wall itself at {}", wall.place), axis(false), axis(true));
    drawing.equal = true;
    drawing.framed = false;
    drawing.magnified = Magnified::By(factor);
    let pen = Pen::thin(Role::Ink);
    let edge = circle(outer);
    drawing.lines.push(DrawnLine { points: closed(&edge), lane: 0.0, pen });
    drawing.areas.push(Area { loops: vec![edge, points.clone()], fill: Fill::Metal });
    let round = Pen::thin(Role::AsMade);
    drawing.lines.push(DrawnLine { points: closed(&circle(radius)), lane: 0.0, pen: round });
    let text = format!("circle of {}", wall.base.text(wall.style));
    drawing.legend.push(Entry { sample: Sample::Line(round, None), text });
    if let Some(limit) = wall.serviceable {
        let pen = Pen::thick(Role::Beyond).broken(Pattern::Dashed);
        let points = closed(&circle(drawn(limit.to_mm() / 2.0)));
        drawing.lines.push(DrawnLine { points, lane: 0.0, pen });
        let text = format!("serviceable {}", limit.text(wall.style));
        drawing.legend.push(Entry { sample: Sample::Line(pen, None), text });
    }
    let thick = Pen::thick(Role::Ink);
    drawing.lines.push(DrawnLine { points: closed(&points), lane: 0.0, pen: thick });
    drawing.legend.push(Entry { sample: Sample::Line(thick, None), text: "the wall as it is".to_owned() });
    for across in &wall.across {
        add_across(&mut drawing, across, wall.style, outer, drawn(across.diameter.to_mm() / 2.0), radius);
    }
    let text = "what a gauge with two contacts reads, half of it on each side".to_owned();
    drawing.legend.push(Entry { sample: Sample::Mark(Marker::Square, Role::SecondAxis), text });
    drawing.lead = lead(wall);
    drawing.name = format!("{}: {}", drawing.title, drawing.lead);
    drawing
}

fn add_across(drawing: &mut Drawing, across: &Across, style: Style, outer: f64, at: f64, radius: f64) {
    let end = outer * 1.05;
    drawing.lines.push(DrawnLine {
        points: vec![place(-end, across.degrees), place(end, across.degrees)],
        lane: 0.0,
        pen: Pen::thin(Role::Guide).broken(Pattern::Chain),
    });
    let name = across.name.clone();
    drawing.labels.push(Label { at: place(outer * 1.13, across.degrees), text: name, role: Role::Ink });
    for turn in [0.0, 180.0] {
        drawing.marks.push(Mark {
            marker: Marker::Square,
            filled: false,
            role: Role::SecondAxis,
            hover: Hover {
                place: format!("{} axis", across.name),
                value: across.diameter.text(style),
                ..Hover::default()
            },
            ..Mark::plain(place(at, across.degrees + turn))
        });
    }
    drawing.labels.push(Label {
        at: place(at.min(radius) * 0.72, across.degrees + 11.0),
        text: across.diameter.number(style),
        role: Role::SecondAxis,
    });
}

/// The roundness of the wall beside what the gauge sees of it.
fn lead(wall: &Wall) -> String {
    let radii = wall.radii.iter().map(|(_, r)| *r);
    let most = radii.clone().fold(f64::NEG_INFINITY, f64::max);
    let least = radii.fold(f64::INFINITY, f64::min);
    let Some(spread) = Length::from_mm(most - least) else { return String::new() };
    let read = wall.across.iter().map(|across| across.diameter);
    match (read.clone().max(), read.min()) {
        (Some(most), Some(least)) => format!(
            "the radius varies by {}; the diameters read differ by {}.",
            spread.text(wall.style),
            (most - least).text(wall.style)
        ),
        _ => format!("the radius varies by {}.", spread.text(wall.style)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::{Paper, lay_out};
    use quantities::length::Unit;

    fn lobed(amount_mm: f64) -> Wall {
        let radius = |a: f64| 65.0 + amount_mm / 2.0 * (3.0 * a.to_radians()).cos();
        let across = |name: &str, degrees: f64| Across {
            name: name.to_owned(),
            degrees,
            diameter: Length::from_mm(radius(degrees) + radius(degrees + 180.0)).unwrap(),
        };
        Wall {
            place: "station B".to_owned(),
            base: Length::from_mm(130.0).unwrap(),
            radii: (0..360).map(|a| (f64::from(a), radius(f64::from(a)))).collect(),
            across: vec![across("pin", 0.0), across("thrust", 90.0)],
            serviceable: Length::from_mm(130.1),
            style: Style::usual(Unit::Millimetre),
        }
    }

    #[test]
    fn three_lobes_are_in_the_wall_and_not_in_the_diameters() {
        let drawing = wall(&lobed(0.08), None);
        assert!(
            drawing.lead.contains("0.080 mm") && drawing.lead.contains("differ by 0.000 mm"),
            "{}",
            drawing.lead
        );
        let Magnified::By(factor) = drawing.magnified else { panic!("{:?}", drawing.magnified) };
        assert!(factor > 50.0, "{factor}");
    }

    #[test]
    fn nothing_that_a_wall_holds_panics() {
        for amount in [0.0, f64::NAN, f64::INFINITY, 1e9] {
            let mut odd = lobed(0.08);
            odd.radii.iter_mut().for_each(|(_, r)| *r *= amount);
            odd.across.clear();
            lay_out(&wall(&odd, Some(amount)), Paper::default(), None);
        }
    }
}
