//! The foot of a sheet: remarks, legend, and the legend of a colour map.

use super::shapes::{closed, marker_shapes};
use super::words::{fit, wrap};
use super::{Anchor, Layout, Paper, Shape};
use crate::typeface::Face;
use crate::{Fill, Pen, Role, Sample, Xy};

impl Layout<'_> {
    /// Notes and legend at the foot of the sheet; gives the height at which they begin.
    pub(super) fn foot(&mut self, paper: Paper, margin: f64, is_small: bool) -> f64 {
        let room = paper.width - 2.0 * margin;
        let mut bottom = paper.height - margin;
        if is_small {
            return bottom;
        }
        let small = self.small();
        let notes: Vec<String> =
            self.drawing.notes.iter().flat_map(|note| wrap(note, Face::Plain, small, room)).collect();
        let legend = self.legend_rows(room);
        let steps = if self.drawing.steps.is_some() { 4.2 * self.text } else { 0.0 };
        // The drawing keeps at least half of the sheet; the notes go first.
        let height = |notes: usize, legend: usize| {
            notes as f64 * 1.3 * small + legend as f64 * 1.5 * small + steps + 0.5 * self.text
        };
        let most = 0.42 * paper.height;
        let legend_fits = height(0, legend.len()) <= most;
        let notes_fit = legend_fits && height(notes.len(), legend.len()) <= most;
        if notes_fit {
            bottom -= notes.len() as f64 * 1.3 * small;
            for (i, line) in notes.into_iter().enumerate() {
                let at = [margin, bottom + (i as f64 + 0.65) * 1.3 * small];
                self.say(at, line, Anchor::Start).size = small;
            }
            bottom -= 0.3 * small;
        }
        if legend_fits {
            bottom -= legend.len() as f64 * 1.5 * small;
            for (i, row) in legend.into_iter().enumerate() {
                for (x, index) in row {
                    self.entry([margin + x, bottom + (i as f64 + 0.5) * 1.5 * small], index);
                }
            }
        }
        if self.drawing.steps.is_some() {
            bottom -= steps;
            self.step_legend([margin, bottom], room);
        }
        bottom - 0.3 * self.text
    }

    /// The legend's entries in rows: their place in the row and their index.
    fn legend_rows(&self, room: f64) -> Vec<Vec<(f64, usize)>> {
        let mut rows: Vec<Vec<(f64, usize)>> = Vec::new();
        let mut x = 0.0;
        for (index, entry) in self.drawing.legend.iter().enumerate() {
            let wide = Face::Plain.width(&entry.text, self.small()) + 4.6 * self.small();
            if rows.is_empty() || x + wide > room {
                rows.push(Vec::new());
                x = 0.0;
            }
            if let Some(row) = rows.last_mut() {
                row.push((x, index));
            }
            x += wide;
        }
        rows
    }

    fn entry(&mut self, [x, y]: Xy, index: usize) {
        let Some(entry) = self.drawing.legend.get(index) else { return };
        let small = self.small();
        let (wide, half) = (2.6 * small, 0.5 * small);
        match entry.sample {
            Sample::Line(pen, marker) => {
                self.around.push(Shape::Line { points: vec![[x, y], [x + wide, y]], pen });
                if let Some((marker, filled)) = marker {
                    self.around.extend(marker_shapes(
                        marker,
                        [x + wide / 2.0, y],
                        self.text,
                        pen.role,
                        filled,
                    ));
                }
            }
            Sample::Patch(fill) => {
                let corners = vec![[x, y - half], [x + wide, y - half], [x + wide, y + half], [x, y + half]];
                let role = if let Fill::Band(role) = fill { role } else { Role::Ink };
                self.around.push(Shape::Area { loops: vec![corners.clone()], fill });
                self.around.push(Shape::Line { points: closed(corners), pen: Pen::thin(role) });
            }
            Sample::Mark(marker, role) => {
                self.around.extend(marker_shapes(marker, [x + wide / 2.0, y], self.text, role, true));
            }
        }
        let text = fit(&entry.text, Face::Plain, small, self.width - x - wide - small);
        self.say([x + wide + 0.5 * small, y], text, Anchor::Start).size = small;
    }

    fn step_legend(&mut self, [left, top]: Xy, room: f64) {
        let Some(steps) = &self.drawing.steps else { return };
        let small = self.small();
        let count = steps.bounds.len().saturating_sub(1).max(1);
        let widest = steps.bounds.iter().map(|bound| Face::Plain.width(bound, small)).fold(0.0, f64::max);
        let wide = ((room - widest) / count as f64).min((widest + 0.8 * small).max(2.5 * self.text));
        self.say([left, top + 0.6 * small], fit(&steps.label, Face::Plain, small, room), Anchor::Start)
            .size = small;
        let (y, high) = (top + 1.5 * small, 1.1 * self.text);
        // Half of the first number stands before the first step.
        let left = left + widest / 2.0;
        for i in 0..count {
            let x = left + i as f64 * wide;
            let corners = vec![[x, y], [x + wide, y], [x + wide, y + high], [x, y + high]];
            let step = if count > 1 { i as f64 / (count - 1) as f64 } else { 0.0 };
            self.around.push(Shape::Area { loops: vec![corners.clone()], fill: Fill::Step(step) });
            self.around.push(Shape::Line { points: closed(corners), pen: Pen::hair(Role::Ink) });
        }
        for (i, bound) in steps.bounds.iter().enumerate() {
            let anchor = Anchor::Middle;
            let at = [left + i as f64 * wide, y + high + 0.7 * small];
            self.say(at, bound.clone(), anchor).size = small;
        }
    }
}
