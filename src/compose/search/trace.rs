//! Goes back along a path: to the bar that it has just filled, and to all its notes.

use super::repeats::Bars;
use super::{Path, Search, Step};
use crate::compose::ComposedNote;
use crate::compose::grid::Position;

impl Search<'_> {
    /// Bars that were heard before cost.
    pub(super) fn end_bar(
        &self,
        paths: &mut [Path],
        steps: &[Step],
        bars: &mut Bars,
        index: usize,
    ) {
        let Some(before) = index.checked_sub(1) else { return };
        let bar = self.grid[before].bar;
        for path in paths {
            let pitches = self.pitches_of_bar(path.step, steps, bar);
            path.cost += bars.add(&mut path.bars, pitches);
        }
    }

    /// The pitches that a path has in a bar, last first.
    fn pitches_of_bar(&self, step: Option<usize>, steps: &[Step], bar: i64) -> Vec<u8> {
        let mut pitches = Vec::new();
        let mut at = step;
        while let Some(step) = at.map(|step| steps[step]) {
            let group = &self.candidates[step.position][step.group];
            let last = step.position + group.notes.len() - 1;
            if self.grid[last].bar < bar {
                break;
            }
            for (number, note) in group.notes.iter().enumerate().rev() {
                if self.grid[step.position + number].bar == bar {
                    pitches.push(note.pitch);
                }
            }
            at = step.parent;
        }
        pitches
    }

    /// The notes of a path.
    pub(super) fn notes(&self, end: Path, steps: &[Step]) -> Vec<ComposedNote> {
        let mut notes = Vec::new();
        let mut at = end.step;
        while let Some(step) = at.map(|step| steps[step]) {
            let group = &self.candidates[step.position][step.group];
            for (number, note) in group.notes.iter().enumerate().rev() {
                let Position { at, length, .. } = self.grid[step.position + number];
                notes.push(ComposedNote { at, length, pitch: note.pitch, role: note.role });
            }
            at = step.parent;
        }
        notes.reverse();
        notes
    }
}
