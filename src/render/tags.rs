//! Sound files whose tags alone have changed.

use std::fs::File;
use std::io::{BufReader, BufWriter, Write};
use std::path::Path;

use crate::deliver::{DeliverError, FileEntry, Folder, Hashed, SoundFile, retag};
use crate::plan::SoundPlan;

/// Writes a file again with other tags and the same samples: the hash of what it is then. None
/// where that cannot be done and the file has to be made from its notes.
///
/// # Errors
/// The file cannot be written.
pub(super) fn write_tags(
    folder: &Folder,
    sound: &SoundPlan,
    content: &SoundFile,
) -> Result<Option<String>, DeliverError> {
    let path = Path::new(&sound.path);
    let failed = |source| DeliverError::write(folder.root().join(path), source);
    let Ok(old) = File::open(folder.root().join(path)) else { return Ok(None) };
    let mut out = BufWriter::new(Hashed::new(folder.create(path)?));
    if retag(sound.format, content, &mut BufReader::new(old), &mut out).is_err() {
        return Ok(None);
    }
    out.flush().map_err(failed)?;
    let hashed = out.into_inner().map_err(|error| failed(error.into_error()))?;
    let (out, hash) = hashed.finish().map_err(failed)?;
    out.commit()?;
    Ok(Some(hash))
}

/// The entry of a file with other tags.
pub(super) fn entry(old: &FileEntry, folder: &Folder, path: &str, tagged: Tagged) -> FileEntry {
    let (size, modified) = folder.stamp(Path::new(path)).unwrap_or_default();
    FileEntry { size, modified, hash: tagged.hash, depends: tagged.depends, ..old.clone() }
}

/// What is new in an entry.
pub(super) struct Tagged {
    pub(super) hash: String,
    pub(super) depends: String,
}
