//! The outer shape of a SoundFont: chunks within chunks, each with a name and a size.

use std::io::{Read, Seek, SeekFrom};

use crate::sound::SoundError;

/// Where a SoundFont's bytes come from: a file, or bytes in memory behind a `Cursor`.
pub trait SoundFontSource: Read + Seek + Send {}
impl<T: Read + Seek + Send> SoundFontSource for T {}

/// A four-letter name.
pub(super) type ChunkName = [u8; 4];

/// Where a chunk's content lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Chunk {
    pub(super) name: ChunkName,
    /// First byte of the content, from the start of the file.
    pub(super) start: u64,
    /// Content length in bytes.
    pub(super) length: u64,
}

impl Chunk {
    pub(super) fn end(&self) -> u64 {
        self.start + self.length
    }
}

/// A chunk's name as text for messages.
pub(super) fn readable(name: ChunkName) -> String {
    name.iter().map(|byte| if byte.is_ascii_graphic() { char::from(*byte) } else { '?' }).collect()
}

/// Checks the first twelve bytes and gives the whole file as a chunk named by its form.
pub(super) fn outermost(source: &mut dyn SoundFontSource) -> Result<Chunk, SoundError> {
    let found = source.seek(SeekFrom::End(0))?;
    source.seek(SeekFrom::Start(0))?;
    let mut head = [0; 12];
    if found < 12 {
        return Err(SoundError::NotASoundFont(format!("it is only {found} bytes long")));
    }
    source.read_exact(&mut head)?;
    let [r, i, f1, f2, s0, s1, s2, s3, form @ ..] = head;
    if [r, i, f1, f2] != *b"RIFF" {
        let looks_like_text =
            head.iter().all(|byte| byte.is_ascii_graphic() || byte.is_ascii_whitespace());
        let what = if looks_like_text { "it looks like a text file" } else { "it is no RIFF file" };
        return Err(SoundError::NotASoundFont(what.to_owned()));
    }
    if form != *b"sfbk" {
        return Err(SoundError::NotASoundFont(format!(
            "it is a RIFF file of the kind `{}`, not `sfbk`",
            readable(form)
        )));
    }
    let length = u64::from(u32::from_le_bytes([s0, s1, s2, s3]));
    let expected = 8 + length;
    if expected > found {
        return Err(SoundError::CutShort { part: "the file".to_owned(), expected, found });
    }
    if length < 4 {
        return Err(SoundError::Damaged(format!(
            "its outermost chunk is only {length} bytes long"
        )));
    }
    Ok(Chunk { name: form, start: 12, length: length - 4 })
}

/// The most chunks of one list; the specification knows a dozen.
const MOST_CHUNKS: usize = 1_000;

/// The chunks inside another one, in order.
pub(super) fn inside(
    source: &mut dyn SoundFontSource,
    outer: &Chunk,
) -> Result<Vec<Chunk>, SoundError> {
    let mut chunks = Vec::new();
    let mut at = outer.start;
    // A last odd byte or a few left over are harmless and not rare.
    while at + 8 <= outer.end() {
        source.seek(SeekFrom::Start(at))?;
        let mut head = [0; 8];
        source.read_exact(&mut head)?;
        let [n0, n1, n2, n3, s0, s1, s2, s3] = head;
        let length = u64::from(u32::from_le_bytes([s0, s1, s2, s3]));
        let chunk = Chunk { name: [n0, n1, n2, n3], start: at + 8, length };
        if chunk.end() > outer.end() {
            return Err(SoundError::CutShort {
                part: format!("its chunk `{}`", readable(chunk.name)),
                expected: chunk.end(),
                found: outer.end(),
            });
        }
        if chunks.len() >= MOST_CHUNKS {
            return Err(SoundError::Damaged(format!("it has more than {MOST_CHUNKS} chunks")));
        }
        at = chunk.end() + length % 2;
        chunks.push(chunk);
    }
    Ok(chunks)
}

/// A `LIST` chunk's kind, and the list's content as a chunk of that name.
pub(super) fn list_content(
    source: &mut dyn SoundFontSource,
    chunk: &Chunk,
) -> Result<Option<Chunk>, SoundError> {
    if chunk.name != *b"LIST" || chunk.length < 4 {
        return Ok(None);
    }
    source.seek(SeekFrom::Start(chunk.start))?;
    let mut name = [0; 4];
    source.read_exact(&mut name)?;
    Ok(Some(Chunk { name, start: chunk.start + 4, length: chunk.length - 4 }))
}

/// A chunk's bytes. Only for chunks whose size was checked against the file.
pub(super) fn content(
    source: &mut dyn SoundFontSource,
    chunk: &Chunk,
) -> Result<Vec<u8>, SoundError> {
    source.seek(SeekFrom::Start(chunk.start))?;
    let mut bytes = Vec::new();
    source.take(chunk.length).read_to_end(&mut bytes)?;
    if bytes.len() as u64 != chunk.length {
        return Err(SoundError::CutShort {
            part: format!("its chunk `{}`", readable(chunk.name)),
            expected: chunk.end(),
            found: chunk.start + bytes.len() as u64,
        });
    }
    Ok(bytes)
}
