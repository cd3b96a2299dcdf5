//! Files that are small enough to be made before it is known whether they have changed: their
//! hash tells.

use std::io::Write;
use std::path::Path;

use super::record::Record;
use super::{Made, Progress, RenderError};
use crate::deliver::{AtomicFile, DeliverError, FileEntry, FileState};

/// A small file, whole in memory.
pub(super) struct SmallFile<'a> {
    pub(super) path: &'a str,
    /// What the manifest calls it.
    pub(super) purpose: &'a str,
    pub(super) bytes: &'a [u8],
    /// The take it belongs to, where it does.
    pub(super) take: Option<&'a str>,
    /// The parts that are in it.
    pub(super) parts: Vec<String>,
}

impl SmallFile<'_> {
    /// BLAKE3 of the content, which is all that the file depends on.
    fn hash(&self) -> String {
        blake3::hash(self.bytes).to_hex().to_string()
    }

    /// Whether it is there already.
    pub(super) fn is_there(&self, record: &Record) -> bool {
        record.unchanged(self.path, &self.hash())
    }

    /// Puts the file in its place, unless it is there already, or something else is that stays.
    pub(super) fn put(self, record: &Record, progress: &dyn Progress) -> Result<(), RenderError> {
        let hash = self.hash();
        if record.unchanged(self.path, &hash) {
            progress.kept(self.path);
            return Ok(());
        }
        let SmallFile { path, purpose, bytes, take, parts } = self;
        let entry = entry(purpose, take, parts, &hash, &hash);
        let folder = record.folder();
        match folder.state(Path::new(path))? {
            FileState::Changed | FileState::Unknown => {
                if folder.hash(Path::new(path)) == Some(hash) {
                    record.adopt(path, entry);
                    progress.kept(path);
                } else {
                    record.leave(path);
                    progress.left_alone(path);
                }
                return Ok(());
            }
            FileState::Absent | FileState::AsMade => {}
        }
        let mut file = folder.create(Path::new(path))?;
        file.write_all(bytes)
            .map_err(|source| DeliverError::write(folder.root().join(path), source))?;
        put(file, path, entry, record, progress)
    }
}

/// What the manifest says of a file that is no sound, but for its size and time. `hash` is BLAKE3
/// of the content, `depends` of everything that the content depends on.
pub(super) fn entry(
    purpose: &str,
    take: Option<&str>,
    parts: Vec<String>,
    hash: &str,
    depends: &str,
) -> FileEntry {
    FileEntry {
        purpose: purpose.to_owned(),
        take: take.map(str::to_owned),
        parts,
        size: 0,
        modified: 0,
        hash: hash.to_owned(),
        depends: depends.to_owned(),
        sound: None,
    }
}

/// Puts a whole file that is no sound in its place, and reports it.
pub(super) fn put(
    file: AtomicFile,
    path: &str,
    entry: FileEntry,
    record: &Record,
    progress: &dyn Progress,
) -> Result<(), RenderError> {
    if record.put(file, path, entry)? {
        let path = path.to_owned();
        progress.made(&Made { path, seconds: 0.0, loudness: None, short_of_target: None });
    } else {
        progress.left_alone(path);
    }
    Ok(())
}
