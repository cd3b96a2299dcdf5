//! Text that a terminal can be sent.
//!
//! Titles, names, paths and the contents of files may hold anything, and a terminal obeys what it
//! is sent.

use std::borrow::Cow;
use std::fmt::Write;

use crate::problem::is_invisible;

/// A text in which nothing is left that a terminal obeys but ends of lines and tabs: an escape
/// character is shown as `\u{1b}`.
pub(super) fn escaped(text: &str) -> Cow<'_, str> {
    if !text.contains(is_invisible) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        let ends_line = character == '\r' && characters.peek() == Some(&'\n');
        if is_invisible(character) && !matches!(character, '\n' | '\t') && !ends_line {
            shown.extend(character.escape_unicode());
        } else {
            shown.push(character);
        }
    }
    Cow::Owned(shown)
}

/// The same for a text of JSON, by JSON's own escapes: it stays JSON and means the same.
pub(super) fn escaped_json(text: &str) -> Cow<'_, str> {
    if !text.contains(is_invisible) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        if is_invisible(character) {
            let _ = write!(shown, "\\u{:04x}", u32::from(character));
        } else {
            shown.push(character);
        }
    }
    Cow::Owned(shown)
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
        let json = serde_json::to_string(text).unwrap();
        let line = escaped_json(&json);
        assert!(!line.contains(is_invisible), "{line}");
        assert_eq!(serde_json::from_str::<String>(&line).unwrap(), text);
    }
}
