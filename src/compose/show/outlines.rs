//! Chord tones up to the ninth.

use crate::compose::grid::PositionKind;
use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::Join;
use crate::units::{Meter, Ticks};

use super::PositionContext;

/// How much a triplet has to be worth it.
const TRIPLET: f64 = 1.6;

/// The chord's own tones only.
pub(super) fn plain(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    context
        .pitches()
        .filter(|&pitch| ground.tone_set.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), Join::Free, 0.0))
        .collect()
}

/// Own tones on strong beats, the outline between them; and triplets that run through it.
pub(super) fn outlines(context: &PositionContext, ground: &Ground) -> Vec<Group> {
    let position = context.position();
    let allowed =
        if position.strong || position.enters { ground.tone_set } else { ground.outline_set };
    let mut groups: Vec<Group> = context
        .pitches()
        .filter(|&pitch| allowed.contains(pitch))
        .map(|pitch| Group::single(pitch, context.role(ground, pitch), Join::Free, 0.0))
        .collect();
    let next_is_here = context.grid.get(context.index + 1).is_some_and(|next| {
        next.piece == position.piece
            && next.kind == PositionKind::Eighth
            && next.length == Ticks::EIGHTH
    });
    if position.beat && next_is_here && has_triplets(context) {
        let starts = context.pitches().filter(|&pitch| allowed.contains(pitch));
        groups.extend(starts.flat_map(|start| triplets(context, ground, start)));
    }
    groups
}

/// Triplets are of a quarter; the beats of six eighths are triplets already.
fn has_triplets(context: &PositionContext) -> bool {
    context.meter != Meter::SixEight
}

fn triplets(context: &PositionContext, ground: &Ground, start: u8) -> Vec<Group> {
    let set = ground.outline_set;
    let up = [Some(start), set.above(start), set.steps_above(start, 2)];
    let below = set.below(start);
    let down = [Some(start), below, below.and_then(|below| set.below(below))];
    [up, down]
        .into_iter()
        .filter_map(|pitches| pitches.into_iter().collect::<Option<Vec<u8>>>())
        .map(|pitches| {
            let note_of = |pitch| GroupNote { pitch, role: context.role(ground, pitch) };
            let notes = pitches.into_iter().map(note_of).collect();
            Group { positions: 2, ..Group::of(notes, Join::Free, TRIPLET) }
        })
        .collect()
}
