//! What a SoundFont says of itself.

use super::riff::{self, Chunk, SoundFontSource};
use crate::sound::SoundError;
use crate::visible::visible;

/// The words of the `INFO` list; empty where the file says nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SoundFontInfo {
    /// Its name.
    pub name: String,
    /// Who made it.
    pub engineer: String,
    /// Its copyright line.
    pub copyright: String,
    /// Remarks; many files keep their licence here.
    pub comment: String,
    /// Specification version, major and minor.
    pub version: (u16, u16),
}

impl SoundFontInfo {
    pub(super) fn read(
        source: &mut dyn SoundFontSource,
        chunks: &[Chunk],
    ) -> Result<SoundFontInfo, SoundError> {
        let mut info = SoundFontInfo::default();
        for chunk in chunks {
            match &chunk.name {
                b"ifil" => {
                    if let [a, b, c, d, ..] = *start(source, chunk)? {
                        info.version = (u16::from_le_bytes([a, b]), u16::from_le_bytes([c, d]));
                    }
                }
                b"INAM" => info.name = text(source, chunk)?,
                b"IENG" => info.engineer = text(source, chunk)?,
                b"ICOP" => info.copyright = text(source, chunk)?,
                b"ICMT" => info.comment = text(source, chunk)?,
                _ => {}
            }
        }
        if info.version.0 >= 3 {
            let (major, minor) = info.version;
            return Err(SoundError::Compressed(format!("version {major}.{minor:02}")));
        }
        Ok(info)
    }
}

/// The longest text that is read, in bytes: what the specification allows a comment (section 5).
const LONGEST: u64 = 65_536;

fn start(source: &mut dyn SoundFontSource, chunk: &Chunk) -> Result<Vec<u8>, SoundError> {
    riff::content(source, &Chunk { length: chunk.length.min(LONGEST), ..*chunk })
}

fn text(source: &mut dyn SoundFontSource, chunk: &Chunk) -> Result<String, SoundError> {
    Ok(until_zero(&start(source, chunk)?))
}

/// Text up to its first zero byte, control characters shown. The specification asks for ASCII;
/// older files hold Latin-1.
pub(super) fn until_zero(bytes: &[u8]) -> String {
    let text: String =
        bytes.iter().take_while(|byte| **byte != 0).map(|byte| char::from(*byte)).collect();
    visible(text.trim()).into_owned()
}
