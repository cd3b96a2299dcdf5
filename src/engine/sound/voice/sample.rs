//! The stretch of sample data that one voice can reach, ready for the synthesiser.

use super::BLOCK;
use super::VoiceRequest;
use super::reel::{Points, Stretch};
use super::upsample::{CONTEXT, FACTOR, upsampled};
use crate::simd::largest;
use crate::sound::soundfont::{Generator, LoopMode, Region, SampleSpan};
use crate::units::SampleRate;

/// Voices that would play their sample faster than this are left out: no instrument needs it,
/// and a damaged file could make the synthesiser run off the end of its counters.
const FASTEST: f64 = 1024.0;

/// Not rounded to 16 bits.
#[derive(Debug)]
pub(crate) struct VoiceSample {
    /// Full scale being 32,768.
    pub(super) points: Points,
    /// In points.
    pub(super) looped: Option<std::ops::Range<usize>>,
    pub(super) rate: u32,
}

/// What is left of a sample when it is rounded to 16 bits.
#[derive(Debug)]
pub(crate) struct RoundedSample {
    pub(super) samples: Vec<i16>,
    pub(super) looped: Option<std::ops::Range<usize>>,
    pub(super) rate: u32,
}

impl VoiceSample {
    /// Cuts what the voice can reach from the data of the request's span, of which `read` gives the
    /// first so many samples. `None` for a voice that would play too fast to be heard as a note.
    ///
    /// # Errors
    /// When the data cannot be read.
    pub(super) fn cut<E>(
        request: &VoiceRequest<'_>,
        read: impl FnOnce(usize) -> Result<Vec<i16>, E>,
    ) -> Result<Option<VoiceSample>, E> {
        let [_, speed] = speeds(request.region, request.key, request.rate);
        if speed.is_nan() || speed > FASTEST {
            return Ok(None);
        }
        let span = &request.region.sample;
        let reach = reach(request.blocks, speed);
        let looped = relative_loop(span).filter(|range| range.end < reach);
        let samples = read(match &looped {
            None => reach + CONTEXT,
            Some(range) if request.region.loop_mode != LoopMode::UntilRelease => range.end,
            Some(_) => usize::MAX,
        })?;
        let (points, looped) = match looped {
            None => {
                let played = samples.len().min(reach);
                (Points::Once(Stretch { samples, played }), None)
            }
            Some(range) => {
                let mut stretch = vec![0.0; CONTEXT];
                let mut push = |samples: &[i16]| {
                    stretch.extend(samples.iter().map(|sample| f32::from(*sample)));
                };
                // The synthesiser steps back by one loop at a time, so that it needs loops longer
                // than a step.
                let round = &samples[range.clone()];
                let rounds = shortest_loop(speed).div_ceil(round.len());
                push(&samples[..range.start]);
                (0..rounds).for_each(|_| push(round));
                if request.region.loop_mode == LoopMode::UntilRelease {
                    push(&samples[range.end..]);
                    push(&[0; CONTEXT]);
                } else {
                    // What is heard after the end of the loop is its start.
                    let again: Vec<i16> = round.iter().copied().cycle().take(CONTEXT).collect();
                    push(&again);
                }
                let end = range.start + rounds * round.len();
                (Points::Upsampled(upsampled(&stretch)), Some(FACTOR * range.start..FACTOR * end))
            }
        };
        Ok(Some(VoiceSample { points, looped, rate: span.rate * 4 }))
    }

    /// The factor that keeps the sample within 16 bits: 1, or less where it peaks above full
    /// scale between the file's samples.
    pub(super) fn headroom(&self) -> f32 {
        let peak = largest(&self.points.upsampled());
        (f32::from(i16::MAX) / peak).min(1.0)
    }

    /// Rounded to 16 bits after scaling.
    pub(super) fn rounded(&self, scale: f32) -> RoundedSample {
        RoundedSample {
            samples: rounded(&self.points.upsampled(), scale),
            looped: self.looped.clone(),
            rate: self.rate,
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "within 16 bits by `headroom`")]
fn rounded(samples: &[f32], scale: f32) -> Vec<i16> {
    // Truncating a positive number rounds without a call for each sample.
    const UP: f32 = 32_768.5;
    let mut rounded = vec![0; samples.len()];
    for (to, x) in rounded.iter_mut().zip(samples) {
        *to = ((x * scale + UP) as i32 - 32_768) as i16;
    }
    rounded
}

/// Source samples per output frame, at the least and the most that modulation can make of it.
fn speeds(region: &Region, key: u8, rate: SampleRate) -> [f64; 2] {
    let settings = &region.settings;
    let modulation: i32 =
        [Generator::ModLfoToPitch, Generator::VibLfoToPitch, Generator::ModEnvToPitch]
            .iter()
            .map(|generator| settings.get(*generator).abs())
            .sum();
    let scale = f64::from(settings.get(Generator::ScaleTuning)) / 100.0;
    let keys = f64::from(key) - f64::from(region.root_key);
    let base = f64::from(region.sample.rate) / f64::from(rate.hz());
    [-modulation, modulation].map(|cents| {
        let semitones = scale * (keys + f64::from(cents) / 100.0)
            + f64::from(settings.get(Generator::CoarseTune))
            + f64::from(settings.get(Generator::FineTune)) / 100.0;
        base * (semitones / 12.0).exp2()
    })
}

/// In which block a sample that is played once has ended at the latest; `None` for one that is played
/// round and round.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "lengths of samples in blocks, not negative"
)]
pub(in crate::sound) fn ended(region: &Region, key: u8, rate: SampleRate) -> Option<u32> {
    let span = &region.sample;
    let [slowest, _] = speeds(region, key, rate);
    // One for what is left of a block, one for the rounding of a step.
    let blocks = f64::from(span.end.saturating_sub(span.start)) / slowest / BLOCK as f64;
    span.looped.is_none().then_some((blocks as u32).saturating_add(2))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "lengths of notes in samples, positive and far below 2^53"
)]
fn reach(blocks: usize, speed: f64) -> usize {
    // Two more for the interpolator's look ahead and the rounding of its step.
    ((blocks * BLOCK) as f64 * speed).ceil() as usize + 2
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and `FASTEST`"
)]
fn shortest_loop(speed: f64) -> usize {
    speed.ceil() as usize + 2
}

fn relative_loop(span: &SampleSpan) -> Option<std::ops::Range<usize>> {
    let looped = span.looped.as_ref()?;
    let from_start = |at: u32| usize::try_from(at - span.start).ok();
    Some(from_start(looped.start)?..from_start(looped.end)?)
}
