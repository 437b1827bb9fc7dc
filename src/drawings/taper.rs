//! Taper along the bore, under the rule in force: each rule counts the diameters from another place, and the
//! taper is how far a line ends from it.

use super::along::{self, AxisLook};
use super::{Along, Axis, Band, Drawing, DrawnLine, Entry, Fill, Magnified, Mark, Options, Pen, Role, Rule};
use super::{Sample, Scale, Subject, words};
use figures::{Figure, Term, taper as figure};
use judging::shown::Shown;
use quantities::length::{Length, Mean};
use records::bore::Point;
use records::limits::resolved::Bound;
use records::limits::rows::{RowKind, RowName};
use records::limits::schema::TaperRule;
use records::survey::station_words;

/// A line of the drawing: which axis it is of, if of one, and its figures by station.
struct Run {
    axis: Option<usize>,
    figures: Vec<(usize, Figure)>,
}

/// The taper of a cylinder along its bore.
pub fn taper(subject: Subject<'_>, options: &Options) -> Drawing {
    let title = subject.title("Taper");
    let limits = subject.limits();
    let row = limits.shape_row(RowName::Taper);
    let rule = match row.map(|row| row.kind) {
        Some(RowKind::Taper(rule)) => rule,
        _ => TaperRule::AxisAverages,
    };
    let stations = limits.taper_stations();
    let runs = runs(subject, rule, stations);
    if runs.iter().all(|run| run.figures.len() < 2) {
        return Drawing::empty(
            title,
            "The taper belongs here. It needs the same axes measured at two stations or more.",
        );
    }
    let style = subject.style(options);
    let mut drawing = Drawing::new(
        title,
        Axis {
            label: format!("{}, {}", counted_from(subject, rule, stations), style.unit),
            from: 0.0,
            to: 1.0,
            scale: Scale::Amount { style },
            backwards: false,
        },
        along::depth_axis(subject),
    );
    drawing.magnified = Magnified::ByAxes;
    drawing.lead = words::row_sentence(subject, options, RowName::Taper).unwrap_or_default();
    drawing.name = format!(
        "{}: {}",
        drawing.title,
        if drawing.lead.is_empty() { "no figure yet" } else { &drawing.lead }
    );
    let new = row.and_then(|row| row.new.1.as_ref());
    let limit = row.and_then(|row| row.limit.as_ref());
    // Only a rule of the ends has a sign.
    let is_signed = rule.is_of_ends();
    let is_judged = words::row(subject, RowName::Taper).is_some_and(|row| row.figure.is_some());
    let judged = if rule.is_of_ends() { stations.get(..1).unwrap_or_default() } else { stations };
    let judged = if is_judged { judged } else { &[] };
    add_amount_bands(&mut drawing, subject, options, new, limit, is_signed);
    along::add_ring_travel(&mut drawing, subject);
    along::add_stations(&mut drawing, subject, options);
    for run in runs {
        add_run(&mut drawing, subject, options, &run, (stations, judged), limit);
    }
    fit_range(&mut drawing, limit.or(new), is_signed);
    drawing.notes.push(format!("Rule of the table: {}.", rule.words()));
    if row.is_some() && rule.is_of_ends() && stations.len() > 2 {
        drawing
            .notes
            .push("The rule judges the two ends only; the stations between them are shown.".to_owned());
    }
    if row.is_none() {
        drawing.notes.push("The table has no row for taper: it is shown, not judged.".to_owned());
    }
    if stations.len() < limits.bore_stations.len() {
        let names: Vec<String> = stations.iter().map(|&station| station_words(limits, station)).collect();
        drawing.notes.push(format!("Judged on {} only.", names.join(", ")));
    }
    drawing
}

/// What the rule counts from, in words.
fn counted_from(subject: Subject<'_>, rule: TaperRule, stations: &[usize]) -> String {
    let bottom = stations.last().map_or(String::new(), |&station| station_words(subject.limits(), station));
    match rule {
        TaperRule::AxisAverages => format!("Average of the axes, over that of {bottom}"),
        TaperRule::PerAxisEnds => format!("Diameter, over that of the same axis at {bottom}"),
        TaperRule::LargestTopSmallestBottom => {
            format!("Largest diameter of each station, over the smallest of {bottom}")
        }
        TaperRule::PerAxisRange => "Diameter, over the smallest of the same axis".to_owned(),
        TaperRule::AllReadings => "Diameter, over the smallest of all".to_owned(),
    }
}

fn cell(at: Point, mean: Mean, weight: f64) -> (Mean, Term) {
    (mean, Term { at, weight })
}

/// One cell minus another as a figure; nothing minus itself.
fn difference((high, high_term): (Mean, Term), (low, low_term): (Mean, Term)) -> Figure {
    let terms = if high_term.at == low_term.at { Vec::new() } else { vec![high_term, low_term] };
    Figure::new(high - low, terms)
}

fn runs(subject: Subject<'_>, rule: TaperRule, stations: &[usize]) -> Vec<Run> {
    let bore = &subject.cylinder.bore;
    let on_axis = |axis: usize| -> Vec<(Point, Mean)> {
        let points = stations.iter().map(|&station| Point::new(station, axis));
        points.filter_map(|at| bore.mean(at).map(|mean| (at, mean))).collect()
    };
    let at_station = |station: usize| -> Vec<(Point, Mean)> {
        let points = (0..bore.axes()).map(|axis| Point::new(station, axis));
        points.filter_map(|at| bore.mean(at).map(|mean| (at, mean))).collect()
    };
    let least = |cells: &[(Point, Mean)]| cells.iter().copied().min_by_key(|(_, mean)| *mean);
    let bottom = stations.last().copied();
    let axes = along::measured_axes(subject);
    let per_axis = |from: &dyn Fn(usize) -> Option<(Point, Mean)>| -> Vec<Run> {
        axes.iter()
            .filter_map(|&axis| {
                let (low_at, low) = from(axis)?;
                let figures = on_axis(axis)
                    .into_iter()
                    .map(|(at, mean)| (at.station, difference(cell(at, mean, 1.0), cell(low_at, low, -1.0))));
                Some(Run { axis: Some(axis), figures: figures.collect() })
            })
            .collect()
    };
    match rule {
        TaperRule::AxisAverages => {
            let required = &subject.limits().required_axes;
            let average = |station: usize| -> Option<(Mean, Vec<Term>)> {
                let cells: Option<Vec<_>> = required
                    .iter()
                    .map(|&axis| Point::new(station, axis))
                    .map(|at| bore.mean(at).map(|mean| (at, mean)))
                    .collect();
                let cells = cells?;
                let weight = 1.0 / cells.len() as f64;
                let mean = Mean::of(cells.iter().map(|(_, mean)| *mean))?;
                Some((mean, cells.into_iter().map(|(at, _)| Term { at, weight }).collect()))
            };
            let Some((low, low_terms)) = bottom.and_then(average) else { return Vec::new() };
            let figures = stations.iter().filter_map(|&station| {
                let (mean, mut terms) = average(station)?;
                if Some(station) == bottom {
                    terms.clear();
                } else {
                    terms.extend(low_terms.iter().map(|term| Term { weight: -term.weight, ..*term }));
                }
                Some((station, Figure::new(mean - low, terms)))
            });
            vec![Run { axis: None, figures: figures.collect() }]
        }
        TaperRule::PerAxisEnds => per_axis(&|axis| {
            let at = Point::new(bottom?, axis);
            bore.mean(at).map(|mean| (at, mean))
        }),
        TaperRule::PerAxisRange => per_axis(&|axis| least(&on_axis(axis))),
        TaperRule::AllReadings => {
            let all: Vec<_> = stations.iter().flat_map(|&station| at_station(station)).collect();
            per_axis(&|_| least(&all))
        }
        TaperRule::LargestTopSmallestBottom => {
            let scope = subject.limits().scope(stations);
            let optional = figure::counts_optional_axes(bore, &scope);
            let counted = |station: usize| -> Vec<(Point, Mean)> {
                let counts = |at: Point| optional || scope.required_axes.contains(&at.axis);
                at_station(station).into_iter().filter(|(at, _)| counts(*at)).collect()
            };
            let Some((low_at, low)) = bottom.and_then(|station| least(&counted(station))) else {
                return Vec::new();
            };
            let figures = stations.iter().filter_map(|&station| {
                let (at, high) = counted(station).into_iter().max_by_key(|(_, mean)| *mean)?;
                Some((station, difference(cell(at, high, 1.0), cell(low_at, low, -1.0))))
            });
            vec![Run { axis: None, figures: figures.collect() }]
        }
    }
}

fn add_run(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    run: &Run,
    (stations, judged): (&[usize], &[usize]),
    limit: Option<&Bound>,
) {
    let AxisLook { role, pen, marker, filled } = along::look(subject, run.axis.unwrap_or(0));
    let lane = run.axis.map_or(0.0, |axis| along::lane(axis, subject.cylinder.bore.axes()));
    let farthest = |from: &mut dyn Iterator<Item = &(usize, Figure)>| {
        from.max_by_key(|(_, figure)| figure.value.abs()).map(|(station, _)| *station)
    };
    let farthest = farthest(&mut run.figures.iter().filter(|(station, _)| judged.contains(station)))
        .or_else(|| farthest(&mut run.figures.iter()));
    let mut points = Vec::with_capacity(run.figures.len());
    let mut previous = None;
    for (station, figure) in &run.figures {
        let Some(depth) = along::depth(subject, *station) else { continue };
        let is_judged = judged.contains(station);
        let mut mark = amount_mark(subject, options, *station, figure, limit.filter(|_| is_judged));
        if !is_judged {
            mark.hover.margin = "not judged by the rule of the table".to_owned();
        }
        mark.at[1] = depth;
        if let Some([from, to]) = &mut mark.whisker {
            (from[1], to[1]) = (depth, depth);
        }
        (mark.lane, mark.marker, mark.filled, mark.role) = (lane, marker, filled, role);
        if let Some(axis) = run.axis {
            let at = Point::new(*station, axis);
            mark.choice = Some(at.into());
            mark.chosen = along::is_chosen(options, at);
            mark.hover.place =
                records::wording::capitalised(&records::survey::point_words(subject.limits(), at));
        }
        // Past a station that nobody measured nothing is drawn.
        if previous.is_some_and(|previous| stations.iter().any(|s| (previous + 1..*station).contains(s))) {
            drawing.lines.push(DrawnLine { points: std::mem::take(&mut points), lane, pen });
        }
        previous = Some(*station);
        points.push(mark.at);
        // One number a line: that of its farthest end.
        if farthest != Some(*station) {
            mark.label.clear();
        }
        drawing.marks.push(mark);
    }
    drawing.lines.push(DrawnLine { points, lane, pen });
    match run.axis {
        Some(axis) => along::add_axis_entry(drawing, subject, axis),
        None => drawing.legend.push(Entry {
            sample: Sample::Line(pen, Some((marker, filled))),
            text: "the bore under this rule".to_owned(),
        }),
    }
}

/// The mark of an amount at a station, for taper and out-of-round; its depth is still to be filled in.
pub(super) fn amount_mark(
    subject: Subject<'_>,
    options: &Options,
    station: usize,
    figure: &Figure,
    limit: Option<&Bound>,
) -> Mark {
    let style = subject.style(options);
    let expanded = if figure.terms.is_empty() { None } else { words::expanded(subject, figure) };
    let value = figure.value.to_mm();
    let magnitude = figure.value.abs();
    let guard = if figure.terms.is_empty() { Length::ZERO } else { words::guard(subject, figure) };
    let margin = limit.map_or(String::new(), |limit| {
        format!(
            "{} (serviceable {})",
            words::guarded_margin(magnitude, limit, guard, style),
            words::bound(limit, style)
        )
    });
    let sign = if figure.value.is_negative() { "\u{2212}" } else { "" };
    let shown = Shown::new(magnitude, limit, style);
    let number = format!("{sign}{}", shown.value.number(shown.style));
    let text = format!("{number} {}{}", style.unit, words::sure(expanded, style));
    let between: Vec<String> = match figure.terms.as_slice() {
        [high, low] => [high, low].map(|t| records::survey::point_words(subject.limits(), t.at)).to_vec(),
        _ => Vec::new(),
    };
    Mark {
        whisker: expanded.map(|u| [[value - u, 0.0], [value + u, 0.0]]),
        beyond: limit.is_some_and(|limit| Mean::from(limit.length) - magnitude < guard),
        label: number,
        hover: super::Hover {
            place: words::station_at(subject.limits(), station, style),
            value: text,
            margin,
            source: between.join(" minus "),
        },
        choice: Some(super::Choice { station, axis: None }),
        chosen: options.chosen.is_some_and(|chosen| chosen.station == station && chosen.axis.is_none()),
        ..Mark::plain([value, 0.0])
    }
}

/// Bands of an amount that is best at nothing; on both sides of it where it has a sign.
pub(super) fn add_amount_bands(
    drawing: &mut Drawing,
    subject: Subject<'_>,
    options: &Options,
    new: Option<&Bound>,
    limit: Option<&Bound>,
    is_signed: bool,
) {
    let style = subject.style(options);
    let signs: &[f64] = if is_signed { &[1.0, -1.0] } else { &[1.0] };
    let made = new.map_or(0.0, |bound| bound.length.to_mm().max(0.0));
    let mut add = |from: f64, to: f64, role: Role, text: &str| {
        if from < to {
            for sign in signs {
                let (a, b) = (from * sign, to * sign);
                drawing.bands.push(Band { along: Along::X, from: a.min(b), to: a.max(b), role });
            }
            drawing.legend.push(Entry { sample: Sample::Patch(Fill::Band(role)), text: text.to_owned() });
        }
    };
    add(0.0, made, Role::AsMade, "as made");
    if let Some(limit) = limit {
        let most = limit.length.to_mm();
        add(made, most, Role::Serviceable, "serviceable");
        add(most, f64::INFINITY, Role::Beyond, "beyond");
    }
    let mut rule = |at: f64, pen, label: String| {
        drawing.rules.push(Rule::new(Along::X, at, pen, label));
    };
    for sign in signs {
        let text = |words: &str, bound: &Bound| {
            if *sign > 0.0 { format!("{words} {}", words::bound(bound, style)) } else { String::new() }
        };
        if let Some(new) = new {
            rule(made * sign, Pen::thin(Role::AsMade), text("as made", new));
        }
        if let Some(limit) = limit {
            rule(limit.length.to_mm() * sign, Pen::thick(Role::Beyond), text("serviceable", limit));
        }
    }
    rule(0.0, Pen::thin(Role::Ink), String::new());
}

/// Makes the axis across show every mark with its whisker, nothing, and the limit.
pub(super) fn fit_range(drawing: &mut Drawing, limit: Option<&Bound>, is_signed: bool) {
    let marks = drawing.marks.iter().flat_map(|mark| {
        let [from, to] = mark.whisker.unwrap_or([mark.at, mark.at]);
        [from[0], to[0]]
    });
    let limit = limit.map_or(0.0, |limit| limit.length.to_mm());
    let (mut low, mut high) = marks.fold((0.0_f64, limit), |(low, high), x| (low.min(x), high.max(x)));
    // The far side of a signed limit is shown once anything lies on that side.
    if is_signed && low < -0.25 * limit {
        low = low.min(-limit);
    }
    if high - low < 1e-6 {
        high += 0.01;
    }
    let span = high - low;
    (low, high) = (low - 0.08 * span, high + 0.12 * span);
    (drawing.x.from, drawing.x.to) = (low, high);
}
