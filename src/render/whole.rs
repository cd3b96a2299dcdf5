//! Files that are whole, on the last part of their way.

use std::path::Path;

use crate::deliver::{AtomicFile, FileEntry};

use super::record::Record;
use super::{Made, Progress, RenderError};

/// A sound file that is whole, but not yet in its place.
pub(super) struct WholeFile {
    pub(super) file: AtomicFile,
    /// What the manifest will say of it, but for its size and time.
    pub(super) entry: FileEntry,
    /// What the user will be told of it.
    pub(super) made: Made,
}

impl WholeFile {
    /// Puts it in its place, and takes it down.
    ///
    /// # Errors
    /// Where the file, or the manifest, cannot be written.
    pub(super) fn put(self, record: &Record, progress: &dyn Progress) -> Result<(), RenderError> {
        let WholeFile { file, entry, made } = self;
        file.commit()?;
        let (size, modified) = record.folder().stamp(Path::new(&made.path)).unwrap_or_default();
        record.file(&made.path, FileEntry { size, modified, ..entry })?;
        progress.made(&made);
        Ok(())
    }
}
