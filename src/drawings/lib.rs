//! The drawings of one cylinder as finished descriptions, without a screen and without colours.
//!
//! A [`Drawing`] says what is drawn: bands, lines, marks, cells, in data units and in *roles*. [`layout`]
//! turns it into a [`DrawingSheet`](layout::DrawingSheet) of plain shapes in points, with the ticks, the labels and what
//! can be pointed at; that happens once, so the window, a saved picture and the printed report cannot differ.
//! The back ends, [`svg`] here and a painter in the window, only translate shapes.
//!
//! | file | drawing |
//! |---|---|
//! | `profile` | diameter against depth, as the barrel stands, over the bands of the table |
//! | `taper` | how the diameter runs along the bore, against the taper row and under its rule |
//! | `out_of_round` | out-of-round by station, against its row |
//! | `section` | the bore across at one station, deviation magnified |
//! | `cut_open` | the barrel cut open lengthwise, deviation magnified |
//! | `unrolled` | the wall unrolled, depth by angle, wear as a colour map |
//! | `over_time` | a figure across overhauls: surveys, line, bands, when the limit is reached |
//! | `overhauls` | the profiles of several overhauls over each other, and as a difference |
//! | `wall` | the wall of a bore that is known all the way round, and what a gauge makes of it |
//!
//! Lines follow ISO 128: thick outlines, thin dimension and limit lines, chain lines for centre lines,
//! hatching for cut metal. Lengths are in millimetres, angles in degrees, counted as the axes of the table.
//! A number shown is made from the exact value, never from a coordinate.
//!
//! [`picture`] makes the file of a drawing; [`typeface`] knows how wide words are.

pub mod cut_open;
pub mod hatch;
pub mod layout;
pub mod out_of_round;
pub mod over_time;
pub mod overhauls;
pub mod palette;
pub mod picture;
pub mod profile;
pub mod ramp;
pub mod scale;
pub mod section;
pub mod svg;
pub mod taper;
pub mod typeface;
pub mod unrolled;
pub mod wall;

mod along;
mod words;

use figures::certainty::budget::Budget;
use judging::Assessment;
use quantities::length::{Style, Unit};
use records::bore::Point;
use records::limits::Limits;
use records::survey::{Cylinder, Survey};

pub use scale::Scale;
pub use words::depth_style;

/// A place in data units: across, along.
pub type Xy = [f64; 2];

/// What a line, a fill or a word stands for; each back end has its own colours for them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// Within the as-made limits.
    AsMade,
    /// Worn, within the serviceable limit.
    Serviceable,
    /// Beyond the serviceable limit.
    Beyond,
    /// Where an oversize would finish.
    ReboreTo,
    /// A reading on the first axis.
    Reading,
    /// A reading on another axis.
    SecondAxis,
    /// What the person should look at: the chosen station, a finding.
    Attention,
    /// Outlines and words.
    Ink,
    /// Grid and helping lines, quieter than ink.
    Guide,
    /// The ground that everything is drawn on.
    Paper,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 10] = [
        Self::AsMade,
        Self::Serviceable,
        Self::Beyond,
        Self::ReboreTo,
        Self::Reading,
        Self::SecondAxis,
        Self::Attention,
        Self::Ink,
        Self::Guide,
        Self::Paper,
    ];
}

/// How heavy a line is: ISO 128 has two weights, the thick one twice the thin one; a hair line is for grids.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Weight {
    /// Outlines.
    Thick,
    /// Dimension lines, limits, hatching.
    Thin,
    /// Grids.
    Hair,
}

impl Weight {
    /// Width in points.
    pub fn points(self) -> f64 {
        match self {
            Self::Thick => 2.0,
            Self::Thin => 1.0,
            Self::Hair => 0.5,
        }
    }
}

/// How a line is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pattern {
    /// Unbroken.
    Solid,
    /// Dashes: hidden, or not measured.
    Dashed,
    /// Dots.
    Dotted,
    /// Long and short in turn: centre lines, ends of travel.
    Chain,
}

impl Pattern {
    /// Lengths of stroke and gap in turn, in points; empty for an unbroken line.
    pub fn points(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[6.0, 3.0],
            Self::Dotted => &[1.5, 3.0],
            Self::Chain => &[14.0, 3.0, 2.0, 3.0],
        }
    }
}

/// What a line is drawn with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pen {
    /// What it stands for.
    pub role: Role,
    /// How heavy.
    pub weight: Weight,
    /// How broken.
    pub pattern: Pattern,
}

impl Pen {
    /// A thick unbroken line.
    pub const fn thick(role: Role) -> Self {
        Self { role, weight: Weight::Thick, pattern: Pattern::Solid }
    }

    /// A thin unbroken line.
    pub const fn thin(role: Role) -> Self {
        Self { role, weight: Weight::Thin, pattern: Pattern::Solid }
    }

    /// A hair line.
    pub const fn hair(role: Role) -> Self {
        Self { role, weight: Weight::Hair, pattern: Pattern::Solid }
    }

    /// The same, broken.
    #[must_use]
    pub const fn broken(mut self, pattern: Pattern) -> Self {
        self.pattern = pattern;
        self
    }
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// A tint and a hatch of a role; an area with a tint must be convex.
    Band(Role),
    /// Cut metal: hatched, without a tint.
    Metal,
    /// The hatch of a role's band without its tint, for an area that need not be convex.
    Hatched(Role),
    /// The plain colour of a role.
    Plain(Role),
    /// A step of the colour map, 0 the least and 1 the most.
    Step(f64),
}

/// The shape of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Marker {
    /// A disc.
    Disc,
    /// A square.
    Square,
    /// A diamond.
    Diamond,
    /// A triangle on its base.
    Triangle,
    /// A triangle on its tip.
    TriangleDown,
    /// A cross.
    Cross,
    /// A finding: its number in a ring.
    Number(usize),
    /// An arrow to the right: the reading is beyond the edge of the drawing.
    ArrowRight,
    /// An arrow to the left.
    ArrowLeft,
}

/// The two directions of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Along {
    /// Across the sheet.
    X,
    /// Down the sheet.
    Y,
}

/// Before: above or left of the frame. After: below or right of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LabelSide {
    /// Above or left.
    Before,
    /// Below or right.
    After,
}

/// A station, or a cell of it, that is chosen or can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Choice {
    /// Index of the station.
    pub station: usize,
    /// Index of the axis; none: the whole station.
    pub axis: Option<usize>,
}

impl Choice {
    /// Is this point within the choice?
    pub fn covers(self, at: Point) -> bool {
        self.station == at.station && self.axis.is_none_or(|axis| axis == at.axis)
    }
}

impl From<Point> for Choice {
    fn from(at: Point) -> Self {
        Self { station: at.station, axis: Some(at.axis) }
    }
}

/// What pointing at something says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hover {
    /// Where it is.
    pub place: String,
    /// The number with its unit, and how sure it is.
    pub value: String,
    /// How much is left, or over.
    pub margin: String,
    /// Where the limit stands and what it was read with.
    pub source: String,
}

impl Hover {
    /// The lines that hold anything.
    pub fn lines(&self) -> impl Iterator<Item = &str> {
        [&self.place, &self.value, &self.margin, &self.source]
            .into_iter()
            .map(String::as_str)
            .filter(|line| !line.is_empty())
    }
}

/// An axis of the drawing: what it shows, from where to where.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Its words, with the unit once; empty for none.
    pub label: String,
    /// The least value in sight.
    pub from: f64,
    /// The greatest value in sight; always more than `from`.
    pub to: f64,
    /// How its ticks are made.
    pub scale: Scale,
    /// Larger values are to the left, or at the bottom.
    pub backwards: bool,
}

/// A band right across the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// The direction its two ends are counted in.
    pub along: Along,
    /// Its beginning; may be infinite.
    pub from: f64,
    /// Its end; may be infinite.
    pub to: f64,
    /// What it stands for.
    pub role: Role,
}

/// A straight line right across the drawing, with a label outside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The direction its place is counted in.
    pub along: Along,
    /// Its place.
    pub at: f64,
    /// What it is drawn with.
    pub pen: Pen,
    /// Its label; empty for none.
    pub label: String,
    /// Where the label stands.
    pub side: LabelSide,
    /// What choosing it chooses.
    pub choice: Option<Choice>,
    /// It is chosen.
    pub chosen: bool,
}

impl Rule {
    /// A rule that chooses nothing, its label before it.
    fn new(along: Along, at: f64, pen: Pen, label: String) -> Self {
        Self { along, at, pen, label, side: LabelSide::Before, choice: None, chosen: false }
    }
}

/// A stretch along the drawing with a dimension line beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// Its beginning, counted down the sheet.
    pub from: f64,
    /// Its end.
    pub to: f64,
    /// What it is.
    pub label: String,
}

/// A line through places.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnLine {
    /// The places.
    pub points: Vec<Xy>,
    /// Which lane beside its depth it is drawn in, -0.5 to 0.5, so that axes do not hide each other.
    pub lane: f64,
    /// What it is drawn with.
    pub pen: Pen,
}

/// A filled area between closed loops: inside is what an odd number of them surrounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// The loops.
    pub loops: Vec<Vec<Xy>>,
    /// How it is filled.
    pub fill: Fill,
}

/// A step of the colour map.
#[derive(Clone, Debug, PartialEq)]
pub struct ColourCell {
    /// One corner.
    pub from: Xy,
    /// The opposite corner.
    pub to: Xy,
    /// Its step, 0 the least and 1 the most.
    pub step: f64,
    /// What pointing at it says.
    pub hover: Hover,
}

/// A mark: a reading, a figure, a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Where.
    pub at: Xy,
    /// Which lane beside its depth it is drawn in, -0.5 to 0.5.
    pub lane: f64,
    /// Its shape.
    pub marker: Marker,
    /// Filled rather than open.
    pub filled: bool,
    /// What it stands for.
    pub role: Role,
    /// The ends of its expanded uncertainty.
    pub whisker: Option<[Xy; 2]>,
    /// The single readings whose mean it is, where there are several.
    pub repeats: Vec<Xy>,
    /// Beyond its limit: a bar crosses it.
    pub beyond: bool,
    /// Words beside it; empty for none.
    pub label: String,
    /// A label that must not be dropped for want of room.
    pub must_label: bool,
    /// What pointing at it says.
    pub hover: Hover,
    /// What choosing it chooses.
    pub choice: Option<Choice>,
    /// It is chosen.
    pub chosen: bool,
}

impl Mark {
    /// A mark with nothing special about it: a filled disc for a reading.
    fn plain(at: Xy) -> Self {
        Self {
            at,
            lane: 0.0,
            marker: Marker::Disc,
            filled: true,
            role: Role::Reading,
            whisker: None,
            repeats: Vec::new(),
            beyond: false,
            label: String::new(),
            must_label: false,
            hover: Hover::default(),
            choice: None,
            chosen: false,
        }
    }

    /// The number of a finding in its place; `number` counts from 1, as in the legend.
    fn finding(at: Xy, number: usize, words: String, choice: Option<Choice>) -> Self {
        Self {
            marker: Marker::Number(number),
            filled: false,
            role: Role::Attention,
            hover: Hover { place: words, ..Hover::default() },
            choice,
            ..Self::plain(at)
        }
    }
}

/// A dimension line with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// One end.
    pub from: Xy,
    /// The other end.
    pub to: Xy,
    /// Its words.
    pub text: String,
    /// What it stands for.
    pub role: Role,
}

/// Words at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Where, in data units; the words are centred on it.
    pub at: Xy,
    /// The words.
    pub text: String,
    /// What they stand for.
    pub role: Role,
}

/// What stands before the words of a legend's entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sample {
    /// A line, and a mark on it.
    Line(Pen, Option<(Marker, bool)>),
    /// A filled patch.
    Patch(Fill),
    /// A mark alone.
    Mark(Marker, Role),
}

/// An entry of the legend.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// How it looks.
    pub sample: Sample,
    /// What it is.
    pub text: String,
}

/// The legend of a colour map: steps and the numbers between them.
#[derive(Clone, Debug, PartialEq)]
pub struct StepLegend {
    /// What it shows, with its unit.
    pub label: String,
    /// The numbers at the bounds of the steps: one more than there are steps.
    pub bounds: Vec<String>,
}

/// How deviations are magnified.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Magnified {
    /// Not at all.
    No,
    /// So many times against the rest of the drawing.
    By(f64),
    /// By the scales of the two axes; the sheet works out the factor.
    ByAxes,
}

/// One finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Its title, such as `Bore profile, cylinder 3 (K-117)`.
    pub title: String,
    /// The title without the cylinder, where that is in sight anyway.
    pub short: String,
    /// What it says in one sentence, for those who do not see it.
    pub name: String,
    /// The fact that matters, in one sentence; empty for none.
    pub lead: String,
    /// Across the sheet.
    pub x: Axis,
    /// Down the sheet.
    pub y: Axis,
    /// Both axes have the same scale.
    pub equal: bool,
    /// A frame is drawn around it.
    pub framed: bool,
    /// Steps of the colour map, under everything.
    pub cells: Vec<ColourCell>,
    /// Bands right across.
    pub bands: Vec<Band>,
    /// Filled areas.
    pub areas: Vec<Area>,
    /// Lines right across.
    pub rules: Vec<Rule>,
    /// Stretches along, with dimension lines.
    pub spans: Vec<Span>,
    /// Lines.
    pub lines: Vec<DrawnLine>,
    /// Dimension lines.
    pub dimensions: Vec<Dimension>,
    /// Marks.
    pub marks: Vec<Mark>,
    /// Words in the drawing.
    pub labels: Vec<Label>,
    /// Legend.
    pub legend: Vec<Entry>,
    /// Legend of the colour map.
    pub steps: Option<StepLegend>,
    /// Remarks under it.
    pub notes: Vec<String>,
    /// How deviations are magnified.
    pub magnified: Magnified,
    /// Nothing can be drawn: what belongs here and how to put it there.
    pub empty: Option<String>,
}

impl Drawing {
    /// A drawing with nothing in it yet.
    fn new(title: String, x: Axis, y: Axis) -> Self {
        Self {
            name: title.clone(),
            short: title.split_once(", cylinder").map_or(title.as_str(), |(short, _)| short).to_owned(),
            title,
            lead: String::new(),
            x,
            y,
            equal: false,
            framed: true,
            cells: Vec::new(),
            bands: Vec::new(),
            areas: Vec::new(),
            rules: Vec::new(),
            spans: Vec::new(),
            lines: Vec::new(),
            dimensions: Vec::new(),
            marks: Vec::new(),
            labels: Vec::new(),
            legend: Vec::new(),
            steps: None,
            notes: Vec::new(),
            magnified: Magnified::No,
            empty: None,
        }
    }

    /// A drawing that only says what belongs in its place.
    fn empty(title: String, what: &str) -> Self {
        let axis =
            || Axis { label: String::new(), from: 0.0, to: 1.0, scale: Scale::Hidden, backwards: false };
        let mut drawing = Self::new(title, axis(), axis());
        drawing.name = format!("{}: {what}", drawing.title);
        drawing.empty = Some(what.to_owned());
        drawing
    }
}

/// Which oversizes the profile shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Oversizes {
    /// None.
    None,
    /// The one that is recommended, if any.
    #[default]
    Recommended,
    /// All of the table that are larger than the present size.
    All,
}

/// What a person can change about the drawings.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Options {
    /// Unit to show; none: as the readings were written.
    pub unit: Option<Unit>,
    /// What is chosen.
    pub chosen: Option<Choice>,
    /// Which oversizes the profile shows.
    pub oversizes: Oversizes,
    /// How often deviations are magnified in section and cut; none: as it fits best.
    pub magnification: Option<f64>,
}

/// Which drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum View {
    /// The bore profile.
    #[default]
    Profile,
    /// Taper along the bore.
    Taper,
    /// Out-of-round by station.
    OutOfRound,
    /// The section at a station.
    Section,
    /// The barrel cut open.
    CutOpen,
    /// The wall unrolled.
    Unrolled,
}

impl View {
    /// Every view, in the order they are offered.
    pub const ALL: [Self; 6] =
        [Self::Profile, Self::Taper, Self::OutOfRound, Self::Section, Self::CutOpen, Self::Unrolled];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Profile => "Bore profile",
            Self::Taper => "Taper",
            Self::OutOfRound => "Out-of-round",
            Self::Section => "Section",
            Self::CutOpen => "Barrel cut open",
            Self::Unrolled => "Wall unrolled",
        }
    }

    /// Its drawing of a cylinder.
    pub fn draw(self, subject: Subject<'_>, options: &Options) -> Drawing {
        match self {
            Self::Profile => profile::profile(subject, options),
            Self::Taper => taper::taper(subject, options),
            Self::OutOfRound => out_of_round::out_of_round(subject, options),
            Self::Section => section::section(subject, options),
            Self::CutOpen => cut_open::cut_open(subject, options),
            Self::Unrolled => unrolled::unrolled(subject, options),
        }
    }
}

/// What is drawn: a cylinder of a survey and its assessment.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The cylinder, one of the survey's.
    pub cylinder: &'a Cylinder,
    /// Its assessment.
    pub assessment: &'a Assessment,
}

impl Subject<'_> {
    /// The table of limits.
    fn limits(&self) -> &Limits {
        &self.survey.limits
    }

    /// How its numbers are written.
    fn style(&self, options: &Options) -> Style {
        let style = self.cylinder.style(self.limits());
        match options.unit {
            Some(unit) if unit != style.unit => Style::usual(unit),
            _ => style,
        }
    }

    /// `Section at station B, cylinder 3 (K-117)`.
    fn title(&self, what: &str) -> String {
        format!("{what}, {}", self.cylinder.words())
    }
}

/// The expanded uncertainty for 95 %, in millimetres; none if nothing is known about it.
fn expanded_mm(budget: &Budget) -> Option<f64> {
    let expanded = budget.expanded_95().u_mm;
    (expanded.is_finite() && expanded > 0.0).then_some(expanded)
}

#[cfg(test)]
mod tests;
