//! Files that are whole, on the last part of their way.

use crate::deliver::{AtomicFile, FileEntry};

use super::record::Record;
use super::{Made, Progress, RenderError};

/// A sound file that is whole, but not yet in its place.
pub(super) struct WholeFile {
    pub(super) file: AtomicFile,
    /// What the manifest will say of it, but for its size and time.
    pub(super) entry: FileEntry,
    /// What is reported of it.
    pub(super) made: Made,
}

impl WholeFile {
    /// Puts it in its place, and notes it.
    ///
    /// # Errors
    /// Where the file, or the journal, cannot be written.
    pub(super) fn put(self, record: &Record, progress: &dyn Progress) -> Result<(), RenderError> {
        let WholeFile { file, entry, made } = self;
        if record.put(file, &made.path, entry)? {
            progress.made(&made);
        } else {
            progress.left_alone(&made.path);
        }
        Ok(())
    }
}
