//! The WAV encoder.

use std::io::Write;

use super::encoder::{Encoder, SoundFile};
use super::error::DeliverError;
use super::samples::{SampleBytes, wrong_length};
use crate::codec::wav::{SampleFormat, WavHead};
use crate::mix::BlockSink;

/// Writes a WAV file from front to back.
pub(super) struct WavEncoder<W> {
    out: W,
    head: WavHead,
    samples: SampleBytes,
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
        let samples = SampleBytes::of(&file.name, format);
        Ok(WavEncoder { out, head, samples, written: 0, bytes: Vec::new() })
    }
}

impl<W: Write + Send> BlockSink for WavEncoder<W> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        self.written += left.len() as u64;
        self.bytes.clear();
        self.samples.append(left, right, &mut self.bytes);
        self.out.write_all(&self.bytes)
    }
}

impl<W: Write + Send> Encoder<W> for WavEncoder<W> {
    fn finish(mut self: Box<Self>) -> std::io::Result<W> {
        if self.written != self.head.frames.0 {
            return Err(wrong_length(self.head.frames.0, self.written));
        }
        self.out.write_all(self.head.padding())?;
        self.out.flush()?;
        Ok(self.out)
    }
}
