//! Files that appear only when whole.

use std::collections::BTreeSet;
use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions};
use std::io::{Error, Read, Seek, SeekFrom, Write};
use std::path::{Component, Path, PathBuf};
use std::time::UNIX_EPOCH;

use super::error::DeliverError;
use super::quota::Quota;
use super::shard::Shard;
use super::write_behind::WriteBehind;

/// How the names of unfinished files end. They also begin with a dot.
const UNFINISHED: &str = ".unfinished";

/// The output folder of one set: the only place where files are made.
#[derive(Debug)]
pub struct Folder {
    root: PathBuf,
    /// Files that an earlier run made, relative to the root: only these may be replaced.
    ours: BTreeSet<PathBuf>,
    /// The share that is being made, where it is not the whole set.
    shard: Option<Shard>,
    quota: Quota,
}

impl Folder {
    /// Makes the folder, where it does not exist yet. `ours` lists the files in it, relative to
    /// it, that an earlier run made (the manifest knows them).
    ///
    /// # Errors
    /// Where it cannot be made.
    pub fn open(
        root: &Path,
        ours: impl IntoIterator<Item = PathBuf>,
    ) -> Result<Folder, DeliverError> {
        let failed = |source| DeliverError::write(root, source);
        fs::create_dir_all(root).map_err(failed)?;
        let root = root.canonicalize().map_err(failed)?;
        Ok(Folder { root, ours: ours.into_iter().collect(), shard: None, quota: Quota::default() })
    }

    /// The folder, where others make other shares of the same set: unfinished files are named
    /// after the share, so that no two runs write to one, whatever they are making.
    #[must_use]
    pub fn shared(self, shard: Shard) -> Folder {
        Folder { shard: Some(shard), ..self }
    }

    /// The folder on a disk with so much room.
    #[must_use]
    pub fn within(self, quota: Quota) -> Folder {
        Folder { quota, ..self }
    }

    /// Where the folder is.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Begins a file at a path inside the folder. It is written under another name beside its
    /// place until [`AtomicFile::commit`].
    ///
    /// # Errors
    /// Where the path leads out of the folder, something that the program did not make is there,
    /// or the file cannot be made.
    pub fn create(&self, relative: &Path) -> Result<AtomicFile, DeliverError> {
        let target = self.place(relative)?;
        let is_ours = self.ours.contains(relative);
        refuse_foreign(&target, is_ours)?;
        let unfinished = unfinished(&target, self.shard);
        let failed = |source| DeliverError::write(&target, source);
        match fs::remove_file(&unfinished) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(failed(error))?,
            _ => {}
        }
        let mut options = OpenOptions::new();
        let file = options.read(true).write(true).create_new(true).open(&unfinished);
        let file = file.map_err(failed)?;
        let (quota, behind) = (self.quota.clone(), WriteBehind::default());
        Ok(AtomicFile { file: Some(file), unfinished, target, is_ours, quota, behind })
    }

    /// Whether a file may be made at a path: nothing foreign is there.
    ///
    /// # Errors
    /// Something that the program did not make is there.
    pub fn may_make(&self, relative: &Path) -> Result<(), DeliverError> {
        refuse_foreign(&self.root.join(relative), self.ours.contains(relative))
    }

    /// Removes a file that an earlier run made, and its folder where nothing else is in it.
    ///
    /// # Errors
    /// The file is not one of ours, or cannot be removed. One that is gone already is no error.
    pub fn remove(&self, relative: &Path) -> Result<(), DeliverError> {
        let target = self.place(relative)?;
        refuse_foreign(&target, self.ours.contains(relative))?;
        match fs::remove_file(&target) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(DeliverError::write(&target, error));
            }
            _ => {}
        }
        if let Some(parent) = target.parent().filter(|parent| *parent != self.root) {
            // Fails where something is left in it, as it should.
            let _ = fs::remove_dir(parent);
        }
        Ok(())
    }

    /// Whether there is a file at a path.
    #[must_use]
    pub fn has(&self, relative: &Path) -> bool {
        self.root.join(relative).is_file()
    }

    /// Size in bytes and time of the last write in nanoseconds since 1970 of a file, where there
    /// is one: together they tell an unchanged file without reading it.
    #[must_use]
    pub fn stamp(&self, relative: &Path) -> Option<(u64, u64)> {
        let metadata = fs::metadata(self.root.join(relative)).ok()?;
        let written = metadata.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
        Some((metadata.len(), u64::try_from(written.as_nanos()).ok()?))
    }

    /// BLAKE3 of a file's content in hexadecimal digits, where there is one that can be read.
    #[must_use]
    pub fn hash(&self, relative: &Path) -> Option<String> {
        let mut hasher = blake3::Hasher::new();
        hasher.update_reader(File::open(self.root.join(relative)).ok()?).ok()?;
        Some(hasher.finalize().to_hex().to_string())
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
        let outside =
            || DeliverError::Outside { path: relative.to_owned(), folder: self.root.clone() };
        let stays_inside =
            relative.components().all(|component| matches!(component, Component::Normal(_)));
        let Some(name) = relative.file_name().filter(|_| stays_inside) else {
            return Err(outside());
        };
        let parent = self.root.join(relative.parent().unwrap_or(Path::new("")));
        let failed = |source| DeliverError::write(&parent, source);
        fs::create_dir_all(&parent).map_err(failed)?;
        // A link in the folder may lead elsewhere.
        let parent = parent.canonicalize().map_err(failed)?;
        if parent.starts_with(&self.root) { Ok(parent.join(name)) } else { Err(outside()) }
    }
}

fn clean(folder: &Path, depth: u32) -> Result<(), DeliverError> {
    let failed = |source| DeliverError::write(folder, source);
    for entry in fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let kind = entry.file_type().map_err(failed)?;
        if kind.is_dir() && depth > 0 {
            clean(&entry.path(), depth - 1)?;
        } else if kind.is_file() && is_unfinished(&entry.file_name()) {
            fs::remove_file(entry.path())
                .map_err(|source| DeliverError::write(entry.path(), source))?;
        }
    }
    Ok(())
}

fn unfinished(target: &Path, shard: Option<Shard>) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(target.file_name().unwrap_or(OsStr::new("file")));
    if let Some(shard) = shard {
        name.push(format!(".{shard}"));
    }
    name.push(UNFINISHED);
    target.with_file_name(name)
}

fn is_unfinished(name: &OsStr) -> bool {
    let name = name.to_string_lossy();
    name.starts_with('.') && name.ends_with(UNFINISHED)
}

fn refuse_foreign(target: &Path, is_ours: bool) -> Result<(), DeliverError> {
    match fs::symlink_metadata(target) {
        Ok(found) if is_ours && found.is_file() => Ok(()),
        Ok(_) => Err(DeliverError::Foreign { path: target.to_owned() }),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(DeliverError::write(target, error)),
    }
}

/// A file on its way. Dropped before [`AtomicFile::commit`], it leaves nothing.
///
/// What fails while it is read or written is told as the [`DeliverError`] of this file, inside
/// the [`std::io::Error`]: encoders need not know where they write.
#[derive(Debug)]
pub struct AtomicFile {
    /// `None` once committed.
    file: Option<File>,
    unfinished: PathBuf,
    target: PathBuf,
    is_ours: bool,
    quota: Quota,
    behind: WriteBehind,
}

impl AtomicFile {
    /// Puts the file in its place, whole: its content is on the disk before its name is.
    ///
    /// # Errors
    /// Where that fails, or something foreign has appeared in its place meanwhile; then nothing
    /// is left.
    pub fn commit(mut self) -> Result<PathBuf, DeliverError> {
        let failed = |source| DeliverError::write(&self.target, source);
        if let Some(file) = &mut self.file {
            file.flush().map_err(failed)?;
            file.sync_all().map_err(failed)?;
            self.behind.synced(file);
        }
        refuse_foreign(&self.target, self.is_ours)?;
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
            // Nobody is left to tell; the next run cleans up.
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
