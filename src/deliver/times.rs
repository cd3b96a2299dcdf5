//! When the files of a set were last written.
//!
//! This stands beside the manifest and not in it: the manifest says what a set is, and is the same
//! wherever and whenever the set is made. Without the times, or where one is not as it was, files
//! are known again by their content.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::manifest::Manifest;

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

    /// Reads them; a text that is something else counts as empty.
    #[must_use]
    pub fn parse(text: &str) -> Times {
        serde_json::from_str(text).unwrap_or_default()
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
