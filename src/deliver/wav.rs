//! The WAV encoder.

use std::io::Write;

use super::encoder::{Encoder, SoundFile};
use super::error::DeliverError;
use super::samples::{SampleBytes, wrong_length};
use crate::codec::wav::{SampleFormat, WavHead};
use crate::mix::BlockSink;

/// Bytes that are written at a time, from a multiple of as many on: the system keeps a file in pages,
/// and its hash is that of a tree of pieces, and both do the less the larger and the better aligned
/// the pieces are.
const PIECE: usize = 1 << 18;
/// The bytes of the largest frame.
const FRAME: usize = SampleFormat::Float32.frame_bytes() as usize;

/// Writes a WAV file from front to back.
pub(super) struct WavEncoder<W> {
    out: W,
    head: WavHead,
    samples: SampleBytes,
    written: u64,
    /// The piece at hand, and room for the end of the frame that is its last.
    piece: Vec<u8>,
    /// Bytes of the piece at hand that are there.
    filled: usize,
}

/// The head of a file: its tags and markers as chunks.
pub(super) fn head(file: &SoundFile, format: SampleFormat) -> Result<WavHead, DeliverError> {
    Ok(WavHead {
        format,
        rate: file.rate,
        frames: file.frames,
        info: file.tags.info(),
        id3: file.tags.id3()?,
        markers: file.markers.clone(),
        sample_loop: file.sample_loop,
    })
}

impl<W: Write> WavEncoder<W> {
    pub(super) fn begin(
        file: &SoundFile,
        format: SampleFormat,
        mut out: W,
    ) -> Result<WavEncoder<W>, DeliverError> {
        let head = head(file, format)?;
        let bytes = head.to_bytes()?;
        let (pieces, rest) = bytes.as_chunks::<PIECE>();
        out.write_all(pieces.as_flattened())
            .map_err(|source| DeliverError::write(&file.name, source))?;
        let mut piece = vec![0; PIECE + FRAME];
        piece[..rest.len()].copy_from_slice(rest);
        let samples = SampleBytes::of(&file.name, format);
        Ok(WavEncoder { out, head, samples, written: 0, piece, filled: rest.len() })
    }
}

impl<W: Write + Send> BlockSink for WavEncoder<W> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        self.written += left.len() as u64;
        let frame = usize::from(self.head.format.frame_bytes());
        let frames = left.len().min(right.len());
        let (mut left, mut right) = (&left[..frames], &right[..frames]);
        while !left.is_empty() {
            // The last frame of a piece may reach beyond it.
            let frames = (PIECE - self.filled).div_ceil(frame).min(left.len());
            let bytes = &mut self.piece[self.filled..][..frame * frames];
            self.samples.write(&left[..frames], &right[..frames], bytes);
            (left, right) = (&left[frames..], &right[frames..]);
            self.filled += frame * frames;
            if self.filled >= PIECE {
                self.out.write_all(&self.piece[..PIECE])?;
                self.piece.copy_within(PIECE..self.filled, 0);
                self.filled -= PIECE;
            }
        }
        Ok(())
    }
}

impl<W: Write + Send> Encoder<W> for WavEncoder<W> {
    fn finish(mut self: Box<Self>) -> std::io::Result<W> {
        if self.written != self.head.frames.0 {
            return Err(wrong_length(self.head.frames.0, self.written));
        }
        self.out.write_all(&self.piece[..self.filled])?;
        self.out.write_all(self.head.padding())?;
        self.out.flush()?;
        Ok(self.out)
    }
}

#[cfg(test)]
#[expect(clippy::cast_precision_loss, reason = "small numbers")]
mod tests {
    use super::*;
    use crate::units::Frames;

    #[test]
    fn pieces_hold_what_a_file_written_at_once_does() {
        let frames = PIECE / 3;
        let left: Vec<f32> = (0..frames).map(|at| (at as f32 * 0.01).sin()).collect();
        let right: Vec<f32> = left.iter().map(|sample| -0.5 * sample).collect();
        let name = "pieces".to_owned();
        let file = SoundFile { name, frames: Frames(frames as u64), ..SoundFile::default() };
        for format in [SampleFormat::Int16, SampleFormat::Int24, SampleFormat::Float32] {
            let head = head(&file, format).unwrap();
            let mut expected = head.to_bytes().unwrap();
            let begin = expected.len();
            expected.resize(begin + frames * usize::from(format.frame_bytes()), 0);
            let mut samples = SampleBytes::of(&file.name, format);
            samples.write(&left, &right, &mut expected[begin..]);
            for length in [999, 8_192, frames] {
                let mut encoder = Box::new(WavEncoder::begin(&file, format, Vec::new()).unwrap());
                for (left, right) in left.chunks(length).zip(right.chunks(length)) {
                    encoder.write_block(left, right).unwrap();
                }
                assert!(encoder.finish().unwrap() == expected, "{format:?} in blocks of {length}");
            }
        }
    }
}
