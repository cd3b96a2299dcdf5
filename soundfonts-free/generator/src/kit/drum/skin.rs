//! A skin's modes. A blow stretches the skin, so that all modes start a little sharp and settle
//! (Fletcher & Rossing, The Physics of Musical Instruments, ch. 18).

use crate::dsp::RATE;
use crate::dsp::maths::{TURN, amplitude, decay_for_t60, exp, sin};

/// A skin as one blow finds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skin<'a> {
    /// Fundamental, Hz.
    pub fundamental: f64,
    /// Modes: (frequency over the fundamental, level in dB, T60 in s).
    pub modes: &'a [(f64, f64, f64)],
    /// How much sharp the modes begin, as a share of their frequency.
    pub stretch: f64,
    /// Time constant with which they settle, s.
    pub settling: f64,
    /// Brightness of the blow: dB more (or less) for each fundamental that a mode lies higher.
    pub tilt: f64,
}

impl Skin<'_> {
    /// The skin over `length` samples; mode number n begins `phase_step`·n radians into its sine.
    #[must_use]
    pub fn ring(&self, length: usize, phase_step: f64) -> Vec<f64> {
        let mut sound = vec![0.0; length];
        for (number, &(ratio, level_db, t60)) in self.modes.iter().enumerate() {
            let gain = amplitude(level_db + self.tilt * (ratio - 1.0));
            let frequency = self.fundamental * ratio;
            let decay = decay_for_t60(t60);
            let phase = phase_step * number as f64;
            for (index, sample) in sound.iter_mut().enumerate() {
                let time = index as f64 / RATE;
                // The whole turns so far: the integral of f·(1 + stretch·exp(−t/settling)).
                let late = self.stretch * self.settling * (1.0 - exp(-time / self.settling));
                *sample +=
                    gain * exp(-decay * time) * sin(TURN * frequency * (time + late) + phase);
            }
        }
        sound
    }
}
