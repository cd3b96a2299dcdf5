//! What a bass may play under one chord.

use crate::theory::{Degree, Harmony};

/// A set of pitch classes, 0 (C) to 11 (B).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct PitchClasses(u16);

impl PitchClasses {
    pub(super) fn contains(self, pitch: u8) -> bool {
        self.0 >> (pitch % 12) & 1 == 1
    }

    fn with(self, pitch_class: u8) -> PitchClasses {
        PitchClasses(self.0 | 1 << (pitch_class % 12))
    }

    fn only(pitch_class: u8) -> PitchClasses {
        PitchClasses::default().with(pitch_class)
    }
}

impl FromIterator<u8> for PitchClasses {
    fn from_iter<I: IntoIterator<Item = u8>>(pitch_classes: I) -> PitchClasses {
        pitch_classes.into_iter().fold(PitchClasses::default(), PitchClasses::with)
    }
}

/// The notes of a chord by what a bass does with them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct ChordTones {
    /// The chord's root, from which degrees are counted.
    pub(super) root: u8,
    /// What sounds where the chord begins: the root, or the bass that is written after a slash.
    pub(super) target: PitchClasses,
    /// The chord's own fifth; over a written bass that is not the root, the note of the chord a
    /// fifth above it if there is one.
    pub(super) fifth: PitchClasses,
    /// The third, or what is suspended in its place.
    pub(super) third: PitchClasses,
    /// Root, third, fifth, seventh or sixth, and the written bass.
    pub(super) chord: PitchClasses,
    /// The chord tones with the steps between them.
    pub(super) scale: PitchClasses,
}

impl ChordTones {
    pub(super) fn of(harmony: &Harmony) -> ChordTones {
        let symbol = &harmony.symbol;
        let bass = symbol.bass_note().pitch_class();
        let third = symbol.third();
        let of_the_chord = |degree: &Degree| degree.number <= 7 && !displaced(*degree, third);
        let degrees = symbol.degrees.iter().copied().filter(of_the_chord).chain(third);
        let chord: PitchClasses = degrees.map(|degree| symbol.pitch_class(degree)).collect();
        let own_fifth = symbol.fifth().map_or(bass, |fifth| symbol.pitch_class(fifth));
        let above_bass = (bass + 7) % 12;
        let inverted = bass != symbol.root.pitch_class() && chord.contains(above_bass);
        ChordTones {
            root: symbol.root.pitch_class(),
            target: PitchClasses::only(bass),
            fifth: PitchClasses::only(if inverted { above_bass } else { own_fifth }),
            third: PitchClasses::only(third.map_or(bass, |third| symbol.pitch_class(third))),
            chord: chord.with(bass),
            scale: scale(harmony, bass),
        }
    }

    /// Semitones of a pitch above the root, 0 to 11: its degree, as far as patterns go.
    pub(super) fn above_root(&self, pitch: u8) -> u8 {
        (pitch % 12 + 12 - self.root) % 12
    }
}

/// A third that a suspension stands in for.
fn displaced(degree: Degree, third: Option<Degree>) -> bool {
    degree.number == 3 && third.is_some_and(|played| played.number != 3)
}

/// One or more notes for each of the seven degrees: what the chord and its function say, and
/// where they say nothing, what the key has there; else the degree of the major scale.
fn scale(harmony: &Harmony, bass: u8) -> PitchClasses {
    let root = harmony.symbol.root.pitch_class();
    let said = harmony.sounding_degrees();
    let mut scale: PitchClasses =
        said.iter().map(|degree| harmony.pitch_class(*degree)).chain([bass]).collect();
    // Degree, and how far above the root it can lie, the natural one first.
    for (number, heights) in
        [(2, [2, 1]), (3, [4, 3]), (4, [5, 6]), (5, [7, 6]), (6, [9, 8]), (7, [11, 10])]
    {
        let is_said = said.iter().any(|degree| (degree.number - 1) % 7 + 1 == number);
        let displaced = number == 3 && harmony.symbol.is_suspended();
        if !is_said && !displaced {
            let of_the_key = heights.into_iter().find(|height| harmony.key.contains(root + height));
            scale = scale.with(root + of_the_key.unwrap_or(heights[0]));
        }
    }
    scale
}
