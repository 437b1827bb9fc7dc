//! The bore profiles of several overhauls of one cylinder over each other, and the difference of two of them.
//!
//! As the barrel stands: the head end is up. Diameters are at 20 °C where temperatures were recorded. Only
//! stations that were measured at the same depth and on the same axes are drawn together; what is left out is
//! said under the drawing.

use super::{
    Along, Area, Axis, Band, Drawing, DrawnLine, Entry, Fill, Hover, Magnified, Mark, Marker, Pattern,
};
use super::{Pen, Role, Rule, Sample, Scale};
use history::figure::{Estimate, Figure, Scheme, amount};
use history::follow::Sighting;
use quantities::length::Style;

/// What is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Overhauls<'a> {
    /// The cylinder in words, such as `4, WX-2004`.
    pub who: &'a str,
    /// Its surveys, the earliest first; the last one says which stations there are.
    pub sightings: &'a [Sighting],
    /// The axis, by its label; none: the mean of the axes that must be measured.
    pub axis: Option<&'a str>,
    /// How amounts are shown.
    pub style: Style,
}

/// A station of the latest survey: its name, its depth in millimetres.
type Station = (String, f64);

impl Overhauls<'_> {
    fn scheme(&self) -> Option<&Scheme> {
        self.sightings.last().map(|latest| &*latest.sheet.scheme)
    }

    fn stations(&self) -> Vec<Station> {
        let stations = self.scheme().into_iter().flat_map(Scheme::stations_at);
        stations.map(|(name, depth)| (name.to_owned(), depth.to_mm())).collect()
    }

    fn figure(&self, station: &str) -> Figure {
        match self.axis {
            Some(axis) => Figure::Point(station.to_owned(), axis.to_owned()),
            None => Figure::Station(station.to_owned()),
        }
    }

    /// The value of a survey at a station, where it was measured as in the latest survey.
    fn reading(&self, sighting: &Sighting, station: &str) -> Option<Estimate> {
        let figure = self.figure(station);
        let basis = |scheme: &Scheme| {
            let place = scheme.place(&figure)?;
            Some((place, scheme.entries.get(place)?.basis.clone()))
        };
        let (_, wanted) = basis(self.scheme()?)?;
        let (place, _) = basis(&sighting.sheet.scheme).filter(|(_, basis)| *basis == wanted)?;
        sighting.cylinder().readings.get(place).copied().flatten()
    }

    fn of_axis(&self) -> String {
        self.axis.map_or("mean of the axes".to_owned(), records::survey::axis_words)
    }

    fn depth_axis(&self) -> Axis {
        let depths: Vec<f64> = self.stations().iter().map(|(_, depth)| *depth).collect();
        let low = depths.iter().copied().fold(f64::INFINITY, f64::min);
        let high = depths.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low < high { (low, high) } else { (low.min(0.0), low.max(0.0) + 10.0) };
        let margin = 0.08 * (high - low);
        let from_base_end = self.scheme().is_some_and(|scheme| scheme.from_base_end);
        let end = if from_base_end { "base end" } else { "head end" };
        Axis {
            label: format!("Depth from the {end}, {}", self.style.unit),
            from: low - margin,
            to: high + margin,
            scale: Scale::Hidden,
            backwards: from_base_end,
        }
    }

    /// A drawing of amounts by depth with its stations; how far the amounts reach is still to be filled in.
    fn begin(&self, title: &str, amounts: &str) -> Drawing {
        let across = Axis {
            label: format!("{amounts}, {}", self.style.unit),
            from: 0.0,
            to: 0.0,
            scale: Scale::Amount { style: self.style },
            backwards: false,
        };
        let mut drawing = Drawing::new(title.to_owned(), across, self.depth_axis());
        drawing.magnified = Magnified::ByAxes;
        self.add_stations(&mut drawing);
        drawing
    }

    fn add_stations(&self, drawing: &mut Drawing) {
        let style = Style { decimals: self.style.decimals.min(2), ..self.style };
        for (name, depth) in self.stations() {
            let number = amount(depth, style, 0);
            let number = number.trim_end_matches(style.unit.symbol()).trim_end();
            drawing.rules.push(Rule::new(
                Along::Y,
                depth,
                Pen::hair(Role::Guide),
                format!("{name} · {number}"),
            ));
        }
    }
}

/// How the survey so many before the latest one is drawn.
fn look(before: usize) -> (Pen, Marker, bool) {
    match before {
        0 => (Pen::thick(Role::Reading), Marker::Disc, true),
        1 => (Pen::thin(Role::AsMade), Marker::Square, false),
        2 => (Pen::thin(Role::SecondAxis).broken(Pattern::Dashed), Marker::Diamond, false),
        3 => (Pen::thin(Role::ReboreTo).broken(Pattern::Chain), Marker::Triangle, false),
        _ => (Pen::thin(Role::Guide).broken(Pattern::Dotted), Marker::TriangleDown, false),
    }
}

/// The profiles over each other.
pub fn laid_over(shown: Overhauls<'_>) -> Drawing {
    let title = format!("Bore profiles of {}, {}", shown.who, shown.of_axis());
    let stations = shown.stations();
    let mut drawing = shown.begin(&title, "Diameter");
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut missing = Vec::new();
    for (before, sighting) in shown.sightings.iter().rev().enumerate() {
        let (pen, marker, filled) = look(before);
        let date = sighting.sheet.date;
        let mut points = Vec::new();
        for (name, depth) in &stations {
            let Some(reading) = shown.reading(sighting, name) else { continue };
            low = low.min(reading.mm());
            high = high.max(reading.mm());
            points.push([reading.mm(), *depth]);
            drawing.marks.push(Mark {
                marker,
                filled,
                role: pen.role,
                hover: Hover {
                    place: format!("{}, survey of {date}", shown.figure(name).words()),
                    value: format!(
                        "{} ± {} (two standard uncertainties)",
                        amount(reading.mm(), shown.style, 0),
                        amount(2.0 * reading.u_mm(), shown.style, 1)
                    ),
                    ..Hover::default()
                },
                ..Mark::plain([reading.mm(), *depth])
            });
        }
        if points.len() < stations.len() {
            missing.push(date.to_string());
        }
        if !points.is_empty() {
            drawing
                .legend
                .push(Entry { sample: Sample::Line(pen, Some((marker, filled))), text: date.to_string() });
        }
        drawing.lines.push(DrawnLine { points, lane: 0.0, pen });
    }
    if high < low {
        return Drawing::empty(
            title,
            "The profiles of the surveys belong here. Type the readings of this cylinder into the Sheet.",
        );
    }
    // Latest last, so that it lies on top.
    drawing.lines.reverse();
    drawing.marks.reverse();
    let limit = shown.sightings.last().zip(stations.last()).and_then(|(latest, (name, _))| {
        latest.sheet.scheme.limit(&shown.figure(name), latest.cylinder().oversize())
    });
    if let Some(limit) = limit {
        let level = limit.length();
        high = high.max(level.to_mm());
        drawing.bands.push(Band {
            along: Along::X,
            from: level.to_mm(),
            to: f64::INFINITY,
            role: Role::Beyond,
        });
        drawing.rules.push(Rule::new(
            Along::X,
            level.to_mm(),
            Pen::thick(Role::Beyond),
            format!("limit {}", level.text(shown.style)),
        ));
    }
    let wide = if high - low > 1e-6 { high - low } else { 0.01 };
    (drawing.x.from, drawing.x.to) = (low - 0.08 * wide, high + 0.10 * wide);
    left_out(&mut drawing, &missing);
    drawing.name = format!("{title}: {} surveys over each other", shown.sightings.len());
    drawing
}

/// How much larger the bore is in the survey `to` than in the survey `from`, by their places.
pub fn difference(shown: Overhauls<'_>, from: usize, to: usize) -> Drawing {
    let title = format!("Difference of two surveys of {}, {}", shown.who, shown.of_axis());
    let pair = shown.sightings.get(from).zip(shown.sightings.get(to)).filter(|_| from != to);
    let Some((a, b)) = pair else {
        return Drawing::empty(
            title,
            "The difference of two surveys belongs here. It needs two: choose them above, or measure again.",
        );
    };
    let stations = shown.stations();
    let mut drawing = shown.begin(&title, &format!("{} minus {}", b.sheet.date, a.sheet.date));
    drawing.rules.push(Rule::new(
        Along::X,
        0.0,
        Pen::thin(Role::Ink).broken(Pattern::Chain),
        "no change".to_owned(),
    ));
    let (mut points, mut missing, mut most) = (Vec::new(), Vec::new(), None::<(f64, String)>);
    for (name, depth) in &stations {
        let both = shown.reading(a, name).zip(shown.reading(b, name));
        let Some((before, after)) = both else {
            missing.push(shown.figure(name).words());
            continue;
        };
        let by = after.mm() - before.mm();
        let u = 2.0 * after.u_mm().hypot(before.u_mm());
        drawing.x.from = drawing.x.from.min(by - u);
        drawing.x.to = drawing.x.to.max(by + u);
        points.push([by, *depth]);
        let text = amount(by, shown.style, 0);
        if most.as_ref().is_none_or(|(largest, _)| by > *largest) {
            most = Some((by, format!("most at {}, {text}", shown.figure(name).words())));
        }
        drawing.marks.push(Mark {
            whisker: Some([[by - u, *depth], [by + u, *depth]]),
            label: text.clone(),
            hover: Hover {
                place: shown.figure(name).words(),
                value: format!("{text} ± {} (two standard uncertainties)", amount(u, shown.style, 1)),
                margin: if by.abs() <= u {
                    "no more than the gauges can tell".to_owned()
                } else {
                    String::new()
                },
                ..Hover::default()
            },
            ..Mark::plain([by, *depth])
        });
    }
    let (Some((_, most)), Some(first), Some(last)) = (most, points.first(), points.last()) else {
        return Drawing::empty(
            title,
            "These two surveys have no station in common that is measured in both.",
        );
    };
    let mut around = points.clone();
    around.extend([[0.0, last[1]], [0.0, first[1]]]);
    drawing.areas.push(Area { loops: vec![around], fill: Fill::Hatched(Role::Serviceable) });
    drawing.legend.push(Entry {
        sample: Sample::Line(Pen::thick(Role::Reading), Some((Marker::Disc, true))),
        text: "difference, ± two standard uncertainties".to_owned(),
    });
    drawing.lines.push(DrawnLine { points, lane: 0.0, pen: Pen::thick(Role::Reading) });
    let wide = (drawing.x.to - drawing.x.from).max(1e-4);
    drawing.x.from -= 0.10 * wide;
    drawing.x.to += 0.22 * wide;
    left_out(&mut drawing, &missing);
    drawing.name = format!("{title}: {} minus {}, {most}", b.sheet.date, a.sheet.date);
    drawing
}

fn left_out(drawing: &mut Drawing, missing: &[String]) {
    if !missing.is_empty() {
        drawing.notes.push(format!(
            "Not measured everywhere, or not at the same depths and axes as in the latest survey: {}.",
            missing.join(", ")
        ));
    }
}
