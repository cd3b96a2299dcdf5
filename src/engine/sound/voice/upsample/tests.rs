//! Images of straight-line interpolation, measured against a four-point interpolator.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "numbers of a test, all within range"
)]

use super::*;

/// A sine of `frequency` cycles a sample, so many samples of it.
fn sine(frequency: f64, length: usize) -> Vec<f32> {
    (0..length).map(|at| (std::f64::consts::TAU * frequency * at as f64).sin() as f32).collect()
}

/// Reads a signal at `step` samples a time by straight lines.
fn straight(samples: &[f32], step: f64, count: usize) -> Vec<f64> {
    (0..count)
        .map(|at| {
            let position = at as f64 * step;
            let (index, share) = (position as usize, position.fract());
            let (a, b) = (f64::from(samples[index]), f64::from(samples[index + 1]));
            a + share * (b - a)
        })
        .collect()
}

/// Reads by a third-order polynomial through the slopes of four points (Catmull & Rom 1974), the
/// fourth-order interpolation of common SoundFont players.
fn four_point(samples: &[f32], step: f64, count: usize) -> Vec<f64> {
    (0..count)
        .map(|at| {
            let position = 1.0 + at as f64 * step;
            let (index, t) = (position as usize, position.fract());
            let p: Vec<f64> = samples[index - 1..index + 3].iter().map(|x| f64::from(*x)).collect();
            let (a, b, c) = (
                -0.5 * p[0] + 1.5 * p[1] - 1.5 * p[2] + 0.5 * p[3],
                p[0] - 2.5 * p[1] + 2.0 * p[2] - 0.5 * p[3],
                0.5 * (p[2] - p[0]),
            );
            ((a * t + b) * t + c) * t + p[1]
        })
        .collect()
}

/// Everything that is not the sine itself, in decibels below it: the residue of a least-squares
/// fit of sine and cosine.
fn images(signal: &[f64], frequency: f64) -> f64 {
    let wave = |at: usize| (std::f64::consts::TAU * frequency * at as f64).sin_cos();
    let [mut ss, mut cc, mut sc, mut sx, mut cx] = [0.0; 5];
    for (at, x) in signal.iter().enumerate() {
        let (s, c) = wave(at);
        ss += s * s;
        cc += c * c;
        sc += s * c;
        sx += s * x;
        cx += c * x;
    }
    let determinant = ss * cc - sc * sc;
    let (a, b) = ((sx * cc - cx * sc) / determinant, (cx * ss - sx * sc) / determinant);
    let (mut kept, mut rest) = (0.0, 0.0);
    for (at, x) in signal.iter().enumerate() {
        let (s, c) = wave(at);
        let fitted = a * s + b * c;
        kept += fitted * fitted;
        rest += (x - fitted).powi(2);
    }
    10.0 * (rest / kept).log10()
}

#[test]
fn the_file_s_samples_stay_what_they_are() {
    let samples: Vec<f32> = (0..200_u16).map(|at| f32::from(at * 79 % 251) - 125.0).collect();
    let up = upsampled(&samples);
    assert_eq!(up.len(), FACTOR * (samples.len() - 2 * CONTEXT));
    for (new, old) in up.iter().step_by(FACTOR).zip(&samples[CONTEXT..]) {
        assert_eq!(new.to_bits(), old.to_bits());
    }
}

#[test]
fn images_are_no_worse_than_a_four_point_interpolator_s() {
    const COUNT: usize = 20_000;
    for step in [0.49, 0.7256, 0.8909, 0.9439, 1.0595, 1.1225, 1.3348] {
        for frequency in [0.01, 0.02, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.43] {
            let length = (COUNT as f64 * step) as usize + 2 * CONTEXT + 8;
            let samples = sine(frequency, length);
            let up = upsampled(&samples);
            let made = images(&straight(&up, step * FACTOR as f64, COUNT), frequency * step);
            let plain = images(&straight(&samples, step, COUNT), frequency * step);
            let curved = images(&four_point(&samples, step, COUNT), frequency * step);
            println!(
                "step {step} frequency {frequency}: {made:.1} dB, four-point {curved:.1}, plain {plain:.1}"
            );
            assert!(
                made < curved.max(-85.0),
                "{step} {frequency}: {made:.1} dB against {curved:.1} dB"
            );
            assert!(made < plain - 15.0, "{step} {frequency}: {made} dB, plain {plain} dB");
        }
    }
}
