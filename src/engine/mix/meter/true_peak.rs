//! True peak: the highest point of the waveform between the samples, by fourfold oversampling
//! (ITU-R BS.1770 Annex 2).
//!
//! Interpolating every frame would cost more than all the rest of a mix. But an interpolated point
//! cannot exceed the largest sample under the filter by more than a fixed factor, nor by more than
//! the waveform bends there. So a stretch whose samples are far enough below what matters is passed
//! over, and one that is smooth enough. That changes no result.

use std::ops::Range;

use super::interpolator::{HISTORY, Interpolator, SPAN, STRETCH, UNDER, raise};
use crate::simd::{SimdKernel, dispatch};

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
    /// from [`super::INTERPOLATOR_LOOKAHEAD`] frames ago to the frame after.
    pub(in crate::mix) fn scan(
        &mut self,
        left: &[f32],
        right: &[f32],
        threshold: f32,
        tell: impl FnMut(usize, Option<&[f32]>) -> f32,
    ) {
        dispatch(Scan { detector: self, block: [left, right], threshold, tell });
        self.pass_over(left, right);
    }

    /// Goes through a block without a look at it.
    fn pass_over(&mut self, left: &[f32], right: &[f32]) {
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

impl<Tell: FnMut(usize, Option<&[f32]>) -> f32> SimdKernel for Scan<'_, Tell> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
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

    /// Passes over the next frames, whose peak is known to be no higher than what it was raised to.
    pub(in crate::mix) fn pass_over(&mut self, left: &[f32], right: &[f32]) {
        self.detector.pass_over(left, right);
    }

    /// Raises the peak to one that was found elsewhere.
    pub(in crate::mix) fn raise(&mut self, peak: f32) {
        raise(&mut self.peak, peak);
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
#[expect(clippy::cast_possible_truncation, reason = "small numbers")]
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
}
