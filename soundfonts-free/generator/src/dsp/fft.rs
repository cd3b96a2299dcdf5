//! Fourier transform of power-of-two lengths, and what is made with it.
//!
//! A plain radix-2 transform: the fast crates choose their code by processor,
//! and each choice rounds differently.

use super::complex::Complex;
use super::maths::TURN;

/// Spectrum of a real signal, zero-padded (or cut) to `size` samples: the
/// `size / 2 + 1` bins from zero to half the sample rate. `size` is rounded up
/// to a power of two.
#[must_use]
pub fn spectrum(signal: &[f64], size: usize) -> Vec<Complex> {
    let size = size.next_power_of_two();
    let mut bins: Vec<Complex> = signal.iter().take(size).map(|&x| Complex::new(x, 0.0)).collect();
    bins.resize(size, Complex::ZERO);
    transform(&mut bins);
    bins.truncate(size / 2 + 1);
    bins
}

/// Real signal whose spectrum is the given half: the inverse of [`spectrum`].
#[must_use]
pub fn signal(half: &[Complex]) -> Vec<f64> {
    let bins = mirrored(half);
    let size = bins.len();
    inverse(bins).into_iter().map(|bin| bin.re / size as f64).collect()
}

/// The two signals convolved, as long as the first.
#[must_use]
pub fn convolve(signal_in: &[f64], response: &[f64]) -> Vec<f64> {
    let size = (signal_in.len() + response.len()).next_power_of_two();
    let product: Vec<Complex> = spectrum(signal_in, size)
        .into_iter()
        .zip(spectrum(response, size))
        .map(|(a, b)| a * b)
        .collect();
    let mut out = signal(&product);
    out.truncate(signal_in.len());
    out
}

/// Spectrum with the given magnitudes (bins from zero to half the sample rate,
/// a power of two plus one) and the phase of the system that responds soonest,
/// by the folded cepstrum (Oppenheim & Schafer, Discrete-Time Signal
/// Processing, section on minimum-phase realisation).
#[must_use]
pub fn minimum_phase(magnitudes: &[f64]) -> Vec<Complex> {
    let peak = magnitudes.iter().copied().fold(1e-300, f64::max);
    let logs: Vec<Complex> = magnitudes
        .iter()
        .map(|&m| Complex::new(super::maths::ln(m.max(1e-5 * peak)), 0.0))
        .collect();
    let size = (logs.len() - 1) * 2;
    let mut cepstrum: Vec<Complex> = inverse(mirrored(&logs))
        .into_iter()
        .map(|c| Complex::new(c.re / size as f64, 0.0))
        .collect();
    for (i, c) in cepstrum.iter_mut().enumerate() {
        let fold = match i {
            0 => 1.0,
            _ if i < size / 2 => 2.0,
            _ if i == size / 2 => 1.0,
            _ => 0.0,
        };
        *c = *c * fold;
    }
    transform(&mut cepstrum);
    cepstrum.truncate(size / 2 + 1);
    cepstrum.into_iter().map(Complex::exp).collect()
}

/// Mean of `values` (one per bin of `bin_width` hertz) over a band of
/// `octaves` around each bin.
#[must_use]
pub fn smooth_by_octaves(values: &[f64], octaves: f64) -> Vec<f64> {
    let mut sums = Vec::with_capacity(values.len() + 1);
    let mut sum = 0.0;
    sums.push(0.0);
    for value in values {
        sum += value;
        sums.push(sum);
    }
    let half_band = super::maths::pow(2.0, octaves / 2.0);
    (0..values.len())
        .map(|bin| {
            let low = super::maths::whole((bin as f64 / half_band).ceil());
            let high = super::maths::whole((bin as f64 * half_band).ceil());
            let high = high.clamp(low + 1, values.len().max(low + 1));
            (sums[high.min(values.len())] - sums[low]) / (high - low) as f64
        })
        .collect()
}

/// Both halves of the spectrum of a real signal, from its lower one.
fn mirrored(half: &[Complex]) -> Vec<Complex> {
    let mut bins = half.to_vec();
    bins.extend(
        half.iter().rev().skip(1).take(half.len().saturating_sub(2)).map(|c| c.conjugate()),
    );
    bins
}

/// Inverse transform without the division by the length.
fn inverse(mut bins: Vec<Complex>) -> Vec<Complex> {
    for bin in &mut bins {
        *bin = bin.conjugate();
    }
    transform(&mut bins);
    for bin in &mut bins {
        *bin = bin.conjugate();
    }
    bins
}

/// Forward transform in place; the length is a power of two.
fn transform(bins: &mut [Complex]) {
    let size = bins.len();
    if size < 2 {
        return;
    }
    let shift = usize::BITS - size.trailing_zeros();
    for i in 0..size {
        let j = i.reverse_bits() >> shift;
        if i < j {
            bins.swap(i, j);
        }
    }
    let turns: Vec<Complex> =
        (0..size / 2).map(|k| Complex::polar(1.0, -TURN * k as f64 / size as f64)).collect();
    let mut span = 1;
    while span < size {
        let stride = size / (2 * span);
        for block in bins.chunks_exact_mut(2 * span) {
            let (low, high) = block.split_at_mut(span);
            for (k, (a, b)) in low.iter_mut().zip(high).enumerate() {
                let turned = *b * turns[k * stride];
                *b = *a - turned;
                *a += turned;
            }
        }
        span *= 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cosine_is_one_line_and_comes_back() {
        let wave: Vec<f64> =
            (0..64).map(|i| super::super::maths::cos(TURN * 5.0 * f64::from(i) / 64.0)).collect();
        let bins = spectrum(&wave, 64);
        for (k, bin) in bins.iter().enumerate() {
            let expected = if k == 5 { 32.0 } else { 0.0 };
            assert!((bin.magnitude() - expected).abs() < 1e-9, "bin {k}");
        }
        for (x, y) in wave.iter().zip(signal(&bins)) {
            assert!((x - y).abs() < 1e-12);
        }
    }

    #[test]
    fn convolution_with_a_delayed_impulse_delays() {
        let out = convolve(&[1.0, 2.0, 3.0, 4.0], &[0.0, 0.5]);
        for (x, y) in out.iter().zip([0.0, 0.5, 1.0, 1.5]) {
            assert!((x - y).abs() < 1e-12);
        }
    }

    #[test]
    fn minimum_phase_keeps_the_magnitude() {
        let magnitudes: Vec<f64> = (0..=512).map(|k| 1.0 / (1.0 + f64::from(k) / 40.0)).collect();
        for (bin, wanted) in minimum_phase(&magnitudes).iter().zip(&magnitudes) {
            assert!((bin.magnitude() / wanted - 1.0).abs() < 1e-6);
        }
    }
}
