//! Text that a terminal can be sent.
//!
//! Titles, names, paths and the contents of files may hold anything, and a terminal obeys what it
//! is sent.

use std::borrow::Cow;
use std::fmt::Write;

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

/// The same for a text of JSON, by JSON's own escapes: it stays JSON and means the same.
pub(super) fn escaped_json(text: &str) -> Cow<'_, str> {
    if !text.contains(is_obeyed) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    for character in text.chars() {
        if is_obeyed(character) {
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
        assert!(!line.contains(is_obeyed), "{line}");
        assert_eq!(serde_json::from_str::<String>(&line).unwrap(), text);
    }
}
