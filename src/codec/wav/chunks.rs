//! Tags, markers and loops as chunks.

use crate::units::{Frames, SampleRate};

/// One text of `LIST INFO`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Info {
    /// Such as `INAM` (title), `IART` (artist), `ICOP` (copyright).
    pub id: [u8; 4],
    /// UTF-8.
    pub text: String,
}

/// A named place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marker {
    /// The frame that it points at, from the file's first.
    pub at: Frames,
    /// Such as "chorus 2".
    pub label: String,
}

/// Frames that a sampler repeats for ever.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SampleLoop {
    /// The first frame of the loop.
    pub from: Frames,
    /// The frame after the last one.
    pub to: Frames,
}

/// A number that RIFF cannot count in its 32 bits.
#[derive(Debug)]
pub(super) struct Uncountable;

/// Writes a chunk, padded to an even length.
pub(super) fn chunk(id: [u8; 4], content: &[u8], out: &mut Vec<u8>) -> Result<(), Uncountable> {
    out.extend_from_slice(&id);
    out.extend_from_slice(&count(content.len())?.to_le_bytes());
    out.extend_from_slice(content);
    if content.len() % 2 == 1 {
        out.push(0);
    }
    Ok(())
}

/// `LIST INFO`.
pub(super) fn info(texts: &[Info], out: &mut Vec<u8>) -> Result<(), Uncountable> {
    let mut list = b"INFO".to_vec();
    for Info { id, text } in texts.iter().filter(|info| !info.text.is_empty()) {
        chunk(*id, &zero_terminated(text), &mut list)?;
    }
    if list.len() > 4 { chunk(*b"LIST", &list, out) } else { Ok(()) }
}

/// `id3 `, which holds a whole ID3v2 tag.
pub(super) fn id3(tag: &[u8], out: &mut Vec<u8>) -> Result<(), Uncountable> {
    if tag.is_empty() { Ok(()) } else { chunk(*b"id3 ", tag, out) }
}

/// `cue ` with its labels in `LIST adtl`. Cues are numbered from 1.
pub(super) fn markers(markers: &[Marker], out: &mut Vec<u8>) -> Result<(), Uncountable> {
    if markers.is_empty() {
        return Ok(());
    }
    let mut cues = count(markers.len())?.to_le_bytes().to_vec();
    let mut labels = b"adtl".to_vec();
    for (index, marker) in markers.iter().enumerate() {
        let number = count(index + 1)?.to_le_bytes();
        let at = frame(marker.at)?.to_le_bytes();
        cues.extend_from_slice(&number);
        cues.extend_from_slice(&at);
        cues.extend_from_slice(b"data");
        cues.extend_from_slice(&[0; 8]);
        cues.extend_from_slice(&at);
        let label = [&number[..], &zero_terminated(&marker.label)].concat();
        chunk(*b"labl", &label, &mut labels)?;
    }
    chunk(*b"cue ", &cues, out)?;
    chunk(*b"LIST", &labels, out)
}

/// `smpl` with one loop, forward and endless. Middle C as the note says nothing here.
pub(super) fn sample_loop(
    sample_loop: &SampleLoop,
    rate: SampleRate,
    out: &mut Vec<u8>,
) -> Result<(), Uncountable> {
    let period = 1_000_000_000 / rate.hz();
    let last = frame(Frames(sample_loop.to.0.saturating_sub(1)))?;
    let head = [0, 0, period, 60, 0, 0, 0, 1, 0];
    let entry = [0, 0, frame(sample_loop.from)?, last, 0, 0];
    let content: Vec<u8> = head.into_iter().chain(entry).flat_map(u32::to_le_bytes).collect();
    chunk(*b"smpl", &content, out)
}

fn zero_terminated(text: &str) -> Vec<u8> {
    text.bytes().filter(|byte| *byte != 0).chain([0]).collect()
}

pub(super) fn frame(frame: Frames) -> Result<u32, Uncountable> {
    u32::try_from(frame.0).map_err(|_| Uncountable)
}

fn count(length: usize) -> Result<u32, Uncountable> {
    u32::try_from(length).map_err(|_| Uncountable)
}
