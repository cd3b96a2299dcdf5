//! Half steps beside chord tones.

use crate::compose::Upper;
use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::Join;
use crate::melody::{Role, Side, Technique, degree_of};

use super::PositionContext;

/// What notes between the neighbours cost, against what a neighbour is worth.
const CHORD_TONE: f64 = 0.7;
const SCALE_STEP: f64 = 1.0;
const NEIGHBOUR: f64 = -0.7;
/// A neighbour on a strong beat, which delays the chord tone.
const DELAY: f64 = 1.2;

/// A neighbour with its chord tone; between them chord tones and, off the strong beats, the scale.
pub(super) fn neighbours(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let side = match context.technique() {
        Technique::UpperNeighbours => Side::Above,
        _ => Side::Below,
    };
    let mut groups = between(context, ground, CHORD_TONE, SCALE_STEP);
    if !context.reaches(2) {
        return groups;
    }
    let Some(target_ground) = context.ground(1) else { return groups };
    let delays = if context.position().strong { DELAY } else { 0.0 };
    for target in context.pitches().filter(|&pitch| target_ground.landing.contains(pitch)) {
        let neighbour = match (side, context.upper) {
            (Side::Below, _) => target.checked_sub(1),
            (Side::Above, Upper::HalfStep) => target.checked_add(1),
            (Side::Above, Upper::Scale) => target_ground.step_above(target),
        };
        let of = degree_of(&target_ground.harmony, &target_ground.tones, target);
        // A chord tone is a chord tone, whatever lies beside it.
        let foreign = neighbour.filter(|&neighbour| !ground.tone_set.contains(neighbour));
        if let (Some(neighbour), Some(of)) = (foreign, of) {
            // A whole step is a step of the scale.
            let role = if neighbour.abs_diff(target) == 1 {
                Role::Neighbour { side, of }
            } else {
                context.role(ground, neighbour)
            };
            let notes = vec![
                GroupNote { pitch: neighbour, role },
                GroupNote { pitch: target, role: Role::ChordTone { degree: of } },
            ];
            groups.push(Group::of(notes, Join::Free, NEIGHBOUR + delays));
        }
    }
    groups
}

/// Chord tones anywhere, and scale steps off the strong beats.
pub(super) fn between(
    context: &PositionContext,
    ground: &Ground,
    chord_tone: f64,
    scale_step: f64,
) -> Vec<Group> {
    let position = context.position();
    let on_tone = position.strong || position.enters;
    let allowed = if on_tone { ground.landing } else { ground.landing.or(ground.scale_set) };
    context
        .pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| {
            let cost = if ground.landing.contains(pitch) { chord_tone } else { scale_step };
            Group::single(pitch, context.role(ground, pitch), Join::Free, cost)
        })
        .collect()
}
