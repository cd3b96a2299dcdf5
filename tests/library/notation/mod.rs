//! Sheets of notes: of any lesson whole and right, and some of them as they read.

mod any_lesson;
mod readable;
mod sheets;

use countoff::lesson::{Lesson, NoNeighbours};
use countoff::plan::Plan;
use countoff::style::Library;

/// A lesson with its plan; the reason why not where it cannot be.
fn planned(text: &str) -> Result<(Lesson, Plan), String> {
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", text, &NoNeighbours, &library);
    let lesson = lesson.map_err(|error| format!("{error:?}"))?;
    let plan = Plan::of(&lesson, &library, |_| true).map_err(|error| error.to_string())?;
    Ok((lesson, plan))
}
