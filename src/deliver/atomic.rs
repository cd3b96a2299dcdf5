//! Files that appear only when whole.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File};
use std::io::{Error, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::error::DeliverError;
use super::folder::{FileState, Folder, Stamp, stamp};
use super::hashed::hash_of;
use super::quota::Quota;
use super::shard::Shard;
use super::write_behind::WriteBehind;
use crate::regular_file;

/// How the names of unfinished files end. They also begin with a dot.
const UNFINISHED: &str = ".unfinished";

/// A file on its way to its place in a [`Folder`]. Dropped before [`AtomicFile::commit`], it leaves
/// nothing.
///
/// What fails while it is read or written is reported as the [`DeliverError`] of this file, inside
/// the [`std::io::Error`]: encoders need not know where they write.
#[derive(Debug)]
pub struct AtomicFile {
    /// `None` once committed.
    file: Option<File>,
    /// Its path from the folder.
    relative: PathBuf,
    unfinished: PathBuf,
    target: PathBuf,
    quota: Quota,
    behind: WriteBehind,
    /// Whether all of it is on the disk.
    is_complete: bool,
}

impl AtomicFile {
    pub(super) fn new(
        file: File,
        relative: PathBuf,
        target: PathBuf,
        unfinished: PathBuf,
        quota: Quota,
    ) -> AtomicFile {
        let behind = WriteBehind::default();
        let file = Some(file);
        AtomicFile { file, relative, unfinished, target, quota, behind, is_complete: false }
    }

    /// Ends the file, still under its other name: its content is on the disk then. The stamp that it
    /// will have in its place.
    ///
    /// # Errors
    /// Where that fails.
    pub fn complete(&mut self) -> Result<Stamp, DeliverError> {
        let behind = std::mem::take(&mut self.behind);
        let is_complete = self.is_complete;
        let stamp = self.with(|file| {
            if !is_complete {
                file.flush()?;
                file.sync_all()?;
                behind.synced(file);
            }
            stamp(&file.metadata()?).ok_or_else(|| Error::other("its time cannot be read"))
        });
        let stamp = stamp.map_err(|source| DeliverError::write(&self.target, source))?;
        self.is_complete = true;
        Ok(stamp)
    }

    /// Puts the file in its place in the folder where it was begun, whole: its content is on the
    /// disk before its name is.
    ///
    /// # Errors
    /// Where that fails, or what is in its place is not as it was made, and is not the same; then
    /// nothing is left.
    pub fn commit(mut self, folder: &Folder) -> Result<PathBuf, DeliverError> {
        if !self.is_complete {
            self.complete()?;
        }
        let failed = |source| DeliverError::write(&self.target, source);
        let gives_way = match folder.state(&self.relative)? {
            FileState::Absent | FileState::AsMade => true,
            FileState::Changed | FileState::Unknown => is_same(&self.target, &self.unfinished),
        };
        if !gives_way {
            return Err(DeliverError::Foreign { path: self.target.clone() });
        }
        fs::rename(&self.unfinished, &self.target).map_err(failed)?;
        self.file = None;
        sync_folder(&self.target);
        Ok(self.target.clone())
    }

    /// The file is read once more when it is written: the system should have it at hand.
    #[must_use]
    pub fn kept_at_hand(mut self) -> AtomicFile {
        self.behind.wait();
        self
    }

    /// Does something with the open file, and names the file in what goes wrong.
    fn with<T>(
        &mut self,
        work: impl FnOnce(&mut File) -> std::io::Result<T>,
    ) -> std::io::Result<T> {
        let file = self.file.as_mut().ok_or_else(|| Error::other("the file is finished"));
        file.and_then(work)
            .map_err(|error| Error::new(error.kind(), DeliverError::write(&self.target, error)))
    }
}

pub(super) fn unfinished(target: &Path, shard: Option<Shard>) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(target.file_name().unwrap_or(OsStr::new("file")));
    if let Some(shard) = shard {
        name.push(format!(".{shard}"));
    }
    name.push(UNFINISHED);
    target.with_file_name(name)
}

pub(super) fn is_unfinished(name: &OsStr) -> bool {
    let name = name.to_string_lossy();
    name.starts_with('.') && name.ends_with(UNFINISHED)
}

/// Whether a regular file that is no link has the bytes of another.
fn is_same(there: &Path, new: &Path) -> bool {
    let size = |path: &Path| {
        let found = fs::symlink_metadata(path).ok()?;
        found.is_file().then_some(found.len())
    };
    let hash = |path: &Path| hash_of(regular_file::open(path).ok()?).ok();
    size(there).is_some() && size(there) == size(new) && hash(there) == hash(new)
}

/// A renamed file survives a power cut once its folder is on the disk as well. Systems that
/// cannot sync a folder do without.
fn sync_folder(target: &Path) {
    if let Some(folder) = target.parent().and_then(|folder| File::open(folder).ok()) {
        let _ = folder.sync_all();
    }
}

impl Drop for AtomicFile {
    fn drop(&mut self) {
        if self.file.take().is_some() {
            // A failure cannot be reported from here; the next run cleans up.
            let _ = fs::remove_file(&self.unfinished);
        }
    }
}

impl Write for AtomicFile {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let quota = self.quota.clone();
        let written = self.with(|file| file.write(&bytes[..quota.take(bytes.len())?]))?;
        if let Some(file) = &self.file {
            self.behind.wrote(file, written);
        }
        self.is_complete = false;
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.with(File::flush)
    }
}

impl Read for AtomicFile {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        self.with(|file| file.read(bytes))
    }
}

impl Seek for AtomicFile {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.with(|file| file.seek(to))
    }
}
