//! Scales: notes one by one.

use crate::compose::ground::Ground;
use crate::compose::group::Group;
use crate::compose::join::Join;
use crate::melody::PitchSet;

use super::PositionContext;

/// Chord tones on strong beats, scale steps between them.
pub(super) fn scale_runs(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let allowed =
        if position.strong || position.enters { ground.landing } else { ground.scale_set };
    singles(context, ground, allowed, Join::StepOrChordSkip)
}

/// The scale of the chord's function. Scales of eight notes put chord tones on every beat.
pub(super) fn chord_scales(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let eight_notes = ground.scale.degrees.len() == 8;
    let allowed = if position.enters {
        ground.landing
    } else if position.beat && eight_notes {
        ground.on_beats()
    } else {
        ground.scale_set
    };
    let mut groups = singles(context, ground, allowed, Join::Free);
    for group in &mut groups {
        let on_chord_tone = group.ends().is_some_and(|(pitch, _)| ground.landing.contains(pitch));
        if position.beat && !on_chord_tone {
            group.cost += if position.strong { 1.0 } else { 0.4 };
        }
    }
    groups
}

/// Pentatonics and blues: chord tones where they can be had on strong beats.
pub(super) fn few_notes(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let mut groups = singles(context, ground, ground.scale_set, Join::Free);
    for group in &mut groups {
        let on_chord_tone = group.ends().is_some_and(|(pitch, _)| ground.landing.contains(pitch));
        if (position.strong || position.enters) && !on_chord_tone {
            group.cost += 1.5;
        }
    }
    groups
}

fn singles(
    context: &PositionContext,
    ground: &Ground,
    allowed: PitchSet,
    join: Join,
) -> Vec<Group> {
    context
        .pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), join, 0.0))
        .collect()
}
