//! Small random deviations of time and velocity, as every player has them.

use crate::arrange::TimelineBar;
use crate::part::Choice;
use crate::performance::Part;
use crate::random::Stream;

/// The largest deviation of time, in milliseconds.
pub(super) const MOST_MS: f64 = 10.0;

/// The standard deviation of a stroke, and of each of its notes against the stroke, in
/// milliseconds: together 4 (our choice; players of the Jazz Trio Database vary by 9 to 33, much
/// of it deliberate, and doubling what is random makes swing worse, Datseris et al. 2019).
const STROKE_MS: f64 = 3.7;
const NOTE_MS: f64 = 1.5;

/// The same of velocity, out of 127 (from memory: a few parts in a hundred sound alive, more
/// sound uneven).
const STROKE_VELOCITY: f64 = 2.0;
const NOTE_VELOCITY: f64 = 1.0;
/// Where these hold.
const USUAL_VELOCITY: i32 = 80;

/// The deviations of one stroke: all notes of a part that are notated at the same time.
pub(super) struct StrokeDeviation {
    stream: Stream,
    ms: f64,
    velocity: f64,
}

/// The deviation of one note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Deviation {
    /// Milliseconds late, or negative early; never beyond [`MOST_MS`].
    pub(super) ms: f64,
    /// Added to a velocity of [`USUAL_VELOCITY`].
    pub(super) velocity: i32,
}

impl Deviation {
    /// None at all.
    pub(super) const ZERO: Deviation = Deviation { ms: 0.0, velocity: 0 };

    /// What to add to a velocity: soft notes deviate by as small a share as loud ones, so that a
    /// feathered kick stays feathered and a ghost note muted.
    pub(super) const fn velocity_at(self, velocity: i32) -> i32 {
        self.velocity * velocity / USUAL_VELOCITY
    }
}

impl StrokeDeviation {
    /// Draws the deviation of a bar's stroke, counted from 0.
    pub(super) fn draw(seed: u64, part: Part, bar: &TimelineBar, stroke: usize) -> StrokeDeviation {
        let mut stream = Choice::Deviation { part, stroke }.stream(seed, bar);
        let ms = stream.normal() * STROKE_MS;
        let velocity = stream.normal() * STROKE_VELOCITY;
        StrokeDeviation { stream, ms, velocity }
    }

    /// The next note's, from the lowest upwards.
    pub(super) fn note(&mut self) -> Deviation {
        let ms = self.ms + self.stream.normal() * NOTE_MS;
        let velocity = self.velocity + self.stream.normal() * NOTE_VELOCITY;
        Deviation { ms: ms.clamp(-MOST_MS, MOST_MS), velocity: rounded(velocity) }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a normal deviate is at most 6 deviations")]
fn rounded(velocity: f64) -> i32 {
    velocity.round() as i32
}
