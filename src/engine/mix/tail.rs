//! How a take ends: in silence, not in a cut.

use super::block::BLOCK;
use crate::units::{Decibels, Frames, SampleRate, offset};

/// Below this level a sound has died away.
pub(super) const SILENT: Decibels = Decibels(-80.0);
/// Peaks after the last bar are kept in steps of this many frames.
const STEP: usize = 1024;
/// A take that still sounds this long after its last bar is faded out.
pub const LONGEST_SECONDS: u64 = 12;
/// A survey stops listening where a sound is this far under anything that a gain could raise to
/// [`SILENT`].
const FORGOTTEN: f32 = 1e-7;
/// How many silent steps in a row make an end (a quarter of a second: two strokes of slow
/// beating do not).
const STEPS_IN_SILENCE: usize = 12;

/// Hears what rings on after the last bar.
#[derive(Debug, Clone)]
pub(super) struct TailSurvey {
    /// Where the last bar ends.
    end: u64,
    longest: u64,
    /// The peak of each step after that.
    steps: Vec<f32>,
    frames_in_step: usize,
}

impl TailSurvey {
    pub(super) fn new(end: Frames, rate: SampleRate) -> TailSurvey {
        let longest = rate.seconds(LONGEST_SECONDS).0;
        TailSurvey { end: end.0, longest, steps: Vec::new(), frames_in_step: 0 }
    }

    /// Whether a block that begins at a frame reaches behind the last bar.
    pub(super) fn concerns(&self, start: u64) -> bool {
        start + BLOCK as u64 > self.end
    }

    /// Hears a block that begins at a frame of the take.
    pub(super) fn add(&mut self, start: u64, channels: [&[f32]; 2]) {
        let skip = offset(self.end.saturating_sub(start));
        let pairs = channels[0].iter().zip(channels[1]).skip(skip);
        for (left, right) in pairs {
            if self.frames_in_step == 0 {
                self.steps.push(0.0);
            }
            self.frames_in_step = (self.frames_in_step + 1) % STEP;
            if let Some(peak) = self.steps.last_mut() {
                *peak = peak.max(left.abs()).max(right.abs());
            }
        }
    }

    /// Whether nothing more can matter.
    pub(super) fn is_over(&self) -> bool {
        let heard = (self.steps.len() * STEP) as u64;
        let quiet = |peak: &f32| *peak < FORGOTTEN;
        // A step more than is given out, for the limiter's look ahead.
        heard >= self.longest + STEP as u64
            || (self.steps.len() > STEPS_IN_SILENCE
                && self.steps.iter().rev().take(STEPS_IN_SILENCE).all(quiet))
    }

    /// Where the take ends when it is given this gain, and how long its last fade is.
    pub(super) fn ending(&self, gain: f64, rate: SampleRate) -> Ending {
        let silent = SILENT.gain();
        let loud = |peak: &f32| f64::from(*peak) * gain >= silent;
        let sounding = self.steps.iter().rposition(loud).map_or(0, |last| last + 1);
        let short = u64::from(rate.hz()) / 20;
        let sounding_frames = (sounding * STEP) as u64;
        if sounding_frames >= self.longest {
            let fade = u64::from(rate.hz());
            return Ending { frames: Frames(self.end + self.longest), fade: Frames(fade) };
        }
        Ending { frames: Frames(self.end + sounding_frames + short), fade: Frames(short) }
    }
}

/// Where a take ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ending {
    /// How long it is.
    pub(super) frames: Frames,
    /// How many of its last frames are faded out.
    pub(super) fade: Frames,
}

impl Ending {
    /// Fades what lies in the fade of a block that begins at a frame, and tells whether any does.
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    #[expect(clippy::cast_precision_loss, reason = "a fade is some thousand frames")]
    pub(super) fn fade(&self, start: u64, left: &mut [f32], right: &mut [f32]) -> bool {
        let begin = self.frames.0 - self.fade.0.min(self.frames.0);
        let skip = offset(begin.saturating_sub(start));
        let reaches = skip < left.len();
        let faded = left.iter_mut().zip(right).enumerate().skip(skip);
        for (offset, (left, right)) in faded {
            let into = (start + offset as u64 + 1).saturating_sub(begin);
            let turn = (into as f64 / self.fade.0 as f64).min(1.0) * std::f64::consts::PI;
            let gain = (0.5 + 0.5 * turn.cos()) as f32;
            *left *= gain;
            *right *= gain;
        }
        reaches
    }
}
