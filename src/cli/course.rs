//! A course: a folder of lessons.

use std::path::{Path, PathBuf};

use super::failure::Failure;
use super::input;
use super::report::Report;
use crate::lesson::Lesson;
use crate::render::MANIFEST;

/// A lesson file, and what its set is called.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct LessonPath {
    /// The file.
    pub(super) file: PathBuf,
    /// Its path from the course without the ending: where its set goes below another folder. None
    /// for a lesson that is named by itself.
    pub(super) in_course: Option<PathBuf>,
}

impl LessonPath {
    /// The folder of its set: beside the lesson and named after it, or in `out` if that is given.
    pub(super) fn set_folder(&self, out: Option<&Path>) -> PathBuf {
        match (out, &self.in_course) {
            (None, _) => self.file.with_extension(""),
            (Some(out), None) => out.to_owned(),
            (Some(out), Some(name)) => out.join(name),
        }
    }
}

/// What a course is called: the name of its folder.
pub(super) fn title(folder: &Path) -> String {
    let whole = folder.canonicalize();
    let name = whole.as_deref().unwrap_or(folder).file_name();
    name.map_or_else(|| "Lessons".to_owned(), |name| name.to_string_lossy().into_owned())
}

/// The lesson that a path names, or all lessons of the course that it names, in order.
pub(super) fn lessons(path: &Path) -> Result<Vec<LessonPath>, Failure> {
    if !path.is_dir() {
        return Ok(vec![LessonPath { file: path.to_owned(), in_course: None }]);
    }
    let mut files = Vec::new();
    collect(path, &mut files)?;
    files.sort();
    // A lesson may have styles of its own beside it, which are no lessons.
    let mut styles = Vec::new();
    for file in &files {
        let folder = Lesson::styles_folder(&input::text(file)?);
        styles.extend(folder.map(|folder| file.with_file_name(folder)));
    }
    files.retain(|file| !styles.iter().any(|folder| file.starts_with(folder)));
    if files.is_empty() {
        let message = format!("there is no lesson in {}", path.display());
        return Err(Failure::input(Report::new(message).help(
            "a course is a folder with lesson files (.toml) in it or in its folders; \
             `countoff start FOLDER` writes a lesson to begin from",
        )));
    }
    let lesson = |file: PathBuf| {
        let in_course = file.strip_prefix(path).map_err(Failure::internal)?.with_extension("");
        Ok(LessonPath { file, in_course: Some(in_course) })
    };
    files.into_iter().map(lesson).collect()
}

/// All TOML files below a folder, but for hidden ones and those in finished sets.
fn collect(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let failed = |error: std::io::Error| {
        Failure::input(format!("{} cannot be read: {error}", folder.display()))
    };
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let path = entry.path();
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        // Links to folders are not followed: they may lead round in a circle.
        if entry.file_type().map_err(failed)?.is_dir() {
            if !path.join(MANIFEST).exists() {
                collect(&path, files)?;
            }
        } else if path.extension().is_some_and(|extension| extension == "toml") && path.is_file() {
            files.push(path);
        }
    }
    Ok(())
}
