//! Chord tones up to the ninth.

use crate::compose::ground::Ground;
use crate::compose::group::Group;
use crate::compose::join::Join;

use super::PositionContext;

/// The chord's own tones only.
pub(super) fn plain(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    context
        .pitches()
        .filter(|&pitch| ground.tone_set.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), Join::Free, 0.0))
        .collect()
}

/// Own tones on strong beats, the outline between them.
pub(super) fn outlines(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let allowed =
        if position.strong || position.enters { ground.tone_set } else { ground.outline_set };
    context
        .pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), Join::Free, 0.0))
        .collect()
}
