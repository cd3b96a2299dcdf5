//! One voice of a note: the synthesiser's oscillator and filter, without loudness.
//!
//! A voice is rendered at full gain, from its own first frame, with no volume envelope, velocity
//! or place in the stereo field: those are applied when notes are mixed. So one rendering serves
//! every loudness and length.

mod font;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use rustysynth::{Synthesizer, SynthesizerSettings};

use super::SoundError;
use super::soundfont::{Generator, LoopMode, Region, Settings, SoundFont};
use crate::units::SampleRate;

/// The synthesiser's block: gains move once in so many frames.
pub(crate) const BLOCK: usize = 64;

/// Voices that would play their sample faster than this are left out: no instrument needs it,
/// and a damaged file could make the synthesiser run off the end of its counters.
const FASTEST: f64 = 1024.0;

/// What to render.
pub(crate) struct VoiceRequest<'a> {
    pub(crate) region: &'a Region,
    pub(crate) key: u8,
    /// Matters only to the modulation envelope.
    pub(crate) velocity: u8,
    /// In which block the key is let go; only for voices whose waveform depends on it.
    pub(crate) release_block: Option<usize>,
    /// How many blocks are wanted.
    pub(crate) blocks: usize,
    pub(crate) rate: SampleRate,
}

/// A voice's waveform, mono, full scale 1, of at most the blocks asked for: less where the
/// sample ends before.
///
/// # Errors
/// When sample data cannot be read, or the synthesiser fails.
pub(crate) fn render(font: &SoundFont, request: &VoiceRequest<'_>) -> Result<Vec<f32>, VoiceError> {
    let speed = fastest(request);
    if !(speed < FASTEST) {
        return Ok(Vec::new());
    }
    let samples = font.samples(&request.region.sample)?;
    let cut = cut_to_measure(request, &samples, speed);
    let settings = full_gain(&request.region.settings);
    let voice = font::FontVoice {
        settings: &settings,
        samples: &cut.samples,
        looped: cut.looped,
        until_release: request.region.loop_mode == LoopMode::UntilRelease,
        rate: request.region.sample.rate,
        root_key: request.region.root_key,
    };
    let bytes = font::bytes(&[voice]);
    // The tables are ours and checked, so nothing here should panic; if it does all the same,
    // one note fails with a message instead of the whole program.
    catch_unwind(AssertUnwindSafe(|| play(&bytes, request)))
        .unwrap_or_else(|_| Err(VoiceError::Synthesiser("it panicked".to_owned())))
}

/// Why a voice could not be rendered.
#[derive(Debug, thiserror::Error)]
pub(crate) enum VoiceError {
    #[error(transparent)]
    SoundFont(#[from] SoundError),
    #[error("{0}")]
    Synthesiser(String),
}

/// The voice's settings with everything neutral that is applied when notes are mixed.
fn full_gain(settings: &Settings) -> Settings {
    let mut settings = settings.clone();
    // Envelope: no delay, attack or hold, then full level for ever.
    for time in [Generator::VolEnvDelay, Generator::VolEnvAttack, Generator::VolEnvHold] {
        settings.set(time, i16::MIN.into());
    }
    settings.set(Generator::KeyToVolEnvHold, 0);
    settings.set(Generator::KeyToVolEnvDecay, 0);
    settings.set(Generator::VolEnvSustain, 0);
    settings.set(Generator::VolEnvRelease, 8_000);
    // A large negative attenuation makes the synthesiser hold the gain to exactly 1, whatever
    // the velocity. Hard left is exactly the gain too.
    settings.set(Generator::Attenuation, i16::MIN.into());
    settings.set(Generator::Pan, -500);
    settings
}

/// Source samples per output frame, at the most that modulation can make of it.
fn fastest(request: &VoiceRequest<'_>) -> f64 {
    let settings = &request.region.settings;
    let modulation: i32 =
        [Generator::ModLfoToPitch, Generator::VibLfoToPitch, Generator::ModEnvToPitch]
            .iter()
            .map(|generator| settings.get(*generator).abs())
            .sum();
    let scale = f64::from(settings.get(Generator::ScaleTuning)) / 100.0;
    let keys = f64::from(request.key) - f64::from(request.region.root_key);
    let semitones = scale * (keys + f64::from(modulation) / 100.0)
        + f64::from(settings.get(Generator::CoarseTune))
        + f64::from(settings.get(Generator::FineTune)) / 100.0;
    let base = f64::from(request.region.sample.rate) / f64::from(request.rate.hz());
    base * (semitones / 12.0).exp2()
}

/// The part of the sample that the voice can reach, its loop long enough to step through.
struct CutSample {
    samples: Vec<i16>,
    looped: Option<std::ops::Range<usize>>,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "lengths of notes in samples, positive and far below 2^53"
)]
fn cut_to_measure(request: &VoiceRequest<'_>, samples: &Arc<[i16]>, speed: f64) -> CutSample {
    // Two more for the interpolator's look ahead and the rounding of its step.
    let reach = ((request.blocks * BLOCK) as f64 * speed).ceil() as usize + 2;
    let span = &request.region.sample;
    let looped = span
        .looped
        .as_ref()
        .map(|range| (range.start - span.start) as usize..(range.end - span.start) as usize)
        .filter(|range| range.end < reach);
    let Some(range) = looped else {
        return CutSample { samples: samples[..reach.min(samples.len())].to_vec(), looped: None };
    };
    // The synthesiser steps back by one loop at a time and needs the loop longer than a step.
    let shortest = speed.ceil() as usize + 2;
    let round = &samples[range.clone()];
    let times = shortest.div_ceil(round.len()).max(1);
    let mut unrolled = samples[..range.start].to_vec();
    for _ in 0..times {
        unrolled.extend(round);
    }
    let end = unrolled.len();
    unrolled.extend(&samples[range.end..]);
    CutSample { samples: unrolled, looped: Some(range.start..end) }
}

/// Hands the font to the synthesiser and plays its one note.
fn play(bytes: &[u8], request: &VoiceRequest<'_>) -> Result<Vec<f32>, VoiceError> {
    let failed = |error: &dyn std::fmt::Display| VoiceError::Synthesiser(error.to_string());
    let font = rustysynth::SoundFont::new(&mut &bytes[..]).map_err(|error| failed(&error))?;
    let mut synthesizer = synthesizer(font, request.rate).map_err(|error| failed(&error))?;
    let (key, velocity) = (i32::from(request.key), i32::from(request.velocity));
    synthesizer.note_on(0, key, velocity);
    let held = request.release_block.map_or(request.blocks, |block| block.min(request.blocks));
    let mut left = vec![0.0; request.blocks * BLOCK];
    let mut right = vec![0.0; request.blocks * BLOCK];
    synthesizer.render(&mut left[..held * BLOCK], &mut right[..held * BLOCK]);
    synthesizer.note_off(0, key);
    synthesizer.render(&mut left[held * BLOCK..], &mut right[held * BLOCK..]);
    Ok(left)
}

/// A synthesiser with effects off and all gains at exactly 1, channel 0 hard left.
pub(crate) fn synthesizer(
    font: rustysynth::SoundFont,
    rate: SampleRate,
) -> Result<Synthesizer, rustysynth::SynthesizerError> {
    let hertz = i32::try_from(rate.hz()).unwrap_or(44_100);
    let mut settings = SynthesizerSettings::new(hertz);
    settings.block_size = BLOCK;
    settings.maximum_polyphony = 8;
    settings.enable_reverb_and_chorus = false;
    let mut synthesizer = Synthesizer::new(&Arc::new(font), &settings)?;
    synthesizer.set_master_volume(1.0);
    const CONTROL: i32 = 0xB0;
    // Volume and expression, coarse and fine, and pan.
    for (controller, value) in [(0x07, 127), (0x27, 127), (0x0B, 127), (0x2B, 127), (0x0A, 0)] {
        synthesizer.process_midi_message(0, CONTROL, controller, value);
    }
    Ok(synthesizer)
}
