//! The room that a drum is heard in at arm's length: without it skins and wood sound like machines.
//! It is short and quiet; the hall is added to the finished mix.

use crate::dsp::fft::convolve;
use crate::dsp::maths::{decay_for_t60, exp, samples};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;

/// A small room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Amplitude of the room against the drum, for a click as short as a sample.
    pub amount: f64,
    /// Decay, s.
    pub t60: f64,
}

/// Time until the first wall answers, s: two metres there and back.
const FIRST_ECHO: f64 = 0.006;
/// Time constant with which the echoes thicken, s.
const THICKENING: f64 = 0.015;
/// Walls, people and air take the top away above this frequency, and the room is too small for
/// anything below the other, Hz.
const TOP: f64 = 3500.0;
/// See [`TOP`].
const BOTTOM: f64 = 180.0;
/// The room is followed for this long, s.
const LENGTH: f64 = 0.37;
/// All drums stand in the same room.
const SEED: u64 = 5;

impl Room {
    /// `sound` with the room around it.
    #[must_use]
    pub fn around(self, sound: &[f64]) -> Vec<f64> {
        let mut echoes = Noise::new(SEED).white(samples(LENGTH, RATE));
        let decay = decay_for_t60(self.t60);
        envelope::shape(&mut echoes, |time| {
            let since = (time - FIRST_ECHO).max(0.0);
            exp(-decay * time) * (since / THICKENING).min(1.0)
        });
        let dull = filter::low_pass(&filter::high_pass(&echoes, BOTTOM, 2, RATE), TOP, 1, RATE);
        let energy: f64 = dull.iter().map(|echo| echo * echo).sum();
        let mut heard = sound.to_vec();
        if energy > 0.0 {
            envelope::add(&mut heard, &convolve(sound, &dull), self.amount / energy.sqrt());
        }
        heard
    }
}
