//! A tine: a short steel rod, clamped at one end, tuned by a spring and coupled
//! to a heavier bar that keeps it ringing. A rubber-tipped hammer strikes it.

use crate::dsp::complex::Complex;
use crate::dsp::maths::{
    TURN, decay_for_t60, exp, interpolate, interpolate_geometric, key_frequency, pow,
};

/// Time in which the fundamental falls by 60 dB, in seconds by key. From memory
/// of such instruments.
const RINGING: [(f64, f64); 4] = [(28.0, 13.0), (52.0, 9.0), (76.0, 4.5), (100.0, 1.6)];
/// Swing of the tine's end in millimetres at the hardest blow, by key. From
/// memory.
const SWING: [(f64, f64); 4] = [(28.0, 1.5), (52.0, 1.1), (76.0, 0.6), (100.0, 0.3)];
/// Frequency of a clamped-free bar's second and third mode over its first
/// (Fletcher & Rossing, chapter 2), the second raised by the tuning spring.
const OVERTONES: [f64; 2] = [7.11, 17.55];
/// Swing of these modes over the first at the hardest blow, and their time to
/// -60 dB in seconds. By ear.
const OVERTONE_SWING: [f64; 2] = [0.030, 0.006];
/// See [`OVERTONE_SWING`].
const OVERTONE_RINGING: [f64; 2] = [0.45, 0.12];
/// Time constant in seconds with which the soft hammer tip lets go.
const CONTACT: f64 = 0.0009;

/// One tine under one blow.
#[derive(Clone, Debug)]
pub struct Tine {
    /// Decay and angular frequency of each mode, per second, and its swing in
    /// millimetres.
    modes: Vec<(Complex, f64)>,
}

/// Where the tine's end is, in millimetres, and how fast it moves, in
/// millimetres per second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// In millimetres from rest.
    pub place: f64,
    /// In millimetres per second.
    pub speed: f64,
}

impl Tine {
    /// The tine of a MIDI key, struck at a MIDI velocity.
    #[must_use]
    pub fn struck(key: u8, velocity: f64) -> Self {
        let position = f64::from(key);
        let frequency = key_frequency(position);
        let blow = velocity / 127.0;
        let swing = interpolate_geometric(position, &SWING) * pow(blow, 1.1);
        let ringing = interpolate_geometric(position, &RINGING);
        let mut modes = vec![(mode(frequency, ringing), swing)];
        for index in 0..OVERTONES.len() {
            let overtone = frequency * OVERTONES[index];
            if overtone < 16_000.0 {
                // A harder blow is a shorter one and excites them more.
                let share = OVERTONE_SWING[index] * interpolate(blow, &[(0.2, 0.35), (1.0, 1.0)]);
                modes.push((mode(overtone, OVERTONE_RINGING[index]), swing * share));
            }
        }
        Self { modes }
    }

    /// The motion `time` seconds after the blow.
    #[must_use]
    pub fn at(&self, time: f64) -> Motion {
        let (mut place, mut speed) = (0.0, 0.0);
        for &(pole, swing) in &self.modes {
            let state = (pole * time).exp() * swing;
            place += state.im;
            speed += (pole * state).im;
        }
        // The hammer tip holds on for a moment.
        let held = exp(-time / CONTACT);
        Motion { place: place * (1.0 - held), speed: speed * (1.0 - held) + place * held / CONTACT }
    }

    /// The motion of the fundamental alone, as if it had kept the swing that it
    /// has at `since` seconds for ever, `turns` periods after that.
    #[must_use]
    pub fn steady(&self, since: f64, turns: f64) -> Motion {
        let (pole, swing) = self.modes[0];
        let state = (pole * since).exp() * Complex::polar(swing, TURN * turns);
        Motion { place: state.im, speed: pole.im * state.re }
    }

    /// Fall of the fundamental in decibels per second.
    #[must_use]
    pub fn fall(&self) -> f64 {
        crate::dsp::maths::decibels(exp(1.0)) * -self.modes[0].0.re
    }
}

fn mode(frequency: f64, ringing: f64) -> Complex {
    Complex::new(-decay_for_t60(ringing), TURN * frequency)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Speed is the slope of place.
    #[test]
    fn speed_is_the_slope() {
        let tine = Tine::struck(60, 90.0);
        for time in [0.0005, 0.003, 0.2] {
            let step = 1e-7;
            let slope = (tine.at(time + step).place - tine.at(time - step).place) / (2.0 * step);
            assert!((slope - tine.at(time).speed).abs() < 1e-3 * slope.abs().max(1.0));
        }
    }
}
