//! The WAV encoder.

use std::io::{Error, ErrorKind, Write};

use super::encoder::{Encoder, SoundFile};
use super::error::DeliverError;
use crate::codec::wav::{SampleFormat, WavHead};
use crate::mix::{BlockSink, Dither, to_int24};

/// Writes a WAV file from front to back.
pub(super) struct WavEncoder<W> {
    out: W,
    head: WavHead,
    dither: Dither,
    written: u64,
    bytes: Vec<u8>,
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
        out.write_all(&bytes).map_err(|source| DeliverError::write(&file.name, source))?;
        let dither = Dither::named(&file.name);
        Ok(WavEncoder { out, head, dither, written: 0, bytes: Vec::new() })
    }
}

impl<W: Write + Send> BlockSink for WavEncoder<W> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        self.written += left.len() as u64;
        self.bytes.clear();
        match self.head.format {
            SampleFormat::Int16 => self.dither.stereo_bytes(left, right, &mut self.bytes),
            SampleFormat::Int24 => {
                for (left, right) in left.iter().zip(right) {
                    self.bytes.extend_from_slice(&to_int24(*left));
                    self.bytes.extend_from_slice(&to_int24(*right));
                }
            }
            SampleFormat::Float32 => {
                for (left, right) in left.iter().zip(right) {
                    self.bytes.extend_from_slice(&left.to_le_bytes());
                    self.bytes.extend_from_slice(&right.to_le_bytes());
                }
            }
        }
        self.out.write_all(&self.bytes)
    }
}

impl<W: Write + Send> Encoder<W> for WavEncoder<W> {
    fn finish(mut self: Box<Self>) -> std::io::Result<W> {
        if self.written != self.head.frames.0 {
            let message =
                format!("{} frames were announced and {} came", self.head.frames.0, self.written);
            return Err(Error::new(ErrorKind::InvalidData, message));
        }
        self.out.write_all(self.head.padding())?;
        self.out.flush()?;
        Ok(self.out)
    }
}
