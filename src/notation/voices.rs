//! A staff's notes become one voice, or two where notes are held while others move.

use super::grid::WrittenNote;
use crate::theory::Pitch;
use crate::units::Ticks;

/// What a voice does for a while: the notes that are down, all struck or held together. Gaps
/// between figures are rests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chord {
    pub(super) start: Ticks,
    pub(super) end: Ticks,
    /// From the lowest up.
    pub(super) notes: Vec<ChordNote>,
}

/// One note of a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct ChordNote {
    pub(super) pitch: Pitch,
    pub(super) ghost: bool,
    pub(super) staccato: bool,
    /// It was struck before, and is held.
    pub(super) tied_from: bool,
    /// It is held on.
    pub(super) tied_to: bool,
}

/// The voices of a staff, the upper first; the second is empty where one will do.
///
/// Notes that begin and end together go together. What cannot be said by two voices is said by
/// ties within one, so that nothing is lost.
pub(super) fn voices(notes: &[WrittenNote]) -> [Vec<Chord>; 2] {
    let mut voices: [Vec<WrittenNote>; 2] = [Vec::new(), Vec::new()];
    for cluster in clusters(notes) {
        let [mut upper, mut lower] = divide(cluster);
        if !lower.is_empty() && average(&lower) > average(&upper) {
            std::mem::swap(&mut upper, &mut lower);
        }
        voices[0].append(&mut upper);
        voices[1].append(&mut lower);
    }
    voices.map(|notes| chords(&notes))
}

/// Runs of notes between moments at which nothing is held.
fn clusters(notes: &[WrittenNote]) -> Vec<&[WrittenNote]> {
    let mut clusters = Vec::new();
    let mut from = 0;
    let mut held_until = Ticks(i64::MIN);
    for (index, note) in notes.iter().enumerate() {
        if note.start >= held_until && index > from {
            clusters.push(&notes[from..index]);
            from = index;
        }
        held_until = held_until.max(note.end);
    }
    if from < notes.len() {
        clusters.push(&notes[from..]);
    }
    clusters
}

/// Puts notes that begin and end together into the first voice that is free.
fn divide(cluster: &[WrittenNote]) -> [Vec<WrittenNote>; 2] {
    let mut sorted = cluster.to_vec();
    sorted.sort_by_key(|note| (note.start, note.end, note.pitch.midi()));
    let mut voices: [Vec<WrittenNote>; 2] = [Vec::new(), Vec::new()];
    let mut busy_until = [Ticks(i64::MIN); 2];
    for group in sorted.chunk_by(|one, other| (one.start, one.end) == (other.start, other.end)) {
        let Some(first) = group.first() else { continue };
        let free = busy_until.iter().position(|until| *until <= first.start);
        // The least busy one, where none is free: its notes will be tied over.
        let least_busy = usize::from(busy_until[1] < busy_until[0]);
        let voice = free.unwrap_or(least_busy);
        voices[voice].extend_from_slice(group);
        busy_until[voice] = busy_until[voice].max(first.end);
    }
    voices
}

fn average(notes: &[WrittenNote]) -> i64 {
    let sum: i64 = notes.iter().filter_map(|note| note.pitch.midi()).map(i64::from).sum();
    let count: i64 = notes.iter().map(|_| 1).sum();
    // In thousandths, so that close voices are told apart.
    sum * 1000 / count.max(1)
}

/// Notes become chords: a new one whenever a note begins or ends, held notes tied over.
fn chords(notes: &[WrittenNote]) -> Vec<Chord> {
    let mut chords = Vec::new();
    for cluster in clusters(notes) {
        let mut edges: Vec<Ticks> =
            cluster.iter().flat_map(|note| [note.start, note.end]).collect();
        edges.sort_unstable();
        edges.dedup();
        for pair in edges.windows(2) {
            let [start, end] = [pair[0], pair[1]];
            let down = cluster.iter().filter(|note| note.start <= start && note.end >= end);
            let mut held: Vec<ChordNote> = down
                .map(|note| ChordNote {
                    pitch: note.pitch,
                    ghost: note.ghost,
                    staccato: note.staccato,
                    tied_from: note.start < start,
                    tied_to: note.end > end,
                })
                .collect();
            held.sort_by_key(|note| note.pitch.midi());
            held.dedup_by_key(|note| note.pitch.midi());
            if !held.is_empty() {
                chords.push(Chord { start, end, notes: held });
            }
        }
    }
    chords
}
