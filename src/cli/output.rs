//! What is written to standard output and standard error: all of it goes through
//! [`escape`](super::escape).
//!
//! A reader of standard output that goes away early (`| head`) is no failure; any other failure to
//! write is.

use std::borrow::Cow;
use std::io::{ErrorKind, IsTerminal, Write};

use serde::Serialize;

use super::escape::{escaped, escaped_json};
use super::failure::Failure;

/// Writes bytes that the program made itself to standard output.
pub(super) fn bytes(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::work(format!("standard output cannot be written: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes a text to standard output, with a newline if it has none.
pub(super) fn text(text: &str) -> Result<(), Failure> {
    // In one piece: several threads may be telling of files at once.
    bytes(ended(&escaped(text)).as_bytes())
}

/// Writes one value to standard output, as a line of JSON.
pub(super) fn json(value: &impl Serialize) -> Result<(), Failure> {
    bytes(ended(&json_text(value)?).as_bytes())
}

/// A value as JSON in one line.
fn json_text(value: &impl Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string(value)
        .map_err(|error| Failure::internal(format!("no JSON can be made of this: {error}")))?;
    Ok(escaped_json(&text).into_owned())
}

/// Writes a text to standard error that is escaped already. There is nowhere to tell that this
/// fails.
fn error_text(text: &str) {
    let mut out = std::io::stderr().lock();
    let _ = out.write_all(ended(text).as_bytes()).and_then(|()| out.flush());
}

/// Writes a failure to standard error, as JSON where that was asked for.
pub(super) fn failure(failure: &Failure, json: bool) {
    if json && let Ok(text) = json_text(&failure.entry()) {
        return error_text(&text);
    }
    let colours = std::io::stderr().is_terminal()
        && std::env::var_os("NO_COLOR").is_none_or(|set| set.is_empty());
    for report in failure.shown_reports() {
        error_text(&report.shown(colours));
    }
    match failure.more() {
        0 => {}
        1 => error_text("and 1 more problem"),
        more => error_text(&format!("and {more} more problems")),
    }
}

/// Writes a note to standard error.
pub(super) fn note(text: &str) {
    status(&format!("note: {text}"));
}

/// Writes what the program is at to standard error.
pub(super) fn status(text: &str) {
    error_text(&escaped(text));
}

fn ended(text: &str) -> Cow<'_, str> {
    if text.ends_with('\n') { Cow::Borrowed(text) } else { Cow::Owned(format!("{text}\n")) }
}
