//! Which letter a note is written with.
//!
//! A chord's notes are spelled by the chord (the flat fifth of A is Eb), notes of the key by the
//! key, and what is left by where it goes: raised when it leads up a half step, lowered when it
//! leads down (common practice). Double accidentals are written plainly.

use std::sync::Arc;

use crate::arrange::{Timeline, TimelineSlot};
use crate::part::{Note, PartNotes};
use crate::problem::InternalError;
use crate::theory::{Harmony, Key, NoteName, Pitch};
use crate::units::Ticks;

/// A note on the grid with its spelling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SpelledNote {
    /// The note as the part has it.
    pub(super) note: Note,
    /// Its letter, accidental and octave.
    pub(super) pitch: Pitch,
}

/// Spells a part's notes by the chords and keys of its timeline.
///
/// # Errors
/// A note has no name, which is a fault of the program.
pub(super) fn spell(
    timeline: &Timeline,
    part: &PartNotes,
) -> Result<Vec<SpelledNote>, InternalError> {
    let slots: Vec<&TimelineSlot> = timeline.slots().collect();
    let mut spelled: Vec<SpelledNote> = Vec::with_capacity(part.notes.len());
    let mut coming: Option<Pitch> = None;
    // From the last to the first, so that where a note leads to has its letter already.
    for note in part.notes.iter().rev() {
        let harmonies = harmonies(&slots, note, timeline.loops);
        let key = timeline.bar(note.at).map_or(Key::C, |bar| bar.key);
        let name = chord_name(note, &harmonies)
            .or_else(|| line_name(note.pitch, &harmonies, key, coming))
            .unwrap_or_else(|| key.spell(note.pitch % 12));
        let pitch = Pitch::named(note.pitch, name).ok_or_else(|| {
            InternalError::new(format!("note {} cannot be written as {name}", note.pitch))
        })?;
        coming = Some(pitch);
        spelled.push(SpelledNote { note: note.clone(), pitch });
    }
    spelled.reverse();
    Ok(spelled)
}

/// The chords that a note may belong to, the likelier first: the one in force, and the next.
fn harmonies<'a>(slots: &[&'a TimelineSlot], note: &Note, loops: bool) -> Vec<&'a Arc<Harmony>> {
    let after = slots.partition_point(|slot| slot.at <= note.at);
    let now = after.checked_sub(1).and_then(|index| slots.get(index));
    let first = if loops { slots.first() } else { None };
    let next = slots.get(after).or(first);
    let ends = now.map_or(note.at, |slot| slot.end());
    // A note that begins in a chord's last beat and goes on into the next belongs to the next.
    let is_early = note.at + note.length > ends && ends - note.at < Ticks::QUARTER;
    let order = if is_early { [next, now] } else { [now, next] };
    order.into_iter().flatten().filter_map(|slot| slot.harmony.as_ref()).collect()
}

/// The name of a note that knows what it is in its chord.
fn chord_name(note: &Note, harmonies: &[&Arc<Harmony>]) -> Option<NoteName> {
    let degree = note.degree?;
    let mut names = harmonies.iter().map(|harmony| harmony.note(degree).simplified());
    names.find(|name| name.pitch_class() == note.pitch % 12)
}

/// The name of a note over a chord: as the chord's symbol spells it, else the key, else the
/// colours that the chord may have, else by where it leads.
fn line_name(
    pitch: u8,
    harmonies: &[&Arc<Harmony>],
    key: Key,
    coming: Option<Pitch>,
) -> Option<NoteName> {
    let pitch_class = pitch % 12;
    let harmony = harmonies.first();
    let of_chord = |degrees: &[crate::theory::Degree]| {
        let mut names = degrees.iter().filter_map(|degree| Some(harmony?.note(*degree)));
        names.find(|name| name.pitch_class() == pitch_class).map(NoteName::simplified)
    };
    let written = harmony.and_then(|harmony| of_chord(&harmony.symbol.degrees));
    let of_key = key.contains(pitch_class).then(|| key.spell(pitch_class));
    let open = || harmony.and_then(|harmony| of_chord(&harmony.sounding_degrees()));
    written.or(of_key).or_else(|| leading(pitch, coming?)).or_else(open)
}

/// A half step below its goal is the letter below, raised; a half step above, the letter above,
/// lowered. Only where that is no stranger than a black key's own two names.
fn leading(pitch: u8, goal: Pitch) -> Option<NoteName> {
    let distance = i16::from(goal.midi()?) - i16::from(pitch);
    let letter = match distance {
        1 => goal.name.letter.step(-1),
        -1 => goal.name.letter.step(1),
        _ => return None,
    };
    let natural = NoteName::new(letter, 0);
    let alter = (i16::from(pitch % 12) - i16::from(natural.pitch_class()) + 6).rem_euclid(12) - 6;
    let is_black = matches!(pitch % 12, 1 | 3 | 6 | 8 | 10);
    let alter = i8::try_from(alter).ok().filter(|alter| alter.abs() == i8::from(is_black))?;
    Some(NoteName::new(letter, alter))
}
