//! Waveforms in block floating point: whole numbers of 16 bits, and a scale for each block.
//!
//! Adding up notes waits for memory more than for the processor, so waveforms are kept at half the
//! size of single precision. Each block has the scale of its own peak: what is lost lies 96 dB
//! under that peak and falls with the note, where the SoundFont's own 16 bits do not.

use std::ops::Range;

use super::voice::BLOCK;
use crate::lanes::largest;

/// One channel of a waveform.
#[derive(Debug, Default)]
pub(super) struct BlockFloat {
    whole: Vec<i16>,
    /// What a step is worth in each block.
    steps: Vec<f32>,
}

impl BlockFloat {
    /// Rounds samples, full scale being 1.
    pub(super) fn of(samples: &[f32]) -> BlockFloat {
        let mut this = BlockFloat {
            whole: Vec::with_capacity(samples.len()),
            steps: Vec::with_capacity(samples.len().div_ceil(BLOCK)),
        };
        for block in samples.chunks(BLOCK) {
            let peak = largest(block);
            let fitting = f32::from(i16::MAX) / peak;
            // Blocks of silence, and of what is next to nothing.
            let per_step = if fitting.is_finite() { fitting } else { 0.0 };
            this.whole.extend(block.iter().map(|x| rounded(x * per_step)));
            this.steps.push(peak / f32::from(i16::MAX));
        }
        this
    }

    /// Length in frames.
    pub(super) fn len(&self) -> usize {
        self.whole.len()
    }

    /// Some frames, and what a step is worth in each block from that of the first frame on.
    #[inline(always)]
    pub(super) fn blocks(&self, frames: Range<usize>) -> (&[i16], &[f32]) {
        let steps = frames.start / BLOCK..frames.end.div_ceil(BLOCK);
        (&self.whole[frames], &self.steps[steps])
    }

    /// Its memory in bytes.
    pub(super) fn bytes(&self) -> usize {
        size_of_val(&*self.whole) + size_of_val(&*self.steps)
    }
}

#[expect(clippy::cast_possible_truncation, reason = "at most the largest of 16 bits")]
fn rounded(scaled: f32) -> i16 {
    // A damaged file may make numbers that are none.
    let scaled = if scaled.abs() < 32_767.5 { scaled } else { 0.0 };
    // Truncating a positive number rounds without a call for each sample.
    const UP: f32 = 32_768.5;
    ((scaled + UP) as i32 - 32_768) as i16
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_lost_is_at_most_half_a_step_of_the_block(
            samples in prop::collection::vec(-2.0_f32..2.0, 0..200), soft in 0.0_f32..1.0
        ) {
            let samples: Vec<f32> = samples.iter().map(|x| x * soft.powi(8)).collect();
            let kept = BlockFloat::of(&samples);
            prop_assert_eq!(kept.len(), samples.len());
            for (number, block) in samples.chunks(BLOCK).enumerate() {
                let first = number * BLOCK;
                let (whole, steps) = kept.blocks(first..first + block.len());
                let peak = block.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
                for (whole, sample) in whole.iter().zip(block) {
                    let lost = (f32::from(*whole) * steps[0] - sample).abs();
                    prop_assert!(lost <= 0.51 * peak / 32_767.0 + 1e-30);
                }
            }
        }
    }
}
