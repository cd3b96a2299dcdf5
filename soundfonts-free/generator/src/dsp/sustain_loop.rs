//! Loops without a seam: a body that runs into a periodic signal computed from
//! its lines.

use super::complex::Complex;
use super::maths::{self, TURN, amplitude};
use super::window::ramp_up;
use std::ops::Range;

/// One line of a periodic spectrum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Whole periods within the loop.
    pub periods: usize,
    /// Amplitude and phase of the cosine at the loop's first sample.
    pub value: Complex,
}

/// A sample body with its loop attached.
#[derive(Clone, Debug, PartialEq)]
pub struct Looped {
    /// Body and, at its end, the loop.
    pub pcm: Vec<f64>,
    /// Where the loop is.
    pub range: Range<usize>,
}

/// Whole number of samples that holds whole periods of `frequency` hertz and is
/// nearest to `seconds` long; at least one period.
#[must_use]
pub fn loop_length(frequency: f64, seconds: f64, rate: f64) -> usize {
    let periods = (seconds * frequency).round().max(1.0);
    maths::whole(periods * rate / frequency)
}

/// One period of the signal with these lines.
#[must_use]
pub fn period(lines: &[Line], length: usize) -> Vec<f64> {
    let mut out = vec![0.0; length];
    for line in lines.iter().filter(|line| 2 * line.periods < length) {
        let turn = Complex::polar(1.0, TURN * line.periods as f64 / length as f64);
        let mut state = line.value;
        for x in &mut out {
            *x += state.re;
            state = state * turn;
        }
    }
    out
}

/// Lets `body` run into the loop `repeated` over its last `crossfade` samples.
/// Backwards from the joint the loop is continued with the decay (decibels per
/// second) that the envelope will give it, and its level is matched to the
/// body's.
#[must_use]
pub fn attach(
    body: &[f64],
    mut repeated: Vec<f64>,
    decay: f64,
    crossfade: usize,
    rate: f64,
) -> Looped {
    let length = repeated.len().max(1);
    let crossfade = crossfade.min(body.len());
    let first = body.len() - crossfade;
    let before: Vec<f64> = (0..crossfade)
        .map(|i| {
            let left = crossfade - i;
            let place = (length - left % length) % length;
            repeated.get(place).copied().unwrap_or(0.0) * amplitude(decay * left as f64 / rate)
        })
        .collect();
    let power = |signal: &[f64]| signal.iter().map(|x| x * x).sum::<f64>();
    let level = (power(&body[first..]) / (power(&before) + 1e-30)).sqrt().clamp(0.5, 2.0);
    let mut pcm = body.to_vec();
    for ((x, loop_x), share) in pcm[first..].iter_mut().zip(&before).zip(ramp_up(crossfade)) {
        *x = *x * (1.0 - share) + level * loop_x * share;
    }
    for x in &mut repeated {
        *x *= level;
    }
    pcm.extend_from_slice(&repeated);
    Looped { range: body.len()..pcm.len(), pcm }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_tone_runs_on() {
        let rate = 8000.0;
        let length = loop_length(500.0, 0.02, rate);
        let lines = [Line { periods: 10, value: Complex::ONE }];
        let body: Vec<f64> = (0..400).map(|i| maths::cos(TURN * f64::from(i) / 16.0)).collect();
        let looped = attach(&body, period(&lines, length), 0.0, 100, rate);
        assert_eq!(looped.range, 400..560);
        for (i, x) in looped.pcm.iter().enumerate() {
            assert!((x - maths::cos(TURN * i as f64 / 16.0)).abs() < 1e-6, "sample {i}");
        }
    }
}
