//! What `K:` says.

use super::error::AbcProblem;
use crate::theory::{Key, Letter, Mode, NoteName};

/// The letters in the order in which sharps come; flats come from its end.
const SHARPS: [Letter; 7] =
    [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];

/// Modes by their first three letters, with what each has more or less than major in sharps.
const MODES: [(&str, i8); 9] = [
    ("maj", 0),
    ("ion", 0),
    ("mix", -1),
    ("dor", -2),
    ("min", -3),
    ("aeo", -3),
    ("phr", -4),
    ("loc", -5),
    ("lyd", 1),
];

/// Which letters are raised or lowered throughout, and whole octaves to move everything by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Signature {
    /// Semitones by [`Letter::index`].
    alters: [i8; 7],
    pub(super) octaves: i8,
}

impl Signature {
    /// The signature of so many sharps (positive) or flats (negative), -7 to 7.
    pub(super) fn of_fifths(fifths: i8) -> Signature {
        let mut signature = Signature { alters: [0; 7], octaves: 0 };
        for (place, letter) in (0_i8..).zip(SHARPS) {
            if place < fifths {
                signature.set(letter, 1);
            } else if 6 - place < -fifths {
                signature.set(letter, -1);
            }
        }
        signature
    }

    /// Semitones that a letter is raised or lowered by.
    pub(super) fn alter(&self, letter: Letter) -> i8 {
        usize::try_from(letter.index()).map_or(0, |index| self.alters[index % 7])
    }

    fn set(&mut self, letter: Letter, alter: i8) {
        if let Ok(index) = usize::try_from(letter.index()) {
            self.alters[index % 7] = alter;
        }
    }

    /// Reads the value of a field: `Gm`, `Bb major`, `D dor ^c`, `C clef=bass octave=-1`, `none`.
    pub(super) fn read(value: &str, before: Signature) -> Result<Signature, AbcProblem> {
        let wrong = || AbcProblem::Key(value.trim().to_owned());
        let mut words = value.split_whitespace().peekable();
        let mut signature = match words.peek() {
            Some(first) if is_instruction(first) => before,
            None => return Ok(before),
            Some(&"none") => {
                words.next();
                Signature::of_fifths(0)
            }
            Some(_) => {
                let tonic = words.next().unwrap_or_default();
                let (name, length) = NoteName::read(tonic).ok_or_else(wrong)?;
                let behind = &tonic[length..];
                let mode = if behind.is_empty() {
                    words.next_if(|word| mode(word).is_some()).unwrap_or_default()
                } else {
                    behind
                };
                let major = Key { tonic: name, mode: Mode::Major }.signature();
                let fifths = major + mode_offset(mode).ok_or_else(wrong)?;
                if fifths.abs() > 7 {
                    return Err(wrong());
                }
                Signature::of_fifths(fifths)
            }
        };
        for word in words {
            if let Some((letter, alter)) = accidental(word) {
                signature.set(letter, alter);
            } else if let Some(octaves) = word.strip_prefix("octave=") {
                signature.octaves =
                    octaves.parse().ok().filter(|n| (-4..=4).contains(n)).ok_or_else(wrong)?;
            } else if let Some(semitones) = word.strip_prefix("transpose=") {
                if semitones != "0" {
                    return Err(AbcProblem::Transposed(word.to_owned()));
                }
            } else if !is_instruction(word) {
                return Err(wrong());
            }
        }
        Ok(signature)
    }
}

/// What a mode has more or less than major in sharps; major where there is no word.
fn mode_offset(word: &str) -> Option<i8> {
    if word.is_empty() { Some(0) } else { mode(word) }
}

fn mode(word: &str) -> Option<i8> {
    let word = word.to_ascii_lowercase();
    if word == "m" {
        return Some(-3);
    }
    MODES.iter().find(|(name, _)| word.starts_with(name)).map(|(_, offset)| *offset)
}

/// `^f`, `_B`, `=c`: a letter altered throughout.
fn accidental(word: &str) -> Option<(Letter, i8)> {
    let alter = match word.trim_end_matches(|sign: char| sign.is_ascii_alphabetic()) {
        "^" => 1,
        "^^" => 2,
        "_" => -1,
        "__" => -2,
        "=" => 0,
        _ => return None,
    };
    let mut letters = word.chars().filter(char::is_ascii_alphabetic);
    let letter = letters.next()?.to_ascii_uppercase();
    letters.next().is_none().then_some(())?;
    Letter::from_char(letter).map(|letter| (letter, alter))
}

/// Words of a key that say how it is printed.
fn is_instruction(word: &str) -> bool {
    let printed = ["treble", "bass", "alto", "tenor", "perc", "exp"];
    word.contains('=') && !word.starts_with('=')
        || printed.iter().any(|name| word.starts_with(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alters(value: &str) -> [i8; 7] {
        let signature = Signature::read(value, Signature::of_fifths(0)).unwrap();
        Letter::ALL.map(|letter| signature.alter(letter))
    }

    /// Sharps and flats of modes: ABC 2.1, section 3.1.14, from memory; and any theory book.
    #[test]
    fn signatures_follow_from_tonic_and_mode() {
        let c_sharp_only = alters("D mix ^c");
        assert_eq!(alters("D"), c_sharp_only);
        assert_eq!(alters("Gm"), alters("Bb"));
        assert_eq!(alters("G minor"), alters("G min"));
        assert_eq!(alters("Ador"), alters("G"));
        assert_eq!(alters("A Dorian"), alters("G"));
        assert_eq!(alters("E phrygian"), alters("C"));
        assert_eq!(alters("F lyd"), alters("C"));
        assert_eq!(alters("none"), alters("C"));
        assert_eq!(alters("C clef=bass"), alters("C"));
        assert_eq!(Letter::ALL.map(|l| Signature::of_fifths(-2).alter(l)), alters("Bb"));
        let flats = alters("Bb").iter().filter(|alter| **alter == -1).count();
        assert_eq!(flats, 2);
        assert_eq!(Signature::of_fifths(-2).alter(Letter::E), -1);
        assert_eq!(Signature::of_fifths(1).alter(Letter::F), 1);
    }

    #[test]
    fn what_is_no_key_is_an_error() {
        let none = Signature::of_fifths(0);
        for value in ["H", "Gx", "G flat", "D# lydian", "HP", "C octave=9", "C octave=-128", "C ^h"]
        {
            assert!(Signature::read(value, none).is_err(), "{value}");
        }
        assert!(matches!(Signature::read("C transpose=-2", none), Err(AbcProblem::Transposed(_))));
        assert_eq!(Signature::read("C octave=-1", none).unwrap().octaves, -1);
    }
}
