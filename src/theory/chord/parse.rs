//! Reads a chord symbol: root, suffix, bass.

use std::str::FromStr;

use super::error::{SymbolError, nearest_suffix};
use super::{ChordSymbol, SuffixError, parse_suffix};
use crate::theory::NoteName;

impl ChordSymbol {
    /// Reads a chord symbol as musicians write it: `Dm7b5`, `D-7(b5)`, `Dø`; `G13sus`; `C6/9`;
    /// `Bb/D`. Accidentals and signs may be Unicode (♭ ♯ Δ ø °).
    ///
    /// # Errors
    /// A text that is no chord symbol: what is wrong, which bytes, and the nearest symbol.
    pub fn parse(text: &str) -> Result<ChordSymbol, SymbolError> {
        SymbolError::check_length(text)?;
        let Some((root, length)) = NoteName::read(text) else {
            return Err(no_root(text));
        };
        let rest = &text[length..];
        let (suffix, bass) = split_bass(rest);
        let bass = match bass {
            None => None,
            Some(name) => Some(name.parse::<NoteName>().map_err(|error| {
                SymbolError {
                    message: format!("after a slash comes the bass: {error}"),
                    span: text.len() - name.len()..text.len(),
                    suggestion: capital(name)
                        .filter(|name| name.parse::<NoteName>().is_ok())
                        .filter(|_| parse_suffix(suffix).is_ok())
                        .map(|name| format!("{root}{suffix}/{name}")),
                }
            })?),
        };
        let degrees =
            parse_suffix(suffix).map_err(|SuffixError { message, span }| SymbolError {
                message: format!("`{text}` is not a chord symbol: {message}"),
                span: length + span.start..length + span.end,
                suggestion: nearest_suffix(suffix).map(|suffix| {
                    let bass = bass.map_or_else(String::new, |bass| format!("/{bass}"));
                    format!("{root}{suffix}{bass}")
                }),
            })?;
        Ok(ChordSymbol { root, degrees, bass })
    }
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

fn no_root(text: &str) -> SymbolError {
    let first = text.chars().next();
    let span = 0..first.map_or(0, char::len_utf8);
    let silence = ["N.C.", "NC", "N.C"].into_iter().any(|word| text.eq_ignore_ascii_case(word));
    let message = match first {
        None => "a chord symbol is missing here".to_owned(),
        Some(_) if silence => format!("`{text}` is silence, not a chord"),
        Some(_) => format!("`{text}` is not a chord symbol: it begins with a root from A to G"),
    };
    let suggestion = if silence { None } else { capital(text) };
    SymbolError {
        message,
        span,
        suggestion: suggestion.filter(|text| ChordSymbol::parse(text).is_ok()),
    }
}

/// The text with a capital first letter, where that makes a root (and the German H a B).
fn capital(text: &str) -> Option<String> {
    let first = text.chars().next()?.to_ascii_uppercase();
    let letter = if first == 'H' { 'B' } else { first };
    let rest = text.get(1..)?;
    ('A'..='G').contains(&letter).then(|| format!("{letter}{rest}"))
}
