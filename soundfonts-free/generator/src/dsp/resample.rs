//! Change of sample rate by a windowed-sinc filter, one set of taps per phase.

use super::maths::{PI, sin};
use super::window::kaiser;

/// Zero crossings of the sinc on each side of the middle.
const CROSSINGS: usize = 24;
/// Shape of the Kaiser window: stopband near -80 dB (Kaiser 1974).
const BETA: f64 = 8.0;
/// Passband edge as a share of the lower of the two half rates.
const EDGE: f64 = 0.94;

/// The signal at another rate, in whole hertz; the first sample keeps its time.
#[must_use]
pub fn resample(signal: &[f64], from: u32, to: u32) -> Vec<f64> {
    if from == to || signal.is_empty() || from == 0 || to == 0 {
        return signal.to_vec();
    }
    let common = greatest_common_divisor(from, to);
    let (up, down) = ((to / common) as usize, (from / common) as usize);
    let cutoff = EDGE * (f64::from(to) / f64::from(from)).min(1.0);
    let reach = super::maths::whole((CROSSINGS as f64 / cutoff).ceil());
    let phases: Vec<Vec<f64>> = (0..up).map(|p| taps(p, up, cutoff, reach)).collect();
    let length = signal.len() * up / down;
    (0..length)
        .map(|i| {
            let (centre, phase) = (i * down / up, i * down % up);
            let taps = &phases[phase];
            // Tap k weighs input sample centre + k - (reach - 1).
            let first = (centre + 1).saturating_sub(reach);
            let skipped = (first + reach).saturating_sub(centre + 1);
            signal[first.min(signal.len())..]
                .iter()
                .zip(&taps[skipped..])
                .map(|(x, tap)| x * tap)
                .sum()
        })
        .collect()
}

/// Filter taps for output samples that lie `phase / up` after an input sample.
fn taps(phase: usize, up: usize, cutoff: f64, reach: usize) -> Vec<f64> {
    let fraction = phase as f64 / up as f64;
    let mut taps: Vec<f64> = (0..2 * reach)
        .map(|k| {
            let distance = k as f64 - (reach as f64 - 1.0) - fraction;
            let angle = PI * cutoff * distance;
            let sinc = if angle.abs() < 1e-9 { 1.0 } else { sin(angle) / angle };
            cutoff * sinc * kaiser(distance / reach as f64, BETA)
        })
        .collect();
    // Unit gain at zero frequency, the same in every phase.
    let sum: f64 = taps.iter().sum();
    for tap in &mut taps {
        *tap /= sum;
    }
    taps
}

fn greatest_common_divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::super::maths::TURN;
    use super::*;

    #[test]
    fn a_tone_stays_the_same_tone() {
        let tone = |rate: f64, n: usize| -> Vec<f64> {
            (0..n).map(|i| sin(TURN * 1000.0 * i as f64 / rate)).collect()
        };
        for to in [22_050, 32_000] {
            let out = resample(&tone(44_100.0, 8000), 44_100, to);
            let wanted = tone(f64::from(to), out.len());
            for i in 200..out.len() - 200 {
                assert!((out[i] - wanted[i]).abs() < 1e-3, "sample {i} at {to}");
            }
        }
    }

    #[test]
    fn what_would_fold_over_is_gone() {
        let tone: Vec<f64> =
            (0..8000).map(|i| sin(TURN * 14_000.0 * f64::from(i) / 44_100.0)).collect();
        let out = resample(&tone, 44_100, 22_050);
        let peak = out[200..out.len() - 200].iter().fold(0.0_f64, |m, x| m.max(x.abs()));
        assert!(peak < 1e-3, "peak {peak}");
    }
}
