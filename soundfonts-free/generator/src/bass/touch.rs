//! The plucking finger. Softly it lets the string roll off its flesh; hard it snaps it from the tip,
//! and the string slaps the fingerboard.

use crate::dsp::maths::{amplitude, exp, pow};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter};
use crate::envelope;

/// How a finger plucks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Frequency above which the finger lets go too slowly to excite partials, Hz.
    bandwidth: f64,
    /// How steeply they fall above it: the power of frequency.
    steepness: f64,
    /// Level of the growl against the partials.
    pub growl: f64,
    /// Time constant in which the string comes free, s.
    release: f64,
    /// Level of the finger's thump and of the fingerboard's click: force of which the body makes a
    /// sound, against the peak of the string's.
    thump: f64,
    click: f64,
}

/// Bandwidth at velocity 0.7, Hz, and the factor over the whole range of velocities.
const BANDWIDTH: (f64, f64) = (400.0, 15.0);

impl Touch {
    /// A pluck with `velocity` (0 to 1).
    #[must_use]
    pub fn pluck(velocity: f64) -> Self {
        Self {
            bandwidth: BANDWIDTH.0 * pow(BANDWIDTH.1, velocity - 0.7),
            steepness: 1.75 - 0.75 * velocity,
            growl: 0.10 + 0.30 * velocity,
            release: 0.0053 * (1.3 - 0.7 * velocity),
            thump: 0.19,
            click: 0.009 + 0.06 * velocity * velocity * velocity,
        }
    }

    /// What is left of a partial at `hertz`.
    #[must_use]
    pub fn level(&self, hertz: f64) -> f64 {
        let over = hertz / self.bandwidth;
        pow(1.0 + over * over, -0.5 * self.steepness)
    }

    /// How far the string has come free at `time` seconds, 0 to 1.
    #[must_use]
    pub fn freed(&self, time: f64) -> f64 {
        1.0 - exp(-time / self.release)
    }

    /// The finger's own force on the instrument, `length` samples of it, for a string whose sound
    /// peaks at 1.
    #[must_use]
    pub fn noise(&self, length: usize, seed: u64) -> Vec<f64> {
        let mut noise = Noise::new(seed);
        let mut thump = filter::band_pass(&noise.white(length), 45.0, 240.0, 3, RATE);
        envelope::shape(&mut thump, |time| envelope::burst(time, 0.004, 0.030));
        let mut click = filter::band_pass(&noise.white(length), 700.0, 4800.0, 1, RATE);
        envelope::shape(&mut click, |time| envelope::burst(time, 0.0012, 0.006));
        let mut both = vec![0.0; length];
        envelope::add(&mut both, &envelope::to_unit_peak(thump), self.thump);
        envelope::add(&mut both, &envelope::to_unit_peak(click), self.click);
        both
    }
}

/// What a muting hand leaves of the touch: the string is hardly let go, the finger is all the more
/// heard. `velocity` from 0 to 1.
#[must_use]
pub fn muted(velocity: f64) -> Touch {
    let plain = Touch::pluck(velocity);
    Touch {
        bandwidth: 0.8 * plain.bandwidth,
        growl: 0.0,
        thump: 0.26,
        click: 0.012 * amplitude(6.0 * velocity),
        ..plain
    }
}
