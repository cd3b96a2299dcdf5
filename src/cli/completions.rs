//! `countoff completions`

use clap::CommandFactory;

use super::args::{Arguments, Completions};
use super::failure::Failure;
use super::output;

/// Prints completions for a shell on standard output.
pub(super) fn run(typed: &Completions) -> Result<(), Failure> {
    let mut command = Arguments::command();
    // Written to memory first: the generator panics on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(typed.shell, &mut command, "countoff", &mut script);
    output::bytes(&script)
}
