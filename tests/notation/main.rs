//! Sheets of notes: of any lesson whole and right, and some of them as they read.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod any_lesson;
mod readable;
mod sheets;

use countoff::lesson::{Lesson, Neighbours};
use countoff::plan::Plan;
use countoff::style::Library;

/// No files beside the lesson.
struct Nobody;

impl Neighbours for Nobody {
    fn read(&self, _: &str) -> std::io::Result<Vec<u8>> {
        Err(std::io::ErrorKind::NotFound.into())
    }
}

/// A lesson with its plan; the reason why not where it cannot be.
fn planned(text: &str) -> Result<(Lesson, Plan), String> {
    let library = Library::built_in();
    let lesson = Lesson::read("lesson.toml", text, &Nobody, &library);
    let lesson = lesson.map_err(|error| format!("{error:?}"))?;
    let plan = Plan::of(&lesson, &library, |_| true).map_err(|error| error.to_string())?;
    Ok((lesson, plan))
}
