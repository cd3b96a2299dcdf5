//! A note's waveform: its voices added up, still without velocity and envelope.

use super::SoundError;
use super::block_float::{BlockFloat, Draft};
use super::envelope::{Held, Levels};
use super::key::NoteKey;
use super::soundfont::{Generator, Region, SoundFont};
use super::strand::{Strand, StrandVoice};
use super::voice::{BLOCK, VoiceError, VoicePlayer, VoiceRequest};
use crate::simd::{SimdKernel, dispatch};
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
    /// Renders the first `blocks` of a strand, or fewer where it ends before, in the memory of
    /// `drafts`.
    ///
    /// # Errors
    /// When sample data cannot be read or the synthesiser fails.
    pub(super) fn render(
        font: &SoundFont,
        strand: &Strand,
        note: NoteKey,
        blocks: usize,
        rate: SampleRate,
        drafts: &mut [Draft; 2],
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
            VoicePlayer::begin(font, &request)
        };
        let held = Held::new(&strand.envelope, sounding);
        let mut gains = held.highest();
        gains.iter_mut().for_each(|level| *level *= strand.loudest);
        let sound =
            mixed(&strand.voices, &gains, &request, drafts).map_err(|error| match error {
                VoiceError::SoundFont(error) => error,
                VoiceError::Synthesiser(reason) => {
                    SoundError::Synthesis { instrument: note.instrument, key: note.key, reason }
                }
            })?;
        let levels = held.kept(sound.len().div_ceil(BLOCK));
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

/// Blocks that are made at a time, so that all that is worked on stays near at hand.
const RUN: usize = 16;

/// Plays voices and adds them up, at their gains over the first and their places. The sum is
/// played at the `gains` of its blocks at the most; the blocks at the end that these do not make
/// audible are cut off, so that a note costs what it is heard.
fn mixed(
    voices: &[StrandVoice],
    gains: &[f32],
    begin: &dyn Fn(&StrandVoice) -> Result<Option<VoicePlayer>, VoiceError>,
    drafts: &mut [Draft; 2],
) -> Result<Sound, VoiceError> {
    let one_place = voices.windows(2).all(|pair| pair[0].pan() == pair[1].pan());
    let sides = if one_place { 1 } else { 2 };
    let mut players = Vec::with_capacity(voices.len());
    for voice in voices {
        let Some(player) = begin(voice)? else { continue };
        let gain = player.scale() * voice.gain() * resonance_gain(&voice.region);
        let (to_left, to_right) = if one_place { (1.0, 1.0) } else { pan_gains(voice.pan()) };
        players.push((player, [gain * to_left, gain * to_right]));
    }
    let mut wave = [0.0; RUN * BLOCK];
    let mut sums = [[0.0; RUN * BLOCK]; 2];
    let mut runs = gains.chunks(RUN);
    let mut is_sounding = !players.is_empty();
    while let Some(gains) = runs.next().filter(|_| is_sounding) {
        let length = gains.len() * BLOCK;
        let wave = &mut wave[..length];
        is_sounding = false;
        for (number, (player, shares)) in players.iter_mut().enumerate() {
            is_sounding |= player.play(wave);
            for (sum, share) in sums.iter_mut().zip(shares).take(sides) {
                let (to, is_first) = (&mut sum[..length], number == 0);
                dispatch(Adding { to, from: wave, gain: *share, is_first });
            }
        }
        for (draft, sum) in drafts.iter_mut().zip(&sums).take(sides) {
            draft.push(&sum[..length], gains);
        }
    }
    let heard = drafts.iter().map(Draft::heard).max().unwrap_or(0);
    let [left, right] = drafts.each_mut().map(|draft| draft.take(heard));
    Ok(match voices.first() {
        Some(first) if one_place => {
            let (to_left, to_right) = pan_gains(first.pan());
            Sound::Mono { samples: left, left: to_left, right: to_right }
        }
        _ => Sound::Stereo { left, right },
    })
}

/// A voice on its way into a sum, of which it may be the first.
struct Adding<'a> {
    to: &'a mut [f32],
    from: &'a [f32],
    gain: f32,
    is_first: bool,
}

impl SimdKernel for Adding<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Adding { to, from, gain, is_first } = self;
        if is_first {
            to.iter_mut().zip(from).for_each(|(to, from)| *to = gain * from);
        } else {
            to.iter_mut().zip(from).for_each(|(to, from)| *to += gain * from);
        }
    }
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
