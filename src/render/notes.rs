//! Sheets of notes become files.

use rayon::prelude::*;

use super::record::Record;
use super::small::SmallFile;
use super::{Render, RenderError};
use crate::codec::musicxml;
use crate::engrave::engrave;
use crate::engrave::svg::svg;
use crate::plan::{NotesPlan, Plan};

/// How wide a sheet is, in staff spaces: that of A4 between margins of 15 mm at a staff of 7.2 mm,
/// common practice for parts on a stand.
const WIDTH: f64 = 100.0;

/// Writes all sheets of a plan that are not there already, unchanged.
pub(super) fn make(render: &Render<'_>, plan: &Plan, record: &Record) -> Result<(), RenderError> {
    plan.notes.par_iter().try_for_each(|sheet| write(render, plan, sheet, record))
}

fn write(
    render: &Render<'_>,
    plan: &Plan,
    sheet: &NotesPlan,
    record: &Record,
) -> Result<(), RenderError> {
    let path = &sheet.path;
    let failed = |message: String| RenderError::Notes { path: path.clone(), message };
    let score =
        sheet.score(render.lesson, &plan.takes).map_err(|error| failed(error.to_string()))?;
    let bytes = musicxml::write(&score).map_err(|error| failed(error.to_string()))?;
    SmallFile { path, purpose: "notes", bytes: &bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)?;
    let picture = svg(&engrave(&score, WIDTH), &score.title);
    let (path, bytes) = (&sheet.picture(), picture.as_bytes());
    SmallFile { path, purpose: "picture", bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)
}
