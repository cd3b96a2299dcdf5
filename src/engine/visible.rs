//! Names and words of a file, as they may be shown.

use std::borrow::Cow;

/// A text in which control characters, and those that turn the direction of writing, are shown as
/// escapes: `\u{1b}`. A name that a file brings reaches terminals, tags and pages.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(is_invisible) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len() + 8);
    for sign in text.chars() {
        if is_invisible(sign) {
            shown.extend(sign.escape_unicode());
        } else {
            shown.push(sign);
        }
    }
    Cow::Owned(shown)
}

/// Whether a sign is a control character or one of the explicit directional characters of Unicode
/// Standard Annex 9.
#[must_use]
pub fn is_invisible(sign: char) -> bool {
    sign.is_control() || matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_terminal_obeys_is_shown() {
        assert_eq!(visible("Café Bb ♭"), "Café Bb ♭");
        assert_eq!(visible("\u{1b}[2J\0\u{9b}"), "\\u{1b}[2J\\u{0}\\u{9b}");
        assert_eq!(visible("a\u{202e}b"), "a\\u{202e}b");
    }
}
