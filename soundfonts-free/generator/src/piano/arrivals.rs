//! Width without a second sample.
//!
//! The base voice arrives three times: the direct sound from the key's own
//! place, and two reflections a few milliseconds later, one from each side. All
//! three are the same sample, which begins with a little silence; the direct
//! sound skips all of it, the reflections skip less. Left and right then differ
//! in every partial, while a mono sum keeps the direct sound whole.

use super::layers::Layers;
use crate::dsp::maths::{self, interpolate, key_frequency};

/// Seconds of silence before the base voice.
pub(super) const LEAD: f64 = 0.0145;
/// Seconds after which the sound comes from the left and from the right: walls
/// at one and two metres from a player's ear.
const DELAYS: [f64; 2] = [0.0071, 0.0113];
/// Where the reflections come from.
const SIDE: f64 = 0.9;
/// Level of the reflections in decibels by key. High notes have few partials,
/// and one that is cancelled on one side would throw the note to the other.
const LEVEL: [(f64, f64); 3] = [(30.0, -7.0), (60.0, -6.0), (90.0, -10.0)];
/// Below this key the fundamental is too slow to be met in quadrature.
const FIRST_IN_QUADRATURE: u8 = 48;

/// One arrival of the base voice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arrival {
    /// Samples after the direct sound, at the base voice's rate.
    pub(super) delay: usize,
    /// Level in decibels against the direct sound.
    pub(super) level: f64,
    /// From -1 (left) to 1 (right).
    pub(super) pan: f64,
}

/// Place of a key from left to right, as the player hears it.
pub(super) fn pan(key: u8) -> f64 {
    ((f64::from(key) - 63.0) / 60.0 * 0.5).clamp(-0.3, 0.3)
}

/// Silence before a root's base voice, in samples.
pub(super) fn lead(root: &Layers) -> usize {
    maths::samples(LEAD, f64::from(root.base.rate))
}

/// The direct sound and its reflections.
pub(super) fn arrivals(root: &Layers) -> [Arrival; 3] {
    let rate = f64::from(root.base.rate);
    let level = interpolate(f64::from(root.key), &LEVEL);
    let reflection = |delay: f64, pan: f64| Arrival {
        delay: maths::samples(in_quadrature(root.key, delay), rate).min(lead(root)),
        level,
        pan,
    };
    [
        Arrival { delay: 0, level: 0.0, pan: pan(root.key) },
        reflection(DELAYS[0], -SIDE),
        reflection(DELAYS[1], SIDE),
    ]
}

/// The delay nearest to the given one at which the fundamental arrives an odd
/// number of quarter periods late: neither raised nor cancelled on that side.
fn in_quadrature(key: u8, delay: f64) -> f64 {
    if key < FIRST_IN_QUADRATURE {
        return delay;
    }
    let quarter = 0.25 / key_frequency(f64::from(key));
    let odd = 2.0 * ((delay / quarter - 1.0) / 2.0).round() + 1.0;
    odd * quarter
}
