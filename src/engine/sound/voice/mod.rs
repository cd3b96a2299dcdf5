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
pub(super) use low_pass::open_cents;
use modulation::Modulation;
use oscillator::Oscillator;
use sample::VoiceSample;
pub(super) use sample::ended;

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

/// A voice as the synthesiser plays it, mono, on its way from its first block on.
#[derive(Debug)]
pub(super) struct VoicePlayer(Backend);

#[derive(Debug)]
enum Backend {
    /// Our own arithmetic.
    Native(Box<Player>),
    /// The synthesiser's, with so many frames of the voice gone by.
    RustySynth { samples: Vec<f32>, gone: usize, scale: f32 },
}

impl VoicePlayer {
    /// Begins a voice; `None` for one that would play too fast to be heard as a note.
    ///
    /// # Errors
    /// When sample data cannot be read, or the synthesiser fails.
    pub(super) fn begin(
        font: &SoundFont,
        request: &VoiceRequest<'_>,
    ) -> Result<Option<VoicePlayer>, VoiceError> {
        let read = |samples| font.samples(&request.region.sample, samples);
        let Some(sample) = VoiceSample::cut(request, read)? else { return Ok(None) };
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
        Ok(Some(VoicePlayer(if settings.get(Generator::ModLfoToVolume) == 0 {
            Backend::Native(Box::new(Player::new(voice, &note, request.rate)))
        } else {
            let headroom = voice.sample.headroom();
            let font = font::bytes(&[voice.rounded(headroom)]);
            let [samples, _] = synth::play(&font, &note, request.blocks, request.rate)?;
            Backend::RustySynth { samples, gone: 0, scale: 1.0 / (synth::LOUD * headroom) }
        })))
    }

    /// Times this, full scale is 1.
    pub(super) fn scale(&self) -> f32 {
        match self.0 {
            Backend::Native(_) => 1.0,
            Backend::RustySynth { scale, .. } => scale,
        }
    }

    /// Plays on for some whole blocks; `false` where all that follows is silence.
    pub(super) fn play(&mut self, frames: &mut [f32]) -> bool {
        match &mut self.0 {
            Backend::Native(player) => player.play(frames),
            Backend::RustySynth { samples, gone, .. } => {
                let rest = samples.get(*gone..).unwrap_or_default();
                let (played, silent) = frames.split_at_mut(rest.len().min(frames.len()));
                played.copy_from_slice(&rest[..played.len()]);
                silent.fill(0.0);
                *gone += played.len();
                *gone < samples.len()
            }
        }
    }
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
#[derive(Debug)]
struct Player {
    oscillator: Oscillator,
    modulation: Modulation,
    filter: LowPass,
    /// Whether the loop is left when the key is let go.
    until_release: bool,
    /// Blocks until the key is let go.
    held: usize,
    /// Blocks that were played.
    played: usize,
    is_over: bool,
}

impl Player {
    fn new(voice: Voice<'_, VoiceSample>, note: &synth::Playing, rate: SampleRate) -> Player {
        Player {
            modulation: Modulation::new(voice.settings, note.key, note.velocity, rate),
            filter: LowPass::new(voice.settings, rate),
            until_release: voice.until_release,
            oscillator: Oscillator::new(voice, rate),
            held: note.held,
            played: 0,
            is_over: false,
        }
    }

    /// Plays on for some whole blocks; `false` where all that follows is silence.
    fn play(&mut self, frames: &mut [f32]) -> bool {
        for block in frames.chunks_exact_mut(BLOCK) {
            if self.is_over {
                block.fill(0.0);
                continue;
            }
            if self.played == self.held {
                self.modulation.release();
                if self.until_release {
                    self.oscillator.leave_loop();
                }
            }
            self.played += 1;
            let moved = self.modulation.next();
            if !self.oscillator.play(moved.pitch, block) {
                self.is_over = true;
                continue;
            }
            if self.modulation.moves_filter() {
                self.filter.move_by(moved.cents);
            }
            self.filter.process(block);
        }
        !self.is_over
    }
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
