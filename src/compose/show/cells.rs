//! Four degrees of the chord as one group: 1 2 3 5, and 3 5 7 9.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::{Join, Slot};
use crate::melody::{Role, chord_tones};
use crate::theory::Degree;

use super::PositionContext;
use super::neighbours::between;

/// An order other than straight up or down.
const MIXED_ORDER: f64 = 0.4;
/// The orders without a leap, as places in 1 2 3 5: up, down, and with a turn at the root.
const ORDERS: [[usize; 4]; 4] = [[0, 1, 2, 3], [3, 2, 1, 0], [1, 0, 2, 3], [3, 2, 0, 1]];
/// A link outside the scale.
const FOREIGN_LINK: f64 = 0.8;

/// 1 2 3 5 in an order without a leap.
pub(super) fn root_cells(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    if context.slot() == Slot::Link {
        return between(context, ground, 0.0, 0.0);
    }
    let degrees = cell_degrees(ground);
    let mut groups = Vec::new();
    for root in roots(context, ground) {
        for order in ORDERS {
            let notes: Option<Vec<GroupNote>> = order
                .iter()
                .map(|&index| {
                    let degree = degrees[index];
                    let pitch = root.checked_add(degree.pitch_class())?;
                    Some(GroupNote { pitch, role: Role::Cell { degree } })
                })
                .collect();
            let Some(notes) = notes else { continue };
            let straight = order == ORDERS[0] || order == ORDERS[1];
            let cost = if straight { 0.0 } else { MIXED_ORDER };
            groups.push(Group::of(notes, Join::Free, cost));
        }
    }
    keep_landing(context, ground, &mut groups);
    groups
}

/// 3 5 7 9 up, and 9 7 5 3 down.
pub(super) fn ninth_arpeggios(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    if context.slot() == Slot::Link {
        return between(context, ground, 0.0, 0.0);
    }
    let harmony = &ground.harmony;
    let degrees = [harmony.symbol.third(), harmony.symbol.fifth(), harmony.seventh, harmony.ninth];
    let mut groups = Vec::new();
    for root in roots(context, ground) {
        let note_of = |(index, degree): (usize, &Option<Degree>)| {
            let degree = (*degree)?;
            // The ninth lies above the seventh.
            let octave = if index == 3 { 12 } else { 0 };
            let pitch = root.checked_add(degree.pitch_class() + octave)?;
            Some(GroupNote { pitch, role: Role::NinthArpeggio { degree } })
        };
        let up: Option<Vec<GroupNote>> = degrees.iter().enumerate().map(note_of).collect();
        let Some(up) = up else { continue };
        let down = up.iter().rev().copied().collect();
        groups.push(Group::of(up, Join::Free, 0.0));
        groups.push(Group::of(down, Join::Free, 0.0));
    }
    groups
}

/// Single notes between groups, of the chord's scale if possible.
pub(super) fn links(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    context
        .pitches()
        .map(|pitch| {
            let of_scale = ground.scale_set.contains(pitch);
            let cost = if of_scale { 0.0 } else { FOREIGN_LINK };
            Group::single(pitch, Role::Link, Join::Free, cost)
        })
        .collect()
}

/// The second, as the chord's scale has it, between root, third and fifth.
fn cell_degrees(ground: &Ground) -> [Degree; 4] {
    let of_scale = ground.scale.degrees.iter().copied().find(|degree| degree.number == 2);
    let second = of_scale.unwrap_or(Degree::natural(2));
    let symbol = &ground.harmony.symbol;
    let third = symbol.third().unwrap_or(Degree::natural(3));
    let fifth = symbol.fifth().unwrap_or(Degree::natural(5));
    [Degree::ROOT, second, third, fifth]
}

/// The roots that a group can be built on, from an octave below the range.
fn roots(context: &PositionContext, ground: &Ground) -> impl Iterator<Item = u8> {
    let low = context.range.start().saturating_sub(12);
    let root = ground.harmony.symbol.root.pitch_class();
    (low..=*context.range.end()).filter(move |pitch| pitch % 12 == root)
}

/// On a new chord, groups that begin on a chord tone, where there are any.
fn keep_landing(context: &PositionContext, ground: &Ground, groups: &mut Vec<Group>) {
    if context.position().enters && !chord_tones(&ground.harmony).is_empty() {
        groups
            .retain(|group| group.ends().is_some_and(|(first, _)| ground.tone_set.contains(first)));
    }
}
