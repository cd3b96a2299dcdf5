//! Noise whose level and decay depend on frequency: the many small vibrations of a struck thing that
//! no ear tells apart.

use crate::dsp::RATE;
use crate::dsp::filter;
use crate::dsp::maths::{amplitude, decay_for_t60, exp, ln};
use crate::dsp::noise::Noise;
use crate::envelope;

/// What the noise does around one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Frequency in Hz.
    pub hertz: f64,
    /// Level in dB of a band of constant width on the logarithmic scale.
    pub level_db: f64,
    /// Seconds in which it falls by 60 dB.
    pub t60: f64,
    /// Time constant of its rise, in seconds.
    pub rise: f64,
}

impl Band {
    /// A band by its four numbers.
    #[must_use]
    pub const fn new(hertz: f64, level_db: f64, t60: f64, rise: f64) -> Self {
        Self { hertz, level_db, t60, rise }
    }

    /// The band between this one and `next`, `way` (0 to 1) of the distance on logarithmic paper.
    fn towards(self, next: Self, way: f64) -> Self {
        let geometric = |from: f64, to: f64| from * exp(way * ln(to / from));
        Self {
            hertz: geometric(self.hertz, next.hertz),
            level_db: self.level_db + way * (next.level_db - self.level_db),
            t60: geometric(self.t60, next.t60),
            rise: geometric(self.rise, next.rise),
        }
    }
}

/// How many bands of noise fill the room between two given ones.
const FILLING: usize = 3;

/// `length` samples of noise that follows `bands` (frequencies rising), from the stream `seed`.
#[must_use]
pub fn shaped(bands: &[Band], length: usize, seed: u64) -> Vec<f64> {
    let mut noise = Noise::new(seed);
    let mut sound = vec![0.0; length];
    for pair in bands.windows(2) {
        let [from, to] = [pair[0], pair[1]];
        for step in 0..FILLING {
            let band = from.towards(to, (step as f64 + 0.5) / FILLING as f64);
            let half_width = exp(ln(to.hertz / from.hertz) / (2 * FILLING) as f64);
            let white = noise.white(length);
            let low = band.hertz / half_width;
            let high = band.hertz * half_width;
            let part = filter::band_pass(&white, low, high, 2, RATE);
            let steady = envelope::rms(&part);
            if steady > 0.0 {
                let gain = amplitude(band.level_db) / steady;
                let decay = decay_for_t60(band.t60);
                for (index, (sample, part)) in sound.iter_mut().zip(&part).enumerate() {
                    let time = index as f64 / RATE;
                    *sample += gain * part * envelope::burst(time, band.rise, 1.0 / decay);
                }
            }
        }
    }
    sound
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dsp::maths::decibels;

    /// A fall by 60 dB in T60 is one by 60·0.3/T60 dB in 0.3 s.
    #[test]
    fn a_band_falls_in_its_time() {
        for (low, high, t60) in [(200.0, 400.0, 1.0), (8000.0, 16_000.0, 0.4)] {
            let bands = [Band::new(low, 0.0, t60, 1e-4), Band::new(high, 0.0, t60, 1e-4)];
            let sound = shaped(&bands, 44_100, 3);
            let level = |from: usize| decibels(envelope::rms(&sound[from..from + 8820]));
            let fall = level(0) - level(13_230);
            assert!((fall - 18.0 / t60).abs() < 2.0, "{fall} dB in 0.3 s");
        }
    }

    #[test]
    fn a_band_stays_where_it_is() {
        let sound = shaped(
            &[Band::new(400.0, 0.0, 1.0, 1e-4), Band::new(800.0, 0.0, 1.0, 1e-4)],
            44_100,
            3,
        );
        let above = filter::high_pass(&sound, 3200.0, 4, RATE);
        assert!(envelope::rms(&above) < 0.1 * envelope::rms(&sound));
    }
}
