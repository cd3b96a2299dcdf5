//! What a lesson is made of on disk, noted while it is read.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The files that were asked for, there or not, and the folders that were looked into. A folder
/// stands for the TOML files in it.
#[derive(Debug, Default)]
pub(super) struct Sources {
    paths: RefCell<BTreeSet<PathBuf>>,
}

impl Sources {
    /// Notes a file, or a folder with TOML files.
    pub(super) fn note(&self, path: impl Into<PathBuf>) {
        self.paths.borrow_mut().insert(path.into());
    }

    /// All that was noted, as the system's reports of changes name it: by whole paths with no
    /// links in them. What is a link itself is there twice, as the link and as what it leads to,
    /// since either may be changed.
    pub(super) fn real_paths(&self) -> BTreeSet<PathBuf> {
        let paths = self.paths.borrow();
        let target = |path: &PathBuf| path.canonicalize().ok();
        paths.iter().map(|path| whole(path)).chain(paths.iter().filter_map(target)).collect()
    }
}

/// A path with its folder made whole: the nearest one that is there, and what is missing below it.
fn whole(path: &Path) -> PathBuf {
    for folder in path.ancestors().skip(1) {
        let at_hand = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        if let Ok(real) = at_hand.canonicalize()
            && let Ok(rest) = path.strip_prefix(folder)
        {
            return real.join(rest);
        }
    }
    path.to_owned()
}
