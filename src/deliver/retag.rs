//! A finished sound file with other tags: the samples are copied as they are.

use std::io::{Error, ErrorKind, Read, Result, Seek, SeekFrom, Write};

use super::encoder::SoundFile;
use super::format::FileFormat;
use super::{flac, wav};

/// The kind of FLAC metadata block that holds tags (RFC 9639, section 8).
const VORBIS_COMMENT: u8 = 4;

/// Writes a file again with the tags, markers and loop of `content`. Its samples stay, and so must
/// their rate, format and number.
///
/// # Errors
/// The file cannot be read, is not laid out as this program writes it, or the new one cannot be
/// written; or the format (MP3) is one that is made anew instead.
pub fn retag(
    format: FileFormat,
    content: &SoundFile,
    old: &mut (impl Read + Seek),
    out: &mut impl Write,
) -> Result<()> {
    match format {
        FileFormat::Wav(samples) => {
            let head = wav::head(content, samples).map_err(Error::other)?;
            let bytes = content.frames.0.saturating_mul(u64::from(samples.frame_bytes()));
            if find_data(old)? != bytes {
                return Err(strange("it has another number of samples"));
            }
            out.write_all(&head.to_bytes().map_err(Error::other)?)?;
            copy(old, bytes, out)?;
            out.write_all(head.padding())
        }
        FileFormat::Flac(depth) => {
            let new = flac::head(content, depth).to_bytes().map_err(Error::other)?;
            let tags = flac_blocks(&mut new.as_slice())?
                .into_iter()
                .find(|block| block.kind == VORBIS_COMMENT)
                .ok_or_else(|| strange("it has no tags"))?;
            let mut blocks = flac_blocks(old)?;
            for block in blocks.iter_mut().filter(|block| block.kind == VORBIS_COMMENT) {
                block.content.clone_from(&tags.content);
            }
            out.write_all(b"fLaC")?;
            let last = blocks.len().saturating_sub(1);
            for (index, block) in blocks.iter().enumerate() {
                let length = u32::try_from(block.content.len()).map_err(Error::other)?;
                let mut head = length.to_be_bytes();
                head[0] = block.kind | if index == last { 0x80 } else { 0 };
                out.write_all(&head)?;
                out.write_all(&block.content)?;
            }
            std::io::copy(old, out).map(|_| ())
        }
        FileFormat::Mp3 => Err(strange("it is made anew")),
    }
}

/// Goes to the samples of a WAV file; how many bytes they take.
fn find_data(file: &mut (impl Read + Seek)) -> Result<u64> {
    let mut head = [0; 12];
    file.read_exact(&mut head)?;
    if &head[..4] != b"RIFF" || &head[8..] != b"WAVE" {
        return Err(strange("it is no WAV file"));
    }
    loop {
        let mut chunk = [0; 8];
        file.read_exact(&mut chunk)?;
        let [a, b, c, d] = [chunk[4], chunk[5], chunk[6], chunk[7]];
        let size = u32::from_le_bytes([a, b, c, d]);
        if &chunk[..4] == b"data" {
            return Ok(u64::from(size));
        }
        file.seek(SeekFrom::Current(i64::from(size) + i64::from(size % 2)))?;
    }
}

/// A metadata block of a FLAC file.
struct FlacBlock {
    kind: u8,
    content: Vec<u8>,
}

/// All metadata blocks, up to the first sample.
fn flac_blocks(file: &mut impl Read) -> Result<Vec<FlacBlock>> {
    let mut magic = [0; 4];
    file.read_exact(&mut magic)?;
    if &magic != b"fLaC" {
        return Err(strange("it is no FLAC file"));
    }
    let mut blocks = Vec::new();
    loop {
        let mut head = [0; 4];
        file.read_exact(&mut head)?;
        let length = u32::from_be_bytes([0, head[1], head[2], head[3]]);
        let mut content = Vec::new();
        copy(file, u64::from(length), &mut content)?;
        blocks.push(FlacBlock { kind: head[0] & 0x7f, content });
        if head[0] & 0x80 != 0 {
            return Ok(blocks);
        }
    }
}

fn copy(from: &mut impl Read, bytes: u64, to: &mut impl Write) -> Result<()> {
    if std::io::copy(&mut from.take(bytes), to)? == bytes {
        Ok(())
    } else {
        Err(Error::from(ErrorKind::UnexpectedEof))
    }
}

fn strange(message: &str) -> Error {
    Error::new(ErrorKind::InvalidData, message)
}
