//! A voice's low pass.
//!
//! The arithmetic repeats `rustysynth` 1.3.8 (`bi_quad_filter.rs`, `voice.rs`), but in double precision:
//! a low cutoff makes noise of single precision's rounding, some 70 dB under the peak at 100 Hz.

use super::font::filter_is_open;
use crate::sound::soundfont::{Generator, Settings};
use crate::units::SampleRate;

/// The filter of one voice, with its memory.
#[derive(Debug)]
pub(super) struct LowPass {
    rate: f64,
    /// Its own cutoff in hertz, and where it is now.
    cutoff: f64,
    moved: f64,
    /// The cents that it has moved by; `None` while it is on its way to them.
    settled: Option<f32>,
    quality: f64,
    /// `None` while it lets everything pass.
    weights: Option<([f64; 3], [f64; 2])>,
    inputs: [f64; 2],
    outputs: [f64; 2],
}

impl LowPass {
    pub(super) fn new(settings: &Settings, rate: SampleRate) -> LowPass {
        /// From the height of the peak to the quality that makes it.
        const PEAK_OFFSET: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
        let setting = |generator| f64::from(settings.get(generator));
        let cutoff = match filter_is_open(settings) {
            true => f64::INFINITY,
            false => LOWEST * (setting(Generator::FilterCutoff) / 1_200.0).exp2(),
        };
        let resonance = 10_f64.powf(0.05 * 0.1 * setting(Generator::FilterQ));
        let quality = resonance - PEAK_OFFSET / (1.0 + 6.0 * (resonance - 1.0));
        let rate = rate.hz().into();
        let weights = weights(cutoff, quality, rate);
        let silence = [0.0; 2];
        let (inputs, outputs) = (silence, silence);
        LowPass { rate, cutoff, moved: cutoff, settled: None, quality, weights, inputs, outputs }
    }

    /// Moves the cutoff towards so many cents from its own, by an octave at the most.
    pub(super) fn move_by(&mut self, cents: f32) {
        if self.settled.map(f32::to_bits) == Some(cents.to_bits()) {
            return;
        }
        let wanted = (f64::from(cents) / 1_200.0).exp2() * self.cutoff;
        let (low, high) = (0.5 * self.moved, 2.0 * self.moved);
        (self.moved, self.settled) = if wanted < low {
            (low, None)
        } else if wanted > high {
            (high, None)
        } else {
            (wanted, Some(cents))
        };
        self.weights = weights(self.moved, self.quality, self.rate);
    }

    #[expect(clippy::cast_possible_truncation, reason = "samples are kept as f32")]
    pub(super) fn process(&mut self, block: &mut [f32]) {
        let Some(([b0, b1, b2], [a1, a2])) = self.weights else {
            if let [.., before, last] = *block {
                let last = [last, before].map(f64::from);
                (self.inputs, self.outputs) = (last, last);
            }
            return;
        };
        let ([mut x1, mut x2], [mut y1, mut y2]) = (self.inputs, self.outputs);
        for frame in block {
            let input = f64::from(*frame);
            // The newest output comes last: it is what the next frame waits for.
            let output = (b0 * input + b1 * x1 + b2 * x2 - a2 * y2) - a1 * y1;
            (x1, x2, y1, y2) = (input, x1, output, y1);
            *frame = output as f32;
        }
        (self.inputs, self.outputs) = ([x1, x2], [y1, y2]);
    }
}

/// The cutoff from which on everything passes, as a share of the sample rate.
const OPEN: f64 = 0.499;
/// The specification's hertz of cent 0.
const LOWEST: f64 = 8.176;

/// The cents from which on a filter lets everything pass.
pub(in crate::sound) fn open_cents(rate: SampleRate) -> f64 {
    1_200.0 * (OPEN * f64::from(rate.hz()) / LOWEST).log2()
}

/// The weights of inputs and outputs for a cutoff in hertz.
fn weights(cutoff: f64, quality: f64, rate: f64) -> Option<([f64; 3], [f64; 2])> {
    if cutoff >= OPEN * rate {
        return None;
    }
    let (sine, cosine) = (std::f64::consts::TAU * cutoff / rate).sin_cos();
    let alpha = sine / (2.0 * quality);
    let (scale, rest) = (1.0 / (1.0 + alpha), 1.0 - cosine);
    let b = [0.5 * rest * scale, rest * scale, 0.5 * rest * scale];
    Some((b, [-2.0 * cosine * scale, (1.0 - alpha) * scale]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the analogue filter that it is made from by the bilinear transform: with W for the tangent
    /// of half a frequency over that of half the cutoff, 1 / |1 - W^2 + jW / Q| (Bristow-Johnson, Audio EQ
    /// Cookbook, W3C Group Note 2021).
    #[test]
    #[expect(clippy::cast_possible_truncation, reason = "audio is in single precision")]
    fn every_frequency_is_passed_as_its_formula_says() {
        let hz = f64::from(SampleRate::Hz44100.hz());
        for (cents, tenths) in [(2_000, 0), (4_200, 112), (6_400, 0), (9_000, 240), (12_000, 60)] {
            let mut settings = Settings::instrument_defaults();
            settings.set(Generator::FilterCutoff, cents);
            settings.set(Generator::FilterQ, tenths);
            let quality = LowPass::new(&settings, SampleRate::Hz44100).quality;
            let half = |frequency: f64| (std::f64::consts::PI * frequency / hz).tan();
            let cutoff = 8.176 * (f64::from(cents) / 1_200.0).exp2();
            for near in [0.5 * cutoff, cutoff, 2.0 * cutoff] {
                // What is measured is whole periods.
                let frequency = (near * 100_000.0 / hz).round() * hz / 100_000.0;
                let step = std::f64::consts::TAU * frequency / hz;
                let sine = (0..200_000).map(|frame| (f64::from(frame) * step).sin() as f32);
                let mut sine: Vec<f32> = sine.collect();
                LowPass::new(&settings, SampleRate::Hz44100).process(&mut sine);
                let settled = &sine[100_000..];
                let squares: f64 = settled.iter().map(|x| f64::from(*x).powi(2)).sum();
                let found = (2.0 * squares / 100_000.0).sqrt();
                let w = half(frequency) / half(cutoff);
                let expected = 1.0 / ((1.0 - w * w).powi(2) + (w / quality).powi(2)).sqrt();
                let off = 20.0 * (found / expected).log10();
                assert!(off.abs() < 0.001, "{cents} cents, {frequency} Hz: {off} dB");
            }
        }
    }
}
