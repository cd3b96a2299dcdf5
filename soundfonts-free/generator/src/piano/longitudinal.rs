//! The growl of bass strings: a string that swings wide is stretched twice in
//! each period, and the stretching runs along the string to the bridge. It has
//! the sums and differences of the partials in it ("phantom partials", Conklin
//! 1999, JASA 105) and rings where the string itself rings along its length,
//! some 16 to 20 times the pitch (Bank & Sujbert 2005, JASA 117).

use super::design::Key;
use super::stroke::peak;
use crate::dsp::RATE;
use crate::dsp::filter::high_pass;
use crate::dsp::maths::{PI, TURN, amplitude, cos, exp, interpolate};

/// First longitudinal mode over the pitch. From memory.
const RATIO: f64 = 17.3;
/// Bandwidth of the longitudinal mode over its frequency. From memory.
const BANDWIDTH: f64 = 0.05;
/// Level against the transverse force at the hard stroke, in decibels by key;
/// strong on the single wound strings only. By ear.
const LEVEL: [(f64, f64); 4] = [(21.0, -15.0), (31.0, -19.0), (40.0, -27.0), (50.0, -40.0)];
/// From this key up there is none worth computing.
const NONE_FROM: u8 = 50;

/// The longitudinal force at the bridge that goes with a transverse one. It
/// grows with the square; `hard` is the peak of the hard stroke, to which
/// [`LEVEL`] refers.
pub(super) fn force(key: &Key, transverse: &[f64], hard: f64) -> Option<Vec<f64>> {
    if key.key >= NONE_FROM || hard <= 0.0 {
        return None;
    }
    let squares: Vec<f64> = transverse.iter().map(|x| x * x / hard).collect();
    let stretching = high_pass(&squares, 2.5 * key.frequency, 2, RATE);
    let ringing = resonance(&stretching, RATIO * key.frequency);
    let gain = amplitude(interpolate(f64::from(key.key), &LEVEL));
    // The ringing part and the driven part in equal measure.
    let loudest = peak(&ringing).max(1e-12);
    let driven = peak(&stretching).max(1e-12);
    // Proportion of this stroke's square to the hard stroke's.
    let strength = peak(transverse) * peak(transverse) / hard;
    let out = ringing
        .iter()
        .zip(&stretching)
        .map(|(r, s)| gain * strength * 0.5 * (r / loudest + s / driven))
        .collect();
    Some(out)
}

/// A two-pole resonance at `frequency` hertz.
fn resonance(signal: &[f64], frequency: f64) -> Vec<f64> {
    let radius = exp(-PI * BANDWIDTH * frequency / RATE);
    let feedback = 2.0 * radius * cos(TURN * frequency / RATE);
    let (mut y1, mut y2) = (0.0, 0.0);
    signal
        .iter()
        .map(|x| {
            let y = x + feedback * y1 - radius * radius * y2;
            (y2, y1) = (y1, y);
            y
        })
        .collect()
}
