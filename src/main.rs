//! The door: parse, dispatch, print an error with its hints, exit code.

use std::process::ExitCode;

use clap::Parser;
use countoff::cli::{self, Arguments};

fn main() -> ExitCode {
    match cli::run(Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            cli::print_failure(&failure);
            failure.exit_code()
        }
    }
}
