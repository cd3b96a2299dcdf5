//! Two triads in turn.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::{Join, Slot};
use crate::melody::{Material, Role};

use super::PositionContext;
use super::cells::links;

/// Three notes of one of the two triads, up or down in any inversion; links lead into the next.
pub(super) fn triads(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    if context.slot() == Slot::Link {
        return links(context, ground);
    }
    let Material::Triads { pair, .. } = context.piece().assignment.material else {
        return Vec::new();
    };
    let mut groups = Vec::new();
    for (turn, triad) in (0..).zip(pair) {
        let set = triad.set();
        let upper = triad.is_upper(&ground.harmony);
        for start in context.pitches().filter(|&pitch| set.contains(pitch)) {
            let up: Vec<u8> =
                std::iter::successors(Some(start), |&at| set.above(at)).take(3).collect();
            let down: Vec<u8> =
                std::iter::successors(Some(start), |&at| set.below(at)).take(3).collect();
            for pitches in [up, down].into_iter().filter(|pitches| pitches.len() == 3) {
                let note_of = |pitch| GroupNote { pitch, role: Role::TriadTone { triad, upper } };
                let notes = pitches.into_iter().map(note_of).collect();
                groups.push(Group { turn: Some(turn), ..Group::of(notes, Join::Free, 0.0) });
            }
        }
    }
    groups
}
