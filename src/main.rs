//! The program `borewright`.

use std::process::ExitCode;

use borewright::cli;
use clap::Parser as _;

fn main() -> ExitCode {
    cli::run(cli::Args::parse())
}
