//! A figure of a cylinder across overhauls: surveys with their uncertainty, the line through them and its bands,
//! the limit, and when it is reached.
//!
//! Across the sheet is time, hours or years; up is the figure, in millimetres. The line is solid where it was
//! measured and broken where it is only carried on. What has no interval has no band.

use super::layout::Window;
use super::{
    Along, Area, Axis, Band, Drawing, DrawnLine, Entry, Fill, Hover, Label, Mark, Marker, Pattern, Pen,
};
use super::{LabelSide, Role, Rule, Sample, Scale, Xy};
use history::crossing::Crossing;
use history::figure::{self, amount};
use history::follow::hours_text;
use history::line::Of;
use history::trend::{Basis, Forecast, Time, Trend, TrendPoint};
use quantities::length::{Length, Mean, Style};
use records::limits::rows::Side;
use records::wording::capitalised;

/// Whiskers are so many standard uncertainties long on either side.
const COVERAGE: f64 = 2.0;
/// Steps of a bent line.
const STEPS: u8 = 40;

/// What is drawn.
#[derive(Clone, Copy, Debug)]
pub struct OverTime<'a> {
    /// The cylinder in words, such as `4, WX-2004`.
    pub who: &'a str,
    /// Its latest life.
    pub trend: &'a Trend,
    /// Its earlier lives, each with how far its time lies from that of the latest one; what has no such place
    /// is not among them.
    pub earlier: &'a [(Trend, f64)],
    /// How amounts are shown.
    pub style: Style,
    /// So far after the latest survey must be in sight, in the unit of time.
    pub ahead: f64,
}

/// Draws it.
pub fn over_time(shown: OverTime<'_>) -> Drawing {
    let OverTime { trend, style, .. } = shown;
    let figure = trend.figure.words();
    let title = format!("{} of {} across overhauls", capitalised(&figure), shown.who);
    let Some(latest) = trend.points.last() else {
        let mut drawing = Drawing::empty(
            title,
            "Nothing to follow yet: no survey gives this figure. It belongs here once all readings that it needs are on the Sheet.",
        );
        drawing.short = shown.who.to_owned();
        return drawing;
    };
    let window = sight(shown, latest);
    let mut drawing = Drawing::new(
        title,
        Axis {
            label: time_label(trend),
            from: window.x[0],
            to: window.x[1],
            scale: Scale::Number,
            backwards: false,
        },
        Axis {
            label: format!("{}, {}", capitalised(&figure), style.unit),
            from: window.y[0],
            to: window.y[1],
            scale: Scale::Amount { style },
            backwards: true,
        },
    );
    drawing.short = shown.who.to_owned();
    drawing.name = format!("{}: {}", drawing.title, trend.sentences().join(" "));
    add_limit(&mut drawing, shown);
    add_line(&mut drawing, trend, window);
    for (earlier, shift) in shown.earlier {
        add_earlier(&mut drawing, earlier, *shift, style);
    }
    add_surveys(&mut drawing, shown);
    add_crossing(&mut drawing, shown, window);
    drawing.rules.push(Rule::new(Along::X, 0.0, Pen::thin(Role::Ink).broken(Pattern::Chain), zero(trend)));
    drawing
}

/// What the zero of time is.
fn zero(trend: &Trend) -> String {
    match trend.time {
        Time::Hours => trend.since.words(),
        Time::Years => "the first survey of this life".to_owned(),
    }
}

fn time_label(trend: &Trend) -> String {
    match trend.time {
        Time::Hours => format!("Hours run since {}, h", zero(trend)),
        Time::Years => format!("Calendar time since {}, years", zero(trend)),
    }
}

/// Everything that must be in sight.
fn sight(shown: OverTime<'_>, latest: &TrendPoint) -> Window {
    let trend = shown.trend;
    let first = trend.points.first().map_or(0.0, |point| point.x);
    let span = (latest.x - first).max(latest.x).max(1e-3);
    let mut x = [0.0_f64.min(first), latest.x + (0.3 * span).max(1.12 * shown.ahead)];
    // The crossing too, where that leaves the surveys more than a corner.
    let at = trend.forecast.crossing().and_then(Crossing::at);
    if let Some(at) = at.filter(|at| *at < latest.x + 2.5 * span) {
        x[1] = x[1].max(at + 0.12 * span);
    }
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut see = |value: f64| {
        low = low.min(value);
        high = high.max(value);
    };
    for point in &trend.points {
        let u = COVERAGE * point.reading.u_mm();
        see(point.reading.mm() - u);
        see(point.reading.mm() + u);
    }
    for (earlier, shift) in shown.earlier {
        for point in &earlier.points {
            x[0] = x[0].min(point.x + shift);
            see(point.reading.mm());
        }
    }
    if let Some(level) = trend.level() {
        see(level.at);
    }
    if let Ok(line) = &trend.line {
        see(line.at(first));
        see(line.at(latest.x));
        see(line.at(latest.x + shown.ahead));
    }
    let wide = if high - low > 1e-6 { high - low } else { 0.01 };
    let margin = 0.04 * (x[1] - x[0]);
    Window { x: [x[0] - margin, x[1]], y: [low - 0.10 * wide, high + 0.16 * wide] }
}

/// What lies farther from its limit than this many times what is usual is out of sight of a common scale, so
/// that one slip of a digit does not flatten everything else.
const SIGHT: f64 = 3.0;

/// The windows of several drawings on one scale, each with its whole window and its limit in millimetres.
///
/// Cylinders of different sizes have different limits: the scale is then the same, and the limits stand level.
pub fn one_scale(shown: &[(Window, Option<f64>)]) -> Vec<Window> {
    let x = shown.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |x, (window, _)| {
        [x[0].min(window.x[0]), x[1].max(window.x[1])]
    });
    // Without limits there is nothing to level them by.
    let levels: Vec<f64> = shown.iter().map(|(_, limit)| limit.unwrap_or(0.0)).collect();
    let below: Vec<f64> = shown.iter().zip(&levels).map(|((window, _), at)| at - window.y[0]).collect();
    let above: Vec<f64> = shown.iter().zip(&levels).map(|((window, _), at)| window.y[1] - at).collect();
    let mut reach: Vec<f64> = below.iter().zip(&above).map(|(a, b)| a.max(*b)).collect();
    reach.sort_by(f64::total_cmp);
    let limited = shown.iter().all(|(_, limit)| limit.is_some());
    let most = match reach.get(reach.len() / 2) {
        Some(usual) if limited => SIGHT * usual,
        _ => f64::INFINITY,
    };
    let farthest = |of: &[f64]| of.iter().copied().fold(f64::NEG_INFINITY, f64::max).min(most);
    let (below, above) = (farthest(&below), farthest(&above));
    levels.iter().map(|at| Window { x, y: [at - below, at + above] }).collect()
}

fn add_limit(drawing: &mut Drawing, shown: OverTime<'_>) {
    let Some(limit) = shown.trend.limit else { return };
    let level = limit.length().to_mm();
    let beyond = |from: f64, to: f64| Band { along: Along::Y, from, to, role: Role::Beyond };
    let sides: &[(f64, f64)] = match limit.side {
        Side::AtMost => &[(level, 1.0)],
        Side::AtLeast => &[(level, -1.0)],
        Side::Either => &[(level, 1.0), (-level, -1.0)],
    };
    for &(level, sign) in sides {
        drawing.bands.push(if sign > 0.0 {
            beyond(level, f64::INFINITY)
        } else {
            beyond(f64::NEG_INFINITY, level)
        });
        drawing.rules.push(Rule {
            side: LabelSide::After,
            ..Rule::new(Along::Y, level, Pen::thick(Role::Beyond), String::new())
        });
        // Of a magnitude there is one limit, on either side.
        let text = format!("limit {}", amount(level.abs(), shown.style, 0));
        // At the left, where the line is farthest from it, and on its outer side.
        let up = 0.05 * (drawing.y.to - drawing.y.from) * sign;
        let at = [drawing.x.from + 0.14 * (drawing.x.to - drawing.x.from), level + up];
        drawing.labels.push(Label { at, text, role: Role::Beyond });
    }
    drawing
        .legend
        .push(Entry { sample: Sample::Patch(Fill::Band(Role::Beyond)), text: "beyond the limit".to_owned() });
}

/// Places along a bent line.
fn bent(from: f64, to: f64, of: impl Fn(f64) -> Option<f64>) -> Vec<Xy> {
    (0..=STEPS)
        .map(|step| from + (to - from) * f64::from(step) / f64::from(STEPS))
        .filter_map(|x| Some([x, of(x)?]))
        .collect()
}

fn add_line(drawing: &mut Drawing, trend: &Trend, window: Window) {
    let (Ok(line), Some(first), Some(latest)) = (&trend.line, trend.steady().first(), trend.points.last())
    else {
        return;
    };
    let end = window.x[1];
    let mut push = |points, pen| drawing.lines.push(DrawnLine { points, lane: 0.0, pen });
    let pen = Pen::thick(Role::AsMade);
    push(vec![[first.x, line.at(first.x)], [latest.x, line.at(latest.x)]], pen);
    let carried = pen.broken(Pattern::Dashed);
    push(vec![[latest.x, line.at(latest.x)], [end, line.at(end)]], carried);
    let mut legend = vec![
        (
            Sample::Line(pen, None),
            match trend.basis {
                Basis::Own => "line through the surveys",
                Basis::Common(_) => "line with the common rate of the cylinders",
            },
        ),
        (Sample::Line(carried, None), "extended, an estimate only"),
    ];
    if let Some(alone) = &trend.alone {
        let pen = Pen::thin(Role::Guide).broken(Pattern::Dashed);
        push(vec![[first.x, alone.line.at(first.x)], [end, alone.line.at(end)]], pen);
        legend.push((Sample::Line(pen, None), "line through its own surveys alone"));
    }
    if line.factor_95().is_some() {
        let band = |of: Of, upper: bool| {
            bent(first.x, end, |x| line.band_95(x, of).map(|(low, high)| if upper { high } else { low }))
        };
        let (thin, dotted) = (Pen::thin(Role::AsMade), Pen::thin(Role::AsMade).broken(Pattern::Dotted));
        let (low, high) = (band(Of::Line, false), band(Of::Line, true));
        push(low.clone(), thin);
        push(high.clone(), thin);
        push(band(Of::Reading, false), dotted);
        push(band(Of::Reading, true), dotted);
        let around = low.into_iter().chain(high.into_iter().rev()).collect();
        drawing.areas.push(Area { loops: vec![around], fill: Fill::Hatched(Role::AsMade) });
        legend.push((Sample::Patch(Fill::Hatched(Role::AsMade)), "95 % for the line"));
        legend.push((Sample::Line(dotted, None), "95 % for a further survey"));
    }
    drawing.legend.extend(legend.into_iter().map(|(sample, text)| Entry { sample, text: text.to_owned() }));
}

/// What pointing at a survey says.
fn hover(trend: &Trend, point: &TrendPoint, style: Style, limited: bool) -> Hover {
    let value = point.reading.mm();
    let mut hover = Hover {
        place: match (trend.time, point.total_hours) {
            (Time::Hours, Some(total)) => {
                format!(
                    "Survey of {}, {} ({} h total time)",
                    point.date,
                    trend.time.text(point.x),
                    hours_text(total)
                )
            }
            _ => format!("Survey of {}, {}", point.date, trend.time.text(point.x)),
        },
        value: format!(
            "{} {} ± {} (two standard uncertainties)",
            trend.figure.words(),
            amount(value, style, 0),
            amount(COVERAGE * point.reading.u_mm(), style, 1)
        ),
        ..Hover::default()
    };
    if let Some(limit) = trend.limit.filter(|_| limited) {
        let sign = if limit.side == Side::Either { "±" } else { "" };
        hover.margin = margin_text(left(limit, value), limit.side, style);
        hover.source = format!("limit {sign}{}", limit.length().text(style));
    }
    hover
}

/// How much is left to the limit, in millimetres; negative beyond it.
fn left(limit: figure::Limit, value: f64) -> f64 {
    let level = limit.length().to_mm();
    limit.side.left(value, level)
}

fn margin_text(left: f64, side: Side, style: Style) -> String {
    let text = Length::from_mm(left.abs()).map(|length| Mean::from(length).text(style)).unwrap_or_default();
    format!("{text} {}", side.left_words(left < 0.0))
}

fn add_surveys(drawing: &mut Drawing, shown: OverTime<'_>) {
    let trend = shown.trend;
    let left_out = trend.points.len() - trend.steady().len();
    let last = trend.points.len().saturating_sub(1);
    for (i, point) in trend.points.iter().enumerate() {
        let (x, y) = (point.x, point.reading.mm());
        let u = COVERAGE * point.reading.u_mm();
        let margin = trend.limit.map(|limit| (left(limit, y), limit.side));
        let mut label = String::new();
        if i == last {
            label = amount(y, shown.style, 0);
            if let Some((left, side)) = margin {
                label = format!("{label}, {}", margin_text(left, side, shown.style));
            }
        }
        drawing.marks.push(Mark {
            filled: i >= left_out,
            whisker: Some([[x, y - u], [x, y + u]]),
            beyond: margin.is_some_and(|(left, _)| left < 0.0),
            label,
            hover: hover(trend, point, shown.style, true),
            ..Mark::plain([x, y])
        });
    }
    let pen = Pen::thin(Role::Reading);
    let whisker = Sample::Line(Pen { role: Role::Reading, ..pen }, Some((Marker::Disc, true)));
    let text = "survey, ± two standard uncertainties".to_owned();
    drawing.legend.insert(0, Entry { sample: whisker, text });
    if left_out > 0 {
        let sample = Sample::Line(pen, Some((Marker::Disc, false)));
        drawing.legend.push(Entry { sample, text: "running-in: not in the line".to_owned() });
    }
}

fn add_earlier(drawing: &mut Drawing, earlier: &Trend, shift: f64, style: Style) {
    let pen = Pen::thin(Role::Guide);
    let at = |point: &TrendPoint| [point.x + shift, point.reading.mm()];
    drawing.lines.push(DrawnLine { points: earlier.points.iter().map(at).collect(), lane: 0.0, pen });
    for point in &earlier.points {
        let mut hover = hover(earlier, point, style, false);
        hover.margin = "before the latest baseline: not compared".to_owned();
        drawing.marks.push(Mark {
            marker: Marker::Square,
            filled: false,
            role: Role::Guide,
            hover,
            ..Mark::plain(at(point))
        });
    }
    let text = "earlier life: another baseline".to_owned();
    let entry = Entry { sample: Sample::Line(pen, Some((Marker::Square, false))), text };
    if !drawing.legend.contains(&entry) {
        drawing.legend.push(entry);
    }
}

fn add_crossing(drawing: &mut Drawing, shown: OverTime<'_>, window: Window) {
    let trend = shown.trend;
    let (Forecast::Limit(level, crossing), Some(latest)) = (trend.forecast, trend.points.last()) else {
        return;
    };
    let (time, level) = (trend.time, level.at);
    let further = |x: f64| time.text((x - latest.x).max(0.0));
    // An end that is out of sight, or that there is none, runs out of the frame.
    let out = window.x[1] + (window.x[1] - window.x[0]);
    let (at, ends, value) = match crossing {
        Crossing::NoInterval { at: Some(at) } => (at, None, format!("{} further; no interval", further(at))),
        Crossing::Bounded { at, from, to } => {
            let words = format!("{} further, 95 %: {} to {}", further(at), further(from), further(to));
            (at, Some((from, to.min(out))), words)
        }
        Crossing::NoUpperBound { at: Some(at), from } => {
            let words = format!("{} further, 95 %: from {}, no upper bound", further(at), further(from));
            (at, Some((from, out)), words)
        }
        Crossing::Passed
        | Crossing::Never
        | Crossing::AnyTime
        | Crossing::NoUpperBound { at: None, .. }
        | Crossing::NoInterval { at: None } => return,
    };
    let whisker = ends.map(|(low, high)| [[low, level], [high, level]]);
    drawing.marks.push(Mark {
        marker: Marker::Diamond,
        role: Role::Attention,
        whisker,
        label: value.clone(),
        hover: Hover {
            place: format!(
                "The limit of {} is reached",
                amount(trend.limit_mm().unwrap_or(level), shown.style, 0)
            ),
            value,
            ..Hover::default()
        },
        ..Mark::plain([at, level])
    });
    drawing.legend.push(Entry {
        sample: Sample::Line(Pen::thin(Role::Attention), Some((Marker::Diamond, true))),
        text: if whisker.is_some() {
            "limit reached, with its 95 %"
        } else {
            "limit reached: how sure is not known"
        }
        .to_owned(),
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn below_a_least_is_under_and_above_a_most_is_over() {
        let style = Style::usual(quantities::length::Unit::Millimetre);
        for (side, words) in [
            (Side::AtMost, "0.010 mm over"),
            (Side::Either, "0.010 mm over"),
            (Side::AtLeast, "0.010 mm under"),
        ] {
            assert_eq!(margin_text(-0.01, side, style), words);
            assert_eq!(margin_text(0.01, side, style), "0.010 mm left");
        }
    }

    #[test]
    fn one_scale_levels_the_limits_and_leaves_a_slip_out_of_sight() {
        let window = |low, high| Window { x: [0.0, 1000.0], y: [low, high] };
        let shown = [
            (window(129.98, 130.01), Some(130.0)),
            (window(130.23, 130.26), Some(130.25)),
            (window(129.97, 131.0), Some(130.0)),
        ];
        let scaled = one_scale(&shown);
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        for (window, limit) in scaled.iter().zip([130.0, 130.25, 130.0]) {
            near(window.y[0] - limit, -0.03);
            near(window.y[1] - limit, 3.0 * 0.02);
        }
        // Without a limit everything is in sight, on the scale as it is.
        let scaled = one_scale(&[(window(1.0, 2.0), None), (window(4.0, 9.0), None)]);
        assert_eq!(scaled[0], window(1.0, 9.0));
        assert!(one_scale(&[]).is_empty());
    }
}
