//! Windows and fades.

use super::maths::{PI, TURN, cos};

/// Hann window of `length` samples, periodic form.
#[must_use]
pub fn hann(length: usize) -> Vec<f64> {
    (0..length).map(|i| 0.5 - 0.5 * cos(TURN * i as f64 / length as f64)).collect()
}

/// Kaiser window at `x` from -1 to 1 (0 is the middle) with shape `beta`,
/// peak 1.
#[must_use]
pub fn kaiser(x: f64, beta: f64) -> f64 {
    if x.abs() > 1.0 {
        return 0.0;
    }
    bessel_i0(beta * (1.0 - x * x).sqrt()) / bessel_i0(beta)
}

/// Raised-cosine ramp from 0 to 1 over `length` samples.
#[must_use]
pub fn ramp_up(length: usize) -> Vec<f64> {
    (0..length).map(|i| 0.5 - 0.5 * cos(PI * i as f64 / length as f64)).collect()
}

/// Fades the last `length` samples to silence.
pub fn fade_out(signal: &mut [f64], length: usize) {
    for (x, gain) in signal.iter_mut().rev().zip(ramp_up(length)) {
        *x *= gain;
    }
}

/// Modified Bessel function of the first kind, order zero, by its power series
/// (Abramowitz & Stegun 9.6.10).
fn bessel_i0(x: f64) -> f64 {
    let quarter = 0.25 * x * x;
    let (mut sum, mut term) = (1.0, 1.0);
    for k in 1..64 {
        term *= quarter / f64::from(k * k);
        sum += term;
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// I0(1) = 1.2660658778 (Abramowitz & Stegun, table 9.8).
    #[test]
    fn bessel_function_matches_the_table() {
        assert!((bessel_i0(1.0) - 1.266_065_877_8).abs() < 1e-9);
        assert!((kaiser(0.0, 8.0) - 1.0).abs() < 1e-12);
    }
}
