//! The page of a course beside or above its sets.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::{Made, Progress, RenderError};
use crate::deliver::{DeliverError, Folder, OwnFile};
use crate::page::{CourseLesson, PAGE, course_page, is_course_page};
use crate::regular_file;

/// A larger file is no page of a course: an entry takes some 500 bytes.
const MOST_BYTES: u64 = 64 << 20;

/// The page of a course, to be made once its sets are.
#[derive(Debug, Clone)]
pub struct CoursePage {
    /// Where it goes: the sets' folders are named from here.
    pub folder: PathBuf,
    /// What the course is called.
    pub title: String,
    /// All lessons, in order.
    pub lessons: Vec<CourseLesson>,
}

impl CoursePage {
    /// Looks whether something foreign stands in its place.
    ///
    /// # Errors
    /// It does.
    pub fn may_be_made(&self) -> Result<(), RenderError> {
        self.there().map(|_| ())
    }

    /// The page that is there, if there is one.
    fn there(&self) -> Result<Option<Vec<u8>>, RenderError> {
        match regular_file::read(&self.place(), MOST_BYTES) {
            Ok(bytes) if is_course_page(&bytes) => Ok(Some(bytes)),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
            Ok(_) | Err(_) => Err(DeliverError::Foreign { path: self.place() }.into()),
        }
    }

    /// Writes the page, unless it is there already. Lessons whose sets are not made yet have no
    /// page to lead to, and are left out.
    ///
    /// # Errors
    /// Something foreign stands in its place, or it cannot be written.
    pub fn make(&self, progress: &dyn Progress) -> Result<(), RenderError> {
        let there = self.there()?;
        let is_made =
            |lesson: &&CourseLesson| self.folder.join(&lesson.folder).join(PAGE).is_file();
        let lessons: Vec<CourseLesson> = self.lessons.iter().filter(is_made).cloned().collect();
        let page = course_page(&self.title, &lessons)?;
        if there.as_deref() == Some(page.as_bytes()) {
            progress.kept(PAGE);
            return Ok(());
        }
        let ours = there.map(|bytes| {
            let hash = blake3::hash(&bytes).to_hex().to_string();
            (PathBuf::from(PAGE), OwnFile::Content(hash))
        });
        let folder = Folder::open(&self.folder, ours)?;
        let mut file = folder.create(Path::new(PAGE))?;
        file.write_all(page.as_bytes())
            .map_err(|source| DeliverError::write(self.place(), source))?;
        file.commit(&folder)?;
        progress.made(&Made {
            path: PAGE.to_owned(),
            seconds: 0.0,
            loudness: None,
            short_of_target: None,
        });
        Ok(())
    }

    fn place(&self) -> PathBuf {
        self.folder.join(PAGE)
    }
}
