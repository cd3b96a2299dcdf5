//! The stick itself: the click of its tip, and the short knock of the wood.

use crate::dsp::filter;
use crate::dsp::maths::{TURN, amplitude, exp, samples, sin};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, window};
use crate::envelope;

/// What is heard of a stick's tip when it meets metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Level in dB against the first 0.1 s of the sound it starts.
    pub level_db: f64,
    /// Lower and upper edge of the click, Hz.
    pub band: (f64, f64),
    /// Time constant of the click, s.
    pub fall: f64,
    /// The knock of the wood: (Hz, level in dB as above, time constant in s).
    pub knock: &'static [(f64, f64, f64)],
}

/// A contact is over after this time, s.
const LENGTH: f64 = 0.02;
/// Time constant with which the tip's force rises, s (from memory: contacts last 0.2-0.5 ms).
const RISE: f64 = 1.5e-4;
/// The click's level is taken over this stretch after the blow, s.
const LOUD_PART: f64 = 0.002;

impl Contact {
    /// Adds this contact to the beginning of `sound`, whose level is `reference`, using the noise
    /// stream `seed`.
    pub fn add_to(&self, sound: &mut [f64], reference: f64, seed: u64) {
        let length = samples(LENGTH, RATE);
        let white = Noise::new(seed).white(length);
        let mut click = filter::band_pass(&white, self.band.0, self.band.1, 2, RATE);
        envelope::shape(&mut click, |time| envelope::burst(time, RISE, self.fall));
        window::fade_out(&mut click, length / 4);
        let loud = envelope::rms(envelope::head(&click, LOUD_PART));
        if loud > 0.0 {
            envelope::add(sound, &click, reference * amplitude(self.level_db) / loud);
        }
        for &(hertz, level_db, fall) in self.knock {
            let gain = reference * amplitude(level_db);
            for (index, sample) in sound.iter_mut().take(length).enumerate() {
                let time = index as f64 / RATE;
                *sample += gain * sin(TURN * hertz * time) * exp(-time / fall);
            }
        }
    }
}
