//! Voicings in the style's rhythm: the notes.

use std::collections::BTreeMap;

use super::hits::hits;
use super::sounding::{Sounding, soundings};
use super::voicing::{VoicedNote, Voicings};
use crate::part::{Energy, Note, PartNotes, PlayContext, Stroke, cut_at_stops};
use crate::performance::{Instrument, Part};
use crate::style::CompStyle;

/// The hands' notes over a timeline: the voicings in the style's rhythm.
///
/// `voicings` are those that [`voice`](super::voice) gave for the same timeline and style. The
/// hands rest in a count-in and where the chart says N.C. Every chord is heard. The same seed,
/// chorus and bar give the same rhythm, whatever the tempo and whatever comes before.
#[must_use]
pub fn play(context: PlayContext<'_>, style: &CompStyle, voicings: &Voicings) -> PartNotes {
    let bars = hits(context, style);
    let mut notes: Vec<Note> = Vec::new();
    for sounding in soundings(context.timeline, voicings, &bars) {
        let chosen = chosen(&sounding);
        let bar = context.timeline.bar_index(sounding.at);
        let energy = context.plan.bar(bar).energy;
        notes.extend(chosen.into_iter().map(|note| played(&sounding, note, energy)));
    }
    let mut notes = without_overlaps(notes);
    cut_at_stops(context.timeline, &mut notes);
    PartNotes {
        part: Part::Comp,
        instrument: Instrument { bank: 0, program: style.program },
        straight: style.straight,
        notes,
    }
}

/// The notes that the hit plays; its lowest where those that it asks for were left out.
fn chosen(sounding: &Sounding) -> Vec<&VoicedNote> {
    let all = &sounding.voicing.notes;
    let asked: Vec<&VoicedNote> =
        all.iter().filter(|note| sounding.hit.play.includes(note.asked)).collect();
    if asked.is_empty() { all.iter().take(1).collect() } else { asked }
}

fn played(sounding: &Sounding, note: &VoicedNote, energy: Energy) -> Note {
    Note {
        at: sounding.at,
        length: sounding.end - sounding.at,
        pitch: note.pitch,
        velocity: energy.velocity(sounding.hit.velocity),
        stroke: if sounding.hit.ghost { Stroke::Ghost } else { Stroke::Full },
        hand: Some(note.hand),
        degree: Some(note.degree),
        variant: 0,
    }
}

/// In order of start, then pitch; a key that is struck again is let go first, and of two strokes
/// of one key at once the louder stays.
fn without_overlaps(mut notes: Vec<Note>) -> Vec<Note> {
    notes.retain(|note| note.length.0 > 0);
    notes.sort_by_key(|note| (note.at, note.pitch, std::cmp::Reverse(note.velocity)));
    notes.dedup_by_key(|note| (note.at, note.pitch));
    let mut last_of_key: BTreeMap<u8, usize> = BTreeMap::new();
    for index in 0..notes.len() {
        let (pitch, at) = (notes[index].pitch, notes[index].at);
        if let Some(before) = last_of_key.insert(pitch, index) {
            let room = at - notes[before].at;
            notes[before].length = notes[before].length.min(room);
        }
    }
    notes
}
