//! Spelled pitches: a note name in its octave.

use std::fmt;

use super::{Interval, NoteName};

/// A note name in an octave: `Bb3`. C4 is middle C, MIDI number 60 (scientific pitch notation);
/// the octave goes with the letter, so Cb4 sounds as B3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// The name.
    pub name: NoteName,
    /// The octave; each begins at its C.
    pub octave: i8,
}

impl Pitch {
    /// The pitch of a MIDI number under a given name; `None` if the name is another pitch class.
    #[must_use]
    pub fn named(midi: u8, name: NoteName) -> Option<Pitch> {
        let above_c = i16::from(name.letter.semitones() + name.alter);
        let octaves = i16::from(midi) - above_c;
        if octaves % 12 != 0 {
            return None;
        }
        Some(Pitch { name, octave: i8::try_from(octaves / 12 - 1).ok()? })
    }

    /// The MIDI number, where there is one (0 to 127).
    #[must_use]
    pub fn midi(self) -> Option<u8> {
        let number = i16::from(self.name.letter.semitones() + self.name.alter)
            + 12 * (i16::from(self.octave) + 1);
        u8::try_from(number).ok().filter(|&number| number < 128)
    }

    /// The pitch an interval away; `None` if that is outside the MIDI numbers.
    #[must_use]
    pub fn transpose(self, interval: Interval) -> Option<Pitch> {
        let number = i16::from(self.midi()?) + i16::from(interval.semitones);
        let midi = u8::try_from(number).ok().filter(|&number| number < 128)?;
        Pitch::named(midi, self.name.transpose(interval))
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

/// The text is no pitch.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no pitch: write one such as `C4`, which is middle C, or `Bb2`")]
pub struct PitchError(pub String);

impl std::str::FromStr for Pitch {
    type Err = PitchError;
    fn from_str(text: &str) -> Result<Pitch, PitchError> {
        let read = |text: &str| {
            let (name, length) = NoteName::read(text)?;
            let octave = text[length..].parse().ok()?;
            let pitch = Pitch { name, octave };
            (-1..=9).contains(&octave).then_some(())?;
            pitch.midi().map(|_| pitch)
        };
        read(text.trim()).ok_or_else(|| PitchError(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> NoteName {
        text.parse().unwrap()
    }

    /// Scientific pitch notation (ASA): middle C is C4; MIDI 1.0: middle C is 60.
    #[test]
    fn octaves_begin_at_c_and_go_with_the_letter() {
        for (midi, as_name, text) in [
            (60, "C", "C4"),
            (58, "Bb", "Bb3"),
            (59, "Cb", "Cb4"),
            (60, "B#", "B#3"),
            (0, "C", "C-1"),
            (127, "G", "G9"),
        ] {
            let pitch = Pitch::named(midi, name(as_name)).unwrap();
            assert_eq!(pitch.to_string(), text);
            assert_eq!(pitch.midi(), Some(midi));
        }
        assert_eq!(Pitch::named(60, name("D")), None);
    }

    #[test]
    fn pitches_are_read_as_they_are_written() {
        for text in ["C4", "Bb2", "F##5", "C-1", "G9"] {
            assert_eq!(text.parse::<Pitch>().unwrap().to_string(), text);
        }
        for text in ["", "C", "c4", "H2", "C10", "Cb-1", "A9", "C4x", "4"] {
            assert!(text.parse::<Pitch>().is_err(), "{text}");
        }
    }

    #[test]
    fn transposing_keeps_the_spelling_of_raised_notes() {
        let f_sharp = Pitch::named(66, name("F#")).unwrap();
        let up_a_fourth = Interval { steps: 3, semitones: 5 };
        assert_eq!(f_sharp.transpose(up_a_fourth).unwrap().to_string(), "B4");
        let up_a_minor_third = Interval { steps: 2, semitones: 3 };
        assert_eq!(f_sharp.transpose(up_a_minor_third).unwrap().to_string(), "A4");
    }
}
