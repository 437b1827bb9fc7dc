//! The frame of a drawing and what is read along it: ticks with their grid, the words of the axes, dimension lines of
//! stretches, and the room that all of it takes.

use super::beside::WIDEST_NAME;
use super::shapes::{arrow, closed, corners};
use super::words::fit;
use super::{Anchor, Layout, Projection, Shape};
use crate::scale::Tick;
use crate::typeface::Face;
use crate::{Along, LabelSide, Pen, Role, Scale};

impl Layout<'_> {
    /// Frame, ticks, words of the axes, spans.
    pub(super) fn axes(&mut self, projection: Projection) {
        let frame = projection.frame;
        let [[left, top], [right, bottom]] = frame;
        if self.drawing.framed {
            let points = closed(corners(frame));
            self.around.insert(0, Shape::Line { points, pen: Pen::thick(Role::Ink) });
        }
        let small = self.small();
        let mut end = f64::NEG_INFINITY;
        let mut lowest = bottom + 0.3 * self.text;
        for tick in self.x_ticks(projection) {
            let x = projection.place([tick.at, 0.0])[0];
            self.around.push(Shape::Line {
                points: vec![[x, bottom], [x, bottom + 0.35 * self.text]],
                pen: Pen::thin(Role::Ink),
            });
            let wide = Face::Plain.width(&tick.text, small).max(Face::Plain.width(&tick.second, small));
            if x - wide / 2.0 < end || x + wide / 2.0 > self.width {
                continue;
            }
            end = x + wide / 2.0 + 0.4 * small;
            self.say([x, bottom + 1.0 * self.text], tick.text, Anchor::Middle).size = small;
            lowest = lowest.max(bottom + 1.6 * self.text);
            if !tick.second.is_empty() && !self.brief {
                let said = self.say([x, bottom + 2.1 * self.text], tick.second, Anchor::Middle);
                said.size = small;
                lowest = lowest.max(bottom + 2.7 * self.text);
            }
        }
        for tick in self.y_ticks(projection.window.y, bottom - top) {
            let y = projection.place([0.0, tick.at])[1];
            self.around.push(Shape::Line {
                points: vec![[left - 0.35 * self.text, y], [left, y]],
                pen: Pen::thin(Role::Ink),
            });
            self.say([left - 0.6 * self.text, y], tick.text, Anchor::End).size = small;
        }
        if !self.drawing.x.label.is_empty() && !self.brief {
            let room = right - left + self.left_width();
            let text = fit(&self.drawing.x.label, Face::Plain, small, room);
            // Kept on the sheet where the words are wider than the frame.
            let half = Face::Plain.width(&text, small) / 2.0;
            let x = ((left + right) / 2.0).max(0.8 * self.text + half);
            self.say([x, lowest + 0.65 * self.text], text, Anchor::Middle).size = small;
        }
        if !self.drawing.y.label.is_empty() && !self.brief {
            // Where it is too long for the frame its unit must do.
            let label = &self.drawing.y.label;
            let unit = label.rsplit_once(", ").map_or(label.as_str(), |(_, unit)| unit);
            let fits = Face::Plain.width(label, small) <= bottom - top;
            let text = if fits { label.clone() } else { unit.to_owned() };
            let x = left - self.left_width() + 0.6 * self.text;
            let said = self.say([x, (top + bottom) / 2.0], text, Anchor::Middle);
            (said.size, said.turned) = (small, true);
        }
        self.spans(projection);
    }

    pub(super) fn grid(&mut self, projection: Projection) {
        let [[left, top], [right, bottom]] = projection.frame;
        if !self.drawing.framed {
            return;
        }
        for tick in self.x_ticks(projection) {
            let x = projection.place([tick.at, 0.0])[0];
            let pen = Pen::hair(Role::Guide);
            self.inside.push(Shape::Line { points: vec![[x, top], [x, bottom]], pen });
        }
        for tick in self.y_ticks(projection.window.y, bottom - top) {
            let y = projection.place([0.0, tick.at])[1];
            let pen = Pen::hair(Role::Guide);
            self.inside.push(Shape::Line { points: vec![[left, y], [right, y]], pen });
        }
    }

    fn x_ticks(&self, projection: Projection) -> Vec<Tick> {
        let wide = projection.frame[1][0] - projection.frame[0][0];
        let [from, to] = projection.window.x;
        // Eight characters and a gap for each.
        self.drawing.x.scale.ticks(from, to, wide / (6.5 * self.text))
    }

    /// The ticks beside a frame so high.
    fn y_ticks(&self, [from, to]: [f64; 2], high: f64) -> Vec<Tick> {
        self.drawing.y.scale.ticks(from, to, high / (2.6 * self.text))
    }

    /// Room for the names of the stations.
    pub(super) fn left_width(&self) -> f64 {
        let labels =
            self.drawing.rules.iter().filter(|rule| rule.along == Along::Y && rule.side == LabelSide::Before);
        // What can be chosen is bold then, and the frame stays where it is.
        let labels = labels.map(|rule| Face::of(rule.choice.is_some()).width(&rule.label, self.text));
        let ticks = self.y_ticks(self.seen.y, self.height);
        let ticks = ticks.iter().map(|tick| Face::Plain.width(&tick.text, self.small()));
        let widest = labels.chain(ticks).fold(0.0, f64::max);
        let axis = if self.drawing.y.label.is_empty() || self.brief { 0.0 } else { 1.5 * self.text };
        axis + if widest > 0.0 { widest.min(WIDEST_NAME * self.text) + 0.8 * self.text } else { 0.0 }
    }

    pub(super) fn right_width(&self) -> f64 {
        self.drawing.spans.len() as f64 * 2.2 * self.text
    }

    /// Room for ticks and the words under the frame.
    pub(super) fn below_height(&self) -> f64 {
        let ticks = match self.drawing.x.scale {
            Scale::Hidden => 0.3,
            Scale::Diameter { .. } if self.brief => 1.6,
            Scale::Diameter { .. } => 2.7,
            Scale::Amount { .. } | Scale::Number | Scale::Named(_) => 1.6,
        };
        let label = if self.drawing.x.label.is_empty() || self.brief { 0.0 } else { 1.5 };
        (ticks + label) * self.text
    }

    fn spans(&mut self, projection: Projection) {
        let [[_, top], [right, bottom]] = projection.frame;
        for (i, span) in self.drawing.spans.iter().enumerate() {
            let x = right + (i as f64 * 2.2 + 0.7) * self.text;
            let (a, b) = (projection.place([0.0, span.from])[1], projection.place([0.0, span.to])[1]);
            let (from, to) = (a.min(b), a.max(b));
            if to < top || from > bottom {
                continue;
            }
            let pen = Pen::thin(Role::Ink);
            let (seen_from, seen_to) = (from.max(top), to.min(bottom));
            self.around.push(Shape::Line { points: vec![[x, seen_from], [x, seen_to]], pen });
            for (end, other, is_seen) in [(from, to, from >= top), (to, from, to <= bottom)] {
                if is_seen {
                    self.around
                        .push(Shape::Line { points: vec![[right, end], [x + 0.3 * self.text, end]], pen });
                    self.around.extend(arrow([x, other], [x, end], self.text, Role::Ink));
                }
            }
            let small = self.small();
            if Face::Plain.width(&span.label, small) <= seen_to - seen_from {
                let said = self.say(
                    [x + 0.75 * self.text, (seen_from + seen_to) / 2.0],
                    span.label.clone(),
                    Anchor::Middle,
                );
                (said.size, said.turned) = (small, true);
            }
        }
    }
}
