//! One voice of a note: the synthesiser's oscillator, modulation and filter, without loudness.
//!
//! A voice is rendered at full gain, from its own first frame, with no volume envelope, velocity
//! or place in the stereo field: those are applied when notes are mixed. So one rendering serves
//! every loudness and length. Starting at the synthesiser's first block it is exact to the frame.

mod font;
mod low_pass;
mod modulation;
#[cfg(test)]
pub(super) mod oracle;
mod oscillator;
mod reel;
mod sample;
mod synth;
mod upsample;

use super::SoundError;
use super::soundfont::{Generator, LoopMode, Region, Settings, SoundFont};
use crate::units::SampleRate;
use low_pass::LowPass;
use modulation::Modulation;
use oscillator::Oscillator;
use sample::VoiceSample;

/// The synthesiser's block: gains move once in so many frames.
pub(super) const BLOCK: usize = 64;

/// What to render.
#[derive(Debug)]
pub(super) struct VoiceRequest<'a> {
    pub(super) region: &'a Region,
    pub(super) key: u8,
    /// Matters only to the modulation envelope.
    pub(super) velocity: u8,
    /// In which block the key is let go; only for voices whose waveform depends on it.
    pub(super) release_block: Option<usize>,
    /// How many blocks are wanted.
    pub(super) blocks: usize,
    pub(super) rate: SampleRate,
}

/// Why a voice could not be rendered.
#[derive(Debug, thiserror::Error)]
pub(super) enum VoiceError {
    #[error(transparent)]
    SoundFont(#[from] SoundError),
    #[error("{0}")]
    Synthesiser(String),
}

/// A voice as the synthesiser plays it, mono.
#[derive(Debug, Default)]
pub(super) struct VoiceWave {
    /// As many frames as were asked for, silent after the end of the sample; none for a voice
    /// that no one could mean.
    pub(super) samples: Vec<f32>,
    /// Times this, full scale is 1.
    pub(super) scale: f32,
}

/// Renders a voice.
///
/// # Errors
/// When sample data cannot be read, or the synthesiser fails.
pub(super) fn render(
    font: &SoundFont,
    request: &VoiceRequest<'_>,
) -> Result<VoiceWave, VoiceError> {
    let read = |samples| font.samples(&request.region.sample, samples);
    let Some(sample) = VoiceSample::cut(request, read)? else {
        return Ok(VoiceWave::default());
    };
    let region = request.region;
    let settings = full_gain(&region.settings);
    let note = synth::Playing {
        key: request.key,
        velocity: request.velocity,
        held: request.release_block.unwrap_or(request.blocks),
        pan: synth::HARD_LEFT,
    };
    let voice = Voice {
        settings: &settings,
        sample,
        until_release: region.loop_mode == LoopMode::UntilRelease,
        root_key: region.root_key,
    };
    // A volume that swings is rare, and left to the synthesiser itself.
    if settings.get(Generator::ModLfoToVolume) == 0 {
        let samples = play(&voice, &note, request.blocks, request.rate);
        return Ok(VoiceWave { samples, scale: 1.0 });
    }
    let headroom = voice.sample.headroom();
    let font = font::bytes(&[voice.rounded(headroom)]);
    let [left, _] = synth::play(&font, &note, request.blocks, request.rate)?;
    Ok(VoiceWave { samples: left, scale: 1.0 / (synth::LOUD * headroom) })
}

/// One voice: its settings and its sample data.
#[derive(Debug)]
struct Voice<'a, Sample> {
    settings: &'a Settings,
    sample: Sample,
    /// Whether the loop is left when the key is let go.
    until_release: bool,
    root_key: u8,
}

impl<'a> Voice<'a, VoiceSample> {
    /// As the synthesiser can be handed it.
    fn rounded(&self, scale: f32) -> font::FontVoice<'a> {
        let Voice { settings, ref sample, until_release, root_key } = *self;
        Voice { settings, sample: sample.rounded(scale), until_release, root_key }
    }
}

/// Plays a voice as the synthesiser does, block by block, without the way through a file, 16 bits, a
/// mixer and two channels.
fn play(
    voice: &Voice<'_, VoiceSample>,
    note: &synth::Playing,
    blocks: usize,
    rate: SampleRate,
) -> Vec<f32> {
    let mut frames = vec![0.0; blocks * BLOCK];
    let mut oscillator = Oscillator::new(voice, rate);
    let mut modulation = Modulation::new(voice.settings, note.key, note.velocity, rate);
    let mut filter = LowPass::new(voice.settings, rate);
    for (number, block) in frames.chunks_exact_mut(BLOCK).enumerate() {
        if number == note.held {
            modulation.release();
            if voice.until_release {
                oscillator.leave_loop();
            }
        }
        let moved = modulation.next();
        if !oscillator.play(moved.pitch, block) {
            break;
        }
        if modulation.moves_filter() {
            filter.move_by(moved.cents);
        }
        filter.process(block);
    }
    frames
}

/// The voice's settings with everything neutral that is applied when notes are mixed.
fn full_gain(settings: &Settings) -> Settings {
    let mut settings = settings.clone();
    // Envelope: no delay, attack or hold, then full level, and a release of five years.
    for time in [Generator::VolEnvDelay, Generator::VolEnvAttack, Generator::VolEnvHold] {
        settings.set(time, i16::MIN.into());
    }
    settings.set(Generator::KeyToVolEnvHold, 0);
    settings.set(Generator::KeyToVolEnvDecay, 0);
    settings.set(Generator::VolEnvSustain, 0);
    settings.set(Generator::VolEnvRelease, i16::MAX.into());
    // A large negative attenuation makes the synthesiser hold the gain to exactly 1, whatever
    // the velocity. Hard left is exactly the gain too.
    settings.set(Generator::Attenuation, i16::MIN.into());
    settings.set(Generator::Pan, -500);
    settings
}

#[cfg(test)]
mod tests;
