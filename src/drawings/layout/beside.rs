//! Lines right across a drawing and their names around the frame: limits in rows above it, stations beside it, each with
//! a short line to its own.

use std::cmp::Ordering;

use super::words::fit;
use super::{Anchor, Frame, Layout, Projection, Shape, Target};
use crate::typeface::Face;
use crate::{Along, Drawing, Hover, LabelSide, Pen, Role, Rule, Weight};

/// A label above the frame: the line it belongs to, from where to where it reaches, and its row from below.
pub(super) struct Above<'a> {
    pub(super) rule: &'a Rule,
    pub(super) x: f64,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) row: usize,
}

/// The labels above the frame in at most three rows, so that neither words nor the lines down from them meet
/// other words; the limit that matters most stands lowest. What finds no room is left out.
pub(super) fn rows_above(drawing: &Drawing, projection: Projection, size: f64) -> Vec<Above<'_>> {
    let [[left, _], [right, _]] = projection.frame;
    let mut rules: Vec<(f64, &Rule)> = drawing
        .rules
        .iter()
        .filter(|rule| rule.along == Along::X && rule.side == LabelSide::Before && !rule.label.is_empty())
        .map(|rule| (projection.place([rule.at, 0.0])[0], rule))
        .filter(|(x, _)| (left - 0.5..=right + 0.5).contains(x))
        .collect();
    // The limit that judges first, then from the right.
    let rank = |rule: &Rule| match rule.pen.role {
        Role::Beyond => 0,
        Role::ReboreTo => 1,
        _ => 2,
    };
    rules.sort_by(|a, b| rank(a.1).cmp(&rank(b.1)).then(b.0.total_cmp(&a.0)));
    let mut placed: Vec<Above<'_>> = Vec::new();
    for (x, rule) in rules {
        let half = Face::Plain.width(&rule.label, size) / 2.0;
        // Over its line, else beside it.
        let places = (0..3).flat_map(|row| [0.0, -half, half].map(|shift| (row, x + shift)));
        let found = places
            .map(|(row, middle)| (row, middle.clamp(left + half, (right - half).max(left + half))))
            .map(|(row, middle)| Above { rule, x, from: middle - half - 3.0, to: middle + half + 3.0, row })
            .find(|new| {
                placed.iter().all(|other| match other.row.cmp(&new.row) {
                    Ordering::Equal => new.to <= other.from || other.to <= new.from,
                    Ordering::Greater => !(new.from..=new.to).contains(&other.x),
                    Ordering::Less => !(other.from..=other.to).contains(&x),
                })
            });
        placed.extend(found);
    }
    placed
}

/// The most room for the name of a station, in sizes of the text.
pub(super) const WIDEST_NAME: f64 = 14.0;

impl Layout<'_> {
    pub(super) fn rules(&mut self, projection: Projection) {
        let drawing = self.drawing;
        let [[left, top], [right, bottom]] = projection.frame;
        let mut beside: Vec<(f64, &Rule)> = Vec::new();
        for rule in &drawing.rules {
            let (points, at, is_seen) = match rule.along {
                Along::X => {
                    let x = projection.place([rule.at, 0.0])[0];
                    (vec![[x, top], [x, bottom]], x, (left - 0.5..=right + 0.5).contains(&x))
                }
                Along::Y => {
                    let y = projection.place([0.0, rule.at])[1];
                    (vec![[left, y], [right, y]], y, (top - 0.5..=bottom + 0.5).contains(&y))
                }
            };
            if !is_seen {
                continue;
            }
            let pen = if rule.chosen { Pen { weight: Weight::Thick, ..rule.pen } } else { rule.pen };
            self.inside.push(Shape::Line { points, pen });
            if let (Along::Y, LabelSide::Before, false) = (rule.along, rule.side, rule.label.is_empty()) {
                beside.push((at, rule));
            }
        }
        self.labels_above(projection);
        self.labels_beside(beside, projection.frame);
    }

    /// Labels of upright lines, in rows above the frame, with a short line down to their own.
    fn labels_above(&mut self, projection: Projection) {
        let top = projection.frame[0][1];
        let small = self.small();
        for above in rows_above(self.drawing, projection, small) {
            let y = top - (above.row as f64 + 0.5) * 1.3 * self.text - 0.2 * self.text;
            let role = above.rule.pen.role;
            let leader = vec![[above.x, y + 0.6 * self.text], [above.x, top]];
            self.around.push(Shape::Line { points: leader, pen: Pen::thin(role) });
            let middle = (above.from + above.to) / 2.0;
            let said = self.say([middle, y], above.rule.label.clone(), Anchor::Middle);
            (said.size, said.role, said.cleared) = (small, role, true);
        }
    }

    /// Names of stations, beside the frame; where they would overlap, the chosen ones and those that fit stay.
    fn labels_beside(&mut self, labels: Vec<(f64, &Rule)>, frame: Frame) {
        let [[left, _], [right, _]] = frame;
        let high = 1.15 * self.text;
        for (y, rule) in &labels {
            self.targets.push(Target {
                area: [[0.0, y - 0.5 * high], [left, y + 0.5 * high]],
                hover: Hover { place: rule.label.clone(), ..Hover::default() },
                choice: rule.choice,
            });
            self.targets.push(Target {
                area: [[left, y - 3.0], [right, y + 3.0]],
                hover: Hover::default(),
                choice: rule.choice,
            });
        }
        for (y, label_y, rule) in spread(labels, high, frame[0][1], frame[1][1]) {
            let text = fit(&rule.label, Face::of(rule.chosen), self.text, WIDEST_NAME * self.text);
            let said = self.say([left - 0.7 * self.text, label_y], text, Anchor::End);
            if rule.chosen {
                (said.bold, said.role) = (true, Role::Attention);
            }
            let leader = vec![[left, y], [left - 0.5 * self.text, label_y]];
            self.around.push(Shape::Line { points: leader, pen: Pen { weight: Weight::Thin, ..rule.pen } });
        }
    }
}

/// Labels moved apart so that none overlap, each with its own place and that of its words. Where there are too
/// many for the room, every second or third is left out, but never a chosen one.
fn spread(mut labels: Vec<(f64, &Rule)>, high: f64, top: f64, bottom: f64) -> Vec<(f64, f64, &Rule)> {
    labels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let most = (((bottom - top) / high).floor() as usize).max(1);
    let every = labels.len().div_ceil(most).max(1);
    let mut kept: Vec<(f64, f64, &Rule)> = labels
        .into_iter()
        .enumerate()
        .filter(|(i, (_, rule))| rule.chosen || i.is_multiple_of(every))
        .map(|(_, (y, rule))| (y, y, rule))
        .collect();
    // Pushed down where they are too close, then the last ones up again if they have left the frame.
    let mut least = f64::NEG_INFINITY;
    for (_, y, _) in &mut kept {
        *y = y.max(least);
        least = *y + high;
    }
    let mut most = bottom;
    for (_, y, _) in kept.iter_mut().rev() {
        *y = y.min(most);
        most = *y - high;
    }
    kept
}
