//! Which accidentals are printed.

use std::collections::BTreeMap;

use crate::codec::musicxml::score::Accidental;
use crate::theory::{Key, Letter, Pitch};

/// The accidentals in force on one staff in one bar.
#[derive(Debug)]
pub(super) struct Accidentals {
    fifths: i8,
    in_force: BTreeMap<(Letter, i8), i8>,
}

impl Accidentals {
    /// At a bar line: the key signature alone is in force.
    pub(super) fn at_bar_line(key: Key) -> Accidentals {
        Accidentals { fifths: key.signature(), in_force: BTreeMap::new() }
    }

    /// What to print before a note. One that is held from before needs nothing.
    pub(super) fn of(&mut self, pitch: Pitch, is_held: bool) -> Option<Accidental> {
        if is_held {
            return None;
        }
        let (letter, alter) = (pitch.name.letter, pitch.name.alter);
        let of_key = signature_alter(self.fifths, letter);
        let before = self.in_force.insert((letter, pitch.octave), alter).unwrap_or(of_key);
        (before != alter).then_some(match alter {
            ..=-2 => Accidental::DoubleFlat,
            -1 => Accidental::Flat,
            0 => Accidental::Natural,
            1 => Accidental::Sharp,
            2.. => Accidental::DoubleSharp,
        })
    }
}

/// What a key signature does to a letter.
fn signature_alter(fifths: i8, letter: Letter) -> i8 {
    // Sharps come in this order, flats from its end.
    let order = [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];
    let place =
        (0_i8..).zip(order).find(|(_, of_order)| *of_order == letter).map_or(0, |(at, _)| at);
    match fifths {
        1.. if place < fifths => 1,
        ..=-1 if 6 - place < -fifths => -1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pitch(midi: u8, name: &str) -> Pitch {
        Pitch::named(midi, name.parse().unwrap()).unwrap()
    }

    #[test]
    fn an_accidental_holds_for_its_octave_and_bar() {
        let mut staff = Accidentals::at_bar_line("Gm".parse().unwrap());
        assert_eq!(staff.of(pitch(70, "Bb"), false), None);
        assert_eq!(staff.of(pitch(66, "F#"), false), Some(Accidental::Sharp));
        assert_eq!(staff.of(pitch(66, "F#"), false), None);
        assert_eq!(staff.of(pitch(78, "F#"), false), Some(Accidental::Sharp));
        assert_eq!(staff.of(pitch(65, "F"), false), Some(Accidental::Natural));
        assert_eq!(staff.of(pitch(71, "B"), true), None);
    }

    /// Of each key the notes of its scale need no accidentals.
    #[test]
    fn signatures_cover_their_scales() {
        for (key, scale) in [
            ("Db", "Db Eb F Gb Ab Bb C"),
            ("Cb", "Cb Db Eb Fb Gb Ab Bb"),
            ("A", "A B C# D E F# G#"),
            ("C#", "C# D# E# F# G# A# B#"),
            ("C", "C D E F G A B"),
        ] {
            let key: Key = key.parse().unwrap();
            for name in scale.split(' ') {
                let name: crate::theory::NoteName = name.parse().unwrap();
                assert_eq!(
                    signature_alter(key.signature(), name.letter),
                    name.alter,
                    "{key} {name}"
                );
            }
        }
    }
}
