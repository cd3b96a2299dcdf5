//! From samples in single precision to whole numbers.

use crate::random::Stream;
use crate::simd::{SimdKernel, dispatch};

/// Generators side by side, so that a processor can draw several numbers at once.
const LANES: usize = 8;
/// Frames of two channels that they serve at a time.
const FRAMES: usize = LANES / 2;

/// Triangular dither of two steps' width, for 16 bits.
///
/// The noise is that of named generators, so the same file gets the same noise on every machine.
/// Eight xorshift generators (Marsaglia, "Xorshift RNGs", 2003, shifts 13, 17, 5) start from a
/// named stream; each number gives two uniform halves, whose sum is triangular. The result does
/// not depend on how the signal is cut into blocks.
#[derive(Debug, Clone)]
pub struct Dither {
    states: [u32; LANES],
    drawn: [f32; LANES],
    used: usize,
}

impl Dither {
    /// The dither of a named file.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a number below 2^32"
    )]
    pub fn named(name: &str) -> Dither {
        let mut stream = Stream::named(0, &[&"dither", &name]);
        // A xorshift generator must not start at 0.
        let states = std::array::from_fn(|_| ((stream.unit() * 4_294_967_296.0) as u32) | 1);
        Dither { states, drawn: [0.0; LANES], used: LANES }
    }

    /// Adds dither, rounds to 16 bits and sets the bytes of the frames as a WAV file has them: left
    /// and right in turn, low byte first. Louder than full scale is clipped. Left, right and every
    /// four bytes belong together; what one of the three has more of is left alone.
    pub fn stereo_bytes(&mut self, left: &[f32], right: &[f32], bytes: &mut [u8]) {
        let (bytes, _) = bytes.as_chunks_mut();
        let frames = left.len().min(right.len()).min(bytes.len());
        let (left, right, bytes) = (&left[..frames], &right[..frames], &mut bytes[..frames]);
        dispatch(Rounding { dither: self, left, right, bytes });
    }

    fn frame_by_frame(&mut self, left: &[f32], right: &[f32], bytes: &mut [[u8; 4]]) {
        for ((left, right), bytes) in left.iter().zip(right).zip(bytes) {
            for (sample, bytes) in [left, right].into_iter().zip(bytes.chunks_exact_mut(2)) {
                if self.used == LANES {
                    self.draw();
                }
                bytes.copy_from_slice(&to_int16(*sample, self.drawn[self.used]).to_le_bytes());
                self.used += 1;
            }
        }
    }

    fn draw(&mut self) {
        self.drawn = drawn(&mut self.states);
        self.used = 0;
    }
}

/// The next number of each generator.
#[inline(always)]
fn drawn(states: &mut [u32; LANES]) -> [f32; LANES] {
    let mut drawn = [0.0; LANES];
    for (state, drawn) in states.iter_mut().zip(&mut drawn) {
        *state ^= *state << 13;
        *state ^= *state >> 17;
        *state ^= *state << 5;
        *drawn = triangular(*state);
    }
    drawn
}

/// A block on its way to bytes; as many of each.
struct Rounding<'a> {
    dither: &'a mut Dither,
    left: &'a [f32],
    right: &'a [f32],
    bytes: &'a mut [[u8; 4]],
}

impl SimdKernel for Rounding<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Rounding { dither, left, right, bytes } = self;
        // Up to where the drawn numbers begin anew, then in whole draws, then the rest.
        let waiting = ((LANES - dither.used) / 2).min(left.len());
        let (first_left, left) = left.split_at(waiting);
        let (first_right, right) = right.split_at(waiting);
        let (first_bytes, bytes) = bytes.split_at_mut(waiting);
        dither.frame_by_frame(first_left, first_right, first_bytes);
        let (left, last_left) = left.as_chunks::<FRAMES>();
        let (right, last_right) = right.as_chunks::<FRAMES>();
        let (bytes, last_bytes) = bytes.as_chunks_mut::<FRAMES>();
        // A copy stays in registers: what one draw leaves is what the next waits for.
        let mut states = dither.states;
        for ((left, right), bytes) in left.iter().zip(right).zip(bytes) {
            let drawn = drawn(&mut states);
            let mut samples = [0.0; LANES];
            for (pair, (left, right)) in samples.chunks_exact_mut(2).zip(left.iter().zip(right)) {
                (pair[0], pair[1]) = (*left, *right);
            }
            let mut whole = [0; LANES];
            for (whole, (sample, drawn)) in whole.iter_mut().zip(samples.iter().zip(&drawn)) {
                *whole = to_int16(*sample, *drawn);
            }
            let (whole, _) = whole.as_chunks::<2>();
            for (bytes, [left, right]) in bytes.iter_mut().zip(whole) {
                let ([a, b], [c, d]) = (left.to_le_bytes(), right.to_le_bytes());
                *bytes = [a, b, c, d];
            }
        }
        dither.states = states;
        dither.frame_by_frame(last_left, last_right, last_bytes);
    }
}

/// The two halves of a number, each uniform, as a sum between -1 and 1.
#[expect(clippy::cast_possible_wrap, clippy::cast_precision_loss, reason = "below 2^17")]
#[inline(always)]
fn triangular(bits: u32) -> f32 {
    let sum = ((bits & 0xffff) + (bits >> 16)) as i32 - 0xffff;
    sum as f32 / 65_536.0
}

/// Adding this number, 1.5 times 2^23, leaves the nearest whole number in the low bits: the
/// library's `round` takes several times as long as all the rest.
const ROUNDING: f32 = 12_582_912.0;

#[expect(clippy::cast_possible_truncation, clippy::cast_possible_wrap, reason = "clipped before")]
#[inline(always)]
fn to_int16(sample: f32, dither: f32) -> i16 {
    let value = sample * 32_768.0 + dither;
    let value = if value < 32_767.0 { value } else { 32_767.0 };
    let value = if value > -32_768.0 { value } else { -32_768.0 };
    ((value + ROUNDING).to_bits() as i32 - ROUNDING.to_bits() as i32) as i16
}

/// A sample as a whole number of 24 bits, low byte first, rounded and clipped. Single precision
/// holds 24 bits itself, so there is nothing to dither.
#[must_use]
#[expect(clippy::cast_possible_truncation, reason = "clipped before")]
pub fn to_int24(sample: f32) -> [u8; 3] {
    let scaled = (f64::from(sample) * 8_388_608.0).clamp(-8_388_608.0, 8_388_607.0);
    // As above, in double precision: 1.5 times 2^52.
    let whole = (scaled + 6_755_399_441_055_744.0).to_bits() as u32;
    let [low, middle, high, _] = whole.to_le_bytes();
    [low, middle, high]
}

#[cfg(test)]
#[expect(clippy::cast_precision_loss, reason = "small numbers")]
mod tests {
    use super::*;

    fn samples(bytes: &[u8]) -> Vec<i16> {
        bytes.chunks_exact(2).map(|pair| i16::from_le_bytes([pair[0], pair[1]])).collect()
    }

    /// The total error of triangular dither: variance 1/4 of a step squared, whatever the signal,
    /// mean 0 (Lipshitz, Wannamaker and Vanderkooy, "Quantization and Dither: A Theoretical
    /// Survey", JAES 1992).
    #[test]
    fn the_error_is_that_of_triangular_dither_whatever_the_signal() {
        for level in [0.0, 0.25, 0.5, 0.8, 1000.3] {
            let signal = vec![level / 32_768.0; 200_000];
            let mut bytes = vec![0; 4 * signal.len()];
            Dither::named("level").stereo_bytes(&signal, &signal, &mut bytes);
            let errors: Vec<f64> =
                samples(&bytes).iter().map(|whole| f64::from(*whole) - f64::from(level)).collect();
            let mean = errors.iter().sum::<f64>() / errors.len() as f64;
            let variance =
                errors.iter().map(|error| error * error).sum::<f64>() / errors.len() as f64;
            assert!(mean.abs() < 0.005, "mean {mean} at {level}");
            assert!((variance - 0.25).abs() < 0.005, "variance {variance} at {level}");
        }
    }

    #[test]
    fn the_noise_is_white_and_the_channels_differ() {
        let silence = vec![0.0; 100_000];
        let mut bytes = vec![0; 4 * silence.len()];
        Dither::named("white").stereo_bytes(&silence, &silence, &mut bytes);
        let whole: Vec<f64> = samples(&bytes).into_iter().map(f64::from).collect();
        let power: f64 = whole.iter().map(|value| value * value).sum();
        for lag in 1..=32 {
            let product: f64 = whole.windows(lag + 1).map(|run| run[0] * run[lag]).sum();
            assert!((product / power).abs() < 0.01, "lag {lag}: {}", product / power);
        }
    }

    #[test]
    fn blocks_of_any_length_give_the_same_bytes_as_the_whole() {
        let left: Vec<f32> = (0..1_000).map(|index| (index as f32 * 0.01).sin() * 0.5).collect();
        let right: Vec<f32> = left.iter().map(|sample| -sample).collect();
        let mut whole = vec![0; 4 * left.len()];
        Dither::named("same").stereo_bytes(&left, &right, &mut whole);
        for length in [1, 3, 4, 7, 64, 999] {
            let (mut dither, mut bytes) = (Dither::named("same"), vec![0; whole.len()]);
            let blocks = left.chunks(length).zip(right.chunks(length));
            for ((left, right), bytes) in blocks.zip(bytes.chunks_mut(4 * length)) {
                dither.stereo_bytes(left, right, bytes);
            }
            assert_eq!(bytes, whole, "blocks of {length}");
        }
        let mut other = vec![0; whole.len()];
        Dither::named("other").stereo_bytes(&left, &right, &mut other);
        assert_ne!(other, whole);
    }

    #[test]
    fn what_is_too_loud_is_clipped_not_wrapped() {
        let mut bytes = [0; 32];
        let loud = [2.0, -2.0, f32::INFINITY, f32::NEG_INFINITY, 2.0, 2.0, 2.0, 2.0];
        Dither::named("loud").stereo_bytes(&loud, &loud, &mut bytes);
        let whole = samples(&bytes);
        assert_eq!(
            &whole[..8],
            &[32_767, 32_767, -32_768, -32_768, 32_767, 32_767, -32_768, -32_768]
        );
        assert_eq!(to_int24(2.0), [0xff, 0xff, 0x7f]);
        assert_eq!(to_int24(-2.0), [0x00, 0x00, 0x80]);
        assert_eq!(to_int24(1.0 / 8_388_608.0), [1, 0, 0]);
        assert_eq!(to_int24(-1.0 / 8_388_608.0), [0xff, 0xff, 0xff]);
    }
}
