//! The program: see [`countoff::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    countoff::cli::main()
}
