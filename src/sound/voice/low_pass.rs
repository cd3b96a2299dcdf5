//! A voice's low pass.
//!
//! The arithmetic repeats `rustysynth` 1.3.8 (`bi_quad_filter.rs`, `voice.rs`).

use super::font::filter_is_open;
use super::modulation::seconds;
use crate::sound::soundfont::{Generator, Settings};
use crate::units::SampleRate;

/// The filter of one voice, with its memory.
#[derive(Debug)]
pub(super) struct LowPass {
    rate: f32,
    /// Its own cutoff in hertz, and where it is now.
    cutoff: f32,
    moved: f32,
    /// The cents that it has moved by; `None` while it is on its way to them.
    settled: Option<f32>,
    quality: f32,
    /// `None` while it lets everything pass.
    weights: Option<([f32; 3], [f32; 2])>,
    inputs: [f32; 2],
    outputs: [f32; 2],
}

impl LowPass {
    #[expect(clippy::cast_precision_loss, reason = "settings of 16 bits, sample rates")]
    pub(super) fn new(settings: &Settings, rate: SampleRate) -> LowPass {
        /// From the height of the peak to the quality that makes it.
        const PEAK_OFFSET: f32 = 1.0 - 1.0 / std::f32::consts::SQRT_2;
        let cents = settings.get(Generator::FilterCutoff) as f32;
        let cutoff = if filter_is_open(settings) { f32::INFINITY } else { LOWEST * seconds(cents) };
        let resonance = 10_f32.powf(0.05 * 0.1 * settings.get(Generator::FilterQ) as f32);
        let quality = resonance - PEAK_OFFSET / (1.0 + 6.0 * (resonance - 1.0));
        let rate = rate.hz() as f32;
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
        let wanted = seconds(cents) * self.cutoff;
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

    pub(super) fn process(&mut self, block: &mut [f32]) {
        let Some(([b0, b1, b2], [a1, a2])) = self.weights else {
            if let [.., before, last] = *block {
                (self.inputs, self.outputs) = ([last, before], [last, before]);
            }
            return;
        };
        let ([mut x1, mut x2], [mut y1, mut y2]) = (self.inputs, self.outputs);
        for frame in block {
            let input = *frame;
            // The newest output comes last: it is what the next frame waits for.
            let output = (b0 * input + b1 * x1 + b2 * x2 - a2 * y2) - a1 * y1;
            (x1, x2, y1, y2) = (input, x1, output, y1);
            *frame = output;
        }
        (self.inputs, self.outputs) = ([x1, x2], [y1, y2]);
    }
}

/// The cutoff from which on everything passes, as a share of the sample rate.
const OPEN: f32 = 0.499;
/// The specification's hertz of cent 0.
const LOWEST: f32 = 8.176;

/// The cents from which on a filter lets everything pass.
pub(in crate::sound) fn open_cents(rate: SampleRate) -> f64 {
    1_200.0 * (f64::from(OPEN) * f64::from(rate.hz()) / f64::from(LOWEST)).log2()
}

/// The weights of inputs and outputs for a cutoff in hertz.
fn weights(cutoff: f32, quality: f32, rate: f32) -> Option<([f32; 3], [f32; 2])> {
    if cutoff >= OPEN * rate {
        return None;
    }
    let (sine, cosine) = (2.0 * std::f32::consts::PI * cutoff / rate).sin_cos();
    let alpha = sine / (2.0 * quality);
    let (scale, rest) = (1.0 / (1.0 + alpha), 1.0 - cosine);
    let b = [0.5 * rest * scale, rest * scale, 0.5 * rest * scale];
    Some((b, [-2.0 * cosine * scale, (1.0 - alpha) * scale]))
}
