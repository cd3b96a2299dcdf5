//! A performance as a MIDI song: what is heard, on the same clock.

use crate::arrange::Timeline;
use crate::codec::smf::{KeySignature, Note, Song, TimeSignature, Track};
use crate::performance::{Part, Performance, PerformedNote, PerformedPart};
use crate::theory::{Key, Mode};
use crate::units::Ticks;

/// The percussion channel (General MIDI level 1: channel 10), counted from 0.
const PERCUSSION: u8 = 9;

/// The song of a performance of a timeline: a named track a part, with its General MIDI program
/// and channel (comp 1, bass 2, line 3, percussion 10, as musicians count them), the tempo map,
/// time and key signatures, and a marker for the count-in and every chorus and section.
///
/// Parts without notes have a track too, so that files of one set are alike. In a loop, notes
/// end where the loop does, so that the file is as long as the audio.
#[must_use]
pub fn song(name: &str, timeline: &Timeline, performance: &Performance) -> Song {
    let bars = || timeline.bars.iter();
    let markers = timeline.markers().into_iter().map(|marker| (marker.at, marker.label));
    let last_end = timeline.loops.then_some(performance.end);
    Song {
        name: name.to_owned(),
        tempos: performance.tempo.changes().collect(),
        meters: changes(bars().map(|bar| (bar.start, TimeSignature::from(bar.meter)))),
        keys: changes(bars().map(|bar| (bar.start, key_signature(bar.key)))),
        markers: markers.collect(),
        tracks: performance
            .parts
            .chunk_by(|part, next| part.part == next.part)
            .map(|parts| track(parts, last_end))
            .collect(),
        end: performance.end,
    }
}

/// The first value, and every one that differs from the one before.
fn changes<T: PartialEq>(values: impl Iterator<Item = (Ticks, T)>) -> Vec<(Ticks, T)> {
    let mut changes: Vec<(Ticks, T)> = values.collect();
    changes.dedup_by(|next, before| next.1 == before.1);
    changes
}

fn key_signature(key: Key) -> KeySignature {
    KeySignature { fifths: key.signature(), minor: key.mode == Mode::Minor }
}

/// The track of a part, which may change its instrument; no note ends after `last_end`.
fn track(parts: &[PerformedPart], last_end: Option<Ticks>) -> Track {
    let note = |note: &PerformedNote| Note {
        on: note.on,
        off: last_end.map_or(note.off, |end| note.off.min(end.max(note.on + Ticks(1)))),
        pitch: note.pitch,
        velocity: note.velocity,
    };
    let mut played: Vec<(Note, u8)> = parts
        .iter()
        .flat_map(|part| part.notes.iter().map(|own| (note(own), part.instrument.program)))
        .collect();
    played.sort_by_key(|(note, _)| note.on);
    let first = parts.first().map(|part| (Ticks::ZERO, part.instrument.program));
    let own = played.iter().map(|(note, program)| (note.on, *program));
    let begins = played.first().map(|(_, program)| (Ticks::ZERO, *program)).or(first);
    Track {
        name: parts.first().map_or_else(String::new, |part| part.part.name().to_owned()),
        channel: parts.first().map_or(0, channel),
        programs: changes(begins.into_iter().chain(own)),
        notes: played.into_iter().map(|(note, _)| note).collect(),
    }
}

/// The channel, counted from 0. Whatever sounds from a percussion bank is on the percussion
/// channel, the only one where General MIDI has a kit.
const fn channel(part: &PerformedPart) -> u8 {
    match part.part {
        _ if part.instrument.is_percussion() => PERCUSSION,
        Part::Comp => 0,
        Part::Bass => 1,
        Part::Line => 2,
        Part::Drums | Part::Click | Part::CountIn => PERCUSSION,
    }
}

#[cfg(test)]
mod tests {
    use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};

    use super::*;
    use crate::arrange::{Arrangement, KeyOrder, Shape, arrange};
    use crate::chart::{ChartSource, FeelName, FormSource};
    use crate::codec::smf;
    use crate::feel::{FeelSettings, perform};
    use crate::part::click::{ClickPattern, ClickSound, click};
    use crate::part::count_in::count_in;
    use crate::units::{Bpm, Meter, SampleRate};

    fn performed(meter: Meter, tempo: f64, shape: Shape) -> (Timeline, Performance) {
        let chart = ChartSource {
            name: "test",
            key: "Gm".parse().unwrap(),
            meter,
            feel: FeelName::Swing,
            form: FormSource::default(),
            sections: &[("A", "Am7b5 | D7b9 | Gm6 | %")],
        };
        let once = Arrangement::once(Bpm::new(tempo).unwrap());
        let timeline = arrange(&chart.parse().unwrap(), &Arrangement { shape, ..once }).unwrap();
        let parts =
            [count_in(&timeline, ClickSound::Wood), click(&timeline, &ClickPattern::default())];
        let performance = perform(&timeline, &parts, FeelSettings { seed: 1, deviations: true });
        (timeline, performance)
    }

    #[test]
    fn round_the_keys_has_a_key_signature_for_each() {
        let shape = Shape::RoundTheKeys { order: KeyOrder::Fourths, announce: true };
        let (timeline, performance) = performed(Meter::ThreeFour, 120.0, shape);
        let song = song("Round", &timeline, &performance);
        let fifths: Vec<i8> = song.keys.iter().map(|(_, key)| key.fifths).collect();
        assert_eq!(fifths, [-2, -3, -4, -5, -6, 5, 4, 3, 2, 1, 0, -1]);
        assert!(song.keys.iter().all(|(_, key)| key.minor));
        let three_four = TimeSignature { numerator: 3, denominator: 4 };
        assert_eq!(song.meters, [(Ticks::ZERO, three_four)]);
        assert_eq!(song.markers[0], (Ticks::ZERO, "Count-in".to_owned()));
        assert!(song.tracks.iter().all(|track| track.channel == PERCUSSION));
    }

    /// Another reader's ticks and tempos, added up in floating point, give the frames of our
    /// clock.
    #[test]
    fn the_file_keeps_the_time_of_the_audio() {
        let tempo = |tempo| Bpm::new(tempo).unwrap();
        let shape = Shape::Ladder { from: tempo(63.5), to: tempo(131.0), step: 4.25 };
        let (timeline, performance) = performed(Meter::FourFour, 63.5, shape);
        let bytes = smf::write(&song("Ladder", &timeline, &performance)).unwrap();
        let file = Smf::parse(&bytes).unwrap();
        assert_eq!(file.tracks.len(), 3);

        let mut at = 0_u64;
        let mut tempos: Vec<(u64, f64)> = Vec::new();
        for event in &file.tracks[0] {
            at += u64::from(event.delta.as_int());
            if let TrackEventKind::Meta(MetaMessage::Tempo(micros)) = event.kind {
                tempos.push((at, f64::from(micros.as_int())));
            }
        }
        assert_eq!(tempos.len(), 17);
        let seconds = |tick: u64| -> f64 {
            let ends = tempos.iter().skip(1).map(|(at, _)| *at).chain([u64::MAX]);
            let spans = tempos.iter().zip(ends).map(|((start, micros), end)| {
                let ticks = tick.min(end).saturating_sub(*start);
                f64::from(u32::try_from(ticks).unwrap()) * micros / 960.0 / 1e6
            });
            spans.sum()
        };
        let clicks = &performance.parts[1].notes;
        let mut at = 0_u64;
        let mut heard = Vec::new();
        for event in &file.tracks[2] {
            at += u64::from(event.delta.as_int());
            if let TrackEventKind::Midi { message: MidiMessage::NoteOn { vel, .. }, .. } =
                event.kind
                && vel > 0
            {
                heard.push(seconds(at) * 44_100.0);
            }
        }
        assert_eq!(heard.len(), clicks.len());
        for (heard, note) in heard.iter().zip(clicks) {
            let frame = performance.tempo.frame(note.on, SampleRate::Hz44100).0;
            let frame = f64::from(u32::try_from(frame).unwrap());
            assert!((heard - frame).abs() <= 0.5 + 1e-6, "{heard} {frame}");
        }
    }
}
