//! Where words stand on a sheet: shortened or in lines where room is short, clear of each other and of marks, and in the
//! drawing the ones that matter first.

use super::{Anchor, Frame, Layout, Paper, Projection, Shape, Text, contains};
use crate::typeface::Face;
use crate::{Mark, Pattern, Pen, Role, Xy};

const ELLIPSIS: &str = "\u{2026}";

/// The words, cut short with an ellipsis where they are wider than the room.
pub(super) fn fit(text: &str, face: Face, size: f64, room: f64) -> String {
    if face.width(text, size) <= room { text.to_owned() } else { shortened(text, face, size, room) }
}

/// As much of the words as the room holds with an ellipsis behind them.
fn shortened(text: &str, face: Face, size: f64, room: f64) -> String {
    let mut left = room - face.width(ELLIPSIS, size);
    let held = text.char_indices().find(|&(at, letter)| {
        left -= face.width(&text[at..at + letter.len_utf8()], size);
        left < 0.0
    });
    let end = held.map_or(text.len(), |(at, _)| at);
    format!("{}{ELLIPSIS}", text[..end].trim_end())
}

/// The words in lines no wider than the room.
pub(super) fn wrap(text: &str, face: Face, size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // How wide the last line is.
    let mut wide = 0.0;
    for word in text.split_whitespace() {
        let more = face.width(word, size);
        let space = face.width(" ", size);
        match lines.last_mut() {
            Some(line) if wide + space + more <= room => {
                line.push(' ');
                line.push_str(word);
                wide += space + more;
            }
            _ => {
                lines.push(fit(word, face, size, room));
                wide = more;
            }
        }
    }
    lines
}

impl Layout<'_> {
    pub(super) fn heading(
        &mut self,
        text: &str,
        size: f64,
        bold: bool,
        top: f64,
        paper: Paper,
        most: usize,
    ) -> f64 {
        let size = size * paper.text;
        let room = paper.width - 1.6 * paper.text;
        let face = Face::of(bold);
        let mut lines = wrap(text, face, size, room);
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                *last = shortened(last, face, size, room);
            }
        }
        let mut y = top;
        for line in lines {
            let said = self.say([0.8 * paper.text, y + 0.6 * size], line, Anchor::Start);
            (said.size, said.bold) = (size, bold);
            y += 1.35 * size;
        }
        y + 0.15 * size
    }

    pub(super) fn empty(&mut self, what: &str, frame: Frame) {
        let [[left, top], [right, bottom]] = frame;
        let points = vec![[left, top], [right, top], [right, bottom], [left, bottom], [left, top]];
        self.around.push(Shape::Line { points, pen: Pen::thin(Role::Guide).broken(Pattern::Dashed) });
        let lines = wrap(what, Face::Plain, self.text, (right - left - 2.0 * self.text).max(40.0));
        let pitch = 1.4 * self.text;
        let first = (top + bottom) / 2.0 - pitch * (lines.len() as f64 - 1.0) / 2.0;
        for (i, line) in lines.into_iter().enumerate() {
            self.say([(left + right) / 2.0, first + i as f64 * pitch], line, Anchor::Middle);
        }
    }

    /// Words; what is special about them is set on what comes back.
    pub(super) fn say(&mut self, at: Xy, text: impl Into<String>, anchor: Anchor) -> &mut Text {
        let text = Text {
            at,
            text: text.into(),
            size: self.text,
            role: Role::Ink,
            anchor,
            bold: false,
            turned: false,
            cleared: false,
        };
        self.words.push(text);
        let last = self.words.len() - 1;
        &mut self.words[last]
    }

    /// Words centred at a place, moved into the frame, dropped where others stand already.
    pub(super) fn words_at(&mut self, at: Xy, text: &str, role: Role, frame: Frame) {
        let small = self.small();
        let (half_wide, half_high) = (Face::Plain.width(text, small) / 2.0 + 2.0, 0.6 * small);
        let Some(x) = held(at[0], frame[0][0] + half_wide, frame[1][0] - half_wide) else { return };
        let Some(y) = held(at[1], frame[0][1] + half_high, frame[1][1] - half_high) else { return };
        if (x - at[0]).abs() > 3.0 * self.text || (y - at[1]).abs() > 3.0 * self.text {
            return;
        }
        let tries = [0.0, 1.0, -1.0, 2.0, -2.0].map(|step| y + step * 2.2 * half_high);
        for y in tries {
            let area = [[x - half_wide, y - half_high], [x + half_wide, y + half_high]];
            let inside = frame[0][1] <= area[0][1] && area[1][1] <= frame[1][1];
            if !inside || self.taken.iter().any(|&other| overlap(area, other)) {
                continue;
            }
            self.taken.push(area);
            let said = self.say([x, y], text, Anchor::Middle);
            (said.size, said.role, said.cleared) = (small, role, true);
            return;
        }
    }

    /// The label of a mark: right of it, left, above, or below, wherever there is room.
    pub(super) fn mark_label(&mut self, mark: &Mark, projection: Projection) {
        let at = self.laned(projection.place(mark.at), mark.lane);
        if !contains(projection.frame, at) {
            return;
        }
        // Where the whole finds no room, what stands behind its first comma may.
        let short = mark.label.split_once(", ").map(|(_, short)| short);
        for label in [Some(mark.label.as_str()), short].into_iter().flatten() {
            if self.mark_label_fits(mark, label, at, projection) {
                return;
            }
        }
    }

    fn mark_label_fits(&mut self, mark: &Mark, label: &str, at: Xy, projection: Projection) -> bool {
        let small = self.small();
        let wide = Face::of(mark.must_label).width(label, small) + 4.0;
        let reach = mark.whisker.map_or(0.0, |[_, to]| {
            let to = projection.place(to);
            (to[0] - at[0]).abs()
        });
        let gap = 0.6 * self.text;
        let half_high = 0.6 * small;
        let sides = [
            ([at[0] + gap.max(reach + 3.0) + wide / 2.0, at[1]]),
            ([at[0] - gap.max(reach + 3.0) - wide / 2.0, at[1]]),
            ([at[0], at[1] - gap - half_high]),
            ([at[0], at[1] + gap + half_high]),
            ([at[0] - wide / 2.0, at[1] - gap - half_high]),
        ];
        let area = |[x, y]: Xy| [[x - wide / 2.0, y - half_high], [x + wide / 2.0, y + half_high]];
        let is_free = |place: &Xy, others: &[Frame]| {
            let area = area(*place);
            let inside = contains(projection.frame, area[0]) && contains(projection.frame, area[1]);
            inside && !others.iter().any(|&other| overlap(area, other))
        };
        // Clear of words and marks; a label that must stand may hide a mark, but no words.
        let clear = sides.iter().find(|place| is_free(place, &self.taken) && is_free(place, &self.marked));
        let place =
            clear.or_else(|| sides.iter().find(|place| mark.must_label && is_free(place, &self.taken)));
        let Some(&place) = place else { return false };
        self.taken.push(area(place));
        let role = if mark.beyond { Role::Beyond } else { Role::Ink };
        let said = self.say(place, label, Anchor::Middle);
        (said.size, said.role, said.cleared, said.bold) = (small, role, true, mark.must_label);
        true
    }
}

/// A value moved between two ends, or none where they leave no room.
fn held(value: f64, low: f64, high: f64) -> Option<f64> {
    (low <= high && value.is_finite()).then(|| value.clamp(low, high))
}

fn overlap([a_low, a_high]: Frame, [b_low, b_high]: Frame) -> bool {
    (0..2).all(|i| a_low[i] < b_high[i] && b_low[i] < a_high[i])
}
