//! One clock: what is heard begins where it was computed, and where the MIDI file says.

use countoff::codec::smf;
use countoff::deliver::song;
use countoff::performance::{Instrument, Part, PerformedNote, PerformedPart, TempoMap};
use countoff::units::{Bpm, Frames, Meter, SampleRate, Ticks, Velocity};
use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};

use super::harness::{SOUNDS, planned, stem};

const RATE: SampleRate = SampleRate::Hz44100;

/// The click's low wood block, General MIDI percussion key 77.
const LOW_WOOD_BLOCK: u8 = 77;

fn clicks(beats: i64) -> PerformedPart {
    let notes = (0..beats).map(|beat| PerformedNote {
        on: Ticks::QUARTER * beat,
        off: Ticks::QUARTER * beat + Ticks(240),
        pitch: LOW_WOOD_BLOCK,
        velocity: Velocity::clamped(72),
        variant: 0,
    });
    let instrument = Instrument { bank: 128, program: 0 };
    PerformedPart { part: Part::Click, instrument, notes: notes.collect() }
}

/// The first frame after `from` that is louder than a thousandth of the stroke's peak.
fn speaks(sound: &[f32], from: usize, peak: f32) -> usize {
    from + sound[from..].iter().position(|sample| sample.abs() > peak * 1e-3).unwrap()
}

/// Ten minutes at slow, fast and fractional tempos. A stroke's own first loud frame is measured
/// on a stroke alone; the expected times are computed here in floating point.
#[test]
fn every_click_of_ten_minutes_is_within_a_frame_of_its_time() {
    for bpm in [40.0, 61.7, 97.3, 143.9, 211.1, 320.0] {
        let tempo = Bpm::new(bpm).unwrap().tempo(Meter::FourFour);
        let map = TempoMap::constant(tempo);
        let alone = stem(&clicks(1), &map);
        let peak = alone.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
        let attack = speaks(&alone, 0, peak);
        let beats = (10.0 * bpm) as i64;
        let mut player = SOUNDS.stem(&clicks(beats), &map, Frames::ZERO).unwrap();
        for beat in 0..beats {
            let time = beat as f64 * f64::from(tempo.0) * 1e-6 * f64::from(RATE.hz());
            let from = (time as u64).saturating_sub(64);
            player.seek(Frames(from));
            let (mut left, mut right) = (vec![0.0; 512], vec![0.0; 512]);
            player.add_block(&mut left, &mut right).unwrap();
            let mono: Vec<f32> = left.iter().zip(&right).map(|(l, r)| l + r).collect();
            let heard = from as f64 + speaks(&mono, 0, peak) as f64 - attack as f64;
            assert!((heard - time).abs() <= 1.0, "{bpm}, beat {beat}: {heard} for {time}");
        }
    }
}

const LESSON: &str = r#"
    format = 1
    title = "Two bars in the hall"
    tempos = [131.7]
    [[chart]]
    name = "cadence"
    key = "Gm"
    A = "| Am7b5 | D7b9 | Gm6 | % |"
    [[track]]
    name = "band"
    chart = "cadence"
    comp = "shells"
    bass = "walking"
    drums = "ride"
"#;

/// Note-ons of a track, as frames by the tempo in the file. SMF 1.0: Set Tempo is microseconds
/// per quarter note, the division ticks per quarter note.
fn midi_onsets(smf: &Smf<'_>, name: &str) -> Vec<f64> {
    let division = match smf.header.timing {
        midly::Timing::Metrical(division) => f64::from(division.as_int()),
        midly::Timing::Timecode(..) => panic!("no division"),
    };
    let events = || smf.tracks.iter().flatten();
    let tempo = events().find_map(|event| match event.kind {
        TrackEventKind::Meta(MetaMessage::Tempo(tempo)) => Some(f64::from(tempo.as_int())),
        _ => None,
    });
    let is_named = |kind: TrackEventKind<'_>| matches!(kind, TrackEventKind::Meta(MetaMessage::TrackName(given)) if given == name.as_bytes());
    let track = smf.tracks.iter().find(|track| track.iter().any(|event| is_named(event.kind)));
    let mut tick = 0.0;
    let mut onsets = Vec::new();
    for event in track.unwrap() {
        tick += f64::from(event.delta.as_int());
        if let TrackEventKind::Midi { message: MidiMessage::NoteOn { vel, .. }, .. } = event.kind
            && vel > 0
        {
            onsets.push(tick / division * tempo.unwrap() * 1e-6 * f64::from(RATE.hz()));
        }
    }
    onsets
}

/// Within one frame: half for rounding to a frame, and none of the clock's own. The count-in's
/// strokes have died away before the next, so that each can be heard to begin.
#[test]
fn audio_begins_where_the_midi_file_says() {
    let (_, plan) = planned(LESSON);
    let take = &plan.takes[0].notes;
    let bytes = smf::write(&song("band", &take.timeline, &take.performance)).unwrap();
    let smf = Smf::parse(&bytes).unwrap();
    let is_count_in = |performed: &&PerformedPart| performed.part == Part::CountIn;
    let part = take.performance.parts.iter().find(is_count_in).unwrap();
    let onsets = midi_onsets(&smf, part.part.name());
    assert_eq!(onsets.len(), part.notes.len());
    assert_eq!(onsets.len(), 6, "1 . 2 . | 1 2 3 4: `tests/facts/practice.tsv`, count-in");
    let sound = stem(part, &take.performance.tempo);
    for (onset, note) in onsets.iter().zip(&part.notes) {
        let note = PerformedNote { on: Ticks::ZERO, off: note.off - note.on, ..note.clone() };
        let alone = PerformedPart { notes: vec![note], ..part.clone() };
        let alone = stem(&alone, &take.performance.tempo);
        let peak = alone.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
        let attack = speaks(&alone, 0, peak) as f64;
        let from = (*onset as usize).saturating_sub(64);
        let heard = speaks(&sound, from, peak) as f64 - attack;
        assert!((heard - onset).abs() <= 1.0, "{heard} in audio, {onset} in MIDI");
    }
}

/// General MIDI level 1: program 0 is the acoustic grand, 32 the acoustic bass (counted from 0),
/// and percussion is on channel 9 (counted from 0).
#[test]
fn players_have_their_general_midi_numbers() {
    let (_, plan) = planned(LESSON);
    let take = &plan.takes[0].notes;
    let bytes = smf::write(&song("band", &take.timeline, &take.performance)).unwrap();
    let smf = Smf::parse(&bytes).unwrap();
    let mut melodic = Vec::new();
    for event in smf.tracks.iter().flatten() {
        if let TrackEventKind::Midi { channel, message: MidiMessage::ProgramChange { program } } =
            event.kind
            && channel.as_int() != 9
        {
            melodic.push(program.as_int());
        }
    }
    assert_eq!(melodic, [0, 32]);
    let percussion = smf.tracks.iter().flatten().any(|event| {
        matches!(event.kind, TrackEventKind::Midi { channel, message: MidiMessage::NoteOn { .. } } if channel.as_int() == 9)
    });
    assert!(percussion);
}
