//! What the notes of a lesson's lines are to their chords.

use super::Lesson;
use crate::explain::{Explained, Sounding, explain};
use crate::melody::Form;
use crate::units::Ticks;

impl Lesson {
    /// Every note of a line with its roles, in the key as written, at the times where it is heard;
    /// nothing where there is no such line. `line` is an index into [`Lesson::lines`].
    #[must_use]
    pub fn explained(&self, line: usize) -> Vec<Explained> {
        let Some((origin, line)) = self.origins.get(line).zip(self.lines.get(line)) else {
            return Vec::new();
        };
        let Some(chart) = self.charts.get(origin.chart) else { return Vec::new() };
        let form = Form::of(chart);
        let Some(composed) = &origin.composed else {
            let notes = line.notes.iter().map(|note| Sounding {
                at: note.at,
                length: note.length,
                pitch: note.pitch,
            });
            return explain(&form, &notes.collect::<Vec<_>>(), &[]);
        };
        // A line that is moved against the bar is explained as it was composed.
        let moved = |note: &Sounding, by: Ticks| Sounding { at: note.at + by, ..*note };
        let notes = composed.notes.iter().map(|note| Sounding {
            at: note.at - composed.displaced,
            length: note.length,
            pitch: note.pitch,
        });
        let mut explained = explain(&form, &notes.collect::<Vec<_>>(), &composed.pieces);
        for explained in &mut explained {
            explained.note = moved(&explained.note, composed.displaced);
        }
        explained
    }
}
