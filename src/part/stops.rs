//! Where the whole band stops, nothing rings on.

use super::Note;
use crate::arrange::Timeline;

/// Ends notes that ring into a bar in which the band stops.
pub(crate) fn cut_at_stops(timeline: &Timeline, notes: &mut Vec<Note>) {
    let stops = |bar: usize| {
        let hits = timeline.bars.get(bar).and_then(|bar| bar.hits.as_ref());
        hits.is_some_and(|hits| hits.stop)
    };
    if !(0..timeline.bars.len()).any(stops) {
        return;
    }
    for note in notes.iter_mut() {
        let first = timeline.bar_index(note.at);
        let last = timeline.bar_index(note.at + note.length);
        let stop = (first + 1..=last).find(|bar| stops(*bar));
        if let Some(bar) = stop.and_then(|stop| timeline.bars.get(stop)) {
            note.length = note.length.min(bar.start - note.at);
        }
    }
    notes.retain(|note| note.length.0 > 0);
}
