//! The lines of a lesson with their notes: what is to be composed is composed here.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::*;

use crate::compose::{Composed, compose};
use crate::explain::{Explained, Sounding, explain};
use crate::lesson::{Lesson, LineId, LineNotes, LineSpec, Track};
use crate::melody::Form;
use crate::part::line::{Force, Line, LineNote};
use crate::performance::Instrument;
use crate::problem::InternalError;
use crate::units::Ticks;

use super::PlanError;

/// A line with its notes.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedLine {
    /// The chorus of the chart that it goes over.
    pub form: Form,
    /// What is played.
    pub line: Line,
    /// How it was composed; `None` for a line of the teacher's own.
    pub composed: Option<Composed>,
}

impl PlannedLine {
    /// A line of a lesson. One that is to be composed is composed now, which may take a while.
    ///
    /// # Errors
    /// The composed line has no notes.
    pub fn of(lesson: &Lesson, spec: &LineSpec) -> Result<PlannedLine, PlanError> {
        let chart = lesson.chart(spec.chart);
        let form = Form::of(chart);
        let (notes, composed) = match &spec.notes {
            LineNotes::Written(notes) => (notes.clone(), None),
            LineNotes::ToCompose(request) => {
                let composed = compose(&form, request);
                if composed.notes.is_empty() {
                    return Err(PlanError::NoNotes(spec.name.clone()));
                }
                (notes_to_phrase(&composed), Some(composed))
            }
        };
        let line = Line {
            hand: spec.hand,
            instrument: spec.instrument.as_ref().map_or(Instrument::PIANO, |(named, _)| *named),
            range: spec.range.clone(),
            ..Line::new(&spec.name, chart.key, notes)
        };
        Ok(PlannedLine { form, line, composed })
    }

    /// Every note of the line with its roles, in the key as written, at the times where it is heard.
    #[must_use]
    pub fn explained(&self) -> Vec<Explained> {
        let Some(composed) = &self.composed else {
            let notes = self.line.notes.iter().map(|note| Sounding {
                at: note.at,
                length: note.length,
                pitch: note.pitch,
            });
            return explain(&self.form, &notes.collect::<Vec<_>>(), &[]);
        };
        // A line that is moved against the bar is explained as it was composed.
        let moved = |note: &Sounding, by: Ticks| Sounding { at: note.at + by, ..*note };
        let notes = composed.notes.iter().map(|note| Sounding {
            at: note.at - composed.displaced,
            length: note.length,
            pitch: note.pitch,
        });
        let mut explained = explain(&self.form, &notes.collect::<Vec<_>>(), &composed.pieces);
        for explained in &mut explained {
            explained.note = moved(&explained.note, composed.displaced);
        }
        explained
    }
}

/// The notes of a composed line, to be phrased.
fn notes_to_phrase(composed: &Composed) -> Vec<LineNote> {
    let notes = composed.notes.iter();
    notes
        .map(|note| LineNote {
            at: note.at,
            length: note.length,
            pitch: note.pitch,
            name: None,
            force: Force::Phrased,
        })
        .collect()
}

/// The lines that some tracks play, each made once.
pub(super) struct Lines(BTreeMap<LineId, Arc<PlannedLine>>);

impl Lines {
    /// # Errors
    /// A composed line has no notes.
    pub(super) fn of<'t>(
        lesson: &Lesson,
        tracks: impl Iterator<Item = &'t Track>,
    ) -> Result<Lines, PlanError> {
        let ids: BTreeSet<LineId> =
            tracks.flat_map(|track| track.lines().chain(track.left_hand)).collect();
        let planned = ids
            .into_par_iter()
            .map(|id| PlannedLine::of(lesson, lesson.line(id)).map(|line| (id, Arc::new(line))));
        planned.collect::<Result<_, PlanError>>().map(Lines)
    }

    /// The line that a track plays, where it plays one.
    ///
    /// # Errors
    /// It is none of these lines: an error of the program.
    pub(super) fn get(&self, id: Option<LineId>) -> Result<Option<Arc<PlannedLine>>, PlanError> {
        let Some(id) = id else { return Ok(None) };
        let missing = || InternalError::new("a line that is played was not planned").into();
        self.0.get(&id).cloned().ok_or_else(missing).map(Some)
    }

    /// Where composed lines could not show what was asked, in words for the teacher: once for all
    /// lines of an exercise book.
    pub(super) fn warnings(&self, lesson: &Lesson) -> Vec<String> {
        let mut warnings = Vec::new();
        let mut of_entry = BTreeSet::new();
        let mut entry = None;
        for (id, line) in &self.0 {
            let name = &lesson.line(*id).entry;
            if entry != Some(name) {
                warnings.extend(std::mem::take(&mut of_entry));
                entry = Some(name);
            }
            let fallbacks = line.composed.iter().flat_map(|composed| &composed.fallbacks);
            of_entry.extend(fallbacks.map(|fallback| format!("the line {name}, {fallback}")));
        }
        warnings.extend(of_entry);
        warnings
    }
}
