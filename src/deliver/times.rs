//! When the files of a set were last written.
//!
//! This stands beside the manifest and not in it: the manifest says what a set is, and is the same
//! wherever and whenever the set is made. Without the times, or where one is not as it was, files
//! are known again by their content.

use std::collections::BTreeMap;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::manifest::Manifest;
use crate::regular_file;

/// The largest file of times that is read, in bytes: some 100 a file.
const MOST_BYTES: u64 = 32 << 20;

/// Times of last writing by path, in nanoseconds since 1970.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Times(BTreeMap<String, u64>);

impl Times {
    /// Those that a manifest in memory knows.
    #[must_use]
    pub fn of(manifest: &Manifest) -> Times {
        let files = manifest.files.iter();
        Times(files.map(|(path, entry)| (path.clone(), entry.modified)).collect())
    }

    /// Reads them; a file that is not there or holds something else counts as empty: without times,
    /// files are known by their content.
    #[must_use]
    pub fn read(path: &Path) -> Times {
        let text = regular_file::read_text(path, MOST_BYTES).unwrap_or_default();
        serde_json::from_str(&text).unwrap_or_default()
    }

    /// Gives the files of a manifest their times.
    pub fn complete(&self, manifest: &mut Manifest) {
        for (path, entry) in &mut manifest.files {
            entry.modified = self.0.get(path).copied().unwrap_or_default();
        }
    }

    /// As JSON.
    ///
    /// # Errors
    /// Never; the form of the library asks for it.
    pub fn to_json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(self)
    }
}
