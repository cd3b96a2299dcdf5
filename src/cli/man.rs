//! `countoff man`

use clap::CommandFactory;
use clap_mangen::Man;

use super::args;
use super::failure::Failure;
use super::output;

/// Prints the manual page, or writes those of all commands into a folder.
pub(super) fn run(typed: &args::Man) -> Result<(), Failure> {
    let command = args::Arguments::command();
    let Some(folder) = &typed.folder else {
        let mut page = Vec::new();
        Man::new(command).render(&mut page).map_err(Failure::internal)?;
        return output::bytes(&page);
    };
    let failed = |error: std::io::Error| {
        Failure::work(format!("{} cannot be written to: {error}", folder.display()))
    };
    std::fs::create_dir_all(folder).map_err(failed)?;
    clap_mangen::generate_to(command, folder).map_err(failed)
}
