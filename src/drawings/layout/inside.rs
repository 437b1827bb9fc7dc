//! What is drawn within the frame, from data units to places on the sheet: cells, bands, areas, lines, marks; and
//! the line that says how much it is magnified.

use super::shapes::{arrow, corners, factor_text, marker_shapes, whisker};
use super::words::fit;
use super::{Anchor, Layout, Paper, Projection, Shape, Target, contains};
use crate::typeface::Face;
use crate::{Along, Drawing, Fill, Magnified, Mark, Marker, Pen, Role, Xy};

/// Room for the lanes beside a depth, in points: less where stations lie close together or near the frame.
pub(super) fn lanes(drawing: &Drawing, projection: Projection) -> f64 {
    let mut depths: Vec<f64> = drawing
        .rules
        .iter()
        .filter(|rule| rule.along == Along::Y && rule.choice.is_some())
        .map(|rule| projection.place([0.0, rule.at])[1])
        .collect();
    depths.sort_by(f64::total_cmp);
    let gaps = depths.windows(2).map(|pair| (pair[1] - pair[0]).abs()).filter(|gap| *gap > 0.5);
    // Half of the lanes, and half a mark, stand between the outermost depth and the frame.
    let [[_, top], [_, bottom]] = projection.frame;
    let inside = depths.iter().filter(|depth| (top..=bottom).contains(*depth));
    let edge = inside.map(|depth| 2.0 * ((depth - top).min(bottom - depth) - HALF_MARK));
    (0.6 * gaps.fold(f64::INFINITY, f64::min)).min(edge.fold(f64::INFINITY, f64::min)).clamp(2.0, 22.0)
}

/// Half of a mark and its outline, in points.
const HALF_MARK: f64 = 6.0;

impl Layout<'_> {
    /// Everything in data units.
    pub(super) fn data(&mut self, projection: Projection) {
        let drawing = self.drawing;
        let [[left, top], [right, bottom]] = projection.frame;
        for cell in &drawing.cells {
            let (a, b) = (projection.place(cell.from), projection.place(cell.to));
            let area = [[a[0].min(b[0]), a[1].min(b[1])], [a[0].max(b[0]), a[1].max(b[1])]];
            self.inside.push(Shape::Area { loops: vec![corners(area)], fill: Fill::Step(cell.step) });
            self.targets.push(Target { area, hover: cell.hover.clone(), choice: None });
        }
        for band in &drawing.bands {
            let at = |value: f64, low: f64, high: f64| {
                let place = match band.along {
                    Along::X => projection.place([value, 0.0])[0],
                    Along::Y => projection.place([0.0, value])[1],
                };
                place.clamp(low, high)
            };
            let area = match band.along {
                Along::X => {
                    let (a, b) = (at(band.from, left, right), at(band.to, left, right));
                    [[a.min(b), top], [a.max(b), bottom]]
                }
                Along::Y => {
                    let (a, b) = (at(band.from, top, bottom), at(band.to, top, bottom));
                    [[left, a.min(b)], [right, a.max(b)]]
                }
            };
            if area[1][0] - area[0][0] > 0.05 && area[1][1] - area[0][1] > 0.05 {
                self.inside.push(Shape::Area { loops: vec![corners(area)], fill: Fill::Band(band.role) });
            }
        }
        for area in &drawing.areas {
            let loops = area.loops.iter().map(|points| points.iter().map(|&p| projection.place(p)).collect());
            self.inside.push(Shape::Area { loops: loops.collect(), fill: area.fill });
        }
        self.grid(projection);
        self.rules(projection);
        for line in &drawing.lines {
            let points: Vec<Xy> =
                line.points.iter().map(|&p| self.laned(projection.place(p), line.lane)).collect();
            self.inside.push(Shape::Line { points, pen: line.pen });
        }
        for dimension in &drawing.dimensions {
            self.dimension(projection.place(dimension.from), projection.place(dimension.to), dimension.role);
        }
        for mark in &drawing.marks {
            self.mark(mark, projection);
        }
        for dimension in &drawing.dimensions {
            let (a, b) = (projection.place(dimension.from), projection.place(dimension.to));
            // Off the middle, where centre lines cross.
            let at = [0.72 * a[0] + 0.28 * b[0], 0.72 * a[1] + 0.28 * b[1]];
            self.words_at(at, &dimension.text, dimension.role, projection.frame);
        }
        for label in &drawing.labels {
            self.words_at(projection.place(label.at), &label.text, label.role, projection.frame);
        }
        // Chosen and necessary labels first, so that they are not the ones dropped.
        let mut marks: Vec<&Mark> = drawing.marks.iter().filter(|mark| !mark.label.is_empty()).collect();
        marks.sort_by_key(|mark| (!mark.must_label, !mark.beyond));
        for mark in marks {
            self.mark_label(mark, projection);
        }
    }

    fn dimension(&mut self, a: Xy, b: Xy, role: Role) {
        self.inside.push(Shape::Line { points: vec![a, b], pen: Pen::thin(role) });
        self.inside.extend(arrow(b, a, self.text, role));
        self.inside.extend(arrow(a, b, self.text, role));
    }

    /// A place moved into its lane.
    pub(super) fn laned(&self, [x, y]: Xy, lane: f64) -> Xy {
        [x, y + lane * self.lanes]
    }

    fn mark(&mut self, mark: &Mark, projection: Projection) {
        let at = self.laned(projection.place(mark.at), mark.lane);
        if let Some([from, to]) = mark.whisker {
            let (a, b) =
                (self.laned(projection.place(from), mark.lane), self.laned(projection.place(to), mark.lane));
            self.inside.extend(whisker(a, b, 0.28 * self.text, mark.role));
        }
        for &repeat in &mark.repeats {
            let at = self.laned(projection.place(repeat), mark.lane);
            let radius = 0.11 * self.text;
            self.inside.push(Shape::Disc { at, radius, fill: Role::Ink, pen: None });
        }
        if mark.chosen {
            let pen = Some(Pen::thick(Role::Attention));
            self.inside.push(Shape::Disc { at, radius: 0.75 * self.text, fill: Role::Paper, pen });
        }
        if mark.beyond {
            let (dx, dy) = (0.40 * self.text, 0.70 * self.text);
            let bar = vec![[at[0] - dx, at[1] + dy], [at[0] + dx, at[1] - dy]];
            self.inside.push(Shape::Line { points: bar, pen: Pen::thick(Role::Beyond) });
        }
        self.inside.extend(marker_shapes(mark.marker, at, self.text, mark.role, mark.filled));
        if contains(projection.frame, at) {
            let half = 0.6 * self.text;
            self.targets.push(Target {
                area: [[at[0] - half, at[1] - half], [at[0] + half, at[1] + half]],
                hover: mark.hover.clone(),
                choice: mark.choice,
            });
        }
        let half = 0.4 * self.text;
        let room = [[at[0] - half, at[1] - half], [at[0] + half, at[1] + half]];
        if matches!(mark.marker, Marker::Number(_)) { self.taken.push(room) } else { self.marked.push(room) }
    }

    pub(super) fn magnified(&mut self, top: f64, left: f64, projection: Projection, paper: Paper) {
        let text = match self.drawing.magnified {
            Magnified::No => return,
            Magnified::By(factor) => format!("Deviation magnified {} times", factor_text(factor)),
            Magnified::ByAxes => {
                let frame = projection.frame;
                let scale = |i: usize, [from, to]: [f64; 2]| (frame[1][i] - frame[0][i]) / (to - from);
                let factor = scale(0, projection.window.x) / scale(1, projection.window.y);
                format!("Drawn {} times larger across than along the bore", factor_text(factor))
            }
        };
        let text = fit(&text, Face::Plain, self.small(), paper.width - 2.0 * left);
        let said_size = self.small();
        let said = self.say([left, top + 0.6 * self.text], text, Anchor::Start);
        (said.size, said.role) = (said_size, Role::Ink);
    }
}
