//! One run at a time in one folder.

use std::fs::{File, OpenOptions};
use std::path::{Path, PathBuf};

use fd_lock::{RwLock, RwLockWriteGuard};

use super::error::DeliverError;

/// The file that is locked. It is empty, and stays: to remove it while another run waits for it
/// would let two of them in.
const NAME: &str = ".countoff.lock";

/// A folder's lock. The operating system holds it for the process, so that one that is killed
/// leaves none.
#[derive(Debug)]
pub struct FolderLock {
    folder: PathBuf,
    lock: RwLock<File>,
}

impl FolderLock {
    /// The lock of a folder, which is made if it is not there; not held yet.
    ///
    /// # Errors
    /// The folder, or the file in it, cannot be made.
    pub fn of(folder: &Path) -> Result<FolderLock, DeliverError> {
        let failed = |source| DeliverError::write(folder, source);
        std::fs::create_dir_all(folder).map_err(failed)?;
        let path = folder.join(NAME);
        let file = OpenOptions::new().write(true).create(true).truncate(false).open(path);
        Ok(FolderLock { folder: folder.to_owned(), lock: RwLock::new(file.map_err(failed)?) })
    }

    /// Holds the lock until the answer is dropped.
    ///
    /// # Errors
    /// Another run holds it.
    pub fn hold(&mut self) -> Result<RwLockWriteGuard<'_, File>, DeliverError> {
        let folder = &self.folder;
        self.lock.try_write().map_err(|_| DeliverError::Busy { folder: folder.clone() })
    }
}
