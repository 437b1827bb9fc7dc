//! The program `borewright`: a command is worked on; a file, or nothing, opens the window.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser as _;
use command_line::Args;

fn main() -> ExitCode {
    #[cfg(unix)]
    records::store::signals::outlive_size_limit();
    #[cfg(feature = "paper")]
    if let Some(done) = command_line::set_for_another() {
        return done;
    }
    records::kind::register(&[work::KINDS, classroom::KINDS]);
    let args = Args::parse();
    match args.command {
        Some(command) => command_line::run(command),
        None => window(args.file),
    }
}

/// Opens the window, with the file that was named, if one was.
#[cfg(feature = "gui")]
fn window(file: Option<PathBuf>) -> ExitCode {
    match command_line::there(file) {
        Ok(file) => match window::run(file) {
            Ok(()) => ExitCode::SUCCESS,
            Err(message) => command_line::refuse(format!("error: {message}")),
        },
        Err(message) => command_line::refuse(message),
    }
}

/// There is no window in this build: the help is all there is to show.
#[cfg(not(feature = "gui"))]
fn window(file: Option<PathBuf>) -> ExitCode {
    match command_line::there(file) {
        Ok(None) => command_line::help(),
        Ok(Some(_)) => command_line::refuse(
            "error: This program was built without its window (feature `gui`). Use `borewright judge FILE`."
                .to_owned(),
        ),
        Err(message) => command_line::refuse(message),
    }
}
