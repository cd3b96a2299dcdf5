//! What a SoundFont says of itself.

use super::riff::{self, Chunk, SoundFontSource};
use crate::sound::SoundError;

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
                    if let [a, b, c, d, ..] = *riff::content(source, chunk)? {
                        info.version = (u16::from_le_bytes([a, b]), u16::from_le_bytes([c, d]));
                    }
                }
                b"INAM" => info.name = until_zero(&riff::content(source, chunk)?),
                b"IENG" => info.engineer = until_zero(&riff::content(source, chunk)?),
                b"ICOP" => info.copyright = until_zero(&riff::content(source, chunk)?),
                b"ICMT" => info.comment = until_zero(&riff::content(source, chunk)?),
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

/// Text up to its first zero byte. The specification asks for ASCII; older files hold Latin-1.
pub(super) fn until_zero(bytes: &[u8]) -> String {
    let text: String =
        bytes.iter().take_while(|byte| **byte != 0).map(|byte| char::from(*byte)).collect();
    text.trim().to_owned()
}
