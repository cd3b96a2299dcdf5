//! The whole set as one `.zip` among the other files.

use std::io::BufWriter;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use super::record::Record;
use super::{Progress, RenderError, small};
use crate::deliver::{Archive, DeliverError, Folder, Hashed, Manifest};

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
    for (path, hash) in &files {
        hasher.update(path.as_bytes()).update(&[0]).update(hash.as_bytes());
    }
    let depends = hasher.finalize().to_hex().to_string();
    if record.unchanged(path, &depends) {
        progress.kept(path);
        return Ok(());
    }
    if record.is_changed(path)? {
        record.leave(path);
        progress.left_alone(path);
        return Ok(());
    }
    let failed = |source| DeliverError::write(folder.root().join(path), source);
    let out = BufWriter::new(Hashed::new(folder.create(Path::new(path))?));
    let name = Path::new(path).file_stem().and_then(|name| name.to_str()).unwrap_or("set");
    let mut archive = Archive::begin(out, name);
    for (path, _) in &files {
        if stop.load(Ordering::Relaxed) {
            return Err(RenderError::Stopped);
        }
        let unreadable = |source| DeliverError::Read { path: folder.root().join(path), source };
        let content = folder.read(Path::new(path)).map_err(unreadable)?;
        let bytes = content.metadata().map_err(unreadable)?.len();
        archive.add(path, bytes, content).map_err(failed)?;
    }
    let out = archive.finish().map_err(failed)?;
    let hashed = out.into_inner().map_err(|error| failed(error.into_error()))?;
    let (out, hash) = hashed.finish().map_err(failed)?;
    let entry = small::entry(PURPOSE, None, Vec::new(), &hash, &depends);
    small::put(out, path, entry, record, progress)
}

/// The files of the set as they are, each with its hash, in the order of their paths; none that
/// somebody has removed. What the teacher changed is included as it is now.
fn contents<'a>(manifest: &'a Manifest, folder: &Folder) -> Vec<(&'a String, String)> {
    let files = manifest.files.iter().filter(|(_, file)| file.purpose != PURPOSE);
    let as_it_is = files.filter_map(|(path, file)| {
        let stamp = folder.stamp(Path::new(path))?;
        let is_as_made = stamp == (file.size, file.modified);
        let hash = if is_as_made { Some(file.hash.clone()) } else { folder.hash(Path::new(path)) };
        Some((path, hash?))
    });
    as_it_is.collect()
}
