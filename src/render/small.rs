//! Files that are small enough to be made before it is known whether they have changed: their
//! hash tells.

use std::io::Write;
use std::path::Path;

use super::record::Record;
use super::{Made, Progress, RenderError};
use crate::deliver::{DeliverError, FileEntry};

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

    /// Puts the file in its place, unless it is there already.
    pub(super) fn put(self, record: &Record, progress: &dyn Progress) -> Result<(), RenderError> {
        let hash = self.hash();
        if record.unchanged(self.path, &hash) {
            progress.kept(self.path);
            return Ok(());
        }
        let folder = record.folder();
        let mut file = folder.create(Path::new(self.path))?;
        file.write_all(self.bytes)
            .map_err(|source| DeliverError::write(folder.root().join(self.path), source))?;
        file.commit()?;
        let SmallFile { path, purpose, take, parts, .. } = self;
        Finished { path, purpose, take, parts, depends: hash.clone(), hash }.note(record, progress)
    }
}

/// A file in its place that is no sound.
pub(super) struct Finished<'a> {
    pub(super) path: &'a str,
    /// What the manifest calls it.
    pub(super) purpose: &'a str,
    /// The take it belongs to, where it does.
    pub(super) take: Option<&'a str>,
    /// The parts that are in it.
    pub(super) parts: Vec<String>,
    /// BLAKE3 of the content, in hexadecimal digits.
    pub(super) hash: String,
    /// The same of everything that the content depends on.
    pub(super) depends: String,
}

impl Finished<'_> {
    /// Notes it, and tells of it.
    pub(super) fn note(self, record: &Record, progress: &dyn Progress) -> Result<(), RenderError> {
        let (size, modified) = record.folder().stamp(Path::new(self.path)).unwrap_or_default();
        let entry = FileEntry {
            purpose: self.purpose.to_owned(),
            take: self.take.map(str::to_owned),
            parts: self.parts,
            size,
            modified,
            hash: self.hash,
            depends: self.depends,
            sound: None,
        };
        record.file(self.path, entry)?;
        progress.made(&Made {
            path: self.path.to_owned(),
            seconds: 0.0,
            loudness: None,
            short_of_target: None,
        });
        Ok(())
    }
}
