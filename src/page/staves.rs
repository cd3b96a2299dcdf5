//! What the hands play, on staves: the drawing that the script shows and marks.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::engrave::pages::Block;
use crate::engrave::svg::{Pieces, pieces};
use crate::engrave::{blocks, stacked};
use crate::lesson::Lesson;
use crate::notation::hands_measures;
use crate::plan::{Plan, TakePlan};

/// How wide the staves are, in staff spaces: four bars of eighth notes side by side.
const WIDTH: f64 = 92.0;

/// All staves of a page.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(super) struct Staves {
    /// Signs and letters by name, as the `d` of a path.
    signs: BTreeMap<String, String>,
    /// The sheets; takes refer to them.
    sheets: Vec<Sheet>,
    /// The sheet of each of the plan's sheets of notes that is here.
    #[serde(skip)]
    known: BTreeMap<usize, usize>,
}

/// What the hands play in a track in one key.
#[derive(Debug, PartialEq, Serialize)]
struct Sheet {
    /// The `viewBox`.
    view: String,
    /// The elements of the picture.
    body: String,
    /// The measure of each bar that is played, in order: an index into the notes' measures.
    measures: Vec<Option<usize>>,
}

impl Staves {
    /// The sheet of a take; none where it has no notes, or none are wanted.
    pub(super) fn of(&mut self, lesson: &Lesson, plan: &Plan, take: &TakePlan) -> Option<usize> {
        let notes = plan.notes.iter().position(|sheet| sheet.is_of(take))?;
        if let Some(known) = self.known.get(&notes) {
            return Some(*known);
        }
        let score = plan.notes.get(notes)?.score(lesson, &plan.takes).ok()?;
        // The page has a heading of its own.
        let blocks: Vec<Block> = blocks(&score, WIDTH).into_iter().skip(1).collect();
        let Pieces { signs, body, view, .. } = pieces(&stacked(&blocks, WIDTH));
        let timeline = &take.notes.timeline;
        let measures = hands_measures(timeline, &take.notes.hands).ok()?;
        let bars = timeline.bars.iter().zip(measures);
        let measures = bars.filter(|(bar, _)| bar.kind.is_played()).map(|(_, measure)| measure);
        self.signs.extend(signs);
        self.sheets.push(Sheet { view: view.join(" "), body, measures: measures.collect() });
        self.known.insert(notes, self.sheets.len() - 1);
        Some(self.sheets.len() - 1)
    }
}
