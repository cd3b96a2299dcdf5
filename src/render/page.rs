//! The practice page among the other files.

use std::io::Write;
use std::path::Path;

use super::record::Record;
use super::{Made, Render, RenderError};
use crate::deliver::{DeliverError, FileEntry};
use crate::page::{PAGE, lesson_page};
use crate::plan::Plan;

/// Makes the page of a plan and what is there of it by now, if that is another than the page that is there.
pub(super) fn make(render: &Render<'_>, plan: &Plan, record: &Record) -> Result<(), RenderError> {
    let (folder, progress) = (record.folder(), render.progress);
    let page = lesson_page(render.lesson, plan, &record.manifest())?;
    let hash = blake3::hash(page.as_bytes()).to_hex().to_string();
    if record.unchanged(PAGE, &hash) {
        progress.kept(PAGE);
        return Ok(());
    }
    let mut file = folder.create(Path::new(PAGE))?;
    file.write_all(page.as_bytes())
        .map_err(|source| DeliverError::write(folder.root().join(PAGE), source))?;
    file.commit()?;
    let (size, modified) = folder.stamp(Path::new(PAGE)).unwrap_or_default();
    let entry = FileEntry {
        purpose: "page".to_owned(),
        take: None,
        parts: Vec::new(),
        size,
        modified,
        hash: hash.clone(),
        depends: hash,
        sound: None,
    };
    record.file(PAGE, entry)?;
    let path = PAGE.to_owned();
    progress.made(&Made { path, seconds: 0.0, loudness: None, short_of_target: None });
    Ok(())
}
