//! What a comp style says: which degrees the hands play, where, and in which rhythm.

mod check;
mod file;
mod kind;
mod rhythm;
mod shape;
mod start;

pub use kind::ChordKind;
pub use rhythm::{BarRhythm, ChordRhythm, Hit, Play};
pub use shape::{Shape, ShapeError, ShapeNote, StyleHand};
pub use start::{Start, StartError};

use std::collections::BTreeMap;

use super::Level;

/// A comp style, checked: every hit lies inside its bar and plays degrees that every shape has,
/// every register holds an octave, and there is at least one shape and one rhythm.
#[derive(Debug, Clone, PartialEq)]
pub struct CompStyle {
    /// What it sounds like and what it is good for.
    pub description: String,
    /// Whom it suits.
    pub level: Level,
    /// The General MIDI program, counted from 0.
    pub program: u8,
    /// Played in even eighths whatever the chart's feel.
    pub straight: bool,
    /// The widest interval that one hand strikes at once, in semitones.
    pub reach: u8,
    /// Where the notes lie.
    pub register: PitchRange,
    /// Where the hands are at home: of placements that cost the same, the one nearest to this
    /// MIDI note is taken.
    pub centre: u8,
    /// Where the top voice lies, if the style says so.
    pub top: Option<PitchRange>,
    /// Where bass notes lie that are struck apart from the chord: all notes of a shape but those
    /// after its last comma. Where it is `None` they lie in the register.
    pub bass: Option<PitchRange>,
    /// A bass player has the root: low interval limits are reckoned from it.
    pub root_below: bool,
    /// Which form a progression begins with, where the shapes begin on third or seventh.
    pub start: Start,
    /// What the hands take.
    pub shapes: Shapes,
    /// What a hand takes that spans less than the style's reach, if the style says so.
    pub smaller_hand: Option<Shapes>,
    /// Rhythms for a bar.
    pub bars: Vec<BarRhythm>,
    /// Whether rhythms go by phrases of four bars: a motif of two, answered and varied.
    pub phrases: bool,
    /// Rhythms for one of several chords of a bar, shortest first. Where there are none, the
    /// bar's rhythm runs on across its chords.
    pub chords: Vec<ChordRhythm>,
    /// How the last chord is played; never empty.
    pub ending: Vec<Hit>,
}

/// Shapes by kind of chord.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shapes {
    /// For chords whose kind has none of its own; never empty.
    pub any: Vec<Shape>,
    /// For chords of a kind; no list is empty.
    pub by_kind: BTreeMap<ChordKind, Vec<Shape>>,
}

impl CompStyle {
    /// The shapes for a kind of chord and a hand that spans so many semitones; never empty.
    #[must_use]
    pub(crate) fn shapes_for(&self, kind: ChordKind, reach: u8) -> &[Shape] {
        let smaller = self.smaller_hand.as_ref().filter(|_| reach < self.reach);
        let shapes = smaller.unwrap_or(&self.shapes);
        shapes.by_kind.get(&kind).unwrap_or(&shapes.any)
    }
}

/// A range of MIDI note numbers, both ends in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PitchRange {
    /// The lowest note.
    pub lowest: u8,
    /// The highest note.
    pub highest: u8,
}

impl PitchRange {
    /// Does a pitch lie in it?
    #[must_use]
    pub const fn contains(self, pitch: i16) -> bool {
        self.lowest as i16 <= pitch && pitch <= self.highest as i16
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::style::{Library, Shelf, StyleFile};

    fn wrong(change: &str, into: &str) -> crate::style::StyleError {
        let library = Library::built_in();
        let file = library.find(Shelf::Comp, "shells").unwrap();
        assert!(file.text.contains(change), "{change}");
        let text = file.text.replacen(change, into, 1);
        CompStyle::read(&StyleFile { text, ..file.clone() }).unwrap_err()
    }

    #[test]
    fn every_built_in_style_holds() {
        let library = Library::built_in();
        for file in library.files(Shelf::Comp) {
            let style = CompStyle::read(file).unwrap_or_else(|error| {
                panic!("{} {:?}: {error}", file.origin, error.line_and_column())
            });
            for meter in crate::units::Meter::ALL {
                assert!(!style.bars_in(meter).is_empty(), "{} {meter}", file.name);
            }
        }
    }

    #[test]
    fn wrong_values_are_underlined() {
        for (change, into, underlined, says) in [
            ("\"1 7 3\"", "\"1 b7 3\"", "\"1 b7 3\"", "`b7` is no degree"),
            ("lowest = \"F2\"", "lowest = \"H2\"", "\"H2\"", "no pitch"),
            ("lowest = \"F2\"", "lowest = \"F4\"", "[register]", "too narrow"),
            ("centre = \"D3\"", "centre = \"D6\"", "\"D6\"", "outside the register"),
            ("velocity = 66", "velocity = 166", "166", "out of range"),
            ("level =", "start = \"4\"\nlevel =", "\"4\"", "`4` means nothing here"),
            ("reach = 16", "reech = 16", "reech", "unknown key `reech`"),
            ("\"1 7\"", "{ notes = \"1 7\", penlty = 4 }", "penlty", "unknown key `penlty`"),
            ("at = \"1\"", "at = \"5\"", "\"5\"", "no count `5`"),
            ("at = \"1\"", "at = \"one\"", "\"one\"", "no place in a bar"),
            ("at = \"1\"", "at = \"1\", play = \"9\"", "\"9\"", "not every shape has a"),
            ("\"1 3 7\"", "\"1 , 3 7\"", "\"1\"", "struck apart"),
        ] {
            let error = wrong(change, into);
            assert!(error.to_string().contains(says), "{into}: {error}");
            let shown = error.underlined();
            assert!(shown.starts_with(underlined), "{into}: {shown}");
        }
    }
}
