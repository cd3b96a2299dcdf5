//! Tied notes become one.

use super::token::WrittenNote;
use crate::theory::Letter;

/// A note that waits for the one that it is tied to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Open {
    letter: Letter,
    octave: i8,
    alter: i8,
    /// Its place among all notes.
    note: usize,
}

/// The notes that are tied on.
#[derive(Debug, Default)]
pub(super) struct Ties {
    /// Of the strike before the last: they wait for the last, or for the coming one.
    waiting: Vec<Open>,
    /// Of the last strike.
    last: Vec<(Open, bool)>,
}

impl Ties {
    /// Begins a strike or a rest; says whether a tie before it is left with no note to lead to.
    pub(super) fn begin(&mut self) -> bool {
        let loose = !self.waiting.is_empty();
        let tied = self.last.drain(..).filter(|(_, tied)| *tied).map(|(open, _)| open);
        self.waiting = tied.collect();
        loose
    }

    /// The note that this one is tied to, with its alteration: its place among all notes.
    pub(super) fn partner(&mut self, note: &WrittenNote) -> Option<(usize, i8)> {
        let fits = |open: &Open| {
            open.letter == note.letter
                && open.octave == note.octave
                && note.accidental.is_none_or(|alter| alter == open.alter)
        };
        let place = self.waiting.iter().position(fits)?;
        let open = self.waiting.remove(place);
        Some((open.note, open.alter))
    }

    /// Remembers a note of this strike.
    pub(super) fn remember(&mut self, written: &WrittenNote, alter: i8, note: usize) {
        let open = Open { letter: written.letter, octave: written.octave, alter, note };
        self.last.push((open, written.tied));
    }

    /// Ties on all notes of the last strike; false if there are none.
    pub(super) fn tie(&mut self) -> bool {
        self.last.iter_mut().for_each(|(_, tied)| *tied = true);
        !self.last.is_empty()
    }

    /// The places of the last strike's notes.
    pub(super) fn last_notes(&self) -> impl Iterator<Item = usize> + '_ {
        self.last.iter().map(|(open, _)| open.note)
    }

    /// Whether anything is still tied on.
    pub(super) fn is_open(&self) -> bool {
        !self.waiting.is_empty() || self.last.iter().any(|(_, tied)| *tied)
    }
}
