//! What is written to standard output and standard error.
//!
//! Titles, names, paths and the contents of files may hold anything, and a terminal obeys what it
//! is sent: all that is written goes through [`escaped`], or through [`json`], which is harmless
//! and still JSON. A reader of standard output that goes away early (`| head`) is no failure; any
//! other failure to write is.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::io::{ErrorKind, Write as _};

use serde::Serialize;

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

/// A value as JSON in one line. Characters that a terminal obeys are written as JSON's own escapes.
pub(super) fn json_text(value: &impl Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string(value)
        .map_err(|error| Failure::internal(format!("no JSON can be made of this: {error}")))?;
    if !text.contains(is_obeyed) {
        return Ok(text);
    }
    let mut harmless = String::with_capacity(text.len());
    for character in text.chars() {
        if is_obeyed(character) {
            let _ = write!(harmless, "\\u{:04x}", u32::from(character));
        } else {
            harmless.push(character);
        }
    }
    Ok(harmless)
}

/// Writes a text to standard error, which the program made itself or [`escaped`]. There is nowhere
/// to tell that this fails.
pub(super) fn error_text(text: &str) {
    let mut out = std::io::stderr().lock();
    let _ = out.write_all(ended(text).as_bytes()).and_then(|()| out.flush());
}

/// Writes a note to standard error.
pub(super) fn note(text: &str) {
    error_text(&format!("note: {}", escaped(text)));
}

fn ended(text: &str) -> Cow<'_, str> {
    if text.ends_with('\n') { Cow::Borrowed(text) } else { Cow::Owned(format!("{text}\n")) }
}

/// A text in which nothing is left that a terminal obeys but ends of lines and tabs: an escape
/// character is shown as `\u{1b}`.
pub(super) fn escaped(text: &str) -> Cow<'_, str> {
    if !text.contains(is_obeyed) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let ends_line = character == '\r' && characters.peek() == Some(&'\n');
        if is_obeyed(character) && !matches!(character, '\n' | '\t') && !ends_line {
            shown.extend(character.escape_unicode());
        } else {
            shown.push(character);
        }
    }
    Cow::Owned(shown)
}

/// Control characters, and those that turn the direction of the text after them (Unicode Standard
/// Annex 9, table of explicit directional characters).
fn is_obeyed(character: char) -> bool {
    character.is_control() || matches!(character, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_terminal_is_sent_nothing_that_it_obeys() {
        assert_eq!(escaped("plain, ü\tand\r\nmore"), "plain, ü\tand\r\nmore");
        assert_eq!(escaped("\u{1b}]0;owned\u{7}"), "\\u{1b}]0;owned\\u{7}");
        assert_eq!(escaped("over\rwritten"), "over\\u{d}written");
        assert_eq!(escaped("\u{9b}2J \u{7f} \u{202e}x"), "\\u{9b}2J \\u{7f} \\u{202e}x");
    }

    #[test]
    fn json_stays_json_and_means_the_same() {
        let text = "\u{1b}[2J \u{9b}2J \u{7f} \u{202e} \n ü";
        let line = json_text(&text).unwrap();
        assert!(!line.contains(is_obeyed), "{line}");
        assert_eq!(serde_json::from_str::<String>(&line).unwrap(), text);
    }
}
