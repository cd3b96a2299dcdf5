//! One trait for all file formats.

use std::io::{Seek, Write};

use super::error::DeliverError;
use super::flac::{self, FlacEncoder};
use super::format::FileFormat;
use super::tags::Tags;
use super::wav::{self, WavEncoder};
use crate::codec::wav::{Marker, SampleLoop};
use crate::mix::BlockSink;
use crate::units::{Frames, SampleRate};

/// All that is known of a sound file before its first frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SoundFile {
    /// What the file is called, without the ending of its format: dither is drawn from a stream of
    /// this name, so that all formats of a mix have the same samples.
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
    /// Whether a format can hold the file. To be asked before any work begins.
    ///
    /// # Errors
    /// The format cannot hold that much, or the tags cannot be written.
    pub fn fits(&self, format: FileFormat) -> Result<(), DeliverError> {
        match format {
            FileFormat::Wav(samples) => wav::head(self, samples)?.file_size().map(|_| ())?,
            FileFormat::Flac(depth) => flac::head(self, depth).to_bytes().map(|_| ())?,
            FileFormat::Mp3 => {}
        }
        Ok(())
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
/// Where the format cannot hold that much, the program was built without it, or the beginning
/// cannot be written.
pub fn encoder<W: Write + Seek + Send + 'static>(
    format: FileFormat,
    file: &SoundFile,
    out: W,
) -> Result<Box<dyn Encoder<W>>, DeliverError> {
    match format {
        FileFormat::Wav(samples) => Ok(Box::new(WavEncoder::begin(file, samples, out)?)),
        FileFormat::Flac(depth) => Ok(Box::new(FlacEncoder::begin(file, depth, out)?)),
        #[cfg(feature = "mp3")]
        FileFormat::Mp3 => Ok(Box::new(super::mp3::Mp3Encoder::begin(file, out)?)),
        #[cfg(not(feature = "mp3"))]
        FileFormat::Mp3 => Err(DeliverError::NotBuilt { name: "MP3" }),
    }
}
