//! Fourths piled up.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::{Join, Slot};
use crate::melody::Role;

use super::PositionContext;
use super::cells::links;

/// A perfect and an augmented fourth, in semitones.
const FOURTHS: [u8; 2] = [5, 6];

/// Two, three or four notes of the scale, a fourth from each to the next, up or down.
pub(super) fn stacks(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let Slot::Group(size) = context.slot() else {
        let mut links = links(context, ground);
        links.retain(|link| link.ends().is_some_and(|(pitch, _)| ground.scale_set.contains(pitch)));
        return links;
    };
    let mut groups = Vec::new();
    for lowest in context.pitches().filter(|&pitch| ground.scale_set.contains(pitch)) {
        let stack: Vec<u8> = std::iter::successors(Some(lowest), |&at| fourth_above(ground, at))
            .take(size)
            .collect();
        if stack.len() < size {
            continue;
        }
        let role = Role::Stack { lowest: ground.key.spell(lowest % 12) };
        let up: Vec<GroupNote> = stack.into_iter().map(|pitch| GroupNote { pitch, role }).collect();
        let down = up.iter().rev().copied().collect();
        groups.push(Group::of(up, Join::Free, 0.0));
        groups.push(Group::of(down, Join::Free, 0.0));
    }
    groups
}

/// The fourth above a note: three steps in a scale of seven notes, else a perfect or an augmented
/// one that the scale has.
fn fourth_above(ground: &Ground, pitch: u8) -> Option<u8> {
    if ground.scale.degrees.len() == 7 {
        return ground.scale_set.steps_above(pitch, 3);
    }
    let above = FOURTHS.iter().map(|&fourth| pitch.saturating_add(fourth));
    above.into_iter().find(|&above| ground.scale_set.contains(above))
}
