//! `countoff render`

use std::path::{Path, PathBuf};

use super::args::Render;
use super::making::{self, Order};
use super::{Failure, input, overrides};
use crate::lesson::{Lesson, Neighbours};

/// Makes the set of a lesson.
pub(super) fn run(options: &Render) -> Result<(), Failure> {
    let mut lesson = read_lesson(&options.lesson)?;
    overrides::tempos(&mut lesson.lesson, &options.tempos)?;
    overrides::keys(&mut lesson.lesson, options.keys.as_deref())?;
    let only = overrides::only(&lesson.lesson, &options.only)?;
    let order = Order {
        lesson: lesson.lesson,
        library: lesson.library,
        only,
        prune: options.prune,
        folder: options.lesson.with_extension(""),
        beside: lesson.folder,
    };
    making::make(order, &options.making)
}

/// A lesson with what lies beside it.
pub(super) struct LessonAtHand {
    pub(super) lesson: Lesson,
    pub(super) library: crate::style::Library,
    /// The folder that the lesson's paths count from.
    pub(super) folder: PathBuf,
}

/// Reads a lesson file, with the styles that it names.
pub(super) fn read_lesson(path: &Path) -> Result<LessonAtHand, Failure> {
    let text = input::text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let styles = Lesson::styles_folder(&text).map(|styles| folder.join(styles));
    let library = input::library(styles.as_deref())?;
    let beside = Beside(folder.clone());
    let lesson = Lesson::read(&path.display().to_string(), &text, &beside, &library)?;
    Ok(LessonAtHand { lesson, library, folder })
}

/// The files beside a lesson.
struct Beside(PathBuf);

impl Neighbours for Beside {
    fn read(&self, path: &str) -> std::io::Result<Vec<u8>> {
        std::fs::read(self.0.join(path))
    }
}
