//! What the strings sing through: the soundboard and what stands around it, as
//! an impulse response, and how unevenly the bridge takes energy from one
//! frequency to the next.
//!
//! About 200 modes from 52 Hz, spaced some 20 Hz apart and wider above 1.5 kHz,
//! with loss factors of 1.5 to 4 %, the lowest few more (Conklin 1996 part II; Wogram 1980; Suzuki
//! 1986). Only statistics are those of a real board: every mode's place and
//! shape is drawn by lot.

use crate::dsp::RATE;
use crate::dsp::complex::Complex;
use crate::dsp::fft::{minimum_phase, signal, smooth_by_octaves, spectrum};
use crate::dsp::filter::high_pass;
use crate::dsp::maths::{self, PI, amplitude, cos, exp, interpolate, ln, pow};
use crate::dsp::modes::{Mode, ring};
use crate::dsp::noise::Noise;

/// Length of the responses in samples: 0.74 seconds.
const LENGTH: usize = 1 << 15;
/// Lowest and highest mode in hertz.
const COMPASS: (f64, f64) = (52.0, 9000.0);
/// Mean spacing of the low modes in hertz.
const SPACING: f64 = 19.5;
/// Share of the modal response; the rest is a smooth path. Fitted.
const MODAL_SHARE: f64 = 0.72;
/// Level of the early reflections against the direct sound (amplitude), and
/// their time to -60 dB in seconds. Fitted.
const REFLECTIONS: (f64, f64) = (0.928, 0.0764);
/// Level and time to -60 dB in seconds of the room. Fitted.
const ROOM: (f64, f64) = (0.215, 0.5);
/// Corner over the first partial below which the board does not answer strings. Fitted.
const PUSH_BELOW: f64 = 0.6;
/// What board, lid and microphone do to the spectrum: hertz and decibels.
/// Fitted.
const RADIATION: [(f64, f64); 11] = [
    (40.0, 16.0),
    (80.0, 15.5),
    (160.0, -3.7),
    (315.0, -4.6),
    (630.0, -7.8),
    (1250.0, -7.6),
    (2500.0, 2.6),
    (5000.0, 9.0),
    (8000.0, 6.7),
    (12_000.0, -4.4),
    (18_000.0, -14.0),
];

/// The board, computed once for all keys.
#[derive(Clone, Debug)]
pub struct Soundboard {
    /// Response to force at the bridge.
    pub bridge: Vec<f64>,
    /// Modes as (frequency in hertz, loss factor, shape at the bridge).
    modes: Vec<(f64, f64, f64)>,
    /// Local mean of the conductance: hertz and value.
    mean_conductance: Vec<(f64, f64)>,
    /// Magnitude of `bridge`, finely and coarsely smoothed, by bin.
    fine: Vec<f64>,
    coarse: Vec<f64>,
}

impl Soundboard {
    /// The board of this seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        let mut lots = Noise::new(seed);
        let modes = draw_modes(&mut lots);
        let modal = modal_response(&modes, &mut lots);
        let radiation = radiation();
        let coloured = |spectrum: &[Complex]| -> Vec<Complex> {
            spectrum.iter().zip(&radiation).map(|(a, b)| *a * *b).collect()
        };
        let mut through_modes =
            signal(&coloured(&modal).iter().map(|b| *b * MODAL_SHARE).collect::<Vec<_>>());
        fade_from(&mut through_modes, 0.15, 0.45);
        let direct =
            signal(&radiation.iter().map(|b| *b * (1.0 - MODAL_SHARE)).collect::<Vec<_>>());
        let energy: f64 = through_modes.iter().zip(&direct).map(|(a, b)| (a + b) * (a + b)).sum();
        let level = energy.sqrt();
        let reflections = Diffuse { t60: REFLECTIONS.1, start: 0.0008, ramp: 0.0032, dark: 9000.0 };
        let room = Diffuse { t60: ROOM.1, start: 0.004, ramp: 0.02, dark: 3210.0 };
        let reflections = reflections.response(&mut lots);
        let room = room.response(&mut lots);
        let mut bridge = Vec::with_capacity(LENGTH);
        for i in 0..LENGTH {
            let around = level * (REFLECTIONS.0 * reflections[i] + ROOM.0 * room[i]);
            let fade = ((LENGTH - i) as f64 / 4000.0).min(1.0);
            bridge.push((through_modes[i] + direct[i] + around) * fade * fade);
        }
        // Nothing below the compass: samples must not carry an offset.
        bridge = high_pass(&bridge, 25.0, 2, RATE);
        let norm = 1.0 / bridge.iter().map(|x| x * x).sum::<f64>().sqrt();
        for x in &mut bridge {
            *x *= norm;
        }
        let power: Vec<f64> = spectrum(&bridge, 2 * LENGTH).iter().map(|b| b.power()).collect();
        let root = |powers: Vec<f64>| powers.into_iter().map(f64::sqrt).collect();
        let mut board = Self {
            fine: root(smooth_by_octaves(&power, 0.02)),
            coarse: root(smooth_by_octaves(&power, 0.7)),
            bridge,
            modes,
            mean_conductance: Vec::new(),
        };
        board.mean_conductance = board.local_means();
        board
    }

    /// The board as the strings of a note whose first partial is `frequency` hertz move it. Below that
    /// partial a string has only the push of the blow, which a real bridge hardly passes on; without
    /// this every key would strike the board's lowest modes like a drum.
    #[must_use]
    pub fn under(&self, frequency: f64) -> Self {
        let corner = PUSH_BELOW * frequency;
        Self { bridge: high_pass(&self.bridge, corner, 3, RATE), ..self.clone() }
    }

    /// How much more (or less) than usual the bridge gives way at `frequency`
    /// hertz: 1 is the local mean.
    #[must_use]
    pub fn unevenness(&self, frequency: f64) -> f64 {
        self.conductance(frequency) / interpolate(frequency, &self.mean_conductance)
    }

    /// Gain that would bring the response at `frequency` hertz to its mean over
    /// the neighbourhood.
    #[must_use]
    pub fn evening(&self, frequency: f64) -> f64 {
        let bin = maths::whole(frequency * (2 * LENGTH) as f64 / RATE).min(self.fine.len() - 1);
        self.coarse[bin] / self.fine[bin].max(1e-9)
    }

    /// Gain that brings the response at exactly `frequency` hertz to its mean over the neighbourhood.
    #[must_use]
    pub fn levelling(&self, frequency: f64) -> f64 {
        let bin = maths::whole(frequency * (2 * LENGTH) as f64 / RATE).min(self.coarse.len() - 1);
        self.coarse[bin] / self.at(frequency).magnitude().max(1e-9)
    }

    /// The response at `frequency` hertz.
    #[must_use]
    pub fn at(&self, frequency: f64) -> Complex {
        let turn = Complex::polar(1.0, -maths::TURN * frequency / RATE);
        let mut sum = Complex::ZERO;
        for x in self.bridge.iter().rev() {
            sum = sum * turn + Complex::new(*x, 0.0);
        }
        sum
    }

    /// Real part of the driving-point admittance, up to a constant.
    fn conductance(&self, frequency: f64) -> f64 {
        let ff = frequency * frequency;
        self.modes
            .iter()
            .map(|&(f, loss, shape)| {
                let damping = loss * f * frequency;
                shape * shape * loss * f * ff / ((f * f - ff) * (f * f - ff) + damping * damping)
            })
            .sum()
    }

    /// Geometric mean of the conductance over five sixths of an octave, at 40
    /// places from 40 Hz to 8 kHz.
    fn local_means(&self) -> Vec<(f64, f64)> {
        (0..40)
            .map(|place| {
                let centre = 40.0 * pow(200.0, f64::from(place) / 39.0);
                let logs: f64 = (0..200)
                    .map(|i| {
                        let share = f64::from(i) / 199.0;
                        ln(self.conductance(centre * (0.75 + 0.58 * share)))
                    })
                    .sum();
                (centre, exp(logs / 200.0))
            })
            .collect()
    }
}

fn draw_modes(lots: &mut Noise) -> Vec<(f64, f64, f64)> {
    let mut frequencies = Vec::new();
    let mut next = COMPASS.0;
    while next < COMPASS.1 {
        frequencies.push(next);
        let spacing = SPACING * (1.0 + pow(next / 1500.0, 1.2));
        next += spacing * (0.35 + 1.3 * lots.uniform());
    }
    frequencies
        .into_iter()
        .map(|f| {
            let loss = 0.022 * (1.0 + 0.3 * lots.gaussian().clamp(-2.0, 2.0))
                + 0.01 * f / 3000.0
                + 0.12 * exp(-f / 90.0);
            (f, loss, lots.gaussian())
        })
        .collect()
}

/// Spectrum of the modes as the microphone hears them, its long-term slope
/// levelled (the slope is [`RADIATION`]'s) and its peaks held to three times the
/// mean.
fn modal_response(modes: &[(f64, f64, f64)], lots: &mut Noise) -> Vec<Complex> {
    let heard: Vec<Mode> = modes
        .iter()
        .map(|&(f, loss, shape)| Mode {
            frequency: f,
            amplitude: shape * lots.gaussian() * f / f.max(200.0).sqrt(),
            decay: PI * loss * f,
            phase: 0.0,
        })
        .collect();
    let bins = spectrum(&ring(&heard, LENGTH, RATE), LENGTH);
    let power: Vec<f64> = bins.iter().map(|b| b.power()).collect();
    bins.iter()
        .zip(smooth_by_octaves(&power, 0.6))
        .map(|(bin, mean)| {
            let level = *bin * (1.0 / mean.sqrt().max(1e-12));
            level * (3.0 / level.magnitude().max(1e-6)).min(1.0)
        })
        .collect()
}

/// Fades a response to nothing between two times in seconds. Levelling a
/// spectrum spreads a little of the response over all times, before its
/// beginning too, which in a buffer is its end.
fn fade_from(response: &mut [f64], from: f64, to: f64) {
    for (i, x) in response.iter_mut().enumerate() {
        let share = ((i as f64 / RATE - from) / (to - from)).clamp(0.0, 1.0);
        *x *= 0.5 + 0.5 * cos(PI * share);
    }
}

/// [`RADIATION`] as a spectrum of minimum phase.
fn radiation() -> Vec<Complex> {
    minimum_phase(&radiation_magnitudes(|_| 1.0))
}

fn radiation_magnitudes(extra: impl Fn(f64) -> f64) -> Vec<f64> {
    let by_octaves: Vec<(f64, f64)> = RADIATION.iter().map(|&(f, db)| (ln(f), db)).collect();
    (0..=LENGTH / 2)
        .map(|bin| {
            let f = bin as f64 * RATE / LENGTH as f64;
            if bin == 0 {
                return 0.0;
            }
            amplitude(interpolate(ln(f.max(16.0)), &by_octaves)) * extra(f)
        })
        .collect()
}

/// Sound that comes from everywhere: noise that dies away, the high part
/// sooner.
struct Diffuse {
    t60: f64,
    start: f64,
    ramp: f64,
    /// First-order low pass in hertz.
    dark: f64,
}

impl Diffuse {
    /// The response, of unit energy.
    fn response(&self, lots: &mut Noise) -> Vec<f64> {
        let white = lots.white(LENGTH);
        let low = crate::dsp::filter::low_pass(&white, 1500.0, 1, RATE);
        let decay = |t: f64, t60: f64| exp(-maths::decay_for_t60(t60) * t);
        let shaped: Vec<f64> = white
            .iter()
            .zip(&low)
            .enumerate()
            .map(|(i, (all, low))| {
                let t = i as f64 / RATE;
                let rise = ((t - self.start) / self.ramp).clamp(0.0, 1.0);
                rise * (low * decay(t, self.t60) + (all - low) * decay(t, 0.6 * self.t60))
            })
            .collect();
        let colour = minimum_phase(&radiation_magnitudes(|f| {
            let low_cut = 1.0 / (1.0 + pow(140.0 / f, 4.0)).sqrt();
            low_cut / (1.0 + pow(f / self.dark, 2.0)).sqrt()
        }));
        let bins: Vec<Complex> =
            spectrum(&shaped, LENGTH).iter().zip(&colour).map(|(a, b)| *a * *b).collect();
        let out = signal(&bins);
        let norm = 1.0 / out.iter().map(|x| x * x).sum::<f64>().sqrt();
        out.into_iter().map(|x| x * norm).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_response_at_a_frequency_is_its_spectrum() {
        let board = Soundboard::new(11);
        let bins = spectrum(&board.bridge, LENGTH);
        let f = 300.0 * RATE / LENGTH as f64;
        assert!((board.at(f) - bins[300]).magnitude() < 1e-6);
    }

    /// Conklin 1996: about one mode in 20 Hz at low frequencies.
    #[test]
    fn modes_are_as_dense_as_a_real_boards() {
        let board = Soundboard::new(11);
        let below_1k = board.modes.iter().filter(|m| m.0 < 1000.0).count();
        assert!((25..55).contains(&below_1k), "{below_1k}");
    }
}
