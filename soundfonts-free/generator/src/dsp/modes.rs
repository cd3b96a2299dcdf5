//! Sums of decaying sinusoids: the free vibration of strings, bars, plates and
//! skins.

use super::complex::Complex;
use super::maths::{TURN, exp, samples};

/// One decaying sinusoid: `amplitude · exp(-decay·t) · sin(2π·frequency·t + phase)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// In hertz.
    pub frequency: f64,
    /// Peak amplitude at the beginning.
    pub amplitude: f64,
    /// In nepers per second; see [`super::maths::decay_for_t60`].
    pub decay: f64,
    /// In radians at the beginning; 0 is a sine.
    pub phase: f64,
}

/// A mode is followed until it has fallen by this many nepers (100 dB); what is
/// left is far below the rounding of a 16-bit sample.
const AUDIBLE_NEPERS: f64 = 11.5;

/// Modes that are advanced together: four recurrences that do not wait for each
/// other keep a processor busy where one waits for itself.
const LANES: usize = 4;

/// Sum of the modes over `length` samples. Modes at or above half the rate are
/// left out.
#[must_use]
pub fn ring(modes: &[Mode], length: usize, rate: f64) -> Vec<f64> {
    let heard: Vec<Mode> =
        modes.iter().filter(|mode| mode.frequency < 0.5 * rate).copied().collect();
    let mut out = vec![0.0; length];
    for group in heard.chunks(LANES) {
        add_group(group, &mut out, rate);
    }
    out
}

/// Adds up to [`LANES`] modes to `out`.
fn add_group(group: &[Mode], out: &mut [f64], rate: f64) {
    let mut state = [Complex::ZERO; LANES];
    let mut turn = [Complex::ZERO; LANES];
    let mut longest: f64 = 0.0;
    for (lane, mode) in group.iter().enumerate() {
        turn[lane] = Complex::polar(exp(-mode.decay / rate), TURN * mode.frequency / rate);
        state[lane] = Complex::polar(mode.amplitude, mode.phase);
        longest = longest.max(AUDIBLE_NEPERS / mode.decay.max(1e-9));
    }
    for x in out.iter_mut().take(samples(longest, rate)) {
        *x += (state[0].im + state[1].im) + (state[2].im + state[3].im);
        for lane in 0..LANES {
            state[lane] = state[lane] * turn[lane];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::maths::sin;
    use super::*;

    #[test]
    fn a_mode_is_its_formula() {
        let mode = Mode { frequency: 440.0, amplitude: 0.7, decay: 3.0, phase: 0.2 };
        let out = ring(&[mode], 44_100, 44_100.0);
        for i in [0_usize, 1, 999, 44_099] {
            let t = i as f64 / 44_100.0;
            let wanted = 0.7 * exp(-3.0 * t) * sin(TURN * 440.0 * t + 0.2);
            assert!((out[i] - wanted).abs() < 1e-9);
        }
    }
}
