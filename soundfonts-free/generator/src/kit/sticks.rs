//! Two sticks knocked together: a count-in.

use super::room::Room;
use super::stick_wood;
use crate::dsp::maths::{exp, samples};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope::{self, mode};

/// Length, s.
const LENGTH: f64 = 0.25;
/// Level (dB) and T60 (s) of the bending modes of sticks held loosely and crossed (from memory).
const WOOD: [(f64, f64); 6] =
    [(-24.0, 0.07), (-15.0, 0.055), (-7.0, 0.045), (-2.0, 0.038), (0.0, 0.032), (-4.0, 0.026)];
/// No two sticks are the same: the second one's modes lie this share higher.
const OTHER_STICK: f64 = 0.037;
/// The room.
const ROOM: Room = Room { amount: 0.09, t60: 0.4 };

/// One knock.
#[must_use]
pub fn knock() -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    let wood = stick_wood::bending_modes(stick_wood::FREE);
    let modes: Vec<Mode> = wood
        .into_iter()
        .zip(WOOD)
        .flat_map(|(hertz, (level_db, t60))| {
            let other = mode(hertz * (1.0 + OTHER_STICK), level_db - 1.5, 0.9 * t60);
            [mode(hertz, level_db, t60), other]
        })
        .collect();
    let mut sound = ring(&modes, length, RATE);
    let white = Noise::new(861).white(length);
    let mut click = filter::band_pass(&white, 2000.0, 10_000.0, 1, RATE);
    envelope::shape(&mut click, |time| envelope::burst(time, 1.0e-4, 6.0e-4));
    let loud = envelope::peak(&sound);
    envelope::add(&mut sound, &envelope::to_unit_peak(click), 0.4 * loud);
    envelope::shape(&mut sound, |time| 1.0 - exp(-time / 1.0e-4));
    ROOM.around(&sound)
}
