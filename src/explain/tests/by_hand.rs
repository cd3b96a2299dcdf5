//! Forty bars with the role of every note written by hand.
//!
//! A note is its name, and after the colon what it is: a degree (`3`, `b7`) for a chord tone, `x9`
//! for an extension, `s` for a step of the chord's scale, `l5` and `u5` for the lower and upper
//! neighbour to the fifth, `e1` for the enclosure of the root, `a3` for an approach to the third by
//! two half steps, `p` for a chromatic passing note. Degrees of `l`, `u`, `e` and `a` are those of
//! the chord that sounds with the note they lead to. All notes are eighths; `-` holds on.

use crate::compose::tests::charts::form;
use crate::explain::{Explained, Sounding, explain};
use crate::melody::{Role, Side};
use crate::theory::{NoteName, Pitch};
use crate::units::Ticks;

const PHRASES: [(&str, &str, [&str; 4]); 10] = [
    (
        "C",
        "| Dm7 | G7 | Cmaj7 | % |",
        [
            "D5:1 C#5:l1 D5:1 F5:b3 A5:5 G5:x11 F5:b3 E5:x9",
            "D5:5 C5:u3 B4:3 A#4:l3 B4:3 D5:5 F5:b7 G5:1",
            "E5:3 D5:x9 C5:1 B4:7 G4:5 A4:x13 B4:7 C5:1",
            "E5:3 - - - - - - -",
        ],
    ),
    (
        "C",
        "| Dm7 | G7 | Cmaj7 | % |",
        [
            "F5:b3 E5:x9 D5:1 C5:b7 A4:5 C5:b7 D5:1 F5:b3",
            "B4:3 D5:5 F5:b7 A5:x9 G5:1 F5:b7 D5:5 A#4:l7",
            "B4:7 G4:5 F4:u3 E4:3 G4:5 B4:7 D5:e1 C5:1",
            "G4:5 - - - - - - -",
        ],
    ),
    (
        "F",
        "| Gm7 | C7 | Fmaj7 | Fmaj7 |",
        [
            "G4:1 Bb4:b3 D5:5 F5:b7 D5:5 E5:s D5:5 Db5:a1",
            "C5:1 D5:x9 Bb4:b7 G4:5 E4:3 F4:s G4:5 Bb4:b7",
            "A4:3 C5:5 E5:7 G5:e1 F5:1 E5:7 C5:5 A4:3",
            "G4:e1 E4:7 F4:1 - - - - -",
        ],
    ),
    (
        "Gm",
        "| Am7b5 | D7b9 | Gm6 | % |",
        [
            "A4:1 C5:b3 Eb5:b5 G5:b7 Eb5:b5 D5:x11 C5:b3 Bb4:u5",
            "A4:5 F#4:3 A4:5 C5:b7 Eb5:xb9 C5:b7 A4:5 F#4:3",
            "G4:1 Bb4:b3 D5:5 E5:6 D5:5 C5:x11 Bb4:b3 A4:x9",
            "G4:1 - - - - - - -",
        ],
    ),
    (
        "Bb",
        "| Cm7 | F7 | Bb6 | % |",
        [
            "C5:1 Eb5:b3 G5:5 Bb5:b7 A5:s G5:5 F5:x11 Eb5:b3",
            "C5:5 A4:3 F4:1 G4:x9 A4:3 C5:5 Eb5:b7 D5:x13",
            "D5:3 Bb4:1 F4:5 G4:6 Bb4:1 C#5:l3 D5:3 F5:5",
            "G5:6 - - - - - - -",
        ],
    ),
    (
        "F",
        "| F7 | Bb7 | F7 | % |",
        [
            "F4:1 A4:3 C5:5 Eb5:b7 D5:x13 C5:5 A4:3 G4:eb7",
            "Ab4:b7 Bb4:1 D5:3 F5:5 Ab5:b7 G5:x13 F5:5 D5:3",
            "C5:5 A4:3 G#4:l3 A4:3 C5:5 B4:a3 Bb4:a3 A4:3",
            "F4:1 - - - - - - -",
        ],
    ),
    (
        "Eb",
        "| Fm7 | Bb7 | Ebmaj7 | Ebmaj7 |",
        [
            "F4:1 G4:x9 Ab4:b3 C5:5 Eb5:b7 D5:s C5:5 A4:e1",
            "Bb4:1 C5:x9 Ab4:b7 F4:5 D4:3 F4:5 Ab4:b7 C5:x9",
            "Bb4:5 G4:3 Eb4:1 F4:x9 G4:3 Bb4:5 D5:7 Eb5:1",
            "G4:3 - - - - - - -",
        ],
    ),
    (
        "Am",
        "| Am7 | Dm7 | Am7 | % |",
        [
            "A4:1 G#4:l1 A4:1 C5:b3 E5:5 D#5:l5 E5:5 G5:b7",
            "F5:b3 D5:1 A4:5 C5:b7 D5:1 E5:x9 F5:b3 A5:5",
            "G5:b7 E5:5 C5:b3 A4:1 B4:x9 C5:b3 D5:x11 E5:5",
            "C5:b3 - - - - - - -",
        ],
    ),
    (
        "D",
        "| Em7 | A7 | Dmaj7 | % |",
        [
            "E5:1 G5:b3 B5:5 D6:b7 B5:5 G5:b3 A5:x11 B5:5",
            "C#6:3 A5:1 G5:b7 E5:5 F#5:x13 G5:b7 E5:5 G#5:l5",
            "A5:5 F#5:3 D5:1 E5:x9 F#5:3 A5:5 C#6:7 D6:1",
            "A5:5 - - - - - - -",
        ],
    ),
    (
        "G",
        "| G6 | E7 | Am7 | D7 |",
        [
            "G4:1 B4:3 D5:5 E5:6 D5:5 B4:3 A4:e3 G4:1",
            "G#4:3 B4:5 D5:b7 E5:1 D5:b7 B4:5 G#4:3 B4:5",
            "C5:b3 A4:1 E5:5 D5:x11 C5:b3 B4:x9 A4:1 G4:b7",
            "F#4:3 A4:5 C5:b7 E5:x9 D5:1 - - -",
        ],
    ),
];

#[test]
fn forty_bars_are_explained_as_by_hand() {
    let mut wrong = Vec::new();
    let mut bars = 0;
    for (key, chords, phrase) in PHRASES {
        let form = form(chords, key);
        let (notes, meant) = read(phrase);
        bars += phrase.len();
        let explained = explain(&form, &notes, &[]);
        for (explained, meant) in explained.iter().zip(meant) {
            if !is_meant(explained, meant) {
                wrong.push(format!(
                    "{chords} at {}: {meant}, but it was explained as {:?}",
                    explained.note.at.quarters(),
                    explained.roles.iter().map(ToString::to_string).collect::<Vec<_>>()
                ));
            }
        }
    }
    assert_eq!(bars, 40);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn read(phrase: [&'static str; 4]) -> (Vec<Sounding>, Vec<&'static str>) {
    let mut notes: Vec<Sounding> = Vec::new();
    let mut meant = Vec::new();
    let eighths = phrase.into_iter().flat_map(str::split_whitespace);
    for (index, word) in (0_i64..).zip(eighths) {
        let Some((name, role)) = word.split_once(':') else {
            notes.last_mut().unwrap().length += Ticks::EIGHTH;
            continue;
        };
        let (name, octave) = name.split_at(name.len() - 1);
        let name: NoteName = name.parse().unwrap();
        let pitch = Pitch { name, octave: octave.parse().unwrap() }.midi().unwrap();
        notes.push(Sounding { at: Ticks::EIGHTH * index, length: Ticks::EIGHTH, pitch });
        meant.push(role);
    }
    (notes, meant)
}

/// Whether the first role is the one that was written.
fn is_meant(explained: &Explained, meant: &str) -> bool {
    let of = |degree: crate::theory::Degree, from: usize| degree.to_string() == meant[from..];
    match *explained.roles.first().unwrap() {
        Role::ChordTone { degree } => of(degree, 0),
        Role::Extension { degree } => meant.starts_with('x') && of(degree, 1),
        Role::ScaleStep { .. } => meant == "s",
        Role::Neighbour { side: Side::Below, of: degree } => {
            meant.starts_with('l') && of(degree, 1)
        }
        Role::Neighbour { side: Side::Above, of: degree } => {
            meant.starts_with('u') && of(degree, 1)
        }
        Role::Enclosure { of: degree, .. } => meant.starts_with('e') && of(degree, 1),
        Role::Approach { of: degree, .. } => meant.starts_with('a') && of(degree, 1),
        Role::Passing => meant == "p",
        _ => false,
    }
}
