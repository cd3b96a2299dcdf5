//! Scales: notes one by one.

use crate::compose::ground::Ground;
use crate::compose::group::{Group, GroupNote};
use crate::compose::join::Join;
use crate::melody::PitchSet;

use super::PositionContext;

/// What it is worth to show the eighth note of a scale.
const PASSING: f64 = -0.6;

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
    groups.retain(|group| group.ends().is_some_and(|(pitch, _)| !passes(ground, pitch)));
    for group in &mut groups {
        let on_chord_tone = group.ends().is_some_and(|(pitch, _)| ground.landing.contains(pitch));
        if position.beat && !on_chord_tone {
            group.cost += if position.strong { 1.0 } else { 0.4 };
        }
    }
    groups.extend(passing_notes(context, ground, allowed));
    groups
}

/// Whether a note is the one that makes eight of seven: it lies between two others, half a step from each, and
/// is none of the chord's.
fn passes(ground: &Ground, pitch: u8) -> bool {
    let has = |other: Option<u8>| other.is_some_and(|other| ground.scale_set.contains(other));
    has(Some(pitch))
        && has(pitch.checked_sub(1))
        && has(pitch.checked_add(1))
        && !ground.tone_set.contains(pitch)
}

/// Through a passing note by half steps, up or down.
fn passing_notes(context: &PositionContext, ground: &Ground, allowed: PitchSet) -> Vec<Group> {
    if !context.moves_on(3) {
        return Vec::new();
    }
    let [_, second, third] = [0, 1, 2].map(|later| context.grid[context.index + later]);
    let on_beats = ground.on_beats();
    let mut groups = Vec::new();
    for pitch in context.pitches().filter(|&pitch| passes(ground, pitch)) {
        let (low, high) = (pitch.saturating_sub(1), pitch.saturating_add(1));
        for (from, to) in [(low, high), (high, low)] {
            let fits =
                allowed.contains(from) && !second.beat && (!third.beat || on_beats.contains(to));
            if fits {
                let note_of = |pitch| GroupNote { pitch, role: context.role(ground, pitch) };
                let notes = [from, pitch, to].map(note_of).to_vec();
                groups.push(Group::of(notes, Join::Free, PASSING));
            }
        }
    }
    groups
}

/// Chord tones where they can be had on strong beats.
pub(super) fn pentatonics(context: &PositionContext, ground: &Ground) -> Vec<Group> {
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
