//! Chart text becomes bar lines, chords and signs.

use std::ops::Range;

use super::error::{Found, Problem};

/// A word of a chart with its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token<'text> {
    pub(super) span: Range<usize>,
    pub(super) kind: TokenKind<'text>,
}

/// What a word of a chart is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum TokenKind<'text> {
    /// A bar line: `|:` opens a repeat, `:|` closes one, `:|:` does both.
    BarLine { opens: bool, closes: bool },
    /// The number of an ending, as in `1.`; 0 where the number is too large to be one.
    Ending(u8),
    /// `%`: the bar before, once more.
    Simile,
    /// `/`: one more beat of what sounds.
    Slash,
    /// `N.C.`: silence.
    NoChord,
    /// Anything else: a chord symbol or Roman numeral, not yet read.
    Chord(&'text str),
}

/// The bar lines that exist.
const BAR_LINES: [&str; 13] =
    ["|", "||", "|]", "[|", "|:", "||:", "[|:", ":|", ":||", ":|]", ":|:", ":||:", "::"];

/// Finds the words of a chart. What is none is left out, with an error for each.
pub(super) fn tokens(text: &str) -> (Vec<Token<'_>>, Vec<Found>) {
    let mut tokens = Vec::new();
    let mut errors = Vec::new();
    let mut at = 0;
    while let Some(first) = text[at..].chars().next() {
        let rest = &text[at..];
        let length = if first.is_whitespace() {
            first.len_utf8()
        } else if is_bar_line_sign(first) {
            let length = run(rest, is_bar_line_sign);
            let sign = &rest[..length];
            let span = at..at + length;
            if BAR_LINES.contains(&sign) {
                let kind = TokenKind::BarLine {
                    opens: sign.ends_with(':'),
                    closes: sign.starts_with(':'),
                };
                tokens.push(Token { span, kind });
            } else {
                errors.push(Found::at(span, Problem::BarLine(sign.to_owned())));
            }
            length
        } else {
            let (kind, length) = word(rest);
            tokens.push(Token { span: at..at + length, kind });
            length
        };
        at += length;
    }
    (tokens, errors)
}

/// The word at the start of a text that begins with neither blank nor bar line, and its length.
fn word(rest: &str) -> (TokenKind<'_>, usize) {
    if rest.starts_with('%') {
        return (TokenKind::Simile, 1);
    }
    if let Some(after) = rest.strip_prefix('/')
        && after.chars().next().is_none_or(|next| next == '/' || ends_word(next))
    {
        return (TokenKind::Slash, 1);
    }
    let digits = run(rest, |sign| sign.is_ascii_digit());
    if digits > 0 && rest[digits..].starts_with('.') {
        return (TokenKind::Ending(rest[..digits].parse().unwrap_or(0)), digits + 1);
    }
    let length = chord_length(rest);
    let text = &rest[..length];
    if ["n.c.", "n.c", "nc"].contains(&text.to_ascii_lowercase().as_str()) {
        return (TokenKind::NoChord, length);
    }
    (TokenKind::Chord(text), length)
}

/// How far a chord symbol goes: to a blank or bar line, but blanks inside parentheses belong to
/// it, as in `C7(b9 b13)`.
fn chord_length(rest: &str) -> usize {
    let mut length = 0;
    while let Some(sign) = rest[length..].chars().next().filter(|sign| !ends_word(*sign)) {
        length += if sign == '(' { parenthesis(&rest[length..]) } else { sign.len_utf8() };
    }
    length
}

/// The length of a parenthesis that is closed before the next bar line; else of its first sign.
fn parenthesis(text: &str) -> usize {
    let inside = &text[1..];
    let end = inside.find(|sign| matches!(sign, '(' | ')') || is_bar_line_sign(sign));
    end.filter(|end| inside[*end..].starts_with(')')).map_or(1, |end| end + 2)
}

fn is_bar_line_sign(sign: char) -> bool {
    matches!(sign, '|' | ':' | '[' | ']')
}

fn ends_word(sign: char) -> bool {
    sign.is_whitespace() || is_bar_line_sign(sign)
}

/// The length in bytes of the signs at the start of a text that all belong to a kind.
fn run(text: &str, belongs: impl Fn(char) -> bool) -> usize {
    text.find(|sign| !belongs(sign)).unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<TokenKind<'_>> {
        tokens(text).0.into_iter().map(|token| token.kind).collect()
    }

    #[test]
    fn words_need_no_blanks_between_bar_lines() {
        let line = |opens, closes| TokenKind::BarLine { opens, closes };
        assert_eq!(
            kinds("|:C7(b9 b13) %|1.N.C.:|2. D7/F# //|]"),
            [
                line(true, false),
                TokenKind::Chord("C7(b9 b13)"),
                TokenKind::Simile,
                line(false, false),
                TokenKind::Ending(1),
                TokenKind::NoChord,
                line(false, true),
                TokenKind::Ending(2),
                TokenKind::Chord("D7/F#"),
                TokenKind::Slash,
                TokenKind::Slash,
                line(false, false),
            ]
        );
    }

    #[test]
    fn an_open_parenthesis_does_not_swallow_the_next_chord() {
        assert_eq!(kinds("C7(b9 F"), [TokenKind::Chord("C7(b9"), TokenKind::Chord("F")]);
    }

    #[test]
    fn spans_are_bytes_of_the_text() {
        let (tokens, errors) = tokens("| Cø | |:|");
        assert_eq!(tokens[1].span, 2..5);
        assert_eq!(errors[0].span, 8..11);
    }
}
