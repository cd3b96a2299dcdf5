//! The left hand moving along a wound string: the fingertip catches on every turn of the winding, a
//! short zip whose pitch follows the speed of the hand.

use super::body::Body;
use crate::dsp::maths::{PI, TURN, samples, sin};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;

/// Turns of the winding on a millimetre of string (from memory).
const TURNS_PER_MILLIMETRE: f64 = 2.2;
/// Distance of a shift by a whole step in the low positions, mm, and of one by a fourth.
pub const SHIFTS: [(f64, f64); 3] = [(110.0, 0.13), (180.0, 0.19), (260.0, 0.24)];
/// Amplitude of the hiss, and of the tone of the winding beside it (from memory).
const HISS: f64 = 1.0;
/// See [`HISS`].
const WINDING: f64 = 0.45;

/// The noise of a hand that moves `millimetres` in `seconds`. `place` names the movement.
#[must_use]
pub fn shift(millimetres: f64, seconds: f64, body: &Body, place: u64) -> Vec<f64> {
    let length = samples(seconds + 0.12, RATE);
    let mut noise = Noise::new(place);
    // The hand speeds up and slows down like half a sine; the way it has come is the integral.
    let way = |time: f64| {
        let share = (time / seconds).clamp(0.0, 1.0);
        millimetres * 0.5 * (1.0 - crate::dsp::maths::cos(PI * share))
    };
    let speed = |time: f64| sin(PI * (time / seconds).clamp(0.0, 1.0));
    let mut grit = filter::low_pass(&noise.white(length), 90.0, 1, RATE);
    let steady = envelope::rms(&grit).max(1e-12);
    for sample in &mut grit {
        *sample /= steady;
    }
    let mut rub: Vec<f64> = (0..length)
        .map(|index| {
            let time = index as f64 / RATE;
            // The winding is not perfect: its tone wanders by about half a radian.
            let turns = TURN * TURNS_PER_MILLIMETRE * way(time) + 0.5 * grit[index];
            let winding = WINDING * (sin(turns) + 0.5 * sin(2.0 * turns));
            (winding + HISS * noise.gaussian()) * (1.0 + 0.35 * grit[index])
        })
        .collect();
    envelope::shape(&mut rub, |time| speed(time) * speed(time));
    let rub = filter::band_pass(&rub, 400.0, 2600.0, 1, RATE);
    body.radiate(&rub)
}
