//! A performance as the song of a MIDI file.

use crate::arrange::Timeline;
use crate::codec::smf::{KeySignature, Note, Song, TimeSignature, Track};
use crate::feel::{Performance, PerformedPart};
use crate::part::Part;
use crate::theory::Mode;
use crate::units::Ticks;

/// The channel of percussion in General MIDI, counted from 0.
const PERCUSSION_CHANNEL: u8 = 9;

/// A performance as the song of a MIDI file: what is heard, note for note, with its bars, keys
/// and markers.
#[must_use]
pub fn song(name: &str, timeline: &Timeline, performance: &Performance) -> Song {
    let mut meters: Vec<(Ticks, TimeSignature)> = Vec::new();
    let mut keys: Vec<(Ticks, KeySignature)> = Vec::new();
    for bar in &timeline.bars {
        let meter = TimeSignature {
            numerator: bar.meter.numerator(),
            denominator: bar.meter.denominator(),
        };
        let key = KeySignature { fifths: bar.key.signature(), minor: bar.key.mode == Mode::Minor };
        if meters.last().is_none_or(|(_, last)| *last != meter) {
            meters.push((bar.start, meter));
        }
        if keys.last().is_none_or(|(_, last)| *last != key) {
            keys.push((bar.start, key));
        }
    }
    Song {
        name: name.to_owned(),
        tempos: performance.tempo.changes().collect(),
        meters,
        keys,
        markers: timeline.markers().into_iter().map(|marker| (marker.at, marker.label)).collect(),
        tracks: performance.parts.iter().map(track).collect(),
        end: performance.end,
    }
}

fn track(part: &PerformedPart) -> Track {
    let percussion = part.instrument.bank == 128;
    let notes = part.notes.iter().map(|note| Note {
        on: note.on,
        off: note.off,
        pitch: note.pitch,
        velocity: note.velocity,
    });
    Track {
        name: part.part.to_string(),
        channel: if percussion { PERCUSSION_CHANNEL } else { channel(part.part) },
        program: Some(part.instrument.program),
        notes: notes.collect(),
    }
}

/// The channel of a pitched part, counted from 0.
const fn channel(part: Part) -> u8 {
    match part {
        Part::Comp => 0,
        Part::Bass => 1,
        Part::Line => 2,
        Part::Drums | Part::Click | Part::CountIn => PERCUSSION_CHANNEL,
    }
}
