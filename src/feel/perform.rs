//! From notes on the grid to a performance.

use super::accent::{Context, accent};
use super::deviation::{Deviation, StrokeDeviation};
use super::grid::{Grid, Together, ticks_of_ms};
use super::length::held;
use super::player::Player;
use super::tidy::tidy;
use super::{Performance, PerformedNote, PerformedPart};
use crate::arrange::Timeline;
use crate::part::{Note, PartNotes};
use crate::units::{Ticks, Velocity};

/// How a performance is played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FeelSettings {
    /// The seed of all deviations.
    pub seed: u64,
    /// Whether there are any. Without them a performance is as regular as its swing allows.
    pub deviations: bool,
}

/// Performs the parts of a timeline, all of which must have been made for it.
///
/// Parts are heard together: whether drums or bass are among them decides where a line's notes
/// fall, and one style in even eighths makes all play them. So a part that is left out of a mix
/// must not be left out here, if the mixes are to agree.
///
/// A note before the start, as of a chord that is struck early, is played at the start; in a
/// loop it is played where the loop ends.
#[must_use]
pub fn perform(timeline: &Timeline, parts: &[PartNotes], settings: FeelSettings) -> Performance {
    let together = Together::of(timeline, parts);
    let loop_length = timeline.loops.then_some(timeline.end);
    let perform_part = |part: &PartNotes| PerformedPart {
        part: part.part,
        instrument: part.instrument,
        notes: tidy(performed_notes(timeline, part, together, settings), loop_length),
    };
    Performance {
        parts: parts.iter().map(perform_part).collect(),
        tempo: timeline.tempo.clone(),
        end: timeline.end,
    }
}

fn performed_notes(
    timeline: &Timeline,
    part: &PartNotes,
    together: Together,
    settings: FeelSettings,
) -> Vec<PerformedNote> {
    let notes = in_order(notes_inside(timeline, part));
    let grid = Grid::of(timeline, part.part, &notes, together);
    let strokes: Vec<&[Note]> = notes.chunk_by(|note, next| note.at == next.at).collect();
    let deviates = settings.deviations && Player::of(part.part) != Player::Machine;

    let mut performed = Vec::with_capacity(notes.len());
    let mut stroke_in_bar = 0;
    let mut bar_before = None;
    for (index, stroke) in strokes.iter().enumerate() {
        let at = stroke[0].at;
        let bar_index = timeline.bar_index(at);
        let Some(bar) = timeline.bars.get(bar_index) else { break };
        stroke_in_bar = if bar_before == Some(bar_index) { stroke_in_bar + 1 } else { 0 };
        bar_before = Some(bar_index);
        let mut deviation =
            deviates.then(|| StrokeDeviation::draw(settings.seed, part.part, bar, stroke_in_bar));
        let neighbour = |index: Option<usize>| {
            index.and_then(|index| strokes.get(index)).and_then(|stroke| stroke.last())
        };
        let context = Context {
            part: part.part,
            meter: bar.meter,
            in_bar: at - bar.start,
            before: neighbour(index.checked_sub(1)),
            after: neighbour(index.checked_add(1)),
        };
        let tempo = timeline.tempo.at(at);
        let start = grid.performed(at);
        for note in *stroke {
            let deviation = deviation.as_mut().map_or(Deviation::ZERO, StrokeDeviation::note);
            let on = (start + ticks_of_ms(deviation.ms, tempo)).max(Ticks::ZERO);
            let full = grid.performed(at + note.length) - start;
            let off = on + held(note, part.part, full, tempo);
            let velocity = i32::from(note.velocity.get()) + accent(note, &context);
            performed.push(PerformedNote {
                on,
                off: off.max(on + Ticks(1)),
                pitch: note.pitch,
                velocity: Velocity::clamped(velocity + deviation.velocity),
                variant: note.variant,
            });
        }
    }
    performed
}

/// A part's notes; in a loop, those before its start or after its end come where they belong.
fn notes_inside(timeline: &Timeline, part: &PartNotes) -> Vec<Note> {
    let mut notes = part.notes.clone();
    if timeline.loops && timeline.end > Ticks::ZERO {
        for note in &mut notes {
            note.at = Ticks(note.at.0.rem_euclid(timeline.end.0));
        }
    }
    notes
}

/// Notes by start, then pitch; of two on one pitch at one time, the louder, for as long as the
/// longer.
fn in_order(mut notes: Vec<Note>) -> Vec<Note> {
    notes.sort_by_key(|note| (note.at, note.pitch, note.velocity));
    notes.dedup_by(|later, kept| {
        let same = later.at == kept.at && later.pitch == kept.pitch;
        if same {
            let length = later.length.max(kept.length);
            *kept = Note { length, ..later.clone() };
        }
        same
    });
    notes
}
