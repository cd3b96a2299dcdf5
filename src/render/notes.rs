//! Sheets of notes become files.

use std::io::Write;
use std::path::Path;

use super::record::Record;
use super::{Made, Render, RenderError};
use crate::codec::musicxml;
use crate::deliver::{DeliverError, FileEntry};
use crate::plan::{NotesPlan, Plan};

/// Writes all sheets of a plan that are not there already, unchanged.
pub(super) fn make(render: &Render<'_>, plan: &Plan, record: &Record) -> Result<(), RenderError> {
    plan.notes.iter().try_for_each(|sheet| write(render, plan, sheet, record))
}

/// A sheet's content is made in any case, which takes milliseconds: its hash tells whether it has
/// changed.
fn write(
    render: &Render<'_>,
    plan: &Plan,
    sheet: &NotesPlan,
    record: &Record,
) -> Result<(), RenderError> {
    let (folder, progress, path) = (record.folder(), render.progress, &sheet.path);
    let failed = |message: String| RenderError::Notes { path: path.clone(), message };
    let score =
        sheet.score(render.lesson, &plan.takes).map_err(|error| failed(error.to_string()))?;
    let bytes = musicxml::write(&score).map_err(|error| failed(error.to_string()))?;
    let hash = blake3::hash(&bytes).to_hex().to_string();
    if record.unchanged(path, &hash) {
        progress.kept(path);
        return Ok(());
    }
    let mut file = folder.create(Path::new(path))?;
    file.write_all(&bytes)
        .map_err(|source| DeliverError::write(folder.root().join(path), source))?;
    file.commit()?;
    let (size, modified) = folder.stamp(Path::new(path)).unwrap_or_default();
    let entry = FileEntry {
        purpose: "notes".to_owned(),
        take: None,
        parts: Vec::new(),
        size,
        modified,
        hash: hash.clone(),
        depends: hash,
        sound: None,
    };
    record.file(path, entry)?;
    progress.made(&Made {
        path: path.clone(),
        seconds: 0.0,
        loudness: None,
        short_of_target: None,
    });
    Ok(())
}
