//! The blues scale of the key, with its blue notes and each chord's third.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::Join;
use crate::melody::{Role, blue_note};
use crate::theory::Degree;

use super::PositionContext;

/// A note that is none of the chord's on a strong beat.
const OFF_CHORD: f64 = 1.2;
/// A blue note is what the line is for.
const BLUE: f64 = -0.3;
/// The flat fifth between its neighbours.
const FLAT_FIFTH: f64 = -0.4;
/// From the blue third to the chord's major third.
const BLUE_TO_THIRD: f64 = -1.0;
/// A note said twice.
const REPEATED: f64 = 0.8;

/// Notes of the scale and the chord's third. The flat fifth only on its way to a neighbour, since it
/// is no place to stay.
pub(super) fn blues(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let on_beat = position.strong || position.enters;
    let third = ground.harmony.symbol.third().map(|third| ground.harmony.pitch_class(third));
    let allowed = ground.scale_set.or(third.into_iter().collect());
    let note_of = |pitch: u8| GroupNote { pitch, role: context.role(ground, pitch) };
    let is_flat_fifth = |pitch: u8| {
        blue_note(ground.key, pitch).is_some_and(|degree| degree.number == 5)
            && !ground.tone_set.contains(pitch)
    };
    let mut groups = Vec::new();
    for pitch in context.pitches().filter(|&pitch| allowed.contains(pitch)) {
        if !is_flat_fifth(pitch) {
            let role = context.role(ground, pitch);
            let cost = match role {
                Role::ChordTone { .. } => 0.0,
                Role::Blue { .. } => BLUE,
                _ if on_beat => OFF_CHORD,
                _ => 0.0,
            };
            groups.push(Group::single(pitch, role, Join::Free, cost));
            if context.moves_on(2)
                && ground.landing.contains(pitch)
                && !context.grid[context.index + 1].strong
            {
                groups.push(Group::of(vec![note_of(pitch); 2], Join::Free, REPEATED));
            }
        }
        let to_third = matches!(context.role(ground, pitch), Role::Blue { degree } if degree.number == 3)
            && ground.harmony.symbol.third() == Some(Degree::natural(3))
            && ground.harmony.pitch_class(Degree::natural(3)) == (pitch + 1) % 12;
        if to_third && context.moves_on(2) {
            groups.push(Group::of(
                vec![note_of(pitch), note_of(pitch + 1)],
                Join::Free,
                BLUE_TO_THIRD,
            ));
        }
        if is_flat_fifth(pitch) && !position.strong && context.moves_on(2) {
            for next in [pitch.saturating_sub(1), pitch.saturating_add(1)] {
                if allowed.contains(next) {
                    let notes = vec![note_of(pitch), note_of(next)];
                    groups.push(Group::of(notes, Join::Step, FLAT_FIFTH));
                }
            }
        }
    }
    groups
}
