//! How samples are stored: the `fmt ` chunk.

use super::chunks::{Uncountable, chunk, frame};
use crate::units::{Frames, SampleRate};

/// How samples are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum SampleFormat {
    /// Whole numbers of 16 bits, as on a compact disc.
    #[default]
    Int16,
    /// Whole numbers of 24 bits.
    Int24,
    /// Floating point of 32 bits.
    Float32,
}

impl SampleFormat {
    /// Bits a sample.
    #[must_use]
    pub const fn bits(self) -> u16 {
        match self {
            SampleFormat::Int16 => 16,
            SampleFormat::Int24 => 24,
            SampleFormat::Float32 => 32,
        }
    }

    /// Bytes a frame of two channels.
    #[must_use]
    pub const fn frame_bytes(self) -> u16 {
        2 * self.bits() / 8
    }

    /// `WAVE_FORMAT_PCM` or `WAVE_FORMAT_IEEE_FLOAT`.
    const fn tag(self) -> u16 {
        match self {
            SampleFormat::Int16 | SampleFormat::Int24 => 1,
            SampleFormat::Float32 => 3,
        }
    }
}

/// `WAVE_FORMAT_EXTENSIBLE`, which Microsoft asks for above 16 bits.
const EXTENSIBLE: u16 = 0xfffe;
/// Front left and front right.
const SPEAKERS: u32 = 0b11;
/// What follows the format's tag in the identifier of an extensible format.
const SUB_FORMAT: [u8; 14] =
    [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];

/// Writes `fmt `, and `fact` where samples are not plain 16-bit ones.
pub(super) fn write(
    format: SampleFormat,
    rate: SampleRate,
    frames: Frames,
    out: &mut Vec<u8>,
) -> Result<(), Uncountable> {
    let is_plain = format == SampleFormat::Int16;
    let mut bytes = Vec::with_capacity(40);
    let tag = if is_plain { format.tag() } else { EXTENSIBLE };
    bytes.extend_from_slice(&tag.to_le_bytes());
    bytes.extend_from_slice(&2_u16.to_le_bytes());
    bytes.extend_from_slice(&rate.hz().to_le_bytes());
    bytes.extend_from_slice(&(rate.hz() * u32::from(format.frame_bytes())).to_le_bytes());
    bytes.extend_from_slice(&format.frame_bytes().to_le_bytes());
    bytes.extend_from_slice(&format.bits().to_le_bytes());
    if is_plain {
        return chunk(*b"fmt ", &bytes, out);
    }
    bytes.extend_from_slice(&22_u16.to_le_bytes());
    bytes.extend_from_slice(&format.bits().to_le_bytes());
    bytes.extend_from_slice(&SPEAKERS.to_le_bytes());
    bytes.extend_from_slice(&format.tag().to_le_bytes());
    bytes.extend_from_slice(&SUB_FORMAT);
    chunk(*b"fmt ", &bytes, out)?;
    chunk(*b"fact", &frame(frames)?.to_le_bytes(), out)
}
