//! Keys.

use std::fmt;
use std::str::FromStr;

use super::{Degree, Interval, Letter, NoteName};

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "nothing to add")]
pub enum Mode {
    Major,
    Minor,
}

/// A key: `Gm`, `Bb`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    /// The tonic as spelled.
    pub tonic: NoteName,
    /// Major or minor.
    pub mode: Mode,
}

/// Semitones of the scales above the tonic; the minor one is natural.
const MAJOR: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];
const MINOR: [u8; 7] = [0, 2, 3, 5, 7, 8, 10];

impl Key {
    /// C major.
    pub const C: Key = Key { tonic: NoteName::new(Letter::C, 0), mode: Mode::Major };

    /// The twelve keys round the circle of fourths, spelled as the trade spells them (common
    /// practice): C F Bb Eb Ab Db Gb B E A D G; Cm Fm Bbm Ebm G#m C#m F#m Bm Em Am Dm Gm.
    #[must_use]
    pub fn circle_of_fourths(mode: Mode) -> [Key; 12] {
        let mut pitch_class = 0;
        std::array::from_fn(|_| {
            let key = Key::usual(pitch_class, mode);
            pitch_class = (pitch_class + 5) % 12;
            key
        })
    }

    /// The key on a pitch class as the trade spells it: five flats Db, six flats Gb, five sharps
    /// B; in minor up to six flats (Ebm), then five sharps (G#m).
    #[must_use]
    pub fn usual(pitch_class: u8, mode: Mode) -> Key {
        let usual = NoteName::usual(pitch_class);
        let tonic = match (mode, pitch_class % 12) {
            (Mode::Major, 1) => NoteName::new(Letter::D, -1),
            (Mode::Major, 6) => NoteName::new(Letter::G, -1),
            (Mode::Minor, 8) => NoteName::new(Letter::G, 1),
            _ => usual,
        };
        Key { tonic, mode }
    }

    /// The key this many semitones higher (or, negative, lower), spelled as the trade spells it.
    #[must_use]
    pub fn transposed(self, semitones: i32) -> Key {
        let [above, ..] = semitones.rem_euclid(12).to_le_bytes();
        Key::usual(self.tonic.pitch_class() + above, self.mode)
    }

    /// The interval that carries this key to another by the nearest way, letters included.
    #[must_use]
    pub fn interval_to(self, other: Key) -> Interval {
        Interval::nearest(self.tonic, other.tonic)
    }

    /// The key signature: sharps (positive) or flats (negative), -7 to 7 for every key that can
    /// be parsed.
    #[must_use]
    pub fn signature(self) -> i8 {
        let letter = match self.tonic.letter {
            Letter::F => -1,
            Letter::C => 0,
            Letter::G => 1,
            Letter::D => 2,
            Letter::A => 3,
            Letter::E => 4,
            Letter::B => 5,
        };
        let mode = match self.mode {
            Mode::Major => 0,
            Mode::Minor => -3,
        };
        letter + 7 * self.tonic.alter + mode
    }

    /// The key of a signature; `None` beyond seven sharps or flats.
    #[must_use]
    pub fn of_signature(fifths: i8, mode: Mode) -> Option<Key> {
        Letter::ALL
            .into_iter()
            .flat_map(|letter| [-1, 0, 1].map(|alter| NoteName::new(letter, alter)))
            .map(|tonic| Key { tonic, mode })
            .find(|key| key.signature() == fifths && fifths.abs() <= 7)
    }

    /// Whether a pitch class belongs to the key's major or natural minor scale.
    #[must_use]
    pub fn contains(self, pitch_class: u8) -> bool {
        let scale = match self.mode {
            Mode::Major => MAJOR,
            Mode::Minor => MINOR,
        };
        scale.contains(&self.above_tonic(pitch_class))
    }

    /// Semitones of a pitch class above the tonic, 0 to 11.
    #[must_use]
    pub fn above_tonic(self, pitch_class: u8) -> u8 {
        (pitch_class % 12 + 12 - self.tonic.pitch_class()) % 12
    }

    /// A pitch class spelled in this key: its own notes by signature, the others as lowered
    /// degrees, but the raised fourth (and in minor the raised third, sixth and seventh).
    #[must_use]
    pub fn spell(self, pitch_class: u8) -> NoteName {
        let degree = match self.above_tonic(pitch_class) {
            0 => Degree::ROOT,
            1 => Degree::new(2, -1),
            2 => Degree::natural(2),
            3 => Degree::new(3, -1),
            4 => Degree::natural(3),
            5 => Degree::natural(4),
            6 => Degree::new(4, 1),
            7 => Degree::natural(5),
            8 => Degree::new(6, -1),
            9 => Degree::natural(6),
            10 => Degree::new(7, -1),
            _ => Degree::natural(7),
        };
        self.tonic.transpose(degree.interval()).simplified()
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minor = match self.mode {
            Mode::Major => "",
            Mode::Minor => "m",
        };
        write!(f, "{}{minor}", self.tonic)
    }
}

/// Why a text is no key.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KeyError {
    /// Not a note name with or without a mode.
    #[error(
        "`{written}` is not a key: write `Bb` or `Bb major`, `Gm` or `G minor`{}",
        nearest.map_or_else(String::new, |key| format!("; did you mean `{key}`?"))
    )]
    Unknown {
        /// What was written.
        written: String,
        /// The key that a slip of the shift key would explain.
        nearest: Option<Key>,
    },
    /// A key of more than seven sharps or flats.
    #[error("the key `{written}` has more than seven sharps or flats: write `{usual}`")]
    Theoretical {
        /// The key as written.
        written: String,
        /// The same key as the trade spells it.
        usual: Key,
    },
}

impl FromStr for Key {
    type Err = KeyError;
    fn from_str(text: &str) -> Result<Key, KeyError> {
        let signs = with_signs(text);
        let trimmed = signs.trim();
        let unknown = || KeyError::Unknown { written: text.to_owned(), nearest: capital(trimmed) };
        let (tonic, length) = NoteName::read(trimmed).ok_or_else(unknown)?;
        let mode = match trimmed[length..].trim() {
            "" | "M" | "maj" | "major" | "-major" => Mode::Major,
            "m" | "-" | "min" | "minor" | "-minor" => Mode::Minor,
            _ => return Err(unknown()),
        };
        let key = Key { tonic, mode };
        if key.signature().abs() > 7 {
            let usual = Key::usual(tonic.pitch_class(), mode);
            return Err(KeyError::Theoretical { written: text.to_owned(), usual });
        }
        Ok(key)
    }
}

/// Accidentals that are spelled out as signs: `B flat minor` and `B-flat-minor` are `Bb minor`.
fn with_signs(text: &str) -> String {
    let words = [(" flat", "b"), ("-flat", "b"), (" sharp", "#"), ("-sharp", "#")];
    words.iter().fold(text.to_owned(), |text, (word, sign)| text.replacen(word, sign, 1))
}

/// The key that the text would name with a capital letter.
fn capital(text: &str) -> Option<Key> {
    let first = text.chars().next().filter(char::is_ascii_lowercase)?;
    format!("{}{}", first.to_ascii_uppercase(), &text[1..]).parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(text: &str) -> Key {
        text.parse().unwrap()
    }

    #[test]
    fn the_circle_is_spelled_as_the_trade_spells_it() {
        let names = |mode| Key::circle_of_fourths(mode).map(|key| key.to_string()).join(" ");
        assert_eq!(names(Mode::Major), "C F Bb Eb Ab Db Gb B E A D G");
        assert_eq!(names(Mode::Minor), "Cm Fm Bbm Ebm G#m C#m F#m Bm Em Am Dm Gm");
    }

    #[test]
    fn accidentals_may_be_spelled_out() {
        for (words, signs) in [
            ("B flat", "Bb"),
            ("E flat minor", "Ebm"),
            ("F-sharp-minor", "F#m"),
            ("D-flat-major", "Db"),
            ("C sharp minor", "C#m"),
        ] {
            assert_eq!(key(words), key(signs), "{words}");
        }
        for text in ["flat", "B flatter", "B sharp flat", "B flat wide"] {
            assert!(text.parse::<Key>().is_err(), "{text}");
        }
    }

    /// Standard MIDI Files 1.0, meta event Key Signature: Bb major -2, F# major 6, C minor -3.
    #[test]
    fn signatures_count_sharps_and_flats() {
        for (text, fifths) in [("Bb", -2), ("F#", 6), ("Cm", -3), ("C", 0), ("Cb", -7), ("A#m", 7)]
        {
            assert_eq!(key(text).signature(), fifths, "{text}");
            assert_eq!(Key::of_signature(fifths, key(text).mode), Some(key(text)));
        }
        assert_eq!(Key::of_signature(8, Mode::Major), None);
    }

    #[test]
    fn keys_are_read_in_every_usual_form() {
        for text in ["Gm", "G minor", "G min", "G-", " Gm "] {
            assert_eq!(key(text).to_string(), "Gm");
        }
        assert_eq!(key("B♭ major").to_string(), "Bb");
        assert!(matches!("H".parse::<Key>(), Err(KeyError::Unknown { nearest: None, .. })));
        let error = "bb minor".parse::<Key>().unwrap_err();
        assert!(error.to_string().ends_with("did you mean `Bbm`?"), "{error}");
        let error = "G#".parse::<Key>().unwrap_err();
        assert!(error.to_string().ends_with("write `Ab`"), "{error}");
    }

    #[test]
    fn chromatic_notes_are_spelled_in_the_key() {
        assert_eq!(key("F").spell(11).to_string(), "B");
        assert_eq!(key("Gm").spell(6).to_string(), "F#");
        assert_eq!(key("Db").spell(2).to_string(), "D");
        assert_eq!(key("Gb").spell(11).to_string(), "Cb");
    }
}
