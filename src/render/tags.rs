//! Sound files whose tags alone have changed.

use std::io::{BufReader, BufWriter, Write};
use std::path::Path;

use crate::deliver::{AtomicFile, DeliverError, Folder, Hashed, SoundFile, retag};
use crate::plan::SoundPlan;

/// A file again with other tags and the same samples, whole, but not yet in its place, and its
/// hash. None where that cannot be done and the file has to be made from its notes.
///
/// # Errors
/// The file cannot be written.
pub(super) fn write_tags(
    folder: &Folder,
    sound: &SoundPlan,
    content: &SoundFile,
) -> Result<Option<(AtomicFile, String)>, DeliverError> {
    let path = Path::new(&sound.path);
    let failed = |source| DeliverError::write(folder.root().join(path), source);
    let Ok(old) = folder.read(path) else { return Ok(None) };
    let mut out = BufWriter::new(Hashed::new(folder.create(path)?));
    if retag(sound.format, content, &mut BufReader::new(old), &mut out).is_err() {
        return Ok(None);
    }
    out.flush().map_err(failed)?;
    let hashed = out.into_inner().map_err(|error| failed(error.into_error()))?;
    Ok(Some(hashed.finish().map_err(failed)?))
}
