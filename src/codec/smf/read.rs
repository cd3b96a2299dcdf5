//! The notes and signatures of any MIDI file of format 0 or 1.

use std::collections::{BTreeMap, VecDeque};

use midly::{Format, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

use super::{KeySignature, MOST_BYTES, MOST_NOTES, Note, SmfError, Song, TimeSignature, Track};
use crate::problem::visible;
use crate::units::{Tempo, Ticks, Velocity};

/// Reads a MIDI file. Times become [`Ticks`], whatever its resolution; a track that plays on
/// several channels becomes several; a note that is never let go ends with its track. Pedals,
/// controllers and everything else are left out.
///
/// # Errors
/// Bytes that are no MIDI file, are damaged or cut short; format 2; time in film frames; more than
/// [`MOST_BYTES`] or [`MOST_NOTES`].
pub fn read(bytes: &[u8]) -> Result<Song, SmfError> {
    if bytes.len() > MOST_BYTES {
        return Err(SmfError::TooBig);
    }
    let announced_tracks = check_header(bytes)?;
    let smf = Smf::parse(bytes).map_err(|error| SmfError::Damaged(error.to_string()))?;
    if smf.header.format == Format::Sequential {
        return Err(SmfError::Patterns);
    }
    let Timing::Metrical(per_quarter) = smf.header.timing else {
        return Err(SmfError::FilmFrames);
    };
    let clock = Clock { per_quarter: i64::from(per_quarter.as_int()) };
    if let Some(index) = smf.tracks.iter().position(|track| !is_whole(track)) {
        return Err(SmfError::CutShort(index + 1));
    }
    if smf.tracks.len() != announced_tracks {
        return Err(SmfError::CutShort(smf.tracks.len() + 1));
    }
    let strokes = smf.tracks.iter().flatten().filter(|event| is_stroke(event)).count();
    if strokes > MOST_NOTES {
        return Err(SmfError::TooManyNotes);
    }
    let mut song = Song::default();
    for (index, events) in smf.tracks.iter().enumerate() {
        read_track(events, &clock, index == 0, &mut song);
    }
    song.tempos.sort_by_key(|&(at, _)| at);
    song.meters.sort_by_key(|&(at, _)| at);
    song.keys.sort_by_key(|&(at, _)| at);
    song.markers.sort_by_key(|&(at, _)| at);
    Ok(song)
}

/// Looks at the header before the library does, which takes a second one in silence and computes
/// with a division of 0x80 beyond its numbers; gives the number of tracks that it announces.
fn check_header(bytes: &[u8]) -> Result<usize, SmfError> {
    let damaged = |what: &str| Err(SmfError::Damaged(what.to_owned()));
    let Some(([b'M', b'T', b'h', b'd', _, _, _, _, _, _, t0, t1, d0, d1], _)) =
        bytes.split_first_chunk()
    else {
        return damaged(if bytes.starts_with(b"RIFF") {
            "it is packed in a RIFF file; save it as a plain MIDI file"
        } else {
            "it does not begin with a header, `MThd`"
        });
    };
    match u16::from_be_bytes([*d0, *d1]) {
        0 => return Err(SmfError::NoTicks),
        0x8000.. => return Err(SmfError::FilmFrames),
        _ => {}
    }
    let mut at = 0;
    while let Some((head, _)) = bytes[at..].split_first_chunk::<8>() {
        let [name @ .., l0, l1, l2, l3] = head;
        if at > 0 && name == b"MThd" {
            return damaged(&format!("byte {at} begins a second header"));
        }
        let length = u32::from_be_bytes([*l0, *l1, *l2, *l3]);
        let next = usize::try_from(length).ok().and_then(|length| (at + 8).checked_add(length));
        match next.filter(|next| *next <= bytes.len()) {
            Some(next) => at = next,
            None => break,
        }
    }
    Ok(usize::from(u16::from_be_bytes([*t0, *t1])))
}

fn is_stroke(event: &TrackEvent<'_>) -> bool {
    matches!(
        event.kind,
        TrackEventKind::Midi { message: MidiMessage::NoteOn { vel, .. }, .. } if vel.as_int() > 0
    )
}

fn is_whole(events: &[TrackEvent<'_>]) -> bool {
    let end = TrackEventKind::Meta(MetaMessage::EndOfTrack);
    events.last().is_some_and(|event| event.kind == end)
}

/// The file's resolution.
struct Clock {
    per_quarter: i64,
}

impl Clock {
    /// A time in the file's own ticks, as the nearest of ours.
    fn ticks(&self, own: i64) -> Ticks {
        let doubled = own.saturating_mul(Ticks::QUARTER.0).saturating_mul(2);
        Ticks(doubled.saturating_add(self.per_quarter) / (2 * self.per_quarter))
    }
}

/// What a channel of a track has played so far.
#[derive(Default)]
struct Channel {
    programs: Vec<(Ticks, u8)>,
    notes: Vec<Note>,
    /// By pitch, the notes that sound: when they began, in the file's ticks, and how hard.
    sounding: BTreeMap<u8, VecDeque<(i64, Velocity)>>,
}

fn read_track(events: &[TrackEvent<'_>], clock: &Clock, first: bool, song: &mut Song) {
    let mut name = String::new();
    let mut channels: BTreeMap<u8, Channel> = BTreeMap::new();
    let mut now = 0_i64;
    for event in events {
        now = now.saturating_add(i64::from(event.delta.as_int()));
        match event.kind {
            TrackEventKind::Meta(MetaMessage::TrackName(text)) if name.is_empty() => {
                name = text_of(text);
            }
            TrackEventKind::Meta(message) => read_meta(message, clock.ticks(now), song),
            TrackEventKind::Midi { channel, message } => {
                let channel = channels.entry(channel.as_int()).or_default();
                read_message(message, now, clock, channel);
            }
            TrackEventKind::SysEx(_) | TrackEventKind::Escape(_) => {}
        }
    }
    song.end = song.end.max(clock.ticks(now));
    if first && song.name.is_empty() {
        song.name.clone_from(&name);
    }
    for (number, mut channel) in channels {
        let still_sounding = std::mem::take(&mut channel.sounding);
        for (pitch, starts) in still_sounding {
            for (start, velocity) in starts {
                channel.notes.push(note(clock, start, now, pitch, velocity));
            }
        }
        if !channel.notes.is_empty() {
            channel.notes.sort_unstable_by_key(|note| (note.on, note.pitch, note.off));
            let Channel { programs, notes, .. } = channel;
            song.tracks.push(Track { name: name.clone(), channel: number, programs, notes });
        }
    }
}

fn read_message(message: MidiMessage, now: i64, clock: &Clock, channel: &mut Channel) {
    match message {
        MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
            let velocity = Velocity::clamped(i32::from(vel.as_int()));
            channel.sounding.entry(key.as_int()).or_default().push_back((now, velocity));
        }
        // A note-on with velocity 0 is a note-off (MIDI 1.0).
        MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
            let pitch = key.as_int();
            let started = channel.sounding.get_mut(&pitch).and_then(VecDeque::pop_front);
            if let Some((start, velocity)) = started {
                channel.notes.push(note(clock, start, now, pitch, velocity));
            }
        }
        MidiMessage::ProgramChange { program } => {
            channel.programs.push((clock.ticks(now), program.as_int()));
        }
        _ => {}
    }
}

/// A note of at least one tick.
fn note(clock: &Clock, start: i64, end: i64, pitch: u8, velocity: Velocity) -> Note {
    let on = clock.ticks(start);
    Note { on, off: clock.ticks(end).max(on + Ticks(1)), pitch, velocity }
}

fn read_meta(message: MetaMessage<'_>, at: Ticks, song: &mut Song) {
    match message {
        MetaMessage::Tempo(micros) if micros.as_int() > 0 => {
            song.tempos.push((at, Tempo(micros.as_int())));
        }
        MetaMessage::TimeSignature(numerator, exponent @ 0..8, _, _) if numerator > 0 => {
            song.meters.push((at, TimeSignature { numerator, denominator: 1 << exponent }));
        }
        MetaMessage::KeySignature(fifths @ -7..=7, minor) => {
            song.keys.push((at, KeySignature { fifths, minor }));
        }
        MetaMessage::Marker(text) => song.markers.push((at, text_of(text))),
        _ => {}
    }
}

/// Text is UTF-8 by habit, though the standard says ASCII; what is neither is marked, and control
/// characters are shown.
fn text_of(bytes: &[u8]) -> String {
    visible(&String::from_utf8_lossy(bytes)).into_owned()
}
