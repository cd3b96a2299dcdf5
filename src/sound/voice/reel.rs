//! A sample's points in the order in which a voice comes by them.

use std::borrow::Cow;
use std::ops::Range;

use super::upsample::{CONTEXT, FACTOR, upsampled};

/// A sample as it is to be played.
#[derive(Debug)]
pub(super) enum Points {
    /// Upsampled as a whole: a voice comes back to what it has played.
    Upsampled(Vec<f32>),
    /// As in the file, after and before [`CONTEXT`] samples that are not played: a voice that plays
    /// it once has it upsampled as it goes, so that the points are few and near at hand.
    Once(Vec<f32>),
}

impl Points {
    /// All of them.
    pub(super) fn upsampled(&self) -> Cow<'_, [f32]> {
        match self {
            Points::Upsampled(points) => Cow::Borrowed(points),
            Points::Once(samples) => Cow::Owned(upsampled(samples)),
        }
    }

    /// How many there are.
    fn length(&self) -> usize {
        match self {
            Points::Upsampled(points) => points.len(),
            Points::Once(samples) => FACTOR * samples.len().saturating_sub(2 * CONTEXT),
        }
    }
}

/// Samples that are upsampled at a time.
const CHUNK: usize = 2_048;

/// Points, a stretch of them at hand.
#[derive(Debug)]
pub(super) struct Reel<'a> {
    points: &'a Points,
    length: usize,
    at_hand: Vec<f32>,
    /// The number of the first point at hand.
    first: usize,
}

impl<'a> Reel<'a> {
    pub(super) fn new(points: &'a Points) -> Reel<'a> {
        Reel { points, length: points.length(), at_hand: Vec::new(), first: 0 }
    }

    /// How many points there are.
    pub(super) fn length(&self) -> usize {
        self.length
    }

    /// Some points; `None` where the last lies behind the end.
    pub(super) fn points(&mut self, range: Range<usize>) -> Option<&[f32]> {
        let samples = match self.points {
            Points::Upsampled(points) => return points.get(range),
            Points::Once(samples) => samples,
        };
        if range.start > range.end || range.end > self.length {
            return None;
        }
        if range.start < self.first || range.end > self.first + self.at_hand.len() {
            let from = range.start / FACTOR;
            let to = range.end.div_ceil(FACTOR).max(from + CHUNK).min(self.length / FACTOR);
            self.at_hand = upsampled(&samples[from..to + 2 * CONTEXT]);
            self.first = from * FACTOR;
        }
        self.at_hand.get(range.start - self.first..range.end - self.first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_the_same_whether_upsampled_at_once_or_as_they_are_played() {
        let saw = |at: u16| f32::from(at % 89) * 300.0 - 13_000.0;
        let samples: Vec<f32> = (0..10_000).map(saw).collect();
        let points = Points::Once(samples.clone());
        let whole = upsampled(&samples);
        let mut reel = Reel::new(&points);
        assert_eq!(reel.length(), whole.len());
        for start in (0..whole.len() - 700).step_by(531) {
            assert_eq!(reel.points(start..start + 700), whole.get(start..start + 700));
        }
        assert_eq!(reel.points(whole.len()..whole.len()), Some(&[][..]));
        assert_eq!(reel.points(whole.len()..whole.len() + 1), None);
    }
}
