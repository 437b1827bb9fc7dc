//! The program `borewright`: a command is worked on; a file, or nothing, opens the window.

use std::path::PathBuf;
use std::process::ExitCode;

use borewright::cli::{self, Args};
use clap::Parser as _;

fn main() -> ExitCode {
    #[cfg(unix)]
    borewright::store::signals::outlive_size_limit();
    let args = Args::parse();
    match args.command {
        Some(command) => cli::run(command),
        None => window(args.file),
    }
}

/// Opens the window, with the file that was named, if one was.
#[cfg(feature = "gui")]
fn window(file: Option<PathBuf>) -> ExitCode {
    match cli::there(file) {
        Ok(file) => match borewright::gui::run(file) {
            Ok(()) => ExitCode::SUCCESS,
            Err(message) => cli::refuse(format!("error: {message}")),
        },
        Err(message) => cli::refuse(message),
    }
}

/// There is no window in this build: the help is all there is to show.
#[cfg(not(feature = "gui"))]
fn window(file: Option<PathBuf>) -> ExitCode {
    match cli::there(file) {
        Ok(None) => cli::help(),
        Ok(Some(_)) => cli::refuse(
            "error: This program was built without its window (feature `gui`). Use `borewright judge FILE`."
                .to_owned(),
        ),
        Err(message) => cli::refuse(message),
    }
}
