//! Width without a second sample.
//!
//! The base voice arrives three times: the direct sound from the key's own
//! place, and two reflections a few milliseconds later, one from each side. All
//! three are the same sample, which begins with a little silence; the direct
//! sound skips all of it, the reflections skip less. Left and right then differ
//! in every partial, while a mono sum keeps the direct sound whole.

use super::layers::Layers;
use crate::dsp::complex::Complex;
use crate::dsp::maths::{self, PI, TURN, decibels, interpolate, key_frequency};

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
/// Partials that reflections must leave about as they are.
const HEARD: u32 = 5;
/// How far a delay may be moved for that, in seconds.
const LONGEST_SHIFT: f64 = 0.003;

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
    let [left, right] = delays(root.key, rate, maths::amplitude(level));
    let reflection = |delay: usize, pan: f64| Arrival { delay: delay.min(lead(root)), level, pan };
    [
        Arrival { delay: 0, level: 0.0, pan: pan(root.key) },
        reflection(left, -SIDE),
        reflection(right, SIDE),
    ]
}

/// Delays in samples near [`DELAYS`] at which no low partial is raised or cancelled by much, on either
/// side or in mono: the pair of least fault.
fn delays(key: u8, rate: f64, level: f64) -> [usize; 2] {
    let frequency = key_frequency(f64::from(key));
    let reach = (0.6 / frequency).min(LONGEST_SHIFT);
    let candidates = |delay: f64| {
        let first = maths::samples(delay - reach, rate);
        let last = maths::samples((delay + reach).min(LEAD), rate);
        first..=last
    };
    let mut best = (f64::INFINITY, DELAYS.map(|delay| maths::samples(delay, rate)));
    for left in candidates(DELAYS[0]) {
        for right in candidates(DELAYS[1]) {
            let fault = colouring(frequency, [left, right].map(|d| d as f64 / rate), level);
            if fault < best.0 {
                best = (fault, [left, right]);
            }
        }
    }
    best.1
}

/// How far the arrivals raise or lower the lowest partials: the sum of squared decibels over both
/// sides and mono, the lower partials weighing more.
fn colouring(frequency: f64, delays: [f64; 2], level: f64) -> f64 {
    (1..=HEARD)
        .map(|partial| {
            let [left, right] = delays
                .map(|delay| Complex::polar(level, -TURN * frequency * f64::from(partial) * delay));
            let near = maths::cos(PI / 4.0 * (1.0 - SIDE));
            let far = maths::sin(PI / 4.0 * (1.0 - SIDE));
            let direct = Complex::new(0.5_f64.sqrt(), 0.0);
            let heard = [
                direct + left * near + right * far,
                direct + right * near + left * far,
                (direct + direct + (left + right) * (near + far)) * 0.5,
            ];
            let squares: f64 = heard
                .iter()
                .map(|sum| decibels(sum.magnitude() / direct.re))
                .map(|gain| gain * gain)
                .sum();
            squares / f64::from(partial)
        })
        .sum()
}
