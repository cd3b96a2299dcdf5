//! Compressed MusicXML (`.mxl`): a zip archive with a container file that names the score.

use std::io::{Cursor, Read};

use roxmltree::Document;
use zip::ZipArchive;

use super::MusicXmlError;

/// The most that a score may unpack to, in megabytes. A lead sheet has less than one.
const SCORE_LIMIT: u64 = 16;
/// Where the standard puts the container file.
const CONTAINER: &str = "META-INF/container.xml";
const MEGABYTE: u64 = 1 << 20;

/// The score inside an archive, or the bytes themselves if they are no archive.
pub(super) fn unpack(bytes: &[u8]) -> Result<Vec<u8>, MusicXmlError> {
    if !bytes.starts_with(b"PK\x03\x04") {
        return match u64::try_from(bytes.len()) {
            Ok(length) if length <= SCORE_LIMIT * MEGABYTE => Ok(bytes.to_vec()),
            _ => Err(MusicXmlError::TooBig(SCORE_LIMIT)),
        };
    }
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| damaged(&error))?;
    let container = entry(&mut archive, CONTAINER)?;
    let path = score_path(&container)?;
    entry(&mut archive, &path)
}

fn damaged(error: &dyn std::fmt::Display) -> MusicXmlError {
    MusicXmlError::Damaged(error.to_string())
}

/// An archive's file. Reading stops at the limit, whatever size the archive claims.
fn entry(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str) -> Result<Vec<u8>, MusicXmlError> {
    let file = archive.by_name(name).map_err(|error| damaged(&format!("{name}: {error}")))?;
    let mut content = Vec::new();
    let limit = SCORE_LIMIT * MEGABYTE + 1;
    file.take(limit).read_to_end(&mut content).map_err(|error| damaged(&error))?;
    within_limit(content)
}

fn within_limit(content: Vec<u8>) -> Result<Vec<u8>, MusicXmlError> {
    match u64::try_from(content.len()) {
        Ok(length) if length <= SCORE_LIMIT * MEGABYTE => Ok(content),
        _ => Err(MusicXmlError::TooBig(SCORE_LIMIT)),
    }
}

/// The first root file of the container that is, or may be, a score.
fn score_path(container: &[u8]) -> Result<String, MusicXmlError> {
    let text = String::from_utf8_lossy(container);
    let document = Document::parse(&text).map_err(|error| damaged(&error))?;
    let is_score =
        |media_type: Option<&str>| media_type.is_none_or(|name| name.contains("musicxml"));
    document
        .descendants()
        .filter(|node| node.tag_name().name() == "rootfile")
        .find(|node| is_score(node.attribute("media-type")))
        .and_then(|node| node.attribute("full-path"))
        .map(str::to_owned)
        .ok_or_else(|| MusicXmlError::Damaged("its container names no score".to_owned()))
}
