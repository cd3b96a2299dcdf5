//! The body of the bass: what the bridge's force becomes in the air.

use crate::curve::{self, Points};
use crate::dsp::complex::Complex;
use crate::dsp::fft::{convolve, minimum_phase, signal, smooth_by_octaves, spectrum};
use crate::dsp::maths::{PI, TURN, amplitude, decay_for_t60, exp, pow, samples, sin};
use crate::dsp::noise::Noise;
use crate::dsp::{RATE, filter, window};
use crate::envelope;

/// Length of the response, samples: 0.37 s.
const LENGTH: usize = 1 << 14;
/// The lowest resonances, Hz: air, top, and the first plates (after Askenfelt 1982 and Brown 1999,
/// from memory), with their strengths.
const LOW_MODES: [(f64, f64); 5] =
    [(62.0, 1.2), (98.0, 1.0), (114.0, 0.8), (143.0, 0.8), (176.0, 0.7)];
/// Above these the resonances crowd: the first of them, their spacing at the low end, and where the
/// spacing has doubled, Hz.
const CROWD: (f64, f64, f64) = (205.0, 28.0, 1500.0);
/// Resonances above this are not followed, Hz.
const HIGHEST_MODE: f64 = 6000.0;
/// Loss factor of wood and joints, its scatter, and its rise per 3 kHz (from memory).
const LOSS: (f64, f64, f64) = (0.035, 0.3, 0.008);
/// How much of the response is ragged resonance; the rest is its smooth mean. A whole body in a whole
/// room is smoother than one measured point.
const RAGGEDNESS: f64 = 0.25;
/// No resonance stands out of the mean by more than this factor.
const HIGHEST_PEAK: f64 = 2.6;
/// Mean response over frequency, dB: fitted so that played lines come near recorded ones in mean
/// spectrum, with decay and touch together.
const MEAN: Points = &[
    (25.0, -15.8),
    (40.0, -3.7),
    (63.0, 6.0),
    (125.0, 2.8),
    (250.0, 3.4),
    (500.0, -4.6),
    (1000.0, -3.0),
    (2000.0, 0.2),
    (4000.0, -7.5),
    (8000.0, -17.4),
];
/// Amplitude and T60 (s) of the room close to the bass, and its first echo, s.
const ROOM: (f64, f64, f64) = (0.09, 0.32, 0.005);
/// Nothing below this is kept, Hz.
const LOW_CUT: f64 = 25.0;

/// The body's response to a unit force on the bridge.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    response: Vec<f64>,
}

impl Body {
    /// The one body there is.
    #[must_use]
    pub fn new() -> Self {
        let bin_width = RATE / LENGTH as f64;
        let hertz: Vec<f64> = (0..=LENGTH / 2).map(|bin| bin as f64 * bin_width).collect();
        let mean: Vec<f64> = hertz
            .iter()
            .map(|&f| if f > 0.0 { amplitude(curve::level_at(MEAN, f.max(8.0))) } else { 0.0 })
            .collect();
        let ragged = ragged_response(&hertz);
        let smooth = minimum_phase(&mean);
        let both: Vec<Complex> = ragged
            .iter()
            .zip(&smooth)
            .map(|(&ragged, &smooth)| {
                (ragged * RAGGEDNESS + Complex::new(1.0 - RAGGEDNESS, 0.0)) * smooth
            })
            .collect();
        let mut response = signal(&both);
        let energy = response.iter().map(|x| x * x).sum::<f64>().sqrt();
        envelope::add(&mut response, &room(&hertz, &mean), ROOM.0 * energy);
        let mut response = filter::high_pass(&response, LOW_CUT, 2, RATE);
        window::fade_out(&mut response, 2000);
        let energy = response.iter().map(|x| x * x).sum::<f64>().sqrt();
        for sample in &mut response {
            *sample /= energy;
        }
        Self { response }
    }

    /// The sound of a force on the bridge.
    #[must_use]
    pub fn radiate(&self, force: &[f64]) -> Vec<f64> {
        convolve(force, &self.response)
    }

    /// What the body does to a steady sine of `frequency` Hz that decays by `decay` nepers per second.
    #[must_use]
    pub fn at(&self, frequency: f64, decay: f64) -> Complex {
        let step = Complex::polar(exp(decay / RATE), -TURN * frequency / RATE);
        let mut turning = Complex::ONE;
        let mut sum = Complex::ZERO;
        for &sample in &self.response {
            sum += turning * sample;
            turning = turning * step;
        }
        sum
    }
}

impl Default for Body {
    fn default() -> Self {
        Self::new()
    }
}

/// Resonances over their own mean, so that they are ragged but neither bright nor dull.
fn ragged_response(hertz: &[f64]) -> Vec<Complex> {
    let mut noise = Noise::new(21);
    let mut modes: Vec<(f64, Option<f64>)> =
        LOW_MODES.iter().map(|&(f, strength)| (f, Some(strength))).collect();
    let (mut f, spacing, doubled) = CROWD;
    while f < HIGHEST_MODE {
        modes.push((f, None));
        f += spacing * (1.0 + pow(f / doubled, 1.1)) * (0.4 + 1.2 * noise.uniform());
    }
    let mut response = vec![0.0; LENGTH];
    for (f, strength) in modes {
        let loss =
            LOSS.0 * (1.0 + LOSS.1 * noise.gaussian().clamp(-2.0, 2.0)) + LOSS.2 * f / 3000.0;
        let strength = strength.unwrap_or_else(|| noise.gaussian()) * f.sqrt();
        for (index, sample) in response.iter_mut().enumerate() {
            let time = index as f64 / RATE;
            *sample += strength * sin(TURN * f * time) * exp(-PI * loss * f * time);
        }
    }
    let bins = spectrum(&response, LENGTH);
    let powers: Vec<f64> = bins.iter().map(|bin| bin.power()).collect();
    let mean = smooth_by_octaves(&powers, 0.7);
    bins.into_iter()
        .zip(mean)
        .zip(hertz)
        .map(|((bin, mean), &f)| {
            let over = bin * (1.0 / (mean.sqrt() + 1e-9));
            let held = over * (HIGHEST_PEAK / over.magnitude().max(1e-6)).min(1.0);
            // Below the lowest resonance a body does not radiate.
            held * (f / 45.0).min(1.0)
        })
        .collect()
}

/// The room near the bass, of unit energy, coloured like the bass itself and duller.
fn room(hertz: &[f64], mean: &[f64]) -> Vec<f64> {
    let decay = decay_for_t60(ROOM.1);
    let mut echoes = Noise::new(22).white(LENGTH);
    envelope::shape(&mut echoes, |time| {
        exp(-decay * time) * ((time - ROOM.2).max(0.0) / 0.012).min(1.0)
    });
    let dull: Vec<f64> = hertz
        .iter()
        .zip(mean)
        .map(|(&f, &mean)| {
            let top = (1.0 + pow(f / 1500.0, 2.0)).sqrt();
            let bottom = (1.0 + pow(70.0 / f.max(1.0), 4.0)).sqrt();
            mean / (top * bottom)
        })
        .collect();
    let coloured: Vec<Complex> = spectrum(&echoes, LENGTH)
        .into_iter()
        .zip(minimum_phase(&dull))
        .map(|(echo, colour)| echo * colour)
        .collect();
    let mut room = signal(&coloured);
    let energy = room.iter().map(|x| x * x).sum::<f64>().sqrt();
    for sample in &mut room {
        *sample /= energy;
    }
    // The colouring runs round the end of the block by a little; the first echo comes first.
    for sample in room.iter_mut().take(samples(ROOM.2, RATE) / 2) {
        *sample = 0.0;
    }
    room
}
