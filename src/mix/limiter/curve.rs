//! From the gain that every frame needs to a smooth one that is never above it.

use std::collections::VecDeque;

/// How long before a peak the gain begins to bend, in frames: 1.5 ms. Shorter is heard as a
/// click, longer dulls the attack (common practice: 1 to 5 ms).
pub(super) const ATTACK: usize = 66;
/// Half the attack: two averages in a row make the bend smooth at both ends.
const HALF: usize = ATTACK / 2;
/// Recovery: each frame goes this part of the way back to 1 (a time constant of 4,096 frames,
/// 90 ms; common practice for a limiter that shall not be heard to pump: 50 to 200 ms).
const RECOVERY_SHIFT: u32 = 12;

/// Gains are whole numbers in units of 2^-30, so that running sums are exact: no drift, and the
/// gain comes back to 1, not nearly to 1.
const ONE: i64 = 1 << 30;

/// A smooth gain that, at every frame, is at most what that frame needs, `ATTACK` frames late.
#[derive(Debug, Clone)]
pub(super) struct GainCurve {
    smallest: SlidingMinimum,
    recovering: i64,
    first: Average,
    second: Average,
    /// Frames in a row for which nothing at all happened.
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
        let back = self.recovering + ((ONE - self.recovering) >> RECOVERY_SHIFT) + 1;
        self.recovering = bent.min(back);
        let gain = self.second.next(self.first.next(self.recovering));
        let rests = needed == ONE && gain == ONE;
        self.at_rest = if rests { self.at_rest.saturating_add(1) } else { 0 };
        fraction(gain)
    }
}

#[expect(clippy::cast_possible_truncation, reason = "0 to 2^30")]
fn whole(gain: f32) -> i64 {
    // Downwards, so that rounding never leaves a gain above what was asked for.
    (f64::from(gain.clamp(0.0, 1.0)) * ONE as f64) as i64
}

#[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
fn fraction(gain: i64) -> f32 {
    (gain as f64 / ONE as f64) as f32
}

/// The smallest of the last `ATTACK + 2` values: a frame's need holds from `ATTACK` frames before
/// it, for the averages to come down to it in time, to one frame after it, since the waveform up
/// to the next sample is this frame's.
#[derive(Debug, Clone)]
struct SlidingMinimum {
    now: u64,
    /// Values that may yet become the smallest, with their time; rising.
    candidates: VecDeque<(u64, i64)>,
}

impl SlidingMinimum {
    fn new() -> SlidingMinimum {
        SlidingMinimum { now: 0, candidates: VecDeque::new() }
    }

    fn skip(&mut self, frames: usize) {
        self.now += frames as u64;
        self.candidates.clear();
    }

    fn next(&mut self, value: i64) -> i64 {
        while self.candidates.back().is_some_and(|(_, last)| *last >= value) {
            self.candidates.pop_back();
        }
        self.candidates.push_back((self.now, value));
        let oldest = (self.now + 1).saturating_sub(ATTACK as u64 + 2);
        while self.candidates.front().is_some_and(|(time, _)| *time < oldest) {
            self.candidates.pop_front();
        }
        self.now += 1;
        self.candidates.front().map_or(value, |(_, smallest)| *smallest)
    }
}

/// The average of the last `HALF + 1` values, rounded down.
#[derive(Debug, Clone)]
struct Average {
    values: VecDeque<i64>,
    sum: i64,
}

impl Average {
    fn new() -> Average {
        let values = VecDeque::from(vec![ONE; HALF + 1]);
        let sum = values.iter().sum();
        Average { values, sum }
    }

    fn next(&mut self, value: i64) -> i64 {
        self.sum += value - self.values.pop_front().unwrap_or(ONE);
        self.values.push_back(value);
        self.sum / (HALF as i64 + 1)
    }
}
