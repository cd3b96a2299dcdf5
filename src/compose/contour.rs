//! The contour that a line follows loosely.

use std::ops::RangeInclusive;

use crate::random::Stream;
use crate::units::Ticks;

use super::grid::Position;
use super::rhythm::Rhythm;
use super::streams::Choice;

/// Contours of a phrase, as heights from 0 to 1 at its beginning, its middle and its end, with how
/// often improvised solos have them (Weimar Jazz Database, `tests/facts/line_rhythm.tsv`): falling,
/// an arch, rising, a valley. Tops of arches and valleys lie in different places.
const SHAPES: [([f64; 3], f64); 4] = [
    ([1.0, 0.55, 0.0], 0.36),
    ([0.15, 1.0, 0.0], 0.29),
    ([0.0, 0.5, 1.0], 0.21),
    ([0.8, 0.0, 0.9], 0.14),
];

/// How many semitones the contour of a phrase spans. The line goes beyond it by a few, so that
/// phrases span the 10 to 17 of solos.
const SPANS: [f64; 4] = [6.0, 8.0, 10.0, 12.0];

/// The pitch that a line would have on each position, if nothing else were asked.
pub(super) fn contour(
    grid: &[Position],
    techniques: &str,
    seed: u64,
    rhythm: Rhythm,
    range: &RangeInclusive<u8>,
) -> Vec<f64> {
    if rhythm == Rhythm::PlainEighths {
        let arch = Arch::new(techniques, seed, range);
        return grid.iter().map(|position| arch.at(position.at)).collect();
    }
    let mut heights = Vec::with_capacity(grid.len());
    for phrase in grid.chunk_by(|position, next| position.phrase == next.phrase) {
        let (Some(first), Some(last)) = (phrase.first(), phrase.last()) else { continue };
        let choice = Choice::ContourOfPhrase { techniques, phrase: first.phrase };
        let shape = Shape::new(&mut choice.stream(seed), range);
        let whole = quarters(last.at - first.at).max(0.5);
        heights.extend(phrase.iter().map(|at| shape.at(quarters(at.at - first.at) / whole)));
    }
    heights
}

fn quarters(time: Ticks) -> f64 {
    time.quarters()
}

/// The contour of a phrase.
struct Shape {
    heights: [f64; 3],
    /// Where its middle height is, from 0 to 1.
    turn: f64,
    low: f64,
    span: f64,
}

impl Shape {
    fn new(stream: &mut Stream, range: &RangeInclusive<u8>) -> Shape {
        let weights = SHAPES.map(|(_, weight)| weight);
        let (heights, _) = SHAPES[stream.weighted(&weights).unwrap_or(0)];
        let (low, high) = (f64::from(*range.start()), f64::from(*range.end()));
        let span = SPANS[stream.below(SPANS.len())].min(high - low);
        // The outer notes of the range are for peaks.
        let inset = ((high - low - span) / 2.0).min(2.0);
        let room = high - low - span - 2.0 * inset;
        Shape {
            heights,
            turn: 0.25 + 0.5 * stream.unit(),
            low: low + inset + room * stream.unit(),
            span,
        }
    }

    /// The pitch at a part of the phrase, 0 to 1.
    fn at(&self, part: f64) -> f64 {
        let [start, middle, end] = self.heights;
        let height = if part < self.turn {
            start + (middle - start) * part / self.turn
        } else {
            middle + (end - middle) * (part - self.turn) / (1.0 - self.turn)
        };
        self.low + self.span * height
    }
}

/// Up and down between two pitches, in so many bars: for lines without phrases.
struct Arch {
    low: f64,
    high: f64,
    /// Quarters from top to top.
    period: f64,
    /// Where in the period the line begins, 0 to 1.
    phase: f64,
}

impl Arch {
    fn new(techniques: &str, seed: u64, range: &RangeInclusive<u8>) -> Arch {
        let mut stream = Choice::Contour { techniques }.stream(seed);
        let (low, high) = (f64::from(*range.start()), f64::from(*range.end()));
        // The outer notes of the range are for peaks.
        let inset = (high - low) / 7.0;
        let bars = [1.5, 2.0, 2.5, 3.0, 4.0][stream.below(5)];
        Arch {
            low: low + inset * (0.6 + stream.unit()),
            high: high - inset * (0.6 + stream.unit()),
            period: bars * 4.0,
            phase: stream.unit(),
        }
    }

    /// The pitch in the middle of the arch.
    fn at(&self, at: Ticks) -> f64 {
        let at = quarters(at) / self.period + self.phase;
        let within = at - at.floor();
        let height = if within < 0.5 { within * 2.0 } else { 2.0 - within * 2.0 };
        self.low + (self.high - self.low) * height
    }
}
