//! A look-ahead limiter for true peaks.
//!
//! Its gain bends down in time for a peak, reaches what the peak needs exactly there, and comes
//! back slowly. Away from peaks the signal passes unchanged, bit by bit.

mod curve;

use super::meter::{Detector, INTERPOLATOR_LOOKAHEAD};
use crate::simd::largest;
use crate::units::{Decibels, Frames};
use curve::{ATTACK, GainCurve};

/// How much later the limiter gives out what it takes in: the attack, and what the interpolation
/// of true peaks needs to see.
pub const LATENCY: Frames = Frames(DELAY as u64);
pub(super) const DELAY: usize = ATTACK + INTERPOLATOR_LOOKAHEAD;

/// Reductions of less than 0.1 dB, the end of every recovery, are not counted as limiting.
const COUNTED: f32 = 0.988_55;

/// Keeps the true peak of a stereo signal under a ceiling.
#[derive(Debug, Clone)]
pub struct Limiter {
    ceiling: f32,
    detector: Detector,
    curve: GainCurve,
    delay: StereoDelay,
    /// The gain of each frame of the block at hand; empty where all of them are 1.
    gains: Vec<f32>,
    deepest: f32,
    counted: u64,
}

/// What a limiter did.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LimiterReport {
    /// The deepest reduction in decibels, 0 or more.
    pub deepest: Decibels,
    /// Frames that were reduced by 0.1 dB or more.
    pub frames: Frames,
}

/// The true peaks that a limiter found in a block before it limited it, as amplitudes: of what comes
/// out with that block, and of its end, which comes out with the next one.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Scanned {
    pub(super) now: f32,
    pub(super) later: f32,
}

impl Limiter {
    /// A limiter with a ceiling in dBTP.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    pub fn new(ceiling: Decibels) -> Limiter {
        Limiter {
            ceiling: ceiling.gain() as f32,
            detector: Detector::new(),
            curve: GainCurve::new(),
            delay: StereoDelay::new(),
            gains: Vec::new(),
            deepest: 1.0,
            counted: 0,
        }
    }

    /// Limits a block in place. What comes out is what went in [`LATENCY`] frames before; how the
    /// signal is cut into blocks changes nothing.
    pub fn limit(&mut self, left: &mut [f32], right: &mut [f32]) {
        self.limit_and_tell(left, right, self.ceiling);
    }

    /// Limits a block and tells what it found, where that is above `above` or the ceiling.
    pub(super) fn limit_and_tell(
        &mut self,
        left: &mut [f32],
        right: &mut [f32],
        above: f32,
    ) -> Scanned {
        let scanned = self.follow(left, right, above);
        self.delay.pass(left, right);
        multiply(left, &self.gains);
        multiply(right, &self.gains);
        scanned
    }

    /// Whether it changed anything in the last block.
    pub(super) fn has_limited(&self) -> bool {
        !self.gains.is_empty()
    }

    /// A companion that has heard what the limiter has.
    #[must_use]
    pub(super) fn companion(&self) -> Companion {
        Companion { delay: self.delay.clone() }
    }

    /// What the limiter did so far.
    #[must_use]
    pub fn report(&self) -> LimiterReport {
        let deepest = -Decibels::of(f64::from(self.deepest));
        LimiterReport { deepest: Decibels(deepest.0.max(0.0)), frames: Frames(self.counted) }
    }

    /// Finds the gains for a block.
    fn follow(&mut self, left: &[f32], right: &[f32], above: f32) -> Scanned {
        let Limiter { detector, curve, gains, ceiling, .. } = self;
        let ceiling = *ceiling;
        gains.clear();
        let (mut passed, mut scanned) = (0, Scanned::default());
        let now = left.len().saturating_sub(DELAY);
        let mut threshold = ceiling.min(above);
        detector.scan(left, right, threshold, |frames, peaks| {
            if let Some(peaks) = peaks {
                let (sooner, later) = peaks.split_at(now.saturating_sub(passed).min(frames));
                scanned.now = scanned.now.max(largest(sooner));
                scanned.later = scanned.later.max(largest(later));
                threshold = threshold.max(scanned.now).max(scanned.later).min(ceiling);
            }
            let over = peaks.filter(|peaks| largest(peaks) > ceiling);
            if over.is_none() && curve.is_idle() {
                curve.idle(frames);
                if !gains.is_empty() {
                    gains.resize(passed + frames, 1.0);
                }
            } else {
                gains.resize(passed, 1.0);
                let needed = |frame: usize| match over {
                    Some(peaks) if peaks[frame] > ceiling => ceiling / peaks[frame],
                    _ => 1.0,
                };
                gains.extend((0..frames).map(|frame| curve.next(needed(frame))));
            }
            passed += frames;
            threshold
        });
        for gain in &self.gains {
            self.counted += u64::from(*gain <= COUNTED);
            self.deepest = if *gain < self.deepest { *gain } else { self.deepest };
        }
        scanned
    }
}

/// Gives a share of the limited sum the share's part in the result: the same delay, the same
/// gains.
#[derive(Debug, Clone)]
pub(super) struct Companion {
    delay: StereoDelay,
}

impl Companion {
    /// Treats a block as the limiter treated the block that it has limited last.
    pub(super) fn follow(&mut self, limiter: &Limiter, left: &mut [f32], right: &mut [f32]) {
        self.delay.pass(left, right);
        multiply(left, &limiter.gains);
        multiply(right, &limiter.gains);
    }
}

fn multiply(block: &mut [f32], gains: &[f32]) {
    for (sample, gain) in block.iter_mut().zip(gains) {
        *sample *= gain;
    }
}

/// A delay line of [`LATENCY`] frames.
#[derive(Debug, Clone)]
struct StereoDelay {
    left: [f32; DELAY],
    right: [f32; DELAY],
}

impl StereoDelay {
    fn new() -> StereoDelay {
        StereoDelay { left: [0.0; DELAY], right: [0.0; DELAY] }
    }

    fn pass(&mut self, left: &mut [f32], right: &mut [f32]) {
        pass(&mut self.left, left);
        pass(&mut self.right, right);
    }
}

fn pass(waiting: &mut [f32; DELAY], block: &mut [f32]) {
    if block.len() < waiting.len() {
        // What waits longest goes out, the block takes its turn at the end.
        let frames = block.len();
        waiting[..frames].swap_with_slice(block);
        waiting.rotate_left(frames);
        return;
    }
    let kept = block.len() - DELAY;
    let mut newest = [0.0; DELAY];
    newest.copy_from_slice(&block[kept..]);
    block.copy_within(..kept, DELAY);
    block[..DELAY].copy_from_slice(waiting);
    waiting.copy_from_slice(&newest);
}

#[cfg(test)]
#[expect(clippy::cast_precision_loss, clippy::cast_possible_truncation, reason = "small numbers")]
mod tests {
    use super::*;
    use crate::random::Stream;

    const CEILING: Decibels = Decibels(-1.1);

    /// Bursts of noise and tones of all pitches, far over full scale in places.
    fn loud(frames: usize) -> [Vec<f32>; 2] {
        let mut stream = Stream::named(5, &[&"limiter"]);
        let mut channels = [vec![0.0_f32; frames], vec![0.0_f32; frames]];
        for _ in 0..frames / 3_000 {
            let (start, turn) = (stream.below(frames), 0.02 + 2.5 * stream.unit());
            let (gain, noise) = (1.5 * stream.unit(), stream.unit());
            for channel in &mut channels {
                for (age, sample) in channel[start..].iter_mut().take(4_000).enumerate() {
                    let tone = (age as f64 * turn).sin() + noise * (2.0 * stream.unit() - 1.0);
                    *sample += (gain * (-(age as f64) / 900.0).exp() * tone) as f32;
                }
            }
        }
        channels
    }

    fn limited(input: &[Vec<f32>; 2], block: usize) -> ([Vec<f32>; 2], LimiterReport) {
        let (mut limiter, mut output) = (Limiter::new(CEILING), input.clone());
        let [left, right] = &mut output;
        for (left, right) in left.chunks_mut(block).zip(right.chunks_mut(block)) {
            limiter.limit(left, right);
        }
        (output, limiter.report())
    }

    /// By the `ebur128` library, whose filter is as long as ours; and with an overshoot of 0.1 dB
    /// allowed, the room that is left to -1 dBTP.
    #[test]
    fn no_true_peak_exceeds_the_ceiling() {
        let ([left, right], report) = limited(&loud(200_000), 4096);
        let mut meter = ebur128::EbuR128::new(2, 44_100, ebur128::Mode::TRUE_PEAK).unwrap();
        meter.add_frames_planar_f32(&[&left, &right]).unwrap();
        for channel in 0..2 {
            let peak = 20.0 * meter.true_peak(channel).unwrap().log10();
            assert!(peak <= CEILING.0 + 0.1, "{peak} dBTP");
        }
        assert!(report.deepest > Decibels(3.0) && report.frames > Frames::ZERO);
    }

    #[test]
    fn what_is_not_too_loud_passes_unchanged() {
        let soft = loud(50_000).map(|channel| channel.iter().map(|sample| sample * 0.05).collect());
        let ([left, _], report) = limited(&soft, 1_000);
        assert_eq!(left[DELAY..], soft[0][..50_000 - DELAY]);
        assert!(left[..DELAY].iter().all(|sample| sample.to_bits() == 0));
        assert_eq!(report, LimiterReport::default());
    }

    #[test]
    fn blocks_of_any_length_give_the_same_as_the_whole() {
        let input = loud(30_000);
        let whole = limited(&input, 30_000);
        for block in [1, 5, 63, 64, 65, 4096] {
            assert_eq!(limited(&input, block), whole, "blocks of {block}");
        }
    }

    #[test]
    fn companions_of_the_shares_sum_to_the_limited_sum() {
        let (input, mut limiter) = (loud(20_000), Limiter::new(CEILING));
        let share =
            |part: f32| input.clone().map(|channel| channel.iter().map(|s| s * part).collect());
        let mut shares: [[Vec<f32>; 2]; 2] = [share(0.25), share(0.75)];
        let mut companions = [limiter.companion(), limiter.companion()];
        let [mut left, mut right] = input.clone();
        for at in (0..20_000).step_by(500) {
            let block = at..at + 500;
            limiter.limit(&mut left[block.clone()], &mut right[block.clone()]);
            for (companion, [left, right]) in companions.iter_mut().zip(&mut shares) {
                companion.follow(&limiter, &mut left[block.clone()], &mut right[block.clone()]);
            }
        }
        for (frame, sample) in left.iter().enumerate() {
            let sum = shares[0][0][frame] + shares[1][0][frame];
            assert!((sum - sample).abs() < 1e-6, "frame {frame}");
        }
    }
}
