//! Four samples for each of the SoundFont's, so that drawing straight lines between them is
//! good enough.
//!
//! The synthesiser interpolates linearly. Between samples as they are in a file that leaves
//! images of every partial, mirrored around the sample rate, 10 to 20 dB above those of the
//! four-point interpolators of better players. Straight lines between four times as many samples
//! leave them 24 dB lower; what remains is below a four-point interpolator's wherever it
//! is above -85 dB (measured in the tests of this module).
//!
//! Two half-band stages, each a windowed sinc: in a half-band filter every second tap is zero, so
//! the samples that were there stay what they are and only those between are computed.

use std::sync::LazyLock;

use crate::simd::{SimdKernel, dispatch};

/// New samples for each old one.
pub(super) const FACTOR: usize = 4;
/// How many samples before and after a stretch shape it.
pub(super) const CONTEXT: usize = FIRST + SECOND / 2 + 1;

/// Taps on each side in the first stage: flat to 0.42 of the sample rate, images down 81 dB.
const FIRST: usize = 16;
/// Taps on each side in the second stage, where the spectrum leaves half an octave to spare.
const SECOND: usize = 5;
/// Kaiser windows with this parameter keep the ripple below -81 dB (Kaiser 1974:
/// 0.1102 (81.3 - 8.7)).
const KAISER_BETA: f64 = 8.0;

/// The taps of both stages, worked out once.
static TAPS: LazyLock<([f32; FIRST], [f32; SECOND])> = LazyLock::new(|| (half_band(), half_band()));

/// Upsamples stretches, in the same memory.
#[derive(Debug, Default)]
pub(super) struct Upsampler {
    /// What is left of the last stretch once it was through the first stage.
    twice: Vec<f32>,
}

impl Upsampler {
    /// Sets `finer` to `samples` with three more between each and the next,
    /// `FACTOR * (samples.len() - 2 * CONTEXT)` of them: the first and last `CONTEXT` samples only
    /// shape their neighbours. Values keep their scale and may exceed it where the signal peaks
    /// between samples.
    pub(super) fn upsample(&mut self, samples: &[f32], finer: &mut Vec<f32>) {
        let (first, second) = &*TAPS;
        double(samples, first, &mut self.twice);
        // The second stage needs less context than the first has left over.
        let start = 2 * (CONTEXT + 1 - FIRST) + 1 - SECOND;
        let length = 2 * samples.len().saturating_sub(2 * CONTEXT) + 2 * SECOND - 1;
        double(self.twice.get(start..start + length).unwrap_or_default(), second, finer);
    }
}

/// A single stretch, upsampled.
pub(super) fn upsampled(samples: &[f32]) -> Vec<f32> {
    let mut finer = Vec::new();
    Upsampler::default().upsample(samples, &mut finer);
    finer
}

/// Samples worked on at once: as many as registers hold while all taps go by.
const RUN: usize = 16;

/// One stage: every sample but the outer `SIDE - 1` and, after each, the one between.
fn double<const SIDE: usize>(samples: &[f32], taps: &[f32; SIDE], doubled: &mut Vec<f32>) {
    doubled.resize(2 * samples.len().saturating_sub(2 * SIDE - 1), 0.0);
    dispatch(Doubling { samples, taps, doubled });
}

/// A stretch on its way to twice as many samples.
struct Doubling<'a, const SIDE: usize> {
    samples: &'a [f32],
    taps: &'a [f32; SIDE],
    doubled: &'a mut [f32],
}

impl<const SIDE: usize> SimdKernel for Doubling<'_, SIDE> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Doubling { samples, taps, doubled } = self;
        let (pairs, _) = doubled.as_chunks_mut::<2>();
        let (runs, rest) = pairs.as_chunks_mut::<RUN>();
        let done = runs.len() * RUN;
        for (run, pairs) in runs.iter_mut().enumerate() {
            double_run(&samples[run * RUN..][..RUN + 2 * SIDE - 1], taps, pairs);
        }
        for (at, pair) in rest.iter_mut().enumerate() {
            double_run(&samples[done + at..][..2 * SIDE], taps, std::array::from_mut(pair));
        }
    }
}

/// Sets a few samples, each with the one after it.
#[inline(always)]
fn double_run<const SIDE: usize, const COUNT: usize>(
    around: &[f32],
    taps: &[f32; SIDE],
    pairs: &mut [[f32; 2]; COUNT],
) {
    let from = |at: usize| around[at..].first_chunk().unwrap_or(&[0.0; COUNT]);
    let mut between = [0.0; COUNT];
    for (tap, weight) in taps.iter().enumerate() {
        let (before, after) = (from(SIDE - 1 - tap), from(SIDE + tap));
        for (between, (before, after)) in between.iter_mut().zip(before.iter().zip(after)) {
            *between += weight * (before + after);
        }
    }
    for (pair, (kept, between)) in pairs.iter_mut().zip(from(SIDE - 1).iter().zip(between)) {
        *pair = [*kept, between];
    }
}

/// The taps of one side that are not zero, from the middle outwards; they add up to a half.
fn half_band<const SIDE: usize>() -> [f32; SIDE] {
    let weights: [f64; SIDE] = std::array::from_fn(|tap| {
        #[expect(clippy::cast_precision_loss, reason = "some tens")]
        let (at, edge) = (tap as f64 + 0.5, SIDE as f64);
        let sinc = (std::f64::consts::PI * at).sin() / (std::f64::consts::PI * at);
        sinc * bessel_i0(KAISER_BETA * (1.0 - (at / edge).powi(2)).sqrt())
    });
    let sum: f64 = 2.0 * weights.iter().sum::<f64>();
    #[expect(clippy::cast_possible_truncation, reason = "taps below 1")]
    weights.map(|weight| (weight / sum) as f32)
}

/// The modified Bessel function of order zero, by its power series.
fn bessel_i0(x: f64) -> f64 {
    let mut term = 1.0;
    let mut sum = 1.0;
    for order in 1..32_i32 {
        term *= (x / (2.0 * f64::from(order))).powi(2);
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests;
