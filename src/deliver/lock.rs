//! Who may be at work in a folder at the same time.
//!
//! A run that makes a whole set works alone. Runs that make shares of it work side by side, each
//! share once. So the folder's lock is held alone by the first kind and in common by the second,
//! and every share has a lock of its own besides.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::ErrorKind;
use std::path::Path;

use super::error::DeliverError;
use super::shard::Shard;
use crate::regular_file;

/// The file that is locked. It is empty, and stays: to remove it while another run waits for it
/// would let two of them in.
const NAME: &str = ".countoff.lock";

/// A folder held for a run, until it is dropped. The operating system holds it for the process,
/// so that one that is killed leaves none.
#[derive(Debug)]
pub struct FolderLock {
    /// None where nothing can be made in the folder: a run may see there that all is as it should
    /// be, and nothing else.
    files: Vec<File>,
}

impl FolderLock {
    /// Holds a folder alone. It is made if it is not there.
    ///
    /// # Errors
    /// Another run is at work in it, or the folder or the file in it cannot be made or locked.
    pub fn whole(folder: &Path) -> Result<FolderLock, DeliverError> {
        let file = open(folder, NAME)?;
        if let Some(file) = &file {
            held(folder, file.try_lock())?;
        }
        Ok(FolderLock { files: file.into_iter().collect() })
    }

    /// Holds a share of a folder. It is made if it is not there.
    ///
    /// # Errors
    /// Another run makes the whole set or the same share, or the folder or a file in it cannot be
    /// made or locked.
    pub fn share(folder: &Path, shard: Shard) -> Result<FolderLock, DeliverError> {
        let whole = open(folder, NAME)?;
        if let Some(whole) = &whole {
            held(folder, whole.try_lock_shared())?;
        }
        let share = open(folder, &share_name(shard))?;
        if let Some(share) = &share {
            held(folder, share.try_lock())?;
        }
        Ok(FolderLock { files: share.into_iter().chain(whole).collect() })
    }

    /// Removes the locks of shares from a folder that is held as a whole: no run can hold one now,
    /// since such a run holds the folder's lock in common.
    pub fn forget_shares(&self, folder: &Path) {
        let Ok(entries) = fs::read_dir(folder) else { return };
        for entry in entries.flatten() {
            let name = entry.file_name();
            let is_share = name.to_str().and_then(shard_of).is_some();
            if is_share && !self.files.is_empty() {
                // One that cannot be removed does no harm.
                let _ = fs::remove_file(entry.path());
            }
        }
    }
}

fn share_name(shard: Shard) -> String {
    format!(".countoff.{shard}.lock")
}

/// The share whose lock has a name.
fn shard_of(name: &str) -> Option<Shard> {
    name.strip_prefix(".countoff.")?.strip_suffix(".lock").and_then(Shard::of_file_name)
}

/// The file of a lock; none where it is not there and cannot be made.
fn open(folder: &Path, name: &str) -> Result<Option<File>, DeliverError> {
    let failed = |source| DeliverError::write(folder, source);
    if let Some(path) = folder.ancestors().find(|path| path.is_file()) {
        return Err(DeliverError::NoFolder { path: path.to_owned() });
    }
    fs::create_dir_all(folder).map_err(failed)?;
    let path = folder.join(name);
    let is_denied =
        |kind| matches!(kind, ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem);
    // A new file, so that no link is followed.
    match OpenOptions::new().write(true).create_new(true).open(&path) {
        Ok(file) => return Ok(Some(file)),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
        Err(error) if is_denied(error.kind()) && fs::symlink_metadata(&path).is_err() => {
            return Ok(None);
        }
        Err(error) if is_denied(error.kind()) => {}
        Err(error) => return Err(DeliverError::write(path, error)),
    }
    if !fs::symlink_metadata(&path).is_ok_and(|found| found.is_file()) {
        return Err(DeliverError::Foreign { path });
    }
    // Some network file systems lock only what is open for writing.
    let opened = OpenOptions::new().write(true).open(&path);
    match opened.or_else(|_| regular_file::open(&path)) {
        Ok(file) => Ok(Some(file)),
        Err(error) if is_denied(error.kind()) => Ok(None),
        Err(error) => Err(DeliverError::write(path, error)),
    }
}

fn held(folder: &Path, result: Result<(), TryLockError>) -> Result<(), DeliverError> {
    result.map_err(|error| match error {
        TryLockError::WouldBlock => DeliverError::Busy { folder: folder.to_owned() },
        TryLockError::Error(source) => DeliverError::write(folder.join(NAME), source),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_work_side_by_side_and_a_whole_run_alone() {
        let home = tempfile::tempdir().unwrap();
        let folder = home.path().join("set");
        let shard = |text: &str| text.parse::<Shard>().unwrap();
        let busy =
            |lock: Result<FolderLock, DeliverError>| matches!(lock, Err(DeliverError::Busy { .. }));
        let first = FolderLock::share(&folder, shard("1/2")).unwrap();
        let second = FolderLock::share(&folder, shard("2/2")).unwrap();
        assert!(busy(FolderLock::share(&folder, shard("1/2"))), "the same share twice");
        assert!(busy(FolderLock::whole(&folder)), "shares are being made");
        drop((first, second));
        let whole = FolderLock::whole(&folder).unwrap();
        assert!(busy(FolderLock::share(&folder, shard("1/2"))), "the whole set is being made");
        assert!(busy(FolderLock::whole(&folder)), "twice");
        drop(whole);
        FolderLock::whole(&folder).unwrap();
    }
}
