//! Lays a line on a timeline.

use super::phrasing::velocities;
use super::{Force, Line, LineNote};
use crate::arrange::{BarKind, Timeline, TimelineBar, TimelineSlot};
use crate::part::{Hand, Note, PartNotes, Stroke};
use crate::performance::Part;
use crate::units::{MidiPitch, Ticks, Velocity};

/// A note of the line with its velocity.
type Shaped<'a> = (&'a LineNote, Velocity);

/// `own` says in which bars the line is to be heard.
pub(super) fn lay(line: &Line, timeline: &Timeline, own: impl Fn(usize) -> bool) -> PartNotes {
    let velocities = velocities(&line.notes, timeline.meter.count());
    let shaped: Vec<Shaped<'_>> = line.notes.iter().zip(velocities).collect();
    let mut notes: Vec<Note> = Vec::new();
    for (index, bar) in timeline.bars.iter().enumerate().filter(|(index, _)| own(*index)) {
        match bar.kind {
            BarKind::Chorus => {
                let before = index.checked_sub(1).map(|before| timeline.bars[before].kind);
                let is_free = line.hand == Hand::Left || before != Some(BarKind::Answer);
                notes.extend(bar_notes(line, &shaped, bar, is_free));
            }
            BarKind::Answer if line.hand == Hand::Left => {
                notes.extend(bar_notes(line, &shaped, bar, true));
            }
            BarKind::Ending if line.hand == Hand::Left => {
                notes.extend(last_chord(&notes, timeline, index));
            }
            _ => {}
        }
    }
    // In a loop, what comes before its start is played where it ends.
    notes.retain(|note| note.at >= Ticks::ZERO || timeline.loops);
    notes.sort_by_key(|note| (note.at, note.pitch));
    let part = match line.hand {
        Hand::Left => Part::Comp,
        Hand::Right => Part::Line,
    };
    PartNotes { part, instrument: line.instrument, straight: false, notes }
}

/// The notes that begin in a bar, and before the form's first bar the pickup, where that is free.
fn bar_notes(line: &Line, shaped: &[Shaped<'_>], bar: &TimelineBar, is_free: bool) -> Vec<Note> {
    let form_start = bar.in_form;
    let before = |at: Ticks| shaped.partition_point(|(note, _)| note.at < at);
    let first = if bar.form_bar == 0 && is_free { 0 } else { before(form_start) };
    let end = before(form_start + bar.meter.bar());
    let semitones = line.semitones_to(bar.home);
    // A note that would lie outside MIDI's numbers is left out: `Line::warnings` tells of it.
    let place = |(note, velocity): &Shaped<'_>| {
        let moved = i16::from(note.pitch) + semitones;
        Some(Note {
            at: bar.start + (note.at - form_start),
            length: note.length,
            pitch: MidiPitch::try_from(moved).ok()?.get(),
            velocity: *velocity,
            stroke: match note.force {
                Force::Played(_) => Stroke::AsPlayed,
                _ => Stroke::Full,
            },
            hand: Some(line.hand),
            degree: None,
            variant: 0,
        })
    };
    shaped[first..end].iter().filter_map(place).collect()
}

/// What a left hand ends with: the fullest of its strokes on the latest chord of the same name in
/// the same key; nothing where there is none.
fn last_chord(played: &[Note], timeline: &Timeline, ending: usize) -> Vec<Note> {
    let Some(bar) = timeline.bars.get(ending) else { return Vec::new() };
    let Some(last) = bar.slots.iter().find(|slot| slot.harmony.is_some()) else {
        return Vec::new();
    };
    let same = |slot: &&TimelineSlot| {
        let symbol = |slot: &TimelineSlot| slot.harmony.as_ref().map(|h| h.symbol.clone());
        symbol(slot) == symbol(last)
    };
    let bars = timeline.bars[..ending].iter().rev().filter(|before| before.home == bar.home);
    let mut strokes = bars.flat_map(|bar| bar.slots.iter().rev()).filter(same).map(|slot| {
        let inside: Vec<&Note> =
            played.iter().filter(|note| note.at >= slot.at && note.at < slot.end()).collect();
        let stroke = |at: Ticks| inside.iter().filter(|note| note.at == at).count();
        let fullest = inside.iter().rev().map(|note| note.at).max_by_key(|at| stroke(*at));
        inside.into_iter().filter(|note| Some(note.at) == fullest).collect::<Vec<&Note>>()
    });
    let found = strokes.find(|stroke| !stroke.is_empty()).unwrap_or_default();
    found
        .into_iter()
        .map(|note| Note { at: last.at, length: last.length, ..note.clone() })
        .collect()
}
