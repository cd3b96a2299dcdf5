//! Accidentals hold to the end of their bar.

use super::token::WrittenNote;
use crate::theory::Letter;

/// The accidentals of a bar.
#[derive(Debug, Default)]
pub(super) struct Accidentals {
    /// Each with its letter and the octave that it was written in.
    written: Vec<(Letter, i8, i8)>,
    /// Whether an accidental holds in its own octave only; by default it holds in all (ABC 2.1,
    /// section 11.3, from memory).
    pub(super) own_octave_only: bool,
}

/// What a note is raised or lowered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Heard {
    pub(super) alter: i8,
    /// It follows from an accidental in another octave, and would be another note without.
    pub(super) from_other_octave: bool,
}

impl Accidentals {
    /// What a note is altered by: its own accidental, else one before it in the bar, else the
    /// key's.
    pub(super) fn hear(&mut self, note: &WrittenNote, from_key: i8) -> Heard {
        if let Some(alter) = note.accidental {
            let own_octave_only = self.own_octave_only;
            self.written.retain(|(letter, octave, _)| {
                *letter != note.letter || (own_octave_only && *octave != note.octave)
            });
            self.written.push((note.letter, note.octave, alter));
            return Heard { alter, from_other_octave: false };
        }
        let holds = |(letter, octave, _): &&(Letter, i8, i8)| {
            *letter == note.letter && (!self.own_octave_only || *octave == note.octave)
        };
        match self.written.iter().find(holds) {
            Some((_, octave, alter)) => Heard {
                alter: *alter,
                from_other_octave: *octave != note.octave && *alter != from_key,
            },
            None => Heard { alter: from_key, from_other_octave: false },
        }
    }

    /// A bar line.
    pub(super) fn end_bar(&mut self) {
        self.written.clear();
    }
}
