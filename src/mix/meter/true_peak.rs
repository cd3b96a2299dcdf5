//! True peak: the highest point of the waveform between the samples, by fourfold oversampling
//! (ITU-R BS.1770 Annex 2).
//!
//! Interpolating every frame would cost more than all the rest of a mix. But no interpolated
//! point can exceed the largest sample under the filter by more than a fixed factor, so a stretch
//! whose samples are far enough below what matters is passed over. That changes no result.

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
        // A little more, for the rounding of single precision.
        Interpolator { phases, overshoot: largest * 1.000_1 }
    }

    /// The true peaks of a stretch: peak `n` is that of the waveform from sample `n + 5` up to its
    /// successor. Adds to `peaks` by maximum, so that two channels share it, and passes over
    /// [`PASSAGE`]s that cannot exceed the threshold.
    #[inline(always)]
    fn raise(&self, samples: &[f32; UNDER], threshold: f32, peaks: &mut [f32; STRETCH]) {
        let (passages, _) = peaks.as_chunks_mut::<PASSAGE>();
        for (passage, peaks) in passages.iter_mut().enumerate() {
            let under = &samples[passage * PASSAGE..][..PASSAGE + HISTORY];
            if largest(under) * self.overshoot <= threshold {
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
            let bound = detector.interpolator.overshoot;
            threshold = if largest(left) * bound > threshold || largest(right) * bound > threshold {
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
