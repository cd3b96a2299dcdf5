//! The command line: a thin shell around the library, and the only place that touches clock,
//! environment and terminal.
//!
//! A command walks one way. `args` is what was typed; `request` is what that asks for, checked as
//! far as it can be without a lesson; `job` is the request with its lessons read; `making` makes
//! the files of a job. Watching is a loop around the last two.
//!
//! ```text
//! args ──> request ──> job ──> making ──> files
//!                       ^        │
//!                       └─ watch ┘
//! ```

mod args;
mod changes;
mod check;
mod completions;
mod course;
mod escape;
mod explain;
mod failure;
mod input;
mod interrupt;
mod job;
mod keyboard;
mod making;
mod man;
mod output;
mod quick;
mod render;
mod report;
mod request;
mod schema;
mod soundfonts;
mod sounds;
mod sources;
mod start;
mod styles;
mod techniques;
mod tracks;
mod verify;
mod watch;

use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;

use args::{Arguments, Command};
use failure::Failure;
use interrupt::Interrupt;
use report::Report;

/// Does what was typed, says what went wrong, and gives the exit code: 0, 1 for failed work, 2 for
/// wrong input, 128 and the number of the signal where one ended it.
#[must_use]
pub fn main() -> ExitCode {
    let (outcome, json) = match Arguments::try_parse() {
        Ok(arguments) => {
            let json = arguments.command.is_json();
            (run(arguments.command), json)
        }
        Err(error) => (usage(&error), std::env::args_os().any(|word| word == "--json")),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            output::failure(&failure, json);
            failure.exit_code()
        }
    }
}

fn run(command: Command) -> Result<(), Failure> {
    let interrupt = Interrupt::listen()?;
    match command {
        Command::Render(typed) => render::run(typed, &interrupt),
        Command::Collect(typed) => render::collect(typed, &interrupt),
        Command::Quick(typed) => quick::run(typed, &interrupt),
        Command::Check(typed) => check::run(&typed),
        Command::Soundfonts(typed) => soundfonts::run(&typed),
        Command::Explain(typed) => explain::run(&typed),
        Command::Styles(typed) => styles::run(&typed),
        Command::Techniques(typed) => techniques::run(&typed),
        Command::Verify(typed) => verify::run(&typed),
        Command::Schema(typed) => schema::run(&typed),
        Command::Start(typed) => start::run(&typed),
        Command::Completions(typed) => completions::run(&typed),
        Command::Man(typed) => man::run(&typed),
    }
}

/// What the reader of the arguments has to say: help, or what is wrong with them.
fn usage(error: &clap::Error) -> Result<(), Failure> {
    if let ErrorKind::DisplayHelp | ErrorKind::DisplayVersion = error.kind() {
        return error
            .print()
            .map_err(|error| Failure::work(format!("standard output cannot be written: {error}")));
    }
    let text = error.render().to_string();
    let message = text.strip_prefix("error: ").unwrap_or(&text);
    let (message, rest) = message.split_once("\n\n").unwrap_or((message, ""));
    let report = Report::new(message.trim_end());
    let rest = rest.trim();
    Err(Failure::input(if rest.is_empty() { report } else { report.help(rest) }))
}
