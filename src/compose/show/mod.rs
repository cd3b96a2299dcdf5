//! What each technique can put on a position.

mod blues;
mod cells;
mod enclosures;
mod neighbours;
mod outlines;
mod runs;
mod sevenths;
mod shapes;
mod stacks;
mod triads;

pub(super) use enclosures::upper_neighbours;

use std::ops::RangeInclusive;

use crate::melody::{Piece, Role, Technique, blue_note, degree_of};

use super::Upper;
use super::grid::{Position, PositionKind};
use super::ground::Ground;
use super::group::{Group, GroupNote};
use super::join::{Join, Slot};

/// A position of the grid with what is around it.
pub(super) struct PositionContext<'a> {
    pub(super) grid: &'a [Position],
    pub(super) slots: &'a [Slot],
    pub(super) grounds: &'a [Option<Ground>],
    pub(super) pieces: &'a [Piece],
    /// What leads to a chord tone from above.
    pub(super) upper: Upper,
    pub(super) range: &'a RangeInclusive<u8>,
    /// The position, as an index into the grid.
    pub(super) index: usize,
}

/// What the eleventh costs on a strong beat over a major third, in groups that cannot do without.
const RUBBING: f64 = 1.5;

/// Whether a technique never puts that eleventh on a strong beat.
const fn may_not_rub(technique: Technique) -> bool {
    matches!(technique, Technique::TriadPairs | Technique::FourthStacks | Technique::ChordScales)
}

/// Everything that can stand on a position; nothing inside a group.
pub(super) fn groups(context: &PositionContext) -> Vec<Group> {
    let position = context.position();
    let Some(ground) = context.ground(0) else { return Vec::new() };
    let technique = context.technique();
    let mut groups = match (position.kind, technique) {
        _ if ground.short => outlines::plain(context, ground),
        (PositionKind::Landing, _) => landing(context, ground),
        (_, Technique::ScaleRuns) => runs::scale_runs(context, ground),
        (_, Technique::ChordScales) => runs::chord_scales(context, ground),
        (_, Technique::Pentatonics) => runs::pentatonics(context, ground),
        (_, Technique::Blues) => blues::blues(context, ground),
        (_, Technique::ChordOutlines) => outlines::outlines(context, ground),
        (_, Technique::LowerNeighbours | Technique::UpperNeighbours) => {
            neighbours::neighbours(context, ground)
        }
        (_, Technique::Enclosures) => enclosures::enclosures(context, ground),
        (_, Technique::DoubleApproaches) => enclosures::approaches(context, ground),
        (_, Technique::KeySevenths) => sevenths::sevenths(context, ground),
        (_, Technique::RootCells) => cells::root_cells(context, ground),
        (_, Technique::NinthArpeggios) => cells::ninth_arpeggios(context, ground),
        (_, Technique::TriadPairs) => triads::triads(context, ground),
        (_, Technique::FourthStacks) => stacks::stacks(context, ground),
        (_, Technique::ShiftedShapes) => shapes::shapes(context, ground),
    };
    let in_range =
        |group: &Group| group.notes.iter().all(|note| context.range.contains(&note.pitch));
    groups.retain(in_range);
    if may_not_rub(technique) {
        groups.retain(|group| context.rubbing_notes(group) == 0);
    } else if technique.is_in_groups() {
        for group in &mut groups {
            group.cost += RUBBING * f64::from(context.rubbing_notes(group));
        }
    }
    if let Some(join) = context.forced_join() {
        groups.iter_mut().for_each(|group| group.join = join);
    }
    groups
}

/// A long note: a chord tone.
fn landing(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let join = match context.technique() {
        Technique::ScaleRuns => Join::StepOrChordSkip,
        _ => Join::Free,
    };
    context
        .pitches()
        .filter(|&pitch| ground.landing.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), join, 0.0))
        .collect()
}

impl PositionContext<'_> {
    pub(super) fn position(&self) -> Position {
        self.grid[self.index]
    }

    pub(super) fn slot(&self) -> Slot {
        self.slots[self.index]
    }

    pub(super) fn piece(&self) -> &Piece {
        &self.pieces[self.position().piece]
    }

    pub(super) fn technique(&self) -> Technique {
        self.piece().assignment.technique
    }

    /// The ground of a later position; `None` after the end and where it is silent.
    pub(super) fn ground(&self, later: usize) -> Option<&Ground> {
        self.grounds[self.grid.get(self.index + later)?.piece].as_ref()
    }

    /// How many notes of a group are on strong beats and rub against the third of the chord there.
    fn rubbing_notes(&self, group: &Group) -> u8 {
        let rubs = |(number, note): &(usize, &GroupNote)| {
            let strong = self.grid.get(self.index + number).is_some_and(|at| at.strong);
            strong && self.ground(*number).is_some_and(|g| g.rubbing.contains(note.pitch))
        };
        let count = group.notes.iter().enumerate().filter(rubs).count();
        u8::try_from(count).unwrap_or(u8::MAX)
    }

    pub(super) fn pitches(&self) -> RangeInclusive<u8> {
        self.range.clone()
    }

    /// What a single note is: a chord tone, one that the function adds, or a step of the scale.
    pub(super) fn role(&self, ground: &Ground, pitch: u8) -> Role {
        if let Some(degree) = degree_of(&ground.harmony, &ground.tones, pitch) {
            return Role::ChordTone { degree };
        }
        if self.technique() == Technique::ChordOutlines
            && let Some(degree) = degree_of(&ground.harmony, &ground.outline, pitch)
        {
            return Role::Extension { degree };
        }
        let blue = blue_note(ground.key, pitch).filter(|_| self.technique() == Technique::Blues);
        blue.map_or_else(|| step_of_scale(ground, pitch), |degree| Role::Blue { degree })
    }

    /// Whether the next positions, so many with this one, follow each other over one chord.
    pub(super) fn moves_on(&self, positions: usize) -> bool {
        let here = self.position().piece;
        let body = self.grid.get(self.index..self.index + positions);
        let same =
            |position: &Position| position.piece == here && position.kind == PositionKind::Moving;
        body.is_some_and(|body| body.iter().all(same))
    }

    /// Whether a group of this many positions may begin here and end on a chord tone: the positions
    /// follow each other without a rest, all but the last are in this piece, and where the last is
    /// in the next one, that takes notes as they come.
    pub(super) fn reaches(&self, positions: usize) -> bool {
        let last = self.index + positions - 1;
        let Some(target) = self.grid.get(last) else { return false };
        let here = self.position().piece;
        let body = &self.grid[self.index..last];
        let same =
            |position: &Position| position.piece == here && position.kind == PositionKind::Moving;
        if !body.iter().all(same) {
            return false;
        }
        target.piece == here || takes_any_tone(self.pieces[target.piece].assignment.technique)
    }

    /// What the technique's grouping asks of the note on this position, whatever the note.
    fn forced_join(&self) -> Option<Join> {
        let position = self.position();
        let before = self.index.checked_sub(1)?;
        if self.slots[before] == Slot::Link {
            let shifted = self.pieces[self.grid[before].piece].assignment.technique
                == Technique::ShiftedShapes;
            return Some(if shifted { Join::HalfStep } else { Join::Step });
        }
        let steps_in = matches!(
            self.technique(),
            Technique::TriadPairs | Technique::FourthStacks | Technique::ShiftedShapes
        );
        // The piece before may be the same chord, divided at a bar line; stepping in does no harm.
        (position.enters && steps_in).then_some(Join::Step)
    }
}

/// A step of the technique's scale; a link where it is none.
pub(super) fn step_of_scale(ground: &Ground, pitch: u8) -> Role {
    let above = (pitch % 12 + 12 - ground.root.pitch_class()) % 12;
    match ground.scale.degree_at(above) {
        Some(degree) => Role::ScaleStep { root: ground.root, scale: ground.scale, degree },
        None => Role::Link,
    }
}

/// Whether a technique may begin on any chord tone that a group before it leads to.
const fn takes_any_tone(technique: Technique) -> bool {
    matches!(
        technique,
        Technique::ScaleRuns
            | Technique::ChordOutlines
            | Technique::LowerNeighbours
            | Technique::UpperNeighbours
            | Technique::Enclosures
            | Technique::DoubleApproaches
    )
}
