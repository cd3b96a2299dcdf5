//! RIFF chunks and the fixed-size records of the format.

/// A chunk: identifier, length, bytes, padded to an even length.
pub(super) fn chunk(id: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(body.len() + 9);
    out.extend_from_slice(id);
    // Files of 4 GB and more cannot be said in RIFF; the bank refuses them
    // long before.
    let length = u32::try_from(body.len()).unwrap_or(u32::MAX);
    out.extend_from_slice(&length.to_le_bytes());
    out.extend_from_slice(body);
    if body.len() % 2 == 1 {
        out.push(0);
    }
    out
}

/// A LIST (or RIFF) chunk of a given form.
pub(super) fn list(id: &[u8; 4], form: &[u8; 4], parts: &[Vec<u8>]) -> Vec<u8> {
    let mut body = form.to_vec();
    for part in parts {
        body.extend_from_slice(part);
    }
    chunk(id, &body)
}

/// A zero-terminated string of even length, as INFO chunks want.
pub(super) fn text(words: &str) -> Vec<u8> {
    let mut bytes = words.as_bytes().to_vec();
    bytes.push(0);
    if bytes.len() % 2 == 1 {
        bytes.push(0);
    }
    bytes
}

/// A name of exactly 20 bytes, zero-padded, at least one zero at the end.
pub(super) fn name(words: &str) -> [u8; 20] {
    let mut bytes = [0; 20];
    for (slot, byte) in bytes.iter_mut().take(19).zip(words.bytes()) {
        *slot = if byte.is_ascii() { byte } else { b'?' };
    }
    bytes
}
