//! Chord and scale degrees.

use std::fmt;
use std::str::FromStr;

use super::note_name::{read_accidentals, write_accidentals};
use super::{Interval, Letter, NoteName};

/// A degree counted from a root: `3`, `b7`, `#11`. The alteration is against the major scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Degree {
    /// 1 to 13.
    pub number: u8,
    /// Semitones against the major scale: -1 for `b`, +1 for `#`, -2 for `bb`.
    pub alter: i8,
}

impl Degree {
    /// The root.
    pub const ROOT: Degree = Degree::natural(1);

    /// A degree of the major scale: 1 to 13 (higher numbers count as 13, 0 as 1).
    #[must_use]
    pub const fn natural(number: u8) -> Degree {
        Degree::new(number, 0)
    }

    /// A degree and its alteration in semitones; the number is kept within 1 to 13.
    #[must_use]
    pub const fn new(number: u8, alter: i8) -> Degree {
        let number = match number {
            0 => 1,
            1..=13 => number,
            _ => 13,
        };
        Degree { number, alter }
    }

    /// Semitones above the root, the octave counted: 14 for the ninth, 9 for `bb7`.
    #[must_use]
    pub fn semitones(self) -> i8 {
        let steps = self.steps();
        Letter::C.step(steps).semitones() + 12 * (steps / 7) + self.alter
    }

    /// Semitones above the root within one octave, 0 to 11: 2 for the ninth.
    #[must_use]
    pub fn pitch_class(self) -> u8 {
        self.semitones().rem_euclid(12).unsigned_abs()
    }

    /// The interval from the root up to this degree.
    #[must_use]
    pub fn interval(self) -> Interval {
        Interval { steps: self.steps(), semitones: self.semitones() }
    }

    /// What a note name is above a root, by its letter: Eb above A is `b5`, D# is `#4`.
    #[must_use]
    pub fn above(root: NoteName, name: NoteName) -> Degree {
        let interval = Interval::up(root, name);
        let number = interval.steps.unsigned_abs() + 1;
        Degree::new(number, interval.semitones - Degree::natural(number).semitones())
    }

    fn steps(self) -> i8 {
        self.number.clamp(1, 13).cast_signed() - 1
    }
}

impl fmt::Display for Degree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_accidentals(f, self.alter)?;
        write!(f, "{}", self.number)
    }
}

/// The text is no degree.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a degree: write a number from 1 to 13 with `b` or `#` before it, as in `b7`")]
pub struct DegreeError(pub String);

impl FromStr for Degree {
    type Err = DegreeError;
    fn from_str(text: &str) -> Result<Degree, DegreeError> {
        let (alter, length) = read_accidentals(text);
        let digits = &text[length..];
        let number = digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse());
        match number {
            Some(Ok(number @ 1..=13)) => Ok(Degree { number, alter }),
            _ => Err(DegreeError(text.to_owned())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_are_counted_against_the_major_scale() {
        for (text, semitones) in
            [("1", 0), ("b3", 3), ("b5", 6), ("bb7", 9), ("b9", 13), ("#11", 18), ("13", 21)]
        {
            let degree: Degree = text.parse().unwrap();
            assert_eq!(degree.semitones(), semitones, "{text}");
            assert_eq!(degree.to_string(), text);
        }
    }

    #[test]
    fn a_name_is_a_degree_above_a_root() {
        for (root, name, degree) in
            [("A", "Eb", "b5"), ("A", "D#", "#4"), ("C", "B#", "#7"), ("Bb", "Bb", "1")]
        {
            let found = Degree::above(root.parse().unwrap(), name.parse().unwrap());
            assert_eq!(found.to_string(), degree);
        }
    }

    #[test]
    fn what_is_no_degree_is_an_error() {
        for text in ["", "b", "0", "14", "+5", "3b", "b#3", "255", "-3"] {
            assert!(text.parse::<Degree>().is_err(), "{text}");
        }
    }
}
