//! `countoff completions`

use clap::CommandFactory;

use super::{Arguments, Failure};

/// Prints completions for a shell on standard output.
pub(super) fn run(shell: clap_complete::Shell) -> Result<(), Failure> {
    let mut command = Arguments::command();
    // Written to memory first: the generator panics on a closed pipe.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut command, "countoff", &mut script);
    super::output::bytes(&script)
}
