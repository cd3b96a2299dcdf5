//! The dead note: the left hand lies on the string without pressing it down, so that a pluck gives a
//! thud with hardly a pitch. Players put it between the beats to push the time.

use super::body::Body;
use super::string::BassString;
use super::touch;
use crate::dsp::RATE;
use crate::dsp::maths::{decay_for_t60, samples};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::window;
use crate::envelope;

/// T60 that the hand leaves the fundamental of the lowest string, s; above this frequency, Hz, flesh
/// takes partials twice as fast (from memory).
const MUTED_T60: f64 = 0.10;
/// See [`MUTED_T60`].
const FLESH_CORNER: f64 = 300.0;
/// Length, s.
const LENGTH: f64 = 0.30;

/// A dead note on `key` with `velocity` (0 to 1).
#[must_use]
pub fn pluck(key: u8, velocity: f64, body: &Body) -> Vec<f64> {
    let touch = touch::muted(velocity);
    let length = samples(LENGTH, RATE);
    let modes: Vec<Mode> = BassString::for_key(key)
        .pluck(&touch)
        .into_iter()
        .flatten()
        .map(|mode| Mode {
            decay: mode.decay + decay_for_t60(MUTED_T60) * (1.0 + mode.frequency / FLESH_CORNER),
            ..mode
        })
        .collect();
    let mut force = ring(&modes, length, RATE);
    envelope::shape(&mut force, |time| touch.freed(time));
    let mut sound = body.radiate(&force);
    let peak = envelope::peak(&sound);
    envelope::add(&mut sound, &body.radiate(&touch.noise(length, 1900 + u64::from(key))), peak);
    window::fade_out(&mut sound, length / 4);
    sound
}
