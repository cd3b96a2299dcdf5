//! Plays several strokes of one preset after another, with their ends.

use super::listen::{Preset, RATE, Sound, font, seconds};
use rustysynth::{Synthesizer, SynthesizerSettings};

/// Strokes as (seconds, key, velocity), velocity 0 letting a key go, in order of
/// time; all the synthesiser's own gains at 1.
pub(crate) fn played(preset: Preset, strokes: &[(f64, i32, i32)], length: f64) -> Sound {
    let mut settings = SynthesizerSettings::new(RATE.try_into().unwrap());
    settings.enable_reverb_and_chorus = false;
    settings.maximum_polyphony = 256;
    let mut synth = Synthesizer::new(&font(), &settings).unwrap();
    synth.set_master_volume(1.0);
    let channel = if preset.0 == 128 { 9 } else { 0 };
    synth.process_midi_message(channel, 0xb0, 0, preset.0 % 128);
    synth.process_midi_message(channel, 0xc0, preset.1, 0);
    synth.process_midi_message(channel, 0xb0, 7, 127);
    let mut sides = [vec![0.0_f32; seconds(length)], vec![0.0_f32; seconds(length)]];
    let mut from = 0;
    let ends = strokes.iter().skip(1).map(|stroke| stroke.0).chain([length]);
    for (&(_, key, velocity), end) in strokes.iter().zip(ends) {
        if velocity > 0 {
            synth.note_on(channel, key, velocity);
        } else {
            synth.note_off(channel, key);
        }
        let to = seconds(end);
        let [left, right] = &mut sides;
        synth.render(&mut left[from..to], &mut right[from..to]);
        from = to;
    }
    let [left, right] = sides.map(|side| side.into_iter().map(f64::from).collect());
    Sound { left, right }
}
