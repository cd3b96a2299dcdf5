//! A voice's loudness over time: the synthesiser's own volume envelope, block by block.
//!
//! The arithmetic repeats `rustysynth` 1.3.8 (`volume_envelope.rs`, `region_ex.rs`), so that a
//! note whose loudness is applied while mixing equals the note that the synthesiser plays. Within
//! a block the gain moves in a straight line from the block before to this one.

use super::soundfont::{Generator, Settings};
use super::voice::BLOCK;
use crate::units::SampleRate;

/// The level below which the synthesiser ends a voice: -60 dB.
const INAUDIBLE: f32 = 1.0e-3;
/// Natural logarithm of [`INAUDIBLE`], as the synthesiser rounds it.
const LOG_INAUDIBLE: f64 = -6.907_755_4_f32 as f64;
/// Nepers that a decay or release falls in its time: 80 dB.
const FALL: f64 = -9.226;
/// The shortest release in seconds.
const SHORTEST_RELEASE: f32 = 0.01;

/// What shapes a voice's loudness, in the units of the file. Voices with the same shape share
/// their gains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct EnvelopeShape {
    delay: i32,
    attack: i32,
    hold: i32,
    hold_by_key: i32,
    decay: i32,
    decay_by_key: i32,
    sustain: i32,
    release: i32,
}

impl EnvelopeShape {
    pub(super) fn of(settings: &Settings) -> EnvelopeShape {
        EnvelopeShape {
            delay: settings.get(Generator::VolEnvDelay),
            attack: settings.get(Generator::VolEnvAttack),
            hold: settings.get(Generator::VolEnvHold),
            hold_by_key: settings.get(Generator::KeyToVolEnvHold),
            decay: settings.get(Generator::VolEnvDecay),
            decay_by_key: settings.get(Generator::KeyToVolEnvDecay),
            sustain: settings.get(Generator::VolEnvSustain),
            release: settings.get(Generator::VolEnvRelease),
        }
    }
}

/// An envelope on one key at one sample rate.
#[derive(Debug, Clone)]
pub(super) struct Envelope {
    rate: f64,
    attack_slope: f64,
    decay_slope: f64,
    release_slope: f64,
    attack_start: f64,
    hold_start: f64,
    decay_start: f64,
    sustain: f32,
}

impl Envelope {
    pub(super) fn new(shape: &EnvelopeShape, key: u8, rate: SampleRate) -> Envelope {
        let (attack, delay) = (seconds(shape.attack), seconds(shape.delay));
        let hold = seconds(shape.hold) * key_factor(shape.hold_by_key, key);
        let decay = seconds(shape.decay) * key_factor(shape.decay_by_key, key);
        let release = seconds(shape.release).max(SHORTEST_RELEASE);
        #[expect(clippy::cast_precision_loss, reason = "tenths of a decibel, at most 1,440")]
        let sustain = 10_f32.powf(0.05 * -(0.1 * shape.sustain as f32));
        let hold_start = f64::from(delay) + f64::from(attack);
        Envelope {
            rate: f64::from(rate.hz()),
            attack_slope: 1.0 / f64::from(attack),
            decay_slope: FALL / f64::from(decay),
            release_slope: FALL / f64::from(release),
            attack_start: f64::from(delay),
            hold_start,
            decay_start: hold_start + f64::from(hold),
            sustain: sustain.clamp(0.0, 1.0),
        }
    }

    /// The level at the end of a block while the key is held; 0 once the voice has ended.
    pub(super) fn held(&self, block: usize) -> f32 {
        let time = self.time(block + 1);
        if time < self.attack_start {
            0.0
        } else if time < self.hold_start {
            single(self.attack_slope * (time - self.attack_start))
        } else if time < self.decay_start {
            1.0
        } else {
            let level =
                single(fall(self.decay_slope * (time - self.decay_start))).max(self.sustain);
            if level > INAUDIBLE { level } else { 0.0 }
        }
    }

    /// In which block a held voice ends, where it does before `limit`.
    pub(super) fn held_end(&self, limit: usize) -> usize {
        if self.sustain > INAUDIBLE {
            return limit;
        }
        let decayed = self.decay_start + LOG_INAUDIBLE / self.decay_slope;
        let near = self.blocks(decayed).saturating_sub(2);
        let over = |block| self.time(block + 1) >= self.decay_start && self.held(block) <= 0.0;
        (near..limit).find(|block| over(*block)).unwrap_or(limit)
    }

    /// After how many blocks nothing is left, whenever the key is let go, where that is before
    /// `limit`. One of them is there to close in.
    pub(super) fn longest(&self, limit: usize) -> usize {
        let falls_faster_released = self.release_slope <= self.decay_slope;
        if falls_faster_released { limit.min(self.held_end(limit) + 1) } else { limit }
    }

    /// The level at the end of a block when the key was let go at the start of `release_block`
    /// at the level `from`.
    pub(super) fn released(&self, block: usize, release_block: usize, from: f32) -> f32 {
        let level = single(f64::from(from) * self.fallen(block - release_block));
        if level > INAUDIBLE { level } else { 0.0 }
    }

    /// By how much a release has fallen at the end of one of its blocks.
    fn fallen(&self, block: usize) -> f64 {
        fall(self.release_slope * self.time(block + 1))
    }

    /// The block in which a voice let go at the start of `release_block` has ended.
    pub(super) fn end(&self, release_block: usize) -> usize {
        let held = self.held_end(release_block);
        if held < release_block {
            return held;
        }
        let from = release_block.checked_sub(1).map_or(0.0, |last| self.held(last));
        if from <= INAUDIBLE {
            return release_block;
        }
        let falling = (f64::from(INAUDIBLE).ln() - f64::from(from).ln()) / self.release_slope;
        let near = release_block + self.blocks(falling).saturating_sub(2);
        (near..).find(|block| self.released(*block, release_block, from) <= 0.0).unwrap_or(near)
    }

    #[expect(clippy::cast_precision_loss, reason = "a century of audio is below 2^53 frames")]
    fn time(&self, blocks: usize) -> f64 {
        (blocks * BLOCK) as f64 / self.rate
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "envelope times are between 0 and some thousand seconds"
    )]
    fn blocks(&self, seconds: f64) -> usize {
        (seconds * self.rate / BLOCK as f64) as usize
    }
}

/// An envelope's levels block by block while the key is held.
#[derive(Debug)]
pub(super) struct Held<'a> {
    envelope: &'a Envelope,
    /// At the end of each block.
    levels: Vec<f32>,
}

impl Held<'_> {
    /// For the first `blocks` of a note.
    pub(super) fn new(envelope: &Envelope, blocks: usize) -> Held<'_> {
        Held { envelope, levels: (0..blocks).map(|block| envelope.held(block)).collect() }
    }

    /// The highest level of each block, whenever the key is let go.
    pub(super) fn highest(&self) -> Vec<f32> {
        // A release may fall more slowly than a held note does.
        let [first, second] = [0, 1].map(|block| self.envelope.fallen(block));
        let a_block = if first > 0.0 { single(second / first) } else { 0.0 };
        let (mut end, mut start) = (0.0_f32, 0.0);
        let level = |held: &f32| {
            end = (end * a_block).max(*held);
            // A block begins at the level of the one before.
            let highest = end.max(start);
            start = end;
            highest
        };
        self.levels.iter().map(level).collect()
    }

    /// What is kept of the first blocks for all notes that share a waveform.
    pub(super) fn kept(mut self, blocks: usize) -> Levels {
        self.levels.truncate(blocks);
        self.levels.shrink_to_fit();
        let falls = (0..self.levels.len()).map(|block| self.envelope.fallen(block));
        let mut falls: Vec<f64> = falls.take_while(|fallen| *fallen > 0.0).collect();
        falls.shrink_to_fit();
        Levels { held: self.levels, falls }
    }
}

/// An envelope's levels block by block, worked out once for all notes that share a waveform.
#[derive(Debug)]
pub(super) struct Levels {
    /// At the end of each block while the key is held.
    held: Vec<f32>,
    /// By how much a release has fallen at the end of each of its blocks.
    falls: Vec<f64>,
}

impl Levels {
    /// The level at the end of a block of a note whose key is let go at the start of
    /// `release_block`: [`Envelope::held`] or [`Envelope::released`].
    pub(super) fn at(&self, block: usize, release_block: usize) -> f32 {
        let held = |block: usize| self.held.get(block).copied().unwrap_or(0.0);
        if block < release_block {
            return held(block);
        }
        let from = release_block.checked_sub(1).map_or(0.0, held);
        let fallen = self.falls.get(block - release_block).copied().unwrap_or(0.0);
        let level = single(f64::from(from) * fallen);
        if level > INAUDIBLE { level } else { 0.0 }
    }

    /// Its memory in bytes.
    pub(super) fn bytes(&self) -> usize {
        size_of_val(&*self.held) + size_of_val(&*self.falls)
    }
}

/// Time of a number of timecents, in seconds.
#[expect(clippy::cast_precision_loss, reason = "timecents are below 2^24")]
fn seconds(timecents: i32) -> f32 {
    2_f32.powf((1.0 / 1200.0) * timecents as f32)
}

/// How a time changes with the key: timecents for each key below 60.
fn key_factor(timecents: i32, key: u8) -> f32 {
    seconds(timecents * (60 - i32::from(key)))
}

/// An exponential that ends at -60 dB.
fn fall(nepers: f64) -> f64 {
    if nepers < LOG_INAUDIBLE { 0.0 } else { nepers.exp() }
}

#[expect(clippy::cast_possible_truncation, reason = "the synthesiser keeps levels as f32")]
fn single(level: f64) -> f32 {
    level as f32
}

#[cfg(test)]
mod tests;
