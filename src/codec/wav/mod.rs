//! WAV files as RIFF chunks: everything around the samples, as bytes.
//!
//! The number of frames is known before the first is written, so the whole head of a file, tags
//! and markers included, is made at once and the samples follow it to the end: no seeking back,
//! and readers that stop at the samples have seen the tags. `hound`, the usual library, writes
//! none of `LIST INFO`, `id3 `, `cue `, `adtl` and `smpl`.
//!
//! Layouts: IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0"
//! (1991), and Microsoft, "Multiple Channel Audio Data and WAVE Files" (2001) for the extensible
//! format; both from memory, checked by reading back with other readers.

mod chunks;
mod format;

pub use chunks::{Info, Marker, SampleLoop};
pub use format::SampleFormat;

use crate::units::{Frames, SampleRate};
use chunks::Uncountable;

/// All that is in a WAV file except the samples. Two channels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WavHead {
    /// How samples are stored.
    pub format: SampleFormat,
    /// Frames per second.
    pub rate: SampleRate,
    /// How many frames follow.
    pub frames: Frames,
    /// `LIST INFO` texts.
    pub info: Vec<Info>,
    /// A whole ID3v2 tag for the `id3 ` chunk; empty for none.
    pub id3: Vec<u8>,
    /// Markers in order, for `cue ` and its labels.
    pub markers: Vec<Marker>,
    /// The loop of a looping file, for `smpl`.
    pub sample_loop: Option<SampleLoop>,
}

/// The file would need more than the 32 bits in which RIFF counts bytes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{frames} frames of {bits} bits take {bytes} bytes, and a WAV file holds at most 4,294,967,295: \
     make it shorter, or choose fewer bits or another format"
)]
pub struct WavTooLong {
    /// How many frames were asked for.
    pub frames: u64,
    /// Bits a sample.
    pub bits: u16,
    /// How many bytes that takes.
    pub bytes: u64,
}

impl WavHead {
    /// How large the whole file is, in bytes.
    ///
    /// # Errors
    /// Where that is more than RIFF can count.
    pub fn file_size(&self) -> Result<u64, WavTooLong> {
        self.size_after(self.before_samples()?.len() as u64)
    }

    /// The bytes up to the first sample.
    ///
    /// # Errors
    /// Where the file is larger than RIFF can count.
    pub fn to_bytes(&self) -> Result<Vec<u8>, WavTooLong> {
        let chunks = self.before_samples()?;
        let size = self.size_after(chunks.len() as u64)?;
        let counted = |bytes: u64| u32::try_from(bytes).map_err(|_| self.too_long(size));
        let mut bytes = Vec::with_capacity(chunks.len() + 20);
        bytes.extend_from_slice(b"RIFF");
        bytes.extend_from_slice(&counted(size - 8)?.to_le_bytes());
        bytes.extend_from_slice(b"WAVE");
        bytes.extend_from_slice(&chunks);
        bytes.extend_from_slice(b"data");
        bytes.extend_from_slice(&counted(self.sample_bytes())?.to_le_bytes());
        Ok(bytes)
    }

    /// The bytes after the last sample: RIFF pads every chunk to an even length.
    #[must_use]
    pub fn padding(&self) -> &'static [u8] {
        if self.sample_bytes() % 2 == 1 { &[0] } else { &[] }
    }

    fn before_samples(&self) -> Result<Vec<u8>, WavTooLong> {
        self.chunks().map_err(|Uncountable| self.too_long(self.sample_bytes()))
    }

    fn chunks(&self) -> Result<Vec<u8>, Uncountable> {
        let mut bytes = Vec::new();
        format::write(self.format, self.rate, self.frames, &mut bytes)?;
        chunks::info(&self.info, &mut bytes)?;
        chunks::id3(&self.id3, &mut bytes)?;
        chunks::markers(&self.markers, &mut bytes)?;
        if let Some(sample_loop) = &self.sample_loop {
            chunks::sample_loop(sample_loop, self.rate, &mut bytes)?;
        }
        Ok(bytes)
    }

    fn sample_bytes(&self) -> u64 {
        self.frames.0.saturating_mul(u64::from(self.format.frame_bytes()))
    }

    /// The size of the file whose chunks before `data` take this many bytes: with `RIFF`, its
    /// size, `WAVE`, `data` and its size.
    fn size_after(&self, chunks: u64) -> Result<u64, WavTooLong> {
        let samples = self.sample_bytes();
        let size = samples.saturating_add(samples % 2).saturating_add(chunks + 20);
        if size - 8 <= u64::from(u32::MAX) { Ok(size) } else { Err(self.too_long(size)) }
    }

    fn too_long(&self, bytes: u64) -> WavTooLong {
        WavTooLong { frames: self.frames.0, bits: self.format.bits(), bytes }
    }
}
