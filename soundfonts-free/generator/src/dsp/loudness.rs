//! Loudness by ITU-R BS.1770: K-weighting and mean square.

use super::filter::Section;
use super::maths::{PI, pow, tan};

/// The signal through the K-weighting of BS.1770-4, annex 1. The standard
/// prints coefficients for 48 kHz only; these follow its analogue prototypes
/// (shelf +4 dB at 1681.97 Hz, Q 0.7072; high pass at 38.135 Hz, Q 0.5003;
/// values recovered from the printed ones by several authors, from memory).
#[must_use]
pub fn k_weighted(signal: &[f64], rate: f64) -> Vec<f64> {
    let mut out = signal.to_vec();
    head_shelf(rate).run(&mut out);
    low_cut(rate).run(&mut out);
    out
}

/// Loudness in LUFS of one channel over the whole signal, ungated.
#[must_use]
pub fn loudness(signal: &[f64], rate: f64) -> f64 {
    let power = k_weighted(signal, rate).iter().map(|x| x * x).sum::<f64>();
    -0.691 + 10.0 * libm::log10(power / signal.len().max(1) as f64 + 1e-30)
}

fn head_shelf(rate: f64) -> Section {
    let (gain, q, centre) = (3.999_843_853_97, 0.707_175_236_955_419_3, 1_681.974_450_955_532);
    let k = tan(PI * centre / rate);
    let high = pow(10.0, gain / 20.0);
    let band = pow(high, 0.499_666_774_154_541_6);
    let norm = 1.0 / (1.0 + k / q + k * k);
    Section {
        b: [
            (high + band * k / q + k * k) * norm,
            2.0 * (k * k - high) * norm,
            (high - band * k / q + k * k) * norm,
        ],
        a: [2.0 * (k * k - 1.0) * norm, (1.0 - k / q + k * k) * norm],
    }
}

fn low_cut(rate: f64) -> Section {
    let (q, centre) = (0.500_327_037_325_395_3, 38.135_470_876_139_82);
    let k = tan(PI * centre / rate);
    let norm = 1.0 / (1.0 + k / q + k * k);
    Section { b: [1.0, -2.0, 1.0], a: [2.0 * (k * k - 1.0) * norm, (1.0 - k / q + k * k) * norm] }
}

#[cfg(test)]
mod tests {
    use super::super::maths::{TURN, sin};
    use super::*;

    /// BS.1770-4: a 997 Hz sine of full scale in one channel reads -3.01 LKFS.
    #[test]
    fn full_scale_sine_reads_minus_three() {
        for rate in [44_100.0, 48_000.0] {
            let sine: Vec<f64> =
                (0..48_000).map(|i| sin(TURN * 997.0 * f64::from(i) / rate)).collect();
            assert!((loudness(&sine, rate) + 3.01).abs() < 0.02, "{}", loudness(&sine, rate));
        }
    }
}
