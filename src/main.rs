//! The program `borewright`: a command does its work in the terminal; without one the window opens.

use std::process::ExitCode;

use borewright::cli;
use clap::Parser as _;

fn main() -> ExitCode {
    let args = cli::Args::parse();
    #[cfg(feature = "gui")]
    if args.command.is_none() {
        return window(args.file);
    }
    cli::run(args)
}

/// Opens the window, with a record if one is named.
#[cfg(feature = "gui")]
fn window(file: Option<std::path::PathBuf>) -> ExitCode {
    use clap::CommandFactory as _;
    // A mistyped command looks like a file, and is told in the terminal where it was typed.
    if let Some(missing) = file.as_deref().filter(|file| !file.exists()) {
        let message = format!("there is no command and no file `{}`", missing.display());
        cli::Args::command().error(clap::error::ErrorKind::InvalidSubcommand, message).exit();
    }
    match borewright::gui::run(file) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            anstream::eprintln!("error: {message}");
            ExitCode::FAILURE
        }
    }
}
