//! One note through the synthesiser.

use crate::dsp::RATE;
use crate::dsp::maths::samples;
use rustysynth::{SoundFont, Synthesizer, SynthesizerSettings};
use std::sync::Arc;

/// Which note.
#[derive(Clone, Copy, Debug)]
pub(super) struct Note {
    pub(super) bank: i32,
    pub(super) program: i32,
    pub(super) key: i32,
    pub(super) velocity: i32,
}

/// Both channels added, held for `seconds`.
pub(super) fn play(font: &Arc<SoundFont>, note: Note, seconds: f64) -> Result<Vec<f64>, String> {
    let mut settings = SynthesizerSettings::new(44_100);
    settings.enable_reverb_and_chorus = false;
    let mut synth = Synthesizer::new(font, &settings).map_err(|error| error.to_string())?;
    let channel = if note.bank == 128 { 9 } else { 0 };
    synth.process_midi_message(channel, 0xb0, 0, note.bank % 128);
    synth.process_midi_message(channel, 0xc0, note.program, 0);
    synth.note_on(channel, note.key, note.velocity);
    let mut left = vec![0.0; samples(seconds, RATE)];
    let mut right = left.clone();
    synth.render(&mut left, &mut right);
    Ok(left.iter().zip(&right).map(|(l, r)| f64::from(l + r)).collect())
}
