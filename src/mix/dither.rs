//! From samples in single precision to whole numbers.

use crate::random::Stream;

/// Generators side by side, so that a processor can draw several numbers at once.
const LANES: usize = 8;

/// Triangular dither of two steps' width, for 16 bits.
///
/// The noise is that of named generators, so the same file gets the same noise on every machine.
/// Eight xorshift generators (Marsaglia 2003, shifts 13, 17, 5) start from a named stream; each
/// number gives the two halves whose sum is triangular. The result does not depend on how the
/// signal is cut into blocks.
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

    /// Adds dither, rounds to 16 bits and appends the frames as a WAV file has them: left and
    /// right in turn, low byte first. Louder than full scale is clipped.
    pub fn stereo_bytes(&mut self, left: &[f32], right: &[f32], bytes: &mut Vec<u8>) {
        for (left, right) in left.iter().zip(right) {
            let left = to_int16(left * 32_768.0 + self.next());
            let right = to_int16(right * 32_768.0 + self.next());
            bytes.extend_from_slice(&left.to_le_bytes());
            bytes.extend_from_slice(&right.to_le_bytes());
        }
    }

    fn next(&mut self) -> f32 {
        if self.used == LANES {
            self.draw();
        }
        self.used += 1;
        self.drawn[self.used - 1]
    }

    fn draw(&mut self) {
        for (state, drawn) in self.states.iter_mut().zip(&mut self.drawn) {
            *state ^= *state << 13;
            *state ^= *state >> 17;
            *state ^= *state << 5;
            *drawn = triangular(*state);
        }
        self.used = 0;
    }
}

/// Two halves of a number, each uniform, as a sum between -1 and 1.
#[expect(clippy::cast_possible_wrap, clippy::cast_precision_loss, reason = "below 2^17")]
fn triangular(bits: u32) -> f32 {
    let sum = ((bits & 0xffff) + (bits >> 16)) as i32 - 0xffff;
    sum as f32 / 65_536.0
}

/// Adding this number leaves the nearest whole number in the low bits: 1.5 times 2^23.
const ROUNDING: f32 = 12_582_912.0;

#[expect(clippy::cast_possible_truncation, clippy::cast_possible_wrap, reason = "clipped before")]
fn to_int16(value: f32) -> i16 {
    let clipped = value.clamp(-32_768.0, 32_767.0);
    ((clipped + ROUNDING).to_bits() as i32 - ROUNDING.to_bits() as i32) as i16
}

/// A sample as a whole number of 24 bits, low byte first, rounded and clipped. Single precision
/// holds 24 bits itself, so there is nothing to dither.
#[must_use]
#[expect(clippy::cast_possible_truncation, reason = "clipped before")]
pub fn to_int24(sample: f32) -> [u8; 3] {
    let scaled = (f64::from(sample) * 8_388_608.0).clamp(-8_388_608.0, 8_388_607.0);
    // Adding 1.5 times 2^52 leaves the nearest whole number in the low bits.
    let whole = (scaled + 6_755_399_441_055_744.0).to_bits() as u32;
    let [low, middle, high, _] = whole.to_le_bytes();
    [low, middle, high]
}
