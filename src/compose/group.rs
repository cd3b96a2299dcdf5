//! What can stand on a position: a note, or several that belong together.

use crate::melody::Role;

use super::join::Join;

/// A note or a group of notes, one for each position, that a technique can put on a position and
/// those after it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Group {
    pub(super) notes: Vec<GroupNote>,
    /// How it has to follow what comes before.
    pub(super) join: Join,
    /// How much the technique likes it; less is more.
    pub(super) cost: f64,
    /// Groups of different kinds take turns: which kind this is, where there are kinds.
    pub(super) turn: Option<u8>,
}

/// A note of a group: its pitch and its role.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct GroupNote {
    pub(super) pitch: u8,
    pub(super) role: Role,
}

impl Group {
    /// A single note.
    pub(super) fn single(pitch: u8, role: Role, join: Join, cost: f64) -> Group {
        Group { notes: vec![GroupNote { pitch, role }], join, cost, turn: None }
    }

    /// Notes of one position each.
    pub(super) fn of(notes: Vec<GroupNote>, join: Join, cost: f64) -> Group {
        Group { notes, join, cost, turn: None }
    }

    /// The first and the last pitch.
    pub(super) fn ends(&self) -> Option<(u8, u8)> {
        Some((self.notes.first()?.pitch, self.notes.last()?.pitch))
    }
}
