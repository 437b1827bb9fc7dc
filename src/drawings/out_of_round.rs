//! Out-of-round by station, on the diameter, against its row and under the rule in force.

use super::taper::{add_amount_bands, amount_mark, fit_range};
use super::{Along, Axis, Drawing, DrawnLine, Entry, Magnified, Options, Pattern, Pen, Role, Rule, Sample};
use super::{Scale, Subject, along, words};
use figures::out_of_round as figure;
use records::limits::rows::{RowKind, RowName};
use records::limits::schema::OutOfRoundRule;

/// The out-of-round of a cylinder, station by station.
pub fn out_of_round(subject: Subject<'_>, options: &Options) -> Drawing {
    let title = subject.title("Out-of-round");
    let limits = subject.limits();
    let bore = &subject.cylinder.bore;
    let figures: Vec<_> =
        (0..bore.stations()).filter_map(|station| Some((station, figure::at(bore, station)?))).collect();
    if figures.is_empty() {
        return Drawing::empty(
            title,
            "The out-of-round belongs here. It needs two axes measured at the same station.",
        );
    }
    let style = subject.style(options);
    let row = limits.shape_row(RowName::OutOfRound);
    let limit = row.and_then(|row| row.limit.as_ref());
    let new = row.and_then(|row| row.new.1.as_ref());
    let mut drawing = Drawing::new(
        title,
        Axis {
            label: format!("Largest minus smallest diameter of the station, {}", style.unit),
            from: 0.0,
            to: 1.0,
            scale: Scale::Amount { style },
            backwards: false,
        },
        along::depth_axis(subject),
    );
    drawing.magnified = Magnified::ByAxes;
    drawing.lead = words::row_sentence(subject, options, RowName::OutOfRound).unwrap_or_default();
    drawing.name =
        format!("{}: {}", drawing.title, if drawing.lead.is_empty() { "not judged" } else { &drawing.lead });
    add_amount_bands(&mut drawing, subject, options, new, limit, false);
    along::add_ring_travel(&mut drawing, subject);
    along::add_stations(&mut drawing, subject, options);
    for (station, figure) in &figures {
        let Some(depth) = along::depth(subject, *station) else { continue };
        let mut mark = amount_mark(subject, options, *station, figure, limit);
        mark.at[1] = depth;
        if let Some([from, to]) = &mut mark.whisker {
            (from[1], to[1]) = (depth, depth);
            from[0] = from[0].max(0.0);
        }
        if !limits.bore_stations.contains(station) {
            mark.beyond = false;
            mark.filled = false;
            mark.hover.margin = "above ring travel: not judged".to_owned();
        }
        let role = if mark.filled { Role::Reading } else { Role::Guide };
        drawing.lines.push(DrawnLine {
            points: vec![[0.0, depth], mark.at],
            lane: 0.0,
            pen: Pen::thick(role),
        });
        drawing.marks.push(mark);
    }
    let across = words::row(subject, RowName::OutOfRound)
        .filter(|row| row.kind == RowKind::OutOfRound(OutOfRoundRule::AcrossStations))
        .and_then(|row| row.figure.as_ref());
    if let Some(figure) = across {
        let pen = Pen::thick(Role::Ink).broken(Pattern::Chain);
        drawing.rules.push(Rule::new(
            Along::X,
            figure.value.to_mm(),
            pen,
            format!("across stations {}", figure.value.number(style)),
        ));
        drawing
            .legend
            .push(Entry { sample: Sample::Line(pen, None), text: "the figure under the rule".to_owned() });
    }
    fit_range(&mut drawing, limit.or(new), false);
    if let Some(figure) = across {
        drawing.x.to = drawing.x.to.max(figure.value.to_mm() * 1.1);
    }
    drawing.notes.push(match row.map(|row| row.kind) {
        Some(RowKind::OutOfRound(OutOfRoundRule::PerStation)) => {
            "Rule of the table: per station, the worst station counts.".to_owned()
        }
        Some(RowKind::OutOfRound(OutOfRoundRule::AcrossStations)) => {
            "Rule of the table: one axis's largest minus another's smallest, across stations.".to_owned()
        }
        _ => "The table has no row for out-of-round: it is shown, not judged.".to_owned(),
    });
    if bore.axes() == 2 {
        drawing.notes.push(format!("{}.", records::wording::capitalised(figures::ovality::TWO_AXES)));
    }
    drawing
}
