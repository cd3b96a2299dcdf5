//! The practice page: one HTML file a lesson, which a student opens beside the music, and one a
//! course that leads to them ([`course_page`]).
//!
//! [`score`] says what is played, bar by bar, and which notes the hands choose; [`tracks`] which
//! takes and files there are; [`html`] puts both into the page. The templates, the style sheet and
//! the scripts stand beside them, each to be read as it stands. A page holds everything that it
//! needs but the sound files, so it opens from a disk, without a network.

mod course;
mod html;
mod line;
mod score;
mod staves;
mod tracks;

#[cfg(test)]
mod tests;

use serde::Serialize;

use crate::deliver::Manifest;
use crate::lesson::Lesson;
use crate::plan::Plan;

pub use course::{CourseLesson, course_page, is_course_page};
pub use html::PageError;
use line::RoleWords;
use score::Score;
use staves::Staves;
use tracks::TrackData;

/// The name of the page in the set's folder.
pub const PAGE: &str = "index.html";

/// What the page's script works with, as JSON in the page.
#[derive(Debug, Serialize)]
struct PageData {
    /// The lesson's title.
    title: String,
    /// Frames per second of all sound files.
    rate: u32,
    #[serde(flatten)]
    shared: Shared,
    /// The tracks in the lesson's order.
    tracks: Vec<TrackData>,
}

/// What several takes refer to, each thing once.
#[derive(Debug, Default, Serialize)]
struct Shared {
    /// What is played.
    scores: Vec<Score>,
    /// What notes are to their chords: lines refer to them.
    roles: Vec<RoleWords>,
    /// What the hands play, engraved.
    staves: Staves,
}

/// The page of a lesson, as HTML: all takes of the plan of which the manifest lists sound files.
/// The same input gives the same bytes.
///
/// # Errors
/// Where a template fails, which none does for values that are text.
pub fn lesson_page(lesson: &Lesson, plan: &Plan, manifest: &Manifest) -> Result<String, PageError> {
    let mut shared = Shared::default();
    let tracks = tracks::tracks(lesson, plan, manifest, &mut shared);
    let (title, rate) = (lesson.title.clone(), lesson.rate.hz());
    let data = PageData { title, rate, shared, tracks };
    html::lesson(lesson, manifest, &data)
}
