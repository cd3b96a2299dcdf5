//! Bytes of an XML file to text.

use super::MusicXmlError;

/// Decodes UTF-8 and UTF-16 (by byte order mark), and Latin-1 where the XML declaration says so.
pub(super) fn decode(bytes: Vec<u8>) -> Result<String, MusicXmlError> {
    let wide = |order: fn([u8; 2]) -> u16| {
        let units = bytes[2..].as_chunks::<2>().0.iter().map(|pair| order(*pair));
        char::decode_utf16(units).collect::<Result<String, _>>().map_err(|_| not_text())
    };
    if bytes.starts_with(&[0xFE, 0xFF]) {
        return wide(u16::from_be_bytes);
    }
    if bytes.starts_with(&[0xFF, 0xFE]) {
        return wide(u16::from_le_bytes);
    }
    if declares_latin_1(&bytes) {
        return Ok(bytes.into_iter().map(char::from).collect());
    }
    let text = String::from_utf8(bytes).map_err(|_| not_text())?;
    Ok(text.strip_prefix('\u{FEFF}').map(str::to_owned).unwrap_or(text))
}

fn declares_latin_1(bytes: &[u8]) -> bool {
    let declaration: Vec<u8> =
        bytes.iter().copied().take_while(|&byte| byte != b'>').take(200).collect();
    let declaration = String::from_utf8_lossy(&declaration).to_ascii_lowercase();
    declaration.starts_with("<?xml") && declaration.contains("iso-8859-1")
}

fn not_text() -> MusicXmlError {
    MusicXmlError::Damaged("its text is neither UTF-8 nor UTF-16".to_owned())
}
