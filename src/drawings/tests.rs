//! Every drawing of every kind of cylinder: what is drawn, that the text is sound XML without NaN, and that
//! nothing panics where something is missing or absurd.

use std::sync::Arc;

use super::layout::{Anchor, DrawingSheet, Frame, Paper, Shape, Text, Window, lay_out};
use super::svg::svg;
use super::typeface::Face;
use super::{Choice, Drawing, Fill, Magnified, Marker, Options, Oversizes, Pen, Role, Subject, View};
use judging::Assessment;
use judging::row::{Row, RowStatus};
use quantities::length::{Length, Style, Unit};
use records::bore::{Bore, Cell, Point};
use records::file;
use records::limits::Limits;
use records::limits::rows::{Over, RowKind, RowName};
use records::limits::schema::{FindingKind, TaperRule};
use records::record;
use records::survey::{Cylinder, Finding, Survey};

const WEXCOMBE: &str = include_str!("../../demo/wexcombe_six.ron");
const SKARVOY: &str = include_str!("../../demo/skarvoy_320.ron");
const PENHALLOW: &str = include_str!("../../demo/penhallow_twin.ron");

/// The last overhaul of a record.
fn survey(text: &str) -> Survey {
    let record = file::record_from_text(text, None).value.expect("the demo can be read");
    let last = record.overhauls.len() - 1;
    record::resolve::survey(&record, last, None).value.expect("the demo can be judged")
}

fn with_subject<T>(survey: &Survey, cylinder: usize, work: impl FnOnce(Subject<'_>) -> T) -> T {
    let cylinder = &survey.cylinders[cylinder];
    let assessment: Assessment = judging::assess(cylinder, survey);
    work(Subject { survey, cylinder, assessment: &assessment })
}

fn draw(survey: &Survey, cylinder: usize, view: View, options: &Options) -> Drawing {
    with_subject(survey, cylinder, |subject| view.draw(subject, options))
}

/// Draws every view with every kind of option and on paper of every size, and checks the text.
fn draw_everything(survey: &Survey) {
    let chosen = [
        None,
        Some(Choice { station: 0, axis: None }),
        Some(Choice { station: 0, axis: Some(0) }),
        Some(Choice { station: 999, axis: Some(999) }),
    ];
    for cylinder in 0..survey.cylinders.len() {
        for view in View::ALL {
            for (chosen, unit) in
                chosen.into_iter().zip([None, Some(Unit::Inch), Some(Unit::Millimetre), None])
            {
                let magnification = if chosen.is_some() { Some(1e9) } else { None };
                let options = Options { unit, chosen, oversizes: Oversizes::All, magnification };
                let drawing = draw(survey, cylinder, view, &options);
                check(&lay_out(&drawing, Paper::default(), None));
            }
            let drawing = draw(survey, cylinder, view, &Options::default());
            let tiny = Paper { width: 150.0, height: 110.0, text: 10.0, titled: false, brief: true };
            let absurd =
                Paper { width: f64::NAN, height: -4.0, text: f64::INFINITY, titled: true, brief: false };
            for paper in [tiny, absurd] {
                check(&lay_out(&drawing, paper, None));
            }
            for window in [
                Window { x: [0.0, 1e-7], y: [0.0, 1e-7] },
                Window { x: [-1e12, 1e12], y: [-1e12, 1e12] },
                Window { x: [f64::NAN, 1.0], y: [2.0, 1.0] },
            ] {
                check(&lay_out(&drawing, Paper::default(), Some(window)));
            }
        }
    }
}

/// Sound XML, as far as a small reader can tell: every element is closed, no number is none.
fn check(sheet: &DrawingSheet) {
    let text = svg(sheet);
    for wrong in ["NaN", "inf", "\u{0}"] {
        assert!(!text.contains(wrong), "{wrong} in {}", sheet.title);
    }
    let mut open: Vec<&str> = Vec::new();
    for tag in text.split('<').skip(1) {
        let (inside, after) = tag.split_once('>').expect("every tag ends");
        assert!(!after.contains('>'), "a bare > in {after}");
        assert_eq!(inside.matches('"').count() % 2, 0, "{inside}");
        if let Some(name) = inside.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name), "in {}", sheet.title);
        } else if !inside.ends_with('/') {
            open.push(inside.split_whitespace().next().expect("a name"));
        }
    }
    assert!(open.is_empty(), "{open:?}");
    assert!(!sheet.name.is_empty());
    for target in &sheet.targets {
        assert!(target.area.iter().flatten().all(|c| c.is_finite()));
    }
}

fn thou(tenths: i64) -> Length {
    Length::from_tenths_of_nm(tenths * 25_400)
}

/// A barrel of the Wexcombe Six with other stations and axes; readings are given in 0.0001 in over 5.1250.
fn altered(stations: usize, axes: usize, reading: impl Fn(Point) -> Option<i64>) -> Survey {
    let mut survey = survey(WEXCOMBE);
    let mut limits: Limits = Limits::clone(&survey.limits);
    let station = limits.stations[2].clone();
    limits.stations = (0..stations)
        .map(|i| records::limits::resolved::Station {
            name: format!("S{}", i + 1),
            depth: thou(4_000 + 1_400 * i as i64),
            ..station.clone()
        })
        .collect();
    let axis = limits.axes[0].clone();
    limits.axes = (0..axes)
        .map(|i| records::limits::schema::Axis {
            label: format!("a{i}"),
            degrees: 180.0 * i as f64 / axes as f64,
            ..axis.clone()
        })
        .collect();
    limits.required_axes = (0..axes).collect();
    limits.bore_stations = (0..stations).collect();
    limits.unworn_stations = Vec::new();
    limits.shape.retain(|row| matches!(row.over, Over::Stations(_)));
    for row in &mut limits.shape {
        row.over = Over::Stations(limits.bore_stations.clone());
    }
    let style = Style::usual(Unit::Inch);
    let mut cylinder = Cylinder {
        findings: Vec::new(),
        fits: Vec::new(),
        ring_gaps: Vec::new(),
        earlier: None,
        ..survey.cylinders[1].clone()
    };
    cylinder.bore = Bore::new(stations, axes);
    for at in (0..stations).flat_map(|s| (0..axes).map(move |a| Point::new(s, a))) {
        let cell = reading(at).and_then(|tenths| Cell::new(vec![thou(51_250 + tenths)], style, 0));
        cylinder.bore.set(at, cell);
    }
    survey.limits = Arc::new(limits);
    survey.cylinders = vec![cylinder];
    survey
}

#[test]
fn every_demo_can_be_drawn_in_every_way() {
    for text in [WEXCOMBE, SKARVOY, PENHALLOW] {
        draw_everything(&survey(text));
    }
}

/// Where words stand on a sheet: as wide as the type makes them, as high as its capitals.
fn box_of(text: &Text) -> Frame {
    let wide = Face::of(text.bold).width(&text.text, text.size);
    let high = 0.73 * text.size;
    let from = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -wide / 2.0,
        Anchor::End => -wide,
    };
    let [x, y] = text.at;
    if text.turned {
        [[x - high / 2.0, y - from - wide], [x + high / 2.0, y - from]]
    } else {
        [[x + from, y - high / 2.0], [x + from + wide, y + high / 2.0]]
    }
}

/// On the sizes that a file, a report and a window have, no words run into each other or off the sheet.
#[test]
fn words_keep_off_each_other_and_on_the_sheet() {
    let sizes = [(720.0, 560.0, 12.0), (420.0, 320.0, 11.0), (1100.0, 800.0, 14.0)];
    for text in [WEXCOMBE, SKARVOY, PENHALLOW] {
        let survey = survey(text);
        for (cylinder, view) in (0..survey.cylinders.len()).flat_map(|c| View::ALL.map(|view| (c, view))) {
            for chosen in [None, Some(Choice { station: 1, axis: Some(0) })] {
                let options = Options { chosen, oversizes: Oversizes::All, ..Options::default() };
                let drawing = draw(&survey, cylinder, view, &options);
                for (width, height, text) in sizes {
                    let paper = Paper { width, height, text, ..Paper::default() };
                    let sheet = lay_out(&drawing, paper, None);
                    let words = sheet.around.iter().filter_map(|shape| match shape {
                        Shape::Text(text) => Some((box_of(text), &text.text)),
                        _ => None,
                    });
                    let words: Vec<(Frame, &String)> = words.collect();
                    for (i, (one, text)) in words.iter().enumerate() {
                        let [low, high] = *one;
                        let is_on = low[0] >= 0.0 && low[1] >= 0.0 && high[0] <= width && high[1] <= height;
                        assert!(is_on, "{text} is off the sheet of {}", sheet.title);
                        for (other, others) in &words[..i] {
                            let apart = (0..2).any(|i| high[i] <= other[0][i] || other[1][i] <= low[i]);
                            assert!(apart, "{text} runs into {others} on {}", sheet.title);
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn one_station_forty_stations_twelve_axes() {
    for (stations, axes) in [(1, 1), (1, 2), (1, 12), (40, 1), (40, 2), (40, 12), (2, 3)] {
        draw_everything(&altered(stations, axes, |at| Some((at.station * 3 + at.axis * 5) as i64 % 60)));
    }
}

#[test]
fn missing_cells_are_never_drawn_through() {
    let survey = altered(5, 2, |at| (at.station != 2 || at.axis != 1).then_some(20));
    draw_everything(&survey);
    let profile = draw(&survey, 0, View::Profile, &Options::default());
    assert_eq!(profile.marks.len(), 9);
    // One line over five stations, and two over two stations each.
    let mut lengths: Vec<usize> = profile.lines.iter().map(|line| line.points.len()).collect();
    lengths.sort_unstable();
    assert_eq!(lengths, [2, 2, 5]);
    // No colour where a corner was not measured: half of the pieces beside it are left out.
    let unrolled = draw(&survey, 0, View::Unrolled, &Options::default());
    let [above, below] = [1, 3].map(|station| survey.limits.stations[station].depth.to_mm());
    assert!(unrolled.cells.iter().any(|cell| cell.to[1] <= above + 1e-9));
    assert!(unrolled.cells.iter().all(|cell| cell.to[1] <= above + 1e-9 || cell.from[1] >= below - 1e-9));
    // In the barrel cut open along that axis the bore line is dashed past it.
    let options = Options { chosen: Some(Choice { station: 0, axis: Some(1) }), ..Options::default() };
    let cut = draw(&survey, 0, View::CutOpen, &options);
    let solid = cut.lines.iter().filter(|line| line.pen == Pen::thick(Role::Ink) && line.points.len() == 2);
    assert_eq!(solid.count(), 4, "two runs on either wall");
}

#[test]
fn an_empty_place_says_what_belongs_there() {
    let survey = altered(5, 2, |_| None);
    draw_everything(&survey);
    for view in View::ALL {
        let drawing = draw(&survey, 0, view, &Options::default());
        let words = drawing.empty.unwrap_or_else(|| panic!("{view:?} is not empty"));
        assert!(words.contains("belong") && words.ends_with('.'), "{words}");
    }
}

#[test]
fn absurd_values_are_drawn_at_the_edge_and_said() {
    let survey = altered(4, 2, |at| Some(if at.station == 1 { 900_000 } else { 10 }));
    draw_everything(&survey);
    let profile = draw(&survey, 0, View::Profile, &Options::default());
    let out: Vec<_> = profile.marks.iter().filter(|mark| mark.marker == Marker::ArrowRight).collect();
    assert_eq!(out.len(), 2);
    assert!(out.iter().all(|mark| mark.label.ends_with("off the scale") && mark.beyond));
    // The other readings keep their room: the scale stays that of the limits.
    assert!(profile.x.to < 1.0, "{}", profile.x.to);
    draw_everything(&altered(4, 3, |at| Some(-51_240 + at.axis as i64)));
}

#[test]
fn findings_with_absurd_places_do_no_harm() {
    let mut survey = altered(4, 3, |at| Some(at.axis as i64));
    let style = Style::usual(Unit::Inch);
    for (degrees, station) in
        [(Some(f64::NAN), Some(1)), (Some(1e300), Some(2)), (Some(210.0), Some(99)), (None, None)]
    {
        survey.cylinders[0].findings.push(Finding {
            kind: FindingKind::Pitted,
            place: "<&\"'>\u{1}".to_owned(),
            station,
            degrees,
            size: Some((thou(1_000_000), style)),
            depth: Some((thou(-3), style)),
            fins: 0,
            area: None,
            done: String::new(),
        });
    }
    draw_everything(&survey);
}

#[test]
fn names_are_escaped() {
    let mut survey = survey(WEXCOMBE);
    survey.cylinders[0].serial = "<script>&\"x\"\u{2}".to_owned();
    let text = svg(&lay_out(&draw(&survey, 0, View::Profile, &Options::default()), Paper::default(), None));
    assert!(text.contains("(&lt;script&gt;&amp;&quot;x&quot;&lt;U+0002&gt;)"), "{}", &text[..400]);
}

#[test]
fn a_cylinder_without_a_size_row_has_no_bands_and_says_so() {
    let mut survey = survey(WEXCOMBE);
    survey.cylinders[0].size = None;
    draw_everything(&survey);
    let profile = draw(&survey, 0, View::Profile, &Options::default());
    assert!(profile.bands.is_empty());
    assert!(profile.notes.iter().any(|note| note.contains("no row for this cylinder's size")));
}

/// The worked demo: cylinder 4 reads 5.1304 at B on the thrust axis, 0.0014 over 5.1290, and is rebored to 0.015.
#[test]
fn the_profile_shows_bands_readings_and_where_the_oversize_finishes() {
    let survey = survey(WEXCOMBE);
    let profile = draw(&survey, 3, View::Profile, &Options::default());
    assert!(profile.name.starts_with("Profile of cylinder 4"), "{}", profile.name);
    assert!(profile.name.contains("readings beyond the serviceable limit"), "{}", profile.name);
    let roles: Vec<Role> = profile.bands.iter().map(|band| band.role).collect();
    assert_eq!(roles, [Role::AsMade, Role::Serviceable, Role::Beyond, Role::ReboreTo]);
    // 0.0040 in above the as-made minimum, in millimetres.
    assert!((profile.bands[2].from - 0.1016).abs() < 1e-9);
    let worst = profile.marks.iter().find(|mark| mark.must_label).expect("the largest is labelled");
    assert_eq!(worst.label, "largest 5.13037, 0.00137 in over");
    assert_eq!(worst.choice, Some(Choice { station: 1, axis: Some(2) }));
    assert!(worst.beyond);
    assert!(worst.hover.value.starts_with("5.13037 in ± "), "{:?}", worst.hover);
    assert!(worst.hover.margin.starts_with("0.00137 in over"), "{:?}", worst.hover);
    assert!(worst.hover.source.contains("ref. 1, table 6-1, line 1"), "{:?}", worst.hover);
    let labels: Vec<&str> = profile.rules.iter().map(|rule| rule.label.as_str()).collect();
    assert!(labels.contains(&"+0.015 in finishes at 5.1400 in"), "{labels:?}");
}

/// Cylinder 3 is oval at 45 degrees: 0.0024 at B, which its two usual axes do not show.
#[test]
fn the_section_shows_the_fitted_oval_and_its_direction() {
    let survey = survey(WEXCOMBE);
    let options = Options { chosen: Some(Choice { station: 1, axis: None }), ..Options::default() };
    let section = draw(&survey, 2, View::Section, &options);
    assert_eq!(section.dimensions.len(), 1);
    let words = &section.dimensions[0].text;
    assert!(words.starts_with("ovality 0.0024 in at 4"), "{words}");
    let Magnified::By(factor) = section.magnified else { panic!("the factor is shown") };
    let given = Options { magnification: Some(factor * 2.0), ..options };
    assert_eq!(draw(&survey, 2, View::Section, &given).magnified, Magnified::By(factor * 2.0));
    // Each reading has a mark at both ends of its diameter.
    assert_eq!(section.marks.len(), 8);
    let middle = section.marks[..2].iter().fold([0.0, 0.0], |sum, m| [sum[0] + m.at[0], sum[1] + m.at[1]]);
    assert!(middle.iter().all(|c: &f64| c.abs() < 1e-9));
}

#[test]
fn choosing_marks_the_same_reading_in_every_drawing() {
    let survey = survey(WEXCOMBE);
    let chosen = Choice { station: 2, axis: Some(0) };
    let options = Options { chosen: Some(chosen), ..Options::default() };
    for view in [View::Profile, View::Section, View::CutOpen, View::Unrolled] {
        let drawing = draw(&survey, 3, view, &options);
        let marked: Vec<_> = drawing.marks.iter().filter(|mark| mark.chosen).collect();
        assert!(!marked.is_empty(), "{view:?}");
        assert!(marked.iter().all(|mark| mark.choice == Some(chosen)), "{view:?}");
        // Pointing at it on the sheet gives the same choice and says its number.
        let sheet = lay_out(&drawing, Paper::default(), None);
        let target =
            sheet.targets.iter().rev().find(|target| target.choice == Some(chosen)).expect("a target");
        assert!(target.hover.value.contains("in"), "{view:?} {:?}", target.hover);
    }
}

#[test]
fn a_place_on_the_sheet_and_back() {
    let survey = survey(PENHALLOW);
    for view in View::ALL {
        // Depths from the base end run up the sheet.
        let sheet = lay_out(&draw(&survey, 0, view, &Options::default()), Paper::default(), None);
        let [x, y] = [sheet.window.x, sheet.window.y].map(|[a, b]| 0.3 * a + 0.7 * b);
        let [back_x, back_y] = sheet.data(sheet.place([x, y]));
        assert!((back_x - x).abs() < 1e-6 && (back_y - y).abs() < 1e-6, "{view:?}");
    }
}

#[test]
fn tinted_areas_are_convex() {
    let convex = |points: &[[f64; 2]]| {
        let n = points.len();
        let turns: Vec<f64> = (0..n)
            .map(|i| {
                let [a, b, c] = [points[i], points[(i + 1) % n], points[(i + 2) % n]];
                (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
            })
            .collect();
        turns.iter().all(|t| *t >= -1e-9) || turns.iter().all(|t| *t <= 1e-9)
    };
    for text in [WEXCOMBE, SKARVOY, PENHALLOW] {
        let survey = survey(text);
        for cylinder in 0..survey.cylinders.len() {
            for view in View::ALL {
                let drawing = draw(&survey, cylinder, view, &Options::default());
                for area in drawing.areas.iter().filter(|area| area.fill != Fill::Metal) {
                    assert!(area.loops.iter().all(|points| convex(points)), "{view:?}");
                }
            }
        }
    }
}

#[test]
fn ticks_are_round_in_the_unit_that_is_shown() {
    let style = Style::usual(Unit::Inch);
    let base = thou(51_250);
    let ticks = super::Scale::Diameter { base, style }.ticks(-0.001, 0.1026, 6.0);
    let words: Vec<_> = ticks.iter().map(|tick| (tick.text.as_str(), tick.second.as_str())).collect();
    assert_eq!(
        words,
        [
            ("5.1250", "0"),
            ("5.1260", "+0.0010"),
            ("5.1270", "+0.0020"),
            ("5.1280", "+0.0030"),
            ("5.1290", "+0.0040")
        ]
    );
    let millimetres = super::Scale::Amount { style: Style::usual(Unit::Millimetre) }.ticks(0.0, 0.05, 6.0);
    let words: Vec<_> = millimetres.iter().map(|tick| tick.text.as_str()).collect();
    assert_eq!(words, ["0.000", "0.010", "0.020", "0.030", "0.040", "0.050"]);
    for (from, to) in [(0.0, 0.0), (f64::NAN, 1.0), (-1e300, 1e300), (1.0, -1.0), (0.0, 1e-12)] {
        assert!(super::Scale::Amount { style }.ticks(from, to, 8.0).len() < 130);
    }
}

/// Under guarded acceptance a mark is beyond its limit where the row it is judged by is.
#[test]
fn a_mark_is_judged_by_the_decision_rule_of_the_table() {
    use records::limits::schema::DecisionRule;
    // Station 2 reads exactly what is serviceable on one axis, and is out of round by exactly what is.
    let mut survey = altered(3, 2, |at| Some([[30, 30], [20, 40], [30, 30]][at.station][at.axis]));
    let mut limits = Limits::clone(&survey.limits);
    limits.sizes[0].serviceable.as_mut().expect("a limit").length = thou(51_290);
    limits.shape_row_mut(RowName::OutOfRound).and_then(|row| row.limit.as_mut()).expect("a limit").length =
        thou(20);
    for (decision, guarded) in [(DecisionRule::Simple, false), (DecisionRule::Guarded, true)] {
        limits.decision = decision;
        survey.limits = Arc::new(limits.clone());
        let status = |wanted: fn(RowKind) -> bool| {
            with_subject(&survey, 0, |subject| {
                subject.assessment.rows.iter().find(|row| wanted(row.kind)).expect("the row").status
            })
        };
        let beyond = |view| {
            let drawing = draw(&survey, 0, view, &Options::default());
            drawing
                .marks
                .iter()
                .filter(|mark| mark.beyond)
                .map(|mark| mark.hover.margin.clone())
                .collect::<Vec<_>>()
        };
        for (view, kind) in [
            (View::Profile, (|kind| matches!(kind, RowKind::Bore(_))) as fn(RowKind) -> bool),
            (View::OutOfRound, |kind| matches!(kind, RowKind::OutOfRound(_))),
        ] {
            assert_eq!(status(kind) == RowStatus::Beyond, guarded, "{view:?}");
            let beyond = beyond(view);
            assert_eq!(beyond.len(), usize::from(guarded), "{view:?} {beyond:?}");
            assert!(
                beyond.iter().all(|margin| margin.contains(" left, less than the guard band (")),
                "{beyond:?}"
            );
        }
    }
}

/// The marks of the taper drawing that are beyond, and what the row comes to.
fn taper_beyond(survey: &Survey) -> (Vec<usize>, RowStatus) {
    let drawing = draw(survey, 0, View::Taper, &Options::default());
    let beyond = drawing.marks.iter().filter(|mark| mark.beyond);
    let stations = beyond.filter_map(|mark| mark.choice.map(|choice| choice.station)).collect();
    let is_taper = |row: &&Row| matches!(row.kind, RowKind::Taper(_));
    let status = with_subject(survey, 0, |subject| {
        subject.assessment.rows.iter().find(is_taper).expect("the row").status
    });
    (stations, status)
}

/// A belly of 0.0080 in between two ends that are alike: only the rules that take a range judge it.
#[test]
fn a_station_between_the_ends_is_beyond_only_where_the_rule_judges_it() {
    let survey = altered(3, 2, |at| Some([[10, 10], [90, 90], [11, 11]][at.station][at.axis]));
    for rule in TaperRule::ALL {
        let mut survey = survey.clone();
        let mut limits = Limits::clone(&survey.limits);
        limits.shape_row_mut(RowName::Taper).expect("the row").kind = RowKind::Taper(rule);
        survey.limits = Arc::new(limits);
        let (marks, status) = taper_beyond(&survey);
        let of_range = !rule.is_of_ends();
        assert_eq!(status == RowStatus::Beyond, of_range, "{rule:?}");
        assert_eq!(marks, if of_range { vec![1, 1] } else { vec![] }, "{rule:?}");
    }
}

/// Largest top minus smallest bottom: the line of the drawing counts the axes that the figure counts.
#[test]
fn the_taper_line_counts_optional_axes_where_the_figure_does() {
    // 0.0001 in per unit; the third axis is optional. Limit 0.0015 in.
    let with = |cells: [[Option<i64>; 3]; 2]| {
        let mut survey = altered(2, 3, |at| cells[at.station][at.axis]);
        let mut limits = Limits::clone(&survey.limits);
        limits.required_axes = vec![0, 1];
        limits.shape_row_mut(RowName::Taper).expect("the row").kind =
            RowKind::Taper(TaperRule::LargestTopSmallestBottom);
        survey.limits = Arc::new(limits);
        let drawing = draw(&survey, 0, View::Taper, &Options::default());
        let value = drawing.marks.first().map(|mark| mark.hover.value.split(' ').next().unwrap().to_owned());
        (value.unwrap_or_default(), taper_beyond(&survey))
    };
    let beyond = |value: &str| (value.to_owned(), (vec![0], RowStatus::Beyond));
    assert_eq!(with([[Some(12), Some(14), Some(35)], [Some(10), Some(11), Some(5)]]), beyond("0.0030"));
    // The optional axis makes a negative taper smaller in magnitude: neither the figure nor the line counts it.
    let negative = "\u{2212}0.0029";
    assert_eq!(with([[Some(10), Some(11), Some(35)], [Some(40), Some(41), None]]), beyond(negative));
    // What may yet turn to the other side is not judged, and not drawn as if it were.
    let (_, judged) = with([[Some(10), None, None], [Some(40), None, None]]);
    assert_eq!(judged, (vec![], RowStatus::NotMeasured));
}

/// The whole text of a small drawing, so that nothing changes unseen. Set `UPDATE_SNAPSHOTS=1` to write it anew.
#[test]
fn golden_text() {
    let survey = altered(2, 2, |at| Some([[12, 45], [10, 14]][at.station][at.axis]));
    let drawing = draw(&survey, 0, View::Profile, &Options::default());
    let paper = Paper { width: 420.0, height: 320.0, text: 11.0, titled: true, brief: false };
    let text = svg(&lay_out(&drawing, paper, None));
    assert_eq!(text, svg(&lay_out(&drawing, paper, None)), "the same every time");
    let printed = super::svg::printed(&lay_out(&drawing, paper, None));
    assert_eq!(printed, text.replace("#fcfbf6", "#ffffff"), "a printed page has its own, white ground");
    assert_ne!(printed, text);
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/golden/profile.svg");
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(path, &text).expect("written");
    }
    assert_eq!(text, std::fs::read_to_string(path).expect("there is a golden text"));
}
