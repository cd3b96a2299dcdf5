//! Samples in single precision become those of a file.

use crate::codec::wav::SampleFormat;
use crate::mix::{Dither, to_int24};

/// Turns blocks into the bytes of a file's samples, the same for every format that holds them:
/// a WAV and a FLAC file of one mix have the same samples.
#[derive(Debug)]
pub(super) struct SampleBytes {
    format: SampleFormat,
    dither: Dither,
}

impl SampleBytes {
    /// For a file of a name: dither is drawn from a stream of this name.
    pub(super) fn of(name: &str, format: SampleFormat) -> SampleBytes {
        SampleBytes { format, dither: Dither::named(name) }
    }

    /// Sets the bytes of a block, as many as its frames take in the format: left and right in turn,
    /// low byte first.
    pub(super) fn write(&mut self, left: &[f32], right: &[f32], bytes: &mut [u8]) {
        match self.format {
            SampleFormat::Int16 => self.dither.stereo_bytes(left, right, bytes),
            SampleFormat::Int24 => each(left, right, bytes, to_int24),
            SampleFormat::Float32 => each(left, right, bytes, f32::to_le_bytes),
        }
    }
}

/// Sets the bytes of each sample.
fn each<const BYTES: usize>(
    left: &[f32],
    right: &[f32],
    bytes: &mut [u8],
    of: impl Fn(f32) -> [u8; BYTES],
) {
    let (bytes, _) = bytes.as_chunks_mut::<BYTES>();
    let (pairs, _) = bytes.as_chunks_mut::<2>();
    for (pair, (left, right)) in pairs.iter_mut().zip(left.iter().zip(right)) {
        *pair = [of(*left), of(*right)];
    }
}

/// An encoder got other frames than were announced.
pub(super) fn wrong_length(announced: u64, came: u64) -> std::io::Error {
    let message = format!("{announced} frames were announced and {came} came");
    std::io::Error::new(std::io::ErrorKind::InvalidData, message)
}
