//! Waveforms in block floating point: whole numbers, and a scale for each block.
//!
//! Adding up notes waits for memory more than for the processor, so waveforms are kept in few bytes.
//! A block has 16 bits for each sample: what is lost lies 96 dB under the block's own peak and falls
//! with the note, where the SoundFont's own 16 bits do not. Where half a step of 8 bits can never be
//! heard, it has 8.

use super::UNHEARD;
use super::voice::BLOCK;
use crate::simd::{SimdKernel, dispatch, largest};

/// One channel of a waveform.
#[derive(Debug, Default)]
pub(super) struct BlockFloat {
    /// In frames.
    length: usize,
    blocks: Vec<BlockHead>,
    loud: Vec<i16>,
    soft: Vec<i8>,
}

/// One channel of a waveform that is being made. Its memory serves one after the other: what is kept
/// of each takes as much as it needs.
#[derive(Debug, Default)]
pub(super) struct Draft {
    made: BlockFloat,
    /// Blocks up to the last one that is heard.
    heard: usize,
}

/// Where a block's samples are, and how they are scaled.
#[derive(Debug, Clone, Copy)]
struct BlockHead {
    /// What a step is worth.
    step: f32,
    is_soft: bool,
    /// Its first sample's number among the loud or the soft ones.
    at: u32,
}

/// A block's samples.
#[derive(Debug, Clone, Copy)]
pub(super) enum Samples<'a> {
    Loud(&'a [i16]),
    Soft(&'a [i8]),
}

/// The largest whole numbers.
const LOUD: f32 = i16::MAX as f32;
const SOFT: f32 = i8::MAX as f32;

/// A block whose peak stays under this is not heard. A little less than what is added up later, for
/// rounding: what is heard must not depend on how much of a longer wave was cut off.
const SILENT: f32 = 0.99 * UNHEARD;

impl Draft {
    /// Rounds the next samples, full scale being 1, whose blocks are played at these `gains` at the
    /// most. Only the last samples may end within a block.
    pub(super) fn push(&mut self, samples: &[f32], gains: &[f32]) {
        dispatch(Rounding { samples, gains, to: self });
    }

    /// How many blocks there are up to the last one that is heard.
    pub(super) fn heard(&self) -> usize {
        self.heard
    }

    /// The first blocks, in no more memory than they need. The draft is empty then.
    pub(super) fn take(&mut self, blocks: usize) -> BlockFloat {
        let made = &mut self.made;
        let (kept, left_out) = made.blocks.split_at(blocks.min(made.blocks.len()));
        let end = |is_soft, all| {
            let first = left_out.iter().find(|place| place.is_soft == is_soft);
            first.map_or(all, |place| place.at as usize)
        };
        let taken = BlockFloat {
            length: made.length.min(blocks * BLOCK),
            blocks: kept.to_vec(),
            loud: made.loud[..end(false, made.loud.len())].to_vec(),
            soft: made.soft[..end(true, made.soft.len())].to_vec(),
        };
        made.length = 0;
        made.blocks.clear();
        made.loud.clear();
        made.soft.clear();
        self.heard = 0;
        taken
    }
}

impl BlockFloat {
    /// All blocks of some samples.
    #[cfg(test)]
    pub(super) fn of(samples: &[f32], gains: &[f32]) -> BlockFloat {
        let mut draft = Draft::default();
        draft.push(samples, gains);
        draft.take(samples.len().div_ceil(BLOCK))
    }

    /// Length in frames.
    pub(super) fn len(&self) -> usize {
        self.length
    }

    /// A block's samples, what a step of them is worth, and the largest that they can be.
    #[inline(always)]
    pub(super) fn block(&self, number: usize) -> Option<(Samples<'_>, f32, f32)> {
        let BlockHead { step, is_soft, at } = *self.blocks.get(number)?;
        let length = BLOCK.min(self.length - number * BLOCK);
        let samples = at as usize..at as usize + length;
        Some(if is_soft {
            (Samples::Soft(self.soft.get(samples)?), step, step * SOFT)
        } else {
            (Samples::Loud(self.loud.get(samples)?), step, step * LOUD)
        })
    }

    /// Its memory in bytes.
    pub(super) fn bytes(&self) -> usize {
        size_of_val(&*self.blocks) + size_of_val(&*self.loud) + size_of_val(&*self.soft)
    }
}

/// Samples on their way into blocks.
struct Rounding<'a> {
    samples: &'a [f32],
    gains: &'a [f32],
    to: &'a mut Draft,
}

impl SimdKernel for Rounding<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Rounding { samples, gains, to } = self;
        to.made.length += samples.len();
        for (block, gain) in samples.chunks(BLOCK).zip(gains) {
            // Most blocks are whole: then the compiler knows how long they are.
            match block.first_chunk::<BLOCK>() {
                Some(block) => round(block, *gain, to),
                None => round(block, *gain, to),
            }
        }
    }
}

#[inline(always)]
#[expect(clippy::cast_possible_truncation, reason = "waveforms of minutes; 127 at the most")]
fn round(block: &[f32], gain: f32, draft: &mut Draft) {
    let to = &mut draft.made;
    let peak = largest(block);
    if peak * gain >= SILENT {
        draft.heard = to.blocks.len() + 1;
    }
    // Half a step of 8 bits is inaudible.
    let is_soft = peak * gain < 2.0 * SOFT * UNHEARD;
    let most = if is_soft { SOFT } else { LOUD };
    // Blocks of silence, and of what is next to nothing.
    let per_step = if (most / peak).is_finite() { most / peak } else { 0.0 };
    let mut whole = [0; BLOCK];
    for (to, from) in whole.iter_mut().zip(block) {
        *to = rounded(from * per_step);
    }
    let at = if is_soft { to.soft.len() } else { to.loud.len() } as u32;
    to.blocks.push(BlockHead { step: peak / most, is_soft, at });
    if is_soft {
        to.soft.extend_from_slice(&whole.map(|whole| whole as i8)[..block.len()]);
    } else {
        to.loud.extend_from_slice(&whole[..block.len()]);
    }
}

/// The nearest whole number. The language's conversions check for numbers that do not fit, one at a time;
/// sums of single precision round many at once, and leave a whole number in the low bits.
#[inline(always)]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    reason = "at most the largest of 16 bits"
)]
fn rounded(scaled: f32) -> i16 {
    // A damaged file may make numbers that are none.
    let scaled = if scaled.abs() < 32_767.5 { scaled } else { 0.0 };
    const UP: f32 = 32_768.5;
    const WHOLE: f32 = 8_388_608.0;
    let up = scaled + UP;
    let nearest = (up + WHOLE) - WHOLE;
    let below = if nearest > up { nearest - 1.0 } else { nearest };
    ((below + WHOLE).to_bits() as i32 - WHOLE.to_bits() as i32 - 32_768) as i16
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The samples as they are heard.
    fn heard(kept: &BlockFloat) -> Vec<f32> {
        let blocks = (0..kept.len().div_ceil(BLOCK)).map(|number| kept.block(number).unwrap());
        let heard = blocks.flat_map(|(samples, step, _)| match samples {
            Samples::Loud(whole) => whole.iter().map(|x| f32::from(*x) * step).collect::<Vec<_>>(),
            Samples::Soft(whole) => whole.iter().map(|x| f32::from(*x) * step).collect(),
        });
        heard.collect()
    }

    #[test]
    #[expect(clippy::cast_possible_truncation, reason = "what it is compared with")]
    fn numbers_round_as_the_language_would_have_it() {
        for bits in (0..=u32::MAX).step_by(1_021) {
            let scaled = f32::from_bits(bits);
            let fits = if scaled.abs() < 32_767.5 { scaled } else { 0.0 };
            let expected = ((fits + 32_768.5) as i32 - 32_768) as i16;
            assert_eq!(rounded(scaled), expected, "{scaled}");
        }
    }

    #[test]
    fn a_draft_cut_short_gives_the_first_blocks_and_is_empty_then() {
        // Loud, hardly audible, loud, silent.
        let level = |block| [0.5, 10.0 * UNHEARD, 0.25, 0.1 * UNHEARD][block];
        let samples: Vec<f32> = (0..4 * BLOCK).map(|at| level(at / BLOCK)).collect();
        let mut draft = Draft::default();
        for length in [1, 2, 3] {
            for block in samples.chunks(2 * BLOCK) {
                draft.push(block, &[1.0; 2]);
            }
            assert_eq!(draft.heard(), 3);
            let kept = draft.take(length);
            assert_eq!((kept.len(), draft.heard()), (length * BLOCK, 0));
            assert_eq!(heard(&kept), heard(&BlockFloat::of(&samples, &[1.0; 4]))[..kept.len()]);
            assert_eq!(kept.bytes(), BlockFloat::of(&samples[..kept.len()], &[1.0; 3]).bytes());
        }
    }

    proptest! {
        #[test]
        fn what_is_lost_is_half_a_step_of_16_bits_or_inaudible(
            samples in prop::collection::vec(-2.0_f32..2.0, 0..200),
            soft in 0.0_f32..1.0,
            gain in 0.001_f32..1.0,
        ) {
            let samples: Vec<f32> = samples.iter().map(|x| x * soft.powi(8)).collect();
            let kept = BlockFloat::of(&samples, &[gain; 4]);
            prop_assert_eq!(kept.len(), samples.len());
            let heard = heard(&kept);
            prop_assert_eq!(heard.len(), samples.len());
            for (heard, block) in heard.chunks(BLOCK).zip(samples.chunks(BLOCK)) {
                let peak = block.iter().fold(0.0_f32, |peak, x| peak.max(x.abs()));
                let inaudible = 1.03 * UNHEARD / gain;
                let most = (0.51 * peak / LOUD).max(inaudible.min(0.51 * peak / SOFT));
                for (heard, sample) in heard.iter().zip(block) {
                    prop_assert!((heard - sample).abs() <= most + 1e-30);
                }
            }
        }
    }
}
