//! How hard the notes of a line are struck, where its source does not say it.
//!
//! A line is sung: it swells towards its highest note, the off-beats of swing lean, a low note in
//! between steps back, and a phrase that ends short off the beat ends with an accent, one that
//! ends with a long note comes to rest. All sizes are out of 127 and from memory; together they
//! stay within a little more than the step from one dynamic mark to the next.

use super::{Force, LineNote};
use crate::units::{Ticks, Velocity};

/// Where a line is at rest: mezzo-forte.
const USUAL: i32 = 82;
/// A written accent.
const ACCENT: i32 = 16;
/// A note off the beat.
const OFF_BEAT: i32 = 3;
/// The top of a rise, and the bottom of a fall.
const TOP: i32 = 6;
const BOTTOM: i32 = -4;
/// The last note of a phrase: short off the beat, or else.
const SHORT_END: i32 = 7;
const LONG_END: i32 = -5;
/// A note that is the highest of its phrase by an octave is this much louder than the lowest.
const SWELL_OF_OCTAVE: i32 = 12;
/// The most that height alone may do.
const MOST_SWELL: i32 = 8;

/// The velocity of each note. `count` is what a player counts: a rest of one count or more ends a
/// phrase.
pub(super) fn velocities(notes: &[LineNote], count: Ticks) -> Vec<Velocity> {
    let strokes: Vec<&[LineNote]> = notes.chunk_by(|note, next| note.at == next.at).collect();
    let mut found = Vec::with_capacity(notes.len());
    for phrase in strokes.chunk_by(|stroke, next| !is_rest_between(stroke, next, count)) {
        let tops: Vec<&LineNote> = phrase.iter().filter_map(|stroke| top(stroke)).collect();
        let (lowest, highest) = tops
            .iter()
            .fold((127, 0), |(low, high), note| (height(note).min(low), height(note).max(high)));
        for (index, stroke) in phrase.iter().enumerate() {
            let shaped = USUAL + shape(&tops, index, lowest + highest, count);
            found.extend(stroke.iter().map(|note| match note.force {
                Force::Phrased => Velocity::clamped(shaped),
                Force::Accented => accented(Velocity::clamped(shaped)),
                Force::Marked(velocity) | Force::Played(velocity) => velocity,
            }));
        }
    }
    found
}

/// A velocity with an accent on it.
pub(super) fn accented(velocity: Velocity) -> Velocity {
    Velocity::clamped(i32::from(velocity.get()) + ACCENT)
}

fn is_rest_between(stroke: &[LineNote], next: &[LineNote], count: Ticks) -> bool {
    let end = stroke.iter().map(|note| note.at + note.length).max().unwrap_or_default();
    next.first().is_some_and(|note| note.at - end >= count)
}

/// What to add for a stroke's place in its phrase, of which the highest notes are given, and twice
/// the height of its middle.
fn shape(tops: &[&LineNote], index: usize, middle: i32, count: Ticks) -> i32 {
    let Some(note) = tops.get(index) else { return 0 };
    let swell = (height(note) * 2 - middle) * SWELL_OF_OCTAVE / 24;
    let neighbours = [index.checked_sub(1), index.checked_add(1)]
        .map(|index| index.and_then(|index| tops.get(index)).map(|note| height(note)));
    let turn = match neighbours {
        [Some(before), Some(after)] if height(note) > before.max(after) => TOP,
        [Some(before), Some(after)] if height(note) < before.min(after) => BOTTOM,
        _ => 0,
    };
    let off_beat = note.at.0.rem_euclid(count.0.max(1)) != 0;
    let is_last = index + 1 == tops.len() && tops.len() > 1;
    let end = match (is_last, off_beat && note.length < count) {
        (false, _) => 0,
        (true, true) => SHORT_END,
        (true, false) => LONG_END,
    };
    swell.clamp(-MOST_SWELL, MOST_SWELL) + turn + end + if off_beat { OFF_BEAT } else { 0 }
}

/// The highest note of a stroke: what the ear follows.
fn top(stroke: &[LineNote]) -> Option<&LineNote> {
    stroke.iter().max_by_key(|note| note.pitch)
}

fn height(note: &LineNote) -> i32 {
    i32::from(note.pitch)
}
