//! A sample played at any speed, by straight lines between its points.
//!
//! The arithmetic repeats `rustysynth` 1.3.8 (`oscillator.rs`): positions in units of 2^-24.

use super::reel::Reel;
use super::sample::VoiceSample;
use super::{BLOCK, Voice};
use crate::sound::soundfont::Generator;
use crate::units::{SampleRate, offset};

const FRACTION: u32 = 24;
const ONE: f32 = 16_777_216.0;

/// Plays one voice's sample.
#[derive(Debug)]
pub(super) struct Oscillator {
    reel: Reel,
    /// The loop, while it is played round and round.
    round: Option<std::ops::Range<usize>>,
    position: u64,
    /// Speed at the sample's own pitch.
    rate: f32,
    root_key: f32,
    semitones_a_key: f32,
    tune: f32,
    /// The last pitch and its step.
    last: (f32, u64),
}

impl Oscillator {
    #[expect(clippy::cast_precision_loss, reason = "settings of 16 bits, sample rates")]
    pub(super) fn new(voice: Voice<'_, VoiceSample>, rate: SampleRate) -> Oscillator {
        let setting = |generator| voice.settings.get(generator) as f32;
        Oscillator {
            round: voice.sample.looped,
            position: 0,
            rate: voice.sample.rate as f32 / rate.hz() as f32,
            root_key: voice.root_key.into(),
            semitones_a_key: 0.01 * setting(Generator::ScaleTuning),
            tune: setting(Generator::CoarseTune) + 0.01 * setting(Generator::FineTune),
            reel: Reel::new(voice.sample.points),
            last: (f32::NAN, 0),
        }
    }

    /// Plays the sample to its end instead of round and round.
    pub(super) fn leave_loop(&mut self) {
        self.round = None;
    }

    /// Plays a block at a pitch in keys; `false` where nothing was left to play.
    pub(super) fn play(&mut self, pitch: f32, block: &mut [f32]) -> bool {
        // Most voices stay where they are.
        if self.last.0.to_bits() != pitch.to_bits() {
            self.last = (pitch, self.step(pitch));
        }
        let step = self.last.1;
        match self.round.clone() {
            Some(round) => self.play_round(&round, step, block),
            None => self.play_on(step, block),
        }
    }

    /// By how much the position moves from frame to frame.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "speeds are positive, and limited when the sample is cut"
    )]
    fn step(&self, pitch: f32) -> u64 {
        let semitones = self.semitones_a_key * (pitch - self.root_key) + self.tune;
        let speed = self.rate * 2_f32.powf(semitones / 12.0);
        (f64::from(ONE) * f64::from(speed)) as u64
    }

    fn play_on(&mut self, step: u64, block: &mut [f32]) -> bool {
        // Nearly every block lies within the sample, and needs no look at its end.
        let (first, _) = place(self.position);
        let (last, _) = place(self.position.saturating_add(step.saturating_mul(BLOCK as u64)));
        let from = (first as u64) << FRACTION;
        if let Some(reach) = last.checked_add(2).and_then(|end| self.reel.points(first..end)) {
            let mut position = self.position - from;
            for frame in &mut *block {
                let (index, share) = place(position);
                *frame = between(reach[index], reach[index + 1], share);
                position += step;
            }
            self.position += step * block.len() as u64;
            return true;
        }
        let rest = self.reel.points(first..self.reel.length()).unwrap_or_default();
        for frame in &mut *block {
            let (index, share) = place(self.position - from);
            let Some(sample) = rest.get(index) else {
                *frame = 0.0;
                continue;
            };
            let next = rest.get(index + 1).copied().unwrap_or(0.0);
            *frame = between(*sample, next, share);
            self.position = self.position.saturating_add(step);
        }
        !rest.is_empty()
    }

    fn play_round(&mut self, round: &std::ops::Range<usize>, step: u64, block: &mut [f32]) -> bool {
        let (end, length) = ((round.end as u64) << FRACTION, (round.len() as u64) << FRACTION);
        // What follows the last sample of a round is its first.
        let samples = self.reel.points(0..round.end).unwrap_or_default();
        let again = samples.get(round.start).copied().unwrap_or(0.0);
        let mut frames = block.iter_mut();
        for frame in frames.by_ref() {
            if self.position >= end {
                self.position -= length;
            }
            let (index, share) = place(self.position);
            let Some(sample) = samples.get(index) else {
                *frame = 0.0;
                frames.for_each(|frame| *frame = 0.0);
                return false;
            };
            let next = samples.get(index + 1).copied().unwrap_or(again);
            *frame = between(*sample, next, share);
            self.position = self.position.saturating_add(step);
        }
        true
    }
}

#[inline(always)]
#[expect(clippy::cast_precision_loss, reason = "a fraction of 24 bits")]
fn place(position: u64) -> (usize, f32) {
    let index = offset(position >> FRACTION);
    (index, (position & ((1 << FRACTION) - 1)) as f32 / ONE)
}

#[inline(always)]
fn between(first: f32, second: f32, share: f32) -> f32 {
    (first + share * (second - first)) / 32_768.0
}
