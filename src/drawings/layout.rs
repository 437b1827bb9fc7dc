//! From a drawing to a sheet: plain shapes in points, and what can be pointed at.
//!
//! Everything that both screen and paper must agree on happens here: margins, ticks, where a label stands and
//! which one is dropped for want of room, the factor of magnification. Words are as wide as their [`Face`] says.
//! Points grow to the right and down.

#![expect(clippy::indexing_slicing, reason = "0 and 1, along and across")]

use std::cmp::Ordering;

use super::{Along, Axis, Choice, Drawing, Fill, Hover, Magnified, Mark, Marker, Pattern, Pen, Role};
use super::{Sample, Side, Weight, Xy};
use crate::typeface::Face;

/// What a drawing is laid out on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Width in points.
    pub width: f64,
    /// Height in points.
    pub height: f64,
    /// Size of the text in points.
    pub text: f64,
    /// The title stands on the sheet.
    pub titled: bool,
    /// Only a short title, the drawing itself and its ticks: for one among several, whose words are read when
    /// it fills the place.
    pub brief: bool,
}

impl Default for Paper {
    /// A sheet for a report or a file.
    fn default() -> Self {
        Self { width: 720.0, height: 560.0, text: 12.0, titled: true, brief: false }
    }
}

/// The part of a drawing that is in sight, in its own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Across: from, to.
    pub x: [f64; 2],
    /// Down: from, to.
    pub y: [f64; 2],
}

/// A rectangle on the sheet: least corner, greatest corner.
pub type Frame = [Xy; 2];

/// Where words are held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// At their beginning.
    Start,
    /// In their middle.
    Middle,
    /// At their end.
    End,
}

/// Words on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where they are held; upright it is the middle of their height.
    pub at: Xy,
    /// The words.
    pub text: String,
    /// Size in points.
    pub size: f64,
    /// What they stand for.
    pub role: Role,
    /// Where they are held.
    pub anchor: Anchor,
    /// Heavier.
    pub bold: bool,
    /// Turned to read upwards.
    pub turned: bool,
    /// The ground shines through around them, for words on a hatch.
    pub cleared: bool,
}

/// A shape on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A filled area between loops.
    Area {
        /// The loops.
        loops: Vec<Vec<Xy>>,
        /// How it is filled.
        fill: Fill,
    },
    /// A line through places.
    Line {
        /// The places.
        points: Vec<Xy>,
        /// What it is drawn with.
        pen: Pen,
    },
    /// A disc or ring.
    Disc {
        /// Its middle.
        at: Xy,
        /// Its radius.
        radius: f64,
        /// What it is filled with.
        fill: Role,
        /// Its edge.
        pen: Option<Pen>,
    },
    /// Words.
    Text(Text),
}

/// What can be pointed at.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// Its rectangle on the sheet.
    pub area: Frame,
    /// What pointing at it says.
    pub hover: Hover,
    /// What choosing it chooses.
    pub choice: Option<Choice>,
}

/// A drawing laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Width in points.
    pub width: f64,
    /// Height in points.
    pub height: f64,
    /// What it says in one sentence.
    pub name: String,
    /// The title.
    pub title: String,
    /// Shapes that end at the frame, from the lowest.
    pub inside: Vec<Shape>,
    /// Shapes around and over the frame, from the lowest.
    pub around: Vec<Shape>,
    /// The frame.
    pub frame: Frame,
    /// The part in sight.
    pub window: Window,
    /// What can be pointed at, the uppermost last.
    pub targets: Vec<Target>,
    backwards: [bool; 2],
}

impl Sheet {
    /// The place on the sheet of a place in data units.
    pub fn place(&self, at: Xy) -> Xy {
        Projection { frame: self.frame, window: self.window, backwards: self.backwards }.place(at)
    }

    /// The place in data units of a place on the sheet.
    pub fn data(&self, at: Xy) -> Xy {
        let coordinate = |i: usize, range: [f64; 2]| {
            let (low, high) = (self.frame[0][i], self.frame[1][i]);
            let part = (at[i] - low) / (high - low).max(1e-9);
            let part = if self.backwards[i] { 1.0 - part } else { part };
            range[0] + part * (range[1] - range[0])
        };
        [coordinate(0, self.window.x), coordinate(1, self.window.y)]
    }

    /// The uppermost thing at a place on the sheet.
    pub fn target(&self, at: Xy) -> Option<&Target> {
        self.targets.iter().rev().find(|target| contains(target.area, at))
    }
}

/// Where the words of everything lie: a place within a frame?
fn contains([low, high]: Frame, [x, y]: Xy) -> bool {
    (low[0]..=high[0]).contains(&x) && (low[1]..=high[1]).contains(&y)
}

#[derive(Clone, Copy)]
struct Projection {
    frame: Frame,
    window: Window,
    backwards: [bool; 2],
}

const ELLIPSIS: &str = "\u{2026}";

/// No coordinate on a sheet is farther out, however far it is zoomed.
const FARTHEST: f64 = 20_000.0;

/// The most room for the name of a station, in sizes of the text.
const WIDEST_NAME: f64 = 14.0;

/// Half of a mark and its outline, in points.
const HALF_MARK: f64 = 6.0;

impl Projection {
    fn place(self, at: Xy) -> Xy {
        let coordinate = |i: usize, range: [f64; 2]| {
            let part = (at[i] - range[0]) / (range[1] - range[0]);
            let part = if self.backwards[i] { 1.0 - part } else { part };
            let (low, high) = (self.frame[0][i], self.frame[1][i]);
            (low + part * (high - low)).clamp(-FARTHEST, FARTHEST)
        };
        [coordinate(0, self.window.x), coordinate(1, self.window.y)]
    }
}

/// The words, cut short with an ellipsis where they are wider than the room.
fn fit(text: &str, face: Face, size: f64, room: f64) -> String {
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
fn wrap(text: &str, face: Face, size: f64, room: f64) -> Vec<String> {
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

/// What is being laid out.
struct Layout<'a> {
    drawing: &'a Drawing,
    text: f64,
    brief: bool,
    /// Width of the paper.
    width: f64,
    /// Height of the paper.
    height: f64,
    /// The part in sight.
    seen: Window,
    inside: Vec<Shape>,
    around: Vec<Shape>,
    words: Vec<Text>,
    /// Room for the lanes of all axes beside a depth, in points.
    lanes: f64,
    targets: Vec<Target>,
    /// Rectangles of words already placed.
    taken: Vec<Frame>,
    /// Rectangles of marks.
    marked: Vec<Frame>,
}

/// Lays a drawing out on paper, the whole of it or what is in the window.
pub fn lay_out(drawing: &Drawing, paper: Paper, window: Option<Window>) -> Sheet {
    let paper = Paper {
        width: sane(paper.width, 120.0),
        height: sane(paper.height, 90.0),
        text: sane(paper.text, 4.0),
        ..paper
    };
    let mut layout = Layout {
        drawing,
        text: paper.text,
        brief: paper.brief,
        width: paper.width,
        height: paper.height,
        seen: window.filter(is_sound).unwrap_or_else(|| whole(drawing)),
        inside: Vec::new(),
        around: Vec::new(),
        words: Vec::new(),
        lanes: 0.0,
        targets: Vec::new(),
        taken: Vec::new(),
        marked: Vec::new(),
    };
    let backwards = [drawing.x.backwards, drawing.y.backwards];
    let margin = 0.8 * paper.text;
    let mut top = margin;
    if paper.titled {
        let title = if paper.brief { &drawing.short } else { &drawing.title };
        top = layout.heading(title, 1.15, true, top, paper, 1);
    }
    if let Some(empty) = &drawing.empty {
        let frame = [[margin, top], [paper.width - margin, paper.height - margin]];
        layout.empty(empty, frame);
        let window = Window { x: [0.0, 1.0], y: [0.0, 1.0] };
        return layout.sheet(paper, frame, window, backwards);
    }
    let is_small = paper.brief || paper.height < 24.0 * paper.text;
    if !drawing.lead.is_empty() && !is_small {
        top = layout.heading(&drawing.lead, 1.0, false, top, paper, 2);
    }
    // The line that says the magnification is filled in once the frame is known.
    let magnified_at = top;
    if drawing.magnified != Magnified::No {
        top += 1.4 * paper.text;
    }

    let frame_left = margin + layout.left_width();
    let frame_right = paper.width - margin - layout.right_width();
    let bottom = layout.foot(paper, margin, is_small);
    let below = layout.below_height();
    let mut frame = [
        [frame_left.min(paper.width * 0.6), top + 0.3 * paper.text],
        [frame_right.max(paper.width * 0.6 + 20.0), bottom - below],
    ];
    let mut seen = layout.seen;
    // How many rows of labels stand above depends on the width alone.
    let above = rows_above(drawing, Projection { frame, window: seen, backwards }, layout.small());
    frame[0][1] += above.iter().map(|above| above.row + 1).max().unwrap_or(0) as f64 * 1.3 * paper.text;
    frame[1][1] = frame[1][1].max(frame[0][1] + 30.0);
    if drawing.equal {
        seen = equalised(seen, frame);
    }
    let projection = Projection { frame, window: seen, backwards };
    layout.lanes = lanes(drawing, projection);
    layout.data(projection);
    layout.axes(projection);
    layout.magnified(magnified_at, margin, projection, paper);
    layout.sheet(paper, frame, seen, backwards)
}

fn sane(value: f64, least: f64) -> f64 {
    if value.is_finite() { value.clamp(least, FARTHEST) } else { least }
}

fn is_sound(window: &Window) -> bool {
    [window.x, window.y].iter().all(|[from, to]| from.is_finite() && to.is_finite() && to - from > 1e-9)
}

/// The window grown so that both directions have the same scale in the frame.
fn equalised(window: Window, frame: Frame) -> Window {
    let (wide, high) = (frame[1][0] - frame[0][0], frame[1][1] - frame[0][1]);
    let per_x = (window.x[1] - window.x[0]) / wide;
    let per_y = (window.y[1] - window.y[0]) / high;
    let per = per_x.max(per_y);
    let grown = |[from, to]: [f64; 2], room: f64| {
        let (middle, half) = ((from + to) / 2.0, per * room / 2.0);
        [middle - half, middle + half]
    };
    Window { x: grown(window.x, wide), y: grown(window.y, high) }
}

/// Room for the lanes beside a depth, in points: less where stations lie close together or near the frame.
fn lanes(drawing: &Drawing, projection: Projection) -> f64 {
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

/// A label above the frame: the line it belongs to, from where to where it reaches, and its row from below.
struct Above<'a> {
    rule: &'a super::Rule,
    x: f64,
    from: f64,
    to: f64,
    row: usize,
}

/// The labels above the frame in at most three rows, so that neither words nor the lines down from them meet
/// other words; the limit that matters most stands lowest. What finds no room is left out.
fn rows_above(drawing: &Drawing, projection: Projection, size: f64) -> Vec<Above<'_>> {
    let [[left, _], [right, _]] = projection.frame;
    let mut rules: Vec<(f64, &super::Rule)> = drawing
        .rules
        .iter()
        .filter(|rule| rule.along == Along::X && rule.side == Side::Before && !rule.label.is_empty())
        .map(|rule| (projection.place([rule.at, 0.0])[0], rule))
        .filter(|(x, _)| (left - 0.5..=right + 0.5).contains(x))
        .collect();
    // The limit that judges first, then from the right.
    let rank = |rule: &super::Rule| match rule.pen.role {
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

impl Layout<'_> {
    fn sheet(mut self, paper: Paper, frame: Frame, window: Window, backwards: [bool; 2]) -> Sheet {
        // Words last, over everything else.
        self.around.extend(self.words.into_iter().map(Shape::Text));
        Sheet {
            width: paper.width,
            height: paper.height,
            name: self.drawing.name.clone(),
            title: self.drawing.title.clone(),
            inside: self.inside,
            around: self.around,
            frame,
            window,
            targets: self.targets,
            backwards,
        }
    }

    /// Words; what is special about them is set on what comes back.
    fn say(&mut self, at: Xy, text: impl Into<String>, anchor: Anchor) -> &mut Text {
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

    fn heading(&mut self, text: &str, size: f64, bold: bool, top: f64, paper: Paper, most: usize) -> f64 {
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

    fn empty(&mut self, what: &str, frame: Frame) {
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

    fn small(&self) -> f64 {
        0.9 * self.text
    }

    /// Room for the names of the stations.
    fn left_width(&self) -> f64 {
        let labels =
            self.drawing.rules.iter().filter(|rule| rule.along == Along::Y && rule.side == Side::Before);
        // What can be chosen is bold then, and the frame stays where it is.
        let labels = labels.map(|rule| Face::of(rule.choice.is_some()).width(&rule.label, self.text));
        let ticks = self.y_ticks(self.seen.y, self.height);
        let ticks = ticks.iter().map(|tick| Face::Plain.width(&tick.text, self.small()));
        let widest = labels.chain(ticks).fold(0.0, f64::max);
        let axis = if self.drawing.y.label.is_empty() || self.brief { 0.0 } else { 1.5 * self.text };
        axis + if widest > 0.0 { widest.min(WIDEST_NAME * self.text) + 0.8 * self.text } else { 0.0 }
    }

    fn right_width(&self) -> f64 {
        self.drawing.spans.len() as f64 * 2.2 * self.text
    }

    /// Room for ticks and the words under the frame.
    fn below_height(&self) -> f64 {
        let ticks = match self.drawing.x.scale {
            super::Scale::Hidden => 0.3,
            super::Scale::Diameter { .. } if self.brief => 1.6,
            super::Scale::Diameter { .. } => 2.7,
            super::Scale::Amount { .. } | super::Scale::Number | super::Scale::Named(_) => 1.6,
        };
        let label = if self.drawing.x.label.is_empty() || self.brief { 0.0 } else { 1.5 };
        (ticks + label) * self.text
    }

    /// Notes and legend at the foot of the sheet; gives the height at which they begin.
    fn foot(&mut self, paper: Paper, margin: f64, is_small: bool) -> f64 {
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

    fn magnified(&mut self, top: f64, left: f64, projection: Projection, paper: Paper) {
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

    /// Everything in data units.
    fn data(&mut self, projection: Projection) {
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

    fn grid(&mut self, projection: Projection) {
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

    /// The ticks beside a frame so high.
    fn y_ticks(&self, [from, to]: [f64; 2], high: f64) -> Vec<super::scale::Tick> {
        self.drawing.y.scale.ticks(from, to, high / (2.6 * self.text))
    }

    fn x_ticks(&self, projection: Projection) -> Vec<super::scale::Tick> {
        let wide = projection.frame[1][0] - projection.frame[0][0];
        let [from, to] = projection.window.x;
        // Eight characters and a gap for each.
        self.drawing.x.scale.ticks(from, to, wide / (6.5 * self.text))
    }

    fn rules(&mut self, projection: Projection) {
        let drawing = self.drawing;
        let [[left, top], [right, bottom]] = projection.frame;
        let mut beside: Vec<(f64, &super::Rule)> = Vec::new();
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
            if let (Along::Y, Side::Before, false) = (rule.along, rule.side, rule.label.is_empty()) {
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
    fn labels_beside(&mut self, labels: Vec<(f64, &super::Rule)>, frame: Frame) {
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

    fn dimension(&mut self, a: Xy, b: Xy, role: Role) {
        self.inside.push(Shape::Line { points: vec![a, b], pen: Pen::thin(role) });
        self.inside.extend(arrow(b, a, self.text, role));
        self.inside.extend(arrow(a, b, self.text, role));
    }

    /// A place moved into its lane.
    fn laned(&self, [x, y]: Xy, lane: f64) -> Xy {
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

    /// Words centred at a place, moved into the frame, dropped where others stand already.
    fn words_at(&mut self, at: Xy, text: &str, role: Role, frame: Frame) {
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
    fn mark_label(&mut self, mark: &Mark, projection: Projection) {
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

    /// Frame, ticks, words of the axes, spans.
    fn axes(&mut self, projection: Projection) {
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

/// Labels moved apart so that none overlap, each with its own place and that of its words. Where there are too
/// many for the room, every second or third is left out, but never a chosen one.
fn spread(
    mut labels: Vec<(f64, &super::Rule)>,
    high: f64,
    top: f64,
    bottom: f64,
) -> Vec<(f64, f64, &super::Rule)> {
    labels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let most = (((bottom - top) / high).floor() as usize).max(1);
    let every = labels.len().div_ceil(most).max(1);
    let mut kept: Vec<(f64, f64, &super::Rule)> = labels
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

/// A value moved between two ends, or none where they leave no room.
fn held(value: f64, low: f64, high: f64) -> Option<f64> {
    (low <= high && value.is_finite()).then(|| value.clamp(low, high))
}

fn overlap([a_low, a_high]: Frame, [b_low, b_high]: Frame) -> bool {
    (0..2).all(|i| a_low[i] < b_high[i] && b_low[i] < a_high[i])
}

fn corners([low, high]: Frame) -> Vec<Xy> {
    vec![low, [high[0], low[1]], high, [low[0], high[1]]]
}

fn closed(mut points: Vec<Xy>) -> Vec<Xy> {
    points.extend(points.first().copied());
    points
}

/// A factor in words: two figures are enough to know what one sees.
pub fn factor_text(factor: f64) -> String {
    if !factor.is_finite() || factor <= 0.0 {
        return "?".to_owned();
    }
    if factor < 1.0 {
        return format!("{factor:.2}");
    }
    let ten = 10_f64.powf(factor.log10().floor() - 1.0);
    let rounded = (factor / ten).round() * ten;
    if rounded < 10.0 {
        format!("{rounded:.1}").trim_end_matches(".0").to_owned()
    } else {
        format!("{rounded:.0}")
    }
}

/// A dimension line's arrow head at `tip`, coming from `from`.
fn arrow(from: Xy, tip: Xy, text: f64, role: Role) -> Option<Shape> {
    let (dx, dy) = (tip[0] - from[0], tip[1] - from[1]);
    let long = dx.hypot(dy);
    if long < 1.0 {
        return None;
    }
    let (ux, uy) = (dx / long, dy / long);
    let (back, half) = (0.75 * text, 0.2 * text);
    let foot = [tip[0] - back * ux, tip[1] - back * uy];
    let points =
        vec![tip, [foot[0] - half * uy, foot[1] + half * ux], [foot[0] + half * uy, foot[1] - half * ux]];
    Some(Shape::Area { loops: vec![points], fill: Fill::Plain(role) })
}

/// A whisker with a bar at each end.
fn whisker(a: Xy, b: Xy, half: f64, role: Role) -> Vec<Shape> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx.hypot(dy);
    if long < 0.5 {
        return Vec::new();
    }
    let (ux, uy) = (dx / long * half, dy / long * half);
    let bar = |[x, y]: Xy| vec![[x - uy, y + ux], [x + uy, y - ux]];
    let pen = Pen::thin(role);
    [vec![a, b], bar(a), bar(b)].into_iter().map(|points| Shape::Line { points, pen }).collect()
}

/// The shapes of a marker.
fn marker_shapes(marker: Marker, at: Xy, text: f64, role: Role, filled: bool) -> Vec<Shape> {
    let [x, y] = at;
    let r = 0.34 * text;
    let pen = Pen { role, weight: Weight::Thin, pattern: Pattern::Solid };
    let polygon = |points: Vec<Xy>| {
        let fill = Fill::Plain(if filled { role } else { Role::Paper });
        vec![
            Shape::Area { loops: vec![points.clone()], fill },
            Shape::Line {
                points: closed(points),
                pen: Pen { role: if filled { Role::Paper } else { role }, ..pen },
            },
        ]
    };
    match marker {
        Marker::Disc => vec![Shape::Disc {
            at,
            radius: r,
            fill: if filled { role } else { Role::Paper },
            pen: Some(Pen { role: if filled { Role::Paper } else { role }, ..pen }),
        }],
        Marker::Square => polygon(vec![[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]]),
        Marker::Diamond => {
            let r = 1.3 * r;
            polygon(vec![[x, y - r], [x + r, y], [x, y + r], [x - r, y]])
        }
        Marker::Triangle => {
            polygon(vec![[x, y - 1.2 * r], [x + 1.1 * r, y + 0.8 * r], [x - 1.1 * r, y + 0.8 * r]])
        }
        Marker::TriangleDown => {
            polygon(vec![[x, y + 1.2 * r], [x - 1.1 * r, y - 0.8 * r], [x + 1.1 * r, y - 0.8 * r]])
        }
        Marker::ArrowRight => polygon(vec![[x + 1.4 * r, y], [x - r, y - r], [x - r, y + r]]),
        Marker::ArrowLeft => polygon(vec![[x - 1.4 * r, y], [x + r, y - r], [x + r, y + r]]),
        Marker::Cross => vec![
            Shape::Line { points: vec![[x - r, y - r], [x + r, y + r]], pen: Pen::thick(role) },
            Shape::Line { points: vec![[x - r, y + r], [x + r, y - r]], pen: Pen::thick(role) },
        ],
        Marker::Number(number) => {
            let size = 0.8 * text;
            vec![
                Shape::Disc { at, radius: 0.72 * text, fill: Role::Paper, pen: Some(Pen::thick(role)) },
                Shape::Text(Text {
                    at,
                    text: number.to_string(),
                    size,
                    role: Role::Ink,
                    anchor: Anchor::Middle,
                    bold: true,
                    turned: false,
                    cleared: false,
                }),
            ]
        }
    }
}

/// The part of a drawing that shows it all.
pub fn whole(drawing: &Drawing) -> Window {
    let range = |axis: &Axis| [axis.from, axis.to];
    Window { x: range(&drawing.x), y: range(&drawing.y) }
}
