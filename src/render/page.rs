//! The practice page among the other files.

use super::record::Record;
use super::small::SmallFile;
use super::{Render, RenderError};
use crate::page::{PAGE, lesson_page};
use crate::plan::Plan;

/// Makes the page of a plan and what is there of it by now, if that is another than the page that
/// is there.
pub(super) fn make(render: &Render<'_>, plan: &Plan, record: &Record) -> Result<(), RenderError> {
    let page = lesson_page(render.lesson, plan, &record.manifest())?;
    let bytes = page.as_bytes();
    SmallFile { path: PAGE, purpose: "page", bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)
}
