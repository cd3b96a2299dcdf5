//! Standard output. A reader that goes away early (`| head`) is no failure.

use std::io::{ErrorKind, Write};

use serde::Serialize;

use super::Failure;

/// Writes bytes.
pub(super) fn bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::work(miette::miette!("standard output cannot be written: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes a text, with a newline if it has none.
pub(super) fn text(text: &str) -> Result<(), Failure> {
    // In one piece: several threads may be telling of files at once.
    if text.ends_with('\n') {
        bytes(text.as_bytes())
    } else {
        bytes(format!("{text}\n").as_bytes())
    }
}

/// Writes one value as a line of JSON.
pub(super) fn json(value: &impl Serialize) -> Result<(), Failure> {
    let line = serde_json::to_string(value)
        .map_err(|error| Failure::work(miette::miette!("no JSON can be made of this: {error}")))?;
    text(&line)
}
