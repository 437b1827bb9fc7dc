//! The program `borewright`.

#[cfg(feature = "gui")]
use std::io::Write as _;
use std::process::ExitCode;

fn main() -> ExitCode {
    window()
}

/// Opens the window, with the file that is named, if one is.
#[cfg(feature = "gui")]
fn window() -> ExitCode {
    match borewright::gui::run(std::env::args_os().nth(1).map(Into::into)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            let _ = writeln!(std::io::stderr(), "{message}");
            ExitCode::FAILURE
        }
    }
}

/// There is no window in this build.
#[cfg(not(feature = "gui"))]
fn window() -> ExitCode {
    ExitCode::FAILURE
}
