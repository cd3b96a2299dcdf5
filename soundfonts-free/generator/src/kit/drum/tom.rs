//! Toms: 14-inch floor tom and 12-inch rack tom, open and tuned high.

use super::skin::Skin;
use crate::dsp::maths::{exp, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;
use crate::kit::room::Room;

/// One of the two drums.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tom {
    /// Fundamental, Hz (from memory).
    pub fundamental: f64,
    /// T60 of the fundamental, s (from memory).
    pub t60: f64,
    /// Names the drum.
    pub seed: u64,
}

/// The floor tom.
pub const FLOOR: Tom = Tom { fundamental: 92.0, t60: 1.25, seed: 801 };
/// The rack tom.
pub const RACK: Tom = Tom { fundamental: 145.0, t60: 1.05, seed: 802 };

/// Modes over the fundamental: those of a membrane (0,1) (1,1) (2,1) (0,2) (3,1) (1,2) (4,1) are 1,
/// 1.59, 2.14, 2.30, 2.65, 2.92, 3.16 in vacuo; the air in the shell draws the lower ones together
/// (Fletcher & Rossing ch. 18). The second entry of the first pair is the other skin. Level in dB;
/// T60 as a share of the fundamental's.
const MODES: [(f64, f64, f64); 9] = [
    (1.0, 0.0, 1.0),
    (1.06, -9.0, 0.8),
    (1.52, -5.0, 0.72),
    (1.99, -10.0, 0.55),
    (2.27, -13.0, 0.42),
    (2.44, -14.0, 0.45),
    (2.89, -17.0, 0.35),
    (3.33, -20.0, 0.30),
    (4.10, -24.0, 0.22),
];
/// The room.
const ROOM: Room = Room { amount: 0.10, t60: 0.35 };

impl Tom {
    /// A stroke of the stick with `velocity` (0 to 1), `seconds` long.
    #[must_use]
    pub fn stick(&self, velocity: f64, seconds: f64) -> Vec<f64> {
        let length = samples(seconds, RATE);
        let modes = MODES.map(|(ratio, level, share)| (ratio, level, share * self.t60));
        let skin = Skin {
            fundamental: self.fundamental,
            modes: &modes,
            stretch: 0.008 + 0.05 * velocity,
            settling: 0.06,
            tilt: 2.0 + 3.0 * (velocity - 0.7),
        };
        let mut sound = skin.ring(length, 0.21);
        let white = Noise::new(self.seed).white(length);
        let mut tip = filter::band_pass(&white, 300.0, 2200.0 + 2600.0 * velocity, 1, RATE);
        envelope::shape(&mut tip, |time| exp(-time / 0.009));
        envelope::add(&mut sound, &envelope::to_unit_peak(tip), 0.30 + 0.75 * velocity);
        envelope::shape(&mut sound, |time| 1.0 - exp(-time / 0.0004));
        ROOM.around(&sound)
    }
}
