//! Spelled pitch classes.

use std::fmt;
use std::str::FromStr;

use super::Interval;

/// The seven letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "a letter is its own description")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// All seven, from C upwards, the order in which octaves are numbered.
    pub const ALL: [Letter; 7] =
        [Letter::C, Letter::D, Letter::E, Letter::F, Letter::G, Letter::A, Letter::B];

    /// Position above C, 0 to 6.
    #[must_use]
    pub const fn index(self) -> i8 {
        match self {
            Letter::C => 0,
            Letter::D => 1,
            Letter::E => 2,
            Letter::F => 3,
            Letter::G => 4,
            Letter::A => 5,
            Letter::B => 6,
        }
    }

    /// Semitones above C of the letter without an accidental, 0 to 11.
    #[must_use]
    pub const fn semitones(self) -> i8 {
        match self {
            Letter::C => 0,
            Letter::D => 2,
            Letter::E => 4,
            Letter::F => 5,
            Letter::G => 7,
            Letter::A => 9,
            Letter::B => 11,
        }
    }

    /// The letter this many steps further up the alphabet, around the octave.
    #[must_use]
    pub fn step(self, steps: i8) -> Letter {
        let index = (i16::from(self.index()) + i16::from(steps)).rem_euclid(7);
        Letter::ALL[usize::from(index.unsigned_abs())]
    }

    pub(crate) fn from_char(character: char) -> Option<Letter> {
        Letter::ALL.into_iter().find(|letter| letter.char() == character)
    }

    /// The letter itself, `C`.
    #[must_use]
    pub const fn char(self) -> char {
        match self {
            Letter::C => 'C',
            Letter::D => 'D',
            Letter::E => 'E',
            Letter::F => 'F',
            Letter::G => 'G',
            Letter::A => 'A',
            Letter::B => 'B',
        }
    }
}

/// A pitch class with its spelling: `Bb`, `F#`, `C`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteName {
    /// The letter.
    pub letter: Letter,
    /// Sharps (positive) or flats (negative), in semitones; within -2 to 2.
    pub alter: i8,
}

impl NoteName {
    /// A letter with its sharps (positive) or flats (negative).
    #[must_use]
    pub const fn new(letter: Letter, alter: i8) -> NoteName {
        NoteName { letter, alter }
    }

    /// The usual name of a pitch class outside any key: `C C# D Eb E F F# G Ab A Bb B`.
    #[must_use]
    pub fn usual(pitch_class: u8) -> NoteName {
        const USUAL: [NoteName; 12] = [
            NoteName::new(Letter::C, 0),
            NoteName::new(Letter::C, 1),
            NoteName::new(Letter::D, 0),
            NoteName::new(Letter::E, -1),
            NoteName::new(Letter::E, 0),
            NoteName::new(Letter::F, 0),
            NoteName::new(Letter::F, 1),
            NoteName::new(Letter::G, 0),
            NoteName::new(Letter::A, -1),
            NoteName::new(Letter::A, 0),
            NoteName::new(Letter::B, -1),
            NoteName::new(Letter::B, 0),
        ];
        USUAL[usize::from(pitch_class % 12)]
    }

    /// Semitones above C, 0 to 11: Cb is 11, B# is 0.
    #[must_use]
    pub fn pitch_class(self) -> u8 {
        (self.letter.semitones() + self.alter).rem_euclid(12).unsigned_abs()
    }

    /// The note an interval away, spelled by letter, so that a raised degree stays raised. Where
    /// that would need more than a double accidental, the nearest simple spelling is taken.
    #[must_use]
    pub fn transpose(self, interval: Interval) -> NoteName {
        let letter = self.letter.step(interval.steps);
        let target = i16::from(self.letter.semitones() + self.alter)
            + i16::from(interval.semitones)
            - i16::from(letter.semitones());
        let alter = (target + 6).rem_euclid(12) - 6;
        match i8::try_from(alter) {
            Ok(alter @ -2..=2) => NoteName { letter, alter },
            _ => {
                let pitch_class = (target + i16::from(letter.semitones())).rem_euclid(12);
                NoteName::usual(pitch_class.to_le_bytes()[0])
            }
        }
    }

    /// The same pitch class without a double accidental: `Ebb` becomes `D`; single ones stay,
    /// `E#` and `Cb` too.
    #[must_use]
    pub fn simplified(self) -> NoteName {
        if self.alter.abs() < 2 {
            return self;
        }
        let direction = self.alter.signum();
        let letter = self.letter.step(direction);
        let natural = NoteName::new(letter, 0);
        let difference = self.pitch_class().cast_signed() - natural.pitch_class().cast_signed();
        NoteName::new(letter, (difference + 6).rem_euclid(12) - 6)
    }

    /// Reads a note name at the start of a text and says how many bytes it took. Accidentals may
    /// be ASCII (`#`, `b`, one or two) or Unicode (`♯`, `♭`, `𝄪`, `𝄫`).
    #[must_use]
    pub(crate) fn read(text: &str) -> Option<(NoteName, usize)> {
        let letter = Letter::from_char(text.chars().next()?)?;
        let (alter, length) = read_accidentals(&text[1..]);
        Some((NoteName { letter, alter }, 1 + length))
    }
}

/// Reads up to two like accidentals and says how many bytes they took.
pub(crate) fn read_accidentals(text: &str) -> (i8, usize) {
    let mut alter = 0_i8;
    let mut length = 0;
    for character in text.chars() {
        let by = match character {
            '#' | '♯' => 1,
            'b' | '♭' => -1,
            '𝄪' => 2,
            '𝄫' => -2,
            _ => break,
        };
        if (alter + by).abs() > 2 || alter * by < 0 {
            break;
        }
        alter += by;
        length += character.len_utf8();
    }
    (alter, length)
}

/// Writes sharps or flats: `##`, `b`, nothing.
pub(crate) fn write_accidentals(f: &mut fmt::Formatter<'_>, alter: i8) -> fmt::Result {
    let sign = if alter < 0 { "b" } else { "#" };
    (0..alter.abs()).try_for_each(|_| f.write_str(sign))
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter.char())?;
        write_accidentals(f, self.alter)
    }
}

/// The text is no note name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a note name: write a letter from A to G, then `#` or `b`")]
pub struct NoteNameError(pub String);

impl FromStr for NoteName {
    type Err = NoteNameError;
    fn from_str(text: &str) -> Result<NoteName, NoteNameError> {
        match NoteName::read(text) {
            Some((name, length)) if length == text.len() => Ok(name),
            _ => Err(NoteNameError(text.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> NoteName {
        text.parse().unwrap()
    }

    #[test]
    fn pitch_classes_go_round_the_octave() {
        for (text, pitch_class) in
            [("C", 0), ("Cb", 11), ("B#", 0), ("E#", 5), ("Fb", 4), ("Ebb", 2), ("F##", 7)]
        {
            assert_eq!(name(text).pitch_class(), pitch_class, "{text}");
        }
    }

    #[test]
    fn unicode_accidentals_are_read_and_written_in_ascii() {
        assert_eq!(name("B♭").to_string(), "Bb");
        assert_eq!(name("F♯").to_string(), "F#");
        assert_eq!(name("C𝄪").to_string(), "C##");
    }

    #[test]
    fn what_is_no_note_name_is_an_error() {
        for text in ["", "H", "c", "C#b", "Cbbb", "C4", "♭"] {
            assert!(text.parse::<NoteName>().is_err(), "{text}");
        }
    }

    #[test]
    fn double_accidentals_simplify_to_the_neighbouring_letter() {
        for (double, simple) in [("Ebb", "D"), ("Fbb", "Eb"), ("C##", "D"), ("B##", "C#")] {
            assert_eq!(name(double).simplified(), name(simple));
        }
        assert_eq!(name("E#").simplified(), name("E#"));
    }
}
