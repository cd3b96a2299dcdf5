//! Who may be at work in a folder at the same time.
//!
//! A run that makes a whole set works alone. Runs that make shares of it work side by side, each
//! share once. So the folder's lock is held alone by the first kind and in common by the second,
//! and every share has a lock of its own besides.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

use super::error::DeliverError;
use super::shard::Shard;

/// The file that is locked. It is empty, and stays: to remove it while another run waits for it
/// would let two of them in.
const NAME: &str = ".countoff.lock";

/// A folder held for a run, until it is dropped. The operating system holds it for the process,
/// so that one that is killed leaves none.
#[derive(Debug)]
pub struct FolderLock {
    _files: Vec<File>,
}

impl FolderLock {
    /// Holds a folder alone. It is made if it is not there.
    ///
    /// # Errors
    /// Another run is at work in it, or the folder or the file in it cannot be made or locked.
    pub fn whole(folder: &Path) -> Result<FolderLock, DeliverError> {
        let file = open(folder, NAME)?;
        held(folder, file.try_lock())?;
        Ok(FolderLock { _files: vec![file] })
    }

    /// Holds a share of a folder. It is made if it is not there.
    ///
    /// # Errors
    /// Another run makes the whole set or the same share, or the folder or a file in it cannot be
    /// made or locked.
    pub fn share(folder: &Path, shard: Shard) -> Result<FolderLock, DeliverError> {
        let whole = open(folder, NAME)?;
        held(folder, whole.try_lock_shared())?;
        let share = open(folder, &format!(".countoff.{shard}.lock"))?;
        held(folder, share.try_lock())?;
        Ok(FolderLock { _files: vec![share, whole] })
    }
}

fn open(folder: &Path, name: &str) -> Result<File, DeliverError> {
    let failed = |source| DeliverError::write(folder, source);
    if let Some(path) = folder.ancestors().find(|path| path.is_file()) {
        return Err(DeliverError::NoFolder { path: path.to_owned() });
    }
    std::fs::create_dir_all(folder).map_err(failed)?;
    let path = folder.join(name);
    OpenOptions::new().write(true).create(true).truncate(false).open(path).map_err(failed)
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
