//! A vibraphone bar: aluminium, hollowed from below so that its second mode is two octaves above the
//! first and its third a little over three octaves and a third (Fletcher & Rossing, The Physics of
//! Musical Instruments, ch. 19), over a tube that answers the first. A yarn mallet is soft: it leaves
//! high modes out, the more so the softer the stroke.

use crate::dsp::maths::{amplitude, key_frequency, pow, samples};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter, window};
use crate::envelope;

/// T60 of the first mode at F3 (key 53), s, with the dampers up, and semitones in which it halves
/// (from memory).
const FIRST_T60: f64 = 7.5;
/// See [`FIRST_T60`].
const T60_HALVES_IN: f64 = 20.0;
/// The second mode: level of an ideally hard stroke, and T60 as a share of the first's.
const SECOND: (f64, f64) = (0.22, 0.22);
/// The modes that are over soon: ratio to the first, level, and T60: a share of the first mode's for
/// the tuned one, seconds for the two that no one tuned (from memory).
const THIRD: (f64, f64, f64) = (10.15, 0.6, 0.07);
/// See [`THIRD`].
const UNTUNED: [(f64, f64, f64); 2] = [(2.75, 0.05, 0.12), (6.3, 0.04, 0.06)];
/// Frequency above which a stroke of no force at all excites modes less, Hz, and the factor to a
/// stroke of full force.
const MALLET: (f64, f64) = (900.0, 6.0);
/// How steeply: the power of frequency.
const MALLET_STEEPNESS: f64 = 3.2;
/// Length of what is heard of a blow, s.
const BLOW: f64 = 0.22;
/// Rise of the modes under a mallet that stays for some milliseconds, s.
const RISE: f64 = 0.002;

/// One bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// MIDI key.
    pub key: u8,
}

impl Bar {
    /// First mode, Hz.
    #[must_use]
    pub fn frequency(self) -> f64 {
        key_frequency(f64::from(self.key))
    }

    /// Fall of the first mode, dB per second.
    #[must_use]
    pub fn first_fall(self) -> f64 {
        60.0 / self.first_t60()
    }

    /// Fall of the second mode, dB per second.
    #[must_use]
    pub fn second_fall(self) -> f64 {
        60.0 / (SECOND.1 * self.first_t60())
    }

    /// Amplitude of the first mode after a stroke with `velocity` (0 to 1).
    #[must_use]
    pub fn first_level(self, velocity: f64) -> f64 {
        softened(self.frequency(), velocity)
    }

    /// Amplitude of the second mode after a stroke with `velocity` (0 to 1).
    #[must_use]
    pub fn second_level(self, velocity: f64) -> f64 {
        SECOND.0 * softened(4.0 * self.frequency(), velocity)
    }

    /// What is heard of a blow with `velocity` (0 to 1) beside the first two modes.
    #[must_use]
    pub fn blow(self, velocity: f64) -> Vec<f64> {
        let length = samples(BLOW, RATE);
        let first = self.frequency();
        let third = (THIRD.0, THIRD.1, THIRD.2 * self.first_t60());
        let mut modes: Vec<Mode> = Vec::new();
        for (ratio, level, t60) in UNTUNED.into_iter().chain([third]) {
            let mode = Mode {
                amplitude: level * softened(ratio * first, velocity),
                ..envelope::mode(ratio * first, 0.0, t60)
            };
            modes.extend([mode, envelope::held_back(mode, 0.9, RISE)]);
        }
        let mut sound = ring(&modes, length, RATE);
        let white = Noise::new(810 + u64::from(self.key)).white(length);
        let mut yarn = filter::band_pass(&white, 300.0, 2500.0 + 3500.0 * velocity, 1, RATE);
        envelope::shape(&mut yarn, |time| envelope::burst(time, 0.001, 0.005));
        let loudness = amplitude(-30.0) + amplitude(-9.0) * velocity * velocity;
        envelope::add(&mut sound, &envelope::to_unit_peak(yarn), loudness);
        window::fade_out(&mut sound, length / 3);
        sound
    }

    fn first_t60(self) -> f64 {
        FIRST_T60 * pow(2.0, -(f64::from(self.key) - 53.0) / T60_HALVES_IN)
    }
}

/// What a mallet leaves of a mode at `hertz` in a stroke with `velocity` (0 to 1).
fn softened(hertz: f64, velocity: f64) -> f64 {
    let over = hertz / (MALLET.0 * pow(MALLET.1, velocity));
    pow(1.0 + over * over, -0.5 * MALLET_STEEPNESS)
}
