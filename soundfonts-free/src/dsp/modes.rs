//! Sums of decaying sinusoids: the free vibration of strings, bars, plates and
//! skins.

use super::complex::Complex;
use super::maths::{TURN, exp};

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

/// Sum of the modes over `length` samples. Modes at or above half the rate are
/// left out.
#[must_use]
pub fn ring(modes: &[Mode], length: usize, rate: f64) -> Vec<f64> {
    let mut out = vec![0.0; length];
    for mode in modes.iter().filter(|mode| mode.frequency < 0.5 * rate) {
        let turn = Complex::polar(exp(-mode.decay / rate), TURN * mode.frequency / rate);
        let mut state = Complex::polar(mode.amplitude, mode.phase);
        for x in &mut out {
            *x += state.im;
            state = state * turn;
        }
    }
    out
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
