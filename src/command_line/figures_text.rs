//! Every figure of every cylinder under every rule, side by side, as text for people.

use super::judge_text::{header, sheet_style};
use super::judged::Surveyed;
use super::text::{Align, HEADING, NONE, PLAIN, Page, QUIET, Table, TableCell, shortened};
use figures::summary::Figures;
use figures::{PartialFigure, ReadAt, displacement};
use judging::reason::figure_place;
use judging::shown::figure_style;
use quantities::length::{Mean, Style};
use records::bore::Point;
use records::limits::Limits;
use records::survey::{Cylinder, axis_words, point_words, points_words, station_words};
use records::wording::capitalised;

/// The most axes that a table has room for.
const MOST_AXES: usize = 6;
/// The most axes beside which a table has room for more.
const BESIDE: usize = 4;
/// What marks the rule in force.
const IN_FORCE: &str = "in force";

/// Every figure of an engine.
pub fn engine(surveyed: &Surveyed) -> String {
    let mut page = Page::default();
    header(&mut page, surveyed);
    let limits = &surveyed.survey.limits;
    if surveyed.survey.cylinders.is_empty() {
        page.gap();
        page.paragraph(0, "", PLAIN, "No cylinder is written down yet: write them under `cylinders`.");
    }
    for cylinder in &surveyed.survey.cylinders {
        page.gap();
        let size = cylinder.size.and_then(|size| limits.sizes.get(size));
        let size = size.map_or(String::new(), |row| format!(", {}", row.name));
        page.heading(0, &format!("{}{size}", capitalised(&cylinder.words())), "", PLAIN);
        if cylinder.bore.is_empty() {
            let nothing = || "Nothing is measured yet: write readings under `readings`.".to_owned();
            page.paragraph(2, "", PLAIN, &cylinder.unread_words().unwrap_or_else(nothing));
            continue;
        }
        cylinder_part(&mut page, cylinder, limits);
    }
    page.gap();
    page.into_text()
}

fn cylinder_part(page: &mut Page, cylinder: &Cylinder, limits: &Limits) {
    let figures = Figures::of(cylinder, limits);
    let style = sheet_style(cylinder, figures.style);
    sheet(page, cylinder, limits, &figures, style);
    page.gap();
    page.table(2, &figures_table(limits, &figures));
    let mut line = |words: &str, text: String| page.paragraph(2, "", PLAIN, &format!("{words}: {text}"));
    if let Some(words) = figures.shape_words() {
        line("Shape", format!("{words}{}.", shape_amounts(&figures)));
    }
    if let Some(wear) = &figures.wear {
        let greatest = wear.greatest.map_or(String::new(), |(at, wear)| {
            format!("greatest {} at {}, ", wear.text(style), point_words(limits, at))
        });
        line(
            "Wear",
            format!(
                "{greatest}counted from {}, {}.",
                wear.reference.words(),
                wear.reference.diameter().text(style)
            ),
        );
    }
    for gap in &figures.ring_gaps {
        let Some(row) = limits.ring_gaps.get(gap.measured.row) else { continue };
        let style = gap.measured.style;
        let along: Vec<_> = gap
            .at
            .iter()
            .map(|(station, gap)| format!("{} {}", station_words(limits, *station), gap.number(style)))
            .collect();
        line(
            &format!("Ring gap, {}", shortened(&row.description, 40)),
            format!(
                "{} taken at {}; along the bore {}.",
                gap.measured.gap.text(style),
                station_words(limits, gap.measured.station),
                along.join(", ")
            ),
        );
    }
    if let Some(swept) = &figures.displacement {
        let one = |mm3: f64| displacement::text(mm3, style.unit);
        let all = |mm3: f64| {
            let all = swept.of_engine(mm3).map(|all| displacement::text(all, style.unit));
            all.map_or(String::new(), |all| format!(", engine {all}"))
        };
        let mut parts: Vec<String> =
            swept.now.iter().map(|&now| format!("now {}{}", one(now), all(now))).collect();
        for (size, mm3) in &swept.at_sizes {
            let name = limits.sizes.get(*size).map_or(NONE, |row| row.name.as_str());
            parts.push(format!("at {name} {}{}", one(*mm3), all(*mm3)));
        }
        if !parts.is_empty() {
            line("Displacement, the engine's if all were alike", format!("{}.", parts.join("; ")));
        }
    }
    if !figures.missing.is_empty() {
        line("Not yet measured", format!("{}.", points_words(limits, &figures.missing)));
    }
    for note in &figures.notes {
        page.paragraph(2, "", QUIET, &format!("{}.", capitalised(note.words())));
    }
}

/// The mean diameters, and beside them what each station comes to; below them where there is no room.
fn sheet(page: &mut Page, cylinder: &Cylinder, limits: &Limits, figures: &Figures, style: Style) {
    let bore = &cylinder.bore;
    let axes: Vec<usize> =
        (0..bore.axes()).filter(|&axis| bore.measured().any(|(at, _)| at.axis == axis)).collect();
    let (shown, rest) = axes.split_at(axes.len().min(MOST_AXES));
    let fitted = figures.stations.iter().any(|station| station.ovality.is_some());
    let label =
        |&axis: &usize| limits.axes.get(axis).map_or(NONE.to_owned(), |axis| shortened(&axis.label, 7));
    let diameters = shown.iter().map(|axis| (label(axis), Align::Point));
    let mut at_stations =
        vec![("average".to_owned(), Align::Point), ("out-of-round".to_owned(), Align::Point)];
    if fitted {
        at_stations.extend([("oval".to_owned(), Align::Point), ("at".to_owned(), Align::Right)]);
    }
    let frame = [("station".to_owned(), Align::Left), ("depth".to_owned(), Align::Point)];
    let together = shown.len() <= BESIDE;
    let mut sheet = if together {
        Table::new(frame.clone().into_iter().chain(diameters).chain(at_stations.clone()))
    } else {
        Table::new(frame.clone().into_iter().chain(diameters))
    };
    let mut below = Table::new(frame.into_iter().chain(at_stations));
    let depths = limits.stations.iter().map(|station| station.depth.decimals(style.unit));
    let depth_style = Style { decimals: depths.max().unwrap_or(0).min(3), ..style };
    for at in &figures.stations {
        let number =
            |mean: Option<Mean>| TableCell::from(mean.map_or(NONE.to_owned(), |mean| mean.number(style)));
        let station = limits.stations.get(at.station);
        let frame = [
            TableCell::from(station.map_or(NONE.to_owned(), |station| shortened(&station.name, 14))),
            TableCell::from(station.map_or(NONE.to_owned(), |station| station.depth.number(depth_style))),
        ];
        let diameters = shown.iter().map(|&axis| number(bore.mean(Point::new(at.station, axis))));
        let mut figures = vec![
            number(at.average.as_ref().map(|figure| figure.value)),
            number(at.out_of_round.as_ref().map(|figure| figure.value)),
        ];
        if fitted {
            let oval = at.ovality;
            figures.push(TableCell::from(oval.map_or(NONE.to_owned(), |oval| float(oval.ovality_mm, style))));
            figures
                .push(TableCell::from(oval.map_or(NONE.to_owned(), |oval| format!("{:.0}°", oval.degrees))));
        }
        if together {
            sheet.row(frame.into_iter().chain(diameters).chain(figures));
        } else {
            sheet.row(frame.clone().into_iter().chain(diameters));
            below.row(frame.into_iter().chain(figures));
        }
    }
    page.paragraph(2, "", PLAIN, &format!("Mean diameters, {}:", style.unit));
    page.table(4, &sheet);
    if !rest.is_empty() {
        let names = rest.iter().filter_map(|&axis| limits.axes.get(axis)).map(|axis| axis_words(&axis.label));
        let names: Vec<_> = names.collect();
        page.paragraph(4, "", QUIET, &format!("Also measured, and not shown here: {}.", names.join(", ")));
    }
    if !together {
        page.gap();
        page.paragraph(2, "", PLAIN, &format!("At each station, {}:", style.unit));
        page.table(4, &below);
    }
}

/// A statistic in millimetres with the digits of the readings.
fn float(mm: f64, style: Style) -> String {
    let decimals = usize::from(style.decimals);
    // Rounded first, so that nothing reads as minus zero.
    let text = format!("{:.decimals$}", style.unit.from_mm(mm));
    if text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.')) {
        return text.trim_start_matches('-').to_owned();
    }
    text.replace('-', "\u{2212}")
}

/// Every figure that a rule or a row is about, with the rule in force marked.
fn figures_table(limits: &Limits, figures: &Figures) -> Table {
    let style = figures.style;
    let mut table = Table::new([
        ("figure".to_owned(), Align::Left),
        (style.unit.to_string(), Align::Point),
        (String::new(), Align::Left),
        ("rule and place".to_owned(), Align::Left),
    ]);
    let mut add = |name: &str, figure: &PartialFigure, in_force: bool, words: String| {
        let value = figure.figure().map_or(NONE.to_owned(), |known| {
            let number = known.value.number(figure_style(known.value, style));
            if figure.is_complete() { number } else { format!("≥ {number}") }
        });
        let words = match figure {
            PartialFigure::Missing(_) => format!("{words} (not measured)"),
            PartialFigure::Impossible(why) => format!("{words} (cannot be worked out: {})", why.words()),
            PartialFigure::Known(_) | PartialFigure::AtLeast(..) => words,
        };
        table.row([
            name.into(),
            value.into(),
            TableCell::styled(if in_force { IN_FORCE } else { "" }, HEADING),
            words.into(),
        ]);
    };
    let place = |figure: &PartialFigure| {
        let at = figure.figure().and_then(|figure| figure.place());
        at.map_or(String::new(), |at| point_words(limits, at))
    };
    add("largest", &figures.largest, false, place(&figures.largest));
    // Readings still missing can only lower the smallest one, so it is not shown as the least it can be.
    let smallest = match figures.smallest.clone() {
        PartialFigure::AtLeast(figure, _) => PartialFigure::Known(figure),
        other => other,
    };
    add("smallest", &smallest, false, place(&smallest));
    add("average", &figures.average, false, "over the axes that must be measured".to_owned());
    for row in &figures.rows {
        let at = match row.figure.figure() {
            // Which end is taken from which is said by the words.
            Some(figure) if figure.read_at != ReadAt::BaseLessHead => {
                format!(": {}", figure_place(figure, limits))
            }
            _ => String::new(),
        };
        add(row.kind.words(), &row.figure, row.in_force, format!("{}{at}", row.kind.formula()));
    }
    table
}

/// The fitted amounts behind the words of a shape.
fn shape_amounts(figures: &Figures) -> String {
    let Some(shape) = &figures.shape else { return String::new() };
    let style = figures.style;
    let mut parts = Vec::new();
    parts.extend(shape.taper_mm.map(|mm| format!("taper {}", float(mm, style))));
    parts.extend(shape.bow_mm.map(|mm| format!("bow {}", float(mm, style))));
    parts.extend(shape.oval.map(|oval| {
        let at_least = if oval.whole { "" } else { "at least " };
        format!("oval {at_least}{} largest at {:.0}°", float(oval.ovality_mm, style), oval.degrees)
    }));
    parts.extend(shape.residual_mm.map(|mm| format!("left over {}", float(mm, style))));
    if parts.is_empty() {
        String::new()
    } else {
        format!("; least squares, {}: {}", style.unit, parts.join(", "))
    }
}
