//! Butterworth filters as chains of second-order sections, by the bilinear
//! transform with the cutoff prewarped.

use super::maths::{PI, cos, tan};

/// A second-order section: the recursion
/// `y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]`.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Feed-forward coefficients.
    pub b: [f64; 3],
    /// Feedback coefficients a1 and a2.
    pub a: [f64; 2],
}

impl Section {
    /// Runs the section over a signal in place, from rest.
    pub fn run(&self, signal: &mut [f64]) {
        let (mut s1, mut s2) = (0.0, 0.0);
        for x in signal {
            let y = self.b[0] * *x + s1;
            s1 = self.b[1] * *x - self.a[0] * y + s2;
            s2 = self.b[2] * *x - self.a[1] * y;
            *x = y;
        }
    }
}

/// Which side of the cutoff passes.
#[derive(Clone, Copy)]
enum Side {
    Low,
    High,
}

/// Signal with everything above `cutoff` (hertz, -3 dB point) removed at
/// 6 dB per octave and `order`.
#[must_use]
pub fn low_pass(signal: &[f64], cutoff: f64, order: usize, rate: f64) -> Vec<f64> {
    run_all(signal, &butterworth(cutoff, order, rate, Side::Low))
}

/// Signal with everything below `cutoff` (hertz, -3 dB point) removed at
/// 6 dB per octave and `order`.
#[must_use]
pub fn high_pass(signal: &[f64], cutoff: f64, order: usize, rate: f64) -> Vec<f64> {
    run_all(signal, &butterworth(cutoff, order, rate, Side::High))
}

/// Signal between `low` and `high` hertz, each side at `order`.
#[must_use]
pub fn band_pass(signal: &[f64], low: f64, high: f64, order: usize, rate: f64) -> Vec<f64> {
    low_pass(&high_pass(signal, low, order, rate), high, order, rate)
}

fn run_all(signal: &[f64], sections: &[Section]) -> Vec<f64> {
    let mut out = signal.to_vec();
    for section in sections {
        section.run(&mut out);
    }
    out
}

/// Sections of a Butterworth filter: pole pairs spread evenly over the left
/// half circle, and one real pole when the order is odd.
fn butterworth(cutoff: f64, order: usize, rate: f64, side: Side) -> Vec<Section> {
    let warped = tan(PI * (cutoff / rate).clamp(1e-6, 0.499));
    let mut sections = Vec::with_capacity(order.div_ceil(2));
    for pair in 0..order / 2 {
        let angle = PI * (2 * pair + 1) as f64 / (2 * order) as f64;
        let damping = 2.0 * cos(PI / 2.0 - angle);
        let norm = 1.0 / (1.0 + damping * warped + warped * warped);
        let b = match side {
            Side::Low => [warped * warped, 2.0 * warped * warped, warped * warped],
            Side::High => [1.0, -2.0, 1.0],
        };
        sections.push(Section {
            b: b.map(|c| c * norm),
            a: [
                2.0 * (warped * warped - 1.0) * norm,
                (1.0 - damping * warped + warped * warped) * norm,
            ],
        });
    }
    if order % 2 == 1 {
        let norm = 1.0 / (1.0 + warped);
        let b = match side {
            Side::Low => [warped * norm, warped * norm, 0.0],
            Side::High => [norm, -norm, 0.0],
        };
        sections.push(Section { b, a: [(warped - 1.0) * norm, 0.0] });
    }
    sections
}

#[cfg(test)]
mod tests {
    use super::super::fft::spectrum;
    use super::*;

    /// The definition of a Butterworth filter: |H|² = 1 / (1 + (f/fc)^2n), with
    /// frequencies warped by the bilinear transform.
    #[test]
    fn magnitudes_are_butterworth() {
        let mut impulse = vec![0.0; 8192];
        impulse[0] = 1.0;
        for order in 1..=5 {
            for (out, sign) in [
                (low_pass(&impulse, 3000.0, order, 44_100.0), 1),
                (high_pass(&impulse, 3000.0, order, 44_100.0), -1),
            ] {
                let bins = spectrum(&out, 8192);
                for bin in [200, 557, 1500] {
                    let f = bin as f64 * 44_100.0 / 8192.0;
                    let ratio = tan(PI * f / 44_100.0) / tan(PI * 3000.0 / 44_100.0);
                    let exponent = 2 * sign * i32::try_from(order).unwrap();
                    let wanted = 1.0 / (1.0 + super::super::maths::pow(ratio, f64::from(exponent)));
                    assert!((bins[bin].power() - wanted).abs() < 1e-3, "order {order} bin {bin}");
                }
            }
        }
    }
}
