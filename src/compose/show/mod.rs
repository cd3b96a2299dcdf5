//! What each technique can put on a place.

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

use crate::melody::{Piece, Role, Technique, degree_of};
use crate::units::Meter;

use super::grid::{Place, PlaceKind};
use super::ground::Ground;
use super::group::Group;
use super::join::{Join, Slot};

/// A place with all that is known about it.
pub(super) struct Site<'a> {
    pub(super) grid: &'a [Place],
    pub(super) slots: &'a [Slot],
    pub(super) grounds: &'a [Option<Ground>],
    pub(super) pieces: &'a [Piece],
    pub(super) range: &'a RangeInclusive<u8>,
    pub(super) meter: Meter,
    /// The place, as an index into the grid.
    pub(super) index: usize,
}

/// Everything that can stand on a place; nothing on a rest and inside a group.
pub(super) fn groups(site: &Site) -> Vec<Group> {
    let place = site.place();
    let (Some(ground), true) = (site.ground(0), place.kind != PlaceKind::Rest) else {
        return Vec::new();
    };
    let technique = site.technique();
    let mut groups = match (place.kind, technique) {
        _ if ground.short => outlines::plain(site, ground),
        (PlaceKind::Held, _) => landing(site, ground),
        (_, Technique::ScaleRuns) => runs::scale_runs(site, ground),
        (_, Technique::ChordScales) => runs::chord_scales(site, ground),
        (_, Technique::Pentatonics | Technique::Blues) => runs::few_notes(site, ground),
        (_, Technique::ChordOutlines) => outlines::outlines(site, ground),
        (_, Technique::LowerNeighbours | Technique::UpperNeighbours) => {
            neighbours::neighbours(site, ground)
        }
        (_, Technique::Enclosures) => enclosures::enclosures(site, ground),
        (_, Technique::DoubleApproaches) => enclosures::approaches(site, ground),
        (_, Technique::KeySevenths) => sevenths::sevenths(site, ground),
        (_, Technique::RootCells) => cells::root_cells(site, ground),
        (_, Technique::NinthArpeggios) => cells::ninth_arpeggios(site, ground),
        (_, Technique::TriadPairs) => triads::triads(site, ground),
        (_, Technique::FourthStacks) => stacks::stacks(site, ground),
        (_, Technique::ShiftedShapes) => shapes::shapes(site, ground),
    };
    let in_range = |group: &Group| group.notes.iter().all(|note| site.range.contains(&note.pitch));
    groups.retain(in_range);
    if let Some(join) = site.forced_join() {
        groups.iter_mut().for_each(|group| group.join = join);
    }
    groups
}

/// A long note: a chord tone.
fn landing(site: &Site, ground: &Ground) -> Vec<Group> {
    let join = match site.technique() {
        Technique::ScaleRuns => Join::StepOrChordSkip,
        _ => Join::Free,
    };
    site.pitches()
        .filter(|&pitch| ground.landing.contains(pitch))
        .map(|pitch| Group::single(pitch, site.role(ground, pitch), join, 0.0))
        .collect()
}

impl Site<'_> {
    pub(super) fn place(&self) -> Place {
        self.grid[self.index]
    }

    pub(super) fn slot(&self) -> Slot {
        self.slots[self.index]
    }

    pub(super) fn piece(&self) -> &Piece {
        &self.pieces[self.place().piece]
    }

    pub(super) fn technique(&self) -> Technique {
        self.piece().assignment.technique
    }

    /// The ground of a later place; `None` after the end and where it is silent.
    pub(super) fn ground(&self, later: usize) -> Option<&Ground> {
        self.grounds[self.grid.get(self.index + later)?.piece].as_ref()
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
        step_of_scale(ground, pitch)
    }

    /// Whether a group of this many places may begin here and end on a chord tone: the places
    /// follow each other without a rest, all but the last are in this piece, and where the last is
    /// in the next one, that takes notes as they come.
    pub(super) fn reaches(&self, places: usize) -> bool {
        let last = self.index + places - 1;
        let Some(target) = self.grid.get(last) else { return false };
        let here = self.place().piece;
        let body = &self.grid[self.index..last];
        let same = |place: &Place| place.piece == here && place.kind == PlaceKind::Eighth;
        if !body.iter().all(same) || target.kind == PlaceKind::Rest {
            return false;
        }
        target.piece == here || takes_any_tone(self.pieces[target.piece].assignment.technique)
    }

    /// What the technique's grouping asks of the note on this place, whatever the note.
    fn forced_join(&self) -> Option<Join> {
        let place = self.place();
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
        (place.enters && steps_in).then_some(Join::Step)
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
