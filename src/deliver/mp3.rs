//! The MP3 encoder: LAME behind a safe binding, only in programs built with the feature `mp3`.

use std::io::{Error, Seek, SeekFrom, Write};

use id3::TagLike;
use id3::frame::Chapter;
use mp3lame_encoder::{Bitrate, Builder, DualPcm, Encoder as Lame, FlushGap, Mode, Quality};

use super::encoder::{Encoder, SoundFile};
use super::error::DeliverError;
use super::samples::wrong_length;
use super::tags::encode_id3;
use crate::mix::BlockSink;
use crate::units::{Frames, SampleRate};

/// What LAME asks for besides a quarter more bytes than frames (its header `lame.h`).
const SPARE_BYTES: usize = 7_200;
/// The largest frame of the format, in bytes.
const LARGEST_FRAME: usize = 2_880;
/// What ID3 writes where a place in bytes is not given.
const NO_OFFSET: u32 = u32::MAX;

/// Writes an MP3 file: an ID3 tag, the frames, and at the end over the first frame what players
/// must know of all (LAME's tag: length and the silence to cut off at both ends).
pub(super) struct Mp3Encoder<W> {
    out: W,
    lame: Lame,
    /// Where the frames begin.
    start: u64,
    announced: u64,
    written: u64,
    bytes: Vec<u8>,
}

impl<W: Write> Mp3Encoder<W> {
    pub(super) fn begin(file: &SoundFile, mut out: W) -> Result<Mp3Encoder<W>, DeliverError> {
        let failed = |source| DeliverError::write(&file.name, source);
        let lame = lame(file.rate).map_err(failed)?;
        let tag = id3(file)?;
        out.write_all(&tag).map_err(failed)?;
        Ok(Mp3Encoder {
            out,
            lame,
            start: tag.len() as u64,
            announced: file.frames.0,
            written: 0,
            bytes: Vec::new(),
        })
    }
}

/// At one bit rate throughout, so that every player knows the length and jumps where it should.
fn lame(rate: SampleRate) -> std::io::Result<Lame> {
    let said = |error: mp3lame_encoder::BuildError| Error::other(format!("LAME: {error:?}"));
    let builder = Builder::new().ok_or_else(|| Error::other("LAME cannot be started"))?;
    builder
        .with_sample_rate(rate.hz())
        .and_then(|builder| builder.with_num_channels(2))
        .and_then(|builder| builder.with_brate(Bitrate::Kbps192))
        .and_then(|builder| builder.with_mode(Mode::JointStereo))
        .and_then(|builder| builder.with_quality(Quality::VeryNice))
        .and_then(|builder| builder.with_to_write_vbr_tag(true))
        .and_then(Builder::build)
        .map_err(said)
}

/// The file's ID3 tag, with its markers as chapters.
fn id3(file: &SoundFile) -> Result<Vec<u8>, DeliverError> {
    let mut tag = file.tags.id3_tag();
    let thousandths = |at: Frames| {
        let thousandths = u128::from(at.0) * 1_000 / u128::from(file.rate.hz());
        u32::try_from(thousandths).map_err(|_| DeliverError::TooLongForMp3 { frames: at.0 })
    };
    for (index, marker) in file.markers.iter().enumerate() {
        // Several may begin at one place.
        let next = file.markers[index..].iter().find(|next| next.at > marker.at);
        let end = next.map_or(file.frames, |next| next.at);
        let name = id3::Frame::text("TIT2", marker.label.clone());
        tag.add_frame(Chapter {
            element_id: format!("chapter {}", index + 1),
            start_time: thousandths(marker.at)?,
            end_time: thousandths(end)?,
            start_offset: NO_OFFSET,
            end_offset: NO_OFFSET,
            frames: vec![name],
        });
    }
    Ok(encode_id3(&tag)?)
}

impl<W: Write + Send> BlockSink for Mp3Encoder<W> {
    fn write_block(&mut self, left: &[f32], right: &[f32]) -> std::io::Result<()> {
        self.written += left.len() as u64;
        self.bytes.clear();
        self.bytes.reserve(left.len() + left.len() / 4 + SPARE_BYTES);
        self.lame
            .encode_to_vec(DualPcm { left, right }, &mut self.bytes)
            .map_err(|error| Error::other(format!("LAME: {error:?}")))?;
        self.out.write_all(&self.bytes)
    }
}

impl<W: Write + Seek + Send> Encoder<W> for Mp3Encoder<W> {
    fn finish(mut self: Box<Self>) -> std::io::Result<W> {
        if self.written != self.announced {
            return Err(wrong_length(self.announced, self.written));
        }
        self.bytes.clear();
        self.bytes.reserve(SPARE_BYTES);
        self.lame
            .flush_to_vec::<FlushGap>(&mut self.bytes)
            .map_err(|error| Error::other(format!("LAME: {error:?}")))?;
        self.out.write_all(&self.bytes)?;
        let mut first_frame = Vec::with_capacity(LARGEST_FRAME);
        if self.lame.lame_tag_encode_to_vec(&mut first_frame).is_some() {
            self.out.seek(SeekFrom::Start(self.start))?;
            self.out.write_all(&first_frame)?;
            self.out.seek(SeekFrom::End(0))?;
        }
        self.out.flush()?;
        Ok(self.out)
    }
}
