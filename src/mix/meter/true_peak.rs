//! True peak: the highest point of the waveform between the samples, by fourfold oversampling
//! (ITU-R BS.1770 Annex 2).
//!
//! Interpolating every frame would cost more than all the rest of a mix. But no interpolated
//! point can exceed the largest sample under the filter by more than a fixed factor, so a stretch
//! whose samples are far enough below what matters is passed over. That changes no result.

use std::f64::consts::PI;

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

    /// The true peak around each frame: `samples` holds [`HISTORY`] frames more than `peaks`, and
    /// peak `n` is that of the waveform from sample `n + 5` up to its successor. Adds to `peaks`
    /// by maximum, so that two channels share it.
    fn raise(&self, samples: &[f32], peaks: &mut [f32]) {
        for (frame, peak) in peaks.iter_mut().enumerate() {
            raise(peak, samples[frame + HISTORY - LOOKAHEAD].abs());
        }
        for taps in &self.phases {
            let mut points = [0.0_f32; STRETCH];
            let points = &mut points[..peaks.len()];
            for (delay, weight) in taps.iter().enumerate() {
                let delayed = &samples[HISTORY - delay..][..points.len()];
                for (point, sample) in points.iter_mut().zip(delayed) {
                    *point += weight * sample;
                }
            }
            for (peak, point) in peaks.iter_mut().zip(points.iter()) {
                raise(peak, point.abs());
            }
        }
    }
}

fn raise(peak: &mut f32, value: f32) {
    if value > *peak {
        *peak = value;
    }
}

/// The largest absolute value; not-a-numbers are passed over.
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

/// Finds the stretches of a stereo signal whose true peak may exceed a threshold.
#[derive(Debug, Clone)]
pub(in crate::mix) struct Detector {
    interpolator: Interpolator,
    /// The last [`HISTORY`] frames, then the block at hand.
    channels: [Vec<f32>; 2],
}

impl Detector {
    pub(in crate::mix) fn new() -> Detector {
        Detector {
            interpolator: Interpolator::new(),
            channels: [vec![0.0; HISTORY], vec![0.0; HISTORY]],
        }
    }

    /// Goes through a block in stretches of at most 64 frames and tells each one's true peaks,
    /// frame by frame, or `None` where none of them exceeds `threshold` as it stands then. The
    /// peaks are those of the waveform from [`LOOKAHEAD`] frames ago to the frame after.
    pub(in crate::mix) fn scan(
        &mut self,
        left: &[f32],
        right: &[f32],
        mut threshold: f32,
        mut tell: impl FnMut(usize, Option<&[f32]>) -> f32,
    ) {
        for (channel, block) in self.channels.iter_mut().zip([left, right]) {
            channel.extend_from_slice(block);
        }
        let [left, right] = &self.channels;
        let frames = left.len() - HISTORY;
        let mut start = 0;
        while start < frames {
            let length = STRETCH.min(frames - start);
            let under = start..start + length + HISTORY;
            let (left, right) = (&left[under.clone()], &right[under]);
            let bound = self.interpolator.overshoot;
            threshold = if largest(left) * bound > threshold || largest(right) * bound > threshold {
                let mut peaks = [0.0; STRETCH];
                let peaks = &mut peaks[..length];
                self.interpolator.raise(left, peaks);
                self.interpolator.raise(right, peaks);
                tell(length, Some(peaks))
            } else {
                tell(length, None)
            };
            start += length;
        }
        for channel in &mut self.channels {
            channel.drain(..frames);
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
