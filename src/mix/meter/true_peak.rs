//! True peak: the highest point of the waveform between the samples, by fourfold oversampling
//! (ITU-R BS.1770 Annex 2).
//!
//! Interpolating every frame would cost more than all the rest of a mix. But an interpolated point
//! cannot exceed the largest sample under the filter by more than a fixed factor, nor by more than
//! the waveform bends there. So a stretch whose samples are far enough below what matters is passed
//! over, and one that is smooth enough. That changes no result.

use std::f64::consts::PI;
use std::ops::Range;

use crate::lanes::{Lanes, widest};

/// Oversampling factor of BS.1770 at these rates.
const FACTOR: usize = 4;
/// Length of the interpolation filter, a sinc under a Hann window.
const TAPS: usize = 49;
/// Frames under one phase of the filter.
const SPAN: usize = 12;
/// Frames needed before the first frame of a stretch.
const HISTORY: usize = SPAN - 1;
/// How many frames after a sample must be known before its neighbourhood can be interpolated.
pub(in crate::mix) const LOOKAHEAD: usize = 6;
/// Frames that are judged together.
const STRETCH: usize = 64;
/// The same at a second look.
const PASSAGE: usize = 16;
/// The samples that a stretch's peaks follow from.
const UNDER: usize = STRETCH + HISTORY;

/// The three phases between the samples; the fourth is the samples themselves.
#[derive(Debug, Clone)]
struct Interpolator {
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
    fn new() -> Interpolator {
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
    fn may_exceed(&self, samples: &[f32], threshold: f32) -> bool {
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
    fn raise(&self, samples: &[f32; UNDER], threshold: f32, peaks: &mut [f32; STRETCH]) {
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
fn raise(peak: &mut f32, value: f32) {
    if value > *peak {
        *peak = value;
    }
}

/// The largest absolute value; not-a-numbers are passed over.
#[inline(always)]
fn largest(samples: &[f32]) -> f32 {
    let mut lanes = [0.0_f32; 8];
    let eights = samples.chunks_exact(8);
    for sample in eights.remainder() {
        raise(&mut lanes[0], sample.abs());
    }
    for eight in eights {
        for (lane, sample) in lanes.iter_mut().zip(eight) {
            raise(lane, sample.abs());
        }
    }
    lanes.iter().fold(0.0, |most, lane| if *lane > most { *lane } else { most })
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

/// The samples under a stretch of a block: in the block, or pieced together where it begins or
/// ends in between.
#[inline(always)]
fn under<'a>(
    block: &'a [f32],
    history: &[f32; HISTORY],
    stretch: Range<usize>,
    piece: &'a mut [f32; UNDER],
) -> &'a [f32; UNDER] {
    let from = stretch.start.checked_sub(HISTORY);
    let whole = from.and_then(|from| block.get(from..from + UNDER));
    if let Some(whole) = whole.and_then(|whole| whole.try_into().ok()) {
        return whole;
    }
    let known = history.iter().chain(block).skip(stretch.start);
    for (to, sample) in piece.iter_mut().zip(known.take(HISTORY + stretch.len())) {
        *to = *sample;
    }
    piece
}

/// Finds the stretches of a stereo signal whose true peak may exceed a threshold.
#[derive(Debug, Clone)]
pub(in crate::mix) struct Detector {
    interpolator: Interpolator,
    /// The last frames of each channel.
    history: [[f32; HISTORY]; 2],
}

impl Detector {
    pub(in crate::mix) fn new() -> Detector {
        Detector { interpolator: Interpolator::new(), history: [[0.0; HISTORY]; 2] }
    }

    /// Goes through a block in stretches of at most 64 frames and tells each one's true peaks,
    /// frame by frame, or `None` where none of them exceeds `threshold` as it stands then; a
    /// single peak that does not exceed it may be told as 0. The peaks are those of the waveform
    /// from [`LOOKAHEAD`] frames ago to the frame after.
    pub(in crate::mix) fn scan(
        &mut self,
        left: &[f32],
        right: &[f32],
        threshold: f32,
        tell: impl FnMut(usize, Option<&[f32]>) -> f32,
    ) {
        widest(Scan { detector: self, block: [left, right], threshold, tell });
        for (history, block) in self.history.iter_mut().zip([left, right]) {
            let newest = block.len().min(HISTORY);
            history.copy_within(newest.., 0);
            history[HISTORY - newest..].copy_from_slice(&block[block.len() - newest..]);
        }
    }
}

/// A block to be gone through.
struct Scan<'a, Tell> {
    detector: &'a Detector,
    block: [&'a [f32]; 2],
    threshold: f32,
    tell: Tell,
}

impl<Tell: FnMut(usize, Option<&[f32]>) -> f32> Lanes for Scan<'_, Tell> {
    type Output = ();

    #[inline(always)]
    fn work(self) {
        let Scan { detector, block, mut threshold, mut tell } = self;
        let frames = block[0].len().min(block[1].len());
        let mut start = 0;
        while start < frames {
            let length = STRETCH.min(frames - start);
            let mut pieces = [[0.0; UNDER]; 2];
            let [left_piece, right_piece] = &mut pieces;
            let stretch = start..start + length;
            let left = under(block[0], &detector.history[0], stretch.clone(), left_piece);
            let right = under(block[1], &detector.history[1], stretch, right_piece);
            let may_exceed = |side| detector.interpolator.may_exceed(side, threshold);
            threshold = if may_exceed(left) || may_exceed(right) {
                let mut peaks = [0.0; STRETCH];
                detector.interpolator.raise(left, threshold, &mut peaks);
                detector.interpolator.raise(right, threshold, &mut peaks);
                tell(length, Some(&peaks[..length]))
            } else {
                tell(length, None)
            };
            start += length;
        }
    }
}

/// Measures the true peak of a stereo signal as it goes by.
#[derive(Debug, Clone)]
pub struct TruePeakMeter {
    detector: Detector,
    peak: f32,
}

impl Default for TruePeakMeter {
    fn default() -> TruePeakMeter {
        TruePeakMeter::new()
    }
}

impl TruePeakMeter {
    /// A meter that has heard nothing yet.
    #[must_use]
    pub fn new() -> TruePeakMeter {
        TruePeakMeter { detector: Detector::new(), peak: 0.0 }
    }

    /// Hears the next frames; how the signal is cut into blocks changes nothing.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        let mut peak = self.peak;
        self.detector.scan(left, right, peak, |_, peaks| {
            for value in peaks.unwrap_or_default() {
                raise(&mut peak, *value);
            }
            peak
        });
        self.peak = peak;
    }

    /// The highest point so far as an amplitude, full scale being 1. Frames newer than six need
    /// what follows them: end with [`TruePeakMeter::finish`].
    #[must_use]
    pub fn peak(&self) -> f32 {
        self.peak
    }

    /// Hears silence after the end and answers the peak.
    pub fn finish(&mut self) -> f32 {
        self.add(&[0.0; SPAN], &[0.0; SPAN]);
        self.peak
    }
}

#[cfg(test)]
#[expect(clippy::cast_possible_truncation, clippy::cast_precision_loss, reason = "small numbers")]
mod tests {
    use super::*;
    use crate::random::Stream;

    /// Tones of all pitches, some smooth and some with noise on top.
    #[test]
    fn no_stretch_that_is_passed_over_has_the_peak() {
        let mut stream = Stream::named(11, &[&"true peak"]);
        for _ in 0..300 {
            let (turn, noise) = (3.1 * stream.unit().powi(3), stream.unit().powi(4));
            let (swell, start) = (20.0 * stream.unit(), 6.0 * stream.unit());
            let side: Vec<f32> = (0..3_000)
                .map(|frame| {
                    let at = f64::from(frame);
                    let tone = (start + at * turn).sin() * (at / 3_000.0 * swell).sin();
                    (tone + noise * (2.0 * stream.unit() - 1.0)) as f32
                })
                .collect();
            let mut meter = TruePeakMeter::new();
            for block in side.chunks(700) {
                meter.add(block, block);
            }
            let mut everywhere = 0.0_f32;
            Detector::new().scan(&side, &side, -1.0, |_, peaks| {
                peaks.unwrap().iter().for_each(|peak| raise(&mut everywhere, *peak));
                -1.0
            });
            assert_eq!(meter.peak().to_bits(), everywhere.to_bits(), "turn {turn}, noise {noise}");
        }
    }

    /// The bound on smooth stretches is of use: a slow tone is bounded closely.
    #[test]
    fn a_slow_tone_is_known_to_have_no_high_peak() {
        let slow: Vec<f32> = (0..75).map(|frame| (frame as f32 * 0.06).sin()).collect();
        assert!(!Interpolator::new().may_exceed(&slow, 1.02));
        assert!(Interpolator::new().may_exceed(&slow, 0.99));
    }
}
