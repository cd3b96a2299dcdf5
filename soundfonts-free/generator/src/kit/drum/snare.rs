//! The snare drum: 14 by 5½ inches, tuned high, the wires on; played near the middle.

use super::skin::Skin;
use crate::dsp::maths::{exp, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;
use crate::kit::band_noise::{self, Band};
use crate::kit::room::Room;

/// Length, s.
const LENGTH: f64 = 0.7;
/// Fundamental of the batter skin with the air and the lower skin behind it, Hz.
pub const FUNDAMENTAL: f64 = 205.0;
/// Modes of skins and shell: (over the fundamental, dB, T60 in s). Frequencies after the measured
/// ones of a 14-inch drum in Rossing, Bork, Zhao & Fystrom 1992 (from memory), levels and times from
/// memory.
const MODES: [(f64, f64, f64); 12] = [
    (1.0, -5.0, 0.22),
    (1.074, -10.0, 0.16),
    (1.553, -3.0, 0.18),
    (1.777, -2.0, 0.20),
    (2.069, -10.0, 0.14),
    (2.293, -14.0, 0.13),
    (2.755, -16.0, 0.12),
    (3.255, -18.0, 0.11),
    (3.750, -19.0, 0.10),
    (4.378, -22.0, 0.09),
    (5.112, -24.0, 0.08),
    (6.011, -26.0, 0.07),
];
/// The wires rattling against the lower skin: (Hz, dB, T60 in s, rise in s).
const WIRES: [Band; 7] = [
    Band::new(300.0, -14.0, 0.18, 0.002),
    Band::new(700.0, -9.0, 0.22, 0.002),
    Band::new(1500.0, -6.0, 0.26, 0.002),
    Band::new(3000.0, -4.0, 0.28, 0.0025),
    Band::new(6000.0, -5.0, 0.26, 0.003),
    Band::new(10_000.0, -12.0, 0.22, 0.003),
    Band::new(15_000.0, -22.0, 0.18, 0.003),
];
/// How fast and how deep the wires' noise trembles as they leave the skin and fall back: Hz, share.
const TREMBLE_RATE: f64 = 180.0;
/// See [`TREMBLE_RATE`].
const TREMBLE_DEPTH: f64 = 0.35;
/// The room.
const ROOM: Room = Room { amount: 0.15, t60: 0.35 };

/// A stroke of the stick with `velocity` (0 to 1).
#[must_use]
pub fn stick(velocity: f64) -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    let skin = Skin {
        fundamental: FUNDAMENTAL,
        modes: &MODES,
        stretch: 0.035 * velocity,
        settling: 0.02,
        tilt: 1.2 * (velocity - 0.6),
    };
    let mut sound = skin.ring(length, 0.29);
    let wires = rattle(&WIRES, length, 504);
    let first = envelope::rms(envelope::head(&wires, 0.05)).max(1e-12);
    envelope::add(&mut sound, &wires, (0.20 + 0.10 * velocity) / first);

    let white = Noise::new(506).white(length);
    let mut tip = filter::band_pass(&white, 900.0, 7000.0 + 4000.0 * velocity, 1, RATE);
    envelope::shape(&mut tip, |time| exp(-time / 0.0018));
    envelope::add(&mut sound, &envelope::to_unit_peak(tip), 0.25 + 0.45 * velocity);
    ROOM.around(&sound)
}

/// Wires rattling as `bands` say, with the noise stream `seed`.
#[must_use]
pub fn rattle(bands: &[Band], length: usize, seed: u64) -> Vec<f64> {
    let mut wires = band_noise::shaped(bands, length, seed);
    let white = Noise::new(seed ^ 0x5457).white(length);
    let slow = filter::low_pass(&white, TREMBLE_RATE, 1, RATE);
    let depth = TREMBLE_DEPTH / envelope::rms(&slow).max(1e-12);
    for (sample, tremble) in wires.iter_mut().zip(&slow) {
        *sample *= (1.0 + depth * tremble).clamp(0.2, 2.0);
    }
    wires
}
