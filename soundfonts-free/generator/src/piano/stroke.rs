//! A key struck hard and the same key struck softly, as the microphone hears
//! them.
//!
//! The soft stroke is the hard one with each partial brought to the level that
//! a soft blow would give it, so that the two are in phase and can be mixed or
//! subtracted.

use super::case;
use super::design::Key;
use super::hammer::{blow, brightness};
use super::longitudinal;
use super::noises::Noises;
use super::soundboard::Soundboard;
use super::strings::Strings;
use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::fft::convolve;
use crate::dsp::maths::{self, interpolate, pow};

/// MIDI velocities of the two strokes.
pub const SOFT: f64 = 48.0;
/// See [`SOFT`].
pub const HARD: f64 = 115.0;

/// Exponent of [`outer_felt`] by key. Fitted.
const OUTER_FELT: [(f64, f64); 3] = [(60.0, 0.0), (84.0, 0.8), (108.0, 0.8)];

/// One stroke of one key.
#[derive(Clone, Debug)]
pub struct Stroke<'a> {
    strings: &'a Strings,
    blow: Vec<f64>,
    weights: Vec<f64>,
    /// The sound at [`RATE`].
    pub sound: Vec<f64>,
}

impl Stroke<'_> {
    /// State of every string oscillation `time` seconds after the start.
    #[must_use]
    pub fn states(&self, time: f64) -> Vec<Complex> {
        self.strings.states(&self.blow, &self.weights, time)
    }
}

/// The hard and the soft stroke of a key, `seconds` long.
#[must_use]
pub fn pair<'a>(
    key: &Key,
    strings: &'a Strings,
    board: &Soundboard,
    seconds: f64,
) -> [Stroke<'a>; 2] {
    let length = maths::samples(seconds, RATE);
    let hard_blow = blow(key, HARD);
    let soft_blow = blow(key, SOFT);
    let middle_blow = blow(key, 80.0);
    let reference = peak(&strings.sound(&middle_blow, &[], maths::samples(0.1, RATE)));
    let weights: Vec<f64> = brightness(&soft_blow, &strings.partials)
        .iter()
        .zip(brightness(&hard_blow, &strings.partials))
        .zip(1..)
        .map(|((soft, hard), n)| (soft / hard).clamp(1e-4, 4.0) * outer_felt(key, f64::from(n)))
        .collect();
    // The knock of the soft blow keeps the knock's proportion to the strings
    // at the fundamental, with the longer pulse of the soft blow.
    let hard_peak = peak(&strings.sound(&hard_blow, &[], maths::samples(0.1, RATE)));
    let sum = |force: &[f64]| force.iter().sum::<f64>();
    let at_fundamental = |force: &[f64]| brightness(force, &[key.frequency])[0];
    let level = at_fundamental(&soft_blow) / at_fundamental(&hard_blow);
    let soft_knock: Vec<f64> =
        soft_blow.iter().map(|force| force * level * sum(&hard_blow) / sum(&soft_blow)).collect();
    let case = case::response(key.key);
    [(HARD, hard_blow.clone(), Vec::new()), (SOFT, soft_knock, weights)].map(
        |(velocity, knock, weights)| {
            let mut bridge = strings.sound(&hard_blow, &weights, length);
            let noises = Noises { key, velocity, reference };
            let mut knocking = noises.sound(&knock, &bridge);
            knocking.resize(length, 0.0);
            if let Some(along) = longitudinal::force(key, &bridge, hard_peak) {
                for (x, y) in bridge.iter_mut().zip(along) {
                    *x += y;
                }
            }
            let mut sound = convolve(&bridge, &board.bridge);
            for (x, noise) in sound.iter_mut().zip(convolve(&knocking, &case)) {
                *x += noise;
            }
            Stroke { strings, blow: hard_blow.clone(), weights, sound }
        },
    )
}

/// What the soft outer layer of the felt takes off partial `n` of a soft stroke, as a factor: the
/// power law of the felt is one for all its depth, and leaves treble notes alike at all strengths.
fn outer_felt(key: &Key, n: f64) -> f64 {
    pow(n, -interpolate(f64::from(key.key), &OUTER_FELT))
}

/// Largest magnitude of a signal.
pub(super) fn peak(signal: &[f64]) -> f64 {
    signal.iter().fold(0.0, |peak, x| peak.max(x.abs()))
}
