//! The command line: a thin shell around the library, and the only place that touches disk,
//! clock, environment and terminal.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "this is the shell")]

mod args;
mod check;
mod completions;
mod course;
mod explain;
mod failure;
mod fonts;
mod input;
mod keyboard;
mod making;
mod outline;
mod output;
mod overrides;
mod plan_table;
mod progress;
mod quick;
mod render;
mod schema;
mod soundfonts;
mod sounds;
mod sources;
mod start;
mod styles;
mod techniques;
mod verify;
mod watch;

pub use args::Arguments;
pub use failure::Failure;

use args::Command;

/// Does what was typed.
///
/// # Errors
/// What went wrong, ready to be printed.
pub fn run(arguments: Arguments) -> Result<(), Failure> {
    match arguments.command {
        Command::Render(options) => render::run(&options),
        Command::Collect(options) => render::collect(&options),
        Command::Quick(options) => quick::run(&options),
        Command::Check(options) => check::run(&options),
        Command::Soundfonts(options) => soundfonts::run(&options),
        Command::Explain(options) => explain::run(&options),
        Command::Styles(options) => styles::run(&options),
        Command::Techniques(options) => techniques::run(&options),
        Command::Verify(options) => verify::run(&options),
        Command::Schema(options) => schema::run(&options),
        Command::Start(options) => start::run(&options),
        Command::Completions { shell } => completions::run(shell),
    }
}

/// Prints a failure on standard error, each report with the text that it is about.
pub fn print_failure(failure: &Failure) {
    for report in failure.reports() {
        eprintln!("{report:?}");
    }
}
