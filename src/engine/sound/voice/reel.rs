//! A sample's points in the order in which a voice comes by them.

use std::borrow::Cow;
use std::ops::Range;

use super::upsample::{CONTEXT, FACTOR, Upsampler, upsampled};

/// A sample as it is to be played.
#[derive(Debug)]
pub(super) enum Points {
    /// Upsampled as a whole: a voice comes back to what it has played.
    Upsampled(Vec<f32>),
    /// As in the file: a voice that plays it once has it upsampled as it goes, so that the points are
    /// few and near at hand.
    Once(Stretch),
}

/// Samples of a file, the first `played` of which are played. What follows shapes the last of them;
/// before the first there is silence, and behind the end.
#[derive(Debug)]
pub(super) struct Stretch {
    pub(super) samples: Vec<i16>,
    pub(super) played: usize,
}

impl Stretch {
    /// Sets `padded` to some of the samples, after and before [`CONTEXT`] more.
    fn pad(&self, range: Range<usize>, padded: &mut Vec<f32>) {
        padded.clear();
        let silence = |length| std::iter::repeat_n(0.0, length);
        let before = CONTEXT.saturating_sub(range.start);
        let end = (range.end + CONTEXT).min(self.samples.len());
        let there = self.samples.get(range.start.saturating_sub(CONTEXT)..end).unwrap_or_default();
        padded.extend(silence(before));
        padded.extend(there.iter().map(|sample| f32::from(*sample)));
        padded.extend(silence((range.len() + 2 * CONTEXT).saturating_sub(before + there.len())));
    }
}

impl Points {
    /// All of them.
    pub(super) fn upsampled(&self) -> Cow<'_, [f32]> {
        match self {
            Points::Upsampled(points) => Cow::Borrowed(points),
            Points::Once(stretch) => {
                let mut padded = Vec::new();
                stretch.pad(0..stretch.played, &mut padded);
                Cow::Owned(upsampled(&padded))
            }
        }
    }

    /// How many there are.
    fn length(&self) -> usize {
        match self {
            Points::Upsampled(points) => points.len(),
            Points::Once(stretch) => FACTOR * stretch.played,
        }
    }
}

/// Samples that are upsampled at a time.
const CHUNK: usize = 2_048;

/// Points, a stretch of them at hand.
#[derive(Debug)]
pub(super) struct Reel {
    points: Points,
    length: usize,
    at_hand: Vec<f32>,
    /// The number of the first point at hand.
    first: usize,
    padded: Vec<f32>,
    upsampler: Upsampler,
}

impl Reel {
    pub(super) fn new(points: Points) -> Reel {
        let (length, upsampler) = (points.length(), Upsampler::default());
        Reel { points, length, at_hand: Vec::new(), first: 0, padded: Vec::new(), upsampler }
    }

    /// How many points there are.
    pub(super) fn length(&self) -> usize {
        self.length
    }

    /// Some points; `None` where the last lies behind the end.
    pub(super) fn points(&mut self, range: Range<usize>) -> Option<&[f32]> {
        let stretch = match &self.points {
            Points::Upsampled(points) => return points.get(range),
            Points::Once(stretch) => stretch,
        };
        if range.start > range.end || range.end > self.length {
            return None;
        }
        if range.start < self.first || range.end > self.first + self.at_hand.len() {
            let from = range.start / FACTOR;
            let to = range.end.div_ceil(FACTOR).max(from + CHUNK).min(self.length / FACTOR);
            stretch.pad(from..to, &mut self.padded);
            self.upsampler.upsample(&self.padded, &mut self.at_hand);
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
        let samples: Vec<i16> = (0..10_000).map(|at| at % 89 * 300 - 13_000).collect();
        for played in [9_900, 9_995, 10_000] {
            points_are_the_same(Stretch { samples: samples.clone(), played });
        }
    }

    fn points_are_the_same(stretch: Stretch) {
        let heard = (stretch.played + CONTEXT).min(stretch.samples.len());
        let mut padded = vec![0.0; CONTEXT];
        padded.extend(stretch.samples[..heard].iter().map(|sample| f32::from(*sample)));
        padded.resize(stretch.played + 2 * CONTEXT, 0.0);
        let whole = upsampled(&padded);
        let points = Points::Once(stretch);
        assert_eq!(points.upsampled(), whole);
        let mut reel = Reel::new(points);
        assert_eq!(reel.length(), whole.len());
        for start in (0..whole.len() - 700).step_by(531) {
            assert_eq!(reel.points(start..start + 700), whole.get(start..start + 700));
        }
        assert_eq!(reel.points(whole.len()..whole.len()), Some(&[][..]));
        assert_eq!(reel.points(whole.len()..whole.len() + 1), None);
    }
}
