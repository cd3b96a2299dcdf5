//! Goes back along a way: to the bar that it has just filled, and to all its notes.

use super::repeats::Bars;
use super::{Search, Step, Way};
use crate::compose::ComposedNote;
use crate::units::Ticks;

impl Search<'_> {
    /// Bars that were heard before cost.
    pub(super) fn end_bar(&self, ways: &mut [Way], steps: &[Step], bars: &mut Bars, index: usize) {
        let Some(before) = index.checked_sub(1) else { return };
        let bar = self.grid[before].bar;
        for way in ways {
            let pitches = self.pitches_of_bar(way.step, steps, bar);
            way.cost += bars.add(&mut way.bars, pitches);
        }
    }

    /// The pitches that a way has in a bar, last first.
    fn pitches_of_bar(&self, step: Option<usize>, steps: &[Step], bar: i64) -> Vec<u8> {
        let mut pitches = Vec::new();
        let mut at = step;
        while let Some(step) = at.map(|step| steps[step]) {
            let group = &self.candidates[step.place][step.group];
            let places = step.place..step.place + group.places;
            if self.grid[places.end - 1].bar < bar {
                break;
            }
            for (number, note) in group.notes.iter().enumerate().rev() {
                let place = step.place + number.min(group.places - 1);
                if self.grid[place].bar == bar {
                    pitches.push(note.pitch);
                }
            }
            at = step.parent;
        }
        pitches
    }

    /// The notes of a way.
    pub(super) fn notes(&self, end: Way, steps: &[Step]) -> Vec<ComposedNote> {
        let mut notes = Vec::new();
        let mut at = end.step;
        while let Some(step) = at.map(|step| steps[step]) {
            let group = &self.candidates[step.place][step.group];
            let count = i64::try_from(group.notes.len()).unwrap_or(1);
            let triplet = group.notes.len() > group.places;
            for (number, note) in group.notes.iter().enumerate().rev() {
                let place = self.grid[step.place + number.min(group.places - 1)];
                let (at, length) = if triplet {
                    let each = Ticks(Ticks::QUARTER.0 / count);
                    let number = i64::try_from(number).unwrap_or(0);
                    (self.grid[step.place].at + each * number, each)
                } else {
                    (place.at, place.length)
                };
                notes.push(ComposedNote { at, length, pitch: note.pitch, role: note.role });
            }
            at = step.parent;
        }
        notes.reverse();
        notes
    }
}
