//! Roman numerals, which take their pitch from a key.

use super::chord::{ReadError, SUFFIXES, nearest_suffix, parse_suffix};
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
/// (`V7/ii`), a degree at the end is the bass (`I/3`, `V7/ii/3`).
///
/// # Errors
/// A text that is no numeral: what is wrong, which bytes, and the nearest numeral.
pub fn parse_roman(text: &str, key: Key) -> Result<ChordSymbol, SymbolError> {
    SymbolError::check_length(text)?;
    read(text, key).map_err(|error| error.suggesting(suggestion(text)))
}

/// Reads a Roman numeral and suggests nothing, so that a suggestion can be tried by it.
fn read(text: &str, key: Key) -> Result<ChordSymbol, ReadError> {
    let (numerals, bass) = split(text);
    let mut key_of_the_moment = key;
    let mut symbol = None;
    for &(at, numeral) in numerals.iter().rev() {
        let numeral = Numeral::read(numeral).map_err(|error| error.moved(at))?;
        let degrees = numeral.degrees().map_err(|error| error.moved(at))?;
        let chord = ChordSymbol { root: numeral.root(key_of_the_moment), degrees, bass: None };
        let mode = if chord.quality().is_minor() { Mode::Minor } else { Mode::Major };
        key_of_the_moment = Key { tonic: chord.root, mode };
        symbol = Some(chord);
    }
    let mut symbol = symbol.ok_or_else(|| no_numeral(text, 0))?;
    symbol.bass = bass.map(|degree| symbol.note(degree).simplified());
    Ok(symbol)
}

/// The numerals between slashes, each with its place, and the degree of the bass at the end. The
/// slash of `I6/9` belongs to its numeral.
fn split(text: &str) -> (Vec<(usize, &str)>, Option<Degree>) {
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices('/') {
        let after = &text[at + 1..];
        let sixth_ninth = after == "9" || after.starts_with("9/");
        if !(sixth_ninth && text[start..at].ends_with('6')) {
            parts.push((start, &text[start..at]));
            start = at + 1;
        }
    }
    let bass = text[start..].parse().ok().filter(|_| !parts.is_empty());
    if bass.is_none() {
        parts.push((start, &text[start..]));
    }
    (parts, bass)
}

/// The text with each of its numerals mended, where they can be.
fn suggestion(text: &str) -> Option<String> {
    let (numerals, bass) = split(text);
    let mended: Option<Vec<String>> = numerals.iter().map(|(_, numeral)| mended(numeral)).collect();
    let bass = bass.map(|degree| degree.to_string());
    let suggested = mended?.into_iter().chain(bass).collect::<Vec<_>>().join("/");
    read(&suggested, Key::C).is_ok().then_some(suggested)
}

/// A numeral that can be read as it is; another one as the nearest that can be.
fn mended(text: &str) -> Option<String> {
    match Numeral::read(text) {
        Ok(numeral) if numeral.degrees().is_ok() => Some(text.to_owned()),
        Ok(numeral) => numeral.with_nearest_suffix(),
        Err(_) => {
            let (_, length) = read_accidentals(text);
            let (accidentals, rest) = text.split_at(length);
            let word = rest.find(|sign: char| !sign.is_ascii_alphabetic()).unwrap_or(rest.len());
            let (word, rest) = rest.split_at(word);
            let numeral = nearest(word, NUMERALS.map(|(numeral, _)| numeral))?;
            Some(format!("{accidentals}{numeral}{rest}"))
        }
    }
}

fn no_numeral(text: &str, at: usize) -> ReadError {
    let message = if text.is_empty() {
        "after a slash comes a Roman numeral or a degree, as in `V7/ii` and `I/3`".to_owned()
    } else {
        format!("`{text}` is not a Roman numeral: there are I to VII and i to vii")
    };
    ReadError { message, span: at..text.len() }
}

struct Numeral<'t> {
    text: &'t str,
    alter: i8,
    number: u8,
    small: bool,
    suffix: &'t str,
}

impl<'t> Numeral<'t> {
    fn read(text: &'t str) -> Result<Numeral<'t>, ReadError> {
        let (alter, length) = read_accidentals(text);
        let rest = &text[length..];
        let found = NUMERALS.into_iter().find_map(|(numeral, number)| {
            let written = rest.get(..numeral.len())?;
            let small = written == numeral.to_ascii_lowercase();
            (small || written == numeral).then_some((numeral.len(), number, small))
        });
        let (numeral_length, number, small) = found.ok_or_else(|| no_numeral(text, length))?;
        Ok(Numeral { text, alter, number, small, suffix: &rest[numeral_length..] })
    }

    fn root(&self, key: Key) -> NoteName {
        key.tonic.transpose(Degree::new(self.number, self.alter).interval()).simplified()
    }

    fn degrees(&self) -> Result<Vec<Degree>, ReadError> {
        let suffix_at = self.text.len() - self.suffix.len();
        let spelled = spelled(self.small, self.suffix);
        let added = spelled.len() - self.suffix.len();
        parse_suffix(&spelled).map_err(|ReadError { message, span }| {
            let place = |at: usize| suffix_at + at.saturating_sub(added);
            ReadError {
                message: format!("`{}` is not a Roman numeral: {message}", self.text),
                span: place(span.start)..place(span.end),
            }
        })
    }

    /// The same numeral in the other case where its suffix goes with that (`v7alt`: a small numeral
    /// is minor); else with the nearest suffix, a change of case counting as one sign.
    fn with_nearest_suffix(&self) -> Option<String> {
        let without_suffix = &self.text[..self.text.len() - self.suffix.len()];
        let other_case = if self.small {
            without_suffix.replace('i', "I").replace('v', "V")
        } else {
            without_suffix.to_ascii_lowercase()
        };
        if parse_suffix(&spelled(!self.small, self.suffix)).is_ok() {
            return Some(format!("{other_case}{}", self.suffix));
        }
        let own = nearest_suffix(self.suffix, suffixes_of(self.small));
        let other = nearest_suffix(self.suffix, suffixes_of(!self.small));
        match (own, other) {
            (Some((distance, suffix)), Some((other, _))) if distance <= other + 1 => {
                Some(format!("{without_suffix}{suffix}"))
            }
            (_, Some((_, suffix))) => Some(format!("{other_case}{suffix}")),
            (own, None) => own.map(|(_, suffix)| format!("{without_suffix}{suffix}")),
        }
    }
}

/// The suffixes that a capital or a small numeral can have, as they are written behind it.
fn suffixes_of(small: bool) -> impl Iterator<Item = &'static str> {
    SUFFIXES.into_iter().flat_map(move |suffix| {
        let written = [Some(suffix), suffix.strip_prefix('m')].into_iter().flatten();
        written.filter(move |written| spelled(small, written) == suffix)
    })
}

/// What a numeral's suffix says as the suffix of a chord symbol: small numerals are minor.
fn spelled(small: bool, suffix: &str) -> String {
    let own_quality = OWN_QUALITY.into_iter().any(|sign| suffix.starts_with(sign));
    // `imaj7` begins with an m that is no minor sign.
    let minor = small && (!own_quality || suffix.starts_with("ma"));
    format!("{}{suffix}", if minor { "m" } else { "" })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

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
        assert_eq!(in_key("V7/ii/3 V7/I6/9", "Bb"), "G7/B F7");
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
    fn a_suggestion_can_always_be_read() {
        for (text, span, suggestion) in [
            ("v7alt", 2..5, "V7alt"),
            ("ii7alt", 3..6, "II7alt"),
            ("v7all", 2..5, "V7alt"),
            ("V7/iialt", 5..8, "V7/IIalt"),
            ("v7alt/ii", 2..5, "V7alt/ii"),
            ("bVII7b8/3", 5..7, "bVII7b9/3"),
            ("iv7alx/v7alx", 9..12, "IV7alt/V7alt"),
            ("V7/#xi7", 4..7, "V7/#VI7"),
        ] {
            let error = parse_chord(text, Key::C).unwrap_err();
            assert_eq!(error.suggestion.as_deref(), Some(suggestion), "{text}");
            assert_eq!(error.span, span, "{text}");
        }
        assert_eq!(parse_chord("V7/", Key::C).unwrap_err().span, 3..3);
        // 80 bytes, the most that are read; the nearest would have one more.
        let long = format!("{}V7al", "V/".repeat(38));
        assert_eq!(parse_chord(&long, Key::C).unwrap_err().suggestion, None);
    }

    /// Texts that look like numerals.
    fn numeral_like() -> impl Strategy<Value = String> {
        let signs = "I V i v II iv vii b # m maj ma - 7 6/9 9 13 alt al sus4 dim ° ø add no 5 b9 #11 ( ) / x";
        let sign = prop::sample::select(signs.split(' ').collect::<Vec<_>>());
        prop::collection::vec(sign, 0..12).prop_map(|signs| signs.concat())
    }

    proptest! {
        #[test]
        fn what_looks_like_a_numeral_is_read_or_is_an_error_with_its_place(text in numeral_like()) {
            if let Err(error) = parse_roman(&text, Key::C) {
                prop_assert!(text.get(error.span.clone()).is_some(), "{error:?}");
                if let Some(suggestion) = error.suggestion {
                    prop_assert!(suggestion != text);
                    prop_assert!(parse_roman(&suggestion, Key::C).is_ok(), "{suggestion}");
                }
            }
        }
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
