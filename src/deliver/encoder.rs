//! One trait for all file formats.

use std::io::{Seek, Write};

use super::error::DeliverError;
use super::tags::Tags;
use super::wav::WavEncoder;
use crate::codec::wav::{Marker, SampleFormat, SampleLoop};
use crate::mix::BlockSink;
use crate::units::{Frames, SampleRate};

/// The file formats that can be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileFormat {
    /// WAV.
    Wav(SampleFormat),
}

impl Default for FileFormat {
    fn default() -> FileFormat {
        FileFormat::Wav(SampleFormat::Int16)
    }
}

impl FileFormat {
    /// How file names of this format end.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            FileFormat::Wav(_) => "wav",
        }
    }
}

/// All that is known of a sound file before its first frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SoundFile {
    /// What the file is called: dither is drawn from a stream of this name.
    pub name: String,
    /// Frames per second.
    pub rate: SampleRate,
    /// How many frames will come.
    pub frames: Frames,
    /// What the file says of itself.
    pub tags: Tags,
    /// Named places, in order.
    pub markers: Vec<Marker>,
    /// The loop of a looping file.
    pub sample_loop: Option<SampleLoop>,
}

impl SoundFile {
    /// How many bytes the file will take. To be asked before any work begins.
    ///
    /// # Errors
    /// Where the format cannot hold that much.
    pub fn size(&self, format: FileFormat) -> Result<u64, DeliverError> {
        match format {
            FileFormat::Wav(samples) => Ok(super::wav::head(self, samples)?.file_size()?),
        }
    }
}

/// Encodes blocks into a writer.
pub trait Encoder<W>: BlockSink {
    /// Ends the file and gives the writer back.
    ///
    /// # Errors
    /// Where the rest cannot be written, or other frames came than were announced.
    fn finish(self: Box<Self>) -> std::io::Result<W>;
}

/// Begins a file in a format.
///
/// # Errors
/// Where the format cannot hold that much, or the beginning cannot be written.
pub fn encoder<W: Write + Seek + Send + 'static>(
    format: FileFormat,
    file: &SoundFile,
    out: W,
) -> Result<Box<dyn Encoder<W>>, DeliverError> {
    match format {
        FileFormat::Wav(samples) => Ok(Box::new(WavEncoder::begin(file, samples, out)?)),
    }
}

impl<S: BlockSink + ?Sized> BlockSink for Box<S> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        (**self).write_block(left, right)
    }
}
