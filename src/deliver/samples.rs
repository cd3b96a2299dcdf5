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

    /// Appends a block: left and right in turn, low byte first.
    pub(super) fn append(&mut self, left: &[f32], right: &[f32], bytes: &mut Vec<u8>) {
        match self.format {
            SampleFormat::Int16 => self.dither.stereo_bytes(left, right, bytes),
            SampleFormat::Int24 => {
                for (left, right) in left.iter().zip(right) {
                    bytes.extend_from_slice(&to_int24(*left));
                    bytes.extend_from_slice(&to_int24(*right));
                }
            }
            SampleFormat::Float32 => {
                for (left, right) in left.iter().zip(right) {
                    bytes.extend_from_slice(&left.to_le_bytes());
                    bytes.extend_from_slice(&right.to_le_bytes());
                }
            }
        }
    }
}

/// An encoder got other frames than were announced.
pub(super) fn wrong_length(announced: u64, came: u64) -> std::io::Error {
    let message = format!("{announced} frames were announced and {came} came");
    std::io::Error::new(std::io::ErrorKind::InvalidData, message)
}
