//! What is heard of a stroke beside the strings: the hammer's knock through the
//! frame, the thump of the key on its bed, the brush of the felt (Askenfelt &
//! Jansson 1990 describe them; the levels are fitted).

use super::design::Key;
use super::stroke::peak;
use crate::dsp::RATE;
use crate::dsp::filter::{band_pass, high_pass};
use crate::dsp::maths::{self, exp, interpolate, pow};
use crate::dsp::noise::Noise;

/// Share of the hammer force that reaches the case. Fitted, so that what lies below the tone of a key
/// from C4 up is as loud as between two sampled grands.
const KNOCK: f64 = 0.016;
/// The same over the compass: in the top octave the knock is half of what one
/// hears (Askenfelt & Jansson 1990). Fitted.
const KNOCK_BY_KEY: [(f64, f64); 5] =
    [(21.0, 3.0), (45.0, 2.0), (60.0, 0.7), (84.0, 0.8), (108.0, 1.6)];
/// Level of the key-bed thump against the strings' peak at velocity 80.
const THUMP: f64 = 0.003;
/// Level of the felt noise against the strings' peak.
const FELT: f64 = 0.008_24;
/// Thump over the compass: a treble hammer is light.
const THUMP_BY_KEY: [(f64, f64); 3] = [(21.0, 1.4), (60.0, 1.0), (108.0, 0.2)];
/// Seconds after which none of this is heard.
const LENGTH: f64 = 0.25;

/// The noises of one stroke.
pub(super) struct Noises<'a> {
    pub(super) key: &'a Key,
    pub(super) velocity: f64,
    /// Peak of the bridge force at velocity 80, in newtons.
    pub(super) reference: f64,
}

impl Noises<'_> {
    /// All of them as a force on the case, beside the bridge force `strings`;
    /// `blow` is the hammer force on one string.
    pub(super) fn sound(&self, blow: &[f64], strings: &[f64]) -> Vec<f64> {
        let length = maths::samples(LENGTH, RATE).min(strings.len());
        let share = KNOCK * interpolate(f64::from(self.key.key), &KNOCK_BY_KEY);
        let mut knock: Vec<f64> =
            blow.iter().map(|force| force * share * self.key.strings as f64).collect();
        knock.resize(length, 0.0);
        let mut out = high_pass(&knock, 110.0, 2, RATE);
        let white = Noise::new(7700 + u64::from(self.key.key)).white(length);
        let loudest = peak(&strings[..strings.len().min(4410)]);
        let thump_level = THUMP
            * interpolate(f64::from(self.key.key), &THUMP_BY_KEY)
            * self.reference
            * pow(self.velocity / 90.0, 1.1);
        let thump = burst(&white, (40.0, 350.0), 0.008, 0.03, thump_level);
        let felt = burst(&white, (700.0, 5000.0), 0.003, 0.010, FELT * loudest);
        for ((x, a), b) in out.iter_mut().zip(thump).zip(felt) {
            *x += a + b;
        }
        out
    }
}

/// Noise in a band (hertz) that rises and falls with the given time constants
/// (seconds), scaled to a peak.
fn burst(white: &[f64], band: (f64, f64), rise: f64, fall: f64, level: f64) -> Vec<f64> {
    let mut out = band_pass(white, band.0, band.1, 2, RATE);
    for (i, x) in out.iter_mut().enumerate() {
        let t = i as f64 / RATE;
        *x *= exp(-t / fall) * (1.0 - exp(-t / rise));
    }
    let scale = level / peak(&out).max(1e-12);
    out.into_iter().map(|x| x * scale).collect()
}
