//! The bass drum: small (18 inches), open, tuned as high as a jazz drummer tunes it, struck by felt.
//! Feathered it is felt rather than heard: the skin alone, with no knock of the beater.

use super::skin::Skin;
use crate::dsp::maths::{exp, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;
use crate::kit::room::Room;

/// Length, s.
const LENGTH: f64 = 0.75;
/// Modes of the two coupled skins: (over the fundamental, dB, T60 in s). Ratios lie between those of
/// a membrane in vacuo and one loaded by air (Fletcher & Rossing ch. 18); levels and times from memory.
const MODES: [(f64, f64, f64); 8] = [
    (1.0, 0.0, 0.36),
    (1.52, -5.0, 0.28),
    (1.94, -9.0, 0.24),
    (2.35, -12.0, 0.20),
    (2.9, -20.0, 0.18),
    (3.6, -24.0, 0.14),
    (4.3, -27.0, 0.12),
    (5.6, -31.0, 0.10),
];
/// Fundamental, Hz.
const FUNDAMENTAL: f64 = 63.0;
/// Felt is soft: the skin moves with this time constant, s.
const FELT_RISE: f64 = 0.0012;
/// The room.
const ROOM: Room = Room { amount: 0.12, t60: 0.3 };

/// A stroke of the pedal with `velocity` (0 to 1).
#[must_use]
pub fn pedal(velocity: f64) -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    let skin = Skin {
        fundamental: FUNDAMENTAL,
        modes: &MODES,
        stretch: 0.02 + 0.10 * velocity,
        settling: 0.022,
        tilt: 2.5 * (velocity - 0.6),
    };
    let mut sound = skin.ring(length, 0.0);

    let mut noise = Noise::new(402);
    let mut beater = filter::low_pass(&noise.white(length), 900.0 + 2600.0 * velocity, 2, RATE);
    envelope::shape(&mut beater, |time| envelope::burst(time, 0.0006, 0.0045));
    // The beater's slap comes with force: a feathered stroke has a tenth of a full one's.
    let slap = 0.05 + 0.52 * velocity * velocity;
    envelope::add(&mut sound, &envelope::to_unit_peak(beater), slap);

    let mut shell = filter::band_pass(&noise.white(length), 150.0, 900.0, 1, RATE);
    envelope::shape(&mut shell, |time| envelope::burst(time, 0.002, 0.035));
    envelope::add(&mut sound, &envelope::to_unit_peak(shell), 0.08 + 0.15 * velocity);

    envelope::shape(&mut sound, |time| 1.0 - exp(-time / FELT_RISE));
    ROOM.around(&sound)
}
