//! FLAC files around their blocks of samples: the metadata that stands before them, as bytes.
//!
//! Layout: RFC 9639, "Free Lossless Audio Codec" (2024), sections 8.1 to 8.6; comments as the Xiph
//! "Ogg Vorbis I format specification: comment field" has them. What a block of samples holds is
//! the business of the encoder. All that is only known at the end (hash, sizes, where blocks begin)
//! has a fixed place, so that a head of the same length can be written over the first one.
//!
//! `flacenc` 0.5, which codes the blocks, keeps a whole file in memory if it is to write the head, and
//! knows neither comments nor seek tables. `metaflac` 0.2 does, but keeps comments in a `HashMap`: their
//! order would differ from run to run.

use crate::units::{Frames, SampleRate};

/// Frames of a block: what the reference encoder takes at 44.1 and 48 kHz.
pub const BLOCK_FRAMES: u16 = 4096;
/// Seconds of audio from one seek point to the next, as the reference encoder places them.
const SEEK_SECONDS: u64 = 10;
/// FLAC counts frames in 36 bits.
const MOST_FRAMES: u64 = (1 << 36) - 1;
/// The bytes of a metadata block are counted in 24 bits.
const MOST_BLOCK_BYTES: usize = (1 << 24) - 1;

/// Bits of a sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum FlacDepth {
    /// Whole numbers of 16 bits.
    #[default]
    Sixteen,
    /// Whole numbers of 24 bits.
    TwentyFour,
}

impl FlacDepth {
    /// Bits a sample.
    #[must_use]
    pub const fn bits(self) -> u8 {
        match self {
            FlacDepth::Sixteen => 16,
            FlacDepth::TwentyFour => 24,
        }
    }
}

/// Where a block begins that a player may jump to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct SeekPoint {
    /// The block's first frame.
    pub frame: Frames,
    /// Its first byte, counted from that of the first block.
    pub byte: u64,
    /// How many frames it holds.
    pub frames: u16,
}

/// All that stands before the blocks of samples. Two channels.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FlacHead {
    /// Bits of a sample.
    pub depth: FlacDepth,
    /// Frames per second.
    pub rate: SampleRate,
    /// How many frames the file holds.
    pub frames: Frames,
    /// Bytes of the smallest and of the largest block; 0 for not known.
    pub block_bytes: [u32; 2],
    /// MD5 of the samples, as they would stand in a WAV file; zeros for not known.
    pub md5: [u8; 16],
    /// Seek points in order: as many as [`FlacHead::empty_seek_points`] has.
    pub seek_points: Vec<SeekPoint>,
    /// What wrote the file.
    pub vendor: String,
    /// Vorbis comments: field and text.
    pub comments: Vec<(String, String)>,
}

/// There is more than FLAC can count.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FlacTooLong {
    /// More frames.
    #[error("{frames} frames are more than a FLAC file can count ({MOST_FRAMES}): make it shorter")]
    Frames {
        /// How many frames were asked for.
        frames: u64,
    },
    /// More text, in tags and markers.
    #[error("{bytes} bytes of tags are more than a FLAC file can count ({MOST_BLOCK_BYTES})")]
    Tags {
        /// How many bytes the block has that does not fit.
        bytes: usize,
    },
}

/// What a metadata block is for.
#[derive(Debug, Clone, Copy)]
enum BlockType {
    StreamInfo = 0,
    SeekTable = 3,
    Comments = 4,
}

impl FlacHead {
    /// The seek points of a file of this many frames, to be filled in.
    #[must_use]
    pub fn empty_seek_points(frames: Frames, rate: SampleRate) -> Vec<SeekPoint> {
        let frames = Frames(frames.0.min(MOST_FRAMES));
        let is_inside = |index: &usize| FlacHead::seek_frame(*index, rate) < frames;
        (0..).take_while(is_inside).map(|_| SeekPoint::default()).collect()
    }

    /// The frame that the seek point of a number is for: it lies in the point's block.
    #[must_use]
    pub fn seek_frame(index: usize, rate: SampleRate) -> Frames {
        Frames((index as u64).saturating_mul(rate.seconds(SEEK_SECONDS).0))
    }

    /// The bytes up to the first block of samples.
    ///
    /// # Errors
    /// There are more frames than FLAC can count.
    pub fn to_bytes(&self) -> Result<Vec<u8>, FlacTooLong> {
        if self.frames.0 > MOST_FRAMES {
            return Err(FlacTooLong::Frames { frames: self.frames.0 });
        }
        let mut bytes = b"fLaC".to_vec();
        metadata(BlockType::StreamInfo, false, &self.stream_info(), &mut bytes)?;
        if !self.seek_points.is_empty() {
            metadata(BlockType::SeekTable, false, &self.seek_table(), &mut bytes)?;
        }
        metadata(BlockType::Comments, true, &self.comment_block()?, &mut bytes)?;
        Ok(bytes)
    }

    fn stream_info(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(34);
        for _ in 0..2 {
            bytes.extend_from_slice(&BLOCK_FRAMES.to_be_bytes());
        }
        for size in self.block_bytes {
            bytes.extend_from_slice(&size.to_be_bytes()[1..]);
        }
        // 20 bits of rate, 3 of channels less one, 5 of bits less one, 36 of frames.
        let bits = u64::from(self.depth.bits());
        let packed = u64::from(self.rate.hz()) << 44 | 1 << 41 | (bits - 1) << 36 | self.frames.0;
        bytes.extend_from_slice(&packed.to_be_bytes());
        bytes.extend_from_slice(&self.md5);
        bytes
    }

    fn seek_table(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(18 * self.seek_points.len());
        for point in &self.seek_points {
            bytes.extend_from_slice(&point.frame.0.to_be_bytes());
            bytes.extend_from_slice(&point.byte.to_be_bytes());
            bytes.extend_from_slice(&point.frames.to_be_bytes());
        }
        bytes
    }

    /// Vorbis comments count from the low byte, unlike the rest.
    fn comment_block(&self) -> Result<Vec<u8>, FlacTooLong> {
        let mut bytes = Vec::new();
        append_text(&self.vendor, &mut bytes)?;
        bytes.extend_from_slice(&count(self.comments.len())?.to_le_bytes());
        for (field, value) in &self.comments {
            append_text(&format!("{field}={value}"), &mut bytes)?;
        }
        Ok(bytes)
    }
}

fn append_text(text: &str, bytes: &mut Vec<u8>) -> Result<(), FlacTooLong> {
    bytes.extend_from_slice(&count(text.len())?.to_le_bytes());
    bytes.extend_from_slice(text.as_bytes());
    Ok(())
}

fn metadata(
    block_type: BlockType,
    last: bool,
    content: &[u8],
    bytes: &mut Vec<u8>,
) -> Result<(), FlacTooLong> {
    bytes.push(block_type as u8 | if last { 0x80 } else { 0 });
    bytes.extend_from_slice(&count(content.len())?.to_be_bytes()[1..]);
    bytes.extend_from_slice(content);
    Ok(())
}

/// A length within a metadata block, or of one.
fn count(length: usize) -> Result<u32, FlacTooLong> {
    let fits = u32::try_from(length).ok().filter(|_| length <= MOST_BLOCK_BYTES);
    fits.ok_or(FlacTooLong::Tags { bytes: length })
}
