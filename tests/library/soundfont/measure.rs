//! Loudness, spectra, lines.

use super::listen::{RATE, Sound, seconds};
use ebur128::{EbuR128, Mode};
use realfft::RealFftPlanner;

/// K-weighted loudness in LUFS of the first 400 ms (ITU-R BS.1770, momentary).
pub(crate) fn momentary(sound: &Sound) -> f64 {
    let mut meter = EbuR128::new(2, RATE.try_into().unwrap(), Mode::M).unwrap();
    let end = seconds(0.4);
    meter.add_frames_planar_f64(&[&sound.left[..end], &sound.right[..end]]).unwrap();
    meter.loudness_momentary().unwrap()
}

/// Power ratio in decibels.
pub(crate) fn power_decibels(power: f64) -> f64 {
    10.0 * (power + 1e-30).log10()
}

/// A power spectrum.
pub(crate) struct Spectrum {
    /// Power by bin.
    pub(crate) power: Vec<f64>,
    /// Width of a bin in hertz.
    pub(crate) width: f64,
}

impl Spectrum {
    /// Of a signal under a Hann window, padded four times.
    pub(crate) fn of(signal: &[f64]) -> Self {
        let size = (4 * signal.len()).next_power_of_two();
        let mut padded: Vec<f64> = signal
            .iter()
            .enumerate()
            .map(|(i, x)| {
                let turn = std::f64::consts::TAU * (i as f64 + 0.5) / signal.len() as f64;
                x * (0.5 - 0.5 * turn.cos())
            })
            .collect();
        padded.resize(size, 0.0);
        let plan = RealFftPlanner::new().plan_fft_forward(size);
        let mut bins = plan.make_output_vec();
        plan.process(&mut padded, &mut bins).unwrap();
        Self {
            power: bins.iter().map(|b| b.norm_sqr()).collect(),
            width: RATE as f64 / size as f64,
        }
    }

    /// The bin of a frequency.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "audio frequencies"
    )]
    pub(crate) fn bin(&self, frequency: f64) -> usize {
        ((frequency / self.width).round().max(1.0) as usize).min(self.power.len() - 2)
    }

    /// Frequency of the highest peak between two frequencies, by a parabola
    /// through its logarithms, and its power.
    pub(crate) fn peak(&self, from: f64, to: f64) -> (f64, f64) {
        let bins = self.bin(from)..=self.bin(to);
        let top = bins.max_by(|&a, &b| self.power[a].total_cmp(&self.power[b])).unwrap();
        let log = |bin: usize| self.power[bin].max(1e-300).ln();
        let (below, at, above) = (log(top - 1), log(top), log(top + 1));
        let curve = below - 2.0 * at + above;
        let shift = if curve < -1e-9 { 0.5 * (below - above) / curve } else { 0.0 };
        ((top as f64 + shift) * self.width, self.power[top])
    }

    /// Mean frequency weighted by amplitude, up to 12 kHz.
    pub(crate) fn centroid(&self) -> f64 {
        let (mut moment, mut total) = (0.0, 0.0);
        for bin in 1..self.bin(12_000.0) {
            let amplitude = self.power[bin].sqrt();
            moment += amplitude * bin as f64 * self.width;
            total += amplitude;
        }
        moment / total
    }
}

/// Slope and height at zero of the straight line nearest to points (x, y).
pub(crate) fn line(points: &[(f64, f64)]) -> (f64, f64) {
    let n = points.len() as f64;
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / n;
    let mean_y = points.iter().map(|p| p.1).sum::<f64>() / n;
    let above: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
    let below: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.0 - mean_x)).sum();
    let slope = above / below;
    (slope, mean_y - slope * mean_x)
}

/// Slope of the level in decibels per second between two times, by frames of
/// 20 ms.
pub(crate) fn slope(sound: &Sound, from: f64, to: f64) -> f64 {
    let frame = 0.02;
    let mut points = Vec::new();
    let mut start = from;
    while start + frame <= to + 1e-9 {
        points.push((start, power_decibels(sound.power(start, start + frame))));
        start += frame;
    }
    line(&points).0
}
