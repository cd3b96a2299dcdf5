//! Clicks to practise with: the two wood blocks that every metronome knows, and a softer pair for an
//! hour of it: a rounded knock with little between 2 and 5 kHz, where ears are most sensitive
//! (ISO 226) and tire first.

use crate::dsp::maths::{exp, samples};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope::{self, mode};
use crate::kit::band_noise::{self, Band};
use crate::kit::room::Room;

/// Modes of a slit wooden box over its lowest: (ratio, dB, T60 in s), from memory.
const BLOCK: [(f64, f64, f64); 7] = [
    (1.0, 0.0, 0.075),
    (1.47, -9.0, 0.055),
    (2.09, -12.0, 0.045),
    (2.56, -13.0, 0.040),
    (3.43, -18.0, 0.030),
    (4.2, -22.0, 0.025),
    (0.52, -20.0, 0.060),
];
/// The high block's lowest mode, Hz.
pub const HIGH_BLOCK: f64 = 1175.0;
/// The low block's lowest mode, Hz.
pub const LOW_BLOCK: f64 = 830.0;
/// The soft click's lowest mode, Hz. Too short to have a key that could clash with the music's.
pub const SOFT: f64 = 740.0;
/// The same for its accent, Hz.
pub const SOFT_ACCENT: f64 = 1110.0;
/// Modes of a small rosewood bar struck with a soft mallet: (ratio, dB, T60 in s); a bar that is not
/// undercut has 1 : 2.76 : 5.40 (Fletcher & Rossing ch. 2).
const BAR: [(f64, f64, f64); 3] = [(1.0, 0.0, 0.055), (2.76, -20.0, 0.025), (5.40, -30.0, 0.012)];
/// Length of any click, s.
const LENGTH: f64 = 0.3;

/// A wood block whose lowest mode is `hertz`.
#[must_use]
pub fn wood_block(hertz: f64) -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    let modes: Vec<Mode> =
        BLOCK.iter().map(|&(ratio, level_db, t60)| mode(hertz * ratio, level_db, t60)).collect();
    let mut sound = ring(&modes, length, RATE);
    let mut knock = filter::band_pass(&Noise::new(704).white(length), 1500.0, 9000.0, 1, RATE);
    envelope::shape(&mut knock, |time| exp(-time / 0.0009));
    envelope::add(&mut sound, &envelope::to_unit_peak(knock), 0.5);
    let wood = [
        Band::new(800.0, -8.0, 0.05, 5e-4),
        Band::new(3000.0, -6.0, 0.05, 5e-4),
        Band::new(9000.0, -8.0, 0.04, 5e-4),
    ];
    let grain = band_noise::shaped(&wood, length, 705);
    envelope::add(&mut sound, &envelope::to_unit_peak(grain), 0.06);
    envelope::shape(&mut sound, |time| 1.0 - exp(-time / 2.0e-4));
    Room { amount: 0.075, t60: 0.25 }.around(&sound)
}

/// A soft click whose lowest mode is `hertz`.
#[must_use]
pub fn soft(hertz: f64) -> Vec<f64> {
    let length = samples(LENGTH, RATE);
    let modes: Vec<Mode> =
        BAR.iter().map(|&(ratio, level_db, t60)| mode(hertz * ratio, level_db, t60)).collect();
    let mut sound = ring(&modes, length, RATE);
    let mut felt = filter::band_pass(&Noise::new(711).white(length), 200.0, 1400.0, 1, RATE);
    envelope::shape(&mut felt, |time| envelope::burst(time, 5e-4, 0.003));
    envelope::add(&mut sound, &envelope::to_unit_peak(felt), 0.25);
    envelope::shape(&mut sound, |time| 1.0 - exp(-time / 6.0e-4));
    sound
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The soft click has far less of its energy where ears are most sensitive.
    #[test]
    fn the_soft_click_spares_the_ear() {
        let share = |sound: &[f64]| {
            envelope::rms(&filter::band_pass(sound, 2000.0, 5000.0, 3, RATE)) / envelope::rms(sound)
        };
        let (hard, soft) = (share(&wood_block(HIGH_BLOCK)), share(&soft(SOFT)));
        assert!(soft < 0.35 * hard, "{soft} of {hard}");
    }
}
