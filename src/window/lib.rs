//! The window: places around one [`Session`](work::session::Session), each a function that draws and asks.
//!
//! Nothing is computed or changed while drawing. A view is a function
//! `pub fn name_ui(ui: &mut Ui, cx: &mut ViewCx, view: &mut NameView)`: it reads the session, the evaluation
//! and the preferences through [`ViewCx`], keeps only what is half typed or folded open in its own `NameView`,
//! and pushes [`Action`]s; [`App`] carries them out when the frame is drawn, and the record is changed by
//! [`Session::dispatch`](work::session::Session::dispatch) alone.
//!
//! # To add a view
//! 1. Write `views/name.rs` with `NameView` (`Default`, in [`open_document::Views`] as `views.name`) and `name_ui`.
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
mod cx;
mod dialogs;
pub mod engines;
mod fields;
mod hidden;
mod keystrokes;
pub mod lesson;
pub mod open_document;
mod place;
pub mod plot;
pub mod prefs;
mod reported;
pub mod symbols;
pub mod theme;
mod tour;
pub mod views;

use std::path::PathBuf;

use eframe::egui;
use records::diag::Diagnostic;

pub use app::{App, Setup};
pub use command::{Menu, UserCommand};
pub use cx::{Action, Chosen, ViewCx};
pub use place::Place;

/// The name under which the system keeps the program's own files.
pub const APP_ID: &str = "borewright";

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
