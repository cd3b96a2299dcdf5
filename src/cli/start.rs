//! `countoff start`

use super::args::Start;
use super::failure::Failure;
use super::output;
use super::report::Report;

const SHORT: &str = include_str!("start/lesson.toml");
const ALL: &str = include_str!("start/lesson-all.toml");

/// Writes a lesson to begin from. A file that is there already is never replaced.
pub(super) fn run(options: &Start) -> Result<(), Failure> {
    let path = options.folder.join("lesson.toml");
    std::fs::create_dir_all(&options.folder).map_err(|error| {
        Failure::work(format!("the folder {} cannot be made: {error}", options.folder.display()))
    })?;
    let text = if options.all { ALL } else { SHORT };
    let written = std::fs::File::create_new(&path)
        .and_then(|mut file| std::io::Write::write_all(&mut file, text.as_bytes()));
    written.map_err(|error| match error.kind() {
        std::io::ErrorKind::AlreadyExists => Failure::input(
            Report::new(format!("{} is there already", path.display()))
                .help("name another folder, or move that file away"),
        ),
        _ => Failure::work(format!("{} cannot be written: {error}", path.display())),
    })?;
    output::text(&format!(
        "{} is written. Change it as you like, then:\n\n    countoff check {0}\n    countoff render {0}",
        path.display()
    ))
}
