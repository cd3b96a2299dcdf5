//! Roman numerals, which take their pitch from a key.

use super::chord::{SuffixError, nearest_suffix, parse_suffix};
use super::note_name::read_accidentals;
use super::{ChordSymbol, Degree, Key, Mode, NoteName, SymbolError};
use crate::problem::nearest;

/// The numerals, a longer one before its own beginning.
const NUMERALS: [(&str, u8); 7] =
    [("VII", 7), ("VI", 6), ("IV", 4), ("V", 5), ("III", 3), ("II", 2), ("I", 1)];

/// Signs of quality that a small numeral keeps as they are; before others it means minor.
const OWN_QUALITY: [&str; 9] = ["m", "-", "dim", "°", "o", "ø", "Ø", "sus", "aug"];

/// Reads a chord as a symbol (`Am7b5`) or, in a key, as a Roman numeral (`iiø7`, `V7/ii`).
///
/// # Errors
/// A text that is neither; the error is that of the form which it resembles.
pub fn parse_chord(text: &str, key: Key) -> Result<ChordSymbol, SymbolError> {
    let unaltered = text.trim_start_matches(['#', 'b', '♯', '♭']);
    if unaltered.starts_with(['I', 'V', 'i', 'v']) {
        parse_roman(text, key)
    } else {
        ChordSymbol::parse(text)
    }
}

/// Reads a Roman numeral in a key. Numbers and accidentals count from the tonic's major scale in
/// major and minor alike (`bVI` in C minor is Ab), as jazz musicians count. Small numerals are
/// minor (`ii7` is a minor seventh chord); a numeral after a slash is the key of the moment
/// (`V7/ii`), a degree there is the bass (`I/3`).
///
/// # Errors
/// A text that is no numeral: what is wrong, which bytes, and the nearest numeral.
pub fn parse_roman(text: &str, key: Key) -> Result<ChordSymbol, SymbolError> {
    SymbolError::check_length(text)?;
    let (numeral_text, after_slash) = split_slash(text);
    let mut of_the_moment = key;
    let mut bass_degree = None;
    if let Some(target) = after_slash {
        let start = text.len() - target.len();
        match target.parse::<Degree>() {
            Ok(degree) => bass_degree = Some(degree),
            Err(_) => {
                of_the_moment = key_of_the_moment(target, key).map_err(|mut error| {
                    error.span = error.span.start + start..error.span.end + start;
                    let whole = |target| format!("{numeral_text}/{target}");
                    let works = |text: &String| parse_roman(text, key).is_ok();
                    error.suggestion = error.suggestion.map(whole).filter(works);
                    error
                })?;
            }
        }
    }
    let numeral = Numeral::read(numeral_text)?;
    let root = numeral.root(of_the_moment);
    let degrees = numeral.degrees(text)?;
    let mut symbol = ChordSymbol { root, degrees, bass: None };
    symbol.bass = bass_degree.map(|degree| symbol.note(degree).simplified());
    Ok(symbol)
}

/// Splits before a target numeral or a bass degree; the slash of `I6/9` belongs to the quality.
fn split_slash(text: &str) -> (&str, Option<&str>) {
    match text.split_once('/') {
        Some((before, "9")) if before.ends_with('6') => (text, None),
        Some((before, after)) if before.ends_with('6') && after.starts_with("9/") => {
            let at = before.len() + 3;
            (&text[..at - 1], Some(&text[at..]))
        }
        Some((before, after)) => (before, Some(after)),
        None => (text, None),
    }
}

/// The key that the chords before a slash are meant in: `ii` of C is D minor.
fn key_of_the_moment(target: &str, key: Key) -> Result<Key, SymbolError> {
    let symbol = parse_roman(target, key)?;
    let mode = if symbol.quality().is_minor() { Mode::Minor } else { Mode::Major };
    Ok(Key { tonic: symbol.root, mode })
}

struct Numeral<'t> {
    alter: i8,
    number: u8,
    small: bool,
    suffix: &'t str,
    /// Where the suffix begins in the text.
    suffix_at: usize,
}

impl<'t> Numeral<'t> {
    fn read(text: &'t str) -> Result<Numeral<'t>, SymbolError> {
        let (alter, length) = read_accidentals(text);
        let rest = &text[length..];
        let found = NUMERALS.into_iter().find_map(|(numeral, number)| {
            let written = rest.get(..numeral.len())?;
            let small = written == numeral.to_ascii_lowercase();
            (small || written == numeral).then_some((numeral.len(), number, small))
        });
        let Some((numeral_length, number, small)) = found else {
            let word: String = rest.chars().take_while(char::is_ascii_alphabetic).collect();
            let numerals = NUMERALS.map(|(numeral, _)| numeral);
            let close = nearest(&word, numerals).map(str::to_owned);
            return Err(SymbolError {
                message: format!(
                    "`{text}` is not a Roman numeral: there are I to VII and i to vii"
                ),
                span: length..text.len(),
                suggestion: close,
            });
        };
        let suffix_at = length + numeral_length;
        Ok(Numeral { alter, number, small, suffix: &text[suffix_at..], suffix_at })
    }

    fn root(&self, key: Key) -> NoteName {
        key.tonic.transpose(Degree::new(self.number, self.alter).interval()).simplified()
    }

    fn degrees(&self, whole: &str) -> Result<Vec<Degree>, SymbolError> {
        let own_quality = OWN_QUALITY.into_iter().any(|sign| self.suffix.starts_with(sign));
        // `imaj7` begins with an m that is no minor sign.
        let minor = self.small && (!own_quality || self.suffix.starts_with("ma"));
        let added = if minor { "m" } else { "" };
        parse_suffix(&format!("{added}{}", self.suffix)).map_err(|SuffixError { message, span }| {
            let place = |at: usize| self.suffix_at + at.saturating_sub(added.len());
            SymbolError {
                message: format!("`{whole}` is not a Roman numeral: {message}"),
                span: place(span.start)..place(span.end),
                suggestion: self.suggestion(whole, added),
            }
        })
    }

    /// The same numeral with the nearest suffix that exists.
    fn suggestion(&self, whole: &str, added: &str) -> Option<String> {
        let nearest = nearest_suffix(&format!("{added}{}", self.suffix))?;
        let nearest = nearest.strip_prefix(added).unwrap_or(nearest);
        let after = &whole[self.suffix_at + self.suffix.len()..];
        let suggested = format!("{}{nearest}{after}", &whole[..self.suffix_at]);
        parse_roman(&suggested, Key::C).is_ok().then_some(suggested)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_key(numerals: &str, key: &str) -> String {
        let key = key.parse().unwrap();
        let chords = numerals.split(' ').map(|text| parse_chord(text, key).unwrap().to_string());
        chords.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn cadences_take_their_pitch_from_the_key() {
        assert_eq!(in_key("iiø7 V7b9 i6", "Gm"), "Am7b5 D7b9 Gm6");
        assert_eq!(in_key("ii7 V7 Imaj7", "Gb"), "Abm7 Db7 Gbmaj7");
        assert_eq!(in_key("I7 IV7 #iv°7 I7/5", "F"), "F7 Bb7 Bdim7 F7/C");
        assert_eq!(in_key("iv7 bVII7 bIIImaj7 bVImaj7", "Cm"), "Fm7 Bb7 Ebmaj7 Abmaj7");
        assert_eq!(in_key("vii°7 imaj7 i-6 #ivø7", "Gm"), "F#dim7 Gm(maj7) Gm6 C#m7b5");
    }

    #[test]
    fn a_slash_names_the_key_of_the_moment() {
        assert_eq!(in_key("V7/ii", "Bb"), "G7");
        assert_eq!(in_key("iiø7/vi V7b9/vi vi7", "F"), "Em7b5 A7b9 Dm7");
        assert_eq!(in_key("V7/V/ii", "C"), "E7");
        assert_eq!(in_key("I6/9 I6/9/3 V/3", "Bb"), "Bb6/9 Bb6/9/D F/A");
    }

    #[test]
    fn symbols_are_read_where_numerals_are() {
        assert_eq!(in_key("Am7b5 V7 Gm6", "Gm"), "Am7b5 D7 Gm6");
        assert_eq!(in_key("bVII7 bII7", "Db"), "Cb7 D7");
    }

    #[test]
    fn a_mountain_of_slashes_is_an_error() {
        assert!(parse_chord(&"V/".repeat(1_000_000), Key::C).is_err());
    }

    #[test]
    fn errors_point_into_the_text() {
        let error = parse_chord("V7xyz", Key::C).unwrap_err();
        assert_eq!(error.span, 2..5);
        let error = parse_chord("ii7b6b2", Key::C).unwrap_err();
        assert_eq!((error.span, error.suggestion), (5..7, Some("ii7b5".to_owned())));
        let error = parse_chord("V7b8/ii", Key::C).unwrap_err();
        assert_eq!(error.suggestion.as_deref(), Some("V7b9/ii"));
        let error = parse_chord("V7/xi", Key::C).unwrap_err();
        assert_eq!((error.span, error.suggestion), (3..5, Some("V7/VI".to_owned())));
    }
}
