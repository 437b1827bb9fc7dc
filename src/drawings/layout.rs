//! From a drawing to a sheet: plain shapes in points, and what can be pointed at.
//!
//! Everything that both screen and paper must agree on happens here: margins, ticks, where a label stands and
//! which one is dropped for want of room, the factor of magnification. Words are as wide as their [`Face`](crate::typeface::Face) says.
//! Points grow to the right and down. What a sheet is, and the order in which it is laid out, stand here; each part of it
//! has a file.

#![expect(clippy::indexing_slicing, reason = "0 and 1, along and across")]

mod axes;
mod beside;
mod foot;
mod inside;
mod shapes;
mod words;

use super::{Axis, Choice, Drawing, Fill, Hover, Magnified, Pen, Role, Xy};
use beside::rows_above;
use inside::lanes;

pub use shapes::factor_text;

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
pub struct DrawingSheet {
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

impl DrawingSheet {
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

/// Does a place lie within a frame?
fn contains([low, high]: Frame, [x, y]: Xy) -> bool {
    (low[0]..=high[0]).contains(&x) && (low[1]..=high[1]).contains(&y)
}

#[derive(Clone, Copy)]
struct Projection {
    frame: Frame,
    window: Window,
    backwards: [bool; 2],
}

/// No coordinate on a sheet is farther out, however far it is zoomed.
const FARTHEST: f64 = 20_000.0;

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
pub fn lay_out(drawing: &Drawing, paper: Paper, window: Option<Window>) -> DrawingSheet {
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

impl Layout<'_> {
    fn sheet(mut self, paper: Paper, frame: Frame, window: Window, backwards: [bool; 2]) -> DrawingSheet {
        // Words last, over everything else.
        self.around.extend(self.words.into_iter().map(Shape::Text));
        DrawingSheet {
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

    fn small(&self) -> f64 {
        0.9 * self.text
    }
}

/// The part of a drawing that shows it all.
pub fn whole(drawing: &Drawing) -> Window {
    let range = |axis: &Axis| [axis.from, axis.to];
    Window { x: range(&drawing.x), y: range(&drawing.y) }
}
