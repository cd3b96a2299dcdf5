//! A look-ahead limiter for true peaks.
//!
//! Its gain bends down in time for a peak, reaches what the peak needs exactly there, and comes
//! back slowly. Away from peaks the signal passes unchanged, bit by bit.

mod curve;

use super::meter::{Detector, INTERPOLATOR_LOOKAHEAD};
use crate::units::{Decibels, Frames};
use curve::{ATTACK, GainCurve};

/// How much later the limiter gives out what it takes in: the attack, and what the interpolation
/// of true peaks needs to see.
pub const LATENCY: Frames = Frames((ATTACK + INTERPOLATOR_LOOKAHEAD) as u64);
const DELAY: usize = ATTACK + INTERPOLATOR_LOOKAHEAD;

/// Keeps the true peak of a stereo signal under a ceiling.
#[derive(Debug, Clone)]
pub struct Limiter {
    ceiling: f32,
    detector: Detector,
    curve: GainCurve,
    signal: [Delay; 2],
    companion: [Delay; 2],
    /// The gain of each frame of the block at hand; empty where all of them are 1.
    gains: Vec<f32>,
    report: LimiterReport,
}

/// What a limiter did.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LimiterReport {
    /// The deepest reduction in decibels, 0 or more.
    pub deepest: Decibels,
    /// Frames that were reduced by more than 0.01 dB.
    pub frames: Frames,
}

/// Reductions up to 0.01 dB are not counted as limiting.
const COUNTED: f32 = 0.998_85;

impl Limiter {
    /// A limiter with a ceiling in dBTP.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub fn new(ceiling: Decibels) -> Limiter {
        Limiter {
            ceiling: ceiling.gain() as f32,
            detector: Detector::new(),
            curve: GainCurve::new(),
            signal: [Delay::new(), Delay::new()],
            companion: [Delay::new(), Delay::new()],
            gains: Vec::new(),
            report: LimiterReport::default(),
        }
    }

    /// Limits a block in place. What comes out is what went in [`LATENCY`] frames before; how the
    /// signal is cut into blocks changes nothing.
    pub fn limit(&mut self, left: &mut [f32], right: &mut [f32]) {
        self.follow(left, right);
        let [left_delay, right_delay] = &mut self.signal;
        for (delay, block) in [(left_delay, left), (right_delay, right)] {
            delay.pass(block);
            multiply(block, &self.gains);
        }
    }

    /// Gives a companion signal of the same length the delay and the gains of the block that was
    /// limited last: a share of the sum gets the share's part in the result.
    pub fn accompany(&mut self, left: &mut [f32], right: &mut [f32]) {
        let [left_delay, right_delay] = &mut self.companion;
        for (delay, block) in [(left_delay, left), (right_delay, right)] {
            delay.pass(block);
            multiply(block, &self.gains);
        }
    }

    /// What the limiter did so far.
    #[must_use]
    pub fn report(&self) -> LimiterReport {
        self.report
    }

    fn follow(&mut self, left: &[f32], right: &[f32]) {
        let Limiter { detector, curve, gains, ceiling, report, .. } = self;
        let ceiling = *ceiling;
        gains.clear();
        let mut passed = 0;
        detector.scan(left, right, ceiling, |frames, peaks| {
            let over = peaks.filter(|peaks| peaks.iter().any(|peak| *peak > ceiling));
            if over.is_none() && curve.is_idle() {
                curve.idle(frames);
                if !gains.is_empty() {
                    gains.resize(gains.len() + frames, 1.0);
                }
            } else {
                gains.resize(passed, 1.0);
                let needed = |frame: usize| match over {
                    Some(peaks) if peaks[frame] > ceiling => ceiling / peaks[frame],
                    _ => 1.0,
                };
                gains.extend((0..frames).map(|frame| curve.next(needed(frame))));
                report.count(&gains[passed..]);
            }
            passed += frames;
            ceiling
        });
    }
}

impl LimiterReport {
    fn count(&mut self, gains: &[f32]) {
        for gain in gains.iter().filter(|gain| **gain < COUNTED) {
            self.frames = self.frames + Frames(1);
            let reduction = -Decibels::of(f64::from(*gain));
            if reduction > self.deepest {
                self.deepest = reduction;
            }
        }
    }
}

fn multiply(block: &mut [f32], gains: &[f32]) {
    for (sample, gain) in block.iter_mut().zip(gains) {
        *sample *= gain;
    }
}

/// A delay line of [`LATENCY`] frames.
#[derive(Debug, Clone)]
struct Delay {
    waiting: Vec<f32>,
}

impl Delay {
    fn new() -> Delay {
        Delay { waiting: vec![0.0; DELAY] }
    }

    fn pass(&mut self, block: &mut [f32]) {
        let frames = block.len();
        self.waiting.extend_from_slice(block);
        block.copy_from_slice(&self.waiting[..frames]);
        self.waiting.drain(..frames);
    }
}
