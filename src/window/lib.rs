//! The window: places around one [`Session`], each a function that draws and asks.
//!
//! Nothing is computed or changed while drawing. A view is a function
//! `pub fn name_ui(ui: &mut Ui, cx: &mut ViewCx, view: &mut NameView)`: it reads the session, the evaluation
//! and the preferences through [`ViewCx`], keeps only what is half typed or folded open in its own `NameView`,
//! and pushes [`Action`]s; [`App`] carries them out when the frame is drawn, and the record is changed by
//! [`Session::dispatch`] alone.
//!
//! # To add a view
//! 1. Write `views/name.rs` with `NameView` (`Default`, in [`desk::Views`] as `views.name`) and `name_ui`.
//! 2. Add the variant to [`Place`], with its word and its key: menu, page of keys and keyboard follow.
//! 3. Call it in `app.rs`, function `desk_ui`: in the arm of its place, and where it is one of the places
//!    seen together ([`Place::is_bench`]), in the layout of the bench.
//!
//! Every control has an accessible name (a label of its own, or `widget_info`), a target at least 28 points
//! high, and a colour only from [`theme::Palette`]. A row or outcome shows its symbol ([`symbols`]) and its
//! word. A link to a cell is `Action::Cell`; it chooses the cell in every view at once, as
//! [`ViewCx::chosen`] says. Figures are shown through [`ViewCx::figure`], so that the unit can be switched.

#![cfg(feature = "gui")]

mod app;
pub(crate) mod browse;
mod command;
pub mod desk;
mod dialogs;
mod hidden;
mod keystrokes;
pub mod plot;
pub mod prefs;
pub mod symbols;
pub mod theme;
mod tour;
pub mod views;

use std::path::PathBuf;

use eframe::egui::{self, Key};

use quantities::length::{Mean, Style};
use records::bore::Point;
use records::diag::Diagnostic;
use records::record::schema::Cylinder;
use work::session::{Command, CylinderEdit, Session};

pub use app::{App, Setup};
pub use command::{Menu, UserCommand};
use prefs::Prefs;
use theme::Palette;

/// The name under which the system keeps the program's own files.
pub const APP_ID: &str = "borewright";

/// A place of the window. The Bank is no place: it is always in sight.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Place {
    /// The check sheet.
    #[default]
    Sheet,
    /// The drawings.
    Bore,
    /// The recommendation and the person's decision.
    Outcome,
    /// Findings by eye.
    Walkround,
    /// Parts that run in the bore.
    Fits,
    /// The table of limits.
    Limits,
    /// The engine, the overhaul, and which cylinder is where.
    Engine,
    /// Across overhauls.
    Life,
    /// The classroom. It needs no record.
    Lesson,
    /// What is printed.
    Paper,
}

impl Place {
    /// Every place, in the order of work.
    pub const ALL: [Self; 10] = [
        Self::Sheet,
        Self::Bore,
        Self::Outcome,
        Self::Walkround,
        Self::Fits,
        Self::Limits,
        Self::Engine,
        Self::Life,
        Self::Lesson,
        Self::Paper,
    ];

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sheet => "Sheet",
            Self::Bore => "Bore",
            Self::Outcome => "Outcome",
            Self::Walkround => "Walkround",
            Self::Fits => "Fits",
            Self::Limits => "Limits",
            Self::Engine => "Engine",
            Self::Life => "Life",
            Self::Lesson => "Lesson",
            Self::Paper => "Paper",
        }
    }

    /// The key that goes there.
    pub fn key(self) -> Key {
        match self {
            Self::Sheet => Key::F2,
            Self::Bore => Key::F3,
            Self::Outcome => Key::F4,
            Self::Walkround => Key::F5,
            Self::Fits => Key::F6,
            Self::Limits => Key::F7,
            Self::Engine => Key::F8,
            Self::Life => Key::F9,
            Self::Lesson => Key::F10,
            Self::Paper => Key::F11,
        }
    }

    /// Is it one of the places that are seen together where there is room?
    pub fn is_bench(self) -> bool {
        match self {
            Self::Sheet | Self::Outcome => true,
            // A drawing of it is; all six want the whole work area.
            Self::Bore => false,
            Self::Walkround
            | Self::Fits
            | Self::Limits
            | Self::Engine
            | Self::Life
            | Self::Lesson
            | Self::Paper => false,
        }
    }
}

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
    fn choose(&mut self, cell: (Point, usize)) {
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

/// Opens the window, with a file if one is named.
///
/// # Errors
/// If the system gives no window, in words.
pub fn run(file: Option<PathBuf>) -> Result<(), String> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_app_id(APP_ID)
            .with_title("Borewright")
            .with_inner_size([1440.0, 900.0])
            .with_min_inner_size([720.0, 480.0]),
        renderer: eframe::Renderer::Glow,
        // The program brings its font; the same glyphs everywhere.
        system_font_fallback: false,
        ..Default::default()
    };
    eframe::run_native(
        APP_ID,
        options,
        Box::new(move |cc| {
            let folder = eframe::storage_dir(APP_ID);
            let homeless = folder.is_none();
            let mut app = App::new(cc, Setup { file, folder });
            if homeless {
                app.tell(
                    Diagnostic::note(
                        "There is no folder for recovery copies, so what you type is not protected.",
                    )
                    .remedy("Save often."),
                );
            }
            #[cfg(unix)]
            app.end_when_asked(cc.egui_ctx.clone());
            Ok(Box::new(app))
        }),
    )
    .map_err(|error| {
        format!(
            "the window cannot be opened: {error}. Is there a display? The commands work without one: see \
             borewright --help."
        )
    })
}
