//! The synthesiser itself, `rustysynth`, asked for one note.
//!
//! It has two duties. It is the reference: what our own arithmetic gives, which is many times
//! faster since it needs no SoundFont file, no 16 bits and no mixer for each note, is compared with
//! it by tests. And it plays the voices whose volume swings (a generator that sends the modulation
//! LFO to the volume): they are rare, so that to repeat that arithmetic too would be code without
//! use.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use rustysynth::{SoundFont, Synthesizer, SynthesizerError, SynthesizerSettings};

use super::{BLOCK, VoiceError};
use crate::units::SampleRate;

/// A channel's place in the stereo field, as its MIDI controller says it.
pub(super) const HARD_LEFT: i32 = 0;
/// The middle.
#[cfg(test)]
pub(super) const CENTRE: i32 = 64;

/// One note.
#[derive(Debug)]
pub(super) struct Playing {
    pub(super) key: u8,
    pub(super) velocity: u8,
    /// How many blocks the key is held.
    pub(super) held: usize,
    /// The channel's pan controller.
    pub(super) pan: i32,
}

/// The first `blocks` of a note on a SoundFont made for it, left and right, full scale being
/// [`LOUD`].
///
/// # Errors
/// When the synthesiser refuses, or panics. The font's tables are made here and checked, so that
/// neither should happen; if one does all the same, one note fails with a message.
pub(super) fn play(
    font: &[u8],
    note: &Playing,
    blocks: usize,
    rate: SampleRate,
) -> Result<[Vec<f32>; 2], VoiceError> {
    catch_unwind(AssertUnwindSafe(|| {
        let failed = |error: &dyn std::fmt::Display| VoiceError::Synthesiser(error.to_string());
        let font = SoundFont::new(&mut &*font).map_err(|error| failed(&error))?;
        let hertz = i32::try_from(rate.hz()).map_err(|error| failed(&error))?;
        let mut synthesizer = prepared(font, note.pan, hertz).map_err(|error| failed(&error))?;
        let mut sides = [vec![0.0; blocks * BLOCK], vec![0.0; blocks * BLOCK]];
        let [left, right] = &mut sides;
        let held = note.held.min(blocks) * BLOCK;
        synthesizer.note_on(0, note.key.into(), note.velocity.into());
        synthesizer.render(&mut left[..held], &mut right[..held]);
        synthesizer.note_off(0, note.key.into());
        synthesizer.render(&mut left[held..], &mut right[held..]);
        Ok(sides)
    }))
    .unwrap_or_else(|_| Err(VoiceError::Synthesiser("it panicked".to_owned())))
}

/// The synthesiser leaves out blocks with a gain below -60 dB and makes steps of small changes.
/// With so large a master volume no gain is that small; a power of two loses nothing on the way
/// back.
pub(super) const LOUD: f32 = 1_048_576.0;

/// A synthesiser with effects off and volume and expression at exactly 1.
fn prepared(font: SoundFont, pan: i32, hertz: i32) -> Result<Synthesizer, SynthesizerError> {
    const CONTROL_CHANGE: i32 = 0xB0;
    const VOLUME: i32 = 0x07;
    const EXPRESSION: i32 = 0x0B;
    const PAN: i32 = 0x0A;
    /// Added to a controller's number for its low seven bits.
    const FINE: i32 = 0x20;
    let mut settings = SynthesizerSettings::new(hertz);
    settings.block_size = BLOCK;
    settings.maximum_polyphony = 128;
    settings.enable_reverb_and_chorus = false;
    let mut synthesizer = Synthesizer::new(&Arc::new(font), &settings)?;
    synthesizer.set_master_volume(LOUD);
    let full = [VOLUME, VOLUME + FINE, EXPRESSION, EXPRESSION + FINE].map(|number| (number, 127));
    for (controller, value) in full.into_iter().chain([(PAN, pan)]) {
        synthesizer.process_midi_message(0, CONTROL_CHANGE, controller, value);
    }
    Ok(synthesizer)
}
