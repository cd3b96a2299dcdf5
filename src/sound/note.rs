//! A note's waveform: its voices added up, still without velocity and envelope.

use super::block_float::BlockFloat;
use super::envelope::Levels;
use super::key::NoteKey;
use super::soundfont::{Generator, Region, SoundFont};
use super::strand::{Strand, StrandVoice};
use super::voice::{self, BLOCK, VoiceError, VoiceRequest, VoiceWave};
use super::{SoundError, UNHEARD};
use crate::lanes::largest;
use crate::units::SampleRate;

/// Sample data, full scale 1.
#[derive(Debug)]
pub(super) enum Sound {
    /// One signal at one place in the stereo field.
    Mono { samples: BlockFloat, left: f32, right: f32 },
    /// Two signals of the same length.
    Stereo { left: BlockFloat, right: BlockFloat },
}

impl Sound {
    /// Length in frames.
    pub(super) fn len(&self) -> usize {
        match self {
            Sound::Mono { samples, .. } => samples.len(),
            Sound::Stereo { left, .. } => left.len(),
        }
    }
}

/// A waveform in the note store.
#[derive(Debug)]
pub(super) struct NoteWave {
    pub(super) sound: Sound,
    pub(super) levels: Levels,
    /// How many blocks it was made for.
    pub(super) blocks: usize,
}

impl NoteWave {
    /// Renders the first `blocks` of a strand, or fewer where it ends before.
    ///
    /// # Errors
    /// When sample data cannot be read or the synthesiser fails.
    pub(super) fn render(
        font: &SoundFont,
        strand: &Strand,
        note: NoteKey,
        blocks: usize,
        rate: SampleRate,
    ) -> Result<NoteWave, SoundError> {
        let sounding = strand.envelope.longest(blocks);
        let request = |voice: &StrandVoice| {
            let request = VoiceRequest {
                region: &voice.region,
                key: note.key,
                velocity: note.velocity.unwrap_or(127),
                release_block: note.release_block.map(|block| block as usize),
                blocks: sounding,
                rate,
            };
            voice::render(font, &request)
        };
        let mut levels = Levels::new(&strand.envelope, sounding);
        let mut gains = levels.highest();
        gains.iter_mut().for_each(|level| *level *= strand.loudest);
        let sound = mixed(&strand.voices, &gains, &request).map_err(|error| match error {
            VoiceError::SoundFont(error) => error,
            VoiceError::Synthesiser(reason) => {
                SoundError::Synthesis { instrument: note.instrument, key: note.key, reason }
            }
        })?;
        levels.truncate(sound.len().div_ceil(BLOCK));
        Ok(NoteWave { sound, levels, blocks })
    }

    /// Its memory in bytes.
    pub(super) fn bytes(&self) -> usize {
        let samples = match &self.sound {
            Sound::Mono { samples, .. } => samples.bytes(),
            Sound::Stereo { left, right } => left.bytes() + right.bytes(),
        };
        samples + self.levels.bytes() + size_of::<NoteWave>()
    }
}

/// Renders voices and adds them up, at their gains over the first and their places. The sum is
/// played at the `gains` of its blocks at the most.
fn mixed(
    voices: &[StrandVoice],
    gains: &[f32],
    render: &dyn Fn(&StrandVoice) -> Result<VoiceWave, VoiceError>,
) -> Result<Sound, VoiceError> {
    let one_place = voices.windows(2).all(|pair| pair[0].pan() == pair[1].pan());
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for voice in voices {
        let wave = render(voice)?;
        let gain = wave.scale * voice.gain() * resonance_gain(&voice.region);
        if one_place {
            add(&mut left, &wave.samples, gain);
        } else {
            let (to_left, to_right) = pan_gains(voice.pan());
            add(&mut left, &wave.samples, gain * to_left);
            add(&mut right, &wave.samples, gain * to_right);
        }
    }
    trim(&mut left, &mut right, gains);
    let kept = |side: &[f32]| BlockFloat::of(side, gains);
    Ok(match voices.first() {
        Some(first) if one_place => {
            let (to_left, to_right) = pan_gains(first.pan());
            Sound::Mono { samples: kept(&left), left: to_left, right: to_right }
        }
        _ => Sound::Stereo { left: kept(&left), right: kept(&right) },
    })
}

/// Adds a voice to a sum, which grows to the longest voice.
fn add(sum: &mut Vec<f32>, samples: &[f32], gain: f32) {
    if sum.len() < samples.len() {
        sum.resize(samples.len(), 0.0);
    }
    for (to, from) in sum.iter_mut().zip(samples) {
        *to += gain * from;
    }
}

/// Cuts off the blocks at the end that their largest gains do not make audible, so that a note
/// costs what it is heard.
fn trim(left: &mut Vec<f32>, right: &mut Vec<f32>, gains: &[f32]) {
    // A little less than what is added up later, for rounding: what is heard must not depend on how
    // much of a longer wave was cut off.
    const SILENT: f32 = 0.99 * UNHEARD;
    let audible = |samples: &[f32]| {
        let mut blocks = samples.chunks(BLOCK).zip(gains);
        blocks.rposition(|(block, gain)| largest(block) * gain >= SILENT)
    };
    let length = audible(left).max(audible(right)).map_or(0, |last| (last + 1) * BLOCK);
    left.truncate(length);
    right.truncate(length);
}

/// What the filter's resonance takes off: half of it (as `rustysynth` 1.3.8, `voice.rs`). File
/// units are tenths of a decibel.
#[expect(clippy::cast_precision_loss, reason = "at most 960")]
fn resonance_gain(region: &Region) -> f32 {
    10_f32.powf(-0.05 * 0.5 * 0.1 * region.settings.get(Generator::FilterQ) as f32)
}

/// Equal-power gains for left and right; `pan` in tenths of a per cent, -500 to 500.
#[expect(clippy::cast_precision_loss, reason = "at most 500")]
fn pan_gains(pan: i32) -> (f32, f32) {
    /// Where MIDI's centre, 64 of 127, is: a hair right of the middle.
    const CENTRE: f32 = (100.0 / 16_383.0) * 8_192.0 - 50.0;
    let angle = (std::f32::consts::PI / 200.0) * (CENTRE + 0.1 * pan as f32 + 50.0);
    if angle <= 0.0 {
        (1.0, 0.0)
    } else if angle >= std::f32::consts::FRAC_PI_2 {
        (0.0, 1.0)
    } else {
        (angle.cos(), angle.sin())
    }
}

/// The gain of a velocity: 40 log10(v / 127) dB.
pub(super) fn velocity_gain(velocity: u8) -> f32 {
    let share = f32::from(velocity) / 127.0;
    share * share
}
