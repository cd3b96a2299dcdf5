//! The output folder of a set: the only place where files are made.

use std::collections::BTreeMap;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::UNIX_EPOCH;

use super::atomic::{self, AtomicFile};
use super::error::DeliverError;
use super::hashed::hash_of;
use super::quota::Quota;
use super::shard::Shard;
use crate::regular_file;

/// Size in bytes, and time of the last write in nanoseconds since 1970: a file in which both are as they
/// were counts as unchanged without being read.
pub type Stamp = (u64, u64);

/// What an earlier run left at a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OwnFile {
    /// A file with this content: BLAKE3 in hexadecimal digits. With another it is the teacher's.
    Content(String),
    /// A record of the program's own, whatever it holds.
    Record,
}

/// What is in a file's place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileState {
    /// Nothing.
    Absent,
    /// A file of an earlier run, as it was made: it may be replaced.
    AsMade,
    /// A file of an earlier run that was changed since, or something that is no regular file. It
    /// stays.
    Changed,
    /// A file of which nothing is known. It stays, unless its bytes are those that are to be written.
    Unknown,
}

/// The output folder of one set.
#[derive(Debug)]
pub struct Folder {
    root: PathBuf,
    /// What earlier runs made, by paths relative to the root: only this may be replaced.
    own: BTreeMap<PathBuf, OwnFile>,
    /// Files whose content was seen to be as it was made, with the stamp that they had.
    seen: Mutex<BTreeMap<PathBuf, Stamp>>,
    /// The share that is being made, where it is not the whole set.
    shard: Option<Shard>,
    quota: Quota,
}

impl Folder {
    /// Makes the folder, where it does not exist yet. `own` lists what an earlier run made in it,
    /// by paths relative to it (the manifest knows them).
    ///
    /// # Errors
    /// Where it cannot be made.
    pub fn open(
        root: &Path,
        own: impl IntoIterator<Item = (PathBuf, OwnFile)>,
    ) -> Result<Folder, DeliverError> {
        fs::create_dir_all(root).map_err(|source| DeliverError::write(root, source))?;
        let folder = Folder::existing(root).map_err(|source| DeliverError::write(root, source))?;
        Ok(Folder { own: own.into_iter().collect(), ..folder })
    }

    /// A folder that is there, to be read: nothing in it is known to be the program's own.
    ///
    /// # Errors
    /// It is not there.
    pub fn existing(root: &Path) -> std::io::Result<Folder> {
        Ok(Folder {
            root: root.canonicalize()?,
            own: BTreeMap::new(),
            seen: Mutex::default(),
            shard: None,
            quota: Quota::default(),
        })
    }

    /// The folder, where others make other shares of the same set: unfinished files are named
    /// after the share, so that no two runs write to one, whatever they are making.
    #[must_use]
    pub fn shared(self, shard: Shard) -> Folder {
        Folder { shard: Some(shard), ..self }
    }

    /// The folder on a disk that holds so many bytes more.
    #[must_use]
    pub fn within(self, quota: Quota) -> Folder {
        Folder { quota, ..self }
    }

    /// Where the folder is.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// What is in the place of a file. One that an earlier run made is read, to see whether it is
    /// still as it was made.
    ///
    /// # Errors
    /// The path leads out of the folder, or it cannot be seen what is there.
    pub fn state(&self, relative: &Path) -> Result<FileState, DeliverError> {
        let target = self.locate(relative)?;
        let found = match fs::symlink_metadata(&target) {
            Ok(found) if found.is_file() => found,
            Ok(_) => return Ok(FileState::Changed),
            Err(error) if is_absence(&error) => return Ok(FileState::Absent),
            Err(error) => return Err(DeliverError::write(target, error)),
        };
        let hash = match self.own.get(relative) {
            None => return Ok(FileState::Unknown),
            Some(OwnFile::Record) => return Ok(FileState::AsMade),
            Some(OwnFile::Content(hash)) => hash,
        };
        let stamp = stamp(&found);
        let seen = || self.seen.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if stamp.is_some() && seen().get(relative).copied() == stamp {
            return Ok(FileState::AsMade);
        }
        if self.hash(relative).as_ref() != Some(hash) {
            return Ok(FileState::Changed);
        }
        if let Some(stamp) = stamp {
            seen().insert(relative.to_owned(), stamp);
        }
        Ok(FileState::AsMade)
    }

    /// Begins a file at a path inside the folder. It is written under another name beside its
    /// place until [`AtomicFile::commit`].
    ///
    /// # Errors
    /// Where the path leads out of the folder, what is there was changed since it was made, or the
    /// file cannot be made.
    pub fn create(&self, relative: &Path) -> Result<AtomicFile, DeliverError> {
        let target = self.place(relative)?;
        if self.state(relative)? == FileState::Changed {
            return Err(DeliverError::Foreign { path: target });
        }
        let unfinished = atomic::unfinished(&target, self.shard);
        let file = self.new_file(&unfinished, &target)?;
        Ok(AtomicFile::new(file, relative.to_owned(), target, unfinished, self.quota.clone()))
    }

    /// Begins a record of the program's own, which grows line by line: an empty file in the place
    /// of what is there.
    pub(super) fn begin_record(&self, relative: &Path) -> Result<(File, PathBuf), DeliverError> {
        let target = self.place(relative)?;
        if !matches!(self.state(relative)?, FileState::Absent | FileState::AsMade) {
            return Err(DeliverError::Foreign { path: target });
        }
        Ok((self.new_file(&target, &target)?, target))
    }

    /// How many bytes may be written.
    pub(super) const fn quota(&self) -> &Quota {
        &self.quota
    }

    /// A new file in place of what has its name; errors name `shown`.
    fn new_file(&self, path: &Path, shown: &Path) -> Result<File, DeliverError> {
        let failed = |source| DeliverError::write(shown, source);
        match fs::remove_file(path) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(failed(error)),
            _ => {}
        }
        // A new file, so that no link is followed.
        OpenOptions::new().read(true).write(true).create_new(true).open(path).map_err(failed)
    }

    /// Removes a file that an earlier run made, and its folder where nothing else is in it.
    ///
    /// # Errors
    /// The file is not as it was made, or cannot be removed. One that is gone already is no error.
    pub fn remove(&self, relative: &Path) -> Result<(), DeliverError> {
        let target = self.locate(relative)?;
        match self.state(relative)? {
            FileState::Absent => {}
            FileState::AsMade => {
                fs::remove_file(&target).map_err(|error| DeliverError::write(&target, error))?;
            }
            FileState::Changed | FileState::Unknown => {
                return Err(DeliverError::Foreign { path: target });
            }
        }
        if let Some(parent) = target.parent().filter(|parent| *parent != self.root) {
            // Fails where something is left in it, as it should.
            let _ = fs::remove_dir(parent);
        }
        Ok(())
    }

    /// The stamp of a regular file, where there is one.
    #[must_use]
    pub fn stamp(&self, relative: &Path) -> Option<Stamp> {
        let found = fs::symlink_metadata(self.locate(relative).ok()?).ok()?;
        found.is_file().then(|| stamp(&found))?
    }

    /// BLAKE3 of a file's content in hexadecimal digits, where there is one that can be read.
    #[must_use]
    pub fn hash(&self, relative: &Path) -> Option<String> {
        hash_of(self.read(relative).ok()?).ok()
    }

    /// Opens a file in the folder for reading.
    ///
    /// # Errors
    /// The path leads out of the folder, or there is no regular file: a link is none.
    pub fn read(&self, relative: &Path) -> std::io::Result<File> {
        let target = self.locate(relative).map_err(std::io::Error::other)?;
        if fs::symlink_metadata(&target)?.is_symlink() {
            return Err(std::io::Error::new(ErrorKind::InvalidInput, "it is a link"));
        }
        regular_file::open(&target)
    }

    /// Removes what a killed run left unfinished in the folder and the folders directly in it.
    /// Other files are not touched.
    ///
    /// # Errors
    /// Where something cannot be read or removed.
    pub fn clean(&self) -> Result<(), DeliverError> {
        clean(&self.root, 1)
    }

    /// The place of a file, its folder made.
    fn place(&self, relative: &Path) -> Result<PathBuf, DeliverError> {
        let target = self.locate(relative)?;
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(|source| DeliverError::write(parent, source))?;
        }
        Ok(target)
    }

    /// The place of a file: no path leads out of the folder, and neither does a link in it.
    pub(super) fn locate(&self, relative: &Path) -> Result<PathBuf, DeliverError> {
        let outside =
            || DeliverError::Outside { path: relative.to_owned(), folder: self.root.clone() };
        let target = self.root.join(relative);
        let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
            return Err(outside());
        };
        if !stays_inside(relative) {
            return Err(outside());
        }
        for folder in parent.ancestors() {
            let (Ok(_), Ok(rest)) = (fs::symlink_metadata(folder), parent.strip_prefix(folder))
            else {
                continue;
            };
            let real =
                folder.canonicalize().map_err(|source| DeliverError::write(folder, source))?;
            let is_inside = real.starts_with(&self.root);
            // Joining nothing would end the path in a separator.
            let rest = rest.join(name);
            return if is_inside { Ok(real.join(rest)) } else { Err(outside()) };
        }
        Err(outside())
    }
}

/// Whether a relative path, with `/` between folders, stays in its folder on every system: none of
/// its names leads up, and none has a sign that leads elsewhere on another system.
pub(super) fn stays_inside(relative: &Path) -> bool {
    let leads_elsewhere = |sign: char| sign == '\\' || sign == ':' || sign.is_control();
    relative.to_str().is_some_and(|text| {
        !text.contains(leads_elsewhere)
            && text.split('/').all(|name| !matches!(name, "" | "." | ".."))
    })
}

/// Nothing is there, nor could be.
fn is_absence(error: &std::io::Error) -> bool {
    matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory)
}

/// Size and time of the last write.
pub(super) fn stamp(found: &Metadata) -> Option<Stamp> {
    let written = found.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
    Some((found.len(), u64::try_from(written.as_nanos()).ok()?))
}

fn clean(folder: &Path, depth: u32) -> Result<(), DeliverError> {
    let failed = |source| DeliverError::write(folder, source);
    for entry in fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let kind = entry.file_type().map_err(failed)?;
        if kind.is_dir() && depth > 0 {
            clean(&entry.path(), depth - 1)?;
        } else if kind.is_file() && atomic::is_unfinished(&entry.file_name()) {
            fs::remove_file(entry.path())
                .map_err(|source| DeliverError::write(entry.path(), source))?;
        }
    }
    Ok(())
}
