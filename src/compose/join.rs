//! Which group may follow which.

use crate::melody::{PitchSet, Technique, layout};

use super::grid::{Position, PositionKind};

/// How a group has to follow the note before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Join {
    /// By anything up to an octave.
    Free,
    /// By a half or whole step.
    Step,
    /// By a half step.
    HalfStep,
    /// By a step or on the same note.
    StepOrPivot,
    /// By a step of the scale, or by a skip from chord tone to chord tone.
    StepOrChordSkip,
    /// So that the shape of the group before is moved by this many semitones, up or down; `span`
    /// is from the shape's first note to its last.
    Shift { by: i8, span: i8 },
}

/// The widest interval of all: an octave.
pub(super) const OCTAVE: i8 = 12;

impl Join {
    /// Whether an interval in semitones, upwards positive, will do. Whether both notes are chord
    /// tones, and whether they are next to each other in the scale, matters to runs only.
    pub(super) fn allows(self, interval: i8, between_chord_tones: bool, scale_step: bool) -> bool {
        let distance = interval.abs();
        distance <= OCTAVE
            && match self {
                Join::Free => true,
                Join::Step => matches!(distance, 1 | 2),
                Join::HalfStep => distance == 1,
                Join::StepOrPivot => distance <= 2,
                Join::StepOrChordSkip => {
                    between_chord_tones || matches!(distance, 1 | 2) || scale_step
                }
                Join::Shift { by, span } => interval + span == by || interval + span == -by,
            }
    }
}

/// Whether two pitches are next to each other in a scale.
pub(super) fn is_scale_step(set: PitchSet, from: u8, to: u8) -> bool {
    let next = if to > from { set.above(from) } else { set.below(from) };
    next == Some(to) && set.contains(from)
}

/// What a position is in its technique's layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    /// No layout: notes and groups as they come.
    Free,
    /// A group of this many positions begins.
    Group(usize),
    /// A group goes on.
    Inside,
    /// A note that links.
    Link,
}

/// The slot of every position.
pub(super) fn slots(grid: &[Position], technique_of: impl Fn(usize) -> Technique) -> Vec<Slot> {
    let stretches = grid.chunk_by(|position, next| {
        position.piece == next.piece
            && position.kind == PositionKind::Moving
            && next.kind == PositionKind::Moving
    });
    let mut slots = Vec::with_capacity(grid.len());
    for stretch in stretches {
        let Some(first) = stretch.first() else { continue };
        let groups = match first.kind {
            PositionKind::Moving => layout(technique_of(first.piece), stretch.len()),
            _ => None,
        };
        let Some(groups) = groups else {
            slots.resize(slots.len() + stretch.len(), Slot::Free);
            continue;
        };
        for size in groups {
            slots.push(if size == 1 { Slot::Link } else { Slot::Group(size) });
            slots.resize(slots.len() + size - 1, Slot::Inside);
        }
    }
    slots
}
