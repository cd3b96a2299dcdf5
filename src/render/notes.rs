//! Sheets of notes become files: for notation programs, as pictures, and as handouts.

use rayon::prelude::*;

use super::record::Record;
use super::small::SmallFile;
use super::{Render, RenderError};
use crate::codec::musicxml;
use crate::engrave::pages::{Block, SPACE, pages};
use crate::engrave::pdf::{Info, pdf};
use crate::engrave::svg::svg;
use crate::engrave::{blocks, stacked};
use crate::notation::Reader;
use crate::plan::{HandoutPlan, NotesPlan, Plan};

/// Writes all sheets of a plan that are not there already, unchanged.
pub(super) fn make(render: &Render<'_>, plan: &Plan, record: &Record) -> Result<(), RenderError> {
    let sheets = plan.notes.par_iter().map(|sheet| write(render, plan, sheet, record));
    let sheets = sheets.collect::<Result<Vec<Vec<Block>>, RenderError>>()?;
    plan.handouts
        .par_iter()
        .try_for_each(|handout| write_handout(render, plan, handout, &sheets, record))
}

/// Writes one sheet, and gives back what is drawn on it.
fn write(
    render: &Render<'_>,
    plan: &Plan,
    sheet: &NotesPlan,
    record: &Record,
) -> Result<Vec<Block>, RenderError> {
    let path = &sheet.path;
    let failed = |message: String| RenderError::Notes { path: path.clone(), message };
    let score =
        sheet.score(render.lesson, &plan.takes).map_err(|error| failed(error.to_string()))?;
    let bytes = musicxml::write(&score).map_err(|error| failed(error.to_string()))?;
    SmallFile { path, purpose: "notes", bytes: &bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)?;
    let width = render.lesson.paper.music_width();
    let blocks = blocks(&score, width);
    let picture = svg(&stacked(&blocks, width), &score.title);
    let (path, bytes) = (&sheet.picture(), picture.as_bytes());
    SmallFile { path, purpose: "picture", bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)?;
    Ok(blocks)
}

/// All sheets for one kind of readers on paper. `sheets` are those of the plan, in its order.
fn write_handout(
    render: &Render<'_>,
    plan: &Plan,
    handout: &HandoutPlan,
    sheets: &[Vec<Block>],
    record: &Record,
) -> Result<(), RenderError> {
    let lesson = render.lesson;
    let of_reader = plan.notes.iter().zip(sheets);
    let mut of_reader: Vec<(&NotesPlan, &Vec<Block>)> =
        of_reader.filter(|(sheet, _)| sheet.reader() == handout.reader).collect();
    of_reader.sort_by_key(|(sheet, _)| sheet.place_in_handout());
    let sheets: Vec<Vec<Block>> = of_reader.into_iter().map(|(_, blocks)| blocks.clone()).collect();
    let title = match handout.reader {
        Reader::Concert => lesson.title.clone(),
        reader => format!("{}, {}", lesson.title, reader.title().unwrap_or_default()),
    };
    let pages = pages(&title, &sheets, lesson.paper);
    let info = Info { title: &title, author: lesson.credits.teacher.as_deref() };
    let path = &handout.path;
    let bytes = pdf(&pages, SPACE, info)
        .map_err(|error| RenderError::Notes { path: path.clone(), message: error.to_string() })?;
    SmallFile { path, purpose: "handout", bytes: &bytes, take: None, parts: Vec::new() }
        .put(record, render.progress)
}
