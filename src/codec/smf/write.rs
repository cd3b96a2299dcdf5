//! A song as the bytes of a MIDI file.

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

use super::{Note, SmfError, Song, TimeSignature, Track};
use crate::units::Ticks;

/// Release velocity: the value for instruments that do not measure it (MIDI 1.0).
const RELEASE_VELOCITY: u7 = u7::new(64);
/// MIDI clocks in a quarter note (MIDI 1.0).
const CLOCKS_PER_QUARTER: u8 = 24;
/// Written thirty-seconds in a quarter note (SMF 1.0: the usual value).
const THIRTY_SECONDS_PER_QUARTER: u8 = 8;

/// What comes first at one tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Meta,
    Program,
    NoteOff,
    NoteOn,
}

/// An event at its tick.
struct Timed<'s> {
    at: Ticks,
    rank: Rank,
    kind: TrackEventKind<'s>,
}

/// The bytes of a format 1 file. The same song gives the same bytes: at one tick signatures and
/// markers come first, then note-offs, then note-ons by pitch. Where a pitch is struck again while
/// it sounds, the earlier note ends there; two strokes of a pitch at one tick become one note.
///
/// # Errors
/// A number outside what MIDI can hold; the message names the track and the value.
pub fn write(song: &Song) -> Result<Vec<u8>, SmfError> {
    let mut smf = Smf::new(Header::new(Format::Parallel, Timing::Metrical(DIVISION)));
    smf.tracks.push(finish(conductor(song)?, song.end)?);
    for track in &song.tracks {
        smf.tracks.push(finish(part(track)?, song.end)?);
    }
    if smf.tracks.len() > usize::from(u16::MAX) {
        return Err(SmfError::Value("a MIDI file holds at most 65,535 tracks".to_owned()));
    }
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).map_err(|error| SmfError::Value(error.to_string()))?;
    Ok(bytes)
}

/// Ticks in a quarter note, [`Ticks::QUARTER`].
const DIVISION: u15 = u15::new(960);
const _: () = assert!(Ticks::QUARTER.0 == 960);

/// Name, tempo, meter, key and markers.
fn conductor(song: &Song) -> Result<Vec<Timed<'_>>, SmfError> {
    let name = MetaMessage::TrackName(song.name.as_bytes());
    let mut events = vec![meta(Ticks::ZERO, name)];
    for &(at, meter) in &song.meters {
        events.push(meta(at, time_signature(meter)?));
    }
    for &(at, key) in &song.keys {
        if !(-7..=7).contains(&key.fifths) {
            return Err(SmfError::Value(format!(
                "a key signature has at most 7 sharps or flats, not {}",
                key.fifths.unsigned_abs()
            )));
        }
        events.push(meta(at, MetaMessage::KeySignature(key.fifths, key.minor)));
    }
    for &(at, tempo) in &song.tempos {
        let micros = u24::try_from(tempo.0).filter(|micros| micros.as_int() > 0);
        let micros = micros.ok_or_else(|| {
            SmfError::Value(format!("{} microseconds per quarter are no MIDI tempo", tempo.0))
        })?;
        events.push(meta(at, MetaMessage::Tempo(micros)));
    }
    for (at, text) in &song.markers {
        events.push(meta(*at, MetaMessage::Marker(text.as_bytes())));
    }
    Ok(events)
}

fn meta(at: Ticks, message: MetaMessage<'_>) -> Timed<'_> {
    Timed { at, rank: Rank::Meta, kind: TrackEventKind::Meta(message) }
}

/// Clocks per click follow the beat that is felt: the dotted quarter in 6/8, 9/8 and 12/8.
fn time_signature(signature: TimeSignature) -> Result<MetaMessage<'static>, SmfError> {
    let TimeSignature { numerator, denominator } = signature;
    if numerator == 0 || !denominator.is_power_of_two() {
        return Err(SmfError::Value(format!(
            "{numerator}/{denominator} is no MIDI time signature"
        )));
    }
    let unit = 4 * CLOCKS_PER_QUARTER / denominator;
    let compound = denominator == 8 && numerator > 3 && numerator.is_multiple_of(3);
    let clocks = if compound { 3 * unit } else { unit.max(1) };
    let [exponent, ..] = denominator.trailing_zeros().to_le_bytes();
    Ok(MetaMessage::TimeSignature(numerator, exponent, clocks, THIRTY_SECONDS_PER_QUARTER))
}

/// Name, program and notes.
fn part(track: &Track) -> Result<Vec<Timed<'_>>, SmfError> {
    let outside = |what: &str, value: u8| {
        SmfError::Value(format!("track `{}`: {what} {value} is outside MIDI's range", track.name))
    };
    let channel = u4::try_from(track.channel).ok_or_else(|| outside("channel", track.channel))?;
    let event =
        |at, rank, message| Timed { at, rank, kind: TrackEventKind::Midi { channel, message } };

    let mut events = vec![meta(Ticks::ZERO, MetaMessage::TrackName(track.name.as_bytes()))];
    for (at, program) in &track.programs {
        let program = u7::try_from(*program).ok_or_else(|| outside("program", *program))?;
        events.push(event(*at, Rank::Program, MidiMessage::ProgramChange { program }));
    }
    for note in without_overlaps(&track.notes) {
        let key = u7::try_from(note.pitch).ok_or_else(|| outside("pitch", note.pitch))?;
        if note.off <= note.on {
            return Err(SmfError::Value(format!(
                "track `{}`: a note of pitch {} ends at tick {} before it begins at {}",
                track.name, note.pitch, note.off.0, note.on.0
            )));
        }
        let on = MidiMessage::NoteOn { key, vel: u7::new(note.velocity.get()) };
        let off = MidiMessage::NoteOff { key, vel: RELEASE_VELOCITY };
        events.push(event(note.on, Rank::NoteOn, on));
        events.push(event(note.off, Rank::NoteOff, off));
    }
    Ok(events)
}

/// The notes by pitch, then start, each ending where the next of its pitch begins.
fn without_overlaps(notes: &[Note]) -> Vec<Note> {
    let mut sorted = notes.to_vec();
    sorted.sort_by_key(|note| (note.pitch, note.on, note.off, note.velocity));
    let mut clear: Vec<Note> = Vec::with_capacity(sorted.len());
    for note in sorted {
        match clear.last_mut().filter(|last| last.pitch == note.pitch && last.off > note.on) {
            Some(last) if last.on == note.on => {
                last.off = last.off.max(note.off);
                last.velocity = last.velocity.max(note.velocity);
            }
            Some(last) => {
                last.off = note.on;
                clear.push(note);
            }
            None => clear.push(note),
        }
    }
    clear
}

/// Puts events in order, makes their times relative and closes the track.
fn finish(mut events: Vec<Timed<'_>>, end: Ticks) -> Result<Vec<TrackEvent<'_>>, SmfError> {
    events.sort_by_key(|event| (event.at, event.rank)); // stable: notes stay in order of pitch
    let last = events.last().map_or(Ticks::ZERO, |event| event.at);
    events.push(meta(end.max(last), MetaMessage::EndOfTrack));
    let mut before = Ticks::ZERO;
    events
        .into_iter()
        .map(|Timed { at, kind, .. }| {
            let span = (at - before).0;
            before = at;
            let delta = u32::try_from(span).ok().and_then(u28::try_from).ok_or_else(|| {
                SmfError::Value(format!("tick {} lies outside a MIDI file's time", at.0))
            })?;
            Ok(TrackEvent { delta, kind })
        })
        .collect()
}
