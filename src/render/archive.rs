//! The whole set as one `.zip` among the other files.

use std::fs::File;
use std::io::BufWriter;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use super::record::Record;
use super::small::Finished;
use super::{Progress, RenderError};
use crate::deliver::{Archive, DeliverError, FileEntry, Folder, Hashed, Manifest};

/// Raise it when the layout of the archive changes: it is made again then.
const LAYOUT: u32 = 1;

/// What the manifest calls it.
const PURPOSE: &str = "zip";

/// Makes the archive of all files that the manifest lists, if one of them has changed since. The
/// manifest itself stays outside: it is for programs.
pub(super) fn make(
    path: Option<&String>,
    record: &Record,
    progress: &dyn Progress,
    stop: &AtomicBool,
) -> Result<(), RenderError> {
    let Some(path) = path else { return Ok(()) };
    let folder = record.folder();
    let manifest = record.manifest();
    let files = contents(&manifest, folder);
    let mut hasher = blake3::Hasher::new();
    hasher.update(&LAYOUT.to_le_bytes());
    for (path, file) in &files {
        hasher.update(path.as_bytes()).update(&[0]).update(file.hash.as_bytes());
    }
    let depends = hasher.finalize().to_hex().to_string();
    if record.unchanged(path, &depends) {
        progress.kept(path);
        return Ok(());
    }
    let failed = |source| DeliverError::write(folder.root().join(path), source);
    let out = BufWriter::new(Hashed::new(folder.create(Path::new(path))?));
    let name = Path::new(path).file_stem().and_then(|name| name.to_str()).unwrap_or("set");
    let mut archive = Archive::begin(out, name);
    for (path, file) in &files {
        if stop.load(Ordering::Relaxed) {
            return Err(RenderError::Stopped);
        }
        let place = folder.root().join(path);
        let content = File::open(&place).map_err(|source| DeliverError::write(place, source))?;
        archive.add(path, file.size, content).map_err(failed)?;
    }
    let out = archive.finish().map_err(failed)?;
    let hashed = out.into_inner().map_err(|error| failed(error.into_error()))?;
    let (out, hash) = hashed.finish().map_err(failed)?;
    out.commit()?;
    Finished { path, purpose: PURPOSE, take: None, parts: Vec::new(), hash, depends }
        .note(record, progress)
}

/// The files of the set, in the order of their paths; none that somebody has removed.
fn contents<'a>(manifest: &'a Manifest, folder: &Folder) -> Vec<(&'a String, &'a FileEntry)> {
    let files = manifest.files.iter();
    files.filter(|(path, file)| file.purpose != PURPOSE && folder.has(Path::new(path))).collect()
}
