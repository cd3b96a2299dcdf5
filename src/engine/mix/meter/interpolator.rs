//! The points of a waveform between its samples, and what they cannot exceed.
//!
//! An interpolated point cannot exceed the largest sample under the filter by more than a fixed
//! factor, nor by more than the waveform bends there.

use std::f64::consts::PI;

use crate::simd::largest;

/// Oversampling factor of BS.1770 at these rates.
const FACTOR: usize = 4;
/// Length of the interpolation filter, a sinc under a Hann window.
const TAPS: usize = 49;
/// Frames under one phase of the filter.
pub(super) const SPAN: usize = 12;
/// Frames needed before the first frame of a stretch.
pub(super) const HISTORY: usize = SPAN - 1;
/// How many frames after a sample must be known before its neighbourhood can be interpolated.
pub(in crate::mix) const LOOKAHEAD: usize = 6;
/// Frames that are judged together.
pub(super) const STRETCH: usize = 64;
/// The same at a second look.
const PASSAGE: usize = 16;
/// The samples that a stretch's peaks follow from.
pub(super) const UNDER: usize = STRETCH + HISTORY;

/// The three phases between the samples; the fourth is the samples themselves.
#[derive(Debug, Clone)]
pub(super) struct Interpolator {
    phases: [[f32; SPAN]; FACTOR - 1],
    /// No interpolated point exceeds this many times the largest sample under the filter.
    overshoot: f32,
    smooth: SmoothBound,
}

/// No interpolated point exceeds `samples` times the largest sample under the filter plus `bends`
/// times the largest second difference there.
///
/// A phase of the filter is two weights on the middle samples, with the sum and the centre of
/// gravity of the whole phase, and a rest that has neither: the rest is another filter on second
/// differences.
#[derive(Debug, Clone, Copy, Default)]
struct SmoothBound {
    samples: f32,
    bends: f32,
}

impl SmoothBound {
    fn of(taps: &[f32; SPAN]) -> SmoothBound {
        // Places are counted from the first of the two middle samples.
        let middle = SPAN / 2 - 1;
        let (mut sum, mut moment, mut place) = (0.0, 0.0, -(middle as f32));
        for weight in taps {
            sum += weight;
            moment += place * weight;
            place += 1.0;
        }
        let [first, second] = [sum - moment, moment];
        let mut rest = *taps;
        rest[middle] -= first;
        rest[middle + 1] -= second;
        let (mut once, mut twice, mut bends) = (0.0, 0.0, 0.0_f32);
        for weight in rest {
            once += weight;
            twice += once;
            bends += f32::abs(twice);
        }
        SmoothBound { samples: f32::abs(first) + f32::abs(second), bends }
    }

    /// One that holds for both.
    fn and(self, other: SmoothBound) -> SmoothBound {
        SmoothBound { samples: self.samples.max(other.samples), bends: self.bends.max(other.bends) }
    }
}

impl Interpolator {
    #[expect(clippy::cast_precision_loss, reason = "the filter has 49 taps")]
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub(super) fn new() -> Interpolator {
        let middle = (TAPS / 2) as f64;
        let tap = |index: usize| {
            let turn = (index as f64 - middle) * PI / FACTOR as f64;
            let sinc = if index == TAPS / 2 { 1.0 } else { turn.sin() / turn };
            let window = 0.5 * (1.0 - (2.0 * PI * index as f64 / (TAPS - 1) as f64).cos());
            (sinc * window) as f32
        };
        let mut phases = [[0.0; SPAN]; FACTOR - 1];
        for (phase, taps) in phases.iter_mut().enumerate() {
            for (frame, weight) in taps.iter_mut().enumerate() {
                *weight = tap(FACTOR * frame + phase + 1);
            }
        }
        let sum = |taps: &[f32; SPAN]| taps.iter().map(|weight| weight.abs()).sum::<f32>();
        let largest = phases.iter().map(sum).fold(1.0, f32::max);
        let smooth =
            phases.iter().map(SmoothBound::of).fold(SmoothBound::default(), SmoothBound::and);
        Interpolator { phases, overshoot: largest, smooth }
    }

    /// Whether a point between these samples may exceed the threshold.
    #[inline(always)]
    pub(super) fn may_exceed(&self, samples: &[f32], threshold: f32) -> bool {
        // A little more than the bounds, for the rounding of single precision.
        const ROUNDING: f32 = 1.000_1;
        let largest = largest(samples) * ROUNDING;
        largest * self.overshoot > threshold
            && largest * self.smooth.samples + largest_bend(samples) * self.smooth.bends * ROUNDING
                > threshold
    }

    /// The true peaks of a stretch: peak `n` is that of the waveform from sample `n + 5` up to its
    /// successor. Adds to `peaks` by maximum, so that two channels share it, and passes over
    /// [`PASSAGE`]s that cannot exceed the threshold.
    #[inline(always)]
    pub(super) fn raise(&self, samples: &[f32; UNDER], threshold: f32, peaks: &mut [f32; STRETCH]) {
        let (passages, _) = peaks.as_chunks_mut::<PASSAGE>();
        for (passage, peaks) in passages.iter_mut().enumerate() {
            let under = &samples[passage * PASSAGE..][..PASSAGE + HISTORY];
            if !self.may_exceed(under, threshold) {
                continue;
            }
            let mut points = [[0.0_f32; PASSAGE]; FACTOR - 1];
            for delay in 0..SPAN {
                let delayed = &under[HISTORY - delay..][..PASSAGE];
                for (points, taps) in points.iter_mut().zip(&self.phases) {
                    for (point, sample) in points.iter_mut().zip(delayed) {
                        *point += taps[delay] * sample;
                    }
                }
            }
            for (peak, sample) in peaks.iter_mut().zip(&under[HISTORY - LOOKAHEAD..]) {
                raise(peak, sample.abs());
            }
            for points in &points {
                for (peak, point) in peaks.iter_mut().zip(points) {
                    raise(peak, point.abs());
                }
            }
        }
    }
}

#[inline(always)]
pub(super) fn raise(peak: &mut f32, value: f32) {
    if value > *peak {
        *peak = value;
    }
}

/// The largest absolute second difference; not-a-numbers are passed over.
#[inline(always)]
fn largest_bend(samples: &[f32]) -> f32 {
    let mut lanes = [0.0_f32; 8];
    let later = samples.get(1..).unwrap_or_default().chunks(8);
    let latest = samples.get(2..).unwrap_or_default().chunks(8);
    for ((first, second), third) in samples.chunks(8).zip(later).zip(latest) {
        for (((lane, first), second), third) in lanes.iter_mut().zip(first).zip(second).zip(third) {
            raise(lane, ((third - second) - (second - first)).abs());
        }
    }
    lanes.iter().fold(0.0, |most, lane| if *lane > most { *lane } else { most })
}

#[cfg(test)]
#[expect(clippy::cast_precision_loss, reason = "small numbers")]
mod tests {
    use super::*;

    /// The bound on smooth stretches is of use: a slow tone is bounded closely.
    #[test]
    fn a_slow_tone_is_known_to_have_no_high_peak() {
        let slow: Vec<f32> = (0..75).map(|frame| (frame as f32 * 0.06).sin()).collect();
        assert!(!Interpolator::new().may_exceed(&slow, 1.02));
        assert!(Interpolator::new().may_exceed(&slow, 0.99));
    }
}
