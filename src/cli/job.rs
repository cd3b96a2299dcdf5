//! A request with its lessons read: all that making takes.

use std::path::PathBuf;

use super::course::{self, LessonPath};
use super::failure::Failure;
use super::input::{self, ReadLesson};
use super::request::Request;
use super::sounds::{self, SoundSource};
use super::sources::Sources;
use super::tracks;
use crate::lesson::{Lesson, Track};
use crate::page::CourseLesson;
use crate::plan::{Plan, PlanError};
use crate::render::{CoursePage, Work};
use crate::style::Library;

/// Sets that are to be made, and the page above them where they are a course.
pub(super) struct Job {
    pub(super) sets: Vec<Set>,
    pub(super) course: Option<CoursePage>,
    pub(super) work: Work,
}

/// A set that is to be made, and where.
pub(super) struct Set {
    pub(super) lesson: Lesson,
    pub(super) library: Library,
    /// Indices of the tracks that are wanted.
    pub(super) tracks: Vec<usize>,
    /// Whether what is no longer asked for is removed.
    pub(super) prune: bool,
    /// Where the set goes.
    pub(super) folder: PathBuf,
    /// What it is called in a course.
    pub(super) name: Option<String>,
    /// What it is played with.
    pub(super) sounds: SoundSource,
}

impl Set {
    /// The same plan every time.
    pub(super) fn plan(&self) -> Result<Plan, PlanError> {
        let is_it =
            |index: &usize, track: &Track| self.lesson.tracks[*index].number == track.number;
        let wanted = |track: &Track| self.tracks.iter().any(|index| is_it(index, track));
        Plan::of(&self.lesson, &self.library, wanted)
    }
}

impl Job {
    /// Reads the lessons that are meant. All are checked before anything is made: nobody wants to
    /// find in the morning what could be told in the evening.
    ///
    /// `sources` notes what they are made of.
    pub(super) fn read(request: &Request, sources: &Sources) -> Result<Job, Failure> {
        let paths = course::lessons(&request.lesson)?;
        let mut sets = Vec::new();
        let mut failures = Vec::new();
        for path in &paths {
            match input::lesson(&path.file, sources) {
                Ok(read) => sets.push(set(request, path, read, sources)),
                Err(failure) => failures.push(failure),
            }
        }
        Failure::together(failures)?;
        // A share tells of no whole set.
        let tells = !matches!(request.work, Work::Share(_));
        let course = tells.then(|| course_page(request, &paths, &sets)).flatten();
        let lessons: Vec<&Lesson> = sets.iter().map(|set| &set.lesson).collect();
        let chosen = tracks::listed(&lessons, &request.tracks)?;
        for (set, tracks) in sets.iter_mut().zip(chosen) {
            set.tracks = tracks;
        }
        sets.retain(|set| !set.tracks.is_empty());
        Ok(Job { sets, course, work: request.work })
    }
}

fn set(request: &Request, path: &LessonPath, read: ReadLesson, sources: &Sources) -> Set {
    let sounds = sounds::choose(request.soundfont.as_deref(), read.soundfont());
    if let SoundSource::File(path) = &sounds {
        sources.note(path);
    }
    let mut lesson = read.lesson;
    request.changes.apply(&mut lesson);
    Set {
        lesson,
        library: read.library,
        tracks: Vec::new(),
        prune: request.prune,
        folder: path.set_folder(request.out.as_deref()),
        name: path.in_course.as_ref().map(|name| name.display().to_string()),
        sounds,
    }
}

/// The page of a course, which tells of all its lessons.
fn course_page(request: &Request, paths: &[LessonPath], sets: &[Set]) -> Option<CoursePage> {
    let named = paths.iter().filter_map(|path| path.in_course.clone());
    let lessons: Vec<CourseLesson> =
        named.zip(sets).map(|(name, set)| CourseLesson::of(&set.lesson, name)).collect();
    (!lessons.is_empty()).then(|| CoursePage {
        folder: request.out.as_ref().unwrap_or(&request.lesson).clone(),
        title: course::title(&request.lesson),
        lessons,
    })
}
