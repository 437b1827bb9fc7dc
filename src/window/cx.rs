//! What a view may see, and what it may ask for.

use std::path::PathBuf;

use quantities::length::{Mean, Style};
use records::bore::Point;
use records::diag::Diagnostic;
use records::record::schema::Cylinder;
use work::session::{Command, CylinderEdit, Session};

use super::command::UserCommand;
use super::prefs::Prefs;
use super::theme::Palette;

/// Something a view asks for; carried out when the frame is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Change the record.
    Do(Command),
    /// What follows is another step, even in the same field.
    Seal,
    /// Choose a cylinder, by its index.
    Cylinder(usize),
    /// Choose a cell and a repeat of the chosen cylinder, and go to its place on the sheet.
    Cell(Point, usize),
    /// Choose a cell of the chosen cylinder and stay where one is.
    Look(Point, usize),
    /// Go to an overhaul, by its index.
    Overhaul(usize),
    /// What a menu or a key would do.
    User(UserCommand),
    /// Open a record.
    OpenFile(PathBuf),
    /// Open a demo engine, by its index.
    OpenDemo(usize),
    /// Choose the order that readings are taken in.
    Order(records::record::entry::MeasuringOrder),
    /// The cautions have been read for this engine.
    CautionsRead,
    /// Tell the person something.
    Tell(Diagnostic),
}

/// What is chosen: the same in every view.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Chosen {
    /// Index of the cylinder.
    pub cylinder: usize,
    /// The cell and the repeat.
    pub cell: Option<(Point, usize)>,
    /// It was chosen on another cylinder: the drawings stay at its place, the sheet begins anew.
    pub carried: bool,
}

impl Chosen {
    /// A cell of this cylinder.
    pub(crate) fn choose(&mut self, cell: (Point, usize)) {
        (self.cell, self.carried) = (Some(cell), false);
    }

    /// The cell on the sheet, if there is one.
    pub fn point(&self) -> Option<Point> {
        self.cell.map(|(at, _)| at)
    }
}

/// What a view may see, and where it puts what it asks for.
pub struct ViewCx<'a> {
    /// The record under work and its evaluation.
    pub session: &'a Session,
    /// The person's preferences.
    pub prefs: &'a Prefs,
    /// The colours in use.
    pub palette: Palette,
    /// What is chosen.
    pub chosen: Chosen,
    /// The record's file; none: never saved.
    pub path: Option<&'a std::path::Path>,
    /// The program's own folder; none: nothing is kept there.
    pub folder: Option<&'a std::path::Path>,
    /// What is asked for.
    pub actions: &'a mut Vec<Action>,
}

impl<'a> ViewCx<'a> {
    /// Asks for something.
    pub fn ask(&mut self, action: Action) {
        self.actions.push(action);
    }

    /// Asks for a change of the chosen cylinder.
    pub fn edit(&mut self, edit: CylinderEdit) {
        self.ask(Action::Do(Command::Cylinder(self.chosen.cylinder, edit)));
    }

    /// The chosen cylinder as written.
    pub fn cylinder(&self) -> Option<&'a Cylinder> {
        self.session.cylinder(self.chosen.cylinder)
    }

    /// A figure with its unit, in the unit that the person wants to see.
    pub fn figure(&self, value: impl Into<Mean>, written: Style) -> String {
        value.into().text(self.prefs.shown(written))
    }
}

/// Today, by universal time: a day for a person to correct.
pub(crate) fn today() -> jiff::civil::Date {
    jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date()
}
