//! Reads a chord symbol: root, suffix, bass.

use std::str::FromStr;

use super::error::{ReadError, SUFFIXES, SymbolError, nearest_suffix};
use super::{ChordSymbol, parse_suffix};
use crate::theory::NoteName;

impl ChordSymbol {
    /// Reads a chord symbol as musicians write it: `Dm7b5`, `D-7(b5)`, `Dø`; `G13sus`; `C6/9`;
    /// `Bb/D`. Accidentals and signs may be Unicode (♭ ♯ Δ ø °).
    ///
    /// # Errors
    /// A text that is no chord symbol: what is wrong, which bytes, and the nearest symbol.
    pub fn parse(text: &str) -> Result<ChordSymbol, SymbolError> {
        SymbolError::check_length(text)?;
        read(text).map_err(|error| error.suggesting(suggestion(text)))
    }
}

/// Reads a symbol and suggests nothing, so that a suggestion can be tried by it.
fn read(text: &str) -> Result<ChordSymbol, ReadError> {
    let (root, length) = NoteName::read(text).ok_or_else(|| no_root(text))?;
    let (suffix, bass) = split_bass(&text[length..]);
    let bass = bass.map(|name| {
        name.parse::<NoteName>().map_err(|error| ReadError {
            message: format!("after a slash comes the bass: {error}"),
            span: text.len() - name.len()..text.len(),
        })
    });
    let bass = bass.transpose()?;
    let degrees = parse_suffix(suffix).map_err(|ReadError { message, span }| ReadError {
        message: format!("`{text}` is not a chord symbol: {message}"),
        span: length + span.start..length + span.end,
    })?;
    Ok(ChordSymbol { root, degrees, bass })
}

/// The nearest symbol: with a capital root or bass, or with another suffix.
fn suggestion(text: &str) -> Option<String> {
    let suggested = match NoteName::read(text) {
        None => capital(text)?,
        Some((root, length)) => {
            let (suffix, bass) = split_bass(&text[length..]);
            if let Some((root, rest)) = with_syllable(text) {
                return Some(format!("{root}{rest}"));
            }
            let small = suffix.to_lowercase();
            let suffix = match parse_suffix(suffix) {
                Ok(_) => suffix,
                // `DIM7`; but `M7` is not `m7`.
                Err(_) if !suffix.starts_with('M') && parse_suffix(&small).is_ok() => &small,
                Err(_) => nearest_suffix(suffix, SUFFIXES)?.1,
            };
            match bass {
                None => format!("{root}{suffix}"),
                Some(bass) if bass.parse::<NoteName>().is_ok() => format!("{root}{suffix}/{bass}"),
                Some(bass) => format!("{root}{suffix}/{}", capital(bass)?),
            }
        }
    };
    read(&suggested).is_ok().then_some(suggested)
}

impl FromStr for ChordSymbol {
    type Err = SymbolError;
    fn from_str(text: &str) -> Result<ChordSymbol, SymbolError> {
        ChordSymbol::parse(text)
    }
}

/// Splits at the slash before a bass. The slashes of `6/9` and `7b9/b13` belong to the suffix.
fn split_bass(rest: &str) -> (&str, Option<&str>) {
    match rest.rsplit_once('/') {
        Some((suffix, bass)) if !within_suffix(bass) => (suffix, Some(bass)),
        _ => (rest, None),
    }
}

fn within_suffix(after_slash: &str) -> bool {
    let sign = |character: char| "#♯b♭+-".contains(character) || character.is_ascii_digit();
    let mut characters = after_slash.chars();
    characters.next().is_some_and(sign) && after_slash.contains(|c: char| c.is_ascii_digit())
}

fn no_root(text: &str) -> ReadError {
    let first = text.chars().next();
    let message = match first {
        None => "a chord symbol is missing here".to_owned(),
        Some(_) if ["N.C.", "NC", "N.C"].iter().any(|word| text.eq_ignore_ascii_case(word)) => {
            format!("`{text}` is silence, not a chord")
        }
        Some(_) => format!("`{text}` is not a chord symbol: it begins with a root from A to G"),
    };
    ReadError { message, span: 0..first.map_or(0, char::len_utf8) }
}

/// A root that is written with a syllable in place of a sign, as in German and Dutch, and the suffix and
/// bass after it: `As7`, `Fism7`, `Besmaj7`.
fn with_syllable(text: &str) -> Option<(NoteName, &str)> {
    let letter = text.get(..1)?;
    let (sign, rest) =
        [("es", "b"), ("is", "#"), ("s", "b")].iter().find_map(|(syllable, sign)| {
            let rest = text.get(1..)?.strip_prefix(syllable)?;
            (*syllable != "s" || ["A", "E"].contains(&letter)).then_some((*sign, rest))
        })?;
    let root = format!("{letter}{sign}").parse().ok()?;
    parse_suffix(split_bass(rest).0).is_ok().then_some((root, rest))
}

/// The text with a capital first letter, where that makes a root (and the German H a B).
fn capital(text: &str) -> Option<String> {
    let first = text.chars().next()?.to_ascii_uppercase();
    let letter = if first == 'H' { 'B' } else { first };
    let rest = text.get(1..)?;
    ('A'..='G').contains(&letter).then(|| format!("{letter}{rest}"))
}
