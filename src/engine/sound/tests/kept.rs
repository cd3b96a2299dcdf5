//! What is heard does not depend on what the note store happens to hold, nor on how many blocks are
//! made at once.

use super::*;
use crate::random::Stream;

/// Notes of all lengths and velocities that ring into each other.
fn notes(name: &str, pitches: &[u8], longest: usize) -> Vec<PerformedNote> {
    let mut stream = Stream::named(0, &[&name]);
    let mut drawn = |count: usize| i64::try_from(stream.below(count)).unwrap();
    let note_at = |number: i64| {
        let pitch = pitches[usize::try_from(drawn(pitches.len())).unwrap()];
        let (on, length) = (number * 150 + drawn(100), 20 + drawn(longest));
        note(on, on + length, pitch, i32::try_from(1 + drawn(127)).unwrap())
    };
    (0..40).map(note_at).collect()
}

#[test]
fn a_stem_is_the_same_whatever_is_kept() {
    let tempo = TempoMap::constant(Tempo(960_000));
    for (instrument, pitches) in [
        (PIANO, &[43, 55, 60, 64, 71, 88][..]),
        (BASS, &[28, 36, 45]),
        (KIT, &[36, 44, 46, 49, 51]),
    ] {
        let played = part(instrument, notes("played", pitches, 600));
        let play =
            |sounds: &Sounds| rendered(sounds.stem(&played, &tempo, Frames::ZERO).unwrap(), 8_192);
        let cold = play(&embedded(&[instrument]));
        let budget = StoreBudget(1);
        let font = crate::sound::tests::trio();
        let forgetful = Sounds::new(font, &[instrument], SampleRate::Hz44100, budget).unwrap();
        assert!(play(&forgetful) == cold, "{instrument:?} with nothing kept");
        let warm = embedded(&[instrument]);
        let before = part(instrument, notes("before", pitches, 9_000));
        rendered(warm.stem(&before, &tempo, Frames::ZERO).unwrap(), 8_192);
        assert!(play(&warm) == cold, "{instrument:?} after longer notes");
    }
}
