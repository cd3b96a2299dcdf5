//! From the gain that every frame needs to a smooth one that is never above it.

use std::collections::VecDeque;

/// Length of each of the two averages that smooth the gain, in frames: a power of two, and two in
/// a row, so that the bend has no corner at either end.
const AVERAGED: usize = 32;
/// How long before a peak the gain begins to bend, in frames: 1.4 ms. Shorter is heard as a
/// click, longer dulls the attack (common practice: 1 to 5 ms).
pub(super) const ATTACK: usize = 2 * (AVERAGED - 1);
/// A frame's need holds from `ATTACK` frames before it, for the averages to come down to it in
/// time, to one frame after it, since the waveform up to the next sample is this frame's.
const HELD: u64 = ATTACK as u64 + 2;
/// Recovery: each frame goes this part of the way back to 1 (a time constant of 2,048 frames,
/// 46 ms; common practice for a limiter that shall not be heard to pump: 20 to 200 ms).
const RECOVERY_SHIFT: u32 = 11;

/// Gains are whole numbers in units of 2^-30, so that running sums are exact: no drift, and the
/// gain comes back to 1, not nearly to 1.
const ONE: i32 = 1 << 30;

/// A smooth gain that, at every frame, is at most what that frame needs, `ATTACK` frames late.
#[derive(Debug, Clone)]
pub(super) struct GainCurve {
    smallest: SlidingMinimum,
    recovering: i32,
    first: Average,
    second: Average,
    /// Frames in a row that needed nothing and got a gain of 1.
    at_rest: usize,
}

impl GainCurve {
    pub(super) fn new() -> GainCurve {
        GainCurve {
            smallest: SlidingMinimum::new(),
            recovering: ONE,
            first: Average::new(),
            second: Average::new(),
            at_rest: usize::MAX,
        }
    }

    /// Whether frames that need no reduction would all get a gain of 1.
    pub(super) fn is_idle(&self) -> bool {
        self.at_rest > 2 * ATTACK
    }

    /// Passes over frames that need no reduction while idle.
    pub(super) fn idle(&mut self, frames: usize) {
        self.smallest.skip(frames);
    }

    /// The gain of the frame `ATTACK` frames ago, given what the newest one needs (0 to 1).
    pub(super) fn next(&mut self, needed: f32) -> f32 {
        let needed = whole(needed);
        let bent = self.smallest.next(needed);
        // The last one brings it home, where a shift alone would come to rest before 1.
        let back = self.recovering + ((ONE - self.recovering) >> RECOVERY_SHIFT) + 1;
        self.recovering = bent.min(back);
        let gain = self.second.next(self.first.next(self.recovering));
        let rests = needed == ONE && gain == ONE;
        self.at_rest = if rests { self.at_rest.saturating_add(1) } else { 0 };
        fraction(gain)
    }
}

/// Rounded down, so that a gain is never above what was asked for.
#[expect(clippy::cast_possible_truncation, reason = "0 to 2^30")]
fn whole(gain: f32) -> i32 {
    (gain.clamp(0.0, 1.0) * 1_073_741_824.0) as i32
}

#[expect(clippy::cast_precision_loss, reason = "audio is in single precision")]
fn fraction(gain: i32) -> f32 {
    gain as f32 / 1_073_741_824.0
}

/// The smallest of the last [`HELD`] values.
#[derive(Debug, Clone)]
struct SlidingMinimum {
    now: u64,
    /// Values below 1 that may yet become the smallest, with their time; rising.
    candidates: VecDeque<(u64, i32)>,
}

impl SlidingMinimum {
    fn new() -> SlidingMinimum {
        SlidingMinimum { now: 0, candidates: VecDeque::new() }
    }

    fn skip(&mut self, frames: usize) {
        self.now += frames as u64;
        self.candidates.clear();
    }

    fn next(&mut self, value: i32) -> i32 {
        if value < ONE {
            while self.candidates.back().is_some_and(|(_, last)| *last >= value) {
                self.candidates.pop_back();
            }
            self.candidates.push_back((self.now, value));
        }
        self.now += 1;
        while let Some((time, smallest)) = self.candidates.front() {
            if time + HELD >= self.now {
                return *smallest;
            }
            self.candidates.pop_front();
        }
        ONE
    }
}

/// The average of the last [`AVERAGED`] values, rounded down.
#[derive(Debug, Clone)]
struct Average {
    values: [i32; AVERAGED],
    oldest: usize,
    sum: i64,
}

impl Average {
    fn new() -> Average {
        Average { values: [ONE; AVERAGED], oldest: 0, sum: i64::from(ONE) * AVERAGED as i64 }
    }

    #[expect(clippy::cast_possible_truncation, reason = "an average of values up to 2^30")]
    fn next(&mut self, value: i32) -> i32 {
        let oldest = &mut self.values[self.oldest % AVERAGED];
        self.sum += i64::from(value) - i64::from(*oldest);
        *oldest = value;
        self.oldest = (self.oldest + 1) % AVERAGED;
        (self.sum / AVERAGED as i64) as i32
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// A peak is the waveform's up to the next sample, so its need binds both.
        #[test]
        fn the_gain_is_never_above_what_a_frame_or_its_forerunner_needs(
            peaks in prop::collection::vec((0_usize..400, 0.1_f32..1.0), 0..12)
        ) {
            let mut needed = vec![1.0_f32; 600];
            for (frame, gain) in peaks {
                needed[frame] = needed[frame].min(gain);
            }
            let mut curve = GainCurve::new();
            let gains: Vec<f32> = needed.iter().map(|gain| curve.next(*gain)).collect();
            for frame in 1..needed.len() - ATTACK {
                let gain = gains[frame + ATTACK];
                prop_assert!(gain <= needed[frame], "frame {frame}");
                prop_assert!(gain <= needed[frame - 1], "after frame {}", frame - 1);
            }
        }
    }

    #[test]
    fn the_gain_bends_without_a_corner_and_comes_back_to_one() {
        let mut curve = GainCurve::new();
        let mut needed = vec![1.0_f32; 60_000];
        needed[1_000] = 0.7;
        let gains: Vec<f32> = needed.iter().map(|gain| curve.next(*gain)).collect();
        assert!(gains[1_000 - 1].to_bits() == 1.0_f32.to_bits());
        assert!((gains[1_000 + ATTACK] - 0.7).abs() < 1e-6);
        let steps: Vec<f32> = gains.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let corner = steps.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
        assert!(corner < 0.3 / 1_000.0, "{corner}");
        assert!(gains[59_999].to_bits() == 1.0_f32.to_bits() && curve.is_idle());
    }
}
