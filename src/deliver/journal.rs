//! What a run has made so far, file by file.
//!
//! The manifest is written when a run begins and when it ends. In between, a line goes to this
//! record before each file gets its name, so that a run that is killed leaves no file of which it is
//! not known what it was. One line may be of a file that has not got its name any more.

use std::fs::File;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::error::DeliverError;
use super::folder::{Folder, stays_inside};
use super::manifest::FileEntry;
use super::quota::Quota;
use crate::regular_file;

/// The largest record that is read, in bytes: some 1,000 a file.
const MOST_BYTES: u64 = 256 << 20;

/// A line of the record.
#[derive(Debug, Serialize, Deserialize)]
struct Line {
    path: String,
    /// The time of the last write, in nanoseconds since 1970.
    modified: u64,
    entry: FileEntry,
}

/// The record of a run, open to be written.
#[derive(Debug)]
pub struct Journal {
    file: File,
    place: PathBuf,
    quota: Quota,
}

impl Journal {
    /// Begins the record of a run, in the place of an earlier one.
    ///
    /// # Errors
    /// It cannot be made.
    pub fn begin(folder: &Folder, relative: &Path) -> Result<Journal, DeliverError> {
        let (file, place) = folder.begin_record(relative)?;
        Ok(Journal { file, place, quota: folder.quota().clone() })
    }

    /// Notes a file that is about to get its name.
    ///
    /// # Errors
    /// The line cannot be written.
    pub fn note(&mut self, path: &str, entry: &FileEntry) -> Result<(), DeliverError> {
        let failed = |source| DeliverError::write(&self.place, source);
        let (path, modified, entry) = (path.to_owned(), entry.modified, entry.clone());
        let line = serde_json::to_string(&Line { path, modified, entry });
        // It ends the line before, of which only a part may have fitted.
        let line = format!("\n{}", line.map_err(|error| failed(error.into()))?);
        let fits = self.quota.take(line.len()).map_err(failed)?;
        self.file.write_all(&line.as_bytes()[..fits]).map_err(failed)?;
        if fits < line.len() {
            return Err(failed(ErrorKind::StorageFull.into()));
        }
        Ok(())
    }

    /// The files that a record lists, in the order in which they were made. Lines that are not whole
    /// are left out; a record that is not there lists none.
    #[must_use]
    pub fn read(path: &Path) -> Vec<(String, FileEntry)> {
        let bytes = regular_file::read(path, MOST_BYTES).unwrap_or_default();
        let lines = bytes.split(|byte| *byte == b'\n');
        lines
            .filter_map(|line| serde_json::from_slice(line).ok())
            .filter(|line: &Line| stays_inside(Path::new(&line.path)))
            .map(|line| (line.path, FileEntry { modified: line.modified, ..line.entry }))
            .collect()
    }
}
